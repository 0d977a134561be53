"""Footings under piers and posts: the size that a load needs, by the rule behind the printed table.

Loads in pounds, lengths in inches, areas in square feet, pressures in psf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from .tables import Sourced, read_rows, read_sourced, require_positive
from .working import Step, Working, show

Shape = Literal["square", "round"]

_FOLDER = Path(__file__).parent
_TABLE = "IRC Table R507.3.1 rule"


@dataclass(frozen=True, slots=True)
class FootingSize:
    """The footing that a load needs on a soil.

    ``exact_in`` is the side or diameter that gives just the bearing area; ``table_in`` the size by the rule
    behind the printed table: the nearest inch, not under the smallest printed. The nearest inch may be up
    to half an inch less than exact: that is the code's own rounding.
    """

    shape: Shape
    load_lb: float
    bearing_psf: float
    area_ft2: float
    exact_in: float
    table_in: int

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        root = "√(144 A)" if self.shape == "square" else "√(4 × 144 A / π)"
        numbers = f"144 × {show(self.area_ft2)}"
        numbers = f"√({numbers})" if self.shape == "square" else f"√(4 × {numbers} / π)"
        return (
            Step("A", "P / q", f"{show(self.load_lb)} / {show(self.bearing_psf)}", self.area_ft2, "ft²",
                 "IRC R403.1.1, load over allowable soil pressure"),
            Step("side" if self.shape == "square" else "diameter", root, numbers, self.exact_in, "in", ""),
            Step("size", "nearest inch", "", float(self.table_in), "in", _TABLE),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PrintedFooting:
    """One row of IRC Table R507.3.1: square side, round diameter and thickness, in inches."""

    load_psf: float
    tributary_ft2: float
    soil_psf: float
    square_side_in: int
    round_diameter_in: int
    thickness_in: int
    source: str
    status: str


def rule_value(key: str) -> Sourced:
    """Return one number of the footing table's rule by its key in ``foundation_data_rules.csv``."""
    return read_sourced(_FOLDER / "foundation_data_rules.csv")[key]


def footing_area_ft2(load_lb: float, bearing_psf: float) -> float:
    """Return the bearing area that ``load_lb`` needs, in square feet."""
    require_positive(load_lb=load_lb, bearing_psf=bearing_psf)
    return load_lb / bearing_psf


def area_ft2(size_in: float, shape: Shape) -> float:
    """Return the area of a square footing of that side, or a round one of that diameter, in square feet."""
    require_positive(size_in=size_in)
    if shape == "square":
        return size_in**2 / 144
    if shape == "round":
        return math.pi * size_in**2 / 576
    raise ValueError(f"shape must be 'square' or 'round', not {shape!r}")


def footing_size(load_lb: float, bearing_psf: float, shape: Shape = "square") -> FootingSize:
    """Return the footing needed for ``load_lb`` (all the load that reaches it) on soil of ``bearing_psf``."""
    area = footing_area_ft2(load_lb, bearing_psf)
    exact = math.sqrt(area / area_ft2(1.0, shape))
    smallest = rule_value("table-square-side" if shape == "square" else "table-round-diameter").value
    nearest = math.floor(exact + 0.5)
    return FootingSize(shape, load_lb, bearing_psf, area, exact, max(int(smallest), nearest))


def table_load_lb(load_psf: float, tributary_ft2: float) -> float:
    """Return the load that the printed table reckons with: live or snow plus its own 10 psf dead load."""
    require_positive(load_psf=load_psf, tributary_ft2=tributary_ft2)
    return (load_psf + rule_value("table-dead-load").value) * tributary_ft2


@cache
def printed_footings() -> dict[tuple[float, float, float], PrintedFooting]:
    """Return the rows of IRC Table R507.3.1 by (live or snow psf, tributary ft², soil psf)."""
    rows = {}
    for row in read_rows(_FOLDER / "foundation_data_footings.csv"):
        key = (float(row["load_psf"]), float(row["tributary_ft2"]), float(row["soil_psf"]))
        rows[key] = PrintedFooting(
            *key,
            int(row["square_side_in"]),
            int(row["round_diameter_in"]),
            int(row["thickness_in"]),
            row["source"],
            row["status"],
        )
    return rows


def table_thickness_in(exact_side_in: float) -> int:
    """Return the thickness by the rule that the printed table follows.

    The projection of the unrounded square side beyond a 6 in member, to the nearest inch, not under 6 in.
    It gives 107 of the 108 printed thicknesses (fitted, not printed).
    """
    require_positive(exact_side_in=exact_side_in)
    projection = (exact_side_in - rule_value("table-pier-side").value) / 2
    return max(int(rule_value("table-thickness").value), math.floor(projection + 0.5))
