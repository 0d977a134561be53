"""Rows of sheets and the places where their ends may meet. Lengths in inches.

Laying coordinates: ``x`` runs with the sheets' long side, ``y`` from row to row. For sheets across the joists these are
the plan's across and along; for turned ones the other way round.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from inspect_core.planning.layout.data import fact
from inspect_core.planning.layout.packing import Blank
from inspect_core.planning.layout.region import SAME, Box, Figure, Polygon, Strip, clipped, figures

TAPE = 16  # parts of an inch: places that are free to choose are chosen so that a tape shows them
CLOSE = 1e-4  # in: slack for comparing places
SILL_REACH = 2.0  # in: the last bit of an end joint at a wall, over the sill, may reach past the joist
FULL_ENUMERATION = 12  # landings of a run: up to here every choice of joints is tried
LEAST_ROW = 1.0  # in: no row is narrower
MOST_PATTERNS = 32  # of one run
MOST_FIRSTS = 12  # heights of the first row that are tried
DFS_LIMIT = 1200  # choices of joints that are looked at in one stretch, by the number of its joints
DFS_LEAST = 32


@dataclass(frozen=True, slots=True)
class Landing:
    """Something that ends may meet on: a joist's centre line between two readings of y, and half its thickness."""

    name: str
    x_low: float
    x_high: float
    y_low: float
    y_high: float
    half: float

    def at(self, y: float) -> float:
        if self.y_high - self.y_low <= SAME:
            return self.x_low
        share = (y - self.y_low) / (self.y_high - self.y_low)
        return self.x_low + share * (self.x_high - self.x_low)


@dataclass(frozen=True, slots=True)
class Below:
    """A joint of the layer below: an end at ``place`` on x, or an edge at ``place`` on y, from ``low`` to ``high``."""

    place: float
    low: float
    high: float


@dataclass(frozen=True)
class Problem:
    """Everything that the search needs to know of one layer; ``outline`` and ``holes`` are already less the gaps."""

    outline: Polygon
    holes: tuple[Polygon, ...]
    box: Box
    length: float
    width: float  # that a sheet covers
    kerf: float
    gap: float
    matched: bool  # tongue and groove: pieces need their factory edges
    least_width: float
    least_length: float
    least_bays: int
    landings: tuple[Landing, ...]
    free_ends: tuple[float, ...] | None  # where ends may meet when they need nothing under them
    least_bearing: float
    stagger: float
    row_places: tuple[float, ...]  # places on y where a joint between rows would do well
    below_ends: tuple[Below, ...] = ()
    below_edges: tuple[Below, ...] = ()
    end_offset: float = 0.0
    edge_offset: float = 0.0
    _pieces: dict[tuple[Row, float, float], tuple[PiecePlan, ...]] = field(
        default_factory=dict, compare=False, repr=False
    )
    _room: dict[tuple[Row, float], tuple[tuple[float, float], ...]] = field(
        default_factory=dict, compare=False, repr=False
    )
    _joints: dict[tuple[Row, float, str], tuple[tuple[EndJoint, ...], int]] = field(
        default_factory=dict, compare=False, repr=False
    )


@dataclass(frozen=True, slots=True)
class Row:
    """A band of the room that one row of sheets covers."""

    index: int
    low: float
    high: float
    first: bool
    last: bool


@dataclass(frozen=True, slots=True)
class PiecePlan:
    """A piece before it is numbered: its shape and what is cut for it."""

    row: int
    figure: Figure
    blank: Blank
    flags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EndJoint:
    """A joint across the joists at ``x``, from ``low`` to ``high`` (in), and what it lands on."""

    x: float
    low: float
    high: float
    lands_on: str


@dataclass(frozen=True, slots=True)
class Pattern:
    """One way to lay a stretch of a row: its end joints, its pieces, and how many things are wrong with it."""

    row: int
    ends: tuple[EndJoint, ...]
    pieces: tuple[PiecePlan, ...]
    faults: int


# --- rows ------------------------------------------------------------------------------------------------------------


def extent(problem: Problem) -> tuple[float, float]:
    """Where the floor begins and ends on y."""
    ys = [y for _, y in problem.outline]
    return max(min(ys), problem.box[2]), min(max(ys), problem.box[3])


def covered(problem: Problem) -> float:
    """Square inches of floor that the layer covers, joints included."""
    low, high = extent(problem)
    return sum(s.area for s in clipped(problem.outline, problem.holes, (problem.box[0], problem.box[1], low, high)))


def first_rows(problem: Problem) -> tuple[float, ...]:
    """Heights of the first row worth trying: full, so that the last is full, shared evenly, and to suit places on y."""
    low, high = extent(problem)
    total, pitch, width = high - low, problem.width + problem.gap, problem.width
    if total <= width + CLOSE:
        return (total,)
    rows = int((total + problem.gap - CLOSE) // pitch) + 1
    found = [width, *(total - n * pitch for n in (rows - 1, rows - 2)), width / 2, problem.least_width]
    for n in (rows, rows + 1):
        found.append((total - (n - 2) * width - (n - 1) * problem.gap) / 2)
        found.append(total - (n - 2) * pitch - problem.gap - problem.least_width)
    found += [(y - problem.gap / 2 - low) % pitch for y in problem.row_places]
    shifts = {problem.edge_offset, width / 2, width / 3} if problem.below_edges else ()
    found += [
        (edge.place + sign * shift - problem.gap / 2 - low) % pitch
        for edge in problem.below_edges
        for shift in shifts
        for sign in (1, -1)
    ]
    on_tape = {_floor(h) if h < width - CLOSE else width for h in found if LEAST_ROW <= h <= width + CLOSE}
    return tuple(sorted(on_tape, key=lambda h: _promise(problem, h))[:MOST_FIRSTS])


def _promise(problem: Problem, first: float) -> tuple[int, int, int, float]:
    """Fewest things wrong with the rows themselves, then fewest rows, then rows that end at places on y."""
    rows = rows_from(problem, first)
    if not rows:
        return (10**6, 0, 0, 0.0)
    thin = sum(1 for row in rows if row.high - row.low < problem.least_width - CLOSE)
    ends = {row.high + problem.gap / 2 for row in rows}
    missed = sum(1 for y in problem.row_places if not any(abs(y - end) < 0.1 for end in ends))
    return (thin + edge_faults(problem, rows) + missed, len(rows), missed, -first)


def _floor(value: float) -> float:
    return int(value * TAPE + 1e-6) / TAPE


def rows_from(problem: Problem, first: float) -> tuple[Row, ...]:
    """The rows of a room whose first one has this height; none where a sliver as wide as a gap would be left."""
    low, high = extent(problem)
    bands: list[tuple[float, float]] = []
    y, top = low, min(low + first, high)
    while True:
        bands.append((y, top))
        if high - top <= CLOSE:
            break
        if high - top <= problem.gap + CLOSE:
            return ()
        y = top + problem.gap
        top = min(y + problem.width, high)
    last = len(bands) - 1
    return tuple(Row(i, a, b, i == 0, i == last) for i, (a, b) in enumerate(bands))


def runs(problem: Problem, row: Row) -> tuple[tuple[float, float], ...]:
    """Stretches of a row along x without a break."""
    strips = clipped(problem.outline, problem.holes, (problem.box[0], problem.box[1], row.low, row.high))
    spans = sorted((min(s.left), max(s.right)) for s in strips)
    found: list[tuple[float, float]] = []
    for a, b in spans:
        if found and a <= found[-1][1] + CLOSE:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        else:
            found.append((a, b))
    return tuple(found)


# --- end joints ------------------------------------------------------------------------------------------------------


def landing_places(problem: Problem, row: Row) -> list[tuple[float, str]]:
    """Where ends may meet in a row: on a joist that runs under the whole joint with enough bearing for both pieces."""
    if problem.free_ends is not None:
        return [(x, "") for x in problem.free_ends]
    found = []
    for landing in problem.landings:
        x = round(landing.at((row.low + row.high) / 2), 6)
        spans = _room_at(problem, row, x)
        if spans and all(_carried(problem, landings_near(problem, x), x, a, b) for a, b in spans):
            found.append((x, landing.name))
    return sorted(found)


def landings_near(problem: Problem, x: float) -> list[Landing]:
    """Joists that may carry some of a joint at x."""
    return [one for one in problem.landings if min(one.x_low, one.x_high) - 3 <= x <= max(one.x_low, one.x_high) + 3]


def _room_at(problem: Problem, row: Row, x: float) -> tuple[tuple[float, float], ...]:
    """Where on y there is floor at x within a row."""
    known = problem._room.get((row, x))
    if known is not None:
        return known
    strips: Sequence[Strip] = clipped(problem.outline, problem.holes, (x - 0.01, x + 0.01, row.low, row.high))
    found: list[tuple[float, float]] = []
    for strip in strips:
        if found and strip.low <= found[-1][1] + CLOSE:
            found[-1] = (found[-1][0], strip.high)
        else:
            found.append((strip.low, strip.high))
    problem._room[row, x] = tuple(found)
    return tuple(found)


def _carried(problem: Problem, joists: Sequence[Landing], x: float, low: float, high: float) -> bool:
    """Whether joists that follow on one another carry both ends from ``low`` to ``high``."""
    good: list[tuple[float, float]] = []
    for one in joists:
        room = one.half - problem.gap / 2 - problem.least_bearing
        a, b = max(low, one.y_low), min(high, one.y_high)
        if b > a and all(abs(one.at(y) - x) <= room + CLOSE for y in (a, b)):
            good.append((a, b))
    reached = low + SILL_REACH
    for a, b in sorted(good):
        if a > reached + CLOSE:
            return False
        reached = max(reached, b)
    return bool(good) and reached >= high - SILL_REACH - CLOSE


def patterns(problem: Problem, row: Row, run: tuple[float, float]) -> tuple[tuple[Pattern, ...], bool]:
    """Ways to lay one stretch of a row, best first, and whether these are all with one joint more than need be."""
    places = [(x, name) for x, name in landing_places(problem, row) if run[0] + 1 < x < run[1] - 1]
    found, whole = _choices(problem, run, places)
    if not found:
        found, whole = [_cut_anywhere(problem, run)], False
    ways = [_pattern(problem, row, run, ends) for ends in found]
    return tuple(sorted(ways, key=lambda p: (p.faults, len(p.pieces), [-e.x for e in p.ends]))), whole


def promising(ways: tuple[Pattern, ...]) -> tuple[Pattern, ...]:
    """The best, and some spread over others that have as little wrong: neighbours in the order are much alike."""
    if len(ways) <= MOST_PATTERNS:
        return ways
    half = MOST_PATTERNS // 2
    others = [way for way in ways[half:] if way.faults == ways[0].faults] or ways[half:]
    step = max(1.0, len(others) / half)
    return ways[:half] + tuple(others[int(n * step)] for n in range(min(half, len(others))))


def _choices(
    problem: Problem, run: tuple[float, float], places: Sequence[tuple[float, str]]
) -> tuple[list[tuple[tuple[float, str], ...]], bool]:
    """Sets of joints that leave no piece longer than a sheet, with one joint more at most than the fewest."""
    half = problem.gap / 2
    fewest = _fewest(problem, run, places)
    if fewest is None:
        return [], False
    everything = len(places) <= FULL_ENUMERATION
    most = max(DFS_LEAST, DFS_LIMIT // (fewest + 1))  # long rows have many joints, and each costs
    found: list[tuple[tuple[float, str], ...]] = []

    def extend(start: float, chosen: tuple[tuple[float, str], ...], strayed: bool) -> None:
        if len(found) >= most:
            return
        if run[1] - start <= problem.length + CLOSE:
            found.append(chosen)
        if len(chosen) > fewest:
            return
        reach = [p for p in places if p[0] > start + half + 1 and p[0] - half - start <= problem.length + CLOSE]
        if not everything and chosen:  # any first piece; then whole sheets, of which one may be shorter
            reach = reach[-1:] if strayed else reach[-3:]
        for place in reversed(reach):
            extend(place[0] + half, (*chosen, place), strayed or (bool(chosen) and place is not reach[-1]))

    extend(run[0], (), False)
    return found, everything and len(found) < most


def _fewest(problem: Problem, run: tuple[float, float], places: Sequence[tuple[float, str]]) -> int | None:
    """Fewest joints, taking the furthest landing each time; ``None`` where landings are too far apart."""
    start, count, half = run[0], 0, problem.gap / 2
    while run[1] - start > problem.length + CLOSE:
        reach = [x for x, _ in places if x > start + half + 1 and x - half - start <= problem.length + CLOSE]
        if not reach:
            return None
        start, count = reach[-1] + half, count + 1
    return count


def _cut_anywhere(problem: Problem, run: tuple[float, float]) -> tuple[tuple[float, str], ...]:
    """Whole sheets one after another, wherever their ends come to lie."""
    found, start = [], run[0]
    while run[1] - start > problem.length + CLOSE:
        found.append((start + problem.length + problem.gap / 2, ""))
        start += problem.length + problem.gap
    return tuple(found)


def _pattern(problem: Problem, row: Row, run: tuple[float, float], ends: tuple[tuple[float, str], ...]) -> Pattern:
    half = problem.gap / 2
    places = [run[0], *(x for x, _ in ends), run[1]]
    pieces: list[PiecePlan] = []
    for n, (a, b) in enumerate(pairwise(places)):
        pieces += _pieces(problem, row, a if n == 0 else a + half, b if n == len(ends) else b - half)
    made = [_joints(problem, row, x, name) for x, name in ends]
    faults = sum(len(piece.flags) for piece in pieces) + sum(wrong for _, wrong in made)
    return Pattern(row.index, tuple(joint for joints, _ in made for joint in joints), tuple(pieces), faults)


def _joints(problem: Problem, row: Row, x: float, name: str) -> tuple[tuple[EndJoint, ...], int]:
    """The joints of a row at one place, and how many things are wrong with them."""
    found = problem._joints.get((row, x, name))
    if found is None:
        joints = tuple(EndJoint(x, a, b, name) for a, b in _room_at(problem, row, x))
        found = problem._joints[row, x, name] = joints, sum(_joint_faults(problem, j) for j in joints)
    return found


def _pieces(problem: Problem, row: Row, a: float, b: float) -> tuple[PiecePlan, ...]:
    """The connected pieces of a row between two places on x."""
    found = problem._pieces.get((row, a, b))
    if found is None:
        strips = clipped(problem.outline, problem.holes, (a, b, row.low, row.high))
        found = tuple(_piece(problem, row, figure) for figure in figures(strips))
        problem._pieces[row, a, b] = found
    return found


def _piece(problem: Problem, row: Row, figure: Figure) -> PiecePlan:
    x0, x1, y0, y1 = figure.box
    meets_low = problem.matched and not row.first and y0 <= row.low + CLOSE
    meets_high = problem.matched and not row.last and y1 >= row.high - CLOSE
    flags = []
    if y1 - y0 < problem.least_width - CLOSE:
        flags.append("narrow")
    if x1 - x0 < problem.least_length - CLOSE:
        flags.append("short")
    if problem.least_bays and bays_crossed(problem, figure.box) < problem.least_bays:
        flags.append("too few bays")
    return PiecePlan(row.index, figure, Blank(y1 - y0, x1 - x0, meets_low, meets_high), tuple(flags))


def bays_crossed(problem: Problem, box: Box) -> int:
    """Bays between the joists that carry a piece, its ends included."""
    x0, x1, y0, y1 = box
    reach = problem.gap + 0.5
    places = []
    for one in problem.landings:
        middle = min(max((y0 + y1) / 2, one.y_low), one.y_high)
        if not (y0 - CLOSE <= middle <= y1 + CLOSE):
            continue
        x = one.at(middle)
        if x0 - one.half - reach <= x <= x1 + one.half + reach:
            places.append(x)
    distinct: list[float] = []
    apart = fact("side-by-side")
    for x in sorted(places):
        if not distinct or x - distinct[-1] > apart:  # lapped and doubled joists carry one line
            distinct.append(x)
    return max(0, len(distinct) - 1)


def _joint_faults(problem: Problem, joint: EndJoint) -> int:
    """An end joint off the joists, or too near to one of the layer below."""
    off = problem.free_ends is None and not joint.lands_on
    near = any(
        abs(below.place - joint.x) < problem.end_offset - CLOSE
        and min(below.high, joint.high) - max(below.low, joint.low) > CLOSE
        for below in problem.below_ends
    )
    return off + near


def staggered(problem: Problem, one: Sequence[EndJoint], other: Sequence[EndJoint]) -> int:
    """How many end joints of two neighbouring rows stand too near to one another."""
    return sum(
        1
        for a in one
        for b in other
        if abs(a.x - b.x) < problem.stagger - CLOSE and max(a.low, b.low) - min(a.high, b.high) <= problem.gap + CLOSE
    )


def edge_faults(problem: Problem, rows: Sequence[Row]) -> int:
    """Joints between rows that lie too near to long joints of the layer below."""
    found = 0
    for row in rows[:-1]:
        y = row.high + problem.gap / 2
        found += any(abs(edge.place - y) < problem.edge_offset - CLOSE for edge in problem.below_edges)
    return found


def edges(problem: Problem, rows: Sequence[Row]) -> Iterator[tuple[float, float, float]]:
    """Joints between rows: place on y, and from where to where on x floor lies on both sides."""
    for lower in rows[:-1]:
        y = lower.high + problem.gap / 2
        below = _spans_at(problem, lower.high - 0.01)
        above = _spans_at(problem, lower.high + problem.gap + 0.01)
        for a, b in below:
            for c, d in above:
                if min(b, d) - max(a, c) > problem.gap:
                    yield y, max(a, c), min(b, d)


def _spans_at(problem: Problem, y: float) -> list[tuple[float, float]]:
    box = (problem.box[0], problem.box[1], y - 0.005, y + 0.005)
    return [(min(s.left), max(s.right)) for s in clipped(problem.outline, problem.holes, box)]
