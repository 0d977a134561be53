"""What a local pack changes in the packs below it: sections that hold always, from a date, or under a condition."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from inspect_core.rules_api.conditions import When
from inspect_core.rules_api.limits import LimitDef
from inspect_core.rules_api.rule import Rule
from inspect_core.rules_api.vocabulary import Severity

if TYPE_CHECKING:
    from inspect_core.rules_api.pack import Caution, Reference


@dataclass(frozen=True, slots=True)
class Gate:
    """When something holds: from ``effective`` up to and with ``expires``, and where ``when`` does.

    Dates are those of the permit, else of the survey.
    """

    when: When | None = None
    effective: str = ""
    expires: str = ""

    def words(self) -> str:
        """The gate as people say it; "" for one that is always open."""
        parts = []
        if self.effective:
            parts.append(f"from {self.effective}")
        if self.expires:
            parts.append(f"until {self.expires}")
        if self.when is not None:
            parts.append(f"where {self.when.words()}")
        return ", ".join(parts)


ALWAYS = Gate()


@dataclass(frozen=True, slots=True)
class RuleChange:
    """A rule of a pack below, changed. What is ``None`` stays as it was; ``cautions`` are added.

    ``off`` switches it off: its findings stay in the report and say that it does not apply, by whom and why.
    """

    rule: str
    because: str
    citation: str = ""
    off: bool = False
    severity: Severity | None = None
    hold_point: str | None = None
    reference: str | None = None
    remedy: str | None = None
    binds: tuple[str, ...] | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Handover:
    """Rules that another code takes the place of: whole topics, rules by id, rules by their reference key.

    Their references show that code. ``off``: they don't apply here; otherwise they go on as advice.
    """

    to: str
    because: str
    citation: str = ""
    topics: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    references: tuple[str, ...] = ()
    off: bool = True

    def concerns(self, one: Rule) -> bool:
        """Whether a rule is handed over."""
        topic = one.topic.replace("_", "-")
        return (
            one.id in self.rules
            or one.reference in self.references
            or any(topic == name.replace("_", "-") for name in self.topics)
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Everything that is handed over, by name."""
        return (*self.topics, *self.rules, *self.references)


@dataclass(frozen=True, slots=True)
class HoldPoint:
    """A hold point added or moved before or after another; or removed, and then its rules go to ``into``."""

    id: str
    because: str
    before: str = ""
    after: str = ""
    into: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """Part of a pack with its own dates and conditions. References, cautions, hold points and parameters follow
    what is known of the whole site; limits and rules may also depend on an area, or on whether work is new.
    """

    title: str = ""
    gate: Gate = ALWAYS
    limits: Mapping[str, LimitDef] = field(default_factory=dict)
    rules: tuple[Rule, ...] = ()
    rule_changes: tuple[RuleChange, ...] = ()
    references: Mapping[str, Reference] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    hold_points: tuple[HoldPoint, ...] = ()
    handovers: tuple[Handover, ...] = ()
    parameters: Mapping[str, Any] = field(default_factory=dict)
