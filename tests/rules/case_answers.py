"""What a rule says in each of its cases, word for word: the sentence, what it asks for, what it took for granted, the
remedy where the check brings its own, the working, and where in the file it points.

A case states the outcomes by hand; these lines stand in ``golden/cases`` and are read as a diff when they change.
``variations`` are cases with one to three things changed, a block each: the first line names the rule, the case and the
changes (as JSON, path: new value, ``left out`` for none), below it stands what the rule says then.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from inspect_core.engine import Finding, LoadedPacks, Report
from inspect_core.engine.cases import edited, read_cases
from inspect_core.report.view import finding_data
from inspect_core.rules_api import Pack
from inspect_core.site import Site, site_from_text

FOLDER = Path(__file__).parent / "cases"
GOLDEN = Path(__file__).parents[1] / "golden" / "cases"
VARIATIONS = Path(__file__).parent / "variations"
LEFT_OUT = "left out"


def only_rule(pack: Pack, rule: str) -> LoadedPacks:
    """A pack with one of its rules."""
    return LoadedPacks((replace(pack, rules=tuple(one for one in pack.rules if one.id == rule)),), ())


def answers_of(report: Report, rule: str) -> list[str]:
    """A line for each finding of the rule, in the order in which it gave them."""
    return [_line(report, finding) for finding in report.findings if finding.rule.id == rule]


def _line(report: Report, finding: Finding) -> str:
    data = finding_data(report, finding)
    parts = [data["outcome"], data["severity"], data["subject"], data["message"], data["location"]["path"]]
    if data["measure"]:
        parts.append(f"asks {', '.join(data['measure'])}")
    if data["assumptions"]:
        parts.append(f"assuming {'; '.join(data['assumptions'])}")
    if finding.check.remedy is not None:
        parts.append(f"remedy: {data['remedy']}")
    if data["working"]:
        parts.append(f"working: {'; '.join(map(_step, data['working']))}")
    return " | ".join(" ".join(part.split()) for part in parts)


def _step(step: dict[str, Any]) -> str:
    result = "" if step["result"] is None else f" = {step['result']:.4g} {step['unit'] or ''}"
    return f"{step['symbol']}{result}"


def golden_answers(stem: str) -> dict[str, list[str]]:
    """The lines of each case of a file, by rule and name."""
    file = GOLDEN / f"{stem}.txt"
    found: dict[str, list[str]] = {}
    for line in file.read_text("utf-8").splitlines() if file.exists() else ():
        if line.startswith("# "):
            lines = found.setdefault(line.removeprefix("# "), [])
        else:
            lines.append(line)
    return found


def write_answers(stem: str, answers: dict[str, list[str]]) -> None:
    """Writes the golden file of one case file."""
    GOLDEN.mkdir(parents=True, exist_ok=True)
    text = "\n".join("\n".join([f"# {label}", *lines]) for label, lines in answers.items())
    (GOLDEN / f"{stem}.txt").write_text(text + "\n", "utf-8")


# --- variations -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Variation:
    """A few things changed in the site of a case; ``changes`` is JSON text."""

    rule: str
    case: str
    changes: str
    answers: tuple[str, ...]

    @property
    def head(self) -> str:
        """The first line of its block."""
        return f"# {self.rule} | {self.case} | {self.changes}"

    @property
    def forgets(self) -> bool:
        """Whether it only makes things unknown."""
        return all(value == "unknown" for value in json.loads(self.changes).values())

    def of(self, site: Any) -> Site:
        """The changed site."""
        changes = json.loads(self.changes)
        kept = {path: value for path, value in changes.items() if value != LEFT_OUT}
        without = [path for path, value in changes.items() if value == LEFT_OUT]
        return read_site(edited(edited(site, kept, (), self.head), {}, without, self.head))


def read_site(data: Any) -> Site:
    """A site description that is data already."""
    return site_from_text(json.dumps(data, default=str))


def read_variations(text: str) -> Iterator[Variation]:
    """The blocks of a file."""
    for block in text.removeprefix("# ").split("\n# ") if text else ():
        head, *answers = block.splitlines()
        rule, case, changes = head.split(" | ", 2)
        yield Variation(rule, case, changes, tuple(answers))


@cache
def case_sites(stem: str) -> dict[tuple[str, str], Any]:
    """The site of each case of a file, as data, by rule and name."""
    cases = read_cases((FOLDER / f"{stem}.yaml").read_text("utf-8"))
    return {(case.rule, str(case.name)): case.site for case in cases}
