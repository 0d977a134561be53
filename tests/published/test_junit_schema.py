"""The gate's JUnit XML against the strictest schema in use.

Schema: junit-10.xsd (MIT licence, copyright 2014 Gregory Boissinot, in the file), as shipped in pytest 9.0.0's source
distribution under testing/example_scripts, kept unchanged in data/.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import xmlschema

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.report import FORMATS, Selection
from inspect_core.site import load_site

SAMPLES = Path(__file__).parents[2] / "sample_sites"


@pytest.fixture(scope="module")
def schema() -> xmlschema.XMLSchema:
    return xmlschema.XMLSchema(str(Path(__file__).parent / "data" / "junit-10.xsd"))


def test_a_check_of_a_sample(schema: xmlschema.XMLSchema, packs: LoadedPacks) -> None:
    text = FORMATS["junit"](inspect(load_site(SAMPLES / "lock-cottage-found.site.yaml"), packs), Selection())
    schema.validate(text)
    with pytest.raises(xmlschema.XMLSchemaValidationError):  # so that it can fail
        schema.validate(text.replace("<testcase ", '<testcase line="3" ', 1))


def test_a_file_that_cannot_be_used(schema: xmlschema.XMLSchema, tmp_path: Path) -> None:
    (tmp_path / "a.site.yaml").write_text("format: 1\nunits: furlongs\nsite: {name: A}\n", "utf-8")
    command = [sys.executable, "-m", "inspect_core", "check", "a.site.yaml", "--format", "junit"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, timeout=120)
    assert done.returncode == 2
    schema.validate(done.stdout.decode())
    assert "a.site.yaml:2:8: " in done.stdout.decode()
