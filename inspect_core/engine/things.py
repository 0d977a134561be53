"""The things that a template may go through: every joist, hole, layer, … of an area, and what their fields say.

Unknown stays unknown: a list that the file does not have is one thing of which nothing is known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from inspect_core.quantities import maximum
from inspect_core.rules_api import Named, Subject, named
from inspect_core.site import Area, Site
from inspect_core.site.geometry import Bay, JoistEnd

LISTS: Final[Mapping[str, str]] = {
    "joist": "joists",
    "support": "supports",
    "opening": "openings",
    "blocking": "blocking",
    "edge": "edges",
    "layer": "layers",
    "threshold": "thresholds",
    "fixture": "fixtures",
    "drain": "drains",
    "water_pipe": "water_pipes",
    "wet_area": "wet_areas",
    "partition": "partitions",
    "post": "posts",
    "pier": "piers",
    "footing": "footings",
}
"""Kinds of which an area has a list, and the list's name."""

NESTED: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "hole": (("joists", "holes"), ("supports", "holes")),
    "notch": (("joists", "notches"), ("supports", "notches")),
    "cut": (("joists", "cuts"),),
    "sister": (("joists", "sisters"),),
    "condition": (("joists", "condition"), ("supports", "condition"), ("posts", "condition"), ("piers", "condition")),
    "header": (("openings", "headers"),),
    "trap": (("drains", "trap"),),
    "flange": (("fixtures", "flange"),),
    "clearances": (("fixtures", "clearances"),),
    "liner": (("wet_areas", "liner"),),
    "flood_test": (("wet_areas", "flood_test"),),
}
"""Kinds that belong to another thing: lists of the area, and the field that holds them."""

UNDER: Final = ("crawl_space", "ground_cover", "vent", "air")
SINGLE: Final[Mapping[str, str]] = {
    "soil": "soil",
    "flatness": "flatness",
    "electrical": "wiring",
    "fire": "fire protection",
}
"""Kinds of which an area has one, and what findings call it."""
OF_SITE: Final[Mapping[str, str]] = {"site": "house", "place": "place", "hazards": "hazards"}
KINDS: Final = (
    "area", *LISTS, *NESTED, *UNDER, *SINGLE, "joist_end", "bay", *OF_SITE, "temporary_support",
)  # fmt: skip
"""Everything that `for_each` may name."""

ASKS: Final[Mapping[str, tuple[str, ...]]] = {
    "area.longest_span": ("joist.from", "joist.to", "support.at"),
    "joist.clear_span": ("joist.from", "joist.to", "support.at"),
    "joist.true_depth": ("joist.size",),
    "joist.true_thickness": ("joist.size",),
    "support.true_depth": ("support.size",),
    "support.true_thickness": ("support.size",),
    "post.true_thickness": ("post.size",),
    "joist_end.bearing": ("joist.bearing",),
    "bay.spacing": ("joist.at",),
    "hole.joist_depth": ("joist.size",),
    "notch.joist_depth": ("joist.size",),
}
"""What to measure where a field that follows from others is not known."""


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing. ``part`` is ``None`` where there is nothing to look at: ``unknown`` says what nobody wrote down, or
    ``absent`` why there is none."""

    subject: Subject
    part: Any = None
    owner: Any = None
    area: Area | None = None
    unknown: str = ""
    absent: str = ""


def asks(kind: str, field: str) -> tuple[str, ...]:
    """Fields of the site description that would settle a field."""
    name = f"{kind}.{field}"
    return ASKS.get(name) or (name,)


def is_of_site(kind: str) -> bool:
    """Whether there is one list of this kind for a whole site."""
    return kind in OF_SITE or kind == "temporary_support"


def things(kind: str, where: Area | Site) -> Iterator[Thing]:
    """All things of a kind in an area (or in the site, for what belongs to the site)."""
    if isinstance(where, Site):
        yield from _of_site(kind, where)
    elif kind == "area":
        yield Thing(Named(f"floor {where.id}", where.path), where, area=where)
    elif kind in LISTS:
        yield from _listed(kind, getattr(where, LISTS[kind]), where)
    elif kind in NESTED:
        yield from _nested(kind, where)
    elif kind in UNDER:
        yield from _under(kind, where)
    elif kind in SINGLE:
        yield _single(SINGLE[kind], getattr(where, kind), where)
    elif kind == "joist_end":
        yield from _derived(where.joist_ends, "joist ends", where)
    else:
        yield from _derived(where.bays, "bays", where)


def _words(kind: str) -> str:
    return kind.replace("_", " ")


def _listed(kind: str, found: tuple[Any, ...] | None, area: Area) -> Iterator[Thing]:
    name = _words(LISTS[kind])
    if found is None:
        yield Thing(Named(name, area.path), unknown=f"the {name} are not listed")
    elif not found:
        yield Thing(Named(name, area.path), absent=f"there are no {name}")
    for part in found or ():
        yield Thing(named(part), part, area=area)


def _nested(kind: str, area: Area) -> Iterator[Thing]:
    seen = unknown = False
    for holders, field in NESTED[kind]:
        owners = getattr(area, holders)
        if owners is None and holders == NESTED[kind][0][0]:
            unknown = True
            yield Thing(Named(_words(holders), area.path), unknown=f"the {_words(holders)} are not listed")
        for owner in owners or ():
            found = getattr(owner, field)
            if found is None:
                unknown = True
                yield Thing(
                    named(owner, _words(field)), owner=owner, area=area, unknown=f"{_words(field)}: nothing is said"
                )
                continue
            parts = found if isinstance(found, tuple) else (found,)
            for number, part in enumerate(parts, 1):
                seen = True
                label = (
                    f"{_words(kind)} {getattr(part, 'id', '') or number}" if isinstance(found, tuple) else _words(kind)
                )
                yield Thing(named(part, label, within=owner), part, owner, area)
    if not seen and not unknown:
        plural = _words(NESTED[kind][0][1])
        yield Thing(Named(plural, area.path), absent=f"there are no {plural}")


def _under(kind: str, area: Area) -> Iterator[Thing]:
    space = area.crawl_space
    if space is None:
        yield Thing(Named("crawl space", area.path), unknown="nothing is said about the space under the floor")
        return
    if space.same_as is not None:
        yield Thing(Named("crawl space", space.path), absent=f"described with {space.same_as}")
        return
    if space.kind in ("none", "basement"):
        yield Thing(Named("crawl space", space.path), absent=f"crawl space: {space.kind}")
        return
    if kind == "crawl_space":
        yield Thing(named(space), space, area=area)
    elif kind == "vent":
        if space.vents is None:
            yield Thing(Named("vents", space.path), unknown="the vents are not listed")
        elif not space.vents:
            yield Thing(Named("vents", space.path), absent="there are no vents")
        for part in space.vents or ():
            yield Thing(named(part), part, space, area)
    else:
        yield _single(_words(kind), getattr(space, kind), area)


def _single(name: str, part: Any, area: Area) -> Thing:
    if part is None:
        return Thing(Named(name, area.path), unknown=f"nothing is said about the {name}")
    return Thing(Named(name, part.path, getattr(part, "work", None)), part, area=area)


def _derived(found: tuple[JoistEnd, ...] | tuple[Bay, ...], name: str, area: Area) -> Iterator[Thing]:
    if not found:
        known = area.joists == ()
        yield Thing(
            Named(name, area.path),
            unknown="" if known else "the joists are not described",
            absent="there are no joists" if known else "",
        )
    for part in found:
        yield Thing(part, part, area=area)


def _of_site(kind: str, site: Site) -> Iterator[Thing]:
    if kind == "temporary_support":
        found = site.temporary_supports
        if found is None:
            yield Thing(Named("temporary supports", ()), unknown="temporary supports are not listed")
        elif not found:
            yield Thing(Named("temporary supports", ()), absent="there are no temporary supports")
        for number, part in enumerate(found or (), 1):
            yield Thing(Named(f"temporary support {part.id or number}", part.path), part)
        return
    part = getattr(site, OF_SITE[kind])
    name = {"site": "house"}.get(kind, kind)
    yield (
        Thing(Named(name, part.path), part)
        if part is not None
        else Thing(Named(name, ()), unknown=f"nothing is said of the {name}")
    )


def value(kind: str, field: str, thing: Thing) -> Any:
    """What is known of a field; ``None`` where it is not known."""
    derived = _DERIVED.get(f"{kind}.{field}")
    if derived is not None:
        return derived(thing)
    return getattr(thing.part, "from_" if field == "from" else field, None)


def assumptions(kind: str, field: str, thing: Thing) -> tuple[str, ...]:
    """What had to be taken for granted to know a field."""
    whole = thing.owner if field == "joist_depth" else thing.part if field in ("true_depth", "true_thickness") else None
    found: tuple[str, ...] = whole.section.assumptions if whole is not None and hasattr(whole, "section") else ()
    return found


def _clear_span(thing: Thing) -> Any:
    spans = thing.area.spans(thing.part) if thing.area is not None else ()
    return maximum(*(span.clear for span in spans)) if spans else None


def _longest_span(thing: Thing) -> Any:
    from inspect_core.engine.gates import longest_span

    return longest_span(thing.part)


_DERIVED: Final[Mapping[str, Callable[[Thing], Any]]] = {
    "area.longest_span": _longest_span,
    "joist.clear_span": _clear_span,
    "joist.true_depth": lambda thing: thing.part.section.depth,
    "joist.true_thickness": lambda thing: thing.part.section.thickness,
    "support.true_depth": lambda thing: thing.part.section.depth,
    "support.true_thickness": lambda thing: thing.part.section.thickness,
    "post.true_thickness": lambda thing: thing.part.section.thickness,
    "joist_end.bearing": lambda thing: thing.part.bearing,
    "bay.spacing": lambda thing: thing.part.spacing,
    "hole.joist_depth": lambda thing: thing.owner.section.depth if hasattr(thing.owner, "section") else None,
    "notch.joist_depth": lambda thing: thing.owner.section.depth if hasattr(thing.owner, "section") else None,
}
