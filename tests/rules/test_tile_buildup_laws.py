"""Laws of the rules on layers under tile, backer, second layers and the tiled surface."""

from __future__ import annotations

import copy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import backer, tile_buildup, tile_finish, underlayment
from laws import (
    Answering,
    Answers,
    Data,
    Path,
    at,
    forgotten,
    metric_texts,
    nothing_gained,
    only_asks,
    put,
    scaled,
    without,
)

from inspect_core.quantities import Dimension, exactly, same
from inspect_core.rules_api import rules_in
from inspect_core.site import InputError

RULES = [rule for module in (tile_buildup, backer, tile_finish, underlayment) for rule in rules_in(module)]


def inches(low: float, high: float) -> st.SearchStrategy[str]:
    """A length in 1/16 in."""
    return st.integers(round(low * 16), round(high * 16)).map(lambda n: f"{n / 16} in")


def panel(draw: st.DrawFn) -> Data:
    return {
        "kind": "panel",
        "material": draw(st.sampled_from(["plywood", "osb", "particleboard", "lauan"])),
        "thickness": draw(inches(0.25, 1.25)),
        "bond": draw(st.sampled_from(["interior", "exposure-1", "exterior"])),
        "gap": draw(inches(0, 0.25)),
        "wall_gap": draw(inches(0, 0.5)),
        "end_stagger": draw(st.integers(0, 2)),
        "edge_offset": draw(inches(0, 12)),
        "end_offset": draw(inches(0, 40)),
        "fasteners": {"into": draw(st.sampled_from(["joists", "first-layer"]))},
    }


def board(draw: st.DrawFn) -> Data:
    return {
        "kind": "backer",
        "material": draw(st.sampled_from(["cement-board", "gypsum"])),
        "standard": draw(st.sampled_from(["ASTM C1325", "ASTM C1178", "ASTM C1396"])),
        "thickness": "0.25 in",
        "bedded": draw(st.booleans()),
        "trowel": draw(st.sampled_from(["1/8 in", "1/4 in x 1/4 in"])),
        "gap": draw(inches(0, 0.25)),
        "wall_gap": draw(inches(0, 0.25)),
        "edge_offset": draw(inches(0, 12)),
        "end_offset": draw(inches(0, 12)),
        "end_stagger": draw(st.integers(0, 2)),
        "fasteners": {
            "kind": draw(st.sampled_from(["backer-screw", "drywall-screw"])),
            "edges": draw(inches(4, 12)),
            "field": draw(inches(4, 12)),
            "edge_distance": draw(inches(0.25, 1)),
        },
    }


def between(draw: st.DrawFn) -> Data:
    """Something that lies between the wood and the tile, or ought not to."""
    kind = draw(st.sampled_from(["backer", "uncoupling", "membrane", "felt", "mortar-bed", "resilient", "thin-set"]))
    if kind == "backer":
        return board(draw)
    standard = draw(st.sampled_from(["ANSI A118.10", "ANSI A118.12", "ASTM D226", "ANSI A118.4"]))
    thickness = draw(inches(0.0625, 3))
    return {"kind": kind, "thickness": thickness, "standard": standard, "waterproof": draw(st.booleans())}


@st.composite
def sites(draw: st.DrawFn) -> Data:
    layers = [panel(draw) for _ in range(draw(st.integers(1, 2)))]
    layers += [between(draw) for _ in range(draw(st.integers(0, 2)))]
    layers.append(
        {"kind": "thin-set", "thickness": "0.125 in", "standard": draw(st.sampled_from(["A118.4", "A118.11"]))}
    )
    tile: Data = {"kind": "tile", "thickness": "0.375 in", "coverage": f"{draw(st.integers(70, 100))} %"}
    tile |= {"material": draw(st.sampled_from(["ceramic", "marble"])), "tile_size": draw(st.sampled_from(SIZES))}
    tile |= {"movement_joints": draw(inches(48, 360)), "perimeter_joint": draw(inches(0, 0.5))}
    layers.append(tile)
    shower = {"id": "W1", "kind": "shower", "wall_height": draw(inches(40, 90))}
    if draw(st.booleans()):
        part = {"across": ["0 in", "30 in"], "along": ["0 in", "30 in"]}
        shower["region"] = part
        if draw(st.booleans()):
            layers.append({**tile, "region": part, "tile_size": "1 in x 1 in"})
    flange = {draw(st.sampled_from(["height_over_finish", "height_over_joists"])): draw(inches(-1, 3))}
    spacing = draw(st.sampled_from([12, 16, 19.2, 24, 30]))
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "new", "invented": True},
        "areas": [
            {
                "id": "floor",
                "use": draw(st.sampled_from(["bathroom", "hall"])),
                "finish": "ceramic-tile",
                "outline": f"{spacing * 3 + 1} in x {draw(st.sampled_from([96, 160]))} in",
                "joists_run": "north-south",
                "supports": [
                    {"id": "S1", "line": "sill", "at": "-5.5 in", "width": "5.5 in"},
                    {"id": "B1", "line": "beam", "at": "160 in", "width": "6 in"},
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [f"{0.5 + spacing * i} in" for i in range(4)],
                        "each": {"thickness": "1.5 in", "depth": "7.25 in"},
                    }
                ],
                "openings": [],
                "flatness": {
                    "over": draw(inches(60, 130)),
                    "deviation": draw(inches(0, 0.5)),
                    "short_over": draw(st.sampled_from(["12 in", "24 in"])),
                    "short_deviation": draw(inches(0, 0.25)),
                },
                "wet_areas": draw(st.sampled_from([[], [shower]])),
                "thresholds": [
                    {
                        "id": "door",
                        "next_floor_height": draw(inches(0, 4)),
                        "transition": draw(st.sampled_from(["none", "reducer", "saddle", "ramp"])),
                        "accessible": draw(st.booleans()),
                    }
                ],
                "fixtures": [{"id": "T1", "kind": "toilet", "flange": flange}],
                "layers": layers,
            }
        ],
    }


SIZES = ("2 in x 2 in", "12 in x 12 in", "6 in x 24 in")

# What says that something is there is no measurement, and layers are told apart by their number.
FACTS = {"id", "name", "from", "to", "at", "each", "joists", "openings", "layers", "supports"}
FACTS |= {"wet_areas", "thresholds", "fixtures", "region"}


def measurements(area: Data) -> list[Path]:
    """Paths of every measurement that may be taken out."""
    return [path for path in forgotten(area, FACTS) if path[-1] != "kind" or path[0] == "layers"]


@settings(max_examples=10, deadline=None)
@given(site=sites())
def test_units_make_no_difference(answers: Answering, site: Data) -> None:
    assert answers(metric_texts(site)) == answers(site)


@settings(max_examples=10, deadline=None)
@given(site=sites())
def test_order_of_joists_and_supports_makes_no_difference(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    area["supports"].reverse()
    group = area["joists"][0]
    group["also"] = {f"K{i}": {"at": place} for i, place in enumerate(reversed(group["at"]))}
    group["at"] = []
    assert answers(turned) == answers(site)


@settings(max_examples=40, deadline=None)
@given(site=sites(), data=st.data())
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Data, data: st.DataObject) -> None:
    path = ("areas", 0, *data.draw(st.sampled_from(sorted(measurements(site["areas"][0]), key=str))))
    less = put(site, path, "unknown") if path[-1] == "kind" else without(site, path)
    try:
        after = answers(less)
    except InputError:
        return  # the file needs it: nothing is claimed at all
    nothing_gained(answers(site), after)


def times(site: Data, path: Path, factor: float) -> Data:
    """The site with one measurement of its area times a factor."""
    whole = ("areas", 0, *path)
    changed: Data = put(site, whole, scaled(at(site, whole), factor))
    return changed


SMALLER_IS_WORSE = {
    "gap": ("panel-gap", "backer-gap"),
    "wall_gap": ("panel-wall-gap", "backer-wall-gap"),
    "edge_offset": ("underlayment-edge-offset", "backer-offset"),
    "end_offset": ("underlayment-end-offset", "backer-offset"),
    "coverage": ("mortar-coverage",),
    "perimeter_joint": ("perimeter-joint", "tile-soft-edge"),
    "wall_height": ("wet-wall-height",),
    "over": ("flatness",),
}
LARGER_IS_WORSE = {
    "deviation": ("flatness",),
    "short_deviation": ("flatness-short",),
    "movement_joints": ("movement-joints",),
    "edges": ("backer-fastener-spacing",),
    "field": ("backer-fastener-spacing",),
}


def risen(before: Answers, after: Answers, rules: tuple[str, ...]) -> list[tuple[str, str]]:
    """What fell short by one of these rules, and meets now."""
    return [k for k, o in after.items() if k[0] in rules and o == "meets" and before.get(k) == "falls-short"]


def measured(area: Data, name: str) -> list[Path]:
    return [path for path in measurements(area) if path[-1] == name and isinstance(at(area, path), str)]


@settings(max_examples=10, deadline=None)
@given(site=sites(), share=st.floats(0.2, 0.99))
def test_worse_is_no_better(answers: Answering, site: Data, share: float) -> None:
    before = answers(site)
    for table, factor in ((SMALLER_IS_WORSE, share), (LARGER_IS_WORSE, 1 / share)):
        for name, rules in table.items():
            for path in measured(site["areas"][0], name)[:2]:
                after = answers(times(site, path, factor))
                better = [
                    k for k, o in after.items() if k[0] in rules and o == "meets" and before.get(k) == "falls-short"
                ]
                assert better == [], path


@settings(max_examples=25, deadline=None)
@given(site=sites(), share=st.floats(0.2, 0.99), wider=st.floats(1, 2))
def test_thinner_wood_and_wider_bays_are_no_better(answers: Answering, site: Data, share: float, wider: float) -> None:
    rules = ("tile-base-thickness", "backer-subfloor", "backer-joist-spacing")
    before = answers(site)
    thin = times(site, ("layers", 0, "thickness"), share)
    wide = copy.deepcopy(site)
    area = wide["areas"][0]
    area["joists"][0]["at"] = [f"{float(place.split()[0]) * wider} in" for place in area["joists"][0]["at"]]
    width, length = area["outline"].split(" x ")
    area["outline"] = f"{float(width.split()[0]) * wider} in x {length}"
    for after in (answers(thin), answers(wide)):
        assert risen(before, after, rules) == []


@pytest.mark.parametrize(
    ("text", "inches_deep"),
    [
        ("1/4 x 1/4 square", 0.25),
        ("1/4 x 3/8 square notch", 0.25),
        ("1/2", 0.5),
        ('1/4" x 1/4"', 0.25),
        ("1/4 in by 1/4 in", 0.25),
        ("6 mm", 6 / 25.4),
        ("8 x 10 mm", 8 / 25.4),
    ],
)
def test_notches_are_read_as_people_write_them(text: str, inches_deep: float) -> None:
    found = backer.notch(text)
    assert found is not None
    assert same(found, exactly(inches_deep, Dimension.LENGTH))


@pytest.mark.parametrize("text", [None, "", "the blue one", "square", "unknown"])
def test_an_unreadable_notch_is_unknown(text: str | None) -> None:
    assert backer.notch(text) is None


def test_a_site_that_says_nothing_gains_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
