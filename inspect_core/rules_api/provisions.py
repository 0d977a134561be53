"""Provisions: what codes and practice ask, row by row, so that a pack can show which of them it checks."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from importlib.resources import files

from inspect_core.rules_api.vocabulary import STATUSES

COMMON_PRACTICE = "common-practice"
"""What a rule names instead of a provision where it follows good practice only."""

_COLUMNS = ("id", "topic", "says", "source", "status", "editions", "reason")


@dataclass(frozen=True, slots=True)
class Provision:
    """One requirement. ``editions`` says how editions of the code differ in it; ``reason`` why neither a rule nor a
    data item of the pack covers it, where that is so."""

    id: str
    topic: str
    says: str
    source: str
    status: str
    editions: str = ""
    reason: str = ""


def none() -> tuple[Provision, ...]:
    """What a pack without a list has."""
    return ()


def read_provisions(package: str) -> tuple[Provision, ...]:
    """The rows of ``data/provisions.csv`` of a package, in the file's order; none where it has no such file.

    Raises ``ValueError`` with the line of the first row that is wrong.
    """
    file = files(package).joinpath("data", "provisions.csv")
    if not file.is_file():
        return ()
    reader = csv.DictReader(io.StringIO(file.read_text("utf-8"), newline=""))
    if tuple(reader.fieldnames or ()) != _COLUMNS:
        raise ValueError(f"provisions.csv: its columns are {', '.join(_COLUMNS)}")
    found: dict[str, Provision] = {}
    for row in reader:
        if None in row or None in row.values():
            raise ValueError(f"provisions.csv, line {reader.line_num}: {len(_COLUMNS)} columns belong here")
        one = Provision(**row)
        if one.id in found:
            raise ValueError(f"provisions.csv, line {reader.line_num}: {one.id} is listed twice")
        if not (one.id and one.topic and one.says and one.source) or one.status not in STATUSES:
            raise ValueError(f"provisions.csv, line {reader.line_num}: id, topic, says, source or status is missing")
        found[one.id] = one
    return tuple(found.values())
