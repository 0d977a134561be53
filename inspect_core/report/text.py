"""The report for a terminal: what stops you first, then hold point by hold point. 80 columns, colour never alone."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from itertools import groupby

from inspect_core.engine import Finding, Report
from inspect_core.report.view import Selection, cautions, message, shown
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED, STOP_WORK, Outcome
from inspect_core.site.problems import visible

WIDTH = 80
_WORDS = {FALLS_SHORT: "FALLS SHORT", NOT_MEASURED: "NOT MEASURED", MEETS: "meets", DOES_NOT_APPLY: "does not apply"}
_COLOURS = {FALLS_SHORT: "31", NOT_MEASURED: "33", MEETS: "32", DOES_NOT_APPLY: "2"}


def render_text(report: Report, selection: Selection, *, everything: bool = False, colour: bool = False) -> str:
    """The whole report. ``everything`` also lists what meets and what does not apply."""
    return "\n".join(_lines(report, selection, everything, colour)) + "\n"


def _lines(report: Report, selection: Selection, everything: bool, colour: bool) -> Iterator[str]:
    findings = shown(report, selection)
    yield from _wrapped(visible(report.site.name), "", "")
    yield visible(report.site.file)
    packs = ", ".join(f"{pack.id} {pack.version}" for pack in report.rules.packs) or "none"
    yield from _wrapped(f"Rule packs: {packs}. Reference texts say what is adopted where you are.", "", "  ")
    for failure in report.failures:
        yield ""
        yield from _wrapped(f"PACK FAILED: {visible(failure.pack)}: {visible(failure.why)}", "", "  ")
    said: set[str] = set()
    stops = [f for f in findings if f.severity == STOP_WORK and f.outcome == FALLS_SHORT]
    if stops:
        yield ""
        yield from _heading("STOP WORK: this may hurt someone now")
        for finding in stops:
            yield from _finding(report, finding, said, colour)
    states = report.hold_points(selection.threshold)
    rest = [f for f in findings if f not in stops] if stops else list(findings)
    for point, group in groupby(rest, key=lambda f: f.rule.hold_point):
        here = list(group)
        state = states[point]
        yield ""
        released = "may be released" if state.released else f"NOT to be released, {state.open} open"
        yield from _heading(f"Hold point {point}: {released}")
        for finding in here:
            if finding.outcome == FALLS_SHORT:
                yield from _finding(report, finding, said, colour)
        yield from _unmeasured(report, [f for f in here if f.outcome == NOT_MEASURED], colour)
        if everything:
            for finding in here:
                if finding.outcome in (MEETS, DOES_NOT_APPLY):
                    yield from _brief(report, finding, colour)
    yield ""
    yield from _summary(report, findings, selection)


def _heading(text: str) -> Iterator[str]:
    yield from _wrapped(text, "", "")
    yield "-" * min(len(text), WIDTH)


def _painted(outcome: Outcome, colour: bool) -> str:
    word = _WORDS[outcome]
    return f"\x1b[{_COLOURS[outcome]}m{word}\x1b[0m" if colour else word


def _finding(report: Report, finding: Finding, said: set[str], colour: bool) -> Iterator[str]:
    line = report.site.locate(finding.path)[0]
    yield f"{_painted(finding.outcome, colour)}  {visible(finding.subject)}  ({finding.severity}, line {line})"
    yield from _wrapped(visible(message(report, finding)), "  ", "  ")
    for note in finding.assumptions:
        yield from _wrapped(f"Taken for granted: {visible(note)}", "  ", "    ")
    yield from _wrapped(f"Remedy: {visible(finding.remedy)}", "  ", "    ")
    for key, text in cautions(report, finding):
        if key in said:
            yield f"  Caution: {key}, see above"
        else:
            said.add(key)
            yield from _wrapped(f"Caution ({key}): {visible(text)}", "  ", "    ")
    reference = report.rules.references.get(finding.rule.reference)
    adopted = "" if reference is not None and reference.adopted else " [not adopted here]"
    text = reference.text if reference is not None else finding.rule.reference
    yield from _wrapped(f"Reference: {visible(text)}{adopted}", "  ", "    ")
    limit = finding.check.limit
    owner = f"; limit {limit.id} set by {limit.set_by} ({limit.status})" if limit is not None else ""
    yield from _wrapped(f"Rule {finding.rule.id}{owner}", "  ", "    ")


def _unmeasured(report: Report, findings: list[Finding], colour: bool) -> Iterator[str]:
    for rule_id, group in groupby(sorted(findings, key=lambda f: f.rule.id), key=lambda f: f.rule.id):
        same = list(group)
        grave = same[0].severity
        yield f"{_painted(NOT_MEASURED, colour)}  {rule_id}  ({grave}, {len(same)} to settle)"
        for finding in same:
            yield from _wrapped(f"{visible(finding.subject)}: {visible(message(report, finding))}", "  ", "    ")


def _brief(report: Report, finding: Finding, colour: bool) -> Iterator[str]:
    yield f"{_painted(finding.outcome, colour)}  {visible(finding.subject)}"
    yield from _wrapped(f"{finding.rule.id}: {visible(message(report, finding))}", "  ", "    ")


def _summary(report: Report, findings: tuple[Finding, ...], selection: Selection) -> Iterator[str]:
    counts = {outcome: sum(1 for f in findings if f.outcome == outcome) for outcome in _WORDS}
    yield ", ".join(f"{counts[outcome]} {_WORDS[outcome].lower()}" for outcome in _WORDS)
    if counts[NOT_MEASURED]:
        yield from _wrapped("What to measure next, and how: inspect-core measure, with this file.", "", "  ")
    open_points = [name for name, state in report.hold_points(selection.threshold).items() if not state.released]
    closed = f"Not to be covered yet: {', '.join(open_points)}." if open_points else "Every hold point may be released."
    if selection.hold_point is None:
        yield from _wrapped(closed, "", "  ")
    yield from _wrapped(
        "A self-check, not an approval: local code, the official and licensed practice come first.", "", "  "
    )


def _wrapped(text: str, first: str, rest: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=rest, break_long_words=True, break_on_hyphens=False
    )
