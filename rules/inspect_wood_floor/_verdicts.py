"""Answers that may be unknown: so, not so, or ``None``. What rules put together from several of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from inspect_core.quantities import Quantity
from inspect_core.rules_api import Limit

Verdict = bool | None


def all_of(verdicts: Iterable[Verdict]) -> Verdict:
    """False as soon as one is false, unknown when one is unknown."""
    known = tuple(verdicts)
    return False if False in known else None if None in known else True


def any_of(verdicts: Iterable[Verdict]) -> Verdict:
    """True as soon as one is true, unknown when one is unknown."""
    known = tuple(verdicts)
    return True if True in known else None if None in known else False


def negated(verdict: Verdict) -> Verdict:
    return None if verdict is None else not verdict


def compared(compare: Callable[[Quantity, Quantity], Verdict], measured: Quantity | None, limit: Limit) -> Verdict:
    """``compare(measured, limit)``; unknown when either is."""
    return None if measured is None or limit.value is None else compare(measured, limit.value)
