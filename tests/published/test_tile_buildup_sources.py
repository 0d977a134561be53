"""Tile build-ups against the figures that they were read from."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import RuleSet, stack
from inspect_core.rules_api import Check
from inspect_core.site import site_from_text


@pytest.fixture(scope="module")
def rules(packs: LoadedPacks) -> RuleSet:
    return stack(packs.packs)


def answer(rules: RuleSet, rule_id: str, spacing: float, layers: list[dict[str, Any]], **more: Any) -> Check:
    """The rule's one answer about a floor of two joists whose outer faces are the walls."""
    area = {
        "id": "floor",
        "finish": "ceramic-tile",
        "outline": f"{spacing + 1.5} in x 96 in",
        "joists_run": "north-south",
        "supports": [{"id": "S1", "at": 0, "width": 3.5}, {"id": "S2", "at": 92.5, "width": 3.5}],
        "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0.75, spacing + 0.75], "each": {"thickness": 1.6}}],
        "openings": [],
        "wet_areas": [],
        "layers": layers,
        **more,
    }
    site = {"format": 1, "units": "in", "site": {"name": "Source bench", "invented": True}, "areas": [area]}
    rule = rules.rule(rule_id)
    assert rule is not None
    (one,) = site_from_text(json.dumps(site)).areas
    (found,) = rule.rule.function(one, rules.limits)
    return found


def wood(*thicknesses: str) -> list[dict[str, Any]]:
    panels = [{"kind": "panel", "material": "plywood", "thickness": thickness} for thickness in thicknesses]
    return [*panels, {"kind": "thin-set"}, {"kind": "tile"}]


# Tile contractors manual 2024-25 (16, 19.2 and 24 in, by stiffness) and a commercial flooring substrate guide (the
# common minimum of two layers on 16 in): spacing, layers.
LISTED = [
    (16, ("19/32", "19/32")),
    (16, ("5/8", "5/8")),
    (16, ("19/32", "15/32")),
    (19.2, ("23/32", "23/32")),
    (24, ("7/8", "7/8")),
    (24, ("1 1/8",)),
]


@pytest.mark.parametrize(("spacing", "thicknesses"), LISTED)
def test_listed_build_ups_of_plywood(rules: RuleSet, spacing: float, thicknesses: tuple[str, ...]) -> None:
    assert answer(rules, "tile-base-thickness", spacing, wood(*thicknesses)).outcome == "meets"


@pytest.mark.parametrize(
    ("spacing", "thicknesses"), [(16, ("19/32",)), (16, ("15/32", "15/32")), (19.2, ("5/8", "5/8")), (24, ("1",))]
)
def test_build_ups_under_the_listed_ones(rules: RuleSet, spacing: float, thicknesses: tuple[str, ...]) -> None:
    assert answer(rules, "tile-base-thickness", spacing, wood(*thicknesses)).outcome == "falls-short"


@pytest.mark.parametrize(("spacing", "layers", "thickness"), [(19.2, 2, 23 / 32), (24, 2, 7 / 8), (24, 1, 9 / 8)])
def test_wider_spacings_are_as_stiff_as_the_16_in_floor(
    rules: RuleSet, spacing: float, layers: int, thickness: float
) -> None:
    """Tile contractors manual 2024-25: they match two layers of 19/32 at 16 in by stiffness, computed here from plates.

    Separate layers share the load; span over deflection goes with the sum of thickness cubed over spacing cubed. The
    manual's own figures are rounded to sheets that are sold: a tenth is allowed.
    """
    at_16 = 2 * (19 / 32) ** 3 / 16**3
    assert layers * thickness**3 / spacing**3 == pytest.approx(at_16, rel=0.1)
    key = "tile-base-single" if layers == 1 else "tile-base-double"
    needed = rules.limits[key, f"{spacing:g}"].value
    assert needed is not None and needed.value == pytest.approx(layers * thickness)


@pytest.mark.parametrize(("material", "least"), [("plywood", 5 / 8), ("osb", 23 / 32)])
def test_subfloor_under_backer(rules: RuleSet, material: str, least: float) -> None:
    """Floor sheet of a fibre-cement backer maker: 5/8 exterior plywood or 23/32 OSB, joists to 24 in."""
    for spacing, rule_id in ((24, "backer-joist-spacing"), (24, "backer-subfloor")):
        layers = [{"kind": "panel", "material": material, "thickness": least}, {"kind": "backer"}]
        assert answer(rules, rule_id, spacing, layers).outcome == "meets"
    thin = [{"kind": "panel", "material": material, "thickness": least - 0.001}, {"kind": "backer"}]
    assert answer(rules, "backer-subfloor", 24, thin).outcome == "falls-short"
    wide = [{"kind": "panel", "material": material, "thickness": least}, {"kind": "backer"}]
    assert answer(rules, "backer-joist-spacing", 24.001, wide).outcome == "falls-short"


# ANSI A108.02 4.2.2 as quoted in trade articles: tile with all edges under 15 in, and with one of 15 in.
@pytest.mark.parametrize(("tile", "allowed"), [("12 x 12", 1 / 4), ("6 x 15", 1 / 8), ("24 x 48", 1 / 8)])
def test_flatness_for_small_and_large_tile(rules: RuleSet, tile: str, allowed: float) -> None:
    layers = [*wood("3/4")[:2], {"kind": "tile", "tile_size": tile}]
    for gap, outcome in ((allowed, "meets"), (allowed + 0.001, "falls-short")):
        found = answer(rules, "flatness", 16, layers, flatness={"over": 120, "deviation": gap})
        assert found.outcome == outcome


def test_movement_joints(rules: RuleSet) -> None:
    """Tile handbook EJ171 (2018) as quoted in a trade magazine: 25 ft at most inside, 12 ft with moisture or sun."""
    for feet, wet_areas, outcome in (
        (25, [], "meets"),
        (25.01, [], "falls-short"),
        (12, [{"id": "W1", "kind": "wet-room"}], "meets"),
        (12.01, [{"id": "W1", "kind": "wet-room"}], "falls-short"),
    ):
        layers = [*wood("3/4")[:2], {"kind": "tile", "movement_joints": f"{feet} ft"}]
        assert answer(rules, "movement-joints", 16, layers, wet_areas=wet_areas).outcome == outcome


@pytest.mark.parametrize("standard", ["ANSI A118.4", "ANSI A118.15E", "A118.11 / A118.4", "ANSI A136.1", "ANSI A137.1"])
def test_mortar_standards_of_the_code(rules: RuleSet, standard: str) -> None:
    """IRC 2021 R702.4.1 names ANSI A108, A118, A136.1 and A137.1."""
    layers = [*wood("3/4")[:1], {"kind": "thin-set", "standard": standard}, {"kind": "tile"}]
    assert answer(rules, "tile-mortar-standard", 16, layers).outcome == "meets"


@pytest.mark.parametrize("standard", ["ASTM C1178", "ASTM C1278", "ASTM C1288", "ASTM C1325", "ISO 8336 Category C"])
def test_backer_standards_of_the_code(rules: RuleSet, standard: str) -> None:
    """IRC 2021 R702.4.2, backers in tub and shower areas."""
    layers = [{"kind": "panel"}, {"kind": "backer", "standard": standard}]
    wet = [{"id": "W1", "kind": "shower"}]
    assert answer(rules, "backer-standard", 16, layers, wet_areas=wet).outcome == "meets"


def test_one_standard_is_not_read_into_another(rules: RuleSet) -> None:
    """A118.1 is plain mortar, A118.11 that for plywood (ANSI A118, from memory)."""
    for standard, outcome in (("A118.1", "falls-short"), ("A118.11", "meets"), ("A118.110", "falls-short")):
        layers = [*wood("3/4")[:1], {"kind": "thin-set", "standard": standard}, {"kind": "tile"}]
        assert answer(rules, "mortar-for-plywood", 16, layers).outcome == outcome


def test_walls_of_showers(rules: RuleSet) -> None:
    """IRC 2021 R307.2: nonabsorbent to 6 ft over the floor."""
    for height, outcome in ((72, "meets"), (71.99, "falls-short")):
        wet = [{"id": "W1", "kind": "shower", "wall_height": height}]
        assert answer(rules, "wet-wall-height", 16, wood("3/4"), wet_areas=wet).outcome == outcome


def test_flange_height(rules: RuleSet) -> None:
    """IRC 2021 P2705.1 and three trade sources: on the finished floor, flush to 3/8 in over it."""
    for height, outcome in ((0, "meets"), (3 / 8, "meets"), (-1 / 8, "falls-short"), (1 / 2, "falls-short")):
        fixture = {"id": "T1", "kind": "toilet", "flange": {"height_over_finish": height}}
        assert answer(rules, "flange-height", 16, wood("3/4"), fixtures=[fixture]).outcome == outcome


def test_joists_weigh_what_their_wood_weighs(rules: RuleSet) -> None:
    """2x10 at 16 in: 1.5 x 9.25 in at 29 (spruce) to 37 pcf (southern pine), from memory, is 2.1 to 2.7 psf."""
    joists = [{"name": "J", "from": "S1", "to": "S2", "at": [8, 24, 40], "each": {"thickness": 1.5, "depth": 9.25}}]
    tile = [{"kind": "tile", "weight": "5 psf"}]
    found = answer(rules, "tile-dead-load", 16, tile, joists=joists, outline="48 in x 96 in")
    assert found.outcome == "meets"
    assert not isinstance(found.measured, str) and found.measured is not None
    per_foot = 1.5 * 9.25 / 144 * 12 / 16  # cubic feet of wood on a square foot
    assert found.measured.low == pytest.approx(5 + 29 * per_foot)
    assert found.measured.high == pytest.approx(5 + 37 * per_foot)
