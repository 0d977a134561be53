"""Findings marked on the plan: our own shapes, told apart in black and white, numbered against a list beside them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from inspect_core.engine import Finding, Report
from inspect_core.report.plan.canvas import WIDTH, Canvas, Point
from inspect_core.report.plan.frame import Drawn
from inspect_core.report.view import Selection, shown
from inspect_core.rules_api import ADVISORY, FALLS_SHORT, NOT_MEASURED, STOP_WORK
from inspect_core.site import Area
from inspect_core.site.model import Path

# Kind of mark, gravest first, and what it says in the legend.
KINDS = {
    "stop": "stop work: may hurt someone now",
    "short": "falls short",
    "advice": "advice",
    "open": "not measured yet",
}
RADIUS = 2.3  # mm
ROW = 2.3  # radii from one row of marks to the next
AWAY = (3.4, -3.6)  # mm, so that a mark does not hide what it is about
OWN_ENTRY = 6  # steps of a path that leads into an entry of one joist, such as its second hole


@dataclass(frozen=True, slots=True)
class Mark:
    """Findings of one kind about one thing. ``place`` is ``None`` where the thing has no place on the plan."""

    number: int
    kind: str
    subject: str
    rules: tuple[str, ...]
    place: Point | None


def marks_of(report: Report, area: Area, selection: Selection, drawn: Drawn) -> list[Mark]:
    """What falls short, numbered from the gravest on; then what is not measured, without numbers."""
    first = report.site.areas[0].id  # what is about the whole site stands on the first sheet
    grouped: dict[tuple[str, str], list[Finding]] = {}
    for finding in shown(report, selection):
        if (finding.area or first) == area.id and finding.outcome in (FALLS_SHORT, NOT_MEASURED):
            grouped.setdefault((_kind(finding), finding.check.subject.name), []).append(finding)
    order = list(KINDS)
    ordered = sorted(grouped.items(), key=lambda item: order.index(item[0][0]))  # stable: else as they were found
    found: list[Mark] = []
    for (kind, subject), findings in ordered:
        number = 0 if kind == "open" else len(found) + 1
        rules = tuple(dict.fromkeys(finding.rule.id for finding in findings))
        found.append(Mark(number, kind, subject, rules, _place(drawn, subject, findings[0].path, area)))
    return found


def _kind(finding: Finding) -> str:
    if finding.outcome == NOT_MEASURED:
        return "open"
    if finding.severity == STOP_WORK:
        return "stop"
    return "advice" if finding.severity == ADVISORY else "short"


def _place(drawn: Drawn, subject: str, path: Path, area: Area) -> Point | None:
    """By its name, else by its own entry in the file, else by what it is a part of."""
    if subject in drawn.by_name:
        return drawn.by_name[subject]
    if path in drawn.by_path and len(path) > OWN_ENTRY:
        return drawn.by_path[path]
    for name in (subject.rsplit(", ", 1)[0], subject.split(", ", 1)[0]):
        if name in drawn.by_name:
            return drawn.by_name[name]
    bay = re.fullmatch(r"bay (.+)–(.+)", subject.split(", ", 1)[0])
    if bay is not None:
        ends = [drawn.by_name.get(f"joist {one}") or _wall(drawn, one) for one in bay.groups()]
        known = [end for end in ends if end is not None]
        if len(known) == 2:
            return (known[0][0] + known[1][0]) / 2, (known[0][1] + known[1][1]) / 2
    return drawn.by_path.get(path)


def _wall(drawn: Drawn, side: str) -> Point | None:
    return drawn.by_name.get(f"floor edge at {side.removesuffix(' wall')} wall")


def draw_marks(paper: Canvas, marks: Iterable[Mark]) -> None:
    """Each mark beside its place with a line to it; what is open on the place itself; marks never cover each other."""
    taken: list[Point] = []
    group = paper.group("of-marks", "findings")
    for mark in marks:
        if mark.place is None or (mark.kind == "open" and _near(mark.place, taken)):
            continue  # one sign says that something is open here
        aside = AWAY if mark.number else (0.0, 0.0)
        place = _free((mark.place[0] + aside[0], mark.place[1] + aside[1]), taken)
        taken.append(place)
        inner = group.group(f"of-{mark.kind}", f"{mark.subject}: {KINDS[mark.kind]} ({', '.join(mark.rules)})")
        if mark.number:
            inner.line(mark.place, place, "thin")
            inner.circle(mark.place, 0.45, "post")
        draw_shape(inner, mark.kind, place, str(mark.number) if mark.number else "?")


def _free(place: Point, taken: Iterable[Point]) -> Point:
    """The first free place to the right; beyond the edge of the sheet, in the rows below."""
    left, y = place
    x = left
    while _near((x, y), taken):
        x += RADIUS
        if x > WIDTH - 2 * RADIUS:
            x, y = left, y + ROW * RADIUS
    return x, y


def _near(place: Point, taken: Iterable[Point]) -> bool:
    return any(abs(place[0] - x) < 2.1 * RADIUS and abs(place[1] - y) < ROW * RADIUS for x, y in taken)


def draw_shape(paper: Canvas, kind: str, place: Point, text: str) -> None:
    """The shape of a kind: a filled square on its corner, a house with a roof, a flat bar, a ring."""
    x, y = place
    if kind == "stop":
        paper.path(_ring(place, 4, 1.45 * RADIUS, 0), "mark-full")
        paper.text((x, y + 0.9), text, "word mid small on-full")
    elif kind == "short":
        r = RADIUS
        paper.path(
            [(x - r, y + r), (x + r, y + r), (x + r, y - 0.5 * r), (x, y - 1.5 * r), (x - r, y - 0.5 * r)], "mark-line"
        )
        paper.text((x, y + 1.2), text, "word mid small")
    elif kind == "advice":
        paper.box((x - RADIUS, y - 0.75 * RADIUS, x + RADIUS, y + 0.75 * RADIUS), "mark-thin")
        paper.text((x, y + 0.9), text, "word mid small")
    else:
        paper.circle(place, 0.7 * RADIUS, "mark-dash")
        paper.text((x, y + 0.8), text, "word mid tight")


def _ring(centre: Point, corners: int, radius: float, turn: float) -> list[Point]:
    angles = [turn + 2 * math.pi * n / corners for n in range(corners)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
