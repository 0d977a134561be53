"""Notches and bored holes in sawn joists and solid beams: how deep, how long, how large, and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from inspect_core.quantities import Quantity, at_least, at_most, hull, minimum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Hole, Joist, Notch
from inspect_wood_floor._gaps import between_holes, edge_wood, hole_to_notch
from inspect_wood_floor._members import Faces
from inspect_wood_floor._pieces import Piece, each_hole, each_notch, sister_depths

CUT_CAUTIONS = ("temporary-shoring", "crawl-space", "licensed-engineer")
CUT_REMEDY = (
    "Do not fill the cut and call it mended. Run a full-length sister that bears at both ends, or head the joist off "
    "to the joists beside it; a licensed engineer may pass it as it is."
)
DRAIN_REMEDY = (
    f"{CUT_REMEDY} Where a drain needs more room than the joist can give, move the drain or frame an opening."
)


# --- notches ----------------------------------------------------------------------------------------------------------


@rule(
    "notch-depth",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.notches",
    quantity="notch depth",
    limits=["notch-depth", "bearing"],
    measures=["joist.notches", "notch.depth", "joist.size", "notch.at", "notch.end_of"],
    provisions=["notch-depth", "notch-end", "no-weakening", "header-notch-unknown"],
    cautions=CUT_CAUTIONS,
    remedy=CUT_REMEDY,
)
def notch_depth(area: Area, limits: Limits) -> Iterator[Check]:
    """A notch is no deeper than a sixth of the member's depth, a quarter at its very end.

    Bending strength goes with the square of the depth that is left, and wood splits along the grain from the notch.
    """

    def judge(piece: Piece, subject: Named, notch: Notch) -> Check:
        end = piece.at_end(notch)
        key = None if end is None else "end" if end else "elsewhere"
        basis = "1/6 of the depth, 1/4 at the end" if key is None else _SHARES[key]
        limit = limits.between("notch-depth", key, ("end", "elsewhere")).of(piece.depth, basis)
        asks = tuple(
            field
            for field, known in (
                ("notch.depth", notch.depth),
                ("joist.size", piece.depth),
                ("notch.at", None if key is None else key),
            )
            if known is None
        )
        return check(
            subject,
            measured=notch.depth,
            at_most=limit,
            assuming=piece.notes,
            asks=asks or ("joist.depth",),
            path=notch.path,
        )

    yield from each_notch(area, limits, judge)


_SHARES = {"end": "1/4 of the depth, at the end", "elsewhere": "1/6 of the depth"}


@rule(
    "notch-place",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.notches",
    quantity="place of the notch",
    limits=["notch-free-share"],
    measures=["joist.notches", "notch.at", "notch.length", "support.at", "support.width"],
    provisions=["notch-middle-third", "no-weakening"],
    cautions=CUT_CAUTIONS,
    remedy=CUT_REMEDY,
)
def notch_place(area: Area, limits: Limits) -> Iterator[Check]:
    """No notch lies in the middle third of the span.

    There the joist bends most, and needs all of its depth.
    """
    share = limits["notch-free-share"]
    assert share.value is not None
    outer = share.value

    def judge(piece: Piece, subject: Named, notch: Notch) -> Check:
        middle = piece.in_middle(notch, outer)
        found = {True: "in the middle third", False: "outside the middle third", None: ""}[middle]
        return fact(
            subject,
            None if middle is None else not middle,
            expected="the notch lies outside the middle third of the span",
            found="at the end" if notch.end_of is not None else found,
            assuming=() if piece.member.kind is not None else ("taken as sawn lumber",),
            asks=_place_asks(piece, notch),
            limit=share,
            path=notch.path,
        )

    yield from each_notch(area, limits, judge)


def _place_asks(piece: Piece, cut: Notch) -> tuple[str, ...]:
    if cut.at is None:
        return ("notch.at",)
    place = piece.place(cut.from_, cut.at)
    loose = place is not None and (place.is_range or place.estimate)
    if not loose and not piece.spans((place, place)):
        return _span_asks(piece)
    return ("notch.length",) if cut.length is None else ("notch.at", "support.at")


@rule(
    "notch-length",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.notches",
    quantity="notch length",
    limits=["notch-length"],
    measures=["joist.notches", "notch.length", "joist.size"],
    provisions=["notch-length", "no-weakening"],
    cautions=CUT_CAUTIONS,
    remedy=CUT_REMEDY,
)
def notch_length(area: Area, limits: Limits) -> Iterator[Check]:
    """A notch is no longer than a third of the member's depth.

    A third of the depth, not of the joist's length: a long notch leaves a thin joist for all of that length.
    """

    def judge(piece: Piece, subject: Named, notch: Notch) -> Check:
        limit = limits["notch-length"].of(piece.depth, "1/3 of the depth")
        asks = ("notch.length",) if notch.length is None else ("joist.depth",)
        return check(subject, measured=notch.length, at_most=limit, assuming=piece.notes, asks=asks, path=notch.path)

    yield from each_notch(area, limits, judge)


@rule(
    "notch-tension-side",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.notches",
    quantity="side that is notched",
    limits=["tension-notch-thickness", "notch-free-share"],
    measures=["joist.notches", "notch.edge", "joist.size", "notch.end_of"],
    provisions=["notch-tension-4in"],
    cautions=CUT_CAUTIONS,
    remedy=CUT_REMEDY,
)
def notch_tension_side(area: Area, limits: Limits) -> Iterator[Check]:
    """A member 4 in nominal thick or thicker is notched on its tension side at the ends only.

    Thickness, not depth: an ordinary 2 in joist is not meant. The tension side is the bottom between supports, and the
    top near a support that the member passes over.
    """
    thick = limits["tension-notch-thickness"]
    share = limits["notch-free-share"].value
    assert thick.value is not None and share is not None
    least, outer = thick.value, share

    def judge(piece: Piece, subject: Named, notch: Notch) -> Check:
        thickness = piece.member.section.thickness
        caught = at_least(thickness, least) if thickness is not None else None
        if caught is False:
            return does_not_apply(subject, "thinner than 4 in nominal, so either side may be notched")
        end, tension = piece.at_end(notch), _in_tension(piece, notch, outer)
        if tension is False:
            return does_not_apply(subject, "cut from the side in compression")
        asks = tuple(
            field
            for field, known in (
                ("joist.thickness", caught),
                ("notch.edge", notch.edge),
                ("notch.at", end),
                *_beam_fields(piece, tension),
            )
            if known is None
        )
        holds = True if end else False if caught and tension and end is False else None
        return fact(
            subject,
            holds,
            expected="the tension side is whole, except at the ends",
            found="at the end" if end else f"the {notch.edge} is notched" if notch.edge else "",
            assuming=piece.notes,
            asks=asks or ("notch.at",),
            limit=thick,
            path=notch.path,
        )

    yield from each_notch(area, limits, judge)


def _beam_fields(piece: Piece, tension: bool | None) -> tuple[tuple[str, object], ...]:
    """What would say whether a beam passes over a support."""
    if tension is not None or isinstance(piece.member, Joist) or piece.continuous():
        return ()
    area, beam = piece.area, piece.member
    return (("area.posts", area.posts), ("area.piers", area.piers), ("support.rests_on", beam.rests_on))


def _in_tension(piece: Piece, notch: Notch, share: Quantity) -> bool | None:
    """Whether the notched edge is in tension. The bottom always counts as such, to be safe."""
    if notch.edge is None:
        return None
    if notch.edge == "bottom":
        return True
    if piece.continuous() is False:
        return False
    listed = isinstance(piece.member, Joist) or (piece.area.posts is not None and piece.area.piers is not None)
    return False if listed and piece.in_middle(notch, share) else None  # a post that nobody listed may stand there


# --- holes ------------------------------------------------------------------------------------------------------------


@rule(
    "hole-diameter",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.holes",
    quantity="hole diameter",
    limits=["hole-diameter"],
    measures=["joist.holes", "hole.diameter", "joist.size", "sister.size"],
    provisions=[
        "hole-diameter",
        "hole-2x8",
        "hole-2x10",
        "hole-2x12",
        "no-weakening",
        "header-notch-unknown",
        "drain-hits-joist",
    ],
    cautions=CUT_CAUTIONS,
    remedy=DRAIN_REMEDY,
)
def hole_diameter(area: Area, limits: Limits) -> Iterator[Check]:
    """A bored hole is no larger than a third of the member's depth.

    It may lie anywhere along the span, the middle too, as long as the wood above and below it stays.
    """

    def judge(piece: Piece, subject: Named, hole: Hole) -> Check:
        depth, notes = piece.depth, piece.notes
        beside = sister_depths(piece, hole)
        shallower = [other for other in beside if other is not None and depth is not None]
        if depth is not None and any(other.low < depth.low for other in shallower):
            # The hole may go through the sister as well: then the shallower of the two sets its size.
            depth = hull(depth, *(minimum(depth, other) for other in shallower))
            notes = (*notes, "a shallower sister may be bored with the joist")
        limit = limits["hole-diameter"].of(depth, "1/3 of the depth")
        asks = ("hole.diameter",) if hole.diameter is None else ("joist.depth",)
        answer = check(subject, measured=hole.diameter, at_most=limit, assuming=notes, asks=asks, path=hole.path)
        if answer.outcome == MEETS and None in beside:
            doubt = "a sister whose depth is unknown may be bored with the joist"
            return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("sister.size",))
        return answer

    yield from each_hole(area, limits, judge)


@rule(
    "hole-edge",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.holes",
    quantity="wood between hole and edge",
    limits=["hole-edge"],
    measures=["joist.holes", "hole.wood_above", "hole.wood_below", "hole.diameter", "joist.size"],
    provisions=["hole-edge", "hole-2x6", "no-weakening"],
    cautions=CUT_CAUTIONS,
    remedy=DRAIN_REMEDY,
)
def hole_edge(area: Area, limits: Limits) -> Iterator[Check]:
    """A bored hole leaves wood enough above and below it.

    The edges do the bending. In a 2x6 this limit, not the third of the depth, says how large a hole may be.
    """

    def judge(piece: Piece, subject: Named, hole: Hole) -> Check:
        wood = edge_wood(hole, piece.depth)
        known = (("hole.wood_above", hole.wood_above), ("hole.wood_below", hole.wood_below))
        missing = tuple(field for field, value in known if value is None)
        asks = missing[:1] if len(missing) == 2 and piece.depth is not None and hole.diameter is not None else missing
        return check(
            subject,
            measured=wood,
            at_least=limits["hole-edge"],
            assuming=piece.notes if missing else (),
            asks=asks or ("hole.wood_above", "hole.wood_below"),
            path=hole.path,
        )

    yield from each_hole(area, limits, judge)


@rule(
    "hole-spacing",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.holes",
    quantity="wood between this hole and the next hole or notch",
    limits=["hole-spacing"],
    measures=[
        "joist.holes",
        "joist.notches",
        "hole.at",
        "hole.diameter",
        "hole.wood_above",
        "notch.at",
        "notch.length",
    ],
    provisions=["hole-spacing", "no-weakening"],
    cautions=CUT_CAUTIONS,
    remedy=DRAIN_REMEDY,
)
def hole_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """A bored hole keeps its distance from other holes and from notches.

    Two holes close together act as one long one.
    """

    def judge(piece: Piece, subject: Named, hole: Hole) -> Check:
        holes, notches = piece.member.holes or (), piece.member.notches
        if len(holes) == 1 and notches == ():
            return does_not_apply(subject, "the only hole, and no notch")
        gaps: list[Quantity | None] = [between_holes(piece, hole, other) for other in holes if other is not hole]
        gaps += [hole_to_notch(piece, hole, notch) for notch in notches or ()]
        return _nearest(subject, hole, gaps, notches is None, limits["hole-spacing"], piece.notes)

    yield from each_hole(area, limits, judge)


def _nearest(
    subject: Named, hole: Hole, gaps: Sequence[Quantity | None], unseen: bool, limit: Limit, notes: tuple[str, ...]
) -> Check:
    known = [gap for gap in gaps if gap is not None]
    nearest = minimum(*known) if known else None
    if unseen or len(known) < len(gaps):
        # What is not measured may lie nearer: the known ones can only fail the hole.
        too_near = nearest is not None and limit.value is not None and at_least(nearest, limit.value) is False
        if not too_near:
            asks = (
                ("joist.notches",) if unseen and len(known) == len(gaps) else ("hole.at", "hole.diameter", "notch.at")
            )
            return not_measured(subject, asks=asks, because="not known how far the next hole or notch lies")
    asks = ("hole.wood_above",) if hole.wood_above is None and hole.wood_below is None else ("hole.at",)
    return check(subject, measured=nearest, at_least=limit, assuming=notes, asks=asks, path=hole.path)


@rule(
    "hole-clear-of-bearing",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="floor.holes-practice",
    quantity="distance from the support to the hole",
    limits=["large-hole", "hole-clear-of-bearing"],
    measures=["joist.holes", "hole.at", "hole.diameter", "joist.size", "support.at", "support.width"],
    provisions=["hole-near-end"],
    cautions=CUT_CAUTIONS,
    remedy=(
        "Bore large holes farther out where you still can; no code asks it, and shear is greatest beside the support."
    ),
)
def hole_clear_of_bearing(area: Area, limits: Limits) -> Iterator[Check]:
    """A large hole lies a joist's depth clear of the bearing.

    The code does not ask it. Shear is greatest beside a support, and a large hole there leaves little to carry it.
    """

    def judge(piece: Piece, subject: Named, hole: Hole) -> Check:
        size = limits["large-hole"].of(piece.depth)
        small = None if hole.diameter is None or size.value is None else at_most(hole.diameter, size.value)
        if small:
            return does_not_apply(subject, "a small hole")
        place = piece.place(hole.from_, hole.at)
        faces = piece.spans((place, place))
        if place is None or not faces or hole.diameter is None or piece.depth is None:
            loose = place is None or place.is_range or place.estimate
            asks = ("hole.at", "hole.diameter", "joist.size") if loose or faces else _span_asks(piece)
            return not_measured(subject, asks=asks, because="not known how far from the support the hole lies")
        clear = _from_support(place, faces) - hole.diameter / 2
        limit = limits["hole-clear-of-bearing"].of(piece.depth, "the joist's depth")
        answer = check(subject, measured=clear, at_least=limit, assuming=piece.notes, asks=("hole.at",), path=hole.path)
        if answer.outcome == "falls-short" and small is None:
            return not_measured(
                subject, asks=("hole.diameter", "joist.depth"), because="near the support, if it is large"
            )
        return answer

    yield from each_hole(area, limits, judge)


def _from_support(place: Quantity, faces: Sequence[Faces]) -> Quantity:
    """How far a place lies from the nearer face of its span, wherever in which of these spans it may be."""
    found: list[Quantity] = []
    for number, (near, far) in enumerate(faces):
        low, high = place.low, place.high
        if number > 0:  # before the middle of a support it lies in the span before
            low = max(low, (faces[number - 1][1].low + near.low) / 2)
        if number + 1 < len(faces):
            high = min(high, (far.high + faces[number + 1][0].high) / 2)
        here = Quantity(min(low, high), max(low, high), place.dimension, place.estimate)
        found.append(minimum(here - near, far - here))
    return hull(*found)


def _span_asks(piece: Piece) -> tuple[str, ...]:
    if isinstance(piece.member, Joist):
        return "support.at", "support.width"
    placed = all(stand.at is not None for stand in piece.stands)
    return ("post.size", "pier.width") if piece.stands and placed else ("post.at", "pier.at")
