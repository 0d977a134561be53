"""Running a job on many files: order, look-ahead, jobs that raise, workers that die, none that can start."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine.portfolio import running
from inspect_core.engine.portfolio.find import SiteFile
from inspect_core.engine.portfolio.result import SiteResult

JOBS = '''
import os, signal, sys, time
from inspect_core.engine.portfolio.result import SiteResult

def done(file):
    if "slow" in file.file:
        time.sleep(0.3)
    if "raises" in file.file:
        raise ValueError("no such thing")
    if "leaves" in file.file:
        raise SystemExit(0)
    if "dies" in file.file:
        os.kill(os.getpid(), signal.SIGKILL)
    if "exits" in file.file:
        os._exit(7)
    print("a job that talks")
    with open(file.path + ".seen", "a") as out:
        out.write("x")
    return SiteResult(file.file, None, (), (), 0, len(file.file))

class Refuses:
    """Can be pickled, but not brought back."""
    def __reduce__(self):
        return (sys.exit, (5,))
'''


@pytest.fixture
def jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A module with jobs that workers can import."""
    (tmp_path / "jobs_of_a_test.py").write_text(JOBS, "utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    return import_module("jobs_of_a_test")


@pytest.fixture
def files(tmp_path: Path) -> Callable[..., list[SiteFile]]:
    return lambda *names: [SiteFile(name, str(tmp_path / name)) for name in names]


def seen(tmp_path: Path) -> list[str]:
    return sorted(path.name.removesuffix(".seen") for path in tmp_path.glob("*.seen"))


@pytest.mark.parametrize("count", [1, 2])
def test_results_come_in_order_and_a_job_that_raises_hides_no_other(
    jobs: Any, files: Callable[..., list[SiteFile]], count: int, capfd: pytest.CaptureFixture[str]
) -> None:
    names = ["slow-a", "b", "raises", "leaves", *"cdefgh"]
    found = list(running.run(files(*names), jobs.done, count))
    assert [one.file for one in found] == names
    assert [one.exit_code for one in found] == [0, 0, 3, 3, *[0] * 6]
    assert found[2] == SiteResult("raises", None, (), ("ValueError: no such thing",), 3, 0)
    assert capfd.readouterr().out == ""  # what a job prints never gets into the output


def test_a_worker_that_dies_hides_no_other(jobs: Any, files: Callable[..., list[SiteFile]]) -> None:
    found = list(running.run(files("a", "dies", "b", "exits", "c", "d"), jobs.done, 2))
    assert [one.exit_code for one in found] == [0, 3, 0, 3, 0, 0]
    assert "killed by SIGKILL" in found[1].failures[0]
    assert "exit code 7" in found[3].failures[0]


def test_no_more_is_done_ahead_than_a_few_files(
    jobs: Any, files: Callable[..., list[SiteFile]], tmp_path: Path
) -> None:
    names = [f"{n:03}" for n in range(200)]
    with contextlib.closing(running.run(files(*names), jobs.done, 2)) as results:  # type: ignore[type-var]
        assert next(results).file == "000"
    assert len(seen(tmp_path)) <= 2 * running.AHEAD + 1 + 2 * running.IN_HAND


def test_workers_that_cannot_begin_are_told(jobs: Any, files: Callable[..., list[SiteFile]]) -> None:
    with pytest.raises(running.CannotStart, match="exit code 5"):
        list(running.run(files("a", "b"), jobs.Refuses(), 2))


def test_how_many_processes() -> None:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    assert running.processes(3, 100) == 3
    assert running.processes(3, 2) == 2
    assert running.processes(1, 0) == 1
    assert running.processes(0, running.WORTH_A_PROCESS - 1) == 1
    assert running.processes(0, 10_000) == cores
