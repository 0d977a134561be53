"""How a calculation shows its working: one step a line, as an engineer would write it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

NOT_NEEDED = "not needed"
"""Status of a number that rests on no published figure, such as a factor of 1.0 that does not apply."""

_STATUS_ORDER = (NOT_NEEDED, "read from text", "computed", "common practice, no source", "from memory")


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation.

    `symbol` and `formula` are in the field's symbols, `numbers` is the formula with the numbers put in,
    `result` is in `unit` ("" for a ratio), `clause` names where the formula comes from.
    """

    symbol: str
    formula: str
    numbers: str
    result: float
    unit: str
    clause: str

    def __str__(self) -> str:
        left = [self.symbol]
        left += [part for part in (self.formula, self.numbers) if part]
        text = " = ".join([*left, show(self.result)])
        if self.unit:
            text += f" {self.unit}"
        return f"{text}  [{self.clause}]" if self.clause else text


Working: TypeAlias = tuple[Step, ...]


def show(number: float) -> str:
    """Return `number` as it stands in a hand calculation: four figures, whole from 1000 up."""
    return f"{number:.0f}" if abs(number) >= 1000 else f"{number:.4g}"


def weakest(statuses: Iterable[str]) -> str:
    """Return the least certain of several statuses: a result is no surer than its weakest input.

    From surest: `not needed`, `read from text`, `computed`, `common practice, no source`, `from memory`.
    An unknown status counts as the weakest. Without any status the answer is `not needed`.
    """
    found = list(statuses)
    if not found:
        return NOT_NEEDED
    return max(found, key=lambda status: _STATUS_ORDER.index(status) if status in _STATUS_ORDER else 99)
