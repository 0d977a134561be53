"""Wiring that meets the floor: cables through joists, what was found in the bays, protection against shock."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    STOP_WORK,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Electrical
from inspect_wood_floor._contents import CABLE, Passage, each_passage, guarded
from inspect_wood_floor._drains import BINDS

ELECTRICIAN = "power off first; a licensed electrician where local law asks for one."


@rule(
    "wiring-made-safe",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="electrical.found",
    quantity="wiring found",
    limits=["sound-wiring"],
    measures=["hazards.wiring"],
    provisions=["electrical-bond-wires-found"],
    cautions=["electricity", "crawl-space"],
    remedy=f"Stop, switch off, keep everybody out of the bay, and have it made safe: {ELECTRICIAN}",
    scope="site",
)
def wiring_made_safe(site: Site, limits: Limits) -> Iterator[Check]:
    """Splices out of boxes, knob-and-tube and wet wiring in a bay are made safe before work goes on."""
    hazards = site.hazards
    subject = Named("wiring under the floor", hazards.path if hazards is not None else ())
    wiring = hazards.wiring if hazards is not None else None
    yield check(subject, measured=wiring, one_of=limits["sound-wiring"], asks=("hazards.wiring",))


@rule(
    "cable-hole-edge",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="electrical.cables",
    quantity="cable from the edge",
    limits=["cable-edge"],
    measures=["hole.holds", "hole.wood_above", "hole.wood_below", "hole.shielded"],
    provisions=["bore-edge-wire"],
    cautions=["electricity"],
    binds=BINDS,
    remedy=f"Put a steel plate or a bushing over the cable before panels go down: {ELECTRICIAN}",
)
def cable_hole_edge(area: Area, limits: Limits) -> Iterator[Check]:
    """A cable in a bored hole is far enough from the edge of the wood, or behind a steel plate.

    The screws of the floor above reach further into the joist than one thinks.
    """

    def about(one: Passage) -> Check:
        if one.is_notch:
            return does_not_apply(one.subject, "a notch: see whether a plate covers it")
        holds, asks = guarded(one, limits, "cable-edge")
        expected = "the cable is far from the edges, or a steel plate guards it"
        if one.holds is None and not holds:
            return not_measured(one.subject, expected=expected, asks=("hole.holds", *asks))
        found = "near the edge without a plate" if holds is False else ""
        limit = limits["cable-edge"]
        return fact(one.subject, holds, expected=expected, found=found, asks=asks, limit=limit, path=one.cut.path)

    yield from each_passage(area, about, "cables in holes", CABLE)


@rule(
    "cable-notch-plate",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="electrical.cables",
    quantity="thickness of the plate over the cable",
    limits=["cable-plate"],
    measures=["notch.holds", "notch.shielded", "notch.plate_thickness", "hole.plate_thickness"],
    provisions=["notch-wire", "bore-edge-wire"],
    cautions=["electricity"],
    binds=BINDS,
    remedy=f"Screw a steel plate over the notch before panels hide it: {ELECTRICIAN}",
)
def cable_notch_plate(area: Area, limits: Limits) -> Iterator[Check]:
    """A cable in a notch lies behind a steel plate that is thick enough."""

    def about(one: Passage) -> Check:
        part = "notch" if one.is_notch else "hole"
        if not one.is_notch and one.cut.shielded is False:
            return does_not_apply(one.subject, "a hole without a plate: see how far the cable is from the edges")
        if one.holds is None or one.cut.shielded is None:
            known = ((f"{part}.holds", one.holds), (f"{part}.shielded", one.cut.shielded))
            asks = tuple(field for field, value in known if value is None)
            return not_measured(one.subject, asks=asks, because="not said whether a plate guards a cable there")
        if one.cut.shielded is False:
            expected = "a steel plate covers the cable"
            return fact(one.subject, False, expected=expected, found="a cable in a notch, no plate", path=one.cut.path)
        thick, limit = one.cut.plate_thickness, limits["cable-plate"]
        return check(one.subject, measured=thick, at_least=limit, asks=(f"{part}.plate_thickness",), path=one.cut.path)

    yield from each_passage(area, about, "cables in notches", CABLE)


def _wiring(area: Area, what: str) -> tuple[Named, Electrical | None]:
    found = area.electrical
    return Named(what, found.path if found is not None else area.path), found


@rule(
    "cables-on-joists",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="electrical.cables",
    quantity="cables across the joists",
    limits=["cables-on-joists"],
    measures=["electrical.cables_on_joists", "crawl_space.kind"],
    provisions=["nm-crawl-joist"],
    cautions=["electricity", "crawl-space"],
    remedy=f"Run small cables through bored holes or along a running board: {ELECTRICIAN}",
)
def cables_on_joists(area: Area, limits: Limits) -> Iterator[Check]:
    """Small cables cross the joists of a crawl space in bored holes or on running boards, not along their edges.

    What hangs there gets used as a clothes line, or as something to hold on to.
    """
    subject, wiring = _wiring(area, "cables under the joists")
    if area.crawl_space is not None and area.crawl_space.kind == "none":
        yield does_not_apply(subject, "no space under this floor")
        return
    measured = wiring.cables_on_joists if wiring is not None else None
    limit = limits["cables-on-joists"]
    yield check(subject, measured=measured, one_of=limit, asks=("electrical.cables_on_joists",))


@rule(
    "floor-heat-protected",
    hold_point="tile",
    severity=ADVISORY,
    reference="electrical.protection",
    quantity="floor heat",
    limits=["floor-heat"],
    measures=["electrical.floor_heat"],
    provisions=["floor-heat-gfci"],
    cautions=["electricity"],
    remedy=f"Feed the mat through ground-fault protection, and test it before and after tiling: {ELECTRICIAN}",
)
def floor_heat_protected(area: Area, limits: Limits) -> Iterator[Check]:
    """Electric heat in a bathroom's floor has ground-fault protection."""
    subject, wiring = _wiring(area, "floor heat")
    measured = wiring.floor_heat if wiring is not None else None
    if area.use is not None and area.use != "bathroom":
        yield does_not_apply(subject, f"{area.use}: asked of bathrooms")
        return
    yield check(subject, measured=measured, one_of=limits["floor-heat"], asks=("electrical.floor_heat",))


@rule(
    "crawl-outlets-protected",
    hold_point="final",
    severity=ADVISORY,
    reference="electrical.protection",
    quantity="outlets under the floor",
    limits=["crawl-receptacles", "crawl-lights"],
    measures=["electrical.crawl_receptacles", "electrical.crawl_lights", "crawl_space.kind"],
    provisions=["crawl-gfci"],
    cautions=["electricity", "crawl-space"],
    remedy=f"Put receptacles and lights under the floor behind ground-fault protection: {ELECTRICIAN}",
)
def crawl_outlets_protected(area: Area, limits: Limits) -> Iterator[Check]:
    """Receptacles and light outlets in a crawl space have ground-fault protection.

    Who lies on damp ground is the best path that current has.
    """
    outlets = (
        ("receptacles in the crawl space", "crawl_receptacles", "crawl-receptacles"),
        ("lights in the crawl space", "crawl_lights", "crawl-lights"),
    )
    for what, field, limit in outlets:
        subject, wiring = _wiring(area, what)
        if area.crawl_space is not None and area.crawl_space.kind == "none":
            yield does_not_apply(subject, "no space under this floor")
            continue
        measured = getattr(wiring, field) if wiring is not None else None
        yield check(subject, measured=measured, one_of=limits[limit], asks=(f"electrical.{field}",))


@rule(
    "bath-circuit",
    hold_point="final",
    severity=ADVISORY,
    reference="electrical.protection",
    quantity="amperes of the bathroom's circuit",
    limits=["bath-circuit"],
    measures=["electrical.bath_circuit", "area.use"],
    provisions=["bath-circuit"],
    cautions=["electricity"],
    remedy=f"Have a circuit of its own brought to the bathroom's receptacles: {ELECTRICIAN}",
)
def bath_circuit(area: Area, limits: Limits) -> Iterator[Check]:
    """A bathroom's receptacles are on a circuit that is large enough."""
    subject, wiring = _wiring(area, "bathroom circuit")
    if area.use is not None and area.use != "bathroom":
        yield does_not_apply(subject, f"{area.use}: asked of bathrooms")
        return
    measured = wiring.bath_circuit if wiring is not None else None
    asks = ("electrical.bath_circuit",) if area.use is not None else ("electrical.bath_circuit", "area.use")
    yield check(subject, measured=measured, at_least=limits["bath-circuit"], asks=asks)


@rule(
    "bath-receptacles-protected",
    hold_point="final",
    severity=ADVISORY,
    reference="electrical.protection",
    quantity="ground-fault protection",
    measures=["electrical.bath_gfci", "area.use"],
    provisions=["bath-circuit"],
    cautions=["electricity"],
    remedy=f"Put the bathroom's receptacles behind ground-fault protection: {ELECTRICIAN}",
)
def bath_receptacles_protected(area: Area, limits: Limits) -> Iterator[Check]:
    """A bathroom's receptacles have ground-fault protection."""
    subject, wiring = _wiring(area, "bathroom receptacles")
    if area.use is not None and area.use != "bathroom":
        yield does_not_apply(subject, f"{area.use}: asked of bathrooms")
        return
    safe = wiring.bath_gfci if wiring is not None else None
    found = "without ground-fault protection" if safe is False else ""
    asks = ("electrical.bath_gfci",) if area.use is not None else ("electrical.bath_gfci", "area.use")
    yield fact(subject, safe, expected="they have ground-fault protection", found=found, asks=asks)
