"""Where two lengths of joist meet over a support: laps, splices and their nails."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import SIDE_BY_SIDE, JoistEnd
from inspect_core.site.model import Joint
from inspect_wood_floor._listed import no_joists
from inspect_wood_floor._members import hangs
from inspect_wood_floor._nails import enough_nails


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two lengths of joist that meet over a support; ``joint`` is what the file says of it."""

    subject: Subject
    joint: Joint | None


def _meetings(area: Area) -> Iterator[Meeting]:
    """Every joint that the file describes, and wherever joists from opposite sides lie side by side or end to end."""
    ends_here: dict[str, list[JoistEnd]] = {}
    starts_here: dict[str, list[JoistEnd]] = {}
    for end in area.joist_ends:
        if end.support_id is None or end.on_nothing or hangs(end):
            continue
        if end.which == "over":
            if end.joint is not None:
                yield Meeting(end, end.joint)
        else:
            (starts_here if end.which == "near" else ends_here).setdefault(end.support_id, []).append(end)
    for support_id in {**ends_here, **starts_here}:
        yield from _pairs(support_id, ends_here.get(support_id, []), starts_here.get(support_id, []))


def _pairs(support_id: str, ends: list[JoistEnd], starts: list[JoistEnd]) -> Iterator[Meeting]:
    by_id = {end.joist.id: end for end in starts}
    placed = sorted((e for e in starts if e.joist.place is not None), key=_place)
    places = [_place(end) for end in placed]
    widest = max((_half(end) for end in placed), default=0.0)
    met: set[str] = set()
    for end in ends:
        partner = by_id.get(end.joint.with_ or "") if end.joint is not None else None
        if partner is None:
            partner = _beside(end, placed, places, widest, met)
        if partner is not None:
            met.add(partner.joist.id)
            name = f"joists {end.joist.id} and {partner.joist.id} over {support_id}"
            joint = end.joint if end.joint is not None else partner.joint
            yield Meeting(Named(name, end.path, end.work), joint)
        elif end.joint is not None:
            yield Meeting(end, end.joint)
        elif any(_may_meet(end, start) for start in starts):
            yield Meeting(end, None)
    for end in starts:
        if end.joint is not None and end.joist.id not in met:
            yield Meeting(end, end.joint)


def _place(end: JoistEnd) -> float:
    assert end.joist.place is not None
    return end.joist.place.middle


def _may_meet(end: JoistEnd, other: JoistEnd) -> bool:
    """Whether two joists may touch, as far as their places are known; their middles don't."""
    here, there = end.joist.place, other.joist.place
    if here is None or there is None:
        return True
    apart = abs(here.bounds - there.bounds).low
    return not (here.exact and there.exact) and apart <= _half(end) + _half(other) + SIDE_BY_SIDE


def _beside(
    end: JoistEnd, placed: list[JoistEnd], places: list[float], widest: float, met: set[str]
) -> JoistEnd | None:
    """The nearest joist from the other side that touches this one, or nearly; ``widest`` is half of the widest there
    (in)."""
    if end.joist.place is None:
        return None
    here = _place(end)
    reach = _half(end) + widest + SIDE_BY_SIDE
    near = placed[bisect_left(places, here - reach) : bisect_right(places, here + reach)]
    touching = [
        e for e in near if e.joist.id not in met and abs(_place(e) - here) <= _half(end) + _half(e) + SIDE_BY_SIDE
    ]
    return min(touching, key=lambda e: abs(_place(e) - here), default=None)


def _half(end: JoistEnd) -> float:
    section = end.joist.section
    return section.thickness.high * section.plies / 2 if section.thickness is not None else SIDE_BY_SIDE


def _each_meeting(area: Area, kinds: Sequence[str] | None, judge: Callable[[Meeting], Check]) -> Iterator[Check]:
    """``judge`` for every meeting of one of these kinds (all, with ``None``); what is not described is not measured."""
    what = "joists that meet over a support"
    if nothing := no_joists(area, what):
        yield nothing
        return
    answered = False
    for meeting in _meetings(area):
        kind = meeting.joint.kind if meeting.joint is not None else None
        if kinds is not None and kind is None:
            answered = True
            yield not_measured(
                meeting.subject, asks=("joist.joints",), because="how these joists meet is not described"
            )
        elif kinds is None or kind in kinds:
            answered = True
            yield judge(meeting)
    if not answered:
        where = Named(what, area.path)
        if any(end.support_id is None for end in area.joist_ends):
            because = "nobody has said what carries the joists"
            yield not_measured(where, asks=("joist.from", "joist.to"), because=because)
        else:
            yield does_not_apply(where, "none do" if kinds is None else f"none do by a {' or '.join(kinds)}")


@rule(
    "joist-joint",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-laps",
    quantity="nails through the splice",
    limits=["splice-nails"],
    measures=["joist.joints", "joint.kind", "joint.splice_material", "fasteners.count"],
    provisions=["joist-lap-at-beam", "splice-over-support-only"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Nail a splice of the joist's own depth to both sides across the joint, or lap a new length past the support."
    ),
)
def joist_joint(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists that meet over a support lap, or a splice ties them.

    Ends that only butt pull apart, and one of them walks off the support.
    """

    def judge(meeting: Meeting) -> Check:
        joint, expected = meeting.joint, "the two lengths lap, or a wood or metal splice ties them"
        path = joint.path if joint is not None else None
        if joint is None or joint.kind is None:
            return fact(meeting.subject, None, expected=expected, asks=("joist.joints",), path=path)
        if joint.kind in ("lap", "continuous"):
            return fact(meeting.subject, True, expected=expected, found=_JOINTS[joint.kind], path=path)
        material = joint.splice_material
        if joint.kind == "butt" and (material is None or material.strip().lower() in ("none", "no")):
            return fact(meeting.subject, False, expected=expected, found="they only butt", path=path)
        if material is None:
            return fact(
                meeting.subject, None, expected=expected, found="a splice", asks=("joint.splice_material",), path=path
            )
        tied = enough_nails(meeting.subject, joint.fasteners, limits, "splice-nails", (f"spliced with {material}",))
        return replace(tied, path=path)

    yield from _each_meeting(area, None, judge)


_JOINTS = {"lap": "they lap", "continuous": "one length runs through"}


@rule(
    "joist-lap-length",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-laps",
    quantity="lap",
    limits=["lap"],
    measures=["joint.length"],
    provisions=["joist-lap-at-beam"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Nail a splice of the joist's own depth to both joists across the support.",
)
def joist_lap_length(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists that lap over a support overlap far enough.

    A short lap leaves no room for its nails, and one end may slip off.
    """

    def judge(meeting: Meeting) -> Check:
        assert meeting.joint is not None
        return check(meeting.subject, measured=meeting.joint.length, at_least=limits["lap"], path=meeting.joint.path)

    yield from _each_meeting(area, ("lap",), judge)


@rule(
    "joist-lap-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-laps",
    quantity="nails through the lap",
    limits=["lap-nails"],
    measures=["joint.fasteners", "fasteners.count", "fasteners.name"],
    provisions=["joist-lap-nailing"],
    cautions=["crawl-space"],
    remedy="Face-nail the two joists together with at least three 10d nails.",
)
def joist_lap_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists that lap are nailed together.

    Nails make two ends act as one and keep the frame from spreading.
    """

    def judge(meeting: Meeting) -> Check:
        assert meeting.joint is not None
        return replace(
            enough_nails(meeting.subject, meeting.joint.fasteners, limits, "lap-nails"), path=meeting.joint.path
        )

    yield from _each_meeting(area, ("lap",), judge)
