"""Cutting lumber from stock lengths: least length bought, then fewest boards. Lengths in any one unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from math import ceil, gcd

FITS = 1e-6
NODES = 6_000  # of the exact search, before its answer counts as the best found only
STEPS = 400_000  # in filling single boards, for the same: pieces of many lengths fill one in very many ways
MOST_SEARCHED = 800  # pieces: beyond, the search is not begun
SCALE = 64  # parts of an inch: stock lengths are compared as whole numbers


@dataclass(frozen=True, slots=True)
class Board:
    """One stock length and the indices of the pieces that come out of it, longest first."""

    length: float
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """``bound`` is a total length below which no cutting can get; ``exact``: no cutting buys less."""

    boards: tuple[Board, ...]
    total: float
    bound: float
    exact: bool
    too_long: tuple[int, ...]


def cut(lengths: Sequence[float], stock: Sequence[float], kerf: float) -> CutPlan:
    """Boards to buy for pieces of these lengths. Raises ``ValueError`` without stock, or for lengths that are none.

    Best-fit decreasing with each mix of stock lengths first; then a search over all fillings of the board that
    holds the longest piece left, which proves the answer best unless it gives up (``exact`` is False then).
    Pieces longer than the longest stock are left out and named in ``too_long``.
    """
    if not stock or min(stock) <= 0 or kerf < 0 or any(not 0 < length < float("inf") for length in lengths):
        raise ValueError("lengths of pieces and of stock must be above zero")
    sizes = tuple(sorted(set(stock)))
    too_long = tuple(i for i, length in enumerate(lengths) if length > sizes[-1] + FITS)
    order = sorted((i for i in range(len(lengths)) if i not in too_long), key=lambda i: (-lengths[i], i))
    if not order:
        return CutPlan((), 0.0, 0.0, True, too_long)
    need = [lengths[i] for i in order]
    bound = least_total(need, sizes, kerf)
    best = min((_best_fit(need, sizes, top, kerf) for top in sizes if top + FITS >= need[0]), key=_cost)
    exact = _total(best) <= bound + FITS
    if not exact and len(need) <= MOST_SEARCHED:
        search = _Search(need, sizes, kerf, best, bound)
        best, exact = search.run()
    boards = tuple(Board(length, tuple(order[i] for i in pieces)) for length, pieces in best)
    return CutPlan(tuple(sorted(boards, key=lambda b: (-b.length, b.pieces))), _total(best), bound, exact, too_long)


_Filled = list[tuple[float, tuple[int, ...]]]  # stock length, pieces by their place in the order


def _total(boards: _Filled) -> float:
    return sum(length for length, _ in boards)


def _cost(boards: _Filled) -> tuple[float, int]:
    return round(_total(boards), 6), len(boards)


def _smallest(sizes: Sequence[float], used: float) -> float:
    return next(size for size in sizes if used <= size + FITS)


def least_total(need: Sequence[float], sizes: Sequence[float], kerf: float) -> float:
    """The wood itself, rounded up to a sum of stock lengths, or a board for each piece that needs one alone."""
    step = reduce(gcd, (round(size * SCALE) for size in sizes)) / SCALE
    wood = ceil(sum(need) / step - FITS) * step
    alone = [piece for piece in need if 2 * piece + kerf > sizes[-1] + FITS]
    boards = sum(_smallest(sizes, piece) for piece in alone)
    return max(wood, boards)


def _best_fit(need: Sequence[float], sizes: Sequence[float], top: float, kerf: float) -> _Filled:
    """Longest first, each where it leaves least; new boards start as ``top`` and shrink to what they hold."""
    bins: list[tuple[float, list[int]]] = []
    for i, piece in enumerate(need):
        fitting = [n for n, (used, _) in enumerate(bins) if used + kerf + piece <= top + FITS]
        if fitting:
            n = max(fitting, key=lambda n: bins[n][0])
            used, held = bins[n]
            bins[n] = (used + kerf + piece, [*held, i])
        else:
            bins.append((piece, [i]))
    return [(_smallest(sizes, used), tuple(held)) for used, held in bins]


class _Search:
    """Fill one board after another: each holds the longest piece left, and nothing left would still fit in it."""

    def __init__(self, need: Sequence[float], sizes: Sequence[float], kerf: float, best: _Filled, bound: float) -> None:
        self.sizes, self.kerf, self.bound = sizes, kerf, bound
        self.kinds = sorted(set(need), reverse=True)
        self.members = {kind: [i for i, piece in enumerate(need) if piece == kind] for kind in self.kinds}
        self.best, self.cost = best, _cost(best)
        self.nodes = self.steps = 0
        self.seen: dict[tuple[int, ...], tuple[float, int]] = {}

    def run(self) -> tuple[_Filled, bool]:
        """The best filling, and whether the search went through all of them."""
        self._fill(tuple(len(self.members[kind]) for kind in self.kinds), [], 0.0)
        through = self.nodes <= NODES and self.steps <= STEPS
        return self.best, through or self.cost[0] <= self.bound + FITS

    def _fill(self, left: tuple[int, ...], boards: list[tuple[float, tuple[int, ...]]], total: float) -> None:
        self.nodes += 1
        if self.nodes > NODES or self.steps > STEPS:
            return
        if not any(left):
            cost = (round(total, 6), len(boards))
            if cost < self.cost:
                self.best, self.cost = self._named(boards), cost
            return
        rest = [kind for kind, count in zip(self.kinds, left, strict=True) for _ in range(count)]
        reachable = (round(total + least_total(rest, self.sizes, self.kerf), 6), len(boards) + 1)
        so_far = (round(total, 6), len(boards))
        if reachable >= self.cost or self.seen.get(left, self.cost) <= so_far:
            return
        self.seen[left] = so_far
        for size, filling in self._fillings(left):
            remaining = tuple(a - b for a, b in zip(left, filling, strict=True))
            self._fill(remaining, [*boards, (size, filling)], total + size)

    def _fillings(self, left: tuple[int, ...]) -> Iterator[tuple[float, tuple[int, ...]]]:
        """Every board that holds the longest piece left and is full: no piece left fits beside the others."""
        first = next(n for n, count in enumerate(left) if count)
        done: set[tuple[float, tuple[int, ...]]] = set()
        for size in reversed(self.sizes):
            if size + FITS < self.kinds[first]:
                continue
            start = tuple(1 if n == first else 0 for n in range(len(left)))
            for filling in self._more(left, start, self.kinds[first], size, first):
                used = sum(kind * count for kind, count in zip(self.kinds, filling, strict=True))
                used += self.kerf * (sum(filling) - 1)
                fitting = (_smallest(self.sizes, used), filling)
                if fitting[0] == size and fitting not in done:
                    done.add(fitting)
                    yield fitting

    def _more(
        self, left: tuple[int, ...], filling: tuple[int, ...], used: float, size: float, kind: int
    ) -> Iterator[tuple[int, ...]]:
        self.steps += 1
        if self.steps > STEPS:
            return
        if kind == len(left):
            full = all(
                filling[n] == left[n] or used + self.kerf + self.kinds[n] > size + FITS for n in range(len(left))
            )
            if full:
                yield filling
            return
        room = left[kind] - filling[kind]
        for count in range(room, -1, -1):
            longer = used + count * (self.kinds[kind] + self.kerf)
            if longer <= size + FITS:
                more = (*filling[:kind], filling[kind] + count, *filling[kind + 1 :])
                yield from self._more(left, more, longer, size, kind + 1)

    def _named(self, boards: list[tuple[float, tuple[int, ...]]]) -> _Filled:
        """Pieces instead of counts."""
        members = {kind: list(held) for kind, held in self.members.items()}
        return [
            (
                size,
                tuple(
                    members[kind].pop(0) for kind, count in zip(self.kinds, filling, strict=True) for _ in range(count)
                ),
            )
            for size, filling in boards
        ]
