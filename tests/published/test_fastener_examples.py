"""Fasteners against published examples and printed design values."""

from __future__ import annotations

import pytest

from inspect_core.engineering.fasteners import (
    bending_yield_psi,
    bolt_lateral,
    dowel_bearing_psi,
    nail,
    nail_lateral,
    wood_screw,
    yield_modes,
)

_LB_PER_N = 1 / 4.44822


def test_nail_in_single_shear() -> None:
    """American Wood Council solved examples, nail in single shear, via xcfem/xc: Z = 467.488421732 N (105 lb).

    10d common through 3/4 in into 2-1/2 in, Douglas fir-larch, G 0.50.
    """
    size = nail("common", 10)
    value = nail_lateral(size.length_in, size.diameter_in, 0.75, 2.5, 0.50, 0.50)
    assert value.mode == "IIIs"
    assert value.z_lb == pytest.approx(467.488421732 * _LB_PER_N, rel=1e-5)
    assert round(value.z_lb) == 105


def test_wood_screw_in_double_shear() -> None:
    """AWC solved example E2.4 via xcfem/xc: No. 10 by 6 in, 3 in main member, Fe for G 0.55: 1039.596 N.

    The side bearing left is 6 - 3 - 1.5 in less half the point of 2 diameters.
    """
    screw = wood_screw(10)
    bearing = dowel_bearing_psi(0.55, screw.diameter_in).value
    modes = yield_modes(
        screw.root_diameter_in,
        6 - 3 - 1.5 - screw.diameter_in,
        3.0,
        bearing,
        bearing,
        bending_yield_psi(screw.diameter_in).value,
        nominal_diameter_in=screw.diameter_in,
        shear_planes=2,
    )
    assert min(z for _, z in modes) == pytest.approx(1039.59600276 * _LB_PER_N, rel=1e-5)


@pytest.mark.parametrize(
    ("penny", "printed"),
    [
        (16, 141),  # NDS 2005 Table 11N as quoted on an engineers' list, read from text
        (8, 97),  # the same table, from memory
        (10, 118),  # the same table, from memory
        (20, 170),  # the same table, from memory
    ],
)
def test_common_nails_through_two_by_lumber(penny: int, printed: int) -> None:
    """NDS nail table, 1-1/2 in side member, G 0.50: the print rounds Fe to 50 psi first, so within 0.6 percent."""
    size = nail("common", penny)
    # Full bearing: the table holds for 10 diameters of penetration or more.
    value = nail_lateral(1.5 + 10 * size.diameter_in, size.diameter_in, 1.5, 3.5, 0.50, 0.50)
    assert value.z_lb == pytest.approx(printed, rel=0.006)


@pytest.mark.parametrize(
    ("side", "main", "printed"),
    [(0, 0, 480), (90, 0, 300), (0, 90, 300), (90, 90, 220)],
)
def test_half_inch_bolt_through_two_by_lumber(side: float, main: float, printed: int) -> None:
    """NDS bolt table, 1/2 in bolt, 1-1/2 in in both members, G 0.50: printed to 10 lb. From memory."""
    value = bolt_lateral(0.5, 1.5, 1.5, 0.50, 0.50, side_angle_deg=side, main_angle_deg=main)
    assert round(value.z_lb, -1) == printed
    assert value.mode == "II"


@pytest.mark.parametrize(("gravity", "printed"), [(0.50, 4650), (0.55, 5550), (0.43, 3500), (0.42, 3350)])
def test_dowel_bearing_of_thin_fasteners(gravity: float, printed: int) -> None:
    """NDS Table 12.3.3, diameter under 1/4 in: 16,600 G^1.84 to the nearest 50 psi. From memory."""
    assert round(dowel_bearing_psi(gravity, 0.148).value / 50) * 50 == printed
