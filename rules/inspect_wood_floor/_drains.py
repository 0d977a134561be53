"""What rules ask of a drain or a pipe: its size, length and slope, and lengths in words. No rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from inspect_core.engineering import drainage
from inspect_core.quantities import Dimension, Quantity, exactly, hull, render
from inspect_core.rules_api import Check, Limits, Named
from inspect_core.site import Area
from inspect_core.site.model import Drain, Fixture, Joist, Pair, WaterPipe
from inspect_wood_floor._gaps import straight
from inspect_wood_floor._listed import listed_parts

BINDS = ("altered", "new")  # plumbing that nobody touches may stay as it was built
PLASTIC = ("pvc", "abs", "cpvc", "pex")
SOFT = (*PLASTIC, "copper")  # what a nail goes through
IRON = ("cast-iron", "galvanized")

BORE_CAUTIONS = ("temporary-shoring", "crawl-space", "licensed-engineer", "sewer-opening")
ELSEWHERE = (
    "Don't notch the joist or bore it larger to make room. Otherwise move the drain, or have the joist headed off "
    "round it; a licensed engineer may pass it as it is."
)

Corner = tuple[Quantity, Quantity]  # across, along

INCH, MILLIMETRE = 1 / 16, 1 / 25.4  # in: finest mark of a tape


def length(inches: float) -> Quantity:
    """An exact length."""
    return exactly(inches, Dimension.LENGTH)


# --- one answer for each --------------------------------------------------------------------------------------------


def each_drain(area: Area, answer: Callable[[Drain], Iterable[Check]], what: str = "drains") -> Iterator[Check]:
    """The answers for every drain; one answer where nobody listed them, or there are none."""
    because = "not said which drains there are"
    yield from listed_parts(area, "drains", what, because=because, none="no drains here")
    for drain in area.drains or ():
        yield from answer(drain)


def each_water_pipe(area: Area, answer: Callable[[WaterPipe, Named], Check], what: str) -> Iterator[Check]:
    """One answer for every water pipe; one answer where nobody listed them, or there are none."""
    because = "not said which water pipes there are"
    yield from listed_parts(area, "water_pipes", what, because=because, none="no water pipes here")
    for pipe in area.water_pipes or ():
        yield answer(pipe, Named(f"water pipe {pipe.id}", pipe.path, pipe.work))


def fixtures_of(area: Area, drain: Drain) -> tuple[Fixture, ...] | None:
    """What drains into it; ``None`` when nobody said."""
    if drain.serves is None or area.fixtures is None:
        return None
    return tuple(fixture for fixture in area.fixtures if fixture.id in drain.serves)


# --- sizes ------------------------------------------------------------------------------------------------------------


def nominal(size: Quantity | None, limits: Limits) -> Quantity | None:
    """The size by its name: 50 mm pipe is 2 in pipe. What is near no name stays as it was measured."""
    band = limits["pipe-size-band"].value
    if size is None or band is None:
        return size
    name = min(drainage.nominal_sizes(), key=lambda known: abs(known - size.middle))
    near = name * (1 - band.low) <= size.low and size.high <= name * (1 + band.low)
    return Quantity(name, name, Dimension.LENGTH, size.estimate) if near else size


@dataclass(frozen=True, slots=True)
class Outside:
    """Outside diameter of a drain's pipe, what was taken for granted, and whether the figure is remembered only."""

    diameter: Quantity | None
    notes: tuple[str, ...] = ()
    remembered: bool = False


def outside_of(drain: Drain, limits: Limits) -> Outside:
    """As measured, else by the tables of its material; of every material where that is not known."""
    if drain.outside_diameter is not None:
        return Outside(drain.outside_diameter)
    size = nominal(drain.size, limits)
    if size is None or size.is_range or size.estimate:
        return Outside(None)
    materials = [drain.material] if drain.material is not None else [*SOFT[:2], "copper", *IRON]
    known = [pipe for material in materials if (pipe := drainage.pipe_size(material, size.low)) is not None]
    if not known:
        return Outside(None)
    of = drain.material or "any"
    return Outside(
        hull(*(length(pipe.outside_in) for pipe in known)),
        (f"outside diameter of {of} pipe by its size",),
        any(pipe.status == "from memory" for pipe in known),
    )


# --- length and slope -------------------------------------------------------------------------------------------------


def corners(drain: Drain) -> tuple[Corner, ...] | None:
    """Corners of its route, a guessed one wherever it may be; ``None`` until all are known."""
    found = [known for corner in drain.route or () if (known := _place(corner)) is not None]
    return tuple(found) if drain.route is not None and len(found) == len(drain.route) else None


def _place(corner: Pair) -> Corner | None:
    across, along = corner
    return (across.bounds, along.bounds) if across is not None and along is not None else None


def leg(start: Corner, end: Corner) -> Quantity:
    """Length of one straight piece of a route."""
    across, along = abs(end[0] - start[0]), abs(end[1] - start[1])
    return straight(across, along)


def route_length(drain: Drain) -> Quantity | None:
    """Developed length in plan; ``None`` until its route is known."""
    places = corners(drain)
    if places is None:
        return None
    total = length(0.0)
    for start, end in pairwise(places):
        total = total + leg(start, end)
    return total


def slope_of(drain: Drain) -> tuple[Quantity | None, tuple[str, ...]]:
    """Its slope as measured, else from its two ends."""
    if drain.slope is not None:
        return drain.slope, ()
    found = slope_by_ends(drain)
    return found, ("slope worked out from its two ends",) if found is not None else ()


def slope_by_ends(drain: Drain) -> Quantity | None:
    """Its slope from how deep its two ends lie, over the way between them."""
    run, start, end = route_length(drain), drain.start_below_joist_top, drain.end_below_joist_top
    if run is None or start is None or end is None or run.low <= 0:
        return None
    drop = end - start
    ends = [down / way for down in (drop.low, drop.high) for way in (run.low, run.high)]
    return Quantity(min(ends), max(ends), Dimension.SLOPE, drop.estimate or run.estimate)


# --- lengths in words -------------------------------------------------------------------------------------------------


def say(inches: float, area: Area) -> str:
    """A length in the file's units."""
    return render(length(inches), area.units, hair=False)


def _step(area: Area) -> float:
    return INCH if area.units == "in" else MILLIMETRE


def outward(inches: float, area: Area) -> float:
    """Up to the next mark of the tape: what is told must do."""
    return ceil(inches / _step(area) - 1e-6) * _step(area)


def inward(window: tuple[float, float], area: Area) -> tuple[float, float]:
    """A window with its ends on the tape's marks, inside it where it holds one."""
    step = _step(area)
    low, high = ceil(window[0] / step - 1e-6) * step, floor(window[1] / step + 1e-6) * step
    return (low, high) if low <= high else window


def say_outward(inches: float, area: Area) -> str:
    """A least distance in the file's units, rounded up to the tape's mark."""
    return say(outward(inches, area), area)


def joist_faces(joist: Joist) -> tuple[Quantity, Quantity] | None:
    """Both faces of a joist on the across tape, sisters left out; ``None`` until place and thickness are known."""
    thick = joist.section.thickness
    if joist.place is None or thick is None:
        return None
    half = thick * (joist.section.plies / 2)
    return joist.place - half, joist.place + half
