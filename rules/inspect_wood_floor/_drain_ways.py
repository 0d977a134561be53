"""Joists and beams on a drain's way: the hole it needs in each, and where else it would pass. No rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot, inf

from inspect_core.engineering import drainage
from inspect_core.engineering.drainage import BoreLimits, PipeSize, nearest_clear
from inspect_core.quantities import Dimension, Quantity, minimum, times
from inspect_core.rules_api import Limit, Limits, Named, named
from inspect_core.site import Area
from inspect_core.site.geometry import extent_along
from inspect_core.site.model import Drain, Joist, Support
from inspect_core.structure.shown import Steps
from inspect_wood_floor._drains import (
    Corner,
    corners,
    inward,
    joist_faces,
    leg,
    length,
    outside_of,
    outward,
    say,
    say_outward,
    slope_of,
)
from inspect_wood_floor._members import faces_of, sister_section

# --- joists on its way ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Passing:
    """A joist that a drain crosses: where along it, after what run, and how squarely (the cosine of the angle)."""

    joist: Joist
    along: Quantity
    run: Quantity
    square: tuple[float, float]
    time: int = 1  # a route may come back and cross it again

    @property
    def depth(self) -> Quantity | None:
        """The depth that can be bored: of a joist with sisters, the shallowest of them."""
        depths = [self.joist.section.depth, *(sister_section(s).depth for s in self.joist.sisters or ())]
        known = [depth for depth in depths if depth is not None]
        return minimum(*known) if len(known) == len(depths) else None

    @property
    def thickness(self) -> Quantity | None:
        """The wood that the pipe goes through: all plies, and sisters."""
        own = self.joist.section.thickness
        total = own * self.joist.section.plies if own is not None else None
        for sister in self.joist.sisters or ():
            more = sister_section(sister).thickness
            total = total + more if total is not None and more is not None else None
        return total

    @property
    def notes(self) -> tuple[str, ...]:
        """What is taken for granted of the wood."""
        sisters = ("the sister is taken as flush with the top, and bored alike",) if self.joist.sisters else ()
        kind = () if self.joist.kind is not None else ("taken as sawn lumber",)
        return (*self.joist.section.assumptions, *kind, *sisters)


def passings(area: Area, drain: Drain) -> tuple[Passing, ...] | None:
    """Joists on its way, from the fixture to the stack; ``None`` until its route is known."""
    places = corners(drain)
    if places is None:
        return None
    found: list[Passing] = []
    run = length(0.0)
    for start, end in pairwise(places):
        here = [_passing(area, joist, start, end, run) for joist in area.joists or ()]
        found += sorted((one for one in here if one is not None), key=lambda one: one.run.middle)
        run = run + leg(start, end)
    seen: dict[str, int] = {}
    for i, one in enumerate(found):
        seen[one.joist.id] = seen.get(one.joist.id, 0) + 1
        found[i] = replace(one, time=seen[one.joist.id])
    return tuple(found)


def may_pass(area: Area, drain: Drain) -> tuple[Joist, ...]:
    """Joists of which it isn't decided whether they are on its way: their place, or the route's, is too uncertain."""
    legs = tuple(pairwise(corners(drain) or ()))
    return tuple(
        joist
        for joist in area.joists or ()
        if joist.place is None or any(_on_its_way(area, joist, start, end) is None for start, end in legs)
    )


def _on_its_way(area: Area, joist: Joist, start: Corner, end: Corner) -> bool | None:
    """Whether a leg of a route crosses a joist somewhere along the joist's length."""
    crossed = _crossed(joist.place, start, end) if joist.place is not None else None
    extent = extent_along(area, joist)
    if not crossed or extent is None:
        return crossed
    place = _place_on(joist, start, end)
    if place.high <= extent[0] or place.low >= extent[1]:
        return False
    return True if extent[0] < place.low and place.high < extent[1] else None


def _place_on(joist: Joist, start: Corner, end: Corner) -> Quantity:
    """Where along a joist a leg crosses it, wherever joist and leg may be."""
    assert joist.place is not None
    way, whole = abs(joist.place.bounds - start[0]), abs(end[0] - start[0])
    shares = (way.low / whole.high, min(way.high / whole.low, 1.0))
    places = [s + (e - s) * part for part in shares for s in (start[1].low, start[1].high)
              for e in (end[1].low, end[1].high)]  # fmt: skip
    return Quantity(min(places), max(places), Dimension.LENGTH, any(q.estimate for q in (joist.place, *start, *end)))


def _crossed(place: Quantity, start: Corner, end: Corner) -> bool | None:
    """Whether a leg of a route crosses a joist at this place on the across tape."""
    at, first, last = place.bounds, start[0], end[0]
    if at.high <= min(first.low, last.low) or at.low >= max(first.high, last.high):
        return False
    inside = (first.high < at.low and at.high < last.low) or (last.high < at.low and at.high < first.low)
    return True if inside else None


def _passing(area: Area, joist: Joist, start: Corner, end: Corner, run: Quantity) -> Passing | None:
    if joist.place is None or not _on_its_way(area, joist, start, end):
        return None
    across, along = abs(end[0] - start[0]), abs(end[1] - start[1])
    whole = leg(start, end)
    # Cosine of the angle: squarest where the leg goes least along the joists.
    square = (across.low / hypot(across.low, along.high), across.high / hypot(across.high, along.low))
    way = abs(joist.place - start[0])
    reach = Quantity(way.low / square[1], way.high / square[0], Dimension.LENGTH, way.estimate or whole.estimate)
    return Passing(joist, _place_on(joist, start, end), run + reach, square)


@dataclass(frozen=True, slots=True)
class Meeting:
    """A beam on a drain's way, and the runs at which the pipe comes to it and leaves it; ``None`` where not known.

    ``asks`` names the fields by which they would be.
    """

    beam: Support
    comes: Quantity | None
    leaves: Quantity | None
    asks: tuple[str, ...] = ("support.at",)


def meetings(area: Area, drain: Drain) -> tuple[Meeting, ...] | None:
    """Beams that its route crosses, or may cross, in the order of the file; ``None`` until its route is known."""
    places = corners(drain)
    if places is None:
        return None
    found: list[Meeting] = []
    for beam in area.supports or ():
        faces = faces_of(beam)
        if beam.line not in ("beam", None):
            continue
        if faces is None:
            found.append(Meeting(beam, None, None))
            continue
        run = length(0.0)
        for start, end in pairwise(places):
            met = _meets(beam, faces, start, end)
            if met is None:
                found.append(Meeting(beam, None, None, ("drain.route", "support.at", "support.across")))
                break
            if met:
                first, last = faces if start[1].middle < end[1].middle else faces[::-1]
                found.append(Meeting(beam, run + _way_to(first, start, end), run + _way_to(last, start, end)))
                break
            run = run + leg(start, end)
    return tuple(found)


def _meets(beam: Support, faces: tuple[Quantity, Quantity], start: Corner, end: Corner) -> bool | None:
    """Whether a leg of a route goes into a beam or through it; ``None`` when that is not decided."""
    near, far = faces[0].bounds, faces[1].bounds
    one, other = start[1], end[1]
    if max(one.high, other.high) <= near.low or min(one.low, other.low) >= far.high:
        return False
    sure = max(one.low, other.low) > near.high and min(one.high, other.high) < far.low
    reached = _reaches(beam, near, far, start, end)
    return reached if sure or reached is False else None


def _reaches(beam: Support, near: Quantity, far: Quantity, start: Corner, end: Corner) -> bool | None:
    """Whether a beam that is shorter than the room lies where a leg passes its line."""
    if beam.across is None or beam.across[0] is None or beam.across[1] is None:
        return True
    low, high = sorted((end.bounds for end in beam.across if end is not None), key=lambda q: q.middle)
    ways = [place for face in (near, far) for place in _across_at(face, start, end)]
    first, last = min(ways), max(ways)
    if last < low.low or first > high.high:
        return False
    if low.high <= first and last <= high.low:
        return True
    through_its_end = all(q.low == q.high for q in (*start, *end, near, far, low, high))
    return True if through_its_end else None


def _across_at(face: Quantity, start: Corner, end: Corner) -> tuple[float, float]:
    """The least and the most on the across tape where a leg may pass a line, or the leg's own where it is not sure."""
    (a, b), (c, d) = start, end
    if not any(q.is_range for q in (a, b, c, d, face)) and b.low != d.low:
        share = min(max((face.low - b.low) / (d.low - b.low), 0.0), 1.0)
        place = a.low + (c.low - a.low) * share
        return place, place
    return min(a.low, c.low), max(a.high, c.high)


def _way_to(face: Quantity, start: Corner, end: Corner) -> Quantity:
    """Run from a leg's start to a line across the room; nought for one behind the start."""
    whole, along, way = leg(start, end), abs(end[1] - start[1]), abs(face - start[1])
    if (face.middle - start[1].middle) * (end[1].middle - start[1].middle) <= 0 or along.low <= 0:
        return Quantity(0.0, whole.high if along.low <= 0 else 0.0, Dimension.LENGTH, whole.estimate)
    return Quantity(
        min(way.low * whole.low / along.high, whole.low),
        min(way.high * whole.high / along.low, whole.high),
        Dimension.LENGTH,
        way.estimate or whole.estimate,
    )


@dataclass(frozen=True, slots=True)
class Bored:
    """The hole that a drain needs in a joist, and the wood that it leaves above and below."""

    diameter: Quantity
    above: Quantity
    below: Quantity


def needed_hole(one: Passing, outside: Quantity, slope: Quantity) -> Quantity | None:
    """Diameter of the least hole that the pipe passes; ``None`` until the joist's thickness is known."""
    thick = one.thickness
    if thick is None:
        return None
    flat, steep = max(slope.low, 0.0), max(slope.high, 0.0)
    return Quantity(
        drainage.least_hole(outside.low, flat, thick.low, min(one.square[1], 1.0)),
        drainage.least_hole(outside.high, steep, thick.high, min(one.square[0], 1.0)),
        Dimension.LENGTH,
        outside.estimate or slope.estimate or thick.estimate,
    )


def bored(one: Passing, outside: Quantity, slope: Quantity, start: Quantity) -> Bored | None:
    """The hole at its place; ``None`` until the joist's section is known."""
    diameter, depth = needed_hole(one, outside, slope), one.depth
    if diameter is None or depth is None:
        return None
    centre = top_at(one, slope, start) + tall(outside, slope) / 2
    return Bored(diameter, centre - diameter / 2, depth - centre - diameter / 2)


def bore_steps(one: Passing, outside: Quantity, slope: Quantity, start: Quantity) -> Steps | None:
    """The working of the hole at its place, where every number is one number."""
    wood = _crossing(one)
    if wood is None or any(q.is_range for q in (outside, slope, start, one.run)):
        return None
    pipe, fall, at = outside.middle, slope.middle, start.middle
    return Steps(lambda: drainage.hole_working(wood, pipe, fall, at))


def top_at(one: Passing, slope: Quantity, start: Quantity) -> Quantity:
    """How far below the joists' tops the pipe's top lies where it meets a joist."""
    return start + times(slope, one.run)


def tall(outside: Quantity, slope: Quantity) -> Quantity:
    """Height of the sloping pipe, measured plumb."""
    flat, steep = sorted((abs(slope.low), abs(slope.high)))
    return Quantity(
        drainage.height_of(outside.low, flat),
        drainage.height_of(outside.high, steep),
        Dimension.LENGTH,
        outside.estimate or slope.estimate,
    )


# --- where else it would pass -----------------------------------------------------------------------------------------


def bore_limits(limits: Limits) -> BoreLimits:
    """What joists may be bored by, from the limits for holes."""
    share, edge = limits["hole-diameter"].value, limits["hole-edge"].value
    assert share is not None and edge is not None
    return BoreLimits(share.low, edge.high, edge.high)


def ways_out(area: Area, drain: Drain, way: Sequence[Passing], limits: Limits) -> tuple[str, str]:
    """In a few words, and in sentences: the nearest start, place or size that passes, or the way below the joists.

    Advice, worked out on the middles of what was measured; the verdicts are the rules'.
    """
    outside, (slope, _), start = outside_of(drain, limits).diameter, slope_of(drain), drain.start_below_joist_top
    wood = [crossing for one in way if (crossing := _crossing(one)) is not None]
    if outside is None or slope is None or start is None or len(wood) < len(way) or slope.middle < 0:
        return "", ""
    pipe, fall, at = outside.middle, slope.middle, start.middle
    bore = bore_limits(limits)
    brief, sentences = "", []
    window = drainage.start_window(wood, pipe, fall, bore)
    if window is not None:
        low, high = inward(window, area)
        told = say(low, area) if low == high else f"{say(low, area)} to {say(high, area)}"
        brief = f"it would pass with its start {told} below the joist tops"
        sentences.append(f"It passes every joist when its top starts {told} below their tops (now {say(at, area)}).")
    back, ahead = _moves(area, drain, way, pipe, fall, at, limits)
    moves = [
        f"{say(outward(abs(move), area), area)} {word}{_at(area, drain, move)}"
        for move, word in ((ahead, "nearer to the stack"), (back, "farther back"))
        if move is not None and abs(move) > drainage.NEAR
    ]
    if moves:
        brief = f"{brief}, or {moves[0]}" if brief else f"it would pass with its start {moves[0]}"
        sentences.append(f"At its height it passes when it starts {' or '.join(moves)} on its first leg.")
    if window is None:
        fits = drainage.largest_pipe(drainage.pipe_sizes(drain.material or "pvc"), wood, fall, bore)
        if fits is not None:
            brief = brief or f"no larger pipe than {say(fits.nominal_in, area)} passes"
            sentences.append(_smaller(fits, area))
        else:
            sentences.append("No size of drain passes all of these joists at this slope.")
    below = drainage.start_below_joists(wood, fall)
    if below is not None:
        under = say(outward(below, area), area)
        brief = brief or f"it would pass under the joists with its start {under} below their tops"
        sentences.append(f"Under the joists it passes when its top starts {under} below their tops or lower.")
    return brief, " ".join(sentences)


def _at(area: Area, drain: Drain, move: float) -> str:
    """Where on the tape across its start comes by a move, for a first leg that runs square to the joists."""
    places = corners(drain)
    if places is None or abs(places[1][1].middle - places[0][1].middle) > drainage.NEAR:
        return ""
    start, end = places[0][0].middle, places[1][0].middle
    far = outward(abs(move), area) * (1 if move > 0 else -1)
    return f" (at {say(start + (far if end > start else -far), area)} on the tape across)"


def _smaller(pipe: PipeSize, area: Area) -> str:
    return (
        f"The largest {pipe.material} pipe that passes is {say(pipe.nominal_in, area)}; a fixture's drain gets no "
        f"smaller than the code lets it."
    )


def _crossing(one: Passing) -> drainage.Crossing | None:
    depth, thick, square = one.depth, one.thickness, sum(one.square) / 2
    if depth is None or thick is None:
        return None
    return drainage.Crossing(one.run.middle, depth.middle, thick.middle, min(square, 1.0))


def _moves(
    area: Area, drain: Drain, way: Sequence[Passing], pipe: float, fall: float, at: float, limits: Limits
) -> tuple[float | None, float | None]:
    """How far its start would have to move back or ahead on its first leg."""
    places = corners(drain)
    assert places is not None
    (a1, l1), (a2, l2) = ((q.middle, p.middle) for q, p in places[:2])
    first = hypot(a2 - a1, l2 - l1)
    if first <= drainage.NEAR:
        return None, None
    east, north = (a2 - a1) / first, (l2 - l1) / first
    wood = [crossing for one in way if (crossing := _crossing(one)) is not None]
    blocked: list[tuple[float, float]] = []
    clear = limits["drain-joist-clearance"].value
    low = -_room_behind(area, (a1, l1), (east, north), pipe)
    for joist in area.joists or ():
        if joist.place is None or abs(east) <= drainage.NEAR:
            continue
        run = (joist.place.middle - a1) / east
        along = l1 + north * run
        extent = extent_along(area, joist)
        if extent is not None and not extent[0] < along < extent[1]:
            continue
        if run <= 0:  # a move back would put it on the way
            behind = _crossing(Passing(joist, length(along), length(run), (abs(east), abs(east))))
            if behind is None:
                low = max(low, run)
            else:
                wood.append(behind)
        thick = joist.section.thickness
        if thick is not None:
            reach = (thick.middle * joist.section.plies / 2 + pipe / 2 + (clear.middle if clear else 0.0)) / abs(east)
            blocked.append((run - reach, run + reach))
    return drainage.nearest_starts(wood, pipe, fall, bore_limits(limits), at, blocked, low, first)


def _room_behind(area: Area, at: tuple[float, float], towards: tuple[float, float], pipe: float) -> float:
    """How far its start can go back before it meets the edge of the room; nothing where that isn't known."""
    room = area.room_corners
    if not room:
        return 0.0
    least = inf
    for i in (0, 1):
        places = [corner[i].middle for corner in room]
        if towards[i] > drainage.NEAR:
            least = min(least, (at[i] - min(places) - pipe / 2) / towards[i])
        elif towards[i] < -drainage.NEAR:
            least = min(least, (at[i] - max(places) + pipe / 2) / towards[i])
    return max(least, 0.0)


def subject_at(drain: Drain, one: Passing, detail: str = "") -> Named:
    """A drain where it meets a joist."""
    where = f"at joist {one.joist.id}" + (f" (time {one.time})" if one.time > 1 else "")
    return named(drain, f"{where}, {detail}" if detail else where)


# --- beside joists ----------------------------------------------------------------------------------------------------


def beside_joists(
    area: Area, at: tuple[Quantity, Quantity], outside: Quantity, limit: Limit
) -> tuple[Quantity | None, str]:
    """Room between a dropping pipe and the nearest joist face (negative: they meet), and the nearest clear places.

    ``None`` until a joist's place and thickness are known there.
    """
    across, along = at
    rooms: list[Quantity] = []
    blocked: list[tuple[float, float]] = []
    clear = limit.value.high if limit.value is not None else 0.0
    for joist in area.joists or ():
        faces, extent = joist_faces(joist), extent_along(area, joist)
        if extent is not None and not extent[0] < along.middle < extent[1]:
            continue
        if faces is None:
            return None, ""
        half = outside / 2
        # Left of the joist the room is up to its first face, right of it from its second.
        rooms.append(_greater(faces[0] - across - half, across - faces[1] - half))
        reach = half.high + clear
        blocked.append((faces[0].low - reach, faces[1].high + reach))
    if not rooms:
        return None, ""
    walls = [corner[0].middle for corner in area.room_corners]
    low, high = (min(walls), max(walls)) if walls else (float("-inf"), float("inf"))
    moves = [place - across.middle for place in nearest_clear(across.middle, blocked, low, high) if place is not None]
    told = [
        f"{say_outward(abs(move), area)} towards the {'higher' if move > 0 else 'lower'} readings"
        for move in sorted(moves, key=abs)
        if abs(move) > 1e-6
    ]
    return minimum(*rooms), f"clear of the joists {' or '.join(told)} of the tape across" if told else ""


def _greater(a: Quantity, b: Quantity) -> Quantity:
    return Quantity(max(a.low, b.low), max(a.high, b.high), a.dimension, a.estimate or b.estimate)
