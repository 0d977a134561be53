"""Adjustment factors of the wood design method (allowable stress), each with its working and status.

Properties are named as in `DesignValues`: fb, ft, fv, fc_perp, fc, e, e_min. A factor that doesn't apply is
1.0 with the reason in its working. Factor 0.0 means that the method doesn't permit the member at all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, NamedTuple

from inspect_core.quantities.quantity import slack

from ..working import NOT_NEEDED, Step, Working, show, weakest
from ._data import LumberError, constant, not_negative, positive, source_text, table
from .sizes import Section, nominal_of
from .values import DesignValues

PROPERTIES = ("fb", "ft", "fv", "fc_perp", "fc", "e", "e_min")
SYMBOLS = {
    "fb": "Fb",
    "ft": "Ft",
    "fv": "Fv",
    "fc_perp": "Fc⊥",
    "fc": "Fc",
    "e": "E",
    "e_min": "Emin",
}

LoadDuration = Literal["permanent", "ten-years", "two-months", "seven-days", "ten-minutes", "impact"]
Loading = Literal[
    "uniform",
    "point-at-middle",
    "point-at-middle-braced-there",
    "cantilever-uniform",
    "cantilever-point-at-end",
    "any",
]


@dataclass(frozen=True, slots=True)
class Factor:
    """A factor, what it multiplies, and how it was found; the last step of `working` is the factor itself."""

    symbol: str
    applies_to: str
    value: float
    working: Working
    source: str
    status: str


class _Entry(NamedTuple):
    row: dict[str, str]
    thickness: tuple[float, float]
    width: tuple[float, float]
    value: float


def _bound(text: str, default: float) -> float:
    return float(text) if text else default


@cache
def _entries() -> dict[tuple[str, str, str, str], tuple[_Entry, ...]]:
    """Return the rows of the factor table by factor, property, group and case."""
    found: dict[tuple[str, str, str, str], list[_Entry]] = {}
    for row in table("factors"):
        entry = _Entry(
            row=row,
            thickness=(_bound(row["thickness_min"], 0), _bound(row["thickness_max"], math.inf)),
            width=(_bound(row["width_min"], 0), _bound(row["width_max"], math.inf)),
            value=_bound(row["value"], math.nan),
        )
        found.setdefault((row["factor"], row["property"], row["group"], row["case"]), []).append(entry)
    return {key: tuple(entries) for key, entries in found.items()}


def _lookup(
    factor: str, prop: str, group: str, case: str = "", thickness: float = 0, width: float = 0
) -> _Entry | None:
    for entry in _entries().get((factor, prop, group, case), ()):
        thick_ok = not thickness or entry.thickness[0] <= thickness <= entry.thickness[1]
        if thick_ok and (not width or entry.width[0] <= width <= entry.width[1]):
            return entry
    return None


def _one(symbol: str, prop: str, why: str, clause: str = "") -> Factor:
    step = Step(symbol, "", why, 1.0, "", clause)
    return Factor(symbol, prop, 1.0, (step,), "", NOT_NEEDED)


def _from_entry(symbol: str, prop: str, entry: _Entry, what: str) -> Factor:
    step = Step(symbol, "", what, entry.value, "", entry.row["clause"])
    return Factor(symbol, prop, entry.value, (step,), source_text(entry.row["source"]), entry.row["status"])


def _use_group(values: DesignValues) -> str:
    return "dimension" if values.use == "dimension" else "timbers"


def _property(prop: str) -> str:
    if prop not in SYMBOLS:
        raise LumberError(f"unknown property {prop!r}", kind="factor", given=prop, near=PROPERTIES)
    return prop


@lru_cache(maxsize=4096)
def size_factor(values: DesignValues, thickness_in: float, depth_in: float, prop: str = "fb") -> Factor:
    """Return CF of a measured size for Fb, Ft or Fc (NDS 4.3.6; Supplement Tables 4A, 4B, 4D).

    Southern pine dimension lumber already holds its size up to 12 in. wide. Raises LumberError when the
    grade has no factor for the size, as Utility 3 in. wide and 4 in. thick.
    """
    _property(prop)
    clause = "NDS 4.3.6"
    if prop not in ("fb", "ft", "fc"):
        return _one("CF", prop, f"not used for {SYMBOLS[prop]}", clause)
    thick, wide = sorted((thickness_in, depth_in))
    if values.size_factors == "timbers":
        return _timber_size_factor(values, wide, prop)
    nominal_thick, nominal_wide = nominal_of(thick), nominal_of(wide)
    entry = _lookup("CF", prop, values.size_factors, thickness=nominal_thick, width=nominal_wide)
    if entry is not None:
        return _from_entry(
            "CF", prop, entry, f"{values.grade}, {nominal_thick} in thick, {nominal_wide} in wide, nominal"
        )
    if values.size_factors == "size-included":
        return _one("CF", prop, "the tabulated value holds the size", "NDS Supplement Table 4B")
    raise LumberError(
        f"{values.grade} has no size factor for a piece {thickness_in:g} x {depth_in:g} in",
        kind="size",
        given=(thickness_in, depth_in),
    )


def _timber_size_factor(values: DesignValues, depth: float, prop: str) -> Factor:
    limit, root = constant("timber_cf_depth"), constant("timber_cf_root")
    if prop != "fb" or depth <= limit.value:
        return _one("CF", prop, f"timber at most {limit.value:g} in deep, or not for Fb", limit.clause)
    value = (limit.value / depth) ** (1 / root.value)
    numbers = f"({limit.value:g}/{depth:g})^(1/{root.value:g})"
    step = Step("CF", f"({limit.value:g}/d)^(1/{root.value:g})", numbers, value, "", limit.clause)
    return Factor("CF", prop, value, (step,), limit.source, limit.status)


@lru_cache(maxsize=4096)
def repetitive_factor(values: DesignValues, spacing_in: float, members: int = 3) -> Factor:
    """Return Cr for Fb (NDS 4.3.9): joists alike, at least three, close together and joined by the floor.

    It is not for timbers. The caller answers for the layer that shares the load among them.
    """
    most, least = constant("cr_spacing_max"), constant("cr_members_min")
    positive("spacing", spacing_in)
    entry = _lookup("Cr", "fb", _use_group(values), "repetitive")
    if entry is None:
        return _one("Cr", "fb", "not for timbers", most.clause)
    if members < least.value or spacing_in > most.value + slack(spacing_in, most.value):
        why = f"{members} members {spacing_in:g} in apart: needs {least.value:g}, at most {most.value:g} in"
        return _one("Cr", "fb", why, most.clause)
    return _from_entry("Cr", "fb", entry, f"{members} or more members {spacing_in:g} in apart")


@lru_cache(maxsize=1024)
def wet_service_factor(values: DesignValues, wet: bool, prop: str, size_adjusted_psi: float) -> Factor:
    """Return CM for wood over 19 percent moisture in service (NDS 4.3.3; Supplement Tables 4A, 4B, 4D).

    `size_adjusted_psi` is the reference value times CF: low values of Fb and Fc are not reduced.
    """
    _property(prop)
    clause = "NDS 4.3.3"
    if not wet:
        return _one("CM", prop, "dry service", clause)
    if _use_group(values) == "timbers" and values.species == "southern-pine":
        return _one("CM", prop, "the tabulated values serve wet or dry", "NDS Supplement Table 4D")
    entry = _lookup("CM", prop, _use_group(values), "wet")
    assert entry is not None  # the table holds every property for both groups
    threshold = entry.row["threshold"]
    if threshold and size_adjusted_psi <= float(threshold):
        why = f"{SYMBOLS[prop]} CF = {size_adjusted_psi:g}, at most {threshold} psi"
        step = Step("CM", "", why, 1.0, "", entry.row["clause"])
        return Factor("CM", prop, 1.0, (step,), source_text(entry.row["source"]), entry.row["status"])
    return _from_entry("CM", prop, entry, "wet service")


@lru_cache(maxsize=256)
def load_duration_factor(duration: str, prop: str = "fb") -> Factor:
    """Return CD (NDS Table 2.3.2) for the shortest load of the combination; not for Fc⊥, E, Emin.

    Durations: permanent, ten-years (floor live load), two-months (snow), seven-days (building),
    ten-minutes (wind, earthquake), impact (not for treated wood or connections).
    """
    cases = [case for (factor, _, _, case) in _entries() if factor == "CD"]
    if duration not in cases:
        known = tuple(dict.fromkeys(cases))
        raise LumberError(
            f"unknown load duration {duration!r}: known are {', '.join(known)}",
            kind="factor",
            given=duration,
            near=known,
        )
    entry = _lookup("CD", _property(prop), "any", duration)
    if entry is None:
        return _one("CD", prop, f"not used for {SYMBOLS[prop]}", "NDS Table 2.3.2")
    return _from_entry("CD", prop, entry, duration)


@lru_cache(maxsize=256)
def temperature_factor(fahrenheit: float, wet: bool, prop: str) -> Factor:
    """Return Ct for wood that stays hot in service (NDS 2.3.3), by its temperature in degrees Fahrenheit.

    Raises LumberError over 150 °F, where the table ends.
    """
    _property(prop)
    normal = constant("temperature_normal_max")
    if fahrenheit <= normal.value:
        return _one("Ct", prop, f"at most {normal.value:g} °F", normal.clause)
    for entry in _entries()["Ct", prop, "any", "wet" if wet else "dry"]:
        if float(entry.row["over"]) < fahrenheit <= float(entry.row["up_to"]):
            return _from_entry("Ct", prop, entry, f"{fahrenheit:g} °F")
    message = f"no temperature factor at {fahrenheit:g} °F: the table ends"
    raise LumberError(message, kind="factor", given=fahrenheit)


@lru_cache(maxsize=256)
def incising_factor(values: DesignValues, incised: bool, prop: str) -> Factor:
    """Return Ci for dimension lumber incised for treatment (NDS 4.3.8); timbers have none."""
    _property(prop)
    entry = _lookup("Ci", prop, _use_group(values), "incised") if incised else None
    if entry is None:
        return _one("Ci", prop, "not incised dimension lumber", "NDS 4.3.8")
    return _from_entry("Ci", prop, entry, "incised")


@lru_cache(maxsize=256)
def flat_use_factor(values: DesignValues, thickness_in: float, depth_in: float, flat: bool) -> Factor:
    """Return Cfu for Fb of dimension lumber loaded on its wide face (NDS 4.3.7).

    Raises LumberError for timbers laid flat: their factors are not in the data.
    """
    if not flat:
        return _one("Cfu", "fb", "on edge", "NDS 4.3.7")
    thick, wide = sorted((nominal_of(thickness_in), nominal_of(depth_in)))
    entry = _lookup("Cfu", "fb", _use_group(values), "flat", thick, wide)
    if entry is None:
        message = f"no flat use factor is known for a piece {thickness_in:g} x {depth_in:g} in"
        raise LumberError(message, kind="factor", given=(thickness_in, depth_in))
    return _from_entry("Cfu", "fb", entry, f"flat, {wide} in wide nominal")


@lru_cache(maxsize=1024)
def bearing_area_factor(length_in: float, end_distance_in: float = 0.0) -> Factor:
    """Return Cb for Fc perpendicular (NDS 3.10.4): bearings under 6 in. long and 3 in. or more from an end.

    `length_in` is along the grain; `end_distance_in` from the bearing to the nearer end of the member.
    """
    positive("bearing length", length_in)
    not_negative("end distance", end_distance_in)
    add, below, away = (constant(key) for key in ("cb_addition", "cb_length_below", "cb_end_distance_min"))
    if end_distance_in < away.value or length_in >= below.value:
        why = f"bearing at an end, or at least {below.value:g} in long"
        return _one("Cb", "fc_perp", why, add.clause)
    value = (length_in + add.value) / length_in
    numbers = f"({length_in:g} + {add.value:g})/{length_in:g}"
    step = Step("Cb", f"(lb + {add.value:g})/lb", numbers, value, "", add.clause)
    return Factor("Cb", "fc_perp", value, (step,), add.source, add.status)


@lru_cache(maxsize=8)
def creep_factor(wet: bool = False) -> Factor:
    """Return Kcr for long-term deflection (NDS 3.5.2); `wet` is wet service or unseasoned lumber."""
    found = constant("kcr_wet" if wet else "kcr_dry")
    step = Step("Kcr", "", found.note, found.value, "", found.clause)
    return Factor("Kcr", "long-term deflection", found.value, (step,), found.source, found.status)


@cache
def _effective_lengths() -> tuple[tuple[str, float, float, float, str, str], ...]:
    return tuple(
        (
            row["loading"],
            _bound(row["ratio_below"], math.inf),
            float(row["times_lu"]),
            float(row["plus_d"]),
            source_text(row["source"]),
            row["status"],
        )
        for row in table("effective_lengths")
    )


def effective_length(unbraced_in: float, depth_in: float, loading: str = "any") -> Factor:
    """Return le of a bending member in inches (NDS Table 3.3.3) from its unbraced length lu and depth d.

    Loadings: uniform, point-at-middle, point-at-middle-braced-there, cantilever-uniform,
    cantilever-point-at-end, any. The answer is a Factor so that it carries its working and status.
    """
    not_negative("unbraced length", unbraced_in)
    positive("depth", depth_in)
    ratio = unbraced_in / depth_in
    reached = 0.0
    for name, high, times, plus, source, status in _effective_lengths():
        if name != loading:
            continue
        if ratio >= high:
            # The table steps down by 0.1 percent between its formulas; a longer unbraced length must not help.
            reached = max(reached, (times * high + plus) * depth_in)
            continue
        value = max(times * unbraced_in + plus * depth_in, reached)
        formula, numbers = f"{times:g} lu", f"{times:g} × {show(unbraced_in)}"
        if plus:
            formula, numbers = f"{formula} + {plus:g} d", f"{numbers} + {plus:g} × {show(depth_in)}"
        step = Step("le", formula, numbers, value, "in", "NDS Table 3.3.3")
        return Factor("le", "length", value, (step,), source, status)
    known = tuple(dict.fromkeys(row[0] for row in _effective_lengths()))
    message = f"unknown loading {loading!r}: known are {', '.join(known)}"
    raise LumberError(message, kind="factor", given=loading, near=known)


def beam_stability_factor(
    section: Section, unbraced_in: float, fb_star_psi: float, e_min_psi: float, loading: str = "any"
) -> Factor:
    """Return CL for Fb (NDS 3.3.3) of a beam braced only every `unbraced_in` inches.

    `fb_star_psi` is Fb with every factor but CL and Cfu, `e_min_psi` is E'min. Zero unbraced length means a
    compression edge held throughout. CL is 0.0 when RB is over 50, which the method doesn't permit.
    """
    positive("Fb*", fb_star_psi)
    positive("E'min", e_min_psi)
    b, d = section.breadth_in, section.depth_in
    if not_negative("unbraced length", unbraced_in) == 0:
        return _one("CL", "fb", "compression edge held throughout", "NDS 3.3.3.3")
    if d <= b:
        return _one("CL", "fb", "not deeper than wide", "NDS 3.3.3.1")
    length = effective_length(unbraced_in, d, loading)
    le = length.value
    kbe, most = constant("kbe"), constant("beam_slenderness_max")
    rb = math.sqrt(le * d / b**2)
    steps = [
        *length.working,
        Step("RB", "√(le d/b²)", f"√({show(le)} × {show(d)}/{show(b)}²)", rb, "", "NDS 3.3.3.6"),
    ]
    if rb > most.value:
        value = 0.0
        steps.append(Step("CL", "", f"RB over {most.value:g} is not permitted", value, "", most.clause))
    else:
        fbe = kbe.value * e_min_psi / rb**2
        alpha = fbe / fb_star_psi
        half = (1 + alpha) / 1.9
        value = half - math.sqrt(half**2 - alpha / 0.95)
        numbers = f"{kbe.value:.2f} × {show(e_min_psi)}/{show(rb)}²"
        steps += [
            Step("FbE", f"{kbe.value:.2f} E'min/RB²", numbers, fbe, "psi", kbe.clause),
            Step("α", "FbE/Fb*", f"{show(fbe)}/{show(fb_star_psi)}", alpha, "", kbe.clause),
            Step(
                "CL",
                "(1+α)/1.9 − √(((1+α)/1.9)² − α/0.95)",
                f"{show(half)} − √({show(half)}² − {show(alpha)}/0.95)",
                value,
                "",
                "NDS 3.3.3.8 (3.3-6)",
            ),
        ]
    status = weakest((length.status, kbe.status, most.status if value == 0 else NOT_NEEDED))
    return Factor("CL", "fb", value, tuple(steps), length.source, status)


Fastening = Literal["solid", "nailed", "bolted"]


def column_stability_factor(
    fc_star_psi: float,
    e_min_psi: float,
    effective_length_in: float,
    dimension_in: float,
    fastening: Fastening = "solid",
) -> Factor:
    """Return CP for Fc (NDS 3.7.1) about one axis; `dimension_in` is the side that buckling bends.

    `fastening` other than `solid` is for buckling across the laminations of a built-up column (NDS 15.3.2).
    Zero effective length means braced throughout. CP is 0.0 when le/d is over 50, which isn't permitted.
    """
    positive("Fc*", fc_star_psi)
    positive("E'min", e_min_psi)
    positive("column side", dimension_in)
    if not_negative("effective length", effective_length_in) == 0:
        return _one("CP", "fc", "braced throughout", "NDS 3.7.1.1")
    ratio = effective_length_in / dimension_in
    kce, c, most = constant("kce"), constant("c_sawn"), constant("column_slenderness_max")
    numbers = f"{show(effective_length_in)}/{show(dimension_in)}"
    steps = [Step("le/d", "", numbers, ratio, "", "NDS 3.7.1.3")]
    statuses = [kce.status, c.status]
    if ratio > most.value:
        value = 0.0
        statuses = [most.status]
        steps.append(Step("CP", "", f"le/d over {most.value:g} is not permitted", value, "", most.clause))
    else:
        fce = kce.value * e_min_psi / ratio**2
        alpha = fce / fc_star_psi
        half = (1 + alpha) / (2 * c.value)
        value = half - math.sqrt(half**2 - alpha / c.value)
        formula, clause = "(1+α)/(2c) − √(((1+α)/(2c))² − α/c)", "NDS 3.7.1.5 (3.7-1)"
        numbers = f"{kce.value:g} × {show(e_min_psi)}/{show(ratio)}²"
        steps += [
            Step("FcE", f"{kce.value:g} E'min/(le/d)²", numbers, fce, "psi", kce.clause),
            Step("α", "FcE/Fc*", f"{show(fce)}/{show(fc_star_psi)}", alpha, "", kce.clause),
        ]
        shown = f"{show(half)} − √({show(half)}² − {show(alpha)}/{c.value:g})"
        if fastening != "solid":
            kf = constant(f"kf_{fastening}")
            value *= kf.value
            statuses.append(kf.status)
            formula, clause, shown = f"Kf [{formula}]", kf.clause, f"{kf.value:g} [{shown}]"
        steps.append(Step("CP", formula, shown, value, "", clause))
    return Factor("CP", "fc", value, tuple(steps), kce.source, weakest(statuses))
