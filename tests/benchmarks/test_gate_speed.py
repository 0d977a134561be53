"""What a site costs in a gate, against `yaml.load` with libyaml's safe loader on the same files; how that grows with sites
and cores; whether memory stays flat. Ratios of running times taken in turns in one run, quickest or median.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from inspect_core.engine import inspect, load_packs
from inspect_core.engine.portfolio.find import SiteFile, find_sites
from inspect_core.engine.portfolio.judge import Asked
from inspect_core.engine.portfolio.result import GateView
from inspect_core.engine.portfolio.running import run
from inspect_core.report import Selection
from inspect_core.report.gate import FORMATS
from inspect_core.report.gate.site import Detail, Order, SiteCheck
from inspect_core.report.view import as_data
from inspect_core.site import load_site

Portfolio = Callable[[int], Path]
ROUNDS = 3


def seconds(task: Callable[[], object]) -> float:
    """Of this process alone: what else the machine does is not counted."""
    start = time.process_time()
    task()
    return time.process_time() - start


def in_turns(tasks: dict[str, Callable[[int], object]], sites: int) -> dict[str, float]:
    """Seconds of each task for all sites: the least of several rounds for each site, in turns with the other tasks."""
    least = {name: [float("inf")] * sites for name in tasks}
    for turn in range(ROUNDS + 1):  # the first warms up
        for number in range(sites):
            for name, task in tasks.items():
                took = seconds(lambda task=task, number=number: task(number))  # type: ignore[misc]
                if turn:
                    least[name][number] = min(least[name][number], took)
    return {name: sum(times) for name, times in least.items()}


def gate_of_one(sites: list[SiteFile], form: str, detail: Detail) -> Callable[[int], None]:
    """The gate's way with one of these sites, printed to nowhere."""
    check = SiteCheck(Order(Path(), Asked(), "2026-11-25", detail))

    def task(number: int) -> None:
        for piece in FORMATS[form](run([sites[number]], check, 1), GateView()):
            piece.encode("utf-8")

    return task


@pytest.mark.benchmark
def test_the_gate_adds_little_to_what_checking_and_telling_cost(
    portfolio: Portfolio, capsys: pytest.CaptureFixture[str]
) -> None:
    sites = find_sites([str(portfolio(6))], Path())
    paths = [Path(site.path) for site in sites]
    texts = [path.read_text("utf-8") for path in paths]
    packs = load_packs()

    def alone(number: int) -> None:
        report = inspect(load_site(paths[number]), packs)
        json.dumps(as_data(report, Selection()), ensure_ascii=False)

    least = in_turns(
        {
            "yaml.load, CSafeLoader": lambda n: yaml.load(texts[n], yaml.CSafeLoader),
            "read, validate, build": lambda n: load_site(paths[n]),
            "checked alone, no texts": lambda n: inspect(load_site(paths[n]), packs),
            "checked alone, as JSON": alone,
            "gate, text": gate_of_one(sites, "text", "names"),
            "gate, sarif": gate_of_one(sites, "sarif", "open"),
            "gate, json-lines": gate_of_one(sites, "json-lines", "line"),
        },
        len(sites),
    )
    unit = least["yaml.load, CSafeLoader"]
    with capsys.disabled():
        print(f"\n6 invented floors, {sum(map(len, texts)) // 6} bytes each; ratio to yaml.load, ms a site")
        for name, took in least.items():
            print(f"  {name:28} {took / unit:6.2f} {took / 6 * 1e3:8.1f}")
    assert least["gate, text"] < 14 * unit
    assert least["gate, json-lines"] < 27 * unit
    assert least["gate, json-lines"] < 1.25 * least["checked alone, as JSON"]
    assert least["gate, text"] < 1.25 * least["checked alone, no texts"]


@pytest.mark.benchmark
def test_a_site_costs_as_much_late_in_a_run_as_early(portfolio: Portfolio, capsys: pytest.CaptureFixture[str]) -> None:
    """Time grows with the number of sites and no faster: the same floors again and again, in one run of 60."""
    files = find_sites([str(portfolio(6))], Path())
    sites = [SiteFile(f"{number:05}.site.yaml", files[number % 6].path) for number in range(60)]
    results = run(sites, SiteCheck(Order(Path(), Asked(), "2026-11-25", "names")), 1)
    taken = [seconds(lambda: next(results)) for _ in sites]

    def quickest(first: int, last: int) -> float:
        """Least time of each of the six floors in these rounds, together."""
        return sum(min(taken[6 * turn + floor] for turn in range(first, last)) for floor in range(6))

    early, late = quickest(1, 5), quickest(6, 10)
    with capsys.disabled():
        print(f"\nms a site: {early / 6 * 1e3:.1f} among the first 30 sites, {late / 6 * 1e3:.1f} among the last")
    assert late < 1.3 * early


@pytest.mark.benchmark
def test_nearly_all_work_is_shared_out(portfolio: Portfolio, capsys: pytest.CaptureFixture[str]) -> None:
    """What the first process alone must do bounds what many cores can gain; its time is told apart from the workers'."""
    sites = find_sites([str(portfolio(24))], Path())
    check = SiteCheck(Order(Path(), Asked(), "2026-11-25", "line"))
    before, alone = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime, time.process_time()
    start = time.perf_counter()
    for piece in FORMATS["json-lines"](run(sites, check, 2), GateView()):
        piece.encode("utf-8")
    wall, alone = time.perf_counter() - start, time.process_time() - alone
    shared = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
    one = time.perf_counter()
    [*run(sites, check, 1)]
    one = time.perf_counter() - one
    with capsys.disabled():
        print(f"\n24 sites: {shared:.1f} s of work in two workers, {alone:.2f} s beside them")
        print(f"  wall: {one:.1f} s in one process, {wall:.1f} s in two, starting included ({os.cpu_count()} cores)")
    assert alone < 0.1 * shared


PEAK = """
import re, resource, sys
from pathlib import Path
from inspect_core.cli import main
try:
    main(sys.argv[1:])
finally:
    status = Path("/proc/self/status")
    # The system's own count begins with what the process that started this one held; the kernel's mark, where there is one, does not.
    mark = re.search(r"VmHWM:\\s*(\\d+) kB", status.read_text()) if status.exists() else None
    sys.stderr.write(mark[1] if mark else str(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss))
"""


@pytest.mark.benchmark
def test_memory_stays_flat(portfolio: Portfolio, capsys: pytest.CaptureFixture[str]) -> None:
    """Peak memory of the whole process, json-lines and a second format beside it. A result takes about a megabyte."""
    peak = {}
    for count in (8, 48):
        command = [sys.executable, "-c", PEAK, "gate", ".", "--jobs", "1", "--format", "json-lines", "-o", os.devnull]
        done = subprocess.run(
            [*command, "--also", f"annotations={os.devnull}"],
            cwd=portfolio(count),
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 1
        peak[count] = int(done.stderr.split()[-1]) / 1024
    with capsys.disabled():
        print(f"\npeak memory: {', '.join(f'{count} sites {size:.0f} MB' for count, size in peak.items())}")
    # Bounded caches fill with the first hundred sites, by 0.2 to 0.4 MB a site; results that are kept take 1 MB each.
    assert peak[48] - peak[8] < 0.5 * (48 - 8)
