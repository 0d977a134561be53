"""The schema of site descriptions: whole, explained everywhere, and safe for other programs that read YAML."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from inspect_core.quantities import Dimension
from inspect_core.site import InputError, schema, site_from_text
from inspect_core.site.convert import compile_schema
from inspect_core.site.reader import read_text
from inspect_core.site.starter import starter

SCHEMA = schema()
DEFINITIONS: dict[str, dict[str, Any]] = SCHEMA["$defs"]
SAMPLES = sorted((Path(__file__).parents[1] / "sample_sites").glob("*.site.yaml"))
PROPERTIES = {
    f"{part}.{name}": described
    for part, definition in (("", SCHEMA), *DEFINITIONS.items())
    for name, described in definition.get("properties", {}).items()
}
# YAML 1.1 has these for true and false; some readers know the single letters too.
BOOLEAN_WORDS = frozenset(("y", "n", "yes", "no", "on", "off", "true", "false"))


def parts(value: Any, path: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema within the schema, with its place."""
    yield path, value
    for keyword in ("properties", "$defs"):
        for name, inner in value.get(keyword, {}).items():
            yield from parts(inner, f"{path}/{keyword}/{name}")
    for keyword in ("items", "additionalProperties", "propertyNames"):
        if isinstance(value.get(keyword), dict):
            yield from parts(value[keyword], f"{path}/{keyword}")


ALL = dict(parts(SCHEMA))


def referred(described: dict[str, Any]) -> dict[str, Any]:
    return DEFINITIONS[described["$ref"].removeprefix("#/$defs/")] if "$ref" in described else {}


def test_it_is_json_schema_2020_12() -> None:
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(SCHEMA)


def test_the_converter_knows_every_keyword_of_every_part() -> None:
    for name in DEFINITIONS:  # each by itself: one that nobody refers to is compiled too
        compile_schema({"$ref": f"#/$defs/{name}", "$defs": DEFINITIONS})
    compile_schema(SCHEMA)


def test_every_definition_is_used() -> None:
    used = {part["$ref"] for part in ALL.values() if "$ref" in part}
    assert used == {f"#/$defs/{name}" for name in DEFINITIONS}


def test_every_property_is_described() -> None:
    lacking = [n for n, p in PROPERTIES.items() if not str({**referred(p), **p}.get("description", "")).strip()]
    assert lacking == []


def test_every_property_has_an_example() -> None:
    """Its own, or that of what it refers to, or of what it lists."""
    lacking = [
        name
        for name, p in PROPERTIES.items()
        if not any(part.get("examples") for part in (p, referred(p), p.get("items", {}), referred(p.get("items", {}))))
    ]
    assert lacking == []


def test_every_way_to_measure_has_a_how_and_a_tool() -> None:
    told = {path: set(part["measure"]) for path, part in ALL.items() if "measure" in part}
    assert {path: keys for path, keys in told.items() if keys != {"how", "tool"}} == {}
    assert len(told) > 100  # or the list of what to measure would say little


def test_every_quantity_is_known() -> None:
    known = {dimension.value for dimension in Dimension} | {"extent", "size", "positions"}
    assert {part["quantity"] for part in ALL.values() if "quantity" in part} <= known


def test_examples_are_right() -> None:
    """By the schema as any validator reads it, and by our own converter."""
    validator = Draft202012Validator(SCHEMA)
    wrong = {}
    for name, described in {**PROPERTIES, **DEFINITIONS}.items():
        converter = compile_schema({**described, "$defs": DEFINITIONS}, lazily=True)
        for example in described.get("examples", ()):
            faults = [error.message for error in validator.descend(example, described)]
            faults += [p.message for p in converter.convert(read_text(json.dumps(example), "x"), lambda _: "in")[1]]
            if faults:
                wrong[name] = faults
    assert wrong == {}


# --- words ---


def words() -> Iterator[tuple[str, str]]:
    """Every key and every word of ours, with its place."""
    for path, part in ALL.items():
        yield from ((path, name) for name in part.get("properties", ()))
        yield from ((path, word) for word in part.get("enum", ()) if isinstance(word, str))
        if isinstance(part.get("const"), str):
            yield path, part["const"]


def test_no_word_of_ours_is_a_boolean_to_other_readers() -> None:
    assert [(path, word) for path, word in words() if word.casefold() in BOOLEAN_WORDS] == []


def test_every_word_of_ours_is_text_to_a_yaml_1_1_reader() -> None:
    # PyYAML reads YAML 1.1: dates, times as numbers to the base of 60, and so on.
    assert [(path, word) for path, word in words() if yaml.safe_load(word) != word] == []


def test_every_choice_can_be_left_unknown() -> None:
    """Of what is looked at on site; units and the like are no measurements."""
    given = ("#/properties/units",)
    closed = [
        path for path, part in ALL.items() if "enum" in part and "unknown" not in part["enum"] and path not in given
    ]
    assert closed == []


# --- the two readers of the schema agree ---

FILES = {"starter-in": starter("in"), "starter-mm": starter("mm"), **{s.name: s.read_text("utf-8") for s in SAMPLES}}


@pytest.mark.parametrize("text", FILES.values(), ids=FILES)
def test_a_plain_validator_accepts_what_we_accept(text: str) -> None:
    try:
        site_from_text(text)
    except InputError as error:
        pytest.fail(str(error))
    validator = Draft202012Validator(SCHEMA)
    ours = [(error.json_path, error.message) for error in validator.iter_errors(read_text(text, "x").data)]
    # Another program reads the file as YAML 1.1: it must find the same there.
    # (It takes 2026-03-14 for a date, which it writes as the same text again.)
    read_elsewhere = json.loads(json.dumps(yaml.safe_load(text), default=str))
    others = [(error.json_path, error.message) for error in validator.iter_errors(read_elsewhere)]
    assert (ours, others) == ([], [])


@pytest.mark.parametrize("part", ["pier", "footing"])
@pytest.mark.parametrize("side", ["width", "length"])
def test_what_carries_a_floor_has_a_size(part: str, side: str) -> None:
    """Its pressure is a load over its area: none is no measurement."""
    text = f"format: 1\nunits: in\nsite: {{name: x}}\nareas: [{{id: a, {part}s: [{{id: P, {side}: 0}}]}}]\n"
    with pytest.raises(InputError) as caught:
        site_from_text(text, "x")
    assert [problem.code for problem in caught.value.problems] == ["absurd"]
