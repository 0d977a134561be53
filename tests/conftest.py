"""Shared by all tests: the installed packs, and a word for whoever forgot to install."""

from __future__ import annotations

import importlib.metadata
import os

import pytest
from hypothesis import settings

from inspect_core.engine import LoadedPacks, load_packs

if not importlib.metadata.entry_points(group="inspect_core.packs"):
    pytest.exit("the project is not installed: run pip install -e '.[dev]'", returncode=4)

# The same examples each time, so that a commit passes or fails for good; HYPOTHESIS_PROFILE=default draws new ones.
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


@pytest.fixture(scope="session")
def packs() -> LoadedPacks:
    loaded = load_packs()
    assert loaded.failures == ()
    return loaded
