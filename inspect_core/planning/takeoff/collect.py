"""The take-off of a site: area by area, from the frame up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from inspect_core.engineering.tables import STATUSES
from inspect_core.planning.layout import AreaLayout, LayerLayout, lay_out
from inspect_core.planning.takeoff import covers, fastening, lumber, masonry, pan, sheets, tile
from inspect_core.planning.takeoff.model import Item, LumberCuts, NotCounted, TakeOff
from inspect_core.planning.takeoff.supplies import BOUGHT, Basket
from inspect_core.rules_api import Limits
from inspect_core.site import Site
from inspect_core.site.model import Layer

GROUPS = (
    "lumber", "hangers", "panels", "backer board", "fasteners", "adhesive", "felt and membranes", "mortar", "tile",
    "grout", "floor", "ground cover", "masonry", "concrete",
)  # fmt: skip
LEFT_TO_TRADES = "fixtures, pipes, wiring and what goes into walls are not part of this list"


def take_off(site: Site, limits: Limits, area_id: str | None = None) -> TakeOff:
    """Everything that the new and altered work of a site needs, by the limits in force.

    ``area_id`` picks one area (``KeyError`` where there is no such area). A site that a repair has been applied to is a
    site like any other.
    """
    areas = [area for area in site.areas if area_id in (None, area.id)]
    if not areas:
        raise KeyError(area_id)
    items: list[Item] = []
    unknown: list[NotCounted] = []
    plans: list[LumberCuts] = []
    layouts: list[LayerLayout] = []
    for area in areas:
        basket = Basket(area, site.units)
        laid = lay_out(area, limits, site.units)
        plans += _area(basket, laid, limits)
        layouts += laid.layers
        items += _merged(basket.items)
        unknown += dict.fromkeys(basket.not_counted)
    unknown = sorted(unknown, key=lambda one: ([a.id for a in areas].index(one.area), _group(one.group)))
    notes = [LEFT_TO_TRADES] if any(area.fixtures or area.drains for area in areas) else []
    return TakeOff(tuple(a.id for a in areas), tuple(items), tuple(unknown), tuple(plans), tuple(layouts), tuple(notes))


def _area(basket: Basket, laid: AreaLayout, limits: Limits) -> tuple[LumberCuts, ...]:
    plans = lumber.buy(basket, lumber.pieces(basket, laid.layers), basket.units)
    fastening.frame(basket, limits)
    by_path = {layout.path: layout for layout in laid.layers}
    missing = {one.path: one for one in laid.not_laid}
    for layer in basket.area.layers or ():
        if layer.kind in ("panel", "backer"):
            if layer.path in missing:
                sheets.not_laid(basket, layer, missing[layer.path])
            elif layer.path in by_path:
                sheets.sheets(basket, layer, by_path[layer.path])
            if layer.kind == "backer" and layer.work in BOUGHT:
                tile.add_bedding(basket, layer)
        else:
            _layer(basket, layer)
    if basket.area.layers is None:
        basket.unknown("panels", "floor layers", "no layers are listed", basket.area.path, "area.layers")
    pan.liners(basket)
    covers.ground_cover(basket)
    masonry.piers(basket)
    tile.footings(basket)
    return plans


def _layer(basket: Basket, layer: Layer) -> None:
    if not covers.is_bought(basket, layer, "floor"):
        return
    if layer.kind in covers.ROLLS:
        covers.add_roll(basket, layer)
    elif layer.kind in covers.BY_AREA:
        covers.add_by_area(basket, layer)
    elif layer.kind == "thin-set":
        tile.add_mortar(basket, layer)
    elif layer.kind in ("mortar-bed", "self-leveling"):
        tile.add_bed(basket, layer)
    elif layer.kind == "tile":
        tile.add_tile(basket, layer)
    else:
        name = f"{layer.id or ''} {layer.kind}".strip()
        basket.unknown("floor", name, "this kind of layer is not counted here", layer.path)


def _group(name: str) -> int:
    return GROUPS.index(name)


def _merged(items: Sequence[Item]) -> list[Item]:
    """Lines of the same thing made one, so that a box is not opened for each of its uses."""
    groups: dict[tuple[str, str, str], list[Item]] = {}
    for item in items:
        groups.setdefault((item.group, item.code, item.unit), []).append(item)
    merged = [_one(lines) for lines in groups.values()]
    return sorted(merged, key=lambda item: _group(item.group))


def _one(lines: Sequence[Item]) -> Item:
    first = lines[0]
    if len(lines) == 1:
        return first
    need = first.need
    for line in lines[1:]:
        need = need + line.need
    return replace(
        first,
        buy=ceil(need.high / first.holds - 1e-9),
        need=need,
        how="; ".join(dict.fromkeys(line.how for line in lines)),
        source="; ".join(dict.fromkeys(line.source for line in lines if line.source)),
        status=max((line.status for line in lines), key=STATUSES.index),
        suggested=all(line.suggested for line in lines),
    )
