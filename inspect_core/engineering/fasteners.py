"""Nails, screws and bolts: sizes, what one carries sideways, how many go in a sheet.

Lateral values follow the yield limit equations of NDS 12.3 (single or double shear), unadjusted: normal
duration of load, dry, edge and end distances kept. Lengths in inches, loads in pounds, strengths in psi.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from inspect_core.quantities.quantity import slack

from .tables import Sourced, read_rows, read_sourced, require_not_negative, require_positive
from .working import Step, Working, weakest

NailKind = Literal["common", "box", "sinker"]

_FOLDER = Path(__file__).parent
_CLAUSE = "NDS Table 12.3.1A"
_NO_VALUE = "too little penetration"

#: A nail's or screw's load may go any way to the grain, and across it is where thick ones hold least.
_HARDEST_ANGLE = 90.0


@dataclass(frozen=True, slots=True)
class Nail:
    """A nail by kind and penny size (``common`` 10), with length and shank diameter in inches."""

    kind: str
    penny: int
    length_in: float
    diameter_in: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class WoodScrew:
    """A wood screw by number, with shank and root diameter in inches (length is the buyer's)."""

    number: int
    diameter_in: float
    root_diameter_in: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class LateralValue:
    """The reference lateral value of one fastener, Z in pounds.

    ``modes`` are the yield modes with the load each gives; the least one governs. When the point doesn't
    reach deep enough the value is 0 and ``mode`` says ``too little penetration``.
    """

    z_lb: float
    mode: str
    modes: tuple[tuple[str, float], ...]
    diameter_in: float
    side_bearing_in: float
    main_bearing_in: float
    fe_side_psi: float
    fe_main_psi: float
    fyb_psi: float
    status: str

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        steps = [
            Step("D", "", "", self.diameter_in, "in", ""),
            Step("ls", "", "", self.side_bearing_in, "in", "bearing in the side member"),
            Step("lm", "", "", self.main_bearing_in, "in", "bearing in the main member"),
            Step("Fes", "", "", self.fe_side_psi, "psi", "NDS Table 12.3.3"),
            Step("Fem", "", "", self.fe_main_psi, "psi", "NDS Table 12.3.3"),
            Step("Fyb", "", "", self.fyb_psi, "psi", "NDS Appendix I"),
        ]
        steps += [Step(f"Z {mode}", "", "", z, "lb", _CLAUSE) for mode, z in self.modes]
        steps.append(Step("Z", "least of the modes" if self.modes else self.mode, "", self.z_lb, "lb", _CLAUSE))
        return tuple(steps)


@dataclass(frozen=True, slots=True)
class SheetFasteners:
    """Fasteners in one sheet, from the rows that are really driven.

    ``edge_rows`` rows along joists at the sheet's ends have ``in_edge_row`` each, ``field_rows`` rows along
    the joists between have ``in_field_row`` each; ``long_edges`` are those on blocking between joists.
    ``end_on_joist`` is False when the joist spacing doesn't bring the far end onto a joist.
    """

    edge_rows: int
    in_edge_row: int
    field_rows: int
    in_field_row: int
    long_edges: int
    end_on_joist: bool

    @property
    def total(self) -> int:
        """All fasteners in the sheet."""
        return self.edge_rows * self.in_edge_row + self.field_rows * self.in_field_row + self.long_edges


@cache
def nails() -> tuple[Nail, ...]:
    """Return the nail sizes (common, box, sinker)."""
    return tuple(
        Nail(
            row["kind"],
            int(row["penny"]),
            float(row["length_in"]),
            float(row["diameter_in"]),
            row["source"],
            row["status"],
        )
        for row in read_rows(_FOLDER / "fasteners_data_nails.csv")
    )


def nail(kind: NailKind, penny: int) -> Nail:
    """Return one nail size. Raises ``LookupError``: common, box and sinker nails of one penny size all differ."""
    for found in nails():
        if found.kind == kind and found.penny == penny:
            return found
    raise LookupError(f"no {penny}d {kind} nail in the table")


@cache
def wood_screws() -> dict[int, WoodScrew]:
    """Return the wood screw sizes by number."""
    return {
        int(row["number"]): WoodScrew(
            int(row["number"]),
            float(row["diameter_in"]),
            float(row["root_diameter_in"]),
            row["source"],
            row["status"],
        )
        for row in read_rows(_FOLDER / "fasteners_data_screws.csv")
    }


def wood_screw(number: int) -> WoodScrew:
    """Return one wood screw size. Raises ``LookupError``."""
    found = wood_screws().get(number)
    if found is None:
        raise LookupError(f"no number {number} wood screw in the table")
    return found


def _rule(key: str) -> Sourced:
    return read_sourced(_FOLDER / "fasteners_data_rules.csv")[key]


def bending_yield_psi(diameter_in: float, kind: Literal["driven", "bolt"] = "driven") -> Sourced:
    """Return the bending yield strength Fyb of a nail or wood screw (``driven``) or a bolt, in psi.

    Steel of ordinary strength, by diameter. Raises ``LookupError`` outside the table.
    """
    require_positive(diameter_in=diameter_in)
    for row in read_rows(_FOLDER / "fasteners_data_yield.csv"):
        if row["kind"] != kind or diameter_in > float(row["up_to_in"]):
            continue
        if diameter_in >= float(row["over_in"]):
            return Sourced(float(row["fyb_psi"]), "psi", row["source"], row["status"])
    raise LookupError(f"no bending yield strength for a {kind} fastener {diameter_in:g} in thick")


def dowel_bearing_psi(specific_gravity: float, diameter_in: float, angle_deg: float = 0.0) -> Sourced:
    """Return the dowel bearing strength Fe of wood, in psi (NDS 12.3.3).

    Under 1/4 in the direction of grain doesn't matter; from there on ``angle_deg`` is that between load and
    grain (Hankinson between 0 and 90). Not rounded to 50 psi as the printed table is.
    """
    require_positive(specific_gravity=specific_gravity, diameter_in=diameter_in)
    if not 0 <= angle_deg <= 90:
        raise ValueError(f"angle to grain must lie from 0 to 90, not {angle_deg!r}")
    if diameter_in < 0.25:
        factor, power = _rule("fe-small-factor"), _rule("fe-small-power")
        return Sourced(factor.value * specific_gravity**power.value, "psi", factor.source, factor.status)
    factor = _rule("fe-parallel-factor")
    along = factor.value * specific_gravity
    across = _rule("fe-perpendicular-factor").value * specific_gravity ** _rule("fe-perpendicular-power").value
    across /= math.sqrt(diameter_in)
    sine = math.sin(math.radians(angle_deg)) ** 2
    return Sourced(along * across / (along * sine + across * (1 - sine)), "psi", factor.source, factor.status)


def _reduction(diameter_in: float, angle_deg: float) -> tuple[float, float, float]:
    """Rd for modes I, II and III/IV (NDS Table 12.3.1B)."""
    if diameter_in <= 0.17:
        return 2.2, 2.2, 2.2
    if diameter_in < 0.25:
        factor = 10 * diameter_in + 0.5
        return factor, factor, factor
    grain = 1 + 0.25 * angle_deg / 90
    return 4 * grain, 3.6 * grain, 3.2 * grain


def yield_modes(
    diameter_in: float,
    side_bearing_in: float,
    main_bearing_in: float,
    fe_side_psi: float,
    fe_main_psi: float,
    fyb_psi: float,
    *,
    nominal_diameter_in: float | None = None,
    angle_deg: float = 0.0,
    shear_planes: Literal[1, 2] = 1,
) -> tuple[tuple[str, float], ...]:
    """Return each yield mode with the load it gives, in pounds (NDS 12.3-1 to 12.3-10).

    ``diameter_in`` is the root diameter where threads bear; the reduction term then takes the nominal
    diameter, which is the safe side. ``angle_deg`` is the greatest angle of load to grain in any member.
    """
    require_positive(
        diameter_in=diameter_in,
        side_bearing_in=side_bearing_in,
        main_bearing_in=main_bearing_in,
        fe_side_psi=fe_side_psi,
        fe_main_psi=fe_main_psi,
        fyb_psi=fyb_psi,
    )
    if shear_planes not in (1, 2):
        raise ValueError(f"shear planes must be 1 or 2, not {shear_planes!r}")
    d, ls, lm = diameter_in, side_bearing_in, main_bearing_in
    fes, fem = fe_side_psi, fe_main_psi
    rd1, rd2, rd3 = _reduction(nominal_diameter_in or d, angle_deg)
    re, rt = fem / fes, lm / ls
    bend = 2 * fyb_psi * (2 + re) * d**2 / (3 * fem)
    k1 = (math.sqrt(re + 2 * re**2 * (1 + rt + rt**2) + rt**2 * re**3) - re * (1 + rt)) / (1 + re)
    k2 = -1 + math.sqrt(2 * (1 + re) + 2 * fyb_psi * (1 + 2 * re) * d**2 / (3 * fem * lm**2))
    k3 = -1 + math.sqrt(2 * (1 + re) / re + bend / ls**2)
    im = d * lm * fem / rd1
    i_s = d * ls * fes / rd1
    iiis = k3 * d * ls * fem / ((2 + re) * rd3)
    iv = d**2 / rd3 * math.sqrt(2 * fem * fyb_psi / (3 * (1 + re)))
    if shear_planes == 2:
        return (("Im", im), ("Is", 2 * i_s), ("IIIs", 2 * iiis), ("IV", 2 * iv))
    ii = k1 * d * ls * fes / rd2
    iiim = k2 * d * lm * fem / ((1 + 2 * re) * rd3)
    return (("Im", im), ("Is", i_s), ("II", ii), ("IIIm", iiim), ("IIIs", iiis), ("IV", iv))


def nail_lateral(
    length_in: float,
    diameter_in: float,
    side_thickness_in: float,
    main_thickness_in: float,
    side_gravity: float,
    main_gravity: float,
) -> LateralValue:
    """Return Z of a nail through a side member into side grain of a main member (single shear, wood to wood).

    ``…_gravity`` is the specific gravity of each member. A point that ends in the main member must reach at
    least 6 diameters; short of 10 diameters, half its taper doesn't count as bearing. From 1/4 in of diameter the
    direction of grain matters: the load is taken to go across it, the hard way.
    """
    require_positive(length_in=length_in)
    fyb = bending_yield_psi(diameter_in)
    return _driven(
        length_in,
        diameter_in,
        diameter_in,
        side_thickness_in,
        main_thickness_in,
        side_gravity,
        main_gravity,
        fyb,
    )


def screw_lateral(
    length_in: float,
    screw: WoodScrew,
    side_thickness_in: float,
    main_thickness_in: float,
    side_gravity: float,
    main_gravity: float,
) -> LateralValue:
    """Return Z of a wood screw through a side member into side grain (single shear, threads taken to bear).

    For screws made to the wood-screw standard; drywall and deck screws aren't, and need their maker's report. From
    number 16 on (over 1/4 in) the load is taken to go across the grain, the hard way.
    """
    require_positive(length_in=length_in)
    fyb = bending_yield_psi(screw.diameter_in)
    return _driven(
        length_in,
        screw.root_diameter_in,
        screw.diameter_in,
        side_thickness_in,
        main_thickness_in,
        side_gravity,
        main_gravity,
        fyb,
        screw.status,
    )


def _driven(
    length: float,
    diameter: float,
    nominal: float,
    side: float,
    main: float,
    side_gravity: float,
    main_gravity: float,
    fyb: Sourced,
    *statuses: str,
) -> LateralValue:
    require_positive(side_thickness_in=side, main_thickness_in=main)
    fes, fem = (dowel_bearing_psi(gravity, nominal, _HARDEST_ANGLE) for gravity in (side_gravity, main_gravity))
    reach = length - side
    bearing = min(reach, main)
    used = [fyb.status, fes.status, fem.status, *statuses]
    point = _rule("point-length").value * nominal
    if reach < main + point:
        # A point inside the main member is a taper: it counts in full only when buried deep.
        used += [_rule("penetration-full").status, _rule("point-length").status]
        if reach < _rule("penetration-full").value * nominal:
            bearing = min(reach - point / 2, main)
    least = _rule("penetration-least").value * nominal
    enough = min(reach, main) >= least - slack(min(reach, main), least)
    modes: tuple[tuple[str, float], ...] = ()
    if enough:
        strengths = fes.value, fem.value, fyb.value
        modes = yield_modes(diameter, side, bearing, *strengths, nominal_diameter_in=nominal, angle_deg=_HARDEST_ANGLE)
    mode, z = min(modes, key=lambda pair: pair[1], default=(_NO_VALUE, 0.0))
    return LateralValue(
        z, mode, modes, diameter, side, max(bearing, 0.0), fes.value, fem.value, fyb.value, weakest(used)
    )


def bolt_lateral(
    diameter_in: float,
    side_thickness_in: float,
    main_thickness_in: float,
    side_gravity: float,
    main_gravity: float,
    *,
    side_angle_deg: float,
    main_angle_deg: float,
    shear_planes: Literal[1, 2] = 1,
) -> LateralValue:
    """Return Z of a bolt through both members, shank (not thread) bearing.

    The angles are those between load and grain in each member: sistering nails and bolts that hand over
    floor load press across the grain (90). Values hold for the edge, end and spacing distances of NDS 12.5.
    """
    fyb = bending_yield_psi(diameter_in, "bolt")
    fes = dowel_bearing_psi(side_gravity, diameter_in, side_angle_deg)
    fem = dowel_bearing_psi(main_gravity, diameter_in, main_angle_deg)
    modes = yield_modes(
        diameter_in,
        side_thickness_in,
        main_thickness_in,
        fes.value,
        fem.value,
        fyb.value,
        angle_deg=max(side_angle_deg, main_angle_deg),
        shear_planes=shear_planes,
    )
    mode, z = min(modes, key=lambda pair: pair[1])
    return LateralValue(
        z,
        mode,
        modes,
        diameter_in,
        side_thickness_in,
        main_thickness_in,
        fes.value,
        fem.value,
        fyb.value,
        weakest((fyb.status, fes.status, fem.status)),
    )


def _in_row(length_in: float, spacing_in: float) -> int:
    """Fasteners in a row with one at each end and no gap over the spacing."""
    return math.ceil(length_in / spacing_in - 1e-9) + 1


def _require_sheet(length: float, width: float, edge: float, field: float, distance: float) -> None:
    require_positive(sheet_length_in=length, sheet_width_in=width, edge_spacing_in=edge, field_spacing_in=field)
    require_not_negative(edge_distance_in=distance)
    if 2 * distance >= min(length, width):
        raise ValueError("edge distance leaves no room in the sheet")


def fasteners_per_sheet(
    sheet_length_in: float,
    sheet_width_in: float,
    joist_spacing_in: float,
    edge_spacing_in: float,
    field_spacing_in: float,
    edge_distance_in: float = 3 / 8,
    *,
    blocked_edges: int = 0,
) -> SheetFasteners:
    """Return the fasteners of one subfloor sheet laid with its length across the joists.

    A row runs along each joist that the sheet crosses, from ``edge_distance_in`` inside one long edge to
    the same inside the other; the rows at the two ends go at the edge spacing, the rest at the field
    spacing. Long edges between joists get none (the code asks for no blocking there) save on
    ``blocked_edges`` (0 to 2) of them. A 4 by 8 sheet over joists at 16 in crosses seven joists; at 8 in
    each way that is 7 × 7 = 49.
    """
    _require_sheet(sheet_length_in, sheet_width_in, edge_spacing_in, field_spacing_in, edge_distance_in)
    require_positive(joist_spacing_in=joist_spacing_in)
    if blocked_edges not in (0, 1, 2):
        raise ValueError(f"blocked edges must be 0, 1 or 2, not {blocked_edges!r}")
    spaces = math.floor(sheet_length_in / joist_spacing_in + 1e-9)
    end_on_joist = abs(spaces * joist_spacing_in - sheet_length_in) < 1e-6
    joists = spaces + 1
    edge_rows = 2 if end_on_joist else 1
    row = sheet_width_in - 2 * edge_distance_in
    between = _in_row(joist_spacing_in, edge_spacing_in) - 2  # its ends are the joist rows' own
    return SheetFasteners(
        edge_rows=edge_rows,
        in_edge_row=_in_row(row, edge_spacing_in),
        field_rows=joists - edge_rows,
        in_field_row=_in_row(row, field_spacing_in),
        long_edges=blocked_edges * spaces * between,
        end_on_joist=end_on_joist,
    )
