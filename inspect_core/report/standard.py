"""One site's report in the formats that build servers read: the gate's, for a portfolio of one."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_core.engine import Report, RuleSet
from inspect_core.report.view import Selection, as_data
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED
from inspect_core.site.problems import Problem

if TYPE_CHECKING:  # most checks print text and need nothing of the gate
    from inspect_core.report.gate import Format


def render_sarif(report: Report, selection: Selection) -> str:
    """SARIF 2.1.0, one run."""
    from inspect_core.report.gate.sarif import sarif

    # What meets is not in it, and its words would be most of the work.
    open_only = tuple(one for one in report.findings if one.outcome in (FALLS_SHORT, NOT_MEASURED))
    return _rendered(sarif, replace(report, findings=open_only), selection)


def render_junit(report: Report, selection: Selection) -> str:
    """JUnit XML, one suite."""
    from inspect_core.report.gate.junit import junit

    return _rendered(junit, report, selection)


def unusable(form: str, site: Path, problems: Sequence[Problem]) -> str:
    """What ``form`` ("sarif" or "junit") says of a file that can't be used."""
    from inspect_core.engine.portfolio.result import GateView, SiteResult
    from inspect_core.report.gate.junit import junit
    from inspect_core.report.gate.sarif import sarif

    told = tuple({"file": p.file, "line": p.line, "column": p.column, "message": p.message} for p in problems)
    writer: Format = {"sarif": sarif, "junit": junit}[form]
    return "".join(writer([SiteResult(from_here(str(site)), None, told, (), 2, 0)], GateView()))


def _rendered(writer: Format, report: Report, selection: Selection) -> str:
    from inspect_core.engine.portfolio.judge import Asked, judged, with_fingerprints
    from inspect_core.engine.portfolio.result import GateView

    asked = Asked((selection.hold_point,) if selection.hold_point is not None else (), selection.threshold)
    file, document = from_here(report.site.file), as_data(report, selection)
    with_fingerprints(file, document)
    result = judged(file, document, tuple(f"{one.pack}: {one.why}" for one in report.failures), asked)
    view = GateView(asked.hold_points, asked.fail_on, rules=rule_entries(report.rules))
    return "".join(writer([result], view))


def rule_entries(rules: RuleSet) -> dict[str, dict[str, str]]:
    """What ``GateView.rules`` holds, of the rules in force on one site."""
    from inspect_core.engine.portfolio.packs import rule_entry

    cautions = {key: caution.text for key, caution in rules.cautions.items()}
    return {pack_rule.rule.id: rule_entry(pack_rule.rule, cautions) for pack_rule in rules.rules}


def from_here(file: str) -> str:
    """A path from the folder we are in, where it is below it, since other programs find no other; '/' everywhere."""
    here = Path.cwd()
    whole = os.path.normpath(here / file)
    return (Path(whole).relative_to(here) if Path(whole).is_relative_to(here) else Path(whole)).as_posix()
