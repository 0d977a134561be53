"""Dates as people write them in files; a month or a year stands for all of its days. No clock is ever asked."""

from __future__ import annotations

import datetime
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Day:
    """A day, or the span of days that a month or a year is."""

    first: str
    last: str

    def __str__(self) -> str:
        return self.first if self.first == self.last else f"{self.first} .. {self.last}"

    def until(self, later: Day) -> tuple[int, int]:
        """Least and most days from this one to a later one; 0 where they may be the same day."""
        of = datetime.date.fromisoformat
        least = (of(later.first) - of(self.last)).days
        return max(least, 0), max((of(later.last) - of(self.first)).days, 0)


def day(text: str) -> Day | None:
    """``2026-01-31``, ``2026-01`` or ``2026``; ``None`` for anything else."""
    parts = text.strip().split("-")
    if not 1 <= len(parts) <= 3 or len(parts[0]) != 4 or not all(p.isascii() and p.isdigit() for p in parts):
        return None
    try:
        year, month, number = (*map(int, parts), 0, 0)[:3]
        if len(parts) == 3:
            only = datetime.date(year, month, number).isoformat()
            return Day(only, only)
        if len(parts) == 2:
            first = datetime.date(year, month, 1)
            after = datetime.date(year + month // 12, month % 12 + 1, 1)
            return Day(first.isoformat(), (after - datetime.timedelta(days=1)).isoformat())
        return Day(datetime.date(year, 1, 1).isoformat(), datetime.date(year, 12, 31).isoformat())
    except (ValueError, OverflowError):
        return None


def within(found: Day, begins: str, ends: str) -> bool | None:
    """Whether a day lies from ``begins`` up to and with ``ends`` ("" for no bound); ``None``: only part of it does."""
    if (begins and found.last < begins) or (ends and found.first > ends):
        return False
    return True if (not begins or found.first >= begins) and (not ends or found.last <= ends) else None
