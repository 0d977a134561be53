"""How a sister is fastened to its joist: what the fasteners must hand over, and what they can."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from inspect_core.engineering.fasteners import (
    LateralValue,
    NailKind,
    bolt_lateral,
    nail,
    nail_lateral,
    screw_lateral,
    wood_screw,
)
from inspect_core.engineering.lumber import Section
from inspect_core.engineering.working import Step, Working, show
from inspect_core.quantities import Quantity
from inspect_core.site.model import Fasteners, Path, Sister
from inspect_core.structure.assembly import Piece, Plan
from inspect_core.structure.basis import HARD, KIND, Ends
from inspect_core.structure.beam import TOUCH
from inspect_core.structure.loads import FAR, Load, heaviest

ACROSS_GRAIN = 90.0
NAIL_KINDS: tuple[NailKind, ...] = ("common", "box", "sinker")
RATE = "lb/in"
BESIDE, AT_END = "q beside P", "q at its end"  # symbols of the steps
_PENNY = re.compile(r"(\d{1,2})\s*d\b")
_NUMBER = re.compile(r"#\s*(\d{1,2})\b")


@dataclass(frozen=True, slots=True)
class Ending:
    """A place where a sister stops within its joist, and what goes over between them up to there.

    ``moment`` (lb·in) and ``shear`` (lb, positive where the moment grows inwards) are the sister's at ``place`` (in on
    the joist's tape), where it begins to be counted on; the fasteners of ``length`` (in) outside of it build them up.
    """

    place: float
    moment: float
    shear: float
    length: float

    @property
    def couple(self) -> float:
        """Moment about the middle of those fasteners, lb·in."""
        return self.moment - self.shear * self.length / 2

    @property
    def rate(self) -> float:
        """The most per inch that the fasteners there must hand over, lb/in.

        A row of fasteners under a force and a couple, as the elastic method has it for a group that is loaded beside
        its middle: V/L, and 6 M'/L² at its ends for the moment M' = M - V L/2 about its middle.
        """
        return abs(self.shear) / self.length + 6 * abs(self.couple) / self.length**2

    @property
    def largest_shear(self) -> float:
        """The most shear in the sister while its moment builds up, lb."""
        even = self.shear / self.length
        slope = 12 * (self.shear * self.length / 2 - self.moment) / self.length**3
        found = [abs(self.shear)]
        if slope and 0 < (at := self.length / 2 - even / slope) < self.length:
            found.append(abs(even * at + slope * at * (at - self.length) / 2))
        return max(found)


@dataclass(frozen=True, slots=True)
class Fastening:
    """What must go from joist to sister, lb per in of length, and what the fasteners carry there; (kind, hard) ends.

    ``use`` is the first over the second; ``None`` while the fasteners are not known well enough, and ``why`` says so;
    nothing to ask for then (``asks``) means that it is surely too short to take anything over. ``steps`` are how the
    first comes about at the hard end.
    """

    sister: str
    path: Path
    work: str | None
    share: Ends
    needed: Ends
    given: Ends | None
    use: Ends | None
    why: str
    asks: tuple[str, ...]
    each: LateralValue | None = None
    spacing_in: float = 0.0
    rows: float = 1.0
    steps: Working = ()

    @property
    def enough(self) -> bool | None:
        """Whether the sister surely gets its share."""
        if self.use is None:
            return None
        return True if self.use[HARD] <= 1 else False if self.use[KIND] > 1 else None

    @property
    def hardest(self) -> str:
        """Where the most must go over, in words; empty where it is alike all along."""
        if not self.steps:
            return ""
        most = max((step for step in self.steps if step.unit == RATE), key=lambda step: step.result)
        return {BESIDE: "hardest beside a load at one place", AT_END: "hardest where it stops"}.get(most.symbol, "")

    @property
    def working(self) -> Working:
        """The steps at the hard end."""
        if self.each is None or self.given is None or self.use is None:
            return ()
        numbers = f"{show(self.rows)} × {show(self.each.z_lb)} / {show(self.spacing_in)}"
        given = Step("q given", "rows × Z / spacing", numbers, self.given[HARD], "lb/in", "NDS 12.3")
        ratio = Step(
            "ratio", "q / q given", f"{show(self.needed[HARD])}/{show(self.given[HARD])}", self.use[HARD], "", ""
        )
        return (*self.each.working, *self.steps, given, ratio)


def fastening(
    name: str,
    sister: Sister,
    joist: Piece,
    piece: Piece,
    loads: Sequence[Load],
    plans: Sequence[Plan],
    *,
    least: Section | None,
    past: float,
    bears: bool,
    if_short: tuple[str, ...],
) -> Fastening:
    """The fastening of a sister under the loads of its joist.

    The floor lands on the joist. Bent to one curve, the sister takes the part that its stiffness is of both, and the
    fasteners hand that part over along its length: line loads inch by inch, a load at one place through those beside
    it. ``least`` is what is left of the joist where the sister counts (``None``: nothing, it is cut through); it is
    taken for no better anywhere along the sister, so that no moment need come back to it beside its damage. A sister
    that does not rest on the joist's supports (``bears``) takes its moment and shear over within ``past`` (in) of where
    it stops. ``plans`` are all lengths of all ways in which the joist may be carried, ``if_short`` the fields that may
    show a sister to be longer than it counts now.
    """
    share = _share(joist, piece, least)
    lines = _rate(loads)

    def unknown(why: str, *asks: str) -> Fastening:
        needed = share[KIND] * lines[KIND], share[HARD] * lines[HARD]
        return Fastening(name, sister.path, sister.work, share, needed, None, None, why, asks)

    whole = [(plan.start[HARD], plan.end[HARD]) for plan in plans] or [(-FAR, FAR)]
    short = all(min(piece.end[HARD], high) - max(piece.start[HARD], low) <= TOUCH for low, high in whole)
    if short and not if_short:
        return unknown("too short for its fasteners to bring any load over, so it is not counted on")
    made = sister.fasteners
    if made is None:
        return unknown("its fasteners are not described", "sister.fasteners")
    spacing = _spacing(made, piece)
    if spacing is None:
        return unknown("the spacing of its fasteners is not known", "fasteners.spacing", "fasteners.rows")
    kind_z, hard_z = (_lateral(made, joist, piece, end) for end in (KIND, HARD))
    if isinstance(hard_z, str):
        return unknown(hard_z, "fasteners.kind", "fasteners.diameter", "fasteners.length")
    assert not isinstance(kind_z, str), "what is known at the hard end is known at the kind end"
    if short:
        rests = "sister.bearing" in if_short
        why = "too short to help unless it rests on a support" if rests else "its ends are not known well enough"
        return unknown(why, *if_short)
    found = _endings(piece, loads, plans, share[HARD], past, bears)
    if isinstance(found, str):
        return unknown(found, "sister.bearing")
    if any(_too_much_shear(ending, share[HARD], joist, piece) for ending in found):
        return unknown("more shear goes through the wood near its ends than it bears", "sister.begins", "sister.ends")
    reach = max(spacing[HARD], min(joist.depth[HARD], piece.depth[HARD]))
    # What stands over a support itself goes straight into it.
    first, last = (min(plan.start[HARD] for plan in plans), max(plan.end[HARD] for plan in plans)) if plans else (0, 0)
    stretch = max(piece.start[HARD] - reach, first), min(piece.end[HARD] + reach, last)
    points = _crowded(loads, stretch, reach)
    steps = list(_steps(share[HARD], lines[HARD], points, reach, found))
    needed = (
        share[KIND] * (lines[KIND] + _spread_out(loads, plans)),
        max(step.result for step in steps if step.unit == RATE),
    )
    rows = made.rows
    many = (rows.high, rows.low) if rows is not None else (1.0, 1.0)
    given = (many[KIND] * kind_z.z_lb / spacing[KIND], many[HARD] * hard_z.z_lb / spacing[HARD])
    use = tuple(n / g if g > 0 else math.inf for n, g in zip(needed, given, strict=True))
    return Fastening(
        name,
        sister.path,
        sister.work,
        share,
        needed,
        given,
        (min(use), use[HARD]),
        "",
        (),
        hard_z,
        spacing[HARD],
        many[HARD],
        tuple(steps),
    )


def _share(joist: Piece, sister: Piece, least: Section | None) -> Ends:
    """The sister's part of the load, the least and the most that it may be."""

    def stiff(piece: Piece, end: int) -> float:
        return piece.wood.e[end] * piece.section(end).inertia

    left = joist.wood.e[HARD] * least.inertia if least is not None else 0.0
    low = stiff(sister, HARD) / (stiff(sister, HARD) + stiff(joist, KIND))
    high = stiff(sister, KIND) / (stiff(sister, KIND) + left)
    return low, high


def _steps(share: float, line: float, point: float, reach: float, endings: Sequence[Ending]) -> Iterator[Step]:
    """What must go over along the sister, and beside each of its ends, at the hard end; the most of them counts."""
    along = show(line)
    if point:
        numbers = f"({along} + {show(point)} / (2 × {show(reach)})) × {show(share)}"
        yield Step(BESIDE, "(w + P / (2 × reach)) × share of the sister", numbers, share * (line + point / (2 * reach)),
                   RATE, "statics, equal curvature; a load at one place through the fasteners beside it")  # fmt: skip
    else:
        yield Step("q", "w × share of the sister", f"{along} × {show(share)}", share * line, RATE,
                   "statics, equal curvature")  # fmt: skip
    if endings:
        worst = max(endings, key=lambda ending: ending.rate)
        long = show(worst.length)
        yield Step("M'", "M − V × L / 2", f"{show(worst.moment)} − {show(worst.shear)} × {long} / 2", worst.couple,
                   "lb·in", "statics, moment about the middle of the row")  # fmt: skip
        numbers = f"{show(abs(worst.shear))} / {long} + 6 × {show(abs(worst.couple))} / {long}²"
        yield Step(AT_END, "V / L + 6 × M' / L²", numbers, worst.rate, RATE,
                   "statics, force and couple on a row of fasteners")  # fmt: skip


def _rate(loads: Sequence[Load]) -> Ends:
    """Load per inch of the joist: line loads all along it, and the most that all come to at one place."""
    whole = [load for load in loads if not load.is_point and load.end - load.start >= FAR]
    return sum(load.amount[KIND] for load in whole), heaviest(loads, HARD)


def _crowded(loads: Sequence[Load], stretch: Ends, reach: float) -> float:
    """The most that loads at single places come to within ``reach`` on either side of any place, lb, hard end."""
    low, high = stretch
    points = [load for load in loads if load.is_point and low <= load.start <= high and load.amount[HARD] > 0]
    return max(
        (sum(p.amount[HARD] for p in points if 0 <= p.start - first.start <= 2 * reach) for first in points),
        default=0.0,
    )


def _spread_out(loads: Sequence[Load], plans: Sequence[Plan]) -> float:
    """Loads at single places as if even along the joist, lb/in at the kind end: somewhere no less must go over."""
    if not plans:
        return 0.0
    start, end = min(min(plan.start) for plan in plans), max(max(plan.end) for plan in plans)
    inside = [load for load in loads if load.is_point and start <= load.start <= end]
    return max(sum(load.amount[KIND] for load in inside), 0.0) / (end - start) if end > start else 0.0


def _endings(
    piece: Piece, loads: Sequence[Load], plans: Sequence[Plan], share: float, past: float, bears: bool
) -> list[Ending] | str:
    """Where a sister takes over its part of the joist's moment within the span, or why that can't be worked out."""
    found: list[Ending] = []
    for plan in plans:
        start, stop = plan.start[HARD], plan.end[HARD]
        low, high = max(piece.start[HARD], start), min(piece.end[HARD], stop)
        if high - low <= TOUCH:
            continue
        free = [(at, side) for at, edge, side in ((low, start, 1), (high, stop, -1)) if abs(at - edge) > TOUCH]
        if not free and bears:
            continue
        held = [at[HARD] for _, at in plan.supports]
        if len(held) != 2 or held[0] > start + TOUCH or held[1] < stop - TOUCH:
            return "what goes over at its ends is not worked out for a joist that runs on past a support"
        if not free:
            return "it is not known to rest on the joist's supports"
        for at, side in free:
            moment, shear = _inside(loads, start, stop, at)
            found.append(Ending(at, share * moment, share * shear * side, past))
    return found


def _inside(loads: Sequence[Load], start: float, stop: float, at: float) -> tuple[float, float]:
    """Moment (lb·in) and shear (lb) at a place of a beam on its two ends under all loads at once, at the hard end."""
    span, moment, shear = stop - start, 0.0, 0.0
    for load in loads:
        low, high = max(load.start, start), min(load.end, stop)
        if high < low or load.amount[HARD] == 0:
            continue
        amount = load.amount[HARD]
        force = amount if load.is_point else amount * (high - low)
        near = force * (stop - (low + high) / 2) / span  # reaction at the start
        last = min(high, at)
        before = (amount if low <= at else 0.0) if load.is_point else amount * max(last - low, 0.0)
        arm = at - low if load.is_point else at - (low + last) / 2
        moment += near * (at - start) - before * arm
        shear += near - before
    return moment, shear


def _too_much_shear(ending: Ending, share: float, joist: Piece, sister: Piece) -> bool:
    """Whether the sister, or the joist beside it that gets the opposite, may shear where the moment goes over."""

    def bears(piece: Piece) -> float:
        return 2 / 3 * piece.wood.fv[HARD] * piece.section(HARD).area

    most = ending.largest_shear
    against = max(-ending.shear / share, 0.0) if share > 0 else 0.0  # the joist's own shear, where it adds up with that
    return most > bears(sister) or most + against > bears(joist)


def _spacing(made: Fasteners, piece: Piece) -> Ends | None:
    spacing = made.spacing
    if spacing is not None and spacing.low > 0:
        return spacing.low, spacing.high
    return None


def _lateral(made: Fasteners, joist: Piece, piece: Piece, end: int) -> LateralValue | str:
    """Lateral value of one fastener at one end of the bounds, or why there is none.

    A thicker sister leaves less of a nail in the joist, a thinner one bears less: all ends of both are tried.
    """
    ways = product(dict.fromkeys(piece.breadth), dict.fromkeys(joist.breadth))
    found = [_lateral_at(made, joist, piece, side, main, end) for side, main in ways]
    values = [one for one in found if isinstance(one, LateralValue)]
    if len(values) < len(found):
        return next(one for one in found if isinstance(one, str))
    return (min if end == HARD else max)(values, key=lambda value: value.z_lb)


def _lateral_at(made: Fasteners, joist: Piece, piece: Piece, side: float, main: float, end: int) -> LateralValue | str:
    """The same for pieces of these thicknesses, in inches."""
    gravity = piece.wood.gravity[end], joist.wood.gravity[end]
    kind = made.kind or ""
    if kind in ("nail", "ring-shank-nail", "screw-shank-nail"):
        size = _nail_size(made, end)
        if size is None:
            return "the size of its nails is not known"
        try:
            return nail_lateral(*size, side, main, *gravity)
        except LookupError:
            return "no value is known for nails of that diameter"
    diameter = _end(made.diameter, end)
    if kind == "bolt":
        if diameter is None:
            return "the diameter of its bolts is not known"
        across = ACROSS_GRAIN
        try:
            return bolt_lateral(diameter, side, main, *gravity, side_angle_deg=across, main_angle_deg=across)
        except LookupError:
            return "no value is known for bolts of that diameter"
    number = _NUMBER.search(made.name or "")
    length = _end(made.length, end)
    if kind == "screw" and number and length is not None:
        try:
            return screw_lateral(length, wood_screw(int(number.group(1))), side, main, *gravity)
        except LookupError:
            return "no value is known for screws of that number"
    if kind in ("structural-screw", "screw"):
        return "screws: only their maker's report gives their load"
    return f"{kind or 'fasteners of unknown kind'}: no value is known for their load"


def _nail_size(made: Fasteners, end: int) -> tuple[float, float] | None:
    length, diameter = _end(made.length, end), _end(made.diameter, end)
    found = _PENNY.search((made.name or "").lower())
    if found and (length is None or diameter is None):
        words = (made.name or "").lower()
        kinds: list[NailKind] = [kind for kind in NAIL_KINDS if kind in words]
        try:
            sizes = [nail(kind, int(found.group(1))) for kind in kinds or NAIL_KINDS]
        except LookupError:
            return None
        chosen = min(sizes, key=lambda n: n.diameter_in) if end == HARD else max(sizes, key=lambda n: n.diameter_in)
        return length or chosen.length_in, diameter or chosen.diameter_in
    return (length, diameter) if length is not None and diameter is not None else None


def _end(quantity: Quantity | None, end: int) -> float | None:
    if quantity is None:
        return None
    return quantity.low if end == HARD else quantity.high
