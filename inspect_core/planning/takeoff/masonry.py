"""New piers: bricks or blocks by outside size and height, mortar to lay them, what fills hollow ones, cast ones."""

from __future__ import annotations

from math import ceil

from inspect_core.planning.takeoff.supplies import (
    CU_FT,
    GALLON,
    Basket,
    Used,
    count,
    length,
    slug,
    supplies,
    volume,
    weight,
)
from inspect_core.quantities import Quantity, Units, render
from inspect_core.site.model import Pier

GROUP = "masonry"
BLOCKS = ("block-hollow", "block-filled")
NEEDED = ("width", "length", "height")


def piers(basket: Basket) -> None:
    """Lines for every new pier of the area."""
    for pier in basket.area.piers or ():
        name = f"pier {pier.id}"
        if not basket.bought(GROUP, name, pier.work, pier.path, "pier.work"):
            continue
        missing = [f"pier.{field}" for field in NEEDED if getattr(pier, field) is None]
        if pier.material is None:
            basket.unknown(GROUP, name, "what it is made of is not known", pier.path, "pier.material")
        elif pier.material not in (*BLOCKS, "brick", "concrete"):
            why = f"{pier.material.replace('-', ' ')}: counted by its drawing"
            basket.unknown(GROUP, name, why, pier.path)
        elif missing:
            basket.unknown(GROUP, name, "how large it is is not known", pier.path, *missing)
        elif pier.width is not None and pier.length is not None and pier.height is not None:
            size = (min(pier.width.middle, pier.length.middle), max(pier.width.middle, pier.length.middle))
            if pier.material == "brick":
                _bricks(basket, pier, name, size, pier.height)
            elif pier.material == "concrete":
                _cast(basket, name, pier.width.high * pier.length.high * pier.height.high)
            else:
                _blocks(basket, pier, name, size, pier.height)


def _units_across(side: float, module: float, slack: float) -> int | None:
    """How many units with their joint make up a side (in); ``None`` where no number of them does."""
    number = round(side / module)
    return number if number >= 1 and abs(side - number * module) <= slack else None


def _courses(height: float, module: float, slack: float) -> int:
    return max(0, ceil((height - slack) / module - 1e-9))


def _bricks(basket: Basket, pier: Pier, name: str, size: tuple[float, float], height: Quantity) -> None:
    """Solid brick to the top: a brick is two squares of its width, laid in turn lengthwise and across."""
    used = Used()
    side, slack = used(f"brick/{basket.units}/side"), used("masonry-slack")
    across, along = (_units_across(one, side, slack) for one in size)
    if across is None or along is None:
        why = f"its sides are no multiple of a brick's {_shown(basket, side)}: count it by its drawing"
        basket.unknown(GROUP, name, why, pier.path, "pier.width", "pier.length")
        return
    each = across * along / 2
    courses = _courses(height.high, used(f"brick/{basket.units}/course"), slack)
    number = each * courses * (1 + used("masonry-loss"))
    basket.add(
        GROUP,
        "brick",
        "brick, solid, modular",
        "each",
        count(number),
        1.0,
        f"{name}: {each:g} to a course, {_number(courses, 'course')}, and some to spare",
        used,
    )
    _mortar(basket, name, each * courses, "bricks-a-bag")


def _blocks(basket: Basket, pier: Pier, name: str, size: tuple[float, float], height: Quantity) -> None:
    """Block as wide as the pier, or several side by side, crossed from course to course; solid cap blocks on top."""
    used = Used()
    units = basket.units
    side, slack = used(f"block/{units}/side"), used("masonry-slack")
    along = _units_across(size[1], side, slack)
    key, across = _width(size[0], units, slack)
    if across is None or along is None:
        why = "no block makes up its width and length: count it by its drawing"
        basket.unknown(GROUP, name, why, pier.path, "pier.width", "pier.length")
        return
    each = across * along / 2
    cap = pier.cap.high if pier.cap is not None else 0.0
    if pier.cap is None and pier.material == "block-hollow":
        why = "whether a solid cap lies on its hollow block is not known: counted as block to the top"
        basket.unknown(GROUP, f"cap of {name}", why, pier.path, "pier.cap")
    width = used(key)
    course = used(f"block/{units}/course")
    courses = _courses(height.high - cap, course, slack)
    shown = _size(basket, width, course, 2 * side)
    basket.add(
        GROUP,
        slug("block", shown),
        f"concrete block, {shown} with its joints",
        "each",
        count(each * courses * (1 + used("masonry-loss"))),
        1.0,
        f"{name}: {each:g} to a course, {_number(courses, 'course')}, and some to spare",
        used,
    )
    _mortar(basket, name, each * courses, f"blocks-a-bag/{key.removeprefix('block/')}")
    if cap > 0:
        _caps(basket, name, each, cap, (width, 2 * side), slack)
    if pier.material == "block-filled":
        _fill(basket, name, each * courses, width * course * 2 * side)


def _width(width: float, units: Units, slack: float) -> tuple[str, int | None]:
    """The first kind of block of which a whole number makes up a width (in): its key, and how many."""
    prefix = f"block/{units}/width/"
    for key in (key for key in supplies() if key.startswith(prefix)):
        across = _units_across(width, supplies()[key].value, slack)
        if across is not None:
            return key, across
    return "", None


def _caps(basket: Basket, name: str, each: float, cap: float, across: tuple[float, float], slack: float) -> None:
    """Solid blocks on top of hollow ones; ``across`` is the width and length of one (in)."""
    used = Used()
    thick = used(f"block/{basket.units}/cap")
    layers = max(1, _courses(cap, thick, slack))
    shown = _size(basket, across[0], thick, across[1])
    basket.add(
        GROUP,
        slug("cap-block", shown),
        f"solid cap block, {shown} with its joints",
        "each",
        count(each * layers * (1 + used("masonry-loss"))),
        1.0,
        f"{name}: {each:g} to a course, {layers} on top",
        used,
    )
    _mortar(basket, name, each * layers, "blocks-a-bag/cap")


def _fill(basket: Basket, name: str, number: float, each: float) -> None:
    """What fills the cores of so many blocks, of ``each`` cubic inches outside."""
    used = Used()
    basket.add(
        GROUP,
        "core-fill",
        "core fill for block",
        "bag of 80 lb",
        volume(number * each * used("block-cores") * (1 + used("concrete-loss"))),
        used("concrete-bag") * CU_FT / GALLON,
        f"{name}: cores of {_number(number, 'block')}",
        used,
    )


def _number(count: float, word: str) -> str:
    return f"{count:g} {word}{'' if count == 1 else 's'}"


def _cast(basket: Basket, name: str, cubic: float) -> None:
    used = Used()
    basket.add(
        "concrete",
        "concrete-mix",
        "concrete mix",
        "bag of 80 lb",
        volume(cubic * (1 + used("concrete-loss"))),
        used("concrete-bag") * CU_FT / GALLON,
        f"{name}, cast in place; its form is not counted",
        used,
    )


def _mortar(basket: Basket, name: str, number: float, key: str) -> None:
    """Mortar by the number of units that a bag lays."""
    used = Used()
    bag = used("masonry-mortar-bag")
    basket.add(
        GROUP,
        "masonry-mortar",
        "mortar for masonry",
        f"bag of {bag:g} lb",
        weight(number / used(key) * bag),
        bag,
        name,
        used,
    )


def _shown(basket: Basket, inches: float) -> str:
    return render(length(inches), basket.units, hair=False)


def _size(basket: Basket, *sides: float) -> str:
    """A size as the yard says it: `8 x 8 x 16 in`."""
    shown = [f"{one:g}" if basket.units == "in" else f"{one * 25.4:.0f}" for one in sides]
    return f"{' x '.join(shown)} {basket.units}"
