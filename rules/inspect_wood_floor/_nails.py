"""How many nails a joint needs, by the thickness of those that are there."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from inspect_core.engineering.fasteners import nail
from inspect_core.quantities import Dimension, Quantity, at_least, exactly, hull
from inspect_core.rules_api import Check, Limit, Limits, Subject, check, fact, not_measured
from inspect_core.site.model import Fasteners

NAILS = ("nail", "ring-shank-nail", "screw-shank-nail")
TOO_WEAK = ("staple", "roofing-nail", "backer-screw", "drywall-screw")

_PENNY = re.compile(r"\b(\d{1,2})\s*-?\s*(?:d|penny)\b", re.IGNORECASE)
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
    return tuple(_named(*key.split("-")) for key in keys)


def _named(penny: str, kind: str) -> float:
    if kind == "box":
        return nail("box", int(penny.rstrip("d"))).diameter_in
    return nail("common", int(penny.rstrip("d"))).diameter_in


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
    if nails.diameter is not None:
        return nails.diameter
    found = _PENNY.search(nails.name or "")
    if found is None:
        return None
    text = (nails.name or "").lower()
    kinds = [kind for kind in ("common", "box", "sinker") if kind in text] or ["common", "box"]
    sizes = []
    for kind in kinds:
        try:
            sizes.append(exactly(nail(kind, int(found[1])).diameter_in, Dimension.LENGTH))  # type: ignore[arg-type]
        except LookupError:
            return None
    return hull(*sizes)
