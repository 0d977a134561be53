"""Sills, beams and posts of wood as the rules on decay see them: treated or not, what their marks say. No rules."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

from inspect_core.rules_api import Check, Limits, Named, does_not_apply, named, not_measured
from inspect_core.site import Area
from inspect_core.site.model import Post, Support
from inspect_wood_floor._verdicts import Verdict

Wood = Support | Post
MEMBERS = "sills, beams and posts"
NO_LABEL = ("", "none", "no label", "no tag")


def wood_of(area: Area) -> list[Wood]:
    """Sills, beams and posts that are of wood, or may be."""
    supports = [one for one in area.supports or () if one.kind != "steel" and one.line != "masonry-ledge"]
    return [*supports, *(post for post in area.posts or () if post.material in ("wood", None))]


def each_wood(
    area: Area,
    wanted: Callable[[Wood], Verdict],
    why: str,
    answer: Callable[[Wood], Check],
    lists: tuple[str, ...] = ("supports", "posts"),
) -> Iterator[Check]:
    """One answer for each piece of wood that is wanted, or may be; else the one that says why there is none."""
    everything = Named(MEMBERS if len(lists) > 1 else lists[0], area.path)
    unlisted = [name for name in lists if getattr(area, name) is None]
    if unlisted:
        asks = tuple(f"area.{name}" for name in unlisted)
        yield not_measured(everything, asks=asks, because=f"the {' and '.join(unlisted)} are not listed")
    kinds = {"supports": Support, "posts": Post}
    seen = [
        one for one in wood_of(area) if isinstance(one, tuple(kinds[n] for n in lists)) and wanted(one) is not False
    ]
    if not seen and not unlisted:
        yield does_not_apply(everything, why)
    yield from map(answer, seen)


def each_treated(area: Area, answer: Callable[[Wood], Check]) -> Iterator[Check]:
    """One answer for each piece of treated wood; one that may be treated is asked for."""

    def told(one: Wood) -> Check:
        if one.treated is None:
            return not_measured(named(one), expected="it is treated", asks=(field_of(one, "treated"),))
        return answer(one)

    yield from each_wood(area, lambda one: one.treated, "no treated wood among them", told)


def field_of(one: Wood, name: str) -> str:
    return f"{'post' if isinstance(one, Post) else 'support'}.{name}"


def label_of(one: Wood) -> str | None:
    """Words of its tag, empty where it has none, ``None`` where nobody looked."""
    if one.treated_label is None:
        return None
    return "" if one.treated_label.strip().lower() in NO_LABEL else one.treated_label


def names(label: str, words: Iterable[str]) -> bool:
    text = f" {_spaced(label)} "
    return any(f" {_spaced(word)} " in text for word in words)


def _spaced(text: str) -> str:
    return " ".join(re.split(r"[^a-z0-9]+", text.lower())).strip()


def durable(one: Wood, limits: Limits) -> Verdict:
    """Whether its species is a naturally durable one."""
    if one.species is None:
        return None
    return any(word in one.species.lower() for word in limits["durable-species"].words)
