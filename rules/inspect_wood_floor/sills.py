"""Sills on masonry, beam ends in masonry pockets, and joints in beams."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from inspect_core.quantities import Quantity, at_least, hull, minimum, render
from inspect_core.rules_api import (
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Limits,
    Named,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Support
from inspect_wood_floor._listed import no_supports
from inspect_wood_floor._members import SURFACES, ZERO, Stand, on_masonry, stands_under


def _lines(area: Area, *lines: str | None) -> Iterator[Support]:
    return (s for s in area.supports or () if s.line in lines)


def _each_sill(area: Area, judge: Callable[[Support], Check]) -> Iterator[Check]:
    what = "sills on masonry"
    if nothing := no_supports(area, what):
        yield nothing
        return
    answered = False
    for support in _lines(area, "sill", None):
        rests = on_masonry(support)
        answered = True
        if support.line is None:
            yield not_measured(named(support), asks=("support.line",), because="not said whether this is a sill")
        elif rests is False:
            yield does_not_apply(named(support), f"it rests on {support.rests_on}, not on masonry")
        elif rests is None:
            yield not_measured(named(support), asks=("support.rests_on",), because="not said what the sill rests on")
        else:
            yield judge(support)
    if not answered:
        yield does_not_apply(Named(what, area.path), "no sill carries these joists")


@rule(
    "sill-thickness",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.sill-on-masonry",
    quantity="sill thickness",
    limits=["sill-thickness"],
    measures=["support.sill_thickness", "support.rests_on"],
    provisions=["bearing-sill-on-masonry"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Put in a treated sill of at least 2 in nominal, one length at a time, with the joists shored.",
)
def sill_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A sill on masonry under joists is at least 2 in nominal thick, as measured where it lies.

    A thinner one bends between the high spots and splits under the joists. Its size is only what it is called: it may
    show that a sill is too thin, never that it is thick enough.
    """

    def judge(sill: Support) -> Check:
        section, thickness = sill.section, sill.sill_thickness
        by_size = None
        if section.thickness is not None and section.depth is not None:
            by_size = minimum(section.thickness, section.depth)
        least = limits["sill-thickness"].derived(limits["sill-thickness"].value, "2 in nominal, dressed")
        if thickness is not None:
            against = by_size is not None and _contradict(thickness, by_size, least)
            found = f"its size says {render(by_size, area.units)}" if by_size is not None and against else ""
            return check(named(sill), measured=thickness, at_least=least, found=found)
        answer = check(named(sill), measured=by_size, at_least=least, assuming=section.assumptions)
        if answer.outcome != MEETS:
            return answer
        asks = ("support.sill_thickness",)
        return replace(answer, outcome=NOT_MEASURED, found="by its size, and nobody measured it", asks=asks)

    yield from _each_sill(area, judge)


def _contradict(one: Quantity, other: Quantity, least: Limit) -> bool:
    """Whether by one reading it is surely enough, and by the other surely not."""
    assert least.value is not None
    return {at_least(one, least.value), at_least(other, least.value)} == {True, False}


@rule(
    "sill-bearing-area",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.sill-on-masonry",
    quantity="sill bearing area",
    limits=["sill-bearing-area"],
    measures=["support.sill_bearing_area", "support.rests_on"],
    provisions=["bearing-sill-on-masonry"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Pack the sill with mortar or steel so that it bears fully, or put a pier or a wider sill under the joist."
    ),
)
def sill_bearing_area(area: Area, limits: Limits) -> Iterator[Check]:
    """A sill bears on masonry over enough area under each joist or girder.

    Masonry crumbles where all the load comes down on an edge.
    """

    def judge(sill: Support) -> Check:
        return check(named(sill), measured=sill.sill_bearing_area, at_least=limits["sill-bearing-area"])

    yield from _each_sill(area, judge)


@rule(
    "beam-pocket-gap",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-pocket",
    quantity="air gap",
    limits=["pocket-gap"],
    measures=["support.pocket_gap", "support.rests_on", "support.treated"],
    provisions=["girder-end-pocket"],
    cautions=["crawl-space"],
    remedy=(
        "Shore the beam, chip the pocket wider so that air reaches the top, the sides and the end, and put a "
        "treated or metal pad under it."
    ),
)
def beam_pocket_gap(area: Area, limits: Limits) -> Iterator[Check]:
    """The end of a wood beam in a masonry pocket keeps an air gap, unless it is treated or durable wood.

    Masonry holds water; wood shut in with it rots where nobody sees it.
    """
    yield from _each_beam(area, "beam ends in masonry", lambda beam: _pocket(beam, limits))


def _pocket(beam: Support, limits: Limits) -> Check:
    subject = named(beam, "ends")
    if beam.treated:
        return does_not_apply(subject, "treated or durable wood")
    if beam.kind == "steel":
        return does_not_apply(subject, "a steel beam")
    if beam.pocket_gap is None and beam.rests_on in ("posts", "piers", "wood", "soil"):
        return does_not_apply(subject, f"it rests on {beam.rests_on}, and no pocket is described")
    asks = ("support.pocket_gap", *(("support.treated",) if beam.treated is None else ()))
    answer = check(subject, measured=beam.pocket_gap, at_least=limits["pocket-gap"], asks=asks, path=beam.path)
    if answer.outcome == FALLS_SHORT and beam.treated is None:
        return not_measured(
            subject, asks=("support.treated",), because="too narrow a gap unless the beam is treated or durable wood"
        )
    return answer


def _each_beam(area: Area, what: str, judge: Callable[[Support], Check | None]) -> Iterator[Check]:
    if nothing := no_supports(area, what):
        yield nothing
        return
    answered = False
    for support in _lines(area, "beam", None):
        answered = True
        if support.line is None:
            yield not_measured(named(support), asks=("support.line",), because="not said whether this is a beam")
        elif answer := judge(support):
            yield answer
    if not answered:
        yield does_not_apply(Named(what, area.path), "no beam carries these joists")


@rule(
    "beam-splices",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-joints",
    quantity="distance from the post's centre",
    limits=["bearing", "beam-splice", "widest-post"],
    measures=["support.splices", "post.at", "post.size", "pier.at", "pier.width"],
    provisions=["girder-joint-over-support", "bearing-wood-metal", "bearing-masonry"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Shore the beam before it is touched. Put a post and footing under the joint, wide enough for both "
        "ends to bear, or have a licensed engineer pass or mend the splice."
    ),
)
def beam_splices(area: Area, limits: Limits) -> Iterator[Check]:
    """Joints in a beam and in its plies stand over posts or piers, with bearing enough for both ends.

    A joint between posts is a hinge: the plies beside it carry what the whole beam should.
    """
    what = "beam joints"
    if nothing := no_supports(area, what):
        yield nothing
        return
    beams = list(_lines(area, "beam", None))
    if not beams:
        yield does_not_apply(Named(what, area.path), "no beam carries these joists")
    stands = stands_under(area)
    for beam in beams:
        if beam.line is None:
            yield not_measured(named(beam), asks=("support.line",), because="not said whether this is a beam")
        elif beam.splices is None:
            yield not_measured(named(beam, "joints"), asks=("support.splices",), because="nobody has looked for joints")
        elif not beam.splices:
            yield does_not_apply(named(beam, "joints"), "no joints: one length throughout")
        else:
            for number, place in enumerate(beam.splices, start=1):
                yield _splice(area, limits, beam, number, place, stands.get(beam.id, []))


def _splice(
    area: Area, limits: Limits, beam: Support, number: int, place: Quantity | None, stands: list[Stand]
) -> Check:
    subject = named(beam, f"joint {number}")
    path = (*beam.path, "splices", number - 1)
    if place is not None and not stands:
        because = "no post or pier is described under this beam"
        asks = (
            "area.posts" if area.posts is None else "post.under",
            "area.piers" if area.piers is None else "pier.under",
        )
        return not_measured(subject, because=because, asks=asks)
    if place is None or any(stand.at is None for stand in stands):
        because = "not known how far the joint lies from a post or pier"
        fields = ("support.splices",) if place is None else ("post.at", "pier.at")
        return not_measured(subject, because=because, asks=fields)
    distances = [(abs(place - stand.at), stand) for stand in stands if stand.at is not None]
    distance, stand = min(distances, key=lambda pair: pair[0].middle)
    width = stand.width if stand.width is not None else hull(ZERO, _whole(limits["widest-post"]))
    need = limits.between("bearing", stand.surface, SURFACES)
    room = width / 2 - _whole(need)
    limit = limits["beam-splice"].derived(room, "half the post or pier, less the bearing that each end needs")
    asks = ("post.size", "pier.width") if stand.width is None else ("post.material", "support.splices")
    return check(subject, measured=distance, at_most=limit, asks=asks, path=path)


def _whole(limit: Limit) -> Quantity:
    assert limit.value is not None
    return limit.value
