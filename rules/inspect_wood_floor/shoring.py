"""Temporary support while work goes on: where it stands, on what, how fast it lifts; and digging beside footings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import hypot

from inspect_core.quantities import Dimension, Quantity, hull
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
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
from inspect_core.site.geometry import carrier_faces
from inspect_core.site.model import Footing, Member, Pier, TemporarySupport
from inspect_wood_floor._listed import listed_parts

SET_OUT = (
    "A licensed engineer or contractor sets out what carries the floor meanwhile; nobody goes under it on a jack alone."
)
DONE = "built"  # the stage at which nothing is shored any more


def _each(site: Site, judge: Callable[[Named, TemporarySupport], Check]) -> Iterator[Check]:
    """``judge`` for each temporary support, or the one answer where there is none or nobody said so."""
    everything = Named("temporary support", ())
    if site.temporary_supports is None:
        because = "not said what carries the floor while it is worked on"
        yield not_measured(everything, asks=("temporary_support.kind",), because=because)
    elif not site.temporary_supports:
        yield _none(site, everything)
    for one in site.temporary_supports or ():
        yield judge(Named(f"temporary support {one.id}", one.path), one)


def _none(site: Site, everything: Named) -> Check:
    """Nothing is shored: right when the work is done or nothing is cut, else not known to be right."""
    if site.house.stage == DONE:
        return does_not_apply(everything, "the work is done, and nothing is shored any more")
    freed = _something_freed(site)
    if freed is False:
        return does_not_apply(everything, "none is listed, and nothing that is listed is to be cut, sistered or moved")
    expected = "temporary support is listed before anything is cut or moved"
    if site.house.stage == "planned" and freed:
        found = "members are altered, and nothing carries them meanwhile"
        return fact(everything, False, expected=expected, found=found)
    asks = ("site.stage", "temporary_support.kind") if freed else ("joist.work", "site.stage", "temporary_support.kind")
    return not_measured(everything, expected=expected, asks=asks)


def _something_freed(site: Site) -> bool | None:
    """Whether a member of the frame is altered or new, so that something has to be carried meanwhile.

    ``None`` where it isn't said of every member, or where some are not listed.
    """
    unsaid = False
    for area in site.areas:
        members: list[Member | Pier] = [*(area.joists or ()), *(area.supports or ()), *(area.posts or ())]
        members += [header for opening in area.openings or () for header in opening.headers or ()]
        members += area.piers or ()
        if any(member.work in ("altered", "new") for member in members):
            return True
        if any(joist.sisters or joist.cuts for joist in area.joists or ()):
            return True
        unsaid |= any(member.work is None for member in members)
        unsaid |= None in (area.joists, area.supports, area.posts, area.piers, area.openings)
    return None if unsaid else False


@rule(
    "shore-near-cut",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="shoring.practice",
    quantity="distance from the cut",
    limits=["shore-from-cut"],
    measures=["temporary_support.from_cut", "temporary_support.kind", "site.stage"],
    provisions=["temp-shore"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy="Stop. Put posts on pads or a crib within 24 in of the cut, on both sides, before anything is cut. "
    f"{SET_OUT}",
    scope="site",
)
def shore_near_cut(site: Site, limits: Limits) -> Iterator[Check]:
    """Temporary support stands within 24 in of the cut, on cribbing or pads, before any joist is cut.

    A cut joist drops at once, and with it whatever it still holds.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        return check(
            about, measured=one.from_cut, at_most=limits["shore-from-cut"], asks=("temporary_support.from_cut",)
        )

    yield from _each(site, judge)


@rule(
    "shore-pad",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="shoring.practice",
    quantity="area of the pad",
    limits=["shore-pad"],
    measures=["temporary_support.pad_area", "temporary_support.kind"],
    provisions=["shore-pad", "temp-shore"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Spread the load: a crib, or two layers of plank crosswise, 2 ft by 2 ft, on level undisturbed soil. "
    f"{SET_OUT}",
    scope="site",
)
def shore_pad(site: Site, limits: Limits) -> Iterator[Check]:
    """The pad under a temporary post is at least 2 ft square.

    A post on a brick goes into the ground like a nail, and the floor follows.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        return check(about, measured=one.pad_area, at_least=limits["shore-pad"], asks=("temporary_support.pad_area",))

    yield from _each(site, judge)


@rule(
    "jack-not-alone",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="shoring.practice",
    quantity="cribbing beside the jack",
    measures=["temporary_support.kind", "temporary_support.cribbed"],
    provisions=["jack-limit-practice", "temp-shore"],
    cautions=["temporary-shoring", "jack-alone", "licensed-engineer"],
    remedy=f"Get everybody out from under it, then crib the load at once. {SET_OUT}",
    scope="site",
)
def jack_not_alone(site: Site, limits: Limits) -> Iterator[Check]:
    """No load hangs on a jack alone: cribbing or posts follow it as it rises.

    Seals leak and heads slip without warning. People have been crushed under floors that a jack held.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        expected = "cribbing or posts carry the load beside the jack"
        if one.kind == "jack-only":
            return fact(about, False, expected=expected, found="a jack alone")
        if one.kind in ("post-on-pad", "beam-and-posts", "cribbing"):
            return fact(about, True, expected=expected, found=one.kind)
        asks = tuple(f"temporary_support.{n}" for n in ("kind", "cribbed") if getattr(one, n) is None)
        held = one.cribbed if one.kind is not None or one.cribbed is False else None
        return fact(about, held, expected=expected, asks=asks or None)

    yield from _each(site, judge)


@rule(
    "jack-set",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="shoring.jacks",
    quantity="how the jack is set",
    limits=["jack-kinds"],
    measures=["temporary_support.capacity", "temporary_support.firm_base", "temporary_support.cribbed"],
    provisions=["jack-osha"],
    cautions=["temporary-shoring", "jack-alone"],
    remedy="Use a jack whose plate shows its load, on firm level blocking, and crib the load as soon as it is up. "
    f"{SET_OUT}",
    scope="site",
)
def jack_set(site: Site, limits: Limits) -> Iterator[Check]:
    """A jack shows what it may carry, sits on firm blocking, and its load is cribbed at once.

    Workplace rules ask it of everybody who is paid; the floor weighs the same on others. From memory.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        if one.kind is not None and one.kind not in limits["jack-kinds"].words:
            return does_not_apply(about, f"no jack: {one.kind}")
        marked = None if one.capacity is None else True
        given = (("capacity", marked), ("firm_base", one.firm_base), ("cribbed", one.cribbed))
        asks = tuple(f"temporary_support.{name}" for name, value in given if value is None)
        wrong = [name.replace("_", " ") for name, value in given if value is False]
        holds = False if wrong else None if asks or one.kind is None else True
        if one.kind is None:
            asks = ("temporary_support.kind", *asks)
        return fact(
            about,
            holds,
            expected="its load is marked, its base is firm, and the load is cribbed",
            found=f"not so: {', '.join(wrong)}" if wrong else "",
            asks=asks or None,
            limit=limits["jack-kinds"],
        )

    yield from _each(site, judge)


@rule(
    "jack-slowly",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="shoring.practice",
    quantity="lift in a week",
    limits=["lift-per-week"],
    measures=["temporary_support.lift_per_week"],
    provisions=["jack-rate"],
    cautions=["temporary-shoring", "jack-alone", "licensed-engineer"],
    remedy=f"Stop lifting, crib it, and go on slower; stop at once where plaster cracks or doors bind. {SET_OUT}",
    scope="site",
)
def jack_slowly(site: Site, limits: Limits) -> Iterator[Check]:
    """A sagging floor is raised slowly.

    Sources disagree by a factor of seven, from 1/8 in a week to 1/8 in every day: slower than the first meets, faster
    than the second falls short, and between them the house decides. Wood has crept for decades and pipes with it.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        return check(
            about,
            measured=one.lift_per_week,
            at_most=limits["lift-per-week"],
            found="sources disagree here: go on only while nothing cracks or binds" if one.lift_per_week else "",
            asks=("temporary_support.lift_per_week",),
        )

    yield from _each(site, judge)


@rule(
    "shore-evidence",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="shoring.practice",
    quantity="photos of the temporary support",
    measures=["temporary_support.evidence"],
    provisions=["common-practice"],
    cautions=["temporary-shoring"],
    remedy="Take photos of each support, its pad and its head, before it comes out, and enter them under evidence.",
    scope="site",
)
def shore_evidence(site: Site, limits: Limits) -> Iterator[Check]:
    """Each temporary support is photographed with its pad and head before it is taken away.

    Nobody can look at it later, and the inspector asks what carried the floor.
    """

    def judge(about: Named, one: TemporarySupport) -> Check:
        shown = None if one.evidence is None else bool(one.evidence)
        return fact(about, shown, expected="photos show it", asks=("temporary_support.evidence",))

    yield from _each(site, judge)


# --- digging beside footings ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pit:
    """A new footing and an old one near it; lengths in inches. ``farther`` where they may lie farther apart yet."""

    new: Pier
    old: Pier
    clear: Quantity | None
    deeper: Quantity | None
    asks: tuple[str, ...]
    farther: bool
    notes: tuple[str, ...]


@rule(
    "dig-beside-footing",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="shoring.excavation",
    quantity="distance of the new footing from the old one",
    limits=["dig-slope"],
    measures=[
        "footing.depth",
        "footing.width",
        "footing.length",
        "pier.at",
        "pier.along",
        "pier.rests_on",
        "pier.work",
        "temporary_support.supports",
    ],
    provisions=["excavate-near-footing"],
    cautions=["temporary-shoring", "crawl-space", "dig-collapse"],
    remedy="Stop digging. Carry the beam and let a licensed engineer say how the old footing is shored or "
    "underpinned; keep the pit above the 45 degree line from its edge.",
    scope="site",
)
def dig_beside_footing(site: Site, limits: Limits) -> Iterator[Check]:
    """A pit for a new footing stays above a line at 45 degrees down from an old one, or the old one is shored.

    Soil under a footing leans on the soil beside it: take that away and the pier slides into the pit.
    """
    several = len(site.areas) > 1
    shored = [name for one in site.temporary_supports or () for name in one.supports or ()]
    for area in site.areas:
        where = f" in {area.id}" if several else ""
        listed = list(listed_parts(area, "piers", f"piers{where}"))
        yield from listed
        pits = list(_pits(area))
        about = Named(f"digging{where}", area.path)
        if any(pier.work is None for pier in area.piers or ()):
            yield not_measured(about, because="not said which piers are new", asks=("pier.work",))
        elif not pits and not listed:
            yield does_not_apply(about, "no new pier stands beside an old one")
        for pit in pits:
            about = Named(f"pier {pit.new.id} beside {pit.old.id}{where}", pit.new.path, pit.new.work)
            if pit.old.id in shored or (pit.old.rests_on or "") in shored:
                yield fact(about, True, expected="the old footing is shored", found="carried by temporary support")
            else:
                yield _dug(about, pit, limits)


def _dug(about: Named, pit: _Pit, limits: Limits) -> Check:
    if pit.deeper is not None and pit.deeper.high <= 0 and not pit.deeper.estimate:
        return does_not_apply(about, "the new footing goes no deeper than the old one")
    least = limits["dig-slope"].of(pit.deeper, "as far away as it goes deeper")
    answer = check(about, measured=pit.clear, at_least=least, assuming=pit.notes, asks=pit.asks or None)
    if answer.outcome == FALLS_SHORT and pit.farther:
        because = "too near on the tape across, and not known how far apart they stand along the joists"
        return not_measured(about, because=because, asks=("pier.along", "support.at"))
    return answer


def _pits(area: Area) -> Iterator[_Pit]:
    """Each new pier with each old one of its area."""
    footings = {footing.id: footing for footing in area.footings or ()}
    for new in area.piers or ():
        if new.work not in ("new", "altered"):
            continue
        for old in area.piers or ():
            if old.work == "existing":
                yield _pit(area, new, old, footings)


def _pit(area: Area, new: Pier, old: Pier, footings: dict[str, Footing]) -> _Pit:
    below = [footings.get(pier.rests_on or "") for pier in (new, old)]
    places = [_place(area, pier) for pier in (new, old)]
    asks: list[str] = []
    clear = deeper = None
    reaches = [None if f is None else _reach(f) for f in below]
    depths = [None if f is None else f.depth for f in below]
    if None in below:
        asks.append("pier.rests_on")
    else:
        asks += [_size_ask(f) for f, reach in zip(below, reaches, strict=True) if f is not None and reach is None]
        asks += ["footing.depth"] if None in depths else []
    if depths[0] is not None and depths[1] is not None:
        deeper = depths[0] - depths[1]
    first, second = places
    farther = any(place is not None and place[1] is None for place in places)
    notes: tuple[str, ...] = ()
    if first is None or second is None:
        asks.append("pier.at")
    elif reaches[0] is not None and reaches[1] is not None:
        round_ = all(f is not None and f.shape == "round" for f in below)
        clear = _between(first, second, reaches[0] + reaches[1], round_)
        notes = () if round_ else ("footings' sides run with the tapes",)
    return _Pit(new, old, clear, deeper, tuple(dict.fromkeys(asks)), farther, notes)


def _reach(footing: Footing) -> Quantity | None:
    """How far a footing reaches from its centre towards either tape; nobody says which way its longer side runs."""
    width, length = footing.width, footing.length
    if footing.shape in ("square", "round") or length is None:
        side = width if width is not None else length
        return side / 2 if side is not None and footing.shape not in ("rectangular", "strip") else None
    if width is None:
        return Quantity(0.0, length.high / 2, length.dimension, length.estimate)
    return hull(width, length) / 2


def _size_ask(footing: Footing) -> str:
    return "footing.width" if footing.width is None else "footing.length"


def _place(area: Area, pier: Pier) -> tuple[Quantity, Quantity | None] | None:
    """Centre of a pier on the two tapes; along is unknown where it stands under a beam of unknown place."""
    if pier.at is None:
        return None
    if pier.along is not None:
        return pier.at, pier.along
    faces = carrier_faces(carrier) if (carrier := area.carriers.get(pier.under or "")) is not None else None
    return pier.at, (faces[0] + faces[1]) / 2 if faces is not None else None


def _between(
    first: tuple[Quantity, Quantity | None], second: tuple[Quantity, Quantity | None], reach: Quantity, round_: bool
) -> Quantity:
    """Distance between two footings whose reaches come to ``reach``, at least as boxes and at the most as circles.

    Where only the across tape is known it is what lies between them on that one; they may lie farther apart.
    """
    across = abs(first[0] - second[0])
    along = abs(first[1] - second[1]) if first[1] is not None and second[1] is not None else None
    ways = [across] if along is None else [across, along]
    least, most = hypot(*(way.low for way in ways)), hypot(*(way.high for way in ways))
    boxes = hypot(*(max(way.low - reach.high, 0.0) for way in ways))
    low = max(least - reach.high, 0.0) if round_ else boxes
    estimate = reach.estimate or any(way.estimate for way in ways)
    return Quantity(low, max(most - reach.low, low), Dimension.LENGTH, estimate)


# --- balloon frames ---------------------------------------------------------------------------------------------------


@rule(
    "balloon-bays-blocked",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="shoring.balloon-frame",
    quantity="fireblocks in the bays that were opened",
    measures=["site.wall_frame", "site.balloon_bays_blocked"],
    provisions=["balloon-frame-stop"],
    cautions=["balloon-frame", "temporary-shoring"],
    remedy="Fit 2x blocks or the code's other fireblocking tightly into each open stud bay at floor level, before "
    "the floor closes. Studs and joists carry each other here: have a licensed engineer set out the shoring.",
    scope="site",
)
def balloon_bays_blocked(site: Site, limits: Limits) -> Iterator[Check]:
    """In a balloon frame each stud bay that was opened is fireblocked at floor level.

    Open bays are chimneys from the crawl space to the roof; fire is upstairs in minutes.
    """
    about, frame = Named("walls", site.house.path), site.house.wall_frame
    if frame is None:
        yield not_measured(about, expected="known how the walls are built", asks=("site.wall_frame",))
    elif frame != "balloon":
        yield does_not_apply(about, f"{frame} walls, no balloon frame")
    else:
        known = site.house.balloon_bays_blocked
        expected, asks = "each bay that was opened is fireblocked", ("site.balloon_bays_blocked",)
        yield fact(about, known, expected=expected, found="bays are open" if known is False else "", asks=asks)
