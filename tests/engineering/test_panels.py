"""Panels: look-ups, build-ups and the plate model, against independent solutions of the same mechanics."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import panels, tables
from inspect_core.engineering.panels import (
    Capacity,
    FloorPlate,
    Layer,
    board_spacing,
    build_up,
    capacity,
    capacity_bounds,
    check_point,
    check_uniform,
    continuity_factor,
    rating_for_thickness,
    sanded_plywood_spacing,
    span_rating,
    span_ratings,
)


def _sheet(**changes: Any) -> Capacity:
    """A made-up panel with round numbers."""
    base = Capacity("made-up", "24oc", 0.75, 360_000, 90_000, 800, 400, 300, 60_000, "test", "computed", "computed")
    return replace(base, **changes)


def _plate(*layers: Layer, composite: float = 0.0) -> FloorPlate:
    return build_up(layers or (Layer(_sheet()),), composite=composite)


# ---- look-ups ----


@pytest.mark.parametrize("text", ["24oc", "24 o.c.", "24 oc", "24 OC", "24 o/c"])
def test_single_floor_rating_is_found_as_people_write_it(text: str) -> None:
    assert span_rating(text).rating == "24oc"


def test_ratings_are_of_two_kinds() -> None:
    """Two numbers are sheathing's, roof and floor; one with o.c. is that of a single floor (the grade marks say so)."""
    kinds = {name: rating.kind for name, rating in span_ratings().items()}
    assert {kinds["24/16"], kinds["32/16"], kinds["48/24"]} == {"sheathing"}
    assert {kinds["16oc"], kinds["20oc"], kinds["24oc"], kinds["48oc"]} == {"single-floor"}


def test_unknown_rating_names_those_that_exist() -> None:
    with pytest.raises(LookupError, match="48/24"):
        span_rating("24/24")


def test_sheathing_rated_for_roofs_only_has_no_floor_load() -> None:
    roof = span_rating("24/0")
    assert roof.joist_spacing_in == 0
    assert roof.floor_load_psf is None


def test_wider_spacing_always_comes_with_its_condition() -> None:
    for rating in span_ratings().values():
        assert (rating.wider_spacing_in is None) == (rating.wider_when == "")


@pytest.mark.parametrize(
    ("thickness", "group", "spacing"),
    [(0.5, 1, 16), (0.7, 1, 20), (0.75, 4, 16), (0.5, 3, None), (0.7, 4, None), (2.0, 2, 24)],
)
def test_sanded_plywood_takes_the_thinner_printed_row(thickness: float, group: int, spacing: float | None) -> None:
    found = sanded_plywood_spacing(thickness, group)
    assert (found.value if found else None) == spacing


@pytest.mark.parametrize("group", [0, 5])
def test_sanded_plywood_has_four_groups(group: int) -> None:
    with pytest.raises(ValueError, match="1 to 4"):
        sanded_plywood_spacing(0.75, group)


@pytest.mark.parametrize(
    ("thickness", "direction", "spacing"),
    [
        (0.75, "perpendicular", 24),
        (11 / 16, "perpendicular", 24),
        (11 / 16, "diagonal", 16),
        (0.75, "diagonal", 24),
        (0.5, "diagonal", None),
        (1.5, "perpendicular", 24),
    ],
)
def test_boards(thickness: float, direction: panels.ratings.Direction, spacing: float | None) -> None:
    found = board_spacing(thickness, direction)
    assert (found.value if found else None) == spacing


def test_thick_plank_needs_known_strength_and_tongues() -> None:
    def spacing(**known: float) -> float:
        found = board_spacing(1.5, "perpendicular", tongue_and_groove=True, **known)
        assert found is not None
        return found.value

    assert spacing() == 24
    assert spacing(fb_psi=900) == 24
    assert spacing(fb_psi=900, e_psi=1.4e6) == 54
    assert spacing(fb_psi=700, e_psi=1.7e6) == 48
    plain = board_spacing(1.5, "perpendicular", fb_psi=900, e_psi=1.7e6)
    assert plain is not None
    assert plain.value == 24


def test_boards_run_one_of_two_ways() -> None:
    with pytest.raises(ValueError, match="direction"):
        board_spacing(0.75, "parallel")  # type: ignore[arg-type]


# ---- a panel whose stamp can't be read ----


def test_osb_thickness_bounds_are_those_of_its_ratings() -> None:
    bounds = rating_for_thickness(19 / 32, "osb")
    assert set(bounds.ratings) == {"40/20", "16oc", "20oc"}
    assert (bounds.spacing_lower_in, bounds.spacing_upper_in) == (16, 20)
    assert bounds.sanded_groups == ()


def test_unknown_three_quarter_panel_may_be_weak_sanded_plywood() -> None:
    bounds = rating_for_thickness(0.75)
    assert bounds.sanded_groups == (1, 2, 3, 4)
    assert (bounds.spacing_lower_in, bounds.spacing_upper_in) == (16, 24)


def test_half_inch_plywood_may_be_no_floor_panel_at_all() -> None:
    bounds = rating_for_thickness(0.5, "plywood")
    assert bounds.sanded_groups == (1,)
    assert bounds.spacing_lower_in == 0
    assert bounds.spacing_upper_in == 16


def test_a_thickness_between_two_covers_both() -> None:
    halfway = (7 / 16 + 15 / 32) / 2
    assert {"24/16", "32/16"} <= set(rating_for_thickness(halfway, "osb").ratings)


def test_tolerance_reaches_just_so_far() -> None:
    assert rating_for_thickness(0.75 + 1 / 64, "osb").ratings
    with pytest.raises(LookupError, match="no published floor panel"):
        rating_for_thickness(0.75 + 1 / 64 + 0.001, "osb")


# ---- capacities ----


def test_every_rating_for_floors_has_osb_capacities_but_one() -> None:
    missing = []
    for name in span_ratings():
        try:
            capacity("osb", name)
        except LookupError:
            missing.append(name)
    assert missing == ["16/0", "20/0", "60/32"]


def test_plywood_is_no_weaker_along_its_face_grain() -> None:
    for plies in (3, 4, 5):
        for name in ("24/16", "48/24", "24oc", "48oc"):
            panel = capacity(f"plywood-{plies}-ply", name)
            assert panel.ei_along > panel.ei_across
            assert panel.fbs_along > panel.fbs_across


def test_status_is_that_of_the_weakest_number() -> None:
    assert capacity("osb", "24oc").status == "from memory"  # its shear through the thickness
    assert capacity("osb", "24oc").ei_status == "read from text"
    assert capacity("plywood-5-ply", "24oc").ei_status == "from memory"


def test_bounds_lie_around_each_candidate() -> None:
    least, greatest = capacity_bounds(thickness_in=0.75)
    for material in ("osb", "plywood-3-ply", "plywood-4-ply", "plywood-5-ply"):
        for rating in ("48/24", "24oc"):
            one = capacity(material, rating)
            for name in ("ei_along", "ei_across", "fbs_along", "fbs_across", "planar_shear_along", "rigidity"):
                assert getattr(least, name) <= getattr(one, name) <= getattr(greatest, name)
    assert least.ei_along < greatest.ei_along


def test_bounds_of_a_known_panel_close() -> None:
    least, greatest = capacity_bounds("osb", rating="24 o.c.")
    assert least == greatest == capacity("osb", "24oc")


def test_bounds_need_one_of_rating_and_thickness() -> None:
    with pytest.raises(ValueError, match="either"):
        capacity_bounds()
    with pytest.raises(ValueError, match="either"):
        capacity_bounds(rating="24oc", thickness_in=0.75)
    with pytest.raises(LookupError, match="60/32"):
        capacity_bounds(rating="60/32")


# ---- build-ups ----


def test_loose_layers_add() -> None:
    one, two = _plate(), _plate(Layer(_sheet()), Layer(_sheet()))
    for name in ("ei_across_joists", "ei_along_joists", "twist", "bending", "planar_shear", "thickness_in"):
        assert getattr(two, name) == pytest.approx(2 * getattr(one, name))


def test_full_bond_of_two_like_sheets_is_one_sheet_of_twice_the_thickness() -> None:
    bonded, one = _plate(Layer(_sheet()), Layer(_sheet()), composite=1), _plate()
    assert bonded.ei_across_joists == pytest.approx(8 * one.ei_across_joists)
    assert bonded.twist == pytest.approx(8 * one.twist)
    half = _plate(Layer(_sheet()), Layer(_sheet()), composite=0.5)
    assert half.ei_across_joists == pytest.approx(5 * one.ei_across_joists)


def test_bond_of_unlike_sheets_matches_a_transformed_section() -> None:
    thin, thick = _sheet(ei_along=50_000, thickness_in=0.5), _sheet()
    plate = _plate(Layer(thick), Layer(thin), composite=1)
    # Independent: E of each from EI = E·12·t³/12 on 1 ft, then parallel axes by integrating E y² through the depth.
    e_thick, e_thin = 360_000 / 0.75**3, 50_000 / 0.5**3
    y = np.linspace(0, 1.25, 200_001)
    e = np.where(y < 0.75, e_thick, e_thin)
    axis = np.trapezoid(e * y, y) / np.trapezoid(e, y)
    assert plate.ei_across_joists == pytest.approx(12 * np.trapezoid(e * (y - axis) ** 2, y), rel=1e-4)


def test_the_stiffer_layer_takes_more_and_governs() -> None:
    strong_way, weak_way = Layer(_sheet()), Layer(_sheet(), "along-joists")
    plate = _plate(strong_way, weak_way)
    assert plate.ei_across_joists == 450_000
    assert plate.ei_along_joists == 450_000
    # 4/5 of the moment in the strong layer (800), 1/5 in the weak one (400): the strong layer governs.
    assert plate.bending == pytest.approx(1000)
    assert plate.planar_shear is None


def test_stating_a_bond_is_a_judgement() -> None:
    assert _plate().status == "computed"
    assert _plate(Layer(_sheet()), composite=0.2).status == "common practice, no source"


@pytest.mark.parametrize("composite", [-0.1, 1.1])
def test_composite_is_a_fraction(composite: float) -> None:
    with pytest.raises(ValueError, match="composite"):
        _plate(composite=composite)


def test_a_plate_needs_a_layer_that_lies_one_of_two_ways() -> None:
    with pytest.raises(ValueError, match="at least one"):
        build_up([])
    with pytest.raises(ValueError, match="strength axis"):
        build_up([Layer(_sheet(), "diagonal")])  # type: ignore[arg-type]


# ---- uniform load ----


def _worst_deflection(end_moment: float) -> float:
    """Greatest deflection of a span with w = L = EI = 1 and a hogging moment at one end only."""
    x = np.linspace(0, 1, 100_001)
    return float(np.max(x * (1 - 2 * x**2 + x**3) / 24 - end_moment * x * (1 - x**2) / 6))


@pytest.mark.parametrize(("spans", "end_moment", "rounding"), [(1, 0, 1e-6), (2, 1 / 8, 0.003), (3, 1 / 10, 0.003)])
def test_deflection_formulas_are_beam_theory(spans: panels.plate.Spans, end_moment: float, rounding: float) -> None:
    check = check_uniform(_plate(), 16, 100, spans=spans)
    span = 16 - 1.5 + 0.25
    by_theory = _worst_deflection(end_moment) * (100 / 12) * span**4 / 360_000
    assert check.deflection_in == pytest.approx(by_theory, rel=rounding)
    assert check.deflection_ratio == pytest.approx(16 / check.deflection_in)


@pytest.mark.parametrize(("spans", "moment", "shear"), [(1, 1 / 8, 1 / 2), (2, 1 / 8, 5 / 8), (3, 1 / 10, 6 / 10)])
def test_strength_formulas_are_beam_theory(spans: panels.plate.Spans, moment: float, shear: float) -> None:
    check = check_uniform(_plate(), 24, 150, spans=spans)
    line = 150 / 12  # lb per inch on a strip 1 ft wide
    assert check.bending_use == pytest.approx(moment * line * 24**2 / 800)
    assert check.shear_use == pytest.approx(shear * line * 22.5 / 300)


@pytest.mark.parametrize(
    ("framing", "span"),
    [(1.5, 48 - 1.5 + 0.25), (2.0, 48 - 2 + 0.25), (3.5, 48 - 3.5 + 0.625), (5.5, 48 - 5.5 + 0.625)],
)
def test_on_wide_framing_more_of_the_bearing_counts_as_span(framing: float, span: float) -> None:
    """Clear span + 0.25 in on 2 in nominal framing, + 0.625 in on 4 in nominal (panel specification, from memory).

    By hand, three spans at 48 in on 3.5 in: Δ = 40 × 45.125⁴/(1743 EI); with 0.25 in it would be 3.3 percent less.
    """
    plate = _plate()
    deflection = check_uniform(plate, 48, 40, framing_width_in=framing).deflection_in
    assert deflection == pytest.approx(40 * span**4 / (1743 * plate.ei_across_joists))


def test_wider_framing_never_bends_a_panel_more() -> None:
    widths = [0.5 + 0.125 * step for step in range(40)]
    sags = [check_uniform(_plate(), 24, 40, framing_width_in=width).deflection_in for width in widths]
    assert sags == sorted(sags, reverse=True)


def test_shear_the_weak_way_is_unknown_not_enough() -> None:
    plate = _plate(Layer(_sheet(), "along-joists"))
    check = check_uniform(plate, 16, 40)
    assert check.shear_use is None
    assert [step.symbol for step in check.working] == ["EI", "Δ", "L/Δ", "bending"]


def test_working_of_a_uniform_check_ends_in_its_numbers() -> None:
    check = check_uniform(_plate(), 16, 40)
    by_symbol = {step.symbol: step.result for step in check.working}
    assert by_symbol["Δ"] == check.deflection_in
    assert by_symbol["bending"] == check.bending_use
    assert by_symbol["shear"] == check.shear_use


@pytest.mark.parametrize(
    ("spacing", "framing", "load", "spans", "word"),
    [
        (0, 1.5, 40, 3, "joist_spacing_in"),
        (16, -1, 40, 3, "framing_width_in"),
        (16, 16, 40, 3, "narrower"),
        (16, 1.5, 0, 3, "load_psf"),
        (16, 1.5, 40, 4, "spans"),
        (16, 1.5, math.nan, 3, "load_psf"),
    ],
)
def test_uniform_check_refuses_nonsense(spacing: float, framing: float, load: float, spans: int, word: str) -> None:
    with pytest.raises(ValueError, match=word):
        check_uniform(_plate(), spacing, load, spans=spans, framing_width_in=framing)  # type: ignore[arg-type]


# ---- point load ----


def _isotropic(d: float = 12_000.0) -> FloorPlate:
    return replace(_plate(), ei_across_joists=12 * d, ei_along_joists=12 * d, twist=d)


def _span() -> float:
    return 16 - 1.5 + 0.25


def test_orthotropic_plate_matches_a_sum_of_numerical_fourier_integrals() -> None:
    dx, dy, h, a = 30_000.0, 5_000.0, 4_000.0, _span()
    plate = replace(_plate(), ei_across_joists=12 * dx, ei_along_joists=12 * dy, twist=h)
    total = 0.0
    for m in range(1, 60, 2):
        alpha = m * math.pi / a
        t = np.linspace(0, 60, 60_001)  # wave number in units of alpha
        spectrum = 1 / (dx + 2 * h * t**2 + dy * t**4)
        total += 2 / a / math.pi / alpha**3 * float(np.trapezoid(spectrum, t))
    assert check_point(plate, 16, 1.0, spans=1).deflection_in == pytest.approx(total, rel=2e-4)


def test_free_edge_matches_finite_differences() -> None:
    """One wave, the beam equation across it solved on a grid with a free, loaded end."""
    dx, dy, h, alpha = 3.0, 1.0, 0.8, 1.0
    n, length = 800, 12.0
    step = length / n
    size = n + 5  # two ghost points before the free edge, two after the far end
    matrix = np.zeros((size, size))
    load = np.zeros(size)
    row = 0
    for i in range(2, n + 3):
        second = [(i - 1, 1.0), (i, -2.0), (i + 1, 1.0)]
        fourth = [(i - 2, 1.0), (i - 1, -4.0), (i, 6.0), (i + 1, -4.0), (i + 2, 1.0)]
        for j, c in fourth:
            matrix[row, j] += dy * c / step**4
        for j, c in second:
            matrix[row, j] -= 2 * h * alpha**2 * c / step**2
        matrix[row, i] += dx * alpha**4
        row += 1
    edge = 2
    matrix[row, edge - 1 : edge + 2] = [1, -2, 1]  # no moment
    row += 1
    # Shear (with the twisting part, 4 Dxy = 2 H) equals the load: Dy Y''' - 2 H α² Y' = 1.
    for j, c in ((edge - 2, -0.5), (edge - 1, 1.0), (edge + 1, -1.0), (edge + 2, 0.5)):
        matrix[row, j] += dy * c / step**3
    for j, c in ((edge - 1, -0.5), (edge + 1, 0.5)):
        matrix[row, j] -= 2 * h * alpha**2 * c / step
    load[row] = 1.0
    row += 1
    matrix[row, n + 2] = matrix[row + 1, n + 3] = 1.0
    at_edge = float(np.linalg.solve(matrix, load)[edge])
    inside = 1 / (2 * alpha**3 * math.sqrt(2 * dx * (h + math.sqrt(dx * dy))))
    plate = replace(_plate(), ei_across_joists=12 * dx, ei_along_joists=12 * dy, twist=h)
    free = check_point(plate, 16, 1.0, spans=1, edge="free").deflection_in
    interior = check_point(plate, 16, 1.0, spans=1).deflection_in
    assert free / interior == pytest.approx(at_edge / inside, rel=0.005)


def test_free_edge_of_an_isotropic_plate_bends_eight_thirds_as_much() -> None:
    inside = check_point(_isotropic(), 16, 300, spans=1).deflection_in
    assert check_point(_isotropic(), 16, 300, edge="free").deflection_in == pytest.approx(inside * 8 / 3)


def _by_finite_differences(shape: float, spans: int) -> float:
    """Continuity by solving each wave on a grid over the spans, supports as rows that hold the point down."""
    per_span, loaded = 24, 0 if spans == 2 else 1
    step = 1 / per_span
    deflections = []
    for count in (1, spans):
        n = per_span * count
        point = per_span * (loaded if count > 1 else 0) + per_span // 2
        second = (np.diag(np.ones(n), 1) + np.diag(np.ones(n), -1) - 2 * np.eye(n + 1)) / step**2
        second[0] = second[-1] = 0.0  # simply supported ends: no curvature
        fourth = second @ second
        waves = np.linspace(0, 16, 41)
        values = []
        for k in waves:
            matrix = fourth - 2 * shape * k**2 * second + k**4 * np.eye(n + 1)
            load = np.zeros(n + 1)
            load[point] = 1 / step
            held = [per_span * j for j in range(count + 1)]
            for node in held:
                matrix[node] = 0
                matrix[node, node] = 1
                load[node] = 0
            keep = [i for i in range(n + 1) if i not in held]
            values.append(np.linalg.solve(matrix[np.ix_(keep, keep)], load[keep])[keep.index(point)])
        deflections.append(float(np.trapezoid(values, waves)))
    return deflections[1] / deflections[0]


@pytest.mark.parametrize("shape", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("spans", [2, 3])
def test_continuity_matches_finite_differences(spans: int, shape: float) -> None:
    assert continuity_factor(spans, shape) == pytest.approx(_by_finite_differences(shape, spans), rel=0.01)


def test_one_span_has_no_continuity() -> None:
    assert continuity_factor(1, 0.4) == 1
    with pytest.raises(ValueError, match="spans"):
        continuity_factor(4, 0.4)
    with pytest.raises(ValueError, match="shape"):
        continuity_factor(2, -0.1)


def test_effective_width_gives_the_deflection_back() -> None:
    check = check_point(_plate(), 16, 300, spans=1)
    strip = 300 * _span() ** 3 / (48 * 30_000 * check.effective_width_in)
    assert check.deflection_in == pytest.approx(strip)
    assert check.deflection_ratio == pytest.approx(14.5 / check.deflection_in)


@pytest.mark.parametrize("edge", ["interior", "free"])
@pytest.mark.parametrize("spans", [1, 2, 3])
def test_working_of_a_point_check_ends_in_its_numbers(edge: panels.plate.Edge, spans: panels.plate.Spans) -> None:
    check = check_point(_plate(), 16, 300, spans=spans, edge=edge)
    steps = check.working
    assert steps[-1].result == check.deflection_ratio
    assert steps[-2].result == pytest.approx(check.deflection_in)


def test_point_check_knows_two_kinds_of_edge() -> None:
    with pytest.raises(ValueError, match="edge"):
        check_point(_plate(), 16, 300, edge="blocked")  # type: ignore[arg-type]


def test_two_layers_of_three_quarter_over_sixteen_are_computed_not_believed() -> None:
    """300 lb between joists at 16 in: twice the stiffness of one layer, whatever the panel turns out to be."""
    for panel in capacity_bounds(thickness_in=23 / 32):
        one = check_point(build_up([Layer(panel)]), 16, 300)
        two = check_point(build_up([Layer(panel), Layer(panel)]), 16, 300)
        assert two.deflection_ratio == pytest.approx(2 * one.deflection_ratio)
        assert one.deflection_ratio < 360 < two.deflection_ratio


@settings(max_examples=30, deadline=None)
@given(st.floats(8, 40), st.floats(1.01, 1.5), st.sampled_from([1, 2, 3]), st.sampled_from(["interior", "free"]))
def test_wider_spacing_and_more_load_never_bend_less(
    spacing: float, more: float, spans: panels.plate.Spans, edge: panels.plate.Edge
) -> None:
    plate = _plate()
    point = check_point(plate, spacing, 300, spans=spans, edge=edge)
    assert check_point(plate, spacing * more, 300, spans=spans, edge=edge).deflection_in > point.deflection_in
    assert check_point(plate, spacing, 300 * more, spans=spans, edge=edge).deflection_in > point.deflection_in
    uniform = check_uniform(plate, spacing, 40, spans=spans)
    wider = check_uniform(plate, spacing * more, 40, spans=spans)
    assert wider.deflection_in > uniform.deflection_in
    assert wider.bending_use > uniform.bending_use


@settings(max_examples=30, deadline=None)
@given(st.floats(1.05, 3), st.sampled_from(["ei_along", "ei_across", "rigidity"]), st.sampled_from([1, 2, 3]))
def test_a_stiffer_panel_never_bends_more(more: float, name: str, spans: panels.plate.Spans) -> None:
    soft = _sheet()
    stiff = replace(soft, **{name: getattr(soft, name) * more})
    softly = check_point(build_up([Layer(soft)]), 16, 300, spans=spans)
    assert check_point(build_up([Layer(stiff)]), 16, 300, spans=spans).deflection_in < softly.deflection_in


# ---- data files ----


def test_rows_without_source_or_status_are_refused(tmp_path: Path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("key,value,unit,source,status\na,1,in,somewhere,guessed\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"bad\.csv, line 2"):
        tables.read_rows(bad)
