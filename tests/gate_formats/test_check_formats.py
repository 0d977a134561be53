"""`check --format sarif` and `check --format junit`: the gate's formats for one site."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, PackFailure, inspect
from inspect_core.report import FORMATS, Selection
from inspect_core.report.standard import from_here, unusable
from inspect_core.report.view import as_data
from inspect_core.site import InputError, load_site, site_from_text

FOUND = Path(__file__).parents[2] / "sample_sites" / "lock-cottage-found.site.yaml"


def run_of(text: str) -> dict[str, Any]:
    (run,) = json.loads(text)["runs"]
    assert isinstance(run, dict)
    return run


@pytest.mark.parametrize("selection", [Selection(), Selection("subfloor"), Selection(None, "stop-work")])
def test_results_are_the_open_findings_that_were_asked_for(packs: LoadedPacks, selection: Selection) -> None:
    report = inspect(load_site(FOUND), packs)
    data = as_data(report, selection)
    run = run_of(FORMATS["sarif"](report, selection))
    outcomes = data["summary"]["falls-short"] + data["summary"]["not-measured"]
    assert len(run["results"]) == outcomes > 0
    blocking = len(report.open_findings(selection.threshold, selection.hold_point))
    assert sum(one["properties"]["blocks"] for one in run["results"]) == blocking
    assert run["invocations"][0]["exitCode"] == report.exit_code(selection.threshold, selection.hold_point) == 1
    suite = ET.fromstring(FORMATS["junit"](report, selection).encode())[0]
    counted = data["summary"]["meets"] + outcomes + 1  # and that the site could be checked
    assert suite.get("tests") == str(counted)


def test_a_pack_that_failed(packs: LoadedPacks) -> None:
    loaded = LoadedPacks(packs.packs, (PackFailure("dist: x", "could not be loaded"),))
    run = run_of(FORMATS["sarif"](inspect(load_site(FOUND), loaded), Selection()))
    assert run["invocations"][0]["executionSuccessful"] is False and run["invocations"][0]["exitCode"] == 3
    assert run["results"][0]["ruleId"] == "pack-failed"
    assert run["results"][0]["message"]["text"] == "dist: x: could not be loaded"


@pytest.mark.parametrize("form", ["sarif", "junit"])
def test_a_file_that_cannot_be_used(form: str) -> None:
    with pytest.raises(InputError) as caught:
        site_from_text("format: 1\nunits: furlongs\nsite: {name: A}\n", "a.site.yaml")
    text = unusable(form, Path("a.site.yaml"), caught.value.problems)
    assert "'furlongs' is not known as 'units'" in text
    if form == "sarif":
        run = run_of(text)
        assert run["invocations"][0]["executionSuccessful"] is False
        lines = {one["locations"][0]["physicalLocation"]["region"]["startLine"] for one in run["results"]}
        assert 2 in lines and {one["ruleId"] for one in run["results"]} == {"site-unusable"}


def test_places_are_seen_from_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert from_here("a/../b.site.yaml") == "b.site.yaml"
    assert from_here(str(tmp_path / "sites" / "b.site.yaml")) == "sites/b.site.yaml"
    assert from_here("../b.site.yaml") == (tmp_path.parent / "b.site.yaml").as_posix()


def test_the_command(tmp_path: Path) -> None:
    (tmp_path / "a.site.yaml").write_text("format: 1\nunits: furlongs\n", "utf-8")
    command = [sys.executable, "-m", "inspect_core", "check", "a.site.yaml", "--format", "sarif"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, timeout=120)
    assert done.returncode == 2
    assert run_of(done.stdout.decode())["results"][0]["ruleId"] == "site-unusable"
    assert b"nothing was checked" in done.stderr
