"""What comes in rolls and by area: felt, membranes, films, ground cover, boards and finishes."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, hypot

from inspect_core.planning.layout.region import Box, Point, clipped, sides
from inspect_core.planning.takeoff.supplies import (
    BOUGHT,
    FLOOR_UNITS,
    GALLON,
    Basket,
    Used,
    area_of,
    length,
    slug,
    volume,
)
from inspect_core.quantities import Quantity, render
from inspect_core.site.model import GroundCover, Layer, Path

ROLLS = ("felt", "membrane", "uncoupling", "slip-sheet", "vapor-retarder")
BY_AREA = ("boards", "insulation", "heating", "resilient", "wood-floor")
FILMS = ("polyethylene", "reinforced-sheet")
SAME_SHARE = 0.1  # the crawl space counts as the room's ground where their areas differ by less than this
LEAST_LEFT = 0.25  # of a roll's width beside its laps: twice covered leaves a half
FAR = 1e9


def box_of(layer: Layer) -> Box | None:
    """The part of the floor that a layer covers; ``None`` where that isn't known."""
    spans: list[float] = []
    for pair in (None, None) if layer.region is None else (layer.region.across, layer.region.along):
        if pair is None:
            spans += [-FAR, FAR]
        elif pair[0] is None or pair[1] is None:
            return None
        else:
            spans += sorted((pair[0].middle, pair[1].middle))
    return spans[0], spans[1], spans[2], spans[3]


def floor_box(basket: Basket, layer: Layer) -> tuple[Sequence[Point], Box] | None:
    """The room's outline and the rectangle that bounds what the layer covers of it."""
    corners = [(x.high, y.high) for x, y in basket.area.room_corners]
    box = box_of(layer)
    if not corners or box is None:
        return None
    xs, ys = zip(*corners, strict=True)
    box = (max(box[0], min(xs)), min(box[1], max(xs)), max(box[2], min(ys)), min(box[3], max(ys)))
    return corners, box


def covered(basket: Basket, layer: Layer) -> float | None:
    """Square inches that a layer covers, openings that stay open left out; ``None`` where the room isn't known."""
    floor = floor_box(basket, layer)
    return None if floor is None else sum(s.area for s in clipped(floor[0], holes(basket), floor[1]))


def holes(basket: Basket) -> list[list[Point]]:
    """Openings that stay open."""
    found: list[list[Point]] = []
    for opening in basket.area.openings or ():
        spans = [[q.middle for q in pair if q is not None] for pair in (opening.across, opening.along) if pair]
        if opening.plan == "stays-open" and len(spans) == 2 and all(len(span) == 2 for span in spans):
            (a, b), (c, d) = sorted(spans[0]), sorted(spans[1])
            found.append([(a, c), (b, c), (b, d), (a, d)])
    return found


def runs(outline: Sequence[Point], box: Box, width: float, lap: float) -> list[float]:
    """Lengths of the strips of a roll laid side by side across a room with laps, each as long as its part of it."""
    low, high = box[2], box[3]
    pitch = width - lap
    number = max(1, ceil((high - low - lap) / pitch - 1e-9))
    found = []
    for n in range(number):
        strips = clipped(outline, (), (box[0], box[1], low + n * pitch, min(low + n * pitch + width, high)))
        if strips:
            found.append(max(max(s.right) for s in strips) - min(min(s.left) for s in strips))
    return found


def shorter_way(outline: Sequence[Point], box: Box, width: float, lap: float) -> list[float]:
    """Strips the way in which less of the roll is used."""
    turned = [(y, x) for x, y in outline]
    ways = [runs(outline, box, width, lap), runs(turned, (box[2], box[3], box[0], box[1]), width, lap)]
    return min(ways, key=lambda strips: (sum(strips), len(strips)))


def strips_word(strips: Sequence[float]) -> str:
    """`1 strip`, `3 strips`."""
    return f"{len(strips)} strip{'' if len(strips) == 1 else 's'}"


def rolls_for(strips: Sequence[float], roll: float, lap: float) -> float:
    """Length of roll for these strips: where one goes on from a new roll, it laps."""
    total = sum(strips)
    return total + lap * max(0, ceil(total / roll) - 1)


def add_roll(basket: Basket, layer: Layer) -> None:
    """One layer of felt, membrane or film."""
    kind, group = layer.kind or "", "felt and membranes"
    name = f"{layer.id or kind}: {layer.material or kind}"
    floor = floor_box(basket, layer)
    if floor is None:
        basket.unknown(group, name, "the room or the part of it that this covers is not known", layer.path,
                       "area.outline", "layer.region")  # fmt: skip
        return
    used = Used()
    if "liquid" in (layer.material or "").lower():
        area = covered(basket, layer) or 0.0
        gallons = volume(area / used("liquid-coverage") * GALLON)
        basket.add(group, slug(kind, layer.material or ""), name, "gal", gallons, 1.0,
                   f"two coats on {render(area_of(area), basket.units, hair=False)}", used)  # fmt: skip
        return
    if layer.laps is None:
        basket.unknown(group, name, "how far its sheets lap is not known (write 0 where they butt)", layer.path,
                       "layer.laps")  # fmt: skip
        return
    width, roll, lap = used(f"roll-width/{kind}"), used(f"roll-length/{kind}"), layer.laps.high
    if not _laps_fit(basket, group, name, layer.path, "layer.laps", width, lap):
        return
    strips = shorter_way(*floor, width, lap)
    need = rolls_for(strips, roll, lap)
    shown = [render(length(value), basket.units, hair=False) for value in (width, roll)]
    basket.add(
        group,
        slug(kind, layer.material or ""),
        f"{name}, rolls of {shown[0]} by {shown[1]}",
        "roll",
        length(need),
        roll,
        f"{strips_word(strips)} with laps of {render(layer.laps, basket.units)}",
        used,
    )


def _laps_fit(basket: Basket, group: str, name: str, path: Path, asks: str, width: float, lap: float) -> bool:
    """Whether laps (in) leave enough of a roll's width to cover something; told where they don't."""
    if width - lap >= LEAST_LEFT * width:
        return True
    shown = [render(length(value), basket.units, hair=False) for value in (lap, width)]
    basket.unknown(group, name, f"laps of {shown[0]} leave next to nothing of a roll {shown[1]} wide", path, asks)
    return False


def add_by_area(basket: Basket, layer: Layer) -> None:
    """Boards, floor coverings, heating: bought by the area, with an allowance."""
    area = covered(basket, layer)
    name = f"{layer.id or layer.kind}: {layer.material or layer.kind}"
    if area is None:
        basket.unknown("floor", name, "the room or the part of it that this covers is not known", layer.path,
                       "area.outline", "layer.region")  # fmt: skip
        return
    used = Used()
    unit, holds = FLOOR_UNITS[basket.units]
    basket.add("floor", slug(layer.kind or "", layer.material or ""), name, unit,
               area_of(area * (1 + used("area-loss"))), holds, "by area with an allowance for cuts", used)  # fmt: skip


# --- the ground ------------------------------------------------------------------------------------------------------


def ground_cover(basket: Basket) -> None:
    """Film on the ground of the area's own crawl space, with laps and turned up at the walls."""
    space = basket.area.crawl_space
    cover = space.ground_cover if space is not None else None
    if space is None or cover is None or cover.kind in ("none", None):
        return
    name = f"ground cover, {cover.kind.replace('-', ' ')}"
    if not basket.bought("ground cover", name, cover.work, cover.path, "ground_cover.work"):
        return
    if cover.kind not in FILMS:
        basket.unknown("ground cover", name, "only films are counted here", cover.path)
        return
    for value, word, asks in (
        (cover.laps, "how far its sheets lap", "ground_cover.laps"),
        (cover.wall_upturn, "how far it is turned up at walls", "ground_cover.wall_upturn"),
    ):
        if value is None:
            basket.unknown("ground cover", name, f"{word} is not known", cover.path, asks)
    ground = _ground(basket, space.floor_area)
    if ground is None:
        basket.unknown("ground cover", name, "the size of the ground is not known", space.path, "area.outline",
                       "crawl_space.floor_area")  # fmt: skip
    elif cover.laps is not None and cover.wall_upturn is not None:
        _film(basket, cover, name, ground, cover.laps.high, cover.wall_upturn.high)


def _ground(basket: Basket, told: Quantity | None) -> tuple[list[Point], str] | None:
    """Outline of the ground: the room's, or a square where the crawl space is told to have another area."""
    corners = [(x.high, y.high) for x, y in basket.area.room_corners]
    room = basket.area.floor_area
    same = room is not None and (told is None or abs(room.middle - told.middle) <= SAME_SHARE * room.middle)
    if corners and same:
        return corners, "as large as the room over it"
    if told is None or told.high <= 0:
        return None
    side = told.high**0.5
    return [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)], "taken as a square of its area"


def _film(
    basket: Basket, cover: GroundCover, name: str, ground: tuple[list[Point], str], lap: float, upturn: float
) -> None:
    used = Used()
    outline, note = ground
    xs, ys = zip(*outline, strict=True)
    box = (min(xs) - upturn, max(xs) + upturn, min(ys) - upturn, max(ys) + upturn)
    grown = _grown(outline, upturn)
    width, roll = used(f"roll-width/{cover.kind}"), used(f"roll-length/{cover.kind}")
    if not _laps_fit(basket, "ground cover", name, cover.path, "ground_cover.laps", width, lap):
        return
    strips = shorter_way(grown, box, width, lap)
    shown = [render(length(value), basket.units, hair=False) for value in (width, roll)]
    thick = render(cover.thickness, basket.units) if cover.thickness is not None else ""
    if not thick:
        basket.unknown("ground cover", name, "its thickness is not known, so it can't be ordered", cover.path,
                       "ground_cover.thickness")  # fmt: skip
    basket.add(
        "ground cover",
        slug("ground-cover", cover.kind or "", thick),
        f"{name}{', ' + thick if thick else ''}, rolls of {shown[0]} by {shown[1]}",
        "roll",
        length(rolls_for(strips, roll, lap)),
        roll,
        f"{strips_word(strips)}, laps of {render(length(lap), basket.units)}, "
        f"{render(length(upturn), basket.units)} up the walls; the ground {note}",
        used,
    )
    if cover.sealed:
        used = Used()
        laps = sum(strips[:-1])
        around = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in sides(outline))
        basket.add("ground cover", "ground-cover-tape", "seam tape", "roll", length(laps + around),
                   used("tape-roll/ground-cover"), "laps, and all round at the walls", used)  # fmt: skip


def _grown(outline: Sequence[Point], by: float) -> list[Point]:
    """The outline stretched from its middle so far that its box grows by so much on each side."""
    xs, ys = zip(*outline, strict=True)
    cx, cy = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    fx = 1 + 2 * by / (max(xs) - min(xs))
    fy = 1 + 2 * by / (max(ys) - min(ys))
    return [(cx + (x - cx) * fx, cy + (y - cy) * fy) for x, y in outline]


def is_bought(basket: Basket, layer: Layer, group: str) -> bool:
    """Whether this job buys a layer; unknown work is told."""
    name = f"{layer.id or ''} {layer.kind or 'layer of unknown kind'}".strip()
    if layer.kind is None and layer.work in BOUGHT:
        basket.unknown(group, name, "what it is is not known", layer.path, "layer.kind")
        return False
    return basket.bought(group, name, layer.work, layer.path, "layer.work")
