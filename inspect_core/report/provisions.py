"""The list of provisions, and how each is covered: `explain --provisions`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from inspect_core.engine import RuleSet
from inspect_core.engine.coverage import Covered, counts, coverage
from inspect_core.report.layout import wrapped

HEADS = ("topic", "rows", "by a rule", "by data", "neither")


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
