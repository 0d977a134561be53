"""The portfolio page as a file: complete in itself, safe whatever a name holds, and of a size that opens at once.

How it looks and works in a browser: tests/browser/test_portfolio_page_in_browser.py.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.html import html

Results = tuple[SiteResult, ...]
VOID = {"meta", "input", "link", "br"}


class Page(HTMLParser):
    """Tags in order, the words of each table row, style and script; complains of tags that do not close."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.rows: list[list[str]] = []
        self.inner: dict[str, str] = {"style": "", "script": ""}
        self.words: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] in self.inner:
            self.inner[self.open[-1]] += data
        else:
            self.words.append(data)
        if "td" in self.open or "th" in self.open:
            self.rows[-1][-1] += data

    def attributes(self, name: str) -> list[str]:
        return [value for _, attributes in self.tags if (value := attributes.get(name)) is not None]


def page(results: Results | list[SiteResult] | Iterator[SiteResult], view: GateView) -> tuple[str, Page]:
    text = "".join(html(results, view))
    return text, Page(text)


def hashed(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_it_needs_nothing_else(results: Results, view: GateView) -> None:
    text, read = page(results, view)
    assert text.startswith("<!doctype html>\n")
    assert {tag for tag, _ in read.tags}.isdisjoint({"link", "img", "iframe", "object", "embed", "base", "svg"})
    assert read.attributes("src") == [] and read.attributes("style") == []
    assert [name for _, attributes in read.tags for name in attributes if name.startswith("on")] == []
    assert read.attributes("href") == ["#sites"]
    assert "://" not in text and "url(" not in text and "@import" not in text
    (policy,) = [str(a["content"]) for _, a in read.tags if a.get("http-equiv") == "Content-Security-Policy"]
    assert policy.split("; ") == [
        "default-src 'none'",
        f"style-src {hashed(read.inner['style'])}",
        f"script-src {hashed(read.inner['script'])}",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_every_site_stands_in_it(results: Results, view: GateView) -> None:
    _, read = page(results, replace(view, baseline=True))
    head = next(row for row in read.rows if row[0] == "site")
    rows = {row[0]: row for row in read.rows if len(row) == len(head) and row is not head}
    assert head[:3] == ["site", "state", "under-floor"] and head[-3:] == ["also not measured", "varied", "new"]
    assert len(rows) == len(results)
    for result in results:
        (row,) = [row for words, row in rows.items() if result.file in words]
        if result.document is None:
            assert row[2:8] == ["not known"] * 6
            continue
        cells = dict(zip(head, row, strict=True))
        for name, at in result.document["hold_points"].items():
            assert cells[name] == ("released" if at["released"] else f"{at['open']} open")
    assert "What counts: correction and graver, at every hold point; what is not measured keeps it too." in "".join(
        read.words
    )


def test_what_was_granted_is_named(by_file: dict[str, SiteResult], view: GateView) -> None:
    _, read = page([by_file["varied"]], view)
    words = "".join(read.words)
    assert "Varied findings" in words and "granted by J. Moss, building official until 2027-01-31 (letter 12)" in words


def test_totals_by_hold_point(results: Results, view: GateView) -> None:
    _, read = page(results, view)
    told = {row[0]: row[1:] for row in read.rows if len(row) == 4}
    states = [r.document["hold_points"]["under-floor"] for r in results if r.document is not None]
    released = sum(bool(at["released"]) for at in states)
    assert told["under-floor"] == [str(released), str(len(states) - released), str(sum(at["open"] for at in states))]


def test_packets_are_linked_where_they_are(results: Results, view: GateView, tmp_path: Path) -> None:
    (tmp_path / "sites").mkdir()
    (tmp_path / "sites" / "found.packet.html").write_text("x", "utf-8")
    _, read = page(results, replace(view, output=str(tmp_path / "gate.html")))
    assert read.attributes("href") == ["#sites", "sites/found.packet.html"]
    _, read = page(results, replace(view, link_packets=True))
    linked = read.attributes("href")[1:]
    assert len(linked) == sum(result.document is not None for result in results) > 1
    assert all(re.fullmatch(r"sites/[a-z]+\.packet\.html", href) for href in linked)


def test_a_thousand_sites_are_a_small_file(thousand: Callable[[int], Iterator[SiteResult]], view: GateView) -> None:
    text, read = page(thousand(1000), view)
    assert len(read.rows) > 1000
    assert len(text.encode()) < 1_000_000


def test_hostile_names_stay_text(hostile: SiteResult, by_file: dict[str, SiteResult], view: GateView) -> None:
    text, read = page([hostile], replace(view, link_packets=True, today="<b>"))
    _, plain = page([by_file["found"]], replace(view, link_packets=True))
    assert {tag for tag, _ in read.tags} - {tag for tag, _ in plain.tags} <= {"ul", "li", "section", "h2"}
    assert text.count("<script>") == 1
    assert all(character.isprintable() or character == "\n" for character in text)
    names = {name for _, attributes in read.tags for name in attributes}
    assert names <= {name for _, attributes in plain.tags for name in attributes}
    assert "alert(1)" in "".join(read.words)
    assert all(href == "#sites" or re.fullmatch(r"[\w./~%-]+", href) for href in read.attributes("href"))


def test_the_same_bytes_every_time(results: Results, view: GateView) -> None:
    assert page(results, view)[0] == page(results, view)[0]
