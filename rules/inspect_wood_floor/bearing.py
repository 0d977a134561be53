"""Where joists rest: how far each end bears, what is under it, and whether the wood stands the pressure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.engineering.lumber import bearing_check
from inspect_core.engineering.working import Working, weakest
from inspect_core.quantities import Quantity, at_least, at_most, maximum, times
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    STOP_WORK,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import JoistEnd, carrier_ids
from inspect_core.site.model import Support
from inspect_wood_floor._listed import no_joists
from inspect_wood_floor._members import (
    MASONRY,
    STRIPS,
    ZERO,
    bearing_limit,
    carrier_asks,
    damage_at_end,
    end_bearing,
    ends_by_joist,
    faces_of,
    hangs,
    on_masonry,
    own_bearing,
    sister_bearing,
    sister_section,
    surface_of,
    together,
)
from inspect_wood_floor._reactions import (
    LOAD_FIELDS,
    LOAD_LIMITS,
    AcrossGrain,
    Reactions,
    Strengths,
    pressure,
    unless_unseen,
)


@rule(
    "joist-bearing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-bearing",
    quantity="bearing",
    limits=["bearing"],
    measures=["joist.bearing", "support.surface"],
    provisions=["bearing-wood-metal", "bearing-masonry", "sister-bearing"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Hang the end on a rated hanger or a ledger strip, or lengthen the bearing with a fastened sister or "
        "a wider support."
    ),
)
def joist_bearing(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist end bears far enough on what carries it.

    Too little wood on the support crushes, splits, or slips off when the frame moves. A sister that is fastened along
    the joist and bears far enough itself may do it instead.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
    for end in area.joist_ends:
        if end.on_nothing:
            yield does_not_apply(end, "there is no support here; judged by joist-end-carried")
        elif hangs(end) and end.hung is not None and end.hung.by is None:
            yield not_measured(end, asks=("hanger.by",), because="something carries this end; nobody has said what")
        elif hangs(end) and end.hung is not None:
            yield does_not_apply(end, _hung_words(end.hung.by or ""))
        else:
            limit = bearing_limit(limits, end.support)
            measured, notes = end_bearing(area, end, limit)
            asks = _sister_asks(end, measured) or _bearing_asks(end)
            yield check(end, measured=measured, at_least=limit, assuming=notes, asks=asks)


def _hung_words(by: str) -> str:
    if by == "nothing":
        return "nothing carries it; judged by joist-end-carried"
    if by == "nails-only":
        return "only nails hold it; judged by joist-end-hung"
    return f"a {by.replace('-', ' ')} carries it, not bearing"


def _sister_asks(end: JoistEnd, measured: Quantity | None) -> tuple[str, ...]:
    """The field that is open where a joist's own end is known, and what does its work is not."""
    return ("sister.bearing",) if measured is None and own_bearing(end)[0] is not None else ()


def _bearing_asks(end: JoistEnd) -> tuple[str, ...]:
    if end.support_id is None:
        return carrier_asks(end)
    if surface_of(end.support) is None and isinstance(end.support, Support):
        return ("joist.bearing", "support.surface")
    return ("joist.bearing",)


@rule(
    "joist-end-carried",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="floor.joist-bearing",
    quantity="overhang",
    limits=["overhang"],
    measures=["joist.from", "joist.to", "joist.bearing"],
    provisions=["bearing-wood-metal", "cantilever-simple"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Keep weight off this part of the floor and put a temporary post and pad under the end. Then carry "
        "the joist to its support: a sister that bears on the support, a header to the joists beside it, or a "
        "new beam and piers that a licensed engineer has set out."
    ),
)
def joist_end_carried(area: Area, limits: Limits) -> Iterator[Check]:
    """Something is under each joist end, or hangs it.

    A joist that stops between its supports carries nothing: the subfloor alone holds up whoever stands there. Past two
    supports an end may overhang by the joist's depth without a special table.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
    for end in area.joist_ends:
        yield _carried(area, end, limits)


def _carried(area: Area, end: JoistEnd, limits: Limits) -> Check:
    expected = "something is under this end or hangs it"
    if end.support_id is None:
        return not_measured(end, expected=expected, asks=carrier_asks(end))
    if hangs(end) and end.hung is not None and end.hung.by is None:
        return not_measured(end, expected=expected, asks=("hanger.by",))  # `nothing` is one of the answers
    if hangs(end) and end.hung is not None and end.hung.by != "nothing":
        return does_not_apply(end, "this end hangs; judged by joist-end-hung")
    bearing, notes = (None, ()) if end.on_nothing or hangs(end) else own_bearing(end)
    if bearing is not None and bearing.low > 0 and not bearing.estimate:
        return fact(end, True, expected=expected, found=f"it lies on {end.support_id}", assuming=notes)
    sister = _borne_by_sister(area, end)
    if sister:
        return fact(end, True, expected=expected, found="its sister reaches the support")
    if end.on_nothing and len(carrier_ids(end.joist)) > 1:
        return _overhangs(area, end, limits, sister)
    loose = None if sister is None else False  # a sister that nobody measured may reach the support
    if end.on_nothing or hangs(end):
        found = "this end rests on nothing" if end.on_nothing else "nothing is under it and nothing hangs it"
        return fact(end, loose, expected=expected, found=found, asks=("sister.bearing",))
    if bearing is None or not at_most(bearing, ZERO):
        return fact(end, None, expected=expected, assuming=notes, asks=("joist.bearing",))
    found = f"it stops short of {end.support_id}" if end.derived else f"nothing of it lies on {end.support_id}"
    return fact(end, loose, expected=expected, found=found, asks=("sister.bearing",), assuming=notes)


def _borne_by_sister(area: Area, end: JoistEnd) -> bool | None:
    """Whether a sister lies on the support at this end; ``None`` where a sister may."""
    found: bool | None = False
    for sister in end.joist.sisters or ():
        bearing = sister_bearing(area, end, sister)
        if bearing is not None and bearing.low > 0 and not bearing.estimate and sister.fasteners is not None:
            return True
        if (bearing is None and sister.full_length is not False) or (bearing is not None and bearing.high > 0):
            found = None
    return found


def _overhangs(area: Area, end: JoistEnd, limits: Limits, sister: bool | None) -> Check:
    """An end past the last of two supports: how far, against the joist's depth."""
    section = end.joist.section
    limit = limits["overhang"].of(section.depth, "the joist's depth")
    asks = ("joist.ends",) if end.which == "far" else ("joist.begins",)
    answer = check(end, measured=_overhang(area, end), at_most=limit, assuming=section.assumptions, asks=asks)
    if answer.outcome == FALLS_SHORT and sister is None:
        return not_measured(end, expected="its sister reaches the support", asks=("sister.bearing",))
    return answer


def _overhang(area: Area, end: JoistEnd) -> Quantity | None:
    """How far the wood runs past the last support; ``None`` when unknown."""
    ids = carrier_ids(end.joist)
    far = end.which == "far"
    faces = faces_of(area.carriers.get(ids[-1 if far else 0])) if ids else None
    stop = end.joist.ends if far else end.joist.begins
    if faces is None or stop is None:
        return None
    return maximum(stop - faces[1] if far else faces[0] - stop, ZERO)


@rule(
    "bearing-over-masonry-sill",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.bearing-over-masonry-sill",
    quantity="bearing",
    limits=["bearing-over-masonry-sill"],
    measures=["joist.bearing", "support.rests_on"],
    provisions=["bearing-sill-on-masonry"],
    cautions=["crawl-space"],
    remedy=(
        "Ask the inspector before the joists are covered. The text's wood rule is 1 1/2 in on a wood sill; "
        "some reviewers ask the 3 in of masonry because the sill lies on masonry. A sister that bears 3 in "
        "satisfies both."
    ),
)
def bearing_over_masonry_sill(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists on a wood sill over masonry bear as far as on masonry, for those who read the text so.

    The text can be read both ways, so this only advises: joist-bearing holds the end to the wood rule.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
        return
    answered = False
    for end in area.joist_ends:
        sill = end.support
        if isinstance(sill, Support) and sill.line in ("sill", None) and not hangs(end):
            answered = True
            yield _on_sill(area, end, sill, limits)
    if not answered:
        unsaid = [end for end in area.joist_ends if end.support_id is None]
        where = Named("joist ends", area.path)
        yield (
            not_measured(where, asks=carrier_asks(unsaid[0]))
            if unsaid
            else does_not_apply(where, "no joist is on a sill")
        )


def _on_sill(area: Area, end: JoistEnd, sill: Support, limits: Limits) -> Check:
    surface, rests = surface_of(sill), on_masonry(sill)
    if surface in ("steel", *MASONRY):
        return does_not_apply(end, f"it bears on {surface}, not on a wood sill")
    if rests is False:
        return does_not_apply(end, f"the sill rests on {sill.rests_on}, not on masonry")
    limit = limits["bearing-over-masonry-sill"]
    measured, notes = end_bearing(area, end, limit)
    asks = _sister_asks(end, measured) or ("joist.bearing",)
    answer = check(end, measured=measured, at_least=limit, assuming=notes, asks=asks)
    if answer.outcome == FALLS_SHORT and not (surface == "wood" and sill.line == "sill" and rests):
        because = "short of what some ask, if this is a wood sill on masonry"
        return not_measured(end, asks=("support.line", "support.surface", "support.rests_on"), because=because)
    return answer


@rule(
    "sister-bearing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.sisters",
    quantity="bearing of the sister",
    limits=["bearing"],
    measures=["sister.bearing", "joist.sisters", "joist.condition"],
    provisions=["sister-bearing"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Run the sister onto the support with as much bearing as the joist itself would need, or hang its end.",
)
def sister_bears_instead(area: Area, limits: Limits) -> Iterator[Check]:
    """Where a joist has lost its bearing, its sister bears instead.

    A sister that stops short of the support hangs on its nails, and they on rotten wood.
    """
    if nothing := no_joists(area, "sisters"):
        yield nothing
        return
    joists = area.joists or ()
    if unsaid := [joist for joist in joists if joist.sisters is None]:
        because = "nobody has said whether there are any"
        yield not_measured(together(unsaid, "sisters"), asks=("joist.sisters",), because=because)
    if single := [joist for joist in joists if joist.sisters == ()]:
        yield does_not_apply(together(single, "sisters"), "no sisters")
    sistered = {joist.id for joist in joists if joist.sisters}
    for name, ends in ends_by_joist(area).items() if sistered else ():
        if name in sistered:
            for end in ends:
                yield _bears_instead(area, end, limits)


def _bears_instead(area: Area, end: JoistEnd, limits: Limits) -> Check:
    if hangs(end):
        return does_not_apply(end, "this end hangs; judged by joist-end-hung")
    limit = bearing_limit(limits, end.support)
    own, _ = own_bearing(end)
    enough = None if own is None or limit.value is None else at_least(own, limit.value)
    short = True if end.on_nothing else None if enough is None else not enough
    damaged = damage_at_end(area, end)
    if short is False and damaged is False:
        return does_not_apply(end, "the joist's own end is sound and bears far enough")
    bearings = [sister_bearing(area, end, sister) for sister in end.joist.sisters or ()]
    known = [bearing for bearing in bearings if bearing is not None]
    best = maximum(*known) if known else None
    all_known = len(known) == len(bearings)
    if best is not None and not all_known and not (limit.value is not None and at_least(best, limit.value)):
        best = None  # a sister that nobody measured may bear further
    answer = check(end, measured=best, at_least=limit, asks=("sister.bearing",))
    if answer.outcome == FALLS_SHORT and not (short or damaged):
        asks = (*(("joist.bearing",) if short is None else ()), *(("joist.condition",) if damaged is None else ()))
        because = "its sister does not bear far enough, and the joist's own end may not either"
        return not_measured(end, asks=asks, because=because)
    return answer


# --- crushing ---------------------------------------------------------------------------------------------------------


@rule(
    "joist-bearing-stress",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.bearing-stress",
    quantity="pressure on the bearing",
    limits=["across-grain-share", *LOAD_LIMITS],
    measures=["joist.bearing", "joist.size", "joist.species", "support.species", "joist.moisture", *LOAD_FIELDS],
    provisions=["bearing-wood-metal"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Give the end more bearing (a steel plate, a wider support, a sister that bears as well), or have a "
        "licensed engineer work out the load that comes here."
    ),
)
def joist_bearing_stress(area: Area, limits: Limits) -> Iterator[Check]:
    """The load on a joist end does not crush the wood across its grain.

    Crushed fibres let the floor settle. The load that comes down here is taken at its least and its most, the wood at
    the weakest and the strongest that it may be.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
        return
    reactions = Reactions(area, limits)
    strengths = Strengths(limits)
    for end in area.joist_ends:
        yield _crushing(end, area, limits, reactions, strengths)


def _crushing(end: JoistEnd, area: Area, limits: Limits, reactions: Reactions, strengths: Strengths) -> Check:
    hung_by = end.hung.by if end.hung is not None and hangs(end) else None
    if hung_by is not None and hung_by not in STRIPS:
        return does_not_apply(end, _hung_words(hung_by))
    seat = _seat(end)
    if end.on_nothing or (seat is not None and at_most(seat, ZERO)):
        return does_not_apply(end, "nothing of it bears here; judged by joist-end-carried")
    contact = _contact(area, end, seat)
    if contact is None:
        return not_measured(end, asks=_contact_asks(end), because="how much wood touches is not known")
    reaction = reactions.at(end)
    if reaction.outside:
        return does_not_apply(end, reaction.outside)
    if reaction.force is None:
        return not_measured(end, because=reaction.why, asks=reaction.asks)
    strength, share = strengths.at(end), limits["across-grain-share"]
    if strength is None:
        because = "no table holds the strength across the grain of wood of this size"
        return not_measured(end, because=because, asks=("joist.size", "support.size"))
    limit = replace(
        share.of(strength.psi, "the wood's strength across the grain"),
        status=weakest((share.status, strength.status)),
        source=strength.source,
    )
    pressed = pressure(reaction.force, contact)
    answer = check(
        end,
        measured=pressed,
        at_most=limit,
        assuming=(*end.joist.section.assumptions, *strength.assumptions, *reaction.assumptions),
        asks=("joist.bearing",) if pressed is None else (*strength.asks, *reaction.asks),
        working=_working(reaction.force, contact, strength) if pressed is not None else None,
    )
    return unless_unseen(answer, reaction)


def _seat(end: JoistEnd) -> Quantity | None:
    """Length along the joist on which it presses."""
    if hangs(end):
        return end.hung.seat if end.hung is not None else None
    return own_bearing(end)[0]


def _contact(area: Area, end: JoistEnd, seat: Quantity | None) -> Quantity | None:
    """Wood that touches, in square inches: the joist's, and that of sisters which are known to bear."""
    section = end.joist.section
    if seat is None or section.thickness is None:
        return None
    total = times(seat, section.thickness * section.plies)
    for sister in end.joist.sisters or ():
        bearing, thickness = sister_bearing(area, end, sister), sister_section(sister).thickness
        if bearing is not None and thickness is not None and sister.fasteners is not None:
            total = total + times(bearing, thickness)
    return total


def _contact_asks(end: JoistEnd) -> tuple[str, ...]:
    if end.support_id is None:
        return carrier_asks(end)
    seat = "hanger.seat" if hangs(end) else "joist.bearing"
    return (seat, *(("joist.size",) if end.joist.section.thickness is None else ()))


def _working(reaction: Quantity, contact: Quantity, strength: AcrossGrain) -> Working:
    """The steps for the heaviest load on the least and weakest wood, the contact written as a strip one inch wide."""
    pressing = bearing_check(reaction.high, contact.low, 1.0, strength.psi.low).working
    return (*strength.working(), *pressing)
