"""Heading off a joist that was cut through: headers carry its two ends to the joists beside it."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

from inspect_core.planning.repairs.actions.common import PLANNED, Step, known, known_joist, setting, wood, worded
from inspect_core.planning.repairs.draft import CannotApply, Draft, joist_of, tape
from inspect_core.planning.repairs.spots import Spot
from inspect_core.rules_api.repairs import Repair
from inspect_core.site.geometry import Wall
from inspect_core.site.model import Joist

_OF_THE_WHOLE = ("from", "to", "over", "at", "at_far_end", "cuts")
_SOUND = ("holes", "notches", "condition", "sisters")


def head_off(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Two doubled headers on hangers from one joist beside the cut to the other, at its two sides, else back to back
    in its middle; the lengths that are left hang on them as tail joists of their own. Trimmers that have to be doubled
    are another repair's."""
    name = known_joist(spot)
    joist = joist_of(spot.where, name)
    assert joist is not None
    beside = _beside(spot, joist)
    low, high, thickness = _gap(spot, joist)
    middle = (low + high) / 2
    for begins, ends, how in ((low, high, "at the two sides of the cut"), (middle, middle, "back to back")):
        apply = _with_headers(repair, spot, joist, beside, (begins, ends, 2 * thickness))
        words = worded(repair, spot, how=how, beside=" and ".join(j.id for j in beside))
        yield Step(repair, ("joist", spot.area, name), words, apply)


def _with_headers(
    repair: Repair, spot: Spot, joist: Joist, beside: tuple[Joist, Joist], gap: tuple[float, float, float]
) -> Callable[[Draft], None]:
    """Lays the headers on both sides of the gap (where it begins, where it ends, how thick a doubled header is)."""
    name = joist.id
    low, high, thick = gap

    def apply(draft: Draft) -> None:
        whole = draft.joist(spot.area, name)
        group = draft.group(spot.area, name)
        openings = draft.row(spot.area, "openings")
        headers = [str(h.get("id")) for o in openings for h in o.get("headers") or ()]
        ids = [draft.fresh_name(headers, "H1")]
        ids.append(draft.fresh_name([*headers, *ids], "H1"))
        places = [low - thick, high]
        across = [tape(j.place.middle, draft.units) for j in beside if j.place is not None]
        openings.append(
            {
                "id": draft.fresh_name((str(o.get("id")) for o in openings), "O1"),
                "kind": "other",
                "across": across,
                "along": [tape(low - thick, draft.units), tape(high + thick, draft.units)],
                "plan": "floored-over",
                "framed": "headers-and-trimmers",
                "trimmers": [j.id for j in beside],
                "headers": [
                    {
                        "id": one,
                        "along": tape(at, draft.units),
                        "across": list(across),
                        **wood(repair, whole, member=True),
                        "plies": 2,
                        **{key: [] for key in ("condition", "holes", "notches")},
                        "hung": setting(repair, "hanger", draft.units),
                        "work": "new",
                        "note": PLANNED,
                    }
                    for one, at in zip(ids, places, strict=True)
                ],
                "work": "new",
                "note": PLANNED,
            }
        )
        own = draft.own(spot.area, name)
        kept: dict[str, Any] = {key: own[key] for key in ("at", "at_far_end") if key in own}
        own.clear()
        own |= kept | {"missing": "cut through, headed off"}
        ends = ((f"{name}n", whole.get("from"), ids[0]), (f"{name}f", ids[1], whole.get("to")))
        for part, start, stop in ends:
            tail = _tail(repair, draft, whole, start, stop, ids)
            place = whole.get("at") if "at" in kept else tape(_place(joist), draft.units)
            more = {} if "at" not in kept or "measured_to" not in group else {"measured_to": group["measured_to"]}
            draft.row(spot.area, "joists").append(
                {"name": part, "from": start, "to": stop, "at": [place], **more, "each": tail}
            )

    return apply


def _tail(
    repair: Repair, draft: Draft, whole: dict[str, Any], start: Any, stop: Any, headers: list[str]
) -> dict[str, Any]:
    """What is left of the joist between a support and a header."""
    stays = {key: value for key, value in whole.items() if key not in _OF_THE_WHOLE}
    support = stop if start in headers else start
    for key in ("bearing", "restraint", "hung", "joints"):
        if isinstance(stays.get(key), dict):
            stays[key] = {name: value for name, value in stays[key].items() if name == support}
    header = start if start in headers else stop
    stays["hung"] = {**(stays.get("hung") or {}), header: setting(repair, "hanger", draft.units)}
    stays["cuts"] = []
    return copy.deepcopy(stays)


def _beside(spot: Spot, joist: Joist) -> tuple[Joist, Joist]:
    """The joists on either side."""
    left: list[Joist] = []
    right: list[Joist] = []
    for bay in spot.where.bays_beside.get(joist.id, ()):
        first, second = bay.left, bay.right
        if isinstance(first, Wall) or isinstance(second, Wall) or bay.missing:
            raise CannotApply("there is no whole joist on both sides")
        if second.id == joist.id:
            left.append(first)
        else:
            right.append(second)
    if len({j.id for j in left}) != 1 or len({j.id for j in right}) != 1:
        raise CannotApply("there is no whole joist on both sides")
    for one in (left[0], right[0]):
        if one.cuts or one.cuts is None or one.place is None:
            raise CannotApply(f"joist {one.id} beside it is not known to be whole")
    return left[0], right[0]


def _gap(spot: Spot, joist: Joist) -> tuple[float, float, float]:
    """Where the cut begins and ends on the along tape, and how thick the joist is."""
    if not joist.cuts or len(joist.cuts) != 1 or joist.over:
        raise CannotApply("it is not a joist of one span with one cut")
    if any(known({"row": getattr(joist, row)}, "row") for row in _SOUND):
        raise CannotApply("it has other cuts or damage besides")
    cut = joist.cuts[0]
    at = spot.where.place_along(joist, cut.from_, cut.at)
    thickness = joist.section.thickness
    if at is None or cut.gap is None or thickness is None or joist.place is None:
        raise CannotApply("nobody says where the cut is")
    backwards = cut.from_ is not None and cut.from_ == joist.to
    low = at.middle - cut.gap.middle if backwards else at.middle
    return low, low + cut.gap.middle, thickness.middle


def _place(joist: Joist) -> float:
    assert joist.place is not None
    return joist.place.middle
