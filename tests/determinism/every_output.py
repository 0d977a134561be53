"""Every output that machines read, as a digest of its bytes: ``python every_output.py [--jobs N] [--reversed]``.

Run by test_determinism.py under other hash seeds, time zones and languages, and by the gate under other Pythons: the
digests must be the same. It works in a new folder; `--reversed` writes and names the files there in another order.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import os
import sys
import tempfile
from contextlib import redirect_stderr
from pathlib import Path

from inspect_core import report
from inspect_core.cli import main

SAMPLES = Path(__file__).parents[2] / "sample_sites"
SITES = ("lock-cottage-found", "boat-house-shower", "mill-kitchen-survey")
FORMATS = ("text", *report.FORMATS)
VARIANCES = """\
format: 1
variances:
  - {rule: joist-bearing, subject: nobody, site: floors/lock-cottage-found.site.yaml, reason: r, granted_by: g, paper: p,
     until: 2030-01-01}
"""
SPAN = {
    "size": "2x8", "species": "douglas-fir-larch", "grade": "No.2", "spacing": "16", "live": "40", "dead": "10",
    "format": "json",
}  # fmt: skip


def commands(jobs: str, files: list[str]) -> dict[str, list[str]]:
    """The commands by the name of their output."""
    first = f"floors/{SITES[0]}.site.yaml"
    granted = ["--variances", "variances.yaml", "--today", "2026-01-01"]
    gate = ["gate", *files, "--jobs", jobs, *granted]
    return {
        **{f"check {form}": ["check", first, *granted, "--format", form, "--show-working"] for form in FORMATS},
        "measure": ["measure", first, "--format", "json"],
        "sequence": ["sequence", first],
        "sequence json": ["sequence", first, "--format", "json"],
        "draw": ["draw", first],
        "takeoff": ["takeoff", f"floors/{SITES[2]}.site.yaml", "--format", "json"],
        "repair": ["repair", f"floors/{SITES[2]}.site.yaml", "--format", "json"],
        "packet": ["packet", first, "-o", "out"],
        "explain": ["explain", "--format", "json"],
        "provisions": ["explain", "--provisions", "--format", "json"],
        "schema": ["schema"],
        "span": ["span", *(f"--{name}={value}" for name, value in SPAN.items())],
        "gate json-lines": [*gate, "--format", "json-lines"],
        "gate text": gate,
    }


def output_of(arguments: list[str]) -> tuple[int, bytes]:
    """Exit code and standard output, or what was written with -o."""
    if arguments[0] == "packet" and not Path("out").exists():
        Path("out").touch()
        code, _ = output_of(arguments)
        return code, Path("out").read_bytes()
    kept, sys.stdout = sys.stdout, io.TextIOWrapper(io.BytesIO(), encoding="utf-8")
    try:
        with redirect_stderr(io.StringIO()) as complaints:
            main(arguments)
    except SystemExit as stop:
        code = int(stop.code or 0)
    finally:
        written, sys.stdout = sys.stdout, kept
    written.flush()
    data = written.buffer.getvalue()  # type: ignore[attr-defined]
    assert code in (0, 1), (arguments, code, complaints.getvalue())
    assert data or arguments[0] == "packet", arguments
    return code, data


def digests(jobs: str, backwards: bool) -> dict[str, str]:
    """Name of the output -> exit code and digest."""
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        Path("floors").mkdir()
        names = sorted(SITES, reverse=backwards)
        for name in names:
            Path(f"floors/{name}.site.yaml").write_bytes((SAMPLES / f"{name}.site.yaml").read_bytes())
        Path("variances.yaml").write_text(VARIANCES, "utf-8")
        files = [f"floors/{name}.site.yaml" for name in names]
        found = {}
        for name, arguments in commands(jobs, files).items():
            code, data = output_of(arguments)
            found[name] = f"{code} {hashlib.sha256(data).hexdigest()}"
        os.chdir("/")
    return found


if __name__ == "__main__":
    options = argparse.ArgumentParser()
    options.add_argument("--jobs", default="1")
    options.add_argument("--reversed", action="store_true")
    given = options.parse_args()
    print(json.dumps(digests(given.jobs, given.reversed), indent=1))
