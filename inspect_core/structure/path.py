"""The load path as a table, from tile to soil: what each step carries, what it may, and which link is the weakest."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from inspect_core.site.area import Area
from inspect_core.structure.basis import HARD, KIND, Ends, Lookup
from inspect_core.structure.below import Ground
from inspect_core.structure.floor import Floor, floor_of
from inspect_core.structure.joists import Member

UNKNOWN = (0.0, math.inf)
GUESSED = "how far off the guesses in it are"


@dataclass(frozen=True, slots=True)
class PathStep:
    """One link. ``number`` and ``limit`` are in ``unit``; ``use`` is the first over the second as (kind, hard) ends.

    ``use`` is ``None`` where this calculation has nothing to compare; an infinite hard end means that not enough is
    known or that nothing is carried, and ``why`` says which. ``weakest`` marks the link that surely fails, else the one
    with the greatest hard end. ``load_in_all`` is what arrives in all, in lb.
    """

    place: str
    member: str
    carries: str
    number: Ends | None
    limit: Ends | None
    unit: str
    use: Ends | None
    why: str = ""
    weakest: bool = False
    load_in_all: float | None = None


def load_path(area: Area, limits: Lookup) -> tuple[PathStep, ...]:
    """Every link of an area's load path, from its layers down to the soil, the weakest one marked.

    Of joists the worst one in bending, shear and live deflection; then each beam, post, pier and footing. Raises
    ``KeyError`` where the packs set no limit for a link.
    """
    floor = floor_of(area, limits)
    steps = [*_layers(floor), *_joists(floor, limits), *_girders(floor, limits), *_below(floor, limits)]
    compared = [step for step in steps if step.use is not None]
    worst = max(compared, key=_weakness, default=None)
    return tuple(replace(step, weakest=step is worst) for step in steps)


def _weakness(step: PathStep) -> tuple[bool, float, float]:
    low, high = step.use or UNKNOWN
    return low > 1, high, low


# --- links ------------------------------------------------------------------------------------------------------------


def _layers(floor: Floor) -> Iterator[PathStep]:
    layers = [load for load in floor.loads.everywhere if load.across is None and load.along is None]
    for nature, place in (("live", "people and furniture"), ("dead", "layers")):
        here = [load for load in layers if load.nature == nature]
        total = (sum(load.psf[KIND] for load in here), sum(load.psf[HARD] for load in here))
        yield PathStep(place, "", ", ".join(load.name for load in here), total, None, "psf", None)


def _joists(floor: Floor, limits: Lookup) -> Iterator[PathStep]:
    if floor.area.joists is None:
        yield PathStep("joists", "", "", None, None, "", UNKNOWN, "no joists are described")
        return
    members = floor.joists
    for what, pick in (("bending", _bending), ("shear", _shear)):
        yield from _worst("joist", what, members, pick)
    yield from _worst("joist", "live deflection", members, _sag(floor.area, limits))


def _worst(
    word: str, what: str, members: Sequence[Member], pick: Callable[[Member], PathStep | None]
) -> Iterator[PathStep]:
    """Of members alike the one that uses most, and one of which too little is known."""
    steps = [step for member in members if (step := pick(member)) is not None]
    known = [step for step in steps if step.use is not None and math.isfinite(step.use[HARD])]
    rest = [step for step in steps if step not in known]
    failing = [step for step in rest if step.use is not None and not math.isfinite(step.use[KIND])]
    shown = failing[:1] or sorted(known, key=lambda s: (s.use or UNKNOWN)[HARD])[-1:]
    shown += [step for step in rest if step not in failing][:1]
    for step in shown:
        yield replace(step, place=word, member=f"{step.member}, {what}")


def _strength(member: Member, what: str) -> PathStep | None:
    if member.outside:
        return PathStep("", member.id, "", None, None, "", None, member.outside)
    answer = member.answer
    if answer is None:
        return PathStep("", member.id, "", None, None, "", UNKNOWN, _missing(member))
    solution = answer.bending_at if what == "bending" else answer.shear_at
    use = answer.bending if what == "bending" else answer.shear
    unit = "lb·in" if what == "bending" else "lb"
    if solution is None or any(answer.broken):
        if what == "shear":
            return None  # its bending says why
        return PathStep("", member.id, "", None, None, unit, use, answer.broken[KIND] or answer.broken[HARD])
    found = solution.solved.bending if what == "bending" else solution.solved.shear
    demand, capacity = (found.demand, found.demand), (found.capacity, found.capacity)
    in_all = sum(reaction.total[HARD] for reaction in member.arriving.values())
    return PathStep("", member.id, "", demand, capacity, unit, use, _open(member), load_in_all=in_all)


def _bending(member: Member) -> PathStep | None:
    return _strength(member, "bending")


def _shear(member: Member) -> PathStep | None:
    return _strength(member, "shear")


def _open(member: Member) -> str:
    """What keeps its numbers from being bounds."""
    return ", ".join(member.unseen) or (GUESSED if member.loose else "")


def _missing(member: Member) -> str:
    return ", ".join(member.missing) or member.no_values or "not solved"


def _sag(area: Area, limits: Lookup, limit_id: str = "live-deflection") -> Callable[[Member], PathStep | None]:
    finish = finish_of(area)
    if limit_id == "live-deflection":
        keys = [finish] if finish is not None else list(limits.keys(limit_id))
        values = [limits[limit_id, key].value for key in keys]
    else:
        values = [limits[limit_id].value]
    share = (max(v.high for v in values if v is not None), min(v.low for v in values if v is not None))

    def step(member: Member) -> PathStep | None:
        found = member.answer.live_sag() if member.answer is not None else None
        if found is None or member.outside:
            return None  # its bending says why
        (low, high), sag = found
        number, allowed = (low * sag.span, high * sag.span), (share[KIND] * sag.span, share[HARD] * sag.span)
        use = (low / share[KIND], high / share[HARD])
        return PathStep("", member.id, "live load", number, allowed, "in", use, _open(member))

    return step


def finish_of(area: Area) -> str | None:
    """What the floor is finished with, as said or as the tile among its layers tells."""
    if area.finish is not None:
        return area.finish
    words = {"ceramic": "ceramic-tile", "porcelain": "porcelain-tile", "natural-stone": "natural-stone"}
    tiles = {words.get(layer.material or "") for layer in area.layers or () if layer.kind == "tile"}
    return tiles.pop() if len(tiles) == 1 else None


def _girders(floor: Floor, limits: Lookup) -> Iterator[PathStep]:
    for support, spans in floor.girders:
        if spans is None:
            yield PathStep("beam", support.id, "", None, None, "", UNKNOWN, "support.rests_on")
            continue
        member = floor.girder(support)
        for what, pick in (
            ("bending", _bending),
            ("shear", _shear),
            ("live deflection", _sag(floor.area, limits, "girder-live-deflection")),
        ):
            yield from _worst("beam", what, [member], pick)


def _below(floor: Floor, limits: Lookup) -> Iterator[PathStep]:
    ground, area = Ground(floor), floor.area
    for post in area.posts or ():
        found = ground.post(post)
        why = found.outside or ", ".join(found.missing) or found.no_values or ", ".join(found.unseen)
        why = why or (GUESSED if found.loose else "")
        use = None if found.outside else found.use or UNKNOWN
        load = found.arriving.total if not found.arriving.missing else None
        yield PathStep("post", post.id, "", load, found.capacity, "lb", use, why)
    for pier in area.piers or ():
        arriving = ground.on(pier)
        why = ", ".join(arriving.missing) or "its height and width by rule"
        yield PathStep("pier", pier.id, "", arriving.total if not arriving.missing else None, None, "lb", None, why)
    soil = area.soil
    stated = soil.bearing if soil is not None else None
    bears = (
        (stated.low, stated.high) if stated is not None else floor.basis.soil(soil.kind if soil is not None else None)
    )
    if not area.footings and (area.piers or area.posts):
        yield PathStep("soil", "", "", None, None, "psf", UNKNOWN, "no footings are described")
    for footing in area.footings or ():
        pressure = ground.footing(footing)
        why = ", ".join(pressure.arriving.missing) or ", ".join(pressure.arriving.unseen)
        guessed = pressure.arriving.loose or (stated is not None and stated.estimate)
        why = why or (GUESSED if guessed else "")
        number = (pressure.psf.low, pressure.psf.high) if pressure.psf is not None else None
        if number is None or pressure.arriving.missing or bears is None:
            why = why if bears is not None else "this soil has no presumed bearing"
            yield PathStep("soil", f"under footing {footing.id}", "", None, None, "psf", UNKNOWN, why)
            continue
        use = (number[KIND] / bears[1], number[HARD] / bears[0])
        in_all = pressure.arriving.total[HARD]
        yield PathStep("soil", f"under footing {footing.id}", "", number, bears, "psf", use, why, load_in_all=in_all)
