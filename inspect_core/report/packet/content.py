"""What stands in a packet, as plain values for its template: every text written out here, nothing computed there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import inspect_core
from inspect_core.engine import Finding, Report
from inspect_core.planning.layout import AreaLayout
from inspect_core.planning.sequence import says, work_order
from inspect_core.report import page
from inspect_core.report.explain import limit_data
from inspect_core.report.load_path import link_words, load_path_data, use_words
from inspect_core.report.packet.photos import Photos
from inspect_core.report.plan import plan_svg
from inspect_core.report.plan.sheet import STYLE as PLAN_STYLE
from inspect_core.report.view import (
    NOT_ADOPTED,
    Selection,
    cautions,
    loosened_lines,
    message,
    pack_words,
    shown,
    variance_lines,
)
from inspect_core.report.working import steps_of, working_lines
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED, STOP_WORK
from inspect_core.site.problems import visible

WORDS = {MEETS: "meets", FALLS_SHORT: "falls short", NOT_MEASURED: "not measured", DOES_NOT_APPLY: "does not apply"}
_SIGNS = {MEETS: "good", FALLS_SHORT: "bad", NOT_MEASURED: "open", DOES_NOT_APPLY: "none"}


@dataclass(frozen=True, slots=True)
class Table:
    """A table of texts, such as the take-off: a heading, column names, rows, and lines below it."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


def packet_html(
    report: Report, photos: Photos, tables: Sequence[Table] = (), layouts: Sequence[AreaLayout] = ()
) -> str:
    """The whole packet: one file that loads nothing.

    ``tables`` are what other parts add (take-off, repairs); ``layouts`` the panels that the plan shows.
    """
    from markupsafe import Markup

    style, script = page.own_file("packet.css"), page.own_file("packet.js")
    plan = plan_svg(report, Selection(), layouts=layouts)
    text: str = page.template("packet.html.j2").render(
        policy=page.policy([style, PLAN_STYLE], [script], pictures=True),
        style=Markup(style),
        script=Markup(script),
        plan=Markup(plan),
        **_head(report),
        stages=list(_stages(report, photos)),
        photos=list(_photos(report, photos)),
        paths=list(_load_paths(report)),
        order=list(_order(report)),
        tables=tables,
        limits=list(_limits(report)),
        cautions=[(key, visible(caution.text)) for key, caution in sorted(_used_cautions(report).items())],
        variances=[visible(line) for line in variance_lines(report)],
    )
    return text


def _head(report: Report) -> dict[str, Any]:
    site = report.site
    states = report.hold_points(Selection().threshold)
    facts = [
        ("File", site.file),
        ("Built", str(site.built) if site.built is not None else ""),
        ("Work", " / ".join(filter(None, (site.house.work, site.house.category, site.house.stage)))),
        ("Surveyed", site.house.date or ""),
        ("Place", _place(report)),
        ("Rule packs", ", ".join(pack_words(pack) for pack in report.rules.packs) or "none"),
    ]
    stops = [f for f in report.findings if f.severity == STOP_WORK and f.outcome == FALLS_SHORT and f.varied is None]
    return {
        "title": visible(site.name),
        "invented": site.house.invented is True,
        "version": inspect_core.__version__,
        "facts": [(name, visible(value)) for name, value in facts if value],
        "areas": [visible(f"{area.name or area.id} ({area.use or 'use not said'})") for area in site.areas],
        "points": [(name, state.released, state.open) for name, state in states.items()],
        "stops": [visible(f"{f.subject}: {message(report, f)}") for f in stops],
        "failures": [visible(f"{failure.pack}: {failure.why}") for failure in report.failures],
        "loosened": [visible(line) for line in loosened_lines(report)],
        "notes": [visible(note) for note in report.notes],
    }


def _place(report: Report) -> str:
    place = report.site.place
    return ", ".join(filter(None, (place.city, place.county, place.state, place.country))) if place is not None else ""


# --- the checklist ----------------------------------------------------------------------------------------------------


def _stages(report: Report, photos: Photos) -> Iterator[dict[str, Any]]:
    states = report.hold_points(Selection().threshold)
    findings = shown(report, Selection())
    seen = _seen_by(report, photos)
    for point, state in states.items():
        here = [f for f in findings if f.rule.hold_point == point]
        groups = [
            ("Open", [f for f in here if f.outcome in (FALLS_SHORT, NOT_MEASURED)], False),
            ("Meets", [f for f in here if f.outcome == MEETS], True),
            ("Does not apply", [f for f in here if f.outcome == DOES_NOT_APPLY], True),
        ]
        yield {
            "name": point,
            "released": state.released,
            "open": state.open,
            "groups": [
                (title, fold, [_item(report, f, seen) for f in found]) for title, found, fold in groups if found
            ],
        }


def _item(report: Report, finding: Finding, seen: dict[str, list[str]]) -> dict[str, Any]:
    reference = report.rules.references.get(finding.rule.reference)
    adopted = reference is not None and reference.adopted
    text = reference.text if reference is not None else finding.rule.reference
    asks_for_work = finding.outcome in (FALLS_SHORT, NOT_MEASURED)
    return {
        "subject": visible(finding.subject),
        "rule": visible(finding.rule.id),
        "requirement": visible(finding.rule.summary),
        "word": WORDS[finding.outcome],
        "sign": _SIGNS[finding.outcome],
        "severity": finding.severity if asks_for_work else "",
        "message": visible(message(report, finding)),
        "limit": visible(_owner(finding)),
        "remedy": visible(finding.remedy),
        "assumptions": [visible(note) for note in finding.assumptions],
        "reference": visible(text if adopted else f"{text} ({NOT_ADOPTED})"),
        "cautions": [key for key, _ in cautions(report, finding)],
        "working": [visible(line) for line in working_lines(steps_of(finding.check.working))],
        "line": report.site.locate(finding.path)[0],
        "photos": seen.get(finding.subject.split(",")[0], []),
        "varied": visible(finding.varied.text) if finding.varied is not None else "",
    }


def _owner(finding: Finding) -> str:
    limits = [limit for limit in (finding.check.limit, finding.check.upper) if limit is not None]
    return "; ".join(f"{limit.id}, set by {limit.set_by} ({limit.status})" for limit in limits)


def _seen_by(report: Report, photos: Photos) -> dict[str, list[str]]:
    """Photos by the things that they show, as findings call them."""
    found: dict[str, list[str]] = {}
    subjects = {f.subject.split(",")[0] for f in report.findings}
    for evidence in report.site.evidence or ():
        if evidence.id in photos.found:
            for subject in subjects:
                if set(evidence.of or ()) & set(re.split(r"[ –]", subject)):
                    found.setdefault(subject, []).append(evidence.id)
    return found


def _photos(report: Report, photos: Photos) -> Iterator[dict[str, Any]]:
    problems = {evidence.id: why for evidence, why in photos.problems}
    for evidence in report.site.evidence or ():
        photo = photos.found.get(evidence.id)
        yield {
            "id": visible(evidence.id),
            "data": photo.data if photo is not None else "",
            "width": photo.width if photo is not None else 0,
            "height": photo.height if photo is not None else 0,
            "shows": visible(evidence.shows or "not said what it shows"),
            "date": visible(evidence.date or "no date stated"),
            "point": visible(evidence.hold_point or ""),
            "of": visible(", ".join(evidence.of or ())),
            "file": visible(evidence.file or ""),
            "kept": evidence.id in photos.kept,
            "problem": visible(problems.get(evidence.id, "")),
        }


# --- the rest ---------------------------------------------------------------------------------------------------------


def _load_paths(report: Report) -> Iterator[dict[str, Any]]:
    for area in load_path_data(report):
        rows = [(visible(link_words(link)), use_words(link), link["weakest"]) for link in area["links"]]
        yield {"area": visible(area["area"]), "rows": rows}


def _order(report: Report) -> Iterator[dict[str, Any]]:
    for stage in work_order(report):
        if stage.steps or stage.pictures:
            yield {
                "name": visible(stage.hold_point),
                "steps": [
                    {
                        "number": step.number,
                        "kind": says(step.kind),
                        "what": visible(step.what),
                        "subjects": visible("; ".join(step.subjects)) if step.action != "build" else "",
                        "after": ", ".join(map(str, step.after)),
                        "cautions": step.cautions,
                    }
                    for step in stage.steps
                ],
                "pictures": [visible(picture) for picture in stage.pictures],
            }


def _limits(report: Report) -> Iterator[dict[str, Any]]:
    """Every limit in force that a rule of this run names, with its owner and source."""
    known = report.rules.limits.defs
    names = dict.fromkeys(name for one in report.rules.rules for name in one.rule.limits if name in known)
    for limit in (limit_data(known[name], report.site.units) for name in names):
        values = "; ".join(v if k == "value" else f"{k}: {v}" for k, v in limit["values"].items())
        yield {
            "id": limit["id"],
            "says": visible(limit["says"]),
            "values": visible(values),
            "set_by": visible(limit["set_by"]),
            "source": visible(f"{limit['source']} ({limit['status']})"),
            "was": bool(limit["was"]),
        }


def _used_cautions(report: Report) -> dict[str, Any]:
    keys = {key for finding in report.findings for key, _ in cautions(report, finding)}
    return {key: report.rules.cautions[key] for key in keys}
