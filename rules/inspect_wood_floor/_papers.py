"""Papers of a site that rules of several modules ask for. No rules, no limits."""

from __future__ import annotations

from inspect_core.site import Site
from inspect_core.site.model import Document
from inspect_wood_floor._verdicts import any_of


def papers(site: Site, kinds: tuple[str, ...], about: str) -> list[Document]:
    """Papers of these kinds whose ``covers`` names ``about`` (any, when that is empty)."""
    return [
        one for one in site.documents or () if one.kind in kinds and about.casefold() in (one.covers or "").casefold()
    ]


def paper(site: Site, kinds: tuple[str, ...], about: str) -> bool | None:
    """Whether one of them is on site; ``None`` while nobody said which papers there are, or where they stand."""
    if site.documents is None:
        return None
    states = [one.state for one in papers(site, kinds, about)]
    return any_of(None if state is None else state == "on-site" for state in states)
