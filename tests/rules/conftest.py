"""Fixtures of the laws of rules: a module names its rules in ``RULES``."""

from __future__ import annotations

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack

pytest.register_assert_rewrite("laws")

from laws import Answering, Checking, checks_of, outcomes  # noqa: E402


@pytest.fixture(scope="module")
def checks(packs: LoadedPacks, request: pytest.FixtureRequest) -> Checking:
    """Every answer of the module's rules about a site, with the limits of the installed packs."""
    limits, rules = stack(packs.packs).limits, request.module.RULES
    return lambda site: checks_of(site, rules, limits)


@pytest.fixture(scope="module")
def answers(checks: Checking) -> Answering:
    """Outcome by rule, area and subject of a site."""
    return lambda site: outcomes(checks(site))
