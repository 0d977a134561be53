"""Which joists may carry an end joint."""

from __future__ import annotations

from inspect_core.planning.layout.rows import Landing, Problem, Row, landing_places


def problem(*landings: Landing) -> Problem:
    return Problem(
        outline=((0, 0), (112, 0), (112, 94), (0, 94)), holes=(), box=(-1e9, 1e9, -1e9, 1e9), length=96, width=48, kerf=0.125,
        gap=0.125, matched=False, least_width=24, least_length=0, least_bays=2, landings=landings, free_ends=None,
        least_bearing=0.5, stagger=16, row_places=(),
    )  # fmt: skip


def joist(
    name: str, x: float, low: float = -4, high: float = 98, far: float | None = None, half: float = 0.75
) -> Landing:
    return Landing(name, x, x if far is None else far, low, high, half)


ROW = Row(0, 0, 48, first=True, last=False)


def names(*landings: Landing) -> list[str]:
    return [name for _, name in landing_places(problem(*landings), ROW)]


def test_a_joist_under_the_whole_row_carries_a_joint() -> None:
    assert landing_places(problem(joist("J1", 48)), ROW) == [(48, "J1")]


def test_a_joist_that_stops_short_carries_none_unless_another_goes_on_in_its_line() -> None:
    assert names(joist("A", 48, high=30)) == []
    assert names(joist("A", 48, high=30), joist("B", 48, low=26)) == ["A", "B"]
    assert names(joist("A", 48, high=30), joist("B", 49.5, low=26)) == []  # lapped: the joint would leave its wood
    assert names(joist("A", 48, high=20), joist("B", 48, low=28)) == []  # nothing between


def test_the_last_bit_over_a_sill_may_be_without_joist() -> None:
    assert names(joist("A", 48, low=1.5)) == ["A"]
    assert names(joist("A", 48, low=3)) == []


def test_a_joist_askew_carries_a_joint_only_while_both_ends_bear() -> None:
    """Half of 1 1/2 in less half of the gap less 1/2 in to bear on leaves 3/16 in to each side."""
    assert names(joist("A", 48, low=0, high=96, far=48.7)) == ["A"]  # 0.175 in off at the row's ends
    assert names(joist("A", 48, low=0, high=96, far=48.8)) == []
    assert names(joist("A", 48, low=0, high=96, far=48.8, half=0.875)) == ["A"]


def test_a_plank_too_thin_for_two_ends_carries_none() -> None:
    assert names(joist("A", 48, half=0.5)) == []
