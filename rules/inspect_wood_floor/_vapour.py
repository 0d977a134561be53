"""A floor's layers as heat and vapour meet them: what is under it, what lies on it, and the air on either side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from inspect_core.engineering.condensation import RangedAir, RangedLayer, Span, layer_of
from inspect_core.engineering.moisture import wood_emc_percent
from inspect_core.quantities import Dimension, Quantity
from inspect_core.rules_api import Limits, named
from inspect_core.site import Area, Site
from inspect_core.site.model import Air, CrawlSpace, Layer, Path, Region
from inspect_wood_floor._layering import FINISH_KINDS, material_of, overlap

WOOD = ("panel", "boards", "wood-floor")
BY_KIND = {
    "boards": "softwood",
    "wood-floor": "hardwood",
    "backer": "backer",
    "mortar-bed": "mortar",
    "thin-set": "mortar",
    "self-leveling": "mortar",
    "tile": "tile",
    "resilient": "resilient",
    "felt": "felt",
}
BY_MATERIAL = {
    "panel": ("plywood", "osb"),
    "backer": ("gypsum",),
    "vapor-retarder": ("polyethylene", "kraft", "felt"),
    "membrane": ("polyethylene",),
    "slip-sheet": ("polyethylene", "kraft", "felt"),
}


def spaces_of(site: Site) -> Iterator[tuple[Area, CrawlSpace | None]]:
    """Each area with the space under it, its own or the one that it shares."""
    spaces = {area.id: area.crawl_space for area in site.areas}
    for area in site.areas:
        space = area.crawl_space
        if space is not None and space.same_as is not None:
            space = spaces.get(space.same_as)
        yield area, space


def span(quantity: Quantity) -> Span:
    """A quantity's interval as plain numbers."""
    return Span(quantity.low, quantity.high)


def air_of(air: Air | None) -> RangedAir | None:
    """Air as measured; ``None`` where a reading is missing. Wholly dry air is taken as nearly dry."""
    if air is None or air.temperature is None or air.humidity is None:
        return None
    rh = Span(max(air.humidity.low / 100, 0.001), max(air.humidity.high / 100, 0.001))
    return RangedAir(span(air.temperature), rh)


def comes_to(air: Air | None) -> Quantity | None:
    """Equilibrium moisture content (percent) over all that the readings allow."""
    if air is None or air.temperature is None or air.humidity is None:
        return None
    # The equation holds between dry and saturated air, not at either.
    humidities = [min(max(percent / 100, 0.001), 0.999) for percent in (air.humidity.low, air.humidity.high)]
    ends = [wood_emc_percent(t, rh) for t in (air.temperature.low, air.temperature.high) for rh in humidities]
    return Quantity(min(ends), max(ends), Dimension.MOISTURE, air.temperature.estimate or air.humidity.estimate)


def guessed(*airs: Air | None) -> bool:
    """Whether any reading is a guess."""
    readings = [q for air in airs if air is not None for q in (air.temperature, air.humidity)]
    return any(q is not None and q.estimate for q in readings)


def guessed_layers(layers: Iterable[Layer], space: CrawlSpace | None, *, heat: bool) -> bool:
    """Whether what layers and insulation let through is a guess: their permeance or, where nobody says that or the
    ``heat`` counts too, their thickness."""
    figures = [layer.permeance for layer in layers]
    figures += [layer.thickness for layer in layers if heat or layer.permeance is None]
    if space is not None and space.insulation == "between-joists":
        figures.append(space.insulation_thickness)
    return any(figure is not None and figure.estimate for figure in figures)


def vapour_layer(layer: Layer, limits: Limits) -> RangedLayer:
    """A layer of the site with the figures of its material, class or data sheet; unknown where none of them tells."""
    material = material_of(layer, limits) or ""
    kind = layer.kind or ""
    figure = material if material in BY_MATERIAL.get(kind, ()) else BY_KIND.get(kind, "unknown")
    if layer.retarder_class is not None and layer.permeance is None:
        figure = f"class-{layer.retarder_class}"
    return layer_of(
        named(layer).name.removeprefix("layer "),
        figure,
        None if layer.thickness is None else span(layer.thickness.bounds),
        permeance=None if layer.permeance is None else span(layer.permeance.bounds),
        wood=kind in WOOD,
    )


@dataclass(frozen=True, slots=True)
class Under:
    """What hangs in the floor between its joists, from below up; ``asks`` are the fields that would tell more."""

    layers: tuple[RangedLayer, ...]
    asks: tuple[str, ...] = ()


def under_floor(space: CrawlSpace) -> Under | None:
    """Insulation between the joists with its facings; ``None`` where nobody knows whether there is any."""
    if space.insulation is None:
        return None
    if space.insulation != "between-joists":
        return Under(())
    asks = []
    facing = space.insulation_retarder
    if space.insulation_material is None:
        asks.append("crawl_space.insulation_material")
    if space.insulation_thickness is None:
        asks.append("crawl_space.insulation_thickness")
    if facing is None:
        asks.append("crawl_space.insulation_retarder")
    if facing != "none" and space.insulation_retarder_class is None:
        asks.append("crawl_space.insulation_retarder_class")
    thickness = None if space.insulation_thickness is None else span(space.insulation_thickness.bounds)
    core = layer_of("insulation", space.insulation_material or "unknown", thickness)
    layers = [core]
    figure = "unknown" if space.insulation_retarder_class is None else f"class-{space.insulation_retarder_class}"
    if facing in ("bottom", "both", None):
        layers.insert(0, layer_of("the insulation's lower facing", figure if facing else "unknown"))
    if facing in ("top", "both", None):
        layers.append(layer_of("the insulation's upper facing", figure if facing else "unknown"))
    return Under(tuple(layers), tuple(asks))


def stacks(area: Area) -> tuple[tuple[Layer, ...], ...]:
    """The layers over one another at each place where they differ, from the joists up."""
    layers = area.layers or ()
    regions: dict[int, Region | None] = {id(layer.region): layer.region for layer in layers}
    places = list(regions.values()) or [None]
    found = []
    for place in places:
        here = tuple(
            layer for layer in layers if layer.region is None or (place is not None and overlap(layer.region, place))
        )
        if here and here not in found:
            found.append(here)
    return tuple(found)


def whole_stack(area: Area, layers: Sequence[Layer], limits: Limits) -> tuple[RangedLayer, ...]:
    """The layers for vapour, with an unknown one for a finish that is not listed."""
    found = [vapour_layer(layer, limits) for layer in layers]
    if area.finish != "none" and not (layers and layers[-1].kind in FINISH_KINDS):
        found.append(layer_of("the finish to come", "unknown"))
    return tuple(found)


def layer_asks(layers: Sequence[Layer]) -> tuple[str, ...]:
    """Fields of layers that would narrow their figures."""
    asks = []
    if any(layer.permeance is None or layer.permeance.estimate for layer in layers):
        asks.append("layer.permeance")
    if any(layer.thickness is None or layer.thickness.estimate for layer in layers):
        asks.append("layer.thickness")
    if any(layer.material is None and layer.kind in ("panel", "vapor-retarder") for layer in layers):
        asks.append("layer.material")
    return tuple(asks)


def paths(layers: Sequence[Layer]) -> Mapping[str, Path]:
    """Where each layer stands in the file, by the name that :func:`vapour_layer` gives it."""
    return {named(layer).name.removeprefix("layer "): layer.path for layer in layers}
