"""Allowable spans of floor joists and girders, by the method behind the published span tables.

Spans are clear spans between the faces of supports, in inches. They hold for sound, straight, graded lumber
with uniform loads; a table or a span here is no permission where the local code says otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, NamedTuple

from .lumber import (
    AdjustedValues,
    DesignValues,
    LumberError,
    Section,
    Service,
    adjusted,
    constant,
    design_values,
    nominal_of,
    shear_at_distance,
)
from .lumber._data import not_negative, positive, source_text, table
from .working import Step, Working, show, weakest

SpanLimit = Literal["bending", "deflection", "shear"]
GirderBasis = Literal["code-table", "nds"]


def nearest_inch(span_in: float) -> int:
    """Return `span_in` rounded to the nearest whole inch, halves up, as the published tables do."""
    return math.floor(span_in + 0.5)


def bending_span(fb_psi: float, section_modulus: float, load_lb_per_in: float) -> float:
    """Return the simple span in inches at which a uniform load brings the bending stress to `fb_psi`."""
    return math.sqrt(8 * fb_psi * section_modulus / load_lb_per_in)


def deflection_span(e_psi: float, inertia: float, live_lb_per_in: float, limit: float) -> float:
    """Return the simple span in inches where a uniform live load deflects span/limit (inf without load)."""
    if live_lb_per_in == 0:
        return math.inf
    return float((384 * e_psi * inertia / (5 * limit * live_lb_per_in)) ** (1 / 3))


def shear_span(fv_psi: float, area: float, load_lb_per_in: float, distance_in: float = 0.0) -> float:
    """Return the simple span in inches at which the shear `distance_in` from the support reaches 2/3 Fv A."""
    return 2 * (2 / 3 * fv_psi * area / load_lb_per_in + distance_in)


@dataclass(frozen=True, slots=True)
class JoistSpan:
    """An allowable joist span and all that it rests on; lengths in inches, loads in psf.

    `span_in` is the smaller of the bending and deflection spans, to the nearest inch; the shear and bearing
    spans are for information. `bearing_span_in` is the span whose end reaction fills `bearing_length_in`.
    """

    adjusted: AdjustedValues
    section: Section
    spacing_in: float
    live_psf: float
    dead_psf: float
    deflection: float
    bending_span_in: float
    deflection_span_in: float
    shear_span_in: float
    shear_at_d_span_in: float
    bearing_span_in: float
    bearing_length_in: float

    @property
    def values(self) -> DesignValues:
        """The reference design values."""
        return self.adjusted.reference

    @property
    def unrounded_in(self) -> float:
        """The span before rounding."""
        return min(self.bending_span_in, self.deflection_span_in)

    @property
    def span_in(self) -> int:
        """The allowable clear span, to the nearest inch, halves up."""
        return nearest_inch(self.unrounded_in)

    @property
    def governs(self) -> SpanLimit:
        """What sets the span."""
        return "bending" if self.bending_span_in <= self.deflection_span_in else "deflection"

    @property
    def load_lb_per_in(self) -> float:
        """Total load on one joist, lb per inch of its length."""
        return (self.live_psf + self.dead_psf) * self.spacing_in / 144

    @property
    def bearing_needed_in(self) -> float:
        """End bearing length that the reaction at `span_in` needs, in."""
        reaction = self.load_lb_per_in * self.span_in / 2
        return reaction / (self.adjusted.fc_perp * self.section.breadth_in)

    def shear_ratio(self, at_distance_d: bool = True) -> float:
        """Return the share of Fv' that the shear at `span_in` uses, at distance d or at the support."""
        distance = self.section.depth_in if at_distance_d else 0.0
        shear = shear_at_distance(self.load_lb_per_in, self.span_in, distance)
        return 1.5 * shear / (self.adjusted.fv * self.section.area)

    @property
    def bearing_ratio(self) -> float:
        """The share of Fc⊥' that the reaction at `span_in` uses on `bearing_length_in`."""
        return self.bearing_needed_in / self.bearing_length_in

    @property
    def status(self) -> str:
        """The weakest status behind the span."""
        return self.adjusted.status_of("fb", "e")

    @property
    def working(self) -> Working:
        """Each step from the design values to the span."""
        section, total = self.section, self.load_lb_per_in
        live = self.live_psf * self.spacing_in / 144
        b, d = show(section.breadth_in), show(section.depth_in)
        loads = f"({show(self.live_psf)} + {show(self.dead_psf)}) × {show(self.spacing_in)}/144"
        strength = f"√(8 × {show(self.adjusted.fb)} × {show(section.section_modulus)}/{show(total)})"
        bending = (
            *self.adjusted.working_of("fb"),
            Step("w", "(live + dead) × spacing", loads, total, "lb/in", "statics"),
            Step("S", "b d²/6", f"{b} × {d}²/6", section.section_modulus, "in³", "statics"),
            Step("L bending", "√(8 Fb' S/w)", strength, self.bending_span_in, "in", "NDS 3.3"),
        )
        if live == 0:
            return (*bending, self._rounding)
        limit = f"{5 * self.deflection:g}"
        stiffness = f"∛(384 × {show(self.adjusted.e)} × {show(section.inertia)}/({limit} × {show(live)}))"
        deflection = (
            *self.adjusted.working_of("e"),
            Step("w live", "live × spacing", f"{show(self.live_psf)} × {show(self.spacing_in)}/144", live,
                 "lb/in", "statics"),
            Step("I", "b d³/12", f"{b} × {d}³/12", section.inertia, "in⁴", "statics"),
            Step("L deflection", f"∛(384 E' I/({limit} w live))", stiffness, self.deflection_span_in, "in",
                 f"L/{self.deflection:g}, live load"),
        )  # fmt: skip
        return (*bending, *deflection, self._rounding)

    @property
    def _rounding(self) -> Step:
        return Step("L", f"{self.governs} governs, nearest inch", show(self.unrounded_in), self.span_in, "in",
                    "rounding of the published span tables")  # fmt: skip


def allowable_joist_span(
    species: str,
    grade: str,
    thickness_in: float,
    depth_in: float,
    spacing_in: float,
    live_psf: float,
    dead_psf: float,
    *,
    deflection: float = 360.0,
    service: Service | None = None,
    bearing_length_in: float | None = None,
) -> JoistSpan:
    """Return the allowable simple span of a floor joist that measures `thickness_in` by `depth_in`.

    The method of the published span tables: bending under live and dead load, with Cr for joists at most
    24 in. on center; live-load deflection to span/`deflection` with the mean E; the smaller of the two, to
    the nearest inch. Dead load holds the joist's own weight. Shear and bearing are reported, and never
    govern in the published tables. `service` changes the conditions (its spacing is taken from `spacing_in`
    unless it has one); `bearing_length_in` defaults to the code's least.
    Raises LumberError for unknown species, grade or size, and for loads that make no sense.
    """
    positive("spacing", spacing_in)
    not_negative("live load", live_psf)
    not_negative("dead load", dead_psf)
    positive("total load", live_psf + dead_psf)
    positive("deflection limit", deflection)
    bearing = constant("end_bearing").value if bearing_length_in is None else bearing_length_in
    positive("bearing length", bearing)
    values = design_values(species, grade, thickness_in, depth_in)
    found = adjusted(values, thickness_in, depth_in, _with_spacing(service, spacing_in))
    section = Section(thickness_in, depth_in)
    total = (live_psf + dead_psf) * spacing_in / 144
    return JoistSpan(
        adjusted=found,
        section=section,
        spacing_in=spacing_in,
        live_psf=live_psf,
        dead_psf=dead_psf,
        deflection=deflection,
        bending_span_in=bending_span(found.fb, section.section_modulus, total),
        deflection_span_in=deflection_span(found.e, section.inertia, live_psf * spacing_in / 144, deflection),
        shear_span_in=shear_span(found.fv, section.area, total),
        shear_at_d_span_in=shear_span(found.fv, section.area, total, depth_in),
        bearing_span_in=2 * found.fc_perp * section.breadth_in * bearing / total,
        bearing_length_in=bearing,
    )


def _with_spacing(service: Service | None, spacing_in: float) -> Service:
    given = service or Service()
    return given if given.spacing_in is not None else replace(given, spacing_in=spacing_in)


# Girders ------------------------------------------------------------------------------------------------


class _Basis(NamedTuple):
    value: str
    source: str
    status: str


@cache
def _girder_basis() -> dict[str, _Basis]:
    return {
        row["key"]: _Basis(row["value"], source_text(row["source"]), row["status"])
        for row in table("girder_table_basis")
    }


def _basis_number(key: str) -> float:
    return float(_girder_basis()[key].value)


@dataclass(frozen=True, slots=True)
class GirderStrength:
    """The stresses in psi that a girder is checked with, the working of Fb', the status of the figures."""

    fb: float
    fv: float
    fc_perp: float
    e: float
    working: Working
    status: str


@dataclass(frozen=True, slots=True)
class GirderSpan:
    """An allowable girder span; lengths in inches, loads in lb per foot. `basis` names how it was found.

    On the `code-table` basis bending alone sets the span, as in the printed table; deflection and shear are
    for information. On the `nds` basis bending, live-load deflection and shear at distance d all count.
    `deflection_span_in` is None when no live load was given. `factor` is the table's reduction for a top edge
    that is not braced.
    """

    basis: GirderBasis
    section: Section
    strength: GirderStrength
    line_load_plf: float
    live_plf: float | None
    deflection: float
    bending_span_in: float
    deflection_span_in: float | None
    shear_span_in: float
    shear_at_d_span_in: float
    factor: float

    @property
    def _limits(self) -> tuple[tuple[float, SpanLimit], ...]:
        limits: list[tuple[float, SpanLimit]] = [(self.bending_span_in, "bending")]
        if self.basis == "nds":
            if self.deflection_span_in is not None:
                limits.append((self.deflection_span_in, "deflection"))
            limits.append((self.shear_at_d_span_in, "shear"))
        return tuple(limits)

    @property
    def governs(self) -> SpanLimit:
        """What sets the span."""
        return min(self._limits, key=lambda limit: limit[0])[1]

    @property
    def unrounded_in(self) -> float:
        """The span before rounding."""
        return min(limit for limit, _ in self._limits) * self.factor

    @property
    def span_in(self) -> int:
        """The allowable span, to the nearest inch, halves up."""
        return nearest_inch(self.unrounded_in)

    @property
    def reaction_lb(self) -> float:
        """Reaction at each end at `span_in`, lb."""
        return self.line_load_plf / 12 * self.span_in / 2

    def shear_stress(self, at_distance_d: bool = True) -> float:
        """Return the shear stress at `span_in` in psi, at distance d or at the support's face."""
        distance = self.section.depth_in if at_distance_d else 0.0
        return 1.5 * shear_at_distance(self.line_load_plf / 12, self.span_in, distance) / self.section.area

    @property
    def bearing_needed_in(self) -> float:
        """End bearing length that the reaction needs over the whole breadth, in."""
        return self.reaction_lb / (self.strength.fc_perp * self.section.breadth_in)

    @property
    def jack_studs(self) -> int:
        """Number of 1-1/2 in. studs, or as many times that length of bearing, under each end."""
        return max(1, math.ceil(self.bearing_needed_in / _basis_number("jack_stud")))

    @property
    def status(self) -> str:
        """The weakest status behind the span."""
        return self.strength.status

    @property
    def working(self) -> Working:
        """Each step to the span, on the named basis."""
        modulus = self.section.section_modulus
        load = self.line_load_plf / 12
        b, d = show(self.section.breadth_in), show(self.section.depth_in)
        strength = f"√(8 × {show(self.strength.fb)} × {show(modulus)}/{show(load)})"
        steps = [
            *self.strength.working,
            Step("w", "line load/12", f"{show(self.line_load_plf)}/12", load, "lb/in", "statics"),
            Step("S", "b d²/6", f"{b} × {d}²/6", modulus, "in³", "statics"),
            Step("L bending", "√(8 Fb' S/w)", strength, self.bending_span_in, "in", "NDS 3.3"),
        ]
        if self.basis == "nds":
            if self.deflection_span_in is not None:
                formula = f"∛(384 E' I/({5 * self.deflection:g} w live))"
                steps.append(Step("L deflection", formula, "", self.deflection_span_in, "in", "live load"))
            steps.append(Step("L shear", "2 (2/3 Fv' A/w + d)", "", self.shear_at_d_span_in, "in", "NDS 3.4.3.1(a)"))
        found = f"{self.governs} governs, nearest inch"
        if self.factor != 1:
            found = f"{self.factor:g} for a top not braced; {found}"
        shown = show(self.unrounded_in)
        steps.append(Step("L", found, shown, self.span_in, "in", f"{self.basis} basis"))
        return tuple(steps)


def girder_table_covers(values: DesignValues, thickness_in: float, depth_in: float) -> bool:
    """Whether the girder table speaks of this wood: one of its species, and no weaker in bending than its grade.

    Raises LumberError for a size that has no design values.
    """
    basis = _girder_basis()
    if values.species not in basis["species"].value.split("|"):
        return False
    return values.fb >= design_values(values.species, basis["grade"].value, thickness_in, depth_in).fb


def girder_span(
    basis: GirderBasis,
    plies: int,
    thickness_in: float,
    depth_in: float,
    line_load_plf: float,
    *,
    species: str | None = None,
    grade: str | None = None,
    live_plf: float | None = None,
    deflection: float = 360.0,
    top_braced: bool = True,
    stability_factor: float = 1.0,
    service: Service | None = None,
) -> GirderSpan:
    """Return the allowable simple span of a built-up girder of `plies` pieces side by side.

    `code-table`: the basis of the model code's table for girders in interior bearing walls. It takes the
    lowest values of four species of No. 2, a system factor of 1.10 for two plies and 1.15 for three or four,
    and bending alone. Species, grade and service don't enter. For 2-by lumber of 4 to 12 in. nominal depth.
    `nds`: the wood design method alone, for the species and grade given, with Cr 1.15 from three plies on and
    1.0 for two, so about 5 percent less for two plies; live-load deflection (when `live_plf` is given) and
    shear at distance d count too. A top that is not braced takes `stability_factor` (CL) here, and the
    table's own reduction on the other basis.
    Raises LumberError for what the basis doesn't cover.
    """
    positive("line load", line_load_plf)
    positive("deflection limit", deflection)
    if live_plf is not None:
        not_negative("live load", live_plf)
    section = Section(thickness_in, depth_in, plies)
    factor = 1.0
    if basis == "code-table":
        strength = _code_table_strength(plies, thickness_in, depth_in)
        if not top_braced and nominal_of(depth_in) >= _basis_number("unbraced_top_from"):
            factor = _basis_number("unbraced_top_factor")
    elif basis == "nds":
        if species is None or grade is None:
            raise LumberError("the nds basis needs a species and a grade", kind="grade", given=grade)
        if not top_braced and stability_factor == 1.0:
            message = "a top that is not braced needs the stability factor CL on the nds basis"
            raise LumberError(message, kind="factor", given=stability_factor)
        strength = _nds_strength(species, grade, plies, thickness_in, depth_in, service, stability_factor)
    else:
        message = f"unknown basis {basis!r}: known are code-table, nds"
        raise LumberError(message, kind="number", given=basis, near=("code-table", "nds"))
    load = line_load_plf / 12
    return GirderSpan(
        basis=basis,
        section=section,
        strength=strength,
        line_load_plf=line_load_plf,
        live_plf=live_plf,
        deflection=deflection,
        bending_span_in=bending_span(strength.fb, section.section_modulus, load),
        deflection_span_in=None
        if live_plf is None
        else deflection_span(strength.e, section.inertia, live_plf / 12, deflection),
        shear_span_in=shear_span(strength.fv, section.area, load),
        shear_at_d_span_in=shear_span(strength.fv, section.area, load, depth_in),
        factor=factor,
    )


@cache
def _code_table_strength(plies: int, thickness_in: float, depth_in: float) -> GirderStrength:
    basis = _girder_basis()
    low, high = _basis_number("depth_min"), _basis_number("depth_max")
    system = basis.get(f"system_factor_{plies}")
    if system is None or nominal_of(thickness_in) != 2 or not low <= nominal_of(depth_in) <= high:
        raise LumberError(
            f"the girder table covers two to four plies of 2x{low:g} to 2x{high:g},"
            f" not {plies} of {thickness_in:g} x {depth_in:g} in",
            kind="size",
            given=(plies, thickness_in, depth_in),
        )
    species = basis["species"].value.split("|")
    found = [
        adjusted(design_values(name, basis["grade"].value, thickness_in, depth_in), thickness_in, depth_in)
        for name in species
    ]
    weakest_fb = min(found, key=lambda values: values.fb)
    factor = float(system.value)
    fb = weakest_fb.fb * factor
    numbers = f"{show(weakest_fb.fb)} × {factor:.2f}"
    formula = f"lowest Fb' of {len(species)} species × system factor"
    return GirderStrength(
        fb=fb,
        fv=min(values.fv for values in found),
        fc_perp=min(values.fc_perp for values in found),
        e=min(values.e for values in found),
        working=(
            *weakest_fb.working_of("fb"),
            Step("Fb'", formula, numbers, fb, "psi", "fitted to IRC Table R602.7(2)"),
        ),
        status=weakest([system.status, *(values.status_of("fb") for values in found)]),
    )


def _nds_strength(
    species: str,
    grade: str,
    plies: int,
    thickness_in: float,
    depth_in: float,
    service: Service | None,
    stability_factor: float,
) -> GirderStrength:
    if not 0 < stability_factor <= 1:
        message = f"the stability factor CL is above 0 and at most 1, not {stability_factor}"
        raise LumberError(message, kind="factor", given=stability_factor)
    # Plies in contact share load as close joists do; fewer than three don't.
    conditions = replace(service or Service(), spacing_in=thickness_in, members=plies)
    values = design_values(species, grade, thickness_in, depth_in)
    found = adjusted(values, thickness_in, depth_in, conditions)
    working = found.working_of("fb")
    fb = found.fb * stability_factor
    if stability_factor != 1:
        numbers = f"{show(found.fb)} × {stability_factor:.3f}"
        working = (*working, Step("Fb'", "Fb* CL", numbers, fb, "psi", "NDS 3.3.3"))
    return GirderStrength(
        fb=fb,
        fv=found.fv,
        fc_perp=found.fc_perp,
        e=found.e,
        working=working,
        status=found.status_of("fb", "fv", "e"),
    )
