"""The gate as a comment on a merge request: a table of sites, what is new, and what is open, the worst first.

Cut to what a comment may hold, and it says how much was left out.
"""

from __future__ import annotations

import heapq
import html
from collections.abc import Iterable, Iterator, Sequence

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import Entry, asked
from inspect_core.report.gate.ran import Ran, of_sites
from inspect_core.report.gate.rows import STATE_WORDS, Row, counts, hold_points, rank, ranked, row
from inspect_core.report.layout import SELF_CHECK, counted
from inspect_core.report.markdown import plain
from inspect_core.site.problems import visible

MOST_CHARACTERS = 65_000
"""A comment holds 65,536 characters at the smallest host."""

# The most that each part, and one site, may take.
_TABLE, _NEW, _RAN, _VARIED, _SITE = 22_000, 10_000, 5_000, 6_000, 5_000
_TOLD = 600  # of one finding
_KEPT = 60  # sites of which the findings are kept at all


def markdown(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """The whole comment, at the end: the worst comes first, so all sites must have been seen."""
    rows: list[Row] = []
    worst: list[tuple[Row, list[Entry]]] = []
    new: list[Entry] = []
    ran = Ran()
    for result in results:
        ran.take(result)
        found = ranked(result)
        one = row(result, found)
        rows.append(one)
        found = [entry for entry in found if not entry.open]
        new = heapq.nsmallest(100, [*new, *(entry for entry in found if entry.baseline == "new")], key=rank)
        if found:
            worst = heapq.nsmallest(_KEPT, [*worst, (one, found)], key=lambda kept: kept[0].sort_key())
    head = [*_head(rows, view), *_ran(ran, len(rows))]
    new_ones = _new(rows, new) if view.baseline else ()
    yield _page(sorted(rows, key=Row.sort_key), worst, [*head, *new_ones])


def _text(text: str) -> str:
    """Plain text; a name after @ notifies nobody."""
    return plain(text).replace("\\@", "\\@\u200b")


def _fitting(lines: Sequence[str], room: int) -> tuple[list[str], int]:
    """As many lines from the start as fit, and how many don't."""
    for number, line in enumerate(lines):
        room -= len(line) + 1
        if room < 0:
            return list(lines[:number]), len(lines) - number
    return list(lines), 0


def _page(rows: Sequence[Row], worst: Sequence[tuple[Row, Sequence[Entry]]], head: Sequence[str]) -> str:
    lines = [*head, *_table(rows)]
    tail = ["", SELF_CHECK]
    room = MOST_CHARACTERS - sum(len(line) + 1 for line in (*lines, *tail)) - 200
    open_sites = sum(1 for one in rows if one.open or one.state != "clear")
    shown = 0
    for one, found in worst:
        block = list(_site(one, found))
        room -= sum(len(line) + 1 for line in block)
        if room < 0:
            break
        lines += block
        shown += one.open > 0 or one.state != "clear"
    if open_sites > shown:
        lines += ["", f"Open items of {counted(open_sites - shown, 'more site')} are left out here for room."]
    return "\n".join([*lines, *tail]) + "\n"


def _head(rows: Sequence[Row], view: GateView) -> Iterator[str]:
    found = counts(rows)
    yield f"## Gate: {found['clear']} of {len(rows)} sites clear"
    yield ""
    others = [f"{found[word]} {STATE_WORDS[word]}" for word in ("held", "unusable", "failed") if found[word]]
    yield _text(f"{', '.join(others).capitalize()}. {asked(view)}" if others else asked(view))


def _ran(ran: Ran, sites: int) -> Iterator[str]:
    yield ""
    lines = [f"Loosened: {words}" for words in of_sites(ran.loosened, sites)]
    packs = ", ".join(of_sites(ran.packs, sites)) or "none"
    kept, left = _fitting([f"- {_text(line)}" for line in (f"Rule packs: {packs}.", *lines)], _RAN)
    yield from kept
    if left:
        yield f"- and {counted(left, 'more thing')} that packs loosened"
    if ran.varied:
        yield ""
        yield f"### Varied: {ran.varied}"
        yield ""
        kept, _ = _fitting([f"- <code>{_text(file)}</code>: {_text(words)}" for _, file, words in ran.granted], _VARIED)
        yield from kept
        if ran.varied > len(kept):
            yield f"- and {ran.varied - len(kept)} more"


def _new(rows: Sequence[Row], new: Sequence[Entry]) -> Iterator[str]:
    total, gone = sum(one.new for one in rows), sum(one.gone for one in rows)
    yield ""
    yield f"### New since the baseline: {total}"
    yield ""
    lines, _ = _fitting([_item(entry, of_site=True) for entry in new], _NEW)
    yield from lines
    if total > len(lines):
        yield f"- and {total - len(lines)} more"
    yield f"{'- ' if total else ''}No longer open: {gone}"


def _table(rows: Sequence[Row]) -> Iterator[str]:
    points = hold_points(rows)
    varied = any(one.varied for one in rows)
    yield ""
    yield "### Sites by hold point"
    yield ""
    yield f"| site | | {''.join(f'{_text(point)} | ' for point in points)}not measured |{' varied |' if varied else ''}"
    yield f"|---|---|{'---|' * (len(points) + 1 + varied)}"
    lines = []
    for one in rows:
        cells = "".join(f" {_cell(one.at(point))} |" for point in points)
        last = f" {one.varied} |" if varied else ""
        lines.append(f"| <code>{_text(one.file)}</code> | {_state(one)} |{cells} {one.unknown} |{last}")
    kept, left = _fitting(lines, _TABLE)
    yield from kept
    if left:
        clear = sum(one.state == "clear" for one in rows[len(kept) :])
        yield ""
        left_out = f"{counted(left, 'more site')} {'is' if left == 1 else 'are'} left out here for room"
        yield f"{left_out}, {clear} of them clear."


def _state(one: Row) -> str:
    return f"**{STATE_WORDS[one.state]}**" if one.state != "clear" else STATE_WORDS["clear"]


def _cell(at: tuple[bool, int] | None) -> str:
    if at is None:
        return "–"
    released, count = at
    return "released" if released else f"held: {count}"


def _site(one: Row, found: Sequence[Entry]) -> Iterator[str]:
    items, left = _fitting([_item(entry) for entry in found], _SITE)
    yield ""
    yield f"<details><summary><code>{html.escape(visible(one.file))}</code>: {one.open} open</summary>"
    yield ""
    yield f"{_text(one.name)}. What settles each, with its cautions: `inspect-core check`."
    yield ""
    yield from items
    if left:
        yield f"- and {left} more"
    yield ""
    yield "</details>"


def _item(entry: Entry, *, of_site: bool = False) -> str:
    known = " known before," if entry.baseline == "unchanged" else ""
    place = f"{entry.file} line {entry.line}" if of_site else f"line {entry.line}"
    grave = f"{entry.severity}, " if entry.finding is not None else ""
    told = entry.text if len(entry.text) <= _TOLD else f"{entry.text[: _TOLD - 1]}…"
    words = f"{_text(told)} ({grave}{entry.rule},{known} {_text(place)})"
    return f"- {'**holds**' if entry.blocks else 'does not hold'}: {words}"
