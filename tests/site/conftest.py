"""A small floor to change, as data."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import yaml

from inspect_core.engine.cases import edited
from inspect_core.site import Site, site_from_text

FLOOR: dict[str, Any] = {
    "format": 1,
    "units": "in",
    "site": {"name": "Geometry bench", "invented": True},
    "areas": [
        {
            "id": "floor",
            "outline": "96 x 120",
            "joists_run": "north-south",
            "supports": [
                {"id": "S1", "line": "sill", "surface": "wood", "at": -5.5, "width": 5.5},
                {"id": "B1", "line": "beam", "surface": "wood", "at": 60, "width": 4},
                {"id": "S2", "line": "sill", "surface": "wood", "at": 120, "width": 5.5},
            ],
            "joists": [
                {
                    "name": "J",
                    "from": "S1",
                    "over": ["B1"],
                    "to": "S2",
                    "at": "every 16 from 0 to 96",
                    "each": {"size": "2x8", "sizes": "nominal"},
                }
            ],
        }
    ],
}


@pytest.fixture
def floor() -> Callable[..., Site]:
    """Builds the site of the bench with values set and removed by path."""

    def build(changes: dict[str, Any] | None = None, removals: tuple[str, ...] = ()) -> Site:
        return site_from_text(yaml.safe_dump(edited(FLOOR, changes or {}, removals), sort_keys=False), "bench")

    return build
