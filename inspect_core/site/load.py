"""Reading a site file: text, conversion by the schema, model, and a last look at whether it fits together."""

from __future__ import annotations

import json
import pathlib
from functools import cache
from importlib.resources import files
from typing import Any

from inspect_core.quantities import Units
from inspect_core.site.area import Site
from inspect_core.site.build import build_site, problem_reporter
from inspect_core.site.convert import Converter, compile_schema
from inspect_core.site.problems import InputError, Problem
from inspect_core.site.reader import Document, read_file, read_text
from inspect_core.site.references import check_references


def schema_text() -> str:
    """The site description's JSON Schema (2020-12) as it ships."""
    return files("inspect_core.site").joinpath("site.schema.json").read_text("utf-8")


@cache
def schema() -> dict[str, Any]:
    """The schema as data; do not change it."""
    loaded: dict[str, Any] = json.loads(schema_text())
    return loaded


@cache
def _converter() -> Converter:
    return compile_schema(schema(), lazily=True)


def _units_of(data: Any) -> Units:
    return "mm" if isinstance(data, dict) and data.get("units") == "mm" else "in"


def load_site(path: pathlib.Path) -> Site:
    """Read, validate and build the site in ``path``; raises :class:`InputError` with every problem found."""
    return site_from_document(read_file(path))


def site_from_text(text: str | bytes, file: str = "<text>") -> Site:
    """The same from text in memory."""
    return site_from_document(read_text(text, file))


def site_from_document(document: Document) -> Site:
    """The same from a document that has been read."""
    data, problems = _converter().convert(document, _units_of)
    if problems:
        raise InputError(problems)
    later: list[Problem] = []
    report = problem_reporter(later, document)
    site = build_site(data, document, report)
    check_references(site, report)
    if later:
        raise InputError(dict.fromkeys(later))  # what a whole group shares is said once
    return site
