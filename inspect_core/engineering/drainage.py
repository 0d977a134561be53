"""Drains under a floor: how deep a pipe lies at each joist, the hole it needs there, and where else it would pass.

Lengths are inches and slopes rise over run. Heights are depths below the tops of the joists, downwards positive. A
*run* is a distance along the pipe in plan, from its start at the fixture. What a joist may be bored by is the caller's
to say (:class:`BoreLimits`); the only figures here are sizes of pipe (``drainage_data_*.csv``).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import acos, degrees, hypot, inf, sqrt
from pathlib import Path

from .tables import read_rows, require_not_negative, require_positive
from .working import Step, Working, show

_DATA = Path(__file__).parent / "drainage_data_pipes.csv"
_SIZES = Path(__file__).parent / "drainage_data_sizes.csv"
_SAME_SIZE = 0.01  # in: a nominal size is written one way only
NEAR = 1e-9  # in: how far two lengths may lie apart and still count as equal

Point = tuple[float, float]
Window = tuple[float, float]


# --- pipe -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class PipeSize:
    """One size of drain pipe, with the source and status of its outside diameter."""

    material: str
    nominal_in: float
    outside_in: float
    source: str
    status: str


@cache
def pipe_sizes(material: str) -> tuple[PipeSize, ...]:
    """Sizes of drain pipe of a material, the smallest first; none for a material that the data doesn't have."""
    rows = (row for row in read_rows(_DATA) if row["material"] == material)
    sizes = (PipeSize(material, float(r["nominal_in"]), float(r["outside_in"]), r["source"], r["status"]) for r in rows)
    return tuple(sorted(sizes, key=lambda size: size.nominal_in))


def pipe_size(material: str, nominal_in: float) -> PipeSize | None:
    """The pipe of a nominal size; ``None`` when the data doesn't have it."""
    return next((size for size in pipe_sizes(material) if abs(size.nominal_in - nominal_in) <= _SAME_SIZE), None)


@cache
def nominal_sizes() -> tuple[float, ...]:
    """Names of drain sizes (in), whatever the pipe is made of, the smallest first."""
    return tuple(sorted(float(row["nominal_in"]) for row in read_rows(_SIZES)))


# --- length and fall --------------------------------------------------------------------------------------------------


def turns(route: Sequence[Point]) -> tuple[float, ...]:
    """How far the route turns at each inner corner, in degrees; a corner listed twice turns nothing."""
    legs = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(route) if hypot(b[0] - a[0], b[1] - a[1]) > NEAR]
    found = []
    for (ax, ay), (bx, by) in pairwise(legs):
        cosine = (ax * bx + ay * by) / (hypot(ax, ay) * hypot(bx, by))
        found.append(degrees(acos(max(-1.0, min(1.0, cosine)))))
    return tuple(found)


def fall(slope: float, run_in: float) -> float:
    """How much lower a pipe lies after a run."""
    return slope * run_in


def longest_arm_for_fall(pipe_in: float, slope: float) -> float | None:
    """Longest trap arm that falls no more than one pipe diameter; ``None`` where it doesn't fall at all.

    A longer one would have its outlet below the weir of the trap, and siphon it empty.
    """
    return pipe_in / slope if slope > 0 else None


# --- the hole that a pipe needs ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Crossing:
    """A joist on the way: its centre's run from the start, its depth, and its thickness (all plies and sisters).

    ``square`` is the cosine of the angle in plan between the pipe and a line square to the joist; 1 crosses squarely.
    """

    run_in: float
    depth_in: float
    thickness_in: float
    square: float = 1.0


@dataclass(frozen=True, slots=True)
class BoreLimits:
    """What a joist may be bored by: the largest hole as a share of its depth, and the least wood above and below."""

    largest_share: float
    above_in: float
    below_in: float


@dataclass(frozen=True, slots=True)
class Hole:
    """The least hole that lets a pipe through, and the wood that it leaves above and below; negative: none is left."""

    diameter_in: float
    above_in: float
    below_in: float


def least_hole(outside_in: float, slope: float, thickness_in: float, square: float = 1.0) -> float:
    """Diameter of the least straight hole that a sloping pipe passes.

    A pipe that crosses aslant, in plan or by its slope, cuts the joist's face in an ellipse and leaves on the other
    side further along: the hole spans both ellipses. Raises ``ValueError`` unless ``0 < square <= 1``.
    """
    require_positive(outside_in=outside_in, thickness_in=thickness_in)
    if not 0 < square <= 1:
        raise ValueError(f"square must be over 0 and at most 1, not {square!r}")
    cosine = square / sqrt(1 + slope * slope)
    return outside_in / cosine + thickness_in * sqrt(max(1 / (cosine * cosine) - 1, 0.0))


def height_of(outside_in: float, slope: float) -> float:
    """Height of a sloping pipe measured plumb, from its top to its bottom."""
    return outside_in * sqrt(1 + slope * slope)


def hole_at(crossing: Crossing, outside_in: float, slope: float, start_in: float) -> Hole:
    """The hole that a pipe needs in a joist, when the pipe's top starts ``start_in`` below the joists' tops."""
    diameter = least_hole(outside_in, slope, crossing.thickness_in, crossing.square)
    centre = start_in + height_of(outside_in, slope) / 2 + fall(slope, crossing.run_in)
    return Hole(diameter, centre - diameter / 2, crossing.depth_in - centre - diameter / 2)


def hole_working(crossing: Crossing, outside_in: float, slope: float, start_in: float) -> Working:
    """The working of :func:`hole_at`."""
    hole = hole_at(crossing, outside_in, slope, start_in)
    cosine = crossing.square / sqrt(1 + slope * slope)
    tangent = sqrt(max(1 / (cosine * cosine) - 1, 0.0))
    top = start_in + fall(slope, crossing.run_in)
    centre = top + height_of(outside_in, slope) / 2
    half = f"{show(hole.diameter_in)} / 2"
    through = f"{show(outside_in)} / {show(cosine)} + {show(crossing.thickness_in)} x {show(tangent)}"
    sinks = f"{show(start_in)} + {show(slope)} x {show(crossing.run_in)}"
    deep, middle = show(crossing.depth_in), show(centre)
    return (
        Step("D", "d / cos a + t tan a", through, hole.diameter_in, "in", "least hole, geometry"),
        Step("y", "start + s L", sinks, top, "in", "pipe's top"),
        Step("c", "y + half the pipe", f"{show(top)} + {show(centre - top)}", centre, "in", "centre of the hole"),
        Step("above", "c - D/2", f"{middle} - {half}", hole.above_in, "in", "wood above"),
        Step("below", "h - c - D/2", f"{deep} - {middle} - {half}", hole.below_in, "in", "wood below"),
    )


# --- where else it would pass -----------------------------------------------------------------------------------------


def window_at(crossing: Crossing, outside_in: float, slope: float, limits: BoreLimits) -> Window | None:
    """Highest and lowest place of the pipe's top at one joist that its limits allow; ``None``: at no height."""
    diameter = least_hole(outside_in, slope, crossing.thickness_in, crossing.square)
    if diameter > limits.largest_share * crossing.depth_in + NEAR:
        return None
    to_top = height_of(outside_in, slope) / 2  # from the pipe's centre up to its top
    high = limits.above_in + diameter / 2 - to_top
    low = crossing.depth_in - limits.below_in - diameter / 2 - to_top
    return (high, low) if high <= low + NEAR else None


def start_window(crossings: Iterable[Crossing], outside_in: float, slope: float, limits: BoreLimits) -> Window | None:
    """Highest and lowest start of the pipe's top at which it passes every joist; ``None``: there is none.

    ``(-inf, inf)`` where there is no joist on its way.
    """
    highest, lowest = -inf, inf
    for crossing in crossings:
        window = window_at(crossing, outside_in, slope, limits)
        if window is None:
            return None
        down = fall(slope, crossing.run_in)
        highest, lowest = max(highest, window[0] - down), min(lowest, window[1] - down)
    return (highest, lowest) if highest <= lowest + NEAR else None


def start_below_joists(crossings: Iterable[Crossing], slope: float) -> float | None:
    """How far below the joists' tops a pipe's top must start to run under all of them; ``None`` without joists."""
    return max((c.depth_in - fall(slope, c.run_in) for c in crossings), default=None)


def largest_pipe(
    sizes: Iterable[PipeSize],
    crossings: Sequence[Crossing],
    slope: float,
    limits: BoreLimits,
    start_in: float | None = None,
) -> PipeSize | None:
    """The largest pipe that passes every joist from this start, or from any start when none is given."""
    best: PipeSize | None = None
    for size in sizes:
        window = start_window(crossings, size.outside_in, slope, limits)
        fits = window is not None and (start_in is None or window[0] - NEAR <= start_in <= window[1] + NEAR)
        if fits and (best is None or size.nominal_in > best.nominal_in):
            best = size
    return best


def nearest_starts(
    crossings: Sequence[Crossing],
    outside_in: float,
    slope: float,
    limits: BoreLimits,
    start_in: float,
    blocked: Sequence[Window] = (),
    low: float = -inf,
    high: float = inf,
) -> tuple[float | None, float | None]:
    """How far to move a drain's start along its first leg so that it passes: the least move back, and ahead.

    Its height stays; ahead (positive) is towards the stack. ``crossings`` may include joists behind the start, with a
    negative run, that a move back would put on the way; a joist that the start has moved past is on the way no more.
    ``blocked`` are moves that would put the start onto a joist, ``low`` and ``high`` the farthest moves. ``None``: no
    move on that side helps. A start that passes where it is gives ``(0, 0)``. Raises ``ValueError`` for a pipe that
    rises.
    """
    require_not_negative(slope=slope)
    ordered = sorted(crossings, key=lambda one: one.run_in)
    bounds = _moves_allowed(ordered, outside_in, slope, limits, start_in)
    runs, taken = [one.run_in for one in ordered], _merged(blocked)
    steps = {low, high, 0.0, *runs, *(edge for window in taken for edge in window)}
    cuts = sorted(step for step in steps if low <= step <= high)
    allowed: list[Window] = []
    for begins, ends in pairwise(cuts):  # between two cuts the same joists are on the way
        inside = _between(begins, ends)
        if _within(taken, inside):
            continue
        window = bounds[bisect_right(runs, inside)]
        first, last = max(begins, window[0]), min(ends, window[1])
        if first <= last + NEAR:
            allowed.append((first, last))
    back = max((min(last, 0.0) for first, last in allowed if first <= NEAR), default=None)
    ahead = min((max(first, 0.0) for first, last in allowed if last >= -NEAR), default=None)
    return back, ahead


def _moves_allowed(
    ordered: Sequence[Crossing], outside_in: float, slope: float, limits: BoreLimits, start_in: float
) -> list[Window]:
    """For each joist in order of its run: the moves at which the pipe passes it and all that come after it."""
    bounds: list[Window] = [(-inf, inf)]
    for crossing in reversed(ordered):
        first, last = bounds[-1]
        window = window_at(crossing, outside_in, slope, limits)
        if window is None:
            first, last = inf, -inf
        elif slope > 0:
            first = max(first, crossing.run_in - (window[1] - start_in) / slope)
            last = min(last, crossing.run_in - (window[0] - start_in) / slope)
        elif not window[0] - NEAR <= start_in <= window[1] + NEAR:
            first, last = inf, -inf
        bounds.append((first, last))
    return bounds[::-1]


def _between(begins: float, ends: float) -> float:
    if begins == -inf:
        return ends - 1.0 if ends != inf else 0.0
    return begins + 1.0 if ends == inf else (begins + ends) / 2


def nearest_clear(
    at: float, blocked: Iterable[Window], low: float = -inf, high: float = inf
) -> tuple[float | None, float | None]:
    """The nearest places on either side of ``at``, between ``low`` and ``high``, that lie in no blocked stretch.

    Stretches are open: their ends are clear. A place that is clear itself gives itself twice; ``None``: none there.
    """
    stretches = _merged(blocked)
    down, up = min(at, high), max(at, low)
    hit = _within(stretches, down)
    if hit is not None:
        down = hit[0]
    hit = _within(stretches, up)
    if hit is not None:
        up = hit[1]
    return (down if down >= low else None), (up if up <= high else None)


def _merged(stretches: Iterable[Window]) -> list[Window]:
    """Stretches in order, those that overlap made one; two that only touch leave their common end clear."""
    found: list[Window] = []
    for begins, ends in sorted((a, b) for a, b in stretches if a < b):
        if found and begins < found[-1][1] - NEAR:
            found[-1] = (found[-1][0], max(found[-1][1], ends))
        else:
            found.append((begins, ends))
    return found


def _within(stretches: Sequence[Window], place: float) -> Window | None:
    """The stretch that a place lies in, its ends left out."""
    number = bisect_right(stretches, (place, inf)) - 1
    for stretch in stretches[max(number - 1, 0) : number + 1]:
        if stretch[0] + NEAR < place < stretch[1] - NEAR:
            return stretch
    return None
