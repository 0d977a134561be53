"""Running a job on every site, on one core or on many; results come in the order of the files, a few ahead at most.

With several processes each worker is handed one file after the other over a pipe of its own, so that it is known which
file a worker had in hand when it died. Workers are spawned, not forked: the same on every system.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection, wait
from typing import Any, Final

from inspect_core.engine.portfolio.find import SiteFile
from inspect_core.engine.portfolio.result import SiteResult

Job = Callable[[SiteFile], SiteResult]
"""What is done with one file. It must be picklable where there are several processes."""

IN_HAND: Final = 2  # files a worker has: one it works on, and the next, so that it need not wait
COLLECT_AFTER: Final = 10_000  # new objects; most live as long as their site: by the usual 700 a tenth of the time went
AHEAD: Final = 4  # results that may wait for an earlier one, for each worker
WORTH_A_PROCESS: Final = 8  # sites; fewer are checked before a process has started


class CannotStart(Exception):  # noqa: N818 - it names what happened
    """No worker process can be started here; the text says more."""


def processes(jobs: int, sites: int) -> int:
    """How many processes to use: ``jobs``, or for 0 as many as there are cores, if there is enough to do."""
    if jobs <= 0:
        jobs = min(_cores(), sites // WORTH_A_PROCESS)
    return max(1, min(jobs, sites))


def _cores() -> int:
    try:
        return len(os.sched_getaffinity(0))  # what a container leaves us
    except AttributeError:
        return os.cpu_count() or 1


def run(files: Sequence[SiteFile], job: Job, jobs: int) -> Iterator[SiteResult]:
    """The result of each file, in their order. A job that raises, or whose process dies, gives a failure.

    With one job everything runs in this process. Raises :class:`CannotStart` where no worker can be started.
    """
    if jobs > 1:
        return _Pool(files, job, jobs).results()
    return (_in_this_process(job, file) for file in files)


def _in_this_process(job: Job, file: SiteFile) -> SiteResult:
    with contextlib.redirect_stdout(sys.stderr):  # a pack that prints must not write into our output
        return _safely(job, file)


def _safely(job: Job, file: SiteFile) -> SiteResult:
    try:
        return job(file)
    except (Exception, SystemExit) as error:
        return failed(file.file, f"{type(error).__name__}: {error}")


def failed(file: str, why: str) -> SiteResult:
    """The result of a file on which the check itself failed: nothing is known about it."""
    return SiteResult(file, None, (), (why,), 3, 0)


class _Worker:
    def __init__(self, job: Job) -> None:
        context = multiprocessing.get_context("spawn")
        self.connection, theirs = context.Pipe()
        self.process = context.Process(target=_work, args=(theirs, job), daemon=True)
        with _uninterrupted():
            self.process.start()
        theirs.close()
        self.ready = False
        self.in_hand: deque[int] = deque()

    def give(self, number: int, file: SiteFile) -> None:
        self.in_hand.append(number)
        with contextlib.suppress(OSError):  # it has died: that is seen when its answer is read
            self.connection.send((number, file))

    def end(self) -> None:
        self.connection.close()
        self.process.terminate()
        self.process.join()

    def how_it_ended(self) -> str:
        self.process.join()
        code = self.process.exitcode or 0
        with contextlib.suppress(ValueError):
            return f"killed by {signal.Signals(-code).name}" if code < 0 else f"exit code {code}"
        return f"exit code {code}"


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """A process started here takes no notice of Ctrl-C: this one does, and ends it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _work(connection: Connection, job: Job) -> None:
    """A worker: one file after the other, until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(COLLECT_AFTER)
    with contextlib.suppress(OSError):
        os.dup2(2, 1)  # a pack that prints must not write into the gate's output
    with contextlib.suppress(EOFError, OSError):
        connection.send(None)
        first = True
        while True:
            number, file = connection.recv()
            connection.send((number, _safely(job, file)))
            if first:  # packs and schemas stay for good: the collector need not look through them for each site
                gc.collect()
                gc.freeze()
                first = False


class _Pool:
    def __init__(self, files: Sequence[SiteFile], job: Job, jobs: int) -> None:
        self.files = files
        self.job = job
        self.jobs = jobs
        self.workers: list[_Worker] = []
        self.waiting = deque(range(len(files)))
        self.done: dict[int, SiteResult] = {}

    def results(self) -> Iterator[SiteResult]:
        try:
            self.workers += [_Worker(self.job) for _ in range(self.jobs)]
            for number in range(len(self.files)):
                self._hand_out(number)
                while number not in self.done:
                    self._receive()
                    self._hand_out(number)
                yield self.done.pop(number)
        finally:
            for worker in self.workers:
                worker.end()

    def _hand_out(self, wanted: int) -> None:
        """Give work to who has little, though nothing that is too far ahead of the result that is wanted next."""
        last = wanted + AHEAD * self.jobs
        for depth in range(1, IN_HAND + 1):
            for worker in self.workers:
                if len(worker.in_hand) < depth and self.waiting and self.waiting[0] <= last:
                    number = self.waiting.popleft()
                    worker.give(number, self.files[number])

    def _receive(self) -> None:
        by_connection = {worker.connection: worker for worker in self.workers}
        for connection in wait(list(by_connection)):
            worker = by_connection[connection]  # type: ignore[index]  # only what was put in comes back
            try:
                answer: Any = worker.connection.recv()
            except (EOFError, OSError):
                self._replace(worker)
                continue
            worker.ready = True
            if answer is not None:
                number, result = answer
                worker.in_hand.remove(number)
                self.done[number] = result

    def _replace(self, worker: _Worker) -> None:
        """A worker died: the file that it had in hand is told, the next one goes to another."""
        how = worker.how_it_ended()
        if not worker.ready:
            raise CannotStart(f"a worker process ended before it began: {how}; --jobs 1 does without")
        if worker.in_hand:
            number = worker.in_hand.popleft()
            why = f"the process that checked it ended ({how}): nothing is known about this file"
            self.done[number] = failed(self.files[number].file, why)
        self.waiting.extendleft(reversed(worker.in_hand))
        worker.end()
        self.workers[self.workers.index(worker)] = _Worker(self.job)
