"""Liners of showers and other pans: the pan itself, up its walls and over its curb.

A sheet is folded in the corners and not cut, so it is one rectangle with its upturns; where the maker's widest roll is
too narrow, strips are welded. A bonded sheet is laid in strips with a band at the walls. A liquid goes by the area.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from inspect_core.planning.layout.region import Box
from inspect_core.planning.takeoff.covers import FAR, box_of, shorter_way
from inspect_core.planning.takeoff.supplies import (
    BOUGHT,
    GALLON,
    Basket,
    Used,
    area_of,
    count,
    length,
    slug,
    supplies,
    volume,
)
from inspect_core.quantities import render
from inspect_core.site.model import WetArea

GROUP = "felt and membranes"
SHEETS = ("pvc-sheet", "cpe-sheet")
COUNTED = (*SHEETS, "bonded-sheet", "liquid")
NO_PAN = ("tub-surround",)
WALLS, ROUND_CURB = 4, 2  # corners of a pan; where its curb meets the walls
BY_FOOT = {"in": ("ft", 12.0), "mm": ("m", 39.37007874015748)}  # with its inches


@dataclass(frozen=True, slots=True)
class Pan:
    """A pan to line (in): its two sides, how high its liner goes up a wall, and how much of it goes over the curb."""

    across: float
    along: float
    rise: float
    over_curb: float

    @property
    def has_curb(self) -> bool:
        return self.over_curb > 0

    def sheets(self, trim: float) -> list[tuple[float, float]]:
        """Sizes of the one sheet that lines it, the curb along the one side or the other."""
        last = self.over_curb or self.rise
        return [
            (self.across + 2 * self.rise + trim, self.along + self.rise + last + trim),
            (self.across + self.rise + last + trim, self.along + 2 * self.rise + trim),
        ]


@dataclass(frozen=True, slots=True)
class Cut:
    """How a sheet is cut from a roll (in): so many strips of one length from a roll of one width."""

    strips: int
    width: float
    strip: float

    @property
    def length(self) -> float:
        return self.strips * self.strip


def cut_from(sides: tuple[float, float], widths: list[float], lap: float) -> Cut:
    """The fewest strips, since each seam is a risk; then the least sheet."""
    found = []
    for width in widths:
        for across, along in (sides, sides[::-1]):
            strips = max(1, ceil((across - lap) / (width - lap) - 1e-9)) if across > width else 1
            found.append(Cut(strips, width, along))
    return min(found, key=lambda cut: (cut.strips, cut.length * cut.width, cut.width))


def liners(basket: Basket) -> None:
    """Lines for the liner of each new wet area."""
    for wet in basket.area.wet_areas or ():
        liner = wet.liner
        if liner is None or liner.kind == "none":
            continue
        name = f"liner of {wet.id}"
        if not basket.bought(GROUP, name, wet.work, wet.path, "wet_area.work"):
            continue
        if liner.kind is None:
            basket.unknown(GROUP, name, "what it is is not known", liner.path, "liner.kind")
        elif liner.kind not in COUNTED or wet.kind in NO_PAN:
            what = wet.kind or "" if wet.kind in NO_PAN else liner.kind
            basket.unknown(
                GROUP, name, f"{what.replace('-', ' ')}: counted by its drawing, or by who puts it in", wet.path
            )
        else:
            pan = _pan(basket, wet, name)
            if pan is not None:
                _line(basket, wet, liner.kind, name, pan)


def _line(basket: Basket, wet: WetArea, kind: str, name: str, pan: Pan) -> None:
    if kind == "liquid":
        _liquid(basket, wet, name, pan)
    elif kind == "bonded-sheet":
        _bonded(basket, wet, name, pan)
    else:
        _sheet(basket, wet, kind, name, pan)


def _pan(basket: Basket, wet: WetArea, name: str) -> Pan | None:
    """The pan's size; what is missing is told."""
    assert wet.liner is not None
    sides = _sides(basket, wet)
    if sides is None:
        basket.unknown(
            GROUP,
            name,
            "the size of its floor is not known",
            wet.path,
            "region.across",
            "region.along",
            "fixture.inside",
        )
    missing = [
        field for field, value in (("wet_area.curb", wet.curb), ("liner.upturn", wet.liner.upturn)) if value is None
    ]
    if missing:
        basket.unknown(GROUP, name, "how high it goes up is not known", wet.path, *missing)
    if sides is None or wet.curb is None or wet.liner.upturn is None:
        return None
    curb = wet.curb.high
    over = 2 * curb + supplies()["curb-width"].value if curb > 0 else 0.0  # up, across, down outside
    return Pan(*sides, curb + wet.liner.upturn.high, over)


def _sides(basket: Basket, wet: WetArea) -> tuple[float, float] | None:
    """Across and along (in): of its part of the floor, else of the shower's inside, else of a wet room's walls."""
    region = wet.region
    if region is not None:
        pairs = [pair for pair in (region.across, region.along) if pair is not None]
        found = [abs(pair[1].middle - pair[0].middle) for pair in pairs if pair[0] is not None and pair[1] is not None]
        return (found[0], found[1]) if len(found) == 2 else None
    inside = next((one.inside for one in basket.area.fixtures or () if one.id == wet.fixture and wet.fixture), None)
    if inside is not None:
        return inside[0].high, inside[1].high
    corners = [(x.high, y.high) for x, y in basket.area.room_corners]
    if wet.kind == "wet-room" and corners:
        xs, ys = zip(*corners, strict=True)
        return max(xs) - min(xs), max(ys) - min(ys)
    return None


def _shown(basket: Basket, inches: float) -> str:
    return render(length(inches), basket.units, hair=False)


def _how(basket: Basket, pan: Pan) -> str:
    over = f", {_shown(basket, pan.over_curb)} up and over the curb" if pan.has_curb else ""
    size = f"{_shown(basket, pan.across)} by {_shown(basket, pan.along)}"
    return f"a floor of {size}, {_shown(basket, pan.rise)} up the walls{over}"


def _used(pan: Pan) -> Used:
    used = Used()
    if pan.has_curb:
        used("curb-width")
    return used


# --- sheets that are folded and welded -------------------------------------------------------------------------------


def _sheet(basket: Basket, wet: WetArea, kind: str, name: str, pan: Pan) -> None:
    assert wet.liner is not None
    used = _used(pan)
    lap, trim = used("liner-lap"), used("liner-trim")
    widths = [used(key) for key in supplies() if key.startswith("liner-width/")]
    cuts = [cut_from(sides, widths, lap) for sides in pan.sheets(trim)]
    cut = max(cuts, key=lambda one: (one.strips, one.length * one.width))
    words = kind.replace("-sheet", "").upper()
    thick = render(wet.liner.thickness, basket.units) if wet.liner.thickness is not None else ""
    if not thick:
        basket.unknown(GROUP, name, "its thickness is not known, so it can't be ordered", wet.path, "liner.thickness")
    unit, holds = BY_FOOT[basket.units]
    seams = f"{cut.strips} strips welded with laps of {_shown(basket, lap)}" if cut.strips > 1 else "one piece, folded"
    side = "; on the side where the curb takes more" if pan.has_curb else ""
    basket.add(
        GROUP,
        slug("liner", kind, thick, _shown(basket, cut.width)),
        f"{words} liner{', ' + thick if thick else ''}, {_shown(basket, cut.width)} wide, by the {unit}",
        unit,
        length(cut.length),
        holds,
        f"{name}: {_how(basket, pan)}{side}; {seams}",
        used,
    )
    if pan.has_curb:
        basket.add(
            GROUP,
            slug("liner-corner", kind),
            f"outside corners for {words} liner",
            "each",
            count(ROUND_CURB),
            1.0,
            f"{name}: where the curb meets the walls",
            Used(),
        )
    if pan.has_curb or cut.strips > 1:
        why = "for its seams and corners: by its maker's coverage"
        basket.unknown(GROUP, f"what welds the {name}", why, wet.path)


# --- bonded sheets and liquids ---------------------------------------------------------------------------------------


def _membrane_lies(basket: Basket, wet: WetArea) -> bool:
    """Whether a membrane that is bought as a layer of the floor lies under all of the pan already."""
    whole = (-FAR, FAR, -FAR, FAR)
    box = _box(wet) if wet.region is not None else whole
    for layer in basket.area.layers or ():
        over = box_of(layer) if layer.kind == "membrane" and layer.work in BOUGHT else None
        if over is not None and box is not None and _within(box, over):
            return True
    return False


def _within(inner: Box, outer: Box) -> bool:
    across = outer[0] <= inner[0] and inner[1] <= outer[1]
    return across and outer[2] <= inner[2] and inner[3] <= outer[3]


def _box(wet: WetArea) -> Box | None:
    assert wet.region is not None
    spans: list[float] = []
    for pair in (wet.region.across, wet.region.along):
        if pair is None or pair[0] is None or pair[1] is None:
            return None
        spans += sorted((pair[0].middle, pair[1].middle))
    return spans[0], spans[1], spans[2], spans[3]


def _bonded(basket: Basket, wet: WetArea, name: str, pan: Pan) -> None:
    """Strips on the floor, a band up the walls all round, a strip over the curb on its longer side."""
    used = _used(pan)
    width, roll, lap = used("roll-width/membrane"), used("roll-length/membrane"), used("liner-lap")
    floor: list[float] = []
    note = "its floor is counted with the floor's membrane"
    if not _membrane_lies(basket, wet):
        box = (0.0, pan.across, 0.0, pan.along)
        outline = [(0.0, 0.0), (pan.across, 0.0), (pan.across, pan.along), (0.0, pan.along)]
        floor = shorter_way(outline, box, width, lap)
        note = f"{len(floor)} strip{'' if len(floor) == 1 else 's'} on the floor"
    band = 2 * (pan.across + pan.along) + WALLS * lap
    rolls = _share(pan.rise + lap, width, lap) * band
    curb = _share(pan.over_curb + 2 * lap, width, lap) * max(pan.across, pan.along) if pan.has_curb else 0.0
    shown = [_shown(basket, one) for one in (width, roll)]
    basket.add(
        GROUP,
        slug("liner", "bonded-sheet"),
        f"bonded sheet membrane, rolls of {shown[0]} by {shown[1]}",
        "roll",
        length(sum(floor) + rolls + curb),
        roll,
        f"{name}: {_how(basket, pan)}; {note}, laps of {_shown(basket, lap)}",
        used,
    )
    corners = WALLS + (ROUND_CURB if pan.has_curb else 0)
    basket.add(
        GROUP,
        slug("liner-corner", "bonded-sheet"),
        "corners for bonded sheet membrane",
        "each",
        count(corners),
        1.0,
        f"{name}: {WALLS} inside{f', {ROUND_CURB} at the curb' if pan.has_curb else ''}",
        Used(),
    )


def _share(band: float, width: float, lap: float) -> float:
    """Length of roll for each inch of a band: several side by side from one width, or several widths for one."""
    if band <= width:
        return 1 / int(width / band + 1e-9)
    return float(ceil((band - lap) / (width - lap) - 1e-9))


def _liquid(basket: Basket, wet: WetArea, name: str, pan: Pan) -> None:
    used = _used(pan)
    floor = 0.0 if _membrane_lies(basket, wet) else pan.across * pan.along
    note = "" if floor else "; its floor is counted with the floor's membrane"
    area = floor + 2 * (pan.across + pan.along) * pan.rise + pan.over_curb * max(pan.across, pan.along)
    basket.add(
        GROUP,
        slug("liner", "liquid"),
        "liquid membrane",
        "gal",
        volume(area / used("liquid-coverage") * GALLON),
        1.0,
        f"{name}: {_how(basket, pan)}; two coats on {render(area_of(area), basket.units, hair=False)}{note}",
        used,
    )
