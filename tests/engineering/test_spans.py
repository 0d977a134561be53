"""Joist and girder spans: working, governing limit, laws that must hold whatever the numbers."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import spans
from inspect_core.engineering.lumber import LumberError, Service, design_values, dressed, species_names
from inspect_core.engineering.spans import JoistSpan, allowable_joist_span, girder_span

GRADES = ("SS", "No.1", "No.2", "No.3")


def joist(**changes: object) -> JoistSpan:
    """A 2x8 Douglas fir-larch No.2 at 16 in., 40 psf live and 10 dead, with changes."""
    given_values: dict[str, object] = {
        "species": "douglas-fir-larch",
        "grade": "No.2",
        "thickness_in": 1.5,
        "depth_in": 7.25,
        "spacing_in": 16.0,
        "live_psf": 40.0,
        "dead_psf": 10.0,
    }
    return allowable_joist_span(**{**given_values, **changes})  # type: ignore[arg-type]


def test_the_example_of_the_span_command() -> None:
    # IRC 2021 Table R502.3.1(2): 12-9 for this joist, read from text.
    found = joist()
    assert (found.span_in, found.governs) == (153, "bending")
    assert found.status == "read from text"
    assert found.values.grade == "No.2"
    assert found.unrounded_in == found.bending_span_in < found.deflection_span_in


def test_spans_round_to_the_nearest_inch_halves_up() -> None:
    assert [spans.nearest_inch(span) for span in (152.49, 152.5, 153.0, 153.49)] == [152, 153, 153, 153]


def test_the_working_leads_to_the_span() -> None:
    found = joist()
    steps = {step.symbol: step for step in found.working}
    assert steps["Fb'"].result == pytest.approx(900 * 1.2 * 1.15)
    assert steps["L bending"].result == found.bending_span_in
    assert steps["L deflection"].result == found.deflection_span_in
    assert found.working[-1].result == found.span_in
    assert all(step.clause for step in found.working)


def test_without_live_load_bending_alone_counts() -> None:
    found = joist(live_psf=0.0)
    assert found.deflection_span_in == math.inf
    assert found.governs == "bending"
    assert "L deflection" not in {step.symbol for step in found.working}


def test_shear_and_bearing_are_at_their_limit_at_their_own_spans() -> None:
    found = joist()
    load = found.load_lb_per_in
    face = 1.5 * load * found.shear_span_in / 2 / found.section.area
    assert face == pytest.approx(found.adjusted.fv)
    at_d = 1.5 * load * (found.shear_at_d_span_in / 2 - 7.25) / found.section.area
    assert at_d == pytest.approx(found.adjusted.fv)
    assert load * found.bearing_span_in / 2 == pytest.approx(625 * 1.5 * 1.5)
    assert found.bearing_ratio == pytest.approx(found.span_in / found.bearing_span_in)
    assert found.shear_ratio(at_distance_d=False) == pytest.approx(found.span_in / found.shear_span_in)
    assert joist(bearing_length_in=3.0).bearing_ratio == pytest.approx(found.bearing_ratio / 2)


def test_joists_wider_apart_than_24_inches_are_not_repetitive() -> None:
    assert joist(spacing_in=24.0).adjusted.fb == pytest.approx(1242)
    assert joist(spacing_in=24.5).adjusted.fb == pytest.approx(1080)
    assert joist(service=Service(members=2)).adjusted.fb == pytest.approx(1080)
    assert joist(service=Service(spacing_in=30.0)).adjusted.fb == pytest.approx(1080)


@pytest.mark.parametrize(
    "change",
    [
        {"spacing_in": 0.0},
        {"spacing_in": math.nan},
        {"live_psf": -1.0},
        {"live_psf": 0.0, "dead_psf": 0.0},
        {"dead_psf": math.inf},
        {"deflection": 0.0},
        {"bearing_length_in": 0.0},
        {"species": "balsa"},
        {"grade": "No.9"},
        {"depth_in": 0.5},
    ],
)
def test_questions_without_sense_are_refused(change: dict[str, object]) -> None:
    with pytest.raises(LumberError):
        joist(**change)


cases = st.fixed_dictionaries(
    {
        "species": st.sampled_from(sorted(species_names())),
        "grade": st.sampled_from(GRADES),
        "size": st.sampled_from([(2, 4), (2, 6), (2, 8), (2, 10), (2, 12), (2, 14), (4, 8), (3, 10)]),
        "spacing": st.floats(6, 48),
        "live": st.floats(10, 100),
        "dead": st.floats(0, 60),
        "deflection": st.sampled_from([180.0, 240.0, 360.0, 480.0]),
    }
)


def _span(case: dict[str, object], service: Service | None = None) -> JoistSpan:
    return allowable_joist_span(
        case["species"],  # type: ignore[arg-type]
        case["grade"],  # type: ignore[arg-type]
        *dressed(*case["size"]),  # type: ignore[misc]
        case["spacing"],  # type: ignore[arg-type]
        case["live"],  # type: ignore[arg-type]
        case["dead"],  # type: ignore[arg-type]
        deflection=case["deflection"],  # type: ignore[arg-type]
        service=service,
    )


@settings(max_examples=60, deadline=None)
@given(case=cases, more=st.floats(0.001, 20))
def test_more_load_wider_spacing_and_tighter_limits_never_lengthen_a_span(case: dict[str, float], more: float) -> None:
    before = _span(case)  # type: ignore[arg-type]
    for key in ("spacing", "live", "dead", "deflection"):
        after = _span({**case, key: case[key] + more})
        assert after.unrounded_in <= before.unrounded_in
        assert after.span_in <= before.span_in


@settings(max_examples=60, deadline=None)
@given(case=cases)
def test_worse_conditions_never_lengthen_a_span(case: dict[str, object]) -> None:
    before = _span(case)
    for service in (Service(wet=True), Service(incised=True), Service(temperature_f=130.0),
                    Service(load_duration="permanent"), Service(members=1)):  # fmt: skip
        assert _span(case, service).unrounded_in <= before.unrounded_in


@settings(max_examples=60, deadline=None)
@given(case=cases, fb=st.floats(0.2, 1), e=st.floats(0.2, 1))
def test_lower_design_values_never_lengthen_a_span(case: dict[str, object], fb: float, e: float) -> None:
    before = _span(case)
    section, load = before.section, before.load_lb_per_in
    live = before.live_psf * before.spacing_in / 144
    bending = spans.bending_span(before.adjusted.fb * fb, section.section_modulus, load)
    deflection = spans.deflection_span(before.adjusted.e * e, section.inertia, live, before.deflection)
    assert bending <= before.bending_span_in
    assert deflection <= before.deflection_span_in


@settings(max_examples=40, deadline=None)
@given(case=cases)
def test_a_lower_grade_never_spans_further(case: dict[str, object]) -> None:
    found = [_span({**case, "grade": grade}) for grade in GRADES]
    for better, worse in itertools.pairwise(found):
        assert worse.unrounded_in <= better.unrounded_in


@settings(max_examples=40, deadline=None)
@given(case=cases)
def test_a_deeper_joist_of_the_same_grade_never_spans_less(case: dict[str, object]) -> None:
    found = [_span({**case, "size": (2, depth)}).unrounded_in for depth in (4, 6, 8, 10, 12, 14)]
    assert found == sorted(found)


# Girders -----------------------------------------------------------------------------------------------


def test_the_basis_of_a_girder_is_named_in_its_working() -> None:
    table = girder_span("code-table", 2, 1.5, 9.25, 600)
    alone = girder_span("nds", 2, 1.5, 9.25, 600, species="southern-pine", grade="No.2", live_plf=480)
    assert table.working[-1].clause == "code-table basis"
    assert alone.working[-1].clause == "nds basis"
    assert table.working[-1].result == table.span_in
    assert {step.symbol for step in alone.working} >= {"L bending", "L deflection", "L shear", "L"}


def test_deflection_and_shear_count_on_the_nds_basis_only() -> None:
    short = girder_span("nds", 2, 1.5, 11.25, 6000, species="spruce-pine-fir", grade="SS", live_plf=2400)
    assert short.governs == "shear"
    at_limit = 1.5 * 6000 / 12 * (short.unrounded_in / 2 - 11.25) / short.section.area
    assert at_limit == pytest.approx(short.strength.fv)
    assert girder_span("code-table", 2, 1.5, 11.25, 6000).governs == "bending"
    limber = girder_span("nds", 3, 1.5, 5.5, 100, species="southern-pine", grade="SS", live_plf=99)
    assert limber.governs == "deflection"
    unloaded = girder_span("nds", 3, 1.5, 5.5, 100, species="southern-pine", grade="SS")
    assert unloaded.governs == "bending"
    assert "L deflection" not in {step.symbol for step in unloaded.working}


def test_a_top_that_is_not_braced() -> None:
    # IRC 2021 Table R602.7(2), its note on top bracing, read from text: 0.70 for 2x8 and deeper.
    braced = girder_span("code-table", 2, 1.5, 7.25, 600)
    loose = girder_span("code-table", 2, 1.5, 7.25, 600, top_braced=False)
    assert loose.unrounded_in == pytest.approx(0.70 * braced.unrounded_in)
    assert "0.7 for a top not braced" in str(loose.working[-1])
    shallow = girder_span("code-table", 2, 1.5, 5.5, 600, top_braced=False)
    assert shallow == girder_span("code-table", 2, 1.5, 5.5, 600)
    hem = {"species": "hem-fir", "grade": "No.2"}
    with pytest.raises(LumberError, match="needs the stability factor"):
        girder_span("nds", 2, 1.5, 7.25, 600, top_braced=False, **hem)  # type: ignore[arg-type]
    slender = girder_span("nds", 2, 1.5, 7.25, 600, top_braced=False, stability_factor=0.9, **hem)  # type: ignore[arg-type]
    straight = girder_span("nds", 2, 1.5, 7.25, 600, **hem)  # type: ignore[arg-type]
    assert slender.bending_span_in == pytest.approx(math.sqrt(0.9) * straight.bending_span_in)
    assert "Fb* CL" in {step.formula for step in slender.working}


def test_girders_outside_the_table_are_refused_on_its_basis() -> None:
    for plies, thickness, depth in ((1, 1.5, 7.25), (5, 1.5, 7.25), (2, 3.5, 7.25), (2, 1.5, 13.25)):
        with pytest.raises(LumberError, match="the girder table covers"):
            girder_span("code-table", plies, thickness, depth, 600)


@pytest.mark.parametrize(
    "change",
    [
        {"line_load_plf": 0.0},
        {"basis": "nds"},
        {"basis": "nds", "species": "hem-fir"},
        {"basis": "guess"},
        {"live_plf": -1.0},
        {"deflection": 0.0},
        {"basis": "nds", "species": "hem-fir", "grade": "No.2", "stability_factor": 0.0},
        {"basis": "nds", "species": "hem-fir", "grade": "No.2", "stability_factor": 1.1},
    ],
)
def test_girder_questions_without_sense_are_refused(change: dict[str, object]) -> None:
    question: dict[str, object] = {
        "basis": "code-table",
        "plies": 2,
        "thickness_in": 1.5,
        "depth_in": 9.25,
        "line_load_plf": 600.0,
        **change,
    }
    with pytest.raises(LumberError):
        girder_span(**question)  # type: ignore[arg-type]


def test_the_girder_table_speaks_of_four_species_from_its_grade_up() -> None:
    """IRC 2021 Table R602.7(2) assumes No.2 of Douglas fir-larch, hem-fir, southern pine and spruce-pine-fir (read)."""
    held = [("DF-L", "No.2"), ("SPF", "No.1"), ("SP", "No.2"), ("HF", "SS")]
    weaker = [("DF-L", "No.3"), ("WC", "SS"), ("SPF-S", "No.2")]
    for name in (*held, *weaker):
        assert spans.girder_table_covers(design_values(*name, 1.5, 9.25), 1.5, 9.25) == (name in held)


def test_service_conditions_reach_a_girder() -> None:
    dry = girder_span("nds", 3, 1.5, 9.25, 600, species="southern-pine", grade="No.2", live_plf=480)
    wet = girder_span(
        "nds", 3, 1.5, 9.25, 600, species="southern-pine", grade="No.2", live_plf=480,
        service=Service(wet=True, incised=True),
    )  # fmt: skip
    assert wet.unrounded_in < dry.unrounded_in
    assert wet.status == "from memory"  # incising is
    assert dry.status == "read from text"


@settings(max_examples=40, deadline=None)
@given(
    plies=st.integers(2, 4),
    depth=st.sampled_from([4, 6, 8, 10, 12]),
    load=st.floats(100, 5000),
    more=st.floats(0.1, 1000),
)
def test_more_load_never_lengthens_a_girder(plies: int, depth: int, load: float, more: float) -> None:
    size = dressed(2, depth)
    for options in ({}, {"species": "hem-fir", "grade": "No.2"}):
        basis = "nds" if options else "code-table"
        light, heavy = (
            girder_span(basis, plies, *size, plf, live_plf=0.8 * plf, **options)  # type: ignore[arg-type]
            for plf in (load, load + more)
        )
        assert heavy.span_in <= light.span_in
        more_plies = girder_span(basis, min(plies + 1, 4), *size, load, live_plf=0.8 * load, **options)  # type: ignore[arg-type]
        assert more_plies.span_in >= light.span_in


def test_results_are_values() -> None:
    assert joist() == joist()
    with pytest.raises(dataclasses.FrozenInstanceError):
        joist().spacing_in = 12.0  # type: ignore[misc]
