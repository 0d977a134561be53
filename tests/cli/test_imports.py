"""Nothing heavy is imported before it's needed: what a fresh process brings in for help, and for a valid file."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from inspect_core.site.starter import starter

_IMPORTED = re.compile(r"^import time: +\d+ \| +\d+ \| +(\S+)$", re.MULTILINE)


def imported(folder: Path, *arguments: str) -> set[str]:
    """Every module that the command imports, by the interpreter's own account."""
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "inspect_core", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.returncode in (0, 1)
    found = set(_IMPORTED.findall(done.stderr))
    assert "inspect_core.cli.app" in found
    return found


def among(found: set[str], *names: str) -> list[str]:
    """Those of the modules that are, or are part of, one of the packages named."""
    return sorted(module for module in found if any(module == name or module.startswith(f"{name}.") for name in names))


def test_help_brings_in_nothing_but_the_command(tmp_path: Path) -> None:
    found = imported(tmp_path, "--help")
    ours = among(found, "inspect_core", "inspect_wood_floor")
    assert sorted({"inspect_core", *among(found, "inspect_core.cli")}) == ours
    assert (
        among(found, "jsonschema", "referencing", "rpds", "numpy", "yaml", "pluggy", "importlib.metadata", "csv") == []
    )


def test_a_valid_file_needs_no_words_for_errors(tmp_path: Path) -> None:
    (tmp_path / "floor.site.yaml").write_text(starter("in"), "utf-8")
    found = imported(tmp_path, "check", "floor.site.yaml")
    assert among(found, "inspect_wood_floor")  # the rules did run
    assert among(found, "jsonschema", "referencing", "rpds", "numpy", "inspect_core.site.explain", "difflib") == []
    # Nor does a check need what other commands print.
    assert among(found, "inspect_core.planning", "inspect_core.report.measure", "inspect_core.report.explain") == []
