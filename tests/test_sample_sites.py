"""The sample sites give the findings that were reviewed by hand. UPDATE_GOLDEN=1 writes the golden files again."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.report import Selection
from inspect_core.report.markdown import render_markdown
from inspect_core.report.text import render_text
from inspect_core.report.view import finding_data, shown
from inspect_core.site import load_site, site_from_text
from inspect_core.site.starter import starter

ROOT = Path(__file__).parent.parent
SAMPLES = sorted((ROOT / "sample_sites").glob("*.site.yaml"))
GOLDEN = Path(__file__).parent / "golden"
TOPICS = {"spacing", "bearing", "notch_bore", "fasteners", "moisture", "tile_buildup"}


def name_of(path: Path) -> str:
    return path.name.removesuffix(".site.yaml")


def report_on(path: Path, packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> Report:
    monkeypatch.chdir(ROOT)
    monkeypatch.setattr("inspect_core.engine.hashes.hash_of", lambda root: "0" * 64)  # it changes with every edit
    return inspect(load_site(path.relative_to(ROOT)), packs)


def golden(name: str, text: str) -> None:
    file = GOLDEN / name
    if os.environ.get("UPDATE_GOLDEN"):
        GOLDEN.mkdir(exist_ok=True)
        file.write_text(text, "utf-8")
    assert text == file.read_text("utf-8")


def lines(report: Report) -> str:
    """One line a finding: enough to see by eye what changed."""
    found = []
    for finding in shown(report, Selection()):
        data = finding_data(report, finding)
        where = f"{data['location']['line']}:{data['location']['column']}"
        found.append(
            f"{data['outcome']:<14} {data['hold_point']:<14} {data['severity']:<10} {data['rule']} | "
            f"{data['subject']} | {data['message']} | {where}"
        )
    return "\n".join(found) + "\n"


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_findings_are_the_reviewed_ones(path: Path, packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    report = report_on(path, packs, monkeypatch)
    assert report.failures == ()
    golden(f"{name_of(path)}.findings.txt", lines(report))


@pytest.mark.parametrize("name", ["lock-cottage-found", "boat-house-shower"])
def test_what_people_read(name: str, packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    report = report_on(ROOT / "sample_sites" / f"{name}.site.yaml", packs, monkeypatch)
    golden(f"{name}.txt", render_text(report, Selection()))
    golden(f"{name}.md", render_markdown(report, Selection()))


def test_the_floor_as_found_falls_short_in_every_module(packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    report = report_on(ROOT / "sample_sites" / "lock-cottage-found.site.yaml", packs, monkeypatch)
    short = [f for f in report.findings if f.outcome == "falls-short"]
    assert {f.rule.topic for f in short} >= TOPICS
    assert len({f.rule.id for f in short}) >= 12
    assert report.exit_code("correction") == 1


def test_the_repaired_floor_meets_everything(packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    report = report_on(ROOT / "sample_sites" / "lock-cottage-repaired.site.yaml", packs, monkeypatch)
    assert [
        (f.rule.id, f.subject, f.outcome) for f in report.findings if f.outcome in ("falls-short", "not-measured")
    ] == []
    assert report.exit_code("advisory") == 0
    assert {f.rule.topic for f in report.findings if f.outcome == "meets"} >= TOPICS


def test_a_sparse_survey_asks_more_than_it_answers(packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    counts = report_on(ROOT / "sample_sites" / "mill-kitchen-survey.site.yaml", packs, monkeypatch).summary()
    assert counts["not-measured"] > counts["meets"] + counts["falls-short"]


def test_the_smallest_site_meets_nothing(packs: LoadedPacks, tmp_path: Path) -> None:
    file = tmp_path / "smallest.site.yaml"
    file.write_text("format: 1\nunits: in\nsite: {name: smallest}\nareas: [{id: a}]\n", "utf-8")
    report = inspect(load_site(file), packs)
    assert report.summary()["meets"] == 0
    assert report.summary()["not-measured"] > 0
    topics = {f.rule.topic for f in report.findings if f.outcome == "not-measured"}
    assert topics >= TOPICS


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_starter_meets_nothing_before_anybody_has_measured(units: str, packs: LoadedPacks) -> None:
    report = inspect(site_from_text(starter(units)), packs)
    assert report.failures == ()
    assert [(f.rule.id, f.subject) for f in report.findings if f.outcome in ("meets", "falls-short")] == []


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_each_sample_opens_with_its_story_and_a_line_for_editors(path: Path) -> None:
    first, second, *_ = path.read_text("utf-8").splitlines()
    assert first == "# yaml-language-server: $schema=../inspect_core/site/site.schema.json"
    assert "invented" in second
    assert "invented: true" in path.read_text("utf-8")


@pytest.mark.parametrize("path", SAMPLES, ids=name_of)
def test_same_bytes_every_time(path: Path, packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = (
        json.dumps([finding_data(r, f) for f in shown(r, Selection())])
        for r in (report_on(path, packs, monkeypatch), report_on(path, packs, monkeypatch))
    )
    assert first == second
