"""Beams at the edges of what the code tells apart: short ends, places that rounding moves, ties, loads that do nothing.

Values by hand from statics and the standard cases of two equal spans (reaction of the end support 3/8 wl with both
spans loaded, 7/16 wl with its own alone), from memory.
"""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest

from inspect_core.engineering.beams import (
    Beam,
    BeamError,
    Couple,
    LineLoad,
    Loads,
    Piece,
    PointLoad,
    Segment,
    Support,
    envelope,
    loads_by_span,
    solve,
)
from inspect_core.engineering.beams_envelope import PatternExtreme, PatternRange, _worst

EI = 8e7
HAIR = 5e-8
"""In on a beam of 100 in: under the share of 1e-9 within which two places are one."""


def uniform(start: float, end: float, rate: float) -> Loads:
    return Loads(line_loads=(LineLoad.uniform(start, end, rate),))


def same(found: tuple[object, ...], *wanted: object) -> bool:
    return found == wanted


# ---- patterns ----


def test_the_worst_moment_of_two_spans_under_dead_and_live_load() -> None:
    dead, live, span = 3.0, 8.0, 100.0
    beam = Beam.prismatic(2 * span, EI, [0, span, 2 * span], uniform(0, 2 * span, dead))
    worst = envelope(beam, loads_by_span(beam, uniform(0, 2 * span, live)))
    reaction = 3 / 8 * dead * span + 7 / 16 * live * span
    assert worst.moments.greatest.value == pytest.approx(reaction**2 / (2 * (dead + live)))
    assert worst.moments.greatest.at == pytest.approx(reaction / (dead + live))
    assert worst.moments.greatest.loaded == (0,)
    assert same(worst.moments.least, span, pytest.approx(-(dead + live) * span**2 / 8), (0, 1))


def test_the_worst_of_a_cantilever_is_at_its_very_start() -> None:
    worst = envelope(Beam.prismatic(100, EI, [Support(0, fixed=True)]), [uniform(0, 100, 4)])
    assert same(worst.moments.least, 0.0, pytest.approx(-4 * 100**2 / 2), (0,))
    assert same(worst.shears.greatest, 0.0, pytest.approx(400), (0,))


def test_at_a_couple_both_sides_count() -> None:
    """A couple of 1000 lb·in at 40 of 100 in: 400 on one side of it and 600 of the other sign on the other."""
    beam = Beam.prismatic(100, EI, [0, 100])
    there = envelope(beam, [Loads(couples=(Couple(40, 1000),))]).at("moment", 40)
    assert same(there.greatest, 40, pytest.approx(600), (0,))
    assert same(there.least, 40, pytest.approx(-400), (0,))


def test_a_load_that_does_nothing_is_not_named() -> None:
    bare = Beam.prismatic(100, EI, [0, 100])
    for beam in (bare, bare.loaded_by(uniform(0, 100, 4))):
        there = envelope(beam, [Loads()]).at("moment", 50)
        assert (there.greatest.loaded, there.least.loaded) == ((), ())


def test_small_loads_are_named_as_large_ones_are() -> None:
    beam = Beam.prismatic(100, EI, [0, 100])
    there = envelope(beam, [Loads((PointLoad(50, 1e-15),)), Loads((PointLoad(50, -1e-15),))]).at("moment", 50)
    assert (there.greatest.loaded, there.least.loaded) == ((0,), (1,))


def test_of_two_of_one_size_the_greatest_is_the_largest() -> None:
    up, down = PatternExtreme(10, 5.0, (0,)), PatternExtreme(90, -5.0, (1,))
    assert PatternRange(up, down).largest == up


def test_loads_of_the_span_that_they_stand_on() -> None:
    beam = Beam.prismatic(90, EI, [0, 30, 60, 90])
    points = tuple(PointLoad(at, 1 + at) for at in (0, 10, 30, 59, 60, 90))
    turns = tuple(Couple(at, 1 + at) for at in (20, 30, 90))
    first, second, third = loads_by_span(beam, Loads(points, (), turns))
    assert [each.at for each in first.point_loads] == [0, 10]
    assert [each.at for each in second.point_loads] == [30, 59]
    assert [each.at for each in third.point_loads] == [60, 90]
    assert [[each.at for each in part.couples] for part in (first, second, third)] == [[20], [30], [90]]


def test_a_hair_makes_neither_a_span_nor_a_load() -> None:
    beam = Beam.prismatic(100, EI, [HAIR, 50, 100])
    parts = loads_by_span(beam, uniform(0, 50 + HAIR, 4))
    assert [len(part.line_loads) for part in parts] == [1, 0]


# ---- places ----


@pytest.mark.parametrize(("at", "reactions"), [
    (-HAIR, (500, 0, 0)), (HAIR, (500, 0, 0)), (30 - HAIR, (0, 500, 0)), (30 + HAIR, (0, 500, 0)),
    (100 - HAIR, (0, 0, 500)), (100 + HAIR, (0, 0, 500)),
])  # fmt: skip
def test_a_load_within_a_hair_of_a_support_stands_on_it(at: float, reactions: tuple[float, ...]) -> None:
    solution = solve(Beam.prismatic(100, EI, [0, 30, 100], Loads((PointLoad(at, 500),))))
    assert solution.reactions == pytest.approx(reactions, abs=1e-9)
    assert len(solution.pieces) == 2


def test_what_is_asked_within_a_hair_of_the_end_is_answered() -> None:
    solution = solve(Beam.prismatic(100, EI, [0, 100], uniform(0, 100, 4)))
    assert solution.shear(-HAIR) == pytest.approx(200)
    assert solution.shear(100 + HAIR) == pytest.approx(-200)
    assert solution.extremes_between(-HAIR, 100 + HAIR) == solution.extremes
    with pytest.raises(BeamError, match=r"^120 is not on the beam, which goes from 0 to 100$"):
        solution.moment(120)
    with pytest.raises(BeamError, match=r"^from 90 to 120 is not on the beam, which goes from 0 to 100$"):
        solution.extremes_between(90, 120)


def test_short_and_limp_beams_are_beams() -> None:
    short = solve(Beam.prismatic(0.5, 0.5, [0, 0.5], Loads((PointLoad(0.25, 12),))))
    assert short.reactions == pytest.approx((6, 6))
    assert short.deflection(0.25) == pytest.approx(12 * 0.5**3 / (48 * 0.5))


def test_an_overhang_of_less_than_an_inch_is_one() -> None:
    spans = solve(Beam.prismatic(100, EI, [0.5, 99.5], uniform(0, 100, 4))).spans
    assert [(span.start, span.end, span.overhang) for span in spans] == [
        (0, 0.5, True), (0.5, 99.5, False), (99.5, 100, True)
    ]  # fmt: skip


def test_a_segment_without_length_is_refused() -> None:
    segments = (Segment(0, 60, EI), Segment(60, 60, EI), Segment(60, 100, EI))
    with pytest.raises(BeamError, match="a segment must end after it starts: from 60 to 60"):
        solve(Beam(100, segments, (Support(0), Support(100))))


@pytest.mark.parametrize("hinge", [0.0, 100.0])
def test_a_hinge_over_the_last_support_lets_nothing_fall(hinge: float) -> None:
    beam = Beam(100, (Segment(0, 100, EI),), (Support(0), Support(100)), (PointLoad(25, 400),), hinges=(hinge,))
    assert solve(beam).reactions == pytest.approx((300, 100))


# ---- extremes ----


def test_of_two_shears_of_one_size_the_left_one_is_named() -> None:
    solution = solve(Beam.prismatic(100, EI, [0, 100], uniform(0, 100, 4)))
    shear = solution.shear_away_from_supports(8)
    assert shear is not None and same(shear, 8, pytest.approx(200 - 32))


def test_the_least_deflection_of_a_beam_that_has_gone_down() -> None:
    """Both supports down by 1 in, a load that lifts: least in the middle, 5 w l⁴ / 384 EI above the supports."""
    beam = Beam.prismatic(100, EI, [Support(0, 1), Support(100, 1)], uniform(0, 100, -4))
    lifted = 5 * 4 * 100**4 / (384 * EI)
    assert same(solve(beam).extremes.deflection_min, pytest.approx(50), pytest.approx(1 - lifted))
    from_chord = solve(beam).span_extremes(0, from_chord=True)
    assert same(from_chord.deflection_min, pytest.approx(50), pytest.approx(-lifted))
    assert same(from_chord.deflection_max, 0, pytest.approx(0, abs=1e-12))


def test_deflection_from_a_chord_that_is_steep() -> None:
    beam = Beam.prismatic(100, EI, [Support(0), Support(100, 100)], Loads((PointLoad(50, 480),)))
    from_chord = solve(beam).span_extremes(0, from_chord=True)
    assert same(from_chord.deflection_max, pytest.approx(50), pytest.approx(480 * 100**3 / (48 * EI)))


def test_a_shear_that_turns_within_the_first_inch() -> None:
    """The load rises from -0.5 by 1 lb/in each inch: nought at 0.5 in, where the shear is greatest, by 0.125 lb."""
    line = LineLoad(0, 100, -0.5, 99.5)
    solution = solve(Beam.prismatic(100, EI, [0, 100], Loads(line_loads=(line,))))
    assert same(solution.extremes.shear_max, 0.5, pytest.approx(solution.reactions[0] + 0.125))


def test_a_moment_that_turns_within_a_quarter_inch() -> None:
    """Held at its right end; 1 lb down at the free end, a load of -10 lb/in that fades by 0.01 each inch."""
    loads = Loads((PointLoad(0, 1),), (LineLoad(0, 100, -10, -9),))
    solution = solve(Beam.prismatic(100, EI, [Support(100, fixed=True)], loads))
    turn = (10 - sqrt(100 - 4 * 0.005)) / (2 * 0.005)  # where -1 + 10 x - 0.005 x² is nought
    moment = -turn + 5 * turn**2 - 0.01 * turn**3 / 6
    assert same(solution.extremes.moment_min, pytest.approx(turn), pytest.approx(moment))


@pytest.mark.parametrize(("even", "rise"), [(0.0, 0.0), (1e-4, 0.0), (0.0, 1e-5)])
def test_a_deflection_that_turns_just_beside_a_fixed_end(even: float, rise: float) -> None:
    """Moment 0.2 - x, less a little for a load: the slope, nought at the start, is nought near 0.4 in."""
    lines = (LineLoad(0, 10, even, even + 10 * rise),) if even or rise else ()
    loads = Loads((PointLoad(10, -1),), lines, (Couple(10, 9.8),))
    solution = solve(Beam.prismatic(10, EI, [Support(0, fixed=True)], loads))
    start = solution.moment(0)
    shear = solution.shear(0)
    at = -2 * start / shear
    for _ in range(50):  # start + shear x / 2 - even x² / 6 - rise x³ / 24 = 0
        at = -(start - even * at**2 / 6 - rise * at**3 / 24) * 2 / shear
    lowest = -(start * at**2 / 2 + shear * at**3 / 6 - even * at**4 / 24 - rise * at**5 / 120) / EI
    assert 0.3 < at < 0.5
    assert same(solution.extremes.deflection_min, pytest.approx(at), pytest.approx(lowest))


def test_a_part_that_changes_within_the_first_quarter_inch() -> None:
    """Base 5 + 10 s - 30 s², part 1 - 5 s, which helps up to 0.2: the greatest is 6 + 5/24, at 1/12."""
    base = Piece(0, 10, 1, 60, 0, 10, 5, *(0.0,) * 6)
    part = Piece(0, 10, 1, 0, 0, -5, 1, *(0.0,) * 6)
    greatest = _worst([[base], [part]], Piece.moment_terms).greatest
    assert same(greatest, pytest.approx(1 / 12), pytest.approx(6 + 5 / 24), (0,))


def test_an_overhang_bends_from_the_level_of_its_support() -> None:
    beam = Beam.prismatic(120, EI, [0, 100], Loads((PointLoad(120, 300),)))
    from_chord = solve(beam).span_extremes(1, from_chord=True).deflection_max
    assert same(from_chord, 120, pytest.approx(300 * 20**2 * (100 + 20) / (3 * EI)))


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("share", [2.0**-24, 2.0**24])
def test_a_millionth_of_the_load_does_a_millionth_of_the_work(share: float, way: int) -> None:
    """A continuous beam with a fixed end and loads of every kind: all that bends scales with them, to the last bit."""

    def beam(times: float) -> Beam:
        loads = Loads(
            (PointLoad(20, 30 * times), PointLoad(130, -45 * times)),
            (LineLoad(10, 90, 2 * times, -times), LineLoad.uniform(100, 150, 3 * times)),
            (Couple(60, 500 * times), Couple(100, 200 * times)),
        )
        return Beam.prismatic(160, EI, [Support(0, fixed=True), 70, 150], loads)

    whole, part = solve(beam(way)), solve(beam(way * share))
    assert part.reactions == tuple(each * share for each in whole.reactions)
    assert part.extremes == tuple((at, size * share) for at, size in whole.extremes)


# ---- couples and hinges ----


def test_a_couple_over_a_support_goes_to_both_spans_by_their_stiffness() -> None:
    """3 EI / l each, so 100/160 of it to the span of 60 in: moment distribution, from memory."""
    solution = solve(Beam.prismatic(160, EI, [0, 60, 160], Loads(couples=(Couple(60, 800),))))
    assert solution.moment(60, "left") == pytest.approx(-500)
    assert solution.moment(60, "right") == pytest.approx(300)


def test_a_couple_on_a_fixed_support_goes_into_it() -> None:
    solution = solve(Beam.prismatic(100, EI, [Support(0, fixed=True)], Loads(couples=(Couple(0, 700),))))
    assert solution.fixing_couples == pytest.approx((-700,))


def test_a_hinge_close_to_the_first_support() -> None:
    """At a tenth of the first of two spans: what lies before it rests by halves on the support and the hinge."""
    beam = Beam.prismatic(200, EI, [0, 100, 200], uniform(0, 200, 4))
    assert solve(replace(beam, hinges=(10.0,))).reactions[0] == pytest.approx(4 * 10 / 2)
