"""One sheet for each area: title, plan to scale, dimensions, marks, legend and list; the sheets below one another."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence

from inspect_core.engine import Report
from inspect_core.planning.layout import AreaLayout, LayerLayout
from inspect_core.report.plan.canvas import WIDTH, Canvas, Projection, folded, projection
from inspect_core.report.plan.dimensions import FAR, draw_dimensions
from inspect_core.report.plan.frame import draw_frame, reach_of, without_place
from inspect_core.report.plan.marks import KINDS, Mark, draw_marks, draw_shape, marks_of
from inspect_core.report.plan.panels import draw_panels, panel_notes
from inspect_core.report.view import Selection
from inspect_core.site import Area
from inspect_core.site.problems import visible

MARGIN = 6.0
BESIDE = 20.0  # right of the plan, for names of supports
ROW = 4.0
TITLE_MM, SMALL_MM = 4.4, 2.4
NAMESPACE = "http://www.w3.org/2000/svg"
OPEN_LISTED = 12

STYLE = """
.plan { color: #111; --paper: #fff; --shade: #ddd; font-family: "DejaVu Sans", Verdana, Arial, sans-serif; }
@media screen and (prefers-color-scheme: dark) { .plan { color: #eee; --paper: #161616; --shade: #444; } }
.plan .sheet { fill: var(--paper); stroke: none; }
.plan text { fill: currentColor; font-size: 2.7px; stroke: none; }
.plan .title { font-size: 4.4px; font-weight: bold; }
.plan .small { font-size: 2.4px; } .plan .tight { font-size: 1.8px; }
.plan .mid { text-anchor: middle; } .plan .end { text-anchor: end; }
.plan .halo { paint-order: stroke; stroke: var(--paper); stroke-width: 0.9px; }
.plan line, .plan rect, .plan polygon, .plan polyline, .plan circle {
  fill: none; stroke: currentColor; stroke-width: 0.2px; }
.plan .thick { stroke-width: 0.6px; } .plan .bold { stroke-width: 0.5px; } .plan .dim { stroke-width: 0.15px; }
.plan .wall { stroke-width: 0.9px; }
.plan .joist { fill: var(--paper); stroke-width: 0.3px; } .plan .missing { stroke-dasharray: 2 1.2; }
.plan .sister { fill: url(#plan-slant); stroke-width: 0.3px; }
.plan .beam, .plan .sill { stroke-dasharray: 3 1 0.6 1; fill: var(--shade); fill-opacity: 0.55; }
.plan .sill { stroke-dasharray: none; }
.plan .pier { fill: var(--paper); } .plan .post { fill: currentColor; }
.plan .opening { stroke-width: 0.45px; fill: var(--paper); fill-opacity: 0.6; } .plan .dash { stroke-dasharray: 1.4 1; }
.plan .block { fill: url(#plan-slant); } .plan .partition { fill: url(#plan-dots); }
.plan .fixture { stroke-width: 0.35px; stroke-dasharray: 0.6 0.6; }
.plan .drain { stroke-width: 0.8px; stroke-dasharray: 4 1 1 1; } .plan .stack { fill: currentColor; }
.plan .hole, .plan .gap { fill: var(--paper); } .plan .crossing { fill: var(--paper); stroke-width: 0.4px; }
.plan .notch { fill: var(--paper); stroke-width: 0.4px; } .plan .rot { fill: url(#plan-dots); }
.plan .mark-full { fill: currentColor; } .plan .on-full { fill: var(--paper); }
.plan .mark-line { fill: var(--paper); stroke-width: 0.6px; } .plan .mark-thin { fill: var(--paper); }
.plan .mark-dash { fill: var(--paper); stroke-dasharray: 0.7 0.5; }
.plan .under { stroke-dasharray: 1 1; } .plan .unheld { stroke-width: 0.9px; stroke-dasharray: 2 1; }
.plan .panel { fill: var(--paper); stroke-width: 0.35px; }
"""


def plan_svg(
    report: Report, selection: Selection, areas: Iterable[Area] | None = None, layouts: Sequence[AreaLayout] = ()
) -> str:
    """One SVG document: a sheet for each area, and one for each layer of panels that is laid out, below one another.

    Sizes are in millimetres, so that it prints to scale.
    """
    canvas = Canvas()
    top = 0.0
    for area in report.site.areas if areas is None else areas:
        top = _sheet(report, area, selection, canvas, top)
        for layout in layouts:
            if layout.area == area.id:
                for layer in layout.layers:
                    top = _panel_sheet(report, area, layer, canvas, top)
    return _document(canvas, report.site.name, max(top, 20.0))


def _document(canvas: Canvas, name: str, height: float) -> str:
    root = ET.Element(
        "svg",
        {
            "xmlns": NAMESPACE,
            "class": "plan",
            "width": f"{WIDTH:.0f}mm",
            "height": f"{height:.0f}mm",
            "viewBox": f"0 0 {WIDTH:.0f} {height:.0f}",
            "role": "img",
            "aria-label": visible(f"Plan of {name}"),
        },
    )
    ET.SubElement(root, "title").text = visible(f"Plan of {name}")
    ET.SubElement(root, "style").text = STYLE
    root.append(_patterns())
    ET.SubElement(root, "rect", {"class": "sheet", "width": "100%", "height": "100%"})
    root.append(canvas.root)
    ET.indent(root, " ")
    return ET.tostring(root, encoding="unicode") + "\n"


def _patterns() -> ET.Element:
    """Fills that read in black and white: slanting lines for wood that was added, dots for what is not sound."""
    defs = ET.Element("defs")
    common = {"width": "1.4", "height": "1.4", "patternUnits": "userSpaceOnUse"}
    slant = ET.SubElement(defs, "pattern", {"id": "plan-slant", **common, "patternTransform": "rotate(45)"})
    ET.SubElement(slant, "line", {"x1": "0", "y1": "0", "x2": "0", "y2": "1.4", "class": "bold"})
    dots = ET.SubElement(defs, "pattern", {"id": "plan-dots", **common})
    ET.SubElement(dots, "circle", {"cx": "0.7", "cy": "0.7", "r": "0.25", "class": "post"})
    return defs


def _sheet(report: Report, area: Area, selection: Selection, canvas: Canvas, top: float) -> float:
    """Draws one area from ``top`` on; returns where the next sheet may begin."""
    top = _title(canvas, f"{report.site.name}: {area.name or area.id}", top)
    reach = reach_of(area)
    if reach is None:
        canvas.text(
            (MARGIN, top + 14), "Nothing in this area has a place yet: measure the outline, supports and joists."
        )
        return top + 20
    left, start = MARGIN + FAR + 6, top + 14 + FAR + 6
    view = projection(area, *reach, left, start, WIDTH - left - BESIDE - MARGIN)
    canvas.text(
        (MARGIN, top + 12.5), f"Scale 1 : {view.scale}. Places are those of the file; check on site.", "word small"
    )
    _north(canvas, top + 5)
    drawn = draw_frame(area, canvas, view)
    draw_dimensions(area, canvas, view, report.site.units)
    marks = marks_of(report, area, selection, drawn)
    draw_marks(canvas, marks)
    bottom = _bottom(view) + 8
    names = without_place(area)
    if names:
        text = f"Not drawn, since their places are not known: {', '.join(names)}."
        bottom = _lines(canvas, text, MARGIN, bottom)
    bottom = _legend(canvas, bottom + 2)
    return _list(canvas, marks, bottom + 2) + 6


def _panel_sheet(report: Report, area: Area, layer: LayerLayout, canvas: Canvas, top: float) -> float:
    """Draws one layer of sheets from ``top`` on; returns where the next sheet may begin."""
    reach = reach_of(area)
    if reach is None:
        return top
    top = _title(canvas, f"{area.name or area.id}: panels of layer {layer.layer}", top)
    view = projection(area, *reach, MARGIN + 14, top + 18, WIDTH - 2 * (MARGIN + 14))
    canvas.text(
        (MARGIN, top + 12.5),
        f"Scale 1 : {view.scale}. First number: the piece; then the sheet it is cut from.",
        "word small",
    )
    _north(canvas, top + 5)
    draw_panels(area, layer, canvas, view, report.site.units)
    bottom = _bottom(view) + 8
    for line in panel_notes(layer):
        bottom = _lines(canvas, line, MARGIN, bottom)
    return bottom + 6


def _title(canvas: Canvas, text: str, top: float) -> float:
    """The title in as many lines as it takes; returns what was the top of a sheet whose title is its last line."""
    first, *more = folded(text, WIDTH - 30, TITLE_MM)
    canvas.text((MARGIN, top + 8), first, "title")
    for line in more:
        top += TITLE_MM + 1
        canvas.text((MARGIN, top + 8), line, "title")
    return top


def _bottom(view: Projection) -> float:
    return max(view.at(*view.least)[1], view.at(*view.greatest)[1])


def _north(canvas: Canvas, top: float) -> None:
    x = WIDTH - MARGIN - 4
    canvas.line((x, top + 9), (x, top + 1))
    canvas.path([(x - 1.6, top + 4), (x, top), (x + 1.6, top + 4)], "thin", closed=False)
    canvas.text((x + 2, top + 3.5), "N")


_SIGNS = (
    ("joist", "joist"),
    ("sister", "sister or blocking"),
    ("missing", "joist that is missing"),
    ("beam", "beam under the joists"),
    ("sill", "sill, ledger or wall"),
    ("pier", "pier (post: filled)"),
    ("opening", "opening, crossed"),
    ("fixture", "fixture, from above"),
    ("drain", "drain; dot: stack"),
    ("hole", "hole; wedge: notch"),
    ("gap", "cut through"),
    ("rot", "rot (dots); partition"),
)


def _legend(canvas: Canvas, top: float) -> float:
    """Every sign of the drawing, in rows of four."""
    canvas.text((MARGIN, top + 3), "Signs", "word")
    group = canvas.group("of-legend", "legend")
    for number, (kind, words) in enumerate(_SIGNS):
        x, y = MARGIN + (number % 4) * 45.0, top + 6 + (number // 4) * 5.0
        _sign(group, kind, x, y)
        group.text((x + 10, y + 2.2), words, "word small")
    y = top + 6 + 3 * 5.0 + 3
    for number, (kind, words) in enumerate(KINDS.items()):
        x = MARGIN + (0, 56, 86, 112)[number]
        draw_shape(group, kind, (x + 3, y + 1), "?" if kind == "open" else "1")
        group.text((x + 8, y + 1.9), words, "word small")
    return y + 6


def _sign(canvas: Canvas, kind: str, x: float, y: float) -> None:
    if kind == "drain":
        canvas.path([(x, y + 1.2), (x + 7, y + 1.2)], "drain", closed=False)
        canvas.circle((x + 7.6, y + 1.2), 0.9, "stack")
    elif kind == "hole":
        canvas.circle((x + 2, y + 1.2), 1.1, "hole")
        canvas.path([(x + 5, y), (x + 7, y + 1.2), (x + 5, y + 2.4)], "notch")
    elif kind == "gap":
        canvas.box((x, y, x + 8, y + 2.4), "joist")
        canvas.box((x + 3, y - 0.4, x + 5, y + 2.8), "gap")
        canvas.line((x + 2, y - 0.6), (x + 6, y + 3), "thick")
    else:
        canvas.box((x, y, x + 8, y + 2.4), kind)
        if kind in ("pier", "opening"):
            canvas.line((x, y), (x + 8, y + 2.4), "dash" if kind == "opening" else "thin")
            canvas.line((x, y + 2.4), (x + 8, y), "dash" if kind == "opening" else "thin")


def _list(canvas: Canvas, marks: list[Mark], top: float) -> float:
    """The numbers of the plan in words, then what is open."""
    y = top + 3
    for mark in marks:
        if mark.number:
            note = "" if mark.place is not None else " (no place on the plan)"
            canvas.text((MARGIN + 6, y), str(mark.number), "word small end")
            y = _lines(canvas, f"{mark.subject}{note}: {', '.join(mark.rules)}", MARGIN + 8, y)
    still = [mark for mark in marks if mark.kind == "open"]
    if still:
        names = ", ".join(mark.subject for mark in still[:OPEN_LISTED])
        more = f" and {len(still) - OPEN_LISTED} more" if len(still) > OPEN_LISTED else ""
        y = _lines(canvas, f"Not measured yet: {names}{more}.", MARGIN, y)
    if not marks:
        y = _lines(canvas, "Nothing falls short and nothing is left to measure here.", MARGIN, y)
    return y


def _lines(canvas: Canvas, text: str, x: float, y: float) -> float:
    """Small text in as many lines as it takes; returns where the next line stands."""
    for line in folded(text, WIDTH - MARGIN - x, SMALL_MM):
        canvas.text((x, y), line, "word small")
        y += ROW
    return y
