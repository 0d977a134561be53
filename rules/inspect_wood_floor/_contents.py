"""What runs through the holes and notches of joists and beams: pipes, cables, nothing. No rules, no limits."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from inspect_core.quantities import Quantity, at_least
from inspect_core.rules_api import Check, Limits, Named, does_not_apply, not_measured
from inspect_core.site import Area
from inspect_core.site.model import Drain, Hole, Joist, Notch, WaterPipe
from inspect_wood_floor._drains import IRON, SOFT
from inspect_wood_floor._gaps import edge_wood
from inspect_wood_floor._listed import no_supports
from inspect_wood_floor._members import numbered, together
from inspect_wood_floor._pieces import pieces

SOFT_PIPE, IRON_PIPE, CABLE = "plastic-or-copper-pipe", "iron-pipe", "cable"


@dataclass(frozen=True, slots=True)
class Passage:
    """A hole or a notch: what runs through it, and the lesser wood between it and an edge (none at a notch)."""

    subject: Named
    cut: Hole | Notch
    holds: str | None
    wood: Quantity | None
    depth: Quantity | None

    @property
    def is_notch(self) -> bool:
        return isinstance(self.cut, Notch)


def each_passage(area: Area, about: Callable[[Passage], Check], what: str, *kinds: str) -> Iterator[Check]:
    """One answer for each hole and notch in which one of these kinds runs or may run."""
    everything = Named(what, area.path)
    if area.joists is None:
        yield not_measured(everything, asks=("area.joists",), because="no joists are described")
        return
    unseen = [piece.member for piece in pieces(area) if piece.member.holes is None or piece.member.notches is None]
    joists = [member for member in unseen if isinstance(member, Joist)]
    beams = [member for member in unseen if not isinstance(member, Joist)]
    for group, asks in ((joists, ("joist.holes", "joist.notches")), (beams, ("support.holes", "support.notches"))):
        if group:
            yield not_measured(together(group, what), asks=asks, because="nobody has looked for holes and notches")
    if nothing := no_supports(area, f"beams, {what}"):
        yield nothing
    found = list(passages(area))
    if not found and not unseen and area.supports is not None:
        yield does_not_apply(everything, "no holes and no notches seen")
    for one in found:
        if one.holds is None or one.holds in kinds:
            yield about(one)
        else:
            yield does_not_apply(one.subject, f"in it: {one.holds.replace('-', ' ')}")


def passages(area: Area) -> Iterator[Passage]:
    """Every hole and notch of joists and beams."""
    for piece in pieces(area):
        holes, notches = piece.member.holes or (), piece.member.notches or ()
        for label, hole in zip(numbered("hole", (h.id for h in holes)), holes, strict=True):
            wood = edge_wood(hole, piece.depth)
            yield Passage(piece.subject(hole, label), hole, holds(area, hole), wood, piece.depth)
        for label, notch in zip(numbered("notch", (n.id for n in notches)), notches, strict=True):
            yield Passage(piece.subject(notch, label), notch, holds(area, notch), None, piece.depth)


def holds(area: Area, cut: Hole | Notch) -> str | None:
    """What runs through a hole or notch: as said, or by the pipe of the list that it serves."""
    if cut.holds is not None or cut.serves is None:
        return cut.holds
    pipes: tuple[Drain | WaterPipe, ...] = (*(area.drains or ()), *(area.water_pipes or ()))
    for pipe in pipes:
        if pipe.id == cut.serves:
            soft, iron = pipe.material in SOFT, pipe.material in (*IRON, "lead", "clay")
            return SOFT_PIPE if soft else IRON_PIPE if iron else None
    return None


def guarded(one: Passage, limits: Limits, distance: str) -> tuple[bool | None, tuple[str, ...]]:
    """Whether what runs there is far enough from the edges or behind a plate, and what to look at."""
    least = limits[distance].value
    if one.cut.shielded:
        return True, ()
    far: bool | None = False if one.is_notch else None
    if one.wood is not None and least is not None and not one.is_notch:
        far = at_least(one.wood, least)
    if far:
        return True, ()
    if far is False and one.cut.shielded is False:
        return False, ()
    asks: tuple[str, ...] = ()
    if one.cut.shielded is None:
        asks = ("notch.shielded",) if one.is_notch else ("hole.shielded",)
    if far is None:
        asks = ("hole.wood_above", "hole.wood_below", *asks)
    return None, asks
