"""How a joist floor feels underfoot: natural frequency, and deflection under a person's load.

Comfort only: none of this is in the model residential code, and a floor may hold well and still feel lively.
Everything is for one simply supported joist; sheathing, blocking and neighbours make a real floor stiffer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from .tables import read_sourced, require_positive
from .working import Step, Working, show, weakest

_DATA = Path(__file__).parent / "feel_data.csv"
_MM_PER_IN = 25.4
_M_PER_IN = 0.0254


@dataclass(frozen=True, slots=True)
class PointLoadFeel:
    """Deflection of one joist under the Canadian 1 kN load at mid-span against that code's limit, in inches."""

    span_in: float
    ei_lb_in2: float
    share: float
    deflection_in: float
    limit_in: float
    status: str

    @property
    def meets(self) -> bool:
        """Whether the deflection is within the limit."""
        return self.deflection_in <= self.limit_in

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        load = read_sourced(_DATA)["point-load"].value
        metres = self.span_in * _M_PER_IN
        return (
            Step("Δ", "share × P L³ / (48 EI)",
                 f"{show(self.share)} × {show(load)} × {show(self.span_in)}³ / (48 × {self.ei_lb_in2:.3g})",
                 self.deflection_in, "in", "simply supported joist, load at mid-span"),
            Step("limit", "2 mm under 3 m, else 8 / L^1.3 mm", f"L = {show(metres)} m", self.limit_in, "in",
                 "National Building Code of Canada, from memory"),
        )  # fmt: skip


def natural_frequency_hz(ei_lb_in2: float, span_in: float, weight_lb_per_in: float) -> float:
    """Return the first natural frequency of a simply supported beam, f = π/2 √(EI / (m L⁴)), in Hz.

    ``weight_lb_per_in`` is what moves with the joist, per inch of its length; m is that over g. Exact for a
    uniform beam on rigid supports.
    """
    require_positive(ei_lb_in2=ei_lb_in2, span_in=span_in, weight_lb_per_in=weight_lb_per_in)
    mass = weight_lb_per_in / read_sourced(_DATA)["gravity"].value
    return math.pi / 2 * math.sqrt(ei_lb_in2 / (mass * span_in**4))


def point_load_deflection_in(load_lb: float, ei_lb_in2: float, span_in: float) -> float:
    """Return the mid-span deflection of a simply supported joist, P L³ / (48 EI), in inches."""
    require_positive(load_lb=load_lb, ei_lb_in2=ei_lb_in2, span_in=span_in)
    return load_lb * span_in**3 / (48 * ei_lb_in2)


def canadian_limit_in(span_in: float) -> float:
    """Return the deflection allowed under 1 kN at mid-span: 2 mm under 3 m, from there 8/L^1.3 mm; in inches.

    Status ``from memory``.
    """
    require_positive(span_in=span_in)
    data = read_sourced(_DATA)
    metres = span_in * _M_PER_IN
    if metres < data["limit-short-span"].value:
        return data["limit-short"].value / _MM_PER_IN
    power: float = metres ** data["limit-power"].value
    return data["limit-factor"].value / power / _MM_PER_IN


def point_load_feel(ei_lb_in2: float, span_in: float, *, share: float = 1.0) -> PointLoadFeel:
    """Return a joist's deflection under 1 kN (225 lb) with the Canadian limit for its span.

    ``share`` is the part of the load that the joist itself carries; 1 (the default) gives neighbours no
    part and is the safe side. The status is that of the limit: ``from memory``.
    """
    if not 0 < share <= 1:
        raise ValueError(f"share must lie above 0 and up to 1, not {share!r}")
    data = read_sourced(_DATA)
    deflection = share * point_load_deflection_in(data["point-load"].value, ei_lb_in2, span_in)
    return PointLoadFeel(
        span_in=span_in,
        ei_lb_in2=ei_lb_in2,
        share=share,
        deflection_in=deflection,
        limit_in=canadian_limit_in(span_in),
        status=weakest(data[key].status for key in ("point-load", "limit-short", "limit-factor")),
    )
