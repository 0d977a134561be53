"""The schema's examples as they stand in a file: its bare lengths are inches, and a metric file needs millimetres."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from inspect_core.quantities import Dimension, Units, number_in, parse

_OF_LENGTHS: Final = frozenset(("length", "extent", "positions"))
_BARE: Final = re.compile(r"(?:[\d\s/.]|every|from|to|x)+")
_NUMBER: Final = re.compile(r"\d+ \d+/\d+|\d+(?:/\d+|\.\d+)?")
_WHOLE_FROM: Final = 10  # mm: what is thinner keeps a decimal


def example_in(units: Units, example: Any, schema: Mapping[str, Any], root: Mapping[str, Any]) -> Any:
    """An example of ``schema`` for a file of ``units``; ``root`` holds the definitions that the schema refers to."""
    if units == "in":
        return example
    ref = schema.get("$ref")
    if ref is not None:
        schema = {**root["$defs"][ref.removeprefix("#/$defs/")], **schema}
    if isinstance(example, dict):
        known, others = schema.get("properties", {}), schema.get("additionalProperties")
        parts = {key: known.get(key, others) for key in example}
        return {key: example_in(units, value, _mapping(parts[key]), root) for key, value in example.items()}
    if isinstance(example, list):
        return [example_in(units, item, _mapping(schema.get("items")), root) for item in example]
    if schema.get("quantity") in _OF_LENGTHS and _is_bare(example):
        text = str(example)
        if _NUMBER.fullmatch(text):
            return _millimetres(text)
        return _NUMBER.sub(lambda found: str(_millimetres(found[0])), text)
    return example


def _mapping(schema: Any) -> Mapping[str, Any]:
    return schema if isinstance(schema, Mapping) else {}


def _is_bare(example: Any) -> bool:
    return not isinstance(example, bool) and _BARE.fullmatch(str(example)) is not None


def _millimetres(text: str) -> int | float:
    inches = parse(text, Dimension.LENGTH, "in")
    assert inches is not None
    number = number_in(inches.low, Dimension.LENGTH, "mm")
    return round(number) if number >= _WHOLE_FROM else round(number, 1)
