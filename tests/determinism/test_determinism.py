"""The same input gives the same bytes: whatever the seed of hashes, the time zone, the language, the terminal, the number
of processes, and the order in which files were written and named."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

SCRIPT = Path(__file__).with_name("every_output.py")
SETTINGS: dict[str, tuple[tuple[str, ...], dict[str, str]]] = {
    "plain": ((), {"PYTHONHASHSEED": "0", "TZ": "UTC", "LC_ALL": "C.UTF-8"}),
    "seed 1, another zone, no language, two processes, other order": (
        ("--jobs", "2", "--reversed"),
        {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0"},
    ),
    "any seed, another zone, another language, a terminal": (
        (),
        {"PYTHONHASHSEED": "random", "TZ": "America/St_Johns", "LC_ALL": "", "LANG": "de_DE.UTF-8", "COLUMNS": "40",
         "TERM": "xterm-256color", "FORCE_COLOR": "1", "PYTHONOPTIMIZE": "1"},
    ),
}  # fmt: skip


def test_the_same_bytes_under_every_setting(tmp_path: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "COV_", "NO_COLOR"))}
    started = {
        name: subprocess.Popen(
            [sys.executable, str(SCRIPT), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            cwd=tmp_path,
            env={**kept, **setting},
        )
        for name, (options, setting) in SETTINGS.items()
    }
    found = {}
    for name, process in started.items():
        output, complaints = process.communicate(timeout=300)
        assert process.returncode == 0, complaints.decode()
        found[name] = json.loads(output)
    plain = found.pop("plain")
    assert len(plain) == 18
    assert len(set(plain.values())) == len(plain)
    for name, digests in found.items():
        assert {key: value for key, value in digests.items() if value != plain[key]} == {}, name
