"""Putting shards together: doubled sites, lines that are cut short, other thresholds than the shards had."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., subprocess.CompletedProcess[bytes]]


@pytest.fixture
def shard(gate: Run, sites: Callable[..., Path], tmp_path: Path) -> Path:
    sites(a={"name": "Good"}, b={"name": "Short", "bearing": "1"})
    gate("floors", "--format", "json-lines", "-o", "s.jsonl", "--unmeasured", "allow")
    return tmp_path / "s.jsonl"


def test_a_site_that_stands_in_two_shards_counts_once_and_is_told(gate: Run, shard: Path) -> None:
    (shard.parent / "t.jsonl").write_bytes(shard.read_bytes().splitlines(keepends=True)[1])
    done = gate("--merge", "s.jsonl", "t.jsonl", "--format", "json-lines", "--unmeasured", "allow")
    assert done.stdout == shard.read_bytes()
    assert b"floors/b.site.yaml stands in s.jsonl and in t.jsonl" in done.stderr


def test_shards_that_disagree_are_no_pass(gate: Run, shard: Path) -> None:
    good, short = map(json.loads, shard.read_bytes().splitlines())
    short["document"] = good["document"] | {"site": short["document"]["site"]}
    other = short | {"exit_code": 0, "open": 0}
    (shard.parent / "t.jsonl").write_text(json.dumps(other) + "\n", "utf-8")
    done = gate("--merge", "s.jsonl", "t.jsonl", "--unmeasured", "allow")
    assert done.returncode == 2
    assert b"different results for this file in s.jsonl and t.jsonl" in b" ".join(done.stdout.split())


@pytest.mark.parametrize("cut", [1, 100, 5_000])
def test_a_shard_that_is_cut_short_is_refused(gate: Run, shard: Path, cut: int) -> None:
    shard.write_bytes(shard.read_bytes()[:-cut])
    done = gate("--merge", "s.jsonl")
    assert (done.returncode, done.stdout) == ((2, b"") if cut > 1 else (1, done.stdout))
    assert (b"s.jsonl:2" in done.stderr) == (cut > 1)


@pytest.mark.parametrize("text", ["{}\n", "[1]\n", "words\n", '{"file":3}\n', "\xff\n"])
def test_other_files_are_refused(gate: Run, tmp_path: Path, text: str) -> None:
    (tmp_path / "x").write_bytes(text.encode("latin-1"))
    done = gate("--merge", "x")
    assert done.returncode == 2
    assert b"no line of inspect-core gate" in done.stderr


def test_a_line_that_is_wrong_inside_fails_loudly(gate: Run, tmp_path: Path) -> None:
    (tmp_path / "x").write_text('{"file":"a", "nonsense": }\n', "utf-8")
    assert gate("--merge", "x").returncode == 2


def test_lines_in_another_order_and_style_are_ours_too(gate: Run, shard: Path) -> None:
    lines = [json.loads(line) for line in shard.read_bytes().splitlines()]
    (shard.parent / "t.jsonl").write_text("\n".join(json.dumps(line, sort_keys=True) for line in reversed(lines)))
    done = gate("--merge", "t.jsonl", "--unmeasured", "allow", "--format", "json-lines")
    merged: list[Any] = [json.loads(line) for line in done.stdout.splitlines()]
    assert merged == lines


def test_a_merge_judges_by_what_it_is_asked(gate: Run, shard: Path) -> None:
    def code(*options: str) -> int:
        return gate("--merge", "s.jsonl", *options).returncode

    assert code("--unmeasured", "allow") == 1
    assert code("--unmeasured", "allow", "--fail-on", "stop-work") == 0
    assert code("--unmeasured", "allow", "--hold-point", "tile") == 0
    assert b"2 held" in gate("--merge", "s.jsonl").stdout


def test_an_empty_shard_adds_nothing(gate: Run, shard: Path) -> None:
    (shard.parent / "empty.jsonl").write_text("", "utf-8")
    options = ("--unmeasured", "allow", "--format", "json-lines")
    assert gate("--merge", "empty.jsonl", "s.jsonl", *options).stdout == shard.read_bytes()
