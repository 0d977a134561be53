"""Which tests reach which line: measured once on the unchanged code, where each of them must pass.

A unit is a rule case or a variation of one (``case:bearing:3``; only the rule that it is about is run) or a test of
pytest by its node id; a test file as a whole stands for what its import and its wider fixtures reach. Everything runs
in this process.
"""

from __future__ import annotations

import functools
import gc
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import coverage
import hypothesis
import pytest
from case_answers import FOLDER, VARIATIONS, answers_of, case_sites, golden_answers, only_rule, read_variations
from changes import ROOT, SOURCES

import inspect_core.rules_api
from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.cases import read_cases
from inspect_core.site import Site, site_from_text

inspect_core.rules_api.load_data = functools.cache(inspect_core.rules_api.load_data)  # data are not changed here

TESTS = (
    *("engineering", "structure", "rules", "published", "cli/test_span.py", "test_sample_sites.py"),
    *("report/test_working.py", "report/test_load_path.py", "report/test_golden_reports.py"),
)
LEFT_OUT = (
    "rules/test_cases.py",
    "rules/test_variations.py",
    "published/test_sarif_schema.py",
    "published/test_junit_schema.py",
)
PYTEST = ["-x", "-q", "--tb=short", "--assert=plain", "-p", "no:cacheprovider", "-p", "no:xdist"]


@dataclass(frozen=True)
class Reach:
    """CPU seconds of each unit, and for each source file the units that reach a line."""

    cost: dict[str, float]
    lines: dict[str, dict[int, list[str]]]

    def units(self, file: str, lines: tuple[int, int] | None) -> list[str]:
        """Units that reach these lines of a file (any line without), cases first, then the quickest first."""
        by_line = self.lines.get(file, {})
        wanted = by_line if lines is None else range(lines[0], lines[1] + 1)
        found = {unit for line in wanted for unit in by_line.get(line, ())}
        found -= {unit for unit in found if unit.partition("::")[0] in found - {unit}}  # its whole file runs
        return sorted(found, key=lambda unit: (not unit.startswith("case:"), self.cost.get(unit, 0.0), unit))


@dataclass(frozen=True)
class CaseRun:
    """A rule case or a variation: its site, ready to be checked, and what its rule must say, word for word.

    ``expect`` are the outcomes by subject, ``None`` for a variation.
    """

    rule: str
    name: str
    site: Site
    expect: dict[str, str] | None
    answers: list[str]


@functools.cache
def case_runs() -> dict[str, CaseRun]:
    """Every rule case and variation by its unit."""
    found = {}
    for file in sorted(FOLDER.glob("*.yaml")):
        golden = golden_answers(file.stem)
        for i, case in enumerate(read_cases(file.read_text("utf-8"))):
            site, answers = site_from_text(case.text, case.name), golden[f"{case.rule}: {case.name}"]
            found[f"case:{file.stem}:{i}"] = CaseRun(case.rule, case.name, site, case.expect, answers)
    for file in sorted(VARIATIONS.glob("*.txt")):
        for i, one in enumerate(read_variations(file.read_text("utf-8"))):
            site = one.of(case_sites(file.stem)[one.rule, one.case])
            found[f"case:{file.stem}:variation-{i}"] = CaseRun(one.rule, one.head, site, None, [*one.answers])
    return found


def base_packs() -> Callable[[str], LoadedPacks]:
    """The base pack with one rule, for each rule, from the modules that are imported now."""
    import inspect_wood_floor

    return functools.cache(functools.partial(only_rule, inspect_wood_floor.inspect_pack()))


def case_fails(run: CaseRun, packs: Callable[[str], LoadedPacks]) -> bool:
    """Whether its rule says anything else than it must."""
    report = inspect(run.site, packs(run.rule))
    found = {finding.subject: finding.outcome for finding in report.findings}
    return bool(report.failures) or run.expect not in (None, found) or answers_of(report, run.rule) != run.answers


def run_pytest(units: list[str], *plugins: object) -> int:
    """Pytest's exit code. Drawn examples are the same each time."""
    hypothesis.settings.register_profile(
        "mutation",
        derandomize=True,
        database=None,
        deadline=None,
        phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate],
        suppress_health_check=list(hypothesis.HealthCheck),
    )
    hypothesis.settings.load_profile("mutation")
    os.chdir(ROOT)
    return int(pytest.main([*PYTEST, *units], plugins=list(plugins)))


def measured(near: bool) -> Reach:
    """Runs everything, or with ``near`` the rule cases. Ends the process with a word where something does not pass."""
    watch = _Watch()
    packs = base_packs()
    for unit, run in case_runs().items():
        with watch.unit(unit):
            if case_fails(run, packs):
                sys.exit(f"fails on the unchanged code: {unit} ({run.rule}: {run.name})")
    if near:
        return watch.reach()
    left_out = [f"--ignore={ROOT / 'tests' / name}" for name in LEFT_OUT]
    if run_pytest([*left_out, *(str(ROOT / "tests" / name) for name in TESTS)], watch):
        sys.exit("a test fails on the unchanged code, so nothing can be told; see above")
    return watch.reach()


class _Watch:
    """Coverage by unit; a plugin of pytest too."""

    def __init__(self) -> None:
        self.cost: dict[str, float] = {}
        self.coverage = coverage.Coverage(data_file=None, config_file=False, include=[f"{base}/*" for base in SOURCES])
        self.coverage.start()
        self.caches = [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]

    @contextmanager
    def unit(self, name: str, outer: str = "") -> Iterator[None]:
        """What runs here counts for this unit; nothing that was computed before is taken from a cache."""
        for one in self.caches:
            if one.__module__.startswith(("inspect_core.engineering", "inspect_core.structure", "inspect_wood_floor")):
                one.cache_clear()
        self.coverage.switch_context(name)
        start = time.process_time()
        yield
        self.cost[name] = self.cost.get(name, 0.0) + time.process_time() - start
        self.coverage.switch_context(outer)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        with self.unit(item.nodeid):
            return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any, request: Any) -> Any:
        if fixturedef.scope == "function":
            return (yield)
        with self.unit(request.node.nodeid.partition("::")[0], request._pyfuncitem.nodeid):
            return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector: Any) -> Any:
        with self.unit(collector.nodeid.partition("::")[0]):
            return (yield)

    def reach(self) -> Reach:
        """What was found."""
        self.coverage.stop()
        data = self.coverage.get_data()
        lines = {}
        for file in data.measured_files():
            by_line = data.contexts_by_lineno(file)
            lines[str(Path(file).relative_to(ROOT))] = {n: sorted(set(units) - {""}) for n, units in by_line.items()}
        cost = dict(self.cost)
        for unit, seconds in self.cost.items():
            if "::" in unit:
                cost[unit.partition("::")[0]] = cost.get(unit.partition("::")[0], 0.0) + seconds
        return Reach(cost, lines)
