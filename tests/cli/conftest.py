"""A stranger's pack installed beside the base pack, its own hold point included; and two ways to start the command.

`run` calls it in this process, as its console script would: that is fast. `process` is a process of its own: that is
real.
"""

from __future__ import annotations

import functools
import itertools
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import inspect_wood_floor
import pytest

from inspect_core.cli import main
from inspect_core.rules_api import load_data

PACK = '''
from inspect_core.quantities import Dimension, exactly
from inspect_core.rules_api import *

@rule("tiny-support", hold_point="tiny-stage", severity=CORRECTION, reference="tiny.x", quantity="width",
      limits=["tiny-width"], measures=["support.width"], remedy="Widen it.")
def tiny_support(area, limits):
    """Each support is wide enough."""
    for support in area.supports or ():
        yield check(named(support), measured=support.width, at_least=limits["tiny-width"])

@rule("tiny-advice", hold_point="tiny-stage", severity=ADVISORY, reference="tiny.x", quantity="place",
      measures=["support.at"], remedy="Move it.")
def tiny_advice(area, limits):
    """Each support stands somewhere."""
    for support in area.supports or ():
        yield fact(named(support), True if support.at else None, expected="a place")

@hookimpl
def inspect_pack():
    width = LimitDef("tiny-width", "Least width", Dimension.LENGTH, {"": exactly(4.0, Dimension.LENGTH)}, "invented",
                     "computed", set_by="tiny-pack")
    return Pack(id="tiny-pack", version="3.2", title="Tiny", api=API_VERSION, rules=(tiny_support, tiny_advice),
                limits={"tiny-width": width}, references={"tiny.x": Reference("tiny.x", "Tiny Code 1", adopted=True)},
                hold_points=("tiny-stage",), stands_on=("wood-floor-base",))
'''

Run = Callable[..., subprocess.CompletedProcess[bytes]]


@pytest.fixture(scope="session")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes a folder that looks to Python as if a distribution with this pack were installed there."""
    numbers = itertools.count()

    def make(source: str) -> Path:
        name = f"strangers_pack_{next(numbers)}"
        folder = tmp_path_factory.mktemp("installed")
        (folder / f"{name}.py").write_text(source, "utf-8")
        info = folder / f"{name}-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n", "utf-8")
        (info / "entry_points.txt").write_text(f"[inspect_core.packs]\nlocal = {name}\n", "utf-8")
        return folder

    return make


@pytest.fixture(scope="session")
def tiny(installed: Callable[[str], Path]) -> Path:
    """Where the stranger's pack is installed."""
    return installed(PACK)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]) -> Run:
    """`inspect-core` with these arguments, in this process, from an empty folder."""

    def start(*arguments: str, path: Path | None = None) -> subprocess.CompletedProcess[bytes]:
        monkeypatch.chdir(tmp_path)
        with monkeypatch.context() as patch:
            if path is not None:
                patch.syspath_prepend(str(path))
            with pytest.raises(SystemExit) as stop:
                main(list(arguments))
        assert isinstance(stop.value.code, int)
        printed = capsysbinary.readouterr()
        return subprocess.CompletedProcess(arguments, stop.value.code, printed.out, printed.err)

    return start


@pytest.fixture
def process(tmp_path: Path) -> Run:
    """`python -m inspect_core` with these arguments, in a process of its own, from an empty folder."""

    def start(*arguments: str, path: Path | None = None, **environment: str) -> subprocess.CompletedProcess[bytes]:
        inherited = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "NO_COLOR", "FORCE_COLOR")}
        search = {"PYTHONPATH": str(path)} if path is not None else {}
        return subprocess.run(
            [sys.executable, "-m", "inspect_core", *arguments],
            capture_output=True,
            cwd=tmp_path,
            env={**inherited, **search, **environment},
            timeout=60,
        )

    return start


_read_once = functools.cache(load_data)


@pytest.fixture(autouse=True)
def base_pack_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading the base pack's data takes much of the time of a command on a small file, and never changes here."""
    monkeypatch.setattr(inspect_wood_floor, "load_data", _read_once)
