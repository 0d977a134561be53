"""Annotations in a build server's log, as workflow commands: the worst first, and how many more there are.

No line starts with text from a file, and nothing in it is a command of its own.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import Entry, entries, state
from inspect_core.report.gate.ran import Ran, of_sites
from inspect_core.report.gate.rows import rank
from inspect_core.report.layout import counted
from inspect_core.site.problems import visible

MOST = 10
"""Errors, and as many warnings, that a step may show; the build server leaves out the others without a word."""


def log_annotations(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """Errors for what holds the gate, warnings for other shortfalls; not measured without holding: only counted."""
    worst: dict[str, list[Entry]] = {"error": [], "warning": []}
    seen = dict.fromkeys(("error", "warning", "unknown"), 0)
    ran, sites, held = Ran(), 0, 0
    for result in results:
        ran.take(result)
        sites += 1
        held += state(result) != "clear"
        for entry in entries(result):
            kind = "error" if entry.blocks else "unknown" if entry.open else "warning"
            seen[kind] += 1
            if kind in worst:
                worst[kind].append(entry)
        # Stable: of two alike, the one of the earlier file stays.
        worst = {kind: heapq.nsmallest(MOST, found, key=rank) for kind, found in worst.items()}
    for kind, kept in worst.items():
        for entry in kept:
            yield _command(kind, entry)
    if ran.loosened:
        yield _notice("Loosened by local packs: " + "; ".join(of_sites(ran.loosened, sites)))
    if ran.varied:
        yield _notice(f"Varied findings: {ran.varied}.")
        grave = [f"{file}: {words}" for place, file, words in ran.granted if place == 0]
        yield from map(_notice, grave[:MOST])  # it may hurt somebody: never in passing
        if ran.varied_stops > MOST:
            yield _notice(f"And {ran.varied_stops - MOST} more stop-work findings that are varied.")
    yield _notice(_last(sites, held, seen))


def _command(kind: str, entry: Entry) -> str:
    title = f"{entry.rule} ({entry.severity})" if entry.finding is not None else entry.rule
    at = f"file={_property(entry.file)},line={entry.line},col={entry.column},title={_property(title)}"
    return f"::{kind} {at}::{_data(entry.text)}\n"


def _last(sites: int, held: int, seen: dict[str, int]) -> str:
    more = sum(max(0, seen[kind] - MOST) for kind in ("error", "warning"))
    words = f"{held} of {sites} site files don't pass. Not shown here: {counted(more, 'more finding')}"
    return words + f", {seen['unknown']} not measured that hold nothing asked for."


def _notice(words: str) -> str:
    return f"::notice title=inspect-core::{_data(visible(words))}\n"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(visible(text)).replace(":", "%3A").replace(",", "%2C")
