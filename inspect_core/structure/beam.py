"""One continuous beam at one end of the bounds: how much of its strength each length of it uses, and how far it sags.

Plain numbers in inches and pounds, so that beams alike are solved once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from inspect_core.engineering.beams import (
    Beam,
    Envelope,
    LineLoad,
    Loads,
    PointLoad,
    Segment,
    Solution,
    Support,
    loads_by_span,
    solve,
    superpose,
)

TOUCH = 1e-6


class Length(NamedTuple):
    """A length of the beam and what it bears: moment (lb·in) and shear (lb).

    ``to_support`` says that its shear counts right up to the supports.
    """

    start: float
    end: float
    moment: float
    shear: float
    to_support: bool
    name: str


class Action(NamedTuple):
    """A load: from ``start`` to ``end`` lb/in, or lb at one place."""

    start: float
    end: float
    amount: float


@dataclass(frozen=True, slots=True)
class Case:
    """A beam from 0 to ``length``. ``lengths`` cover it; ``live`` may act on any of its spans, ``dead`` always acts.

    ``stated`` may be dead or live load, nobody said: it always acts as well, unless it ``may_be_absent`` from any span
    like live load. Shear within ``shear_off`` of a support goes straight into it.
    """

    length: float
    supports: tuple[float, ...]
    stiffness: tuple[tuple[float, float, float], ...]
    dead: tuple[Action, ...]
    live: tuple[Action, ...]
    lengths: tuple[Length, ...]
    shear_off: float
    stated: tuple[Action, ...] = ()
    may_be_absent: bool = False


class Use(NamedTuple):
    """The hardest-worked place: demand over capacity there, both, where it is, and in which length."""

    ratio: float
    demand: float
    capacity: float
    at: float
    length: Length


class Sag(NamedTuple):
    """Deflections of one span, in: under live load (the worst pattern), dead load, and what may be either."""

    start: float
    end: float
    live: float
    dead: float
    overhang: bool
    stated: float = 0.0

    @property
    def span(self) -> float:
        """Length that a limit counts: of an overhang twice its own."""
        return (self.end - self.start) * (2 if self.overhang else 1)

    @property
    def live_share(self) -> float:
        """Live deflection, as much as may be live, as a share of the span."""
        return (self.live + self.stated) / self.span


@dataclass(frozen=True, slots=True)
class Solved:
    """What a case comes to. ``live_most`` is the greatest live reaction over all patterns."""

    bending: Use
    shear: Use
    sags: tuple[Sag, ...]
    supports: tuple[float, ...]
    dead_reactions: tuple[float, ...]
    live_reactions: tuple[float, ...]
    live_most: tuple[float, ...]
    stated_reactions: tuple[float, ...]

    @property
    def worst_sag(self) -> Sag:
        """The span with the greatest live deflection for its length."""
        return max(self.sags, key=lambda sag: sag.live_share)


@lru_cache(maxsize=4096)
def solve_case(case: Case) -> Solved:
    """Solve one case. Raises :class:`BeamError` where the beam cannot stand."""
    bare = Beam(
        case.length,
        tuple(Segment(*part) for part in case.stiffness),
        tuple(Support(at) for at in case.supports),
    )
    live_loads = _loads(case.live)
    dead = solve(bare.loaded_by(_loads(case.dead)))
    stated = solve(bare.loaded_by(_loads(case.stated))) if case.stated else None
    simple = len(case.supports) == 2 and case.supports[0] <= TOUCH and case.supports[1] >= case.length - TOUCH
    if simple:
        found: _Simple | _Patterns = _Simple(bare, dead, stated, live_loads)
    else:
        found = _Patterns(bare, dead, stated, live_loads, _loads(case.stated) if case.may_be_absent else None)
    return Solved(
        bending=_bending(case, found),
        shear=_shear(case, found),
        sags=found.sags(),
        supports=dead.supports,
        dead_reactions=dead.reactions,
        live_reactions=found.live.reactions,
        live_most=found.live_most(),
        stated_reactions=stated.reactions if stated is not None else tuple(0.0 for _ in dead.reactions),
    )


def _loads(actions: Sequence[Action]) -> Loads:
    points = tuple(PointLoad(a.start, a.amount) for a in actions if a.end - a.start <= TOUCH)
    lines = tuple(LineLoad.uniform(*a) for a in actions if a.end - a.start > TOUCH)
    return Loads(points, lines)


class _Simple:
    """A beam on its two ends: everything downwards makes everything worse, so all loads at once are the worst."""

    def __init__(self, bare: Beam, dead: Solution, stated: Solution | None, live: Loads) -> None:
        self.dead = dead
        self.stated = stated
        self.live = solve(bare.loaded_by(live))
        self.total = superpose([dead, self.live] if stated is None else [dead, stated, self.live])

    def moment(self, start: float, end: float) -> tuple[float, float]:
        if end - start <= TOUCH:
            return abs(self.total.moment(start)), start
        extreme = self.total.extremes_between(start, end).moment_largest
        return abs(extreme.value), extreme.at

    def shear(self, start: float, end: float) -> tuple[float, float]:
        if end - start <= TOUCH:
            return max(abs(self.total.shear(start, "left")), abs(self.total.shear(start))), start
        extreme = self.total.extremes_between(start, end).shear_largest
        return abs(extreme.value), extreme.at

    def sags(self) -> tuple[Sag, ...]:
        live = self.live.extremes.deflection_largest.value
        dead = self.dead.extremes.deflection_largest.value
        stated = self.stated.extremes.deflection_largest.value if self.stated is not None else 0.0
        return (Sag(0.0, self.live.length, abs(live), abs(dead), False, abs(stated)),)

    def live_most(self) -> tuple[float, ...]:
        return self.live.reactions


class _Patterns:
    """A beam over several supports: live load on some spans and not on others may be worse than on all."""

    def __init__(
        self, bare: Beam, dead: Solution, stated: Solution | None, live: Loads, absent: Loads | None = None
    ) -> None:
        self.dead = dead
        self.stated = stated
        self.live = solve(bare.loaded_by(live))
        cases = _by_span(bare, live)
        if stated is not None and absent is not None:
            self.all = Envelope(dead, (*cases, *_by_span(bare, absent)))
        else:
            self.all = Envelope(dead if stated is None else superpose([dead, stated]), cases)
        self.live_only = Envelope(solve(bare), cases)

    def moment(self, start: float, end: float) -> tuple[float, float]:
        if end - start <= TOUCH:
            worst = self.all.at("moment", start).largest
        else:
            worst = self.all.between("moment", start, end).largest
        return abs(worst.value), worst.at

    def shear(self, start: float, end: float) -> tuple[float, float]:
        if end - start <= TOUCH:
            worst = self.all.at("shear", start).largest
        else:
            worst = self.all.between("shear", start, end).largest
        return abs(worst.value), worst.at

    def sags(self) -> tuple[Sag, ...]:
        found = []
        for number, span in enumerate(self.live.spans):
            live = self.live_only.span_deflections(number).largest.value
            dead = self.dead.span_extremes(number, from_chord=True).deflection_largest.value
            stated = 0.0
            if self.stated is not None:
                stated = abs(self.stated.span_extremes(number, from_chord=True).deflection_largest.value)
            found.append(Sag(span.start, span.end, abs(live), max(dead, 0.0), span.overhang, stated))
        return tuple(found)

    def live_most(self) -> tuple[float, ...]:
        return tuple(reaction.greatest.value for reaction in self.live_only.reactions)


def _by_span(bare: Beam, loads: Loads) -> tuple[Solution, ...]:
    """The beam under the loads of each span alone."""
    parts = (part for part in loads_by_span(bare, loads) if part.point_loads or part.line_loads)
    return tuple(solve(bare.loaded_by(part)) for part in parts)


def _bending(case: Case, found: _Simple | _Patterns) -> Use:
    return max(_use(length, length.moment, *found.moment(length.start, length.end)) for length in case.lengths)


def _shear(case: Case, found: _Simple | _Patterns) -> Use:
    uses = []
    for length in case.lengths:
        for start, end in _clear(case, length):
            uses.append(_use(length, length.shear, *found.shear(start, end)))
    if not uses:  # a beam so short that all its load goes straight into the supports
        return Use(0.0, 0.0, case.lengths[0].shear, 0.0, case.lengths[0])
    return max(uses)


def _clear(case: Case, length: Length) -> list[tuple[float, float]]:
    """The parts of a length where shear counts."""
    if length.to_support:
        return [(length.start, length.end)]
    bounds = sorted({0.0, *case.supports, case.length})
    held = set(case.supports)
    found = []
    for first, last in pairwise(bounds):
        start = max(length.start, first + (case.shear_off if first in held else 0.0))
        end = min(length.end, last - (case.shear_off if last in held else 0.0))
        if end - start > TOUCH or (length.start == length.end and first <= length.start <= last and end >= start):
            found.append((start, end))
    return found


def _use(length: Length, capacity: float, demand: float, at: float) -> Use:
    if capacity > 0:
        return Use(demand / capacity, demand, capacity, at, length)
    return Use(math.inf if demand > TOUCH else 0.0, demand, capacity, at, length)


__all__ = ["Action", "Case", "Length", "Sag", "Solved", "Use", "solve_case"]
