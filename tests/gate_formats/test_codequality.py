"""Code quality JSON: the keys that the build server's documentation asks for, with the words that it knows.

Source: "Code Quality report format" in the documentation of the build server: description, check_name, fingerprint
(unique), location.path (relative, not beginning with ./), location.lines.begin, severity of info, minor, major, critical,
blocker.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.codequality import codequality

SEVERITIES = {"info", "minor", "major", "critical", "blocker"}


def issues(*results: SiteResult) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads("".join(codequality(results, GateView())))
    return found


def test_keys_and_words(results: tuple[SiteResult, ...]) -> None:
    found = issues(*results)
    for one in found:
        assert set(one) == {"description", "check_name", "fingerprint", "severity", "location"}
        assert one["severity"] in SEVERITIES
        assert set(one["location"]) == {"path", "lines"} and one["location"]["lines"]["begin"] >= 1
        assert not one["location"]["path"].startswith("./")
    prints = [one["fingerprint"] for one in found]
    assert len(set(prints)) == len(prints) > 150


def test_severities(by_file: dict[str, SiteResult]) -> None:
    document = by_file["found"].document
    assert document is not None
    words = {"stop-work": "blocker", "correction": "major", "advisory": "minor"}
    expected = Counter(
        "info" if f["outcome"] == "not-measured" and not f["blocks"] else words[f["severity"]]
        for f in document["findings"]
        if f["outcome"] in ("falls-short", "not-measured")
    )
    assert Counter(one["severity"] for one in issues(by_file["found"])) == expected
    assert set(expected) == {"info", "minor", "major", "blocker"}


def test_what_is_granted_is_information_and_what_is_clear_no_issue(by_file: dict[str, SiteResult]) -> None:
    assert issues(by_file["clear"]) == []
    document = by_file["varied"].document
    assert document is not None
    (varied,) = [f["fingerprint"] for f in document["findings"] if "varied" in f]
    (told,) = [one for one in issues(by_file["varied"]) if one["fingerprint"] == varied]
    assert told["severity"] == "info" and told["description"].startswith("Varied: ")


def test_unusable_and_failed(by_file: dict[str, SiteResult]) -> None:
    found = issues(by_file["broken floor"], by_file["packless"])
    assert {one["check_name"] for one in found} == {"site-unusable", "pack-failed"}
    assert {one["severity"] for one in found} == {"blocker"}
    assert {(one["location"]["path"], one["location"]["lines"]["begin"]) for one in found} >= {
        ("sites/broken floor.site.yaml", 2)
    }


def test_hostile_names_stay_text(hostile: SiteResult) -> None:
    for one in issues(hostile):
        assert all(character.isprintable() for character in one["description"])
