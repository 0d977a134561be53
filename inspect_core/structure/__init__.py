"""From the tile to the soil: what a floor carries and whether its members do. Knows sites and engineering, no rules."""

from inspect_core.structure.basis import BASIS_LIMITS, GROUND_LIMITS, HARD, KIND, Basis, Ends, basis_of
from inspect_core.structure.floor import Floor, floor_of
from inspect_core.structure.path import PathStep, load_path

__all__ = [
    "BASIS_LIMITS",
    "GROUND_LIMITS",
    "HARD",
    "KIND",
    "Basis",
    "Ends",
    "Floor",
    "PathStep",
    "basis_of",
    "floor_of",
    "load_path",
]
