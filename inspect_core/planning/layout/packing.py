"""Cutting rectangles from sheets with straight cuts from edge to edge (a saw and a rail), offcuts used again.

Lengths in inches, length with the sheet's long side: pieces are never turned, for the strong axis has to stay.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil

FITS = 1e-6  # in: a piece this much too long still fits
NODES = 1000  # of the search over ways to cut, before the answer counts as not proven
SMALL = 9  # pieces: beyond, the search is not begun


@dataclass(frozen=True, slots=True, order=True)
class Blank:
    """A rectangle to cut. ``low`` and ``high``: it needs the sheet's own groove or tongue on that long side."""

    width: float
    length: float
    low: bool = False
    high: bool = False


@dataclass(frozen=True, slots=True)
class Stock:
    """A full sheet, and the width that the saw takes."""

    length: float
    width: float
    kerf: float


@dataclass(frozen=True, slots=True)
class Free:
    """What is left of a sheet: place of its corner, size, and which long sides are still the sheet's own."""

    sheet: int
    x: float
    y: float
    length: float
    width: float
    low: bool = True
    high: bool = True


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a blank is cut from: sheet number from 1, and its corner on the sheet."""

    sheet: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Packing:
    """``places`` in the order of the blanks; ``least`` is a bound below which no way of cutting can get."""

    places: tuple[Placed, ...]
    sheets: int
    cuts: int
    left: tuple[Free, ...]
    least: int
    proven: bool


def pack(blanks: Sequence[Blank], stock: Stock, *, quick: bool = False) -> Packing:
    """A way to cut all blanks from few sheets. Raises ``ValueError`` where a blank is larger than a sheet.

    Best-fit in several orders; where that misses the bound and there are few pieces, a search over all placings at
    corners of what is left. ``quick`` tries one order only.
    """
    order = sorted(range(len(blanks)), key=lambda i: (blanks[i], i))
    packed = _pack(tuple(blanks[i] for i in order), stock, quick)
    places: list[Placed | None] = [None] * len(blanks)
    for i, place in zip(order, packed.places, strict=True):
        places[i] = place
    return Packing(tuple(p for p in places if p is not None), packed.sheets, packed.cuts, packed.left,
                   packed.least, packed.proven)  # fmt: skip


def least_sheets(blanks: Sequence[Blank], stock: Stock) -> int:
    """A number of sheets below which no cutting can get: by area, by wide pieces in length, by long ones in width."""
    area = sum(b.width * b.length for b in blanks) / (stock.width * stock.length)
    long = [b.width + stock.kerf for b in blanks if 2 * b.length + stock.kerf > stock.length + FITS]
    return max(
        ceil(area - FITS),
        least_bins(tuple(sorted(_alone(blanks, stock))), stock.length + stock.kerf),
        least_bins(tuple(sorted(long)), stock.width + stock.kerf),
    )


def _alone(blanks: Sequence[Blank], stock: Stock) -> list[float]:
    """Lengths of pieces of which no two lie side by side in a sheet."""
    side_by_side = (stock.width - stock.kerf) / 2 + FITS
    return [b.length + stock.kerf for b in blanks if b.width > side_by_side or (b.low and b.high)]


@lru_cache(maxsize=4096)
def least_bins(sizes: tuple[float, ...], room: float) -> int:
    """A bound for packing lengths into bins: large ones are alone, what they leave over takes some of the small."""
    best = ceil(sum(sizes) / room - FITS)
    for small in {s for s in sizes if s <= room / 2}:
        large = [s for s in sizes if s > room - small + FITS]
        middle = [s for s in sizes if room / 2 + FITS < s <= room - small + FITS]
        rest = sum(s for s in sizes if small - FITS <= s <= room / 2 + FITS)
        spare = len(middle) * room - sum(middle)
        best = max(best, len(large) + len(middle) + max(0, ceil((rest - spare) / room - FITS)))
    return max(best, sum(1 for s in sizes if s > room / 2 + FITS))


@lru_cache(maxsize=20000)
def _pack(blanks: tuple[Blank, ...], stock: Stock, quick: bool) -> Packing:
    for blank in blanks:
        if blank.length > stock.length + FITS or blank.width > stock.width + FITS:
            raise ValueError(f"a piece of {blank.length:g} by {blank.width:g} in is larger than a sheet")
    least = least_sheets(blanks, stock)
    orders = (
        sorted(range(len(blanks)), key=lambda i: (-blanks[i].width, -blanks[i].length, i)),
        sorted(range(len(blanks)), key=lambda i: (-blanks[i].length, -blanks[i].width, i)),
        sorted(range(len(blanks)), key=lambda i: (-blanks[i].length * blanks[i].width, i)),
    )
    best: _Cutting | None = None
    for order in orders[:1] if quick else orders:
        for rip_first in (True, False, None):
            tried = _greedy(blanks, order, stock, rip_first)
            if best is None or tried.cost < best.cost:
                best = tried
    assert best is not None
    proven = best.sheets <= least
    if not proven and not quick and len(blanks) <= SMALL:
        search = _Search(blanks, orders[2], stock, best, least)
        search.run()
        best, proven = search.best, search.best.sheets <= least
    return Packing(tuple(best.places[i] for i in range(len(blanks))), best.sheets, best.cuts, best.free, least, proven)


@dataclass(slots=True)
class _Cutting:
    places: dict[int, Placed]
    free: tuple[Free, ...]
    sheets: int
    cuts: int

    @property
    def cost(self) -> tuple[int, int, float]:
        return (self.sheets, self.cuts, -max((f.length * f.width for f in self.free), default=0.0))


def _fits(blank: Blank, free: Free) -> bool:
    if blank.length > free.length + FITS or blank.width > free.width + FITS:
        return False
    if (blank.low and not free.low) or (blank.high and not free.high):
        return False
    return not (blank.low and blank.high) or free.width - blank.width <= FITS


def _cut(blank: Blank, free: Free, kerf: float, rip_first: bool) -> tuple[Placed, tuple[Free, ...], int]:
    """Cut a blank from a corner: from the high side where it needs the tongue, else from the low one."""
    at_top = blank.high
    y = free.y + free.width - blank.width if at_top else free.y
    rest_length, rest_width = free.length - blank.length - kerf, free.width - blank.width - kerf
    cuts = (free.length - blank.length > FITS) + (free.width - blank.width > FITS)
    left: list[Free] = []
    beyond = free.x + blank.length + kerf
    strip_y = free.y if at_top else free.y + blank.width + kerf
    strip_low, strip_high = (free.low, False) if at_top else (False, free.high)
    if rip_first:
        if rest_width > FITS:
            left.append(Free(free.sheet, free.x, strip_y, free.length, rest_width, strip_low, strip_high))
        if rest_length > FITS:
            whole = free.width - blank.width <= FITS
            low, high = (free.low and (whole or not at_top), free.high and (whole or at_top))
            left.append(Free(free.sheet, beyond, y, rest_length, blank.width, low, high))
    else:
        if rest_length > FITS:
            left.append(Free(free.sheet, beyond, free.y, rest_length, free.width, free.low, free.high))
        if rest_width > FITS:
            left.append(Free(free.sheet, free.x, strip_y, blank.length, rest_width, strip_low, strip_high))
    return Placed(free.sheet, free.x, y), tuple(left), cuts


def _greedy(blanks: tuple[Blank, ...], order: Sequence[int], stock: Stock, rip_first: bool | None) -> _Cutting:
    """Each blank from what it fits best; ``rip_first`` None keeps the larger rectangle whole."""
    places: dict[int, Placed] = {}
    free: list[Free] = []
    sheets = cuts = 0
    for i in order:
        blank = blanks[i]
        fitting = [f for f in free if _fits(blank, f)]
        if fitting:
            used = min(fitting, key=lambda f: (f.length * f.width, f.sheet, f.x, f.y))
            free.remove(used)
        else:
            sheets += 1
            used = Free(sheets, 0.0, 0.0, stock.length, stock.width)
        first = rip_first
        if first is None:
            first = (used.length - blank.length) * blank.width < (used.width - blank.width) * blank.length
        places[i], left, more = _cut(blank, used, stock.kerf, first)
        free += left
        cuts += more
    return _Cutting(places, tuple(free), sheets, cuts)


class _Search:
    """Every placing of the blanks, largest first, at a corner of what is left; ends at the bound or after NODES."""

    def __init__(
        self, blanks: tuple[Blank, ...], order: Sequence[int], stock: Stock, best: _Cutting, least: int
    ) -> None:
        self.blanks, self.order, self.stock = blanks, order, stock
        self.best, self.least, self.nodes = best, least, 0

    def run(self) -> None:
        self._place(0, (), {}, 0, 0)

    def _place(self, n: int, free: tuple[Free, ...], places: dict[int, Placed], sheets: int, cuts: int) -> None:
        self.nodes += 1
        if self.nodes > NODES or self.best.sheets <= self.least or sheets >= self.best.sheets:
            return
        if n == len(self.order):
            self.best = _Cutting(dict(places), free, sheets, cuts)
            return
        i = self.order[n]
        blank = self.blanks[i]
        new = Free(sheets + 1, 0.0, 0.0, self.stock.length, self.stock.width)
        for used in (*(f for f in free if _fits(blank, f)), new):
            rest = tuple(f for f in free if f is not used)
            for rip_first in (True, False):
                place, left, more = _cut(blank, used, self.stock.kerf, rip_first)
                self._place(n + 1, rest + left, {**places, i: place}, sheets + (used is new), cuts + more)
                if len(left) < 2:
                    break
