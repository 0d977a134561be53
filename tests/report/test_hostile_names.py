"""Names from a site file, a file's own name and a pack's texts stay text, whatever they hold: on a terminal, in a build
server's log, and in Markdown (read here by a CommonMark reader with tables, strike-through and bare links)."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from inspect_core.engine import Report
from inspect_core.planning.measure import to_measure
from inspect_core.quantities import Dimension, exactly
from inspect_core.report import FORMATS, Selection
from inspect_core.report.layout import wrapped
from inspect_core.report.measure import measure_text
from inspect_core.report.text import render_text
from inspect_core.rules_api import Caution, Check, Limit, Named, Reference, check, does_not_apply, fact, not_measured
from inspect_core.site.problems import columns, visible

HOSTILE = {
    "colour": "\x1b[31mred\x1b[0m",
    "title": "\x1b]0;owned\x07",
    "eight-bit escapes": "\x9b31m \x85 \x9d",
    "backspaces": "passes\x08\x08\x08\x08\x08\x08fails",
    "line breaks": "a\nb\r\nc\rd\u2028e\u2029f\x0bg\x0ch",
    "right to left": "meets \u202estrohs sllaf\u202c \u2066x\u2069 \u200f",
    "invisible": "a\u200bb\u00adc\ufeffd\u2060e",
    "build server": "::error::nothing",
    "build server, indented": "   ::set-output name=x::y",
    "build server, another": "##[error]x ##vso[task.complete]y ##teamcity[z]",
    "build server, after a break": "x " * 60 + "::error::y",
    "build server, cut": "y" * 78 + "::error::z",
    "html": "<script>alert(1)</script><img src=x onerror=alert(1)><!-- x -->&lt;b&gt; &copy; &#60;",
    "markdown": "**bold** _it_ `code` [link](https://e.example/x) ![i](j) ~~out~~ # one\\",
    "links": "https://e.example www.e.example me@e.example <https://e.example>",
    "heading": "# Heading",
    "list": "- [x] done",
    "numbered": "1. first",
    "quote": "> quoted",
    "table": "a | b | c\n---|---",
    "fence": "```\ncode\n```",
    "rule": "---",
    "underlined": "title\n===",
    "indented code": "     code",
    "definition": "[x]: https://e.example",
    "mentions": "@everyone #1 :tada: $x^2$ !important ==mark== x^2^ H~2~O",
    "wide": "漢字かな交じり文" * 12,
    "combining": "e\u0301" * 90,
    "long": "x" * 300,
    "empty": "",
    "blank": " ",
}


def all_over(report_of: Callable[..., Report], make_rule: Callable[..., Any], name: str) -> Report:
    """A report with the name in every place that takes one."""
    it = Named(name, ("areas", 0))
    words = Limit(name, None, name, name, "computed", words=(name, "b"))
    inch = exactly(1.0, Dimension.LENGTH)
    number = Limit(name, inch, name, name, "computed", basis=name, was=((name, inch, ()),))
    checks: list[Check] = [
        check(it, measured=name, one_of=Limit("x", None, "x", "x", "computed", words=("b",)), found=name),
        check(it, measured=None, one_of=words),
        check(
            it,
            measured=exactly(0.5, Dimension.LENGTH),
            at_least=number,
            found=name,
            assuming=[name],
            remedy=f"x {name}",
        ),
        check(it, measured=exactly(2.0, Dimension.LENGTH), at_least=number, found=name),
        fact(it, False, expected=name, found=name, severity="stop-work", remedy=f"x {name}"),
        fact(it, None, expected=name),
        fact(it, True, expected=name, found=name),
        not_measured(it, because=name or "x"),
        does_not_apply(it, name or "x"),
    ]

    def given(area: Any, limits: Any) -> Iterator[Check]:
        """What the test gave."""
        yield from checks

    def broken(area: Any, limits: Any) -> Iterator[Check]:
        """Fails, and says so in its own words."""
        raise ValueError(name)
        yield

    quoted = json.dumps("".join(c for c in name if c.isprintable() or c == "\u202e")[:60] or "x")
    text = f"format: 1\nunits: in\nsite: {{name: {quoted}}}\nareas: [{{id: {quoted}}}, {{id: b}}]\n"
    return report_of(
        text=text,
        file=name,
        rules=(make_rule(given, cautions=["c"], quantity=name, measures=["joist.bearing"]), make_rule(broken)),
        version=f"1 {name}",
        references={"floor.other": Reference("floor.other", name)},
        cautions={"c": Caution("c", name)},
    )


@pytest.fixture(params=HOSTILE.values(), ids=HOSTILE)
def hostile(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_on_a_terminal_and_in_a_log(
    report_of: Callable[..., Report], make_rule: Callable[..., Any], hostile: str
) -> None:
    report = all_over(report_of, make_rule, hostile)
    texts = [
        render_text(report, Selection(), everything=True, show_working=True),
        measure_text(report, to_measure(report)),
    ]
    for text in texts:
        lines = text.split("\n")
        assert [line for line in lines if not line.isprintable()] == []
        assert [line for line in lines if columns(line) > 80] == []
        assert [line for line in lines if line.lstrip().startswith("::") or "##" in line] == []
    # Nothing is swallowed either: what was made visible is there, wherever the line breaks.
    flat = "".join(texts[0].split())
    assert "".join(visible(hostile).split()) in flat


@pytest.mark.parametrize("hostile", [name for name in HOSTILE.values() if name != " "])  # a blank line parts paragraphs
def test_in_markdown(report_of: Callable[..., Report], make_rule: Callable[..., Any], hostile: str) -> None:
    markdown = FORMATS["markdown"](all_over(report_of, make_rule, hostile), Selection())
    tame = FORMATS["markdown"](all_over(report_of, make_rule, "tame"), Selection())
    assert [line for line in markdown.split("\n") if not line.isprintable()] == []
    assert [line for line in markdown.split("\n") if line.lstrip().startswith("::") or "##[" in line] == []
    # The name changes no structure: the same blocks, the same marks within them, with other words.
    assert shape(read(markdown)) == shape(read(tame))
    said = " ".join(token.content for token in leaves(read(markdown)) if token.type == "text")
    assert "".join(visible(hostile).split()) in "".join(said.split())


def read(markdown: str) -> list[Token]:
    reader = MarkdownIt("commonmark", {"linkify": False, "html": True}).enable(["table", "strikethrough"])
    return reader.parse(markdown)


def leaves(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield from leaves(token.children) if token.children is not None else [token]


def shape(tokens: list[Token]) -> list[tuple[str, str]]:
    """Kind and tag of everything but plain text (of which there may be more or less)."""
    return [(token.type, token.tag) for token in leaves(tokens) if token.type not in ("text", "text_special")]


def test_json_holds_the_names_as_they_are(
    report_of: Callable[..., Report], make_rule: Callable[..., Any], hostile: str
) -> None:
    data = json.loads(FORMATS["json"](all_over(report_of, make_rule, hostile), Selection()))
    subjects = {f["subject"] for f in data["findings"] if f["rule"] != "rule-failed"}
    areas = {a.removeprefix(f"{hostile} in ") for a in subjects}
    assert data["site"]["file"] == hostile
    assert (len(subjects), len(areas), "b" in areas) == (2, 2, True)


# --- laying out lines ---


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", []),
        (" ", []),
        ("a", ["  a"]),
        ("a  b", ["  a  b"]),
        ("a\nb", ["  a␊b"]),
        ("x" * 78, ["  " + "x" * 78]),
        ("x" * 79, ["  " + "x" * 78, " x"]),
        ("x" * 78 + " y", ["  " + "x" * 78, " y"]),
        ("x" * 40 + " " + "y" * 40, ["  " + "x" * 40, " " + "y" * 40]),
        ("漢" * 39, ["  " + "漢" * 39]),
        ("漢" * 40, ["  " + "漢" * 39, " 漢"]),
        ("x" + "漢" * 39, ["  x" + "漢" * 38, " 漢"]),
        ("x" * 200, ["  " + "x" * 78, " " + "x" * 79, " " + "x" * 43]),
    ],
)
def test_lines_of_80_columns(text: str, lines: list[str]) -> None:
    assert wrapped(text, "  ", " ") == lines
