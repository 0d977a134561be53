"""The working of a member's checks: the steps that an engineer can follow, written when somebody reads them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import overload

from inspect_core.engineering.lumber import creep_factor
from inspect_core.engineering.working import Step, Working, show
from inspect_core.structure.assembly import Makeup, Solution
from inspect_core.structure.basis import HARD
from inspect_core.structure.joists import Member
from inspect_core.structure.loads import Load

HARD_END = "hard end of the bounds"


class Steps(Sequence[Step]):
    """Steps that are made when they are first read."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Working]) -> None:
        self._make = make
        self._made: Working | None = None

    @property
    def all(self) -> Working:
        """The steps."""
        if self._made is None:
            self._made = self._make()
        return self._made

    @overload
    def __getitem__(self, index: int) -> Step: ...

    @overload
    def __getitem__(self, index: slice) -> Working: ...

    def __getitem__(self, index: int | slice) -> Step | Working:
        return self.all[index]

    def __iter__(self) -> Iterator[Step]:
        return iter(self.all)

    def __len__(self) -> int:
        return len(self.all)


def bending_steps(member: Member) -> Steps:
    """Loads, moment, net section, stress and allowable stress where bending is hardest."""
    return Steps(lambda: _stress(member, "bending"))


def shear_steps(member: Member) -> Steps:
    """Loads, shear, net section, stress and allowable stress where shear is hardest."""
    return Steps(lambda: _stress(member, "shear"))


def sag_steps(member: Member, limit: float) -> Steps:
    """Stiffness, live deflection and its share of the span."""
    return Steps(lambda: _sag(member, limit, creep=False))


def creep_steps(member: Member, limit: float) -> Steps:
    """Live deflection, dead-load deflection as it creeps, and both as a share of the span."""
    return Steps(lambda: _sag(member, limit, creep=True))


def load_steps(member: Member) -> Working:
    """Each load on the member at the hard end of the bounds."""
    return tuple(_load(load) for load in member.loads)


def _load(load: Load) -> Step:
    amount = load.amount[HARD]
    if load.is_point:
        return Step("P", load.name, "", amount, "lb", load.source)
    if load.area_psf is not None and load.width_in is not None:
        numbers = f"{show(load.area_psf[HARD])} × {show(load.width_in[HARD])}/144"
        return Step("w", f"{load.name}, psf × width/144", numbers, amount, "lb/in", load.source)
    return Step("w", load.name, "", amount, "lb/in", load.source)


def _stress(member: Member, what: str) -> Working:
    answer = member.answer
    solution = None if answer is None else answer.bending_at if what == "bending" else answer.shear_at
    if solution is None:
        return ()
    use = solution.solved.bending if what == "bending" else solution.solved.shear
    makeup = (solution.bending if what == "bending" else solution.shear).get(use.length.name)
    steps = [*load_steps(member), *_span(solution)]
    place = f"at {show(use.at + solution.offset)} in, {use.length.name.partition(' @')[0]}"
    if what == "bending":
        steps.append(Step("M", "continuous beam, statics", place, use.demand, "lb·in", "statics"))
        steps += _bending(makeup, use.demand)
    else:
        steps.append(Step("V", "continuous beam, statics", place, use.demand, "lb", "NDS 3.4.3.1"))
        steps += _shear(makeup, use.demand)
    steps.append(Step("ratio", "demand/capacity", f"{show(use.demand)}/{show(use.capacity)}", use.ratio, "", HARD_END))
    return tuple(steps)


def _span(solution: Solution) -> Working:
    places = [at + solution.offset for at in solution.case.supports]
    return tuple(
        Step("L", f"{near} to {far}", f"{show(last)} − {show(first)}", last - first, "in", "clear span, IRC R502.3")
        for (near, _), (far, _), first, last in zip(
            solution.plan.supports, solution.plan.supports[1:], places, places[1:], strict=False
        )
    )


def _bending(made: Makeup | None, moment: float) -> Working:
    if made is None:
        return ()
    part = _part(made, "M", moment, "lb·in")
    stress = moment * made.share / made.modulus if made.modulus else float("inf")
    section = Step("S", "net section", _size(made), made.modulus, "in³", "statics")
    fb = Step("fb", "M/S", f"{show(moment * made.share)}/{show(made.modulus)}", stress, "psi", "NDS 3.3.2")
    return (*part, section, fb, *made.piece.wood.working("fb"))


def _shear(made: Makeup | None, shear: float) -> Working:
    if made is None:
        return ()
    part = _part(made, "V", shear, "lb")
    area = Step("A", "net section", _size(made), made.area, "in²", "statics")
    allowed = made.piece.wood.working("fv")
    if made.notch:
        numbers = f"notch {show(made.notch)} of {show(made.piece.depth[HARD])}"
        notch = Step("Vr'", "2/3 Fv' b dn (dn/d)²", numbers, _notched(made), "lb", "NDS 3.4.3.2(a)")
        return (*part, area, *allowed, notch)
    stress = 1.5 * shear * made.share / made.area if made.area else float("inf")
    fv = Step("fv", "3V/2A", f"3 × {show(shear * made.share)}/(2 × {show(made.area)})", stress, "psi", "NDS 3.4.2")
    return (*part, area, fv, *allowed)


def _notched(made: Makeup) -> float:
    depth = made.piece.depth[HARD]
    left = max(depth - made.notch, 0.0)
    return 2 / 3 * made.piece.wood.fv[HARD] * made.piece.breadth[HARD] * left * (left / depth) ** 2


def _part(made: Makeup, symbol: str, whole: float, unit: str) -> Working:
    if made.share >= 1:
        return ()
    numbers = f"{show(whole)} × {made.share:.3f}"
    return (Step(f"{symbol} {made.piece.name}", "its part by stiffness", numbers, whole * made.share, unit, "statics"),)


def _size(made: Makeup) -> str:
    return f"{made.piece.name} {show(made.piece.breadth[HARD])} × {show(made.piece.depth[HARD])} in"


def _sag(member: Member, limit: float, creep: bool) -> Working:
    answer = member.answer
    if answer is None or answer.sag_at is None or not answer.hard_sags or member.wood is None:
        return ()
    kcr = creep_factor(wet=any(member.creep_wet))
    found = answer.long_term_sag((kcr.value, kcr.value)) if creep else answer.live_sag()
    assert found is not None
    sag = found[1]
    section = member.pieces[0].section(HARD)
    steps = [
        *load_steps(member),
        *_span(answer.sag_at),
        *member.wood.working("e"),
        Step(
            "I",
            "b d³/12",
            f"{show(section.breadth_in)} × {show(section.depth_in)}³/12",
            section.inertia,
            "in⁴",
            "statics",
        ),
        Step("ΔL", "live load, the worst spans loaded", "", sag.live, "in", "statics"),
    ]
    total = sag.live
    if sag.stated:
        steps.append(Step("Δ", "loads stated without saying whether live or dead", "", sag.stated, "in", "statics"))
        total += 0.0 if creep else sag.stated
    if creep:
        lasting = sag.dead + sag.stated
        total += kcr.value * lasting
        numbers = f"{kcr.value:g} × {show(lasting)} + {show(sag.live)}"
        steps += [*kcr.working, Step("ΔT", "Kcr ΔD + ΔL", numbers, total, "in", "NDS 3.5.2")]
    steps.append(Step("limit", f"L/{1 / limit:.0f}", f"{show(sag.span)}/{1 / limit:.0f}", sag.span * limit, "in", ""))
    if total:
        steps.append(Step("L/Δ", "", f"{show(sag.span)}/{show(total)}", sag.span / total, "", HARD_END))
    return tuple(steps)
