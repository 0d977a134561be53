"""Adds up what the floors of all chunks gave (over all workers), and says it at the end."""

from __future__ import annotations

from collections import Counter

import pytest


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    counts: Counter[str] = Counter()
    for reports in terminalreporter.stats.values():
        for report in reports:
            if getattr(report, "when", "") == "call":
                for name, value in report.user_properties:
                    if name == "simulation":
                        counts.update(value)
    if not counts:
        return
    answers = sum(n for name, n in counts.items() if name.startswith("survey "))
    terminalreporter.section("simulated surveys")
    for name, n in sorted(counts.items()):
        terminalreporter.write_line(f"{n:>10,} {name}")
    terminalreporter.write_line(
        f"{counts['survey not-measured'] / answers:>10.1%} of the surveys' answers are not-measured"
    )
