"""What the rules on layers share: which layers lie over one another, whether a floor is tiled, how wide bays are."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from inspect_core.quantities import Quantity, at_least, at_most, hull, maximum, minimum
from inspect_core.rules_api import (
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Limits,
    Named,
    does_not_apply,
    fact,
    named,
    not_measured,
)
from inspect_core.site import Area
from inspect_core.site.buildup import STRUCTURAL, structural
from inspect_core.site.geometry import Bay
from inspect_core.site.model import Layer, Pair, Region
from inspect_wood_floor._labels import names_one

TILE_FINISHES = ("ceramic-tile", "porcelain-tile", "natural-stone")
WET_KINDS = ("shower", "wet-room")
PLACES = ("dry", "wet")
FINISH_KINDS = ("tile", "resilient", "wood-floor")
LAYERS = ("area.layers",)


# --- which layers there are -----------------------------------------------------------------------------------------


def floor_layers(area: Area) -> Named:
    """The build-up as a subject, where no single layer can be named."""
    return Named("floor layers", area.path)


def of_kind(area: Area, *kinds: str) -> tuple[Layer, ...]:
    """Layers of these kinds, from the joists up."""
    return tuple(layer for layer in area.layers or () if layer.kind in kinds)


def absent(area: Area, what: str, *kinds: str) -> Iterator[Check]:
    """The answers where no layer of these kinds is listed: not looked at, not told apart, or not there.

    Where some are listed, a layer of unknown kind beside them may be one more.
    """
    if of_kind(area, *kinds):
        for layer in area.layers or ():
            if layer.kind is None:
                because = f"its kind is unknown: it may be {what}"
                yield not_measured(named(layer), because=because, asks=("layer.kind",))
        return
    subject = floor_layers(area)
    if area.layers is None:
        yield not_measured(subject, because="no layers listed: what lies on the joists?", asks=LAYERS)
    elif any(layer.kind is None for layer in area.layers):
        yield not_measured(subject, because=f"one layer's kind is unknown: it may be {what}", asks=("layer.kind",))
    else:
        yield does_not_apply(subject, f"no {what} in the layers")


def no_tile(area: Area) -> Iterator[Check]:
    """The one answer where no tile is listed; a floor that is to be tiled must list it first."""
    if of_kind(area, "tile"):
        return
    tile = tiled(area)
    if tile is False:
        yield does_not_apply(floor_layers(area), f"finish is {_finish_word(area)}, not tile")
    elif tile:
        because = "the floor is to be tiled: list the layers planned, up to the tile"
        yield not_measured(floor_layers(area), because=because, asks=LAYERS)
    else:
        because = "the floor's finish is unknown, and no layers up to it are listed"
        yield not_measured(floor_layers(area), because=because, asks=("area.finish", "area.layers"))


def tiled(area: Area) -> bool | None:
    """Whether the floor is or will be tiled; ``None`` when neither the finish nor a layer tells."""
    if of_kind(area, "tile") or area.finish in TILE_FINISHES:
        return True
    if area.finish is not None:
        return False
    unknown = any(layer.kind is None for layer in area.layers or ())  # it may be tile
    return False if of_kind(area, *FINISH_KINDS) and not unknown else None


def finish_class(area: Area) -> str | None:
    """``tile`` or ``other``, as the tables by finish call it; ``None`` when unknown."""
    tile = tiled(area)
    return None if tile is None else "tile" if tile else "other"


def _finish_word(area: Area) -> str:
    top = next((layer.kind for layer in reversed(of_kind(area, *FINISH_KINDS))), None)
    return area.finish or top or "something else"


# --- how layers lie over one another --------------------------------------------------------------------------------


def overlap(one: Region | None, other: Region | None) -> bool:
    """Whether two parts of a floor may share a place: no region is the whole floor, an unknown edge may be anywhere."""
    if one is None or other is None:
        return True
    return _spans_overlap(one.across, other.across) and _spans_overlap(one.along, other.along)


def _spans_overlap(one: Pair | None, other: Pair | None) -> bool:
    if one is None or other is None or None in one or None in other:
        return True
    (a, b), (c, d) = one, other
    assert a is not None and b is not None and c is not None and d is not None
    low, high = max(min(a.low, b.low), min(c.low, d.low)), min(max(a.high, b.high), max(c.high, d.high))
    return low < high


def covers(one: Region | None, other: Region | None) -> bool:
    """Whether one part of a floor surely takes in another: no region is the whole floor, a guess proves nothing."""
    if one is None or other is None:
        return one is None
    return _span_covers(one.across, other.across) and _span_covers(one.along, other.along)


def _span_covers(one: Pair | None, other: Pair | None) -> bool:
    if one is None or other is None or None in one or None in other:
        return False
    (a, b), (c, d) = one, other
    assert a is not None and b is not None and c is not None and d is not None
    return bool(at_most(minimum(a, b), minimum(c, d)) and at_most(maximum(c, d), maximum(a, b)))


def below(area: Area, layer: Layer) -> tuple[Layer, ...]:
    """Layers under this one, from the joists up. A layer of the whole floor ignores what lies under a part of it only,
    unless the structural layers themselves are told by parts."""
    return _below(area.layers or (), layer)


@lru_cache(maxsize=512)  # many rules ask it of the same few layers
def _below(layers: tuple[Layer, ...], layer: Layer) -> tuple[Layer, ...]:
    before = _split(layers, layer)[0]
    if layer.region is not None:
        return tuple(lower for lower in before if overlap(lower.region, layer.region))
    whole = tuple(lower for lower in before if lower.region is None)
    return whole if structural(whole) else before


def above(area: Area, layer: Layer) -> tuple[Layer, ...]:
    """Layers over any part of this one, from below up."""
    return tuple(upper for upper in _split(area.layers or (), layer)[1] if overlap(upper.region, layer.region))


def _split(layers: tuple[Layer, ...], layer: Layer) -> tuple[tuple[Layer, ...], tuple[Layer, ...]]:
    i = next(i for i, other in enumerate(layers) if other is layer)
    return layers[:i], layers[i + 1 :]


def over_structure(layers: tuple[Layer, ...]) -> tuple[Layer, ...]:
    """What lies on the topmost panel or board layer."""
    top = max((i for i, layer in enumerate(layers) if layer.kind in STRUCTURAL), default=-1)
    return layers[top + 1 :]


def base_layers(area: Area) -> tuple[Layer, ...]:
    """Layers that carry from joist to joist: the lowest panel or boards at each place."""
    found: list[Layer] = []
    for layer in structural(area.layers or ()):
        if not any(overlap(layer.region, lower.region) for lower in found):
            found.append(layer)
        if layer.region is None:
            break
    return tuple(found)


def is_complete(layers: tuple[Layer, ...]) -> bool:
    """Whether the list goes up to a finish."""
    return bool(layers) and layers[-1].kind in FINISH_KINDS


# --- materials ------------------------------------------------------------------------------------------------------


def material_of(layer: Layer, limits: Limits) -> str | None:
    """The layer's material as the pack's data calls it, ``other`` for an unknown word, ``None`` when not said."""
    if layer.material is None:
        return None
    words = tuple((key, limits["layer-materials", key].words) for key in limits.keys("layer-materials"))
    return _material(layer.material, words)


@lru_cache(maxsize=512)  # many rules ask it of the same few layers
def _material(said: str, words: tuple[tuple[str, tuple[str, ...]], ...]) -> str:
    text = " " + " ".join(said.lower().replace("-", " ").replace("_", " ").split()) + " "
    return next((key for key, of_key in words if any(f" {word} " in text for word in of_key)), "other")


def stamped_rating(stamp: str, known: Iterable[str]) -> str | None:
    """The span rating in what was copied from a panel's stamp (``24 o.c.``, ``RATED 48/24``); ``None`` when unreadable.

    Two ratings in one text, and a number that is no rating (``23/32`` is a thickness), are unreadable too.
    """
    text = re.sub(r"(?i)\s*(in\.?|inch(es)?|\")?\s*(o\.?\s*/?\s*c\.?|on cent(er|re)s?)", "oc ", stamp)
    words = set(re.findall(r"\d+oc|\d+/\d+", re.sub(r"\s*/\s*", "/", text)))
    found = words.intersection(known)
    return found.pop() if len(found) == 1 else None


# --- standards and places ---------------------------------------------------------------------------------------------


def names_standard(layer: Layer, limit: Limit, what: str) -> Check:
    """Whether the layer's label names one of the limit's standards."""
    holds = None if layer.standard is None else names_one(layer.standard, limit.words)
    expected = f"the {what} is to {' or '.join(limit.words)}"
    found = f"label: {layer.standard}" if layer.standard else ""
    return fact(named(layer), holds, expected=expected, found=found, limit=limit, asks=("layer.standard",))


def is_wet(area: Area, tile: Layer) -> bool | None:
    """Whether a layer lies where water stands or runs; ``None`` when the wet areas aren't known.

    A layer of the whole floor leaves the shower to one of its kind that is listed for that place.
    """
    if area.wet_areas is None:
        return None
    places = [wet for wet in area.wet_areas if wet.kind in (*WET_KINDS, None)]
    hit = [wet for wet in places if overlap(tile.region, wet.region)]
    if tile.region is None:
        parts = [other for other in of_kind(area, tile.kind or "") if other.region is not None]
        hit = [w for w in hit if w.region is None or not any(overlap(part.region, w.region) for part in parts)]
    if any(wet.kind is not None for wet in hit):
        return True
    return None if hit else False


def wetness(area: Area, tile: Layer) -> str | None:
    wet = is_wet(area, tile)
    return None if wet is None else "wet" if wet else "dry"


# --- bays as a whole ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Widest:
    """The widest bay that the floor has to cross, in inches; ``complete`` when no wider one can hide."""

    spacing: Quantity | None
    complete: bool

    def soften(self, answer: Check) -> Check:
        """What is good enough for the bays that are known is not proven for one that may be wider."""
        if self.complete or answer.outcome != MEETS:
            return answer
        found = "; ".join(filter(None, (answer.found, "good for the bays measured so far, and a wider one may hide")))
        return replace(answer, outcome=NOT_MEASURED, found=found, asks=("joist.at", "area.outline"))


def widest_bay(area: Area) -> Widest:
    """The widest bay under this floor; of one at an opening that stays open, what the opening leaves of it."""
    if not area.joists or area.unplaced:
        return Widest(None, False)
    crossed = [_beside_opening(bay) for bay in area.bays if bay.opening is None or not _taken_up(bay)]
    sure = [bay.spacing for bay in crossed if bay.spacing and (bay.opening is None or bay.opening.plan is not None)]
    if not sure:
        return Widest(None, False)
    widest = maximum(*sure)
    hidden = any(bay.spacing is None or bay.spacing.high > widest.low for bay in crossed if bay.spacing not in sure)
    return Widest(widest, bool(area.walls) and not hidden)


def _taken_up(bay: Bay) -> bool:
    """Whether an opening that stays open leaves nothing of a bay."""
    assert bay.opening is not None
    return bay.opening.plan == "stays-open" and bay.rest is not None and bay.rest.high <= 0


def _beside_opening(bay: Bay) -> Bay:
    stays = bay.opening is not None and bay.opening.plan == "stays-open"
    return replace(bay, spacing=bay.rest, opening=None) if stays else bay


def needed_for(limits: Limits, table: str, spacing: Quantity | None) -> Limit | None:
    """The entry of a table by joist spacing (its keys are those of ``spacing-steps``) that this spacing wants, a range
    where the spacing is one; ``None`` when the spacing is unknown or wider than the table goes."""
    if spacing is None:
        return None
    # A guessed spacing may be any closer one; as an estimate it proves nothing.
    low, high = (_step(limits, table, end) for end in (0.0 if spacing.estimate else spacing.low, spacing.high))
    if low is None or high is None or low.value is None or high.value is None:
        return None
    value = replace(hull(low.value, high.value), estimate=spacing.estimate)
    return high.derived(value, "for this joist spacing")


def _step(limits: Limits, table: str, spacing: float) -> Limit | None:
    for key in limits.keys(table):
        step = limits["spacing-steps", key].value
        assert step is not None
        if at_least(step, Quantity(spacing, spacing, step.dimension)):
            return limits[table, key]
    return None
