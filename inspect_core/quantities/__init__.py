"""Lengths, areas, loads and the rest, as people write them; one internal unit for each dimension."""

from inspect_core.quantities.dimensions import Dimension, Units, number_in, unit_for
from inspect_core.quantities.errors import QuantityError
from inspect_core.quantities.parse import Size, is_unknown, parse, parse_extent, parse_positions, parse_size
from inspect_core.quantities.quantity import (
    EPS,
    Quantity,
    at_least,
    at_most,
    exactly,
    hull,
    maximum,
    minimum,
    ratio,
    same,
    times,
)
from inspect_core.quantities.render import render, written

__all__ = [
    "EPS",
    "Dimension",
    "Quantity",
    "QuantityError",
    "Size",
    "Units",
    "at_least",
    "at_most",
    "exactly",
    "hull",
    "is_unknown",
    "maximum",
    "minimum",
    "number_in",
    "parse",
    "parse_extent",
    "parse_positions",
    "parse_size",
    "ratio",
    "render",
    "same",
    "times",
    "unit_for",
    "written",
]
