"""Actions on joists: sister one, add one in a bay, put a new one in the place of an old one."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any

from inspect_core.planning.repairs.actions.common import PLANNED, Step, known, known_joist, setting, wood, worded
from inspect_core.planning.repairs.draft import CannotApply, Draft, joist_of, tape
from inspect_core.planning.repairs.spots import Spot
from inspect_core.quantities import Dimension, Units, parse
from inspect_core.rules_api.repairs import Repair
from inspect_core.site import Area
from inspect_core.site.geometry import Wall, carrier_ids
from inspect_core.site.model import Header, Joist

MOST_IN_A_BAY = 3
_STAYS = ("at", "at_far_end", "from", "to", "over", "hung", "joints")
"""What a new joist takes over from the one that was in its place: where it lies and how it is held."""


def _inches(value: Any, units: Units) -> float:
    found = parse(value, Dimension.LENGTH, units)
    return 0.0 if found is None else found.middle


def _bearings(repair: Repair, area: Area, joist: Joist) -> dict[str, Any]:
    """How far a new piece bears on each support under a joist: as its neighbours do, at least the planned bearing, and
    no farther than the support is wide."""
    units: Units = "in"
    planned_bearing = _inches(setting(repair, "bearing", "in"), units)
    found: dict[str, Any] = {}
    for name in carrier_ids(joist):
        carrier = area.carriers.get(name)
        if carrier is None:
            raise CannotApply(f"nobody says what is at its end ({name})")
        if name in joist.hung or isinstance(carrier, Header):
            continue
        if carrier.width is None:
            raise CannotApply(f"the width of {name} is not known")
        others = [j.bearing[name] for j in area.joists or () if name in j.bearing]
        best = max((q.low for q in others if q is not None), default=0.0)
        found[name] = min(max(best, planned_bearing), carrier.width.low)
    return found


def sister(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A sister beside the joist, its size; ``length`` is ``full`` (bearing to bearing) or ``past-damage`` (from the
    bearing nearest to the damage to well past it). ``fasteners`` and ``bearing`` may be set."""
    name = _trimmer(spot) or known_joist(spot)
    area, units = spot.where, spot.site.units
    joist = joist_of(area, name)
    assert joist is not None
    if joist.missing:
        raise CannotApply("the joist is missing")
    full = repair.with_values.get("length", "full") == "full"
    bearings = _bearings(repair, area, joist)
    if full and set(bearings) != set(carrier_ids(joist)):
        raise CannotApply("an end of it hangs, so a sister can't bear there")
    extent = {} if full else _past_damage(repair, spot, joist, bearings)
    kept = {k: tape(v, units) for k, v in bearings.items() if full or k == extent.get("from")}

    def apply(draft: Draft) -> None:
        whole = draft.joist(spot.area, name)
        own = draft.own(spot.area, name)
        row = copy.deepcopy(whole.get("sisters") or [])
        row.append(
            {
                "id": draft.fresh_name((str(one.get("id")) for one in row), f"{name}a1").replace("a1", "a"),
                **wood(repair, whole, member=False),
                "full_length": full,
                **extent,
                "side": "far",
                "bearing": kept,
                "fasteners": setting(repair, "sister_fasteners", units),
                "glued": True,
                "holes": [],
                "notches": [],
                "work": "new",
                "note": PLANNED,
            }
        )
        own["sisters"] = row

    yield Step(repair, ("joist", spot.area, name), worded(repair, spot, joist=name), apply)


def _trimmer(spot: Spot) -> str:
    """The trimmer under one end of a header, where that is what a finding is about."""
    subject = spot.finding.check.subject.name
    if "trimmer" not in subject:
        return ""
    path = spot.part("header")
    header: Any = spot.where.openings[path[3]].headers[path[5]] if path and spot.where.openings else None  # type: ignore[index]
    ends = header.across if header is not None else None
    if not ends:
        return ""
    at = ends[0] if "first" in subject else ends[1]
    placed = [j for j in spot.where.joists or () if j.place is not None and at is not None]
    near = min(placed, key=lambda j: abs(j.place.middle - at.middle), default=None)  # type: ignore[union-attr]
    return near.id if near is not None else ""


def _past_damage(repair: Repair, spot: Spot, joist: Joist, bearings: Mapping[str, float]) -> dict[str, Any]:
    number = next((step for step in reversed(spot.path) if isinstance(step, int)), None)
    if "condition" not in spot.path or number is None or not joist.condition:
        raise CannotApply("it is not about damage at a place")
    damage = joist.condition[number]
    if damage.from_ not in bearings or damage.at is None or damage.length is None:
        raise CannotApply("nobody says where the damage begins and ends")
    past = _inches(setting(repair, "past_damage", "in"), "in")
    ends = damage.at.high + damage.length.high + past
    return {"from": damage.from_, "begins": 0, "ends": tape(ends, spot.site.units)}


# --- adding and replacing ---


def add_joist(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A joist (or two, or three) in the bay, like those beside it; one that was taken out there is put back first."""
    bay = spot.bay
    if bay is None:
        raise CannotApply("it is about no bay")
    area = spot.where
    beside = max(bay.joists, key=lambda j: len(j.own_keys) == 0)
    ends = [side.at if isinstance(side, Wall) else side.place for side in (bay.left, bay.right)]
    if bay.missing:
        _no_hatch(area, *sorted(j.place.middle for j in bay.joists if j.place is not None))
        names = [joist.id for joist in bay.missing]
        yield Step(
            repair,
            ("bay", spot.area, bay.name),
            worded(repair, spot, number=_several(len(names)), bay=bay.name),
            lambda draft: _put_back(repair, spot, draft, names, beside.id),
        )
    if ends[0] is None or ends[1] is None:
        raise CannotApply("nobody says where the joists beside it are")
    low, high = sorted(end.middle for end in ends if end is not None)
    _no_hatch(area, low, high)
    for count in range(1, MOST_IN_A_BAY + 1):
        places = [low + (high - low) * (n + 1) / (count + 1) for n in range(count)]

        def apply(draft: Draft, places: list[float] = places) -> None:
            for place in places:
                _insert(repair, spot, draft, beside.id, place, area)
            _close_openings(spot, draft, set(), places)

        yield Step(
            repair,
            ("bay", spot.area, bay.name),
            worded(repair, spot, number=_several(count), bay=bay.name),
            apply,
        )


def _no_hatch(area: Area, low: float = 0.0, high: float = 0.0) -> None:
    """No hole that may stay open lies between two places on the across tape."""
    for opening in area.openings or ():
        ends = [q.middle for q in opening.across or () if q is not None]
        apart = len(ends) == 2 and (max(ends) <= low or min(ends) >= high)
        if opening.plan != "floored-over" and not apart:
            raise CannotApply(f"opening {opening.id} lies there, and it is not said to be floored over")


def _several(count: int) -> str:
    return {1: "a joist", 2: "two joists", 3: "three joists"}.get(count, f"{count} joists")


def _put_back(repair: Repair, spot: Spot, draft: Draft, names: list[str], like: str) -> None:
    for name in names:
        _renew(repair, spot, draft, name, like)
    places = [j.place.middle for j in spot.where.missing_joists if j.id in names and j.place is not None]
    _close_openings(spot, draft, set(names), places)


def _close_openings(spot: Spot, draft: Draft, back: set[str], places: list[float]) -> None:
    for opening in draft.area(spot.area).get("openings") or ():
        if _closed_by(spot.where, opening, back, places):
            opening["framed"] = "full-joists"


def _closed_by(area: Area, opening: Mapping[str, Any], back: set[str], places: list[float]) -> bool:
    """Whether a hole that is to be floored over has a new joist across it, and none missing there any more."""
    if opening.get("plan") != "floored-over" or opening.get("framed") == "headers-and-trimmers":
        return False
    model = next((o for o in area.openings or () if o.id == opening["id"]), None)
    if model is None or model.across is None or model.across[0] is None or model.across[1] is None:
        return False
    low, high = sorted(q.middle for q in model.across if q is not None)
    gone = {j.id for j in area.missing_joists if j.place is not None and low <= j.place.middle <= high}
    return gone <= back and any(low <= place <= high for place in places)


def _new_wood(repair: Repair, draft: Draft, spot: Spot, whole: Mapping[str, Any], joist: Joist) -> dict[str, Any]:
    """Everything that a new joist says of itself, so that nobody has to ask."""
    bearings = _bearings(repair, spot.where, joist)
    return {
        **wood(repair, whole, member=True),
        "bearing": {name: tape(value, draft.units) for name, value in bearings.items()},
        "restraint": _restraint(repair, draft, whole, joist),
        **{key: [] for key in ("holes", "notches", "cuts", "sisters", "condition")},
        "work": "new",
        "note": PLANNED,
    }


def _restraint(repair: Repair, draft: Draft, whole: Mapping[str, Any], joist: Joist) -> dict[str, Any]:
    """What keeps its ends upright: what its neighbours have, else what is planned."""
    held = {
        name: word for name, word in (whole.get("restraint") or {}).items() if word not in (None, "unknown", "none")
    }
    ends = [name for name in (joist.from_, joist.to) if name is not None and name not in joist.hung]
    return {name: setting(repair, "restraint", draft.units) for name in ends} | held


def _insert(repair: Repair, spot: Spot, draft: Draft, like: str, place: float, area: Area) -> None:
    model = joist_of(area, like)
    assert model is not None
    whole = draft.joist(spot.area, like)
    group = draft.group(spot.area, like)
    entry = {"at": tape(place, draft.units), **_new_wood(repair, draft, spot, whole, model)}
    half = model.section.thickness.middle / 2 if model.section.thickness is not None else 0.75
    shift = {"near-face": -half, "far-face": half}.get(str(group.get("measured_to")), 0.0)
    entry["at"] = tape(place + shift, draft.units)
    entry |= {key: copy.deepcopy(whole[key]) for key in ("from", "to", "over", "hung") if key in whole}
    if whole.get("joints"):
        entry["joints"] = {name: setting(repair, "joint", draft.units) for name in whole["joints"]}
    each = {**{k: group[k] for k in ("from", "to", "over") if k in group}, **(group.get("each") or {})}
    said = {key: value for key, value in entry.items() if key not in each or each[key] != value}
    if not isinstance(group.get("also"), dict):
        group["also"] = {}
    taken = {j.id for j in (*(area.joists or ()), *area.missing_joists)}
    for other in draft.area(spot.area)["joists"]:
        taken |= set(other.get("also") or ())
    letter = next(c for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if f"{like}{c}" not in taken)
    group["also"][f"{like}{letter}"] = said


def replace_joist(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A new joist of the same size in the place of the old one, without its cuts and damage; a missing one put back."""
    name = known_joist(spot)
    area = spot.where
    joist = joist_of(area, name)
    assert joist is not None
    drains = {drain.id for drain in area.drains or ()}
    if used := [hole.serves for hole in joist.holes or () if hole.serves in drains]:
        raise CannotApply(f"drain {used[0]} runs through it: move the drain first")
    _bearings(repair, area, joist)
    yield Step(
        repair,
        ("joist", spot.area, name),
        worded(repair, spot),
        lambda draft: _renew(repair, spot, draft, name, name),
    )


def put_back_joists(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Full-length joists in the place of those that an opening took, so that it can be floored over."""
    path = spot.part("opening")
    opening = next((o for o in spot.where.openings or () if o.path == path), None)
    if opening is None or opening.across is None or None in opening.across:
        raise CannotApply("nobody says where the opening is")
    low, high = sorted(q.middle for q in opening.across if q is not None)
    gone = [j.id for j in spot.where.missing_joists if j.place is not None and low <= j.place.middle <= high]
    if not gone:
        raise CannotApply("no joist is missing there")
    like = next((j.id for j in spot.where.joists or () if not j.own_keys), None) or next(
        (j.id for j in spot.where.joists or ()), ""
    )
    yield Step(
        repair,
        ("bay", spot.area, *gone),
        worded(repair, spot, joists=" and ".join(gone)),
        lambda draft: _put_back(repair, spot, draft, gone, like),
    )


def _renew(repair: Repair, spot: Spot, draft: Draft, name: str, like: str) -> None:
    model = joist_of(spot.where, name)
    assert model is not None
    own = draft.own(spot.area, name)
    whole = draft.joist(spot.area, name)
    pattern = draft.joist(spot.area, like)
    group = draft.group(spot.area, name)
    stays = {key: own[key] for key in _STAYS if key in own}
    new = {**_new_wood(repair, draft, spot, {**pattern, **{k: v for k, v in whole.items() if known(whole, k)}}, model)}
    each = group.get("each") or {}
    if name in (group.get("also") or {}):
        each = {}
    own.clear()
    own |= stays
    own |= {key: value for key, value in new.items() if key not in each or each[key] != value}
