"""From the converted file to the typed model: joist patterns are laid out here, and names are looked up."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeVar

from inspect_core.quantities import Quantity, Units
from inspect_core.site import model
from inspect_core.site.area import Area, Site
from inspect_core.site.model import Hanger, Header, Joist, JoistGroup, Part, Path
from inspect_core.site.problems import Problem
from inspect_core.site.reader import Document

P = TypeVar("P", bound=Part)
Report = Callable[[Path, str, str, str, str], None]

MERGED_KEYS = ("bearing", "hung", "joints", "restraint")  # an exception changes one support's entry, not all


_PLANS: dict[type[Any], dict[str, tuple[str, str, type[Part] | None]]] = {}


def _plan(kind: type[Any]) -> dict[str, tuple[str, str, type[Part] | None]]:
    """For each key of the file: field name, shape and class of what it holds."""
    if kind in _PLANS:
        return _PLANS[kind]
    plan: dict[str, tuple[str, str, type[Part] | None]] = {}
    for f in dataclasses.fields(kind):
        part = f.metadata.get("part")
        key = f.metadata.get("key", f.name.rstrip("_"))
        plan[key] = (f.name, f.metadata.get("shape", "value"), getattr(model, part) if part else None)
    _PLANS[kind] = plan
    return plan


def build_part(
    kind: type[P],
    data: Mapping[str, Any],
    path: Path,
    path_of: Callable[[str], Path] | None = None,
    **extra: Any,
) -> P:
    """One record from its converted mapping; ``unknown`` becomes ``None``.

    ``path_of`` tells where each key stands when that is not right under ``path``.
    """
    plan = _plan(kind)
    values: dict[str, Any] = {"path": path}
    for key, value in data.items():
        name, shape, part = plan[key]
        if key == "id":  # a name is a name, even if it is "unknown"
            values[name] = value
            continue
        values[name] = _build_value(value, shape, part, path_of(key) if path_of else (*path, key))
    values.update(extra)
    return kind(**values)


def _build_value(value: Any, shape: str, part: type[Part] | None, path: Path) -> Any:
    if value is None or value == "unknown":
        return None
    if shape == "value":
        return value
    if shape == "row":
        return tuple(value)
    if shape == "pairs":
        return tuple(tuple(pair) for pair in value)
    if shape == "plain":
        return {key: item for key, item in value.items() if item != "unknown"}
    assert part is not None
    if shape == "one":
        return build_part(part, value, path)
    if shape == "many":
        return tuple(build_part(part, item, (*path, i)) for i, item in enumerate(value))
    return {key: build_part(part, item, (*path, key)) for key, item in value.items()}


def build_site(data: Mapping[str, Any], document: Document, report: Report) -> Site:
    """The whole model from a converted file; what does not fit together is told to ``report``."""
    house = build_part(model.House, data["site"], ("site",))
    areas = tuple(
        _build_area(item, ("areas", i), house.work, len(data["areas"]) > 1, data["units"], report)
        for i, item in enumerate(data["areas"])
    )
    rest = {key: _build_value(data[key], *_SITE_PARTS[key], (key,)) for key in _SITE_PARTS if data.get(key) is not None}
    return Site(
        document=document,
        units=data["units"],
        name=house.name or "",
        house=house,
        packs=tuple(data.get("packs") or ()),
        areas=areas,
        **rest,
    )


_SITE_PARTS: dict[str, tuple[str, type[Part]]] = {
    "place": ("one", model.Place),
    "hazards": ("one", model.Hazards),
    "documents": ("many", model.Document),
    "evidence": ("many", model.Evidence),
    "temporary_supports": ("many", model.TemporarySupport),
}

_WITH_WORK = tuple(
    f.name
    for f in dataclasses.fields(model.AreaRecord)
    if f.metadata.get("shape") == "many" and f.name not in ("joist_groups", "thresholds")
)


def _build_area(
    data: Mapping[str, Any], path: Path, work: str | None, several: bool, units: Units, report: Report
) -> Area:
    record = build_part(model.AreaRecord, data, path)
    values = {f.name: getattr(record, f.name) for f in dataclasses.fields(record)}
    for name in _WITH_WORK:  # the site's default reaches every member and layer that says nothing of its own
        if values[name]:
            values[name] = _all_with_work(values[name], work, data[name])
    joists: list[Joist] = []
    missing: list[Joist] = []
    unplaced = any(group.at is None and not group.also for group in record.joist_groups or ())  # joists, but where?
    for i, group in enumerate(record.joist_groups or ()):
        raw = data["joists"][i]
        for joist in _lay_out(group, raw, (*path, "joists", i), work, units, report):
            (missing if joist.missing else joists).append(joist)
    return Area(
        **values,
        joists=tuple(joists) if joists or (not unplaced and record.joist_groups is not None) else None,
        missing_joists=tuple(missing),
        suffix=f" in {record.id}" if several else "",
        units=units,
    )


_OF_A_MEMBER = ("headers", "holes", "notches", "cuts", "sisters")  # these follow what they are in or on


def _with_work(part: P, work: str | None, raw: Mapping[str, Any]) -> P:
    names = _plan(type(part))
    changes: dict[str, Any] = {}
    if "work" in names and "work" not in raw and work is not None:  # `work: unknown` is an answer of its own
        changes["work"] = work
    own = changes.get("work", getattr(part, "work", None))
    for name in _OF_A_MEMBER:
        if getattr(part, name, None):
            changes[name] = _all_with_work(getattr(part, name), own, raw[name])
    if isinstance(part, Joist) and part.hung:
        changes["hung"] = {at: _held(hanger, own, raw["hung"][at]) for at, hanger in part.hung.items()}
    elif isinstance(part, Header) and part.hung is not None:
        changes["hung"] = _held(part.hung, own, raw["hung"])
    return dataclasses.replace(part, **changes) if changes else part


def _held(hanger: Hanger, work: str | None, raw: Mapping[str, Any]) -> Hanger:
    """A hanger of which nothing is said is of the same work as what hangs in it."""
    return hanger if "work" in raw else dataclasses.replace(hanger, work=work, as_member=True)


def _all_with_work(parts: Iterable[P], work: str | None, raw: Iterable[Mapping[str, Any]]) -> tuple[P, ...]:
    return tuple(_with_work(part, work, own) for part, own in zip(parts, raw, strict=True))


def _lay_out(
    group: JoistGroup, raw: Mapping[str, Any], path: Path, work: str | None, units: Units, report: Report
) -> Iterator[Joist]:
    """The joists of one group, in order of the pattern, then those listed under ``also``."""
    places = group.at or ()
    name = group.name or "J"
    ids = [f"{name}{n}" for n in range(1, len(places) + 1)]
    exceptions: Mapping[str, Any] = raw.get("but") or {}
    extras: Mapping[str, Any] = raw.get("also") or {}
    known = set(ids)
    for key in exceptions:
        if key not in known:
            report(
                (*path, "but", key),
                "no-such-joist",
                f"there is no joist {key} in this group",
                f"one of {ids[0]} to {ids[-1]}" if ids else "a group with places under `at`",
                f"but: {{{ids[0] if ids else 'J1'}: {{…}}}}",
            )
    for key in extras:
        if key in known:
            report(
                (*path, "also", key),
                "joist-twice",
                f"joist {key} is already in the pattern",
                "a new name",
                f"also: {{{key}A: {{at: {56 if units == 'in' else 1400}}}}}",
            )
    shared = {key: raw[key] for key in sorted(model.GROUP_KEYS) if key in raw}
    common = {**shared, **(raw.get("each") or {})}
    at_path = (*path, "at")
    listed = isinstance(group.at, tuple) and isinstance(raw.get("at"), list)
    for n, (joist_id, place) in enumerate(zip(ids, places, strict=True)):
        own = exceptions.get(joist_id)
        where = (*path, "but", joist_id) if own is not None else (*at_path, n) if listed else at_path
        yield _joist(common, own or {}, joist_id, place, group, where, path, work)
    for joist_id, own in extras.items():
        yield _joist(common, own, joist_id, None, group, (*path, "also", joist_id), path, work)


def _joist(
    common: Mapping[str, Any],
    own: Mapping[str, Any],
    joist_id: str,
    place: Quantity | None,
    group: JoistGroup,
    where: Path,
    group_path: Path,
    work: str | None,
) -> Joist:
    data = {**common, **own}
    for key in MERGED_KEYS:
        if key in own and key in common:
            data[key] = {**common[key], **own[key]}
    own_keys = frozenset(own)
    joist = build_part(
        Joist,
        data,
        where,
        path_of=lambda key: model.joist_key_path(where, group_path, own_keys, key),
        id=joist_id,
        group_path=group_path,
        own_keys=own_keys,
    )
    changes: dict[str, Any] = {}
    if joist.at is not None:
        place = joist.at
    changes["place"] = _centre(place, joist, group.measured_to)
    changes["place_far"] = _centre(joist.at_far_end, joist, group.measured_to)
    return _with_work(dataclasses.replace(joist, **changes), work, data)


def _centre(place: Quantity | None, joist: Joist, measured_to: str | None) -> Quantity | None:
    """Centre line of a joist read to one of its faces."""
    if place is None or measured_to in (None, "centre"):
        return place
    thickness = joist.section.thickness
    if thickness is None:
        return None
    half = thickness * (joist.section.plies / 2)
    return place + half if measured_to == "near-face" else place - half


def problem_reporter(problems: list[Problem], document: Document) -> Report:
    """A reporter that turns what does not fit together into problems with positions."""

    def report(path: Path, code: str, message: str, expected: str, example: str) -> None:
        mark = document.where(path)
        problems.append(
            Problem(
                file=document.file,
                line=mark.line,
                column=mark.column,
                path=path,
                code=code,
                message=message,
                expected=expected,
                example=example,
                source_line=document.line(mark.line),
            )
        )

    return report
