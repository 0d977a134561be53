"""Moisture: laws that hold for any air and any build-up, and the layer method against another solution of it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import moisture as m

_FILMS = (0.92, 0.92)
_FLOOR = (
    m.VapourLayer("tile", 0.05, 1.0),
    m.VapourLayer("panel", 0.94, 0.7),
    m.VapourLayer("batts", 19.0, 100.0),
    m.VapourLayer("membrane", 0.01, 0.06),
)


def test_boiling_and_freezing_points() -> None:
    assert m.saturation_pressure_inhg(212) == pytest.approx(29.92, rel=1e-3)
    assert m.saturation_pressure_inhg(32) * 3386.389 == pytest.approx(611.2, rel=1e-3)


def test_no_step_where_ice_gives_way_to_water() -> None:
    below, above = m.saturation_pressure_inhg(32.017), m.saturation_pressure_inhg(32.019)
    assert 0 < above / below - 1 < 1e-3


@settings(max_examples=40)
@given(st.floats(-40, 120), st.floats(0.02, 1))
def test_air_at_its_dew_point_is_saturated(temp: float, rh: float) -> None:
    dew = m.dew_point_f(temp, rh)
    assert dew <= temp
    assert m.saturation_pressure_inhg(dew) == pytest.approx(m.vapour_pressure_inhg(temp, rh), rel=1e-8)
    assert m.surface_humidity(temp, rh, dew) == pytest.approx(1, rel=1e-8)


@settings(max_examples=40)
@given(st.floats(30, 110), st.floats(0.05, 0.94), st.floats(0.005, 0.05))
def test_damper_air_makes_wetter_wood(temp: float, rh: float, more: float) -> None:
    assert m.wood_emc_percent(temp, rh + more) > m.wood_emc_percent(temp, rh)
    assert m.dew_point_f(temp, rh + more) > m.dew_point_f(temp, rh)


@pytest.mark.parametrize("rh", [0, -0.1, 1.01, math.nan])
def test_humidity_is_a_fraction(rh: float) -> None:
    with pytest.raises(ValueError, match="humidity"):
        m.vapour_pressure_inhg(70, rh)


@pytest.mark.parametrize("rh", [0, 1, 55])
def test_emc_needs_humidity_between_the_ends(rh: float) -> None:
    with pytest.raises(ValueError, match="humidity"):
        m.wood_emc_percent(70, rh)


def test_out_of_range_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature"):
        m.saturation_pressure_inhg(500)
    with pytest.raises(ValueError, match="temperature"):
        m.saturation_pressure_inhg(math.nan)
    with pytest.raises(ValueError, match="dew point"):
        m.dew_point_f(-140, 0.01)


def test_layer_figures_are_ranges_with_a_source() -> None:
    felt = m.layer_figure("felt-15")
    assert felt.low < felt.high
    assert felt.unit == "perm"
    with pytest.raises(LookupError, match="felt-15"):
        m.layer_figure("cardboard")


# ---- through layers ----


def test_dry_build_up_passes_vapour_straight_through() -> None:
    warm, cold = m.Air(70, 0.35), m.Air(60, 0.4)
    profile = m.vapour_profile(warm, cold, _FLOOR, surface_r=_FILMS)
    drop = m.vapour_pressure_inhg(70, 0.35) - m.vapour_pressure_inhg(60, 0.4)
    assert profile.wet == ()
    assert profile.condensation == 0
    assert profile.flow_in == pytest.approx(drop / sum(1 / layer.permeance for layer in _FLOOR))
    assert profile.flow_out == pytest.approx(profile.flow_in)
    assert not profile.first_surface_wet
    assert not profile.second_surface_wet
    # Temperature falls in step with thermal resistance.
    under_tile = next(i for i in profile.interfaces if i.place == "between tile and panel")
    whole = sum(layer.r_value for layer in _FLOOR) + sum(_FILMS)
    assert under_tile.temp_f == pytest.approx(70 - 10 * (0.92 + 0.05) / whole)


def test_cold_side_membrane_gathers_water_at_its_warm_face() -> None:
    profile = m.vapour_profile(m.Air(70, 0.5), m.Air(20, 0.85), _FLOOR, surface_r=_FILMS)
    assert [i.place for i in profile.wet] == ["between batts and membrane"]
    spot = profile.wet[0]
    assert spot.humidity == pytest.approx(1)
    # By hand: what comes through tile, panel and batts, less what the membrane lets go.
    come = (m.vapour_pressure_inhg(70, 0.5) - spot.saturation_inhg) / (1 / 1.0 + 1 / 0.7 + 1 / 100)
    go = (spot.saturation_inhg - m.vapour_pressure_inhg(20, 0.85)) * 0.06
    assert spot.condensation == pytest.approx(come - go)
    assert profile.flow_in - profile.flow_out == pytest.approx(profile.condensation)
    assert profile.working[-1].result == spot.condensation


def test_a_surface_colder_than_the_dew_point_is_wet() -> None:
    bare = (m.VapourLayer("panel", 0.6, 0.7),)
    profile = m.vapour_profile(m.Air(75, 0.8), m.Air(10, 0.8), bare, surface_r=(0.9, 0.2))
    assert profile.first_surface_wet
    assert profile.interfaces[0].humidity == 1
    turned = m.vapour_profile(m.Air(10, 0.8), m.Air(75, 0.8), bare, surface_r=(0.2, 0.9))
    assert turned.second_surface_wet


def _relaxed(profile: m.VapourProfile, layers: tuple[m.VapourLayer, ...]) -> list[float]:
    """The same obstacle problem by relaxation: each place takes the flow-balanced pressure, capped at saturation."""
    resistances: list[float] = []
    for layer in layers:
        parts = max(1, math.ceil(layer.r_value / (0.25 * 5.678263) - 1e-9))
        resistances += [1 / layer.permeance / parts] * parts
    ends = profile.interfaces[0].pressure_inhg, profile.interfaces[-1].pressure_inhg
    caps = [i.saturation_inhg for i in profile.interfaces]
    pressures = [ends[0], *[min(c, min(ends)) for c in caps[1:-1]], ends[1]]
    for _ in range(6000):
        for i in range(1, len(caps) - 1):
            left, right = 1 / resistances[i - 1], 1 / resistances[i]
            free = (left * pressures[i - 1] + right * pressures[i + 1]) / (left + right)
            pressures[i] = min(free, caps[i])
    return pressures


@pytest.mark.parametrize(
    ("warm", "cold", "layers"),
    [
        (m.Air(70, 0.5), m.Air(20, 0.85), _FLOOR),
        (m.Air(70, 0.6), m.Air(0, 0.7), (m.VapourLayer("board", 0.5, 40), m.VapourLayer("wool", 12, 30))),
        (
            m.Air(72, 0.65),
            m.Air(5, 0.8),
            (m.VapourLayer("a", 4, 5), m.VapourLayer("b", 6, 0.8), m.VapourLayer("c", 3, 10)),
        ),
    ],
)
def test_pressures_match_a_relaxed_obstacle_problem(
    warm: m.Air, cold: m.Air, layers: tuple[m.VapourLayer, ...]
) -> None:
    profile = m.vapour_profile(warm, cold, layers, surface_r=(0.6, 0.2))
    assert [i.pressure_inhg for i in profile.interfaces] == pytest.approx(_relaxed(profile, layers), rel=1e-6)


@settings(max_examples=40)
@given(
    st.floats(55, 80),
    st.floats(0.2, 0.9),
    st.floats(-10, 50),
    st.lists(st.tuples(st.floats(0, 12), st.floats(0.05, 50)), min_size=1, max_size=4),
)
def test_no_pressure_exceeds_saturation_and_water_is_kept(
    warm: float, rh: float, cold: float, parts: list[tuple[float, float]]
) -> None:
    layers = [m.VapourLayer(str(i), r, perm) for i, (r, perm) in enumerate(parts)]
    profile = m.vapour_profile(m.Air(warm, rh), m.Air(cold, 0.8), layers, surface_r=(0.6, 0.2))
    for place in profile.interfaces:
        assert place.pressure_inhg <= place.saturation_inhg * (1 + 1e-9)
    assert profile.flow_in - profile.flow_out == pytest.approx(profile.condensation, abs=1e-9)


def test_turning_the_build_up_round_turns_the_answer_round() -> None:
    there = m.vapour_profile(m.Air(70, 0.5), m.Air(20, 0.85), _FLOOR, surface_r=_FILMS)
    back = m.vapour_profile(m.Air(20, 0.85), m.Air(70, 0.5), _FLOOR[::-1], surface_r=_FILMS)
    assert back.flow_in == pytest.approx(-there.flow_out)
    assert back.condensation == pytest.approx(there.condensation)


def test_build_ups_that_cannot_be_reckoned() -> None:
    air = m.Air(70, 0.5)
    with pytest.raises(ValueError, match="at least one layer"):
        m.vapour_profile(air, air, [], surface_r=_FILMS)
    with pytest.raises(ValueError, match="permeance"):
        m.vapour_profile(air, air, [m.VapourLayer("foil", 0, 0)], surface_r=_FILMS)
    with pytest.raises(ValueError, match="r_value"):
        m.vapour_profile(air, air, [m.VapourLayer("x", -1, 1)], surface_r=_FILMS)
    with pytest.raises(ValueError, match="thermal resistance"):
        m.vapour_profile(air, air, [m.VapourLayer("x", 0, 1)], surface_r=(0, 0))


def test_surfaces_are_wet_by_their_own_air_only() -> None:
    """Without films each surface is as warm as its air, and dry; only inside is it colder than that air's dew point."""
    warm, cold = m.Air(80, 0.7), m.Air(20, 0.8)
    layers = (m.VapourLayer("felt", 1.0, 5.0), m.VapourLayer("board", 1.0, 1.0))
    for first, second, parts in ((warm, cold, layers), (cold, warm, layers[::-1])):
        profile = m.vapour_profile(first, second, parts, surface_r=(0, 0))
        assert profile.wet
        assert not profile.first_surface_wet
        assert not profile.second_surface_wet
        for place, air in ((profile.interfaces[0], first), (profile.interfaces[-1], second)):
            assert place.pressure_inhg == pytest.approx(m.vapour_pressure_inhg(air.temp_f, air.rh))


def test_no_place_is_damper_than_saturated() -> None:
    assert m.Interface("between", 50, 0.5, 0.4, 0.0).humidity == 1
    assert m.Interface("between", 50, 0.3, 0.4, 0.0).humidity == pytest.approx(0.75)


def test_a_layer_of_just_one_part_is_not_cut() -> None:
    airs = (m.Air(70, 0.4), m.Air(30, 0.6))
    for parts, r_value in ((1, m.PART_R), (2, m.PART_R + 0.01), (2, 2 * m.PART_R)):
        profile = m.vapour_profile(*airs, (m.VapourLayer("wool", r_value, 10.0),), surface_r=(0.5, 0.5))
        assert len(profile.interfaces) == parts + 1


@pytest.mark.parametrize("films", [(-0.1, 0.5), (0.5, -0.1)])
def test_a_film_can_not_have_less_than_no_resistance(films: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="surface_r"):
        m.vapour_profile(m.Air(70, 0.4), m.Air(30, 0.6), (m.VapourLayer("wool", 1, 10.0),), surface_r=films)
