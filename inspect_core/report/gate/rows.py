"""One short row for each site, for tables of a whole portfolio: small enough to keep thousands of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.report.gate.entries import Entry, entries, site_name, state, states, varied
from inspect_core.rules_api import NOT_MEASURED, STOP_WORK

STATE_ORDER = ("failed", "unusable", "held", "clear")
"""The worst first."""


@dataclass(frozen=True, slots=True)
class Row:
    """What a table says of one site. ``open`` counts what holds the gate; ``worst`` is the gravest of it in words."""

    file: str
    name: str
    state: str
    open: int
    stop_work: int
    unknown: int  # not measured and holding nothing that was asked for
    varied: int
    new: int
    gone: int
    points: tuple[tuple[str, bool, int], ...]
    worst: str

    def sort_key(self) -> tuple[int, int, int, str]:
        """The worst first."""
        return STATE_ORDER.index(self.state), -self.stop_work, -self.open, self.file

    def at(self, point: str) -> tuple[bool, int] | None:
        """Released, and how many are open, at one hold point; ``None`` where this site has no such point."""
        return next(((released, count) for name, released, count in self.points if name == point), None)


def row(result: SiteResult, found: Sequence[Entry]) -> Row:
    """The row of one site of which ``found`` is everything open, the worst first (``ranked``)."""
    holding = [entry for entry in found if entry.blocks]
    document = result.document or {}
    return Row(
        file=result.file,
        name=site_name(result),
        state=state(result),
        open=len(holding),
        stop_work=sum(entry.severity == STOP_WORK for entry in holding),
        unknown=sum(entry.open for entry in found),
        varied=sum(1 for _ in varied(result)),
        new=sum(entry.baseline == "new" for entry in found),
        gone=len(document.get("gone", ())),
        points=tuple((name, bool(at["released"]), int(at["open"])) for name, at in states(result).items()),
        worst=holding[0].text if holding else "",
    )


def ranked(result: SiteResult) -> list[Entry]:
    """Everything open in one site, the worst first."""
    return sorted(entries(result), key=rank)


_GRAVE = {"error": 0, "warning": 1, "note": 2, "none": 3}


def rank(entry: Entry) -> tuple[bool, bool, int, bool, bool, str, int, int, str, str]:
    """Sort key, the worst first: unusable and failed, what holds the gate, severity, known to fall short, new."""
    finding = entry.finding
    not_known = finding is not None and finding["outcome"] == NOT_MEASURED
    known = entry.baseline == "unchanged"
    place = entry.file, entry.line, entry.column, entry.rule, entry.subject
    return finding is not None, not entry.blocks, _GRAVE[entry.level], not_known, known, *place


def hold_points(rows: Iterable[Row]) -> list[str]:
    """Every hold point that a site has, in the order of the stages."""
    order: dict[str, None] = {}
    for one in rows:
        order.update(dict.fromkeys(name for name, _, _ in one.points))
    return list(order)


def counts(rows: Iterable[Row]) -> Mapping[str, int]:
    """How many sites are in which state."""
    found = dict.fromkeys(STATE_ORDER, 0)
    for one in rows:
        found[one.state] += 1
    return found


STATE_WORDS = {
    "failed": "failed",
    "unusable": "can't be used",
    "held": "held",
    "clear": "clear",
}
"""What each state is called."""
