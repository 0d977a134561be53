"""Photos of what the next layer hides: connections, blocking, shims, drains, membranes; and when they were taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from inspect_core.rules_api import (
    ADVISORY,
    Check,
    Limits,
    Named,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Joist, Part
from inspect_wood_floor._work_papers import CHANGED, about, covered, evidence_of

HOW = (
    "Take it while it can be seen, with a tape in the picture and the member's id on a strip of paper, and list it "
    "under evidence. It saves a call-back; the inspector may still have the place opened."
)


@dataclass(frozen=True, slots=True)
class Hidden:
    """Something that will be hidden: ``also`` are the parts whose photos show it too."""

    subject: Named
    part: Part
    also: tuple[Part, ...] = ()


def _photos(
    site: Site, wanted: Iterable[Hidden], unlisted: tuple[str, ...], what: str, gone: bool | None
) -> Iterator[Check]:
    """One answer for each thing: a photo is kept, or is still to be taken, or can't be taken any more (``gone``)."""
    nothing = True
    for one in wanted:
        nothing = False
        kept = evidence_of(site, one.part, *one.also)
        expected = "a photo is kept before it is covered"
        if kept:
            words = ", ".join(dict.fromkeys(photo.id for photo in kept))
            yield fact(one.subject, True, expected=expected, found=f"evidence {words}")
        elif site.evidence is None or not gone:
            yield fact(one.subject, None, expected=expected, asks=("evidence.of",))
        else:
            yield fact(one.subject, False, expected=expected, found="covered, and no photo is listed")
    if nothing and unlisted:
        subject = Named(f"photos of {what}", site.areas[0].path)
        yield not_measured(subject, because=f"not known whether the work has {what}", asks=unlisted)
    elif nothing:
        yield does_not_apply(Named(f"photos of {what}", site.areas[0].path), f"the work has no {what}")


def _unlisted(site: Site, *lists: str) -> tuple[str, ...]:
    """Lists that nobody filled in, as fields to look at."""
    return tuple(f"area.{name}" for name in lists if any(getattr(area, name) is None for area in site.areas))


@rule(
    "photo-of-frame",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="admin.photos",
    quantity="photo",
    measures=["evidence.of", "joist.evidence", "site.work"],
    provisions=["insp-photo-practice"],
    cautions=["crawl-space"],
    remedy=HOW,
    scope="site",
)
def photo_of_frame(site: Site, limits: Limits) -> Iterator[Check]:
    """Hangers, sisters, mended cuts, shims, new blocking, posts, piers and footings have a photo before the subfloor.

    Nobody can show afterwards how many nails a hanger has, and an inspector who can't see it may have it opened.
    """
    wanted = [one for area in site.areas for one in _of_frame(site, area)]
    lists = _unlisted(site, "joists", "blocking", "posts", "piers", "footings", "openings")
    yield from _photos(site, wanted, lists, "hidden connections, blocking or piers", covered(site))


def _of_frame(site: Site, area: Area) -> Iterator[Hidden]:
    for joist in area.joists or ():
        yield from _of_joist(site, area, joist)
    for block in area.blocking or ():
        if block.work in CHANGED:
            yield Hidden(about(site, area, block), block)
    for post in area.posts or ():
        if post.work in CHANGED or post.shims not in (None, "none"):
            detail = "shims" if post.shims not in (None, "none") else ""
            yield Hidden(about(site, area, post, detail), post)
    parts: list[Part] = [*(area.supports or ()), *(area.piers or ()), *(area.footings or ()), *(area.openings or ())]
    for part in parts:
        if getattr(part, "work", None) in CHANGED:
            yield Hidden(about(site, area, part), part)


def _of_joist(site: Site, area: Area, joist: Joist) -> Iterator[Hidden]:
    sisters = joist.sisters or ()
    what = [
        word for word, there in (("sister", sisters), ("hanger", _hung(joist)), ("mended cut", _mended(joist))) if there
    ]
    if joist.work in CHANGED or what:
        hung = tuple(joist.hung.values())
        repairs = tuple(cut.repair for cut in joist.cuts or () if cut.repair is not None)
        yield Hidden(
            about(site, area, joist, " and ".join(what)), joist, (*sisters, *hung, *(joist.cuts or ()), *repairs)
        )


def _hung(joist: Joist) -> bool:
    return any(hanger.by not in (None, "nothing") for hanger in joist.hung.values())


def _mended(joist: Joist) -> bool:
    return any(cut.repair is not None for cut in joist.cuts or ())


@rule(
    "photo-of-drains",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="admin.photos",
    quantity="photo",
    measures=["evidence.of", "drain.evidence", "drain.work"],
    provisions=["insp-photo-practice"],
    cautions=["crawl-space"],
    remedy=HOW,
    scope="site",
)
def photo_of_drains(site: Site, limits: Limits) -> Iterator[Check]:
    """Each new or altered drain has a photo, with its slope and its test, before it is covered.

    A picture with a level on the pipe answers most questions about it.
    """
    wanted = [
        Hidden(about(site, area, drain), drain)
        for area in site.areas
        for drain in area.drains or ()
        if drain.work in CHANGED
    ]
    unsaid = any(drain.work is None for area in site.areas for drain in area.drains or ())
    lists = (*_unlisted(site, "drains"), *(("drain.work",) if unsaid else ()))
    yield from _photos(site, wanted, lists, "drains", covered(site))


@rule(
    "photo-of-membrane",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="admin.photos",
    quantity="photo",
    measures=["evidence.of", "wet_area.evidence", "layer.evidence"],
    provisions=["insp-photo-practice"],
    remedy=HOW,
    scope="site",
)
def photo_of_membrane(site: Site, limits: Limits) -> Iterator[Check]:
    """Each new membrane, and each new shower's liner with its water test, has a photo before tile hides it.

    Corners, upturns and the drain are where it leaks, and where nobody can look again.
    """
    wanted = [one for area in site.areas for one in _of_membrane(site, area)]
    yield from _photos(site, wanted, _unlisted(site, "layers", "wet_areas"), "membranes or showers", _tiled_over(site))


def _of_membrane(site: Site, area: Area) -> Iterator[Hidden]:
    for layer in area.layers or ():
        if layer.work in CHANGED and (layer.kind == "membrane" or layer.waterproof):
            subject = about(site, area, layer)
            yield Hidden(subject, layer)
    for wet in area.wet_areas or ():
        if wet.work in CHANGED:
            parts = [part for part in (wet.liner, wet.flood_test) if part is not None]
            yield Hidden(about(site, area, wet), wet, tuple(parts))


def _tiled_over(site: Site) -> bool | None:
    """Whether tile hides the membrane already."""
    if site.house.stage is None:
        return None
    built = site.house.stage == "built"
    return built and any(layer.kind == "tile" for area in site.areas for layer in area.layers or ())


@rule(
    "evidence-dated",
    hold_point="final",
    severity=ADVISORY,
    reference="admin.photos",
    quantity="date of the evidence",
    measures=["evidence.date", "evidence.of"],
    provisions=["insp-photo-practice"],
    remedy="Write the day on which it was taken (year-month-day): the camera's file knows it.",
    scope="site",
)
def evidence_dated(site: Site, limits: Limits) -> Iterator[Check]:
    """Each photo that is kept has a date, and says what it shows.

    A photo without a day does not show that it was taken before the cover went on.
    """
    if site.evidence is None:
        subject = Named("evidence", ())
        yield not_measured(subject, because="nobody has said which photos are kept", asks=("evidence.of",))
        return
    if not site.evidence:
        yield does_not_apply(Named("evidence", ("evidence",)), "no photo is listed")
    for one in site.evidence:
        subject = Named(f"evidence {one.id}", one.path)
        expected = "it has its day and says what it shows"
        says = bool(one.of or one.shows)
        given = (("evidence.date", one.date is not None), ("evidence.shows", says))
        missing = tuple(field for field, known in given if not known)
        yield fact(subject, None if missing else True, expected=expected, asks=missing)
