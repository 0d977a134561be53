"""``inspect-core gate``: every site file of a firm in one run, for its CI."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from inspect_core.cli.choosing import as_options, pack_options, variance_options

if TYPE_CHECKING:
    from inspect_core.cli.gate_plan import Plan
    from inspect_core.engine.portfolio.result import GateView, SiteResult
    from inspect_core.report.gate.site import Detail

_SEVERITIES = ("stop-work", "correction", "advisory")
_FORMATS = "text, json-lines, sarif, junit, markdown, annotations, codequality, html"
_WHOLE = {"json-lines", "junit"}  # formats that also tell what meets or does not apply
_NO_TEXTS = {"text", "json-lines"}  # formats that write no text of their own about a finding or a rule


def _jobs(ctx: click.Context, param: click.Parameter, value: str) -> int:
    if value == "auto":
        return 0
    if value.isascii() and value.isdigit() and len(value) < 5:
        return int(value)
    raise click.BadParameter(f"{value!r} is neither a number of processes nor auto", ctx, param)


def _shard(ctx: click.Context, param: click.Parameter, value: str | None) -> tuple[int, int] | None:
    if value is None:
        return None
    found = re.fullmatch(r"([0-9]{1,6})/([0-9]{1,6})", value)
    if found is None or not 1 <= int(found[1]) <= int(found[2]):
        raise click.BadParameter(f"{value!r} is no shard; write for instance 2/8, the second of eight", ctx, param)
    return int(found[1]), int(found[2])


def _also(text: str) -> tuple[str, Path]:
    name, equals, file = text.partition("=")
    if not equals or not file:
        raise click.UsageError(f"--also {text!r}: write for instance --also sarif=gate.sarif")
    return name, Path(file)


def _init(ctx: click.Context, param: click.Parameter, folder: Path | None) -> None:
    """Writes the starter repository and ends: no PATH is needed for it."""
    if folder is None or ctx.resilient_parsing:
        return
    from inspect_core.engine.portfolio.starter import init_repository

    try:
        written = init_repository(folder)
    except FileExistsError as error:
        raise click.UsageError(str(error)) from None
    except OSError as error:
        raise click.UsageError(f"{folder} can't be written: {error.strerror}") from None
    for path in written:
        click.echo(f"wrote {path}")
    ctx.exit()


def _must_be_sound(wanted: list[tuple[str, Path | None]], formats: list[str]) -> None:
    for name, _ in wanted:
        if name not in formats:
            raise click.UsageError(f"no format {name!r}; one of {', '.join(formats)}")
    files = [file.resolve() for _, file in wanted if file is not None and (file.is_file() or not file.exists())]
    if len(set(files)) < len(files):
        raise click.UsageError("two formats can't go to the same file")


@click.command()
@click.argument("paths", nargs=-1, required=True, metavar="PATH...")
@click.option("--format", "form", default="text", metavar="WORD", help=f"How to print it: {_FORMATS}.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write that to a file, whole or not at all.")
@click.option("--also", multiple=True, metavar="FORMAT=FILE", help="Write another format to a file in the same run.")
@click.option("--hold-point", "hold_points", multiple=True, metavar="NAME", help="Only this stage; may be repeated.")
@click.option(
    "--fail-on", type=click.Choice(_SEVERITIES), default="correction", help="Least severity that blocks (correction)."
)
@click.option(
    "--unmeasured", type=click.Choice(["block", "allow"]), default="block", help="Whether what is not measured blocks."
)
@click.option("--changed-since", metavar="REV", help="Only sites that changed in git since REV, or stand on what did.")
@click.option("--shard", metavar="K/N", callback=_shard, help="Only every N-th site, from the K-th, in order of names.")
@click.option("--merge", is_flag=True, help="PATHs are json-lines outputs of shards: print them as one run.")
@click.option("--baseline", type=click.Path(path_type=Path), help="Earlier json-lines output: say what is new or gone.")
@click.option("--only-new", is_flag=True, help="What the baseline has already does not block.")
@click.option("--jobs", default="auto", metavar="N", callback=_jobs, help="Processes; auto (or 0): one for each core.")
@click.option(
    "--root",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    default=".",
    help="Folder that file names start from (here).",
)
@click.option("--link-packets", is_flag=True, help="html: link to each site's packet, also where it isn't there yet.")
@click.option(
    "--init",
    type=click.Path(path_type=Path, file_okay=False),
    is_eager=True,
    expose_value=False,
    callback=_init,
    help="Write a starter repository with a gate into this folder, and stop.",
)
@variance_options
@pack_options
def gate(
    paths: tuple[str, ...],
    form: str,
    output: Path | None,
    also: tuple[str, ...],
    hold_points: tuple[str, ...],
    fail_on: str,
    unmeasured: str,
    changed_since: str | None,
    shard: tuple[int, int] | None,
    merge: bool,
    baseline: Path | None,
    only_new: bool,
    jobs: int,
    root: Path,
    link_packets: bool,
    variances: Path | None,
    today: str,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Check every site file in PATHs: folders (each *.site.yaml below), files, patterns.

    One that can't be used, a pack that fails, a process that dies: told, and
    the others are checked all the same. The exit code is the worst of all
    sites. Results come in the order of the file names; the same files give
    the same bytes, however many processes or shards checked them.
    """
    from inspect_core.cli import gate_plan
    from inspect_core.engine.portfolio.judge import Asked
    from inspect_core.engine.portfolio.result import GateView
    from inspect_core.report.gate import FORMATS

    wanted = [(form, output), *map(_also, also)]
    _must_be_sound(wanted, list(FORMATS))
    if only_new and baseline is None:
        raise click.UsageError("--only-new needs a --baseline to compare with")
    if merge and (changed_since is not None or shard is not None or variances is not None):
        raise click.UsageError("--changed-since, --shard and --variances are for the runs that --merge puts together")
    sources = gate_plan.Sources(root, packs, config, variances, baseline)
    asked = Asked(hold_points, fail_on, unmeasured, only_new)
    names = {name for name, _ in wanted}
    if merge:
        plan = gate_plan.merging(paths, sources, asked)
    else:
        plan = gate_plan.checking(
            paths, sources, asked, today=today, jobs=jobs, detail=_detail(names), since=changed_since, shard=shard
        )
    if hold_points:
        gate_plan.check_hold_points(plan, packs, hold_points)
    rules = {} if names <= _NO_TEXTS else gate_plan.rules_for(plan, packs)
    packs_by, compared = as_options(packs, config), baseline is not None
    view = GateView(hold_points, fail_on, unmeasured, compared, today, rules, str(output or ""), link_packets, packs_by)
    raise SystemExit(_written(wanted, plan, view))


def _detail(formats: set[str]) -> Detail:
    """How much of a site's document the formats need."""
    if formats <= _NO_TEXTS:
        return "line" if "json-lines" in formats else "names"
    return "whole" if formats & _WHOLE else "open"


def _written(wanted: list[tuple[str, Path | None]], plan: Plan, view: GateView) -> int:
    """Checks the sites and writes each format; gives the worst exit code of all sites."""
    from dataclasses import replace

    from inspect_core.cli.gate_output import sink, spool, with_progress
    from inspect_core.engine.portfolio.running import CannotStart
    from inspect_core.engine.portfolio.stored import UnusableLines
    from inspect_core.report.gate import FORMATS
    from inspect_core.site.problems import visible

    worst = 0

    def counted() -> Iterator[SiteResult]:
        nonlocal worst
        for result in with_progress(plan.results, plan.count, wanted[0][1] is None):
            worst = max(worst, result.exit_code)
            yield result

    (first, _), *others = wanted
    try:
        with ExitStack() as stack:
            out, *more = [stack.enter_context(sink(file)) for _, file in wanted]
            if not others:
                out.write(FORMATS[first](counted(), view))
            else:
                kept = stack.enter_context(spool())
                out.write(FORMATS[first](kept.filled(counted()), view))
                for (name, _), another in zip(others, more, strict=True):
                    another.write(FORMATS[name](kept.results(), replace(view, output=str(another.path))))
    except UnusableLines as error:  # a line that is ours from outside only
        raise click.UsageError(visible(str(error))) from None
    except CannotStart as error:
        click.echo(str(error), err=True)
        return 3
    return worst


gate.epilog = """\b
Exit codes: 0 nothing open that counts; 1 something is open; 2 a file or an
option can't be used; 3 a pack or a rule failed."""
