"""Wood moisture against the printed table, psychrometrics against an independent library."""

from __future__ import annotations

import psychrolib
import pytest

from inspect_core.engineering.moisture import (
    dew_point_f,
    layer_figure,
    saturation_pressure_inhg,
    vapour_pressure_inhg,
    wood_emc_percent,
)

_PA_PER_INHG = 3386.389
_HALF_A_PRINTED_DIGIT = 0.05  # the table prints tenths


@pytest.fixture(autouse=True)
def _metric() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("temp_f", "rh", "percent"),
    [
        (70, 0.30, 6.17),
        (70, 0.50, 9.25),
        (70, 0.65, 11.96),
        (70, 0.80, 16.0),
        (70, 0.90, 20.49),
        (30, 0.80, 16.54),
        (50, 0.70, 13.43),
        (90, 0.50, 8.89),
        (40, 0.85, 18.49),
    ],
)
def test_emc_check_points(temp_f: float, rh: float, percent: float) -> None:
    """Wood Handbook Table 4-2 points, from the equation as read in public code citing Simpson 1998 (FPL-RN-0268)."""
    assert wood_emc_percent(temp_f, rh) == pytest.approx(percent, abs=_HALF_A_PRINTED_DIGIT)


@pytest.mark.parametrize("temp_f", range(30, 91, 5))
@pytest.mark.parametrize("rh", [0.3, 0.45, 0.6, 0.75, 0.9, 0.95])
def test_emc_by_the_fahrenheit_coefficients(temp_f: int, rh: float) -> None:
    """Wood Handbook Eq. 4-5 with its Fahrenheit coefficients, from memory: within 0.02 percent of the Celsius set."""
    t = temp_f
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    h = k * rh
    emc = 1800 / w * (h / (1 - h) + (k1 * h + 2 * k1 * k2 * h * h) / (1 + k1 * h + k1 * k2 * h * h))
    assert wood_emc_percent(temp_f, rh) == pytest.approx(emc, abs=0.02)


@pytest.mark.parametrize("temp_f", [-140, -40, 0, 20, 31.9, 32.02, 33, 50, 70, 90, 120, 212, 390])
def test_saturation_pressure(temp_f: float) -> None:
    """PsychroLib (ASHRAE Handbook of Fundamentals 2017, Hyland and Wexler)."""
    theirs = psychrolib.GetSatVapPres((temp_f - 32) / 1.8)
    assert saturation_pressure_inhg(temp_f) * _PA_PER_INHG == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("temp_f", [-20, 10, 32, 45, 60, 75, 100])
@pytest.mark.parametrize("rh", [0.05, 0.3, 0.5, 0.7, 0.95, 1.0])
def test_dew_point(temp_f: float, rh: float) -> None:
    """PsychroLib again: dew point to a thousandth of a degree."""
    celsius = (temp_f - 32) / 1.8
    assert dew_point_f(temp_f, rh) == pytest.approx(
        psychrolib.GetTDewPointFromRelHum(celsius, rh) * 1.8 + 32, abs=0.001
    )


def test_a_perm_in_metric() -> None:
    """1 perm is 57.4 ng/(s·m²·Pa), a trade association page: grains, hours, square feet and inches of mercury."""
    nanograms = 64.79891e-3 * 1e9
    assert nanograms / 3600 / 0.09290304 / _PA_PER_INHG == pytest.approx(57.4, abs=0.3)


def test_retarder_classes_meet_end_to_end() -> None:
    """IRC R702.7 as a building science page has it: Class I to 0.1 perm, II to 1, III to 10; 6 mil film is Class I."""
    first, second, third = (layer_figure(f"class-{n}") for n in (1, 2, 3))
    assert (first.high, second.low, second.high, third.low, third.high) == (0.1, 0.1, 1, 1, 10)
    assert layer_figure("polyethylene-6-mil").high <= first.high


def test_room_air_dew_point() -> None:
    """70 °F at 50 percent wets what is colder than about 50 °F: common rule of thumb, no source."""
    assert dew_point_f(70, 0.5) == pytest.approx(50.5, abs=0.5)
    assert vapour_pressure_inhg(70, 0.5) == pytest.approx(saturation_pressure_inhg(dew_point_f(70, 0.5)))
