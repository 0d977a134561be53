"""Dimension lines in tape notation: joists from centre to centre, the room, the places of the supports."""

from __future__ import annotations

from itertools import pairwise

from inspect_core.quantities import Dimension, Quantity, Units, exactly, render
from inspect_core.report.plan.canvas import NARROW, TEXT_MM, Canvas, Point, Projection
from inspect_core.site import Area
from inspect_core.site.geometry import carrier_faces

NEAR, FAR, TICK = 7.0, 13.0, 1.0  # mm from the drawing


def draw_dimensions(area: Area, paper: Canvas, view: Projection, units: Units) -> None:
    """Chains beside the drawing: joist centres and the room across the joists; supports and the room along them."""
    group = paper.group("of-dimensions", "dimensions")
    joists = sorted(_joist_centres(area), key=lambda q: q.middle)
    supports = sorted(_faces(area), key=lambda q: q.middle)
    corners = area.room_corners
    _chain(group, view, joists, True, NEAR, units)
    _chain(group, view, supports, False, NEAR, units)
    if corners:
        for across in (True, False):
            own = [corner[0 if across else 1] for corner in corners]
            ends = [min(own, key=lambda q: q.middle), max(own, key=lambda q: q.middle)]
            _chain(group, view, ends, across, FAR, units)


def _joist_centres(area: Area) -> list[Quantity]:
    return [joist.place for joist in area.joists or () if joist.place is not None]


def _faces(area: Area) -> list[Quantity]:
    found: list[Quantity] = []
    for support in area.supports or ():
        found += carrier_faces(support) or ()
    return found


def _chain(paper: Canvas, view: Projection, places: list[Quantity], across: bool, away: float, units: Units) -> None:
    """One chain: a line beside the drawing with a tick at each place and the distance between two."""
    distinct = [q for n, q in enumerate(places) if n == 0 or q.middle - places[n - 1].middle > 0.25]
    if len(distinct) < 2:
        return
    points = [_beside(view, place.middle, across, away) for place in distinct]
    flat = points[0][1] == points[-1][1]
    paper.line(points[0], points[-1], "dim")
    for point in points:
        tick = (TICK, TICK) if flat else (TICK, -TICK)
        paper.line((point[0] - tick[0], point[1] + tick[1]), (point[0] + tick[0], point[1] - tick[1]), "dim")
    for (first, start), (second, end) in pairwise(zip(distinct, points, strict=True)):
        gap = exactly(second.middle - first.middle, Dimension.LENGTH)
        loose = Quantity(gap.low, gap.high, gap.dimension, first.estimate or second.estimate or _ranged(first, second))
        _write(paper, start, end, render(loose, units, hair=False), flat)


def _ranged(*places: Quantity) -> bool:
    return any(place.low != place.high for place in places)


def _beside(view: Projection, place: float, across: bool, away: float) -> Point:
    """A place of one tape on its line: above the drawing for readings from west to east, else left of it."""
    x, y = view.at(place, view.greatest[1]) if across else view.at(view.greatest[0], place)
    left, top = view.left, view.top
    return (x, top - away) if across == view.with_joists_up else (left - away, y)


def _write(paper: Canvas, start: Point, end: Point, text: str, flat: bool) -> None:
    """The distance over its line, turned where the line is upright, smaller where there is little room."""
    room = abs(end[0] - start[0]) if flat else abs(end[1] - start[1])
    tight = len(text) * TEXT_MM * NARROW > room
    name = "word mid tight" if tight else "word mid small"
    if flat:
        paper.text(((start[0] + end[0]) / 2, start[1] - 0.9), text, name)
    else:
        paper.text((start[0] - 0.9, (start[1] + end[1]) / 2), text, name, upright=False)
