"""The work order: everything open is in it, what must come first comes first, the same each time."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from markdown_it import MarkdownIt

from inspect_core.cli.app import cli
from inspect_core.engine import LoadedPacks, Report, inspect, load_packs
from inspect_core.planning.sequence import Stage, work_order
from inspect_core.report.sequence import sequence_data, sequence_markdown, sequence_text
from inspect_core.rules_api import CORRECTION
from inspect_core.site import load_site, site_from_text
from inspect_core.site.problems import columns

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))
NAMES = [file.name.split(".")[0] for file in SAMPLES]


@pytest.fixture(scope="module")
def loaded() -> LoadedPacks:
    return load_packs()


@pytest.fixture(scope="module", params=SAMPLES, ids=NAMES)
def report(request: pytest.FixtureRequest, loaded: LoadedPacks) -> Report:
    return inspect(load_site(request.param), loaded)


def steps(stages: tuple[Stage, ...]) -> list[tuple[Stage, int]]:
    return [(stage, step.number) for stage in stages for step in stage.steps]


def test_all_that_is_open_is_in_it(report: Report) -> None:
    open_now = {(f.rule.id, f.subject) for f in report.open_findings(CORRECTION)}
    held = {
        (rule, subject)
        for stage in work_order(report)
        for step in stage.steps
        for rule in step.rules
        for subject in step.subjects
    }
    assert open_now <= held


def test_steps_are_numbered_in_order_and_name_only_earlier_ones(report: Report) -> None:
    stages = work_order(report)
    every = [step for stage in stages for step in stage.steps]
    assert [step.number for step in every] == list(range(1, len(every) + 1))
    assert all(earlier < step.number for step in every for earlier in step.after)
    assert all(step.after for step in every[1:] if step.kind not in ("hazard", "paper", "measure", every[0].kind))


def test_what_may_hurt_someone_comes_before_all_else(report: Report) -> None:
    stages = work_order(report)
    dangers = {f.rule.id for f in report.open_findings("stop-work") if f.outcome == "falls-short"}
    if dangers:
        assert {rule for step in stages[0].steps for rule in step.rules} == dangers
        assert stages[0].hold_point == "before anything else"
    else:
        assert stages[0].hold_point == "under-floor"


def test_stages_are_the_hold_points(report: Report) -> None:
    points = [stage.hold_point for stage in work_order(report) if stage.hold_point != "before anything else"]
    assert tuple(points) == report.rules.hold_points
    states = report.hold_points(CORRECTION)
    for stage in work_order(report):
        if stage.hold_point in states:
            assert (stage.open, stage.released) == (states[stage.hold_point].open, states[stage.hold_point].released)


FLOOR = """
format: 1
units: in
site: {name: Bench, stage: planned, invented: true}
areas:
  - id: a
    outline: 96 x 96
    joists_run: north-south
    supports: [{id: S1, line: sill, at: 0, width: 6}, {id: B1, line: beam, at: 90, width: 6}]
    joists: [{name: J, from: S1, to: B1, at: [0, 16], each: {size: 2x8, work: new, sisters: [{size: 2x8, work: new}]}}]
    piers: [{id: P1, under: B1, at: 0, work: new}]
    footings: [{id: F1, work: new}]
    blocking: [{id: K1, between: [J1, J2], along: 40, work: new}]
    drains: [{id: D1, work: new}]
    layers:
      - {id: L1, kind: panel, work: new}
      - {id: L2, kind: membrane, work: new}
      - {id: L3, kind: self-leveling, work: new}
      - {id: L4, kind: thin-set, work: new}
      - {id: L5, kind: tile, work: new}
    fixtures: [{id: T1, kind: toilet, work: new}]
"""


def built(loaded: LoadedPacks, text: str) -> list[tuple[str, str]]:
    stages = work_order(inspect(site_from_text(text), loaded))
    return [(stage.hold_point, step.what) for stage in stages for step in stage.steps if step.action == "build"]


def test_new_work_is_built_from_the_soil_up_and_layers_in_the_order_of_the_file(loaded: LoadedPacks) -> None:
    assert built(loaded, FLOOR) == [
        ("under-floor", "Build footing F1"),
        ("under-floor", "Build pier P1"),
        ("under-floor", "Put in joist J1, joist J2, sister 1 of joist J1, sister 1 of joist J2"),
        ("under-floor", "Put in blocking K1"),
        ("rough-plumbing", "Run drain D1"),
        ("subfloor", "Lay layer L1 (panel)"),
        ("wet-area", "Lay layer L2 (membrane)"),
        ("wet-area", "Lay layer L3 (self-leveling)"),
        ("tile", "Lay layer L4 (thin-set)"),
        ("tile", "Lay layer L5 (tile)"),
        ("final", "Set toilet T1"),
    ]


def test_a_floor_that_is_built_has_nothing_left_to_build(loaded: LoadedPacks) -> None:
    assert built(loaded, FLOOR.replace("stage: planned", "stage: built")) == []


def test_text_fits_and_says_each_caution_once(report: Report) -> None:
    text = sequence_text(report, work_order(report))
    assert all(columns(line) <= 80 and line == line.rstrip() for line in text.splitlines())
    for key in report.rules.cautions:
        assert text.count(f"Caution ({key}):") <= 1


def test_markdown_has_a_box_for_each_step(report: Report) -> None:
    stages = work_order(report)
    text = sequence_markdown(report, stages)
    pictures = sum(len(stage.pictures) + bool(stage.pictures) for stage in stages)
    assert text.count("- [ ] ") == len(steps(stages)) + pictures
    tokens = MarkdownIt().parse(text)
    assert sum(token.type == "heading_open" and token.tag == "h2" for token in tokens) == len(stages)


def test_data_is_the_same_each_time(report: Report) -> None:
    first, second = (json.dumps(sequence_data(report, work_order(report))) for _ in range(2))
    assert first == second


def test_command(tmp_path: Path) -> None:
    out = tmp_path / "order.md"
    done = CliRunner().invoke(cli, ["sequence", str(SAMPLES[0]), "--format", "markdown", "-o", str(out)])
    assert done.exit_code == 0
    assert out.read_text("utf-8").startswith("# Work order: ")
