"""A firm's portfolio for the benchmarks: invented floors of many sizes, each with measurements of its own."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

SITE = """\
format: 1
units: in
site: {{name: "House {number}, {street}", built: {built}, work: existing, stage: built, stories: 1, date: "2026-06-20", invented: true}}
place: {{country: (invented), seismic: B, termites: slight, climate_zone: 5A, frost_depth: 30}}
hazards: {{lead_paint: none-found, asbestos: {asbestos}, wiring: sound, gas_smell: false, leaning_pier: false}}
areas:
{areas}"""

AREA = """\
  - id: {name}
    use: {use}
    finish: ceramic-tile
    outline: {across} in x {along} in
    joists_run: north-south
    supports:
      - {{id: S1, line: sill, rests_on: masonry, surface: wood, at: -5 1/2, width: 5 1/2, size: 3x6, sizes: true-dimension, moisture: {m1}, anchored: true, condition: [], holes: [], notches: []}}
      - {{id: B1, line: beam, rests_on: piers, surface: wood, at: {along}, width: 6, size: 6x8, sizes: true-dimension, kind: sawn, species: douglas-fir-larch, grade: No.2, moisture: {m2}, condition: [], holes: [], notches: []}}
    joists:
      - name: J
        from: S1
        to: B1
        at: every {spacing} from 3/4 to {last}
        each:
          size: 2x8
          sizes: {sizes}
          kind: sawn
          species: {species}
          grade: No.2
          restraint: {{S1: rim, B1: blocking}}
          notches: []
          cuts: []
          condition: []
          treated: false
        but:
{joists}
    openings: []
    edges:
      - {{wall: west, landing: joist, width: 1 1/2, fasteners: {{kind: screw, spacing: 6}}}}
      - {{wall: south, landing: blocking, width: 1 1/2, fasteners: {{kind: screw, spacing: {edge}}}}}
    layers:
      - {{id: L1, kind: panel, material: plywood, thickness: {panel}, rating: 48/24, bond: exposure-1, strong_axis: across-joists, sheet: 48 x 96, joints: tongue-and-groove,
         gap: 1/8, spans_crossed: 2, attached_to: joists, moisture: {m3}, fasteners: {{kind: screw, diameter: 0.164 in, length: 2 1/2, edges: 6, field: {field}}}}}
      - {{id: L2, kind: membrane, material: bonded sheet, thickness: 1/32, standard: ANSI A118.10, waterproof: true}}
      - {{id: L3, kind: thin-set, material: thin-set mortar, thickness: 1/8, standard: ANSI A118.15}}
      - {{id: L4, kind: tile, material: ceramic, thickness: 1/4, tile_size: {tile} x {tile}, perimeter_joint: 1/4, coverage: 95 %}}
    piers:
      - {{id: P1, under: B1, at: 0, material: stone, width: 16, length: 16, height: {height}, cap: 4, tied: true, condition: []}}
      - {{id: P2, under: B1, at: {across}, material: block-filled, width: 16, length: 16, height: {height}, cap: 4, tied: true, condition: []}}
    crawl_space:
      kind: vented
      floor_area: {area} sq ft
      joist_clearance: {clearance}
      ground_cover: {{kind: {cover}, thickness: 10 mil, laps: 12}}
      vents:
        - {{id: V1, wall: south, net_area: {vent} sq in, from_corner: 30, mesh: 1/8, blocked: false}}
        - {{id: V2, wall: north, net_area: {vent} sq in, from_corner: 24, mesh: 1/8, blocked: false}}
      standing_water: false
      leaks: false
"""

STREETS = ("Weir Lane", "Lock Street", "Mill Row", "Toll Road", "Quay")
ROOMS = (("bath", "bathroom"), ("kitchen", "kitchen"), ("hall", "hall"))
SPECIES = ("douglas-fir-larch", "hem-fir", "southern-pine", "spruce-pine-fir", "unknown")


def _joist(name: str, pick: random.Random) -> str:
    own = [
        f"bearing: {{S1: {pick.choice((1, 2, 3))} 1/2, B1: {pick.choice((1, 2, 3))}}}",
        f"moisture: {pick.randint(9, 22)}",
    ]
    hole = f"[{{from: S1, at: {pick.randint(10, 40)}, diameter: {pick.choice((1, 2, 3))}, wood_above: 2 1/4}}]"
    own.append(f"holes: {hole if pick.random() < 0.25 else '[]'}")
    return f"          {name}: {{{', '.join(own)}}}"


def _area(name: str, use: str, pick: random.Random) -> str:
    spacing, count, along = pick.choice((12, 16, 24)), pick.randint(5, 16), pick.randint(80, 150)
    last = spacing * (count - 1) + 1
    across = last + 1
    return AREA.format(
        name=name,
        use=use,
        across=across,
        along=along,
        spacing=spacing,
        last=last,
        area=max(1, across * along // 144),
        sizes=pick.choice(("nominal", "true-dimension", "unknown")),
        species=pick.choice(SPECIES),
        joists="\n".join(_joist(f"J{n}", pick) for n in range(1, count + 1)),
        edge=pick.choice((6, 8)),
        panel=pick.choice(("23/32", "19/32")),
        field=pick.choice((8, 10, 12)),
        tile=pick.choice((2, 6, 12)),
        height=pick.randint(10, 30),
        clearance=pick.randint(14, 30),
        cover=pick.choice(("polyethylene", "none", "unknown")),
        vent=pick.randint(20, 80),
        m1=pick.randint(9, 22),
        m2=pick.randint(9, 22),
        m3=pick.randint(8, 16),
    )


def floor_text(number: int) -> str:
    """The floor of this number: the same each time, and no other like it."""
    pick = random.Random(number)
    rooms = ROOMS[: 1 + number % 2]
    return SITE.format(
        number=number,
        street=pick.choice(STREETS),
        built=pick.randint(1880, 1975),
        asbestos=pick.choice(("none-found", "unknown")),
        areas="".join(_area(name, use, pick) for name, use in rooms),
    )


@pytest.fixture(scope="session")
def portfolio(tmp_path_factory: pytest.TempPathFactory) -> Callable[[int], Path]:
    """Writes so many floors into a folder of their own."""

    def write(count: int) -> Path:
        folder = tmp_path_factory.mktemp(f"portfolio-{count}-")
        for number in range(count):
            (folder / f"house-{number:04}.site.yaml").write_text(floor_text(number), "utf-8")
        return folder

    return write
