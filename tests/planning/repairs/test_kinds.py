"""Each kind of repair: a floor where it is right, and one where it must not be offered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.cases import as_yaml, edited
from inspect_core.planning.repairs.proof import Prover
from inspect_core.planning.repairs.search import Search, in_force
from inspect_core.site import site_from_text

CASES = yaml.safe_load(Path(__file__).with_name("kinds.yaml").read_text("utf-8"))["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["kind"])
def test_offered_where_it_is_right_and_nowhere_else(
    case: dict[str, Any], whole: dict[str, Any], searched: Callable[..., Search]
) -> None:
    right, wrong = case["right"], case["wrong"]
    broken = edited(whole, right.get("set") or {}, right.get("remove") or ())
    kinds = [case["kind"], *case.get("helped_by", ())]
    search = searched(broken, *kinds)
    assert search.found, search.tried
    assert all(found.settled for found in search.found)
    other = edited(broken, wrong.get("set") or {}, wrong.get("remove") or ())
    assert not searched(other, *kinds).found, wrong["because"]


def test_a_packs_sheet_of_no_width_is_no_plan(whole: dict[str, Any], packs: LoadedPacks) -> None:
    """Rows of blocks no distance apart would go on for ever."""
    case = next(case for case in CASES if case["kind"] == "block-panel-edges")["right"]
    report = inspect(site_from_text(as_yaml(edited(whole, case["set"], case["remove"]))), packs)
    repair = replace(in_force(report).repairs["block-panel-edges"], with_values={"sheet_width": 0})
    search = Search(report, Prover(report, packs), [repair])
    search.run()
    assert not search.found
    assert {why for tried in search.tried.values() for why in tried.values()} == {"the planned sheet has no width"}


def test_nothing_is_offered_where_nothing_falls_short(whole: dict[str, Any], searched: Callable[..., Search]) -> None:
    search = searched(whole)
    assert search.short == {}
    assert search.found == []
    assert search.prover.runs == 0
