"""Pack sizes and coverage against what makers, trade pages and textbooks print."""

from __future__ import annotations

from math import ceil, pi

import pytest

from inspect_core.engineering.fasteners import nail
from inspect_core.engineering.tables import STATUSES
from inspect_core.planning.layout.packing import Stock
from inspect_core.planning.layout.rows import Landing, Problem
from inspect_core.planning.layout.search import search
from inspect_core.planning.takeoff.fastening import nail_weight
from inspect_core.planning.takeoff.supplies import Used, supplies


def value(key: str) -> float:
    return supplies()[key].value


def test_every_number_has_its_source() -> None:
    assert supplies()
    assert all(row.source and row.status in STATUSES for row in supplies().values())


@pytest.mark.parametrize(("penny", "per_pound"), [(6, 170), (8, 100), (10, 65), (16, 50), (20, 30)])
def test_common_nails_to_the_pound(penny: int, per_pound: int) -> None:
    """Chart of common nails per pound on a woodworking page, rounded there to fives and tens. Read from text."""
    size = nail("common", penny)
    assert 1 / nail_weight(size.diameter_in, size.length_in, Used()) == pytest.approx(per_pound, rel=0.07)


@pytest.mark.parametrize(
    ("notch", "least", "most"),
    [(0.25, 85, 95), (0.375, 60, 70), (0.5, 40, 50)],
)
def test_square_feet_of_a_bag_of_thin_set(notch: float, least: float, most: float) -> None:
    """Coverage of a 50 lb bag by trowel: 1/4 x 1/4, 1/4 x 3/8, 1/2 x 1/2 in. Two trade pages, read from text."""
    thickness = notch * value("notch-share/square")
    assert least <= value("thin-set-bag") * 12 / thickness <= most


def test_length_of_bead_from_a_cartridge() -> None:
    """A flooring maker gives 60 lineal feet of 1/4 in bead to one sausage (read from text; 20 fl oz, from memory)."""
    feet = 20 * value("fluid-ounce") / (pi / 4 * 0.25**2) / 12
    assert feet == pytest.approx(60, rel=0.05)


def test_adhesive_for_one_sheet() -> None:
    """A carpenters' magazine figures three quarters of a 10.5 oz tube for a 3/16 in bead under one sheet on joists at 16 in
    (read from text). That is generous; ours must not be more, nor less than half of it."""
    bead = 7 * 48 * pi / 4 * (3 / 16) ** 2 * (1 + value("adhesive-loss"))
    told = 0.75 * 10.5 * value("fluid-ounce")
    assert told / 2 < bead <= told


def test_bags_of_concrete_in_a_cubic_yard() -> None:
    """45 bags of 80 lb make a cubic yard (from memory)."""
    assert 27 / value("concrete-bag") == pytest.approx(45, rel=0.01)


def test_a_roll_of_felt_is_four_squares() -> None:
    """No. 15 felt is sold in rolls for 400 sq ft with 2 in laps (common practice, no source)."""
    laid = value("roll-length/felt") * (value("roll-width/felt") - 2) / 144
    assert 400 <= laid <= 432


@pytest.mark.parametrize(("across", "along"), [(16, 12), (24, 20), (20, 16), (12, 10), (32, 24)])
def test_subfloor_sheets_by_the_textbook(across: int, along: int) -> None:
    """A carpentry textbook divides the net area by 32 sq ft and rounds up; a lumber yard adds a couple of sheets for
    cutting (both read from text). Feet; joists at 16 in."""
    landings = tuple(
        Landing(f"J{n}", x, x, -4.0, along * 12.0 + 4, 0.75) for n, x in enumerate(range(0, across * 12 + 1, 16))
    )
    problem = Problem(
        outline=((0, 0), (across * 12, 0), (across * 12, along * 12), (0, along * 12)), holes=(),
        box=(-1e9, 1e9, -1e9, 1e9), length=96, width=48, kerf=0.0, gap=0.0, matched=False, least_width=24, least_length=0,
        least_bays=2, landings=landings, free_ends=None, least_bearing=0.5, stagger=16, row_places=(),
    )  # fmt: skip
    found = search(problem)
    by_the_book = ceil(across * along / 32)
    assert found.bound == by_the_book
    assert by_the_book <= found.solutions[0].packing.sheets <= by_the_book + 2
    assert found.solutions[0].faults == 0
    assert Stock(96, 48, 0.0).length * 48 * found.solutions[0].packing.sheets >= across * along * 144
