"""Lumber cut from stock lengths: against every way there is, against integer programming, and its laws."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from inspect_core.planning.takeoff.stock import cut

STOCK = [96.0, 120.0, 144.0, 168.0, 192.0, 216.0, 240.0]
KERF = 0.125
LENGTHS = st.integers(20, 480).map(lambda n: n / 2)


def boards_of(pieces: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Every way to share pieces among boards."""
    if not pieces:
        yield ()
        return
    first, rest = pieces[0], pieces[1:]
    for k in range(len(rest) + 1):
        for others in combinations(rest, k):
            left = tuple(p for p in rest if p not in others)
            for more in boards_of(left):
                yield ((first, *others), *more)


def least_by_trying(lengths: list[float]) -> float:
    best = float("inf")
    for boards in boards_of(tuple(range(len(lengths)))):
        total = 0.0
        for board in boards:
            used = sum(lengths[i] for i in board) + KERF * (len(board) - 1)
            total += min((size for size in STOCK if used <= size + 1e-9), default=float("inf"))
        best = min(best, total)
    return best


@settings(max_examples=25, deadline=None)
@given(st.lists(LENGTHS, min_size=1, max_size=6))
def test_as_little_as_by_trying_everything(lengths: list[float]) -> None:
    plan = cut(lengths, STOCK, KERF)
    assert plan.exact
    assert plan.total == least_by_trying(lengths)
    assert plan.bound <= plan.total


def least_by_solver(lengths: list[float]) -> float:
    """Integer programming: for each board that may be there a stock length, for each piece a board."""
    n, kinds = len(lengths), len(STOCK)
    size = n * kinds + n * n
    cost = np.concatenate([np.tile(STOCK, n), np.zeros(n * n)])
    once, full, one_length = np.zeros((n, size)), np.zeros((n, size)), np.zeros((n, size))
    for i in range(n):
        once[i, n * kinds + i * n : n * kinds + (i + 1) * n] = 1
    for b in range(n):
        full[b, b * kinds : (b + 1) * kinds] = [-(s + KERF) for s in STOCK]
        full[b, n * kinds + b :: n] = [length + KERF for length in lengths]
        one_length[b, b * kinds : (b + 1) * kinds] = 1
    answer = milp(
        cost,
        constraints=[
            LinearConstraint(once, 1, 1),
            LinearConstraint(full, -np.inf, 1e-7),
            LinearConstraint(one_length, 0, 1),
        ],
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
    )
    assert answer.success
    return float(answer.fun)


@settings(max_examples=5, deadline=None)
@given(st.lists(st.sampled_from([30.25, 44.0, 64.75, 83.125, 97.5, 120.5]), min_size=4, max_size=6))
def test_as_little_as_integer_programming_finds(lengths: list[float]) -> None:
    plan = cut(lengths, STOCK, KERF)
    assert plan.exact
    assert plan.total == pytest.approx(least_by_solver(lengths))


@settings(max_examples=30, deadline=None)
@given(st.lists(LENGTHS, min_size=1, max_size=25), st.sampled_from([0.0, 0.125, 0.5]))
def test_every_piece_is_cut_once_and_fits(lengths: list[float], kerf: float) -> None:
    plan = cut(lengths, STOCK, kerf)
    assert sorted(i for board in plan.boards for i in board.pieces) == list(range(len(lengths)))
    assert plan.total == sum(board.length for board in plan.boards)
    assert sum(lengths) <= plan.bound + 1e-6 <= plan.total + 2e-6
    for board in plan.boards:
        used = sum(lengths[i] for i in board.pieces) + kerf * (len(board.pieces) - 1)
        assert board.length in STOCK
        assert used <= board.length + 1e-6
        assert board.length == min(size for size in STOCK if used <= size + 1e-6)


def test_the_order_of_pieces_does_not_matter() -> None:
    lengths = [100.0, 14.5, 14.5, 64.0, 37.5, 100.0, 80.0]
    assert cut(lengths, STOCK, KERF).total == cut(lengths[::-1], STOCK, KERF).total


def test_the_saw_takes_its_width() -> None:
    assert cut([60.0, 60.0], [120.0, 144.0], 0.0).total == 120
    assert cut([60.0, 60.0], [120.0, 144.0], 0.125).total == 144
    assert cut([60.0, 59.875], [120.0, 144.0], 0.125).total == 120


def test_what_is_too_long_is_left_out_and_named() -> None:
    plan = cut([300.0, 90.0], STOCK, KERF)
    assert plan.too_long == (0,)
    assert plan.total == 96
    assert cut([300.0], STOCK, KERF).boards == ()


def test_many_pieces_have_a_bound_beside_them() -> None:
    """Too many kinds to prove the best: then it says so, and the bound tells how far off it can be at most."""
    lengths = [20 + 7.5 * (n % 23) for n in range(70)]
    plan = cut(lengths, STOCK, KERF)
    assert plan.total <= 1.05 * plan.bound
    assert plan.exact == (plan.total <= plan.bound)


@pytest.mark.parametrize(
    ("lengths", "stock"), [([1.0], []), ([0.0], [96.0]), ([-1.0], [96.0]), ([float("inf")], [96.0])]
)
def test_what_is_no_length_is_refused(lengths: list[float], stock: list[float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        cut(lengths, stock, KERF)


def test_pieces_of_very_many_lengths_come_to_an_end() -> None:
    """A board of 20 ft takes a dozen blocks out of 60 lengths in more ways than anybody tries: the best found is said to
    be no more than that, and every piece is cut once."""
    lengths = [10 + 12 * ((37 * n) % 60) / 60 for n in range(100)]
    plan = cut(lengths, STOCK, KERF)
    assert not plan.exact
    assert plan.bound < plan.total <= 1.1 * plan.bound
    assert sorted(i for board in plan.boards for i in board.pieces) == list(range(100))
    for board in plan.boards:
        assert sum(lengths[i] for i in board.pieces) + KERF * (len(board.pieces) - 1) <= board.length + 1e-6
