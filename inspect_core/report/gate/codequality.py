"""Code quality JSON: what a build server shows beside a merge request. One list, written as sites come in."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import Entry, entries, varied, varied_words
from inspect_core.rules_api import ADVISORY, CORRECTION, STOP_WORK

_SEVERITIES: dict[str, str] = {STOP_WORK: "blocker", CORRECTION: "major", ADVISORY: "minor"}


def codequality(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """A list of everything open; what holds nothing is ``info``: not measured but not asked for, or varied."""
    between = "[\n"
    for result in results:
        for issue in (*map(_issue, entries(result)), *(_granted(result.file, one) for one in varied(result))):
            yield between + json.dumps(issue, ensure_ascii=False, allow_nan=False)
            between = ",\n"
    yield "[]\n" if between == "[\n" else "\n]\n"


def _issue(entry: Entry) -> dict[str, object]:
    severity = "info" if entry.open else _SEVERITIES[entry.severity]
    return _made(entry.text, entry.rule, entry.fingerprint, severity, entry.file, entry.line)


def _granted(file: str, finding: Mapping[str, Any]) -> dict[str, object]:
    line = max(finding["location"]["line"], 1)
    return _made(varied_words(finding), finding["rule"], finding["fingerprint"], "info", file, line)


def _made(text: str, rule: str, fingerprint: str, severity: str, file: str, line: int) -> dict[str, object]:
    return {
        "description": text,
        "check_name": rule,
        "fingerprint": fingerprint,
        "severity": severity,
        # A path that starts with ./ is found nowhere. Bytes that are no UTF-8 can't be written in JSON.
        "location": {"path": _path(file), "lines": {"begin": line}},
    }


def _path(file: str) -> str:
    return file.removeprefix("./").encode("utf-8", "replace").decode()
