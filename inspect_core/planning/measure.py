"""What to measure next: the fields that open findings ask for, those first that settle most."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inspect_core.engine import Finding, Report, field_schema

GENERAL_HOW = "Measure or look, and write it down; unknown stays unknown."
GENERAL_TOOL = "as the field's help says"


@dataclass(frozen=True, slots=True)
class Measurement:
    """One field to fill in one area. ``settles`` findings need nothing else; ``helps`` need other fields as well."""

    field: str
    area: str
    what: str
    how: str
    tool: str
    settles: int
    helps: int
    subjects: tuple[str, ...]
    hold_points: tuple[str, ...]


def to_measure(report: Report, findings: Iterable[Finding] | None = None) -> tuple[Measurement, ...]:
    """Fields to measure, ordered by how many findings each settles alone, then by how many it helps."""
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in report.findings if findings is None else findings:
        for field in finding.asks:
            groups.setdefault((finding.area, field), []).append(finding)
    found = [_measurement(field, area, asked, report) for (area, field), asked in groups.items()]
    return tuple(sorted(found, key=lambda m: (-m.settles, -m.helps, m.area, m.field)))


def _measurement(field: str, area: str, asked: list[Finding], report: Report) -> Measurement:
    schema = field_schema(field) or {}
    measure = schema.get("measure", {})
    alone = sum(1 for f in asked if len(f.asks) == 1)
    points = {f.rule.hold_point for f in asked}
    return Measurement(
        field=field,
        area=area,
        what=str(schema.get("description", field)),
        how=str(measure.get("how", GENERAL_HOW)),
        tool=str(measure.get("tool", GENERAL_TOOL)),
        settles=alone,
        helps=len(asked) - alone,
        subjects=tuple(dict.fromkeys(f.subject for f in asked)),
        hold_points=tuple(p for p in report.rules.hold_points if p in points),
    )
