"""The site schema as a form sees it: parts, their fields in order, for each what to ask and how to measure it.

The schema is the only source. `form_words.yaml` adds order, grouping and words; a field that it does not name is
there all the same. The kinds of fields:

| kind | value in the file | more keys |
|---|---|---|
| fixed | always `value` | value |
| text | text | names (of which kinds of things it may be), name (it names this thing) |
| length, extent, size | as on a tape, as two lengths, as a lumber size | |
| number | another quantity, or a year | of |
| choice | one of `words` | words |
| yesno | true, false or unknown | |
| places | a pattern or a list of lengths | |
| pair | a list of two, called `ends` | item, ends |
| list | a list | item, least |
| map | a mapping by names | item, names |
| part | a mapping, described in `parts` | part |

A map or part may have `first`: the positions of the fields that are asked first there.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from inspect_core.quantities.dimensions import FACTS, Dimension, Units
from inspect_core.site import schema
from inspect_core.site.examples import example_in

Field = dict[str, Any]
ROOT = ""  # the name of the part that is the whole file
_TYPED = ("length", "extent", "size")


@cache
def words() -> dict[str, Any]:
    """`form_words.yaml`, as data; do not change it."""
    import yaml

    text = files("inspect_core.report.form").joinpath("form_words.yaml").read_text("utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def describe() -> dict[str, Any]:
    """All that the page needs to know: `{"parts": {name: part}, "examples": …}`; the whole file is the part called "".

    A part is `{"says", "one", "prefix", "made_up", "fields", "required", "sections"}`; a section is `{"title", "first",
    "more"}` with positions in `fields`. A part without sections of its own has one, without a title.
    """
    source = schema()
    parts = {ROOT: _part(ROOT, source)}
    parts |= {name: _part(name, definition) for name, definition in source["$defs"].items()}
    examples = {
        dimension.value: {"in": facts.example["in"], "mm": facts.example["mm"]} for dimension, facts in FACTS.items()
    }
    return {"parts": parts, "examples": examples}


def _part(name: str, definition: Mapping[str, Any]) -> dict[str, Any]:
    properties = definition["properties"]
    order = _order(name, properties)
    fields = [_field(name, key, properties[key]) for key in order]
    return {
        "says": definition.get("description", ""),
        "one": _one(name),
        "prefix": words()["prefix"].get(name, ""),
        "made_up": words()["made_up"].get(name, []),
        "required": definition.get("required", []),
        "fields": fields,
        "sections": _sections(name, order, properties),
    }


def _one(name: str) -> str:
    return str(words()["one"].get(name, name.replace("_", " ")))


def _order(name: str, properties: Mapping[str, Any]) -> list[str]:
    """Keys in the order of the words file, then the others as they stand in the schema."""
    named = [key for section in words()["sections"].get(name, ()) for key in section["fields"]]
    named += words()["first"].get(name, ())
    strangers = [key for key in named if key not in properties]
    if strangers:
        raise ValueError(f"form_words.yaml: {name or 'the file'} has no {', '.join(strangers)}")
    return list(dict.fromkeys([*named, *properties]))


def _sections(name: str, order: list[str], properties: Mapping[str, Any]) -> list[dict[str, Any]]:
    sections = words()["sections"].get(name)
    if sections is None:
        first = words()["first"].get(name, order)
        more = [key for key in order if key not in first]
        return [{"title": "", "first": [order.index(key) for key in first], "more": [order.index(key) for key in more]}]
    told = {key for section in sections for key in section["fields"]}
    rest = [key for key in order if key not in told and "const" not in properties[key]]
    found = [
        {
            "title": one["title"],
            "open": one.get("open", False),
            "first": [order.index(key) for key in one["fields"]],
            "more": [],
        }
        for one in sections
    ]
    if rest:
        found.append({"title": "Everything else", "first": [order.index(key) for key in rest], "more": []})
    return found


def _field(part: str, key: str, definition: Mapping[str, Any]) -> Field:
    asked = _shape(part, key, definition)
    field: Field = {"key": key, "label": _told("labels", part, key, key.replace("_", " ")), **asked}
    # A part's own description serves where its field has none.
    says = _told("says", part, key, definition.get("description") or _definition(definition).get("description", ""))
    measure = definition.get("measure", {})
    field |= {"says": says, "how": measure.get("how", ""), "tool": measure.get("tool", "")}
    asked_first = words()["first_within"].get(f"{part}.{key}")
    if asked_first is not None:
        inner = asked.get("part") or asked["item"]["part"]
        order = _order(inner, schema()["$defs"][inner]["properties"])
        field["first"] = [order.index(name) for name in asked_first]
    return {name: value for name, value in field.items() if value not in ("", None)}


def _definition(definition: Mapping[str, Any]) -> Mapping[str, Any]:
    found: Mapping[str, Any] = schema()["$defs"].get(str(definition.get("$ref", "")).removeprefix("#/$defs/"), {})
    return found


def _shape(part: str, key: str, definition: Mapping[str, Any]) -> Field:
    """The kind of field, and what that kind needs."""
    quantity, kind = definition.get("quantity"), definition.get("type")
    if "$ref" in definition:
        return {"kind": "part", "part": definition["$ref"].removeprefix("#/$defs/")}
    if "const" in definition:
        return {"kind": "fixed", "value": definition["const"]}
    if "enum" in definition:
        choices = definition["enum"]
        return {"kind": "yesno"} if True in choices else {"kind": "choice", "words": choices}
    if quantity == "positions":
        item = {"key": "", "label": definition["items"]["description"], **_shape(part, "", definition["items"])}
        return {"kind": "places", "item": item, **_limits(definition)}
    if quantity in _TYPED:
        return {"kind": quantity, **_limits(definition)}
    if quantity is not None:
        return {"kind": "number", "of": quantity, "unit": _unit(quantity), **_limits(definition)}
    if kind == "array":
        return _list(part, key, definition)
    if kind == "object":
        item = _field(part, "", definition["additionalProperties"])
        return {"kind": "map", "item": item, "names": _told("refers", part, key, [])}
    if kind == "string":
        named = key in words()["names"] or f"{part}.{key}" in words()["names"]
        return {
            "kind": "text",
            "names": _told("refers", part, key, None),
            "name": named or None,
            **_limits(definition),
        }
    if "integer" in (kind or ()):
        return {"kind": "number", "of": "", "unit": "", **_limits(definition)}
    raise ValueError(f"site.schema.json: no form field for {part}.{key}: {definition}")


def _list(part: str, key: str, definition: Mapping[str, Any]) -> Field:
    item = _field(part, key, definition["items"])
    if definition.get("minItems") == definition.get("maxItems") == 2:
        names = words()["pairs"].get(key)
        if names is None:
            raise ValueError(f"form_words.yaml: no words for the two ends of {part}.{key}")
        return {"kind": "pair", "item": {**item, "label": ""}, "ends": names}
    least = definition.get("minItems", 0)
    ordered = key in words()["ordered"] or None
    return {"kind": "list", "item": {**item, "label": ""}, "least": least, "ordered": ordered}


def _limits(definition: Mapping[str, Any]) -> Field:
    return {"longest": definition.get("maxLength"), "example": _example(definition)}


def _example(definition: Mapping[str, Any]) -> dict[str, str] | None:
    """How a value is written, in a file of either unit."""
    example = (definition.get("examples") or [None])[0]
    if example is None:
        return None
    both: tuple[Units, Units] = ("in", "mm")
    return {units: str(example_in(units, example, definition, schema())) for units in both}


def _unit(quantity: str) -> dict[str, str]:
    """The unit of a bare number in files of either unit; empty where a unit has to be written."""
    bare = FACTS[Dimension(quantity)].bare
    names = {units: unit.name if unit is not None else "" for units, unit in bare.items()}
    return {units: name for units, name in names.items() if name not in ("", "ratio", "count")}


def _told(table: str, part: str, key: str, otherwise: Any) -> Any:
    """What the words file says of a field: of this part's, of any of that key, or the fallback."""
    found = words()[table]
    return found.get(f"{part}.{key}", found.get(key, otherwise))
