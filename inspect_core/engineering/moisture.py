"""Moisture in air and wood: vapour pressure, dew point, wood's equilibrium moisture content, vapour through layers.

Temperatures in °F, relative humidity as a fraction (0.65), vapour pressure in inches of mercury, permeance
in perms (grains per hour, square foot and inch of mercury), thermal resistance in h·ft²·°F/Btu.

Saturation pressure: Hyland and Wexler 1983, the equations of the ASHRAE Handbook of Fundamentals (over ice
below 32 °F). Wood: Wood Handbook Eq. 4-5 with its Celsius coefficients. Layers: the steady state of ISO
13788 (Glaser).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from .tables import read_rows, require_not_negative, require_positive
from .working import Step, Working, show

_PA_PER_INHG = 3386.389
_TRIPLE_POINT_C = 0.01
_DATA = Path(__file__).parent / "moisture_data.csv"
_EMC = Path(__file__).parent / "moisture_emc.csv"

Scale = Literal["celsius", "fahrenheit"]

#: Within these the Hyland and Wexler fits hold.
_COLDEST_F, _HOTTEST_F = -148.0, 392.0

#: ISO 13788 cuts a layer into parts of at most 0.25 m²·K/W: the saturation curve bends inside a thick one.
PART_R = 0.25 * 5.678263

_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def _celsius(temp_f: float) -> float:
    return (temp_f - 32) / 1.8


def _require_humidity(rh: float) -> None:
    if not 0 < rh <= 1:
        raise ValueError(f"relative humidity must be a fraction above 0 and up to 1, not {rh!r}")


def saturation_pressure_inhg(temp_f: float) -> float:
    """Return the pressure of saturated water vapour, over ice below freezing, in inches of mercury."""
    if not _COLDEST_F <= temp_f <= _HOTTEST_F:
        raise ValueError(f"temperature must lie from {_COLDEST_F:g} to {_HOTTEST_F:g} °F, not {temp_f!r}")
    celsius = _celsius(temp_f)
    t = celsius + 273.15
    a, b, c, d, e, f, g = _ICE if celsius <= _TRIPLE_POINT_C else _WATER
    log = a / t + b + c * t + d * t**2 + e * t**3 + f * t**4 + g * math.log(t)
    return math.exp(log) / _PA_PER_INHG


def vapour_pressure_inhg(temp_f: float, rh: float) -> float:
    """Return the pressure of the water vapour in air, in inches of mercury."""
    _require_humidity(rh)
    return rh * saturation_pressure_inhg(temp_f)


def dew_point_f(temp_f: float, rh: float) -> float:
    """Return the temperature at which air of this temperature and humidity begins to wet a surface, in °F.

    Below freezing it is the frost point. By bisection on the saturation curve, to 1e-9 °F.
    """
    return surface_temp_for_humidity(temp_f, rh, 1.0)


def surface_temp_for_humidity(temp_f: float, rh: float, surface_rh: float) -> float:
    """Return the temperature of a surface where such air comes to ``surface_rh`` (1: the dew point), in °F."""
    pressure = vapour_pressure_inhg(temp_f, rh)
    _require_humidity(surface_rh)
    pressure /= surface_rh
    low, high = _COLDEST_F, _HOTTEST_F if surface_rh < rh else temp_f
    if pressure < saturation_pressure_inhg(low):
        raise ValueError(f"the dew point lies below {_COLDEST_F:g} °F")
    while high - low > 1e-9:
        middle = (low + high) / 2
        if saturation_pressure_inhg(middle) < pressure:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def surface_humidity(air_temp_f: float, rh: float, surface_temp_f: float) -> float:
    """Return the relative humidity of that air where it touches a surface (1 or more: it wets it)."""
    return vapour_pressure_inhg(air_temp_f, rh) / saturation_pressure_inhg(surface_temp_f)


@cache
def _emc_coefficients(scale: Scale) -> tuple[tuple[float, float, float], ...]:
    """Constant, linear and square coefficient of W, K, K1 and K2."""
    rows = {row["name"]: row for row in read_rows(_EMC) if row["scale"] == scale}
    return tuple(
        (float(row["constant"]), float(row["linear"]), float(row["square"]))
        for row in (rows[name] for name in ("W", "K", "K1", "K2"))
    )


def wood_emc_percent(temp_f: float, rh: float, *, scale: Scale = "celsius") -> float:
    """Return the moisture content that wood comes to in such air, in percent (Wood Handbook Eq. 4-5).

    For 0 < rh < 1; close to 1 the equation is not to be trusted, nor for wood that gets wet from elsewhere.
    ``scale`` picks the set of coefficients: the one for °C was read, the one for °F is recalled.
    """
    if not 0 < rh < 1:
        raise ValueError(f"relative humidity must lie between 0 and 1, not {rh!r}")
    t = _celsius(temp_f) if scale == "celsius" else temp_f
    w, k, k1, k2 = (a + b * t + c * t**2 for a, b, c in _emc_coefficients(scale))
    kh = k * rh
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


def shrinkage_in(depth_in: float, from_percent: float, to_percent: float, coefficient: float, wet: float) -> float:
    """Return how much a piece of wood loses of its depth between two moisture contents in inches (negative: it swells).

    ``coefficient`` is the share for each percent (Wood Handbook ch. 13, D x C x change); over ``wet``, the percentage
    where wood holds free water, it does not move.
    """
    require_positive(depth_in=depth_in, coefficient=coefficient, wet=wet)
    require_not_negative(from_percent=from_percent, to_percent=to_percent)
    return depth_in * coefficient * (min(from_percent, wet) - min(to_percent, wet))


@dataclass(frozen=True, slots=True)
class Range:
    """A published figure that is a range (sources disagree, or the thing varies)."""

    low: float
    high: float
    unit: str
    source: str
    status: str


def layer_figure(key: str) -> Range:
    """Return a permeance or surface resistance from ``moisture_data.csv``. Raises ``LookupError``."""
    for row in read_rows(_DATA):
        if row["key"] == key:
            return Range(float(row["low"]), float(row["high"]), row["unit"], row["source"], row["status"])
    raise LookupError(f"no figure for {key!r}; known: {', '.join(row['key'] for row in read_rows(_DATA))}")


@dataclass(frozen=True, slots=True)
class Air:
    """The air on one side: temperature and relative humidity (fraction)."""

    temp_f: float
    rh: float


@dataclass(frozen=True, slots=True)
class VapourLayer:
    """One layer of a floor for heat and vapour."""

    name: str
    r_value: float
    permeance: float


@dataclass(frozen=True, slots=True)
class Interface:
    """One place in the build-up: where two layers meet, a surface, or a cut inside a thick layer.

    ``condensation`` is the water that gathers there in grains per hour and square foot (0: none).
    """

    place: str
    temp_f: float
    pressure_inhg: float
    saturation_inhg: float
    condensation: float

    @property
    def humidity(self) -> float:
        """Relative humidity there, up to 1."""
        return min(self.pressure_inhg / self.saturation_inhg, 1.0)


@dataclass(frozen=True, slots=True)
class VapourProfile:
    """Temperatures and vapour pressures through a build-up in a steady state, from the first side to the second.

    ``flow_in`` enters from the first side and ``flow_out`` leaves at the second, in grains per hour and
    square foot (negative: the other way); what stays between them condenses. A surface is wet when it is
    colder than the dew point of the air that it faces; how much gathers there depends on that air, so it
    has no rate.
    """

    interfaces: tuple[Interface, ...]
    flow_in: float
    flow_out: float
    first_surface_wet: bool
    second_surface_wet: bool

    @property
    def wet(self) -> tuple[Interface, ...]:
        """The places inside the build-up where water gathers."""
        return tuple(i for i in self.interfaces if i.condensation > 0)

    @property
    def condensation(self) -> float:
        """All the water that gathers inside, in grains per hour and square foot."""
        return sum(i.condensation for i in self.interfaces)

    @property
    def working(self) -> Working:
        """Temperature, vapour pressure and saturation pressure at each place, a line each."""
        clause = "ISO 13788 (Glaser), steady state"
        steps = [
            Step("p", f"at {i.place}", f"{show(i.temp_f)} °F, saturated {show(i.saturation_inhg)} inHg",
                 i.pressure_inhg, "inHg", clause)
            for i in self.interfaces
        ]  # fmt: skip
        steps += [Step("g", f"condensing at {i.place}", "", i.condensation, "grain/(h·ft²)", clause) for i in self.wet]
        return tuple(steps)


def vapour_profile(
    first: Air, second: Air, layers: Sequence[VapourLayer], *, surface_r: tuple[float, float]
) -> VapourProfile:
    """Return the steady-state profile through ``layers`` in order from the ``first`` side (ISO 13788, Glaser).

    ``surface_r`` are the thermal resistances of the air films on the first and second side; they pass
    vapour freely. Thick layers are cut. Where diffusion alone would exceed saturation, the pressure follows
    the lowest taut line under the saturation points, and what the bends lose condenses there. No air leaks,
    no liquid flow and no storage: a screening of risk, not a forecast. Raises ``ValueError`` for a layer
    without resistance to vapour.
    """
    if not layers:
        raise ValueError("a vapour profile needs at least one layer")
    for layer in layers:
        require_not_negative(r_value=layer.r_value)
        require_positive(permeance=layer.permeance)
    require_not_negative(first_surface_r=surface_r[0], second_surface_r=surface_r[1])
    places, heat, vapour = _stations(layers, surface_r[0])
    whole = heat[-1] + surface_r[1]
    if whole <= 0:
        raise ValueError("the build-up has no thermal resistance at all")
    temps = [first.temp_f + (second.temp_f - first.temp_f) * r / whole for r in heat]
    saturated = [saturation_pressure_inhg(t) for t in temps]
    start = vapour_pressure_inhg(first.temp_f, first.rh)
    end = vapour_pressure_inhg(second.temp_f, second.rh)
    # A surface colder than the dew point of its own air holds no more than saturation.
    ceiling = [min(start, saturated[0]), *saturated[1:-1], min(end, saturated[-1])]
    corners = _lower_hull(vapour, ceiling)
    pressures = [_between(z, corners, vapour, ceiling) for z in vapour]
    flows = [(pressures[i] - pressures[i + 1]) / (vapour[i + 1] - vapour[i]) for i in range(len(vapour) - 1)]
    lost = [0.0] * len(vapour)
    for index in corners[1:-1]:
        lost[index] = max(flows[index - 1] - flows[index], 0.0)
    return VapourProfile(
        interfaces=tuple(Interface(*row) for row in zip(places, temps, pressures, saturated, lost, strict=True)),
        flow_in=flows[0],
        flow_out=flows[-1],
        first_surface_wet=start > saturated[0],
        second_surface_wet=end > saturated[-1],
    )


def _stations(layers: Sequence[VapourLayer], first_r: float) -> tuple[list[str], list[float], list[float]]:
    """Places with the thermal and the vapour resistance from the first side up to each."""
    places, heat, vapour = [f"surface of {layers[0].name}"], [first_r], [0.0]
    for number, layer in enumerate(layers, start=1):
        parts = max(1, math.ceil(layer.r_value / PART_R - 1e-9))
        for part in range(1, parts + 1):
            heat.append(heat[-1] + layer.r_value / parts)
            vapour.append(vapour[-1] + 1 / layer.permeance / parts)
            if part < parts:
                places.append(f"in {layer.name}, {part} of {parts}")
            elif number < len(layers):
                places.append(f"between {layer.name} and {layers[number].name}")
            else:
                places.append(f"surface of {layer.name}, far side")
    return places, heat, vapour


def _lower_hull(xs: Sequence[float], ys: Sequence[float]) -> list[int]:
    """Indices of the corners of the taut line from the first point to the last that passes under all others."""
    corners: list[int] = []
    for i in range(len(xs)):
        while len(corners) > 1:
            a, b = corners[-2], corners[-1]
            if (ys[b] - ys[a]) * (xs[i] - xs[a]) < (ys[i] - ys[a]) * (xs[b] - xs[a]):
                break
            corners.pop()
        corners.append(i)
    return corners


def _between(x: float, corners: Sequence[int], xs: Sequence[float], ys: Sequence[float]) -> float:
    right = next(k for k in range(1, len(corners)) if x <= xs[corners[k]])
    a, b = corners[right - 1], corners[right]
    return ys[a] + (ys[b] - ys[a]) * (x - xs[a]) / (xs[b] - xs[a])
