"""Blocking and bridging: what keeps joists upright, what carries panel edges and fixtures, and whole rows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from inspect_core.quantities import Dimension, Quantity, at_most, exactly, maximum, minimum, ratio
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
from inspect_core.site.geometry import JoistEnd, Span
from inspect_core.site.model import Blocking, Fixture, Joist
from inspect_core.site.sections import resolve_section
from inspect_wood_floor._listed import listed_parts, no_joists
from inspect_wood_floor._members import ENGINEERED, HANGERS, carrier_asks, together
from inspect_wood_floor._verdicts import Verdict, all_of, any_of

BRACES = ("solid", "cross-bridging", "strip")


# --- joist ends -------------------------------------------------------------------------------------------------------


@rule(
    "joist-end-restraint",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.lateral-restraint",
    quantity="what keeps the end upright",
    limits=["end-restraints"],
    measures=["joist.restraint", "joist.hung", "support.depth"],
    provisions=["lateral-ends"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Fit full-depth 2x blocking between the joists over the support, or a rim along their ends, and nail it "
    "to every joist. An end that already leans is carried first.",
)
def joist_end_restraint(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist end is kept from turning over: by full-depth blocking, a rim or header, a stud or a wall.

    A tall thin joist lies down under load where nothing holds its end upright, and takes the floor with it.
    """
    if nothing := no_joists(area, "joist ends"):
        yield nothing
    for end in area.joist_ends:
        if end.which != "over":
            yield _restrained(end, limits["end-restraints"])


def _restrained(end: JoistEnd, allowed: Limit) -> Check:
    if end.on_nothing:
        return does_not_apply(end, "there is no support here; judged by joist-end-carried")
    if end.support_id is None:
        return not_measured(end, expected="it is kept upright", asks=carrier_asks(end))
    restraint = end.joist.restraint.get(end.support_id)
    if restraint is None and end.hung is not None and end.hung.by in HANGERS and end.support is not None:
        deep = _as_deep(end)
        if deep:
            return fact(end, True, expected="it is kept upright", found="fastened to a beam or header as deep as it")
        if deep is None:
            asks = ("joist.restraint", "support.depth")
            return not_measured(end, expected="what it hangs on is as deep as it", asks=asks)
    return check(end, measured=restraint, one_of=allowed, asks=("joist.restraint",))


def _as_deep(end: JoistEnd) -> Verdict:
    """Whether the member that an end hangs on is at least as deep as the joist."""
    assert end.support is not None
    carrier, joist = end.support.section.depth, end.joist.section.depth
    return None if carrier is None or joist is None else at_most(joist, carrier)


@rule(
    "restraint-blocks",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.lateral-restraint",
    quantity="thickness of the block",
    limits=["restraint-block-thickness"],
    measures=["blocking.size", "blocking.full_depth", "blocking.kind", "blocking.purpose"],
    provisions=["lateral-ends"],
    cautions=["crawl-space"],
    remedy="Cut blocks of the joist's own depth from 2x lumber and nail both ends.",
)
def restraint_blocks(area: Area, limits: Limits) -> Iterator[Check]:
    """Blocks that keep joist ends upright are as deep as the joists and at least 2 in nominal thick.

    A low block holds the foot of the joist and lets its head turn.
    """
    yield from listed_parts(area, "blocking", "blocking")
    for block in area.blocking or ():
        if block.purpose is None:
            yield not_measured(named(block), because="not said what it is for", asks=("blocking.purpose",))
        elif block.purpose != "end-restraint":
            yield does_not_apply(named(block), f"it is there for {block.purpose}, not for joist ends")
        else:
            yield _end_block(block, limits["restraint-block-thickness"])


def _end_block(block: Blocking, least: Limit) -> Check:
    expected = "a solid block as deep as the joists"
    if block.kind not in (None, "solid"):
        return fact(named(block), False, expected=expected, found=block.kind or "")
    if block.kind is None or block.full_depth is None:
        asks = tuple(f"blocking.{name}" for name in ("kind", "full_depth") if getattr(block, name) is None)
        return not_measured(named(block), expected=expected, asks=asks)
    if not block.full_depth:
        return fact(named(block), False, expected=expected, found="lower than the joists")
    cut = resolve_section(block.size, block.sizes, None, None, None, block.work)
    return check(
        named(block), measured=cut.thickness, at_least=least, assuming=cut.assumptions, asks=("blocking.size",)
    )


# --- bridging ---------------------------------------------------------------------------------------------------------


@rule(
    "joist-bridging",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.bridging",
    quantity="longest stretch without bridging",
    limits=["bridging-depth", "bridging-spacing"],
    measures=["joist.size", "area.blocking", "blocking.along", "blocking.full_depth", "blocking.row", "support.at"],
    provisions=["bridging-trigger", "bridging-spacing"],
    cautions=["crawl-space"],
    remedy="Put full-depth blocking, cross bridging or a continuous 1x3 strip under the joists across the span, no "
    "farther apart than 8 ft, before the floor is loaded.",
)
def joist_bridging(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists deeper than a nominal 2x12 have bridging, blocking or a continuous strip every 8 ft.

    Deep joists buckle sideways between their ends. Makers of I-joists and trusses have rules of their own.
    """
    if nothing := no_joists(area, "bridging"):
        yield nothing
    deepest = limits["bridging-depth"].value
    assert deepest is not None
    slender: list[tuple[Joist, Verdict, tuple[str, ...]]] = []
    for joist in area.joists or ():
        depth = joist.section.depth
        low = None if depth is None else at_most(depth, deepest)
        slender.append((joist, None if low is None else not low, joist.section.assumptions))
    yield from _bridged(area, slender, limits["bridging-spacing"], "no deeper than a nominal 2x12")


@rule(
    "joist-bridging-by-shape",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.bridging",
    quantity="longest stretch without bridging",
    limits=["bridging-shape", "bridging-spacing-by-shape"],
    measures=["joist.size", "area.blocking", "blocking.along", "blocking.full_depth", "blocking.row", "support.at"],
    provisions=["joist-ratio-nds"],
    cautions=["crawl-space"],
    remedy="Put full-depth blocking or cross bridging between the joists every 8 ft. Carry the floor before you "
    "free a joist.",
)
def joist_bridging_by_shape(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists much deeper than they are thick have bridging every 8 ft, by their nominal size.

    Design practice is stricter than the model code here: up to 4 to 1 held ends do, up to 5 to 1 with a fastened
    subfloor besides, and up to 6 to 1 (a 2x12) with bridging too. Some states draw the line at 4 to 1.
    """
    if nothing := no_joists(area, "bridging by shape"):
        yield nothing
    most = limits["bridging-shape"].value
    assert most is not None
    slender: list[tuple[Joist, Verdict, tuple[str, ...]]] = []
    for joist in area.joists or ():
        shape = _shape(joist)
        low = None if shape is None else at_most(shape, most)
        slender.append((joist, None if low is None else not low, ()))
    yield from _bridged(area, slender, limits["bridging-spacing-by-shape"], "not that slender")


def _shape(joist: Joist) -> Quantity | None:
    """Nominal depth over nominal thickness, which is how the rule is meant; as measured where there is no name."""
    size = joist.size
    thickness, depth = (size.thickness, size.depth) if size is not None else (joist.thickness, joist.depth)
    return ratio(depth, thickness) if thickness is not None and depth is not None else None


def _bridged(
    area: Area, found: list[tuple[Joist, Verdict, tuple[str, ...]]], most: Limit, why_not: str
) -> Iterator[Check]:
    """For each joist that wants bridging the longest stretch without it; one answer for all those that want none."""
    others = {
        "their makers' rules hold": [joist for joist, _, _ in found if joist.kind in ENGINEERED],
        why_not: [joist for joist, wants, _ in found if wants is False and joist.kind not in ENGINEERED],
    }
    for because, joists in others.items():
        for work in dict.fromkeys(joist.work for joist in joists):
            group = [joist for joist in joists if joist.work == work]
            yield does_not_apply(together(group, "bridging"), because)
    for joist, wants, notes in found:
        if joist.kind in ENGINEERED or wants is False:
            continue
        for number, span in enumerate(area.spans(joist), start=1):
            about = _Stretch(area, joist, span, number)
            answer = about.answer(most, notes)
            if wants is None and answer.outcome != "meets":
                answer = not_measured(answer.subject, expected=f"it is {why_not}", asks=("joist.size",))
            yield answer
        if not area.spans(joist):
            asks = (*(("joist.size",) if wants is None else ()), "joist.from", "joist.to", "support.at")
            yield not_measured(Named(f"{joist.name}, bridging", joist.path, joist.work), asks=asks)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """One span of a joist, and the rows of bridging across it."""

    area: Area
    joist: Joist
    span: Span
    number: int

    def answer(self, most: Limit, notes: tuple[str, ...]) -> Check:
        """The longest stretch without a row; unknown where a row that may help is not fully described."""
        joist, span = self.joist, self.span
        several = len(self.area.spans(joist)) > 1
        about = Named(
            f"{joist.name}, bridging" + (f" in span {self.number}" if several else ""), joist.path, joist.work
        )
        if self.area.blocking is None and most.value is not None and not at_most(span.clear, most.value):
            return not_measured(about, expected="it has bridging", asks=("area.blocking",))
        sure: list[Quantity] = []
        open_fields: list[str] = []
        for block in self.area.blocking or ():
            holds, fields = _braces(block, joist)
            if holds and block.along is not None:
                if span.begins.high < block.along.low and block.along.high < span.ends.low:
                    sure.append(block.along)
            elif holds is not False:
                open_fields += fields
        places = [span.begins, *sorted(sure, key=lambda q: q.middle), span.ends]
        longest = maximum(*(b - a for a, b in pairwise(places)))
        answer = check(about, measured=longest, at_most=most, assuming=notes, asks=("support.at", "blocking.along"))
        if answer.outcome != "meets" and open_fields:
            asks = tuple(dict.fromkeys(open_fields))
            return not_measured(about, expected="it has bridging close enough", asks=asks)
        return answer


def _braces(block: Blocking, joist: Joist) -> tuple[Verdict, list[str]]:
    """Whether a block or row keeps this joist from leaning, and the fields that are not known."""
    if block.kind is not None and block.kind not in BRACES:
        return False, []
    here: Verdict = True
    if block.row != "every-bay":
        here = None if block.between is None else joist.id in block.between
    upright: Verdict = True if block.kind in ("cross-bridging", "strip") else block.full_depth
    verdict = all_of((here, None if block.kind is None else True, upright))
    fields = [
        f"blocking.{name}"
        for name, unknown in (
            ("kind", block.kind is None),
            ("row", here is None),
            ("full_depth", block.kind == "solid" and block.full_depth is None),
            ("along", block.along is None),
        )
        if unknown
    ]
    return verdict, fields


# --- rows, grade ------------------------------------------------------------------------------------------------------


@rule(
    "blocking-row-whole",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.bridging",
    quantity="row of blocks",
    limits=["blocking-row-offset"],
    measures=["blocking.row", "blocking.between", "blocking.along", "blocking.purpose", "area.joists"],
    provisions=["lateral-ends", "bridging-spacing"],
    cautions=["crawl-space"],
    remedy="Put a block into each bay that has none, so that the row runs from wall to wall.",
)
def blocking_row_whole(area: Area, limits: Limits) -> Iterator[Check]:
    """A row of blocks that keeps joists upright has a block in every bay.

    A row with a gap pushes the joists beside the gap over instead of holding them.
    """
    yield from listed_parts(area, "blocking", "blocking")
    blocks = area.blocking or ()
    for block in blocks:
        about = named(block, "row")
        if block.purpose is None and block.row != "every-bay":
            yield not_measured(about, because="not said what it is for", asks=("blocking.purpose",))
        elif block.purpose not in (None, "end-restraint", "bridging"):
            yield does_not_apply(about, f"it is there for {block.purpose}: one block may do")
        elif block.row == "every-bay":
            yield fact(about, True, expected="every bay has a block", found="said to run through every bay")
        elif block.between is None or block.along is None:
            asks = tuple(f"blocking.{n}" for n in ("row", "between", "along") if getattr(block, n) is None)
            yield not_measured(about, expected="every bay has a block", asks=asks)
        else:
            yield _row(area, block, limits)


def _row(area: Area, block: Blocking, limits: Limits) -> Check:
    """Whether the other bays have a block of the same kind in line with this one."""
    apart = limits["blocking-row-offset"].value
    assert apart is not None and block.along is not None
    about, expected = named(block, "row"), "every bay has a block in line with it"
    filled = {
        frozenset(other.between)
        for other in area.blocking or ()
        if other.between is not None
        and other.along is not None
        and other.purpose == block.purpose
        and at_most(abs(other.along - block.along), apart)
    }
    bays = [frozenset(j.id for j in bay.joists) for bay in area.bays if not bay.at_wall and bay.opening is None]
    bays = [bay for bay in bays if len(bay) == 2]
    if not bays:
        return not_measured(about, expected=expected, asks=("area.joists",))
    empty = [bay for bay in bays if bay not in filled]
    if not empty and any(joist.place is None for joist in area.joists or ()):
        return fact(about, None, expected=expected, asks=("joist.at",))  # there are bays that nobody has placed
    found = f"{len(empty)} of {len(bays)} bays have none" if empty else ""
    return fact(about, not empty, expected=expected, found=found)


@rule(
    "blocking-grade",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.lumber-grade",
    quantity="grade",
    limits=["utility-grades"],
    measures=["blocking.grade", "layer.grade"],
    provisions=["blocking-grade"],
    cautions=["crawl-space"],
    binds=["new", "altered"],
    remedy="Use stamped lumber: utility grade or better for blocks, utility or No.4 common or better for boards.",
)
def blocking_grade(area: Area, limits: Limits) -> Iterator[Check]:
    """New blocking is at least utility grade, new board subfloor at least utility or No.4 common.

    Below that knots and wane leave too little wood to hold a nail.
    """
    if area.blocking is None:
        yield from listed_parts(area, "blocking", "blocking")
    for block in area.blocking or ():
        allowed = limits["utility-grades", "blocking"]
        yield check(named(block, "grade"), measured=_in(block.grade, allowed), one_of=allowed, asks=("blocking.grade",))
    boards = [layer for layer in area.layers or () if layer.kind == "boards"]
    if area.layers is None:
        yield not_measured(Named("board subfloor", area.path), asks=("area.layers",), because="no layers are described")
    for layer in boards:
        allowed = limits["utility-grades", "boards"]
        yield check(named(layer, "grade"), measured=_in(layer.grade, allowed), one_of=allowed, asks=("layer.grade",))
    if area.blocking == () and area.layers is not None and not boards:
        yield does_not_apply(Named("blocking and boards", area.path), "no blocking and no board subfloor here")


def _in(grade: str | None, allowed: Limit) -> str | None:
    """The grade as the limit spells it: ``#3`` and ``no. 3`` are No.3."""
    if grade is None:
        return None
    plain = _plain(grade)
    return next((word for word in allowed.words if _plain(word) == plain), grade)


def _plain(grade: str) -> str:
    text = grade.casefold().replace("#", "no.").replace("&btr", "").replace("and better", "")
    return "".join(text.replace("no.", "no").split())


# --- blocks under panels and fixtures ---------------------------------------------------------------------------------


@rule(
    "panel-edge-blocks",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-blocks",
    quantity="blocks under panel edges",
    measures=["layer.joints", "area.blocking", "blocking.purpose"],
    provisions=["common-practice"],
    cautions=["crawl-space"],
    remedy="Fit a flat or standing 2x block between the joists under every square edge, and fasten the edge into it.",
)
def panel_edge_blocks(area: Area, limits: Limits) -> Iterator[Check]:
    """Where panel edges are said to be blocked, the blocks are there.

    A row of blocks is easily drawn and easily forgotten, and nobody sees it once the panel is down.
    """
    if area.layers is None:
        yield not_measured(Named("panel edges", area.path), asks=("area.layers",), because="no layers are described")
    panels = [layer for layer in area.layers or () if layer.kind == "panel" and layer.attached_to != "layer-below"]
    if area.layers is not None and not panels:
        yield does_not_apply(Named("panel edges", area.path), "no panels on the joists")
    for layer in panels:
        if layer.joints is None:
            yield not_measured(named(layer), expected="its long edges are held", asks=("layer.joints",))
        elif layer.joints != "blocked":
            yield does_not_apply(named(layer), f"its edges are {layer.joints}, not blocked; see panel-edges")
        else:
            purposes = [None] if area.blocking is None else [block.purpose for block in area.blocking]
            there = any_of(None if purpose is None else purpose == "panel-edge" for purpose in purposes)
            asks = ("area.blocking",) if area.blocking is None else ("blocking.purpose",)
            yield fact(named(layer), there, expected="blocks for the panel edges are listed", asks=asks)


@rule(
    "fixture-blocks",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-blocks",
    quantity="blocks under the fixture",
    measures=["fixture.at", "fixture.extent", "fixture.supported", "blocking.purpose", "blocking.along"],
    provisions=["common-practice"],
    cautions=["crawl-space"],
    remedy="Put full-depth 2x blocks between the joists under the feet or under the flange before the panel goes down.",
)
def fixture_blocks(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet, and a tub that stands on feet, has blocking between the joists under it.

    Its weight comes down on a few square inches, and its screws want more than a panel to hold on to.
    """
    yield from listed_parts(area, "fixtures", "fixtures")
    asked = [one for one in area.fixtures or () if one.kind is None or one.kind in ("toilet", "bidet", "tub")]
    if area.fixtures and not asked:
        yield does_not_apply(Named("fixtures", area.path), "no toilet and no tub here")
    for one in asked:
        if one.kind is None:
            yield not_measured(named(one), because="not said what it is", asks=("fixture.kind",))
        elif one.supported in ("full-bed", "feet-on-framing", "wall-hung"):
            yield does_not_apply(named(one), f"carried otherwise: {one.supported}")
        elif one.kind == "tub" and one.supported is None:
            yield not_measured(named(one), because="not said how it is carried", asks=("fixture.supported",))
        else:
            yield _under(area, one)


def _under(area: Area, one: Fixture) -> Check:
    about, expected = named(one), "blocks between the joists under it"
    if one.at is None or one.extent is None or None in one.at:
        asks = tuple(f"fixture.{name}" for name in ("at", "extent") if getattr(one, name) is None) or ("fixture.at",)
        return not_measured(about, expected=expected, asks=asks)
    if area.blocking is None:
        return not_measured(about, expected=expected, asks=("area.blocking",))
    verdicts: list[Verdict] = []
    for block in area.blocking:
        if block.purpose is None or (block.purpose == "fixture" and block.along is None):
            verdicts.append(None)
        elif block.purpose == "fixture":
            verdicts.append(_beneath(area, block, one))
    return fact(
        about, any_of(verdicts), expected=expected, asks=("blocking.purpose", "blocking.along", "blocking.between")
    )


def _beneath(area: Area, block: Blocking, one: Fixture) -> Verdict:
    """Whether a block lies within a fixture's footprint; ``None`` where its bay is not known."""
    assert one.at is not None and one.extent is not None and block.along is not None
    across, along = one.at
    assert across is not None and along is not None
    off = abs(block.along - along) - one.extent[1] / 2
    inside = at_most(off, exactly(0.0, Dimension.LENGTH))
    if block.row == "every-bay" or inside is False:
        return inside
    if block.between is None:
        return None
    places = [joist.place for name in block.between if (joist := area.joist_by_id.get(name)) is not None]
    if len(places) < 2 or places[0] is None or places[1] is None:
        return None
    low, high, half = minimum(places[0], places[1]), maximum(places[0], places[1]), one.extent[0] / 2
    return all_of((inside, at_most(across - half, high), at_most(low, across + half)))
