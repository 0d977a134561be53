"""What a stack of packs eases: limits that became looser, rules that don't apply any more, severities lowered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from inspect_core.engine.finding import Finding
from inspect_core.engine.stack import PackRule, RuleSet
from inspect_core.quantities import Quantity, Units, render
from inspect_core.rules_api import SEVERITIES, Check, Limit, Limits


@dataclass(frozen=True, slots=True)
class Loosened:
    """One thing that a local pack made easier, and what it was. ``kind`` is limit, changed, rule-off or severity.

    ``changed`` is a limit that nothing was compared with in this run, so nobody knows whether it is looser.
    """

    kind: str
    name: str
    by: str
    value: Quantity | tuple[str, ...] | str | None
    was: Quantity | tuple[str, ...] | str | None
    was_by: str
    because: str
    source: str
    percent: bool = False

    def words(self, units: Units) -> str:
        """A limit in one line for people."""
        why = "; ".join(text for text in (self.because, self.source) if text)
        reason = f": {why}" if why else ""
        was = f"was {shown(self.was, units, self.percent)} by {self.was_by}"
        return f"{self.name} {shown(self.value, units, self.percent)} by {self.by}, {was}{reason}"


def shown(value: Quantity | tuple[str, ...] | str | None, units: Units, percent: bool = False) -> str:
    """A limit's value as people read it."""
    if isinstance(value, Quantity):
        return render(value, units, percent=percent)
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def lines(found: Sequence[Loosened], units: Units) -> list[str]:
    """Everything for people: rules that went the same way in one line."""
    told = [one.words(units) for one in found if one.kind == "limit"]
    groups: dict[tuple[object, ...], list[str]] = {}
    for one in found:
        if one.kind in ("rule-off", "severity"):
            groups.setdefault((one.kind, one.by, one.because, one.value, one.was, one.was_by), []).append(one.name)
    for (kind, by, because, now, was, was_by), names in groups.items():
        several = len(names) > 1
        what = f"rule{'s' if several else ''} {', '.join(names)}"
        if kind == "rule-off":
            told.append(f"{what} {'do' if several else 'does'} not apply: {because}")
        else:
            told.append(
                f"{what} {'are' if several else 'is'} {now} by {by}, {'were' if several else 'was'} {was} by {was_by}"
            )
    changed = [f"{one.name} ({one.by})" for one in found if one.kind == "changed"]
    if changed:
        told.append(f"maybe, since nothing here was compared with it: {', '.join(changed)}")
    return told


def loosened(findings: Iterable[Finding], rules: RuleSet) -> tuple[Loosened, ...]:
    """Everything that is easier than some pack below had it, in a stable order."""
    if len(rules.packs) < 2:
        return ()  # nothing lies below that could have been stricter
    found: dict[tuple[str, str], Loosened] = {}
    compared: set[str] = set()
    for finding in findings:
        if finding.off_by:
            off = Loosened("rule-off", finding.rule.id, finding.off_by, "off", "on", finding.pack, finding.because, "")
            found["rule-off", finding.rule.id] = off
        for sense, limit in _compared(finding.check):
            compared.add(limit.id)
            if limit.was and ("limit", limit.id) not in found:
                easier = _easier(sense, limit)
                if easier is not None:
                    found["limit", limit.id] = easier
    for limit in _changed(rules.limits):
        if limit.id not in compared and limit.effect in ("", "looser"):
            kind = "limit" if limit.effect == "looser" else "changed"
            found[kind, limit.id] = _record(kind, limit, limit.was[-1])
    firsts = _firsts(rules)
    for one in rules.rules:
        lowered = _lowered(one, firsts.get(one.rule.id, ()), rules)
        if lowered is not None:
            found["severity", one.rule.id] = lowered
    order = ("limit", "changed", "rule-off", "severity")
    return tuple(sorted(found.values(), key=lambda f: (order.index(f.kind), f.name)))


def _compared(check: Check) -> Iterator[tuple[str, Limit]]:
    if check.limit is not None and check.sense != "is":
        yield ("at-least" if check.sense == "between" else check.sense), check.limit
    if check.upper is not None:
        yield "at-most", check.upper


def _easier(sense: str, limit: Limit) -> Loosened | None:
    """The latest earlier value that was stricter, if there is one."""
    for was in reversed(limit.was):
        if _is_looser(sense, limit, was):
            return _record("limit", limit, was)
    return None


def _is_looser(sense: str, limit: Limit, was: tuple[str, Quantity | None, tuple[str, ...]]) -> bool:
    _, old, words = was
    if sense == "one-of":
        return bool(set(limit.words) - set(words))
    now = limit.stated
    if now is None or old is None:
        return False
    return now.low < old.low if sense == "at-least" else now.high > old.high


def _record(kind: str, limit: Limit, was: tuple[str, Quantity | None, tuple[str, ...]]) -> Loosened:
    owner, quantity, words = was
    value = limit.words or limit.stated
    was_value = words or quantity
    return Loosened(kind, limit.id, limit.set_by, value, was_value, owner, limit.because, limit.source, limit.percent)


def _changed(limits: Limits) -> Iterator[Limit]:
    for definition in limits.defs.values():
        if definition.was:
            for key in definition.values:
                limit = limits[definition.id, key]
                if limit.was:
                    yield limit


def _firsts(rules: RuleSet) -> dict[str, list[tuple[str, str]]]:
    """For each rule that packs bring: the pack and the severity that it gave, lowest pack first."""
    found: dict[str, list[tuple[str, str]]] = {}
    for pack in rules.packs:
        for first in pack.rules:
            found.setdefault(first.id, []).append((pack.id, first.severity))
    return found


def _lowered(one: PackRule, firsts: Iterable[tuple[str, str]], rules: RuleSet) -> Loosened | None:
    order: tuple[str, ...] = SEVERITIES
    for pack, severity in firsts:
        if order.index(one.rule.severity) > order.index(severity):
            by = _lowerer(one.rule.id, rules)
            return Loosened("severity", one.rule.id, by, one.rule.severity, severity, pack, "", "")
    return None


def _lowerer(rule_id: str, rules: RuleSet) -> str:
    names = [
        pack.id
        for pack in rules.packs
        for section in pack.sections
        if any(change.rule == rule_id and change.severity for change in section.rule_changes) or section.handovers
    ]
    return names[-1] if names else rules.packs[-1].id
