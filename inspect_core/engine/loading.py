"""Finding installed packs, and checking each of them once and loudly before it may run."""

from __future__ import annotations

import importlib.metadata
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Protocol

import pluggy

from inspect_core.engine import hookspecs
from inspect_core.rules_api import API_VERSION, HOLD_POINTS, SEVERITIES, Pack, Rule
from inspect_core.rules_api.vocabulary import WORK
from inspect_core.site import schema

GROUP = "inspect_core.packs"
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


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


def load_packs(entry_points: Iterable[EntryPoint] | None = None) -> LoadedPacks:
    """Load every installed pack. Order is by id: what is installed first never decides."""
    if entry_points is None:
        entry_points = importlib.metadata.entry_points(group=GROUP)
    packs: dict[str, Pack] = {}
    failures: list[PackFailure] = []
    for entry in sorted(entry_points, key=lambda e: (e.name, e.value)):
        origin = _origin(entry)
        try:
            pack = _pack_from(entry, origin)
            faults = pack_faults(pack)
        except (Exception, SystemExit) as error:
            failures.append(PackFailure(origin, f"could not be loaded: {type(error).__name__}: {error}"))
            continue
        if faults:
            failures.append(PackFailure(f"{pack.id} ({origin})", "; ".join(faults)))
        elif pack.id in packs:
            failures.append(PackFailure(origin, f"another installed pack is called {pack.id} too"))
        else:
            packs[pack.id] = pack
    return LoadedPacks(tuple(packs[i] for i in sorted(packs)), tuple(failures))


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
    if not _ID.fullmatch(pack.id):
        faults.append(f"pack id {pack.id!r} should be lower-case words joined by hyphens")
    if not pack.version:
        faults.append("it has no version")
    seen: set[str] = set()
    for one in pack.rules:
        faults += [f"rule {one.id}: {fault}" for fault in _rule_faults(one, pack)]
        if one.id in seen:
            faults.append(f"rule {one.id}: the id is used twice")
        seen.add(one.id)
    for definition in pack.limits.values():
        if not definition.source:
            faults.append(f"limit {definition.id}: has no source")
    return faults


def _rule_faults(one: Rule, pack: Pack) -> Iterable[str]:
    if not _ID.fullmatch(one.id):
        yield "the id should be lower-case words joined by hyphens"
    if not one.summary:
        yield "its function needs a docstring whose first line is the requirement"
    if one.severity not in SEVERITIES:
        yield f"unknown severity {one.severity!r}; one of {', '.join(SEVERITIES)}"
    if one.hold_point not in (*HOLD_POINTS, *pack.hold_points):
        yield f"unknown hold point {one.hold_point!r}; one of {', '.join((*HOLD_POINTS, *pack.hold_points))}"
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
    """Limits, references and cautions that rules name and no pack of the stack has."""
    stack = tuple(packs)
    limits = {key for pack in stack for key in pack.limits}
    references = {key for pack in stack for key in pack.references}
    cautions = {key for pack in stack for key in pack.cautions}
    missing = []
    for pack in stack:
        for one in pack.rules:
            missing += [
                f"{pack.id}: rule {one.id}: no pack sets limit {name}" for name in one.limits if name not in limits
            ]
            if one.reference not in references:
                missing.append(f"{pack.id}: rule {one.id}: no pack fills reference {one.reference}")
            missing += [
                f"{pack.id}: rule {one.id}: no pack has caution {name}" for name in one.cautions if name not in cautions
            ]
    return missing


def field_schema(field: str) -> dict[str, Any] | None:
    """The schema of a field such as ``joist.bearing`` or ``site.built``; ``None`` when there is none."""
    part, _, name = field.partition(".")
    root = schema()
    holder = root["$defs"].get("house" if part == "site" else part)
    found = holder["properties"].get(name) if holder is not None else None
    return found if isinstance(found, dict) else None


def field_exists(field: str) -> bool:
    """Whether the site description has this field."""
    return field_schema(field) is not None
