"""Beams on piers where places are ranges, joists leave open where they rest, and splices stand beside their piers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.structure import HARD, KIND, floor_of
from inspect_core.structure.joists import Member

Change = Callable[[dict[str, Any]], None]


def girder(bench: Any, limits: Any, change: Change = lambda area: None, **own: Any) -> Member:
    """The beam of a floor on three piers at 0, 32 and 64, each 8 in wide, with five joists on it."""

    def framed(area: dict[str, Any]) -> None:
        area["supports"][1] = {
            "id": "S2", "line": "beam", "rests_on": "piers", "at": 144, "width": 5.5, "size": "(2) 2x10",
            "sizes": "nominal", "species": "douglas-fir-larch", "grade": "No.2", "moisture": 15, "splices": [],
            "holes": [], "notches": [], "condition": [], **own,
        }  # fmt: skip
        area["posts"] = []
        area["piers"] = [
            {"id": f"P{n}", "under": "S2", "at": at, "width": 8, "length": 8, "material": "concrete"}
            for n, at in enumerate([0, 32, 64])
        ]
        change(area)

    area = bench(framed)
    floor = floor_of(area, limits)
    return floor.girder(next(s for s in area.supports if s.id == "S2"))


def bending(member: Member) -> tuple[float, float]:
    assert member.answer is not None
    return member.answer.bending


def middle_pier(at: Any) -> Change:
    def change(area: dict[str, Any]) -> None:
        area["piers"][1]["at"] = at

    return change


def narrow(area: dict[str, Any]) -> None:
    for pier in area["piers"]:
        pier["width"] = pier["length"] = 3.5


def test_a_joist_that_may_rest_on_the_beam_leaves_its_load_open(bench: Any, limits: Any) -> None:
    def one_more(area: dict[str, Any]) -> None:
        area["joists"].append({"name": "K", "from": "S1", "at": [24], "each": area["joists"][0]["each"]})

    def one_beyond(area: dict[str, Any]) -> None:
        one_more(area)
        area["supports"][1]["across"] = [30, 64]

    assert girder(bench, limits).unseen == ()
    assert girder(bench, limits, one_more).unseen == ("joist.to",)
    assert girder(bench, limits, one_beyond).unseen == ()


def test_a_joist_that_passes_over_the_beam_unsaid_leaves_its_load_open(bench: Any, limits: Any) -> None:
    def long_one(over: list[str] | None) -> Change:
        def change(area: dict[str, Any]) -> None:
            area["outline"] = "64 x 288"
            area["supports"].append({"id": "S3", "line": "sill", "rests_on": "masonry", "at": 288, "width": 5.5})
            said = {} if over is None else {"over": over}
            area["joists"].append(
                {"name": "K", "from": "S1", "to": "S3", "at": [24], "each": area["joists"][0]["each"], **said}
            )

        return change

    assert girder(bench, limits, long_one(None)).unseen == ("joist.over",)
    assert girder(bench, limits, long_one([])).unseen == ()
    assert girder(bench, limits, long_one(["S2"])).unseen == ()


def test_an_inner_pier_is_tried_all_along_the_range_of_its_place(bench: Any, limits: Any) -> None:
    found = bending(girder(bench, limits, middle_pier("16 .. 48")))
    places = [bending(girder(bench, limits, middle_pier(at))) for at in (16, 32, 48)]
    assert found[HARD] == pytest.approx(max(place[HARD] for place in places))
    assert found[KIND] == pytest.approx(min(place[KIND] for place in places))
    assert places[0][HARD] > 1.5 * places[1][HARD]  # so its middle alone would be no bound


def test_no_joist_falls_off_the_end_of_its_beam(bench: Any, limits: Any) -> None:
    whole = girder(bench, limits).arriving
    short = girder(bench, limits, across=[0, 50])  # and yet a joist at 64 rests on it
    ranged = girder(bench, limits, across=[0, "40 .. 70"])
    for pier in ("P0", "P1", "P2"):
        assert short.arriving[pier].total[HARD] == pytest.approx(whole[pier].total[HARD])
        assert ranged.arriving[pier].total[HARD] >= whole[pier].total[HARD] - 1e-6
    assert (short.loose, ranged.loose) == (False, True)


def test_a_splice_lies_over_a_pier_only_as_far_as_the_pier_is_wide(bench: Any, limits: Any) -> None:
    def broken(splice: Any, change: Change = lambda area: None) -> tuple[bool, bool]:
        answer = girder(bench, limits, change, size="2x10", splices=[splice]).answer
        assert answer is not None
        return bool(answer.broken[KIND]), bool(answer.broken[HARD])

    assert broken(35) == (False, False)  # 3 in from the centre of a pier 8 in wide
    assert broken(35, narrow) == (True, True)  # and of one 3.5 in wide
    assert broken("33 .. 40") == (False, True)
    assert broken("38 .. 40") == (True, True)


def test_a_guess_at_a_pier_or_a_splice_lets_the_beam_not_pass(bench: Any, limits: Any) -> None:
    def guessed(area: dict[str, Any]) -> None:
        area["piers"][0]["width"] = "~8"

    assert girder(bench, limits, guessed).loose
    assert girder(bench, limits, splices=["~32"]).loose
    assert not girder(bench, limits, splices=[32]).loose


def test_a_tail_joist_past_the_end_of_its_header_comes_down_on_the_trimmer(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        wood = {key: area["joists"][0]["each"][key] for key in ("size", "sizes", "species", "grade")}
        header = {"id": "H1", "along": 60, "across": [16, 48], **wood}
        area["openings"] = [
            {"id": "O", "across": [16, 48], "along": [20, 60], "headers": [header], "trimmers": ["J2", "J3"]}
        ]
        area["joists"][0]["at"] = [0, 16, 48, 64]
        area["joists"].append({**area["joists"][0], "name": "K", "from": "H1", "at": [50]})

    area = bench(change)
    floor = floor_of(area, limits)
    opening = area.openings[0]
    header, tail = floor.header(opening, opening.headers[0]), floor.joist(area.joist_by_id["K1"])
    assert tail.arriving["H1"].total[HARD] > 0
    first, last = (header.arriving[f"{end} trimmer"].total[HARD] for end in ("first", "last"))  # with half its weight
    assert last - first == pytest.approx(tail.arriving["H1"].total[HARD])
