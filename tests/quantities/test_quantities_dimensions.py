"""The tables of dimensions and units, and numbers for JSON."""

from __future__ import annotations

import json
from typing import get_args

import pytest

from inspect_core.quantities import Dimension, Units, number_in, parse, unit_for
from inspect_core.quantities.dimensions import FACTS, UNIT_NAMED, UNITS_BY_KEY, UNWRITTEN, _rows, unit_key

BOTH: tuple[Units, ...] = get_args(Units)
STATUSES = {"read from text", "from memory", "common practice, no source", "computed"}


def test_each_dimension_has_its_word() -> None:
    assert [d.value for d in Dimension] == [
        "length", "area", "volume", "force", "load", "line-load", "stress", "moisture", "humidity",
        "temperature", "slope", "ratio", "permeance", "flow", "density", "count", "duration",
    ]  # fmt: skip


def test_the_internal_unit_of_each_dimension_has_the_factor_one() -> None:
    rows = _rows("dimensions.csv")
    assert [row["dimension"] for row in rows] == [d.value for d in Dimension]
    for row in rows:
        unit = UNIT_NAMED[Dimension(row["dimension"]), row["internal"]]
        assert (unit.times, unit.over, unit.plus) == (1, 1, 0), row


def test_each_factor_has_a_source_and_a_status() -> None:
    for row in _rows("units.csv"):
        assert row["source"], row
        assert row["status"] in STATUSES, row
        assert row["system"] in {"in", "mm", ""}, row


def test_no_spelling_means_two_units_of_one_dimension() -> None:
    for dimension in Dimension:
        names = [unit.name for (of, _), unit in UNIT_NAMED.items() if of is dimension]
        names = [name for name in names if name not in UNWRITTEN]
        assert {UNITS_BY_KEY[dimension][unit_key(name)].name for name in names} == set(names)


@pytest.mark.parametrize("units", BOTH)
@pytest.mark.parametrize("dimension", Dimension)
def test_examples_are_valid_in_their_dimension(dimension: Dimension, units: Units) -> None:
    single = parse(FACTS[dimension].example[units], dimension, units)
    spread = parse(FACTS[dimension].range_example[units], dimension, units)
    assert single is not None and single.exact
    assert spread is not None and spread.is_range and not spread.estimate


@pytest.mark.parametrize(
    ("dimension", "units", "name", "factor"),
    [
        (Dimension.LENGTH, "in", "in", 1.0),
        (Dimension.LENGTH, "mm", "mm", 25.4),
        (Dimension.AREA, "in", "sq in", 1.0),
        (Dimension.AREA, "mm", "mm2", 645.16),
        (Dimension.LOAD, "in", "psf", 1.0),
        (Dimension.LOAD, "mm", "kPa", 0.04788025898),
        (Dimension.FORCE, "mm", "kN", 0.0044482216152605),
        (Dimension.TEMPERATURE, "mm", "C", 5 / 9),
        (Dimension.SLOPE, "in", "in per ft", 12.0),
        (Dimension.SLOPE, "mm", "%", 100.0),
        (Dimension.COUNT, "mm", "count", 1.0),
    ],
)
def test_unit_for(dimension: Dimension, units: Units, name: str, factor: float) -> None:
    found_name, found_factor = unit_for(dimension, units)
    assert found_name == name
    assert found_factor == pytest.approx(factor, rel=1e-9)


@pytest.mark.parametrize(
    ("value", "dimension", "units", "text"),
    [
        (16.0, Dimension.LENGTH, "in", "16"),
        (22.5, Dimension.LENGTH, "in", "22.5"),
        (16.0, Dimension.LENGTH, "mm", "406.4"),
        (15.875, Dimension.LENGTH, "mm", "403.225"),
        (-0.0, Dimension.LENGTH, "in", "0"),
        (16 - 15.9 - 0.1, Dimension.LENGTH, "in", "0"),
        (68.0, Dimension.TEMPERATURE, "mm", "20"),
        (32.0, Dimension.TEMPERATURE, "mm", "0"),
        (1 / 48, Dimension.SLOPE, "in", "0.25"),
        (1 / 48, Dimension.SLOPE, "mm", "2.083333"),
        (1 / 150, Dimension.RATIO, "in", "0.00666666667"),
        (40.0, Dimension.LOAD, "mm", "1.91521"),
    ],
)
def test_number_in_prints_without_dust(value: float, dimension: Dimension, units: Units, text: str) -> None:
    assert json.dumps(number_in(value, dimension, units)) == text


def test_numbers_that_compare_as_different_print_as_different() -> None:
    for limit in (0.06, 0.0067, 16.0, 1500.0):
        past = limit * (1 + 2e-6)
        for units in BOTH:
            assert number_in(past, Dimension.LENGTH, units) > number_in(limit, Dimension.LENGTH, units)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Lbs per square foot", "lb/ft2"),
        ("lb / sq. ft.", "lb/ft2"),
        ("ng/Pa s m2", "ng/m2 pa s"),
        ("ng/(s m^2 Pa)", "ng/m2 pa s"),
        ("''", "in"),
        ("degrees F", "f"),
        ("cu ft/min", "ft3/min"),
        ("%RH", "% rh"),
    ],
)
def test_unit_key(text: str, key: str) -> None:
    assert unit_key(text) == key
