"""What a joist end presses with, and what wood stands across its grain: bounds of what is known. No rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from inspect_core.engineering.working import Working, weakest
from inspect_core.quantities import Dimension, Quantity, exactly, minimum
from inspect_core.rules_api import MEETS, Check, Limits, not_measured
from inspect_core.site import Area
from inspect_core.site.geometry import JoistEnd
from inspect_core.site.model import Header, Joist, Support
from inspect_core.structure import BASIS_LIMITS, HARD, KIND, basis_of, floor_of
from inspect_core.structure.joists import Member
from inspect_core.structure.loads import Loads
from inspect_core.structure.strength import NoValues, wood_of
from inspect_wood_floor._members import hangs, surface_of

LOAD_LIMITS = BASIS_LIMITS
LOAD_FIELDS = ("area.use", "area.layers", "area.fixtures", "area.partitions", "joist_group.at", "support.at")
# A size in the class of dimension lumber, for wood whose own size nobody measured.
SOFTWOOD = (exactly(1.5, Dimension.LENGTH), exactly(5.5, Dimension.LENGTH))


@dataclass(frozen=True, slots=True)
class Reaction:
    """Load that comes to one end, lb. ``why`` says why it can't be worked out, ``asks`` what would settle it.

    ``unseen`` names what may still bring more load: nothing passes until it is known. ``outside`` says that the member
    is not for this calculation.
    """

    force: Quantity | None = None
    why: str = ""
    asks: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    outside: str = ""


class Reactions:
    """Reactions of one area's joists, by the load path that all rules share."""

    def __init__(self, area: Area, limits: Limits) -> None:
        self.area = area
        self.floor = floor_of(area, limits)
        self._loads: dict[str, Loads] = {}

    def at(self, end: JoistEnd) -> Reaction:
        """What comes to one end of a joist."""
        member: Member = self.floor.joist(end.joist)
        if member.outside:
            return Reaction(outside=member.outside)
        found = member.reactions.get(end.support_id or "")
        loads = self._loads.get(end.joist.id)
        if loads is None:
            loads = self._loads[end.joist.id] = self.floor.loads.on(end.joist)
        if found is None or loads.missing:
            why = "the load that comes here is not known"
            return Reaction(why=why, asks=loads.missing or member.missing or LOAD_FIELDS)
        low, high = sorted(found.total)
        force = Quantity(max(low, 0.0), max(high, 0.0), Dimension.FORCE, loads.loose)
        # What is left of the joist's own strength has no say here, only what it carries.
        return Reaction(
            force,
            asks=tuple(dict.fromkeys((*loads.decides, "area.use"))),
            unseen=loads.unseen,
            assumptions=loads.assumptions,
        )


def unless_unseen(answer: Check, reaction: Reaction) -> Check:
    """A pass waits for whatever may still bring more load."""
    if answer.outcome != MEETS or not reaction.unseen:
        return answer
    because = "it holds for what is known; more load may come to it"
    return not_measured(answer.subject, asks=reaction.unseen, because=because)


# --- strength across the grain ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AcrossGrain:
    """Strength across the grain in psi, as a range where species, grade or moisture leave it open."""

    psi: Quantity
    status: str
    source: str
    assumptions: tuple[str, ...]
    asks: tuple[str, ...]
    working: Callable[[], Working]


class Strengths:
    """Strength of joists and of what they bear on; members alike are looked up once."""

    def __init__(self, limits: Limits) -> None:
        self.basis = basis_of(limits)
        self.known: dict[tuple[object, ...], AcrossGrain | None] = {}

    def at(self, end: JoistEnd) -> AcrossGrain | None:
        """The weaker of the joist and the wood under it; ``None`` for sizes of which no table speaks."""
        joist = self._of(end.joist, "joist", "joist")
        carrier = end.support
        if carrier is None or surface_of(carrier) not in ("wood", None) or hangs(end):
            return joist
        if joist is None:
            return None
        field, what = ("header", "header") if isinstance(carrier, Header) else ("support", carrier.line or "support")
        below = self._of(carrier, what, field)
        if below is None:
            return None
        return AcrossGrain(
            minimum(joist.psi, below.psi),
            weakest((joist.status, below.status)),
            joist.source if joist.source == below.source else f"{joist.source}; {below.source}",
            tuple(dict.fromkeys((*joist.assumptions, *below.assumptions))),
            tuple(dict.fromkeys((*joist.asks, *below.asks))),
            joist.working if joist.psi.low <= below.psi.low else below.working,
        )

    def _of(self, member: Joist | Support | Header, what: str, field: str) -> AcrossGrain | None:
        key = (member.species, member.grade, member.section, member.moisture, what)
        if key not in self.known:
            self.known[key] = self._tabulated(member, what, field)
        return self.known[key]

    def _tabulated(self, member: Joist | Support | Header, what: str, field: str) -> AcrossGrain | None:
        section = member.section
        thickness, depth = section.thickness or SOFTWOOD[0], section.depth or SOFTWOOD[1]
        found = wood_of(member, thickness, depth, self.basis, (None,), 1)
        notes: tuple[str, ...] = ()
        if isinstance(found, NoValues):
            # Wood that the tables don't hold is treated as unknown wood.
            notes = (f"{found.why}: taken as unknown wood",)
            found = wood_of(replace(member, species=None, grade=None), thickness, depth, self.basis, (None,), 1)
        if isinstance(found, NoValues):
            return None
        used = found
        worst = (used.values("fc_perp", KIND), used.values("fc_perp", HARD))
        low, high = sorted(used.fc_perp)
        estimate = member.moisture is not None and member.moisture.estimate
        return AcrossGrain(
            psi=Quantity(low, high, Dimension.STRESS, estimate),
            status=weakest(values.status_of("fc_perp") for values in worst),
            source=f"NDS Supplement Table {worst[HARD].reference.table}, {worst[HARD].reference.species_name}",
            assumptions=tuple(f"{what}: {note}" for note in (*notes, *used.assumptions)),
            asks=tuple(f"{field}.{name}" for name in used.decides if name != "grade"),
            working=lambda: used.working("fc_perp"),
        )


def pressure(reaction: Quantity, area_sq_in: Quantity) -> Quantity | None:
    """Reaction over contact area in psi; ``None`` where the area may be nothing at all."""
    if area_sq_in.low <= 0:
        return None
    return Quantity(
        reaction.low / area_sq_in.high,
        reaction.high / area_sq_in.low,
        Dimension.STRESS,
        reaction.estimate or area_sq_in.estimate,
    )
