"""What the edge of the subfloor lies on along the walls, and what holds it there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inspect_core.quantities import (
    Quantity,
    at_most,
    hull,
    minimum,
)
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import Wall, extent_along
from inspect_core.site.model import Edge, Fasteners
from inspect_core.site.sections import resolve_section
from inspect_wood_floor._layering import (
    base_layers,
)


@dataclass(frozen=True, slots=True)
class Landing:
    """What the subfloor's edge lies on along one wall or a part of it; lengths in inches.

    ``what`` is a landing of the schema, ``none``, or ``None`` when not known. ``derived``: from a joist's place.
    """

    subject: Named
    what: str | None
    width: Quantity | None
    fasteners: Fasteners | None
    derived: bool = False
    because: str = ""


def landings(area: Area, limits: Limits) -> Iterator[Landing]:
    """Landing of the subfloor's edge all round the room: as stated, else from a joist under the wall's line."""
    for wall in area.walls:
        stated = [edge for edge in area.edges or () if edge.wall == wall.name]
        whole = Named(f"floor edge at {wall.name} wall", area.path)
        if stated:
            yield from _stated(wall, stated, limits)
            continue
        width = _joist_under(area, wall, limits)
        if width is not None:
            base = base_layers(area)
            yield Landing(whole, "joist", width, base[0].fasteners if len(base) == 1 else None, derived=True)
        elif area.edges == ():
            yield Landing(whole, "none", None, None)
        else:
            yield Landing(whole, None, None, None, because=_why_unknown(wall))
    if not area.walls:
        for number, edge in enumerate(area.edges or (), start=1):
            subject = Named(f"floor edge {number} at {edge.wall or 'unknown'} wall", edge.path, edge.work)
            yield Landing(subject, edge.landing, _width(edge), edge.fasteners)
        because = "the room's outline is unknown, so are its walls: what does the subfloor's edge lie on, all round?"
        yield Landing(Named("floor edges at walls", area.path), None, None, None, because=because)


def _why_unknown(wall: Wall) -> str:
    if wall.parallel:
        return "no joist is known to lie under it; look for a cleat or blocking"
    return "between the joists the edge needs a rim, blocking or a sill at panel height"


def _stated(wall: Wall, edges: list[Edge], limits: Limits) -> Iterator[Landing]:
    several = len(edges) > 1 or edges[0].part is not None
    for number, edge in enumerate(edges, start=1):
        name = f"floor edge at {wall.name} wall" + (f", part {number}" if several else "")
        yield Landing(Named(name, edge.path, edge.work), edge.landing, _width(edge), edge.fasteners)
    parts = [edge.part for edge in edges if edge.part is not None]
    if len(parts) < len(edges):
        return
    runs = [(min(a.high, b.high), max(a.low, b.low)) for a, b in parts if a is not None and b is not None]
    if not _covers(runs, wall, limits):
        rest = Named(f"floor edge at {wall.name} wall, the rest", edges[0].path)
        yield Landing(rest, None, None, None, because="the parts listed do not reach along the whole wall")


def _width(edge: Edge) -> Quantity | None:
    """Width of a landing; where a cleat's was not measured, the thinner side of its size: it may stand or lie."""
    if edge.width is not None or edge.landing != "cleat":
        return edge.width
    section = resolve_section(edge.size, "nominal", None, None, None, edge.work)
    if section.thickness is None or section.depth is None:
        return None
    return minimum(section.thickness, section.depth)


def _covers(runs: list[tuple[float, float]], wall: Wall, limits: Limits) -> bool:
    """Whether stretches together reach along the wall, but for gaps as small as a panel's edge may overhang."""
    slack = _length(limits, "edge-overhang")
    reached = wall.begins.low
    for begins, ends in sorted(runs):
        if begins > reached + slack:
            return False
        reached = max(reached, ends)
    return reached >= wall.ends.high - slack


def _length(limits: Limits, name: str) -> float:
    value = limits[name].value
    assert value is not None
    return value.low


def _joist_under(area: Area, wall: Wall, limits: Limits) -> Quantity | None:
    """Width of joist under the floor's edge along a wall that runs with the joists; ``None`` where none is sure.

    The edge lies at the wall's face; a joist that stands off from it a little still carries the panel.
    """
    if not wall.parallel:
        return None
    overhang = limits["edge-overhang"].value
    assert overhang is not None
    runs: list[tuple[float, float]] = []
    widths: list[Quantity] = []
    for joist in area.joists or ():
        section = joist.section
        if joist.place is None or section.thickness is None:
            continue
        place = joist.place if joist.place_far is None else hull(joist.place, joist.place_far)
        into = (place - wall.at) * wall.inward  # from the wall's face into the room
        thickness = section.thickness * section.plies
        if into.low - thickness.high / 2 > 2 * overhang.high:
            continue  # most joists are nowhere near
        off, width = into - thickness / 2, minimum(into + thickness / 2, thickness)
        extent = extent_along(area, joist)
        if extent is not None and width.low > 0 and at_most(off, overhang):
            runs.append(extent)
            widths.append(width)
    return minimum(*widths) if widths and _covers(runs, wall, limits) else None


@rule(
    "subfloor-edge-landing",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-edge",
    quantity="landing",
    limits=["edge-landings", "edge-overhang"],
    measures=["edge.landing", "area.outline"],
    provisions=["subfloor-edge-perimeter"],
    cautions=["crawl-space"],
    remedy="Fit 2x blocking between the joists, or a 2x cleat on the side of the joist or wall framing, with its top "
    "flush with the joist tops, so that the edge has wood under it all along.",
)
def subfloor_edge_landing(area: Area, limits: Limits) -> Iterator[Check]:
    """The subfloor's edge lies on framing, blocking or a cleat all round the room.

    An edge in the air bends under the first foot beside the wall, and the tile along it comes loose.
    """
    for landing in landings(area, limits):
        if landing.what is None:
            yield not_measured(landing.subject, because=landing.because or "not looked at", asks=("edge.landing",))
            continue
        found = "a joist lies under it" if landing.derived else ""
        yield check(landing.subject, measured=landing.what, one_of=limits["edge-landings"], found=found)


@rule(
    "subfloor-edge-width",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-edge",
    quantity="landing",
    limits=["edge-landing-width", "edge-overhang"],
    measures=["edge.width", "edge.size"],
    provisions=["subfloor-edge-perimeter"],
    cautions=["crawl-space"],
    remedy="Widen the landing with a 2x cleat or blocking, its top flush, so that a screw has wood on both sides of "
    "it.",
)
def subfloor_edge_width(area: Area, limits: Limits) -> Iterator[Check]:
    """Enough of the subfloor's edge lies on its landing to be fastened there.

    A fastener in a sliver splits it out, and the edge is as good as in the air.
    """
    for landing in landings(area, limits):
        if landing.what == "none":
            yield does_not_apply(landing.subject, "nothing is under the edge yet")
            continue
        found = "from the joist's place" if landing.derived else ""
        width = landing.width
        asks = ("edge.width",) if landing.what else ("edge.landing", "edge.width")
        yield check(landing.subject, measured=width, at_least=limits["edge-landing-width"], found=found, asks=asks)


@rule(
    "subfloor-edge-fasteners",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-edge",
    quantity="fastener spacing",
    limits=["edge-fastener-spacing", "edge-overhang"],
    measures=["edge.fasteners"],
    provisions=["subfloor-edge-repair"],
    cautions=["crawl-space"],
    remedy="Nail or screw the blocking or cleat, and the panel's edge into it, at the closer spacing.",
)
def subfloor_edge_fasteners(area: Area, limits: Limits) -> Iterator[Check]:
    """What the subfloor's edge lands on is fastened as closely as a panel edge.

    A loose cleat carries nothing: it slides down the first time somebody stands at the wall.
    """
    for landing in landings(area, limits):
        if landing.what == "none":
            yield does_not_apply(landing.subject, "nothing to fasten to yet")
            continue
        fasteners = landing.fasteners
        measured = None if fasteners is None else fasteners.spacing or fasteners.edges
        taken = ("fastened there as along the panel's other edges",) if landing.derived and measured else ()
        asks = ("layer.fasteners",) if landing.derived else ("edge.landing", "edge.fasteners")
        limit = limits["edge-fastener-spacing"]
        yield check(landing.subject, measured=measured, at_most=limit, assuming=taken, asks=asks)
