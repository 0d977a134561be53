"""Joists that differ in nothing their solution turns on share one; each still has what it would have alone."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.structure import floor_of
from inspect_core.structure.floor import Floor
from inspect_core.structure.joists import Member

HUNG: dict[str, Any] = {"S1": {"by": "hanger", "seat": 2}}
ONE_JOIST = st.fixed_dictionaries(
    {},
    optional={
        "moisture": st.sampled_from([9, 12, 18.9, 19, 19.1, 25, "~15", "~24", "15 .. 25", "unknown"]),
        "bearing": st.fixed_dictionaries({}, optional={"S1": st.sampled_from([0, 1, 3.5, "0 .. 2", "unknown"])}),
        "hung": st.sampled_from([HUNG, {"S1": {"by": "hanger", "seat": 3}}, {"S1": {"by": "nails-only"}}, {}]),
        "restraint": st.sampled_from([{"S1": "rim"}, {"S1": "none"}]),
        "grade": st.sampled_from(["No.1", "No.2", "unknown"]),
        "species": st.sampled_from(["hem-fir", "unknown"]),
        "treated": st.booleans(),
        "note": st.just("seen by torch"),
    },
)


def as_told(member: Member) -> dict[str, Any]:
    return {
        name: getattr(member, name)
        for name in ("id", "path", "work", "answer", "pieces", "loads", "reactions", "arriving", "missing", "unseen",
                     "decides", "assumptions", "outside", "no_values", "loose", "creep_wet")
    }  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(joists=st.lists(ONE_JOIST, min_size=5, max_size=5))
def test_a_joist_solved_beside_others_is_as_it_is_alone(bench: Any, limits: Any, joists: list[dict[str, Any]]) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {f"J{n}": own for n, own in enumerate(joists, start=1) if own}

    area = bench(change)
    together = floor_of(area, limits)
    for joist in area.joists:
        alone = Floor(area, together.basis)
        assert as_told(together.joist(joist)) == as_told(alone.joist(joist))


def test_readings_that_change_nothing_share_a_solution(bench: Any, limits: Any) -> None:
    def change(area: dict[str, Any]) -> None:
        area["joists"][0]["but"] = {"J2": {"moisture": 12, "bearing": {"S1": 2}}, "J3": {"moisture": 14}}

    area = bench(change)
    floor = floor_of(area, limits)
    assert floor.joist(area.joists[1]).answer is floor.joist(area.joists[2]).answer


@pytest.mark.parametrize(
    "own",
    [{"moisture": 25}, {"moisture": "~14"}, {"bearing": {"S1": 0}}, {"hung": {"S1": {"by": "nails-only"}}}],
)
def test_readings_that_change_something_do_not(bench: Any, limits: Any, own: dict[str, Any]) -> None:
    area = bench(lambda a: a["joists"][0].update(but={"J3": own}))
    floor = floor_of(area, limits)
    assert floor.joist(area.joists[1]).answer is not floor.joist(area.joists[2]).answer
