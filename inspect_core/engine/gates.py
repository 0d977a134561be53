"""Which dates and conditions of a stack hold for a site, an area, or a kind of work; and which can't be told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from inspect_core.quantities import Quantity, Units, maximum, render
from inspect_core.quantities.dates import Day, day, within
from inspect_core.rules_api import Gate, Pack
from inspect_core.rules_api.changes import ALWAYS
from inspect_core.rules_api.conditions import PARTS, FieldTest, holds
from inspect_core.rules_api.fields import LONGEST_SPAN, WORK_FIELD
from inspect_core.rules_api.vocabulary import WORK
from inspect_core.site import Area, Site
from inspect_core.site.model import CrawlSpace, Place

Verdicts = tuple[bool | None, ...]
"""Whether a gate is open for existing, altered and new work; ``None`` where that is not known."""

OF_AREA = frozenset(PARTS) - {"site", "place", "hazards"}


def verdicts(gate: Gate, site: Site, area: Area | None) -> Verdicts:
    """Whether a gate is open. Without an area what differs between the areas is not known."""
    if area is None and len(site.areas) > 1 and asks_area(gate):
        each = {verdicts(gate, site, one) for one in site.areas}
        return each.pop() if len(each) == 1 else (None,) * len(WORK)
    if area is None and asks_area(gate):
        area = site.areas[0]
    dated = _in_time(gate, site)
    if gate.when is None:
        return (dated,) * len(WORK)
    return tuple(_both(dated, _any([_all(group, site, area, work) for group in gate.when.any_of])) for work in WORK)


def settled(gate: Gate, site: Site) -> bool | None:
    """Whether a gate is open for the whole site, whatever the work; ``None`` where that is not known."""
    found = set(verdicts(gate, site, None))
    return found.pop() if len(found) == 1 else None


def asks_area(gate: Gate) -> bool:
    """Whether a gate depends on the area."""
    return gate.when is not None and any(field.partition(".")[0] in OF_AREA for field in gate.when.fields)


def asks_work(gate: Gate) -> bool:
    """Whether a gate depends on the kind of work."""
    return gate.when is not None and WORK_FIELD in gate.when.fields


def unknown_fields(gate: Gate, site: Site, area: Area | None) -> tuple[str, ...]:
    """Fields that would have to be known for the gate to be decided."""
    found: list[str] = []
    if _in_time(gate, site) is None:
        found.append("place.permit_date")
    for group in gate.when.any_of if gate.when is not None else ():
        for test in group:
            where = area if area is not None else site.areas[0] if len(site.areas) == 1 else None
            if test.field != WORK_FIELD and _verdict(test, site, where, None) is None:
                found.append("joist.at" if test.field == LONGEST_SPAN else test.field)
    return tuple(dict.fromkeys(found))


def _all(group: tuple[FieldTest, ...], site: Site, area: Area | None, work: str) -> bool | None:
    found = [_verdict(test, site, area, work) for test in group]
    return False if False in found else None if None in found else True


def _any(found: list[bool | None]) -> bool | None:
    return True if True in found else None if None in found else False


def _both(a: bool | None, b: bool | None) -> bool | None:
    return False if False in (a, b) else None if None in (a, b) else True


def _verdict(test: FieldTest, site: Site, area: Area | None, work: str | None) -> bool | None:
    if test.field == WORK_FIELD:
        return holds(test, work)
    return holds(test, field_value(test.field, site, area))


def field_value(field: str, site: Site, area: Area | None) -> Any:
    """What the site says of a field of which there is only one; ``None`` where that is not known."""
    part, _, name = field.partition(".")
    if field == LONGEST_SPAN:
        return longest_span(area)
    holder: Any = {
        "site": site.house,
        "place": site.place,
        "hazards": site.hazards,
        "area": area,
        "crawl_space": crawl_space(site, area),
        "soil": area.soil if area else None,
        "flatness": area.flatness if area else None,
    }.get(part)
    if part in ("ground_cover", "air"):
        space = crawl_space(site, area)
        holder = getattr(space, part) if space is not None else None
    return getattr(holder, name, None) if holder is not None else None


def crawl_space(site: Site, area: Area | None) -> CrawlSpace | None:
    """The crawl space under an area, also where it is described with another one."""
    space = area.crawl_space if area is not None else None
    if space is not None and space.same_as is not None:
        other = next((a for a in site.areas if a.id == space.same_as), None)
        return other.crawl_space if other is not None else None
    return space


def longest_span(area: Area | None) -> Any:
    """Longest clear span of the area's joists in inches; ``None`` where one of them is not known."""
    if area is None or not area.joists:
        return None
    spans = [area.spans(joist) for joist in area.joists]
    if not all(spans):
        return None
    return maximum(*(span.clear for found in spans for span in found))


# --- dates ----------------------------------------------------------------------------------------------------------


def date_of(site: Site) -> Day | None:
    """The day by which packs are chosen: the permit's, else the survey's; ``None`` where neither is a date."""
    permit = site.place.permit_date if site.place is not None else None
    return (day(permit) if permit else None) or (day(site.house.date) if site.house.date else None)


def _in_time(gate: Gate, site: Site) -> bool | None:
    if not gate.effective and not gate.expires:
        return True
    found = date_of(site)
    return None if found is None else within(found, gate.effective, gate.expires)


# --- parameters -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Filled:
    """What packs filled in of the place: assumption by field, and remarks where the file says otherwise."""

    assumptions: Mapping[str, str]
    notes: tuple[str, ...]


def with_parameters(site: Site, packs: tuple[Pack, ...]) -> tuple[Site, Filled]:
    """The site with what the packs know of the place, where the file is silent. The file always wins."""
    wanted: dict[str, tuple[Any, str]] = {}
    notes: list[str] = []
    for pack in packs:
        for section in pack.sections:
            if not section.parameters:
                continue
            is_open = True if section.gate == ALWAYS else settled(section.gate, site)
            if is_open is None:
                notes.append(
                    f"{pack.id} sets {', '.join(section.parameters)} {section.gate.words()}: not known, left out"
                )
            elif is_open:
                wanted |= {field: (value, pack.id) for field, value in section.parameters.items()}
    place = site.place or Place(path=("place",))
    values: dict[str, Any] = {}
    assumptions: dict[str, str] = {}
    for field, (value, pack_id) in wanted.items():
        name = field.partition(".")[2]
        said = getattr(place, name)
        if said is None:
            values[name] = value
            assumptions[field] = f"{field} {_shown(value, site.units)} by {pack_id}, since the file does not say"
        elif said != value:
            notes.append(
                f"the file says {field} {_shown(said, site.units)}, {pack_id} says {_shown(value, site.units)}; "
                "the file's counts"
            )
    if values:
        site = replace(site, place=replace(place, **values))
    for pack in packs:
        names = [field for field in assumptions if wanted[field][1] == pack.id]
        if names:
            listed = ", ".join(f"{name.partition('.')[2]} {_shown(wanted[name][0], site.units)}" for name in names)
            notes.append(f"{pack.id} fills in what the file does not say of the place: {listed}")
    return site, Filled(assumptions, tuple(notes))


def _shown(value: Any, units: Units) -> str:
    if isinstance(value, Quantity):
        return render(value, units)
    return "yes" if value is True else "no" if value is False else str(value)
