"""Bearing of joists and girders against published figures."""

from __future__ import annotations

import json
from typing import Any

import pytest
from inspect_wood_floor._reactions import pressure

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import RuleSet, stack
from inspect_core.quantities import Dimension, exactly
from inspect_core.rules_api import Check
from inspect_core.site import site_from_text


@pytest.fixture(scope="module")
def rules(packs: LoadedPacks) -> RuleSet:
    return stack(packs.packs)


def checks(rules: RuleSet, rule_id: str, area: dict[str, Any]) -> list[Check]:
    site = {"format": 1, "units": "in", "site": {"name": "Source bench", "invented": True}, "areas": [area]}
    rule = rules.rule(rule_id)
    assert rule is not None
    (one,) = site_from_text(json.dumps(site)).areas
    return list(rule.rule.function(one, rules.limits))


def hud_joist(span_in: float, bearing_in: float) -> dict[str, Any]:
    """HUD's example 5.1: hem-fir No.1 2x8 at 16 in; three joists with no wall beside the middle one."""
    each = {"size": "2x8", "sizes": "nominal", "species": "hem-fir", "grade": "No.1", "moisture": 12, "kind": "sawn"}
    each["bearing"] = {"S1": bearing_in, "S2": bearing_in}
    steel = {"line": "beam", "kind": "steel", "surface": "steel", "width": 6}  # only the joist can be crushed
    return {
        "id": "floor",
        "use": "bedroom",  # 30 psf, as in the example
        "fixtures": [],
        "partitions": [],
        "outline": f"32 in x {span_in} in",
        "joists_run": "north-south",
        "supports": [{"id": "S1", "at": -6, **steel}, {"id": "S2", "at": span_in, **steel}],
        "joists": [{"name": "J", "from": "S1", "to": "S2", "at": [0, 16, 32], "each": each}],
    }


def test_hud_example_5_1_span_by_bearing(rules: RuleSet) -> None:
    """HUD Residential Structural Design Guide, second edition, example 5.1 (public domain): 45.6 ft.

    Under 30 psf live and 10 psf dead, 405 psi and 2 in of bearing carry a 2x8 at 16 in as far as that. Here: the span
    that uses all of the wood, found from the pressure that the rule works out at a shorter span.
    """
    span = 12 * 12.0
    answers = checks(rules, "joist-bearing-stress", hud_joist(span, 2))
    found = [c for c in answers if c.subject.name.startswith("joist J2")]
    assert len(found) == 2
    for one in found:
        assert one.outcome == "meets"
        assert one.measured is not None and not isinstance(one.measured, str)
        assert one.limit is not None and one.limit.value is not None
        assert one.limit.value.value == 405
        # The kind end is 30 + 10 psf; pressure goes with the span, whose ends the rule takes 1/4 in inside the faces.
        clear = span - 0.5
        assert clear * 405 / one.measured.low / 12 == pytest.approx(45.6, abs=0.05)


def test_girder_bearing_that_asks_for_two_studs() -> None:
    """IRC 2021 Table R602.7(2), 2-2x10 girder under one floor of a 24 ft house, printed 6-6 with two jack studs.

    600 lb per ft over 6-6 bring 1950 lb, which 3 in of girder at 405 psi carry on 1.60 in: more than one 1.5 in stud.
    """
    reaction = exactly(600 * 6.5 / 2, Dimension.FORCE)
    assert reaction.value == 1950
    one = pressure(reaction, exactly(3 * 1.5, Dimension.AREA))
    two = pressure(reaction, exactly(3 * 3.0, Dimension.AREA))
    assert one is not None and two is not None
    assert one.value > 405 > two.value
    assert one.value * 1.5 / 405 == pytest.approx(1.60, abs=0.01)


@pytest.mark.parametrize(("surface", "needed"), [("wood", 1.5), ("steel", 1.5), ("masonry", 3.0), ("concrete", 3.0)])
def test_bearing_lengths_of_the_model_code(rules: RuleSet, surface: str, needed: float) -> None:
    """IRC 2021 R502.6, read in the text of state adoptions: 1-1/2 in on wood or metal, 3 in on masonry or concrete."""
    for more, outcome in ((0.0, "meets"), (-0.01, "falls-short")):
        area = hud_joist(144, needed + more)
        for support in area["supports"]:
            support |= {"surface": surface, "kind": "unknown"}
        assert {c.outcome for c in checks(rules, "joist-bearing", area)} == {outcome}


@pytest.mark.parametrize(
    ("nails", "outcome"),
    [
        ({"count": 3, "name": "16d common"}, "meets"),
        ({"count": 4, "name": "16d box"}, "meets"),
        ({"count": 4, "name": "10d box"}, "meets"),
        ({"count": 3, "name": "10d box"}, "falls-short"),
        ({"count": 2, "name": "16d common"}, "falls-short"),
    ],
)
def test_ledger_strip_nails_of_the_fastener_table(rules: RuleSet, nails: dict[str, Any], outcome: str) -> None:
    """IRC 2021 Table R602.3(1), ledger strip at each joist: 3-16d common, 4-16d box or 4-10d box."""
    area = hud_joist(144, 3)
    hung = {"S2": {"by": "ledger-strip", "strip_size": "2x2", "fasteners": nails}}
    area["joists"][0]["each"] |= {"hung": hung, "bearing": {"S1": 3}}
    assert {c.outcome for c in checks(rules, "ledger-strip-nails", area)} == {outcome}


@pytest.mark.parametrize(("lap", "outcome"), [(3, "meets"), (2.9, "falls-short")])
def test_lap_of_the_model_code(rules: RuleSet, lap: float, outcome: str) -> None:
    """IRC 2021 R502.6.1: joists from opposite sides of a support lap at least 3 in."""
    area = hud_joist(144, 3)
    area["joists"][0]["each"]["joints"] = {"S2": {"kind": "lap", "length": lap}}
    assert {c.outcome for c in checks(rules, "joist-lap-length", area)} == {outcome}
