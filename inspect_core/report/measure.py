"""What to measure next, as text and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from inspect_core.engine import Report
from inspect_core.planning.measure import GENERAL_HOW, Measurement
from inspect_core.report.layout import wrapped

MOST_SUBJECTS = 8


def measure_data(found: Sequence[Measurement]) -> dict[str, Any]:
    """Under stable keys: field, area, what, how, tool, settles, helps, subjects, hold_points."""
    return {
        "format": 1,
        "measure": [
            {
                "field": m.field,
                "area": m.area,
                "what": m.what,
                "how": m.how,
                "tool": m.tool,
                "settles": m.settles,
                "helps": m.helps,
                "subjects": list(m.subjects),
                "hold_points": list(m.hold_points),
            }
            for m in found
        ],
    }


def measure_text(report: Report, found: Sequence[Measurement]) -> str:
    """A numbered list for the crawl space."""
    return "\n".join(_lines(report, found)) + "\n"


def _lines(report: Report, found: Sequence[Measurement]) -> Iterator[str]:
    yield from wrapped(f"What to measure next: {report.site.name}")
    if not found:
        yield "Nothing: " + ("a pack or rule failed." if report.failures else "every rule has what it needs.")
    for number, m in enumerate(found, 1):
        where = f" in {m.area}" if len(report.site.areas) > 1 and m.area else ""
        more = f", helps with {m.helps} more" if m.helps and m.settles else f"helps with {m.helps}" if m.helps else ""
        settles = f"settles {m.settles}" if m.settles else ""
        yield ""
        yield from _wrapped(f"{number}. {m.field}{where} ({settles}{more})", "")
        yield from _wrapped(f"What: {m.what}")
        if m.how != GENERAL_HOW:
            yield from _wrapped(f"How: {m.how}")
            yield from _wrapped(f"Tool: {m.tool}")
        if m.write:
            yield from _wrapped(f"Write: {m.write}")
        names = m.subjects[:MOST_SUBJECTS]
        left = len(m.subjects) - len(names)
        yield from _wrapped(f"For: {'; '.join(names)}{f'; and {left} more' if left else ''}")
        yield from _wrapped(f"Holds: {', '.join(m.hold_points)}")


def _wrapped(text: str, indent: str = "   ") -> list[str]:
    return wrapped(text, indent, "     ")
