"""What to measure next: the fields that open findings ask for, those first that settle most."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from inspect_core.engine import Finding, Report, field_schema
from inspect_core.quantities import Units
from inspect_core.site import schema
from inspect_core.site.examples import example_in

GENERAL_HOW = "Look, measure or ask."
GENERAL_TOOL = "whatever shows it"


@dataclass(frozen=True, slots=True)
class Measurement:
    """One field to fill in one area. ``settles`` findings need nothing else; ``helps`` need other fields as well;
    ``write`` is how it stands in the file."""

    field: str
    area: str
    what: str
    how: str
    tool: str
    settles: int
    helps: int
    subjects: tuple[str, ...]
    hold_points: tuple[str, ...]
    rules: tuple[str, ...]
    write: str


def to_measure(report: Report, findings: Iterable[Finding] | None = None) -> tuple[Measurement, ...]:
    """Fields to measure, ordered by how many findings each settles alone, then by how many it helps."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in report.findings if findings is None else findings:
        for field in finding.asks:
            groups.setdefault((finding.area, field), []).append(finding)
    if len(report.site.areas) == 1:  # what the whole site asks of its one floor is the same question
        only = report.site.areas[0].id
        for field in [field for area, field in groups if area == "" != only and (only, field) in groups]:
            groups[only, field] += groups.pop(("", field))
    found = [_measurement(field, area, asked, report) for (area, field), asked in groups.items()]
    return tuple(sorted(found, key=lambda m: (-m.settles, -m.helps, m.area, m.field)))


def _measurement(field: str, area: str, asked: list[Finding], report: Report) -> Measurement:
    known = field_schema(field) or {}
    measure = known.get("measure", {})
    alone = sum(1 for f in asked if len(f.asks) == 1)
    points = {f.rule.hold_point for f in asked}
    return Measurement(
        field=field,
        area=area,
        what=str(known.get("description", field)),
        how=str(measure.get("how", GENERAL_HOW)),
        tool=str(measure.get("tool", GENERAL_TOOL)),
        settles=alone,
        helps=len(asked) - alone,
        subjects=tuple(dict.fromkeys(f.subject for f in asked)),
        hold_points=tuple(p for p in report.rules.hold_points if p in points),
        rules=tuple(dict.fromkeys(f.rule.id for f in asked)),
        write=how_to_write(field.rpartition(".")[2], known, report.site.units),
    )


def how_to_write(key: str, known: Mapping[str, Any], units: Units = "in") -> str:
    """How a field stands in a site file, by its schema: ``piers: [] (none), or piers: [{id: PR1, under: B1}]``."""
    from inspect_core.site.explain import as_text, as_yaml  # brings in jsonschema, which a check never needs

    examples = known.get("examples") or [None]
    words = [as_text(word) for word in known.get("enum", ())]
    if words:
        return f"{as_yaml(key, words[0])} (or {', '.join(words[1:])})"
    entry = schema()["$defs"].get(str(known.get("items", {}).get("$ref", "")).rpartition("/")[2], {})
    if entry.get("examples"):
        none = f"{key}: [] (none), or " if examples[0] == [] else ""
        return f"{none}{key}: {as_text([example_in(units, entry['examples'][0], entry, schema())])}"
    example = example_in(units, examples[0], known, schema())
    return as_yaml(key, as_text(example)) if example is not None else ""
