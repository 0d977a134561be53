"""Where water would condense in a floor whose layers are known within ranges only, and how it could dry again.

The steady state of ISO 13788 (Glaser), as :mod:`.moisture` solves it for plain numbers; here every temperature,
humidity, thermal resistance and permeance may be a range, and what comes out holds for all that they allow. Units as
there: °F, relative humidity as a fraction, inHg, perms, h·ft²·°F/Btu, grains per hour and square foot.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import accumulate, product
from pathlib import Path

from .moisture import (
    PART_R,
    Air,
    VapourLayer,
    VapourProfile,
    layer_figure,
    saturation_pressure_inhg,
    vapour_pressure_inhg,
    vapour_profile,
)
from .tables import read_rows, require_not_negative, require_positive
from .working import Step, Working, show, weakest

_DATA = Path(__file__).parent / "condensation_data.csv"

#: Nothing is perfectly tight, and a film of still air is never more open than this; both keep sums finite.
TIGHTEST, MOST_OPEN = 0.001, 1000.0

METHOD = "ISO 13788 (Glaser)"


@dataclass(frozen=True, slots=True)
class Span:
    """All numbers from ``low`` to ``high``."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not -math.inf < self.low <= self.high < math.inf:
            raise ValueError(f"not a range: {self.low} to {self.high}")

    @property
    def middle(self) -> float:
        """The number half-way."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class RangedAir:
    """The air on one side: temperature, and relative humidity as a fraction above 0 and up to 1."""

    temp_f: Span
    rh: Span

    @property
    def pressure(self) -> Span:
        """Its vapour pressure."""
        return Span(
            self.rh.low * saturation_pressure_inhg(self.temp_f.low),
            self.rh.high * saturation_pressure_inhg(self.temp_f.high),
        )


@dataclass(frozen=True, slots=True)
class RangedLayer:
    """One layer for heat and vapour; ``opens_when_wet`` for wood, which lets far more through as it gets damp."""

    name: str
    r_value: Span
    permeance: Span
    opens_when_wet: bool = False
    status: str = "from memory"


@dataclass(frozen=True, slots=True)
class Place:
    """One place in the build-up.

    ``humidity`` is the vapour pressure that diffusion alone would bring there, as a share of saturation: over 1, water
    condenses at that place or near it.
    """

    name: str
    temp_f: Span
    humidity: Span


# --- figures of materials ---------------------------------------------------------------------------------------------

_SHEETS = {
    "polyethylene": "polyethylene-6-mil",
    "felt": "felt-15",
    "kraft": "kraft-facing",
    "class-I": "class-1",
    "class-II": "class-2",
    "class-III": "class-3",
}


@cache
def _figures() -> dict[tuple[str, str], tuple[Span, str]]:
    rows = read_rows(_DATA)
    return {(r["key"], r["figure"]): (Span(float(r["low"]), float(r["high"])), r["status"]) for r in rows}


@cache
def layer_of(
    name: str, material: str, thickness_in: Span | None = None, *, permeance: Span | None = None, wood: bool = False
) -> RangedLayer:
    """Return a layer of a material whose figures are known, or of an ``unknown`` one.

    What depends on a thickness that is not given, and a material without a figure, may be anything from foil to open
    felt. ``permeance`` is what the maker says; it stands before the material's.
    """
    r_value, r_status = _r_value(material, thickness_in)
    if permeance is not None:
        perms, status = permeance, "read from text"
    else:
        perms, status = _permeance(material, thickness_in)
    perms = Span(min(max(perms.low, TIGHTEST), MOST_OPEN), min(max(perms.high, TIGHTEST), MOST_OPEN))
    return RangedLayer(name, r_value, perms, wood, weakest((status, r_status)))


def _permeance(material: str, thickness: Span | None) -> tuple[Span, str]:
    if material in _SHEETS:
        figure = layer_figure(_SHEETS[material])
        return Span(figure.low, figure.high), figure.status
    if material == "class-open":
        return Span(layer_figure("class-3").high, MOST_OPEN), layer_figure("class-3").status
    found = _figures().get((material, "permeability"))
    if found is not None and thickness is not None and thickness.low > 0:
        span, status = found
        return Span(span.low / thickness.high, span.high / thickness.low), status
    return _figures().get((material, "permeance")) or _figures()["unknown", "permeance"]


def _r_value(material: str, thickness: Span | None) -> tuple[Span, str]:
    found = _figures().get((material, "r-per-inch"))
    if found is not None and thickness is not None:
        span, status = found
        return Span(span.low * thickness.low, span.high * thickness.high), status
    sheet = material in _SHEETS or material.startswith("class-")
    return _figures().get((material, "r")) or _figures()["sheet" if sheet else "unknown", "r"]


def films() -> Span:
    """Return the thermal resistance of the still air under and over a floor, whichever way heat goes."""
    down, up = layer_figure("surface-floor-heat-down"), layer_figure("surface-floor-heat-up")
    return Span(min(down.low, up.low), max(down.high, up.high))


# --- humidity through the build-up ------------------------------------------------------------------------------------


def in_parts(layers: Iterable[RangedLayer]) -> tuple[RangedLayer, ...]:
    """Return the layers with thick ones cut as ISO 13788 does, since the saturation curve bends inside of them."""
    parts: list[RangedLayer] = []
    for layer in layers:
        require_not_negative(r_value=layer.r_value.low)
        require_positive(permeance=layer.permeance.low)
        count = max(1, math.ceil(layer.r_value.high / PART_R - 1e-9))
        share, open_ = layer.r_value, layer.permeance
        thin = replace(
            layer,
            r_value=Span(share.low / count, share.high / count),
            permeance=Span(open_.low * count, open_.high * count),
        )
        parts += [thin] * count
    return tuple(parts)


def humidities(first: RangedAir, second: RangedAir, parts: Sequence[RangedLayer], film: Span) -> tuple[Place, ...]:
    """Return every place from the first side's surface to the second's with the range of its humidity.

    ``parts`` come from :func:`in_parts`; ``film`` is the thermal resistance of the air on either side. Each range holds
    whatever the true numbers are within theirs. Raises ``ValueError`` without layers.
    """
    if not parts:
        raise ValueError("a vapour profile needs at least one layer")
    temp_shares = _shares([film, *(part.r_value for part in parts), film])[:-1]
    vapour_shares = [Span(0.0, 0.0), *_shares([Span(1 / p.permeance.high, 1 / p.permeance.low) for p in parts])]
    one, other = first.pressure, second.pressure
    places = []
    for number, (temp_share, vapour_share) in enumerate(zip(temp_shares, vapour_shares, strict=True)):
        temp = _between(first.temp_f, second.temp_f, temp_share)
        pressure = _between(one, other, vapour_share)
        low = pressure.low / saturation_pressure_inhg(temp.high)
        high = pressure.high / saturation_pressure_inhg(temp.low)
        places.append(Place(_name(parts, number), temp, Span(low, max(low, high))))
    return tuple(places)


def _shares(resistances: Sequence[Span]) -> list[Span]:
    """Share of the whole resistance that lies before the end of each part."""
    shares = []
    left = [*_running(resistances[::-1])[::-1][1:], Span(0.0, 0.0)]  # summed from the far end: no small differences
    for before, after in zip(_running(resistances), left, strict=True):
        low = before.low / (before.low + after.high) if before.low + after.high > 0 else 0.0
        high = before.high / (before.high + after.low) if before.high + after.low > 0 else 1.0
        shares.append(Span(low, max(low, high)))
    return shares


def _running(spans: Sequence[Span]) -> list[Span]:
    """Sums of the first one, the first two, …"""
    lows, highs = accumulate(s.low for s in spans), accumulate(s.high for s in spans)
    return [Span(low, high) for low, high in zip(lows, highs, strict=True)]


def _sum(spans: Iterable[Span]) -> Span:
    spans = list(spans)
    return Span(sum(s.low for s in spans), sum(s.high for s in spans))


def _between(one: Span, other: Span, share: Span) -> Span:
    lows = [one.low + (other.low - one.low) * s for s in (share.low, share.high)]
    highs = [one.high + (other.high - one.high) * s for s in (share.low, share.high)]
    return Span(min(lows), max(*lows, *highs))


def _name(parts: Sequence[RangedLayer], number: int) -> str:
    if number == 0:
        return f"lower face of {parts[0].name}"
    if number == len(parts):
        return f"upper face of {parts[-1].name}"
    below, above = parts[number - 1].name, parts[number].name
    return f"inside {below}" if below == above else f"between {below} and {above}"


def wettest(places: Sequence[Place]) -> int:
    """Return the number of the place that may be wettest."""
    return max(range(len(places)), key=lambda number: places[number].humidity.high)


@dataclass(frozen=True, slots=True)
class HardCase:
    """One choice of all numbers within their ranges, the one that makes one place wettest."""

    first: Air
    second: Air
    layers: tuple[VapourLayer, ...]
    surface_r: tuple[float, float]

    @property
    def profile(self) -> VapourProfile:
        """Its steady state, with what condenses where."""
        return vapour_profile(self.first, self.second, self.layers, surface_r=self.surface_r)

    @property
    def diffusion_alone(self) -> tuple[float, ...]:
        """Vapour pressure at each place if nothing condensed: a straight line over the resistance to vapour."""
        one, other = (vapour_pressure_inhg(air.temp_f, air.rh) for air in (self.first, self.second))
        passed = [0.0]
        for layer in self.layers:
            passed.append(passed[-1] + 1 / layer.permeance)
        return tuple(one + (other - one) * resistance / passed[-1] for resistance in passed)

    def humidity_at(self, place: int) -> float:
        """Relative humidity that diffusion alone would bring to a place, as a fraction (over 1: water condenses)."""
        heat = [self.surface_r[0], *(layer.r_value for layer in self.layers), self.surface_r[1]]
        share = sum(heat[: place + 1]) / sum(heat)
        temp = self.first.temp_f + (self.second.temp_f - self.first.temp_f) * share
        return self.diffusion_alone[place] / saturation_pressure_inhg(temp)


def hard_case(first: RangedAir, second: RangedAir, parts: Sequence[RangedLayer], film: Span, place: int) -> HardCase:
    """Return the numbers, out of those allowed, that make one place wettest.

    Vapour comes easily from the side that has more of it and leaves hardly on the other; the place is as cold as can
    be. The airs are at their dampest. A warmer air brings vapour but warms the place too, so the ends of both
    temperatures are tried.
    """
    ends = product(*((air.temp_f.low, air.temp_f.high) for air in (first, second)))
    airs = [(Air(one, first.rh.high), Air(other, second.rh.high)) for one, other in ends]
    return max((_hard_case(pair, parts, film, place) for pair in airs), key=lambda case: case.humidity_at(place))


def _hard_case(airs: tuple[Air, Air], parts: Sequence[RangedLayer], film: Span, place: int) -> HardCase:
    """The layers and films that make one place wettest between two airs that are known."""
    one, other = airs
    from_first = vapour_pressure_inhg(one.temp_f, one.rh) > vapour_pressure_inhg(other.temp_f, other.rh)
    cold_first = one.temp_f < other.temp_f
    layers = tuple(
        VapourLayer(
            part.name,
            part.r_value.low if (number < place) == cold_first else part.r_value.high,
            part.permeance.high if (number < place) == from_first else part.permeance.low,
        )
        for number, part in enumerate(parts)
    )
    return HardCase(one, other, layers, (film.low, film.high) if cold_first else (film.high, film.low))


def profile_steps(case: HardCase, places: Sequence[Place]) -> Working:
    """Return the vapour pressure of both airs, how near to saturation each place comes, and what condenses there."""
    profile = case.profile
    steps = [
        Step("p", f"humidity × saturated, {side}",
             f"{show(air.rh)} × {show(saturation_pressure_inhg(air.temp_f))} at {show(air.temp_f)} °F",
             vapour_pressure_inhg(air.temp_f, air.rh), "inHg", "Hyland and Wexler 1983")
        for side, air in (("air below", case.first), ("air above", case.second))
    ]  # fmt: skip
    for place, spot, free in zip(places, profile.interfaces, case.diffusion_alone, strict=True):
        if place.name.startswith("inside ") and spot.condensation == 0:
            continue
        numbers = f"{show(free)} / {show(spot.saturation_inhg)} at {show(spot.temp_f)} °F"
        steps.append(Step("φ", f"p / saturated, {place.name}", numbers, 100 * free / spot.saturation_inhg, "%", METHOD))
    steps += [
        Step("g", f"condensing {place.name}", "", spot.condensation, "grain/(h·ft²)", METHOD)
        for place, spot in zip(places, profile.interfaces, strict=True)
        if spot.condensation > 0
    ]
    return tuple(steps)


# --- drying -----------------------------------------------------------------------------------------------------------


def series_permeance(layers: Iterable[RangedLayer]) -> Span:
    """Return the permeance of layers over one another; of none, that of the air."""
    resistance = _sum(Span(1 / layer.permeance.high, 1 / layer.permeance.low) for layer in layers)
    low = 1 / resistance.high if resistance.high > 0 else MOST_OPEN
    high = 1 / resistance.low if resistance.low > 0 else MOST_OPEN
    return Span(min(low, MOST_OPEN), min(high, MOST_OPEN))


def drying_rate(wet_temp_f: float, below: tuple[float, float], above: tuple[float, float]) -> tuple[float, float]:
    """Return what leaves wet wood downwards and upwards, in grains per hour and square foot (negative: it takes it up).

    ``below`` and ``above`` are the permeance to the air on that side and that air's vapour pressure. Two tight layers
    leave next to nothing either way: water between them stays.
    """
    saturated = saturation_pressure_inhg(wet_temp_f)
    rates = []
    for permeance, pressure in (below, above):
        require_not_negative(permeance=permeance, pressure=pressure)
        rates.append(permeance * (saturated - pressure))
    return rates[0], rates[1]
