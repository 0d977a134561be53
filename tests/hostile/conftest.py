"""Which files were opened while a test ran, and a stranger's pack of a few lines."""

from __future__ import annotations

import functools
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import inspect_wood_floor
import pytest

from inspect_core.rules_api import load_data

_opened: list[str] | None = None


def _note(event: str, arguments: tuple[object, ...]) -> None:
    if _opened is not None and event == "open" and isinstance(arguments[0], str | bytes):
        _opened.append(os.fsdecode(arguments[0]))


sys.addaudithook(_note)  # for good: a hook can't be taken away, so there is one, and it mostly does nothing


@pytest.fixture
def opened() -> Iterator[Callable[[], list[str]]]:
    """Every file that this process has opened since the test began."""
    global _opened
    _opened = []
    yield lambda: list(_opened or ())
    _opened = None


_read_once = functools.cache(load_data)


@pytest.fixture(autouse=True)
def base_pack_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading the base pack's data takes much of the time of a command on a small file, and never changes here."""
    monkeypatch.setattr(inspect_wood_floor, "load_data", _read_once)


@pytest.fixture
def installed(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes a folder that looks to Python as if a distribution with this pack were installed there."""

    def make(source: str) -> Path:
        folder = tmp_path_factory.mktemp("installed")
        (folder / "odd_pack.py").write_text(source, "utf-8")
        info = folder / "odd_pack-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text("Metadata-Version: 2.1\nName: odd_pack\nVersion: 1.0\n", "utf-8")
        (info / "entry_points.txt").write_text("[inspect_core.packs]\nlocal = odd_pack\n", "utf-8")
        return folder

    return make


@pytest.fixture
def process(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """`python -m inspect_core` with these arguments, in a process of its own, from an empty folder."""

    def start(*arguments: str, stdout: Any = subprocess.PIPE, **environment: str) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [sys.executable, "-m", "inspect_core", *arguments],
            stdin=subprocess.DEVNULL,
            stdout=stdout,
            stderr=subprocess.PIPE,
            cwd=tmp_path,
            env={**os.environ, **environment},
            timeout=120,
            check=False,
        )

    return start
