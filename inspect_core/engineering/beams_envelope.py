"""Live load on any of the spans and not on others: the worst of all patterns, exactly and without trying them all.

Every part of the live load is solved once, alone. What it does to the moment at a place is either welcome or
not, so the greatest moment there comes from the base loads and all parts that raise it. Where along a piece a
part changes from one to the other is a zero of its own moment; between those places the greatest moment is
one polynomial, whose largest value is found as for a single load case. Shear and deflection go alike.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal, NamedTuple

from inspect_core.engineering.beams_model import SNAP, Beam, LineLoad, Loads
from inspect_core.engineering.beams_roots import Polynomial, derivative, value, zeros
from inspect_core.engineering.beams_solution import (
    TIE,
    Piece,
    Side,
    Solution,
    Span,
    cut_out,
    on_one_grid,
    superpose,
)
from inspect_core.engineering.beams_solve import solve

Quantity = Literal["moment", "shear", "deflection"]


class PatternExtreme(NamedTuple):
    """A value (lb, lb·in or in), where it occurs (in), and the numbers of the live loads that bring it about."""

    at: float
    value: float
    loaded: tuple[int, ...]


class PatternRange(NamedTuple):
    """The greatest and the least value of something over all patterns."""

    greatest: PatternExtreme
    least: PatternExtreme

    @property
    def largest(self) -> PatternExtreme:
        """The one that is largest in size, with its sign."""
        return self.greatest if abs(self.greatest.value) >= abs(self.least.value) else self.least


@dataclass(frozen=True)
class Envelope:
    """The worst of all patterns: every base load acts, and each live load either acts or does not."""

    base: Solution
    live: tuple[Solution, ...]
    """What each live load does alone, on supports that have not settled."""

    def pattern(self, loaded: Iterable[int]) -> Solution:
        """The solution with the live loads of the given numbers acting."""
        return superpose([self.base, *(self.live[number] for number in loaded)])

    @cached_property
    def reactions(self) -> tuple[PatternRange, ...]:
        """The greatest and least reaction of each support; a least one below zero means uplift."""
        return tuple(
            _range(at, self.base.reactions[order], [case.reactions[order] for case in self.live])
            for order, at in enumerate(self.base.supports)
        )

    @property
    def spans(self) -> tuple[Span, ...]:
        """The spans and overhangs from left to right."""
        return self.base.spans

    @cached_property
    def moments(self) -> PatternRange:
        """The greatest and least moment over the whole beam."""
        return self.between("moment", 0.0, self.base.length)

    @cached_property
    def shears(self) -> PatternRange:
        """The greatest and least shear over the whole beam."""
        return self.between("shear", 0.0, self.base.length)

    @cached_property
    def deflections(self) -> PatternRange:
        """The greatest and least deflection over the whole beam, settlement included."""
        return self.between("deflection", 0.0, self.base.length)

    def between(self, quantity: Quantity, start: float, end: float) -> PatternRange:
        """The greatest and least `quantity` from `start` to `end`; `BeamError` if that is not a length of the beam."""
        grid = [cut_out(pieces, start, end) for pieces in self._grid]
        return _worst(grid, _TERMS[quantity])

    def span_deflections(self, index: int) -> PatternRange:
        """The greatest and least deflection of `spans[index]` from the line between its settled supports.

        For an overhang, from the level of its support.
        """
        span = self.spans[index]
        level, tilt = span.chord(self.base.settlements)
        grid = [cut_out(pieces, span.start, span.end) for pieces in self._grid]
        grid[0] = [piece.tilted(level + tilt * (piece.start - span.start), tilt) for piece in grid[0]]
        return _worst(grid, _TERMS["deflection"])

    def shear_away_from_supports(self, distance: float) -> PatternExtreme | None:
        """The largest shear in size at positions no nearer than `distance` to a support; None if there are none."""
        clear = [span.away_from_supports(distance) for span in self.spans]
        found = [self.between("shear", *ends).largest for ends in clear if ends]
        return max(found, key=lambda extreme: abs(extreme.value)) if found else None

    def at(self, quantity: Quantity, place: float) -> PatternRange:
        """The greatest and least `quantity` at `place`, on whichever side of it. Raises `BeamError` off the beam."""
        ranges = []
        for side in _SIDES:
            base, *parts = (_READ[quantity](case, place, side) for case in (self.base, *self.live))
            ranges.append(_range(place, base, parts))
        return PatternRange(
            max([each.greatest for each in ranges], key=_value), min([each.least for each in ranges], key=_value)
        )

    @cached_property
    def _grid(self) -> list[list[Piece]]:
        return on_one_grid([self.base, *self.live])


_SIDES: tuple[Side, ...] = ("left", "right")

_TERMS: dict[Quantity, Callable[[Piece], Polynomial]] = {
    "moment": Piece.moment_terms,
    "shear": Piece.shear_terms,
    "deflection": Piece.deflection_terms,
}

_READ: dict[Quantity, Callable[[Solution, float, Side], float]] = {
    "moment": Solution.moment,
    "shear": Solution.shear,
    "deflection": lambda solution, place, _side: solution.deflection(place),
}


def _value(extreme: PatternExtreme) -> float:
    return extreme.value


def _range(at: float, base: float, parts: Sequence[float]) -> PatternRange:
    """The range of `base` plus any of `parts`, all at one place."""
    # A part that is zero but for rounding does not bring anything about.
    nothing = TIE * max(abs(base), *map(abs, parts), 0.0)
    raising = tuple(number for number, part in enumerate(parts) if part > nothing)
    lowering = tuple(number for number, part in enumerate(parts) if part < -nothing)
    return PatternRange(
        PatternExtreme(at, base + sum(parts[number] for number in raising), raising),
        PatternExtreme(at, base + sum(parts[number] for number in lowering), lowering),
    )


def _worst(grid: Sequence[Sequence[Piece]], terms: Callable[[Piece], Polynomial]) -> PatternRange:
    """The greatest and least over all patterns along the beam; `grid` has the base's pieces, then each live load's."""
    ranges = []
    for pieces in zip(*grid, strict=True):
        base, *parts = (terms(piece) for piece in pieces)
        start, end = pieces[0].start, pieces[0].end
        length = end - start
        changes = sorted({0.0, length, *(at for part in parts for at in zeros(part, 0.0, length))})
        for low, high in pairwise(changes):
            middle = [value(part, 0.5 * (low + high)) for part in parts]
            for wanted in (1, -1):
                whole = base
                for part, size in zip(parts, middle, strict=True):
                    if wanted * size > 0:
                        whole = _sum(whole, part)
                for at in (low, *zeros(derivative(whole), low, high), high):
                    here = end if at == length else start + at
                    ranges.append(_range(here, value(base, at), [value(part, at) for part in parts]))
    greatest = max(each.greatest.value for each in ranges)
    least = min(each.least.value for each in ranges)
    return PatternRange(
        next(each.greatest for each in ranges if each.greatest.value >= greatest - TIE * abs(greatest)),
        next(each.least for each in ranges if each.least.value <= least + TIE * abs(least)),
    )


def _sum(first: Polynomial, second: Polynomial) -> Polynomial:
    a0, a1, a2, a3, a4, a5 = first
    b0, b1, b2, b3, b4, b5 = second
    return (a0 + b0, a1 + b1, a2 + b2, a3 + b3, a4 + b4, a5 + b5)


def envelope(base: Beam, live: Sequence[Loads]) -> Envelope:
    """Solve `base` (its own loads and settlements always act) and each of the `live` loads, which may or may not act.

    Usually there is one live load for each span: see `loads_by_span`. Raises `BeamError` as `solve` does.
    """
    bare = base.unsettled()
    return Envelope(solve(base), tuple(solve(bare.loaded_by(loads)) for loads in live))


def loads_by_span(beam: Beam, loads: Loads) -> tuple[Loads, ...]:
    """Cut `loads` at the supports: what lies on each span or overhang of `beam`, from left to right.

    A point load or couple just over a support counts with the span to its right, where there is one.
    """
    bounds = sorted({0.0, *(support.at for support in beam.supports), beam.length})
    bounds = [
        at for at, before in zip(bounds, [-beam.length, *bounds], strict=False) if at - before > SNAP * beam.length
    ]
    found = []
    last = len(bounds) - 2

    def number(at: float) -> int:
        return min(max(bisect_right(bounds, at) - 1, 0), last)

    for order, (start, end) in enumerate(pairwise(bounds)):
        lines = []
        for line in loads.line_loads:
            low, high = max(line.start, start), min(line.end, end)
            if high - low > SNAP * beam.length:
                rise = (line.at_end - line.at_start) / (line.end - line.start)
                first = line.at_start + rise * (low - line.start)
                lines.append(LineLoad(low, high, first, first + rise * (high - low)))
        found.append(
            Loads(
                tuple(each for each in loads.point_loads if number(each.at) == order),
                tuple(lines),
                tuple(each for each in loads.couples if number(each.at) == order),
            )
        )
    return tuple(found)
