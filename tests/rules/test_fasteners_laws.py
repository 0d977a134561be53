"""Laws of the rules about fasteners, glue and frame nails: what must hold whatever the numbers are."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import fasteners, frame_nails, glued_floor

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Limits, rules_in
from inspect_core.site import site_from_text

RULES = [rule for module in (fasteners, glued_floor, frame_nails) for rule in rules_in(module)]
Answers = dict[tuple[str, str], str]
Answering = Callable[[dict[str, Any]], Answers]
Step = tuple[str | int, ...]


def outcomes(site: dict[str, Any], limits: Limits) -> Answers:
    """Outcome by rule and subject; no subject is answered twice by one rule, and each rule says something."""
    found: Answers = {}
    for area in site_from_text(json.dumps(site)).areas:
        for rule in RULES:
            before = len(found)
            for one in rule.function(area, limits):
                assert (rule.id, one.subject.name) not in found
                found[rule.id, one.subject.name] = one.outcome
            assert len(found) > before, f"{rule.id} says nothing"
    return found


@pytest.fixture(scope="module")
def answers(packs: LoadedPacks) -> Answering:
    limits = stack(packs.packs).limits
    return lambda site: outcomes(site, limits)


def none_better(before: Answers, after: Answers) -> None:
    """Nothing that fell short meets now."""
    assert [key for key, outcome in after.items() if outcome == "meets" and before.get(key) == "falls-short"] == []


def none_gained(before: Answers, after: Answers) -> None:
    """All that meets now met before, or the rule was not about it."""
    had = ("meets", "does-not-apply")
    assert [key for key, outcome in after.items() if outcome == "meets" and before.get(key) not in had] == []


lengths = st.integers(1, 26).map(lambda n: n / 2)
NAMES = ["6d common", "8d box", "8d common", "10d box", "10d", "16d common", "20d common"]
KINDS = ["nail", "ring-shank-nail", "screw-shank-nail", "screw", "staple", "drywall-screw", "bolt"]


@st.composite
def fastened(draw: st.DrawFn) -> dict[str, Any]:
    size: dict[str, Any] = {"length": draw(st.sampled_from([1.25, 1.5, 2, 2.25, 2.375, 2.5, 3]))}
    size["diameter"] = draw(st.sampled_from([0.097, 0.099, 0.113, 0.128, 0.131, 0.148, 0.5]))
    kind = draw(st.sampled_from(KINDS))
    if kind in ("nail", "ring-shank-nail") and draw(st.booleans()):
        size = {"name": draw(st.sampled_from(NAMES))}
    return {
        "kind": kind,
        "edges": draw(lengths),
        "field": draw(lengths),
        "spacing": draw(lengths) * 4,
        "rows": draw(st.integers(1, 3)),
        "count": draw(st.integers(1, 5)),
        "per_sheet": draw(st.integers(30, 70)),
        "edge_distance": draw(st.integers(1, 8)) / 16,
        "coating": draw(st.sampled_from(["bright", "stainless"])),
        "standard": draw(st.sampled_from(["none", "report 1"])),
        **size,
    }


@st.composite
def layers(draw: st.DrawFn) -> list[dict[str, Any]]:
    found = []
    for number in range(draw(st.integers(1, 3))):
        found.append(
            {
                "id": f"L{number}",
                "kind": draw(st.sampled_from(["panel", "panel", "boards", "felt"])),
                "thickness": draw(st.sampled_from([0.25, 0.34375, 0.5, 0.59375, 0.625, 0.75, 0.875, 1.125, 1.5])),
                "sheet": "48 x 96",
                "strong_axis": draw(st.sampled_from(["across-joists", "along-joists"])),
                "work": draw(st.sampled_from(["existing", "new"])),
                "fasteners": draw(fastened()),
                "adhesive": {
                    "kind": draw(st.sampled_from(["construction", "none"])),
                    "where": draw(st.sampled_from(["each-joist", "full-bed", "spots"])),
                    "standard": draw(st.sampled_from(["ASTM D3498", "none"])),
                    "bead": draw(st.integers(1, 4)) / 8,
                    "double_at_joints": draw(st.booleans()),
                },
            }
        )
    return found


@st.composite
def sites(draw: st.DrawFn) -> dict[str, Any]:
    """One room over a sill, a rim and a doubled girder, a block, joists 12 to 48 in apart, and one to three layers."""
    spacing = draw(st.sampled_from([12, 16, 19.2, 24, 48]))
    support = {"work": "new"}
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "invented": True},
        "areas": [
            {
                "id": "floor",
                "outline": "96 x 96",
                "joists_run": "north-south",
                "finish": draw(st.sampled_from(["ceramic-tile", "none"])),
                "supports": [
                    {"id": "S1", "line": "sill", "at": 0, "width": 5.5, "treated": draw(st.booleans()), **support},
                    {"id": "R1", "line": "rim", "at": 0, "width": 1.5, "treated": draw(st.booleans()), **support},
                    {
                        "id": "B1",
                        "line": "beam",
                        "at": 90,
                        "plies": 2,
                        "thickness": 1.5,
                        "depth": 9.25,
                        "treated": False,
                        **support,
                    },
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [n * spacing for n in range(int(96 / spacing) + 1)],
                        "each": {"thickness": 1.5, "depth": 7.25, "treated": False, "work": "new"},
                    }
                ],
                "blocking": [
                    {
                        "id": "K1",
                        "kind": "solid",
                        "purpose": draw(st.sampled_from(["panel-edge", "bridging"])),
                        **support,
                    }
                ],
                "layers": draw(layers()),
            }
        ],
    } | {"_held": [draw(fastened()) for _ in range(4)]}


def written(site: dict[str, Any]) -> dict[str, Any]:
    """The site with fasteners put into its supports and its block."""
    whole = copy.deepcopy(site)
    area = whole["areas"][0]
    for part, held in zip([*area["supports"], *area["blocking"]], whole.pop("_held"), strict=True):
        part["fasteners"] = held
    return whole


def leaves(value: Any, path: Step = ()) -> Iterator[Step]:
    """Paths of all that was measured or seen; names and what is needed to read the file stay."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in ("format", "units", "site", "id", "from", "to", "at", "line"):
                yield from leaves(item, (*path, key))
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from leaves(item, (*path, number))
    else:
        yield path


def changed(site: dict[str, Any], path: Step, value: Any) -> dict[str, Any]:
    whole = copy.deepcopy(site)
    holder = whole
    for step in path[:-1]:
        holder = holder[step]  # type: ignore[index]
    holder[path[-1]] = value  # type: ignore[index]
    return whole


def value_at(site: Any, path: Step) -> Any:
    for step in path:
        site = site[step]
    return site


#: Which way each measurement gets worse. A longer or thicker nail is better, a wider spacing worse.
WORSE = {"edges": 1, "field": 1, "spacing": 1, "length": -1, "diameter": -1, "rows": -1, "count": -1, "per_sheet": -1,
         "edge_distance": -1, "bead": -1}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999), by=st.sampled_from([0.02, 0.3, 0.6]))
def test_wider_shorter_thinner_or_fewer_is_never_better(
    answers: Answering, site: dict[str, Any], pick: int, by: float
) -> None:
    whole = written(site)
    before = answers(whole)
    paths = [path for path in leaves(whole) if path[-1] in WORSE]
    path = paths[pick % len(paths)]
    value, way = value_at(whole, path), WORSE[path[-1]]
    worse = max(value - 1, 0) if isinstance(value, int) and path[-1] in COUNTS else value * (1 + way * by)
    none_better(before, answers(changed(whole, path, worse)))


COUNTS = ("rows", "count", "per_sheet")


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_knowing_less_never_gains_a_pass(answers: Answering, site: dict[str, Any], pick: int) -> None:
    whole = written(site)
    before = answers(whole)
    paths = list(leaves(whole))
    none_gained(before, answers(changed(whole, paths[pick % len(paths)], "unknown")))


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: dict[str, Any]) -> None:
    whole = written(site)
    metric = copy.deepcopy(whole)
    for path in [*leaves(whole), *places(whole)]:
        value = value_at(whole, path)
        if path[-1] == "sheet":
            metric = changed(metric, path, "1219.2 x 2438.4")
        elif path[-1] == "outline":
            metric = changed(metric, path, "2438.4 x 2438.4")
        elif isinstance(value, int | float) and not isinstance(value, bool) and path[-1] not in (*COUNTS, "plies"):
            metric = changed(metric, path, value * 25.4)
    assert answers({**metric, "units": "mm"}) == answers(whole)


def places(site: dict[str, Any]) -> Iterator[Step]:
    """Places on the tapes, which `leaves` leaves out."""
    area = site["areas"][0]
    for number in range(len(area["supports"])):
        yield ("areas", 0, "supports", number, "at")
    for number in range(len(area["joists"][0]["at"])):
        yield ("areas", 0, "joists", 0, "at", number)


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_the_order_of_supports_changes_nothing(answers: Answering, site: dict[str, Any]) -> None:
    whole = written(site)
    turned = copy.deepcopy(whole)
    turned["areas"][0]["supports"].reverse()
    assert answers(turned) == answers(whole)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    empty = {"format": 1, "units": "in", "site": {"name": "x"}, "areas": [{"id": "a"}]}
    assert set(answers(empty).values()) == {"not-measured"}
