"""What must hold of the computed subfloor whatever the numbers: worse floors never pass, unknowns never help."""

from __future__ import annotations

import copy
import json
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engine import load_packs, stack
from inspect_core.rules_api import FALLS_SHORT, MEETS, NOT_MEASURED, Check, Limits, Rule
from inspect_core.site import site_from_text

RULES = ("subfloor-stiffness", "subfloor-strength", "subfloor-point-load")
Floor = dict[str, Any]

SHEETS = (
    {"material": "osb", "thickness": "7/16", "rating": "24/16"},
    {"material": "osb", "thickness": "19/32", "rating": "16oc"},
    {"material": "osb", "thickness": "23/32", "rating": "24oc"},
    {"material": "plywood", "thickness": "19/32", "rating": "40/20"},
    {"material": "plywood", "thickness": "23/32", "rating": "48/24"},
    {"material": "plywood", "thickness": "1 1/8", "rating": "48oc"},
)
THICKER = ("24/16", "16oc", "20oc", "24oc", "32oc", "48oc")


@cache
def in_force() -> tuple[Limits, tuple[Rule, ...]]:
    rules = stack(load_packs().packs)
    found = [rules.rule(name) for name in RULES]
    return rules.limits, tuple(one.rule for one in found if one is not None)


def answers(floor: Floor) -> dict[str, list[Check]]:
    site = site_from_text(json.dumps(floor), "law")
    limits, rules = in_force()
    return {rule.id: list(rule.function(site.areas[0], limits)) for rule in rules}


def outcomes(floor: Floor) -> dict[tuple[str, str], str]:
    return {(name, check.subject.name): check.outcome for name, checks in answers(floor).items() for check in checks}


def floor_of(spacings: list[float], sheets: list[dict[str, Any]], finish: str = "ceramic-tile") -> Floor:
    places = [0.75]
    for spacing in spacings:
        places.append(places[-1] + spacing)
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "law", "invented": True},
        "areas": [
            {
                "id": "floor",
                "use": "bathroom",
                "finish": finish,
                "outline": f"{places[-1] + 0.75:.6f} x 96",
                "joists_run": "north-south",
                "supports": [
                    {"id": "S1", "line": "sill", "at": -5.5, "width": 5.5},
                    {"id": "B1", "line": "beam", "at": 96, "width": 6},
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [f"{place:.6f}" for place in places],
                        "each": {"size": "2x8", "sizes": "nominal"},
                    }
                ],
                "openings": [],
                "layers": [{"kind": "panel", **sheet} for sheet in sheets],
            }
        ],
    }


@st.composite
def sheets(draw: st.DrawFn) -> list[dict[str, Any]]:
    found = []
    for number in range(draw(st.integers(1, 2))):
        sheet = dict(draw(st.sampled_from(SHEETS)))
        sheet["strong_axis"] = draw(st.sampled_from(["across-joists", "along-joists"]))
        sheet["spans_crossed"] = draw(st.integers(1, 4))
        sheet["joints"] = draw(st.sampled_from(["tongue-and-groove", "square"]))
        sheet["attached_to"] = "layer-below" if number else "joists"
        if number:
            sheet["edge_offset"] = draw(st.sampled_from([0, 1, 12]))
        found.append(sheet)
    return found


FINISHES = st.sampled_from(["ceramic-tile", "natural-stone", "wood"])
SPACINGS = st.lists(st.floats(10, 40).map(lambda x: round(x, 3)), min_size=1, max_size=3)
RANK = {FALLS_SHORT: 0, NOT_MEASURED: 1, MEETS: 2}


def no_better(worse: dict[tuple[str, str], str], better: dict[tuple[str, str], str]) -> None:
    assert worse.keys() == better.keys()
    for key, outcome in worse.items():
        if outcome in RANK and better[key] in RANK:
            assert RANK[outcome] <= RANK[better[key]], key


@settings(max_examples=40, deadline=None)
@given(SPACINGS, sheets(), FINISHES, st.integers(0, 2), st.floats(0.01, 20))
def test_a_wider_bay_is_no_better(
    spacings: list[float], panels: list[dict[str, Any]], finish: str, which: int, wider: float
) -> None:
    wide = list(spacings)
    wide[which % len(wide)] += wider
    no_better(outcomes(floor_of(wide, panels, finish)), outcomes(floor_of(spacings, panels, finish)))


@settings(max_examples=40, deadline=None)
@given(SPACINGS, sheets(), FINISHES)
def test_another_layer_is_no_worse(spacings: list[float], panels: list[dict[str, Any]], finish: str) -> None:
    """In stiffness; the strength of layers together may be less than that of one, when one is stiff and weak."""
    bare = outcomes(floor_of(spacings, panels[:1], finish))
    more = outcomes(floor_of(spacings, panels, finish))
    if len(panels) > 1 and panels[1]["spans_crossed"] >= panels[0]["spans_crossed"]:
        key = ("subfloor-stiffness", "layer 1 (panel)")
        assert RANK[bare[key]] <= RANK[more[key]]


@settings(max_examples=30, deadline=None)
@given(SPACINGS, st.integers(0, len(THICKER) - 2), st.integers(1, 3), FINISHES)
def test_a_stronger_stamp_is_no_worse(spacings: list[float], weak: int, spans: int, finish: str) -> None:
    def one(rating: str) -> list[dict[str, Any]]:
        return [
            {"material": "osb", "rating": rating, "strong_axis": "across-joists", "spans_crossed": spans,
             "joints": "tongue-and-groove"}
        ]  # fmt: skip

    no_better(
        outcomes(floor_of(spacings, one(THICKER[weak]), finish)),
        outcomes(floor_of(spacings, one(THICKER[weak + 1]), finish)),
    )


MEASUREMENTS = (
    "material",
    "rating",
    "thickness",
    "strong_axis",
    "spans_crossed",
    "joints",
    "attached_to",
    "edge_offset",
)


@settings(max_examples=60, deadline=None)
@given(SPACINGS, sheets(), FINISHES, st.sets(st.sampled_from(MEASUREMENTS), min_size=1), st.integers(0, 1))
def test_removing_what_was_measured_of_a_layer_makes_nothing_meet(
    spacings: list[float], panels: list[dict[str, Any]], finish: str, gone: set[str], which: int
) -> None:
    before = outcomes(floor_of(spacings, panels, finish))
    fewer = copy.deepcopy(panels)
    for name in gone:
        fewer[which % len(fewer)].pop(name, None)
    after = outcomes(floor_of(spacings, fewer, finish))
    assert {key for key, outcome in after.items() if outcome == MEETS} <= {
        key for key, outcome in before.items() if outcome == MEETS
    }


@settings(max_examples=40, deadline=None)
@given(SPACINGS, sheets(), FINISHES, st.sampled_from(["finish", "use", "outline", "layers", "joists", "size", "at"]))
def test_removing_what_was_measured_of_the_room_makes_nothing_meet(
    spacings: list[float], panels: list[dict[str, Any]], finish: str, gone: str
) -> None:
    floor = floor_of(spacings, panels, finish)
    before = outcomes(floor)
    area = floor["areas"][0]
    if gone == "size":
        del area["joists"][0]["each"]["size"]
    elif gone == "at":
        area["joists"][0]["at"][-1] = "unknown"
    else:
        del area[gone]
    after = outcomes(floor)
    assert {key for key, outcome in after.items() if outcome == MEETS} <= {
        key for key, outcome in before.items() if outcome == MEETS
    }


@settings(max_examples=30, deadline=None)
@given(SPACINGS, sheets(), FINISHES)
def test_millimetres_give_the_same_answers(spacings: list[float], panels: list[dict[str, Any]], finish: str) -> None:
    floor = floor_of(spacings, panels, finish)
    metric = copy.deepcopy(floor)
    area = metric["areas"][0]
    metric["units"] = "mm"
    area["joists"][0]["at"] = [f"{float(place) * 25.4:.6f} mm" for place in area["joists"][0]["at"]]
    area["outline"] = f"{float(area['outline'].split()[0]) * 25.4:.6f} x {96 * 25.4} mm"
    for support in area["supports"]:
        support["at"], support["width"] = (f"{support[key] * 25.4} mm" for key in ("at", "width"))
    for layer in area["layers"]:
        layer["thickness"] += " in"
        if "edge_offset" in layer:
            layer["edge_offset"] = f"{layer['edge_offset'] * 25.4} mm"
    assert outcomes(metric) == outcomes(floor)


@settings(max_examples=20, deadline=None)
@given(SPACINGS, sheets(), st.randoms(use_true_random=False))
def test_the_order_of_joists_changes_nothing(
    spacings: list[float], panels: list[dict[str, Any]], shuffled: Any
) -> None:
    floor = floor_of(spacings, panels)
    group = floor["areas"][0]["joists"][0]
    split = copy.deepcopy(floor)
    singles = [{**group, "name": f"K{n}", "at": [place]} for n, place in enumerate(group["at"])]
    shuffled.shuffle(singles)
    split["areas"][0]["joists"] = singles
    assert outcomes(split) == outcomes(floor)


def test_more_layers_than_anyone_lays_are_answered() -> None:
    """A hundred panels on one another are no reason to try every way in which they may lie."""
    stack_of = [{"material": "plywood", "thickness": "23/32"}] * 100
    found = answers(floor_of([16.0], stack_of))
    assert all(len(checks) == 1 for checks in found.values())


@pytest.mark.parametrize("rule", RULES)
def test_the_smallest_site_says_what_to_look_at(rule: str) -> None:
    found = answers({"format": 1, "units": "in", "site": {"name": "small"}, "areas": [{"id": "a"}]})[rule]
    assert [check.outcome for check in found] == [NOT_MEASURED]
    assert found[0].asks


def test_the_working_leads_to_the_number() -> None:
    found = answers(floor_of([16.0, 19.2], [dict(SHEETS[2], strong_axis="across-joists", spans_crossed=3,
                                                 joints="tongue-and-groove")]))  # fmt: skip
    for name in ("subfloor-stiffness", "subfloor-point-load"):
        (check,) = found[name]
        assert check.working[-3 if name == "subfloor-stiffness" else -1].symbol == "L/Δ"
        ratios = [step.result for step in check.working if step.symbol == "L/Δ"]
        assert ratios == [pytest.approx(check.measured.low)]  # type: ignore[union-attr]
        assert "bay J2–J3" in check.found
    (check,) = found["subfloor-strength"]
    uses = [step.result for step in check.working if step.symbol in ("bending", "shear")]
    assert max(uses) == pytest.approx(check.measured.high)  # type: ignore[union-attr]
