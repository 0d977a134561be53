"""How panels are laid and chosen: gaps, stagger, second layers, glue bond, what is no panel for a wet room."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.quantities import minimum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    NOT_MEASURED,
    Check,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.geometry import Wall
from inspect_core.site.model import Layer
from inspect_wood_floor._layering import absent, below, floor_layers, material_of, of_kind, over_structure, tiled

DAMP_ROOMS = ("bathroom", "laundry")
LAID_NOW = ("new", "altered")  # how panels are laid can't be asked of those that lie there already


def second_layers(area: Area) -> tuple[Layer, ...]:
    """Panels that lie on another panel or on boards."""
    return tuple(
        layer for layer in of_kind(area, "panel") if any(lower.kind in STRUCTURAL for lower in below(area, layer))
    )


def _no_second(area: Area) -> Iterator[Check]:
    yield from absent(area, "panel", "panel")
    if of_kind(area, "panel") and not second_layers(area):
        yield does_not_apply(floor_layers(area), "no panel lies on another")


@rule(
    "panel-gap",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="gap",
    limits=["panel-gap"],
    measures=["layer.gap"],
    provisions=["panel-gap"],
    remedy="Space panels with a 10d nail as you lay them. Gaps that have closed since are no fault; ridges at the "
    "joints are.",
)
def panel_gap(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels stand a little apart at edges and ends.

    Panels swell with damp; tight joints push each other up into ridges under the tile.
    """
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        yield check(named(layer), measured=layer.gap, at_least=limits["panel-gap"])


@rule(
    "panel-wall-gap",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="gap at walls",
    limits=["panel-wall-gap"],
    measures=["layer.wall_gap", "area.finish"],
    provisions=["panel-perimeter-gap"],
    remedy="Cut the panels back from walls, pipes and posts; keep the edge on its landing.",
)
def panel_wall_gap(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels under tile stand off walls and fixed parts."""
    if tiled(area) is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        yield check(named(layer), measured=layer.wall_gap, at_least=limits["panel-wall-gap"])


@rule(
    "panel-stagger",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="stagger of end joints",
    limits=["panel-stagger"],
    measures=["layer.end_stagger"],
    provisions=["panel-stagger"],
    binds=LAID_NOW,
    remedy="Start every other row with a part sheet, so that end joints of neighbouring rows are a bay apart or more.",
)
def panel_stagger(area: Area, limits: Limits) -> Iterator[Check]:
    """End joints of panels are staggered from row to row.

    End joints in one line make one long hinge over one joist.
    """
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        yield check(named(layer), measured=layer.end_stagger, at_least=limits["panel-stagger"])


@rule(
    "underlayment-edge-offset",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="offset of edges",
    limits=["underlayment-edge-offset"],
    measures=["layer.edge_offset"],
    provisions=["underlay-offset-edge"],
    binds=LAID_NOW,
    remedy="Shift the second layer sideways so that its long joints stand off those below.",
)
def underlayment_edge_offset(area: Area, limits: Limits) -> Iterator[Check]:
    """Long joints of a second layer stand off the joints below."""
    yield from _no_second(area)
    for layer in second_layers(area):
        yield check(named(layer), measured=layer.edge_offset, at_least=limits["underlayment-edge-offset"])


@rule(
    "underlayment-end-offset",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="offset of ends",
    limits=["underlayment-end-offset"],
    measures=["layer.end_offset", "joist.at"],
    provisions=["underlay-offset-end"],
    binds=LAID_NOW,
    remedy="Shift the second layer lengthwise by a joist bay, with its end joints a little off the joists.",
)
def underlayment_end_offset(area: Area, limits: Limits) -> Iterator[Check]:
    """End joints of a second layer stand a joist bay off the end joints below."""
    yield from _no_second(area)
    bays = [
        bay.spacing
        for bay in area.bays
        if bay.spacing is not None and not isinstance(bay.left, Wall) and not isinstance(bay.right, Wall)
    ]
    limit = limits["underlayment-end-offset"].of(minimum(*bays) if bays else None, "a joist bay")
    for layer in second_layers(area):
        yield check(named(layer), measured=layer.end_offset, at_least=limit)


@rule(
    "underlayment-fastened-to-subfloor",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="fastening",
    measures=["fasteners.into", "layer.attached_to"],
    provisions=["underlay-not-into-joist"],
    binds=LAID_NOW,
    remedy="Fasten the second layer to the first only, with screws short enough and off the joist lines. Leave what "
    "is in place: screws into joists are no danger, they only let joist movement through to the tile.",
)
def underlayment_fastened_to_subfloor(area: Area, limits: Limits) -> Iterator[Check]:
    """A second layer under tile is fastened to the subfloor only, not through it into the joists.

    Joists shrink and twist; a layer that hangs on the first one alone does not follow each of them.
    """
    if tiled(area) is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    yield from _no_second(area)
    for layer in second_layers(area):
        into = layer.fasteners.into if layer.fasteners else None
        if into is None and layer.attached_to is not None:
            into = {"layer-below": "first-layer", "joists": "joists"}.get(layer.attached_to, layer.attached_to)
        holds = None if into is None else into == "first-layer"
        found = f"fastened: {into}" if into else ""
        yield fact(named(layer), holds, expected="it is fastened to the layer below only", found=found)


@rule(
    "panel-bond",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-bond",
    quantity="glue bond",
    limits=["panel-bonds"],
    measures=["layer.bond", "area.use"],
    provisions=["osb-exposure"],
    cautions=["old-floor-layers"],
    remedy="Use panels stamped for the exposure; interior-glue panels come apart at the first leak.",
)
def panel_bond(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels are glued for damp: Exposure 1 or Exterior, and Exterior for plywood right under tile in a damp room.

    A wet room's floor gets wet from above sooner or later.
    """
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        place = _bond_place(area, layer)
        answer = check(named(layer), measured=layer.bond, one_of=limits["panel-bonds", place or "under-tile"])
        if place is None and answer.outcome == FALLS_SHORT and layer.bond in limits["panel-bonds", "subfloor"].words:
            doubt = "enough unless it lies right under tile in a damp room"
            asks = ("area.use", "area.finish", "area.layers")
            answer = replace(answer, outcome=NOT_MEASURED, found=doubt, asks=asks)
        yield answer


def _bond_place(area: Area, panel: Layer) -> str | None:
    """``under-tile`` for a panel right under tile in a damp room, else ``subfloor``; ``None`` when that isn't known."""
    if tiled(area) is False or (area.use is not None and area.use not in DAMP_ROOMS):
        return "subfloor"
    if not of_kind(area, "tile"):  # the tile to come goes on the topmost panel, unless something lies between
        return None if panel is of_kind(area, "panel")[-1] else "subfloor"
    bonded = _bonded_to_tile(area, panel)
    if bonded is False:
        return "subfloor"
    return "under-tile" if bonded and area.use is not None else None


def _bonded_to_tile(area: Area, panel: Layer) -> bool | None:
    """Whether tile is bonded to this panel without backer, bed or sheet between; ``None`` when that isn't known."""
    unsure = False
    for tile in of_kind(area, "tile"):
        lower = below(area, tile)
        between = over_structure(lower)
        if not any(panel is layer for layer in lower) or lower[-len(between) - 1] is not panel:
            continue
        if all(layer.kind in ("thin-set", "adhesive") for layer in between):
            return True
        unsure = unsure or all(layer.kind in ("thin-set", "adhesive", None) for layer in between)
    return None if unsure else False


@rule(
    "wet-room-panels",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-bond",
    quantity="panel",
    limits=["wet-room-bad-panels", "layer-materials"],
    measures=["layer.material", "area.use"],
    provisions=["particleboard-limit"],
    cautions=["old-floor-layers"],
    remedy="Take the particleboard up and lay plywood or OSB for damp; it swells and crumbles once it is wet.",
)
def wet_room_panels(area: Area, limits: Limits) -> Iterator[Check]:
    """No particleboard lies in the floor of a damp room that is tiled.

    It turns to porridge with the first leak, and everything over it comes loose.
    """
    if tiled(area) is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    if area.use is not None and area.use not in DAMP_ROOMS:
        yield does_not_apply(floor_layers(area), f"a {area.use} is no damp room")
        return
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        material = material_of(layer, limits)
        bad = material in limits["wet-room-bad-panels"].words
        expected = "no particleboard lies in a damp room's floor"
        if bad and (area.use is None or not tiled(area)):
            because = f"{layer.material}; not known whether the room is damp and tiled"
            yield not_measured(named(layer), because=because, asks=("area.use", "area.finish"))
            continue
        holds = None if material in (None, "other") else not bad
        yield fact(named(layer), holds, expected=expected, found=layer.material or "")
