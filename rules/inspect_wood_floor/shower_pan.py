"""Showers built in place: what keeps the water off the floor, its slope and curb, and the test that proves it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Layer, Liner, WetArea
from inspect_wood_floor._labels import names_one
from inspect_wood_floor._layering import covers, overlap
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._verdicts import Verdict, any_of

UNDER_BED = ("pvc-sheet", "cpe-sheet", "hot-mop", "lead-or-copper")  # liners under a mortar bed
MAY_BE_WATERPROOF = ("membrane", "uncoupling", None)
WASHED = ("shower", "wet-room")


# --- which wet areas --------------------------------------------------------------------------------------------------


def _showers(area: Area, answer: Callable[[WetArea], Check], *kinds: str) -> Iterator[Check]:
    """One answer for each wet area of these kinds (showers, when none is given)."""
    wanted, because = kinds or ("shower",), "not said whether there is a shower or wet room"
    yield from listed_parts(area, "wet_areas", "wet areas", because=because)
    for wet in area.wet_areas or ():
        where = named(wet)
        if wet.kind is None:
            yield not_measured(where, expected=f"it is a {' or '.join(wanted)}", asks=("wet_area.kind",))
        elif wet.kind not in wanted:
            yield does_not_apply(where, f"a {wet.kind}; this is about a {' or '.join(wanted)}")
        else:
            yield answer(wet)


def _lined(area: Area, about: Callable[[WetArea, Liner], Check], *liners: str) -> Iterator[Check]:
    """One answer for each shower with a liner; with ``liners`` only for those kinds."""

    def answer(wet: WetArea) -> Check:
        liner = wet.liner
        if liner is None or liner.kind is None:
            return not_measured(named(wet), because="not known what its liner is made of", asks=("liner.kind",))
        if liner.kind == "none":
            return does_not_apply(named(wet), "no liner: see whether it is waterproof at all")
        if liners and liner.kind not in liners:
            return does_not_apply(named(wet), f"a {liner.kind} liner goes by its maker here")
        return about(wet, liner)

    yield from _showers(area, answer, *WASHED)


# --- waterproof at all ------------------------------------------------------------------------------------------------


@rule(
    "shower-waterproofing",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.waterproofing",
    quantity="waterproofing",
    measures=["liner.kind", "layer.waterproof", "wet_area.liner"],
    provisions=["felt-layer", "liner-material", "membrane-a11810"],
    cautions=["mould-and-dust", "old-layers"],
    remedy=(
        "Put in a pan liner or a bonded membrane that its maker calls waterproof, run up the walls and into the drain."
    ),
)
def shower_waterproofing(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower or wet room has a liner or a waterproof membrane; felt, backer and tile are none.

    Tile and grout let water through from the first day. Felt sheds a splash and then passes the rest to the panels.
    """

    def answer(wet: WetArea) -> Check:
        proof = any_of((_has_liner(wet), _waterproof_layers(area, wet)))
        felt = any(_under(wet, layer) and layer.kind == "felt" for layer in area.layers or ())
        found = "" if proof is not False else "felt alone, which is not waterproof" if felt else "neither"
        return fact(
            named(wet),
            proof,
            expected="a liner or a waterproof membrane keeps water off the floor",
            found=found,
            asks=("liner.kind", "layer.waterproof") if area.layers is not None else ("liner.kind", "area.layers"),
        )

    yield from _showers(area, answer, *WASHED)


def _has_liner(wet: WetArea) -> Verdict:
    return None if wet.liner is None or wet.liner.kind is None else wet.liner.kind != "none"


def _waterproof_layers(area: Area, wet: WetArea) -> Verdict:
    """Whether a waterproof layer covers the wet area; one over part of the room only where both places are known."""
    if area.layers is None:
        return None
    verdict: Verdict = False
    for layer in area.layers:
        if layer.waterproof and covers(layer.region, wet.region):
            return True
        if layer.waterproof or (layer.waterproof is None and layer.kind in MAY_BE_WATERPROOF and _under(wet, layer)):
            verdict = None
    return verdict


def _under(wet: WetArea, layer: Layer) -> bool:
    return overlap(wet.region, layer.region)


# --- the liner --------------------------------------------------------------------------------------------------------


@rule(
    "liner-standard",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.liner",
    quantity="standard of the liner",
    limits=["liner-standards"],
    measures=["liner.standard", "liner.kind"],
    provisions=["liner-material", "membrane-a11810"],
    cautions=["standing-test"],
    remedy="Use a liner whose print or data sheet names its standard; one that names none comes out again.",
)
def liner_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower liner is made to the standard of its kind.

    Builders' film looks the same on the roll and cracks at the first fold.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        kind = liner.kind or ""
        if not limits.has("liner-standards", kind):
            return does_not_apply(named(wet), f"{kind} goes by how it is laid, not by a standard on it")
        standards = limits["liner-standards", kind]
        return fact(
            named(wet),
            None if liner.standard is None else names_one(liner.standard, standards.words),
            expected=f"the liner is made to {' or '.join(standards.words)}",
            found=f"label: {liner.standard}" if liner.standard is not None else "",
            limit=standards,
            asks=("liner.standard",),
            path=liner.path,
        )

    yield from _lined(area, about)


@rule(
    "liner-thickness",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.liner",
    quantity="thickness of the liner",
    limits=["liner-thickness"],
    measures=["liner.thickness", "liner.kind"],
    provisions=["liner-material"],
    remedy="Put in sheet of the full thickness; a second thin layer does not make one.",
)
def liner_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A sheet liner is thick enough.

    The mortar bed grinds on it for as long as people stand there.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        kind = liner.kind or ""
        if not limits.has("liner-thickness", kind):
            return does_not_apply(named(wet), f"a {kind} liner goes by its maker here")
        limit = limits["liner-thickness", kind]
        return check(named(wet), measured=liner.thickness, at_least=limit, asks=("liner.thickness",), path=liner.path)

    yield from _lined(area, about)


@rule(
    "liner-slope",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.liner",
    quantity="fall under the liner",
    limits=["liner-slope"],
    measures=["liner.slope", "liner.kind"],
    provisions=["liner-slope"],
    remedy="Lay a sloped bed of mortar under the liner, to the weep holes, before the liner goes in.",
)
def liner_slope(area: Area, limits: Limits) -> Iterator[Check]:
    """A liner under a mortar bed falls to the weep holes of the drain.

    On a flat liner the bed stays wet for ever, smells, and rots the curb.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        limit = limits["liner-slope"]
        return check(named(wet), measured=liner.slope, at_least=limit, asks=("liner.slope",), path=liner.path)

    yield from _lined(area, about, *UNDER_BED)


@rule(
    "liner-upturn",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.liner",
    quantity="height of the liner past the threshold",
    limits=["liner-upturn"],
    measures=["liner.upturn", "liner.kind"],
    provisions=["liner-upturn-irc", "liner-upturn-irc-old", "liner-upturn-upc"],
    remedy="Weld or glue a strip to the liner and run it further up the studs and jambs, on solid blocking.",
)
def liner_upturn(area: Area, limits: Limits) -> Iterator[Check]:
    """A liner runs up the walls past the finished threshold.

    When the drain is slow the pan fills to the curb; what is lower than that leaks into the wall.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        limit = limits["liner-upturn"]
        between = (
            limit.value is not None
            and liner.upturn is not None
            and limit.value.low <= liner.upturn.low <= liner.upturn.high < limit.value.high
        )
        return check(
            named(wet),
            measured=liner.upturn,
            at_least=limit,
            found="sources disagree: your jurisdiction's plumbing code says which holds" if between else "",
            asks=("place.state",) if between else ("liner.upturn",),
            path=liner.path,
        )

    yield from _lined(area, about, *UNDER_BED)


@rule(
    "liner-fasteners",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.liner",
    quantity="lowest fastener over the finished curb",
    limits=["liner-lowest-fastener"],
    measures=["liner.lowest_fastener", "liner.kind"],
    provisions=["liner-no-puncture", "membrane-threshold-plug"],
    remedy="Patch the hole as the liner's maker says and test again; fasten at the top edge only.",
)
def liner_fasteners(area: Area, limits: Limits) -> Iterator[Check]:
    """No nail or screw goes through the liner near the curb's height or below.

    One hole undoes the whole pan. Nails through the curb's liner are the commonest leak of all.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        limit, asks = limits["liner-lowest-fastener"], ("liner.lowest_fastener",)
        return check(named(wet), measured=liner.lowest_fastener, at_least=limit, asks=asks, path=liner.path)

    yield from _lined(area, about)


@rule(
    "shower-drain-clamped",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="shower.receptor",
    quantity="drain",
    measures=["wet_area.clamping_drain", "liner.kind"],
    provisions=["receptor-drain"],
    remedy=(
        "Use a drain whose ring clamps the liner and whose weep holes stay open under the bed, or a bonded flange by "
        "its maker."
    ),
)
def shower_drain_clamped(area: Area, limits: Limits) -> Iterator[Check]:
    """The liner is clamped to a drain with weep holes, or bonded to a flange made for it.

    A liner that ends under an ordinary drain leaks there, and a bed without weep holes never drains.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        clamped = wet.clamping_drain
        expected = "the drain clamps the liner and has open weep holes, or has a bonded flange"
        found = "an ordinary drain" if clamped is False else ""
        return fact(named(wet), clamped, expected=expected, found=found, asks=("wet_area.clamping_drain",))

    yield from _lined(area, about)


# --- curb and slope ---------------------------------------------------------------------------------------------------


@rule(
    "shower-curb",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.receptor",
    quantity="height of the curb over the drain",
    limits=["curb-least", "curb-most"],
    measures=["wet_area.curb"],
    provisions=["receptor-curb"],
    remedy="Build the curb up or down with masonry or dry untreated wood under the liner, and line it anew.",
)
def shower_curb(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower's curb is neither too low nor too high over the drain.

    Too low and it runs over; too high and people trip over it, or it is a tub.
    """

    def answer(wet: WetArea) -> Check:
        if wet.curb is not None and wet.curb.high == 0.0:
            return does_not_apply(named(wet), "no curb: a floor without one is made tight by slope and liner")
        return check(named(wet), measured=wet.curb, at_least=limits["curb-least"], at_most=limits["curb-most"])

    yield from _showers(area, answer)


@rule(
    "shower-floor-slope",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.receptor",
    quantity="fall of the finished floor",
    limits=["shower-slope-least", "shower-slope-most"],
    measures=["wet_area.floor_slope"],
    provisions=["receptor-slope"],
    remedy="Correct the bed before tile goes on; tile cannot make up for it.",
)
def shower_floor_slope(area: Area, limits: Limits) -> Iterator[Check]:
    """A shower's finished floor falls to the drain, and not so steeply that people slip."""

    def answer(wet: WetArea) -> Check:
        limit, most = limits["shower-slope-least"], limits["shower-slope-most"]
        return check(named(wet), measured=wet.floor_slope, at_least=limit, at_most=most)

    yield from _showers(area, answer, *WASHED)


# --- the test ---------------------------------------------------------------------------------------------------------


@rule(
    "liner-test",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.test",
    quantity="liner test",
    measures=["flood_test.result", "wet_area.flood_test"],
    provisions=["shower-liner-test"],
    cautions=["standing-test"],
    remedy=(
        "Plug the drain at the liner, fill to the threshold, mark the level and look from below; mend and test again "
        "if it falls."
    ),
)
def liner_test(area: Area, limits: Limits) -> Iterator[Check]:
    """The liner was filled with water and held it, before anything covers it.

    The one proof there is: afterwards a leak shows only when the joists are rotten.
    """

    def about(wet: WetArea, liner: Liner) -> Check:
        result = wet.flood_test.result if wet.flood_test is not None else None
        held = None if result is None else result == "held"
        found = "" if result is None else {"leaked": "it leaked", "not-done": "not tested yet"}.get(result, "it held")
        path = wet.flood_test.path if wet.flood_test is not None else None
        expected = "the liner was tested and held"
        return fact(named(wet), held, expected=expected, found=found, asks=("flood_test.result",), path=path)

    yield from _lined(area, about)


def _tested(area: Area, answer: Callable[[WetArea], Check]) -> Iterator[Check]:
    """One answer for each liner whose test held, or may have."""

    def about(wet: WetArea, liner: Liner) -> Check:
        result = wet.flood_test.result if wet.flood_test is not None else None
        if result in ("leaked", "not-done"):
            return does_not_apply(named(wet), "it leaked" if result == "leaked" else "not tested yet")
        return answer(wet)

    yield from _lined(area, about)


@rule(
    "liner-test-depth",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.test",
    quantity="water at the threshold",
    limits=["liner-test-depth"],
    measures=["flood_test.depth"],
    provisions=["shower-liner-test"],
    cautions=["standing-test"],
    remedy="Fill again to this depth at the threshold; without a threshold put up a dam for the test.",
)
def liner_test_depth(area: Area, limits: Limits) -> Iterator[Check]:
    """The test water stands deep enough at the threshold.

    A puddle over the drain proves nothing about the corners.
    """

    def answer(wet: WetArea) -> Check:
        depth = wet.flood_test.depth if wet.flood_test is not None else None
        return check(named(wet), measured=depth, at_least=limits["liner-test-depth"], asks=("flood_test.depth",))

    yield from _tested(area, answer)


@rule(
    "liner-test-time",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="shower.test",
    quantity="time that the water stood",
    limits=["liner-test-time"],
    measures=["flood_test.held"],
    provisions=["shower-liner-test"],
    cautions=["standing-test"],
    remedy="Let the water stand at least this long, with the level marked.",
)
def liner_test_time(area: Area, limits: Limits) -> Iterator[Check]:
    """The test water stood long enough.

    The code's minimum; it finds holes, not slow seams.
    """
    yield from _tested(area, lambda wet: _held(wet, limits, "liner-test-time"))


@rule(
    "liner-test-day",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="shower.test",
    quantity="time that the water stood",
    limits=["liner-test-day"],
    measures=["flood_test.held"],
    provisions=["shower-flood-24h"],
    cautions=["standing-test"],
    remedy="Leave the water in for a day and a night, with somebody looking at the ceiling or crawl space below.",
)
def liner_test_day(area: Area, limits: Limits) -> Iterator[Check]:
    """The test water stood for a day.

    Practice of the tile trade, not code: a weeping seam shows only after hours.
    """
    yield from _tested(area, lambda wet: _held(wet, limits, "liner-test-day"))


def _held(wet: WetArea, limits: Limits, table: str) -> Check:
    held = wet.flood_test.held if wet.flood_test is not None else None
    return check(named(wet), measured=held, at_least=limits[table], asks=("flood_test.held",))
