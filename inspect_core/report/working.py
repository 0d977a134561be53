"""A calculation's working, as lines of 80 columns and as plain data."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from inspect_core.engineering.working import Step, show
from inspect_core.report.layout import WIDTH, wrapped
from inspect_core.site.problems import columns


def steps_of(working: object) -> tuple[Step, ...]:
    """The steps of a check's working; none where there is none. A pack may hang anything on a check."""
    if isinstance(working, str | bytes) or not isinstance(working, Sequence):
        return ()
    return tuple(step for step in working if isinstance(step, Step))  # some are made only now


def working_data(steps: Iterable[Step]) -> list[dict[str, Any]]:
    """One object for each step, by the JSON contract; ``result`` is null where it is no finite number."""
    return [
        {
            "symbol": step.symbol,
            "formula": step.formula,
            "numbers": step.numbers,
            "result": step.result if math.isfinite(step.result) else None,
            "unit": step.unit,
            "clause": step.clause,
        }
        for step in steps
    ]


def working_lines(steps: Iterable[Step], indent: str = "") -> list[str]:
    """The steps under one another; where one is wider than a line, the numbers go under the formula."""
    return [line for step in steps for line in _step_lines(step, indent)]


def _step_lines(step: Step, indent: str) -> list[str]:
    deeper = indent + "    "
    if columns(indent + str(step)) <= WIDTH or not step.formula:
        return wrapped(str(step), indent, deeper)
    result = f"{show(step.result)} {step.unit}".rstrip()
    numbers = f"= {step.numbers} = {result}" if step.numbers else f"= {result}"
    clause = f"  [{step.clause}]" if step.clause else ""
    return [*wrapped(f"{step.symbol} = {step.formula}", indent, deeper), *wrapped(numbers + clause, deeper, deeper)]
