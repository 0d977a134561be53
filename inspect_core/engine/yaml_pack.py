"""Packs written in YAML: data only, checked by a schema of their own, every error with its line and column.

Nothing in such a file is run, fetched or looked up elsewhere: a pack file is read, and no other file. No text of it is
ever taken for code, for a pattern or for a format. See ``pack.schema.json`` for everything that it can say.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, partial
from importlib.resources import files
from pathlib import Path as FilePath
from typing import Any, Final

from inspect_core.engine import things
from inspect_core.engine.loading import pack_faults
from inspect_core.engine.stack import Layers, RuleSet, brought_by
from inspect_core.engine.templates import Bound, Compare, Item, Paper, Readings, Template, measures
from inspect_core.quantities import Dimension, Quantity, QuantityError, Units, parse, parse_size, render
from inspect_core.quantities.dates import day
from inspect_core.rules_api import (
    API_VERSION,
    Caution,
    Gate,
    Handover,
    HoldPoint,
    LimitDef,
    Pack,
    Reference,
    Rule,
    RuleChange,
    Section,
    When,
)
from inspect_core.rules_api.changes import ALWAYS
from inspect_core.rules_api.conditions import FieldTest, no_such, read_tests, read_when
from inspect_core.rules_api.fields import FieldKind, field_kind, fields_of, quantity_of
from inspect_core.rules_api.limits import PLAIN, in_percent
from inspect_core.rules_api.pack import Origin
from inspect_core.rules_api.provisions import COMMON_PRACTICE, Provision
from inspect_core.rules_api.repairs import Repair, read_repair
from inspect_core.rules_api.vocabulary import WORK
from inspect_core.site import InputError, Problem
from inspect_core.site.convert import Converter, compile_schema, noun
from inspect_core.site.reader import Document, Path, read_file

PACK_FILE: Final = "pack.yaml"
MOST_BYTES: Final = 500_000
READ: Final = "read from text"
REMEDY: Final = "Do what this asks, or ask the official who has the say; local code and licensed practice come first."
LOCAL: Final = "local"  # what a rule names that says no provision: its own citation
_TOPICS: Final = ("new_rules", "documents", "inspections", "readings")


def pack_schema_text() -> str:
    """The JSON Schema of pack files as it ships."""
    return files("inspect_core.engine").joinpath("pack.schema.json").read_text("utf-8")


@cache
def _schema() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(pack_schema_text())
    return loaded


@cache
def _converter() -> Converter:
    return compile_schema(_schema(), lazily=True)


@dataclass(frozen=True, slots=True)
class PackFile:
    """A pack file that has the right form; what its names mean depends on the packs below it."""

    folder: FilePath
    document: Document
    data: Mapping[str, Any]
    digest: str

    @property
    def id(self) -> str:
        """The pack's name."""
        return str(self.data["pack"]["id"])

    @property
    def stands_on(self) -> tuple[str, ...]:
        """Names of the packs below."""
        return tuple(self.data["pack"]["stands_on"])


def pack_path(path: FilePath) -> FilePath:
    """The pack file of a folder, or the file itself. Raises :class:`InputError` for a link that leads elsewhere."""
    file = path / PACK_FILE if path.is_dir() else path
    if file.is_symlink():
        raise _whole(file, "linked", "a pack file must not be a link", "the file itself, in the pack's folder")
    if path.is_dir() and not file.exists():
        python = (path / "pyproject.toml").exists()
        expected = (
            "the id of a Python pack, once it is installed" if python else "inspect-core pack new --kind yaml NAME"
        )
        raise _whole(file, "no-such-file", f"this folder has no {PACK_FILE}", expected)
    return file


def _whole(file: FilePath, code: str, message: str, expected: str) -> InputError:
    return InputError([Problem(str(file), 0, 0, (), code, message, expected)])


def read_pack(path: FilePath) -> PackFile:
    """Read a pack's folder or file. Raises :class:`InputError` with everything that is wrong with its form."""
    file = pack_path(path)
    try:
        size = file.stat().st_size
    except OSError:
        size = 0  # read_file says what is wrong
    if size > MOST_BYTES:
        raise _whole(
            file, "too-large", f"this pack file is too large: {size / 1e3:.0f} kB", f"at most {MOST_BYTES // 1000} kB"
        )
    return pack_from_document(read_file(file), file.parent)


def pack_from_document(document: Document, folder: FilePath) -> PackFile:
    """The same from a document that has been read; no file is opened."""
    data, problems = _converter().convert(document, lambda _: "in")
    if problems:
        raise InputError(problems)
    digest = hashlib.sha256(document.text.encode("utf-8")).hexdigest()
    return PackFile(folder, document, data, digest)


def build_pack(file: PackFile, below: Sequence[Pack], others: Iterable[Pack] = ()) -> Pack:
    """The pack, on top of the packs below it. Raises :class:`InputError` with everything that does not fit.

    ``others`` are packs that are there and not below, another edition for one: repairs may answer their rules.
    """
    return _Builder(file, below, others).pack()


@dataclass(slots=True)
class _Part:
    """A section while it is being filled."""

    limits: dict[str, LimitDef] = field(default_factory=dict)
    rules: list[Rule] = field(default_factory=list)
    rule_changes: list[RuleChange] = field(default_factory=list)
    references: dict[str, Reference] = field(default_factory=dict)
    cautions: dict[str, Caution] = field(default_factory=dict)
    hold_points: list[HoldPoint] = field(default_factory=list)
    handovers: list[Handover] = field(default_factory=list)
    parameters: dict[str, Any] = field(default_factory=dict)


class _Builder:
    def __init__(self, file: PackFile, below: Sequence[Pack], others: Iterable[Pack]) -> None:
        self.document = file.document
        self.data = file.data
        self.digest = file.digest
        self.folder = file.folder
        self.id = file.id
        header = file.data["pack"]
        self.units: Units | None = header.get("units")
        layers = Layers(below)
        self.packs_below = tuple(below)
        self.below: RuleSet = layers.rule_set(frozenset(range(len(layers.gates))))
        self.elsewhere = brought_by(others)
        self.problems: list[Problem] = []
        self.parts: dict[tuple[str, Gate], _Part] = {}
        self.sources = [((), "", self.data), *self._sections()]
        self.new_rules = {name for _, _, source in self.sources for kind in _TOPICS for name in source.get(kind, {})}
        self.own_limits: dict[str, LimitDef] = {}
        self.references = {*self.below.references, *self._own_references()}
        self.cautions = {*self.below.cautions, *(k for _, _, s in self.sources for k in s.get("cautions", {}))}
        added = {point["id"] for _, _, source in self.sources for point in source.get("hold_points", ())}
        self.hold_points = [*self.below.hold_points, *sorted(added - set(self.below.hold_points))]

    def _sections(self) -> Iterator[tuple[Path, str, Mapping[str, Any]]]:
        for number, section in enumerate(self.data.get("sections", ())):
            yield ("sections", number), section["title"], section

    def _own_references(self) -> Iterator[str]:
        for _, _, source in self.sources:
            yield from (item["reference"] for item in source.get("new_rules", {}).values() if "reference" in item)

    # --- what is wrong ---

    def wrong(self, path: Path, message: str, expected: str = "", example: str = "", code: str = "pack-data") -> None:
        mark = self.document.where(path)
        self.problems.append(self.document.problem(mark, path, code, message, expected, example))

    def unknown(self, what: str, name: str, known: Iterable[str], path: Path, expected: str, within: str = "") -> None:
        message = no_such(what, name, list(known), f" in {within}" if within else "")
        self.wrong(path, message, expected, code=f"no-such-{what.replace(' ', '-')}")

    # --- the whole ---

    def pack(self) -> Pack:
        header = self.data["pack"]
        for key in ("effective", "expires"):
            self._date(header.get(key, ""), ("pack", key))
        for path, title, source in self.sources:
            self._source(path, title, source)
        repairs = self._repairs()
        provisions = self._provisions()
        if self.problems:
            raise InputError(self.problems)
        pack = Pack(
            id=self.id,
            version=header["version"],
            title=header["title"],
            api=API_VERSION,
            hold_points=(),
            edition=header["edition"],
            place=header["place"],
            stands_on=tuple(header["stands_on"]),
            level=header["level"],
            series=header.get("series", ""),
            effective=header.get("effective", ""),
            expires=header.get("expires", ""),
            amendable_by=tuple(header["amendable_by"]) if "amendable_by" in header else None,
            invented=header.get("invented") is True,
            note=header.get("note", ""),
            sections=tuple(_section(title, gate, part) for (title, gate), part in self.parts.items()),
            repairs=repairs,
            provisions=partial(tuple, provisions),
            origin=Origin("yaml", str(self.folder), digest=self.digest, document=self.document),
        )
        for fault in pack_faults(pack):  # what the schema can't say
            self.wrong(("pack", "id"), fault)
        if self.problems:
            raise InputError(self.problems)
        return pack

    def _repairs(self) -> dict[str, Repair]:
        """Repairs as they stand in the file: what an action's settings mean is the planner's business."""
        found: dict[str, Repair] = {}
        for name, item in (self.document.data.get("repairs") or {}).items():

            def wrong(below: tuple[str, ...], message: str, expected: str, name: str = name) -> None:
                self.wrong(("repairs", name, *below), message, expected)

            repair = read_repair(name, item or {}, self.id, wrong)
            if repair is None:
                continue
            found[name] = repair
            for rule in repair.answers:
                if rule not in self.below.by_id and rule not in self.new_rules and rule not in self.elsewhere:
                    self.unknown("rule", rule, [*self.below.by_id, *self.new_rules], ("repairs", name, "answers"), "")
            for key in repair.cautions:
                if key not in self.cautions:
                    self.unknown("caution", key, self.cautions, ("repairs", name, "cautions"), "")
        return found

    # --- provisions ---

    @cached_property
    def _listed_below(self) -> dict[str, str]:
        """Which pack below lists a provision, by its id: read only where this pack has or names any."""
        found: dict[str, str] = {}
        for pack in self.packs_below:
            try:
                found |= {one.id: pack.id for one in pack.provisions()}
            except ValueError as error:
                self.wrong(("pack", "stands_on"), f"the provisions of {pack.id} can't be read: {error}")
        return found

    def _provisions(self) -> list[Provision]:
        found: list[Provision] = []
        for name, item in self.data.get("provisions", {}).items():
            by = self._listed_below.get(name)
            if by is not None:
                self.wrong(
                    ("provisions", name),
                    f"{by} lists a provision {name} already",
                    "another id; a rule or limit may name that one without listing it",
                )
            texts = {
                key: " ".join(item.get(key, "").split()) for key in ("topic", "says", "source", "editions", "reason")
            }
            found.append(Provision(id=name, status=item["status"], **texts))
        return found

    def _known_provisions(self, item: Mapping[str, Any], path: Path) -> None:
        own = self.data.get("provisions", {})
        for number, name in enumerate(item.get("provisions", ())):
            if name in own or name in (COMMON_PRACTICE, LOCAL) or name in self._listed_below:
                continue
            expected = "an id of inspect-core explain --provisions, or a new one under `provisions`"
            self.unknown("provision", name, [*own, *self._listed_below], (*path, "provisions", number), expected)

    def _source(self, path: Path, title: str, source: Mapping[str, Any]) -> None:
        gate = self._gate(source, path)
        readers: tuple[tuple[str, Callable[[str, Any, Path, Gate, _Part], None]], ...] = (
            ("limits", self._limit),
            ("new_rules", self._new_rule),
            ("documents", self._paper),
            ("inspections", self._item),
            ("readings", self._readings),
            ("rules", self._rule_change),
            ("references", self._reference),
            ("cautions", self._caution),
            ("parameters", self._parameter),
        )
        for kind, reader in readers:
            for name, item in source.get(kind, {}).items():
                here = (*path, kind, name)
                both = _both(gate, self._gate(item, here)) if isinstance(item, dict) else gate
                reader(name, item, here, both, self._part(title, both))
        for kind, listed in (("hold_points", self._hold_point), ("handovers", self._handover)):
            for number, item in enumerate(source.get(kind, ())):
                here = (*path, kind, number)
                both = _both(gate, self._gate(item, here))
                listed(item, here, both, self._part(title, both))

    def _part(self, title: str, gate: Gate) -> _Part:
        return self.parts.setdefault((title, gate), _Part())

    # --- gates ---

    def _gate(self, item: Mapping[str, Any], path: Path) -> Gate:
        effective, expires = (self._date(item.get(key, ""), (*path, key)) for key in ("effective", "expires"))
        condition: When | None = None
        if "when" in item:

            def wrong(below: Path, message: str, expected: str, example: str) -> None:
                self.wrong((*path, "when", *below), message, expected, example, "condition")

            condition = read_when(item["when"], self.units, wrong)
        return Gate(condition, effective, expires) if condition or effective or expires else ALWAYS

    def _date(self, text: str, path: Path) -> str:
        if text and (day(text) is None or len(text) != len("2026-01-01")):
            self.wrong(path, f"'{text}' is no date", "a date as year-month-day", f"{path[-1]}: 2026-01-01", "date")
            return ""
        return text

    def _of_the_site(self, gate: Gate, path: Path, what: str) -> None:
        from inspect_core.engine.gates import asks_area, asks_work

        if asks_area(gate) or asks_work(gate):
            message = f"{what} holds for a whole site, so it can't depend on an area or on the kind of work"
            self.wrong(path, message, "a condition on the place or the house", code="condition")

    # --- limits ---

    def _limit(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        known = self.below.limits.defs.get(name) or self.own_limits.get(name)
        if name in part.limits:
            self.wrong(path, f"limit {name} is set twice under the same conditions", "each limit once", code="conflict")
            return
        given = [key for key in ("value", "values", "words") if key in item]
        if len(given) != 1:
            self.wrong(path, f"limit {name} needs one of value, values, words", "value: 12 in", "value: 12 in")
            return
        if known is None and not ("says" in item and ("quantity" in item or given == ["words"])):
            defs = (*self.below.limits.defs, *self.own_limits)
            self.unknown("limit", name, defs, path, "a limit of a pack below, or a new one with `says` and `quantity`")
            return
        self._known_provisions(item, path)
        dimension = known.dimension if known is not None else _dimension(item)
        values = self._limit_values(name, item, given[0], dimension, known, path)
        if values is None:
            return
        part.limits[name] = LimitDef(
            id=name,
            says=item.get("says", known.says if known is not None else ""),
            dimension=dimension,
            values=values,
            source=item["citation"],
            status=item.get("status", READ),
            by=item.get("by", known.by if known is not None else ""),
            provisions=tuple(item.get("provisions", known.provisions if known is not None else ())),
            editions=item.get("editions", ""),
            changed_because=item["because"],
            citation=item["citation"],
            set_by=self.id,
            effect=item.get("effect", ""),
            percent=known.percent if known is not None else in_percent(dimension, item[given[0]]),
        )
        if known is None:
            self.own_limits[name] = part.limits[name]

    def _limit_values(
        self,
        name: str,
        item: Mapping[str, Any],
        given: str,
        dimension: Dimension | None,
        known: LimitDef | None,
        path: Path,
    ) -> dict[str, Quantity | tuple[str, ...]] | None:
        here = (*path, given)
        if known is not None:
            is_table = PLAIN not in known.values
            wanted = "values" if is_table else "words" if dimension is None else "value"
            if given != wanted:
                keys = ", ".join(known.values)
                form = f"a table by {known.by or 'key'}: {keys}" if is_table else f"one {wanted}"
                first = next(iter(known.values))
                example = f"values: {{{first}: {_shown(known.values[first])}}}" if is_table else f"{wanted}: …"
                self.wrong(here, f"limit {name} is {form}", f"`{wanted}`", example)
                return None
            if is_table and not item.get("adds"):
                for key in item["values"]:
                    if key not in known.values:
                        expected = f"one of {', '.join(known.values)}; or `adds: true` for a new one"
                        self.unknown("key", key, known.values, (*here, key), expected, f"limit {name}")
                        return None
        if given == "words":
            return {PLAIN: tuple(item["words"])}
        entries = item["values"] if given == "values" else {PLAIN: item["value"]}
        values: dict[str, Quantity | tuple[str, ...]] = {}
        for key, text in entries.items():
            at = (*here, key) if given == "values" else here
            if dimension is None:
                if not isinstance(text, list) or not all(isinstance(word, str) for word in text):
                    self.wrong(at, "a list of words belongs here", "words in brackets", "[plywood, osb]")
                    continue
                values[key] = tuple(text)
                continue
            quantity = self._quantity(text, dimension, at)
            if quantity is not None:
                values[key] = quantity
        return values if len(values) == len(entries) else None

    def _quantity(self, text: Any, dimension: Dimension, path: Path) -> Quantity | None:
        try:
            return quantity_of(text, dimension, self.units)
        except QuantityError as error:
            shown = "a list" if isinstance(text, list) else f"'{error.found}'"
            expected, example = error.expected, f"{path[-1]}: {error.example}"
            self.wrong(path, f"{shown} can't be read as {noun(dimension.value)}", expected, example, "quantity")
            return None

    # --- rules that are there ---

    def _rule_change(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        if self.below.rule(name) is None and name not in self.new_rules:
            known = [one.rule.id for one in self.below.rules]
            self.unknown("rule", name, known, path, "a rule of a pack below: inspect-core explain")
            return
        keys = ("off", "severity", "hold_point", "reference", "remedy", "binds", "cautions")
        if not any(key in item for key in keys):
            self.wrong(path, f"nothing changes for rule {name}", ", ".join(keys), "off: true")
        self._known_hold_point(item.get("hold_point"), (*path, "hold_point"))
        if "reference" in item and item["reference"] not in self.references:
            self.unknown("reference", item["reference"], self.references, (*path, "reference"), "a reference key")
        self._known_cautions(item, path)
        part.rule_changes.append(
            RuleChange(
                rule=name,
                because=item["because"],
                citation=item["citation"],
                off=item.get("off") is True,
                severity=item.get("severity"),
                hold_point=item.get("hold_point"),
                reference=item.get("reference"),
                remedy=item.get("remedy"),
                binds=tuple(item["binds"]) if "binds" in item else None,
                cautions=tuple(item.get("cautions", ())),
            )
        )

    def _known_hold_point(self, name: str | None, path: Path) -> None:
        if name is not None and name not in self.hold_points:
            self.unknown("hold point", name, self.hold_points, path, ", ".join(self.hold_points))

    def _known_cautions(self, item: Mapping[str, Any], path: Path) -> None:
        for number, name in enumerate(item.get("cautions", ())):
            if name not in self.cautions:
                where = (*path, "cautions", number)
                self.unknown("caution", name, self.cautions, where, "a caution's key, or a new one under `cautions`")

    # --- texts, parameters, hold points, handovers ---

    def _reference(self, name: str, text: str, path: Path, gate: Gate, part: _Part) -> None:
        if name not in self.references:
            self.unknown("reference", name, self.references, path, "a reference key: inspect-core explain RULE")
        self._of_the_site(gate, path, "a reference")
        part.references[name] = Reference(name, " ".join(text.split()), adopted=True)

    def _caution(self, name: str, text: str, path: Path, gate: Gate, part: _Part) -> None:
        self._of_the_site(gate, path, "a caution")
        part.cautions[name] = Caution(name, " ".join(text.split()))

    def _parameter(self, name: str, value: Any, path: Path, gate: Gate, part: _Part) -> None:
        kind = field_kind(f"place.{name}")
        if kind is None:
            self.unknown("parameter", name, fields_of("place"), path, ", ".join(fields_of("place")))
            return
        self._of_the_site(gate, path, "a parameter")
        found = self._parameter_value(name, kind, value, path)
        if found is not None:
            part.parameters[f"place.{name}"] = found

    def _parameter_value(self, name: str, kind: FieldKind, value: Any, path: Path) -> Any:
        if kind.dimension is not None:
            return self._quantity(value, kind.dimension, path)
        if kind.kind == "boolean":
            if isinstance(value, bool):
                return value
            self.wrong(path, f"{name} is true or false", "true or false", f"{name}: true")
            return None
        if kind.kind == "words" and value not in kind.words:
            self.unknown(name, str(value), kind.words, path, ", ".join(kind.words))
            return None
        if name == "permit_date" or not isinstance(value, str):
            self.wrong(path, f"{name} can't be set by a pack", "a word")
            return None
        return value

    def _hold_point(self, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        places = [key for key in ("before", "after", "into") if key in item]
        if len(places) != 1:
            example = f"{{id: {item['id']}, before: subfloor, because: …}}"
            self.wrong(path, f"hold point {item['id']} needs one of before, after, into", "one of them", example)
            return
        self._known_hold_point(item[places[0]], (*path, places[0]))
        if "into" in item:
            self._known_hold_point(item["id"], (*path, "id"))
        self._of_the_site(gate, path, "a hold point")
        part.hold_points.append(HoldPoint(item["id"], item["because"], **{places[0]: item[places[0]]}))

    def _handover(self, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        below = [one.rule for one in self.below.rules]
        known: dict[str, list[str]] = {
            "topics": sorted({one.topic.replace("_", "-") for one in below}),
            "rules": [one.id for one in below],
            "references": sorted({one.reference for one in below}),
        }
        given = {key: tuple(item.get(key, ())) for key in known}
        for key, names in given.items():
            for number, name in enumerate(names):
                if name not in known[key] and (key != "topics" or name.replace("_", "-") not in known[key]):
                    what = key.removesuffix("s")
                    self.unknown(what, name, known[key], (*path, key, number), f"a {what} of inspect-core explain")
        if not any(given.values()):
            self.wrong(path, "this hands over nothing", "topics, rules or references", "topics: [spans]")
        off = item.get("then", "off") == "off"
        part.handovers.append(Handover(item["to"], item["because"], item["citation"], off=off, **given))

    # --- new rules ---

    def _added(
        self,
        name: str,
        item: Mapping[str, Any],
        path: Path,
        part: _Part,
        template: Template,
        quantity: str,
        of_site: bool,
    ) -> None:
        if self.below.rule(name) is not None:
            self.wrong(path, f"a pack below has a rule {name} already", "another name, or a change under `rules`")
        self._known_hold_point(item["hold_point"], (*path, "hold_point"))
        self._known_cautions(item, path)
        self._known_provisions(item, path)
        reference = item.get("reference") or f"{self.id}.{name}"
        if "reference" not in item or reference not in self.below.references:
            always = self._part("", ALWAYS)  # a rule that is not in force still says where it is written
            always.references[reference] = Reference(reference, " ".join(item["citation"].split()), adopted=True)
        bounds = [b for key in ("least", "most") if (b := getattr(template, key, None)) is not None]
        limits = [one for bound in bounds for one in (bound.limit, bound.plus) if one]
        if isinstance(template, Readings):
            limits.append(template.count)
        part.rules.append(
            Rule(
                id=name,
                function=template,
                scope="site" if of_site else "area",
                hold_point=item["hold_point"],
                severity=item["severity"],
                reference=reference,
                summary=" ".join(item["says"].split()),
                why=" ".join(item.get("why", "").split()),
                quantity=item.get("quantity", quantity),
                remedy=" ".join(item.get("remedy", REMEDY).split()),
                topic=self.id,
                cautions=tuple(item.get("cautions", ())),
                limits=tuple(dict.fromkeys(limits)),
                measures=measures(template),
                provisions=tuple(item.get("provisions", (LOCAL,))),
                binds=tuple(item.get("binds", WORK)),
            )
        )

    def _new_rule(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        kind = item["for_each"]
        if kind not in things.KINDS:
            self.unknown("kind of thing", kind, things.KINDS, (*path, "for_each"), ", ".join(things.KINDS))
            return
        tests = tuple(self._tests(kind, item.get("where", {}), (*path, "where")))
        template = self._compare(name, kind, tests, item, path, part)
        if template is not None:
            words = item["check"]["field"].replace("_", " ")
            self._added(name, item, path, part, template, words, things.is_of_site(kind))

    def _tests(self, kind: str, where: Mapping[str, Any], path: Path) -> Iterator[FieldTest]:
        for name, test in where.items():
            found = self._field(kind, name, (*path, name))
            if found is not None:

                def wrong(below: Path, message: str, expected: str, example: str) -> None:
                    self.wrong(below, message, expected, example, "condition")

                yield from read_tests(f"{kind}.{name}", found, test, (*path, name), self.units, wrong)

    def _field(self, kind: str, name: str, path: Path) -> FieldKind | None:
        found = field_kind(f"{kind}.{name}")
        if found is None:
            known = fields_of(kind)
            self.unknown("field", name, known, path, f"inspect-core pack fields {kind}", kind)
        return found

    def _compare(
        self, name: str, kind: str, tests: tuple[FieldTest, ...], item: Mapping[str, Any], path: Path, part: _Part
    ) -> Compare | None:
        asked, here = item["check"], (*path, "check")
        given = [key for key in _COMPARISONS if key in asked]
        if not given or (len(given) > 1 and set(given) != {"at_least", "at_most"}):
            self.wrong(
                here,
                "check needs one comparison",
                ", ".join(_COMPARISONS),
                "check: {field: thickness, at_least: 6 mil}",
            )
            return None
        found = self._field(kind, asked["field"], (*here, "field"))
        if found is None:
            return None
        if given[0] not in _FOR_KIND[found.kind]:
            expected = ", ".join(_FOR_KIND[found.kind])
            self.wrong((*here, given[0]), f"{asked['field']} can't be compared by {given[0]}", expected)
            return None
        words = f"{asked['field'].replace('_', ' ')}"
        base = Compare(kind, tests, asked["field"])
        if given[0] == "is":
            yes = "is so" if asked["is"] else "is not so"
            return replace(base, sense="is", wanted=asked["is"], expected=f"{words} {yes}")
        if given[0] == "present":
            return replace(base, sense="present", expected=f"{words} is there")
        if given[0] in ("one_of", "none_of"):
            return self._choice(name, base, given[0], found, item, here, part)
        dimension = found.dimension
        if "per" in asked:
            per = self._field(kind, asked["per"], (*here, "per"))
            if per is None:
                return None
            if per.dimension is not dimension:
                self.wrong(
                    (*here, "per"),
                    f"{asked['per']} is no {dimension.value if dimension else 'quantity'}",
                    "a field of the same sort",
                )
                return None
            dimension = Dimension.RATIO
        assert dimension is not None
        sides = asked["between"] if given == ["between"] else [asked.get("at_least"), asked.get("at_most")]
        bounds: list[Bound | None] = []
        for number, (side, key) in enumerate(zip(sides, ("least", "most"), strict=True)):
            if side is None:
                bounds.append(None)
                continue
            at = (*here, "between", number) if given == ["between"] else (*here, f"at_{key}")
            own = name if len([s for s in sides if s is not None]) == 1 else f"{name}-{key}"
            bound = self._bound(own, kind, dimension, side, item, at, part, key)
            if bound is None:
                return None
            bounds.append(bound)
        return replace(base, per=asked.get("per", ""), least=bounds[0], most=bounds[1])

    def _choice(
        self, name: str, base: Compare, sense: str, found: FieldKind, item: Mapping[str, Any], here: Path, part: _Part
    ) -> Compare | None:
        words = item["check"][sense]
        for number, word in enumerate(words):
            if found.kind == "words" and word not in found.words:
                expected = ", ".join(found.words)
                self.unknown(f"{base.kind} {base.field}", word, found.words, (*here, sense, number), expected)
                return None
        self._own_limit(
            name, item, part, None, {PLAIN: tuple(words)}, "", f"what {base.field.replace('_', ' ')} may be"
        )
        return replace(base, sense="one_of" if sense == "one_of" else "none_of", least=Bound(name))

    def _bound(
        self,
        own: str,
        kind: str,
        dimension: Dimension,
        side: Any,
        item: Mapping[str, Any],
        path: Path,
        part: _Part,
        which: str,
    ) -> Bound | None:
        what = item.get("quantity", item.get("check", {}).get("field", "value")).replace("_", " ")
        says = f"{'Least' if which == 'least' else 'Greatest'} {what}"
        if not isinstance(side, dict):
            found = self._quantity(side, dimension, path)
            if found is None:
                return None
            self._own_limit(own, item, part, dimension, {PLAIN: found}, "", says)
            return Bound(own)
        if "limit" in side:
            return self._limit_named(side["limit"], dimension, (*path, "limit"))
        if "values" in side:
            return self._table(own, kind, dimension, side, item, path, part, says)
        share = [key for key in ("fraction", "times") if key in side]
        if len(share) != 1 or "of" not in side:
            self.wrong(
                path, "this bound is not whole", "fraction or times, with `of`", "{fraction: 1/3, of: joist_depth}"
            )
            return None
        whole = self._field(kind, side["of"], (*path, "of"))
        if whole is None:
            return None
        if whole.dimension is not dimension:
            self.wrong((*path, "of"), f"{side['of']} is no {dimension.value}", f"a field that is a {dimension.value}")
            return None
        number = self._quantity(side[share[0]], Dimension.RATIO, (*path, share[0]))
        if number is None:
            return None
        self._own_limit(
            own,
            item,
            part,
            Dimension.RATIO,
            {PLAIN: number},
            "",
            f"{says}, as a share of {side['of'].replace('_', ' ')}",
        )
        words = f"{side[share[0]]} {'of' if share[0] == 'fraction' else 'times'} the {side['of'].replace('_', ' ')}"
        if "plus" not in side:
            return Bound(own, of=side["of"], words=words)
        more = self._quantity(side["plus"], dimension, (*path, "plus"))
        if more is None:
            return None
        self._own_limit(f"{own}-plus", item, part, dimension, {PLAIN: more}, "", f"{says}: what is added")
        return Bound(own, of=side["of"], plus=f"{own}-plus", words=f"{words}, plus {side['plus']}")

    def _limit_named(self, name: str, dimension: Dimension, path: Path) -> Bound | None:
        limit_id, _, key = name.partition("/")
        found = self.below.limits.defs.get(limit_id) or self.own_limits.get(limit_id)
        if found is None:
            known = (*self.below.limits.defs, *self.own_limits)
            self.unknown("limit", limit_id, known, path, "a limit's id")
            return None
        if key not in found.values:
            self.unknown("key", key, found.values, path, ", ".join(found.values), f"limit {limit_id}")
            return None
        if found.dimension is not dimension:
            self.wrong(path, f"limit {limit_id} is no {dimension.value}", f"a limit that is a {dimension.value}")
            return None
        return Bound(limit_id, key)

    def _table(
        self,
        own: str,
        kind: str,
        dimension: Dimension,
        side: Mapping[str, Any],
        item: Mapping[str, Any],
        path: Path,
        part: _Part,
        says: str,
    ) -> Bound | None:
        if "by" not in side:
            self.wrong(path, "a table says by which field", "by: size", "{by: size, values: {2x8: 12 ft}}")
            return None
        by = self._field(kind, side["by"], (*path, "by"))
        if by is None:
            return None
        values: dict[str, Quantity | tuple[str, ...]] = {}
        for key, text in side["values"].items():
            at = (*path, "values", key)
            if by.kind == "size" and not _is_size(key):
                self.wrong(at, f"'{key}' is no lumber size", "a lumber size", "2x8: 12 ft")
            if by.kind == "words" and key not in by.words:
                self.unknown(f"{kind} {side['by']}", key, by.words, at, ", ".join(by.words))
            found = self._quantity(text, dimension, at)
            if found is not None:
                values[key] = found
        if not values:
            self.wrong(path, "this table has no rows", "a value for each word", "{by: size, values: {2x8: 12 ft}}")
            return None
        self._own_limit(own, item, part, dimension, values, side["by"], says)
        return Bound(own, by=side["by"])

    def _own_limit(
        self,
        name: str,
        item: Mapping[str, Any],
        part: _Part,
        dimension: Dimension | None,
        values: Mapping[str, Quantity | tuple[str, ...]],
        by: str,
        says: str,
    ) -> None:
        part.limits[name] = self.own_limits[name] = LimitDef(
            id=name,
            says=says,
            dimension=dimension,
            values=values,
            source=item["citation"],
            status=item.get("status", READ),
            by=by,
            changed_because=item.get("because", ""),
            citation=item["citation"],
            set_by=self.id,
        )

    def _paper(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        kinds = tuple(item["kinds"])
        covers = f" for {item['covers']}" if "covers" in item else ""
        signed = f", signed by {item['signed_by']}" if "signed_by" in item else ""
        within = f", within {item['within']}" if "within" in item else ""
        expected = f"{' or '.join(kind.replace('-', ' ') for kind in kinds)}{covers}{signed}{within}"
        label = f"paper for {item['covers']}" if "covers" in item else f"paper: {kinds[0].replace('-', ' ')}"
        template = Paper(label, kinds, expected, item.get("covers", ""), "signed_by" in item)
        self._added(name, item, path, part, template, "paper", of_site=True)

    def _item(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        template = Item(name, item.get("count", 1), f"{' '.join(item['says'].split())} ({item['evidence']})")
        self._added(name, item, path, part, template, "evidence", of_site=True)

    def _readings(self, name: str, item: Mapping[str, Any], path: Path, gate: Gate, part: _Part) -> None:
        kind, _, read = item["of"].partition(".")
        here = (*path, "of")
        if kind not in things.KINDS or things.is_of_site(kind):
            self.unknown("kind of thing", kind, things.KINDS, here, ", ".join(things.KINDS))
            return
        found = self._field(kind, read, here)
        if found is None:
            return
        if found.dimension is None:
            self.wrong(here, f"{item['of']} is not read from a meter", "a field with a quantity", "of: joist.moisture")
            return
        how = "; ".join(item[key] for key in ("meter", "place") if key in item)
        count = parse(item["count"], Dimension.COUNT, "in")
        assert count is not None
        says = f"Least number of readings of {item['of']}"
        self._own_limit(f"{name}-count", item, part, Dimension.COUNT, {PLAIN: count}, "", says)
        bounds: dict[str, Bound] = {}
        for key in ("least", "most"):
            if f"at_{key}" in item:
                own = name if f"at_{'most' if key == 'least' else 'least'}" not in item else f"{name}-{key}"
                spec = {**item, "quantity": read.replace("_", " ")}
                bound = self._bound(
                    own, kind, found.dimension, item[f"at_{key}"], spec, (*path, f"at_{key}"), part, key
                )
                if bound is None:
                    return
                bounds[key] = bound
        template = Readings(kind, read, f"{name}-count", how, bounds.get("least"), bounds.get("most"))
        self._added(name, item, path, part, template, read.replace("_", " "), of_site=False)


_COMPARISONS: Final = ("at_least", "at_most", "between", "one_of", "none_of", "is", "present")
_BOUNDS: Final = ("at_least", "at_most", "between", "present")
_FOR_KIND: Final[Mapping[str, tuple[str, ...]]] = {
    "quantity": _BOUNDS,
    "words": ("one_of", "none_of", "present"),
    "text": ("one_of", "none_of", "present"),
    "boolean": ("is", "present"),
    "year": ("present",),
    "date": ("present",),
    "list": ("present",),
    "part": ("present",),
    "size": ("present",),
}


def _section(title: str, gate: Gate, part: _Part) -> Section:
    return Section(
        title=title,
        gate=gate,
        limits=part.limits,
        rules=tuple(part.rules),
        rule_changes=tuple(part.rule_changes),
        references=part.references,
        cautions=part.cautions,
        hold_points=tuple(part.hold_points),
        handovers=tuple(part.handovers),
        parameters=part.parameters,
    )


def _both(outer: Gate, inner: Gate) -> Gate:
    """Open where both are."""
    if outer == ALWAYS or inner == ALWAYS:
        return inner if outer == ALWAYS else outer
    condition = outer.when or inner.when
    if outer.when is not None and inner.when is not None:
        condition = When(tuple((*a, *b) for a in outer.when.any_of for b in inner.when.any_of))
    ends = [day for day in (outer.expires, inner.expires) if day]
    return Gate(condition, max(outer.effective, inner.effective), min(ends, default=""))


def _dimension(item: Mapping[str, Any]) -> Dimension | None:
    return Dimension(item["quantity"]) if "quantity" in item else None


def _shown(value: Quantity | tuple[str, ...]) -> str:
    return render(value, "in") if isinstance(value, Quantity) else f"[{', '.join(value)}]"


def _is_size(text: str) -> bool:
    try:
        parse_size(text)
    except QuantityError:
        return False
    return True
