"""Mortar by trowel, mortar beds, tile with its cuts, grout, and the concrete of new footings."""

from __future__ import annotations

from math import ceil

from inspect_core.planning.layout.region import Box, Point, clipped
from inspect_core.planning.takeoff.covers import covered, floor_box, holes
from inspect_core.planning.takeoff.supplies import (
    CU_FT,
    FLOOR_UNITS,
    GALLON,
    Basket,
    Used,
    area_of,
    slug,
    volume,
    weight,
)
from inspect_core.quantities import Dimension, Quantity, QuantityError, parse, render
from inspect_core.site.model import Layer

TROWEL_WORDS = ("square", "notched", "notch", "u-", "v-", "v", "u", "round")
MM = ("mm", "cm")


def notch(text: str, units: str) -> tuple[float, str] | None:
    """Depth of a trowel's notch (in) and its shape, ``square`` or ``v``, from `1/4 x 3/8 square`, `6 mm square`.

    ``None`` where the text says no sizes.
    """
    words = text.lower().replace("×", "x").replace('"', " ").replace("in.", " ").split()
    shape = "v" if any(word.strip("-,") in ("v", "v-notch") for word in words) else "square"
    kept = " ".join(word for word in words if word.strip("-,") not in (*TROWEL_WORDS, "v-notch", "u-notch", "by"))
    shared = next((unit for unit in MM if kept.endswith(unit)), "")
    depths = []
    for part in kept.split("x"):
        part = part.strip()
        if shared and not part.endswith(shared):
            part = f"{part} {shared}"
        try:
            found = parse(part, Dimension.LENGTH, "mm" if units == "mm" else "in")
        except QuantityError:
            return None
        if found is None or found.low <= 0:
            return None
        depths.append(found.high)
    return (max(depths), shape) if depths else None


def add_mortar(basket: Basket, layer: Layer) -> None:
    """A layer of thin-set: by its trowel, else by its thickness."""
    _by_volume(basket, layer, f"{layer.id or layer.kind}: {layer.material or 'thin-set mortar'}", "thin-set")


def add_bedding(basket: Basket, layer: Layer) -> None:
    """The mortar that backer board is bedded in."""
    name = f"mortar under {layer.id or layer.kind}"
    if layer.bedded is None:
        basket.unknown("mortar", name, "whether it is bedded in mortar is not said", layer.path, "layer.bedded")
    elif layer.bedded:
        if layer.trowel is None:
            basket.unknown("mortar", name, "the trowel's notch is not known", layer.path, "layer.trowel")
        else:
            _by_volume(basket, layer, name, "thin-set")


def _by_volume(basket: Basket, layer: Layer, name: str, what: str) -> None:
    area = covered(basket, layer)
    if area is None:
        basket.unknown("mortar", name, "the room or the part of it that this covers is not known", layer.path,
                       "area.outline", "layer.region")  # fmt: skip
        return
    used = Used()
    found = notch(layer.trowel, basket.units) if layer.trowel is not None else None
    if found is not None:
        depth, shape = found
        thick = depth * used(f"notch-share/{shape}")
        how = f"trowel {layer.trowel}, on {render(area_of(area), basket.units, hair=False)}"
    elif layer.thickness is not None and layer.kind != "backer":
        thick = layer.thickness.high
        how = f"{render(layer.thickness, basket.units)} thick, on {render(area_of(area), basket.units, hair=False)}"
    else:
        basket.unknown("mortar", name, "neither the trowel's notch nor the thickness is known", layer.path,
                       "layer.trowel", "layer.thickness")  # fmt: skip
        return
    needed = area * thick * (1 + used("mortar-loss"))
    bag = used("thin-set-bag") * CU_FT
    basket.add(
        "mortar", slug(what, layer.standard or ""), name, "bag of 50 lb", volume(needed), bag / GALLON, how, used
    )


def add_bed(basket: Basket, layer: Layer) -> None:
    """A mortar bed or self-leveling layer, by its thickness."""
    kind = layer.kind or ""
    name = f"{layer.id or kind}: {layer.material or kind.replace('-', ' ')}"
    area = covered(basket, layer)
    if layer.thickness is None:
        basket.unknown("mortar", name, "its thickness is not known", layer.path, "layer.thickness")
    elif area is None:
        basket.unknown("mortar", name, "the room or the part of it that this covers is not known", layer.path,
                       "area.outline", "layer.region")  # fmt: skip
    else:
        used = Used()
        needed = area * layer.thickness.high * (1 + used("mortar-loss"))
        bag = used("mortar-bed-bag" if kind == "mortar-bed" else "self-leveling-bag") * CU_FT
        unit = "bag of 60 lb" if kind == "mortar-bed" else "bag of 50 lb"
        how = f"{render(layer.thickness, basket.units)} thick"
        basket.add("mortar", slug(kind), name, unit, volume(needed), bag / GALLON, how, used)


# --- tile and grout --------------------------------------------------------------------------------------------------


def tiles(
    outline: list[Point], cut: list[list[Point]], box: Box, tile: tuple[float, float], half: float
) -> tuple[int, int]:
    """Tiles that a floor takes when laid square from one corner, and how many of those are cut.

    Each tile that is cut is a tile bought, but two come out of one where each is no more than ``half`` of a tile.
    """
    whole = cuts = 0
    small = 0
    across = ceil((box[1] - box[0]) / tile[0] - 1e-9)
    along = ceil((box[3] - box[2]) / tile[1] - 1e-9)
    full = tile[0] * tile[1]
    for j in range(along):
        for i in range(across):
            x, y = box[0] + i * tile[0], box[2] + j * tile[1]
            area = sum(
                s.area for s in clipped(outline, cut, (x, min(x + tile[0], box[1]), y, min(y + tile[1], box[3])))
            )
            if area <= 1e-6 * full:
                continue
            if area >= full * (1 - 1e-6):
                whole += 1
            elif area <= half * full + 1e-9:
                small += 1
            else:
                cuts += 1
    return whole + cuts + ceil(small / 2), cuts + small


MOST_TILES = 5_000  # beyond, the floor is counted by its area alone


def add_tile(basket: Basket, layer: Layer) -> None:
    """Tile by area with an allowance, and by counting cuts; whichever is more is bought. Grout with it."""
    name = f"{layer.id or 'tile'}: {layer.material or 'tile'}"
    floor, area = floor_box(basket, layer), covered(basket, layer)
    if floor is None or area is None:
        basket.unknown("tile", name, "the room or the part of it that this covers is not known", layer.path,
                       "area.outline", "layer.region")  # fmt: skip
        return
    if layer.tile_size is None:
        basket.unknown("tile", name, "the size of the tile is not known", layer.path, "layer.tile_size")
        return
    used = Used()
    size = (layer.tile_size[0].middle, layer.tile_size[1].middle)
    full = size[0] * size[1]
    by_area = area * (1 + used("tile-loss"))
    shown = " x ".join(render(q, basket.units) for q in layer.tile_size)
    how = f"{render(area_of(area), basket.units, hair=False)} and {round(100 * used('tile-loss'))} %"
    if max(size) > used("mosaic") and area / full < MOST_TILES:
        joint = _joint(layer)
        wide = joint.middle if joint is not None else 0.0
        pitch = (size[0] + wide, size[1] + wide)
        number, cut = tiles(list(floor[0]), holes(basket), floor[1], pitch, used("tile-half"))
        how += f"; {number} tiles by count, {cut} cut, square from a corner"
        by_area = max(by_area, number * full)
    unit, holds = FLOOR_UNITS[basket.units]
    basket.add("tile", slug("tile", layer.material or "", shown), f"{name}, {shown}", unit, area_of(by_area), holds,
               how, used)  # fmt: skip
    _grout(basket, layer, area, size)


def _joint(layer: Layer) -> Quantity | None:
    """Width of the grout joints; a gap between the tiles is one too."""
    return layer.grout_joint if layer.grout_joint is not None else layer.gap


def _grout(basket: Basket, layer: Layer, area: float, size: tuple[float, float]) -> None:
    joint = _joint(layer)
    if joint is None or layer.thickness is None:
        why = "the width of its joints or its thickness is not known"
        basket.unknown("grout", f"for {layer.id or 'the tile'}", why,
                       layer.path, *(("layer.grout_joint",) if joint is None else ()),
                       *(("layer.thickness",) if layer.thickness is None else ()))  # fmt: skip
        return
    used = Used()
    joints = area * (size[0] + size[1]) / (size[0] * size[1])  # length of joint, in
    pounds = joints * joint.high * layer.thickness.high * used("grout-density") * (1 + used("grout-loss"))
    bag = used("grout-bag")
    basket.add("grout", "grout", "cement grout", f"bag of {bag:g} lb", weight(pounds), bag,
               f"joints of {render(joint, basket.units)}, tile {render(layer.thickness, basket.units)} thick",
               used)  # fmt: skip


# --- below -----------------------------------------------------------------------------------------------------------


def footings(basket: Basket) -> None:
    """Concrete of new footings."""
    for footing in basket.area.footings or ():
        name = f"footing {footing.id}"
        if not basket.bought("concrete", name, footing.work, footing.path, "footing.work"):
            continue
        sides = (footing.width, footing.length if footing.length is not None else footing.width)
        if footing.material not in ("concrete", None):
            basket.unknown("concrete", name, f"{footing.material}: not counted here", footing.path)
        elif footing.thickness is None or sides[0] is None or sides[1] is None:
            basket.unknown("concrete", name, "its width or thickness is not known", footing.path, "footing.width",
                           "footing.thickness")  # fmt: skip
        else:
            used = Used()
            round_one = 0.7854 if footing.shape == "round" else 1.0
            cubic = sides[0].high * sides[1].high * footing.thickness.high * round_one * (1 + used("concrete-loss"))
            basket.add("concrete", "concrete-mix", "concrete mix", "bag of 80 lb", volume(cubic),
                       used("concrete-bag") * CU_FT / GALLON, name, used)  # fmt: skip
