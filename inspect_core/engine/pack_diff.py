"""What differs between two stacks of packs: for a project that moves, or an edition that changes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from inspect_core.engine.choice import Choice, arrange
from inspect_core.engine.loading import LoadedPacks
from inspect_core.engine.loosened import shown
from inspect_core.engine.run import Report, inspect
from inspect_core.engine.stack import stack
from inspect_core.quantities import Units
from inspect_core.rules_api import LimitDef, Pack, Rule, Section
from inspect_core.rules_api.changes import ALWAYS
from inspect_core.rules_api.limits import PLAIN
from inspect_core.site import Site

KINDS = ("pack", "parameter", "limit", "rule", "hold point", "reference", "caution")
Key = tuple[str, str, str]  # kind, name, condition


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that differs; "" on the side that does not have it."""

    kind: str
    name: str
    where: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class FindingChange:
    """One finding that differs between the two; ``None`` on the side that has none."""

    rule: str
    subject: str
    a: str | None
    b: str | None
    message_a: str
    message_b: str


def packs_of(loaded: LoadedPacks, name: str) -> tuple[Pack, ...]:
    """The stack under one pack. Raises ``ValueError`` with what is wrong with it."""
    arrangement = arrange(loaded.packs, (name,))
    if arrangement.faults:
        raise ValueError("; ".join(f"{fault.pack}: {fault.why}" for fault in arrangement.faults))
    return arrangement.packs


def differences(a: Sequence[Pack], b: Sequence[Pack], units: Units = "in") -> tuple[Difference, ...]:
    """Everything that is not the same in two stacks, in a stable order."""
    one, other = facts(a, units), facts(b, units)
    keys = sorted({*one, *other}, key=lambda key: (KINDS.index(key[0]), key[1], key[2]))
    return tuple(
        Difference(*key, one.get(key, ""), other.get(key, "")) for key in keys if one.get(key) != other.get(key)
    )


def facts(packs: Sequence[Pack], units: Units = "in") -> Mapping[Key, str]:
    """What a stack says, one text for each thing and condition."""
    found: dict[Key, str] = {}
    rules = stack(packs)
    for top in packs[-1:]:
        found |= {("pack", name, ""): str(getattr(top, name)) for name in ("edition", "place") if getattr(top, name)}
        span = " ".join(
            text for text in (top.effective and f"from {top.effective}", top.expires and f"until {top.expires}") if text
        )
        if span:
            found["pack", "in force", ""] = span
    for limit in rules.limits.defs.values():
        found |= _limit_facts(limit, "", units)
    for pack_rule in rules.rules:
        found["rule", pack_rule.rule.id, ""] = f"off: {pack_rule.off}" if pack_rule.off else _rule_words(pack_rule.rule)
    found |= {("reference", key, ""): reference.text for key, reference in rules.references.items()}
    found |= {("caution", key, ""): caution.text for key, caution in rules.cautions.items()}
    found |= {("hold point", point, ""): _place(rules.hold_points, n) for n, point in enumerate(rules.hold_points)}
    for pack in packs:
        for section in pack.sections:
            found |= dict(_section_facts(section, units))
    return found


def _place(points: tuple[str, ...], number: int) -> str:
    return f"after {points[number - 1]}" if number else "first"


def _rule_words(one: Rule) -> str:
    binds = "" if len(one.binds) == 3 else f", binds {' and '.join(one.binds)} work"
    return f"{one.severity} at {one.hold_point}{binds}"


def _limit_facts(limit: LimitDef, where: str, units: Units) -> dict[Key, str]:
    return {
        ("limit", limit.id if key == PLAIN else f"{limit.id}/{key}", where): shown(value, units, limit.percent)
        for key, value in limit.values.items()
    }


def _section_facts(section: Section, units: Units) -> Iterator[tuple[Key, str]]:
    """Parameters always; everything else only where a date or a condition keeps it out of the plain stack."""
    where = section.gate.words()
    for name, value in section.parameters.items():
        yield ("parameter", name.partition(".")[2], where), shown(value, units)
    if section.gate == ALWAYS:
        return
    for limit in section.limits.values():
        yield from _limit_facts(limit, where, units).items()
    for one in section.rules:
        yield ("rule", one.id, where), _rule_words(one)
    for change in section.rule_changes:
        parts = ["off"] if change.off else []
        parts += [f"{n} {v}" for n in ("severity", "hold_point", "reference") if (v := getattr(change, n)) is not None]
        parts += [f"binds {' and '.join(change.binds)} work"] if change.binds is not None else []
        yield ("rule", change.rule, where), ", ".join(parts) or "changed"
    for handover in section.handovers:
        for name in handover.names:
            yield ("rule", name, where), f"handed over to {handover.to}"
    yield from ((("reference", key, where), text.text) for key, text in section.references.items())
    yield from ((("caution", key, where), text.text) for key, text in section.cautions.items())
    for point in section.hold_points:
        place = point.before or point.after or point.into
        yield ("hold point", point.id, where), f"by {place}"


def finding_changes(
    site: Site, a: tuple[LoadedPacks, str], b: tuple[LoadedPacks, str]
) -> tuple[tuple[FindingChange, ...], Report, Report]:
    """The findings on one site that differ when the one pack is chosen, and when the other is."""
    reports = [inspect(site, replace(loaded, choice=Choice((name,)))) for loaded, name in (a, b)]
    by_key = [{(f.rule.id, f.subject): f for f in report.findings} for report in reports]
    changes = []
    for key in dict.fromkeys((*by_key[0], *by_key[1])):
        one, other = by_key[0].get(key), by_key[1].get(key)
        outcomes = (one.outcome if one else None, other.outcome if other else None)
        if outcomes[0] != outcomes[1]:
            said = [f.message(site.units) if f is not None else "" for f in (one, other)]
            changes.append(FindingChange(*key, *outcomes, *said))
    return tuple(changes), reports[0], reports[1]
