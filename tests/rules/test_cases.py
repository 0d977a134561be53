"""Every rule of the base pack against its cases: the whole list of its findings, and one case of each kind.

Outcomes stand in the cases by hand; every word of the answers is held beside them in ``golden/cases`` (UPDATE_GOLDEN=1
writes those again), so that a number, a reason or a field that is asked for doesn't change unseen.
"""

from __future__ import annotations

import os
from functools import cache

import pytest
from case_answers import FOLDER, GOLDEN, answers_of, golden_answers, write_answers
from worked_steps import wrong_steps

from inspect_core.engine import LoadedPacks, load_packs
from inspect_core.engine.cases import Case, read_cases, read_exemptions, run_case
from inspect_core.report.working import steps_of


def label(case: Case) -> str:
    return f"{case.rule}: {case.name}"


FILES = {file: list(read_cases(file.read_text("utf-8"))) for file in sorted(FOLDER.glob("*.yaml"))}
CASES = [(file.stem, case) for file, cases in FILES.items() for case in cases]
LABELS: dict[str, list[str]] = {}
for stem, case in CASES:
    LABELS.setdefault(stem, []).append(label(case))
RULES = [rule for pack in load_packs().packs for rule in pack.rules]
EXEMPT: dict[str, dict[str, str]] = {}
for file in FILES:
    EXEMPT.update(read_exemptions(file.read_text("utf-8")))

golden = cache(golden_answers)


@pytest.mark.parametrize(
    ("stem", "case"), CASES, ids=lambda c: f"{c.rule}-{c.kind}-{c.name}" if isinstance(c, Case) else c
)
def test_case(stem: str, case: Case, packs: LoadedPacks) -> None:
    found, report = run_case(case, packs)
    assert report.failures == ()
    assert found == case.expect
    assert [wrong for each in report.findings for wrong in wrong_steps(steps_of(each.check.working))] == []
    answers = answers_of(report, case.rule)
    if os.environ.get("UPDATE_GOLDEN"):  # not with -n: two processes would write one file
        golden(stem)[label(case)] = answers
        write_answers(stem, {key: golden(stem)[key] for key in LABELS[stem] if key in golden(stem)})
    assert answers == golden(stem).get(label(case)), "UPDATE_GOLDEN=1 writes the answers again; read what changes"


def test_each_answer_has_its_case() -> None:
    assert {file.stem for file in GOLDEN.iterdir()} == set(LABELS)
    for stem, labels in LABELS.items():
        assert len(set(labels)) == len(labels)
        assert list(golden(stem)) == labels


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.id)
def test_each_rule_has_a_case_of_each_kind(rule) -> None:  # type: ignore[no-untyped-def]
    have = {case.kind for _, case in CASES if case.rule == rule.id}
    want = {"meets", "falls-short", "not-measured", "does-not-apply"}
    if rule.limits:
        want |= {"at-limit", "past-limit"}
    exempt = EXEMPT.get(rule.id, {})
    assert all(len(reason) > 10 for reason in exempt.values())
    assert want - have - set(exempt) == set()
