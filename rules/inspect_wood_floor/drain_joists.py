"""Drains and the joists on their way: the hole that a pipe needs, at what height, and what would pass instead."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from inspect_core.engineering.drainage import nearest_clear
from inspect_core.quantities import at_least, minimum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    Check,
    Limit,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import extent_along
from inspect_core.site.model import Drain, Hole, Joist
from inspect_wood_floor._drain_ways import (
    Passing,
    bore_steps,
    bored,
    may_pass,
    needed_hole,
    passings,
    subject_at,
    top_at,
    ways_out,
)
from inspect_wood_floor._drains import (
    BINDS,
    BORE_CAUTIONS,
    ELSEWHERE,
    Outside,
    each_drain,
    outside_of,
    say_outward,
    slope_of,
)
from inspect_wood_floor._gaps import between_holes, hole_to_notch
from inspect_wood_floor._members import ENGINEERED
from inspect_wood_floor._pieces import Piece

Answer = Callable[[Drain, Passing], Check]


def _each_crossing(area: Area, answer: Answer, *ways: str) -> Iterator[Check]:
    """One answer for each joist that a drain of these ways meets; an unknown way neither passes nor fails."""

    def answers(drain: Drain) -> Iterable[Check]:
        subject, way = named(drain), passings(area, drain)
        if drain.through is not None and drain.through not in ways:
            yield does_not_apply(subject, _OTHER_WAY[drain.through])
            return
        if area.joists is None or way is None:
            asks = tuple(
                field for field, known in (("area.joists", area.joists), ("drain.route", way)) if known is None
            )
            yield not_measured(subject, asks=asks, because="not known which joists are on its way")
            return
        lost = may_pass(area, drain)
        if lost:
            yield not_measured(
                named(drain, "joists of uncertain place"),
                asks=("joist_group.at",),
                because="these joists may be on its way",
            )
        elif not way:
            yield does_not_apply(subject, "it crosses no joist")
        for one in way:
            found = answer(drain, one)
            if drain.through is None and found.outcome in (MEETS, FALLS_SHORT):
                because = "not said whether it goes through the joists or under them"
                found = not_measured(subject_at(drain, one), asks=("drain.through",), because=because)
            yield replace(found, path=drain.path)

    yield from each_drain(area, answers)


_OTHER_WAY = {
    "holes": "it goes through holes: see the hole that it needs",
    "under-joists": "it runs under the joists",
    "between-joists": "it runs between joists",
    "notches": "it lies in notches: see the notches of the joists",
}


def _not_bored(one: Passing, drain: Drain) -> Check | None:
    """Why the limits for sawn joists don't say anything of this crossing; ``None`` where they do."""
    subject = subject_at(drain, one)
    if one.joist.kind in ENGINEERED:
        return does_not_apply(subject, f"{one.joist.kind}: bored by its maker's chart only")
    if any(hole.serves == drain.id and hole.designed for hole in one.joist.holes or ()):
        return does_not_apply(subject, "a maker's chart or a sealed design allows its hole")
    return None


def _asks(drain: Drain, one: Passing, outside: Outside, height: bool) -> tuple[str, ...]:
    fields = [
        ("drain.outside_diameter", outside.diameter),
        ("drain.slope", slope_of(drain)[0]),
        ("joist.size", one.depth if one.thickness is not None else None),
    ]
    if height:
        fields.append(("drain.start_below_joist_top", drain.start_below_joist_top))
    return tuple(field for field, known in fields if known is None)


@rule(
    "drain-hole-size",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="hole that the pipe needs",
    limits=["hole-diameter", "hole-edge", "drain-joist-clearance", "pipe-size-band"],
    measures=["drain.outside_diameter", "drain.size", "drain.material", "drain.route", "drain.slope", "joist.size"],
    provisions=["hole-diameter", "pipe-od-vs-joist", "no-weakening", "drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def drain_hole_size(area: Area, limits: Limits) -> Iterator[Check]:
    """The least hole that lets a drain through a joist is no larger than the joist may have.

    A pipe is wider outside than its name, and one that crosses aslant needs a larger hole yet.
    """
    ways = _WaysOut(area, limits)

    def answer(drain: Drain, one: Passing) -> Check:
        outside, (slope, notes) = outside_of(drain, limits), slope_of(drain)
        hole = needed_hole(one, outside.diameter, slope) if outside.diameter and slope else None
        found = check(
            subject_at(drain, one),
            measured=hole,
            at_most=limits["hole-diameter"].of(one.depth, "1/3 of the depth"),
            assuming=(*one.notes, *outside.notes, *notes),
            asks=_asks(drain, one, outside, height=False) or ("drain.slope",),
            severity=ADVISORY if outside.remembered else None,
        )
        return _not_bored(one, drain) or ways.told(drain, found)

    yield from _each_crossing(area, answer, "holes")


@rule(
    "drain-hole-height",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="wood above and below the pipe's hole",
    limits=["hole-edge", "hole-diameter", "drain-joist-clearance", "pipe-size-band"],
    measures=[
        "drain.start_below_joist_top",
        "drain.slope",
        "drain.route",
        "drain.outside_diameter",
        "drain.size",
        "joist.size",
    ],
    provisions=["hole-edge", "hole-2x6", "no-weakening", "drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def drain_hole_height(area: Area, limits: Limits) -> Iterator[Check]:
    """At every joist on its way a drain lies at a height that leaves wood enough above and below its hole.

    It sinks all the way: what fits at the first joist may come out at the bottom of the fifth.
    """
    ways = _WaysOut(area, limits)

    def answer(drain: Drain, one: Passing) -> Check:
        outside, (slope, notes), start = outside_of(drain, limits), slope_of(drain), drain.start_below_joist_top
        hole, working = None, None
        if outside.diameter is not None and slope is not None and start is not None:
            hole = bored(one, outside.diameter, slope, start)
            working = bore_steps(one, outside.diameter, slope, start)
        found = check(
            subject_at(drain, one),
            measured=minimum(hole.above, hole.below) if hole is not None else None,
            at_least=limits["hole-edge"],
            assuming=(*one.notes, *outside.notes, *notes),
            asks=_asks(drain, one, outside, height=True) or ("drain.start_below_joist_top",),
            severity=ADVISORY if outside.remembered else None,
            working=working,
        )
        return _not_bored(one, drain) or ways.told(drain, found)

    yield from _each_crossing(area, answer, "holes")


class _WaysOut:
    """What would pass, for a drain that doesn't: worked out once for all of its joists."""

    def __init__(self, area: Area, limits: Limits) -> None:
        self.area = area
        self.limits = limits
        self.known: dict[str, tuple[str, str]] = {}

    def told(self, drain: Drain, found: Check) -> Check:
        """The answer; one that falls short says what does pass."""
        if found.outcome != FALLS_SHORT:
            return found
        if drain.id not in self.known:
            way = passings(self.area, drain) or ()
            self.known[drain.id] = ways_out(self.area, drain, way, self.limits)
        brief, sentences = self.known[drain.id]
        return replace(found, found=brief, remedy=f"{sentences} {ELSEWHERE}".strip())


@rule(
    "drain-hole-apart",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="wood between the pipe's hole and the next hole or notch",
    limits=["hole-spacing", "pipe-size-band"],
    measures=["drain.route", "drain.outside_diameter", "joist.holes", "joist.notches", "hole.at", "notch.at"],
    provisions=["hole-spacing", "no-weakening"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def drain_hole_apart(area: Area, limits: Limits) -> Iterator[Check]:
    """Where a drain crosses a joist, its hole keeps its distance from holes and notches that are there already."""
    limit = limits["hole-spacing"]

    def answer(drain: Drain, one: Passing) -> Check:
        subject, joist = subject_at(drain, one), one.joist
        left_out = _not_bored(one, drain)
        if left_out is not None:
            return left_out
        others = [hole for hole in joist.holes or () if hole.serves != drain.id]
        if joist.holes is None or joist.notches is None:
            looked = (("joist.holes", joist.holes), ("joist.notches", joist.notches))
            asks = tuple(field for field, known in looked if known is None)
            return not_measured(subject, asks=asks, because="nobody has looked for holes and notches there")
        if not others and not joist.notches:
            return does_not_apply(subject, "no other hole and no notch in this joist")
        outside, (slope, _), start = outside_of(drain, limits), slope_of(drain), drain.start_below_joist_top
        hole = bored(one, outside.diameter, slope, start) if outside.diameter and slope and start else None
        if hole is None:
            asks = _asks(drain, one, outside, height=True)
            return not_measured(subject, asks=asks or ("drain.slope",), because="not known where its hole comes")
        own = Hole(path=drain.path, at=one.along, diameter=hole.diameter, wood_above=hole.above, wood_below=hole.below)
        piece = Piece(area, joist)
        gaps = [between_holes(piece, own, other) for other in others]
        gaps += [hole_to_notch(piece, own, notch) for notch in joist.notches]
        known = [gap for gap in gaps if gap is not None]
        nearest = minimum(*known) if known else None
        near = nearest is not None and limit.value is not None and at_least(nearest, limit.value) is False
        if len(known) < len(gaps) and not near:
            return not_measured(
                subject, asks=("hole.at", "hole.diameter", "notch.at"), because="not known how far the others lie"
            )
        found = check(subject, measured=nearest, at_least=limit, assuming=one.notes, asks=("hole.at",))
        return _with_place(area, piece, own, others, found, limit) if found.outcome == FALLS_SHORT else found

    yield from _each_crossing(area, answer, "holes")


def _with_place(area: Area, piece: Piece, own: Hole, others: Sequence[Hole], found: Check, limit: Limit) -> Check:
    """A hole too near to another says how far along the joist it is clear, once it is known where all of them are."""
    assert isinstance(piece.member, Joist)
    assert own.at is not None and own.diameter is not None and limit.value is not None
    blocked = []
    for other in others:
        place = piece.place(other.from_, other.at)
        if place is None or other.diameter is None:
            return found
        reach = (own.diameter.high + other.diameter.high) / 2 + limit.value.high
        blocked.append((place.middle - reach, place.middle + reach))
    for notch in piece.member.notches or ():
        first, last = piece.stretch(notch)
        if first is None or last is None:
            return found
        reach = own.diameter.high / 2 + limit.value.high
        blocked.append((first.middle - reach, last.middle + reach))
    extent = extent_along(area, piece.member)
    low, high = extent if extent is not None else (float("-inf"), float("inf"))
    at = own.at.middle
    places = [place for place in nearest_clear(at, blocked, low, high) if place is not None]
    if not places:
        return found
    move = min(places, key=lambda place: abs(place - at)) - at
    word = "higher" if move > 0 else "lower"
    brief = f"clear {say_outward(abs(move), area)} along the joist, towards the {word} readings of the tape"
    return replace(found, found=brief, remedy=f"It is {brief}. {ELSEWHERE}")


@rule(
    "drain-hole-fits",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="hole that is bored for the pipe",
    limits=["pipe-size-band"],
    measures=["joist.holes", "hole.serves", "hole.diameter", "drain.outside_diameter", "drain.slope", "joist.size"],
    provisions=["common-practice"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy="Take up the pipe's way again: a pipe forced through a hole that is too small creaks, and splits the joist.",
)
def drain_hole_fits(area: Area, limits: Limits) -> Iterator[Check]:
    """A hole that was bored for a drain lets the pipe through at its slope."""

    def answer(drain: Drain, one: Passing) -> Check:
        subject = subject_at(drain, one)
        if one.joist.holes is None:
            return not_measured(subject, asks=("joist.holes",), because="nobody has looked for holes there")
        own = [hole for hole in one.joist.holes if hole.serves == drain.id]
        if not own:
            return does_not_apply(subject, "no hole is listed for it here yet")
        outside, (slope, notes) = outside_of(drain, limits), slope_of(drain)
        need = needed_hole(one, outside.diameter, slope) if outside.diameter is not None and slope is not None else None
        sizes = [hole.diameter for hole in own if hole.diameter is not None]
        fits = at_least(minimum(*sizes), need) if sizes and len(sizes) == len(own) and need is not None else None
        return fact(
            subject,
            fits,
            expected="the hole is as wide as the pipe at its slope",
            found="the hole is narrower than the pipe" if fits is False else "",
            assuming=(*one.notes, *outside.notes, *notes),
            asks=("hole.diameter", *_asks(drain, one, outside, height=False)),
        )

    yield from _each_crossing(area, answer, "holes")


@rule(
    "drain-under-joists",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="depth of the pipe's top where it passes the joist",
    limits=["drain-under-joists", "pipe-size-band"],
    measures=["drain.start_below_joist_top", "drain.slope", "drain.route", "joist.size"],
    provisions=["no-weakening", "drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=f"Start the pipe lower, or hang it lower on its whole way. {ELSEWHERE}",
)
def drain_under_joists(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain that runs under the joists lies lower than their bottoms all the way."""

    def answer(drain: Drain, one: Passing) -> Check:
        (slope, notes), start = slope_of(drain), drain.start_below_joist_top
        fields = (
            ("drain.start_below_joist_top", start),
            ("drain.slope", slope),
            ("joist.size", one.depth),
        )
        limit = limits["drain-under-joists"].of(one.depth, "the joist's depth")
        return check(
            subject_at(drain, one),
            measured=top_at(one, slope, start) if slope is not None and start is not None else None,
            at_least=limit,
            assuming=(*one.notes, *notes),
            asks=tuple(field for field, known in fields if known is None) or ("drain.start_below_joist_top",),
        )

    yield from _each_crossing(area, answer, "under-joists")


@rule(
    "drain-between-joists",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="joists on its way",
    measures=["drain.through", "drain.route", "joist_group.at"],
    provisions=["no-weakening", "drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def drain_between_joists(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain that is meant to run between joists meets none on its way."""

    def answer(drain: Drain, one: Passing) -> Check:
        expected = "it runs between joists and meets none"
        return fact(subject_at(drain, one), False, expected=expected, found=f"joist {one.joist.id} is on its way")

    yield from _each_crossing(area, answer, "between-joists")
