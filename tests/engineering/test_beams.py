"""Laws that hold for every beam, the exactness of extremes, pattern loads, and what is refused."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_core.engineering.beams import (
    Beam,
    BeamError,
    Couple,
    LineLoad,
    Loads,
    Piece,
    PointLoad,
    Segment,
    Solution,
    Span,
    Support,
    envelope,
    loads_by_span,
    solve,
    superpose,
)
from inspect_core.engineering.beams_envelope import _worst
from inspect_core.engineering.beams_roots import Polynomial, derivative, value, zeros
from inspect_core.engineering.beams_solve import _eliminated, _tridiagonal

EI = 8e7
CLOSE = 1e-9

share = st.integers(0, 1009).map(lambda number: number / 1009)
"""A share of a length. Not any number: whether two places are one is decided at 1e-9 of the length, to which side of
which rounding may take a place that lies just there."""


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


@st.composite
def loads_on(draw: st.DrawFn, length: float) -> Loads:
    points = draw(st.lists(st.builds(PointLoad, share.map(lambda x: x * length), numbers(-400, 1500)), max_size=3))
    couples = draw(st.lists(st.builds(Couple, share.map(lambda x: x * length), numbers(-4e3, 4e3)), max_size=1))
    lines = [LineLoad.uniform(0, length, draw(numbers(0.5, 40)))]
    for _ in range(draw(st.integers(0, 2))):
        start, end = sorted((draw(share) * length, draw(share) * length))
        if end - start > 1e-6 * length:
            lines.append(LineLoad(start, end, draw(numbers(-20, 40)), draw(numbers(-20, 40))))
    return Loads(tuple(points), tuple(lines), tuple(couples))


@st.composite
def beams(draw: st.DrawFn) -> Beam:
    """One to five spans, overhangs, changes of stiffness, settlement, fixed supports, a hinge."""
    gaps = draw(st.lists(numbers(20, 200), min_size=1, max_size=5))
    stands = [draw(st.sampled_from([0.0, 7.5, 31.0]))]
    for gap in gaps:
        stands.append(stands[-1] + gap)
    length = stands[-1] + draw(st.sampled_from([0.0, 9.25, 40.0]))
    supports = tuple(
        Support(at, draw(st.sampled_from([0.0, 0.0, 0.25, -0.1])), draw(st.integers(0, 7)) == 0) for at in stands
    )
    cuts = sorted({draw(share) * length for _ in range(draw(st.integers(0, 3)))})
    bounds = [0.0, *(cut for cut in cuts if 1e-6 * length < cut < (1 - 1e-6) * length), length]
    assume(all(b - a > 1e-6 * length for a, b in pairwise(bounds)))
    segments = tuple(Segment(a, b, EI * draw(st.sampled_from([0.1, 0.5, 1.0, 4.0]))) for a, b in pairwise(bounds))
    hinges: tuple[float, ...] = ()
    if len(gaps) > 1 and draw(st.booleans()):
        # In the first span there is always the moment over the second support to spare.
        hinges = (stands[0] + draw(numbers(0.1, 0.9)) * gaps[0],)
    loads = draw(loads_on(length))
    couples = tuple(each for each in loads.couples if all(abs(each.at - hinge) > 1e-6 for hinge in hinges))
    return Beam(length, segments, supports, loads.point_loads, loads.line_loads, couples, hinges)


def peak(solution: Solution) -> tuple[float, float, float]:
    """Sizes of the largest shear, moment and deflection."""
    extremes = solution.extremes
    every = (extremes.shear_largest, extremes.moment_largest, extremes.deflection_largest)
    return tuple(abs(each.value) for each in every)  # type: ignore[return-value]


def along(beam: Beam, count: int = 61) -> list[float]:
    return [beam.length * number / (count - 1) for number in range(count)]


def force_of(line: LineLoad) -> tuple[float, float]:
    """The whole of a line load, and its moment about the left end of the beam."""
    length, mean = line.end - line.start, (line.at_start + line.at_end) / 2
    lever = length * (line.at_start + 2 * line.at_end) / 6
    return mean * length, mean * length * line.start + lever * length


# ---- statics ----


@settings(max_examples=25, deadline=None)
@given(beams())
def test_reactions_balance_the_loads(beam: Beam) -> None:
    solution = solve(beam)
    lines = [force_of(line) for line in beam.line_loads]
    forces = [(each.force, each.force * each.at) for each in beam.point_loads] + lines
    size = max(sum(abs(force) for force, _ in forces), max(map(abs, solution.reactions)))
    assert sum(solution.reactions) == pytest.approx(sum(force for force, _ in forces), abs=CLOSE * size)
    turning = (
        sum(moment for _, moment in forces)
        + sum(each.clockwise for each in beam.couples)
        + sum(solution.fixing_couples)
        - sum(reaction * at for reaction, at in zip(solution.reactions, solution.supports, strict=True))
    )
    assert turning == pytest.approx(0, abs=CLOSE * size * beam.length)


@settings(max_examples=25, deadline=None)
@given(beams())
def test_supports_and_hinges_hold(beam: Beam) -> None:
    """Deflection at each support is its settlement; no slope where it is fixed; no moment at hinges and free ends."""
    solution = solve(beam)
    _, moment, deflection = peak(solution)
    for support in beam.supports:
        assert solution.deflection(support.at) == pytest.approx(support.settlement, abs=CLOSE * deflection)
        if support.fixed:
            for side in ("left", "right"):
                assert solution.slope(support.at, side) == pytest.approx(0, abs=CLOSE * deflection)
    for hinge in beam.hinges:
        assert solution.moment(hinge) == pytest.approx(0, abs=CLOSE * moment)
    ends = {0.0: -1, beam.length: 1}
    for end, sign in ends.items():
        if all(support.at != end or not support.fixed for support in beam.supports):
            couple = sum(each.clockwise for each in beam.couples if abs(each.at - end) < 1e-6)
            assert solution.moment(end) == pytest.approx(-sign * couple, abs=CLOSE * moment)


@settings(max_examples=25, deadline=None)
@given(beams())
def test_the_curves_are_integrals_of_each_other(beam: Beam) -> None:
    """By Simpson's rule on each piece, exact to the third degree: moment from shear, and slope from moment."""
    solution = solve(beam)
    _, moment, deflection = peak(solution)
    for piece in solution.pieces:
        length = piece.end - piece.start
        shear_mid, moment_mid, slope_mid, _ = piece.state(length / 2)
        gain = length / 6 * (piece.shear + 4 * shear_mid + piece.shear_end)
        assert piece.moment_end - piece.moment == pytest.approx(gain, abs=CLOSE * moment)
        turn = -length / 6 / piece.ei * (piece.moment + 4 * moment_mid + piece.moment_end)
        assert piece.slope_end - piece.slope == pytest.approx(turn, abs=CLOSE * deflection)
        # Degree four: Boole's rule.
        quarter, three = piece.state(length / 4)[2], piece.state(3 * length / 4)[2]
        fall = length / 90 * (7 * piece.slope + 32 * quarter + 12 * slope_mid + 32 * three + 7 * piece.slope_end)
        assert piece.deflection_end - piece.deflection == pytest.approx(fall, abs=CLOSE * deflection)
    for left, right in pairwise(solution.pieces):
        assert left.end == right.start
        assert left.deflection_end == pytest.approx(right.deflection, abs=CLOSE * deflection)


@settings(max_examples=25, deadline=None)
@given(beams(), share, share)
def test_reciprocity(beam: Beam, first: float, second: float) -> None:
    """Maxwell: the deflection at B from a load at A is the deflection at A from the same load at B."""
    bare = beam.unsettled()
    a, b = first * beam.length, second * beam.length
    one = solve(bare.loaded_by(Loads((PointLoad(a, 1000),))))
    other = solve(bare.loaded_by(Loads((PointLoad(b, 1000),))))
    size = max(peak(one)[2], peak(other)[2])
    assert one.deflection(b) == pytest.approx(other.deflection(a), abs=1e-8 * size)


@settings(max_examples=25, deadline=None)
@given(beams(), share, st.integers(0, 3))
def test_stiffer_bends_less_and_heavier_bends_more(beam: Beam, where: float, which: int) -> None:
    """Under one load, the deflection there falls as any segment is stiffened, and grows with the load."""
    at = where * beam.length
    bare = beam.unsettled().loaded_by(Loads((PointLoad(at, 1000),)))
    solution = solve(bare)
    tiny = 1e-9 * peak(solution)[2]
    index = which % len(beam.segments)
    segments = [
        replace(segment, ei=segment.ei * 1.5) if number == index else segment
        for number, segment in enumerate(beam.segments)
    ]
    stiffer = solve(replace(bare, segments=tuple(segments)))
    heavier = solve(bare.loaded_by(Loads((PointLoad(at, 1100),))))
    assert stiffer.deflection(at) <= solution.deflection(at) + tiny
    assert heavier.deflection(at) == pytest.approx(1.1 * solution.deflection(at), rel=CLOSE, abs=tiny)
    assert solution.deflection(at) >= -tiny


@settings(max_examples=25, deadline=None)
@given(beams(), share)
def test_cutting_a_segment_or_a_load_changes_nothing(beam: Beam, where: float) -> None:
    cut = where * beam.length
    segments: list[Segment] = []
    for each in beam.segments:
        inside = each.start + 1e-5 < cut < each.end - 1e-5
        segments += [replace(each, end=cut), replace(each, start=cut)] if inside else [each]
    lines: list[LineLoad] = []
    for line in beam.line_loads:
        if line.start + 1e-5 < cut < line.end - 1e-5:
            rise = (line.at_end - line.at_start) / (line.end - line.start)
            between = line.at_start + rise * (cut - line.start)
            lines += [replace(line, end=cut, at_end=between), replace(line, start=cut, at_start=between)]
        else:
            lines.append(line)
    one, other = solve(beam), solve(replace(beam, segments=tuple(segments), line_loads=tuple(lines)))
    assert_same(one, other, beam)


def assert_same(one: Solution, other: Solution, beam: Beam, tolerance: float = CLOSE) -> None:
    shear, moment, deflection = peak(one)
    assert one.reactions == pytest.approx(other.reactions, abs=tolerance * max(map(abs, one.reactions)))
    for at in along(beam):
        assert one.deflection(at) == pytest.approx(other.deflection(at), abs=tolerance * deflection)
        assert one.moment(at) == pytest.approx(other.moment(at), abs=tolerance * moment)
        assert one.shear(at) == pytest.approx(other.shear(at), abs=tolerance * shear)
    for mine, theirs, size in zip(
        one.extremes, other.extremes, [moment, moment, shear, shear, deflection, deflection], strict=True
    ):
        assert mine.value == pytest.approx(theirs.value, abs=tolerance * size)


@settings(max_examples=25, deadline=None)
@given(beams())
def test_seen_from_behind(beam: Beam) -> None:
    """The beam turned end for end gives the same numbers turned end for end."""
    far = beam.length
    back = Beam(
        far,
        tuple(Segment(far - each.end, far - each.start, each.ei) for each in reversed(beam.segments)),
        tuple(replace(each, at=far - each.at) for each in reversed(beam.supports)),
        tuple(replace(each, at=far - each.at) for each in beam.point_loads),
        tuple(LineLoad(far - each.end, far - each.start, each.at_end, each.at_start) for each in beam.line_loads),
        tuple(Couple(far - each.at, -each.clockwise) for each in beam.couples),
        tuple(far - each for each in beam.hinges),
    )
    one, other = solve(beam), solve(back)
    shear, moment, deflection = peak(one)
    size = max(map(abs, one.reactions))
    assert one.reactions == pytest.approx(other.reactions[::-1], abs=1e-8 * size)
    for at in along(beam):
        assert one.deflection(at) == pytest.approx(other.deflection(far - at), abs=1e-8 * deflection)
        assert one.moment(at, "left") == pytest.approx(other.moment(far - at, "right"), abs=1e-8 * moment)
        assert one.shear(at, "left") == pytest.approx(-other.shear(far - at, "right"), abs=1e-8 * shear)
        assert one.slope(at, "left") == pytest.approx(-other.slope(far - at, "right"), abs=1e-8 * deflection)


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_superposition(data: st.DataObject) -> None:
    beam = data.draw(beams())
    assume(not beam.hinges)  # so that no couple meets a hinge
    more = data.draw(loads_on(beam.length))
    factor = data.draw(numbers(-2, 2))
    parts = [solve(beam), solve(beam.unsettled().loaded_by(more))]
    both = solve(
        replace(
            beam,
            point_loads=beam.point_loads + tuple(replace(p, force=factor * p.force) for p in more.point_loads),
            line_loads=beam.line_loads
            + tuple(replace(x, at_start=factor * x.at_start, at_end=factor * x.at_end) for x in more.line_loads),
            couples=beam.couples + tuple(replace(c, clockwise=factor * c.clockwise) for c in more.couples),
        )
    )
    summed = superpose(parts, [1, factor])
    assert summed.settlements == both.settlements
    larger = max(abs(factor), 1) * max(peak(each)[1] for each in parts)
    for at in along(beam):
        assert summed.moment(at) == pytest.approx(both.moment(at), abs=1e-8 * larger)
    assert summed.extremes.moment_max.value == pytest.approx(both.extremes.moment_max.value, abs=1e-8 * larger)


def test_a_beam_that_sinks_evenly_does_not_bend() -> None:
    beam = Beam.prismatic(300, EI, [Support(0, 0.5), Support(120, 0.5), Support(300, 0.5)])
    solution = solve(beam)
    assert solution.extremes.moment_largest.value == pytest.approx(0, abs=1e-6)
    assert solution.deflection(77) == pytest.approx(0.5)
    assert solution.span_extremes(1, from_chord=True).deflection_largest.value == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize("width", [Fraction(1, 64), Fraction(1, 2**20)])
def test_a_weak_sliver_beside_a_support_loses_no_digits(width: Fraction) -> None:
    """Two spans of 120 in, a sliver of a thousandth of the stiffness left of the middle support; in exact fractions.

    There a stiffness matrix with a node at each end of the sliver would lose six digits and more.
    """
    span, rate, stiff = Fraction(120), Fraction(10), Fraction(EI)
    loads = Loads(line_loads=(LineLoad.uniform(0, 240, 10),))
    cut = float(span - width)
    beam = replace(
        Beam.prismatic(240, EI, [0, 120, 240], loads),
        segments=(Segment(0, cut, EI), Segment(cut, 120, EI / 1000), Segment(120, 240, EI)),
    )

    def turned(low: Fraction, high: Fraction, ei: Fraction) -> tuple[Fraction, Fraction]:
        """The integrals of (x/l)² / EI and of x/l times the simple span's moment / EI."""
        by_moment = (high**3 - low**3) / (3 * span**2 * ei)
        by_load = rate / (2 * span * ei) * (span * (high**3 - low**3) / 3 - (high**4 - low**4) / 4)
        return by_moment, by_load

    parts = [turned(Fraction(0), span - width, stiff), turned(span - width, span, stiff / 1000)]
    parts.append(turned(Fraction(0), span, stiff))  # the right span, seen from its far end
    moment = -sum(by_load for _, by_load in parts) / sum(by_moment for by_moment, _ in parts)
    solution = solve(beam)
    assert solution.moment(120) == pytest.approx(float(moment), rel=1e-12)
    end = float(rate * span / 2 + moment / span)
    assert solution.reactions == pytest.approx((end, 2400 - 2 * end, end), rel=1e-12)


def test_one_fixed_support_with_an_overhang_on_both_sides() -> None:
    loads = Loads(point_loads=(PointLoad(0, 300), PointLoad(100, 200)))
    beam = Beam.prismatic(100, EI, [Support(40, 0.1, fixed=True)], loads)
    solution = solve(beam)
    assert beam.loads == loads
    assert solution.reactions == pytest.approx((500,))
    assert solution.fixing_couples == pytest.approx((300 * 40 - 200 * 60,), abs=1e-9)
    assert solution.deflection(0) == pytest.approx(0.1 + 300 * 40**3 / (3 * EI))
    assert solution.deflection(100) == pytest.approx(0.1 + 200 * 60**3 / (3 * EI))
    assert solution.span_extremes(0, from_chord=True).deflection_max == pytest.approx((0, 300 * 40**3 / (3 * EI)))


# ---- extremes ----


@settings(max_examples=25, deadline=None)
@given(beams())
def test_extremes_are_reached_and_never_passed(beam: Beam) -> None:
    solution = solve(beam)
    sizes = peak(solution)
    for index in range(-1, len(solution.spans)):
        span = Span(0, beam.length, None, None) if index < 0 else solution.spans[index]
        extremes = solution.extremes if index < 0 else solution.span_extremes(index)
        read = [
            (extremes.shear_max, extremes.shear_min, solution.shear, sizes[0]),
            (extremes.moment_max, extremes.moment_min, solution.moment, sizes[1]),
            (
                extremes.deflection_max,
                extremes.deflection_min,
                lambda at, _side: solution.deflection(at),
                sizes[2],
            ),
        ]
        for greatest, least, curve, size in read:
            for number in range(1, 50):
                here = curve(span.start + span.length * number / 50, "right")
                assert least.value - CLOSE * size <= here <= greatest.value + CLOSE * size
            for at, extreme in (greatest, least):
                assert span.start <= at <= span.end
                either = [curve(at, "left"), curve(at, "right")]
                assert min(abs(extreme - here) for here in either) <= 1e-8 * size


def test_of_equal_extremes_the_leftmost_is_named() -> None:
    loads = Loads(line_loads=(LineLoad.uniform(0, 290.1, 10),))
    solution = solve(Beam.prismatic(290.1, EI, [0, 96.7, 193.4, 290.1], loads))
    assert solution.extremes.moment_max.at == pytest.approx(0.4 * 96.7)
    assert solution.extremes.moment_min.at == pytest.approx(96.7)
    assert solution.extremes.deflection_max.at < 96.7


def test_extremes_on_part_of_the_beam() -> None:
    loads = Loads(line_loads=(LineLoad.uniform(0, 200, 10),))
    solution = solve(Beam.prismatic(200, EI, [0, 200], loads))
    part = solution.extremes_between(20, 60)
    assert part.shear_max == pytest.approx((20, 800))
    assert part.shear_min == pytest.approx((60, 400))
    assert part.moment_max == pytest.approx((60, solution.moment(60)))
    assert part.deflection_min == pytest.approx((20, solution.deflection(20)))
    assert solution.extremes_between(0, 200) == solution.extremes
    for start, end in [(60, 20), (-5, 20), (30, 201), (200, 200 + 1e-8)]:
        with pytest.raises(BeamError, match="is not on the beam"):
            solution.extremes_between(start, end)


def test_shear_away_from_supports() -> None:
    loads = Loads(line_loads=(LineLoad.uniform(0, 230, 10),))
    solution = solve(Beam.prismatic(230, EI, [30, 130, 230], loads))
    at, shear = solution.shear_away_from_supports(7.25) or (0.0, 0.0)
    assert (at, shear) == pytest.approx((130 + 7.25, solution.shear(130 + 7.25)))
    assert solution.shear_away_from_supports(0) == solution.extremes.shear_largest
    assert solution.shear_away_from_supports(50) is None  # the two spans are 100 long, the overhang 30
    assert solution.shear_away_from_supports(29) is not None
    with pytest.raises(BeamError, match="distance"):
        solution.shear_away_from_supports(-1)


def test_deflection_from_the_chord() -> None:
    """A span's own sag counts from the line between its settled supports."""
    loads = Loads(line_loads=(LineLoad.uniform(0, 100, 10),))
    supports = [Support(0, 0.2), Support(100, 0.5)]
    solution = solve(Beam.prismatic(130, EI, supports, loads))
    level = solve(Beam.prismatic(130, EI, [0, 100], loads))
    own = solution.span_extremes(0, from_chord=True).deflection_max
    assert own == pytest.approx(level.span_extremes(0).deflection_max)
    whole = solution.span_extremes(0).deflection_max
    assert whole.value > own.value + 0.2
    tip = solution.span_extremes(1, from_chord=True).deflection_min
    assert tip == pytest.approx((130, level.deflection(130) + 30 * 0.3 / 100))


def test_spans_and_sides() -> None:
    solution = solve(
        Beam.prismatic(150, EI, [10, 100], Loads((PointLoad(40, 500),), (), (Couple(70, 900),))),
    )
    assert solution.spans == (Span(0, 10, None, 0), Span(10, 100, 0, 1), Span(100, 150, 1, None))
    assert [span.overhang for span in solution.spans] == [True, False, True]
    assert [span.length for span in solution.spans] == [10, 90, 50]
    assert solution.shear(40, "left") - solution.shear(40, "right") == pytest.approx(500)
    assert solution.moment(70, "right") - solution.moment(70, "left") == pytest.approx(900)
    assert solution.moments([40, 70]) == (
        solution.moment(40),
        max(solution.moment(70, "left"), solution.moment(70), key=abs),
    )
    assert solution.shear(10, "left") == solution.shear(0) == 0
    assert solution.shear(10) == pytest.approx(solution.reactions[0])
    for at in (-1, 150.1, float("nan")):
        with pytest.raises(BeamError, match="is not on the beam"):
            solution.deflection(at)


def test_a_place_that_misses_a_support_by_rounding_is_the_support() -> None:
    third = 0.1 + 0.2  # not 0.3
    loads = Loads((PointLoad(100 * third, 500),))
    solution = solve(Beam.prismatic(100, EI, [0, 30, 100], loads))
    assert solution.reactions == pytest.approx((0, 500, 0), abs=1e-9)
    assert len(solution.pieces) == 2
    assert solution.moment(15) == pytest.approx(0, abs=1e-9)
    # Asked for a side, one gets that side, even a rounding error past the jump.
    jump = solve(Beam.prismatic(100, EI, [0, 100], Loads((PointLoad(30, 500),))))
    for at in (30 - 1e-12, 30.0, 30 + 1e-12):
        assert jump.shear(at, "left") == pytest.approx(350)
        assert jump.shear(at, "right") == pytest.approx(-150)


# ---- live load on some spans ----


@settings(max_examples=10, deadline=None)
@given(beams())
def test_no_pattern_passes_the_envelope_and_one_reaches_it(beam: Beam) -> None:
    """Against all patterns tried one by one."""
    live = loads_by_span(beam, Loads(line_loads=(LineLoad(0, beam.length, 5, 25),)))
    worst = envelope(beam, live)
    every = [
        worst.pattern(loaded) for count in range(len(live) + 1) for loaded in combinations(range(len(live)), count)
    ]
    sizes = [max(peak(each)[kind] for each in every) for kind in range(3)]
    found = {
        "shear": (worst.shears, 2, sizes[0]),
        "moment": (worst.moments, 0, sizes[1]),
        "deflection": (worst.deflections, 4, sizes[2]),
    }
    for spread, place, size in found.values():
        greatest = max(each.extremes[place].value for each in every)
        least = min(each.extremes[place + 1].value for each in every)
        assert spread.greatest.value == pytest.approx(greatest, abs=CLOSE * size)
        assert spread.least.value == pytest.approx(least, abs=CLOSE * size)
        named = worst.pattern(spread.greatest.loaded).extremes[place]
        assert named.value == pytest.approx(greatest, abs=CLOSE * size)
    for order, spread in enumerate(worst.reactions):
        values = [each.reactions[order] for each in every]
        assert spread.greatest.value == pytest.approx(max(values), abs=CLOSE * max(map(abs, values)))
        assert spread.least.value == pytest.approx(min(values), abs=CLOSE * max(map(abs, values)))
    for index in range(len(worst.spans)):
        own = worst.span_deflections(index)
        ranges = [each.span_extremes(index, from_chord=True) for each in every]
        assert own.greatest.value == pytest.approx(max(r.deflection_max.value for r in ranges), abs=CLOSE * sizes[2])
        assert own.least.value == pytest.approx(min(r.deflection_min.value for r in ranges), abs=CLOSE * sizes[2])
    middle = beam.length * 0.43
    at_middle = [each.moment(middle) for each in every]
    assert worst.at("moment", middle).greatest.value == pytest.approx(max(at_middle), abs=CLOSE * sizes[1])
    assert worst.at("moment", middle).least.value == pytest.approx(min(at_middle), abs=CLOSE * sizes[1])
    away = worst.shear_away_from_supports(8)
    singly = [each.shear_away_from_supports(8) for each in every]
    assert away is not None
    assert abs(away.value) == pytest.approx(max(abs(each.value) for each in singly if each), abs=CLOSE * sizes[0])


def test_the_worst_may_lie_where_a_part_has_just_changed_sides() -> None:
    """Base 5 + 2s - s², one part 1 - s/2 that helps up to 2 only, one 0.3s that always helps.

    The greatest is that of all three, 6 + 1.8s - s², at 0.9; the least leaves the last one out, at the far end.
    """
    zero = (0.0,) * 6
    base = Piece(0, 10, 1, 2, 0, 2, 5, *zero)
    parts = [Piece(0, 10, 1, 0, 0, -0.5, 1, *zero), Piece(0, 10, 1, 0, 0, 0.3, 0, *zero)]
    greatest, least = _worst([[base], [parts[0]], [parts[1]]], Piece.moment_terms)
    assert greatest == (pytest.approx(0.9), pytest.approx(6 + 0.9**2), (0, 1))
    assert least == (10, pytest.approx(5 + 20 - 100 + 1 - 5), (0,))


@settings(max_examples=10, deadline=None)
@given(st.data())
def test_loads_by_span_leave_nothing_out(data: st.DataObject) -> None:
    beam = data.draw(beams())
    assume(not beam.hinges)
    loads = data.draw(loads_on(beam.length))
    parts = loads_by_span(beam, loads)
    assert len(parts) == len(solve(beam).spans)
    bare = beam.unsettled()
    summed = superpose([solve(bare.loaded_by(part)) for part in parts])
    assert_same(solve(bare.loaded_by(loads)), summed, beam, tolerance=1e-8)


def test_envelope_without_live_load_is_the_base() -> None:
    beam = Beam.prismatic(200, EI, [0, 90, 200], Loads((PointLoad(50, 700),)))
    worst = envelope(beam, [])
    assert worst.moments.greatest[:2] == solve(beam).extremes.moment_max
    assert worst.moments.largest.loaded == ()
    assert worst.shear_away_from_supports(60) is None


def test_superposing_needs_one_beam() -> None:
    one = solve(Beam.prismatic(200, EI, [0, 90, 200]))
    with pytest.raises(BeamError, match="same beam"):
        superpose([one, solve(Beam.prismatic(200, EI, [0, 91, 200]))])
    with pytest.raises(BeamError, match="same beam"):
        superpose([one, solve(Beam.prismatic(200, 2 * EI, [0, 90, 200]))])
    with pytest.raises(BeamError, match="no solution"):
        superpose([])
    with pytest.raises(BeamError, match="as many factors"):
        superpose([one], [1, 2])


# ---- what is refused ----

NAN = float("nan")
SIMPLE = Beam.prismatic(200, EI, [0, 200])


def hinged(supports: list[float | Support], *hinges: float) -> Beam:
    return replace(Beam.prismatic(300, EI, supports), hinges=hinges)


@pytest.mark.parametrize(
    ("beam", "says"),
    [
        (replace(SIMPLE, length=0), "length must be above zero"),
        (replace(SIMPLE, length=NAN), "length must be above zero"),
        (replace(SIMPLE, supports=()), "no support"),
        (replace(SIMPLE, supports=(Support(50),)), "tips over"),
        (replace(SIMPLE, supports=(Support(200), Support(0))), "in order and apart"),
        (replace(SIMPLE, supports=(Support(0), Support(0))), "in order and apart"),
        (replace(SIMPLE, supports=(Support(0), Support(201))), "a support at 201 is off the beam"),
        (replace(SIMPLE, supports=(Support(0), Support(200, NAN))), "settlement of the support at 200"),
        (replace(SIMPLE, segments=()), "no segment"),
        (replace(SIMPLE, segments=(Segment(0, 200, 0),)), "EI from 0 to 200 must be above zero"),
        (replace(SIMPLE, segments=(Segment(0, 200, NAN),)), "EI from 0 to 200 must be above zero"),
        (replace(SIMPLE, segments=(Segment(0, 90, EI), Segment(95, 200, EI))), "starts at 95 where 90 was due"),
        (replace(SIMPLE, segments=(Segment(0, 90, EI), Segment(80, 200, EI))), "starts at 80 where 90 was due"),
        (replace(SIMPLE, segments=(Segment(0, 190, EI),)), "segments end at 190, the beam at 200"),
        (replace(SIMPLE, segments=(Segment(0, 0, EI), Segment(0, 200, EI))), "end after it starts"),
        (replace(SIMPLE, segments=(Segment(NAN, 200, EI),)), "where 0 was due"),
        (replace(SIMPLE, point_loads=(PointLoad(-3, 10),)), "a point load at -3 is off the beam"),
        (replace(SIMPLE, point_loads=(PointLoad(NAN, 10),)), "a point load at nan is off the beam"),
        (replace(SIMPLE, point_loads=(PointLoad(3, NAN),)), "no number for its size"),
        (replace(SIMPLE, couples=(Couple(300, 10),)), "a couple at 300 is off the beam"),
        (replace(SIMPLE, line_loads=(LineLoad(10, 300, 1, 1),)), "a line load's end at 300 is off the beam"),
        (replace(SIMPLE, line_loads=(LineLoad(30, 10, 1, 1),)), "end after it starts: from 30 to 10"),
        (replace(SIMPLE, line_loads=(LineLoad(10, 30, 1, NAN),)), "no number for its size"),
        (hinged([0, 300], 100), "can fold at its hinges"),
        (hinged([0, 150, 300], 100, 200), "can fold at its hinges: between the supports at 150 and 300"),
        (hinged([0, 100, 200, 300], 120, 150, 180), r"one too many \(at 120, 150, 180\)"),
        (hinged([0, 100, 200, 300], 50, 120, 150), "can fold"),
        (hinged([0, 100, 200, 300], 100, 130, 170), "can fold"),
        (hinged([0, 200], 250), "the hinge at 250 lets the overhang beyond it fall"),
        (hinged([0, 200], 200), "the hinge at 200 lets the overhang beyond it fall"),
        (hinged([100, 300], 40), "the hinge at 40 lets the overhang beyond it fall"),
        (hinged([100, 300], 100), "the hinge at 100 lets the overhang beyond it fall"),
        (hinged([0, Support(150, fixed=True), 300], 150), "fixed support at 150 has a hinge"),
        (replace(hinged([0, 150, 300], 100), couples=(Couple(100, 5),)), "say on which side"),
        (hinged([0, 150, 300], 310), "a hinge at 310 is off the beam"),
    ],
)
def test_refused(beam: Beam, says: str) -> None:
    with pytest.raises(BeamError, match=says):
        solve(beam)


@pytest.mark.parametrize(
    "beam",
    [
        hinged([0, 150, 300], 100),
        hinged([0, 150, 300], 150),
        hinged([0, 100, 200, 300], 120, 180),
        hinged([0, 100, 200, 300], 50, 150),
        hinged([0, 100, 200, 300], 100, 150),
        hinged([Support(0, fixed=True), 300], 100),
        hinged([Support(0, fixed=True), Support(300, fixed=True)], 100, 200),
        hinged([Support(0, fixed=True), Support(150, fixed=True), 300], 50, 100, 200),
        hinged([0, 300], 0),
    ],
)
def test_as_many_hinges_as_a_beam_can_bear(beam: Beam) -> None:
    solution = solve(beam.loaded_by(Loads(line_loads=(LineLoad.uniform(0, 300, 10),))))
    assert sum(solution.reactions) == pytest.approx(3000)
    for hinge in beam.hinges:
        assert solution.moment(hinge) == pytest.approx(0, abs=1e-7)


# ---- arithmetic ----


@settings(max_examples=40, deadline=None)
@given(st.lists(numbers(-3, 3), min_size=1, max_size=5), st.sampled_from([1.0, -0.25, 40.0]))
def test_zeros_of_a_product(roots: list[float], factor: float) -> None:
    """A polynomial made of its zeros gives them back."""
    assume(all(abs(a - b) > 0.05 for a, b in combinations([*roots, -2.0, 2.0], 2)))
    polynomial = [factor]
    for root in roots:
        shifted = [0.0, *polynomial]
        polynomial = [a - root * b for a, b in zip(shifted, [*polynomial, 0.0], strict=True)]
    padded: Polynomial = tuple(polynomial + [0.0] * (6 - len(polynomial)))  # type: ignore[assignment]
    found = zeros(padded, -2, 2)
    assert found == pytest.approx(sorted(root for root in roots if -2 < root < 2), abs=1e-7)


def test_zeros_that_are_only_touched_are_left_out() -> None:
    assert zeros((1, -2, 1, 0, 0, 0), 0, 2) == []
    assert zeros((0, 0, 0, 0, 0, 0), 0, 2) == []
    assert zeros((5, 0, 0, 0, 0, 0), 0, 2) == []
    assert zeros((-1, 1, 0, 0, 0, 0), 0, 2) == [1]
    assert zeros((-1, 1, 0, 0, 0, 0), 1, 2) == []
    assert zeros((-1, 3, -3, 1, 0, 0), 0, 3) == pytest.approx([1], abs=1e-4)  # a threefold zero at 1


def test_value_and_derivative() -> None:
    polynomial: Polynomial = (1, 2, 3, 4, 5, 6)
    assert value(polynomial, 2) == 1 + 4 + 12 + 32 + 80 + 192
    assert derivative(polynomial) == (2, 6, 12, 20, 30, 0)


@settings(max_examples=25, deadline=None)
@given(st.lists(numbers(0.1, 5), min_size=1, max_size=8), st.data())
def test_both_ways_of_solving_agree(extra: list[float], data: st.DataObject) -> None:
    count = len(extra)
    beside = [data.draw(numbers(-2, 2)) for _ in range(count - 1)] + [0.0]
    right = [data.draw(numbers(-9, 9)) for _ in range(count)]
    diagonal = [more + abs(beside[i]) + abs(beside[i - 1] if i else 0) for i, more in enumerate(extra)]
    rows = [{i: diagonal[i]} for i in range(count)]
    for i in range(count - 1):
        rows[i][i + 1] = rows[i + 1][i] = beside[i]
    answer = _eliminated([dict(row) for row in rows], list(right))
    assert _tridiagonal(list(diagonal), list(beside), list(right)) == pytest.approx(answer, rel=1e-9, abs=1e-9)
    for row, wanted in zip(rows, right, strict=True):
        assert sum(entry * answer[column] for column, entry in row.items()) == pytest.approx(wanted, abs=1e-9)


def test_equations_without_a_single_answer_are_refused() -> None:
    with pytest.raises(BeamError, match="no single answer"):
        _eliminated([{0: 1.0, 1: 2.0}, {0: 0.5, 1: 1.0}], [1.0, 1.0])


def test_no_heavy_import() -> None:
    """A check that needs a beam must not wait for a numerical library."""
    code = "import inspect_core.engineering.beams, sys; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
