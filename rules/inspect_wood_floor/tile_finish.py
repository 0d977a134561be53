"""The tiled surface: flatness, soft joints, wet places, heights against the next floor and the flange, weight."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.engineering.weights import density_pcf, weight_psf
from inspect_core.quantities import (
    Dimension,
    Quantity,
    at_least,
    at_most,
    exactly,
    hull,
    maximum,
    minimum,
)
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.buildup import main_stack, thickness
from inspect_core.site.geometry import extent_along
from inspect_core.site.model import Fixture, Layer, Pair, Threshold
from inspect_wood_floor._layering import (
    PLACES,
    floor_layers,
    is_complete,
    is_wet,
    material_of,
    no_tile,
    of_kind,
    tiled,
    wetness,
)
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._vapour import stacks
from inspect_wood_floor._verdicts import Verdict, all_of

SIZES = ("small", "large")

# --- flatness and soft joints ---------------------------------------------------------------------------------------


def tile_class(area: Area, limits: Limits) -> str | None:
    """``large`` when any tile has an edge as long as the pack's large tile, ``small`` when none has, else ``None``."""
    edge = limits["tile-large-edge"].value
    assert edge is not None
    found = [_is_large(tile, edge) for tile in of_kind(area, "tile")]
    return "large" if True in found else None if None in found or not found else "small"


def _is_large(tile: Layer, edge: Quantity) -> bool | None:
    return None if tile.tile_size is None else at_least(maximum(*tile.tile_size), edge)


def _longest_side(area: Area) -> Quantity | None:
    """The longer of the room's two extents, in inches."""
    corners = area.room_corners
    if not corners:
        return None
    across, along = [c[0] for c in corners], [c[1] for c in corners]
    return maximum(maximum(*across) - minimum(*across), maximum(*along) - minimum(*along))


@rule(
    "flatness",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.flatness",
    quantity="gap under the straightedge",
    limits=["flatness", "flatness-straightedge", "flatness-room-allowance", "tile-large-edge"],
    measures=["flatness.deviation", "flatness.over"],
    provisions=["flatness-small", "flatness-large"],
    cautions=["tile-dust"],
    remedy="Fill the hollows with a leveller made for wood floors, or plane and shim before the last panel goes "
    "down. Don't grind old layers before they are tested.",
)
def flatness(area: Area, limits: Limits) -> Iterator[Check]:
    """The floor is flat enough under a long straightedge for the size of tile.

    A large tile bridges a hollow that a small one follows: it rocks, breaks, or leaves a lip to stub a toe on.
    """
    if tiled(area) is False:
        yield from no_tile(area)
        return
    subject, known = Named("floor surface", area.path), area.flatness
    deviation, over = (known.deviation, known.over) if known else (None, None)
    limit = limits.between("flatness", tile_class(area, limits), SIZES)
    asks = ("flatness.deviation", "flatness.over", "layer.tile_size")
    answer = check(subject, measured=deviation, at_most=limit, asks=asks, path=known.path if known else None)
    yield _by_straightedge(answer, over, _wanted_edge(area, limits), limits["flatness-straightedge"].value)


def _wanted_edge(area: Area, limits: Limits) -> Quantity | None:
    """Length of straightedge that tells: the standard's, or the longest that a smaller room takes."""
    edge, allowance = limits["flatness-straightedge"].value, limits["flatness-room-allowance"].value
    side = _longest_side(area)
    return edge if side is None or edge is None or allowance is None else minimum(edge, side - allowance)


def _by_straightedge(answer: Check, over: Quantity | None, least: Quantity | None, most: Quantity | None) -> Check:
    """A shorter straightedge can only show what is too much, a longer one only what is little enough."""
    if answer.outcome == MEETS and (over is None or least is None or not at_least(over, least)):
        return replace(
            answer, outcome=NOT_MEASURED, found="the straightedge is too short to tell, or its length unknown"
        )
    if answer.outcome == FALLS_SHORT and (over is None or most is None or not at_most(over, most)):
        return replace(answer, outcome=NOT_MEASURED, found="the straightedge is longer than the limit's, or unknown")
    return answer


@rule(
    "flatness-short",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.flatness",
    quantity="gap under the short straightedge",
    limits=["flatness-short", "flatness-short-small-edge", "flatness-short-large-edge", "tile-large-edge"],
    measures=["flatness.short_deviation", "flatness.short_over"],
    provisions=["flatness-large"],
    cautions=["tile-dust"],
    remedy="Take down ridges at panel joints and fill dips; a patch made for wood floors feathers out thin.",
)
def flatness_short(area: Area, limits: Limits) -> Iterator[Check]:
    """The floor is flat enough under a short straightedge.

    A ridge at a panel joint is short and steep: it passes the long straightedge and still lifts a tile's edge.
    """
    if tiled(area) is False:
        yield from no_tile(area)
        return
    subject, known = Named("floor surface", area.path), area.flatness
    deviation, over = (known.short_deviation, known.short_over) if known else (None, None)
    size = tile_class(area, limits)
    # Small tile is held to the same gap over half the length, from memory; the large tile's is the read one.
    edge = limits[f"flatness-short-{size or 'large'}-edge"]
    limit = limits["flatness-short"] if size != "small" else replace(limits["flatness-short"], status=edge.status)
    asks = ("flatness.short_deviation", "flatness.short_over", "layer.tile_size")
    answer = check(subject, measured=deviation, at_most=limit, asks=asks, path=known.path if known else None)
    answer = _by_straightedge(answer, over, edge.value, edge.value)
    if size is None and answer.outcome == FALLS_SHORT:
        answer = replace(
            answer, outcome=NOT_MEASURED, found="the size of the tile is unknown", asks=("layer.tile_size",)
        )
    yield answer


@rule(
    "movement-joints",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.movement",
    quantity="distance between soft joints",
    limits=["movement-joints"],
    measures=["layer.movement_joints", "area.wet_areas"],
    provisions=["movement-interior", "movement-wet-sun"],
    remedy="Cut out grout along a line of joints and fill it with a flexible sealant of the same colour.",
)
def movement_joints(area: Area, limits: Limits) -> Iterator[Check]:
    """Soft joints divide the tile into fields small enough for it to grow and shrink.

    Tile with nowhere to go lifts in the middle of the room, all at once, years later.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        place = wetness(area, tile)
        asks = ("layer.movement_joints",) if place else ("layer.movement_joints", "area.wet_areas")
        limit = limits.between("movement-joints", place, PLACES)
        yield check(named(tile), measured=tile.movement_joints, at_most=limit, asks=asks)


@rule(
    "tile-soft-edge",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.movement",
    quantity="joint at the walls",
    measures=["layer.perimeter_joint"],
    provisions=["movement-perimeter", "wall-floor-plane-joint"],
    remedy="Rake the grout out of the joint at walls, tub and posts, and fill it with flexible sealant.",
)
def tile_soft_edge(area: Area, limits: Limits) -> Iterator[Check]:
    """A soft joint, not grout, runs along walls, tubs, posts and inside corners.

    Where two planes meet both move; hard grout there cracks first, and lets water in.
    """
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        holds = _is_there(tile.perimeter_joint)
        found = "no soft joint" if holds is False else ""
        yield fact(named(tile), holds, expected="a soft joint runs along the walls", found=found)


def _is_there(width: Quantity | None) -> bool | None:
    """Whether a joint has any width; a guess proves nothing."""
    if width is None or (width.estimate and width.high > 0):
        return None
    return True if width.low > 0 else None if width.high > 0 else False


@rule(
    "perimeter-joint",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.movement",
    quantity="joint at the walls",
    limits=["perimeter-joint", "perimeter-small-room"],
    measures=["layer.perimeter_joint", "area.outline"],
    provisions=["movement-perimeter"],
    remedy="Keep tile and mortar off the wall by this much; the baseboard covers it.",
)
def perimeter_joint(area: Area, limits: Limits) -> Iterator[Check]:
    """The soft joint at the walls is wide enough for the size of the room."""
    yield from no_tile(area)
    side, small = _longest_side(area), limits["perimeter-small-room"].value
    is_small = None if side is None or small is None else at_most(side, small)
    size = None if is_small is None else "small" if is_small else "large"
    for tile in of_kind(area, "tile"):
        limit = limits.between("perimeter-joint", size, SIZES)
        asks = ("layer.perimeter_joint",) if size else ("layer.perimeter_joint", "area.outline")
        yield check(named(tile), measured=tile.perimeter_joint, at_least=limit, asks=asks)


# --- wet places -----------------------------------------------------------------------------------------------------


@rule(
    "wet-wall-height",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.wet-walls",
    quantity="height of nonabsorbent wall",
    limits=["wet-wall-height"],
    measures=["wet_area.wall_height"],
    provisions=["tub-shower-nonabsorbent"],
    remedy="Carry the tile or another nonabsorbent surface up the wall, over backer made for wet walls.",
)
def wet_wall_height(area: Area, limits: Limits) -> Iterator[Check]:
    """Walls of showers and of tubs with a shower are nonabsorbent high enough over the floor."""
    yield from listed_parts(area, "wet_areas", "wet areas", because="not said whether there is a shower or tub")
    for wet in area.wet_areas or ():
        if wet.kind == "laundry-pan":
            yield does_not_apply(named(wet), "a laundry pan has no shower over it")
            continue
        yield check(named(wet), measured=wet.wall_height, at_least=limits["wet-wall-height"])


@rule(
    "shower-floor-tile",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.setting",
    quantity="tile in the shower",
    limits=["shower-tile-side"],
    measures=["layer.tile_size"],
    provisions=["dcof-shower-practice"],
    remedy="Use a mosaic on the shower floor: it follows the slope, and its joints keep feet from slipping.",
)
def shower_floor_tile(area: Area, limits: Limits) -> Iterator[Check]:
    """Tile on a shower floor is small, for the slope and for grip."""
    yield from no_tile(area)
    for tile in of_kind(area, "tile"):
        wet = is_wet(area, tile)
        if wet is False:
            yield does_not_apply(named(tile), "it lies in no shower")
        else:
            side = minimum(*tile.tile_size) if tile.tile_size else None
            answer = check(named(tile), measured=side, at_most=limits["shower-tile-side"])
            if tile.region is None and answer.outcome == FALLS_SHORT:
                because = "whether the shower's floor is this tile is not said: list the shower's tile with its region"
                answer = not_measured(named(tile), because=because, asks=("layer.region", "area.wet_areas"))
            elif wet is None and answer.outcome == FALLS_SHORT:
                answer = replace(answer, outcome=NOT_MEASURED, found="not said whether a shower is there")
            yield answer


# --- heights --------------------------------------------------------------------------------------------------------


def built_height(area: Area, across: Quantity | None = None, along: Quantity | None = None) -> Quantity | None:
    """Finished floor over the joist tops at a place, in inches; ``None`` until all layers have a thickness.

    Where the place isn't sure it is whatever the layers come to at any place that it may be.
    """
    found = _stacks_there(area, across, along)
    heights = [thickness(layers) if is_complete(layers) else None for layers in found]
    known = [height for height in heights if height is not None]
    return hull(*known) if known and len(known) == len(heights) else None


def _stacks_there(area: Area, across: Quantity | None, along: Quantity | None) -> tuple[tuple[Layer, ...], ...]:
    """The layers over one another that may be meant: those of every place where nobody gave it, else the layers that
    are there for sure and those that may be."""
    if across is None or along is None:
        return stacks(area)
    least, most = [], []
    for layer in area.layers or ():
        region = layer.region
        there = True if region is None else all_of((_within(region.across, across), _within(region.along, along)))
        least += [layer] if there else []
        most += [layer] if there is not False else []
    return tuple(least), tuple(most)


def _within(edges: Pair | None, at: Quantity) -> Verdict:
    """Whether a place on a tape lies between two edges."""
    first, last = edges if edges is not None else (None, None)
    if first is None or last is None:
        return None
    return all_of((at_most(minimum(first, last), at), at_most(at, maximum(first, last))))


def _step_at(area: Area, threshold: Threshold) -> Quantity | None:
    """How far the floor stands over or under its neighbour at a threshold."""
    across, along = threshold.at if threshold.at is not None else (None, None)
    built = built_height(area, across, along)
    if built is None or threshold.next_floor_height is None:
        return None
    return abs(built - threshold.next_floor_height)


def _thresholds(area: Area) -> Iterator[Check]:
    """The one answer where no threshold is listed."""
    because = "not said where this floor meets others"
    yield from listed_parts(area, "thresholds", "thresholds", because=because, none="it meets no other floor")


def _height_asks(area: Area) -> tuple[str, ...]:
    parts = any(layer.region is not None for layer in area.layers or ())
    return ("threshold.next_floor_height", "layer.thickness", *(("threshold.at",) if parts else ()))


@rule(
    "threshold-step",
    hold_point="tile",
    severity=ADVISORY,
    reference="tile.threshold",
    quantity="step",
    limits=["threshold-step"],
    measures=["threshold.next_floor_height", "threshold.transition", "layer.thickness"],
    provisions=["common-practice"],
    remedy="Choose thinner layers, build up the next floor's edge, or cover the step with a reducer, saddle or ramp. "
    "Don't thin the wood under the tile to get there.",
)
def threshold_step(area: Area, limits: Limits) -> Iterator[Check]:
    """Where the floor meets the next one, the step is no higher than its transition covers.

    Heights are decided when the layers are chosen; found out at the doorway, they cost the door or a stubbed toe.
    """
    yield from _thresholds(area)
    kinds = tuple(limits.keys("threshold-step"))
    for threshold in area.thresholds or ():
        limit = limits.between("threshold-step", threshold.transition, kinds)
        asks = (*_height_asks(area), *(() if threshold.transition else ("threshold.transition",)))
        yield check(named(threshold), measured=_step_at(area, threshold), at_most=limit, asks=asks)


@rule(
    "threshold-accessible",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.accessible",
    quantity="step",
    limits=["threshold-accessible"],
    measures=["threshold.accessible", "threshold.next_floor_height", "layer.thickness"],
    provisions=["ada-threshold"],
    remedy="Bevel the step, build up the other floor, or ramp it; a wheel stops at more than this.",
)
def threshold_accessible(area: Area, limits: Limits) -> Iterator[Check]:
    """On an accessible route the step at a threshold is low enough for a wheel."""
    yield from _thresholds(area)
    for threshold in area.thresholds or ():
        if threshold.accessible is False:
            yield does_not_apply(named(threshold), "no accessible route passes here")
            continue
        if threshold.transition == "ramp":
            yield does_not_apply(named(threshold), "a ramp takes up the step")
            continue
        step, asks = _step_at(area, threshold), _height_asks(area)
        answer = check(named(threshold), measured=step, at_most=limits["threshold-accessible"], asks=asks)
        if threshold.accessible is None and answer.outcome == FALLS_SHORT:
            doubt = "not said whether an accessible route passes"
            answer = replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("threshold.accessible",))
        yield answer


@rule(
    "flange-height",
    hold_point="tile",
    severity=CORRECTION,
    reference="tile.flange",
    quantity="flange over the finished floor",
    limits=["flange-least", "flange-most", "flange-rim"],
    measures=["flange.height_over_finish", "flange.height_over_joists", "layer.thickness"],
    provisions=["wc-flange-height"],
    cautions=["sewer-opening"],
    remedy="Set the flange on the finished floor: raise it with listed extension rings, or have the riser cut or "
    "lengthened by a licensed plumber. Stacked wax rings are no repair.",
)
def flange_height(area: Area, limits: Limits) -> Iterator[Check]:
    """A toilet's flange sits on the finished floor.

    Under the floor the seal leaks into the wood unseen; too high, the bowl rocks until it does.
    """
    everywhere = Named("toilet flange", area.path)
    toilets = [f for f in area.fixtures or () if f.kind == "toilet" or (f.kind is None and f.flange is not None)]
    if area.fixtures is None:
        yield not_measured(everywhere, because="not said what stands on this floor", asks=("area.fixtures",))
    elif not toilets:
        unsure = any(fixture.kind is None for fixture in area.fixtures)
        if unsure:
            yield not_measured(everywhere, because="a fixture's kind is unknown", asks=("fixture.kind",))
        else:
            yield does_not_apply(everywhere, "no toilet here")
    for toilet in toilets:
        yield _flange_check(area, toilet, limits)


def _flange_check(area: Area, toilet: Fixture, limits: Limits) -> Check:
    subject, flange, rim = named(toilet, "flange"), toilet.flange, limits["flange-rim"].value
    measured = flange.height_over_finish if flange else None
    found = ""
    assuming: tuple[str, ...] = ()
    if flange is not None and measured is None and flange.height_over_joists is not None and rim is not None:
        across, along = flange.at if flange.at is not None else (None, None)
        built = built_height(area, across, along)
        if built is not None:
            measured = flange.height_over_joists - rim - built
            found = "from its height over the joists and the layers"
            assuming = ("the flange's rim taken at its usual thickness",)
    low, high = limits["flange-least"], limits["flange-most"]
    path = flange.path if flange else None
    return check(subject, measured=measured, at_least=low, at_most=high, found=found, assuming=assuming, path=path)


# --- weight ---------------------------------------------------------------------------------------------------------

_WEIGHT_KEYS = {  # layer kind and material to the name in the table of weights
    ("tile", "ceramic"): "tile-ceramic",
    ("tile", "porcelain"): "tile-porcelain",
    ("tile", "natural-stone"): "tile-stone",
    ("thin-set", ""): "thin-set-and-grout",
    ("mortar-bed", ""): "mortar-bed",
    ("backer", "cement-board"): "backer-cement",
    ("backer", "fibre-cement"): "backer-fibre-cement",
    ("panel", "plywood"): "plywood",
    ("panel", "osb"): "osb",
    ("boards", ""): "softwood-boards",
    ("felt", ""): "felt-15",
}


def layer_weight(layer: Layer, limits: Limits) -> Quantity | None:
    """Weight of a layer in psf: as stated, else from the table of weights; ``None`` when neither tells."""
    if layer.weight is not None:
        return layer.weight
    kind = layer.kind or ""
    key = _WEIGHT_KEYS.get((kind, "")) or _WEIGHT_KEYS.get((kind, material_of(layer, limits) or "?"))
    if key is None:
        return None
    ends = (None, None) if layer.thickness is None else (layer.thickness.low, layer.thickness.high)
    try:
        low, high = (weight_psf(key, end) for end in ends)
    except LookupError:
        return None
    return Quantity(min(low.low, high.low), max(low.high, high.high), Dimension.LOAD)


def joists_weight(area: Area) -> Quantity | None:
    """Weight of the joists spread over the room in psf; ``None`` until all their sizes and the room are known."""
    if not area.joists or area.floor_area is None or not area.floor_area.low:
        return None
    density, low, high = density_pcf("softwood"), 0.0, 0.0
    for joist in area.joists:
        section, extent = joist.section, extent_along(area, joist)
        if section.thickness is None or section.depth is None or extent is None:
            return None
        length = (extent[1] - extent[0]) * section.plies
        low += section.thickness.low * section.depth.low * length
        high += section.thickness.high * section.depth.high * length
    per_foot = 144.0 / 1728.0  # cubic inches on square inches to cubic feet on a square foot
    return Quantity(
        low * density.low * per_foot / area.floor_area.high, high * density.high * per_foot / area.floor_area.low,
        Dimension.LOAD,
    )  # fmt: skip


@rule(
    "tile-dead-load",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="tile.weight",
    quantity="weight of the floor",
    limits=["dead-load-light", "dead-load-heavy", "layer-materials"],
    measures=["layer.thickness", "layer.material", "layer.weight"],
    provisions=["common-practice"],
    cautions=["temporary-shoring"],
    remedy="Have a licensed engineer check joists, beams and piers for this weight, or choose lighter layers.",
)
def tile_dead_load(area: Area, limits: Limits) -> Iterator[Check]:
    """Layers and joists together weigh no more than the heavier column of the joist span tables holds.

    A mortar bed or stone can weigh more than the table took for granted; the joists then sag under the floor itself.
    A floor over the lighter column's weight reads its spans from the heavier one.
    """
    yield from no_tile(area)
    if not of_kind(area, "tile"):
        return
    subject = floor_layers(area)
    layers = main_stack(area) or ()
    if not is_complete(layers):
        because = "layers are listed by parts of the floor: weigh each part"
        yield not_measured(subject, because=because, asks=("area.layers",))
        return
    weights = [layer_weight(layer, limits) for layer in layers]
    unknown = [named(layer).name for layer, weight in zip(layers, weights, strict=True) if weight is None]
    joists = joists_weight(area)
    known = [weight for weight in (*weights, joists) if weight is not None]
    total = exactly(0.0, Dimension.LOAD)
    for weight in known:
        total = total + weight
    light = limits["dead-load-light"].value
    lighter = light is not None and at_most(total, light)
    column = "" if lighter else "joist spans are those of the 20 psf column, not of the 10 psf one"
    assuming = ("weights are usual ones, partly from memory",)
    answer = check(subject, measured=total, at_most=limits["dead-load-heavy"], assuming=assuming, found=column)
    if answer.outcome != FALLS_SHORT and (unknown or joists is None):
        missing = ", ".join([*unknown, *(() if joists is not None else ("the joists",))])
        answer = replace(answer, outcome=NOT_MEASURED, found=f"without {missing}")
    yield answer
