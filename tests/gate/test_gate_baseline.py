"""New, unchanged and gone against an earlier run; old findings that do not block; nothing graver passes as old."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine.portfolio.baseline import compare

Run = Callable[..., subprocess.CompletedProcess[bytes]]


def one(name: str, outcome: str = "falls-short", severity: str = "correction", **more: Any) -> dict[str, Any]:
    return {"rule": "r", "subject": name, "fingerprint": name, "outcome": outcome, "severity": severity, **more}


def marks(now: list[dict[str, Any]], before: list[dict[str, Any]]) -> tuple[list[str | None], list[str]]:
    document: dict[str, Any] = {"findings": now}
    compare(document, before)
    return [finding.get("baseline") for finding in now], [gone["subject"] for gone in document["gone"]]


@pytest.mark.parametrize(
    ("now", "before", "mark"),
    [
        (one("a"), one("a"), "unchanged"),
        (one("a"), one("b"), "new"),
        (one("a"), one("a", "meets"), "new"),
        (one("a"), one("a", "not-measured"), "new"),  # now it is known to fall short
        (one("a", "not-measured"), one("a"), "unchanged"),
        (one("a", severity="stop-work"), one("a"), "new"),
        (one("a", severity="advisory"), one("a"), "unchanged"),
        (one("a", "not-measured", "stop-work"), one("a", "falls-short", "correction"), "new"),
        (one("a"), one("a", varied={"by": "somebody"}), "new"),  # the variance has ended
        (one("a", varied={"by": "somebody"}), one("a"), "unchanged"),
        (one("a", "meets"), one("a"), None),
    ],
)
def test_what_counts_as_known(now: dict[str, Any], before: dict[str, Any], mark: str | None) -> None:
    assert marks([now], [before])[0] == [mark]


def test_of_two_alike_only_as_many_are_known_as_there_were() -> None:
    assert marks([one("a"), one("a")], [one("a")]) == (["unchanged", "new"], [])
    assert marks([one("a")], [one("a"), one("a")]) == (["unchanged"], ["a"])


def test_what_is_gone() -> None:
    before = [one("a"), one("b"), one("c", "meets"), one("d", "not-measured")]
    assert marks([one("a", "meets"), one("b")], before) == ([None, "unchanged"], ["a", "d"])


def test_only_new_findings_block(gate: Run, sites: Callable[..., Path]) -> None:
    sites(a={"name": "Good"}, b={"name": "Short", "bearing": "1"})
    gate("floors", "--format", "json-lines", "-o", "before.jsonl")
    only_new = ("floors", "--baseline", "before.jsonl", "--only-new")
    assert gate("floors").returncode == 1
    assert gate(*only_new).returncode == 0
    folder = sites(a={"name": "Good", "bearing": "1"}, c={"name": "A third"})
    after = gate(*only_new, "--unmeasured", "allow", "--format", "json-lines")
    assert after.returncode == 1
    found = [json.loads(line) for line in after.stdout.splitlines()]
    assert [(line["file"], line["exit_code"], line["open"]) for line in found] == [
        ("floors/a.site.yaml", 1, 1),  # it was good
        ("floors/b.site.yaml", 0, 0),  # it was as bad before
        ("floors/c.site.yaml", 0, 0),  # it wasn't there: all of it is new
    ]
    assert {one["baseline"] for one in found[2]["document"]["findings"] if "baseline" in one} == {"new"}
    text = gate(*only_new).stdout.decode("utf-8")
    assert "Against the baseline: " in text
    (folder / "a.site.yaml").unlink()
    assert gate(*only_new).returncode == 1  # what c has is still new


def test_a_site_that_could_not_be_used_before_has_only_new_findings(gate: Run, sites: Callable[..., Path]) -> None:
    sites(a="format: [")
    gate("floors", "--format", "json-lines", "-o", "before.jsonl")
    sites(a={"name": "Mended"})
    line = json.loads(gate("floors", "--baseline", "before.jsonl", "--format", "json-lines").stdout)
    assert {one["baseline"] for one in line["document"]["findings"] if "baseline" in one} == {"new"}
    assert line["document"]["gone"] == []


def test_shards_and_merge_compare_like_one_run(gate: Run, sites: Callable[..., Path]) -> None:
    sites(a={"name": "Good"}, b={"name": "Short", "bearing": "1"})
    gate("floors", "--format", "json-lines", "-o", "before.jsonl")
    sites(a={"name": "Good", "bearing": "1"})
    baseline = ("--baseline", "before.jsonl", "--only-new", "--format", "json-lines")
    for number in (1, 2):
        gate("floors", "--shard", f"{number}/2", *baseline, "-o", f"s{number}.jsonl")
    merged = gate("--merge", "s1.jsonl", "s2.jsonl", *baseline)
    assert merged.stdout == gate("floors", *baseline).stdout
