"""The reader: what it accepts, and each refusal with its exact place."""

from __future__ import annotations

import json
import os
import pickle
import re
import stat
import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_core.site import problems as problems_module
from inspect_core.site import reader
from inspect_core.site.problems import InputError, Problem, visible
from inspect_core.site.reader import Document, Mark, read_file, read_text


def read(text: str | bytes) -> Any:
    return read_text(text, "f.yaml").data


def refused(text: str | bytes) -> list[Problem]:
    with pytest.raises(InputError) as caught:
        read_text(text, "f.yaml")
    assert caught.value.omitted == 0
    return list(caught.value.problems)


def places(text: str | bytes) -> list[tuple[str, int, int]]:
    return [(problem.code, problem.line, problem.column) for problem in refused(text)]


@pytest.fixture(params=["libyaml", "pure Python"])
def parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both parsers: the C one, and the fallback where the wheel was built without it."""
    if request.param == "libyaml":
        assert reader.WITH_LIBYAML, "these tests want a PyYAML with libyaml"
    else:
        monkeypatch.setattr(reader, "WITH_LIBYAML", False)
    return str(request.param)


# --- values ---


@pytest.mark.parametrize(
    ("text", "value"),
    [
        # YAML 1.2.2, section 10.3.2, core schema: null, booleans, integers, floats
        ("", None), ("~", None), ("null", None), ("Null", None), ("NULL", None),
        ("true", True), ("True", True), ("TRUE", True), ("false", False), ("False", False), ("FALSE", False),
        ("0", 0), ("16", 16), ("-19", -19), ("+12", 12), ("-0", 0),
        ("0.5", 0.5), (".5", 0.5), ("16.", 16.0), ("-2.25", -2.25), ("1e3", 1000.0), ("12e03", 12000.0),
        ("+1.5E-2", 0.015), ("1" * 30, int("1" * 30)),
        # words that YAML 1.1 takes for booleans, times, dates or grouped digits are text
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("Off", "Off"), ("y", "y"), ("N", "N"), ("tRUE", "tRUE"),
        ("nULL", "nULL"), ("1:30", "1:30"), ("2024-01-01", "2024-01-01"), ("1_000", "1_000"), ("1,5", "1,5"),
        ("=", "="), ("<<", "<<"),
        # leading zeros and other bases: programs disagree about the value, so it stays text (our decision)
        ("010", "010"), ("08", "08"), ("-01", "-01"), ("00.5", "00.5"), ("0x1F", "0x1F"), ("0o17", "0o17"),
        # not numbers at all
        ("+", "+"), ("-.", "-."), (".", "."), ("..", ".."), ("1e", "1e"), ("e3", "e3"), (".e3", ".e3"),
        ("1.2.3", "1.2.3"), ("inf", "inf"), ("nan", "nan"), ("+.nan", "+.nan"), ("-.nan", "-.nan"),
        ("١٦", "١٦"), ("16²", "16²"),  # digits of other scripts
        # lengths as people write them
        ("15 7/8", "15 7/8"), ('15-7/8"', '15-7/8"'), ("8' 2-1/2\"", "8' 2-1/2\""), ("2 ft 3 in", "2 ft 3 in"),
        ("400 mm", "400 mm"), ("~16", "~16"), ("15 1/2 .. 16 1/4", "15 1/2 .. 16 1/4"), ("24oc", "24oc"),
        ("9' 4\" x 7' 10\"", "9' 4\" x 7' 10\""),
        # quoted: always text
        ('"16"', "16"), ("'16'", "16"), ('"true"', "true"), ("'null'", "null"), ("''", ""), ('"~"', "~"),
        ('"#2"', "#2"), ("'it''s'", "it's"), ('"a\\tb\\u00e9"', "a\tbé"), ("No.2#x", "No.2#x"),
    ],
)  # fmt: skip
def test_scalars_follow_the_core_schema(parser: str, text: str, value: Any) -> None:
    data = read(f"- {text}\n- end\n")
    assert data == [value, "end"]
    assert type(data[0]) is type(value)
    assert read(f"key: {text}\n") == {"key": value}


def test_block_and_flow_collections(parser: str) -> None:
    text = """\
# a comment
a: [1, two, {b: 3, c: []}, []]
"d": {}
e:
- x
-
  - y
  - z: |
      line 1
      # not a comment
    w: >-
      folded
      text
f: ['[', "}"]
"""
    assert read(text) == {
        "a": [1, "two", {"b": 3, "c": []}, []],
        "d": {},
        "e": ["x", ["y", {"z": "line 1\n# not a comment\n", "w": "folded text"}]],
        "f": ["[", "}"],
    }


@pytest.mark.parametrize("text", ["a: 1", "---\na: 1\n", "--- {a: 1}\n...\n", "%YAML 1.2\n---\na: 1\n", '{"a": 1}'])
def test_one_document_with_or_without_markers(parser: str, text: str) -> None:
    assert read(text) == {"a": 1}


def test_a_scalar_or_a_list_can_be_the_whole_file(parser: str) -> None:
    assert read("- 1\n- 2\n") == [1, 2]
    assert read("just text\n") == "just text"
    assert read_text("just text\n", "f").where(("a", 0)) == Mark(1, 1)


@pytest.mark.parametrize("key", ["1", "1.0", "01", "true", "no", "null", "~", "2024-01-01", "J4"])
def test_keys_are_kept_as_written(parser: str, key: str) -> None:
    # Our decision: a key is the text that was written, so 1 and "1" are one key, and 01 is another.
    assert read(f"{key}: x\n") == {key: "x"}
    assert read(f"{{'{key}': x}}\n") == {key: "x"}
    assert places(f"{key}: x\n'{key}': y\n") == [("duplicate-key", 2, 1)]


def test_the_same_value_may_stand_under_many_keys(parser: str) -> None:
    assert read("a: {x: 1}\nb: {x: 1}\nc: [{x: 1}, {x: 1}]\n") == {"a": {"x": 1}, "b": {"x": 1}, "c": [{"x": 1}] * 2}


# --- places ---

PLACED = "a: 1\n\nb:\n  - x\n  - {c: 2, d: [3, 4]}\né: ü\n"


def test_every_key_and_value_has_its_place(parser: str) -> None:
    document = read_text(PLACED, "f.yaml")
    assert document.file == "f.yaml"
    assert document.keys == {
        ("a",): Mark(1, 1),
        ("b",): Mark(3, 1),
        ("b", 1, "c"): Mark(5, 6),
        ("b", 1, "d"): Mark(5, 12),
        ("é",): Mark(6, 1),
    }
    assert document.values == {
        (): Mark(1, 1),
        ("a",): Mark(1, 4),
        ("b",): Mark(4, 3),
        ("b", 0): Mark(4, 5),
        ("b", 1): Mark(5, 5),
        ("b", 1, "c"): Mark(5, 9),
        ("b", 1, "d"): Mark(5, 15),
        ("b", 1, "d", 0): Mark(5, 16),
        ("b", 1, "d", 1): Mark(5, 19),
        ("é",): Mark(6, 4),
    }


def test_where_gives_the_key_or_the_nearest_thing_around() -> None:
    document = read_text(PLACED, "f.yaml")
    assert document.where(("b", 1, "d")) == Mark(5, 12)
    assert document.where(("b", 1, "d", 1)) == Mark(5, 19)  # an entry of a list has no key
    assert document.where(("b", 1, "missing", "more")) == Mark(5, 5)
    assert document.where(("b", 7)) == Mark(3, 1)
    assert document.where(("a", "x")) == Mark(1, 1)
    assert document.where(()) == Mark(1, 1)
    assert document.where_value(("b", 1, "d")) == Mark(5, 15)
    assert document.where_value(("b", "x")) == Mark(4, 3)
    assert document.nearest(("b", 1, "missing", "more")) == ("b", 1)
    assert document.nearest(("x",)) == ()
    assert [document.line(n) for n in (0, 1, 5, 6, 7, 99)] == ["", "a: 1", "  - {c: 2, d: [3, 4]}", "é: ü", "", ""]


def test_a_document_made_of_plain_data_has_no_places() -> None:
    document = Document("made.yaml", {"a": [1]})
    assert document.where(("a", 0)) == Mark(1, 1)
    assert document.keys == document.values == {}
    assert document.line(1) == ""


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("encoded", [False, True])
def test_line_ends_byte_order_mark_and_wide_letters(parser: str, end: str, start: str, encoded: bool) -> None:
    lines = ["名: é", "𝒳🏚: {ü: 'é', 日本: b}", "ö: #2", "a: 1", "a: 2"]
    text = start + end.join(lines) + end
    found = refused(text.encode() if encoded else text)
    assert [(p.code, p.line, p.column, p.path, p.source_line) for p in found] == [
        ("comment-swallowed", 3, 4, ("ö",), "ö: #2"),
        ("duplicate-key", 5, 1, ("a",), "a: 2"),
    ]
    document = read_text(start + end.join(lines[:2]), "f.yaml")
    assert document.where(("𝒳🏚", "日本")) == Mark(2, 14)
    assert document.where_value(("𝒳🏚", "日本")) == Mark(2, 18)
    assert document.where(("名",)) == Mark(1, 1)
    assert document.line(2) == lines[1]


# --- refusals: structure ---


def test_duplicate_keys_name_both_places(parser: str) -> None:
    text = "a: 1\nb: {x: 1, y: 2, x: 3}\n'a': 4\nb: {}\n"
    found = refused(text)
    assert [(p.code, p.line, p.column, p.path) for p in found] == [
        ("duplicate-key", 2, 17, ("b", "x")),
        ("duplicate-key", 3, 1, ("a",)),
        ("duplicate-key", 4, 1, ("b",)),
    ]
    assert found[0].message == "the key 'x' stands here again; it is already on line 2, column 5"
    assert found[1].message == "the key 'a' stands here again; it is already on line 1"
    assert "line 2" in found[2].message


def test_aliases_and_anchors(parser: str) -> None:
    text = "a: &one 1\nb: *one\nc: [*one, &two [x]]\n&k d: {e: &m {}}\n*one : 3\n"
    assert [(p.code, p.line, p.column, p.path) for p in refused(text)] == [
        ("anchor", 1, 4, ("a",)),
        ("alias", 2, 4, ("b",)),
        ("alias", 3, 5, ("c", 0)),
        ("anchor", 3, 11, ("c", 1)),
        ("anchor", 4, 1, ()),
        ("anchor", 4, 11, ("d", "e")),
        ("alias", 5, 1, ()),
    ]


def test_a_list_that_holds_itself(parser: str) -> None:
    assert places("&a [*a]\n") == [("anchor", 1, 1), ("alias", 1, 5)]


@pytest.mark.parametrize("tag", ["!!str", "!!set", "!!python/object/apply:os.system", "!mine", "!", "!<tag:x,1:y>"])
def test_tags(parser: str, tag: str) -> None:
    found = refused(f"a: {tag} {{b: 1}}\nb:\n  - {tag} x\n")
    assert [(p.code, p.line, p.column, p.path) for p in found] == [("tag", 1, 4, ("a",)), ("tag", 3, 5, ("b", 0))]
    shown = tag[2:-1] if tag.startswith("!<") else tag
    assert f"'{shown}' is a YAML tag" in found[0].message


def test_an_anchor_and_a_tag_on_one_value(parser: str) -> None:
    assert places("a: &x !y z\n") == [("anchor", 1, 4), ("tag", 1, 4)]


def test_merge_keys(parser: str) -> None:
    assert places("a:\n  <<: {b: 1}\n") == [("merge-key", 2, 3)]


def test_keys_that_are_no_words(parser: str) -> None:
    text = "? [a, b]\n: 1\n? {c: d}\n: {e: 2}\n'': 3\nf: {{g}}\n? [h]\n: [3]\n? - i\n"
    assert [(p.code, p.line, p.column, p.path) for p in refused(text)] == [
        ("complex-key", 1, 3, ()),
        ("complex-key", 3, 3, ()),
        ("empty-key", 5, 1, ()),
        ("complex-key", 6, 5, ("f",)),
        ("complex-key", 7, 3, ()),
        ("complex-key", 9, 3, ()),
    ]


def test_a_missing_key(parser: str) -> None:
    assert places(": 1\n") == [("empty-key", 1, 1)]


@pytest.mark.parametrize("text", [".inf", "-.inf", "+.INF", ".nan", ".NaN", "1e999", "-1e400"])
def test_numbers_that_are_none(parser: str, text: str) -> None:
    found = refused(f"a: [1, {text}]\n")
    assert [(p.code, p.line, p.column, p.path) for p in found] == [("not-finite", 1, 8, ("a", 1))]


def test_numbers_of_too_many_digits(parser: str) -> None:
    text = f"a: {'9' * 31}\nb: -{'9' * 30}\nc: +{'9' * 31}\nd: {'7' * 5000}\n"
    found = refused(text)
    assert [(p.code, p.line, p.column) for p in found] == [
        ("number-too-long", 1, 4),
        ("number-too-long", 3, 4),
        ("number-too-long", 4, 4),
    ]
    assert found[2].message == "this number has 5000 digits"


def test_several_documents(parser: str) -> None:
    assert places("a: 1\n---\nb: 2\nb: 3\n") == [("several-documents", 2, 1)]
    assert places("a: 1\n...\nb: 2\n") == [("several-documents", 3, 1)]


@pytest.mark.parametrize("text", ["", "\n\n", "# only a comment\n", "---\n", "---\n---\n"[:4], "null\n", "\ufeff", "~"])
def test_an_empty_file(parser: str, text: str) -> None:
    assert [(p.code, p.line, p.column, p.source_line) for p in refused(text)] == [("empty-file", 0, 0, "")]


def test_depth(parser: str) -> None:
    deepest = reader.DEEPEST
    value = read("[" * deepest + "]" * deepest)
    for _ in range(deepest - 1):
        (value,) = value
    assert value == []
    found = refused("a: " + "[" * deepest + "]" * deepest)
    assert [(p.code, p.line, p.column, p.path) for p in found] == [
        ("too-deep", 1, 3 + deepest, ("a",) + (0,) * (deepest - 1))
    ]
    assert places("- " * deepest + "x: 1") == [("too-deep", 1, 2 * deepest + 1)]


def test_number_of_nodes(monkeypatch: pytest.MonkeyPatch, parser: str) -> None:
    monkeypatch.setattr(reader, "MOST_NODES", 6)
    assert read("[1, 2, 3, 4, 5]") == [1, 2, 3, 4, 5]
    assert read("a: {b: c}\n") == {"a": {"b": "c"}}
    assert places("[1, 2, 3, 4, 5,\n 6]") == [("too-many-nodes", 2, 2)]
    assert places("a: 1\nb: 2\nc: x\n") == [("too-many-nodes", 3, 4)]
    assert places("a: 1\nb: 2\nc: [\n]") == [("too-many-nodes", 3, 4)]
    assert places("a: 1\nb: 2\nc: *x\n") == [("too-many-nodes", 3, 4)]


# --- refusals: characters ---


@pytest.mark.parametrize(
    "character",
    list("\0\x01\x07\x0b\x0c\x1b\x7f\x80\x85\x9b\u2028\u2029\ufeff\ud800\uffff"),
)
def test_invisible_control_characters(parser: str, character: str) -> None:
    found = refused(f"first: line of a file\nsecond: é{character}x {character}\nthird: 3\nthird: 4\n")
    assert [(p.code, p.line, p.column) for p in found] == [
        ("control-character", 2, 10),
        ("control-character", 2, 13),
        ("duplicate-key", 4, 1),
    ]
    assert f"U+{ord(character):04X}" in found[0].message
    assert character not in found[0].render()


def test_control_characters_made_by_an_escape(parser: str) -> None:
    text = 'a: "x\\e[31m"\n"b\\0": 1\nc: "\\x7f"\nd: "tab\\tand\\nline"\n'
    assert [(p.code, p.line, p.column, p.path) for p in refused(text)] == [
        ("control-character", 1, 4, ("a",)),
        ("control-character", 2, 1, ()),
        ("control-character", 3, 4, ("c",)),
    ]


@pytest.mark.parametrize(
    ("data", "code", "line", "column"),
    [
        (b"a: 1\nb: 8\xbd\n", "not-utf-8", 2, 5),  # 8½ in a Western code page
        ("é: ü".encode() + b"\xff", "not-utf-8", 1, 5),
        (b"\xef\xbb\xbfa\xff", "not-utf-8", 1, 2),
        (b"a: 1\r\nb: 2\rc: \xe9t\xe9\n", "not-utf-8", 3, 4),
        (b"a: 1\n\xc3", "not-utf-8", 2, 1),
        ("a: 1\n".encode("utf-16"), "not-utf-8", 0, 0),
        ("a: 1\n".encode("utf-16-be"), "binary", 0, 0),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary", 0, 0),
        (bytes(1000), "binary", 0, 0),
    ],
)
def test_what_is_no_text(parser: str, data: bytes, code: str, line: int, column: int) -> None:
    assert places(data) == [(code, line, column)]


def test_the_line_of_a_wrong_byte_is_shown() -> None:
    (found,) = refused(b"a: 1\nb: 8\xbd in\n")
    assert found.source_line == "b: 8\ufffd in"
    assert "0xBD" in found.message


# --- refusals: syntax, in words ---

SYNTAX = [
    # (text, code, line, column, example)
    ("a:\n\tb: 1\n", "tab", 2, 1, ""),
    ("a: b\n\tc: d\n", "tab", 2, 1, ""),
    ("a:\n  \tb: 1\n", "tab", 2, 3, ""),
    ("\ta: 1\n", "tab", 1, 1, ""),
    ("length: '8' 2\n", "text-after-quotes", 1, 9, "length: \"'8' 2\""),
    ('a: "24oc" ply\n', "text-after-quotes", 1, 4, "a: '\"24oc\" ply'"),
    ("a: 'it's'  # so\n", "text-after-quotes", 1, 4, 'a: "it\'s"'),
    ("a: '8 2\nb: it's 5\n", "text-after-quotes", 1, 4, ""),
    ("a: ['8' 2, 3]\n", "text-after-quotes", 1, 5, "a: [\"'8' 2\", 3]"),
    ("a: '8 2\nb: 1\n", "unclosed-quote", 1, 4, 'a: "\'8 2"'),
    ('a: 1\nb: "8 2\nc: 1\n', "unclosed-quote", 2, 4, "b: '\"8 2'"),
    ("who: @home\n", "reserved-character", 1, 6, 'who: "@home"'),
    ("a: 'x'\nb: @y\n", "reserved-character", 2, 4, 'b: "@y"'),
    ("a: [1, @x, 2]\n", "reserved-character", 1, 8, 'a: [1, "@x", 2]'),
    ("moisture: %12\n", "reserved-character", 1, 11, 'moisture: "%12"'),
    ("a: `x`\n", "reserved-character", 1, 4, 'a: "`x`"'),
    ("a: ]\n", "reserved-character", 1, 4, 'a: "]"'),
    ("a: , b\n", "reserved-character", 1, 4, 'a: ", b"'),
    ("a: ? x\n", "reserved-character", 1, 4, 'a: "? x"'),
    ("note: *important* thing\n", "alias", 1, 7, 'note: "*important* thing"'),
    ("note: *important thing\n", "alias", 1, 7, 'note: "*important thing"'),
    ("a: & b\n", "anchor", 1, 4, 'a: "& b"'),
    ("a: !x!y b\n", "tag", 1, 4, 'a: "!x!y b"'),
    ("a: b: c\n", "colon", 1, 5, ""),
    ("note: left: rotten, right: sound\n", "colon", 1, 11, ""),
    ("a: 1\n  b: 2\n", "indentation", 2, 3, ""),
    ("a:\n  b: 1\n c: 2\n", "indentation", 3, 2, ""),
    ("a:\n  - 1\n - 2\n", "indentation", 3, 2, ""),
    ("- 1\na: 2\n", "indentation", 2, 1, ""),
    ("a\nb: 1\n", "missing-colon", 1, 1, ""),
    ("a: 1\nb\nc: 2\n", "missing-colon", 2, 1, ""),
    ("a: 1\nb:2\n", "missing-colon", 2, 1, ""),
    ("a: - 1\n", "list-on-key-line", 1, 4, ""),
    ("a: [1, 2\nb: 3\n", "unclosed-bracket", 2, 2, ""),
    ("a: [1, 2\n\n\nb: 3\n", "unclosed-bracket", 1, 4, ""),
    ("a: {b: 1 c: 2}\n", "unclosed-bracket", 1, 11, ""),
    ("a: {b: 1,\n", "unclosed-bracket", 1, 4, ""),
    ("- {a: [1, {b: 2}\n", "unclosed-bracket", 1, 7, ""),
    ("[1, 2\n", "unclosed-bracket", 1, 1, ""),
    ("a: 1\n: 2\n", "empty-key", 2, 1, ""),
    ("a: {x: 1, : 2}\n", "empty-key", 1, 11, ""),
    ("a: |x\n", "block-text", 1, 4, 'a: "|x"'),
    ('a: "C:\\work"\n', "escape", 1, 7, ""),
    ('a: "\\u12"\n', "escape", 1, 7, ""),
    ("%YAML 2.0\n---\na: 1\n", "directive", 1, 1, ""),
    ("a: {grade: #2,\n  b: 1}\n", "comment-swallowed", 1, 12, 'a: {grade: "#2",'),
    ("a: {grade: #2}\nb: 1\n", "comment-swallowed", 1, 12, 'a: {grade: "#2"}'),
    ("a: [1,#2]\n", "comment-swallowed", 1, 7, 'a: [1,"#2"]'),
]


@pytest.mark.parametrize(("text", "code", "line", "column", "example"), SYNTAX)
def test_syntax_errors_in_plain_words(text: str, code: str, line: int, column: int, example: str) -> None:
    (found,) = refused(text)
    assert (found.code, found.line, found.column, found.example) == (code, line, column, example)
    assert found.source_line == text.split("\n")[line - 1]
    assert found.message and found.expected
    if example:  # what is offered must be right, as far as it is a whole line
        fixed = "\n".join([*text.split("\n")[: line - 1], example, *text.split("\n")[line:]])
        assert read(fixed)


@pytest.mark.parametrize(("text", "code", "line", "column", "example"), SYNTAX)
def test_the_pure_parser_refuses_the_same(
    monkeypatch: pytest.MonkeyPatch, text: str, code: str, line: int, column: int, example: str
) -> None:
    monkeypatch.setattr(reader, "WITH_LIBYAML", False)
    found = refused(text)
    assert [(problem.code, problem.line) for problem in found] == [(code, line)]


def test_more_than_one_thing_wrong_in_brackets() -> None:
    assert places("a: [#1, #2]\n") == [("comment-swallowed", 1, 5)]
    assert places("a: [#2,\n  1,\n\n\n\n  3\n") == [("comment-swallowed", 1, 5)]
    assert places("? [a]\n: {c\n") == [("complex-key", 1, 3), ("unclosed-bracket", 2, 3)]
    assert places("? [[a\n") == [("complex-key", 1, 3), ("unclosed-bracket", 1, 4)]
    assert places("? [a, }\n") == [("complex-key", 1, 3), ("unclosed-bracket", 1, 7)]


def test_a_tab_between_key_and_value() -> None:
    assert read("a:\t1\tb\n") == {"a": "1\tb"}
    assert places("grade:\t#2\n") == [("comment-swallowed", 1, 8)]


def test_the_pure_parser_minds_tabs_anywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "WITH_LIBYAML", False)
    assert places("a:\t1\n") == [("tab", 1, 3)]


def test_all_lines_with_tabs_are_named() -> None:
    (found,) = refused("a:\n\tb: 1\n\tc: 2\nd:\n  \te: 1\n")
    assert "lines 3, 5" in found.expected
    (found,) = refused("a:\n\tb: 1\n \tc: 2\n")
    assert found.expected.endswith("line 3")
    (found,) = refused("a:\n" + "\tb: 1\n" * 20)
    assert found.expected.endswith("lines 3, 4, 5, 6, 7, 8, 9, 10 and 11 more")


def test_problems_before_a_syntax_error_are_kept() -> None:
    text = "a: 1\na: *x\ngrade: #2\nb: [1,\n  2\nc: }\nd: .nan\n"
    assert places(text) == [
        ("duplicate-key", 2, 1),
        ("alias", 2, 4),
        ("comment-swallowed", 3, 8),
        ("unclosed-bracket", 4, 4),
    ]


def test_an_error_that_is_not_known_keeps_the_parsers_words() -> None:
    document = reader._Loader("f.yaml", "a: 1\n")
    document._syntax(yaml.YAMLError("something else"))
    assert [(p.code, p.line, p.column, p.message) for p in document.problems] == [
        ("not-yaml", 1, 1, "this is not valid YAML: something else")
    ]


# --- a value taken for a comment ---


@pytest.mark.parametrize(
    ("text", "line", "column", "path", "example"),
    [
        ("grade: #2\nspecies: x\n", 1, 8, ("grade",), 'grade: "#2"'),
        ("grade:   #2   # by stamp\n", 1, 10, ("grade",), 'grade:   "#2"'),
        ("'grade' : #2 and better\n", 1, 11, ("grade",), "'grade' : \"#2 and better\""),
        ("a:\n  - #2\n  - 3\n", 2, 5, ("a", 0), '- "#2"'),
        ("a:\n  - b: #2\n", 2, 8, ("a", 0, "b"), '- b: "#2"'),
        ("a: {grade: #2\n  }\n", 1, 12, ("a", "grade"), 'a: {grade: "#2"'),
        ("todo: #TODO\n", 1, 7, ("todo",), 'todo: "#TODO"'),
        ('quote: #"2"\n', 1, 8, ("quote",), "quote: '#\"2\"'"),
    ],
)
def test_a_value_that_yaml_takes_for_a_comment(
    parser: str, text: str, line: int, column: int, path: tuple[str | int, ...], example: str
) -> None:
    (found,) = refused(text)
    assert (found.code, found.line, found.column, found.path) == ("comment-swallowed", line, column, path)
    assert found.example == example
    assert "for a comment, so the value is empty" in found.message


@pytest.mark.parametrize(
    ("text", "data"),
    [
        ("key:   # comment\n", {"key": None}),
        ("key: #\n", {"key": None}),
        ("key: ## banner ##\n", {"key": None}),
        ("key:\n#2\n", {"key": None}),  # on a line of its own it is a comment
        ("key: 16 #2\n", {"key": 16}),
        ("key: ~ #2\n", {"key": None}),
        ("key: '' #2\n", {"key": ""}),
        ("key: #all of them\n  a: 1\n", {"key": {"a": 1}}),
        ("key: #all of them\n  - 1\n", {"key": [1]}),
        ("key: #below\n  text\n", {"key": "text"}),
        ("key:#2\n", "key:#2"),
        ("key: a#2\n", {"key": "a#2"}),
        ("{a: , b}\n", {"a": None, "b": None}),
        ("- # x\n- 1\n", [None, 1]),
    ],
)
def test_ordinary_comments_and_empty_values(parser: str, text: str, data: Any) -> None:
    assert read(text) == data


# --- files ---


def refused_file(path: Path) -> list[tuple[str, int]]:
    with pytest.raises(InputError) as caught:
        read_file(path)
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    assert str(caught.value).startswith(visible(str(path)) + ":")
    return [(problem.code, problem.line)]


def test_a_file(tmp_path: Path) -> None:
    path = tmp_path / "a.site.yaml"
    path.write_bytes("é: 1\r\n".encode())
    document = read_file(path)
    assert (document.file, document.data) == (str(path), {"é": 1})


def test_files_that_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert refused_file(tmp_path / "missing") == [("no-such-file", 0)]
    assert refused_file(tmp_path) == [("is-a-directory", 0)]
    assert refused_file(tmp_path / "nul\0") == [("no-such-file", 0)]
    assert refused_file(tmp_path / ("x" * 5000)) == [("unreadable", 0)]
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    assert refused_file(loop) == [("unreadable", 0)]
    file = tmp_path / "file"
    file.write_text("a: 1")
    assert refused_file(file / "below") == [("unreadable", 0)]
    empty = tmp_path / "empty"
    empty.touch()
    assert refused_file(empty) == [("empty-file", 0)]
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert refused_file(pipe) == [("not-a-file", 0)]

    def forbidden(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", forbidden)  # a test run by root may read anything
    assert refused_file(file) == [("no-permission", 0)]


def test_a_large_file_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "large"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    assert stat.S_ISREG(path.stat().st_mode)
    monkeypatch.setattr(Path, "open", None)  # calling it would be a TypeError
    assert refused_file(path) == [("too-large", 0)]


def test_limits_of_size(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader, "MOST_BYTES", 10)
    assert read("a: 1234567") == {"a": 1234567}
    assert places("a: 12345678") == [("too-large", 0, 0)]
    assert places(b"a: 12345678") == [("too-large", 0, 0)]
    monkeypatch.setattr(reader, "MOST_BYTES_WITHOUT_LIBYAML", 6)
    monkeypatch.setattr(reader, "WITH_LIBYAML", False)
    assert read("a: 123") == {"a": 123}
    assert places("a: 1234") == [("too-large", 0, 0)]


# --- hostile texts cost little ---


@pytest.fixture(scope="module")
def time_of_a_large_file() -> float:
    """Seconds for a good file with the most nodes that are allowed, measured here and now."""
    text = "".join(f"k{n}: v\n" for n in range(reader.MOST_NODES // 2 - 1))
    started = time.perf_counter()
    read_text(text, "f.yaml")
    return time.perf_counter() - started


def bomb() -> str:
    lines = ["a: &a [x, x, x, x, x, x, x, x, x]"]
    for before, name in zip("abcdefgh", "bcdefghi", strict=True):
        lines.append(f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]")
    return "\n".join(lines)


@pytest.mark.parametrize(
    ("name", "text", "code"),
    [
        ("alias bomb", bomb(), "anchor"),
        ("many aliases", "[" + "*a, " * 300_000, "alias"),
        ("deep list", "[" * 1_000_000, "too-deep"),
        ("deep mapping", "{a: " * 500_000, "too-deep"),
        ("deep block list", "- " * 1_000_000, "too-deep"),
        ("many keys", "".join(f"k{i}: v\n" for i in range(101_000)), "too-many-nodes"),
        ("one key", "k: v\n" * 150_000, "duplicate-key"),
        ("control characters", "a: \x01\x02\x03\n" * 500_000, "control-character"),
        ("control characters in one line", "a: " + "\x01" * 2_000_000, "control-character"),
        ("swallowed comments in one list", "- #2\n" * 150_000, "comment-swallowed"),
        ("complex keys", "? [a]\n" * 150_000, "complex-key"),
        ("wide tags", "a: [" + "!!x y, " * 150_000, "tag"),
        ("digits", "a: " + "9" * 4_000_000, "number-too-long"),
        ("one long quote", "a: '" + "x" * 4_000_000, "unclosed-quote"),
        ("tabs", "a:\n" + "\tb: 1\n" * 500_000, "tab"),
    ],
)  # fmt: skip
def test_hostile_texts_are_answered_at_once(name: str, text: str, code: str, time_of_a_large_file: float) -> None:
    started = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_text(text, "f.yaml")
    str(caught.value)
    took = time.perf_counter() - started
    assert caught.value.problems[0].code == code
    assert len(caught.value.problems) <= problems_module.MOST_PROBLEMS
    # About as dear as a good file with as many nodes as are allowed, at most; what grows as a power or an
    # exponential of these sizes would take a thousand times longer.
    assert took < 5 * time_of_a_large_file


# --- laws ---

PIECES = st.sampled_from(
    [
        "a", "b: ", "- ", "\n", "  ", "    ", "[", "]", "{", "}", ", ", ": ", "'", '"', "#2", " # x", "&a ", "*a",
        "!t ",
        "|\n", ">", "\t", "\r\n", "é", "🏚", "\x00", "\u2028", "16", "15 7/8", "---\n", "...\n", "? ", "%", "@", "\\",
        "~", "<<: ", "null", ".inf", "010", "key: value\n", "list:\n  - 1\n",
    ]
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.lists(PIECES, max_size=30).map("".join))
@example("a: [b: {c: 'd\n")
def test_any_text_is_read_or_refused_with_places_in_the_text(text: str) -> None:
    try:
        document = read_text(text, "f.yaml")
    except InputError as error:
        lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
        for problem in error.problems:
            if problem.line:
                assert 1 <= problem.line <= len(lines)
                assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
                assert problem.source_line == lines[problem.line - 1]
            else:
                assert problem.code in ("empty-file", "binary")
            assert problem.message
            assert all(c == "\n" or c.isprintable() for c in problem.render())
        assert list(error.problems) == sorted(error.problems, key=problems_module.position)
        return
    assert same(document.data, by_the_book(yaml.compose(text, yaml.CBaseLoader)))
    assert set(document.values) == set(paths(document.data))
    for path in paths(document.data):
        assert document.where(path) in (document.keys.get(path), document.values[path])


def same(one: Any, other: Any) -> bool:
    """Equal with equal types: 1, 1.0 and true are three things here."""
    return repr(one) == repr(other)


def by_the_book(node: Any) -> Any:
    """The data of a composed node, by the table of YAML 1.2.2, section 10.3.2 (bases and zeros: our decision)."""
    if isinstance(node, yaml.MappingNode):
        return {key.value: by_the_book(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [by_the_book(value) for value in node.value]
    value = node.value
    if node.style:
        return value
    if re.fullmatch("null|Null|NULL|~|", value):
        return None
    if re.fullmatch("true|True|TRUE|false|False|FALSE", value):
        return value.lower() == "true"
    if re.match("[-+]?0[0-9]", value):
        return value
    if re.fullmatch("[-+]?[0-9]+", value):
        return int(value)
    if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", value):
        return float(value)
    return value


def paths(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(inner for step, part in parts for inner in paths(part, (*path, step)))]


TEXTS = st.text(st.characters(exclude_categories=["Cc", "Cs"], exclude_characters="\ufeff\ufffe\uffff\u2028\u2029"))
KEYS = st.from_regex("[A-Za-z0-9_ -]{1,8}", fullmatch=True)
NUMBERS = st.integers(-(10**29), 10**29) | st.floats(allow_nan=False, allow_infinity=False)
TREES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXTS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=60, deadline=None)
@given(TREES.filter(lambda tree: tree is not None), st.booleans())
def test_what_is_written_as_yaml_comes_back(tree: Any, flow: bool) -> None:
    text = yaml.safe_dump(tree, default_flow_style=flow, allow_unicode=True, width=10**9)
    assert same(read(text), json.loads(json.dumps(tree, sort_keys=True)))


# --- the problems themselves ---


def test_problems_are_sorted_and_capped() -> None:
    made = [Problem("f", line, 1, (), "x", f"m{line}") for line in range(300, 0, -1)]
    error = InputError(made)
    assert [p.line for p in error.problems] == list(range(1, 201))
    assert error.omitted == 100
    assert str(error).endswith("\n... and 100 more problems")
    assert str(InputError(made[:201])).endswith("\n... and 1 more problem")
    again = pickle.loads(pickle.dumps(error))
    assert (again.problems, again.omitted, str(again)) == (error.problems, 100, str(error))


def test_the_order_does_not_depend_on_chance() -> None:
    one = Problem("f", 1, 1, ("a", 0), "x", "m")
    two = Problem("f", 1, 1, ("a", "b"), "x", "m")
    three = Problem("f", 1, 1, (0,), "x", "m")
    assert InputError([one, two, three]).problems == InputError([three, two, one]).problems == (three, one, two)


def test_render() -> None:
    problem = Problem("dir/a.yaml", 3, 8, ("grade",), "x", "what is wrong", "a\x1bb", "grade: x\nsize: y", "grade: #2")
    assert problem.render() == (
        "dir/a.yaml:3:8: what is wrong\n"
        "  expected: a␛b\n"
        "  example: grade: x\n"
        "           size: y\n"
        "  | grade: #2\n"
        "  |        ^"
    )
    assert Problem("a", 0, 0, (), "x", "m").render() == "a: m"
    assert Problem("a", 1, 1, (), "x", "m", source_line="  ").render() == "a:1:1: m"


def test_the_caret_stands_below_what_is_seen() -> None:
    # (line, column, what stands above the caret)
    for line, column, above in [
        ("ab", 1, "a"),
        ("ab", 3, ""),
        ("名前: x", 5, "x"),
        ("e\u0301x", 3, "x"),
        ("\tx", 2, "x"),
        ("\u202ex", 2, "x"),
        ("x" * 200 + "!" + "y" * 200, 201, "!"),
        ("!" + "y" * 200, 1, "!"),
        ("y" * 200 + "!", 201, "!"),
        ("y" * 200, 201, ""),
    ]:
        shown, caret = Problem("f", 1, column, (), "x", "m", source_line=line).render().split("\n")[-2:]
        width = 0
        for character in shown:
            if width == len(caret) - 1 and problems_module.columns(character):
                assert character == above
                break
            width += problems_module.columns(character)
        else:
            assert above == "" and width == len(caret) - 1
        assert len(shown) <= 80 and len(caret) <= 81


def test_long_texts_are_wrapped_to_the_terminal() -> None:
    problem = Problem("f", 1, 1, (), "x", "word " * 40, "other " * 40, source_line="x")
    assert all(len(line) <= 80 for line in problem.render().split("\n"))
    assert problem.render().count("word") == 40


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain é", "plain é"), ("\x1b[0m\0", "␛[0m␀"), ("\x7f", "␡"), ("\x9b", "<U+009B>"), ("a\u00a0b", "a b"),
        ("\u202e", "<U+202E>"), ("\u200b", "<U+200B>"), ("\ud800", "<U+D800>"), ("\u2028", "<U+2028>"),
    ],
)  # fmt: skip
def test_visible(text: str, shown: str) -> None:
    assert visible(text) == shown
