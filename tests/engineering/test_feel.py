"""How a floor feels: frequency and point load against independent mechanics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.engineering import feel

_EI, _SPAN, _WEIGHT = 1.6e6 * 47.63, 144.0, 10 * 16 / 144  # a 2x8 at 16 in with 10 psf


def test_frequency_matches_a_beam_of_many_elements() -> None:
    """Lowest frequency of a simply supported beam on a grid (independent of the closed formula)."""
    n = 200
    step = _SPAN / n
    second = (np.diag(np.ones(n - 2), 1) + np.diag(np.ones(n - 2), -1) - 2 * np.eye(n - 1)) / step**2
    stiffness = _EI * second @ second
    mass = _WEIGHT / 386.0886
    lowest = np.sqrt(np.min(np.linalg.eigvalsh(stiffness)) / mass) / (2 * math.pi)
    assert feel.natural_frequency_hz(_EI, _SPAN, _WEIGHT) == pytest.approx(lowest, rel=1e-3)


def test_point_load_deflection_by_integrating_curvature() -> None:
    x = np.linspace(0, _SPAN / 2, 20_001)
    by_unit_load = 2 * np.trapezoid(225 / 2 * x * (x / 2), x) / _EI
    assert feel.point_load_deflection_in(225, _EI, _SPAN) == pytest.approx(by_unit_load, rel=1e-6)


def test_canadian_limit() -> None:
    """Canadian criterion, from memory: 2 mm under 3 m, then 8/L^1.3 mm."""
    assert feel.canadian_limit_in(2.99 / 0.0254) == pytest.approx(2 / 25.4)
    assert feel.canadian_limit_in(4 / 0.0254) * 25.4 == pytest.approx(1.319, abs=0.001)
    assert feel.canadian_limit_in(3 / 0.0254 + 1e-6) <= 2 / 25.4


def test_feel_says_that_its_limit_is_recalled() -> None:
    result = feel.point_load_feel(_EI, _SPAN)
    assert result.status == "from memory"
    assert not result.meets  # a lone 2x8 over 12 ft is lively
    assert feel.point_load_feel(10 * _EI, _SPAN).meets
    assert feel.point_load_feel(_EI, _SPAN, share=0.5).deflection_in == pytest.approx(result.deflection_in / 2)
    assert [step.result for step in result.working] == [result.deflection_in, result.limit_in]


@settings(max_examples=25)
@given(st.floats(60, 240), st.floats(1.01, 1.5))
def test_longer_spans_never_feel_firmer(span: float, more: float) -> None:
    shorter, longer = feel.point_load_feel(_EI, span), feel.point_load_feel(_EI, span * more)
    assert longer.deflection_in > shorter.deflection_in
    assert longer.limit_in <= shorter.limit_in
    assert feel.natural_frequency_hz(_EI, span * more, 1) < feel.natural_frequency_hz(_EI, span, 1)


@pytest.mark.parametrize("share", [0, 1.1])
def test_share_is_a_fraction(share: float) -> None:
    with pytest.raises(ValueError, match="share"):
        feel.point_load_feel(_EI, _SPAN, share=share)


def test_nonsense_is_refused() -> None:
    with pytest.raises(ValueError, match="span_in"):
        feel.natural_frequency_hz(_EI, 0, 1)
