"""A bench for floors: joists from S1 to S2, described to the end, and the limits of the installed packs."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Limits
from inspect_core.site import Area, site_from_text

JOIST: dict[str, Any] = {
    "size": "2x8",
    "sizes": "nominal",
    "kind": "sawn",
    "species": "douglas-fir-larch",
    "grade": "No.2",
    "moisture": 15,
    "bearing": {"S1": 3.5, "S2": 3.5},
    "holes": [],
    "notches": [],
    "cuts": [],
    "condition": [],
    "sisters": [],
}
AREA: dict[str, Any] = {
    "id": "floor",
    "use": "bathroom",
    "finish": "resilient",
    "outline": "64 x 144",
    "joists_run": "north-south",
    "supports": [
        {"id": "S1", "line": "sill", "surface": "wood", "rests_on": "masonry", "at": -5.5, "width": 5.5},
        {"id": "S2", "line": "sill", "surface": "wood", "rests_on": "masonry", "at": 144, "width": 5.5},
    ],
    "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0, 16, 32, 48, 64], "each": JOIST}],
    "layers": [{"kind": "panel", "weight": "10 psf"}],
    "fixtures": [],
    "partitions": [],
}

Bench = Callable[..., Area]


@pytest.fixture(scope="session")
def limits(packs: LoadedPacks) -> Limits:
    return stack(packs.packs).limits


@pytest.fixture(scope="session")
def bench() -> Bench:
    """``bench(change)``: the area of a site after ``change`` was let loose on a copy of it (and ``units``)."""

    def build(change: Callable[[dict[str, Any]], None] | None = None, units: str = "in") -> Area:
        area = copy.deepcopy(AREA)
        if change is not None:
            change(area)
        site = {"format": 1, "units": units, "site": {"name": "bench", "invented": True}, "areas": [area]}
        return site_from_text(json.dumps(site)).areas[0]

    return build
