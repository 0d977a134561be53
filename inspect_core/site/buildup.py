"""The floor's layers read as a stack: which carry load, which lie where, how thick they are together (inches)."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.site.area import Area
from inspect_core.site.model import Layer

STRUCTURAL = ("panel", "boards")


def main_stack(area: Area) -> tuple[Layer, ...] | None:
    """Layers of the floor at large, from the joists up: those that cover no mere part of it; ``None`` when unknown."""
    if area.layers is None:
        return None
    return tuple(layer for layer in area.layers if layer.region is None)


def stack_at(area: Area, across: float, along: float) -> tuple[Layer, ...] | None:
    """Layers at one place (inches on the two tapes), from the joists up; ``None`` when unknown."""
    if area.layers is None:
        return None
    return tuple(layer for layer in area.layers if _covers(layer, across, along))


def _covers(layer: Layer, across: float, along: float) -> bool:
    if layer.region is None:
        return True
    spans = ((layer.region.across, across), (layer.region.along, along))
    return all(
        pair is None or pair[0] is None or pair[1] is None or pair[0].low <= place <= pair[1].high
        for pair, place in spans
    )


def structural(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """Panels and boards: the layers that carry from joist to joist."""
    return tuple(layer for layer in layers if layer.kind in STRUCTURAL)


def thickness(layers: Sequence[Layer]) -> Quantity | None:
    """Thickness together, in inches; ``None`` as soon as one is unknown."""
    total = exactly(0.0, Dimension.LENGTH)
    for layer in layers:
        if layer.thickness is None:
            return None
        total = total + layer.thickness
    return total
