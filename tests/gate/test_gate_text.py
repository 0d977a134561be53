"""The gate's text: what a line of a site says, what is said once, what is never said in passing, harmless names."""

from __future__ import annotations

from typing import Any

import pytest

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.text import text
from inspect_core.site.problems import columns

VARIED = {"by": "A. Moss", "reason": "shored until spring", "paper": "letter 7", "until": "2026-12-31"}


def finding(outcome: str = "falls-short", severity: str = "correction", **more: Any) -> dict[str, Any]:
    base = {"rule": "r", "subject": "s", "outcome": outcome, "severity": severity, "hold_point": "tile", "blocks": True}
    return base | more


def site(*findings: dict[str, Any], file: str = "a.site.yaml", **more: Any) -> SiteResult:
    count = sum(one["blocks"] for one in findings)
    points = {"tile": {"released": not count, "open": count}}
    document = {"findings": list(findings), "hold_points": points} | more
    return SiteResult(file, document, (), (), 1 if count else 0, count)


def said(*results: SiteResult, **view: Any) -> str:
    return "".join(text(results, GateView(today="2026-06-01", **view)))


@pytest.mark.parametrize(
    ("findings", "view", "line"),
    [
        ((), {}, "CLEAR  a.site.yaml"),
        ((finding(),), {}, "HELD  a.site.yaml: 1 open (1 falls short)"),
        ((finding(), finding("not-measured")), {}, "HELD  a.site.yaml: 2 open (1 falls short, 1 not measured)"),
        ((finding(severity="stop-work"),), {}, "HELD  a.site.yaml: 1 open (1 falls short), 1 stops work"),
        ((finding(varied=VARIED, blocks=False),), {}, "CLEAR  a.site.yaml: 1 varied"),
        ((finding("not-measured", blocks=False),), {"unmeasured": "allow"}, "CLEAR  a.site.yaml: 1 not measured"),
        ((finding(baseline="unchanged", blocks=False),), {"baseline": True}, "CLEAR  a.site.yaml: 1 known before"),
        ((finding(severity="advisory", blocks=False),), {}, "CLEAR  a.site.yaml"),
        ((finding(blocks=False),), {"hold_points": ("final",)}, "CLEAR  a.site.yaml"),
    ],
)
def test_the_line_of_a_site(findings: tuple[dict[str, Any], ...], view: dict[str, Any], line: str) -> None:
    assert said(site(*findings), **view).splitlines()[0] == line


def test_what_stops_work_and_what_is_new_is_named() -> None:
    old = finding(severity="stop-work", subject="joist J1", baseline="unchanged")
    new = [finding(subject=f"joist J{n}", baseline="new") for n in range(2, 9)]
    lines = said(site(old, *new), baseline=True).splitlines()
    assert lines[1] == "  Stops work: joist J1 (r)"
    assert " ".join(line.strip() for line in lines[2:4]) == (
        "New: joist J2 (r); joist J3 (r); joist J4 (r); joist J5 (r); joist J6 (r); and 2 more"
    )
    assert "What is open in a site, and what would mend it: inspect-core check FILE" in lines


def test_the_worst_is_named_first() -> None:
    some = [
        finding("not-measured", "stop-work", subject="a"),
        finding(subject="b"),
        finding(severity="stop-work", subject="c"),
    ]
    output = said(site(*(one | {"baseline": "new"} for one in some)), baseline=True)
    assert "  New: c (r); b (r); a (r)\n" in output


def test_what_does_not_block_is_not_named() -> None:
    granted = finding(severity="stop-work", varied=VARIED, blocks=False, baseline="new")
    unknown = finding("not-measured", severity="stop-work")
    output = said(site(granted, unknown))
    assert "Stops work" not in output
    assert "New:" not in output
    assert "inspect-core check FILE" not in said(site())
    named = " ".join(said(site(finding()), packs_by=("--pack", "our rules")).split())
    assert "what would mend it: inspect-core check FILE --pack 'our rules' " in named


def test_a_varied_finding_that_stops_work_is_told_on_its_own() -> None:
    grave = said(site(finding(severity="stop-work", varied=VARIED, blocks=False)))
    assert "Stop-work finding varied: r, s: granted by A. Moss until 2026-12-31 (letter" in grave
    assert "Stop-work" not in said(site(finding(varied=VARIED, blocks=False)))


def test_entries_of_variances_that_do_nothing_are_told() -> None:
    notice = {"file": "v.yaml", "line": 3, "rule": "r", "subject": "", "message": "it held until 2026-01-01"}
    notices = [notice | {"state": state} for state in ("used", "expired")]
    output = said(site(finding(), variances=notices))
    assert "Variance expired (v.yaml:3, r, no subject): it held until 2026-01-01" in output
    assert "Variance used" not in output
    assert "Variances were held against 2026-06-01." in output
    assert "held against" not in said(site(finding()))


def test_a_problem_that_many_sites_share_is_told_in_full_once() -> None:
    problem = {
        "file": "inspect-core.yaml",
        "line": 2,
        "column": 1,
        "message": "inspect-core.yaml:2:1: no\n  expected: yes",
    }
    output = said(*(SiteResult(f"{n}.site.yaml", None, (problem,), (), 2, 0) for n in range(3)))
    assert output.count("expected: yes") == 1
    assert output.count("as above: inspect-core.yaml:2:1: no") == 2
    assert "3 sites: 3 can't be used." in output


def test_the_summary_adds_up() -> None:
    results = (site(finding(), finding(baseline="new")), site(finding("not-measured"), gone=[{}, {}]), site())
    output = said(*results, baseline=True)
    assert "3 sites: 1 clear, 2 held." in output
    assert "3 open (2 fall short, 1 not measured)." in output
    assert "Hold point tile: 3 open in 2 sites." in output
    assert "Against the baseline: 1 new, 0 unchanged, 2 gone." in output
    assert "0 sites.\n" in said()


def test_names_are_harmless_and_lines_fit() -> None:
    nasty = "::error::" + "x" * 90 + "\n::warning::\x1b[31m.site.yaml"
    failed = SiteResult(nasty, None, (), ("\r::error::a failure",), 3, 0)
    output = said(site(finding(), file=nasty), failed)
    assert "::" not in output
    assert "\x1b" not in output
    assert "\r" not in output
    assert max(map(columns, output.splitlines())) <= 80
