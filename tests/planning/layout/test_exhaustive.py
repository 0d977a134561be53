"""Small rooms laid out in every way there is: the search finds as few sheets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import combinations, pairwise, product
from math import ceil

import pytest

from inspect_core.planning.layout import AreaLayout

Lay = Callable[..., AreaLayout]
LONG, WIDE, KERF, GAP, WALL = 96.0, 48.0, 0.125, 0.125, 0.25
Sizes = tuple[tuple[float, float], ...]  # width, length of each piece


def row_heights(length: float) -> Iterator[tuple[float, ...]]:
    """Heights of the rows for every first row on a half inch, none less than 24 in unless the room is."""
    total = length - 2 * WALL
    if total <= WIDE:
        yield (total,)
        return
    for half_inches in range(48, 97):
        heights, left = [half_inches / 2], total - half_inches / 2
        while left > GAP + 1e-9:
            heights.append(min(WIDE, left - GAP))
            left -= heights[-1] + GAP
        if abs(left) < 1e-6 and min(heights) >= 24 - 1e-9:
            yield tuple(heights)


def joint_sets(joists: list[float], width: float) -> list[tuple[float, ...]]:
    """Every choice of joists for the end joints of a row that leaves pieces of two bays at least and a sheet at most."""
    found = []
    inner = [x for x in joists if 2 < x < width - 2]
    for n in range(4):
        for chosen in combinations(inner, n):
            bounds = [WALL, *chosen, width - WALL]
            lengths = piece_lengths(chosen, width)
            bays = [sum(1 for x in joists if a - 0.9 <= x <= b + 0.9) - 1 for a, b in pairwise(bounds)]
            if max(lengths) <= LONG + 1e-9 and min(bays) >= 2:
                found.append(chosen)
    return found


def piece_lengths(joints: tuple[float, ...], width: float) -> list[float]:
    bounds = [WALL, *joints, width - WALL]
    last = len(joints)
    return [(b - GAP / 2 if n < last else b) - (a + GAP / 2 if n else a) for n, (a, b) in enumerate(pairwise(bounds))]


@cache
def fits(pieces: Sizes, long: float, wide: float) -> bool:
    """Whether the pieces come out of one rectangle with straight cuts from edge to edge."""
    if len(pieces) == 1:
        return pieces[0][1] <= long + 1e-9 and pieces[0][0] <= wide + 1e-9
    if sum(w * h for w, h in pieces) > long * wide + 1e-9:
        return False
    rest = pieces[1:]
    for k in range(len(rest)):
        for others in combinations(range(len(rest)), k):
            one = (pieces[0], *(rest[i] for i in others))
            two = tuple(rest[i] for i in range(len(rest)) if i not in others)
            for cut in sums([h for _, h in one]):
                if cut < long and fits(one, cut, wide) and fits(two, long - cut - KERF, wide):
                    return True
            for cut in sums([w for w, _ in one]):
                if cut < wide and fits(one, long, cut) and fits(two, long, wide - cut - KERF):
                    return True
    return False


def sums(sizes: list[float]) -> set[float]:
    return {sum(part) + KERF * (k - 1) for k in range(1, len(sizes) + 1) for part in combinations(sizes, k)}


@cache
def can_be_cut(pieces: Sizes, sheets: int) -> bool:
    """Whether so many sheets will do."""
    if not pieces:
        return True
    if sheets < 1 or sum(w * h for w, h in pieces) > sheets * LONG * WIDE:
        return False
    rest = pieces[1:]
    for k in range(len(rest), -1, -1):
        for others in combinations(range(len(rest)), k):
            one = (pieces[0], *(rest[i] for i in others))
            left = tuple(rest[i] for i in range(len(rest)) if i not in others)
            if fits(one, LONG, WIDE) and can_be_cut(left, sheets - 1):
                return True
    return False


def every_layout(joists: list[float], width: float, length: float) -> Iterator[Sizes]:
    rows_of = joint_sets(joists, width)
    for heights in row_heights(length):
        for rows in product(rows_of, repeat=len(heights)):
            staggered = all(abs(a - b) >= 16 - 1e-9 for one, other in pairwise(rows) for a in one for b in other)
            if staggered:
                yield tuple(
                    sorted(
                        (height, long)
                        for height, row in zip(heights, rows, strict=True)
                        for long in piece_lengths(row, width)
                    )
                )


ROOMS = [(112, 48), (112, 60), (128, 48), (80, 94), (112, 70), (128, 60), (80, 110), (96, 97)]


@pytest.mark.parametrize(("width", "length"), ROOMS)
def test_no_layout_does_with_fewer_sheets(lay: Lay, width: int, length: int) -> None:
    joists = [float(x) for x in range(0, width + 1, 16)]
    room = ((0, 0), (width, 0), (width, length), (0, length))
    (layout,) = lay(room, joists, reach=(-4, length)).layers
    assert layout.bound == ceil((width - 0.5) * (length - 0.5) / ((LONG + GAP) * (WIDE + GAP)))
    layouts = set(every_layout(joists, width, length))
    assert layouts
    mine = tuple(sorted((piece.width, piece.length) for piece in layout.pieces))
    assert can_be_cut(mine, layout.sheets)
    assert not any(can_be_cut(pieces, layout.sheets - 1) for pieces in layouts)


@pytest.mark.parametrize(("width", "length"), ROOMS)
def test_a_bound_that_is_met_is_called_proven(lay: Lay, width: int, length: int) -> None:
    room = ((0, 0), (width, 0), (width, length), (0, length))
    (layout,) = lay(room, [float(x) for x in range(0, width + 1, 16)], reach=(-4, length)).layers
    assert layout.proven or layout.sheets > layout.bound
    assert all(piece.flags == () for piece in layout.pieces)
