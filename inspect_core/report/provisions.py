"""Which provisions the packs check by a rule, which they hold as data, which neither: `explain --provisions`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from inspect_core.engine import RuleSet
from inspect_core.engineering.tables import provisions as in_tables
from inspect_core.report.layout import wrapped
from inspect_core.rules_api import Provision

HEADS = ("topic", "rows", "by a rule", "by data", "neither")


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


def provisions_data(rules: RuleSet) -> list[dict[str, Any]]:
    """The list under the keys of the JSON contract."""
    return [
        {
            "provision": one.provision.id,
            "rules": list(one.rules),
            "data": ", ".join(one.data),
            "reason": one.reason,
            "topic": one.provision.topic,
            "says": one.provision.says,
            "source": one.provision.source,
            "status": one.provision.status,
            "editions": one.provision.editions,
        }
        for one in coverage(rules)
    ]


def counts(found: Iterable[Covered]) -> list[tuple[str, int, int, int, int]]:
    """Topic, rows, and how many are checked by a rule, held by data alone, and neither; the last line is the sum."""
    rows: dict[str, list[int]] = {}
    for one in found:
        row = rows.setdefault(one.provision.topic, [0, 0, 0, 0])
        row[0] += 1
        row[1 if one.rules else 2 if one.data else 3] += 1
    total = [sum(row[n] for row in rows.values()) for n in range(4)]
    return [(topic, *row) for topic, row in [*rows.items(), ("all", total)]]  # type: ignore[misc]


def provisions_markdown(found: Iterable[Covered]) -> str:
    """The counts as a Markdown table."""
    lines = [f"| {' | '.join(HEADS)} |", f"|{'---|' * len(HEADS)}"]
    lines += [f"| {' | '.join(map(str, row))} |" for row in counts(found)]
    return "\n".join(lines) + "\n"


def provisions_text(rules: RuleSet) -> str:
    """The counts as a grid, then each provision by topic, in 80 columns."""
    return "\n".join(_lines(coverage(rules))) + "\n"


def _lines(found: tuple[Covered, ...]) -> Iterator[str]:
    table = [HEADS, *(tuple(map(str, row)) for row in counts(found))]
    widths = [max(len(row[n]) for row in table) for n in range(len(HEADS))]
    for row in table:
        yield "  ".join(
            [row[0].ljust(widths[0]), *(cell.rjust(w) for cell, w in zip(row[1:], widths[1:], strict=True))]
        )
    for topic in dict.fromkeys(one.provision.topic for one in found):
        yield from ("", topic)
        for one in found:
            if one.provision.topic == topic:
                yield from wrapped(f"{one.provision.id}: {one.provision.says}", "  ", "      ")
                yield from wrapped(_by(one), "      ", "        ")


def _by(one: Covered) -> str:
    parts = [f"rule{'s' if len(one.rules) > 1 else ''} {', '.join(one.rules)}"] if one.rules else []
    parts += [f"data {', '.join(one.data)}"] if one.data else []
    return "; ".join(parts) or f"neither: {one.reason or 'no reason given'}"
