"""Words for a document whose structure is wrong: every error that jsonschema finds, said for people.

Slow, and imported only when there is something to explain.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Callable, Iterator, Mapping
from itertools import islice
from typing import Any, Final

from jsonschema import Draft202012Validator, ValidationError
from jsonschema.validators import extend

from inspect_core.quantities import Units
from inspect_core.site.convert import noun, resolve
from inspect_core.site.examples import example_in
from inspect_core.site.problems import InputError, Problem, visible
from inspect_core.site.reader import Document, Path, read_text

MOST_ERRORS: Final = 1_000
_MOST_LISTED: Final = 12
_LONGEST_COMPARED: Final = 60  # difflib is quadratic

_TYPES: Final = {
    "object": "a group of keys",
    "array": "a list",
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "nothing",
}


def explain(document: Document, schema: Mapping[str, Any], units: Units = "in") -> tuple[Problem, ...]:
    """Every way in which the document's structure departs from the schema, in the order of the schema.

    The schema must be one that `compile_schema` accepts. Empty values (null) count as absent. `units` are those of bare
    numbers in the document.
    """
    explainer = _Explainer(document, schema, units)
    problems: dict[tuple[Path, str], Problem] = {}
    for error in islice(_Validator(dict(schema)).iter_errors(document.data), MOST_ERRORS):
        for problem in explainer.problems(error):
            problems.setdefault((problem.path, problem.code), problem)
    # "not one of these words" says more than "not a text".
    worded = {path for path, code in problems if code == "not-one-of"}
    return tuple(p for (path, code), p in problems.items() if code != "wrong-type" or path not in worded)


# --- jsonschema, with empty values taken for absent ones ---


def _properties(validator: Any, properties: Any, instance: Any, schema: Any) -> Iterator[ValidationError]:
    if validator.is_type(instance, "object"):
        for name, part in properties.items():
            if instance.get(name) is not None:
                yield from validator.descend(instance[name], part, path=name, schema_path=name)


def _required(validator: Any, required: Any, instance: Any, schema: Any) -> Iterator[ValidationError]:
    if validator.is_type(instance, "object"):
        for name in required:
            if instance.get(name) is None:
                yield ValidationError(name)


def _additional(validator: Any, additional: Any, instance: Any, schema: Any) -> Iterator[ValidationError]:
    if validator.is_type(instance, "object"):
        known = schema.get("properties", {})
        for name, value in instance.items():
            if name in known:
                continue
            if additional is False:
                yield ValidationError(name)
            elif value is not None:
                yield from validator.descend(value, additional, path=name)


_Validator: Any = extend(  # type: ignore[no-untyped-call]
    Draft202012Validator,
    {"properties": _properties, "required": _required, "additionalProperties": _additional},
)


# --- words ---


class _Explainer:
    def __init__(self, document: Document, schema: Mapping[str, Any], units: Units) -> None:
        self.document = document
        self.units = units
        self.root = schema
        self.by_keyword: dict[str, Callable[[Path, Any, dict[str, Any]], Problem]] = {
            "additionalProperties": self._unknown_key,
            "required": self._missing_key,
            "type": self._wrong_type,
            "enum": self._not_one_of,
            "const": self._not_one_of,
        }

    def problems(self, error: Any) -> Iterator[Problem]:
        path: Path = tuple(error.absolute_path)
        schema_path = error.absolute_schema_path
        if len(schema_path) > 1 and schema_path[-2] == "propertyNames":
            yield self._bad_name((*path, error.instance), error)
            return
        schema = self._schema_at(path)
        handler = self.by_keyword.get(str(error.validator), self._out_of_bounds)
        yield handler(path, error, schema)

    def _problem(self, path: Path, code: str, message: str, expected: str = "", example: str = "") -> Problem:
        mark = self.document.where_value(path) if code in _ABOUT_VALUES else self.document.where(path)
        return self.document.problem(mark, path, code, message, expected, example)

    def _unknown_key(self, path: Path, error: Any, schema: dict[str, Any]) -> Problem:
        name = error.message
        known = list(schema.get("properties", {}))
        likely = similar(name, known)
        message = f"there is no key {_shown(name)} {self._within(path)}"
        example = ""
        if name[:1].isdigit():  # `width: 5,5`: the comma ended the value
            message += "; a comma ends the value before it, so a number is written with a point: 5.5"
        elif likely:
            message += f"; did you mean {_shown(likely)}?"
            example = self._example((*path, likely))
        elif inner := self._inner_home(path, name, known):
            message += f"; it belongs under {_shown(inner)}"
        return self._problem((*path, name), "unknown-key", message, _listed(known), example)

    def _inner_home(self, path: Path, name: str, known: list[str]) -> str:
        """The one key beside `name` whose own keys hold it: people often forget a level."""
        homes = [key for key in known if name in self._schema_at((*path, key)).get("properties", {})]
        return homes[0] if len(homes) == 1 else ""

    def _missing_key(self, path: Path, error: Any, schema: dict[str, Any]) -> Problem:
        name = error.message
        here = (*path, name)
        if isinstance(error.instance, dict) and name in error.instance:
            message = f"{_shown(name)} has no value, but is needed {self._within(path)}"
        else:
            message = f"the key {_shown(name)} is missing {self._within(path)}"
        return self._problem(here, "missing-key", message, self._description(here), self._example(here))

    def _wrong_type(self, path: Path, error: Any, schema: dict[str, Any]) -> Problem:
        value = error.instance
        types = schema.get("type", [])
        types = [types] if isinstance(types, str) else types
        words = [_TYPES[name] for name in types if name != "null"]
        wanted = noun(schema["quantity"]) if "quantity" in schema else _either(words)
        message = f"{self._name(path)} should be {wanted}, not {_kind(value)}"
        if isinstance(value, str):
            message += f" ({_shown(value)})"
        example = self._example(path)
        if types == ["string"] and isinstance(value, (int, float)) and path and "quantity" not in schema:
            example = as_yaml(path[-1], f'"{_plain(value)}"')
        elif types == ["boolean"] and isinstance(value, str) and value.lower() in _YES_NO and path:
            example = as_yaml(path[-1], _YES_NO[value.lower()])
        return self._problem(path, "wrong-type", message, self._description(path), example)

    def _not_one_of(self, path: Path, error: Any, schema: dict[str, Any]) -> Problem:
        allowed = [error.validator_value] if error.validator == "const" else list(error.validator_value)
        words = [_plain(value) for value in allowed]
        value = error.instance
        if isinstance(value, (dict, list)) or value is None:
            message = f"{self._name(path)} should be one word, not {_kind(value)}"
            likely = ""
        else:
            message = f"{_shown(_plain(value))} is not known as {self._name(path)}"
            meant = _YES_NO.get(_plain(value).lower(), "")
            likely = meant if meant in words else similar(_plain(value), words)
        if likely:
            message += f"; did you mean {_shown(likely)}?"
        example = as_yaml(path[-1], likely) if likely and path else self._example(path)
        return self._problem(path, "not-one-of", message, _listed(words), example)

    def _out_of_bounds(self, path: Path, error: Any, schema: dict[str, Any]) -> Problem:
        name, limit = self._name(path), error.validator_value
        entries = "entry" if limit == 1 else "entries"
        code, message = {
            "minItems": ("too-few", f"{name} needs at least {limit} {entries}"),
            "maxItems": ("too-many", f"{name} may have at most {limit} {entries}"),
            "minLength": ("too-short", f"{name} needs at least {limit} character{'s' if limit != 1 else ''}"),
            "maxLength": ("too-long", f"{name} may have at most {limit} characters"),
            "minimum": ("too-small", f"{name} should be at least {limit}"),
            "exclusiveMinimum": ("too-small", f"{name} should be more than {limit}"),
            "maximum": ("too-large", f"{name} should be at most {limit}"),
        }.get(str(error.validator), ("wrong-value", f"{name} doesn't have the form that it should have"))
        value = error.instance
        if code != "wrong-value":
            message += f", not {len(value) if isinstance(value, (list, str)) else value}"
        return self._problem(path, code, message, self._description(path), self._example(path))

    def _bad_name(self, path: Path, error: Any) -> Problem:
        message = f"{_shown(str(error.instance))} can't be a key {self._within(path[:-1])}"
        limit = error.validator_value
        if error.validator == "pattern":
            expected = f"a name of the form {limit}"
        elif error.validator == "enum":
            expected = _listed(limit)
        else:
            expected = f"at {'least' if error.validator == 'minLength' else 'most'} {limit} characters"
        return self._problem(path, "bad-name", message, expected)

    def _schema_at(self, path: Path) -> dict[str, Any]:
        """What the schema says about the part at `path`; empty where it says nothing."""
        schema = resolve(self.root, self.root)
        for step in path:
            if isinstance(step, int):
                part = schema.get("items")
            else:
                part = schema.get("properties", {}).get(step, schema.get("additionalProperties"))
            if not isinstance(part, Mapping):
                return {}
            schema = resolve(part, self.root)
        return schema

    def _description(self, path: Path) -> str:
        return str(self._schema_at(path).get("description", ""))

    def _example(self, path: Path) -> str:
        schema = self._schema_at(path)
        if not schema.get("examples"):
            return ""
        example = example_in(self.units, schema["examples"][0], schema, self.root)
        # A quantity may be written with or without quotes.
        text = _plain(example) if "quantity" in schema and isinstance(example, str) else as_text(example)
        return as_yaml(path[-1] if path else "", text)

    def _name(self, path: Path) -> str:
        """How to call a value: by its key, or by its place in a list."""
        if not path:
            return "the file"
        last = path[-1]
        if isinstance(last, str):
            return _shown(last)
        return f"entry {last + 1} of {self._name(path[:-1])}" if len(path) > 1 else f"entry {last + 1}"

    def _within(self, path: Path) -> str:
        return f"in {self._name(path)}" if path else "at the top of the file"


_ABOUT_VALUES: Final = frozenset(
    (
        "wrong-type",
        "wrong-value",
        "not-one-of",
        "too-few",
        "too-many",
        "too-short",
        "too-long",
        "too-small",
        "too-large",
    )
)


def similar(word: str, words: list[str]) -> str:
    """The one of `words` that was most likely meant by `word`; "" if none is near."""
    if len(word) > _LONGEST_COMPARED:
        return ""
    plain = {_normal(candidate): candidate for candidate in reversed(words) if len(candidate) <= _LONGEST_COMPARED}
    wanted = _normal(word)
    if wanted in plain:
        return plain[wanted]
    near = difflib.get_close_matches(wanted, plain, n=1, cutoff=0.6)
    if near:
        return plain[near[0]]
    holding = [candidate for candidate in plain if wanted and wanted in candidate]
    return plain[holding[0]] if len(holding) == 1 else ""


_YES_NO: Final = {
    **dict.fromkeys(("yes", "y", "on", "true"), "true"),
    **dict.fromkeys(("no", "n", "off", "false"), "false"),
}


def _normal(word: str) -> str:
    return "-".join(word.casefold().replace("_", " ").replace("-", " ").split())


def _plain(value: Any) -> str:
    """A scalar as YAML writes it."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value)


def _shown(text: str) -> str:
    return f"'{visible(text if len(text) <= 40 else text[:39] + '…')}'"


def _kind(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return f"the number {_shorter(str(value))}"
    if isinstance(value, str):
        return "text"
    return "a list" if isinstance(value, list) else "a group of keys" if isinstance(value, dict) else "nothing"


def _shorter(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


def _either(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}" if words else "something else"


def _listed(words: list[str]) -> str:
    if not words:
        return "no key"
    more = f", … ({len(words) - _MOST_LISTED} more)" if len(words) > _MOST_LISTED else ""
    return ("one of: " if len(words) > 1 else "") + ", ".join(words[:_MOST_LISTED]) + more


def as_yaml(key: str | int, value: str) -> str:
    """A key with its value, or an entry of a list."""
    return f"- {value}" if isinstance(key, int) else f"{key}: {value}" if key else value


def as_text(value: Any, inside: bool = False) -> str:
    """A value as YAML in one line; `inside` brackets more texts need quotes."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {as_text(part, True)}" for key, part in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(as_text(part, True) for part in value) + "]"
    text = _plain(value)
    if isinstance(value, str):
        try:
            if read_text(f"[{text}]" if inside else f"- {text}", "").data == [value]:
                return text
        except InputError:
            pass
        return json.dumps(text, ensure_ascii=False)
    return text
