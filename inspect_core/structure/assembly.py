"""A member put together: its pieces, flaws, loads and what carries it, solved at both ends of the bounds.

More load, a longer span, less wood, weaker wood: each makes every answer worse, so the two ends of all inputs taken
together bound the answer. Where that is not so (an inner support whose place is a range, a beam that may or may not
be continuous, wood of unequal stiffness side by side) each possibility is tried and the worse one counts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

from inspect_core.engineering.beams import BeamError
from inspect_core.engineering.lumber import NetSection, Section, net_section, notched_shear_check
from inspect_core.site.model import Path
from inspect_core.structure.basis import CORNERS, HARD, KIND, Ends
from inspect_core.structure.beam import TOUCH, Action, Case, Length, Sag, Solved, Use, solve_case
from inspect_core.structure.loads import Load
from inspect_core.structure.strength import Wood

# No fact of the trade: wood over a support works in no span, and a flaw in it is read at the face, which is the worse.
OVER_SUPPORT = 6.0  # in: how far past a support's inner face a member's wood still belongs to that end


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of wood on edge; places on the member's tape, sizes in inches, all as (kind, hard) ends.

    ``counts`` says at which ends it helps at all, ``bears`` at which it takes its share of the shear to the supports.
    """

    name: str
    start: Ends
    end: Ends
    breadth: Ends
    depth: Ends
    wood: Wood
    counts: tuple[bool, bool] = (True, True)
    bears: tuple[bool, bool] = (True, True)

    def section(self, end: int) -> Section:
        """Its section at one end of the bounds."""
        return Section(self.breadth[end], self.depth[end])


@dataclass(frozen=True, slots=True)
class Flaw:
    """What is cut out of the main piece, or has rotted off it, at one end of the bounds.

    ``cuts`` are (upper edge below the top, height); ``left`` what remains as (breadth, depth); ``gone`` nothing does;
    ``end_notch`` is the depth of a notch in the lower edge beside a support.
    """

    name: str
    start: float
    end: float
    cuts: tuple[tuple[float, float], ...] = ()
    left: tuple[float, float] | None = None
    gone: bool = False
    end_notch: float = 0.0
    near_support: bool = False
    path: Path = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """One continuous length and its supports: ids and places as (kind, hard) ends, in order.

    ``beyond`` is the length of floor past its start and its end that goes straight into the end supports, ``over`` how
    far past them a load at one place still does.
    """

    start: Ends
    end: Ends
    supports: tuple[tuple[str, Ends], ...]
    beyond: tuple[float, float] = (0.0, 0.0)
    over: tuple[float, float] = (0.0, 0.0)


class Makeup(NamedTuple):
    """What decides the strength of one length: a piece, its part of the load there, and its net section."""

    piece: Piece
    share: float
    modulus: float
    area: float
    notch: float  # depth of an end notch, 0 for none


@dataclass(frozen=True, slots=True)
class Solution:
    """One plan solved at one end of the bounds. ``bending`` and ``shear`` say what each length is made of."""

    plan: Plan
    end: int
    offset: float
    case: Case
    solved: Solved
    bending: Mapping[str, Makeup] = field(default_factory=dict)
    shear: Mapping[str, Makeup] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reaction:
    """What a support gets, lb as (kind, hard) ends."""

    dead: Ends
    live: Ends

    @property
    def total(self) -> Ends:
        return self.dead[KIND] + self.live[KIND], self.dead[HARD] + self.live[HARD]


@dataclass(frozen=True, slots=True)
class Answer:
    """A member solved: each ratio is demand over capacity as (kind, hard) ends; infinite where it carries nothing."""

    bending: Ends
    shear: Ends
    kind_sags: tuple[tuple[Sag, ...], ...]  # by possibility
    hard_sags: tuple[Sag, ...]
    bending_at: Solution | None
    shear_at: Solution | None
    sag_at: Solution | None
    broken: tuple[str, str]  # at each end, why it carries nothing

    def live_sag(self) -> tuple[Ends, Sag] | None:
        """Live deflection as a share of the span, and the span that decides; ``None`` where nothing was solved."""
        return self._sag(lambda sag, end: sag.live + (sag.stated if end == HARD else 0.0))

    def long_term_sag(self, creep: Ends) -> tuple[Ends, Sag] | None:
        """Live deflection and ``creep`` times the dead-load deflection, as a share of the span."""

        def together(sag: Sag, end: int) -> float:
            # Dead load creeps, so what may be either is the worse for being dead.
            lasting = sag.dead + (sag.stated if end == HARD else 0.0)
            return sag.live + creep[end] * lasting + (sag.stated if end == KIND else 0.0)

        return self._sag(together)

    def _sag(self, sagging: Callable[[Sag, int], float]) -> tuple[Ends, Sag] | None:
        def share(sag: Sag, end: int) -> float:
            return sagging(sag, end) / sag.span

        if not self.hard_sags or not self.kind_sags:
            return None
        worst = max(self.hard_sags, key=lambda sag: share(sag, HARD))
        kind = min(max((share(sag, KIND) for sag in sags), default=0.0) for sags in self.kind_sags)
        hard = share(worst, HARD)
        return (min(kind, hard), hard), worst


def solve_member(
    possibilities: Sequence[Sequence[Plan]],
    pieces: Sequence[Piece],
    flaws: tuple[Sequence[Flaw], Sequence[Flaw]],
    loads: Sequence[Load],
    *,
    eased: bool = True,
) -> Answer:
    """Solve a member for each way in which it may be carried; the first piece is the member itself.

    ``flaws`` are those of each end. ``eased``: shear within the depth of a support goes straight into it, which holds
    for a member that sits on its supports or in a hanger's seat.
    """
    kind, kind_why = _each_way(possibilities, KIND, pieces, flaws[KIND], loads, eased)
    hard, hard_why = _each_way(possibilities, HARD, pieces, flaws[HARD], loads, eased)
    # At the kind end one way that holds is enough; at the hard end none may fail.
    broken = ("" if kind else kind_why, hard_why)
    return _answer(kind, hard, broken)


def _each_way(
    possibilities: Sequence[Sequence[Plan]],
    end: int,
    pieces: Sequence[Piece],
    flaws: Sequence[Flaw],
    loads: Sequence[Load],
    eased: bool,
) -> tuple[list[list[Solution]], str]:
    """The ways that stand, solved, and why another does not."""
    found: list[list[Solution]] = []
    why = ""
    for plans in possibilities:
        outcomes = [_solve(plan, end, pieces, flaws, loads, eased) for plan in plans]
        failed = [outcome for outcome in outcomes if isinstance(outcome, str)]
        if failed:
            why = why or failed[0]
        else:
            found.append([outcome for outcome in outcomes if isinstance(outcome, Solution)])
    return found, why


def _answer(kind: list[list[Solution]], hard: list[list[Solution]], broken: tuple[str, str]) -> Answer:
    every = [solution for solutions in hard for solution in solutions]

    def worst(pick: str) -> Solution | None:
        return max(every, key=lambda s: _use(s, pick).ratio, default=None)

    def ratio(pick: str) -> Ends:
        at = worst(pick)
        high = math.inf if broken[HARD] or at is None else _use(at, pick).ratio
        low = min((max(_use(s, pick).ratio for s in solutions) for solutions in kind if solutions), default=math.inf)
        return min(low, high), high

    return Answer(
        bending=ratio("bending"),
        shear=ratio("shear"),
        kind_sags=tuple(tuple(sag for s in solutions for sag in s.solved.sags) for solutions in kind),
        hard_sags=() if broken[HARD] else tuple(sag for s in every for sag in s.solved.sags),
        bending_at=worst("bending"),
        shear_at=worst("shear"),
        sag_at=max(every, key=lambda s: s.solved.worst_sag.live_share, default=None),
        broken=broken,
    )


def _use(solution: Solution, pick: str) -> Use:
    return solution.solved.bending if pick == "bending" else solution.solved.shear


# --- reactions --------------------------------------------------------------------------------------------------------

_Parts = tuple[float, float]  # dead, live


def carried(
    possibilities: Sequence[Sequence[Plan]], loads: Sequence[Load], *, over_ends: bool = False
) -> dict[str, Reaction]:
    """What each support gets by statics alone, the member taken as sound and of one stiffness.

    At the hard end live load acts wherever it makes a reaction greater. ``over_ends`` adds what lies over the end
    supports themselves: it does not press through the member's end, yet it comes down there.
    """
    kind, hard = (_arriving(possibilities, loads, end, over_ends) for end in CORNERS)
    found = {}
    for name, (dead, live) in hard.items():
        least = kind.get(name, (0.0, 0.0))
        found[name] = Reaction((min(least[0], dead), dead), (min(least[1], live), live))
    return found


def _arriving(
    possibilities: Sequence[Sequence[Plan]], loads: Sequence[Load], end: int, over_ends: bool
) -> dict[str, _Parts]:
    pick = max if end == HARD else min
    best: dict[str, _Parts] = {}
    for plans in possibilities:
        here: dict[str, _Parts] = {}
        for plan in plans:
            over = _over_ends(plan, loads, end) if over_ends else ()
            for name, dead, live in (*_from_plan(plan, loads, end), *over):
                known = here.get(name, (0.0, 0.0))
                here[name] = (known[0] + dead, known[1] + live)
        for name, parts in here.items():
            known = best.get(name, parts)
            best[name] = (pick(known[0], parts[0]), pick(known[1], parts[1]))
    return best


def _from_plan(plan: Plan, loads: Sequence[Load], end: int) -> Iterator[tuple[str, float, float]]:
    start, stop = plan.start[end], plan.end[end]
    if stop - start <= TOUCH or len(plan.supports) < 2:
        return
    dead, live, stated = _actions(loads, end, start, stop)
    if end == HARD:  # what may be live may be absent, and then relieves no other support
        live, stated = tuple(_merged((*live, *stated))), ()
    places = tuple(at[end] - start for _, at in plan.supports)
    if len(places) == 2 and places[1] - places[0] > TOUCH:
        dead_parts: Sequence[float] = _levers(dead, places, most=False)
        live_parts: Sequence[float] = _levers(live, places, most=end == HARD)
        stated_parts: Sequence[float] = _levers(stated, places, most=False)
    else:
        length = stop - start
        whole = (Length(0.0, length, math.inf, math.inf, False, ""),)
        try:
            solved = solve_case(Case(length, places, ((0.0, length, 1e7),), dead, live, whole, 0.0, stated))
        except BeamError:  # supports that can't all be under it: any of them may carry all of it, or nothing
            for name, _ in plan.supports:
                yield name, *((_total(dead), _total(live)) if end == HARD else (0.0, 0.0))
            return
        dead_parts = solved.dead_reactions
        live_parts = solved.live_most if end == HARD else solved.live_reactions
        stated_parts = solved.stated_reactions
    for (name, _), dead_part, live_part, either in zip(
        plan.supports, dead_parts, live_parts, stated_parts, strict=True
    ):
        yield name, dead_part + either, live_part


def _total(actions: Sequence[Action]) -> float:
    """Force of all actions together, downwards only."""
    return sum(max(amount if high - low <= TOUCH else amount * (high - low), 0.0) for low, high, amount in actions)


def _levers(actions: Sequence[Action], places: Sequence[float], most: bool) -> tuple[float, float]:
    """Reactions of a beam on two supports by levers; ``most`` leaves out what relieves a support."""
    first, last = places
    sums = [0.0, 0.0]
    for start, stop, amount in actions:
        pieces = [(start, stop)]
        if stop - start > TOUCH:
            marks = [start, *(p for p in places if start < p < stop), stop]
            pieces = list(pairwise(marks))
        for low, high in pieces:
            force = amount if high - low <= TOUCH else amount * (high - low)
            to_last = force * ((low + high) / 2 - first) / (last - first)
            for number, part in enumerate((force - to_last, to_last)):
                sums[number] += max(part, 0.0) if most else part
    return sums[0], sums[1]


def _over_ends(plan: Plan, loads: Sequence[Load], end: int) -> Iterator[tuple[str, float, float]]:
    """What lies over the end supports, beyond the faces between which the member spans."""
    if not plan.supports:
        return
    start, stop = plan.start[end], plan.end[end]
    (first, _), (last, _) = plan.supports[0], plan.supports[-1]
    for load in loads:
        live = load.nature == "live" or (load.nature == "either" and end == HARD)
        amounts = []
        if load.is_point:
            at = load.start
            if start - plan.over[0] + TOUCH < at < start - TOUCH:
                amounts.append((first, load.amount[end]))
            elif stop + TOUCH < at <= stop + plan.over[1] + TOUCH:
                amounts.append((last, load.amount[end]))
        else:
            before = min(load.end, start) - max(load.start, start - plan.beyond[0])
            after = min(load.end, stop + plan.beyond[1]) - max(load.start, stop)
            amounts = [(first, load.amount[end] * max(before, 0.0)), (last, load.amount[end] * max(after, 0.0))]
        for name, amount in amounts:
            if amount:
                yield (name, 0.0, amount) if live else (name, amount, 0.0)


# --- one plan at one end ----------------------------------------------------------------------------------------------


def _solve(
    plan: Plan, end: int, pieces: Sequence[Piece], flaws: Sequence[Flaw], loads: Sequence[Load], eased: bool
) -> Solution | str:
    start, stop = plan.start[end], plan.end[end]
    if len(plan.supports) < 2:
        held = plan.supports[0][0] if plan.supports else "nothing"
        return f"it, or a length of it, rests on {held} alone"
    if stop - start <= TOUCH:
        return "its supports leave it no length"
    here = [moved for flaw in flaws if (moved := _within(flaw, start, stop)) is not None]
    stretches = list(_stretches(start, stop, end, pieces, here))
    gap = next((s for s in stretches if not s.pieces), None)
    if gap is not None:
        return f"nothing carries across {gap.why or 'a gap'}"
    lengths: list[Length] = []
    bending: dict[str, Makeup] = {}
    shear: dict[str, Makeup] = {}
    for stretch in stretches:
        _add_length(lengths, bending, shear, stretch, stretch.start, stretch.end, None, end, start)
    for flaw in here:
        if flaw.cuts or flaw.end_notch:
            for stretch in stretches:
                low, high = max(flaw.start, stretch.start), min(flaw.end, stretch.end)
                if high >= low:
                    _add_length(lengths, bending, shear, stretch, low, high, flaw, end, start)
    dead, live, stated = _actions(loads, end, start, stop)
    case = Case(
        length=stop - start,
        supports=tuple(at[end] - start for _, at in plan.supports),
        stiffness=tuple((s.start - start, s.end - start, s.ei) for s in stretches),
        dead=dead,
        live=live,
        lengths=tuple(lengths),
        shear_off=pieces[0].depth[end] if eased else 0.0,
        stated=stated,
        may_be_absent=end == HARD,
    )
    try:
        return Solution(plan, end, start, case, solve_case(case), bending, shear)
    except BeamError as error:
        return str(error)


def _within(flaw: Flaw, start: float, stop: float) -> Flaw | None:
    """A flaw on this length of the member; one in the wood over a support counts at that support's face."""
    if flaw.end < start - OVER_SUPPORT or flaw.start > stop + OVER_SUPPORT:
        return None
    low, high = min(max(flaw.start, start), stop), min(max(flaw.end, start), stop)
    return flaw if (low, high) == (flaw.start, flaw.end) else replace(flaw, start=low, end=high)


class _Share(NamedTuple):
    piece: Piece
    section: Section
    part: float  # of the load, by stiffness
    damaged: bool
    cut: bool  # a hole or notch in the member goes through this piece as well


class _Stretch(NamedTuple):
    """A length along which the same pieces are there."""

    start: float
    end: float
    ei: float
    pieces: tuple[_Share, ...]
    why: str
    to_support: bool


def _stretches(
    start: float, stop: float, end: int, pieces: Sequence[Piece], flaws: Sequence[Flaw]
) -> Iterator[_Stretch]:
    marks = {start, stop}
    for piece in pieces:
        marks |= {piece.start[end], piece.end[end]}
    for flaw in flaws:
        if flaw.left is not None or flaw.gone:
            marks |= {flaw.start, flaw.end}
    ordered = _apart(sorted(m for m in marks if start <= m <= stop), start, stop)
    for low, high in pairwise(ordered):
        middle = (low + high) / 2
        lost = [f for f in flaws if (f.left is not None or f.gone) and f.start <= middle <= f.end]
        found: list[tuple[Piece, Section, bool]] = []
        for number, piece in enumerate(pieces):
            if not piece.counts[end] or not piece.start[end] <= middle <= piece.end[end]:
                continue
            section = piece.section(end)
            if number == 0 and lost:
                left = least_left(section, lost)
                if left is None:
                    continue
                section = left
            found.append((piece, section, number == 0 and bool(lost)))
        ei = sum(piece.wood.e[end] * section.inertia for piece, section, _ in found)
        parts = tuple(
            _Share(piece, section, _part(piece, section, found, end), damaged, piece is pieces[0] or end == HARD)
            for piece, section, damaged in found
        )
        yield _Stretch(low, high, ei, parts, lost[0].name if lost else "", any(f.near_support for f in lost))


def _apart(places: Sequence[float], start: float, stop: float) -> list[float]:
    """Places in order, none within a hair of another."""
    found = [start]
    for place in places:
        if place - found[-1] > 1e-3 and stop - place > 1e-3:
            found.append(place)
    return [*found, stop]


def least_left(section: Section, lost: Sequence[Flaw]) -> Section | None:
    """What flaws leave of a section where all of them are; ``None`` where nothing is left."""
    breadth, depth = section.breadth_in, section.depth_in
    for flaw in lost:
        if flaw.gone or flaw.left is None:
            return None
        breadth, depth = min(breadth, flaw.left[0]), min(depth, flaw.left[1])
    return Section(breadth, depth) if breadth > TOUCH and depth > TOUCH else None


def _part(piece: Piece, section: Section, found: Sequence[tuple[Piece, Section, bool]], end: int) -> float:
    """The part of the load that a piece takes by its stiffness: at the hard end the most that it may be."""
    if len(found) == 1:
        return 1.0
    other = KIND if end == HARD else HARD
    # A piece takes most when it is stiff and the others are not, yet is weakest when it is small: both are taken.
    full = piece.section(other).inertia * (section.inertia / piece.section(end).inertia)
    own = piece.wood.e[other] * full
    rest = sum(one.wood.e[end] * sec.inertia for one, sec, _ in found if one is not piece)
    return own / (own + rest)


def _add_length(
    lengths: list[Length],
    bending: dict[str, Makeup],
    shear: dict[str, Makeup],
    stretch: _Stretch,
    low: float,
    high: float,
    flaw: Flaw | None,
    end: int,
    offset: float,
) -> None:
    name = flaw.name if flaw is not None else _name(stretch)
    key = f"{name} @{low:.3f}"
    bends = min((_bending(share, flaw, end) for share in stretch.pieces), key=lambda pair: pair[0])
    carrying = [share for share in stretch.pieces if share.piece.bears[end]] or list(stretch.pieces[:1])
    whole = sum(share.part for share in carrying)
    slides = min((_shear(share, share.part / whole, flaw, end) for share in carrying), key=lambda pair: pair[0])
    bending[key], shear[key] = bends[1], slides[1]
    to_support = flaw.near_support if flaw is not None else stretch.to_support
    lengths.append(Length(low - offset, high - offset, bends[0], slides[0], to_support, key))


def _name(stretch: _Stretch) -> str:
    names = [share.piece.name + (" (damaged)" if share.damaged else "") for share in stretch.pieces]
    return " with ".join(names)


def _net(share: _Share, flaw: Flaw | None) -> NetSection | Section:
    if flaw is None or not flaw.cuts or not share.cut:
        return share.section
    return net_section(share.section, flaw.cuts)


def _bending(share: _Share, flaw: Flaw | None, end: int) -> tuple[float, Makeup]:
    net = _net(share, flaw)
    modulus = net.section_modulus
    capacity = share.piece.wood.fb[end] * modulus / share.part
    return capacity, Makeup(share.piece, share.part, modulus, net.area, 0.0)


def _shear(share: _Share, part: float, flaw: Flaw | None, end: int) -> tuple[float, Makeup]:
    net = _net(share, flaw)
    fv = share.piece.wood.fv[end]
    if flaw is not None and flaw.end_notch and share.cut:
        check = notched_shear_check(0.0, share.section, min(flaw.end_notch, share.section.depth_in), fv)
        return check.capacity / part, Makeup(share.piece, part, net.section_modulus, net.area, flaw.end_notch)
    return 2 / 3 * fv * net.area / part, Makeup(share.piece, part, net.section_modulus, net.area, 0.0)


def _actions(
    loads: Iterable[Load], end: int, start: float, stop: float
) -> tuple[tuple[Action, ...], tuple[Action, ...], tuple[Action, ...]]:
    """Loads on a length of the member, measured from its start: dead, live, and those that may be either."""
    parts: dict[str, list[Action]] = {"dead": [], "live": [], "either": []}
    for load in loads:
        low, high = max(load.start, start), min(load.end, stop)
        if load.is_point:
            if not start - TOUCH <= load.start <= stop + TOUCH:
                continue
        elif high - low <= TOUCH:
            continue
        if load.amount[end] != 0:
            parts[load.nature].append(Action(low - start, high - start, load.amount[end]))
    dead, live, either = (tuple(_merged(actions)) for actions in parts.values())
    return dead, live, either


def _merged(actions: Sequence[Action]) -> Iterator[Action]:
    """Loads over the same length as one."""
    sums: dict[tuple[float, float], float] = {}
    for start, stop, amount in actions:
        sums[start, stop] = sums.get((start, stop), 0.0) + amount
    for (start, stop), amount in sums.items():
        yield Action(start, stop, amount)
