"""The two pages: the form for a phone, and the blank sheet for paper."""

from __future__ import annotations

import json
from typing import Any

import inspect_core
from inspect_core.quantities import Units
from inspect_core.report import page
from inspect_core.report.form.describe import ROOT, describe
from inspect_core.report.form.sheet import sheet_sections

SCRIPTS = (
    "form_yaml.js",
    "form_tape.js",
    "form_sketch.js",
    "form_slots.js",
    "form_pieces.js",
    "form_fields.js",
    "form_lists.js",
    "form.js",
)


def form_html(units: Units = "in") -> str:
    """The survey form: one file that loads nothing and sends nothing. ``units`` is what a new survey starts with."""
    from markupsafe import Markup

    style = page.own_file("form.css")
    script = "\n".join(page.own_file(name) for name in SCRIPTS).replace('"use strict";\n', "")
    script = '"use strict";\n' + script
    form = describe()
    text: str = page.template("form.html.j2").render(
        policy=page.policy([style], [script]),
        style=Markup(style),
        script=Markup(script),
        form=Markup(_data({**form, "units": units})),
        version=inspect_core.__version__,
        format=_format(form),
    )
    return text


def sheet_html(units: Units = "in") -> str:
    """The blank field sheet: every section of the survey with lines and tables to fill in by hand."""
    from markupsafe import Markup

    style = page.own_file("form_sheet.css")
    text: str = page.template("form_sheet.html.j2").render(
        policy=page.policy([style], []),
        style=Markup(style),
        units="inches" if units == "in" else "millimetres",
        groups=sheet_sections(describe(), units),
        version=inspect_core.__version__,
    )
    return text


def _data(form: dict[str, Any]) -> str:
    """Data that stands in a script element: nothing in it can end the element."""
    return json.dumps(form, ensure_ascii=True, separators=(",", ":")).replace("<", "\\u003c")


def _format(form: dict[str, Any]) -> int:
    return next(int(field["value"]) for field in form["parts"][ROOT]["fields"] if field["kind"] == "fixed")
