"""Trowels as people write them."""

from __future__ import annotations

import pytest

from inspect_core.planning.takeoff.tile import notch


@pytest.mark.parametrize(
    ("text", "units", "expected"),
    [
        ("1/4 x 1/4 square", "in", (0.25, "square")),
        ("1/4 x 3/8 square notch", "in", (0.375, "square")),
        ('1/4" x 1/4" square', "in", (0.25, "square")),
        ("1/4 in.", "in", (0.25, "square")),
        ("3/16 x 5/32 V", "in", (0.1875, "v")),
        ("3/16 v-notch", "in", (0.1875, "v")),
        ("6 mm square", "mm", (6 / 25.4, "square")),
        ("6 x 8 mm", "in", (8 / 25.4, "square")),
        ("8", "mm", (8 / 25.4, "square")),
        ("big", "in", None),
        ("square", "in", None),
        ("0", "in", None),
        ("unknown", "in", None),
    ],
)
def test_the_notch_is_read(text: str, units: str, expected: tuple[float, str] | None) -> None:
    found = notch(text, units)
    if expected is None:
        assert found is None
    else:
        assert found is not None
        assert found[0] == pytest.approx(expected[0])
        assert found[1] == expected[1]
