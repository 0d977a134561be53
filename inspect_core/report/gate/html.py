"""The whole portfolio as one page that needs nothing else: no network, no font, and no script to be read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import asked, uri
from inspect_core.report.gate.ran import Ran, of_sites
from inspect_core.report.gate.rows import STATE_WORDS, Row, counts, hold_points, ranked, row
from inspect_core.report.page import own_file, policy, template
from inspect_core.site.problems import visible

_MOST_WORDS = 160


def html(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """One page, at the end: its totals and the worst site come first."""
    rows, ran = [], Ran()
    for result in results:
        rows.append(row(result, ranked(result)))
        ran.take(result)
    rows.sort(key=Row.sort_key)
    yield from template("portfolio.html.j2").generate(_page(rows, ran, view))


def _page(rows: Sequence[Row], ran: Ran, view: GateView) -> dict[str, Any]:
    from markupsafe import Markup

    style, script = own_file("portfolio.css"), own_file("portfolio.js")
    points, found = hold_points(rows), counts(rows)
    packets = {one.file: _packet(one.file, view) if one.points else "" for one in rows}
    return {
        "title": f"Gate: {found['clear']} of {len(rows)} sites clear",
        "policy": policy([style], [script]),
        "style": Markup(style),
        "script": Markup(script),
        "asked": asked(view),
        "today": visible(view.today),
        "states": [(state, STATE_WORDS[state], count) for state, count in found.items()],
        "points": [_total(point, rows) for point in points],
        "baseline": view.baseline,
        "new": sum(one.new for one in rows),
        "gone": sum(one.gone for one in rows),
        "varied": any(one.varied for one in rows),
        "packets": any(packets.values()),
        "granted": [(visible(file), words) for _, file, words in ran.granted],
        "granted_more": ran.varied - len(ran.granted),
        "loosened": [visible(words) for words in of_sites(ran.loosened, len(rows))],
        "packs": visible(", ".join(of_sites(ran.packs, len(rows))) or "none"),
        "rows": (_cells(one, points, packets[one.file]) for one in rows),
    }


def _total(point: str, rows: Sequence[Row]) -> tuple[str, int, int, int]:
    """A hold point, how many sites have released it, how many hold it, and the open findings."""
    here = [at for one in rows if (at := one.at(point)) is not None]
    released = sum(1 for done, _ in here if done)
    return visible(point), released, len(here) - released, sum(count for _, count in here)


def _cells(one: Row, points: Sequence[str], packet: str) -> Mapping[str, Any]:
    worst = one.worst if len(one.worst) <= _MOST_WORDS else f"{one.worst[: _MOST_WORDS - 1]}…"
    return {
        "state": one.state,
        "word": STATE_WORDS[one.state],
        "name": one.name,
        "file": "" if one.name == visible(one.file) else visible(one.file),
        "worst": worst,
        "cells": [(visible(point), *_cell(one.at(point))) for point in points],
        "unknown": one.unknown,
        "varied": one.varied,
        "new": one.new,
        "packet": packet,
    }


def _cell(at: tuple[bool, int] | None) -> tuple[str, str]:
    """Class and words."""
    if at is None:
        return "n", "not known"
    released, count = at
    return ("r", "released") if released else ("h", f"{count} open")


def _packet(file: str, view: GateView) -> str:
    """Where the site's packet is, seen from the page: beside it under the site's own path. "" where there is none."""
    if file.startswith("/") or ":" in file.partition("/")[0]:
        return ""
    name = f"{file.removesuffix('.yaml').removesuffix('.site')}.packet.html"
    if view.link_packets or (view.output and (Path(view.output).parent / name).is_file()):
        return uri(name)
    return ""
