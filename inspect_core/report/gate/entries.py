"""What a site's result has to say, one entry each: what the formats for build servers lay out, and none decides."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

from inspect_core.engine.portfolio.fingerprint import fingerprint
from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.rules_api import ADVISORY, CORRECTION, FALLS_SHORT, NOT_MEASURED, STOP_WORK
from inspect_core.site.problems import visible

SITE_UNUSABLE, PACK_FAILED, RULE_FAILED = "site-unusable", "pack-failed", "rule-failed"

OWN_RULES: dict[str, dict[str, str]] = {
    SITE_UNUSABLE: {
        "summary": "The site description can be read.",
        "help": "Nothing was checked in this file. Mend what is said of it and run the gate again.",
        "severity": STOP_WORK,
    },
    PACK_FAILED: {
        "summary": "Each rule pack loads and fits the site.",
        "help": "A rule pack could not be used, so this site isn't checked whole. No hold point is released by it.",
        "severity": STOP_WORK,
    },
    RULE_FAILED: {
        "summary": "Each rule runs to its end.",
        "help": "A rule failed, so what it checks isn't known here. Tell the pack's author; until it is mended, check "
        "this by hand.",
        "severity": STOP_WORK,
    },
}
"""What the gate itself reports, beside the rules of the packs."""

LEVELS: dict[str, str] = {STOP_WORK: "error", CORRECTION: "warning", ADVISORY: "note"}

_AFTER = ("  expected: ", "  example: ", "  | ")
_DRIVE = re.compile(r"^[A-Za-z]:/")


@dataclass(frozen=True, slots=True)
class Entry:
    """Something open in one site: a finding, or (``finding`` is None) an unusable file or a pack that failed."""

    file: str
    rule: str
    subject: str
    text: str
    severity: str
    open: bool  # not known, and holds nothing that was asked for: no fault, but no pass
    blocks: bool
    line: int  # 1 at the least
    column: int
    fingerprint: str
    baseline: str  # "new", "unchanged" or ""
    finding: Mapping[str, Any] | None = None

    @property
    def level(self) -> str:
        """``error``, ``warning`` or ``note``; ``none`` where it is only not known."""
        return "none" if self.open else LEVELS[self.severity]


def entries(result: SiteResult) -> Iterator[Entry]:
    """Everything open in one site: first why it can't be used, then what failed, then findings in their order.

    Varied findings are no entries (``varied`` has them), nor is what meets or does not apply.
    """
    for problem in result.problems:
        yield _unusable(result, problem)
    for text in silent_failures(result):
        yield _own(result, PACK_FAILED, text)
    for finding in findings(result):
        if finding["outcome"] in (FALLS_SHORT, NOT_MEASURED) and "varied" not in finding:
            yield _of(result, finding)


def _unusable(result: SiteResult, problem: Mapping[str, Any]) -> Entry:
    line, column, other = problem["line"], problem["column"], str(problem["file"]).replace("\\", "/")
    text = _first_sentence(str(problem["message"])).removeprefix(f"{problem['file']}:{line}:{column}: ")
    if other.rpartition("/")[2] != result.file.rpartition("/")[2]:  # a pack's file: the line is none of the site's
        return _own(result, SITE_UNUSABLE, f"{other}:{line}:{column}: {text}")
    return _own(result, SITE_UNUSABLE, text, line, column)


def _first_sentence(text: str) -> str:
    """What is wrong, without what was expected and without the line of the file; several lines become one."""
    lines = text.strip("\n").split("\n")
    end = next((n for n, line in enumerate(lines) if line.startswith(_AFTER)), len(lines))
    return " ".join(line.strip() for line in lines[:end])


def _own(result: SiteResult, rule: str, text: str, line: int = 0, column: int = 0) -> Entry:
    text = visible(text)
    name = fingerprint(result.file, rule, text)
    return Entry(result.file, rule, result.file, text, STOP_WORK, False, True, max(line, 1), max(column, 1), name, "")


def _of(result: SiteResult, finding: Mapping[str, Any]) -> Entry:
    place, blocks = finding["location"], bool(finding["blocks"])
    subject = visible(finding["subject"].strip())
    return Entry(
        file=result.file,
        rule=finding["rule"],
        subject=subject,
        text=f"{subject}: {visible(finding['message'])}",
        severity=finding["severity"],
        open=finding["outcome"] == NOT_MEASURED and not blocks,
        blocks=blocks,
        line=max(place["line"], 1),
        column=max(place["column"], 1),
        fingerprint=finding["fingerprint"],
        baseline=finding.get("baseline", ""),
        finding=finding,
    )


def findings(result: SiteResult) -> Iterable[Mapping[str, Any]]:
    """The findings of a site; none where its file can't be used."""
    found: Iterable[Mapping[str, Any]] = result.document["findings"] if result.document is not None else ()
    return found


def varied(result: SiteResult) -> Iterator[Mapping[str, Any]]:
    """Findings for which somebody with the authority granted a variance."""
    yield from (finding for finding in findings(result) if "varied" in finding)


def varied_words(finding: Mapping[str, Any]) -> str:
    """What was granted: the finding as it is, by whom, until when, on which paper and why."""
    grant = finding["varied"]
    told = f"granted by {grant['by']} until {grant['until']} ({grant['paper']}): {grant['reason']}"
    return visible(f"Varied: {finding['subject'].strip()}: {finding['message']} ({finding['severity']}), {told}")


def silent_failures(result: SiteResult) -> list[str]:
    """Failures that no finding speaks of: packs that could not be used. A rule that raised is a finding itself."""
    told = [f["subject"] for f in findings(result) if f["rule"] == RULE_FAILED]
    return [text for text in result.failures if not any(_tells(subject, text) for subject in told)]


def _tells(subject: str, failure: str) -> bool:
    """Whether ``rule x of pack`` is what ``pack: rule x failed: why`` is about."""
    rule, _, pack = subject.partition(" of ")
    return failure.startswith(f"{pack.partition(' in ')[0]}: {rule} failed: ")


def state(result: SiteResult) -> str:
    """One word for a site: ``failed``, ``unusable``, ``held`` or ``clear``."""
    return {0: "clear", 1: "held", 2: "unusable"}.get(result.exit_code, "failed")


def states(result: SiteResult) -> Mapping[str, Mapping[str, Any]]:
    """The site's hold points: name to ``{"released", "open"}``."""
    points: Mapping[str, Mapping[str, Any]] = result.document["hold_points"] if result.document is not None else {}
    return points


def site_name(result: SiteResult) -> str:
    """The name that the site goes by, or its file's."""
    return visible(result.document["site"]["name"]) if result.document is not None else visible(result.file)


def asked(view: GateView) -> str:
    """What was asked of the gate, in words."""
    points = f"at {', '.join(map(visible, view.hold_points))}" if view.hold_points else "at every hold point"
    graver = "" if view.fail_on == STOP_WORK else " and graver"
    unmeasured = "keeps it too" if view.unmeasured == "block" else "does not keep it, and is no pass"
    return f"What counts: {view.fail_on}{graver}, {points}; what is not measured {unmeasured}."


def uri(file: str) -> str:
    """A path as a URI reference: relative where the path is; '/' on every system, and nothing that needs no code."""
    coded = quote(file.replace("\\", "/").encode("utf-8", "replace"), safe="/")
    if file.startswith("/"):
        return f"file://{coded}"
    return f"file:///{coded.replace('%3A', ':', 1)}" if _DRIVE.match(file.replace("\\", "/")) else coded
