"""Every format on one small floor, whole, against the files in `golden/`.

After a change that is meant, write the files anew and read what `git diff` says of them::

    UPDATE_GOLDEN=1 pytest tests/report/test_golden_reports.py

Writing them is no pass: the tests fail that once.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

import inspect_core
from inspect_core.engine import Report, stack
from inspect_core.planning.measure import to_measure
from inspect_core.report import FORMATS, Selection
from inspect_core.report.explain import rule_list, rule_text
from inspect_core.report.measure import measure_text
from inspect_core.report.text import render_text
from inspect_core.site.problems import columns

GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture(autouse=True)
def fixed_version(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inspect_core, "__version__", "0.0.0")


def agrees(name: str, text: str) -> None:
    file = GOLDEN / name
    if os.environ.get("UPDATE_GOLDEN"):
        file.write_text(text, "utf-8")
        pytest.fail(f"{name} written; run again without UPDATE_GOLDEN")
    assert text == file.read_text("utf-8")


def in_80_columns(text: str) -> bool:
    return all(columns(line) <= 80 and line == line.rstrip() for line in text.split("\n"))


def test_text(floor: Report) -> None:
    text = render_text(floor, Selection())
    agrees("text.txt", text)
    assert in_80_columns(text)


def test_text_of_everything_in_millimetres(metric_floor: Report) -> None:
    text = render_text(metric_floor, Selection(), everything=True)
    agrees("text-all-mm.txt", text)
    assert in_80_columns(text)


def test_text_of_one_hold_point_with_advice(floor: Report) -> None:
    agrees("text-subfloor-advisory.txt", render_text(floor, Selection("subfloor", "advisory")))


def test_text_of_the_gravest_only(floor: Report) -> None:
    agrees("text-stop-work.txt", render_text(floor, Selection(severity="stop-work")))


@pytest.mark.parametrize("units", ["in", "mm"])
def test_json(units: str, floor: Report, metric_floor: Report) -> None:
    report = floor if units == "in" else metric_floor
    agrees(f"report-{units}.json", FORMATS["json"](report, Selection()))


def test_markdown(floor: Report) -> None:
    agrees("report.md", FORMATS["markdown"](floor, Selection()))


def test_what_to_measure(floor: Report) -> None:
    text = measure_text(floor, to_measure(floor))
    agrees("measure.txt", text)
    assert in_80_columns(text)


def test_explaining_a_rule(floor: Report) -> None:
    rules = stack(floor.rules.packs)
    found = rules.rule("bearing")
    assert found is not None
    text = rule_text(rules, found)
    agrees("explain-bearing.txt", text)
    assert in_80_columns(text)


def test_the_list_of_rules(floor: Report) -> None:
    agrees("explain-list.txt", rule_list(stack(floor.rules.packs)))


def test_the_same_bytes_every_time(floor: Report) -> None:
    for form in FORMATS.values():
        assert len({form(floor, Selection()) for _ in range(3)}) == 1


# --- colour ---


def test_colour_only_paints_the_outcomes(floor: Report) -> None:
    plain = render_text(floor, Selection(), everything=True)
    painted = render_text(floor, Selection(), everything=True, colour=True)
    colours = {"FALLS SHORT": 31, "NOT MEASURED": 33, "meets": 32, "does not apply": 2}
    expected = []
    for line in plain.split("\n"):
        word = next((w for w in colours if line.startswith(w + "  ")), None)
        expected.append(f"\x1b[{colours[word]}m{word}\x1b[0m{line.removeprefix(word)}" if word else line)
    assert painted.split("\n") == expected
    assert "\x1b" not in plain
