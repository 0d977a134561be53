"""The take-off for other programs: JSON, and CSV for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from typing import Any

from inspect_core.planning.layout import LayerLayout, Piece
from inspect_core.planning.layout.region import Polygon
from inspect_core.planning.takeoff import Cost, LumberCuts, NotCounted
from inspect_core.quantities import Dimension, Quantity, Units, number_in, unit_for
from inspect_core.report.takeoff import Priced
from inspect_core.report.view import pointer

COLUMNS = (
    "area", "group", "code", "name", "buy", "unit", "need", "need_unit", "how", "status", "source", "suggested",
    "price_each", "price_total", "not_counted_because",
)  # fmt: skip
FORMULA = ("=", "+", "-", "@", "\t", "\r")  # a spreadsheet would compute a cell that begins with one of these


def takeoff_data(priced: Priced) -> dict[str, Any]:
    """Under stable keys. Lengths are in the unit that ``length_unit`` names."""
    site, found, units = priced.site, priced.found, priced.site.units
    return {
        "format": 1,
        "site": {"name": site.name, "file": site.file},
        "length_unit": unit_for(Dimension.LENGTH, units)[0],
        "areas": list(found.areas),
        "items": [_item(cost, units) for cost in priced.costs],
        "not_counted": [_not_counted(priced, one) for one in found.not_counted],
        "total": _total(priced),
        "lumber_cuts": [_cuts(plan, units) for plan in found.lumber],
        "layouts": [layout_data(layout, units) for layout in found.layouts],
        "cautions": [caution.text for caution in priced.care],
        "notes": list(found.notes),
    }


def _item(cost: Cost, units: Units) -> dict[str, Any]:
    item = cost.item
    return {
        "area": item.area,
        "group": item.group,
        "code": item.code,
        "name": item.name,
        "buy": item.buy,
        "unit": item.unit,
        "need": _quantity(item.need, units),
        "how": item.how,
        "suggested": item.suggested,
        "source": item.source,
        "status": item.status,
        "price_each": cost.each,
        "price_total": cost.total,
    }


def _not_counted(priced: Priced, one: NotCounted) -> dict[str, Any]:
    return {
        "area": one.area,
        "group": one.group,
        "name": one.name,
        "why": one.why,
        "asks": list(one.asks),
        "location": _location(priced, one.path),
    }


def _total(priced: Priced) -> dict[str, Any] | None:
    if priced.prices is None:
        return None
    return {
        "currency": priced.prices.currency,
        "value": priced.total,
        "complete": priced.complete,
        "without_price": [item.code for item in priced.missing],
    }


def _cuts(plan: LumberCuts, units: Units) -> dict[str, Any]:
    return {
        "name": plan.name,
        "total": _length(plan.total, units),
        "bound": _length(plan.bound, units),
        "exact": plan.exact,
        "boards": [
            {
                "stock": _length(board.stock, units),
                "pieces": [
                    {"area": piece.area, "name": piece.name, "length": _length(piece.length, units)}
                    for piece in board.pieces
                ],
            }
            for board in plan.boards
        ],
    }


def layout_data(layout: LayerLayout, units: Units) -> dict[str, Any]:
    """One layer's layout; places are [across, along] on the area's tapes."""
    return {
        "area": layout.area,
        "layer": layout.layer,
        "kind": layout.kind,
        "lies_on": layout.lies_on,
        "sheet": [_length(side, units) for side in layout.sheet],
        "cover": _length(layout.cover, units),
        "turned": layout.turned,
        "gap": _length(layout.gap, units),
        "wall_gap": _length(layout.wall_gap, units),
        "sheets": layout.sheets,
        "bound": layout.bound,
        "proven": layout.proven,
        "tried": layout.tried,
        "cuts": layout.cuts,
        "waste": round(layout.waste, 4),
        "floor_area": _quantity(Quantity(layout.floor_area, layout.floor_area, Dimension.AREA), units),
        "narrowest": _length(layout.narrowest, units),
        "pieces": [_piece(piece, units) for piece in layout.pieces],
        "joints": [
            {"kind": j.kind, "start": _point(j.start, units), "end": _point(j.end, units), "lands_on": j.lands_on}
            for j in layout.joints
        ],
        "unsupported": [
            {
                "kind": edge.kind,
                "where": edge.where,
                "start": _point(edge.start, units),
                "end": _point(edge.end, units),
                "length": _length(edge.length, units),
            }
            for edge in layout.unsupported
        ],
        "offcuts": [
            {"sheet": o.sheet, "length": _length(o.length, units), "width": _length(o.width, units)}
            for o in layout.offcuts
        ],
        "notes": list(layout.notes),
    }


def _piece(piece: Piece, units: Units) -> dict[str, Any]:
    return {
        "number": piece.number,
        "row": piece.row,
        "sheet": piece.sheet,
        "at": [_length(value, units) for value in piece.at],
        "length": _length(piece.length, units),
        "width": _length(piece.width, units),
        "whole": piece.whole,
        "corners": _polygon(piece.corners, units),
        "holes": [_polygon(hole, units) for hole in piece.holes],
        "flags": list(piece.flags),
        "cut_outs": [
            {
                "name": c.name,
                "kind": c.kind,
                "centre": _point(c.centre, units),
                "diameter": None if c.diameter is None else _length(c.diameter, units),
                "size": None if c.size is None else [_length(value, units) for value in c.size],
            }
            for c in piece.cut_outs
        ],
    }


def _length(value: float, units: Units) -> float:
    return number_in(value, Dimension.LENGTH, units)


def _point(point: Sequence[float], units: Units) -> list[float]:
    return [_length(value, units) for value in point]


def _polygon(points: Polygon, units: Units) -> list[list[float]]:
    return [_point(point, units) for point in points]


def _quantity(quantity: Quantity, units: Units) -> dict[str, Any]:
    return {
        "value": number_in(quantity.high, quantity.dimension, units),
        "unit": unit_for(quantity.dimension, units)[0],
    }


def _location(priced: Priced, path: tuple[str | int, ...]) -> dict[str, Any]:
    line, column, nearest = priced.site.locate(path)
    return {
        "file": priced.site.file,
        "line": line,
        "column": column,
        "path": pointer(nearest),
    }


def takeoff_csv(priced: Priced) -> str:
    """A line for each thing to buy, and one for each that can't be counted yet. No cell is a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    units = priced.site.units
    for cost in priced.costs:
        item = cost.item
        need = _quantity(item.need, units)
        prices = ["" if value is None else f"{value:.2f}" for value in (cost.each, cost.total)]
        texts = (item.area, item.group, item.code, item.name)
        rest = (item.how, item.status, item.source, "yes" if item.suggested else "no")
        row = [*map(_cell, texts), item.buy, item.unit, need["value"], need["unit"], *map(_cell, rest), *prices, ""]
        writer.writerow(row)
    for one in priced.found.not_counted:
        asks = f"; write {', '.join(one.asks)}" if one.asks else ""
        blanks = [""] * (len(COLUMNS) - 5)
        writer.writerow([_cell(one.area), one.group, "", _cell(one.name), *blanks, _cell(one.why + asks)])
    return out.getvalue()


def _cell(text: str) -> str:
    """Text that a spreadsheet shows as it is: an apostrophe before what it would take for a formula."""
    flat = " ".join(text.splitlines())
    return f"'{flat}" if flat.startswith(FORMULA) else flat
