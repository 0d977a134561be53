"""What is bought, counted by hand beside each case; and what can't be counted is never left out."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import pytest

from inspect_core.planning.takeoff import Item, NotCounted, TakeOff

TakeOffOf = Callable[..., TakeOff]
ROOM = "outline: 112 x 94"
RUN = "joists_run: north-south"
SUPPORTS = "supports: [{id: S1, line: sill, at: -4, width: 4}, {id: S2, line: sill, at: 94, width: 4}]"
BEARING = "bearing: {S1: 3, S2: 3}"


def joists(each: str, at: str = "[0.75, 16, 32, 48, 64, 80, 96, 111.25]", but: str = "") -> str:
    more = f", but: {{{but}}}" if but else ""
    return f"joists: [{{name: J, from: S1, to: S2, at: {at}, each: {{size: 2x8, sizes: nominal, {BEARING}, {each}}}{more}}}]"


OLD = joists("work: existing, species: hem-fir, grade: No.2")
NEW = joists("work: new, species: hem-fir, grade: No.2")


def item(found: TakeOff, code: str) -> Item:
    (one,) = [i for i in found.items if i.code == code]
    return one


def asked(found: TakeOff, word: str) -> list[NotCounted]:
    return [one for one in found.not_counted if word in f"{one.group} {one.name}"]


# --- lumber ----------------------------------------------------------------------------------------------------------


def test_existing_work_is_not_bought(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, SUPPORTS, OLD, "layers: []")
    assert found.items == ()
    assert found.not_counted == ()


def test_new_joists_reach_from_bearing_to_bearing(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, SUPPORTS, NEW, "layers: []")
    (plan,) = found.lumber
    assert {piece.length for board in plan.boards for piece in board.pieces} == {94 + 3 + 3}
    assert len([piece for board in plan.boards for piece in board.pieces]) == 8
    # Two of 100 in and a saw cut come out of 18 ft and not of 16: four boards of 18 ft are 864 in, eight of 10 ft 960.
    assert plan.total == 4 * 216
    assert plan.exact
    bought = item(found, "lumber-2x8-hem-fir-no.2-18-ft")
    assert (bought.buy, bought.unit) == (4, "board")


def test_a_joist_whose_bearing_nobody_knows_is_asked_for(of: TakeOffOf) -> None:
    text = "joists: [{name: J, from: S1, to: S2, at: [16], each: {size: 2x8, sizes: nominal, work: new}}]"
    found = of(ROOM, RUN, SUPPORTS, text, "layers: []")
    assert found.lumber == ()
    (one,) = asked(found, "joist J1")
    assert one.asks == ("joist.bearing",)


def test_a_joist_of_unknown_size_is_asked_for(of: TakeOffOf) -> None:
    text = f"joists: [{{name: J, from: S1, to: S2, at: [16], each: {{work: new, {BEARING}}}}}]"
    (one,) = asked(of(ROOM, RUN, SUPPORTS, text, "layers: []"), "joist J1")
    assert one.asks == ("joist.size",)


def test_unknown_work_is_asked_for(of: TakeOffOf) -> None:
    text = joists("work: unknown, species: hem-fir")
    found = of(ROOM, RUN, SUPPORTS, text, "layers: []", work="unknown")
    assert found.lumber == ()
    assert {one.asks for one in asked(found, "lumber joist")} == {("joist.work",)}
    assert len(asked(found, "lumber joist")) == 8


def test_an_altered_joist_that_lists_nothing_put_in_is_asked_for(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, SUPPORTS, joists("work: existing", but="J3: {work: altered}"), "layers: []")
    (one,) = asked(found, "joist J3")
    assert "nothing that is put in is listed" in one.why


def test_sisters_and_their_nails(of: TakeOffOf) -> None:
    nails = "fasteners: {kind: nail, name: 16d common, diameter: 0.162 in, length: 3 1/2, spacing: 12, rows: 3}"
    sister = f"sisters: [{{id: J3a, size: 2x8, sizes: nominal, full_length: true, {BEARING}, work: new, {nails}}}]"
    found = of(ROOM, RUN, SUPPORTS, joists("work: existing", but=f"J3: {{{sister}}}"), "layers: []")
    (plan,) = found.lumber
    assert [p.length for b in plan.boards for p in b.pieces] == [100]
    # 100 in at 12 in: 9 nails a row, three rows, 5 % spares; weight of the wire and 4 % for the head.
    wire = pi / 4 * 0.162**2 * 3.5 * 0.2836 * 1.04
    bought = item(found, "nail-16d-common-3-1/2-in")
    assert bought.need.value == pytest.approx(27 * 1.05 * wire)
    assert bought.buy == 1
    assert bought.unit == "lb"


def test_a_sister_on_both_sides_is_two_pieces_and_a_part_length_is_its_own(of: TakeOffOf) -> None:
    sister = "sisters: [{size: 2x8, sizes: nominal, begins: 10, ends: 70, side: both, work: new}]"
    found = of(ROOM, RUN, SUPPORTS, joists("work: existing", but=f"J3: {{{sister}}}"), "layers: []")
    assert [p.length for plan in found.lumber for b in plan.boards for p in b.pieces] == [60, 60]
    assert asked(found, "sister of J3")  # its nails are not said


def test_glue_of_sisters_goes_in_beads_along_their_length(of: TakeOffOf) -> None:
    """7 1/4 in deep: two beads of 3/8 in, 100 in long; 9 1/4 in deep: three; on both sides twice as many."""

    def tubes(size: str, more: str = "") -> Item:
        sister = (
            f"sisters: [{{size: {size}, sizes: nominal, full_length: true, {BEARING}, glued: true, work: new{more}}}]"
        )
        text = joists("work: existing", but=f"J3: {{{sister}}}")
        return item(of(ROOM, RUN, SUPPORTS, text, "layers: []"), "adhesive-28-oz")

    bead = pi / 4 * 0.375**2 * 1.1
    assert tubes("2x8").need.value * 231 == pytest.approx(2 * 100 * bead)
    assert tubes("2x10").need.value * 231 == pytest.approx(3 * 100 * bead)
    both = tubes("2x8", ", side: both")
    assert both.need.value * 231 == pytest.approx(4 * 100 * bead)
    assert "2 beads of 3/8 in along its length, both sides" in both.how
    assert both.buy == 1  # 48.6 cubic inches; a tube of 28 fl oz is 50.5
    assert tubes("2x10", ", side: both").buy == 2  # 72.9
    assert both.status == "common practice, no source"


@pytest.mark.parametrize(
    ("sister", "asks"),
    [
        ("size: 2x8, sizes: nominal, glued: true, work: new", ("sister.begins", "sister.ends")),
        ("begins: 0, ends: 60, glued: true, work: new", ("sister.size",)),
    ],
)
def test_glue_of_a_sister_of_unknown_size_is_asked_for(of: TakeOffOf, sister: str, asks: tuple[str, ...]) -> None:
    text = joists("work: existing", but=f"J3: {{sisters: [{{{sister}}}]}}")
    (one,) = asked(of(ROOM, RUN, SUPPORTS, text, "layers: []"), "adhesive sister of J3")
    assert one.asks == asks


def test_a_mended_cut_is_not_bought_twice(of: TakeOffOf) -> None:
    repair = "cuts: [{id: C1, from: S1, at: 30, gap: 3, work: new, repair: {kind: scab, size: 2x8, past_near: 24, past_far: 24}}]"
    found = of(ROOM, RUN, SUPPORTS, joists("work: existing", but=f"J3: {{{repair}}}"), "layers: []")
    assert [p.length for plan in found.lumber for b in plan.boards for p in b.pieces] == [51]
    sister = f"{repair}, sisters: [{{size: 2x8, full_length: true, {BEARING}, work: new}}]"
    found = of(ROOM, RUN, SUPPORTS, joists("work: existing", but=f"J3: {{{sister}}}"), "layers: []")
    assert [p.length for plan in found.lumber for b in plan.boards for p in b.pieces] == [100]


def test_toenails_of_new_joists_are_those_of_the_limit_in_force(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, SUPPORTS, NEW, "layers: []")
    assert "3 at each of 16 ends; 48 and spares" in item(found, "nail-8d-common-2-1/2-in").how


def test_a_built_up_beam_is_bought_ply_by_ply(of: TakeOffOf) -> None:
    beam = "supports: [{id: B1, line: beam, at: 94, width: 4 1/2, size: (3) 2x10, sizes: nominal, across: [0, 112], work: new}]"
    found = of(ROOM, RUN, beam, "joists: []", "layers: []")
    pieces = [p for plan in found.lumber for b in plan.boards for p in b.pieces]
    assert [(p.name, p.length) for p in pieces] == [(f"beam B1, ply {n}", 112) for n in (1, 2, 3)]


def test_posts_headers_and_a_spliced_sill(of: TakeOffOf) -> None:
    found = of(
        ROOM, RUN, "joists: []", "layers: []",
        "supports: [{id: S1, line: sill, at: -4, width: 4, size: 4x6, sizes: nominal, across: [0, 112], splices: [56], work: new}]",
        "posts: [{id: P1, under: S1, at: 0, size: 4x4, sizes: nominal, height: 30, treated: true, work: new}, {id: P2, work: new}]",
        "openings: [{id: O1, kind: hatch, across: [16, 48], along: [20, 50], plan: floored-over, work: new,"
        " headers: [{id: H1, along: 18, across: [16, 48], size: 2x8, sizes: nominal, work: new}]}]",
    )  # fmt: skip
    lengths = {(plan.name, p.length) for plan in found.lumber for b in plan.boards for p in b.pieces}
    assert lengths == {
        ("4x6, species not said, grade not said", 56),
        ("4x4, species not said, grade not said, treated", 30),
        ("2x8, species not said, grade not said", 32),
    }
    assert [one.asks for one in asked(found, "post P2")] == [("post.size",)]


def test_blocks_are_as_long_as_their_bays_are_clear(of: TakeOffOf) -> None:
    blocking = (
        "blocking: [{id: K1, kind: solid, row: every-bay, along: 40, size: 2x8, sizes: nominal, work: new,"
        " fasteners: {kind: nail, name: 16d common, count: 2}},"
        " {id: K2, kind: solid, between: [J2, J3], along: 60, size: 2x8, sizes: nominal, work: new}]"
    )
    found = of(ROOM, RUN, SUPPORTS, OLD, blocking, "layers: []")
    lengths = sorted(p.length for plan in found.lumber for b in plan.boards for p in b.pieces)
    assert lengths == [13.75, 13.75, 14.5, 14.5, 14.5, 14.5, 14.5, 14.5]
    assert "7 blocks, both ends; 28 and spares" in item(found, "nail-16d-common-3-1/2-in").how
    assert [one.asks for one in asked(found, "fasteners blocking K2")] == [("fasteners.count",)]
    said = blocking.replace("size: 2x8", "species: hem-fir, grade: Utility, size: 2x8")
    assert {plan.name for plan in of(ROOM, RUN, SUPPORTS, OLD, said, "layers: []").lumber} == {"2x8, hem fir, Utility"}


def test_cleats_along_a_wall_take_the_usual_size_and_say_so(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, SUPPORTS, OLD, "layers: []", "edges: [{wall: west, landing: cleat, work: new}]")
    ((name, long),) = [(p.name, p.length) for plan in found.lumber for b in plan.boards for p in b.pieces]
    assert (name, long) == ("cleat along the west wall (size taken)", 94)
    sized = of(ROOM, RUN, SUPPORTS, OLD, "layers: []", "edges: [{wall: west, landing: cleat, size: 2x6, work: new}]")
    (plan,) = sized.lumber
    assert plan.name == "2x6, species not said, grade not said"
    assert [p.name for b in plan.boards for p in b.pieces] == ["cleat along the west wall"]


def test_hangers_of_new_joists_are_bought_and_of_old_ones_pointed_out(of: TakeOffOf) -> None:
    hung = "hung: {S2: {by: hanger, model: as stamped, fasteners: {kind: nail, name: 10d common, count: 10}}}"
    found = of(
        ROOM, RUN, SUPPORTS, joists("work: existing", but=f"J3: {{{hung}, work: new}}, J4: {{{hung}}}"), "layers: []"
    )
    assert item(found, "hanger-as-stamped").buy == 1
    assert "10 and spares" in item(found, "nail-10d-common-3-in").how
    assert [one.asks for one in asked(found, "hanger of joist J4 at S2")] == [("hanger.work",)]
    hanging = next(p for plan in found.lumber for b in plan.boards for p in b.pieces)
    assert hanging.length == 94 + 3  # it stops at the face that it hangs on
    said = joists(
        "work: existing",
        but=f"J3: {{{hung.replace('hanger,', 'hanger, work: new,')}}}, J4: {{{hung.replace('hanger,', 'hanger, work: existing,')}}}",
    )
    found = of(ROOM, RUN, SUPPORTS, said, "layers: []")
    assert item(found, "hanger-as-stamped").buy == 1
    assert not asked(found, "hanger of joist J4 at S2")


def test_lumber_longer_than_any_stock_is_pointed_out(of: TakeOffOf) -> None:
    beam = "supports: [{id: B1, line: beam, at: 94, width: 6, size: 6x8, across: [0, 300], work: new}]"
    found = of(ROOM, RUN, beam, "joists: []", "layers: []")
    assert found.lumber == ()
    assert "longer than any stock length" in asked(found, "beam B1")[0].why


# --- panels, and what holds them -------------------------------------------------------------------------------------

PANEL = (
    "kind: panel, thickness: 23/32, joints: tongue-and-groove, gap: 1/8, wall_gap: 1/4, attached_to: joists, work: new"
)
HELD = "fasteners: {kind: screw, length: 2, edges: 6, field: 12}"
GLUED = "adhesive: {kind: construction, where: each-joist, bead: 1/4, double_at_joints: true}"
EDGES = "edges: [{wall: west, landing: joist}, {wall: east, landing: joist}, {wall: north, landing: blocking}, {wall: south, landing: blocking}]"


def test_screws_along_every_joist(of: TakeOffOf) -> None:
    """One piece of 71.5 by 47.5 in on six joists: ends at 6 in, 8 screws each, four between at 12 in, 4 each."""
    found = of("outline: 72 x 48", RUN, SUPPORTS.replace("94", "48"), joists("work: existing", "[0.75, 16, 32, 48, 60, 71.25]"),
               EDGES, f"layers: [{{id: L1, {PANEL}, {HELD}, {GLUED}}}]")  # fmt: skip
    (layout,) = found.layouts
    assert (len(layout.pieces), layout.sheets, layout.unsupported) == (1, 1, ())
    ends, between = 2 * (47 // 6 + 1), 4 * (47 // 12 + 1)
    assert f"{ends + between} and spares" in item(found, "screw-2-in").how
    # A bead on six joists, 47.5 in each, and what stays in the tube: a tube of 28 fl oz is 50.5 cubic inches.
    beads = 6 * 47.5 * pi / 4 * 0.25**2 * 1.1
    assert item(found, "adhesive-28-oz").need.value * 231 == pytest.approx(beads)


def test_without_spacing_screws_go_by_the_sheet(of: TakeOffOf) -> None:
    lines = (ROOM, RUN, SUPPORTS, OLD, EDGES)
    found = of(
        *lines,
        f"layers: [{{id: L1, {PANEL}, fasteners: {{kind: screw, length: 2, per_sheet: 57}}, adhesive: {{kind: none}}}}]",
    )
    assert f"{57 * found.layouts[0].sheets} and spares" in item(found, "screw-2-in").how
    found = of(*lines, f"layers: [{{id: L1, {PANEL}, fasteners: {{kind: screw, length: 2}}}}]")
    assert asked(found, "fasteners for L1")[0].asks == ("fasteners.edges", "fasteners.field")
    assert asked(found, "adhesive under L1")[0].asks == ("layer.adhesive",)


@pytest.mark.parametrize(
    ("change", "asks"),
    [
        (("outline: 112 x 94", "note: no outline"), "area.outline"),
        ((", work: new", ", work: unknown"), "layer.work"),
        (("attached_to: joists", "attached_to: joists, strong_axis: along-joists"), "layer.strong_axis"),
        (("kind: panel, thickness: 23/32", "kind: panel"), "layer.thickness"),
    ],
)
def test_what_keeps_panels_from_being_counted_is_asked_for(of: TakeOffOf, change: tuple[str, str], asks: str) -> None:
    text = "\n".join((ROOM, RUN, SUPPORTS, OLD, f"layers: [{{id: L1, {PANEL}, {HELD}, adhesive: {{kind: none}}}}]"))
    assert change[0] in text
    found = of(*text.replace(*change).split("\n"), work="unknown")
    assert asks in {name for one in asked(found, "panels") for name in one.asks}


def test_blocking_that_the_layout_needs_is_bought_and_marked(of: TakeOffOf) -> None:
    square = PANEL.replace("tongue-and-groove", "square")
    found = of(ROOM, RUN, SUPPORTS, OLD, EDGES, f"layers: [{{id: L1, {square}, {HELD}, adhesive: {{kind: none}}}}]")
    (layout,) = found.layouts
    (y,) = {j.start[1] for j in layout.joints if j.kind == "edge"}
    assert [edge.kind for edge in layout.unsupported] == ["edge"] * 7  # one in each bay under the one long joint
    assert all(edge.start[1] == y for edge in layout.unsupported)
    assert sorted(round(edge.length, 3) for edge in layout.unsupported) == [13.75] * 2 + [14.5] * 5
    boards = [i for i in found.items if i.group == "lumber"]
    assert boards and all(i.suggested for i in boards)
    blocked = f"blocking: [{{id: K1, kind: solid, row: every-bay, along: {y}, size: 2x8, purpose: panel-edge, work: existing}}]"
    found = of(
        ROOM, RUN, SUPPORTS, OLD, EDGES, blocked, f"layers: [{{id: L1, {square}, {HELD}, adhesive: {{kind: none}}}}]"
    )
    assert found.layouts[0].unsupported == ()


def test_square_edges_under_a_second_layer_want_no_blocks(of: TakeOffOf) -> None:
    square = PANEL.replace("tongue-and-groove", "square")
    second = "id: L2, kind: panel, thickness: 19/32, joints: square, gap: 1/8, wall_gap: 1/4, attached_to: layer-below, work: new"
    found = of(ROOM, RUN, SUPPORTS, OLD, EDGES, f"layers: [{{id: L1, {square}}}, {{{second}}}]")
    assert found.layouts[0].unsupported == ()
    assert any("held by the layer above" in note for note in found.layouts[0].notes)


BIG = "[0.75, " + ", ".join(str(x) for x in range(16, 1904, 16)) + ", 1919.25]"


def big(of: TakeOffOf, length: int, layers: str) -> TakeOff:
    """A floor of 160 ft across and so many inches along."""
    return of(f"outline: 1920 x {length}", RUN, SUPPORTS.replace("94", str(length)), joists("work: existing", BIG),
              f"layers: [{layers}]")  # fmt: skip


def test_more_than_100_sheets_are_laid_out_too(of: TakeOffOf) -> None:
    square = PANEL.replace("tongue-and-groove", "square")
    found = big(of, 240, f"{{id: L1, {square}, {HELD}, adhesive: {{kind: none}}}}")
    (layout,) = found.layouts
    assert layout.bound == 100  # 1,919.5 by 239.5 in, sheets of 4 by 8 ft
    assert 100 < layout.sheets == len({piece.sheet for piece in layout.pieces})
    assert item(found, "panel-23/32-in").buy == layout.sheets
    assert "laid out for" in item(found, "panel-23/32-in").how


def test_too_many_sheets_to_lay_out_are_estimated_by_area_and_that_is_said(of: TakeOffOf) -> None:
    """160 by 120 ft less the gaps at the walls, and a tenth for waste, by sheets of 32 sq ft: 659.6."""
    square = PANEL.replace("tongue-and-groove", "square")
    held = "fasteners: {kind: screw, length: 2, per_sheet: 57}"
    found = big(of, 1440, f"{{id: L1, {square}, sheet: 48 x 96, {held}, {GLUED}}}")
    assert found.layouts == ()
    sheets = item(found, "panel-23/32-in")
    floor = 1919.5 * 1439.5
    assert sheets.need.value == pytest.approx(floor * 1.1)
    assert sheets.buy == 660
    assert sheets.how == "an estimate, not laid out: 19188 sq ft of floor by its area and 10 % for cuts and waste"
    assert (sheets.status, sheets.unit) == ("common practice, no source", "sheet")
    assert f"57 a sheet, an estimate; {57 * 660} and spares" in item(found, "screw-2-in").how
    (why,) = asked(found, "panels L1")
    assert "more than 500 sheets" in why.why
    assert why.asks == ("layer.region",)
    assert "adhesive is not counted" in asked(found, "adhesive under L1")[0].why


def test_what_goes_by_pieces_is_told_where_sheets_are_only_estimated(of: TakeOffOf) -> None:
    backer = "{id: B, kind: backer, thickness: 1/4, gap: 1/8, wall_gap: 1/4, bedded: false, attached_to: layer-below, work: new}"
    tongues = f"{{id: L1, {PANEL}, {HELD}, adhesive: {{kind: none}}}}"
    found = big(of, 1440, f"{tongues}, {backer}")
    assert {i.code for i in found.items} == {"panel-23/32-in-tongue-and-groove", "backer-1/4-in"}
    assert "sheet size not given: the usual one is taken" in item(found, "backer-1/4-in").how
    missing = {(one.group, one.name) for one in found.not_counted}
    assert {("fasteners", "for L1"), ("fasteners", "for B"), ("backer board", "tape for B")} <= missing
    assert ("adhesive", "under L1") not in missing


def test_edges_at_walls_with_nothing_under_them_are_listed(of: TakeOffOf) -> None:
    """Outer joists 3 in from the walls: nothing lies under the east and west edges, nor between joists at the others."""
    text = joists("work: existing", "[3, 19, 35, 51, 67, 83, 99, 109]")
    found = of(ROOM, RUN, SUPPORTS, text, f"layers: [{{id: L1, {PANEL}, {HELD}, adhesive: {{kind: none}}}}]")
    sides = {edge.where.partition(",")[0]: 0.0 for edge in found.layouts[0].unsupported}
    assert set(sides) == {"west wall", "east wall", "north wall", "south wall"}
    whole = sum(e.length for e in found.layouts[0].unsupported if e.where == "west wall")
    assert whole == pytest.approx(93.5)
    told = "edges: [{wall: west, landing: cleat, work: existing}, {wall: south, landing: blocking, part: [0, 51]}]"
    found = of(ROOM, RUN, SUPPORTS, text, told, f"layers: [{{id: L1, {PANEL}, {HELD}, adhesive: {{kind: none}}}}]")
    named = found.layouts[0].unsupported
    assert not [e for e in named if e.where.startswith("west")]
    assert min(e.start[0] for e in named if e.where.startswith("south")) >= 51


# --- by area and by volume -------------------------------------------------------------------------------------------


def test_rolls_are_laid_strip_by_strip(of: TakeOffOf) -> None:
    """94 in across strips of 36 in with 2 in laps: 36, 70, 104: three strips of 112 in; the other way four of 94."""
    found = of(ROOM, RUN, "joists: []", "layers: [{id: F, kind: felt, material: asphalt felt, laps: 2, work: new}]")
    felt = item(found, "felt-asphalt-felt")
    assert felt.need.value == 3 * 112
    assert felt.buy == 1
    found = of(ROOM, RUN, "joists: []", "layers: [{id: F, kind: felt, material: asphalt felt, work: new}]")
    assert asked(found, "F: asphalt felt")[0].asks == ("layer.laps",)


@pytest.mark.parametrize("laps", ["28", "36", "40"])
def test_laps_that_leave_nothing_of_a_roll_are_told(of: TakeOffOf, laps: str) -> None:
    found = of(
        ROOM, RUN, "joists: []", f"layers: [{{id: F, kind: felt, material: asphalt felt, laps: {laps}, work: new}}]"
    )
    (told,) = asked(found, "F: asphalt felt")
    assert told.asks == ("layer.laps",)
    assert told.why.endswith(" leave next to nothing of a roll 3 ft wide")
    cover = "{kind: polyethylene, thickness: 10 mil, laps: 120, wall_upturn: 6, work: new}"
    found = of(ROOM, RUN, "joists: []", "layers: []", f"crawl_space: {{kind: vented, ground_cover: {cover}}}")
    assert [one.asks for one in asked(found, "ground cover")] == [("ground_cover.laps",)]


def test_ground_of_no_size_is_not_known(of: TakeOffOf) -> None:
    cover = "{kind: polyethylene, thickness: 10 mil, laps: 12, wall_upturn: 6, work: new}"
    space = f"crawl_space: {{kind: vented, floor_area: 0 sq ft, ground_cover: {cover}}}"
    (told,) = asked(of(ROOM, RUN, "joists: []", "layers: []", space), "ground cover")
    assert told.why == "the size of the ground is not known"


@pytest.mark.parametrize(
    ("lines", "name"),
    [
        (
            ("joists: []", "edges: [{wall: west, part: [10, 10], landing: cleat, work: new}]"),
            "cleat along the west wall",
        ),
        (("joists: []", "posts: [{id: P1, size: 4x4, height: 0, work: new}]"), "post P1"),
        (("joists: [{name: J, at: [16], each: {size: 2x6, begins: 50, ends: 20, work: new}}]",), "joist J1"),
        (
            (
                "joists: [{name: J, at: [16], each: {size: 2x6, sisters: [{size: 2x6, begins: 9, ends: 9, work: new}]}}]",
            ),
            "sister of J1",
        ),
    ],
)
def test_a_piece_of_no_length_is_told(of: TakeOffOf, lines: tuple[str, ...], name: str) -> None:
    found = of(ROOM, RUN, *lines, "layers: []")
    assert found.lumber == ()
    assert any("look at the readings" in one.why for one in found.not_counted if one.name.startswith(name))


@pytest.mark.parametrize("sheet", ["1/2 x 96, joints: tongue-and-groove", "3/4 x 96"])
def test_sheets_too_narrow_for_a_row(of: TakeOffOf, sheet: str) -> None:
    layer = f"{{id: L, kind: panel, sheet: {sheet}, gap: 1/8, wall_gap: 1/2, work: new}}"
    frame = "joists: [{name: J, at: [0, 16], each: {size: 2x6, begins: 0, ends: 94}}]"
    (told,) = (one for one in of(ROOM, RUN, frame, f"layers: [{layer}]").not_counted if one.group == "panels")
    assert (told.why, told.asks) == ("its sheets are too narrow to be laid out", ("layer.sheet",))


def test_ground_cover_with_laps_and_upturn(of: TakeOffOf) -> None:
    """124 by 106 in with 6 in up each wall; the 10 ft roll runs along the longer side once: 106 in are less than 120."""
    cover = "{kind: polyethylene, thickness: 10 mil, laps: 12, wall_upturn: 6, sealed: true, work: new}"
    found = of(
        ROOM,
        RUN,
        "joists: []",
        "layers: []",
        f"crawl_space: {{kind: vented, floor_area: 73 sq ft, ground_cover: {cover}}}",
    )
    assert item(found, "ground-cover-polyethylene-10-mil").need.value == pytest.approx(124)
    assert item(found, "ground-cover-tape").need.value == pytest.approx(2 * (112 + 94))
    bare = cover.replace("laps: 12, wall_upturn: 6, ", "")
    found = of(ROOM, RUN, "joists: []", "layers: []", f"crawl_space: {{kind: vented, ground_cover: {bare}}}")
    assert {one.asks for one in asked(found, "ground cover")} == {("ground_cover.laps",), ("ground_cover.wall_upturn",)}


def test_mortar_by_the_trowel(of: TakeOffOf) -> None:
    """Notches of 1/4 in leave 0.07 in on 73.1 sq ft: 737 cubic inches, a tenth more for loss; a bag is 950."""
    found = of(ROOM, RUN, "joists: []", "layers: [{id: M, kind: thin-set, trowel: 1/4 x 1/4 square, work: new}]")
    bag = item(found, "thin-set")
    assert bag.need.value * 231 == pytest.approx(112 * 94 * 0.25 * 0.28 * 1.1)
    assert bag.buy == 1
    found = of(ROOM, RUN, "joists: []", "layers: [{id: M, kind: thin-set, work: new}]")
    assert asked(found, "mortar")[0].asks == ("layer.trowel", "layer.thickness")


def test_mortar_beds_and_footings_by_volume(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, "joists: []", "layers: [{id: B, kind: mortar-bed, thickness: 1 1/4, work: new}]",
               "footings: [{id: F1, shape: square, width: 20, thickness: 8, material: concrete, work: new}, {id: F2, work: new}]")  # fmt: skip
    assert item(found, "mortar-bed").need.value * 231 == pytest.approx(112 * 94 * 1.25 * 1.1)
    assert item(found, "concrete-mix").need.value * 231 == pytest.approx(20 * 20 * 8 * 1.1)
    assert item(found, "concrete-mix").buy == 4  # 3520 cubic inches, bags of 0.6 cu ft
    assert asked(found, "footing F2")[0].asks == ("footing.width", "footing.thickness")


# --- piers -----------------------------------------------------------------------------------------------------------


def piers(of: TakeOffOf, *each: str, units: str = "in") -> TakeOff:
    room = ROOM if units == "in" else "outline: 2850 x 2400"
    return of(room, RUN, "joists: []", "layers: []", f"piers: [{', '.join(f'{{{one}}}' for one in each)}]", units=units)


@pytest.mark.parametrize(
    "size", ["width: 16, length: 16, height: 28, cap: 4", "width: 15 5/8, length: 15 5/8, height: 27 5/8, cap: 4"]
)
def test_a_pier_of_hollow_block_with_its_cap(of: TakeOffOf, size: str) -> None:
    """16 by 16 in: two blocks to a course; 24 in under a cap of 4 in: three courses. 6 blocks and 2 caps, 5 % to spare;
    a bag lays 12 blocks, or 20 caps: 40 and 8 lb of mortar."""
    found = piers(of, f"id: P1, material: block-hollow, {size}, work: new")
    blocks, caps = item(found, "block-8-x-8-x-16-in"), item(found, "cap-block-8-x-4-x-16-in")
    assert (blocks.need.value, blocks.buy) == (pytest.approx(6.3), 7)
    assert (caps.need.value, caps.buy) == (pytest.approx(2.1), 3)
    assert blocks.how == "pier P1: 2 to a course, 3 courses, and some to spare"
    mortar = item(found, "masonry-mortar")
    assert (mortar.need.value, mortar.buy, mortar.unit) == (pytest.approx(48), 1, "bag of 80 lb")
    assert found.not_counted == ()


def test_a_pier_of_filled_block_takes_core_fill(of: TakeOffOf) -> None:
    """8 by 16 in, 16 in high: a block to a course, two courses; core fill takes 0.45 of 8 by 8 by 16 in, a tenth more."""
    found = piers(of, "id: P1, material: block-filled, width: 8, length: 16, height: 16, work: new")
    assert item(found, "block-8-x-8-x-16-in").need.value == pytest.approx(2 * 1.05)
    fill = item(found, "core-fill")
    assert fill.need.value * 231 == pytest.approx(2 * 8 * 8 * 16 * 0.45 * 1.1)
    assert fill.buy == 1  # 1014 cubic inches, a bag is 1037
    assert fill.status == "from memory"
    assert found.not_counted == ()


def test_a_pier_as_wide_as_a_wider_block(of: TakeOffOf) -> None:
    """12 by 16 in, 24 in high: three blocks of 12 in, of which a bag lays eight; no cap is said, so it is asked for."""
    found = piers(of, "id: P1, material: block-hollow, width: 12, length: 16, height: 24, work: new")
    assert item(found, "block-12-x-8-x-16-in").need.value == pytest.approx(3 * 1.05)
    assert item(found, "masonry-mortar").need.value == pytest.approx(3 / 8 * 80)
    assert [(one.name, one.asks) for one in found.not_counted] == [("cap of pier P1", ("pier.cap",))]


def test_piers_of_brick(of: TakeOffOf) -> None:
    """12 by 12 in: nine squares of 4 in, two to a brick; 24 in: nine courses, three in 8 in. 8 by 16 in and 26 in high:
    four to a course, ten courses. 80.5 bricks in all, of which a bag lays 30."""
    found = piers(of, "id: P1, material: brick, width: 12, length: 12, height: 24, work: new",
                  "id: P2, material: brick, width: 8, length: 16, height: 26, work: new",
                  "id: P3, material: brick, width: 8, length: 16, height: 26, work: existing")  # fmt: skip
    bricks = item(found, "brick")
    assert bricks.need.value == pytest.approx((4.5 * 9 + 4 * 10) * 1.05)
    assert bricks.buy == 85
    assert "pier P1: 4.5 to a course, 9 courses" in bricks.how
    assert "pier P2: 4 to a course, 10 courses" in bricks.how
    mortar = item(found, "masonry-mortar")
    assert (mortar.need.value, mortar.buy) == (pytest.approx(80.5 / 30 * 80), 3)
    assert mortar.group == "masonry"


def test_metric_piers_of_metric_units(of: TakeOffOf) -> None:
    """215 by 215 mm: two bricks to a course, ten courses of 75 mm; 215 by 440 mm: a block to a course, three of 225 mm."""
    found = piers(of, "id: P1, material: brick, width: 215, length: 215, height: 750, work: new",
                  "id: P2, material: block-filled, width: 215, length: 440, height: 665, work: new", units="mm")  # fmt: skip
    assert item(found, "brick").need.value == pytest.approx(20 * 1.05)
    assert item(found, "block-225-x-225-x-450-mm").need.value == pytest.approx(3 * 1.05)


def test_a_cast_pier_is_bought_with_the_concrete_of_its_footing(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, "joists: []", "layers: []",
               "piers: [{id: P1, material: concrete, width: 12, length: 12, height: 30, rests_on: F1, work: new}]",
               "footings: [{id: F1, width: 20, length: 20, thickness: 8, material: concrete, work: new}]")  # fmt: skip
    mix = item(found, "concrete-mix")
    assert mix.need.value * 231 == pytest.approx((12 * 12 * 30 + 20 * 20 * 8) * 1.1)
    assert mix.how == "pier P1, cast in place; its form is not counted; footing F1"


@pytest.mark.parametrize(
    ("pier", "asks"),
    [
        ("material: brick, width: 12, height: 24", ("pier.length",)),
        ("material: block-hollow, cap: 4", ("pier.width", "pier.length", "pier.height")),
        ("width: 12, length: 12, height: 24", ("pier.material",)),
        ("material: brick, width: 11, length: 12, height: 24", ("pier.width", "pier.length")),
        ("material: block-hollow, width: 9, length: 16, height: 24", ("pier.width", "pier.length")),
        ("material: stone, width: 12, length: 12, height: 24", ()),
    ],
)
def test_piers_that_can_t_be_counted_are_named(of: TakeOffOf, pier: str, asks: tuple[str, ...]) -> None:
    found = piers(of, f"id: P1, {pier}, work: new")
    assert found.items == ()
    assert [(one.group, one.name, one.asks) for one in found.not_counted] == [("masonry", "pier P1", asks)]


# --- liners ----------------------------------------------------------------------------------------------------------

REGION = "region: {across: [10, 46], along: [20, 68]}"
CURB = "curb: 4, liner: {kind: %s, upturn: 3, thickness: 0.040 in}"


def wet(of: TakeOffOf, text: str, *more: str) -> TakeOff:
    layers = () if any(line.startswith("layers") for line in more) else ("layers: []",)
    return of(ROOM, RUN, "joists: []", *layers, f"wet_areas: [{{id: W1, kind: shower, work: new, {text}}}]", *more)


def test_a_liner_is_one_folded_sheet_of_the_makers_width(of: TakeOffOf) -> None:
    """36 by 48 in, 4 + 3 in up the walls, 4 + 3 1/2 + 4 in up and over the curb, 2 in for trimming.

    Curb on the side of 36 in: 52 by 68 1/2 in, from 6 ft 52 in (26 sq ft). On that of 48 in: 56 1/2 by 64 in, from 5 ft
    64 in (26 2/3 sq ft): the more of the two is bought.
    """
    found = wet(of, f"{REGION}, {CURB % 'pvc-sheet'}")
    sheet = item(found, "liner-pvc-sheet-0.04-in-5-ft")
    assert (sheet.need.value, sheet.buy, sheet.unit) == (pytest.approx(64), 6, "ft")
    assert "one piece, folded" in sheet.how
    assert "3 ft by 4 ft, 7 in up the walls, 11 1/2 in up and over the curb" in sheet.how
    assert item(found, "liner-corner-pvc-sheet").buy == 2
    assert [one.name for one in found.not_counted] == ["what welds the liner of W1"]


def test_a_liner_wider_than_any_roll_is_welded_of_strips(of: TakeOffOf) -> None:
    """6 by 7 ft: 88 by 104 1/2 in with the curb on the side of 6 ft, from 4 ft two strips with a lap of 2 in, each 104 1/2
    in long. (On the other side 92 1/2 by 100 in, two strips of 100 in: less.)"""
    found = wet(of, f"region: {{across: [0, 72], along: [0, 84]}}, {CURB % 'cpe-sheet'}")
    sheet = item(found, "liner-cpe-sheet-0.04-in-4-ft")
    assert sheet.need.value == pytest.approx(2 * 104.5)
    assert sheet.buy == 18
    assert "2 strips welded with laps of 2 in" in sheet.how


def test_a_liner_without_a_curb_needs_no_welding(of: TakeOffOf) -> None:
    """34 by 34 in by the shower's inside, 6 in up all round and 2 in for trimming: 48 by 48 in."""
    found = wet(of, "fixture: SH, curb: 0, liner: {kind: pvc-sheet, upturn: 6, thickness: 0.040 in}",
                "fixtures: [{id: SH, kind: shower, inside: 34 x 34}]")  # fmt: skip
    sheet = item(found, "liner-pvc-sheet-0.04-in-4-ft")
    assert (sheet.need.value, sheet.buy) == (pytest.approx(48), 4)
    assert [i.code for i in found.items] == [sheet.code]
    assert found.not_counted == ()


def test_a_bonded_sheet_goes_in_strips_and_bands(of: TakeOffOf) -> None:
    """36 by 48 in from rolls of 39 in: one strip of 48 in. 176 in round with laps of 2 in at the corners, 9 in high with its
    lap, four side by side: 44 in. Over the curb 15 1/2 in with laps, two side by side, 48 in long: 24 in."""
    found = wet(of, f"{REGION}, {CURB % 'bonded-sheet'}")
    roll = item(found, "liner-bonded-sheet")
    assert (roll.need.value, roll.buy) == (pytest.approx(48 + 44 + 24), 1)
    assert item(found, "liner-corner-bonded-sheet").buy == 6
    layers = "layers: [{id: M, kind: membrane, material: bonded sheet, laps: 2, work: new}]"
    bands = item(wet(of, f"{REGION}, {CURB % 'bonded-sheet'}", layers), "liner-bonded-sheet")
    assert bands.need.value == pytest.approx(44 + 24)
    assert "its floor is counted with the floor's membrane" in bands.how
    part = layers.replace(
        "laps", "region: {across: [12, 112], along: [0, 94]}, laps"
    )  # two inches of the pan lie outside of it
    assert item(wet(of, f"{REGION}, {CURB % 'bonded-sheet'}", part), "liner-bonded-sheet").need == roll.need


def test_a_band_higher_than_the_roll_takes_several_widths(of: TakeOffOf) -> None:
    """75 in up the walls: 77 in with its lap is more than 39 and less than 39 + 37 + 37 in: three widths."""
    found = wet(of, f"{REGION}, curb: 0, liner: {{kind: bonded-sheet, upturn: 75}}")
    assert item(found, "liner-bonded-sheet").need.value == pytest.approx(48 + 3 * 176)


def test_a_liquid_liner_goes_by_the_area(of: TakeOffOf) -> None:
    """1,728 sq in of floor, 168 in round 7 in high, 11 1/2 in over a curb of 48 in: 24 sq ft at 50 a gallon."""
    gallons = item(wet(of, f"{REGION}, {CURB % 'liquid'}"), "liner-liquid")
    assert gallons.need.value == pytest.approx((36 * 48 + 168 * 7 + 11.5 * 48) / 7200)
    assert "two coats on 24 sq ft" in gallons.how


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        (CURB % "pvc-sheet", ("region.across", "region.along", "fixture.inside")),
        (f"{REGION}, liner: {{kind: pvc-sheet, thickness: 0.040 in}}", ("wet_area.curb", "liner.upturn")),
        (f"{REGION}, curb: 4, liner: {{upturn: 3}}", ("liner.kind",)),
        (f"{REGION}, {CURB % 'hot-mop'}", ()),
    ],
)
def test_liners_that_can_t_be_counted_are_named(of: TakeOffOf, text: str, asks: tuple[str, ...]) -> None:
    found = wet(of, text)
    assert found.items == ()
    assert [(one.name, one.asks) for one in found.not_counted] == [("liner of W1", asks)]


def test_a_wet_room_is_lined_from_wall_to_wall(of: TakeOffOf) -> None:
    """The room of 112 by 94 in, 3 in up: 112 * 94 + 412 * 3 sq in at 7,200 a gallon. A sheet without its
    thickness is counted and can't be ordered."""
    room = "kind: wet-room, work: new, curb: 0, liner: {kind: %s, upturn: 3}"
    found = of(ROOM, RUN, "joists: []", "layers: []", f"wet_areas: [{{id: W1, {room % 'liquid'}}}]")
    assert item(found, "liner-liquid").need.value == pytest.approx((112 * 94 + 412 * 3) / 7200)
    found = of(ROOM, RUN, "joists: []", "layers: []", f"wet_areas: [{{id: W1, {room % 'pvc-sheet'}}}]")
    # 120 by 102 in: from 5 ft two strips of 120 in (118 in wide with the lap of 2 in), or 6 ft two of 102 in.
    assert item(found, "liner-pvc-sheet-5-ft").need.value == pytest.approx(2 * 120)
    assert [one.asks for one in asked(found, "liner of W1")] == [("liner.thickness",), ()]


def test_a_pan_whose_place_is_not_known_is_asked_for_before_anything_is_said_of_its_floor(of: TakeOffOf) -> None:
    layers = "layers: [{id: M, kind: membrane, material: bonded sheet, laps: 2, work: new}]"
    found = wet(of, f"region: {{across: [10, unknown], along: [20, 68]}}, {CURB % 'bonded-sheet'}", layers)
    assert [one.asks for one in asked(found, "liner of W1")] == [("region.across", "region.along", "fixture.inside")]
    assert [i.code for i in found.items] == ["membrane-bonded-sheet"]


def test_a_liner_that_is_there_or_is_none_is_not_bought(of: TakeOffOf) -> None:
    for text in (f"{REGION}, {CURB % 'none'}", f"{REGION}, {CURB % 'pvc-sheet'}, note: old"):
        old = "wet_areas: [{id: W1, kind: shower, work: %s, " + text + "}]"
        found = of(ROOM, RUN, "joists: []", "layers: []", old % ("existing" if "old" in text else "new"))
        assert found.items == found.not_counted == ()


def test_tile_by_area_and_by_count(of: TakeOffOf) -> None:
    """12 in tile on 100 by 94 in: 8 x 7 whole, 7 of 4 by 12 that come two from a tile, 8 of 12 by 10, one of 4 by 10."""
    found = of("outline: 100 x 94", RUN, "joists: []",
               "layers: [{id: T, kind: tile, material: porcelain, tile_size: 12 x 12, thickness: 3/8, gap: 0, work: new}]")  # fmt: skip
    tile = item(found, "tile-porcelain-12-in-x-12-in")
    whole, small, large = 8 * 7, 7 + 1, 8
    count = whole + large + (small + 1) // 2
    assert f"{count} tiles by count, {small + large} cut" in tile.how
    assert tile.need.value == pytest.approx(max(100 * 94 * 1.1, count * 144))


def test_grout_fills_the_joints(of: TakeOffOf) -> None:
    """On 12 in tile there are 2/12 in of joint for each square inch, 1/8 in wide and 3/8 in deep."""
    layer = "{id: T, kind: tile, material: porcelain, tile_size: 12 x 12, thickness: 3/8, gap: 1/8, work: new}"
    found = of(ROOM, RUN, "joists: []", f"layers: [{layer}]")
    volume = 112 * 94 * 2 / 12 / 8 * 3 / 8
    assert item(found, "grout").need.value == pytest.approx(volume * 0.0578 * 1.1)
    found = of(ROOM, RUN, "joists: []", f"layers: [{layer.replace('gap: 1/8, ', '')}]")
    assert asked(found, "grout")[0].asks == ("layer.grout_joint",)
    found = of(ROOM, RUN, "joists: []", f"layers: [{layer.replace('gap: 1/8', 'grout_joint: 1/4, gap: 1/8')}]")
    assert item(found, "grout").need.value == pytest.approx(2 * volume * 0.0578 * 1.1)


def test_backer_board_brings_screws_tape_and_mortar(of: TakeOffOf) -> None:
    backer = ("id: B, kind: backer, material: fibre-cement, thickness: 1/4, gap: 1/8, wall_gap: 1/4, trowel: 1/4 x 1/4 square,"
              " bedded: true, work: new, attached_to: layer-below, fasteners: {kind: backer-screw, length: 1 1/4, edges: 8, field: 8}")  # fmt: skip
    found = of(ROOM, RUN, SUPPORTS, OLD, f"layers: [{{id: L1, kind: panel, work: existing}}, {{{backer}}}]")
    assert {i.code for i in found.items} == {
        "backer-1/4-in-fibre-cement",
        "backer-screw-1-1/4-in",
        "backer-tape",
        "thin-set",
    }
    joints = sum(abs(j.end[0] - j.start[0]) + abs(j.end[1] - j.start[1]) for j in found.layouts[0].joints)
    assert item(found, "backer-tape").need.value == pytest.approx(joints)
    assert any("joints of the layer below are not known" in note for note in found.layouts[0].notes)


def test_layers_that_nobody_can_count_are_named(of: TakeOffOf) -> None:
    found = of(ROOM, RUN, "joists: []", "layers: [{id: X, kind: unknown, work: new}, {id: Y, kind: adhesive, work: new}, {id: Z, kind: tile}]",
               work="unknown")  # fmt: skip
    assert [one.asks for one in asked(found, "X")] == [("layer.kind",)]
    assert asked(found, "Y adhesive")
    assert [one.asks for one in asked(found, "Z tile")] == [("layer.work",)]


def test_openings_that_stay_open_take_nothing(of: TakeOffOf) -> None:
    hole = "openings: [{id: O, kind: hatch, across: [20, 44], along: [20, 50], plan: stays-open}]"
    layers = "layers: [{id: B, kind: mortar-bed, thickness: 1, work: new}]"
    found = of(ROOM, RUN, "joists: []", hole, layers)
    assert item(found, "mortar-bed").need.value * 231 == pytest.approx((112 * 94 - 24 * 30) * 1.1)


def test_the_smallest_site_buys_nothing_and_says_what_is_missing(of: TakeOffOf) -> None:
    found = of("note: nothing known")
    assert found.items == ()
    assert {one.asks for one in found.not_counted} == {("area.joists",), ("area.layers",)}


def test_an_area_that_is_not_there_is_an_error(of: TakeOffOf) -> None:
    with pytest.raises(KeyError):
        of(ROOM, area="elsewhere")


def test_metric_sites_are_cut_from_metric_lengths(of: TakeOffOf) -> None:
    text = "joists: [{name: J, from: S1, to: S2, at: [400], each: {size: 45 x 195 mm, work: new, bearing: {S1: 100, S2: 100}}}]"
    found = of("outline: 2850 x 2400", RUN, "supports: [{id: S1, line: sill, at: -100, width: 100}, {id: S2, line: sill, at: 2400, width: 100}]",
               text, "layers: []", units="mm")  # fmt: skip
    (plan,) = found.lumber
    assert plan.name.startswith("45 x 195 mm")
    assert plan.total * 25.4 == pytest.approx(3000)  # 2600 mm of wood out of 3.0 m
