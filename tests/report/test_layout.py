"""Lines of 80 columns: commands that are to be pasted."""

from __future__ import annotations

import shlex

import pytest

from inspect_core.report.layout import command_lines
from inspect_core.site.problems import columns


def test_a_short_command_is_one_line() -> None:
    assert command_lines("inspect-core", "check", "a b.site.yaml") == ["  inspect-core check 'a b.site.yaml'"]


@pytest.mark.parametrize(
    "words",
    [
        ("inspect-core", "measure", "floors/" + 9 * "long-name/" + "a.site.yaml", "--most", "10"),
        ("inspect-core", "measure", "it's a " + 40 * "long name ' " + ".site.yaml", "--pack", "county one"),
        ("inspect-core", "repair", "a.site.yaml", *(8 * ("--pack", "rules/county"))),
        ("inspect-core", "repair", 90 * "広" + ".site.yaml", "--config", "x.yaml"),
    ],
)
def test_a_long_command_is_still_the_same_command(words: tuple[str, ...]) -> None:
    lines = command_lines(*words)
    assert len(lines) > 1
    assert [line for line in lines if columns(line) > 80] == []
    assert shlex.split("\n".join(lines).replace("\\\n", "")) == list(words)  # as a shell joins them
