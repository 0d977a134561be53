"""Which findings of a site block, by what was asked of the gate. On plain data: a merge can judge again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inspect_core.engine.finding import RULE_FAILED
from inspect_core.engine.portfolio.fingerprint import fingerprint
from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.rules_api.vocabulary import CORRECTION, FALLS_SHORT, NOT_MEASURED, at_or_above

BLOCK, ALLOW = "block", "allow"


@dataclass(frozen=True, slots=True)
class Asked:
    """What counts. No hold points means all; ``fail_on`` is the least severity; ``unmeasured`` is block or allow;
    ``only_new`` leaves out what an earlier run had found already."""

    hold_points: tuple[str, ...] = ()
    fail_on: str = CORRECTION
    unmeasured: str = BLOCK
    only_new: bool = False


def is_open(finding: Mapping[str, Any]) -> bool:
    """Whether something remains to do: it falls short or is not measured, varied or not."""
    return finding["outcome"] in (FALLS_SHORT, NOT_MEASURED)


def keeps(finding: Mapping[str, Any], asked: Asked) -> bool:
    """Whether a finding keeps its hold point, whichever that is."""
    if finding["rule"] == RULE_FAILED:
        return True  # nothing is known, and nobody can grant that
    return (
        is_open(finding)
        and at_or_above(finding["severity"], asked.fail_on)
        and "varied" not in finding
        and not (finding["outcome"] == NOT_MEASURED and asked.unmeasured == ALLOW)
        and not (asked.only_new and finding.get("baseline") == "unchanged")
    )


def with_fingerprints(file: str, document: dict[str, Any]) -> None:
    """Gives each finding of a fresh document its fingerprint."""
    for finding in document["findings"]:
        finding["fingerprint"] = fingerprint(file, finding["rule"], finding["subject"])


def judged(file: str, document: dict[str, Any], failures: tuple[str, ...], asked: Asked) -> SiteResult:
    """The result of a site: ``blocks`` on each finding, the states of the hold points, the exit code.

    ``document`` is changed in place. A hold point's ``open`` counts whatever keeps it, also where others are asked for.
    """
    open_at = dict.fromkeys(document["hold_points"], 0)
    blocking = 0
    for finding in document["findings"]:
        point = finding["hold_point"]
        kept = keeps(finding, asked)
        finding["blocks"] = kept and (not asked.hold_points or point in asked.hold_points)
        blocking += finding["blocks"]
        if kept:
            open_at[point] = open_at.get(point, 0) + 1
    document["hold_points"] = {
        name: {"released": count == 0 and not failures, "open": count} for name, count in open_at.items()
    }
    return SiteResult(file, document, (), failures, 3 if failures else 1 if blocking else 0, blocking)
