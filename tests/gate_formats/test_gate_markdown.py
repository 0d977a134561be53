"""The merge request comment, read by a CommonMark reader with tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.markdown import MOST_CHARACTERS, markdown

Results = tuple[SiteResult, ...]


def tokens(text: str) -> list[Token]:
    return MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(text)


def words(token: Token) -> str:
    """What a reader sees of it."""
    return "".join(child.content for child in token.children or () if child.type in ("text", "code_inline"))


def table(text: str) -> list[list[str]]:
    """The cells of the only table."""
    rows: list[list[str]] = []
    inside = False
    for token in tokens(text):
        if token.type == "tr_open":
            rows.append([])
        inside = token.type in ("th_open", "td_open") or (inside and token.type not in ("th_close", "td_close"))
        if inside and token.type == "inline":
            rows[-1].append(words(token))
    return rows


def test_the_table_has_every_site_the_worst_first(results: Results, view: GateView) -> None:
    head, *rows = table("".join(markdown(results, view)))
    assert head[0] == "site" and head[2:4] == ["under-floor", "rough-plumbing"] and head[-1] == "varied"
    assert sorted(row[0] for row in rows) == [result.file for result in results]
    states = [row[1] for row in rows]
    assert states == ["failed"] * 3 + ["can't be used"] + ["held"] * 3 + ["clear"]
    by_file = {row[0]: row for row in rows}
    for result in results:
        row = by_file[result.file]
        if result.document is None:
            assert row[2:8] == ["–"] * 6  # not known is never released
            continue
        points = result.document["hold_points"]
        cells = dict(zip(head, row, strict=True))
        for name, at in points.items():
            assert cells[name] == ("released" if at["released"] else f"held: {at['open']}")
    assert by_file["sites/varied.site.yaml"][-1] == "1"


def test_what_is_open_folds_away_under_each_site(by_file: dict[str, SiteResult], view: GateView) -> None:
    result = by_file["found"]
    assert result.document is not None
    text = "".join(markdown([result], view))
    assert f"<details><summary><code>sites/found.site.yaml</code>: {result.open} open</summary>" in text
    assert text.count("<details>") == text.count("</details>") == 1
    items = [words(token) for token in tokens(text) if token.type == "inline" and " line " in words(token)]
    shown = text.partition("more</")[0].count("\n- **holds**")
    left = result.open - shown
    assert shown > 10 and (left == 0 or "\n- and " in text)
    assert (
        items[0].startswith("holds: joist J7, north end on B1: ") and "(stop-work, joist-end-carried, line " in items[0]
    )


def test_what_was_granted_is_named(by_file: dict[str, SiteResult], view: GateView) -> None:
    text = "".join(markdown([by_file["varied"]], view))
    assert "### Varied: 1\n\n- <code>sites/varied\\.site\\.yaml</code>: Varied\\: " in text
    assert "granted by J\\. Moss, building official until 2027\\-01\\-31 \\(letter 12\\)\\: shown sound" in text


def test_new_against_a_baseline(by_file: dict[str, SiteResult], view: GateView) -> None:
    result = by_file["known"]
    assert result.document is not None
    new = sum(finding.get("baseline") == "new" for finding in result.document["findings"])
    text = "".join(markdown([result], replace(view, baseline=True)))
    assert f"### New since the baseline: {new}\n" in text and new > 10
    assert "No longer open: 1\n" in text
    assert "since the baseline" not in "".join(markdown([result], view))


def test_a_thousand_sites_fit_a_comment(thousand: Callable[[int], Iterator[SiteResult]], view: GateView) -> None:
    text = "".join(markdown(thousand(1000), view))
    assert 30_000 < len(text) <= MOST_CHARACTERS
    assert text.startswith("## Gate: 250 of 1000 sites clear\n")
    shown = len(table(text)) - 1
    assert f"{1000 - shown} more sites are left out here for room, 250 of them clear." in text
    opened = text.count("<details>")
    assert f"Open items of {750 - opened} more sites are left out here for room." in text
    assert opened >= 3 and text.endswith("licensed practice come first.\n")


def test_a_text_that_is_cut_says_so(judge: Any, view: GateView) -> None:
    def long(document: dict[str, Any]) -> None:
        told = {"outcome": "falls-short", "severity": "correction", "subject": "it", "message": 650 * "x"}
        document["findings"][0] |= told

    text = "".join(markdown([judge("clear", "a.site.yaml", long)], view))
    assert f"it\\: {595 * 'x'}… (correction, " in text


def test_no_sites(view: GateView) -> None:
    assert "".join(markdown([], view)).startswith("## Gate: 0 of 0 sites clear\n")


def test_hostile_names_stay_text(hostile: SiteResult, view: GateView) -> None:
    text = "".join(markdown([hostile], replace(view, baseline=True)))
    ours = {"<code>", "</code>"}
    for token in tokens(text):
        if token.type == "html_block":
            assert token.content.startswith(("<details><summary><code>sites/a b#c?d,e: :f", "</details>"))
            assert "<script" not in token.content and "<i>" not in token.content
        for child in token.children or ():
            assert child.type in ("text", "strong_open", "strong_close", "code_inline", "html_inline", "softbreak"), (
                child
            )
            if child.type == "html_inline":
                assert child.content in ours
            if child.type == "text":
                assert "@everyone" not in child.content and "@all" not in child.content  # nobody is called
    assert all(character.isprintable() or character in "\n\u200b" for character in text)
    assert not any(line.startswith(("/", "::")) for line in text.splitlines())
