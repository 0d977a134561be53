"""The fixed words of findings: outcomes, severities, hold points, kinds of work."""

from __future__ import annotations

from typing import Literal, TypeAlias

from inspect_core.engineering.tables import STATUSES as TABLE_STATUSES

Outcome: TypeAlias = Literal["meets", "falls-short", "not-measured", "does-not-apply"]
Severity: TypeAlias = Literal["stop-work", "correction", "advisory"]

MEETS: Outcome = "meets"
FALLS_SHORT: Outcome = "falls-short"
NOT_MEASURED: Outcome = "not-measured"
DOES_NOT_APPLY: Outcome = "does-not-apply"
OUTCOMES: tuple[Outcome, ...] = (MEETS, FALLS_SHORT, NOT_MEASURED, DOES_NOT_APPLY)

STOP_WORK: Severity = "stop-work"
CORRECTION: Severity = "correction"
ADVISORY: Severity = "advisory"
SEVERITIES: tuple[Severity, ...] = (STOP_WORK, CORRECTION, ADVISORY)  # the gravest first

HOLD_POINTS: tuple[str, ...] = ("under-floor", "rough-plumbing", "subfloor", "wet-area", "tile", "final")
WORK: tuple[str, ...] = ("existing", "altered", "new")
STATUSES: tuple[str, ...] = TABLE_STATUSES


def at_or_above(severity: str, threshold: str) -> bool:
    """Whether ``severity`` is as grave as ``threshold`` or graver."""
    order: tuple[str, ...] = SEVERITIES
    return order.index(severity) <= order.index(threshold)
