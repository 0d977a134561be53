"""What every action shares: a step, settings, and the words that stand for places in a repair's sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from inspect_core.planning.repairs.draft import CannotApply, Draft, chosen, joist_of
from inspect_core.planning.repairs.spots import Spot
from inspect_core.planning.repairs.weights import planned
from inspect_core.quantities import Units
from inspect_core.rules_api.repairs import Repair

PLANNED = "planned"
_FACTS = ("unknown", None, "")


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work at one place. ``target`` tells places apart; ``words`` say what is done; ``apply`` does it on a
    draft, and raises :class:`CannotApply` where it can't be done there."""

    repair: Repair
    target: tuple[Any, ...]
    words: str
    apply: Callable[[Draft], None]


def setting(repair: Repair, name: str, units: Units) -> Any:
    """A setting of the repair, else the planner's own for all planned work, as this file's units have it."""
    return chosen(repair.with_values.get(name, planned().get(name)), units)


def known(data: Mapping[str, Any], key: str) -> Any:
    """What the file says under a key; ``None`` when that is nothing, or unknown."""
    value = data.get(key)
    return None if value in _FACTS else value


def worded(repair: Repair, spot: Spot, **more: Any) -> str:
    """The repair's sentence with its places filled in; nothing in the names is ever taken for a placeholder.

    ``{subject}`` is the finding's own, ``{thing}`` what it is a detail of ("drain D1" of "drain D1, at joist J3").
    """
    subject = spot.finding.check.subject.name
    words = {
        "subject": subject,
        "thing": subject.partition(",")[0],
        "joist": spot.joists[0] if spot.joists else "",
        "support": spot.support,
        "units": spot.site.units,
        **more,
    }
    text = ""
    rest = repair.says
    while "{" in rest:
        before, _, rest = rest.partition("{")
        name, closed, rest = rest.partition("}")
        text += before + (str(words[name]) if closed and name in words else f"{{{name}{closed}")
    text += rest
    several = len(spot.site.areas) > 1 and spot.area >= 0
    return f"{text.rstrip('.')} (in {spot.where.id})." if several else text


def wood(repair: Repair, data: Mapping[str, Any], *, member: bool) -> dict[str, Any]:
    """Size, species and grade of a new piece like the one that ``data`` describes; of lumber as it is bought where the
    file does not know. ``member`` adds what a joist can say and a sister can't."""
    plan: Mapping[str, Any] = {**planned()["wood"], **repair.with_values.get("wood", {})}
    size = {key: data[key] for key in ("size", "sizes", "thickness", "depth") if known(data, key) is not None}
    if not ("size" in size or {"thickness", "depth"} <= size.keys()):
        raise CannotApply("the size of the old piece is not known")
    if known(data, "kind") not in (None, "sawn"):
        raise CannotApply(f"{data['kind']}: not sawn lumber")
    piece = {
        **size,
        "species": known(data, "species") or plan["species"],
        "grade": known(data, "grade") or plan["grade"],
        "mark": plan["mark"],
    }
    if member:
        piece |= {key: plan[key] for key in ("kind", "moisture", "treated")}
    return piece


def known_joist(spot: Spot) -> str:
    """The joist that a finding is about; of two that meet, the first."""
    if not spot.joists or spot.bay is not None or joist_of(spot.where, spot.joists[0]) is None:
        raise CannotApply("it is not about one joist")
    return spot.joists[0]
