"""What arrives on the joists: nothing gets lost between the floor and its joists, and nothing is made up."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.structure import HARD, KIND, floor_of
from inspect_core.structure.loads import Load

ALONG = 144.0


def total(loads: list[Load], end: int) -> float:
    """Pounds of several loads together over the clear length of the floor."""
    found = 0.0
    for load in loads:
        low, high = max(load.start, 0.0), min(load.end, ALONG)
        found += load.amount[end] if load.is_point else load.amount[end] * (high - low)
    return found


def named(area: Any, limits: Any, word: str) -> list[Load]:
    floor = floor_of(area, limits)
    every = [load for joist in area.joists for load in floor.loads.on(joist).loads]
    return [load for load in every if word in load.name]


@settings(max_examples=25, deadline=None)
@given(
    across=st.floats(10, 54),
    along=st.floats(25, 119),
    wide=st.floats(6, 20),
    long=st.floats(6, 50),
    weight=st.integers(1, 900),
)
def test_a_fixture_arrives_whole(
    bench: Any, limits: Any, across: Any, along: Any, wide: Any, long: Any, weight: Any
) -> None:
    def change(area: dict[str, Any]) -> None:
        area["fixtures"] = [
            {"id": "F", "kind": "stove", "at": [across, along], "extent": f"{wide} x {long}", "weight": f"{weight} lb"}
        ]

    loads = named(bench(change), limits, "F, empty")
    for end in (KIND, HARD):
        assert total(loads, end) == pytest.approx(weight, rel=1e-6)


def test_water_and_people_count_beyond_the_live_load_where_a_tub_stands(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["fixtures"] = [
            {
                "id": "T",
                "kind": "tub",
                "at": [32, 72],
                "extent": "30 x 60",
                "weight": "330 lb",
                "contents": 60,
                "people": 2,
            }
        ]

    live = named(bench(change), limits, "T, water and people")
    # 60 gal at 8.34 lb (physical constant) and two people of 300 lb at the most, less 40 psf over 12.5 sq ft
    assert total(live, HARD) == pytest.approx(60 * 8.34 + 2 * 300 - 40 * 12.5, rel=1e-6)
    assert total(live, KIND) == pytest.approx(60 * 8.34 + 2 * 200 - 40 * 12.5, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(at=st.floats(0, 64), first=st.floats(0, 60), length=st.floats(10, 80))
def test_a_wall_along_the_joists_arrives_whole(bench: Any, limits: Any, at: Any, first: Any, length: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["partitions"] = [
            {"id": "P", "runs": "along-joists", "at": at, "part": [first, first + length], "height": 96,
             "weight": "10 psf", "bearing": False}
        ]  # fmt: skip

    loads = named(bench(change), limits, "partition P")
    assert total(loads, HARD) == pytest.approx(10 * 8 * length / 12, rel=1e-6)
    assert len({load.start for load in loads}) == 1 and len(loads) <= 2


@settings(max_examples=25, deadline=None)
@given(at=st.floats(1, 143), first=st.floats(0, 30), length=st.floats(1, 34))
def test_a_wall_across_the_joists_arrives_whole(bench: Any, limits: Any, at: Any, first: Any, length: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["partitions"] = [
            {"id": "P", "runs": "across-joists", "at": at, "part": [first, first + length], "height": 96,
             "weight": "10 psf", "bearing": True, "carries": "100 plf"}
        ]  # fmt: skip

    loads = named(bench(change), limits, "partition P")
    assert total(loads, HARD) == pytest.approx((10 * 8 + 100) * length / 12, rel=1e-6)
    assert {load.nature for load in loads} == {"either"}


def test_a_wall_over_a_beam_that_two_rows_share_is_not_counted_twice(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["outline"] = "64 x 288"
        area["supports"].append({"id": "S3", "line": "sill", "rests_on": "masonry", "at": 288, "width": 5.5})
        area["joists"].append({**area["joists"][0], "name": "K", "from": "S2", "to": "S3"})
        area["partitions"] = [
            {"id": "P", "runs": "across-joists", "at": 146, "height": 96, "weight": "10 psf", "bearing": False}
        ]

    area = bench(change)
    loads = named(area, limits, "partition P")
    assert sum(load.amount[HARD] for load in loads) == pytest.approx(10 * 8 * 64 / 12, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(gaps=st.lists(st.floats(6, 30), min_size=1, max_size=8))
def test_the_strips_of_all_joists_cover_the_room_once(bench: Any, limits: Any, gaps: Any) -> None:
    places = [0.0]
    for gap in gaps:
        places.append(places[-1] + gap)

    def change(area: dict[str, Any]) -> None:
        area["outline"] = f"{places[-1]} x 144"
        area["joists"][0]["at"] = places

    loads = named(bench(change), limits, "live load")
    assert total(loads, HARD) == pytest.approx(40 * places[-1] * ALONG / 144, rel=1e-6)


def test_a_joist_beside_a_wall_carries_half_or_all_of_the_bay_until_the_edge_is_known(bench: Any, limits: Any) -> None:
    def widths(edges: list[dict[str, Any]] | None) -> Any:
        def change(area: dict[str, Any]) -> None:
            area["joists"][0]["at"] = [20, 36]
            area["outline"] = "60 x 144"
            if edges is not None:
                area["edges"] = edges

        area = bench(change)
        floor = floor_of(area, limits)
        live = next(load for load in floor.loads.on(area.joists[0]).loads if load.nature == "live")
        return live.width_in, floor.loads.on(area.joists[0]).decides

    assert widths(None) == ((10 + 8, 20 + 8), ("edge.landing",))
    assert widths([{"wall": "west", "landing": "blocking"}, {"wall": "east", "landing": "none"}]) == ((18, 18), ())
    assert widths([{"wall": "west", "landing": "none"}, {"wall": "east", "landing": "none"}]) == ((28, 28), ())


@pytest.mark.parametrize(
    "change, field",
    [
        (lambda area: area.pop("fixtures"), "area.fixtures"),
        (lambda area: area.pop("partitions"), "area.partitions"),
        (lambda area: area.update(fixtures=[{"id": "W", "kind": "water-heater"}]), "fixture.weight"),
        (lambda area: area.update(fixtures=[{"id": "T", "kind": "toilet"}]), "fixture.at"),
        (
            lambda area: area.update(partitions=[{"id": "P", "bearing": True, "runs": "along-joists", "at": 3}]),
            "partition.carries",
        ),
        (lambda area: area.update(partitions=[{"id": "P", "runs": "along-joists", "at": 3}]), "partition.bearing"),
        (lambda area: area.pop("outline"), "area.outline"),
    ],
)
def test_what_may_bring_more_load_and_is_not_known_is_left_open(
    bench: Any, limits: Any, change: Any, field: Any
) -> None:
    area = bench(change)
    assert field in floor_of(area, limits).loads.on(area.joists[0]).unseen


def test_layers_that_nobody_described_are_the_packs_range_with_the_joists_in_it(bench: Any, limits: Any) -> None:
    area = bench(lambda a: a.pop("layers"))
    loads = floor_of(area, limits).joist(area.joists[1]).loads
    dead = [load for load in loads if load.nature == "dead"]
    assert [load.area_psf for load in dead] == [(10, 20)]


def test_a_weight_that_was_measured_counts_whatever_the_layer_is(bench: Any, limits: Any) -> None:
    def heavy(kind: str) -> Any:
        return bench(lambda area: area.update(layers=[{"kind": kind, "weight": "45 psf"}]))

    told, untold = (named(heavy(kind), limits, "layer 1") for kind in ("panel", "unknown"))
    assert total(untold, HARD) == pytest.approx(total(told, HARD))
    assert total(untold, KIND) == pytest.approx(45 / 144 * 64 * ALONG, rel=0.2)


def test_tile_that_is_still_to_come_is_carried_already(bench: Any, limits: Any) -> None:
    area = bench(lambda a: a.update(finish="natural-stone"))
    loads = floor_of(area, limits).loads.everywhere
    stone = next(load for load in loads if load.name == "planned tile")
    assert stone.psf == (6, 18)  # stone tile, flooring guides


def live_of(area: Any, limits: Any, name: str) -> tuple[float, float]:
    """Live load by area on one joist, pounds over the clear length, at the least and at the most."""
    loads = floor_of(area, limits).loads.on(area.joist_by_id[name]).loads
    live = [load for load in loads if load.nature == "live" and not load.is_point]
    return total(live, KIND), total(live, HARD)


@pytest.mark.parametrize(
    ("cut", "share"),
    [
        ({"from": "S1", "at": 60}, 1.5),  # nobody said how it is mended
        ({"from": "S1", "at": 60, "repair": {"kind": "none"}}, 1.5),
        ({"from": "S1", "at": 60, "repair": {"kind": "scab"}}, 1.5),
        ({"from": "S1", "at": 60, "repair": {"kind": "sister"}}, 1.0),
    ],
)
def test_a_cut_joist_may_leave_its_floor_to_its_neighbours(
    bench: Any, limits: Any, cut: dict[str, Any], share: float
) -> None:
    """Of two bays of 16 in beside a cut joist its neighbour carries 8 in for sure, and 16 in at the most (by hand)."""

    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J3": {"cuts": [cut]}}

    area = bench(change)
    whole = live_of(bench(), limits, "J2")
    assert live_of(area, limits, "J2") == pytest.approx((whole[KIND], whole[HARD] * share))
    assert live_of(area, limits, "J4") == pytest.approx((whole[KIND], whole[HARD] * share))
    beside = floor_of(area, limits).loads.on(area.joist_by_id["J2"])
    assert any("cut through" in note for note in beside.assumptions) is (share > 1)
    assert ("cut.repair" in beside.decides) is (share > 1)


@pytest.mark.parametrize("end", [{"bearing": {"S2": 0}}, {"hung": {"S2": {"by": "nothing"}}}])
def test_so_may_a_joist_that_rests_on_one_support(bench: Any, limits: Any, end: dict[str, Any]) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J3": end}

    whole = live_of(bench(), limits, "J2")
    assert live_of(bench(change), limits, "J2") == pytest.approx((whole[KIND], whole[HARD] * 1.5))


def test_the_last_joist_cut_leaves_its_floor_to_the_one_before(bench: Any, limits: Any) -> None:
    """J5 lies under the wall: all of the last bay may come down on J4, 8 + 16 in instead of 8 + 8 (by hand)."""

    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J5": {"cuts": [{"from": "S1", "at": 60}]}}

    whole = live_of(bench(), limits, "J4")
    assert live_of(bench(change), limits, "J4") == pytest.approx((whole[KIND], whole[HARD] * 1.5))


def test_a_fixture_over_a_cut_joist_may_come_down_on_its_neighbour(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J3": {"cuts": [{"from": "S1", "at": 60}]}}
        area["fixtures"] = [{"id": "F", "kind": "stove", "at": [32, 72], "extent": "16 x 30", "weight": "300 lb"}]

    area = bench(change)
    loads = [one for one in floor_of(area, limits).loads.on(area.joist_by_id["J2"]).loads if "F, empty" in one.name]
    assert (total(loads, KIND), total(loads, HARD)) == pytest.approx((0.0, 150.0))


# --- places and weights that are only known between bounds --------------------------------------------------------------


def amounts(area: Any, limits: Any, joist: str, word: str) -> tuple[float, float]:
    loads = floor_of(area, limits).loads.on(area.joist_by_id[joist]).loads
    here = [load for load in loads if word in load.name]
    return total(here, KIND), total(here, HARD)


WALL = {"id": "P", "runs": "across-joists", "at": 72, "height": 96, "weight": "10 psf", "bearing": False}  # 80 plf
RATE = 80 / 12


def test_a_layer_that_a_range_places_or_a_guess_weighs_lets_no_joist_pass(bench: Any, limits: Any) -> None:
    def placed(edge: str) -> bool:
        def change(area: dict[str, Any]) -> None:
            region = {"across": ["0", edge], "along": ["0", "144"]}
            area["layers"].append({"kind": "tile", "weight": "30 psf", "region": region})

        area = bench(change)
        return floor_of(area, limits).loads.on(area.joists[4]).loose

    def guessed(weight: str) -> bool:
        def change(area: dict[str, Any]) -> None:
            area["layers"] = [{"kind": "mortar-bed", "weight": weight}, {"kind": "unknown"}]

        area = bench(change)
        return floor_of(area, limits).loads.on(area.joists[0]).loose

    assert (placed("30"), placed("30 .. 60"), placed("~30")) == (False, True, True)
    assert (guessed("20 psf"), guessed("~20 psf")) == (False, True)


def test_a_wall_across_comes_down_by_the_width_that_a_joist_carries(bench: Any, limits: Any) -> None:
    def crossing(edges: list[dict[str, Any]] | None) -> tuple[float, float]:
        def change(area: dict[str, Any]) -> None:
            area["joists"][0]["at"] = [20, 36]
            area["outline"] = "60 x 144"
            area["partitions"] = [WALL]
            if edges is not None:
                area["edges"] = edges

        return amounts(bench(change), limits, "J1", "partition P")

    # 20 in to the wall, half of it on a cleat; 8 in to the middle of the bay
    assert crossing([{"wall": "west", "landing": "cleat"}]) == pytest.approx((18 * RATE, 18 * RATE))
    assert crossing(None) == pytest.approx((18 * RATE, 28 * RATE))


def test_what_stands_on_a_joists_half_of_a_bay_beside_a_held_edge_is_its_load(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["at"] = [20, 36]
        area["outline"] = "60 x 144"
        area["edges"] = [{"wall": "west", "landing": "cleat"}]
        area["fixtures"] = [{"id": "F", "kind": "stove", "at": [15, 72], "extent": "6 x 30", "weight": "100 lb"}]

    assert amounts(bench(change), limits, "J1", "F, empty") == pytest.approx((100, 100))


def test_a_wall_across_a_cut_joist_may_come_down_on_the_next_or_not(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J3": {"cuts": [{"at": 72, "repair": {"kind": "none"}}]}}
        area["partitions"] = [WALL]

    assert amounts(bench(change), limits, "J2", "partition P") == pytest.approx((16 * RATE, 24 * RATE))


def test_beside_a_cut_joist_at_the_wall_the_next_may_carry_all_of_the_floor_up_to_it(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["at"] = [0, 16, 32]
        area["joists"][0]["but"] = {"J3": {"cuts": [{"at": 72, "repair": {"kind": "none"}}]}}
        area["outline"] = "52 x 144"

    # 8 in to one side; 8 in, or all 36 in up to a wall whose edge may rest on nothing, to the other
    assert amounts(bench(change), limits, "J2", "live load") == pytest.approx((16 * 40, 44 * 40))


def test_a_wall_along_stands_over_a_beam_as_well(bench: Any, limits: Any) -> None:
    def on_beam(partitions: list[dict[str, Any]]) -> float:
        def change(area: dict[str, Any]) -> None:
            area["outline"] = "64 x 288"
            area["supports"].append({"id": "S3", "line": "sill", "rests_on": "masonry", "at": 288, "width": 5.5})
            area["joists"].append({**area["joists"][0], "name": "K", "from": "S2", "to": "S3"})
            area["partitions"] = partitions

        area = bench(change)
        floor = floor_of(area, limits)
        return sum(floor.joist(area.joist_by_id[name]).arriving["S2"].total[HARD] for name in ("J2", "K2"))

    wall = {**WALL, "runs": "along-joists", "at": 16}
    # half of each clear span, 144 and 138.5 in, and the 5.5 in over the beam itself
    assert on_beam([wall]) - on_beam([]) == pytest.approx((72 + 69.25 + 5.5) * RATE)


def test_a_wall_across_counts_where_a_joist_may_reach_under_it(bench: Any, limits: Any) -> None:
    def crossing(at: float, support: Any) -> tuple[float, float]:
        def change(area: dict[str, Any]) -> None:
            area["supports"][1]["at"] = support
            area["partitions"] = [{**WALL, "at": at}]

        area = bench(change)
        loads = floor_of(area, limits).loads.on(area.joists[1]).loads
        here = [load.amount for load in loads if "partition" in load.name]  # one from the strip on either side
        return sum(amount[KIND] for amount in here), sum(amount[HARD] for amount in here)

    assert crossing(152, 145) == (0.0, 0.0)  # 145 + 5.5, and an inch
    assert crossing(152, "140 .. 150") == pytest.approx((0.0, 16 * RATE))
    assert crossing(100, "140 .. 150") == pytest.approx((16 * RATE, 16 * RATE))


def test_what_stands_on_part_of_the_floor_lets_no_joist_pass_that_a_range_places(bench: Any, limits: Any) -> None:
    def loose(fixtures: list[dict[str, Any]]) -> list[bool]:
        def change(area: dict[str, Any]) -> None:
            area["joists"][0]["at"] = [0, 16, "31 .. 33", 48, 64]
            area["fixtures"] = fixtures

        area = bench(change)
        return [floor_of(area, limits).loads.on(joist).loose for joist in area.joists]

    stove = {"id": "F", "kind": "stove", "at": [32, 72], "extent": "20 x 30", "weight": "400 lb"}
    assert loose([]) == [False] * 5
    assert loose([stove]) == [False, True, True, True, False]


def test_a_fixture_of_no_known_kind_asks_what_it_holds(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["fixtures"] = [{"id": "F", "kind": "unknown", "at": [32, 72], "extent": "20 x 30", "weight": "100 lb"}]

    area = bench(change)
    assert floor_of(area, limits).loads.on(area.joists[0]).unseen == ("fixture.contents",)
