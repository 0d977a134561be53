"""The rules, limits, references and cautions in force: packs laid one on the other, later wins.

A pack's sections may hold from a date or under a condition. :class:`Layers` knows all of them and gives the rule set
for any choice of those that hold; :mod:`inspect_core.engine.gates` decides which do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from inspect_core.rules_api import (
    ADVISORY,
    ALWAYS,
    HOLD_POINTS,
    Caution,
    Gate,
    Handover,
    HoldPoint,
    Limit,
    LimitDef,
    Limits,
    Pack,
    Reference,
    Rule,
    RuleChange,
    Section,
)


@dataclass(frozen=True, slots=True)
class PackRule:
    """A rule and the pack that brought it; ``off`` says why it does not apply here, and ``off_by`` who says so."""

    rule: Rule
    pack: str
    off: str = ""
    off_by: str = ""


@dataclass(frozen=True, slots=True)
class RuleSet:
    """What is in force for one site."""

    packs: tuple[Pack, ...]
    rules: tuple[PackRule, ...]
    limits: Limits
    references: dict[str, Reference]
    cautions: dict[str, Caution]
    hold_points: tuple[str, ...]
    by_id: dict[str, PackRule] = field(default_factory=dict, compare=False, repr=False)

    def rule(self, rule_id: str) -> PackRule | None:
        """The rule of that id, if any."""
        return next((r for r in self.rules if r.rule.id == rule_id), None)

    @property
    def tape_tolerance(self) -> Limit | None:
        """How far a tape reading may be off, when a pack says so."""
        return self.limits["tape-tolerance"] if "tape-tolerance" in self.limits.defs else None


def stack(packs: Sequence[Pack]) -> RuleSet:
    """Lay packs one on the other in the order given; a later one's limit, reference or caution wins.

    Sections with a date or a condition are left out: they hold for some sites only.
    """
    return Layers(packs).rule_set(frozenset())


class Layers:
    """Packs in the order in which they lie on one another, with their sections.

    ``gates`` are the different dates and conditions, each by its number; ``affected`` the rules of which it is known
    that their answer may depend on one of them, and on which; ``of_limits`` the gates of sections that set limits.
    """

    def __init__(self, packs: Sequence[Pack]) -> None:
        self.packs = tuple(packs)
        self.gates: list[Gate] = []
        self.sections: list[tuple[Pack, Section, int | None]] = []
        for pack in self.packs:
            for section in pack.sections:
                self.sections.append((pack, section, self._number(section.gate)))
        self._sets: dict[frozenset[int], RuleSet] = {}
        self.affected = self._affected() if self.gates else {}
        self.of_limits = {n for _, section, n in self.sections if n is not None and section.limits}

    def _number(self, gate: Gate) -> int | None:
        if gate == ALWAYS:
            return None
        if gate not in self.gates:
            self.gates.append(gate)
        return self.gates.index(gate)

    def _affected(self) -> dict[str, tuple[int, ...]]:
        """For each rule the gates on which its answer may depend."""
        rules: dict[str, Rule] = {}
        for pack in self.packs:
            rules |= {one.id: one for one in pack.rules}
            rules |= {one.id: one for section in pack.sections for one in section.rules}
        found: dict[str, tuple[int, ...]] = {}
        for one in rules.values():
            numbers = {n for _, section, n in self.sections if n is not None and _touches(section, one)}
            if numbers:
                found[one.id] = tuple(sorted(numbers))
        return found

    def rule_set(self, active: frozenset[int]) -> RuleSet:
        """What is in force when these gates are open and the others are not."""
        found = self._sets.get(active)
        if found is None:
            found = self._sets[active] = self._laid(active)
        return found

    def _laid(self, active: frozenset[int]) -> RuleSet:
        laid = _Laid()
        for pack in self.packs:
            laid.pack(pack)
            for owner, section, number in self.sections:
                if owner is pack:
                    laid.section(pack, section, number is None or number in active)
        laid.settle_hold_points()
        rules = tuple(laid.rules.values())
        return RuleSet(
            self.packs,
            rules,
            Limits(laid.limits),
            laid.references,
            laid.cautions,
            tuple(laid.hold_points),
            {r.rule.id: r for r in rules},
        )


def _touches(section: Section, one: Rule) -> bool:
    return (
        any(name in section.limits for name in one.limits)
        or any(other.id == one.id for other in section.rules)
        or any(change.rule == one.id for change in section.rule_changes)
        or any(handover.concerns(one) for handover in section.handovers)
    )


class _Laid:
    """A rule set while it is being laid."""

    def __init__(self) -> None:
        self.rules: dict[str, PackRule] = {}
        self.limits: dict[str, LimitDef] = {}
        self.references: dict[str, Reference] = {}
        self.cautions: dict[str, Caution] = {}
        self.hold_points = list(HOLD_POINTS)
        self.removed: dict[str, str] = {}

    def pack(self, pack: Pack) -> None:
        for one in pack.rules:
            self.rules[one.id] = PackRule(one, pack.id)
        self._records(pack)
        self.hold_points += [point for point in pack.hold_points if point not in self.hold_points]

    def _records(self, source: Pack | Section) -> None:
        for key, definition in source.limits.items():
            self.limits[key] = _over(self.limits.get(key), definition)
        self.references.update(source.references)
        for key, caution in source.cautions.items():  # a local text about the same danger stands where the first did
            before = self.cautions.get(key)
            same_use = before is not None and before.measuring and not caution.measuring
            self.cautions[key] = replace(caution, measuring=True) if same_use else caution

    def section(self, pack: Pack, section: Section, active: bool) -> None:
        for one in section.rules:  # a rule that is not in force stays, and says so
            why = "" if active else f"{pack.id} asks this only {section.gate.words()}"
            self.rules[one.id] = PackRule(one, pack.id, why, pack.id if why else "")
        if not active:
            for one in section.rules:  # what its rules name must be there for them to run
                for key in one.limits:
                    if key in section.limits and key not in self.limits:
                        self.limits[key] = section.limits[key]
            self.references = {**section.references, **self.references}
            self.cautions = {**section.cautions, **self.cautions}
            return
        self._records(section)
        for point in section.hold_points:
            self._hold_point(point)
        for change in section.rule_changes:
            self._change(pack, change)
        for handover in section.handovers:
            self._handover(pack, handover)

    def _hold_point(self, point: HoldPoint) -> None:
        points = [p for p in self.hold_points if p != point.id]
        if point.into:
            self.removed[point.id] = point.into
            self.hold_points = points
            return
        place = len(points)
        if point.before in points:
            place = points.index(point.before)
        elif point.after in points:
            place = points.index(point.after) + 1
        self.hold_points = [*points[:place], point.id, *points[place:]]

    def settle_hold_points(self) -> None:
        """Rules of a hold point that is no more go where it went; one that nobody placed comes last."""
        for key, one in self.rules.items():
            point = one.rule.hold_point
            for _ in self.removed:
                point = self.removed.get(point, point)
            if point not in self.hold_points:
                self.hold_points.append(point)
            if point != one.rule.hold_point:
                self.rules[key] = replace(one, rule=replace(one.rule, hold_point=point))

    def _change(self, pack: Pack, change: RuleChange) -> None:
        found = self.rules.get(change.rule)
        if found is None:
            return  # told by missing_names
        wanted = {
            "severity": change.severity,
            "hold_point": change.hold_point,
            "reference": change.reference,
            "remedy": change.remedy,
            "binds": change.binds,
        }
        changed = replace(found.rule, **{name: value for name, value in wanted.items() if value is not None})  # type: ignore[arg-type]
        if change.cautions:
            changed = replace(changed, cautions=tuple(dict.fromkeys((*changed.cautions, *change.cautions))))
        off, by = (found.off, found.off_by)
        if change.off:
            off, by = f"{pack.id} switches this off: {change.because}{_cited(change.citation)}", pack.id
        self.rules[change.rule] = replace(found, rule=changed, off=off, off_by=by)

    def _handover(self, pack: Pack, handover: Handover) -> None:
        said = f"{handover.to}{f', {handover.citation}' if handover.citation else ''}"
        for key, found in self.rules.items():
            if not handover.concerns(found.rule):
                continue
            reference = found.rule.reference
            old = self.references.get(reference)
            if old is None or not old.text.startswith(f"{said}. "):
                base = f" Not adopted here: {old.text}" if old is not None else ""
                self.references[reference] = Reference(reference, f"{said}. {handover.because}.{base}", adopted=True)
            if handover.off:
                why = f"{pack.id} hands this over to {said}: {handover.because}"
                self.rules[key] = replace(found, off=why, off_by=pack.id)
            else:
                self.rules[key] = replace(found, rule=replace(found.rule, severity=ADVISORY))


def _cited(citation: str) -> str:
    return f" ({citation})" if citation else ""


def _over(earlier: LimitDef | None, later: LimitDef) -> LimitDef:
    """``later`` in place of ``earlier``: keys that it leaves out stay, and the chain of what was set is kept."""
    if earlier is None:
        return later
    return replace(
        later,
        values={**earlier.values, **later.values},
        was=(*earlier.was, earlier),
        inherited=frozenset(earlier.values) - frozenset(later.values),
    )


def sections_of(pack: Pack) -> Iterator[Section]:
    """What a pack brings: its own records as a section that always holds, then its sections."""
    yield Section(limits=pack.limits, rules=pack.rules, references=pack.references, cautions=pack.cautions)
    yield from pack.sections


def brought_by(packs: Iterable[Pack]) -> dict[str, str]:
    """Every rule that these packs bring, in force or not, and the pack that brings it."""
    return {one.id: pack.id for pack in packs for section in sections_of(pack) for one in section.rules}


def select(packs: Iterable[Pack], wanted: Sequence[str]) -> tuple[tuple[Pack, ...], tuple[str, ...]]:
    """The packs that a site stands on, and the names that nobody has installed.

    The base pack always comes first; then those that the site asks for, in its order.
    """
    by_id = {pack.id: pack for pack in packs}
    base = [pack for pack in by_id.values() if not pack.stands_on]
    chosen = {pack.id: pack for pack in base}
    missing = []
    for name in wanted:
        if name in by_id:
            chosen[name] = by_id[name]
        else:
            missing.append(name)
    return tuple(chosen.values()), tuple(missing)
