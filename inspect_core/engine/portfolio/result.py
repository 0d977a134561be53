"""What the gate finds in each site file, and how one run hands it to another: a line of JSON each."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from inspect_core.rules_api.vocabulary import SEVERITIES


@dataclass(frozen=True, slots=True)
class SiteResult:
    """What the gate found in one site file."""

    file: str  # relative to the root, '/' on every system
    document: Mapping[str, Any] | None  # the object of `check --format json`; None where the file can't be used
    problems: tuple[Mapping[str, Any], ...]  # input problems: {"file", "line", "column", "message" (the whole text)}
    failures: tuple[str, ...]  # packs or rules that failed, as text
    exit_code: int  # 0, 1, 2 or 3
    open: int  # open findings that count for the thresholds asked for


@dataclass(frozen=True, slots=True)
class WrittenResult(SiteResult):
    """A result whose line was written where the site was checked, so that many processes share that work.

    Its document holds open findings by their names only; the line holds all.
    """

    line: str = ""


@dataclass(frozen=True, slots=True)
class GateView:
    """What was asked of the gate, for whoever lays out its results.

    ``hold_points`` is empty where every hold point counts; ``fail_on`` is the least severity that keeps one;
    ``unmeasured`` is ``block`` or ``allow``; ``baseline``: findings were compared with an earlier run; ``today`` is the
    day (``2026-11-25``) that variances were held against; ``rules``: id -> summary, help, severity, hold_point;
    ``output``: the file that is written, "" for standard output; ``link_packets``: link to each site's packet, there or
    not; ``packs_by``: the options that chose the packs, for the command that is proposed next.
    """

    hold_points: tuple[str, ...] = ()
    fail_on: str = "correction"
    unmeasured: str = "block"
    baseline: bool = False
    today: str = ""
    rules: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    output: str = ""
    link_packets: bool = False
    packs_by: tuple[str, ...] = ()


def to_json(result: SiteResult) -> str:
    """One line of JSON, without its line end; the same result gives the same bytes."""
    if isinstance(result, WrittenResult):
        return result.line
    data = {
        "file": result.file,
        "exit_code": result.exit_code,
        "open": result.open,
        "problems": [dict(problem) for problem in result.problems],
        "failures": list(result.failures),
        "document": result.document,
    }
    return json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def from_json(line: str) -> SiteResult:
    """The result that ``to_json`` wrote.

    Raises:
        ValueError: the line isn't one of ours.
    """
    try:
        data = json.loads(line)
        if data["document"] is not None:
            _must_be_ours(data["document"])
        return SiteResult(
            str(data["file"]),
            data["document"],
            tuple(data["problems"]),
            tuple(data["failures"]),
            int(data["exit_code"]),
            int(data["open"]),
        )
    except (KeyError, TypeError, RecursionError) as error:
        raise ValueError(f"not a line of the gate's output: {error}") from None


_WORDS: Final = ("rule", "subject", "outcome", "severity", "hold_point", "fingerprint")


def _must_be_ours(document: Any) -> None:
    """Raises ``TypeError`` or ``KeyError`` for a document of which nobody could judge the findings again."""
    if not isinstance(document["hold_points"], dict) or not isinstance(document["findings"], list):
        raise TypeError("its document has no findings or hold points")
    for finding in document["findings"]:
        if not all(isinstance(finding[word], str) for word in _WORDS) or finding["severity"] not in SEVERITIES:
            raise TypeError("one of its findings is not whole")
