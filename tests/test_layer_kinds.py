"""Each kind of layer that a site may name is known wherever every layer is asked: its weight, its place in the work."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import inspect_core
from inspect_core.engineering.tables import read_rows
from inspect_core.site import schema

CORE = Path(inspect_core.__file__).parent
KINDS = [kind for kind in schema()["$defs"]["layer"]["properties"]["kind"]["enum"] if kind != "unknown"]


@pytest.fixture(scope="module")
def weighed() -> set[str]:
    """Kinds that have a weight whatever they are made of."""
    return {row["kind"] for row in read_rows(CORE / "structure" / "data" / "layers.csv") if not row["material"]}


@pytest.mark.parametrize("kind", KINDS)
def test_it_has_a_weight(kind: str, weighed: set[str]) -> None:
    assert kind in weighed


@pytest.mark.parametrize("kind", KINDS)
def test_it_has_its_place_in_the_work_order(kind: str) -> None:
    order = yaml.safe_load((CORE / "planning" / "sequence" / "order.yaml").read_text("utf-8"))
    assert order["layers"][kind] in order["kinds"]
