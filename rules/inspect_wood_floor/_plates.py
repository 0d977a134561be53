"""What the layers between the joists amount to: panels as stiffness and strength from least to most, and the worst bay.

No rules. Nothing here counts a bond between layers, nor backer board, membranes, felt or tile: only panels and their
own stiffness. What may help and is not published (boards, a wood floor, a mortar bed) is left out of the least, and
keeps a failing from being proven.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import product

from inspect_core.engineering.panels import (
    Capacity,
    FloorPlate,
    PointCheck,
    UniformCheck,
    build_up,
    capacity,
    capacity_bounds,
    check_point,
    check_uniform,
    rating_for_thickness,
    span_ratings,
)
from inspect_core.engineering.panels import Layer as Sheet
from inspect_core.engineering.panels.plate import Axis, Edge, Spans
from inspect_core.engineering.panels.ratings import Product
from inspect_core.engineering.working import weakest
from inspect_core.quantities import Dimension, Quantity, at_least, exactly
from inspect_core.rules_api import Limits, named
from inspect_core.site import Area
from inspect_core.site.geometry import Bay, Wall
from inspect_core.site.model import Joist, Layer
from inspect_wood_floor._layering import above, covers, material_of, overlap

AXES: tuple[Axis, ...] = ("across-joists", "along-joists")
STIFFENS = ("boards", "wood-floor", "mortar-bed", "self-leveling", "heating")  # helps, but nobody publishes how much
SOFT = ("insulation",)
MOST_LAYERS = 3  # counted on one another; more would only cost time
PRODUCTS: dict[str | None, Product | None] = {"osb": "osb", "plywood": "plywood", None: None}
STAMP = ("layer.rating", "layer.material", "layer.thickness")
NARROWEST = 1.0  # in: a gap between joists that no panel needs to be checked over
LIMITS = (
    "panel-span",
    "panel-thickness-tolerance",
    "layer-materials",
    "sanded-plywood-share",
    "unknown-joist-thickness",
)
"""Ids of the limits that these figures rest on."""


# --- one layer ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Counted:
    """One panel layer from its least to its most, the ways that its strong axis may run, whether it surely helps."""

    least: Capacity
    most: Capacity
    axes: tuple[Axis, ...]
    sure: bool


@dataclass(frozen=True, slots=True)
class Unread:
    """A layer whose stiffness can't be told: why, what to measure, and whether it may be of any help at all."""

    why: str
    asks: tuple[str, ...] = ()
    helps: bool = True


@dataclass(frozen=True, slots=True)
class Panel:
    """What a layer's stamp, material and thickness tell: ``proven`` when it is surely a structural panel."""

    least: Capacity
    most: Capacity
    proven: bool
    asks: tuple[str, ...] = ()
    note: str = ""


def panel_of(layer: Layer, limits: Limits, rating: str | None) -> Panel | Unread:
    """Published stiffness and strength of a panel layer, between bounds where the stamp or the material is unread.

    ``rating`` is the span rating that was read from its stamp; with it the layer is a structural panel, whatever else.
    """
    material = material_of(layer, limits)
    kind = PRODUCTS.get(material)
    if rating is not None:
        found = _by_plies(layer.material, rating) if kind == "plywood" else None
        found = found or _bounds(kind, rating, None, 0.0)
        if found is None:
            return Unread(f"no stiffness is published for panels rated {rating}")
        return Panel(*found, True, () if found[0] == found[1] else ("layer.material",))
    if material not in PRODUCTS:
        return Unread(f"{layer.material} counts for nothing between joists", helps=False)
    if layer.thickness is None or layer.thickness.estimate:
        return Unread("neither its stamp nor its thickness is known", STAMP)
    tolerance = limits["panel-thickness-tolerance"].value
    share = limits["sanded-plywood-share"].value
    assert tolerance is not None and share is not None
    reach = tolerance.high + (layer.thickness.high - layer.thickness.low) / 2
    found = _bounds(kind, None, layer.thickness.middle, reach)
    if found is None:
        thin = layer.thickness.high < min(min(r.thicknesses_in) for r in span_ratings().values())
        why = "too thin to count between joists" if thin else "no stiffness is published for its thickness"
        return Unread(why, ("layer.rating",), helps=not thin)
    least, most = found
    if kind == "osb":
        return Panel(least, most, True, ("layer.rating",), "stamp unread: between the weakest and the strongest OSB")
    if _may_be_sanded(layer.thickness.middle, reach):
        least = _weakened(least, share.low, limits["sanded-plywood-share"].status)
    note = "stamp unread: between sanded plywood of weak wood and the strongest panel of its thickness"
    return Panel(least, most, kind == "plywood", STAMP if kind is None else ("layer.rating",), note)


def _by_plies(material: str | None, rating: str) -> tuple[Capacity, Capacity] | None:
    """Plywood whose plies were counted (``5-ply plywood``) is known better."""
    counted = re.search(r"\b([345])[ -]*ply\b", (material or "").lower())
    if counted is None:
        return None
    try:
        found = capacity(f"plywood-{counted[1]}-ply", rating)
    except LookupError:
        return None
    return found, found


@cache
def _bounds(
    kind: Product | None, rating: str | None, thickness: float | None, reach: float
) -> tuple[Capacity, Capacity] | None:
    try:
        return capacity_bounds(kind, rating=rating, thickness_in=thickness, tolerance_in=reach)
    except LookupError:
        return None


@cache
def _may_be_sanded(thickness: float, reach: float) -> bool:
    return bool(rating_for_thickness(thickness, "plywood", tolerance_in=reach).sanded_groups)


@cache
def _weakened(least: Capacity, share: float, status: str) -> Capacity:
    return replace(
        least,
        ei_along=least.ei_along * share,
        ei_across=least.ei_across * share,
        fbs_along=least.fbs_along * share,
        fbs_across=least.fbs_across * share,
        planar_shear_along=least.planar_shear_along * share,
        rigidity=least.rigidity * share,
        status=weakest((least.status, status)),
        ei_status=weakest((least.ei_status, status)),
    )


# --- layers together ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Build:
    """The panels that lie on one another over one base layer.

    ``spans`` are the bays that pieces may cross, ``kind_spans`` those of the piece that crosses fewest. ``asks`` are
    fields that would narrow the answer. ``unproven`` says that the least is not sound, so nothing meets; ``may_help``
    names what is left out and may stiffen the floor, so that nothing is proven to fall short.
    """

    counted: tuple[Counted, ...]
    spans: tuple[Spans, ...]
    kind_spans: tuple[Spans, ...]
    edges: tuple[Edge, ...]
    unproven: bool
    may_help: tuple[str, ...]
    asks: tuple[str, ...]
    notes: tuple[str, ...]
    unread: tuple[str, ...] = ()  # panels that share the load in a way that nobody can tell

    @property
    def status(self) -> str:
        """The weakest status behind the panels' figures."""
        return weakest(sheet.least.status for sheet in self.counted)

    @property
    def ei_status(self) -> str:
        """The weakest status behind the panels' stiffness alone."""
        return weakest(sheet.least.ei_status for sheet in self.counted)


def build_of(area: Area, base: Layer, limits: Limits, rating_of: Callable[[Layer], str | None]) -> Build | Unread:
    """The panels over and with a base layer; ``Unread`` when not even one of them can be told."""
    counted: list[Counted] = []
    panels: list[Layer] = []
    unread: list[Unread] = []
    asks: list[str] = []
    notes: list[str] = []
    may_help: list[str] = []
    sharing: list[Layer] = []
    unproven = False
    for layer, why, helps in _stacked(area, base):
        if why:
            (may_help if helps else notes).append(f"{named(layer).name} {why}")
            asks += ["layer.kind"] if layer.kind is None else []
            continue
        if len(panels) == MOST_LAYERS:
            may_help.append(f"{named(layer).name} is not counted: {MOST_LAYERS} layers are")
            continue
        panel = panel_of(layer, limits, rating_of(layer))
        if isinstance(panel, Unread):
            unread.append(panel)
            asks += panel.asks
            sharing += [layer] if panel.helps else []
            (may_help if panel.helps else notes).append(f"{named(layer).name} is not counted: {panel.why}")
            continue
        fixed = layer is base or layer.attached_to is not None
        axes = tuple(axis for axis in AXES if layer.strong_axis in (None, axis))
        counted.append(Counted(panel.least, panel.most, axes, fixed and (panel.proven or layer is base)))
        panels.append(layer)
        unproven = unproven or (layer is base and not panel.proven)
        asks += [*panel.asks, *([] if fixed else ["layer.attached_to"])]
        asks += ["layer.strong_axis"] if layer.strong_axis is None else []
        asks += ["layer.spans_crossed"] if layer.spans_crossed is None else []
        notes += [f"{named(layer).name}: {panel.note}"] if panel.note else []
    if not any(sheet.sure for sheet in counted):
        why = unread[0].why if unread else "no panel lies on the joists"
        return Unread(why, tuple(dict.fromkeys(asks)))
    spans, kind_spans = spans_crossed([*panels, *sharing])
    facts = (tuple(dict.fromkeys(texts)) for texts in (may_help, asks, notes, [named(layer).name for layer in sharing]))
    return Build(tuple(counted), spans, kind_spans, edges_of(panels, limits), unproven, *facts)


def _stacked(area: Area, base: Layer) -> Iterator[tuple[Layer, str, bool]]:
    """The base and the layers over it that may matter: why one is not counted ("" when it is), whether it may help."""
    soft = False
    for layer in (base, *above(area, base)):
        soft = soft or layer.kind in SOFT
        if layer.kind != "panel":
            if layer.kind is None or layer.kind in STIFFENS:
                yield layer, "is not counted", True
        elif layer is base:
            yield layer, "", True
        elif soft or layer.attached_to == "loose":
            yield layer, "lies loose or on something soft, and is not counted", False
        elif not covers(layer.region, base.region):
            yield layer, "covers a part only, and is not counted", True
        else:
            yield layer, "", True


def spans_crossed(panels: list[Layer]) -> tuple[tuple[Spans, ...], tuple[Spans, ...]]:
    """Numbers of bays (3 for three or more) that any piece may cross, and that the piece which crosses fewest may."""
    every: tuple[Spans, ...] = (1, 2, 3)
    ends = [(1, 3) if crossed is None else (crossed.low, crossed.high) for crossed in (p.spans_crossed for p in panels)]
    fewest = min(max(min(low for low, _ in ends), 1), 3)
    most = max(min(max(high for _, high in ends), 3), 1)
    return tuple(n for n in every if n >= fewest), tuple(n for n in every if fewest <= n <= most)


def edges_of(panels: list[Layer], limits: Limits) -> tuple[Edge, ...]:
    """Where the load may stand: away from edges that bear on nothing, or on one."""
    held = limits["panel-edge-joints"].words
    if any(layer.joints in held for layer in panels):
        return ("interior",)
    off = limits["edge-cover-offset"].value
    assert off is not None
    bridged = [None if upper.edge_offset is None else at_least(upper.edge_offset, off) for upper in panels[1:]]
    if True in bridged:
        return ("interior",)
    if all(layer.joints is not None for layer in panels) and None not in bridged:
        return ("free",)
    return ("interior", "free")


# --- plates ---------------------------------------------------------------------------------------------------------


@lru_cache(maxsize=1024)
def _plates(counted: tuple[Counted, ...], most: bool) -> tuple[FloorPlate, ...]:
    """Every build-up that the least (or the most) may be: strong axes either way, and doubtful layers in and out.

    In a stack each layer takes load as it is stiff, so the strength of the whole is least where one layer is stiff and
    weak: strength is taken at its end, stiffness at both.
    """
    options: list[list[Sheet | None]] = []
    for sheet in counted:
        plain, other = (sheet.most, sheet.least) if most else (sheet.least, sheet.most)
        mixed = replace(
            other,
            fbs_along=plain.fbs_along,
            fbs_across=plain.fbs_across,
            planar_shear_along=plain.planar_shear_along,
            status=plain.status,
            ei_status=plain.ei_status,
        )
        panels = [plain] if len(counted) == 1 or mixed == plain else [plain, mixed]
        choice: list[Sheet | None] = [Sheet(panel, axis) for panel in panels for axis in sheet.axes]
        options.append(choice if sheet.sure else [*choice, None])
    stacks = (tuple(sheet for sheet in picked if sheet is not None) for picked in product(*options))
    return tuple(build_up(stack) for stack in stacks if stack)


Answer = UniformCheck | PointCheck
Pair = tuple[Answer, Answer]


@lru_cache(maxsize=4096)
def uniform(build: Build, width: Width, least_psf: float, most_psf: float, by_strength: bool) -> Pair:
    """The worst and the best answer under a load spread over the bay, by stiffness or by strength."""
    worst = [
        check_uniform(plate, width.widest, most_psf, spans=spans, framing_width_in=width.thin)
        for plate in _plates(build.counted, False)
        for spans in build.spans
    ]
    best = [
        check_uniform(plate, width.narrowest, least_psf, spans=spans, framing_width_in=width.thick)
        for plate in _plates(build.counted, True)
        for spans in build.kind_spans
    ]
    if by_strength:
        return max(worst, key=strength_use), min(best, key=strength_use)
    return min(worst, key=_stiffness), max(best, key=_stiffness)


@lru_cache(maxsize=4096)
def point(build: Build, width: Width, load_lb: float) -> Pair:
    """The worst and the best answer under one load midway between the joists."""
    worst = [
        check_point(plate, width.widest, load_lb, spans=spans, edge=edge, framing_width_in=width.thin)
        for plate in _plates(build.counted, False)
        for spans in _end_spans(build.spans)
        for edge in build.edges
    ]
    best = [
        check_point(plate, width.narrowest, load_lb, spans=spans, edge=edge, framing_width_in=width.thick)
        for plate in _plates(build.counted, True)
        for spans in _end_spans(build.kind_spans)
        for edge in build.edges
    ]
    return min(worst, key=_stiffness), max(best, key=_stiffness)


def _end_spans(spans: Iterable[Spans]) -> tuple[Spans, ...]:
    """The load stands in an end space, where a sheet over two bays or more is softest."""
    ends: tuple[Spans, ...] = (1, 2)
    return tuple(dict.fromkeys(ends[min(number, 2) - 1] for number in spans))


def strength_use(answer: Answer) -> float:
    """The part of bending or of rolling shear strength in use, whichever is more; 1 is all."""
    assert isinstance(answer, UniformCheck)
    return max(answer.bending_use, answer.shear_use or 0.0)


def _stiffness(answer: Answer) -> float:
    return answer.deflection_ratio


# --- bays -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Width:
    """A bay from its widest, on thin joists, to its narrowest, on thick ones (in)."""

    widest: float
    thin: float
    narrowest: float
    thick: float


@dataclass(frozen=True, slots=True)
class Crossed:
    """A bay that the floor crosses; ``sure`` when it surely is crossed and is no wider than it seems."""

    bay: Bay
    width: Width
    estimate: bool
    sure: bool


@dataclass(frozen=True, slots=True)
class Bays:
    """The bays under one layer. ``complete`` when no other bay can hide; ``notes`` say what was taken for granted."""

    crossed: tuple[Crossed, ...]
    complete: bool
    notes: tuple[str, ...]


def bays_under(area: Area, base: Layer, limits: Limits) -> Bays:
    """Bays that a base layer crosses, without those at openings that stay open."""
    placed = not area.unplaced
    half_of = _halves(limits)
    found: list[Crossed] = []
    hidden = not placed or not area.walls
    unknown_joist = at_wall = False
    for bay in area.bays:
        if (bay.opening is not None and bay.opening.plan == "stays-open") or not _lies_over(base, bay):
            continue
        if bay.spacing is None:
            hidden = True
            continue
        halves = [half_of(side) for side in (bay.left, bay.right) if isinstance(side, Joist)]  # a wall's lip is unknown
        thickness = halves[0][0] if len(halves) == 1 else halves[0][0] + halves[1][0]
        known = all(one for _, one in halves)
        if bay.spacing.high - thickness.low <= NARROWEST:
            continue
        unknown_joist, at_wall = unknown_joist or not known, at_wall or bay.at_wall
        thick = max(min(thickness.high, bay.spacing.low - NARROWEST), 0.0)
        width = Width(bay.spacing.high, thickness.low, max(bay.spacing.low, NARROWEST), thick)
        sure = placed and (bay.opening is None or bay.opening.plan is not None)
        found.append(Crossed(bay, width, bay.spacing.estimate, sure))
    notes = [
        *(["the edge at a wall lies on something there, which is checked on its own"] if at_wall else []),
        *(["joists of unknown thickness taken between usual ones"] if unknown_joist else []),
    ]
    return Bays(tuple(found), not hidden, tuple(notes))


def _halves(limits: Limits) -> Callable[[Joist], tuple[Quantity, bool]]:
    """Half a joist's thickness, on which a panel lies, and whether it is known; each joist is looked at once."""
    usual = limits["unknown-joist-thickness"].value
    assert usual is not None
    seen: dict[int, tuple[Quantity, bool]] = {}

    def half_of(joist: Joist) -> tuple[Quantity, bool]:
        found = seen.get(id(joist))
        if found is None:
            section = joist.section
            half = (section.thickness or usual) * (section.plies / 2)
            found = seen[id(joist)] = (half, section.thickness is not None)
        return found

    return half_of


def _lies_over(layer: Layer, bay: Bay) -> bool:
    if layer.region is None:
        return True
    across = tuple(side.across if isinstance(side, Wall) else side.place for side in (bay.left, bay.right))
    along = (exactly(bay.begins, Dimension.LENGTH), exactly(bay.ends, Dimension.LENGTH))
    return overlap(layer.region, replace(layer.region, across=(across[0], across[1]), along=along))


@dataclass(frozen=True, slots=True)
class Worst:
    """The bay that governs, its answer at the hard end, and the number for the whole layer as an interval.

    ``proven_short`` says whether failing at the kind end would prove that the floor falls short.
    """

    bay: Bay
    answer: Answer
    number: Quantity
    proven_short: bool


def worst_of(
    bays: Iterable[Crossed], solve: Callable[[Width], Pair], number: Callable[[Answer], float], *, most: bool
) -> Worst:
    """The bay that governs. With ``most`` the largest number is the worst, else the smallest."""
    pick = max if most else min
    crossed_bays = list(bays)
    pairs = {width: solve(width) for width in {crossed.width for crossed in crossed_bays}}
    solved = [(crossed, *pairs[crossed.width]) for crossed in crossed_bays]
    crossed, answer, _ = pick(solved, key=lambda found: number(found[1]))
    hard = number(answer)
    kind = [number(best) for one, _, best in solved if one.sure]
    ends = sorted((hard, pick(kind))) if kind else (hard, hard)
    estimate = any(one.estimate for one, _, _ in solved)
    return Worst(crossed.bay, answer, Quantity(ends[0], ends[1], Dimension.RATIO, estimate), bool(kind))


def assumed(build: Build, bays: Bays, status: str) -> Iterator[str]:
    """What a calculation of this floor takes for granted; ``status`` is that of the figures it used."""
    yield "no narrow strips, see panel-width; panels dry in service; no bond between layers counted"
    if status == "from memory":
        yield "figures of these panels are recalled in part, not all read"
    yield from build.notes
    yield from build.may_help
    yield from bays.notes
