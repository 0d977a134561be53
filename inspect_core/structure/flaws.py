"""What is wrong with the wood of a member, read at both ends of the bounds: holes, notches, cuts, rot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Protocol

from inspect_core.quantities import Quantity
from inspect_core.site.model import Condition, Cut, Hole, Notch
from inspect_core.structure.assembly import Flaw, Piece
from inspect_core.structure.basis import HARD, KIND
from inspect_core.structure.loads import FAR

BROKEN = ("split", "cracked")
HARMLESS = ("sound", "checked", "sagging", "twisted", "leaning", "out-of-plumb")
# No fact of the trade: a cut goes through the wood however wide it is, and only needs a length to be drawn with.
SAW = 0.125  # in: width of a cut that nobody measured


@dataclass(slots=True)
class Gathered:
    """Notes taken while a member is put together; ``kind`` is what the schema calls such a member."""

    kind: str
    missing: list[str] = field(default_factory=list)
    unseen: list[str] = field(default_factory=list)
    decides: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    loose: bool = False

    def guess(self, *quantities: Quantity | None) -> None:
        """An estimate among these leaves everything worked out from it an estimate."""
        self.loose |= any(q is not None and q.estimate for q in quantities)

    def add(self, other: Gathered) -> None:
        """All that another one took down, after what is here."""
        self.missing += other.missing
        self.unseen += other.unseen
        self.decides += other.decides
        self.notes += other.notes
        self.loose |= other.loose

    def listed(self, name: str, items: Iterable[object] | None) -> None:
        """A list that nobody has written may hold anything."""
        if items is None:
            self.unseen.append(f"{self.kind}.{name}")


class Tape(Protocol):
    """How places along a member are read."""

    def place(self, from_: str | None, at: Quantity | None) -> Quantity | None:
        """Place on the member's tape of something ``at`` from a support's face."""

    def backwards(self, from_: str | None) -> bool:
        """Whether distances from that support run against the tape."""

    def faces(self) -> dict[str, Quantity]:
        """Face of each support towards the span, by its id."""


def flaws_of(
    tape: Tape,
    own: Piece,
    notes: Gathered,
    *,
    holes: Iterable[Hole] | None = (),
    notches: Iterable[Notch] | None = (),
    cuts: Iterable[Cut] | None = (),
    condition: Iterable[Condition] | None = (),
) -> tuple[list[Flaw], list[Flaw]]:
    """What is wrong with the wood of a member at each end of the bounds. A list that is ``None`` is left unseen."""
    notes.listed("holes", holes)
    notes.listed("notches", notches)
    notes.listed("cuts", cuts)
    notes.listed("condition", condition)
    kind: list[Flaw] = []
    hard: list[Flaw] = []
    for number, hole in enumerate(holes or (), start=1):
        _both(kind, hard, _hole(tape, own, hole, f"hole {hole.id or number}", notes))
    for number, notch in enumerate(notches or (), start=1):
        _both(kind, hard, _notch(tape, own, notch, f"notch {notch.id or number}", notes))
    for number, cut in enumerate(cuts or (), start=1):
        _both(kind, hard, _cut(tape, cut, f"cut {cut.id or number}", notes))
    for one in condition or ():
        _both(kind, hard, _condition(tape, own, one, notes))
    return kind, hard


_Both = tuple[Flaw | None, Flaw | None]


def _both(kind: list[Flaw], hard: list[Flaw], flaws: _Both) -> None:
    for target, flaw in zip((kind, hard), flaws, strict=True):
        if flaw is not None:
            target.append(flaw)


def _place(
    tape: Tape, from_: str | None, at: Quantity | None, length: Quantity | None
) -> tuple[Quantity, Quantity] | None:
    """From where to where something reaches along the joist; a length not known is none."""
    first = tape.place(from_, at)
    if first is None:
        return None
    if length is None:
        return first, first
    return (first - length, first) if tape.backwards(from_) else (first, first + length)


def _hole(tape: Tape, own: Piece, hole: Hole, name: str, notes: Gathered) -> _Both:
    diameter = hole.diameter
    if diameter is None:
        notes.unseen.append("hole.diameter")
        return None, None
    place = tape.place(hole.from_, hole.at)
    notes.guess(diameter, place, hole.wood_above, hole.wood_below)
    if place is None:
        notes.decides.append("hole.at")
    cuts = tuple(_hole_cut(own.depth[end], hole, diameter, end) for end in (KIND, HARD))
    low, high = (-FAR, FAR) if place is None else (place.low - diameter.high / 2, place.high + diameter.high / 2)
    if hole.wood_above is None and hole.wood_below is None:
        notes.decides.append("hole.wood_above")
    hard = Flaw(name, low, high, (cuts[HARD],), near_support=True, path=hole.path)
    if place is None or place.is_range:
        return None, hard
    half = diameter.low / 2
    return Flaw(name, place.low - half, place.low + half, (cuts[KIND],), near_support=True, path=hole.path), hard


def _hole_cut(depth: float, hole: Hole, diameter: Quantity, end: int) -> tuple[float, float]:
    """Upper edge below the top and height; where its height in the joist is not known, in the middle or at the edge."""
    across = diameter.high if end == HARD else diameter.low
    spare = depth - across

    def left(upper: float) -> float:
        """Wood on its thinner side."""
        return min(upper, spare - upper)

    readings: list[tuple[float, float]] = []
    if hole.wood_above is not None:
        readings.append((hole.wood_above.low, hole.wood_above.high))
    if hole.wood_below is not None:
        readings.append((spare - hole.wood_below.high, spare - hole.wood_below.low))
    places = [min(ends, key=left) if end == HARD else min(max(spare / 2, ends[0]), ends[1]) for ends in readings]
    # Of two readings that differ, the one that leaves the least wood on one side is the worse.
    chosen = min(places, key=left, default=0.0 if end == HARD else spare / 2)
    return max(min(chosen, spare), 0.0), across


def _into_the_span(inner: Quantity, length: Quantity | None, backwards: bool) -> tuple[Quantity, Quantity]:
    """Where a notch at a member's end lies: from the support's face as far in as it is long, at the most."""
    if length is None:
        return inner, inner
    return (inner - length, inner) if backwards else (inner, inner + length)


def _notch(tape: Tape, own: Piece, notch: Notch, name: str, notes: Gathered) -> _Both:
    if notch.depth is None:
        notes.unseen.append("notch.depth")
        return None, None
    notes.guess(notch.depth, notch.at, notch.length)
    seats = tape.faces()
    if notch.end_of is not None and notch.at is None:
        inner = seats.get(notch.end_of)
        place = _into_the_span(inner, notch.length, tape.backwards(notch.end_of)) if inner is not None else None
    else:
        place = _place(tape, notch.from_ or notch.end_of, notch.at, notch.length)
        if notch.length is None:
            notes.unseen.append("notch.length")  # it may reach to where the member works hardest
    found: list[Flaw | None] = []
    for end in (KIND, HARD):
        deep = notch.depth.high if end == HARD else notch.depth.low
        depth = own.depth[end]
        upper = 0.0 if notch.edge == "top" else depth - deep
        if place is None:
            if end == KIND:
                found.append(None)
                continue
            low, high, near = -FAR, FAR, True
        else:
            low, high = place[0].low, place[1].high
            near = any(low - depth <= inner.middle <= high + depth for inner in seats.values())
            if end == KIND and (place[0].is_range or place[1].is_range):
                found.append(None)
                continue
        at_end = near and (notch.edge == "bottom" or (notch.edge is None and end == HARD))
        found.append(
            Flaw(
                name,
                low,
                high,
                ((max(upper, 0.0), deep),),
                end_notch=deep if at_end else 0.0,
                near_support=near,
                path=notch.path,
            )
        )
    if place is None:
        notes.decides.append("notch.at")
    if notch.edge is None:
        notes.decides.append("notch.edge")
    return found[0], found[1]


def _cut(tape: Tape, cut: Cut, name: str, notes: Gathered) -> _Both:
    kind = cut.repair.kind if cut.repair is not None else None
    if cut.repair is None or kind is None:
        notes.decides.append("cut.repair")
    if kind in ("headered", "post-under"):
        return None, None
    if kind == "designed":
        notes.notes.append(f"{name}: mended to a design, which answers for it; taken as sound here")
        return None, None
    # A guess errs by its share of what was guessed, not of where that comes to lie.
    at, gap = (q.bounds if q is not None else None for q in (cut.at, cut.gap))
    place = _place(tape, cut.from_, at, gap)
    if place is None:
        notes.unseen.append("cut.at")
        gone = Flaw(name, -FAR, FAR, gone=True, near_support=True, path=cut.path)
        return None, gone
    low, high = place[0].low, place[1].high
    if gap is None:  # it may reach as far as the wood does
        notes.decides.append("cut.gap")
        low, high = (-FAR, high) if tape.backwards(cut.from_) else (low, FAR)
    # Surely gone is only what is gone wherever the cut may be, or a saw's width of it.
    first, last = place[0].high, place[1].low
    sure = first if first <= last else (first + last - SAW) / 2
    words = {"scab": " (mended with a scab only)", "plate": " (mended with a plate only)", "none": " (not mended)"}
    name += words.get(kind or "", "")
    gone = Flaw(name, low, max(high, low + SAW), gone=True, near_support=True, path=cut.path)
    # Whether an unknown repair carries across is for whoever looks at it to say.
    unsaid = cut.repair is None or kind is None
    return (None if unsaid else replace(gone, start=sure, end=max(last, sure + SAW))), gone


def _condition(tape: Tape, own: Piece, one: Condition, notes: Gathered) -> _Both:
    if one.kind in HARMLESS:
        return None, None
    if one.kind in BROKEN or one.kind is None:
        notes.unseen.append("condition.kind" if one.kind is None else "condition.depth_left")
        if one.depth_left is None:
            return None, None
    if one.depth_left is None and one.width_left is None:
        notes.unseen.append("condition.depth_left")
        return None, None
    notes.guess(one.depth_left, one.width_left, one.at, one.length)
    place = _place(tape, one.from_, one.at, one.length)
    found: list[Flaw | None] = []
    for end in (KIND, HARD):
        breadth, depth = own.breadth[end], own.depth[end]
        if one.depth_left is not None:
            depth = min(depth, one.depth_left.low if end == HARD else one.depth_left.high)
        if one.width_left is not None:
            breadth = min(breadth, one.width_left.low if end == HARD else one.width_left.high)
        if place is None or one.length is None:
            start, stop = -FAR, FAR
            if end == KIND:
                found.append(None)
                continue
        else:
            start, stop = place[0].low, place[1].high
            if end == KIND and (place[0].is_range or place[1].is_range):
                found.append(None)
                continue
        found.append(Flaw(one.kind or "damage", start, stop, left=(breadth, depth), near_support=True, path=one.path))
    if place is None or one.length is None:
        notes.decides.append("condition.at" if place is None else "condition.length")
    return found[0], found[1]
