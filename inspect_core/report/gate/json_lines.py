"""One line of JSON for each site: what other programs read, and what shards write and a merge reads."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from inspect_core.engine.portfolio.result import GateView, SiteResult, to_json


def json_lines(results: Iterable[SiteResult], view: GateView) -> Iterator[str]:
    """A line for each site."""
    for result in results:
        yield to_json(result) + "\n"
