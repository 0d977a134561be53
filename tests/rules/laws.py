"""What the laws of rules share: outcomes of a site, what must never be gained, and ways to change a site's data."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator
from typing import Any

from inspect_core.rules_api import Check, Limits, Rule
from inspect_core.site import site_from_text

Data = dict[str, Any]
Path = tuple[str | int, ...]
Key = tuple[str, str, str]
"""Rule, area (empty where the rule is about the whole site) and subject."""
Checks = dict[Key, Check]
Checking = Callable[[Data], Checks]
Answers = dict[Key, str]
Answering = Callable[[Data], Answers]

OPEN = ("falls-short", "not-measured")


# --- outcomes ---------------------------------------------------------------------------------------------------------


def checks_of(site: Data, rules: Iterable[Rule], limits: Limits) -> Checks:
    """What the rules say of a site; no subject is answered twice by one rule, and each rule says something."""
    found: Checks = {}
    read = site_from_text(json.dumps(site))
    for rule in rules:
        for target in (read,) if rule.scope == "site" else read.areas:
            before = len(found)
            for one in rule.function(target, limits):
                key = (rule.id, getattr(target, "id", ""), one.subject.name)
                assert key not in found
                found[key] = one
            assert len(found) > before, f"{rule.id} says nothing"
    return found


def outcomes(checks: Checks) -> Answers:
    return {key: one.outcome for key, one in checks.items()}


def gained(before: Answers, after: Answers, bad: Collection[str]) -> list[Key]:
    """What meets now and was one of ``bad`` before."""
    return [key for key, outcome in after.items() if outcome == "meets" and before.get(key) in bad]


def never_better(before: Answers, after: Answers) -> None:
    """Nothing that fell short meets now."""
    assert gained(before, after, ("falls-short",)) == []


def nothing_gained(before: Answers, after: Answers) -> None:
    """Nothing that was not known, or fell short, meets now."""
    assert gained(before, after, OPEN) == []


def nothing_new(before: Answers, after: Answers) -> None:
    """All that meets now met before, or the rule was not about it (then under a shorter name)."""
    aside = {key[:2] for key, outcome in before.items() if outcome == "does-not-apply"}
    new = [key for key, outcome in after.items() if outcome == "meets" and before.get(key) != "meets"]
    assert [key for key in new if before.get(key, "does-not-apply") != "does-not-apply" or key[:2] not in aside] == []


def only_asks(answers: Answering, rules: Iterable[Rule]) -> None:
    """Of a site that says nothing, each rule asks, and none passes."""
    found = answers({"format": 1, "units": "in", "site": {"name": "Bare", "invented": True}, "areas": [{"id": "a"}]})
    assert {rule for rule, *_ in found} == {rule.id for rule in rules}
    assert set(found.values()) == {"not-measured"}


# --- places in a site's data ------------------------------------------------------------------------------------------


def at(tree: Any, path: Path) -> Any:
    for step in path:
        tree = tree[step]
    return tree


def put(tree: Any, path: Path, value: Any) -> Any:
    """A copy with one value changed or added."""
    changed = copy.deepcopy(tree)
    at(changed, path[:-1])[path[-1]] = value
    return changed


def without(tree: Any, path: Path) -> Any:
    """A copy with one thing left out."""
    changed = copy.deepcopy(tree)
    del at(changed, path[:-1])[path[-1]]
    return changed


def leaves(tree: Any, kept: Collection[str], whole: Collection[str] = (), path: Path = ()) -> Iterator[Path]:
    """Every single value, but nothing under a key of ``kept``; a list under a key of ``whole`` is one value."""
    if isinstance(tree, dict):
        for key, item in tree.items():
            if key not in kept:
                yield from leaves(item, kept, whole, (*path, key))
    elif isinstance(tree, list) and not (path and path[-1] in whole):
        for number, item in enumerate(tree):
            yield from leaves(item, kept, whole, (*path, number))
    else:
        yield path


def removable(
    tree: Any, kept: Collection[str], *, lists: bool = False, maps: bool = False, path: Path = ()
) -> Iterator[Path]:
    """What may be left out, but nothing under a key of ``kept``: values, lists of plain values, and if asked for
    lists of things and things themselves."""
    named = bool(path) and isinstance(path[-1], str)
    if isinstance(tree, dict):
        for key, item in tree.items():
            if key not in kept:
                yield from removable(item, kept, lists=lists, maps=maps, path=(*path, key))
        if maps and named:
            yield path
    elif isinstance(tree, list) and tree and isinstance(tree[0], dict):
        for number, item in enumerate(tree):
            yield from removable(item, kept, lists=lists, maps=maps, path=(*path, number))
        if lists and path:
            yield path
    elif named:
        yield path


def forgotten(tree: Any, facts: Collection[str], path: Path = ()) -> Iterator[Path]:
    """Every key at any depth, but those that say which site it is (``facts``)."""
    if isinstance(tree, dict):
        for key, item in tree.items():
            if key not in facts:
                yield (*path, key)
            yield from forgotten(item, facts, (*path, key))
    elif isinstance(tree, list):
        for number, item in enumerate(tree):
            yield from forgotten(item, facts, (*path, number))


# --- other ways to write it -------------------------------------------------------------------------------------------


def metric(tree: Any, is_length: Callable[[str], bool], sizes: Collection[str] = (), key: str = "") -> Any:
    """The same site in millimetres: numbers under a length's key, and ``8 x 10`` under a key of ``sizes``."""
    if isinstance(tree, dict):
        return {name: metric(item, is_length, sizes, name) for name, item in tree.items()}
    if isinstance(tree, list):
        return [metric(item, is_length, sizes, key) for item in tree]
    if key in sizes:
        return " x ".join(f"{float(side) * 25.4:.9f}" for side in tree.split(" x "))
    if isinstance(tree, int | float) and not isinstance(tree, bool) and is_length(key):
        return tree * 25.4
    return "mm" if key == "units" else tree


def metric_texts(site: Data) -> Data:
    """The same site in millimetres, where each length is written with its unit (a notch ``1/4 in`` stays)."""
    text = re.sub(r"(?<!/)(-?\b[\d.]+) in\b", lambda m: f"{float(m[1]) * 25.4:.6f} mm", json.dumps(site))
    found: Data = json.loads(text)
    return {**found, "units": "mm"}


def scaled(value: Any, factor: float) -> Any:
    """A number, or the number or fraction in front of a unit, times a factor."""
    if isinstance(value, int | float):
        return value * factor
    number, _, unit = value.partition(" ")
    top, _, bottom = number.partition("/")
    return f"{float(top) / float(bottom or 1) * factor:.9f} {unit}"
