"""Where a finding lies: its area, its joists, its place in the file."""

from __future__ import annotations

from dataclasses import dataclass

from inspect_core.engine import Finding
from inspect_core.site import Area, Site
from inspect_core.site.geometry import Bay, JoistEnd
from inspect_core.site.model import Joist, Path


@dataclass(frozen=True, slots=True)
class Spot:
    """A shortfall and what it is about. ``area`` is -1 where it is about the whole site.

    ``joists`` are the joist, or those beside the bay, from the file's first on; ``support`` is the support or header
    under a joist's end.
    """

    finding: Finding
    site: Site
    area: int
    joists: tuple[str, ...]
    support: str
    bay: Bay | None
    path: Path

    @property
    def where(self) -> Area:
        """The area that it is in."""
        return self.site.areas[self.area]

    def part(self, kind: str) -> Path:
        """The path of the part of this kind that the finding is about, () if it is about none."""
        for n in range(len(self.path), 1, -1):
            holder = self.path[n - 1] if not isinstance(self.path[n - 1], int) else self.path[n - 2]
            if holder == PARTS[kind] and isinstance(self.path[n - 1], int) == (kind not in SINGLE):
                return self.path[:n]
        return ()


PARTS = {
    "blocking": "blocking",
    "crawl_space": "crawl_space",
    "drain": "drains",
    "edge": "edges",
    "fixture": "fixtures",
    "flange": "flange",
    "footing": "footings",
    "header": "headers",
    "layer": "layers",
    "liner": "liner",
    "opening": "openings",
    "partition": "partitions",
    "pier": "piers",
    "post": "posts",
    "support": "supports",
    "temporary_support": "temporary_supports",
    "threshold": "thresholds",
    "vent": "vents",
    "ventilation": "ventilation",
    "wet_area": "wet_areas",
}
SINGLE = frozenset(("crawl_space", "flange", "liner", "ventilation"))


def spot_of(site: Site, finding: Finding) -> Spot:
    """Where a finding lies."""
    path = finding.path
    index = next((n for n, area in enumerate(site.areas) if area.id == finding.area), -1)
    if len(path) > 1 and path[0] == "areas" and isinstance(path[1], int):
        index = path[1]
    subject = finding.check.subject
    joists: tuple[str, ...] = ()
    support, bay = "", None
    if isinstance(subject, Bay):
        joists, bay = tuple(joist.id for joist in subject.joists), subject
    elif isinstance(subject, JoistEnd):
        joists, support = (subject.joist.id,), subject.support_id or ""
    elif isinstance(subject, Joist):
        joists = (subject.id,)
    elif index >= 0:
        joists = _named(site.areas[index], subject.name)
        support = _under(site.areas[index], subject.name)
    return Spot(finding, site, index, joists, support, bay, path)


def _under(area: Area, name: str) -> str:
    """The support that a subject's name ends with: "joist J2, south end on S1", "joists J1 and K1 over B1"."""
    words = name.split()
    return words[-1] if len(words) > 1 and words[-2] in ("on", "over", "at") and words[-1] in area.carriers else ""


def _named(area: Area, name: str) -> tuple[str, ...]:
    """The joists that a subject's name begins with: "joist J6, hole 1", "joists J1 and K1 over B1"."""
    words = name.replace(",", " ").split()
    if not words or words[0] not in ("joist", "joists"):
        return ()
    known = {joist.id for joist in (*(area.joists or ()), *area.missing_joists)}
    wanted = words[1:2] if words[0] == "joist" else [w for w in words[1:4] if w != "and"]
    return tuple(word for word in wanted if word in known)
