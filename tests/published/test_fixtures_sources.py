"""Fixture rules against the figures that codes and trade pages print; source beside each."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.site import site_from_text

Answering = Callable[[str, dict[str, Any]], str]


@pytest.fixture(scope="module")
def answer(packs: LoadedPacks) -> Answering:
    """What one rule says of the only fixture, wiring or fire protection of an area."""
    rules = stack(packs.packs)

    def of(rule_id: str, area: dict[str, Any]) -> str:
        site = {"format": 1, "units": "in", "site": {"name": "Table bench", "work": "new", "invented": True}}
        site["areas"] = [{"id": "floor", **area}]
        (found,) = site_from_text(json.dumps(site)).areas
        rule = rules.rule(rule_id)
        assert rule is not None
        (one,) = rule.rule.function(found, rules.limits)
        return one.outcome

    return of


@pytest.mark.parametrize(
    ("rule", "side", "least"),
    [
        ("toilet-side-room", "left", 15),  # IRC 2021 P2705.1(5): trade answer, city page
        ("toilet-front-room", "front", 21),  # the same; 24 in by the UPC
    ],
)
def test_room_about_a_toilet(answer: Answering, rule: str, side: str, least: float) -> None:
    for room, outcome in ((least, "meets"), (least - 1, "falls-short")):
        clearances = {"left": 40, "right": 40, "front": 40, "back": 12, side: room}
        fixture = {"id": "W", "kind": "toilet", "clearances": clearances}
        assert answer(rule, {"fixtures": [fixture]}) == outcome


@pytest.mark.parametrize(
    ("inside", "area", "side"),
    [  # IRC 2021 P2708.1 by a homeowner's digest and a field guide: 900 sq in and 30 in, or 1300 sq in and 25 in
        ("30 x 30", "meets", "meets"),
        ("32 x 32", "meets", "meets"),  # the UPC's 1024 sq in
        ("29 x 31", "falls-short", "falls-short"),
        ("25 x 52", "meets", "meets"),
        ("25 x 51", "meets", "falls-short"),
        ("24 x 60", "meets", "falls-short"),
    ],
)
def test_size_of_showers(answer: Answering, inside: str, area: str, side: str) -> None:
    fixtures = {"fixtures": [{"id": "S", "kind": "shower", "inside": inside}]}
    assert answer("shower-area", fixtures) == area
    assert answer("shower-least-side", fixtures) == side


@pytest.mark.parametrize(
    ("cover", "thickness", "outcome"),
    [  # IRC 2021 R302.13, text of state adoptions: half-inch gypsum board or 5/8 in wood panel
        ("gypsum", 0.5, "meets"),
        ("gypsum", 0.375, "falls-short"),
        ("wood-panel", 0.625, "meets"),
        ("wood-panel", 0.5, "falls-short"),
    ],
)
def test_cover_of_the_underside(answer: Answering, cover: str, thickness: float, outcome: str) -> None:
    fire = {"underside": cover, "underside_thickness": thickness, "sprinklered": False, "storage_below": False}
    joists = [{"name": "J", "at": [16], "each": {"size": "2x8", "sizes": "nominal", "kind": "sawn"}}]
    area = {"fire": fire, "crawl_space": {"kind": "basement"}, "joists": joists}
    assert answer("floor-underside", area) == outcome


@pytest.mark.parametrize(("edge", "outcome"), [(1.25, "meets"), (1.2, "falls-short")])
def test_cables_from_the_edge(answer: Answering, edge: float, outcome: str) -> None:
    """NEC 300.4(A)(1), quoted by several sources: 1 1/4 in from the edge, or a steel plate."""
    hole = {"at": 30, "diameter": 0.75, "wood_above": edge, "holds": "cable", "shielded": False}
    each = {"size": "2x8", "sizes": "nominal", "kind": "sawn", "holes": [hole], "notches": []}
    area = {"supports": [], "joists": [{"name": "J", "at": [16], "each": each}]}
    assert answer("cable-hole-edge", area) == outcome
