"""The report for a terminal: what stops you first, then hold point by hold point. 80 columns, colour never alone."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from inspect_core.engine import Finding, HoldPointState, Report
from inspect_core.engine.loosened import shown as shown_limit
from inspect_core.report.layout import SELF_CHECK, command_lines, heading, wrapped
from inspect_core.report.load_path import load_path_lines
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
from inspect_core.rules_api import (
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    SEVERITIES,
    STOP_WORK,
    Limit,
    Outcome,
)

_Question = tuple[str, str, tuple[str, ...]]  # subject, sentence, lines of working
STOPS = "STOP WORK: this may hurt someone now"
_WORDS = {FALLS_SHORT: "FALLS SHORT", NOT_MEASURED: "NOT MEASURED", MEETS: "meets", DOES_NOT_APPLY: "does not apply"}
_COUNTED = {  # one, many
    FALLS_SHORT: ("falls short", "fall short"),
    NOT_MEASURED: ("not measured", "not measured"),
    MEETS: ("meets", "meet"),
    DOES_NOT_APPLY: ("does not apply", "do not apply"),
}
_COLOURS = {FALLS_SHORT: "31", NOT_MEASURED: "33", MEETS: "32", DOES_NOT_APPLY: "2"}


def render_text(
    report: Report,
    selection: Selection,
    *,
    everything: bool = False,
    colour: bool = False,
    show_working: bool = False,
) -> str:
    """The whole report. ``everything`` also lists what meets and what does not apply; ``show_working`` puts the
    calculation under each finding that rests on one."""
    return "\n".join(_lines(report, selection, everything, colour, show_working)) + "\n"


def render_brief(report: Report, selection: Selection, *, colour: bool = False) -> str:
    """A line for each shortfall and a count of what is not measured: the screen before the whole report."""
    return "\n".join(_brief_lines(report, selection, colour)) + "\n"


def _brief_lines(report: Report, selection: Selection, colour: bool) -> Iterator[str]:
    findings = shown(report, selection)
    yield from _preamble(report, references=False)
    states = report.hold_points(selection.threshold)
    short = [f for f in findings if f.outcome == FALLS_SHORT]
    stops = [f for f in short if _stops_work(f)]
    if stops:
        yield ""
        yield from heading(STOPS)
        for finding in stops:
            yield from _in_one_line(report, finding, colour)
    for point, group in groupby(findings, key=lambda f: f.rule.hold_point):
        here = list(group)
        yield ""
        yield from heading(f"Hold point {point}: {_released(states[point])}")
        for finding in here:
            if finding.outcome == FALLS_SHORT and not _stops_work(finding):
                yield from _in_one_line(report, finding, colour)
        unknown = [f.severity for f in here if f.outcome == NOT_MEASURED]
        if unknown:
            kinds = ", ".join(f"{unknown.count(word)} {word}" for word in SEVERITIES if word in unknown)
            yield from _headline(NOT_MEASURED, f"{len(unknown)} ({kinds})", colour)
    yield ""
    if short:
        yield "Remedies, cautions and limits: the same command without --brief."
    yield from _summary(report, findings, selection)


def _in_one_line(report: Report, finding: Finding, colour: bool) -> Iterator[str]:
    line = report.site.locate(finding.path)[0]
    varied = ", varied" if finding.varied is not None else ""
    text = (
        f"{finding.subject}: {message(report, finding)}  ({finding.severity}{varied}, {finding.rule.id}, line {line})"
    )
    yield from _headline(finding.outcome, text, colour)


def _lines(report: Report, selection: Selection, everything: bool, colour: bool, show_working: bool) -> Iterator[str]:
    findings = shown(report, selection)
    yield from _preamble(report, references=True)
    said: set[str] = set()
    stops = [f for f in findings if _stops_work(f)]
    if stops:
        yield ""
        yield from heading(STOPS)
        for finding in stops:
            yield from _finding(report, finding, said, colour, show_working)
    states = report.hold_points(selection.threshold)
    rest = [f for f in findings if not _stops_work(f)]
    for point, group in groupby(rest, key=lambda f: f.rule.hold_point):
        here = list(group)
        yield ""
        yield from heading(f"Hold point {point}: {_released(states[point])}")
        for finding in here:
            if finding.outcome == FALLS_SHORT:
                yield from _finding(report, finding, said, colour, show_working)
        yield from _unmeasured(report, [f for f in here if f.outcome == NOT_MEASURED], said, colour, show_working)
        if everything:
            for finding in here:
                if finding.outcome in (MEETS, DOES_NOT_APPLY):
                    yield from _brief(report, finding, colour, show_working)
    if selection.load_path:
        yield from load_path_lines(report)
    yield ""
    yield from _summary(report, findings, selection)


def _preamble(report: Report, *, references: bool) -> Iterator[str]:
    """Which site, which packs, what they ease, what was taken for granted, what failed."""
    yield from wrapped(report.site.name)
    yield from wrapped(report.site.file)
    packs = ", ".join(pack_words(pack) for pack in report.rules.packs) or "none"
    yield from wrapped(f"Rule packs: {packs}.", "", "  ")
    if references and any(not reference.adopted for reference in report.rules.references.values()):
        yield from wrapped(f"[{NOT_ADOPTED}] beside a reference: ask your building office what holds.", "", "  ")
    for line in (*loosened_lines(report), *variance_lines(report)):
        yield from wrapped(line, "", "  ")
    for note in report.notes:
        yield from wrapped(f"Taken for granted: {note}", "", "  ")
    for failure in report.failures:
        yield ""
        yield from wrapped(f"PACK FAILED: {failure.pack}: {failure.why}", "", "  ")


def _released(state: HoldPointState) -> str:
    return "may be released" if state.released else f"NOT to be released, {state.open} open"


def _stops_work(finding: Finding) -> bool:
    return finding.severity == STOP_WORK and finding.outcome == FALLS_SHORT


def _headline(outcome: Outcome, text: str, colour: bool) -> Iterator[str]:
    """The outcome's word, and what it is about; colour takes no room."""
    word = _WORDS[outcome]
    first, *more = wrapped(f"{word}  {text}", "", "    ")
    yield f"\x1b[{_COLOURS[outcome]}m{word}\x1b[0m{first.removeprefix(word)}" if colour else first
    yield from more


def _finding(report: Report, finding: Finding, said: set[str], colour: bool, show_working: bool) -> Iterator[str]:
    line = report.site.locate(finding.path)[0]
    yield from _headline(finding.outcome, f"{finding.subject}  ({finding.severity}, line {line})", colour)
    yield from wrapped(message(report, finding), "  ", "  ")
    if finding.varied is not None:
        yield from wrapped(f"Varied: {finding.varied.text}", "  ", "    ")
    for note in finding.assumptions:
        yield from wrapped(f"Taken for granted: {note}", "  ", "    ")
    yield from _once(f"Remedy: {finding.remedy}", "Remedy: as above", said)
    again = []
    for key, text in cautions(report, finding):
        if key in said:
            again.append(key)
        else:
            said.add(key)
            yield from wrapped(f"Caution ({key}): {text}", "  ", "    ")
    if again:
        yield from wrapped(f"Cautions above: {', '.join(again)}", "  ", "    ")
    reference = report.rules.references.get(finding.rule.reference)
    adopted = "" if reference is not None and reference.adopted else f" [{NOT_ADOPTED}]"
    text = reference.text if reference is not None else finding.rule.reference
    yield from _once(f"Reference: {text}{adopted}", f"Reference: {finding.rule.reference}, as above", said)
    limits = [limit for limit in (finding.check.limit, finding.check.upper) if limit is not None]
    owners = "".join(f"; limit {limit.id} {_owner(report, limit)}" for limit in limits)
    yield from wrapped(f"Rule {finding.rule.id}{owners}", "  ", "    ")
    yield from _working(finding, show_working)


def _once(text: str, again: str, said: set[str]) -> Iterator[str]:
    """The text in full the first time, and a pointer to it afterwards."""
    yield from wrapped(again if text in said else text, "  ", "    ")
    said.add(text)


def _owner(report: Report, limit: Limit) -> str:
    """Who set a limit, and the chain of what it was, the latest first."""
    chain = "".join(
        f", was {shown_limit(words or value, report.site.units, limit.percent)} by {owner}"
        for owner, value, words in reversed(limit.was)
    )
    return f"set by {limit.set_by} ({limit.status}){chain}"


def _working(finding: Finding, show_working: bool) -> Iterator[str]:
    steps = steps_of(finding.check.working) if show_working else ()
    if steps:
        yield "  Working, in inches and pounds:"
        yield from working_lines(steps, "    ")


def _unmeasured(
    report: Report, findings: list[Finding], said: set[str], colour: bool, show_working: bool
) -> Iterator[str]:
    yield from _before_measuring(report, findings, said)

    def grave(finding: Finding) -> tuple[int, str]:
        return SEVERITIES.index(finding.severity), finding.rule.id

    asked: dict[tuple[str, tuple[_Question, ...]], list[str]] = {}  # rules that ask the same of the same
    for (_, rule_id), group in groupby(sorted(findings, key=grave), key=grave):
        same = list(group)
        questions = tuple(
            (finding.subject, message(report, finding), tuple(_working(finding, show_working))) for finding in same
        )
        asked.setdefault((same[0].severity, questions), []).append(rule_id)
    for (severity, questions), rules in asked.items():
        count = len(questions) * len(rules)
        yield from _headline(NOT_MEASURED, f"{', '.join(rules)}  ({severity}, {count} to settle)", colour)
        yield from _questions(questions)


def _questions(questions: tuple[_Question, ...]) -> Iterator[str]:
    """What is not known of what; a sentence about several subjects stands once, with the subjects below it."""
    subjects: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for subject, sentence, working in questions:
        subjects.setdefault((sentence, working), []).append(subject)
    for (sentence, working), named in subjects.items():
        if len(named) == 1:
            yield from wrapped(f"{named[0]}: {sentence}", "  ", "    ")
        else:
            yield from wrapped(f"{sentence}:", "  ", "    ")
            yield from wrapped("; ".join(named), "    ", "    ")
        yield from working


def _before_measuring(report: Report, findings: list[Finding], said: set[str]) -> Iterator[str]:
    """What can hurt while one looks: each caution once in a hold point's group, in full once in the report."""
    keys = dict.fromkeys(key for finding in findings for key in finding.rule.cautions)
    again = []
    for key in keys:
        caution = report.rules.cautions.get(key)
        if caution is None or not caution.measuring:
            continue
        if key in said:
            again.append(key)
        else:
            said.add(key)
            yield from wrapped(f"Before you look and measure, caution ({key}): {caution.text}", "", "  ")
    if again:
        yield from wrapped(f"Before you look and measure, cautions above: {', '.join(again)}", "", "  ")


def _brief(report: Report, finding: Finding, colour: bool, show_working: bool) -> Iterator[str]:
    yield from _headline(finding.outcome, finding.subject, colour)
    yield from wrapped(f"{finding.rule.id}: {message(report, finding)}", "  ", "    ")
    yield from _working(finding, show_working)


def _summary(report: Report, findings: tuple[Finding, ...], selection: Selection) -> Iterator[str]:
    counts = {outcome: sum(1 for f in findings if f.outcome == outcome) for outcome in _WORDS}
    varied = sum(1 for f in findings if f.varied is not None)
    words = ", ".join(
        f"{counts[outcome]} {one if counts[outcome] == 1 else many}" for outcome, (one, many) in _COUNTED.items()
    )
    yield f"{words}; {varied} of these varied" if varied else words
    stops = "; ".join(f.subject for f in findings if _stops_work(f) and f.varied is None)
    if stops:
        yield from wrapped(f"What stops work: {stops}.", "", "  ")
    if report.failures:
        yield from wrapped(f"Pack failed, see above: {', '.join(f.pack for f in report.failures)}.", "", "  ")
    point = ("--hold-point", selection.hold_point) if selection.hold_point is not None else ()
    file = report.site.file
    same = (f"./{file}" if file.startswith("-") else file, *point, *selection.packs_by)
    if counts[NOT_MEASURED]:
        yield "What to measure next, and how:"
        yield from command_lines("inspect-core", "measure", *same, "--most", "10")
    if counts[FALLS_SHORT]:
        yield "What would mend it, tried on a copy:"
        yield from command_lines("inspect-core", "repair", *same)
    open_points = [name for name, state in report.hold_points(selection.threshold).items() if not state.released]
    closed = f"Not to be covered yet: {', '.join(open_points)}." if open_points else "Every hold point may be released."
    if selection.hold_point is None:
        yield from wrapped(closed, "", "  ")
    yield from wrapped(SELF_CHECK, "", "  ")
