"""The floor between two joists, worked out: how far its panels bend, how much of their strength is used."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from inspect_core.engineering.working import Step, Working, show, weakest
from inspect_core.quantities import Quantity, hull
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Limits,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Layer
from inspect_wood_floor import _plates as plates
from inspect_wood_floor._layering import absent, base_layers, floor_layers, material_of, of_kind, stamped_rating, tiled
from inspect_wood_floor._plates import Bays, Build, Unread, Worst

MEASURES = (
    "layer.rating",
    "layer.thickness",
    "layer.material",
    "layer.strong_axis",
    "layer.spans_crossed",
    "joist.at",
    "area.outline",
)
EDGE_LIMITS = ("panel-edge-joints", "edge-cover-offset")
SOLUTIONS = (
    "Lay another structural panel over it, its joints off those below, or put a joist into the wide bay. Backer board, "
    "membranes and thin-set do not make panels stiffer. "
)

Solved = Callable[[Layer, Build, Bays], Check]


def _floors(area: Area, limits: Limits, solved: Solved) -> Iterator[Check]:
    """One answer for each layer that lies on the joists; where it can't be worked out, why."""
    yield from absent(area, "panel or board", "panel", "boards")
    if area.joists is None:
        for base in base_layers(area):
            yield not_measured(named(base), because="no joists are listed under it", asks=("area.joists",))
        return
    for base in base_layers(area):
        yield _floor(area, base, limits, solved)


def _floor(area: Area, base: Layer, limits: Limits, solved: Solved) -> Check:
    subject = named(base)
    if not area.joists:
        return does_not_apply(subject, "no joists in this floor")
    build = plates.build_of(area, base, limits, lambda layer: _stamp(layer, limits))
    if isinstance(build, Unread):
        if base.kind == "boards" and not build.asks:
            return does_not_apply(subject, "boards alone are judged by their table, see board-span")
        return not_measured(subject, because=build.why, asks=build.asks or plates.STAMP)
    bays = plates.bays_under(area, base, limits)
    if not bays.crossed:
        if bays.complete and area.bays:
            return does_not_apply(subject, "no bay is floored over by it")
        because = "the joist spacing under it is not known"
        return not_measured(subject, because=because, asks=("joist.at", "area.outline"))
    return solved(base, build, bays)


def _stamp(layer: Layer, limits: Limits) -> str | None:
    return None if layer.rating is None else stamped_rating(layer.rating, limits.keys("panel-span"))


def _answer(base: Layer, build: Build, bays: Bays, worst: Worst, limit: Limit, *, at_most: bool, load: Working,
            asks: tuple[str, ...], also: str = "", status: str = "") -> Check:  # fmt: skip
    """The worst bay against the limit, softened where one end of the bounds is not sound.

    ``status`` is that of the figures used, where it is not that of all.
    """
    status = status or build.status
    subject = named(base)
    limit = replace(limit, status=weakest((limit.status, status)))
    layers = f"{len(build.counted)} layers" if len(build.counted) > 1 else "one layer"
    found = f"worst in {worst.bay.name}, {layers}{also}"
    answer = check(
        subject,
        measured=worst.number,
        at_most=limit if at_most else None,
        at_least=None if at_most else limit,
        found=found,
        assuming=plates.assumed(build, bays, status),
        asks=tuple(dict.fromkeys((*build.asks, *asks))),
        working=(*load, *worst.answer.working),
    )
    doubt = ""
    if answer.outcome == MEETS and not bays.complete:
        doubt, asks = "a wider bay may hide", ("joist.at", "area.outline")
    elif answer.outcome == MEETS and build.unproven:
        doubt, asks = "nothing says that it is a structural panel", plates.STAMP
    elif answer.outcome == MEETS and at_most and build.unread:
        doubt, asks = f"{build.unread[0]} takes a share of the load that is not known", build.asks or plates.STAMP
    elif answer.outcome == FALLS_SHORT and not worst.proven_short:
        doubt, asks = "whether this bay is floored over is not said", ("opening.plan", "joist.at")
    elif answer.outcome == FALLS_SHORT and build.may_help:
        doubt, asks = build.may_help[0], build.asks or ("layer.kind",)
    return replace(answer, outcome=NOT_MEASURED, found=f"{found}; {doubt}", asks=asks) if doubt else answer


# --- loads ----------------------------------------------------------------------------------------------------------


def _load(area: Area, limits: Limits) -> tuple[Quantity, Working, tuple[str, ...]]:
    """Live and dead load of this floor in psf, how it comes about, and what would narrow it."""
    uses = tuple(limits.keys("live-load"))
    use = area.use if area.use is None or area.use in uses else "other"
    live, dead = limits.between("live-load", use, uses).value, limits["dead-load"].value
    assert live is not None and dead is not None
    total = live + dead
    sum_of = f"{show(live.high)} + {show(dead.high)}"
    steps = (Step("w", "live + dead", sum_of, total.high, "psf", "loads of the packs in force"),)
    return total, steps, ("area.use",) if use is None else ()


def _finish(area: Area, limits: Limits) -> str | None:
    """``natural-stone``, ``tile`` or ``other``; ``None`` where the finish, or what the tile is, isn't known."""
    materials = {material_of(tile, limits) for tile in of_kind(area, "tile")}
    if area.finish == "natural-stone" or "natural-stone" in materials:
        return "natural-stone"
    tile = tiled(area)
    if tile is None or (area.finish is None and None in materials):
        return None
    return "tile" if tile else "other"


# --- rules ----------------------------------------------------------------------------------------------------------


@rule(
    "subfloor-stiffness",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-stiffness",
    quantity="span over deflection",
    limits=["subfloor-deflection", "live-load", "dead-load", *EDGE_LIMITS, *plates.LIMITS],
    measures=[*MEASURES, "area.use", "area.finish"],
    provisions=[
        "deflection-floor-l360",
        "tile-deflection-ceramic",
        "tile-deflection-stone",
        "panel-two-span",
        "backer-no-structure",
    ],
    remedy=SOLUTIONS + "For natural stone, have a licensed engineer or the stone setter confirm the build-up.",
)
def subfloor_stiffness(area: Area, limits: Limits) -> Iterator[Check]:
    """Between two joists the subfloor bends no more under the floor's load than 1/360 of the bay, natural stone 1/720.

    Worked out from the panels' published stiffness over the widest bay. A thick floor on a wide bay, or a patch that
    crosses one bay only, may bend more than a thin one on close joists; grout and stone crack with it.
    """
    load, steps, more = _load(area, limits)
    finish = _finish(area, limits)
    limit = limits.between("subfloor-deflection", finish, tuple(limits.keys("subfloor-deflection")))
    asks = (*more, *(("area.finish",) if finish is None else ()))

    def solved(base: Layer, build: Build, bays: Bays) -> Check:
        worst = plates.worst_of(
            bays.crossed,
            lambda width: plates.uniform(build, width, load.low, load.high, False),
            lambda answer: answer.deflection_ratio,
            most=False,
        )
        return _answer(base, build, bays, worst, limit, at_most=False, load=steps, asks=asks, status=build.ei_status)

    yield from _floors(area, limits, solved)


@rule(
    "subfloor-strength",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-strength",
    quantity="share of the panels' strength in use",
    limits=["subfloor-strength", "live-load", "dead-load", *EDGE_LIMITS, *plates.LIMITS],
    measures=[*MEASURES, "area.use"],
    provisions=["panel-two-span", "live-load-general", "live-load-sleeping"],
    cautions=["floor-hole"],
    remedy=SOLUTIONS + "Until then keep heavy things and people off the bay. A licensed engineer can design what no "
    "table covers.",
)
def subfloor_strength(area: Area, limits: Limits) -> Iterator[Check]:
    """The floor's load uses no more than the strength of the panels in bending and in rolling shear.

    A panel that was never meant for floors, or a wide bay, may hold one person and not a party.
    """
    load, steps, asks = _load(area, limits)

    def solved(base: Layer, build: Build, bays: Bays) -> Check:
        worst = plates.worst_of(
            bays.crossed,
            lambda width: plates.uniform(build, width, load.low, load.high, True),
            plates.strength_use,
            most=True,
        )
        also = (
            "" if getattr(worst.answer, "shear_use", None) is not None else "; no shear strength is published this way"
        )
        return _answer(
            base, build, bays, worst, limits["subfloor-strength"], at_most=True, load=steps, asks=asks, also=also
        )

    yield from _floors(area, limits, solved)


@rule(
    "subfloor-point-load",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="tile.point-load",
    quantity="span over deflection under one load",
    limits=["point-load", "point-deflection", "point-deflection-stone", *EDGE_LIMITS, *plates.LIMITS],
    measures=[*MEASURES, "layer.joints", "area.finish"],
    provisions=["tile-point-load", "tile-deflection-ceramic", "tile-joist-16", "backer-no-structure"],
    remedy=SOLUTIONS
    + "This is a calculation of the panels alone: a build-up that the tile handbook or the maker lists "
    "for this joist spacing goes before it.",
)
def subfloor_point_load(area: Area, limits: Limits) -> Iterator[Check]:
    """Under tile, one heavy load between two joists bends the panels no more than 1/360 of the clear distance.

    A foot, a trolley or the leg of a tub presses on one spot. There one layer of panel is far softer than it is under a
    spread load, and a second layer helps more than any backer board.
    """
    tile, finish = tiled(area), _finish(area, limits)
    if tile is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    load = limits["point-load"]
    assert load.value is not None
    pounds = load.value.high
    limit = _point_limit(limits, finish)
    asks = ("layer.joints", *(("area.finish",) if finish is None else ()))
    steps = (Step("P", "", "one load midway between joists", pounds, "lb", load.source),)

    def solved(base: Layer, build: Build, bays: Bays) -> Check:
        worst = plates.worst_of(
            bays.crossed,
            lambda width: plates.point(build, width, pounds),
            lambda answer: answer.deflection_ratio,
            most=False,
        )
        answer = _answer(base, build, bays, worst, limit, at_most=False, load=steps, asks=asks)
        if tile is None and answer.outcome == FALLS_SHORT:
            found = f"{answer.found}; the finish is unknown, and this is about tile"
            return replace(answer, outcome=NOT_MEASURED, found=found, asks=("area.finish",))
        return answer

    yield from _floors(area, limits, solved)


def _point_limit(limits: Limits, finish: str | None) -> Limit:
    tile, stone = limits["point-deflection"], limits["point-deflection-stone"]
    if finish == "natural-stone":
        return stone
    if finish is not None:
        return tile
    assert tile.value is not None and stone.value is not None
    return tile.derived(hull(tile.value, stone.value), "tile or natural stone")
