"""The footing that a load needs."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import foundation as f


def test_square_and_round_of_the_same_load_have_the_same_area() -> None:
    square, round_ = f.footing_size(4000, 2000), f.footing_size(4000, 2000, "round")
    assert square.area_ft2 == round_.area_ft2 == 2
    assert square.side_in**2 / 144 == pytest.approx(2)
    assert math.pi * round_.side_in**2 / 576 == pytest.approx(2)


def test_working_shows_area_and_size() -> None:
    for shape in ("square", "round"):
        size = f.footing_size(2000, 1500, shape)
        assert [step.result for step in size.working] == [size.area_ft2, size.side_in]


def test_working_reads_as_an_engineer_writes_it() -> None:
    """2000 / 1500 = 1.333; √(144 × 1.333) = 13.86; √(4 × 144 × 1.333 / π) = 15.64."""
    square, round_ = (
        [str(step) for step in f.footing_size(2000, 1500, shape).working] for shape in ("square", "round")
    )
    assert square[0].startswith("A = P / q = 2000 / 1500 = 1.333 ft²")
    assert square[1].startswith("side = √(144 A) = √(144 × 1.333) = 13.86 in")
    assert round_[1].startswith("diameter = √(4 × 144 A / π) = √(4 × 144 × 1.333 / π) = 15.64 in")


@pytest.mark.parametrize("shape", ["square", "round"])
@settings(max_examples=25)
@given(load=st.floats(200, 20_000), more=st.floats(1.001, 2), soil=st.sampled_from([1500, 2000, 3000]))
def test_more_load_never_needs_less_footing(shape: f.Shape, load: float, more: float, soil: float) -> None:
    size, bigger = f.footing_size(load, soil, shape), f.footing_size(load * more, soil, shape)
    assert bigger.side_in > size.side_in


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="load_lb"):
        f.footing_size(0, 1500)
    with pytest.raises(ValueError, match="bearing_psf"):
        f.footing_size(100, -1)
    with pytest.raises(ValueError, match="shape"):
        f.footing_size(12, 1500, "hexagonal")  # type: ignore[arg-type]
