"""Laws of the rules about notches, holes, cuts and decay: what must hold whatever the numbers are."""

from __future__ import annotations

import copy

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import cuts, notch_bore, soundness
from laws import Answering, Data, Path, at, metric, never_better, nothing_gained, only_asks, put, removable, without

from inspect_core.rules_api import rules_in

RULES = [rule for module in (notch_bore, cuts, soundness) for rule in rules_in(module)]


eighths = st.integers(1, 40).map(lambda n: n / 8)
places = st.integers(0, 92)


def hole(draw: st.DrawFn) -> Data:
    whole = {
        "from": draw(st.sampled_from(["S1", "S2"])),
        "at": draw(places),
        "diameter": draw(st.integers(2, 28).map(lambda n: n / 8)),
    }
    # Hole and the wood beside it add up to no more than the joist.
    whole["wood_above"] = draw(st.integers(0, 24).map(lambda n: n / 8))
    return whole


def notch(draw: st.DrawFn) -> Data:
    where = draw(st.sampled_from([{"end_of": "S1"}, {"end_of": "S2"}, {"from": "S1"}, {"from": "S2"}]))
    if "from" in where:
        where = {**where, "at": draw(places)}
    return {**where, "depth": draw(eighths), "length": draw(eighths), "edge": draw(st.sampled_from(["top", "bottom"]))}


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """One joist with holes, notches, rot and perhaps a sister, and one that was cut through."""
    sister = {
        "thickness": 1.5,
        "depth": draw(st.sampled_from([5.5, 7.25, 9.25])),
        "full_length": draw(st.booleans()),
        "from": "S1",
        "begins": draw(st.integers(0, 40)),
        "ends": draw(st.integers(50, 96)),
        "bearing": {"S1": draw(eighths), "S2": draw(eighths)},
        "fasteners": {"kind": "nail"},
    }
    rot = {
        "kind": draw(st.sampled_from(["rot", "split", "insects", "checked"])),
        "from": "S1",
        "at": draw(places),
        "length": draw(st.integers(1, 40)),
        "depth_left": draw(st.integers(2, 7)),
        "probe": draw(st.sampled_from([0.125, 0.25, 0.5])),
        "mended": draw(st.booleans()),
    }
    first = {
        "at": 16,
        "thickness": draw(st.sampled_from([1.5, 3.5, 4])),
        "depth": draw(st.sampled_from([7.25, 9.25])),
        "kind": "sawn",
        "holes": [hole(draw) for _ in range(draw(st.integers(0, 3)))],
        "notches": [notch(draw) for _ in range(draw(st.integers(0, 2)))],
        "cuts": [],
        "sisters": draw(st.sampled_from([[], [sister]])),
        "condition": draw(st.sampled_from([[], [rot]])),
    }
    repair = {
        "kind": draw(st.sampled_from(["none", "scab", "sister", "headered", "designed"])),
        "header": "HD1",
        "size": draw(st.sampled_from(["2x6", "2x8"])),
        "sizes": "nominal",
        "bears_at_ends": draw(st.booleans()),
    }
    header = {"along": 40, "across": [draw(st.integers(20, 60)), 90], "thickness": 1.5, "hung": {"by": "hanger"}}
    second = {
        "at": 48,
        "thickness": 1.5,
        "depth": 7.25,
        "kind": draw(st.sampled_from(["sawn", "i-joist", "truss"])),
        "holes": [{"at": 20, "designed": draw(st.booleans())}],
        "notches": [],
        "cuts": [{"from": "S1", "at": 42, "gap": 6, "repair": repair}],
        "sisters": [],
        "condition": [],
    }
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "existing", "invented": True},
        "areas": [
            {
                "id": "floor",
                "outline": "96 in x 96 in",
                "joists_run": "north-south",
                "supports": [
                    {"id": "S1", "line": "sill", "surface": "wood", "at": -5.5, "width": 5.5, "condition": []},
                    {
                        "id": "S2",
                        "line": "beam",
                        "kind": "sawn",
                        "thickness": 5.5,
                        "depth": 7.5,
                        "surface": "wood",
                        "at": 96,
                        "width": 5.5,
                        "holes": [{"at": draw(places), "diameter": draw(eighths), "wood_above": 2.5}],
                        "notches": [{"at": draw(places), "depth": draw(eighths), "length": 2, "edge": "top"}],
                        "condition": [],
                    },
                ],
                "posts": [
                    {"id": "P1", "under": "S2", "at": 0, "thickness": 5.5, "depth": 5.5},
                    {"id": "P2", "under": "S2", "at": 96, "thickness": 5.5, "depth": 5.5},
                ],
                "openings": [
                    {"id": "O1", "headers": [{"id": "HD1", **header}, {"id": "HD2", **header, "along": 50}]},
                ],
                "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [], "also": {"J1": first, "J2": second}}],
            }
        ],
    }


FIRST = ("areas", 0, "joists", 0, "also", "J1")


@settings(max_examples=25, deadline=None)
@given(site=sites(), more=st.integers(1, 24).map(lambda n: n / 8))
def test_deeper_and_longer_notches_are_never_better(answers: Answering, site: Data, more: float) -> None:
    before = answers(site)
    for number, one in enumerate(at(site, FIRST)["notches"]):
        for key in ("depth", "length"):
            changed = put(site, (*FIRST, "notches", number, key), one[key] + more)
            never_better(before, answers(changed))


@settings(max_examples=25, deadline=None)
@given(site=sites(), more=st.integers(1, 12).map(lambda n: n / 8))
def test_a_larger_hole_round_the_same_centre_is_never_better(answers: Answering, site: Data, more: float) -> None:
    before = answers(site)
    for number, one in enumerate(at(site, FIRST)["holes"]):
        changed = put(site, (*FIRST, "holes", number, "diameter"), one["diameter"] + more)
        changed = put(changed, (*FIRST, "holes", number, "wood_above"), max(one["wood_above"] - more / 2, 0))
        never_better(before, answers(changed))


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_one_hole_more_never_mends_another(answers: Answering, site: Data) -> None:
    before = answers(site)
    holes = [*at(site, FIRST)["holes"], {"from": "S1", "at": 45, "diameter": 1, "wood_above": 2}]
    never_better(before, answers(put(site, (*FIRST, "holes"), holes)))


@settings(max_examples=20, deadline=None)
@given(site=sites(), less=st.integers(0, 6), longer=st.integers(1, 30))
def test_deeper_and_longer_rot_is_never_better(answers: Answering, site: Data, less: int, longer: int) -> None:
    if not at(site, FIRST)["condition"]:
        return
    rot = (*FIRST, "condition", 0)
    left = min(at(site, rot)["depth_left"], less)
    before = answers(site)
    never_better(before, answers(put(site, (*rot, "depth_left"), left)))
    never_better(before, answers(put(site, (*rot, "length"), at(site, rot)["length"] + longer)))


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_a_shallower_joist_is_never_better(answers: Answering, site: Data) -> None:
    """The holes' places are kept, and the wood below them goes.

    The clearance that the trade keeps from a bearing is the joist's own depth, so of a shallower joist less is asked.
    """
    changed = put(site, (*FIRST, "condition"), [])
    deep = answers(put(changed, (*FIRST, "depth"), 9.25))
    shallow = answers(put(changed, (*FIRST, "depth"), 7.25))
    never_better(deep, {key: outcome for key, outcome in shallow.items() if key[0] != "hole-clear-of-bearing"})


KEPT = ("format", "units", "site", "id", "name", "from", "to", "line", "under", "by", "areas", "joists", "across")


def whole(site: Data) -> list[Path]:
    """Measurements in the supports, the openings and the two joists."""
    area = site["areas"][0]
    found = [
        ("areas", 0, key, *rest)
        for key in ("supports", "posts", "openings")
        for rest in removable(area[key], KEPT, lists=True)
    ]
    also = area["joists"][0]["also"]
    found += [("areas", 0, "joists", 0, "also", *rest) for rest in removable(also, KEPT, lists=True)]
    # A place measured from a support whose own place is not known can't be read: the file is refused.
    return sorted((path for path in found if path[2] != "supports" or path[4:] != ("at",)), key=str)


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 10_000))
def test_leaving_a_measurement_out_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    paths = whole(site)
    path = paths[pick % len(paths)]
    # Where a kind must stand, people write that they don't know it.
    changed = put(site, path, "unknown") if path[-1] == "kind" else without(site, path)
    nothing_gained(answers(site), answers(changed))


LENGTHS = {
    *("at", "thickness", "depth", "width", "length", "diameter", "wood_above", "depth_left", "probe"),
    *("begins", "ends", "S1", "S2", "gap", "along", "across"),
}  # keys that hold lengths in these sites


@settings(max_examples=25, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    assert answers(metric(site, LENGTHS.__contains__)) == answers(site)


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_the_order_of_members_changes_nothing(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    area["supports"].reverse()
    area["posts"].reverse()
    area["openings"][0]["headers"].reverse()
    area["joists"][0]["also"] = dict(reversed(area["joists"][0]["also"].items()))
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
