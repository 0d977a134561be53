"""The numbers of a working, worked out again from what is printed: a hand calculation has to add up on paper."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from inspect_core.engineering.working import Step

RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹·", "0123456789.")
SIGNS = {"×": "*", "−": "-", "√": "sqrt", "∛": "cbrt", " x ": " * ", "^": "**"}
CLOSE = 0.005  # numbers are printed with four figures, and differences of them lose some


def worked_out(numbers: str) -> float | None:
    """What an expression as printed comes to; ``None`` where it is words or names its figures."""
    text = re.sub("[⁰¹²³⁴⁵⁶⁷⁸⁹·]+", lambda raised: f"**({raised[0].translate(RAISED)})", numbers)
    for sign, plain in SIGNS.items():
        text = text.replace(sign, plain)
    if not re.fullmatch(r"(?:sqrt|cbrt|[0-9.e+*/() -])+", text):
        return None
    try:
        return float(eval(text, {"__builtins__": {}, "sqrt": math.sqrt, "cbrt": math.cbrt}))
    except ZeroDivisionError:
        return math.inf


def wrong_steps(steps: Iterable[Step]) -> list[str]:
    """Steps whose numbers do not give their result."""
    return [
        str(step)
        for step in steps
        if (value := worked_out(step.numbers)) is not None
        and not math.isclose(value, step.result, rel_tol=CLOSE, abs_tol=1e-9)
    ]
