"""A layer of sheets on the plan: each piece with number and sheet, cut-outs, joists below, edges to be blocked."""

from __future__ import annotations

from inspect_core.planning.layout import LayerLayout, Piece
from inspect_core.quantities import Dimension, Units, exactly, render
from inspect_core.report.layout import counted
from inspect_core.report.plan.canvas import Canvas, Projection
from inspect_core.site import Area
from inspect_core.site.geometry import extent_along


def draw_panels(area: Area, layout: LayerLayout, paper: Canvas, view: Projection, units: Units) -> None:
    """Draws one layer over the joists' centre lines."""
    group = paper.group("of-panels", f"layer {layout.layer}")
    for piece in layout.pieces:
        _piece(group, view, piece, units)
    for joist in area.joists or ():
        along = extent_along(area, joist)
        if joist.place is not None and along is not None:
            start, end = (view.at(joist.place.middle, place) for place in along)
            group.line(start, end, "under")
            x, y = start
            if view.with_joists_up:
                group.text((x, y + 3.4), joist.id, "word mid small")
            else:
                group.text((x - 1.2, y + 0.9), joist.id, "word end small")
    for edge in layout.unsupported:
        group.line(view.at(*edge.start), view.at(*edge.end), "unheld")


def _piece(paper: Canvas, view: Projection, piece: Piece, units: Units) -> None:
    group = paper.group("of-piece", f"piece {piece.number}, from sheet {piece.sheet}")
    group.path([view.at(*corner) for corner in piece.corners], "panel")
    for hole in piece.holes:
        group.path([view.at(*corner) for corner in hole], "opening")
    for cut in piece.cut_outs:
        if cut.diameter is not None:
            group.circle(view.at(*cut.centre), view.size(cut.diameter / 2), "hole")
    left, top, right, bottom = view.box(piece.across, piece.along)
    x, y = (left + right) / 2, (top + bottom) / 2
    group.text((x, y - 0.6), f"{piece.number}: sheet {piece.sheet}", "word mid halo")
    size = " x ".join(
        render(exactly(side, Dimension.LENGTH), units, hair=False) for side in (piece.length, piece.width)
    )
    group.text((x, y + 2.8), size, "word mid tight halo" if right - left < 35 else "word mid small halo")


def panel_notes(layout: LayerLayout) -> list[str]:
    """What the drawing of a layer needs in words."""
    bound = (
        "as few as its area alone asks for"
        if layout.sheets == layout.bound
        else f"its area alone asks for {layout.bound}"
    )
    lines = [
        f"{counted(layout.sheets, 'sheet')}, {bound}; {layout.waste:.0%} waste; lies on {layout.lies_on}. "
        "Dashes: joists below."
    ]
    if layout.unsupported:
        places = "; ".join(dict.fromkeys(edge.where for edge in layout.unsupported))
        lines.append(f"Thick dashes: edges with nothing known under them, to be blocked: {places}.")
    return [*lines, *layout.notes]
