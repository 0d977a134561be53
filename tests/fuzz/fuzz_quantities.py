"""The quantity parser: any text is a quantity that is written and read back alike, or refused with an example that is
valid. The first byte picks the function, the dimension and the units; the rest is the text."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator


def target() -> Callable[[bytes], None]:
    """What is run on each input."""
    from inspect_core.quantities import (
        Dimension,
        QuantityError,
        Units,
        parse,
        parse_extent,
        parse_positions,
        parse_size,
        render,
        written,
    )

    dimensions = list(Dimension)
    systems: tuple[Units, ...] = ("in", "mm")

    def one_quantity(text: str, dimension: Dimension, units: Units) -> None:
        found = parse(text, dimension, units)
        if found is None:
            return
        assert math.isfinite(found.low)
        assert found.low <= found.high < math.inf
        assert render(found, units)
        again = parse(written(found, units), dimension, units)
        assert again is not None
        assert math.isclose(again.low, found.low, rel_tol=1e-9, abs_tol=1e-9), (found, again)
        assert math.isclose(again.high, found.high, rel_tol=1e-9, abs_tol=1e-9), (found, again)

    def one(data: bytes) -> None:
        if not data:
            return
        text = data[1:].decode("utf-8", "surrogatepass" if data[0] >= 128 else "replace") if _decodes(data) else ""
        number, units = data[0] % 128 // 2, systems[data[0] % 2]
        number %= len(dimensions) + 3
        try:
            if number < len(dimensions):
                one_quantity(text, dimensions[number], units)
            elif number == len(dimensions):
                parse_size(text)
            elif number == len(dimensions) + 1:
                parse_extent(text, units)
            else:
                parse_positions(text, units)
        except QuantityError as error:
            assert error.expected
            assert error.example
            if number < len(dimensions):
                assert parse(error.example, dimensions[number], units) is not None, error.example

    return one


def _decodes(data: bytes) -> bool:
    try:
        data[1:].decode("utf-8", "surrogatepass" if data[0] >= 128 else "replace")
    except UnicodeDecodeError:
        return False
    return True


def words() -> Iterator[str]:
    """What inputs are made of."""
    from inspect_core.quantities.dimensions import UNITS_BY_KEY

    yield from ("every ", " from ", " to ", " for ", " .. ", "~", "about ", " x ", "1/2", "15 7/8", "\u2033", "\u00bd")
    yield from (key for table in UNITS_BY_KEY.values() for key in table if key)


if __name__ == "__main__":
    from fuzzing import fuzz

    fuzz(target, "quantity", words)
