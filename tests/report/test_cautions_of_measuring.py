"""Where measuring itself is dangerous, its caution stands with what is still to be measured."""

from __future__ import annotations

from itertools import groupby

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.engine.stack import stack
from inspect_core.report import Selection
from inspect_core.report.text import render_text
from inspect_core.report.view import shown
from inspect_core.rules_api import API_VERSION, Caution, Pack
from inspect_core.site import site_from_text

NOTHING_KNOWN = "format: 1\nunits: in\nsite: {name: Bench, invented: true}\nareas: [{id: floor}]\n"
BEFORE = "Before you look and measure"


@pytest.fixture(scope="module")
def report(packs: LoadedPacks) -> Report:
    return inspect(site_from_text(NOTHING_KNOWN), packs)


def groups(text: str) -> dict[str, str]:
    """The report's text by hold point."""
    parts = text.split("\nHold point ")[1:]
    return {part.split(":")[0]: part for part in parts}


def test_the_caution_stands_once_in_each_group_that_asks_to_go_there(report: Report) -> None:
    text = groups(render_text(report, Selection()))
    asked = {
        point: any("crawl-space" in finding.rule.cautions for finding in found)
        for point, found in groupby(shown(report, Selection()), key=lambda f: f.rule.hold_point)
    }
    assert any(asked.values())
    assert not all(asked.values())
    for point, there in asked.items():
        lines = [line for line in text[point].splitlines() if line.startswith(BEFORE) and "crawl-space" in line]
        assert len(lines) == (1 if there else 0), point


def test_it_stands_before_what_is_to_be_measured_and_in_full_once(report: Report) -> None:
    text = render_text(report, Selection())
    caution = report.rules.cautions["crawl-space"].text
    assert " ".join(text.split()).count(" ".join(caution.split())) == 1
    first = groups(text)["under-floor"]
    assert first.index(BEFORE) < first.index("NOT MEASURED")
    assert max(map(len, text.splitlines())) <= 80


def test_a_caution_about_the_repair_alone_is_left_to_the_repair(report: Report) -> None:
    assert any("temporary-shoring" in finding.rule.cautions for finding in report.findings)
    assert "temporary-shoring" not in render_text(report, Selection())


def test_a_local_text_about_the_same_danger_stands_in_its_place(packs: LoadedPacks) -> None:
    local = Pack("town", "1", "Town", API_VERSION, cautions={"crawl-space": Caution("crawl-space", "Snakes.")})
    assert stack([*packs.packs, local]).cautions["crawl-space"] == Caution("crawl-space", "Snakes.", measuring=True)
