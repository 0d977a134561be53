"""Beams on posts and piers, by calculation: bending, shear, deflection, and how they press on their posts."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.engineering.lumber import LumberError, bearing_check, constant
from inspect_core.engineering.spans import girder_span, girder_table_covers
from inspect_core.engineering.working import Working
from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limit,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.structure import BASIS_LIMITS, HARD, KIND, Floor
from inspect_core.structure.beams import Stand
from inspect_core.structure.below import stands_of
from inspect_core.structure.joists import Member
from inspect_core.structure.shown import Steps, bending_steps, sag_steps, shear_steps
from inspect_wood_floor._listed import no_supports
from inspect_wood_floor._structure import (
    compared,
    floor,
    nothing_carried,
    one_in,
    recalled_wood,
    resting_on,
    share_of_span,
    unsolved,
    where,
)

MEASURES = (
    "support.size",
    "support.species",
    "support.grade",
    "support.moisture",
    "support.splices",
    "support.rests_on",
    "support.holes",
    "support.notches",
    "support.condition",
    "area.posts",
    "area.piers",
    "post.at",
    "pier.at",
    "joist.from",
    "joist.to",
    "joist_group.at",
    "area.outline",
    "area.layers",
    "area.fixtures",
    "area.partitions",
)
CARRIED = "it carries its floor between its posts"
REMEDY = (
    "Shorten its spans with posts on footings between the old ones, or add plies that run from post to post. Have a "
    "licensed engineer set it out, and carry the floor on temporary supports meanwhile."
)


def girders(area: Area, limits: Limits, what: str) -> Iterator[tuple[Subject, Member] | Check]:
    """Each beam on posts with its solution; a check where nothing can be worked out."""
    if nothing := no_supports(area, what):
        yield nothing
        return
    found: Floor = floor(area, limits)
    spanning = found.girders
    if not spanning:
        yield does_not_apply(Named(what, area.path), "no beam here spans from post to post")
    for support, spans in spanning:
        subject = named(support)
        if spans is None:
            yield not_measured(
                subject, asks=("support.rests_on",), because="not known whether it spans from post to post"
            )
        elif area.joists is None:
            yield not_measured(subject, asks=("area.joists",), because="the joists on it are not described")
        else:
            yield subject, found.girder(support)


@rule(
    "girder-bending",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-span",
    quantity="share of the beam's bending strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=MEASURES,
    provisions=["girder-table-move", "span-table-other", "alter-5-percent"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=REMEDY,
)
def girder_bending(area: Area, limits: Limits) -> Iterator[Check]:
    """Each beam is strong enough in bending for the joists that bear on it, at their real places.

    Found by the wood design rules alone; the code's table for built-up girders reckons plies a little stronger.
    """
    for one in girders(area, limits, "bending of beams"):
        if isinstance(one, Check):
            yield one
            continue
        subject, member = one
        yield unsolved(subject, member, CARRIED) or _bending(subject, member, limits)


def _bending(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    return compared(
        subject,
        member,
        member.answer.bending,
        limits["strength-ratio"],
        "fb",
        expected=CARRIED,
        found="; ".join(filter(None, (where(member, "bending"), _by_the_table(member)))),
        working=bending_steps(member),
    )


def _by_the_table(member: Member) -> str:
    """What the same bending comes to on the basis of the code's table for built-up girders, where that covers it."""
    answer = member.answer
    if answer is None or answer.bending_at is None or member.plies < 2:
        return ""
    use = answer.bending_at.solved.bending
    made = answer.bending_at.bending[use.length.name]
    section = made.piece.section(HARD)
    if made.modulus <= 0:
        return ""
    try:
        ply = section.breadth_in / member.plies
        woods = [one.reference for one in made.piece.wood.candidates]
        if not all(girder_table_covers(wood, ply, section.depth_in) for wood in woods):
            return ""
        table = girder_span("code-table", member.plies, ply, section.depth_in, 1.0)
    except LumberError:
        return ""
    share = use.demand / made.modulus / table.strength.fb
    return f"{share:.2f} on the basis of the code's girder table"


@rule(
    "girder-shear",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-span",
    quantity="share of the beam's shear strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=MEASURES,
    provisions=["girder-table-move", "span-table-other"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=REMEDY,
)
def girder_shear(area: Area, limits: Limits) -> Iterator[Check]:
    """Each beam is strong enough in shear, reckoned at its own depth from the posts.

    Load closer to a post than the beam is deep goes straight into the post, as long as the beam sits on it.
    """
    for one in girders(area, limits, "shear of beams"):
        if isinstance(one, Check):
            yield one
            continue
        subject, member = one
        yield unsolved(subject, member, CARRIED) or _shear(subject, member, limits)


def _shear(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    if member.answer.broken[KIND]:
        return nothing_carried(subject, member)
    return compared(
        subject,
        member,
        member.answer.shear,
        limits["strength-ratio"],
        "fv",
        expected=CARRIED,
        found=where(member, "shear"),
        working=shear_steps(member),
    )


@rule(
    "girder-deflection",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.deflection",
    quantity="live-load deflection",
    limits=["girder-live-deflection", *BASIS_LIMITS],
    measures=MEASURES,
    provisions=["deflection-floor-l360", "deflection-live-only", "deflection-cantilever-length"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=REMEDY,
)
def girder_deflection(area: Area, limits: Limits) -> Iterator[Check]:
    """Each beam bends no more under live load than 1/360 of its span.

    What the beam gives, the joists on it give as well, and the tile over them cracks along it.
    """
    limit = limits["girder-live-deflection"]
    for one in girders(area, limits, "stiffness of beams"):
        if isinstance(one, Check):
            yield one
            continue
        subject, member = one
        yield unsolved(subject, member, "it is stiff enough") or _deflection(subject, member, limit)


def _deflection(subject: Subject, member: Member, limit: Limit) -> Check:
    assert member.answer is not None and limit.value is not None
    found = member.answer.live_sag()
    if found is None:
        return nothing_carried(subject, member)
    (low, high), sag = found
    return compared(
        subject,
        member,
        (low * sag.span, high * sag.span),
        limit.of(exactly(sag.span, Dimension.LENGTH), share_of_span(limit)),
        "e",
        expected="it is stiff enough",
        found=one_in(high),
        working=sag_steps(member, limit.value.low),
        dimension=Dimension.LENGTH,
    )


@rule(
    "girder-bearing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-bearing",
    quantity="share of the beam's strength across the grain in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=["pier.width", "post.size", *MEASURES],
    provisions=["bearing-wood-metal", "bearing-masonry"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=(
        "Give the beam a longer seat: a wider post, a steel bearing plate that is wide enough, or a wider cap on the "
        "pier. Take the load off it on temporary supports first; a licensed engineer sizes the seat."
    ),
)
def girder_bearing(area: Area, limits: Limits) -> Iterator[Check]:
    """Each beam has enough wood on each of its posts and piers not to be crushed across the grain.

    A crushed beam sinks, and the floor over it dips.
    """
    for one in girders(area, limits, "beams on their posts"):
        if isinstance(one, Check):
            yield one
            continue
        subject, member = one
        if nothing := unsolved(subject, member, "it is not crushed on its posts"):
            yield nothing
            continue
        for stand, outer in stands_of(floor(area, limits), member):
            yield _seat(subject, member, stand, outer, limits)


def _seat(subject: Subject, member: Member, stand: Stand, outer: bool, limits: Limits) -> Check:
    about = Named(f"{subject.name} on {stand.id}", stand.part.path, getattr(subject, "work", None))
    reaction = member.arriving.get(stand.id)
    if stand.half.high <= 0:
        asks = ("pier.width",) if hasattr(stand.part, "cap") else ("post.size",)
        return not_measured(about, expected="its seat is long enough", asks=asks)
    if reaction is None:
        return not_measured(about, expected="its seat is long enough", asks=member.missing or None)
    ends = [_crushing(member, stand, reaction.total[end], outer, end) for end in (KIND, HARD)]
    if member.unseen and ends[KIND][0] <= 1:
        return not_measured(about, asks=member.unseen, because=f"{ends[HARD][0]:.0%} in use as far as is known")
    recalled = recalled_wood(member.pieces[0].wood, "fc_perp") if ends[KIND][0] > 1 else ()
    limit, said = resting_on(limits["strength-ratio"], recalled)
    return check(
        about,
        measured=Quantity(ends[KIND][0], max(ends[HARD][0], ends[KIND][0]), Dimension.RATIO, member.loose),
        at_most=limit,
        assuming=(*member.assumptions, *said),
        asks=member.decides or None,
        working=Steps(lambda: ends[HARD][1]),
    )


def _crushing(member: Member, stand: Stand, load: float, outer: bool, end: int) -> tuple[float, Working]:
    """Share of the strength across the grain that a reaction uses on the length of a post or pier."""
    own = member.pieces[0]
    half = stand.half.low if end == HARD else stand.half.high
    from_end = 0.0 if outer else constant("cb_end_distance_min").value
    found = bearing_check(max(load, 0.0), 2 * half, own.breadth[end], own.wood.fc_perp[end], from_end)
    return found.ratio, (*own.wood.working("fc_perp"), *found.working)
