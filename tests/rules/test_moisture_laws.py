"""Laws of the rules about crawl space, damp wood and shower pans: what must hold whatever the numbers are."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import crawl_space, moisture, shower_pan
from laws import Answering, Data, at, leaves, metric, never_better, nothing_new, only_asks, put, scaled

from inspect_core.rules_api import rules_in

RULES = [rule for module in (crawl_space, moisture, shower_pan) for rule in rules_in(module)]


def some(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


yes_or_no = st.booleans()
readings = st.integers(5, 35)
lengths = st.integers(0, 48).map(lambda n: n / 2)


@st.composite
def spaces(draw: st.DrawFn) -> Data:
    film = {
        "kind": draw(some("polyethylene", "reinforced-sheet", "concrete", "gravel")),
        "retarder_class": draw(some("I", "II")),
        "thickness": f"{draw(st.integers(2, 20))} mil",
        "laps": draw(lengths),
        "wall_upturn": draw(lengths),
        "coverage": draw(some(0.5, 0.99, 1)),
        "sealed": draw(yes_or_no),
    }
    return {
        "kind": draw(some("vented", "vented", "unvented", "conditioned", "basement", "none")),
        "floor_area": f"{draw(st.integers(40, 200))} sq ft",
        "joist_clearance": draw(lengths),
        "beam_clearance": draw(lengths),
        "ground_cover": draw(some({"kind": "none"}, film)),
        "vents": [
            {
                "id": f"V{number}",
                "wall": draw(some("north", "south", "east", "west")),
                "net_area": f"{draw(st.integers(1, 80))} sq in",
                "from_corner": draw(lengths) * 3,
                "mesh": draw(some(0.125, 0.25, 0.5)),
                "blocked": draw(some(True, False, False, False)),
            }
            for number in range(draw(st.integers(0, 5)))
        ],
        "drying": draw(some("exhaust", "none")),
        "air": {"temperature": f"{draw(st.integers(35, 90))} F", "humidity": draw(st.integers(30, 100))},
        "standing_water": draw(yes_or_no),
        "leaks": draw(yes_or_no),
        "debris": draw(yes_or_no),
        "exhaust_ends_here": draw(yes_or_no),
        "outside_ground_higher": draw(yes_or_no),
        "access": f"{draw(st.integers(12, 30))} x {draw(st.integers(12, 36))}",
        "access_through": draw(some("floor", "wall")),
        "insulation": draw(some("none", "between-joists", "walls")),
        "insulation_retarder": draw(some("none", "top", "bottom", "both")),
        "insulation_retarder_class": draw(some("I", "II", "III")),
    }


@st.composite
def layers(draw: st.DrawFn) -> list[Data]:
    return [
        {
            "id": f"L{number}",
            "kind": draw(some("panel", "panel", "felt", "membrane", "vapor-retarder", "slip-sheet", "tile", "boards")),
            "material": draw(some("plywood", "polyethylene", "kraft")),
            "permeance": f"{draw(some(0.06, 0.5, 1, 5, 20))} perm",
            "moisture": draw(readings),
            "waterproof": draw(yes_or_no),
        }
        for number in range(draw(st.integers(0, 5)))
    ]


@st.composite
def showers(draw: st.DrawFn) -> list[Data]:
    return [
        {
            "id": f"W{number}",
            "kind": draw(some("shower", "shower", "wet-room", "tub-surround")),
            "curb": draw(st.integers(0, 20)) / 2,
            "floor_slope": f"{draw(st.integers(0, 10))}/16 per ft",
            "clamping_drain": draw(yes_or_no),
            "liner": {
                "kind": draw(some("pvc-sheet", "cpe-sheet", "hot-mop", "liquid", "none")),
                "standard": draw(some("ASTM D4551", "ANSI A118.10")),
                "thickness": f"{draw(st.integers(6, 60))} mil",
                "slope": f"{draw(st.integers(0, 6))}/16 per ft",
                "upturn": draw(st.integers(0, 8)) / 2,
                "lowest_fastener": draw(st.integers(-4, 8)) / 2,
            },
            "flood_test": {
                "depth": draw(st.integers(0, 6)) / 2,
                "held": f"{draw(some(5, 15, 600, 1440, 3000))} min",
                "result": draw(some("held", "held", "leaked", "not-done")),
            },
        }
        for number in range(draw(st.integers(0, 2)))
    ]


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """A room over a sill, a beam and a post, and a hall that may share its crawl space."""
    wood = {"treated": draw(yes_or_no), "work": "new"}
    hall: Data = {"id": "hall", "outline": "36 x 60", "layers": draw(layers())}
    hall["crawl_space"] = {"same_as": "bath"} if draw(yes_or_no) else draw(spaces())
    bath = draw(spaces())
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "invented": True},
        "place": {"climate_zone": draw(some("2A", "3A", "5A"))},
        "areas": [
            {
                "id": "bath",
                "outline": "96 x 120",
                "joists_run": "north-south",
                "finish": draw(some("ceramic-tile", "resilient")),
                "supports": [
                    {"id": "S1", "line": "sill", "rests_on": draw(some("masonry", "piers")), "at": 0, "width": 5.5,
                     "above_grade": draw(lengths), "moisture": draw(readings), **wood},
                    {"id": "B1", "line": "beam", "at": 114, "width": 5.5, "clearance": bath["beam_clearance"],
                     "moisture": draw(readings), **wood},
                ],
                "joists": [
                    {"name": "J", "from": "S1", "to": "B1", "at": [8, 24, 40],
                     "each": {"thickness": 1.5, "depth": 7.25, "moisture": draw(readings), "treated": draw(yes_or_no)},
                     "but": {"J2": {"moisture": draw(readings)}}},
                ],
                "posts": [
                    {"id": "P1", "under": "B1", "at": 48, "base_over_ground": draw(lengths), **wood,
                     **draw(some({"material": "steel-pipe"}, {"material": "wood", "moisture": draw(readings)}))},
                ],
                "layers": draw(layers()),
                "wet_areas": draw(showers()),
                "crawl_space": bath,
            },
            hall,
        ],
    }  # fmt: skip


KEPT = (
    "format",
    "units",
    "site",
    "id",
    "from",
    "to",
    "under",
    "at",
    "same_as",
    "line",
)  # a support is called by its line


#: Which way each measurement gets worse. Those that are best in the middle (curb, floor slope) are left out.
WORSE = {"net_area": -1, "from_corner": 1, "mesh": 1, "floor_area": 1, "laps": -1, "wall_upturn": -1, "coverage": -1,
         "joist_clearance": -1, "beam_clearance": -1, "clearance": -1, "above_grade": -1, "base_over_ground": -1,
         "moisture": 1, "humidity": 1, "permeance": -1, "slope": -1, "upturn": -1, "depth": -1, "held": -1,
         "thickness": -1}  # fmt: skip
#: Wetter panels may come nearer to their joists: that rule is about the difference.
NOT_ABOUT = ("panel-joist-moisture",)


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999), by=st.sampled_from([0.02, 0.3, 0.6]))
def test_wetter_lower_smaller_or_farther_is_never_better(answers: Answering, site: Data, pick: int, by: float) -> None:
    paths = [path for path in leaves(site, KEPT) if path[-1] in WORSE]
    path = paths[pick % len(paths)]
    worse = scaled(at(site, path), 1 + WORSE[str(path[-1])] * by)
    if path[-1] == "humidity":
        worse = min(worse, 100)
    before = {key: outcome for key, outcome in answers(site).items() if key[0] not in NOT_ABOUT}
    never_better(before, answers(put(site, path, worse)))


@settings(max_examples=30, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_a_vent_more_blocked_or_gone_is_never_better(answers: Answering, site: Data, pick: int) -> None:
    vents = site["areas"][0]["crawl_space"]["vents"]
    if not vents:
        return
    number = pick % len(vents)
    before = answers(site)
    never_better(before, answers(put(site, ("areas", 0, "crawl_space", "vents", number, "blocked"), True)))
    fewer = copy.deepcopy(site)
    del fewer["areas"][0]["crawl_space"]["vents"][number]
    never_better(before, answers(fewer))


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    before = answers(site)
    paths = list(leaves(site, KEPT))
    nothing_new(before, answers(put(site, paths[pick % len(paths)], "unknown")))


IN_INCHES = {"joist_clearance", "beam_clearance", "laps", "wall_upturn", "from_corner", "mesh", "width", "clearance"}
IN_INCHES |= {"upturn", "above_grade", "base_over_ground", "lowest_fastener", "curb", "depth", "at", "thickness"}


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    assert answers(metric(site, IN_INCHES.__contains__, ("outline", "access"))) == answers(site)


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_the_order_of_vents_supports_and_showers_changes_nothing(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    for members in (area["supports"], area["wet_areas"], area["crawl_space"]["vents"]):
        members.reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
