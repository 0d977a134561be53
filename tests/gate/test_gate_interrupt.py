"""Ctrl-C, and memory: nothing half-written, no process left behind, nothing kept of a site once it is told."""

from __future__ import annotations

import collections
import contextlib
import gc
import itertools
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.engine.portfolio.find import SiteFile
from inspect_core.engine.portfolio.judge import Asked
from inspect_core.engine.portfolio.running import run
from inspect_core.report.gate.site import Order, SiteCheck


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another kind")
@pytest.mark.parametrize("jobs", ["1", "2"])
def test_an_interrupted_run_leaves_whole_files_only(
    sites: Callable[..., Path], tmp_path: Path, tricky: Path, jobs: str
) -> None:
    sites(a={"name": "Good"}, b={"name": "This one waits"}, c={"name": "Third"})
    (tmp_path / "all.jsonl").write_text("earlier", "utf-8")
    command = [sys.executable, "-m", "inspect_core", "gate", "floors", "--jobs", jobs, "--pack", "tricky-pack"]
    search = os.pathsep.join(filter(None, [str(tricky), os.environ.get("PYTHONPATH")]))
    running = subprocess.Popen(
        [*command, "--also", "json-lines=all.jsonl"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": search},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # what a shell starts behind it ignores Ctrl-C
    )
    assert running.stdout is not None
    first = running.stdout.readline()  # the first site is told, the second one keeps a process busy
    os.killpg(running.pid, signal.SIGINT)
    rest, errors = running.communicate(timeout=30)
    assert first.startswith(b"HELD  floors/a.site.yaml")
    assert b"c.site.yaml" not in rest
    assert errors.strip() == b"interrupted"
    assert running.returncode == 130
    assert (tmp_path / "all.jsonl").read_text("utf-8") == "earlier"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["all.jsonl", "floors"]
    deadline = time.monotonic() + 10
    while left_in_session(running.pid) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert left_in_session(running.pid) == []


def left_in_session(number: int) -> list[str]:
    """Processes of a session that still run (where the system tells; one that waits to be counted is none)."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            state = (process / "stat").read_text("utf-8").rpartition(")")[2].split()
            if int(state[3]) == number and state[0] != "Z":
                found.append(process.name)
    return found


def test_nothing_is_kept_of_a_site_once_it_is_told(sites: Callable[..., Path], tmp_path: Path) -> None:
    """What grows is caches of a fixed size; they hold far less of a site than its result does."""
    path = sites(a={"name": "Good"}) / "a.site.yaml"
    files = [SiteFile(f"{number:03}.site.yaml", str(path)) for number in range(28)]
    results = run(files, SiteCheck(Order(tmp_path, Asked(), "2026-01-01")), 1)

    def alive_after(count: int) -> int:
        collections.deque(itertools.islice(results, count), maxlen=0)
        gc.collect()
        return len(gc.get_objects())

    warm = alive_after(8)
    growth = (alive_after(16) - warm) / 16
    before = alive_after(0)
    kept = next(results)
    of_a_result = alive_after(0) - before
    assert kept.document is not None
    assert of_a_result > 1_000
    assert growth < of_a_result / 10
