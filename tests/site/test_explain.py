"""The words for a wrong structure: each kind of error with its place, expectation and example."""

from __future__ import annotations

import time
from typing import Any

import pytest

from inspect_core.site import explain as explain_module
from inspect_core.site.explain import explain, similar
from inspect_core.site.problems import Problem
from inspect_core.site.reader import Document, read_text

SCHEMA: dict[str, Any] = {
    "type": "object",
    "properties": {
        "units": {"enum": ["in", "mm"], "description": "Unit of bare numbers.", "examples": ["in"]},
        "format": {"const": 1, "description": "Number of the format.", "examples": [1]},
        "site": {
            "$ref": "#/$defs/site",
            "description": "What stands beside a reference wins.",
            "examples": [{"name": "Lock cottage, wash-house", "built": "1894"}],
        },
        "joists": {"type": "array", "description": "Groups of joists.", "items": {"$ref": "#/$defs/joist"}},
        "bearing": {
            "type": "object",
            "additionalProperties": {"type": ["number", "string"], "quantity": "length", "examples": ["3 1/2"]},
        },
        "posts": {
            "type": "object",
            "propertyNames": {"pattern": "^P[0-9]*$", "minLength": 2, "maxLength": 4},
            "additionalProperties": {"type": "object"},
        },
        "sides": {"type": "object", "propertyNames": {"enum": ["left", "right"]}},
        "packs": {
            "type": "array",
            "minItems": 1,
            "maxItems": 2,
            "items": {"type": "string", "minLength": 2, "maxLength": 5, "description": "A pack.", "examples": ["lake"]},
            "examples": [["lake", "1.10"]],
        },
        "free": {},
    },
    "required": ["units", "site"],
    "additionalProperties": False,
    "$defs": {
        "site": {
            "type": "object",
            "description": "The house.",
            "properties": {
                "name": {"type": "string", "description": "What to call it.", "examples": ["Lock cottage, wash-house"]},
                "built": {"type": "string", "examples": ["1894"]},
                "stories": {"type": "integer", "minimum": 1, "maximum": 3, "examples": [2]},
                "share": {"type": "number", "exclusiveMinimum": 0},
                "historic": {"type": "boolean", "description": "Listed or not.", "examples": [True]},
                "damp": {"enum": [True, False, "unknown"], "examples": [True]},
            },
            "required": ["name"],
            "additionalProperties": False,
        },
        "joist": {
            "type": "object",
            "properties": {
                "name": {"type": "string"},
                "at": {"type": ["string", "array"], "quantity": "positions", "examples": ["every 16 from 0 to 112"]},
                "each": {
                    "type": "object",
                    "properties": {
                        "size": {"type": "string", "quantity": "size"},
                        "grade": {"enum": ["select", "No.1", "No.2", "No.3", "unknown"]},
                        "species": {"enum": ["douglas-fir-larch", "hem-fir"]},
                    },
                    "additionalProperties": False,
                },
            },
            "additionalProperties": False,
        },
    },
}
FINE = "units: in\nsite: {name: x}\n"


def found(text: str, schema: dict[str, Any] = SCHEMA) -> list[Problem]:
    return sorted(explain(read_text(text, "f.yaml"), schema), key=lambda problem: (problem.line, problem.column))


def only(text: str) -> tuple[str, int, int, tuple[str | int, ...], str, str, str]:
    (p,) = found(FINE + text)
    assert p.file == "f.yaml"
    assert p.source_line == (FINE + text).split("\n")[p.line - 1]
    return p.code, p.line, p.column, p.path, p.message, p.expected, p.example


def test_a_good_document_needs_no_words() -> None:
    assert found(FINE) == []
    assert found(FINE + "joists:\nbearing: {S1: }\npacks: ~\n") == []


# --- keys ---


def test_unknown_keys() -> None:
    assert only("joists:\n  - {nme: J}\n") == (
        "unknown-key", 4, 6, ("joists", 0, "nme"),
        "there is no key 'nme' in entry 1 of 'joists'; did you mean 'name'?",
        "one of: name, at, each", "",
    )  # fmt: skip
    assert only("unit: in\n") == (
        "unknown-key", 3, 1, ("unit",),
        "there is no key 'unit' at the top of the file; did you mean 'units'?",
        "one of: units, format, site, joists, bearing, posts, sides, packs, free", "units: in",
    )  # fmt: skip
    assert only("zzz:\n")[:5] == ("unknown-key", 3, 1, ("zzz",), "there is no key 'zzz' at the top of the file")


def test_a_comma_in_a_number() -> None:
    messages = [problem.message for problem in found("units: in\nsite: {name: x, stories: 2,5}\n")]
    told = "a comma ends the value before it, so a number is written with a point: 5.5"
    assert messages == [f"there is no key '5' in 'site'; {told}"]


def test_a_forgotten_level() -> None:
    assert only("joists:\n  - name: J\n    grade: No.2\n")[:5] == (
        "unknown-key", 5, 5, ("joists", 0, "grade"),
        "there is no key 'grade' in entry 1 of 'joists'; it belongs under 'each'",
    )  # fmt: skip


def test_every_unknown_key_is_named() -> None:
    assert [(p.code, p.line, p.column) for p in found(FINE + "a1: 1\nb1: 2\njoists: [{q: 1, each: {w: 2}}]\n")] == [
        ("unknown-key", 3, 1),
        ("unknown-key", 4, 1),
        ("unknown-key", 5, 11),
        ("unknown-key", 5, 24),
    ]


def test_a_long_list_of_keys_is_cut() -> None:
    schema = {"properties": {f"key{n}": {} for n in range(20)}, "additionalProperties": False}
    (problem,) = found("other: 1\n", schema)
    assert problem.expected == "one of: " + ", ".join(f"key{n}" for n in range(12)) + ", … (8 more)"
    assert found("a: 1", {"properties": {"b": {}}, "additionalProperties": False})[0].expected == "b"
    assert found("a: 1", {"additionalProperties": False})[0].expected == "no key"


def test_missing_keys() -> None:
    # A missing key has no place: the key of what it is missing in stands for it.
    missing = found("units: in\njoists: []\n")
    assert [(p.code, p.line, p.column, p.path, p.message, p.expected, p.example) for p in missing] == [
        (
            "missing-key", 1, 1, ("site",), "the key 'site' is missing at the top of the file",
            "What stands beside a reference wins.",
            'site: {name: "Lock cottage, wash-house", built: "1894"}',
        )
    ]  # fmt: skip
    (problem,) = found("units: in\nsite:\n  built: x\n")
    assert (problem.code, problem.line, problem.column, problem.path) == ("missing-key", 2, 1, ("site", "name"))
    assert problem.message == "the key 'name' is missing in 'site'"
    assert problem.example == "name: Lock cottage, wash-house"


def test_a_needed_key_that_is_empty() -> None:
    (problem,) = found("units: in\nsite:\n  name:\n")
    assert (problem.code, problem.line, problem.column, problem.path) == ("missing-key", 3, 3, ("site", "name"))
    assert problem.message == "'name' has no value, but is needed in 'site'"


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("Q1", "a name of the form ^P[0-9]*$"),
        ("P", "at least 2 characters"),
        ("P12345", "at most 4 characters"),
    ],
)
def test_names_of_keys(key: str, expected: str) -> None:
    assert only(f"posts:\n  {key}: {{}}\n") == (
        "bad-name", 4, 3, ("posts", key), f"'{key}' can't be a key in 'posts'", expected, ""
    )  # fmt: skip


def test_names_from_a_list() -> None:
    assert only("sides: {middle: 1}\n")[4:] == ("'middle' can't be a key in 'sides'", "one of: left, right", "")


def test_a_property_may_be_called_like_a_keyword() -> None:
    schema = {"properties": {"propertyNames": {"properties": {"enum": {"type": "string"}}}}}
    (problem,) = found("propertyNames: {enum: 1}\n", schema)
    assert (problem.code, problem.path) == ("wrong-type", ("propertyNames", "enum"))


# --- values ---


@pytest.mark.parametrize(
    ("text", "line", "column", "path", "message", "expected", "example"),
    [
        ("joists: J1\n", 3, 9, ("joists",), "'joists' should be a list, not text ('J1')", "Groups of joists.", ""),
        ("joists:\n  name: J\n", 4, 3, ("joists",), "'joists' should be a list, not a group of keys",
         "Groups of joists.", ""),
        ("joists:\n  - J1\n", 4, 5, ("joists", 0), "entry 1 of 'joists' should be a group of keys, not text ('J1')",
         "", ""),
        ("packs:\n  - 1.10\n", 4, 5, ("packs", 0), "entry 1 of 'packs' should be text, not the number 1.1",
         "A pack.", '- "1.1"'),
        ("packs:\n  - ok\n  - true\n", 5, 5, ("packs", 1), "entry 2 of 'packs' should be text, not true",
         "A pack.", '- "true"'),
        ("packs:\n  - ok\n  -\n", 5, 4, ("packs", 1), "entry 2 of 'packs' should be text, not nothing",
         "A pack.", "- lake"),
        ("bearing: {S1: [1]}\n", 3, 15, ("bearing", "S1"), "'S1' should be a length, not a list", "", "S1: 3 1/2"),
        ("joists: [{at: 5}]\n", 3, 15, ("joists", 0, "at"), "'at' should be a row of positions, not the number 5",
         "", "at: every 16 from 0 to 112"),
    ],
)  # fmt: skip
def test_wrong_types(
    text: str, line: int, column: int, path: tuple[str | int, ...], message: str, expected: str, example: str
) -> None:
    assert only(text) == ("wrong-type", line, column, path, message, expected, example)


@pytest.mark.parametrize(
    ("written", "message", "example"),
    [
        ("built: 1894", "'built' should be text, not the number 1894", 'built: "1894"'),
        ("built: 1_894", None, None),
        ("stories: two", "'stories' should be a whole number, not text ('two')", "stories: 2"),
        ("stories: 1.5", "'stories' should be a whole number, not the number 1.5", "stories: 2"),
        ("share: x", "'share' should be a number, not text ('x')", ""),
        ("historic: yes", "'historic' should be true or false, not text ('yes')", "historic: true"),
        ("historic: Off", "'historic' should be true or false, not text ('Off')", "historic: false"),
        ("historic: perhaps", "'historic' should be true or false, not text ('perhaps')", "historic: true"),
        ("historic: 1", "'historic' should be true or false, not the number 1", "historic: true"),
        (f"stories: {'x' * 50}", f"'stories' should be a whole number, not text ('{'x' * 39}…')", "stories: 2"),
    ],
)
def test_hints_for_wrong_types(written: str, message: str | None, example: str | None) -> None:
    problems = found(f"units: in\nsite:\n  name: x\n  {written}\n")
    if message is None:
        assert problems == []
        return
    (problem,) = problems
    assert (problem.code, problem.line, problem.column) == ("wrong-type", 4, written.index(":") + 5)
    assert (problem.message, problem.example) == (message, example)


def test_a_bare_number_is_no_example_of_a_quantity() -> None:
    schema = {"properties": {"size": {"type": "string", "quantity": "size", "examples": ["2x8"]}}}
    assert [problem.example for problem in found("size: 28\n", schema)] == ["size: 2x8"]


def test_a_whole_file_of_the_wrong_type() -> None:
    for text, kind in [("- 1\n", "a list"), ("text\n", "text ('text')"), ("5\n", "the number 5")]:
        (problem,) = found(text)
        assert (problem.code, problem.line, problem.column, problem.path) == ("wrong-type", 1, 1, ())
        assert problem.message == f"the file should be a group of keys, not {kind}"
    (problem,) = found("- - 1\n", {"items": {"type": "string"}})
    assert (problem.path, problem.message) == ((0,), "entry 1 should be text, not a list")


@pytest.mark.parametrize(
    ("key", "value", "likely"),
    [
        ("grade", "No2", "No.2"), ("grade", "no.2", "No.2"), ("grade", "2", "No.2"), ("grade", "Select", "select"),
        ("grade", "'#2'", ""), ("grade", "No.7", "No.3"), ("grade", "[No.2]", ""), ("grade", "{}", ""),
        ("species", "Douglas fir larch", "douglas-fir-larch"), ("species", "hem_fir", "hem-fir"),
        ("species", "hemfir", "hem-fir"), ("species", "oak", ""), ("species", "larch", "douglas-fir-larch"),
        ("species", "x" * 100_000, ""),
    ],
)  # fmt: skip
def test_words_from_a_list(key: str, value: str, likely: str) -> None:
    (problem,) = found(FINE + f"joists:\n  - each:\n      {key}: {value}\n")
    assert (problem.code, problem.line, problem.column) == ("not-one-of", 5, len(key) + 9)
    assert problem.path == ("joists", 0, "each", key)
    assert ("did you mean" in problem.message) == bool(likely)
    assert problem.message.endswith(f"; did you mean '{likely}'?") or not likely
    assert problem.example == (f"{key}: {likely}" if likely else "")
    words = {"grade": "select, No.1, No.2, No.3, unknown", "species": "douglas-fir-larch, hem-fir"}
    assert problem.expected == f"one of: {words[key]}"
    assert len(problem.message) < 150


def test_messages_about_words() -> None:
    assert only("joists: [{each: {grade: [No.2]}}]\n")[4] == "'grade' should be one word, not a list"
    (problem,) = found("units: ft\nsite: {name: x}\n")
    assert problem.message == "'ft' is not known as 'units'"
    assert (problem.expected, problem.example) == ("one of: in, mm", "units: in")
    assert only("format: 2\n") == (
        "not-one-of", 3, 9, ("format",), "'2' is not known as 'format'", "1", "format: 1"
    )  # fmt: skip


@pytest.mark.parametrize(
    ("value", "likely"), [("yes", "true"), ("No", "false"), ("off", "false"), ("unkown", "unknown"), ("1", "")]
)
def test_yes_and_no(value: str, likely: str) -> None:
    (problem,) = found(f"units: in\nsite:\n  name: x\n  damp: {value}\n")
    assert problem.code == "not-one-of"
    assert problem.example == f"damp: {likely or 'true'}"
    assert problem.message.endswith(f"did you mean '{likely}'?") == bool(likely)
    assert problem.expected == "one of: true, false, unknown"


def test_type_and_list_of_words_give_one_problem() -> None:
    schema = {"properties": {"a": {"type": "string", "enum": ["x"]}}}
    assert [problem.code for problem in found("a: 1", schema)] == ["not-one-of"]


@pytest.mark.parametrize(
    ("text", "code", "path", "message"),
    [
        ("packs: []", "too-few", ("packs",), "'packs' needs at least 1 entry, not 0"),
        ("packs: [aa, bb, cc]", "too-many", ("packs",), "'packs' may have at most 2 entries, not 3"),
        ("packs: [a]", "too-short", ("packs", 0), "entry 1 of 'packs' needs at least 2 characters, not 1"),
        ("packs: [abcdef]", "too-long", ("packs", 0), "entry 1 of 'packs' may have at most 5 characters, not 6"),
        ("site: {name: x, stories: 0}", "too-small", ("site", "stories"), "'stories' should be at least 1, not 0"),
        ("site: {name: x, stories: 4}", "too-large", ("site", "stories"), "'stories' should be at most 3, not 4"),
        ("site: {name: x, share: 0}", "too-small", ("site", "share"), "'share' should be more than 0, not 0"),
    ],
)
def test_limits(text: str, code: str, path: tuple[str | int, ...], message: str) -> None:
    text = "units: in\n" + ("" if text.startswith("site") else "site: {name: x}\n") + text + "\n"
    (problem,) = found(text)
    assert (problem.code, problem.path, problem.message) == (code, path, message)
    document = read_text(text, "f.yaml")
    assert (problem.line, problem.column) == (document.where_value(path).line, document.where_value(path).column)


def test_an_error_of_another_keyword_is_not_lost() -> None:
    (problem,) = found("a: 1\n", {"properties": {"a": {"multipleOf": 2}}})
    assert (problem.code, problem.line, problem.column) == ("wrong-value", 1, 4)
    assert problem.message == "'a' doesn't have the form that it should have"


def test_examples_are_yaml() -> None:
    schema = {
        "properties": {
            key: {"type": "null", "examples": [example]}
            for key, example in {
                "a": "1.10", "b": "#2", "c": "plain text", "d": 'in "quotes"', "e": [["x, y", 1.5], {"k": None}],
                "f": "true", "g": "'", "h": "9' 4\" x 7' 10\"", "i": "é: ü", "j": False, "k": "",
            }.items()
        }
    }  # fmt: skip
    for problem in found("{a: x, b: x, c: x, d: x, e: x, f: x, g: x, h: x, i: x, j: x, k: x}", schema):
        (key,) = problem.path
        example = schema["properties"][str(key)]["examples"][0]
        assert read_text(problem.example, "f").data == {key: example}
    assert found("c: x", schema)[0].example == "c: plain text"
    assert found("h: x", schema)[0].example == "h: 9' 4\" x 7' 10\""


def test_what_the_schema_does_not_describe() -> None:
    schema = {"properties": {"a": {"items": {"type": "array", "minItems": 1}}}, "additionalProperties": True}
    (problem,) = found("a: [[]]\n", schema)
    assert (problem.message, problem.expected) == ("entry 1 of 'a' needs at least 1 entry, not 0", "")
    explainer = explain_module._Explainer(Document("f", {}), schema, "in")
    assert explainer._schema_at(("b", 0, "c")) == {}


def test_control_characters_do_not_get_through() -> None:
    problems = explain(Document("f", {"\x1b[31m": 1, "units": "\x1b", "site": {"name": "x"}}), SCHEMA)
    assert len(problems) == 2
    for problem in problems:
        assert "\x1b" not in problem.render() and "\x1b" not in problem.message


# --- limits ---


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"k{n}: 1\n" for n in range(30_000)),
        "joists:\n" + "- 5\n" * 60_000,
        "joists:\n" + "- {each: {grade: x}}\n" * 10_000,
        "? " + "x" * 1000 + "\n: 1\nunits: " + "y" * 4_000_000,
    ],
)
def test_many_errors_are_cut_short(text: str) -> None:
    started = time.perf_counter()
    document = read_text(text, "f")
    read = time.perf_counter()
    problems = explain(document, SCHEMA)
    explained = time.perf_counter()
    assert 0 < len(problems) <= explain_module.MOST_ERRORS
    assert explained - read < 10 * (read - started)  # about as long as reading; quadratic would be thousands


@pytest.mark.parametrize(
    ("word", "words", "likely"),
    [
        ("fnish", ["finish", "outline"], "finish"), ("joists_runs", ["joists_run"], "joists_run"),
        ("joists-run", ["joists_run"], "joists_run"), ("size", ["sizes", "size"], "size"),
        ("a", ["A", "a"], "A"), ("", ["a"], ""), ("x", [], ""),
        ("zzz", ["abc"], ""), ("beam", ["beams", "rim"], "beams"),
        ("ir", ["hem-fir", "red-fir"], ""), ("x" * 61, ["x" * 61], ""), ("xy", ["x" * 61], ""),
    ],
)  # fmt: skip
def test_similar(word: str, words: list[str], likely: str) -> None:
    assert similar(word, words) == likely
