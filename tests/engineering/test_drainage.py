"""Drains through joists: closed forms against plain search over a fine grid, and against solid geometry."""

from __future__ import annotations

from math import cos, hypot, inf, isclose, pi, radians, sin, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering.drainage import (
    BoreLimits,
    Crossing,
    Hole,
    PipeSize,
    height_of,
    hole_at,
    hole_working,
    largest_pipe,
    least_hole,
    longest_arm_for_fall,
    nearest_clear,
    nearest_starts,
    nominal_sizes,
    pipe_size,
    pipe_sizes,
    start_below_joists,
    start_window,
    turns,
)
from inspect_core.engineering.tables import STATUSES

LIMITS = BoreLimits(1 / 3, 2.0, 2.0)
STEP = 1 / 16  # in: the search grid
slopes = st.sampled_from([1 / 96, 1 / 48, 1 / 24])
pipes = st.sampled_from([1.66, 1.9, 2.375, 3.5])
depths = st.sampled_from([5.5, 7.25, 9.25, 11.25])


@st.composite
def ways(draw: st.DrawFn) -> list[Crossing]:
    """Joists on the way, in the order in which a pipe meets them."""
    runs = sorted(draw(st.lists(st.integers(2, 160), min_size=0, max_size=5, unique=True)))
    return [
        Crossing(run, draw(depths), draw(st.sampled_from([1.5, 2.0, 3.0])), draw(st.sampled_from([1.0, 0.98])))
        for run in runs
    ]


def may_bore(crossing: Crossing, hole: Hole, limits: BoreLimits) -> bool:
    """The limits as the code words them, with rounding left room."""
    return (
        hole.diameter_in <= limits.largest_share * crossing.depth_in + 1e-9
        and hole.above_in >= limits.above_in - 1e-9
        and hole.below_in >= limits.below_in - 1e-9
    )


def passes(way: list[Crossing], pipe: float, slope: float, start: float) -> bool:
    return all(may_bore(one, hole_at(one, pipe, slope, start), LIMITS) for one in way)


# --- the hole, from solid geometry ------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(pipes, st.sampled_from([0.0, 1 / 48, 1 / 24, 0.1]), st.sampled_from([1.5, 3.0]), st.integers(0, 60))
def test_the_least_hole_holds_every_point_of_the_pipe_in_the_joist_and_no_less(
    pipe: float, slope: float, thickness: float, angle: int
) -> None:
    """The pipe's surface, point by point: where each of its lines enters and leaves the joist."""
    square = cos(radians(angle))
    diameter = least_hole(pipe, slope, thickness, square)
    # x is square to the joist's face, y along the joist, z down; the axis runs through the origin, midway in the wood.
    length = sqrt(1 + slope * slope)
    axis = (square / length, sin(radians(angle)) / length, slope / length)
    side = (-axis[1], axis[0], 0.0)
    flat = hypot(side[0], side[1])
    side = (side[0] / flat, side[1] / flat, 0.0)
    up = (
        axis[1] * side[2] - axis[2] * side[1],
        axis[2] * side[0] - axis[0] * side[2],
        axis[0] * side[1] - axis[1] * side[0],
    )
    farthest = 0.0
    for step in range(720):
        turn = 2 * pi * step / 720
        point = [pipe / 2 * (cos(turn) * side[i] + sin(turn) * up[i]) for i in range(3)]
        for face in (-thickness / 2, thickness / 2):
            reach = (face - point[0]) / axis[0]
            farthest = max(farthest, hypot(point[1] + reach * axis[1], point[2] + reach * axis[2]))
    assert 2 * farthest <= diameter + 1e-9
    assert 2 * farthest >= diameter * 0.9999 - 1e-9  # 720 points miss the very tip by less


def test_a_level_pipe_square_to_the_joist_needs_its_own_diameter() -> None:
    assert least_hole(2.375, 0.0, 1.5) == pytest.approx(2.375)
    with pytest.raises(ValueError, match="square"):
        least_hole(2.375, 0.0, 1.5, 0.0)
    with pytest.raises(ValueError, match="outside_in"):
        least_hole(0.0, 0.0, 1.5)


# --- where it passes --------------------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(ways(), pipes, slopes)
def test_the_start_window_is_what_a_search_finds(way: list[Crossing], pipe: float, slope: float) -> None:
    window = start_window(way, pipe, slope, LIMITS)
    grid = [step * STEP for step in range(int(-6 / STEP), int(12 / STEP) + 1)]
    found = [start for start in grid if passes(way, pipe, slope, start)]
    if not way:
        assert window == (-inf, inf)
    elif window is None:
        assert found == []
    else:
        assert found == [start for start in grid if window[0] - 1e-9 <= start <= window[1] + 1e-9]
        # Just inside it passes, just outside it does not.
        assert passes(way, pipe, slope, window[0]) and passes(way, pipe, slope, window[1])
        assert not passes(way, pipe, slope, window[0] - 1e-6) and not passes(way, pipe, slope, window[1] + 1e-6)


@settings(max_examples=60, deadline=None)
@given(ways(), pipes, slopes)
def test_below_the_joists_is_the_least_start_that_clears_them_all(
    way: list[Crossing], pipe: float, slope: float
) -> None:
    least = start_below_joists(way, slope)

    def clears(start: float) -> bool:
        return all(start + slope * one.run_in >= one.depth_in - 1e-9 for one in way)

    if least is None:
        assert not way
    else:
        assert clears(least)
        assert not clears(least - 1e-6)


@settings(max_examples=60, deadline=None)
@given(
    ways(),
    st.lists(st.integers(-90, -3), max_size=2, unique=True),
    pipes,
    slopes,
    st.integers(0, 60).map(lambda n: n / 8),
    st.integers(0, 48),
)
def test_the_nearest_start_along_the_leg_is_what_a_search_finds(
    way: list[Crossing], behind: list[int], pipe: float, slope: float, start: float, high: int
) -> None:
    joists = [*(Crossing(run, 7.25, 1.5) for run in behind), *way]
    blocked = [(one.run_in - one.thickness_in - pipe / 2, one.run_in + one.thickness_in + pipe / 2) for one in joists]
    low = -72.0

    def right(move: float) -> bool:
        ahead = [
            Crossing(one.run_in - move, one.depth_in, one.thickness_in, one.square)
            for one in joists
            if one.run_in > move
        ]
        return passes(ahead, pipe, slope, start) and not any(a < move < b for a, b in blocked)

    moves = [step * STEP for step in range(int(low / STEP), int(high / STEP) + 1)]
    back = max((move for move in moves if move <= 0 and right(move)), default=None)
    ahead = min((move for move in moves if move >= 0 and right(move)), default=None)
    found = nearest_starts(joists, pipe, slope, LIMITS, start, blocked, low, high)
    for exact, searched in zip(found, (back, ahead), strict=True):
        # The search may miss a gap narrower than its grid, never the other way round.
        if searched is not None:
            assert exact is not None and abs(exact) <= abs(searched) + 1e-9
        if exact is not None:
            assert low <= exact <= high
            assert right(exact) or right(exact + 1e-7) or right(exact - 1e-7)  # its own end may be on a joist
            assert searched is None or abs(searched) - abs(exact) < STEP or not right(_on_grid(exact))


def _on_grid(move: float) -> float:
    """The next grid place away from nought."""
    steps = abs(move) / STEP
    whole = int(steps) if isclose(steps, round(steps), abs_tol=1e-9) else int(steps) + 1
    return whole * STEP * (1 if move >= 0 else -1)


def test_no_nearer_start_for_a_pipe_that_is_too_big_or_rises() -> None:
    way = [Crossing(24, 7.25, 1.5)]
    assert nearest_starts(way, 3.5, 1 / 48, LIMITS, 2.0, high=12) == (None, None)
    assert nearest_starts(way, 3.5, 0.0, LIMITS, 2.0, high=12) == (None, None)
    assert nearest_starts(way, 1.9, 1 / 48, LIMITS, 2.0) == (0.0, 0.0)
    assert nearest_starts(way, 1.9, 0.0, LIMITS, 2.0) == (0.0, 0.0)
    assert nearest_starts((), 1.9, 0.0, LIMITS, 2.0) == (0.0, 0.0)
    assert nearest_starts((), 1.9, 0.0, LIMITS, 2.0, [(-10.0, 10.0)]) == (-10.0, 10.0)  # off the joist, either way
    with pytest.raises(ValueError, match="slope"):
        nearest_starts(way, 1.9, -1 / 48, LIMITS, 2.0)


@settings(max_examples=40, deadline=None)
@given(ways(), slopes, st.one_of(st.none(), st.integers(0, 48).map(lambda n: n / 8)))
def test_the_largest_pipe_is_what_trying_each_finds(way: list[Crossing], slope: float, start: float | None) -> None:
    sizes = pipe_sizes("pvc")
    starts = [start] if start is not None else [n * STEP for n in range(int(-6 / STEP), int(10 / STEP))]
    fitting = [size for size in sizes if any(passes(way, size.outside_in, slope, one) for one in starts)]
    found = largest_pipe(sizes, way, slope, LIMITS, start)
    if start is not None or found is None or found in fitting:
        assert found == (fitting[-1] if fitting else None)
    else:  # its window is narrower than the grid
        window = start_window(way, found.outside_in, slope, LIMITS)
        assert window is not None and window[1] - window[0] < STEP


# --- places beside joists ---------------------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(
    st.integers(0, 96 * 8).map(lambda n: n / 8),
    st.lists(st.tuples(st.integers(0, 90), st.integers(1, 12)).map(lambda p: (p[0], p[0] + p[1])), max_size=6),
)
def test_the_nearest_clear_places_are_what_a_search_finds(at: float, blocked: list[tuple[int, int]]) -> None:
    low, high = 1.0, 95.0
    grid = [n / 8 for n in range(int(low * 8), int(high * 8) + 1)]
    clear = [place for place in grid if not any(a < place < b for a, b in blocked)]
    below = max((place for place in clear if place <= at), default=None)
    above = min((place for place in clear if place >= at), default=None)
    assert nearest_clear(at, blocked, low, high) == (below, above)


# --- small things -----------------------------------------------------------------------------------------------------


def test_turns_of_a_route() -> None:
    route = [(0.0, 0.0), (30.0, 0.0), (30.0, 0.0), (30.0, 40.0), (60.0, 70.0)]
    assert turns(route) == pytest.approx((90.0, 45.0))
    assert turns(route[:2]) == ()
    # Rounding makes the cosine of these two legs a last bit more than 1 (forth) and less than -1 (back).
    assert turns([(0.0, 0.0), (17.0, 8.0), (136.0, 64.0)]) == (0.0,)
    assert turns([(0.0, 0.0), (17.0, 8.0), (-102.0, -48.0)]) == (180.0,)


def test_a_level_pipe_that_just_fits_has_one_height() -> None:
    """3 1/4 in of pipe between 2 in of wood above and 2 in below in a joist of 7 1/4 in; a hair more fits nowhere."""
    way, limits = [Crossing(10.0, 7.25, 1.5)], BoreLimits(1.0, 2.0, 2.0)
    assert start_window(way, 3.25, 0.0, limits) == pytest.approx((2.0, 2.0))
    assert start_window(way, 3.251, 0.0, limits) is None


def test_a_trap_arm_falls_its_own_diameter_and_no_more() -> None:
    # 1-1/4 in at a quarter inch a foot: 5 ft, as the table has it (IRC 2021 Table P3105.1 and its reason).
    assert longest_arm_for_fall(1.25, 1 / 48) == pytest.approx(60)
    assert longest_arm_for_fall(1.25, 0.0) is None


def test_height_of_a_pipe_grows_with_its_slope_only() -> None:
    assert height_of(2.0, 0.0) == 2.0
    assert height_of(2.0, 1.0) == pytest.approx(2.0 * sqrt(2))


def test_each_pipe_has_a_source_and_is_wider_than_its_name() -> None:
    for material in ("pvc", "abs", "galvanized", "copper", "cast-iron"):
        sizes = pipe_sizes(material)
        assert len(sizes) >= 4
        assert [size.outside_in for size in sizes] == sorted({size.outside_in for size in sizes})
        assert all(size.nominal_in < size.outside_in < size.nominal_in + 0.6 for size in sizes)
        assert all(size.source and size.status in STATUSES for size in sizes)
    assert pipe_sizes("clay") == ()
    found = pipe_size("pvc", 2)
    assert found is not None and found.outside_in == 2.375
    assert pipe_size("pvc", 7) is None


def test_the_working_ends_in_what_the_function_says() -> None:
    crossing = Crossing(57, 8, 2, 0.9)
    hole, steps = hole_at(crossing, 1.9, 1 / 48, 3.125), hole_working(crossing, 1.9, 1 / 48, 3.125)
    assert [step.result for step in steps[-2:]] == [hole.above_in, hole.below_in]
    assert steps[0].result == hole.diameter_in
    assert all(step.unit == "in" for step in steps)
    assert str(steps[0]) == "D = d / cos a + t tan a = 1.9 / 0.8998 + 2 x 0.4849 = 3.081 in  [least hole, geometry]"


def test_every_pipe_of_the_data_has_the_name_of_a_size() -> None:
    sizes = nominal_sizes()
    assert sizes == tuple(sorted(set(sizes)))
    assert {
        size.nominal_in for material in ("pvc", "abs", "galvanized", "copper") for size in pipe_sizes(material)
    } <= set(sizes)


def test_a_hole_exactly_at_all_limits_is_allowed() -> None:
    limits = BoreLimits(largest_share=1 / 3, above_in=2, below_in=2)
    assert start_window([Crossing(0, 6, 1.5)], 2.0, 0.0, limits) == pytest.approx((2.0, 2.0))
    assert start_window([Crossing(0, 6, 1.5)], 2.01, 0.0, limits) is None


def test_the_ends_of_what_is_looked_at_are_clear_places_too() -> None:
    assert nearest_clear(5, [(1, 8)], 1, 95) == (1, 8)


def test_places_exactly_at_the_end_of_a_stretch_are_clear() -> None:
    assert nearest_clear(0, [(0, 5)]) == (0, 0)
    assert nearest_clear(5, [(0, 5), (5, 10)]) == (5, 5)
    assert nearest_clear(3, [(0, 5)]) == (0, 5)
    assert nearest_clear(3, [(0, 5)], 1, 5) == (None, 5)


def test_a_start_exactly_at_the_end_of_its_window_is_allowed() -> None:
    """2 in of pipe in a joist of 9 in with 2 in of wood above and below: the pipe's top from 2 to 5 in down."""
    way, limits, pvc = [Crossing(12, 9, 1.5)], BoreLimits(1, 2, 2), [PipeSize("any", 1.5, 2.0, "", "")]
    assert start_window(way, 2.0, 0.0, limits) == pytest.approx((2, 5))
    for start in (2.0, 5.0):
        assert largest_pipe(pvc, way, 0.0, limits, start) == pvc[0]
        assert nearest_starts(way, 2.0, 0.0, limits, start) == (0, 0)
    for start in (1.99, 5.01):
        assert largest_pipe(pvc, way, 0.0, limits, start) is None
        assert nearest_starts(way, 2.0, 0.0, limits, start) == (None, 12)


def test_a_slot_of_less_than_an_inch_between_two_joists_is_found() -> None:
    assert nearest_starts((), 1.9, 0.0, LIMITS, 2.0, [(-5, -0.5), (0.25, 5)]) == (0, 0)
    assert nearest_starts((), 1.9, 0.0, LIMITS, 2.0, [(-5, 2), (2.5, 9)]) == (-5, 2)


def test_a_joist_can_not_be_crossed_squarer_than_squarely() -> None:
    with pytest.raises(ValueError, match=r"square must be over 0 and at most 1, not 1\.5"):
        least_hole(1.9, 0.0, 1.5, 1.5)
