"""Soil bearing, footings under piers and posts, and how high a pier may stand.

Loads in pounds, lengths in inches, areas in square feet, pressures in psf. Presumed soil bearing is for
soil that was looked at and named: fill, organic or soft soil isn't in the table and needs an investigation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from .tables import Sourced, read_rows, read_sourced, require_not_negative, require_positive
from .working import Step, Working, show

Shape = Literal["square", "round"]

_FOLDER = Path(__file__).parent
_TABLE = "IRC Table R507.3.1 rule"


@dataclass(frozen=True, slots=True)
class Soil:
    """A class of soil and its presumptive bearing in psf (IRC Table R401.4.1).

    ``symbols`` are the unified classification symbols that the class covers.
    """

    key: str
    symbols: tuple[str, ...]
    description: str
    bearing_psf: float
    source: str
    status: str


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


@cache
def soils() -> dict[str, Soil]:
    """Return the soil classes by key: crystalline-bedrock, sedimentary-rock, gravel, sand, clay-or-silt."""
    return {
        row["key"]: Soil(
            row["key"],
            tuple(row["symbols"].split()),
            row["description"],
            float(row["bearing_psf"]),
            row["source"],
            row["status"],
        )
        for row in read_rows(_FOLDER / "foundation_data_soil.csv")
    }


def soil(name: str) -> Soil:
    """Return the class of a soil by key or by classification symbol (``SM``).

    Raises ``LookupError`` for soil that isn't in the table (organic, fill, unknown): it has no presumed
    bearing.
    """
    by_key = soils().get(name.strip().lower())
    if by_key is not None:
        return by_key
    symbol = name.strip().upper()
    for found in soils().values():
        if symbol in found.symbols:
            return found
    raise LookupError(f"no presumed bearing for soil {name!r}; known: {', '.join(soils())}, or a symbol like SM")


def rule_value(key: str) -> Sourced:
    """Return one number of the pier and footing rules by its key in ``foundation_data_rules.csv``."""
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


def soil_pressure_psf(load_lb: float, size_in: float, shape: Shape) -> float:
    """Return the pressure under an existing footing, in psf."""
    require_not_negative(load_lb=load_lb)
    return load_lb / area_ft2(size_in, shape)


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


def footing_projection_in(footing_in: float, pier_in: float) -> float:
    """Return how far a footing reaches beyond the pier or post on it, on each side (both centred)."""
    require_positive(footing_in=footing_in, pier_in=pier_in)
    return (footing_in - pier_in) / 2


def least_footing_thickness_in(projection_in: float) -> float:
    """Return the least thickness of a plain concrete footing: its projection, and never under 6 in."""
    require_not_negative(projection_in=projection_in)
    return max(rule_value("footing-thickness").value, projection_in)


def projection_limits_in(thickness_in: float) -> tuple[float, float]:
    """Return the least and the greatest projection of a plain concrete footing of that thickness."""
    require_positive(thickness_in=thickness_in)
    return rule_value("footing-projection").value, thickness_in


def table_thickness_in(exact_side_in: float) -> int:
    """Return the thickness by the rule that the printed table follows.

    The projection of the unrounded square side beyond a 6 in member, to the nearest inch, not under 6 in.
    It gives 107 of the 108 printed thicknesses (fitted, not printed).
    """
    require_positive(exact_side_in=exact_side_in)
    projection = (exact_side_in - rule_value("table-pier-side").value) / 2
    return max(int(rule_value("footing-thickness").value), math.floor(projection + 0.5))


def footing_weight_lb(size_in: float, shape: Shape, thickness_in: float) -> float:
    """Return the weight of a concrete footing."""
    require_positive(thickness_in=thickness_in)
    return area_ft2(size_in, shape) * thickness_in / 12 * rule_value("concrete-weight").value


def pier_height_limit_in(least_dimension_in: float, *, filled: bool) -> float:
    """Return the greatest unsupported height of an isolated masonry pier.

    4 times the least dimension with hollow cells, 10 times when solid or with all cells filled.
    """
    require_positive(least_dimension_in=least_dimension_in)
    times = rule_value("pier-height-filled" if filled else "pier-height-unfilled").value
    return times * least_dimension_in
