"""Actions on the space under the floor."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inspect_core.planning.repairs.actions.common import Step, setting, worded
from inspect_core.planning.repairs.actions.edges import opposite
from inspect_core.planning.repairs.draft import CannotApply, Draft
from inspect_core.planning.repairs.spots import Spot
from inspect_core.rules_api.repairs import Repair

MOST_VENTS = 8


def add_vents(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Free the vents that are blocked; then cut in more, by turns on walls that face one another, near the corners."""
    path = spot.part("crawl_space")
    if not path:
        raise CannotApply("it is about no crawl space")
    walls = [wall.name for wall in opposite(spot.where.walls)]
    space = spot.where.crawl_space
    blocked = any(vent.blocked for vent in (space.vents if space is not None else None) or ())
    for count in range(0 if blocked else 1, MOST_VENTS + 1):
        if count and len(walls) < 2:
            raise CannotApply("nobody says which walls face one another")

        def apply(draft: Draft, count: int = count) -> None:
            space = draft.at(spot.site, path)
            vents: list[Any] = list(space.get("vents") or ())
            space["vents"] = [{**one, "blocked": False} if one.get("blocked") is True else one for one in vents]
            for n in range(count):
                name = draft.fresh_name((str(one.get("id")) for one in space["vents"]), "V1")
                more = setting(repair, "vent", draft.units)
                space["vents"].append({"id": name, "wall": walls[n % 2], **more})
            if {one.get("wall") for one in space["vents"]} >= set(walls) and len(walls) == 2:
                space["cross_ventilation"] = True

        what = "Free the blocked vents" if blocked else ""
        more = f"cut in {count} more, by turns in the {' and '.join(walls)} wall" if count else ""
        words = " and ".join(filter(None, (what, more)))
        yield Step(repair, ("vents", *path), worded(repair, spot, what=words[:1].upper() + words[1:]), apply)
