"""Finding installed packs, and checking each of them once and loudly before it may run."""

from __future__ import annotations

import importlib.metadata
import re
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

import pluggy

from inspect_core.engine import hookspecs, rule_time
from inspect_core.engine.choice import Choice
from inspect_core.engine.gates import asks_area, asks_work
from inspect_core.engine.stack import sections_of
from inspect_core.quantities.dates import day
from inspect_core.rules_api import (
    API_VERSION,
    HOLD_POINTS,
    SEVERITIES,
    Caution,
    Handover,
    LimitDef,
    Pack,
    Reference,
    Rule,
    Section,
)
from inspect_core.rules_api.limits import PLAIN
from inspect_core.rules_api.pack import LEVELS, Origin
from inspect_core.rules_api.vocabulary import STATUSES, WORK
from inspect_core.site import InputError, schema
from inspect_core.site.convert import resolve

GROUP = "inspect_core.packs"
ID_PATTERN = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


class EntryPoint(Protocol):
    """What is needed of an installed entry point."""

    name: str
    value: str

    @property
    def dist(self) -> Any: ...

    def load(self) -> Any: ...


@dataclass(frozen=True, slots=True)
class PackFailure:
    """A pack that could not be used, or that failed while it ran: who, where and why."""

    pack: str
    why: str


@dataclass(frozen=True, slots=True)
class LoadedPacks:
    """Packs that may run, and those that can't. A failure never hides: the run says it and exits with 3."""

    packs: tuple[Pack, ...]
    failures: tuple[PackFailure, ...]
    choice: Choice = Choice()


def load_packs(entry_points: Iterable[EntryPoint] | None = None) -> LoadedPacks:
    """Load every installed pack. Order is by id: what is installed first never decides."""
    if entry_points is None:
        entry_points = importlib.metadata.entry_points(group=GROUP)
    packs: dict[str, Pack] = {}
    failures: list[PackFailure] = []
    for entry in sorted(entry_points, key=lambda e: (e.name, e.value)):
        origin = _origin(entry)
        try:
            with rule_time.watching() as watch, watch:
                pack = replace(_pack_from(entry, origin), origin=Origin("python", origin, _root(entry)))
                faults = pack_faults(pack)
        except (Exception, SystemExit, rule_time.TookTooLong) as error:
            failures.append(PackFailure(origin, f"could not be loaded: {_why(error)}"))
            continue
        if faults:
            failures.append(PackFailure(f"{pack.id} ({origin})", "; ".join(faults)))
        elif pack.id in packs:
            failures.append(PackFailure(origin, f"another installed pack is called {pack.id} too"))
        else:
            packs[pack.id] = pack
    return LoadedPacks(tuple(packs[i] for i in sorted(packs)), tuple(failures))


def _root(entry: EntryPoint) -> str:
    """The folder of the pack's package, or its one file."""
    module = sys.modules.get(entry.value.partition(":")[0].partition(".")[0])
    file = getattr(module, "__file__", None)
    if file is None:
        return ""
    path = Path(file)
    return str(path.parent if path.name == "__init__.py" else path)


def _why(error: BaseException) -> str:
    """The error in one line; of faulty data each place and what is wrong there."""
    if isinstance(error, InputError):
        return "; ".join(f"{p.file}:{p.line}:{p.column}: {p.message}" for p in error.problems)
    return f"{type(error).__name__}: {' '.join(str(error).split())}"


def _origin(entry: EntryPoint) -> str:
    distribution = entry.dist.name if entry.dist is not None else "?"
    return f"{distribution}: {entry.name} = {entry.value}"


def _pack_from(entry: EntryPoint, origin: str) -> Pack:
    """A manager of its own for each pack: an error in one can't touch another, and the culprit is known."""
    manager = pluggy.PluginManager("inspect_core")
    manager.add_hookspecs(hookspecs)
    plugin = entry.load()
    manager.register(plugin, name=origin)
    manager.check_pending()
    if not manager.get_hookcallers(plugin):
        raise TypeError("it has no inspect_pack marked with inspect_core.rules_api.hookimpl")
    answers = manager.hook.inspect_pack()
    if len(answers) != 1 or not isinstance(answers[0], Pack):
        raise TypeError("its inspect_pack must return one inspect_core.rules_api.Pack")
    pack: Pack = answers[0]
    return pack


def pack_faults(pack: Pack) -> list[str]:
    """Everything that is wrong with a pack's own data, as sentences; an empty list means it may run."""
    if pack.api != API_VERSION:
        needs = "a newer inspect-core" if pack.api > API_VERSION else "to be brought up to date"
        return [f"it was written for pack API {pack.api}, this is {API_VERSION}: it needs {needs}"]
    faults = []
    if not ID_PATTERN.fullmatch(pack.id):
        faults.append(f"pack id {pack.id!r} should be lower-case words joined by hyphens")
    if not pack.version:
        faults.append("it has no version")
    seen: set[str] = set()
    for part in sections_of(pack):
        for one in part.rules:
            faults += [f"rule {one.id}: {fault}" for fault in _rule_faults(one, pack)]
            if one.id in seen:
                faults.append(f"rule {one.id}: the id is used twice")
            seen.add(one.id)
        for kind, records in ((LimitDef, part.limits), (Reference, part.references), (Caution, part.cautions)):
            wrong = [key for key, record in records.items() if not isinstance(record, kind)]
            faults += [f"{key}: this should be a {kind.__name__}" for key in wrong]
        for definition in part.limits.values():
            if isinstance(definition, LimitDef):
                faults += [f"limit {definition.id}: {fault}" for fault in _limit_faults(definition)]
    return [*faults, *_identity_faults(pack), *(fault for part in pack.sections for fault in _section_faults(part))]


def _identity_faults(pack: Pack) -> Iterable[str]:
    if pack.level and pack.level not in LEVELS:
        yield f"unknown level {pack.level!r}; one of {', '.join(LEVELS)}"
    for level in pack.amendable_by or ():
        if level not in LEVELS:
            yield f"amendable_by: unknown level {level!r}; one of {', '.join(LEVELS)}"
    yield from _date_faults("the pack", pack.effective, pack.expires)


def _date_faults(what: str, effective: str, expires: str) -> Iterable[str]:
    for text in (effective, expires):
        if text and (day(text) is None or len(text) != len("2026-01-01")):
            yield f"{what}: {text!r} is no date; write year-month-day"
    if effective and expires and expires < effective:
        yield f"{what} expires on {expires}, before it is in force on {effective}"


def _section_faults(part: Section) -> Iterable[str]:
    yield from _date_faults(f"section {part.title!r}", part.gate.effective, part.gate.expires)
    for change in part.rule_changes:
        if not change.because.strip():
            yield f"change of rule {change.rule}: it does not say why"
        if change.severity is not None and change.severity not in SEVERITIES:
            yield f"change of rule {change.rule}: unknown severity {change.severity!r}"
        for kind in change.binds or ():
            if kind not in WORK:
                yield f"change of rule {change.rule}: unknown kind of work {kind!r}; one of {', '.join(WORK)}"
    for field in part.parameters:
        if field.partition(".")[0] != "place" or not field_exists(field):
            yield f"parameter {field}: there is no such field of the place"
    of_the_site = (*part.references, *part.cautions, *part.parameters, *(point.id for point in part.hold_points))
    if part.gate.when is not None and of_the_site and (asks_area(part.gate) or asks_work(part.gate)):
        names = ", ".join(of_the_site)
        yield f"{names}: these hold for a whole site, so they can't depend on an area or on the kind of work"


def _limit_faults(definition: LimitDef) -> Iterable[str]:
    if not definition.source:
        yield "has no source"
    if definition.status not in STATUSES:
        yield f"unknown status {definition.status!r}; one of {', '.join(STATUSES)}"


def _rule_faults(one: Rule, pack: Pack) -> Iterable[str]:
    if not ID_PATTERN.fullmatch(one.id):
        yield "the id should be lower-case words joined by hyphens"
    if not one.summary:
        yield "its function needs a docstring whose first line is the requirement"
    if one.severity not in SEVERITIES:
        yield f"unknown severity {one.severity!r}; one of {', '.join(SEVERITIES)}"
    points = (*HOLD_POINTS, *pack.hold_points, *(p.id for part in pack.sections for p in part.hold_points))
    if one.hold_point not in points and not pack.stands_on:  # for others the stack tells, which knows what is below
        yield f"unknown hold point {one.hold_point!r}; one of {', '.join(points)}"
    if one.scope not in ("area", "site"):
        yield f"unknown scope {one.scope!r}; area or site"
    if not one.remedy:
        yield "it has no remedy"
    for kind in one.binds:
        if kind not in WORK:
            yield f"unknown kind of work {kind!r}; one of {', '.join(WORK)}"
    for field in one.measures:
        if not field_exists(field):
            yield f"there is no field {field!r} in the site description to measure"


def missing_names(packs: Iterable[Pack]) -> list[str]:
    """What does not fit together in a stack: limits, references and cautions that rules name and no pack has; limits
    that a later pack states as another kind of thing than the earlier one, so that no rule would ever see them."""
    parts = [(pack, section) for pack in packs for section in sections_of(pack)]
    limits = {key for _, part in parts for key in part.limits}
    references = {key for _, part in parts for key in part.references}
    cautions = {key for _, part in parts for key in part.cautions}
    missing = []
    first: dict[str, LimitDef] = {}
    for pack, part in parts:
        for key, definition in part.limits.items():
            earlier = first.setdefault(key, definition)
            if earlier.dimension is not definition.dimension:
                missing.append(f"{pack.id}: limit {key}: it is not the quantity that it was ({_kind(earlier)})")
            elif (PLAIN in earlier.values) != (PLAIN in definition.values):
                missing.append(f"{pack.id}: limit {key}: it was {_kind(earlier)}")
    for pack, part in parts:
        for one in part.rules:
            missing += [
                f"{pack.id}: rule {one.id}: no pack sets limit {name}" for name in one.limits if name not in limits
            ]
            if one.reference not in references:
                missing.append(f"{pack.id}: rule {one.id}: no pack fills reference {one.reference}")
            missing += [
                f"{pack.id}: rule {one.id}: no pack has caution {name}" for name in one.cautions if name not in cautions
            ]
    return missing + list(_missing_targets(parts, references, cautions))


def _missing_targets(parts: Iterable[tuple[Pack, Section]], references: set[str], cautions: set[str]) -> Iterator[str]:
    """Rules, topics and hold points that a section changes and no pack up to then has."""
    rules: dict[str, Rule] = {}
    points = set(HOLD_POINTS)
    for pack, part in parts:
        rules |= {one.id: one for one in part.rules}
        points |= {*pack.hold_points, *(point.id for point in part.hold_points)}
        for point in part.hold_points:
            unknown = {point.before, point.after, point.into} - {""} - points
            yield from (f"{pack.id}: hold point {point.id}: there is no {name}" for name in sorted(unknown))
        for change in part.rule_changes:
            where = f"{pack.id}: change of rule {change.rule}"
            if change.rule not in rules:
                yield f"{where}: no pack below has this rule"
            if change.hold_point is not None and change.hold_point not in points:
                yield f"{where}: there is no hold point {change.hold_point}"
            if change.reference is not None and change.reference not in references:
                yield f"{where}: no pack fills reference {change.reference}"
            yield from (f"{where}: no pack has caution {name}" for name in change.cautions if name not in cautions)
        for one in part.rules:
            if one.hold_point not in points:
                yield f"{pack.id}: rule {one.id}: there is no hold point {one.hold_point}"
        for handover in part.handovers:
            below = [Handover(handover.to, handover.because, topics=(name,)) for name in handover.topics]
            below += [Handover(handover.to, handover.because, rules=(name,)) for name in handover.rules]
            below += [Handover(handover.to, handover.because, references=(name,)) for name in handover.references]
            for part_of in below:
                if not any(part_of.concerns(one) for one in rules.values()):
                    yield f"{pack.id}: handover of {part_of.names[0]}: it concerns no rule below"


def _kind(definition: LimitDef) -> str:
    what = definition.dimension.value if definition.dimension else "words"
    return f"one {what}" if PLAIN in definition.values else f"a table of {what} by {definition.by or 'key'}"


def field_schema(field: str) -> dict[str, Any] | None:
    """The schema of a field such as ``joist.bearing`` or ``site.built``, whole; ``None`` when there is none."""
    part, _, name = field.partition(".")
    root = schema()
    holder = root["$defs"].get("house" if part == "site" else part)
    found = holder["properties"].get(name) if holder is not None else None
    return resolve(found, root) if isinstance(found, dict) else None


def field_exists(field: str) -> bool:
    """Whether the site description has this field."""
    return field_schema(field) is not None
