"""Limits: numbers and words that a pack sets, each with its owner, source and status."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from inspect_core.quantities import Dimension, Quantity, exactly, hull, render, times

PLAIN = ""  # the key of a limit that has one value only


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit as it is in force.

    ``value`` is a quantity in internal units (``None`` when it depends on something unknown) or, for a choice,
    ``words``. ``was`` lists what earlier packs had set, oldest first. ``basis`` says what a derived limit
    was worked out from.
    """

    id: str
    value: Quantity | None
    set_by: str
    source: str
    status: str
    words: tuple[str, ...] = ()
    was: tuple[tuple[str, Quantity | None, tuple[str, ...]], ...] = ()
    basis: str = ""
    stated: Quantity | None = field(default=None, compare=False)  # as the pack states it, whatever is derived from it
    because: str = field(default="", compare=False)
    effect: str = field(default="", compare=False)
    percent: bool = field(default=False, compare=False)  # a ratio that the pack writes in percent is shown so

    def of(self, whole: Quantity | None, basis: str = "") -> Limit:
        """This fraction of ``whole`` (a ratio limit of 1/6 of a depth is a length). Unknown whole, unknown limit.

        ``basis`` says so for the value that the rule was written with; where a pack set another, that is told instead.
        """
        value = times(self.value, whole) if self.value is not None and whole is not None else None
        if self.was and self.value is not None:
            basis = f"{render(self.value, 'in', percent=self.percent)} of it, by {self.set_by}"
        return replace(self, value=value, basis=basis)

    def derived(self, value: Quantity | None, basis: str) -> Limit:
        """The same limit with a value worked out from it; ``basis`` says how."""
        return replace(self, value=value, basis=basis)


@dataclass(frozen=True, slots=True)
class LimitDef:
    """A limit as a pack's data states it: one value, or a table of values by key.

    ``values`` maps the key (:data:`PLAIN` for a single value) to a quantity or to words.
    """

    id: str
    says: str
    dimension: Dimension | None
    values: Mapping[str, Quantity | tuple[str, ...]]
    source: str
    status: str
    by: str = ""
    provisions: tuple[str, ...] = ()
    editions: str = ""
    changed_because: str = ""
    citation: str = ""
    set_by: str = ""
    was: tuple[LimitDef, ...] = ()
    effect: str = ""  # what a pack says its change does: "tighter", "looser" or "other"
    inherited: frozenset[str] = frozenset()  # keys whose value an earlier pack set and this one left as it was
    percent: bool = False  # its values are ratios, written in percent


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits in force. ``limits["notch-depth"]`` is a :class:`Limit`; a table wants a key as well:
    ``limits["bearing", "wood"]``. Asking for a limit or key that nobody set is an error (``KeyError``).
    """

    defs: Mapping[str, LimitDef]
    _cache: dict[tuple[str, str], Limit] = field(default_factory=dict, repr=False, compare=False)

    def __getitem__(self, name: str | tuple[str, str]) -> Limit:
        limit_id, key = name if isinstance(name, tuple) else (name, PLAIN)
        found = self._cache.get((limit_id, key))
        if found is None:
            found = self._cache[limit_id, key] = _limit(self.defs[limit_id], key)
        return found

    def has(self, limit_id: str, key: str) -> bool:
        """Whether a table limit has this key."""
        return key in self.defs[limit_id].values

    def keys(self, limit_id: str) -> Iterator[str]:
        """Keys of a table limit, in the order of the data."""
        return iter(self.defs[limit_id].values)

    def between(self, limit_id: str, key: str | None, keys: tuple[str, ...]) -> Limit:
        """The limit for ``key``; where that is unknown, the range over ``keys`` (what it might be)."""
        if key is not None:
            return self[limit_id, key]
        candidates = [self[limit_id, k] for k in keys]
        values = [c.value for c in candidates if c.value is not None]
        return candidates[0].derived(hull(*values), "depends on which of " + ", ".join(keys))


def _limit(definition: LimitDef, key: str) -> Limit:
    while key in definition.inherited:  # whoever set the value owns it
        definition = definition.was[-1]
    value = definition.values[key]
    was: list[tuple[str, Quantity | None, tuple[str, ...]]] = []
    for earlier in definition.was:
        if key in earlier.values and key not in earlier.inherited:
            old = earlier.values[key]
            was.append((earlier.set_by, None, old) if isinstance(old, tuple) else (earlier.set_by, old, ()))
    return Limit(
        id=definition.id if key == PLAIN else f"{definition.id}/{key}",
        value=None if isinstance(value, tuple) else value,
        words=value if isinstance(value, tuple) else (),
        set_by=definition.set_by,
        source=definition.citation or definition.source,
        status=definition.status,
        was=tuple(was),
        stated=None if isinstance(value, tuple) else value,
        because=definition.changed_because,
        effect=definition.effect,
        percent=definition.percent,
    )


def in_percent(dimension: Dimension | None, written: object) -> bool:
    """Whether a limit's value, or each of its table, is a ratio that is written in percent."""
    texts = list(written.values()) if isinstance(written, Mapping) else [written]
    return dimension is Dimension.RATIO and bool(texts) and all("%" in str(text) for text in texts)


def zero(dimension: Dimension) -> Quantity:
    """Nought of a dimension."""
    return exactly(0.0, dimension)
