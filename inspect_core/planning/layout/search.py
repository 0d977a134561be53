"""Searching for the layout: fewest things wrong first, then fewest sheets, then fewest cuts.

The search ends early when it has enough layouts with nothing wrong and no more sheets than the floor's area asks for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

from inspect_core.planning.layout.packing import Blank, Packing, Stock, least_sheets, pack
from inspect_core.planning.layout.rows import (
    EndJoint,
    Pattern,
    PiecePlan,
    Problem,
    Row,
    covered,
    edge_faults,
    first_rows,
    patterns,
    promising,
    rows_from,
    runs,
    staggered,
)

MOST_LEAVES = 400  # layouts that are cut out, shared among the heights of the first row; fewer where
ORDINARY = 20  # a floor takes more sheets than this
MOST_NODES = 1000  # partial layouts for one height of the first row
BEAM = 8  # partial layouts kept side by side where there are too many to try all
LARGE, FEW_FIRSTS = 60, 3  # sheets: beyond, few heights of the first row are tried
IMPROVABLE = 80  # pieces: beyond, a layout is left as it was found, and parts of it are not cut out to compare them
IMPROVED = 2  # layouts that are bettered row by row at the end
KEPT = 12  # as good as the best: the layer above may suit one of them better


@dataclass(frozen=True, slots=True)
class Solution:
    """One layout, cut from sheets."""

    rows: tuple[Row, ...]
    ends: tuple[EndJoint, ...]
    pieces: tuple[PiecePlan, ...]
    packing: Packing
    faults: int
    chosen: tuple[Pattern, ...] = ()

    @property
    def cost(self) -> tuple[int, int, int]:
        return (self.faults, self.packing.sheets, self.packing.cuts)


@dataclass(frozen=True, slots=True)
class Found:
    """The best layouts, best first.

    ``bound`` is the number of sheets by area; ``proven``: none of the layouts tried that have so little wrong does with
    fewer sheets, however it is cut.
    """

    solutions: tuple[Solution, ...]
    tried: int
    bound: int
    proven: bool


def search(problem: Problem) -> Found:
    """Try heights of the first row and places of the end joints. Raises ``ValueError`` where there is no floor."""
    # Each piece takes half of the gaps around it with it; that pieces are a saw cut apart makes up for it on the sheet.
    bound = ceil(covered(problem) / ((problem.length + problem.gap) * (problem.width + problem.gap)) - 1e-9)
    firsts = first_rows(problem)
    if bound > LARGE:
        firsts = firsts[:FEW_FIRSTS]
    leaves = MOST_LEAVES * ORDINARY // max(ORDINARY, bound) // len(firsts) + 1
    run = _Run(problem, Stock(problem.length, problem.width, problem.kerf), leaves)
    for first in firsts:
        run.rows(rows_from(problem, first))
        if sum(1 for s in run.best if s.cost[:2] <= (0, bound)) >= KEPT:
            break
    if not run.best:
        raise ValueError("there is no floor to cover")
    for solution in sorted(run.best, key=lambda s: s.cost)[:IMPROVED]:
        if solution.cost[:2] > (0, bound) and len(solution.pieces) <= IMPROVABLE:
            run.improve(solution)
    best = sorted((run.refined(s) for s in sorted(run.best, key=lambda s: s.cost)[:KEPT]), key=lambda s: s.cost)
    sheets = best[0].packing.sheets
    bound = min(bound, sheets)  # gaps wider than the saw cut cover more floor than the bound knows
    doubtful = any(faults <= best[0].faults and least < sheets for faults, least in run.not_closed)
    proven = sheets <= bound or (run.complete and not doubtful)
    return Found(tuple(best), run.tried, bound, proven)


class _Run:
    def __init__(self, problem: Problem, stock: Stock, leaves: int) -> None:
        self.problem, self.stock, self.leaves = problem, stock, leaves
        self.best: list[Solution] = []
        self.tried = 0
        self.limit = 10**9  # fewest faults so far
        self.every: dict[tuple[Row, tuple[float, float]], tuple[Pattern, ...]] = {}
        self.complete = True
        self.not_closed: set[tuple[int, int]] = set()  # faults and bound of layouts that were cut above their bound

    def rows(self, rows: tuple[Row, ...]) -> None:
        """Every choice of end joints in these rows, or the most promising where there are too many."""
        ways: list[tuple[Pattern, ...]] = []
        for row in rows:
            for stretch in runs(self.problem, row):
                every, whole = patterns(self.problem, row, stretch)
                found = promising(every)
                self.complete = self.complete and whole and len(found) == len(every)
                ways.append(found)
                self.every[row, stretch] = every
        if not ways:
            return
        base = edge_faults(self.problem, rows)
        counter = [0, 0]
        for chosen, faults in self._all(ways, base, counter):
            self._weigh(rows, chosen, faults)
        if counter[0] >= MOST_NODES or counter[1] >= self.leaves:
            self.complete = False
            for chosen, faults in self._beam(ways, base):
                self._weigh(rows, chosen, faults)

    def improve(self, solution: Solution) -> None:
        """Change one stretch at a time while that makes the layout better, looking at every way to lay it."""
        stretches = [(row, stretch) for row in solution.rows for stretch in runs(self.problem, row)]
        chosen, cost = list(solution.chosen), solution.cost
        better = True
        while better:
            better = False
            for n, key in enumerate(stretches):
                for way in self.every[key]:
                    if way.faults > cost[0]:
                        break
                    tried = (*chosen[:n], way, *chosen[n + 1 :])
                    faults = self._faults(solution.rows, tried)
                    if faults > cost[0] or (faults, *self._bound(tried)[:1]) > cost[:2]:
                        continue
                    new = (faults, *self._sheets(tried))
                    if new < cost:
                        chosen, cost, better = list(tried), new, True
        self._weigh(solution.rows, tuple(chosen), cost[0])

    def _faults(self, rows: Sequence[Row], chosen: Sequence[Pattern]) -> int:
        return edge_faults(self.problem, rows) + sum(self._added(chosen[:n], way) for n, way in enumerate(chosen))

    def refined(self, solution: Solution) -> Solution:
        """The same layout, its pieces cut from the sheets in the best of several ways."""
        packing = pack([piece.blank for piece in solution.pieces], self.stock)
        return replace(solution, packing=packing) if packing.sheets <= solution.packing.sheets else solution

    def _all(
        self, ways: Sequence[tuple[Pattern, ...]], faults: int, counter: list[int], chosen: tuple[Pattern, ...] = ()
    ) -> Iterator[tuple[tuple[Pattern, ...], int]]:
        counter[0] += 1
        if counter[0] >= MOST_NODES or counter[1] >= self.leaves or faults > self.limit:
            return
        if len(chosen) == len(ways):
            counter[1] += 1
            yield chosen, faults
            return
        for way in ways[len(chosen)]:
            yield from self._all(ways, faults + self._added(chosen, way), counter, (*chosen, way))

    def _added(self, chosen: Sequence[Pattern], way: Pattern) -> int:
        neighbours = [p for p in chosen if p.row == way.row - 1]
        return way.faults + sum(staggered(self.problem, p.ends, way.ends) for p in neighbours)

    def _beam(self, ways: Sequence[tuple[Pattern, ...]], base: int) -> Iterator[tuple[tuple[Pattern, ...], int]]:
        kept: list[tuple[tuple[Pattern, ...], int]] = [((), base)]
        for options in ways:
            grown = [((*chosen, way), faults + self._added(chosen, way)) for chosen, faults in kept for way in options]
            grown.sort(key=lambda one: (one[1], self._bound(one[0])))
            kept = sorted(grown[: 3 * BEAM], key=lambda one: (one[1], self._sheets(one[0])))[:BEAM]
        yield from kept

    def _bound(self, chosen: Sequence[Pattern]) -> tuple[int, int]:
        count = sum(len(p.pieces) for p in chosen)
        if count > IMPROVABLE:
            return 0, count
        return least_sheets([piece.blank for p in chosen for piece in p.pieces], self.stock), count

    def _sheets(self, chosen: Sequence[Pattern]) -> tuple[int, int]:
        blanks = [piece.blank for p in chosen for piece in p.pieces]
        if len(blanks) > IMPROVABLE:
            return self._bound(chosen)
        packed = pack(blanks, self.stock, quick=True)
        return packed.sheets, packed.cuts

    def _weigh(self, rows: tuple[Row, ...], chosen: tuple[Pattern, ...], faults: int) -> None:
        self.tried += 1
        pieces = tuple(piece for p in chosen for piece in p.pieces)
        blanks: list[Blank] = [piece.blank for piece in pieces]
        least = least_sheets(blanks, self.stock)
        if len(self.best) >= KEPT and (faults, least) > max(s.cost[:2] for s in self.best):
            return
        packed = pack(blanks, self.stock, quick=True)
        least_so_far = min((s.cost[:2] for s in self.best), default=None)
        if not packed.proven and (least_so_far is None or (faults, packed.least) < least_so_far):
            packed = pack(blanks, self.stock)
        if not packed.proven:
            self.not_closed.add((faults, packed.least))
        ends = tuple(end for p in chosen for end in p.ends)
        self.limit = min(self.limit, faults)
        self.best.append(Solution(rows, ends, pieces, packed, faults, chosen))
        if len(self.best) > 4 * KEPT:
            self.best = sorted(self.best, key=lambda s: s.cost)[:KEPT]
