"""Condensation and drying against published examples, an independent library and a brute-force solution."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from inspect_core.engineering import condensation as c
from inspect_core.engineering import moisture as m
from inspect_core.engineering import weights as w

_PA_PER_INHG = 3386.389


def exact(value: float) -> c.Span:
    return c.Span(value, value)


def air(temp_f: float, rh: float) -> c.RangedAir:
    return c.RangedAir(exact(temp_f), exact(rh))


@pytest.fixture(autouse=True)
def _metric() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(
    ("outer_r", "whole_r", "temp_f", "wet"),
    [
        (7.0, 18.0, 47, True),  # 1 in of foam sheathing: condensation is likely on its inner face
        (14.0, 25.0, 53, False),  # 2 in: safely above the dew point
    ],
)
def test_foam_sheathing_on_a_wall(outer_r: float, whole_r: float, temp_f: float, wet: bool) -> None:
    """A trade journal's worked example ("Where does the dew drop"): 32 °F outdoors, 70 °F and 50 percent indoors, dew
    point 50 °F; the face of the foam is at 7/18 of the way from 32 to 70 °F (47 °F), or 14/25 (53 °F).

    The article takes the foam for tight and the batts for open, as here; its R-values leave no air films over.
    """
    foam = c.RangedLayer("foam", exact(outer_r), exact(0.01))
    batts = c.RangedLayer("batts", exact(whole_r - outer_r), exact(100))
    parts = c.in_parts((foam, batts))
    places = c.humidities(air(32, 0.8), air(70, 0.5), parts, exact(0))
    face = next(place for place in places if place.name == "between foam and batts")
    assert face.temp_f.middle == pytest.approx(temp_f, abs=0.5)
    assert (face.humidity.middle > 1) is wet
    assert m.dew_point_f(70, 0.5) == pytest.approx(50, abs=0.6)


@pytest.mark.parametrize(("temp_f", "rh"), [(20, 0.9), (35, 0.7), (58, 0.62), (68, 0.5), (85, 0.8)])
def test_vapour_pressure_of_air(temp_f: float, rh: float) -> None:
    """PsychroLib (ASHRAE Handbook of Fundamentals 2017)."""
    theirs = psychrolib.GetVapPresFromRelHum((temp_f - 32) / 1.8, rh)
    assert air(temp_f, rh).pressure.low * _PA_PER_INHG == pytest.approx(theirs, rel=1e-6)


FLOORS = [
    # lower face first: r, perm
    ((0.0, 0.05), (19.0, 20.0), (0.9, 0.7), (0.1, 5.0)),
    ((0.9, 0.7), (0.0, 0.3), (0.1, 5.0)),
    ((12.0, 3.0), (0.9, 0.35), (0.68, 1.4)),
]


@pytest.mark.parametrize("floor", FLOORS)
@pytest.mark.parametrize(("below", "above"), [((36, 0.75), (70, 0.5)), ((80, 0.8), (70, 0.5)), ((50, 0.9), (68, 0.4))])
def test_against_many_thin_slices(
    floor: tuple[tuple[float, float], ...], below: tuple[float, float], above: tuple[float, float]
) -> None:
    """Brute force: each layer in 40 slices, conservation of heat and of vapour at each as one linear system, saturation
    by PsychroLib. The steady state of two diffusions, without the method's straight lines.
    """
    film = 0.75
    layers = [c.RangedLayer(f"L{n}", exact(r), exact(perm)) for n, (r, perm) in enumerate(floor)]
    places = c.humidities(air(*below), air(*above), c.in_parts(layers), exact(film))
    slices = 40
    # Heat: nodes at slice borders, films at both ends; a layer without resistance gets a trifle.
    heat = np.array([1 / film, *(slices / max(r, 1e-7) for r, _ in floor for _ in range(slices)), 1 / film])
    vapour = np.array([slices * perm for _, perm in floor for _ in range(slices)])
    pressures_outside = [psychrolib.GetVapPresFromRelHum((t - 32) / 1.8, rh) / _PA_PER_INHG for t, rh in (below, above)]
    temps = _steady(heat, below[0], above[0])[1:-1]
    pressures = _steady(vapour, *pressures_outside)
    for number in range(len(floor) + 1):
        name = (
            places[0].name if number == 0 else places[-1].name if number == len(floor)
            else f"between L{number - 1} and L{number}"
        )  # fmt: skip
        place = next(p for p in places if p.name == name)
        temp, pressure = temps[number * slices], pressures[number * slices]
        saturated = psychrolib.GetSatVapPres((temp - 32) / 1.8) / _PA_PER_INHG
        assert place.temp_f.middle == pytest.approx(temp, abs=1e-4)
        assert place.humidity.middle == pytest.approx(pressure / saturated, rel=1e-4)


def _steady(conductances: np.ndarray, first: float, last: float) -> np.ndarray:
    """Potentials at the borders of slices in series, from Kirchhoff's law at each inner border."""
    count = len(conductances) + 1
    matrix, right = np.zeros((count, count)), np.zeros(count)
    matrix[0, 0] = matrix[-1, -1] = 1
    right[0], right[-1] = first, last
    for i in range(1, count - 1):
        low, high = conductances[i - 1], conductances[i]
        matrix[i, i - 1 : i + 2] = -low, low + high, -high
    return np.linalg.solve(matrix, right)


def test_a_green_joist_loses_three_eighths() -> None:
    """From memory: a green 2x10 that dries from 28 to 10 percent loses about 3/8 in, with a mix of 0.0024 a percent."""
    assert m.shrinkage_in(9.25, 28, 10, 0.0024, 28) == pytest.approx(3 / 8, abs=1 / 32)


def test_half_inch_plywood_holds_vapour_as_dry_as_recalled_or_lets_more_through() -> None:
    """ASHRAE Handbook, recalled: 0.5 to 1 perm dry; a builder's glossary: 10 perm. The figure spans both."""
    found = c.layer_of("p", "plywood", exact(0.5)).permeance
    assert found.low == pytest.approx(0.5)
    assert found.high == pytest.approx(10)


def test_published_lists_of_permeance_lie_within_the_figures() -> None:
    """A builder's published list: porcelain tile 1 perm, felt 6, expanded foam 1.5 to 3.5 perm in, 5/8 in drywall 35;
    a builder's glossary: concrete 3.2 perm in, OSB sheathing 2 perm (7/16 in), 1/2 in drywall 50."""
    inch = exact(1)
    for material, thickness, perms in (
        ("tile", None, 1), ("felt", None, 6), ("foam-board", inch, 1.5), ("foam-board", inch, 3.5), ("mortar", inch, 3.2),
        ("gypsum", exact(0.625), 35), ("gypsum", exact(0.5), 50), ("osb", exact(7 / 16), 2),
    ):  # fmt: skip
        found = c.layer_of("x", material, thickness).permeance
        assert found.low <= perms <= found.high, material


# ---- weights ----


def test_a_full_cast_iron_tub() -> None:
    """From memory: 330 lb of iron and 45 gal, which weigh 375 lb."""
    assert w.water_lb(45).high == pytest.approx(375, abs=1)
    usual = w.fixture_weight_lb("tub-cast-iron")
    assert usual.low <= 330 <= usual.high


def test_a_mortar_shower_pan() -> None:
    """From memory: a pan of 3 by 5 ft that averages 2-1/2 in weighs about 450 lb at 12 psf an inch."""
    assert w.weight_psf("mortar-bed", 2.5).high * 15 == pytest.approx(450, abs=1)
