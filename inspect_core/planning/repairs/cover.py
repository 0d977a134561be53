"""The smallest set of work that clears a hold point: which of the proven repairs together settle all that can be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

EXACT, GREEDY = "exact", "greedy"


@dataclass(frozen=True, slots=True)
class Choice:
    """A repair by its number, what it settles of what is wanted, and its effort."""

    number: int
    settles: frozenset[object]
    effort: int


def smallest(choices: Sequence[Choice], exact_up_to: int) -> tuple[tuple[int, ...], str]:
    """The numbers of the repairs that settle everything that any of them settles, with the least effort in all.

    Every combination is weighed where at most ``exact_up_to`` repairs are left after those have gone that another one
    beats by itself and those are taken that alone settle something; beyond that the one with the least effort for
    each thing still open is taken next. Says which of the two it was.
    """
    wanted = frozenset().union(*(c.settles for c in choices)) if choices else frozenset()
    left = _without_beaten(choices)
    taken: list[Choice] = []
    while True:  # what alone settles something has to be there
        only = next((c for c in left if any(_alone(thing, c, left) for thing in c.settles & wanted)), None)
        if only is None:
            break
        taken.append(only)
        wanted -= only.settles
        left = _without_beaten([Choice(c.number, c.settles & wanted, c.effort) for c in left if c is not only])
    best: Sequence[Choice] | None
    if len(left) <= exact_up_to:
        best, how = _exact(sorted(left, key=lambda c: (c.effort, c.number)), wanted), EXACT
    else:
        best, how = _greedy(left, wanted), GREEDY
    return tuple(sorted(c.number for c in (*taken, *best))), how


def _alone(thing: object, choice: Choice, left: Sequence[Choice]) -> bool:
    return not any(thing in other.settles for other in left if other is not choice)


def _without_beaten(choices: Sequence[Choice]) -> list[Choice]:
    """Without what settles nothing, and what settles no more than a cheaper one (of equals the first stays)."""
    kept: list[Choice] = []
    for choice in sorted(choices, key=lambda c: (c.effort, -len(c.settles), c.number)):
        if choice.settles and not any(choice.settles <= other.settles for other in kept):
            kept.append(choice)
    return kept


def _exact(choices: Sequence[Choice], wanted: frozenset[object]) -> list[Choice]:
    """Branch and bound over what settles one thing that is still open."""
    best: list[list[Choice]] = [_greedy(choices, wanted)]
    least = sum(c.effort for c in best[0])

    def search(open_: frozenset[object], taken: list[Choice], spent: int) -> None:
        nonlocal least
        if not open_:
            if spent < least:
                best[0], least = list(taken), spent
            return
        by_thing: Mapping[object, list[Choice]] = {t: [c for c in choices if t in c.settles] for t in open_}
        hardest = min(by_thing.values(), key=len)
        for choice in hardest:
            if spent + choice.effort < least:
                search(open_ - choice.settles, [*taken, choice], spent + choice.effort)

    search(wanted, [], 0)
    return best[0]


def _greedy(choices: Sequence[Choice], wanted: frozenset[object]) -> list[Choice]:
    taken: list[Choice] = []
    while wanted:
        following = min(
            (c for c in choices if c.settles & wanted), key=lambda c: (c.effort / len(c.settles & wanted), c.number)
        )
        taken.append(following)
        wanted -= following.settles
    needed = list(taken)
    for choice in sorted(taken, key=lambda c: -c.effort):  # what the later ones made superfluous
        others = [c for c in needed if c is not choice]
        if choice.settles <= frozenset().union(*(c.settles for c in others)):
            needed = others
    return needed
