"""Backer board under tile: the wood below it, bedding, fasteners, joints."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from inspect_core.quantities import (
    Dimension,
    Quantity,
    QuantityError,
    maximum,
    minimum,
    parse,
)
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.buildup import structural, thickness
from inspect_core.site.model import Layer
from inspect_wood_floor._labels import names_one
from inspect_wood_floor._layering import absent, below, is_wet, material_of, names_standard, of_kind, widest_bay

BASES = ("plywood", "osb")


@rule(
    "backer-subfloor",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="wood under the backer",
    limits=["backer-subfloor", "layer-materials"],
    measures=["layer.thickness", "layer.material"],
    provisions=["backer-subfloor-min", "backer-no-structure"],
    cautions=["tile-dust"],
    remedy="Lay another panel under the backer, glued and screwed to the first. Backer itself adds no stiffness.",
)
def backer_subfloor(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels under backer board are as thick as its maker asks.

    Backer board is brittle: it follows the wood below it, and cracks where that dips.
    """
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        under = structural(below(area, backer))
        panels = tuple(layer for layer in under if layer.kind == "panel")
        if not under:
            yield not_measured(named(backer), because="no panels are listed under it", asks=("area.layers",))
            continue
        if not panels:
            found = "boards only"
            yield fact(named(backer), False, expected="panels lie under the backer", found=found, path=under[-1].path)
            continue
        materials = {material_of(layer, limits) for layer in panels}
        material = materials.pop() if len(materials) == 1 else None
        if material is not None and material not in BASES:
            found = f"on {panels[-1].material}"
            yield fact(
                named(backer), None, expected="plywood or OSB lies under it", found=found, asks=("layer.material",)
            )
            continue
        least = limits.between("backer-subfloor", material, BASES)
        asks = ("layer.thickness", "layer.material")
        yield check(named(backer), measured=thickness(panels), at_least=least, asks=asks)


@rule(
    "backer-joist-spacing",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="widest bay",
    limits=["backer-joist-spacing"],
    measures=["joist.at", "area.outline"],
    provisions=["backer-joist-max"],
    cautions=["crawl-space"],
    remedy="Put a joist in the wide bay before the backer goes down; ask a licensed engineer if that can't be done.",
)
def backer_joist_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists under backer board are no farther apart than its maker allows."""
    yield from absent(area, "backer board", "backer")
    widest = widest_bay(area)
    for backer in of_kind(area, "backer"):
        limit = limits["backer-joist-spacing"]
        yield widest.soften(check(named(backer), measured=widest.spacing, at_most=limit))


@rule(
    "backer-not-gypsum",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="backer",
    limits=["backer-standards", "layer-materials"],
    measures=["layer.material", "layer.standard"],
    provisions=["wr-gypsum-limits"],
    remedy="Replace it with cement or fibre-cement backer, or with a coated gypsum backer that names its standard.",
)
def backer_not_gypsum(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer under tile is no plain or water-resistant gypsum board.

    It softens where water gets through grout; only coated gypsum backers with a standard of their own may be used.
    """
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        material = material_of(backer, limits)
        known = backer.standard is not None
        listed = known and names_one(backer.standard or "", limits["backer-standards"].words)
        holds = None if material is None else True if material != "gypsum" or listed else False if known else None
        expected = "the backer is cement or fibre-cement, or a coated board with its standard"
        found = f"made of {backer.material}" if backer.material else ""
        yield fact(named(backer), holds, expected=expected, found=found)


@rule(
    "backer-standard",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="standard",
    limits=["backer-standards"],
    measures=["layer.standard", "area.wet_areas"],
    provisions=["backer-standards"],
    remedy="Keep the label or data sheet that names the standard; otherwise replace the board where water hits.",
)
def backer_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer where water hits carries a listed backer standard."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        wet = is_wet(area, backer)
        answer = names_standard(backer, limits["backer-standards"], "backer")
        if wet is False:
            answer = does_not_apply(named(backer), "no shower or wet room here")
        elif wet is None and answer.outcome == FALLS_SHORT:
            answer = replace(answer, outcome=NOT_MEASURED, asks=("area.wet_areas",))
        yield answer


@rule(
    "backer-bedding",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="bedding",
    measures=["layer.bedded"],
    provisions=["backer-bedding"],
    remedy="Lift the board and lay it in fresh thin-set combed onto the wood; screws alone leave hollows under it.",
)
def backer_bedding(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer board is bedded in mortar, not just screwed down.

    The mortar is no glue; it fills every hollow so that the board can't move and crush.
    """
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        under = below(area, backer)
        on_mortar = bool(under) and under[-1].kind in ("thin-set", "mortar-bed")
        bedded = backer.bedded if backer.bedded is not None else True if on_mortar else None
        yield fact(named(backer), bedded, expected="it lies in a bed of mortar", found="" if bedded else "not bedded")


@rule(
    "backer-trowel",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="tile.backer",
    quantity="notch",
    limits=["backer-notch"],
    measures=["layer.trowel"],
    provisions=["backer-bedding"],
    remedy="Comb the bedding mortar with a square notch of the maker's size.",
)
def backer_trowel(area: Area, limits: Limits) -> Iterator[Check]:
    """The mortar under backer board is combed with a notch deep enough to fill the hollows."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        under = below(area, backer)
        mortar = under[-1] if under and under[-1].kind == "thin-set" else None
        text = backer.trowel or (mortar.trowel if mortar else None)
        yield check(named(backer), measured=notch(text), at_least=limits["backer-notch"], found=text or "")


def notch(trowel: str | None) -> Quantity | None:
    """Depth of a trowel's notch as written (``1/4 x 3/8 square``, ``6 mm``): the smaller number.

    A bare number is inches, as notches are named; ``None`` when it can't be read.
    """
    if trowel is None:
        return None
    text = trowel.lower().replace("×", "x").replace("by", "x")
    unit = " mm" if "mm" in text else ""
    for word in ("square", "notched", "notch", "trowel", "u-notch", "v-notch", "mm", "in", '"'):
        text = text.replace(word, " ")
    sides: list[Quantity] = []
    for part in text.split("x"):
        try:
            side = parse(part.strip() + unit, Dimension.LENGTH, "in")
        except QuantityError:
            return None
        if side is None:
            return None
        sides.append(side)
    return minimum(*sides) if sides else None


@rule(
    "backer-fastener-spacing",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="fastener spacing",
    limits=["backer-fastener-spacing"],
    measures=["layer.fasteners", "fasteners.edges", "fasteners.field"],
    provisions=["backer-fastener-grid"],
    cautions=["tile-dust"],
    remedy="Add backer screws or roofing nails so that they stand no farther apart both ways, over the whole board.",
)
def backer_fastener_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer board is fastened on a close grid over the whole board."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        yield check(named(backer), measured=_widest_spacing(backer), at_most=limits["backer-fastener-spacing"])


def _widest_spacing(layer: Layer) -> Quantity | None:
    """The wider of edge and field spacing; a single spacing counts for both."""
    fasteners = layer.fasteners
    if fasteners is None:
        return None
    if fasteners.edges is not None and fasteners.field is not None:
        return maximum(fasteners.edges, fasteners.field)
    return fasteners.spacing if fasteners.edges is None and fasteners.field is None else None


@rule(
    "backer-fastener-edge",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="edge distance",
    limits=["backer-edge-least", "backer-edge-most"],
    measures=["fasteners.edge_distance"],
    provisions=["backer-edge-dist"],
    remedy="Put another fastener beside it at the right distance from the edge; leave the corners two inches free.",
)
def backer_fastener_edge(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners along a backer board's edge are near enough to hold it and far enough not to break it out."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        distance = backer.fasteners.edge_distance if backer.fasteners else None
        low, high = limits["backer-edge-least"], limits["backer-edge-most"]
        yield check(named(backer), measured=distance, at_least=low, at_most=high)


@rule(
    "backer-fastener-kind",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="fastener",
    limits=["backer-fasteners"],
    measures=["layer.fasteners", "fasteners.kind"],
    provisions=["backer-screw"],
    remedy="Take out drywall screws and put in backer screws or roofing nails that don't rust.",
)
def backer_fastener_kind(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer board is held by backer screws or roofing nails, never by drywall screws.

    Drywall screws snap in cement board and rust in wet mortar.
    """
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        kind = backer.fasteners.kind if backer.fasteners else None
        yield check(named(backer), measured=kind, one_of=limits["backer-fasteners"])


@rule(
    "backer-gap",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="joint",
    limits=["backer-gap"],
    measures=["layer.gap"],
    provisions=["backer-gap"],
    remedy="Open the joints between boards, fill them with mortar and tape them with alkali-resistant mesh.",
)
def backer_gap(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer boards stand a little apart, so that the joint can be filled and taped."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        yield check(named(backer), measured=backer.gap, at_least=limits["backer-gap"])


@rule(
    "backer-wall-gap",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="gap at the wall",
    limits=["backer-wall-gap"],
    measures=["layer.wall_gap"],
    provisions=["backer-wall-gap"],
    remedy="Cut the board back from walls, tubs and cabinets, and leave the gap free of mortar.",
)
def backer_wall_gap(area: Area, limits: Limits) -> Iterator[Check]:
    """Backer board stands off walls and fixed parts."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        yield check(named(backer), measured=backer.wall_gap, at_least=limits["backer-wall-gap"])


@rule(
    "backer-offset",
    hold_point="wet-area",
    severity=ADVISORY,
    reference="tile.backer",
    quantity="offset",
    limits=["backer-offset"],
    measures=["layer.edge_offset", "layer.end_offset"],
    provisions=["backer-no-four-corners"],
    remedy="Shift the boards so that their joints stand off the panel joints below, and no four corners meet.",
)
def backer_offset(area: Area, limits: Limits) -> Iterator[Check]:
    """Joints of backer boards stand off the panel joints below.

    Two joints over one another are one crack waiting.
    """
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        known = [offset for offset in (backer.edge_offset, backer.end_offset) if offset is not None]
        answer = check(named(backer), measured=minimum(*known) if known else None, at_least=limits["backer-offset"])
        if len(known) < 2 and answer.outcome == MEETS:
            answer = replace(answer, outcome=NOT_MEASURED, found="only one way measured")
        yield answer


@rule(
    "backer-stagger",
    hold_point="wet-area",
    severity=CORRECTION,
    reference="tile.backer",
    quantity="stagger",
    limits=["backer-stagger"],
    measures=["layer.end_stagger"],
    provisions=["backer-no-four-corners"],
    remedy="Shift every other row so that four corners never meet.",
)
def backer_stagger(area: Area, limits: Limits) -> Iterator[Check]:
    """End joints of backer boards are staggered from row to row, so that four corners never meet."""
    yield from absent(area, "backer board", "backer")
    for backer in of_kind(area, "backer"):
        yield check(named(backer), measured=backer.end_stagger, at_least=limits["backer-stagger"])
