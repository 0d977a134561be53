"""What a rule yields: one answer about one subject. Unknown in, ``not-measured`` out, by itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Protocol, runtime_checkable

from inspect_core.quantities import Quantity
from inspect_core.quantities import at_least as _at_least
from inspect_core.quantities import at_most as _at_most
from inspect_core.rules_api.limits import Limit
from inspect_core.rules_api.vocabulary import (
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Outcome,
    Severity,
)
from inspect_core.site.model import Path

Asks = tuple[str, ...]


@runtime_checkable
class Subject(Protocol):
    """What a finding is about: a name, and where in the file it stands. ``work`` is looked up when it is there."""

    @property
    def name(self) -> str: ...

    @property
    def path(self) -> Path: ...


@dataclass(frozen=True, slots=True)
class Named:
    """A subject made by a rule."""

    name: str
    path: Path
    work: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """One answer. ``sense`` is ``at-least``, ``at-most``, ``between``, ``one-of``, ``is`` or "" (nothing compared)."""

    subject: Subject
    outcome: Outcome
    measured: Quantity | str | None = None
    sense: str = ""
    limit: Limit | None = None
    upper: Limit | None = None
    found: str = ""
    expected: str = ""
    because: str = ""
    assumptions: tuple[str, ...] = ()
    asks: Asks | None = None
    remedy: str | None = None
    severity: Severity | None = None
    path: Path | None = None
    working: Any = None


def check(
    subject: Subject,
    *,
    measured: Quantity | str | None = None,
    at_least: Limit | None = None,
    at_most: Limit | None = None,
    one_of: Limit | None = None,
    found: str = "",
    assuming: Iterable[str] = (),
    asks: Asks | None = None,
    remedy: str | None = None,
    severity: Severity | None = None,
    path: Path | None = None,
    working: Any = None,
) -> Check:
    """Compare what was measured with a limit.

    ``at_least`` and ``at_most`` together make a range that must hold the measurement. With a range or a limit
    that is a range both ends are tried: both hold, ``meets``; both fail, ``falls-short``; else ``not-measured``.
    ``asks`` names the fields to measure when it comes to that (the rule's own otherwise); ``found`` is a short
    remark on what was seen; ``path`` points closer than the subject's own.
    """
    sense, limit, upper, verdict = _compare(measured, at_least, at_most, one_of)
    outcome: Outcome = MEETS if verdict else NOT_MEASURED if verdict is None else FALLS_SHORT
    notes = tuple(assuming)
    return Check(
        subject, outcome, measured, sense, limit, upper, found, "", "", notes, asks, remedy, severity, path, working
    )


def _compare(
    measured: Quantity | str | None, at_least: Limit | None, at_most: Limit | None, one_of: Limit | None
) -> tuple[str, Limit | None, Limit | None, bool | None]:
    if one_of is not None:
        if at_least is not None or at_most is not None:
            raise TypeError("one_of stands alone")
        if not one_of.words or not isinstance(measured, str | None):
            raise TypeError("one_of compares words")
        return "one-of", one_of, None, None if measured is None else measured in one_of.words
    if isinstance(measured, str) or any(limit is not None and limit.words for limit in (at_least, at_most)):
        raise TypeError("at_least and at_most compare quantities")
    verdicts: list[bool | None] = []
    if at_least is not None:
        verdicts.append(_holds(_at_least, measured, at_least.value))
    if at_most is not None:
        verdicts.append(_holds(_at_most, measured, at_most.value))
    if not verdicts:
        raise TypeError("check() needs at_least, at_most or one_of; use fact() for what is so or not")
    verdict = False if False in verdicts else None if None in verdicts else True
    if at_least is not None and at_most is not None:
        return "between", at_least, at_most, verdict
    return ("at-least", at_least, None, verdict) if at_least is not None else ("at-most", at_most, None, verdict)


def _holds(
    compare: Callable[[Quantity, Quantity], bool | None], measured: Quantity | None, limit: Quantity | None
) -> bool | None:
    if measured is None or limit is None:
        return None
    return compare(measured, limit)


def fact(
    subject: Subject,
    holds: bool | None,
    *,
    expected: str,
    found: str = "",
    assuming: Iterable[str] = (),
    asks: Asks | None = None,
    remedy: str | None = None,
    severity: Severity | None = None,
    limit: Limit | None = None,
    path: Path | None = None,
    working: Any = None,
) -> Check:
    """Something that is so, is not so, or is not known (``None``). ``expected`` says what ought to be so."""
    outcome: Outcome = MEETS if holds else NOT_MEASURED if holds is None else FALLS_SHORT
    notes = tuple(assuming)
    return Check(
        subject, outcome, None, "is", limit, None, found, expected, "", notes, asks, remedy, severity, path, working
    )


def not_measured(subject: Subject, *, expected: str = "", asks: Asks | None = None, because: str = "") -> Check:
    """Something has to be measured before anything can be said."""
    return Check(subject, NOT_MEASURED, expected=expected, asks=asks, because=because, sense="is" if expected else "")


def does_not_apply(subject: Subject, because: str) -> Check:
    """The requirement is not about this subject; ``because`` always says why."""
    if not because:
        raise ValueError("does_not_apply needs a reason")
    return Check(subject, DOES_NOT_APPLY, because=because)
