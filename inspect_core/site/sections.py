"""What a member really measures: nominal lumber, true-dimension lumber of old houses, or as measured."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from inspect_core.quantities import Dimension, Quantity, Size, exactly, hull
from inspect_core.quantities.lumber_sizes import dressed


@dataclass(frozen=True, slots=True)
class Section:
    """Rectangle of one ply and the number of plies; lengths in inches, ``None`` where unknown.

    ``assumptions`` says what had to be taken for granted; a size that may be nominal or true is a range.
    """

    thickness: Quantity | None
    depth: Quantity | None
    plies: int
    assumptions: tuple[str, ...] = ()


@lru_cache(maxsize=4096)
def resolve_section(
    size: Size | None,
    sizes: str | None,
    thickness: Quantity | None,
    depth: Quantity | None,
    plies: Quantity | None,
    work: str | None,
) -> Section:
    """Section from what was written; a measured thickness or depth (inches) always wins over the size's name.

    Of a range of plies the fewest count. A guess at how many there are makes the thickness a guess.
    """
    named_thickness, named_depth, assumptions = _from_size(size, sizes, work)
    count = round(plies.low) if plies is not None else size.plies if size is not None else 1
    used_name = (thickness is None and named_thickness is not None) or (depth is None and named_depth is not None)
    thick = thickness if thickness is not None else named_thickness
    if thick is not None and plies is not None and plies.estimate:
        thick = replace(thick, estimate=True)
    return Section(
        thick,
        depth if depth is not None else named_depth,
        count,
        assumptions if used_name else (),
    )


def _from_size(
    size: Size | None, sizes: str | None, work: str | None
) -> tuple[Quantity | None, Quantity | None, tuple[str, ...]]:
    if size is None:
        return None, None, ()
    as_written = (size.thickness, size.depth)
    if sizes == "true-dimension" or size.metric:
        return (*as_written, ())
    surfaced = dressed(size.thickness.low, size.depth.low)
    if surfaced is None:  # 1 5/8 x 7 1/2 is nobody's nominal size: it was measured
        return (*as_written, ())
    planed = (exactly(surfaced[0], Dimension.LENGTH), exactly(surfaced[1], Dimension.LENGTH))
    name = f"{size.thickness.low:g}x{size.depth.low:g}"
    if sizes == "nominal":
        return (*planed, ())
    if work == "new":
        return (*planed, (f"new {name} taken as dressed lumber ({surfaced[0]:g} by {surfaced[1]:g} in)",))
    return (
        hull(planed[0], as_written[0]),
        hull(planed[1], as_written[1]),
        (f"{name} not said to be nominal or true: taken between dressed and full size",),
    )
