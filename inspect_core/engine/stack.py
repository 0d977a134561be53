"""The rules, limits, references and cautions in force: packs laid one on the other, later wins."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from inspect_core.rules_api import HOLD_POINTS, Caution, Limit, LimitDef, Limits, Pack, Reference, Rule


@dataclass(frozen=True, slots=True)
class PackRule:
    """A rule and the pack that brought it."""

    rule: Rule
    pack: str


@dataclass(frozen=True, slots=True)
class RuleSet:
    """What is in force for one site."""

    packs: tuple[Pack, ...]
    rules: tuple[PackRule, ...]
    limits: Limits
    references: dict[str, Reference]
    cautions: dict[str, Caution]
    hold_points: tuple[str, ...]

    def rule(self, rule_id: str) -> PackRule | None:
        """The rule of that id, if any."""
        return next((r for r in self.rules if r.rule.id == rule_id), None)

    @property
    def tape_tolerance(self) -> Limit | None:
        """How far a tape reading may be off, when a pack says so."""
        return self.limits["tape-tolerance"] if "tape-tolerance" in self.limits.defs else None


def stack(packs: Sequence[Pack]) -> RuleSet:
    """Lay packs one on the other in the order given; a later one's limit, reference or caution wins."""
    rules: dict[str, PackRule] = {}
    limits: dict[str, LimitDef] = {}
    references: dict[str, Reference] = {}
    cautions: dict[str, Caution] = {}
    hold_points = list(HOLD_POINTS)
    for pack in packs:
        for one in pack.rules:
            rules[one.id] = PackRule(one, pack.id)
        for key, definition in pack.limits.items():
            limits[key] = _over(limits.get(key), definition)
        references.update(pack.references)
        cautions.update(pack.cautions)
        hold_points += [point for point in pack.hold_points if point not in hold_points]
    return RuleSet(tuple(packs), tuple(rules.values()), Limits(limits), references, cautions, tuple(hold_points))


def _over(earlier: LimitDef | None, later: LimitDef) -> LimitDef:
    """``later`` in place of ``earlier``: keys that it leaves out stay, and the chain of what was set is kept."""
    if earlier is None:
        return later
    return replace(later, values={**earlier.values, **later.values}, was=(*earlier.was, earlier))


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
