"""Condensation with ranges: what comes out holds for every number within them, and moves the right way."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import condensation as c
from inspect_core.engineering import moisture as m

FILM = c.Span(0.6, 0.95)


@st.composite
def spans(draw: st.DrawFn, low: float, high: float) -> c.Span:
    ends = sorted((draw(st.floats(low, high)), draw(st.floats(low, high))))
    return c.Span(*ends)


@st.composite
def floors(draw: st.DrawFn) -> tuple[c.RangedLayer, ...]:
    count = draw(st.integers(1, 4))
    return tuple(c.RangedLayer(f"L{n}", draw(spans(0, 8)), draw(spans(0.05, 50))) for n in range(count))


airs = st.builds(c.RangedAir, spans(10, 85), spans(0.2, 0.99))
picks = st.lists(st.floats(0, 1), min_size=60, max_size=60)


def exact(value: float) -> c.Span:
    return c.Span(value, value)


def picked(span: c.Span, share: float) -> float:
    return min(max(span.low + (span.high - span.low) * share, span.low), span.high)


@settings(max_examples=60)
@given(airs, airs, floors(), picks)
def test_every_choice_within_the_ranges_lies_within_the_answer(
    first: c.RangedAir, second: c.RangedAir, layers: tuple[c.RangedLayer, ...], shares: list[float]
) -> None:
    """One choice of all numbers, worked out in full by itself: a straight line of temperature, one of pressure."""
    share = iter(shares)
    parts = c.in_parts(layers)
    places = c.humidities(first, second, parts, FILM)
    by_layer = {layer.name: (next(share), next(share)) for layer in layers}
    counts = {layer.name: sum(p.name == layer.name for p in parts) for layer in layers}
    whole = {x.name: (picked(x.r_value, by_layer[x.name][0]), picked(x.permeance, by_layer[x.name][1])) for x in layers}
    films = picked(FILM, next(share)), picked(FILM, next(share))
    t1, t2 = picked(first.temp_f, next(share)), picked(second.temp_f, next(share))
    p1 = picked(first.rh, next(share)) * m.saturation_pressure_inhg(t1)
    p2 = picked(second.rh, next(share)) * m.saturation_pressure_inhg(t2)
    heat, vapour = [films[0]], [0.0]
    for part in parts:
        r_value, permeance = whole[part.name]
        heat.append(heat[-1] + r_value / counts[part.name])
        vapour.append(vapour[-1] + 1 / permeance / counts[part.name])
    for place, r, z in zip(places, heat, vapour, strict=True):
        temp = t1 + (t2 - t1) * r / (heat[-1] + films[1])
        pressure = p1 + (p2 - p1) * z / vapour[-1]
        humidity = pressure / m.saturation_pressure_inhg(temp)
        assert place.temp_f.low - 1e-9 <= temp <= place.temp_f.high + 1e-9
        assert place.humidity.low * (1 - 1e-9) <= humidity <= place.humidity.high * (1 + 1e-9)


@settings(max_examples=40)
@given(airs, airs, floors())
def test_the_hard_case_is_wet_where_the_answer_may_be(
    first: c.RangedAir, second: c.RangedAir, layers: tuple[c.RangedLayer, ...]
) -> None:
    first, second = (c.RangedAir(exact(a.temp_f.middle), exact(a.rh.high)) for a in (first, second))
    parts = c.in_parts(layers)
    places = c.humidities(first, second, parts, FILM)
    worst = c.wettest(places)
    profile = c.hard_case(first, second, parts, FILM, worst).profile
    wet = bool(profile.wet) or profile.first_surface_wet or profile.second_surface_wet
    if places[worst].humidity.high > 1 + 1e-9:
        assert wet
    elif places[worst].humidity.high < 1 - 1e-9:
        assert not wet
    at_worst = profile.interfaces[worst]
    assert min(places[worst].humidity.high, 1.0) == pytest.approx(at_worst.humidity, rel=1e-6) or wet


@settings(max_examples=30)
@given(airs, airs, floors(), st.floats(0.001, 0.01))
def test_damper_air_is_damper_everywhere(
    first: c.RangedAir, second: c.RangedAir, layers: tuple[c.RangedLayer, ...], more: float
) -> None:
    parts = c.in_parts(layers)
    damper = c.RangedAir(first.temp_f, c.Span(first.rh.low + more, first.rh.high + more))
    before, after = (c.humidities(air, second, parts, FILM) for air in (first, damper))
    for dry, wet in zip(before, after, strict=True):
        assert wet.humidity.low >= dry.humidity.low - 1e-12
        assert wet.humidity.high >= dry.humidity.high - 1e-12


@settings(max_examples=30)
@given(st.floats(0.05, 5), st.floats(1.1, 20))
def test_a_tighter_layer_on_the_cold_side_is_wetter_inside(permeance: float, times: float) -> None:
    cold, warm = c.RangedAir(exact(35), exact(0.7)), c.RangedAir(exact(70), exact(0.5))
    wool = c.RangedLayer("wool", exact(19), exact(20))

    def inside(perms: float) -> float:
        parts = c.in_parts((c.RangedLayer("facing", exact(0), exact(perms)), wool))
        return c.humidities(cold, warm, parts, FILM)[1].humidity.high

    assert inside(permeance) > inside(permeance * times)


@settings(max_examples=30)
@given(airs, airs, floors())
def test_turning_the_floor_over_turns_the_answer_over(
    first: c.RangedAir, second: c.RangedAir, layers: tuple[c.RangedLayer, ...]
) -> None:
    there = c.humidities(first, second, c.in_parts(layers), FILM)
    back = c.humidities(second, first, c.in_parts(layers[::-1]), FILM)
    for one, other in zip(there, back[::-1], strict=True):
        assert one.humidity.low == pytest.approx(other.humidity.low)
        assert one.humidity.high == pytest.approx(other.humidity.high)


@settings(max_examples=30)
@given(floors())
def test_layers_in_series_let_less_through_than_each(layers: tuple[c.RangedLayer, ...]) -> None:
    whole = c.series_permeance(layers)
    assert whole.high <= min(layer.permeance.high for layer in layers) * (1 + 1e-9)
    assert whole.low <= min(layer.permeance.low for layer in layers) * (1 + 1e-9)
    assert 1 / whole.low == pytest.approx(sum(1 / layer.permeance.low for layer in layers))


def test_no_layers_are_as_open_as_air() -> None:
    assert c.series_permeance(()) == c.Span(c.MOST_OPEN, c.MOST_OPEN)


def test_two_tight_layers_keep_water_in() -> None:
    """By hand: between two films of 0.06 perm next to nothing leaves, with one taken away a hundred times as much."""
    saturated, air = m.saturation_pressure_inhg(65), m.vapour_pressure_inhg(65, 0.5)
    shut = c.drying_rate(65, (0.06, air), (0.06, air))
    open_ = c.drying_rate(65, (6.0, air), (0.06, air))
    assert shut == (pytest.approx(0.06 * saturated / 2), pytest.approx(0.06 * saturated / 2))
    assert sum(open_) > 50 * sum(shut)
    wetter = c.drying_rate(50, (1.0, m.saturation_pressure_inhg(70)), (0.0, 0.0))
    assert wetter[0] < 0
    assert wetter[1] == 0


def test_places_are_named_as_people_point_at_them() -> None:
    parts = c.in_parts((c.layer_of("wool", "glass-wool", exact(5.5)), c.layer_of("panel", "plywood", exact(0.75))))
    names = [p.name for p in c.humidities(c.RangedAir(exact(40), exact(0.7)), c.RangedAir(exact(70), exact(0.4)),
                                          parts, c.films())]  # fmt: skip
    assert names[0] == "lower face of wool"
    assert names[1] == "inside wool"
    assert "between wool and panel" in names
    assert names[-1] == "upper face of panel"


def test_figures_by_material_thickness_and_class() -> None:
    thin, thick = (c.layer_of("p", "plywood", exact(t)) for t in (0.5, 1.0))
    assert thick.permeance.high == pytest.approx(thin.permeance.high / 2)
    assert thick.r_value.low == pytest.approx(2 * thin.r_value.low)
    unknown = c.layer_of("p", "plywood")
    assert unknown.permeance.low <= thick.permeance.low
    assert unknown.permeance.high >= thin.permeance.high
    assert c.layer_of("x", "class-II").permeance == c.Span(0.1, 1.0)
    assert c.layer_of("x", "class-I").permeance.low == c.TIGHTEST
    assert c.layer_of("x", "class-open").permeance.low == 10
    assert c.layer_of("x", "unknown", permeance=exact(0)).permeance == exact(c.TIGHTEST)
    assert c.layer_of("x", "no such thing").permeance == c.layer_of("x", "unknown").permeance
    assert c.layer_of("x", "felt").status == "from memory"  # its permeance was read, its thermal resistance was not
    assert c.films().low < c.films().high


def test_what_is_not_a_range_or_a_floor_is_refused() -> None:
    with pytest.raises(ValueError, match="range"):
        c.Span(2, 1)
    with pytest.raises(ValueError, match="range"):
        c.Span(0, math.inf)
    air = c.RangedAir(exact(60), exact(0.5))
    with pytest.raises(ValueError, match="at least one layer"):
        c.humidities(air, air, (), FILM)
    with pytest.raises(ValueError, match="permeance"):
        c.in_parts((c.RangedLayer("x", exact(1), exact(0)),))
    with pytest.raises(ValueError, match="r_value"):
        c.in_parts((c.RangedLayer("x", c.Span(-1, 1), exact(1)),))
    with pytest.raises(ValueError, match="permeance"):
        c.drying_rate(60, (-1, 0.2), (1, 0.2))


def test_steps_show_each_place_and_what_condenses() -> None:
    cold, warm = c.RangedAir(exact(30), exact(0.8)), c.RangedAir(exact(70), exact(0.5))
    parts = c.in_parts((c.RangedLayer("foil", exact(0), exact(0.01)), c.RangedLayer("wool", exact(19), exact(20))))
    places = c.humidities(cold, warm, parts, FILM)
    case = c.hard_case(cold, warm, parts, FILM, c.wettest(places))
    steps = c.profile_steps(case, places)
    assert [s.result for s in steps if s.symbol == "p"] == [cold.pressure.high, warm.pressure.high]
    shares = {s.formula: s.result for s in steps if s.symbol == "φ"}
    assert len(shares) == 3  # nothing of the wool's inside, where nothing happens
    assert shares["p / saturated, between foil and wool"] == pytest.approx(100 * places[1].humidity.high, rel=1e-6)
    (wet,) = (s for s in steps if s.symbol == "g")
    assert wet.formula == "condensing between foil and wool"
    assert wet.result == pytest.approx(case.profile.condensation)


def test_the_hard_case_takes_the_hard_ends_of_both_temperatures() -> None:
    """Foil over wool, 30 ± 2 °F below and 70 ± 2 °F above: wettest with 28 and 72, by hand (saturation by table).

    The foil lies at 28 + 44 × 0.61/20.53 = 29.3 °F, saturated 0.160 inHg; vapour 0.5 × 0.791 = 0.396 inHg: 2.48 times.
    At the middles, 30 and 70 °F, it would be 2.12 times.
    """
    cold, warm = c.RangedAir(c.Span(28, 32), exact(0.8)), c.RangedAir(c.Span(68, 72), exact(0.5))
    parts = c.in_parts((c.RangedLayer("foil", exact(0), exact(0.01)), c.RangedLayer("wool", exact(19), exact(20))))
    case = c.hard_case(cold, warm, parts, c.films(), 1)
    assert (case.first.temp_f, case.second.temp_f) == (28, 72)
    assert case.humidity_at(1) == pytest.approx(2.48, rel=0.01)


@settings(max_examples=40)
@given(airs, airs, floors(), st.floats(0, 1), st.floats(0, 1))
def test_no_temperatures_between_the_ends_make_the_place_much_wetter(
    first: c.RangedAir, second: c.RangedAir, layers: tuple[c.RangedLayer, ...], one: float, other: float
) -> None:
    """The hard case is within what is possible, and nothing in between goes beyond it."""
    parts = c.in_parts(layers)
    places = c.humidities(first, second, parts, FILM)
    place = c.wettest(places)
    hard = c.hard_case(first, second, parts, FILM, place).humidity_at(place)
    assert hard <= places[place].humidity.high * (1 + 1e-9)
    below, above = (c.RangedAir(exact(picked(x.temp_f, s)), x.rh) for x, s in ((first, one), (second, other)))
    assert c.hard_case(below, above, parts, FILM, place).humidity_at(place) <= hard * 1.001


# ---- in moisture.py ----


@settings(max_examples=30)
@given(st.floats(30, 90), st.floats(0.1, 0.95), st.floats(0.1, 1))
def test_the_surface_at_which_air_comes_to_a_humidity(temp: float, rh: float, surface: float) -> None:
    there = m.surface_temp_for_humidity(temp, rh, surface)
    assert m.surface_humidity(temp, rh, there) == pytest.approx(surface, rel=1e-7)


@settings(max_examples=30)
@given(st.floats(3, 12), st.floats(5, 40), st.floats(5, 40), st.floats(0.001, 0.003))
def test_shrinkage_there_and_back(depth: float, start: float, end: float, share: float) -> None:
    lost = m.shrinkage_in(depth, start, end, share, 28)
    assert lost == pytest.approx(-m.shrinkage_in(depth, end, start, share, 28))
    assert (lost >= 0) == (min(start, 28) >= min(end, 28))
    assert m.shrinkage_in(depth, 40, 30, share, 28) == 0


@pytest.mark.parametrize("temp", [30, 50, 70, 90])
@pytest.mark.parametrize("rh", [0.3, 0.5, 0.7, 0.9])
def test_both_sets_of_coefficients_say_the_same(temp: float, rh: float) -> None:
    fahrenheit = m.wood_emc_percent(temp, rh, scale="fahrenheit")
    assert m.wood_emc_percent(temp, rh) == pytest.approx(fahrenheit, abs=0.02)


@pytest.mark.parametrize(
    ("r_value", "parts"), [(0.0, 1), (m.PART_R, 1), (1.2 * m.PART_R, 2), (2 * m.PART_R, 2), (2.01 * m.PART_R, 3)]
)
def test_no_part_has_more_than_its_share_of_resistance(r_value: float, parts: int) -> None:
    layer = c.RangedLayer("wool", exact(r_value), exact(30.0))
    found = c.in_parts([layer])
    assert len(found) == parts
    assert sum(part.r_value.high for part in found) == pytest.approx(r_value)
    assert sum(1 / part.permeance.low for part in found) == pytest.approx(1 / 30)


def test_without_any_thermal_resistance_a_place_may_be_as_warm_as_either_air() -> None:
    parts = [c.RangedLayer("sheet", exact(0.0), exact(1.0))]
    airs = (c.RangedAir(exact(60.0), exact(0.4)), c.RangedAir(exact(20.0), exact(0.4)))
    for place in c.humidities(*airs, parts, exact(0.0)):
        assert (place.temp_f.low, place.temp_f.high) == pytest.approx((20, 60))


def test_a_layer_of_no_thickness_may_be_anything() -> None:
    nothing, something = (c.layer_of("board", "plywood", c.Span(low, 0.5)) for low in (0.0, 0.25))
    assert nothing.permeance.high >= something.permeance.high > nothing.permeance.low
