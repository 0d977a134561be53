"""Drain rules against the tables that codes and trade pages print.

Which drain pipe passes which joist: holes by IRC 2021 R502.8.1 (a third of the depth, 2 in of wood above and below, read
in the text of state adoptions) and outside diameters of schedule 40 pipe, read in a pipe dimension chart:

=====  =======  ====  ====  ====  =====
pipe   outside  2x6   2x8   2x10  2x12
=====  =======  ====  ====  ====  =====
1-1/2  1.900    none  fits  fits  fits
2      2.375    none  fits  fits  fits
3      3.500    none  none  none  fits
4      4.500    none  none  none  none
=====  =======  ====  ====  ====  =====

Trap to vent: IRC 2021 Table P3105.1 as two trade pages quote it. Supports: Table P2605.1, 2018 IRC page 646.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.engineering.drainage import BoreLimits, Crossing, pipe_size, start_window
from inspect_core.site import site_from_text

Answering = Callable[[str, dict[str, Any]], str]


@pytest.fixture(scope="module")
def answer(packs: LoadedPacks) -> Answering:
    """What one rule says of the only drain, or pipe, of an area."""
    rules = stack(packs.packs)

    def of(rule_id: str, area: dict[str, Any]) -> str:
        site = {"format": 1, "units": "in", "site": {"name": "Table bench", "work": "new", "invented": True}}
        site["areas"] = [{"id": "floor", "drains": [], "water_pipes": [], **area}]
        (found,) = site_from_text(json.dumps(site)).areas
        rule = rules.rule(rule_id)
        assert rule is not None
        outcomes = {one.outcome for one in rule.rule.function(found, rules.limits)} - {"does-not-apply"}
        (outcome,) = outcomes
        return outcome

    return of


FITS = {1.5: ("2x8", "2x10", "2x12"), 2: ("2x8", "2x10", "2x12"), 3: ("2x12",), 4: ()}
DEPTHS = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}  # in, dressed (PS 20)


@pytest.mark.parametrize("joist", DEPTHS)
@pytest.mark.parametrize("pipe", FITS)
def test_which_pipe_passes_which_joist(answer: Answering, pipe: float, joist: str) -> None:
    size = pipe_size("pvc", pipe)
    assert size is not None
    level = start_window([Crossing(24, DEPTHS[joist], 1.5)], size.outside_in, 0.0, BoreLimits(1 / 3, 2, 2))
    assert (level is not None) == (joist in FITS[pipe])
    if level is None:
        return
    area = {
        "supports": [{"id": "S1", "at": -3.5, "width": 3.5}, {"id": "S2", "at": 120, "width": 3.5}],
        "joists": [
            {
                "name": "J",
                "from": "S1",
                "to": "S2",
                "at": [24],
                "each": {"size": joist, "sizes": "nominal", "kind": "sawn"},
            }
        ],
    }
    drain = {"id": "D", "size": pipe, "material": "pvc", "through": "holes", "slope": "0 in per ft"}
    for start in level:
        route = {"route": [[0, 60], [48, 60]], "start_below_joist_top": start}
        for rule in ("drain-hole-size", "drain-hole-height"):
            assert answer(rule, {**area, "drains": [{**drain, **route}]}) == "meets"


TRAP_ARMS = [  # trap (in), slope (in per ft), to the vent (ft), and by the UPC (in): both as the trade pages print them
    (1.25, 0.25, 5, 30),
    (1.5, 0.25, 6, 42),
    (2, 0.25, 8, 60),
    (3, 0.125, 12, 72),
    (4, 0.125, 16, 120),
]


@pytest.mark.parametrize(("size", "slope", "feet", "upc"), TRAP_ARMS)
def test_trap_arms(answer: Answering, size: float, slope: float, feet: float, upc: float) -> None:
    def drain(arm: float) -> dict[str, Any]:
        return {"drains": [{"id": "D", "slope": f"{slope} in per ft", "trap": {"kind": "p", "size": size, "arm": arm}}]}

    assert answer("trap-arm-length", drain(feet * 12)) == "meets"
    assert answer("trap-arm-length", drain(feet * 12 + 1)) == "falls-short"
    assert answer("trap-arm-length", drain(upc)) == "meets"  # the stricter code's length is always within
    # The table's own reason: at its slope the pipe falls no more than its diameter.
    assert answer("trap-arm-fall", drain(feet * 12)) == "meets"


SUPPORTS = [  # material, size (in), table's spacing (in)
    ("abs", 2, 48),
    ("pvc", 3, 48),
    ("copper", 1.25, 72),
    ("copper", 1.5, 120),
    ("pex", 1, 32),
    ("pex", 1.25, 48),
    ("cpvc", 1, 36),
    ("cpvc", 1.25, 48),
]


@pytest.mark.parametrize(("material", "size", "spacing"), SUPPORTS)
def test_supports(answer: Answering, material: str, size: float, spacing: float) -> None:
    for apart, outcome in ((spacing, "meets"), (spacing + 1, "falls-short")):
        drain = {"id": "D", "material": material, "size": size, "supports_every": apart}
        assert answer("pipe-supports", {"drains": [drain]}) == outcome


@pytest.mark.parametrize(("size", "fall"), [(1.5, 0.25), (2, 0.25), (2.5, 0.25), (3, 0.125), (4, 0.125), (6, 0.125)])
def test_slopes(answer: Answering, size: float, fall: float) -> None:
    """Slope by size: IRC 2021 P3005.3 and Chicago table 18-29-704.1, read."""
    for slope, outcome in ((fall, "meets"), (fall * 0.99, "falls-short")):
        drain = {"id": "D", "size": size, "slope": f"{slope} in per ft"}
        assert answer("drain-slope", {"drains": [drain]}) == outcome
