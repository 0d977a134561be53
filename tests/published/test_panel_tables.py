"""Panels against printed tables and a published example."""

from __future__ import annotations

from typing import Literal

import pytest

from inspect_core.engineering.panels import (
    Capacity,
    Layer,
    board_spacing,
    build_up,
    capacity,
    check_point,
    check_uniform,
    sanded_plywood_spacing,
    span_rating,
    span_ratings,
)

_TABLE = "IRC 2021 Table R503.2.1.1(1), text of a state adoption"
_WITH_CAPACITIES = [
    name
    for name, rating in span_ratings().items()
    if rating.joist_spacing_in and name != "60/32"  # no design capacities are published for 60/32
]


@pytest.mark.parametrize(
    ("rating", "spacing", "thicknesses"),
    [
        ("24/0", 0, {3 / 8}),
        ("24/16", 16, {7 / 16}),
        ("32/16", 16, {15 / 32, 1 / 2}),
        ("40/20", 20, {19 / 32, 5 / 8}),
        ("48/24", 24, {23 / 32, 3 / 4}),
        ("60/32", 32, {7 / 8}),
        ("16oc", 16, {19 / 32, 5 / 8}),
        ("20oc", 20, {19 / 32, 5 / 8}),
        ("24oc", 24, {23 / 32, 3 / 4}),
        ("32oc", 32, {7 / 8}),
        ("48oc", 48, {1 + 3 / 32, 1 + 1 / 8}),
    ],
)
def test_floor_spans_of_the_printed_table(rating: str, spacing: float, thicknesses: set[float]) -> None:
    """IRC 2021 Table R503.2.1.1(1), text of a state adoption: floor column."""
    found = span_rating(rating)
    assert found.joist_spacing_in == spacing
    assert set(found.thicknesses_in) == thicknesses


def _basis(spacing_in: float) -> Literal[2, 3]:
    """Plywood design specification, quoted in a formwork handbook: three spans up to 32 in, two beyond."""
    return 3 if spacing_in <= 32 else 2


@pytest.mark.parametrize("name", _WITH_CAPACITIES)
def test_osb_capacities_carry_the_printed_floor_load(name: str) -> None:
    """Same table, note: 100 psf at L/360 at the greatest span; 48 in o.c. is 65 psf in all, so 55 live at L/360.

    Capacities: OSB design capacities, Table A (2008), as transcribed in xcfem/xc; planar shear from memory.
    (Over two spans only, 32oc at 32 in would be 1.6 percent short in bending.)
    """
    rating = span_rating(name)
    plate = build_up([Layer(capacity("osb", name))])
    assert rating.floor_load_psf is not None
    spans = _basis(rating.joist_spacing_in)
    check = check_uniform(plate, rating.joist_spacing_in, rating.floor_load_psf, spans=spans)
    assert check.bending_use <= 1
    assert check.shear_use is not None
    assert check.shear_use <= 1
    live = rating.floor_load_psf - (10 if name == "48oc" else 0)
    assert check_uniform(plate, rating.joist_spacing_in, live, spans=spans).deflection_ratio >= 360


@pytest.mark.parametrize(
    ("name", "spacing", "live"),
    [
        ("24/0", 16, 100),
        ("24/0", 24, 30),
        ("24/16", 16, 100),
        ("24/16", 24, 40),
        ("32/16", 16, 180),
        ("32/16", 24, 70),
        ("40/20", 16, 305),
        ("40/20", 24, 130),
        ("48/24", 24, 175),
        ("16oc", 16, 100),
        ("16oc", 24, 40),
        ("20oc", 16, 150),
        ("20oc", 24, 60),
        ("24oc", 16, 240),
        ("24oc", 24, 100),
        ("32oc", 24, 185),
        ("48oc", 24, 290),
    ],
)
def test_osb_capacities_carry_the_printed_live_loads(name: str, spacing: float, live: float) -> None:
    """Same table, live load at 16 and 24 in with 10 psf dead; three spans, snow duration 1.15, L/240 for live."""
    plate = build_up([Layer(capacity("osb", name))])
    total = check_uniform(plate, spacing, live + 10)
    assert total.bending_use <= 1.15
    assert total.shear_use is not None
    assert total.shear_use <= 1.15
    assert check_uniform(plate, spacing, live).deflection_ratio >= 240


@pytest.mark.parametrize(
    ("group", "thickness", "spacing"),
    [(1, 0.5, 16), (1, 0.75, 24), (2, 0.75, 20), (3, 0.875, 24), (4, 0.75, 16), (4, 1.0, 24)],
)
def test_sanded_plywood_of_the_printed_table(group: int, thickness: float, spacing: float) -> None:
    """IRC 2021 Table R503.2.1.1(2), text of a state adoption."""
    found = sanded_plywood_spacing(thickness, group)
    assert found is not None
    assert found.value == spacing


def test_boards_of_the_printed_table() -> None:
    """IRC 2021 Table R503.1, text of a state adoption."""

    def spacing(thickness: float, direction: str, **plank: float) -> float:
        found = board_spacing(thickness, direction, tongue_and_groove=bool(plank), **plank)  # type: ignore[arg-type]
        assert found is not None
        return found.value

    assert spacing(11 / 16, "perpendicular") == 24
    assert spacing(3 / 4, "diagonal") == 24
    assert spacing(5 / 8, "perpendicular") == spacing(5 / 8, "diagonal") == 16
    assert spacing(1.5, "perpendicular", fb_psi=675, e_psi=1.1e6) == 48
    assert spacing(1.5, "perpendicular", fb_psi=765, e_psi=1.4e6) == 54
    assert spacing(1.5, "perpendicular", fb_psi=855, e_psi=1.7e6) == 60


def test_plywood_roof_example() -> None:
    """TECO, Design Capacities for Structural Plywood (ASD, 2008), 32/16 over supports at 32 in, three spans.

    Inputs and load formulas read from text (via xcfem/xc), duration factor 1.15: 54.85 psf by bending, 149.3 psf by
    planar shear.
    """
    panel = Capacity(
        "plywood", "32/16", 15 / 32, 126_500, 1, 407, 1, 198, 1, "TECO 2008", "read from text", "read from text"
    )
    check = check_uniform(build_up([Layer(panel)]), 32, 40)
    assert check.shear_use is not None
    assert 40 / check.bending_use * 1.15 == pytest.approx(120 * 407 * 1.15 / 32**2)
    assert 40 / check.shear_use * 1.15 == pytest.approx(20 * 198 * 1.15 / 30.5)
    assert check.deflection_in == pytest.approx(40 * 30.75**4 / (1743 * 126_500))


def test_isotropic_plate_strip() -> None:
    """Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells: 0.01695 P a²/D, simply supported. From memory.

    The whole series gives 0.01696.
    """
    panel = Capacity("isotropic", "24oc", 1.0, 12_000, 12_000, 1, 1, 1, 6_000, "test", "computed", "computed")
    check = check_point(build_up([Layer(panel)]), 24, 1000, spans=1)
    assert check.deflection_in == pytest.approx(0.01695 * 1000 * 22.75**2 / 1000, rel=1e-3)


@pytest.mark.parametrize(("name", "limit_in"), [("16oc", 0.078), ("20oc", 0.094), ("24oc", 0.108)])
def test_single_floor_panels_under_the_panel_standards_test_load(name: str, limit_in: float) -> None:
    """DOC PS 2: deflection allowed under 200 lb at mid-span for single floor panels. From memory.

    A panel that just earns its rating can't bend much less than that; the model must land under and near it.
    """
    spacing = span_rating(name).joist_spacing_in
    check = check_point(build_up([Layer(capacity("osb", name))]), spacing, 200)
    assert 0.5 * limit_in < check.deflection_in < limit_in


def test_tile_trade_deflection_between_joists() -> None:
    """Tile over plywood article (JLC, March 2011): L/360 between joists at 16 in is 14.5 in / 360, or 0.040 in.

    The point load of 300 lb is the tile handbook's, as quoted there and in the handbook's 42nd edition.
    """
    check = check_point(build_up([Layer(capacity("osb", "24oc"))]), 16, 300)
    assert check.deflection_ratio * check.deflection_in / 360 == pytest.approx(0.040, abs=0.0005)
