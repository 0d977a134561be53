"""Members that may not be cut at all without a design, and joists that were cut through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from inspect_core.quantities import at_least, at_most
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    STOP_WORK,
    Check,
    Limits,
    Named,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.geometry import JoistEnd
from inspect_core.site.model import Cut, CutRepair, Header, Hole, Joist, Notch, Support
from inspect_core.site.sections import resolve_section
from inspect_wood_floor._listed import no_joists
from inspect_wood_floor._members import (
    ENGINEERED,
    HANGERS,
    by_word,
    ends_by_joist,
    faces_of,
    full_sister,
    numbered,
    overlaps,
    stretch,
    together,
)
from inspect_wood_floor._verdicts import all_of

DESIGNED = "a maker's chart or a sealed design allows it"
Cutting = Hole | Notch | Cut


# --- what may not be cut ----------------------------------------------------------------------------------------------


def _lists(member: Joist | Support) -> tuple[Sequence[Cutting] | None, ...]:
    if isinstance(member, Joist):
        return member.holes, member.notches, member.cuts
    return member.holes, member.notches


def _cuts(member: Joist | Support) -> Iterator[tuple[str, Cutting, bool | None]]:
    """Every hole, notch and cut with its label, and whether a design allows it."""
    for word, cuts in zip(("hole", "notch", "cut"), _lists(member), strict=False):
        for label, cut in zip(numbered(word, (c.id for c in cuts or ())), cuts or (), strict=True):
            if isinstance(cut, Cut):
                kind = cut.repair.kind if cut.repair is not None else None
                yield label, cut, None if kind is None else kind == "designed"
            else:
                yield label, cut, cut.designed


def _field(member: Joist | Support | Header, name: str) -> tuple[str, ...]:
    return (f"joist.{name}",) if isinstance(member, Joist) else (f"support.{name}",)


def _uncut(area: Area, kinds: Sequence[str], what: str, elsewhere: str) -> Iterator[Check]:
    """Each cut of a member of these kinds needs a design; one answer for each group of the others."""
    beams = [support for support in area.supports or () if support.line in ("beam", None)]
    members: list[Joist | Support] = [*(area.joists or ()), *beams]
    if area.joists is None:
        yield not_measured(Named(what, area.path), asks=("area.joists",), because="no joists are described")
    groups: dict[str, list[Joist | Support]] = {}
    for member in members:
        lists = _lists(member)
        if member.kind is not None and member.kind not in kinds:
            groups.setdefault("sawn" if member.kind not in ENGINEERED else "other", []).append(member)
        elif all(cuts == () for cuts in lists):
            groups.setdefault("whole", []).append(member)
        elif member.kind is None:
            groups.setdefault("kind", []).append(member)
        else:
            for label, cut, designed in _cuts(member):
                subject = named(cut, label, within=member)
                missing = ("cut.repair",) if isinstance(cut, Cut) else (f"{type(cut).__name__.lower()}.designed",)
                found = f"{member.kind} is cut"
                yield fact(subject, designed, expected=DESIGNED, found=found, asks=missing, path=cut.path)
            if any(cuts is None for cuts in lists):
                groups.setdefault("unseen", []).append(member)
    for why, answer in (
        ("kind", "not said whether this is sawn lumber"),
        ("unseen", "nobody has looked whether it is cut"),
        ("whole", "no cuts seen"),
        ("sawn", "sawn lumber"),
        ("other", elsewhere),
    ):
        for group in by_word(groups.get(why, ())):
            if why in ("kind", "unseen"):
                asks = _field(group[0], "kind") if why == "kind" else _field(group[0], "holes")
                yield not_measured(together(group, what), asks=asks, because=answer)
            else:
                # The same members are never in two groups, so names differ.
                yield does_not_apply(together(group, what), answer)
    if not members and area.joists is not None:
        yield does_not_apply(Named(what, area.path), "no joists and no beams are listed in this area")


@rule(
    "engineered-cuts",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.engineered-cuts",
    quantity="cut in an engineered member",
    limits=["engineered-members"],
    measures=["joist.kind", "joist.holes", "joist.notches", "joist.cuts", "hole.designed", "notch.designed"],
    provisions=["engineered-cut-ban"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Stop cutting. Ask the maker for the hole chart of this very product, or a licensed engineer for a "
        "repair; flanges are never cut."
    ),
)
def engineered_cuts(area: Area, limits: Limits) -> Iterator[Check]:
    """Engineered wood (I-joist, LVL, glulam) has no cut, notch or hole that its maker or a designer did not allow.

    The fractions for sawn lumber say nothing about them: a small notch in a flange takes most of the strength.
    """
    kinds = (*limits["engineered-members"].words, "steel")
    for answer in _uncut(area, kinds, "cuts in engineered members", "a truss; judged by truss-altered"):
        yield replace(answer, severity=ADVISORY) if answer.found == "steel is cut" else answer


@rule(
    "truss-altered",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="floor.trusses",
    quantity="cut in a truss",
    measures=["joist.kind", "joist.holes", "joist.notches", "joist.cuts", "hole.designed", "notch.designed"],
    provisions=["truss-alteration-ban"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Keep weight off, shore the truss on both sides of the cut, and have a licensed engineer design the "
        "repair. Do not mend it by eye."
    ),
)
def truss_altered(area: Area, limits: Limits) -> Iterator[Check]:
    """A floor truss is not cut, notched or bored unless a designer allowed it.

    Each member of a truss carries load end to end; with one gone the rest may let go at once.
    """
    yield from _uncut(area, ("truss",), "cuts in trusses", "no truss; judged by engineered-cuts")


@rule(
    "built-up-beam-cuts",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="floor.built-up-cuts",
    quantity="cut in a built-up beam",
    measures=["support.holes", "support.notches", "hole.designed", "notch.designed"],
    provisions=["header-notch-unknown"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer"],
    remedy=(
        "Have a licensed engineer look at the beam before anything else is cut or covered, and route the pipe below it."
    ),
)
def built_up_beam_cuts(area: Area, limits: Limits) -> Iterator[Check]:
    """A hole or notch in a built-up beam has an engineer's word behind it.

    The code's fractions name joists and beams of one solid piece. Plies share load through nails, and joints between
    them leave fewer plies than one counts.
    """
    what = "cuts in built-up beams"
    if area.supports is None:
        yield not_measured(Named(what, area.path), asks=("area.supports",), because="no supports are described")
        return
    beams = [s for s in area.supports if s.line in ("beam", None)]
    if not beams:
        yield does_not_apply(Named(what, area.path), "no beam carries these joists")
    for beam in beams:
        if beam.section.plies < 2 or beam.kind in ENGINEERED:
            because = "one solid piece" if beam.kind not in ENGINEERED else "judged by engineered-cuts"
            yield does_not_apply(named(beam), because)
            continue
        if any(cuts is None for cuts in _lists(beam)):
            asks = tuple(
                f for f, cuts in zip(("support.holes", "support.notches"), _lists(beam), strict=True) if cuts is None
            )
            yield not_measured(named(beam), asks=asks, because="nobody has looked whether it is cut")
        elif not any(_lists(beam)):
            yield does_not_apply(named(beam), "no cuts seen")
        for label, cut, designed in _cuts(beam):
            asks = (f"{type(cut).__name__.lower()}.designed",)
            found = f"{beam.section.plies} plies are cut"
            subject = named(cut, label, within=beam)
            yield fact(subject, designed, expected=DESIGNED, found=found, asks=asks, path=cut.path)


# --- joists cut through -----------------------------------------------------------------------------------------------


@rule(
    "joist-cut-through",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.cut-joists",
    quantity="mending of the cut",
    limits=["bearing"],
    measures=[
        "joist.cuts",
        "cut.repair",
        "cut_repair.header",
        "cut_repair.bears_at_ends",
        "cut_repair.size",
        "header.hung",
    ],
    provisions=["scab-ends", "cut-joist-headoff", "splice-over-support-only", "sister-bearing"],
    cautions=["temporary-shoring", "crawl-space", "licensed-engineer", "cutting-old-wood"],
    remedy=(
        "Keep weight off, shore the joist on both sides of the cut, then run a full-length sister that bears "
        "at both ends, or head both cut ends off to whole joists. Boards nailed across the cut are no splice; "
        "any other splice between supports needs a licensed engineer."
    ),
)
def joist_cut_through(area: Area, limits: Limits) -> Iterator[Check]:
    """A joist that was cut through is carried again: by headers, a full-length sister, or a design.

    A cut joist carries nothing. Its neighbours and the subfloor hold what it held, until they don't.
    """
    if nothing := no_joists(area, "cut joists"):
        yield nothing
        return
    joists = area.joists or ()
    if unsaid := [joist for joist in joists if joist.cuts is None]:
        because = "nobody has looked whether any is cut through"
        yield not_measured(together(unsaid, "cuts"), asks=("joist.cuts",), because=because)
    if whole := [joist for joist in joists if joist.cuts == ()]:
        yield does_not_apply(together(whole, "cuts"), "not cut through")
    cut_joists = [joist for joist in joists if joist.cuts]
    ends = ends_by_joist(area) if cut_joists else {}
    for joist in cut_joists:
        cuts = joist.cuts or ()
        for label, cut in zip(numbered("cut", (c.id for c in cuts)), cuts, strict=True):
            yield replace(_mended(area, joist, cut, label, ends[joist.id], limits), path=cut.path)


def _mended(area: Area, joist: Joist, cut: Cut, label: str, ends: Sequence[JoistEnd], limits: Limits) -> Check:
    subject, expected = named(cut, label, within=joist), "the joist is carried again"
    sister = full_sister(area, ends, limits)
    if sister is not None and sister[1]:
        return fact(subject, True, expected=expected, found=f"{sister[0]} carries in its place, bearing to bearing")
    repair = cut.repair
    kind = repair.kind if repair is not None else None
    if repair is None or kind is None:
        return fact(subject, None, expected=expected, found="cut through", asks=("cut.repair",), severity=STOP_WORK)
    if kind == "designed":
        return fact(subject, True, expected=expected, found="mended to a sealed design; keep the paper")
    if kind == "sister":
        return _sistered(joist, cut, repair, subject)
    if kind == "headered":
        return _headered(area, joist, cut, repair, subject)
    if kind == "post-under":
        expected = "both cut ends bear on a beam that stands on a footing: describe it as a support"
        return fact(subject, None, expected=expected, found="a post under the cut", asks=("area.supports",))
    if sister is not None:
        expected = f"{sister[0]} is fastened, as deep as the joist, and bears at both ends"
        return fact(subject, None, expected=expected, asks=("sister.bearing", "sister.fasteners", "sister.full_length"))
    severity = STOP_WORK if kind == "none" else None
    return fact(subject, False, expected=expected, found=_NO_SPLICE[kind], severity=severity)


_NO_SPLICE = {
    "none": "cut through and left so",
    "scab": "boards nailed across the cut, which are no splice",
    "plate": "a plate across the cut, with no design",
}


def _sistered(joist: Joist, cut: Cut, repair: CutRepair, subject: Named) -> Check:
    depth = resolve_section(repair.size, repair.sizes, None, None, None, cut.work).depth
    whole = joist.section.depth
    deep = at_least(depth, whole) if depth is not None and whole is not None else None
    bears = repair.bears_at_ends
    found = (
        "it does not bear at both ends" if bears is False else "it is shallower than the joist" if deep is False else ""
    )
    asks = tuple(f for f, known in (("cut_repair.bears_at_ends", bears), ("cut_repair.size", deep)) if known is None)
    expected = "the mending piece is as deep as the joist and bears on its supports at both ends"
    return fact(subject, all_of((bears, deep)), expected=expected, found=found or "a full-length piece", asks=asks)


def _headered(area: Area, joist: Joist, cut: Cut, repair: CutRepair, subject: Named) -> Check:
    expected = "headers carry both cut ends, and something carries the headers"
    if repair.header is None:
        return fact(subject, None, expected=expected, asks=("cut_repair.header",))
    carrier = area.carriers.get(repair.header)
    if carrier is None:
        return fact(
            subject, None, expected=expected, found=f"no header {repair.header} is described", asks=("opening.headers",)
        )
    reaches = _reaches(carrier, joist)
    held = True if isinstance(carrier, Support) else _held(carrier)
    both = _both_ends(area, joist, cut, carrier)
    found = ""
    if reaches is False:
        found = f"{repair.header} does not reach this joist"
    elif held is False:
        found = f"nothing holds {repair.header}"
    asks = tuple(
        field
        for field, known in (("header.across", reaches), ("header.hung", held), ("opening.headers", both))
        if known is None
    )
    found = found or f"headed off on {repair.header}"
    return fact(subject, all_of((reaches, held, both)), expected=expected, found=found, asks=asks)


def _reaches(carrier: Support | Header, joist: Joist) -> bool | None:
    """Whether a header runs as far across as this joist."""
    if carrier.across is None:
        return True if isinstance(carrier, Support) else None
    low, high = carrier.across
    if low is None or high is None or joist.place is None:
        return None
    return all_of((at_most(low, joist.place), at_most(joist.place, high)))


def _held(header: Header) -> bool | None:
    """Whether something holds a header at its ends; nails alone may do for a short one, which somebody must say."""
    if header.hung is None or header.hung.by is None or header.hung.by == "nails-only":
        return None
    return header.hung.by in (*HANGERS, "ledger-strip")


def _both_ends(area: Area, joist: Joist, cut: Cut, carrier: Support | Header) -> bool | None:
    """Whether the other cut end is carried too: by a second header, or because the wood is gone up to the support."""
    for opening in area.openings or ():
        headers = opening.headers or ()
        if any(header is carrier for header in headers):
            others = [header for header in headers if header is not carrier and _reaches(header, joist)]
            if others and all(_held(header) for header in others):
                return True
    gone = stretch(area, joist, cut.from_, cut.at, cut.gap)
    for name in (joist.from_, joist.to):
        faces = faces_of(area.carriers.get(name or ""))
        if faces is not None and overlaps(gone, faces):
            return True
    return None
