"""Paper to draw on: millimetres of paper, north up, SVG elements built as a tree so that no name can become markup."""

from __future__ import annotations

import textwrap
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inspect_core.site import Area
from inspect_core.site.problems import visible

MM_PER_INCH = 25.4
WIDTH = 190.0  # mm, fits letter and A4 with margins
SCALES = (10, 12, 16, 20, 24, 32, 48, 64, 96, 128, 200, 500, 1000)  # common on drawing boards, in either unit
TEXT_MM = 2.7
NARROW = 0.52  # width of an average character over its height

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # least x, least y, greatest x, greatest y


@dataclass(frozen=True, slots=True)
class Projection:
    """From an area's two tapes in inches to millimetres of paper."""

    with_joists_up: bool  # joists run north-south
    scale: int
    left: float
    top: float
    least: Point  # of the across and along tapes
    greatest: Point

    def at(self, across: float, along: float) -> Point:
        """Where a place lies on the paper."""
        east, north = self._turned(across, along)
        west, _ = self._turned(*self.least)
        _, highest = self._turned(*self.greatest)
        return self.left + (east - west) * self.size(1), self.top + (highest - north) * self.size(1)

    def size(self, inches: float) -> float:
        """A length on the paper."""
        return inches * MM_PER_INCH / self.scale

    def box(self, across: Sequence[float], along: Sequence[float]) -> Box:
        """The rectangle between two readings of each tape."""
        (x1, y1), (x2, y2) = self.at(min(across), min(along)), self.at(max(across), max(along))
        return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)

    def _turned(self, across: float, along: float) -> Point:
        return (across, along) if self.with_joists_up else (along, across)


def projection(area: Area, least: Point, greatest: Point, left: float, top: float, width: float) -> Projection:
    """The largest common scale at which the area is no wider than ``width`` mm (and no taller than 1.3 of it)."""
    up = area.joists_run != "east-west"
    across, along = greatest[0] - least[0], greatest[1] - least[1]
    wide, tall = (across, along) if up else (along, across)
    fits = [s for s in SCALES if wide * MM_PER_INCH / s <= width and tall * MM_PER_INCH / s <= 1.3 * width]
    return Projection(up, fits[0] if fits else SCALES[-1], left, top, least, greatest)


class Canvas:
    """Collects SVG elements; ``bottom`` is the lowest place drawn on."""

    def __init__(self) -> None:
        self.root = ET.Element("g")
        self._into = self.root
        self.bottom = 0.0

    def group(self, name: str, title: str = "") -> Canvas:
        """A canvas for a part of the drawing, with a name for style and a title for whoever listens or points."""
        inner = Canvas()
        inner.root = inner._into = ET.SubElement(self._into, "g", {"class": name})
        if title:
            ET.SubElement(inner.root, "title").text = visible(title)
        return inner

    def line(self, start: Point, end: Point, name: str = "thin") -> None:
        self._add("line", name, x1=start[0], y1=start[1], x2=end[0], y2=end[1])
        self._reach(start[1], end[1])

    def box(self, box: Box, name: str) -> None:
        x1, y1, x2, y2 = box
        self._add("rect", name, x=x1, y=y1, width=max(x2 - x1, 0.05), height=max(y2 - y1, 0.05))
        self._reach(y2)

    def path(self, points: Iterable[Point], name: str, *, closed: bool = True) -> None:
        places = list(points)
        element = self._add("polygon" if closed else "polyline", name)
        element.set("points", " ".join(f"{_mm(x)},{_mm(y)}" for x, y in places))
        self._reach(*(y for _, y in places))

    def circle(self, centre: Point, radius: float, name: str) -> None:
        self._add("circle", name, cx=centre[0], cy=centre[1], r=radius)
        self._reach(centre[1] + radius)

    def text(self, place: Point, text: str, name: str = "word", *, upright: bool = True) -> None:
        """One line of text; ``upright`` false reads from below."""
        element = self._add("text", name, x=place[0], y=place[1])
        if not upright:
            element.set("transform", f"rotate(-90 {_mm(place[0])} {_mm(place[1])})")
        element.text = visible(text)
        self._reach(place[1] + 1)

    def _add(self, tag: str, name: str, **places: float) -> ET.Element:
        return ET.SubElement(self._into, tag, {"class": name, **{key: _mm(value) for key, value in places.items()}})

    def _reach(self, *lows: float) -> None:
        self.bottom = max(self.bottom, *lows)


def _mm(value: float) -> str:
    """Hundredths of a millimetre; the same bytes on every machine."""
    return f"{value + 0.0:.2f}".rstrip("0").rstrip(".").replace("-0", "0") if abs(value) < 0.005 else f"{value:.2f}"


def folded(text: str, width: float, size: float = TEXT_MM) -> list[str]:
    """Text in lines of about ``width`` mm, letters ``size`` mm high."""
    return textwrap.wrap(visible(text), max(8, int(width / (size * NARROW))))
