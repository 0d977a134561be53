"""From a solution to what can be drawn and cut: pieces by number, joints, edges that want blocking, offcuts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot

from inspect_core.planning.layout.data import fact
from inspect_core.planning.layout.lay import Setup
from inspect_core.planning.layout.model import CutOut, Joint, LayerLayout, Offcut, Piece, Unsupported
from inspect_core.planning.layout.packing import Packing
from inspect_core.planning.layout.region import Point, Polygon, clipped, figures, sides
from inspect_core.planning.layout.rows import Landing, PiecePlan, covered, edges
from inspect_core.planning.layout.search import Found, Solution
from inspect_core.quantities import Dimension, exactly, render
from inspect_core.site import Area, geometry
from inspect_core.site.model import Blocking

NEAR = 0.02  # in: slack for telling which wall an edge runs along
NOWHERE = ("none", None)


def layout_of(area: Area, setup: Setup, found: Found, *, bridged: bool) -> LayerLayout:
    """The best of the solutions as a layout. ``bridged``: a layer above holds this one's square edges."""
    solution = found.solutions[0]
    layer, packing = setup.layer, solution.packing
    floor = covered(setup.problem)
    cut_outs = tuple(_cut_outs(area))
    order = sorted(range(len(solution.pieces)), key=lambda i: _order(solution.pieces[i]))
    names: dict[int, int] = {}
    for i in order:
        names.setdefault(packing.places[i].sheet, len(names) + 1)
    pieces = tuple(_piece(n, i, solution, setup, names, cut_outs) for n, i in enumerate(order, 1))
    notes = list(setup.notes)
    unsupported = tuple(_unsupported(area, setup, solution, bridged)) if setup.lies_on == "joists" else ()
    if setup.lies_on == "joists" and layer.joints is None and not bridged:
        notes.append("how the long edges meet is not said: taken as square, so each wants blocking")
    if bridged and layer.joints == "square":
        notes.append("square edges are held by the layer above, whose joints stand off from these")
    notes += _faults(setup, solution)
    return LayerLayout(
        area=area.id,
        layer=layer.id,
        path=layer.path,
        kind=layer.kind or "",
        lies_on=setup.lies_on,
        sheet=setup.sheet,
        cover=setup.problem.width,
        turned=setup.turned,
        gap=setup.gap,
        wall_gap=setup.wall_gap,
        pieces=pieces,
        joints=tuple(_joints(setup, solution)),
        unsupported=unsupported,
        offcuts=tuple(_offcuts(packing, names)),
        sheets=packing.sheets,
        bound=found.bound,
        proven=found.proven,
        tried=found.tried,
        cuts=packing.cuts,
        floor_area=floor,
        narrowest=min(piece.width for piece in pieces),
        notes=tuple(dict.fromkeys(notes)),
    )


def _order(piece: PiecePlan) -> tuple[int, float, float]:
    return (piece.row, piece.figure.box[0], piece.figure.box[2])


def _plan(setup: Setup, x: float, y: float) -> Point:
    return (y, x) if setup.turned else (x, y)


def _polygon(setup: Setup, points: Polygon) -> Polygon:
    turned = tuple(_plan(setup, *p) for p in points)
    return turned[::-1] if setup.turned else turned


def _piece(
    number: int, i: int, solution: Solution, setup: Setup, names: dict[int, int], cut_outs: Sequence[CutOut]
) -> Piece:
    plan, place = solution.pieces[i], solution.packing.places[i]
    x0, x1, y0, y1 = plan.figure.box
    across, along = ((y0, y1), (x0, x1)) if setup.turned else ((x0, x1), (y0, y1))
    length, width = plan.blank.length, plan.blank.width
    problem = setup.problem
    alone = sum(1 for p in solution.packing.places if p.sheet == place.sheet) == 1
    square = not plan.figure.holes and abs(plan.figure.area - length * width) < 0.01
    return Piece(
        number=number,
        row=plan.row + 1,
        corners=_polygon(setup, plan.figure.outline),
        holes=tuple(_polygon(setup, hole) for hole in plan.figure.holes),
        across=across,
        along=along,
        area=plan.figure.area,
        length=length,
        width=width,
        sheet=names[place.sheet],
        at=(place.x, place.y),
        # Sheets are often made a gap's width smaller than they are called, so that they need no cut.
        whole=alone and length >= problem.length - problem.gap - 1e-6 and width >= problem.width - problem.gap - 1e-6,
        square=square,
        cut_outs=tuple(c for c in cut_outs if _meets(c, across, along)),
        flags=plan.flags,
    )


def _faults(setup: Setup, solution: Solution) -> Iterator[str]:
    if solution.faults:
        flagged = [flag for piece in solution.pieces for flag in piece.flags]
        if "narrow" in flagged:
            yield "no layout without a narrow strip was found: block all edges of the pieces marked narrow"
        if "short" in flagged or "too few bays" in flagged:
            yield "some pieces cross fewer bays than they should: put blocking or a joist under them, or ask the maker"
        if len(flagged) < solution.faults:
            yield "not every joint keeps the distance from others that the limits ask for"


# --- joints ----------------------------------------------------------------------------------------------------------


def _joints(setup: Setup, solution: Solution) -> Iterator[Joint]:
    for end in solution.ends:
        yield Joint("end", _plan(setup, end.x, end.low), _plan(setup, end.x, end.high), end.lands_on)
    for y, a, b in edges(setup.problem, solution.rows):
        yield Joint("edge", _plan(setup, a, y), _plan(setup, b, y))


def _offcuts(packing: Packing, names: dict[int, int]) -> Iterator[Offcut]:
    least = fact("least-offcut")
    left = [free for free in packing.left if min(free.length, free.width) >= least]
    for free in sorted(left, key=lambda f: (names[f.sheet], -f.length * f.width)):
        yield Offcut(names[free.sheet], free.length, free.width)


# --- what is cut out -------------------------------------------------------------------------------------------------


def _cut_outs(area: Area) -> Iterator[CutOut]:
    """Pipes that come up through the floor, and openings that stay open."""
    room = fact("pipe-room")
    seen: list[Point] = []
    for fixture in area.fixtures or ():
        flange = fixture.flange
        if flange is None or flange.at is None or flange.at[0] is None or flange.at[1] is None:
            continue
        centre = (flange.at[0].middle, flange.at[1].middle)
        seen.append(centre)
        pipe = flange.outside_diameter
        yield CutOut(fixture.id, "toilet flange", centre, pipe.high + 2 * room if pipe is not None else None)
    for drain in area.drains or ():
        if not drain.route or drain.route[0][0] is None or drain.route[0][1] is None:
            continue
        centre = (drain.route[0][0].middle, drain.route[0][1].middle)
        if any(hypot(centre[0] - x, centre[1] - y) < fact("side-by-side") for x, y in seen):
            continue
        pipe = drain.outside_diameter
        yield CutOut(drain.id, "drain", centre, pipe.high + 2 * room if pipe is not None else None)
    for opening in area.openings or ():
        spans = [pair for pair in (opening.across, opening.along) if pair is not None and None not in pair]
        if opening.plan == "floored-over" or len(spans) < 2:
            continue
        (a, b), (c, d) = ([q.middle for q in pair if q is not None] for pair in spans)
        yield CutOut(opening.id, "opening", ((a + b) / 2, (c + d) / 2), None, (abs(b - a), abs(d - c)))


def _meets(cut_out: CutOut, across: tuple[float, float], along: tuple[float, float]) -> bool:
    half = (cut_out.diameter or 0.0) / 2
    reach = (cut_out.size[0] / 2, cut_out.size[1] / 2) if cut_out.size is not None else (half, half)
    (x, y), (dx, dy) = cut_out.centre, reach
    return across[0] - dx < x < across[1] + dx and along[0] - dy < y < along[1] + dy


# --- edges with nothing under them -----------------------------------------------------------------------------------


def _unsupported(area: Area, setup: Setup, solution: Solution, bridged: bool) -> Iterator[Unsupported]:
    """Only for sheets on joists, which are never turned: x is across, y is along."""
    problem = setup.problem
    if setup.layer.joints != "tongue-and-groove" and not bridged:
        for y, a, b in edges(problem, solution.rows):
            for where, start, end in _between(problem.landings, y, a, b):
                if not _blocked(area, y, start, end, fact("block-reach")):
                    yield Unsupported("edge", where, (start, y), (end, y), end - start)
    for joint in solution.ends:
        if not joint.lands_on:
            shown = render(exactly(joint.x, Dimension.LENGTH), area.units, hair=False)
            yield Unsupported("end", f"end joint at {shown}", (joint.x, joint.low), (joint.x, joint.high),
                              joint.high - joint.low)  # fmt: skip
    for piece in figures(clipped(problem.outline, problem.holes, _all(setup))):
        for outline in (piece.outline, *piece.holes):
            for corner, following in sides(outline):
                yield from _open_edge(area, setup, corner, following)


def _all(setup: Setup) -> tuple[float, float, float, float]:
    (x0, x1, y0, y1) = setup.problem.box
    xs, ys = zip(*setup.problem.outline, strict=True)
    return (max(x0, min(xs)), min(x1, max(xs)), max(y0, min(ys)), min(y1, max(ys)))


def _between(landings: Sequence[Landing], y: float, a: float, b: float) -> Iterator[tuple[str, float, float]]:
    """Stretches of a line across the joists from face to face, with the joists beside each."""
    here = sorted((one.at(y), one.half, one.name) for one in landings if one.y_low <= y <= one.y_high)
    start, left, least = a, "", fact("least-block")
    for x, half, name in here:
        if x + half <= a or x - half >= b:
            if x + half <= a:
                left = name
            continue
        if x - half - start > least:
            yield _bay_name(left, name), start, x - half
        start, left = max(start, x + half), name
    if b - start > least:
        right = next((name for x, half, name in here if x - half >= b), "")
        yield _bay_name(left, right), start, b


def _bay_name(left: str, right: str) -> str:
    if left and right:
        return f"bay {left}–{right}"
    return f"beside {left or right}" if left or right else "no joist near"


def _blocked(area: Area, y: float, start: float, end: float, reach: float) -> bool:
    """Whether blocking stands under a stretch across the joists."""
    for block in area.blocking or ():
        if block.kind not in ("solid", "cleat") or block.along is None or abs(block.along.middle - y) > reach:
            continue
        if block.row == "every-bay" or _between_holds(area, block, start, end):
            return True
    return False


def _between_holds(area: Area, block: Blocking, start: float, end: float) -> bool:
    joists = [area.joist_by_id.get(name) for name in block.between or ()]
    places = [j.place.middle for j in joists if j is not None and j.place is not None]
    return len(places) == 2 and min(places) <= start + 1 and end - 1 <= max(places)


def _open_edge(area: Area, setup: Setup, start: Point, stop: Point) -> Iterator[Unsupported]:
    """Stretches of one side of the floor with nothing known under them."""
    name = _wall_of(area, start, stop, setup.wall_gap)
    (x1, y1), (x2, y2) = min(start, stop), max(start, stop)
    upright, level = abs(x2 - x1) < NEAR, abs(y2 - y1) < NEAR
    landed = _landed(area, name)
    label = f"{name} wall" if name else "edge of the opening or patch"
    if upright:
        low, high = min(y1, y2), max(y1, y2)
        held = [
            (one.y_low, one.y_high)
            for one in setup.problem.landings
            if abs(one.at((low + high) / 2) - x1) <= one.half + setup.overhang
        ]
        for a, b in _free(low, high, [*held, *landed]):
            yield Unsupported("wall", label, (x1, a), (x1, b), b - a)
    elif level:
        if _on_carrier(area, y1, x1, x2):
            return
        for where, a, b in _between(setup.problem.landings, y1, x1, x2):
            if not _blocked(area, y1, a, b, fact("wall-reach")):
                for c, d in _free(a, b, landed):
                    yield Unsupported("wall", f"{label}, {where}", (c, y1), (d, y1), d - c)
    elif not landed:
        yield Unsupported("wall", label, start, stop, hypot(x2 - x1, y2 - y1))


def _free(low: float, high: float, held: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    least = fact("least-block")
    for a, b in sorted(held):
        if a - low > least and low < high:
            yield low, min(a, high)
        low = max(low, b)
    if high - low > least:
        yield low, high


def _wall_of(area: Area, start: Point, stop: Point, gap: float) -> str:
    """Name of the wall that an edge of the floor runs along, or "" for an opening or the border of a patch."""
    for wall in area.walls:
        (ax, ay), (bx, by) = ((p[0].middle, p[1].middle) for p in (wall.start, wall.end))
        length = hypot(bx - ax, by - ay)
        if length < NEAR:  # a corner that is written twice, such as the first again at the end
            continue
        away = [abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length for x, y in (start, stop)]
        middle = ((start[0] + stop[0]) / 2, (start[1] + stop[1]) / 2)
        share = ((middle[0] - ax) * (bx - ax) + (middle[1] - ay) * (by - ay)) / length**2
        if all(abs(d - gap) < NEAR for d in away) and 0 <= share <= 1:
            return wall.name
    return ""


def _landed(area: Area, wall: str) -> list[tuple[float, float]]:
    """Stretches of a wall under which the file says what carries the floor's edge."""
    found = []
    for edge in area.edges or ():
        if edge.wall != wall or not wall or edge.landing in NOWHERE:
            continue
        part = edge.part
        if part is None or part[0] is None or part[1] is None:
            found.append((-1e9, 1e9))
        else:
            low, high = sorted((part[0].middle, part[1].middle))
            found.append((low, high))
    return found


def _on_carrier(area: Area, y: float, a: float, b: float) -> bool:
    """Whether the edge lies on a header, or on a support whose top is level with the joists'."""
    for opening in area.openings or ():
        for header in opening.headers or ():
            faces = geometry.carrier_faces(header)
            if faces is not None and faces[0].middle - 0.6 <= y <= faces[1].middle + 0.6:
                return True
    for support in area.supports or ():
        faces = geometry.carrier_faces(support)
        if support.joists_sit == "flush" and faces is not None and faces[0].middle <= y <= faces[1].middle:
            return True
    return False
