"""The report as Markdown: hold points as headings, open items as check boxes. Names from the file stay plain text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby

from inspect_core.engine import Finding, Report
from inspect_core.report.layout import SELF_CHECK
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
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED
from inspect_core.site.problems import visible

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>()#+\-.!|~&:@$^=])")


def render_markdown(report: Report, selection: Selection) -> str:
    """The whole report."""
    return "\n".join(_lines(report, selection)) + "\n"


def plain(text: str) -> str:
    """Text from a file with everything that Markdown or HTML would read as markup made harmless."""
    return _SPECIAL.sub(r"\\\1", visible(text))


def _lines(report: Report, selection: Selection) -> Iterator[str]:
    findings = shown(report, selection)
    yield f"# {plain(report.site.name)}"
    yield ""
    packs = ", ".join(plain(pack_words(pack)) for pack in report.rules.packs) or "none"
    yield f"File {plain(report.site.file)}. Rule packs: {packs}."
    for text in (
        *loosened_lines(report),
        *variance_lines(report),
        *(f"Taken for granted: {note}" for note in report.notes),
    ):
        yield ""
        yield plain(text)
    for failure in report.failures:
        yield ""
        yield f"**Pack failed:** {plain(failure.pack)}: {plain(failure.why)}"
    yield ""
    yield "| hold point | may be released | open |"
    yield "|---|---|---|"
    for name, state in report.hold_points(selection.threshold).items():
        if selection.hold_point in (None, name):
            yield f"| {plain(name)} | {'released' if state.released else 'held'} | {state.open} |"
    said: set[str] = set()
    for point, group in groupby(findings, key=lambda f: f.rule.hold_point):
        yield ""
        yield f"## {plain(point)}"
        here = list(group)
        yield from _section(report, "Falls short", [f for f in here if f.outcome == FALLS_SHORT], said)
        yield from _section(report, "Not measured", [f for f in here if f.outcome == NOT_MEASURED], said)
        done = [f for f in here if f.outcome not in (FALLS_SHORT, NOT_MEASURED)]
        if done:
            yield ""
            yield "### Settled"
            yield ""
            yield "| subject | rule | outcome | |"
            yield "|---|---|---|---|"
            for f in done:
                yield f"| {plain(f.subject)} | {f.rule.id} | {f.outcome} | {plain(message(report, f))} |"
    yield ""
    yield SELF_CHECK


def _section(report: Report, title: str, findings: list[Finding], said: set[str]) -> Iterator[str]:
    if not findings:
        return
    yield ""
    yield f"### {title}"
    yield ""
    for finding in findings:
        line = report.site.locate(finding.path)[0]
        yield f"- [ ] **{plain(finding.subject.strip())}** ({finding.severity}, {finding.rule.id}, line {line})"
        yield f"  {plain(message(report, finding))}"
        if finding.varied is not None:
            yield f"  - Varied: {plain(finding.varied.text)}"
        if finding.remedy:
            yield f"  - Remedy: {plain(finding.remedy)}"
        yield from (f"  - Taken for granted: {plain(note)}" for note in finding.assumptions)
        yield from _cautions(report, finding, said)
        reference = report.rules.references.get(finding.rule.reference)
        if reference is not None and finding.outcome == FALLS_SHORT:
            yield f"  - Reference: {plain(reference.text)}{'' if reference.adopted else f' ({NOT_ADOPTED})'}"


def _cautions(report: Report, finding: Finding, said: set[str]) -> Iterator[str]:
    """Each caution in full once, then by its name: a comment on a merge request has room for 65,000 characters."""
    again = []
    for key, text in cautions(report, finding):
        if key in said:
            again.append(plain(key))
        else:
            said.add(key)
            yield f"  - Caution ({plain(key)}): {plain(text)}"
    if again:
        yield f"  - Cautions above: {', '.join(again)}"
