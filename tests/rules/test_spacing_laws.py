"""Laws of the rules on bays, panel spans and floor edges: what must hold whatever the numbers are."""

from __future__ import annotations

import copy
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import spacing, subfloor_edges
from inspect_wood_floor._layering import stamped_rating
from laws import (
    Answering,
    Data,
    at,
    forgotten,
    metric_texts,
    never_better,
    nothing_gained,
    only_asks,
    put,
    without,
)

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import rules_in
from inspect_core.site import InputError

RULES = [rule for module in (spacing, subfloor_edges) for rule in rules_in(module)]


def inches(low: float, high: float) -> st.SearchStrategy[str]:
    """A length in 1/16 in."""
    return st.integers(round(low * 16), round(high * 16)).map(lambda n: f"{n / 16} in")


# Sheets whose stamp and thickness agree: a site that contradicts itself has no law to keep.
SHEETS = (
    {"material": "osb", "thickness": "0.4375 in", "rating": "24/16"},
    {"material": "plywood", "thickness": "0.46875 in", "rating": "32/16"},
    {"material": "osb", "thickness": "0.59375 in", "rating": "20oc"},
    {"material": "plywood", "thickness": "0.59375 in", "rating": "40/20"},
    {"material": "osb", "thickness": "0.71875 in", "rating": "48/24"},
    {"material": "plywood", "thickness": "0.875 in", "rating": "32oc"},
)
JOINTS = ["tongue-and-groove", "square", "blocked"]


@st.composite
def base(draw: st.DrawFn) -> Data:
    layer: Data = {"fasteners": {"kind": "screw", "edges": draw(inches(4, 9)), "field": "12 in"}}
    layer["ends_land_on"] = draw(st.sampled_from(["joists", "blocking", "nothing"]))
    layer["joints"] = draw(st.sampled_from(JOINTS))
    layer["spans_crossed"] = draw(st.integers(1, 4))
    if draw(st.booleans()):
        layer |= {"kind": "boards", "thickness": draw(inches(0.5, 1.6))}
        layer["board_direction"] = draw(st.sampled_from(["perpendicular", "diagonal"]))
    else:
        layer |= {"kind": "panel", **draw(st.sampled_from(SHEETS)), "narrowest": draw(inches(10, 48))}
        layer["strong_axis"] = draw(st.sampled_from(["across-joists", "along-joists"]))
    return layer


@st.composite
def sites(draw: st.DrawFn) -> Data:
    # No face lies exactly on another's: which side of it rounding falls on is not what is asked here.
    places = [draw(st.sampled_from([0.5, 1.0, 8.0, 20.0]))]
    for _ in range(draw(st.integers(1, 4))):
        places.append(places[-1] + draw(st.integers(64, 640)) / 16)
    end = places[-1] + draw(st.sampled_from([0.5, 1.25, 10.0]))
    stated = [{"wall": wall} for wall in ("south", "north")]
    for edge in stated:
        edge["landing"] = draw(st.sampled_from(["rim", "cleat", "none"]))
        edge["width"] = draw(inches(0, 1.5))
        edge["fasteners"] = {"spacing": draw(inches(3, 9))}
    opening = {
        "id": "O1",
        "across": [f"{places[0] + 1} in", f"{places[1] - 1} in"],
        "along": ["20 in", "60 in"],
        "plan": draw(st.sampled_from(["stays-open", "floored-over"])),
        "framed": draw(st.sampled_from(["headers-and-trimmers", "not-framed"])),
    }
    finish = draw(st.sampled_from(["ceramic-tile", "wood"]))
    over = draw(st.sampled_from(["panel", "backer" if finish == "ceramic-tile" else "wood-floor"]))
    upper = {"kind": over, "thickness": draw(inches(0.125, 1))}
    upper |= {"edge_offset": draw(inches(0, 12)), "board_direction": "perpendicular"}
    if upper["kind"] == "panel":
        upper |= draw(st.sampled_from(SHEETS)) | {"strong_axis": "across-joists"}
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "new", "invented": True},
        "areas": [
            {
                "id": "floor",
                "outline": f"{end} in x 96 in",
                "joists_run": "north-south",
                "finish": finish,
                "supports": [
                    {"id": "S1", "line": "sill", "at": "-5.5 in", "width": "5.5 in"},
                    {"id": "B1", "line": "beam", "at": "96 in", "width": "6 in"},
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [],
                        "each": {"thickness": "1.5 in", "depth": "7.25 in"},
                        "also": {f"K{i}": {"at": f"{place} in"} for i, place in enumerate(places)},
                    }
                ],
                "openings": draw(st.sampled_from([[], [opening]])),
                "edges": stated,
                "layers": [draw(base()), *draw(st.sampled_from([[], [upper]]))],
            }
        ],
    }


# What says that something is there or is of a kind is no measurement: without it the site is another one.
FACTS = {
    "id",
    "name",
    "from",
    "to",
    "also",
    "each",
    "wall",
    "kind",
    "joists",
    "openings",
    "edges",
    "layers",
    "supports",
}


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_units_make_no_difference(answers: Answering, site: Data) -> None:
    assert answers(metric_texts(site)) == answers(site)


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_order_in_the_file_makes_no_difference(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    group = area["joists"][0]
    group["also"] = dict(reversed(group["also"].items()))
    area["edges"].reverse()
    area["supports"].reverse()
    assert answers(turned) == answers(site)


@settings(max_examples=25, deadline=None)
@given(site=sites(), data=st.data())
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Data, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(sorted(forgotten(site["areas"][0], FACTS), key=str)))
    less = {**site, "areas": [without(site["areas"][0], path)]}
    try:
        after = answers(less)
    except InputError:
        return  # the file needs it: nothing is claimed at all
    nothing_gained(answers(site), after)


def worse(site: Data, path: str, change: Callable[[float], float]) -> Data:
    """The site with one length changed."""
    steps = ("areas", 0, *(int(step) if step.isdigit() else step for step in path.split("/")))
    number, unit = at(site, steps).split()
    changed: Data = put(site, steps, f"{change(float(number))} {unit}")
    return changed


@settings(max_examples=25, deadline=None)
@given(site=sites(), more=st.integers(1, 160))
def test_a_wider_bay_is_no_better(answers: Answering, site: Data, more: int) -> None:
    """The last joist and the wall behind it move away from the others."""
    wide = copy.deepcopy(site)
    area = wide["areas"][0]
    last = max(area["joists"][0]["also"].values(), key=lambda joist: float(joist["at"].split()[0]))
    last["at"] = f"{float(last['at'].split()[0]) + more / 8} in"
    width, length = area["outline"].split(" x ")
    area["outline"] = f"{float(width.split()[0]) + more / 8} in x {length}"
    never_better(answers(site), answers(wide))


@settings(max_examples=25, deadline=None)
@given(site=sites(), share=st.floats(0.3, 0.99))
def test_thinner_narrower_and_looser_are_no_better(answers: Answering, site: Data, share: float) -> None:
    before = answers(site)
    shrinking = ["edges/0/width", "edges/1/width"]
    layer = site["areas"][0]["layers"][0]
    shrinking += ["layers/0/thickness"] if layer["kind"] == "boards" else ["layers/0/narrowest"]
    for path in shrinking:
        never_better(before, answers(worse(site, path, lambda x: x * share)))
    for path in ("edges/0/fasteners/spacing", "layers/0/fasteners/edges"):
        never_better(before, answers(worse(site, path, lambda x: x / share)))


@pytest.mark.parametrize(
    ("stamp", "rating"),
    [
        ("24oc", "24oc"),
        ("24 OC", "24oc"),
        ("24 o.c.", "24oc"),
        ('24" o.c.', "24oc"),
        ("24 in o/c", "24oc"),
        ("RATED 48/24", "48/24"),
        ("48 / 24", "48/24"),
        ("24 oc 23/32", "24oc"),
        ("32/16 15/32", "32/16"),
        ("23/32", None),
        ("24", None),
        ("25oc", None),
        ("24oc 48/24", None),
        ("", None),
        ("PS 1-09", None),
    ],
)
def test_stamps_are_read_as_people_copy_them(packs: LoadedPacks, stamp: str, rating: str | None) -> None:
    known = stack(packs.packs).limits.keys("panel-span")
    assert stamped_rating(stamp, known) == rating


def test_a_site_that_says_nothing_gains_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
