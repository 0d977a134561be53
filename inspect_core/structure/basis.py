"""What packs lay down for the load path: design loads, and the bounds of what nobody could read on the wood."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from inspect_core.quantities import Quantity

Ends = tuple[float, float]
"""A number at its kind end (the one that helps) and at its hard end (the one that hurts)."""

KIND, HARD = 0, 1
CORNERS = (KIND, HARD)


class Stated(Protocol):
    """One limit: a quantity, or words."""

    @property
    def value(self) -> Quantity | None: ...

    @property
    def words(self) -> tuple[str, ...]: ...


class Lookup(Protocol):
    """Limits in force, by id or by id and key."""

    def __getitem__(self, name: str | tuple[str, str]) -> Stated: ...

    def keys(self, limit_id: str) -> Iterable[str]: ...


@dataclass(frozen=True, slots=True)
class Basis:
    """Numbers of the packs in force, in psf, inches and percent; ranges as (low, high).

    ``live_psf`` is the live load by the use of a room. ``dead_psf`` holds the joists' own weight. ``species`` and
    ``grades`` are what unknown wood may be; ``no_values_share`` what part of the lowest tabulated strength such wood is
    credited with where the tables lack its grade in its size; ``wet_above`` the moisture content over which wood works
    wet. ``rounding_in`` is by how much the published tables round a span in its favour. ``sister_past_in`` is the
    length that a sister must run past a place before it helps there.
    """

    live_psf: tuple[tuple[str, Ends], ...]
    dead_psf: Ends
    species: tuple[str, ...]
    grades: tuple[str, ...]
    no_values_share: float
    wet_above: float
    rounding_in: float
    sister_past_in: float
    partition_psf: Ends
    partition_height_in: Ends
    soil_psf: tuple[tuple[str, Ends], ...]
    masonry_pcf: Ends
    concrete_pcf: float

    def live(self, use: str | None) -> Ends:
        """Live load of a use; between the least and the most of all uses where it is not known."""
        known = dict(self.live_psf)
        if use is not None:
            return known.get(use) or known["other"]
        return min(low for low, _ in known.values()), max(high for _, high in known.values())

    def soil(self, kind: str | None) -> Ends | None:
        """Presumed bearing as (least, most); ``None`` for soil that has none and wants an investigation."""
        return dict(self.soil_psf).get(kind or "unknown")


def basis_of(limits: Lookup) -> Basis:
    """The basis that a set of limits lays down. Raises ``KeyError`` where the packs leave one out."""
    return Basis(
        live_psf=_table(limits, "live-load"),
        dead_psf=_ends(limits["dead-load"]),
        species=limits["unknown-species"].words,
        grades=limits["unknown-grade"].words,
        no_values_share=_ends(limits["ungraded-timber"])[0],
        wet_above=_ends(limits["wet-service"])[1],
        rounding_in=_ends(limits["span-rounding"])[1],
        sister_past_in=_ends(limits["sister-past"])[1],
        partition_psf=_ends(limits["partition-weight"]),
        partition_height_in=_ends(limits["partition-height"]),
        soil_psf=_table(limits, "soil-bearing"),
        masonry_pcf=_ends(limits["masonry-weight"]),
        concrete_pcf=_ends(limits["concrete-weight"])[1],
    )


GROUND_LIMITS = ("soil-bearing", "masonry-weight", "concrete-weight")
"""Ids of the limits by which piers and footings are worked out."""

BASIS_LIMITS = (
    "live-load",
    "dead-load",
    "unknown-species",
    "unknown-grade",
    "ungraded-timber",
    "wet-service",
    "span-rounding",
    "sister-past",
    "partition-weight",
    "partition-height",
    *GROUND_LIMITS,
)
"""Ids of the limits by which a floor is worked out, from the joists to the ground: one chain, one set of limits."""


def _ends(limit: Stated) -> Ends:
    assert limit.value is not None, "a limit of the basis is a quantity"
    return limit.value.low, limit.value.high


def _table(limits: Lookup, name: str) -> tuple[tuple[str, Ends], ...]:
    return tuple((key, _ends(limits[name, key])) for key in limits.keys(name))
