"""Nails of the frame: built-up girders, joists on sills, rims, blocking; and fasteners in treated wood.

Laps, splices, hangers and ledger strips are with the bearing of joists.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import at_least
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Fasteners, Joist, Support
from inspect_wood_floor._fastening import nailed
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._verdicts import Verdict, any_of, compared

NAIL_FIELDS = ("fasteners.kind", "fasteners.length", "fasteners.diameter")
UNDER_PANELS = ("panel-edge", "wall-edge", "fixture")


# --- support lines ----------------------------------------------------------------------------------------------------


def _lines(area: Area, what: str, lines: tuple[str, ...], answer: Callable[[Support], Check]) -> Iterator[Check]:
    """One answer for each support line of these sorts, or the one that says why there is none."""
    everything = Named("supports", area.path)
    if area.supports is None:
        yield not_measured(everything, asks=("area.supports",), because="the supports are not listed")
        return
    seen = [one for one in area.supports if one.line in lines or one.line is None]
    if not seen:
        yield does_not_apply(everything, f"no {what} among the supports")
    for one in seen:
        if one.line is None:
            yield not_measured(named(one), expected=f"it is a {what}", asks=("support.line",))
        else:
            yield answer(one)


def _girders(area: Area, answer: Callable[[Support], Check]) -> Iterator[Check]:
    """One answer for each beam built up of sawn plies."""

    def about(beam: Support) -> Check:
        if beam.kind not in (None, "sawn", "plank"):
            return does_not_apply(named(beam), f"{beam.kind}, not built up of sawn plies")
        if beam.plies is None and beam.size is None:
            return not_measured(named(beam), expected="it is one piece or several plies", asks=("support.plies",))
        if beam.section.plies < 2:
            return does_not_apply(named(beam), "one piece, not built up")
        return answer(beam)

    yield from _lines(area, "beam", ("beam",), about)


@rule(
    "girder-ply-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-nails",
    quantity="spacing of the nails that join the plies",
    limits=["girder-ply-spacing"],
    measures=["fasteners.spacing", *NAIL_FIELDS],
    provisions=["nail-builtup-girder", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy=(
        "Nail the plies together along top and bottom, staggered, from both sides; screws only as their maker says. "
        "Where plies have slipped or split, have a licensed engineer look first."
    ),
)
def girder_ply_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """The plies of a built-up girder are nailed together along top and bottom.

    Loose plies bend one by one: the one under the joists takes it all.
    """

    def answer(beam: Support) -> Check:
        spacing = beam.fasteners.spacing if beam.fasteners is not None else None
        return nailed(
            limits,
            "girder-ply-spacing",
            named(beam),
            beam.fasteners,
            spacing,
            field="fasteners.spacing",
            most=True,
        )

    yield from _girders(area, answer)


@rule(
    "girder-ply-rows",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-nails",
    quantity="rows of nails",
    limits=["girder-ply-rows"],
    measures=["fasteners.rows"],
    provisions=["nail-builtup-girder"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Add the missing row: one along the top, one along the bottom, staggered on opposite sides.",
)
def girder_ply_rows(area: Area, limits: Limits) -> Iterator[Check]:
    """The plies of a built-up girder have a row of nails at the top and one at the bottom.

    One row lets the plies roll against each other.
    """

    def answer(beam: Support) -> Check:
        rows = beam.fasteners.rows if beam.fasteners is not None else None
        return check(named(beam), measured=rows, at_least=limits["girder-ply-rows"])

    yield from _girders(area, answer)


@rule(
    "girder-end-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.girder-nails",
    quantity="nails at each end and splice",
    limits=["girder-end-nails"],
    measures=["fasteners.count", *NAIL_FIELDS],
    provisions=["nail-builtup-ends", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Add the missing nails at the girder's ends and on either side of each splice; splices stand over a post.",
)
def girder_end_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """A built-up girder has extra nails at its ends and at each splice.

    There the plies are cut, and only nails hand the load over.
    """

    def answer(beam: Support) -> Check:
        return _counted(limits, "girder-end-nails", beam, "the count is taken as the nails at each end and splice")

    yield from _girders(area, answer)


def _counted(limits: Limits, table: str, support: Support, taken_as: str) -> Check:
    written = support.fasteners
    count = written.count if written is not None else None
    return nailed(limits, table, named(support), written, count, field="fasteners.count", assuming=(taken_as,))


@rule(
    "joist-sill-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.frame-nails",
    quantity="toenails at each joist",
    limits=["joist-sill-nails"],
    measures=["fasteners.count", *NAIL_FIELDS],
    provisions=["nail-joist-sill", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Toenail each joist to the sill from both sides, or fit a framing anchor with the nails its maker names.",
)
def joist_sill_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist is toenailed to the sill or plate under it.

    It keeps the joist from sliding off and from rolling over.
    """

    def answer(sill: Support) -> Check:
        if sill.joists_sit == "flush":
            return does_not_apply(named(sill), "joists hang at its side, they do not sit on it")
        return _counted(limits, "joist-sill-nails", sill, "the sill's fasteners are taken as those of each joist to it")

    yield from _lines(area, "sill or wall plate", ("sill", "wall-plate"), answer)


@rule(
    "rim-sill-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.frame-nails",
    quantity="spacing of toenails from rim to sill",
    limits=["rim-sill-spacing"],
    measures=["fasteners.spacing", *NAIL_FIELDS],
    provisions=["nail-rim-sill", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Toenail the rim to the sill between the nails that are there.",
)
def rim_sill_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """A rim or band is toenailed to the sill all along.

    It ties the floor to the wall and keeps the joist ends upright.
    """

    def answer(rim: Support) -> Check:
        spacing = rim.fasteners.spacing if rim.fasteners is not None else None
        return nailed(
            limits, "rim-sill-spacing", named(rim), rim.fasteners, spacing, field="fasteners.spacing", most=True
        )

    yield from _lines(area, "rim", ("rim",), answer)


@rule(
    "rim-joist-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.frame-nails",
    quantity="end nails from the rim into each joist",
    limits=["rim-joist-nails"],
    measures=["fasteners.count", *NAIL_FIELDS],
    provisions=["nail-band-joist", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Drive the missing nails through the rim into the joist's end.",
)
def rim_joist_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """A rim or band is end nailed to each joist.

    Without them joist ends turn over.
    """

    def answer(rim: Support) -> Check:
        return _counted(limits, "rim-joist-nails", rim, "the rim's count is taken as the end nails into each joist")

    yield from _lines(area, "rim", ("rim",), answer)


# --- blocking ---------------------------------------------------------------------------------------------------------


def _blocks(area: Area, limits: Limits, table: str, purposes: tuple[str, ...] = ()) -> Iterator[Check]:
    """One answer for each block held at its ends; with ``purposes`` only for those that serve one of them."""
    because = "not said whether there is blocking"
    yield from listed_parts(area, "blocking", "blocking", because=because, none="no blocking seen")
    for block in area.blocking or ():
        where = named(block)
        if block.kind in ("cleat", "strip"):
            yield does_not_apply(where, f"a {block.kind}, not held at its ends")
        elif purposes and block.kind == "cross-bridging":
            yield does_not_apply(where, "bridging carries no panel")
        elif purposes and block.purpose is None:
            yield not_measured(where, expected="it carries a panel", asks=("blocking.purpose",))
        elif purposes and block.purpose not in purposes:
            yield does_not_apply(where, "it carries no panel")
        else:
            count = block.fasteners.count if block.fasteners is not None else None
            yield nailed(limits, table, where, block.fasteners, count, field="fasteners.count")


@rule(
    "blocking-nails",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.frame-nails",
    quantity="nails at each end",
    limits=["blocking-nails"],
    measures=["fasteners.count", *NAIL_FIELDS],
    provisions=["nail-bridging", "nail-size-box-common"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Toenail or end nail each end of the block; drill first where it splits.",
)
def blocking_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """Blocks and bridging are nailed at each end.

    One nail lets a block turn, and then it braces nothing.
    """
    yield from _blocks(area, limits, "blocking-nails")


@rule(
    "blocking-edge-nails",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.fasteners-practice",
    quantity="nails at each end of a block that carries a panel",
    limits=["blocking-edge-nails"],
    measures=["fasteners.count", *NAIL_FIELDS, "blocking.purpose"],
    provisions=["nail-blocking-practice"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Give each end of the block three 10d or two 16d nails.",
)
def blocking_edge_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """A solid block under a panel or a fixture has three 10d or two 16d nails at each end.

    Common practice: such a block carries feet, it does not just keep joists upright.
    """
    yield from _blocks(area, limits, "blocking-edge-nails", UNDER_PANELS)


# --- treated wood -----------------------------------------------------------------------------------------------------


@rule(
    "fasteners-in-treated-wood",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.fasteners-in-treated",
    quantity="protection of the fasteners",
    limits=["treated-wood-coatings", "treated-wood-plain-bolt"],
    measures=["fasteners.coating", "support.treated", "joist.treated"],
    provisions=["fastener-in-treated"],
    cautions=["treated-dust", "crawl-space"],
    binds=["new", "altered"],
    remedy=(
        "Fasten again with hot-dip galvanised, stainless, bronze or copper. Borate-treated wood that stays dry indoors "
        "takes plain steel: write down what its tag says and ask the inspector."
    ),
)
def fasteners_in_treated_wood(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners in preservative-treated wood withstand its copper.

    Copper preservatives eat plain and thinly plated steel; the head stays, the shank is gone.
    """
    answers = [_treated_check(limits, *item) for item in _in_wood(area)]
    everything = Named("frame", area.path)
    if answers:
        yield from answers
    elif area.supports is None or area.joists is None:
        yield not_measured(everything, asks=("area.supports", "area.joists"), because="the frame is not described")
    else:
        yield does_not_apply(everything, "no wood support, hanger, joint or sister listed")


def _treated_check(limits: Limits, subject: Subject, treated: Verdict, written: Fasteners | None) -> Check:
    if treated is False:
        return does_not_apply(subject, "untreated wood")
    accepted = limits["treated-wood-coatings"]
    coating = written.coating if written is not None else None
    asks = ["fasteners.coating"]
    if written is not None and written.kind == "bolt":
        thick = compared(at_least, written.diameter, limits["treated-wood-plain-bolt"])
        if thick:
            return does_not_apply(subject, "a bolt thick enough to be plain")
        if thick is None:
            asks.append("fasteners.diameter")
    if treated is None:
        asks.append("support.treated")
    decided = len(asks) == 1 or coating in accepted.words
    return check(subject, measured=coating if decided else None, one_of=accepted, asks=tuple(asks))


def _in_wood(area: Area) -> Iterator[tuple[Subject, Verdict, Fasteners | None]]:
    """What fasteners stand in: its name, whether it is treated, and the fasteners."""
    for support in area.supports or ():
        if support.line != "masonry-ledge" and support.kind != "steel":
            yield named(support), support.treated, support.fasteners
    for joist in area.joists or ():
        for at, hanger in joist.hung.items():
            yield named(hanger, f"hanger at {at}", within=joist), _either(area, joist, at), hanger.fasteners
        for at, joint in joist.joints.items():
            yield named(joint, f"joint at {at}", within=joist), _either(area, joist, at), joint.fasteners
        for number, sister in enumerate(joist.sisters or (), start=1):
            yield named(sister, f"sister {sister.id or number}", within=joist), joist.treated, sister.fasteners


def _either(area: Area, joist: Joist, at: str) -> Verdict:
    """Whether the joist or what carries it is treated."""
    carrier = area.carriers.get(at)
    return any_of((joist.treated, carrier.treated if carrier is not None else None))
