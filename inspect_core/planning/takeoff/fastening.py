"""Nails, screws and hangers by count, and in the boxes or pounds in which they are sold."""

from __future__ import annotations

import re
from dataclasses import replace
from math import ceil, floor, pi
from typing import Literal, cast

from inspect_core.engineering.fasteners import nail
from inspect_core.planning.layout.lay import limit_value
from inspect_core.planning.takeoff.lumber import block_lengths, joist_length
from inspect_core.planning.takeoff.supplies import BOUGHT, GALLON, Basket, Used, count, length, slug, volume, weight
from inspect_core.quantities import Dimension, Quantity, exactly, render
from inspect_core.rules_api import Limits
from inspect_core.site.model import Fasteners, Joist, Path, Sister
from inspect_core.site.sections import resolve_section

GROUP = "fasteners"
BY_WEIGHT = ("nail", "ring-shank-nail", "screw-shank-nail", "roofing-nail")
PENNY = re.compile(r"\b(\d{1,2})\s*-?\s*(?:d|penny)\b", re.IGNORECASE)
SILL_NAIL = "8d-common"
ENDS_OF_BLOCK = 2


def add_fasteners(basket: Basket, held: Fasteners, number: int, what: str, path: Path) -> None:
    """A line for so many of these; spares are added."""
    kind = held.kind
    if kind is None:
        basket.unknown(GROUP, what, "the kind of fastener is not known", path, "fasteners.kind")
        return
    used = Used()
    spare = number * (1 + used("fastener-spares"))
    held = _with_size(held)
    size = [render(q, basket.units) for q in (held.diameter, held.length) if q is not None]
    name = held.name or kind.replace("-", " ")
    title = f"{name}, {' x '.join(size)}" if size else name
    code = slug(kind, held.name or "", *([size[-1]] if size and held.length is not None else []))
    how = f"{what}; {number} and spares"
    if kind in BY_WEIGHT:
        if held.diameter is None or held.length is None:
            why = f"{number} of them: shank and length are not known, so not how many go to the pound"
            basket.unknown(GROUP, f"{title} {what}", why, path, "fasteners.diameter", "fasteners.length")
            return
        pounds = spare * nail_weight(held.diameter.high, held.length.high, used)
        box = used("nail-box")
        basket.add(GROUP, code, title, "lb", weight(pounds), box, how, used)
        return
    key = f"box/{kind}"
    try:
        box = used(key)
    except KeyError:
        basket.unknown(GROUP, f"{title} {what}", f"{number} of them: no box size is known for this kind", path)
        return
    unit = "each" if box == 1 else f"box of {box:g}"
    basket.add(GROUP, code, title, unit, count(spare), box, how, used)


def _with_size(held: Fasteners) -> Fasteners:
    """Shank and length by the trade name, where it names one size of nail and nobody has measured."""
    found = PENNY.search(held.name or "")
    kinds = [kind for kind in ("common", "box", "sinker") if kind in (held.name or "").lower()]
    if found is None or len(kinds) != 1 or held.kind not in BY_WEIGHT:
        return held
    try:
        size = nail(cast("Literal['common', 'box', 'sinker']", kinds[0]), int(found[1]))
    except LookupError:
        return held
    shank, long = (exactly(value, Dimension.LENGTH) for value in (size.diameter_in, size.length_in))
    return replace(held, diameter=held.diameter or shank, length=held.length or long)


def nail_weight(shank: float, long: float, used: Used) -> float:
    """Weight of one nail in pounds, from its wire (in) and its head."""
    return pi / 4 * shank**2 * long * used("steel") * (1 + used("nail-head"))


def frame(basket: Basket, limits: Limits) -> None:
    """What holds new joists, sisters and blocks."""
    for joist in basket.area.joists or ():
        for sister in joist.sisters or ():
            if sister.work == "new" or (sister.work is None and joist.work in BOUGHT):
                _sister(basket, joist, sister)
        _hangers(basket, joist)
    _sill_nails(basket, limits)
    for block in basket.area.blocking or ():
        lengths = block_lengths(basket.area, block) if block.work in BOUGHT else None
        if lengths is None:
            continue
        name = f"blocking {block.id}".strip()
        if block.fasteners is None or block.fasteners.count is None:
            basket.unknown(GROUP, name, "how many at each end is not known", block.path, "fasteners.count")
            continue
        number = round(block.fasteners.count.high) * ENDS_OF_BLOCK * len(lengths)
        add_fasteners(
            basket,
            block.fasteners,
            number,
            f"for {name}: {len(lengths)} {'block' if len(lengths) == 1 else 'blocks'}, both ends",
            block.path,
        )


def _sister(basket: Basket, joist: Joist, sister: Sister) -> None:
    name = f"sister of {joist.id}"
    held = sister.fasteners
    long = joist_length(basket.area, joist, sister.bearing) if sister.full_length else None
    if long is None and sister.begins is not None and sister.ends is not None:
        long = abs(sister.ends - sister.begins)
    if held is None or held.spacing is None or held.rows is None or long is None:
        basket.unknown(GROUP, name, "nail size, rows, spacing or the sister's length is not known", sister.path,
                       "fasteners.spacing", "fasteners.rows", "sister.fasteners")  # fmt: skip
    else:
        rows = round(held.rows.high)
        number = rows * (floor(long.high / held.spacing.low) + 1) * (2 if sister.side == "both" else 1)
        what = f"for {name}: {rows} rows, {render(held.spacing, basket.units)} apart"
        add_fasteners(basket, held, number, what, sister.path)
    if sister.glued:
        _sister_glue(basket, sister, name, long)


def _sister_glue(basket: Basket, sister: Sister, name: str, long: Quantity | None) -> None:
    """Beads along the whole length, so far apart, on each side that has a sister."""
    section = resolve_section(sister.size, sister.sizes, sister.thickness, sister.depth, None, sister.work)
    missing = [*(["sister.size"] if section.depth is None else []), *([] if long else ["sister.begins", "sister.ends"])]
    if section.depth is None or long is None:
        basket.unknown(
            "adhesive", name, "its depth or length is not known, so not how much glue", sister.path, *missing
        )
        return
    used = Used()
    beads = max(2, ceil(section.depth.high / used("sister-beads-apart") - 1e-9))
    sides = 2 if sister.side == "both" else 1
    width = used("sister-bead")
    runs = beads * sides * long.high
    both = ", both sides" if sides == 2 else ""
    how = f"{name}: {beads} beads of {render(length(width), basket.units)} along its length{both}"
    add_tubes(basket, runs, width, how, used)


def add_tubes(basket: Basket, runs: float, bead: float, how: str, used: Used) -> None:
    """Tubes of construction adhesive for a bead so wide and long (in)."""
    needed = runs * pi / 4 * bead**2 * (1 + used("adhesive-loss"))
    size = used("adhesive-tube")
    basket.add(
        "adhesive",
        slug("adhesive", f"{size:g}-oz"),
        f"construction adhesive, tubes of {size:g} fl oz",
        "tube",
        volume(needed),
        size * used("fluid-ounce") / GALLON,
        how,
        used,
    )


def _hangers(basket: Basket, joist: Joist) -> None:
    for carrier, hanger in joist.hung.items():
        if hanger.by not in ("hanger", "framing-anchor"):
            continue
        name = f"{hanger.by.replace('-', ' ')} of joist {joist.id} at {carrier}"
        if hanger.as_member and joist.work == "existing":
            why = "the joist is existing work, and it is not said whether its hanger is new"
            basket.unknown("hangers", name, why, hanger.path, "hanger.work")
            continue
        if not basket.bought("hangers", name, hanger.work, hanger.path, "hanger.work"):
            continue
        model = hanger.model or f"for {_size(joist, basket)}"
        basket.add("hangers", slug(hanger.by, model), f"{hanger.by.replace('-', ' ')}, {model}", "each", count(1), 1.0,
                   f"joist {joist.id} at {carrier}", Used())  # fmt: skip
        nails = hanger.fasteners
        if nails is None or nails.count is None:
            basket.unknown(GROUP, name, "how many nails fill it stands in its maker's table", hanger.path,
                           "fasteners.count")  # fmt: skip
        else:
            add_fasteners(basket, nails, round(nails.count.high), f"for {name}", hanger.path)


def _size(joist: Joist, basket: Basket) -> str:
    section = joist.section
    if section.thickness is None or section.depth is None:
        return "a joist of unknown size"
    return f"{render(section.thickness, basket.units)} x {render(section.depth, basket.units)}"


def _sill_nails(basket: Basket, limits: Limits) -> None:
    """Toenails of new joists where they sit on wood, as many as the limit in force asks for."""
    each = limit_value(limits, "joist-sill-nails", SILL_NAIL)
    new = [joist for joist in basket.area.joists or () if joist.work == "new"]
    ends = sum(
        1 for joist in new for carrier in (joist.from_, joist.to)
        if carrier not in joist.hung and carrier in basket.area.carriers
    )  # fmt: skip
    if each is None or not ends:
        return
    toenail = Fasteners(kind="nail", name=SILL_NAIL.replace("-", " "))
    what = f"for new joists: {round(each)} at each of {ends} ends"
    add_fasteners(basket, toenail, round(each) * ends, what, basket.area.path)
