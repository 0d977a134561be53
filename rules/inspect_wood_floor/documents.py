"""Papers: the permit and its life, plans, makers' instructions, licenses, an engineer's letter, test records."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from inspect_core.quantities import Dimension, Quantity
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    Check,
    Day,
    Limits,
    Named,
    check,
    day,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Document, Part, Pier, Support
from inspect_wood_floor._work_papers import (
    CHANGED,
    Job,
    about,
    everything,
    evidence_of,
    frame,
    listed,
    names_id,
    nothing_changed,
    paper,
    papers,
    pipes,
    speaks_of,
    unlisted_papers,
    words_of,
)

SIGNS_OF_LIFE = ("permit", "inspection", "test-record", "notice")
BEAM = ("beam", None)


def _documents(name: str, site: Site) -> Named:
    return Named(name, ("documents",) if site.documents is not None else ())


@rule(
    "building-permit",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.permit",
    quantity="permit",
    measures=["document.kind", "document.state", "site.work", "site.stage"],
    provisions=["permit-trigger", "permit-exempt-tile", "permit-not-ordinary-repair", "permit-on-site"],
    remedy=(
        "Stop before anything is covered and ask the building office for a permit; work done without one may have to "
        "be opened again. Keep it, or a copy, where the work is."
    ),
    scope="site",
)
def permit(site: Site, limits: Limits) -> Iterator[Check]:
    """Work on structure or plumbing has a permit, and the permit or a copy is on site.

    Tile, paint and cabinets alone need none, and that is no leave to break the code. Cutting a beam or a support, or
    moving a drain, never counts as ordinary repair. Some places exempt more: ask the building office.
    """
    subject = _documents("permit", site)
    job = everything(site)
    found = [(one, True) for one in papers(site, "permit")]
    if not job.touched and not any(one.kind for one, _ in found):
        what = "structure or plumbing"
        if site.house.stage == "built" and job.touched is False:
            yield does_not_apply(subject, f"the work touches no {what}; finish alone needs no permit in most places")
        else:
            yield nothing_changed(subject, job, site, what)
        return
    expected = "a permit is on site"
    if site.documents is None:
        yield unlisted_papers(subject, f"{expected} for {listed(job.changed)}")
        return
    yield paper(subject, found, expected=expected, none_listed=False, waivable=False)


@rule(
    "permit-alive",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.permit-life",
    quantity="longest time without a sign of work",
    limits=["permit-life"],
    measures=["document.date", "place.permit_date", "evidence.date", "site.date", "site.stage"],
    provisions=["permit-expire"],
    remedy="Ask the building office in writing for an extension before you go on; a permit that ran out is no permit.",
    scope="site",
)
def permit_alive(site: Site, limits: Limits) -> Iterator[Check]:
    """Work starts within 180 days of the permit, and never rests longer.

    The file's dates show it: the permit's, those of inspections, tests and photos, and the survey's. Too long a gap
    between them is no proof, for work may have gone on unseen: then somebody has to say so.
    """
    subject = _documents("life of the permit", site)
    permits = [one for one in site.documents or () if one.kind == "permit"]
    place = site.place.permit_date if site.place is not None else None
    if site.documents is not None and not permits and place is None:
        yield does_not_apply(subject, "no permit is listed; judged by building-permit")
        return
    issued = [found for text in (*(one.date for one in permits), place) if (found := _day(text)) is not None]
    survey = _day(site.house.date)
    if not issued or survey is None:
        fields = [] if issued else ["document.date"]
        fields += [] if survey is not None else ["site.date"]
        because = "the dates of the permit, of the work and of the survey tell whether it still lives"
        yield replace(not_measured(subject, because=because, asks=tuple(fields)), severity=ADVISORY)
        return
    begins = max(issued, key=lambda found: found.last)
    signs = [_day(one.date) for one in site.evidence or ()]
    signs += [_day(one.date) for one in site.documents or () if one.kind in SIGNS_OF_LIFE]
    dates = sorted([begins, survey, *_between(signs, begins, survey)], key=lambda found: (found.first, found.last))
    gaps = [_apart(one, other) for one, other in pairwise(dates)]
    longest = max(gaps, key=lambda gap: gap.high)
    answer = check(subject, measured=longest, at_most=limits["permit-life"], found=f"permit of {begins}")
    if answer.outcome == FALLS_SHORT and not (site.house.stage in ("found", "planned") and len(dates) == 2):
        expected = (
            f"work went on in the longest gap between the dates of the file, or the permit of {begins} was extended"
        )
        answer = fact(subject, None, expected=expected, asks=("evidence.date", "document.date"), severity=ADVISORY)
    yield answer


def _day(text: str | None) -> Day | None:
    return day(text) if text is not None else None


def _between(found: list[Day | None], first: Day, last: Day) -> list[Day]:
    inside = (one for one in found if one is not None and first.first <= one.first and one.last <= last.last)
    return [one for one in inside if one != first]


def _apart(one: Day, other: Day) -> Quantity:
    """Least and most time between two dates, in minutes as every duration."""
    least, most = one.until(other)
    return Quantity(least * 1440.0, most * 1440.0, Dimension.DURATION)


@rule(
    "approved-plans",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="admin.approved-plans",
    quantity="approved plans",
    measures=["document.kind", "document.state"],
    provisions=["docs-approved"],
    remedy=(
        "Fetch the stamped set from the building office and keep it where the work is. Where the office asked for no "
        "drawings, list them as not-needed."
    ),
    scope="site",
)
def approved_plans(site: Site, limits: Limits) -> Iterator[Check]:
    """The plans that the official approved are kept on site.

    The inspector compares the work with them. The official may ask for none where the work is small.
    """
    subject = _documents("approved plans", site)
    job = everything(site)
    if not job.touched:
        yield nothing_changed(subject, job, site, "structure or plumbing")
    elif site.documents is None:
        yield unlisted_papers(subject, "the approved plans are on site")
    else:
        found = [(one, True) for one in papers(site, "approved-plans")]
        yield paper(subject, found, expected="the approved plans are on site, or none are asked for", none_listed=False)


@rule(
    "maker-instructions",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="admin.maker-instructions",
    quantity="maker's instructions",
    limits=["instruction-words"],
    measures=["document.kind", "document.state", "document.covers"],
    provisions=["docs-mfr"],
    remedy="Print the maker's sheet for what was bought and keep it at hand: the inspector reads the work against it.",
    scope="site",
)
def maker_instructions(site: Site, limits: Limits) -> Iterator[Check]:
    """The maker's instructions for hangers, backer, membranes and liners are on site when the inspector comes.

    What is sold as a system is approved as its maker says to build it, and by nothing else.
    """
    nothing = True
    for key in limits.keys("instruction-words"):
        used = [(area, part) for area in site.areas for part in _products(area, key)]
        if not used:
            continue
        nothing = False
        subject = Named(f"instructions for {key.replace('-', ' ')}", used[0][1].path)
        expected = f"the maker's instructions for {listed(used)} are on site"
        if site.documents is None:
            yield unlisted_papers(subject, expected)
            continue
        words = words_of(limits, "instruction-words", key)
        ids = {getattr(part, "id", "") for _, part in used}
        sheets = papers(site, "maker-instructions")
        all_named = all(any(one.state == "on-site" and names_id(one.covers, id_) for one in sheets) for id_ in ids)
        found = [(one, _covers(one, ids, words, all_named=all_named)) for one in sheets]
        sure = key in ("hangers", "liner") or any(getattr(part, "work", None) in CHANGED for _, part in used)
        yield paper(subject, found, expected=expected, none_listed=False if sure else None)
    if nothing:
        subject = _documents("maker's instructions", site)
        layers = [area.layers for area in site.areas]
        unsaid = any(found is None or any(layer.kind is None for layer in found) for found in layers)
        hung = [hanger for area in site.areas for joist in area.joists or () for hanger in joist.hung.values()]
        unsaid |= any(hanger.by is None for hanger in hung)
        if unsaid or any(area.joists is None or area.wet_areas is None for area in site.areas):
            because = "not known whether hangers, backer, a membrane or a liner are used"
            yield not_measured(subject, because=because, asks=("area.layers", "joist.hung", "area.wet_areas"))
        else:
            yield does_not_apply(subject, "no new backer, membrane or liner, and no hanger, is listed")


def _products(area: Area, key: str) -> Iterator[Part]:
    """What is in the floor of one kind of product that its maker gives instructions for, old layers left out."""
    if key == "hangers":
        yield from (j for j in area.joists or () if any(h.by in ("hanger", "framing-anchor") for h in j.hung.values()))
    elif key == "liner":
        yield from (w for w in area.wet_areas or () if w.liner is not None and w.work in CHANGED)
    else:
        yield from (layer for layer in area.layers or () if layer.kind == key and layer.work != "existing")


@rule(
    "licensed-trade",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="admin.licensed-trade",
    quantity="license",
    limits=["license-words"],
    measures=["document.kind", "document.state", "document.covers", "drain.work"],
    provisions=["license-trade"],
    remedy=(
        "Ask the building office who may do plumbing here. Some states let an owner do it in their own home under a "
        "permit; otherwise it is a licensed plumber's work. Write the answer down as a paper of kind license."
    ),
    scope="site",
)
def licensed_trade(site: Site, limits: Limits) -> Iterator[Check]:
    """New or altered plumbing is done by a licensed trade, or by an owner whom the state exempts.

    State law decides, not the building code, and the exemptions differ: ask before the first cut.
    """
    subject = _documents("plumbing by a licensed trade", site)
    job = pipes(site)
    if not job.touched:
        yield nothing_changed(subject, job, site, "plumbing")
        return
    expected = "a licensed plumber does it, or the state's exemption for owners is confirmed"
    if site.documents is None:
        yield unlisted_papers(subject, expected)
        return
    words = words_of(limits, "license-words")
    found = [(one, speaks_of(one.covers, words)) for one in papers(site, "license")]
    yield paper(subject, found, expected=expected, none_listed=None)


@rule(
    "repair-letter",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="admin.repair-letter",
    quantity="engineer's letter",
    limits=["letter-words"],
    measures=["document.kind", "document.state", "document.covers", "site.work"],
    provisions=["engineer-letter"],
    cautions=["licensed-engineer"],
    remedy=(
        "Have a licensed engineer look at it before it is covered, and list the letter with the ids of what it covers: "
        "many building offices ask for one, and a letter after the fact costs more."
    ),
    scope="site",
)
def repair_letter(site: Site, limits: Limits) -> Iterator[Check]:
    """Work on piers and beams, jacking, and repairs of cut joists have an engineer's letter.

    The code names no letter; building offices often ask for one, for these are the places where a floor falls.
    """
    job = frame(site)
    wanted = [*_structural_repairs(site)]
    if not wanted:
        subject = _documents("engineer's letter", site)
        if job.touched is not True:
            yield nothing_changed(subject, job, site, "piers, beams or cut joists")
        elif asks := _unsaid_repairs(site, job):
            because = "not known whether the work touches piers, beams or cut joists, or jacks anything"
            yield not_measured(subject, because=because, asks=asks)
        else:
            yield does_not_apply(
                subject, "no pier or beam is altered or new, nothing is jacked, no cut joist is mended"
            )
        return
    for subject, part_id, key in wanted:
        expected = "an engineer's letter covers it, where the building office asks for one"
        if site.documents is None:
            yield unlisted_papers(subject, expected)
            continue
        words = words_of(limits, "letter-words", key)
        found = [(one, _covers(one, [part_id], words)) for one in papers(site, "engineer-letter")]
        yield paper(subject, found, expected=expected, none_listed=None)


def _covers(one: Document, ids: Iterable[str], words: tuple[str, ...], *, all_named: bool = True) -> bool | None:
    """Whether a paper names one of these ids or words. Where some ids stand in no paper (``all_named`` is false), one
    that names another id leaves them open."""
    speaks = speaks_of(one.covers, words)
    if not speaks and any(names_id(one.covers, part_id) for part_id in ids if part_id):
        return True if all_named else None
    return speaks


def _unsaid_repairs(site: Site, job: Job) -> tuple[str, ...]:
    """What would tell whether there is such a repair, where none is listed."""
    props, joists = site.temporary_supports, [joist for area in site.areas for joist in area.joists or ()]
    changed = [part for _, part in job.changed]
    asks = {
        "area.joists": "joists" in job.unlisted,
        "area.supports": "supports" in job.unlisted,
        "area.piers": "piers" in job.unlisted,
        "site.work": any(isinstance(p, Pier) or (isinstance(p, Support) and p.line in BEAM) for p in job.unsaid),
        "support.line": any(isinstance(part, Support) and part.line is None for part in changed),
        "joist.cuts": any(joist.cuts is None for joist in joists),
        "temporary_support.kind": props is None or any(prop.kind is None for prop in props),
    }
    return tuple(field for field, unknown in asks.items() if unknown)


def _structural_repairs(site: Site) -> Iterator[tuple[Named, str, str]]:
    """What a letter is often asked for: the subject, its id, and the words by which a letter may name it."""
    for area, part in frame(site).changed:
        if isinstance(part, Pier):
            yield about(site, area, part), part.id, "pier"
        elif isinstance(part, Support) and part.line == "beam":
            yield about(site, area, part), part.id, "beam"
    for area in site.areas:
        for joist in area.joists or ():
            if any(cut.repair is not None for cut in joist.cuts or ()):
                yield about(site, area, joist, "cut mended"), joist.id, "cut-joist"
    for prop in site.temporary_supports or ():
        if prop.kind is not None and "jack" in prop.kind:
            yield Named(f"jacking at {prop.id}", prop.path), prop.id, "jacking"


@rule(
    "drain-test-record",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="admin.drain-test",
    quantity="record of the test",
    limits=["test-words"],
    measures=["drain.tested", "document.kind", "document.covers", "evidence.of"],
    provisions=["insp-test-plumbing"],
    cautions=["test-pressure"],
    remedy=(
        "Fill or charge the drain and keep it so until the inspector has seen it; you bring the gauge, the plugs and "
        "the water. Take a photo of the level or the gauge, and name the drain in it."
    ),
    scope="site",
)
def drain_test_record(site: Site, limits: Limits) -> Iterator[Check]:
    """The test of each new or altered drain can be shown: it stands when the inspector comes, and a record is kept.

    Whoever did the work brings gauge and plugs. Nothing of it may be covered before.
    """
    found = False
    for area, part in pipes(site).changed:
        if part not in (area.drains or ()):
            continue
        found = True
        yield _test_of(site, area, part, limits)
    if not found:
        drains = [drain for area in site.areas for drain in area.drains or ()]
        subject = _documents("drain tests", site)
        if any(area.drains is None for area in site.areas) or any(drain.work is None for drain in drains):
            yield not_measured(subject, because="not known whether a drain is altered or new", asks=("area.drains",))
        else:
            yield does_not_apply(subject, "no drain is altered or new")


def _test_of(site: Site, area: Area, part: Part, limits: Limits) -> Check:
    subject = about(site, area, part)
    expected = "a record or a photo shows the test"
    words = words_of(limits, "test-words")
    drain_id = getattr(part, "id", "")
    if getattr(part, "tested", None) is False:
        return fact(subject, False, expected=expected, found="not tested")
    shown = [one for one in evidence_of(site, part) if speaks_of(one.shows, words)]
    if shown:
        return fact(subject, True, expected=expected, found=f"evidence {shown[0].id}: {shown[0].shows}")
    records = [one for one in site.documents or () if one.kind == "test-record" and one.state == "on-site"]
    covering = [one for one in records if names_id(one.covers, drain_id) or speaks_of(one.covers, ("drain", "dwv"))]
    if covering:
        return fact(subject, True, expected=expected, found=f"paper {covering[0].id}")
    return fact(subject, None, expected=expected, asks=("document.covers", "evidence.of"))
