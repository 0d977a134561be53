"""What follows from the places of things: pure functions on one area, lengths in inches on its two tapes.

*across* is the tape square to the joists, *along* runs with them. An unknown place gives an unknown answer (``None``),
a range gives a range. Which things are neighbours is decided by the middles of ranges.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from math import inf
from typing import TYPE_CHECKING

from inspect_core.quantities import Dimension, Quantity, exactly, hull, maximum, times
from inspect_core.site.model import (
    Drain,
    Hanger,
    Header,
    Joint,
    Joist,
    Opening,
    Pair,
    Path,
    Support,
)

if TYPE_CHECKING:
    from inspect_core.site.area import Area

NOTHING = "none"  # a joist's `from` or `to` may say that its end rests on nothing
SIDE_BY_SIDE = 1.0  # in: members whose faces are nearer than this act as one doubled member in the plan
LEAST_THICKNESS = 1.5  # in: thinnest ordinary joist; stands in for an unknown thickness where only the order matters
SAME_PLACE = 1e-6  # in
MOST_LOOSE = 10  # readings of an outline that are tried at both of their ends


@dataclass(frozen=True, slots=True)
class Wall:
    """One side of the room. ``at`` is its place on the tape square to it; ``begins``, ``ends`` on the other tape."""

    name: str
    parallel: bool | None  # runs with the joists (True), across them (False), or askew (None)
    start: tuple[Quantity, Quantity]
    end: tuple[Quantity, Quantity]
    inward: int  # +1 when the room lies towards greater readings of the tape square to the wall

    @property
    def at(self) -> Quantity:
        return self.start[0] if self.parallel else self.start[1]

    @property
    def across(self) -> Quantity:
        """Its place across the joists; all that lies between its ends where it runs across them or askew."""
        return hull(self.start[0], self.end[0])

    @property
    def begins(self) -> Quantity:
        return min(self._own(), key=lambda q: q.middle)

    @property
    def ends(self) -> Quantity:
        return max(self._own(), key=lambda q: q.middle)

    def _own(self) -> tuple[Quantity, Quantity]:
        i = 1 if self.parallel else 0
        return self.start[i], self.end[i]


@dataclass(frozen=True, slots=True)
class Bay:
    """The space between two neighbouring joists, or (``right`` or ``left`` is a wall) between a joist and a wall.

    ``spacing`` is centre to centre, or from the wall's face to the joist's centre; the larger of both ends where
    joists do not run square. ``rest`` is the widest strip of floor that an opening in it leaves beside itself, measured
    alike; 0 where it reaches from side to side.
    """

    left: Joist | Wall
    right: Joist | Wall
    spacing: Quantity | None
    begins: float
    ends: float
    missing: tuple[Joist, ...] = ()
    opening: Opening | None = None
    rest: Quantity | None = None

    @property
    def at_wall(self) -> bool:
        return isinstance(self.left, Wall) or isinstance(self.right, Wall)

    @property
    def name(self) -> str:
        first, second = (side.name + " wall" if isinstance(side, Wall) else side.id for side in (self.left, self.right))
        return f"bay {first}–{second}"

    @property
    def joists(self) -> tuple[Joist, ...]:
        return tuple(side for side in (self.left, self.right) if isinstance(side, Joist))

    @property
    def path(self) -> Path:
        """Where in the file: the missing joist that left it wide, else its right-hand joist."""
        if self.missing:
            return self.missing[0].path
        return self.joists[-1].path

    @property
    def work(self) -> str | None:
        """New when either joist is new, else as the joists say."""
        kinds = {joist.work for joist in self.joists}
        for kind in ("new", "altered", "existing"):
            if kind in kinds:
                return kind
        return None


@dataclass(frozen=True, slots=True)
class JoistEnd:
    """A place where a joist bears: ``which`` is ``near``, ``far`` or ``over``."""

    joist: Joist
    which: str
    side: str  # compass name of the end: "north", or "" where it passes over
    support_id: str | None  # None: the file does not say what it rests on
    support: Support | Header | None
    bearing: Quantity | None  # in
    hung: Hanger | None
    joint: Joint | None
    derived: bool  # bearing follows from where the wood starts and stops, it was not measured itself

    @property
    def on_nothing(self) -> bool:
        return self.support_id == NOTHING

    @property
    def name(self) -> str:
        if self.which == "over":
            return f"joist {self.joist.id} over {self.support_id}"
        place = f" on {self.support_id}" if self.support_id and not self.on_nothing else ""
        return f"joist {self.joist.id}, {self.side} end{place}"

    @property
    def path(self) -> Path:
        return self.joist.path

    @property
    def work(self) -> str | None:
        return self.joist.work


@dataclass(frozen=True, slots=True)
class Span:
    """Clear span of a joist between two supports; ``begins`` and ``ends`` are the faces on the along tape (in)."""

    joist: Joist
    near: Support | Header
    far: Support | Header
    begins: Quantity
    ends: Quantity

    @property
    def clear(self) -> Quantity:
        return self.ends - self.begins


@dataclass(frozen=True, slots=True)
class Crossing:
    """A drain's route crosses a joist: place on the along tape and run of pipe from its start (in)."""

    drain: Drain
    joist: Joist
    along: Quantity
    run: Quantity


# --- the room ------------------------------------------------------------------------------------------------------


def room_corners(area: Area) -> tuple[tuple[Quantity, Quantity], ...]:
    """Corners of the room as across, along; empty when the file does not know them."""
    if area.corners:
        pairs: list[tuple[Quantity, Quantity]] = []
        for across, along in area.corners:
            if across is None or along is None:
                return ()
            pairs.append((across, along))
        return tuple(pairs)
    if area.outline is None:
        return ()
    width, length = area.outline
    zero = exactly(0.0, Dimension.LENGTH)
    return ((zero, zero), (width, zero), (width, length), (zero, length))


def _middles(corners: tuple[tuple[Quantity, Quantity], ...]) -> list[tuple[float, float]]:
    return [(across.middle, along.middle) for across, along in corners]


def _signed_area(points: list[tuple[float, float]]) -> float:
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in _sides(points)) / 2


def _sides(points: list[tuple[float, float]]) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    return zip(points, [*points[1:], points[0]], strict=True)


def polygon_area(corners: tuple[tuple[Quantity, Quantity], ...]) -> Quantity | None:
    """Area in square inches, between the least and the most that ranges allow; ``None`` without corners.

    Where more than ``MOST_LOOSE`` readings are ranges the middles are taken, and the area is an estimate.
    """
    if not corners:
        return None
    if len(corners) == 4 and all(c[0].middle == 0 or c[1].middle == 0 for c in (corners[0], corners[1], corners[3])):
        return times(corners[1][0] - corners[0][0], corners[3][1] - corners[0][1])
    readings = [reading for corner in corners for reading in corner]
    guessed = any(reading.estimate for reading in readings)
    if sum(reading.is_range for reading in readings) > MOST_LOOSE:
        middle = abs(_signed_area(_middles(corners)))
        return Quantity(middle, middle, Dimension.AREA, estimate=True)
    # The area goes up or down evenly with each reading, so its bounds lie where every reading is at one of its ends.
    ends = product(*(dict.fromkeys((reading.low, reading.high)) for reading in readings))
    sizes = [abs(_signed_area(list(zip(places[::2], places[1::2], strict=True)))) for places in ends]
    return Quantity(min(sizes), max(sizes), Dimension.AREA, guessed)


def compass(area: Area, towards: str) -> str:
    """Compass name of a side of the area: ``across-start``, ``across-end``, ``along-start`` or ``along-end``."""
    if area.joists_run == "east-west":
        names = {"across-start": "south", "across-end": "north", "along-start": "west", "along-end": "east"}
    else:
        names = {"across-start": "west", "across-end": "east", "along-start": "south", "along-end": "north"}
    return names[towards]


def walls(area: Area) -> tuple[Wall, ...]:
    """Walls in order of the corners, named by compass; a side with several walls numbers them."""
    corners = area.room_corners
    if not corners:
        return ()
    turn = 1 if _signed_area(_middles(corners)) > 0 else -1
    found: list[Wall] = []
    for start, end in zip(corners, [*corners[1:], corners[0]], strict=True):
        run_across = end[0].middle - start[0].middle
        run_along = end[1].middle - start[1].middle
        # Going round with the room on the left, the way inwards is the run turned a quarter to the left.
        in_across, in_along = -run_along * turn, run_across * turn
        if abs(run_across) <= SAME_PLACE:
            side = "across-start" if in_across > 0 else "across-end"
            found.append(Wall(compass(area, side), True, start, end, 1 if in_across > 0 else -1))
        elif abs(run_along) <= SAME_PLACE:
            side = "along-start" if in_along > 0 else "along-end"
            found.append(Wall(compass(area, side), False, start, end, 1 if in_along > 0 else -1))
        else:
            first = "along-start" if in_along > 0 else "along-end"
            second = "across-start" if in_across > 0 else "across-end"
            names = sorted((compass(area, first), compass(area, second)), key=("north", "south", "east", "west").index)
            found.append(Wall("".join(names), None, start, end, 1 if in_along > 0 else -1))
    return tuple(_numbered(found))


def _numbered(found: list[Wall]) -> Iterator[Wall]:
    totals: dict[str, int] = {}
    for wall in found:
        totals[wall.name] = totals.get(wall.name, 0) + 1
    seen: dict[str, int] = {}
    for wall in found:
        seen[wall.name] = seen.get(wall.name, 0) + 1
        if totals[wall.name] == 1:
            yield wall
        else:
            yield Wall(f"{wall.name}-{seen[wall.name]}", wall.parallel, wall.start, wall.end, wall.inward)


def inside(points: list[tuple[float, float]], across: float, along: float) -> bool:
    """Whether a place lies in the room (even-odd rule)."""
    hit = False
    for (x1, y1), (x2, y2) in _sides(points):
        if (y1 > along) != (y2 > along) and across < x1 + (along - y1) * (x2 - x1) / (y2 - y1):
            hit = not hit
    return hit


def _walls_at(area: Area, along: float) -> list[tuple[float, Wall]]:
    """Walls that a line across the joists meets at ``along``, with the place of each, in order."""
    hits: list[tuple[float, Wall]] = []
    for wall in area.walls:
        (x1, y1), (x2, y2) = ((p[0].middle, p[1].middle) for p in (wall.start, wall.end))
        if (y1 > along) != (y2 > along):
            hits.append((x1 + (along - y1) * (x2 - x1) / (y2 - y1), wall))
    return sorted(hits, key=lambda hit: hit[0])


# --- joists and what they rest on -----------------------------------------------------------------------------------


def carrier_faces(carrier: Support | Header) -> tuple[Quantity, Quantity] | None:
    """Near and far face of a support line or header on the along tape; ``None`` when place or width is unknown."""
    near, width = carrier.along if isinstance(carrier, Header) else carrier.at, width_of(carrier)
    return (near, near + width) if near is not None and width is not None else None


def width_of(carrier: Support | Header) -> Quantity | None:
    """Width of a carrier along the joists, in inches: as measured, else by its size; ``None`` when unknown.

    A beam stands on edge. A sill may lie flat: by its size alone it is anything from its thickness to its depth.
    """
    if isinstance(carrier, Support) and carrier.width is not None:
        return carrier.width
    section = carrier.section
    if section.thickness is None:
        return None
    upright = section.thickness * section.plies
    if isinstance(carrier, Support) and carrier.line in ("sill", None):
        return hull(upright, section.depth) if section.depth is not None else None
    return upright


def carrier_ids(joist: Joist) -> tuple[str, ...]:
    """Ids of what the joist rests on, from its near end to its far end."""
    ids = [joist.from_, *(joist.over or ()), joist.to]
    return tuple(i for i in ids if i is not None and i != NOTHING)


def extent_along(area: Area, joist: Joist) -> tuple[float, float] | None:
    """Where the joist starts and stops on the along tape, by its wood or by what carries it.

    An end that neither tells reaches as far as the room does.
    """
    room = [along.middle for _, along in area.room_corners]
    ids = (joist.from_, *(joist.over or ()), joist.to)
    places: list[float] = []
    for carrier_id in ids:
        places += _places_of(area.carriers.get(carrier_id)) if carrier_id is not None else []
    told = (joist.begins is not None or _places_of(area.carriers.get(joist.from_ or "")) != []) and (
        joist.ends is not None or _places_of(area.carriers.get(joist.to or "")) != []
    )
    if not told:
        places += [min(room), max(room)] if room else []
    if joist.begins is not None:
        places = [joist.begins.middle, *(p for p in places if p >= joist.begins.middle)]
    if joist.ends is not None:
        places = [*(p for p in places if p <= joist.ends.middle), joist.ends.middle]
    return (min(places), max(places)) if len(places) > 1 else None


def _places_of(carrier: Support | Header | None) -> list[float]:
    """Middles of a carrier's faces; its near face alone when its width is unknown."""
    if carrier is None:
        return []
    faces = carrier_faces(carrier)
    if faces is not None:
        return [faces[0].middle, faces[1].middle]
    near = carrier.along if isinstance(carrier, Header) else carrier.at
    return [near.middle] if near is not None else []


def joist_ends(area: Area) -> tuple[JoistEnd, ...]:
    """Near end, every support passed over, far end of each joist, in order of the joists."""
    near_side, far_side = compass(area, "along-start"), compass(area, "along-end")
    found: list[JoistEnd] = []
    for joist in area.joists or ():
        found.append(_end(area, joist, "near", near_side, joist.from_))
        found.extend(_end(area, joist, "over", "", support_id) for support_id in joist.over or ())
        found.append(_end(area, joist, "far", far_side, joist.to))
    return tuple(found)


def _end(area: Area, joist: Joist, which: str, side: str, support_id: str | None) -> JoistEnd:
    support = area.carriers.get(support_id) if support_id is not None else None
    bearing = joist.bearing.get(support_id) if support_id is not None else None
    derived = False
    if bearing is None and support is not None and which != "over" and support_id not in joist.bearing:
        bearing = _overlap(joist, which, support)
        derived = bearing is not None
    hung = joist.hung.get(support_id) if support_id is not None else None
    joint = joist.joints.get(support_id) if support_id is not None else None
    return JoistEnd(joist, which, side, support_id, support, bearing, hung, joint, derived)


def _overlap(joist: Joist, which: str, support: Support | Header) -> Quantity | None:
    """Bearing that follows from where the wood starts or stops against the support's faces."""
    faces = carrier_faces(support)
    if faces is None or (isinstance(support, Support) and support.width is None):
        return None
    if which == "near" and joist.begins is not None:
        raw = faces[1] - joist.begins
    elif which == "far" and joist.ends is not None:
        raw = joist.ends - faces[0]
    else:
        return None
    width = faces[1] - faces[0]
    low, high = (min(max(x, 0.0), w) for x, w in ((raw.low, width.low), (raw.high, width.high)))
    return Quantity(low, high, Dimension.LENGTH, raw.estimate or width.estimate)


def spans(area: Area, joist: Joist) -> tuple[Span, ...]:
    """Clear spans from face to face; a support whose place is unknown leaves its spans out."""
    found: list[Span] = []
    carriers = [area.carriers.get(i) for i in carrier_ids(joist)]
    for near, far in pairwise(carriers):
        if near is None or far is None:
            continue
        near_faces, far_faces = carrier_faces(near), carrier_faces(far)
        if near_faces is not None and far_faces is not None:
            found.append(Span(joist, near, far, near_faces[1], far_faces[0]))
    return tuple(found)


def span_at(area: Area, joist: Joist, along: Quantity | None) -> Span | None:
    """The span that surely holds a place; a place over a support belongs to the nearer span.

    ``None`` where the place is unknown, may lie in more than one span, or beyond all whose supports are known.
    """
    found = spans_at(area, joist, (along, along))
    return found[0] if len(found) == 1 else None


def spans_at(area: Area, joist: Joist, part: tuple[Quantity | None, Quantity | None]) -> tuple[Span, ...]:
    """Every span that may hold some of a part of a joist, given by its two sides; a range or a guess is tried whole.

    A side that is not known may lie anywhere on its side of the other. Empty where neither is known, or the part may
    reach to where no span is known.
    """
    zones: list[tuple[Quantity, Quantity, Span | None]] = []
    for span in spans(area, joist):
        near, far = carrier_faces(span.near), carrier_faces(span.far)
        assert near is not None and far is not None  # or it would be no span
        begins, before = near[0], zones[-1] if zones else None
        if before is not None and before[2] is not None:
            if before[2].far is span.near:
                begins = (near[0] + near[1]) / 2
                zones[-1] = (before[0], begins, before[2])
            else:
                zones.append((before[1], begins, None))
        zones.append((begins, far[1], span))
    held = stretches_at([(low, high) for low, high, _ in zones], part)
    found = [zones[number][2] for number in held]
    return tuple(span for span in found if span is not None) if None not in found else ()


def stretches_at(
    stretches: Sequence[tuple[Quantity, Quantity]], part: tuple[Quantity | None, Quantity | None]
) -> tuple[int, ...]:
    """Numbers of those of a row of stretches, end to end, that may hold some of a part; empty if it may lie beyond."""
    first, last = (side.bounds if side is not None else None for side in part)
    if not stretches or (first is None and last is None):
        return ()
    low, high = (first.low if first is not None else -inf), (last.high if last is not None else inf)
    if first is not None and last is not None:
        low, high = min(first.low, last.low), max(first.high, last.high)
    known = [side for side in (first, last) if side is not None]
    starts, stops = stretches[0][0].bounds.low - SAME_PLACE, stretches[-1][1].bounds.high + SAME_PLACE
    if any(side.low < starts or side.high > stops for side in known):
        return ()
    return tuple(
        number
        for number, (begins, ends) in enumerate(stretches)
        if high >= begins.bounds.low and (low < ends.bounds.high or number == len(stretches) - 1)
    )


def place_along(area: Area, joist: Joist, support_id: str | None, at: Quantity | None) -> Quantity | None:
    """Place on the along tape of something measured from a support's face into the joist, or from the tape's zero."""
    if at is None:
        return None
    if support_id is None:
        return at
    carrier = area.carriers.get(support_id)
    faces = carrier_faces(carrier) if carrier is not None else None
    if faces is None:
        return None
    return faces[0] - at if support_id == joist.to else faces[1] + at


# --- bays ------------------------------------------------------------------------------------------------------------


def bays(area: Area) -> tuple[Bay, ...]:
    """Every pair of neighbours once, in order across; the part along which they are neighbours is their hull."""
    placed = [(joist, extent) for joist, extent in _placed(area) if extent is not None]
    if not placed:
        return ()
    merged: dict[tuple[str, str], Bay] = {}
    for begins, ends in _strips(area, [extent for _, extent in placed]):
        middle = (begins + ends) / 2
        row = sorted((joist for joist, extent in placed if extent[0] < middle < extent[1]), key=lambda j: _place(j))
        for bay in _bays_in_strip(area, row, begins, ends):
            key = (bay.name, bay.opening.id if bay.opening else "")
            known = merged.get(key)
            if known is None:
                merged[key] = bay
            else:
                merged[key] = Bay(
                    known.left,
                    known.right,
                    known.spacing,
                    min(known.begins, begins),
                    max(known.ends, ends),
                    known.missing,
                    known.opening,
                    _largest((known.rest, bay.rest)),
                )
    return tuple(sorted(merged.values(), key=lambda b: (_side_place(b.left), _side_place(b.right), b.begins)))


def _placed(area: Area) -> Iterator[tuple[Joist, tuple[float, float] | None]]:
    lost = {joist.id for joist in area.unplaced}
    for joist in area.joists or ():
        if joist.place is not None and joist.id not in lost:
            yield joist, extent_along(area, joist)


def unplaced(area: Area) -> tuple[Joist, ...]:
    """Joists of unknown place, and those whose range or estimate may pass or touch another joist, or leave the room."""
    placed = [(joist, reach) for joist in area.joists or () if (reach := _may_take_up(joist)) is not None]
    walls = [wall for wall in area.walls if wall.parallel]
    lost = {joist.id for joist in area.joists or () if joist.place is None}
    for joist, (low, high) in placed:
        if all(place is None or place.exact for place in (joist.place, joist.place_far)):
            continue
        near_others = any(
            low < other_high + SIDE_BY_SIDE and other_low - SIDE_BY_SIDE < high and _same_row(area, joist, other)
            for other, (other_low, other_high) in placed
            if other is not joist
        )
        if near_others or any(_may_be_outside(joist, wall) for wall in walls):
            lost.add(joist.id)
    return tuple(joist for joist in area.joists or () if joist.id in lost)


def _may_take_up(joist: Joist) -> tuple[float, float] | None:
    """The least and the most on the across tape that its wood may reach, wherever it is."""
    if joist.place is None:
        return None
    places = [place.bounds for place in (joist.place, joist.place_far) if place is not None]
    half = _half(joist)
    return min(place.low for place in places) - half, max(place.high for place in places) + half


def _may_be_outside(joist: Joist, wall: Wall) -> bool:
    """Whether a joist may lie inside a wall or far enough outside that it carries nothing of the floor."""
    assert joist.place is not None
    inside = (joist.place.bounds - wall.at) * wall.inward
    return inside.low < -_reach([joist]) <= inside.high


def double_shift(joist: Joist) -> float:
    """How far, in inches, the middle of a member moves at most when this joist turns out to double it."""
    return _half(joist) + SIDE_BY_SIDE / 2


def _same_row(area: Area, one: Joist, other: Joist) -> bool:
    """Whether two joists share a stretch along; ends that only pass each other over a support don't count."""
    a, b = extent_along(area, one), extent_along(area, other)
    if a is None or b is None:
        return True
    return (
        not any(low <= max(a[0], b[0]) and min(a[1], b[1]) <= high for low, high in _over_supports(area))
        and min(a[1], b[1]) - max(a[0], b[0]) > 0
    )


def _over_supports(area: Area) -> list[tuple[float, float]]:
    faces = [found for support in area.supports or () if (found := carrier_faces(support)) is not None]
    return [(near.low, far.high) for near, far in faces]


def _place(joist: Joist) -> float:
    assert joist.place is not None
    return joist.place.middle


def _side_place(side: Joist | Wall) -> float:
    return side.across.middle if isinstance(side, Wall) else _place(side)


def _strips(area: Area, extents: Iterable[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Stretches along which the set of joists, walls and openings stays the same.

    What lies over a support is left out: there the ends of two rows of joists pass each other.
    """
    cuts = {place for extent in extents for place in extent}
    cuts |= {along.middle for _, along in area.room_corners}
    for opening in area.openings or ():
        cuts |= {place.middle for place in opening.along or () if place is not None}
    faces = [found for support in area.supports or () if (found := carrier_faces(support)) is not None]
    cuts |= {face.middle for pair in faces for face in pair}
    room = [along.middle for _, along in area.room_corners]
    ordered = sorted(c for c in cuts if not room or min(room) <= c <= max(room))
    for begins, ends in pairwise(ordered):
        middle = (begins + ends) / 2
        over_support = any(near.middle < middle < far.middle for near, far in faces)
        if ends - begins > SIDE_BY_SIDE and not over_support:
            yield begins, ends


def _bays_in_strip(area: Area, row: list[Joist], begins: float, ends: float) -> Iterator[Bay]:
    members = _doubled(row)
    hits = _walls_at(area, (begins + ends) / 2)
    rooms = list(zip(hits[::2], hits[1::2], strict=False))
    if not rooms:
        yield from _between(area, members, begins, ends)
        return
    for (low, first_wall), (high, last_wall) in rooms:
        # A joist under the wall itself, or one outside but next to it, still carries the floor's edge.
        held = [m for m in members if low - _reach(m) <= _place(m[0]) and _place(m[-1]) <= high + _reach(m)]
        if not held:
            continue
        if _place(held[0][0]) - low > _half(held[0][0]):
            yield _wall_bay(area, first_wall, held[0], begins, ends, first=True)
        yield from _between(area, held, begins, ends)
        if high - _place(held[-1][-1]) > _half(held[-1][-1]):
            yield _wall_bay(area, last_wall, held[-1], begins, ends, first=False)


def _half(joist: Joist) -> float:
    thickness = joist.section.thickness
    return (thickness.high if thickness is not None else LEAST_THICKNESS) * joist.section.plies / 2


def _reach(member: list[Joist]) -> float:
    return max(_half(joist) for joist in member) + SIDE_BY_SIDE


def _doubled(row: list[Joist]) -> list[list[Joist]]:
    """Neighbours whose faces touch count as one member."""
    members: list[list[Joist]] = []
    for joist in row:
        if members and _place(joist) - _place(members[-1][-1]) - _half(joist) - _half(members[-1][-1]) < SIDE_BY_SIDE:
            members[-1].append(joist)
        else:
            members.append([joist])
    return members


def _member_centre(member: list[Joist], far: bool) -> Quantity | None:
    places = [(j.place_far if far and j.place_far is not None else j.place) for j in (member[0], member[-1])]
    if places[0] is None or places[1] is None:
        return None
    return (places[0] + places[1]) / 2 if len(member) > 1 else places[0]


def _between(area: Area, members: list[list[Joist]], begins: float, ends: float) -> Iterator[Bay]:
    for left, right in pairwise(members):
        spacing = _largest(_gap(_member_centre(left, far), _member_centre(right, far)) for far in (False, True))
        low, high = _place(left[-1]), _place(right[0])
        missing = tuple(m for m in area.missing_joists if m.place is not None and low < m.place.middle < high)
        opening = _opening_in(area, low, high, begins, ends)
        sides = [(_member_centre(left, far), _member_centre(right, far)) for far in (False, True)]
        rest = _rest(area, opening, sides, (_half_member(left), _half_member(right)), begins, ends)
        yield Bay(left[-1], right[0], spacing, begins, ends, missing, opening, rest)


def _wall_bay(area: Area, wall: Wall, member: list[Joist], begins: float, ends: float, first: bool) -> Bay:
    joist = member[0] if first else member[-1]
    spacing = None
    if wall.parallel:
        spacing = _largest(
            _gap(wall.at, place) if first else _gap(place, wall.at)
            for place in (_member_centre(member, False), _member_centre(member, True))
        )
    places = sorted((_side_place(wall), _place(joist)))
    missing = tuple(m for m in area.missing_joists if m.place is not None and places[0] < m.place.middle < places[1])
    opening = _opening_in(area, places[0], places[1], begins, ends)
    left, right = (wall, joist) if first else (joist, wall)
    at = wall.at if wall.parallel else None
    centres = [_member_centre(member, far) for far in (False, True)]
    sides = [(at, centre) if first else (centre, at) for centre in centres]
    halves = (0.0, _half_member(member)) if first else (_half_member(member), 0.0)
    rest = _rest(area, opening, sides, halves, begins, ends)
    return Bay(left, right, spacing, begins, ends, missing, opening, rest)


def _half_member(member: list[Joist]) -> float:
    """How far a member's faces lie from its centre, in inches."""
    return (_place(member[-1]) - _place(member[0]) + _half(member[0]) + _half(member[-1])) / 2


def _rest(
    area: Area,
    opening: Opening | None,
    sides: Iterable[tuple[Quantity | None, Quantity | None]],
    halves: tuple[float, float],
    begins: float,
    ends: float,
) -> Quantity | None:
    """The widest strip of a bay that its opening, and others that stay open all along it, leave; 0 for a mere gap."""
    if opening is None:
        return None
    holes: list[tuple[Quantity, Quantity]] = []
    for one in area.openings or ():
        along = pair_middles(one.along)
        over = along is not None and along[0] <= begins + SAME_PLACE and ends <= along[1] + SAME_PLACE
        if one.across is None or not (one is opening or (one.plan == "stays-open" and over)):
            continue
        first, last = one.across
        if first is not None and last is not None:
            holes.append((first, last) if first.middle <= last.middle else (last, first))
    widest: list[Quantity] = []
    for low, high in sides:
        if low is None or high is None:
            return None
        reached, near = low, halves[0] + SIDE_BY_SIDE
        for first, last in sorted(holes, key=lambda hole: hole[0].middle):
            widest.append(_strip_left(first - reached, near))
            reached, near = maximum(reached, last), SIDE_BY_SIDE
        widest.append(_strip_left(high - reached, halves[1] + SIDE_BY_SIDE))
    return maximum(*widest)


def _strip_left(width: Quantity, nothing: float) -> Quantity:
    """A strip's width, as 0 where it may be no more than ``nothing``: a trimmer's own half and a gap beside it."""
    low, high = (end if end > nothing + SAME_PLACE else 0.0 for end in (width.low, width.high))
    return Quantity(low, high, Dimension.LENGTH, width.estimate)


def _gap(low: Quantity | None, high: Quantity | None) -> Quantity | None:
    return high - low if low is not None and high is not None else None


def _largest(gaps: Iterable[Quantity | None]) -> Quantity | None:
    known = list(gaps)
    if any(gap is None for gap in known):
        return None
    return maximum(*(gap for gap in known if gap is not None))


def _opening_in(area: Area, low: float, high: float, begins: float, ends: float) -> Opening | None:
    """The opening that takes up this bay over the strip, unless it is to be floored over: then the bay counts."""
    middle = (begins + ends) / 2
    for opening in area.openings or ():
        across, along = pair_middles(opening.across), pair_middles(opening.along)
        if opening.plan == "floored-over" or across is None or along is None:
            continue
        overlaps = min(across[1], high) - max(across[0], low)
        if overlaps > SIDE_BY_SIDE and along[0] < middle < along[1]:
            return opening
    return None


def pair_middles(pair: Pair | None) -> tuple[float, float] | None:
    """Middles of both ends, the lower reading first; ``None`` while one is unknown."""
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    low, high = sorted((pair[0].middle, pair[1].middle))
    return low, high


def tributary_width(area: Area, joist: Joist) -> Quantity | None:
    """Half of the bay on either side; at a wall the whole bay, whose edge may rest on nothing. The widest counts."""
    sides: dict[str, list[Quantity | None]] = {"left": [], "right": []}
    for bay in area.bays_beside.get(joist.id, ()):
        if bay.right is joist or bay.left is joist:
            share = bay.spacing if bay.at_wall or bay.spacing is None else bay.spacing / 2
            sides["left" if bay.right is joist else "right"].append(share)
    total = exactly(0.0, Dimension.LENGTH)
    for shares in sides.values():
        if any(share is None for share in shares):
            return None
        if shares:
            total = total + maximum(*(share for share in shares if share is not None))
    return total if any(sides.values()) else None


# --- drains and fixtures ---------------------------------------------------------------------------------------------


def crossings(area: Area, drain: Drain) -> tuple[Crossing, ...]:
    """Joists on a drain's way. A pipe that runs with the joists crosses none of them."""
    found: list[Crossing] = []
    run = exactly(0.0, Dimension.LENGTH)
    for start, end in pairwise(drain.route or ()):
        if None in start or None in end:
            return ()
        (a1, l1), (a2, l2) = start, end
        assert a1 is not None and a2 is not None and l1 is not None and l2 is not None
        length = ((a2.middle - a1.middle) ** 2 + (l2.middle - l1.middle) ** 2) ** 0.5
        here: list[Crossing] = []
        for joist, extent in _placed(area):
            assert joist.place is not None
            low, high = sorted((a1.middle, a2.middle))
            if not low < joist.place.middle < high:
                continue
            share = (joist.place.middle - a1.middle) / (a2.middle - a1.middle)
            along = l1 + (l2 - l1) * share
            if extent is None or extent[0] < along.middle < extent[1]:
                here.append(Crossing(drain, joist, along, run + exactly(length * share, Dimension.LENGTH)))
        found += sorted(here, key=lambda c: c.run.middle)
        run = run + exactly(length, Dimension.LENGTH)
    return tuple(found)
