"""Where joists rest: bearing length, what carries an end instead, laps and splices."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import CORRECTION, Check, Limits, check, does_not_apply, rule
from inspect_core.site import Area

SURFACES = ("wood", "steel", "masonry", "concrete")


@rule(
    "joist-bearing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-bearing",
    quantity="bearing",
    limits=["bearing"],
    measures=["joist.bearing"],
    provisions=["bearing-wood-metal", "bearing-masonry"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy="Hang the end on a rated hanger or a ledger strip, or lengthen the bearing with a fastened sister or a wider support.",
)
def joist_bearing(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist end bears far enough on what carries it.

    Too little wood on the support crushes, splits, or slips off when the frame moves.
    """
    for end in area.joist_ends:
        if end.hung is not None:
            yield does_not_apply(end, f"carried by a {end.hung.by or 'hanger'}, not by bearing")
            continue
        surface = end.support.surface if end.support is not None and hasattr(end.support, "surface") else None
        yield check(
            end,
            measured=end.bearing,
            at_least=limits.between("bearing", surface, SURFACES),
            asks=("joist.bearing",) if surface else ("joist.bearing", "support.surface"),
        )
