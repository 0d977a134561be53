"""How far apart two places are, two holes, a hole and a notch, a hole and the edges. No rules."""

from __future__ import annotations

from math import hypot

from inspect_core.quantities import Dimension, Quantity, exactly, maximum, minimum
from inspect_core.site.model import Hole, Notch
from inspect_wood_floor._pieces import Piece

ZERO = exactly(0.0, Dimension.LENGTH)
DEEPEST = 48.0  # in: the most that the site description takes for a depth


def straight(across: Quantity, along: Quantity) -> Quantity:
    """Straight distance of two places, from how far they lie apart on each tape."""
    estimate = across.estimate or along.estimate
    return Quantity(hypot(across.low, along.low), hypot(across.high, along.high), Dimension.LENGTH, estimate)


def edge_wood(hole: Hole, depth: Quantity | None) -> Quantity | None:
    """The lesser wood above or below a hole; what was not measured follows from the depth.

    With nothing measured the hole may lie anywhere: from no wood at all to half of what is left. With one side only,
    the other may be anything, so that the answer is at most the one.
    """
    above, below = hole.wood_above, hole.wood_below
    left = depth - hole.diameter if depth is not None and hole.diameter is not None else None
    if above is not None and below is not None:
        return minimum(above, below)
    one = above if above is not None else below
    if one is not None:
        other = left - one if left is not None else Quantity(0.0, max(one.high, 0.0), Dimension.LENGTH, one.estimate)
        return minimum(one, other)
    if left is None:
        return None
    return Quantity(min(0.0, left.low / 2), left.high / 2, Dimension.LENGTH, left.estimate)


def between_holes(piece: Piece, hole: Hole, other: Hole) -> Quantity | None:
    """Wood between the edges of two holes; ``None`` when a place or a size is not known."""
    here, there = piece.place(hole.from_, hole.at), piece.place(other.from_, other.at)
    if here is None or there is None or hole.diameter is None or other.diameter is None:
        return None
    down, up = _centre(hole, piece.depth), _centre(other, piece.depth)
    rise = abs(down - up) if down is not None and up is not None else _anywhere(piece.depth)
    return straight(abs(here - there), rise) - (hole.diameter + other.diameter) / 2


def hole_to_notch(piece: Piece, hole: Hole, notch: Notch) -> Quantity | None:
    """Wood between a hole's edge and a notch; ``None`` when a place or a size is not known."""
    here, (first, last) = piece.place(hole.from_, hole.at), piece.stretch(notch)
    if here is None or first is None or last is None or hole.diameter is None:
        return None
    run = maximum(first - here, here - last, ZERO)
    centre, depth = _centre(hole, piece.depth), piece.depth
    rise = _anywhere(depth)
    if centre is not None and notch.depth is not None and notch.edge == "top":
        rise = maximum(centre - notch.depth, ZERO)
    elif centre is not None and notch.depth is not None and depth is not None and notch.edge == "bottom":
        rise = maximum(depth - notch.depth - centre, ZERO)
    return straight(run, rise) - hole.diameter / 2


def _centre(hole: Hole, depth: Quantity | None) -> Quantity | None:
    """Depth of a hole's centre below the top edge."""
    if hole.diameter is None:
        return None
    if hole.wood_above is not None:
        return hole.wood_above + hole.diameter / 2
    if hole.wood_below is not None and depth is not None:
        return depth - hole.wood_below - hole.diameter / 2
    return None


def _anywhere(depth: Quantity | None) -> Quantity:
    """How far apart two heights in the member may be when they are not known."""
    return Quantity(0.0, depth.high if depth is not None else DEEPEST, Dimension.LENGTH)
