"""The working of a calculation: under its finding in text, and in each finding's data."""

from __future__ import annotations

import json
import math

import pytest

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engineering.working import Step
from inspect_core.report import Selection, render_json
from inspect_core.report.text import render_text
from inspect_core.report.working import steps_of, working_data, working_lines
from inspect_core.site import site_from_text
from inspect_core.site.problems import columns

SITE = """
format: 1
units: in
site: {name: Figures bench, invented: true}
areas:
  - id: floor
    use: bathroom
    finish: ceramic-tile
    outline: 65 1/2 x 96
    joists_run: north-south
    supports:
      - {id: S1, line: sill, surface: wood, at: -5 1/2, width: 5 1/2}
      - {id: B1, line: beam, surface: wood, at: 96, width: 6}
    joists:
      - {name: J, from: S1, to: B1, at: [3/4, 32 3/4, 64 3/4], each: {size: 2x8, sizes: nominal}}
    openings: []
    layers:
      - {kind: panel, material: osb, rating: 16oc, strong_axis: across-joists, spans_crossed: 2, joints: blocked}
"""
LONG = Step("Δ", "w l⁴ / (1743 EI)", "60 × 30.75⁴ / (1743 × 150000) " * 3, 0.2052, "in", "panel design specification")


def test_text_shows_it_under_its_finding_only_when_asked(packs: LoadedPacks) -> None:
    report = inspect(site_from_text(SITE, "bench"), packs)
    plain = render_text(report, Selection())
    shown = render_text(report, Selection(), show_working=True)
    assert "Working" not in plain
    added = [line for line in shown.splitlines() if line not in plain.splitlines()]
    assert "  Working, in inches and pounds:" in added
    assert max(map(columns, shown.splitlines())) <= 80
    after = shown.partition("Rule subfloor-stiffness")[2]
    flat = " ".join(after.split())
    assert "w = live + dead = 40 + 20 = 60 psf" in flat
    assert "Δ = w l⁴ / (1743 EI) = 60 × 30.75⁴ / (1743 × 150000) = 0.2052 in [panel design specification" in flat
    assert "L/Δ = L / Δ = 32 / 0.2052 = 156 [L is the joist spacing]" in flat


def test_everything_else_stays_as_it_was(packs: LoadedPacks) -> None:
    report = inspect(site_from_text(SITE, "bench"), packs)
    plain = render_text(report, Selection(), everything=True).splitlines()
    shown = iter(render_text(report, Selection(), everything=True, show_working=True).splitlines())
    assert all(line in shown for line in plain)  # in this order


def test_json_has_it_in_every_finding(packs: LoadedPacks) -> None:
    data = json.loads(render_json(inspect(site_from_text(SITE, "bench"), packs), Selection()))
    assert all(isinstance(finding["working"], list) for finding in data["findings"])
    found = {finding["rule"]: finding for finding in data["findings"]}
    assert found["joist-spacing"]["working"] == []
    first = found["subfloor-stiffness"]["working"][0]
    assert first == {
        "symbol": "w",
        "formula": "live + dead",
        "numbers": "40 + 20",
        "result": 60.0,
        "unit": "psf",
        "clause": "loads of the packs in force",
    }


@pytest.mark.parametrize("indent", ["", "    "])
def test_a_long_step_is_broken_after_its_formula(indent: str) -> None:
    lines = working_lines([LONG], indent)
    assert lines[0] == f"{indent}Δ = w l⁴ / (1743 EI)"
    assert lines[1].startswith(f"{indent}    = 60 ×")
    assert max(map(columns, lines)) <= 80
    assert " ".join(" ".join(lines).split()) == " ".join(str(LONG).split())


def test_a_short_step_stands_on_one_line() -> None:
    step = Step("S", "b d²/6", "1.5 × 7.25²/6", 13.140625, "in³", "statics")
    assert working_lines([step]) == ["S = b d²/6 = 1.5 × 7.25²/6 = 13.14 in³  [statics]"]


def test_no_number_is_null_in_json() -> None:
    assert working_data([Step("L", "", "no load", math.inf, "in", "")])[0]["result"] is None


@pytest.mark.parametrize("hung", [None, "text", 7, {"a": 1}, (), ("step",)])
def test_what_is_no_working_shows_nothing(hung: object) -> None:
    assert steps_of(hung) == ()
