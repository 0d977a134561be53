"""The load path of each area, from tile to soil, in the file's units: as plain data and as lines of 80 columns."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from inspect_core.engine import Report
from inspect_core.quantities import Dimension, Units, unit_for
from inspect_core.report.layout import heading, wrapped
from inspect_core.site import Area
from inspect_core.structure import PathStep, load_path
from inspect_core.structure.basis import Ends

_DIMENSIONS = {"psf": Dimension.LOAD, "lb": Dimension.FORCE, "in": Dimension.LENGTH}
_MOMENT = "lb·in"
_USE_WIDTH = 13


def load_path_data(report: Report) -> list[dict[str, Any]]:
    """One object for each area: its links from the layers down to the soil, the weakest marked.

    ``in_use`` is the load over what the link may carry, ``null`` where nothing is compared; an end that nobody knows is
    ``null`` and ``why`` says what is missing. No links where the packs that ran set no limits for the structure.
    """
    units = report.site.units
    return [
        {"area": area.id, "links": [_link(step, units) for step in _steps(report, area)]} for area in report.site.areas
    ]


def _steps(report: Report, area: Area) -> tuple[PathStep, ...]:
    try:
        return load_path(area, report.rules.limits)
    except KeyError as missing:
        return (PathStep("structure", "", "", None, None, "", None, f"no pack that ran sets the limit {missing}"),)


def load_path_lines(report: Report) -> Iterator[str]:
    """A table for each area: how much of each link is in use, and the numbers behind it."""
    for area in load_path_data(report):
        yield ""
        yield from heading(f"Load path of {area['area']}, from tile to soil")
        for link in area["links"]:
            use = use_words(link)
            yield from wrapped(f"{use.ljust(_USE_WIDTH)}{link_words(link)}", "  ", "  " + " " * _USE_WIDTH)


def use_words(link: dict[str, Any]) -> str:
    """How much of a link is in use: ``27 to 30 %``, ``not known``, or nothing where nothing is compared."""
    use = link["in_use"]
    if use is None:
        return ""
    if use["low"] is None or use["high"] is None:
        return "fails" if use["low"] is None else "not known"
    low, high = f"{use['low']:.0%}".rstrip("%"), f"{use['high']:.0%}".rstrip("%")
    return f"{low} %" if low == high else f"{low} to {high} %"


def link_words(link: dict[str, Any]) -> str:
    """What a link is, what arrives there and what it may carry, in one line."""
    name = f"{link['place']} {link['member']}".strip()
    number, limit = _numbers(link["number"]), _numbers(link["limit"])
    numbers = f"{number} of {limit}" if number and limit else number
    parts = [f"{numbers} {link['unit']}" if numbers else "", link["carries"], link["why"]]
    text = "; ".join(part for part in parts if part)
    weakest = "  << weakest link" if link["weakest"] else ""
    return f"{name}: {text}{weakest}" if text else f"{name}{weakest}"


def _numbers(ends: dict[str, float] | None) -> str:
    if ends is None:
        return ""
    low, high = _short(ends["low"]), _short(ends["high"])
    return low if low == high else f"{low} to {high}"


def _short(number: float) -> str:
    """Three figures, thousands marked: a load is never known better."""
    if not number:
        return "0"
    rounded = round(number, 2 - math.floor(math.log10(abs(number))))
    return f"{rounded:,.0f}" if abs(rounded) >= 1000 else f"{rounded:.3g}"


def _link(step: PathStep, units: Units) -> dict[str, Any]:
    unit, factor = _unit(step.unit, units)
    return {
        "place": step.place,
        "member": step.member,
        "carries": _carried(step, units),
        "number": _ends(step.number, factor),
        "limit": _ends(step.limit, factor),
        "unit": unit,
        "in_use": None if step.use is None else {"low": _finite(step.use[0]), "high": _finite(step.use[1])},
        "why": _why(step),
        "weakest": step.weakest,
    }


def _why(step: PathStep) -> str:
    """What is missing, where the use is not known; why nothing carries, where that is so."""
    if step.use is None or not step.why or not math.isfinite(step.use[0]):
        return step.why
    return f"not known: {step.why}"


def _carried(step: PathStep, units: Units) -> str:
    if step.load_in_all is None:
        return step.carries
    unit, factor = _unit("lb", units)
    return f"{_short(step.load_in_all * factor)} {unit} in all"


def _unit(unit: str, units: Units) -> tuple[str, float]:
    """The unit in which a number of the calculation is shown, and what to multiply it by."""
    if unit == _MOMENT:
        force, length = _unit("lb", units), _unit("in", units)
        return (_MOMENT, 1.0) if units == "in" else ("kN·m", force[1] * length[1] / 1000)
    dimension = _DIMENSIONS.get(unit)
    return unit_for(dimension, units) if dimension is not None else (unit, 1.0)


def _ends(ends: Ends | None, factor: float) -> dict[str, float] | None:
    return None if ends is None else {"low": min(ends) * factor, "high": max(ends) * factor}


def _finite(number: float) -> float | None:
    return number if math.isfinite(number) else None
