"""What may hurt people at work besides lead, asbestos and wires: gas, leaning piers, bad air, animals, dust, foam."""

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
from inspect_core.site import Site
from inspect_core.site.model import Layer
from inspect_wood_floor._hazards import about_hazard, hazards_of

# --- gas, piers ------------------------------------------------------------------------------------------------------


@rule(
    "no-gas-smell",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.stop-work",
    quantity="smell of gas",
    measures=["hazards.gas_smell"],
    provisions=["gas-smell"],
    cautions=["gas"],
    remedy="Go out at once, leave doors open, touch no switch and no telephone inside, and call the gas company "
    "from outside. Nobody goes back before they say so.",
    scope="site",
)
def no_gas_smell(site: Site, limits: Limits) -> Iterator[Check]:
    """No gas is smelt under or over the floor.

    Gas gathers under a floor, and a switch or a spark of a tool is enough.
    """
    smelt = hazards_of(site).gas_smell
    holds = None if smelt is None else not smelt
    found = "gas is smelt" if smelt else ""
    yield fact(
        about_hazard(site, "gas"),
        holds,
        expected="the air is free of a smell of gas",
        found=found,
        asks=("hazards.gas_smell",),
    )


@rule(
    "no-leaning-pier",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.stop-work",
    quantity="leaning pier",
    measures=["hazards.leaning_pier"],
    provisions=["gas-smell", "pier-plumb-practice"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Stay out from under it. A licensed engineer says how the beam is carried before anybody goes near the "
    "pier.",
    scope="site",
)
def no_leaning_pier(site: Site, limits: Limits) -> Iterator[Check]:
    """No pier is seen to lean while people work beside it.

    A leaning pier can go over at a knock; pier-plumb measures how far it leans.
    """
    leans = hazards_of(site).leaning_pier
    holds = None if leans is None else not leans
    found = "a pier leans" if leans else ""
    about = about_hazard(site, "piers as seen")
    yield fact(about, holds, expected="no pier leans", found=found, asks=("hazards.leaning_pier",))


# --- the crawl space --------------------------------------------------------------------------------------------------


def _no_crawl_space(site: Site) -> bool:
    spaces = [area.crawl_space for area in site.areas]
    return all(space is not None and space.kind in ("none", "basement") for space in spaces)


@rule(
    "crawl-judged",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="hazards.confined-space",
    quantity="judgement of the crawl space",
    measures=["hazards.competent_person", "hazards.confined_space", "crawl_space.kind"],
    provisions=["crawl-competent", "crawl-confined"],
    cautions=["crawl-space", "confined-space"],
    remedy="Before anybody goes in, somebody trained for it looks: big enough to enter, hard to get out of, not "
    "made to stay in. All three make it a confined space; with bad air or another danger it takes an entry permit.",
    scope="site",
)
def crawl_judged(site: Site, limits: Limits) -> Iterator[Check]:
    """A competent person has judged whether the crawl space is a confined space before anybody works in it.

    Workplace rules ask it for paid work; for others it is as wise. Rescuers die in such places as often as those whom
    they went in for.
    """
    about, hazards = about_hazard(site, "crawl space, judged"), hazards_of(site)
    if _no_crawl_space(site):
        yield does_not_apply(about, "no crawl space under these floors")
        return
    given = (("hazards.competent_person", hazards.competent_person), ("hazards.confined_space", hazards.confined_space))
    asks = tuple(field for field, value in given if value is None)
    holds = False if hazards.competent_person is False else None if asks else True
    found = "" if asks else "a confined space" if hazards.confined_space else "not a confined space"
    yield fact(about, holds, expected="somebody trained has looked and said what it is", found=found, asks=asks or None)


@rule(
    "crawl-oxygen",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.confined-space",
    quantity="oxygen",
    limits=["oxygen-least", "oxygen-most"],
    measures=["hazards.oxygen", "hazards.confined_space", "crawl_space.kind"],
    provisions=["crawl-oxygen", "crawl-confined"],
    cautions=["crawl-space", "confined-space"],
    remedy="Stay out. Blow fresh air in, measure again from outside at the far end, and go in only with a permit, a "
    "meter that alarms, and somebody at the hatch who does not follow you.",
    scope="site",
)
def crawl_oxygen(site: Site, limits: Limits) -> Iterator[Check]:
    """In a crawl space that is a confined space oxygen is between 19.5 and 23.5 percent before anybody goes in.

    Rot, rust and leaking gas use or push out the air; without oxygen people drop without warning.
    """
    about, hazards = about_hazard(site, "air in the crawl space"), hazards_of(site)
    if _no_crawl_space(site):
        yield does_not_apply(about, "no crawl space under these floors")
    elif hazards.oxygen is None and hazards.confined_space is False:
        yield does_not_apply(about, "judged not to be a confined space")
    else:
        asks = ("hazards.oxygen",) if hazards.confined_space else ("hazards.confined_space", "hazards.oxygen")
        least, most = limits["oxygen-least"], limits["oxygen-most"]
        yield check(about, measured=hazards.oxygen, at_least=least, at_most=most, asks=asks)


@rule(
    "crawl-precautions",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.crawl-pests",
    quantity="precautions",
    limits=["crawl-precautions"],
    measures=["hazards.pests", "hazards.sewage", "hazards.wiring", "hazards.crawl_precautions"],
    provisions=["crawl-pests"],
    cautions=["crawl-space", "sewage-and-droppings"],
    remedy="Stay out until suit, respirator, power off and a second person at the hatch are there; have sewage, "
    "nests and snakes seen to first by those who do it for a living.",
    scope="site",
)
def crawl_precautions(site: Site, limits: Limits) -> Iterator[Check]:
    """Among animals, droppings, sewage or wet wires nobody crawls in without four precautions.

    Suit, respirator, power off, a second person at the hatch: dust of droppings and sewage infects, and nobody hears a
    call from under a floor.
    """
    about, hazards = about_hazard(site, "going into the crawl space"), hazards_of(site)
    dangers = (("pests", hazards.pests), ("sewage", hazards.sewage))
    seen = [name for name, there in dangers if there]
    seen += ["wet wiring"] if hazards.wiring == "wet" else []
    unsaid = [f"hazards.{name}" for name, there in dangers if there is None]
    unsaid += ["hazards.wiring"] if hazards.wiring is None else []
    wanted, taken = limits["crawl-precautions"].words, hazards.crawl_precautions
    precautions = f"each of these is there: {', '.join(word.replace('-', ' ') for word in wanted)}"
    if _no_crawl_space(site):
        yield does_not_apply(about, "no crawl space under these floors")
    elif not seen and not unsaid:
        yield does_not_apply(about, "no animals, sewage or wet wires")
    else:
        lacking = None if taken is None else [one for one in wanted if one not in taken]
        unsure = lacking is None or (lacking and (not seen or "unknown" in (taken or ())))
        holds = None if unsure else not lacking
        found = f"{', '.join(seen)}; without {', '.join(lacking)}" if seen and lacking else ", ".join(seen)
        asks = (*unsaid, "hazards.crawl_precautions")
        yield fact(about, holds, expected=precautions, found=found, asks=asks, limit=limits["crawl-precautions"])


# --- dust, foam -------------------------------------------------------------------------------------------------------

CUT = ("tile", "backer", "mortar-bed")


@rule(
    "silica-dust",
    hold_point="tile",
    severity=ADVISORY,
    reference="hazards.silica",
    quantity="how mortar, backer and tile are cut",
    limits=["dust-controls"],
    measures=["hazards.dust_control", "layer.kind"],
    provisions=["silica"],
    cautions=["tile-dust"],
    remedy="Cut wet, with a saw that has a vacuum, or score and snap, outdoors where you can; wear a respirator and "
    "never dry sweep.",
    scope="site",
)
def silica_dust(site: Site, limits: Limits) -> Iterator[Check]:
    """Mortar, backer board and tile are cut wet, under a vacuum, or by scoring.

    Their dust holds quartz, which scars lungs for good. Workplaces keep it under 50 micrograms per cubic metre of air
    over a shift (from memory); a dry saw goes beyond that in minutes.
    """
    about = about_hazard(site, "cutting of mortar, backer and tile")
    layers: list[Layer] = [layer for area in site.areas for layer in area.layers or ()]
    if any(layer.kind in CUT for layer in layers):
        limit = limits["dust-controls"]
        yield check(about, measured=hazards_of(site).dust_control, one_of=limit, asks=("hazards.dust_control",))
    elif any(area.layers is None for area in site.areas) or any(layer.kind is None for layer in layers):
        yield not_measured(about, expected="known whether any is laid", asks=("area.layers", "layer.kind"))
    else:
        yield does_not_apply(about, "no tile, backer or mortar bed in these floors")


@rule(
    "foam-covered",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="hazards.foam",
    quantity="foam insulation",
    limits=["foam-states"],
    measures=["crawl_space.foam"],
    provisions=["foam-ignition"],
    cautions=["crawl-space", "foam-fire"],
    remedy="Cover foam with the barrier that its maker's listing names (as a rule gypsum board, or an ignition "
    "barrier where nobody goes but to serve equipment).",
    scope="site",
)
def foam_covered(site: Site, limits: Limits) -> Iterator[Check]:
    """Foam insulation in the crawl space is behind a thermal or ignition barrier.

    Bare foam burns fast, and its smoke kills before the fire does. From memory.
    """
    several = len(site.areas) > 1
    for area in site.areas:
        space = area.crawl_space
        name = f"foam under {area.id}" if several else "foam in the crawl space"
        about = Named(name, space.path if space is not None else area.path)
        if space is None:
            yield not_measured(
                about, asks=("area.crawl_space",), because="nothing is said of the space under the floor"
            )
        elif space.same_as is not None:
            yield does_not_apply(about, f"same crawl space as {space.same_as}")
        elif space.kind == "none":
            yield does_not_apply(about, "no crawl space under this floor")
        else:
            yield check(about, measured=space.foam, one_of=limits["foam-states"], asks=("crawl_space.foam",))
