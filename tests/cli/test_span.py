"""The span command: one span, a table, every format, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.cli.app import cli, main
from inspect_core.engineering.lumber import grades, species_names

ONE = ["--size", "2x8", "--species", "douglas-fir-larch", "--grade", "No.2"]
CONTRACT = [*ONE, "--spacing", "16", "--live", "40", "--dead", "10"]


def printed(*arguments: str) -> str:
    result = CliRunner().invoke(cli, ["span", *arguments])
    assert result.exit_code == 0, result.output
    return result.stdout


def answer(*arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(printed(*arguments, "--format", "json"))
    return found


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """What the command says when it exits with 2."""

    def run(*arguments: str) -> str:
        with pytest.raises(SystemExit) as stop:
            main(["span", *arguments])
        out = capsys.readouterr()
        assert stop.value.code == 2
        assert out.out == ""
        return out.err

    return run


# --- one span -------------------------------------------------------------------------------------------------------


def test_the_contract() -> None:
    """12 ft 9 in: IRC 2021 Table R502.3.1(2), 2x8 Douglas fir-larch No. 2 at 16 in, 40 and 10 psf; read from text."""
    found = answer(*CONTRACT)
    assert (found["span_in"], found["governs"]) == (153.0, "bending")
    assert isinstance(found["span_in"], float)


def test_the_answer_says_what_it_rests_on() -> None:
    found = answer(*CONTRACT)
    assert found["inputs"] == {
        "size": "2x8",
        "sizes": "nominal",
        "thickness_in": 1.5,
        "depth_in": 7.25,
        "species": "douglas-fir-larch",
        "grade": "No.2",
        "spacing_in": 16,
        "live_psf": 40,
        "dead_psf": 10,
        "deflection": 360,
        "wet": False,
    }
    assert found["unrounded_in"] == min(found["bending_span_in"], found["deflection_span_in"])
    assert abs(found["unrounded_in"] - found["span_in"]) <= 0.5
    assert found["basis"]["status"] == "read from text"
    assert "nearest inch" in found["basis"]["rounding"]
    assert all({"symbol", "formula", "numbers", "result", "unit", "clause"} == set(step) for step in found["working"])
    assert found["working"][-1]["result"] == found["span_in"]


def test_a_value_that_was_not_given_is_named() -> None:
    assert not [note for note in answer(*CONTRACT)["assumptions"] if "not given" in note]
    taken = [note for note in answer(*ONE)["assumptions"] if "not given" in note]
    assert taken == ["live load 40 psf, which was not given", "dead load 10 psf, which was not given"]


def test_deflection_governs_a_strong_joist() -> None:
    found = answer("--size", "2x8", "--species", "DF-L", "--grade", "SS")
    assert found["governs"] == "deflection"
    assert found["inputs"]["grade"] == "Select Structural"
    assert (
        answer("--size", "2x8", "--species", "DF-L", "--grade", "SS", "--deflection", "L/480")["span_in"]
        < (found["span_in"])
    )


def test_without_live_load_nothing_limits_deflection() -> None:
    found = answer(*ONE, "--live", "0")
    assert found["deflection_span_in"] is None
    assert found["governs"] == "bending"
    assert "no limit from it" in printed(*ONE, "--live", "0")


def test_metric_input_is_the_same_joist() -> None:
    inches = answer(*CONTRACT)
    metric = answer(
        *("--size", "38.1 x 184.15 mm", "--species", "douglas-fir-larch", "--grade", "No.2"),
        *("--spacing", "406.4 mm", "--live", "1.91521 kPa", "--dead", "0.4788 kPa", "--units", "mm"),
    )
    assert metric["span_in"] == inches["span_in"]
    assert metric["unrounded_in"] == pytest.approx(inches["unrounded_in"], rel=1e-4)
    assert metric["inputs"]["sizes"] == "measured"


def test_millimetres_never_lengthen_the_span() -> None:
    found = answer(*CONTRACT)
    assert found["span_mm"] == math.floor(153 * 25.4)
    text = printed(*CONTRACT, "--units", "mm")
    assert text.splitlines()[0] == "Allowable clear span: 3886 mm (12 ft 9 in)"
    assert "every 406.4 mm" in text
    assert answer(*CONTRACT, "--units", "mm")["span_in"] == 153.0


def test_a_size_that_is_no_name_was_measured() -> None:
    old = answer("--size", "1 5/8 x 7 1/2", "--species", "hem-fir", "--grade", "2")
    assert (old["inputs"]["thickness_in"], old["inputs"]["depth_in"]) == (1.625, 7.5)
    assert any("was measured" in note for note in old["assumptions"])
    full = answer("--size", "2x8", "--sizes", "true-dimension", "--species", "hem-fir", "--grade", "2")
    assert (full["inputs"]["thickness_in"], full["inputs"]["depth_in"]) == (2, 8)
    assert full["span_in"] > old["span_in"]


def test_wet_wood_spans_less() -> None:
    fir = ("--size", "2x8", "--species", "hem-fir", "--grade", "Select Structural")
    assert answer(*fir, "--wet")["unrounded_in"] < answer(*fir)["unrounded_in"]
    assert any("wet in service" in note for note in answer(*fir, "--wet")["assumptions"])


@settings(max_examples=30, deadline=None)
@given(
    spacing=st.floats(8, 24),
    wider=st.floats(0, 8),
    live=st.floats(20, 80),
    more=st.floats(0, 40),
    stiffer=st.integers(0, 360),
)
def test_more_of_anything_never_lengthens_a_span(
    spacing: float, wider: float, live: float, more: float, stiffer: int
) -> None:
    def span_of(spacing: float, live: float, deflection: int) -> float:
        loads = ("--spacing", f"{spacing:.3f}", "--live", f"{live:.2f}", "--deflection", str(deflection))
        return float(answer(*ONE, *loads)["unrounded_in"])

    # The factor for joists that share load ends at 24 in, so a wider spacing is weaker there as well.
    assert span_of(spacing + wider, live + more, 360 + stiffer) <= span_of(spacing, live, 360) + 1e-9


def test_text_reads_like_a_tape_and_fits_a_terminal() -> None:
    text = printed(*CONTRACT, "--show-working")
    lines = text.splitlines()
    assert lines[0] == "Allowable clear span: 12 ft 9 in"
    assert max(map(len, lines)) <= 80
    flat = " ".join(text.split())
    assert "By bending: 153.30 in governs" in flat
    assert "L bending = √(8 Fb' S/w) = √(8 × 1242 × 13.14/5.556) = 153.3 in [NDS 3.3]" in flat
    for said in ("nearest inch", "simple spans", "notches, holes", "Local code and licensed practice"):
        assert said in flat
    assert "Working" not in printed(*CONTRACT)


@pytest.mark.parametrize("species", species_names())
def test_every_species_and_grade_of_the_data_answers(species: str) -> None:
    for grade in grades(species):
        cells = list(csv.DictReader(io.StringIO(printed(
            "--table", "--species", species, "--grade", grade, "--size", "2x4", "--size", "2x8", "--size", "6x8",
            "--format", "csv",
        ))))  # fmt: skip
        assert len(cells) == 12
        assert any(cell["span_in"] for cell in cells)


# --- tables ---------------------------------------------------------------------------------------------------------


def test_table_has_every_row_and_column_once() -> None:
    cells = answer("--table")["cells"]
    assert len(cells) == 4 * 4 * 4 * 4
    assert len({(c["species"], c["grade"], c["size"], c["spacing_in"]) for c in cells}) == len(cells)
    twice = answer("--table", "--grade", "No.2", "--grade", "#2", "--size", "2x8", "--species", "DF-L")["cells"]
    assert len(twice) == 4


def test_table_in_three_formats_says_the_same() -> None:
    asked = ("--table", "--size", "2x8", "--spacing", "16", "--dead", "20")
    data = answer(*asked)["cells"]
    rows = list(csv.DictReader(io.StringIO(printed(*asked, "--format", "csv"))))
    assert [(c["species"], c["grade"], c["span_in"]) for c in data] == [
        (row["species"], row["grade"], float(row["span_in"])) for row in rows
    ]
    text = printed(*asked)
    for cell in data:
        feet, inches = divmod(int(cell["span_in"]), 12)
        assert f"{feet}'{inches:>2}\"" in text


def test_table_fits_a_page() -> None:
    long_names = ("--table", "--grade", "Non-Dense Select Structural", "--species", "southern-pine")
    for asked in (("--table",), ("--table", "--units", "mm"), long_names):
        lines = printed(*asked).splitlines()
        assert max(map(len, lines)) <= 98
        assert not [line for line in lines if line != line.rstrip()]


def test_table_marks_what_governs_what_is_recalled_and_what_is_not_there() -> None:
    text = printed("--table", "--species", "DF-L", "--grade", "Construction", "--size", "2x4", "--size", "2x8",
                   "--spacing", "16")  # fmt: skip
    row = next(line for line in text.splitlines() if line.startswith("  Construction"))
    assert row.split()[-1] == "-"
    assert "- no design values for this size" in text
    assert "b bending governs" in text
    recalled = answer("--table", "--species", "spruce-pine-fir", "--grade", "SS", "--size", "2x8")
    assert recalled["basis"]["status"] == "from memory"
    assert "* design values or factors from memory" in printed("--table", "--species", "SPF", "--grade", "SS")
    empty = list(csv.DictReader(io.StringIO(printed("--table", "--species", "DF-L", "--grade", "Construction",
                                                    "--size", "2x8", "--format", "csv"))))  # fmt: skip
    assert {cell["span_in"] for cell in empty} == {""}


def test_table_says_what_it_is_for() -> None:
    flat = " ".join(printed("--table").split())
    for said in ("nearest inch", "simple spans", "graded lumber", "notches, holes", "bearing", "Local code"):
        assert said in flat


def test_many_spacings_are_broken_into_grids() -> None:
    spacings = [part for n in range(12, 25) for part in ("--spacing", str(n))]
    text = printed("--table", "--size", "2x8", "--species", "DF-L", "--grade", "No.2", *spacings)
    assert text.count("joists every, in") == 2
    assert max(map(len, text.splitlines())) <= 98


# --- what is refused ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--size", "2x8", "--species", "dougfir", "--grade", "No.2"), "did you mean douglas-fir-larch"),
        (("--size", "2x8", "--species", "hem-fir", "--grade", "No.7"), "did you mean No."),
        (("--table", "--species", "hemfur"), "did you mean hem-fir"),
        (("--table", "--grade", "Selekt Structural"), "did you mean Select Structural"),
        (("--size", "2x7", "--species", "hem-fir", "--grade", "No.2"), "no nominal size 2x7"),
        (("--size", "1x8", "--species", "hem-fir", "--grade", "No.2"), "boards have no design values"),
        (("--size", "2 by", "--species", "hem-fir", "--grade", "No.2"), "--size"),
        (("--size", "(2) 2x8", "--species", "hem-fir", "--grade", "No.2"), "one ply"),
        (("--size", "~2x8", "--species", "hem-fir", "--grade", "No.2"), "no guess"),
        ((*ONE, "--spacing", "15 .. 17"), "no range"),
        ((*ONE, "--spacing", "unknown"), "one number"),
        ((*ONE, "--spacing", "400"), "write 400 mm"),
        ((*ONE, "--spacing", "-16"), "spacing must be a number above zero"),
        ((*ONE, "--spacing", "0"), "spacing must be a number above zero"),
        ((*ONE, "--live", "1.9"), "write 1.9 kPa"),
        ((*ONE, "--live", "-40"), "live load must be zero or more"),
        ((*ONE, "--live", "0", "--dead", "0"), "total load"),
        ((*ONE, "--live", "16 in"), "--live"),
        ((*ONE, "--deflection", "nan"), "L/360"),
        ((*ONE, "--deflection", "0"), "L/360"),
        (("--size", "2x8", "--species", "hem-fir"), "missing --grade"),
        ((), "missing --size"),
        ((*ONE, "--size", "2x10"), "--table takes several"),
        (("--table", "--show-working"), "not with --table"),
    ],
)
def test_refusals_say_what_to_write(arguments: tuple[str, ...], said: str, refused: Callable[..., str]) -> None:
    assert said in refused(*arguments)


def test_a_unit_makes_a_small_load_meant() -> None:
    assert answer(*ONE, "--live", "1.9 psf")["inputs"]["live_psf"] == pytest.approx(1.9)
    assert answer(*ONE, "--spacing", "8' 4\"")["inputs"]["spacing_in"] == 100
