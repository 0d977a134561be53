"""Structural panels and board subfloors between joists: what they may span, how far they bend, how strong they are.

`ratings` holds what the code prints (span ratings, sanded plywood, boards) and what a design specification
gives for each rating (stiffness, strength); `plate` computes build-ups of one or more layers from that.
"""

from .plate import (
    FloorPlate,
    Layer,
    PointCheck,
    UniformCheck,
    build_up,
    check_point,
    check_uniform,
    continuity_factor,
)
from .ratings import (
    Capacity,
    RatingBounds,
    SpanRating,
    board_spacing,
    capacity,
    capacity_bounds,
    rating_for_thickness,
    sanded_plywood_spacing,
    span_rating,
    span_ratings,
)

__all__ = [
    "Capacity",
    "FloorPlate",
    "Layer",
    "PointCheck",
    "RatingBounds",
    "SpanRating",
    "UniformCheck",
    "board_spacing",
    "build_up",
    "capacity",
    "capacity_bounds",
    "check_point",
    "check_uniform",
    "continuity_factor",
    "rating_for_thickness",
    "sanded_plywood_spacing",
    "span_rating",
    "span_ratings",
]
