"""Published numbers from the data files beside the modules, each with its source and how far it is trusted.

Nothing is read at import: each file is parsed once, when something first asks for it.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

#: What a row may say of itself, the most trusted first.
STATUSES = ("read from text", "computed", "common practice, no source", "from memory")


@dataclass(frozen=True, slots=True)
class Sourced:
    """One published number with its unit, its source and its status."""

    value: float
    unit: str
    source: str
    status: str


@cache
def read_rows(path: Path) -> tuple[dict[str, str], ...]:
    """Return the rows of a data file, each as column to text (shared: callers must not change them).

    Raises ``ValueError`` when a row has no source, or a status that is not one of ``STATUSES``.
    """
    with path.open(encoding="utf-8", newline="") as file:
        rows = tuple(csv.DictReader(file))
    for number, row in enumerate(rows, start=2):
        if not row["source"] or row["status"] not in STATUSES:
            raise ValueError(f"{path.name}, line {number}: source or status missing or unknown")
    return rows


@cache
def read_sourced(path: Path) -> dict[str, Sourced]:
    """Return a file of single numbers (columns key, value, unit, source, status) by key."""
    return {
        row["key"]: Sourced(float(row["value"]), row["unit"], row["source"], row["status"]) for row in read_rows(path)
    }


@cache
def provisions() -> dict[str, tuple[str, ...]]:
    """Requirement ids that rows of the data files name (column provisions, apart by spaces), each with the items that
    hold its value: name of the file without its ending, and the row's key, or its first two columns where it has none.

    The files are those of engineering and of units.
    """
    here = Path(__file__).parent
    found: dict[str, dict[str, None]] = {}
    for path in sorted([*here.rglob("*.csv"), *here.parent.joinpath("quantities").glob("*.csv")]):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                for name in (row.get("provisions") or "").split():
                    key = row.get("key") or " ".join(list(row.values())[:2])
                    found.setdefault(name, {})[f"{path.stem} {key}"] = None
    return {name: tuple(items) for name, items in found.items()}


def require_positive(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is not a finite number above zero."""
    for name, value in values.items():
        if not 0 < value < float("inf"):
            raise ValueError(f"{name} must be a finite number above zero, not {value!r}")


def require_not_negative(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is not a finite number of at least zero."""
    for name, value in values.items():
        if not 0 <= value < float("inf"):
            raise ValueError(f"{name} must be a finite number of at least zero, not {value!r}")
