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
from typing import Final

MOST_SECONDS = 60.0
"""For one rule on one area, or to load one pack; common practice, no source. Rules take milliseconds."""
AGAIN: Final = 1.0  # seconds after which a rule that swallowed the first interruption gets the next one
MOST_CHECKS: Final = 200_000
"""Answers of one rule on one area: as many as a site file may have values."""


class TookTooLong(BaseException):
    """A rule did not end. Not an ``Exception``: a rule that catches those would swallow it."""


@contextmanager
def watching() -> Iterator[None]:
    """Lets :func:`limited` work in the block, where it can."""
    if not _can_watch():
        yield
        return
    before = signal.signal(signal.SIGALRM, _stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGALRM, before)


def _can_watch() -> bool:
    return (
        hasattr(signal, "setitimer")
        and threading.current_thread() is threading.main_thread()
        and signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
        and signal.getitimer(signal.ITIMER_REAL)[0] == 0
    )


_running = False


@contextmanager
def limited() -> Iterator[None]:
    """Raises :class:`TookTooLong` in the block after :data:`MOST_SECONDS`, where somebody is watching."""
    global _running
    if (
        not hasattr(signal, "setitimer")
        or threading.current_thread() is not threading.main_thread()
        or signal.getsignal(signal.SIGALRM) is not _stop
    ):
        yield
        return
    _running = True
    signal.setitimer(signal.ITIMER_REAL, MOST_SECONDS, AGAIN)
    try:
        yield
    finally:
        _running = False
        signal.setitimer(signal.ITIMER_REAL, 0)


def _stop(number: int, frame: object) -> None:
    if _running:  # an alarm that comes just after the end concerns nobody
        raise TookTooLong(f"it did not end within {MOST_SECONDS:g} s and was stopped")
