"""Every cell of the published table for girders in interior bearing walls: span to the inch, and jack studs.

Source: IRC 2021 Table R602.7(2), read from text of a state adoption (see the head of data/girder_spans.csv). The
basis (lowest of four species of No. 2, system factor, line loads) was found by fitting; see girder_table_basis.csv
in the lumber package. The wood design method alone (NDS) gives less for two plies; both are shown.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from inspect_core.engineering.lumber import dressed
from inspect_core.engineering.spans import GirderSpan, girder_span

TABLE = Path(__file__).parent / "data" / "girder_spans.csv"

Cell = tuple[int, int, int, float]  # floors, plies, nominal depth, building width in feet


def printed_cells() -> dict[Cell, tuple[int, int]]:
    """Span in inches and jack studs by cell."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    cells: dict[Cell, tuple[int, int]] = {}
    for row in rows:
        for width in ("12", "24", "36"):
            span, studs = row[width].split()
            feet, inch = span.split("-")
            depth = int(row["size"].removeprefix("2x"))
            cells[int(row["floors"]), int(row["plies"]), depth, float(width)] = (
                12 * int(feet) + int(inch),
                int(studs),
            )
    return cells


def girder_line_load(width: float, floors: int = 1) -> float:
    """Line load in lb per foot on a girder at mid-width, found by fitting the printed table: 50 psf on half the width,
    or 100 psf on it and 121 plf of wall between two floors (any wall from 120 to 121 plf gives every cell)."""
    return {1: 50 * width / 2, 2: 100 * width / 2 + 121}[floors]


def code_table(cell: Cell) -> GirderSpan:
    floors, plies, depth, width = cell
    load = girder_line_load(width, floors)
    # 40 psf of the 50 psf a floor is live load: the part that deflection is measured with.
    live = 40 * floors * width / 2
    return girder_span("code-table", plies, *dressed(2, depth), load, live_plf=live)


CELLS = printed_cells()
SPANS = {cell: code_table(cell) for cell in CELLS}


def test_the_table_is_complete() -> None:
    assert len(CELLS) == 66
    assert {cell[1:3] for cell in CELLS if cell[1] == 2} == {(2, depth) for depth in (4, 6, 8, 10, 12)}


@pytest.mark.parametrize("floors", [1, 2])
@pytest.mark.parametrize("plies", [2, 3, 4])
def test_every_printed_span_and_jack_stud_count(floors: int, plies: int) -> None:
    wanted = {cell: found for cell, found in CELLS.items() if cell[:2] == (floors, plies)}
    assert {cell: (SPANS[cell].span_in, SPANS[cell].jack_studs) for cell in wanted} == wanted


def test_bending_alone_sets_the_printed_spans() -> None:
    # Computed when the fit was made: live-load deflection reaches at most 0.91 of L/360 with E of 1.3e6 psi.
    assert {span.strength.e for span in SPANS.values()} == {1.3e6}
    ratios = []
    for span in SPANS.values():
        assert span.deflection_span_in is not None
        ratios.append((span.bending_span_in / span.deflection_span_in) ** 3)
    assert round(max(ratios), 2) == 0.91


def test_shear_is_taken_at_distance_d() -> None:
    # Computed when the fit was made: at the face 19 of 66 exceed the lowest Fv of 135 psi, the worst 217 psi; at
    # distance d one does, 137 psi, both for 2-2x4 under two floors, 36 ft wide.
    assert {span.strength.fv for span in SPANS.values()} == {135}
    worst: Cell = (2, 2, 4, 36.0)
    face = {cell: span.shear_stress(at_distance_d=False) for cell, span in SPANS.items()}
    at_d = {cell: span.shear_stress() for cell, span in SPANS.items()}
    assert sum(stress > 135 for stress in face.values()) == 19
    assert sum(stress > 175 for stress in face.values()) == 7
    assert {cell for cell, stress in at_d.items() if stress > 135} == {worst}
    assert (round(max(face.values())), round(max(at_d.values()))) == (217, 137)
    assert face[worst] == max(face.values())


def test_the_lowest_of_four_species_is_southern_pine_for_every_size() -> None:
    # NDS Supplement 2018 Table 4B, No. 2: the values that the fit names.
    lowest = {4: 1100, 6: 1000, 8: 925, 10: 800, 12: 750}
    for (_, plies, depth, _), span in SPANS.items():
        assert span.strength.fb == pytest.approx(lowest[depth] * (1.10 if plies == 2 else 1.15))


@pytest.mark.parametrize("depth", [4, 6, 8, 10, 12])
def test_the_nds_basis_gives_less_for_two_plies_and_the_same_for_more(depth: int) -> None:
    """The system factor of 1.10 for two plies is the table's own: NDS gives 1.0, so 4.7 percent less span."""
    for plies, ratio in ((2, 1 / math.sqrt(1.10)), (3, 1.0), (4, 1.0)):
        load = girder_line_load(24)
        table = girder_span("code-table", plies, *dressed(2, depth), load)
        alone = girder_span("nds", plies, *dressed(2, depth), load, species="southern-pine", grade="No.2")
        assert alone.bending_span_in / table.bending_span_in == pytest.approx(ratio)
        assert (table.basis, alone.basis) == ("code-table", "nds")
    assert 1 - 1 / math.sqrt(1.10) == pytest.approx(0.047, abs=0.0005)


def test_the_nds_basis_accepts_fewer_of_the_printed_spans() -> None:
    shorter = 0
    for (floors, plies, depth, width), (printed, _) in CELLS.items():
        load, live = girder_line_load(width, floors), 40 * floors * width / 2
        alone = girder_span(
            "nds", plies, *dressed(2, depth), load, species="southern-pine", grade="No.2", live_plf=live
        )
        assert alone.span_in <= printed
        shorter += alone.span_in < printed
    two_ply = sum(cell[1] == 2 for cell in CELLS)
    assert shorter == two_ply


def test_worked_example_two_2x10_under_one_floor_24_feet_wide() -> None:
    # IRC 2021 Table R602.7(2), read from text; steps recomputed: 600 plf, Fb' 880 psi, S 42.78 in³, 77.6 in.,
    # 6-6 and two jack studs; reaction 1950 lb needs 1.60 in. of bearing.
    span = SPANS[1, 2, 10, 24.0]
    assert span.line_load_plf == 600
    assert span.strength.fb == pytest.approx(880)
    assert span.section.section_modulus == pytest.approx(42.78, abs=0.005)
    assert span.unrounded_in == pytest.approx(77.6, abs=0.05)
    assert CELLS[1, 2, 10, 24.0] == (78, 2) == (span.span_in, span.jack_studs)
    assert span.reaction_lb == pytest.approx(1950)
    assert span.bearing_needed_in == pytest.approx(1.60, abs=0.01)
    assert span.status == "computed"
