"""The gate's SARIF against the published schema.

Schema: "Static Analysis Results Format (SARIF) Version 2.1.0-rtm.5 JSON Schema", as in lib/schemas of the npm package
@microsoft/jest-sarif 1.0.0-beta.0 (MIT licence; github.com/microsoft/sarif-js-sdk), kept unchanged in data/.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.report import FORMATS, Selection
from inspect_core.site import load_site

ROOT = Path(__file__).parents[2]
SAMPLES = [ROOT / "sample_sites" / f"{name}.site.yaml" for name in ("lock-cottage-found", "boat-house-shower")]


@pytest.fixture(scope="module")
def schema() -> jsonschema.Draft4Validator:
    text = (Path(__file__).parent / "data" / "sarif-2.1.0-rtm.5.schema.json").read_text("utf-8")
    jsonschema.Draft4Validator.check_schema(json.loads(text))
    return jsonschema.Draft4Validator(json.loads(text))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name.removesuffix(".site.yaml"))
def test_a_check_of_a_sample(sample: Path, schema: Any, packs: LoadedPacks) -> None:
    log = json.loads(FORMATS["sarif"](inspect(load_site(sample), packs), Selection()))
    assert list(schema.iter_errors(log)) == []


def test_a_portfolio_with_a_file_that_cannot_be_used(schema: Any, tmp_path: Path) -> None:
    (tmp_path / "a b.site.yaml").write_text("format: 1\nunits: furlongs\n", "utf-8")
    (tmp_path / "found.site.yaml").write_bytes((ROOT / "sample_sites" / "lock-cottage-found.site.yaml").read_bytes())
    command = [sys.executable, "-m", "inspect_core", "gate", ".", "--format", "sarif", "--jobs", "1"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, timeout=120)
    assert done.returncode == 2
    log = json.loads(done.stdout)
    assert list(schema.iter_errors(log)) == []
    assert {one["ruleId"] for one in log["runs"][0]["results"]} >= {"site-unusable", "joist-bearing"}


def test_the_schema_refuses_what_it_should(schema: Any, packs: LoadedPacks) -> None:
    """So that the tests above can fail."""
    log = json.loads(FORMATS["sarif"](inspect(load_site(SAMPLES[0]), packs), Selection()))
    log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] = 0
    assert not schema.is_valid(log)
