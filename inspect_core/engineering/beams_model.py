"""What a beam is: its stiffness, supports, hinges and loads, and whether it stands at all.

Units throughout the beam modules: inches, pounds, and what follows from them (lb/in, lb·in, lb·in², radians).
Signs: loads, settlements and deflections are positive downwards, reactions positive upwards; a bending moment
is positive where it stretches the bottom of the beam; shear is the slope of the moment along the beam;
couples and slopes are positive clockwise, with the beam drawn from left (0) to right (its length).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import isfinite

SNAP = 1e-9
"""Two positions nearer than this share of the beam's length are the same position."""


class BeamError(ValueError):
    """The beam cannot be solved; the message says why, in words for whoever described the beam."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A length of beam of one bending stiffness `ei` (lb·in²)."""

    start: float
    end: float
    ei: float


@dataclass(frozen=True, slots=True)
class Support:
    """A support at `at` (in) that has gone down by `settlement` (in); `fixed` also keeps the beam from turning."""

    at: float
    settlement: float = 0.0
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A force of `force` (lb, positive downwards) at `at` (in)."""

    at: float
    force: float


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A load from `start` to `end` (in) that goes straight from `at_start` to `at_end` (lb/in, positive downwards)."""

    start: float
    end: float
    at_start: float
    at_end: float

    @classmethod
    def uniform(cls, start: float, end: float, rate: float) -> LineLoad:
        """The same `rate` (lb/in) all the way."""
        return cls(start, end, rate, rate)


@dataclass(frozen=True, slots=True)
class Couple:
    """A turning load of `clockwise` (lb·in) at `at` (in)."""

    at: float
    clockwise: float


@dataclass(frozen=True, slots=True)
class Loads:
    """Loads that act together."""

    point_loads: tuple[PointLoad, ...] = ()
    line_loads: tuple[LineLoad, ...] = ()
    couples: tuple[Couple, ...] = ()


@dataclass(frozen=True, slots=True)
class Beam:
    """A straight beam from 0 to `length`.

    `segments` follow each other from 0 to `length` without gap or overlap; `supports` stand in order;
    `hinges` are positions where the beam carries shear but no moment (a butt splice). Loads come in any order
    and may overlap. Nothing is checked here: `solve` does, and raises `BeamError`.
    """

    length: float
    segments: tuple[Segment, ...]
    supports: tuple[Support, ...]
    point_loads: tuple[PointLoad, ...] = ()
    line_loads: tuple[LineLoad, ...] = ()
    couples: tuple[Couple, ...] = ()
    hinges: tuple[float, ...] = ()

    @classmethod
    def prismatic(
        cls, length: float, ei: float, supports: Iterable[float | Support], loads: Loads | None = None
    ) -> Beam:
        """A beam of one stiffness; a support may be given by its position alone."""
        loads = loads or Loads()
        stands = tuple(each if isinstance(each, Support) else Support(each) for each in supports)
        parts = (loads.point_loads, loads.line_loads, loads.couples)
        return cls(length, (Segment(0.0, length, ei),), stands, *parts)

    @property
    def loads(self) -> Loads:
        """All loads on the beam."""
        return Loads(self.point_loads, self.line_loads, self.couples)

    def loaded_by(self, loads: Loads) -> Beam:
        """The same beam under `loads` instead of its own; settlements stay."""
        return replace(self, point_loads=loads.point_loads, line_loads=loads.line_loads, couples=loads.couples)

    def unsettled(self) -> Beam:
        """The same beam on supports that have not gone down."""
        return replace(self, supports=tuple(replace(each, settlement=0.0) for each in self.supports))


@dataclass(slots=True)
class Layout:
    """A checked beam cut into pieces, wherever stiffness, load or support changes.

    Piece i goes from `nodes[i]` to `nodes[i + 1]`; `load` and `load_slope` are the line load at its start and
    its change per inch. `force` and `couple` belong to nodes. `supports` and `hinges` are node numbers, in
    order.
    """

    nodes: list[float]
    ei: list[float]
    load: list[float]
    load_slope: list[float]
    force: list[float]
    couple: list[float]
    supports: list[int]
    hinges: list[int]


def _snap(marks: Sequence[float], at: float, reach: float) -> float:
    """The one of the sorted `marks` that lies within `reach` of `at`, else `at` itself."""
    after = bisect_left(marks, at)
    if after < len(marks) and marks[after] - at <= reach:
        return marks[after]
    if after and at - marks[after - 1] <= reach:
        return marks[after - 1]
    return at


def lay_out(beam: Beam) -> Layout:
    """Check `beam` and cut it into pieces.

    Raises `BeamError` for a length or stiffness that is not above zero, segments that do not cover the beam,
    supports out of order, anything off the beam, and a beam that would move as a mechanism.
    """
    length = beam.length
    if not (isfinite(length) and length > 0):
        raise BeamError(f"the beam's length must be above zero, not {length:g}")
    reach = SNAP * length
    ordered = [0.0, length]
    marks = set(ordered)

    def placed(at: float, what: str) -> float:
        """Where `at` is, or the mark that it all but hits; not a number is nowhere."""
        if at in marks:
            return at
        if not -reach <= at <= length + reach:
            raise BeamError(f"{what} at {at:g} is off the beam, which goes from 0 to {length:g}")
        return _snap(ordered, at, reach)

    stands: list[float] = []
    for support in beam.supports:
        at = placed(support.at, "a support")
        if stands and at - stands[-1] <= reach:
            raise BeamError(f"supports must be in order and apart: {support.at:g} comes after {stands[-1]:g}")
        if not isfinite(support.settlement):
            raise BeamError(f"the settlement of the support at {at:g} is not a number")
        stands.append(at)
    marks.update(stands)
    ordered = sorted(marks)
    hinges = []
    if beam.hinges:
        hinges = sorted({placed(at, "a hinge") for at in beam.hinges})
        marks.update(hinges)
        ordered = sorted(marks)
    bounds = _segment_bounds(beam, ordered, reach)
    if len(bounds) > 2:
        marks.update(bounds)
        ordered = sorted(marks)

    forces = [(placed(each.at, "a point load"), each.force) for each in beam.point_loads]
    couples = [(placed(each.at, "a couple"), each.clockwise) for each in beam.couples]
    lines = []
    for line in beam.line_loads:
        start, end = placed(line.start, "a line load's end"), placed(line.end, "a line load's end")
        if end - start <= reach:
            raise BeamError(f"a line load must end after it starts: from {line.start:g} to {line.end:g}")
        rise = (line.at_end - line.at_start) / (end - start)
        if not isfinite(rise):
            raise BeamError(f"the line load from {start:g} to {end:g} has no number for its size")
        lines.append((start, end, line.at_start, rise))

    marks.update([at for at, _ in forces], [at for at, _ in couples])
    for start, end, _, _ in lines:
        marks.add(start)
        marks.add(end)
    nodes = sorted(marks)
    number = {at: index for index, at in enumerate(nodes)}
    pieces = len(nodes) - 1
    if len(beam.segments) == 1:
        ei = [beam.segments[0].ei] * pieces
    else:
        ei = []
        for segment, start, end in zip(beam.segments, bounds, bounds[1:], strict=False):
            ei += [segment.ei] * (number[end] - number[start])
    load, load_slope = [0.0] * pieces, [0.0] * pieces
    for start, end, first, rise in lines:
        for index in range(number[start], number[end]):
            load[index] += first + rise * (nodes[index] - start)
            load_slope[index] += rise
    force, couple = [0.0] * (pieces + 1), [0.0] * (pieces + 1)
    for at, size in forces:
        force[number[at]] += size
    for at, size in couples:
        couple[number[at]] += size
    if not isfinite(sum(force) + sum(couple)):
        raise BeamError("a point load or a couple has no number for its size")

    layout = Layout(
        nodes, ei, load, load_slope, force, couple, [number[at] for at in stands], [number[at] for at in hinges]
    )
    _check_stands(beam, layout)
    return layout


def _segment_bounds(beam: Beam, marks: Sequence[float], reach: float) -> list[float]:
    """Where segments meet, from 0 to the beam's length."""
    if not beam.segments:
        raise BeamError("the beam has no segment, so its stiffness is unknown")
    bounds = [0.0]
    for segment in beam.segments:
        if not (isfinite(segment.ei) and segment.ei > 0):
            raise BeamError(
                f"the stiffness EI from {segment.start:g} to {segment.end:g} must be above zero, not {segment.ei:g}"
            )
        if not abs(segment.start - bounds[-1]) <= reach:
            raise BeamError(
                f"segments must follow each other without gap or overlap: one starts at {segment.start:g} "
                f"where {bounds[-1]:g} was due"
            )
        if not segment.end - segment.start > reach:
            raise BeamError(f"a segment must end after it starts: from {segment.start:g} to {segment.end:g}")
        bounds.append(_snap(marks, segment.end, reach))
    if not abs(bounds[-1] - beam.length) <= reach:
        raise BeamError(f"the segments end at {bounds[-1]:g}, the beam at {beam.length:g}")
    return bounds


def _check_stands(beam: Beam, layout: Layout) -> None:
    """Raise `BeamError` where hinges or too few supports leave the beam free to move."""
    stands, nodes = layout.supports, layout.nodes
    if not stands:
        raise BeamError("the beam has no support")
    fixed = [support.fixed for support in beam.supports]
    if len(stands) == 1 and not fixed[0]:
        raise BeamError(f"a beam on one support (at {nodes[stands[0]]:g}) tips over unless that support is fixed")
    hinged = set(layout.hinges)
    for node in layout.hinges:
        at = nodes[node]
        if node <= stands[0] > 0 or node >= stands[-1] < len(nodes) - 1:
            raise BeamError(f"the hinge at {at:g} lets the overhang beyond it fall")
        if layout.couple[node]:
            raise BeamError(f"a couple at the hinge at {at:g}: say on which side of it the couple acts")
        if node in stands and fixed[stands.index(node)]:
            raise BeamError(f"the fixed support at {at:g} has a hinge: make it a plain support instead")
    if not hinged:
        return

    # Each hinge inside a span needs one support moment of that span that is still free to be whatever closes
    # it. Going from left to right and taking the left one first finds a full set whenever there is one.
    def holds_moment(order: int, outer: int) -> bool:
        """Whether the support can hold a moment that statics does not give; `outer` is the end of the beam."""
        return fixed[order] or (order != outer and stands[order] not in hinged)

    last = len(stands) - 1
    spare = int(holds_moment(0, 0))
    for order in range(last):
        inside = [node for node in layout.hinges if stands[order] < node < stands[order + 1]]
        right = int(holds_moment(order + 1, last))
        if len(inside) > spare + right:
            where = ", ".join(f"{nodes[node]:g}" for node in inside)
            raise BeamError(
                f"the beam can fold at its hinges: between the supports at {nodes[stands[order]]:g} and "
                f"{nodes[stands[order + 1]]:g} it has one too many (at {where})"
            )
        # A fixed support offers each side a moment of its own, so what the left span takes is not missed on
        # the right.
        spare = right if fixed[order + 1] else min(right, spare + right - len(inside))
