"""A work order: stage by stage what to make safe, measure, mend and build, and what to see before it is hidden."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from graphlib import TopologicalSorter
from importlib.resources import files
from typing import Any

import yaml

from inspect_core.engine import Finding, Report
from inspect_core.planning.measure import GENERAL_HOW, to_measure
from inspect_core.rules_api import CORRECTION, FALLS_SHORT, NOT_MEASURED, STOP_WORK, named
from inspect_core.rules_api.vocabulary import at_or_above
from inspect_core.site import Area
from inspect_core.site.model import Layer, Part, Path

BEFORE_ALL = "before anything else"
PLANNED = ("new", "altered")
OTHER = "other"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do. ``after`` holds the numbers of steps that come first; ``rules`` what it settles."""

    number: int
    action: str  # make-safe, measure, mend or build
    kind: str
    what: str
    subjects: tuple[str, ...]
    rules: tuple[str, ...]
    cautions: tuple[str, ...]
    after: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """The way to one hold point: steps in order, pictures to take, and how much is open there now."""

    hold_point: str
    steps: tuple[Step, ...]
    pictures: tuple[str, ...]
    open: int
    released: bool


@dataclass(frozen=True, slots=True)
class _Draft:
    action: str
    kind: str
    what: str
    subjects: tuple[str, ...]
    rules: tuple[str, ...]
    cautions: tuple[str, ...]


def work_order(report: Report, threshold: str = CORRECTION) -> tuple[Stage, ...]:
    """Every stage in order. Findings below ``threshold`` are left out; what may hurt someone comes before all else."""
    findings = [
        f for f in report.findings if f.outcome in (FALLS_SHORT, NOT_MEASURED) and at_or_above(f.severity, threshold)
    ]
    stops = [f for f in findings if f.severity == STOP_WORK and f.outcome == FALLS_SHORT]
    rest = [f for f in findings if f not in stops]
    planned = dict(_planned(report))
    states = report.hold_points(threshold)
    stages: list[Stage] = []
    taken = 0
    if stops:
        steps = _in_order([*_mending(report, stops, "make-safe")], taken, None)
        taken += len(steps)
        stages.append(Stage(BEFORE_ALL, steps, (), len(stops), False))
    last = stages[-1].steps[-1].number if stages else None
    for point in report.rules.hold_points:
        here = [f for f in rest if f.rule.hold_point == point]
        drafts = [*_measuring(report, here), *_mending(report, here, "mend"), *planned.get(point, ())]
        steps = _in_order(drafts, taken, last)
        taken += len(steps)
        last = steps[-1].number if steps else last
        pictures = tuple(_order()["pictures"].get(point, ()))
        stages.append(Stage(point, steps, pictures, states[point].open, states[point].released))
    return tuple(stages)


def says(kind: str) -> str:
    """A kind of work in words."""
    return "Measure" if kind == MEASURE else str(_order()["kinds"][kind]["says"])


@cache
def _order() -> dict[str, Any]:
    text = files(__package__).joinpath("order.yaml").read_text("utf-8")
    data: dict[str, Any] = yaml.safe_load(text)
    return data


def kind_of(path: Path, report: Report) -> str:
    """Which kind of work a place in the file belongs to."""
    order = _order()
    keys = [step for step in path[:3] if isinstance(step, str) and step != "areas"]
    key = keys[0] if keys else ""
    if key == "layers":
        layer = _layer(path, report)
        return str(order["layers"].get(layer.kind if layer is not None else "", OTHER))
    return str(order["parts"].get(key, OTHER))


def _layer(path: Path, report: Report) -> Layer | None:
    found = (layer for area in report.site.areas for layer in area.layers or () if layer.path == path[:4])
    return next(found, None)


# --- what to do -------------------------------------------------------------------------------------------------------


def _measuring(report: Report, findings: list[Finding]) -> Iterator[_Draft]:
    """One step for each field that decides something here."""
    unknown = [f for f in findings if f.outcome == NOT_MEASURED]
    for one in to_measure(report, unknown):
        where = f" in {one.area}" if len(report.site.areas) > 1 and one.area else ""
        how = f" {one.how}" if one.how != GENERAL_HOW else ""
        yield _Draft("measure", MEASURE, f"{one.field}{where}: {one.what}{how}", one.subjects, one.rules, ())
    for finding in unknown:
        if not finding.asks:
            what = finding.check.because or finding.rule.remedy
            yield _Draft("measure", MEASURE, what, (finding.subject,), (finding.rule.id,), finding.rule.cautions)


def _mending(report: Report, findings: Iterable[Finding], action: str) -> Iterator[_Draft]:
    """One step for each remedy and kind of work, with all that it is about."""
    grouped: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        if finding.outcome == FALLS_SHORT:
            grouped.setdefault((kind_of(finding.path, report), finding.remedy), []).append(finding)
    for (kind, remedy), same in grouped.items():
        yield _Draft(
            action,
            kind,
            remedy,
            tuple(dict.fromkeys(f.subject for f in same)),
            tuple(dict.fromkeys(f.rule.id for f in same)),
            tuple(dict.fromkeys(key for f in same for key in f.rule.cautions)),
        )


def _planned(report: Report) -> Iterator[tuple[str, list[_Draft]]]:
    """What the file says is new or altered, by the hold point at which it is looked at; none where all is built."""
    order = _order()
    found: dict[str, list[_Draft]] = {}
    if report.site.house.stage != "built":
        for area in report.site.areas:
            for kind, verb, names in _new_parts(area, report):
                point = order["seen_at"].get(kind)
                if point in report.rules.hold_points:
                    where = f" in {area.id}" if len(report.site.areas) > 1 else ""
                    draft = _Draft("build", kind, f"{verb} {', '.join(names)}{where}", tuple(names), (), ())
                    found.setdefault(point, []).append(draft)
    yield from found.items()


def _new_parts(area: Area, report: Report) -> Iterator[tuple[str, str, list[str]]]:
    """Kind, what to do, and the names of what is new; layers one by one, the rest of a kind together."""
    kinds = _order()["kinds"]
    parts: list[Part] = [
        *(area.footings or ()), *(area.piers or ()), *(area.posts or ()), *(area.supports or ()),
        *(area.joists or ()), *(area.openings or ()), *(area.blocking or ()), *(area.edges or ()),
        *(area.drains or ()), *(area.wet_areas or ()), *(area.fixtures or ()),
    ]  # fmt: skip
    grouped: dict[str, list[str]] = {}
    for part in parts:
        if getattr(part, "work", None) in PLANNED:
            grouped.setdefault(kind_of(part.path, report), []).append(named(part).name)
    for joist in area.joists or ():
        for number, sister in enumerate(joist.sisters or (), 1):
            if sister.work in PLANNED:
                grouped.setdefault("joist", []).append(f"sister {sister.id or number} of joist {joist.id}")
    for kind, names in grouped.items():
        yield kind, kinds[kind].get("do", "Build"), names
    cover = area.crawl_space.ground_cover if area.crawl_space is not None else None
    if cover is not None and cover.work in PLANNED:
        yield "crawl", "Lay", ["the ground cover"]
    ranks, reached = _ranks(), ""
    for layer in area.layers or ():
        kind = kind_of(layer.path, report)
        reached = max(reached or kind, kind, key=lambda one: ranks[one])  # no layer goes in before the one below it
        if layer.work in PLANNED:
            yield reached, "Lay", [named(layer).name]


# --- in which order ---------------------------------------------------------------------------------------------------


def _in_order(drafts: list[_Draft], taken: int, last: int | None) -> tuple[Step, ...]:
    """The drafts of a stage in the order of the trade; measuring comes first, layers keep the order of the file.

    ``after`` names only the nearest steps that must be done; the others follow from those. ``last`` is the last step of
    the stage before, after which the first ones here come.
    """
    ranks = _ranks()
    ordered = sorted(drafts, key=lambda draft: ranks[draft.kind])  # stable
    numbers = range(taken + 1, taken + 1 + len(ordered))
    needs = [{m for m in range(n) if _before(ordered[m], ordered[n])} for n in range(len(ordered))]
    steps: list[Step] = []
    for n, draft in enumerate(ordered):
        implied = {far for near in needs[n] for far in needs[near]}
        after = tuple(numbers[m] for m in sorted(needs[n] - implied)) or ((last,) if last is not None else ())
        steps.append(
            Step(
                numbers[n],
                draft.action,
                draft.kind,
                draft.what,
                draft.subjects,
                draft.rules,
                draft.cautions,
                after,
            )
        )
    return tuple(steps)


def _before(first: _Draft, second: _Draft) -> bool:
    """Whether the first must be done before the second; of two layers the one that was named first."""
    if first.kind == second.kind:
        return second.action == "build" and first.kind in _LAID
    return first.kind in _predecessors()[second.kind]


_LAID = frozenset({"subfloor", "underlayment", "wet-area", "tile-base", "tile"})
MEASURE = "measure"


@cache
def _predecessors() -> dict[str, frozenset[str]]:
    """For each kind every kind that comes before it; measuring comes before all but what makes the place safe."""
    kinds = _order()["kinds"]
    found: dict[str, frozenset[str]] = {MEASURE: frozenset({"hazard"})}
    for kind in _ranked():
        direct = kinds[kind]["after"]
        found[kind] = frozenset({*direct, *(far for near in direct for far in found[near])})
    return {k: v | {MEASURE} if k not in (MEASURE, "hazard", "paper") else v for k, v in found.items()}


@cache
def _ranked() -> tuple[str, ...]:
    kinds = _order()["kinds"]
    return tuple(TopologicalSorter({kind: entry["after"] for kind, entry in kinds.items()}).static_order())


@cache
def _ranks() -> dict[str, int]:
    ranked = [kind for kind in _ranked() if kind not in ("hazard", "paper")]
    return {kind: n for n, kind in enumerate(["hazard", "paper", MEASURE, *ranked])}
