"""JUnit XML, read back by an independent reader (junitparser). Against the schema: tests/published/test_junit_schema.py."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter

import pytest
from junitparser import Error, Failure, JUnitXml, Skipped, TestCase, TestSuite

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.junit import junit

TestCase.__test__ = TestSuite.__test__ = False  # not ours to collect

Results = tuple[SiteResult, ...]


@pytest.fixture(scope="module")
def suites(results: Results, view: GateView) -> dict[str, TestSuite]:
    return {suite.name: suite for suite in JUnitXml.fromstring("".join(junit(results, view)).encode())}


def ended(case: TestCase) -> str:
    """How a case ended, by the reader's own account."""
    kinds = {Failure: "failure", Error: "error", Skipped: "skipped"}
    return next((kinds[type(one)] for one in case.result), "passed")


def test_a_suite_for_each_site_with_its_counts(suites: dict[str, TestSuite], results: Results) -> None:
    assert list(suites) == [result.file for result in results]
    for suite in suites.values():
        counted = Counter(ended(case) for case in suite)
        assert suite.tests == sum(counted.values()) > 0
        assert (suite.failures, suite.errors, suite.skipped) == tuple(
            counted[kind] for kind in ("failure", "error", "skipped")
        )


def test_each_outcome(suites: dict[str, TestSuite], by_file: dict[str, SiteResult]) -> None:
    document = by_file["found"].document
    assert document is not None
    cases = {case.name: case for case in suites["sites/found.site.yaml"]}
    assert cases.pop("site can be checked").result == []
    applied = [f for f in document["findings"] if f["outcome"] != "does-not-apply"]
    assert len(cases) == len(applied)
    seen = set()
    for finding in applied:
        case = cases[f"{finding['rule']}: {finding['subject'].strip()}"]
        if finding["outcome"] == "meets":
            expected = "passed"
        elif finding["outcome"] == "falls-short" or finding["blocks"]:
            expected = "failure"
        else:
            expected = "skipped"
        assert ended(case) == expected
        seen.add((finding["outcome"], expected))
        if case.result:
            place = finding["location"]
            assert case.result[0].message.startswith(f"sites/found.site.yaml:{place['line']}:{place['column']}: ")
            assert case.result[0].type == finding["severity"]
    assert seen == {
        ("meets", "passed"),
        ("falls-short", "failure"),
        ("not-measured", "failure"),
        ("not-measured", "skipped"),
    }


def test_names_are_found_again_and_told_apart(suites: dict[str, TestSuite]) -> None:
    """Readers show nothing without a class name, and take class name and name together as what a case is."""
    cases = [(case.classname, case.name) for suite in suites.values() for case in suite]
    assert all(group and name for group, name in cases)
    assert {group for group, _ in cases} >= {"sites/found", "sites/broken floor"}
    assert len(set(cases)) == len(cases)


def test_advice_comes_with_its_cautions(suites: dict[str, TestSuite]) -> None:
    texts = [one.text for case in suites["sites/found.site.yaml"] for one in case.result if one.text]
    shoring = [text for text in texts if "\nRemedy: Hang the end on a rated hanger" in text]
    assert shoring and all("\nCaution: " in text for text in shoring)


def test_granted_known_unusable_and_failed(suites: dict[str, TestSuite], by_file: dict[str, SiteResult]) -> None:
    def told(file: str, kind: str) -> list[str]:
        return [case.result[0].message for case in suites[f"sites/{file}.site.yaml"] if ended(case) == kind]

    assert sum("variance granted by J. Moss" in text for text in told("varied", "skipped")) == 1
    document = by_file["known"].document
    assert document is not None
    unchanged = [f for f in document["findings"] if f.get("baseline") == "unchanged"]
    assert sum("known from an earlier run" in text for text in told("known", "skipped")) == len(unchanged) > 0
    assert "sites/broken floor.site.yaml:2:8: 'furlongs' is not known as 'units'" in told("broken floor", "error")
    assert told("packless", "error") == ["sites/packless.site.yaml:1:1: dist: x = y: could not be loaded: ImportError"]
    (raised,) = told("raised", "error")
    assert raised.startswith("sites/raised.site.yaml:1:1: the rule failed")
    (died,) = told("died", "error")
    assert "killed by SIGKILL" in died


def test_the_packs_stand_in_each_suite(suites: dict[str, TestSuite]) -> None:
    told = {one.name: one.value for one in suites["sites/clear.site.yaml"].properties()}
    assert re.fullmatch(r"wood-floor-base \S+ \(python, [0-9a-f]{12}\)", told["pack"])
    assert told["site"] == "Lock cottage, wash-house (repaired)"


def test_no_times_and_no_name_on_the_whole(results: Results, view: GateView) -> None:
    text = "".join(junit(results, view))
    root = ET.fromstring(text.encode())
    assert root.attrib == {}
    keys = {key for element in root.iter() for key in element.attrib}
    assert keys == {"name", "tests", "failures", "errors", "skipped", "classname", "type", "message", "value"}


def test_hostile_names_stay_text(hostile: SiteResult, view: GateView) -> None:
    text = "".join(junit([hostile], view))
    assert re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]", text) is None
    (suite,) = JUnitXml.fromstring(text.encode())
    assert suite.name.startswith("sites/a b#c?d,e")
    kinds = {element.tag for element in ET.fromstring(text.encode()).iter()}
    assert kinds == {"testsuites", "testsuite", "properties", "property", "testcase", "failure", "error"}
    assert not [line for line in text.splitlines() if line.startswith("::")]
