"""Cutting pieces from sheets: nothing overlaps, nothing is forgotten, and no more sheets than an exact solver needs."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from inspect_core.planning.layout.packing import Blank, Stock, least_bins, least_sheets, pack

SHEET = Stock(96, 48, 0.125)
SIZES = st.integers(8, 96).map(float)
WIDTHS = st.integers(6, 48).map(float)
BLANKS = st.lists(st.builds(Blank, WIDTHS, SIZES), min_size=1, max_size=9)


@settings(max_examples=60, deadline=None)
@given(BLANKS)
def test_pieces_lie_in_their_sheets_a_saw_cut_apart(blanks: list[Blank]) -> None:
    packing = pack(blanks, SHEET)
    assert len(packing.places) == len(blanks)
    assert {place.sheet for place in packing.places} == set(range(1, packing.sheets + 1))
    assert least_sheets(blanks, SHEET) <= packing.sheets
    boxes = [
        (place.sheet, place.x, place.x + blank.length, place.y, place.y + blank.width)
        for place, blank in zip(packing.places, blanks, strict=True)
    ]
    for _, x0, x1, y0, y1 in boxes:
        assert x0 >= -1e-9 and y0 >= -1e-9 and x1 <= 96 + 1e-6 and y1 <= 48 + 1e-6
    for (s, a0, a1, b0, b1), (t, c0, c1, d0, d1) in combinations(boxes, 2):
        if s == t:
            apart = (c0 - a1, a0 - c1, d0 - b1, b0 - d1)
            assert max(apart) >= 0.125 - 1e-6
    left = sum(free.length * free.width for free in packing.left)
    used = sum(blank.length * blank.width for blank in blanks)
    assert used + left <= packing.sheets * 96 * 48 + 1e-6


def fewest_by_solver(lengths: list[float], room: float) -> int:
    """Bins for lengths by integer programming: y says which bins are used, x which piece lies where."""
    n = len(lengths)
    size = n + n * n
    cost = np.concatenate([np.ones(n), np.zeros(n * n)])
    once = np.zeros((n, size))
    full = np.zeros((n, size))
    for i in range(n):
        once[i, n + i * n : n + (i + 1) * n] = 1
    for b in range(n):
        full[b, b] = -room
        full[b, n + b :: n] = lengths
    answer = milp(
        cost,
        constraints=[LinearConstraint(once, 1, 1), LinearConstraint(full, -np.inf, 1e-7)],
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
    )
    assert answer.success
    return round(answer.fun)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(10, 96).map(float), min_size=1, max_size=7))
def test_full_width_pieces_need_no_more_sheets_than_integer_programming_finds(lengths: list[float]) -> None:
    packing = pack([Blank(48.0, length) for length in lengths], SHEET)
    exact = fewest_by_solver([length + 0.125 for length in lengths], 96.125)
    assert packing.sheets == exact
    assert least_bins(tuple(sorted(length + 0.125 for length in lengths)), 96.125) <= exact


def guillotine(pieces: tuple[Blank, ...], length: float, width: float, kerf: float) -> bool:
    """Whether all pieces can be cut from one rectangle with straight cuts: every first cut is tried."""
    if len(pieces) == 1:
        return pieces[0].length <= length + 1e-9 and pieces[0].width <= width + 1e-9
    if sum(p.length * p.width for p in pieces) > length * width + 1e-9:
        return False
    first, rest = pieces[0], pieces[1:]
    for k in range(len(rest)):
        for others in combinations(range(len(rest)), k):
            one = (first, *(rest[i] for i in others))
            two = tuple(rest[i] for i in range(len(rest)) if i not in others)
            for cut in {sum_of for sum_of in _sums([p.length for p in one], kerf) if sum_of < length}:
                if guillotine(one, cut, width, kerf) and guillotine(two, length - cut - kerf, width, kerf):
                    return True
            for cut in {sum_of for sum_of in _sums([p.width for p in one], kerf) if sum_of < width}:
                if guillotine(one, length, cut, kerf) and guillotine(two, length, width - cut - kerf, kerf):
                    return True
    return False


def _sums(sizes: list[float], kerf: float) -> set[float]:
    return {sum(part) + kerf * (k - 1) for k in range(1, len(sizes) + 1) for part in combinations(sizes, k)}


def fewest_sheets(pieces: tuple[Blank, ...]) -> int:
    """Every way to share the pieces among sheets."""
    if not pieces:
        return 0
    first, rest = pieces[0], pieces[1:]
    best = len(pieces)
    for k in range(len(rest), -1, -1):
        for others in combinations(range(len(rest)), k):
            if guillotine((first, *(rest[i] for i in others)), 96, 48, 0.125):
                best = min(best, 1 + fewest_sheets(tuple(rest[i] for i in range(len(rest)) if i not in others)))
    return best


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.builds(Blank, st.integers(10, 48).map(float), st.integers(16, 96).map(float)), min_size=2, max_size=4)
)
def test_small_sets_are_cut_as_well_as_by_trying_everything(blanks: list[Blank]) -> None:
    packing = pack(blanks, SHEET)
    exact = fewest_sheets(tuple(blanks))
    assert packing.sheets == exact
    assert packing.least <= exact
    assert not packing.proven or packing.sheets == exact


def test_tongue_and_groove_pieces_keep_the_sheets_own_edges() -> None:
    """Two rips that each need the tongue come from two sheets; one with the tongue and one with the groove from one."""
    sheet = Stock(96, 47.5, 0.125)
    assert pack([Blank(20, 96, high=True), Blank(20, 96, high=True)], sheet).sheets == 2
    packing = pack([Blank(20, 96, high=True), Blank(20, 96, low=True)], sheet)
    assert packing.sheets == 1
    tongue, groove = packing.places
    assert tongue.y == pytest.approx(27.5) and groove.y == 0
    assert pack([Blank(47.5, 40, True, True), Blank(47.5, 50, True, True)], sheet).sheets == 1
    assert pack([Blank(20, 96), Blank(20, 96)], sheet).sheets == 1


def test_the_saw_takes_its_width() -> None:
    assert pack([Blank(48, 48), Blank(48, 48)], Stock(96, 48, 0.125)).sheets == 2
    assert pack([Blank(48, 48), Blank(48, 48)], Stock(96, 48, 0.0)).sheets == 1
    assert pack([Blank(48, 48), Blank(48, 47.875)], Stock(96, 48, 0.125)).sheets == 1


def test_a_piece_larger_than_a_sheet_is_an_error() -> None:
    with pytest.raises(ValueError, match="larger than a sheet"):
        pack([Blank(48, 97)], SHEET)


def test_an_offcut_is_used_again() -> None:
    packing = pack([Blank(48, 60), Blank(48, 60), Blank(48, 30), Blank(20, 30)], SHEET)
    assert packing.sheets == 2
    assert packing.proven
