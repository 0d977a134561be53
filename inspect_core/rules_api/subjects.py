"""Names for the things of a site, as findings call them."""

from __future__ import annotations

from functools import lru_cache

from inspect_core.rules_api.check import Named
from inspect_core.site.model import (
    Blocking,
    CrawlSpace,
    Drain,
    Edge,
    Fixture,
    Footing,
    Header,
    Joist,
    Layer,
    Opening,
    Part,
    Partition,
    Pier,
    Post,
    Sister,
    Support,
    Threshold,
    Vent,
    WaterPipe,
    WetArea,
)

_WORDS: dict[type[Part], str] = {
    Blocking: "blocking",
    CrawlSpace: "crawl space",
    Drain: "drain",
    Edge: "edge",
    Fixture: "fixture",
    Footing: "footing",
    Header: "header",
    Joist: "joist",
    Layer: "layer",
    Opening: "opening",
    Partition: "partition",
    Pier: "pier",
    Post: "post",
    Sister: "sister",
    Support: "support",
    Threshold: "threshold",
    Vent: "vent",
    WaterPipe: "water pipe",
    WetArea: "wet area",
}


def named(part: Part, detail: str = "", within: Part | None = None) -> Named:
    """A subject for a record of the site.

    ``named(layer)`` is "layer L1 (panel)", ``named(hole, "hole 1", within=joist)`` is "joist J6, hole 1".
    """
    whole = within if within is not None else part
    label = _label(whole)
    work = getattr(part if hasattr(part, "work") else whole, "work", None)
    return Named(f"{label}, {detail}" if detail else label, part.path, work)


@lru_cache(maxsize=4096)  # one part is the subject of many findings
def _label(part: Part) -> str:
    word = _WORDS.get(type(part), "item")
    name = getattr(part, "id", "")
    if isinstance(part, Layer):
        number = part.path[-1]
        name = name or f"{number + 1 if isinstance(number, int) else number}"
        return f"layer {name} ({part.kind or 'kind unknown'})"
    if isinstance(part, Support):
        return f"{part.line or 'support'} {name}"
    if isinstance(part, Fixture):
        return f"{part.kind or 'fixture'} {name}"
    if isinstance(part, Edge):
        return f"floor edge at {part.wall} wall"
    return f"{word} {name}".strip()
