"""Panels and backer board to buy, from their layout, with what holds them down: fasteners, adhesive, tape."""

from __future__ import annotations

from math import ceil, floor

from inspect_core.planning.layout import ByArea, LayerLayout, NotLaid, Piece
from inspect_core.planning.layout.data import fact
from inspect_core.planning.takeoff.fastening import add_fasteners, add_tubes
from inspect_core.planning.takeoff.supplies import Basket, Used, area_of, length, slug
from inspect_core.quantities import render
from inspect_core.site import geometry
from inspect_core.site.model import Layer

GROUPS = {"panel": "panels", "backer": "backer board"}


def sheets(basket: Basket, layer: Layer, layout: LayerLayout) -> None:
    """Lines for one layer that has been laid out."""
    how = (
        f"laid out for {render(area_of(layout.floor_area), basket.units, hair=False)} of floor, "
        f"{round(100 * layout.waste)} % waste"
    )
    _line(basket, layer, layout.sheet, layout.sheets * layout.sheet_area, layout.sheet_area, how, Used())
    if layer.fasteners is None:
        basket.unknown("fasteners", f"for {layout.layer}", "what holds it down is not said", layer.path,
                       "layer.fasteners")  # fmt: skip
    else:
        _fasten(basket, layer, layout)
    _glue(basket, layer, layout)
    if layout.kind == "backer":
        _tape(basket, layout)


def _line(
    basket: Basket, layer: Layer, sheet: tuple[float, float], need: float, sheet_area: float, how: str, used: Used
) -> None:
    """The sheets themselves: ``need`` and what one covers in square inches."""
    kind = layer.kind or ""
    size = " x ".join(render(length(side), basket.units, hair=False) for side in (sheet[1], sheet[0]))
    thick = render(layer.thickness, basket.units) if layer.thickness is not None else ""
    words = [thick, layer.material or kind, layer.rating or "", _edges(layer)]
    basket.add(
        GROUPS[kind],
        slug(kind, thick, layer.material or "", layer.rating or "", _edges(layer)),
        f"{layer.id or kind}: {', '.join(word for word in words if word)}, {size}",
        "sheet",
        area_of(need),
        sheet_area,
        how,
        used,
    )
    if layer.thickness is None:
        basket.unknown(GROUPS[kind], layer.id, "its thickness is not known, so it can't be ordered", layer.path,
                       "layer.thickness")  # fmt: skip


def not_laid(basket: Basket, layer: Layer, missing: NotLaid) -> None:
    """A layer that could not be laid out; one that is only too large is counted by its area."""
    kind = layer.kind or ""
    basket.unknown(GROUPS[kind], missing.layer or kind, missing.why, missing.path, *missing.asks)
    if missing.by_area is not None:
        _by_area(basket, layer, missing.by_area)


def _by_area(basket: Basket, layer: Layer, known: ByArea) -> None:
    """An estimate: the floor's area and a share for waste. What goes by its pieces is told as not counted."""
    used = Used()
    share = used("sheet-loss")
    need = known.floor_area * (1 + share)
    shown = render(area_of(known.floor_area), basket.units, hair=False)
    how = f"an estimate, not laid out: {shown} of floor by its area and {round(100 * share)} % for cuts and waste"
    _line(basket, layer, known.sheet, need, known.sheet_area, "; ".join((how, *known.notes)), used)
    name = f"for {layer.id or layer.kind}"
    held = layer.fasteners
    if held is not None and held.per_sheet is not None:
        number = round(held.per_sheet.high * ceil(need / known.sheet_area - 1e-9))
        add_fasteners(basket, held, number, f"{name}: {round(held.per_sheet.high)} a sheet, an estimate", layer.path)
    else:
        why = "its sheets are only estimated by area, so what holds them down is not counted"
        basket.unknown("fasteners", name, why, layer.path, "fasteners.per_sheet")
    if layer.kind == "panel" and (layer.adhesive is None or layer.adhesive.kind != "none"):
        why = "its sheets are only estimated by area, so adhesive is not counted"
        basket.unknown("adhesive", f"under {layer.id or layer.kind}", why, layer.path)
    if layer.kind == "backer":
        why = "its sheets are only estimated by area, so tape for their joints is not counted"
        basket.unknown("backer board", f"tape {name}", why, layer.path)


def _edges(layer: Layer) -> str:
    return "tongue-and-groove" if layer.joints == "tongue-and-groove" else ""


# --- fasteners -------------------------------------------------------------------------------------------------------


def _fasten(basket: Basket, layer: Layer, layout: LayerLayout) -> None:
    held = layer.fasteners
    assert held is not None
    edges = held.edges or held.spacing or held.field
    field = held.field or held.spacing or held.edges
    name = f"for {layout.layer}"
    if edges is None or field is None:
        if held.per_sheet is None:
            basket.unknown("fasteners", name, "their spacing is not known", layer.path, "fasteners.edges",
                           "fasteners.field")  # fmt: skip
            return
        number = round(held.per_sheet.high * layout.sheets)
        how = f"{round(held.per_sheet.high)} a sheet"
    else:
        spacing = (edges.low, field.low)
        on_joists = layout.lies_on == "joists"
        number = sum(
            _on_joists(basket, layout, piece, *spacing) if on_joists else _grid(piece, *spacing)
            for piece in layout.pieces
        )
        apart = f"{render(edges, basket.units)} at edges, {render(field, basket.units)} between"
        how = f"{apart}, piece by piece"
    add_fasteners(basket, held, number, f"{name}: {how}", layer.path)


def lines(basket: Basket, layout: LayerLayout, piece: Piece) -> tuple[list[float], list[float]]:
    """Lengths of the joists under a piece: those that carry its ends, and those between."""
    at_ends: list[float] = []
    between: list[float] = []
    middle = (piece.along[0] + piece.along[1]) / 2
    least, near = fact("least-line"), fact("end-reach")
    for joist in basket.area.joists or ():
        reach = geometry.extent_along(basket.area, joist) if joist.place is not None else None
        if joist.place is None or reach is None:
            continue
        far = joist.place_far.middle if joist.place_far is not None else joist.place.middle
        share = (middle - reach[0]) / (reach[1] - reach[0]) if reach[1] > reach[0] else 0.0
        x = joist.place.middle + min(max(share, 0.0), 1.0) * (far - joist.place.middle)
        run = min(reach[1], piece.along[1]) - max(reach[0], piece.along[0])
        if run < least or not piece.across[0] - near <= x <= piece.across[1] + near:
            continue
        ends = any(abs(x - end) <= near for end in piece.across)
        (at_ends if ends else between).append(run)
    return at_ends, between


def _on_joists(basket: Basket, layout: LayerLayout, piece: Piece, edges: float, field: float) -> int:
    """Along every joist under the piece; along the edges on blocking between the joists too."""
    at_ends, between = lines(basket, layout, piece)
    number = sum(floor(run / edges) + 1 for run in at_ends) + sum(floor(run / field) + 1 for run in between)
    for edge in layout.unsupported:
        (x1, y1), (x2, y2) = edge.start, edge.end
        inside = piece.across[0] - 1 <= (x1 + x2) / 2 <= piece.across[1] + 1
        beside = any(abs((y1 + y2) / 2 - y) < 1 for y in piece.along)
        if inside and beside and abs(y2 - y1) < 1:
            number += floor(edge.length / edges)
    return number


def _grid(piece: Piece, edges: float, field: float) -> int:
    """All round at the edges' spacing, and a grid inside at the field's."""
    round_it = 2 * (piece.length + piece.width) / edges
    inside = max(0, floor(piece.length / field) - 1) * max(0, floor(piece.width / field) - 1)
    return floor(round_it) + 1 + inside


# --- adhesive and tape -----------------------------------------------------------------------------------------------


def _glue(basket: Basket, layer: Layer, layout: LayerLayout) -> None:
    glue = layer.adhesive
    name = f"under {layout.layer}"
    if glue is None:
        if layout.lies_on == "joists":
            basket.unknown("adhesive", name, "whether it is glued is not said", layer.path, "layer.adhesive")
        return
    if glue.kind == "none":
        return
    if glue.where != "each-joist":
        why = "only beads along the joists are counted here; for a full bed see the maker's trowel and coverage"
        basket.unknown("adhesive", name, why, layer.path, "adhesive.where", "adhesive.kind")
        return
    if glue.bead is None:
        basket.unknown("adhesive", name, "the width of the bead is not known", layer.path, "adhesive.bead")
        return
    used = Used()
    runs = 0.0
    for piece in layout.pieces:
        at_ends, between = lines(basket, layout, piece)
        runs += sum(between) + sum(at_ends)
    for joint in layout.joints:
        if joint.kind == "end" and glue.double_at_joints is False:
            runs -= abs(joint.end[1] - joint.start[1])
    how = (
        f"{name}: a bead of {render(glue.bead, basket.units)} along "
        f"{render(length(runs), basket.units, hair=False)} of joists, two at end joints"
        if glue.double_at_joints is not False
        else f"{name}: a bead of {render(glue.bead, basket.units)} along the joists"
    )
    add_tubes(basket, runs, glue.bead.high, how, used)


def _tape(basket: Basket, layout: LayerLayout) -> None:
    used = Used()
    joints = sum(abs(j.end[0] - j.start[0]) + abs(j.end[1] - j.start[1]) for j in layout.joints)
    basket.add(
        "backer board", "backer-tape", "mesh tape for backer joints", "roll", length(joints), used("tape-roll/backer"),
        f"all joints of {layout.layer}", used,
    )  # fmt: skip
