"""A floor area and the whole site, with what follows from the places of things: bays, ends, spans, walls, crossings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from inspect_core.quantities import Quantity
from inspect_core.site import geometry
from inspect_core.site.model import (
    AreaRecord,
    Document,
    Drain,
    Evidence,
    Hazards,
    Header,
    House,
    Joist,
    Path,
    Place,
    Support,
    TemporarySupport,
)

if TYPE_CHECKING:
    from inspect_core.quantities import Units
    from inspect_core.site.reader import Document as File


@dataclass(frozen=True)
class Area(AreaRecord):
    """One floor area: what the file says of it, its joists laid out, and derived geometry (all lengths in inches)."""

    joists: tuple[Joist, ...] | None = None
    missing_joists: tuple[Joist, ...] = ()
    suffix: str = ""
    units: Units = "in"

    @cached_property
    def carriers(self) -> dict[str, Support | Header]:
        """Everything a joist end can rest on, by id: support lines and the headers of openings."""
        found: dict[str, Support | Header] = {s.id: s for s in self.supports or ()}
        for opening in self.openings or ():
            found.update({h.id: h for h in opening.headers or ()})
        return found

    @cached_property
    def joist_by_id(self) -> dict[str, Joist]:
        return {j.id: j for j in self.joists or ()}

    @cached_property
    def walls(self) -> tuple[geometry.Wall, ...]:
        """Walls of the room in order of its corners; empty when the outline is unknown."""
        return geometry.walls(self)

    @cached_property
    def room_corners(self) -> tuple[tuple[Quantity, Quantity], ...]:
        """Corners of the room as across, along; empty when unknown."""
        return geometry.room_corners(self)

    @cached_property
    def floor_area(self) -> Quantity | None:
        """Area of the room in square inches."""
        return geometry.polygon_area(self.room_corners)

    @cached_property
    def unplaced(self) -> tuple[Joist, ...]:
        """Joists whose place is not known, or not well enough to tell which joists and walls are their neighbours."""
        return geometry.unplaced(self)

    @cached_property
    def bays(self) -> tuple[geometry.Bay, ...]:
        """Spaces between neighbouring joists, and between the outer joists and the walls beside them."""
        return geometry.bays(self)

    @cached_property
    def bays_beside(self) -> dict[str, list[geometry.Bay]]:
        """Bays by the id of each joist beside them."""
        found: dict[str, list[geometry.Bay]] = {}
        for bay in self.bays:
            for joist in bay.joists:
                found.setdefault(joist.id, []).append(bay)
        return found

    @cached_property
    def joist_ends(self) -> tuple[geometry.JoistEnd, ...]:
        """Each place where a joist bears or should bear: its two ends and every support that it passes over."""
        return geometry.joist_ends(self)

    def spans(self, joist: Joist) -> tuple[geometry.Span, ...]:
        """Clear spans of a joist, face to face of its supports, from the tape's zero onwards."""
        return geometry.spans(self, joist)

    def span_at(self, joist: Joist, along: Quantity | None) -> geometry.Span | None:
        """The clear span in which a place on the along tape surely lies."""
        return geometry.span_at(self, joist, along)

    def spans_at(self, joist: Joist, part: tuple[Quantity | None, Quantity | None]) -> tuple[geometry.Span, ...]:
        """Every clear span that may hold some of a part of a joist, by its two sides on the along tape."""
        return geometry.spans_at(self, joist, part)

    def place_along(self, joist: Joist, support_id: str | None, at: Quantity | None) -> Quantity | None:
        """Place on the along tape of something measured from a support's face, or from the tape's zero."""
        return geometry.place_along(self, joist, support_id, at)

    def tributary_width(self, joist: Joist) -> Quantity | None:
        """Width of floor that a joist carries: half of the bay on either side, the whole bay at a wall."""
        return geometry.tributary_width(self, joist)

    def crossings(self, drain: Drain) -> tuple[geometry.Crossing, ...]:
        """Joists that a drain's route crosses, in order from the fixture to the stack."""
        return geometry.crossings(self, drain)


@dataclass(frozen=True)
class Site:
    """One site description, whole."""

    document: File = field(repr=False, compare=False)
    units: Units
    name: str
    house: House
    areas: tuple[Area, ...]
    packs: tuple[str, ...] = ()
    place: Place | None = None
    hazards: Hazards | None = None
    documents: tuple[Document, ...] | None = None
    evidence: tuple[Evidence, ...] | None = None
    temporary_supports: tuple[TemporarySupport, ...] | None = None

    @property
    def file(self) -> str:
        """Name of the site file as it was given."""
        return self.document.file

    def locate(self, path: Path) -> tuple[int, int, Path]:
        """Line and column of the nearest place in the file at or above ``path``, and that place's path."""
        try:
            found = self._located.get(path)
        except TypeError:  # a pack may make a path of anything
            return self._place(path)
        if found is None:
            found = self._located[path] = self._place(path)
        return found

    @cached_property
    def _located(self) -> dict[Path, tuple[int, int, Path]]:
        return {}  # many findings are about one place

    def _place(self, path: Path) -> tuple[int, int, Path]:
        mark = self.document.where(path)
        return mark.line, mark.column, self.document.nearest(path)

    def joist_ends(self) -> Iterator[geometry.JoistEnd]:
        """Joist ends of every area."""
        for area in self.areas:
            yield from area.joist_ends

    @property
    def built(self) -> int | None:
        """Year the house was built, when it is known."""
        return self.house.built if isinstance(self.house.built, int) else None
