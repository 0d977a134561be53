"""Each kind of repair: a floor where it is right, and one where it must not be offered."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine.cases import edited
from inspect_core.planning.repairs.search import Search

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


def test_nothing_is_offered_where_nothing_falls_short(whole: dict[str, Any], searched: Callable[..., Search]) -> None:
    search = searched(whole)
    assert search.short == {}
    assert search.found == []
    assert search.prover.runs == 0
