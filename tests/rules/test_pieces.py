"""Places of notches along joists and beams, and the spans that they lie in, worked out by hand."""

from __future__ import annotations

import json

import pytest
from inspect_wood_floor._pieces import Piece, pieces, sister_depths
from laws import Data

from inspect_core.quantities import Dimension, Quantity
from inspect_core.site import Area, site_from_text

THIRD = Quantity(1 / 3, 1 / 3, Dimension.RATIO)


def bench(joist: Data | None = None, beam: Data | None = None, over: tuple[str, ...] = (), **area: object) -> Area:
    """A joist from a sill (-5 1/2 to 0) to a wall plate (96 to 99 1/2); a beam B1 on posts and a pier at 0, 60, 120."""
    row = {"name": "J", "from": "S1", "over": [*over], "to": "P1", "at": [24], "each": {"size": "2x8", **(joist or {})}}
    posts: list[Data] = [
        {"id": "T1", "under": "B1", "at": 0, "material": "wood", "size": "6x6", "sizes": "true-dimension"},
        {"id": "T2", "under": "B1", "at": 60, "material": "steel-pipe", "size": "4x8", "sizes": "true-dimension"},
    ]
    floor = {
        "id": "floor",
        "outline": "48 x 96",
        "joists_run": "north-south",
        "supports": [
            {"id": "S1", "line": "sill", "at": -5.5, "width": 5.5},
            {"id": "B1", "line": "beam", "at": 45, "size": "6x8", "sizes": "true-dimension", **(beam or {})},
            {"id": "P1", "line": "wall-plate", "at": 96, "width": 3.5},
        ],
        "joists": [row],
        "posts": posts,
        "piers": [{"id": "R1", "under": "B1", "at": 120, "width": 12, "material": "brick"}],
        **area,
    }
    floor = {key: value for key, value in floor.items() if value is not None}
    text = json.dumps({"format": 1, "units": "in", "site": {"name": "Bench"}, "areas": [floor]})
    return site_from_text(text).areas[0]


def piece_of(area: Area, name: str) -> Piece:
    (found,) = (one for one in pieces(area) if one.member.id == name)
    return found


def bounds(*places: Quantity | None) -> list[tuple[float, float] | None]:
    return [None if place is None else (place.low, place.high) for place in places]


# --- a joist ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("notch", "begins", "ends"),
    [
        ({"from": "S1", "at": 12, "length": 4}, (12, 12), (16, 16)),
        ({"from": "P1", "at": 12, "length": 4}, (80, 80), (84, 84)),
        ({"from": "S1", "at": 12}, (12, 12), None),
        ({"length": 4}, None, None),
        # At an end the wood may stop anywhere on the support: the notch reaches as far as that leaves open.
        ({"end_of": "S1", "length": 4}, (-5.5, -5.5), (-1.5, 4)),
        ({"end_of": "P1", "length": 4}, (92, 95.5), (99.5, 99.5)),
        ({"end_of": "S1"}, None, None),
        ({"end_of": "S1", "from": "S1", "at": 1, "length": 4}, (1, 1), (5, 5)),  # its place was measured
    ],
)
def test_where_a_notch_of_a_joist_lies(
    notch: Data, begins: tuple[float, float] | None, ends: tuple[float, float] | None
) -> None:
    piece = piece_of(bench({"notches": [{"edge": "top", **notch}]}), "J1")
    assert bounds(*piece.stretch((piece.member.notches or ())[0])) == [begins, ends]


def test_an_end_on_a_support_of_unknown_place_says_nothing() -> None:
    supports = [{"id": "S1", "line": "sill"}, {"id": "P1", "line": "wall-plate", "at": 96, "width": 3.5}]
    piece = piece_of(bench({"notches": [{"end_of": "S1", "length": 4}]}, supports=supports, posts=[], piers=[]), "J1")
    assert piece.stretch((piece.member.notches or ())[0]) == (None, None)


@pytest.mark.parametrize(
    ("notch", "middle"),
    [
        ({"from": "S1", "at": 28, "length": 4}, False),  # the span is 96 clear: the middle third from 32 to 64
        ({"from": "S1", "at": 28, "length": 5}, True),
        ({"from": "P1", "at": 28, "length": 5}, True),
        ({"from": "P1", "at": 28, "length": 4}, False),
        ({"from": "P1", "at": 40}, True),  # it ends at 56 and has some length there
        ({"from": "P1", "at": 20}, None),  # it ends at 76: it may be long enough to reach back, or not
        ({"end_of": "S1", "length": 60}, False),
        ({"length": 4}, None),
    ],
)
def test_whether_a_notch_reaches_the_middle_third(notch: Data, middle: bool | None) -> None:
    piece = piece_of(bench({"notches": [notch]}), "J1")
    assert piece.in_middle((piece.member.notches or ())[0], THIRD) is middle


def test_whether_a_notch_is_at_the_end() -> None:
    notches = [{"end_of": "S1"}, {"end_of": "P1"}, {"end_of": "B1"}, {"from": "S1", "at": 3}, {"depth": 1}]
    piece = piece_of(bench({"notches": notches}, over=("B1",)), "J1")
    assert [piece.at_end(notch) for notch in piece.member.notches or ()] == [True, True, False, False, None]


def test_a_joist_over_a_third_support_is_continuous() -> None:
    assert piece_of(bench(), "J1").continuous() is False
    assert piece_of(bench(over=("B1",)), "J1").continuous() is True
    row = {"name": "J", "from": "none", "to": "P1", "at": [24], "each": {"size": "2x8", "begins": 40}}
    assert piece_of(bench(joists=[row]), "J1").continuous() is True  # out past the only one, at 96
    for ends, past in (("~101", None), ("~98", None), (101, True), (99.5, False), ("98 .. 101", None)):
        assert piece_of(bench({"ends": ends}), "J1").continuous() is past, ends
    row["each"] = {"size": "2x8", "ends": 101}
    assert piece_of(bench(joists=[row | {"from": "S1", "to": "unknown"}]), "J1").continuous() is None


def test_what_is_taken_for_granted_of_plies_and_kind() -> None:
    assert piece_of(bench({"kind": "sawn", "sizes": "nominal"}), "J1").notes == ()
    doubled = piece_of(bench({"kind": "sawn", "sizes": "nominal", "size": "(2) 2x8"}), "J1")
    assert doubled.notes == ("each of the 2 plies is taken as cut alike",)
    assert "taken as sawn lumber" in piece_of(bench(), "J1").notes


# --- a beam -----------------------------------------------------------------------------------------------------------


def test_the_clear_span_of_a_beam_lies_between_faces_of_what_carries_it() -> None:
    """The post at 0 is 6 wide, the one at 60 is 4 by 8, nobody says which way, the pier at 120 is 12 wide."""
    piece = piece_of(bench(), "B1")

    def spans_at(*at: float) -> list[list[tuple[float, float] | None]]:
        place = Quantity(at[0], at[-1], Dimension.LENGTH)
        return [bounds(*faces) for faces in piece.spans((place, place))]

    assert spans_at(30) == [[(3, 3), (56, 58)]]
    assert spans_at(0) == [[(3, 3), (56, 58)]]
    assert spans_at(90) == [[(62, 64), (114, 114)]]
    assert spans_at(60) == [[(62, 64), (114, 114)]]
    assert spans_at(-10) == []
    assert spans_at(130) == []
    assert piece.spans((None, None)) == ()
    # A range may lie in either span, or beyond what the posts carry.
    assert spans_at(50, 59) == [[(3, 3), (56, 58)]]
    assert spans_at(50, 61) == [[(3, 3), (56, 58)], [(62, 64), (114, 114)]]
    assert spans_at(110, 121) == []


def test_a_guess_near_a_post_may_lie_on_either_side_of_it() -> None:
    """A guess may err by a tenth (common practice, no source): 56 by up to 5.6, so the post at 60 is within it."""
    piece = piece_of(bench(), "B1")
    places = [Quantity(at, at, Dimension.LENGTH, estimate=True) for at in (56, 54)]
    assert [len(piece.spans((place, place))) for place in places] == [2, 1]


def test_a_post_whose_place_is_a_range_leaves_open_which_span_it_is() -> None:
    square = {"under": "B1", "thickness": 4, "depth": 4}
    posts = [{"id": "T1", "at": 0, **square}, {"id": "T2", "at": "50 .. 70", **square}]
    piece = piece_of(bench(posts=posts), "B1")
    spans = [len(piece.spans((Quantity(at, at, Dimension.LENGTH),) * 2)) for at in (49, 55, 71)]
    assert spans == [1, 2, 1]
    overlapping = [*posts, {"id": "T3", "at": "60 .. 80", **square}]
    piece = piece_of(bench(posts=overlapping), "B1")
    assert piece.spans((Quantity(20, 20, Dimension.LENGTH),) * 2) == ()  # which of the two comes first is not known


def test_a_post_of_unknown_place_leaves_all_spans_open() -> None:
    posts = [{"id": "T1", "under": "B1", "at": 0}, {"id": "T2", "under": "B1"}]
    assert piece_of(bench(posts=posts), "B1").spans((Quantity(30, 30, Dimension.LENGTH),) * 2) == ()


@pytest.mark.parametrize(
    ("notch", "middle"),
    [
        # Over the beam (45 to 50.5) the spans are 0 to 45 and 50.5 to 96: middle thirds 15 to 30 and 65 2/3 to 80 5/6.
        ({"at": 40, "length": 3}, False),
        ({"at": "40 .. 55", "length": 3}, False),  # on either side of the beam, and in neither middle
        ({"at": "40 .. 70", "length": 3}, None),  # the middle of its range lies outside, its end inside the second one
        ({"at": "20 .. 70", "length": 3}, None),
        ({"at": "66 .. 70", "length": 3}, True),
        ({"at": 40, "length": 30}, True),  # over the beam, into the middle of the next span
        ({"at": 40}, None),  # of unknown length: it may reach there
        ({"at": 85}, False),
        ({"at": "~40", "length": 3}, None),
    ],
)
def test_a_notch_that_may_lie_in_either_span(notch: Data, middle: bool | None) -> None:
    piece = piece_of(bench({"notches": [{"from": "S1", **notch}]}, over=("B1",)), "J1")
    assert piece.in_middle((piece.member.notches or ())[0], THIRD) is middle


@pytest.mark.parametrize("side", ["thickness", "depth"])
def test_a_post_of_unknown_width_leaves_its_spans_open(side: str) -> None:
    square = {"under": "B1", "thickness": 4, "depth": 4}
    posts = [{"id": "T1", "at": 0, **square}, {"id": "T2", "at": 60, **square, side: "unknown"}]
    piece = piece_of(bench(posts=posts), "B1")
    assert piece.spans((Quantity(30, 30, Dimension.LENGTH),) * 2) == ()


def test_notches_of_a_beam() -> None:
    notches = [{"at": 30, "length": 6}, {"at": 30}, {"from": "S1", "at": 4}, {"depth": 1}]
    piece = piece_of(bench(beam={"notches": notches}), "B1")
    first, second, third, fourth = piece.member.notches or ()
    assert bounds(*piece.stretch(first)) == [(30, 30), (36, 36)]
    assert bounds(*piece.stretch(second)) == [(30, 30), None]
    assert bounds(*piece.stretch(third)) == [None, None]  # measured from a line that is not on the beam's tape
    assert piece.at_end(first) is False
    assert piece.at_end(fourth) is None
    assert piece.in_middle(first, THIRD) is True  # 55 clear from 3: the middle third from 21 1/3 to 39 2/3


def test_a_beam_on_three_is_continuous() -> None:
    assert piece_of(bench(), "B1").continuous() is True
    assert piece_of(bench(piers=[]), "B1").continuous() is None  # its ends may rest in walls
    assert piece_of(bench(piers=[], beam={"rests_on": "masonry"}), "B1").continuous() is None
    assert piece_of(bench(piers=[], beam={"rests_on": "posts"}), "B1").continuous() is False
    assert piece_of(bench(posts=[], beam={"rests_on": "piers"}), "B1").continuous() is None  # one pier bears no beam
    assert piece_of(bench(piers=[], posts=[]), "B1").continuous() is False  # from wall to wall
    untold = bench(posts=None, piers=None)
    assert piece_of(untold, "B1").continuous() is None
    assert piece_of(bench(posts=None), "B1").continuous() is None
    assert piece_of(bench(piers=None, beam={"rests_on": "posts"}), "B1").continuous() is None


# --- sisters beside a hole --------------------------------------------------------------------------------------------


def test_sisters_that_may_be_bored_with_the_joist() -> None:
    hole = {"from": "S1", "at": 48, "diameter": 2}
    there = {"thickness": 1.5, "depth": 7, "from": "S1", "begins": 40, "ends": 60}
    beyond = {"thickness": 1.5, "depth": 6, "from": "S1", "begins": 50, "ends": 60}
    somewhere = {"thickness": 1.5, "depth": 5}
    piece = piece_of(bench({"holes": [hole], "sisters": [there, beyond, somewhere, {}]}), "J1")
    depths = sister_depths(piece, (piece.member.holes or ())[0])
    assert [depth and depth.middle for depth in depths] == [7, 5, None]  # of the last one nobody knows the depth
    alone = piece_of(bench({"holes": [hole]}), "J1")
    assert sister_depths(alone, (alone.member.holes or ())[0]) == ()
