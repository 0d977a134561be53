"""A proof works out again only the areas that a repair changes, and says what a check of everything would say."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.engine.cases import as_yaml
from inspect_core.planning.repairs.draft import Draft
from inspect_core.planning.repairs.proof import Prover, reloaded
from inspect_core.report.view import Selection, as_data
from inspect_core.site import Site, site_from_text


@pytest.fixture(scope="module")
def two_rooms(whole: dict[str, Any]) -> Site:
    data = copy.deepcopy(whole)
    other = copy.deepcopy(data["areas"][0])
    other["id"] = "other"
    data["areas"].append(other)
    return site_from_text(as_yaml(data), "two.site.yaml")


@pytest.fixture(scope="module")
def before(two_rooms: Site, packs: LoadedPacks) -> Report:
    return inspect(two_rooms, packs)


def thicker(data: dict[str, Any]) -> None:
    data["areas"][1]["layers"][0]["thickness"] = "1 1/8"


def use(data: dict[str, Any]) -> None:
    data["areas"][0]["use"] = "kitchen"


def true_for_one(data: dict[str, Any]) -> None:
    data["areas"][1]["crawl_space"] = {"kind": "vented", "leaks": True}


def all_new(data: dict[str, Any]) -> None:
    data["site"]["work"] = "new"


def elsewhere(data: dict[str, Any]) -> None:
    data["place"] = {"country": "(invented)", "seismic": "E"}


def one_room_less(data: dict[str, Any]) -> None:
    del data["areas"][0]


def turned_round(data: dict[str, Any]) -> None:
    data["areas"].reverse()


def nothing(data: dict[str, Any]) -> None:
    pass


@pytest.mark.parametrize(
    ("change", "kept"),
    [(thicker, 1), (use, 1), (true_for_one, 1), (all_new, 0), (elsewhere, 0), (one_room_less, 0), (turned_round, 0),
     (nothing, 2)],
)  # fmt: skip
def test_the_same_report_as_of_the_whole_site(
    two_rooms: Site, before: Report, packs: LoadedPacks, change: Callable[[dict[str, Any]], None], kept: int
) -> None:
    draft = Draft.of(two_rooms)
    change(draft.data)
    proof = Prover(before, packs).prove(draft)
    assert proof.report is not None
    whole = inspect(reloaded(draft), packs)
    assert as_data(proof.report, Selection()) == as_data(whole, Selection())
    assert sum(area in two_rooms.areas for area in proof.report.site.areas) == kept
    of_before = {id(finding) for finding in before.findings if finding.area}
    again = {one.area for one in proof.report.findings if id(one) in of_before}
    assert len(again) == kept  # what was found there was not worked out a second time


def test_nothing_is_kept_under_other_rules(two_rooms: Site, before: Report, packs: LoadedPacks) -> None:
    few = replace(packs, packs=tuple(replace(pack, rules=pack.rules[:50]) for pack in packs.packs))
    report = inspect(two_rooms, few, before)
    assert as_data(report, Selection()) == as_data(inspect(two_rooms, few), Selection())
