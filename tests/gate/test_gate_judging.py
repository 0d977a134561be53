"""Which findings block, by what is asked; fingerprints; results as lines."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from inspect_core.engine.portfolio.fingerprint import fingerprint
from inspect_core.engine.portfolio.judge import Asked, judged
from inspect_core.engine.portfolio.result import SiteResult, from_json, to_json


def finding(outcome: str, severity: str = "correction", point: str = "tile", **more: Any) -> dict[str, Any]:
    return {"rule": "r", "subject": "s", "outcome": outcome, "severity": severity, "hold_point": point, **more}


def document(*findings: dict[str, Any]) -> dict[str, Any]:
    return {"findings": list(findings), "hold_points": {"tile": None, "final": None}}


FINDINGS = (
    finding("falls-short", "stop-work"),
    finding("falls-short", "correction"),
    finding("falls-short", "advisory"),
    finding("not-measured", "correction"),
    finding("falls-short", "correction", "final"),
    finding("falls-short", "correction", varied={"by": "somebody"}),
    finding("falls-short", "correction", baseline="unchanged"),
    finding("falls-short", "correction", baseline="new"),
    finding("meets"),
    finding("does-not-apply"),
    finding("not-measured", "stop-work") | {"rule": "rule-failed"},
)
ALL = [True, True, False, True, True, False, True, True, False, False, True]


def blocks(asked: Asked) -> list[bool]:
    whole = document(*(dict(one) for one in FINDINGS))
    judged("f", whole, (), asked)
    return [one["blocks"] for one in whole["findings"]]


def test_by_default_corrections_and_what_is_not_measured_block() -> None:
    assert blocks(Asked()) == ALL


@pytest.mark.parametrize(
    ("asked", "otherwise"),
    [
        (Asked(fail_on="advisory"), {2: True}),
        (Asked(fail_on="stop-work"), {1: False, 3: False, 4: False, 6: False, 7: False}),
        (Asked(unmeasured="allow"), {3: False}),
        (Asked(hold_points=("tile",)), {4: False}),
        (Asked(hold_points=("tile", "final")), {}),
        (Asked(hold_points=("final",)), {0: False, 1: False, 3: False, 6: False, 7: False, 10: False}),
        (Asked(only_new=True), {6: False}),
    ],
)
def test_what_is_asked_changes_what_blocks(asked: Asked, otherwise: dict[int, bool]) -> None:
    assert blocks(asked) == [otherwise.get(n, before) for n, before in enumerate(ALL)]


def test_a_rule_that_failed_always_blocks() -> None:
    assert all(blocks(Asked((), *more))[-1] for more in itertools.product(("stop-work",), ("allow",), (True,)))


def test_hold_points_count_what_keeps_them_whatever_is_asked_for() -> None:
    result = judged("f", document(*(dict(one) for one in FINDINGS)), (), Asked(hold_points=("final",)))
    assert result.document is not None
    assert result.document["hold_points"] == {
        "tile": {"released": False, "open": 6},
        "final": {"released": False, "open": 1},
    }
    assert (result.open, result.exit_code) == (1, 1)


def test_nothing_is_released_where_a_pack_failed() -> None:
    result = judged("f", document(finding("meets")), ("a pack failed",), Asked())
    assert result.document is not None
    assert result.document["hold_points"]["tile"] == {"released": False, "open": 0}
    assert (result.open, result.exit_code) == (0, 3)


def test_a_fingerprint_depends_on_rule_subject_and_file_only() -> None:
    parts = {fingerprint(*some) for some in itertools.product(("a", "b"), repeat=3)}
    assert len(parts) == 8
    assert fingerprint("ab", "c", "d") != fingerprint("a", "bc", "d")
    assert fingerprint("a", "b", "c") == fingerprint("a", "b", "c")


def test_results_survive_as_lines() -> None:
    result = SiteResult("a\nb é.site.yaml", {"findings": [], "hold_points": {}}, ({"message": "x\ny"},), ("why",), 3, 0)
    line = to_json(result)
    assert "\n" not in line
    assert from_json(line) == result


@pytest.mark.parametrize("line", ["", "{}", "[]", "null", '{"file": "a"}', '{"file": "a", "problems": 3}'])
def test_other_lines_are_refused(line: str) -> None:
    with pytest.raises(ValueError):
        from_json(line)
