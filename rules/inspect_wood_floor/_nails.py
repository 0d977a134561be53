"""How many nails a joint needs, by the thickness of those that are there."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from inspect_core.quantities import Quantity, at_least, hull
from inspect_core.rules_api import Check, Limit, Limits, Subject, check, fact, not_measured
from inspect_core.site.model import Fasteners
from inspect_wood_floor._fastening import NAILS, trade_size

TOO_WEAK = ("staple", "roofing-nail", "backer-screw", "drywall-screw")

_SLACK = 0.001  # in: nails are drawn to about this


def enough_nails(
    subject: Subject, nails: Fasteners | None, limits: Limits, limit_id: str, assuming: Iterable[str] = ()
) -> Check:
    """As many nails as the limit's table asks for; its keys name nails (``16d-common``), its values are counts."""
    path = nails.path if nails is not None else subject.path
    least = min(_counts(limits, limit_id), key=lambda limit: limit.value.low if limit.value else 0.0)
    if nails is None:
        return check(subject, measured=None, at_least=least, asks=("fasteners.count", "fasteners.name"), path=path)
    expected = "nails hold this joint"
    if nails.kind in TOO_WEAK:
        return fact(subject, False, expected=expected, found=f"{nails.kind}s hold it", path=path)
    if nails.kind is not None and nails.kind not in NAILS:
        because = f"the table counts nails, not {nails.kind}s: the maker or a licensed engineer says how many will do"
        return not_measured(subject, asks=("fasteners.kind",), because=because)
    thickness = nail_diameter(nails)
    if thickness is None:
        short = nails.count is not None and least.value is not None and at_least(nails.count, least.value) is False
        asks = ("fasteners.name", "fasteners.diameter", *(() if nails.count is not None else ("fasteners.count",)))
        unknown = least if short else least.derived(None, "depends on the size of the nails")
        return check(subject, measured=nails.count, at_least=unknown, asks=asks, assuming=assuming, path=path)
    limit = _needed(limits, limit_id, thickness)
    if limit is None:
        thinnest = min(_thicknesses(tuple(limits.keys(limit_id))))
        found = f"nails thinner than {thinnest:g} in"
        expected = "nails of a size that the table counts"
        return fact(subject, False, expected=expected, found=found, limit=least, path=path)
    asks = ("fasteners.count",) if nails.count is None else ("fasteners.diameter",)
    return check(subject, measured=nails.count, at_least=limit, asks=asks, assuming=assuming, path=path)


def _counts(limits: Limits, limit_id: str) -> list[Limit]:
    return [limits[limit_id, key] for key in limits.keys(limit_id)]


@lru_cache(maxsize=64)
def _thicknesses(keys: tuple[str, ...]) -> tuple[float, ...]:
    """Shank (in) of the nail that each key names."""
    sizes = (trade_size(key, ("common",)) for key in keys)
    return tuple(size[1].middle for size in sizes if size is not None)


def _needed(limits: Limits, limit_id: str, thickness: Quantity) -> Limit | None:
    """The count for nails of this thickness; ``None`` when the table counts none so thin."""
    keys = tuple(limits.keys(limit_id))
    sizes = _thicknesses(keys)

    def count(at: float) -> Limit | None:
        fit = [limits[limit_id, key] for key, size in zip(keys, sizes, strict=True) if size <= at + _SLACK]
        return min(fit, key=lambda limit: limit.value.high if limit.value else 0.0, default=None)

    thin, thick = count(thickness.low), count(thickness.high)
    if thick is None:
        return None
    if thin is None or thin.value is None or thick.value is None:
        return thick.derived(None, "depends on the size of the nails")
    return thin if thin.id == thick.id else thin.derived(hull(thin.value, thick.value), "depends on the nails")


def nail_diameter(nails: Fasteners) -> Quantity | None:
    """Shank thickness: as measured, or as the trade name tells; a name that is common or box nail alike is a range."""
    if nails.diameter is not None or nails.name is None:
        return nails.diameter
    size = trade_size(nails.name, ("common", "box"))
    return None if size is None else size[1]
