"""The README's commands, options and folders exist, so that what somebody pastes works."""

from __future__ import annotations

import re
import shlex
from itertools import pairwise
from pathlib import Path

import click
import pytest
import yaml

from inspect_core.cli.app import IN_SHORT, cli
from inspect_core.site import site_from_text

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text("utf-8")
WRITTEN = re.findall(r"inspect-core ((?:pack )?[a-z]+\b[^`\n&|]*)", README)
COMMANDS = sorted({text.strip() for text in WRITTEN if text.split()[0] in IN_SHORT})


def test_there_is_much_to_look_at() -> None:
    assert {text.split()[0] for text in COMMANDS} == set(IN_SHORT)


@pytest.mark.parametrize("text", COMMANDS)
def test_a_command_has_these_options(text: str) -> None:
    words = shlex.split(text.rstrip(" ;."), comments=True)
    command: click.Command = cli
    while isinstance(command, click.Group) and words:
        command = command.commands[words.pop(0)]
    options = {name: one for one in command.params if isinstance(one, click.Option) for name in one.opts}
    for word, value in pairwise([*words, ""]):
        if word.startswith("-"):
            assert word in options
            kind = options[word].type
            assert not isinstance(kind, click.Choice) or value in kind.choices


@pytest.mark.parametrize("option", sorted(set(re.findall(r"`(--[a-z-]+)", README))))
def test_an_option_is_one_of_ours(option: str) -> None:
    groups = [cli, *(one for one in cli.commands.values() if isinstance(one, click.Group))]
    known = {name for group in groups for one in group.commands.values() for p in one.params for name in p.opts}
    assert option in known


@pytest.mark.parametrize("name", sorted(set(re.findall(r"(?:sample_sites|rules)/[a-z_./-]+[a-z]", README))))
def test_a_file_is_there(name: str) -> None:
    assert (ROOT / name).exists()


def test_the_piece_of_a_floor_fits_together() -> None:
    (piece,) = (text for text in re.findall(r"```yaml\n(.*?)```", README, re.S) if text.startswith("supports:"))
    indented = "".join(f"    {line}\n" for line in piece.splitlines())
    site = site_from_text(f"format: 1\nunits: in\nsite: {{name: x}}\nareas:\n  - id: a\n{indented}", "x")
    (area,) = site.areas
    assert [joist.id for joist in area.joists or ()] == ["J1", "J2", "J3", "J5", "J6", "J7", "J8"]


@pytest.mark.parametrize("text", re.findall(r"```yaml\n(.*?)```", README, re.S))
def test_what_is_yaml_can_be_read(text: str) -> None:
    assert yaml.safe_load(text)
