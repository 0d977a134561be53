"""The example pack of real state rows does what its cases say, and each row holds only where the site names the place."""

from __future__ import annotations

from pathlib import Path

from inspect_core.engine.conformity import pack_checks

FOLDER = Path(__file__).parents[2] / "rules" / "state_rows"


def test_the_pack_is_whole_and_its_cases_hold() -> None:
    checks = pack_checks(FOLDER)
    assert len([one for one in checks if str(one).startswith("case: ")]) > 30
    assert {str(one): one.problems for one in checks if one.problems} == {}
