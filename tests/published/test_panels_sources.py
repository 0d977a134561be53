"""The computed subfloor, through the rules, against what is printed of panels on joists and of tile floors."""

from __future__ import annotations

import json
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engineering.panels import span_ratings
from inspect_core.quantities import Quantity
from inspect_core.rules_api import FALLS_SHORT, MEETS, Check
from inspect_core.site import site_from_text

TILE_MANUAL_POINT = 400  # x of L/x, "about"
APART = ("60/32", "48oc")  # no capacities are published for the one; for the other see below


def floor(
    packs: LoadedPacks, spacing: float, *layers: dict[str, Any], finish: str = "ceramic-tile"
) -> dict[str, Check]:
    """What the three rules say of a floor with joists of 1 1/2 in at one spacing."""
    places = [0.75 + n * spacing for n in range(4)]
    panel = {"kind": "panel", "strong_axis": "across-joists", "spans_crossed": 3, "joints": "tongue-and-groove"}
    area = {
        "id": "floor",
        "use": "kitchen",
        "finish": finish,
        "outline": f"{places[-1] + 0.75} x 96",
        "joists_run": "north-south",
        "supports": [
            {"id": "S1", "line": "sill", "at": -5.5, "width": 5.5},
            {"id": "B1", "line": "beam", "at": 96, "width": 6},
        ],
        "joists": [{"name": "J", "from": "S1", "to": "B1", "at": places, "each": {"size": "2x8", "sizes": "nominal"}}],
        "openings": [],
        "layers": [{**panel, "attached_to": "layer-below" if n else "joists", **x} for n, x in enumerate(layers)],
    }
    text = json.dumps({"format": 1, "units": "in", "site": {"name": "printed"}, "areas": [area]})
    report = inspect(site_from_text(text, "printed"), packs)
    assert report.failures == ()
    return {f.rule.id: f.check for f in report.findings if f.rule.topic == "panels"}


def measured(check: Check) -> Quantity:
    assert isinstance(check.measured, Quantity)
    return check.measured


@pytest.mark.parametrize(
    ("rating", "spacing"),
    [(name, r.joist_spacing_in) for name, r in span_ratings().items() if r.joist_spacing_in and name not in APART],
)
@pytest.mark.parametrize("material", ["osb", "plywood"])
def test_panels_hold_at_their_printed_spacing(packs: LoadedPacks, rating: str, spacing: float, material: str) -> None:
    """IRC 2021 Table R503.2.1.1(1), read from a state adoption: L/360 under 100 psf at the rated spacing, so all
    the more under the 60 psf of a heavy floor. The plywood figures are from memory."""
    found = floor(packs, spacing, {"material": material, "rating": rating}, finish="wood")
    assert found["subfloor-stiffness"].outcome == MEETS
    assert found["subfloor-strength"].outcome == MEETS


def test_48_in_panels_hold_at_48_in_in_strength_and_by_two_spans(packs: LoadedPacks) -> None:
    """Same table: 65 psf in all at 48 in, which an 8 ft sheet crosses in two spans. Over three, and with 20 psf of dead
    load in the deflection, oriented strand board is in the balance at L/360."""
    found = floor(packs, 48, {"material": "osb", "rating": "48oc", "spans_crossed": 2}, finish="wood")
    assert found["subfloor-strength"].outcome == MEETS
    stiffness = measured(found["subfloor-stiffness"])
    assert stiffness.low < 360 <= stiffness.high


def test_two_layers_of_19_32_bend_about_as_the_tile_manual_says(packs: LoadedPacks) -> None:
    """Tile contractors manual 2024-25: two layers of 19/32 plywood on joists at 16 in, about L/400 under 300 lb.

    The trade's figure is a round one; that of the stiffest rated panels of that thickness, oriented strand board and
    plywood of five plies (from memory), lies within a tenth of it.
    """
    for material in ("osb", "5-ply plywood"):
        layer = {"material": material, "rating": "40/20"}
        found = measured(floor(packs, 16, layer, layer)["subfloor-point-load"])
        assert found.low == found.high
        assert found.low == pytest.approx(TILE_MANUAL_POINT, rel=0.10)


def test_two_layers_of_3_4_over_16_hold_a_point_load_and_one_does_not(packs: LoadedPacks) -> None:
    """Common practice, no source: two layers of 3/4 under tile. Each stamp that 3/4 in panels bear is worked out."""
    for rating in ("48/24", "24oc"):
        layer = {"material": "plywood", "thickness": "3/4", "rating": rating}
        assert floor(packs, 16, layer, layer)["subfloor-point-load"].outcome == MEETS
        assert floor(packs, 16, layer)["subfloor-point-load"].outcome == FALLS_SHORT


def test_one_bay_bends_as_the_span_formulas_say(packs: LoadedPacks) -> None:
    """Panel design specification, as in a panel agency's design example (TECO 2008), read in an open structural
    program: w l⁴ / 1743 EI over three spans; 921.6 over one is the recalled companion. l is the clear span + 1/4 in."""
    layer = {"material": "osb", "rating": "32/16"}
    load, ei, span = 60.0, 115_000.0, 16 - 1.5 + 0.25
    for spans, factor in ((3, 1743.0), (1, 921.6)):
        found = measured(floor(packs, 16, {**layer, "spans_crossed": spans})["subfloor-stiffness"])
        assert found.low == pytest.approx(16 / (load * span**4 / (factor * ei)), rel=1e-9)
