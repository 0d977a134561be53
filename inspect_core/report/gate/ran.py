"""Which packs ran in the sites of a run, what they made easier, what was granted: every report says it."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from typing import Any

from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.report.gate.entries import varied, varied_words
from inspect_core.rules_api import SEVERITIES

MOST_GRANTED = 200
"""So many varied findings are kept by name; the others are counted."""


class Ran:
    """Packs and what they loosened, each with the number of sites; and varied findings, the gravest by name."""

    def __init__(self) -> None:
        self.packs: dict[str, int] = {}
        self.loosened: dict[str, int] = {}
        self.varied = 0
        self.varied_stops = 0
        self.granted: list[tuple[int, str, str]] = []  # place in the severities, file, words

    def take(self, result: SiteResult) -> None:
        """Adds one site."""
        for pack in packs_of(result):
            self.packs[pack] = self.packs.get(pack, 0) + 1
        for words in dict.fromkeys(loosened_of(result)):
            self.loosened[words] = self.loosened.get(words, 0) + 1
        here = [(SEVERITIES.index(f["severity"]), result.file, varied_words(f)) for f in varied(result)]
        self.varied += len(here)
        self.varied_stops += sum(1 for place, _, _ in here if place == 0)
        if here:
            self.granted = heapq.nsmallest(MOST_GRANTED, [*self.granted, *here])


def packs_of(result: SiteResult) -> Iterator[str]:
    """Id, version, kind and the beginning of the hash of each pack that ran on a site."""
    for pack in result.document["packs"] if result.document is not None else ():
        digest = f" ({pack['kind']}, {pack['hash'][:12]})" if pack.get("hash") else ""
        yield f"{pack['id']} {pack['version']}{digest}"


def loosened_of(result: SiteResult) -> Iterator[str]:
    """What local packs ease on a site, in words."""
    for one in result.document.get("loosened", ()) if result.document is not None else ():
        yield _words(one)


def _words(one: Mapping[str, Any]) -> str:
    if one["kind"] == "rule-off":
        return f"rule {one['name']} does not apply by {one['set_by']}: {one['because']}"
    if one["kind"] == "changed":
        return f"maybe {one['name']}, changed by {one['set_by']}: nothing was compared with it"
    what = "rule" if one["kind"] == "severity" else "limit"
    return f"{what} {one['name']} is {one['value']} by {one['set_by']}, was {one['was']} by {one['was_by']}"


def of_sites(counted: Mapping[str, int], sites: int) -> list[str]:
    """Each text, and in how many of the sites where not in all."""
    return [words if count == sites else f"{words} [{count} of {sites} sites]" for words, count in counted.items()]
