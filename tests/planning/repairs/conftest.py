"""A floor where everything meets, to break in one place and mend again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import LoadedPacks, inspect, load_packs
from inspect_core.engine.cases import as_yaml
from inspect_core.planning.repairs import Proposal, propose
from inspect_core.planning.repairs.proof import Prover
from inspect_core.planning.repairs.search import Search, in_force
from inspect_core.site import load_site, site_from_text

SAMPLES = Path(__file__).parents[3] / "sample_sites"


@pytest.fixture(scope="session")
def packs() -> LoadedPacks:
    loaded = load_packs()
    assert not loaded.failures
    return loaded


@pytest.fixture(scope="session")
def whole() -> dict[str, Any]:
    """Plain data of a floor in which nothing falls short; copy it before you change it."""
    data: dict[str, Any] = yaml.safe_load((SAMPLES / "lock-cottage-repaired.site.yaml").read_text("utf-8"))
    return data


@pytest.fixture(scope="session")
def cottage(packs: LoadedPacks) -> tuple[Proposal, str]:
    """Everything proposed for the sample floor with the most defects, and its file's text."""
    path = SAMPLES / "lock-cottage-found.site.yaml"
    return propose(load_site(path), packs), path.read_text("utf-8")


@pytest.fixture(scope="session")
def searched(packs: LoadedPacks) -> Callable[..., Search]:
    """Looks for repairs of some kinds (of all without any) in a site given as plain data."""

    def look(data: dict[str, Any], *kinds: str) -> Search:
        report = inspect(site_from_text(as_yaml(data)), packs)
        repairs, faults, _ = in_force(report)
        assert not faults
        search = Search(report, Prover(report, packs), [repairs[k] for k in kinds] if kinds else repairs.values())
        search.run()
        assert not search.failures
        return search

    return look
