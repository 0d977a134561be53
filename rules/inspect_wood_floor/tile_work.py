"""How tile was laid: steps between tiles, grout, friction underfoot, time to set; curbs; panels used to the room."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.quantities import at_least, at_most, maximum, times
from inspect_core.rules_api import (
    ADVISORY,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Layer
from inspect_wood_floor._labels import names_one
from inspect_wood_floor._layering import absent, below, is_wet, no_tile, of_kind
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._verdicts import compared

# --- the tiled surface ------------------------------------------------------------------------------------------------


@rule(
    "tile-lippage",
    hold_point="final",
    severity=ADVISORY,
    reference="tile.surface",
    quantity="step between two tiles",
    limits=["lippage", "lippage-joint"],
    measures=["layer.lippage", "layer.warpage", "layer.grout_joint"],
    provisions=["lippage"],
    cautions=["tile-dust"],
    remedy="Reset the tile that stands up while the mortar is fresh; ground edges stay rough and chip.",
)
def tile_lippage(area: Area, limits: Limits) -> Iterator[Check]:
    """The edge of a tile stands no higher than a small step over its neighbour, plus what the tile itself is warped.

    Toes find it, and a chair leg breaks the edge off.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        where, base = named(tile), limits["lippage"]
        if compared(at_most, tile.grout_joint, limits["lippage-joint"]) is False:
            yield does_not_apply(where, "joints wider than this is about")
            continue
        flush = compared(at_most, tile.lippage, base)
        allowed = base.value if flush or base.value is None or tile.warpage is None else base.value + tile.warpage
        if not flush and tile.warpage is None:
            allowed = None
        asks = [] if tile.lippage is not None else ["layer.lippage"]
        asks += [] if flush or tile.warpage is not None else ["layer.warpage"]
        basis = "" if flush else "with the warp of the tile itself"
        yield check(
            where, measured=tile.lippage, at_most=base.derived(allowed, basis), asks=tuple(asks) or ("layer.lippage",)
        )


@rule(
    "tile-grout-joint",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.grout",
    quantity="width of the grout joints",
    limits=["grout-joint-times", "grout-joint-least"],
    measures=["layer.grout_joint", "layer.size_variation"],
    provisions=["grout-joint"],
    remedy="Lay tile with a wider joint, or sort it by size first.",
)
def tile_grout_joint(area: Area, limits: Limits) -> Iterator[Check]:
    """Grout joints are several times as wide as the tiles differ in size, and never hair joints.

    Narrower, and the rows run out of line; and there is not enough grout in a hair joint to keep water out.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        ratio, least = limits["grout-joint-times"], limits["grout-joint-least"]
        needed = None
        if tile.size_variation is not None and ratio.value is not None and least.value is not None:
            needed = maximum(times(ratio.value, tile.size_variation), least.value)
        asks = [] if tile.grout_joint is not None else ["layer.grout_joint"]
        asks += [] if tile.size_variation is not None else ["layer.size_variation"]
        limit = ratio.derived(needed, "times the difference between tiles")
        if compared(at_least, tile.grout_joint, least) is False:
            limit = least
        yield check(named(tile), measured=tile.grout_joint, at_least=limit, asks=tuple(asks) or ("layer.grout_joint",))


@rule(
    "tile-grout-standard",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.grout",
    quantity="standard of the grout",
    limits=["grout-standards"],
    measures=["layer.grout"],
    provisions=["grout-standard"],
    cautions=["tile-dust"],
    remedy="Use a grout whose bag or bucket names the standard, mixed with as little water as it says.",
)
def tile_grout_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """Grout is to one of the standards for tile grout.

    Sand and cement mixed by eye powders away under a mop.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        limit = limits["grout-standards"]
        held = None if tile.grout is None else names_one(tile.grout, limit.words)
        found = f"label: {tile.grout}" if tile.grout else ""
        expected = f"the grout is to {' or '.join(limit.words)}"
        yield fact(named(tile), held, expected=expected, found=found, limit=limit, asks=("layer.grout",))


@rule(
    "tile-slip",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.slip",
    quantity="wet friction of the tile (DCOF)",
    limits=["dcof", "wet-rooms"],
    measures=["layer.dcof", "area.use", "area.wet_areas"],
    provisions=["dcof"],
    remedy="Choose a tile with a rougher face, or small tiles with many joints; a soapy shower wants more than this.",
)
def tile_slip(area: Area, limits: Limits) -> Iterator[Check]:
    """Tile that is walked on wet is rough enough not to slip on.

    A fall in a bathroom breaks hips. Makers print the figure on the tile's sheet.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        wet = area.use in limits["wet-rooms"].words or is_wet(area, tile)
        if wet is False and area.use is not None:
            yield does_not_apply(named(tile), f"a {area.use}: not walked on wet")
        elif not wet:
            asks = ("area.use",) if area.use is None else ("area.wet_areas",)
            yield not_measured(named(tile), expected="it is walked on wet", asks=asks)
        else:
            yield check(named(tile), measured=tile.dcof, at_least=limits["dcof"], asks=("layer.dcof",))


@rule(
    "tile-left-alone",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.surface",
    quantity="time before somebody walks on it",
    limits=["tile-rest"],
    measures=["layer.walked_after"],
    provisions=["tile-cure"],
    remedy="Close the room off with a sign; tap the tiles afterwards, and reset what sounds hollow.",
)
def tile_left_alone(area: Area, limits: Limits) -> Iterator[Check]:
    """Fresh tile is left alone for a day before anybody walks on it, and three before heavy things stand on it.

    A tile that is stepped on while its mortar sets never bonds again, and sounds hollow ever after.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        rest = tile.walked_after
        yield check(named(tile), measured=rest, at_least=limits["tile-rest"], asks=("layer.walked_after",))


# --- curbs and panels -------------------------------------------------------------------------------------------------


@rule(
    "curb-material",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="tile.curb",
    quantity="what the curb is made of",
    limits=["curb-materials"],
    measures=["wet_area.curb_material", "wet_area.curb", "area.wet_areas"],
    provisions=["curb-wood-treated"],
    cautions=["treated-dust"],
    remedy="Build it of brick, block or foam made for it, or of dry untreated lumber well wrapped by the liner.",
)
def curb_material(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower's curb is not built of treated lumber.

    Treated lumber comes wet, and twists as it dries: the mortar and tile on it crack off.
    """
    because = "not said whether there is a shower or wet room"
    yield from listed_parts(area, "wet_areas", "wet areas", because=because)
    for wet in area.wet_areas or ():
        if wet.kind not in ("shower", "wet-room", None) or (wet.curb is not None and wet.curb.high == 0):
            yield does_not_apply(named(wet), "no curb")
        else:
            asks = ("wet_area.curb_material",)
            yield check(named(wet), measured=wet.curb_material, one_of=limits["curb-materials"], asks=asks)


@rule(
    "panels-acclimated",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-laying",
    quantity="panels used to the room",
    measures=["layer.acclimated", "area.layers"],
    provisions=["panel-acclimate"],
    binds=["new", "altered"],
    remedy="Stand the panels on edge, with air between them, in the heated room for several days before they are laid.",
)
def panels_acclimated(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels of a second layer stood in the room for several days before they were laid.

    Panels from a damp stack shrink after they are down: joints open, and show through whatever lies on them.
    """
    second = [layer for layer in of_kind(area, "panel") if _over_another(area, layer)]
    if not second:
        yield from absent(area, "panel", "panel")
        if of_kind(area, "panel"):
            yield does_not_apply(Named("floor layers", area.path), "one layer of panels only")
    for layer in second:
        found = "laid straight from the stack" if layer.acclimated is False else ""
        expected = "it stood in the room for several days first"
        yield fact(named(layer), layer.acclimated, expected=expected, found=found, asks=("layer.acclimated",))


def _over_another(area: Area, layer: Layer) -> bool:
    return any(lower.kind in STRUCTURAL for lower in below(area, layer))


# --- fasteners of fibre-cement underlayment ---------------------------------------------------------------------------

FASTENERS = ("roofing-nail", "backer-screw")


@rule(
    "fibre-cement-fasteners",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="tile.backer",
    quantity="size of the fasteners",
    limits=["fibre-cement-length", "fibre-cement-shank", "fibre-cement-bright"],
    measures=["layer.fasteners", "fasteners.length", "fasteners.diameter", "fasteners.kind", "fasteners.coating",
              "layer.material"],
    provisions=["underlayment-fc-tile"],
    cautions=["tile-dust", "hidden-services"],
    binds=["new", "altered"],
    remedy="Add roofing nails or wafer-head screws of that size that do not rust, on the same close grid.",
)  # fmt: skip
def fibre_cement_fasteners(area: Area, limits: Limits) -> Iterator[Check]:
    """Fibre-cement board under tile is held by nails or screws that are long, thick and rust-proof enough.

    Wet mortar is alkaline: bright steel rusts in it, and a short nail works loose from thin panels.
    """
    yield from absent(area, "backer board", "backer")
    for board in of_kind(area, "backer"):
        words = None if board.material is None else board.material.lower().replace("-", " ")
        if words is not None and "fibre cement" not in words and "fiber cement" not in words:
            yield does_not_apply(named(board), f"{board.material}: goes by its maker")
            continue
        if words is None:
            yield not_measured(named(board), because="not said what board it is", asks=("layer.material",))
            continue
        held = board.fasteners
        kind = held.kind if held is not None and held.kind in FASTENERS else None
        length = held.length if held is not None else None
        shank = held.diameter if held is not None else None
        coating = held.coating if held is not None else None
        yield check(
            named(board, "fastener length"),
            measured=length,
            at_least=limits["fibre-cement-length"],
            asks=("fasteners.length",),
        )
        yield check(
            named(board, "fastener shank"),
            measured=shank,
            at_least=limits.between("fibre-cement-shank", kind, FASTENERS),
            asks=("fasteners.diameter", *(() if kind else ("fasteners.kind",))),
        )
        bright = None if coating is None else coating in limits["fibre-cement-bright"].words
        yield fact(
            named(board, "fastener coating"),
            None if bright is None else not bright,
            expected="they are protected from rust",
            found="" if coating is None else coating.replace("-", " "),
            asks=("fasteners.coating",),
        )
