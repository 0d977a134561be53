"""The same bytes from every Python: each output that machines read, under this one and under the newest other at hand.

Looks for python3.11 and later on the path and in ~/.pyenv/versions, installs the project into a new environment of the
newest that differs from this one, and compares digests. Says so where there is none; exits with 1 where bytes differ.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parents[1]
SCRIPT = HERE / "tests" / "determinism" / "every_output.py"


def others() -> dict[tuple[int, int], str]:
    """The interpreters that run, by version, without this one's."""
    names = [shutil.which(f"python3.{minor}") for minor in range(11, 20)]
    names += map(str, Path.home().glob(".pyenv/versions/3.*/bin/python3"))
    found = {}
    for name in filter(None, names):
        said = subprocess.run([name, "--version"], capture_output=True, text=True, check=False).stdout
        version = re.match(r"Python (\d+)\.(\d+)\.\d+$", said.strip())
        if version and (3, 11) <= (number := (int(version[1]), int(version[2]))) != sys.version_info[:2]:
            found.setdefault(number, name)
    return found


def digests(python: str | Path) -> dict[str, str]:
    """What every_output.py prints under an interpreter."""
    done = subprocess.run([str(python), str(SCRIPT)], capture_output=True, text=True, check=False)
    if done.returncode:
        sys.exit(f"{python} failed:\n{done.stderr}")
    found: dict[str, str] = json.loads(done.stdout)
    return found


def main() -> None:
    found = others()
    if not found:
        print("no other Python from 3.11 on is at hand: bytes were not compared between versions")
        return
    number = max(found)
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([found[number], "-m", "venv", folder], check=True)
        python = Path(folder) / ("Scripts" if os.name == "nt" else "bin") / "python"
        installed = subprocess.run([python, "-m", "pip", "install", "-qq", "-e", HERE], check=False)
        if installed.returncode:
            print(f"the project could not be installed for Python {number[0]}.{number[1]}: bytes were not compared")
            return
        here, there = digests(sys.executable), digests(python)
    different = [name for name in here if here[name] != there[name]]
    if different:
        sys.exit(f"Python {number[0]}.{number[1]} gives other bytes for: {', '.join(different)}")
    print(f"{len(here)} outputs are the same bytes under Python {number[0]}.{number[1]}")


main()
