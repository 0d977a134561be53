"""Laws of the rules about joist ends, hangers, laps and sills: what must hold whatever the numbers are."""

from __future__ import annotations

import copy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import bearing, hangers, laps, sills
from laws import (
    Answering,
    Checking,
    Data,
    Path,
    at,
    leaves,
    metric,
    never_better,
    nothing_gained,
    only_asks,
    put,
    without,
)

from inspect_core.rules_api import rules_in

RULES = [rule for module in (bearing, hangers, laps, sills) for rule in rules_in(module)]

lengths = st.integers(0, 48).map(lambda n: n / 8)
maybe = lengths | st.none()


def fasteners(draw: st.DrawFn) -> Data:
    return {
        "count": draw(st.integers(1, 6)),
        "name": draw(st.sampled_from(["8d box", "10d box", "10d common", "16d", "16d box", "16d common"])),
        "filled": draw(st.booleans()),
    }


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """Two joists over a sill and a beam, and one from the beam on; a post under the beam."""
    wood = draw(st.sampled_from(["wood", "masonry", "steel"]))
    hung = {
        "by": draw(st.sampled_from(["hanger", "ledger-strip", "ribbon", "nails-only", "nothing"])),
        "model": "example-1",
        "rated_load": f"{draw(st.integers(200, 2000))} lb",
        "seat": draw(lengths),
        "strip_size": draw(st.sampled_from(["1x4", "2x2", "2x4"])),
        "fasteners": fasteners(draw),
    }
    sister = {
        "thickness": 1.5,
        "depth": 7.25,
        "full_length": draw(st.booleans()),
        "bearing": {"S1": draw(lengths), "B1": draw(lengths)},
        "fasteners": {"kind": "nail"},
    }
    timber = {"thickness": 1.5, "depth": 7.25, "kind": "sawn", "species": "hem-fir", "moisture": 14}
    first = {**timber, "bearing": {"S1": draw(lengths), "B1": draw(lengths)}, "condition": []}
    first["sisters"] = draw(st.sampled_from([[], [sister]]))
    first["joints"] = {
        "B1": {
            "kind": draw(st.sampled_from(["lap", "butt", "splice"])),
            "length": draw(lengths),
            "splice_material": "2x8",
            "fasteners": fasteners(draw),
        }
    }
    second = {**timber, "bearing": {"S1": draw(lengths)}, "hung": {"B1": hung}, "sisters": [], "condition": []}
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "existing", "invented": True},
        "areas": [
            {
                "id": "floor",
                "use": draw(st.sampled_from(["bathroom", "bedroom"])),
                "outline": "60 in x 200 in",
                "joists_run": "north-south",
                "fixtures": [],
                "partitions": [],
                "supports": [
                    {
                        "id": "S1",
                        "line": "sill",
                        "surface": wood,
                        "rests_on": draw(st.sampled_from(["masonry", "posts"])),
                        "at": -5.5,
                        "width": 5.5,
                        "sill_thickness": draw(lengths),
                        "sill_bearing_area": f"{draw(st.integers(20, 80))} sq in",
                    },
                    {
                        "id": "B1",
                        "line": "beam",
                        "surface": "wood",
                        "joists_sit": draw(st.sampled_from(["on-top", "flush"])),
                        "rests_on": "masonry",
                        "treated": False,
                        "at": 96,
                        "width": 6,
                        "pocket_gap": draw(lengths),
                        "splices": [draw(st.integers(0, 60))],
                    },
                    {"id": "S2", "line": "sill", "surface": "wood", "rests_on": "masonry", "at": 200, "width": 6},
                ],
                "posts": [{"id": "P1", "under": "B1", "at": 30, "thickness": 5.5, "depth": 5.5, "material": "wood"}],
                "joists": [
                    {"name": "J", "from": "S1", "to": "B1", "at": [], "also": {"J1": {"at": 16}, "J2": {"at": 40}}},
                    {"name": "K", "from": "B1", "to": "S2", "at": [17.5], "each": {**timber, "bearing": {"B1": 3}}},
                ],
            }
        ],
    } | {"_own": {"J1": first, "J2": second}}


def written(site: Data) -> Data:
    """The site with what the two joists have of their own put in its place."""
    whole = copy.deepcopy(site)
    for name, own in whole.pop("_own").items():
        whole["areas"][0]["joists"][0]["also"][name].update(own)
    return whole


LESS = [
    ("_own", "J1", "bearing", "S1"),
    ("_own", "J1", "bearing", "B1"),
    ("_own", "J1", "joints", "B1", "length"),
    ("_own", "J1", "joints", "B1", "fasteners", "count"),
    ("_own", "J2", "hung", "B1", "fasteners", "count"),
    ("areas", 0, "supports", 0, "sill_thickness"),
    ("areas", 0, "supports", 1, "pocket_gap"),
]


@settings(max_examples=25, deadline=None)
@given(site=sites(), path=st.sampled_from(LESS), share=st.sampled_from([0, 0.25, 0.5, 0.99]))
def test_less_bearing_lap_nails_or_sill_is_never_better(
    answers: Answering, site: Data, path: Path, share: float
) -> None:
    value = at(site, path)
    less = int(value * share) if isinstance(value, int) else value * share
    never_better(answers(written(site)), answers(written(put(site, path, less))))


@settings(max_examples=15, deadline=None)
@given(site=sites(), farther=st.integers(1, 60))
def test_a_beam_joint_farther_from_its_post_is_never_better(answers: Answering, site: Data, farther: int) -> None:
    beam = site["areas"][0]["supports"][1]
    place = beam["splices"][0]
    moved = place + farther if place >= 30 else place - farther
    changed = put(site, ("areas", 0, "supports", 1, "splices"), [moved])
    never_better(answers(written(site)), answers(written(changed)))


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_a_heavier_use_or_a_wider_room_is_never_better(answers: Answering, site: Data) -> None:
    light = put(site, ("areas", 0, "use"), "bedroom")
    heavy = put(site, ("areas", 0, "use"), "bathroom")
    wide = put(heavy, ("areas", 0, "outline"), "100 in x 200 in")
    never_better(answers(written(light)), answers(written(heavy)))
    never_better(answers(written(heavy)), answers(written(wide)))


KEPT = ("format", "units", "site", "id", "name", "from", "to", "line", "under", "by", "kind")


@settings(max_examples=40, deadline=None)
@given(site=sites(), pick=st.integers(0, 10_000))
def test_leaving_a_measurement_out_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    paths = sorted((path for path in leaves(site, KEPT) if isinstance(path[-1], str)), key=str)
    path = paths[pick % len(paths)]
    nothing_gained(answers(written(site)), answers(written(without(site, path))))


LENGTHS = [
    "at",
    "thickness",
    "depth",
    "width",
    "length",
    "seat",
    "S1",
    "B1",
    "sill_thickness",
    "pocket_gap",
]  # keys that hold lengths in these sites


@settings(max_examples=25, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    whole = written(site)
    assert answers(metric(whole, (*LENGTHS, "splices").__contains__)) == answers(whole)


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_the_order_of_members_changes_nothing(answers: Answering, site: Data) -> None:
    whole = written(site)
    turned = copy.deepcopy(whole)
    area = turned["areas"][0]
    area["supports"].reverse()
    area["joists"].reverse()
    also = area["joists"][1]["also"]
    area["joists"][1]["also"] = dict(reversed(also.items()))
    assert answers(turned) == answers(whole)


@pytest.mark.parametrize("rule", ["hanger-nailed", "hanger-load"])
def test_a_new_hanger_on_an_old_joist_is_new_work(checks: Checking, rule: str) -> None:
    hung = {"by": "hanger", "model": "example-1", "rated_load": "600 lb", "fasteners": {"kind": "nail", "filled": True}}
    joist = {"at": 16, "size": "2x8", "sizes": "nominal", "hung": {"B1": hung}}
    area = {
        "id": "floor",
        "supports": [{"id": "S1", "line": "sill", "at": -5.5}, {"id": "B1", "line": "beam", "at": 96, "width": 6}],
        "joists": [{"name": "J", "from": "S1", "to": "B1", "at": [], "also": {"J1": joist}}],
    }
    site = {"format": 1, "units": "in", "site": {"name": "Law bench", "work": "existing"}, "areas": [area]}
    key = (rule, "floor", "joist J1, north end on B1")
    assert getattr(checks(site)[key].subject, "work", None) == "existing"
    hung["work"] = "new"
    assert getattr(checks(site)[key].subject, "work", None) == "new"


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
