"""What goes into a floor comes out below it: reactions against loads, down to the footings."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.structure import HARD, floor_of
from inspect_core.structure.below import Ground, footing_area

POSTS = [0.0, 40.0, 64.0]


def framed(area: dict[str, Any], splices: list[float], plies: int) -> None:
    area["supports"][1] = {
        "id": "S2", "line": "beam", "rests_on": "piers", "at": 144, "width": 5.5, "size": f"({plies}) 2x10",
        "sizes": "nominal",
        "species": "douglas-fir-larch", "grade": "No.2", "moisture": 15, "splices": splices, "holes": [], "notches": [],
        "condition": [],
    }  # fmt: skip
    area["posts"] = []
    area["piers"] = [
        {
            "id": f"P{n}",
            "under": "S2",
            "at": at,
            "width": 8,
            "length": 8,
            "height": 24,
            "material": "concrete",
            "rests_on": f"F{n}",
        }
        for n, at in enumerate(POSTS)
    ]
    area["footings"] = [
        {"id": f"F{n}", "shape": "square", "width": 20, "thickness": 8, "material": "concrete"}
        for n in range(len(POSTS))
    ]
    area["soil"] = {"kind": "sand"}


@settings(max_examples=25, deadline=None)
@given(
    tub=st.tuples(st.floats(12, 52), st.floats(30, 110)),
    wall=st.floats(-5, 149),
    weight=st.integers(100, 900),
)
def test_joists_hand_on_all_that_lies_on_them(bench: Any, limits: Any, tub: Any, wall: Any, weight: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["fixtures"] = [
            {"id": "F", "kind": "stove", "at": list(tub), "extent": "20 x 30", "weight": f"{weight} lb"}
        ]
        area["partitions"] = [
            {"id": "P", "runs": "across-joists", "at": wall, "height": 96, "weight": "10 psf", "bearing": False}
        ]

    area = bench(change)
    floor = floor_of(area, limits)
    arriving = sum(r.total[HARD] for joist in area.joists for r in floor.joist(joist).arriving.values())
    floored = (144 + 5.5 + 5.5) * 64  # to the outer faces of the sills
    joists = 5 * 37 * 1.5 * 7.25 * (144 + 11) / 1728
    assert arriving == pytest.approx(50 * floored / 144 + weight + 80 * 64 / 12 + joists, rel=1e-6)


@settings(max_examples=15, deadline=None)
@given(splices=st.lists(st.sampled_from([40.0, 39.0]), max_size=1), plies=st.integers(1, 3), weight=st.integers(0, 400))
def test_piers_get_what_the_joists_bring(bench: Any, limits: Any, splices: Any, plies: Any, weight: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        framed(area, splices, plies)
        area["fixtures"] = [
            {"id": "F", "kind": "stove", "at": [32, 100], "extent": "20 x 30", "weight": f"{max(weight, 1)} lb"}
        ]

    area = bench(change)
    floor, support = floor_of(area, limits), area.supports[1]
    brought = sum(floor.joist(joist).arriving["S2"].dead[HARD] for joist in area.joists)
    member = floor.girder(support)
    assert member.missing == ()
    own = 37 * 1.5 * plies * 9.25 / 1728 * (64 + 2)  # and an inch at each end
    dead = sum(reaction.dead[HARD] for reaction in member.arriving.values())
    # Where two lengths of a built-up beam may or may not be one over a pier, each pier gets the worse of both.
    slack = 1.35 if splices and plies > 1 else 1.0
    assert brought + own - 1e-6 <= dead * (1 + 1e-9) and dead <= slack * (brought + own) * (1 + 1e-9)


def test_a_footing_carries_pier_and_itself(bench: Any, limits: Any) -> None:
    area = bench(lambda a: framed(a, [], 2))
    ground = Ground(floor_of(area, limits))
    pier, footing = area.piers[0], area.footings[0]
    pressure = ground.footing(footing)
    beam = ground.on(pier).total[HARD]
    weight = 150 * (8 * 8 * 24 + 20 * 20 * 8) / 1728
    assert pressure.arriving.total[HARD] == pytest.approx(beam + weight, rel=1e-9)
    assert pressure.psf.high == pytest.approx((beam + weight) / (400 / 144), rel=1e-9)


def test_a_post_between_beam_and_pier_hands_its_load_down(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        framed(area, [], 2)
        area["posts"] = [{"id": "Q0", "under": "S2", "at": 0, "rests_on": "P0", "size": "6x6", "sizes": "nominal"}]
        area["piers"][0]["under"] = "Q0"
        area["piers"][0].pop("at")

    area = bench(change)
    ground = Ground(floor_of(area, limits))
    assert ground.on(area.piers[0]).total == ground.on(area.posts[0]).total != (0, 0)


def test_what_may_stand_on_a_footing_or_a_pier_as_well_leaves_its_load_open(bench: Any, limits: Any) -> None:
    def unseen(more: dict[str, Any]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        def change(area: dict[str, Any]) -> None:
            framed(area, [], 2)
            for list_name, part in more.items():
                area[list_name].append(part)

        area = bench(change)
        ground = Ground(floor_of(area, limits))
        return ground.on(area.piers[0]).unseen, ground.footing(area.footings[0]).arriving.unseen

    post = {"id": "Q", "size": "6x6", "sizes": "nominal"}
    assert unseen({}) == ((), ())
    assert unseen({"posts": {**post, "rests_on": "F2"}}) == ((), ())
    assert unseen({"posts": post}) == (("post.rests_on",), ("post.rests_on",))
    assert unseen({"piers": {"id": "P9", "width": 8}}) == ((), ("pier.rests_on",))


@pytest.mark.parametrize(
    ("footing", "largest", "smallest"),
    [
        ({"width": 20}, 400, 314.159265),  # round at the worst
        ({"width": 20, "length": 30}, 600, 314.159265),
        ({"width": 20, "length": 10}, 200, 200),  # shorter than it is wide: no round one
    ],
)
def test_a_footing_of_unknown_shape(footing: dict[str, Any], largest: float, smallest: float, bench: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["footings"] = [{"id": "F", "thickness": 8, **footing}]

    area = bench(change)
    assert footing_area(area.footings[0]) == pytest.approx((largest, smallest))


def test_a_guess_at_what_is_left_of_a_post_lets_it_not_pass(bench: Any, limits: Any) -> None:
    def loose(left: Any, moisture: Any = 15) -> bool:
        def change(area: dict[str, Any]) -> None:
            framed(area, [], 2)
            area["posts"] = [
                {"id": "Q0", "under": "S2", "at": 0, "rests_on": "P0", "size": "6x6", "sizes": "nominal",
                 "material": "wood", "height": 24, "species": "douglas-fir-larch", "grade": "No.2",
                 "moisture": moisture, "condition": [{"kind": "rot", "depth_left": left}]}
            ]  # fmt: skip

        area = bench(change)
        return Ground(floor_of(area, limits)).post(area.posts[0]).loose

    assert (loose(4), loose("~4"), loose(4, "~15")) == (False, True, True)
