"""Every rule of the base pack against its cases: the whole list of its findings, and one case of each kind."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, load_packs
from inspect_core.engine.cases import Case, read_cases, read_exemptions, run_case

FOLDER = Path(__file__).parent / "cases"
CASES = [case for file in sorted(FOLDER.glob("*.yaml")) for case in read_cases(file.read_text("utf-8"))]
RULES = [rule for pack in load_packs().packs for rule in pack.rules]
EXEMPT: dict[str, dict[str, str]] = {}
for file in FOLDER.glob("*.yaml"):
    EXEMPT.update(read_exemptions(file.read_text("utf-8")))


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c.rule}-{c.kind}-{c.name}")
def test_case(case: Case, packs: LoadedPacks) -> None:
    found, report = run_case(case, packs)
    assert report.failures == ()
    assert found == case.expect


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_each_rule_has_a_case_of_each_kind(rule) -> None:  # type: ignore[no-untyped-def]
    have = {case.kind for case in CASES if case.rule == rule.id}
    want = {"meets", "falls-short", "not-measured", "does-not-apply"}
    if rule.limits:
        want |= {"at-limit", "past-limit"}
    exempt = EXEMPT.get(rule.id, {})
    assert all(len(reason) > 10 for reason in exempt.values())
    assert want - have - set(exempt) == set()
