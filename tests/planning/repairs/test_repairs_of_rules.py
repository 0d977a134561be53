"""The kinds of repair of the base pack against the rules' own cases: each is offered where one of its rules falls short,
and never where that rule has nothing to say against the floor."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.cases import edited
from inspect_core.planning.repairs.proof import Prover
from inspect_core.planning.repairs.search import Search, in_force
from inspect_core.rules_api.repairs import Repair
from inspect_core.site import site_from_text

CASES = Path(__file__).parents[2] / "rules" / "cases"
OF_THEIR_OWN = {
    case["kind"] for case in yaml.safe_load(Path(__file__).with_name("kinds.yaml").read_text("utf-8"))["cases"]
}
EXEMPT = {
    "coated-straps": "no case of its rule is about the straps of a beam",
    "preserve-cuts": "the case of its rule is about a post, see preserve-post-cuts",
}
MOST_CASES = 3  # of one rule


Cases = dict[str, dict[str, list[tuple[Any, Any]]]]
"""By rule and outcome: a whole site and an edit of it each."""


@pytest.fixture(scope="module")
def cases() -> Cases:
    found: Cases = defaultdict(lambda: defaultdict(list))
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    for path in sorted(CASES.glob("*.yaml")):
        data = yaml.load(path.read_text("utf-8"), Loader=loader)
        for case in data["cases"]:
            outcomes = set(case["expect"].values())
            outcome = "falls-short" if "falls-short" in outcomes else "meets" if outcomes == {"meets"} else ""
            found[case["rule"]][outcome].append((data["site"], case))
    return found


def repairs_of(packs: LoadedPacks) -> dict[str, Repair]:
    base = next(pack for pack in packs.packs if pack.id == "wood-floor-base")
    return dict(base.repairs)


def offered(base: Any, case: Any, repair: Repair, packs: LoadedPacks) -> bool:
    """Whether the repair is proven to settle a shortfall of the case's own rule."""
    site = edited(base, case.get("set") or {}, case.get("remove") or (), case["name"])
    report = inspect(site_from_text(json.dumps(site, default=str)), packs)
    search = Search(report, Prover(report, packs), [repair])
    search.short = {key: one for key, one in search.short.items() if key[0] == case["rule"]}
    search.run()
    assert not search.failures
    return bool(search.found)


def test_each_kind_is_offered_in_a_case_of_its_rules_and_not_where_they_meet(packs: LoadedPacks, cases: Cases) -> None:
    never, wrongly = [], []
    for name, repair in repairs_of(packs).items():
        if name in OF_THEIR_OWN or name in EXEMPT or repair.does == "nothing-planned":
            continue
        tried = ((r, case) for r in repair.answers for case in cases[r]["falls-short"][:MOST_CASES])
        rule = next((r for r, case in tried if offered(*case, repair, packs)), None)
        if rule is None:
            never.append(name)
        elif cases[rule]["meets"] and offered(*cases[rule]["meets"][0], repair, packs):
            wrongly.append(name)
    assert never == []
    assert wrongly == []


def test_every_repair_of_the_base_pack_is_well_formed(packs: LoadedPacks) -> None:
    report = inspect(site_from_text("format: 1\nunits: in\nsite: {name: Hut}\nareas: [{id: a}]\n"), packs)
    found, faults, _ = in_force(report)
    assert faults == []
    assert found.keys() == repairs_of(packs).keys()
    assert set(EXEMPT) <= found.keys()
    for repair in found.values():
        assert repair.says[0].isupper() or "{" in repair.says[:3] or repair.does == "nothing-planned", repair.id
        assert not any(ord(c) > 0x2010 for c in repair.says), repair.id
