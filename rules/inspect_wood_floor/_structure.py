"""How rules about strength and stiffness read a solved member: what is not known, what fails, what compares."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from inspect_core.engineering.lumber import SYMBOLS, constant
from inspect_core.quantities import Dimension, Quantity
from inspect_core.rules_api import Check, Limit, Limits, Subject, check, does_not_apply, fact, not_measured
from inspect_core.site import Area
from inspect_core.structure import HARD, KIND, Ends, Floor, floor_of
from inspect_core.structure.joists import Member
from inspect_core.structure.strength import Property, Wood

FROM_MEMORY = "from memory"

LARGE = 1000.0  # a ratio beyond this says no more than that nothing is left


def floor(area: Area, limits: Limits) -> Floor:
    """The structure of an area, worked out once for all rules."""
    return floor_of(area, limits)


def joists(area: Area, limits: Limits) -> Iterator[tuple[Subject, Member]]:
    """Each joist with its solution."""
    found = floor(area, limits)
    for joist in area.joists or ():
        yield joist, found.joist(joist)


def unsolved(subject: Subject, member: Member, expected: str) -> Check | None:
    """Why nothing can be said of a member, if so; ``None`` when it is solved."""
    if member.outside:
        return does_not_apply(subject, f"{member.outside}; see structural-scope")
    if member.missing:
        return not_measured(subject, expected=expected, asks=member.missing)
    if member.no_values:
        return not_measured(subject, asks=member.decided_by("species", "grade", "size"), because=member.no_values)
    if member.answer is None:
        return not_measured(subject, expected=expected)
    return None


def one_in(share: float) -> str:
    """A deflection over a span as the trade says it; empty where nothing sags."""
    parts = round(1 / share) if share > 0 else 0
    return f"1/{parts} of the span at the most" if parts else ""


def compared(
    subject: Subject,
    member: Member,
    ends: Ends,
    limit: Limit,
    prop: Property,
    *,
    expected: str,
    found: str = "",
    working: Any = None,
    dimension: Dimension = Dimension.RATIO,
    also: tuple[str, ...] = (),
) -> Check:
    """Compare a share of strength (or a deflection) with its limit at both ends of what is known.

    ``prop`` is the property of the wood that decides (``fb``, ``fv``, ``e``), ``also`` names fields beyond the member's
    own that would decide it. It falls short where even the kind end does, and is advice only where that end rests on
    figures from memory; it meets only where the hard end does and nothing is left unseen.
    """
    answer = member.answer
    assert answer is not None and limit.value is not None
    assumptions = member.assumptions
    decides = (*also, *member.decides)
    if answer.broken[KIND]:
        return fact(subject, False, expected=expected, found=answer.broken[KIND], assuming=assumptions, working=working)
    low, high = ends[KIND], ends[HARD]
    short = low > limit.value.high
    if not short and (member.unseen or not math.isfinite(high)):
        asks = member.unseen or decides
        because = answer.broken[HARD] or _as_far_as_known(low, high, limit)
        return not_measured(subject, asks=asks or None, because=because)
    ceiling = LARGE * limit.value.high
    measured = Quantity(min(low, ceiling), min(max(low, high), ceiling), dimension, member.loose)
    if short:
        limit, said = resting_on(limit, _recalled(member, prop))
        assumptions = (*assumptions, *said)
    return check(
        subject,
        measured=measured,
        at_most=limit,
        found=found,
        assuming=assumptions,
        asks=decides or None,
        working=working,
    )


def resting_on(limit: Limit, recalled: tuple[str, ...]) -> tuple[Limit, tuple[str, ...]]:
    """A limit for a strength with ``recalled`` figures in it, which make it advice only, and words for them."""
    if not recalled:
        return limit, ()
    return replace(limit, status=FROM_MEMORY), (f"from memory: {', '.join(recalled)}",)


def recalled_wood(wood: Wood, prop: Property) -> tuple[str, ...]:
    """Where the kind end of a property of wood comes from, if that is from memory."""
    values = wood.values(prop, KIND)
    if values.status_of(prop) != FROM_MEMORY:
        return ()
    row = values.reference
    return (f"{SYMBOLS[prop]} of {row.species_name} {row.grade} (NDS Supplement Table {row.table})",)


def _recalled(member: Member, prop: Property) -> tuple[str, ...]:
    found = [text for piece in member.pieces for text in recalled_wood(piece.wood, prop)]
    at = member.answer.shear_at if member.answer is not None else None
    if prop == "fv" and at is not None and at.shear[at.solved.shear.length.name].notch > 0:
        rule = constant("notch_shear")
        found += [f"shear at a notched end ({rule.clause})"] if rule.status == FROM_MEMORY else []
    return tuple(dict.fromkeys(found))


def nothing_carried(subject: Subject, member: Member) -> Check:
    """A member that carries nothing, or may not: its bending says so, and other checks of it have nothing to add."""
    answer = member.answer
    assert answer is not None
    if answer.broken[KIND]:
        return does_not_apply(subject, f"{answer.broken[KIND]}: it carries nothing, as its bending says")
    return not_measured(subject, asks=member.unseen or member.decides or None, because=answer.broken[HARD])


def _as_far_as_known(low: float, high: float, limit: Limit) -> str:
    assert limit.value is not None
    share = f"{low / limit.value.high:.0%}"
    if math.isfinite(high) and high != low:
        share += f" to {high / limit.value.low:.0%}"
    return f"{share} of the limit as far as is known, but not everything that counts has been looked at"


def share_of_span(limit: Limit) -> str:
    """A deflection limit in words: ``1/360 of the span``."""
    assert limit.value is not None
    least, most = 1 / limit.value.high, 1 / limit.value.low
    shares = f"1/{least:.0f}" if round(least) == round(most) else f"1/{least:.0f} to 1/{most:.0f}"
    return f"{shares} of the span"


def where(member: Member, what: str) -> str:
    """What the hardest-worked place is made of, where that is not just the whole member; ``what`` bending or shear."""
    answer = member.answer
    solution = None if answer is None else answer.bending_at if what == "bending" else answer.shear_at
    if solution is None:
        return ""
    use = solution.solved.bending if what == "bending" else solution.solved.shear
    name = use.length.name.partition(" @")[0]
    return "" if name == member.pieces[0].name else f"hardest at {name}"


LOADS = (
    "joist.from",
    "joist.to",
    "joist_group.at",
    "support.at",
    "area.outline",
    "area.layers",
    "area.fixtures",
    "area.partitions",
)
ENGINEER = (
    "Carry the beam on temporary posts and pads before the old post or pier is touched, and let a licensed engineer "
    "set out the new one."
)
