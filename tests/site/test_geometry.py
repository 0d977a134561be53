"""What follows from the places of things, on floors small enough to work out by hand."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.site import Site, site_from_text
from inspect_core.site.geometry import Bay, width_of

Floor = Callable[..., Site]
AREA = "/areas/0"
GROUP = f"{AREA}/joists/0"


def inches(quantity: Quantity | None) -> float | tuple[float, float] | None:
    if quantity is None:
        return None
    return quantity.low if quantity.low == quantity.high else (quantity.low, quantity.high)


def spacings(site: Site) -> dict[str, float | tuple[float, float] | None]:
    return {bay.name: inches(bay.spacing) for bay in site.areas[0].bays}


def test_bays_between_joists_and_none_at_a_wall_with_a_joist_under_it(floor: Floor) -> None:
    assert spacings(floor()) == {f"bay J{n}–J{n + 1}": 16.0 for n in range(1, 7)}


def test_first_and_last_bay_reach_to_the_wall(floor: Floor) -> None:
    assert spacings(floor({f"{GROUP}/at": [20, 40, 60]})) == {
        "bay west wall–J1": 20.0,
        "bay J1–J2": 20.0,
        "bay J2–J3": 20.0,
        "bay J3–east wall": 36.0,
    }


def test_compass_names_turn_with_the_joists(floor: Floor) -> None:
    site = floor({f"{AREA}/joists_run": "east-west", f"{GROUP}/at": [20, 80]})
    assert list(spacings(site)) == ["bay south wall–J1", "bay J1–J2", "bay J2–north wall"]
    assert [end.side for end in site.areas[0].joist_ends[:3]] == ["west", "", "east"]


def test_a_missing_joist_leaves_one_wide_bay_that_says_why(floor: Floor) -> None:
    site = floor({f"{GROUP}/but": {"J4": {"missing": "flue taken out"}}})
    wide = [bay for bay in site.areas[0].bays if bay.missing]
    assert [(bay.name, inches(bay.spacing), bay.missing[0].missing) for bay in wide] == [
        ("bay J3–J5", 32.0, "flue taken out")
    ]
    assert site.locate(wide[0].path)[2] == ("areas", 0, "joists", 0, "but", "J4")


def test_a_doubled_member_is_one_member(floor: Floor) -> None:
    site = floor({f"{GROUP}/also": {"J3A": {"at": 33.5}}})
    assert spacings(site)["bay J2–J3"] == 16.75
    assert spacings(site)["bay J3A–J4"] == 15.25
    assert "bay J3–J3A" not in spacings(site)


def test_a_sister_makes_no_bay(floor: Floor) -> None:
    with_sister = floor({f"{GROUP}/but": {"J3": {"sisters": [{"size": "2x8", "full_length": True}]}}})
    assert spacings(with_sister) == spacings(floor())


def test_a_fanned_joist_counts_at_its_wider_end(floor: Floor) -> None:
    site = floor({f"{GROUP}/but": {"J7": {"at_far_end": 100}}})
    assert spacings(site)["bay J6–J7"] == 20.0


def test_lapped_joists_over_a_beam_are_neighbours_only_of_their_own_side(floor: Floor) -> None:
    groups = [
        {"name": "A", "from": "S1", "to": "B1", "at": "every 24 from 0 to 96", "each": {"size": "2x8"}},
        {"name": "N", "from": "B1", "to": "S2", "at": "every 24 from 1.5 to 97.5", "each": {"size": "2x8"}},
    ]
    bays = [bay for bay in floor({f"{AREA}/joists": groups}).areas[0].bays if not bay.at_wall]
    assert {inches(bay.spacing) for bay in bays} == {24.0}
    assert not any("A" in bay.name and "N" in bay.name for bay in bays)


def test_an_opening_that_takes_up_a_bay_is_named_over_its_own_length_only(floor: Floor) -> None:
    opening = {"id": "O1", "kind": "hatch", "across": [32, 48], "along": [24, 50], "plan": "stays-open"}
    bays = [bay for bay in floor({f"{AREA}/openings": [opening]}).areas[0].bays if bay.name == "bay J3–J4"]
    assert [(bay.opening.id if bay.opening else None, bay.begins, bay.ends) for bay in bays] == [
        (None, 0.0, 120.0),
        ("O1", 24.0, 50.0),
    ]


@pytest.mark.parametrize(
    ("holes", "rest"),
    [
        ([[32, 48]], 0),  # from J3 at 32 to J4 at 48
        ([[33.75, 46.25]], 0),  # from face to face (1-1/2 in joists) and an inch more
        ([[33.75, 46]], 2),
        ([[46.9, 60]], 14.9),  # 1.1 in of the bay: the rest is still floor
        ([[36, 40]], 8),
        ([[36, 40], [41.5, 47.5]], 4),  # from 32, between both, to 48
        ([[36, 44], [34, 38]], 4),  # one over the other: from 44 to 48
        ([["36 .. 40", 47]], "4 .. 8"),
    ],
)
def test_what_an_opening_leaves_of_a_bay(floor: Floor, holes: list[list[object]], rest: object) -> None:
    openings = [
        {"id": f"O{n}", "across": across, "along": [24, 50], "plan": "stays-open"} for n, across in enumerate(holes)
    ]
    area = floor({f"{AREA}/openings": openings}).areas[0]
    (bay,) = (bay for bay in area.bays if bay.name == "bay J3–J4" and bay.opening is not None)
    assert bay.rest is not None
    low, high = (float(end) for end in (str(rest).split(" .. ") * 2)[:2])
    assert (bay.rest.low, bay.rest.high) == pytest.approx((low, high))


L_ROOM = [[0, 0], [96, 0], [96, 60], [48, 60], [48, 120], [0, 120]]


def test_an_l_shaped_room_has_its_own_walls_bays_and_area(floor: Floor) -> None:
    site = floor({f"{AREA}/corners": L_ROOM, f"{GROUP}/at": [20, 40, 70]}, (f"{AREA}/outline",))
    area = site.areas[0]
    assert [(w.name, w.parallel, w.inward) for w in area.walls] == [
        ("south", False, 1),
        ("east-1", True, -1),
        ("north-1", False, -1),
        ("east-2", True, -1),
        ("north-2", False, -1),
        ("west", True, 1),
    ]
    assert inches(area.floor_area) == 96 * 60 + 48 * 60
    assert spacings(site)["bay J3–east-1 wall"] == 26.0
    assert spacings(site)["bay J2–east-2 wall"] == 8.0
    assert "bay J2–J3" in spacings(site)


def test_the_area_of_a_room_lies_between_those_of_its_least_and_its_largest_outline(floor: Floor) -> None:
    def size(corners: object) -> Quantity | None:
        return floor({f"{AREA}/corners": corners}, (f"{AREA}/outline",)).areas[0].floor_area

    def room(notch: object) -> list[list[object]]:
        return [[0, 0], [96, 0], [96, notch], [48, 60], [48, 120], [0, 120]]

    # The corner at 96 across goes from 50 to 70 along: 96 by 60 and 48 by 60, less or more a triangle of 48 by 10.
    found = size(room("50 .. 70"))
    assert inches(found) == (8640 - 240, 8640 + 240)
    guessed, plain = size(room("~60")), size(room(60))
    assert guessed is not None and plain is not None
    assert (guessed.estimate, plain.estimate) == (True, False)
    loose = size([[f"{x} .. {x + 1}", f"{y} .. {y + 1}"] for x, y in L_ROOM])
    assert loose is not None and loose.estimate and not loose.is_range


def test_corners_may_go_round_either_way(floor: Floor) -> None:
    there = floor({f"{AREA}/corners": L_ROOM}, (f"{AREA}/outline",)).areas[0]
    back = floor({f"{AREA}/corners": L_ROOM[::-1]}, (f"{AREA}/outline",)).areas[0]
    assert {(w.name[:5], w.inward) for w in there.walls} == {(w.name[:5], w.inward) for w in back.walls}


def test_a_wall_askew_is_named_and_runs_neither_way(floor: Floor) -> None:
    area = floor({f"{AREA}/corners": [[0, 0], [96, 0], [96, 90], [66, 120], [0, 120]]}, (f"{AREA}/outline",)).areas[0]
    assert [(w.name, w.parallel) for w in area.walls][2] == ("northeast", None)


def test_unknown_outline_still_gives_bays_between_joists(floor: Floor) -> None:
    site = floor({}, (f"{AREA}/outline",))
    assert set(spacings(site).values()) == {16.0}
    assert site.areas[0].walls == ()
    assert site.areas[0].floor_area is None


def test_what_each_end_rests_on_and_what_follows_from_the_wood(floor: Floor) -> None:
    area = floor({f"{GROUP}/but": {"J2": {"begins": -3, "bearing": {"S2": 2}}}}).areas[0]
    ends = {end.name: end for end in area.joist_ends if end.joist.id == "J2"}
    assert list(ends) == ["joist J2, south end on S1", "joist J2 over B1", "joist J2, north end on S2"]
    assert inches(ends["joist J2, south end on S1"].bearing) == 3.0
    assert ends["joist J2, south end on S1"].derived
    assert ends["joist J2 over B1"].bearing is None
    assert inches(ends["joist J2, north end on S2"].bearing) == 2.0


def test_wood_that_stops_short_of_its_support_bears_nothing(floor: Floor) -> None:
    area = floor({f"{GROUP}/but": {"J2": {"ends": 110}}}).areas[0]
    far = next(e for e in area.joist_ends if e.joist.id == "J2" and e.which == "far")
    assert inches(far.bearing) == 0.0


def test_an_end_said_to_rest_on_nothing(floor: Floor) -> None:
    area = floor({f"{GROUP}/but": {"J2": {"to": "none"}}}).areas[0]
    far = next(e for e in area.joist_ends if e.joist.id == "J2" and e.which == "far")
    assert far.on_nothing
    assert far.name == "joist J2, north end"


def test_clear_spans_and_places_measured_from_a_face(floor: Floor) -> None:
    area = floor().areas[0]
    joist = area.joist_by_id["J1"]
    assert [(inches(s.begins), inches(s.ends), inches(s.clear)) for s in area.spans(joist)] == [
        (0.0, 60.0, 60.0),
        (64.0, 120.0, 56.0),
    ]
    foot = exactly(12, Dimension.LENGTH)
    assert inches(area.place_along(joist, "S1", foot)) == 12.0
    assert inches(area.place_along(joist, "B1", foot)) == 76.0
    assert inches(area.place_along(joist, "S2", foot)) == 108.0
    assert inches(area.place_along(joist, None, foot)) == 12.0
    assert area.place_along(joist, "S1", None) is None
    span = area.span_at(joist, exactly(90, Dimension.LENGTH))
    assert span is not None
    assert span.near.id == "B1"


@pytest.mark.parametrize(
    ("low", "high", "near"),
    [
        (30, 61, ["S1"]),  # up to the middle of the beam, which lies from 60 to 64
        (30, 63, ["S1", "B1"]),
        (58, 70, ["S1", "B1"]),
        (62, 118, ["B1"]),
        (110, 200, []),  # it may lie past the last support
        (-40, 30, []),
    ],
)
def test_a_range_lies_in_every_span_that_it_touches(floor: Floor, low: float, high: float, near: list[str]) -> None:
    area = floor().areas[0]
    joist = area.joist_by_id["J1"]
    place = Quantity(low, high, Dimension.LENGTH)
    assert [span.near.id for span in area.spans_at(joist, (place, place))] == near
    single = area.span_at(joist, place)
    assert (single.near.id if single is not None else None) == (near[0] if len(near) == 1 else None)


def test_a_support_without_a_place_leaves_its_spans_out(floor: Floor) -> None:
    area = floor({}, (f"{AREA}/supports/1/at",)).areas[0]
    assert area.spans(area.joist_by_id["J1"]) == ()
    assert area.place_along(area.joist_by_id["J1"], "B1", exactly(1, Dimension.LENGTH)) is None


def test_headers_carry_joists_too(floor: Floor) -> None:
    changes = {
        f"{AREA}/openings": [{"id": "O1", "headers": [{"id": "HD1", "along": 36, "size": "2x8", "sizes": "nominal"}]}],
        f"{GROUP}/but": {"J3": {"from": "S1", "over": [], "to": "HD1"}},
    }
    area = floor(changes).areas[0]
    assert inches(area.spans(area.joist_by_id["J3"])[0].clear) == 36.0


def test_places_read_to_a_face_are_moved_to_the_centre(floor: Floor) -> None:
    area = floor({f"{GROUP}/measured_to": "near-face"}).areas[0]
    assert inches(area.joists[1].place) == 16.75
    area = floor({f"{GROUP}/measured_to": "far-face"}).areas[0]
    assert inches(area.joists[1].place) == 15.25


def test_tributary_widths_share_the_room_and_walls_count_whole(floor: Floor) -> None:
    area = floor({f"{GROUP}/at": [20, 40, 60]}).areas[0]
    assert [inches(area.tributary_width(j)) for j in area.joists] == [30.0, 20.0, 46.0]


def test_a_range_of_places_gives_a_range_of_spacings(floor: Floor) -> None:
    assert spacings(floor({f"{GROUP}/at": [16, "31 .. 33"]}))["bay J1–J2"] == (15.0, 17.0)


def test_a_drain_crosses_the_joists_on_its_way_in_order(floor: Floor) -> None:
    drain = {"id": "D1", "route": [[56, 30], [8, 30], [8, 90]]}
    area = floor({f"{AREA}/drains": [drain]}).areas[0]
    found = [(c.joist.id, inches(c.along), inches(c.run)) for c in area.crossings(area.drains[0])]
    assert found == [("J4", 30.0, 8.0), ("J3", 30.0, 24.0), ("J2", 30.0, 40.0)]


def test_a_drain_askew_crosses_where_its_line_does(floor: Floor) -> None:
    area = floor({f"{AREA}/drains": [{"id": "D1", "route": [[8, 20], [40, 44]]}]}).areas[0]
    found = [(c.joist.id, inches(c.along), inches(c.run)) for c in area.crossings(area.drains[0])]
    assert found == [("J2", 26.0, 10.0), ("J3", 38.0, 30.0)]


def test_a_route_with_an_unknown_corner_crosses_nothing_known(floor: Floor) -> None:
    area = floor({f"{AREA}/drains": [{"id": "D1", "route": [[8, 20], ["unknown", 44]]}]}).areas[0]
    assert area.crossings(area.drains[0]) == ()


@pytest.mark.parametrize(
    ("places", "lost"),
    [
        ([8, 24, 40], []),
        ([8, "unknown", 40], ["J2"]),
        ([8, "20 .. 26", 40], []),  # between its neighbours, wherever it is
        ([8, "20 .. 39", 40], ["J2"]),  # it may double J3
        ([8, "~24", 40], []),
        ([8, "~38", 40], ["J2"]),  # a guess of 38 may be 34 or 42
        ([8, 24, 25.5], []),  # a doubled member, measured
    ],
)
def test_a_joist_whose_neighbours_are_not_sure_counts_as_unplaced(
    floor: Floor, places: list[object], lost: list[str]
) -> None:
    area = floor({f"{AREA}/joists/0/at": places}).areas[0]
    assert [joist.id for joist in area.unplaced] == lost
    assert not any(joist.id in lost for bay in area.bays for joist in bay.joists)


def test_a_guess_that_may_lie_outside_the_room_counts_as_unplaced(floor: Floor) -> None:
    area = floor({f"{AREA}/joists/0/at": [8, 24, "~92"]}).areas[0]
    assert [joist.id for joist in area.unplaced] == ["J3"]


def test_same_joist_one_answer_whatever_the_order_of_the_file() -> None:
    def site(order: list[int]) -> Site:
        supports = [{"id": "S1", "at": 0, "width": 4}, {"id": "S2", "at": 100, "width": 4}]
        data = {
            "format": 1,
            "units": "in",
            "site": {"name": "x"},
            "areas": [
                {
                    "id": "a",
                    "outline": "100 x 104",
                    "supports": supports,
                    "joists": [{"name": f"K{n}", "from": "S1", "to": "S2", "at": [n * 20]} for n in order],
                }
            ],
        }
        return site_from_text(yaml.safe_dump(data), "x")

    assert spacings(site([0, 1, 2, 3, 4, 5])) == spacings(site([3, 0, 5, 2, 1, 4]))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(8, 40), min_size=1, max_size=12), st.integers(4, 60), st.integers(4, 60))
def test_bays_add_up_to_the_room(gaps: list[int], first: int, last: int) -> None:
    places = [first]
    for gap in gaps:
        places.append(places[-1] + gap)
    data = {
        "format": 1,
        "units": "in",
        "site": {"name": "x"},
        "areas": [{"id": "a", "outline": f"{places[-1] + last} x 96", "joists": [{"name": "J", "at": places}]}],
    }
    bays: tuple[Bay, ...] = site_from_text(yaml.safe_dump(data), "x").areas[0].bays
    assert sum(bay.spacing.value for bay in bays if bay.spacing) == pytest.approx(places[-1] + last)
    assert len(bays) == len(places) + 1


@pytest.mark.parametrize(
    ("support", "width"),
    [
        ({"line": "beam", "size": "4x8"}, 3.5),  # dressed, on edge
        ({"line": "sill", "size": "4x8"}, (3.5, 7.25)),  # on edge or flat: nobody said
        ({"line": "sill", "size": "4x8", "width": 7}, 7.0),
        ({"line": "sill"}, None),
    ],
)
def test_width_of_a_support_by_its_size(floor: Floor, support: dict[str, object], width: object) -> None:
    changed = (
        {**support, "id": "S1", "at": -8, "sizes": "nominal"}
        if "size" in support
        else {**support, "id": "S1", "at": -8}
    )
    area = floor({f"{AREA}/supports/0": changed}).areas[0]
    assert inches(width_of(area.supports[0])) == width
