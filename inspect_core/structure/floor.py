"""One floor area as a structure: each member worked out once, when a rule or a report first asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from operator import attrgetter

from inspect_core.quantities import Quantity, Size
from inspect_core.site.area import Area
from inspect_core.site.geometry import carrier_faces
from inspect_core.site.model import Header, Joist, Opening, Support
from inspect_core.structure.basis import HARD, KIND, Basis, Lookup, basis_of
from inspect_core.structure.beams import bears_on, is_girder, may_be_trimmers, solve_girder, solve_header, trimmers_of
from inspect_core.structure.joists import Member, solve_joist
from inspect_core.structure.loads import FloorLoads, Load, Loads, Nature
from inspect_core.structure.strength import moisture_classes

_KEPT = "_structure"


@dataclass
class Floor:
    """The members of an area under a basis."""

    area: Area
    basis: Basis
    _joists: dict[str, Member] = field(default_factory=dict)
    _alike: dict[object, Member] = field(default_factory=dict)
    _beams: dict[str, Member] = field(default_factory=dict)

    @cached_property
    def loads(self) -> FloorLoads:
        """What stands and lies on the floor."""
        return FloorLoads(self.area, self.basis)

    def joist(self, joist: Joist) -> Member:
        """One joist, solved."""
        found = self._joists.get(joist.id)
        if found is None:
            headers, unseen = self._from_headers(joist)
            floor = self.loads.on(joist)
            if unseen:
                floor = replace(floor, unseen=(*floor.unseen, *unseen))
            found = self._solved(joist, floor, headers)
            self._joists[joist.id] = found
        return found

    def _solved(self, joist: Joist, floor: Loads, headers: tuple[Load, ...]) -> Member:
        """A joist solved, or what another that differs only in its place came to."""
        key = (_likeness(joist, self.basis), floor, headers, self._beside(joist))
        found = self._alike.get(key)
        if found is None:
            found = self._alike[key] = solve_joist(self.area, joist, self.basis, floor, headers)
        if found.id == joist.id:
            return found
        return replace(found, id=joist.id, path=joist.path, work=joist.work)

    def _beside(self, joist: Joist) -> tuple[object, ...]:
        """What a joist's place decides apart from its loads: its neighbours, and supports that not all joists reach."""
        bays = tuple((bay.spacing, bay.at_wall) for bay in self.area.bays_beside.get(joist.id, ()))
        return (bays, joist.place if self._partial_supports else None)

    @cached_property
    def _partial_supports(self) -> bool:
        return any(support.across is not None for support in self.area.supports or ())

    @property
    def joists(self) -> tuple[Member, ...]:
        """Every joist, in the order of the file."""
        return tuple(self.joist(joist) for joist in self.area.joists or ())

    def girder(self, support: Support) -> Member:
        """One girder, solved under the joists that bear on it."""
        found = self._beams.get(support.id)
        if found is None:
            found = solve_girder(self.area, support, self.basis, self._bearing_on(support.id))
            self._beams[support.id] = found
        return found

    @property
    def girders(self) -> tuple[tuple[Support, bool | None], ...]:
        """Support lines that span from post to post, and those of which that is not known (``None``)."""
        found = ((support, is_girder(self.area, support)) for support in self.area.supports or ())
        return tuple((support, spans) for support, spans in found if spans is not False)

    def header(self, opening: Opening, header: Header) -> Member:
        """One header, solved under its tail joists."""
        found = self._beams.get(header.id)
        if found is None:
            # Until it is solved a header that, by a slip, ends up carrying itself has nothing to bring.
            self._beams[header.id] = Member(header.id, header.path, header.work, kind="header", missing=("joist.from",))
            found = solve_header(self.area, opening, header, self.basis, self._bearing_on(header.id))
            self._beams[header.id] = found
        return found

    def _bearing_on(self, name: str) -> list[tuple[Joist, Member, Loads]]:
        joists = [joist for joist in self.area.joists or () if bears_on(joist, name)]
        return [(joist, self.joist(joist), self.loads.on(joist)) for joist in joists]

    @cached_property
    def _trimmed(self) -> dict[str, list[tuple[Opening, Header, str, int]]]:
        """For each trimmer the headers that it carries, at which end, and how many joists share that end."""
        found: dict[str, list[tuple[Opening, Header, str, int]]] = {}
        for opening in self.area.openings or ():
            for header in opening.headers or ():
                ends = trimmers_of(self.area, opening, header)
                for end, joists in zip(("first trimmer", "last trimmer"), ends, strict=True):
                    for joist in joists:
                        found.setdefault(joist.id, []).append((opening, header, end, len(joists)))
        return found

    @cached_property
    def _may_trim(self) -> frozenset[str]:
        """Joists that may carry a header, without it being sure."""
        openings = self.area.openings or ()
        pairs = [(opening, header) for opening in openings for header in opening.headers or ()]
        return frozenset(joist.id for pair in pairs for joist in may_be_trimmers(self.area, *pair))

    def _from_headers(self, joist: Joist) -> tuple[tuple[Load, ...], tuple[str, ...]]:
        """What the headers at a trimmer bring, and what has to be known first."""
        loads: list[Load] = []
        unseen: list[str] = ["header.across"] if joist.id in self._may_trim else []
        for opening, header, end, sharing in self._trimmed.get(joist.id, ()):
            solved = self.header(opening, header)
            reaction = solved.arriving.get(end)
            faces = carrier_faces(header)
            if reaction is None or faces is None:
                unseen += solved.missing or ("header.along",)
                continue
            at = (faces[0].middle + faces[1].middle) / 2
            source = "its reaction here" if sharing == 1 else f"its reaction here, shared by {sharing} trimmers"
            for nature, part in (("dead", reaction.dead), ("live", reaction.live)):
                amount = (part[KIND] / sharing, part[HARD] / sharing)
                kind: Nature = "dead" if nature == "dead" else "live"
                loads.append(Load(f"header {header.id}, {nature}", kind, at, at, amount, source))
        return tuple(loads), tuple(unseen)


# What no solution turns on, and what it turns on only in part: each joist has readings of its own.
OWN = (
    "path",
    "id",
    "place",
    "place_far",
    "group_path",
    "own_keys",
    "at",
    "at_far_end",
    "restraint",
    "evidence",
    "note",
)
IN_PART = ("moisture", "bearing", "hung", "joints")
_WHOLE = attrgetter(*(one.name for one in fields(Joist) if one.name not in (*OWN, *IN_PART)))


def _likeness(joist: Joist, basis: Basis) -> tuple[object, ...]:
    """What joists alike have in common: plain values, and the very same lists of holes, sisters and the like."""
    moisture = joist.moisture
    return (
        *map(_plain, _WHOLE(joist)),
        None if moisture is None else (moisture.estimate, moisture_classes(moisture, basis)),
        tuple((name, bearing.high <= 0) for name, bearing in joist.bearing.items() if bearing is not None),
        tuple((name, hanger.by) for name, hanger in joist.hung.items()),
        tuple((name, joint.kind) for name, joint in joist.joints.items()),
    )


def _plain(value: object) -> object:
    if value is None or isinstance(value, str | bool | Quantity | Size):
        return value
    if isinstance(value, tuple):
        return tuple(map(_plain, value))
    if isinstance(value, Mapping):
        return tuple((key, _plain(one)) for key, one in value.items())
    return id(value)


def floor_of(area: Area, limits: Lookup) -> Floor:
    """The structure of an area under the limits in force; kept with the area, so that all rules share one solution."""
    kept: list[tuple[Lookup, Floor]] = vars(area).setdefault(_KEPT, [])
    for known, floor in kept:
        if known is limits:
            return floor
    basis = basis_of(limits)
    floor = next((floor for _, floor in kept if floor.basis == basis), None) or Floor(area, basis)
    kept.append((limits, floor))
    return floor
