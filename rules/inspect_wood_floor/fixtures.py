"""Fixtures: room about them, the size of showers, the toilet's flange, how they stand and are sealed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from inspect_core.quantities import Quantity, at_least, minimum, times
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
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
from inspect_core.site.model import Fixture, Pair
from inspect_wood_floor._drain_ways import beside_joists
from inspect_wood_floor._drains import BINDS, BORE_CAUTIONS, ELSEWHERE
from inspect_wood_floor._gaps import straight
from inspect_wood_floor._listed import listed_parts

WITH_CENTRES = ("toilet", "bidet")
PLUMBED = ("toilet", "bidet", "tub", "shower", "lavatory", "vanity")
NEIGHBOURS = ("toilet", "bidet", "lavatory", "vanity")


def _each_fixture(area: Area, about: Callable[[Fixture], Check], what: str, *kinds: str) -> Iterator[Check]:
    """One answer for each fixture of these kinds; one answer where nobody listed them, or there is none."""
    everything = Named(what, area.path)
    if area.fixtures is None:
        yield not_measured(everything, asks=("area.fixtures",), because="not said what stands on this floor")
        return
    unsure = [fixture for fixture in area.fixtures if fixture.kind is None]
    found = [fixture for fixture in area.fixtures if fixture.kind in kinds]
    for fixture in unsure:
        yield not_measured(named(fixture), asks=("fixture.kind",), because="a fixture of unknown kind")
    if not found and not unsure:
        yield does_not_apply(everything, f"no {' or '.join(kinds)} here")
    for fixture in found:
        yield about(fixture)


# --- room about them --------------------------------------------------------------------------------------------------


@rule(
    "toilet-side-room",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fixture.room",
    quantity="centre to the nearer side",
    limits=["toilet-side"],
    measures=["clearances.left", "clearances.right"],
    provisions=["wc-center-side"],
    binds=BINDS,
    remedy="Move the flange before the floor is closed, or the wall or the fixture beside it.",
)
def toilet_side_room(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet has room at either side, measured from its centre to the finished wall or the next fixture."""

    def about(toilet: Fixture) -> Check:
        room = toilet.clearances
        sides = [("clearances.left", room.left if room else None), ("clearances.right", room.right if room else None)]
        known = [value for _, value in sides if value is not None]
        nearer, limit = minimum(*known) if known else None, limits["toilet-side"]
        asks = tuple(field for field, value in sides if value is None)
        short = nearer is not None and limit.value is not None and at_least(nearer, limit.value) is False
        if len(known) < 2 and not short:
            return not_measured(named(toilet), expected="there is room at both sides", asks=asks)
        path = room.path if room is not None else None
        return check(named(toilet), measured=nearer, at_least=limit, asks=asks or ("clearances.left",), path=path)

    yield from _each_fixture(area, about, "toilets", *WITH_CENTRES)


@rule(
    "toilet-centres",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="fixture.room",
    quantity="centre to the next fixture's centre",
    limits=["toilet-centres"],
    measures=["fixture.at"],
    provisions=["wc-center-center"],
    binds=BINDS,
    remedy="Move one of the two before the floor is closed.",
)
def toilet_centres(area: Area, limits: Limits) -> Iterator[Check]:
    """Between the centres of a toilet and the next toilet, bidet or lavatory there is room for two people's knees."""
    fixtures = area.fixtures or ()

    def about(toilet: Fixture) -> Check:
        others = [other for other in fixtures if other is not toilet and other.kind in (*NEIGHBOURS, None)]
        limit = limits["toilet-centres"]
        if not others:
            return does_not_apply(named(toilet), "no other toilet, bidet or lavatory here")
        gaps = [_apart(toilet.at, other.at) for other in others]
        known = [gap for gap in gaps if gap is not None]
        nearest = minimum(*known) if known else None
        named_kinds = all(other.kind is not None for other in others)
        if len(known) < len(gaps) or not named_kinds:
            sure = [gap for gap, other in zip(gaps, others, strict=True) if gap is not None and other.kind is not None]
            nearest = minimum(*sure) if sure else None
            if nearest is None or limit.value is None or at_least(nearest, limit.value) is not False:
                asks = ("fixture.at",) if named_kinds else ("fixture.at", "fixture.kind")
                return not_measured(named(toilet), asks=asks, because="not known how far the next fixture is")
        return check(named(toilet), measured=nearest, at_least=limit, asks=("fixture.at",))

    yield from _each_fixture(area, about, "toilets", *WITH_CENTRES)


def _apart(one: Pair | None, other: Pair | None) -> Quantity | None:
    if one is None or other is None:
        return None
    (a1, l1), (a2, l2) = one, other
    if a1 is None or l1 is None or a2 is None or l2 is None:
        return None
    return straight(abs(a2 - a1), abs(l2 - l1))


@rule(
    "toilet-front-room",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fixture.room",
    quantity="clear room in front",
    limits=["toilet-front"],
    measures=["clearances.front"],
    provisions=["wc-front"],
    binds=BINDS,
    remedy="Choose a shorter bowl, or move the flange or what stands in front before the floor is closed.",
)
def toilet_front_room(area: Area, limits: Limits) -> Iterator[Check]:
    """There is clear room in front of a toilet."""

    def about(toilet: Fixture) -> Check:
        front = toilet.clearances.front if toilet.clearances else None
        return check(named(toilet), measured=front, at_least=limits["toilet-front"], asks=("clearances.front",))

    yield from _each_fixture(area, about, "toilets", *WITH_CENTRES)


@rule(
    "shower-front-room",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="fixture.room",
    quantity="clear room in front",
    limits=["shower-front"],
    measures=["clearances.front"],
    provisions=["shower-front"],
    binds=BINDS,
    remedy="Turn the entry to the free side, or move what stands before it.",
)
def shower_front_room(area: Area, limits: Limits) -> Iterator[Check]:
    """There is clear room in front of a shower's opening."""

    def about(shower: Fixture) -> Check:
        front = shower.clearances.front if shower.clearances else None
        return check(named(shower), measured=front, at_least=limits["shower-front"], asks=("clearances.front",))

    yield from _each_fixture(area, about, "showers", "shower")


@rule(
    "toilet-rough-in",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="fixture.flange",
    quantity="flange to the finished back wall",
    limits=["toilet-rough-in"],
    measures=["clearances.back", "fixture.rough_in"],
    provisions=["wc-roughin"],
    binds=BINDS,
    remedy="Order a toilet made for this distance, or move the flange before the floor is closed; wall and tile count.",
)
def toilet_rough_in(area: Area, limits: Limits) -> Iterator[Check]:
    """The flange lies as far from the finished back wall as the toilet is made for.

    Two inches too near, and the tank does not fit before the wall.
    """
    models = tuple(limits.keys("toilet-rough-in"))

    def about(toilet: Fixture) -> Check:
        back = toilet.clearances.back if toilet.clearances else None
        if toilet.rough_in is not None:
            limit = limits["toilet-rough-in", "usual"].derived(toilet.rough_in, "what this toilet is made for")
        else:
            limit = limits.between("toilet-rough-in", None, models)
        known = (("clearances.back", back), ("fixture.rough_in", toilet.rough_in))
        asks = tuple(field for field, value in known if value is None)
        return check(named(toilet), measured=back, at_least=limit, asks=asks)

    yield from _each_fixture(area, about, "toilets", "toilet")


# --- showers ----------------------------------------------------------------------------------------------------------


def _inside(shower: Fixture) -> Quantity | None:
    return times(*shower.inside) if shower.inside is not None else None


@rule(
    "shower-area",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fixture.shower",
    quantity="inside area",
    limits=["shower-area"],
    measures=["fixture.inside"],
    provisions=["shower-area"],
    binds=BINDS,
    remedy="Make the shower larger before its drain is set: finished walls count, not studs.",
)
def shower_area(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower has floor enough inside its finished walls."""

    def about(shower: Fixture) -> Check:
        return check(named(shower), measured=_inside(shower), at_least=limits["shower-area"], asks=("fixture.inside",))

    yield from _each_fixture(area, about, "showers", "shower")


@rule(
    "shower-least-side",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fixture.shower",
    quantity="smallest inside dimension",
    limits=["shower-least-side", "shower-large-area"],
    measures=["fixture.inside"],
    provisions=["shower-min-dim", "shower-area"],
    binds=BINDS,
    remedy="Widen the shower before its drain is set, up to the height where a person's shoulders turn.",
)
def shower_least_side(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower is wide enough to turn in; a large one may be narrower."""

    def about(shower: Fixture) -> Check:
        inside, large = _inside(shower), limits["shower-large-area"].value
        is_large = at_least(inside, large) if inside is not None and large is not None else None
        limit = limits.between(
            "shower-least-side",
            None if is_large is None else "large" if is_large else "ordinary",
            ("ordinary", "large"),
        )
        side = minimum(*shower.inside) if shower.inside is not None else None
        return check(named(shower), measured=side, at_least=limit, asks=("fixture.inside",))

    yield from _each_fixture(area, about, "showers", "shower")


@rule(
    "shower-entry",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="fixture.shower",
    quantity="clear width of the entry",
    limits=["shower-entry"],
    measures=["fixture.entry"],
    provisions=["shower-opening"],
    binds=BINDS,
    remedy="Widen the entry: somebody may have to be carried out of it.",
)
def shower_entry(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower's entry is wide enough to get out in need."""

    def about(shower: Fixture) -> Check:
        return check(named(shower), measured=shower.entry, at_least=limits["shower-entry"], asks=("fixture.entry",))

    yield from _each_fixture(area, about, "showers", "shower")


@rule(
    "hot-mop-layers",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="fixture.hot-mop",
    quantity="layers of felt",
    limits=["hot-mop-layers"],
    measures=["liner.layers", "liner.kind"],
    provisions=["hotmop-layers"],
    cautions=["hot-mop"],
    remedy="Add layers, each mopped to the last, and lap them well away from the corners.",
)
def hot_mop_layers(area: Area, limits: Limits) -> Iterator[Check]:
    """A hot-mopped shower pan has layers of felt enough."""
    limit = limits["hot-mop-layers"]
    yield from listed_parts(area, "wet_areas", "wet areas", because="not said whether there is a shower")
    for wet in area.wet_areas or ():
        liner = wet.liner
        if wet.kind not in ("shower", "wet-room", None):
            yield does_not_apply(named(wet), f"a {wet.kind}, which has no pan")
        elif liner is None or liner.kind is None:
            yield not_measured(named(wet), asks=("liner.kind",), because="not said what its liner is made of")
        elif liner.kind != "hot-mop":
            yield does_not_apply(named(wet), "not a hot-mopped pan")
        else:
            yield check(named(wet), measured=liner.layers, at_least=limit, asks=("liner.layers",), path=liner.path)


# --- the toilet's flange ----------------------------------------------------------------------------------------------


@rule(
    "flange-beside-joists",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.through-joists",
    quantity="room between the pipe under the flange and the nearest joist",
    limits=["drain-joist-clearance"],
    measures=["flange.at", "flange.outside_diameter", "joist_group.at", "joist.size"],
    provisions=["drain-hits-joist"],
    cautions=BORE_CAUTIONS,
    binds=BINDS,
    remedy=ELSEWHERE,
)
def flange_beside_joists(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet's flange lies between joists, with room for its bend.

    It is found out when the hole is cut; measured before, it is a matter of a few inches.
    """
    limit = limits["drain-joist-clearance"]

    def about(toilet: Fixture) -> Check:
        subject, flange = named(toilet, "flange"), toilet.flange
        at = flange.at if flange is not None else None
        outside = flange.outside_diameter if flange is not None else None
        if at is None or at[0] is None or at[1] is None or outside is None or area.joists is None:
            known = (
                ("flange.at", at if at is not None and None not in at else None),
                ("flange.outside_diameter", outside),
                ("area.joists", area.joists),
            )
            asks = tuple(field for field, value in known if value is None)
            return not_measured(subject, asks=asks, because="not known how near it comes to a joist")
        room, brief = beside_joists(area, (at[0], at[1]), outside, limit)
        if room is None:
            asks = ("joist_group.at", "joist.size")
            return not_measured(subject, asks=asks, because="no joist whose place is known")
        path = flange.path if flange is not None else None
        found = check(subject, measured=room, at_least=limit, asks=("joist_group.at", "flange.at"), path=path)
        if found.outcome == FALLS_SHORT and brief:
            found = replace(found, found=brief, remedy=f"It is {brief}. An offset flange may do. {ELSEWHERE}")
        return found

    yield from _each_fixture(area, about, "toilet flange", "toilet")


@rule(
    "flange-fastened",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="fixture.flange",
    quantity="flange screwed to",
    limits=["flange-fastened"],
    measures=["flange.fixed_to"],
    provisions=["wc-flange-fasten"],
    cautions=["sewer-opening"],
    remedy="Screw the flange through the finished floor into sound subfloor or blocking, with screws that don't rust.",
)
def flange_fastened(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet's flange is screwed to the structure, not to tile alone or to a loose board.

    The bolts of the bowl pull at it with every sitting; a flange that moves breaks its seal.
    """

    def about(toilet: Fixture) -> Check:
        fixed = toilet.flange.fixed_to if toilet.flange is not None else None
        path = toilet.flange.path if toilet.flange is not None else None
        limit = limits["flange-fastened"]
        return check(named(toilet, "flange"), measured=fixed, one_of=limit, asks=("flange.fixed_to",), path=path)

    yield from _each_fixture(area, about, "toilet flange", "toilet")


# --- how they stand ---------------------------------------------------------------------------------------------------


@rule(
    "tub-support",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="fixture.support",
    quantity="support",
    limits=["fixture-support"],
    measures=["fixture.supported"],
    provisions=["tub-support"],
    binds=BINDS,
    remedy="Bed it in mortar or foam as its maker says, over its whole bottom, on a level floor.",
)
def tub_support(area: Area, limits: Limits) -> Iterator[Check]:
    """A tub or shower base stands on its whole bottom, or as its maker says.

    A base that hangs by its rim flexes under a person until the drain's seal opens.
    """

    def about(fixture: Fixture) -> Check:
        limit = limits["fixture-support", fixture.kind or ""]
        return check(named(fixture), measured=fixture.supported, one_of=limit, asks=("fixture.supported",))

    yield from _each_fixture(area, about, "tubs and showers", "tub", "shower")


@rule(
    "fixture-sealed",
    hold_point="final",
    severity=ADVISORY,
    reference="fixture.seal",
    quantity="joint with floor and wall",
    measures=["fixture.sealed"],
    provisions=["fixture-floor-seal"],
    binds=BINDS,
    remedy="Seal the joint; leave a gap at the back of a toilet's foot where code allows it, so that a leak shows.",
)
def fixture_sealed(area: Area, limits: Limits) -> Iterator[Check]:
    """The joints of a fixture with floor and wall are sealed."""

    def about(fixture: Fixture) -> Check:
        found = "the joint is open" if fixture.sealed is False else ""
        expected = "its joints with floor and wall are sealed"
        return fact(named(fixture), fixture.sealed, expected=expected, found=found, asks=("fixture.sealed",))

    yield from _each_fixture(area, about, "fixtures", *PLUMBED)
