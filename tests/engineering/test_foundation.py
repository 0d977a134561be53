"""Footings, soil and piers."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import foundation as f


@pytest.mark.parametrize(
    ("name", "bearing"),
    [("clay-or-silt", 1500), ("SM", 2000), ("sc", 2000), (" GW ", 3000), ("Gravel", 3000), ("CH", 1500)],
)
def test_soil_by_key_or_symbol(name: str, bearing: float) -> None:
    assert f.soil(name).bearing_psf == bearing


@pytest.mark.parametrize("name", ["PT", "OL", "fill", "", "unknown"])
def test_soil_outside_the_table_has_no_presumed_bearing(name: str) -> None:
    with pytest.raises(LookupError, match="no presumed bearing"):
        f.soil(name)


def test_square_and_round_of_the_same_load_have_the_same_area() -> None:
    square, round_ = f.footing_size(4000, 2000), f.footing_size(4000, 2000, "round")
    assert square.area_ft2 == round_.area_ft2 == 2
    assert f.area_ft2(square.exact_in, "square") == pytest.approx(2)
    assert f.area_ft2(round_.exact_in, "round") == pytest.approx(2)
    assert f.soil_pressure_psf(4000, round_.exact_in, "round") == pytest.approx(2000)


def test_smallest_printed_sizes_hold() -> None:
    assert f.footing_size(1, 3000).table_in == f.rule_value("table-square-side").value
    assert f.footing_size(1, 3000, "round").table_in == f.rule_value("table-round-diameter").value


def test_working_shows_area_and_size() -> None:
    for shape in ("square", "round"):
        size = f.footing_size(2000, 1500, shape)
        assert [step.result for step in size.working] == [size.area_ft2, size.exact_in, size.table_in]


@pytest.mark.parametrize("shape", ["square", "round"])
@settings(max_examples=25)
@given(load=st.floats(200, 20_000), more=st.floats(1.001, 2), soil=st.sampled_from([1500, 2000, 3000]))
def test_more_load_never_needs_less_footing(shape: f.Shape, load: float, more: float, soil: float) -> None:
    size, bigger = f.footing_size(load, soil, shape), f.footing_size(load * more, soil, shape)
    assert bigger.exact_in > size.exact_in
    assert bigger.table_in >= size.table_in
    assert size.table_in >= size.exact_in - 0.5


def test_projection_and_thickness() -> None:
    projection = f.footing_projection_in(24, 8)
    assert projection == 8
    assert f.least_footing_thickness_in(projection) == 8
    assert f.least_footing_thickness_in(5.9) == 6
    assert f.projection_limits_in(8) == (2, 8)
    assert f.footing_projection_in(8, 12) < 0  # a footing smaller than its pier


def test_weight_of_a_yard_of_concrete() -> None:
    assert f.footing_weight_lb(36, "square", 36) == pytest.approx(27 * 150)
    assert f.footing_weight_lb(12, "round", 12) == pytest.approx(math.pi / 4 * 150)


@pytest.mark.parametrize(("filled", "height"), [(False, 32), (True, 80)])
def test_pier_height(filled: bool, height: float) -> None:
    """IRC R606.7: 4 and 10 times the least dimension of an 8 in pier."""
    assert f.pier_height_limit_in(8, filled=filled) == height


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="load_lb"):
        f.footing_size(0, 1500)
    with pytest.raises(ValueError, match="bearing_psf"):
        f.footing_area_ft2(100, -1)
    with pytest.raises(ValueError, match="shape"):
        f.area_ft2(12, "hexagonal")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="load_lb"):
        f.soil_pressure_psf(-1, 12, "square")
    with pytest.raises(ValueError, match="least_dimension_in"):
        f.pier_height_limit_in(math.nan, filled=True)
