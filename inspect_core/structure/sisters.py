"""How a sister is fastened to its joist: what the fasteners must hand over, and what they can."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
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
from inspect_core.engineering.working import Step, Working, show
from inspect_core.quantities import Quantity
from inspect_core.site.model import Fasteners, Path, Sister
from inspect_core.structure.assembly import Piece
from inspect_core.structure.basis import HARD, KIND, Ends
from inspect_core.structure.loads import FAR, Load

ACROSS_GRAIN = 90.0
NAIL_KINDS: tuple[NailKind, ...] = ("common", "box", "sinker")
_PENNY = re.compile(r"(\d{1,2})\s*d\b")
_NUMBER = re.compile(r"#\s*(\d{1,2})\b")


@dataclass(frozen=True, slots=True)
class Fastening:
    """What must go from joist to sister, lb per in of length, and what the fasteners carry there; (kind, hard) ends.

    ``use`` is the first over the second; ``None`` while the fasteners are not known well enough, and ``why`` says so.
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

    @property
    def enough(self) -> bool | None:
        """Whether the sister surely gets its share."""
        if self.use is None:
            return None
        return True if self.use[HARD] <= 1 else False if self.use[KIND] > 1 else None

    @property
    def working(self) -> Working:
        """The steps at the hard end."""
        if self.each is None or self.given is None or self.use is None:
            return ()
        needed = Step(
            "q",
            "w × share of the sister",
            f"share {show(self.share[HARD])}",
            self.needed[HARD],
            "lb/in",
            "statics, equal curvature",
        )
        numbers = f"{show(self.rows)} × {show(self.each.z_lb)} / {show(self.spacing_in)}"
        given = Step("q given", "rows × Z / spacing", numbers, self.given[HARD], "lb/in", "NDS 12.3")
        ratio = Step(
            "ratio", "q / q given", f"{show(self.needed[HARD])}/{show(self.given[HARD])}", self.use[HARD], "", ""
        )
        return (*self.each.working, needed, given, ratio)


def fastening(name: str, sister: Sister, joist: Piece, piece: Piece, loads: Sequence[Load]) -> Fastening:
    """The fastening of a sister under the loads of its joist.

    The floor lands on the joist. Bent to one curve, the sister takes the part that its stiffness is of both, and the
    fasteners hand that part over along its length. A sister that stops short gives its moment back near its ends as
    well; that is why it counts only some way in from them.
    """
    share = _share(joist, piece)
    rate = _rate(loads)
    needed = (share[KIND] * rate[KIND], share[HARD] * rate[HARD])

    def unknown(why: str, *asks: str) -> Fastening:
        return Fastening(name, sister.path, sister.work, share, needed, None, None, why, asks)

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
        (use[KIND], use[HARD]),
        "",
        (),
        hard_z,
        spacing[HARD],
        many[HARD],
    )


def _share(joist: Piece, sister: Piece) -> Ends:
    """The sister's part of the load, the least and the most that it may be."""

    def stiff(piece: Piece, end: int) -> float:
        return piece.wood.e[end] * piece.section(end).inertia

    low = stiff(sister, HARD) / (stiff(sister, HARD) + stiff(joist, KIND))
    high = stiff(sister, KIND) / (stiff(sister, KIND) + stiff(joist, HARD))
    return low, high


def _rate(loads: Sequence[Load]) -> Ends:
    """Load per inch of the joist: its line loads together (those over part of it as if over all of it)."""
    lines = [load for load in loads if not load.is_point]
    whole = [load for load in lines if load.end - load.start >= FAR]
    return sum(load.amount[KIND] for load in whole), sum(load.amount[HARD] for load in lines)


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
