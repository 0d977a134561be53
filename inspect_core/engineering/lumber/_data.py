"""Reading the tables beside this module, and the error they answer with.

Nothing is read at import: each table is parsed once, when something first asks for it.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

_FOLDER = Path(__file__).parent


class LumberError(ValueError):
    """A question that the lumber data or method can't answer.

    `kind` says what is wrong: `species`, `grade`, `size`, `factor` or `number`; `given` is what was asked
    for; `near` are the names that look most like it, or that there are instead.
    """

    def __init__(self, message: str, *, kind: str, given: object = None, near: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.kind = kind
        self.given = given
        self.near = tuple(near)


class Constant(NamedTuple):  # a plain record of the tables: named tuples load eight times as fast
    """A published number with its clause, source and status."""

    key: str
    value: float
    unit: str
    clause: str
    source: str
    status: str
    note: str


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of `name`.csv, each as column to text."""
    with (_FOLDER / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        return tuple(csv.DictReader(file))


@cache
def _sources() -> dict[str, str]:
    return {row["source"]: row["text"] for row in table("sources")}


def source_text(key: str) -> str:
    """Return the source that a row names by its short key."""
    return _sources()[key]


@cache
def _constants() -> dict[str, Constant]:
    return {
        row["key"]: Constant(
            key=row["key"],
            value=float(row["value"]),
            unit=row["unit"],
            clause=row["clause"],
            source=source_text(row["source"]),
            status=row["status"],
            note=row["note"],
        )
        for row in table("constants")
    }


def constant(key: str) -> Constant:
    """Return one of the constants of the wood design method."""
    return _constants()[key]


def positive(name: str, value: float) -> float:
    """Return `value`, or raise LumberError if it is not a finite number above zero."""
    if not (math.isfinite(value) and value > 0):
        raise LumberError(f"{name} must be a number above zero, not {value}", kind="number", given=value)
    return value


def not_negative(name: str, value: float) -> float:
    """Return `value`, or raise LumberError if it is not a finite number of at least zero."""
    if not (math.isfinite(value) and value >= 0):
        raise LumberError(f"{name} must be zero or more, not {value}", kind="number", given=value)
    return value
