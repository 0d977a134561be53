"""Pack sizes, coverage and stock lengths, each with its source, and lines made from them."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from math import ceil
from pathlib import Path as FilePath

from inspect_core.engineering.tables import STATUSES, Sourced, read_sourced
from inspect_core.planning.takeoff.model import Item, NotCounted
from inspect_core.quantities import Dimension, Quantity, Units, exactly
from inspect_core.site import Area
from inspect_core.site.model import Path

CU_FT = 1728.0  # cu in, by definition
GALLON = 231.0  # cu in, by definition
FLOOR_UNITS: dict[Units, tuple[str, float]] = {"in": ("sq ft", 144.0), "mm": ("m2", 1550.0031)}  # with its sq in
BOUGHT = ("new", "altered")


@cache
def supplies() -> dict[str, Sourced]:
    """The data file by key."""
    return read_sourced(FilePath(__file__).parent / "data" / "supplies.csv")


@dataclass(slots=True)
class Used:
    """Reads numbers of the data file and remembers which: a line tells where its numbers are from."""

    keys: list[str] = field(default_factory=list)

    def __call__(self, key: str) -> float:
        found = supplies()[key]
        if key not in self.keys:
            self.keys.append(key)
        return found.value

    @property
    def source(self) -> str:
        return "; ".join(dict.fromkeys(supplies()[key].source for key in self.keys))

    @property
    def status(self) -> str:
        return max((supplies()[key].status for key in self.keys), key=STATUSES.index, default="computed")


@dataclass(slots=True)
class Basket:
    """Collects the lines of one area."""

    area: Area
    units: Units
    items: list[Item] = field(default_factory=list)
    not_counted: list[NotCounted] = field(default_factory=list)

    def add(
        self,
        group: str,
        code: str,
        name: str,
        unit: str,
        need: Quantity,
        holds: float,
        how: str,
        used: Used,
        *,
        suggested: bool = False,
    ) -> None:
        """A line: as many packs, each of which holds so much (in the need's internal unit), as the need asks for."""
        if need.high <= 0:
            return
        buy = ceil(need.high / holds - 1e-9)
        self.items.append(
            Item(self.area.id, group, code, name, buy, unit, need, holds, how, used.source, used.status, suggested)
        )

    def unknown(self, group: str, name: str, why: str, path: Path, *asks: str) -> None:
        """Something that can't be counted yet."""
        self.not_counted.append(NotCounted(self.area.id, group, name, why, asks, path))

    def bought(self, group: str, name: str, work: str | None, path: Path, field_name: str) -> bool:
        """Whether this job buys it; unknown work is told as such and not bought."""
        if work is None:
            self.unknown(group, name, "it is not said whether it is new or there already", path, field_name)
        return work in BOUGHT


def length(inches: float) -> Quantity:
    """A length in inches."""
    return exactly(inches, Dimension.LENGTH)


def area_of(square_inches: float) -> Quantity:
    """An area in square inches."""
    return exactly(square_inches, Dimension.AREA)


def count(number: float) -> Quantity:
    """A number of things."""
    return exactly(number, Dimension.COUNT)


def weight(pounds: float) -> Quantity:
    """A weight in pounds."""
    return exactly(pounds, Dimension.FORCE)


def volume(cubic_inches: float) -> Quantity:
    """A volume from cubic inches."""
    return exactly(cubic_inches / GALLON, Dimension.VOLUME)


def slug(*parts: str) -> str:
    """A word for price files: lower case, digits and hyphens."""
    text = "-".join(part for part in parts if part).lower()
    kept = "".join(c if c.isascii() and (c.isalnum() or c in "-./") else "-" for c in text)
    return "-".join(word for word in kept.split("-") if word)
