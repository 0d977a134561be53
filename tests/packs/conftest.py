"""Packs written on the spot, laid on the installed base pack, and an invented bench to check with them."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import Finding, LoadedPacks, Report, inspect
from inspect_core.engine.cases import as_yaml, edited
from inspect_core.engine.chosen import packs_for
from inspect_core.rules_api import Pack
from inspect_core.site import InputError, Site, site_from_text

HEADER = {
    "id": "alder",
    "version": "1",
    "title": "Alder (invented)",
    "place": "Alder",
    "level": "county",
    "edition": "IRC 2021",
    "stands_on": ["wood-floor-base"],
    "invented": True,
}
BENCH = """
format: 1
units: in
site: {name: Pack bench, work: existing, built: 1950, invented: true}
place: {permit_date: "2026-06-01"}
areas:
  - id: floor
    use: bathroom
    finish: ceramic-tile
    outline: 40 x 96
    joists_run: north-south
    supports:
      - {id: S1, line: sill, kind: sawn, surface: wood, at: -5 1/2, width: 5 1/2}
      - {id: S2, line: sill, kind: sawn, surface: masonry, at: 96, width: 8}
    joists:
      - name: J
        from: S1
        to: S2
        at: [20]
        each: {size: 2x8, sizes: nominal, kind: sawn, bearing: {S1: 3 1/2, S2: 4}, holes: [], notches: []}
    crawl_space:
      kind: vented
      floor_area: 300 sq ft
      ground_cover: {kind: none}
      vents: [{id: V1, wall: north, net_area: 1 sq ft, from_corner: 12, mesh: 1/4, blocked: false}]
"""
EACH = "/areas/0/joists/0/each"


@dataclass(frozen=True)
class Result:
    """What a run said, by rule."""

    report: Report

    def of(self, rule: str) -> dict[str, str]:
        """Outcome by subject of one rule's findings."""
        return {f.subject: f.outcome for f in self.findings(rule)}

    def one(self, rule: str) -> Finding:
        """The only finding of a rule."""
        (found,) = self.findings(rule)
        return found

    def findings(self, rule: str) -> list[Finding]:
        return [f for f in self.report.findings if f.rule.id == rule]

    @property
    def eased(self) -> dict[str, str]:
        """Kind of everything that was loosened, by name."""
        return {one.name: one.kind for one in self.report.loosened}


def bench(changes: Mapping[str, Any] | None = None, remove: Iterable[str] = ()) -> Site:
    data = edited(_bench_data(), dict(changes or {}), remove)
    return site_from_text(as_yaml(data), "bench.site.yaml")


@cache
def _bench_data() -> dict[str, Any]:
    data: dict[str, Any] = yaml.safe_load(BENCH)
    return data


@pytest.fixture
def site_of() -> Callable[..., Site]:
    return bench


class Packs:
    """Writes pack files into a folder and runs benches with them."""

    def __init__(self, folder: Path, installed: LoadedPacks) -> None:
        self.folder = folder
        self.installed = installed

    def write(self, body: str = "", **header: Any) -> str:
        """A pack's folder; ``body`` is YAML below the header, ``header`` replaces parts of it (``None`` leaves out)."""
        head = {key: value for key, value in {**HEADER, **header}.items() if value is not None}
        folder = self.folder / str(head["id"])
        folder.mkdir(exist_ok=True)
        text = "format: 1\n" + yaml.safe_dump({"pack": head}, sort_keys=False) + textwrap.dedent(body)
        (folder / "pack.yaml").write_text(text, "utf-8")
        return str(folder)

    def topic(self, rule: str) -> str:
        """Topic of one of the base pack's rules."""
        (found,) = [one.topic for pack in self.installed.packs for one in pack.rules if one.id == rule]
        return found.replace("_", "-")

    def load(self, *paths: str) -> LoadedPacks:
        return packs_for(None, paths, installed=self.installed)

    def pack(self, body: str = "", **header: Any) -> Pack:
        loaded = self.load(self.write(body, **header))
        return next(p for p in loaded.packs if p.id == header.get("id", HEADER["id"]))

    def run(
        self,
        body: str | LoadedPacks,
        changes: Mapping[str, Any] | None = None,
        remove: Iterable[str] = (),
        **header: Any,
    ) -> Result:
        """The bench, changed, checked with a pack (or with packs that are loaded); no pack and no rule may fail."""
        loaded = body if isinstance(body, LoadedPacks) else self.load(self.write(body, **header))
        report = inspect(bench(changes, remove), loaded)
        assert report.failures == ()
        return Result(report)

    def refused(self, body: str = "", **header: Any) -> list[tuple[int, int, str]]:
        """Line, column and message of everything wrong with a pack."""
        with pytest.raises(InputError) as caught:
            self.load(self.write(body, **header))
        return [(p.line, p.column, p.message) for p in caught.value.problems]


@pytest.fixture
def alder(tmp_path: Path, packs: LoadedPacks) -> Packs:
    return Packs(tmp_path, packs)
