"""What is not known decides nothing that a known part does not decide already; and an absent list is not an empty one."""

from __future__ import annotations

from itertools import product

import pytest
from inspect_wood_floor._listed import listed_parts, no_joists, no_supports
from inspect_wood_floor._verdicts import Verdict, all_of, any_of, compared, negated

from inspect_core.quantities import Dimension, Quantity, at_least, exactly
from inspect_core.rules_api import Limit
from inspect_core.site import Area, site_from_text

VERDICTS: tuple[Verdict, ...] = (True, False, None)


def may_be(verdict: Verdict) -> tuple[bool, ...]:
    return (True, False) if verdict is None else (verdict,)


@pytest.mark.parametrize("parts", list(product(VERDICTS, repeat=3)))
def test_a_verdict_is_known_where_every_way_agrees(parts: tuple[Verdict, ...]) -> None:
    ways = list(product(*map(may_be, parts)))
    for of, plain in ((all_of, all), (any_of, any)):
        outcomes = {plain(way) for way in ways}
        assert of(parts) == (outcomes.pop() if len(outcomes) == 1 else None)


def test_of_nothing_all_is_so_and_none_is() -> None:
    assert all_of(()) is True
    assert any_of(()) is False


def test_not_is_the_other_way_round_and_unknown_stays() -> None:
    assert [negated(one) for one in VERDICTS] == [False, True, None]


def test_nothing_is_compared_with_what_is_not_known() -> None:
    inch = exactly(1.0, Dimension.LENGTH)
    limit = Limit("one", inch, "pack", "book", "read from text")
    assert compared(at_least, inch, limit) is True
    assert compared(at_least, None, limit) is None
    assert compared(at_least, inch, limit.derived(None, "")) is None
    assert compared(at_least, Quantity(0.5, 1.5, Dimension.LENGTH), limit) is None


def area(lists: str) -> Area:
    text = f"format: 1\nunits: in\nsite: {{name: Bench, invented: true}}\nareas: [{{id: a{lists}}}]\n"
    return site_from_text(text, "bench").areas[0]


def test_a_list_that_is_absent_is_asked_for_and_an_empty_one_says_that_there_is_none() -> None:
    absent, empty = (list(listed_parts(area(text), "posts", "posts")) for text in ("", ", posts: []"))
    assert [(one.outcome, one.asks) for one in absent] == [("not-measured", ("area.posts",))]
    assert [(one.outcome, one.because) for one in empty] == [("does-not-apply", "no posts here")]
    assert list(listed_parts(area(", posts: [{id: P1}]"), "posts", "posts")) == []


def test_joists_and_supports() -> None:
    nothing = area("")
    for answer in (no_joists(nothing, "joist ends"), no_supports(nothing, "sills")):
        assert answer is not None
        assert answer.outcome == "not-measured"
    none = no_joists(area(", joists: []"), "joist ends")
    assert none is not None
    assert none.outcome == "does-not-apply"
    assert no_supports(area(", supports: []"), "sills") is None
