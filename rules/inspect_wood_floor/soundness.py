"""Rot, splits, insects and fire in joists, beams and sills, and the sisters that mend them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from inspect_core.quantities import Quantity, at_least, at_most, hull, minimum, render
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    NOT_MEASURED,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import JoistEnd
from inspect_core.site.model import Condition, Header, Joist, Sister, Support
from inspect_wood_floor._members import (
    DAMAGE,
    HARMLESS,
    SHAPE,
    ZERO,
    by_word,
    condition_stretch,
    ends_by_joist,
    faces_of,
    full_sister,
    overlaps,
    reaches_middle,
    sister_bearing,
    sister_extent,
    sister_names,
    sister_support,
    span_faces,
    together,
)
from inspect_wood_floor._verdicts import any_of

GOES_ON = ("rot", "insects")  # damage that spreads until its cause is mended
EATEN = ("rot", "insects", "burnt")  # damage that takes wood away


@dataclass(frozen=True, slots=True)
class Damage:
    """One entry of a member's condition, as a finding calls it."""

    member: Joist | Support | Header
    subject: Named
    condition: Condition


def _members(area: Area) -> list[Joist | Support | Header]:
    headers = [header for opening in area.openings or () for header in opening.headers or ()]
    return [*(area.joists or ()), *(area.supports or ()), *headers]


def _entries(members: list[Joist | Support | Header]) -> Iterator[Damage]:
    for member in members:
        entries = member.condition or ()
        for label, one in zip(_labels(entries), entries, strict=True):
            yield Damage(member, named(one, label, within=member), one)


def _labels(entries: tuple[Condition, ...]) -> list[str]:
    """``rot``, ``split``; numbered where a member has more than one entry of a kind."""
    kinds = [entry.kind or "condition" for entry in entries]
    return [
        kind if kinds.count(kind) == 1 else f"{kind} {kinds[: number + 1].count(kind)}"
        for number, kind in enumerate(kinds)
    ]


MEND = (
    "Find and stop the water or the insects first. Shore the member, cut bad wood back to sound wood and {more}, and "
    "sister it past the damage or replace it; for a beam or a sill ask a licensed engineer."
)


@rule(
    "member-sound",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.member-condition",
    quantity="soundness",
    limits=["awl-sinks", "rot-margin"],
    measures=["joist.condition", "support.condition", "condition.kind", "condition.probe", "condition.mended"],
    provisions=["rot-probe", "rot-margin", "repair-uncovered-bad"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer", "cutting-old-wood"],
    remedy=MEND.format(more="a good way more"),
)
def member_sound(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists, beams, sills and headers are sound, or mended past the damage.

    Decayed or split wood carries less than it shows, and decay goes on under a new floor.
    """
    members = _members(area)
    if area.joists is None:
        yield not_measured(Named("members", area.path), asks=("area.joists",), because="no joists are described")
    elif area.supports is None:
        because = "no supports are described"
        yield not_measured(Named("supports, condition", area.path), asks=("area.supports",), because=because)
    elif not members:
        yield does_not_apply(Named("members", area.path), "no joists and no supports are listed in this area")
    for group in by_word(member for member in members if member.condition is None):
        field = "joist.condition" if isinstance(group[0], Joist) else "support.condition"
        yield not_measured(together(group, "condition"), asks=(field,), because="nobody has tapped and probed")
    for member in members:
        if member.condition == ():
            yield fact(together([member], "condition"), True, expected="sound", found="looked at and sound")
    ends = ends_by_joist(area) if any(member.condition for member in members) else {}
    for damage in _entries(members):
        found = _sound(area, damage, ends, limits)
        more = limits["rot-margin"].value
        if found.outcome == FALLS_SHORT and more is not None:
            found = replace(found, remedy=MEND.format(more=f"{render(more, area.units)} more"))
        yield found


def _sound(area: Area, damage: Damage, ends: dict[str, list[JoistEnd]], limits: Limits) -> Check:
    one, subject = damage.condition, damage.subject
    deepest = limits["awl-sinks"]
    soft = None
    if one.probe is not None and deepest.value is not None:
        firm = at_most(one.probe, deepest.value)
        soft = None if firm is None else not firm
    if one.kind in SHAPE:
        return does_not_apply(subject, "how it stands or hangs, not what the wood is like")
    if one.kind not in DAMAGE and not soft:
        if one.kind is None:
            return not_measured(
                subject, asks=("condition.kind",), because="something is wrong, and nobody has said what"
            )
        unsure = one.probe is not None and soft is None
        found = "drying checks only" if one.kind == "checked" else "sound"
        return fact(subject, None if unsure else True, expected="sound", found=found, asks=("condition.probe",))
    found = (
        f"an awl sinks in deeper than {_tape(deepest.value, area)}"
        if soft and one.kind not in DAMAGE
        else one.kind or ""
    )
    expected = "sound wood, or a sister that runs past the damage"
    covered = _covered(area, damage, ends[damage.member.id]) if isinstance(damage.member, Joist) else False
    if covered is not True:
        asks = ("sister.begins", "sister.ends", "sister.fasteners", "condition.at", "condition.length")
        return fact(subject, covered, expected=expected, found=found, asks=asks, path=one.path)
    if one.kind in GOES_ON and one.mended is not True:
        expected = "what caused it is mended, too"
        return fact(subject, one.mended, expected=expected, found=f"{found}, sistered", asks=("condition.mended",))
    return fact(subject, True, expected=expected, found=f"{found}, sistered past it")


def _tape(depth: Quantity | None, area: Area) -> str:
    return "is sound" if depth is None else render(depth, area.units)


def _covered(area: Area, damage: Damage, ends: list[JoistEnd]) -> bool | None:
    """Whether a sister is fastened beside all of the damage; ``None`` where that isn't known."""
    joist = damage.member
    assert isinstance(joist, Joist)
    found: bool | None = False
    for sister in joist.sisters or ():
        verdict = True if sister.full_length else _spans(area, joist, sister, ends, damage.condition)
        if verdict and sister.fasteners is not None:
            return True
        if verdict is not False:
            found = None
    return found


def _spans(area: Area, joist: Joist, sister: Sister, ends: list[JoistEnd], condition: Condition) -> bool | None:
    past = _past(area, joist, sister, condition)
    if past is None:
        return None
    sides, sure = (_open_sides(area, past, sister, ends, sure=one) for one in (False, True))
    far = at_least(minimum(*sides), ZERO) if sides else True
    if far is False and not (sure and at_least(minimum(*sure), ZERO) is False):
        return None
    return far


def _open_sides(
    area: Area, past: tuple[Quantity, Quantity], sister: Sister, ends: list[JoistEnd], *, sure: bool
) -> list[Quantity]:
    """How far a sister runs past damage; a side on which it bears on the support can't run on, and needn't.

    ``sure`` leaves out the sides as well on which it may bear.
    """
    bears = _may_bear_here if sure else _bears_here
    return [side for side, end in zip(past, ends, strict=True) if not bears(area, end, sister)]


def _past(area: Area, joist: Joist, sister: Sister, condition: Condition) -> tuple[Quantity, Quantity] | None:
    """How far a sister runs past the damage on either side; ``None`` when unknown."""
    extent = sister_extent(area, joist, sister)
    first, last = condition_stretch(area, joist, condition)
    if extent is None or first is None or last is None:
        return None
    return first - extent[0], extent[1] - last


@rule(
    "sister-past-damage",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.sisters",
    quantity="sister past the damage",
    limits=["sister-past"],
    measures=[
        "joist.condition",
        "joist.sisters",
        "sister.begins",
        "sister.ends",
        "sister.full_length",
        "condition.length",
    ],
    provisions=["sister-length"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Use a longer sister: bearing to bearing is best; ask a licensed engineer where the bearing itself is lost."
    ),
)
def sister_past_damage(area: Area, limits: Limits) -> Iterator[Check]:
    """A sister runs well past the damage on both sides, or on to the bearing.

    The load has to leave the bad wood and come back into the good through nails, and nails need length.
    """
    joists: list[Joist | Support | Header] = [*(area.joists or ())]
    if area.joists is None:
        yield not_measured(Named("sisters", area.path), asks=("area.joists",), because="no joists are described")
        return
    for group in by_word(joist for joist in joists if joist.condition is None):
        yield not_measured(
            together(group, "sisters"), asks=("joist.condition",), because="nobody has tapped and probed"
        )
    damages = [d for d in _entries(joists) if d.condition.kind not in (*HARMLESS, *SHAPE)]
    damaged = {id(d.member) for d in damages}
    for group in by_word(j for j in joists if j.condition is not None and id(j) not in damaged):
        yield does_not_apply(together(group, "sisters"), "no damage seen")
    ends = ends_by_joist(area) if damages else {}
    for damage in damages:
        yield _long_enough(area, damage, ends, limits)
    if not joists:
        yield does_not_apply(Named("sisters", area.path), "no joists are listed in this area")


def _long_enough(area: Area, damage: Damage, ends: dict[str, list[JoistEnd]], limits: Limits) -> Check:
    joist, subject, limit = damage.member, damage.subject, limits["sister-past"]
    assert isinstance(joist, Joist)
    if joist.sisters is None:
        return not_measured(subject, asks=("joist.sisters",), because="nobody has said whether it has a sister")
    if not joist.sisters:
        return does_not_apply(subject, "no sister; judged by member-sound")
    best: Check | None = None
    for name, sister in zip(sister_names(joist), joist.sisters, strict=True):
        answer = _one_sister(area, damage, joist, name, sister, ends[joist.id], limits)
        if best is None or _RANK.index(answer.outcome) < _RANK.index(best.outcome):
            best = answer
    assert best is not None, limit
    return best


_RANK = ("meets", "not-measured", "falls-short", "does-not-apply")


def _one_sister(
    area: Area, damage: Damage, joist: Joist, name: str, sister: Sister, ends: list[JoistEnd], limits: Limits
) -> Check:
    subject, limit = damage.subject, limits["sister-past"]
    if sister.full_length:
        return fact(subject, True, expected="the sister runs past the damage", found=f"{name} runs the whole length")
    past = _past(area, joist, sister, damage.condition)
    asks = ("sister.begins", "sister.ends", "condition.at", "condition.length")
    if past is None:
        return check(subject, measured=None, at_least=limit, asks=asks)
    open_sides, sure = (_open_sides(area, past, sister, ends, sure=one) for one in (False, True))
    if not open_sides:
        return fact(subject, True, expected="the sister runs past the damage", found=f"{name} bears at both ends")
    answer = check(subject, measured=minimum(*open_sides), at_least=limit, found=name, asks=asks, path=sister.path)
    if answer.outcome != FALLS_SHORT or (sure and limit.value and at_least(minimum(*sure), limit.value) is False):
        return answer
    doubt = f"{name} may bear on the support there"
    return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("sister.bearing",))


def _bears_here(area: Area, end: JoistEnd, sister: Sister) -> bool:
    bearing = sister_bearing(area, end, sister)
    return bearing is not None and bearing.low > 0 and not bearing.estimate


def _may_bear_here(area: Area, end: JoistEnd, sister: Sister) -> bool:
    """Whether it bears there or nothing tells that it doesn't."""
    support, bearing = sister_support(area, end, sister), sister_bearing(area, end, sister)
    if bearing is None:
        return support is not None and faces_of(area.carriers.get(support)) is None
    return bearing.bounds.high > 0


@rule(
    "decay-depth",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.member-condition",
    quantity="depth that is gone",
    limits=["notch-depth", "notch-length", "notch-free-share", "bearing"],
    measures=["joist.condition", "condition.depth_left", "condition.at", "joist.size"],
    provisions=["notch-depth", "notch-end", "notch-middle-third"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Shore the joist and sister it full length, bearing at both ends, or replace it; wood that is gone is "
        "gone, whatever hardener is poured on it."
    ),
)
def decay_depth(area: Area, limits: Limits) -> Iterator[Check]:
    """Where rot, insects or fire have taken wood from a joist, no more is gone than a notch may take there.

    The code gives no limit for decay; a joist does not care whether a saw or a fungus took its edge away. Softer wood
    beside it counts as sound here only as far as an awl says so.
    """
    if area.joists is None:
        yield not_measured(Named("joists, decay", area.path), asks=("area.joists",), because="no joists are described")
        return
    joists: list[Joist | Support | Header] = [*area.joists]
    for group in by_word(joist for joist in joists if joist.condition is None):
        yield not_measured(together(group, "decay"), asks=("joist.condition",), because="nobody has tapped and probed")
    eaten = [d for d in _entries(joists) if d.condition.kind in EATEN or d.condition.kind is None]
    with_damage = {id(d.member) for d in eaten}
    for group in by_word(j for j in joists if j.condition is not None and id(j) not in with_damage):
        yield does_not_apply(together(group, "decay"), "no wood is gone")
    ends = ends_by_joist(area) if eaten else {}
    for damage in eaten:
        yield _gone(area, damage, ends, limits)
    if not joists:
        yield does_not_apply(Named("joists, decay", area.path), "no joists are listed in this area")


def _gone(area: Area, damage: Damage, ends: dict[str, list[JoistEnd]], limits: Limits) -> Check:
    joist, one, subject = damage.member, damage.condition, damage.subject
    assert isinstance(joist, Joist)
    if one.kind is None:
        return not_measured(subject, asks=("condition.kind",), because="something is wrong, and nobody has said what")
    sister = full_sister(area, ends[joist.id], limits) if joist.sisters else None
    if sister is not None and sister[1]:
        return does_not_apply(subject, f"{sister[0]} carries in its place, bearing to bearing")
    depth = joist.section.depth
    gone = depth - one.depth_left if depth is not None and one.depth_left is not None else None
    where, share = condition_stretch(area, joist, one), limits["notch-free-share"].value
    assert share is not None
    middle = reaches_middle(span_faces(area, joist, where), where, share)
    at_end = _at_end(area, joist, one, ends[joist.id], limits)
    outer = limits.between(
        "notch-depth", None if at_end is None else "end" if at_end else "elsewhere", ("end", "elsewhere")
    )
    limit = outer.of(depth, "as deep as a notch may be here")
    if middle:
        limit = limits["notch-free-share"].derived(ZERO, "no notch is allowed in the middle third")
    elif middle is None and limit.value is not None:
        limit = limit.derived(hull(ZERO, limit.value), "as deep as a notch may be; none in the middle third")
    answer = check(
        subject,
        measured=gone,
        at_most=limit,
        assuming=(*joist.section.assumptions, "decay taken as a notch of the depth that is gone"),
        asks=("condition.depth_left",)
        if one.depth_left is None
        else ("condition.at", "condition.length", "joist.depth"),
        path=one.path,
    )
    if answer.outcome == FALLS_SHORT and sister is not None:
        return not_measured(
            subject, asks=("sister.bearing", "sister.fasteners"), because=f"{sister[0]} may carry in its place"
        )
    return answer


def _at_end(area: Area, joist: Joist, one: Condition, ends: list[JoistEnd], limits: Limits) -> bool | None:
    """Whether damage stays at the member's very end, no farther into the span than a notch may be long."""
    first, last = condition_stretch(area, joist, one)
    reach = limits["notch-length"].of(joist.section.depth).value
    if reach is None or one.at is None:
        return None
    verdicts: list[bool | None] = [False]
    for end in ends:
        faces = faces_of(end.support)
        if faces is None:
            continue
        if overlaps((first, last), faces) is False:
            verdicts.append(False)
        elif end.which == "near":
            verdicts.append(at_most(last, faces[1] + reach) if last is not None else None)
        else:
            verdicts.append(at_least(first, faces[0] - reach) if first is not None else None)
    return any_of(verdicts)
