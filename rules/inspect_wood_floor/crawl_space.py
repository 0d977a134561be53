"""The space under the floor: airing or sealing it; what lies on the ground; the way in; water, debris and exhaust."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from inspect_core.quantities import Dimension, Quantity, at_least, at_most, exactly
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
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import CrawlSpace, Vent
from inspect_wood_floor._crawl import FILMS, UNVENTED, class_one_cover, crawl_space, each_space, only_under_the_rooms
from inspect_wood_floor._verdicts import Verdict, all_of, compared, negated

OPPOSITE = {"north": "south", "south": "north", "east": "west", "west": "east"}


# --- vents ------------------------------------------------------------------------------------------------------------


def _vented_spaces(site: Site) -> Iterator[Check | tuple[Area, CrawlSpace, Named]]:
    """Each vented crawl space once, with its area and a name; answers for the areas that have none."""
    for area in site.areas:
        name = f"crawl space under {area.id}"
        space = crawl_space(area, "vented", name=name)
        if isinstance(space, Check):
            yield space
        else:
            yield area, space, Named(name, space.path)


def _over(site: Site, area: Area) -> Sequence[Area]:
    """The areas over one crawl space: its own, and those that say it is theirs too."""
    return [
        one for one in site.areas if one is area or (one.crawl_space is not None and one.crawl_space.same_as == area.id)
    ]


def _may_be_over(site: Site, area: Area) -> Sequence[Area]:
    """Other areas whose space underneath may be this one: nothing is said of it, or nothing that tells them apart."""
    return [one for one in site.areas if one is not area and _may_be_vented_alike(one.crawl_space)]


def _may_be_vented_alike(space: CrawlSpace | None) -> bool:
    if space is None:
        return True
    return space.same_as is None and space.kind in ("vented", None) and space.vents is None


@rule(
    "crawl-vent-area",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.ventilation",
    quantity="net free area of the open vents",
    limits=["vent-share", "vent-share-covered-when", "ground-cover-whole", "class-1-films"],
    measures=["crawl_space.vents", "vent.net_area", "vent.blocked", "crawl_space.floor_area", "ground_cover.kind"],
    provisions=["vent-area", "vent-area-retarder", "ground-cover-optional", "perm-class-1", "perm-poly6"],
    cautions=["crawl-space"],
    remedy=(
        "Free the blocked vents, then cut in more; or lay a sealed Class I cover over all of the soil, with which "
        "a tenth of the area does. Do not cut a foundation wall or a rim under a load without a licensed engineer."
    ),
)
def crawl_vent_area(site: Site, limits: Limits) -> Iterator[Check]:
    """The open vents of a crawl space are large enough for its floor, the larger where its ground is bare.

    Soil gives off litres of water a day; without air moving through, it goes into the wood.
    """
    for item in _vented_spaces(site):
        if isinstance(item, Check):
            yield item
            continue
        area, space, where = item
        floor_area, notes = _floor_area(space, _over(site, area))
        covered, more = _smaller_vents_do(space, limits)
        key = None if covered is None else "covered" if covered else "bare"
        needed = limits.between("vent-share", key, ("bare", "covered")).of(floor_area, _ground_words(key))
        total, unread = _open_area(space.vents) if space.vents is not None else (None, 0)
        if unread and total is not None and compared(at_least, total, needed) is not True:
            total = None
        answer = check(
            where,
            measured=total,
            at_least=needed,
            found=f"{unread} vents not measured are left out" if unread else "",
            assuming=(*notes, *(more if covered else ())),
            asks=_vent_asks(space, floor_area, covered),
        )
        yield only_under_the_rooms(space, answer)


def _ground_words(key: str | None) -> str:
    return {"bare": "bare ground", "covered": "ground covered"}.get(key or "", "depends on what covers the ground")


def _vent_asks(space: CrawlSpace, floor_area: Quantity | None, covered: Verdict) -> tuple[str, ...]:
    asks = ["crawl_space.vents"] if space.vents is None else []
    asks += ["vent.net_area"] if any(v.net_area is None for v in space.vents or ()) else []
    asks += ["vent.blocked"] if any(v.blocked is None for v in space.vents or ()) else []
    asks += ["crawl_space.floor_area"] if floor_area is None else []
    if covered is None:
        asks += ["ground_cover.kind", "ground_cover.coverage", "ground_cover.retarder_class"]
    return tuple(asks) or ("vent.net_area",)


def _floor_area(space: CrawlSpace, over: Sequence[Area]) -> tuple[Quantity | None, tuple[str, ...]]:
    """Ground area as measured, or the rooms over it together."""
    if space.floor_area is not None:
        return space.floor_area, ()
    total = exactly(0.0, Dimension.AREA)
    for area in over:
        if area.floor_area is None:
            return None, ()
        total = total + area.floor_area
    rooms = ", ".join(area.id for area in over)
    return total, (f"the crawl space taken to be at least as large as what is over it: {rooms}",)


def _smaller_vents_do(space: CrawlSpace, limits: Limits) -> tuple[Verdict, tuple[str, ...]]:
    """Whether what the pack asks for the smaller vent area is so, and what that takes for granted."""
    covered, notes = class_one_cover(space, limits)
    facts = {"class-1-cover": covered, "cross-ventilation": _cross_ventilated(space)}
    return all_of(facts[word] for word in limits["vent-share-covered-when"].words), notes


def _open_area(vents: Sequence[Vent]) -> tuple[Quantity, int]:
    """Net free area of the open vents, and how many could not be counted. One that may be blocked may give none."""
    total, unread = exactly(0.0, Dimension.AREA), 0
    for vent in vents:
        if vent.blocked:
            continue
        if vent.net_area is None:
            unread += 1
        elif vent.blocked is None:
            total = total + Quantity(0.0, vent.net_area.high, Dimension.AREA, vent.net_area.estimate)
        else:
            total = total + vent.net_area
    return total, unread


@rule(
    "crawl-vent-corners",
    scope="site",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="crawl.ventilation",
    quantity="open vents near a corner",
    limits=["vent-corner", "ground-cover-whole", "class-1-films"],
    measures=["vent.from_corner", "vent.blocked", "crawl_space.vents", "area.outline"],
    provisions=["vent-corner"],
    cautions=["crawl-space"],
    remedy=(
        "Add a vent near each corner that has none, or lay a Class I ground cover and set vents for a cross draught."
    ),
)
def crawl_vent_corners(site: Site, limits: Limits) -> Iterator[Check]:
    """A vent stands near each outside corner of a crawl space.

    Corners are where air stands still. Waived where a Class I cover lies on the ground and air can cross.
    """
    for item in _vented_spaces(site):
        if isinstance(item, Check):
            yield item
            continue
        area, space, where = item
        covered, _ = class_one_cover(space, limits)
        waived = all_of((covered, _cross_ventilated(space)))
        if waived:
            yield does_not_apply(where, "waived: the ground is covered and vents stand for a cross draught")
            continue
        perhaps = _may_be_over(site, area)
        corners = _outside_corners(_over(site, area), perhaps)
        if corners is not None and waived is None:
            corners = Quantity(0.0, corners.high, Dimension.COUNT)
        yield check(
            where,
            measured=_near_corners(space.vents, limits),
            at_least=limits["vent-corner"].derived(corners, "one near each corner"),
            assuming=("each is taken to stand near a corner of its own",),
            asks=(
                *(("area.crawl_space",) if perhaps else ()),
                *("vent.from_corner", "vent.blocked", "area.outline", "crawl_space.cross_ventilation"),
            ),
        )


def _near_corners(vents: Sequence[Vent] | None, limits: Limits) -> Quantity | None:
    """How many open vents stand near a corner: at least those that surely do, at most those that may."""
    if vents is None:
        return None
    verdicts = [
        all_of((negated(vent.blocked), compared(at_most, vent.from_corner, limits["vent-corner"]))) for vent in vents
    ]
    sure = sum(verdict is True for verdict in verdicts)
    may = sum(verdict is not False for verdict in verdicts)
    return Quantity(sure, may, Dimension.COUNT)


def _outside_corners(over: Sequence[Area], perhaps: Sequence[Area] = ()) -> Quantity | None:
    """Outside corners of the space: those of its room, or between four and all of the rooms that share it.

    ``perhaps`` are rooms that may share it.
    """
    counts: list[int] = []
    for area in (*over, *perhaps):
        points = [(across.middle, along.middle) for across, along in area.room_corners]
        if not points:
            return None
        turns = [
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
            for a, b, c in zip(points, points[1:] + points[:1], points[2:] + points[:2], strict=True)
        ]
        lefts, rights = sum(turn > 0 for turn in turns), sum(turn < 0 for turn in turns)
        counts.append(max(lefts, rights))  # listed one way round or the other
    least = counts[0] if len(counts) == 1 else min(4, *counts)
    return Quantity(least, sum(counts), Dimension.COUNT)


def _cross_ventilated(space: CrawlSpace) -> Verdict:
    """Whether open vents stand on opposite sides, as the file says it or as their walls tell."""
    if space.cross_ventilation is not None or space.vents is None:
        return space.cross_ventilation
    usable = [vent for vent in space.vents if vent.blocked is not True]
    walls = {_side(vent) for vent in usable if vent.blocked is False}
    if any(OPPOSITE.get(wall) in walls for wall in walls):
        return True
    return None if any(vent.blocked is None or not _side(vent) for vent in usable) else False


def _side(vent: Vent) -> str:
    """Compass side of its wall; walls of one side are numbered (north-2)."""
    return (vent.wall or "").partition("-")[0]


@rule(
    "crawl-cross-ventilation",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="crawl.ventilation",
    quantity="cross ventilation",
    measures=["crawl_space.cross_ventilation", "vent.wall", "vent.blocked"],
    provisions=["common-practice", "vent-area-retarder"],
    cautions=["crawl-space"],
    remedy="Open or add vents on the side across, so that wind can blow through.",
)
def crawl_cross_ventilation(area: Area, limits: Limits) -> Iterator[Check]:
    """Open vents stand on opposite sides of the crawl space, so that wind can blow through.

    Vents on one side alone breathe, but do not sweep the air out.
    """

    def answer(space: CrawlSpace) -> Check:
        crossed = _cross_ventilated(space)
        asks = ("crawl_space.vents",) if space.vents is None else ("vent.wall", "vent.blocked")
        found = "no open vents across from one another" if crossed is False else ""
        return fact(named(space), crossed, expected="open vents stand on opposite sides", found=found, asks=asks)

    yield from each_space(area, answer, "vented")


@rule(
    "crawl-vent-mesh",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.ventilation",
    quantity="largest opening of the cover",
    limits=["vent-mesh"],
    measures=["vent.mesh"],
    provisions=["vent-cover"],
    cautions=["crawl-space"],
    remedy=(
        "Cover the vent with hardware cloth or a grille whose openings are no larger; keep its net free area in mind."
    ),
)
def crawl_vent_mesh(area: Area, limits: Limits) -> Iterator[Check]:
    """Each vent has a cover that keeps animals out.

    Rats and squirrels chew wires, and what they leave behind is a hazard to whoever crawls in next.
    """
    space = crawl_space(area, "vented")
    if isinstance(space, Check):
        yield space
        return
    if space.vents is None:
        yield not_measured(named(space), expected="its vents have covers", asks=("crawl_space.vents",))
    elif not space.vents:
        yield does_not_apply(named(space), "no vents seen")
    for vent in space.vents or ():
        yield check(named(vent), measured=vent.mesh, at_most=limits["vent-mesh"])


# --- ground cover -----------------------------------------------------------------------------------------------------


@rule(
    "ground-cover",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="crawl.ground-cover",
    quantity="ground cover",
    limits=["ground-cover-whole"],
    measures=["ground_cover.kind", "ground_cover.coverage"],
    provisions=["ground-cover-optional", "common-practice"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy=(
        "Lay 6 mil film or better over all of the soil, lapped and weighted, once water is drained and debris is out."
    ),
)
def ground_cover(area: Area, limits: Limits) -> Iterator[Check]:
    """A film covers all of the ground, in a vented crawl space too.

    No duty of the model code there, but of many states' codes; it keeps more damp out of the wood than any vent.
    """

    def answer(space: CrawlSpace) -> Check:
        cover = space.ground_cover
        if cover is None or cover.kind is None or cover.kind == "none":
            bare = None if cover is None or cover.kind is None else False
            found = "" if bare is None else "bare ground"
            return fact(named(space), bare, expected="a film covers all of the ground", found=found)
        asks = ("ground_cover.coverage",)
        whole = limits["ground-cover-whole"]
        return check(named(space), measured=cover.coverage, at_least=whole.derived(whole.value, "all of it"), asks=asks)

    yield from each_space(area, answer)


@rule(
    "ground-cover-thickness",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="crawl.ground-cover",
    quantity="thickness of the film",
    limits=["ground-cover-thickness"],
    measures=["ground_cover.thickness", "ground_cover.kind"],
    provisions=["ground-cover-thick"],
    cautions=["crawl-space"],
    remedy="Lay a thicker film over it; thin film is torn by the first knee.",
)
def ground_cover_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """The film on the ground is 6 mil or thicker.

    The model code names the class of the film, not a thickness; some states do.
    """

    def answer(space: CrawlSpace) -> Check:
        film = _film(space, "a film lies on the ground")
        if film is not None:
            return film
        thickness = space.ground_cover.thickness if space.ground_cover is not None else None
        limit = limits["ground-cover-thickness"]
        return check(named(space), measured=thickness, at_least=limit, asks=("ground_cover.thickness",))

    yield from each_space(area, answer)


def _film(space: CrawlSpace, expected: str) -> Check | None:
    """The answer where no film lies on the ground, or none that is known of."""
    cover = space.ground_cover
    if cover is None or cover.kind is None:
        return not_measured(named(space), expected=expected, asks=("ground_cover.kind",))
    if cover.kind in (*FILMS, "other"):
        return None
    return does_not_apply(named(space), "bare ground" if cover.kind == "none" else f"{cover.kind}, not a film")


@rule(
    "ground-cover-laps",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="lap of the ground cover",
    limits=["ground-cover-lap"],
    measures=["ground_cover.laps", "ground_cover.kind", "crawl_space.kind"],
    provisions=["unvented-cover"],
    cautions=["crawl-space"],
    remedy="Pull the sheets over one another, or lay a strip over the joint; seal or tape it.",
)
def ground_cover_laps(area: Area, limits: Limits) -> Iterator[Check]:
    """Sheets on the ground lap far enough.

    A duty where the space is not vented, good practice where it is: damp finds every gap.
    """

    def answer(space: CrawlSpace) -> Check:
        film = _film(space, "sheets on the ground lap far enough")
        if film is not None:
            return film
        return check(
            named(space),
            measured=space.ground_cover.laps if space.ground_cover is not None else None,
            at_least=limits["ground-cover-lap"],
            severity=ADVISORY if space.kind == "vented" else None,
            asks=("ground_cover.laps",),
        )

    yield from each_space(area, answer)


# --- spaces that are not vented ---------------------------------------------------------------------------------------


@rule(
    "unvented-cover",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="ground cover",
    limits=["ground-cover-whole", "class-1-films"],
    measures=["ground_cover.kind", "ground_cover.retarder_class", "ground_cover.coverage", "crawl_space.kind"],
    provisions=["unvented-cover", "perm-class-1"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy="Lay a Class I film over all of the soil, sealed at laps and walls, before the vents are closed.",
)
def unvented_cover(area: Area, limits: Limits) -> Iterator[Check]:
    """In a crawl space that is not vented, a Class I retarder covers all of the ground.

    With no air moving through, nothing else keeps the soil's damp out of the wood.
    """

    def answer(space: CrawlSpace) -> Check:
        covered, notes = class_one_cover(space, limits)
        cover = space.ground_cover
        found = "" if cover is None or cover.kind is None else "bare ground" if cover.kind == "none" else cover.kind
        expected = "a Class I retarder covers all of the ground"
        return fact(named(space), covered, expected=expected, found=found, assuming=notes if covered else ())

    yield from each_space(area, answer, *UNVENTED)


@rule(
    "unvented-cover-sealed",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="seams of the ground cover",
    measures=["ground_cover.sealed", "crawl_space.kind"],
    provisions=["unvented-cover"],
    cautions=["crawl-space"],
    remedy="Seal or tape every lap, and fasten and seal the edge to the wall.",
)
def unvented_cover_sealed(area: Area, limits: Limits) -> Iterator[Check]:
    """In a crawl space that is not vented, laps of the ground cover are sealed and its edges fastened to the wall."""

    def answer(space: CrawlSpace) -> Check:
        cover = space.ground_cover
        sealed = None if cover is None else False if cover.kind == "none" else cover.sealed
        found = "" if sealed is None or sealed else "no cover" if cover and cover.kind == "none" else "open seams"
        expected = "laps are sealed or taped and edges fastened and sealed"
        return fact(named(space), sealed, expected=expected, found=found)

    yield from each_space(area, answer, *UNVENTED)


@rule(
    "unvented-cover-upturn",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="turn-up of the ground cover at the walls",
    limits=["ground-cover-upturn"],
    measures=["ground_cover.wall_upturn", "ground_cover.kind", "crawl_space.kind"],
    provisions=["unvented-cover"],
    cautions=["crawl-space"],
    remedy=(
        "Tape a strip to the film, run it up the wall, and fasten and seal it there; leave the sill open to termite "
        "inspection."
    ),
)
def unvented_cover_upturn(area: Area, limits: Limits) -> Iterator[Check]:
    """In a crawl space that is not vented, the ground cover turns up at the walls.

    Damp comes out of the soil where it meets the wall.
    """

    def answer(space: CrawlSpace) -> Check:
        film = _film(space, "the ground cover turns up at the walls")
        if film is not None:
            return film
        upturn = space.ground_cover.wall_upturn if space.ground_cover is not None else None
        asks = ("ground_cover.wall_upturn",)
        return check(named(space), measured=upturn, at_least=limits["ground-cover-upturn"], asks=asks)

    yield from each_space(area, answer, *UNVENTED)


@rule(
    "unvented-drying",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.unvented",
    quantity="drying",
    limits=["unvented-drying"],
    measures=["crawl_space.drying", "crawl_space.kind"],
    provisions=["unvented-exhaust", "unvented-supply", "unvented-dehumid", "unvented-plenum"],
    cautions=["crawl-space", "water-and-power"],
    remedy=(
        "Fit one: exhaust or supply air of 1 cfm per 50 sq ft with a way back to the house, or a dehumidifier sized by "
        "its maker. Wiring and ducts by licensed trades; fuel-burning appliances need their own air."
    ),
)
def unvented_drying(area: Area, limits: Limits) -> Iterator[Check]:
    """A crawl space that is not vented is dried by exhaust, supply air or a dehumidifier.

    A sealed space with no drying is a pond waiting for a leak.
    """

    def answer(space: CrawlSpace) -> Check:
        notes = ("a plenum is allowed in existing houses only",) if space.drying == "plenum" else ()
        return check(named(space), measured=space.drying, one_of=limits["unvented-drying"], assuming=notes)

    yield from each_space(area, answer, *UNVENTED)


# --- the way in -------------------------------------------------------------------------------------------------------


@rule(
    "crawl-access",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.access",
    quantity="clear opening",
    limits=["access-short", "access-long"],
    measures=["crawl_space.access", "crawl_space.access_through"],
    provisions=["access-floor", "access-wall"],
    cautions=["crawl-space"],
    remedy=(
        "Make the opening larger between framing; cut no joist for it without headers, and ask a licensed engineer "
        "first."
    ),
)
def crawl_access(area: Area, limits: Limits) -> Iterator[Check]:
    """The way into the crawl space is large enough to get in, and to be pulled out.

    What nobody can reach is never looked at; and whoever is hurt down there must come out of it.
    """
    space = crawl_space(area)
    if isinstance(space, Check):
        yield space
        return
    sides = sorted(space.access, key=lambda side: side.middle) if space.access is not None else [None, None]
    for word, side in zip(("short", "long"), sides, strict=True):
        yield check(
            named(space, f"access, {word} side"),
            measured=side,
            at_least=limits.between(f"access-{word}", space.access_through, ("floor", "wall")),
            asks=("crawl_space.access", *(() if space.access_through else ("crawl_space.access_through",))),
        )


# --- water, debris, exhaust -------------------------------------------------------------------------------------------


@rule(
    "crawl-standing-water",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="crawl.water",
    quantity="standing water",
    measures=["crawl_space.standing_water"],
    provisions=["crawl-standing-water"],
    cautions=["water-and-power", "mould-and-dust"],
    remedy=(
        "Stop, keep out until the power is off; find and stop the source, pump out, and let the wood dry before work "
        "goes on."
    ),
)
def crawl_standing_water(area: Area, limits: Limits) -> Iterator[Check]:
    """No water stands under the floor.

    It can carry live current or sewage, it feeds rot, and it takes the bearing from under piers.
    """

    def answer(space: CrawlSpace) -> Check:
        water = space.standing_water
        found = "water stands there" if water else ""
        return fact(
            named(space), negated(water), expected="the ground under the floor is free of standing water", found=found
        )

    yield from each_space(area, answer, basement=True)


@rule(
    "crawl-leaks",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.water",
    quantity="leaks",
    measures=["crawl_space.leaks"],
    provisions=["crawl-standing-water"],
    cautions=["water-and-power", "mould-and-dust"],
    remedy=(
        "Mend the pipe first (plumbing may be for a licensed trade where you live), then let the wood dry and probe "
        "it again."
    ),
)
def crawl_leaks(area: Area, limits: Limits) -> Iterator[Check]:
    """No pipe leaks under the floor.

    New framing over an old leak rots as the old did.
    """

    def answer(space: CrawlSpace) -> Check:
        found = "a pipe leaks" if space.leaks else ""
        return fact(named(space), negated(space.leaks), expected="all pipes under the floor are tight", found=found)

    yield from each_space(area, answer, basement=True)


@rule(
    "crawl-exhaust",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.exhaust",
    quantity="exhaust air",
    measures=["crawl_space.exhaust_ends_here"],
    provisions=["exhaust-not-to-crawl"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy=(
        "Run the duct outdoors, away from crawl-space vents. Flue gas from an appliance is a danger to life: call a "
        "licensed trade."
    ),
)
def crawl_exhaust(area: Area, limits: Limits) -> Iterator[Check]:
    """No bath fan or dryer blows into the space under the floor.

    A shower's steam condenses on cold joists; dryer lint burns.
    """

    def answer(space: CrawlSpace) -> Check:
        ends = space.exhaust_ends_here
        found = "a fan or dryer blows into it" if ends else ""
        return fact(named(space), negated(ends), expected="exhaust air goes outdoors", found=found)

    yield from each_space(area, answer, basement=True)


@rule(
    "crawl-debris",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.debris",
    quantity="debris",
    measures=["crawl_space.debris"],
    provisions=["debris-removed"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy="Take out wood scraps, forms, cardboard and plants, and old shoring once it carries nothing.",
)
def crawl_debris(area: Area, limits: Limits) -> Iterator[Check]:
    """No wood scraps, forms or plants lie in the crawl space.

    They feed termites and fungi right under the joists.
    """

    def answer(space: CrawlSpace) -> Check:
        found = "scraps, forms or plants lie there" if space.debris else ""
        expected = "the ground is free of wood scraps, forms and plants"
        return fact(named(space), negated(space.debris), expected=expected, found=found)

    yield from each_space(area, answer)


@rule(
    "crawl-grade",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="crawl.debris",
    quantity="ground inside and outside",
    measures=["crawl_space.outside_ground_higher", "crawl_space.standing_water"],
    provisions=["finished-grade"],
    cautions=["crawl-space"],
    remedy="Drain the ground at the footing or bring the ground inside up to that outside, and lead roof water away.",
)
def crawl_grade(area: Area, limits: Limits) -> Iterator[Check]:
    """The ground inside is as high as that outside where water can rise to it, or it is drained.

    A crawl space lower than the garden is where the garden drains to.
    """

    def answer(space: CrawlSpace) -> Check:
        higher = space.outside_ground_higher
        dry: Verdict = None if higher is None else True if not higher else (False if space.standing_water else None)
        found = "outside ground is higher" if higher else ""
        expected = "the ground inside is as high as outside, or approved drainage keeps water away"
        return fact(named(space), dry, expected=expected, found=found)

    yield from each_space(area, answer)


# --- insulation -------------------------------------------------------------------------------------------------------


@rule(
    "crawl-insulation-retarder",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="crawl.insulation",
    quantity="retarder on the insulation's lower face",
    limits=["warm-humid-zones", "warm-humid-in-part", "warm-humid-classes"],
    measures=["crawl_space.insulation", "crawl_space.insulation_retarder", "crawl_space.insulation_retarder_class",
              "place.climate_zone"],
    provisions=["underfloor-insul-retarder"],
    cautions=["crawl-space"],
    remedy=(
        "Cover the exposed face of the insulation with a Class I or II layer, and take a retarder on the other face "
        "away."
    ),
)  # fmt: skip
def crawl_insulation_retarder(site: Site, limits: Limits) -> Iterator[Check]:
    """In warm and humid zones, floor insulation over a vented crawl space has a retarder on its exposed face.

    There the damp comes from outdoors, and condenses on the underside of a cooled floor.
    """
    zone = site.place.climate_zone if site.place is not None else None
    for item in _vented_spaces(site):
        yield item if isinstance(item, Check) else _insulation_check(item[1], item[2], zone, limits)


def _insulation_check(space: CrawlSpace, where: Named, zone: str | None, limits: Limits) -> Check:
    if space.insulation is not None and space.insulation != "between-joists":
        return does_not_apply(where, "no insulation in the floor")
    warm = _warm_and_humid(zone, limits)
    if warm is False:
        return does_not_apply(where, f"climate zone {zone}")
    face, kind = space.insulation_retarder, space.insulation_retarder_class
    at_bottom: Verdict = None if face is None else face in ("bottom", "both")
    right_class: Verdict = None if kind is None else kind in limits["warm-humid-classes"].words
    holds = all_of((at_bottom, right_class))
    unsure = warm is None or space.insulation is None
    asks = ["place.climate_zone"] if warm is None else []
    asks += ["crawl_space.insulation"] if space.insulation is None else []
    asks += ["crawl_space.insulation_retarder"] if face is None else []
    asks += ["crawl_space.insulation_retarder_class"] if kind is None and at_bottom is not False else []
    return fact(
        where,
        None if unsure and not holds else holds,
        expected="a Class I or II layer lies on the exposed face, where the zone is warm and humid",
        found="" if face is None else f"retarder: {face}, class {kind or 'unknown'}",
        asks=tuple(asks),
    )


def _warm_and_humid(zone: str | None, limits: Limits) -> Verdict:
    """Unknown where the zone is, and in those that are warm and humid in part."""
    plain = zone.strip().upper() if zone is not None else None
    if plain is None or plain in limits["warm-humid-in-part"].words:
        return None
    return plain in limits["warm-humid-zones"].words
