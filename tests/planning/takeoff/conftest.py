"""Sites to count, written as a user would."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from inspect_core.engine import LoadedPacks, stack
from inspect_core.planning.takeoff import TakeOff, take_off
from inspect_core.rules_api import Limits
from inspect_core.site import site_from_text

HEAD = "format: 1\nunits: {units}\nsite: {{name: x, work: {work}, invented: true}}\nareas:\n"
TakeOffOf = Callable[..., TakeOff]


@pytest.fixture(scope="session")
def limits(packs: LoadedPacks) -> Limits:
    """The base pack's limits."""
    return stack([pack for pack in packs.packs if pack.id == "wood-floor-base"]).limits


@pytest.fixture(scope="session")
def of(limits: Limits) -> TakeOffOf:
    """The take-off of one area whose lines are given."""

    def made(*lines: str, units: str = "in", work: str = "existing", area: str | None = None) -> TakeOff:
        body = "".join(f"    {line}\n" for line in lines)
        text = HEAD.format(units=units, work=work) + "  - id: a\n" + body
        return take_off(site_from_text(text, "x"), limits, area)

    return made
