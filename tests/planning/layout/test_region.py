"""Cutting polygons by rectangles: areas, connected pieces, outlines."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.planning.layout.region import clipped, figures, inset, signed_area, without_straight_corners

ELL = ((0.0, 0.0), (144.0, 0.0), (144.0, 80.0), (88.0, 80.0), (88.0, 136.0), (0.0, 136.0))
U = ((0.0, 0.0), (90.0, 0.0), (90.0, 90.0), (60.0, 90.0), (60.0, 30.0), (30.0, 30.0), (30.0, 90.0), (0.0, 90.0))
ASKEW = ((0.0, 0.0), (100.0, 0.0), (120.0, 60.0), (0.0, 90.0))
HOLE = ((20.0, 20.0), (40.0, 20.0), (40.0, 50.0), (20.0, 50.0))


def test_a_rectangle_cut_from_an_ell() -> None:
    (piece,) = figures(clipped(ELL, (), (80, 120, 60, 100)))
    assert set(piece.outline) == {(80, 60), (120, 60), (120, 80), (88, 80), (88, 100), (80, 100)}
    assert signed_area(piece.outline) == pytest.approx(40 * 20 + 8 * 20)
    assert piece.area == pytest.approx(40 * 20 + 8 * 20)
    assert piece.box == (80, 120, 60, 100)


def test_two_legs_are_two_pieces() -> None:
    left, right = figures(clipped(U, (), (0, 90, 40, 88)))
    assert (left.box, right.box) == ((0, 30, 40, 88), (60, 90, 40, 88))


def test_a_hole_inside_stays_a_hole_and_one_at_the_border_becomes_a_notch() -> None:
    (whole,) = figures(clipped(ELL, (HOLE,), (10, 70, 10, 70)))
    assert len(whole.holes) == 1
    assert signed_area(whole.holes[0]) == pytest.approx(-600)
    (notched,) = figures(clipped(ELL, (HOLE,), (30, 70, 10, 70)))
    assert notched.holes == ()
    assert notched.area == pytest.approx(40 * 60 - 10 * 30)


def test_an_oblique_wall_is_cut_where_it_runs() -> None:
    (piece,) = figures(clipped(ASKEW, (), (90, 130, 0, 30)))
    assert set(piece.outline) == {(90, 0), (100, 0), (110, 30), (90, 30)}


def test_inset_moves_each_wall_by_the_gap() -> None:
    assert inset(ELL, 1)[:3] == ((1, 1), (143, 1), (143, 79))
    assert inset(ELL[::-1], 1) == inset(ELL, 1)[::1] or set(inset(ELL[::-1], 1)) == set(inset(ELL, 1))
    assert signed_area(inset(ASKEW, 0.25)) < signed_area(ASKEW)


@pytest.mark.parametrize("points", [((0.0, 0.0), (10.0, 0.0)), ((0.0, 0.0), (0.4, 0.0), (0.4, 5.0), (0.0, 5.0))])
def test_what_is_no_room_after_the_gap_is_refused(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="room"):
        inset(points, 0.25)


def test_corners_in_a_straight_wall_are_left_out() -> None:
    assert without_straight_corners(((0, 0), (5, 0), (10, 0), (10, 0), (10, 8), (0, 8))) == (
        (0, 0),
        (10, 0),
        (10, 8),
        (0, 8),
    )


PLACES = st.lists(st.floats(1, 143, allow_nan=False), max_size=4).map(sorted)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from([ELL, U, ASKEW]), st.booleans(), PLACES, PLACES)
def test_the_cells_of_any_grid_make_the_whole_room(
    room: tuple[tuple[float, float], ...], with_hole: bool, across: list[float], along: list[float]
) -> None:
    holes = (HOLE,) if with_hole and room is not U else ()
    cells = [
        figure
        for x0, x1 in pairwise([-1.0, *across, 200.0])
        for y0, y1 in pairwise([-1.0, *along, 200.0])
        if x1 > x0 and y1 > y0
        for figure in figures(clipped(room, holes, (x0, x1, y0, y1)))
    ]
    whole = signed_area(room) - (600 if holes else 0)
    assert sum(cell.area for cell in cells) == pytest.approx(whole, rel=1e-6)
    for cell in cells:
        own = signed_area(cell.outline) + sum(signed_area(hole) for hole in cell.holes)
        assert own == pytest.approx(cell.area, rel=1e-4, abs=1e-2)
