"""How long one rule may take, so that a pack which hangs is a finding of its own and the others still run.

The limit rests on the system's alarm, which only the main thread of a process gets and which Windows does not have:
elsewhere nothing is stopped, nor where somebody else uses the alarm. Nor is a rule stopped inside of compiled code that
never returns to Python.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic
from typing import Final

MOST_SECONDS = 60.0
"""For one rule on one area, or to load one pack; common practice, no source. Rules take milliseconds."""
AGAIN: Final = 1.0  # seconds from one look to the next; a rule that swallowed the first interruption gets another
MOST_CHECKS: Final = 200_000
"""Answers of one rule on one area: as many as a site file may have values."""


class TookTooLong(BaseException):
    """A rule did not end. Not an ``Exception``: a rule that catches those would swallow it."""


class Watch:
    """Looks once in a while how long what runs inside ``with watch:`` has been running, and stops what hangs.

    Nothing is asked of the system for each rule: there are some 500 in a run, and most take microseconds.
    """

    __slots__ = ("since",)

    def __init__(self) -> None:
        self.since: float | None = None  # None: what runs now is nobody's rule

    def __enter__(self) -> None:
        self.since = monotonic()

    def __exit__(self, *_: object) -> None:
        self.since = None

    def look(self, number: int, frame: object) -> None:
        """The alarm's handler. Raises :class:`TookTooLong` in the block after :data:`MOST_SECONDS`."""
        if self.since is not None and monotonic() - self.since >= MOST_SECONDS:
            raise TookTooLong(f"it did not end within {MOST_SECONDS:g} s and was stopped")


@contextmanager
def watching() -> Iterator[Watch]:
    """A watch that looks every :data:`AGAIN` seconds while the block runs, where the system can; else it never does."""
    watch = Watch()
    if not _can_watch():
        yield watch
        return
    before = signal.signal(signal.SIGALRM, watch.look)
    signal.setitimer(signal.ITIMER_REAL, AGAIN, AGAIN)
    try:
        yield watch
    finally:
        watch.since = None  # an alarm that comes just after the end concerns nobody
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def _can_watch() -> bool:
    return (
        hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
        and signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
        and signal.getitimer(signal.ITIMER_REAL)[0] == 0
    )
