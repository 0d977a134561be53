"""Traps and vents: what keeps the air of the sewer out of the house."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.engineering.drainage import longest_arm_for_fall
from inspect_core.quantities import Dimension, Quantity, at_most, exactly, hull, render, times
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limit,
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
from inspect_core.site.model import Drain, Fixture, Trap
from inspect_wood_floor._drains import BINDS, each_drain, fixtures_of, nominal, slope_of

TRAP_CAUTIONS = ("sewer-opening",)
INTEGRAL = "the trap within a toilet, which is made to siphon"


def _each_trap(area: Area, about: Callable[[Drain, Trap], Check]) -> Iterator[Check]:
    """One answer for each drain with a trap of its own."""

    def answer(drain: Drain) -> Iterator[Check]:
        trap = drain.trap
        if trap is None or trap.kind is None:
            yield not_measured(named(drain), asks=("trap.kind",), because="its trap is not described")
        elif trap.kind == "none":
            yield does_not_apply(named(drain), "it has no trap: see whether it may be without")
        elif trap.kind == "integral":
            yield does_not_apply(named(drain), INTEGRAL)
        else:
            yield about(drain, trap)

    yield from each_drain(area, answer, "drains, traps")


def _trap_size(drain: Drain, limits: Limits) -> Quantity | None:
    return nominal(drain.trap.size if drain.trap is not None else None, limits)


def _key(size: Quantity | None, limits: Limits, table: str) -> str | None:
    """The entry of a table by size: that of the size itself, else of the next smaller one."""
    if size is None or size.is_range or size.estimate:
        return None
    found = None
    for key in limits.keys(table):
        if (inches := _inches(key)) <= size.low + 1e-6:
            found = key if found is None or inches > _inches(found) else found
    return found


def _inches(key: str) -> float:
    whole, _, part = key.partition("-")
    over, _, under = part.partition("/")
    return float(whole) + (float(over) / float(under) if part else 0.0)


# --- the trap ---------------------------------------------------------------------------------------------------------


@rule(
    "trap-kind",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.traps",
    quantity="trap",
    limits=["trap-kinds"],
    measures=["trap.kind"],
    provisions=["trap-prohibited"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Put in a P trap with a vent behind it; an old S or drum trap that is sound may stay if nothing is altered.",
)
def trap_kind(area: Area, limits: Limits) -> Iterator[Check]:
    """New work has P traps: no S, drum or bell traps, and no fixture without a trap.

    An S trap sucks itself empty, a drum trap fills with what nobody can rod out.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        kind = drain.trap.kind if drain.trap is not None else None
        yield check(named(drain), measured=kind, one_of=limits["trap-kinds"], asks=("trap.kind",))

    yield from each_drain(area, answer, "drains, traps")


@rule(
    "trap-seal",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.traps",
    quantity="water seal",
    limits=["trap-seal-least", "trap-seal-most"],
    measures=["trap.seal"],
    provisions=["trap-seal"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Put in a listed trap of the right depth; two traps in a row are no deeper seal and don't drain.",
)
def trap_seal(area: Area, limits: Limits) -> Iterator[Check]:
    """A trap's water seal is deep enough to last and shallow enough to be washed clean."""

    def about(drain: Drain, trap: Trap) -> Check:
        low, high = limits["trap-seal-least"], limits["trap-seal-most"]
        return check(named(drain), measured=trap.seal, at_least=low, at_most=high, asks=("trap.seal",), path=trap.path)

    yield from _each_trap(area, about)


@rule(
    "trap-drop",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.traps",
    quantity="drop from the fixture's outlet to the weir",
    limits=["trap-drop"],
    measures=["trap.drop"],
    provisions=["trap-drop"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Raise the trap: it belongs right under the fixture, not down in the crawl space.",
)
def trap_drop(area: Area, limits: Limits) -> Iterator[Check]:
    """A trap sits close under its fixture.

    Water that falls far comes so fast that it takes the seal with it.
    """

    def about(drain: Drain, trap: Trap) -> Check:
        limit = limits["trap-drop"]
        return check(named(drain), measured=trap.drop, at_most=limit, asks=("trap.drop",), path=trap.path)

    yield from _each_trap(area, about)


@rule(
    "trap-size",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.traps",
    quantity="trap size",
    limits=["trap-size", "trap-size-recalled", "pipe-size-band"],
    measures=["trap.size", "drain.serves", "fixture.kind", "fixture.heads"],
    provisions=["trap-size-tub", "trap-size-lav", "trap-size-shower", "trap-size-floor"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Put in the trap that the fixture's flow asks for, and a drain no smaller than the trap.",
)
def trap_size(area: Area, limits: Limits) -> Iterator[Check]:
    """A trap is as large as its fixture needs."""

    def answer(drain: Drain) -> Iterator[Check]:
        served, trap = fixtures_of(area, drain), drain.trap
        if served is None or not served:
            asks = ("drain.serves",) if drain.serves is None or area.fixtures is not None else ("area.fixtures",)
            yield not_measured(named(drain), asks=asks, because="not said what drains into it")
        for fixture in served or ():
            subject = named(drain, f"for {fixture.kind or 'fixture'} {fixture.id}")
            limit = _least_trap(fixture, limits)
            if fixture.kind is None:
                yield not_measured(subject, asks=("fixture.kind",), because="a fixture of unknown kind")
            elif fixture.kind == "toilet" or (trap is not None and trap.kind == "integral"):
                yield does_not_apply(subject, INTEGRAL)
            elif limit is None:
                yield does_not_apply(subject, f"no least trap is listed here for a {fixture.kind}")
            else:
                asks = ("trap.size",) if trap is None or trap.size is None else ("fixture.heads",)
                yield check(subject, measured=_trap_size(drain, limits), at_least=limit, asks=asks)

    yield from each_drain(area, answer, "drains, traps")


def _least_trap(fixture: Fixture, limits: Limits) -> Limit | None:
    kind = "lavatory" if fixture.kind == "vanity" else fixture.kind or ""
    if kind == "shower":
        keys = ("shower-one-head", "shower-more-heads")
        one = at_most(fixture.heads, exactly(1, Dimension.COUNT)) if fixture.heads is not None else None
        return limits.between("trap-size-recalled", None if one is None else keys[0 if one else 1], keys)
    for table in ("trap-size", "trap-size-recalled"):
        if limits.has(table, kind):
            return limits[table, kind]
    return None


@rule(
    "trap-reachable",
    hold_point="final",
    severity=CORRECTION,
    reference="drain.traps",
    quantity="access to slip joints",
    measures=["trap.slip_joints", "trap.reachable"],
    provisions=["trap-accessible"],
    cautions=TRAP_CAUTIONS,
    remedy="Cut an access panel to the slip joints, or replace them by glued or soldered joints before all is closed.",
)
def trap_reachable(area: Area, limits: Limits) -> Iterator[Check]:
    """Slip joints of a trap can be reached.

    Their nuts loosen with the years; under a tub nobody sees the drip.
    """

    def about(drain: Drain, trap: Trap) -> Check:
        subject, expected = named(drain), "its slip joints can be reached"
        if trap.slip_joints is False:
            return does_not_apply(subject, "its joints are glued or soldered; none slips")
        if trap.reachable or (trap.slip_joints and trap.reachable is False):
            return fact(
                subject, trap.reachable, expected=expected, found="" if trap.reachable else "nobody can reach them"
            )
        asks = ("trap.reachable",) if trap.reachable is None else ("trap.slip_joints",)
        return not_measured(subject, expected=expected, asks=asks)

    yield from _each_trap(area, about)


# --- from the trap to the vent ----------------------------------------------------------------------------------------


@rule(
    "trap-arm-length",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.trap-arm",
    quantity="way from trap to vent",
    limits=["trap-arm", "pipe-size-band"],
    measures=["trap.arm", "trap.size"],
    provisions=["trap-arm-114", "trap-arm-112", "trap-arm-2", "trap-arm-3", "trap-arm-4"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Bring the vent nearer to the trap, or run a larger pipe and trap from the fixture on.",
)
def trap_arm_length(area: Area, limits: Limits) -> Iterator[Check]:
    """A trap's vent is near enough.

    Further off, the water runs full in the pipe and pulls the seal out behind it.
    """

    def about(drain: Drain, trap: Trap) -> Check:
        size = _trap_size(drain, limits)
        keys = tuple(limits.keys("trap-arm"))
        key = _key(size, limits, "trap-arm")
        if size is not None and key is None and size.high < _inches(keys[0]):
            return does_not_apply(named(drain), "smaller than any trap of the table: see its size")
        asks = tuple(f for f, known in (("trap.arm", trap.arm), ("trap.size", trap.size)) if known is None)
        limit = limits.between("trap-arm", key, keys)
        return check(named(drain), measured=trap.arm, at_most=limit, asks=asks or ("trap.size",), path=trap.path)

    yield from _each_trap(area, about)


@rule(
    "trap-arm-fall",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.trap-arm",
    quantity="fall from trap to vent",
    limits=["trap-arm-fall", "pipe-size-band"],
    measures=["trap.arm", "trap.size", "drain.slope"],
    provisions=["trap-arm-114", "trap-arm-112", "trap-arm-2", "trap-arm-3", "trap-arm-4"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Lay the pipe between trap and vent at its least slope, or bring the vent nearer.",
)
def trap_arm_fall(area: Area, limits: Limits) -> Iterator[Check]:
    """From the trap's weir to its vent the pipe falls no more than its own diameter.

    If the vent's fitting lies lower than the weir, the whole pipe is a siphon: too much slope is as bad as too little.
    """

    def about(drain: Drain, trap: Trap) -> Check:
        (slope, notes), size = slope_of(drain), _trap_size(drain, limits)
        fields = (("trap.arm", trap.arm), ("drain.slope", slope), ("trap.size", size))
        longest = None
        if slope is not None and size is not None:
            ends = [longest_arm_for_fall(size.low, slope.high), longest_arm_for_fall(size.high, slope.low)]
            known = [exactly(end, Dimension.LENGTH) for end in ends if end is not None]
            longest = hull(*known) if len(known) == len(ends) else None
        return check(
            named(drain),
            measured=times(slope, trap.arm) if slope is not None and trap.arm is not None else None,
            at_most=limits["trap-arm-fall"].of(size, "the diameter of its pipe"),
            found=_longest(longest, area),
            assuming=notes,
            asks=tuple(field for field, known in fields if known is None) or ("trap.arm",),
            path=trap.path,
        )

    yield from _each_trap(area, about)


def _longest(arm: Quantity | None, area: Area) -> str:
    return f"at this slope the way may be {render(arm, area.units, hair=False)} long" if arm is not None else ""


@rule(
    "trap-arm-least",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.trap-arm",
    quantity="way from trap to vent",
    limits=["trap-arm-least", "pipe-size-band"],
    measures=["trap.arm", "trap.size"],
    provisions=["trap-arm-min", "trap-prohibited"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Move the vent away from the crown of the trap.",
)
def trap_arm_least(area: Area, limits: Limits) -> Iterator[Check]:
    """A vent is not right at the crown of its trap.

    There the water splashes into it and dirt closes it.
    """

    def about(drain: Drain, trap: Trap) -> Check:
        limit = limits["trap-arm-least"].of(_trap_size(drain, limits), "2 diameters of its pipe")
        asks = tuple(f for f, known in (("trap.arm", trap.arm), ("trap.size", trap.size)) if known is None)
        return check(named(drain), measured=trap.arm, at_least=limit, asks=asks or ("trap.arm",), path=trap.path)

    yield from _each_trap(area, about)


# --- vents ------------------------------------------------------------------------------------------------------------


@rule(
    "drain-vented",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.vents",
    quantity="vent",
    measures=["drain.vented"],
    provisions=["trap-prohibited"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Have a licensed plumber bring a vent to it, or an approved air admittance valve where code allows it.",
)
def drain_vented(area: Area, limits: Limits) -> Iterator[Check]:
    """A fixture's drain has a vent.

    Without air behind it the water sucks the trap empty, and sewer gas comes up.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        found = "no vent" if drain.vented is False else ""
        yield fact(named(drain), drain.vented, expected="a vent is connected", found=found, asks=("drain.vented",))

    yield from each_drain(area, answer, "drains, vents")


@rule(
    "vent-level-height",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.vents",
    quantity="height of the vent's first level stretch over the fixture's rim",
    limits=["vent-level-over-rim"],
    measures=["drain.vent_level_over_rim"],
    provisions=["vent-horizontal-height"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Take the vent straight up before it turns; below the rim it fills with waste when the drain backs up.",
)
def vent_level_height(area: Area, limits: Limits) -> Iterator[Check]:
    """A dry vent rises well over the fixture's rim before it runs level."""

    def answer(drain: Drain) -> Iterator[Check]:
        subject, units = named(drain), drain.wet_vent_units
        if drain.vented is False:
            yield does_not_apply(subject, "no vent: see whether it may be without")
        elif units is not None and units.low > 0:
            yield does_not_apply(subject, "vented by another fixture's drain")
        else:
            limit = limits["vent-level-over-rim"]
            asks = ("drain.vent_level_over_rim",)
            yield check(subject, measured=drain.vent_level_over_rim, at_least=limit, asks=asks)

    yield from each_drain(area, answer, "drains, vents")


@rule(
    "wet-vent-size",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.vents",
    quantity="fixture units into the wet vent",
    limits=["wet-vent-units", "pipe-size-band"],
    measures=["drain.wet_vent_units", "drain.size"],
    provisions=["wet-vent-table"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Run a larger pipe where it is drain and vent at once, or give the lower fixture a vent of its own.",
)
def wet_vent_size(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain that is another fixture's vent as well is large enough for both."""

    def answer(drain: Drain) -> Iterator[Check]:
        subject, units = named(drain), drain.wet_vent_units
        if units is not None and units.high <= 0:
            yield does_not_apply(subject, "no stretch of it is a vent as well")
            return
        size, keys = nominal(drain.size, limits), tuple(limits.keys("wet-vent-units"))
        key = _key(size, limits, "wet-vent-units")
        asks = tuple(f for f, known in (("drain.wet_vent_units", units), ("drain.size", size)) if known is None)
        limit = limits.between("wet-vent-units", key, keys)
        if size is not None and key is None and size.high < _inches(keys[0]):
            limit = limit.derived(exactly(0.0, Dimension.COUNT), "smaller than any size of the table")
        yield check(subject, measured=units, at_most=limit, asks=asks or ("drain.size",))

    yield from each_drain(area, answer, "drains, vents")


# --- toilets ----------------------------------------------------------------------------------------------------------


@rule(
    "toilet-drain-size",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.traps",
    quantity="size of the toilet's drain",
    limits=["toilet-drain", "pipe-size-band"],
    measures=["drain.size", "drain.serves", "area.drains"],
    provisions=["wc-drain-size"],
    cautions=TRAP_CAUTIONS,
    binds=BINDS,
    remedy="Run the larger pipe from the toilet's bend to the stack.",
)
def toilet_drain_size(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet's drain is large enough all the way."""
    everything, limit = Named("toilet drains", area.path), limits["toilet-drain"]
    if area.fixtures is None:
        yield not_measured(everything, asks=("area.fixtures",), because="not said what stands on this floor")
        return
    toilets = [fixture for fixture in area.fixtures if fixture.kind == "toilet"]
    unsure = [fixture for fixture in area.fixtures if fixture.kind is None]
    if unsure:
        yield not_measured(everything, asks=("fixture.kind",), because="a fixture's kind is unknown")
    elif not toilets:
        yield does_not_apply(everything, "no toilet here")
    for toilet in toilets:
        drains = [drain for drain in area.drains or () if toilet.id in (drain.serves or ())]
        if not drains:
            yield not_measured(named(toilet), asks=("area.drains", "drain.serves"), because="no drain of it is listed")
        for drain in drains:
            subject = named(drain, f"for toilet {toilet.id}")
            yield check(subject, measured=nominal(drain.size, limits), at_least=limit, asks=("drain.size",))
