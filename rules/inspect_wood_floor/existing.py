"""What an existing building's code asks of repairs and alterations: the site as a whole."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import ADVISORY, CORRECTION, Check, Limits, Named, does_not_apply, fact, not_measured, rule
from inspect_core.site import Site
from inspect_core.site.model import Footing, Joist, Member, Pier, Sister
from inspect_wood_floor._members import together
from inspect_wood_floor._papers import paper


def _new_building(site: Site) -> bool:
    return site.house.category == "new-construction"


@rule(
    "work-class",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="existing.work-class",
    quantity="class of the work",
    limits=["one-job-months"],
    measures=["site.category", "site.other_jobs"],
    provisions=["work-class"],
    cautions=["local-code"],
    remedy="Ask the building official how the work is classed, and count jobs of the last 12 months with this one.",
    scope="site",
)
def work_class(site: Site, limits: Limits) -> Iterator[Check]:
    """The work is classed (repair, renovation, alteration, reconstruction), and jobs within 12 months count as one.

    The class decides which rules bind. Slicing a job into small ones does not make it small.
    """
    house, about = site.house, Named("class of the work", site.house.path)
    expected = "somebody has said its class, and other jobs of the last 12 months are counted in"
    if house.category == "new-construction":
        yield does_not_apply(about, "new construction, not work on an existing building")
    elif house.other_jobs == "counted-apart":
        found = "another job is counted apart"
        yield fact(about, False, expected=expected, found=found, limit=limits["one-job-months"])
    else:
        asks = tuple(f"site.{name}" for name in ("category", "other_jobs") if getattr(house, name) is None)
        found = house.category or ""
        holds = None if asks else True
        yield fact(about, holds, expected=expected, found=found, asks=asks, limit=limits["one-job-months"])


@rule(
    "repair-not-less",
    hold_point="final",
    severity=CORRECTION,
    reference="existing.repair",
    quantity="the building against what it was before",
    measures=["site.nothing_made_worse", "site.category"],
    provisions=["repair-not-less", "existing-load-not-reduced"],
    cautions=["local-code", "structural-design"],
    remedy="Put back what carried, drained, aired or protected before, with the sound work that was tied to the "
    "damage; ask a licensed engineer where something that carries is weaker than it was.",
    scope="site",
)
def repair_not_less(site: Site, limits: Limits) -> Iterator[Check]:
    """Checklist: the work leaves nothing less complying than it was, and linked sound work is part of it.

    A vent closed, a joist bored or a brace left out for one repair is the next damage.
    """
    about = Named("before and after", site.house.path)
    if _new_building(site):
        yield does_not_apply(about, "new construction: there is no before")
    else:
        known = site.house.nothing_made_worse
        expected, found = "somebody has compared, and nothing is worse", "something is worse" if known is False else ""
        yield fact(about, known, expected=expected, found=found, asks=("site.nothing_made_worse",))


@rule(
    "damage-class",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="existing.damage",
    quantity="extent of the damage",
    measures=["site.damage", "document.kind", "document.state"],
    provisions=["repair-predamage"],
    cautions=["structural-design", "licensed-engineer"],
    remedy="Have a licensed engineer look at it before anything is put back; dangerous places are made safe at once.",
    scope="site",
)
def damage_class(site: Site, limits: Limits) -> Iterator[Check]:
    """Damage less than substantial may be put back as it was; substantial damage has an engineer's word.

    What is dangerous is mended in either case, to the rules for new work.
    """
    about, damage = Named("damage", site.house.path), site.house.damage
    expected = "it is less than substantial, or an engineer has looked at it"
    if _new_building(site):
        yield does_not_apply(about, "new construction")
    elif damage is None:
        yield not_measured(about, expected=expected, asks=("site.damage",))
    elif damage == "none":
        yield does_not_apply(about, "no damage to what carries the house")
    elif damage == "less-than-substantial":
        yield fact(about, True, expected=expected, found="it may be put back as it was")
    else:
        letter = paper(site, ("engineer-letter",), "")
        asks = ("document.kind", "document.state")
        yield fact(about, letter, expected="an engineer has looked at it", found="substantial damage", asks=asks)


@rule(
    "new-members-told",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="existing.new-members",
    quantity="what is new and what was there",
    measures=["site.work", "joist.work", "support.work", "sister.work", "post.work", "pier.work"],
    provisions=["repair-new-members"],
    cautions=["local-code"],
    remedy="Mark in the site file what is new: new members in a repair meet the rules for new work.",
    scope="site",
)
def new_members_told(site: Site, limits: Limits) -> Iterator[Check]:
    """New structural members in a repair meet the rules for new work, so it is said which are new.

    Old members may stay as they were; a new one may not be as weak as what it replaces. Each other rule asks the new
    ones; this one sees that none is taken for old. A sister that is listed as old beside a cut that is new is asked.
    """
    several = len(site.areas) > 1
    for area in site.areas:
        where = f" in {area.id}" if several else ""
        about = Named(f"members{where}", area.path)
        if area.joists is None or area.supports is None:
            asks = tuple(f"area.{name}" for name in ("joists", "supports") if getattr(area, name) is None)
            yield not_measured(about, asks=asks, because="the frame is not described")
            continue
        parts: list[Member | Pier | Footing | Sister] = [*area.joists, *area.supports, *(area.posts or ())]
        parts += [*(area.piers or ()), *(area.footings or ())]
        parts += [sister for joist in area.joists for sister in joist.sisters or ()]
        if not parts:
            yield does_not_apply(about, "no members are listed in this area")
            continue
        if all(part.work == "existing" for part in parts):
            yield does_not_apply(about, "every member is said to be existing work")
            continue
        unsaid = [part for part in parts if part.work is None]
        found = "" if unsaid else "said of every one"
        asks = ("site.work", "joist.work", "support.work")
        yield fact(about, None if unsaid else True, expected="each is new or was there before", found=found, asks=asks)


@rule(
    "like-materials",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="existing.materials",
    quantity="materials of new work",
    limits=["hazardous-materials", "sawn-kinds"],
    measures=["layer.material", "layer.work", "joist.kind", "joist.work"],
    provisions=["like-materials"],
    cautions=["local-code", "old-layers"],
    remedy="Use the material that was there, or one the code takes today; no asbestos, no lead. Another kind of "
    "joist among old ones is a design: ask a licensed engineer.",
    scope="site",
)
def like_materials(site: Site, limits: Limits) -> Iterator[Check]:
    """New work in a repair is of like material, and of nothing hazardous.

    Joists of one kind share the load; one that is stiffer or swells otherwise does not. What was usual once may be
    poison.
    """
    several = len(site.areas) > 1
    for area in site.areas:
        where = f" in {area.id}" if several else ""
        unlisted = tuple(f"area.{name}" for name in ("layers", "joists") if getattr(area, name) is None)
        if unlisted:
            because = f"the {' and the '.join(field.removeprefix('area.') for field in unlisted)} are not described"
            yield not_measured(Named(f"materials{where}", area.path), asks=unlisted, because=because)
        answered = False
        for number, layer in enumerate(area.layers or (), start=1):
            if layer.work == "existing":
                continue
            answered = True
            about = Named(f"layer {layer.id or number}{where}", layer.path, layer.work)
            bad = [word for word in limits["hazardous-materials"].words if word in (layer.material or "").casefold()]
            safe = None if layer.material is None else not bad
            yield fact(about, safe, expected="nothing hazardous", found=", ".join(bad), asks=("layer.material",))
        kinds = {joist.kind for joist in area.joists or () if joist.work == "existing"}
        unsaid = {joist.kind for joist in area.joists or () if joist.work is None}
        new = [joist for joist in area.joists or () if joist.work in ("new", "altered")]
        for group in _by_kind(new):
            answered = True
            about = together(list(group), f"kind{where}")
            alike = None if group[0].kind is None or None in kinds else not kinds or group[0].kind in kinds
            if alike and unsaid - {group[0].kind}:
                alike = None  # joists of another kind may be old ones
            designed = alike is False and paper(site, ("engineer-letter", "maker-instructions"), "")
            expected = "of the kind of the old ones, or designed"
            found = "" if alike is not False else f"{group[0].kind} among {', '.join(sorted(k or '' for k in kinds))}"
            holds = designed if alike is False else alike
            asks = ("joist.kind", "joist.work", "document.state")
            yield fact(about, holds, expected=expected, found=found, asks=asks)
        if not answered and not unlisted:
            yield does_not_apply(Named(f"materials{where}", area.path), "no new joists and no new layers are listed")


def _by_kind(joists: list[Joist]) -> Iterator[list[Joist]]:
    for kind in dict.fromkeys(joist.kind for joist in joists):
        yield [joist for joist in joists if joist.kind == kind]


@rule(
    "flood-substantial",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="existing.flood",
    quantity="cost of the work against the building's value",
    limits=["substantial-improvement"],
    measures=["place.flood_zone", "site.cost_share", "document.kind", "document.covers"],
    provisions=["flood-substantial"],
    cautions=["local-code"],
    remedy="Ask the floodplain manager before the work starts: at half of the building's value the flood rules for "
    "new houses hold for all of it.",
    scope="site",
)
def flood_substantial(site: Site, limits: Limits) -> Iterator[Check]:
    """In a flood zone work that costs half of the building's value or more follows the flood rules, on paper.

    The share is from memory, and towns set lower ones.
    """
    house, place = site.house, site.place
    zone = place.flood_zone if place is not None else None
    about = Named("flood zone", place.path if place is not None else ())
    share, limit = house.cost_share, limits["substantial-improvement"]
    assert limit.value is not None
    if zone is False:
        yield does_not_apply(about, "not in a mapped flood area")
        return
    if zone is None:
        yield not_measured(about, expected="it lies in a flood area", asks=("place.flood_zone",))
        return
    half = limit.value
    less: bool | None = None
    if share is not None and share.high < half.low and not share.estimate:
        less = True
    elif share is not None and share.low >= half.high:
        less = False
    expected = "less than half of the building's value, or a paper says how the flood rules are met"
    paid = paper(site, ("permit", "engineer-letter", "survey", "certificate"), "flood")
    holds = True if less or paid else None if less is None or paid is None else False
    asks = ("site.cost_share",) if less is None else ("document.covers", "document.state")
    found = "half of its value or more, and no such paper" if holds is False else ""
    yield fact(about, holds, expected=expected, found=found, asks=asks, limit=limit)
