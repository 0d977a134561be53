"""Where the time of a check goes: reading, validating and building the site, running the rules; and how it grows.

All as ratios to `yaml.load` with libyaml's safe loader on the same text, taken in turns in one run, so that whatever
else the machine does slows both. Medians or quickest runs, with the garbage collector off.
"""

from __future__ import annotations

import dataclasses
import gc
import statistics
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.report import FORMATS, Selection
from inspect_core.report.text import render_text
from inspect_core.site import Site, load
from inspect_core.site.reader import read_text

SAMPLES = Path(__file__).parents[2] / "sample_sites"
WHOLE = SAMPLES / "lock-cottage-repaired.site.yaml"  # every section of the format is in it
ROUNDS = 15


@pytest.fixture(autouse=True)
def no_collector() -> Iterator[None]:
    gc.collect()
    gc.disable()
    yield
    gc.enable()


def seconds(task: Callable[[], Any]) -> float:
    """Of this process alone: what else the machine does would make a long task look dearer than a short one."""
    start = time.process_time()
    task()
    return time.process_time() - start


def quickest(tasks: dict[str, Callable[[], Any]], rounds: int) -> dict[str, float]:
    """Least seconds of each task: what else the machine does only ever adds time."""
    return {name: min(times) for name, times in runs(tasks, rounds).items()}


def runs(tasks: dict[str, Callable[[], Any]], rounds: int) -> dict[str, list[float]]:
    """Seconds of each run of each task; one round runs each of them once."""
    for task in tasks.values():
        task()  # warms up
    taken: dict[str, list[float]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            taken[name].append(seconds(task))
    return taken


def table(title: str, rows: dict[str, float], unit: float, capsys: pytest.CaptureFixture[str]) -> None:
    with capsys.disabled():
        print(f"\n{title}")
        for name, value in rows.items():
            print(f"  {name:<28} {value * 1e3:9.2f} ms  {value / unit:7.2f} x CSafeLoader")


def with_geometry(site: Site) -> Site:
    """The site with its derived geometry worked out, which is part of the model and not of any rule."""
    for area in site.areas:
        assert area.bays is not None
        assert area.joist_ends is not None
        assert area.bays_beside is not None
    return site


class Stages:
    """The parts of a check on one text, each ready to be run by itself."""

    def __init__(self, text: str, packs: LoadedPacks) -> None:
        self.text = text
        self.packs = packs
        self.report = inspect(self.site(), packs)
        assert self.report.failures == ()

    def site(self) -> Site:
        return load.site_from_text(self.text, "benchmark.site.yaml")

    def tasks(self) -> dict[str, Callable[[], Any]]:
        document = read_text(self.text, "benchmark.site.yaml")
        fresh: list[Site] = []  # a site works its geometry out once and keeps it: each round gets a new one

        def build() -> None:
            fresh[:] = [with_geometry(load.site_from_document(document))]

        return {
            "yaml.load, CSafeLoader": lambda: yaml.load(self.text, yaml.CSafeLoader),
            "read, with positions": lambda: read_text(self.text, "benchmark.site.yaml"),
            "validate and build": build,
            "rules": lambda: inspect(fresh[0], self.packs),
            "json": lambda: FORMATS["json"](self.report, Selection()),
            "text": lambda: render_text(self.report, Selection()),
        }


# Rules that look things up and compare; the others solve the structure, which is work of another kind.
LOOKING = {"spacing", "bearing", "notch_bore", "fasteners", "moisture", "tile_buildup"}
SOLVING = {"joist-bearing-stress", "hanger-load"}


def without_structure(packs: LoadedPacks) -> LoadedPacks:
    """The same packs without the rules that solve the structure."""
    (base,) = packs.packs
    kept = tuple(rule for rule in base.rules if rule.topic in LOOKING and rule.id not in SOLVING)
    return dataclasses.replace(packs, packs=(dataclasses.replace(base, rules=kept),))


@pytest.mark.benchmark
def test_rules_cost_at_most_five_times_loading_the_file(packs: LoadedPacks, capsys: pytest.CaptureFixture[str]) -> None:
    text = WHOLE.read_text("utf-8")
    stages = Stages(text, packs)
    looking = Stages(text, without_structure(packs))
    tasks = stages.tasks()
    site: list[Site] = []

    def fresh() -> None:
        site[:] = [with_geometry(looking.site())]

    tasks |= {"(a fresh site)": fresh, "rules without structure": lambda: inspect(site[0], looking.packs)}
    every = runs(tasks, 3 * ROUNDS)
    taken = {name: statistics.median(times) for name, times in every.items()}
    unit = taken["yaml.load, CSafeLoader"]
    (area,) = stages.report.site.areas
    size = f"{len(stages.text)} bytes, {len(area.joists or ())} joists, {len(stages.report.findings)} findings"
    table(f"{WHOLE.name}: {size}", taken, unit, capsys)
    least = {name: min(times) for name, times in every.items()}
    assert least["rules"] <= 5 * least["yaml.load, CSafeLoader"]
    # The aim: rules that look up and compare are no dearer than reading and building. A third is left for a busy machine.
    assert least["rules without structure"] <= 1.33 * (least["read, with positions"] + least["validate and build"])
    assert least["json"] <= 9 * least["yaml.load, CSafeLoader"]


# --- growth ---

FLOOR = """\
format: 1
units: in
site: {{name: Long barn, invented: true, work: existing}}
areas:
  - id: barn
    use: hall
    outline: {across} in x 120 in
    joists_run: north-south
    supports:
      - {{id: S1, line: sill, rests_on: masonry, surface: wood, at: -5 1/2, width: 5 1/2}}
      - {{id: B1, line: beam, rests_on: piers, surface: wood, at: 120, width: 5 1/2, size: 6x8, sizes: true-dimension}}
    joists:
      - name: J
        from: S1
        to: B1
        at: every 16 from 0 to {last}
        each: {{size: 2x8, sizes: nominal, species: douglas-fir-larch, grade: No.2, holes: [], notches: [], cuts: []}}
        but:
{joists}
    layers:
      - {{kind: panel, material: plywood, thickness: 23/32, rating: 24oc, strong_axis: across-joists}}
"""


def long_barn(joists: int) -> str:
    """A floor of so many joists, each with words of its own, no two neighbours alike."""
    own = [
        f"          J{n}: {{bearing: {{S1: {2 + n % 7}, B1: {1 + n % 5} 1/2}}, moisture: {10 + n % 9}}}"
        for n in range(1, joists + 1)
    ]
    last = 16 * (joists - 1)
    return FLOOR.format(across=last + 16, last=last, joists="\n".join(own))


@pytest.mark.benchmark
def test_time_grows_with_the_number_of_joists_and_no_faster(
    packs: LoadedPacks, capsys: pytest.CaptureFixture[str]
) -> None:
    taken = {}
    for joists, rounds in ((10, 15), (100, 9), (1_000, 5)):
        taken[joists] = quickest(Stages(long_barn(joists), packs).tasks(), rounds)
        table(f"{joists} joists", taken[joists], taken[joists]["yaml.load, CSafeLoader"], capsys)
    # Ten times the joists cost ten times the time, and half as much again for what a larger memory costs.
    growth = {name: taken[1_000][name] / taken[100][name] for name in taken[100]}
    # The library's own loader is the measure where the machine's memory makes even that one grow faster.
    most = max(15.0, 1.2 * growth["yaml.load, CSafeLoader"])
    assert {name: factor for name, factor in growth.items() if factor > most} == {}
    growth = {name: taken[100][name] / taken[10][name] for name in taken[10]}
    # The library's own loader is the measure where the machine's memory makes even that one grow faster.
    most = max(15.0, 1.2 * growth["yaml.load, CSafeLoader"])
    assert {name: factor for name, factor in growth.items() if factor > most} == {}
