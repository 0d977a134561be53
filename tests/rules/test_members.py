"""What rules ask of joists and their sisters, worked out by hand: stretches that overlap, sisters that bear."""

from __future__ import annotations

import json

import pytest
from inspect_wood_floor import _members as members
from inspect_wood_floor._members import faces_of, in_middle, overlaps, stretch
from laws import Data

from inspect_core.quantities import Dimension, Quantity
from inspect_core.site import Area, site_from_text

IN = Dimension.LENGTH


def q(low: float, high: float | None = None, *, guess: bool = False) -> Quantity:
    return Quantity(low, low if high is None else high, IN, guess)


def bench(carriers: tuple[str, ...] = ("S1", "B1", "P1"), **each: object) -> Area:
    """A joist from a sill (-5 1/2 to 0) over a beam (96 to 102) to a wall plate (192 to 195 1/2), and a steel beam
    beyond either end; more lines lie between them, and one in line with the beam."""
    supports: list[Data] = [
        {"id": "O1", "line": "beam", "kind": "steel", "at": -60, "width": 4},
        {"id": "S1", "line": "sill", "kind": "sawn", "at": -5.5, "width": 5.5},
        {"id": "B1", "line": "beam", "kind": "sawn", "at": 96, "width": 6},
        {"id": "M1", "line": "beam", "kind": "sawn", "at": 40, "width": 4},
        {"id": "M2", "line": "beam", "kind": "sawn", "at": 140, "width": 4},
        {"id": "B2", "line": "beam", "kind": "sawn", "at": 96, "width": 6},
        {"id": "P1", "line": "wall-plate", "kind": "sawn", "at": 192, "width": 3.5},
        {"id": "O2", "line": "beam", "kind": "steel", "at": 240, "width": 4},
    ]
    first, *over, last = carriers
    row = {"name": "J", "from": first, "over": over, "to": last, "at": [20], "each": {"size": "2x8", **each}}
    area = {"id": "floor", "outline": "40 x 300", "joists_run": "north-south", "supports": supports, "joists": [row]}
    return site_from_text(json.dumps({"format": 1, "units": "in", "site": {"name": "Bench"}, "areas": [area]})).areas[0]


# --- overlaps ---------------------------------------------------------------------------------------------------------

WHOLE = (q(10), q(20))


@pytest.mark.parametrize(
    ("first", "last", "meets"),
    [
        (q(5), q(15), True),  # over the near edge
        (q(15), q(25), True),  # over the far edge
        (q(5), q(25), True),  # all of it
        (q(12), q(14), True),  # within
        (q(0), q(10), False),  # only touches
        (q(20), q(30), False),
        (q(0), q(5), False),
        (q(25), q(30), False),
        (q(10), None, True),  # begins at the edge and has some length
        (q(19), None, True),
        (q(20), None, False),
        (q(5), None, None),  # may stop before it
        (None, q(20), True),
        (None, q(11), True),
        (None, q(10), False),
        (None, q(25), None),  # may begin beyond it
        (None, None, None),
        (q(5, 15), q(16), True),  # wherever it begins, it stops inside
        (q(0, 25), q(30), None),
        (q(5), q(8, 12), None),  # may stop before the edge
        (q(5), q(10, 12), None),  # may only touch
    ],
)
def test_what_overlaps(first: Quantity | None, last: Quantity | None, meets: bool | None) -> None:
    assert overlaps((first, last), WHOLE) is meets


def test_edges_that_are_not_sure() -> None:
    unsure = (q(8, 10), q(20, 22))
    assert overlaps((q(5), q(9)), unsure) is None  # reaches one place of the edge and not the other
    assert overlaps((q(5), q(8)), unsure) is False  # at the most it touches
    assert overlaps((q(21), q(25)), unsure) is None
    assert overlaps((q(20), q(25)), unsure) is None  # may only touch
    assert overlaps((q(22), q(25)), unsure) is False
    assert overlaps((q(5), q(10.5)), unsure) is True
    assert overlaps((q(9), None), unsure) is None  # may stop before the whole begins
    assert overlaps((q(10), None), unsure) is True
    assert overlaps((q(19.5), None), unsure) is True
    assert overlaps((None, q(20)), unsure) is True
    assert overlaps((None, q(21)), unsure) is None  # may lie beyond it


def test_an_estimate_never_shows_that_two_miss_one_another() -> None:
    assert overlaps((q(0), q(5, guess=True)), WHOLE) is None
    assert overlaps((q(25), q(30, guess=True)), WHOLE) is None
    assert overlaps((q(0), q(5)), (q(10), q(20, guess=True))) is None
    assert overlaps((q(5), q(15, guess=True)), WHOLE) is True


def test_the_middle_of_a_span() -> None:
    third = Quantity(1 / 3, 1 / 3, Dimension.RATIO)
    faces = (q(0), q(90))  # the middle third lies from 30 to 60
    assert in_middle(faces, (q(25), q(30)), third) is False
    assert in_middle(faces, (q(25), q(31)), third) is True
    assert in_middle(faces, (q(60), q(62)), third) is False
    assert in_middle(faces, (q(59), q(62)), third) is True
    assert in_middle(None, (q(25), q(30)), third) is None
    off = (q(100), q(190))  # the middle third lies from 130 to 160
    assert in_middle(off, (q(125), q(130)), third) is False
    assert in_middle(off, (q(125), q(131)), third) is True


# --- places -----------------------------------------------------------------------------------------------------------


def test_a_stretch_lies_beyond_the_support_that_it_is_measured_from() -> None:
    area = bench()
    (joist,) = area.joists or ()
    near = stretch(area, joist, "S1", q(12), q(4))  # the sill's face is at 0
    assert [one.middle for one in near if one] == [12, 16]
    far = stretch(area, joist, "P1", q(12), q(4))  # the plate's face is at 192
    assert [one.middle for one in far if one] == [176, 180]
    assert stretch(area, joist, "S1", None, q(4)) == (None, None)
    first, last = stretch(area, joist, "S1", q(12), None)
    assert (first and first.middle, last) == (12, None)
    first, last = stretch(area, joist, "P1", q(12), None)
    assert (first, last and last.middle) == (None, 180)


def test_faces_of_what_carries() -> None:
    area = bench()
    assert [one.middle for one in faces_of(area.carriers["B1"]) or ()] == [96, 102]
    assert faces_of(None) is None


# --- sisters ----------------------------------------------------------------------------------------------------------


def sister_answers(area: Area) -> dict[str, tuple[str | None, float | None]]:
    """For each end of the joist the support that its sister reaches, and how far it bears there."""
    (joist,) = area.joists or ()
    (sister,) = joist.sisters or ()
    found = {}
    for end in area.joist_ends:
        bearing = members.sister_bearing(area, end, sister)
        found[end.which] = (members.sister_support(area, end, sister), bearing.middle if bearing else None)
    return found


def test_a_sister_bears_as_measured_or_as_far_as_it_runs() -> None:
    said = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "bearing": {"S1": 2, "P1": 1.5}}])
    found = sister_answers(said)
    assert (found["near"], found["far"]) == (("S1", 2), ("P1", 1.5))
    run = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": -2, "ends": 194}])
    found = sister_answers(run)
    assert (found["near"], found["far"]) == (("S1", 2), ("P1", 2))
    back = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": 194, "ends": -2}])
    assert sister_answers(back) == found
    long = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": -9, "ends": 300}])
    found = sister_answers(long)
    assert (found["near"], found["far"]) == (("S1", 5.5), ("P1", 3.5))  # no more than the supports are wide
    short = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": 6, "ends": 180}])
    found = sister_answers(short)
    assert (found["near"], found["far"]) == (("S1", 0), ("P1", 0))
    half = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": -2}])
    assert sister_answers(half)["near"] == ("S1", None)


@pytest.mark.parametrize(
    ("bearing", "near", "far"),
    [
        ({"O1": 3, "O2": 2.5, "B1": 4}, "O1", "O2"),
        ({"O1": 3, "S1": 2}, "S1", None),  # the first that it comes to
        ({"P1": 3, "O2": 2}, None, "P1"),
        ({"B1": 3}, None, None),  # the joist's own
        ({"B2": 3}, None, None),  # in line with it
    ],
)
def test_past_an_end_on_nothing_a_sister_reaches_the_next_support(
    bearing: Data, near: str | None, far: str | None
) -> None:
    for carriers, which, reached in ((("none", "B1"), "near", near), (("B1", "none"), "far", far)):
        area = bench(carriers, sisters=[{"size": "2x8", "bearing": bearing}])
        (joist,) = area.joists or ()
        (end,) = (end for end in area.joist_ends if end.which == which)
        assert end.on_nothing
        assert members.sister_support(area, end, (joist.sisters or ())[0]) == reached


def test_a_sister_between_two_supports_reaches_none_past_the_end() -> None:
    for carriers, which, between in ((("none", "B1", "P1"), "near", "M2"), (("S1", "B1", "none"), "far", "M1")):
        area = bench(carriers, sisters=[{"size": "2x8", "bearing": {between: 3}}])
        (joist,) = area.joists or ()
        (end,) = (end for end in area.joist_ends if end.which == which)
        assert members.sister_support(area, end, (joist.sisters or ())[0]) is None


def test_a_sister_of_guessed_length_bears_as_a_guess() -> None:
    area = bench(bearing={"S1": 3, "P1": 3}, sisters=[{"size": "2x8", "from": "S1", "begins": -2, "ends": "~194"}])
    (joist,) = area.joists or ()
    guessed = {}
    for end in area.joist_ends:
        bearing = members.sister_bearing(area, end, (joist.sisters or ())[0])
        guessed[end.which] = bearing is not None and bearing.estimate
    assert (guessed["near"], guessed["far"]) == (False, True)


# --- damage at an end -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("condition", "near", "far"),
    [
        ([], False, False),
        ([{"kind": "rot", "from": "S1", "at": 0, "length": 6}], True, False),  # from the face: the end itself too
        ([{"kind": "rot", "from": "P1", "at": 0, "length": 6}], False, True),
        ([{"kind": "rot", "from": "S1", "at": 12, "length": 6}], False, False),
        ([{"kind": "rot"}], None, None),  # somewhere
        ([{"kind": "sound"}], False, False),
        ([{"kind": "sagging"}], False, False),
        ([{"kind": "unknown", "from": "S1", "at": 0, "length": 6}], None, False),  # of unknown kind
        ([{"kind": "unknown", "from": "S1", "at": 12, "length": 6}], False, False),
        ([{"kind": "checked"}, {"kind": "rot", "from": "S1", "at": 0, "length": 6}], True, False),
        ([{"kind": "rot"}, {"kind": "rot", "from": "S1", "at": 0, "length": 6}], True, None),
    ],
)
def test_damage_where_an_end_bears(condition: list[Data], near: bool | None, far: bool | None) -> None:
    area = bench(condition=condition)
    ends = {end.which: end for end in area.joist_ends}
    assert members.damage_at_end(area, ends["near"]) is near
    assert members.damage_at_end(area, ends["far"]) is far


def test_nobody_looked_for_damage() -> None:
    area = bench()
    assert members.damage_at_end(area, area.joist_ends[0]) is None


# --- names ------------------------------------------------------------------------------------------------------------


def test_names_of_groups_and_entries() -> None:
    assert members.listed(["J10", "J9"]) == "joists J9, J10"
    assert members.listed(["J3"]) == "joist J3"
    assert members.listed(["J3", "J1", "J2"]) == "joists J1, J2, J3"
    assert members.listed(["J4", "J3", "J1", "J2"]) == "joists J1, J2, J3 and 1 more"
    assert members.listed(["J2", "J²", "²"]) == "joists J2, J², ²"  # a raised 2 is no number
    assert members.numbered("hole", ["H1", "", "H1"]) == ["hole H1", "hole 2", "hole H1 (entry 3)"]
