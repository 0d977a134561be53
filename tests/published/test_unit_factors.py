"""Unit factors against an independent general library of units, and against published tables.

The library (pint, needed by tests only) builds its units from the exact international definitions; nothing of
ours is built from it. Masses are taken as weights under standard gravity there as here.
"""

from __future__ import annotations

from typing import Any

import pint
import pytest

from inspect_core.quantities import Dimension, Quantity, parse
from inspect_core.quantities.dimensions import UNIT_NAMED, UNWRITTEN

D = Dimension
PERMEANCE_UNITS = {"perm", "ng/(s m2 Pa)"}  # compared on their own below: the sources differ

# The internal unit of each dimension and every unit of the table, as the library spells them.
INTERNAL = {
    D.LENGTH: "inch", D.AREA: "inch**2", D.VOLUME: "gallon", D.FORCE: "force_pound", D.LOAD: "force_pound/foot**2",
    D.LINE_LOAD: "force_pound/foot", D.STRESS: "psi", D.MOISTURE: "percent", D.HUMIDITY: "percent",
    D.SLOPE: "dimensionless", D.RATIO: "dimensionless", D.FLOW: "foot**3/minute", D.DENSITY: "pound/foot**3",
    D.DURATION: "minute",
}  # fmt: skip
SPELLED = {
    "in": "inch", "ft": "foot", "yd": "yard", "mil": "thou", "mm": "millimeter", "cm": "centimeter", "m": "meter",
    "um": "micrometer", "sq in": "inch**2", "sq ft": "foot**2", "mm2": "millimeter**2", "cm2": "centimeter**2",
    "m2": "meter**2", "gal": "gallon", "cu ft": "foot**3", "cu in": "inch**3", "L": "liter", "mL": "milliliter",
    "m3": "meter**3", "lb": "force_pound", "kip": "kip", "kg": "force_kilogram", "N": "newton", "kN": "kilonewton",
    "psf": "force_pound/foot**2", "ksf": "kip/foot**2", "kPa": "kilopascal", "Pa": "pascal",
    "kg/m2": "force_kilogram/meter**2", "plf": "force_pound/foot", "kN/m": "kilonewton/meter", "N/m": "newton/meter",
    "kg/m": "force_kilogram/meter", "psi": "force_pound/inch**2", "ksi": "kip/inch**2", "MPa": "megapascal",
    "GPa": "gigapascal", "%": "percent", "in per ft": "inch/foot", "mm per m": "millimeter/meter",
    "cm per m": "centimeter/meter", "cfm": "foot**3/minute", "gpm": "gallon/minute", "L/s": "liter/second",
    "L/min": "liter/minute", "m3/h": "meter**3/hour", "pcf": "pound/foot**3", "kg/m3": "kilogram/meter**3",
    "g/cm3": "gram/centimeter**3", "min": "minute", "s": "second", "h": "hour", "day": "day", "week": "week",
}  # fmt: skip
ROWS = [
    (dimension, name)
    for dimension, name in UNIT_NAMED
    if name not in UNWRITTEN | PERMEANCE_UNITS and dimension is not D.TEMPERATURE
]


@pytest.fixture(scope="module")
def library() -> Any:
    return pint.UnitRegistry(cache_folder=None)


@pytest.mark.parametrize(("dimension", "name"), ROWS, ids=[f"{d.value} {name}" for d, name in ROWS])
def test_factor_equals_the_library(library: Any, dimension: Dimension, name: str) -> None:
    expected = library.Quantity(1.0, SPELLED[name]).to(INTERNAL[dimension]).magnitude
    assert UNIT_NAMED[dimension, name].inward(1.0) == pytest.approx(expected, rel=1e-13)
    assert UNIT_NAMED[dimension, name].outward(expected) == pytest.approx(1.0, rel=1e-13)


@pytest.mark.parametrize("celsius", [-40.0, -17.5, 0.0, 20.0, 100.0])
def test_temperature_equals_the_library(library: Any, celsius: float) -> None:
    expected = library.Quantity(celsius, "degC").to("degF").magnitude
    assert UNIT_NAMED[D.TEMPERATURE, "C"].inward(celsius) == pytest.approx(expected, rel=1e-12, abs=1e-9)
    assert UNIT_NAMED[D.TEMPERATURE, "C"].outward(expected) == pytest.approx(celsius, rel=1e-12, abs=1e-9)


# 16 CFR 500.19, conversion of SI metric and inch/pound quantities (read from text; "exactly" where it says so).
@pytest.mark.parametrize(
    ("text", "dimension", "metric", "exact"),
    [
        ("1 mil", D.LENGTH, "25.4 um", True),
        ("1 inch", D.LENGTH, "2.54 cm", True),
        ("1 foot", D.LENGTH, "30.48 cm", True),
        ("1 yard", D.LENGTH, "0.9144 m", True),
        ("1 square inch", D.AREA, "6.4516 cm2", True),
        ("1 square foot", D.AREA, "929.0304 cm2", True),
        ("1 square foot", D.AREA, "0.09290304 m2", True),
        ("1 cubic foot", D.VOLUME, "0.0283168 m3", False),
        ("1 gallon", D.VOLUME, "3.78541 L", False),
        ("1 pound", D.FORCE, "0.453592 kg", False),
        ("2.20462 lb", D.FORCE, "1 kg", False),
        ("10.7639 sq ft", D.AREA, "1 m2", False),
        ("3.28084 ft", D.LENGTH, "1 m", False),
    ],
)
def test_factors_of_the_federal_table(text: str, dimension: Dimension, metric: str, exact: bool) -> None:
    ours, theirs = parse(text, dimension, "in"), parse(metric, dimension, "in")
    assert isinstance(ours, Quantity) and isinstance(theirs, Quantity)
    # "given to six significant digits"
    assert ours.value == pytest.approx(theirs.value, rel=1e-14 if exact else 5e-6)


def test_pound_force_of_the_national_table() -> None:
    """NIST SP 811, appendix B.8: 1 lbf = 4.448 222 N, 1 psi = 6.894 757 kPa (quoted by others; read there)."""
    assert UNIT_NAMED[D.FORCE, "N"].outward(1.0) == pytest.approx(4.448222, abs=5e-7)
    assert UNIT_NAMED[D.STRESS, "kPa"].outward(1.0) == pytest.approx(6.894757, abs=5e-7)


def test_the_perm_lies_within_what_the_sources_say(library: Any) -> None:
    """A US perm is 1 grain / (h sq ft inHg); the mercury's temperature is not agreed.

    ASTM E96-13, Table 1: 57.2 (5.72e-8 g/(Pa s m2), read from text). Trade association glossary: 57.4 (read from
    text). The library's definition at 0 degrees C gives 57.21, at 60 degrees F 57.38.
    """
    ours = UNIT_NAMED[D.PERMEANCE, "ng/(s m2 Pa)"].outward(1.0)
    by_definition = [
        library.Quantity(1.0, f"grain/(hour*foot**2*{mercury})").to("nanogram/(second*meter**2*pascal)").magnitude
        for mercury in ("inch_Hg_0C", "inch_Hg_60F")
    ]
    assert min(57.2, *by_definition) <= ours <= max(57.4, *by_definition)
    assert max(57.4, *by_definition) / min(57.2, *by_definition) < 1.004  # which of them is taken decides nothing
