"""Bays, panel spans, board subfloors and floor edges against the tables that they were read from."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import RuleSet, stack
from inspect_core.engineering.panels import board_spacing, span_ratings
from inspect_core.rules_api import Check
from inspect_core.site import site_from_text

HAIR = 0.001  # in


@pytest.fixture(scope="module")
def rules(packs: LoadedPacks) -> RuleSet:
    return stack(packs.packs)


def bay(rules: RuleSet, rule_id: str, spacing: float, layers: list[dict[str, Any]], finish: str = "wood") -> Check:
    """The one bay of a floor with two joists whose outer faces are the walls."""
    area = {
        "id": "floor",
        "finish": finish,
        "outline": f"{spacing + 1.5} in x 96 in",
        "joists_run": "north-south",
        "supports": [{"id": "S1", "at": 0, "width": 3.5}, {"id": "S2", "at": 92.5, "width": 3.5}],
        "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0.75, spacing + 0.75], "each": {"thickness": 1.6}}],
        "openings": [],
        "layers": layers,
    }
    site = {"format": 1, "units": "in", "site": {"name": "Source bench", "invented": True}, "areas": [area]}
    rule = rules.rule(rule_id)
    assert rule is not None
    (one,) = site_from_text(json.dumps(site)).areas
    (answer,) = rule.rule.function(one, rules.limits)
    return answer


# IRC 2021 Table R503.2.1.1(1), last column (maximum span of floor sheathing or single floor), as read from the text of
# a state adoption; 60/32 and the rest agree with the provisions that name them.
RATINGS = {
    "24/16": 16,
    "32/16": 16,
    "40/20": 20,
    "48/24": 24,
    "60/32": 32,
    "16 oc": 16,
    "20 oc": 20,
    "24 oc": 24,
    "32 oc": 32,
    "48 oc": 48,
}


@pytest.mark.parametrize(("stamp", "span"), RATINGS.items())
def test_span_ratings_of_the_code_table(rules: RuleSet, stamp: str, span: int) -> None:
    panel = {"kind": "panel", "rating": stamp}
    assert bay(rules, "panel-span", span, [panel]).outcome == "meets"
    assert bay(rules, "panel-span", span + HAIR, [panel]).outcome == "falls-short"


@pytest.mark.parametrize("stamp", ["16/0", "20/0", "24/0"])
def test_roof_ratings_carry_no_floor(rules: RuleSet, stamp: str) -> None:
    """IRC 2021 Table R503.2.1.1(1): a floor span of 0."""
    assert bay(rules, "panel-span", 12, [{"kind": "panel", "rating": stamp}]).outcome == "falls-short"


@pytest.mark.parametrize("stamp", ["32/16", "40/20"])
def test_note_h_lets_wood_floors_across_the_joists_stiffen_the_panel(rules: RuleSet, stamp: str) -> None:
    """IRC 2021 Table R503.2.1.1(1) note h: 24 in under 3/4 in wood strip floor at right angles to the joists."""
    wood = {"kind": "wood-floor", "thickness": "3/4", "board_direction": "perpendicular"}
    panel = {"kind": "panel", "rating": stamp}
    assert bay(rules, "panel-span", 24, [panel, wood]).outcome == "meets"
    assert bay(rules, "panel-span", 24 + HAIR, [panel, wood]).outcome == "falls-short"
    assert bay(rules, "panel-span", 24, [panel, {**wood, "thickness": "11/16"}]).outcome == "falls-short"
    assert bay(rules, "panel-span", 24, [panel, {**wood, "board_direction": "diagonal"}]).outcome == "falls-short"


@pytest.mark.parametrize("stamp", ["40/20", "16oc", "20oc"])
def test_note_i_lets_lightweight_concrete_stiffen_the_panel(rules: RuleSet, stamp: str) -> None:
    """IRC 2021 Table R503.2.1.1(1) note i: 24 in under 1 1/2 in lightweight concrete."""
    concrete = {"kind": "mortar-bed", "material": "lightweight concrete", "thickness": "1 1/2"}
    panel = {"kind": "panel", "rating": stamp}
    assert bay(rules, "panel-span", 24, [panel, concrete], "ceramic-tile").outcome == "meets"
    assert bay(rules, "panel-span", 24, [panel, {**concrete, "thickness": "1 7/16"}]).outcome == "falls-short"


# IRC 2021 Table R503.2.1.1(2), sanded plywood: the strongest and the weakest species group bound what an unread stamp
# of plywood may mean. 3/4 in: group 1 24 in, group 4 16 in. The ratings of 23/32 and 3/4 in (24 in) lie between.
def test_an_unread_three_quarter_plywood_lies_between_the_groups(rules: RuleSet) -> None:
    panel = {"kind": "panel", "material": "plywood", "thickness": "3/4"}
    assert bay(rules, "panel-span", 16, [panel]).outcome == "meets"
    assert bay(rules, "panel-span", 16 + HAIR, [panel]).outcome == "not-measured"
    assert bay(rules, "panel-span", 24, [panel]).outcome == "not-measured"
    assert bay(rules, "panel-span", 24 + HAIR, [panel]).outcome == "falls-short"


# IRC 2021 Table R503.1, lumber floor sheathing: minimum net thickness, perpendicular and diagonal to the joists.
BOARDS = [
    (24, "11/16", "perpendicular"),
    (24, "3/4", "diagonal"),
    (16, "5/8", "perpendicular"),
    (16, "5/8", "diagonal"),
]


@pytest.mark.parametrize(("span", "thickness", "direction"), BOARDS)
def test_board_subfloors_of_the_code_table(rules: RuleSet, span: int, thickness: str, direction: str) -> None:
    boards = {"kind": "boards", "thickness": thickness, "board_direction": direction, "joints": "square"}
    assert bay(rules, "board-span", span, [boards]).outcome == "meets"
    assert bay(rules, "board-span", span + HAIR, [boards]).outcome == "falls-short"


@pytest.mark.parametrize("span", [48, 54, 60])
def test_wide_planks_wait_for_their_design_values(rules: RuleSet, span: int) -> None:
    """IRC 2021 Table R503.1: 1 1/2 in tongue and groove crosses 48 to 60 in, with listed Fb and E only."""
    plank = {"kind": "boards", "thickness": "1 1/2", "board_direction": "perpendicular", "joints": "tongue-and-groove"}
    assert bay(rules, "board-span", span, [plank]).outcome == "not-measured"
    assert bay(rules, "board-span", 60 + HAIR, [plank]).outcome == "falls-short"
    assert bay(rules, "board-span", span, [{**plank, "thickness": "1 7/16"}]).outcome == "falls-short"


def test_joists_over_24_in_apart_have_no_tile_listing(rules: RuleSet) -> None:
    """The listed tile methods end at 24 in (tile contractors manual 2024-25), as the panel table does for 24oc."""
    panel = {"kind": "panel", "rating": "48oc"}
    assert bay(rules, "tile-panel-listing", 24, [panel], "porcelain-tile").outcome == "meets"
    assert bay(rules, "tile-panel-listing", 24 + HAIR, [panel], "porcelain-tile").outcome == "falls-short"


def test_16_in_under_tile(rules: RuleSet) -> None:
    """Common practice, no source."""
    assert bay(rules, "joist-spacing", 16, [], "ceramic-tile").outcome == "meets"
    assert bay(rules, "joist-spacing", 16 + HAIR, [], "ceramic-tile").outcome == "falls-short"


def test_the_pack_and_the_engineering_data_tell_one_story(rules: RuleSet) -> None:
    """Both copies come from IRC 2021 Tables R503.1 and R503.2.1.1(1): one may not drift from the other."""
    for name, rating in span_ratings().items():
        value, usual = rules.limits["panel-span", name].value, rules.limits["panel-usual-thickness", name].value
        assert value is not None and value.value == rating.joist_spacing_in
        assert usual is not None and usual.value == min(rating.thicknesses_in)
        for table, why in (("panel-span-wood-floor", "wood finish"), ("panel-span-concrete", "concrete")):
            assert rules.limits.has(table, name) == (why in rating.wider_when)
    for key in rules.limits.keys("board-thickness"):
        step, direction = key.split("-")
        thickness, span = rules.limits["board-thickness", key].value, rules.limits["board-span", step].value
        assert thickness is not None and span is not None
        found = board_spacing(thickness.value, direction, tongue_and_groove=True, fb_psi=2000, e_psi=2e6)  # type: ignore[arg-type]
        assert found is not None and found.value == span.value
