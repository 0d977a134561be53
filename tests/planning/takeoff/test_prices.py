"""Price files: what they give, and what is told about those that can't be used."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.planning.takeoff import TakeOff
from inspect_core.planning.takeoff.prices import Prices, costs, near_codes, read_prices, total_of
from inspect_core.site import InputError

TakeOffOf = Callable[..., TakeOff]
LINES = ("outline: 112 x 94", "joists: []", "layers: [{id: B, kind: mortar-bed, thickness: 1 1/4, work: new}]",
         "footings: [{id: F1, width: 20, thickness: 8, material: concrete, work: new}]")  # fmt: skip


def wrong(path: Path) -> InputError:
    with pytest.raises(InputError) as caught:
        read_prices(path)
    return caught.value


def test_yaml_and_csv_say_the_same(tmp_path: Path) -> None:
    yaml, table = tmp_path / "p.yaml", tmp_path / "p.csv"
    yaml.write_text("format: 1\ncurrency: USD\nprices:\n  mortar-bed: 9.25\n  concrete-mix: 6\n", "utf-8")
    table.write_text('name,code,price\r\n"bed, thick",mortar-bed,9.25\r\n\r\n,concrete-mix,6\r\n', "utf-8")
    assert read_prices(yaml).by_code == read_prices(table).by_code == {"mortar-bed": 9.25, "concrete-mix": 6.0}
    assert read_prices(yaml).currency == "USD"


def test_costs_are_exact_to_the_cent(of: TakeOffOf) -> None:
    found = of(*LINES)
    bags = {item.code: item.buy for item in found.items}
    priced = costs(found.items, Prices("p", {"mortar-bed": 0.1, "concrete-mix": 6.35}))
    assert {c.item.code: c.total for c in priced} == {
        "mortar-bed": pytest.approx(bags["mortar-bed"] / 10, abs=1e-9),
        "concrete-mix": pytest.approx(6.35 * bags["concrete-mix"], abs=1e-9),
    }
    assert total_of(priced) == pytest.approx(bags["mortar-bed"] / 10 + 6.35 * bags["concrete-mix"], abs=1e-9)


def test_a_missing_price_is_none_and_a_slip_is_told(of: TakeOffOf) -> None:
    found = of(*LINES)
    prices = Prices("p", {"mortar-bed": 9.25, "concrete-mx": 6})
    by_code = {cost.item.code: cost.total for cost in costs(found.items, prices)}
    assert by_code["concrete-mix"] is None
    assert near_codes("concrete-mix", prices) == "concrete-mx"
    assert near_codes("tile", prices) == ""


@pytest.mark.parametrize(
    ("text", "line", "column", "word"),
    [
        ("format: 1\nprices:\n  grout: twelve\n", 3, 10, "'twelve' is no price"),
        ("format: 1\nprices:\n  grout: -3\n", 3, 10, "-3 is no price"),
        ("format: 1\nprices:\n  grout: true\n", 3, 10, "True is no price"),
        ("format: 1\nprices:\n  grout:\n", 3, 3, "nothing is no price"),
        ("format: 1\nprices:\n  grout: .inf\n", 3, 10, ".inf"),
        ("format: 2\nprices: {}\n", 1, 9, "format"),
        ("prices: {grout: 3}\n", 1, 1, "format"),
        ("format: 1\n", 1, 1, "no prices are listed"),
        ("format: 1\nprices: {}\nprice: {}\n", 3, 1, "no key 'price'"),
        ("format: 1\ncurrency: [1]\nprices: {}\n", 2, 11, "currency"),
        ("- 1\n", 1, 1, "mapping"),
        ("format: 1\nprices: {grout: 1, grout: 2}\n", 2, 20, "grout"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_yaml_file_has_its_place(
    tmp_path: Path, text: str, line: int, column: int, word: str
) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(text, "utf-8")
    problem = wrong(path).problems[0]
    assert word in problem.message
    assert problem.line == line
    assert problem.column == column or word == "nothing is no price"


@pytest.mark.parametrize(
    ("text", "line", "column", "word"),
    [
        ("code,price\ngrout,twelve\n", 2, 7, "'twelve' is no price"),
        ("code,price\ngrout,$12\n", 2, 7, "is no price"),
        ("code,price\ngrout,1e3\n", 2, 7, "is no price"),
        ("code,price\ngrout,\n", 2, 7, "is no price"),
        ("name,code,price\nx,grout,1.2.3\n", 2, 9, "is no price"),
        ("code,price\ngrout\n", 2, 1, "too few columns"),
        ("code,price\n,4\n", 2, 1, "code is missing"),
        ("code,price\ngrout,4\ntile,1\ngrout,5\n", 4, 1, "listed twice"),
        ("item,cost\ngrout,4\n", 1, 1, "names the columns"),
        ("", 1, 1, "names the columns"),
        ('code,price\n"grout,4\n', 2, 1, "can't be read"),
    ],
)
def test_what_is_wrong_with_a_csv_file_has_its_place(
    tmp_path: Path, text: str, line: int, column: int, word: str
) -> None:
    path = tmp_path / "p.csv"
    path.write_text(text, "utf-8")
    problem = wrong(path).problems[0]
    assert word in problem.message
    assert (problem.line, problem.column) == (line, column)


def test_files_that_can_t_be_read_are_told(tmp_path: Path) -> None:
    assert "can't be read" in wrong(tmp_path / "none.csv").problems[0].message
    (tmp_path / "b.csv").write_bytes(b"code,price\n\xff\xfe,1\n")
    assert "UTF-8" in wrong(tmp_path / "b.csv").problems[0].message
    assert wrong(tmp_path / "none.yaml").problems[0].file.endswith("none.yaml")
