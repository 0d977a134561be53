"""Ways into a crawl space below the ground, to an appliance down there; flood water; radon."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import Quantity, times
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limit,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import CrawlSpace
from inspect_wood_floor._crawl import FILMS, crawl_space, only_under_the_rooms


def _two_sides(
    space: CrawlSpace, what: str, sides: tuple[Quantity, Quantity] | None, least: tuple[Limit, Limit], field: str
) -> Iterator[Check]:
    """The shorter and the longer side of an opening or a place, each against its least."""
    short, long = sorted(sides, key=lambda side: side.middle) if sides is not None else (None, None)
    for word, side, limit in (("short", short, least[0]), ("long", long, least[1])):
        yield check(named(space, f"{what}, {word} side"), measured=side, at_least=limit, asks=(field,))


@rule(
    "crawl-areaway",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.access",
    quantity="well outside of the opening",
    limits=["areaway-short", "areaway-long"],
    measures=["crawl_space.areaway", "crawl_space.areaway_below_sill", "crawl_space.access_below_grade",
              "crawl_space.access_through"],
    provisions=["access-areaway"],
    cautions=["crawl-space"],
    remedy=(
        "Dig the well larger and lower than the opening's sill, line it and drain it. Keep away from footings: a "
        "licensed engineer says how near you may dig."
    ),
)  # fmt: skip
def crawl_areaway(area: Area, limits: Limits) -> Iterator[Check]:
    """Where the opening in the wall lies below the ground, a well outside is large enough and lower than its sill.

    Rain runs into a well that is higher than the opening, and nobody gets out of one that is too small.
    """
    space = crawl_space(area)
    if isinstance(space, Check):
        yield space
        return
    if space.access_through == "floor" or space.access_below_grade is False:
        why = (
            "the way in is through the floor" if space.access_through == "floor" else "the opening is above the ground"
        )
        yield does_not_apply(named(space, "well"), why)
        return
    if space.access_below_grade is None or space.access_through is None:
        asks = [] if space.access_through else ["crawl_space.access_through"]
        asks += ["crawl_space.access_below_grade"] if space.access_below_grade is None else []
        yield not_measured(named(space, "well"), because="not said where the way in is", asks=tuple(asks))
        return
    least = (limits["areaway-short"], limits["areaway-long"])
    yield from _two_sides(space, "well", space.areaway, least, "crawl_space.areaway")
    low = space.areaway_below_sill
    yield fact(
        named(space, "well, bottom"),
        low,
        expected="its bottom lies below the opening's sill",
        found="its bottom is higher" if low is False else "",
        asks=("crawl_space.areaway_below_sill",),
    )


def _with_appliance(area: Area, what: str, answer: Callable[[CrawlSpace], Iterator[Check]]) -> Iterator[Check]:
    """Answers about a space with a furnace or heater, or the one that says why there are none."""
    space = crawl_space(area)
    if isinstance(space, Check):
        yield space
    elif space.appliance is None:
        where = named(space, what)
        yield not_measured(where, expected="an appliance stands there", asks=("crawl_space.appliance",))
    elif not space.appliance:
        yield does_not_apply(named(space, what), "no furnace or heater there")
    else:
        yield from answer(space)


@rule(
    "appliance-passage",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.appliance",
    quantity="way to an appliance",
    limits=["passage-height", "passage-width", "passage-length"],
    measures=["crawl_space.appliance", "crawl_space.appliance_passage_height", "crawl_space.appliance_passage_width",
              "crawl_space.appliance_passage_length"],
    provisions=["access-appliance"],
    cautions=["crawl-space"],
    remedy=(
        "Clear or dig the way, away from piers and footings, or have the appliance moved nearer to the way in by a "
        "licensed trade."
    ),
)  # fmt: skip
def appliance_passage(area: Area, limits: Limits) -> Iterator[Check]:
    """The way to a furnace or heater under the floor is high, wide and short enough for whoever serves it.

    What nobody can reach is not serviced; gas and flames down there need it most.
    """

    def answer(space: CrawlSpace) -> Iterator[Check]:
        for word in ("height", "width", "length"):
            field = f"appliance_passage_{word}"
            measured, limit = getattr(space, field), limits[f"passage-{word}"]
            where, asks = named(space, f"way to the appliance, {word}"), (f"crawl_space.{field}",)
            if word == "length":
                yield check(where, measured=measured, at_most=limit, asks=asks)
            else:
                yield check(where, measured=measured, at_least=limit, asks=asks)

    yield from _with_appliance(area, "way to an appliance", answer)


@rule(
    "appliance-service-space",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.appliance",
    quantity="level space at an appliance",
    limits=["service-space"],
    measures=["crawl_space.service_space", "crawl_space.appliance"],
    provisions=["service-pad"],
    cautions=["crawl-space"],
    remedy="Level the ground on its service side and keep it clear; don't dig beside footings.",
)
def appliance_service_space(area: Area, limits: Limits) -> Iterator[Check]:
    """A furnace or heater under the floor has level space in front of it to work on it."""

    def answer(space: CrawlSpace) -> Iterator[Check]:
        least = (limits["service-space"], limits["service-space"])
        yield from _two_sides(space, "service space", space.service_space, least, "crawl_space.service_space")

    yield from _with_appliance(area, "service space", answer)


# --- flood and radon --------------------------------------------------------------------------------------------------


@rule(
    "flood-openings",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.flood",
    quantity="net area of the flood openings",
    limits=["flood-opening-share"],
    measures=["crawl_space.flood_openings", "crawl_space.flood_openings_engineered", "crawl_space.floor_area",
              "place.flood_zone"],
    provisions=["crawl-flood-vent"],
    cautions=["crawl-space", "water-and-power", "structural-design"],
    remedy=(
        "Cut in more openings low in the walls, or fit engineered ones with a certificate; use wood and boards that "
        "bear water. A licensed engineer says where a wall may be cut."
    ),
)  # fmt: skip
def flood_openings(site: Site, limits: Limits) -> Iterator[Check]:
    """In a mapped flood area, openings let flood water in and out of the crawl space.

    Water that stands higher outside than inside pushes foundation walls in.
    """
    zone = site.place.flood_zone if site.place is not None else None
    for area in site.areas:
        name = f"flood openings under {area.id}"
        space = crawl_space(area, name=name)
        if isinstance(space, Check):
            yield space
            continue
        where = Named(name, space.path)
        if zone is False:
            yield does_not_apply(where, "not in a mapped flood area")
        elif space.flood_openings_engineered:
            yield does_not_apply(where, "engineered openings: their certificate tells how many")
        elif zone is None:
            yield not_measured(where, expected="it lies in a flood area", asks=("place.flood_zone",))
        else:
            size = space.floor_area if space.floor_area is not None else area.floor_area
            share = limits["flood-opening-share"]
            needed = times(share.value, size) if share.value is not None and size is not None else None
            asks = [] if space.flood_openings is not None else ["crawl_space.flood_openings"]
            asks += [] if size is not None else ["crawl_space.floor_area"]
            notes = (
                () if space.floor_area is not None else ("the space taken to be at least as large as the room over it",)
            )
            answer = check(
                where,
                measured=space.flood_openings,
                at_least=share.derived(needed, "1 sq in for each sq ft of the space"),
                assuming=notes,
                asks=tuple(asks) or ("crawl_space.flood_openings",),
            )
            yield only_under_the_rooms(space, answer)


@rule(
    "radon-cover",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.radon",
    quantity="lap of the sheets on the ground",
    limits=["radon-lap"],
    measures=["ground_cover.laps", "ground_cover.kind", "place.radon"],
    provisions=["radon-cover-lap"],
    cautions=["crawl-space"],
    remedy="Lay another sheet over the joints, seal laps, edges and pipes, and have the air of the house tested.",
)
def radon_cover(site: Site, limits: Limits) -> Iterator[Check]:
    """Where radon control is required, the sheets on the ground lap by twice what damp alone would ask.

    Radon is a gas out of the ground that nobody smells and that harms lungs; the sheet is what holds it down.
    """
    radon = site.place.radon if site.place is not None else None
    for area in site.areas:
        name = f"ground cover under {area.id}"
        space = crawl_space(area, name=name)
        if isinstance(space, Check):
            yield space
            continue
        where, cover = Named(name, space.path), space.ground_cover
        kind = cover.kind if cover is not None else None
        if radon is False:
            yield does_not_apply(where, "no radon control required here")
        elif kind == "concrete":
            yield does_not_apply(where, "concrete on the ground")
        elif radon is None:
            yield not_measured(where, expected="radon control is required", asks=("place.radon",))
        elif kind in ("none", "gravel"):
            yield fact(where, False, expected="a sheet lies on the ground", found=f"on the ground: {kind}")
        else:
            asks = [] if kind else ["ground_cover.kind"]
            laps = cover.laps if cover is not None and kind in (*FILMS, "other") else None
            asks += [] if laps is not None else ["ground_cover.laps"]
            yield check(where, measured=laps, at_least=limits["radon-lap"], asks=tuple(asks) or ("ground_cover.laps",))
