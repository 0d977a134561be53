"""What a working prints, worked out again by hand or machine, gives what it says; and it ends in the answer."""

from __future__ import annotations

import math
from typing import Any

import pytest
from worked_steps import worked_out, wrong_steps

from inspect_core.engineering import drainage, fasteners, feel, lumber
from inspect_core.engineering.lumber import Section, Service, design_values
from inspect_core.engineering.panels import Layer, build_up, capacity, check_point, check_uniform
from inspect_core.engineering.spans import allowable_joist_span, girder_span
from inspect_core.engineering.working import Step, Working

WOOD = "douglas-fir-larch"
PANEL = capacity("osb", "24oc")
WEAK_WAY = Layer(PANEL, "along-joists")


def _workings() -> dict[str, Working]:
    values = design_values(WOOD, "No.2", 1.5, 9.25)
    plate, weak = build_up([Layer(PANEL)]), build_up([WEAK_WAY])
    joist: dict[str, Any] = {"species": WOOD, "grade": "No.2", "thickness_in": 1.5, "depth_in": 9.25, "spacing_in": 16}
    girder: dict[str, Any] = {"plies": 3, "thickness_in": 1.5, "depth_in": 11.25, "line_load_plf": 700, "live_plf": 500}
    own: dict[str, Any] = {"species": WOOD, "grade": "No.2"}
    post = lumber.column_capacity(design_values(WOOD, "No.1", 5.5, 5.5), Section(5.5, 5.5), 96)
    found: dict[str, Working] = {
        "joist": allowable_joist_span(**joist, live_psf=40, dead_psf=10).working,
        "joist, dead load only": allowable_joist_span(**joist, live_psf=0, dead_psf=10).working,
        "girder of the table": girder_span(**girder, basis="code-table").working,
        "girder, top free": girder_span(**girder, basis="code-table", top_braced=False).working,
        "girder by its wood": girder_span(**girder, **own, basis="nds").working,
        "girder, unstable": girder_span(
            **girder,
            **own,
            basis="nds",
            top_braced=False,
            stability_factor=0.8,
        ).working,
        "post": post.working,
        "wide bearing": lumber.bearing_check(2000, 4, 1.5, 625, 12).working,
        "notched end": lumber.notched_shear_check(900, Section(1.5, 9.25), 2, 180).working,
        "lateral stability": lumber.beam_stability_factor(Section(1.5, 9.25), 96, 1000, 580_000).working,
        "wet, close, hot": tuple(
            step
            for prop in ("fb", "fv", "fc", "fc_perp", "e", "e_min", "ft")
            for step in lumber.adjusted(
                values, 1.5, 9.25, Service(wet=True, temperature_f=120, incised=True, spacing_in=16)
            ).working_of(prop)
        ),
        "feel": feel.point_load_feel(8e7, 144, share=0.6).working,
        "hole": drainage.hole_working(drainage.Crossing(57, 8, 2, 0.9), 1.9, 1 / 48, 3.125),
        "nail": fasteners.nail_lateral(3, 0.148, 1.5, 3.5, 0.5, 0.5).working,
    }
    for spans in (1, 2, 3):
        found[f"panel, {spans}"] = check_uniform(plate, 24, 100, spans=spans).working
        found[f"point, {spans}"] = check_point(plate, 24, 300, spans=spans, framing_width_in=2.5).working
    found["panel, the weak way"] = check_uniform(weak, 12, 100).working
    found["point at an edge"] = check_point(plate, 24, 300, edge="free").working
    return found


@pytest.mark.parametrize(("name", "working"), _workings().items(), ids=_workings())
def test_a_working_adds_up(name: str, working: Working) -> None:
    assert working
    assert wrong_steps(working) == []
    assert all(math.isfinite(step.result) for step in working)
    if name != "nail":
        assert any(worked_out(step.numbers) is not None for step in working)


def test_what_does_not_add_up_is_told() -> None:
    right, wrong = (Step("S", "b d²/6", "1.5 × 7.25²/6", result, "in³", "") for result in (13.14, 13.4))
    assert wrong_steps([right, wrong]) == [str(wrong)]
    assert worked_out("√(4 × 9) − 2") == 4
    assert worked_out("(12/16)^(1/9)") == pytest.approx((12 / 16) ** (1 / 9))
    assert worked_out("∛(2 × 4)") == pytest.approx(2)
    assert worked_out("at 72 in, joist") is None


def test_what_can_not_be_stated_is_left_out_of_the_working() -> None:
    """The planar shear of this panel the weak way is not published: no step for it."""
    weak, strong = (check_uniform(build_up([layer]), 12, 100) for layer in (WEAK_WAY, Layer(PANEL)))
    assert weak.shear_use is None
    assert [step.symbol for step in weak.working] == ["EI", "Δ", "L/Δ", "bending"]
    assert [step.symbol for step in strong.working] == ["EI", "Δ", "L/Δ", "bending", "shear"]


def test_a_factor_of_one_takes_no_step() -> None:
    whole = girder_span(plies=3, thickness_in=1.5, depth_in=11.25, line_load_plf=700, basis="code-table")
    assert [step.formula for step in whole.working if step.symbol == "L"] == ["bending governs, nearest inch"]
    stable = girder_span(
        plies=3, thickness_in=1.5, depth_in=11.25, line_load_plf=700, basis="nds", species=WOOD, grade="No.2"
    )
    assert "Fb* CL" not in [step.formula for step in stable.working]
