"""The schema's examples in a metric file: what an error or a question shows must not be read as millimetres of inches."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from inspect_core.quantities import Dimension, is_unknown, parse, parse_extent, parse_positions
from inspect_core.site import InputError, schema, site_from_text
from inspect_core.site.examples import example_in
from inspect_core.site.reader import read_text

CLOSE = 0.5 / 25.4 + 1e-9  # in: whole millimetres


def described(node: Mapping[str, Any], at: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every part of the schema that has examples, with its place."""
    if "examples" in node:
        yield at, node
    for name in ("properties", "$defs"):
        for key, part in node.get(name, {}).items():
            yield from described(part, f"{at}/{key}")
    for key in ("items", "additionalProperties"):
        if isinstance(node.get(key), Mapping):
            yield from described(node[key], f"{at}/{key}")


def inches(value: Any, word: str, units: Any) -> list[float]:
    if is_unknown(value):
        return []
    if word == "positions":
        row = parse_positions(str(value), units)
        return [row[0].low, row[1].low - row[0].low]
    found = parse_extent(str(value), units) or () if word == "extent" else (parse(value, Dimension(word), units),)
    return [q.low for q in found if q is not None]


def agree(inch: Any, metric: Any, node: Mapping[str, Any]) -> bool:
    """Every quantity says the same in both."""
    node = {**schema()["$defs"].get(node.get("$ref", "").removeprefix("#/$defs/"), {}), **node}
    if isinstance(inch, dict):
        known, others = node.get("properties", {}), node.get("additionalProperties")
        assert inch.keys() == metric.keys()
        return all(agree(inch[key], metric[key], known.get(key, others)) for key in inch)
    if isinstance(inch, list):
        return all(agree(one, other, node["items"]) for one, other in zip(inch, metric, strict=True))
    word = node.get("quantity")
    if word is None or word == "size":  # a size has its own units
        return bool(inch == metric)
    return inches(inch, word, "in") == pytest.approx(inches(metric, word, "mm"), abs=CLOSE)


@pytest.mark.parametrize(("at", "node"), [pytest.param(at, node, id=at) for at, node in described(schema(), "")])
def test_an_example_says_the_same_in_both_units(at: str, node: Mapping[str, Any]) -> None:
    for example in node["examples"]:
        assert example_in("in", example, node, schema()) is example
        assert agree(example, example_in("mm", example, node, schema()), node)


SITE = "format: 1\nunits: {units}\nsite: {{name: x, invented: true}}\nareas:\n- id: a\n  {rest}\n"


def examples(units: str, rest: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        site_from_text(SITE.format(units=units, rest=rest), "x")
    return [problem.example for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("rest", "imperial", "metric"),
    [
        ("supports: [{id: S1, widht: 4}]", "width: 5 1/2", "width: 140"),
        ("supports: [{id: S1, width: [4]}]", "width: 5 1/2", "width: 140"),
        ("supports: [{id: S1, width: 90 ft}]", "width: 5 1/2", "width: 140"),
        ("joists: [{name: J, each: {size: 2x8}, at: {a: 1}}]", "at: every 16 from 0 to 112", "at: every 406 from 0 to 2845"),
        ("supports: [{id: S1, across: [3 m, 2 m]}]", "[40, 64]", "[1000, 1600]"),
        ("joists: [{name: J, at: [0, 1 m], also: {J2: {at: 2 m}}}]", "also: {J2A: {at: 56}}", "also: {J2A: {at: 1400}}"),
        ("joists: [{name: J, at: [1 m, 1 m]}]", "sisters: [{size: 2x8, full_length: true}]",
         "sisters: [{size: 45 x 195 mm, full_length: true}]"),
        ("corners: [[0, 0], [1 m, 0], [2 m, 0]]", "[[0, 0], [9 ft, 0], [9 ft, 7 ft], [0, 7 ft]]",
         "[[0, 0], [2700, 0], [2700, 2100], [0, 2100]]"),
    ],
)  # fmt: skip
def test_errors_show_examples_in_the_files_units(rest: str, imperial: str, metric: str) -> None:
    assert examples("in", rest)[0] == imperial
    assert examples("mm", rest)[0] == metric
    read_text(metric, "x")


@pytest.mark.parametrize(
    "rest",
    [
        "joists: [{name: J, at: [0], each: {thickness: 0}}]",
        "joists: [{name: J, at: [0], each: {sisters: [{depth: 0}]}}]",
        "supports: [{id: S1, depth: 0}]",
        "posts: [{id: P1, thickness: 0 .. 3 1/2}]",
    ],
)
def test_no_piece_of_wood_is_as_thin_as_nothing(rest: str) -> None:
    with pytest.raises(InputError, match="can hardly be right"):
        site_from_text(SITE.format(units="in", rest=rest), "x")


def test_a_name_that_nobody_has() -> None:
    def expected(rest: str) -> list[str]:
        with pytest.raises(InputError) as caught:
            site_from_text(SITE.format(units="in", rest=rest), "x")
        return [problem.expected for problem in caught.value.problems]

    assert expected("posts: [{id: P1, under: B1}]") == ["no support is listed in this file"]
    lines = ", ".join(f"{{id: S{n}}}" for n in range(1, 16))
    some = ", ".join(f"S{n}" for n in range(1, 13))
    assert expected(f"supports: [{lines}]\n  posts: [{{id: P1, under: B1}}]") == [f"one of: {some}, … (3 more)"]
