"""Below the beams: posts, piers, footings and the soil, each with the load that really comes down on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from inspect_core.engineering.lumber import (
    AdjustedValues,
    ColumnCapacity,
    LumberError,
    Section,
    column_capacity,
    column_stability_factor,
)
from inspect_core.engineering.working import Step, Working, show
from inspect_core.quantities import Dimension, Quantity
from inspect_core.site.area import Area
from inspect_core.site.model import Footing, Pier, Post
from inspect_core.structure.basis import HARD, KIND, Basis, Ends
from inspect_core.structure.beams import Stand, stands_under
from inspect_core.structure.flaws import HARMLESS, Gathered
from inspect_core.structure.floor import Floor
from inspect_core.structure.joists import Member, once
from inspect_core.structure.strength import SAWN, NoValues, Wood, wood_of

CUBIC_FT = 1728.0
SQUARE_FT = 144.0


@dataclass(frozen=True, slots=True)
class Arriving:
    """What comes down on something, lb as (kind, hard) ends, by what brings it."""

    parts: tuple[tuple[str, Ends], ...] = ()
    missing: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    loose: bool = False

    @property
    def total(self) -> Ends:
        return sum(part[KIND] for _, part in self.parts), sum(part[HARD] for _, part in self.parts)

    def plus(self, other: Arriving) -> Arriving:
        """Both together."""
        return Arriving(
            (*self.parts, *other.parts),
            once((*self.missing, *other.missing)),
            once((*self.unseen, *other.unseen)),
            once((*self.decides, *other.decides)),
            once((*self.assumptions, *other.assumptions)),
            self.loose or other.loose,
        )

    @property
    def working(self) -> Working:
        """Each part, and the sum."""
        steps = [Step("P", name, "", part[HARD], "lb", "statics") for name, part in self.parts]
        numbers = " + ".join(show(part[HARD]) for _, part in self.parts)
        return (*steps, Step("ΣP", "", numbers, self.total[HARD], "lb", "statics"))


@dataclass(frozen=True, slots=True)
class PostStrength:
    """A post: what arrives, what it carries (lb, kind and hard ends) and the first over the second.

    ``best`` and ``worst`` are the columns behind both ends of what it carries.
    """

    post: Post
    arriving: Arriving
    capacity: Ends | None = None
    use: Ends | None = None
    best: ColumnCapacity | None = None
    worst: ColumnCapacity | None = None
    missing: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    outside: str = ""
    no_values: str = ""
    loose: bool = False

    @property
    def working(self) -> Working:
        """Load, capacity and ratio at the hard end."""
        if self.worst is None or self.use is None:
            return ()
        steps: Working = (*self.arriving.working, *self.worst.working)
        capacity = self.capacity[HARD] if self.capacity is not None else self.worst.capacity_lb
        if capacity != self.worst.capacity_lb:
            steps = (*steps, Step("P", "all pieces, as far as their grade is credited", "", capacity, "lb", ""))
        numbers = f"{show(self.arriving.total[HARD])}/{show(capacity)}"
        return (*steps, Step("ratio", "ΣP/P", numbers, self.use[HARD], "", ""))


@dataclass(frozen=True, slots=True)
class Pressure:
    """A footing: what arrives with its own weight, and the pressure on the soil in psf (kind and hard ends)."""

    footing: Footing
    arriving: Arriving
    area_sq_in: Ends | None
    psf: Quantity | None

    @property
    def working(self) -> Working:
        """Load, area and pressure at the hard end."""
        if self.area_sq_in is None or self.psf is None:
            return ()
        area = self.area_sq_in[HARD] / SQUARE_FT
        numbers = f"{show(self.arriving.total[HARD])}/{show(area)}"
        return (
            *self.arriving.working,
            Step("A", "area of the footing", "", area, "ft²", "statics"),
            Step("q", "ΣP/A", numbers, self.psf.high, "psf", "IRC R403.1.1"),
        )


@dataclass
class Ground:
    """Everything under the beams of one area."""

    floor: Floor

    @property
    def area(self) -> Area:
        return self.floor.area

    @property
    def basis(self) -> Basis:
        return self.floor.basis

    # --- loads --------------------------------------------------------------------------------------------------------

    def on(self, part: Post | Pier) -> Arriving:
        """What comes down on a post or pier: from the beam over it, or from the posts that stand on it."""
        found = Arriving()
        sources = 0
        support = next((s for s in self.area.supports or () if s.id == part.under), None)
        if support is not None:
            sources += 1
            found = found.plus(_from_beam(self.floor.girder(support), part.id, support.id))
        if isinstance(part, Pier):
            for post in self.area.posts or ():
                if post.rests_on == part.id or post.id == part.under:
                    sources += 1
                    found = found.plus(self.on(post))
        if not sources:
            return Arriving(missing=(f"{_kind(part)}.under",))
        if isinstance(part, Pier) and self._left_over[0]:
            found = found.plus(Arriving(unseen=("post.rests_on",)))
        return found

    def footing(self, footing: Footing) -> Pressure:
        """Pressure under a footing, with the weight of the pier on it and its own."""
        found = Arriving()
        sources = 0
        stands: list[Post | Pier] = [*(self.area.posts or ()), *(self.area.piers or ())]
        for part in stands:
            if part.rests_on != footing.id:
                continue
            sources += 1
            found = found.plus(self.on(part))
            if isinstance(part, Pier):
                found = found.plus(_pier_weight(part, self.basis))
        names = ("post.rests_on", "pier.rests_on")
        found = found.plus(Arriving(unseen=tuple(n for n, left in zip(names, self._left_over, strict=True) if left)))
        if not sources:
            found = found.plus(Arriving(missing=("pier.rests_on", "post.rests_on")))
        sides = footing_area(footing)
        if sides is None:
            found = found.plus(Arriving(missing=("footing.width", "footing.shape")))
            return Pressure(footing, found, None, None)
        found = found.plus(_footing_weight(footing, sides, self.basis))
        kind, hard = found.total
        psf = Quantity(
            kind * SQUARE_FT / sides[KIND], max(hard * SQUARE_FT / sides[HARD], kind * SQUARE_FT / sides[KIND]),
            Dimension.LOAD, found.loose,
        )  # fmt: skip
        return Pressure(footing, found, sides, psf)

    @cached_property
    def _left_over(self) -> tuple[bool, bool]:
        """Whether posts, and piers, are left over when each pier and footing with nothing on it yet has got one.

        Those may stand on any pier or footing beside what is said to stand there.
        """
        posts, piers = self.area.posts or (), self.area.piers or ()
        taken = {post.rests_on for post in posts} | {pier.rests_on for pier in piers}
        footings = sum(footing.id not in taken for footing in self.area.footings or ())
        seats = sum(pier.id not in taken and pier.under is None for pier in piers)
        lost_posts = sum(post.rests_on is None for post in posts)
        lost_piers = sum(pier.rests_on is None for pier in piers)
        return lost_posts > seats + max(footings - lost_piers, 0), lost_piers > footings

    # --- strength -----------------------------------------------------------------------------------------------------

    def post(self, post: Post) -> PostStrength:
        """A post's capacity as a column against what comes down on it."""
        arriving = self.on(post)
        found = PostStrength(post, arriving)
        if post.material not in (None, "wood"):
            return replace(found, outside=f"{post.material}: what its maker rates it for decides")
        if post.kind not in SAWN:
            return replace(found, outside=f"{post.kind}: only its maker's tables or an engineer can tell")
        section = post.section
        missing = list(arriving.missing)
        missing += [] if post.material is not None else ["post.material"]
        missing += [] if section.thickness is not None and section.depth is not None else ["post.size"]
        missing += [] if post.height is not None else ["post.height"]
        if missing or section.thickness is None or section.depth is None or post.height is None:
            return replace(found, missing=once(missing))
        strength = wood_of(post, section.thickness, section.depth, self.basis, (None,), section.plies)
        if isinstance(strength, NoValues):
            return replace(found, no_values=strength.why)
        unseen, left = _post_damage(post)
        loose = arriving.loose
        loose |= _guess(section.thickness, section.depth, post.height, post.moisture, *left)
        try:
            capacity, (best, worst) = _capacity(strength, post, section.plies, left)
        except LumberError as error:
            return replace(found, no_values=str(error))
        loads = arriving.total
        use = tuple(n / c if c > 0 else math.inf for n, c in zip(loads, capacity, strict=True))
        decides = [*arriving.decides, *(f"post.{one}" for one in strength.decides)]
        decides += ["post.sizes"] if section.assumptions else []
        return replace(
            found,
            capacity=capacity,
            use=(use[KIND], use[HARD]),
            best=best,
            worst=worst,
            unseen=once((*arriving.unseen, *unseen)),
            decides=once(decides),
            assumptions=once((*arriving.assumptions, *section.assumptions, *strength.assumptions, *_plies_note(post))),
            loose=loose,
        )


def _kind(part: Post | Pier) -> str:
    return "post" if isinstance(part, Post) else "pier"


def _from_beam(girder: Member, stand: str, beam: str) -> Arriving:
    reaction = girder.arriving.get(stand)
    if reaction is None:
        return Arriving(missing=girder.missing or ("joist.to",), unseen=girder.unseen)
    return Arriving(
        ((f"beam {beam}", reaction.total),),
        unseen=_of_loads(girder.unseen),
        decides=_of_loads(girder.decides),
        loose=girder.loose,
    )


def _of_loads(names: tuple[str, ...]) -> tuple[str, ...]:
    """Those of a beam's open questions that are about its load, not about its wood."""
    own = ("species", "grade", "moisture", "condition", "holes", "notches")
    return tuple(name for name in names if name not in {f"support.{one}" for one in own})


# --- weights ----------------------------------------------------------------------------------------------------------


def _pier_weight(pier: Pier, basis: Basis) -> Arriving:
    if pier.width is None or pier.height is None:
        return Arriving(missing=("pier.width",) if pier.width is None else ("pier.height",))
    length = pier.length if pier.length is not None else pier.width
    volume = (pier.width.low * length.low * pier.height.low, pier.width.high * length.high * pier.height.high)
    density = (basis.concrete_pcf, basis.concrete_pcf) if pier.material == "concrete" else basis.masonry_pcf
    if pier.material is None:
        density = (min(*density, basis.concrete_pcf), max(*density, basis.concrete_pcf))
    weight = (volume[0] * density[KIND] / CUBIC_FT, volume[1] * density[HARD] / CUBIC_FT)
    decides = () if density[KIND] == density[HARD] or pier.material is not None else ("pier.material",)
    return Arriving(((f"pier {pier.id}", weight),), decides=decides, loose=_guess(pier.width, length, pier.height))


def _footing_weight(footing: Footing, sides: Ends, basis: Basis) -> Arriving:
    if footing.material == "none":
        return Arriving()
    if footing.thickness is None:
        return Arriving(missing=("footing.thickness",))
    thick = footing.thickness
    # The larger footing weighs more but presses less; at each end the area is that end's.
    weight = (
        sides[KIND] * thick.low * basis.masonry_pcf[KIND] / CUBIC_FT,
        sides[HARD] * thick.high * max(basis.concrete_pcf, basis.masonry_pcf[HARD]) / CUBIC_FT,
    )
    if footing.material in ("concrete", "reinforced-concrete"):
        weight = (
            sides[KIND] * thick.low * basis.concrete_pcf / CUBIC_FT,
            sides[HARD] * thick.high * basis.concrete_pcf / CUBIC_FT,
        )
    decides = () if footing.material is not None else ("footing.material",)
    return Arriving(((f"footing {footing.id}", weight),), decides=decides, loose=_guess(footing.width, thick))


def footing_area(footing: Footing) -> Ends | None:
    """Area in square inches: the largest that it may be, and the smallest."""
    width = footing.width
    if width is None:
        return None
    if footing.shape == "square":
        return width.high**2, width.low**2
    if footing.shape == "round":
        return math.pi / 4 * width.high**2, math.pi / 4 * width.low**2
    length = footing.length
    if footing.shape in ("rectangular", "strip"):
        return None if length is None else (width.high * length.high, width.low * length.low)
    if length is None:
        return width.high**2, math.pi / 4 * width.low**2  # shape not known: round at the worst
    return width.high * length.high, min(math.pi / 4 * width.low**2, width.low * length.low)


def _guess(*quantities: Quantity | None) -> bool:
    return any(q is not None and q.estimate for q in quantities)


# --- posts ------------------------------------------------------------------------------------------------------------


def _plies_note(post: Post) -> tuple[str, ...]:
    if post.section.plies < 2:
        return ()
    return ("not said how its plies are joined: as single pieces, and as nailed to the schedule of NDS 15.3",)


def _post_damage(post: Post) -> tuple[tuple[str, ...], tuple[Quantity | None, Quantity | None]]:
    """Fields left unseen, and the least (width, depth) left of the post."""
    if post.condition is None:
        return ("post.condition",), (None, None)
    unseen: list[str] = []
    width: Quantity | None = None
    depth: Quantity | None = None
    for one in post.condition:
        if one.kind in HARMLESS:
            continue
        if one.depth_left is None and one.width_left is None:
            unseen.append("condition.depth_left")
        width, depth = _less(width, one.width_left), _less(depth, one.depth_left)
    return tuple(unseen), (width, depth)


def _less(first: Quantity | None, second: Quantity | None) -> Quantity | None:
    if first is None or second is None:
        return first or second
    return first if first.low <= second.low else second


def _capacity(
    strength: Wood, post: Post, plies: int, left: tuple[Quantity | None, Quantity | None]
) -> tuple[Ends, tuple[ColumnCapacity, ColumnCapacity]]:
    """Capacity of the post and the columns behind it at both ends: over all that its wood and its joints may be."""
    section, height = post.section, post.height
    assert section.thickness is not None and section.depth is not None and height is not None
    kinds = [_column(one, section.thickness.high, section.depth.high, plies, height.low, left, KIND)
             for one in strength.candidates]  # fmt: skip
    hards = [_column(one, section.thickness.low, section.depth.low, plies, height.high, left, HARD)
             for one in strength.candidates]  # fmt: skip
    best, worst = max(kinds, key=lambda pair: pair[0]), min(hards, key=lambda pair: pair[0])
    return (best[0], worst[0] * strength.credit), (best[1], worst[1])


def _column(
    values: AdjustedValues,
    thickness: float,
    depth: float,
    plies: int,
    height: float,
    left: tuple[Quantity | None, Quantity | None],
    end: int,
) -> tuple[float, ColumnCapacity]:
    thin, deep = thickness, depth
    if left[0] is not None:
        thin = min(thin, (left[0].low if end == HARD else left[0].high))
    if left[1] is not None:
        deep = min(deep, (left[1].low if end == HARD else left[1].high))
    if plies > 1 and end == KIND:
        try:
            joined = column_capacity(
                values.reference, Section(thin, deep, plies), height, fastening="nailed", service=values.service
            )
        except LumberError:
            pass
        else:
            return joined.capacity_lb, joined
    single = _alone(values, Section(thin, deep), height)
    return single.capacity_lb * plies, single


def _alone(values: AdjustedValues, section: Section, height: float) -> ColumnCapacity:
    """A single piece as a column; what is left of a damaged one keeps the design values of the whole piece."""
    cp_thickness = column_stability_factor(values.fc, values.e_min, height, section.breadth_in)
    cp_depth = column_stability_factor(values.fc, values.e_min, height, section.depth_in)
    allowed = values.fc * min(cp_thickness.value, cp_depth.value)
    return ColumnCapacity(allowed * section.area, values.fc, allowed, cp_thickness, cp_depth, section, values)


# --- beams on posts ---------------------------------------------------------------------------------------------------


def stands_of(floor: Floor, girder: Member) -> Iterator[tuple[Stand, bool]]:
    """Posts and piers under a beam, and whether each is its first or last."""
    support = next((s for s in floor.area.supports or () if s.id == girder.id), None)
    if support is None:
        return
    found = stands_under(floor.area, support, Gathered("support"))
    for number, stand in enumerate(found):
        yield stand, number in (0, len(found) - 1)
