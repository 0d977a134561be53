"""Whole floors against published tables and worked examples: what the site is told is what the source says.

The span table is IRC 2021 Table R502.3.1(2), read from text of state adoptions (see the head of
data/floor_joist_spans.csv); the worked examples are named beside each check.
"""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.quantities import Dimension, Quantity
from inspect_core.rules_api import Limits
from inspect_core.site import Area, site_from_text
from inspect_core.structure import HARD, KIND, floor_of
from inspect_core.structure.below import Ground

TABLE = Path(__file__).parent / "data" / "floor_joist_spans.csv"
EVERY = 7  # cells of the table; the method itself is checked on all of them in test_floor_joist_spans
UNEXPLAINED = {("20", "southern-pine", "#2", "24", 6)}  # printed an inch long, see there


@pytest.fixture(scope="module")
def limits(packs: LoadedPacks) -> Limits:
    return stack(packs.packs).limits


class With:
    """The limits in force, but for one."""

    def __init__(self, limits: Limits, name: str, value: Quantity) -> None:
        self.limits, self.name, self.value = limits, name, value

    def __getitem__(self, name: str | tuple[str, str]) -> Any:
        limit = self.limits[name]
        return limit.derived(self.value, "") if name == self.name else limit

    def keys(self, name: str) -> Iterable[str]:
        return self.limits.keys(name)


def floor(span: float, spacing: float, use: str = "bathroom", **joist: Any) -> Area:
    """Three joists of one size on a clear span, layers not described."""
    each = {"sizes": "nominal", "kind": "sawn", "moisture": 15, "holes": [], "notches": [], "cuts": [], "condition": [],
            "sisters": [], **joist}  # fmt: skip
    area = {
        "id": "a",
        "use": use,
        "finish": "resilient",
        "corners": [[0, 0], [2 * spacing, 0], [2 * spacing, span], [0, span]],
        "joists_run": "north-south",
        "supports": [{"id": "S1", "at": -4, "width": 4}, {"id": "S2", "at": span, "width": 4}],
        "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0, spacing, 2 * spacing], "each": each}],
        "fixtures": [],
        "partitions": [],
    }
    site = {"format": 1, "units": "in", "site": {"name": "table", "invented": True}, "areas": [area]}
    return site_from_text(json.dumps(site)).areas[0]


def holds(area: Area, limits: Any, end: int = HARD) -> bool:
    """Whether the middle joist is strong and stiff enough, at one end of the bounds."""
    answer = floor_of(area, limits).joist(area.joists[1]).answer  # type: ignore[index]
    assert answer is not None
    sag = answer.live_sag()
    assert sag is not None
    uses = (answer.bending[end], answer.shear[end], sag[0][end] * 360)
    return max(uses) <= 1 + 1e-6


def cells() -> list[tuple[str, str, str, str, int, int]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    found = []
    for row in rows:
        for depth in (6, 8, 10, 12):
            feet, inch = row[f"2x{depth}"].split("-")
            cell = (row["dead_psf"], row["species"], row["grade"], row["spacing_in"], depth)
            if cell not in UNEXPLAINED:
                found.append((*cell, 12 * int(feet) + int(inch)))
    return found[::EVERY]


@pytest.mark.parametrize("cell", cells(), ids=lambda c: "-".join(str(part) for part in c))
def test_a_joist_of_the_printed_span_holds_and_one_an_inch_longer_does_not(limits: Limits, cell: Any) -> None:
    dead, species, grade, spacing, depth, printed = cell
    exactly = With(limits, "dead-load", Quantity(float(dead), float(dead), Dimension.LOAD))
    joist = {"size": f"2x{depth}", "species": species, "grade": grade}
    assert holds(floor(printed, float(spacing), **joist), exactly)
    assert not holds(floor(printed + 1, float(spacing), **joist), exactly)


def test_layers_nobody_described_lie_between_both_blocks_of_the_table(limits: Limits) -> None:
    """Hem-fir #1 2x10 at 24 in: 13-8 in the 10 psf block is not sure, 12-5 in the 20 psf block is (same table)."""
    joist = {"size": "2x10", "species": "hem-fir", "grade": "#1"}
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    spans = {}
    for row in rows:
        if (row["species"], row["grade"], row["spacing_in"]) == ("hem-fir", "#1", "24"):
            feet, inch = row["2x10"].split("-")
            spans[row["dead_psf"]] = 12 * int(feet) + int(inch)
    assert spans["20"] < spans["10"]
    assert holds(floor(spans["20"], 24, **joist), limits)
    assert holds(floor(spans["10"], 24, **joist), limits, KIND)
    assert not holds(floor(spans["10"], 24, **joist), limits)
    assert not holds(floor(spans["10"] + 1, 24, **joist), limits, KIND)


def test_the_joist_of_a_government_design_guide(limits: Limits) -> None:
    """HUD Residential Structural Design Guide, example 5.1, read from text: hem-fir No.1 2x8 at 16 in, live 30, dead 10.

    Bending allows 14.87 ft, deflection L/360 13.8 ft and governs; Fb' = 1345 psi, Fv' = 150 psi, Fc perpendicular 405 psi.
    """
    exactly = With(limits, "dead-load", Quantity(10.0, 10.0, Dimension.LOAD))
    joist = {"size": "2x8", "species": "hem-fir", "grade": "No.1"}

    def solved(span_ft: float) -> Any:
        area = floor(span_ft * 12 + 0.5, 16, "bedroom", **joist)  # the guide does not round
        return floor_of(area, exactly).joist(area.joists[1])  # type: ignore[index]

    assert solved(14.87).answer.bending[HARD] == pytest.approx(1, abs=2e-3)
    assert solved(13.83).answer.live_sag()[0][HARD] * 360 == pytest.approx(1, abs=2e-3)
    wood = solved(13.8).wood
    assert wood.fb[HARD] == pytest.approx(1345, abs=1)
    assert (wood.fv[HARD], wood.fc_perp[HARD]) == (150, 405)


def beam_site(posts: list[float], width: float, joist_span: float, beam: dict[str, Any], **rest: Any) -> Area:
    """A beam under the middle of a floor, joists 12 in apart on both sides, ``joist_span`` from a sill to its middle.

    It gets half of each clear span and the floor over itself: 3 in wide, joist_span/2 + 3/4 in of either side.
    """
    each = {"size": "2x12", "sizes": "nominal", "kind": "sawn", "species": "douglas-fir-larch", "grade": "No.1", "moisture": 15,
            "holes": [], "notches": [], "cuts": [], "condition": [], "sisters": []}  # fmt: skip
    places = [12 * n for n in range(int(width / 12) + 1)]
    half = beam["breadth"] / 2
    line = {"id": "B", "line": "beam", "rests_on": "posts", "at": joist_span - half, "width": 2 * half, "moisture": 15,
            "sizes": "nominal", "splices": [], "holes": [], "notches": [], "condition": [],
            **{key: value for key, value in beam.items() if key != "breadth"}}  # fmt: skip
    area: dict[str, Any] = {
        "id": "a",
        "use": "bathroom",
        "finish": "resilient",
        "corners": [[0, 0], [width, 0], [width, 2 * joist_span], [0, 2 * joist_span]],
        "joists_run": "north-south",
        "supports": [{"id": "S1", "at": -4, "width": 4}, line, {"id": "S2", "at": 2 * joist_span, "width": 4}],
        "joists": [
            {"name": "J", "from": "S1", "to": "B", "at": places, "each": each},
            {"name": "K", "from": "B", "to": "S2", "at": places, "each": each},
        ],
        "fixtures": [],
        "partitions": [],
        "posts": [{"id": f"P{n}", "under": "B", "at": at, "size": "4x4", "sizes": "nominal"}
                  for n, at in enumerate(posts)],
        "piers": [],
        **rest,
    }  # fmt: skip
    for post, footing in zip(area["posts"], area.get("footings", []), strict=False):
        post["rests_on"] = footing["id"]
    site = {"format": 1, "units": "in", "site": {"name": "beam", "invented": True}, "areas": [area]}
    return site_from_text(json.dumps(site)).areas[0]


def test_the_girder_of_the_codes_table(limits: Limits) -> None:
    """IRC 2021 Table R602.7(2), one floor, building width 24 ft: (2) 2x10 spans 6-6, read from text; no joists in it.

    The table's load is 50 psf over half the width; its own basis adds a factor 1.10 for two plies and takes the lowest
    of four species (Fb 800 psi). Here joists 12 in apart bring that load, and southern pine No.2 has those 800 psi; with
    1.0 for two plies, the share of strength at 6-6 is 1.10 of the table's, by the table's own fit (77.6 in).
    """
    exactly = With(limits, "dead-load", Quantity(10.0, 10.0, Dimension.LOAD))
    beam = {"size": "(2) 2x10", "species": "southern-pine", "grade": "No.2", "breadth": 3.0}
    span = 78.0
    area = beam_site([0, span + 3.5], span + 3.5, 142.5, beam)
    member = floor_of(area, exactly).girder(area.supports[1])  # type: ignore[index]
    assert member.answer is not None
    own = 37 * 3 * 9.25 / 1728 * 12  # lb per foot, not in the table's load
    share = (600 + own) / 600
    # Loads at 12 in instead of an even one, and joists reckoned from face to face: within two percent.
    assert member.answer.bending[HARD] == pytest.approx(1.10 * (78 / 77.6) ** 2 * share, rel=0.02)
    assert floor_of(area, exactly).loads.basis.dead_psf == (10, 10)


def test_the_footing_of_the_codes_table(limits: Limits) -> None:
    """IRC 2021 Table R507.3.1: 40 sq ft at 40 + 10 psf on 1500 psf wants 13.86 in square, printed 14 (read from text).

    The table counts 2000 lb and no weight of footing or beam, so those are taken off here before comparing.
    """
    exactly = With(limits, "dead-load", Quantity(10.0, 10.0, Dimension.LOAD))
    beam = {"size": "(2) 2x10", "species": "southern-pine", "grade": "No.2", "breadth": 3.0}
    footings = [
        {"id": f"F{n}", "shape": "square", "width": 13.86, "thickness": 6, "material": "concrete"} for n in (0, 1)
    ]
    area = beam_site([0, 96], 96, 118.5, beam, footings=footings, soil={"kind": "clay"})
    ground = Ground(floor_of(area, exactly))
    found = ground.footing(area.footings[0])  # type: ignore[index]
    beam_weight = 37 * 3 * 9.25 / 1728 * 49
    own = 150 * 13.86**2 * 6 / 1728
    floor_load = found.arriving.total[HARD] - beam_weight - own
    assert floor_load == pytest.approx(2000, rel=1e-3)  # 4 ft × 10 ft of floor on each post
    assert math.sqrt(144 * floor_load / 1500) == pytest.approx(13.86, abs=0.01)
