"""Piers of masonry: height, thickness, cap, material, lean."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import (
    CORRECTION,
    STOP_WORK,
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
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._structure import ENGINEER

HOLLOW, SOLID = "hollow", "solid"
FILL = {
    "block-hollow": HOLLOW,
    "brick": SOLID,
    "stone": SOLID,
    "block-filled": SOLID,
    "concrete": SOLID,
}
NO_MASONRY = ("wood", "dry-stacked")


@rule(
    "pier-height",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="unsupported height of the pier",
    limits=["pier-height"],
    measures=["pier.height", "pier.width", "pier.material"],
    provisions=["pier-unfilled-height", "pier-filled-height", "pier-fill-material"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Fill the cells with concrete or grout, brace the pier, or rebuild it wider. {ENGINEER}",
)
def pier_height(area: Area, limits: Limits) -> Iterator[Check]:
    """A masonry pier stands no higher than 4 times its least side when hollow, 10 times when solid or filled.

    A slim pier tips before it crushes.
    """
    yield from listed_parts(area, "piers", "piers")
    for pier in area.piers or ():
        if pier.material in NO_MASONRY:
            yield does_not_apply(named(pier), f"it is {pier.material}; see pier-masonry")
            continue
        times = limits.between("pier-height", FILL.get(pier.material or ""), (HOLLOW, SOLID))
        basis = "4 or 10 times its least side" if pier.material is None else "times its least side"
        yield check(
            named(pier),
            measured=pier.height,
            at_most=times.of(pier.width, basis),
            asks=tuple(f"pier.{name}" for name in ("height", "width", "material") if getattr(pier, name) is None)
            or None,
        )


@rule(
    "pier-cap",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="solid cap of the pier",
    limits=["pier-cap"],
    measures=["pier.cap", "pier.material"],
    provisions=["pier-cap", "termite-pier-shield"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Carry the beam, then top the pier with 4 in of solid masonry or concrete, or fill its top course.",
)
def pier_cap(area: Area, limits: Limits) -> Iterator[Check]:
    """A pier of hollow block is topped with at least 4 in of solid masonry or concrete.

    A beam on hollow cells presses on thin shells and breaks them; open cells let termites up unseen.
    """
    yield from listed_parts(area, "piers", "piers")
    for pier in area.piers or ():
        if pier.material is None and pier.cap is None:
            yield not_measured(named(pier), expected="it is solid on top", asks=("pier.material", "pier.cap"))
        elif pier.material not in (None, "block-hollow"):
            yield does_not_apply(named(pier), f"it is {pier.material}, not hollow block")
        else:
            yield check(named(pier), measured=pier.cap, at_least=limits["pier-cap"], asks=("pier.cap", "pier.material"))


@rule(
    "pier-masonry",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="material of the pier",
    limits=["pier-materials"],
    measures=["pier.material"],
    provisions=["pier-dry-stack"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Rebuild it in mortar or concrete on a footing. {ENGINEER}",
)
def pier_masonry(area: Area, limits: Limits) -> Iterator[Check]:
    """A pier is laid in mortar or cast; loose blocks and wood blocks are no pier.

    Dry-stacked blocks slide on each other, and wood on the ground rots.
    """
    yield from listed_parts(area, "piers", "piers")
    for pier in area.piers or ():
        yield check(named(pier), measured=pier.material, one_of=limits["pier-materials"], asks=("pier.material",))


@rule(
    "pier-thickness",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="least side of the pier",
    limits=["pier-hollow-side", "pier-girder-side"],
    measures=["pier.width", "pier.material", "pier.under"],
    provisions=["pier-hollow-thickness", "pier-interior-girder", "pier-exterior-girder"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Rebuild it at least 12 in wide, or have the slim one shown to carry by design. {ENGINEER}",
)
def pier_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A masonry pier under a beam is at least 12 in on its least side; any hollow one at least 8 in.

    The code's piers without a design are this thick.
    """
    yield from listed_parts(area, "piers", "piers")
    supports = {support.id for support in area.supports or ()}
    for pier in area.piers or ():
        if pier.material in NO_MASONRY:
            yield does_not_apply(named(pier), f"it is {pier.material}; see pier-masonry")
        elif pier.under is not None and pier.under not in supports:
            if pier.material in (None, "block-hollow"):
                yield check(named(pier), measured=pier.width, at_least=limits["pier-hollow-side"], asks=("pier.width",))
            else:
                yield does_not_apply(named(pier), "it carries a post, and is solid")
        else:
            yield check(named(pier), measured=pier.width, at_least=limits["pier-girder-side"], asks=("pier.width",))


@rule(
    "pier-under-girder",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="height of the pier",
    limits=["pier-girder-height"],
    measures=["pier.height", "pier.under", "support.line"],
    provisions=["pier-interior-girder", "pier-exterior-girder"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"A higher pier wants a design. {ENGINEER}",
)
def pier_under_girder(area: Area, limits: Limits) -> Iterator[Check]:
    """A masonry pier that nobody has designed stands no higher than 10 ft inside, and 4 ft under an outer wall.

    Outer walls bring wind and earth pressure to it.
    """
    yield from listed_parts(area, "piers", "piers")
    lines = {support.id: support.line for support in area.supports or ()}
    for pier in area.piers or ():
        if pier.material in NO_MASONRY:
            yield does_not_apply(named(pier), f"it is {pier.material}; see pier-masonry")
            continue
        line = lines.get(pier.under or "")
        key = "interior" if line == "beam" else "exterior" if line in ("sill", "rim") else None
        yield check(
            named(pier),
            measured=pier.height,
            at_most=limits.between("pier-girder-height", key, ("interior", "exterior")),
            asks=("pier.height",) if pier.height is None else ("pier.under", "support.line"),
        )


@rule(
    "pier-length",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.piers",
    quantity="longer side of the pier",
    limits=["pier-length"],
    measures=["pier.length", "pier.width", "pier.material"],
    provisions=["pier-hollow-thickness"],
    cautions=["crawl-space"],
    remedy="A longer one is a wall and needs a wall's footing; let a licensed engineer say what it wants.",
)
def pier_length(area: Area, limits: Limits) -> Iterator[Check]:
    """A pier is no longer than three times its thickness.

    Beyond that it is a wall.
    """
    yield from listed_parts(area, "piers", "piers")
    for pier in area.piers or ():
        if pier.material in NO_MASONRY:
            yield does_not_apply(named(pier), f"it is {pier.material}; see pier-masonry")
            continue
        yield check(
            named(pier),
            measured=pier.length,
            at_most=limits["pier-length"].of(pier.width, "3 times its thickness"),
            asks=tuple(f"pier.{name}" for name in ("length", "width") if getattr(pier, name) is None) or None,
        )


@rule(
    "pier-plumb",
    hold_point="under-floor",
    severity=STOP_WORK,
    reference="floor.piers",
    quantity="lean of the pier",
    limits=["pier-lean"],
    measures=["pier.condition", "condition.amount", "pier.height"],
    provisions=["pier-plumb-practice", "gas-smell"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Stay out from under it. {ENGINEER}",
)
def pier_plumb(area: Area, limits: Limits) -> Iterator[Check]:
    """No pier leans by more than 1 in over 2 ft of its height.

    A leaning pier can go over while someone works beside it.
    """
    yield from listed_parts(area, "piers", "piers")
    for pier in area.piers or ():
        leans = [one for one in pier.condition or () if one.kind in ("leaning", "out-of-plumb")]
        if pier.condition is None:
            yield not_measured(named(pier), expected="it stands plumb", asks=("pier.condition",))
        elif not leans:
            yield fact(named(pier), True, expected="it stands plumb", found="looked at, and no lean seen")
        for number, one in enumerate(leans, start=1):
            about = named(pier, f"lean {number}" if len(leans) > 1 else "lean")
            yield check(
                about,
                measured=one.amount,
                at_most=limits["pier-lean"].of(pier.height, "1/24 of its height"),
                asks=("condition.amount",) if one.amount is None else ("pier.height",),
                path=one.path,
            )
