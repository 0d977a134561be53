"""Fasteners: sizes, yield modes, sisters, and counts in a sheet against a drawn layout."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import fasteners as f


def test_nails_of_one_penny_differ_by_kind() -> None:
    """IRC Table R602.3(1): 8d box 0.113, 8d common 0.131; 16d box 0.135, 16d common 0.162."""
    assert f.nail("box", 8).diameter_in == 0.113
    assert f.nail("common", 8).diameter_in == 0.131
    assert f.nail("box", 16).diameter_in == 0.135
    assert f.nail("common", 16).diameter_in == 0.162


@pytest.mark.parametrize("kind", ["common", "box", "sinker"])
def test_longer_nails_are_no_thinner(kind: str) -> None:
    for short, long in pairwise(n for n in f.nails() if n.kind == kind):
        assert long.penny > short.penny
        assert long.length_in > short.length_in
        assert long.diameter_in >= short.diameter_in


def test_sizes_that_are_not_made() -> None:
    with pytest.raises(LookupError, match="11d common"):
        f.nail("common", 11)
    with pytest.raises(LookupError, match="number 5"):
        f.wood_screw(5)
    with pytest.raises(LookupError, match="bending yield"):
        f.bending_yield_psi(0.5)
    with pytest.raises(LookupError, match="bending yield"):
        f.bending_yield_psi(0.01)


def test_screw_roots_are_thinner_than_shanks() -> None:
    for screw in f.wood_screws().values():
        assert screw.root_diameter_in < screw.diameter_in


def test_thicker_wire_yields_lower() -> None:
    values = [f.bending_yield_psi(d).value for d in (0.113, 0.148, 0.192, 0.25, 0.3, 0.36)]
    assert values == sorted(values, reverse=True)
    assert len(set(values)) == len(values)


def test_bearing_of_thick_dowels_turns_with_the_grain() -> None:
    along, slope, across = (f.dowel_bearing_psi(0.5, 0.5, angle).value for angle in (0, 45, 90))
    assert along > slope > across
    assert slope == pytest.approx(2 * along * across / (along + across))  # Hankinson at 45 degrees
    thin = f.dowel_bearing_psi(0.5, 0.148, 0).value
    assert thin == f.dowel_bearing_psi(0.5, 0.148, 90).value


def test_single_shear_is_the_same_seen_from_either_side_when_members_are_alike() -> None:
    modes = dict(f.yield_modes(0.162, 1.5, 1.5, 4637, 4637, 90_000))
    assert modes["Im"] == pytest.approx(modes["Is"])
    assert modes["IIIm"] == pytest.approx(modes["IIIs"])


def test_swapping_members_swaps_their_modes() -> None:
    one = dict(f.yield_modes(0.162, 0.75, 2.0, 4000, 5000, 90_000))
    other = dict(f.yield_modes(0.162, 2.0, 0.75, 5000, 4000, 90_000))
    for mode, mirrored in (("Im", "Is"), ("IIIm", "IIIs"), ("II", "II"), ("IV", "IV")):
        assert one[mode] == pytest.approx(other[mirrored])


def test_yield_modes_follow_from_statics() -> None:
    """Mode II by plain statics: rigid pin turning in two members, moments balanced (independent of k1)."""
    d, ls, lm, fes, fem = 0.162, 0.75, 1.25, 4000.0, 5000.0
    # Bearing reverses at x in the side member and y in the main one, measured from the shear plane.
    low, high = 0.0, ls

    def main_reach(x: float) -> float:
        return (fes * (2 * x - ls) / fem + lm) / 2

    def unbalanced(x: float) -> float:
        y = main_reach(x)
        return fes * (x**2 / 2 - (ls**2 - x**2) / 2) + fem * (y**2 / 2 - (lm**2 - y**2) / 2)

    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if unbalanced(middle) < 0 else (low, middle)
    force = d * fes * (2 * low - ls)
    assert dict(f.yield_modes(d, ls, lm, fes, fem, 90_000))["II"] * 2.2 == pytest.approx(force, rel=1e-6)


def test_double_shear_drops_the_modes_it_cannot_have() -> None:
    double = dict(f.yield_modes(0.5, 1.5, 1.5, 3000, 3000, 45_000, shear_planes=2))
    single = dict(f.yield_modes(0.5, 1.5, 1.5, 3000, 3000, 45_000))
    assert set(double) == {"Im", "Is", "IIIs", "IV"}
    assert [double[mode] for mode in ("Is", "IIIs", "IV")] == pytest.approx(
        [2 * single[mode] for mode in ("Is", "IIIs", "IV")]
    )
    assert double["Im"] == single["Im"]
    with pytest.raises(ValueError, match="shear planes"):
        f.yield_modes(0.5, 1.5, 1.5, 3000, 3000, 45_000, shear_planes=3)  # type: ignore[arg-type]


@pytest.mark.parametrize(("angle", "factor"), [(0, 4.0), (90, 5.0)])
def test_load_across_the_grain_is_reduced_more(angle: float, factor: float) -> None:
    modes = dict(f.yield_modes(0.5, 1.5, 1.5, 3000, 3000, 45_000, angle_deg=angle))
    assert modes["Im"] == pytest.approx(0.5 * 1.5 * 3000 / factor)


def test_a_point_must_reach_six_diameters() -> None:
    d = 0.148
    enough = f.nail_lateral(1.5 + 6 * d, d, 1.5, 3.5, 0.5, 0.5)
    short = f.nail_lateral(1.5 + 6 * d - 0.001, d, 1.5, 3.5, 0.5, 0.5)
    assert enough.z_lb > 0
    assert (short.z_lb, short.mode, short.modes) == (0, "too little penetration", ())
    assert f.nail_lateral(1.0, d, 1.5, 3.5, 0.5, 0.5).main_bearing_in == 0
    assert [step.symbol for step in short.working][-1] == "Z"


def test_a_shallow_point_loses_half_its_taper() -> None:
    d = 0.148
    shallow = f.nail_lateral(1.5 + 8 * d, d, 1.5, 3.5, 0.5, 0.5)
    deep = f.nail_lateral(1.5 + 10 * d, d, 1.5, 3.5, 0.5, 0.5)
    assert shallow.main_bearing_in == pytest.approx(7 * d)
    assert deep.main_bearing_in == pytest.approx(10 * d)


def test_a_nail_driven_through_bears_on_the_whole_member() -> None:
    assert f.nail_lateral(3.5, 0.162, 1.5, 1.5, 0.5, 0.5).main_bearing_in == 1.5


def test_working_lists_every_mode_and_the_least() -> None:
    value = f.nail_lateral(3, 0.148, 1.5, 3.5, 0.5, 0.5)
    assert value.working[-1].result == value.z_lb == min(z for _, z in value.modes)
    assert sum(step.symbol.startswith("Z ") for step in value.working) == 6


def test_screws_bear_on_their_root() -> None:
    screw = f.wood_screw(10)
    value = f.screw_lateral(3, screw, 1.5, 3.5, 0.5, 0.5)
    assert value.diameter_in == screw.root_diameter_in
    assert 0 < value.z_lb < f.nail_lateral(3, screw.diameter_in, 1.5, 3.5, 0.5, 0.5).z_lb


@settings(max_examples=30)
@given(st.floats(0.1, 0.2), st.floats(0.4, 0.6), st.floats(1.01, 1.3))
def test_denser_wood_never_holds_less(diameter: float, gravity: float, more: float) -> None:
    light = f.nail_lateral(3.5, diameter, 1.5, 3.5, gravity, gravity)
    dense = f.nail_lateral(3.5, diameter, 1.5, 3.5, gravity * more, gravity * more)
    assert dense.z_lb >= light.z_lb


# ---- counts in a sheet ----


def _drawn(length: float, width: float, joist: float, edge: float, field: float, distance: float = 0.375) -> int:
    """Walk the sheet: on each joist a row of points, never farther apart than the spacing."""
    count, at = 0, 0.0
    while at <= length + 1e-9:
        spacing = edge if at < 1e-9 or abs(at - length) < 1e-9 else field
        y = distance
        count += 1
        while y < width - distance - 1e-9:
            y = min(y + spacing, width - distance)
            count += 1
        at += joist
    return count


def test_eight_by_eight_is_forty_nine_a_sheet() -> None:
    """Common practice says about 48 for a 4x8 at 16 in with 8 in both ways: 7 joists of 7."""
    sheet = f.fasteners_per_sheet(96, 48, 16, 8, 8)
    assert (sheet.edge_rows + sheet.field_rows, sheet.in_edge_row, sheet.in_field_row) == (7, 7, 7)
    assert sheet.total == 49


@pytest.mark.parametrize("joist", [12, 16, 19.2, 24])
@pytest.mark.parametrize(("edge", "field"), [(6, 12), (8, 8), (6, 6), (4, 8), (12, 12)])
def test_sheet_counts_match_a_drawn_layout(joist: float, edge: float, field: float) -> None:
    sheet = f.fasteners_per_sheet(96, 48, joist, edge, field)
    assert sheet.end_on_joist
    assert sheet.total == _drawn(96, 48, joist, edge, field)


def test_a_sheet_that_ends_between_joists_says_so() -> None:
    sheet = f.fasteners_per_sheet(90, 48, 16, 6, 12)
    assert not sheet.end_on_joist
    assert sheet.edge_rows == 1
    assert sheet.total == _drawn(90, 48, 16, 6, 12)


def test_blocked_edges_add_between_joists_only() -> None:
    plain = f.fasteners_per_sheet(96, 48, 16, 6, 12)
    blocked = f.fasteners_per_sheet(96, 48, 16, 6, 12, blocked_edges=2)
    # 16 in at 6 in or closer: two between the joists, in six spaces, on two edges.
    assert blocked.total - plain.total == 2 * 6 * 2
    assert plain.long_edges == 0


@settings(max_examples=30)
@given(st.floats(24, 120), st.floats(24, 60), st.floats(3, 12), st.floats(1.01, 2))
def test_closer_spacing_never_needs_fewer(length: float, width: float, spacing: float, more: float) -> None:
    wide = f.fasteners_per_sheet(length, width, 16, spacing * more, spacing * more).total
    assert f.fasteners_per_sheet(length, width, 16, spacing, spacing).total >= wide


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="edge distance"):
        f.fasteners_per_sheet(96, 48, 16, 6, 12, 24)
    with pytest.raises(ValueError, match="blocked edges"):
        f.fasteners_per_sheet(96, 48, 16, 6, 12, blocked_edges=3)
    with pytest.raises(ValueError, match="field_spacing_in"):
        f.fasteners_per_sheet(96, 48, 16, 6, 0)
    with pytest.raises(ValueError, match="angle"):
        f.dowel_bearing_psi(0.5, 0.5, 91)


def test_a_gap_that_would_be_a_little_too_wide_takes_one_fastener_more() -> None:
    """A row of 48 in every 12 in at the most is 4 gaps and 5 fasteners; a tenth more is 5 gaps and 6 fasteners."""
    assert f.fasteners_per_sheet(96, 48.75, 16, 12, 12).in_edge_row == 5
    assert f.fasteners_per_sheet(96, 48.85, 16, 12, 12).in_edge_row == 6


def test_from_a_quarter_inch_on_a_fastener_is_reduced_as_a_bolt() -> None:
    """Reduction term of mode Im along the grain: 4 from 1/4 in on, 10 D + 0.5 under it (NDS Table 12.3.1B)."""
    for diameter, reduction in ((0.25, 4), (0.24, 10 * 0.24 + 0.5)):
        modes = dict(f.yield_modes(diameter, 1.5, 1.5, 3000, 3000, 45_000))
        assert modes["Im"] == pytest.approx(diameter * 1.5 * 3000 / reduction)


def test_a_thick_nail_is_held_to_the_load_across_the_grain() -> None:
    """60d common in Douglas fir by hand (NDS 12.3.1 and 12.3.3, Appendix I, from memory): D 0.263, Fyb 70,000.

    Fe = 6100 × 0.5^1.45 / √0.263 = 4354 psi, Rd = 3.2 × 1.25 = 4; IV = 0.263²/4 × √(2 × 4354 × 70,000/6) = 174 lb;
    IIIs = 1.2335 × 0.263 × 1.5 × 4354/(3 × 4) = 177 lb. Along the grain it would be 247 lb.
    """
    thick = f.nail("common", 60)
    found = f.nail_lateral(thick.length_in, thick.diameter_in, 1.5, 5.5, 0.5, 0.5)
    assert found.fe_main_psi == pytest.approx(4354, abs=1)
    assert found.mode == "IV"
    assert found.z_lb == pytest.approx(174.3, abs=0.1)
    assert dict(found.modes)["IIIs"] == pytest.approx(176.5, abs=0.1)


def test_a_thick_screw_is_held_to_the_load_across_the_grain() -> None:
    """Number 16 (0.268, root 0.209): 6100 × 0.5^1.45 / √0.268 = 4313 psi in both pieces (NDS 12.3.3, from memory)."""
    found = f.screw_lateral(4, f.wood_screw(16), 1.5, 5.5, 0.5, 0.5)
    assert found.fe_side_psi == found.fe_main_psi == pytest.approx(4313, abs=1)


def test_at_a_quarter_inch_the_rule_for_thick_fasteners_begins() -> None:
    """11,200 G along the grain for fasteners of 1/4 in and over (NDS 12.3.3, from memory); along it unless said."""
    assert f.dowel_bearing_psi(0.5, 0.25).value == pytest.approx(5600)
