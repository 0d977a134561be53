"""What a layout is made of. Lengths in inches; plan coordinates are (across, along) as on the area's two tapes."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_core.planning.layout.region import Point, Polygon
from inspect_core.site.model import Path


@dataclass(frozen=True, slots=True)
class CutOut:
    """A hole in a piece: round (``diameter``) for a pipe, or what an open hatch or flue takes (``size``).

    ``name`` is the thing's id in the file. A pipe near a joint shows up in each piece that it meets.
    """

    name: str
    kind: str
    centre: Point
    diameter: float | None
    size: tuple[float, float] | None = None  # across by along


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of a sheet on the floor.

    ``corners`` go counter-clockwise in plan; ``across`` and ``along`` are its outermost places, and ``length`` by
    ``width`` the rectangle to cut (length with the sheet's long side). ``sheet`` numbers the sheet it is cut from, and
    ``at`` is where on that sheet, from one corner: along the long side, along the short side.
    """

    number: int
    row: int
    corners: Polygon
    holes: tuple[Polygon, ...]
    across: tuple[float, float]
    along: tuple[float, float]
    area: float
    length: float
    width: float
    sheet: int
    at: tuple[float, float]
    whole: bool
    square: bool  # the piece is its rectangle: no step, no oblique side
    cut_outs: tuple[CutOut, ...]
    flags: tuple[str, ...]  # narrow, one-bay: what keeps it from being as the span rating wants it


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two pieces meet: an ``end`` (short sides) or an ``edge`` (long sides), as a line in plan.

    ``lands_on`` names the joist under an end joint; empty where there is none.
    """

    kind: str
    start: Point
    end: Point
    lands_on: str = ""


@dataclass(frozen=True, slots=True)
class Unsupported:
    """A stretch of a panel edge with nothing known under it: what it is, where, and how long the block must be."""

    kind: str  # edge: square edges between joists; end: an end joint off the joists; wall: the room's edge
    where: str
    start: Point
    end: Point
    length: float


@dataclass(frozen=True, slots=True)
class Offcut:
    """What is left of a sheet, as one rectangle."""

    sheet: int
    length: float
    width: float


@dataclass(frozen=True, slots=True)
class LayerLayout:
    """One layer laid out. ``bound`` is the least number of sheets by area alone; ``proven`` says that no other layout
    of the ``tried`` ones, and no other way to cut them, does with fewer."""

    area: str
    layer: str
    path: Path
    kind: str
    lies_on: str  # joists, or the id of the layer below
    sheet: tuple[float, float]  # length by width, as it is sold
    cover: float  # width that a sheet covers, less its tongue
    turned: bool  # the sheets' long side runs along the tape along the joists
    gap: float
    wall_gap: float
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    unsupported: tuple[Unsupported, ...]
    offcuts: tuple[Offcut, ...]
    sheets: int
    bound: int
    proven: bool
    tried: int
    cuts: int
    floor_area: float  # square inches that the layer covers
    narrowest: float
    notes: tuple[str, ...]

    @property
    def sheet_area(self) -> float:
        """Square inches that one sheet covers."""
        return self.sheet[0] * self.cover

    @property
    def waste(self) -> float:
        """Share of the bought sheets that does not end up in the floor."""
        return 1 - self.floor_area / (self.sheets * self.sheet_area)


@dataclass(frozen=True, slots=True)
class ByArea:
    """What is known of a floor that is too large to lay out: its square inches, the sheet (length by width, in), the
    width that a sheet covers, and what was taken for granted."""

    floor_area: float
    sheet: tuple[float, float]
    cover: float
    notes: tuple[str, ...]

    @property
    def sheet_area(self) -> float:
        """Square inches that one sheet covers."""
        return self.sheet[0] * self.cover


@dataclass(frozen=True, slots=True)
class NotLaid:
    """A layer of sheets that can't be laid out yet, and which fields would tell; ``by_area`` where it is too large."""

    area: str
    layer: str
    path: Path
    why: str
    asks: tuple[str, ...]
    by_area: ByArea | None = None


@dataclass(frozen=True, slots=True)
class AreaLayout:
    """All layers of sheets of one area, from the joists up."""

    area: str
    layers: tuple[LayerLayout, ...]
    not_laid: tuple[NotLaid, ...]
