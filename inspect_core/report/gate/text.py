"""The gate for a terminal: a line for each site, what kept it from being checked, and a summary. 80 columns."""

from __future__ import annotations

import shlex
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.engine.variances import notice_line
from inspect_core.report.gate.entries import asked
from inspect_core.report.layout import SELF_CHECK, counted, wrapped
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED, SEVERITIES, STOP_WORK
from inspect_core.rules_api.vocabulary import at_or_above

MOST_NAMED = 5
_WORDS = {0: "CLEAR", 1: "HELD", 2: "CAN'T BE USED", 3: "FAILED"}


def text(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """A line for each site as it comes, then the counts of the whole."""
    total = _Total()
    for result in results:
        yield "".join(f"{line}\n" for line in _site(result, view, total))
    yield "".join(f"{line}\n" for line in ("", *total.lines(view)))


@dataclass(slots=True)
class _Total:
    """What the summary counts."""

    sites: Counter[int] = field(default_factory=Counter)
    findings: Counter[str] = field(default_factory=Counter)
    points: dict[str, list[int]] = field(default_factory=dict)  # open findings, and sites that have some
    compared: Counter[str] = field(default_factory=Counter)
    variances: int = 0
    said: set[str] = field(default_factory=set)

    def lines(self, view: GateView) -> Iterator[str]:
        count = sum(self.sites.values())
        parts = [f"{self.sites[code]} {word.lower()}" for code, word in _WORDS.items() if self.sites[code]]
        yield from wrapped(f"{counted(count, 'site')}{': ' if parts else ''}{', '.join(parts)}.", "", "  ")
        if self.findings:
            yield from wrapped(f"{_counts(self.findings)}.", "", "  ")
        for name, (number, sites) in self.points.items():
            if number:
                yield from wrapped(f"Hold point {name}: {number} open in {counted(sites, 'site')}.", "", "  ")
        if view.baseline:
            new, old, gone = (self.compared[word] for word in ("new", "unchanged", "gone"))
            yield from wrapped(f"Against the baseline: {new} new, {old} unchanged, {gone} gone.", "", "  ")
        yield from wrapped(asked(view), "", "  ")
        if self.sites[1]:
            command = " ".join(("inspect-core check FILE", *map(shlex.quote, view.packs_by)))
            yield from wrapped(f"What is open in a site, and what would mend it: {command}", "", "  ")
        if self.variances and view.today:
            yield from wrapped(f"Variances were held against {view.today}.", "", "  ")
        yield from wrapped(SELF_CHECK, "", "  ")


def _site(result: SiteResult, view: GateView, total: _Total) -> Iterator[str]:
    total.sites[result.exit_code] += 1
    here = Counter[str]()
    findings: Sequence[Mapping[str, Any]] = result.document["findings"] if result.document is not None else ()
    for finding in findings:
        _count(finding, view, here, total)
    total.findings += here
    words = _counts(here)
    yield from wrapped(f"{_WORDS[result.exit_code]}  {result.file}{f': {words}' if words else ''}", "", "    ")
    yield from _named("Stops work", [finding for finding in findings if finding["blocks"] and _stops_work(finding)])
    if view.baseline:
        yield from _named("New", [one for one in findings if one["blocks"] and one.get("baseline") == "new"])
    for problem in result.problems:
        yield from _once(str(problem["message"]), total)
    for failure in result.failures:
        yield from _once(failure, total)
    if result.document is None:
        return
    for finding in findings:
        if "varied" in finding and finding["severity"] == STOP_WORK:  # it may hurt somebody: never in passing
            varied = finding["varied"]
            told = f"granted by {varied['by']} until {varied['until']} ({varied['paper']}): {varied['reason']}"
            yield from wrapped(
                f"Stop-work finding varied: {finding['rule']}, {finding['subject']}: {told}", "  ", "    "
            )
    for notice in result.document.get("variances", ()):
        total.variances += 1
        if notice["state"] != "used":
            yield from wrapped(notice_line(notice), "  ", "    ")
    for name, state in result.document["hold_points"].items():
        sums = total.points.setdefault(name, [0, 0])
        if not view.hold_points or name in view.hold_points:
            sums[0] += state["open"]
            sums[1] += state["open"] > 0
    total.compared["gone"] += len(result.document.get("gone", ()))


def _count(finding: Mapping[str, Any], view: GateView, here: Counter[str], total: _Total) -> None:
    if "baseline" in finding:
        total.compared[finding["baseline"]] += 1
    if finding["blocks"]:
        here["open"] += 1
        here[finding["outcome"]] += 1
        here[STOP_WORK] += _stops_work(finding)
    elif "varied" in finding:
        here["varied"] += 1
    elif _asked_for(finding, view):
        here["known" if finding.get("baseline") == "unchanged" else "allowed"] += 1


def _stops_work(finding: Mapping[str, Any]) -> bool:
    return bool(finding["severity"] == STOP_WORK and finding["outcome"] == FALLS_SHORT)


def _named(what: str, findings: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """``New: joist J5 (joist-bearing); pier P1 (pier-plumb); and 3 more``, the worst first; nothing where none is."""
    worst = sorted(findings, key=lambda one: (one["outcome"] != FALLS_SHORT, SEVERITIES.index(one["severity"])))
    names = [f"{finding['subject']} ({finding['rule']})" for finding in worst[:MOST_NAMED]]
    if len(findings) > MOST_NAMED:
        names.append(f"and {len(findings) - MOST_NAMED} more")
    if names:
        yield from wrapped(f"{what}: {'; '.join(names)}", "  ", "    ")


def _asked_for(finding: Mapping[str, Any], view: GateView) -> bool:
    """Whether it would block, but for being allowed: what is not measured, or what was there before."""
    here = not view.hold_points or finding["hold_point"] in view.hold_points
    return here and finding["outcome"] in (FALLS_SHORT, NOT_MEASURED) and at_or_above(finding["severity"], view.fail_on)


def _counts(here: Counter[str]) -> str:
    """``12 open (3 fall short, 9 not measured), 1 stops work; 2 varied``: what blocks, then what doesn't, by why."""
    words = ""
    if here["open"]:
        short, unknown = here[FALLS_SHORT], here[NOT_MEASURED]
        parts = [f"{short} {'falls' if short == 1 else 'fall'} short" if short else ""]
        parts.append(f"{unknown} not measured" if unknown else "")
        words = f"{here['open']} open ({', '.join(filter(None, parts))})"
    if here[STOP_WORK]:
        words += f", {here[STOP_WORK]} stop{'s' if here[STOP_WORK] == 1 else ''} work"
    others = (("varied", "varied"), ("known", "known before"), ("allowed", "not measured"))
    return "; ".join(filter(None, (words, *(f"{here[key]} {word}" for key, word in others if here[key]))))


def _once(message: str, total: _Total) -> Iterator[str]:
    """A text in full the first time: one faulty pack concerns hundreds of sites."""
    first, *more = message.split("\n")
    if message in total.said:
        yield from wrapped(f"as above: {first if len(first) < 60 else f'{first[:57]}...'}", "  ", "    ")
        return
    total.said.add(message)
    yield from wrapped(first, "  ", "    ")
    for line in more:  # they have an indent of their own, and a caret that must stay below its place
        yield from wrapped(line, "", "    ")
