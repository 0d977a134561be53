"""Bridging, blocks, footings, lead and air against published figures; spans of single rows against the printed table."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import RuleSet, stack
from inspect_core.engineering.lumber import dressed
from inspect_core.engineering.spans import allowable_joist_span
from inspect_core.rules_api import Check
from inspect_core.site import site_from_text


@pytest.fixture(scope="module")
def rules(packs: LoadedPacks) -> RuleSet:
    return stack(packs.packs)


def checks(rules: RuleSet, rule_id: str, area: dict[str, Any], **site: Any) -> list[Check]:
    whole = {"format": 1, "units": "in", "site": {"name": "Source bench", "invented": True}, **site}
    read = site_from_text(json.dumps({**whole, "areas": [{"id": "floor", **area}]}))
    rule = rules.rule(rule_id)
    assert rule is not None
    where = read if rule.rule.scope == "site" else read.areas[0]
    return list(rule.rule.function(where, rules.limits))


def joists(size: str, span: float, rows: list[float]) -> dict[str, Any]:
    return {
        "supports": [
            {"id": "S1", "line": "sill", "at": -6, "width": 6},
            {"id": "S2", "line": "sill", "at": span, "width": 6},
        ],
        "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0], "each": {"size": size, "sizes": "nominal"}}],
        "blocking": [
            {"id": f"K{n}", "kind": "solid", "full_depth": True, "row": "every-bay", "along": at}
            for n, at in enumerate(rows)
        ],
    }


@pytest.mark.parametrize(
    ("size", "span", "rows", "outcome"),
    [
        ("2x12", 192, [], "does-not-apply"),  # "joists exceeding a nominal 2 inches by 12 inches"
        ("2x14", 96, [], "meets"),  # "at intervals not exceeding 8 feet"
        ("2x14", 97, [], "falls-short"),
        ("2x14", 192, [96], "meets"),
        ("2x14", 192, [90], "falls-short"),
    ],
)
def test_bridging_of_the_model_code(rules: RuleSet, size: str, span: float, rows: list[float], outcome: str) -> None:
    """IRC 2021 R502.7.1, read from text of state adoptions 2015 to 2024."""
    (one,) = checks(rules, "joist-bridging", joists(size, span, rows))
    assert one.outcome == outcome


@pytest.mark.parametrize(
    ("species", "size", "spacing", "dead", "printed"),
    [
        ("southern-pine", 6, 12, 10, "10-3"),
        ("southern-pine", 6, 16, 10, "9-4"),
        ("southern-pine", 6, 24, 10, "7-7"),
        ("southern-pine", 8, 12, 10, "13-6"),
        ("southern-pine", 8, 16, 10, "11-10"),
        ("southern-pine", 8, 24, 10, "9-8"),
        ("southern-pine", 10, 12, 10, "16-2"),
        ("southern-pine", 10, 16, 10, "14-0"),
        ("southern-pine", 10, 24, 10, "11-5"),
        ("southern-pine", 12, 12, 10, "19-1"),
        ("southern-pine", 12, 16, 10, "16-6"),
        ("southern-pine", 12, 24, 10, "13-6"),
        ("spruce-pine-fir", 8, 16, 10, "12-3"),
        ("spruce-pine-fir", 10, 16, 10, "15-5"),
        ("douglas-fir-larch", 8, 16, 10, "12-9"),
        ("douglas-fir-larch", 8, 16, 20, "11-8"),  # a mortar bed or stone: the span drops by 1-1
        ("hem-fir", 8, 16, 10, "12-0"),
    ],
)
def test_single_rows_of_the_span_table(species: str, size: int, spacing: float, dead: float, printed: str) -> None:
    """IRC 2021 Table R502.3.1(2), No.2, 40 psf live: the rows that people look up first, to the inch."""
    feet, inches = map(int, printed.split("-"))
    found = allowable_joist_span(species, "#2", *dressed(2, size), spacing, 40, dead)
    assert round(found.span_in) == 12 * feet + inches


def test_lead_rule_of_the_agency(rules: RuleSet) -> None:
    """40 CFR 745.83 as told by a state agency: more than 6 sq ft in a room, 2 sq ft in assisted housing (24 CFR 35).

    Windows and demolition at any size.
    """

    def outcome(area: str, assisted: bool, torn: bool) -> str:
        house = {"name": "x", "built": 1977, "owner_occupied": False, "federally_assisted": assisted}
        hazards = {"lead_paint": "suspected", "paint_disturbed": area, "paint_torn_out": torn}
        (one,) = checks(rules, "lead-safe-work", {}, site=house, hazards=hazards, documents=[])
        return one.outcome

    assert outcome("6 sq ft", False, False) == "meets"
    assert outcome("6.1 sq ft", False, False) == "falls-short"
    assert outcome("2 sq ft", True, False) == "meets"
    assert outcome("2.1 sq ft", True, False) == "falls-short"
    assert outcome("0.5 sq ft", False, True) == "falls-short"


@pytest.mark.parametrize(("read", "outcome"), [("20.9 %", "meets"), ("19.4 %", "falls-short"), ("24 %", "falls-short")])
def test_air_that_may_be_breathed(rules: RuleSet, read: str, outcome: str) -> None:
    """29 CFR 1926.1204 as told in training text: 19.5 to 23.5 percent; outdoor air has 20.9."""
    area = {"crawl_space": {"kind": "vented"}}
    (one,) = checks(rules, "crawl-oxygen", area, hazards={"confined_space": True, "oxygen": read})
    assert one.outcome == outcome


@pytest.mark.parametrize(("fall", "outcome"), [("6 in", "meets"), ("5 in", "falls-short"), ("152.4 mm", "meets")])
def test_ground_that_falls_away(rules: RuleSet, fall: str, outcome: str) -> None:
    """IRC 2021 R401.3: 6 inches within the first 10 feet (152 mm within 3048 mm)."""
    area = {"crawl_space": {"kind": "vented", "ground_fall": fall, "water_led_away": False}}
    (one,) = checks(rules, "ground-falls-away", area)
    assert one.outcome == outcome


def test_a_pit_at_45_degrees(rules: RuleSet) -> None:
    """North Carolina R403.1.9 and practice: a pit 3 ft deeper stays 3 ft away. 36 in by 36 in is 45 degrees."""

    def outcome(clear: float) -> str:
        area = {
            "piers": [
                {"id": "A", "at": 0, "along": 48, "rests_on": "FA", "work": "existing"},
                {"id": "B", "at": clear + 20, "along": 48, "rests_on": "FB", "work": "new"},
            ],
            "footings": [{"id": "FA", "width": 20, "depth": 12}, {"id": "FB", "width": 20, "depth": 48}],
        }
        (one,) = checks(rules, "dig-beside-footing", area)
        return one.outcome

    assert outcome(36) == "meets"
    assert outcome(35.9) == "falls-short"


def test_a_floor_that_creeps_back_up(rules: RuleSet) -> None:
    """Trade practice, no source: 1/8 in a week to 1/8 in a day. Between them nothing is proven."""

    def outcome(lift: str) -> str:
        (one,) = checks(rules, "jack-slowly", {}, temporary_supports=[{"id": "T", "lift_per_week": lift}])
        return one.outcome

    assert [outcome(lift) for lift in ("1/16", "1/2", "1")] == ["meets", "not-measured", "falls-short"]
