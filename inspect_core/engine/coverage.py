"""Which provisions the packs in force check by a rule, which they hold as data, which neither."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inspect_core.engine.stack import RuleSet
from inspect_core.engineering.tables import provisions as in_tables
from inspect_core.rules_api import Provision


@dataclass(frozen=True, slots=True)
class Covered:
    """One provision with the rules that check it and the data items that hold its value."""

    provision: Provision
    rules: tuple[str, ...]
    data: tuple[str, ...]

    @property
    def reason(self) -> str:
        """Why neither, where that is so."""
        return "" if self.rules or self.data else self.provision.reason


def coverage(rules: RuleSet) -> tuple[Covered, ...]:
    """Every provision that a pack in force lists, in the order of the lists.

    Raises ``ValueError`` where a pack's list can't be read.
    """
    checked: dict[str, list[str]] = {}
    for pack_rule in rules.rules:
        for name in pack_rule.rule.provisions:
            checked.setdefault(name, []).append(pack_rule.rule.id)
    held: dict[str, list[str]] = {}
    for limit in rules.limits.defs.values():
        for name in limit.provisions:
            held.setdefault(name, []).append(f"limit {limit.id}")
    for name, items in in_tables().items():
        held.setdefault(name, []).extend(items)
    listed = {one.id: one for pack in rules.packs for one in pack.provisions()}
    return tuple(
        Covered(one, tuple(dict.fromkeys(checked.get(one.id, ()))), tuple(dict.fromkeys(held.get(one.id, ()))))
        for one in listed.values()
    )


def counts(found: Iterable[Covered]) -> list[tuple[str, int, int, int, int]]:
    """Topic, rows, and how many are checked by a rule, held by data alone, and neither; the last line is the sum."""
    rows: dict[str, list[int]] = {}
    for one in found:
        row = rows.setdefault(one.provision.topic, [0, 0, 0, 0])
        row[0] += 1
        row[1 if one.rules else 2 if one.data else 3] += 1
    total = [sum(row[n] for row in rows.values()) for n in range(4)]
    return [(topic, *row) for topic, row in [*rows.items(), ("all", total)]]  # type: ignore[misc]
