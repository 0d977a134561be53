"""What a number can measure, the units that it is written in, and the one internal unit of each dimension.

The tables are data: `dimensions.csv` (internal unit, unit of a bare number, unit in JSON, examples) and
`units.csv` (each unit's factor with its source). What people write is converted nowhere else.

| dimension | internal unit | dimension | internal unit |
|---|---|---|---|
| length | in | slope | rise / run |
| area | sq in | ratio | ratio |
| volume | US gal | permeance | US perm |
| force | lb (force) | flow | cfm |
| load | psf | density | pcf |
| line-load | plf | count | 1 |
| stress | psi | duration | minutes |
| moisture, humidity | percent | temperature | degrees Fahrenheit |
"""

from __future__ import annotations

import csv
import enum
from functools import lru_cache
from pathlib import Path
from typing import Literal, NamedTuple

Units = Literal["in", "mm"]


class Dimension(enum.Enum):
    """What a quantity measures; the value is the word in the schema's annotation."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    FORCE = "force"
    LOAD = "load"
    LINE_LOAD = "line-load"
    STRESS = "stress"
    MOISTURE = "moisture"
    HUMIDITY = "humidity"
    TEMPERATURE = "temperature"
    SLOPE = "slope"
    RATIO = "ratio"
    PERMEANCE = "permeance"
    FLOW = "flow"
    DENSITY = "density"
    COUNT = "count"
    DURATION = "duration"


class Unit(NamedTuple):
    """One unit: internal = number * times / over + plus.

    Two numbers instead of one factor, so that exact definitions stay exact: 406.4 / 25.4 is 16, while
    406.4 * 0.03937... is not. `system` is "in", "mm" or "" (a unit that belongs to both).
    """

    name: str
    dimension: Dimension
    times: float
    over: float
    plus: float
    system: str

    def inward(self, number: float) -> float:
        """The number, written in this unit, in the internal unit."""
        return number * self.times / self.over + self.plus

    def outward(self, value: float) -> float:
        """The internal value as a number in this unit."""
        return (value - self.plus) * self.over / self.times


class DimensionFacts(NamedTuple):
    """One row of `dimensions.csv`, with unit names looked up."""

    article: str
    bare: dict[Units, Unit | None]
    json: dict[Units, Unit]
    example: dict[Units, str]
    range_example: dict[Units, str]


UNWRITTEN = frozenset({"ratio", "count"})  # units of a number alone: named in JSON, never written

# Different words for the same unit. These are words, not facts: the facts are in units.csv.
_WORDS = {
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "yard": "yd", "yards": "yd", "mils": "mil",
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "micron": "um", "microns": "um",
    "lbs": "lb", "lbf": "lb", "pound": "lb", "pounds": "lb", "kips": "kip", "kgf": "kg", "kgs": "kg",
    "kilogram": "kg", "kilograms": "kg", "newton": "n", "newtons": "n",
    "gallon": "gal", "gallons": "gal", "gals": "gal",
    "litre": "l", "litres": "l", "liter": "l", "liters": "l",
    "percent": "%", "pct": "%", "perms": "perm", "deg": "", "degree": "", "degrees": "",
    "fahrenheit": "f", "celsius": "c", "degf": "f", "degc": "c",
    "sqft": "ft2", "sqin": "in2", "cuft": "ft3",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "d": "day", "days": "day", "weeks": "week",
}  # fmt: skip
_POWERS = {"sq": "2", "square": "2", "cu": "3", "cubic": "3"}


def _words(part: str) -> list[str]:
    words: list[str] = []
    power = ""
    for raw in part.split():
        if raw in _POWERS:
            power = _POWERS[raw]
            continue
        word = _WORDS.get(raw, raw)
        if word:
            words.append(word + power)
            power = ""
    return words


@lru_cache(maxsize=2048)
def unit_key(text: str) -> str:
    """The one spelling under which a unit is looked up: `lb/ft2` for `lbs per square foot` too.

    The text must be in plain characters already (see `parse`); order in a denominator does not matter.
    """
    text = text.lower().replace("''", '"').replace('"', " in ").replace("'", " ft ").replace(".", "")
    text = text.replace("(", " ").replace(")", " ").replace("*", " ").replace("^", "").replace("%", " % ")
    text = " ".join("/" if word == "per" else word for word in text.split())
    above, slash, below = text.partition("/")
    key = " ".join(_words(above))
    if slash:
        key += "/" + " ".join(sorted(_words(below.replace("/", " "))))
    return key


def _rows(name: str) -> list[dict[str, str]]:
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _load_units() -> tuple[dict[Dimension, dict[str, Unit]], dict[tuple[Dimension, str], Unit]]:
    by_key: dict[Dimension, dict[str, Unit]] = {dimension: {} for dimension in Dimension}
    by_name: dict[tuple[Dimension, str], Unit] = {}
    for row in _rows("units.csv"):
        dimension = Dimension(row["dimension"])
        unit = Unit(row["name"], dimension, float(row["times"]), float(row["over"]), float(row["plus"]),
                    row["system"])  # fmt: skip
        by_name[dimension, unit.name] = unit
        if unit.name in UNWRITTEN:
            continue
        for name in [unit.name, *filter(None, row["aliases"].split("|"))]:
            by_key[dimension][unit_key(name)] = unit
    return by_key, by_name


def _load_facts() -> dict[Dimension, DimensionFacts]:
    facts: dict[Dimension, DimensionFacts] = {}
    for row in _rows("dimensions.csv"):
        dimension = Dimension(row["dimension"])

        def named(name: str, dimension: Dimension = dimension) -> Unit:
            return UNIT_NAMED[dimension, name]

        facts[dimension] = DimensionFacts(
            article=row["article"],
            bare={"in": named(row["bare_in"]) if row["bare_in"] else None,
                  "mm": named(row["bare_mm"]) if row["bare_mm"] else None},
            json={"in": named(row["json_in"]), "mm": named(row["json_mm"])},
            example={"in": row["example_in"], "mm": row["example_mm"]},
            range_example={"in": row["range_in"], "mm": row["range_mm"]},
        )  # fmt: skip
    return facts


UNITS_BY_KEY, UNIT_NAMED = _load_units()
FACTS = _load_facts()


def unit_for(dimension: Dimension, units: Units) -> tuple[str, float]:
    """The unit's name in JSON output and its factor: number = internal value * factor.

    For temperature the factor is that of a difference; a reading needs `number_in`.
    """
    unit = FACTS[dimension].json[units]
    return unit.name, unit.over / unit.times


def number_in(value: float, dimension: Dimension, units: Units) -> float:
    """The internal value as a JSON number in the unit of `unit_for`, without the dust of binary fractions.

    Rounded to 6 decimals from 1 up, to 9 significant digits below: finer than any comparison of ours, so
    two numbers that compare as different print as different. A whole number comes back as an int.
    """
    number = FACTS[dimension].json[units].outward(value)
    if abs(number) < 1e-9:
        return 0
    rounded = round(number, 6) if abs(number) >= 1 else float(f"{number:.9g}")
    return int(rounded) if rounded == int(rounded) else rounded
