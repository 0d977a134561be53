"""Limits of decay, termites, ventilation, access and tile work in the base pack against the sources they come from.

The expected figures are typed here from the source named beside each, not read from the pack.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from inspect_wood_floor import condensation, crawl_access, decay, termites, tile_work, ventilation

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Check, Rule, rules_in
from inspect_core.site import site_from_text

MODULES = (condensation, crawl_access, decay, termites, tile_work, ventilation)
RULES: dict[str, Rule] = {rule.id: rule for module in MODULES for rule in rules_in(module)}
HEAD = "format: 1\nunits: in\nsite: {name: Source bench, invented: true}\n"
Answers = Callable[..., list[Check]]


@pytest.fixture(scope="module")
def answers(packs: LoadedPacks) -> Answers:
    limits = stack(packs.packs).limits

    def of(rule: str, area: str, place: str = "") -> list[Check]:
        site = site_from_text(f"{HEAD}{place}areas:\n  - id: bath\n    {area}\n")
        one = RULES[rule]
        targets = (site,) if one.scope == "site" else site.areas
        return [answer for target in targets for answer in one.function(target, limits)]

    return of


SPACE = "crawl_space: {kind: vented, access_through: wall, access_below_grade: true, appliance: true, "
TILE = "use: bathroom\n    finish: ceramic-tile\n    layers: [{id: T, kind: tile, "


@pytest.mark.parametrize(
    ("rule", "number", "least", "unit", "area"),
    [
        # IRC 2021 R317.1(5): siding 6 in over the ground, 2 in over slabs
        ("siding-above-ground", 0, 6, "in", "supports: [{id: S, line: sill, outside_surface: ground, siding_above: HERE}]"),
        ("siding-above-ground", 0, 2, "in", "supports: [{id: S, line: sill, outside_surface: slab, siding_above: HERE}]"),
        # IRC 2021 R408.4: areaway 16 by 24 in
        ("crawl-areaway", 0, 16, "in", SPACE + "areaway: HERE x 30 in}"),
        ("crawl-areaway", 1, 24, "in", SPACE + "areaway: 20 x HERE}"),
        # IRC 2021 M1305.1.3: passage 30 in high, 22 in wide, level service space 30 by 30 in
        ("appliance-passage", 0, 30, "in", SPACE + "appliance_passage_height: HERE}"),
        ("appliance-passage", 1, 22, "in", SPACE + "appliance_passage_width: HERE}"),
        ("appliance-service-space", 0, 30, "in", SPACE + "service_space: HERE x 40 in}"),
        # IRC 2018 AF103.5.2: 12 in laps of the soil-gas cover
        ("radon-cover", 0, 12, "in", SPACE + "ground_cover: {kind: polyethylene, laps: HERE}}"),
        # IRC 2021 R318.4: 6 in from ground to foam where termites are very heavy
        ("termite-foam", 0, 6, "in", SPACE + "wall_foam: true, foam_above_ground: HERE}"),
        # IRC 2021 R408.7, R322.2.2: 1 sq in for each sq ft
        ("flood-openings", 0, 300, "sq in", SPACE + "floor_area: 300 sq ft, flood_openings: HERE}"),
        # IRC 2021 M1505.4.4: 50 cfm intermittent, 20 continuous
        ("bath-exhaust", 0, 50, "cfm", "use: bathroom\n    ventilation: {fan: intermittent, rate: HERE}"),
        ("bath-exhaust", 0, 20, "cfm", "use: bathroom\n    ventilation: {fan: continuous, rate: HERE}"),
        # IRC 2021 R303.3: 3 sq ft of glass, half of it openable
        ("bath-window", 0, 3, "sq ft", "use: bathroom\n    ventilation: {fan: none, window: HERE}"),
        ("bath-window", 1, 1.5, "sq ft", "use: bathroom\n    ventilation: {fan: none, openable: HERE}"),
        # IRC 2021 N1102.2.10.1: 24 in past the ground outside
        ("crawl-wall-insulation", 0, 24, "in",
         "crawl_space: {kind: unvented, insulation: walls, wall_insulation_past_grade: HERE}"),
        # IRC 2021 R408.3: 1 cfm for 50 sq ft
        ("unvented-air", 0, 6, "cfm",
         "crawl_space: {kind: unvented, floor_area: 300 sq ft, drying: supply-air, drying_flow: HERE}"),
        # IRC 2021 Table R602.3(2): roofing nails 1-1/4 by 0.121 in
        ("fibre-cement-fasteners", 0, 1.25, "in",
         "layers: [{id: B, kind: backer, material: fibre-cement, fasteners: {kind: roofing-nail, length: HERE}}]"),
        ("fibre-cement-fasteners", 1, 0.121, "in",
         "layers: [{id: B, kind: backer, material: fibre-cement, fasteners: {kind: roofing-nail, diameter: HERE}}]"),
        # recalled: DCOF 0.42 (ANSI A326.3); a day before light traffic; 90 percent heartwood (IRC R202)
        ("tile-slip", 0, 0.42, "", TILE + "dcof: HERE}]"),
        ("tile-left-alone", 0, 24, "h", TILE + "walked_after: HERE}]"),
        ("durable-heartwood", 0, 90, "%",
         "posts: []\n    supports: [{id: S, line: sill, treated: true, treated_label: none, species: redwood, "
         "heartwood: HERE}]"),
    ],
)  # fmt: skip
def test_least_values(answers: Answers, rule: str, number: int, least: float, unit: str, area: str) -> None:
    place = "place: {termites: very-heavy, flood_zone: true, radon: true}\n"

    def at(value: float) -> str:
        return answers(rule, area.replace("HERE", f"{value} {unit}".strip()), place)[number].outcome

    assert at(least) == "meets"
    assert at(least * 0.999) == "falls-short"


def test_a_way_of_twenty_feet(answers: Answers) -> None:
    """IRC 2021 M1305.1.3: no longer than 20 ft."""
    assert answers("appliance-passage", SPACE + "appliance_passage_length: 20'}")[2].outcome == "meets"
    assert answers("appliance-passage", SPACE + "appliance_passage_length: 20' 1\"}")[2].outcome == "falls-short"


@pytest.mark.parametrize(
    ("lippage", "warp", "outcome"),
    [("1/32", "0", "meets"), ("1/16", "1/32", "meets"), ("1/16", "1/64", "falls-short"), ("0.033", "0", "falls-short")],
)
def test_lippage(answers: Answers, lippage: str, warp: str, outcome: str) -> None:
    """ANSI A108.02 4.3.7 by a trade article: 1/32 in plus the tile's own warp, for joints of 1/16 to 1/4 in."""
    tile = TILE + f"lippage: {lippage}, warpage: {warp}, grout_joint: 1/8}}]"
    assert answers("tile-lippage", tile)[0].outcome == outcome


@pytest.mark.parametrize(
    ("ways", "outcome"),
    [("[]", "falls-short"), ("[baits]", "meets"), ("[shield]", "falls-short"), ("[shield, soil-treatment]", "meets")],
)
def test_ways_of_termite_protection(answers: Answers, ways: str, outcome: str) -> None:
    """IRC 2021 R318.1: one or more; R318.3: a shield only beside another."""
    space = f"crawl_space: {{kind: vented, termite_protection: {ways}}}"
    assert answers("termite-protection", space, "place: {termites: heavy}\n")[0].outcome == outcome


@pytest.mark.parametrize(
    ("temp", "humidity", "dew"), [(70, 50, 50.5), (60, 60, 45.9), (80, 80, 73.3), (50, 70, 40.7), (78, 65, 65.2)]
)
def test_dew_points(answers: Answers, temp: float, humidity: float, dew: float) -> None:
    """Dew points as every psychrometric chart has them (read off a chart, from memory, to about half a degree)."""

    def at(surface: float) -> str:
        air = f"{{temperature: {temp} F, humidity: {humidity}}}"
        space = f"crawl_space: {{kind: vented, air: {air}, coldest_surface: {surface} F}}"
        return answers("crawl-cold-surface", space)[0].outcome

    assert at(dew + 0.5) == "meets"
    assert at(dew - 0.5) == "falls-short"


def test_vapour_that_meets_a_tight_layer_on_the_cold_side(answers: Answers) -> None:
    """Building science practice: the vapour retarder belongs on the warm side in winter. Common practice, no source."""

    def floor(facing: str, below: str, above: str) -> str:
        layers = "layers: [{id: P, kind: panel, material: plywood, thickness: 3/4}]"
        wool = f"insulation_material: glass-wool, insulation_thickness: 5 1/2, insulation_retarder: {facing}"
        airs = f"air: {{temperature: {below}}}, indoor_air: {{temperature: {above}}}"
        space = (
            f"crawl_space: {{kind: vented, insulation: between-joists, insulation_retarder_class: I, {wool}, {airs}}}"
        )
        return answers("floor-condensation", f"finish: none\n    {layers}\n    {space}")[0].outcome

    winter, room = "30 F, humidity: 80", "70 F, humidity: 45"
    assert floor("bottom", winter, room) == "falls-short"
    assert floor("top", winter, room) == "meets"
    summer, cooled = "82 F, humidity: 75", "70 F, humidity: 50"
    assert floor("top", summer, cooled) == "falls-short"
    assert floor("bottom", summer, cooled) == "meets"
