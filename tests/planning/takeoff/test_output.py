"""The take-off as text, CSV and JSON: 80 columns, no formulas, the same bytes each time; golden texts of one site."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.planning.takeoff import TakeOff, take_off
from inspect_core.planning.takeoff.prices import read_prices
from inspect_core.report.takeoff import Priced, takeoff_text
from inspect_core.report.takeoff_data import COLUMNS, takeoff_csv, takeoff_data
from inspect_core.rules_api import Caution, Limits
from inspect_core.site import load_site, site_from_text

GOLDEN = Path(__file__).with_name("golden")
CARE = {"floor-hole": Caution("floor-hole", "Mind the hole."), "tile-dust": Caution("tile-dust", "Mind the dust.")}
TakeOffOf = Callable[..., TakeOff]


@pytest.fixture(scope="module")
def priced(limits: Limits) -> Priced:
    site = load_site(GOLDEN / "net-loft.site.yaml")
    prices = read_prices(GOLDEN / "prices.yaml")
    return Priced(site, take_off(site, limits), prices, CARE)


@pytest.mark.parametrize(("name", "write"), [("net-loft.txt", takeoff_text), ("net-loft.csv", takeoff_csv)])
def test_golden(priced: Priced, name: str, write: Callable[[Priced], str]) -> None:
    path = GOLDEN / name
    if os.environ.get("UPDATE_GOLDEN"):
        path.write_bytes(write(priced).encode())
    assert write(priced).encode() == path.read_bytes()


def test_everything_fits_80_columns_and_no_line_trails(priced: Priced) -> None:
    lines = takeoff_text(priced).split("\n")
    assert max(map(len, lines)) <= 80
    assert all(line == line.rstrip() for line in lines)


def test_the_total_says_that_it_is_incomplete(priced: Priced) -> None:
    text = takeoff_text(priced)
    assert "USD, incomplete:" in text
    assert "no price for grout (the price file has groute)" in text
    data = takeoff_data(priced)["total"]
    assert not data["complete"]
    assert "grout" in data["without_price"]
    assert data["value"] == pytest.approx(sum(i["price_total"] or 0 for i in takeoff_data(priced)["items"]))


def test_without_prices_there_is_no_total(priced: Priced) -> None:
    bare = Priced(priced.site, priced.found, None, {})
    assert takeoff_data(bare)["total"] is None
    assert "Total" not in takeoff_text(bare)


def test_json_holds_the_same_lines_as_csv_and_reads_back(priced: Priced) -> None:
    data = json.loads(json.dumps(takeoff_data(priced), allow_nan=False))
    rows = list(csv.DictReader(io.StringIO(takeoff_csv(priced), newline="")))
    bought = [row for row in rows if row["buy"]]
    assert [(row["code"], int(row["buy"])) for row in bought] == [(i["code"], i["buy"]) for i in data["items"]]
    assert [row["name"] for row in rows if not row["buy"]] == [one["name"] for one in data["not_counted"]]
    assert all(one["location"]["line"] > 0 for one in data["not_counted"])
    assert {layout["layer"] for layout in data["layouts"]} == {"L1"}


def test_the_same_site_gives_the_same_bytes(limits: Limits, priced: Priced) -> None:
    again = Priced(priced.site, take_off(load_site(GOLDEN / "net-loft.site.yaml"), limits), priced.prices, CARE)
    assert json.dumps(takeoff_data(again)) == json.dumps(takeoff_data(priced))


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_no_cell_is_a_formula(limits: Limits, start: str) -> None:
    names = [f'"{start}HYPERLINK({n})\\u202e, \\"x\\""' for n in range(5)]
    text = f"""\
format: 1
units: in
site: {{name: x, work: new}}
areas:
  - id: {names[0]}
    outline: 112 x 94
    joists: [{{name: {names[1]}, at: [16], from: S1, to: S2}}]
    supports: [{{id: S1, line: sill, at: -4, width: 4}}, {{id: S2, line: sill, at: 94, width: 4}}]
    layers:
      - {{id: {names[2]}, kind: felt, material: {names[0]}, laps: 2}}
      - {{id: {names[3]}, kind: tile, material: {names[0]}, tile_size: 12 x 12}}
      - {{id: {names[4]}, kind: panel, attached_to: joists}}
"""
    site = site_from_text(text, "x")
    priced = Priced(site, take_off(site, limits), None, {})
    rows = list(csv.reader(io.StringIO(takeoff_csv(priced), newline="")))
    assert len(rows) > 4
    assert rows[0] == list(COLUMNS)
    for row in rows:
        assert len(row) == len(COLUMNS)
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row)
        assert not any("\n" in cell or "\r" in cell for cell in row)
    shown = takeoff_text(priced)
    assert "\u202e" not in shown
    assert max(map(len, shown.split("\n"))) <= 80


def test_nothing_to_buy_is_said(of: TakeOffOf) -> None:
    found = of("outline: 112 x 94", "joists: []", "layers: []")
    site = site_from_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n", "x")
    assert "Nothing to buy" in takeoff_text(Priced(site, found, None, {}))


def test_an_area_is_named_where_there_are_several(limits: Limits) -> None:
    area = "{id: %s, outline: 112 x 94, joists: [], layers: [{id: B, kind: mortar-bed, thickness: 1, work: new}, {id: P, kind: panel, work: new}]}"
    text = f"format: 1\nunits: in\nsite: {{name: x}}\nareas: [{area % 'one'}, {area % 'two'}]\n"
    site = site_from_text(text, "x")
    shown = takeoff_text(Priced(site, take_off(site, limits), None, {}))
    assert "To buy for one" in shown and "To buy for two" in shown
    assert "P in two: the joists under it" in " ".join(shown.split())
    alone = take_off(site, limits, "two")
    assert alone.areas == ("two",)
    assert {item.area for item in alone.items} == {"two"}
