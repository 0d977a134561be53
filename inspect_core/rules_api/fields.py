"""What each field of the site description holds, read from its schema: the table that conditions and templates use."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from inspect_core.quantities import Dimension, Quantity, QuantityError, Units, parse
from inspect_core.quantities.dimensions import FACTS
from inspect_core.site import schema
from inspect_core.site.convert import resolve

Kind = Literal["quantity", "words", "boolean", "year", "date", "text", "list", "part", "size"]

WORK_FIELD = "work"
LONGEST_SPAN = "area.longest_span"
_DATES = frozenset(("permit_date", "date"))


@dataclass(frozen=True, slots=True)
class FieldKind:
    """What stands in one field: ``dimension`` for a quantity, ``words`` for a choice."""

    kind: Kind
    dimension: Dimension | None = None
    words: tuple[str, ...] = ()
    says: str = ""


_LENGTH = Dimension.LENGTH
DERIVED: Mapping[str, FieldKind] = {
    LONGEST_SPAN: FieldKind("quantity", _LENGTH, says="Longest clear span of the area's joists"),
    "joist.clear_span": FieldKind("quantity", _LENGTH, says="Longest clear span of the joist"),
    "joist.true_depth": FieldKind("quantity", _LENGTH, says="Depth, measured or by its size"),
    "joist.true_thickness": FieldKind("quantity", _LENGTH, says="Thickness of one ply, measured or by its size"),
    "support.true_depth": FieldKind("quantity", _LENGTH, says="Depth, measured or by its size"),
    "support.true_thickness": FieldKind("quantity", _LENGTH, says="Thickness of one ply, measured or by its size"),
    "post.true_thickness": FieldKind("quantity", _LENGTH, says="Smaller side, measured or by its size"),
    "joist_end.bearing": FieldKind("quantity", _LENGTH, says="Bearing of this end"),
    "bay.spacing": FieldKind("quantity", _LENGTH, says="Spacing of the two joists, centre to centre"),
    "hole.joist_depth": FieldKind("quantity", _LENGTH, says="Depth of the joist that the hole is in"),
    "notch.joist_depth": FieldKind("quantity", _LENGTH, says="Depth of the joist that the notch is in"),
}
"""Fields that the file does not hold but that follow from it."""


@cache
def field_kind(field: str) -> FieldKind | None:
    """What a field such as ``joist.moisture`` or ``site.built`` holds; ``None`` when there is no such field."""
    if field in DERIVED:
        return DERIVED[field]
    part, _, name = field.partition(".")
    root = schema()
    holder = root["$defs"].get("house" if part == "site" else part)
    found = holder["properties"].get(name) if holder is not None and part != "house" else None
    return _kind(name, resolve(found, root)) if isinstance(found, dict) else None


def _kind(name: str, found: dict[str, Any]) -> FieldKind:
    says = str(found.get("description", ""))
    quantity = found.get("quantity")
    if quantity == "size":
        return FieldKind("size", says=says)
    if quantity in ("extent", "positions"):
        return FieldKind("list", says=says)
    if quantity is not None and found.get("type") != "array":
        return FieldKind("quantity", Dimension(quantity), says=says)
    if "enum" in found:
        words = tuple(str(word) for word in found["enum"] if isinstance(word, str) and word != "unknown")
        return FieldKind("words", words=words, says=says) if words else FieldKind("boolean", says=says)
    types = found.get("type")
    if types == "array":
        return FieldKind("list", says=says)
    if types == "object":
        return FieldKind("part", says=says)
    if isinstance(types, list) and "integer" in types:
        return FieldKind("year", says=says)
    return FieldKind("date" if name in _DATES else "text", says=says)


@cache
def fields_of(part: str) -> tuple[str, ...]:
    """Names of the fields of one kind of thing, derived ones too, without the part's own name."""
    holder = schema()["$defs"].get("house" if part == "site" else part, {"properties": {}})
    own = [name for name in holder["properties"] if name not in ("note", "path")]
    return (*own, *(field.partition(".")[2] for field in DERIVED if field.partition(".")[0] == part))


def all_fields(parts: tuple[str, ...]) -> Iterator[str]:
    """Full names of the fields of several parts."""
    return (f"{part}.{name}" for part in parts for name in fields_of(part))


def quantity_of(value: Any, dimension: Dimension, units: Units | None) -> Quantity:
    """A pack's number with its unit. Raises :class:`QuantityError` when it has none and the pack names no units.

    A pack's numbers are exact or ranges: an estimate or "unknown" is refused too.
    """
    found = parse(value, dimension, units or "in")
    what = f"{FACTS[dimension].article} with its unit"
    example = FACTS[dimension].example[units or "in"]
    if units is None and _has_no_unit(value, found, dimension):
        bare = FACTS[dimension].bare["in"]
        with_unit = f"{example} {bare.name}" if bare is not None and not example.endswith(bare.name) else example
        raise QuantityError(f"{what}; or `units:` under `pack`", with_unit, value)
    if found is None or found.estimate:
        raise QuantityError(f"{what}, one that is sure", example, value)
    return found


def _has_no_unit(value: Any, found: Quantity | None, dimension: Dimension) -> bool:
    """A number that means another thing in inches than in millimetres was written without its unit."""
    try:
        return parse(value, dimension, "mm") != found
    except QuantityError:
        return True
