"""The sample of a tub's drain that can't pass its last joist: nothing else is open, and what the finding says mends it."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.site import site_from_text

SAMPLE = Path(__file__).parents[2] / "sample_sites" / "kiln-house-tub.site.yaml"
START, ROUTE = "start_below_joist_top: 3 1/8", "[[15, 70], [80, 70], [80, 60]]"


def report(text: str, packs: LoadedPacks) -> Report:
    return inspect(site_from_text(text), packs)


def test_nothing_is_open_but_one_computed_hole(packs: LoadedPacks) -> None:
    found = report(SAMPLE.read_text("utf-8"), packs).open_findings("advisory")
    assert [(f.rule.id, f.subject, f.outcome) for f in found] == [
        ("drain-hole-height", "drain D1, at joist J6", "falls-short")
    ]
    # By hand: the hole's centre lies 3 1/8 + 0.95 + 57/48 = 5.26 in down, its half is 0.97, the joist is 8 in deep.
    measured = found[0].check.measured
    assert measured is not None and not isinstance(measured, str)
    assert measured.value == pytest.approx(8 - 5.26 - 0.97, abs=0.01)
    assert "it would pass with its start 1 7/8 in to 2 7/8 in below the joist tops" in found[0].check.found
    assert "11 1/4 in nearer to the stack (at 26 1/4 in on the tape across)" in found[0].check.found


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (START, "start_below_joist_top: 1 7/8"),
        (START, "start_below_joist_top: 2 7/8"),
        (ROUTE, "[[26 1/4, 70], [80, 70], [80, 60]]"),
    ],
)
def test_the_places_that_it_names_mend_it(packs: LoadedPacks, old: str, new: str) -> None:
    text = SAMPLE.read_text("utf-8")
    assert text.count(old) == 1
    found = report(text.replace(old, new), packs).open_findings("advisory")
    assert [(f.rule.id, f.subject) for f in found if f.rule.topic == "drains"] == []
