"""A report as plain data, every text written out: what each format lays out and none computes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

import inspect_core
from inspect_core.engine import Finding, Report
from inspect_core.engine.hashes import content_hash, kind_of
from inspect_core.engine.loosened import Loosened, lines
from inspect_core.engine.loosened import shown as shown_limit
from inspect_core.engine.variances import notice_data, notice_line
from inspect_core.quantities import Quantity, Units, number_in, unit_for
from inspect_core.report.load_path import load_path_data
from inspect_core.report.working import steps_of, working_data
from inspect_core.rules_api import (
    CORRECTION,
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    OUTCOMES,
    SEVERITIES,
    Limit,
    Outcome,
    Pack,
)
from inspect_core.rules_api.vocabulary import at_or_above
from inspect_core.site.model import Path

NOT_ADOPTED = "not adopted here"


@dataclass(frozen=True, slots=True)
class Selection:
    """What a reader asked to see. ``severity`` is the least that counts; ``hold_point`` narrows to one stage;
    ``load_path`` adds the chain from tile to soil; ``packs_by`` are the options that chose the packs, for the commands
    that are proposed next."""

    hold_point: str | None = None
    severity: str | None = None
    load_path: bool = False
    packs_by: tuple[str, ...] = ()

    @property
    def threshold(self) -> str:
        """Least severity that keeps a hold point."""
        return self.severity or CORRECTION

    def shows(self, finding: Finding) -> bool:
        """Whether a finding is listed."""
        if self.hold_point is not None and finding.rule.hold_point != self.hold_point:
            return False
        return self.severity is None or at_or_above(finding.severity, self.severity)


_ORDER: dict[Outcome, int] = {FALLS_SHORT: 0, NOT_MEASURED: 1, MEETS: 2, DOES_NOT_APPLY: 3}


def shown(report: Report, selection: Selection) -> tuple[Finding, ...]:
    """The findings to list, gravest first within each hold point, then in the order of the file."""
    stages = {stage: n for n, stage in enumerate(report.rules.hold_points)}
    order = {severity: n for n, severity in enumerate(SEVERITIES)}

    def key(finding: Finding) -> tuple[int, int, int, int, str, str]:
        return (
            stages[finding.rule.hold_point],
            _ORDER[finding.outcome],
            order[finding.severity],
            report.site.locate(finding.path)[0],
            finding.rule.id,
            finding.subject,
        )

    return tuple(sorted((f for f in report.findings if selection.shows(f)), key=key))


def message(report: Report, finding: Finding) -> str:
    """The finding's sentence, in the file's units."""
    return finding.message(report.site.units, report.rules.tape_tolerance)


def as_data(report: Report, selection: Selection) -> dict[str, Any]:
    """The whole report under the keys of the JSON contract."""
    findings = shown(report, selection)
    counts: dict[str, int] = dict.fromkeys(OUTCOMES, 0)
    for finding in findings:
        counts[finding.outcome] += 1
    states = report.hold_points(selection.threshold)
    return {
        "format": 1,
        "tool": {"name": "inspect-core", "version": inspect_core.__version__},
        "site": {"name": report.site.name, "file": report.site.file},
        "packs": [pack_data(pack) for pack in report.rules.packs],
        "loosened": [loosened_data(report, one) for one in report.loosened],
        "notes": list(report.notes),
        "summary": {**counts, "varied": sum(1 for f in findings if f.varied is not None)},
        "hold_points": {
            name: {"released": state.released, "open": state.open}
            for name, state in states.items()
            if selection.hold_point in (None, name)
        },
        "findings": [*map(_Teller(report).data, findings)],
        "failures": [{"pack": failure.pack, "message": failure.why} for failure in report.failures],
        **({"variances": [notice_data(one) for one in report.variances]} if report.variances is not None else {}),
        **({"load_path": load_path_data(report)} if selection.load_path else {}),
    }


def pack_data(pack: Pack) -> dict[str, Any]:
    """Which pack ran: id, version, kind, and the hash of its code and data."""
    return {"id": pack.id, "version": pack.version, "kind": kind_of(pack), "hash": content_hash(pack)}


def pack_words(pack: Pack) -> str:
    """A pack for people: id, version, kind and the beginning of its hash."""
    digest = content_hash(pack)
    return f"{pack.id} {pack.version}{f' ({kind_of(pack)}, {digest[:12]})' if digest else ''}"


def loosened_data(report: Report, one: Loosened) -> dict[str, Any]:
    """One thing that a local pack eases."""
    units = report.site.units
    return {
        "kind": one.kind,
        "name": one.name,
        "set_by": one.by,
        "value": shown_limit(one.value, units, one.percent),
        "was": shown_limit(one.was, units, one.percent),
        "was_by": one.was_by,
        "because": one.because,
        "source": one.source,
    }


def loosened_lines(report: Report) -> list[str]:
    """What local packs ease, a line each."""
    return [f"Loosened: {text}" for text in lines(report.loosened, report.site.units)]


def variance_lines(report: Report) -> list[str]:
    """What became of the variances that concern this site, a line each."""
    return [notice_line(notice_data(one)) for one in report.variances or ()]


def finding_data(report: Report, finding: Finding) -> dict[str, Any]:
    """One finding under the keys of the contract."""
    return _Teller(report).data(finding)


class _Teller:
    """Findings of one report as data. What many of them share is looked up once; its lists and dicts are shared too."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.units = report.site.units
        self.tolerance = report.rules.tape_tolerance
        self._references: dict[str, dict[str, Any]] = {}
        self._cautions: dict[tuple[str, ...], list[str]] = {}

    def data(self, finding: Finding) -> dict[str, Any]:
        """One finding under the keys of the contract."""
        check, rule, units = finding.check, finding.rule, self.units
        line, column, path = self.report.site.locate(finding.path)
        data = {
            "rule": rule.id,
            "subject": finding.subject,
            "outcome": finding.outcome,
            "severity": finding.severity,
            "measured": _measured(check.measured, units),
            "limit": _limit(check.sense, check.limit, check.upper, units),
            "hold_point": rule.hold_point,
            "message": finding.message(units, self.tolerance),
            "remedy": finding.remedy,
            "assumptions": list(finding.assumptions),
            "measure": list(finding.asks),
            "reference": self._reference(rule.reference),
            "cautions": self._cautions_of(finding),
            "working": working_data(steps_of(check.working)) if check.working is not None else [],
            "location": {"file": self.report.site.file, "line": line, "column": column, "path": pointer(path)},
        }
        if finding.varied is not None:
            data["varied"] = asdict(finding.varied)
        return data

    def _reference(self, key: str) -> dict[str, Any]:
        found = self._references.get(key)
        if found is None:
            found = self._references[key] = _reference(self.report, key)
        return found

    def _cautions_of(self, finding: Finding) -> list[str]:
        if finding.outcome not in (FALLS_SHORT, NOT_MEASURED):
            return []
        found = self._cautions.get(finding.rule.cautions)
        if found is None:
            texts = [text for _, text in cautions(self.report, finding)]
            found = self._cautions[finding.rule.cautions] = texts
        return found


@lru_cache(maxsize=4096)  # many rules look at one place
def pointer(path: Path) -> str:
    """A place in the file as a JSON pointer."""
    return "".join(f"/{_escaped(step)}" for step in path)


def _escaped(step: str | int) -> str:
    return str(step).replace("~", "~0").replace("/", "~1")


def _measured(measured: Quantity | str | None, units: Units) -> dict[str, Any] | None:
    if measured is None:
        return None
    if isinstance(measured, str):
        return {"value": measured, "unit": None}
    return _number(measured, units)


def _number(quantity: Quantity, units: Units) -> dict[str, Any]:
    unit = unit_for(quantity.dimension, units)[0]
    low, high = (number_in(v, quantity.dimension, units) for v in (quantity.low, quantity.high))
    data: dict[str, Any] = {"value": low if low == high else None, "unit": unit}
    if low != high:
        data |= {"low": low, "high": high}
    if quantity.estimate:
        data["estimate"] = True
    return data


def _limit(sense: str, limit: Limit | None, upper: Limit | None, units: Units) -> dict[str, Any] | None:
    if limit is None:
        return None
    data: dict[str, Any] = {"sense": sense, "value": None, "unit": None}
    if limit.words:
        data["value"] = list(limit.words)
    elif sense == "between":
        low = _number(limit.value, units) if limit.value is not None else {}
        high = _number(upper.value, units) if upper is not None and upper.value is not None else {}
        data["unit"] = low.get("unit") or high.get("unit")
        data |= {"low": low.get("low", low.get("value")), "high": high.get("high", high.get("value"))}
    elif limit.value is not None:
        data |= _number(limit.value, units)
    data |= _owned(limit, units)
    if upper is not None:
        data["upper"] = _owned(upper, units)
    return data


def _owned(limit: Limit, units: Units) -> dict[str, Any]:
    """Who set a limit, by what, and what it was before."""
    data: dict[str, Any] = {"set_by": limit.set_by, "id": limit.id, "source": limit.source, "status": limit.status}
    if limit.was:
        data["was"] = [
            {"set_by": owner, **({"value": list(words)} if value is None else _number(value, units))}
            for owner, value, words in limit.was
        ]
    return data


def _reference(report: Report, key: str) -> dict[str, Any]:
    reference = report.rules.references.get(key)
    if reference is None:
        return {"key": key, "text": "", "adopted": False}
    return {"key": reference.key, "text": reference.text, "adopted": reference.adopted}


def cautions(report: Report, finding: Finding) -> Sequence[tuple[str, str]]:
    """Keys and texts of the cautions that stand beside a finding that asks for work."""
    if finding.outcome not in (FALLS_SHORT, NOT_MEASURED):
        return ()
    known = report.rules.cautions
    return [(key, known[key].text) for key in finding.rule.cautions if key in known]
