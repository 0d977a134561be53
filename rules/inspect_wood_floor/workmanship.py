"""Work that no measurement decides: a checklist (``data/workmanship.csv``), settled by evidence of a look."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from inspect_core.rules_api import ADVISORY, STATUSES, Check, Limits, Named, Rule, does_not_apply, fact, rule
from inspect_core.site import Area, Site
from inspect_wood_floor._layering import tiled


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to look at. ``where`` is a key of :data:`PLACES`; ``states`` are the only ones that ask for it (none:
    all do); ``evidence`` says what to keep."""

    id: str
    hold_point: str
    where: str
    states: tuple[str, ...]
    says: str
    evidence: str
    provisions: tuple[str, ...]
    source: str
    status: str


def _listed(name: str) -> Callable[[Area], bool | None]:
    """Whether a list of the area holds anything; ``None`` while nobody has filled it in."""

    def found(area: Area) -> bool | None:
        parts = getattr(area, name)
        return None if parts is None else bool(parts)

    return found


def _bolted_sisters(area: Area) -> bool | None:
    """Whether bolts hold a sister; ``None`` while joists, sisters or their fasteners are not told."""
    if area.joists is None:
        return None
    kinds = [
        sister.fasteners.kind if sister.fasteners is not None else None
        for joist in area.joists
        for sister in joist.sisters or ()
    ]
    unsaid = None in kinds or any(joist.sisters is None for joist in area.joists)
    return True if "bolt" in kinds else None if unsaid else False


PLACES: Mapping[str, Callable[[Area], bool | None]] = {
    "anywhere": lambda area: True,
    **{name: _listed(name) for name in ("joists", "supports", "posts", "piers", "footings", "drains")},
    "bolted sisters": _bolted_sisters,
    "tile": tiled,
}
"""Where an item may apply, and whether an area has it."""


@cache
def items() -> tuple[Item, ...]:
    """The checklist, in the file's order. Raises ``ValueError`` where a row is not whole."""
    text = files("inspect_wood_floor").joinpath("data", "workmanship.csv").read_text("utf-8")
    found = []
    for row in csv.DictReader(io.StringIO(text, newline="")):
        needed = [value for column, value in row.items() if column != "states"]
        if row["where"] not in PLACES or row["status"] not in STATUSES or not all(needed):
            raise ValueError(f"workmanship.csv: {row['id']}: something is missing or unknown")
        states = tuple(state for state in row["states"].split("|") if state)
        found.append(Item(**row | {"provisions": tuple(row["provisions"].split()), "states": states}))
    return tuple(found)


def _checklist(point: str) -> Rule:
    """The rule for the items of one hold point."""

    @rule(
        f"workmanship-{point}",
        hold_point=point,
        severity=ADVISORY,
        reference="admin.workmanship",
        quantity="evidence",
        measures=["evidence.of", "place.state"],
        provisions=[name for item in items() if item.hold_point == point for name in item.provisions],
        cautions=["crawl-space"] if point == "under-floor" else [],
        remedy="Look, mend what is wrong, take a photo, and list the item's id under the evidence's `of`.",
        scope="site",
    )
    def looked_at(site: Site, limits: Limits) -> Iterator[Check]:
        """Work that only eyes can judge has been looked at, and evidence of it is kept.

        Nobody can tell from a file whether glue was fresh or grout is full; evidence tells who looked, and when. It is
        advice unless a local pack makes it more.
        """
        asked = [item for item in items() if item.hold_point == point]
        yield from (_of(site, item) for item in asked if not item.states)
        yield from _local(site, [item for item in asked if item.states])

    return looked_at


def _local(site: Site, asked: list[Item]) -> Iterator[Check]:
    """Items that single states ask for, where the house stands in one of them."""
    state = site.place.state if site.place is not None else None
    here = [item for item in asked if state is not None and state.casefold() in map(str.casefold, item.states)]
    yield from (_of(site, item) for item in here)
    about = Named("items of single states", site.place.path if site.place is not None else ())
    if state is None and asked:
        yield fact(about, None, expected="the state asks for none of them", asks=("place.state",))
    elif asked and not here:
        yield does_not_apply(about, f"none is known here for {state}; a local pack may add its own")


def _of(site: Site, item: Item) -> Check:
    kept = [one for one in site.evidence or () if item.id in (one.of or ())]
    subject = Named(f"item {item.id}", kept[0].path if kept else ())
    if kept:
        noted = "nobody but who took it has seen more than the evidence shows"
        found = f"evidence kept: {', '.join(one.id for one in kept)}"
        return fact(subject, True, expected=item.says, found=found, assuming=[noted])
    there = [PLACES[item.where](area) for area in site.areas]
    if not any(one is not False for one in there):
        return does_not_apply(subject, f"no {item.where} here")
    expected = f"{item.says} (keep {item.evidence}, and list {item.id} in its `of`)"
    return fact(subject, None, expected=expected, asks=("evidence.of",))


under_floor = _checklist("under-floor")
"""Items before the subfloor."""
