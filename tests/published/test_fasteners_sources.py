"""Fastening limits of the base pack against the nailing schedules that they come from.

The expected figures are typed here from the source named beside each, not read from the pack.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from inspect_wood_floor import fasteners, frame_nails

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Limits, Rule, rules_in
from inspect_core.site import site_from_text

RULES: dict[str, Rule] = {rule.id: rule for module in (fasteners, frame_nails) for rule in rules_in(module)}
SPACING = ("subfloor-fastener-length", "subfloor-fastener-shank", "subfloor-fastener-edges", "subfloor-fastener-field")
Outcomes = Callable[[str, str], list[str]]


@pytest.fixture(scope="module")
def limits(packs: LoadedPacks) -> Limits:
    return stack(packs.packs).limits


@pytest.fixture(scope="module")
def outcomes(limits: Limits) -> Outcomes:
    def of(rule: str, text: str) -> list[str]:
        site = site_from_text(text)
        return [one.outcome for area in site.areas for one in RULES[rule].function(area, limits)]

    return of


def panel_floor(panel: str, nail: str, over: str = "") -> str:
    """A panel floor over joists at 16 in, as YAML."""
    return f"""
format: 1
units: in
site: {{name: Schedule bench, invented: true}}
areas:
  - id: floor
    outline: 96 x 96
    joists_run: north-south
    joists: [{{name: J, at: [0, 16, 32, 48, 64, 80, 96]}}]
    layers:
      - {{id: sub, kind: panel, work: new, {panel}, fasteners: {{{nail}}}}}
{over}"""


UNDERLAYMENT = "      - {id: over, kind: panel, thickness: 1/4}\n"

# IRC 2021 Table R602.3(1), text of state adoptions compared: subfloor rows. Thickness, nail, edges / field.
SUBFLOOR = [
    ("3/8", "kind: nail, length: 2, diameter: 0.113", 6, 12),  # to 1/2 in: 6d common
    ("1/2", "kind: ring-shank-nail, length: 2 3/8, diameter: 0.113", 6, 12),  # or 2 3/8 by 0.113
    ("19/32", "kind: nail, length: 2 1/2, diameter: 0.131", 6, 12),  # 19/32 to 3/4 in: 8d common
    ("3/4", "kind: ring-shank-nail, length: 2 3/8, diameter: 0.113", 6, 12),  # or deformed 2 3/8 by 0.113
    ("7/8", "kind: nail, length: 3, diameter: 0.148", 6, 12),  # 7/8 to 1 1/4 in: 10d common
    ("1 1/4", "kind: screw-shank-nail, length: 2 1/2, diameter: 0.131", 6, 12),  # or deformed 2 1/2 by 0.131
    # IRC 2021 Table R602.3(2), alternates
    ("5/8", "kind: nail, length: 2, diameter: 0.113", 3, 6),
    ("5/8", "kind: staple, length: 2", 4, 8),
    ("1/2", "kind: nail, length: 2 1/4, diameter: 0.099", 3, 6),
    ("3/4", "kind: nail, length: 2 1/4, diameter: 0.099", 4, 8),
    ("1", "kind: nail, length: 2 1/2, diameter: 0.099", 4, 8),
]


@pytest.mark.parametrize(("thickness", "nail", "edges", "field"), SUBFLOOR)
def test_the_subfloor_schedule_row_by_row(
    outcomes: Outcomes, thickness: str, nail: str, edges: float, field: float
) -> None:
    def at(edge: float, inner: float) -> list[str]:
        text = panel_floor(f"thickness: {thickness}", f"{nail}, edges: {edge}, field: {inner}", UNDERLAYMENT)
        return [outcomes(rule, text)[0] for rule in SPACING]

    assert "falls-short" not in at(edges, field)
    assert at(edges, field)[2:] == ["meets", "meets"]
    assert at(edges + 0.125, field)[2:] == ["falls-short", "meets"]
    assert at(edges, field + 0.125)[2:] == ["meets", "falls-short"]


def test_an_eighth_less_nail_is_not_in_the_schedule(outcomes: Outcomes) -> None:
    """IRC 2021 Table R602.3(1): 8d common is 2 1/2 in; with a plain shank nothing shorter does at 6 and 12 in."""
    text = panel_floor(
        "thickness: 3/4", "kind: nail, length: 2 3/8, diameter: 0.131, edges: 6, field: 12", UNDERLAYMENT
    )
    assert "falls-short" in [outcomes(rule, text)[0] for rule in SPACING]


@pytest.mark.parametrize(
    ("fastener", "count"),
    [("kind: nail, length: 2 1/2, diameter: 0.131", 43), ("kind: nail, length: 2 1/4, diameter: 0.099", 61)],
)
def test_fasteners_that_a_sheet_needs(outcomes: Outcomes, fastener: str, count: int) -> None:
    """Counted by hand on a 4 by 8 ft sheet over joists at 16 in, 3/8 in from its edges: seven joists, 47 1/4 in each.

    At 6 and 12 in: two rows of 9 and five rows of 5. At 4 and 8 in: two rows of 13 and five rows of 7.
    """

    def at(number: int) -> list[str]:
        sheet = "thickness: 3/4, sheet: 48 x 96, strong_axis: across-joists"
        return outcomes("subfloor-fastener-count", panel_floor(sheet, f"{fastener}, per_sheet: {number}"))

    assert at(count) == ["meets"]
    assert at(count - 1) == ["falls-short"]


def test_eight_inches_both_ways_is_about_48(limits: Limits) -> None:
    """Common practice, no source: screws at 8 in both ways make "about 48" in a sheet over joists at 16 in."""
    text = panel_floor(
        "thickness: 3/4, sheet: 48 x 96, strong_axis: across-joists",
        "kind: screw, length: 2 1/2, edges: 8, field: 8, per_sheet: 49",
    )
    (answer,) = RULES["subfloor-fastener-count"].function(site_from_text(text).areas[0], limits)
    made = int(answer.found.rpartition(" ")[2])
    assert abs(made - 48) <= 1


# Panel association guide Table 14 and IRC 2021 Table R602.3(2): underlayment. Thickness, fastener, edges, field.
UNDER = [
    ("1/4", "kind: ring-shank-nail, length: 1 1/4, diameter: 0.099", 3, 6),
    ("11/32", "kind: ring-shank-nail, length: 1 1/4, diameter: 0.099", 6, 8),
    ("1/2", "kind: screw-shank-nail, length: 1 1/4, diameter: 0.099", 6, 8),
    ("19/32", "kind: ring-shank-nail, length: 1 1/2, diameter: 0.099", 6, 12),
    ("3/4", "kind: staple, length: 1 1/2", 6, 8),
]


@pytest.mark.parametrize(("thickness", "nail", "edges", "field"), UNDER)
def test_the_underlayment_schedule(outcomes: Outcomes, thickness: str, nail: str, edges: float, field: float) -> None:
    def at(edge: float, inner: float) -> tuple[str, str]:
        over = f"      - {{id: over, kind: panel, work: new, thickness: {thickness}, fasteners: {{{nail}, "
        over += f"edges: {edge}, field: {inner}}}}}\n"
        text = panel_floor("thickness: 3/4", "kind: nail", over)
        edge_rule, field_rule = "underlayment-fastener-edges", "underlayment-fastener-field"
        return outcomes(edge_rule, text)[0], outcomes(field_rule, text)[0]

    assert at(edges, field) == ("meets", "meets")
    assert at(edges + 0.125, field + 0.125) == ("falls-short", "falls-short")


# IRC 2021 Table R602.3(1), text of state adoptions compared: frame nails. Rule, the member, nail, what is enough.
FRAME = [
    ("joist-sill-nails", "line: sill", "8d box", "count", 4),
    ("joist-sill-nails", "line: sill", "8d common", "count", 3),
    ("joist-sill-nails", "line: sill", "10d box", "count", 3),
    ("rim-joist-nails", "line: rim", "16d common", "count", 3),
    ("rim-joist-nails", "line: rim", "10d box", "count", 4),
    ("girder-end-nails", "line: beam, size: (2) 2x10", "20d common", "count", 2),
    ("girder-end-nails", "line: beam, size: (2) 2x10", "10d box", "count", 3),
    ("rim-sill-nails", "line: rim", "8d box", "spacing", 4),
    ("rim-sill-nails", "line: rim", "8d common", "spacing", 6),
    ("girder-ply-nails", "line: beam, size: (2) 2x10", "20d common", "spacing", 32),
    ("girder-ply-nails", "line: beam, size: (2) 2x10", "10d box", "spacing", 24),
]


@pytest.mark.parametrize(("rule", "member", "nail", "field", "enough"), FRAME)
def test_frame_nails(outcomes: Outcomes, rule: str, member: str, nail: str, field: str, enough: int) -> None:
    def at(amount: int) -> list[str]:
        return outcomes(
            rule,
            f"""
format: 1
units: in
site: {{name: Schedule bench, invented: true}}
areas:
  - id: floor
    supports: [{{id: S1, {member}, work: new, fasteners: {{name: {nail}, {field}: {amount}}}}}]
""",
        )

    assert at(enough) == ["meets"]
    assert at(enough - 1 if field == "count" else enough + 1) == ["falls-short"]
