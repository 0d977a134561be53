"""A copy of a site file's plain data that repairs are tried on, and where in it things stand."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Any

from inspect_core.quantities import Dimension, Units, exactly, written
from inspect_core.rules_api import Check
from inspect_core.site import Area, Site
from inspect_core.site.build import MERGED_KEYS
from inspect_core.site.model import Joist, Path

INCH = 25.4  # mm, by definition


class CannotApply(Exception):  # noqa: N818
    """A repair is not for this place; the text says why."""


@dataclass(frozen=True, slots=True)
class Draft:
    """Plain data as the file says it, to be changed in place. ``site`` is the model of the data as it last loaded."""

    site: Site
    data: dict[str, Any]

    @classmethod
    def of(cls, site: Site) -> Draft:
        """A fresh copy of what the site's file says."""
        return cls(site, pickle.loads(pickle.dumps(site.document.data)))  # a third of what copy.deepcopy takes

    @property
    def units(self) -> Units:
        return self.site.units

    def at(self, site: Site, path: Path) -> dict[str, Any]:
        """The mapping that stood at a path of ``site``, wherever it stands now: by its name, else by what it says.

        Raises :class:`CannotApply` where another repair took it away.
        """
        there: Any = site.document.data
        here: Any = self.data
        for step in path:
            try:
                before, there = there, there[step]
                here = _twin(before, step, here) if isinstance(before, list) else here[step]
            except (KeyError, IndexError, TypeError):
                raise CannotApply("the file does not describe it any more") from None
        if not isinstance(here, dict):
            raise CannotApply("the file does not describe it")
        return here

    def area(self, index: int) -> dict[str, Any]:
        """One area's mapping."""
        found: dict[str, Any] = self.data["areas"][index]
        return found

    def row(self, area: int, key: str) -> list[Any]:
        """A list of an area, made where the file has none."""
        holder = self.area(area)
        if not isinstance(holder.get(key), list):
            holder[key] = []
        found: list[Any] = holder[key]
        return found

    # --- joists ---

    def group(self, area: int, joist: str) -> dict[str, Any]:
        """The group that a joist belongs to."""
        for group in self.area(area).get("joists") or ():
            if joist in (group.get("also") or {}):
                return group  # type: ignore[no-any-return]
        model = joist_of(self.site.areas[area], joist)
        if model is None:
            raise CannotApply(f"there is no joist {joist}")
        found: dict[str, Any] = self.area(area)["joists"][model.group_path[3]]
        return found

    def own(self, area: int, joist: str) -> dict[str, Any]:
        """A joist's own entry beside its group's, made where it has none."""
        group = self.group(area, joist)
        if joist in (group.get("also") or {}):
            return group["also"][joist]  # type: ignore[no-any-return]
        if not isinstance(group.get("but"), dict):
            group["but"] = {}
        if not isinstance(group["but"].get(joist), dict):
            group["but"][joist] = {}
        return group["but"][joist]  # type: ignore[no-any-return]

    def joist(self, area: int, joist: str) -> dict[str, Any]:
        """All that the file says of a joist: its group's words with its own over them."""
        group = self.group(area, joist)
        own = (group.get("also") or {}).get(joist) or (group.get("but") or {}).get(joist) or {}
        common = {**{k: group[k] for k in ("from", "to", "over") if k in group}, **(group.get("each") or {})}
        whole = {**common, **own}
        for key in MERGED_KEYS:
            if isinstance(own.get(key), dict) and isinstance(common.get(key), dict):
                whole[key] = {**common[key], **own[key]}
        return copy.deepcopy(whole)

    def fresh_name(self, names: Iterable[str], wanted: str) -> str:
        """``wanted`` if nobody has it, else the next that is free: B2, B3, …"""
        taken = set(names)
        stem = wanted.rstrip("0123456789")
        number = int(wanted[len(stem) :] or 1)
        while f"{stem}{number}" in taken:
            number += 1
        return f"{stem}{number}"


def _twin(before: list[Any], index: Any, now: list[Any]) -> Any:
    """An item of a list in the same list later on."""
    item = before[index]
    for key in ("id", "wall", "name"):
        if isinstance(item, dict) and item.get(key) is not None:
            return next((one for one in now if one.get(key) == item[key]), None)
    same = [one for one in now if one == item]
    if same:
        return same[min(before[:index].count(item), len(same) - 1)]
    kind = item.get("kind") if isinstance(item, dict) else None
    return now[index] if isinstance(now[index], dict) and now[index].get("kind") == kind else None


def joist_of(area: Area, name: str) -> Joist | None:
    """A joist by its name, one that is missing too."""
    found = area.joist_by_id.get(name)
    return found or next((j for j in area.missing_joists if j.id == name), None)


# --- values as the file writes them ---


def chosen(value: Any, units: Units) -> Any:
    """A planned value for this file: of ``{in: 12, mm: 300}`` the one in its units, all the way down."""
    if isinstance(value, Mapping):
        if value.keys() == {"in", "mm"}:
            return value[units]
        return {key: chosen(item, units) for key, item in value.items()}
    if isinstance(value, list):
        return [chosen(item, units) for item in value]
    return value


def tape(inches: float, units: Units) -> Any:
    """A length as a bare number of the file's units: to a sixteenth of an inch or a millimetre."""
    if units == "mm":
        return round(inches * INCH)
    whole, part = divmod(round(abs(inches) * 16), 16)
    sign = "-" if inches < 0 and (whole or part) else ""
    if not part:
        return int(f"{sign}{whole}")
    fraction = str(Fraction(part, 16))
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


_STEPS = {
    (Dimension.LENGTH, "in"): 1 / 8,
    (Dimension.LENGTH, "mm"): 5 / INCH,
    (Dimension.AREA, "in"): 5.0,
    (Dimension.AREA, "mm"): 500 / INCH**2,
}
_FINE = {"in": 1 / 16, "mm": 1 / INCH}


def to_limit(check: Check, units: Units) -> Any:
    """The least that a finding's own limit asks, on the safe side of it and round on a tape."""
    upwards = check.sense in ("at-least", "between")
    limit = check.limit
    value = limit.value if limit is not None else None
    if value is None:
        raise CannotApply("the limit is not a number")
    if check.sense == "one-of":
        raise CannotApply("the limit is a word")
    edge = value.high if upwards else value.low
    if value.dimension is Dimension.LENGTH and edge < 1:
        step = _FINE[units]
    else:
        step = _STEPS.get((value.dimension, units), 0.0)
    if step:
        edge = ceil(edge / step - 1e-9) * step if upwards else floor(edge / step + 1e-9) * step
    if value.dimension is Dimension.LENGTH:
        return tape(edge, units)
    return written(exactly(edge, value.dimension), units)
