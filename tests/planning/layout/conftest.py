"""Rooms to lay sheets in: written as a site file, so that the layout sees what a user would give it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from inspect_core.engine import LoadedPacks, stack
from inspect_core.planning.layout import AreaLayout, lay_out
from inspect_core.rules_api import Limits
from inspect_core.site import Area, site_from_text

SITE = """\
format: 1
units: {units}
site: {{name: x, work: new, invented: true}}
areas:
  - id: a
    {room}
    joists_run: north-south
    supports:
      - {{id: S1, line: sill, at: {low}, width: 4, surface: wood}}
      - {{id: S2, line: sill, at: {high}, width: 4, surface: wood}}
    joists:
      - {{name: J, from: S1, to: S2, at: [{joists}], each: {{size: 2x8, sizes: nominal}}}}
    layers:
{layers}
{more}
"""
PANEL = "{id: L1, kind: panel, thickness: 23/32, joints: square, gap: 1/8, wall_gap: 1/4, attached_to: joists}"
MakeArea = Callable[..., Area]
Lay = Callable[..., AreaLayout]


@pytest.fixture(scope="session")
def limits(packs: LoadedPacks) -> Limits:
    """The base pack's limits."""
    return stack([pack for pack in packs.packs if pack.id == "wood-floor-base"]).limits


@pytest.fixture(scope="session")
def make_area() -> MakeArea:
    def make(
        room: str | Sequence[tuple[float, float]] = "112 x 94",
        joists: Sequence[float] | str = tuple(range(0, 113, 16)),
        layers: Sequence[str] = (PANEL,),
        more: str = "",
        units: str = "in",
        reach: tuple[float, float] = (-4, 94),
    ) -> Area:
        corners = room if isinstance(room, str) else None
        outline = (
            f"outline: {corners}" if corners else "corners: [" + ", ".join(f"[{x}, {y}]" for x, y in room) + "]"  # type: ignore[str-unpack]
        )
        places = joists if isinstance(joists, str) else ", ".join(f"{x:g}" for x in joists)
        text = SITE.format(
            units=units,
            room=outline,
            joists=places,
            layers="\n".join(f"      - {layer}" for layer in layers),
            more=more,
            low=reach[0],
            high=reach[1],
        )
        return site_from_text(text, "x").areas[0]

    return make


@pytest.fixture(scope="session")
def lay(make_area: MakeArea, limits: Limits) -> Lay:
    """Lays out the sheets of an area made from the same arguments."""

    def laid(*arguments: object, **named: object) -> AreaLayout:
        return lay_out(make_area(*arguments, **named), limits)

    return laid
