"""What lies under tile: wood thick enough, layers in a sound order, backer, mortar, soft joints, heights, weight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.quantities import (
    Quantity,
    at_least,
    at_most,
    maximum,
)
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
from inspect_core.site.buildup import STRUCTURAL, structural, thickness
from inspect_core.site.model import Layer
from inspect_wood_floor._layering import (
    PLACES,
    above,
    absent,
    below,
    floor_layers,
    material_of,
    names_standard,
    needed_for,
    no_tile,
    of_kind,
    over_structure,
    tiled,
    wetness,
    widest_bay,
)

SLIP_SHEETS = ("felt", "slip-sheet", "membrane", "vapor-retarder")
SHEETS_AND_GLUE = ("thin-set", "adhesive")


def bonding_method(area: Area, tile: Layer) -> str | None:
    """What stands between wood and tile: ``mortar-bed``, ``backer``, ``uncoupling`` or ``direct``.

    ``None`` when a layer between them is of unknown kind.
    """
    between = over_structure(below(area, tile))
    for kind in ("mortar-bed", "backer", "uncoupling"):
        if any(layer.kind == kind for layer in between):
            return kind
    return None if any(layer.kind is None for layer in between) else "direct"


def surface_under(area: Area, tile: Layer) -> Layer | None:
    """What the tile's mortar holds on to: the layer under the thin-set or glue."""
    return next((layer for layer in reversed(below(area, tile)) if layer.kind not in SHEETS_AND_GLUE), None)


# --- wood under the tile --------------------------------------------------------------------------------------------


@rule(
    "tile-base-thickness",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="tile.base",
    quantity="wood under the tile",
    limits=["tile-base-least", "tile-base-double", "tile-base-single", "tile-base-uncoupling", "spacing-steps"],
    measures=["layer.thickness", "joist.at", "area.outline"],
    provisions=[
        "tile-joist-16",
        "tile-joist-192",
        "tile-joist-24",
        "tile-min-double",
        "uncoupling-method",
        "backer-no-structure",
    ],
    cautions=["tile-dust"],
    remedy="Lay another layer of exterior plywood, glued or screwed to the first, or put joists into the wide bays. "
    "Backer, membranes and mortar count for nothing here. A thinner build-up needs a method that its maker or "
    "the tile handbook lists for this joist spacing.",
)
def tile_base_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """Plywood and other structural layers under tile are thick enough together for the joist spacing.

    Only wood stiffens the floor between joists. Too thin a floor dips under a foot, and grout and tile crack.
    """
    yield from no_tile(area)
    widest = widest_bay(area)
    for tile in of_kind(area, "tile"):
        base, method = structural(below(area, tile)), bonding_method(area, tile)
        if method in ("backer", "mortar-bed"):
            yield does_not_apply(named(tile), f"a {method.replace('-', ' ')} has its own least subfloor")
        elif not base:
            because = "no panels or boards are listed under it"
            yield not_measured(named(tile), because=because, asks=("area.layers",))
        elif method is None:
            yield not_measured(named(tile), because="the kind of a layer under it is unknown", asks=("layer.kind",))
        elif widest.spacing is None:
            yield not_measured(named(tile), because="the joist spacing under it is unknown", asks=("joist.at",))
        else:
            answer = widest.soften(_base_check(tile, base, method, widest.spacing, limits))
            if answer.outcome == FALLS_SHORT and any(layer.kind is None for layer in below(area, tile)):
                doubt = "a layer of unknown kind may be wood too"
                answer = replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("layer.kind",))
            yield answer


def _base_check(tile: Layer, base: tuple[Layer, ...], method: str, spacing: Quantity, limits: Limits) -> Check:
    total = thickness(base)
    table = f"tile-base-{'uncoupling' if method == 'uncoupling' else 'single' if len(base) == 1 else 'double'}"
    needed = needed_for(limits, table, spacing)
    layers = f"{len(base)} layer{'s' if len(base) > 1 else ''}"
    if needed is None:
        too_wide = at_most(spacing, _widest_step(limits)) is False
        expected = "the joists are as close as some build-up is listed for"
        found = "joists farther apart than any build-up is listed for" if too_wide else ""
        return fact(named(tile), False if too_wide else None, expected=expected, found=found, asks=("joist.at",))
    least = limits["tile-base-least"].value
    # A floor under the common minimum is wrong by any book; above it listed methods differ, so it is advice.
    thin = total is not None and least is not None and at_least(total, least) is False
    severity = CORRECTION if thin or needed.id.endswith("/16") else ADVISORY
    boards = ("boards counted at their full thickness, as sound and fastened",)
    assuming = boards if any(layer.kind == "boards" for layer in base) else ()
    return check(
        named(tile), measured=total, at_least=needed, found=layers, severity=severity, assuming=assuming,
        asks=("layer.thickness",),
    )  # fmt: skip


def _widest_step(limits: Limits) -> Quantity:
    steps = [limits["spacing-steps", key].value for key in limits.keys("spacing-steps")]
    return maximum(*(step for step in steps if step is not None))


@rule(
    "tile-bond-surface",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.base",
    quantity="surface under the tile's mortar",
    limits=["tile-surfaces-good", "tile-surfaces-osb", "tile-surfaces-weak", "layer-materials"],
    measures=["layer.material", "layer.kind"],
    provisions=["tile-no-osb-bond", "tile-no-lauan", "particleboard-limit"],
    cautions=["tile-dust", "old-floor-layers"],
    remedy="Lay exterior plywood, backer board or an uncoupling membrane that its maker allows over this surface, "
    "and set the tile on that.",
)
def tile_bond_surface(area: Area, limits: Limits) -> Iterator[Check]:
    """Tile is not bonded straight to OSB, particleboard, lauan, hardboard, old flooring or bare boards.

    These swell or move when they take up damp, or don't hold mortar at all, and the tile lets go.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        surface = surface_under(area, tile)
        if surface is None:
            yield not_measured(named(tile), because="nothing is listed under it", asks=("area.layers",))
            continue
        yield _surface_check(tile, surface, limits)


def _surface_check(tile: Layer, surface: Layer, limits: Limits) -> Check:
    panel = surface.kind == "panel"
    what = material_of(surface, limits) if panel else surface.kind
    expected = "tile is bonded to plywood, backer, a membrane or mortar"
    found = f"on {surface.material or surface.kind}" if what else ""
    if what is None or what == "other":
        asks = ("layer.material",) if panel else ("layer.kind",)
        return fact(named(tile), None, expected=expected, found=found, asks=asks, path=surface.path)
    for name in ("tile-surfaces-osb", "tile-surfaces-weak"):
        if what in limits[name].words:
            return fact(named(tile), False, expected=expected, found=found, limit=limits[name], path=surface.path)
    good = what in limits["tile-surfaces-good"].words
    return fact(named(tile), good, expected=expected, found=found, path=surface.path)


# --- order of the layers --------------------------------------------------------------------------------------------


@rule(
    "tile-on-top",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.order",
    quantity="order of layers",
    measures=["layer.kind"],
    provisions=["common-practice"],
    remedy="Take up what lies over the tile, or correct the list of layers: it goes from the joists up.",
)
def tile_on_top(area: Area, limits: Limits) -> Iterator[Check]:
    """Nothing lies on the tile.

    Whatever covers tile hides its cracks and keeps damp in; and a list from the top down turns all other answers round.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        over = above(area, tile)
        kinds = ", ".join(layer.kind or "unknown" for layer in over)
        yield fact(
            named(tile), not over, expected="nothing lies on the tile", found=f"over it: {kinds}" if over else ""
        )


@rule(
    "tile-bonded",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.setting",
    quantity="layer right under the tile",
    limits=["tile-bonds"],
    measures=["layer.kind"],
    provisions=["tile-standards"],
    remedy="Set the tile in thin-set mortar, or in a fresh mortar bed. If it is so already, list the mortar as a "
    "layer of its own.",
)
def tile_bonded(area: Area, limits: Limits) -> Iterator[Check]:
    """Right under the tile lies what bonds it.

    A tile that only lies there, or lies on something soft, rocks and breaks at the corners.
    """
    yield from no_tile(area)
    hard = ("panel", "boards", "backer", "membrane", "uncoupling", "self-leveling", "heating")
    for tile in of_kind(area, "tile"):
        under = below(area, tile)
        kind = under[-1].kind if under else None
        answer = check(named(tile), measured=kind, one_of=limits["tile-bonds"])
        if answer.outcome == FALLS_SHORT and kind in hard:  # a list that leaves the mortar out is no tile laid dry
            answer = not_measured(named(tile), expected="mortar lies right under the tile", asks=("area.layers",))
        yield answer


@rule(
    "tile-nothing-soft",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.order",
    quantity="layers under the tile",
    limits=["tile-soft-layers"],
    measures=["layer.kind", "layer.attached_to"],
    provisions=["common-practice"],
    cautions=["old-floor-layers"],
    remedy="Take the soft or loose layer out down to the wood, and build up again with bonded layers. Felt or "
    "plastic belongs under a mortar bed with lath, not under thin-set.",
)
def tile_nothing_soft(area: Area, limits: Limits) -> Iterator[Check]:
    """Nothing soft or loose lies between the wood and the tile.

    Thin-set needs a hard, fixed bed: over felt, foam, old vinyl or a loose board it breaks up under the first steps.
    """
    yield from no_tile(area)
    done: set[int] = set()
    bare: list[Layer] = []
    for tile in of_kind(area, "tile"):
        between = over_structure(below(area, tile))
        bed = next((i for i, layer in enumerate(between) if layer.kind == "mortar-bed"), -1)
        for i, layer in enumerate(between):
            if id(layer) not in done:
                done.add(id(layer))
                yield _soft_check(layer, under_bed=i < bed, limits=limits)
        bare += [] if between else [tile]
    for tile in bare:
        if id(tile) not in done:  # it may lie under other tile
            yield does_not_apply(named(tile), "nothing is listed between it and the wood")


def _soft_check(layer: Layer, under_bed: bool, limits: Limits) -> Check:
    expected = "nothing soft or loose lies between wood and tile"
    if under_bed and layer.kind in SLIP_SHEETS:
        return fact(named(layer), True, expected=expected, found="a slip sheet under a mortar bed")
    if layer.kind is None:
        return fact(named(layer), None, expected=expected, asks=("layer.kind",))
    if layer.kind in limits["tile-soft-layers"].words:
        return fact(named(layer), False, expected=expected, found=f"{layer.kind} there")
    loose = layer.attached_to == "loose" and layer.kind != "mortar-bed"
    if layer.kind == "backer" and layer.attached_to is None and layer.fasteners is None:
        return fact(named(layer), None, expected=expected, asks=("layer.attached_to",))
    return fact(named(layer), not loose, expected=expected, found="it lies loose" if loose else "")


@rule(
    "panels-below-backer",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.order",
    quantity="order of layers",
    measures=["layer.kind"],
    provisions=["common-practice"],
    remedy="Put all wood panels below the backer, membrane or mortar bed; what is over those must be mortar and tile "
    "only.",
)
def panels_below_backer(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels and boards lie below backer, uncoupling membrane, mortar bed and tile.

    Backer and mortar are there to hold tile; wood over them is fastened through something brittle and comes loose.
    """
    if area.layers is not None and tiled(area) is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    yield from absent(area, "panels or boards", *STRUCTURAL)
    brittle = ("backer", "uncoupling", "mortar-bed", "thin-set", "self-leveling", "tile")
    for layer in of_kind(area, *STRUCTURAL):
        under = [lower for lower in below(area, layer) if lower.kind in (*brittle, None)]
        wrong = [lower for lower in under if lower.kind is not None]
        found = f"over {wrong[0].kind}" if wrong else ""
        holds = False if wrong else None if under else True
        yield fact(named(layer), holds, expected="wood lies below backer, mortar and tile", found=found)


@rule(
    "mortar-bed-slip-sheet",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.mortar-bed",
    quantity="slip sheet",
    limits=["mortar-bed-sheets"],
    measures=["layer.kind"],
    provisions=["felt-layer", "mortar-bed-floor"],
    remedy="Lay felt or another slip sheet over the wood, laps taped or cemented, and lath on it, before the mortar "
    "bed.",
)
def mortar_bed_slip_sheet(area: Area, limits: Limits) -> Iterator[Check]:
    """A mortar bed on wood lies on a slip sheet.

    Wood and mortar move apart with damp; the sheet lets them, and keeps the wood from drinking the mortar's water.
    """
    yield from absent(area, "mortar bed", "mortar-bed")
    for bed in of_kind(area, "mortar-bed"):
        between = over_structure(below(area, bed))
        kind = between[-1].kind if between else "nothing"
        holds = None if kind is None else kind in limits["mortar-bed-sheets"].words
        found = f"under it: {kind}" if kind != "nothing" else "it lies on the wood"
        expected = "a slip sheet lies right under the mortar bed"
        yield fact(named(bed), holds, expected=expected, found=found, limit=limits["mortar-bed-sheets"])


@rule(
    "mortar-bed-thickness",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.mortar-bed",
    quantity="mortar bed",
    limits=["mortar-bed-least", "mortar-bed-most"],
    measures=["layer.thickness"],
    provisions=["mortar-bed-floor"],
    remedy="Change the bed's thickness; a thicker one needs joists that carry its weight, about 12 psf for each "
    "inch: ask a licensed engineer.",
)
def mortar_bed_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A mortar bed on a wood floor is neither too thin to hold together nor heavier than the method allows."""
    yield from absent(area, "mortar bed", "mortar-bed")
    for bed in of_kind(area, "mortar-bed"):
        low, high = limits["mortar-bed-least"], limits["mortar-bed-most"]
        yield check(named(bed), measured=bed.thickness, at_least=low, at_most=high)


# --- mortar and membranes -------------------------------------------------------------------------------------------


@rule(
    "tile-mortar-standard",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.setting",
    quantity="standard",
    limits=["mortar-standards"],
    measures=["layer.standard"],
    provisions=["tile-standards"],
    remedy="Keep the bag or its data sheet: it must name one of the listed standards. Otherwise set with a mortar "
    "that does.",
)
def tile_mortar_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """The mortar or adhesive that sets the tile carries a listed standard."""
    yield from absent(area, "thin-set or adhesive", *SHEETS_AND_GLUE)
    if tiled(area) is False:
        for layer in of_kind(area, *SHEETS_AND_GLUE):
            yield does_not_apply(named(layer), "the floor is not tiled")
        return
    for layer in of_kind(area, *SHEETS_AND_GLUE):
        yield names_standard(layer, limits["mortar-standards"], "mortar")


@rule(
    "mortar-for-plywood",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.setting",
    quantity="class of mortar",
    limits=["plywood-mortars"],
    measures=["layer.standard"],
    provisions=["mortar-modified"],
    remedy="Use a polymer-modified thin-set whose bag names the class for exterior-glue plywood.",
)
def mortar_for_plywood(area: Area, limits: Limits) -> Iterator[Check]:
    """Thin-set straight on plywood is of the class for plywood.

    Plain mortar loses its water to the wood, and wood moves more than it can follow.
    """
    yield from absent(area, "thin-set", "thin-set")
    for layer in of_kind(area, "thin-set"):
        under = below(area, layer)
        if not under or under[-1].kind is None:
            yield not_measured(named(layer), because="what lies under it is unknown", asks=("layer.kind",))
        elif under[-1].kind != "panel":
            yield does_not_apply(named(layer), f"it lies on {under[-1].kind}, not on plywood")
        elif any(upper.kind == "backer" for upper in above(area, layer)[:1]):
            yield does_not_apply(named(layer), "it only beds the backer, which is screwed down")
        else:
            yield names_standard(layer, limits["plywood-mortars"], "mortar on plywood")


@rule(
    "membrane-standard",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.membrane",
    quantity="standard",
    limits=["membrane-standards", "crack-membrane-standards"],
    measures=["layer.standard", "layer.waterproof"],
    provisions=["membrane-a11810", "crack-isolation"],
    remedy="Use a membrane whose data sheet names the standard for what it is to do, and keep the sheet with the "
    "papers.",
)
def membrane_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """A membrane under tile carries the standard for waterproofing, or for crack isolation if that is all it does."""
    yield from absent(area, "membrane", "membrane", "uncoupling")
    for layer in of_kind(area, "membrane", "uncoupling"):
        if layer.waterproof is None:
            yield not_measured(named(layer), expected="it is to keep water out", asks=("layer.waterproof",))
        elif layer.waterproof:
            yield names_standard(layer, limits["membrane-standards"], "waterproofing")
        elif layer.kind == "uncoupling":
            yield does_not_apply(named(layer), "an uncoupling sheet that is not there to keep water out")
        else:
            yield names_standard(layer, limits["crack-membrane-standards"], "crack isolation")


@rule(
    "felt-standard",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.mortar-bed",
    quantity="standard",
    limits=["felt-standards"],
    measures=["layer.standard"],
    provisions=["felt-layer"],
    remedy="Use felt with one of the standards on its wrapper; unrated felt is thin and tears.",
)
def felt_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """Felt between layers carries a felt standard."""
    yield from absent(area, "felt", "felt")
    for layer in of_kind(area, "felt"):
        yield names_standard(layer, limits["felt-standards"], "felt")


@rule(
    "mortar-coverage",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.setting",
    quantity="mortar contact",
    limits=["mortar-coverage", "layer-materials"],
    measures=["layer.coverage", "layer.material", "area.wet_areas"],
    provisions=["coverage-dry", "coverage-wet"],
    remedy="Comb the mortar one way with a bigger notch, back-butter large tile, and lift one now and then to look.",
)
def mortar_coverage(area: Area, limits: Limits) -> Iterator[Check]:
    """Enough of the tile's back is in mortar, more of it where it gets wet and under stone.

    Every hollow is a place to crack under a heel, and in a shower a pocket for water.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        material = material_of(tile, limits)
        place = "wet" if material == "natural-stone" else wetness(area, tile)
        if material is None and place == "dry":
            place = None  # it may be stone
        mortar = next((layer for layer in reversed(below(area, tile)) if layer.kind == "thin-set"), None)
        measured = tile.coverage if tile.coverage is not None else mortar.coverage if mortar else None
        known = (("layer.material", material), ("area.wet_areas", area.wet_areas))
        asks = ("layer.coverage", *(() if place else (field for field, value in known if value is None)))
        yield check(
            named(tile), measured=measured, at_least=limits.between("mortar-coverage", place, PLACES), asks=asks
        )
