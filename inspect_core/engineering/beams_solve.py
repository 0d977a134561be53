"""Solve a continuous beam exactly: the three-moment equations, generalised.

The beam is cut at its supports into simple spans. What is unknown is the moment over each support, and the
kink at each hinge inside a span. What determines them: the slopes of neighbouring spans agree over a support
(Clapeyron's theorem of three moments), and the moment at a hinge is zero. A span may change its stiffness at
will; its flexibility is integrated piece by piece. Unlike a stiffness matrix with a node at every change, the
equations stay well conditioned however short a piece is: a weak inch beside a bearing does no harm. Bending
only: small deflections, no shear deformation.
"""

from __future__ import annotations

from typing import NamedTuple

from inspect_core.engineering.beams_model import Beam, BeamError, Layout, Segment, lay_out
from inspect_core.engineering.beams_solution import Piece, Solution

_BAND = 3
"""Unknowns in one equation are no farther apart than this: between a span's two moments lie two hinges at most."""

State = tuple[float, float, float, float]
"""Shear, moment, slope and deflection at one place."""

AT_REST: State = (0.0, 0.0, 0.0, 0.0)


class _Hinge(NamedTuple):
    """A hinge inside a span: its node, unknown and place (share of the span), and the moment there in `_Span.free`."""

    node: int
    unknown: int
    place: float
    free_moment: float


class _Span(NamedTuple):
    """A simple span from support to support, cut free of its neighbours.

    `free` is the state at its right end if it started at the left with nothing but its load. Moments of 1 at
    its left and right end turn its ends by `flex`: (left by left, each by the other, right by right), away
    from each other. The moment at an end is what is known of it plus the unknown of the given number, if any.
    """

    first: int
    last: int
    start: float
    length: float
    left: int | None
    left_known: float
    right: int | None
    right_known: float
    free: State
    flex: tuple[float, float, float]
    tilt: float
    hinges: tuple[_Hinge, ...]


def solve(beam: Beam) -> Solution:
    """Solve `beam`. Raises `BeamError` with the reason if it is not a beam or does not stand; see `lay_out`."""
    layout = lay_out(beam)
    nodes, force, couple, stands = layout.nodes, layout.force, layout.couple, layout.supports
    settlements = tuple([support.settlement for support in beam.supports])
    fixed = [support.fixed for support in beam.supports]

    # Overhangs first: statics alone gives the state beside their support.
    near, far = stands[0], stands[-1]
    at_near = _carry(layout, 0, near, (-force[0], couple[0], 0.0, 0.0)) if near else AT_REST
    shear_far = moment_far = 0.0
    if far < len(nodes) - 1:
        shear, moment, _, _ = _carry(layout, far, len(nodes) - 1, AT_REST)
        shear_far = force[-1] - shear
        moment_far = -couple[-1] - moment - shear_far * (nodes[-1] - nodes[far])

    spans, unknowns = _spans(beam.segments, layout, fixed, settlements, at_near[1], moment_far)
    answers, scale = _moments_and_kinks(spans, unknowns, bool(layout.hinges))

    pieces: list[Piece] = []
    reactions = [force[node] for node in stands]
    fixing = [-couple[node] for node in stands]
    reactions[0] -= at_near[0]
    fixing[0] -= at_near[1]
    slope_far = 0.0
    for order, span in enumerate(spans):
        state, kinks = _started(span, answers, scale, settlements[order])
        if order == 0 and near:
            _left_overhang(layout, at_near, state[2], settlements[0], pieces)
        reactions[order] += state[0]
        fixing[order] += state[1]
        shear, moment, slope_far, _ = _carry(layout, span.first, span.last, state, kinks, pieces)
        reactions[order + 1] -= shear
        fixing[order + 1] -= moment
    if near and not spans:
        _left_overhang(layout, at_near, 0.0, settlements[0], pieces)
    if far < len(nodes) - 1:
        _carry(layout, far, len(nodes) - 1, (shear_far, moment_far, slope_far, settlements[-1]), None, pieces)
    reactions[-1] += shear_far
    fixing[-1] += moment_far

    return Solution(
        nodes[-1],
        tuple([nodes[node] for node in stands]),
        settlements,
        tuple(reactions),
        tuple([turning if held else 0.0 for held, turning in zip(fixed, fixing, strict=True)]),
        tuple(pieces),
    )


def _carry(
    layout: Layout,
    first: int,
    last: int,
    state: State,
    kinks: dict[int, float] | None = None,
    pieces: list[Piece] | None = None,
) -> State:
    """Carry the state just right of node `first` to just left of node `last`, noting the pieces on the way."""
    shear, moment, slope, level = state
    nodes, stiffness, loads, rises = layout.nodes, layout.ei, layout.load, layout.load_slope
    end = nodes[first]
    for index in range(first, last):
        if index > first:
            shear -= layout.force[index]
            moment += layout.couple[index]
            if kinks:
                slope += kinks.get(index, 0.0)
        start, end = end, nodes[index + 1]
        s, ei, load, rise = end - start, stiffness[index], loads[index], rises[index]
        bent = s / ei
        sag = bent * (moment / 2 + s * (shear / 6 - s * (load / 24 + s * rise / 120)))
        after = (
            shear - s * (load + s * rise / 2),
            moment + s * (shear - s * (load / 2 + s * rise / 6)),
            slope - bent * (moment + s * (shear / 2 - s * (load / 6 + s * rise / 24))),
            level + s * (slope - sag),
        )
        if pieces is not None:
            pieces.append(Piece(start, end, ei, load, rise, shear, moment, slope, level, *after))
        shear, moment, slope, level = after
    return shear, moment, slope, level


def _left_overhang(layout: Layout, at_near: State, slope: float, settlement: float, pieces: list[Piece]) -> None:
    """Note the pieces of the left overhang, whose support turns by `slope`; `at_near` is where it ends from rest."""
    near = layout.supports[0]
    start_slope = slope - at_near[2]
    start_deflection = settlement - at_near[3] - start_slope * layout.nodes[near]
    start = (-layout.force[0], layout.couple[0], start_slope, start_deflection)
    _carry(layout, 0, near, start, None, pieces)


def _spans(
    segments: tuple[Segment, ...],
    layout: Layout,
    fixed: list[bool],
    settlements: tuple[float, ...],
    moment_near: float,
    moment_far: float,
) -> tuple[list[_Span], int]:
    """The spans from left to right, and how many unknowns they have, numbered in that order."""
    nodes, stands = layout.nodes, layout.supports
    hinged = set(layout.hinges)
    spans = []
    unknowns = 0
    last = len(stands) - 1
    left: int | None
    over: int | None = None  # the unknown moment over the support that the next span starts from
    for order in range(last):
        first_node, last_node = stands[order], stands[order + 1]
        start, length = nodes[first_node], nodes[last_node] - nodes[first_node]
        if fixed[order]:
            left, left_known = unknowns, 0.0
            unknowns += 1
        else:
            left, left_known = over, layout.couple[first_node] + (0.0 if order else moment_near)
        hinges = []
        if hinged:
            for node in range(first_node + 1, last_node):
                if node in hinged:
                    free_moment = _carry(layout, first_node, node, AT_REST)[1]
                    hinges.append(_Hinge(node, unknowns, (nodes[node] - start) / length, free_moment))
                    unknowns += 1
        over, right_known = None, 0.0
        if order + 1 == last and not fixed[last]:
            right_known = moment_far - layout.couple[last_node]
        elif last_node not in hinged:
            over = unknowns
            unknowns += 1
        spans.append(
            _Span(
                first_node,
                last_node,
                start,
                length,
                left,
                left_known,
                over,
                right_known,
                _carry(layout, first_node, last_node, AT_REST),
                _flexibility(segments, start, length),
                (settlements[order + 1] - settlements[order]) / length,
                tuple(hinges),
            )
        )
    return spans, unknowns


def _flexibility(segments: tuple[Segment, ...], start: float, length: float) -> tuple[float, float, float]:
    """Integrals over a span of (1-x)², (1-x)·x and x², each divided by EI, with x the share of the span."""
    if len(segments) == 1:
        whole = length / segments[0].ei
        return whole / 3, whole / 6, whole / 3
    left = mixed = right = 0.0
    for segment in segments:
        a = max((segment.start - start) / length, 0.0)
        b = min((segment.end - start) / length, 1.0)
        if a < b:
            share = (b - a) * length / segment.ei
            c, d = 1 - a, 1 - b
            # Differences of cubes over the width, written without subtracting near-equal numbers.
            left += share * (c * c + c * d + d * d) / 3
            right += share * (a * a + a * b + b * b) / 3
            mixed += share * (2 * a * c + 2 * b * d + a * d + b * c) / 6
    return left, mixed, right


def _moments_and_kinks(spans: list[_Span], unknowns: int, hinged: bool) -> tuple[list[float], float]:
    """The unknowns, and the stiffness by which each kink among them is multiplied to be of the size of a moment."""
    if not unknowns:
        return [], 1.0
    scale = 1 / max([max(span.flex) for span in spans])
    diagonal, beside, right = [0.0] * unknowns, [0.0] * unknowns, [0.0] * unknowns
    for span in spans:
        a, b = span.left, span.right
        known_left, known_right = span.left_known, span.right_known - span.free[1]
        by_left, mixed, by_right = span.flex
        # How far its load, its tilt and what is known of its end moments turn the two ends.
        sagged = span.free[3] / span.length
        if a is not None:
            diagonal[a] += scale * by_left
            right[a] += scale * (sagged - span.tilt - by_left * known_left - mixed * known_right)
            if b is not None:
                beside[a] = scale * mixed
        if b is not None:
            diagonal[b] = scale * by_right
            right[b] = scale * (span.free[2] - sagged + span.tilt - mixed * known_left - by_right * known_right)
    if not hinged:
        return _tridiagonal(diagonal, beside, right), scale

    rows: list[dict[int, float]] = [{index: entry} for index, entry in enumerate(diagonal)]
    for span in spans:
        a, b = span.left, span.right
        if a is not None and b is not None:
            rows[a][b] = rows[b][a] = beside[a]
        for hinge in span.hinges:
            for end, share in ((a, hinge.place - 1), (b, -hinge.place)):
                if end is not None:
                    rows[hinge.unknown][end] = rows[end][hinge.unknown] = share
            known = (1 - hinge.place) * span.left_known + hinge.place * (span.right_known - span.free[1])
            right[hinge.unknown] = hinge.free_moment + known
    return _eliminated(rows, right), scale


def _tridiagonal(diagonal: list[float], beside: list[float], right: list[float]) -> list[float]:
    """Solve a positive definite system in which unknown i meets only i - 1 and, by `beside[i]`, i + 1. Uses up all."""
    for index in range(1, len(diagonal)):
        factor = beside[index - 1] / diagonal[index - 1]
        diagonal[index] -= factor * beside[index - 1]
        right[index] -= factor * right[index - 1]
    after = 0.0
    for index in range(len(diagonal) - 1, -1, -1):
        after = right[index] = (right[index] - beside[index] * after) / diagonal[index]
    return right


def _eliminated(rows: list[dict[int, float]], right: list[float]) -> list[float]:
    """Solve rows · answer = right by elimination, with the largest pivot within the band. Uses up both."""
    count = len(rows)
    for pivot in range(count):
        near = range(pivot + 1, min(count, pivot + _BAND + 1))
        best, size = pivot, abs(rows[pivot].get(pivot, 0.0))
        for index in near:
            other = abs(rows[index].get(pivot, 0.0))
            if other > size:
                best, size = index, other
        if not size > 0:
            raise BeamError("the beam's equations have no single answer: it can move without bending")
        rows[pivot], rows[best] = rows[best], rows[pivot]
        right[pivot], right[best] = right[best], right[pivot]
        row = rows[pivot]
        for index in near:
            below = rows[index]
            if pivot in below:
                factor = below.pop(pivot) / row[pivot]
                for column, entry in row.items():
                    if column != pivot:
                        below[column] = below.get(column, 0.0) - factor * entry
                right[index] -= factor * right[pivot]
    answer = [0.0] * count
    for index in range(count - 1, -1, -1):
        row = rows[index]
        total = right[index] - sum(entry * answer[column] for column, entry in row.items() if column != index)
        answer[index] = total / row[index]
    return answer


def _started(span: _Span, answers: list[float], scale: float, settlement: float) -> tuple[State, dict[int, float]]:
    """The state just right of a span's first support, which is down by `settlement`, and the kinks at its hinges."""
    left = span.left_known + (0.0 if span.left is None else answers[span.left])
    right = span.right_known + (0.0 if span.right is None else answers[span.right])
    closing = right - span.free[1]
    slope = span.tilt - span.free[3] / span.length + span.flex[0] * left + span.flex[1] * closing
    kinks = {}
    for hinge in span.hinges:
        kink = answers[hinge.unknown] / scale
        kinks[hinge.node] = kink
        slope -= kink * (1 - hinge.place)
    return ((closing - left) / span.length, left, slope, settlement), kinks
