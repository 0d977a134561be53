"""The converter: what it makes of good data, what it notices, and that it agrees with jsonschema."""

from __future__ import annotations

import copy
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import inspect_core.site
from inspect_core.quantities import Dimension, Quantity, QuantityError, Units, exactly, parse, parse_size, render
from inspect_core.site import convert, explain
from inspect_core.site.convert import Converter, compile_schema, noun, resolve
from inspect_core.site.problems import Problem
from inspect_core.site.reader import Document, Mark, read_text

LENGTH = {"type": ["number", "string"], "quantity": "length", "maxLength": 60, "description": "A length."}
SCHEMA: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "$id": "urn:example:test",
    "title": "A small schema that has every keyword.",
    "type": "object",
    "properties": {
        "units": {"enum": ["in", "mm"]},
        "format": {"const": 1},
        "name": {"type": "string", "minLength": 1, "maxLength": 8, "examples": ["Lock cottage"]},
        "stories": {"type": "integer", "minimum": 1, "maximum": 4},
        "share": {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
        "old": {"type": "boolean"},
        "treated": {"enum": [True, False, "unknown"]},
        "depth": {
            "$ref": "#/$defs/length",
            "quantity-minimum": "2 in",
            "quantity-maximum": "24 in",
            "examples": ["7 1/4"],
        },
        "width": {"$ref": "#/$defs/length", "description": "only an annotation beside"},
        "load": {"type": ["number", "string"], "quantity": "load", "quantity-maximum": "200 psf"},
        "slope": {"type": ["number", "string"], "quantity": "slope", "quantity-minimum": "0", "quantity-maximum": "1"},
        "plies": {"type": ["integer", "string"], "quantity": "count", "quantity-minimum": "1"},
        "room": {"type": "string", "quantity": "extent"},
        "size": {"type": "string", "quantity": "size"},
        "at": {"type": ["string", "array"], "quantity": "positions", "items": {"$ref": "#/$defs/length"}},
        "tags": {"type": "array", "items": {"type": "string"}, "minItems": 1, "maxItems": 3},
        "holes": {"type": "array", "items": {"$ref": "#/$defs/hole"}},
        "bearing": {"type": "object", "additionalProperties": {"$ref": "#/$defs/length"}},
        "named": {
            "type": "object",
            "propertyNames": {"pattern": "^[A-Z][0-9]*$", "maxLength": 3},
            "additionalProperties": {"type": ["integer", "null"]},
        },
        "one_of_two": {"type": "object", "propertyNames": {"enum": ["left", "right"], "minLength": 1}},
        "free": {},
        "sizes": {"type": ["string", "number", "object"], "properties": {"a": {"type": "null"}}, "minimum": 3},
    },
    "required": ["units", "name"],
    "additionalProperties": False,
    "$defs": {
        "length": LENGTH,
        "hole": {
            "type": "object",
            "properties": {
                "at": {"$ref": "#/$defs/length"},
                "inner": {"$ref": "#/$defs/hole"},
                "list": {"type": "array", "items": {"$ref": "#/$defs/hole"}},
            },
            "required": ["at"],
            "additionalProperties": False,
        },
    },
}
GOOD: dict[str, Any] = {
    "units": "in", "format": 1, "name": "cottage", "stories": 2, "share": 0.5, "old": False, "treated": True,
    "depth": "7 1/4", "width": 3.5, "load": "40 psf", "slope": "1:48", "plies": 2, "room": "8' x 9'", "size": "2x8",
    "at": "every 16 from 0 to 32", "tags": ["a", "b"], "holes": [{"at": 1, "inner": {"at": "2"}, "list": [{"at": 3}]}],
    "bearing": {"S1": "3 1/2"}, "named": {"A": 1, "B12": 3}, "one_of_two": {"left": 1}, "free": [{"x": 1.5}, "y"],
    "sizes": 4,
}  # fmt: skip
CONVERTER = compile_schema(SCHEMA)
QUANTITY_CODES = ("not-a-", "absurd", "too-many-positions")


def units_of(data: Any) -> Units:
    return "mm" if data.get("units") == "mm" else "in"


def run(text: str, converter: Converter = CONVERTER) -> tuple[Any, list[Problem]]:
    data, problems = converter.convert(read_text(text, "f.yaml"), units_of)
    return data, list(problems)


def said(problems: list[Problem]) -> list[tuple[str, int, int, tuple[str | int, ...]]]:
    return [(problem.code, problem.line, problem.column, problem.path) for problem in problems]


def inches(*values: float) -> list[Quantity]:
    return [exactly(value, Dimension.LENGTH) for value in values]


# --- good data ---


def test_texts_and_numbers_become_quantities() -> None:
    text = """\
units: in
name: cottage
depth: 7 1/4
width: 4
load: 40 psf
slope: 1/4 in per ft
plies: 2
room: 8' x 9' 6"
size: 2x8
at: every 16 from 0 to 32
holes:
  - at: 1
    inner: {at: unknown}
bearing: {S1: 3 1/2, B1: ~2}
"""
    data, problems = run(text)
    assert problems == []
    assert data == {
        "units": "in",
        "name": "cottage",
        "depth": inches(7.25)[0],
        "width": inches(4)[0],
        "load": exactly(40, Dimension.LOAD),
        "slope": exactly(0.25 / 12, Dimension.SLOPE),
        "plies": exactly(2, Dimension.COUNT),
        "room": tuple(inches(96, 114)),
        "size": parse_size("2x8"),
        "at": tuple(inches(0, 16, 32)),
        "holes": [{"at": inches(1)[0], "inner": {"at": None}}],
        "bearing": {"S1": inches(3.5)[0], "B1": Quantity(2.0, 2.0, Dimension.LENGTH, estimate=True)},
    }


def test_bare_numbers_take_the_units_of_the_file() -> None:
    data, problems = run("{units: mm, name: x, depth: 254, at: [0, 50.8, 4 in]}")
    assert problems == []
    assert data["depth"] == inches(10)[0]
    assert data["at"] == inches(0, 2, 4)


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("size", "unknown", None), ("room", "unknown", None), ("at", "unknown", None), ("depth", "unknown", None),
        ("at", "[unknown, 16]", [None, *inches(16)]),
    ],
)  # fmt: skip
def test_unknown_is_none(key: str, text: str, value: Any) -> None:
    data, problems = run(f"{{units: in, name: x, {key}: {text}}}")
    assert (problems, data[key]) == ([], value)


def test_empty_values_are_dropped() -> None:
    text = "units: in\nname: x\ndepth:\nroom: ~\nholes:\n  - at: 1\n    inner:\nbearing: {S1: , B1: 2}\nold: null\n"
    data, problems = run(text)
    assert problems == []
    assert data == {"units": "in", "name": "x", "holes": [{"at": inches(1)[0]}], "bearing": {"B1": inches(2)[0]}}


def test_plain_values_stay_as_they_are() -> None:
    data, problems = CONVERTER.convert(Document("f", copy.deepcopy(GOOD)), units_of)
    assert problems == ()
    for key in ("units", "format", "name", "stories", "share", "old", "treated", "tags", "named", "free", "sizes"):
        assert data[key] == GOOD[key]
        assert type(data[key]) is type(GOOD[key])
    assert list(data) == list(GOOD)  # in the order of the file


def test_a_whole_number_with_a_point_is_an_integer() -> None:
    data, problems = run("{units: in, name: x, stories: 2.0, named: {A: 3.0}, plies: 2.0, share: 1}")
    assert problems == []
    assert repr([data["stories"], data["named"], data["share"]]) == "[2, {'A': 3}, 1]"


def test_the_document_is_not_changed() -> None:
    document = Document("f", copy.deepcopy(GOOD))
    data, _ = CONVERTER.convert(document, units_of)
    data["tags"].append("c")
    data["named"]["C"] = 1
    assert document.data == GOOD


def test_a_valid_file_needs_no_jsonschema() -> None:
    program = (
        "import sys\n"
        "from inspect_core.site.convert import compile_schema\n"
        "from inspect_core.site.reader import read_text\n"
        f"converter = compile_schema({SCHEMA!r})\n"
        "data, problems = converter.convert(read_text('units: in\\nname: x', 'f'), lambda data: 'in')\n"
        "assert data == {'units': 'in', 'name': 'x'} and problems == (), problems\n"
        "assert 'jsonschema' not in sys.modules\n"
        "problems = converter.convert(read_text('units: in', 'f'), lambda data: 'in')[1]\n"
        "assert [p.code for p in problems] == ['missing-key'], problems\n"
        "assert 'jsonschema' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


# --- problems of quantities ---


def test_what_is_no_quantity() -> None:
    text = """\
units: in
name: x
depth: 8 2
width: 3 apples
load: 4 in
plies: 2.5
room: 8
size: 2y8
at: every 16
holes:
  - at: 1,5
"""
    _, problems = run(text)
    assert said(problems) == [
        ("not-a-length", 3, 8, ("depth",)),
        ("not-a-length", 4, 8, ("width",)),
        ("not-a-load", 5, 7, ("load",)),
        ("wrong-type", 6, 8, ("plies",)),
        ("wrong-type", 7, 7, ("room",)),
        ("not-a-size", 8, 7, ("size",)),
        ("not-a-positions", 9, 5, ("at",)),
        ("not-a-length", 11, 9, ("holes", 0, "at")),
    ]
    # The words come from the error of the quantity itself.
    with pytest.raises(QuantityError) as caught:
        parse_size("2y8")
    assert problems[5].message == "'2y8' can't be read as a lumber size"
    assert problems[5].expected == caught.value.expected
    assert problems[5].example == f"size: {caught.value.example}"
    assert problems[5].source_line == "size: 2y8"


def test_two_lengths_have_an_x_between_them() -> None:
    _, problems = run("units: in\nname: x\nroom: 8' 9'\n")
    assert said(problems) == [("not-a-extent", 3, 7, ("room",))]
    assert problems[0].message == "'8' 9'' can't be read as two lengths"


def test_quantities_in_lists_and_the_example_for_them() -> None:
    _, problems = run("units: in\nname: x\nat:\n  - 1\n  - 2 x\n")
    assert said(problems) == [("not-a-length", 5, 5, ("at", 1))]
    assert problems[0].example.startswith("- ")


def between(low: str, high: str, units: Units = "in", word: str = "length") -> str:
    low, high = (
        render(parse(text, Dimension(word), "in") or exactly(0, Dimension(word)), units) for text in (low, high)
    )
    return f"between {low} and {high}"


def test_values_that_can_hardly_be_right() -> None:
    text = "units: in\nname: x\ndepth: 16 ft\nload: 300 psf\nplies: 0\nslope: 13 in per ft\nwidth: 9000\n"
    _, problems = run(text)
    slope = between("0", "12 in per ft", word="slope")
    assert [(p.code, p.line, p.column, p.message, p.expected, p.example) for p in problems] == [
        ("absurd", 3, 8, "depth: 16 ft can hardly be right", between("2 in", "24 in"), "depth: 7 1/4"),
        ("absurd", 4, 7, "load: 300 psf can hardly be right", "at most 200 psf", ""),
        ("absurd", 5, 8, "plies: 0 can hardly be right", "at least 1", ""),
        ("absurd", 6, 8, "slope: 13 in per ft can hardly be right", slope, ""),
    ]


@pytest.mark.parametrize(
    ("units", "written", "fine"),
    [
        ("in", "2", True), ("in", "24", True), ("in", "2 ft", True), ("in", "609.6 mm", True), ("mm", "50.8", True),
        ("in", "1 15/16", False), ("in", "24 1/16", False), ("mm", "50", False), ("mm", "610", False),
        ("in", "2 .. 24", True), ("in", "1 .. 10", False), ("in", "10 .. 25", False), ("in", "~1", False),
    ],
)  # fmt: skip
def test_bounds_hold_for_both_ends(units: str, written: str, fine: bool) -> None:
    _, problems = run(f"{{units: {units}, name: x, depth: {written}}}")
    assert [problem.code for problem in problems] == ([] if fine else ["absurd"])


def test_the_unit_of_a_bare_number_is_named() -> None:
    imperial, metric = between("2 in", "24 in"), between("2 in", "24 in", "mm")
    _, problems = run("{units: in, name: x, depth: 190}")
    assert problems[0].expected == f"{imperial}; a number without a unit is in inches here"
    _, problems = run("{units: mm, name: x, depth: 7}")
    assert problems[0].expected == f"{metric}; a number without a unit is in millimetres here"
    _, problems = run("{units: mm, name: x, depth: 900 mm}")
    assert problems[0].expected == metric


def test_rows_of_positions_do_not_fill_the_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    row = {"type": "array", "items": {"type": "string", "quantity": "positions"}}
    converter = compile_schema(row)
    line = "- every 1 from 0 to 9\n"
    monkeypatch.setattr(convert, "MOST_POSITIONS", 30)
    data, problems = run(line * 3, converter)
    assert (problems, [len(positions) for positions in data]) == ([], [10, 10, 10])
    data, problems = run(line * 3 + "- every 1 from 0 to 1\n" + line * 5, converter)
    assert said(problems) == [("too-many-positions", 4, 3, (3,))]
    assert data[4:] == [None] * 5


def test_problems_come_in_the_order_of_the_file() -> None:
    text = "units: inch\ndepth: 99\nwidth: z\nfoo: 1\ntags: []\nload: q\n"
    _, problems = run(text)
    assert said(problems) == [
        ("missing-key", 1, 1, ("name",)),
        ("not-one-of", 1, 8, ("units",)),
        ("absurd", 2, 8, ("depth",)),
        ("not-a-length", 3, 8, ("width",)),
        ("unknown-key", 4, 1, ("foo",)),
        ("too-few", 5, 7, ("tags",)),
        ("not-a-load", 6, 7, ("load",)),
    ]


def test_a_file_that_is_no_mapping() -> None:
    seen: list[Any] = []

    def units(data: Any) -> Units:
        seen.append(data)
        return "in"

    for text in ("- 1\n", "text\n", "12\n"):
        _, problems = CONVERTER.convert(read_text(text, "f.yaml"), units)
        assert said(list(problems)) == [("wrong-type", 1, 1, ())]
    assert seen == [{}, {}, {}]


def test_a_disagreement_with_jsonschema_is_still_reported(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(explain, "explain", lambda document, schema, units: ())
    _, problems = run("units: in\nname: x\nholes:\n  - {at: 1, inner: {at: 2, zz: 3}}\nfoo: 1\nstories: []\n")
    assert [(p.code, p.line, p.column, p.path, p.expected) for p in problems] == [
        ("not-as-described", 4, 28, ("holes", 0, "inner", "zz"), "additionalProperties"),
        ("not-as-described", 5, 1, ("foo",), "additionalProperties"),
        ("not-as-described", 6, 1, ("stories",), "type"),
    ]


# --- schemas ---


@pytest.mark.parametrize(
    ("schema", "message"),
    [
        ({"oneOf": []}, "#: 'oneOf' is outside of the subset"),
        ({"properties": {"a": {"pattern": "x", "format": "date"}}}, "#/a: 'format', 'pattern' is outside"),
        ({"items": {"minProperties": 1}}, "#/items: 'minProperties'"),
        ({"additionalProperties": {"exclusiveMaximum": 1}}, "#/*: 'exclusiveMaximum'"),
        ({"$ref": "#/$defs/a", "$defs": {"a": {"not": {}}}}, "#/$defs/a: 'not'"),
        ({"properties": {"a": {"$defs": {}}}}, "#/a: '$defs'"),
        ({"properties": {"a": True}}, "#/a: a schema must be a mapping"),
        ({"properties": []}, "properties must be a mapping"),
        ({"items": False}, "#/items: a schema must be a mapping"),
        ({"type": "text"}, "type ['text'] is not known"),
        ({"type": []}, "type [] is not known"),
        ({"type": {"a": 1}}, "is not known"),
        ({"enum": [[1]]}, "enum must hold plain values"),
        ({"enum": "abc"}, "enum must hold plain values"),
        ({"const": {}}, "const must hold plain values"),
        ({"maximum": "9"}, "maximum must be a number"),
        ({"minItems": True}, "minItems must be a number"),
        ({"propertyNames": {"format": "x"}}, "propertyNames knows only"),
        ({"propertyNames": False}, "propertyNames knows only"),
        ({"$ref": "other.json"}, "'other.json' doesn't lead to a definition"),
        ({"$ref": "#/properties/a"}, "doesn't lead to a definition"),
        ({"$ref": "#/$defs/a", "$defs": {}}, "doesn't lead to a definition"),
        ({"$ref": "#/$defs/a", "$defs": {"a": True}}, "doesn't lead to a definition"),
        ({"$ref": ["#"]}, "$ref must be text"),
        ({"$ref": ["#"], "maxLength": 1}, "doesn't lead to a definition"),
        ({"$ref": "#/$defs/a", "$defs": {"a": {"$ref": "#/$defs/b"}, "b": {"$ref": "#/$defs/a"}}}, "leads back"),
        ({"$ref": "#/$defs/a", "maxLength": 1, "$defs": {"a": {"maxLength": 2}}}, "another 'maxLength'"),
        ({"$ref": "#/$defs/a", "properties": {}, "$defs": {"a": {"additionalProperties": False}}}, "both sides"),
        ({"quantity": "lenght"}, "there is no quantity 'lenght'"),
        ({"quantity": "length", "quantity-minimum": "2 apples"}, "'2 apples' is no bound of a length"),
        ({"quantity": "length", "quantity-maximum": "unknown"}, "a bound must be known"),
        ({"quantity": "size", "quantity-maximum": "2x8"}, "'size' has no bounds"),
        ({"quantity-maximum": "2 in"}, "bounds of a quantity without 'quantity'"),
    ],
)
def test_schemas_outside_of_the_subset(schema: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError) as caught:
        compile_schema(schema)
    assert message in str(caught.value)
    assert str(caught.value).startswith("#")


def test_what_stands_beside_a_reference_comes_first() -> None:
    root = {"$defs": {"a": {"$ref": "#/$defs/b", "description": "a"}, "b": {"description": "b", "type": "string"}}}
    assert resolve({"$ref": "#/$defs/a", "title": "t"}, root) == {"title": "t", "description": "a", "type": "string"}
    assert resolve({"$ref": "#/$defs/b", "description": "own", "type": "string"}, root)["description"] == "own"
    converter = compile_schema({"$ref": "#/$defs/a", "maxLength": 2, "$defs": root["$defs"]})
    assert run("ab", converter) == ("ab", [])
    assert [p.code for p in run("abc", converter)[1]] == ["too-long"]


def test_a_bound_without_a_unit_is_in_the_internal_unit() -> None:
    converter = compile_schema({"type": "string", "quantity": "slope", "quantity-maximum": "0.5"})
    assert run("1/4 in per ft", converter)[1] == []
    assert [p.code for p in run("8 in per ft", converter)[1]] == ["absurd"]


def test_definitions_can_wait_until_they_are_needed() -> None:
    schema = {"properties": {"a": {"$ref": "#/$defs/a"}, "b": {"$ref": "#/$defs/b"}}, "$defs": {"a": {"oneOf": []}}}
    schema["$defs"]["b"] = {"type": "object", "properties": {"b": {"$ref": "#/$defs/b"}}}
    with pytest.raises(ValueError, match="oneOf"):
        compile_schema(schema)
    converter = compile_schema(schema, lazily=True)
    assert run("b: {b: {b: {}}}", converter) == ({"b": {"b": {"b": {}}}}, [])
    assert run("b: {b: {b: {}}}", converter) == ({"b": {"b": {"b": {}}}}, [])
    with pytest.raises(ValueError, match="oneOf"):
        run("a: 1", converter)


def test_the_shipped_schema_is_within_the_subset() -> None:
    assert compile_schema(inspect_core.site.schema()).schema is inspect_core.site.schema()
    Draft202012Validator.check_schema(inspect_core.site.schema())
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("length", "a length"), ("area", "an area"), ("line-load", "a line load"), ("size", "a lumber size"),
        ("extent", "two lengths"), ("positions", "a row of positions"), ("count", "a whole number"),
    ],
)  # fmt: skip
def test_nouns(word: str, name: str) -> None:
    assert noun(word) == name


# --- agreement with jsonschema ---


def structural(problems: tuple[Problem, ...]) -> list[str]:
    return [problem.code for problem in problems if not problem.code.startswith(QUANTITY_CODES)]


def has_null(value: Any) -> bool:
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return value is None or any(map(has_null, parts))


def agree(converter: Converter, data: Any, is_valid: Callable[[Any], bool]) -> bool:
    """Whether the data is valid; both must say the same, and each no comes with words that jsonschema found."""
    document = Document("f", data)
    _, problems = converter.convert(document, lambda data: "in")
    codes = structural(problems)
    assert "not-as-described" not in codes, problems
    assert bool(codes) == bool(explain.explain(document, converter.schema))
    if not has_null(data):  # to jsonschema an empty value is a value; only to us it is none
        assert (not codes) == is_valid(data)
    assert all(document.where(problem.path) == Mark(1, 1) for problem in problems)
    return not codes


EVERY_SCALAR = [None, True, False, 0, 1, 1.0, 2, 3.5, -1, 10**20, "", "x", "in", "true", "1", "unknown", "a" * 70]
SCALARS = st.sampled_from(EVERY_SCALAR)
ANYTHING = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(["at", "A1", "left", "zz"]), inner),
    max_leaves=5,
)


def containers(value: Any) -> list[Any]:
    if not isinstance(value, (dict, list)):
        return []
    parts = value.values() if isinstance(value, dict) else value
    return [value, *(inner for part in parts for inner in containers(part))]


@st.composite
def mutated(draw: st.DrawFn) -> Any:
    """The good document after one to four changes anywhere in it."""
    data: Any = copy.deepcopy(GOOD)
    for _ in range(draw(st.integers(1, 4))):
        where = draw(st.sampled_from(containers(data)))
        if isinstance(where, dict):
            keys = sorted(where) or ["at"]
            key = draw(st.sampled_from(keys) | st.sampled_from(["zz", "at", "A1", "name", "depth"]))
            if draw(st.booleans()):
                where.pop(key, None)
            else:
                where[key] = draw(ANYTHING)
        elif where and draw(st.booleans()):
            where[draw(st.integers(0, len(where) - 1))] = draw(ANYTHING)
        else:
            where.append(draw(ANYTHING))
    return data


VALIDATOR = Draft202012Validator(SCHEMA)


@settings(max_examples=120, deadline=None)
@given(mutated())
def test_agrees_with_jsonschema_on_changed_documents(data: Any) -> None:
    agree(CONVERTER, data, VALIDATOR.is_valid)


def test_the_good_document_is_good() -> None:
    assert agree(CONVERTER, GOOD, VALIDATOR.is_valid)


TYPES = ["object", "array", "string", "number", "integer", "boolean", "null"]
SMALL_SCHEMAS: list[dict[str, Any]] = [
    {},
    *({"type": name} for name in TYPES),
    {"type": ["integer", "string"]},
    {"type": ["integer", "number"], "minimum": 1},
    {"type": ["null", "boolean"]},
    *({"const": value} for value in EVERY_SCALAR),
    {"enum": [1, "x"]},
    {"enum": [True, "unknown"]},
    {"enum": [1.0, False, None]},
    {"enum": [0, True], "type": "boolean"},
    {"enum": [1, True, "x"], "const": 1},
    {"enum": [True, "x"], "const": 1},
    {"enum": [3.5, 1, 0], "type": "integer", "minimum": 1},
    {"enum": ["x", "unknown"], "maxLength": 2},
    {"const": "x", "type": "number"},
    *({keyword: 1} for keyword in ("minimum", "maximum", "exclusiveMinimum", "minLength", "maxLength")),
    {"minimum": 1, "exclusiveMinimum": 0, "maximum": 3.5},
    {"type": "integer", "exclusiveMinimum": 1},
    {"minItems": 1, "maxItems": 2},
    {"items": {"type": "integer"}},
    {"required": ["at"]},
    {"required": ["at"], "properties": {"at": {"type": "string"}}, "additionalProperties": False},
    {"additionalProperties": False},
    {"additionalProperties": True, "properties": {"at": {"type": "null"}}},
    {"additionalProperties": {"type": "string"}, "properties": {"at": {"type": "integer"}}},
    {"propertyNames": {"pattern": "t$"}},
    {"propertyNames": {"minLength": 2, "maxLength": 3}},
    {"propertyNames": {"enum": ["at", "x"]}},
]
SMALL_VALUES: list[Any] = [
    *EVERY_SCALAR, [], [1], ["x"], [1, 2], [1, 2, 3], [None], [True], [1.0], [3.5], [[]], {}, {"at": 1}, {"at": "x"},
    {"at": None}, {"x": 1}, {"x": "x"}, {"x": None}, {"at": 1, "x": "x"}, {"at": "x", "x": None}, {"long": 1},
    {"long": None}, {"at": {}}, {"at": 1.0, "xyzt": "x"},
]  # fmt: skip


@pytest.mark.parametrize("schema", SMALL_SCHEMAS, ids=str)
def test_agrees_with_jsonschema_on_each_keyword(schema: dict[str, Any]) -> None:
    converter = compile_schema(schema)
    validator = Draft202012Validator(schema)
    for value in SMALL_VALUES:
        if value is not None:  # the reader refuses a file that is empty
            agree(converter, value, validator.is_valid)


@st.composite
def schemas(draw: st.DrawFn, depth: int = 2) -> dict[str, Any]:
    """Any schema of the subset, without references."""
    schema: dict[str, Any] = {}
    small = st.integers(0, 3)

    def maybe(keyword: str, values: st.SearchStrategy[Any]) -> None:
        if draw(st.integers(0, 4)) == 0:
            schema[keyword] = draw(values)

    names = st.sampled_from(TYPES)
    if draw(st.booleans()):
        schema["type"] = draw(names | st.lists(names, min_size=1, max_size=3, unique=True))
    maybe("enum", st.lists(SCALARS, min_size=1, max_size=4))
    maybe("const", SCALARS)
    for keyword in ("minItems", "maxItems", "minLength", "maxLength"):
        maybe(keyword, small)
    for keyword in ("minimum", "maximum", "exclusiveMinimum"):
        maybe(keyword, small | st.just(1.5))
    if depth:
        maybe("items", schemas(depth - 1))
        maybe("properties", st.dictionaries(st.sampled_from(["at", "A1", "left"]), schemas(depth - 1), max_size=2))
        maybe("additionalProperties", st.booleans() | schemas(depth - 1))
        maybe("required", st.lists(st.sampled_from(["at", "zz"]), max_size=2, unique=True))
        maybe("propertyNames", st.sampled_from([{"pattern": "^[a-z]"}, {"maxLength": 2}, {"enum": ["at", "zz"]}]))
    return schema


@settings(max_examples=100, deadline=None)
@given(schemas(), st.lists(ANYTHING.filter(lambda value: value is not None), min_size=1, max_size=4))
def test_agrees_with_jsonschema_on_any_schema_of_the_subset(schema: dict[str, Any], values: list[Any]) -> None:
    assume(schema)
    converter = compile_schema(schema)
    validator = Draft202012Validator(schema)
    for value in values:
        agree(converter, value, validator.is_valid)
