"""Laying out the sheets of a floor area, from the site description and the limits in force."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from inspect_core.planning.layout.data import fact
from inspect_core.planning.layout.model import AreaLayout, ByArea, LayerLayout, NotLaid
from inspect_core.planning.layout.region import Box, Polygon, clipped, inset
from inspect_core.planning.layout.rows import LEAST_ROW, Below, Landing, Problem, edge_faults, edges
from inspect_core.planning.layout.search import Found, Solution, search
from inspect_core.quantities import Dimension, Units, exactly, render
from inspect_core.rules_api import Limits
from inspect_core.site import Area, geometry
from inspect_core.site.model import Joist, Layer, Opening, Pair, Region

SHEETS = ("panel", "backer")
FAR = 1e9
MOST_SHEETS = 500  # by area: beyond, the search takes too long, and the floor is only counted by its area
ALTERNATIVES = 4  # layouts of the layer below, as good as its best, that the layer above is tried on
FEW_PIECES = 30  # in a larger floor there is room enough on the first of them


def limit_value(limits: Limits, name: str, key: str | None = None) -> float | None:
    """Value of a limit in force in its internal unit: the stricter end of a range; ``None`` where no pack sets it."""
    if name not in limits.defs or (key is not None and not limits.has(name, key)):
        return None
    value = limits[name].value if key is None else limits[name, key].value
    return None if value is None else value.high


class LayingError(Exception):
    """A layer that can't be laid out; ``asks`` names the fields that would help."""

    def __init__(self, why: str, *asks: str, by_area: ByArea | None = None) -> None:
        super().__init__(why)
        self.asks = asks
        self.by_area = by_area


@dataclass(frozen=True, slots=True)
class Setup:
    """One layer's problem, and what the result needs besides: gaps, sheet, notes."""

    layer: Layer
    problem: Problem
    sheet: tuple[float, float]
    turned: bool
    gap: float
    wall_gap: float
    lies_on: str
    overhang: float  # how far past a joist's face a panel's edge at a wall may reach
    notes: tuple[str, ...]


def lay_out(area: Area, limits: Limits, units: str = "in") -> AreaLayout:
    """Every layer of panels and backer board that is new or altered, laid out from the joists up.

    ``units`` (of the file) picks the usual sheet where the file names none. What can't be laid out is in ``not_laid``.
    """
    from inspect_core.planning.layout.result import layout_of

    laid: list[LayerLayout] = []
    not_laid: list[NotLaid] = []
    beneath: list[Layer] = []
    options: list[tuple[Setup, Found]] = []
    for layer in area.layers or ():
        if layer.kind == "boards":
            beneath.append(layer)
        if layer.kind not in SHEETS:
            continue
        try:
            if layer.work == "existing":
                beneath.append(layer)
                continue
            _must_be_laid(layer)
            setup, found = _best(area, layer, limits, units, beneath, options)
        except LayingError as stop:
            not_laid.append(NotLaid(area.id, layer.id, layer.path, str(stop), stop.asks, stop.by_area))
        else:
            options.append((setup, found))
        beneath.append(layer)
    for n, (setup, found) in enumerate(options):
        bridged = n + 1 < len(options) and _bridges(options[n + 1], setup, limits)
        laid.append(layout_of(area, setup, found, bridged=bridged))
    return AreaLayout(area.id, tuple(laid), tuple(not_laid))


def _bridges(upper: tuple[Setup, Found], lower: Setup, limits: Limits) -> bool:
    """Whether the sheets above hold the square edges below: thick enough, their long joints off those below."""
    setup, found = upper
    least, thickness = limit_value(limits, "edge-cover-thickness"), setup.layer.thickness
    if setup.lies_on != lower.layer.id or least is None or thickness is None or setup.layer.region is not None:
        return False
    return thickness.low >= least and edge_faults(setup.problem, found.solutions[0].rows) == 0


def _must_be_laid(layer: Layer) -> None:
    if layer.work is None:
        raise LayingError("it is not said whether this layer is new or there already", "layer.work")
    if layer.strong_axis == "along-joists":
        why = "its strong axis is to run along the joists: the span rating does not hold that way; turn the sheets"
        raise LayingError(why, "layer.strong_axis")


def _best(
    area: Area,
    layer: Layer,
    limits: Limits,
    units: str,
    beneath: Sequence[Layer],
    options: list[tuple[Setup, Found]],
) -> tuple[Setup, Found]:
    """The layer's best layout. Where it lies on one just laid out, that one's equals are tried too, and the one that
    suits both best is kept in ``options``."""
    below = options[-1] if beneath and options and options[-1][0].layer is beneath[-1] else None
    turns = (False, True) if layer.kind == "backer" else (False,)
    best: tuple[tuple[int, ...], Setup, Found, int] | None = None
    lower: Sequence[Solution | None] = below[1].solutions if below is not None else (None,)
    if below is not None:
        equals = [s for s in below[1].solutions if s.cost[:2] == below[1].solutions[0].cost[:2]]
        lower = equals[: ALTERNATIVES if len(equals[0].pieces) <= FEW_PIECES else 1]
    for n, solution in enumerate(lower):
        for turned in turns:
            under = (below[0], solution) if below is not None and solution is not None else None
            setup = _setup(area, layer, limits, units, beneath, under, turned)
            try:
                found = search(setup.problem)
            except ValueError as error:
                raise LayingError(str(error), "area.outline", "layer.region") from None
            cost = (*found.solutions[0].cost[:2], solution.packing.cuts if solution is not None else 0,
                    found.solutions[0].packing.cuts)  # fmt: skip
            if best is None or cost < best[0]:
                best = (cost, setup, found, n)
        assert best is not None
        if best[0][0] == 0 and (n or best[0][1] <= best[2].bound):
            break
    assert best is not None
    if below is not None and best[3]:
        order = below[1].solutions
        first = (order[best[3]], *(s for i, s in enumerate(order) if i != best[3]))
        options[-1] = (below[0], Found(first, below[1].tried, below[1].bound, below[1].proven))
    return best[1], best[2]


# --- from the file to a problem --------------------------------------------------------------------------------------


def _setup(
    area: Area,
    layer: Layer,
    limits: Limits,
    units: str,
    beneath: Sequence[Layer],
    under: tuple[Setup, Solution] | None,
    turned: bool,
) -> Setup:
    notes: list[str] = []
    lower = _lower(layer, beneath)
    on_joists = layer.kind == "panel" and (layer.attached_to == "joists" or lower is None)
    gap, wall_gap = _gaps(layer, limits, notes)
    outline, holes, box, floor = _floor(area, layer, wall_gap, notes)
    sheet = _sheet(layer, units, notes)
    cover = sheet[1] - (fact("tongue") if layer.joints == "tongue-and-groove" else 0.0)
    if cover < LEAST_ROW:
        raise LayingError("its sheets are too narrow to be laid out", "layer.sheet")
    if floor > MOST_SHEETS * sheet[0] * sheet[1]:
        why = f"more than {MOST_SHEETS} sheets, which are not laid out: for a cutting plan write it in parts"
        raise LayingError(why, "layer.region", by_area=ByArea(floor, sheet, cover, tuple(notes)))
    landings = _landings(area, notes)
    if on_joists and not landings:
        raise LayingError("the joists under it, or their places, are not known", "joist.at")
    ends, edges = _joints_below(under) if under is not None else ((), ())
    if lower is not None and under is None:
        notes.append("the joints of the layer below are not known: see that none comes to lie over another")
    if turned:
        outline, holes, box = _turn(outline), tuple(_turn(h) for h in holes), (box[2], box[3], box[0], box[1])
        ends, edges = edges, ends
    apart = _apart(layer, limits, _least_bay(landings) or 0.0, on_joists)
    problem = Problem(
        outline=outline,
        holes=holes,
        box=box,
        length=sheet[0],
        width=cover,
        kerf=fact("kerf"),
        gap=gap,
        matched=layer.joints == "tongue-and-groove",
        least_width=_least_width(layer, limits, on_joists),
        least_length=0.0 if on_joists else _least_second(layer),
        least_bays=_least_bays(layer, limits) if on_joists else 0,
        landings=landings if not turned else (),
        free_ends=None,
        least_bearing=fact("least-bearing"),
        stagger=apart.rows,
        row_places=() if turned or not on_joists else _row_places(landings),
        below_ends=ends,
        below_edges=edges,
        end_offset=apart.ends,
        edge_offset=apart.edges,
    )
    if not on_joists:
        problem = _with_free_ends(problem, landings if layer.kind == "panel" else ())
    lies_on = "joists" if on_joists else lower.id if lower is not None else ""
    overhang = limit_value(limits, "edge-overhang") or 0.0
    return Setup(layer, problem, sheet, turned, gap, wall_gap, lies_on, overhang, tuple(notes))


def _floor(
    area: Area, layer: Layer, wall_gap: float, notes: list[str]
) -> tuple[Polygon, tuple[Polygon, ...], Box, float]:
    """Outline less the gap at walls, openings that stay, the part that the layer covers, and its area (sq in)."""
    outline = _room(area, wall_gap, notes)
    box = _box(layer.region)
    holes = tuple(hole for opening in area.openings or () if (hole := _hole(opening)) is not None)
    strips = clipped(outline, holes, box)
    if not strips:
        raise LayingError("there is no floor where this layer is to lie", "layer.region")
    return outline, holes, box, sum(strip.area for strip in strips)


def _least_width(layer: Layer, limits: Limits, on_joists: bool) -> float:
    return (limit_value(limits, "panel-least-width") or 0.0) if on_joists else _least_second(layer)


def _least_second(layer: Layer) -> float:
    """The narrowest and the shortest piece (in) of sheets that lie on others."""
    return fact("backer-least" if layer.kind == "backer" else "second-least")


def _least_bays(layer: Layer, limits: Limits) -> int:
    """How many bays a piece crosses at least."""
    own = layer.spans_crossed.low if layer.spans_crossed is not None else 0.0
    return round(max(limit_value(limits, "panel-least-spans") or 0.0, own))


@dataclass(frozen=True, slots=True)
class _Apart:
    """How far joints stay from others (in): end joints of neighbouring rows, ends and edges over those below."""

    rows: float
    ends: float
    edges: float


def _apart(layer: Layer, limits: Limits, bay: float, on_joists: bool) -> _Apart:
    backer = layer.kind == "backer"
    offset = limit_value(limits, "backer-offset" if backer else "underlayment-edge-offset") or 0.0
    share = limit_value(limits, "underlayment-end-offset") or 0.0
    stagger = limit_value(limits, "backer-stagger" if backer else "panel-stagger") or 0.0
    if layer.end_stagger is not None and on_joists:
        stagger = max(stagger, layer.end_stagger.low)
    return _Apart(max(stagger * bay, 1.0) if stagger else 0.0, offset if backer else share * bay, offset)


def _lower(layer: Layer, beneath: Sequence[Layer]) -> Layer | None:
    """The topmost layer of sheets under this one."""
    for lower in reversed(beneath):
        if lower.region is None or layer.region is not None:
            return lower
    return None


def _gaps(layer: Layer, limits: Limits, notes: list[str]) -> tuple[float, float]:
    backer = layer.kind == "backer"
    found = []
    for own, name, words in (
        (layer.gap, "backer-gap" if backer else "panel-gap", "gap between sheets"),
        (layer.wall_gap, "backer-wall-gap" if backer else "panel-wall-gap", "gap at walls"),
    ):
        if own is not None:
            found.append(own.middle)
            continue
        value = limit_value(limits, name)
        if value is None:
            raise LayingError(f"the {words} is not known", "layer.gap", "layer.wall_gap")
        notes.append(f"{words} not given: taken as the least, see explain for {name}")
        found.append(value)
    return found[0], found[1]


def _room(area: Area, wall_gap: float, notes: list[str]) -> Polygon:
    corners = area.room_corners
    if not corners:
        raise LayingError("the room's outline is not known", "area.outline")
    if any(not q.exact for pair in corners for q in pair):
        notes.append("the room is not measured exactly: laid out for the middle; measure before cutting")
    try:
        return inset([(across.middle, along.middle) for across, along in corners], wall_gap)
    except ValueError as error:
        raise LayingError(str(error), "area.outline", "layer.wall_gap") from None


def _box(region: Region | None) -> Box:
    across = _pair(region.across) if region is not None else None
    along = _pair(region.along) if region is not None else None
    if region is not None and ((region.across and across is None) or (region.along and along is None)):
        raise LayingError("the part of the floor that it covers is not known", "region.across", "region.along")
    return (*(across or (-FAR, FAR)), *(along or (-FAR, FAR)))


def _pair(pair: Pair | None) -> tuple[float, float] | None:
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    low, high = sorted((pair[0].middle, pair[1].middle))
    return low, high


def _hole(opening: Opening) -> Polygon | None:
    across, along = _pair(opening.across), _pair(opening.along)
    if opening.plan == "floored-over":
        return None
    if across is None or along is None:
        raise LayingError(f"opening {opening.id or 'without a name'}: its place is not known", "opening.across",
                        "opening.along")  # fmt: skip
    if opening.plan is None:
        raise LayingError(f"opening {opening.id or 'without a name'}: stays open or is floored over?", "opening.plan")
    (a, b), (c, d) = across, along
    return ((a, c), (b, c), (b, d), (a, d))


def _sheet(layer: Layer, units: str, notes: list[str]) -> tuple[float, float]:
    if layer.sheet is not None:
        one, other = layer.sheet[0].middle, layer.sheet[1].middle
        return max(one, other), min(one, other)
    notes.append("sheet size not given: the usual one is taken")
    return fact(f"sheet-length/{layer.kind}/{units}"), fact(f"sheet-width/{layer.kind}/{units}")


def _landings(area: Area, notes: list[str]) -> tuple[Landing, ...]:
    found: list[Landing] = []
    for joist in area.joists or ():
        reach = geometry.extent_along(area, joist) if joist.place is not None else None
        if joist.place is None or reach is None:
            notes.append(f"joist {joist.id} is left out: its place is not known")
            continue
        far = joist.place_far.middle if joist.place_far is not None else joist.place.middle
        found.append(Landing(joist.id, joist.place.middle, far, *reach, _half(joist, area.units, notes)))
    inexact = [j.id for j in area.joists or () if j.place is not None and not j.place.exact]
    if inexact:
        notes.append(f"place not measured exactly: {', '.join(inexact)}; mark the joists before cutting")
    return tuple(sorted(found, key=lambda one: (one.x_low, one.y_low, one.name)))


def _half(joist: Joist, units: Units, notes: list[str]) -> float:
    section = joist.section
    if section.thickness is None:
        usual = fact("joist-thickness")
        shown = render(exactly(usual, Dimension.LENGTH), units, hair=False)
        note = f"joists of unknown thickness are taken as {shown} thick"
        if note not in notes:
            notes.append(note)
        return usual * section.plies / 2
    return section.thickness.low * section.plies / 2


def _least_bay(landings: Sequence[Landing]) -> float | None:
    """Least distance between joists that are not side by side (in)."""
    apart = fact("side-by-side")
    gaps = [
        b.x_low - a.x_low
        for a in landings
        for b in landings
        if b.x_low - a.x_low > apart and min(a.y_high, b.y_high) > max(a.y_low, b.y_low)
    ]
    return min(gaps, default=None)


def _row_places(landings: Sequence[Landing]) -> tuple[float, ...]:
    """Where some joists stop and others begin: a row that ends there has the same joists under all of it."""
    low, high = min(one.y_low for one in landings), max(one.y_high for one in landings)
    inner = {y for one in landings for y in (one.y_low, one.y_high) if low + 1 < y < high - 1}
    return tuple(sorted(inner))


def _joints_below(under: tuple[Setup, Solution]) -> tuple[tuple[Below, ...], tuple[Below, ...]]:
    """End joints and long joints of the layer below in plan: the first cross the tape across, the second the other."""
    setup, solution = under
    ends = tuple(Below(e.x, e.low, e.high) for e in solution.ends)
    long = tuple(Below(y, a, b) for y, a, b in edges(setup.problem, solution.rows))
    return (long, ends) if setup.turned else (ends, long)


def _with_free_ends(problem: Problem, off: Sequence[Landing]) -> Problem:
    """Places for end joints that need nothing under them: whole sheets from either side, halves, clear of joints below
    and, for a second layer of panels, off the joists."""
    x0, x1 = min(x for x, _ in problem.outline), max(x for x, _ in problem.outline)
    x0, x1 = max(x0, problem.box[0]), min(x1, problem.box[1])
    half = problem.gap / 2
    step = problem.length + problem.gap
    wanted: set[float] = set()
    for n in range(1, int((x1 - x0) // (step / 2)) + 2):
        wanted |= {x0 + n * step / 2 - half, x1 - n * step / 2 + half, x0 + n * step / 3 - half}
    for below in problem.below_ends:
        wanted |= {below.place - problem.end_offset, below.place + problem.end_offset}
    for one in off:
        clear = one.half + fact("off-joists")
        wanted |= {one.x_low - clear, one.x_low + clear}
    tape = {round(x * 16) / 16 for x in wanted if x0 + 1 < x < x1 - 1}
    places = tuple(
        x for x in sorted(tape)
        if all(abs(x - one.x_low) >= one.half + fact("off-joists") - 0.07 for one in off)
    )  # fmt: skip
    return replace(problem, free_ends=places)


def _turn(points: Polygon) -> Polygon:
    """Across and along changed places; order kept counter-clockwise."""
    return tuple((y, x) for x, y in points)[::-1]
