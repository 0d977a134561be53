"""The official's inspections: each before the work is covered, the trades before the frame, the last before use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    NOT_MEASURED,
    Check,
    Day,
    Limits,
    Named,
    day,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Site
from inspect_core.site.model import Document
from inspect_wood_floor._work_papers import (
    Job,
    covered,
    everything,
    footings_and_piers,
    frame,
    listed,
    nothing_changed,
    paper,
    papers,
    pipes,
    speaks_of,
    unlisted_papers,
    words_of,
)

MEASURES = ("document.kind", "document.state", "document.covers", "site.stage", "site.work")
CALL = (
    "Call for the inspection, open what hides the work, and have light, a ladder and a safe way in ready. What was "
    "covered without it the official may have opened again."
)


def _inspection(
    site: Site, limits: Limits, stage: str, job: Job, what: str, before: str, hidden: bool | None
) -> Iterator[Check]:
    """Whether the official has seen a stage: the record is listed; or it is covered without; or it is still to come."""
    subject = Named(f"{stage.replace('-', ' ')} inspection", ("documents",) if site.documents is not None else ())
    if not job.touched:
        yield _softer(nothing_changed(subject, job, site, what), hidden)
        return
    expected = f"the official has approved {listed(job.changed)} before {before}"
    if site.documents is None:
        yield _softer(unlisted_papers(subject, expected), hidden)
        return
    words = words_of(limits, "inspection-words", stage)
    found = [(one, speaks_of(one.covers, words)) for one in papers(site, "inspection")]
    answer = paper(subject, found, expected=expected, none_listed=False if hidden else None)
    if answer.outcome == FALLS_SHORT:
        answer = replace(answer, found=f"it is covered, and {answer.found}")
    yield _softer(answer, hidden)


def _softer(answer: Check, hidden: bool | None) -> Check:
    """What is still to come is advice: a check before the inspection must be able to find nothing wrong."""
    return replace(answer, severity=ADVISORY) if answer.outcome == NOT_MEASURED and hidden is False else answer


@rule(
    "inspection-before-concrete",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.inspection-foundation",
    quantity="inspection",
    limits=["inspection-words"],
    measures=MEASURES,
    provisions=["insp-foundation", "insp-no-cover"],
    cautions=["trench"],
    remedy=CALL,
    scope="site",
)
def inspection_before_concrete(site: Site, limits: Limits) -> Iterator[Check]:
    """New piers and footings are inspected when forms and steel stand, before concrete is poured.

    Nobody can see afterwards how deep the trench was and what lies in it.
    """
    job = footings_and_piers(site)
    poured = None if site.house.stage is None else site.house.stage == "built"
    yield from _inspection(site, limits, "foundation", job, "piers or footings", "concrete was poured", poured)


@rule(
    "inspection-rough-plumbing",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="admin.inspection-rough-trades",
    quantity="inspection",
    limits=["inspection-words"],
    measures=MEASURES,
    provisions=["insp-mep-rough", "insp-no-cover"],
    cautions=["crawl-space"],
    remedy=CALL,
    scope="site",
)
def inspection_rough_plumbing(site: Site, limits: Limits) -> Iterator[Check]:
    """New or altered drains are inspected, with their test standing, before anything covers them.

    The same goes for wiring and ducts, which this file does not describe: ask for them in the same call.
    """
    yield from _inspection(site, limits, "rough-trades", pipes(site), "drains", "it was covered", covered(site))


@rule(
    "inspection-framing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.inspection-framing",
    quantity="inspection",
    limits=["inspection-words"],
    measures=MEASURES,
    provisions=["insp-frame", "insp-no-cover"],
    cautions=["crawl-space"],
    remedy=CALL,
    scope="site",
)
def inspection_framing(site: Site, limits: Limits) -> Iterator[Check]:
    """The frame is inspected after the rough trades have passed and before the subfloor hides it.

    Parts that fail stay open until they are mended and seen again.
    """
    yield from _inspection(site, limits, "framing", frame(site), "framing", "it was covered", covered(site))


@rule(
    "inspection-under-floor",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.inspection-under-floor",
    quantity="inspection",
    limits=["inspection-words", "under-floor-inspection-states"],
    measures=("place.state", *MEASURES),
    provisions=["insp-underfloor-local"],
    cautions=["crawl-space"],
    remedy=CALL,
    scope="site",
)
def inspection_under_floor(site: Site, limits: Limits) -> Iterator[Check]:
    """Where the state asks for it, the under-floor inspection comes before any floor sheathing.

    Oregon and California ask for it by name; elsewhere the framing inspection does this work. A local pack may add it.
    """
    subject = Named("under floor inspection", ())
    state = site.place.state if site.place is not None else None
    if state is None:
        expected = "the state asks for no inspection of its own before the sheathing"
        yield fact(subject, None, expected=expected, asks=("place.state",), severity=ADVISORY)
        return
    if state.casefold() not in [word.casefold() for word in words_of(limits, "under-floor-inspection-states")]:
        yield does_not_apply(subject, f"{state} is not known to ask for one by name")
        return
    yield from _inspection(site, limits, "under-floor", frame(site), "framing", "it was covered", covered(site))


@rule(
    "inspection-shower-pan",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="admin.inspection-other",
    quantity="inspection",
    limits=["inspection-words"],
    measures=MEASURES,
    provisions=["insp-other"],
    remedy="Ask the official whether they want to see the pan with water in it before you tile, and list the answer.",
    scope="site",
)
def inspection_shower_pan(site: Site, limits: Limits) -> Iterator[Check]:
    """The official was asked whether they want to see the shower pan, or anything else of their own choice.

    They may add inspections: pan, insulation, under the floor. List a record, or a paper that says not-needed.
    """
    subject = Named("shower pan inspection", ("documents",) if site.documents is not None else ())
    wet = [(area, part) for area in site.areas for part in area.wet_areas or ()]
    changed = [(area, part) for area, part in wet if part.work in ("altered", "new")]
    if not changed:
        if any(area.wet_areas is None for area in site.areas) or any(part.work is None for _, part in wet):
            yield not_measured(subject, because="not known whether there is a new shower", asks=("area.wet_areas",))
        else:
            yield does_not_apply(subject, "no shower or wet room is altered or new")
        return
    expected = f"the official has seen {listed(changed)}, or does not ask to"
    if site.documents is None:
        yield unlisted_papers(subject, expected)
        return
    words = words_of(limits, "inspection-words", "shower-pan")
    found = [(one, speaks_of(one.covers, words)) for one in papers(site, "inspection")]
    yield paper(subject, found, expected=expected, none_listed=None)


@rule(
    "inspection-final",
    hold_point="final",
    severity=ADVISORY,
    reference="admin.inspection-final",
    quantity="inspection",
    limits=["inspection-words"],
    measures=MEASURES,
    provisions=["insp-final"],
    remedy="Call for the final inspection before the room is used, and keep the signed card.",
    scope="site",
)
def inspection_final(site: Site, limits: Limits) -> Iterator[Check]:
    """The final inspection has passed before the room is used.

    A permit that nobody closes turns up again when the house is sold.
    """
    yield from _inspection(site, limits, "final", everything(site), "structure or plumbing", "it is used", False)


@rule(
    "inspection-order",
    hold_point="final",
    severity=CORRECTION,
    reference="admin.inspection-order",
    quantity="order of inspections",
    limits=["inspection-order", "inspection-order-code", "inspection-words"],
    measures=["document.kind", "document.covers", "document.date"],
    provisions=["insp-order-local", "insp-frame"],
    remedy=(
        "Ask the official whether the earlier stage must be seen again: work that was approved out of turn may have "
        "been changed since."
    ),
    scope="site",
)
def inspection_order(site: Site, limits: Limits) -> Iterator[Check]:
    """Inspections pass in their order: foundation, rough trades, framing, the pan, final.

    A frame that is approved before the pipes are in may be bored afterwards. What only local cards ask is advice.
    """
    subject = Named("order of inspections", ("documents",) if site.documents is not None else ())
    if site.documents is None:
        answer = not_measured(subject, because="nobody has said which inspections were made", asks=("document.kind",))
        yield replace(answer, severity=ADVISORY)
        return
    records = [one for one in site.documents if one.kind == "inspection" and one.state == "on-site"]
    stages = words_of(limits, "inspection-order")
    placed = [(stage, one) for stage in stages for one in records if _is_about(one, stage, limits)]
    dates = _dated(placed, stages)
    wrong = [(first, second) for first, second in pairwise(dates) if second[1].last < first[1].first]
    expected = f"first {', then '.join(stage.replace('-', ' ') for stage in stages)}"
    unsure = _unsaid(papers(site, "inspection"))
    if wrong:
        (early, one), (late, other) = wrong[0]
        found = f"{late.replace('-', ' ')} on {other}, {early.replace('-', ' ')} only on {one}"
        by_code = {early, late} <= set(words_of(limits, "inspection-order-code"))
        yield fact(subject, False, expected=expected, found=found, severity=None if by_code else ADVISORY)
    elif unsure:
        yield fact(subject, None, expected=expected, asks=unsure)
    elif len({stage for stage, _ in placed}) < 2:
        yield does_not_apply(subject, "fewer than two inspections are on record")
    else:
        words = ", ".join(f"{stage.replace('-', ' ')} {found}" for stage, found in dates)
        yield fact(subject, True, expected=expected, found=words)


def _unsaid(records: tuple[Document, ...]) -> tuple[str, ...]:
    """What is missing to place every inspection in the order."""
    held = [one for one in records if one.state not in ("missing", "applied", "not-needed")]
    given = [
        ("document.kind", all(one.kind is not None for one in held)),
        ("document.state", all(one.state is not None for one in held)),
        ("document.covers", all(one.covers is not None for one in held)),
        ("document.date", all(_date(one) is not None for one in held)),
    ]
    return tuple(field for field, known in given if not known)


def _is_about(one: Document, stage: str, limits: Limits) -> bool:
    return bool(speaks_of(one.covers, words_of(limits, "inspection-words", stage)))


def _date(one: Document) -> Day | None:
    return day(one.date) if one.date is not None else None


def _dated(placed: list[tuple[str, Document]], stages: tuple[str, ...]) -> list[tuple[str, Day]]:
    """The last date of each stage that has one, in the order of the stages."""
    last: dict[str, Day] = {}
    for stage, one in placed:
        found = _date(one)
        if found is not None and (stage not in last or found.last > last[stage].last):
            last[stage] = found
    return [(stage, last[stage]) for stage in stages if stage in last]
