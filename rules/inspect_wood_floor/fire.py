"""Fire: what covers the underside of the floor, and what closes the ways up through it."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.quantities import at_least
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Fire
from inspect_wood_floor._verdicts import all_of

FIRE_CAUTIONS = ("fire-and-old-walls",)
CRAWL = ("vented", "unvented", "conditioned")


def _fire(area: Area, what: str) -> tuple[Named, Fire | None]:
    found = area.fire
    return Named(what, found.path if found is not None else area.path), found


@rule(
    "floor-underside",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="fire.underside",
    quantity="cover of the underside",
    limits=["underside-cover", "underside-large-joist", "underside-open-area"],
    measures=[
        "fire.underside",
        "fire.underside_thickness",
        "fire.unprotected_area",
        "fire.sprinklered",
        "fire.storage_below",
        "crawl_space.kind",
        "crawl_space.appliance",
        "joist.size",
    ],
    provisions=["floor-membrane", "floor-membrane-crawl-furnace"],
    cautions=FIRE_CAUTIONS,
    binds=["new"],
    remedy="Cover the joists from below with gypsum board or a wood panel of the thickness asked for.",
)
def floor_underside(area: Area, limits: Limits) -> Iterator[Check]:
    """A new floor of small joists is covered from below, unless a crawl space without heater or stores lies there.

    Open joists burn through in minutes, and those who put the fire out fall through with them.
    """
    subject, fire = _fire(area, "underside of the floor")
    works = {joist.work for joist in area.joists or ()}
    subject = Named(subject.name, subject.path, next(iter(works)) if len(works) == 1 else "altered" if works else None)
    crawl = _plain_crawl(area, fire)
    large = _large_joists(area, limits)
    sprinklers = fire.sprinklered if fire is not None else None
    if crawl:
        yield does_not_apply(subject, "a crawl space below, without heating appliance and not for stores")
    elif large:
        yield does_not_apply(subject, "joists of 2x10 or larger")
    elif sprinklers:
        yield does_not_apply(subject, "sprinklers below")
    else:
        unsure = [
            field
            for field, known in (
                ("crawl_space.kind", _crawl_kind(area)),
                ("crawl_space.appliance", crawl),
                ("fire.storage_below", crawl),
                ("joist.size", large),
                ("fire.sprinklered", sprinklers),
            )
            if known is None
        ]
        yield _cover(fire, subject, limits, tuple(unsure))


def _crawl_kind(area: Area) -> str | None:
    return area.crawl_space.kind if area.crawl_space is not None else None


def _plain_crawl(area: Area, fire: Fire | None) -> bool | None:
    """Whether a crawl space lies below that neither heats nor stores."""
    space = area.crawl_space
    if space is None or space.kind is None:
        return None
    if space.kind not in CRAWL:
        return False
    facts = (space.appliance, fire.storage_below if fire is not None else None)
    return all_of(None if known is None else not known for known in facts)


def _large_joists(area: Area, limits: Limits) -> bool | None:
    least = limits["underside-large-joist"].value
    if not area.joists or least is None:
        return None if area.joists is None else False
    sawn = ("sawn", "plank", None)
    return all_of(
        False if joist.kind not in sawn else None if depth is None else at_least(depth, least)
        for joist in area.joists
        for depth in (joist.section.depth,)
    )


def _cover(fire: Fire | None, subject: Named, limits: Limits, unsure: tuple[str, ...]) -> Check:
    """How the underside is covered, where it has to be; ``unsure`` are fields that may yet excuse it."""
    cover = fire.underside if fire is not None else None
    if cover is not None and limits.has("underside-cover", cover):
        thickness = fire.underside_thickness if fire is not None else None
        answer = check(
            subject,
            measured=thickness,
            at_least=limits["underside-cover", cover],
            asks=("fire.underside_thickness",),
        )
    elif cover is None:
        answer = not_measured(subject, expected="it is covered from below", asks=("fire.underside", *unsure))
    else:
        least = limits["underside-open-area"]
        bare = fire.unprotected_area if fire is not None else None
        answer = check(subject, measured=bare, at_most=least, found="open from below", asks=("fire.unprotected_area",))
    if answer.outcome == "falls-short" and unsure:
        return not_measured(subject, expected="it is covered, or need not be", asks=unsure)
    return answer


@rule(
    "fireblock-at-floor",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="fire.blocks",
    quantity="stud bays at the floor",
    measures=["fire.wall_bays"],
    provisions=["fireblock-floor-level"],
    cautions=FIRE_CAUTIONS,
    remedy="Nail a block into each open stud bay at the floor while you can reach it.",
)
def fireblock_at_floor(area: Area, limits: Limits) -> Iterator[Check]:
    """Stud bays of walls are closed at the level of the floor.

    In old houses the studs often run past it, and each bay is a chimney from the crawl space to the roof.
    """
    subject, fire = _fire(area, "stud bays at the floor")
    bays = fire.wall_bays if fire is not None else None
    if bays == "no-bays":
        yield does_not_apply(subject, "no stud bay passes this floor")
        return
    closed = None if bays is None else bays == "blocked"
    found = "open stud bays" if closed is False else ""
    yield fact(subject, closed, expected="stud bays are closed at the floor", found=found, asks=("fire.wall_bays",))


@rule(
    "fireblock-along",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="fire.blocks",
    quantity="longest clear way along a concealed space",
    limits=["block-every"],
    measures=["fire.block_every", "fire.wall_bays"],
    provisions=["fireblock-floor-level"],
    cautions=FIRE_CAUTIONS,
    remedy="Set a fire block across the concealed space between the two that are too far apart.",
)
def fireblock_along(area: Area, limits: Limits) -> Iterator[Check]:
    """Concealed spaces in walls and furring are blocked along their length."""
    subject, fire = _fire(area, "concealed spaces along the walls")
    if fire is not None and fire.wall_bays == "no-bays":
        yield does_not_apply(subject, "no stud bay passes this floor")
        return
    measured = fire.block_every if fire is not None else None
    yield check(subject, measured=measured, at_most=limits["block-every"], asks=("fire.block_every",))


@rule(
    "fireblock-material",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="fire.blocks",
    quantity="fire blocks",
    limits=["block-materials"],
    measures=["fire.block_material", "fire.wall_bays"],
    provisions=["fireblock-material"],
    cautions=FIRE_CAUTIONS,
    remedy="Replace it by solid lumber, thick panel or gypsum board with backed joints, or batts that can't fall out.",
)
def fireblock_material(area: Area, limits: Limits) -> Iterator[Check]:
    """Fire blocks are of a material that holds fire back long enough."""
    subject, fire = _fire(area, "fire blocks")
    if fire is not None and fire.wall_bays == "no-bays":
        yield does_not_apply(subject, "no stud bay passes this floor")
        return
    material = fire.block_material if fire is not None else None
    if material == "no-blocks":
        yield does_not_apply(subject, "no fire blocks: see whether the stud bays are closed")
        return
    yield check(subject, measured=material, one_of=limits["block-materials"], asks=("fire.block_material",))


@rule(
    "pipe-gaps-closed",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fire.blocks",
    quantity="gaps round pipes and ducts",
    measures=["fire.pipe_gaps_closed"],
    provisions=["fireblock-pipe-opening"],
    cautions=FIRE_CAUTIONS,
    remedy="Close the gap with approved sealant, mortar, or mineral wool packed tight; ordinary foam does not count.",
)
def pipe_gaps_closed(area: Area, limits: Limits) -> Iterator[Check]:
    """Gaps round pipes, vents and ducts at the floor are closed with approved material."""
    subject, fire = _fire(area, "gaps round pipes at the floor")
    closed = fire.pipe_gaps_closed if fire is not None else None
    found = "open gaps" if closed is False else ""
    asks = ("fire.pipe_gaps_closed",)
    yield fact(subject, closed, expected="gaps round pipes are closed", found=found, asks=asks)


@rule(
    "tub-opening-closed",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="fire.blocks",
    quantity="cut-out for the tub's drain",
    measures=["fire.tub_opening_closed", "area.fixtures"],
    provisions=["tub-trap-opening"],
    cautions=FIRE_CAUTIONS,
    remedy="Box the cut-out in from below, or close the bay beside it, before the tub hides it.",
)
def tub_opening_closed(area: Area, limits: Limits) -> Iterator[Check]:
    """The large cut-out for a tub's or shower's drain is closed towards walls and bays.

    It joins the space below to every open stud bay beside it.
    """
    subject, fire = _fire(area, "cut-out for the tub's or shower's drain")
    kinds = None if area.fixtures is None else {fixture.kind for fixture in area.fixtures}
    if kinds is not None and not kinds & {"tub", "shower", None}:
        yield does_not_apply(subject, "no tub and no shower here")
        return
    closed = fire.tub_opening_closed if fire is not None else None
    sure = kinds is not None and bool(kinds & {"tub", "shower"})
    asks = ("fire.tub_opening_closed",) if sure else ("fire.tub_opening_closed", "area.fixtures", "fixture.kind")
    expected = "the cut-out is closed towards walls and bays"
    found = "the cut-out is open" if closed is False and sure else ""
    yield fact(subject, closed if sure else None, expected=expected, found=found, asks=asks)


@rule(
    "draft-stops",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="fire.draft",
    quantity="undivided space between floor and ceiling",
    limits=["concealed-area"],
    measures=["fire.ceiling_below", "fire.concealed_area", "crawl_space.kind"],
    provisions=["draftstop-1000"],
    cautions=FIRE_CAUTIONS,
    remedy="Divide the space with half-inch gypsum board or a wood panel, along the framing, into about equal parts.",
)
def draft_stops(area: Area, limits: Limits) -> Iterator[Check]:
    """A closed space between a floor and a dropped ceiling, or in open-web framing, is divided when it is large."""
    subject, fire = _fire(area, "space between floor and ceiling")
    ceiling = fire.ceiling_below if fire is not None else None
    kind = _crawl_kind(area)
    if kind in (*CRAWL, "none"):
        yield does_not_apply(subject, "no usable space below, so no ceiling either")
    elif ceiling in ("no-ceiling", "on-joists"):
        yield does_not_apply(subject, "the joists themselves divide it, or there is no ceiling")
    else:
        limit = limits["concealed-area"]
        known = (("crawl_space.kind", kind), ("fire.ceiling_below", ceiling))
        unsure = tuple(field for field, value in known if value is None)
        measured = fire.concealed_area if fire is not None else None
        answer = check(subject, measured=measured, at_most=limit, asks=("fire.concealed_area", *unsure))
        if answer.outcome == "falls-short" and unsure:
            answer = not_measured(subject, asks=unsure, because="large, if there is a dropped ceiling")
        yield answer
