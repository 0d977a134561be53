"""Variances: what they release and what they don't, how entries that do nothing are told, and errors in their file."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from inspect_core.engine import inspect, load_packs
from inspect_core.engine.variances import MOST_COVERED, read_variances, schema_text, with_variances
from inspect_core.rules_api import FALLS_SHORT, STOP_WORK
from inspect_core.site import load_site

Run = Callable[..., subprocess.CompletedProcess[bytes]]

GRANTED = {
    "rule": "joist-bearing",
    "subject": "joist J2, south end on S1",
    "site": "floors/b.site.yaml",
    "reason": "shown sound",
    "granted_by": "A. Moss, county official",
    "paper": "letter 26-118",
    "until": "2026-12-31",
}
OPTIONS = ("--unmeasured", "allow", "--hold-point", "under-floor")


@pytest.fixture
def grant(tmp_path: Path) -> Callable[..., Path]:
    """Writes a variances file: each entry is the one above with these changes; ``None`` takes a key out."""

    def write(*changes: dict[str, Any], file: str = "variances.yaml") -> Path:
        entries = [{k: v for k, v in (GRANTED | change).items() if v is not None} for change in changes]
        path = tmp_path / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps({"format": 1, "variances": entries}, indent=1), "utf-8")
        return path

    return write


@pytest.fixture
def checked(gate: Run, sites: Callable[..., Path]) -> Callable[..., dict[str, Any]]:
    """The line of a floor whose joist J2 bears too little, with these options."""

    def start(*options: str, today: str = "2026-06-01") -> dict[str, Any]:
        sites(b={"name": "Short", "bearing": "1"})
        done = gate("floors", *OPTIONS, "--today", today, "--format", "json-lines", *options)
        line: dict[str, Any] = json.loads(done.stdout)
        assert line["exit_code"] == done.returncode
        return line

    return start


def short(line: dict[str, Any]) -> dict[str, Any]:
    """The finding that joist J2 bears too little."""
    (found,) = (
        one
        for one in line["document"]["findings"]
        if (one["rule"], one["subject"]) == (GRANTED["rule"], GRANTED["subject"])
    )
    return found


def test_without_a_variance_the_finding_blocks(checked: Callable[..., dict[str, Any]]) -> None:
    line = checked()
    assert (line["exit_code"], line["open"], short(line)["blocks"]) == (1, 1, True)
    assert "variances" not in line["document"]


def test_a_varied_finding_keeps_its_outcome_and_does_not_block(
    grant: Callable[..., Path], checked: Callable[..., dict[str, Any]]
) -> None:
    grant({})
    before, line = checked(), checked("--variances", "variances.yaml")
    finding = short(line)
    assert (line["exit_code"], line["open"]) == (0, 0)
    assert (finding["outcome"], finding["severity"], finding["blocks"]) == ("falls-short", "correction", False)
    assert finding["varied"] == {
        "by": "A. Moss, county official",
        "reason": "shown sound",
        "paper": "letter 26-118",
        "until": "2026-12-31",
    }
    assert line["document"]["summary"] == before["document"]["summary"] | {"varied": 1}
    (notice,) = line["document"]["variances"]
    assert (notice["state"], notice["today"], notice["line"]) == ("used", "2026-06-01", 4)
    assert line["document"]["hold_points"]["under-floor"]["open"] == 0


@pytest.mark.parametrize(
    ("change", "state", "says"),
    [
        ({"until": "2026-05-31"}, "expired", "until 2026-05-31"),
        ({"subject": None}, "over-broad", "it names no subject"),
        ({"subject": "*"}, "over-broad", "its subject is a pattern"),
        ({"subject": "joist J?, south end on S1"}, "over-broad", "its subject is a pattern"),
        ({"rule": "*"}, "over-broad", "its rule is a pattern"),
        ({"site": None}, "over-broad", "it names no site"),
        ({"site": "floors/*.site.yaml"}, "over-broad", "its site is a pattern"),
        ({"subject": "joist J9, south end on S1"}, "unused", "and subject; did you mean joist J4, south end on S1?"),
        ({"rule": "joist-baring"}, "unused", "and subject; did you mean joist-bearing?"),
        ({"rule": "xxxxxx"}, "unused", "this site has no finding of this rule and subject"),
        ({"subject": "joist J1, south end on S1"}, "unused", "nothing falls short there"),
        ({"rule": "rule-failed"}, "unused", "a rule that failed can't be varied"),
    ],
)
def test_an_entry_that_releases_nothing_is_told(
    grant: Callable[..., Path],
    checked: Callable[..., dict[str, Any]],
    change: dict[str, Any],
    state: str,
    says: str,
) -> None:
    grant(change)
    line = checked("--variances", "variances.yaml")
    (notice,) = line["document"]["variances"]
    assert (notice["state"], line["exit_code"]) == (state, 1)
    assert says in notice["message"]
    assert "varied" not in short(line)


def test_the_last_day_still_counts(grant: Callable[..., Path], checked: Callable[..., dict[str, Any]]) -> None:
    grant({"until": "2026-06-01"})
    assert checked("--variances", "variances.yaml", today="2026-06-01")["exit_code"] == 0
    assert checked("--variances", "variances.yaml", today="2026-06-02")["exit_code"] == 1


def test_what_is_not_measured_cannot_be_granted(
    grant: Callable[..., Path], gate: Run, sites: Callable[..., Path]
) -> None:
    """Taking a measurement away never releases anything."""
    sites(b={"name": "Short", "bearing": "unknown"})
    grant({})
    done = gate("floors", "--variances", "variances.yaml", "--today", "2026-06-01", "--format", "json-lines")
    line = json.loads(done.stdout)
    assert short(line)["blocks"]
    assert [one["state"] for one in line["document"]["variances"]] == ["unused"]
    assert "only what is known to fall short" in line["document"]["variances"][0]["message"]


def test_stop_work_is_not_varied_in_passing(grant: Callable[..., Path], sites: Callable[..., Path]) -> None:
    """Only an entry that says so releases a finding that may hurt somebody, and the text names it on its own."""
    path = sites(b={"name": "Short", "bearing": "1"}) / "b.site.yaml"
    report = inspect(load_site(path), load_packs())
    grave = tuple(
        replace(one, check=replace(one.check, severity=STOP_WORK))
        if (one.rule.id, one.subject) == (GRANTED["rule"], GRANTED["subject"])
        else one
        for one in report.findings
    )
    assert sum(one.severity == STOP_WORK and one.outcome == FALLS_SHORT for one in grave) == 1
    states = {}
    for says in (None, True):
        granted = read_variances(grant({"stop_work": says}))
        after = with_variances(replace(report, findings=grave), granted, path, "2026-06-01")
        states[says] = ([one.state for one in after.variances or ()], sum(f.varied is not None for f in after.findings))
    assert states == {None: (["unused"], 0), True: (["used"], 1)}


def test_one_entry_for_many_findings_is_over_broad(grant: Callable[..., Path], sites: Callable[..., Path]) -> None:
    path = sites(b={"name": "Short", "bearing": "1"}) / "b.site.yaml"
    report = inspect(load_site(path), load_packs())
    (one,) = (f for f in report.findings if (f.rule.id, f.subject) == (GRANTED["rule"], GRANTED["subject"]))
    granted = read_variances(grant({}))
    found = {}
    for count in (MOST_COVERED, MOST_COVERED + 1):
        after = with_variances(replace(report, findings=(one,) * count), granted, path, "2026-06-01")
        found[count] = ([n.state for n in after.variances or ()], sum(f.varied is not None for f in after.findings))
    assert found == {MOST_COVERED: (["used"], MOST_COVERED), MOST_COVERED + 1: (["over-broad"], 0)}


def test_the_configuration_names_the_file_and_check_honours_it(
    grant: Callable[..., Path], gate: Run, sites: Callable[..., Path], tmp_path: Path
) -> None:
    sites(b={"name": "Short", "bearing": "1"})
    grant({"site": "../floors/b.site.yaml"}, file="papers/granted.yaml")
    (tmp_path / "inspect-core.yaml").write_text("format: 1\nvariances: papers/granted.yaml\n", "utf-8")
    day = ("--today", "2026-06-01")
    text = gate("floors", *OPTIONS, *day)
    assert text.returncode == 0
    assert b"1 varied" in text.stdout
    assert b"held against 2026-06-01" in text.stdout
    for form in ("text", "markdown"):
        said = " ".join(gate("floors/b.site.yaml", *day, "--format", form, command="check").stdout.decode().split())
        assert "Varied: granted by A" in said
        assert "Variance used" in said.replace("\\", "")
    data = json.loads(gate("floors/b.site.yaml", *day, "--format", "json", command="check").stdout)
    assert data["summary"]["varied"] == 1
    assert short({"document": data})["varied"]["paper"] == "letter 26-118"
    expired = gate("floors", *OPTIONS, "--today", "2027-06-01")
    assert expired.returncode == 1
    assert b"Variance expired (papers/granted.yaml:" in expired.stdout


def test_an_entry_of_another_site_says_nothing_here(
    grant: Callable[..., Path], checked: Callable[..., dict[str, Any]], sites: Callable[..., Path]
) -> None:
    sites(c={"name": "Other"})
    grant({"site": "floors/c.site.yaml"})
    line = checked("floors/b.site.yaml", "--variances", "variances.yaml", "--shard", "1/2")
    assert line["file"] == "floors/b.site.yaml"
    assert line["document"]["variances"] == []


def test_a_site_that_is_not_there_is_told(grant: Callable[..., Path], gate: Run, sites: Callable[..., Path]) -> None:
    sites(b={"name": "Short"})
    grant({"site": "floors/gone.site.yaml"})
    assert b"there is no site file floors/gone.site.yaml" in gate("floors", "--variances", "variances.yaml").stderr


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"paper": None}, "paper"),
        ({"granted_by": None}, "granted_by"),
        ({"reason": None}, "reason"),
        ({"until": None}, "until"),
        ({"until": "2026-13-01"}, "'2026-13-01' is no date"),
        ({"until": "2026"}, "'2026' is no date"),
        ({"granted_for": "x"}, "granted_for"),
        ({"stop_work": "maybe"}, "stop_work"),
    ],
)
def test_errors_in_the_file(
    grant: Callable[..., Path], gate: Run, sites: Callable[..., Path], change: dict[str, Any], says: str
) -> None:
    sites(b={"name": "Short"})
    grant(change)
    done = gate("floors", "--variances", "variances.yaml")
    first = done.stderr.decode("utf-8")
    assert done.returncode == 2
    assert says in first
    assert first.startswith("variances.yaml:")
    assert "expected:" in first
    assert "example:" in first or change.get("granted_for")


def test_the_schema_is_a_schema_and_its_examples_fit() -> None:
    schema = json.loads(schema_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    entry = {key: one["examples"][0] for key, one in schema["$defs"]["variance"]["properties"].items()}
    jsonschema.validate({"format": 1, "variances": [entry]}, schema)
