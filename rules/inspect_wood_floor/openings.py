"""Openings in the framing: headers and trimmers, by rule and by load."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.quantities import Quantity, at_most, minimum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    Check,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import carrier_faces
from inspect_core.site.model import Header, Joist, Opening
from inspect_core.structure import BASIS_LIMITS, KIND
from inspect_core.structure.beams import bears_on, header_across, trimmers_of
from inspect_core.structure.joists import Member
from inspect_core.structure.shown import bending_steps, shear_steps
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._structure import compared, floor, nothing_carried, unsolved

NOT_FRAMED = ("full-joists", "not-framed")


def _openings(area: Area, what: str) -> Iterator[Check]:
    """The one answer for an area without openings, or of whose openings nothing is said."""
    because = "not said whether there are openings"
    yield from listed_parts(area, "openings", what, because=because, none="no openings here")


def _headers(area: Area, what: str) -> Iterator[tuple[Opening, Header] | Check]:
    yield from _openings(area, what)
    for opening in area.openings or ():
        if opening.headers is None and opening.framed not in NOT_FRAMED:
            yield not_measured(named(opening, what), asks=("opening.headers",), because="its headers are not described")
        elif not opening.headers:
            yield does_not_apply(named(opening, what), "it has no headers")
        for header in opening.headers or ():
            yield opening, header


def _span(opening: Opening, header: Header) -> Quantity | None:
    across = header_across(opening, header)
    return across[1] - across[0] if across is not None else None


@rule(
    "header-doubled",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.openings",
    quantity="span of a single header",
    limits=["single-header-span"],
    measures=["header.across", "header.plies", "header.size", "opening.across", "opening.headers"],
    provisions=["opening-header-single", "opening-doubled", "cut-joist-headoff"],
    cautions=["temporary-shoring", "structural-design"],
    remedy=(
        "Double the header with a second piece of joist size, nailed to the first, and double the trimmers that carry "
        "it; shore the cut joists before the old header is touched."
    ),
)
def header_doubled(area: Area, limits: Limits) -> Iterator[Check]:
    """A header of one piece spans no more than 4 ft; a longer one is doubled.

    The header carries the ends of all joists that were cut for the opening.
    """
    for one in _headers(area, "headers"):
        if isinstance(one, Check):
            yield one
            continue
        opening, header = one
        if header.size is None and header.plies is None:
            yield not_measured(
                named(header), asks=("header.size", "header.plies"), expected="it is doubled where it is long"
            )
        elif header.section.plies > 1:
            yield does_not_apply(named(header), f"it is made of {header.section.plies} pieces")
        else:
            yield check(named(header), measured=_span(opening, header), at_most=limits["single-header-span"],
                        asks=("header.across", "opening.across"))  # fmt: skip


@rule(
    "trimmer-doubled",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.openings",
    quantity="distance of a header from the bearing of a single trimmer",
    limits=["single-trimmer-distance", "single-header-span"],
    measures=["opening.trimmers", "header.along", "header.across", "joist.plies", "joist.sisters"],
    provisions=["opening-trimmer-single", "opening-doubled"],
    cautions=["temporary-shoring", "structural-design"],
    remedy=(
        "Double the joist beside the opening with a full-length piece of its own size, nailed to it and bearing at "
        "both ends, before the opening is loaded."
    ),
)
def trimmer_doubled(area: Area, limits: Limits) -> Iterator[Check]:
    """A single trimmer carries a header only within 3 ft of its bearing, and no header longer than 4 ft.

    A trimmer carries its own floor and half of every joist that was cut.
    """
    for one in _headers(area, "trimmers"):
        if isinstance(one, Check):
            yield one
            continue
        opening, header = one
        for end, joists in zip(("first", "last"), trimmers_of(area, opening, header), strict=True):
            yield _trimmer(area, opening, header, end, joists, limits)


def _trimmer(
    area: Area, opening: Opening, header: Header, end: str, joists: tuple[Joist, ...], limits: Limits
) -> Check:
    about = named(header, f"trimmer at its {end} end")
    if not joists:
        return not_measured(about, expected="a trimmer carries this end", asks=("opening.trimmers", "header.across"))
    if sum(_pieces(joist) for joist in joists) > 1:
        return does_not_apply(about, f"doubled: {', '.join(joist.id for joist in joists)}")
    joist = joists[0]
    if joist.sisters is None:
        return not_measured(about, expected=f"{joist.name} is doubled", asks=("joist.sisters",))
    answer = _single(area, opening, header, about, joist, limits)
    if answer.outcome == FALLS_SHORT and any(sister.full_length is None for sister in joist.sisters):
        return not_measured(about, expected=f"{joist.name} is doubled", asks=("sister.full_length",))
    return answer


def _single(area: Area, opening: Opening, header: Header, about: Named, joist: Joist, limits: Limits) -> Check:
    """Whether a trimmer of one piece may carry this header."""
    longest, span = limits["single-header-span"], _span(opening, header)
    if span is not None and longest.value is not None and span.low > longest.value.high:
        return check(about, measured=span, at_most=longest, found=f"{joist.name} is single")
    answer = check(
        about,
        measured=_from_bearing(area, header, joist),
        at_most=limits["single-trimmer-distance"],
        found=f"{joist.name} is single",
        asks=("header.along", "support.at"),
    )
    short = span is not None and longest.value is not None and at_most(span, longest.value)
    if answer.outcome == MEETS and not short:
        expected = "its header is short enough for a single trimmer"
        return not_measured(about, expected=expected, asks=("header.across",))
    return answer


def _pieces(joist: Joist) -> int:
    return joist.section.plies + sum(1 for sister in joist.sisters or () if sister.full_length)


def _from_bearing(area: Area, header: Header, joist: Joist) -> Quantity | None:
    """Distance of a header's nearer face from the nearer of the trimmer's bearings."""
    faces = carrier_faces(header)
    span = area.span_at(joist, (faces[0] + faces[1]) / 2) if faces is not None else None
    if faces is None or span is None:
        return None
    near, far = faces[0] - span.begins, span.ends - faces[1]
    return minimum(near, far)


@rule(
    "header-bending",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.openings",
    quantity="share of the header's bending strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[
        "header.size",
        "header.species",
        "header.grade",
        "header.moisture",
        "header.across",
        "header.condition",
        "joist.from",
        "joist.to",
        "area.layers",
        "area.fixtures",
        "area.partitions",
    ],
    provisions=["opening-doubled", "opening-2ft-practice"],
    cautions=["temporary-shoring", "structural-design"],
    remedy="Double or deepen the header, or close the opening with full-length joists; shore the cut joists first.",
)
def header_bending(area: Area, limits: Limits) -> Iterator[Check]:
    """Each header is strong enough in bending for the ends of the joists that it carries.

    The code's rule of thumb knows no tub beside the hatch and no mortar bed.
    """
    for one in _by_load(area, limits, "bending of headers"):
        yield one if isinstance(one, Check) else _bending(*one, limits)


@rule(
    "header-shear",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.openings",
    quantity="share of the header's shear strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[
        "header.size",
        "header.species",
        "header.grade",
        "header.moisture",
        "header.across",
        "header.condition",
        "joist.from",
        "joist.to",
        "area.layers",
        "area.fixtures",
        "area.partitions",
    ],
    provisions=["opening-doubled"],
    cautions=["temporary-shoring", "structural-design"],
    remedy="Double or deepen the header, or close the opening with full-length joists; shore the cut joists first.",
)
def header_shear(area: Area, limits: Limits) -> Iterator[Check]:
    """Each header is strong enough in shear for the ends of the joists that it carries.

    A joist hung close to a trimmer loads the header's end rather than its middle.
    """
    for one in _by_load(area, limits, "shear of headers"):
        yield one if isinstance(one, Check) else _shear(*one, limits)


CARRIES = "it carries the joists cut for the opening"


def _by_load(area: Area, limits: Limits, what: str) -> Iterator[tuple[Subject, Member] | Check]:
    for one in _headers(area, what):
        if isinstance(one, Check):
            yield one
            continue
        opening, header = one
        subject = named(header)
        if area.joists is not None and not any(bears_on(joist, header.id) for joist in area.joists):
            yield not_measured(subject, asks=("joist.from", "joist.to"), because="no joist is said to bear on it")
            continue
        member = floor(area, limits).header(opening, header)
        yield unsolved(subject, member, CARRIES) or (subject, member)


def _bending(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    ends, limit = member.answer.bending, limits["strength-ratio"]
    return compared(subject, member, ends, limit, "fb", expected=CARRIES, working=bending_steps(member))


def _shear(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    if member.answer.broken[KIND]:
        return nothing_carried(subject, member)
    ends, limit = member.answer.shear, limits["strength-ratio"]
    return compared(subject, member, ends, limit, "fv", expected=CARRIES, working=shear_steps(member))


@rule(
    "long-header-hung",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.long-headers",
    quantity="what carries a long header",
    limits=["header-hanger-span"],
    measures=["header.hung", "header.across", "opening.across"],
    provisions=["opening-hangers"],
    cautions=["structural-design"],
    remedy="Hang the header's ends on rated hangers, all nail holes filled.",
)
def long_header_hung(area: Area, limits: Limits) -> Iterator[Check]:
    """A header longer than 6 ft hangs on hangers at its trimmers.

    Older editions said so outright; newer ones ask that the connection carries its load, which nails alone seldom do.
    """
    longest = limits["header-hanger-span"]
    for one in _headers(area, "hangers of headers"):
        if isinstance(one, Check):
            yield one
            continue
        opening, header = one
        span = _span(opening, header)
        if span is None or longest.value is None:
            yield not_measured(named(header), expected="it hangs on hangers where it is long", asks=("header.across",))
        elif span.high <= longest.value.low:
            yield does_not_apply(named(header), "shorter than the length from which hangers are asked for")
        else:
            by = header.hung.by if header.hung is not None else None
            sure = span.low > longest.value.high
            holds = True if by == "hanger" else None if by is None or not sure else False
            yield fact(named(header), holds, expected="its ends hang on hangers", found=by or "", limit=longest,
                       asks=("header.hung", "header.across"))  # fmt: skip


@rule(
    "tail-joist-hung",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.long-headers",
    quantity="what carries a long tail joist",
    limits=["tail-joist-length", "tail-joist-carriers"],
    measures=["joist.hung", "hanger.by", "header.along", "support.at"],
    provisions=["tail-joist-support", "opening-2ft-practice"],
    cautions=["structural-design"],
    remedy="Hang the tail joist on a hanger or framing anchor, or on a ledger strip under it, at the header.",
)
def tail_joist_hung(area: Area, limits: Limits) -> Iterator[Check]:
    """A tail joist longer than 12 ft hangs at its header on a hanger, a framing anchor or a ledger strip.

    Older editions said so outright; newer ones ask that the connection carries its load.
    """
    headers = {header.id: header for opening in area.openings or () for header in opening.headers or ()}
    tails = [
        (joist, headers[name]) for joist in area.joists or () for name in (joist.from_, joist.to) if name in headers
    ]
    if area.openings is None:
        yield from _openings(area, "tail joists")
    elif not tails:
        yield does_not_apply(Named("tail joists", area.path), "no joist ends at a header here")
    for joist, header in tails:
        yield _tail(area, joist, header, limits)


def _tail(area: Area, joist: Joist, header: Header, limits: Limits) -> Check:
    about = named(joist, f"tail at {header.id}")
    spans, longest = area.spans(joist), limits["tail-joist-length"].value
    assert longest is not None
    if not spans:
        return not_measured(about, expected="it hangs there if it is long", asks=("header.along", "support.at"))
    clear = spans[-1].ends - spans[0].begins
    if clear.high <= longest.low:
        return does_not_apply(about, "shorter than the length from which a hanger is asked for")
    hung = joist.hung.get(header.id)
    by = hung.by if hung is not None else None
    if clear.low <= longest.high and by not in limits["tail-joist-carriers"].words:
        return not_measured(about, expected="it hangs there if it is long", asks=("header.along", "support.at"))
    return check(about, measured=by, one_of=limits["tail-joist-carriers"], asks=("joist.hung", "hanger.by"))
