"""Interval arithmetic and comparisons: laws by sampling, and the cases that are written down."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.quantities import (
    EPS,
    Dimension,
    Quantity,
    at_least,
    at_most,
    exactly,
    hull,
    maximum,
    minimum,
    ratio,
    same,
    times,
)

L = Dimension.LENGTH
few = settings(max_examples=60, deadline=None)
numbers = st.floats(-1e6, 1e6, allow_nan=False, allow_subnormal=False)
fractions = st.floats(0, 1)


@st.composite
def intervals(draw: st.DrawFn, dimension: Dimension = L, least: float = -1e6) -> Quantity:
    low, high = sorted((draw(st.floats(least, 1e6)), draw(st.floats(least, 1e6))))
    if draw(st.booleans()):
        high = low
    return Quantity(low, high, dimension, draw(st.booleans()))


def inside(q: Quantity, fraction: float) -> float:
    """A value that the quantity may have."""
    return min(q.high, max(q.low, q.low + (q.high - q.low) * fraction))


BINARY: list[tuple[Callable[[Quantity, Quantity], Quantity], Callable[[float, float], float]]] = [
    (lambda a, b: a + b, lambda x, y: x + y),
    (lambda a, b: a - b, lambda x, y: x - y),
    (times, lambda x, y: x * y),
    (minimum, min),
    (maximum, max),
]


@few
@given(intervals(), intervals(), fractions, fractions)
def test_results_hold_every_possible_value(a: Quantity, b: Quantity, f: float, g: float) -> None:
    x, y = inside(a, f), inside(b, g)
    for on_intervals, on_numbers in BINARY:
        result = on_intervals(a, b)
        assert result.low <= on_numbers(x, y) <= result.high
        assert result.estimate == (a.estimate or b.estimate)
    assert hull(a, b).low <= min(x, y) and max(x, y) <= hull(a, b).high
    assert abs(a).low <= abs(x) <= abs(a).high
    assert (-a).low <= -x <= (-a).high


@few
@given(intervals(), intervals(least=0.001), numbers, fractions, fractions)
def test_quotients_hold_every_possible_value(a: Quantity, b: Quantity, n: float, f: float, g: float) -> None:
    x, y = inside(a, f), inside(b, g)
    assert ratio(a, b).low <= x / y <= ratio(a, b).high
    assert ratio(a, -b).low <= x / -y <= ratio(a, -b).high
    assert ratio(a, b).dimension is Dimension.RATIO
    for product in (a * n, n * a):
        assert product.low <= x * n <= product.high
    if abs(n) > 1e-3:
        assert (a / n).low <= x / n <= (a / n).high


@few
@given(intervals(), intervals(), st.floats(0, 2), st.floats(0, 50))
def test_wider_in_never_gives_narrower_out(a: Quantity, b: Quantity, fraction: float, least: float) -> None:
    wide = a.widened(fraction, least)
    assert wide.low <= a.low - least and a.high + least <= wide.high
    for on_intervals, _ in BINARY:
        narrow, result = on_intervals(a, b), on_intervals(wide, b)
        assert result.low <= narrow.low and narrow.high <= result.high


@few
@given(intervals(), intervals(), fractions, fractions, st.floats(0, 50))
def test_comparisons_are_sound(a: Quantity, b: Quantity, f: float, g: float, spread: float) -> None:
    answer, x, y = at_most(a, b), inside(a, f), inside(b, g)
    room = EPS * max(abs(x), abs(y), 1e-3) * 1.01
    if answer is True:
        assert x <= y + room
        assert not (a.estimate or b.estimate)
    if answer is False:
        assert x > y
    assert at_least(b, a) is answer
    # Knowing less never decides what was open, nor turns the answer round.
    assert at_most(a.widened(0, spread), b) in (answer, None)
    assert at_most(a, b.widened(0, spread)) in (answer, None)


@pytest.mark.parametrize(
    ("value", "expected"),
    [(16.0, True), (16 * (1 + 0.9e-6), True), (16 * (1 + 1.2e-6), False), (15.99, True), (16.001, False)],
)
def test_at_most_a_hair_to_each_side(value: float, expected: bool) -> None:
    assert at_most(exactly(value, L), exactly(16, L)) is expected


def test_a_limit_of_zero_allows_rounding_only() -> None:
    zero = exactly(0, L)
    assert at_most(exactly(1e-12, L), zero) is True
    assert at_most(exactly(1e-8, L), zero) is False
    assert at_least(exactly(-1e-12, L), zero) is True


def test_small_limits_are_as_sharp_as_large_ones() -> None:
    limit = exactly(1 / 150, Dimension.RATIO)
    assert at_least(exactly(1 / 150 * (1 - 1e-4), Dimension.RATIO), limit) is False


def test_a_range_across_the_limit_is_undecided() -> None:
    assert at_most(Quantity(15.5, 16.25, L), exactly(16, L)) is None
    assert at_most(Quantity(15.5, 16.0, L), exactly(16, L)) is True
    assert at_most(Quantity(16.5, 17.0, L), exactly(16, L)) is False


def test_an_estimate_never_proves_a_pass() -> None:
    guess, limit = Quantity(12, 12, L, estimate=True), exactly(16, L)
    assert at_most(guess, limit) is None
    assert at_least(limit, guess) is None
    assert at_most(exactly(12, L), Quantity(16, 16, L, estimate=True)) is None
    assert at_most(Quantity(22, 22, L, estimate=True), limit) is False


@few
@given(intervals(), intervals())
def test_same(a: Quantity, b: Quantity) -> None:
    assert same(a, a)
    assert same(a, b) == same(b, a)
    assert not same(a, a + exactly(1 + 1e-3 * (abs(a.low) + abs(a.high)), L))


def test_same_minds_dimension_and_estimate() -> None:
    assert same(exactly(16, L), exactly(406.4 / 25.4, L))
    assert not same(exactly(16, L), exactly(16, Dimension.LOAD))
    assert not same(exactly(16, L), Quantity(16, 16, L, estimate=True))
    assert not same(exactly(16, L), Quantity(16, 17, L))


def test_properties() -> None:
    measured, spread, guess = exactly(16, L), Quantity(15, 17, L), Quantity(16, 16, L, estimate=True)
    assert (measured.exact, spread.exact, guess.exact) == (True, False, False)
    assert (measured.is_range, spread.is_range, guess.is_range) == (False, True, False)
    assert (measured.value, guess.value, spread.middle) == (16, 16, 16)
    with pytest.raises(ValueError, match="single value"):
        _ = spread.value


def test_products_have_the_right_size() -> None:
    ft = exactly(12, L)
    sq_ft = times(ft, ft)
    cu_ft = times(sq_ft, ft)
    expected = [
        (sq_ft, 144, Dimension.AREA),
        (cu_ft, 1728 / 231, Dimension.VOLUME),
        (times(exactly(40, Dimension.LOAD), ft), 40, Dimension.LINE_LOAD),
        (times(ft, exactly(40, Dimension.LINE_LOAD)), 40, Dimension.FORCE),
        (times(exactly(40, Dimension.LOAD), sq_ft), 40, Dimension.FORCE),
        (times(exactly(2, Dimension.STRESS), sq_ft), 288, Dimension.FORCE),
        (times(exactly(62.4, Dimension.DENSITY), ft), 62.4, Dimension.LOAD),
        (times(exactly(62.4, Dimension.DENSITY), cu_ft), 62.4, Dimension.FORCE),
        (times(ft, exactly(1 / 48, Dimension.SLOPE)), 0.25, L),
        (times(exactly(0.5, Dimension.RATIO), ft), 6, L),
        (times(ft, exactly(3, Dimension.COUNT)), 36, L),
        (times(exactly(3, Dimension.COUNT), exactly(0.5, Dimension.RATIO)), 1.5, Dimension.RATIO),
    ]
    for found, value, dimension in expected:
        assert found.dimension is dimension
        assert math.isclose(found.value, value, rel_tol=1e-12)


def test_what_has_no_meaning_is_refused() -> None:
    length, load = exactly(16, L), exactly(40, Dimension.LOAD)
    for operation in (lambda: length + load, lambda: at_most(length, load), lambda: hull(length, load),
                      lambda: ratio(length, load), lambda: times(load, load)):  # fmt: skip
        with pytest.raises(TypeError, match="load"):
            operation()
    with pytest.raises(ZeroDivisionError):
        ratio(length, Quantity(-1, 1, L))
    with pytest.raises(ZeroDivisionError):
        _ = length / 0
    with pytest.raises(ValueError, match="at least one"):
        minimum()
    for fraction, least in ((-0.1, 0), (0, -1), (math.nan, 0)):
        with pytest.raises(ValueError, match="widened"):
            length.widened(fraction, least)
    for wrong in ("length + 1", "length - 1", "length * length", "length / length", "length < length"):
        with pytest.raises(TypeError):
            eval(wrong, {"length": length})


@pytest.mark.parametrize(
    ("low", "high"), [(2, 1), (math.nan, 1), (1, math.nan), (-math.inf, 1), (1, math.inf), (math.inf, math.inf)]
)
def test_only_finite_intervals(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="not an interval"):
        Quantity(low, high, L)


def test_a_result_too_large_for_a_number_is_refused() -> None:
    with pytest.raises(ValueError, match="not an interval"):
        _ = exactly(1e308, L) * 10


def test_a_quantity_is_a_value() -> None:
    q = Quantity(15, 17, L, estimate=True)
    assert pickle.loads(pickle.dumps(q)) == q
    assert {q, Quantity(15, 17, L, estimate=True)} == {q}
    with pytest.raises(AttributeError):
        q.low = 3  # type: ignore[misc]
