"""Footings under piers and posts: the size that a load needs.

Loads in pounds, lengths in inches, areas in square feet, pressures in psf.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from .tables import require_positive
from .working import Step, Working, show

Shape = Literal["square", "round"]


@dataclass(frozen=True, slots=True)
class FootingSize:
    """The footing that a load needs on a soil: ``side_in`` is the side or diameter that gives just the area."""

    shape: Shape
    load_lb: float
    bearing_psf: float
    area_ft2: float
    side_in: float

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        root = "√(144 A)" if self.shape == "square" else "√(4 × 144 A / π)"
        numbers = f"144 × {show(self.area_ft2)}"
        numbers = f"√({numbers})" if self.shape == "square" else f"√(4 × {numbers} / π)"
        return (
            Step("A", "P / q", f"{show(self.load_lb)} / {show(self.bearing_psf)}", self.area_ft2, "ft²",
                 "IRC R403.1.1, load over allowable soil pressure"),
            Step("side" if self.shape == "square" else "diameter", root, numbers, self.side_in, "in",
                 f"{self.shape} footing"),
        )  # fmt: skip


def footing_size(load_lb: float, bearing_psf: float, shape: Shape = "square") -> FootingSize:
    """Return the footing needed for ``load_lb`` (all the load that reaches it) on soil of ``bearing_psf``."""
    require_positive(load_lb=load_lb, bearing_psf=bearing_psf)
    if shape not in ("square", "round"):
        raise ValueError(f"shape must be 'square' or 'round', not {shape!r}")
    area = load_lb / bearing_psf
    side = math.sqrt(144 * area if shape == "square" else 4 * 144 * area / math.pi)
    return FootingSize(shape, load_lb, bearing_psf, area, side)
