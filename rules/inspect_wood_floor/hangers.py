"""Joists framed into the side of a beam: hangers, ledger strips and ribbons, and the nails in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from inspect_core.quantities import maximum, minimum
from inspect_core.rules_api import (
    CORRECTION,
    NOT_MEASURED,
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
from inspect_core.site.geometry import JoistEnd
from inspect_core.site.model import Joist, Support
from inspect_core.site.sections import resolve_section
from inspect_wood_floor._listed import no_joists
from inspect_wood_floor._members import HANGERS, ON_TOP, STRIPS, carrier_asks, hangs, together
from inspect_wood_floor._nails import TOO_WEAK, enough_nails
from inspect_wood_floor._reactions import LOAD_FIELDS, LOAD_LIMITS, Reactions, unless_unseen


@rule(
    "joist-end-hung",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-hung",
    quantity="what carries the end",
    limits=["end-carriers"],
    measures=["joist.hung", "hanger.by", "support.joists_sit"],
    provisions=["joist-into-girder-side", "ribbon-strip-support"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Put a joist hanger of the joist's size under the end and fill every nail hole, or a ledger strip of "
        "at least 2x2 with three 16d nails under each joist. Toenails alone split out."
    ),
)
def joist_end_hung(area: Area, limits: Limits) -> Iterator[Check]:
    """A joist framed into the side of a beam hangs on a hanger, a framing anchor, a ledger strip or a ribbon.

    So does one framed into a ledger or a header. Nails through the end hold only until the wood dries and splits.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
    for end in area.joist_ends:
        if end.hung is not None and end.hung.by == "nothing":
            yield does_not_apply(end, "nothing carries it; judged by joist-end-carried")
        elif end.hung is not None and hangs(end):
            allowed = limits["end-carriers"]
            yield check(end, measured=end.hung.by, one_of=allowed, asks=("hanger.by",), path=end.hung.path)
        else:
            yield _side_framed(end)


def _side_framed(end: JoistEnd) -> Check:
    """An end of which nobody said that it hangs."""
    expected = "a hanger, framing anchor, ledger strip or ribbon carries it"
    if end.on_nothing:
        return does_not_apply(end, "there is no support here; judged by joist-end-carried")
    if end.which == "over":
        return does_not_apply(end, "it passes over the support")
    if end.support is None:
        return not_measured(end, expected=expected, asks=carrier_asks(end))
    sits = end.support.joists_sit if isinstance(end.support, Support) else "flush"
    line = end.support.line if isinstance(end.support, Support) else "header"
    measured = end.bearing is not None and not end.derived and end.bearing.high > 0
    if sits in ("on-top", "in-pockets") or (sits is None and (line in ON_TOP or measured)):
        return does_not_apply(end, "it sits on its support; judged by joist-bearing")
    if sits == "flush" or line == "ledger":
        return not_measured(end, expected=expected, asks=("joist.hung",))
    return not_measured(end, expected=f"joists sit on {end.support_id} or hang from it", asks=("support.joists_sit",))


def _held(end: JoistEnd) -> JoistEnd | Named:
    """A hung end as a finding names it; what work it is, is the hanger's to say."""
    assert end.hung is not None
    return end if end.hung.work == end.work else Named(end.name, end.path, end.hung.work)


def _each_hung(area: Area, by: Sequence[str], what: str, judge: Callable[[JoistEnd], Check]) -> Iterator[Check]:
    """``judge`` for every end hung in one of these ways, and one answer for all ends of which nobody has said it."""
    if nothing := no_joists(area, what):
        yield nothing
        return
    unsaid: dict[str, Joist] = {}
    answered = False
    for end in area.joist_ends:
        if end.hung is None:
            if _side_framed(end).outcome == NOT_MEASURED:
                unsaid[end.joist.id] = end.joist
        elif end.hung.by is None and hangs(end):
            answered = True
            yield not_measured(end, asks=("hanger.by",), because="something carries this end; nobody has said what")
        elif end.hung.by in by:
            answered = True
            yield judge(end)
    if unsaid:
        because = "nobody has said what carries these ends"
        yield not_measured(together(list(unsaid.values()), what), asks=("joist.hung",), because=because)
    elif not answered:
        yield does_not_apply(Named(what, area.path), "no joist end hangs this way")


@rule(
    "hanger-nailed",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-hung",
    quantity="hanger nails",
    measures=["joist.hung", "hanger.model", "fasteners.filled", "fasteners.kind"],
    provisions=["hanger-fill-holes", "docs-mfr"],
    cautions=["crawl-space"],
    remedy="Fill every hole with the nail that the maker names for this model; screws and short nails carry less.",
)
def hanger_nailed(area: Area, limits: Limits) -> Iterator[Check]:
    """Every nail hole of a hanger that its maker wants filled has its nail, and its model is known.

    A hanger's load is published for the full set of the right nails and for nothing less.
    """

    def judge(end: JoistEnd) -> Check:
        assert end.hung is not None
        hung, nails = end.hung, end.hung.fasteners
        filled = nails.filled if nails is not None else None
        weak = nails is not None and nails.kind in TOO_WEAK
        kind = nails.kind if nails is not None else None
        given = (("fasteners.filled", filled), ("fasteners.kind", kind), ("hanger.model", hung.model))
        unread = tuple(field for field, value in given if value is None)
        holds = False if filled is False or weak else None if unread else True
        found = "holes are empty" if filled is False else f"{nails.kind}s in it" if weak and nails is not None else ""
        return fact(
            _held(end),
            holds,
            expected="every hole has the nail that the maker of this model names",
            found=found,
            asks=unread,
            path=hung.path,
        )

    yield from _each_hung(area, HANGERS, "hangers", judge)


@rule(
    "hanger-load",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-hung",
    quantity="load on the hanger",
    limits=["hanger-share", *LOAD_LIMITS],
    measures=["joist.hung", "hanger.rated_load", *LOAD_FIELDS],
    provisions=["docs-mfr"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=(
        "Fit a hanger that its maker rates for this load, with the nails of that rating, or add a joist to share it."
    ),
)
def hanger_load(area: Area, limits: Limits) -> Iterator[Check]:
    """A hanger carries no more than its maker publishes for it.

    The load is what the floor, the fixtures and the walls bring to this end, between its least and its most.
    """
    reactions: list[Reactions] = []  # worked out when the first hanger asks

    def judge(end: JoistEnd) -> Check:
        assert end.hung is not None
        rated, about = end.hung.rated_load, _held(end)
        if rated is None:
            return not_measured(about, asks=("hanger.rated_load",), because="what the hanger may carry is not known")
        if not reactions:
            reactions.append(Reactions(area, limits))
        reaction = reactions[0].at(end)
        if reaction.outside:
            return does_not_apply(about, reaction.outside)
        if reaction.force is None:
            return not_measured(about, because=reaction.why, asks=reaction.asks)
        limit = limits["hanger-share"].of(rated, "what its maker publishes")
        notes, asks = reaction.assumptions, reaction.asks
        answer = check(about, measured=reaction.force, at_most=limit, assuming=notes, asks=asks, path=end.hung.path)
        return unless_unseen(answer, reaction)

    yield from _each_hung(area, HANGERS, "hangers", judge)


@rule(
    "ledger-strip-size",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-hung",
    quantity="side of the strip",
    limits=["ledger-strip", "ribbon"],
    measures=["joist.hung", "hanger.strip_size"],
    provisions=["joist-into-girder-side", "ribbon-strip-support"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Nail on a ledger strip of at least 2x2, or a ribbon of at least 1x4 let into the studs, or use hangers.",
)
def ledger_strip_size(area: Area, limits: Limits) -> Iterator[Check]:
    """A ledger strip under joist ends is at least a 2x2, a ribbon at least a 1x4.

    Anything smaller splits along its nails.
    """

    def judge(end: JoistEnd) -> Check:
        assert end.hung is not None
        strip = end.hung.by == "ledger-strip"
        size = resolve_section(end.hung.strip_size, "nominal", None, None, None, None)
        side = None
        if size.thickness is not None and size.depth is not None:
            side = minimum(size.thickness, size.depth) if strip else maximum(size.thickness, size.depth)
        limit, name = (limits["ledger-strip"], "2x2") if strip else (limits["ribbon"], "1x4")
        limit = limit.derived(limit.value, f"a {name}, dressed")
        return check(_held(end), measured=side, at_least=limit, asks=("hanger.strip_size",), path=end.hung.path)

    yield from _each_hung(area, STRIPS, "ledger strips", judge)


@rule(
    "ledger-strip-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-hung",
    quantity="nails at the joist",
    limits=["ledger-strip-nails", "ribbon-nails"],
    measures=["joist.hung", "hanger.fasteners", "fasteners.count", "fasteners.name"],
    provisions=["nail-ledger-strip", "ribbon-strip-support"],
    cautions=["crawl-space"],
    remedy=(
        "Drive three 16d common nails (or four 16d or 10d box nails) through the strip into the beam at each joist."
    ),
)
def ledger_strip_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """A ledger strip has its nails at each joist, and a joist on a ribbon is nailed to the stud.

    The nails at the joist carry that joist.
    """

    def judge(end: JoistEnd) -> Check:
        assert end.hung is not None
        table = "ledger-strip-nails" if end.hung.by == "ledger-strip" else "ribbon-nails"
        return replace(enough_nails(_held(end), end.hung.fasteners, limits, table), path=end.hung.path)

    yield from _each_hung(area, STRIPS, "ledger strips", judge)
