"""Results of a gate, made of real checks of the samples: clear, held, with variances, against a baseline, unusable, failed."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.portfolio.baseline import compare
from inspect_core.engine.portfolio.judge import Asked, judged, with_fingerprints
from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report import Selection
from inspect_core.report.standard import rule_entries
from inspect_core.report.view import as_data
from inspect_core.site import InputError, load_site, site_from_text

SAMPLES = Path(__file__).parents[2] / "sample_sites"
GRANT = {"by": "J. Moss, building official", "reason": "shown sound", "paper": "letter 12", "until": "2027-01-31"}

Judge = Callable[..., SiteResult]


@pytest.fixture(scope="session")
def documents(packs: LoadedPacks) -> dict[str, dict[str, Any]]:
    """What `check --format json` gives of three samples, and of one of them as if everything was settled."""
    names = ("lock-cottage-found", "lock-cottage-repaired", "boat-house-shower")
    made = {n: as_data(inspect(load_site(SAMPLES / f"{n}.site.yaml"), packs), Selection()) for n in names}
    clear = copy.deepcopy(made["lock-cottage-repaired"])  # whatever rules are added: a site with nothing open
    clear["findings"] = [f for f in clear["findings"] if f["outcome"] in ("meets", "does-not-apply")]
    return {**made, "clear": clear}


@pytest.fixture(scope="session")
def view(packs: LoadedPacks) -> GateView:
    """Everything counts; the rules are those of the base pack."""
    report = inspect(load_site(SAMPLES / "lock-cottage-repaired.site.yaml"), packs)
    return GateView(today="2026-11-25", rules=rule_entries(report.rules))


@pytest.fixture(scope="session")
def judge(documents: dict[str, dict[str, Any]]) -> Judge:
    """Makes the result of a sample as ``file``, after ``change`` was done to its document."""

    def made(
        name: str,
        file: str,
        change: Callable[[dict[str, Any]], None] = lambda document: None,
        failures: tuple[str, ...] = (),
        asked: Asked | None = None,
    ) -> SiteResult:
        document = copy.deepcopy(documents[name])
        change(document)
        with_fingerprints(file, document)
        if "before" in document:
            compare(document, document.pop("before"))
        return judged(file, document, failures, asked or Asked())

    return made


def _vary(document: dict[str, Any]) -> None:
    """A variance for the first correction that falls short, one that has expired, one that was used."""
    short = [f for f in document["findings"] if f["outcome"] == "falls-short" and f["severity"] == "correction"]
    short[0]["varied"] = dict(GRANT)
    document["summary"]["varied"] = 1
    notice = {"rule": "joist-hung", "subject": "joist J9", "file": "variances.yaml", "line": 7, "column": 3}
    document["variances"] = [{**notice, "state": s, "message": f"it is {s}"} for s in ("used", "expired")]


def _known_before(document: dict[str, Any]) -> None:
    """An earlier run that had the first half of what is open, and one thing that is gone."""
    file = "sites/known.site.yaml"
    earlier = {"findings": copy.deepcopy(document["findings"])}
    with_fingerprints(file, earlier)
    still = [f for f in earlier["findings"] if f["outcome"] in ("falls-short", "not-measured")]
    gone = {**still[0], "subject": "joist J99", "fingerprint": "f" * 20}
    document["before"] = [*still[: len(still) // 2], gone]


def _rule_fails(document: dict[str, Any]) -> None:
    one = copy.deepcopy(document["findings"][0])
    text = "the rule failed, so nothing is known: ZeroDivisionError: division by zero"
    one |= {"rule": "rule-failed", "subject": "rule joist-spacing of wood-floor-base", "outcome": "not-measured"}
    one |= {"severity": "stop-work", "message": text, "location": {**one["location"], "line": 1, "column": 1}}
    document["findings"].append(one)
    document["failures"] = [{"pack": "wood-floor-base", "message": "rule joist-spacing failed: ZeroDivisionError"}]


@pytest.fixture(scope="session")
def results(judge: Judge) -> tuple[SiteResult, ...]:
    """One of each, in the order of the files."""
    try:
        site_from_text("format: 1\nunits: furlongs\nsite: {name: Broken}\n", "sites/broken floor.site.yaml")
    except InputError as error:
        problems = tuple(
            {"file": p.file, "line": p.line, "column": p.column, "message": p.render()} for p in error.problems
        )
    broken = SiteResult("sites/broken floor.site.yaml", None, problems, (), 2, 0)
    died = SiteResult(
        "sites/died.site.yaml", None, (), ("the process that checked it ended (killed by SIGKILL)",), 3, 0
    )
    pack = ("dist: x = y: could not be loaded: ImportError",)
    raised = ("wood-floor-base: rule joist-spacing failed: ZeroDivisionError",)
    made = (
        broken,
        judge("clear", "sites/clear.site.yaml"),
        died,
        judge("lock-cottage-found", "sites/found.site.yaml"),
        judge("lock-cottage-found", "sites/known.site.yaml", _known_before, asked=Asked(only_new=True)),
        judge("clear", "sites/packless.site.yaml", failures=pack),
        judge("clear", "sites/raised.site.yaml", _rule_fails, raised),
        judge("boat-house-shower", "sites/varied.site.yaml", _vary),
    )
    return tuple(sorted(made, key=lambda one: one.file))


@pytest.fixture(scope="session")
def by_file(results: tuple[SiteResult, ...]) -> dict[str, SiteResult]:
    """The results by the name between the folder and the ending."""
    return {one.file.removeprefix("sites/").removesuffix(".site.yaml"): one for one in results}


@pytest.fixture(scope="session")
def thousand(judge: Judge) -> Callable[[int], Iterator[SiteResult]]:
    """Many sites, one after the other, of which every fourth is clear."""

    def fewer(document: dict[str, Any]) -> None:
        """So that a thousand of them take a second."""
        document["findings"] = [f for f in document["findings"] if f["outcome"] in ("falls-short", "not-measured")][:25]

    held, clear = judge("lock-cottage-found", "x", fewer), judge("clear", "x")

    def many(count: int) -> Iterator[SiteResult]:
        for number in range(count):
            yield replace(clear if number % 4 == 0 else held, file=f"sites/{number:05}.site.yaml")

    return many


HOSTILE = (
    "<script>alert(1)</script><img src=x onerror=alert(1)>\x1b[31m\u202e\u2028\n::error::owned\n- [x] @everyone "
    "[a](javascript:b) {0} | cell `code` ]]> &amp; </details> ##[error]x \x00\ud800\ufffe **bold** \\| $x$ <!-- https://e.example"
)


@pytest.fixture(scope="session")
def hostile(judge: Judge) -> SiteResult:
    """A site whose names hold everything that some format would take for its own."""

    def spoil(document: dict[str, Any]) -> None:
        document["site"]["name"] = HOSTILE
        document["packs"].append({"id": HOSTILE, "version": HOSTILE})
        document["loosened"] = [
            {"kind": "limit", "name": HOSTILE, "set_by": HOSTILE, "value": HOSTILE, "was": "1", "was_by": "x"}
        ]
        document["hold_points"][HOSTILE] = {"released": False, "open": 1}
        document["findings"] = document["findings"][:6]
        for finding in document["findings"]:
            finding |= {"subject": HOSTILE, "message": HOSTILE, "remedy": HOSTILE, "hold_point": HOSTILE}
            finding |= {"cautions": [HOSTILE], "assumptions": [HOSTILE], "measure": [HOSTILE], "rule": "x-rule"}
            finding |= {"outcome": "falls-short"}

    result = judge("lock-cottage-found", "sites/a b#c?d,e::f%41/../<i>@all.site.yaml", spoil, (HOSTILE,))
    problem = {"file": "x", "line": 0, "column": 0, "message": HOSTILE}
    return replace(result, problems=(problem,))
