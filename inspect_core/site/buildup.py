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
