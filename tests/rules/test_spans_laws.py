"""Laws of the rules that calculate (joists, beams, openings, posts, piers, footings), whatever the numbers are."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import footings, girders, openings, piers, posts, spans
from laws import Answering, Data, forgotten, never_better, nothing_gained, only_asks, without

from inspect_core.rules_api import rules_in

RULES = [rule for module in (spans, girders, openings, posts, piers, footings) for rule in rules_in(module)]
TOP = {
    "ceramic-tile": {"kind": "tile", "material": "ceramic", "weight": "5 psf"},
    "natural-stone": {"kind": "tile", "material": "natural-stone", "weight": "9 psf"},
    "resilient": {"kind": "resilient", "weight": "1 psf"},
}
SIZES = ["2x6", "2x8", "2x10", "2x12"]


def maybe(draw: st.DrawFn, strategy: st.SearchStrategy[Any], chance: float = 0.25) -> Any:
    """A value, or nothing known."""
    return "unknown" if draw(st.floats(0, 1)) < chance else draw(strategy)


@st.composite
def members(draw: st.DrawFn) -> Data:
    """Wood of some kind, known to some degree."""
    return {
        "size": draw(st.sampled_from(SIZES)),
        "sizes": maybe(draw, st.sampled_from(["nominal", "true-dimension"])),
        "kind": "sawn",
        "species": maybe(draw, st.sampled_from(["douglas-fir-larch", "hem-fir", "southern-pine", "spruce-pine-fir"])),
        "grade": maybe(draw, st.sampled_from(["No.2", "No.3"])),
        "moisture": maybe(draw, st.integers(8, 30)),
        "condition": [],
        "holes": [],
        "notches": [],
    }


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """A floor on a sill and a beam on piers, with a tub, a wall, a notch and a hole here and there."""
    spacing, count = draw(st.integers(10, 26)), draw(st.integers(3, 5))
    along = draw(st.integers(80, 200))
    width = spacing * (count - 1)
    finish = draw(st.sampled_from(list(TOP)))
    bed = [{"kind": "mortar-bed", "weight": f"{draw(st.integers(6, 30))} psf"}] if draw(st.booleans()) else []
    joist = {**draw(members()), "bearing": {"S1": 3, "B1": 3}, "cuts": [], "sisters": []}
    beam = {**draw(members()), "plies": draw(st.integers(1, 4)), "id": "B1", "line": "beam", "rests_on": "piers",
            "at": along,
            "splices": [], "connectors": "straps"}  # fmt: skip
    flaws: Data = {}
    if draw(st.booleans()):
        flaws["notches"] = [{"from": "S1", "at": draw(st.integers(0, along - 8)), "depth": draw(st.integers(1, 16)) / 8,
                             "length": 3, "edge": draw(st.sampled_from(["top", "bottom"]))}]  # fmt: skip
    if draw(st.booleans()):
        flaws["holes"] = [{"from": "S1", "at": draw(st.integers(4, along - 4)),
                           "diameter": draw(st.integers(4, 24)) / 8,
                           "wood_above": 1.5}]  # fmt: skip
    if draw(st.booleans()):
        flaws["condition"] = [{"kind": "rot", "from": "S1", "at": draw(st.integers(0, along // 2)), "length": 10,
                               "depth_left": draw(st.integers(20, 44)) / 8}]  # fmt: skip
    area: Data = {
        "id": "a",
        "use": draw(st.sampled_from(["bathroom", "bedroom"])),
        "finish": finish,
        "corners": [[0, 0], [width, 0], [width, along], [0, along]],
        "joists_run": "north-south",
        "supports": [{"id": "S1", "line": "sill", "rests_on": "masonry", "at": -5.5, "width": 5.5}, beam],
        "joists": [{"name": "J", "from": "S1", "to": "B1", "at": [spacing * n for n in range(count)], "each": joist,
                    "but": {"J2": flaws}}],
        "layers": [{"kind": "panel", "weight": "2 psf"}, *bed, TOP[finish]],
        "fixtures": [],
        "partitions": [],
        "openings": [],
        "posts": [],
        "piers": [
            {"id": f"P{n}", "under": "B1", "at": at, "material": "block-filled", "width": 12, "length": 12,
             "height": 24, "cap": 4,
             "rests_on": f"F{n}", "condition": []}
            for n, at in enumerate([0, width])
        ],
        "footings": [{"id": f"F{n}", "shape": "square", "width": draw(st.integers(12, 24)), "thickness": 8, "depth": 14,
                      "material": "concrete"} for n in range(2)],
        "soil": {"kind": maybe(draw, st.sampled_from(["clay", "sand", "gravel"]))},
    }  # fmt: skip
    if draw(st.booleans()):
        area["fixtures"] = [{"id": "T", "kind": "tub", "at": [width / 2, along / 2], "extent": "30 x 60",
                             "weight": "300 lb",
                             "contents": draw(st.integers(30, 60))}]  # fmt: skip
        area["corners"] = [[0, 0], [max(width, 40), 0], [max(width, 40), along], [0, along]]
    if draw(st.booleans()):
        area["partitions"] = [{"id": "W", "runs": draw(st.sampled_from(["along-joists", "across-joists"])),
                               "at": draw(st.integers(1, min(width, along) - 1)), "height": 96,
                               "weight": "10 psf", "bearing": True,
                               "carries": f"{draw(st.integers(1, 300))} plf"}]  # fmt: skip
    return {"format": 1, "units": "in", "site": {"name": "laws", "invented": True}, "areas": [area]}


def each_joist(site: Data) -> Data:
    found: Data = site["areas"][0]["joists"][0]["each"]
    return found


def flawed(site: Data) -> Data:
    found: Data = site["areas"][0]["joists"][0]["but"]["J2"]
    return found


def longer(site: Data) -> None:
    area = site["areas"][0]
    area["supports"][1]["at"] += 9
    for corner in area["corners"][2:]:
        corner[1] += 9


def wider(site: Data) -> None:
    """The same joists, a fifth farther apart."""
    area = site["areas"][0]
    area["joists"][0]["at"] = [place * 1.2 for place in area["joists"][0]["at"]]
    for corner in area["corners"]:
        corner[0] *= 1.2
    for pier in area["piers"]:
        pier["at"] *= 1.2
    area["fixtures"], area["partitions"] = [], []


def deeper_notch(site: Data) -> None:
    for notch in flawed(site).get("notches", []):
        notch["depth"] += 1


def bigger_hole(site: Data) -> None:
    for hole in flawed(site).get("holes", []):
        hole["diameter"] += 0.5
        hole["wood_above"] -= 0.25  # about the same centre


def more_rot(site: Data) -> None:
    for one in flawed(site).get("condition", []):
        one["depth_left"] -= 1
        one["length"] += 6


def wetter(site: Data) -> None:
    for member in (each_joist(site), site["areas"][0]["supports"][1]):
        if member["moisture"] != "unknown":
            member["moisture"] += 8


def heavier(site: Data) -> None:
    area = site["areas"][0]
    area["layers"].append({"kind": "mortar-bed", "weight": "14 psf"})


def fuller(site: Data) -> None:
    for fixture in site["areas"][0]["fixtures"]:
        fixture.update(weight="500 lb", contents=90)
    for partition in site["areas"][0]["partitions"]:
        partition["carries"] = "400 plf"


def smaller_footing(site: Data) -> None:
    for footing in site["areas"][0]["footings"]:
        footing["width"] -= 2


def weaker(site: Data) -> None:
    for member in (each_joist(site), site["areas"][0]["supports"][1]):
        if member["grade"] == "No.2":
            member["grade"] = "No.3"


WORSE = [longer, wider, deeper_notch, bigger_hole, more_rot, wetter, heavier, fuller, smaller_footing, weaker]
BEFORE_WIDER = {"fixtures": [], "partitions": []}


@pytest.mark.parametrize("worsen", WORSE, ids=lambda f: f.__name__)
@settings(max_examples=8, deadline=None)
@given(site=sites())
def test_worse_never_turns_falls_short_into_meets(
    answers: Answering, worsen: Callable[[Data], None], site: Data
) -> None:
    if worsen is wider:
        site["areas"][0].update(copy.deepcopy(BEFORE_WIDER))
    worse = copy.deepcopy(site)
    worsen(worse)
    never_better(answers(site), answers(worse))


KEPT = ("id", "name", "format", "units", "site", "kind", "areas", "layers", "but", "J2", "B1", "plies")
"""What can't be left out without saying something else: an exception falls back to what all joists share, and a size
without plies is one piece."""


@settings(max_examples=40, deadline=None)
@given(site=sites(), data=st.data())
def test_leaving_out_a_measurement_never_turns_anything_into_meets(
    answers: Answering, site: Data, data: st.DataObject
) -> None:
    path = data.draw(st.sampled_from([p for p in forgotten(site["areas"][0], KEPT) if p[-2:-1] != ("J2",)]))
    try:
        after = answers(without(site, ("areas", 0, *path)))
    except Exception as error:
        assert type(error).__name__ == "InputError", error  # a field that the description can't do without
        return
    nothing_gained(answers(site), after)


def in_millimetres(site: Data) -> Data:
    """The same site as a file in millimetres."""
    lengths = {
        "at",
        "width",
        "length",
        "depth",
        "thickness",
        "diameter",
        "wood_above",
        "height",
        "cap",
        "depth_left",
        "S1",
        "B1",
    }

    def turned(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {k: turned(v, k) for k, v in value.items()}
        if isinstance(value, list):
            return [turned(v, "at" if key in ("corners", "at") else key) for v in value]
        if key in lengths and isinstance(value, int | float):
            return value * 25.4
        if key == "extent":
            return "762 x 1524"
        return value

    found: Data = turned(copy.deepcopy(site))
    found["units"] = "mm"
    area = found["areas"][0]
    for member in (each_joist(found), area["supports"][1]):
        member["size"] += " in"
    if area["fixtures"]:
        area["fixtures"][0].update(weight="300 lb", contents=f"{area['fixtures'][0]['contents']} gal")
    return found


@settings(max_examples=10, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_give_the_same_outcomes(answers: Answering, site: Data) -> None:
    assert answers(in_millimetres(site)) == answers(site)


@settings(max_examples=10, deadline=None)
@given(site=sites(), data=st.data())
def test_the_order_of_members_changes_nothing(answers: Answering, site: Data, data: st.DataObject) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    for name in ("supports", "layers", "piers", "footings", "fixtures"):
        area[name] = data.draw(st.permutations(area[name]))
    assert answers(turned) == answers(site)


def test_the_smallest_site_meets_nothing_and_asks_for_everything(answers: Answering) -> None:
    only_asks(answers, RULES)
