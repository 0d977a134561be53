"""Plane figures with straight sides: the part of a room in a rectangle, its connected pieces, their outlines.

Points are (across, along) in inches. A figure is kept as strips between two readings of the along tape, in each of
which both sides are straight lines: that holds rooms with steps and with oblique walls, and holes in them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Box = tuple[float, float, float, float]  # across from and to, along from and to

SAME = 1e-6  # in: two places nearer than this are one


@dataclass(frozen=True, slots=True)
class Strip:
    """A trapezoid between ``low`` and ``high`` on the along tape; ``left`` and ``right`` are across at both."""

    low: float
    high: float
    left: tuple[float, float]
    right: tuple[float, float]

    @property
    def area(self) -> float:
        return (self.high - self.low) * (sum(self.right) - sum(self.left)) / 2


@dataclass(frozen=True, slots=True)
class Figure:
    """One connected piece of the plane: its outline counter-clockwise, the outlines of holes in it, box and area."""

    outline: Polygon
    holes: tuple[Polygon, ...]
    box: Box
    area: float


def signed_area(points: Sequence[Point]) -> float:
    """Area, positive where the points go round counter-clockwise."""
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in sides(points)) / 2


def sides(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Each side of a polygon, from corner to corner."""
    return zip(points, [*points[1:], *points[:1]], strict=True)


def without_straight_corners(points: Sequence[Point]) -> Polygon:
    """The same polygon without doubled points and without corners in the middle of a straight side."""
    kept = [p for p, q in sides(points) if abs(p[0] - q[0]) > SAME or abs(p[1] - q[1]) > SAME]
    return tuple(
        here
        for before, here, after in zip([*kept[-1:], *kept[:-1]], kept, [*kept[1:], *kept[:1]], strict=True)
        if abs((here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])) > SAME
    )


def inset(points: Sequence[Point], distance: float) -> Polygon:
    """The polygon with each side moved inwards by ``distance``, counter-clockwise.

    For gaps that are small against the sides. Raises ``ValueError`` where nothing sensible would be left.
    """
    corners = without_straight_corners(points)
    if len(corners) < 3 or abs(signed_area(corners)) < SAME:
        raise ValueError("a room has three corners at least, and an area")
    if signed_area(corners) < 0:
        corners = corners[::-1]
    lines = []
    for (x1, y1), (x2, y2) in sides(corners):
        length = ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5
        if length <= SAME:  # a corner that sticks out without any width is gone, and its foot stands there twice
            raise ValueError("the outline of the room runs back on itself")
        along = ((x2 - x1) / length, (y2 - y1) / length)
        lines.append(((x1 - along[1] * distance, y1 + along[0] * distance), along))
    moved = []
    for (p, d), (q, e) in zip([*lines[-1:], *lines[:-1]], lines, strict=True):
        turn = d[0] * e[1] - d[1] * e[0]
        t = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / turn
        moved.append((p[0] + t * d[0], p[1] + t * d[1]))
    turned = any(
        (b[0] - a[0]) * d[0] + (b[1] - a[1]) * d[1] <= 0 for (a, b), (_, d) in zip(sides(moved), lines, strict=True)
    )
    if turned:
        raise ValueError("the room is too small for the gap at its walls")
    return tuple(moved)


# --- cutting ---------------------------------------------------------------------------------------------------------


def clipped(outline: Sequence[Point], holes: Sequence[Sequence[Point]], box: Box) -> tuple[Strip, ...]:
    """The part of a polygon, less its holes, that lies in a rectangle; from below up, from left to right."""
    x0, x1, y0, y1 = box
    room = list(sides(outline))
    cut = [list(sides(hole)) for hole in holes]
    every = [*room, *(side for hole in cut for side in hole), ((x0, y0), (x0, y1)), ((x1, y0), (x1, y1))]
    levels = {y0, y1} | {y for side in every for _, y in side if y0 < y < y1}
    levels |= {y for y in _crossings(every) if y0 < y < y1}
    found: list[Strip] = []
    for low, high in pairwise(sorted(levels)):
        if high - low <= SAME:
            continue
        spans = [(max(a, _upright(x0)), min(b, _upright(x1))) for a, b in _spans(room, low, high)]
        for hole in cut:
            spans = [part for span in spans for part in _less(span, _spans(hole, low, high))]
        for (_, left0, left1), (_, right0, right1) in spans:
            if right0 - left0 > SAME or right1 - left1 > SAME:
                found.append(Strip(low, high, (left0, left1), (right0, right1)))
    return tuple(found)


_Line = tuple[float, float, float]  # across in the middle of a strip, at its low and at its high end


def _upright(x: float) -> _Line:
    return (x, x, x)


def _spans(polygon: Sequence[tuple[Point, Point]], low: float, high: float) -> list[tuple[_Line, _Line]]:
    """Where the polygon lies between two levels that no corner and no crossing lies between."""
    middle = (low + high) / 2
    lines: list[_Line] = []
    for (xa, ya), (xb, yb) in polygon:
        if (ya > middle) != (yb > middle):
            slope = (xb - xa) / (yb - ya)
            lines.append((xa + (middle - ya) * slope, xa + (low - ya) * slope, xa + (high - ya) * slope))
    lines.sort()
    return list(zip(lines[::2], lines[1::2], strict=True))


def _less(span: tuple[_Line, _Line], holes: list[tuple[_Line, _Line]]) -> list[tuple[_Line, _Line]]:
    left, right = span
    parts = []
    for start, end in holes:
        if end <= left or start >= right:
            continue
        if start > left:
            parts.append((left, start))
        left = max(left, end)
    return [*parts, (left, right)] if right > left else parts


def _crossings(every: Sequence[tuple[Point, Point]]) -> Iterator[float]:
    """Levels at which two sides cross; upright and level ones cross nothing that the corners do not tell already."""
    oblique = [side for side in every if abs(side[0][0] - side[1][0]) > SAME and abs(side[0][1] - side[1][1]) > SAME]
    for (xa, ya), (xb, yb) in oblique:
        for (xc, yc), (xd, yd) in every:
            turn = (xb - xa) * (yd - yc) - (yb - ya) * (xd - xc)
            if abs(turn) > SAME:
                t = ((xc - xa) * (yd - yc) - (yc - ya) * (xd - xc)) / turn
                if 0 < t < 1:
                    yield ya + t * (yb - ya)


# --- pieces ----------------------------------------------------------------------------------------------------------


def figures(strips: Sequence[Strip]) -> tuple[Figure, ...]:
    """The connected pieces that strips make together, in order of their lowest, leftmost corner."""
    if len(strips) == 1:  # most pieces of most rooms
        return (_trapezoid(strips[0]),)
    group = list(range(len(strips)))

    def root(i: int) -> int:
        while group[i] != i:
            i = group[i]
        return i

    for i, lower in enumerate(strips):
        for j, upper in enumerate(strips):
            if abs(lower.high - upper.low) <= SAME and _shared(lower, upper) is not None:
                group[root(j)] = root(i)
    parts: dict[int, list[Strip]] = {}
    for i, strip in enumerate(strips):
        parts.setdefault(root(i), []).append(strip)
    found = [_figure(part) for part in parts.values()]
    return tuple(sorted(found, key=lambda f: (f.box[2], f.box[0])))


def _shared(lower: Strip, upper: Strip) -> tuple[float, float] | None:
    a, b = max(lower.left[1], upper.left[0]), min(lower.right[1], upper.right[0])
    return (a, b) if b - a > SAME else None


def _trapezoid(strip: Strip) -> Figure:
    (left0, left1), (right0, right1) = strip.left, strip.right
    outline: Polygon = ((left0, strip.low), (right0, strip.low), (right1, strip.high), (left1, strip.high))
    if right0 - left0 <= SAME or right1 - left1 <= SAME:
        outline = outline[1:] if right0 - left0 <= SAME else outline[:3]
    box = (min(strip.left), max(strip.right), strip.low, strip.high)
    return Figure(outline, (), box, strip.area)


def _figure(part: Sequence[Strip]) -> Figure:
    loops = [without_straight_corners(loop) for loop in _loops(list(_border(part)))]
    loops = [loop for loop in loops if len(loop) > 2]
    outer = max(loops, key=signed_area)
    holes = tuple(loop for loop in loops if loop is not outer)
    across = [x for strip in part for x in (*strip.left, *strip.right)]
    box = (min(across), max(across), min(s.low for s in part), max(s.high for s in part))
    return Figure(outer, holes, box, sum(s.area for s in part))


def _border(part: Sequence[Strip]) -> Iterator[tuple[Point, Point]]:
    """Sides of the strips that are no border between two of them, with the figure on the left."""
    for strip in part:
        yield (strip.right[0], strip.low), (strip.right[1], strip.high)
        yield (strip.left[1], strip.high), (strip.left[0], strip.low)
        above = [s for other in part if abs(strip.high - other.low) <= SAME and (s := _shared(strip, other))]
        below = [s for other in part if abs(other.high - strip.low) <= SAME and (s := _shared(other, strip))]
        for a, b in _gaps(strip.left[0], strip.right[0], below):
            yield (a, strip.low), (b, strip.low)
        for a, b in _gaps(strip.left[1], strip.right[1], above):
            yield (b, strip.high), (a, strip.high)


def _gaps(left: float, right: float, taken: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    for a, b in sorted(taken):
        if a - left > SAME:
            yield left, a
        left = max(left, b)
    if right - left > SAME:
        yield left, right


def _loops(border: list[tuple[Point, Point]]) -> list[list[Point]]:
    starts: dict[tuple[int, int], list[tuple[Point, Point]]] = {}
    for side in border:
        if _key(side[0]) != _key(side[1]):
            starts.setdefault(_key(side[0]), []).append(side)
    loops: list[list[Point]] = []
    while starts:
        first = next(iter(starts))
        loop: list[Point] = []
        here = first
        while here in starts:
            start, end = starts[here].pop()
            if not starts[here]:
                del starts[here]
            loop.append(start)
            here = _key(end)
        loops.append(loop)
    return loops


def _key(point: Point) -> tuple[int, int]:
    return round(point[0] * 1e4), round(point[1] * 1e4)
