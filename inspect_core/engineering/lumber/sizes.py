"""Sizes of lumber (nominal, dressed, true, historic) and section properties, whole and cut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, Protocol

from ...quantities.lumber_sizes import dressed as dressed_size
from ._data import LumberError, constant, not_negative, positive, table

Series = Literal["dressed", "historic", "true"]


class SectionProperties(Protocol):
    """What a check needs of a cross-section, whole or cut: in², in³, in⁴."""

    @property
    def area(self) -> float: ...

    @property
    def section_modulus(self) -> float: ...

    @property
    def inertia(self) -> float: ...


@dataclass(frozen=True, slots=True)
class Section:
    """A rectangle on edge, in inches: `plies` equal pieces side by side that bend together."""

    thickness_in: float
    depth_in: float
    plies: int = 1

    def __post_init__(self) -> None:
        positive("thickness", self.thickness_in)
        positive("depth", self.depth_in)
        positive("number of plies", self.plies)

    @property
    def breadth_in(self) -> float:
        """All plies together, in."""
        return self.thickness_in * self.plies

    @property
    def area(self) -> float:
        """A = b d, in²."""
        return self.breadth_in * self.depth_in

    @property
    def section_modulus(self) -> float:
        """S = b d² / 6, in³."""
        return self.breadth_in * self.depth_in**2 / 6

    @property
    def inertia(self) -> float:
        """I = b d³ / 12, in⁴."""
        return self.breadth_in * self.depth_in**3 / 12


@dataclass(frozen=True, slots=True)
class NetSection:
    """What is left of a section, about its own neutral axis.

    `area` in², `inertia` in⁴, `centroid_from_top_in` in; `top_modulus` and `bottom_modulus` in³ are for the
    highest and lowest wood left, `piece_modulus` in³ for the deepest single piece by itself.
    """

    area: float
    inertia: float
    centroid_from_top_in: float
    top_modulus: float
    bottom_modulus: float
    piece_modulus: float

    @property
    def section_modulus(self) -> float:
        """The modulus to check with, in³: of all that is left, or of the deepest piece alone if that is more.

        A thin strip beyond a hole is stressed most and counts against the rest; left out, the rest carries
        what it can. So cutting the strip away never seems to make the member stronger.
        """
        return max(min(self.top_modulus, self.bottom_modulus), self.piece_modulus)


def net_section(section: Section, cuts: Iterable[tuple[float, float]]) -> NetSection:
    """Return `section` less `cuts`, each (distance of its upper edge below the top, its height), in inches.

    Cuts go through the whole breadth, may overlap, and count only where they meet the section. Wood above
    and below a hole is taken to bend as one piece, which holds for round holes, not for long slots.
    """
    kept: list[tuple[float, float]] = [(0.0, section.depth_in)]
    for upper, height in cuts:
        not_negative("cut height", height)
        lower = upper + height
        pieces = [piece for start, end in kept for piece in ((start, min(end, upper)), (max(start, lower), end))]
        kept = [(start, end) for start, end in pieces if start < end]
    if not kept:
        return NetSection(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    width = section.breadth_in
    area = sum(width * (end - start) for start, end in kept)
    centroid = sum(width * (end - start) * (start + end) / 2 for start, end in kept) / area
    inertia = sum(
        width * (end - start) ** 3 / 12 + width * (end - start) * ((start + end) / 2 - centroid) ** 2
        for start, end in kept
    )
    top, bottom = kept[0][0], kept[-1][1]
    return NetSection(
        area=area,
        inertia=inertia,
        centroid_from_top_in=centroid,
        top_modulus=inertia / (centroid - top),
        bottom_modulus=inertia / (bottom - centroid),
        piece_modulus=max(width * (end - start) ** 2 / 6 for start, end in kept),
    )


def notched(section: Section, depth_in: float, edge: Literal["top", "bottom"]) -> NetSection:
    """Return the net section at a notch `depth_in` deep in the top or bottom edge."""
    not_negative("notch depth", depth_in)
    upper = 0.0 if edge == "top" else section.depth_in - depth_in
    return net_section(section, [(upper, depth_in)])


def bored(section: Section, diameter_in: float, center_below_top_in: float) -> NetSection:
    """Return the net section through a hole's centre; a hole that breaks an edge counts as a notch there."""
    not_negative("hole diameter", diameter_in)
    return net_section(section, [(center_below_top_in - diameter_in / 2, diameter_in)])


@cache
def _historic_sizes() -> dict[float, float]:
    return {float(row["nominal"]): float(row["actual"]) for row in table("historic_sizes")}


def actual_size(nominal_thickness: float, nominal_depth: float, series: Series = "dressed") -> tuple[float, float]:
    """Return what a nominal size measures, in inches: (1.5, 7.25) for 2 by 8.

    `dressed` is today's surfaced lumber, `historic` is surfaced lumber of before the 1960s (from memory),
    `true` is full size. Old pieces vary, and timbers surfaced dry may be 1/4 in. less than the dressed size:
    a measured size is better than any of these. Raises LumberError when the table has no such size.
    """
    positive("thickness", nominal_thickness)
    positive("depth", nominal_depth)
    if series == "true":
        return (nominal_thickness, nominal_depth)
    if series == "historic":
        known = _historic_sizes()
        if nominal_thickness in known and nominal_depth in known:
            return (known[nominal_thickness], known[nominal_depth])
    else:
        found = dressed_size(nominal_thickness, nominal_depth)
        if found is not None:
            return found
    raise LumberError(
        f"no {series} size is known for {nominal_thickness:g}x{nominal_depth:g}: give the measured size",
        kind="size",
        given=(nominal_thickness, nominal_depth),
    )


def dressed(nominal_thickness: float, nominal_depth: float) -> tuple[float, float]:
    """Return today's dressed size in inches of a nominal one: `dressed(2, 8)` is `(1.5, 7.25)`."""
    return actual_size(nominal_thickness, nominal_depth)


@cache
def _nominal_classes() -> dict[int, float]:
    """Return each nominal width of the size table with its dressed width, as the face of a 1 in. board."""
    faces = {nominal: dressed_size(1, nominal) for nominal in range(1, 25)}
    return {nominal: face[1] for nominal, face in faces.items() if face is not None}


@lru_cache(maxsize=1024)
def nominal_of(actual_in: float) -> int:
    """Return the nominal inch class of a measured thickness or width: 1.5, 1.625 and 2.0 are all 2.

    A measure between two classes goes to the larger one, whose size factor is the lower. Raises LumberError
    for a piece larger than any class.
    """
    positive("size", actual_in)
    tolerance = constant("size_tolerance").value
    smaller = 0
    for nominal, face in _nominal_classes().items():
        if actual_in <= nominal + tolerance:
            # Thin boards, and planed ones, must not pass for 2 in. lumber, whose design values they lack.
            return smaller if nominal == 2 and actual_in < face - tolerance else nominal
        smaller = nominal
    raise LumberError(f"no lumber size class reaches {actual_in:g} in", kind="size", given=actual_in)
