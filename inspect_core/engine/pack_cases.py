"""A pack's own cases: small sites and what one rule must say about them. Kept beside the pack, in `cases.yaml`.

::

    format: 1
    site: {…}                        # a whole site description: what every case starts from
    cases:
      - name: exactly what the county asks
        rule: joist-bearing
        set: {/areas/0/joists/0/each/bearing/S1: 2 in}     # path: new value; a last step of - adds to a list
        remove: [/areas/0/joists/0/each/bearing/B1]
        expect: {"joist J1, south end on S1": meets}       # every finding of this rule, subject: outcome
        limits: [bearing/wood]       # only where the finding does not name the limit that it rests on
    exempt: {large-hole: why no case can show both sides}

Read by the same strict reader as site files; nothing outside the pack's folder is read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from inspect_core.engine.cases import KINDS, as_yaml, edited
from inspect_core.rules_api import OUTCOMES
from inspect_core.site import InputError, Problem
from inspect_core.site.convert import Converter, compile_schema
from inspect_core.site.reader import Document, read_file

CASES_FILE: Final = "cases.yaml"
MOST_CASES: Final = 2_000

_WORDS: Final = {"type": "array", "maxItems": 200, "items": {"type": "string", "minLength": 1, "maxLength": 300}}
_TEXT: Final = {"type": "string", "minLength": 1, "maxLength": 300}
CASES_SCHEMA: Final[dict[str, Any]] = {
    "type": "object",
    "properties": {
        "format": {"const": 1, "description": "Number of this file format.", "examples": [1]},
        "site": {"type": "object", "description": "The site description that every case starts from."},
        "cases": {
            "type": "array",
            "description": "The cases.",
            "maxItems": MOST_CASES,
            "items": {
                "type": "object",
                "properties": {
                    "name": {**_TEXT, "description": "What the case shows.", "examples": ["exactly on the limit"]},
                    "rule": {**_TEXT, "description": "Id of the rule.", "examples": ["joist-bearing"]},
                    "kind": {"enum": list(KINDS), "description": "What sort of case it is.", "examples": ["at-limit"]},
                    "site": {"type": "object", "description": "Another site than the file's."},
                    "set": {
                        "type": "object",
                        "description": "New values by path.",
                        "examples": [{"/site/built": 1920}],
                    },
                    "remove": {**_WORDS, "description": "Paths to leave out.", "examples": [["/areas/0/layers"]]},
                    "expect": {
                        "type": "object",
                        "description": "Outcome of every finding of the rule, by subject.",
                        "additionalProperties": {"enum": list(OUTCOMES), "description": "outcome"},
                        "examples": [{"joist J1, south end on S1": "meets"}],
                    },
                    "limits": {
                        **_WORDS,
                        "description": "Limits that the case rests on without comparing with them.",
                        "examples": [["large-hole"]],
                    },
                },
                "required": ["name", "rule", "expect"],
                "additionalProperties": False,
            },
        },
        "exempt": {
            "type": "object",
            "description": "Limits of which no case can show both sides, and why.",
            "additionalProperties": {"type": "string", "description": "why", "minLength": 10, "maxLength": 500},
        },
    },
    "required": ["format", "site", "cases"],
    "additionalProperties": False,
}


@cache
def _converter() -> Converter:
    return compile_schema(CASES_SCHEMA)


@dataclass(frozen=True, slots=True)
class PackCase:
    """One case: a whole site description as YAML, one rule, and every finding that it must give."""

    name: str
    rule: str
    text: str
    expect: Mapping[str, str]
    limits: tuple[str, ...]
    where: str  # file and line, for whoever has to look


@dataclass(frozen=True, slots=True)
class CaseFile:
    """All cases of a pack."""

    cases: tuple[PackCase, ...]
    exempt: Mapping[str, str]


def read_pack_cases(folder: Path) -> CaseFile | None:
    """The cases in a pack's folder; ``None`` where there are none. Raises :class:`InputError` with every error."""
    file = folder / CASES_FILE
    if not file.is_symlink() and not file.exists():
        return None
    if file.is_symlink():
        raise InputError([Problem(str(file), 0, 0, (), "linked", "a case file must not be a link")])
    document = read_file(file)
    data, problems = _converter().convert(document, lambda _: "in")
    if problems:
        raise InputError(problems)
    found: list[PackCase] = []
    wrong: list[Problem] = []
    for number, item in enumerate(data["cases"]):
        try:
            found.append(_case(document, data, number, item))
        except (ValueError, KeyError, IndexError, TypeError) as error:
            path = ("cases", number)
            message = str(error) if isinstance(error, ValueError) else "a path under `set` or `remove` leads nowhere"
            wrong.append(document.problem(document.where(path), path, "bad-case", message, "paths of the site above"))
    if wrong:
        raise InputError(wrong)
    return CaseFile(tuple(found), data.get("exempt", {}))


def _case(document: Document, data: Mapping[str, Any], number: int, item: Mapping[str, Any]) -> PackCase:
    site = edited(item.get("site", data["site"]), item.get("set", {}), item.get("remove", ()), item["name"])
    line = document.where(("cases", number)).line
    return PackCase(
        item["name"],
        item["rule"],
        as_yaml(site),
        item["expect"],
        tuple(item.get("limits", ())),
        f"{document.file}:{line}",
    )
