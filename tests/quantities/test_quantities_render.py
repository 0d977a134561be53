"""Texts for people, and texts that read back."""

from __future__ import annotations

import math
import string
from typing import get_args

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_core.quantities import (
    Dimension,
    Quantity,
    QuantityError,
    Units,
    at_most,
    exactly,
    number_in,
    parse,
    parse_extent,
    parse_positions,
    parse_size,
    render,
    written,
)
from inspect_core.quantities.dimensions import UNIT_NAMED, UNITS_BY_KEY
from inspect_core.quantities.tape import feet_and_inches, inches, plain

D = Dimension
few = settings(max_examples=80, deadline=None)
BOTH: tuple[Units, ...] = get_args(Units)
either = st.sampled_from(BOTH)


@pytest.mark.parametrize(
    ("value", "imperial", "metric"),
    [
        (15.875, "15 7/8 in", "just over 403.2 mm"),
        (16, "16 in", "406.4 mm"),
        (0.5, "1/2 in", "12.7 mm"),
        (23 / 32, "23/32 in", "just under 18.3 mm"),
        (35.9375, "35 15/16 in", "just over 912.8 mm"),
        (36, "3 ft", "914.4 mm"),
        (98.5, "8 ft 2 1/2 in", "2501.9 mm"),
        (96.5, "8 ft 1/2 in", "2451.1 mm"),
        (-98.5, "-8 ft 2 1/2 in", "-2501.9 mm"),
        (-0.25, "-1/4 in", "just under -6.3 mm"),
        (400 / 25.4, "just under 15 3/4 in", "400 mm"),
        (16.0001, "just over 16 in", "just over 406.4 mm"),
        (15.9999, "just under 16 in", "just under 406.4 mm"),
        (-15.9999, "just over -16 in", "just over -406.4 mm"),
        (95.99, "just under 8 ft", "just over 2438.1 mm"),
        (0, "0 in", "0 mm"),
        (1e-12, "0 in", "0 mm"),
        (-1e-12, "0 in", "0 mm"),
        (0.006, "6 mil", "just over 0.15 mm"),
        (0.0061, "6.1 mil", "just over 0.15 mm"),
        (-0.002, "-2 mil", "just over -0.051 mm"),
        (0.2 / 25.4, "just under 7.9 mil", "0.2 mm"),
    ],
)
def test_lengths_for_people(value: float, imperial: str, metric: str) -> None:
    assert render(exactly(value, D.LENGTH), "in") == imperial
    assert render(exactly(value, D.LENGTH), "mm") == metric


@pytest.mark.parametrize(
    ("text", "imperial", "metric"),
    [
        ("15 1/2 .. 16 1/4", "15 1/2 to 16 1/4 in", "393.7 to just under 412.8 mm"),
        ("35 .. 37", "35 in to 3 ft 1 in", "889 to 939.8 mm"),
        ("8' .. 9'", "8 ft to 9 ft", "2438.4 to 2743.2 mm"),
        ("~16", "about 16 in", "about 406.4 mm"),
        ("~400 mm", "about 15 3/4 in", "about 400 mm"),
        ("~15 .. 17", "about 15 to 17 in", "about 381 to 431.8 mm"),
    ],
)
def test_ranges_and_estimates_for_people(text: str, imperial: str, metric: str) -> None:
    q = parse(text, D.LENGTH, "in")
    assert q is not None
    assert render(q, "in") == imperial
    assert render(q, "mm") == metric


@pytest.mark.parametrize(
    ("text", "dimension", "imperial", "metric"),
    [
        ("40 psf", D.LOAD, "40 psf", "1.915 kPa"),
        ("1.9 kPa", D.LOAD, "39.68 psf", "1.9 kPa"),
        ("40.00005 psf", D.LOAD, "just over 40 psf", "1.915 kPa"),
        ("120 plf", D.LINE_LOAD, "120 plf", "1.751 kN/m"),
        ("900 psi", D.STRESS, "900 psi", "6.205 MPa"),
        ("1600000 psi", D.STRESS, "1600000 psi", "11032 MPa"),
        ("330 lb", D.FORCE, "330 lb", "1.468 kN"),
        ("50 sq in", D.AREA, "50 sq in", "0.03226 m2"),
        ("3 sq ft", D.AREA, "3 sq ft", "0.2787 m2"),
        ("900 mm2", D.AREA, "just over 1.395 sq in", "900 mm2"),
        ("0", D.AREA, "0 sq in", "0 mm2"),
        ("45 gal", D.VOLUME, "45 gal", "170.3 L"),
        ("17 %", D.MOISTURE, "17%", "17%"),
        ("15 .. 17 %", D.MOISTURE, "15 to 17%", "15 to 17%"),
        ("55 %", D.HUMIDITY, "55%", "55%"),
        ("68 F", D.TEMPERATURE, "68 °F", "20 °C"),
        ("0 C", D.TEMPERATURE, "32 °F", "0 °C"),
        ("1/4 in per ft", D.SLOPE, "1/4 in per ft", "1:48"),
        ("1/8 .. 1/4 in per ft", D.SLOPE, "1/8 to 1/4 in per ft", "1:96 to 1:48"),
        ("2 %", D.SLOPE, "just under 1/4 in per ft", "2%"),
        ("0.3 %", D.SLOPE, "0.036 in per ft", "0.3%"),
        ("1/16 in per ft", D.SLOPE, "1/16 in per ft", "1:192"),
        ("0.1 %", D.SLOPE, "0.012 in per ft", "1:1000"),
        ("0", D.SLOPE, "0 in per ft", "0%"),
        ("1/150", D.RATIO, "1/150", "1/150"),
        ("0.0067", D.RATIO, "0.0067", "0.0067"),
        ("1.25", D.RATIO, "1.25", "1.25"),
        ("0.06 perm", D.PERMEANCE, "0.06 perm", "3.444 ng/(s m2 Pa)"),
        ("50 cfm", D.FLOW, "50 cfm", "just under 23.6 L/s"),
        ("35 pcf", D.DENSITY, "35 pcf", "560.6 kg/m3"),
        ("8", D.COUNT, "8", "8"),
        ("15 min", D.DURATION, "15 min", "15 min"),
        ("2 h", D.DURATION, "2 h", "2 h"),
        ("1 day", D.DURATION, "24 h", "24 h"),
        ("3 days", D.DURATION, "3 days", "3 days"),
    ],
)
def test_other_dimensions_for_people(text: str, dimension: Dimension, imperial: str, metric: str) -> None:
    q = parse(text, dimension, "in")
    assert q is not None
    assert render(q, "in") == imperial
    assert render(q, "mm") == metric


@few
@given(st.integers(1, 4000), st.floats(1e-5, 0.4), st.booleans(), either)
def test_a_hair_past_a_limit_never_prints_as_the_limit(sixteenths: int, hair: float, over: bool, units: Units) -> None:
    limit = exactly(sixteenths / 16 if units == "in" else round(sixteenths / 16, 1) / 25.4, D.LENGTH)
    past = limit + exactly(hair if over else -hair, D.LENGTH)
    if at_most(past if over else limit, limit if over else past) is False:
        assert render(past, units) != render(limit, units)


@few
@given(st.integers(-20_000, 20_000), either)
@example(15 * 16 + 14, "mm")
def test_sixteenths_of_an_inch_read_back_exactly(sixteenths: int, units: Units) -> None:
    q = exactly(sixteenths / 16, D.LENGTH)
    back = parse(written(q, units), D.LENGTH, units)
    assert back is not None and math.isclose(back.value, q.value, rel_tol=1e-12)
    if units == "in":
        assert back == q


@few
@given(st.integers(-200_000, 200_000), either)
def test_tenths_of_a_millimetre_read_back_as_they_were(tenths: int, units: Units) -> None:
    q = parse(f"{tenths / 10} mm", D.LENGTH, "in")
    assert q is not None
    back = parse(written(q, units), D.LENGTH, units)
    assert back is not None and math.isclose(back.value, q.value, rel_tol=1e-12)


written_values = st.one_of(
    st.floats(-1e6, 1e6, allow_subnormal=False),
    st.integers(-10_000, 10_000).map(float),
    st.floats(-1e-6, 1e-6, allow_subnormal=False),
    st.sampled_from([0.02, 1 / 48, 1 / 150, 1 / 3, 0.0067, 0.06, 40 * 0.3048]),
)


@settings(max_examples=200, deadline=None)
@example(D.RATIO, 1e-12, 1.0, False, "in")
@example(D.TEMPERATURE, 0.0, 5.5e-283, False, "mm")  # its two ends round past each other
@given(st.sampled_from(Dimension), written_values, written_values, st.booleans(), either)
def test_what_is_written_reads_back(dimension: Dimension, a: float, b: float, estimate: bool, units: Units) -> None:
    if dimension is D.COUNT:
        a, b = float(round(a)), float(round(b))
    q = Quantity(min(a, b), max(a, b), dimension, estimate)
    text = written(q, units)
    assert len(text) <= 60
    for read_in in BOTH:  # with its unit, the text doesn't depend on the file's
        back = parse(text, dimension, read_in)
        assert back is not None and back.estimate == estimate
        assert math.isclose(back.low, q.low, rel_tol=1e-9, abs_tol=1e-9)
        assert math.isclose(back.high, q.high, rel_tol=1e-9, abs_tol=1e-9)
    assert render(q, units).isprintable()
    assert number_in(q.low, dimension, units) <= number_in(q.high, dimension, units)


@pytest.mark.parametrize(
    ("text", "dimension", "imperial", "metric"),
    [
        ("15 7/8", D.LENGTH, "15 7/8 in", "403.225 mm"),
        ("8' 2 1/2\"", D.LENGTH, "8 ft 2 1/2 in", "2501.9 mm"),
        ("8'", D.LENGTH, "8 ft", "2438.4 mm"),
        ("23/32 in", D.LENGTH, "23/32 in", "23/32 in"),
        ("400 mm", D.LENGTH, "400 mm", "400 mm"),
        ("15.9 in", D.LENGTH, "15.9 in", "403.86 mm"),
        ("6 mil", D.LENGTH, "0.006 in", "0.1524 mm"),
        ("~15 .. 17", D.LENGTH, "~15 .. 17 in", "~381 .. 431.8 mm"),
        ("8' .. 9'", D.LENGTH, "8 ft .. 9 ft", "2438.4 .. 2743.2 mm"),
        ("1/4 in per ft", D.SLOPE, "1/4 in per ft", "1:48"),
        ("2 %", D.SLOPE, "0.24 in per ft", "2%"),
        ("1/150", D.RATIO, "1/150", "1/150"),
        ("150 kg", D.FORCE, "150 kg", "150 kg"),
        ("1.9 kPa", D.LOAD, "1.9 kPa", "1.9 kPa"),
        ("40 psf", D.LOAD, "40 psf", "40 psf"),
        ("24 h", D.DURATION, "1440 min", "1440 min"),
        ("8", D.COUNT, "8", "8"),
        ("20 C", D.TEMPERATURE, "68 F", "20 C"),
    ],
)
def test_written(text: str, dimension: Dimension, imperial: str, metric: str) -> None:
    q = parse(text, dimension, "in")
    assert q is not None
    assert written(q, "in") == imperial
    assert written(q, "mm") == metric


def test_a_tiny_number_is_written_short_enough_to_read() -> None:
    for dimension in Dimension:
        q = Quantity(-1.234567890123e-9, 1.234567890123e-300, dimension)
        assert len(written(q, "mm")) <= 60


@pytest.mark.parametrize(
    ("number", "digits", "text"),
    [(0.0067, 4, "0.0067"), (40, 4, "40"), (1234567, 3, "1234567"), (1.5e-7, 4, "0.00000015"), (-0.0, 4, "0"),
     (999999.9, 4, "1000000"), (46451.519999999997, 12, "46451.52"), (1e20, 4, "1" + "0" * 20), (0.1 + 0.2, 12, "0.3")],
)  # fmt: skip
def test_plain_numbers(number: float, digits: int, text: str) -> None:
    assert plain(number, digits) == text


def test_tape_notation() -> None:
    assert [inches(parts, 16) for parts in (0, 1, 2, 8, 16, 17, -17, 254)] == [
        "0", "1/16", "1/8", "1/2", "1", "1 1/16", "-1 1/16", "15 7/8",
    ]  # fmt: skip
    assert feet_and_inches(36 * 16 - 1, 16) == "35 15/16 in"
    assert feet_and_inches(-36 * 16, 16) == "-3 ft"


UNIT_TEXTS = sorted({key for table in UNITS_BY_KEY.values() for key in table} | {n for _, n in UNIT_NAMED})
pieces = st.one_of(
    st.sampled_from([*UNIT_TEXTS, " ", "  ", "-", "/", ".", "..", " to ", " x ", "~", "about ", "'", '"', ":", ",", "½",
                     "per", "(", ")", "every ", " from ", " for ", "0", "1", "7/8", "15 7/8", "12", "unknown", "e",
                     "−"]),
    st.text(string.printable, max_size=3),
    st.text(max_size=2),
)  # fmt: skip
pieced = st.lists(pieces, max_size=12).map("".join)


@settings(max_examples=250, deadline=None)
@given(pieced, st.sampled_from(Dimension), either)
def test_any_text_is_read_or_refused_with_a_valid_example(text: str, dimension: Dimension, units: Units) -> None:
    try:
        q = parse(text, dimension, units)
    except QuantityError as error:
        assert parse(error.example, dimension, units) is not None
        assert str(error).isprintable()
        return
    if q is not None:
        back = parse(written(q, units), dimension, units)
        assert back is not None
        assert math.isclose(back.low, q.low, rel_tol=1e-9, abs_tol=1e-9)
        assert back.estimate == q.estimate


@settings(max_examples=150, deadline=None)
@given(pieced, either)
def test_any_text_is_read_or_refused_as_extent_size_or_positions(text: str, units: Units) -> None:
    for read in (lambda: parse_extent(text, units), lambda: parse_size(text), lambda: parse_positions(text, units)):
        try:
            read()
        except QuantityError as error:
            assert error.expected and error.example


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [
        (0.195, 0.195, "19.5%"),
        (0.5, 0.5, "50%"),
        (0.9, 0.95, "90 to 95%"),
        (1, 1, "100%"),
        (0.19499, 0.19499, "just under 19.5%"),
    ],
)
def test_a_ratio_that_is_said_in_percent(low: float, high: float, shown: str) -> None:
    assert render(Quantity(low, high, Dimension.RATIO), "in", percent=True) == shown


def test_only_ratios_are_shown_in_percent() -> None:
    assert render(exactly(2.5, Dimension.LENGTH), "in", percent=True) == "2 1/2 in"
