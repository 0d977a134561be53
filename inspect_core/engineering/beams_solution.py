"""What a solved beam answers: reactions, and shear, moment, slope, deflection anywhere, with their exact extremes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import isfinite
from operator import mul
from typing import Literal, NamedTuple

from inspect_core.engineering.beams_model import SNAP, BeamError
from inspect_core.engineering.beams_roots import Polynomial, derivative, enclosed_zero, quadratic_zeros, value, zeros

Side = Literal["left", "right"]

TIE = 1e-12
"""Extremes that differ by no more than this share are equal, and the leftmost is named."""


class Piece(NamedTuple):
    """A stretch of beam on which load and stiffness have one formula, with the state just inside both ends.

    At `s` inches from its start the line load is load + load_slope·s; shear, moment, slope and deflection
    follow from it by integration, so they are polynomials in s of the degrees 2, 3, 4 and 5.
    """

    start: float
    end: float
    ei: float
    load: float
    load_slope: float
    shear: float
    moment: float
    slope: float
    deflection: float
    shear_end: float
    moment_end: float
    slope_end: float
    deflection_end: float

    def shear_terms(self) -> Polynomial:
        """The shear as a polynomial in s."""
        return (self.shear, -self.load, -self.load_slope / 2, 0.0, 0.0, 0.0)

    def moment_terms(self) -> Polynomial:
        """The bending moment as a polynomial in s."""
        return (self.moment, self.shear, -self.load / 2, -self.load_slope / 6, 0.0, 0.0)

    def deflection_terms(self) -> Polynomial:
        """The deflection as a polynomial in s; its derivative is the slope."""
        ei, load, rise, shear, moment, slope, deflection = self[2:9]
        return (deflection, slope, -moment / (2 * ei), -shear / (6 * ei), load / (24 * ei), rise / (120 * ei))

    def state(self, s: float) -> tuple[float, float, float, float]:
        """Shear, moment, slope and deflection at `s` inches from the start."""
        ei, load, rise, shear, moment, slope, deflection = self[2:9]
        bent = s / ei
        return (
            shear - s * (load + s * rise / 2),
            moment + s * (shear - s * (load / 2 + s * rise / 6)),
            slope - bent * (moment + s * (shear / 2 - s * (load / 6 + s * rise / 24))),
            deflection + s * (slope - bent * (moment / 2 + s * (shear / 6 - s * (load / 24 + s * rise / 120)))),
        )

    def tilted(self, level: float, tilt: float) -> Piece:
        """The piece seen from a line that is down by `level` at its start and slopes by `tilt`."""
        return self._replace(
            slope=self.slope - tilt,
            deflection=self.deflection - level,
            slope_end=self.slope_end - tilt,
            deflection_end=self.deflection_end - level - tilt * (self.end - self.start),
        )

    def part(self, start: float, end: float) -> Piece:
        """The part of the piece between two positions along the beam."""
        s = start - self.start
        load = self.load + s * self.load_slope
        at_start = self.state(s) if start > self.start else self[5:9]
        at_end = self.state(end - self.start) if end < self.end else self[9:]
        return Piece(start, end, self.ei, load, self.load_slope, *at_start, *at_end)


class Extreme(NamedTuple):
    """A value (lb, lb·in or in) and where along the beam (in) it occurs."""

    at: float
    value: float


class Extremes(NamedTuple):
    """The greatest and least (with their signs) moment, shear and deflection on a length of beam.

    Of equal ones the leftmost is named. Moments and shears that jump count on both sides.
    """

    moment_max: Extreme
    moment_min: Extreme
    shear_max: Extreme
    shear_min: Extreme
    deflection_max: Extreme
    deflection_min: Extreme

    @property
    def moment_largest(self) -> Extreme:
        """The moment that is largest in size, with its sign."""
        return largest([self.moment_max, self.moment_min])

    @property
    def shear_largest(self) -> Extreme:
        """The shear that is largest in size, with its sign."""
        return largest([self.shear_max, self.shear_min])

    @property
    def deflection_largest(self) -> Extreme:
        """The deflection that is largest in size, with its sign."""
        return largest([self.deflection_max, self.deflection_min])


class Span(NamedTuple):
    """A length of beam between two neighbouring supports, or an overhang beyond the outermost one.

    `left` and `right` are the numbers of the supports at its ends, None at the free end of an overhang.
    """

    start: float
    end: float
    left: int | None
    right: int | None

    @property
    def length(self) -> float:
        """Its length (in)."""
        return self.end - self.start

    @property
    def overhang(self) -> bool:
        """Whether one end is free."""
        return self.left is None or self.right is None

    def chord(self, settlements: Sequence[float]) -> tuple[float, float]:
        """Level (in, down) at the start and tilt (radians) of the line from which the span's own deflection counts.

        It joins the settled supports; for an overhang it is level with its support.
        """
        if self.left is None or self.right is None:
            held = self.left if self.right is None else self.right
            return (0.0 if held is None else settlements[held]), 0.0
        level = settlements[self.left]
        return level, (settlements[self.right] - level) / self.length

    def away_from_supports(self, distance: float) -> tuple[float, float] | None:
        """From where to where the span is no nearer than `distance` to a support; None if it is nowhere."""
        if not (isfinite(distance) and distance >= 0):
            raise BeamError(f"the distance from the supports must be zero or more, not {distance:g}")
        start = self.start if self.left is None else self.start + distance
        end = self.end if self.right is None else self.end - distance
        return (start, end) if start < end else None


@dataclass(frozen=True)
class Solution:
    """A solved beam. Signs and units as in `beams_model`."""

    length: float
    supports: tuple[float, ...]
    """Where the supports stand."""
    settlements: tuple[float, ...]
    reactions: tuple[float, ...]
    """The force of each support on the beam, positive upwards: a negative one must be held down."""
    fixing_couples: tuple[float, ...]
    """The couple of each support on the beam, positive clockwise; zero unless the support is fixed."""
    pieces: tuple[Piece, ...]

    def shear(self, at: float, side: Side = "right") -> float:
        """Shear (lb) just to the `side` of `at`; at the ends of the beam, just inside.

        This and its companions raise `BeamError` off the beam.
        """
        return self._state(at, side)[0]

    def moment(self, at: float, side: Side = "right") -> float:
        """Bending moment (lb·in); the `side` matters only where a couple acts or a support is fixed."""
        return self._state(at, side)[1]

    def slope(self, at: float, side: Side = "right") -> float:
        """Slope (radians); the `side` matters only at a hinge."""
        return self._state(at, side)[2]

    def deflection(self, at: float) -> float:
        """Deflection (in), settlement included."""
        return self._state(at, "right")[3]

    def moments(self, positions: Iterable[float]) -> tuple[float, ...]:
        """The moment at each of `positions`; where it jumps, the larger in size of the two."""
        return tuple(max(self.moment(at, "left"), self.moment(at), key=abs) for at in positions)

    def _state(self, at: float, side: Side) -> tuple[float, float, float, float]:
        reach = SNAP * self.length
        if not -reach <= at <= self.length + reach:
            raise off_the_beam(at, at, self.length)
        # A position that misses a jump by rounding must still get the side that was asked for.
        if side == "right":
            index = bisect_right(self._starts, at + reach) - 1
        else:
            index = bisect_left(self._starts, at - reach) - 1
        piece = self.pieces[max(index, 0)]
        return piece.state(min(max(at, piece.start), piece.end) - piece.start)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """The spans and overhangs from left to right."""
        stands = self.supports
        spans = [Span(stands[i], stands[i + 1], i, i + 1) for i in range(len(stands) - 1)]
        if stands[0] > 0:
            spans.insert(0, Span(0.0, stands[0], None, 0))
        if stands[-1] < self.length:
            spans.append(Span(stands[-1], self.length, len(stands) - 1, None))
        return tuple(spans)

    @cached_property
    def extremes(self) -> Extremes:
        """Extremes over the whole beam."""
        return extremes_of(self.pieces)

    def span_extremes(self, index: int, *, from_chord: bool = False) -> Extremes:
        """Extremes on the span `spans[index]`.

        With `from_chord`, deflection counts from the straight line between the settled supports of the span
        (for an overhang, from the level of its support), so that it may be compared with a share of the
        span's length.
        """
        span = self.spans[index]
        first, after = bisect_left(self._starts, span.start), bisect_left(self._starts, span.end)
        level, tilt = span.chord(self.settlements) if from_chord else (0.0, 0.0)
        if level == 0 and tilt == 0:
            return extremes_of(self.pieces[first:after])
        return extremes_of(
            piece.tilted(level + tilt * (piece.start - span.start), tilt) for piece in self.pieces[first:after]
        )

    def extremes_between(self, start: float, end: float) -> Extremes:
        """Extremes from `start` to `end`. Raises `BeamError` off the beam or if `end` is not beyond `start`."""
        return extremes_of(cut_out(self.pieces, start, end))

    def shear_away_from_supports(self, distance: float) -> Extreme | None:
        """The largest shear in size at positions no nearer than `distance` to a support; None if there are none."""
        clear = [span.away_from_supports(distance) for span in self.spans]
        found = [self.extremes_between(*ends).shear_largest for ends in clear if ends]
        return largest(found) if found else None

    @cached_property
    def _starts(self) -> list[float]:
        return [piece.start for piece in self.pieces]


def off_the_beam(start: float, end: float, length: float) -> BeamError:
    """The error for asking about a place or a length that the beam does not have."""
    what = f"{start:g}" if start == end else f"from {start:g} to {end:g}"
    return BeamError(f"{what} is not on the beam, which goes from 0 to {length:g}")


def largest(extremes: Sequence[Extreme]) -> Extreme:
    """The one that is largest in size; of equal ones the leftmost."""
    size = max(abs(extreme.value) for extreme in extremes)
    return min(extreme for extreme in extremes if abs(extreme.value) >= size - TIE * size)


def cut_out(pieces: Sequence[Piece], start: float, end: float) -> list[Piece]:
    """The pieces from `start` to `end`, cut at both. Raises `BeamError` off the beam or if `end` is not beyond."""
    length = pieces[-1].end
    reach = SNAP * length
    if not -reach <= start < end <= length + reach:
        raise off_the_beam(start, end, length)
    inside = [piece for piece in pieces if piece.end > start and piece.start < end]
    if not inside:
        raise off_the_beam(start, end, length)
    inside[0] = inside[0].part(max(start, inside[0].start), inside[0].end)
    inside[-1] = inside[-1].part(inside[-1].start, min(end, inside[-1].end))
    return inside


_Candidate = tuple[float, float]
"""A value and where it occurs: values first, so that the greatest of several is found by plain comparison."""


_Arch = tuple[float, float, float, float, float, Piece]
"""Part of a piece where the slope goes straight up or down through zero, so that the deflection turns there once.

The deflection where the tangents at its two ends meet, which it does not go beyond; the distances of the two
ends from the start of the piece, and the slopes there; the piece. Arches that cannot count are told by the
first, which is cheaper than to find where they turn.
"""


def _turn(arch: _Arch) -> _Candidate:
    """The deflection where an arch turns, and where that is."""
    _, left, right, slope_left, slope_right, piece = arch
    terms = piece.deflection_terms()
    slope = derivative(terms)
    at = enclosed_zero(slope, derivative(slope), left, right, slope_left, slope_right)
    return value(terms, at), piece.start + at


def extremes_of(pieces: Iterable[Piece]) -> Extremes:
    """The extremes on pieces that follow each other from left to right.

    They lie at the ends of pieces or where, inside one, the derivative of what is asked changes sign.
    """
    moments: list[_Candidate] = []
    shears: list[_Candidate] = []
    deflections: list[_Candidate] = []
    downward: list[_Arch] = []
    upward: list[_Arch] = []
    for piece in pieces:
        start, end, ei, load, rise, shear, moment, slope, level, shear_end, moment_end, slope_end, level_end = piece
        length = end - start
        shears.append((shear, start))
        shears.append((shear_end, end))
        moments.append((moment, start))
        moments.append((moment_end, end))
        deflections.append((level, start))
        deflections.append((level_end, end))

        # The moment turns where the shear changes sign, the slope where the moment does, the deflection where
        # the slope does: each list of places cuts the piece for the next.
        turns: Sequence[float] = ()
        cuts: Sequence[float] = ()
        if rise:
            if 0 < -load / rise < length:
                shears.append((shear + load * load / (2 * rise), start - load / rise))
            turns = quadratic_zeros(shear, -load, -rise / 2, 0.0, length)
            cuts = zeros(piece.moment_terms(), 0.0, length)
        elif load:
            if shear < 0 < shear_end or shear_end < 0 < shear:
                turns = (shear / load,)
            cuts = quadratic_zeros(moment, shear, -load / 2, 0.0, length)
        elif moment < 0 < moment_end or moment_end < 0 < moment:
            cuts = zeros(piece.moment_terms(), 0.0, length)
        for at in turns:
            moments.append((moment + at * (shear - at * (load / 2 + at * rise / 6)), start + at))

        left, slope_left = 0.0, slope
        for right in (*cuts, length):
            if right == length:
                slope_right = slope_end
            else:
                bend = moment + right * (shear / 2 - right * (load / 6 + right * rise / 24))
                slope_right = slope - bend * right / ei
            if slope_left < 0 < slope_right or slope_right < 0 < slope_left:
                level_left = piece.state(left)[3] if left else level
                level_right = level_end if right == length else piece.state(right)[3]
                meeting = level_right - level_left - slope_right * (right - left)
                limit = level_left + slope_left * meeting / (slope_left - slope_right)
                arch = (limit, left, right, slope_left, slope_right, piece)
                (downward if slope_left > 0 else upward).append(arch)
            left, slope_left = right, slope_right

    greatest = max(deflections)[0]
    for arch in sorted(downward, reverse=True):
        if arch[0] < greatest:
            break
        deflections.append(_turn(arch))
        greatest = max(greatest, deflections[-1][0])
    least = min(deflections)[0]
    for arch in sorted(upward):
        if arch[0] > least:
            break
        deflections.append(_turn(arch))
        least = min(least, deflections[-1][0])
    return Extremes(*_both(moments), *_both(shears), *_both(deflections))


def _both(every: Sequence[_Candidate]) -> tuple[Extreme, Extreme]:
    """The greatest and the least; of those that differ by rounding only, the leftmost."""
    values = [size for size, _ in every]
    greatest, least = max(values), min(values)
    greatest -= TIE * abs(greatest)
    least += TIE * abs(least)
    return (
        Extreme(*min([(at, size) for size, at in every if size >= greatest])),
        Extreme(*min([(at, size) for size, at in every if size <= least])),
    )


def refined(pieces: Iterable[Piece], starts: Sequence[float]) -> list[Piece]:
    """The same pieces, cut further wherever one of the sorted `starts` lies inside one."""
    found = []
    for piece in pieces:
        inside = starts[bisect_right(starts, piece.start) : bisect_left(starts, piece.end)]
        if inside:
            bounds = [piece.start, *inside, piece.end]
            found += [piece.part(start, end) for start, end in pairwise(bounds)]
        else:
            found.append(piece)
    return found


def on_one_grid(solutions: Sequence[Solution]) -> list[list[Piece]]:
    """The pieces of each solution, cut so that all have the same. Raises `BeamError` unless they are of one beam."""
    if not solutions:
        raise BeamError("no solution to superpose")
    starts = sorted({piece.start for solution in solutions for piece in solution.pieces})
    grid = [refined(solution.pieces, starts) for solution in solutions]
    first = solutions[0]
    for solution, pieces in zip(solutions, grid, strict=True):
        same = (solution.length, solution.supports) == (first.length, first.supports)
        if not same or [piece.ei for piece in pieces] != [piece.ei for piece in grid[0]]:
            raise BeamError("only solutions of the same beam can be superposed")
    return grid


def superpose(solutions: Sequence[Solution], factors: Sequence[float] | None = None) -> Solution:
    """The solution under the sum of the loads and settlements of `solutions`, each times its factor (1 if not given).

    All must be of one beam, under whatever loads. Raises `BeamError` if length, supports or stiffness differ
    (hinges cannot be told from a solution and are not compared), if there is none, or if factors are too few
    or too many.
    """
    factors = [1.0] * len(solutions) if factors is None else list(factors)
    if len(factors) != len(solutions):
        raise BeamError(f"{len(solutions)} solutions need as many factors, not {len(factors)}")
    grid = on_one_grid(solutions)

    def summed(columns: Sequence[Sequence[float]]) -> tuple[float, ...]:
        return tuple(sum(map(mul, factors, column)) for column in zip(*columns, strict=True))

    first = solutions[0]
    return Solution(
        length=first.length,
        supports=first.supports,
        settlements=summed([each.settlements for each in solutions]),
        reactions=summed([each.reactions for each in solutions]),
        fixing_couples=summed([each.fixing_couples for each in solutions]),
        pieces=tuple(
            Piece(*alike[0][:3], *summed([piece[3:] for piece in alike])) for alike in zip(*grid, strict=True)
        ),
    )
