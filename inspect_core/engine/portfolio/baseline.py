"""What is new against an earlier run. A finding is known by its fingerprint: rule, subject and site file.

It is ``unchanged`` only where the earlier run had it open and just as grave: what was not measured then and falls short
now is new, and so is what a variance covered then and doesn't now.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from inspect_core.engine.portfolio.judge import is_open
from inspect_core.engine.portfolio.stored import line_at
from inspect_core.rules_api.vocabulary import FALLS_SHORT, SEVERITIES

Grade = tuple[bool, int]


def compared(document: dict[str, Any], baseline: Path, at: int | None) -> None:
    """Marks open findings ``new`` or ``unchanged`` against the line of ``baseline`` that begins ``at``.

    What is gone is listed. A site that isn't there, or couldn't be used then, has nothing but new ones.
    """
    earlier = line_at(baseline, at).document if at is not None else None
    compare(document, earlier["findings"] if earlier is not None else ())


def compare(document: dict[str, Any], earlier: Sequence[Mapping[str, Any]]) -> None:
    """The same against the findings of an earlier document."""
    before = [finding for finding in earlier if is_open(finding)]
    known: dict[str, list[Grade]] = {}
    for finding in before:
        if "varied" not in finding:
            known.setdefault(finding["fingerprint"], []).append(_grade(finding))
    now: Counter[str] = Counter()
    for finding in document["findings"]:
        if is_open(finding):
            name = finding["fingerprint"]
            now[name] += 1
            as_grave = [grade for grade in known.get(name, ()) if _no_less(grade, _grade(finding))]
            if as_grave:
                known[name].remove(min(as_grave))
            finding["baseline"] = "unchanged" if as_grave else "new"
    document["gone"] = []
    for finding in before:
        name = finding["fingerprint"]
        now[name] -= 1
        if now[name] < 0:
            document["gone"].append({"rule": finding["rule"], "subject": finding["subject"], "fingerprint": name})


def _no_less(before: Grade, now: Grade) -> bool:
    return before[0] >= now[0] and before[1] >= now[1]


def _grade(finding: Mapping[str, Any]) -> Grade:
    """The graver, the greater."""
    return finding["outcome"] == FALLS_SHORT, -SEVERITIES.index(finding["severity"])
