"""Damp air out of the bathroom; insulation that touches the floor or the crawl-space walls; air that dries a space."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import Dimension, Quantity, ratio
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import CrawlSpace, Ventilation
from inspect_wood_floor._crawl import UNVENTED, crawl_space, each_space, only_under_the_rooms
from inspect_wood_floor._verdicts import all_of

FANS = ("intermittent", "continuous")


def _bathroom(area: Area, what: str, answer: Callable[[Ventilation, Named], Iterator[Check]]) -> Iterator[Check]:
    """Answers about a bathroom's air, or the one that says why there are none."""
    path = area.ventilation.path if area.ventilation is not None else area.path
    where = Named(what, path)
    if area.use is not None and area.use != "bathroom":
        yield does_not_apply(where, f"a {area.use}, not a bathroom")
    elif area.use is None:
        yield not_measured(where, because="not said what the room is for", asks=("area.use",))
    elif area.ventilation is None:
        yield not_measured(where, asks=("area.ventilation",), because="nothing is said of a fan or a window")
    else:
        yield from answer(area.ventilation, where)


@rule(
    "bath-exhaust",
    hold_point="final",
    severity=CORRECTION,
    reference="ventilation.bath",
    quantity="air that the fan moves",
    limits=["bath-exhaust"],
    measures=["ventilation.fan", "ventilation.rate", "area.use"],
    provisions=["bath-exhaust-rate"],
    cautions=["mould-and-dust"],
    remedy="Fit a fan of that rating with a short, smooth duct outdoors; wiring near a tub is for a licensed trade.",
)
def bath_exhaust(area: Area, limits: Limits) -> Iterator[Check]:
    """A bathroom's fan moves enough air: more when it is switched, less when it runs all the time.

    A shower puts a pint of water into the air. What is not blown out goes into the floor and the walls.
    """

    def answer(air: Ventilation, where: Named) -> Iterator[Check]:
        if air.fan == "none":
            yield does_not_apply(where, "no fan; see bath-window")
            return
        asks = [] if air.fan else ["ventilation.fan"]
        asks += [] if air.rate is not None else ["ventilation.rate"]
        yield check(
            where,
            measured=air.rate if air.fan else None,
            at_least=limits.between("bath-exhaust", air.fan, FANS),
            asks=tuple(asks) or ("ventilation.rate",),
        )

    yield from _bathroom(area, "bathroom fan", answer)


@rule(
    "bath-window",
    hold_point="final",
    severity=CORRECTION,
    reference="ventilation.bath",
    quantity="window in place of a fan",
    limits=["bath-window", "bath-window-opens"],
    measures=["ventilation.window", "ventilation.openable", "ventilation.fan", "area.use"],
    provisions=["bath-window-alt"],
    cautions=["mould-and-dust"],
    remedy="Fit a fan that blows outdoors (wiring near a tub is for a licensed trade), or a larger window that opens.",
)
def bath_window(area: Area, limits: Limits) -> Iterator[Check]:
    """A bathroom without a fan has a window large enough, half of which opens.

    Two states ask for a fan wherever there is a tub or shower: nobody opens a window in January.
    """

    def answer(air: Ventilation, where: Named) -> Iterator[Check]:
        if air.fan in FANS:
            yield does_not_apply(where, "a fan airs the room")
            return
        for name, limit in (("window", "bath-window"), ("openable", "bath-window-opens")):
            area_of = getattr(air, name) if air.fan else None
            asks = ("ventilation.fan",) if not air.fan else (f"ventilation.{name}",)
            words = "glass" if name == "window" else "part that opens"
            yield check(
                Named(f"bathroom window, {words}", where.path), measured=area_of, at_least=limits[limit], asks=asks
            )

    yield from _bathroom(area, "bathroom window", answer)


@rule(
    "bath-exhaust-outdoors",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="ventilation.bath",
    quantity="end of the fan's duct",
    limits=["bath-exhaust-ends"],
    measures=["ventilation.ends", "ventilation.fan", "area.use"],
    provisions=["bath-exhaust-outdoors"],
    cautions=["mould-and-dust"],
    remedy="Run the duct through wall or roof to a hood outdoors, away from vents of the attic and the crawl space.",
)
def bath_exhaust_outdoors(area: Area, limits: Limits) -> Iterator[Check]:
    """A bathroom's fan blows straight outdoors, not into attic, wall or crawl space.

    Blown into the house's cold parts, a shower's steam condenses there on wood.
    """

    def answer(air: Ventilation, where: Named) -> Iterator[Check]:
        if air.fan == "none":
            yield does_not_apply(where, "no fan")
            return
        measured = air.ends if air.fan else None
        asks = ("ventilation.ends",) if air.fan else ("ventilation.fan",)
        yield check(where, measured=measured, one_of=limits["bath-exhaust-ends"], asks=asks)

    yield from _bathroom(area, "bathroom fan's duct", answer)


# --- insulation -------------------------------------------------------------------------------------------------------


@rule(
    "floor-insulation-held",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="ventilation.insulation",
    quantity="how the insulation lies",
    limits=["insulation-places"],
    measures=["crawl_space.insulation", "crawl_space.insulation_held", "crawl_space.rim_insulated"],
    provisions=["floor-insul-contact"],
    cautions=["crawl-space", "mould-and-dust"],
    binds=["new", "altered"],
    remedy=(
        "Push it up against the subfloor and hold it with wires or slats; or, where it lies on sheathing below, "
        "insulate and seal the rim all round."
    ),
)
def floor_insulation_held(area: Area, limits: Limits) -> Iterator[Check]:
    """Insulation between joists touches the subfloor, or lies on sheathing below with the rim insulated and sealed.

    With a gap above it, outside air blows between floor and insulation: the floor is cold, and wet in summer.
    """

    def answer(space: CrawlSpace) -> Check:
        where = named(space, "floor insulation")
        if space.insulation is not None and space.insulation != "between-joists":
            return does_not_apply(where, "no insulation between the joists")
        lies, asks = space.insulation_held, [] if space.insulation else ["crawl_space.insulation"]
        holds = None if lies is None else lies in limits["insulation-places"].words
        if lies is None:
            asks.append("crawl_space.insulation_held")
        if lies == "on-lower-sheathing":
            holds = all_of((holds, space.rim_insulated))
            asks += [] if space.rim_insulated is not None else ["crawl_space.rim_insulated"]
        return fact(
            where,
            None if space.insulation is None else holds,
            expected="it touches the subfloor, or lies on sheathing below with the rim insulated and sealed",
            found="" if lies is None else lies.replace("-", " "),
            asks=tuple(asks) or ("crawl_space.insulation_held",),
        )

    yield from each_space(area, answer)


@rule(
    "crawl-wall-insulation",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="ventilation.insulation",
    quantity="reach of wall insulation past the ground outside",
    limits=["wall-insulation-past-grade"],
    measures=["crawl_space.wall_insulation_past_grade", "crawl_space.wall_insulation_fastened",
              "crawl_space.insulation", "crawl_space.kind"],
    provisions=["crawl-wall-insul"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy=(
        "Add insulation down the wall or in over the ground, fasten it for good, and leave a strip to look for "
        "termites."
    ),
)  # fmt: skip
def crawl_wall_insulation(area: Area, limits: Limits) -> Iterator[Check]:
    """Wall insulation of a crawl space that is not vented is fastened and goes well past the ground outside.

    Frost comes in sideways, just under the ground: insulation that ends there leaves the coldest part bare.
    """

    space = crawl_space(area, *UNVENTED)
    if isinstance(space, Check):
        yield space
        return
    where = named(space, "wall insulation")
    if space.insulation is None:
        asks = ("crawl_space.insulation",)
        yield not_measured(where, expected="its walls are insulated", asks=asks)
    elif space.insulation != "walls":
        yield does_not_apply(where, "no insulation on the walls")
    else:
        reach, limit = space.wall_insulation_past_grade, limits["wall-insulation-past-grade"]
        yield check(where, measured=reach, at_least=limit, asks=("crawl_space.wall_insulation_past_grade",))
        yield fact(
            named(space, "wall insulation, fastening"),
            space.wall_insulation_fastened,
            expected="it is fastened for good",
            found="loose" if space.wall_insulation_fastened is False else "",
            asks=("crawl_space.wall_insulation_fastened",),
        )


@rule(
    "unvented-air",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="floor area for each cfm of air",
    limits=["unvented-area-per-cfm"],
    measures=["crawl_space.drying_flow", "crawl_space.drying", "crawl_space.floor_area", "crawl_space.kind"],
    provisions=["unvented-exhaust", "unvented-supply"],
    cautions=["crawl-space", "water-and-power"],
    remedy="Fit a larger fan with a way back to the house for the air. Fuel-burning appliances need their own air.",
)
def unvented_air(area: Area, limits: Limits) -> Iterator[Check]:
    """Exhaust or supply air of a crawl space that is not vented is enough for its floor.

    Too little air, and the space is damp for all its sealing.
    """

    def answer(space: CrawlSpace) -> Check:
        where = named(space, "air")
        if space.drying in ("dehumidifier", "plenum", "none"):
            return does_not_apply(where, f"dried by: {space.drying}; see unvented-drying")
        if space.drying is None:
            return not_measured(where, because="not said how it is dried", asks=("crawl_space.drying",))
        size = space.floor_area if space.floor_area is not None else area.floor_area
        notes = () if space.floor_area is not None else ("the space taken to be at least as large as the room over it",)
        flow, share = space.drying_flow, limits["unvented-area-per-cfm"]
        needed = None
        if size is not None and share.value is not None:
            parts = ratio(size, share.value)
            needed = Quantity(parts.low, parts.high, Dimension.FLOW, parts.estimate)
        asks = [] if flow is not None else ["crawl_space.drying_flow"]
        asks += [] if size is not None else ["crawl_space.floor_area"]
        answer = check(
            where,
            measured=flow,
            at_least=share.derived(needed, "1 cfm for each such part of its floor"),
            assuming=notes,
            asks=tuple(asks) or ("crawl_space.drying_flow",),
        )
        return only_under_the_rooms(space, answer)

    yield from each_space(area, answer, *UNVENTED)
