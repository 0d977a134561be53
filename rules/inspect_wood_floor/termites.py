"""Termites: their signs, what guards the floor against them, and what the work may have undone."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import Dimension, Quantity
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
from inspect_core.site import Site
from inspect_core.site.model import CrawlSpace
from inspect_wood_floor._crawl import crawl_space
from inspect_wood_floor._verdicts import Verdict

METHODS = ("crawl_space.termite_protection",)
LICENSED = "Poisons and baits are for a licensed pest controller, by the label and local law."


def _spaces(site: Site, answer: Callable[[CrawlSpace, Named], Check]) -> Iterator[Check]:
    """One answer for each space under a floor, a basement too; the one that says why where there is none."""
    for area in site.areas:
        name = f"space under {area.id}"
        space = crawl_space(area, name=name, basement=True)
        yield space if isinstance(space, Check) else answer(space, Named(name, space.path))


def _prone(site: Site, limits: Limits, table: str) -> tuple[Verdict, str]:
    """Whether the place is one of those that a limit names, and how findings call its termites."""
    word = site.place.termites if site.place is not None else None
    return None if word is None else word in limits[table].words, word or "unknown"


@rule(
    "termite-signs",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="termites.signs",
    quantity="signs of termites",
    limits=["pest-papers", "pest-words"],
    measures=["crawl_space.termite_signs", "document.kind", "document.covers", "document.state"],
    provisions=["termite-tube-finding"],
    cautions=["crawl-space", "structural-design"],
    remedy=(
        "Leave the tubes as they are and get a licensed pest inspection before anything is covered; list its report "
        f"under documents. Probe all wood near them: a licensed engineer says what eaten wood still carries. {LICENSED}"
    ),
)
def termite_signs(site: Site, limits: Limits) -> Iterator[Check]:
    """No mud tubes, wings or hollow wood are seen; or a licensed inspector has looked and reported.

    What termites eat looks sound from outside. New joists over a live colony are its next meal.
    """
    reported = _pest_report(site, limits)

    def answer(space: CrawlSpace, where: Named) -> Check:
        signs = space.termite_signs
        held: Verdict = None if signs is None else not signs or reported
        found = "" if signs is None else "no signs" if not signs else "signs seen"
        if signs and reported:
            found = "signs seen, and a pest report is on site"
        expected = "it is free of signs of termites, or a licensed pest inspection's report is on site"
        return fact(where, held, expected=expected, found=found, asks=("crawl_space.termite_signs",))

    yield from _spaces(site, answer)


def _pest_report(site: Site, limits: Limits) -> bool:
    kinds, words = limits["pest-papers"].words, limits["pest-words"].words
    return any(
        paper.kind in kinds and paper.state == "on-site" and any(word in (paper.covers or "").lower() for word in words)
        for paper in site.documents or ()
    )


@rule(
    "termite-protection",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="termites.protection",
    quantity="ways of protection",
    limits=["termite-places", "termite-ways", "termite-ways-shield"],
    measures=["crawl_space.termite_protection", "place.termites"],
    provisions=["termite-methods", "shield-not-alone"],
    cautions=["crawl-space", "treated-dust"],
    remedy=f"Choose one that the place allows: treated soil, baits, treated or durable wood, a barrier. {LICENSED}",
)
def termite_protection(site: Site, limits: Limits) -> Iterator[Check]:
    """Where termites are likely, the floor has a protection against them; a shield counts only beside another.

    A shield stops nothing: it makes termites build their tubes where somebody can see them, if somebody looks.
    """
    prone, word = _prone(site, limits, "termite-places")

    def answer(space: CrawlSpace, where: Named) -> Check:
        if prone is False:
            return does_not_apply(where, f"termites: {word}")
        if prone is None:
            return not_measured(where, because="not said how likely termites are here", asks=("place.termites",))
        ways = space.termite_protection
        needed = limits["termite-ways-shield" if ways is not None and "shield" in ways else "termite-ways"]
        known = None if ways is None else {way for way in ways if way != "unknown"}
        count = None if known is None or ways is None else Quantity(
            len(known), len(known) + (1 if "unknown" in ways else 0), Dimension.COUNT
        )  # fmt: skip
        found = ", ".join(ways) if ways else ""
        return check(where, measured=count, at_least=needed, found=found, asks=METHODS)

    yield from _spaces(site, answer)


@rule(
    "termite-soil",
    scope="site",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="termites.protection",
    quantity="treated soil",
    limits=["treated-soil-states"],
    measures=["crawl_space.treated_soil", "crawl_space.termite_protection"],
    provisions=["termite-retreat-disturbed"],
    cautions=["crawl-space"],
    remedy=f"Have the soil at each pier and trench that was dug treated again before it is covered. {LICENSED}",
)
def termite_soil(site: Site, limits: Limits) -> Iterator[Check]:
    """Soil that was treated against termites and dug up since is treated again.

    A new pier is a hole right through the barrier. Law in one state, good practice everywhere.
    """

    def answer(space: CrawlSpace, where: Named) -> Check:
        ways = space.termite_protection
        if ways is not None and "soil-treatment" not in ways and "unknown" not in ways:
            return does_not_apply(where, "its soil has no treatment")
        measured = space.treated_soil if ways is not None and "soil-treatment" in ways else None
        asks = ("crawl_space.treated_soil",) if measured is None and ways and "soil-treatment" in ways else METHODS
        return check(where, measured=measured, one_of=limits["treated-soil-states"], asks=asks)

    yield from _spaces(site, answer)


@rule(
    "termite-foam",
    scope="site",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="termites.foam",
    quantity="height of foam plastic over the ground",
    limits=["termite-places-heavy", "foam-clearance"],
    measures=["crawl_space.wall_foam", "crawl_space.foam_above_ground", "place.termites"],
    provisions=["foam-termite"],
    cautions=["crawl-space"],
    remedy=(
        "Cut the foam back from the ground so that tubes can be seen, or use foam or a treatment that the official has "
        f"approved for it. {LICENSED}"
    ),
)
def termite_foam(site: Site, limits: Limits) -> Iterator[Check]:
    """Where termites are very heavy, foam plastic on foundation walls keeps clear of the ground.

    Termites tunnel in foam unseen, from the soil straight to the sill.
    """
    heavy, word = _prone(site, limits, "termite-places-heavy")

    def answer(space: CrawlSpace, where: Named) -> Check:
        if space.wall_foam is False:
            return does_not_apply(where, "no foam plastic on its walls")
        if heavy is False:
            return does_not_apply(where, f"termites: {word}")
        asks = [] if heavy else ["place.termites"]
        asks += [] if space.wall_foam else ["crawl_space.wall_foam"]
        if asks:
            return not_measured(where, expected="foam keeps clear of the ground", asks=tuple(asks))
        return check(
            where,
            measured=space.foam_above_ground,
            at_least=limits["foam-clearance"],
            asks=("crawl_space.foam_above_ground",),
        )

    yield from _spaces(site, answer)
