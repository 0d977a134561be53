"""Footings: the pressure on the soil, and the sizes that the code asks for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from inspect_core.engineering.foundation import Shape, footing_size
from inspect_core.engineering.working import Working
from inspect_core.quantities import Quantity, at_most, hull
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limit,
    Limits,
    Named,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Footing, Pier, Post
from inspect_core.structure import BASIS_LIMITS, HARD
from inspect_core.structure.below import Ground, Pressure
from inspect_core.structure.shown import Steps
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._structure import ENGINEER, LOADS, floor


@rule(
    "footing-pressure",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="pressure on the soil",
    limits=BASIS_LIMITS,
    measures=[
        "footing.width",
        "footing.shape",
        "footing.thickness",
        "soil.kind",
        "pier.rests_on",
        "post.rests_on",
        *LOADS,
    ],
    provisions=["footing-area-pier", "soil-1500", "soil-2000", "soil-3000", "soil-rock"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=f"Spread the load on a wider footing, or add posts on footings of their own. {ENGINEER}",
)
def footing_pressure(area: Area, limits: Limits) -> Iterator[Check]:
    """Each footing presses on the soil no harder than the soil bears, with all that comes down on it.

    A footing that is too small sinks, and not evenly.
    """
    yield from _footings(area)
    if not area.footings:
        return
    ground = Ground(floor(area, limits))
    bears = _soil(area, limits)
    for footing in area.footings:
        about = named(footing)
        if isinstance(bears, str):
            yield does_not_apply(about, bears)
        else:
            yield _pressure(about, ground.footing(footing), bears, area)


def _footings(area: Area) -> Iterator[Check]:
    yield from listed_parts(area, "footings", "footings")


def _soil(area: Area, limits: Limits) -> Limit | str:
    """What the soil bears: by report, by its kind, or between the bounds of unknown soil; else why it has no value."""
    soil = area.soil
    table = limits["soil-bearing", "unknown"]
    if soil is not None and soil.bearing is not None:
        return table.derived(soil.bearing, "by the soil report")
    if soil is None or soil.kind is None:
        return table
    if not limits.has("soil-bearing", soil.kind):
        return f"{soil.kind} soil has no presumed bearing; see structural-scope"
    return limits["soil-bearing", soil.kind]


def _pressure(about: Named, found: Pressure, bears: Limit, area: Area) -> Check:
    arriving = found.arriving
    if arriving.missing or found.psf is None:
        return not_measured(about, expected="the soil bears it", asks=arriving.missing or None)
    asks = list(arriving.decides)
    if area.soil is None or (area.soil.kind is None and area.soil.bearing is None):
        asks.insert(0, "soil.kind")
    if arriving.unseen and (bears.value is None or not found.psf.low > bears.value.high):
        return not_measured(about, asks=arriving.unseen, because="not all that comes down on it is known")
    return check(
        about,
        measured=found.psf,
        at_most=bears,
        assuming=arriving.assumptions,
        asks=tuple(asks) or None,
        working=Steps(lambda: (*found.working, *_enough(found, bears))),
    )


def _enough(found: Pressure, bears: Limit) -> Working:
    """The side or diameter that the hardest load asks for where this footing may press too hard."""
    if found.psf is None or bears.value is None or found.psf.high <= bears.value.low:
        return ()
    shape: Shape = "round" if found.footing.shape == "round" else "square"
    return footing_size(found.arriving.total[HARD], bears.value.low, shape).working


@rule(
    "footing-width",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="width of the footing",
    limits=["footing-width"],
    measures=["footing.width"],
    provisions=["footing-thick"],
    cautions=["crawl-space"],
    remedy="Pour a footing at least 12 in wide on undisturbed ground; never dig the soil away beside an old one.",
)
def footing_width(area: Area, limits: Limits) -> Iterator[Check]:
    """A footing is at least 12 in wide.

    A narrow one tips and digs in.
    """
    yield from _footings(area)
    for footing in area.footings or ():
        if footing.material == "none":
            yield does_not_apply(named(footing), "there is none; footing-pressure tells what the soil gets")
        else:
            yield check(
                named(footing), measured=footing.width, at_least=limits["footing-width"], asks=("footing.width",)
            )


@rule(
    "footing-thickness",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="thickness of the footing",
    limits=["footing-thickness"],
    measures=["footing.thickness", "footing.material"],
    provisions=["footing-thick"],
    cautions=["crawl-space"],
    remedy="Pour a footing at least 6 in thick.",
)
def footing_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A concrete footing is at least 6 in thick.

    A thin one breaks off along the pier.
    """
    yield from _footings(area)
    for footing in area.footings or ():
        if footing.material in ("stone", "brick", "wood", "none"):
            yield does_not_apply(named(footing), f"it is of {footing.material}, not concrete")
        else:
            yield check(named(footing), measured=footing.thickness, at_least=limits["footing-thickness"],
                        asks=("footing.thickness", "footing.material"))  # fmt: skip


@rule(
    "footing-projection",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="projection of the footing beyond what stands on it",
    limits=["footing-projection"],
    measures=["footing.width", "footing.thickness", "footing.material", "pier.width", "post.size"],
    provisions=["footing-projection"],
    cautions=["crawl-space"],
    remedy="Widen the footing, or pour it as thick as it reaches beyond the pier; reinforced footings want a design.",
)
def footing_projection(area: Area, limits: Limits) -> Iterator[Check]:
    """A plain concrete footing reaches at least 2 in beyond the pier on it, and no farther than it is thick.

    What reaches out too far breaks off.
    """
    yield from _footings(area)
    for footing in area.footings or ():
        about = named(footing)
        if footing.material in ("stone", "brick", "wood", "none", "reinforced-concrete"):
            yield does_not_apply(about, f"it is of {footing.material}, not plain concrete")
            continue
        on_it = [part for part in _standing(area) if part.rests_on == footing.id]
        if not on_it:
            yield not_measured(
                about, expected="it reaches beyond what stands on it", asks=("pier.rests_on", "post.rests_on")
            )
            continue
        yield _projection(about, footing, on_it, limits)


def _standing(area: Area) -> list[Pier | Post]:
    return list(chain(area.piers or (), area.posts or ()))


def _projection(about: Named, footing: Footing, on_it: list[Pier | Post], limits: Limits) -> Check:
    sides = [_side(part) for part in on_it]
    known = [side for side in sides if side is not None]
    width = footing.width
    reach = None
    if width is not None and len(known) == len(sides):
        reach = (width - hull(*known)) / 2
    least = limits["footing-projection"]
    thick = footing.thickness
    most: Limit | None = least.derived(thick, "its thickness")
    if thick is None and reach is not None and least.value is not None and at_most(least.value, reach) is False:
        most = None  # too short, however thick it is
    asks = [] if width is not None else ["footing.width"]
    asks += [] if thick is not None else ["footing.thickness"]
    asks += [] if len(known) == len(sides) else ["pier.width", "post.size"]
    return check(about, measured=reach, at_least=least, at_most=most, asks=tuple(asks) or None)


def _side(part: Pier | Post) -> Quantity | None:
    if isinstance(part, Pier):
        return part.width
    return part.section.depth


@rule(
    "footing-depth",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="depth of the footing's bottom below undisturbed ground",
    limits=["footing-depth"],
    measures=["footing.depth"],
    provisions=["footing-depth"],
    cautions=["crawl-space"],
    remedy="Take the footing down to firm ground 12 in below the surface, and below frost where it can freeze.",
)
def footing_depth(area: Area, limits: Limits) -> Iterator[Check]:
    """The bottom of a footing lies at least 12 in below undisturbed ground; the frost line may ask for more.

    Shallow footings heave with frost and lose their soil to rain.
    """
    yield from _footings(area)
    for footing in area.footings or ():
        yield check(named(footing), measured=footing.depth, at_least=limits["footing-depth"], asks=("footing.depth",))


@rule(
    "footing-frost",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.footings",
    quantity="depth of the footing's bottom below undisturbed ground",
    limits=["footing-depth"],
    measures=["footing.depth", "place.frost_depth", "crawl_space.kind"],
    provisions=["frost-depth"],
    cautions=["crawl-space"],
    remedy="Take the footing below the local frost line, or protect it from frost by design.",
    scope="site",
)
def footing_frost(site: Site, limits: Limits) -> Iterator[Check]:
    """The bottom of a footing lies below the frost line, unless it stands in a heated crawl space.

    Freezing ground lifts a shallow pier every winter, and the floor with it.
    """
    frost = site.place.frost_depth if site.place is not None else None
    limit = limits["footing-depth"].derived(frost, "the frost line here")
    for area in site.areas:
        where = f" in {area.id}" if len(site.areas) > 1 else ""
        space = area.crawl_space.kind if area.crawl_space is not None else None
        if not area.footings:
            about = Named(f"footings{where}", area.path)
            if area.footings is None:
                yield not_measured(about, asks=("area.footings",), because="not said whether there are footings")
            else:
                yield does_not_apply(about, "no footings here")
        for footing in area.footings or ():
            about = Named(f"{named(footing).name}{where}", footing.path, footing.work)
            if space in HEATED:
                yield does_not_apply(about, f"it stands in a {space} space")
            else:
                yield _below_frost(about, footing, limit, space)


HEATED = ("conditioned", "basement")


def _below_frost(about: Named, footing: Footing, limit: Limit, space: str | None) -> Check:
    frost, depth = limit.value, footing.depth
    if space is None and frost is not None and depth is not None and at_most(frost, depth) is False:
        return not_measured(about, expected="the space under the floor is heated", asks=("crawl_space.kind",))
    asks = ("place.frost_depth",) if frost is None else ("footing.depth",)
    return check(about, measured=depth, at_least=limit, asks=asks)
