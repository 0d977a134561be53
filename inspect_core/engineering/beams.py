"""Continuous beams: see `beams_model` for what can be described, `solve` for how it is solved."""

from inspect_core.engineering.beams_envelope import (
    Envelope,
    PatternExtreme,
    PatternRange,
    envelope,
    loads_by_span,
)
from inspect_core.engineering.beams_model import (
    Beam,
    BeamError,
    Couple,
    LineLoad,
    Loads,
    PointLoad,
    Segment,
    Support,
)
from inspect_core.engineering.beams_solution import (
    Extreme,
    Extremes,
    Piece,
    Solution,
    Span,
    superpose,
)
from inspect_core.engineering.beams_solve import solve

__all__ = [
    "Beam",
    "BeamError",
    "Couple",
    "Envelope",
    "Extreme",
    "Extremes",
    "LineLoad",
    "Loads",
    "PatternExtreme",
    "PatternRange",
    "Piece",
    "PointLoad",
    "Segment",
    "Solution",
    "Span",
    "Support",
    "envelope",
    "loads_by_span",
    "solve",
    "superpose",
]
