"""What does not fit together is told with its place, all of it in one run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.site import InputError, Site

Floor = Callable[..., Site]
AREA = "/areas/0"
GROUP = f"{AREA}/joists/0"


def codes(floor: Floor, changes: dict[str, Any], removals: tuple[str, ...] = ()) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        floor(changes, removals)
    for problem in caught.value.problems:
        assert problem.line > 0
        assert problem.expected
    return [(p.code, "/".join(str(step) for step in p.path)) for p in caught.value.problems]


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({f"{GROUP}/to": "S9"}, [("no-such-support", "areas/0/joists/0/to")]),
        ({f"{GROUP}/each/bearing": {"S7": 2}}, [("no-such-support", "areas/0/joists/0/each/bearing/S7")]),
        ({f"{GROUP}/but": {"J9": {"moisture": 12}}}, [("no-such-joist", "areas/0/joists/0/but/J9")]),
        ({f"{GROUP}/also": {"J3": {"at": 50}}}, [("twice", ""), ("joist-twice", "")]),
        ({f"{GROUP}/also": {"X": {"at": 48}}}, [("same-place", "areas/0/joists/0/also/X")]),
        ({f"{GROUP}/but": {"J3": {"from": "S2", "over": []}}}, [("same-support", "areas/0/joists/0/to")]),
        (
            {f"{GROUP}/but": {"J3": {"holes": [{"from": "Q", "at": 3}]}}},
            [("no-such-support", "areas/0/joists/0/but/J3/holes/0/from")],
        ),
        (
            {f"{GROUP}/but": {"J3": {"notches": [{"end_of": "Q"}]}}},
            [("no-such-support", "areas/0/joists/0/but/J3/notches/0/end_of")],
        ),
        (
            {f"{GROUP}/but": {"J3": {"holes": [{"from": "S1", "at": "20 ft", "diameter": 1}]}}},
            [("off-the-joist", "areas/0/joists/0/but/J3/holes/0/at")],
        ),
        (
            {f"{GROUP}/but": {"J3": {"holes": [{"diameter": 2, "wood_above": 2, "wood_below": 2}]}}},
            [("does-not-add-up", "areas/0/joists/0/but/J3/holes/0")],
        ),
        (
            {f"{AREA}/fixtures": [{"id": "T1", "kind": "tub", "at": [400, 20]}]},
            [("outside-the-room", "areas/0/fixtures/0/at")],
        ),
        (
            {f"{AREA}/fixtures": [{"id": "T1", "kind": "toilet", "flange": {"at": [40, 400]}}]},
            [("outside-the-room", "areas/0/fixtures/0/flange/at")],
        ),
        (
            {f"{AREA}/fixtures": [{"id": "T1", "kind": "tub"}, {"id": "T1", "kind": "tub"}]},
            [("twice", "areas/0/fixtures/1")],
        ),
        (
            {f"{AREA}/openings": [{"id": "O1", "across": [50, 40], "along": [10, 20], "trimmers": ["Z1"]}]},
            [("reversed", "areas/0/openings/0/across"), ("no-such-joist", "areas/0/openings/0/trimmers/0")],
        ),
        (
            {f"{AREA}/openings": [{"id": "O1", "headers": [{"id": "H1", "across": [50, 40]}]}]},
            [("reversed", "areas/0/openings/0/headers/0/across")],
        ),
        ({f"{AREA}/partitions": [{"id": "P1", "part": [50, 40]}]}, [("reversed", "areas/0/partitions/0/part")]),
        ({f"{AREA}/supports/0/across": [50, 40]}, [("reversed", "areas/0/supports/0/across")]),
        (
            {f"{AREA}/openings": [{"id": "O1", "across": [500, 540], "along": [10, 20]}]},
            [("outside-the-room", "areas/0/openings/0")],
        ),
        (
            {f"{AREA}/blocking": [{"id": "K1", "between": ["J1", "Q2"]}]},
            [("no-such-joist", "areas/0/blocking/0/between/1")],
        ),
        (
            {f"{AREA}/drains": [{"id": "D1", "serves": ["T9"]}]},
            [("no-such-fixture", "areas/0/drains/0/serves/0")],
        ),
        (
            {f"{AREA}/wet_areas": [{"id": "W1", "fixture": "T9"}]},
            [("no-such-fixture", "areas/0/wet_areas/0/fixture")],
        ),
        (
            {f"{AREA}/posts": [{"id": "P1", "under": "B9", "rests_on": "F9"}]},
            [("no-such-support", "areas/0/posts/0/under"), ("no-such-pier-or-footing", "areas/0/posts/0/rests_on")],
        ),
        (
            {f"{AREA}/piers": [{"id": "R1", "under": "B9", "rests_on": "F9"}]},
            [("no-such-support", "areas/0/piers/0/under"), ("no-such-footing", "areas/0/piers/0/rests_on")],
        ),
        ({f"{AREA}/edges": [{"wall": "up"}]}, [("no-such-wall", "areas/0/edges/0/wall")]),
        ({f"{AREA}/crawl_space": {"same_as": "attic"}}, [("no-such-area", "areas/0/crawl_space/same_as")]),
        ({f"{GROUP}/each/evidence": ["p1"]}, [("no-such-evidence", "")]),
        ({f"{GROUP}/at": "every 16 from 0 to 20 ft"}, [("outside-the-room", "areas/0/joists/0/at")]),
    ],
)
def test_each_slip_is_one_clear_error(floor: Floor, changes: dict[str, Any], expected: list[tuple[str, str]]) -> None:
    found = codes(floor, changes)
    assert [code for code, _ in found if code in dict(expected)] != []
    for code, path in expected:
        assert any(code == c and path in p for c, p in found), found


def test_corners_that_enclose_nothing(floor: Floor) -> None:
    found = codes(floor, {f"{AREA}/corners": [[0, 0], [96, 0], [40, 0]]}, (f"{AREA}/outline",))
    assert ("flat-room", "areas/0/corners") in found


def test_two_areas_of_one_name(floor: Floor) -> None:
    assert ("twice", "areas/1") in codes(floor, {"/areas/-": {"id": "floor"}})


def test_a_slip_that_a_whole_group_shares_is_said_once(floor: Floor) -> None:
    assert len(codes(floor, {f"{GROUP}/to": "S9"})) == 1


@pytest.mark.parametrize("built", ["1920s", "about 1900"])
def test_a_year_is_a_number(floor: Floor, built: str) -> None:
    assert codes(floor, {"/site/built": built}) == [("no-year", "site/built")]


@pytest.mark.parametrize("built", [1894, "unknown", "?"])
def test_a_year_that_is_known_or_not(floor: Floor, built: int | str) -> None:
    assert floor({"/site/built": built}).built == (1894 if built == 1894 else None)


@pytest.mark.parametrize(
    ("changes", "example"),
    [
        ({f"{GROUP}/to": "S9"}, "to: S1"),
        ({f"{GROUP}/over": ["S9"]}, "S1"),
        ({f"{GROUP}/each/bearing": {"S7": 2}}, "S1"),
    ],
)
def test_the_example_can_be_pasted(floor: Floor, changes: dict[str, Any], example: str) -> None:
    with pytest.raises(InputError) as caught:
        floor(changes)
    assert caught.value.problems[0].example == example


def test_did_you_mean(floor: Floor) -> None:
    with pytest.raises(InputError, match="did you mean north"):
        floor({f"{AREA}/edges": [{"wall": "nort"}]})


def test_places_are_told_in_the_units_of_the_file(floor: Floor) -> None:
    with pytest.raises(InputError) as caught:
        floor({"/units": "mm", f"{GROUP}/at": [0, 9000]})
    told = [(p.message, p.example) for p in caught.value.problems if p.code == "outside-the-room"]
    assert [(message.split(" lies at ")[1], example) for message, example in told] == [
        ("9000 mm, outside the room", "at: every 400 from 0 to 2800")
    ]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("/site/date", "11/28/2026"),
        ("/site/work_starts", "soon"),
        ("/place", {"permit_date": "2026-13-01"}),
        ("/documents", [{"id": "p", "kind": "permit", "date": "March 1st"}]),
        ("/evidence", [{"id": "e", "shows": "joists", "date": "2026-02-30"}]),
        ("/areas/0/crawl_space", {"air": {"date": "yesterday"}}),
    ],
)
def test_what_is_no_date_is_told_with_its_place(floor: Floor, path: str, value: object) -> None:
    assert [code for code, _ in codes(floor, {path: value})] == ["no-date"]


@pytest.mark.parametrize("date", ["2026-11-28", "2026-11", "2026", "unknown"])
def test_dates_as_people_write_them(floor: Floor, date: str) -> None:
    assert floor({"/site/date": date}).house.date in (date, None)
