"""What really arrives on a joist: people, layers, fixtures with their water, walls. Each load keeps its own line.

Everything is worked out by the strip of floor that a joist carries: half of the bay on either side, at a wall up to the
whole bay, because the floor's edge may rest on nothing there. Amounts are (kind, hard) ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Literal

from inspect_core.engineering import weights
from inspect_core.engineering.tables import read_rows
from inspect_core.quantities import Quantity
from inspect_core.site.area import Area
from inspect_core.site.geometry import Bay, Wall, carrier_faces, carrier_ids, extent_along, pair_middles
from inspect_core.site.model import Fixture, Joist, Layer, Partition
from inspect_core.structure.basis import HARD, KIND, Basis, Ends

Nature = Literal["dead", "live", "either"]
"""``either``: stated without saying; live where that hurts, dead where it helps."""

PER_FT2 = 144.0
IN_PER_FT = 12.0
FAR = 1e5  # in: beyond any building
TILE = ("ceramic-tile", "porcelain-tile", "natural-stone")
TILE_MATERIAL = {"ceramic-tile": "ceramic", "porcelain-tile": "porcelain", "natural-stone": "natural-stone"}
CARRIES_EDGE = ("cleat", "blocking", "rim", "sill", "wall-plate", "ledge")

_DATA = Path(__file__).parent / "data"


@dataclass(frozen=True, slots=True)
class Load:
    """One load on one member: from ``start`` to ``end`` (in) ``amount`` lb/in, or ``amount`` lb where they are equal.

    ``area_psf`` and ``width_in`` say how a line load comes about; both are (kind, hard) ends.
    """

    name: str
    nature: Nature
    start: float
    end: float
    amount: Ends
    source: str = ""
    area_psf: Ends | None = None
    width_in: Ends | None = None

    @property
    def is_point(self) -> bool:
        return self.start == self.end


def heaviest(loads: Sequence[Load], end: int) -> float:
    """The most that line loads come to together at any one place, lb per in."""
    lines = [load for load in loads if not load.is_point and load.start < load.end]
    places = {place for load in lines for place in (load.start, load.end)}
    return max((sum(load.amount[end] for load in lines if load.start <= at < load.end) for at in places), default=0.0)


@dataclass(frozen=True, slots=True)
class Loads:
    """All loads on one member.

    ``unseen`` names fields without which more load may be there than is known: nothing passes until they are known.
    ``decides`` names fields that would narrow the ends; ``missing`` fields without which nothing can be worked out.
    ``loose`` says that a place is only known as a range or an estimate, so that nothing passes by it.
    """

    loads: tuple[Load, ...] = ()
    unseen: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    loose: bool = False
    own_weight: bool = True  # the member's own weight is still to be added


@dataclass(frozen=True, slots=True)
class AreaLoad:
    """A load by area over the whole floor or a rectangle of it (middles, in)."""

    name: str
    nature: Nature
    psf: Ends
    source: str
    across: tuple[float, float] | None = None
    along: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Strip:
    """Floor on one side of a joist: ``begins`` to ``ends`` along, ``near`` to ``far`` across; ``width`` in (ends).

    ``loose`` says that the width is an estimate, ``shifts`` that a range or an estimate puts ``near`` or ``far``.
    """

    begins: float
    ends: float
    near: float
    far: float
    width: Ends
    loose: bool = False
    shifts: bool = False


@dataclass(slots=True)
class FloorLoads:
    """The loads of one area, ready to be asked joist by joist."""

    area: Area
    basis: Basis
    unseen: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    loose: bool = False
    self_weight: bool = True
    everywhere: list[AreaLoad] = field(default_factory=list)
    _strips: dict[str, list[Strip] | None] = field(default_factory=dict)
    _open_sides: set[str] = field(default_factory=set)
    _walls: dict[str, list[Load]] = field(default_factory=dict)
    _unsure_edges: set[str] = field(default_factory=set)
    _beside_a_cut: set[str] = field(default_factory=set)  # or beside one that rests on one support
    _on: dict[str, Loads] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._live()
        self._layers()
        for fixture in self.area.fixtures or ():
            self._fixture(fixture)
        if self.area.fixtures is None:
            self._unseen("area.fixtures")
        self._lay_out_strips()
        for partition in self.area.partitions or ():
            self._partition(partition)
        if self.area.partitions is None:
            self._unseen("area.partitions")

    # --- by area ------------------------------------------------------------------------------------------------------

    def _live(self) -> None:
        use = self.area.use
        live = self.basis.live(use)
        if use is None:
            self._assume("use of the room not known: the live loads of all uses tried", "area.use")
        self.everywhere.append(AreaLoad(f"live load, {use or 'use unknown'}", "live", live, "live load of the use"))

    def _layers(self) -> None:
        layers, finish = self.area.layers, self.area.finish
        tiled = any(layer.kind == "tile" for layer in layers or ())
        extra = _planned_tile(finish) if finish in TILE and not tiled else ()
        weighed = [
            (n, layer) for n, layer in enumerate(layers or (), start=1) if layer.kind or layer.weight is not None
        ]
        if not layers or len(weighed) < len(layers):
            least, most = self.basis.dead_psf
            if finish == "natural-stone":
                most += sum(load.psf[HARD] for load in extra) / 2  # the range holds a light tile, stone weighs more
            # A layer that nobody can name may weigh as much as a whole floor, beside what is known.
            for number, layer in weighed:
                self._guess_of(layer)
                most += _layer_load(layer, number)[0].psf[HARD]
            self.self_weight = False
            self.everywhere.append(
                AreaLoad("dead load, layers not described", "dead", (least, most), "dead load range")
            )
            self._assume(f"layers not described: {least:g} to {most:g} psf with the joists", "area.layers")
            return
        for number, layer in weighed:
            load, decides = _layer_load(layer, number)
            self._guess_of(layer)
            self.everywhere.append(load)
            self.decides += decides
            if decides:
                self.assumptions += (f"{load.name}: {load.psf[KIND]:g} to {load.psf[HARD]:g} psf",)
        for load in extra:
            self._assume(f"{load.name}: {load.psf[KIND]:g} to {load.psf[HARD]:g} psf, still to be laid", "area.layers")
        self.everywhere += extra

    def _guess_of(self, layer: Layer) -> None:
        self._guessed(layer.weight, layer.thickness if layer.weight is None else None)
        if layer.region is not None:
            self._placed_loosely(*(layer.region.across or ()), *(layer.region.along or ()))

    def _fixture(self, fixture: Fixture) -> None:
        if fixture.supported == "wall-hung":
            return
        self._guessed(fixture.weight, fixture.contents, fixture.people)
        weight, water, notes, decides = _fixture_weight(fixture)
        self.assumptions += notes
        self.decides += decides
        if weight is None or water is None:
            self._unseen("fixture.weight" if weight is None else "fixture.contents")
            return
        across, along = fixture.at or (None, None)
        if across is None or along is None or fixture.extent is None:
            self._unseen("fixture.at" if across is None or along is None else "fixture.extent")
            return
        self._placed_loosely(across, along, *fixture.extent)
        wide, long = fixture.extent[0].middle, fixture.extent[1].middle
        if wide <= 0 or long <= 0:
            self._unseen("fixture.extent")
            return
        per_psf = PER_FT2 / (wide * long)
        name = f"{fixture.kind or 'fixture'} {fixture.id}"
        place = {
            "across": (across.middle - wide / 2, across.middle + wide / 2),
            "along": (along.middle - long / 2, along.middle + long / 2),
        }
        dead = (weight[KIND] * per_psf, weight[HARD] * per_psf)
        self.everywhere.append(AreaLoad(f"{name}, empty", "dead", dead, "weight over its footprint", **place))
        # Where it stands nothing else can: water and people count as far as they go beyond the live load of the floor.
        live = self.basis.live(self.area.use)
        above = (max(water[KIND] * per_psf - live[KIND], 0.0), max(water[HARD] * per_psf - live[HARD], 0.0))
        if above != (0.0, 0.0):
            source = "water and people over its footprint, less the live load there"
            self.everywhere.append(AreaLoad(f"{name}, water and people", "live", above, source, **place))

    # --- strips of floor ----------------------------------------------------------------------------------------------

    def _lay_out_strips(self) -> None:
        sides: dict[tuple[str, int], list[Strip] | None] = {}
        for bay in self.area.bays:
            for joist, other in ((bay.left, bay.right), (bay.right, bay.left)):
                if isinstance(joist, Joist):
                    key = (joist.id, 1 if joist is bay.left else -1)
                    strip = self._strip(bay, joist, other)
                    known = sides.setdefault(key, [])
                    if strip is None or known is None:
                        sides[key] = None
                    else:
                        known.append(strip)
        for joist in self.area.joists or ():
            both = [sides.get((joist.id, side), []) for side in (-1, 1)]
            if not self.area.room_corners and not all(both):
                self._open_sides.add(joist.id)
            self._strips[joist.id] = None if None in both else [s for side in both for s in _without_gaps(side or [])]
        for joist in self.area.joists or ():
            for side in (-1, 1):
                if brought := [
                    strip for bay in self._bays_to(joist, side) for strip in self._brought(joist, bay, side)
                ]:
                    self._beside_a_cut.add(joist.id)
                    if (strips := self._strips[joist.id]) is not None:
                        strips += _without_gaps(brought)

    def _bays_to(self, joist: Joist, side: int) -> list[Bay]:
        beside = self.area.bays_beside.get(joist.id, ())
        return [bay for bay in beside if (bay.left if side > 0 else bay.right) is joist]

    def _brought(self, joist: Joist, bay: Bay, side: int) -> Iterator[Strip]:
        """Floor that a neighbour which nothing carries any more may leave to this joist: none to all of its half."""
        other = bay.right if side > 0 else bay.left
        if not isinstance(other, Joist) or not _let_down(other) or bay.spacing is None:
            return
        assert joist.place is not None and other.place is not None  # or there would be no bay
        half = (joist.place.middle + other.place.middle) / 2
        beyond = self._bays_to(other, side)
        if not beyond:
            most = bay.spacing.high / 2
            shifts = _shifts(joist, other)
            yield Strip(bay.begins, bay.ends, half, other.place.middle, (0.0, most), bay.spacing.estimate, shifts)
        for wider in beyond:
            begins, ends = max(bay.begins, wider.begins), min(bay.ends, wider.ends)
            last = wider.right if side > 0 else wider.left
            place = _side_place(last)
            if ends <= begins or place is None or wider.spacing is None:
                continue
            most, far = wider.spacing.high / 2, (joist.place.middle + place) / 2
            if isinstance(last, Wall) and not self._edge_held(last):
                most, far = wider.spacing.high + bay.spacing.high / 2, place
            loose = bay.spacing.estimate or wider.spacing.estimate
            yield Strip(begins, ends, half, far, (0.0, most), loose, _shifts(joist, other, last))

    def _strip(self, bay: Bay, joist: Joist, other: Joist | Wall) -> Strip | None:
        if bay.spacing is None or joist.place is None:
            return None
        whole = bay.spacing
        if isinstance(other, Wall):
            held = self._edge_held(other)
            if held is None:
                self._unsure_edges.add(joist.id)
            least = whole.low if held is False else whole.low / 2
            most = whole.high / 2 if held else whole.high
            far = (joist.place.middle + other.at.middle) / 2 if held else other.at.middle
        else:
            least, most = (0.0 if self.area.unplaced else whole.low / 2), whole.high / 2  # one may stand in between
            far = (joist.place.middle + other.place.middle) / 2 if other.place is not None else joist.place.middle
        shifts = _shifts(joist, other)
        return Strip(bay.begins, bay.ends, joist.place.middle, far, (least, most), whole.estimate, shifts)

    def _edge_held(self, wall: Wall) -> bool | None:
        """Whether the floor's edge along a wall lies on something other than the joist."""
        here = [edge for edge in self.area.edges or () if edge.wall == wall.name]
        if not here or any(edge.landing is None or edge.part is not None for edge in here):
            return None
        return all(edge.landing in CARRIES_EDGE for edge in here)

    # --- walls on the floor -------------------------------------------------------------------------------------------

    def _partition(self, partition: Partition) -> None:
        self._guessed(partition.weight, partition.height, partition.carries)
        plf, nature, notes, decides = self._partition_plf(partition)
        self.assumptions += notes
        self.decides += decides
        if partition.bearing is None:
            self._unseen("partition.bearing")
        if plf is None:
            self._unseen("partition.carries")
            return
        if partition.runs is None or partition.at is None:
            self._unseen("partition.runs" if partition.runs is None else "partition.at")
            return
        first, last = partition.part or (None, None)
        self._placed_loosely(partition.at, first, last)
        extent = (first.middle if first is not None else -FAR, last.middle if last is not None else FAR)
        rate = (plf[KIND] / IN_PER_FT, plf[HARD] / IN_PER_FT)
        name = f"partition {partition.id}" + (" and what it carries" if partition.bearing else "")
        if partition.runs == "across-joists":
            self._crossing(name, nature, partition.at, extent, rate)
            return
        for bay in self.area.bays:
            self._beside(name, nature, bay, partition.at.middle, extent, rate)

    def _crossing(self, name: str, nature: Nature, where: Quantity, extent: tuple[float, float], rate: Ends) -> None:
        """A wall across the joists: on each as much of it as stands over the joist's strip."""
        at = where.middle
        for joist in self.area.joists or ():
            part = _part_of_crossing(self.area, joist, where)
            for strip in self._strips.get(joist.id) or ():
                share = _overlap((strip.near, strip.far), extent)
                if share <= 0 or part[HARD] <= 0 or not strip.begins <= at <= strip.ends:
                    continue
                # The strip's own width may be a range; the wall takes its part of it.
                whole = abs(strip.far - strip.near)
                long = (strip.width[KIND] * share / whole, strip.width[HARD] * share / whole)
                amount = (rate[KIND] * long[KIND] * part[KIND], rate[HARD] * long[HARD] * part[HARD])
                source = f"it crosses over {long[HARD]:.1f} in of the joist's strip"
                self._walls.setdefault(joist.id, []).append(Load(name, nature, at, at, amount, source))

    def _beside(self, name: str, nature: Nature, bay: Bay, at: float, extent: tuple[float, float], rate: Ends) -> None:
        """A wall that runs with the joists, shared by the two beside it as the floor between them carries it."""
        left, right = (_side_place(side) for side in (bay.left, bay.right))
        if left is None or right is None or right <= left:
            return
        outermost = at < left and not _has_bay_beyond(self.area, bay.left, -1)
        outermost |= at > right and not _has_bay_beyond(self.area, bay.right, 1)
        if not (left <= at < right or (at == right and not _has_bay_beyond(self.area, bay.right, 1)) or outermost):
            return
        to_right = min(max((at - left) / (right - left), 0.0), 1.0)
        for joist, share in ((bay.left, 1 - to_right), (bay.right, to_right)):
            if not isinstance(joist, Joist):
                continue
            other = bay.right if joist is bay.left else bay.left
            most = 1.0 if isinstance(other, Wall) and self._edge_held(other) is not True else share
            begins, ends = self._along_with(joist, bay)
            start, end = max(begins, extent[0]), min(ends, extent[1])
            if most <= 0 or start >= end:
                continue
            amount = (rate[KIND] * share, rate[HARD] * most)
            source = f"{share:.0%} of it by the lever rule" if most == share else "beside a wall whose edge may be free"
            self._walls.setdefault(joist.id, []).append(Load(name, nature, start, end, amount, source))

    def _along_with(self, joist: Joist, bay: Bay) -> tuple[float, float]:
        """The stretch of a joist beside a bay; what stands over a support goes with a bay that reaches it."""
        beside = sorted(self._bays_to(joist, 1 if bay.left is joist else -1), key=lambda b: b.begins)
        number = beside.index(bay)
        begins = -FAR if number == 0 else bay.begins
        return begins, FAR if number == len(beside) - 1 else max(beside[number + 1].begins, bay.ends)

    def _partition_plf(self, partition: Partition) -> tuple[Ends | None, Nature, tuple[str, ...], tuple[str, ...]]:
        weight, height = partition.weight, partition.height
        psf = (weight.low, weight.high) if weight is not None else self.basis.partition_psf
        tall = (height.low, height.high) if height is not None else self.basis.partition_height_in
        notes: tuple[str, ...] = ()
        decides: tuple[str, ...] = ()
        if weight is None:
            notes += (f"partition {partition.id}: weight not known, {psf[0]:g} to {psf[1]:g} psf of wall",)
            decides += ("partition.weight",)
        if height is None:
            notes += (f"partition {partition.id}: height not known, {tall[0]:g} to {tall[1]:g} in",)
            decides += ("partition.height",)
        own = (psf[KIND] * tall[KIND] / IN_PER_FT, psf[HARD] * tall[HARD] / IN_PER_FT)
        if not partition.bearing and partition.carries is None:
            return own, "dead", notes, decides
        if partition.carries is None:
            return None, "either", notes, ("partition.carries",)
        brought = partition.carries
        return (own[KIND] + brought.low, own[HARD] + brought.high), "either", notes, decides

    # --- by joist -----------------------------------------------------------------------------------------------------

    def on(self, joist: Joist) -> Loads:
        """Every load on one joist, but for its own weight and what headers bring."""
        found = self._on.get(joist.id)
        if found is None:
            found = self._on[joist.id] = self._gathered(joist)
        return found

    def _gathered(self, joist: Joist) -> Loads:
        strips = self._strips.get(joist.id)
        unseen, decides, assumptions = self.unseen, self.decides, self.assumptions
        missing = ("joist_group.at",) if strips is None or joist in self.area.unplaced else ()
        if joist.id in self._open_sides:
            unseen += ("area.outline",)
        if joist.id in self._unsure_edges:
            decides += ("edge.landing",)
        if joist.id in self._beside_a_cut:
            decides += ("cut.repair", "joist.bearing")
            assumptions += (
                "the joist beside it is cut through or rests on one support, and may leave its floor to this one",
            )
        joined = _joined(strips or [])
        loads = [load for area_load in self.everywhere for load in _by_strips(area_load, strips or [], joined)]
        loads += self._walls.get(joist.id, ())
        return Loads(
            tuple(loads),
            tuple(dict.fromkeys(unseen)),
            tuple(dict.fromkeys(decides)),
            missing,
            tuple(dict.fromkeys(assumptions)),
            self.loose or any(strip.loose or (strip.shifts and self._in_places) for strip in strips or ()),
            self.self_weight,
        )

    @property
    def _in_places(self) -> bool:
        """Whether something stands or lies on part of the floor, and is shared by where the joists are."""
        return bool(self.area.partitions) or any(load.across or load.along for load in self.everywhere)

    def _assume(self, note: str, decided_by: str) -> None:
        self.assumptions += (note,)
        self.decides += (decided_by,)

    def _guessed(self, *quantities: Quantity | None) -> None:
        self.loose |= any(q is not None and q.estimate for q in quantities)

    def _placed_loosely(self, *places: Quantity | None) -> None:
        """Which joists a load comes down on is told by middles: nothing passes by them where they are not all known."""
        self.loose |= any(q is not None and (q.is_range or q.estimate) for q in places)

    def _unseen(self, field_name: str) -> None:
        self.unseen += (field_name,)


def _by_strips(load: AreaLoad, strips: list[Strip], joined: list[tuple[float, float, Ends]]) -> Iterator[Load]:
    """What an area load brings to a joist by the strips beside it, strips of one width on both sides taken together."""
    whole = load.across is None and load.along is None
    for start, end, width in joined if whole else _partly(load, strips):
        if end > start and width[HARD] > 0 and load.psf != (0.0, 0.0):
            amount = (load.psf[KIND] * width[KIND] / PER_FT2, load.psf[HARD] * width[HARD] / PER_FT2)
            yield Load(load.name, load.nature, start, end, amount, load.source, load.psf, width)


def _joined(strips: list[Strip]) -> list[tuple[float, float, Ends]]:
    """Left and right strips along the joist as stretches of one width."""
    marks = sorted({place for strip in strips for place in (strip.begins, strip.ends)})
    found: list[tuple[float, float, Ends]] = []
    for start, end in pairwise(marks):
        here = [s.width for s in strips if s.begins <= start and s.ends >= end]
        width = (sum(w[KIND] for w in here), sum(w[HARD] for w in here))
        if found and found[-1][2] == width:
            found[-1] = (found[-1][0], end, width)
        else:
            found.append((start, end, width))
    return found


def _partly(load: AreaLoad, strips: list[Strip]) -> Iterator[tuple[float, float, Ends]]:
    for strip in strips:
        across = load.across or (-FAR, FAR)
        along = load.along or (-FAR, FAR)
        share = _overlap((strip.near, strip.far), across)
        start, end = max(strip.begins, along[0]), min(strip.ends, along[1])
        if share > 0 and end > start:
            # The strip's own width may be a range; the rectangle takes its part of it.
            whole = abs(strip.far - strip.near)
            yield start, end, (strip.width[KIND] * share / whole, strip.width[HARD] * share / whole)


def _overlap(first: tuple[float, float], second: tuple[float, float]) -> float:
    low, high = sorted(first)
    return max(min(high, second[1]) - max(low, second[0]), 0.0)


def _without_gaps(strips: list[Strip]) -> list[Strip]:
    """Strips of one side, one after the other along the whole joist: what lies over a support goes with a neighbour."""
    ordered = sorted(strips, key=lambda s: s.begins)
    found: list[Strip] = []
    for number, strip in enumerate(ordered):
        begins = -FAR if number == 0 else max(found[-1].ends, strip.begins)
        ends = ordered[number + 1].begins if number + 1 < len(ordered) else FAR
        ends = max(ends, strip.ends) if number + 1 < len(ordered) else ends
        if ends > begins:
            found.append(replace(strip, begins=begins, ends=ends))
    return found


def held_at(joist: Joist, name: str) -> bool:
    """Whether it bears on this support, or may: not where somebody saw no bearing, no hanger and no sister's end."""
    hung, bearing = joist.hung.get(name), joist.bearing.get(name)
    if (hung is None or hung.by == "nothing") and (hung is not None or (bearing is not None and bearing.high <= 0)):
        return any((b := sister.bearing.get(name)) is not None and b.high > 0 for sister in joist.sisters or ())
    return True


def _let_down(joist: Joist) -> bool:
    """Whether a joist is cut through, or rests on one support alone, and nothing is known to carry it again."""
    if joist.sisters:
        return False
    carried = ("headered", "post-under", "sister", "designed")
    if any(cut.repair is None or cut.repair.kind not in carried for cut in joist.cuts or ()):
        return True
    return None not in (joist.from_, joist.to) and sum(held_at(joist, name) for name in carrier_ids(joist)) < 2


def _shifts(*sides: Joist | Wall) -> bool:
    """Whether the place of one of these is a range or an estimate."""
    places = [side.at if isinstance(side, Wall) else side.place for side in sides]
    return any(place is not None and (place.is_range or place.estimate) for place in places)


def _side_place(side: Joist | Wall) -> float | None:
    if isinstance(side, Wall):
        return side.at.middle
    return side.place.middle if side.place is not None else None


def _has_bay_beyond(area: Area, side: Joist | Wall, towards: int) -> bool:
    if isinstance(side, Wall):
        return False
    return any((bay.left if towards > 0 else bay.right) is side for bay in area.bays_beside.get(side.id, ()))


def two_sided(area: Area) -> frozenset[str]:
    """Supports on which joists of both sides end; worked out once for an area."""
    kept = vars(area).get(_TWO_SIDED)
    if kept is None:
        joists = area.joists or ()
        kept = frozenset(j.to for j in joists if j.to is not None) & frozenset(j.from_ for j in joists)
        vars(area)[_TWO_SIDED] = kept
    found: frozenset[str] = kept
    return found


_TWO_SIDED = "_two_sided"
# No fact of the trade: how far a tape may be off before a wall stands beside the floor.
OUTSIDE = 1.0  # in: how far past a joist's supports a wall across may stand and still be its load


def _part_of_crossing(area: Area, joist: Joist, where: Quantity) -> Ends:
    """The part of a wall across that falls to this joist: the least and the most, where places are ranges."""
    give = 0.0  # in: how far an end of it may be from where its middle puts it
    for name in (joist.from_, joist.to):
        carrier = area.carriers.get(name) if name is not None else None
        for face in (carrier_faces(carrier) or ()) if carrier is not None else ():
            give = max(give, (face.high - face.low) / 2)
    for end in (joist.begins, joist.ends):
        give = max(give, (end.high - end.low) / 2) if end is not None else give
    places = {where.low - give, where.middle, where.high + give}
    parts = [_part_at(area, joist, place) for place in places]
    return min(parts), max(parts)


def _part_at(area: Area, joist: Joist, at: float) -> float:
    """The part that falls to this joist of a wall that stands just there: half over a support that it shares."""
    extent = extent_along(area, joist)
    if extent is not None and not extent[0] - OUTSIDE <= at <= extent[1] + OUTSIDE:
        return 0.0
    for name in (joist.from_, joist.to):
        carrier = area.carriers.get(name) if name is not None else None
        faces = carrier_faces(carrier) if carrier is not None else None
        if faces is not None and name in two_sided(area) and faces[0].middle <= at <= faces[1].middle:
            return 0.5
    return 1.0


# --- weights ----------------------------------------------------------------------------------------------------------


def _planned_tile(finish: str | None) -> tuple[AreaLoad, ...]:
    if finish is None or finish not in TILE_MATERIAL:
        return ()
    found = []
    for kind, material in (("tile", TILE_MATERIAL[finish]), ("thin-set", "")):
        psf, source, _ = _known_weight(kind, material, None)
        found.append(AreaLoad(f"planned {kind}", "dead", psf, source))
    return tuple(found)


def _layer_load(layer: Layer, number: int) -> tuple[AreaLoad, tuple[str, ...]]:
    """A layer's weight, and what would narrow it."""
    name = f"layer {layer.id or number} ({layer.kind or 'kind unknown'})"
    across = along = None
    decides: tuple[str, ...] = ()
    source = "weight as measured"
    if layer.weight is not None:
        psf: Ends = (layer.weight.low, layer.weight.high)
    else:
        assert layer.kind is not None
        psf, source, sure = _known_weight(layer.kind, layer.material or "", layer.thickness)
        decides = () if sure or psf[KIND] == psf[HARD] else ("layer.weight", "layer.material", "layer.thickness")
    if layer.region is not None:
        across, along = pair_middles(layer.region.across), pair_middles(layer.region.along)
        if across is None or along is None:  # it may lie anywhere on the tape that isn't known, or not there
            psf, decides = (0.0, psf[HARD]), (*decides, "layer.region")
    return AreaLoad(name, "dead", psf, source, across, along), decides


@cache
def _layer_rows() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["kind"], row["material"]): row for row in read_rows(_DATA / "layers.csv")}


def _known_weight(kind: str, material: str, thickness: Quantity | None) -> tuple[Ends, str, bool]:
    """Weight of a layer as psf, its source, and whether it is that material in that thickness (and not just any)."""
    row = _layer_rows().get((kind, material)) or _layer_rows().get((kind, ""))
    if row is None:
        raise LookupError(f"no weight for a layer of kind {kind}")
    inches = (thickness.low, thickness.high) if thickness is not None else (None, None)
    found: list[weights.Weight] = []
    sure = bool(row["weights"]) and "|" not in row["weights"]
    for key in filter(None, row["weights"].split("|")):
        for size in dict.fromkeys(inches):
            try:
                found.append(weights.weight_psf(key, size if size else None))
            except LookupError:
                sure = False
    if found and (sure or len(found) >= len(row["weights"].split("|"))):
        return (min(w.low for w in found), max(w.high for w in found)), found[0].source, sure
    return (float(row["least_psf"]), float(row["most_psf"])), row["source"], False


@cache
def _fixture_rows() -> dict[str, dict[str, str]]:
    return {row["kind"]: row for row in read_rows(_DATA / "fixtures.csv")}


def _usual_gallons(row: dict[str, str]) -> Ends:
    """What a fixture of this kind holds: by its own row, else the least and the most of those whose weight it takes."""
    if row["least_gal"]:
        return float(row["least_gal"]), float(row["most_gal"])
    known = [weights.contents_gal(key) for key in row["weights"].split("|")]
    return min(w.low for w in known), max(w.high for w in known)


def _fixture_weight(
    fixture: Fixture,
) -> tuple[Ends | None, Ends | None, tuple[str, ...], tuple[str, ...]]:
    """Empty weight and weight of water and people (lb), what was taken for granted, and what would narrow it."""
    row = _fixture_rows().get(fixture.kind or "")
    name = f"{fixture.kind or 'fixture'} {fixture.id}"
    notes: tuple[str, ...] = ()
    decides: tuple[str, ...] = ()
    empty: Ends | None = None
    if fixture.weight is not None:
        empty = (fixture.weight.low, fixture.weight.high)
    elif row is not None:
        known = [weights.fixture_weight_lb(key) for key in filter(None, row["weights"].split("|"))]
        empty = (
            min((w.low for w in known), default=float(row["least_lb"] or 0)),
            max((w.high for w in known), default=float(row["most_lb"] or 0)),
        )
        notes += (f"{name}: weight not known, {empty[0]:g} to {empty[1]:g} lb",)
        decides += ("fixture.weight",)
    gallons: Ends | None = None
    if fixture.contents is not None:
        gallons = (fixture.contents.low, fixture.contents.high)
    elif row is not None:
        gallons = _usual_gallons(row)
        if gallons[0] != gallons[1]:
            decides += ("fixture.contents",)
            notes += (f"{name}: contents not known, {gallons[0]:g} to {gallons[1]:g} gal",)
    elif fixture.kind in ("shower", "other", "kitchen-base", "island", "stove") and fixture.weight is not None:
        gallons = (0.0, 0.0)  # these hold no water; a shower's runs off
    if gallons is None:
        return empty, None, notes, (*decides, "fixture.contents")
    people = fixture.people
    persons = (people.low, people.high) if people is not None else (0.0, float(row["most_people"]) if row else 0.0)
    person = weights.fixture_weight_lb("person")
    water = tuple(weights.water_lb(g) for g in gallons)
    return (
        empty,
        (water[0].low + persons[0] * person.low, water[1].high + persons[1] * person.high),
        notes,
        decides,
    )
