"""What commands share: the options that choose packs and variances, and the words about what is not there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from inspect_core.engine import LoadedPacks, PackFailure, Report, RuleSet
    from inspect_core.site import Site


def pack_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """``--pack`` and ``--config``."""
    pack = click.option(
        "--pack",
        "packs",
        multiple=True,
        metavar="ID_OR_PATH",
        help="Local pack: its id, or the folder of a YAML pack. May be given again; later wins.",
    )
    config = click.option(
        "--config", type=click.Path(path_type=Path), help="Configuration, in place of the inspect-core.yaml found."
    )
    return pack(config(command))


def as_options(packs: Sequence[str], config: Path | None) -> tuple[str, ...]:
    """What chose the packs, for a command that is to be run with the same ones."""
    named = tuple(word for pack in packs for word in ("--pack", pack))
    return named if config is None else (*named, "--config", str(config))


def known_hold_point(report: Report, name: str | None) -> None:
    """Raises ``UsageError`` for a hold point that no pack in force has."""
    known = report.rules.hold_points
    if name is not None and name not in known:
        raise click.UsageError(f"no hold point {name!r}; one of {', '.join(known)}")


def known_area(site: Site, name: str | None) -> None:
    """Raises ``UsageError`` for an area that the site doesn't have."""
    known = [area.id for area in site.areas]
    if name is not None and name not in known:
        raise click.UsageError(f"no area {name!r}; one of {', '.join(known)}")


def tell_failures(failures: Sequence[PackFailure]) -> NoReturn:
    """Say which packs and rules failed, and exit by that."""
    from inspect_core.site.problems import visible

    for failure in failures:
        click.echo(visible(f"pack failed: {failure.pack}: {failure.why}"), err=True)
    raise SystemExit(3 if failures else 0)


def _today(ctx: click.Context, param: click.Parameter, value: str | None) -> str:
    if value is None:
        return date.today().isoformat()
    try:
        if date.fromisoformat(value).isoformat() == value:
            return value
    except ValueError:
        pass
    raise click.BadParameter(f"{value!r} is no date; write year-month-day", ctx, param)


def variance_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """``--variances`` and ``--today``."""
    variances = click.option(
        "--variances",
        type=click.Path(path_type=Path),
        help="File of departures that were granted, in place of the configuration's.",
    )
    today = click.option(
        "--today", metavar="DATE", callback=_today, help="Day for variances, year-month-day; else the system's."
    )
    return variances(today(command))


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


def report_on(site: Path, packs: tuple[str, ...], config: Path | None, variances: Path | None, today: str) -> Report:
    """The check of one site with the departures that were granted, by the file named or else by the configuration's."""
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for, settings_for
    from inspect_core.engine.variances import read_variances, with_variances
    from inspect_core.site import load_site

    granted = variances if variances is not None else settings_for(site, config).variances
    report = inspect(load_site(site), packs_for(site, packs, config))
    return report if granted is None else with_variances(report, read_variances(granted), site, today)
