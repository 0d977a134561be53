"""Formats of the gate. Each takes results one by one, in the order of the files, and gives pieces of text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.annotations import log_annotations
from inspect_core.report.gate.codequality import codequality
from inspect_core.report.gate.html import html
from inspect_core.report.gate.json_lines import json_lines
from inspect_core.report.gate.junit import junit
from inspect_core.report.gate.markdown import markdown
from inspect_core.report.gate.sarif import sarif
from inspect_core.report.gate.text import text

Format = Callable[[Iterable[SiteResult], GateView], Iterator[str]]

FORMATS: dict[str, Format] = {
    "text": text,
    "json-lines": json_lines,
    "markdown": markdown,
    "sarif": sarif,
    "junit": junit,
    "annotations": log_annotations,
    "codequality": codequality,
    "html": html,
}
