"""Drains on their way to the stack: slope, fall, and every joist that they meet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.quantities import Dimension, at_least, at_most, exactly, hull, maximum, times
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
from inspect_core.site.model import Drain
from inspect_wood_floor._drain_ways import Meeting, beside_joists, meetings, tall
from inspect_wood_floor._drains import (
    BINDS,
    BORE_CAUTIONS,
    ELSEWHERE,
    each_drain,
    fixtures_of,
    nominal,
    outside_of,
    route_length,
    slope_by_ends,
    slope_of,
)
from inspect_wood_floor._verdicts import all_of

DRAIN_CAUTIONS = ("sewer-opening", "crawl-space")
_NOUGHT = exactly(0.0, Dimension.SLOPE)


# --- slope ------------------------------------------------------------------------------------------------------------


def slope_limit(drain: Drain, limits: Limits) -> Limit:
    """Least slope by the drain's size; what may be either is a range."""
    size, large = nominal(drain.size, limits), limits["large-drain"].value
    is_large = at_least(size, large) if size is not None and large is not None else None
    key = None if is_large is None else "large" if is_large else "small"
    return limits.between("drain-slope", key, ("small", "large"))


@rule(
    "drain-slope",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.slope",
    quantity="slope",
    limits=["drain-slope", "large-drain", "pipe-size-band"],
    measures=["drain.slope", "drain.size"],
    provisions=["drain-slope-small", "drain-slope-large"],
    cautions=DRAIN_CAUTIONS,
    binds=BINDS,
    remedy="Hang the pipe to the slope with a level and rule, from the stack back to the fixture, before it is glued.",
)
def drain_slope(area: Area, limits: Limits) -> Iterator[Check]:
    """A level drain has the fall that its size needs.

    Too little, and solids settle and block it; a small pipe needs the most.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        slope, notes = slope_of(drain)
        asks = tuple(f for f, known in (("drain.slope", slope), ("drain.size", drain.size)) if known is None)
        limit = slope_limit(drain, limits)
        yield check(named(drain), measured=slope, at_least=limit, assuming=notes, asks=asks or ("drain.slope",))

    yield from each_drain(area, answer)


@rule(
    "drain-falls-evenly",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.slope",
    quantity="fall along the whole run",
    measures=["drain.falls_evenly", "drain.slope"],
    provisions=["drain-no-up"],
    cautions=DRAIN_CAUTIONS,
    binds=BINDS,
    remedy="Rehang every stretch that is level, sags or rises; add hangers where it sags.",
)
def drain_falls_evenly(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain falls all the way, with no stretch that is level, sags or rises, as a level on the pipe tells.

    Water stands in a sag, and what it carries stays there.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        even, slope, ends = drain.falls_evenly, drain.slope, slope_by_ends(drain)
        flat, ends_flat = (None if one is None else at_most(one, _NOUGHT) for one in (slope, ends))
        # That it falls at all is read off the pipe: without a slope nobody has laid a level on it.
        holds = False if flat else all_of((even, True if flat is False else None))
        found = "level, or it rises" if flat else "a stretch is level, sags or rises" if holds is False else ""
        if flat and even:
            found = "said to fall evenly, yet by its slope it is level or rises"
        elif holds and ends_flat:
            holds, found = None, "said to fall evenly, yet by its two ends it is level or rises"
        asks = tuple(
            field for field, known in (("drain.falls_evenly", even), ("drain.slope", flat)) if known is None
        ) or ("drain.start_below_joist_top", "drain.end_below_joist_top")
        yield fact(named(drain), holds, expected="it falls all the way", found=found, asks=asks)

    yield from each_drain(area, answer)


@rule(
    "drain-fall",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.slope",
    quantity="fall from the fixture to the stack",
    limits=["drain-slope", "large-drain", "pipe-size-band"],
    measures=["drain.start_below_joist_top", "drain.end_below_joist_top", "drain.route", "drain.size"],
    provisions=["drain-slope-small", "drain-slope-large"],
    cautions=DRAIN_CAUTIONS,
    binds=BINDS,
    remedy="Enter the stack lower, start the drain higher, or take a shorter way: the slope is needed along all of it.",
)
def drain_fall(area: Area, limits: Limits) -> Iterator[Check]:
    """From the fixture to the stack a drain has room for its fall over its whole length.

    The slope counts along the pipe, round every corner. A stack fitting that sits too high takes the fall away.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        run, start, end = route_length(drain), drain.start_below_joist_top, drain.end_below_joist_top
        fields = (
            ("drain.route", run),
            ("drain.start_below_joist_top", start),
            ("drain.end_below_joist_top", end),
            ("drain.size", drain.size),
        )
        least = slope_limit(drain, limits)
        need = times(least.value, run) if least.value is not None and run is not None else None
        yield check(
            named(drain),
            measured=end - start if start is not None and end is not None else None,
            at_least=least.derived(need, "its slope over its length"),
            asks=tuple(field for field, known in fields if known is None) or ("drain.end_below_joist_top",),
        )

    yield from each_drain(area, answer)


# --- beams on its way -------------------------------------------------------------------------------------------------


@rule(
    "drain-clear-of-beams",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="depth of the pipe below the joists' tops at the beam",
    limits=["drain-under-joists", "pipe-size-band"],
    measures=[
        "drain.through",
        "drain.route",
        "drain.start_below_joist_top",
        "drain.slope",
        "support.at",
        "support.across",
        "support.size",
        "support.joists_sit",
        "joist.size",
    ],
    provisions=["common-practice"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=(
        "Bring the drain over the beam or under it, or to a stack on its own side: a beam that carries the floor is "
        "not bored or notched for a drain without a licensed engineer's word."
    ),
)
def drain_clear_of_beams(area: Area, limits: Limits) -> Iterator[Check]:
    """Where a drain crosses a beam it passes over the beam or under it.

    A drain hung under the joists meets the beam that carries them, and nobody sees it on the plan.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        found = meetings(area, drain)
        if found is None or area.supports is None:
            fields = (("drain.route", found), ("area.supports", area.supports))
            asks = tuple(field for field, known in fields if known is None)
            yield not_measured(named(drain), asks=asks, because="not known which beams are on its way")
        elif not found:
            yield does_not_apply(named(drain), "it crosses no beam")
        for one in found or ():
            if area.supports is not None:
                yield _at_beam(area, drain, one, limits)

    yield from each_drain(area, answer)


def _at_beam(area: Area, drain: Drain, one: Meeting, limits: Limits) -> Check:
    subject, limit = named(drain, f"at beam {one.beam.id}"), limits["drain-under-joists"]
    depths = [joist.section.depth for joist in area.joists or ()]
    known = [depth for depth in depths if depth is not None]
    joists = hull(*known) if known and len(known) == len(depths) else None
    (slope, notes), start, outside = slope_of(drain), drain.start_below_joist_top, outside_of(drain, limits).diameter
    beam, sits = one.beam.section.depth, one.beam.joists_sit
    fields = (
        ("support.line", one.beam.line),
        *((name, one.comes) for name in one.asks),
        ("support.joists_sit", sits),
        ("drain.through", drain.through),
        ("drain.slope", slope),
        ("drain.start_below_joist_top", start),
        ("joist.size", joists),
    )
    asks = tuple(field for field, value in fields if value is None)
    if asks or joists is None or slope is None or start is None or one.comes is None or one.leaves is None:
        return not_measured(subject, asks=asks, because="not known how it passes the beam")
    if drain.through == "under-joists":
        lowest = None if beam is None else maximum(joists, beam) if sits != "on-top" else joists + beam
        top = start + times(slope, one.comes)
        under = limit.derived(lowest, "the beam's underside")
        return check(subject, measured=top, at_least=under, assuming=notes, asks=("support.size",))
    if sits != "on-top":
        found = "the joists meet the beam flush, so it stands in the way"
        return fact(subject, False, expected="the drain passes over the beam or under it", found=found)
    bottom = start + times(slope, one.leaves) + tall(outside, slope) if outside is not None else None
    over = limit.derived(joists, "the beam's top")
    return check(subject, measured=bottom, at_most=over, assuming=notes, asks=("drain.outside_diameter",))


# --- where it drops ---------------------------------------------------------------------------------------------------


@rule(
    "drain-drop-clear",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.through-joists",
    quantity="room between the pipe and the nearest joist where it drops",
    limits=["drain-joist-clearance", "pipe-size-band"],
    measures=["drain.route", "drain.outside_diameter", "drain.size", "joist_group.at", "joist.size"],
    provisions=["drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def drain_drop_clear(area: Area, limits: Limits) -> Iterator[Check]:
    """The drain of a tub, a shower or the floor drops beside the joists, not onto one.

    Where the fixture puts its drain over a joist, the joist always loses: look before the tub is ordered.
    """
    limit = limits["drain-joist-clearance"]

    def answer(drain: Drain) -> Iterator[Check]:
        subject, served = named(drain), fixtures_of(area, drain)
        if served is None:
            asks = ("drain.serves",) if drain.serves is None else ("area.fixtures",)
            yield not_measured(subject, asks=asks, because="not said what drains into it")
            return
        if not any(fixture.kind in (*_IN_FLOOR, None) for fixture in served):
            yield does_not_apply(subject, "no tub, shower or floor drain drops into it here")
            return
        outside = outside_of(drain, limits)
        start = drain.route[0] if drain.route else None
        if start is None or start[0] is None or start[1] is None or outside.diameter is None or area.joists is None:
            known = (
                ("drain.route", start if start is not None and None not in start else None),
                ("drain.outside_diameter", outside.diameter),
                ("area.joists", area.joists),
            )
            missing = tuple(field for field, value in known if value is None)
            yield not_measured(subject, asks=missing, because="not known how near it drops to a joist")
            return
        room, brief = beside_joists(area, (start[0], start[1]), outside.diameter, limit)
        if room is None:
            yield not_measured(subject, asks=("joist_group.at", "joist.size"), because="no joist whose place is known")
            return
        found = check(subject, measured=room, at_least=limit, assuming=outside.notes, asks=("joist_group.at",))
        if found.outcome == FALLS_SHORT and brief:
            found = replace(found, found=brief, remedy=f"It is {brief}. {ELSEWHERE}")
        if found.outcome in (MEETS, FALLS_SHORT) and all(f.kind not in _IN_FLOOR for f in served):
            found = not_measured(subject, asks=("fixture.kind",), because="a fixture's kind is unknown")
        yield found

    yield from each_drain(area, answer)


_IN_FLOOR = ("tub", "shower", "floor-drain")
