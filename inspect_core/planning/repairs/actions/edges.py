"""Actions on the floor's edges and on blocking."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inspect_core.planning.repairs.actions.common import PLANNED, Step, setting, worded
from inspect_core.planning.repairs.draft import CannotApply, Draft, tape
from inspect_core.planning.repairs.spots import Spot
from inspect_core.quantities import Dimension, parse, parse_size
from inspect_core.rules_api.repairs import Repair
from inspect_core.site.geometry import Wall, extent_along


def carry_edge(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A landing along a wall: a cleat on the joist where the wall runs with the joists, else a block in every bay."""
    name = _wall_name(spot)
    wall = next((w for w in spot.where.walls if w.name == name), None)
    if wall is None or wall.parallel is None:
        raise CannotApply("nobody says how this wall runs")
    what = "a cleat along the joist" if wall.parallel else "blocking in every bay"

    def apply(draft: Draft) -> None:
        edges = draft.row(spot.area, "edges")
        entry = next((one for one in edges if one.get("wall") == name), None)
        if entry is None:
            entry = {"wall": name}
            edges.append(entry)
        width = _thickness(repair, draft)
        entry |= {"landing": "cleat" if wall.parallel else "blocking", "width": tape(width, draft.units)}
        entry |= {"fasteners": setting(repair, "edge_fasteners", draft.units), "work": "new", "note": PLANNED}
        if not wall.parallel:
            at = wall.at.middle + wall.inward * width / 2
            _row(repair, draft, spot, at, "wall-edge")

    yield Step(repair, ("edge", spot.area, name), worded(repair, spot, wall=name, what=what), apply)


def _wall_name(spot: Spot) -> str:
    name = spot.finding.check.subject.name
    _, found, after = name.partition("floor edge at ")
    if not found:
        raise CannotApply("it is about no edge")
    return after.partition(" wall")[0]


def block_edges(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Blocking in every bay under the long edges of the panels, which stand ``sheet_width`` apart."""
    path = spot.part("layer")
    if not path:
        raise CannotApply("it is about no layer")
    reach = [r for j in spot.where.joists or () if (r := extent_along(spot.where, j)) is not None]
    if not reach:
        raise CannotApply("nobody says how long the joists are")
    low, high = min(r[0] for r in reach), max(r[1] for r in reach)

    def apply(draft: Draft) -> None:
        layer = draft.at(spot.site, path)
        if layer.get("kind") != "panel":
            raise CannotApply("it is no panel")
        layer["joints"] = "blocked"
        step = _length(setting(repair, "sheet_width", draft.units), draft)
        if step <= 0:
            raise CannotApply("the planned sheet has no width")
        at = max(low, 0.0) + step
        while at < high - step / 4:
            _row(repair, draft, spot, at, "panel-edge")
            at += step

    yield Step(repair, ("blocking", *path), worded(repair, spot), apply)


def fit_blocking(repair: Repair, spot: Spot) -> Iterator[Step]:
    """A row of blocks in every bay at mid-span, or under the fixture (``at: fixture``); ``purpose`` and ``size:
    like-the-joists`` may be set."""
    if spot.area < 0:
        raise CannotApply("it is about no area")
    purpose = repair.with_values.get("purpose", "bridging")
    if repair.with_values.get("at") == "fixture":
        fixture = next((f for f in spot.where.fixtures or () if f.path == spot.part("fixture")), None)
        if fixture is None or fixture.at is None or fixture.at[1] is None:
            raise CannotApply("nobody says where the fixture stands")
        place = fixture.at[1].middle
        yield Step(
            repair,
            ("blocking", *fixture.path),
            worded(repair, spot),
            lambda draft: _row(repair, draft, spot, place, purpose),
        )
        return
    reach = [r for j in spot.where.joists or () if (r := extent_along(spot.where, j)) is not None]
    if not reach:
        raise CannotApply("nobody says how long the joists are")
    middle = (min(r[0] for r in reach) + max(r[1] for r in reach)) / 2
    yield Step(
        repair,
        ("blocking", spot.area, purpose),
        worded(repair, spot),
        lambda draft: _row(repair, draft, spot, middle, purpose),
    )


def _row(repair: Repair, draft: Draft, spot: Spot, along: float, purpose: str) -> None:
    blocks = draft.row(spot.area, "blocking")
    name = draft.fresh_name((str(one.get("id")) for one in blocks), "K1")
    size, more = setting(repair, "block_size", draft.units), {}
    if repair.with_values.get("size") == "like-the-joists":
        group = (draft.area(spot.area).get("joists") or [{}])[0].get("each") or {}
        if "size" not in group:
            raise CannotApply("the size of the joists is not known")
        size = group["size"]
        more = {"full_depth": True} | ({"sizes": group["sizes"]} if "sizes" in group else {})
    elif draft.units == "in":
        more = {"sizes": "nominal"}
    blocks.append(
        {"id": name, "kind": "solid", "row": "every-bay", "along": tape(along, draft.units), "size": size, **more}
        | {"grade": setting(repair, "block_grade", draft.units)}
        | {"purpose": purpose, "fasteners": setting(repair, "block_fasteners", draft.units)}
        | {"work": "new", "note": PLANNED}
    )


def _thickness(repair: Repair, draft: Draft) -> float:
    """Of the blocks, as they are dressed."""
    size = parse_size(str(setting(repair, "block_size", draft.units)))
    return 1.5 if draft.units == "in" else size.thickness.middle


def _length(value: Any, draft: Draft) -> float:
    found = parse(value, Dimension.LENGTH, draft.units)
    if found is None:
        raise CannotApply("a planned length is unknown")
    return found.middle


def lower_drain(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Run a drain under the joists that it crosses: ``clear`` are the ways below their bottoms that are tried."""
    path = spot.part("drain")
    if not path:
        raise CannotApply("it is about no drain")
    depths = [j.section.depth.high for j in spot.where.joists or () if j.section.depth is not None]
    if not depths:
        raise CannotApply("the depth of the joists is not known")
    for clear in setting(repair, "clear", spot.site.units):

        def apply(draft: Draft, clear: Any = clear) -> None:
            entry = draft.at(spot.site, path)
            top = tape(max(depths) + _length(clear, draft), draft.units)
            entry |= {"through": "under-joists", "start_below_joist_top": top, "work": "new"}
            entry.pop("end_below_joist_top", None)

        yield Step(repair, ("drain", *path), worded(repair, spot), apply)


def opposite(walls: tuple[Wall, ...]) -> list[Wall]:
    """A wall, and one that looks at it; fewer where there is none."""
    for first in walls:
        for second in walls:
            if first.parallel == second.parallel is not None and first.inward == -second.inward:
                return [first, second]
    return list(walls[:1])
