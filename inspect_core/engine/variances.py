"""Variances: departures from a rule that somebody with the say has granted, on paper, for one subject until a day.

A variance releases only a finding that falls short: what nobody has measured can't be granted, and a rule that failed
can't either. A finding that stops work is released only by an entry that says ``stop_work: true``. An entry that has
expired, that names no subject or no site, that holds a pattern, or that fits more than :data:`MOST_COVERED` findings
releases nothing. What is varied stays in every output with its outcome; entries that do nothing are told.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from inspect_core.engine.finding import RULE_FAILED, Finding, Varied
from inspect_core.engine.run import Report
from inspect_core.quantities.dates import day
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED, STOP_WORK
from inspect_core.site import InputError

if TYPE_CHECKING:
    from inspect_core.site.reader import Document

LONGEST_COMPARED: Final = 100  # characters of a name that is looked for among the ones that are there
MOST_COVERED: Final = 3  # a rule seldom says more than one thing about one subject
_PATTERN: Final = frozenset("*?")

State = Literal["used", "expired", "unused", "over-broad"]


@dataclass(frozen=True, slots=True)
class Variance:
    """One entry of a variances file. ``line`` and ``column`` are 1-based."""

    rule: str
    subject: str
    site: str
    reason: str
    granted_by: str
    paper: str
    until: str
    stop_work: bool
    line: int
    column: int
    target: str = ""  # where the site file is


@dataclass(frozen=True, slots=True)
class Variances:
    """A variances file. ``file`` is its name as it was given."""

    file: str
    entries: tuple[Variance, ...]


@dataclass(frozen=True, slots=True)
class VarianceNotice:
    """What became of one entry in one site, and why."""

    state: State
    variance: Variance
    file: str
    today: str
    message: str


def schema_text() -> str:
    """The JSON Schema of variances files as it ships."""
    return files("inspect_core.engine").joinpath("variances.schema.json").read_text("utf-8")


@cache
def _converter() -> Any:
    from inspect_core.site.convert import compile_schema

    return compile_schema(json.loads(schema_text()), lazily=True)


def read_variances(path: Path) -> Variances:
    """Read a variances file. Raises :class:`InputError` with line and column of everything wrong."""
    from inspect_core.site.reader import read_file

    return variances_from_document(read_file(path), path)


def variances_from_document(document: Document, path: Path) -> Variances:
    """The same from a document that has been read; ``path`` is where sites are looked for from."""
    data, problems = _converter().convert(document, lambda _: "in")
    if problems:
        raise InputError(problems)
    home = path.resolve().parent
    entries, wrong = [], []
    for number, item in enumerate(data["variances"]):
        here = ("variances", number)
        if day(item["until"]) is None or len(item["until"]) != len("2026-01-01"):
            there = (*here, "until")
            said = (f"'{item['until']}' is no date", "a date as year-month-day", "until: 2027-01-31")
            wrong.append(document.problem(document.where_value(there), there, "date", *said))
        mark = document.where_value(here)
        entries.append(
            Variance(
                rule=item["rule"],
                subject=item.get("subject", ""),
                site=item.get("site", ""),
                reason=item["reason"],
                granted_by=item["granted_by"],
                paper=item["paper"],
                until=item["until"],
                stop_work=item.get("stop_work") is True,
                line=mark.line,
                column=mark.column,
                target=_target(home, item.get("site", "")),
            )
        )
    if wrong:
        raise InputError(wrong)
    return Variances(str(path), tuple(entries))


def _target(home: Path, site: str) -> str:
    return str((home / site).resolve()) if site and not _is_pattern(site) else ""


def with_variances(report: Report, variances: Variances, site: Path, today: str) -> Report:
    """The report with what was granted on its findings, and a notice for each entry that concerns this site.

    ``site`` is the site file's path; ``today`` the day (``2026-11-25``) that entries are held against.
    """
    findings = list(report.findings)
    places: dict[tuple[str, str], list[int]] = defaultdict(list)
    for number, finding in enumerate(findings):
        places[finding.rule.id, finding.subject].append(number)
    notices = []
    here = str(site.resolve())
    for variance in variances.entries:
        if variance.target and variance.target != here:
            continue
        fitting = places.get((variance.rule, variance.subject), [])
        state, message = _state(variance, [findings[n] for n in fitting], findings, today)
        if state == "over-broad" and not variance.target and not _concerns(variance, report):
            continue
        notices.append(VarianceNotice(state, variance, variances.file, today, message))
        if state == "used":
            varied = Varied(variance.granted_by, variance.reason, variance.paper, variance.until)
            for number in fitting:
                if _releases(variance, findings[number]):
                    findings[number] = replace(findings[number], varied=varied)
    return replace(report, findings=tuple(findings), variances=tuple(notices))


def _state(variance: Variance, fitting: list[Finding], findings: list[Finding], today: str) -> tuple[State, str]:
    """What an entry does to the findings that it fits."""
    broad = ", ".join(_too_broad(variance, len(fitting)))
    if broad:
        return "over-broad", f"{broad}, so it releases nothing: name one rule, one subject and one site file"
    if variance.until < today:
        return "expired", f"it held until {variance.until} and releases nothing on {today}"
    if any(_releases(variance, finding) for finding in fitting):
        return "used", f"it releases the finding until {variance.until}"
    return "unused", _why_unused(variance, fitting, findings)


def _too_broad(variance: Variance, fitting: int) -> Iterator[str]:
    for name, text in (("rule", variance.rule), ("subject", variance.subject), ("site", variance.site)):
        if not text:
            yield f"it names no {name}"
        elif _is_pattern(text) and (name == "site" or not fitting):  # a subject's own name may hold such a sign
            yield f"its {name} is a pattern"
    if fitting > MOST_COVERED:
        yield f"it fits {fitting} findings"


def _is_pattern(text: str) -> bool:
    return not _PATTERN.isdisjoint(text)


def _releases(variance: Variance, finding: Finding) -> bool:
    return (
        finding.outcome == FALLS_SHORT
        and finding.rule.id != RULE_FAILED
        and (variance.stop_work or finding.severity != STOP_WORK)
    )


def _why_unused(variance: Variance, fitting: list[Finding], findings: list[Finding]) -> str:
    if variance.rule == RULE_FAILED:
        return "a rule that failed can't be varied"
    if any(finding.outcome == FALLS_SHORT for finding in fitting):
        return "the finding stops work; the entry must say stop_work: true to release it"
    if any(finding.outcome == NOT_MEASURED for finding in fitting):
        return "the finding is not measured, and only what is known to fall short can be granted"
    if fitting:
        return f"nothing falls short there ({fitting[0].outcome}); take it out"
    import difflib  # only for a name that is wrong

    said = "this site has no finding of this rule and subject"
    subjects = [finding.subject for finding in findings if finding.rule.id == variance.rule]
    wanted = variance.subject if subjects else variance.rule
    known = subjects or list({finding.rule.id: None for finding in findings})
    near = difflib.get_close_matches(wanted[:LONGEST_COMPARED], known, 1)
    return f"{said}; did you mean {near[0]}?" if near else said


def _concerns(variance: Variance, report: Report) -> bool:
    """Whether an entry that names no site would have released something here."""
    return any(
        finding.outcome == FALLS_SHORT
        and (_is_pattern(variance.rule) or finding.rule.id == variance.rule)
        and (not variance.subject or _is_pattern(variance.subject) or finding.subject == variance.subject)
        for finding in report.findings
    )


def missing_sites(variances: Variances) -> list[str]:
    """What is to be said of entries whose site file is not there."""
    return [
        f"{variances.file}:{one.line}:{one.column}: there is no site file {one.site}"
        for one in variances.entries
        if one.target and not Path(one.target).exists()
    ]


def notice_data(notice: VarianceNotice) -> dict[str, Any]:
    """A notice as plain data."""
    one = notice.variance
    return {
        "state": notice.state,
        "rule": one.rule,
        "subject": one.subject,
        "site": one.site,
        "by": one.granted_by,
        "reason": one.reason,
        "paper": one.paper,
        "until": one.until,
        "today": notice.today,
        "message": notice.message,
        "file": notice.file,
        "line": one.line,
        "column": one.column,
    }


def notice_line(notice: dict[str, Any]) -> str:
    """A notice in one line of text, for people."""
    about = f"{notice['rule']}, {notice['subject'] or 'no subject'}"
    return f"Variance {notice['state']} ({notice['file']}:{notice['line']}, {about}): {notice['message']}"
