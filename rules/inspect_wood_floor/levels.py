"""How level the floor is, humps and dips, and squeaks."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import ADVISORY, Check, Limits, Named, check, does_not_apply, named, not_measured, rule
from inspect_core.site import Area


@rule(
    "floor-level",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.level",
    quantity="difference in height",
    limits=["level-tolerance"],
    measures=["flatness.level_difference", "flatness.level_over"],
    provisions=["level-tolerance"],
    cautions=["temporary-shoring"],
    remedy="Find out why first: a sunk pier, a rotten sill or a cut joist. Raise it slowly after that is mended, "
    "with the jacking set out by a licensed contractor or engineer, or level it on top where the joists carry the "
    "weight.",
)
def floor_level(area: Area, limits: Limits) -> Iterator[Check]:
    """The floor is level within 1/2 in over 20 ft, in proportion over less.

    Builders' warranty guides ask it, from memory. Old houses seldom meet it, and need not where the frame is sound.
    """
    about, known = Named("level of the floor", area.path), area.flatness
    over, off = (known.level_over, known.level_difference) if known is not None else (None, None)
    asks = tuple(
        f"flatness.{name}" for name, value in (("level_over", over), ("level_difference", off)) if value is None
    )
    limit = limits["level-tolerance"].of(over, "1/2 in over 20 ft")
    yield check(about, measured=off, at_most=limit, asks=asks or None, path=known.path if known is not None else None)


@rule(
    "floor-hump",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.level",
    quantity="ridge or dip under 32 in",
    limits=["hump-tolerance"],
    measures=["flatness.hump"],
    provisions=["hump-tolerance"],
    cautions=["old-layers"],
    remedy="Plane a proud joist or fill a low one with glued shims; old floor layers are not sanded before they are "
    "tested. Under tile the tile's own flatness governs.",
)
def floor_hump(area: Area, limits: Limits) -> Iterator[Check]:
    """No ridge or dip of the subfloor is more than 1/4 in under a straightedge of 32 in.

    One joist that stands proud telegraphs through every finish. From memory; the tile's rule is stricter.
    """
    known = area.flatness
    about = Named("humps and dips", area.path)
    yield check(
        about, measured=known.hump if known is not None else None, at_most=limits["hump-tolerance"],
        asks=("flatness.hump",), path=known.path if known is not None else None,
    )  # fmt: skip


@rule(
    "subfloor-gaps",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.squeaks",
    quantity="gaps between subfloor and joists",
    limits=["gap-repairs"],
    measures=["layer.gaps_over_joists"],
    provisions=["screw-squeak"],
    cautions=["hidden-services", "adhesive-fumes"],
    remedy="Slip a glued shim into the gap without lifting the panel, run adhesive along the joist, and draw the "
    "panel down with screws; a nail works loose again.",
)
def subfloor_gaps(area: Area, limits: Limits) -> Iterator[Check]:
    """Where the subfloor stands off a joist the gap is shimmed, glued and screwed, never only nailed.

    The panel rides up and down on the nail: that is the squeak, and under tile the crack.
    """
    if area.layers is None:
        yield not_measured(Named("subfloor", area.path), asks=("area.layers",), because="no layers are described")
        return
    sheets = [one for one in area.layers if one.kind in ("panel", "boards") and one.attached_to != "layer-below"]
    if not sheets:
        yield does_not_apply(Named("subfloor", area.path), "no panels and no boards on the joists")
    for layer in sheets:
        asks = ("layer.gaps_over_joists",)
        yield check(named(layer), measured=layer.gaps_over_joists, one_of=limits["gap-repairs"], asks=asks)
