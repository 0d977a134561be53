"""The report as one JSON object; keys by contract, the same bytes for the same input."""

from __future__ import annotations

from inspect_core.engine import Report
from inspect_core.report.json_text import indented
from inspect_core.report.view import Selection, as_data


def render_json(report: Report, selection: Selection) -> str:
    """One object, indented, ending in a line break."""
    return indented(as_data(report, selection)) + "\n"
