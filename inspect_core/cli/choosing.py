"""Options that choose packs, the same for every command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from inspect_core.engine import LoadedPacks, RuleSet


def pack_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """``--pack`` and ``--config``."""
    pack = click.option(
        "--pack",
        "packs",
        multiple=True,
        metavar="ID_OR_PATH",
        help="Local pack by id, or a YAML pack by path; in order, later wins. May be given several times.",
    )
    config = click.option(
        "--config", type=click.Path(path_type=Path), help="Configuration instead of the inspect-core.yaml found."
    )
    return pack(config(command))


def rules_of(loaded: LoadedPacks, rule: str | None = None) -> RuleSet:
    """Rules of the base packs and of the packs that were named; of another installed one where only it has ``rule``."""
    from inspect_core.engine import stack
    from inspect_core.engine.choice import arrange

    names = loaded.choice.command or ()
    rules = stack(arrange(loaded.packs, names).packs)
    if rule is None or rules.rule(rule) is not None:
        return rules
    for pack in loaded.packs:
        more = stack(arrange(loaded.packs, (*names, pack.id)).packs)
        if more.rule(rule) is not None:
            return more
    return rules
