"""Joists and beams with their holes and notches, seen alike: section, places along them, their spans. No rules."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from inspect_core.quantities import Quantity, at_most, hull
from inspect_core.rules_api import FALLS_SHORT, Check, Limits, Named, does_not_apply, named, not_measured
from inspect_core.site import Area
from inspect_core.site.geometry import NOTHING, JoistEnd, stretches_at
from inspect_core.site.model import Hole, Joist, Notch, Part, Support
from inspect_wood_floor._members import (
    ENGINEERED,
    Faces,
    Stand,
    Stretch,
    by_word,
    ends_by_joist,
    faces_of,
    full_sister,
    numbered,
    overlaps,
    place_on,
    reaches_middle,
    sister_extent,
    sister_names,
    sister_section,
    span_faces,
    stands_under,
    stretch,
    together,
)
from inspect_wood_floor._verdicts import Verdict, all_of, negated


@dataclass(frozen=True, slots=True)
class Piece:
    """A joist or a beam that may be cut. ``stands`` are the posts under a beam, in order."""

    area: Area
    member: Joist | Support
    stands: tuple[Stand, ...] = ()

    @property
    def depth(self) -> Quantity | None:
        return self.member.section.depth

    @property
    def notes(self) -> tuple[str, ...]:
        """What is taken for granted of the section and of its plies."""
        section = self.member.section
        plies = section.plies
        kind = () if self.member.kind is not None else ("taken as sawn lumber",)
        alike = (f"each of the {plies} plies is taken as cut alike",) if plies > 1 else ()
        return (*section.assumptions, *kind, *alike)

    def subject(self, part: Part, label: str) -> Named:
        """A hole or notch of this member as a finding calls it."""
        return named(part, label, within=self.member)

    def place(self, from_: str | None, at: Quantity | None) -> Quantity | None:
        """Where something lies on the member's own tape."""
        if isinstance(self.member, Joist):
            return place_on(self.area, self.member, from_, at)
        return at if from_ is None else None

    def stretch(self, notch: Notch) -> Stretch:
        """Where a notch begins and ends; one at the member's end reaches at most as far as if it began at the face."""
        if isinstance(self.member, Joist):
            if notch.end_of is not None and notch.at is None:
                return self._end_stretch(self.member, notch)
            return stretch(self.area, self.member, notch.from_, notch.at, notch.length)
        first = self.place(notch.from_, notch.at)
        return first, (first + notch.length if first is not None and notch.length is not None else None)

    def _end_stretch(self, joist: Joist, notch: Notch) -> Stretch:
        faces = faces_of(self.area.carriers.get(notch.end_of or ""))
        if faces is None or notch.length is None:
            return None, None
        if notch.end_of == joist.to:
            far = hull(faces[0], faces[1])
            return far - notch.length, faces[1]
        return faces[0], hull(faces[0], faces[1]) + notch.length

    def spans(self, part: Stretch) -> tuple[Faces, ...]:
        """Faces of the supports on either side of a part, for each span that may hold some of it; empty when unknown.

        A place that is a range or a guess is tried whole.
        """
        if isinstance(self.member, Joist):
            return span_faces(self.area, self.member, part)
        return _between_stands(self.stands, part)

    def at_end(self, notch: Notch) -> bool | None:
        """Whether a notch is at the very end of the member; ``None`` when its place is not said at all."""
        if notch.end_of is not None:
            if isinstance(self.member, Joist):
                return notch.end_of in (self.member.from_, self.member.to)
            return True
        return None if notch.at is None else False

    def in_middle(self, notch: Notch, share: Quantity) -> bool | None:
        """Whether a notch reaches into the middle of its span, ``share`` of the span away from either end."""
        if notch.end_of is not None:
            return False
        part = self.stretch(notch)
        return reaches_middle(self.spans(part), part, share)

    def continuous(self) -> bool | None:
        """Whether it passes over a support or runs out past it, where its top is in tension; ``None`` for a beam whose
        ends may rest in walls beside its posts."""
        if isinstance(self.member, Joist):
            return True if self.member.over else _runs_past(self.area, self.member)
        if len(self.stands) > 2:
            return True
        if self.area.posts is None or self.area.piers is None:
            return None
        alone = len(self.stands) == 2 and self.member.rests_on in ("posts", "piers")
        return False if alone or not self.stands else None


def _runs_past(area: Area, joist: Joist) -> Verdict:
    """Whether a joist runs out past the first or the last of its supports; one whose end isn't told ends on it."""
    ids = [i for i in (joist.from_, *(joist.over or ()), joist.to) if i != NOTHING]  # None where it isn't known
    first, last = (faces_of(area.carriers.get(ids[number] or "")) if ids else None for number in (0, -1))
    within: list[Verdict] = []
    if joist.begins is not None:
        within.append(at_most(first[0], joist.begins) if first is not None else None)
    if joist.ends is not None:
        within.append(at_most(joist.ends, last[1]) if last is not None else None)
    return negated(all_of(within))


def _between_stands(stands: Sequence[Stand], part: Stretch) -> tuple[Faces, ...]:
    """The spans between posts that may hold some of a part; empty where a post's place or width, or which of two is
    next, is unknown."""
    places = [stand.at for stand in stands if stand.at is not None]
    if len(places) < len(stands) or any(a.bounds.high > b.bounds.low for a, b in pairwise(places)):
        return ()
    held = stretches_at(list(pairwise(places)), part)
    found = [(_face(stands[number], 1), _face(stands[number + 1], -1)) for number in held]
    known = tuple((begins, ends) for begins, ends in found if begins is not None and ends is not None)
    return known if len(known) == len(found) else ()


def _face(stand: Stand, side: int) -> Quantity | None:
    if stand.at is None or stand.width is None:
        return None
    return stand.at + stand.width * (side / 2)


def pieces(area: Area) -> Iterator[Piece]:
    """Every joist, then every beam."""
    for joist in area.joists or ():
        yield Piece(area, joist)
    beams = [support for support in area.supports or () if support.line in ("beam", None)]
    under = stands_under(area) if beams else {}
    for beam in beams:
        stands = sorted(under.get(beam.id, ()), key=lambda s: s.at.middle if s.at is not None else 0.0)
        yield Piece(area, beam, tuple(stands))


# --- one answer for each hole or notch --------------------------------------------------------------------------------

Judge = Callable[[Piece, Named, Hole], Check]
JudgeNotch = Callable[[Piece, Named, Notch], Check]


def each_hole(area: Area, limits: Limits, judge: Judge) -> Iterator[Check]:
    """``judge`` for every hole in sawn lumber; one answer for all members that have none or that nobody looked over."""
    found = list(pieces(area))
    yield from _looked_over(area, found, "holes")
    relief = _Relief(area, limits)
    for piece in found:
        holes = piece.member.holes or ()
        for label, hole in zip(numbered("hole", (h.id for h in holes)), holes, strict=True):
            subject = piece.subject(hole, label)
            yield _not_ours(piece, subject, hole) or relief.weighed(piece, judge(piece, subject, hole))


def each_notch(area: Area, limits: Limits, judge: JudgeNotch) -> Iterator[Check]:
    """The same for every notch."""
    found = list(pieces(area))
    yield from _looked_over(area, found, "notches")
    relief = _Relief(area, limits)
    for piece in found:
        notches = piece.member.notches or ()
        for label, notch in zip(numbered("notch", (n.id for n in notches)), notches, strict=True):
            subject = piece.subject(notch, label)
            yield _not_ours(piece, subject, notch) or relief.weighed(piece, judge(piece, subject, notch))


def _looked_over(area: Area, found: Sequence[Piece], what: str) -> Iterator[Check]:
    if area.joists is None:
        yield not_measured(Named(what, area.path), asks=("area.joists",), because="no joists are described")
    elif area.supports is None:
        yield not_measured(
            Named(f"beams, {what}", area.path), asks=("area.supports",), because="no supports are described"
        )
    unseen = [piece.member for piece in found if getattr(piece.member, what) is None]
    for group in by_word(unseen):
        field = f"joist.{what}" if isinstance(group[0], Joist) else f"support.{what}"
        yield not_measured(together(group, what), asks=(field,), because=f"nobody has looked for {what}")
    for group in by_word(piece.member for piece in found if getattr(piece.member, what) == ()):
        yield does_not_apply(together(group, what), f"no {what} seen")
    if not found and area.joists is not None and area.supports is not None:
        yield does_not_apply(Named(what, area.path), "no joists and no beams are listed in this area")


def _not_ours(piece: Piece, subject: Named, cut: Hole | Notch) -> Check | None:
    """Why the limits for sawn lumber are not about this cut; ``None`` when they are."""
    member = piece.member
    if member.kind in ENGINEERED:
        rule = "truss-altered" if member.kind == "truss" else "engineered-cuts"
        return does_not_apply(subject, f"{member.kind}: not sawn lumber; judged by {rule}")
    if cut.designed:
        return does_not_apply(subject, "a maker's chart or a sealed design allows it")
    if isinstance(member, Support) and member.section.plies > 1:
        return does_not_apply(subject, "a built-up beam; judged by built-up-beam-cuts")
    return None


class _Relief:
    """A joist that falls short may have a sister that carries in its place: surely so when somebody looked and found
    no cut in the sister, else the answer is open."""

    def __init__(self, area: Area, limits: Limits) -> None:
        self.area = area
        self.limits = limits
        self.ends: dict[str, list[JoistEnd]] | None = None

    def weighed(self, piece: Piece, answer: Check) -> Check:
        """The answer, or "not measured" where a full-length sister may do the joist's work."""
        if answer.outcome != FALLS_SHORT or not isinstance(piece.member, Joist) or not piece.member.sisters:
            return answer
        if self.ends is None:
            self.ends = ends_by_joist(self.area)
        sister = full_sister(self.area, self.ends[piece.member.id], self.limits)
        if sister is None:
            return answer
        name, sure = sister
        cuts = [
            (one.holes, one.notches)
            for known, one in zip(sister_names(piece.member), piece.member.sisters, strict=True)
            if known == name
        ]
        if sure and cuts == [((), ())]:
            return does_not_apply(answer.subject, f"{name}, which is not cut, carries beside it over its whole length")
        asks = ("sister.holes", "sister.notches", *(() if sure else ("sister.bearing", "sister.fasteners")))
        because = f"the joist itself falls short here; {name} carries beside it if it is not cut here too"
        return replace(answer, outcome="not-measured", because=because, expected="", sense="", asks=asks, found="")


def sister_depths(piece: Piece, hole: Hole) -> tuple[Quantity | None, ...]:
    """Depths of the sisters that may stand at a hole and be bored with the joist; ``None`` for an unknown one."""
    if not isinstance(piece.member, Joist) or not piece.member.sisters:
        return ()
    found: list[Quantity | None] = []
    place = piece.place(hole.from_, hole.at)
    for sister in piece.member.sisters:
        depth, extent = sister_section(sister).depth, sister_extent(piece.area, piece.member, sister)
        missed = extent is not None and place is not None and overlaps((place, place), extent) is False
        if not missed:
            found.append(depth)
    return tuple(found)
