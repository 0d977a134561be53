"""What a gate's options come to: which sites, with which packs, and how each is checked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from inspect_core.engine.chosen import packs_for
from inspect_core.engine.portfolio.changes import CannotTell, changed_since, touched
from inspect_core.engine.portfolio.find import NothingFound, SiteFile, find_sites, shard_of
from inspect_core.engine.portfolio.judge import Asked
from inspect_core.engine.portfolio.merge import Merge
from inspect_core.engine.portfolio.packs import configurations, hold_points_of, packs_of, rules_of, settings
from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.engine.portfolio.running import processes, run
from inspect_core.engine.portfolio.stored import UnusableLines, places
from inspect_core.engine.variances import Variances, missing_sites, read_variances
from inspect_core.report.gate.site import Detail, Order, SiteCheck
from inspect_core.site import InputError
from inspect_core.site.problems import visible


@dataclass(frozen=True, slots=True)
class Sources:
    """Where things are read from, as the options say."""

    root: Path
    packs: tuple[str, ...]
    config: Path | None
    variances: Path | None
    baseline: Path | None


@dataclass(frozen=True, slots=True)
class Plan:
    """How many sites, their results as they come, and the configurations that they stand under."""

    count: int
    results: Iterator[SiteResult]
    configs: tuple[Path, ...]


def checking(
    paths: Sequence[str],
    sources: Sources,
    asked: Asked,
    *,
    today: str,
    jobs: int,
    detail: Detail,
    since: str | None,
    shard: tuple[int, int] | None,
) -> Plan:
    """A plan that checks site files. What the options name is looked at first: an error in it is one of the command."""
    if sources.packs or sources.config is not None:
        packs_for(None, sources.packs, sources.config)
    if sources.variances is not None:
        read_variances(sources.variances)
    sites = _sites(paths, sources, since, shard)
    configs = tuple(configurations(sites, sources.config))
    for granted in _granted(configs, sources):
        for line in missing_sites(granted):
            click.echo(visible(line), err=True)
    order = Order(
        sources.root, asked, today, detail, sources.packs, sources.config, sources.variances, sources.baseline
    )
    return Plan(len(sites), run(sites, SiteCheck(order), processes(jobs, len(sites))), configs)


def _sites(paths: Sequence[str], sources: Sources, since: str | None, shard: tuple[int, int] | None) -> list[SiteFile]:
    try:
        sites = find_sites(paths, sources.root)
        if since is not None:
            count = len(sites)
            changes = changed_since(since, sources.root)
            sites = touched(sites, changes, sources.packs, sources.config, sources.variances)
            click.echo(f"checking {len(sites)} of {count} sites, by what changed since {visible(since)}", err=True)
    except (NothingFound, CannotTell) as error:
        raise click.UsageError(visible(str(error))) from None
    if shard is not None:
        sites = shard_of(sites, *shard)
    if sources.baseline is not None:
        known = earlier(sources.baseline)
        sites = [SiteFile(site.file, site.path, known.get(site.file)) for site in sites]
    return sites


def _granted(configs: Sequence[Path], sources: Sources) -> Iterator[Variances]:
    named = [config.variances for config in settings(configs)] if sources.variances is None else [sources.variances]
    for path in dict.fromkeys(filter(None, named)):
        try:
            yield read_variances(path)
        except InputError:
            continue  # each site that uses it tells


def earlier(baseline: Path) -> dict[str, int]:
    """Where each site's line begins in a baseline."""
    try:
        return dict(places(baseline))
    except UnusableLines as error:
        raise click.UsageError(visible(str(error))) from None


def merging(paths: Sequence[str], sources: Sources, asked: Asked) -> Plan:
    """A plan that reads what shards have found, and judges it by what is asked now."""
    try:
        merge = Merge([Path(path) for path in paths])
    except UnusableLines as error:
        raise click.UsageError(visible(str(error))) from None
    for file, where in merge.doubled.items():
        click.echo(visible(f"{file} stands in {' and in '.join(where)}; it counts once"), err=True)
    known = earlier(sources.baseline) if sources.baseline is not None else {}
    configs = (sources.config,) if sources.config is not None else ()
    return Plan(len(merge.files), merge.results(asked, sources.baseline, known), configs)


def rules_for(plan: Plan, packs: Sequence[str]) -> dict[str, dict[str, str]]:
    """The rules that findings may name."""
    return rules_of(packs_of(plan.configs, packs))


def check_hold_points(plan: Plan, packs: Sequence[str], names: Sequence[str]) -> None:
    """A slip of the pen in a hold point's name would let everything pass."""
    known = hold_points_of(packs_of(plan.configs, packs))
    for name in names:
        if name not in known:
            raise click.UsageError(f"no hold point {name!r}; one of {', '.join(known)}")
