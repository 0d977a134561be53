"""Actions below the joists: a beam line, piers on footings."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from itertools import pairwise, product
from math import ceil
from typing import Any

from inspect_core.planning.repairs.actions.common import PLANNED, Step, known, setting, worded
from inspect_core.planning.repairs.draft import CannotApply, Draft, joist_of, tape
from inspect_core.planning.repairs.spots import Spot
from inspect_core.quantities import Dimension, parse
from inspect_core.rules_api.repairs import Repair
from inspect_core.site.geometry import carrier_faces, extent_along
from inspect_core.site.model import Support


def add_beam(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A beam on piers and footings under the middle of the longest span of the joist, and under every joist that
    crosses that place. Sizes of the beam and of the footings are tried from the smallest."""
    area, units = spot.where, spot.site.units
    if len(spot.joists) != 1:
        raise CannotApply("it is not about one joist")
    joist = joist_of(area, spot.joists[0])
    spans = area.spans(joist) if joist is not None else ()
    if not spans:
        raise CannotApply("nobody says how far it spans")
    longest = max(spans, key=lambda s: s.ends.middle - s.begins.middle)
    middle = (longest.begins.middle + longest.ends.middle) / 2
    crossing = [
        one
        for one in area.joists or ()
        if (reach := extent_along(area, one)) is not None and reach[0] < middle < reach[1] and one.place is not None
    ]
    places = [one.place.middle for one in crossing if one.place is not None]
    if any("over" in one.own_keys for one in crossing):
        raise CannotApply("some joists name their own supports")
    plan = setting(repair, "new_beam", units)
    width = _inches(plan["width"], units)
    gap = _inches(setting(repair, "pier_distance", units), units)
    bays = max(1, ceil((max(places) - min(places)) / gap))
    stands = [min(places) + (max(places) - min(places)) * n / bays for n in range(bays + 1)]
    sizes, footings = setting(repair, "beam_sizes", units), setting(repair, "footing_widths", units)
    for size, footing in product(sizes, footings):

        def apply(draft: Draft, size: Mapping[str, Any] = size, footing: Any = footing) -> None:
            supports = draft.row(spot.area, "supports")
            name = draft.fresh_name((str(one.get("id")) for one in supports), "B1")
            fasteners = setting(repair, "beam_fasteners", units)
            supports.append(
                {"id": name, **plan, **size, "at": tape(middle - width / 2, units), "fasteners": fasteners}
                | {"work": "new", "note": PLANNED}
            )
            for group in _groups(draft, spot, {one.id for one in crossing}):
                _carry(draft, spot, group, name, plan["width"], middle)
            for stand in stands:
                _pier(repair, draft, spot, name, stand, footing)

        words = worded(
            repair, spot, size=f"{size['plies']} pieces of {size['size']}", number=len(stands), footing=footing
        )
        yield Step(repair, ("beam", spot.area, round(middle)), words, apply)


def _groups(draft: Draft, spot: Spot, names: set[str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = []
    for name in sorted(names):
        group = draft.group(spot.area, name)
        if not any(group is one for one in found):
            found.append(group)
    return found


def _carry(draft: Draft, spot: Spot, group: dict[str, Any], beam: str, width: Any, middle: float) -> None:
    """The joists of a group pass over the new beam and bear on it."""
    faces = {name: carrier_faces(carrier) for name, carrier in spot.where.carriers.items()}
    each = group.get("each")
    over = list(group.get("over") or (each or {}).get("over") or ())
    begin = faces.get(str(group.get("from") or (each or {}).get("from")))
    upwards = begin is None or begin[0].middle < middle
    place = sum(1 for one in over if (f := faces.get(one)) is not None and (f[0].middle < middle) == upwards)
    over.insert(place, beam)
    if isinstance(each, dict) and "over" in each:
        each["over"] = over
    else:
        group["over"] = over
    if not isinstance(each, dict):
        each = group["each"] = {}
    each["bearing"] = {**(each.get("bearing") or {}), beam: width}
    for extra in (group.get("also") or {}).values():
        if "over" in extra:
            extra["over"] = over


def add_pier(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A pier on a footing under a beam: under the joint that the finding is about, else in the middle of the longest
    stretch between what stands under it now. Footings are tried from the smallest."""
    area, units = spot.where, spot.site.units
    path = spot.part("support")
    beam = next((s for s in area.supports or () if s.path == path), None)
    if beam is None:
        raise CannotApply("it is about no beam")
    place = _joint(beam, spot) or _longest(spot, beam)
    for footing in setting(repair, "footing_widths", units):

        def apply(draft: Draft, footing: Any = footing) -> None:
            _pier(repair, draft, spot, beam.id, place, footing)

        words = worded(repair, spot, beam=beam.id, at=tape(place, units), units=units, footing=footing)
        yield Step(repair, ("beam", spot.area, beam.id, round(place)), words, apply)


def _joint(beam: Support, spot: Spot) -> float | None:
    if "splices" not in spot.path or not beam.splices:
        return None
    number = spot.path[-1]
    at = beam.splices[number] if isinstance(number, int) else None
    if at is None:
        raise CannotApply("nobody says where the joint is")
    return at.middle


def _longest(spot: Spot, beam: Support) -> float:
    area = spot.where
    under = [(pier.under, pier.at) for pier in area.piers or ()] + [(post.under, post.at) for post in area.posts or ()]
    stands = sorted(at.middle for name, at in under if name == beam.id and at is not None)
    if len(stands) < 2:
        raise CannotApply("nobody says what stands under the beam")
    low, high = max(pairwise(stands), key=lambda pair: pair[1] - pair[0])
    return (low + high) / 2


def replace_pier(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A new pier in the place of the old one: on its footing where it has one that is not the fault, else on a new
    footing. Footings are tried from the smallest."""
    units = spot.site.units
    path = spot.part("pier") or _pier_on(spot)
    if not path:
        raise CannotApply("it is about no pier")
    pier = next(p for p in spot.where.piers or () if p.path == path)
    old = next((f.id for f in spot.where.footings or () if f.id == pier.rests_on), "")
    keeps = [None] if old and not spot.part("footing") else []
    for footing in [*keeps, *setting(repair, "footing_widths", units)]:

        def apply(draft: Draft, footing: Any = footing) -> None:
            entry = draft.at(spot.site, path)
            stays = ("id", "under", "at", "along", "height")
            kept: dict[str, Any] = {key: entry[key] for key in stays if key in entry}
            if known(kept, "height") is None:
                kept["height"] = _height(repair, draft, spot)
            entry.clear()
            entry |= kept | setting(repair, "pier", units)
            below = old if footing is None else _footing(repair, draft, spot, footing, old)
            entry |= {"rests_on": below, "work": "new", "note": PLANNED}

        below = f"its footing {old}" if footing is None else f"a new footing {footing} {units} wide"
        words = worded(repair, spot, pier=pier.id, footing=below)
        yield Step(repair, ("pier", spot.area, pier.id), words, apply)


def _pier_on(spot: Spot) -> tuple[str | int, ...]:
    """The pier that stands on the footing which a finding is about."""
    path = spot.part("footing")
    footing = next((f for f in spot.where.footings or () if f.path == path), None)
    standing = [p for p in spot.where.piers or () if footing is not None and p.rests_on == footing.id]
    return standing[0].path if len(standing) == 1 else ()


def _pier(repair: Repair, draft: Draft, spot: Spot, beam: str, at: float, footing: Any) -> None:
    piers = draft.row(spot.area, "piers")
    name = draft.fresh_name((str(one.get("id")) for one in piers), "PR1")
    plan = setting(repair, "pier", draft.units)
    place = {"under": beam, "at": tape(at, draft.units), "height": _height(repair, draft, spot)}
    stands = {"rests_on": _footing(repair, draft, spot, footing), "work": "new", "note": PLANNED}
    piers.append({"id": name, **place, **plan, **stands})


def _height(repair: Repair, draft: Draft, spot: Spot) -> Any:
    heights = [known(one, "height") for one in draft.area(spot.area).get("piers") or ()]
    return next((h for h in heights if h is not None), setting(repair, "pier_height", draft.units))


def _footing(repair: Repair, draft: Draft, spot: Spot, width: Any, old: str = "") -> str:
    """A new footing, in the place of an old one where there is one; its name."""
    footings = draft.row(spot.area, "footings")
    name = old or draft.fresh_name((str(one.get("id")) for one in footings), "F1")
    plan = setting(repair, "footing", draft.units)
    least = _inches(setting(repair, "footing_depth", draft.units), draft.units)
    frost = spot.site.place.frost_depth if spot.site.place is not None else None
    depth = max(least, frost.high if frost is not None else 0.0)
    entry = {"id": name, **copy.deepcopy(plan), "width": width, "depth": tape(depth, draft.units)}
    entry |= {"work": "new", "note": PLANNED}
    there = next((n for n, one in enumerate(footings) if one.get("id") == old), None)
    if there is None:
        footings.append(entry)
    else:
        footings[there] = entry
    return name


def _inches(value: Any, units: Any) -> float:
    found = parse(value, Dimension.LENGTH, units)
    if found is None:
        raise CannotApply("a planned length is unknown")
    return found.middle
