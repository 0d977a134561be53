"""What a take-off is made of: lines to buy, what can't be counted yet, how the lumber is cut, what it costs."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_core.planning.layout import LayerLayout
from inspect_core.quantities import Quantity
from inspect_core.site.model import Path


@dataclass(frozen=True, slots=True)
class Item:
    """One line: ``buy`` of ``unit`` (a board, sheet, box, …), for a ``need`` that ``how`` tells; each ``holds`` so
    much of it, in the need's internal unit.

    ``code`` names the thing in price files. ``status`` is that of the weakest number behind it, ``source`` names those
    numbers. ``suggested``: the layout asks for it, the file does not list it.
    """

    area: str
    group: str
    code: str
    name: str
    buy: int
    unit: str
    need: Quantity
    holds: float
    how: str
    source: str
    status: str
    suggested: bool = False


@dataclass(frozen=True, slots=True)
class NotCounted:
    """Something new or altered that can't be counted yet: why, and which fields would tell."""

    area: str
    group: str
    name: str
    why: str
    asks: tuple[str, ...]
    path: Path


@dataclass(frozen=True, slots=True)
class LumberPiece:
    """One piece of lumber to cut (length in inches)."""

    area: str
    name: str
    length: float
    suggested: bool = False


@dataclass(frozen=True, slots=True)
class LumberBoard:
    """One stock length and what is cut from it, longest first."""

    stock: float
    pieces: tuple[LumberPiece, ...]


@dataclass(frozen=True, slots=True)
class LumberCuts:
    """All pieces of one size, species and grade, cut from stock. ``bound``: a total length that nothing can beat;
    ``exact``: this total is proven the least."""

    name: str
    boards: tuple[LumberBoard, ...]
    total: float
    bound: float
    exact: bool


@dataclass(frozen=True, slots=True)
class Cost:
    """Price of one item and of all that is bought of it; ``None`` where the price file has no such line."""

    item: Item
    each: float | None
    total: float | None


@dataclass(frozen=True, slots=True)
class TakeOff:
    """Everything to buy for one site, or for one area of it."""

    areas: tuple[str, ...]
    items: tuple[Item, ...]
    not_counted: tuple[NotCounted, ...]
    lumber: tuple[LumberCuts, ...]
    layouts: tuple[LayerLayout, ...]
    notes: tuple[str, ...]
