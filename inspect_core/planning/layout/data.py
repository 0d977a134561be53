"""Numbers of laying panels that no rule pack sets: sheet sizes, saw cuts, what is too small to keep."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from inspect_core.engineering.tables import Sourced, read_sourced


@cache
def _data() -> dict[str, Sourced]:
    return read_sourced(Path(__file__).with_name("laying.csv"))


def fact(key: str) -> float:
    """One number of the layout's own data (inches); ``KeyError`` where there is none."""
    return _data()[key].value
