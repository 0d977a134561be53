"""Small floors, a stranger's pack that fails on request, and the gate started in this process or in one of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inspect_core.cli import main
from inspect_core.engine import LoadedPacks, chosen, load_packs
from inspect_core.engine.portfolio import changes, packs
from inspect_core.report.gate import site

Run = Callable[..., subprocess.CompletedProcess[bytes]]

FLOOR = """\
format: 1
units: in
site: {{name: {name}, invented: true, work: existing}}
areas:
  - id: hall
    use: hall
    outline: 48 in x 96 in
    joists_run: north-south
    supports:
      - {{id: S1, line: sill, rests_on: masonry, surface: wood, at: -5 1/2, width: 5 1/2}}
      - {{id: B1, line: beam, rests_on: piers, surface: wood, at: 96, width: 5 1/2, size: 6x8, sizes: true-dimension}}
    joists:
      - name: J
        from: S1
        to: B1
        at: every 16 from 0 to 48
        each: {{size: 2x8, sizes: nominal, holes: [], notches: [], cuts: [], bearing: {{S1: 3, B1: 3}}}}
        but:
          J2: {{bearing: {{S1: {bearing}, B1: 3}}}}
"""

# A pack whose one rule does what the site's name says: it fails, it takes the process with it, it talks.
PACK = '''
import os, signal, time
from inspect_core.rules_api import *

@rule("tricky-name", hold_point="under-floor", severity=CORRECTION, reference="tricky.x", quantity="name",
      remedy="Another name.", scope="site")
def tricky_name(site, limits):
    """Each site has a harmless name."""
    if "raises" in site.name:
        raise ValueError("this name is tricky")
    if "dies" in site.name:
        os.kill(os.getpid(), signal.SIGKILL)
    if "talks" in site.name:
        print("a pack that talks")
    if "waits" in site.name:
        time.sleep(60)
    yield fact(Named("name", ("site", "name")), True, expected="a harmless name")

@hookimpl
def inspect_pack():
    return Pack(id="tricky-pack", version="1", title="Tricky", api=API_VERSION, rules=(tricky_name,),
                references={"tricky.x": Reference("tricky.x", "Tricky Code 1")}, stands_on=("wood-floor-base",))
'''


@pytest.fixture(scope="session")
def floor() -> Callable[..., str]:
    """A floor of four joists; `bearing` is that of joist J2 on S1: 1 falls short (a correction), 3 does not."""

    def text(name: str = "Small floor", bearing: str = "3") -> str:
        return FLOOR.format(name=name, bearing=bearing)

    return text


@pytest.fixture
def sites(tmp_path: Path, floor: Callable[..., str]) -> Callable[..., Path]:
    """Writes floors below a folder: file name (without .site.yaml) = what `floor` takes, or a whole text."""

    def write(**files: dict[str, str] | str) -> Path:
        folder = tmp_path / "floors"
        for name, content in files.items():
            path = folder / f"{name.replace('__', '/')}.site.yaml"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(content if isinstance(content, str) else floor(**content), "utf-8")
        return folder

    return write


@pytest.fixture(scope="session")
def tricky(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the tricky pack is installed."""
    folder = tmp_path_factory.mktemp("tricky")
    (folder / "tricky_pack.py").write_text(PACK, "utf-8")
    info = folder / "tricky_pack-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: tricky_pack\nVersion: 1.0\n", "utf-8")
    (info / "entry_points.txt").write_text("[inspect_core.packs]\nlocal = tricky_pack\n", "utf-8")
    return folder


@pytest.fixture(scope="session")
def installed() -> LoadedPacks:
    """The installed packs, loaded once for all tests of this folder."""
    return load_packs()


@pytest.fixture
def gate(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsysbinary: pytest.CaptureFixture[bytes],
    installed: LoadedPacks,
) -> Run:
    """`inspect-core gate` with these arguments, in this process (one job), from `tmp_path`."""
    for module in (site, packs, chosen, changes):
        monkeypatch.setattr(module, "load_packs", lambda: installed)

    def start(*arguments: object, command: str = "gate") -> subprocess.CompletedProcess[bytes]:
        monkeypatch.chdir(tmp_path)
        jobs = () if command != "gate" or "--jobs" in arguments else ("--jobs", "1")
        with pytest.raises(SystemExit) as stop:
            main([command, *map(str, arguments), *jobs])
        assert isinstance(stop.value.code, int)
        printed = capsysbinary.readouterr()
        return subprocess.CompletedProcess(arguments, stop.value.code, printed.out, printed.err)

    return start


@pytest.fixture
def process(tmp_path: Path) -> Run:
    """`python -m inspect_core gate` with these arguments, in a process of its own, from `tmp_path`."""

    def start(*arguments: object, path: Path | None = None) -> subprocess.CompletedProcess[bytes]:
        search = [str(path)] if path is not None else []
        search += filter(None, [os.environ.get("PYTHONPATH")])
        return subprocess.run(
            [sys.executable, "-m", "inspect_core", "gate", *map(str, arguments)],
            capture_output=True,
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(search)},
            timeout=60,
            check=False,
        )

    return start


@pytest.fixture
def lines() -> Callable[[bytes], dict[str, Any]]:
    """The JSON lines of an output by file name."""

    def read(output: bytes) -> dict[str, Any]:
        found = [json.loads(line) for line in output.decode("utf-8").splitlines()]
        return {one["file"].removeprefix("floors/"): one for one in found}

    return read
