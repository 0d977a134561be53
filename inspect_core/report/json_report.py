"""The report as one JSON object; keys by contract, the same bytes for the same input."""

from __future__ import annotations

import json

from inspect_core.engine import Report
from inspect_core.report.view import Selection, as_data


def render_json(report: Report, selection: Selection) -> str:
    """One object, indented, ending in a line break."""
    return json.dumps(as_data(report, selection), indent=1, ensure_ascii=False, allow_nan=False) + "\n"
