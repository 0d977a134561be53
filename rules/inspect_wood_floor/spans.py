"""Joists by calculation: bending, shear, deflection, sisters, and how the floor feels."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.engineering import feel
from inspect_core.engineering.lumber import creep_factor
from inspect_core.quantities import Dimension, Quantity, exactly, maximum, minimum
from inspect_core.rules_api import (
    ADVISORY,
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
from inspect_core.site.geometry import carrier_faces
from inspect_core.site.model import Partition
from inspect_core.structure import BASIS_LIMITS, HARD, KIND
from inspect_core.structure.joists import Member
from inspect_core.structure.loads import heaviest
from inspect_core.structure.path import finish_of
from inspect_core.structure.shown import Steps, bending_steps, creep_steps, sag_steps, shear_steps
from inspect_wood_floor._listed import listed_parts, no_joists
from inspect_wood_floor._members import together
from inspect_wood_floor._structure import compared, joists, nothing_carried, one_in, share_of_span, unsolved, where

MEASURES = (
    "joist.size",
    "joist.species",
    "joist.grade",
    "joist.moisture",
    "joist.from",
    "joist.to",
    "joist_group.at",
    "support.at",
    "support.width",
    "area.outline",
    "area.layers",
    "area.fixtures",
    "area.partitions",
)
CUTS = ("joist.holes", "joist.notches", "joist.cuts", "joist.condition", "joist.sisters")
STRONGER = (
    "Carry part of the load elsewhere or make the joist stronger: a full-length sister that bears at both ends, a "
    "joist beside it, or a beam with piers under mid-span. Have a licensed engineer set out the repair before "
    "anything is cut."
)
FIRMER = (
    "Full-depth blocking in a line, glued and screwed panels, sisters or a beam under mid-span make it feel firmer."
)


@rule(
    "joist-bending",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-span",
    quantity="share of the joist's bending strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[*MEASURES, *CUTS],
    provisions=[
        "span-table-other",
        "live-load-general",
        "joist-under-parallel-bearing",
        "alter-5-percent",
        "span-sp2-2x6",
        "span-sp2-2x8",
        "span-sp2-2x10",
        "span-sp2-2x12",
        "span-spf2-2x10-16",
        "span-dfl2-2x8-16",
        "span-dead20-drop",
    ],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=STRONGER,
)
def joist_bending(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist is strong enough in bending for everything that stands on its strip of the floor.

    People, tile and mortar, a full tub and walls all bend it; a notch, a hole, rot or a cut leaves less wood for it.
    """
    if nothing := no_joists(area, "bending of joists"):
        yield nothing
    for subject, member in joists(area, limits):
        yield unsolved(subject, member, "it carries its floor in bending") or _bending(subject, member, limits)


def _bending(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    return compared(
        subject,
        member,
        member.answer.bending,
        limits["strength-ratio"],
        "fb",
        expected="it carries its floor in bending",
        found=where(member, "bending"),
        working=bending_steps(member),
    )


@rule(
    "joist-shear",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-span",
    quantity="share of the joist's shear strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[*MEASURES, *CUTS],
    provisions=["span-table-other", "alter-capacity-cut"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=(
        "A notched or rotten end is the usual cause: give the joist a full-length sister that bears at both ends, or "
        "a hanger under sound wood. Have a licensed engineer look at it before the end is loaded again."
    ),
)
def joist_shear(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist is strong enough in shear near its supports, also where it is notched, bored or rotten.

    A joist notched in its lower edge at the end splits along the grain from the notch's corner.
    """
    if nothing := no_joists(area, "shear of joists"):
        yield nothing
    for subject, member in joists(area, limits):
        yield unsolved(subject, member, "it carries its floor in shear") or _shear(subject, member, limits)


def _shear(subject: Subject, member: Member, limits: Limits) -> Check:
    assert member.answer is not None
    if any(member.answer.broken):
        return nothing_carried(subject, member)
    return compared(
        subject,
        member,
        member.answer.shear,
        limits["strength-ratio"],
        "fv",
        expected="it carries its floor in shear",
        found=where(member, "shear"),
        working=shear_steps(member),
    )


@rule(
    "joist-live-deflection",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.deflection",
    quantity="live-load deflection",
    limits=["live-deflection", *BASIS_LIMITS],
    measures=[*MEASURES, "area.finish", "joist.sisters", "joist.cuts", "joist.condition"],
    provisions=[
        "deflection-floor-l360",
        "tile-deflection-ceramic",
        "tile-deflection-stone",
        "deflection-live-only",
        "deflection-cantilever-length",
        "span-spf2-2x8-16",
        "span-hf2-2x8-16",
        "span-sp2-2x6",
        "span-sp2-2x8",
    ],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=(
        "Shorten the span with a beam on piers under it, or stiffen the joists with full-length sisters. Thicker "
        "panels, backer board and mortar do not make joists stiffer. For natural stone have a licensed engineer "
        "confirm the frame."
    ),
)
def joist_live_deflection(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist bends no more under live load than its finish can follow: 1/360 of the span, natural stone 1/720.

    Grout and tile crack where the floor bends more; backer boards and membranes add no stiffness.
    """
    if nothing := no_joists(area, "stiffness of joists"):
        yield nothing
    finish = finish_of(area)
    limit = limits.between("live-deflection", finish, tuple(limits.keys("live-deflection")))
    for subject, member in joists(area, limits):
        yield unsolved(subject, member, "it is stiff enough") or _live(subject, member, limit, finish is None)


def _live(subject: Subject, member: Member, limit: Limit, finish_unknown: bool) -> Check:
    assert member.answer is not None and limit.value is not None
    expected = f"it bends no more than 1/{1 / limit.value.high:.0f} of its span"
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
        expected=expected,
        found=one_in(high),
        working=sag_steps(member, limit.value.low),
        dimension=Dimension.LENGTH,
        also=("area.finish",) if finish_unknown else (),
    )


@rule(
    "joist-creep-deflection",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.creep",
    quantity="deflection in the long run",
    limits=["long-term-deflection", *BASIS_LIMITS],
    measures=[*MEASURES, "joist.sisters", "joist.cuts", "joist.condition"],
    provisions=["common-practice"],
    cautions=["structural-design"],
    remedy=(
        "Keep the floor dry, since wet wood creeps more, and keep heavy mortar beds off it; sisters or a beam under "
        "mid-span put in before the tile is laid stop further sag."
    ),
)
def joist_creep_deflection(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist sags little in the long run, as the weight of tile and mortar makes the wood creep.

    A floor that sagged before it was tiled goes on sagging under the new weight.
    """
    if nothing := no_joists(area, "creep of joists"):
        yield nothing
    limit = limits["long-term-deflection"]
    for subject, member in joists(area, limits):
        yield unsolved(subject, member, "it sags little in the long run") or _creep(subject, member, limit)


def _creep(subject: Subject, member: Member, limit: Limit) -> Check:
    assert member.answer is not None and limit.value is not None
    expected = "it sags little in the long run"
    factors = [creep_factor(wet).value for wet in member.creep_wet]
    found = member.answer.long_term_sag((min(factors), max(factors)))
    if found is None:
        return nothing_carried(subject, member)
    (low, high), sag = found
    return compared(
        subject,
        member,
        (low * sag.span, high * sag.span),
        limit.of(exactly(sag.span, Dimension.LENGTH), share_of_span(limit)),
        "e",
        expected=expected,
        found=one_in(high),
        working=creep_steps(member, limit.value.low),
        dimension=Dimension.LENGTH,
    )


@rule(
    "sister-load-sharing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.sister-strength",
    quantity="share of the sister's fastening in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[
        *("joist.sisters", "sister.fasteners", "fasteners.spacing", "fasteners.rows", "fasteners.name"),
        *("sister.begins", "sister.ends", "sister.bearing", *MEASURES),
    ],
    provisions=["sister-fasteners"],
    cautions=["structural-design", "crawl-space"],
    remedy=(
        "Add nails, structural screws by their maker's chart, or through bolts along the whole sister, in staggered "
        "rows and away from the edges, until they can hand its share of the load over."
    ),
)
def sister_load_sharing(area: Area, limits: Limits) -> Iterator[Check]:
    """A sister is fastened well enough to take its share of the load, by its stiffness beside the joist's.

    The floor lands on the joist; what the sister carries has to go through the fasteners: a wall or a header through
    those beside it, and where the sister stops within the span its whole moment and shear through those at its end.
    """
    if nothing := no_joists(area, "fastening of sisters"):
        yield nothing
    unsaid = [joist for joist in area.joists or () if joist.sisters is None]
    if unsaid:
        yield not_measured(together(unsaid, "sisters"), expected="sisters stand beside them", asks=("joist.sisters",))
    elif area.joists and not any(joist.sisters for joist in area.joists):
        yield does_not_apply(Named("sisters", area.path), "no joist here has a sister")
    for subject, member in joists(area, limits):
        yield from _fastenings(subject, member, limits)


def _fastenings(subject: Subject, member: Member, limits: Limits) -> Iterator[Check]:
    for joined in member.fastenings:
        about = Named(f"{subject.name}, {joined.sister}", joined.path, joined.work)
        if joined.use is None:
            nothing = does_not_apply(about, joined.why) if not joined.asks else None
            yield nothing or not_measured(about, asks=joined.asks, because=joined.why)
        elif joined.use[KIND] > LARGEST:
            yield not_measured(about, asks=("fasteners.length",), because="its fasteners reach no wood that counts")
        else:
            measured = Quantity(joined.use[KIND], min(joined.use[HARD], LARGEST * 2), Dimension.RATIO, member.loose)
            more = "; more fasteners there settle it" if joined.hardest and joined.enough is None else ""
            yield check(
                about,
                measured=measured,
                at_most=limits["strength-ratio"],
                found=joined.hardest + more,
                assuming=member.assumptions,
                asks=(*member.decides, "fasteners.name"),
                working=Steps(lambda joined=joined: joined.working),  # type: ignore[misc]
            )


LARGEST = 1e6


def _felt(area: Area, limits: Limits) -> tuple[list[tuple[Member, tuple[float, float]]], Check | None]:
    """Solved joists with their longest clear spans (kind and hard end), and why others can't be judged, if so."""
    about = Named("floor underfoot", area.path)
    found: list[tuple[Member, tuple[float, float]]] = []
    if nothing := no_joists(area, "floor underfoot"):
        return found, nothing
    why: Check | None = None
    for subject, member in joists(area, limits):
        answer = member.answer
        if answer is not None and answer.hard_sags and not any(answer.broken):
            kind = min(max((s.end - s.start for s in sags if not s.overhang), default=0.0) for sags in answer.kind_sags)
            found.append((member, (kind, max(s.end - s.start for s in answer.hard_sags if not s.overhang))))
        if member.unseen or (not member.outside and (answer is None or not answer.hard_sags or any(answer.broken))):
            why = why or not_measured(
                about,
                asks=member.missing or member.unseen or member.decides or None,
                because=f"{subject.name} is not known well enough to tell",
            )
    if not found and why is None:
        why = does_not_apply(about, "no sawn joists here; what the makers say of theirs decides")
    return found, why


@rule(
    "floor-frequency",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.feel",
    quantity="natural frequency in cycles per second",
    limits=["natural-frequency", *BASIS_LIMITS],
    measures=MEASURES,
    provisions=["freq-min"],
    cautions=["structural-design"],
    remedy=FIRMER,
)
def floor_frequency(area: Area, limits: Limits) -> Iterator[Check]:
    """The slowest joist with what lies on it swings fast enough to feel firm underfoot: 8 cycles per second or more.

    Comfort only. The frequency is that of the longest span alone, simply supported, under its dead load.
    """
    found, why = _felt(area, limits)
    slowest = min(((_frequency(m, spans), m) for m, spans in found), key=lambda pair: pair[0][HARD], default=None)
    limit = limits["natural-frequency", "firm"]
    if slowest is None or limit.value is None:
        if why is not None:
            yield why
        return
    (high, low), member = slowest
    if why is not None and high >= limit.value.low:
        yield why
        return
    yield check(
        Named("floor underfoot", area.path),
        measured=Quantity(min(low, high), high, Dimension.COUNT, member.loose),
        at_least=limit,
        found=f"slowest at joist {member.id}",
        assuming=(*member.assumptions, ALONE),
        asks=member.decides or None,
    )


ALONE = "one joist alone, without sisters, blocking or its neighbours"


def _frequency(member: Member, spans: tuple[float, float]) -> tuple[float, float]:
    """Natural frequency at the kind and at the hard end."""
    own = member.pieces[0]
    found = []
    for end in (KIND, HARD):
        dead = heaviest([load for load in member.loads if load.nature == "dead"], end)
        ei = own.wood.e[end] * own.section(end).inertia
        found.append(feel.natural_frequency_hz(ei, spans[end], max(dead, LEAST_WEIGHT)))
    return found[KIND], found[HARD]


LEAST_WEIGHT = 1e-3  # lb/in: a joist weighs something


@rule(
    "floor-point-load",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.feel",
    quantity="deflection under one person",
    limits=["point-load-deflection", "point-load-share", *BASIS_LIMITS],
    measures=MEASURES,
    provisions=["point-load-deflection"],
    cautions=["structural-design"],
    remedy=FIRMER,
)
def floor_point_load(area: Area, limits: Limits) -> Iterator[Check]:
    """A person in mid-span of the softest joist makes it give no more than comfort allows: 2 mm, less on long spans.

    Comfort only, by the criterion of the Canadian code; the joists beside it take part of the load.
    """
    found, why = _felt(area, limits)
    share = limits["point-load-share"].value
    assert share is not None
    softest = max(((_point_load(m, spans, share), m) for m, spans in found), key=lambda p: p[0][2], default=None)
    limit = limits["point-load-deflection"]
    if softest is None or limit.value is None:
        if why is not None:
            yield why
        return
    (low, high, _, criterion, steps), member = softest
    about = Named("floor underfoot", area.path)
    at_most = limit.derived(limit.value * criterion, "for this span")
    if why is not None and at_most.value is not None and low <= at_most.value.high:
        yield why
        return
    yield check(
        about,
        measured=Quantity(low, high, Dimension.LENGTH, member.loose),
        at_most=at_most,
        found=f"softest at joist {member.id}",
        assuming=(*member.assumptions, ALONE),
        asks=member.decides or None,
        working=steps,
    )


def _point_load(
    member: Member, spans: tuple[float, float], share: Quantity
) -> tuple[float, float, float, float, Steps]:
    """Deflection at both ends, at the hard end also over its limit; that limit as a share of the short-span one."""
    own = member.pieces[0]
    felt = [
        feel.point_load_feel(own.wood.e[end] * own.section(end).inertia, spans[end], share=share.high)
        for end in (KIND, HARD)
    ]
    criterion = felt[HARD].limit_in / feel.canadian_limit_in(1.0)
    worst = felt[HARD]
    return (
        felt[KIND].deflection_in,
        worst.deflection_in,
        worst.deflection_in / worst.limit_in,
        criterion,
        Steps(lambda: worst.working),
    )


@rule(
    "bearing-partition-offset",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.bearing-partitions",
    quantity="offset of the bearing partition from the support below",
    limits=["bearing-offset"],
    measures=["partition.at", "partition.runs", "partition.bearing", "partition.carries", "support.at", "joist.size"],
    provisions=["bearing-offset"],
    cautions=["temporary-shoring", "structural-design"],
    remedy=(
        "Put a beam on footings under the wall, or have a licensed engineer size the joists for what it carries. "
        "Nothing is to be taken away under a bearing wall before it is carried otherwise."
    ),
)
def bearing_partition_offset(area: Area, limits: Limits) -> Iterator[Check]:
    """A bearing partition across the joists stands within one joist depth of the support below it.

    Farther off, its load bends joists that were chosen for people and furniture only.
    """
    because = "not said whether walls stand on this floor"
    yield from listed_parts(area, "partitions", "partitions", because=because, none="no walls stand on this floor")
    depths = [joist.section.depth for joist in area.joists or ()]
    known = [depth for depth in depths if depth is not None]
    least = minimum(*known) if known and len(known) == len(depths) else None
    for partition in area.partitions or ():
        yield _offset(area, partition, limits["bearing-offset"].of(least, "one joist depth"))


def _offset(area: Area, partition: Partition, limit: Limit) -> Check:
    about = named(partition)
    if partition.bearing is False:
        return does_not_apply(about, "it carries nothing")
    if partition.runs == "along-joists":
        return does_not_apply(about, "it runs with the joists; what it carries is theirs to bear")
    if partition.carries is not None:
        return does_not_apply(about, "its load is stated and worked out with the joists")
    if partition.bearing is None or partition.runs is None:
        asks = ("partition.bearing",) if partition.bearing is None else ("partition.runs",)
        return not_measured(about, expected="it stands over a support, if it is a bearing wall", asks=asks)
    faces = [carrier_faces(support) for support in area.supports or ()]
    place = partition.at
    offsets = [_from_faces(place, both) for both in faces if both is not None] if place is not None else []
    unknown = tuple(name for name, value in (("partition.at", place), ("joist.size", limit.value)) if value is None)
    return check(
        about,
        measured=minimum(*offsets) if offsets and None not in faces else None,
        at_most=limit,
        asks=unknown or ("support.at", "area.supports"),
    )


def _from_faces(place: Quantity, faces: tuple[Quantity, Quantity]) -> Quantity:
    """How far a wall stands from the nearer face of a support; nothing when it stands over it."""
    near, far = faces[0] - place, place - faces[1]
    return maximum(near, far, exactly(0.0, Dimension.LENGTH))
