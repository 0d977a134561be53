"""Girders and headers: beams that carry joists at their real places, and hand on to posts, piers and trimmers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from inspect_core.engineering.lumber import constant
from inspect_core.quantities import Dimension, Quantity, at_most, exactly, hull
from inspect_core.site.area import Area
from inspect_core.site.geometry import carrier_faces, extent_along
from inspect_core.site.model import Header, Joist, Opening, Pair, Pier, Post, Support
from inspect_core.structure.assembly import Flaw, Piece, Plan, carried, solve_member
from inspect_core.structure.basis import HARD, KIND, Basis, Ends
from inspect_core.structure.flaws import Gathered, flaws_of
from inspect_core.structure.joists import MOST_PLACES, Member, once, passed, reaches, self_weight, tried_places
from inspect_core.structure.loads import FAR, Load, Loads
from inspect_core.structure.strength import SAWN, NoValues, ends_of, moisture_classes, wood_of

UNDER_POSTS = ("posts", "piers")
CONTINUOUS = ("masonry", "concrete", "wall", "soil", "wood")
# No facts of the trade: where these draw the line, both ways are tried, or the load beyond goes into the last support.
OPEN_END = 12.0  # in: a beam that goes on farther than this past its last post ends on something, or on nothing
SPLICE_AT_POST = 6.0  # in: a splice this near a post's centre may lie over it while the post's width is not known
MARGIN = 1.0  # in: a joist at the very end of a beam is on it


@dataclass(frozen=True, slots=True)
class Stand:
    """A post or pier under a beam: centre on the across tape and half its width along the beam, both as quantities."""

    id: str
    part: Post | Pier
    at: Quantity
    half: Quantity


def is_girder(area: Area, support: Support) -> bool | None:
    """Whether a support line spans from post to post; ``None`` when that is not known."""
    named = {part.under for part in _parts(area)}
    if support.id in named or support.rests_on in UNDER_POSTS:
        return True
    if support.rests_on in CONTINUOUS or support.line in ("ledger", "masonry-ledge"):
        return False
    return True if support.line == "beam" else None


def _parts(area: Area) -> list[Post | Pier]:
    return [*(area.posts or ()), *(area.piers or ())]


def stands_under(area: Area, support: Support, notes: Gathered) -> list[Stand]:
    """Posts and piers under a beam, in order."""
    found = []
    for part in _parts(area):
        if part.under != support.id:
            continue
        if part.at is None:
            notes.missing.append("post.at" if isinstance(part, Post) else "pier.at")
            continue
        half = _half(part)
        notes.guess(part.at, half)
        if half.high <= 0:
            # Where its faces stand changes spans and shear both ways, so nothing passes until they are known.
            notes.unseen.append("post.size" if isinstance(part, Post) else "pier.width")
        found.append(Stand(part.id, part, part.at, half))
    if not found and not notes.missing:
        unknown = [name for name, parts in (("area.posts", area.posts), ("area.piers", area.piers)) if parts is None]
        notes.missing += unknown or ["post.under", "pier.under"]
    return sorted(found, key=lambda stand: (stand.at.middle, stand.id))


def _half(part: Post | Pier) -> Quantity:
    if isinstance(part, Pier):
        sizes = [q for q in (part.width, part.length) if q is not None]
    else:
        section = part.section
        breadth = section.thickness * section.plies if section.thickness is not None else None
        sizes = [q for q in (breadth, section.depth) if q is not None]
    if not sizes or (isinstance(part, Pier) and part.width is None):
        return exactly(0.0, Dimension.LENGTH)
    return hull(*sizes) / 2


# --- girders ----------------------------------------------------------------------------------------------------------


def solve_girder(area: Area, support: Support, basis: Basis, bearing: Sequence[tuple[Joist, Member, Loads]]) -> Member:
    """A girder under the joists that bear on it; ``bearing`` lists them with what their floor brings."""
    notes = Gathered("support", unseen=may_bear_on(area, support))
    if area.joists is None:
        notes.missing.append("area.joists")
    stands = stands_under(area, support, notes)
    loads = _joist_loads(support.id, bearing, notes)
    notes.notes.append("only the floor described here bears on it")
    extent = _extent(area, support, [*(stand.at.middle for stand in stands), *(load.start for load in loads)], notes)
    possibilities = list(_girder_plans(support, stands, extent, notes)) if stands else []
    if not all(possibilities):
        notes.missing.append("support.across")
    return _solve_beam(
        support,
        "support",
        support.id,
        notes,
        basis,
        loads,
        possibilities,
        lambda own: _girder_flaws(support, stands, own, notes),
    )


def _solve_beam(
    member: Support | Header,
    kind: str,
    name: str,
    notes: Gathered,
    basis: Basis,
    loads: list[Load],
    possibilities: list[list[Plan]],
    flaws: Callable[[Piece], tuple[list[Flaw], list[Flaw]]],
) -> Member:
    section = member.section
    if not loads and not notes.missing:
        notes.missing += ["joist.from", "joist.to"]
    if section.thickness is None or section.depth is None:
        notes.missing.append(f"{kind}.size")
    found = Member(
        id=name,
        path=member.path,
        work=member.work,
        kind=kind,
        plies=section.plies,
        loads=tuple(loads),
        arriving=carried(possibilities, loads, over_ends=True) if possibilities and not notes.missing else {},
        creep_wet=moisture_classes(member.moisture, basis),
    )
    if member.kind not in SAWN:
        outside = f"{member.kind}: only its maker's tables or an engineer can tell"
        return _noted(replace(found, outside=outside), notes)
    if notes.missing or section.thickness is None or section.depth is None:
        return _noted(found, notes)
    together = section.plies >= constant("cr_members_min").value
    spacing = (section.thickness.high,) if together else (None,)
    strength = wood_of(member, section.thickness, section.depth, basis, spacing, section.plies)
    if isinstance(strength, NoValues):
        return _noted(replace(found, no_values=strength.why), notes)
    notes.guess(section.thickness, section.depth, member.moisture)
    notes.notes += [*section.assumptions, *strength.assumptions, "joists on it hold its top edge"]
    notes.decides += [f"{kind}.{one}" for one in strength.decides]
    if section.assumptions:
        notes.decides.append(f"{kind}.sizes")
    thick = ends_of(section.thickness, more_helps=True)
    own = Piece(
        "beam" if kind == "support" else "header",
        (-FAR, -FAR),
        (FAR, FAR),
        (thick[KIND] * section.plies, thick[HARD] * section.plies),
        ends_of(section.depth, more_helps=True),
        strength,
    )
    loads = [*loads, self_weight(section.thickness, section.depth, section.plies, "own weight")]
    answer = solve_member(possibilities, (own,), flaws(own), loads)
    return _noted(
        replace(
            found,
            answer=answer,
            pieces=(own,),
            loads=tuple(loads),
            arriving=carried(possibilities, loads, over_ends=True),
        ),
        notes,
    )


def _noted(member: Member, notes: Gathered) -> Member:
    return replace(
        member,
        missing=once(notes.missing),
        unseen=once(notes.unseen),
        decides=once(notes.decides),
        assumptions=once(notes.notes),
        loose=notes.loose,
    )


def _joist_loads(name: str, bearing: Iterable[tuple[Joist, Member, Loads]], notes: Gathered) -> list[Load]:
    """What each joist brings to a carrier at its place."""
    found: list[Load] = []
    for joist, member, floor in bearing:
        reaction = member.arriving.get(name)
        place = joist.place_far if joist.place_far is not None and joist.to == name else joist.place
        notes.unseen += [one for one in floor.unseen if one not in notes.unseen]
        notes.decides += [one for one in floor.decides if one not in notes.decides]
        notes.loose |= floor.loose
        if reaction is None or place is None:
            notes.missing += member.missing or ("joist_group.at",)
            continue
        notes.unseen += [one for one in member.missing if one not in notes.unseen]
        notes.guess(place)
        at = place.middle
        notes.loose |= place.is_range
        for nature, part in (("dead", reaction.dead), ("live", reaction.live)):
            if part != (0.0, 0.0):
                source = "its reaction here"
                found.append(
                    Load(f"joist {joist.id}, {nature}", "dead" if nature == "dead" else "live", at, at, part, source)
                )
    return found


def _extent(area: Area, support: Support, on_it: Sequence[float], notes: Gathered) -> tuple[float, float]:
    """Where the beam begins and ends on the across tape: as said, or from wall to wall; the longest that it may be.

    ``on_it`` are the places of what stands under it and of what bears on it: it reaches as far as they do.
    """
    first, last = support.across if support.across is not None else (None, None)
    across = [corner[0].middle for corner in area.room_corners]
    begins = first.low if first is not None else min([*across, *on_it], default=0.0)
    ends = last.high if last is not None else max([*across, *on_it], default=0.0)
    for end in (first, last):
        notes.guess(end)
        notes.loose |= end is not None and end.is_range
    outside = [place for place in on_it if not begins - MARGIN <= place <= ends + MARGIN]
    return min([begins, *outside]), max([ends, *outside])


def _girder_plans(
    support: Support, stands: Sequence[Stand], extent: tuple[float, float], notes: Gathered
) -> Iterator[list[Plan]]:
    """Each way in which the girder may be carried: its splices over posts, and what holds an end past the last post."""
    splices = support.splices
    if splices is None:
        notes.unseen.append("support.splices")
    breaks: list[set[bool]] = []
    for stand in stands:
        here = [s for s in splices or () if s is not None and _over(s, stand) is not False]
        inner = stand is not stands[0] and stand is not stands[-1]
        if not inner or splices == () or (splices is not None and None not in splices and not here):
            breaks.append({False})
        elif splices is None or None in splices or support.section.plies > 1 or not any(_over(s, stand) for s in here):
            breaks.append({True, False})
        else:
            breaks.append({True})
    open_ends = (stands[0].at.middle - extent[0] > OPEN_END, extent[1] - stands[-1].at.middle > OPEN_END)
    for end, is_open in zip(("begins", "ends"), open_ends, strict=True):
        if is_open:
            notes.decides.append("post.at")
            notes.notes.append(f"no post or pier where it {end}: taken as held there by something, and as free")
    # A post turned the other way has its faces elsewhere: shorter spans, but loads nearer to them.
    turned = [stands]
    if any(stand.half.is_range for stand in stands):
        turned = [_with_half(stands, low=True), _with_half(stands, low=False)]
    for way in (placed for one in turned for placed in _places(one, open_ends, notes)):
        for broken in product(*(sorted(choice) for choice in breaks)):
            for held in product(*((True, False) if is_open else (False,) for is_open in open_ends)):
                yield list(_lengths(way, broken, extent, open_ends, held))


def _over(splice: Quantity, stand: Stand) -> bool | None:
    """Whether a splice lies over a post or pier; ``None`` when that is not known."""
    away = abs(splice - stand.at)
    if stand.half.high <= 0:
        return False if away.low > SPLICE_AT_POST else None
    return at_most(away, stand.half)


def _places(stands: Sequence[Stand], open_ends: tuple[bool, bool], notes: Gathered) -> Iterator[list[Stand]]:
    """Posts and piers over which the beam runs on, where a range puts them: each at both of its ends and in its middle.

    The outer ones need no trying where the beam ends: the longer span is the harder there.
    """
    first, last = 0 if open_ends[0] else 1, len(stands) if open_ends[1] else len(stands) - 1
    unsure = [number for number in range(first, last) if stands[number].at.is_range]
    if len(unsure) > MOST_PLACES:
        notes.loose = True
        unsure = unsure[:MOST_PLACES]
    for places in product(*(tried_places(stands[number].at) for number in unsure)):
        placed = list(stands)
        for number, place in zip(unsure, places, strict=True):
            placed[number] = replace(stands[number], at=exactly(place, Dimension.LENGTH))
        yield placed


def _with_half(stands: Sequence[Stand], *, low: bool) -> list[Stand]:
    """Posts and piers at one end of the range of their widths."""
    halves = [stand.half.low if low else stand.half.high for stand in stands]
    return [replace(s, half=exactly(half, Dimension.LENGTH)) for s, half in zip(stands, halves, strict=True)]


def _lengths(
    stands: Sequence[Stand],
    broken: Sequence[bool],
    extent: tuple[float, float],
    open_ends: tuple[bool, bool],
    held: Sequence[bool],
) -> Iterator[Plan]:
    """Continuous lengths from splice to splice: their end posts count from the inner face, others from the centre."""
    run: list[tuple[str, Ends]] = []
    start: Ends | None = None
    if open_ends[0]:
        start = (extent[0], extent[0])
        run = [("its first end", start)] if held[0] else []
    for number, stand in enumerate(stands):
        after: Ends = (stand.at.high + stand.half.high, stand.at.low + stand.half.low)
        before: Ends = (stand.at.low - stand.half.high, stand.at.high - stand.half.low)
        if start is None:
            start, run = after, [(stand.id, after)]
            continue
        if broken[number] or (number == len(stands) - 1 and not open_ends[1]):
            over = (_past(stands, start, run, extent[0]), stand.half.high)
            if number == len(stands) - 1:
                over = (over[0], max(extent[1] - before[HARD], 0.0) + MARGIN)
            yield Plan(start, before, (*run, (stand.id, before)), over, over)
            start, run = after, [(stand.id, after)]
        else:
            run.append((stand.id, (stand.at.middle, stand.at.middle)))
    if open_ends[1] and start is not None:
        end = (extent[1], extent[1])
        over = (_past(stands, start, run, extent[0]), 0.0)
        yield Plan(start, end, (*run, ("its last end", end)) if held[1] else tuple(run), over, over)


def _past(stands: Sequence[Stand], start: Ends, run: Sequence[tuple[str, Ends]], begins: float) -> float:
    """How far before the start of a length what stands on the beam still goes into its first post."""
    first = next((stand for stand in stands if run and stand.id == run[0][0]), None)
    if first is None:
        return 0.0
    return max(start[HARD] - begins, 0.0) + MARGIN if first is stands[0] else first.half.high


@dataclass(frozen=True, slots=True)
class _AcrossTape:
    """The across tape, and distances from the centres of posts and piers."""

    stands: Sequence[Stand]

    def place(self, from_: str | None, at: Quantity | None) -> Quantity | None:
        if at is None or from_ is None:
            return at
        stand = next((s for s in self.stands if s.id == from_), None)
        return stand.at + at if stand is not None else None

    def backwards(self, from_: str | None) -> bool:
        return False

    def faces(self) -> dict[str, Quantity]:
        return {stand.id: stand.at for stand in self.stands}


def _girder_flaws(
    support: Support, stands: Sequence[Stand], own: Piece, notes: Gathered
) -> tuple[list[Flaw], list[Flaw]]:
    kind, hard = flaws_of(
        _AcrossTape(stands),
        own,
        notes,
        holes=support.holes,
        notches=support.notches,
        condition=support.condition,
    )
    for number, splice in enumerate(support.splices or (), start=1):
        if splice is None:
            continue
        notes.guess(splice)
        over = [_over(splice, stand) for stand in stands]
        if True in over:
            continue
        surely = None not in over  # between posts; else it may be, and only the hard end reckons with it
        plies = support.section.plies
        name = f"splice {number}"
        if plies == 1:
            gone = Flaw(name, splice.low - 0.1, splice.high + 0.1, gone=True, near_support=True)
            hard.append(gone)
            if surely:
                kind.append(gone)
            continue
        # The spliced ply helps again only where it has been handed its part.
        for flaws, end, reach in ((kind, KIND, 0.1), (hard, HARD, own.depth[HARD])):
            left = (own.breadth[end] * (plies - 1) / plies, own.depth[end])
            if end == KIND and (not surely or splice.is_range):
                continue
            flaws.append(Flaw(name, splice.low - reach, splice.high + reach, left=left))
    return kind, hard


# --- headers ----------------------------------------------------------------------------------------------------------


def solve_header(
    area: Area, opening: Opening, header: Header, basis: Basis, bearing: Sequence[tuple[Joist, Member, Loads]]
) -> Member:
    """A header between its trimmers, under the tail joists that bear on it."""
    notes = Gathered("header", unseen=may_bear_on(area, header))
    loads = _joist_loads(header.id, bearing, notes)
    across = header_across(opening, header)
    possibilities: list[list[Plan]] = []
    if across is None:
        notes.missing.append("header.across")
    else:
        notes.guess(*across)
        start, end = (across[0].high, across[0].low), (across[1].low, across[1].high)
        # A tail joist that is said to hang on it, and stands past its end, comes down on the trimmer there.
        possibilities = [[Plan(start, end, (("first trimmer", start), ("last trimmer", end)), over=(FAR, FAR))]]
    return _solve_beam(
        header,
        "header",
        header.id,
        notes,
        basis,
        loads,
        possibilities,
        lambda own: flaws_of(_AcrossTape(()), own, notes, condition=header.condition),
    )


def header_across(opening: Opening, header: Header) -> tuple[Quantity, Quantity] | None:
    """Where a header begins and ends: as said; where nothing is said of it, as wide as its opening."""
    return _known(header.across if header.across is not None else opening.across)


def _known(pair: Pair | None) -> tuple[Quantity, Quantity] | None:
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    return pair[0], pair[1]


def trimmers_of(area: Area, opening: Opening, header: Header) -> tuple[tuple[Joist, ...], tuple[Joist, ...]]:
    """Joists that carry a header's two ends: those listed, each with the end that it is nearer to, or the nearest."""
    across, faces = header_across(opening, header), carrier_faces(header)
    if across is None:
        return (), ()
    first, last = across[0].middle, across[1].middle
    if opening.trimmers is not None:
        listed = [joist for name in opening.trimmers if (joist := area.joist_by_id.get(name)) is not None]
    else:
        listed = _nearest(area, header, first, last, faces[0].middle if faces is not None else None)
    ends: tuple[list[Joist], list[Joist]] = ([], [])
    for joist in listed:
        if joist.place is not None:
            nearer_last = abs(joist.place.middle - last) < abs(joist.place.middle - first)
            ends[1 if nearer_last else 0].append(joist)
    return tuple(ends[0]), tuple(ends[1])


def may_be_trimmers(area: Area, opening: Opening, header: Header) -> tuple[Joist, ...]:
    """Joists that may carry an end of a header, where that isn't sure: its ends or their place are not well known."""
    across = header_across(opening, header)
    others = [joist for joist in area.joists or () if header.id not in (joist.from_, joist.to)]
    if opening.trimmers is not None:
        return tuple(joist for joist in others if joist.id in opening.trimmers) if across is None else ()
    if across is None:
        return tuple(others)
    sure = {joist.id for end in trimmers_of(area, opening, header) for joist in end}
    return tuple(
        joist
        for joist in others
        if joist.id not in sure
        and (joist.place is None or any(abs(joist.place.bounds - end.bounds).low <= REACH for end in across))
    )


# No fact of the trade: of a joist that may or may not be in reach, its place being a range, `may_be_trimmers` tells.
REACH = 4.0  # in: how far from a header's end the joist stands that carries it


def _nearest(area: Area, header: Header, first: float, last: float, along: float | None) -> list[Joist]:
    found = []
    for joist in area.joists or ():
        if joist.place is None or header.id in (joist.from_, joist.to):
            continue
        if along is not None and not _passes(area, joist, along):
            continue
        if abs(joist.place.middle - first) <= REACH or abs(joist.place.middle - last) <= REACH:
            found.append(joist)
    return found


def _passes(area: Area, joist: Joist, along: float) -> bool:
    extent = extent_along(area, joist)
    return extent is None or extent[0] <= along <= extent[1]


def bears_on(joist: Joist, name: str) -> bool:
    """Whether a joist, or a cut end of it, rests on this carrier."""
    if name in (joist.from_, joist.to, *(joist.over or ())):
        return True
    return any(cut.repair is not None and cut.repair.header == name for cut in joist.cuts or ())


def may_bear_on(area: Area, carrier: Support | Header) -> list[str]:
    """Fields that leave open whether more joists than are known rest on a carrier."""
    found: dict[str, None] = {}
    for joist in area.joists or ():
        if bears_on(joist, carrier.id) or not reaches(carrier, joist):
            continue
        for name, value in (("joist.from", joist.from_), ("joist.to", joist.to)):
            if value is None:
                found[name] = None
        if joist.over is None and carrier.id in passed(area, joist):
            found["joist.over"] = None
    return list(found)
