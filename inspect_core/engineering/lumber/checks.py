"""Checks of one member: how much of its strength or stiffness a load uses. Units: lb, in, psi.

These are checks by calculation of sawn lumber that is otherwise sound. Damaged or overloaded framing may
need shoring before anyone works near it; what holds on the job is the local code and, where it asks for
one, a licensed designer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..working import NOT_NEEDED, Step, Working, show, weakest
from ._data import LumberError, constant, not_negative, positive
from .adjusted import AdjustedValues, Service, adjusted
from .factors import Factor, Fastening, bearing_area_factor, column_stability_factor, creep_factor
from .sizes import Section, SectionProperties
from .values import DesignValues


@dataclass(frozen=True, slots=True)
class Check:
    """What a load asks and what the member gives, both in `unit`; it holds while `ratio` is at most 1.

    `status` is that of the figures the check itself brings; the allowable stress has its own.
    """

    name: str
    demand: float
    capacity: float
    unit: str
    working: Working
    status: str

    @property
    def ratio(self) -> float:
        """Demand over capacity; infinite when there is demand and no capacity."""
        if self.capacity > 0:
            return self.demand / self.capacity
        return math.inf if self.demand > 0 else 0.0

    @property
    def holds(self) -> bool:
        """Whether the capacity covers the demand."""
        return self.ratio <= 1


def _stress_check(name: str, step: Step, allowed: float, status: str = NOT_NEEDED) -> Check:
    not_negative("allowable stress", allowed)
    return Check(name, step.result, allowed, step.unit, (step,), status)


def bending_check(moment_lb_in: float, section: SectionProperties, fb_allowed_psi: float) -> Check:
    """Compare the bending stress M/S with Fb' (NDS 3.3). A section with nothing left has no capacity."""
    not_negative("moment", moment_lb_in)
    modulus = section.section_modulus
    stress = moment_lb_in / modulus if modulus > 0 else (math.inf if moment_lb_in else 0.0)
    numbers = f"{show(moment_lb_in)}/{show(modulus)}"
    return _stress_check("bending", Step("fb", "M/S", numbers, stress, "psi", "NDS 3.3.2"), fb_allowed_psi)


def shear_check(shear_lb: float, section: SectionProperties, fv_allowed_psi: float) -> Check:
    """Compare the shear stress 3V/2A of a rectangle with Fv' (NDS 3.4.2).

    For a notched end use `notched_shear_check`; for a hole give the net section, on the safe side.
    """
    not_negative("shear", shear_lb)
    area = section.area
    stress = 1.5 * shear_lb / area if area > 0 else (math.inf if shear_lb else 0.0)
    numbers = f"3 × {show(shear_lb)}/(2 × {show(area)})"
    return _stress_check("shear", Step("fv", "3V/2A", numbers, stress, "psi", "NDS 3.4.2"), fv_allowed_psi)


def shear_at_distance(load_lb_per_in: float, span_in: float, distance_in: float) -> float:
    """Return the shear in lb of a uniform load on a simple span, `distance_in` from the support's face.

    With the distance equal to the depth d it is the design shear of NDS 3.4.3.1(a), which leaves out the
    load within d. That holds for a member that bears fully on its lower face and is loaded on its upper one;
    not at notches, and not for beams hung by side connections.
    """
    not_negative("load", load_lb_per_in)
    return load_lb_per_in * max(positive("span", span_in) / 2 - not_negative("distance", distance_in), 0.0)


def notched_shear_check(shear_lb: float, section: Section, notch_depth_in: float, fv_allowed_psi: float) -> Check:
    """Compare the shear with the capacity Vr' of a rectangle notched at its end on the tension side, in lb.

    Vr' = (2/3) Fv' b dn (dn/d)² (NDS 3.4.3.2(a), from memory). It says nothing about whether the code allows
    the notch at all. The reduction at distance d is not for notched ends: give the full reaction.
    """
    not_negative("shear", shear_lb)
    not_negative("allowable stress", fv_allowed_psi)
    b, d = section.breadth_in, section.depth_in
    left = max(d - not_negative("notch depth", notch_depth_in), 0.0)
    capacity = 2 / 3 * fv_allowed_psi * b * left * (left / d) ** 2
    clause = constant("notch_shear")
    numbers = f"2/3 × {show(fv_allowed_psi)} × {show(b)} × {show(left)} × ({show(left)}/{show(d)})²"
    steps = (
        Step("dn", "d − notch", f"{show(d)} − {show(notch_depth_in)}", left, "in", clause.clause),
        Step("Vr'", "2/3 Fv' b dn (dn/d)²", numbers, capacity, "lb", clause.clause),
    )
    return Check("shear at the notched end", shear_lb, capacity, "lb", steps, clause.status)


def bearing_check(
    reaction_lb: float,
    length_in: float,
    width_in: float,
    fc_perp_allowed_psi: float,
    end_distance_in: float = 0.0,
) -> Check:
    """Compare the bearing stress with Fc⊥' times Cb (NDS 3.10.2, 3.10.4).

    `length_in` is along the grain, `end_distance_in` from the bearing to the member's nearer end. No bearing
    at all (length or width 0) has no capacity.
    """
    not_negative("reaction", reaction_lb)
    not_negative("allowable stress", fc_perp_allowed_psi)
    area = not_negative("bearing length", length_in) * not_negative("bearing width", width_in)
    if area == 0:
        step = Step("fc⊥", "R/(b lb)", "no bearing", math.inf if reaction_lb else 0.0, "psi", "NDS 3.10.2")
        return _stress_check("bearing", step, 0.0)
    cb = bearing_area_factor(length_in, end_distance_in)
    numbers = f"{show(reaction_lb)}/({show(width_in)} × {show(length_in)})"
    step = Step("fc⊥", "R/(b lb)", numbers, reaction_lb / area, "psi", "NDS 3.10.2")
    allowed = fc_perp_allowed_psi * cb.value
    return Check("bearing", step.result, allowed, "psi", (*cb.working, step), cb.status)


def live_deflection_check(live_in: float, span_in: float, limit: float) -> Check:
    """Compare the deflection under live load alone with span/limit (`limit` 360 for L/360), in inches."""
    not_negative("deflection", live_in)
    allowed = positive("span", span_in) / positive("limit", limit)
    step = Step("L/n", "", f"{show(span_in)}/{limit:g}", allowed, "in", "NDS 3.5.1")
    return Check("live-load deflection", live_in, allowed, "in", (step,), NOT_NEEDED)


def long_term_deflection_check(
    live_in: float, dead_in: float, span_in: float, limit: float, wet: bool = False
) -> Check:
    """Compare Kcr Δdead + Δlive with span/limit, in inches (NDS 3.5.2, from memory).

    Deflections are those at first loading; dead load creeps on, more so in wood that is wet or was put in
    unseasoned.
    """
    not_negative("live-load deflection", live_in)
    not_negative("dead-load deflection", dead_in)
    kcr = creep_factor(wet)
    total = kcr.value * dead_in + live_in
    allowed = positive("span", span_in) / positive("limit", limit)
    numbers = f"{kcr.value:g} × {show(dead_in)} + {show(live_in)}"
    steps = (
        *kcr.working,
        Step("ΔT", "Kcr ΔLT + ΔST", numbers, total, "in", "NDS 3.5.2"),
        Step("L/n", "", f"{show(span_in)}/{limit:g}", allowed, "in", "NDS 3.5.1"),
    )
    return Check("long-term deflection", total, allowed, "in", steps, kcr.status)


BucklingAxis = Literal["across the thickness", "across the depth"]


@dataclass(frozen=True, slots=True)
class ColumnCapacity:
    """What a wood post carries along its length, in lb, and the way it would buckle.

    `fc_star` is Fc* and `fc_adjusted` Fc' in psi; `across_thickness` and `across_depth` are CP for buckling
    in the direction of the thickness (of all plies together) and of the depth. `permitted` is false, and the
    capacity 0, when the post is more slender than the method allows.
    """

    capacity_lb: float
    fc_star: float
    fc_adjusted: float
    across_thickness: Factor
    across_depth: Factor
    section: Section
    values: AdjustedValues

    @property
    def governs(self) -> BucklingAxis:
        """The direction of the smaller CP; for a square post braced alike, the thickness."""
        thickness_first = self.across_thickness.value <= self.across_depth.value
        return "across the thickness" if thickness_first else "across the depth"

    @property
    def permitted(self) -> bool:
        """Whether the slenderness is within the method's limit."""
        return self.capacity_lb > 0

    @property
    def euler_lb(self) -> float:
        """What FcE of the more slender way gives over the section: no post carries more, however slender it may be."""
        factors = (self.across_thickness, self.across_depth)
        ratio = max((step.result for cp in factors for step in cp.working if step.symbol == "le/d"), default=0.0)
        if ratio == 0:
            return math.inf
        return constant("kce").value * self.values.e_min * self.section.area / ratio**2

    @property
    def status(self) -> str:
        """The weakest status behind the capacity."""
        used = (self.across_thickness.status, self.across_depth.status)
        return weakest((self.values.status_of("fc", "e_min"), *used))

    @property
    def working(self) -> Working:
        """Each step from the design values to the capacity, about the axis that governs."""
        cp = self.across_thickness if self.governs == "across the thickness" else self.across_depth
        area = self.section.area
        numbers = f"{show(self.fc_star)} × {cp.value:.3f}"
        total = f"{show(self.fc_adjusted)} × {show(area)}"
        return (
            *self.values.working_of("fc"),
            *self.values.working_of("e_min"),
            *cp.working,
            Step("Fc'", "Fc* CP", numbers, self.fc_adjusted, "psi", "NDS 3.7.1"),
            Step("P", "Fc' A", total, self.capacity_lb, "lb", "NDS 3.6.3"),
        )


def column_capacity(
    values: DesignValues,
    section: Section,
    height_in: float,
    *,
    unbraced_across_thickness_in: float | None = None,
    unbraced_across_depth_in: float | None = None,
    effective_length_factor: float = 1.0,
    fastening: Fastening = "solid",
    service: Service | None = None,
) -> ColumnCapacity:
    """Return the axial capacity of a post, solid or built up of 2 to 5 plies (NDS 3.7.1, 15.3).

    The section's plies stand side by side across the thickness. The unbraced lengths default to the height;
    0 means braced throughout. `effective_length_factor` is Ke, 1.0 for ends held in place but free to turn.
    A built-up post needs `fastening` nailed or bolted to the schedule of NDS 15.3.3 or 15.3.4, full-length
    pieces at least 1.5 in. thick and all of one depth; else count its pieces as single posts. Raises
    LumberError when plies and fastening don't go together. A square-cut bearing and a plumb post are assumed;
    bearing on what is below and above is a check of its own.
    """
    positive("height", height_in)
    positive("Ke", effective_length_factor)
    _built_up_limits(section, fastening)
    found = adjusted(values, section.thickness_in, section.depth_in, service)
    across = height_in if unbraced_across_thickness_in is None else unbraced_across_thickness_in
    along = height_in if unbraced_across_depth_in is None else unbraced_across_depth_in
    cp_thickness = column_stability_factor(
        found.fc, found.e_min, effective_length_factor * across, section.breadth_in, fastening
    )
    cp_depth = column_stability_factor(found.fc, found.e_min, effective_length_factor * along, section.depth_in)
    fc_adjusted = found.fc * min(cp_thickness.value, cp_depth.value)
    return ColumnCapacity(
        capacity_lb=fc_adjusted * section.area,
        fc_star=found.fc,
        fc_adjusted=fc_adjusted,
        across_thickness=cp_thickness,
        across_depth=cp_depth,
        section=section,
        values=found,
    )


def _built_up_limits(section: Section, fastening: Fastening) -> None:
    least, most, thin = (constant(f"built_up_{key}") for key in ("laminations_min", "laminations_max", "thickness_min"))
    if fastening == "solid":
        if section.plies > 1:
            message = f"a post of {section.plies} plies is nailed or bolted, not solid"
            raise LumberError(message, kind="number", given=section.plies)
        return
    if not least.value <= section.plies <= most.value or section.thickness_in < thin.value:
        raise LumberError(
            f"a built-up post has {least.value:g} to {most.value:g} plies at least {thin.value:g} in thick,"
            f" not {section.plies} of {section.thickness_in:g} in ({least.clause})",
            kind="number",
            given=section.plies,
        )
