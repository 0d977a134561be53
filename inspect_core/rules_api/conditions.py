"""Conditions: when a pack's change holds. A closed grammar over the site description's own fields.

``{"county": ["Alder", "Birch"], "built": {"before": 1978}, "work": "new"}``: every line must hold; a list of such
groups holds where one of them does. Whether it holds may be unknown; then a run tries both ways.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from inspect_core.quantities import Quantity, QuantityError, Units, at_least, at_most, render
from inspect_core.quantities.dates import Day, day
from inspect_core.rules_api.fields import LONGEST_SPAN, WORK_FIELD, FieldKind, all_fields, field_kind, quantity_of
from inspect_core.rules_api.vocabulary import WORK
from inspect_core.site.reader import Path

Wrong = Callable[[Path, str, str, str], None]
"""Told of what is wrong: path below the condition, message, what was expected, an example."""

SHORT: Final[Mapping[str, str]] = {
    "work": WORK_FIELD,
    "category": "site.category",
    "stage": "site.stage",
    "built": "site.built",
    "historic": "site.historic",
    "owner_occupied": "site.owner_occupied",
    "federally_assisted": "site.federally_assisted",
    "stories": "site.stories",
    "country": "place.country",
    "state": "place.state",
    "county": "place.county",
    "city": "place.city",
    "climate_zone": "place.climate_zone",
    "seismic": "place.seismic",
    "flood_zone": "place.flood_zone",
    "termites": "place.termites",
    "frost_depth": "place.frost_depth",
    "radon": "place.radon",
    "permit_date": "place.permit_date",
    "crawl_space": "crawl_space.kind",
    "use": "area.use",
    "finish": "area.finish",
    "longest_span": LONGEST_SPAN,
}
"""Names that a condition may use for fields."""

PARTS: Final = ("site", "place", "hazards", "area", "crawl_space", "ground_cover", "soil", "flatness", "air")
"""Things of which there is one in a site or an area: a condition may ask any field of theirs."""

OPERATORS: Final[Mapping[str, tuple[str, ...]]] = {
    "quantity": ("at_least", "at_most", "over", "under", "present"),
    "words": ("one_of", "none_of", "present"),
    "boolean": ("one_of", "present"),
    "year": ("from", "before", "at_least", "at_most", "over", "under", "present"),
    "date": ("from", "before", "present"),
    "text": ("one_of", "none_of", "present"),
    "list": ("present",),
    "part": ("present",),
    "size": ("one_of", "none_of", "present"),
}
_WORDS: Final = {
    "at_least": "at least",
    "at_most": "at most",
    "over": "over",
    "under": "under",
    "from": "from",
    "before": "before",
    "none_of": "not",
}


@dataclass(frozen=True, slots=True)
class FieldTest:
    """One line of a condition: a field, what to do, and with what."""

    field: str
    op: str
    values: tuple[Any, ...]

    def words(self) -> str:
        """The test as people say it: ``place.seismic is D0 or D1``."""
        if self.op == "present":
            return f"{self.field} is given" if self.values[0] else f"{self.field} is not given"
        shown = [_shown(value) for value in self.values]
        listed = f"{', '.join(shown[:-1])} or {shown[-1]}" if len(shown) > 1 else shown[0]
        return f"{self.field} is {_WORDS[self.op]} {listed}" if self.op in _WORDS else f"{self.field} is {listed}"


@dataclass(frozen=True, slots=True)
class When:
    """A condition: one of the groups must hold whole."""

    any_of: tuple[tuple[FieldTest, ...], ...]

    def words(self) -> str:
        """The condition as people say it."""
        return "; or ".join(" and ".join(test.words() for test in group) for group in self.any_of)

    @property
    def fields(self) -> tuple[str, ...]:
        """Fields that it asks, each once."""
        return tuple(dict.fromkeys(test.field for group in self.any_of for test in group))


def _shown(value: Any) -> str:
    if isinstance(value, Quantity):
        return render(value, "in")
    return "yes" if value is True else "no" if value is False else str(value)


# --- does it hold? --------------------------------------------------------------------------------------------------


def holds(test: FieldTest, value: Any) -> bool | None:
    """Whether a value passes; ``None`` where the value is not known, or not well enough."""
    if test.op == "present":
        return _present(value) if test.values[0] else _not(_present(value))
    if value is None:
        return None
    if test.op in ("one_of", "none_of"):
        among = any(_same(value, wanted) for wanted in test.values)
        return among if test.op == "one_of" else not among
    wanted = test.values[0]
    if isinstance(wanted, Quantity):
        return _compared(test.op, value, wanted)
    if isinstance(wanted, Day):
        return _dated(test.op, value, wanted)
    return _counted(test.op, value, wanted)


def _present(value: Any) -> bool | None:
    """Absent is unknown; an empty list was looked at and is empty."""
    return None if value is None else value not in ((), {}, "", False)


def _not(verdict: bool | None) -> bool | None:
    return None if verdict is None else not verdict


def _same(value: Any, wanted: Any) -> bool:
    if isinstance(value, str) and isinstance(wanted, str):
        return " ".join(value.casefold().split()) == " ".join(wanted.casefold().split())
    return bool(value == wanted and isinstance(value, bool) == isinstance(wanted, bool))


def _compared(op: str, value: Quantity, wanted: Quantity) -> bool | None:
    if op == "at_least":
        return at_least(value, wanted)
    if op == "at_most":
        return at_most(value, wanted)
    return _not(at_most(value, wanted)) if op == "over" else _not(at_least(value, wanted))


def _dated(op: str, value: Any, wanted: Day) -> bool | None:
    found = value if isinstance(value, Day) else day(str(value))
    if found is None:
        return None
    if found.last < wanted.first:
        return op == "before"
    return op == "from" if found.first >= wanted.first else None


def _counted(op: str, value: Any, wanted: int) -> bool | None:
    if not isinstance(value, int):
        return None
    return {
        "at_least": value >= wanted,
        "from": value >= wanted,
        "at_most": value <= wanted,
        "over": value > wanted,
        "under": value < wanted,
        "before": value < wanted,
    }[op]


# --- reading one ----------------------------------------------------------------------------------------------------


def when(condition: Mapping[str, Any] | list[Mapping[str, Any]], units: Units | None = None) -> When:
    """A condition from plain data, for packs written in Python. Raises ``ValueError`` with everything wrong in it."""
    problems: list[str] = []

    def wrong(path: Path, message: str, expected: str, example: str) -> None:
        problems.append(f"{'/'.join(map(str, path))}: {message}; expected: {expected}")

    found = read_when(condition, units, wrong)
    if problems or found is None:
        raise ValueError("; ".join(problems) or "an empty condition")
    return found


def read_when(condition: Any, units: Units | None, wrong: Wrong) -> When | None:
    """A condition from plain data; what is wrong is told, and then there is none."""
    groups = condition if isinstance(condition, list) else [condition]
    found: list[tuple[FieldTest, ...]] = []
    for number, group in enumerate(groups):
        here: Path = (number,) if isinstance(condition, list) else ()
        if not isinstance(group, Mapping) or not group:
            wrong(here, "a condition is a field and what it must be", "field: value", "county: [Alder]")
            continue
        found.append(tuple(_tests(group, here, units, wrong)))
    return When(tuple(found)) if found else None


def _tests(group: Mapping[str, Any], here: Path, units: Units | None, wrong: Wrong) -> Iterator[FieldTest]:
    for name, value in group.items():
        field = SHORT.get(name, name)
        kind = FieldKind("words", words=WORK) if field == WORK_FIELD else field_kind(field)
        if kind is None or (field != WORK_FIELD and field.partition(".")[0] not in PARTS):
            known = [*SHORT, *all_fields(PARTS)]
            wrong((*here, name), no_such("condition", name, known), "a condition that stands in `pack fields`", "")
            continue
        yield from read_tests(field, kind, value, (*here, name), units, wrong)


def read_tests(
    field: str, kind: FieldKind, value: Any, path: Path, units: Units | None, wrong: Wrong
) -> Iterator[FieldTest]:
    """Tests of one field: a word or a list of words, or operators with their values."""
    tests = value if isinstance(value, Mapping) else {"one_of": value}
    allowed = OPERATORS[kind.kind]
    for op, given in tests.items():
        here = (*path, op) if isinstance(value, Mapping) else path
        if op not in allowed:
            example = _example(field, kind)
            said = f"{op} can't be asked of {field}" if op in _ALL_OPERATORS else no_such("comparison", op, [*allowed])
            wrong(here, said, ", ".join(allowed), example)
            continue
        values = _values(field, kind, op, given, here, units, wrong)
        if values:
            yield FieldTest(field, op, values)


_ALL_OPERATORS: Final = frozenset(op for ops in OPERATORS.values() for op in ops)


def _example(field: str, kind: FieldKind) -> str:
    return {"quantity": f"{field}: {{at_least: 2}}", "year": f"{field}: {{before: 1978}}"}.get(kind.kind, "")


def _values(
    field: str, kind: FieldKind, op: str, given: Any, path: Path, units: Units | None, wrong: Wrong
) -> tuple[Any, ...]:
    if op == "present":
        if isinstance(given, bool):
            return (given,)
        wrong(path, "present is true or false", "true or false", "present: true")
        return ()
    if op in ("one_of", "none_of"):
        return _choices(field, kind, given, path, wrong)
    if kind.kind == "quantity" and kind.dimension is not None:
        try:
            return (quantity_of(given, kind.dimension, units),)
        except QuantityError as error:
            wrong(path, f"'{error.found}' can't be compared with {field}", error.expected, error.example)
            return ()
    if kind.kind == "date":
        found = day(str(given))
        if found is None:
            wrong(path, f"'{given}' is no date", "a date as year-month-day", "2026-01-01")
        return () if found is None else (found,)
    if isinstance(given, int) and not isinstance(given, bool):
        return (given,)
    wrong(path, f"{field} is a year", "a whole number", "1978")
    return ()


def _choices(field: str, kind: FieldKind, given: Any, path: Path, wrong: Wrong) -> tuple[Any, ...]:
    values = given if isinstance(given, list) else [given]
    found: list[Any] = []
    for number, value in enumerate(values):
        here = (*path, number) if isinstance(given, list) else path
        if kind.kind == "boolean":
            if not isinstance(value, bool):
                wrong(here, f"{field} is true or false", "true or false", "true")
                continue
        elif not isinstance(value, str | int) or isinstance(value, bool):
            wrong(here, f"{field} is compared with words", "a word or a list of words", "[new, altered]")
            continue
        elif kind.kind == "words" and value not in kind.words:
            wrong(here, no_such(field, str(value), list(kind.words)), ", ".join(kind.words), "")
            continue
        elif kind.kind == "size":
            size = _size(str(value))
            if size is None:
                wrong(here, f"'{value}' is no lumber size", "a lumber size", "2x8")
                continue
            value = size
        else:
            value = str(value)
        found.append(value)
    return tuple(found)


def _size(text: str) -> Any:
    from inspect_core.quantities import parse_size

    try:
        return parse_size(text)
    except QuantityError:
        return None


def no_such(what: str, name: str, known: list[str], more: str = "") -> str:
    """``there is no rule 'joist-baring'; did you mean 'joist-bearing'?``, with ``more`` after the name."""
    from inspect_core.site.explain import similar  # brings in jsonschema, which a pack in order never needs

    likely = similar(name, known)
    return f"there is no {what} '{name[:60]}'{more}" + (f"; did you mean '{likely}'?" if likely else "")
