"""Kinds of work that are bought another way, or not counted here: each is named."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from inspect_core.planning.takeoff import Item, NotCounted, TakeOff

TakeOffOf = Callable[..., TakeOff]
ROOM = "outline: 112 x 94"
SUPPORTS = "supports: [{id: S1, line: sill, at: -4, width: 4}, {id: S2, line: sill, at: 94, width: 4}]"
OLD = (
    "joists: [{name: J, from: S1, to: S2, at: [0.75, 16, 32, 48, 64, 80, 96, 111.25],"
    " each: {size: 2x8, sizes: nominal, work: existing, bearing: {S1: 3, S2: 3}}}]"
)
PANEL = "id: L1, kind: panel, thickness: 3/4, joints: tongue-and-groove, gap: 1/8, wall_gap: 1/4, attached_to: joists, work: new"


def item(found: TakeOff, code: str) -> Item:
    (one,) = [i for i in found.items if i.code == code]
    return one


def asked(found: TakeOff, word: str) -> list[NotCounted]:
    return [one for one in found.not_counted if word in f"{one.group} {one.name}"]


def test_a_liquid_membrane_goes_by_the_gallon(of: TakeOffOf) -> None:
    """73 sq ft at 50 sq ft a gallon."""
    found = of(ROOM, "joists: []", "layers: [{id: M, kind: membrane, material: liquid membrane, work: new}]")
    gallons = item(found, "membrane-liquid-membrane")
    assert gallons.need.value == pytest.approx(112 * 94 / 7200)
    assert (gallons.buy, gallons.unit) == (2, "gal")


@pytest.mark.parametrize("kind", ["boards", "resilient", "wood-floor", "insulation", "heating"])
def test_coverings_go_by_area(of: TakeOffOf, kind: str) -> None:
    found = of(ROOM, "joists: []", f"layers: [{{id: M, kind: {kind}, work: new}}]")
    assert item(found, kind).need.value == pytest.approx(112 * 94 * 1.1)
    assert asked(of("note: no room", "joists: []", f"layers: [{{id: M, kind: {kind}, work: new}}]"), "floor M")


@pytest.mark.parametrize("kind", ["mortar-bed", "self-leveling", "thin-set", "tile", "felt", "membrane"])
def test_without_a_room_nothing_by_area_is_counted(of: TakeOffOf, kind: str) -> None:
    layer = f"{{id: M, kind: {kind}, thickness: 1, tile_size: 12 x 12, laps: 2, work: new}}"
    found = of("note: no room", "joists: []", f"layers: [{layer}]")
    assert found.items == ()
    assert "area.outline" in asked(found, "M")[0].asks


def test_beds_of_unknown_thickness_and_tile_of_unknown_size_are_asked_for(of: TakeOffOf) -> None:
    found = of(ROOM, "joists: []", "layers: [{id: S, kind: self-leveling, work: new}, {id: T, kind: tile, work: new}]")
    assert asked(found, "S: self leveling")[0].asks == ("layer.thickness",)
    assert asked(found, "T: tile")[0].asks == ("layer.tile_size",)


def test_a_round_footing_is_round(of: TakeOffOf) -> None:
    found = of(ROOM, "joists: []", "layers: []", "footings: [{id: F, shape: round, width: 20, thickness: 8, work: new},"
               " {id: G, width: 20, thickness: 8, material: stone, work: new}]", "piers: [{id: P, work: new}]")  # fmt: skip
    assert item(found, "concrete-mix").need.value * 231 == pytest.approx(3.14159 / 4 * 400 * 8 * 1.1, rel=1e-4)
    assert asked(found, "footing G") and asked(found, "pier P")


@pytest.mark.parametrize(
    ("fasteners", "code", "unit"),
    [
        ("{kind: staple, length: 2, edges: 6, field: 6}", "staple-2-in", "box of 1000"),
        ("{kind: structural-screw, length: 3, spacing: 6}", "structural-screw-3-in", "box of 50"),
        ("{kind: ring-shank-nail, diameter: 0.12 in, length: 2, edges: 6}", "ring-shank-nail-2-in", "lb"),
    ],
)
def test_each_kind_of_fastener_has_its_pack(of: TakeOffOf, fasteners: str, code: str, unit: str) -> None:
    found = of(ROOM, SUPPORTS, OLD, f"layers: [{{{PANEL}, adhesive: {{kind: none}}, fasteners: {fasteners}}}]")
    assert item(found, code).unit == unit


@pytest.mark.parametrize(
    ("fasteners", "words"),
    [
        ("{kind: ring-shank-nail, edges: 6}", "how many go to the pound"),
        ("{kind: drywall-screw, edges: 6}", "no box size"),
        ("{edges: 6}", "the kind of fastener is not known"),
    ],
)
def test_fasteners_that_can_t_be_bought_are_named(of: TakeOffOf, fasteners: str, words: str) -> None:
    found = of(ROOM, SUPPORTS, OLD, f"layers: [{{{PANEL}, adhesive: {{kind: none}}, fasteners: {fasteners}}}]")
    assert any(words in one.why for one in asked(found, "fasteners"))


@pytest.mark.parametrize(
    ("adhesive", "asks"),
    [
        ("{kind: construction, where: full-bed}", "adhesive.where"),
        ("{kind: construction, where: each-joist}", "adhesive.bead"),
    ],
)
def test_adhesive_that_can_t_be_counted_is_named(of: TakeOffOf, adhesive: str, asks: str) -> None:
    found = of(ROOM, SUPPORTS, OLD, f"layers: [{{{PANEL}, adhesive: {adhesive}}}]")
    assert asks in asked(found, "adhesive under L1")[0].asks


def test_one_bead_at_end_joints_is_less_than_two(of: TakeOffOf) -> None:
    glue = "adhesive: {kind: construction, where: each-joist, bead: 1/4, double_at_joints: %s}"
    two = item(of(ROOM, SUPPORTS, OLD, f"layers: [{{{PANEL}, {glue % 'true'}}}]"), "adhesive-28-oz")
    one = item(of(ROOM, SUPPORTS, OLD, f"layers: [{{{PANEL}, {glue % 'false'}}}]"), "adhesive-28-oz")
    assert one.need.value < two.need.value


def test_blocking_that_can_t_be_counted_is_named(of: TakeOffOf) -> None:
    found = of(ROOM, SUPPORTS, OLD, "layers: []", "blocking: [{id: K1, kind: cross-bridging, row: every-bay, along: 40, work: new},"
               " {id: K2, kind: solid, row: every-bay, along: 40, work: new}, {id: K3, kind: solid, work: new, size: 2x4}]")  # fmt: skip
    assert "7 pairs" in asked(found, "lumber blocking K1")[0].why
    assert asked(found, "lumber blocking K2")[0].asks == ("blocking.size",)
    assert "blocking.row" in asked(found, "lumber blocking K3")[0].asks


def test_ground_of_another_size_than_the_room_is_taken_as_a_square(of: TakeOffOf) -> None:
    cover = "{kind: polyethylene, laps: 12, wall_upturn: 0, work: new}"
    found = of(ROOM, "joists: []", "layers: []", f"crawl_space: {{floor_area: 400 sq ft, ground_cover: {cover}}}")
    (film,) = [i for i in found.items if i.group == "ground cover"]
    assert "square of its area" in film.how
    assert film.need.value == pytest.approx(3 * 240, rel=1e-6)  # 20 ft: 120, 228, 336 in wide
    assert asked(found, "ground cover")[0].asks == ("ground_cover.thickness",)
    assert asked(of("note: x", "joists: []", "layers: []", f"crawl_space: {{ground_cover: {cover}}}"), "ground cover")


def test_gravel_on_the_ground_and_a_shower_liner_are_left_to_hand(of: TakeOffOf) -> None:
    found = of(ROOM, "joists: []", "layers: []", "crawl_space: {ground_cover: {kind: gravel, work: new}}",
               "wet_areas: [{id: W1, kind: shower, liner: {kind: pvc-sheet}, work: new}]")  # fmt: skip
    assert asked(found, "ground cover, gravel") and asked(found, "liner of W1")
