"""SARIF 2.1.0: one run, written as the sites come in.

What is not in the results: what meets, what does not apply, and varied findings, since code hosts show every result as
an alert, suppressed or not. Variances stand in ``toolConfigurationNotifications``, where readers find them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import inspect_core
from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import LEVELS, OWN_RULES, Entry, entries, state, uri, varied, varied_words
from inspect_core.report.gate.ran import Ran, of_sites
from inspect_core.site.problems import visible

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

_EXTRAS = ("outcome", "measured", "limit", "remedy", "cautions", "assumptions", "measure", "reference")


def sarif(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """One log with one run; what ran comes after the results, when it is known."""
    rules: dict[str, Mapping[str, str]] = {**OWN_RULES, **view.rules}
    index = {name: number for number, name in enumerate(sorted(rules))}
    yield f'{{\n"$schema": "{SCHEMA}",\n"version": "2.1.0",\n"runs": [{{\n"tool": {{"driver": {_driver(rules)}}},\n'
    yield '"columnKind": "unicodeCodePoints",\n"results": ['
    between, run = "\n", _Run()
    for result in results:
        run.take(result)
        for one in (*(_result(e, index) for e in entries(result)), *_gone(result, index)):
            yield between + _json(one)
            between = ",\n"
    yield f'\n],\n"invocations": [{_json(run.invocation())}],\n"properties": {_json(run.properties(view))}\n}}]\n}}\n'


_json = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode  # one for all: there is a text for each finding


def text_message(text: str) -> dict[str, str]:
    """A message in which nothing is a placeholder (3.11.5) and nothing a link (3.11.6)."""
    lines = (visible(line) for line in text.split("\n"))
    return {"text": "\n".join(lines).replace("{", "{{").replace("}", "}}").replace("](", "] (")}


def _driver(rules: Mapping[str, Mapping[str, str]]) -> str:
    descriptors = ",\n".join(_json(_descriptor(name, rules[name])) for name in sorted(rules))
    version = _json(inspect_core.__version__)
    return f'{{"name": "inspect-core", "version": {version}, "rules": [\n{descriptors}\n]}}'


def _descriptor(name: str, about: Mapping[str, str]) -> dict[str, Any]:
    point = about.get("hold_point")
    return {
        "id": name,
        "shortDescription": text_message(about["summary"]),
        "help": text_message(about["help"] or about["summary"]),
        "defaultConfiguration": {"level": LEVELS[about["severity"]]},
        "properties": {"severity": about["severity"], **({"hold_point": point, "tags": [point]} if point else {})},
    }


def _place(file: str, line: int, column: int) -> dict[str, Any]:
    region = {"startLine": line, "startColumn": column}
    return {"physicalLocation": {"artifactLocation": {"uri": uri(file)}, "region": region}}


def _result(entry: Entry, index: Mapping[str, int]) -> dict[str, Any]:
    place = _place(entry.file, entry.line, entry.column)
    extras: dict[str, Any] = {"severity": entry.severity, "blocks": entry.blocks}
    if entry.finding is not None:
        place["logicalLocations"] = [{"name": entry.subject, "fullyQualifiedName": entry.finding["location"]["path"]}]
        extras |= {"hold_point": entry.finding["hold_point"], **{key: entry.finding[key] for key in _EXTRAS}}
    return {
        "ruleId": entry.rule,
        **({"ruleIndex": index[entry.rule]} if entry.rule in index else {}),
        # Whatever isn't a failure has the level none (3.27.10); "open" is the standard's word for what nobody knows.
        "kind": "open" if entry.open else "fail",
        "level": entry.level,
        "message": text_message(entry.text),
        "locations": [place],
        "partialFingerprints": _fingerprints(entry.fingerprint),
        **({"baselineState": entry.baseline} if entry.baseline else {}),
        "properties": extras,
    }


def _fingerprints(name: str) -> dict[str, str]:
    # The second key is what one code host tracks alerts by. Where it is missing, the host takes a hash of the line, and
    # eight joists that are written in one line would become one alert.
    return {"inspectCoreFinding/v1": name, "primaryLocationLineHash": f"{name}:1"}


def _gone(result: SiteResult, index: Mapping[str, int]) -> Iterator[dict[str, Any]]:
    """What an earlier run had and this one hasn't."""
    for one in result.document.get("gone", ()) if result.document is not None else ():
        rule = one["rule"]
        yield {
            "ruleId": rule,
            **({"ruleIndex": index[rule]} if rule in index else {}),
            "kind": "informational",
            "level": "none",
            "message": text_message(f"{one['subject'].strip()}: no longer open"),
            "locations": [_place(result.file, 1, 1)],
            "partialFingerprints": _fingerprints(one["fingerprint"]),
            "baselineState": "absent",
        }


class _Run:
    """What is told of the run as a whole. Keeps a text once, however many sites say it."""

    def __init__(self) -> None:
        self.counts = dict.fromkeys(("clear", "held", "unusable", "failed"), 0)
        self.exit_code = 0
        self.ran = Ran()
        self.failures: dict[str, dict[str, Any]] = {}
        self.granted: list[dict[str, Any]] = []

    def take(self, result: SiteResult) -> None:
        """Counts one site."""
        self.counts[state(result)] += 1
        self.exit_code = max(self.exit_code, result.exit_code)
        self.ran.take(result)
        for text in result.failures:
            self.failures.setdefault(text, _notification("error", text, result.file))
        for finding in varied(result):
            self.granted.append(_varied(result.file, finding))
        for notice in result.document.get("variances", ()) if result.document is not None else ():
            if notice["state"] != "used":  # what is used is told by its finding
                self.granted.append(_idle(notice))

    def invocation(self) -> dict[str, Any]:
        """Not successful where a site could not be read or was not checked whole."""
        return {
            "executionSuccessful": not (self.counts["unusable"] or self.counts["failed"] or self.failures),
            "exitCode": self.exit_code,
            "toolExecutionNotifications": list(self.failures.values()),
            "toolConfigurationNotifications": [*self._loosened(), *self.granted],
        }

    def _loosened(self) -> Iterator[dict[str, Any]]:
        for words in of_sites(self.ran.loosened, sum(self.counts.values())):
            yield {"level": "note", "message": text_message(f"Loosened: {words}")}

    def properties(self, view: GateView) -> dict[str, Any]:
        """How many sites, and what was asked."""
        return {
            "sites": self.counts,
            "packs": of_sites(self.ran.packs, sum(self.counts.values())),
            "hold_points": list(view.hold_points),
            "fail_on": view.fail_on,
            "unmeasured": view.unmeasured,
        }


def _notification(level: str, text: str, file: str, line: int = 1, column: int = 1) -> dict[str, Any]:
    return {"level": level, "message": text_message(text), "locations": [_place(file, line, column)]}


def _idle(notice: Mapping[str, Any]) -> dict[str, Any]:
    """A variance that releases nothing."""
    text = f"Variance {notice['state']}: {notice['rule']}, {notice['subject']}: {notice['message']}"
    return _notification("warning", text, notice["file"], max(notice["line"], 1), max(notice["column"], 1))


def _varied(file: str, finding: Mapping[str, Any]) -> dict[str, Any]:
    at = finding["location"]
    told = _notification("note", varied_words(finding), file, max(at["line"], 1), max(at["column"], 1))
    return {
        **told,
        "associatedRule": {"id": finding["rule"]},
        "properties": {"fingerprint": finding["fingerprint"], "varied": dict(finding["varied"])},
    }
