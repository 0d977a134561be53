"""The smallest set of work, against trying every combination."""

from __future__ import annotations

from itertools import chain, combinations

from hypothesis import given
from hypothesis import strategies as st

from inspect_core.planning.repairs.cover import EXACT, GREEDY, Choice, smallest

CHOICES = st.lists(
    st.tuples(st.frozensets(st.integers(0, 6), max_size=4), st.integers(1, 9)), min_size=1, max_size=8
).map(lambda rows: [Choice(n + 1, settles, effort) for n, (settles, effort) in enumerate(rows)])


def cheapest(choices: list[Choice]) -> int:
    """The least effort that settles everything, by brute force."""
    wanted = frozenset().union(*(c.settles for c in choices))
    sets = chain.from_iterable(combinations(choices, n) for n in range(len(choices) + 1))
    whole = [s for s in sets if frozenset().union(*(c.settles for c in s)) == wanted]
    return min(sum(c.effort for c in s) for s in whole)


@given(CHOICES)
def test_exact_is_the_least_effort_of_all(choices: list[Choice]) -> None:
    numbers, how = smallest(choices, 100)
    chosen = [c for c in choices if c.number in numbers]
    assert how == EXACT
    assert frozenset().union(*(c.settles for c in chosen)) == frozenset().union(*(c.settles for c in choices))
    assert sum(c.effort for c in chosen) == cheapest(choices)


@given(CHOICES)
def test_greedy_settles_everything_and_says_that_it_is_greedy(choices: list[Choice]) -> None:
    numbers, how = smallest(choices, -1)
    chosen = [c for c in choices if c.number in numbers]
    assert how == GREEDY
    assert frozenset().union(*(c.settles for c in chosen)) == frozenset().union(*(c.settles for c in choices))


def test_one_repair_for_two_things_beats_two_that_cost_more_together() -> None:
    choices = [Choice(1, frozenset("a"), 4), Choice(2, frozenset("b"), 4), Choice(3, frozenset("ab"), 7)]
    assert smallest(choices, 10) == ((3,), EXACT)
    dear = [*choices[:2], Choice(3, frozenset("ab"), 9)]
    assert smallest(dear, 10) == ((1, 2), EXACT)


def test_nothing_to_choose_from() -> None:
    assert smallest([], 10) == ((), EXACT)
