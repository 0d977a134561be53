"""Laws of the rules on bays, panel spans and floor edges: what must hold whatever the numbers are."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import spacing, subfloor_edges

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import rules_in
from inspect_core.site import InputError, site_from_text

RULES = [rule for module in (spacing, subfloor_edges) for rule in rules_in(module)]
OPEN = ("falls-short", "not-measured")
Tree = dict[str, Any]
Answers = dict[tuple[str, str], str]
Answering = Callable[[Tree], Answers]


@pytest.fixture(scope="module")
def answers(packs: LoadedPacks) -> Answering:
    """Outcome by rule and subject; no subject is answered twice by one rule."""
    limits = stack(packs.packs).limits

    def answer(site: Tree) -> Answers:
        found: Answers = {}
        for area in site_from_text(json.dumps(site)).areas:
            for rule in RULES:
                for one in rule.function(area, limits):
                    assert (rule.id, one.subject.name) not in found
                    found[rule.id, one.subject.name] = one.outcome
        return found

    return answer


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
def base(draw: st.DrawFn) -> Tree:
    layer: Tree = {"fasteners": {"kind": "screw", "edges": draw(inches(4, 9)), "field": "12 in"}}
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
def sites(draw: st.DrawFn) -> Tree:
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


def metric(site: Tree) -> Tree:
    """The same site written in millimetres."""
    text = re.sub(r"(-?[\d.]+) in\b", lambda m: f"{float(m[1]) * 25.4:.6f} mm", json.dumps(site))
    found: Tree = json.loads(text)
    return {**found, "units": "mm"}


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


def forgotten(tree: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Paths of every measurement that may be taken out."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            if key not in FACTS:
                yield (*path, key)
            yield from forgotten(value, (*path, key))
    elif isinstance(tree, list):
        for i, value in enumerate(tree):
            yield from forgotten(value, (*path, i))


def without(site: Tree, path: tuple[str | int, ...]) -> Tree:
    found = copy.deepcopy(site)
    here: Any = found
    for step in path[:-1]:
        here = here[step]
    del here[path[-1]]
    return found


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_units_make_no_difference(answers: Answering, site: Tree) -> None:
    assert answers(metric(site)) == answers(site)


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_order_in_the_file_makes_no_difference(answers: Answering, site: Tree) -> None:
    turned = copy.deepcopy(site)
    area = turned["areas"][0]
    group = area["joists"][0]
    group["also"] = dict(reversed(group["also"].items()))
    area["edges"].reverse()
    area["supports"].reverse()
    assert answers(turned) == answers(site)


@settings(max_examples=25, deadline=None)
@given(site=sites(), data=st.data())
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Tree, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(sorted(forgotten(site["areas"][0]), key=str)))
    less = {**site, "areas": [without(site["areas"][0], path)]}
    try:
        after = answers(less)
    except InputError:
        return  # the file needs it: nothing is claimed at all
    before = answers(site)
    assert [k for k, outcome in after.items() if outcome == "meets" and before.get(k, "") in OPEN] == []


def worse(site: Tree, path: str, change: Callable[[float], float]) -> Tree:
    """The site with one length changed."""
    found = copy.deepcopy(site)
    here: Any = found["areas"][0]
    steps = [int(step) if step.isdigit() else step for step in path.split("/")]
    for step in steps[:-1]:
        here = here[step]
    number, unit = here[steps[-1]].split()
    here[steps[-1]] = f"{change(float(number))} {unit}"
    return found


def never_better(before: Answers, after: Answers) -> None:
    assert [k for k, outcome in after.items() if outcome == "meets" and before.get(k) == "falls-short"] == []


@settings(max_examples=25, deadline=None)
@given(site=sites(), more=st.integers(1, 160))
def test_a_wider_bay_is_no_better(answers: Answering, site: Tree, more: int) -> None:
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
def test_thinner_narrower_and_looser_are_no_better(answers: Answering, site: Tree, share: float) -> None:
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
    assert spacing.stamped_rating(stamp, known) == rating


def test_a_site_that_says_nothing_gains_nothing(answers: Answering) -> None:
    found = answers({"format": 1, "units": "in", "site": {"name": "Bare", "invented": True}, "areas": [{"id": "a"}]})
    assert {rule for rule, _ in found} == {rule.id for rule in RULES}
    assert set(found.values()) == {"not-measured"}
