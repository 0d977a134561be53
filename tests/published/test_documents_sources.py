"""Permits and inspections against the model code's text and the inspection cards of two cities."""

from __future__ import annotations

import datetime

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.stack import stack
from inspect_core.site import site_from_text


def test_a_permit_dies_after_180_days(packs: LoadedPacks) -> None:
    """IRC 2021 R105.5: void unless work starts within 180 days, or if it rests 180 days. Read from text."""
    life = stack(packs.packs).limits["permit-life"].value
    assert life is not None
    assert datetime.timedelta(minutes=life.value) == datetime.timedelta(days=180)


def test_inspections_come_in_the_order_of_the_cards(packs: LoadedPacks) -> None:
    """Springfield OR and Stevens Point WI lists: under-floor, post and beam, rough trades, framing, insulation, final.
    IRC 2021 R109.1.1 to R109.1.6 agrees: foundation, rough trades, frame, other, final. Read from text."""
    order = stack(packs.packs).limits["inspection-order"].words
    printed = ["under-floor", "rough-trades", "framing", "insulation", "final"]
    assert [stage for stage in order if stage in printed] == printed
    assert order[0] == "foundation"
    assert order[-1] == "final"


def test_tile_alone_needs_no_permit_and_a_moved_drain_does(packs: LoadedPacks) -> None:
    """IRC 2021 R105.2 (tiling and similar finish work) and R105.2.2 (moving drains is no ordinary repair). Read."""
    floor = """
format: 1
units: in
site: {{name: Bench, stage: planned, invented: true}}
documents: []
areas:
  - {{id: floor, supports: [], joists: [], openings: [], blocking: [], posts: [], piers: [], footings: [], wet_areas: [],
     layers: [{{id: L1, kind: tile, work: new}}], drains: [{drain}]}}
"""

    def permit(drain: str) -> str:
        report = inspect(site_from_text(floor.format(drain=drain)), packs)
        return next(f.outcome for f in report.findings if f.rule.id == "building-permit")

    assert permit("") == "does-not-apply"
    assert permit("{id: D1, work: existing}") == "does-not-apply"
    assert permit("{id: D1, work: altered}") == "falls-short"


def test_the_frame_before_the_pipes_is_a_fault_and_the_cards_order_is_custom(packs: LoadedPacks) -> None:
    """IRC 2021 R109.1.4: the frame after the trades. That under-floor comes before them is on the cards only. Read."""
    site = """
format: 1
units: in
site: {{name: Bench, stage: built, invented: true}}
documents:
  - {{id: I1, kind: inspection, state: on-site, covers: rough plumbing, date: 2026-05-10}}
  - {{id: I2, kind: inspection, state: on-site, covers: {other}, date: {date}}}
areas: [{{id: floor}}]
"""

    def order(other: str, date: str) -> tuple[str, str]:
        report = inspect(site_from_text(site.format(other=other, date=date)), packs)
        return next((f.outcome, f.severity) for f in report.findings if f.rule.id == "inspection-order")

    assert order("framing", "2026-05-11") == ("meets", "correction")
    assert order("framing", "2026-05-09") == ("falls-short", "correction")
    assert order("under-floor", "2026-05-11") == ("falls-short", "advisory")
    assert order("under-floor", "2026-05-09") == ("meets", "correction")
