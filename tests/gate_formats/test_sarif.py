"""SARIF: what the schema doesn't check and readers need. The schema itself: tests/published/test_sarif_schema.py."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.entries import uri
from inspect_core.report.gate.sarif import sarif

Results = tuple[SiteResult, ...]


def run_of(results: Results, view: GateView) -> dict[str, Any]:
    log = json.loads("".join(sarif(results, view)))
    (run,) = log["runs"]
    assert isinstance(run, dict)
    return run


@pytest.fixture(scope="module")
def run(results: Results, view: GateView) -> dict[str, Any]:
    return run_of(results, view)


def file_of(result: dict[str, Any]) -> str:
    return str(result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"])


def test_open_findings_are_the_results_and_nothing_else_is(run: dict[str, Any], results: Results) -> None:
    expected = [
        (finding["rule"], finding["fingerprint"])
        for result in results
        if result.document is not None
        for finding in result.document["findings"]
        if finding["outcome"] in ("falls-short", "not-measured") and "varied" not in finding
    ]
    own = ("site-unusable", "pack-failed")
    told = [
        (one["ruleId"], one["partialFingerprints"]["inspectCoreFinding/v1"])
        for one in run["results"]
        if one["ruleId"] not in own and one.get("baselineState") != "absent"
    ]
    assert sorted(told) == sorted(expected)
    assert len(expected) > 150


def test_kind_and_level(run: dict[str, Any]) -> None:
    """SARIF 2.1.0, 3.27.10: a kind other than fail has the level none."""
    levels = {"stop-work": "error", "correction": "warning", "advisory": "note"}
    kinds = set()
    for one in run["results"]:
        kinds.add(one["kind"])
        if one["kind"] != "fail":
            assert one["level"] == "none"
        else:
            assert one["level"] == levels[one["properties"]["severity"]]
        if one["kind"] == "open":
            assert one["properties"]["outcome"] == "not-measured" and not one["properties"]["blocks"]
        if one.get("properties", {}).get("blocks"):
            assert one["kind"] == "fail"
    assert kinds == {"fail", "open", "informational"}


def test_each_index_leads_to_its_rule(run: dict[str, Any]) -> None:
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    assert rules == sorted(set(rules))
    assert all(rules[one["ruleIndex"]] == one["ruleId"] for one in run["results"])


def test_rules_carry_their_words(run: dict[str, Any]) -> None:
    rules = {rule["id"]: rule for rule in run["tool"]["driver"]["rules"]}
    bearing = rules["joist-bearing"]
    assert bearing["shortDescription"]["text"] and "Caution: " in bearing["help"]["text"]
    assert bearing["defaultConfiguration"]["level"] == "warning"
    assert all(rule["help"]["text"].strip() for rule in rules.values())


def test_a_rule_that_no_longer_exists_needs_no_index(results: Results, view: GateView) -> None:
    bare = run_of(results, replace(view, rules={}))
    finding = next(one for one in bare["results"] if one["ruleId"] == "joist-bearing")
    assert "ruleIndex" not in finding


def test_places(run: dict[str, Any], by_file: dict[str, SiteResult]) -> None:
    assert run["columnKind"] == "unicodeCodePoints"
    for one in run["results"]:
        region = one["locations"][0]["physicalLocation"]["region"]
        assert region["startLine"] >= 1 and region["startColumn"] >= 1
    document = by_file["found"].document
    assert document is not None
    finding = next(f for f in document["findings"] if f["rule"] == "joist-bearing" and f["blocks"])
    told = next(
        one for one in run["results"] if one["partialFingerprints"]["inspectCoreFinding/v1"] == finding["fingerprint"]
    )
    place = told["locations"][0]
    assert place["physicalLocation"]["region"]["startLine"] == finding["location"]["line"]
    assert place["physicalLocation"]["region"]["startColumn"] == finding["location"]["column"]
    assert place["logicalLocations"] == [
        {"name": finding["subject"].strip(), "fullyQualifiedName": finding["location"]["path"]}
    ]


@pytest.mark.parametrize(
    ("file", "expected"),
    [
        ("sites/a.site.yaml", "sites/a.site.yaml"),
        ("my sites/a b.site.yaml", "my%20sites/a%20b.site.yaml"),
        ("a:b/c.site.yaml", "a%3Ab/c.site.yaml"),
        ("sites\\a.site.yaml", "sites/a.site.yaml"),
        ("100%/#1?.site.yaml", "100%25/%231%3F.site.yaml"),
        ("é.site.yaml", "%C3%A9.site.yaml"),
        ("/srv/a b.site.yaml", "file:///srv/a%20b.site.yaml"),
        ("C:/a b.site.yaml", "file:///C:/a%20b.site.yaml"),
        ("../a.site.yaml", "../a.site.yaml"),
    ],
)
def test_paths_as_uri_references(file: str, expected: str) -> None:
    """RFC 3986, 4.1 and 4.2: a relative reference has no colon in its first segment, no blank, no backslash."""
    assert uri(file) == expected


def test_a_fingerprint_outlives_the_line(judge: Any, view: GateView) -> None:
    def moved(document: dict[str, Any]) -> None:
        for finding in document["findings"]:
            finding["location"]["line"] += 40
            finding["message"] += "!"

    def prints(result: SiteResult) -> list[dict[str, str]]:
        return [one["partialFingerprints"] for one in run_of((result,), view)["results"]]

    here = prints(judge("lock-cottage-found", "a.site.yaml"))
    assert here == prints(judge("lock-cottage-found", "a.site.yaml", moved))
    assert len({one["primaryLocationLineHash"] for one in here}) == len(here)
    elsewhere = prints(judge("lock-cottage-found", "b.site.yaml"))
    assert not {one["inspectCoreFinding/v1"] for one in here} & {one["inspectCoreFinding/v1"] for one in elsewhere}


def test_states_against_a_baseline(run: dict[str, Any], by_file: dict[str, SiteResult]) -> None:
    states = [one.get("baselineState") for one in run["results"] if file_of(one) == "sites/known.site.yaml"]
    document = by_file["known"].document
    assert document is not None
    marked = [f.get("baseline") for f in document["findings"]]
    assert states.count("new") == marked.count("new") > 0
    assert states.count("unchanged") == marked.count("unchanged") > 0
    assert states.count("absent") == 1 and states.count(None) == 0
    (gone,) = [one for one in run["results"] if one.get("baselineState") == "absent"]
    assert gone["message"]["text"] == "joist J99: no longer open"
    assert all("baselineState" not in one for one in run["results"] if file_of(one) != "sites/known.site.yaml")


def test_variances_are_told_and_are_no_results(run: dict[str, Any], by_file: dict[str, SiteResult]) -> None:
    document = by_file["varied"].document
    assert document is not None
    (varied,) = [finding for finding in document["findings"] if "varied" in finding]
    assert varied["fingerprint"] not in str(run["results"])
    granted, expired = run["invocations"][0]["toolConfigurationNotifications"]
    assert granted["level"] == "note" and granted["associatedRule"] == {"id": varied["rule"]}
    told = f"Varied: {varied['subject']}: {varied['message']} (correction), granted by J. Moss, building official until"
    assert granted["message"]["text"].startswith(told)
    assert granted["locations"][0]["physicalLocation"]["region"]["startLine"] == varied["location"]["line"]
    assert granted["properties"]["varied"]["paper"] == "letter 12"
    assert expired["level"] == "warning" and expired["message"]["text"].startswith("Variance expired: joist-hung")
    assert file_of(expired) == "variances.yaml"


def test_a_file_that_cannot_be_used(run: dict[str, Any]) -> None:
    own = [one for one in run["results"] if one["ruleId"] == "site-unusable"]
    assert {file_of(one) for one in own} == {"sites/broken%20floor.site.yaml"}
    units = next(one for one in own if "furlongs" in one["message"]["text"])
    region = units["locations"][0]["physicalLocation"]["region"]
    assert (region["startLine"], region["startColumn"]) == (2, 8)
    assert units["message"]["text"] == "'furlongs' is not known as 'units'"
    assert units["level"] == "error" and units["kind"] == "fail"


def test_what_failed_is_a_result_and_a_notification(run: dict[str, Any]) -> None:
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False and invocation["exitCode"] == 3
    notes = [one["message"]["text"] for one in invocation["toolExecutionNotifications"]]
    assert notes == [
        "the process that checked it ended (killed by SIGKILL)",
        "dist: x = y: could not be loaded: ImportError",
        "wood-floor-base: rule joist-spacing failed: ZeroDivisionError",
    ]
    own = {file_of(one): one["level"] for one in run["results"] if one["ruleId"] == "pack-failed"}
    assert own == {"sites/died.site.yaml": "error", "sites/packless.site.yaml": "error"}
    raised = [one for one in run["results"] if one["ruleId"] == "rule-failed"]
    assert [(file_of(one), one["level"]) for one in raised] == [("sites/raised.site.yaml", "error")]


@pytest.mark.parametrize(("name", "successful"), [("clear", True), ("found", True), ("broken floor", False)])
def test_success_is_that_every_site_was_checked(
    by_file: dict[str, SiteResult], view: GateView, name: str, successful: bool
) -> None:
    (invocation,) = run_of((by_file[name],), view)["invocations"]
    assert invocation["executionSuccessful"] is successful
    assert invocation["exitCode"] == by_file[name].exit_code


def test_the_run_says_what_was_asked_and_which_packs_ran(run: dict[str, Any]) -> None:
    said = run["properties"]
    assert said["sites"] == {"clear": 1, "held": 3, "unusable": 1, "failed": 3}
    assert (said["hold_points"], said["fail_on"], said["unmeasured"]) == ([], "correction", "block")
    assert len(said["packs"]) == 1 and re.fullmatch(r"wood-floor-base .* \[6 of 8 sites\]", said["packs"][0])


def test_names_are_no_links_and_no_placeholders(hostile: SiteResult, view: GateView) -> None:
    """SARIF 2.1.0, 3.11.5 and 3.11.6: braces are doubled; ``[words](target)`` would be a link."""
    run = run_of((hostile,), view)
    texts = [one["message"]["text"] for one in run["results"]]
    texts += [one["message"]["text"] for key in ("tool_", "_") for one in run["invocations"][0].get(key, ())]
    assert len(texts) == 8
    for text in texts:
        assert re.search(r"(?<!\{)\{[^{]", text) is None
        assert "](" not in text
        assert "\x1b" not in text and "\u202e" not in text and "\n" not in text
    assert all(re.fullmatch(r"[\w./~%-]+", file_of(one)) for one in run["results"])


def test_it_is_written_as_the_sites_come_in(thousand: Callable[[int], Iterator[SiteResult]], view: GateView) -> None:
    taken = 0

    def counted() -> Iterator[SiteResult]:
        nonlocal taken
        for result in thousand(12):
            taken += 1
            yield result

    last = ""
    for piece in sarif(counted(), view):
        found = re.search(r'"uri": "sites/(\d+)', piece)
        if found is not None and found[1] != last:
            last = found[1]
            assert taken == int(last) + 1
    assert (taken, last) == (12, "00011")


def test_the_same_bytes_every_time(results: Results, view: GateView) -> None:
    assert "".join(sarif(results, view)) == "".join(sarif(results, view))
