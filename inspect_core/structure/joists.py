"""Joists: what carries them, what is left of them, what helps them, and what they come to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from inspect_core.engineering import weights
from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.site.area import Area
from inspect_core.site.geometry import NOTHING, carrier_faces
from inspect_core.site.model import Cut, Header, Joist, Path, Sister, Support
from inspect_core.site.sections import resolve_section
from inspect_core.structure.assembly import Answer, Flaw, Piece, Plan, Reaction, carried, least_left, solve_member
from inspect_core.structure.basis import HARD, KIND, Basis, Ends
from inspect_core.structure.beam import TOUCH
from inspect_core.structure.flaws import Gathered, flaws_of
from inspect_core.structure.loads import FAR, Load, Loads, held_at, two_sided
from inspect_core.structure.sisters import Fastening, fastening
from inspect_core.structure.strength import SAWN, NoValues, Wood, ends_of, moisture_classes, wood, wood_of

SIDE_CONNECTED = ("framing-anchor", "let-in", "nails-only")  # held from the side: no shear goes straight into a seat
# No fact of the trade: wood that goes on less than this past a support bears nothing to speak of.
OVERHANG = 2.0  # in: wood past a support's outer face that is more than a ragged end
OF_REPAIR = {  # what says the same of the piece that mends a cut
    "sister.fasteners": "cut_repair.fasteners",
    "sister.begins": "cut_repair.past_near",
    "sister.ends": "cut_repair.past_far",
    "sister.bearing": "cut_repair.bears_at_ends",
}
MOST_PLACES = 3  # uncertain inner supports that are tried along their ranges


@dataclass(frozen=True, slots=True)
class Member:
    """A member with all that is known of how it works: solved, or why it isn't.

    ``reactions`` are those of the mended member between its supports; ``arriving`` is what comes down on each support
    with what lies over it. ``missing`` names fields without which nothing can be worked out, ``unseen`` fields without
    which it may be worse than it looks (nothing passes until they are known), ``decides`` fields that would narrow the
    bounds. ``outside`` says why this calculation is not for it, ``no_values`` why its wood has no strength here.
    """

    id: str
    path: Path
    work: str | None
    answer: Answer | None = None
    pieces: tuple[Piece, ...] = ()
    loads: tuple[Load, ...] = ()
    fastenings: tuple[Fastening, ...] = ()
    reactions: dict[str, Reaction] = field(default_factory=dict)
    arriving: dict[str, Reaction] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    outside: str = ""
    no_values: str = ""
    kind: str = "joist"
    plies: int = 1
    loose: bool = False
    creep_wet: tuple[bool, ...] = (False,)

    def decided_by(self, *names: str) -> tuple[str, ...]:
        """Fields of this kind of member: ``joist.species``."""
        return tuple(f"{self.kind}.{name}" for name in names)

    @property
    def wood(self) -> Wood | None:
        """Strength of the member itself."""
        return self.pieces[0].wood if self.pieces else None


def once(names: Iterable[str]) -> tuple[str, ...]:
    """Names in order, each once."""
    return tuple(dict.fromkeys(names))


@dataclass(frozen=True, slots=True)
class _JoistTape:
    """The along tape, and distances from the faces of a joist's supports."""

    area: Area
    joist: Joist

    def place(self, from_: str | None, at: Quantity | None) -> Quantity | None:
        return self.area.place_along(self.joist, from_, at)

    def backwards(self, from_: str | None) -> bool:
        return from_ is not None and from_ == self.joist.to

    def faces(self) -> dict[str, Quantity]:
        found: dict[str, Quantity] = {}
        for name in (self.joist.from_, *(self.joist.over or ()), self.joist.to):
            carrier = self.area.carriers.get(name) if name is not None else None
            faces = carrier_faces(carrier) if carrier is not None else None
            if name is None or faces is None:
                continue
            middle = (faces[0] + faces[1]) / 2
            found[name] = faces[1] if name == self.joist.from_ else faces[0] if name == self.joist.to else middle
        return found


def solve_joist(area: Area, joist: Joist, basis: Basis, floor: Loads, from_headers: Sequence[Load]) -> Member:
    """A joist under the loads of its floor and of the headers that it carries as a trimmer."""
    notes = Gathered("joist", [*floor.missing], [*floor.unseen], [*floor.decides], [*floor.assumptions], floor.loose)
    section = joist.section
    possibilities = _possibilities(area, joist, basis, notes)
    as_meant = _possibilities(area, joist, basis, Gathered("joist"), as_meant=True)
    if section.thickness is None or section.depth is None:
        notes.missing.append("joist.size")
    loads = [*floor.loads, *from_headers]
    if joist.kind not in SAWN:
        outside = f"{joist.kind}: only its maker's tables or an engineer can tell"
        return _not_solved(joist, notes, loads, as_meant, outside=outside)
    if notes.missing or section.thickness is None or section.depth is None:
        return _not_solved(joist, notes, loads, as_meant)
    spacing, count = _spacing(area, joist, notes)
    strength = wood_of(joist, section.thickness, section.depth, basis, spacing, count)
    if isinstance(strength, NoValues):
        return _not_solved(joist, notes, loads, as_meant, no_values=strength.why)
    notes.guess(section.thickness, section.depth, joist.moisture)
    notes.notes += [*section.assumptions, *strength.assumptions]
    notes.decides += [f"joist.{name}" for name in strength.decides]
    if section.assumptions:
        notes.decides.append("joist.sizes")
    own = Piece(
        "joist",
        (-FAR, -FAR),
        (FAR, FAR),
        _times(ends_of(section.thickness, more_helps=True), section.plies),
        ends_of(section.depth, more_helps=True),
        strength,
    )
    if floor.own_weight:
        loads.append(_self_weight(section.thickness, section.depth, section.plies))
    of_wood = Gathered("joist")
    flaws = flaws_of(
        _JoistTape(area, joist),
        own,
        of_wood,
        holes=joist.holes,
        notches=joist.notches,
        cuts=joist.cuts,
        condition=joist.condition,
    )
    plans = [plan for way in possibilities for plan in way]
    sisters, fastenings = _sisters(area, joist, basis, own, loads, notes, spacing, count, plans, flaws[HARD])
    notes.add(of_wood)
    flaws = flaws[KIND], [*flaws[HARD], *_beside_sisters(sisters, flaws[HARD])]
    eased = not any(h.by in SIDE_CONNECTED for h in joist.hung.values())
    answer = solve_member(possibilities, (own, *sisters), flaws, loads, eased=eased)
    return Member(
        id=joist.id,
        path=joist.path,
        work=joist.work,
        answer=answer,
        pieces=(own, *sisters),
        loads=tuple(loads),
        fastenings=fastenings,
        reactions=carried(as_meant, loads),
        arriving=carried(as_meant, loads, over_ends=True),
        unseen=once(notes.unseen),
        decides=once(notes.decides),
        assumptions=once(notes.notes),
        loose=notes.loose,
        creep_wet=moisture_classes(joist.moisture, basis),
    )


def _not_solved(
    joist: Joist,
    notes: Gathered,
    loads: Sequence[Load],
    as_meant: list[list[Plan]],
    outside: str = "",
    no_values: str = "",
) -> Member:
    return Member(
        id=joist.id,
        path=joist.path,
        work=joist.work,
        loads=tuple(loads),
        reactions=carried(as_meant, loads),
        arriving=carried(as_meant, loads, over_ends=True),
        missing=once(notes.missing),
        unseen=once(notes.unseen),
        decides=once(notes.decides),
        assumptions=once(notes.notes),
        outside=outside,
        no_values=no_values,
        loose=notes.loose,
    )


def _times(ends: Ends, plies: int) -> Ends:
    return ends[KIND] * plies, ends[HARD] * plies


def self_weight(thickness: Quantity, depth: Quantity, plies: int, name: str) -> Load:
    """Own weight of a piece of lumber as a load all along it."""
    density = weights.density_pcf("softwood")
    amount = (
        density.low * thickness.low * depth.low * plies / 1728,
        density.high * thickness.high * depth.high * plies / 1728,
    )
    return Load(name, "dead", -FAR, FAR, amount, density.source)


def _self_weight(thickness: Quantity, depth: Quantity, plies: int) -> Load:
    return self_weight(thickness, depth, plies, "joist's own weight")


def _spacing(area: Area, joist: Joist, notes: Gathered) -> tuple[tuple[float | None, ...], int]:
    """Distance to the farther neighbour, at both ends of its range, and how many joists share the load."""
    between = [bay for bay in area.bays_beside.get(joist.id, ()) if not bay.at_wall]
    known = [bay.spacing for bay in between if bay.spacing is not None]
    count = len(area.joists or ())
    if not known or len(known) < len(between):
        return (None,), count
    notes.notes.append("the floor on top holds the joists' top edges and lets neighbours share load")
    return tuple(dict.fromkeys((max(q.low for q in known), max(q.high for q in known)))), count


# --- what carries it --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Seat:
    """A place where a joist bears; faces on the along tape as quantities."""

    id: str
    near: Quantity
    far: Quantity
    held: bool  # something bears there
    shared: bool  # joists of both sides bear there

    @property
    def width(self) -> float:
        return self.far.middle - self.near.middle


def _possibilities(area: Area, joist: Joist, basis: Basis, notes: Gathered, as_meant: bool = False) -> list[list[Plan]]:
    """Each way in which the joist may be carried; ``as_meant``: whole and held at every support."""
    for name, value in (("joist.from", joist.from_), ("joist.to", joist.to)):
        if value is None:
            notes.missing.append(name)
    over = joist.over or ()
    between = passed(area, joist) if joist.over is None else ()
    ways: list[tuple[str, ...]] = [over]
    if between:
        notes.decides.append("joist.over")
        notes.notes.append(f"not said whether it bears on {', '.join(between)} on its way: both tried")
        ways.append(between)
    found: list[list[Plan]] = []
    for way in ways:
        seats = [
            seat for name in (joist.from_, *way, joist.to) if (seat := _seat(area, joist, name, notes)) is not None
        ]
        if notes.missing:
            return []
        _note_ends(joist, seats, notes)
        if as_meant:
            seats = [replace(seat, held=True) for seat in seats]
        found += _layouts(area, joist, seats, basis, notes, as_meant)
    return found


def passed(area: Area, joist: Joist) -> tuple[str, ...]:
    """Support lines between a joist's two ends that nobody mentioned."""
    ends = [area.carriers.get(name) for name in (joist.from_, joist.to) if name is not None]
    faces = [f for carrier in ends if carrier is not None and (f := carrier_faces(carrier)) is not None]
    if len(faces) < 2:
        return ()
    low, high = faces[0][1].middle, faces[1][0].middle
    inside = [
        (f[0].middle, s.id)
        for s in area.supports or ()
        if (f := carrier_faces(s)) is not None and low < f[0].middle and f[1].middle < high and reaches(s, joist)
    ]
    return tuple(name for _, name in sorted(inside))


def reaches(carrier: Support | Header, joist: Joist) -> bool:
    """Whether a carrier may lie where a joist is; one whose ends nobody gave may lie anywhere."""
    if carrier.across is None or joist.place is None:
        return True
    first, last = (end.bounds if end is not None else None for end in carrier.across)
    begins = first.low if first is not None else -math.inf
    ends = last.high if last is not None else math.inf
    return begins <= joist.place.bounds.high and joist.place.bounds.low <= ends


def _end_not_seen(joist: Joist, name: str) -> bool:
    """Whether nobody said that this end bears, hangs or starts and stops anywhere: it may rest on nothing."""
    wood = joist.begins if name == joist.from_ else joist.ends if name == joist.to else None
    if name not in (joist.from_, joist.to) or wood is not None or name in joist.hung:
        return False
    return joist.bearing.get(name) is None and all(sister.bearing.get(name) is None for sister in joist.sisters or ())


def _seat(area: Area, joist: Joist, name: str | None, notes: Gathered) -> _Seat | None:
    if name is None or name == NOTHING:
        return None
    carrier = area.carriers.get(name)
    faces = carrier_faces(carrier) if carrier is not None else None
    if carrier is None or faces is None:
        placed = isinstance(carrier, Support) and carrier.at is not None
        notes.missing.append(
            "header.along" if isinstance(carrier, Header) else "support.width" if placed else "support.at"
        )
        return None
    notes.guess(*faces)
    if _end_not_seen(joist, name):
        notes.unseen.append("joist.bearing")
    return _Seat(name, faces[0], faces[1], held_at(joist, name), name in two_sided(area))


def _layouts(
    area: Area, joist: Joist, seats: list[_Seat], basis: Basis, notes: Gathered, as_meant: bool
) -> Iterator[list[Plan]]:
    held = [seat for seat in seats if seat.held]
    breaks = [{False} for _ in held]
    for number, seat in enumerate(held[1:-1], start=1):
        joint = joist.joints.get(seat.id)
        if joint is None or joint.kind == "continuous":
            continue
        breaks[number] = {True} if joint.kind is not None else {True, False}
        if joint.kind is None:
            notes.decides.append("joint.kind")
    unsure = [n for n, seat in enumerate(held[1:-1], start=1) if seat.near.is_range or seat.far.is_range]
    if len(unsure) > MOST_PLACES:
        notes.loose = True
        unsure = unsure[:MOST_PLACES]
    for broken_at in product(*(sorted(choice) for choice in breaks)):
        for places in product(*(tried_places((held[n].near + held[n].far) / 2) for n in unsure)):
            centres = {n: (s.near.middle + s.far.middle) / 2 for n, s in enumerate(held)}
            centres.update(zip(unsure, places, strict=True))
            plans = _plans(joist, held, broken_at, centres, basis)
            yield [part for plan in plans for part in _without_cuts(area, joist, plan, notes)]


def tried_places(at: Quantity) -> tuple[float, float, float]:
    """Where an inner support is tried whose place is a range: the worst is at an end, the best may lie between."""
    return at.low, at.middle, at.high


def _plans(
    joist: Joist, seats: list[_Seat], broken_at: Sequence[bool], centres: dict[int, float], basis: Basis
) -> Iterator[Plan]:
    """The joist's lengths from break to break.

    An end's support stands at the inner face, as the published tables take the clear span, rounded as they round it; an
    inner support, or one with an overhang, at its centre.
    """
    ease = basis.rounding_in / 2
    first = 0
    for number in range(len(seats)):
        if number != len(seats) - 1 and not broken_at[number]:
            continue
        if number == first and len(seats) > 1:
            continue
        held: list[tuple[str, Ends]] = []
        for here in range(first, number + 1):
            seat = seats[here]
            if here == first:
                at: Ends = (seat.far.high + ease, seat.far.low + ease)
            elif here == number:
                at = (seat.near.low - ease, seat.near.high - ease)
            else:
                at = (centres[here], centres[here])
            held.append((seat.id, at))
        start, end = held[0][1], held[-1][1]
        past_start, past_end = _overhangs(joist, seats[first], seats[number])
        if first == 0 and past_start is not None:
            held[0] = (held[0][0], (centres[0], centres[0]))
            start = past_start
        if number == len(seats) - 1 and past_end is not None:
            held[-1] = (held[-1][0], (centres[number], centres[number]))
            end = past_end
        opening, closing = seats[first], seats[number]
        beyond = [ease + seat.width * (0.5 if seat.shared or inner else 1.0) for seat, inner in
                  ((opening, first > 0), (closing, number < len(seats) - 1))]  # fmt: skip
        over = [ease + opening.width, ease + closing.width]
        if start != held[0][1]:
            beyond[0] = over[0] = 0.0
        if end != held[-1][1]:
            beyond[1] = over[1] = 0.0
        yield Plan(start, end, tuple(held), (beyond[0], beyond[1]), (over[0], over[1]))
        first = number


def _overhangs(joist: Joist, first: _Seat, last: _Seat) -> tuple[Ends | None, Ends | None]:
    """Where the wood ends past the outer supports, when it goes on there."""
    start = end = None
    if joist.begins is not None and joist.begins.middle < first.near.middle - OVERHANG:
        start = (joist.begins.high, joist.begins.low)
    if joist.ends is not None and joist.ends.middle > last.far.middle + OVERHANG:
        end = (joist.ends.low, joist.ends.high)
    return start, end


def _note_ends(joist: Joist, seats: Sequence[_Seat], notes: Gathered) -> None:
    """Wood that may go on past its outer supports, and nobody measured whether or how far, lets nothing pass."""
    if not seats:
        return
    for end, past in (
        (joist.begins, seats[0].near - joist.begins if joist.begins is not None else None),
        (joist.ends, joist.ends - seats[-1].far if joist.ends is not None else None),
    ):
        if end is not None and past is not None and past.bounds.high > OVERHANG:
            notes.loose |= end.estimate or past.low <= OVERHANG


def _without_cuts(area: Area, joist: Joist, plan: Plan, notes: Gathered) -> Iterator[Plan]:
    """A joist whose cut ends hang on a header, or stand on a post, ends there; other cuts are flaws of the wood."""
    places: list[tuple[Quantity, Quantity, str]] = []
    for cut in joist.cuts or ():
        repair = cut.repair
        if repair is None or repair.kind not in ("headered", "post-under"):
            continue
        at = area.place_along(joist, cut.from_, cut.at)
        header = area.carriers.get(repair.header) if repair.header is not None else None
        faces = carrier_faces(header) if header is not None else None
        if faces is not None:
            places.append((*faces, repair.header or "header"))
        elif at is not None:
            name = f"the {repair.kind} at its cut"
            gap = cut.gap if cut.gap is not None else exactly(0.0, Dimension.LENGTH)
            backwards = cut.from_ is not None and cut.from_ == joist.to
            places.append((at - gap, at, name) if backwards else (at, at + gap, name))
    if not places:
        yield plan
        return
    start, held = plan.start, list(plan.supports)
    for low, high, name in sorted(places, key=lambda place: place[0].middle):
        notes.guess(low, high)
        # As short as it may be, yet not so short that there is none.
        end: Ends = (low.low if low.low - start[KIND] > TOUCH else low.high, low.high)
        before = [s for s in held if s[1][HARD] <= low.high]
        held = [s for s in held if s[1][HARD] >= high.low]
        yield Plan(start, end, (*before, (name, end)))
        start = (high.high if plan.end[KIND] - high.high > TOUCH else high.low, high.low)
        held.insert(0, (name, start))
    yield Plan(start, plan.end, tuple(held))


# --- sisters ----------------------------------------------------------------------------------------------------------


def _sisters(
    area: Area,
    joist: Joist,
    basis: Basis,
    own: Piece,
    loads: Sequence[Load],
    notes: Gathered,
    spacing: tuple[float | None, ...],
    count: int,
    plans: Sequence[Plan],
    flaws: Sequence[Flaw],
) -> tuple[list[Piece], tuple[Fastening, ...]]:
    pieces: list[Piece] = []
    fastenings: list[Fastening] = []
    mending, perhaps = _mending(area, joist, notes)
    every = [*(joist.sisters or ()), *mending]
    said_to_rest = {sister.path for sister in mending if sister.full_length}
    for number, sister in enumerate(every, start=1):
        name = f"sister {sister.id or number}"
        section = resolve_section(sister.size, sister.sizes, sister.thickness, sister.depth, None, sister.work)
        if section.thickness is None or section.depth is None:
            notes.decides.append("sister.size")
            continue
        strength = wood(
            sister.species,
            sister.grade,
            (section.thickness.low, section.thickness.high),
            (section.depth.low, section.depth.high),
            moisture_classes(joist.moisture, basis),
            joist.moisture is None,
            spacing,
            count,
            basis.species,
            basis.grades,
            basis.no_values_share,
        )
        if isinstance(strength, NoValues):
            notes.notes.append(f"{name} not counted: {strength.why}")
            continue
        rests = sister.path in said_to_rest
        start, end, bears = _extent(area, joist, sister, basis, notes)
        if sister.full_length and not (bears[HARD] or rests):
            start, end = _between_ends(start, end, plans, basis.sister_past_in)
        piece = Piece(
            name,
            start,
            end,
            ends_of(section.thickness, more_helps=True),
            ends_of(section.depth, more_helps=True),
            strength,
            bears=bears,
        )
        joined = fastening(
            name,
            sister,
            own,
            piece,
            loads,
            plans,
            least=least_left(own.section(HARD), [flaw for flaw in flaws if _beside(piece, flaw)]),
            past=basis.sister_past_in,
            bears=bears[HARD] or rests or not sister.full_length,  # a short one with no free end rests at both
            if_short=_if_short(area, joist, sister, bears, plans, basis.sister_past_in),
        )
        if sister in mending:
            joined = replace(joined, asks=tuple(OF_REPAIR.get(field, field) for field in joined.asks))
        fastenings.append(joined)
        notes.guess(section.thickness, section.depth)
        notes.decides += [f"sister.{one}" for one in strength.decides if one != "moisture"]
        notes.notes += [note for note in strength.assumptions if not note.startswith("moisture")]
        pieces.append(replace(piece, counts=(True, joined.enough is True and sister not in perhaps)))
        if sister in perhaps:
            notes.decides.append("cut.repair")
        elif joined.use is None and not joined.asks:
            notes.notes.append(f"{name}: {joined.why}")
        elif joined.enough is not True:
            notes.decides += joined.asks or ("sister.fasteners",)
            notes.notes.append(f"{name}: not known to be fastened well enough, so not counted on")
    return pieces, tuple(fastenings)


def _if_short(
    area: Area, joist: Joist, sister: Sister, bears: tuple[bool, bool], plans: Sequence[Plan], past: float
) -> tuple[str, ...]:
    """Fields that may show a sister to be longer than it counts at the hard end; none where it is surely too short."""
    if sister.full_length:
        longest = max((plan.end[KIND] - plan.start[KIND] for plan in plans), default=math.inf)
        return ("sister.bearing",) if bears[KIND] or longest > 2 * past else ()
    begins = area.place_along(joist, sister.from_, sister.begins)
    ends = area.place_along(joist, sister.from_, sister.ends)
    if begins is None or ends is None:
        return "sister.begins", "sister.ends"
    first, last = sorted((begins.bounds, ends.bounds), key=lambda q: q.middle)
    asks: tuple[str, ...] = ()
    if _may_rest(area, joist, sister, first) or _may_rest(area, joist, sister, last):
        asks = ("sister.bearing",)
    settled = not (first.is_range or last.is_range) or last.high - first.low <= 2 * past
    return asks if settled else (*asks, "sister.begins", "sister.ends")


def _may_rest(area: Area, joist: Joist, sister: Sister, end: Quantity) -> bool:
    """Whether an end of a sister, its place as bounds, may rest on one of the joist's own supports."""
    for name, side in ((joist.from_, 1), (joist.to, -1)):
        carrier = area.carriers.get(name) if name is not None else None
        faces = carrier_faces(carrier) if carrier is not None else None
        bearing = sister.bearing.get(name) if name is not None else None
        if bearing is not None and bearing.high <= 0:
            continue
        if faces is None or (end.low < faces[1].bounds.high if side > 0 else end.high > faces[0].bounds.low):
            return True
    return False


def _rests(area: Area, joist: Joist, sister: Sister, end: Quantity) -> bool:
    """Whether this end of a sister surely rests on the joist's own support."""
    for name, side in ((joist.from_, 1), (joist.to, -1)):
        carrier = area.carriers.get(name) if name is not None else None
        faces = carrier_faces(carrier) if carrier is not None else None
        bearing = sister.bearing.get(name) if name is not None else None
        if faces is None or bearing is None or bearing.low <= 0 or end.estimate or bearing.estimate:
            continue
        if end.high <= faces[1].low if side > 0 else end.low >= faces[0].high:
            return True
    return False


def _between_ends(start: Ends, end: Ends, plans: Sequence[Plan], past: float) -> tuple[Ends, Ends]:
    """Where a sister counts that runs all along but may rest on nothing: its fasteners bring its load back to the ends.

    At the hard end that is some way in from each support, as for a sister that stops short.
    """
    low = max((plan.start[HARD] for plan in plans), default=0.0) + past
    high = min((plan.end[HARD] for plan in plans), default=0.0) - past
    if low >= high:
        low = high = (low + high) / 2  # too short to help anywhere
    return (start[KIND], low), (end[KIND], high)


def _beside(piece: Piece, flaw: Flaw) -> bool:
    """Whether a flaw takes something off the joist where a sister counts at the hard end."""
    lost = flaw.gone or flaw.left is not None
    return lost and flaw.start < piece.end[HARD] and flaw.end > piece.start[HARD]


def _beside_sisters(sisters: Sequence[Piece], flaws: Sequence[Flaw]) -> Iterator[Flaw]:
    """What a joist has lost beside a sister, as if lost all along the sister.

    What the sister takes over at the damage could only come back to the joist beside it through yet more fasteners.
    Taken for as weak all along, the joist gets nothing back, and the fasteners hand over no more than the loads.
    """
    for piece in sisters:
        for flaw in flaws:
            if piece.counts[HARD] and _beside(piece, flaw):
                yield replace(flaw, start=piece.start[HARD], end=piece.end[HARD], near_support=False)


def _sistered(cut: Cut) -> bool:
    return cut.repair is not None and cut.repair.kind == "sister"


def _mending(area: Area, joist: Joist, notes: Gathered) -> tuple[list[Sister], list[Sister]]:
    """The mending pieces of cuts that are no sister listed already, as the take-off has it; those that may be one."""
    mending: list[Sister] = []
    perhaps: list[Sister] = []
    for cut in joist.cuts or ():
        if not _sistered(cut):
            continue
        piece = _from_repair(area, joist, cut)
        alike = [(one, _is_one(area, joist, one, piece)) for one in joist.sisters or ()]
        listed = next((one for one, same in alike if same), None)
        if listed is not None:
            which = f"sister {listed.id}" if listed.id else "the sister listed"
            notes.notes.append(f"the mending piece {piece.id} is taken to be {which}: list each piece that is there")
            continue
        mending.append(piece)
        if any(same is None for _, same in alike):
            perhaps.append(piece)
            notes.notes.append(f"the mending piece {piece.id} may be a sister listed here, so it is not counted on")
    return mending, perhaps


def _is_one(area: Area, joist: Joist, listed: Sister, mending: Sister) -> bool | None:
    """Whether a sister that is listed is the piece that mends a cut: of its size, and where it is."""
    one, other = (resolve_section(s.size, s.sizes, s.thickness, s.depth, None, s.work) for s in (listed, mending))
    sizes = [(one.thickness, other.thickness), (one.depth, other.depth)]
    known = [(a.bounds, b.bounds) for a, b in sizes if a is not None and b is not None]
    if any(a.high < b.low or b.high < a.low for a, b in known):
        return False
    same = None if len(known) < len(sizes) else True
    if listed.full_length:
        return same
    reaches = [[area.place_along(joist, s.from_, at) for at in (s.begins, s.ends)] for s in (listed, mending)]
    places = [sorted((at.bounds for at in reach if at is not None), key=lambda q: q.middle) for reach in reaches]
    if mending.full_length:
        return False if listed.full_length is False or len(places[0]) == 2 else None
    if any(len(reach) < 2 for reach in places):
        return None
    (first, last), (begins, ends) = places
    if first.low >= ends.high or begins.low >= last.high:
        return False
    return same if first.high < ends.low and begins.high < last.low else None


def _from_repair(area: Area, joist: Joist, cut: Cut) -> Sister:
    """The mending piece of a cut, as the sister that it is."""
    repair = cut.repair
    assert repair is not None
    at = area.place_along(joist, cut.from_, cut.at)
    gap = cut.gap
    begins = ends = None
    if at is not None and gap is not None:
        low, high = (at - gap, at) if cut.from_ is not None and cut.from_ == joist.to else (at, at + gap)
        begins = low - repair.past_near if repair.past_near is not None else None
        ends = high + repair.past_far if repair.past_far is not None else None
    return Sister(
        id=f"at {cut.id}" if cut.id else "at the cut",
        size=repair.size,
        sizes=repair.sizes,
        full_length=True if repair.bears_at_ends else None,
        begins=begins,
        ends=ends,
        fasteners=repair.fasteners,
        work=cut.work,
        path=repair.path,
    )


def _extent(
    area: Area, joist: Joist, sister: Sister, basis: Basis, notes: Gathered
) -> tuple[Ends, Ends, tuple[bool, bool]]:
    """Where a sister helps, and at which ends of the bounds it takes shear to the supports.

    Away from a support it helps only some way in from its end, where its fasteners have handed over its part; where it
    rests on one, from there on.
    """
    if sister.full_length:
        names = [n for n in (joist.from_, joist.to) if n is not None and n != NOTHING]
        bearings = [sister.bearing.get(name) for name in names]
        surely = bool(names) and all(b is not None and b.low > 0 for b in bearings)
        never = any(b is not None and b.high <= 0 for b in bearings)
        return (-FAR, -FAR), (FAR, FAR), (not never, surely)
    begins = area.place_along(joist, sister.from_, sister.begins)
    ends = area.place_along(joist, sister.from_, sister.ends)
    if begins is None or ends is None:
        notes.decides += ["sister.begins", "sister.ends"] if sister.full_length is False else ["sister.full_length"]
        return (-FAR, 0.0), (FAR, 0.0), (True, False)
    first, last = sorted((begins, ends), key=lambda q: q.middle)
    past = basis.sister_past_in
    notes.guess(first, last)
    rests = [_rests(area, joist, sister, end) for end in (first, last)]
    hard = (-FAR if rests[0] else first.high + past, FAR if rests[1] else last.low - past)
    if hard[0] >= hard[1]:
        hard = (first.middle, first.middle)  # too short to help anywhere
    return (first.low, hard[0]), (last.high, hard[1]), (False, False)
