"""The command `takeoff`: what it prints, which options it takes, how it ends."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[bytes]]
SITE = """\
format: 1
units: in
site: {name: Bed, work: existing, invented: true}
areas:
  - {id: one, outline: 60 x 40, joists: [], layers: [{id: B, kind: mortar-bed, thickness: 1 1/4, work: new}]}
  - {id: two, outline: 60 x 40, joists: [], layers: [{id: C, kind: felt, material: felt, work: new}]}
"""


@pytest.fixture
def bed(tmp_path: Path) -> str:
    (tmp_path / "bed.site.yaml").write_text(SITE, "utf-8")
    (tmp_path / "prices.csv").write_text("code,price\nmortar-bed,8.50\n", "utf-8")
    return "bed.site.yaml"


def test_text_csv_and_json(run: Run, bed: str) -> None:
    text = run("takeoff", bed)
    assert text.returncode == 0
    assert b"4 bags of 60 lb: B: mortar bed" in text.stdout  # 3000 cubic inches and a tenth; a bag is 864
    assert b"C: felt in two: how far its sheets lap is not known" in b" ".join(text.stdout.split())
    assert run("takeoff", bed, "--format", "csv").stdout.startswith(b"area,group,code,name,buy,unit,need")
    data = json.loads(run("takeoff", bed, "--format", "json").stdout)
    assert data["format"] == 1
    assert [(item["code"], item["buy"]) for item in data["items"]] == [("mortar-bed", 4)]
    assert data["not_counted"][0]["location"]["line"] == 6


def test_prices(run: Run, bed: str) -> None:
    priced = run("takeoff", bed, "--prices", "prices.csv")
    assert b"4 at 8.50 = 34.00" in priced.stdout
    assert b"Total 34.00, incomplete: 1 thing not counted yet" in priced.stdout


def test_a_price_file_that_can_t_be_used_ends_with_2(run: Run, bed: str, tmp_path: Path) -> None:
    (tmp_path / "prices.csv").write_text("code,price\nmortar-bed,much\n", "utf-8")
    done = run("takeoff", bed, "--prices", "prices.csv")
    assert done.returncode == 2
    assert b"prices.csv:2:12: 'much' is no price" in done.stderr
    assert done.stdout == b""


def test_one_area(run: Run, bed: str) -> None:
    assert b"mortar bed" not in run("takeoff", bed, "--area", "two").stdout
    wrong = run("takeoff", bed, "--area", "three")
    assert wrong.returncode == 2
    assert b"no area 'three'; one of one, two" in wrong.stderr


def test_output_goes_to_a_file(run: Run, bed: str, tmp_path: Path) -> None:
    assert run("takeoff", bed, "--format", "csv", "-o", "list.csv").stdout == b""
    assert (tmp_path / "list.csv").read_bytes() == run("takeoff", bed, "--format", "csv").stdout


def test_a_site_that_is_wrong_ends_with_2(run: Run, tmp_path: Path) -> None:
    (tmp_path / "bad.site.yaml").write_text(
        "format: 1\nunits: in\nsite: {name: x, nmae: y}\nareas: [{id: a}]\n", "utf-8"
    )
    assert run("takeoff", "bad.site.yaml").returncode == 2


def test_a_pack_that_fails_ends_with_3(run: Run, bed: str, installed: Callable[[str], Path]) -> None:
    done = run("takeoff", bed, path=installed("raise RuntimeError('no')"))
    assert done.returncode == 3
    assert b"pack failed" in done.stderr
    assert b"mortar bed" in done.stdout
