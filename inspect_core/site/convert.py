"""A schema, compiled to closures that check plain data and turn its texts into quantities in one walk.

Only a subset of JSON Schema 2020-12 is known: `$ref` to "#/$defs/…", type, enum, const, properties,
required, additionalProperties, propertyNames (pattern, minLength, maxLength, enum), items, minItems,
maxItems, minLength, maxLength, minimum, maximum, exclusiveMinimum; the usual annotations; and three of ours:

- `"quantity"`: a dimension's word ("length", "load", …), "extent", "size" or "positions". The text or number
  becomes what `inspect_core.quantities` reads from it; "unknown" becomes None. A list is left to its items.
- `"quantity-minimum"`, `"quantity-maximum"`: a text with a unit (without one, where a bare number of that
  dimension means nothing, in the internal unit). A quantity that reaches beyond is a slip of the pen.

A value that is left empty (null) counts as absent: its key is dropped, whatever the schema says.

A valid file needs nothing else. For a file with a wrong structure `explain` finds the words.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any, Final, TypeAlias

from inspect_core import quantities
from inspect_core.quantities import Dimension, Quantity, QuantityError, Size, Units
from inspect_core.site.examples import example_in
from inspect_core.site.problems import Problem, position, visible
from inspect_core.site.reader import Document, Path

_Where: TypeAlias = "tuple[_Where, str | int] | None"  # a path from its end: (path of the parent, key)
_Handler: TypeAlias = "Callable[[Any, _Where, str | int, _Run], Any]"

MOST_POSITIONS: Final = 100_000
"""So many positions at most may come from all the rows of one file."""

_CLASSES: Final[dict[str, tuple[type, ...]]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "number": (int, float),
    "integer": (int, float),
    "boolean": (bool,),
    "null": (type(None),),
}
_QUANTITY_KEYWORDS: Final = frozenset(("quantity", "quantity-minimum", "quantity-maximum"))
_ANNOTATIONS: Final = _QUANTITY_KEYWORDS | {
    "title",
    "description",
    "examples",
    "default",
    "$comment",
    "measure",
}
_ROOT_ONLY: Final = frozenset(("$schema", "$id", "$defs"))
_ASSERTIONS: Final = (
    frozenset(("$ref", "type", "enum", "const", "minLength", "maxLength"))
    | frozenset(("minimum", "maximum", "exclusiveMinimum", "items", "minItems", "maxItems"))
    | frozenset(("properties", "required", "additionalProperties", "propertyNames"))
)
_KNOWN: Final = _ASSERTIONS | _ANNOTATIONS
_OF_NAMES: Final = frozenset(("pattern", "minLength", "maxLength", "enum"))
# additionalProperties sees only the properties beside it: a $ref must not bring others in.
_OBJECT_KEYWORDS: Final = frozenset(("properties", "additionalProperties"))
_NOUNS: Final = {
    "extent": "two lengths",
    "size": "a lumber size",
    "positions": "a row of positions",
    "count": "a whole number",
}
_INFINITY: Final = float("inf")


class _Run:
    """One conversion: what it needs to know and what it found."""

    __slots__ = ("document", "failures", "positions", "problems", "units")

    def __init__(self, document: Document, units: Units) -> None:
        self.document = document
        self.units = units
        self.failures: list[tuple[_Where, str | int, str]] = []
        self.problems: list[Problem] = []
        self.positions = 0  # made from "every … from … to …" so far

    def fail(self, parent: _Where, key: str | int, keyword: str) -> None:
        """Note that the structure is wrong; the words come later."""
        self.failures.append((parent, key, keyword))


class Converter:
    """A compiled schema; made by `compile_schema`, kept and used for many documents."""

    def __init__(self, schema: Mapping[str, Any], handler: _Handler) -> None:
        self.schema = schema
        self._handler = handler

    def convert(self, document: Document, units_of: Callable[[Any], Units]) -> tuple[Any, tuple[Problem, ...]]:
        """The document's data with quantities for texts, and all problems in the order of the file.

        `units_of` is given the plain data (an empty dict if that isn't a mapping) and says the unit of bare
        numbers. The converted data is whole only when there are no problems. The document isn't changed.
        """
        data = document.data
        run = _Run(document, units_of(data if data.__class__ is dict else {}))
        converted = self._handler(data, None, "", run)
        if run.failures:
            run.problems += _explained(run, self.schema)
        return converted, tuple(sorted(run.problems, key=position))


def compile_schema(schema: Mapping[str, Any], lazily: bool = False) -> Converter:
    """Compile a schema. Raises ValueError, with the place, for anything outside of the subset.

    `lazily` leaves each definition until a document needs it, which saves most of the time for a large schema
    and one small document; what is wrong in a definition then comes out only there.
    """
    compiler = _Compiler(schema, lazily)
    return Converter(schema, compiler.schema({k: v for k, v in schema.items() if k not in _ROOT_ONLY}, "#"))


def resolve(schema: Mapping[str, Any], root: Mapping[str, Any]) -> dict[str, Any]:
    """`schema` with its `$ref` replaced by what it points to; what stands beside the `$ref` comes first.

    Raises ValueError for a reference that doesn't lead to "#/$defs/…", that leads to itself, or that brings
    in a keyword which stands beside it with another value.
    """
    merged = dict(schema)
    seen: set[str] = set()
    while "$ref" in merged:
        ref = merged.pop("$ref")
        name = ref.removeprefix("#/$defs/") if isinstance(ref, str) else ""
        target = root.get("$defs", {}).get(name)
        if f"#/$defs/{name}" != ref or not isinstance(target, Mapping):
            raise ValueError(f"$ref {ref!r} doesn't lead to a definition in '#/$defs/'")
        if ref in seen:
            raise ValueError(f"$ref {ref!r} leads back to itself")
        seen.add(ref)
        if _OBJECT_KEYWORDS & merged.keys() and _OBJECT_KEYWORDS & target.keys():
            raise ValueError(f"$ref {ref!r}: properties on both sides of a $ref are outside of the subset")
        for keyword, value in target.items():
            if keyword in merged and keyword in _ASSERTIONS and merged[keyword] != value:
                raise ValueError(f"$ref {ref!r} brings in another {keyword!r} than the one beside it")
        merged = {**target, **merged}
    return merged


# --- what went wrong ---


def _path(parent: _Where, key: str | int) -> Path:
    steps = [key]
    while parent is not None:
        parent, step = parent
        steps.append(step)
    return tuple(reversed(steps[:-1]))  # the last step is the root's, which has no key


def _explained(run: _Run, schema: Mapping[str, Any]) -> list[Problem]:
    from inspect_core.site.explain import explain  # brings in jsonschema, which a valid file never needs

    document = run.document
    problems = list(explain(document, schema, run.units))
    if not problems:  # the two disagree; better a poor message than none
        for parent, key, keyword in run.failures:
            path = _path(parent, key)
            message = "this doesn't have the form that it should have"
            problems.append(document.problem(document.where(path), path, "not-as-described", message, keyword))
    return problems


# --- compiling ---


class _Compiler:
    def __init__(self, root: Mapping[str, Any], lazily: bool) -> None:
        self.root = root
        self.lazily = lazily
        self.known: dict[str, _Handler] = {}  # by reference
        self.being_compiled: set[str] = set()

    def schema(self, schema: Any, at: str) -> _Handler:
        """The handler of one schema; `at` is its place, for errors."""
        if not isinstance(schema, Mapping):
            raise ValueError(f"{at}: a schema must be a mapping")
        if "$ref" in schema and not _matters(schema):
            return self._reference(schema["$ref"], at)
        try:
            resolved = resolve(schema, self.root)
        except ValueError as error:
            raise ValueError(f"{at}: {error}") from None
        return self._compiled(resolved, at)

    def _reference(self, ref: Any, at: str) -> _Handler:
        if not isinstance(ref, str):
            raise ValueError(f"{at}: $ref must be text")
        if ref in self.known:
            return self.known[ref]
        if self.lazily or ref in self.being_compiled:  # the latter: a definition that holds itself

            def later(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
                handler = self.known.get(ref) or self._definition(ref, at)
                return handler(value, parent, key, run)

            return later
        return self._definition(ref, at)

    def _definition(self, ref: Any, at: str) -> _Handler:
        try:
            resolved = resolve({"$ref": ref}, self.root)
        except ValueError as error:
            raise ValueError(f"{at}: {error}") from None
        self.being_compiled.add(ref)
        self.known[ref] = self._compiled(resolved, ref)
        return self.known[ref]

    def _compiled(self, schema: dict[str, Any], at: str) -> _Handler:
        if not schema.keys() <= _KNOWN:
            strange = schema.keys() - _KNOWN
            raise ValueError(f"{at}: {', '.join(map(repr, sorted(strange)))} is outside of the subset")
        types = schema.get("type", list(_CLASSES))
        types = [types] if isinstance(types, str) else types
        if not isinstance(types, list) or not types or not set(types) <= _CLASSES.keys():
            raise ValueError(f"{at}: type {types!r} is not known")

        classes = {cls for name in types for cls in _CLASSES[name]}
        whole = "integer" in types and "number" not in types
        words = _words(schema, at)
        if words is not None:  # no other class of value can be right
            classes &= {word.__class__ for word in words}
        by_class: dict[type, _Handler] = dict.fromkeys(classes, _as_is)
        if str in classes:
            by_class[str] = _text(schema, at)
        if int in classes or float in classes:  # 2 and 2.0 are one value to JSON Schema
            number = _number(schema, at)
            by_class |= {int: number, float: _in_sequence(_whole, number) if whole else number}
        if list in classes:
            by_class[list] = self._list(schema, at)
        if dict in classes:
            by_class[dict] = self._mapping(schema, at)
        if words is not None:
            by_class = {cls: _one_of(words, cls, handler) for cls, handler in by_class.items()}
        if "quantity" in schema:
            quantity = _quantity(schema, at)
            for cls in by_class.keys() & {str, int, float}:
                by_class[cls] = _in_sequence(by_class[cls], quantity)
        elif schema.keys() & _QUANTITY_KEYWORDS:
            raise ValueError(f"{at}: bounds of a quantity without 'quantity'")
        return _by_class(by_class)

    def _list(self, schema: dict[str, Any], at: str) -> _Handler:
        least = _limit(schema, "minItems", at, 0)
        most = _limit(schema, "maxItems", at, _INFINITY)
        item = self.schema(schema["items"], f"{at}/items") if "items" in schema else _as_is

        def convert_list(value: list[Any], parent: _Where, key: str | int, run: _Run) -> list[Any]:
            if not least <= len(value) <= most:
                run.fail(parent, key, "minItems" if len(value) < least else "maxItems")
            here = (parent, key)
            return [item(element, here, index, run) for index, element in enumerate(value)]

        return convert_list

    def _mapping(self, schema: dict[str, Any], at: str) -> _Handler:
        properties = schema.get("properties", {})
        if not isinstance(properties, Mapping):
            raise ValueError(f"{at}: properties must be a mapping")
        known = {name: self.schema(part, f"{at}/{name}") for name, part in properties.items()}
        required = tuple(schema.get("required", ()))
        name_is_fine = _of_names(schema["propertyNames"], at) if "propertyNames" in schema else None
        additional = schema.get("additionalProperties", True)
        others: _Handler | None
        if isinstance(additional, bool):
            others = _as_is if additional else None
        else:
            others = self.schema(additional, f"{at}/*")

        def convert_mapping(value: dict[str, Any], parent: _Where, key: str | int, run: _Run) -> dict[str, Any]:
            here = (parent, key)
            converted: dict[str, Any] = {}
            for name, element in value.items():
                handler = known.get(name, others)
                if handler is None:
                    run.fail(here, name, "additionalProperties")
                elif element is not None:
                    converted[name] = handler(element, here, name, run)
            for name in required:
                if name not in converted:
                    run.fail(here, name, "required")
            if name_is_fine is not None:
                for name in value:
                    if not name_is_fine(name):
                        run.fail(here, name, "propertyNames")
            return converted

        return convert_mapping


def _matters(schema: Mapping[str, Any]) -> bool:
    """Does anything beside the $ref change what the handler does?"""
    return any(
        keyword != "$ref" and (keyword not in _ANNOTATIONS or keyword.startswith("quantity")) for keyword in schema
    )


def _as_is(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
    return value


def _whole(value: float, parent: _Where, key: str | int, run: _Run) -> int | float:
    if value.is_integer():
        return int(value)
    run.fail(parent, key, "type")
    return value


def _by_class(by_class: dict[type, _Handler]) -> _Handler:
    if len(by_class) == 1:
        ((only, only_handler),) = by_class.items()

        def convert_only(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
            if value.__class__ is only:
                return only_handler(value, parent, key, run)
            run.fail(parent, key, "type")
            return None

        return convert_only

    def convert_any(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
        handler = by_class.get(value.__class__)
        if handler is not None:
            return handler(value, parent, key, run)
        run.fail(parent, key, "type")
        return None

    return convert_any


def _in_sequence(first: _Handler, second: _Handler) -> _Handler:
    """The second only if the first found nothing wrong."""
    if first is _as_is:
        return second
    if second is _as_is:
        return first

    def convert_twice(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
        before = len(run.failures)
        value = first(value, parent, key, run)
        return value if len(run.failures) > before else second(value, parent, key, run)

    return convert_twice


def _limit(schema: Mapping[str, Any], keyword: str, at: str, otherwise: float) -> float:
    if keyword not in schema:
        return otherwise
    value = schema[keyword]
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise ValueError(f"{at}: {keyword} must be a number")
    return value


def _text(schema: Mapping[str, Any], at: str) -> _Handler:
    least = _limit(schema, "minLength", at, 0)
    most = _limit(schema, "maxLength", at, _INFINITY)
    if least == 0 and most == _INFINITY:
        return _as_is

    def convert_text(value: str, parent: _Where, key: str | int, run: _Run) -> str:
        if not least <= len(value) <= most:
            run.fail(parent, key, "minLength" if len(value) < least else "maxLength")
        return value

    return convert_text


def _number(schema: Mapping[str, Any], at: str) -> _Handler:
    least = _limit(schema, "minimum", at, -_INFINITY)
    above = _limit(schema, "exclusiveMinimum", at, -_INFINITY)
    most = _limit(schema, "maximum", at, _INFINITY)
    if least == above == -_INFINITY and most == _INFINITY:
        return _as_is

    def convert_number(value: float, parent: _Where, key: str | int, run: _Run) -> float:
        if not (least <= value <= most and above < value):
            run.fail(parent, key, "maximum" if value > most else "minimum")
        return value

    return convert_number


def _words(schema: Mapping[str, Any], at: str) -> list[Any] | None:
    """The values that enum and const leave; None if there is neither."""
    left: list[Any] | None = None
    for keyword in ("enum", "const"):
        if keyword not in schema:
            continue
        values = schema[keyword] if keyword == "enum" else [schema[keyword]]
        if not isinstance(values, list) or any(isinstance(value, (dict, list)) for value in values):
            raise ValueError(f"{at}: {keyword} must hold plain values")
        left = values if left is None else [value for value in left if _holds(values, value)]
    return left


def _holds(words: list[Any], value: Any) -> bool:
    """To JSON Schema 1 and 1.0 are one value, but 1 and true are not."""
    return any(word == value and isinstance(word, bool) == isinstance(value, bool) for word in words)


def _one_of(words: list[Any], cls: type, handler: _Handler) -> _Handler:
    alike = (int, float) if cls in (int, float) else (cls,)
    accepted = frozenset(word for word in words if word.__class__ in alike)

    def convert_one_of(value: Any, parent: _Where, key: str | int, run: _Run) -> Any:
        if value in accepted:
            return handler(value, parent, key, run)
        run.fail(parent, key, "enum")
        return None

    return convert_one_of


def _of_names(schema: Any, at: str) -> Callable[[str], bool]:
    if not isinstance(schema, Mapping) or not schema.keys() <= _OF_NAMES | _ANNOTATIONS:
        raise ValueError(f"{at}: propertyNames knows only {', '.join(sorted(_OF_NAMES))}")
    pattern = re.compile(schema.get("pattern", ""))
    least = _limit(schema, "minLength", at, 0)
    most = _limit(schema, "maxLength", at, _INFINITY)
    names = frozenset(schema["enum"]) if "enum" in schema else None

    def is_fine(name: str) -> bool:
        return least <= len(name) <= most and pattern.search(name) is not None and (names is None or name in names)

    return is_fine


# --- quantities ---


def _quantity(schema: Mapping[str, Any], at: str) -> _Handler:
    word = schema["quantity"]
    bounds = (schema.get("quantity-minimum"), schema.get("quantity-maximum"))
    if word in _SPECIAL:
        if bounds != (None, None):
            raise ValueError(f"{at}: {word!r} has no bounds")
        return _SPECIAL[word]
    try:
        dimension = Dimension(word)
    except ValueError:
        raise ValueError(f"{at}: there is no quantity {word!r}") from None
    least = _bound(bounds[0], dimension, at)
    most = _bound(bounds[1], dimension, at)
    low = -_INFINITY if least is None else least.low - quantities.EPS * max(1.0, abs(least.low))
    high = _INFINITY if most is None else most.high + quantities.EPS * max(1.0, abs(most.high))
    parse = quantities.parse

    def convert_quantity(value: Any, parent: _Where, key: str | int, run: _Run) -> Quantity | None:
        try:
            quantity = parse(value, dimension, run.units)
        except QuantityError as error:
            _not_a(word, error, parent, key, run)
            return None
        if quantity is not None and not (low <= quantity.low and quantity.high <= high):
            _absurd(value, least, most, schema, _path(parent, key), run)
        return quantity

    return convert_quantity


def _extent(value: Any, parent: _Where, key: str | int, run: _Run) -> tuple[Quantity, Quantity] | None:
    try:
        return quantities.parse_extent(str(value), run.units)
    except QuantityError as error:
        _not_a("extent", error, parent, key, run)
        return None


def _size(value: Any, parent: _Where, key: str | int, run: _Run) -> Size | None:
    try:
        return None if quantities.is_unknown(value) else quantities.parse_size(str(value))
    except QuantityError as error:
        _not_a("size", error, parent, key, run)
        return None


def _positions(value: Any, parent: _Where, key: str | int, run: _Run) -> tuple[Quantity, ...] | None:
    if quantities.is_unknown(value) or run.positions > MOST_POSITIONS:
        return None
    try:
        row = quantities.parse_positions(str(value), run.units)
    except QuantityError as error:
        _not_a("positions", error, parent, key, run)
        return None
    run.positions += len(row)
    if run.positions > MOST_POSITIONS:  # a few bytes make thousands: a short file must not fill the memory
        path = _path(parent, key)
        message = f"the rows of positions in this file add up to more than {MOST_POSITIONS:,}"
        place = run.document.where_value(path)
        run.problems.append(run.document.problem(place, path, "too-many-positions", message, "a larger step"))
    return row


_SPECIAL: Final[dict[str, _Handler]] = {"extent": _extent, "size": _size, "positions": _positions}


def _bound(text: Any, dimension: Dimension, at: str) -> Quantity | None:
    if text is None:
        return None
    try:
        bound = quantities.parse(text, dimension, "in")
    except QuantityError as error:
        try:
            return quantities.exactly(float(text), dimension)  # no unit where one is needed: the internal unit
        except ValueError:
            raise ValueError(f"{at}: {text!r} is no bound of a {dimension.value}: {error}") from None
    if bound is None:
        raise ValueError(f"{at}: a bound must be known")
    return bound


def _not_a(word: str, error: QuantityError, parent: _Where, key: str | int, run: _Run) -> None:
    path = _path(parent, key)
    document = run.document
    run.problems.append(
        document.problem(
            document.where_value(path),
            path,
            f"not-a-{word}",
            f"'{visible(error.found)}' can't be read as {noun(word)}",
            error.expected,
            _fragment(path, error.example),
        )
    )


def _absurd(
    value: Any, low: Quantity | None, high: Quantity | None, schema: Mapping[str, Any], path: Path, run: _Run
) -> None:
    least, most = (_bound_text(bound, run.units) for bound in (low, high))
    one_sided = f"at least {least}" if least else f"at most {most}"
    expected = f"between {least} and {most}" if least and most else one_sided
    if schema["quantity"] == "length" and not _HAS_UNIT.search(str(value)):
        expected += f"; a number without a unit is in {'inches' if run.units == 'in' else 'millimetres'} here"
    name = next((step for step in reversed(path) if isinstance(step, str)), "")
    message = f"{visible(name)}: {visible(str(value))} can hardly be right"
    examples = schema.get("examples")
    example = _fragment(path, str(example_in(run.units, examples[0], schema, {}))) if examples else ""
    run.problems.append(
        run.document.problem(run.document.where_value(path), path, "absurd", message, expected, example)
    )


_HAS_UNIT = re.compile("[a-zA-Z'\"\u2032\u2033\u2019\u201d]")


def _bound_text(bound: Quantity | None, units: Units) -> str:
    """Bounds are round numbers in one system of units; in the other nobody minds the fraction."""
    text = "" if bound is None else quantities.render(bound, units)
    return text.removeprefix("just over ").removeprefix("just under ")


def noun(word: str) -> str:
    """What to call a quantity of that word to people: "a length", "a lumber size"."""
    return _NOUNS.get(word) or f"{'an' if word[0] in 'aeiou' else 'a'} {word.replace('-', ' ')}"


def _fragment(path: Path, value: str) -> str:
    """A piece of YAML with this value at the end of the path."""
    last = path[-1] if path else ""
    return f"- {value}" if isinstance(last, int) else f"{last}: {value}" if last else value
