"""The insulated lock cottage: everything meets by itself, and only the calculation finds the water in the floor."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.report.working import steps_of
from inspect_core.site import site_from_text

TEXT = (Path(__file__).parents[2] / "sample_sites" / "lock-cottage-insulated.site.yaml").read_text("utf-8")


def report(packs: LoadedPacks, old: str = "", new: str = "") -> Report:
    assert TEXT.count(old) == 1 or not old
    return inspect(site_from_text(TEXT.replace(old, new) if old else TEXT), packs)


def open_rules(found: Report) -> list[str]:
    return [f"{finding.rule.id}: {finding.outcome}" for finding in found.open_findings("advisory")]


def test_it_falls_short_by_condensation_alone(packs: LoadedPacks) -> None:
    found = report(packs)
    (finding,) = found.open_findings("advisory")
    assert (finding.rule.id, finding.outcome) == ("floor-condensation", "falls-short")
    assert "between the insulation's lower facing and insulation" in finding.message("in")
    steps = steps_of(finding.check.working)
    assert max(step.result for step in steps if step.symbol == "φ") > 100
    assert [step.result > 0 for step in steps if step.symbol == "g"] == [True]
    assert found.exit_code("advisory") == 1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("insulation_retarder: bottom", "insulation_retarder: top"),  # the batts turned over
        ("insulation_retarder: bottom", "insulation_retarder: none"),  # and the foil pulled off, if the air is drier
        ("air: {temperature: 38 F, humidity: 75}              # January", "air: {temperature: 68 F, humidity: 50}"),
    ],
)
def test_what_mends_it(packs: LoadedPacks, old: str, new: str) -> None:
    found = open_rules(report(packs, old, new))
    assert "floor-condensation: falls-short" not in found


def test_the_batts_turned_over_meet_everything(packs: LoadedPacks) -> None:
    assert open_rules(report(packs, "insulation_retarder: bottom", "insulation_retarder: top")) == []
