"""`explain --provisions` as programs and people see it."""

from __future__ import annotations

import csv
import json
import subprocess
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

Run = Callable[..., subprocess.CompletedProcess[bytes]]


def test_as_json_one_entry_for_each_row_in_the_lists_order(run: Run) -> None:
    done = run("explain", "--provisions", "--format", "json")
    assert (done.returncode, done.stderr) == (0, b"")
    listed = json.loads(done.stdout)
    with files("inspect_wood_floor").joinpath("data", "provisions.csv").open(encoding="utf-8", newline="") as file:
        ids = [row["id"] for row in csv.DictReader(file)]
    assert [row["provision"] for row in listed] == ids
    assert len(ids) == 481
    for row in listed:
        assert isinstance(row["rules"], list)
        assert isinstance(row["data"], str)
        assert isinstance(row["reason"], str)
    known = {row["rule"] for row in json.loads(run("explain", "--format", "json").stdout)}
    assert {rule for row in listed for rule in row["rules"]} <= known


def test_as_text_in_80_columns_with_counts(run: Run) -> None:
    text = run("explain", "--provisions").stdout.decode()
    assert max(map(len, text.splitlines())) <= 80
    head, _, rest = text.partition("\n\n")
    assert head.splitlines()[0].split() == ["topic", "rows", "by", "a", "rule", "by", "data", "neither"]
    assert head.splitlines()[-1].split()[:2] == ["all", "481"]
    assert "permit-expire: " in rest


def test_a_strangers_pack_adds_no_rows_of_its_own(run: Run, tiny: Path) -> None:
    listed = json.loads(run("explain", "--provisions", "--pack", "tiny-pack", "--format", "json", path=tiny).stdout)
    assert len(listed) == 481


def test_one_rule_or_all_provisions(run: Run) -> None:
    done = run("explain", "joist-bearing", "--provisions")
    assert done.returncode == 2
    assert b"--provisions lists all" in done.stderr
