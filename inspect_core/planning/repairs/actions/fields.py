"""Actions on one part of the file: set what it says, take it out, lay a layer over or under it."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any

from inspect_core.planning.repairs.actions.common import PLANNED, Step, known_joist, worded
from inspect_core.planning.repairs.draft import CannotApply, Draft, chosen, to_limit
from inspect_core.planning.repairs.spots import Spot
from inspect_core.rules_api import named
from inspect_core.rules_api.repairs import Repair
from inspect_core.site.build import MERGED_KEYS
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Header, Path, Support

TO_LIMIT = "to-limit"
IN_JOISTS = {"sister": "sisters", "hole": "holes", "notch": "notches"}


def set_fields(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Set fields of the part that the finding is about.

    ``of`` names the part (``layer``, ``vent``, ``joist``, ``hole``, ``area``, …). ``set`` are its fields by dotted
    name, each with its planned value, or ``to-limit`` for the least that the finding's limit asks; ``remove`` are
    fields to take out; ``where_known`` are fields to set only where the file has them already, since new work has new
    ones; ``try`` are further sets, one after the other until one holds. ``where`` is what the part must say for the
    repair to be one (field: list of words), ``support`` the same of the support under a joist's end.
    """
    values = repair.with_values
    path, joist = _part(values["of"], spot)
    _fits(repair, spot, path, joist)
    for more in values.get("try") or [{}]:
        fields = {
            name.replace("{support}", spot.support): _value(value, spot)
            for name, value in {**(values.get("set") or {}), **more}.items()
        }
        said = next((str(v) for n, v in fields.items() if (values.get("set") or {}).get(n) == TO_LIMIT), "")

        def apply(draft: Draft, fields: Mapping[str, Any] = fields) -> None:
            for name, value in fields.items():
                _put(_holder(draft, spot, path, joist), name, copy.deepcopy(value), _said(draft, spot, path, joist))
            for name, value in chosen(values.get("where_known") or {}, spot.site.units).items():
                if _get(_holder(draft, spot, path, joist), name) not in (None, "unknown"):
                    _put(_holder(draft, spot, path, joist), name, value, {})
            for name in values.get("remove") or ():
                _drop(_holder(draft, spot, path, joist), name)

        target = ("part", *(path or ("areas", spot.area, joist)), spot.support)
        yield Step(repair, target, _with(repair, spot, said, more), apply)


def _with(repair: Repair, spot: Spot, value: str, more: Mapping[str, Any]) -> str:
    tried = {name.replace(".", "_"): chosen(item, spot.site.units) for name, item in more.items()}
    unit = spot.site.units if value.replace(" ", "").replace("/", "").isdecimal() else ""
    return worded(repair, spot, value=f"{value} {unit}".rstrip(), **tried)


def _part(kind: str, spot: Spot) -> tuple[Path, str]:
    if kind == "joist":
        return (), known_joist(spot)
    if kind in IN_JOISTS:
        if len(spot.path) < 2 or spot.path[-2] != IN_JOISTS[kind]:
            raise CannotApply(f"it is about no {kind} that the file lists")
        return spot.path, known_joist(spot)
    if kind == "area":
        if spot.area < 0:
            raise CannotApply("it is about no area")
        return ("areas", spot.area), ""
    path = spot.part(kind)
    if not path:
        raise CannotApply(f"it is about no {kind.replace('_', ' ')}")
    return path, ""


def _fits(repair: Repair, spot: Spot, path: Path, joist: str) -> None:
    draft = Draft.of(spot.site)
    part = draft.joist(spot.area, joist) if joist else draft.at(spot.site, path)
    for name, words in (repair.with_values.get("where") or {}).items():
        if _get(part, name) not in words:
            raise CannotApply(f"{name.replace('_', ' ')} is not {' or '.join(map(str, words))}")
    wanted = repair.with_values.get("support")
    if wanted is not None:
        carrier = spot.where.carriers.get(spot.support)
        if isinstance(carrier, Support):
            for name, words in wanted.items():
                if getattr(carrier, name, None) not in words and carrier.line not in ("ledger", "rim"):
                    raise CannotApply(f"{name.replace('_', ' ')} of {spot.support} is not {' or '.join(words)}")
        elif not isinstance(carrier, Header):
            raise CannotApply("nobody says what is under the end")


def _value(value: Any, spot: Spot) -> Any:
    return to_limit(spot.finding.check, spot.site.units) if value == TO_LIMIT else chosen(value, spot.site.units)


def _holder(draft: Draft, spot: Spot, path: Path, joist: str) -> dict[str, Any]:
    if not joist:
        return draft.at(spot.site, path)
    own = draft.own(spot.area, joist)
    if not path:
        return own
    row, number = str(path[-2]), path[-1]
    own[row] = copy.deepcopy(draft.joist(spot.area, joist)[row])
    entry: dict[str, Any] = own[row][number]
    return entry


def _said(draft: Draft, spot: Spot, path: Path, joist: str) -> dict[str, Any]:
    """What a joist's group says of it, which its own entry would hide."""
    return draft.joist(spot.area, joist) if joist and not path else {}


def _get(part: Any, name: str) -> Any:
    for step in name.split("."):
        part = part.get(step) if isinstance(part, dict) else None
    return part


def _put(holder: dict[str, Any], name: str, value: Any, said: Mapping[str, Any]) -> None:
    *inner, last = name.split(".")
    for n, step in enumerate(inner):
        old = _get(said, ".".join(inner[: n + 1])) if step not in holder else holder[step]
        if step in MERGED_KEYS and step not in holder:
            old = {}  # the group's entries for other supports stay where they are
        holder[step] = copy.deepcopy(old) if isinstance(old, dict) else {}
        holder = holder[step]
    holder[last] = value


def _drop(holder: dict[str, Any], name: str) -> None:
    *inner, last = name.split(".")
    for step in inner:
        if not isinstance(holder.get(step), dict):
            return
        holder = holder[step]
    holder.pop(last, None)


# --- layers ---


def _layer_name(spot: Spot, path: Path) -> str:
    """The layer at a path, as findings call it: the finding may be about another one."""
    layer = next((one for one in spot.where.layers or () if one.path == path), None)
    return named(layer).name if layer is not None else ""


def take_out_layer(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Take a layer out; ``where`` as for ``set``."""
    path, _ = _part("layer", spot)
    _fits(repair, spot, path, "")

    def apply(draft: Draft) -> None:
        layers = draft.row(spot.area, "layers")
        del layers[_index(draft.at(spot.site, path), layers)]

    yield Step(repair, ("layer", *path), worded(repair, spot, layer=_layer_name(spot, path)), apply)


def lay_layer(repair: Repair, spot: Spot) -> Iterator[Step]:
    """Lay a layer: ``place`` is ``over-part``, ``under-part`` or ``over-structure`` (over the last layer that carries);
    ``layer`` is its entry, ``where_known`` what it says besides where another layer of its kind says so, ``try`` are
    further fields, one set after the other."""
    values = repair.with_values
    place = values["place"]
    path: Path = ()
    if place != "over-structure":
        path, _ = _part("layer", spot)
        _fits(repair, spot, path, "")
    for more in values.get("try") or [{}]:
        entry = chosen({**values["layer"], **more}, spot.site.units)

        def apply(draft: Draft, entry: Mapping[str, Any] = entry) -> None:
            layers = draft.row(spot.area, "layers")
            if place == "over-structure":
                at = _over_structure(layers)
            else:
                at = _index(draft.at(spot.site, path), layers) + (place == "over-part")
            name = draft.fresh_name((str(one.get("id")) for one in layers), f"L{len(layers) + 1}")
            more = {
                key: value
                for key, value in chosen(values.get("where_known") or {}, draft.units).items()
                if any(one.get("kind") == entry["kind"] and one.get(key) not in (None, "unknown") for one in layers)
            }
            layers.insert(at, {"id": name, **copy.deepcopy(dict(entry)), **more, "work": "new", "note": PLANNED})

        words = _with(repair, spot, "", {"layer": _layer_name(spot, path), **more})
        yield Step(repair, ("layer", place, spot.area, *path), words, apply)


def _over_structure(layers: list[Any]) -> int:
    carrying = [n for n, one in enumerate(layers) if one.get("kind") in STRUCTURAL]
    if not carrying:
        raise CannotApply("there is no layer that carries")
    return carrying[-1] + 1


def _index(layer: dict[str, Any], layers: list[Any]) -> int:
    return next(n for n, one in enumerate(layers) if one is layer)
