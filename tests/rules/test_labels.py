"""Standards are read as labels write them: spaced, hyphened, with the year of the edition or without."""

from __future__ import annotations

import pytest
from inspect_wood_floor._labels import names_one


@pytest.mark.parametrize(
    ("label", "standard"),
    [
        ("ANSI A118.11", "A118.11"),
        ("ansi a118.11-2019", "ANSI A118.11"),
        ("meets ASTM C1325-18 and more", "ASTM C1325"),
        ("ASTM C 1325-17e1", "ASTM C1325"),
        ("ASTM D3498-03(2018)", "ASTM D3498"),
        ("ASTM D4068", "ASTM D4068"),
        ("APA AFG-01 glue", "AFG-01"),
        ("A118.4, A118.11", "A118.11"),
    ],
)
def test_a_standard_is_found(label: str, standard: str) -> None:
    assert names_one(label, [standard])


@pytest.mark.parametrize(
    ("label", "standard"),
    [
        ("ANSI A118.15", "A118.1"),
        ("ANSI A118.11", "A118.1"),
        ("ASTM C13255", "ASTM C1325"),
        ("AFG-02", "AFG-01"),
        ("", "A118.1"),
        ("no label", "A118.1"),
    ],
)
def test_another_standard_is_not(label: str, standard: str) -> None:
    assert not names_one(label, [standard])


def test_one_of_several_is_enough() -> None:
    assert names_one("ANSI A118.15", ["A118.4", "A118.15"])
    assert not names_one("ANSI A118.15", [])
