"""The load path of a sample, as lines and as data: a line for each link, the weakest told, in the file's units."""

from __future__ import annotations

import dataclasses
import json
import math
from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect, load_packs
from inspect_core.report import Selection, render_json
from inspect_core.report.load_path import link_words, load_path_data, load_path_lines, use_words
from inspect_core.report.text import render_text
from inspect_core.rules_api import Limits
from inspect_core.site import load_site
from inspect_core.site.problems import columns

SAMPLES = Path(__file__).parents[2] / "sample_sites"


@pytest.fixture(scope="module")
def loaded() -> LoadedPacks:
    return load_packs()


@pytest.fixture(scope="module")
def repaired(loaded: LoadedPacks) -> Report:
    return inspect(load_site(SAMPLES / "lock-cottage-repaired.site.yaml"), loaded)


def test_it_stands_at_the_end_of_the_text_only_when_asked(repaired: Report) -> None:
    text = render_text(repaired, Selection(load_path=True))
    assert "Load path of wash-house, from tile to soil" in text
    assert "Load path" not in render_text(repaired, Selection())
    assert all(columns(line) <= 80 for line in text.splitlines())
    assert text.count("<< weakest link") == 1


def test_each_link_carries_what_arrives_from_the_one_above(repaired: Report) -> None:
    (area,) = load_path_data(repaired)
    links = {(link["place"], link["member"]): link for link in area["links"]}
    for pier, footing in (("PR1", "F1"), ("PR2", "F2"), ("PR3", "F3")):
        above, below = links["pier", pier], links["soil", f"under footing {footing}"]
        carried = float(below["carries"].split()[0].replace(",", ""))
        assert above["number"]["high"] < carried  # the pier's own weight comes on top
        assert below["in_use"]["high"] == pytest.approx(below["number"]["high"] / below["limit"]["low"])
    weakest = [link for link in area["links"] if link["weakest"]]
    assert len(weakest) == 1
    assert weakest[0]["in_use"]["high"] == max(link["in_use"]["high"] for link in area["links"] if link["in_use"])


def test_json_has_it_when_asked(repaired: Report) -> None:
    data = json.loads(render_json(repaired, Selection(load_path=True)))
    assert [area["area"] for area in data["load_path"]] == ["wash-house"]
    assert "load_path" not in json.loads(render_json(repaired, Selection()))


def test_a_metric_file_reads_kilonewtons(repaired: Report) -> None:
    metric = dataclasses.replace(repaired, site=dataclasses.replace(repaired.site, units="mm"))
    for inches, millimetres in zip(
        load_path_data(repaired)[0]["links"], load_path_data(metric)[0]["links"], strict=True
    ):
        factor = {"psf": 0.0478803, "lb": 0.00444822, "lb·in": 0.000112985, "in": 25.4}[inches["unit"]]
        if inches["number"] is not None:
            assert millimetres["number"]["high"] == pytest.approx(inches["number"]["high"] * factor, rel=1e-5)
        assert millimetres["in_use"] == inches["in_use"]
    assert {link["unit"] for link in load_path_data(metric)[0]["links"]} == {"kPa", "kN", "kN·m", "mm"}


def test_packs_without_structure_limits_say_so(repaired: Report) -> None:
    bare = dataclasses.replace(repaired, rules=dataclasses.replace(repaired.rules, limits=Limits({})))
    (link,) = load_path_data(bare)[0]["links"]
    assert "no pack that ran sets the limit" in link["why"]
    assert any("no pack that ran" in line for line in load_path_lines(bare))


def test_what_fails_and_what_nobody_knows_are_told_apart(loaded: LoadedPacks) -> None:
    found = inspect(load_site(SAMPLES / "lock-cottage-found.site.yaml"), loaded)
    links = load_path_data(found)[0]["links"]
    words = [f"{use_words(link)} {link_words(link)}" for link in links]
    assert any(line.startswith("fails") and "cut C1" in line and "weakest" in line for line in words)
    assert any(line.startswith("not known soil") for line in words)
    assert not any(math.isinf(end) for link in links for end in (link["in_use"] or {}).values() if end is not None)
