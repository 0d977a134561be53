"""Footings by the table's rule."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import foundation as f


def test_square_and_round_of_the_same_load_have_the_same_area() -> None:
    square, round_ = f.footing_size(4000, 2000), f.footing_size(4000, 2000, "round")
    assert square.area_ft2 == round_.area_ft2 == 2
    assert f.area_ft2(square.exact_in, "square") == pytest.approx(2)
    assert f.area_ft2(round_.exact_in, "round") == pytest.approx(2)


def test_smallest_printed_sizes_hold() -> None:
    assert f.footing_size(1, 3000).table_in == f.rule_value("table-square-side").value
    assert f.footing_size(1, 3000, "round").table_in == f.rule_value("table-round-diameter").value


def test_working_shows_area_and_size() -> None:
    for shape in ("square", "round"):
        size = f.footing_size(2000, 1500, shape)
        assert [step.result for step in size.working] == [size.area_ft2, size.exact_in, size.table_in]


def test_working_reads_as_an_engineer_writes_it() -> None:
    """2000 / 1500 = 1.333; √(144 × 1.333) = 13.86; √(4 × 144 × 1.333 / π) = 15.64."""
    square, round_ = (
        [str(step) for step in f.footing_size(2000, 1500, shape).working] for shape in ("square", "round")
    )
    assert square[0].startswith("A = P / q = 2000 / 1500 = 1.333 ft²")
    assert square[1] == "side = √(144 A) = √(144 × 1.333) = 13.86 in"
    assert round_[1] == "diameter = √(4 × 144 A / π) = √(4 × 144 × 1.333 / π) = 15.64 in"


@pytest.mark.parametrize("shape", ["square", "round"])
@settings(max_examples=25)
@given(load=st.floats(200, 20_000), more=st.floats(1.001, 2), soil=st.sampled_from([1500, 2000, 3000]))
def test_more_load_never_needs_less_footing(shape: f.Shape, load: float, more: float, soil: float) -> None:
    size, bigger = f.footing_size(load, soil, shape), f.footing_size(load * more, soil, shape)
    assert bigger.exact_in > size.exact_in
    assert bigger.table_in >= size.table_in
    assert size.table_in >= size.exact_in - 0.5


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="load_lb"):
        f.footing_size(0, 1500)
    with pytest.raises(ValueError, match="bearing_psf"):
        f.footing_area_ft2(100, -1)
    with pytest.raises(ValueError, match="shape"):
        f.area_ft2(12, "hexagonal")  # type: ignore[arg-type]
