"""JUnit XML: a suite for each site, a test case for each rule and subject, written as the sites come in.

A shortfall is a failure, advice too (its ``type`` says so). What is not measured is skipped, and a failure where it
holds something that was asked for. What an earlier run had already and what somebody granted a variance for is skipped.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import (
    PACK_FAILED,
    RULE_FAILED,
    SITE_UNUSABLE,
    Entry,
    entries,
    findings,
    site_name,
)
from inspect_core.report.gate.ran import loosened_of, packs_of
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, NOT_MEASURED
from inspect_core.site.problems import visible

_ENDING = re.compile(r"(\.site)?\.ya?ml$")
_NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def junit(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """One document; no times and no host names, so that the same sites give the same bytes."""
    yield '<?xml version="1.0" encoding="UTF-8"?>\n<testsuites>\n'
    for result in results:
        yield from _suite(result)
    yield "</testsuites>\n"


def _suite(result: SiteResult) -> Iterator[str]:
    cases = [*_own(result), *(_case(result, finding) for finding in findings(result) if _listed(finding))]
    kinds = [kind for _, kind, _, _, _ in cases]
    yield (
        f'<testsuite name={_attribute(result.file)} tests="{len(cases)}" failures="{kinds.count("failure")}"'
        f' errors="{kinds.count("error")}" skipped="{kinds.count("skipped")}">\n'
    )
    about = [("site", site_name(result)), *(("pack", pack) for pack in packs_of(result))]
    about += [("loosened", words) for words in loosened_of(result)]
    yield "<properties>"
    yield from (f'<property name="{name}" value={_attribute(value)}/>' for name, value in about)
    yield "</properties>\n"
    group = _attribute(_ENDING.sub("", result.file))
    for name, kind, sort, message, body in cases:
        head = f"<testcase classname={group} name={_attribute(name)}"
        if not kind:
            yield f"{head}/>\n"
        else:
            yield (
                f"{head}><{kind} type={_attribute(sort)} message={_attribute(message)}>"
                f"{escape(_clean(body))}</{kind}></testcase>\n"
            )
    yield "</testsuite>\n"


Case = tuple[str, str, str, str, str]
"""Name, element ("" where it passed), type, message, text."""


def _listed(finding: Mapping[str, Any]) -> bool:
    return bool(finding["outcome"] != DOES_NOT_APPLY)


def _own(result: SiteResult) -> Iterator[Case]:
    """What is wrong with the file or the packs; a test case even where all is well, so that a suite is never empty."""
    own = [entry for entry in entries(result) if entry.rule in (SITE_UNUSABLE, PACK_FAILED) and entry.finding is None]
    for number, entry in enumerate(own, 1):
        yield f"{entry.rule} {number}", "error", entry.rule, _placed(entry, entry.text), ""
    if not own:
        yield "site can be checked", "", "", "", ""


def _placed(entry: Entry, text: str) -> str:
    return f"{visible(entry.file)}:{entry.line}:{entry.column}: {text}"


def _case(result: SiteResult, finding: Mapping[str, Any]) -> Case:
    at, subject = finding["location"], visible(finding["subject"].strip())
    name = f"{finding['rule']}: {subject}"
    kind, why = _kind(finding)
    if not kind:
        return name, "", "", "", ""
    words = f"{visible(result.file)}:{max(at['line'], 1)}:{max(at['column'], 1)}: {visible(finding['message'])}"
    return name, kind, finding["severity"], f"{words} ({why})" if why else words, _body(finding)


def _kind(finding: Mapping[str, Any]) -> tuple[str, str]:
    outcome, blocks = finding["outcome"], finding["blocks"]
    if finding["rule"] == RULE_FAILED:
        return "error", ""
    if outcome not in (FALLS_SHORT, NOT_MEASURED):
        return "", ""
    if "varied" in finding:
        return "skipped", f"variance granted by {visible(finding['varied']['by'])}"
    if finding.get("baseline") == "unchanged" and not blocks:
        return "skipped", "known from an earlier run"
    if outcome == NOT_MEASURED:
        return ("failure", "not measured") if blocks else ("skipped", "not measured")
    return "failure", "" if blocks else "holds nothing that was asked for"


def _body(finding: Mapping[str, Any]) -> str:
    """What settles it, and the cautions that go with the work, each on a line."""
    lines = [f"Hold point: {finding['hold_point']}"]
    if finding["remedy"]:
        lines.append(f"Remedy: {finding['remedy']}")
    if finding["outcome"] == NOT_MEASURED:
        lines += [f"Measure: {field}" for field in finding["measure"]]
    lines += [f"Taken for granted: {note}" for note in finding["assumptions"]]
    lines += [f"Caution: {text}" for text in finding["cautions"]]
    return "\n" + "".join(f"{visible(line)}\n" for line in lines)


def _clean(text: str) -> str:
    """Without the characters that no XML document may hold."""
    return _NO_XML.sub("", text)


def _attribute(text: str) -> str:
    return quoteattr(_clean(visible(text)))
