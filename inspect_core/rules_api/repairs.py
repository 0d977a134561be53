"""A repair as a pack describes it: data that says which shortfalls it answers, what is done, and what that takes.

What is done (``does``) is one of the planner's actions on a site description; everything else is the pack's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from inspect_core.rules_api.vocabulary import STATUSES

MOST_EFFORT = 5
"""Material, labour and how invasive a repair is are each told on a scale from 1 to this."""


@dataclass(frozen=True, slots=True)
class Repair:
    """One kind of repair.

    ``says`` is what to do, in a sentence; ``{subject}``, ``{joist}``, ``{support}`` and the other words of the action
    in it stand for what it is done to. ``answers`` are the rules whose shortfall it may settle. ``with_values`` are the
    action's own settings. ``material`` and ``labour`` are words, ``material_effort`` and ``invasive`` numbers from 1 to
    :data:`MOST_EFFORT`; what a class of labour counts is the planner's. ``engineer`` says when to call one.
    """

    id: str
    says: str
    does: str
    answers: tuple[str, ...]
    with_values: Mapping[str, Any] = field(default_factory=dict)
    material: str = ""
    material_effort: int = 1
    labour: str = ""
    invasive: int = 1
    cautions: tuple[str, ...] = ()
    engineer: str = ""
    source: str = ""
    status: str = ""
    set_by: str = ""


KEYS = frozenset(
    ("says", "does", "answers", "with", "material", "labour", "invasive", "cautions", "engineer", "source", "status")
)


def read_repair(
    key: str, data: Mapping[str, Any], set_by: str, wrong: Callable[[tuple[str, ...], str, str], None]
) -> Repair | None:
    """A repair from its entry in a pack's data; what is wrong goes to ``wrong`` (path below it, message, expected)."""
    faults = 0

    def fault(below: tuple[str, ...], message: str, expected: str) -> None:
        nonlocal faults
        faults += 1
        wrong(below, message, expected)

    for name in sorted(data.keys() - KEYS):
        fault((name,), f"unknown key {name}", ", ".join(sorted(KEYS)))
    texts = {name: data.get(name, "") for name in ("says", "does", "labour", "engineer", "source", "status")}
    for name, text in texts.items():
        if name != "status" and (not isinstance(text, str) or (not text.strip() and name != "engineer")):
            fault((name,), f"repair {key} has no {name}", f"{name}: a text")
    if texts["status"] not in STATUSES:
        fault(("status",), f"repair {key} has no known status", "; ".join(STATUSES))
    rows = {name: data.get(name, []) for name in ("answers", "cautions")}
    for name, row in rows.items():
        if not isinstance(row, list) or not all(isinstance(one, str) for one in row) or (name == "answers" and not row):
            fault((name,), f"repair {key}: {name} is a list of words", f"{name}: [joist-bearing]")
    settings = data.get("with", {})
    if not isinstance(settings, dict):
        fault(("with",), f"repair {key}: with holds the action's settings", "with: {…}")
    material = data.get("material")
    if not isinstance(material, dict) or material.keys() != {"words", "effort"}:
        fault(("material",), f"repair {key} says what material it takes", "material: {words: a board, effort: 1}")
        material = {"words": "", "effort": 1}
    for name, number in (("material", material["effort"]), ("invasive", data.get("invasive"))):
        if not isinstance(number, int) or isinstance(number, bool) or not 1 <= number <= MOST_EFFORT:
            fault((name,), f"repair {key}: {name} is counted from 1 to {MOST_EFFORT}", f"1 to {MOST_EFFORT}")
    if faults:
        return None
    said = {name: " ".join(str(text).split()) for name, text in texts.items()}
    return Repair(
        id=key,
        answers=tuple(rows["answers"]),
        cautions=tuple(rows["cautions"]),
        with_values=settings,
        material=str(material["words"]),
        material_effort=material["effort"],
        invasive=int(data["invasive"]),
        set_by=set_by,
        **said,
    )
