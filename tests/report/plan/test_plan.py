"""The plan drawing: XML that any reader takes, to scale, every finding in it, the same bytes each time.

After a change that is meant: ``UPDATE_GOLDEN=1 pytest tests/report/plan``, and look at the drawing itself.
"""

from __future__ import annotations

import os
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect, load_packs
from inspect_core.planning.layout import lay_out
from inspect_core.report import Selection
from inspect_core.report.plan import plan_svg
from inspect_core.report.view import shown
from inspect_core.rules_api import FALLS_SHORT
from inspect_core.site import load_site, site_from_text

SAMPLES = Path(__file__).parents[3] / "sample_sites"
GOLDEN = Path(__file__).parent / "golden"
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def loaded() -> LoadedPacks:
    return load_packs()


def sample(loaded: LoadedPacks, name: str) -> Report:
    return inspect(load_site(SAMPLES / f"{name}.site.yaml"), loaded)


def titles(svg: str) -> dict[str, ET.Element]:
    """Groups by their title."""
    found = {}
    for group in ET.fromstring(svg).iter(f"{SVG}g"):
        title = group.find(f"{SVG}title")
        if title is not None and title.text:
            found[title.text] = group
    return found


def middle(group: ET.Element) -> tuple[float, float]:
    box = group.find(f"{SVG}rect")
    assert box is not None
    x, y, width, height = (float(box.attrib[name]) for name in ("x", "y", "width", "height"))
    return x + width / 2, y + height / 2


@pytest.mark.parametrize("name", ["lock-cottage-found", "boat-house-shower"])
def test_it_is_the_drawing_that_was_looked_at(loaded: LoadedPacks, name: str) -> None:
    svg = plan_svg(sample(loaded, name), Selection())
    file = GOLDEN / f"{name}.svg"
    if os.environ.get("UPDATE_GOLDEN"):
        file.write_text(svg, "utf-8")
        pytest.fail(f"{name} written; look at it, and run again without UPDATE_GOLDEN")
    assert svg == file.read_text("utf-8")


@pytest.mark.parametrize("file", sorted(SAMPLES.glob("*.site.yaml")), ids=lambda file: file.name.split(".")[0])
def test_every_sample_is_valid_xml_and_lists_all_that_falls_short(loaded: LoadedPacks, file: Path) -> None:
    report = inspect(load_site(file), loaded)
    svg = plan_svg(report, Selection())
    root = ET.fromstring(svg)
    words = re.sub(r"\s+", " ", " ".join(text.text or "" for text in root.iter(f"{SVG}text")))
    for finding in shown(report, Selection()):
        if finding.outcome == FALLS_SHORT:
            assert f"{finding.check.subject.name}" in words
            assert finding.rule.id in words.replace("- ", "-")
    assert not list(root.iter(f"{SVG}script"))
    assert not [name for element in root.iter() for name in element.attrib if name.startswith("on") or "href" in name]


def test_it_is_to_scale(loaded: LoadedPacks) -> None:
    """Joists 16 in apart stand 16 in apart on paper at the scale that is printed."""
    svg = plan_svg(sample(loaded, "lock-cottage-found"), Selection())
    scale = int(re.search(r"Scale 1 : (\d+)", svg)[1])  # type: ignore[index]
    groups = titles(svg)
    first, second, fifth = (middle(groups[f"joist {name}"]) for name in ("J1", "J2", "J5"))
    assert second[0] - first[0] == pytest.approx(16 * 25.4 / scale, abs=0.02)
    assert fifth[0] - first[0] == pytest.approx(4 * 16 * 25.4 / scale, abs=0.02)
    root = ET.fromstring(svg)
    assert root.attrib["width"] == f"{float(root.attrib['viewBox'].split()[2]):.0f}mm"  # one unit is one millimetre


def test_north_is_up_whichever_way_the_joists_run(loaded: LoadedPacks) -> None:
    """The across tape starts in the west where joists run north-south, in the south where they run east-west."""
    upright = titles(plan_svg(sample(loaded, "lock-cottage-found"), Selection()))
    lying = titles(plan_svg(sample(loaded, "boat-house-shower"), Selection()))
    assert middle(upright["joist J1"])[0] < middle(upright["joist J2"])[0]
    assert middle(lying["joist J1"])[1] > middle(lying["joist J2"])[1]
    assert middle(upright["beam B1"])[1] < middle(upright["sill S1"])[1]  # B1 lies north
    assert middle(lying["beam B1"])[0] < middle(lying["beam B2"])[0]


def test_marks_stand_beside_what_they_are_about(loaded: LoadedPacks) -> None:
    groups = titles(plan_svg(sample(loaded, "lock-cottage-found"), Selection()))
    (mark,) = [group for title, group in groups.items() if title.startswith("joist J7, north end on B1: stop work")]
    dot = next(mark.iter(f"{SVG}circle"))
    end, sill = middle(groups["joist J7"]), middle(groups["sill S1"])
    assert float(dot.attrib["cx"]) == pytest.approx(end[0], abs=0.1)
    assert float(dot.attrib["cy"]) < end[1] < sill[1]


def test_nothing_with_a_place_says_so(loaded: LoadedPacks) -> None:
    report = inspect(site_from_text("format: 1\nunits: in\nsite: {name: Bench}\nareas: [{id: a}]\n"), loaded)
    assert "Nothing in this area has a place yet" in plan_svg(report, Selection())


def test_what_has_no_place_is_named(loaded: LoadedPacks) -> None:
    text = """
format: 1
units: in
site: {name: Bench}
areas:
  - id: a
    outline: 96 x 96
    joists_run: north-south
    supports: [{id: S1, line: sill, at: unknown}]
    joists: [{name: J, at: [0, 16], each: {size: 2x8}}]
    fixtures: [{id: T1, kind: toilet}]
    openings: [{id: O1, kind: hatch}]
    drains: [{id: D1}]
"""
    svg = plan_svg(inspect(site_from_text(text), loaded), Selection())
    words = " ".join(element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text"))
    assert "their places are not known: sill S1, toilet T1, opening O1, drain D1." in words


def test_names_stay_text(loaded: LoadedPacks) -> None:
    name = "</svg><script>x</script> &amp; ]]> \U0001f6bf"  # the reader takes no control characters
    text = f"format: 1\nunits: in\nsite: {{name: '{name}'}}\nareas: [{{id: a, name: '{name}'}}]\n"
    report = inspect(site_from_text(text), loaded)
    svg = plan_svg(report, Selection())
    root = ET.fromstring(svg)
    assert not list(root.iter(f"{SVG}script"))
    assert "</svg><script>x</script>" in " ".join(root.itertext())


def test_only_the_stage_and_the_areas_asked_for(loaded: LoadedPacks) -> None:
    report = sample(loaded, "toll-house")
    (passage,) = [area for area in report.site.areas if area.id == "passage"]
    svg = plan_svg(report, Selection(), [passage])
    assert "passage" in svg
    assert "scullery" not in svg
    tile = plan_svg(sample(loaded, "lock-cottage-found"), Selection("tile"))
    assert "joist-bearing" not in tile
    assert "tile-bond-surface" in tile


def test_marks_stay_on_the_sheet(loaded: LoadedPacks) -> None:
    """Thirty holes without a place on one joist: all are marked at the joist's middle."""
    holes = ", ".join("{diameter: 3, wood_above: 1/2, wood_below: 2}" for _ in range(30))
    text = (
        "format: 1\nunits: in\nsite: {name: x, work: new}\nareas:\n- id: a\n  outline: 40 x 40\n  joists_run: north-south\n"
        "  supports: [{id: S1, line: sill, at: 0, width: 3}, {id: S2, line: sill, at: 40, width: 3}]\n"
        "  joists: [{name: J, from: S1, to: S2, at: [0, 20, 38], each: {size: 2x6}, but: {J3: {holes: ["
        + holes
        + "]}}}]\n"
    )
    svg = ET.fromstring(plan_svg(inspect(site_from_text(text, "x"), loaded), Selection()))
    (group,) = (one for one in svg.iter(f"{SVG}g") if one.get("class") == "of-marks")
    places = [(float(one.get("x", 0)), float(one.get("y", 0))) for one in group.iter(f"{SVG}text")]
    assert len(places) > 30 and len(set(places)) == len(places)
    assert max(x for x, _ in places) < 190


def test_a_floor_of_one_sheet_with_a_long_name(loaded: LoadedPacks) -> None:
    name = "Small room beside the stairs, over the old larder, as found behind the panelling in the second survey"
    text = (
        f"format: 1\nunits: in\nsite: {{name: x, work: new}}\nareas:\n- id: a\n  name: {name}\n  outline: 40 x 40\n"
        "  joists_run: north-south\n  supports: [{id: S1, line: sill, at: 0, width: 3}, {id: S2, line: sill, at: 40, width: 3}]\n"
        "  joists: [{name: J, from: S1, to: S2, at: every 20 from 0 to 40, each: {size: 2x6}}]\n"
        "  layers: [{id: L1, kind: panel, rating: 24oc, thickness: 23/32, sheet: 48 x 96, gap: 1/8, wall_gap: 1/2}]\n"
    )
    report = inspect(site_from_text(text, "x"), loaded)
    layout = lay_out(report.site.areas[0], report.rules.limits)
    svg = plan_svg(report, Selection(), layouts=[layout])
    found = [(element.get("class"), element.text or "") for element in ET.fromstring(svg).iter(f"{SVG}text")]
    assert any(words.startswith("1 sheet, ") for _, words in found)
    heads = [words for kind, words in found if kind == "title"]
    assert " ".join(heads).endswith(f"{name}: panels of layer L1") and max(map(len, heads)) < 80
