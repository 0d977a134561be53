"""Lead paint and asbestos, by the age of the house."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from inspect_core.quantities import Dimension, Quantity, at_most
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    STOP_WORK,
    Check,
    Limits,
    Named,
    check,
    day,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Site
from inspect_core.site.model import Hazards
from inspect_wood_floor._hazards import SAFE, about_hazard, built_before, hazards_of
from inspect_wood_floor._papers import paper, papers

# --- lead -------------------------------------------------------------------------------------------------------------


@rule(
    "lead-paint-known",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="hazards.lead",
    quantity="lead paint",
    limits=["lead-year"],
    measures=["hazards.lead_paint", "site.built"],
    provisions=["lead-year"],
    cautions=["lead"],
    remedy="Take all paint for leaded until a certified test says otherwise, and let nobody sand, scrape or saw it "
    "dry.",
    scope="site",
)
def lead_paint_known(site: Site, limits: Limits) -> Iterator[Check]:
    """In a house from before 1978 it is known whether the paint that is disturbed holds lead.

    Lead dust cannot be seen and harms children for life. A house of unknown age is taken for an old one.
    """
    about, found = about_hazard(site, "lead paint"), hazards_of(site).lead_paint
    old = built_before(site, limits["lead-year"])
    expected, asks = "tested, and none found", ("hazards.lead_paint",)
    if old is False and found != "present":
        yield does_not_apply(about, f"built {site.built}: lead paint was no longer sold")
    elif found in SAFE:
        yield fact(about, True, expected=expected, found="none found")
    elif old is None and found != "present":
        yield not_measured(about, expected=expected, asks=("site.built", *asks))
    else:
        known = None if found is None else False
        yield fact(about, known, expected=expected, found=found or "", asks=asks, limit=limits["lead-year"])


@rule(
    "lead-safe-work",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.lead",
    quantity="certified firm and renovator",
    limits=["lead-area", "lead-year"],
    measures=[
        "hazards.lead_paint",
        "hazards.paint_disturbed",
        "hazards.paint_torn_out",
        "site.built",
        "site.owner_occupied",
        "site.federally_assisted",
        "document.kind",
        "document.covers",
    ],
    provisions=["lead-certified", "lead-area-room", "lead-hud-area", "lead-year"],
    cautions=["lead"],
    remedy="Stop disturbing paint. Hire a firm certified for lead-safe work (its certificate goes with the "
    "documents), or have the paint tested; keep children and pregnant women away until the place is cleaned and "
    "cleared.",
    scope="site",
)
def lead_safe_work(site: Site, limits: Limits) -> Iterator[Check]:
    """Paid work on suspect paint in a house from before 1978 is done by a certified firm, above 6 sq ft in a room.

    Federally assisted housing: above 2 sq ft. Windows and tearing out count at any size. An owner at work in their own
    home is not bound by the federal rule; the dust is the same, and some states bind them too.
    """
    about, hazards = about_hazard(site, "work on lead paint"), hazards_of(site)
    old = built_before(site, limits["lead-year"])
    if old is False:
        yield does_not_apply(about, f"built {site.built}: lead paint was no longer sold")
    elif hazards.lead_paint in SAFE:
        yield does_not_apply(about, "tested, and no lead paint found")
    elif site.house.owner_occupied:
        yield does_not_apply(
            about, "the owner works at home, unpaid; the dust harms all the same: work wet and clean up"
        )
    elif old is None:
        yield not_measured(
            about, because="nobody knows when the house was built", asks=("site.built", "hazards.lead_paint")
        )
    else:
        yield _certified(site, about, hazards, limits)


def _certified(site: Site, about: Named, hazards: Hazards, limits: Limits) -> Check:
    assisted = site.house.federally_assisted
    most = limits.between("lead-area", None if assisted is None else KINDS[assisted], ("assisted", "other"))
    torn, area = hazards.paint_torn_out, hazards.paint_disturbed
    small = None if area is None or most.value is None else at_most(area, most.value)
    if torn is False and small:
        return check(about, measured=area, at_most=most, found="too little to bind")
    vouched = paper(site, ("certificate", "license"), "lead")
    expected = "a certified firm, with its certificate that covers lead"
    if vouched:
        return fact(about, True, expected=expected, found="certified")
    if torn or small is False:
        found = "painted parts are torn out" if torn else "more paint than the rule lets pass"
        return fact(about, vouched, expected=expected, found=found, asks=("document.kind", "document.covers"))
    given = (("hazards.paint_torn_out", torn), ("hazards.paint_disturbed", area), ("site.federally_assisted", assisted))
    asks = tuple(field for field, value in given if value is None)
    return not_measured(about, expected=expected, asks=asks or ("hazards.paint_disturbed",))


KINDS = {True: "assisted", False: "other"}


@rule(
    "lead-pamphlet",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="hazards.lead",
    quantity="days from the lead pamphlet to the work",
    limits=["lead-pamphlet-days", "lead-year"],
    measures=[
        "document.kind",
        "document.covers",
        "document.date",
        "site.work_starts",
        "site.built",
        "hazards.lead_paint",
    ],
    provisions=["lead-pamphlet"],
    cautions=["lead"],
    remedy="Hand the people who live there the official pamphlet on lead-safe renovation, have it signed for, and "
    "start within 60 days.",
    scope="site",
)
def lead_pamphlet(site: Site, limits: Limits) -> Iterator[Check]:
    """Before paid work in a house from before 1978 the people who live there get the lead pamphlet.

    At most 60 days before (from memory). They are the ones who breathe the dust.
    """
    about, old = about_hazard(site, "lead pamphlet"), built_before(site, limits["lead-year"])
    given = papers(site, ("notice", "certificate", "other"), "lead pamphlet")
    if old is False:
        yield does_not_apply(about, f"built {site.built}: lead paint was no longer sold")
    elif hazards_of(site).lead_paint in SAFE:
        yield does_not_apply(about, "tested, and no lead paint found")
    elif site.house.owner_occupied:
        yield does_not_apply(about, "the owner works at home, unpaid")
    elif old is None:
        yield not_measured(about, because="nobody knows when the house was built", asks=("site.built",))
    elif site.documents is None or any(one.state is None for one in given):
        yield not_measured(
            about, expected="it was handed over", asks=("document.kind", "document.covers", "document.state")
        )
    elif not any(one.state == "on-site" for one in given):
        limit, found = limits["lead-pamphlet-days"], "no such paper is listed"
        yield fact(about, False, expected="a notice that covers the lead pamphlet is on site", found=found, limit=limit)
    else:
        dates = [one.date for one in given if one.state == "on-site"]
        days = _days(dates[0], site.house.work_starts)
        asks = ("document.date", "site.work_starts")
        if days is not None and days.high < 0:
            late = limits["lead-pamphlet-days"]
            yield fact(about, False, expected="handed over before the work", found="after the work began", limit=late)
        else:
            known = days if days is not None and days.low >= 0 else None
            yield check(about, measured=known, at_most=limits["lead-pamphlet-days"], asks=asks)


def _days(first: str | None, last: str | None) -> Quantity | None:
    """Days from one date to another; a range where one of them is a month or a year."""
    begins, ends = (None if text is None else day(text) for text in (first, last))
    if begins is None or ends is None:
        return None
    low, high = (
        (date.fromisoformat(b) - date.fromisoformat(a)).days
        for a, b in ((begins.last, ends.first), (begins.first, ends.last))
    )
    return Quantity(low, high, Dimension.COUNT)


# --- asbestos ---------------------------------------------------------------------------------------------------------


@rule(
    "asbestos-known",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="hazards.asbestos",
    quantity="asbestos in old floors and wraps",
    limits=["asbestos-year"],
    measures=["hazards.asbestos", "site.built", "document.kind", "document.covers"],
    provisions=["asbestos-suspect"],
    cautions=["asbestos"],
    remedy="Touch nothing. Have an accredited inspector take samples; until the laboratory answers, take it for "
    "asbestos.",
    scope="site",
)
def asbestos_known(site: Site, limits: Limits) -> Iterator[Check]:
    """Before old sheet flooring, 9 in tile, black mastic or pipe wrap is cut, a sample says what is in it.

    They were made with asbestos into the 1980s (the year is from memory), and nobody can tell by looking.
    """
    about, found = about_hazard(site, "asbestos"), hazards_of(site).asbestos
    old, limit = built_before(site, limits["asbestos-year"]), limits["asbestos-year"]
    expected = "sampled, and none found"
    if old is False and found is None:
        yield does_not_apply(about, f"built {site.built}, and nothing is suspected")
    elif found in SAFE:
        yield fact(about, True, expected=expected, found="none found", limit=limit)
    elif found is None:
        asks = ("site.built", "hazards.asbestos") if old is None else ("hazards.asbestos",)
        yield not_measured(about, expected=expected, asks=asks)
    else:
        tested = paper(site, ("test-record",), "asbestos") if found == "present" else False
        asks = ("document.kind", "document.covers")
        expected = "sampled; where it is present the test record is on site"
        yield fact(about, tested, expected=expected, found=found, asks=asks, limit=limit)


@rule(
    "asbestos-untouched",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="hazards.asbestos",
    quantity="what is done to suspect floors",
    limits=["old-floor-ways", "asbestos-year"],
    measures=["hazards.old_floor_removal", "hazards.asbestos", "site.built"],
    provisions=["asbestos-no-sand"],
    cautions=["asbestos"],
    remedy="Stop, wet it, leave the room and shut it. A licensed asbestos contractor cleans up; then cover the old "
    "floor or have it lifted whole and wet.",
    scope="site",
)
def asbestos_untouched(site: Site, limits: Limits) -> Iterator[Check]:
    """Suspect floors are not sanded, ground or dry-scraped: they stay, are lifted whole and wet, or a contractor comes.

    Sanding one floor can put more fibres into the house than anybody should breathe in a lifetime.
    """
    about, hazards = about_hazard(site, "old floor layers"), hazards_of(site)
    old, way = built_before(site, limits["asbestos-year"]), hazards.old_floor_removal
    if hazards.asbestos in SAFE:
        yield does_not_apply(about, "sampled, and none found")
    elif old is False and hazards.asbestos is None:
        yield does_not_apply(about, f"built {site.built}, and nothing is suspected")
    elif old is None and hazards.asbestos is None and way not in limits["old-floor-ways"].words:
        yield not_measured(about, expected="they stay untouched", asks=("site.built", "hazards.asbestos"))
    else:
        yield check(about, measured=way, one_of=limits["old-floor-ways"], asks=("hazards.old_floor_removal",))
