"""Whatever characters names and messages hold, each format stays what it is."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engine.portfolio.judge import Asked, judged, with_fingerprints
from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate import FORMATS

PIECES = (
    "::error::",
    "\n",
    "\r",
    "\x1b[0m",
    "]]>",
    "<b>",
    "&#0;",
    "](",
    "{0}",
    "|",
    "`",
    "\ud800",
    "\ufffe",
    "\u2028",
    "%0A",
    "\\",
)
TEXT = st.lists(st.one_of(st.sampled_from(PIECES), st.text(max_size=8)), max_size=6).map("".join)
FINDING: dict[str, Any] = {
    "rule": "r-1",
    "outcome": "falls-short",
    "severity": "correction",
    "measured": None,
    "limit": None,
    "hold_point": "subfloor",
    "measure": [],
    "reference": {"key": "x", "text": "x", "adopted": False},
    "location": {"file": "x", "line": 3, "column": 4, "path": "/a"},
}


def result_of(text: str, file: str) -> SiteResult:
    finding = {**FINDING, "subject": text, "message": text, "remedy": text, "cautions": [text], "assumptions": [text]}
    document = {
        "site": {"name": text, "file": file},
        "packs": [{"id": text, "version": text}],
        "hold_points": {"subfloor": {"released": False, "open": 1}},
        "findings": [finding],
    }
    with_fingerprints(file, document)
    return judged(file, document, (), Asked())


@settings(max_examples=40, deadline=None)
@given(text=TEXT, name=TEXT.filter(bool))
def test_each_format_stays_whole(text: str, name: str) -> None:
    results = [result_of(text, name), replace(result_of(text, name), document=None, exit_code=3, failures=(text,))]
    out = {form: "".join(write(results, GateView())) for form, write in FORMATS.items() if form != "json-lines"}
    for form in set(out) - {"sarif"}:
        out[form].encode()
    # What stands beside a result is the check's own JSON, names as they are: what is no character is replaced when written.
    (run,) = json.loads(out["sarif"].encode("utf-8", "replace"))["runs"]
    assert [one["ruleId"] for one in run["results"]] == ["r-1", "pack-failed"]
    assert [one["check_name"] for one in json.loads(out["codequality"].encode())] == ["r-1", "pack-failed"]
    suites = ET.fromstring(out["junit"].encode())
    assert [[len(case) for case in suite.iter("testcase")] for suite in suites] == [[0, 1], [1]]
    lines = out["annotations"].split("\n")[:-1]
    assert [line.split("=")[0] for line in lines] == ["::error file", "::error file", "::notice title"]
    assert [len(line.splitlines()) for line in lines] == [1, 1, 1]
    assert sum(line.startswith("| <code>") for line in out["markdown"].splitlines()) == 2
    rows: list[str] = []
    reader = HTMLParser()
    reader.handle_starttag = lambda tag, attrs: rows.append(tag) if tag == "tr" else None  # type: ignore[method-assign]
    reader.feed(out["html"])
    assert len(rows) == 5
