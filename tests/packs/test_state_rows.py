"""The example pack of real state rows does what its cases say, and each row holds only where the site names the place."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_core.engine.conformity import Checked, pack_checks

FOLDER = Path(__file__).parents[2] / "rules" / "state_rows"


@pytest.mark.parametrize("checked", pack_checks(FOLDER), ids=str)
def test_the_pack_is_whole_and_its_cases_hold(checked: Checked) -> None:
    assert checked.problems == ()
