"""Weights of layers and fixtures."""

from __future__ import annotations

import pytest

from inspect_core.engineering import weights as w


def test_ranges_are_kept() -> None:
    tile = w.weight_psf("tile-porcelain")
    assert (tile.low, tile.high, tile.unit) == (3.5, 6.5, "psf")
    assert tile.source
    assert tile.status == "read from text"


@pytest.mark.parametrize("material", ["plywood", "osb"])
def test_printed_panel_weights_agree_with_the_weight_by_the_inch(material: str) -> None:
    """Two recalled sources against each other: within a tenth of the panel's weight and the print's rounding."""
    by_inch = w.weight_psf(material, 2.0).high / 2
    for thickness in (0.375, 7 / 16, 15 / 32, 0.5, 19 / 32, 0.625, 23 / 32, 0.75, 0.875, 1.0, 1.125):
        printed = w.weight_psf(material, thickness)
        assert printed.high == pytest.approx(by_inch * thickness, rel=0.1)


def test_a_printed_thickness_is_taken_as_printed_and_others_by_the_inch() -> None:
    assert w.weight_psf("plywood", 0.71875).high == w.weight_psf("plywood", 0.71875 + 0.01).high
    assert w.weight_psf("plywood", 1.5).low == pytest.approx(2 * w.weight_psf("plywood", 0.75).low, rel=0.03)
    assert w.weight_psf("mortar-bed", 1.25).high == 15


def test_every_layer_material_has_a_weight() -> None:
    for material in w.materials():
        for thickness in (0.25, 0.5, 1.0):
            try:
                found = w.weight_psf(material, thickness)
            except LookupError:
                continue
            assert 0 < found.low <= found.high
            assert found.unit == "psf"
            break
        else:
            pytest.fail(f"{material} has no weight at any usual thickness")


def test_thickness_that_is_missing_or_not_covered() -> None:
    with pytest.raises(LookupError, match="needs its thickness"):
        w.weight_psf("plywood")
    with pytest.raises(LookupError, match=r"0\.25, 0\.5 in only"):
        w.weight_psf("backer-fibre-cement", 0.4)
    with pytest.raises(LookupError, match="tile-ceramic"):
        w.weight_psf("linoleum")
    with pytest.raises(ValueError, match="thickness_in"):
        w.weight_psf("mortar-bed", -1)


def test_a_density_that_nobody_knows_is_refused() -> None:
    with pytest.raises(LookupError, match="softwood"):
        w.density_pcf("oak")


def test_water_by_the_gallon_and_by_the_cubic_foot_agree() -> None:
    assert w.water_lb(7.4805).high == pytest.approx(w.density_pcf("water").high, rel=1e-3)


def test_a_filled_tub() -> None:
    """Arithmetic of a cast-iron tub, from memory: 330 lb, 45 gal and 200 lb are about 905 lb."""
    filled = w.fixture_weight_lb("tub-cast-iron").plus(w.water_lb(45)).plus(w.fixture_weight_lb("person"))
    assert filled.low < 905 < filled.high
    assert filled.status == "read from text"
    assert "empty" in filled.note


def test_usual_contents_when_nobody_measured() -> None:
    """Soaking tubs hold up to 100 gal (makers, from memory), and nobody said that this one is none."""
    assert (w.contents_gal("tub-acrylic").low, w.contents_gal("tub-acrylic").high) == (40, 100)
    tank = w.contents_gal("toilet")
    assert w.water_lb(tank.low).low < 13 < w.water_lb(tank.high).high
    with pytest.raises(LookupError, match="tub-steel"):
        w.contents_gal("vanity-stone-top")


def test_plywood_by_the_inch_has_both_published_weights() -> None:
    """3 psf an inch by the panel association; 0.4 psf per 1/8 in by ASCE 7 is 3.2 (both from memory)."""
    thick = w.weight_psf("plywood", 1.5)
    assert (thick.low, thick.high) == pytest.approx((1.5 * 3, 1.5 * 8 * 0.4))


def test_every_fixture_has_a_weight() -> None:
    assert "person" in w.fixtures()
    for fixture in w.fixtures():
        assert 0 < w.fixture_weight_lb(fixture).low <= w.fixture_weight_lb(fixture).high
    with pytest.raises(LookupError, match="toilet"):
        w.fixture_weight_lb("aquarium")


def test_units_are_not_mixed() -> None:
    with pytest.raises(ValueError, match="psf"):
        w.fixture_weight_lb("toilet").plus(w.weight_psf("tile-stone"))
