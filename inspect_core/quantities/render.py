"""Quantities as texts: `render` for people, `written` for files that `parse` reads back."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from inspect_core.quantities.dimensions import (
    FACTS,
    UNIT_NAMED,
    UNITS_BY_KEY,
    UNWRITTEN,
    Dimension,
    Unit,
    Units,
)
from inspect_core.quantities.quantity import Quantity, slack
from inspect_core.quantities.tape import feet_and_inches, inches, plain

_TAPE = 16  # parts of an inch on a tape
_PANEL = 32  # panels are sold by these: 23/32 in is shown as it is
_FINEST = 64  # parts of an inch that `written` writes as a fraction
_GENTLE = 1 / 8  # in per ft: below this the nearest sixteenth says too little about a slope
_SHOWN_DIGITS = 4
_PLAIN_DIGITS = 3
_DECIMAL_BELOW = 0.25  # in: what is thinner and on no fraction of a panel is gauged in thousandths
_WRITTEN_DIGITS = 12
_WRITTEN_DECIMALS = 15
_SHORT_DIGITS = 6
_SHORT_TEXT = 12

_Style = Callable[[int, int], str]

_D = Dimension
# Units for people, the larger first, each with the least number that is shown in it.
_SHOWN: dict[tuple[Dimension, Units], tuple[tuple[str, float], ...]] = {
    (_D.AREA, "in"): (("sq ft", 1), ("sq in", 0)),
    (_D.AREA, "mm"): (("m2", 0.01), ("mm2", 0)),
    (_D.DURATION, "in"): (("day", 3), ("h", 2), ("min", 0)),
    (_D.DURATION, "mm"): (("day", 3), ("h", 2), ("min", 0)),
}
_SHOWN_NAME = {"F": "°F", "C": "°C", "day": "days", "ratio": "", "count": ""}


def render(q: Quantity, units: Units, *, hair: bool = True, percent: bool = False) -> str:
    """The quantity for people, in the file's units: `15 7/8 in`, `8 ft 2 1/2 in`, `15 1/2 to 16 1/4 in`.

    Rounded (lengths to 1/16 in or 0.1 mm, the rest to four digits); a length that isn't what it was rounded
    to says so, `just over 16 in`, so a hair past a limit never reads as the limit. An estimate reads
    `about 16 in`, with nothing finer; so does everything without ``hair``, where three digits do. ``percent`` shows a
    ratio as so many in a hundred, `19.5%`.
    """
    hair = hair and not q.estimate
    percent = percent and q.dimension is Dimension.RATIO
    low, unit = _shown(q.low, q.dimension, units, hair, percent)
    text = low + _joined(unit)
    if q.is_range:
        high, high_unit = _shown(q.high, q.dimension, units, hair, percent)
        if (low, unit) != (high, high_unit):
            text = f"{low if unit == high_unit else text} to {high}{_joined(high_unit)}"
    return f"about {text}" if q.estimate else text


def written(q: Quantity, units: Units) -> str:
    """The quantity as text that `parse` reads back, in the file's units and with its unit beside it.

    Exact for lengths on a 1/64 in, for ratios 1/n, and for what is a decimal of six digits in a known unit
    (written in that unit: 400 mm in a file in inches); everything else comes back within 1e-11 of its size.
    A range narrower than that rounding is written as one number.
    """
    low, unit = _written(q.low, q.dimension, units)
    text = low + _joined(unit)
    if q.high - q.low > 1e-10 * max(1.0, abs(q.low), abs(q.high)):
        high, high_unit = _written(q.high, q.dimension, units)
        text = f"{low if unit == high_unit else text} .. {high}{_joined(high_unit)}"
    return f"~{text}" if q.estimate else text


def _joined(unit: str) -> str:
    return unit if unit in ("", "%") else f" {unit}"


@lru_cache(maxsize=4096)  # the same lengths and limits come up in finding after finding
def _shown(value: float, dimension: Dimension, units: Units, hair: bool, percent: bool = False) -> tuple[str, str]:
    """Number and unit for people; the unit is "" when the number holds it already."""
    if abs(value) <= slack(0, 0):
        value = 0.0  # what is left when two equal numbers are subtracted
    if dimension is Dimension.LENGTH:
        return _shown_inches(value, hair) if units == "in" else _shown_millimetres(value, hair)
    if dimension is Dimension.SLOPE and units == "in":
        per_ft = UNIT_NAMED[dimension, "in per ft"]
        number = per_ft.outward(value)
        on_tape = _on_panel_fraction(number) or abs(number) >= _GENTLE
        return _just_inches(number, hair, inches) if on_tape else plain(number, 2), per_ft.name
    one_in = "" if percent else _one_in(value, dimension)
    if one_in:
        return one_in, ""
    unit, number = _suited(value, dimension, units)
    if percent:
        unit = UNIT_NAMED[dimension, "%"]
        number = unit.outward(value)
    if abs(number) <= slack(0, 0):
        number = 0.0  # what is left when two equal numbers are subtracted
    # A whole number is not rounded within: 11032 MPa stays 11032.
    digits = max(_SHOWN_DIGITS if hair else _PLAIN_DIGITS, len(f"{abs(number):.0f}"))
    shown = plain(number, digits)
    last_place = 10.0 ** (math.floor(math.log10(abs(number))) + 1 - digits) if number else 1.0
    limit_like = len(shown.replace(".", "").strip("-0")) < _SHOWN_DIGITS
    if limit_like or abs(number - float(shown)) < last_place / 20:
        shown = _just(number, float(shown), hair) + shown
    return shown, _SHOWN_NAME.get(unit.name, unit.name)


def _suited(value: float, dimension: Dimension, units: Units) -> tuple[Unit, float]:
    """The unit that suits the size, and the number in it."""
    rows = _SHOWN.get((dimension, units)) or ((FACTS[dimension].json[units].name, 0.0),)
    choices = [(UNIT_NAMED[dimension, name], least) for name, least in rows]
    unit = next(unit for unit, least in choices if abs(unit.outward(value)) >= least)
    return unit, unit.outward(value)


def _just(number: float, shown: float, hair: bool) -> str:
    """`just over ` or `just under ` when the number isn't the one that is shown."""
    if not hair or abs(number - shown) <= slack(number, shown):
        return ""
    return "just over " if number > shown else "just under "


def _one_in(value: float, dimension: Dimension) -> str:
    """`1/150` as a ratio, `1:48` as a slope; "" when it isn't 1/n, or is a slope of whole percent."""
    if dimension not in (Dimension.RATIO, Dimension.SLOPE) or not 1 / 2001 < value <= 0.5:
        return ""
    n = round(1 / value)
    percent = 100 * value
    if dimension is Dimension.SLOPE and abs(percent - round(percent)) <= slack(percent, 0):
        return ""
    if abs(value - 1 / n) > slack(value, 1 / n):
        return ""
    return f"1/{n}" if dimension is Dimension.RATIO else f"1:{n}"


def _shown_millimetres(value: float, hair: bool) -> tuple[str, str]:
    unit = UNIT_NAMED[Dimension.LENGTH, "mm"]
    number = unit.outward(value)
    shown = round(number, 1) if abs(number) >= 1 else float(plain(number, 2))  # films are thinner than 1 mm
    return _just(number, shown, hair) + plain(shown, _WRITTEN_DIGITS), unit.name


def _shown_inches(value: float, hair: bool) -> tuple[str, str]:
    mil = UNIT_NAMED[Dimension.LENGTH, "mil"]
    number = mil.outward(value)
    if 0 < abs(value) < 1 / _PANEL and (hair or abs(number - round(number)) <= slack(number, round(number))):
        # films, and differences too small for a tape
        shown = float(plain(number, 2))
        return _just(number, shown, hair) + plain(shown, 2), mil.name
    if abs(value) < _DECIMAL_BELOW and not _on_panel_fraction(value):
        return _just(value, round(value, 3), hair) + plain(round(value, 3), 3), "in"  # nail shanks, liners
    return _split_unit(_just_inches(value, hair, feet_and_inches))


def _just_inches(value: float, hair: bool, style: _Style) -> str:
    """The nearest 1/16 (a 1/32 only when it is one), with the side on which the value lies."""
    parts = round(value * _PANEL) if _on_panel_fraction(value) else 2 * round(value * _TAPE)
    return _just(value, parts / _PANEL, hair) + style(parts, _PANEL)


def _on_panel_fraction(value: float) -> bool:
    parts = round(value * _PANEL)
    return abs(value - parts / _PANEL) <= slack(value, parts / _PANEL)


def _split_unit(text: str) -> tuple[str, str]:
    """`15 7/8 in` in two, so that a range shares the unit; `8 ft 2 in` stays whole."""
    return (text, "") if " ft" in text else (text.removesuffix(" in"), "in")


def _written(value: float, dimension: Dimension, units: Units) -> tuple[str, str]:
    """Number and unit that read back as the value: in the file's unit when it is short there, else in the
    unit in which it was measured, as far as that shows (400 mm in a file in inches stays 400 mm)."""
    own = FACTS[dimension].json[units]
    length = dimension is Dimension.LENGTH
    short = _written_decimal(value, own)
    if length and (units == "in" or not short):
        parts = round(value * _FINEST)
        if _as_exact(parts / _FINEST, value):
            return _split_unit(feet_and_inches(parts, _FINEST))
    if dimension is Dimension.SLOPE and units == "in":
        per_ft = UNIT_NAMED[dimension, "in per ft"]
        parts = round(per_ft.outward(value) * _FINEST)
        if _as_exact(per_ft.inward(parts / _FINEST), value):
            return inches(parts, _FINEST), per_ft.name
    if short:
        return short, _name(own)
    one_in = _one_in(value, dimension)
    if one_in and _as_exact(1 / int(one_in[2:]), value):
        return one_in, ""
    # Not beside bare numbers: in `0.5% .. 1` the second would be a percentage too.
    for unit in UNITS_BY_KEY[dimension].values() if _name(own) else ():
        short = _written_decimal(value, unit)
        if short:
            return short, unit.name
    # So many decimals at most, or a tiny number would be longer than `parse` reads.
    return plain(round(own.outward(value), _WRITTEN_DECIMALS), _WRITTEN_DIGITS), _name(own)


def _written_decimal(value: float, unit: Unit) -> str:
    """The value as a short decimal in the unit, or "" when that wouldn't read back exactly."""
    text = plain(unit.outward(value), _SHORT_DIGITS)
    return text if len(text) <= _SHORT_TEXT and _as_exact(unit.inward(float(text)), value) else ""


def _as_exact(read: float, value: float) -> bool:
    """Equal but for the last bits, which a change of unit may cost (76.2 / 25.4 isn't quite 3)."""
    return abs(read - value) <= 1e-12 * abs(value)


def _name(unit: Unit) -> str:
    return "" if unit.name in UNWRITTEN else unit.name
