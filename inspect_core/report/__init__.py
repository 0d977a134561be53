"""Reports lay out what the engine found; they compute nothing. One function for each format."""

from __future__ import annotations

from collections.abc import Callable

from inspect_core.engine import Report
from inspect_core.report.json_report import render_json
from inspect_core.report.markdown import render_markdown
from inspect_core.report.standard import render_junit, render_sarif
from inspect_core.report.view import Selection

FORMATS: dict[str, Callable[[Report, Selection], str]] = {
    "json": render_json,
    "markdown": render_markdown,
    "sarif": render_sarif,
    "junit": render_junit,
}
"""Formats that need nothing but the report; ``text`` also knows the terminal."""

__all__ = ["FORMATS", "Selection", "render_json", "render_junit", "render_markdown", "render_sarif"]
