"""Notch and hole limits against the inches that study guides and the code's fractions give for common joists.

Source: IRC 2021 R502.8.1, read in the text of state adoptions (rule read, inches computed from it by hand):

====  ======  =========  ===============  ============  ==========================
size  depth   end notch  other notch      notch length  hole
====  ======  =========  ===============  ============  ==========================
2x6   5.5     1.375      0.917            1.833         1.833, but 1.5 by the edges
2x8   7.25    1.812      1.208            2.417         2.417
2x10  9.25    2.312      1.542            3.083         3.083
2x12  11.25   2.812      1.875            3.750         3.750
====  ======  =========  ===============  ============  ==========================

A worked example in a study guide gives 3.083 in for the largest hole in a 2x10 as well.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Check
from inspect_core.site import site_from_text

TABLE = [  # size, depth, end notch, other notch, notch length, hole (in, to the third decimal)
    ("2x6", 5.5, 1.375, 0.917, 1.833, 1.833),
    ("2x8", 7.25, 1.812, 1.208, 2.417, 2.417),
    ("2x10", 9.25, 2.312, 1.542, 3.083, 3.083),
    ("2x12", 11.25, 2.812, 1.875, 3.750, 3.750),
]
PRINTED = 0.001  # in: the table has three decimals

Answering = Callable[[str, dict[str, Any]], Check]


@pytest.fixture(scope="module")
def answer(packs: LoadedPacks) -> Answering:
    """What one rule says of the only hole or notch of a joist."""
    rules = stack(packs.packs)

    def of(rule_id: str, joist: dict[str, Any]) -> Check:
        supports = [{"id": "S1", "at": -3.5, "width": 3.5}, {"id": "S2", "at": 120, "width": 3.5}]
        group = {
            "name": "J",
            "from": "S1",
            "to": "S2",
            "at": [16],
            "each": {"kind": "sawn", "sizes": "nominal", **joist},
        }
        site = {"format": 1, "units": "in", "site": {"name": "Table bench", "invented": True}}
        site["areas"] = [{"id": "floor", "supports": supports, "joists": [group]}]
        (area,) = site_from_text(json.dumps(site)).areas
        rule = rules.rule(rule_id)
        assert rule is not None
        cuts = ("joist J1, hole 1", "joist J1, notch 1")
        (only,) = [c for c in rule.rule.function(area, rules.limits) if c.subject.name in cuts]
        return only

    return of


def limit_in(check: Check) -> float:
    assert check.limit is not None and check.limit.value is not None
    return check.limit.value.value


@pytest.mark.parametrize(("size", "depth", "end", "other", "length", "hole"), TABLE)
def test_the_inches_of_the_code_for_common_joists(
    answer: Answering, size: str, depth: float, end: float, other: float, length: float, hole: float
) -> None:
    at_end = {"end_of": "S1", "depth": 1, "length": 1, "edge": "bottom"}
    outside = {"from": "S1", "at": 10, "depth": 0.5, "length": 1, "edge": "top"}
    bored = {"from": "S1", "at": 60, "diameter": 1, "wood_above": 2.25}
    for rule, cut, printed in (
        ("notch-depth", {"notches": [at_end]}, end),
        ("notch-depth", {"notches": [outside]}, other),
        ("notch-length", {"notches": [outside]}, length),
        ("hole-diameter", {"holes": [bored]}, hole),
    ):
        found = answer(rule, {"size": size, **cut})
        assert found.outcome == "meets"
        assert limit_in(found) == pytest.approx(printed, abs=PRINTED)


@pytest.mark.parametrize(("size", "depth", "end", "other", "length", "hole"), TABLE)
def test_a_joist_holds_to_its_printed_inch_and_no_more(
    answer: Answering, size: str, depth: float, end: float, other: float, length: float, hole: float
) -> None:
    for more, outcome in ((-PRINTED, "meets"), (PRINTED, "falls-short")):
        ending = {"end_of": "S2", "depth": end + more, "length": 1, "edge": "bottom"}
        outside = {"from": "S1", "at": 10, "depth": other + more, "length": length + more, "edge": "top"}
        bored = {"from": "S1", "at": 60, "diameter": hole + more}
        assert answer("notch-depth", {"size": size, "notches": [ending]}).outcome == outcome
        assert answer("notch-depth", {"size": size, "notches": [outside]}).outcome == outcome
        assert answer("notch-length", {"size": size, "notches": [outside]}).outcome == outcome
        assert answer("hole-diameter", {"size": size, "holes": [bored]}).outcome == outcome


@pytest.mark.parametrize(
    ("size", "diameter", "outcome"),
    [
        ("2x6", 1.5, "meets"),  # 5.5 - 2 - 2: the edges govern, though a third of the depth would be 1.83
        ("2x6", 1.501, "falls-short"),
        ("2x6", 1.833, "falls-short"),
        ("2x8", 2.416, "meets"),  # from here up the third of the depth governs: 7.25 - 2.416 leaves 2.417 on each side
        ("2x10", 3.083, "meets"),
        ("2x12", 3.75, "meets"),
    ],
)
def test_the_edge_rule_governs_in_a_2x6_only(answer: Answering, size: str, diameter: float, outcome: str) -> None:
    """IRC 2021 R502.8.1: 2 in to either edge; the hole is bored at mid-depth, where there is most room."""
    depth = {size: depth for size, depth, *_ in TABLE}[size]
    bored = {"from": "S1", "at": 60, "diameter": diameter, "wood_above": (depth - diameter) / 2}
    assert answer("hole-edge", {"size": size, "holes": [bored]}).outcome == outcome


@pytest.mark.parametrize(
    ("pipe_od", "fits"),
    [
        (1.900, {"2x6": False, "2x8": True, "2x10": True, "2x12": True}),
        (2.375, {"2x6": False, "2x8": True, "2x10": True, "2x12": True}),
        (3.500, {"2x6": False, "2x8": False, "2x10": False, "2x12": True}),
        (4.500, {"2x6": False, "2x8": False, "2x10": False, "2x12": False}),
    ],
)
def test_which_drain_fits_which_joist(answer: Answering, pipe_od: float, fits: dict[str, bool]) -> None:
    """By outside diameter a 3 in drain fits only a 2x12, a 4 in one no common joist (ASTM D1785 sizes, from memory)."""
    for size, fit in fits.items():
        bored = {"from": "S1", "at": 60, "diameter": pipe_od}
        assert (answer("hole-diameter", {"size": size, "holes": [bored]}).outcome == "meets") is fit


def test_a_two_by_is_not_caught_by_the_tension_rule(answer: Answering) -> None:
    """IRC 2021 R502.8.1 speaks of 4 in nominal thickness; it is often misread as depth."""
    bottom = {"from": "S1", "at": 10, "depth": 1, "length": 1, "edge": "bottom"}
    assert answer("notch-tension-side", {"size": "2x12", "notches": [bottom]}).outcome == "does-not-apply"
    assert answer("notch-tension-side", {"size": "4x8", "notches": [bottom]}).outcome == "falls-short"
    assert answer("notch-tension-side", {"size": "6x8", "notches": [bottom]}).outcome == "falls-short"
