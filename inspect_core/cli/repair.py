"""Proven repairs: list them, and write chosen ones into a site file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from inspect_core.cli.choosing import known_hold_point, pack_options, tell_failures

if TYPE_CHECKING:
    from inspect_core.planning.repairs import Proposal


@click.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
@click.option("--hold-point", metavar="NAME", help="Only what settles something of this stage.")
@click.option(
    "--apply",
    "ids",
    metavar="NUMBER",
    multiple=True,
    type=click.IntRange(1),
    help="Write this repair; may be given again.",
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Where --apply writes the changed site.")
@click.option("--in-place", is_flag=True, help="--apply writes into SITE itself.")
@pack_options
def repair(
    site: Path,
    form: str,
    hold_point: str | None,
    ids: tuple[int, ...],
    output: Path | None,
    in_place: bool,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Find repairs for what falls short in SITE, each proven on a copy of it.

    A repair is listed only where the whole check, run again with it, has the
    shortfall no more and nothing that is worse. Its number is its rank, best
    first, and stays the same for the same file and packs.

    --apply NUMBER -o FILE writes the site with that repair as a plan; the rest
    of the file stays as you wrote it. Nothing is written over SITE unless you
    say --in-place.
    """
    from inspect_core.cli.output import as_json, emit
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.repairs import propose
    from inspect_core.report.repair import repair_data, repair_text
    from inspect_core.site import load_site

    _check_options(site, ids, output, in_place)
    loaded = packs_for(site, packs, config)
    with _progress() as progress:
        proposal = propose(load_site(site), loaded, progress, plans=not ids)
    known_hold_point(proposal.report, hold_point)
    if ids:
        _apply(proposal, ids, site, output if output is not None else site)
    else:
        data = repair_text if form == "text" else lambda found, point: as_json(repair_data(found, point))
        emit(data(proposal, hold_point))
    tell_failures(proposal.failures)


repair.epilog = """\b
Exit codes: 0 listed or written; 2 the input can't be used, or the repairs do
not go together; 3 a pack or a rule failed."""


def _check_options(site: Path, ids: tuple[int, ...], output: Path | None, in_place: bool) -> None:
    if not ids:
        if output is not None or in_place:
            raise click.UsageError("-o and --in-place go with --apply")
        return
    if (output is not None) == in_place:
        raise click.UsageError("--apply needs to know where to write: -o FILE, or --in-place")
    if output is not None and output.exists() and site.exists() and output.samefile(site):
        raise click.UsageError(f"{output} is the site itself; say --in-place to write into it")


def _apply(proposal: Proposal, ids: tuple[int, ...], site: Path, target: Path) -> None:
    from inspect_core.cli.output import write_whole
    from inspect_core.planning.repairs import CannotApply, EditError, apply_repairs

    if wrong := [number for number in ids if number > len(proposal.offers)]:
        raise click.UsageError(f"there is no repair {wrong[0]}; there are {len(proposal.offers)}")
    wanted = tuple(dict.fromkeys(ids))
    try:
        text, proof = apply_repairs(proposal, wanted, site.read_bytes().decode("utf-8"))
    except CannotApply as why:
        raise click.UsageError(f"these repairs do not go together: {why}") from None
    except EditError as why:
        raise click.UsageError(f"{site}: {why}") from None
    write_whole(target, [text])
    click.echo(
        f"wrote {target}: {len(proof.settled)} settled. What is new there is a plan: "
        "measure again when it is built, then check again.",
        err=True,
    )


@contextmanager
def _progress() -> Iterator[Callable[[int, int], None] | None]:
    """A bar on a terminal's standard error, and nothing anywhere else."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=1, label="trying repairs", file=sys.stderr) as bar:

        def told(done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        yield told
