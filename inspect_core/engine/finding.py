"""A finding: one rule's answer about one subject, with its words written only when somebody reads them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from inspect_core.quantities import Dimension, Quantity, Units, render, same
from inspect_core.rules_api import (
    ADVISORY,
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Outcome,
    Rule,
    Severity,
)
from inspect_core.site.model import Path

FROM_MEMORY = "from memory"
RULE_FAILED = "rule-failed"
_FRACTION = re.compile(r"-(\d+)-(\d+)$")


@dataclass(frozen=True, slots=True)
class Varied:
    """That somebody with the say has granted a departure: who, why, on which paper, until which day."""

    by: str
    reason: str
    paper: str
    until: str

    @property
    def text(self) -> str:
        """In one line, for people."""
        return f"granted by {self.by} until {self.until} ({self.paper}): {self.reason}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule's answer about one subject. ``area`` is the area's id, "" for the whole site."""

    rule: Rule
    pack: str
    check: Check
    outcome: Outcome
    area: str
    several_areas: bool
    because: str = ""
    off_by: str = ""  # the pack that switched the rule off, where one did
    varied: Varied | None = None  # it keeps its outcome, and does not keep its hold point

    @property
    def subject(self) -> str:
        """What it is about; the area is named where the site has several."""
        name = self.check.subject.name
        return f"{name} in {self.area}" if self.several_areas and self.area else name

    @property
    def severity(self) -> Severity:
        """The check's own severity, or the rule's; never more than advisory where the limit is from memory."""
        severity = self.check.severity or self.rule.severity
        return ADVISORY if self._unconfirmed else severity

    @property
    def _unconfirmed(self) -> bool:
        limit, upper = self.check.limit, self.check.upper
        return (limit is not None and limit.status == FROM_MEMORY) or (
            upper is not None and upper.status == FROM_MEMORY
        )

    @property
    def path(self) -> Path:
        """Where in the file."""
        return self.check.path if self.check.path is not None else self.check.subject.path

    @property
    def asks(self) -> tuple[str, ...]:
        """Fields to measure, where it is not measured."""
        if self.outcome != NOT_MEASURED:
            return ()
        return self.check.asks if self.check.asks is not None else self.rule.measures

    @property
    def remedy(self) -> str:
        """What would settle it, where it falls short."""
        if self.outcome != FALLS_SHORT:
            return ""
        return self.check.remedy if self.check.remedy is not None else self.rule.remedy

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What was taken for granted."""
        extra = []
        if isinstance(self.check.measured, Quantity) and self.check.measured.estimate:
            extra.append("an estimate, not a measurement")
        if self._unconfirmed:
            extra.append("the limit is from memory and not confirmed, so this is advice only")
        if self.outcome != DOES_NOT_APPLY and self.because:
            extra.append(self.because)
        return (*self.check.assumptions, *extra)

    def message(self, units: Units, tape_tolerance: Limit | None = None) -> str:
        """One sentence in the file's units: what was measured, what is needed, by how much it misses."""
        if self.outcome == DOES_NOT_APPLY:
            return self.because or self.check.because
        words = _about_fact(self) if self.check.sense in ("is", "") else _about_limit(self, units, tape_tolerance)
        return f"{words} ({self.check.found})" if self.check.found and self.check.sense not in ("is", "") else words


def _from_memory(limit: Limit | None) -> bool:
    return limit is not None and limit.status == FROM_MEMORY


def _about_fact(finding: Finding) -> str:
    check = finding.check
    if finding.outcome == MEETS:
        return check.found or check.expected
    if finding.outcome == NOT_MEASURED:
        known = f"{check.found}; " if check.found else ""
        if not check.expected:
            return check.because or "not measured"
        return (
            f"{known}not {check.expected}"
            if check.expected.startswith("known ")
            else (f"{known}not known whether {check.expected}")
        )
    return f"{check.found or 'not so'}; needed: {check.expected}"


def _about_limit(finding: Finding, units: Units, tape_tolerance: Limit | None) -> str:
    check, what = finding.check, finding.rule.quantity
    if check.measured is None:
        if check.limit is not None and check.limit.value is None and not check.limit.words:
            return f"{what} not measured; what is needed depends on something else that is not measured"
        return f"{what} not measured; {limit_words(check, units)} is needed"
    if isinstance(check.measured, str):
        return _about_words(finding, check.measured, units)
    percent = check.limit is not None and check.limit.percent
    # Round numbers read best, unless they would hide on which side of the limit a measurement lies.
    hair = any(_looks_like(check.measured, limit, units, percent) for limit in (check.limit, check.upper))
    shown = render(check.measured, units, hair=hair, percent=percent)
    needed = limit_words(check, units, hair=hair)
    if finding.outcome == MEETS:
        return f"{what} {shown}, {needed} needed{_near(check, tape_tolerance, units)}"
    if finding.outcome == NOT_MEASURED:
        if check.limit is not None and check.limit.value is None and not check.limit.words:
            return f"{what} {shown}; what is needed depends on something not measured"
        return f"{what} {shown}: not sure enough against {needed}"
    missed = "" if hair else _missed(check, units)
    return f"{what} {shown}, {needed} needed{missed}{_near(check, tape_tolerance, units)}"


def _looks_like(measured: Quantity, limit: Limit | None, units: Units, percent: bool) -> bool:
    """Not the limit, yet the same when rounded."""
    return (
        limit is not None
        and limit.value is not None
        and not same(measured, limit.value)
        and render(measured, units, hair=False, percent=percent)
        == render(limit.value, units, hair=False, percent=percent)
    )


def _about_words(finding: Finding, measured: str, units: Units) -> str:
    """Words of the file as people say them: ``landing: none; joist or cleat needed``."""
    needed = limit_words(finding.check, units)
    words = f"{finding.rule.quantity}: {said(measured)}"
    return words if finding.outcome == MEETS else f"{words}; {needed} needed"


def said(word: str) -> str:
    """A word of the file as people say it: ``dry stacked``, ``panel 23/32``."""
    return _FRACTION.sub(r" \1/\2", word).replace("-", " ")


def any_of(words: Sequence[str]) -> str:
    """``joist, cleat or rim``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}" if words else ""


def limit_words(check: Check, units: Units, *, hair: bool = False) -> str:
    """The limit as words: ``at least 1 1/2 in (1/6 of the depth)``."""
    limit = check.limit
    if limit is None:
        return ""
    if check.sense == "one-of":
        return any_of([said(word) for word in limit.words])
    if limit.value is None:
        return f"what {limit.id} asks"
    basis = f" ({limit.basis})" if limit.basis else ""
    low = render(limit.value, units, hair=hair, percent=limit.percent)
    if check.sense == "between" and check.upper is not None and check.upper.value is not None:
        return f"{low} to {render(check.upper.value, units, hair=hair, percent=limit.percent)}{basis}"
    return f"{check.sense.replace('-', ' ')} {low}{basis}"


def _missed(check: Check, units: Units) -> str:
    by = shortfall(check)
    if by is None or by[1].dimension is Dimension.SLOPE:  # two slopes side by side say more than their difference
        return ""
    percent = check.limit is not None and check.limit.percent
    return f": {by[0]} by {render(by[1], units, hair=False, percent=percent)}"


def shortfall(check: Check) -> tuple[str, Quantity] | None:
    """``short`` or ``over``, and by how much at the least; ``None`` where that can't be said."""
    measured = check.measured
    if not isinstance(measured, Quantity) or check.outcome != FALLS_SHORT:
        return None
    low = check.limit if check.sense in ("at-least", "between") else None
    high = check.upper if check.sense == "between" else check.limit if check.sense == "at-most" else None
    if low is not None and low.value is not None and measured.high < low.value.low:
        return "short", _gap(low.value.low - measured.high, measured)
    if high is not None and high.value is not None and measured.low > high.value.high:
        return "over", _gap(measured.low - high.value.high, measured)
    return None


def _gap(size: float, like: Quantity) -> Quantity:
    return Quantity(size, size, like.dimension)


def _near(check: Check, tape_tolerance: Limit | None, units: Units) -> str:
    """Says so when a length lies within the tape's tolerance of the limit."""
    measured = check.measured
    if tape_tolerance is None or tape_tolerance.value is None or not isinstance(measured, Quantity):
        return ""
    if measured.dimension is not Dimension.LENGTH:
        return ""
    for limit in (check.limit, check.upper):
        if limit is None or limit.value is None:
            continue
        distance = min(abs(measured.low - limit.value.high), abs(measured.high - limit.value.low))
        if distance <= tape_tolerance.value.high + 1e-9:
            return f"; within a tape's {render(tape_tolerance.value, units, hair=False)} of the limit"
    return ""
