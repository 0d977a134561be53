"""Where a drain meets joists and beams: triangles of sides 3, 4 and 5, worked out by hand."""

from __future__ import annotations

import json
from dataclasses import replace
from math import sqrt

import pytest
from inspect_wood_floor import _drain_ways as ways
from laws import Data

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.quantities import Dimension, Quantity
from inspect_core.site import Area, site_from_text
from inspect_core.site.model import Drain


def bench(route: object, joist: Data | None = None, beams: list[Data] | None = None, **area: object) -> Area:
    """Joists every 16 in from 16 to 64 over a room of 96 by 96; a drain D1."""
    floor: Data = {
        "id": "bath",
        "outline": "96 x 96",
        "joists_run": "north-south",
        "supports": [
            {"id": "S1", "line": "sill", "at": -5.5, "width": 5.5},
            {"id": "S2", "line": "sill", "at": 96, "width": 5.5},
            *(beams or ()),
        ],
        "joists": [
            {
                "name": "J",
                "from": "S1",
                "to": "S2",
                "at": [16, 32, 48, 64],
                "each": {"thickness": 1.5, "depth": 7.25, **(joist or {})},
            }
        ],
        "drains": [{"id": "D1", "route": route}],
        **area,
    }
    text = json.dumps({"format": 1, "units": "in", "site": {"name": "Bench"}, "areas": [floor]})
    return site_from_text(text).areas[0]


def drain_of(area: Area) -> Drain:
    (drain,) = area.drains or ()
    return drain


def rounded(*quantities: Quantity | None) -> list[float | None]:
    return [None if one is None else round(one.middle, 9) for one in quantities]


SLANTED = [[20, 10], [60, 40], [20, 70]]  # 40 across and 30 along: 50 long; then back across


# --- joists -----------------------------------------------------------------------------------------------------------


def test_joists_on_a_way_that_comes_back() -> None:
    area = bench(SLANTED)
    found = ways.passings(area, drain_of(area)) or ()
    assert [(one.joist.id, one.time, *rounded(one.along, one.run)) for one in found] == [
        ("J2", 1, 19, 15),
        ("J3", 1, 31, 35),
        ("J3", 2, 49, 65),
        ("J2", 2, 61, 85),
    ]
    assert all([*one.square] == pytest.approx([0.8, 0.8]) for one in found)
    assert ways.may_pass(area, drain_of(area)) == ()


def test_a_range_of_places_of_a_corner_is_a_range_of_runs() -> None:
    area = bench([[20, "9 .. 11"], [60, 10]])
    (first, *_) = ways.passings(area, drain_of(area)) or ()
    assert first.joist.id == "J2"
    assert [*first.square] == pytest.approx([40 / sqrt(40**2 + 1), 1])  # at the most an inch off square
    assert [first.run.low, first.run.high] == pytest.approx([12, 12 * sqrt(40**2 + 1) / 40])


def test_a_joist_that_ends_before_the_way_is_not_on_it() -> None:
    area = bench([[20, 50], [60, 50]], {"begins": 0, "ends": 49})
    assert ways.passings(area, drain_of(area)) == ()
    area = bench([[20, 50], [60, 50]], {"begins": 0, "ends": 51})
    assert len(ways.passings(area, drain_of(area)) or ()) == 2


def test_ways_and_joists_of_unknown_place() -> None:
    nowhere = bench([[20, 10], ["unknown", 20], [60, 40]])
    assert ways.passings(nowhere, drain_of(nowhere)) is None
    assert ways.meetings(nowhere, drain_of(nowhere)) is None
    unsure = bench([["20 .. 40", 10], [60, 10]])
    assert [joist.id for joist in ways.may_pass(unsure, drain_of(unsure))] == ["J2"]
    assert [one.joist.id for one in ways.passings(unsure, drain_of(unsure)) or ()] == ["J3"]
    back = bench([[60, 10], ["20 .. 40", 10]])
    assert [joist.id for joist in ways.may_pass(back, drain_of(back))] == ["J2"]


def test_a_way_that_begins_or_ends_in_the_middle_of_a_joist_does_not_cross_it() -> None:
    for route in ([[32, 10], [60, 10]], [[60, 10], [32, 10]]):
        area = bench(route)
        assert [one.joist.id for one in ways.passings(area, drain_of(area)) or ()] == ["J3"]
        assert ways.may_pass(area, drain_of(area)) == ()


def test_wood_at_a_joist() -> None:
    def wood(**joist: object) -> list[float | None]:
        area = bench([[20, 10], [40, 10]], joist)
        (one,) = ways.passings(area, drain_of(area)) or ()
        return rounded(one.thickness, one.depth)

    assert wood() == [1.5, 7.25]
    assert wood(plies=2) == [3, 7.25]
    sister = {"thickness": 1.25, "depth": 7}
    assert wood(plies=2, sisters=[sister]) == [4.25, 7]  # the shallowest is bored
    assert wood(sisters=[{"thickness": 1.25, "depth": 8}]) == [2.75, 7.25]
    assert wood(sisters=[sister, {}]) == [None, None]


def test_the_hole_of_a_level_pipe_is_as_wide_as_the_pipe() -> None:
    area = bench([[20, 10], [40, 10]])
    (one,) = ways.passings(area, drain_of(area)) or ()
    inches = [Quantity(n, n, Dimension.LENGTH) for n in (2.375, 2.25)]
    hole = ways.bored(one, inches[0], Quantity(0, 0, Dimension.SLOPE), inches[1])
    assert hole is not None
    assert rounded(hole.diameter, hole.above, hole.below) == [2.375, 2.25, 7.25 - 2.25 - 2.375]
    falling = ways.top_at(one, Quantity(0.25, 0.25, Dimension.SLOPE), inches[1])
    assert rounded(falling) == [2.25 + 12 / 4]  # 12 in of run


@pytest.mark.parametrize("guess", ["joist", "start", "end", "along"])
def test_a_way_of_which_one_thing_is_a_guess_is_one(guess: str) -> None:
    route: list[list[object]] = [[20, 10], [60, 40]]
    places: list[object] = [32]
    if guess == "joist":
        places = ["~32"]
    else:
        corner, place = {"start": (0, 0), "end": (1, 0), "along": (0, 1)}[guess]
        route[corner][place] = f"~{route[corner][place]}"
    row = {"name": "J", "from": "S1", "to": "S2", "at": places, "each": {"thickness": 1.5, "depth": 7.25}}
    area = bench(route, joists=[row])
    (one,) = ways.passings(area, drain_of(area)) or ()
    assert (one.along.estimate, one.run.estimate) == (True, True)


@pytest.mark.parametrize("guess", ["outside", "slope", "thickness"])
def test_a_hole_of_which_one_thing_is_a_guess_is_one(guess: str) -> None:
    area = bench([[20, 10], [40, 10]], {"thickness": "~1 1/2"} if guess == "thickness" else None)
    (one,) = ways.passings(area, drain_of(area)) or ()
    outside = Quantity(2.375, 2.375, Dimension.LENGTH, guess == "outside")
    slope = Quantity(0.02, 0.02, Dimension.SLOPE, guess == "slope")
    hole = ways.needed_hole(one, outside, slope)
    assert hole is not None and hole.estimate
    assert ways.tall(outside, slope).estimate == (guess != "thickness")


def test_room_beside_joists_of_which_one_thing_is_a_guess_is_one() -> None:
    exact, guess = (Quantity(4, 4, Dimension.LENGTH, estimate) for estimate in (False, True))
    assert [ways._greater(*pair).estimate for pair in ((exact, exact), (exact, guess), (guess, exact))] == [
        False, True, True
    ]  # fmt: skip


def test_a_hole_of_unknown_height_or_depth_is_unknown() -> None:
    pipe, slope, start = (
        Quantity(n, n, d) for n, d in ((2, Dimension.LENGTH), (0, Dimension.SLOPE), (2, Dimension.LENGTH))
    )
    for unknown in ("thickness", "depth"):
        area = bench([[20, 10], [40, 10]], {unknown: "unknown"})
        (one,) = ways.passings(area, drain_of(area)) or ()
        assert ways.bored(one, pipe, slope, start) is None


# --- beams ------------------------------------------------------------------------------------------------------------


def test_a_joist_counts_where_the_pipe_may_cross_it() -> None:
    def along(route: object, place: object = 48) -> list[object]:
        area = bench(route, joists=[{"name": "J", "from": "S1", "to": "S2", "at": [place], "each": {"ends": 60}}])
        drain = drain_of(area)
        lost: list[object] = [joist.id for joist in ways.may_pass(area, drain)]
        return [(round(one.along.low, 6), round(one.along.high, 6)) for one in ways.passings(area, drain) or ()] or lost

    assert along([[20, 20], [60, 50]]) == [(41, 41)]  # 28 of 40 across, so 21 of 30 along
    assert along([[20, 20], [60, 50]], "44 .. 48") == [(38, 41)]
    assert along([[20, 20], [60, "50 .. 60"]]) == [(41, 48)]
    assert along([[20, 20], [60, 90]]) == []  # at 69 along, past the joist's end at 60
    assert along([[20, 20], [60, "70 .. 90"]]) == ["J1"]  # at 55 to 69


BEAM = {"id": "B1", "line": "beam", "at": 42, "width": 6}  # 42 to 48


@pytest.mark.parametrize(
    ("route", "beam", "met"),
    [
        ([[20, 10], [20, 90]], {}, [(32, 38)]),
        ([[20, 90], [20, 10]], {}, [(42, 48)]),
        ([[10, 10], [20, 10], [20, 90]], {}, [(42, 48)]),  # ten more on the first leg
        ([[20, 10], [20, 44]], {}, [(32, 34)]),  # it ends in the beam
        ([[20, 10], [20, 42]], {}, []),  # it ends at the beam's face
        ([[20, 10], [20, "41 .. 44"]], {}, [(None, None)]),  # it may
        ([[20, 10], [20, "~41"]], {}, [(None, None)]),
        ([[20, 10], [20, 43]], {"at": "42 .. 44"}, [(None, None)]),
        ([[20, 10], ["20 .. 30", 90]], {"across": [0, 25]}, [(None, None)]),
        ([[20, 44], [20, 90]], {}, [(0, 4)]),  # it starts over the beam
        ([[20, 10], [60, 40]], {"at": 22}, [(20, 30)]),  # 12 of 30 along: 20 of 50
        ([[20, 10], [60, 40]], {"at": 22, "across": [0, 41]}, [(20, 30)]),  # it passes the middle at 40 across
        ([[20, 10], [60, 40]], {"at": 22, "across": [39, 96]}, [(20, 30)]),
        ([[20, 10], [60, 40]], {"at": 22, "across": [0, 37]}, [(20, 30)]),  # through its end, from 36 to 44 across
        ([[20, 10], [60, 40]], {"at": 22, "across": [43, 96]}, [(20, 30)]),
        ([[20, 10], [60, 40]], {"at": 22, "across": [0, 35]}, []),
        ([[20, 10], [60, 40]], {"at": 22, "across": [45, 96]}, []),
        ([[20, 10], [20, 90]], {"width": "unknown"}, [(None, None)]),
        ([[20, 10], [20, 90]], {"line": "wall-plate"}, []),
        ([[20, 10], [20, 90], [24, 90], [24, 10]], {}, [(32, 38)]),  # the first time
    ],
)
def test_beams_on_the_way(route: object, beam: Data, met: list[tuple[float | None, float | None]]) -> None:
    area = bench(route, beams=[{**BEAM, **beam}])
    found = ways.meetings(area, drain_of(area)) or ()
    assert [tuple(rounded(one.comes, one.leaves)) for one in found] == met


def corner(across: float | tuple[float, float], along: float | tuple[float, float]) -> tuple[Quantity, Quantity]:
    ends = [one if isinstance(one, tuple) else (one, one) for one in (across, along)]
    return Quantity(*ends[0], Dimension.LENGTH), Quantity(*ends[1], Dimension.LENGTH)


@pytest.mark.parametrize(
    ("end", "face", "way"),
    [
        ((3, 4), 2, (2.5, 2.5)),
        ((3, 4), 6, (5, 5)),  # no farther than the leg goes
        ((3, 4), -2, (0, 0)),  # behind its start
        ((0, 0.5), 0.25, (0.25, 0.25)),  # a short leg is one
        ((3, 0), 2, (0, 3)),  # a leg beside the line may come to it anywhere
    ],
)
def test_the_way_to_a_line_across_the_room(end: tuple[float, float], face: float, way: tuple[float, float]) -> None:
    found = ways._way_to(Quantity(face, face, Dimension.LENGTH), corner(0, 0), corner(*end))
    assert (found.low, found.high) == pytest.approx(way)


def test_where_a_leg_passes_a_line() -> None:
    """From 20 across and 10 along to 60 and 40: at the line of 25 along it is half way."""

    def passes(face: float, start: tuple[Quantity, Quantity] = corner(20, 10)) -> tuple[float, float]:
        return ways._across_at(Quantity(face, face, Dimension.LENGTH), start, corner(60, 40))

    assert passes(25) == (40, 40)
    assert passes(5) == (20, 20)  # a line behind its start, or beyond its end
    assert passes(50) == (60, 60)
    assert passes(25, corner(20, (9, 11))) == (20, 60)  # anywhere on it
    assert passes(25, corner((18, 22), 10)) == (18, 60)


# --- where else it would start ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "towards", "room"),
    [
        ((24, 60), (1, 0), 23),  # a pipe 2 in wide stops an inch from the wall
        ((24, 60), (-1, 0), 71),
        ((24, 60), (0, 1), 59),
        ((24, 60), (0, -1), 35),
        ((24, 60), (0.8, 0.6), 23 / 0.8),
        ((24, 60), (0.6, -0.8), 23 / 0.6),
        ((90, 60), (0.6, -0.8), 35 / 0.8),
        ((24, 60), (-0.6, 0.8), 59 / 0.8),
        ((0.5, 60), (1, 0), 0),
    ],
)
def test_room_behind_the_start(at: tuple[float, float], towards: tuple[float, float], room: float) -> None:
    assert ways._room_behind(bench([[20, 10], [60, 40]]), at, towards, 2) == pytest.approx(room)


def test_room_behind_the_start_in_a_room_away_from_the_zero_of_the_tapes() -> None:
    area = bench([[20, 10], [60, 40]], outline="unknown", corners=[[10, 4], [96, 4], [96, 90], [10, 90]])
    assert ways._room_behind(area, (24, 60), (1, 0), 2) == pytest.approx(13)
    assert ways._room_behind(area, (24, 60), (0, 1), 2) == pytest.approx(55)


@pytest.mark.parametrize(
    ("outline", "joists", "room", "told"),
    [
        # A pipe 3 in wide at 17 across: 0.25 in past the face of the joist at 16; clear of it an inch from that.
        ("96 x 60", {"at": [16, 64]}, -1.25, ["2 1/4 in", "4 1/4 in"]),
        ("18 x 96", {"at": [16]}, -1.25, ["4 1/4 in"]),  # no farther than the wall
        ("96 x 96", {"at": [16, 48], "but": {"J1": {"begins": 0, "ends": 20}}}, 28.75, []),  # the first ends before
    ],
)
def test_room_beside_joists(outline: str, joists: Data, room: float, told: list[str], packs: LoadedPacks) -> None:
    row = {"name": "J", "from": "S1", "to": "S2", "each": {"thickness": 1.5, "depth": 7.25}, **joists}
    area = bench([[20, 10], [60, 40]], joists=[row], outline=outline)
    limit = replace(stack(packs.packs).limits["drain-joist-clearance"], value=Quantity(1, 1, Dimension.LENGTH))
    found, words = ways.beside_joists(area, corner(17, 30), Quantity(3, 3, Dimension.LENGTH), limit)
    assert rounded(found) == [room]
    assert [one for one in ("2 1/4 in", "4 1/4 in") if one in words] == told


def test_no_room_is_known_behind_a_start_without_an_outline() -> None:
    area = bench([[20, 10], [60, 40]], outline="unknown")
    assert ways._room_behind(area, (24, 60), (1, 0), 2) == 0


@pytest.mark.parametrize(
    ("route", "move", "said"),
    [
        ([[24, 60], [56, 60]], 3, " (at 27 in on the tape across)"),
        ([[24, 60], [56, 60]], 0.5, " (at 24 1/2 in on the tape across)"),
        ([[24, 60], [56, 60]], -3, " (at 21 in on the tape across)"),
        ([[56, 60], [24, 60]], 3, " (at 4 ft 5 in on the tape across)"),
        ([[56, 60], [24, 60]], -3, " (at 4 ft 11 in on the tape across)"),
        ([[24, 60], [56, 61]], 3, ""),
    ],
)
def test_where_a_moved_start_lies(route: object, move: float, said: str) -> None:
    area = bench(route)
    assert ways._at(area, drain_of(area), move) == said


@pytest.mark.parametrize(
    ("behind", "back"),
    [
        # 2.375 in across the joist at its fall: the hole of 1 1/2 in of wood is 2.407 in, of 3 in 2.438 in; a third of
        # 7 1/4 in is 2.417 in. From 1.6 in under the tops it falls 0.416 in on 20 in, to 2 in over the hole.
        ({}, -28),
        ({"size": "(2) 2x8"}, None),
        ({"sisters": [{"thickness": 1.5, "depth": 7.25}]}, None),
        ({"sisters": [{"thickness": 1.5, "depth": 7}]}, None),  # a third of 7 in is 2.333 in
        ({"sisters": [{"depth": 7.25}]}, None),  # nobody knows how thick
        ({"depth": "unknown"}, None),
    ],
)
def test_a_start_moves_back_only_over_joists_that_can_be_bored(
    behind: Data, back: float | None, packs: LoadedPacks
) -> None:
    """From 40 in on the tape across it meets the joist at 48; to fall far enough it would start behind that at 32."""
    each: Data = {"thickness": 1.5, "depth": 7.25} if "size" not in behind else {"size": "2x8", "sizes": "nominal"}
    row = {"name": "J", "from": "S1", "to": "S2", "at": [32, 48], "each": each, "but": {"J1": behind}}
    area = bench([[40, 48], [60, 48]], joists=[row])
    way = ways.passings(area, drain_of(area)) or ()
    limits = stack(packs.packs).limits
    found, _ = ways._moves(area, drain_of(area), way, 2.375, 1 / 48, 1.6, limits)
    assert found == (back if back is None else pytest.approx(back, abs=0.2))


@pytest.mark.parametrize(
    ("each", "back", "ahead"),
    [
        # The pipe clears the joist by half of both and the pack's clearance; a move back puts the joist on the way.
        ({}, -(0.75 + 2.375 / 2), 0.75 + 2.375 / 2),
        ({"size": "(2) 2x8"}, None, 1.5 + 2.375 / 2),
    ],
)
def test_a_start_moves_off_the_joist_under_it(each: Data, back: float | None, ahead: float, packs: LoadedPacks) -> None:
    """At 40 in on the tape across, in the middle of a joist, on its way past another at 48."""
    row = {
        "name": "J",
        "from": "S1",
        "to": "S2",
        "at": [40, 48],
        "each": {"size": "2x8", "sizes": "nominal"},
        "but": {"J1": each},
    }
    area = bench([[40, 48], [60, 48]], joists=[row])
    way = ways.passings(area, drain_of(area)) or ()
    limits = stack(packs.packs).limits
    clear = limits["drain-joist-clearance"].value
    more = clear.middle if clear is not None else 0.0
    found = ways._moves(area, drain_of(area), way, 2.375, 1 / 48, 2.1, limits)
    assert found[0] == (back if back is None else pytest.approx(back - more))
    assert found[1] == pytest.approx(ahead + more)
