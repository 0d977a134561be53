"""Where the strength across the grain comes from, where a joist lies on wood."""

from __future__ import annotations

import copy

import pytest
from case_answers import case_sites
from inspect_wood_floor import bearing
from laws import Checking

from inspect_core.rules_api import rules_in

RULES = [rule for rule in rules_in(bearing) if rule.id == "joist-bearing-stress"]


@pytest.mark.parametrize(
    ("sill", "source"),
    [
        ("hem-fir", "NDS Supplement Table 4A, Hem-fir"),
        ("southern-pine", "NDS Supplement Table 4A, Hem-fir; NDS Supplement Table 4B, Southern pine"),
    ],
)
def test_the_strength_across_the_grain_names_its_tables_once_each(checks: Checking, sill: str, source: str) -> None:
    site = copy.deepcopy(case_sites("bearing")["joist-bearing-stress", "known species, dry, ample bearing"])
    site["areas"][0]["supports"][0] |= {"species": sill, "grade": "No.2", "moisture": 14, "size": "2x6"}
    (found,) = (one for (_, _, name), one in checks(site).items() if name == "joist J1, south end on S1")
    assert found.limit is not None
    assert found.limit.source == source
