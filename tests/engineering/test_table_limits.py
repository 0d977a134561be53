"""Exactly at the limits where tables and formulas change over. Values by hand; where a table is printed, from memory."""

from __future__ import annotations

import math

import pytest

from inspect_core.engineering import fasteners, feel, lumber
from inspect_core.engineering.lumber import Check, LumberError, Section, Service, adjusted, design_values

# ---- fasteners ----


@pytest.mark.parametrize(("kind", "diameter", "fyb"), [
    ("driven", 0.099, 100_000), ("driven", 0.142, 100_000), ("driven", 0.177, 90_000), ("driven", 0.236, 80_000),
    ("driven", 0.273, 70_000), ("driven", 0.344, 60_000), ("driven", 0.375, 45_000), ("bolt", 0.25, 45_000),
    ("bolt", 1.0, 45_000),
])  # fmt: skip
def test_yield_strength_at_the_ends_of_its_rows(kind: str, diameter: float, fyb: float) -> None:
    assert fasteners.bending_yield_psi(diameter, kind).value == fyb  # type: ignore[arg-type]


def test_across_the_grain_every_mode_of_a_bolt_is_reduced_by_a_quarter_more() -> None:
    along = dict(fasteners.yield_modes(0.5, 1.5, 3.5, 3000, 4000, 45_000))
    across = dict(fasteners.yield_modes(0.5, 1.5, 3.5, 3000, 4000, 45_000, angle_deg=90))
    assert len(along) == 6
    assert {mode: along[mode] / across[mode] for mode in along} == pytest.approx(dict.fromkeys(along, 1.25))


@pytest.mark.parametrize(("main", "bearing"), [(1.5, 1.5 - 0.192), (1.4, 1.308), (1.2, 1.2)])
def test_a_point_that_comes_just_through_a_thin_member_is_a_taper_all_the_same(main: float, bearing: float) -> None:
    """3 in of a 0.192 in nail through 1.5 in: 1.5 in are left, under 10 diameters, of them 0.384 in of point."""
    assert fasteners.nail_lateral(3, 0.192, 1.5, main, 0.5, 0.5).main_bearing_in == pytest.approx(bearing)


def test_the_last_step_names_what_decides() -> None:
    enough = fasteners.nail_lateral(3, 0.148, 1.5, 3.5, 0.5, 0.5)
    short = fasteners.nail_lateral(2, 0.148, 1.5, 3.5, 0.5, 0.5)
    assert [value.working[-1].formula for value in (enough, short)] == ["least of the modes", "too little penetration"]


@pytest.mark.parametrize(("spacing", "edge_rows", "field_rows"), [(16, 2, 5), (15.98, 1, 6), (16.03, 1, 5)])
def test_a_sheet_that_ends_just_beside_a_joist_has_one_edge_row(
    spacing: float, edge_rows: int, field_rows: int
) -> None:
    sheet = fasteners.fasteners_per_sheet(96, 48, spacing, 6, 12)
    assert (sheet.edge_rows, sheet.field_rows) == (edge_rows, field_rows)


def test_what_fits_a_sheet_is_taken() -> None:
    assert fasteners.fasteners_per_sheet(96, 4, 16, 6, 12, 1.5).in_edge_row == 2
    with pytest.raises(ValueError, match="edge distance"):
        fasteners.fasteners_per_sheet(96, 4, 16, 6, 12, 2)
    counts = [fasteners.fasteners_per_sheet(96, 48, 16, 6, 12, blocked_edges=n).total for n in (0, 1, 2)]
    assert counts[2] - counts[1] == counts[1] - counts[0] > 0


# ---- feel ----


def test_the_limit_of_a_span_of_just_three_metres_is_that_of_longer_ones() -> None:
    assert feel.canadian_limit_in(3 / 0.0254) * 25.4 == pytest.approx(8 / 3**1.3)


def test_just_at_the_limit_of_feel() -> None:
    found = feel.PointLoadFeel(120, 8e7, 1.0, 0.07, 0.07, "from memory")
    assert found.meets
    assert found.working[1].numbers == "L = 3.048 m"


# ---- lumber ----


@pytest.mark.parametrize(("size", "cm"), [((1.5, 3.5), 0.85), ((1.5, 9.25), 1.0)])
def test_wet_wood_is_weaker_where_its_value_times_the_size_factor_is_high(size: tuple[float, float], cm: float) -> None:
    """Douglas fir-larch No.2: Fb 900 psi; CF 1.5 for a 2x4 makes 1350, over 1150; 1.1 for a 2x10 makes 990."""
    values = design_values("douglas-fir-larch", "No.2", *size)
    size_factor = {3.5: 1.5, 9.25: 1.1}[size[1]]
    assert adjusted(values, *size, Service(wet=True)).fb == pytest.approx(900 * size_factor * cm)


def test_a_check_just_at_its_capacity_holds() -> None:
    assert Check("bending", 900, 900, "psi", (), "computed").holds
    assert not Check("bending", 900.1, 900, "psi", (), "computed").holds


@pytest.mark.parametrize(("demand", "ratio"), [(0.5, math.inf), (0.0, 0.0)])
def test_the_least_demand_on_nothing_does_not_hold(demand: float, ratio: float) -> None:
    assert Check("bending", demand, 0.0, "psi", (), "computed").ratio == ratio


def test_a_little_load_is_no_less_a_load() -> None:
    small = Section(0.5, 1.0)  # S = 1/12 in³, A = 1/2 in²
    bending = lumber.bending_check(10, small, 100)
    shear = lumber.shear_check(10, small, 100)
    assert bending.demand == pytest.approx(120)
    assert shear.demand == pytest.approx(30)
    none = lumber.bearing_check(100, 0, 1.5, 625)
    assert (none.capacity, none.holds) == (0, False)


def test_bearing_of_which_the_end_is_not_said_is_at_an_end() -> None:
    assert lumber.bearing_check(100, 1.5, 1.5, 625).capacity == 625


def test_a_square_post_is_weakest_across_its_thickness_by_name() -> None:
    post = lumber.column_capacity(design_values("douglas-fir-larch", "No.1", 5.5, 5.5), Section(5.5, 5.5), 96)
    assert post.governs == "across the thickness"
    assert post.permitted


def test_a_post_that_carries_less_than_a_pound_is_permitted() -> None:
    values = design_values("douglas-fir-larch", "No.1", 5.5, 5.5)
    post = lumber.column_capacity(values, Section(0.05, 0.05), 2.45)
    assert 0 < post.capacity_lb < 1
    assert post.permitted


def test_two_plies_are_never_solid() -> None:
    values = design_values("douglas-fir-larch", "No.1", 1.5, 5.5)
    with pytest.raises(LumberError, match="a post of 2 plies"):
        lumber.column_capacity(values, Section(1.5, 5.5, plies=2), 96)


def test_a_notch_and_a_hole_in_one_place_by_hand() -> None:
    """Of 1.5 x 8 in, 2 in off the top and a hole from 4 to 5: two pieces of 2 and 3 in, centroid 5.1 in down."""
    left = lumber.net_section(Section(1.5, 8), [(0, 2), (4, 1)])
    inertia = 1.5 * ((2**3 + 3**3) / 12 + 2 * 2.1**2 + 3 * 1.4**2)
    assert left.area == pytest.approx(7.5)
    assert left.centroid_from_top_in == pytest.approx(5.1)
    assert left.inertia == pytest.approx(inertia)
    assert left.top_modulus == pytest.approx(inertia / 3.1)
    assert left.bottom_modulus == pytest.approx(inertia / 2.9)
    assert left.piece_modulus == pytest.approx(1.5 * 3**2 / 6)


@pytest.mark.parametrize(("actual", "use", "width"), [
    ((3.5, 7.25), "dimension", 8), ((4.5, 7.5), "beams-and-stringers", 8), ((5.5, 7.5), "posts-and-timbers", 8),
    ((5.5, 9.5), "beams-and-stringers", 10),
])  # fmt: skip
def test_over_2_in_wider_than_thick_a_timber_is_a_beam(actual: tuple[float, float], use: str, width: int) -> None:
    """5 in nominal and thicker is timber; over 2 in wider than thick it is a beam or stringer (NDS Supplement 4D)."""
    assert lumber.size_class(*actual) == (use, width)


def test_a_column_of_slenderness_50_is_the_last_that_is_permitted() -> None:
    assert lumber.column_stability_factor(1000, 580_000, 100, 2).value > 0
    assert lumber.column_stability_factor(1000, 580_000, 100.1, 2).value == 0


def test_workings_say_what_was_done() -> None:
    near, far = (lumber.effective_length(each, 10).working[0] for each in (60, 100))
    assert (near.formula, far.formula) == ("2.06 lu", "1.63 lu + 3 d")
    assert far.numbers == "1.63 × 100 + 3 × 10"
    values = design_values("douglas-fir-larch", "No.2", 1.5, 9.25)
    assert [step.result for step in lumber.wet_service_factor(values, True, "fb", 990).working] == [1.0]


def test_a_grade_that_has_no_values_for_a_size_names_those_that_have() -> None:
    with pytest.raises(LumberError, match="for this size there are") as refused:
        design_values("douglas-fir-larch", "Construction", 1.5, 9.25)
    assert "No.2" in (refused.value.near or ())
