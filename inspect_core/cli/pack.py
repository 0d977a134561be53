"""``inspect-core pack``: local rule packs, from a new folder to a proven pack."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inspect_core.cli.choosing import tell_failures
from inspect_core.cli.output import as_json, emit

if TYPE_CHECKING:
    from inspect_core.engine import LoadedPacks
    from inspect_core.quantities import Units

FORMAT = click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
CONFIG = click.option("--config", type=click.Path(path_type=Path), help="Configuration that names packs.")
UNITS = click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="Units of the numbers.")


@click.group()
def pack() -> None:
    """Local rule packs: what a state, county, city or firm changes.

    A check uses the packs of --pack, else those of packs: in the site file,
    else those of packs: in inspect-core.yaml. What that file lays on_top comes
    last; packs below a pack come by themselves; later wins.
    """


def _print(data: str | dict[str, Any]) -> None:
    emit(data if isinstance(data, str) else as_json(data))


@pack.command()
@click.option(
    "--kind", type=click.Choice(["yaml", "python"]), required=True, help="Data only, or rules with code of their own."
)
@click.argument("name")
def new(kind: str, name: str) -> None:
    """Write a new pack into a folder NAME here.

    It passes `pack test` at once. Change it from there.
    """
    from inspect_core.engine.scaffold import scaffold

    try:
        scaffold("yaml" if kind == "yaml" else "python", name, Path())
    except FileExistsError:
        raise click.UsageError(f"{name} is there already; choose another name") from None
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    except OSError as error:
        raise click.UsageError(f"{name} can't be written: {error.strerror}") from None
    click.echo(f"wrote {name}; change it, then: inspect-core pack test {shlex.quote(name)}")


@pack.command("list")
@FORMAT
@CONFIG
def list_packs(form: str, config: Path | None) -> None:
    """List the packs that are here, and where each comes from.

    Installed ones and those that the configuration names; those that can't be
    used are told with the reason.
    """
    from inspect_core.engine.chosen import packs_for
    from inspect_core.report.packs import list_data, list_text

    loaded = packs_for(Path("here"), (), config)
    _print(list_text(loaded) if form == "text" else list_data(loaded))
    tell_failures(loaded.failures)


@pack.command()
@click.argument("id_or_path")
@click.option("--limits", is_flag=True, help="Also list each limit, and what it was before (text; JSON always has it).")
@UNITS
@FORMAT
@CONFIG
def show(id_or_path: str, limits: bool, units: str, form: str, config: Path | None) -> None:
    """Show what a pack changes, why, and where that is written."""
    from inspect_core.engine import stack
    from inspect_core.report.packs import show_data, show_text

    loaded, name = _named(id_or_path, config)
    packs = _stack_of(loaded, name)
    rules = stack(packs)
    one = next(p for p in packs if p.id == name)
    metric: Units = "mm" if units == "mm" else "in"
    _print(show_text(one, rules, metric, limits) if form == "text" else show_data(one, rules, metric))


@pack.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--pack", "parents", multiple=True, metavar="PATH", help="YAML pack that this one stands on.")
@FORMAT
def test(folder: Path, parents: tuple[str, ...], form: str) -> None:
    """Check the pack in FOLDER: is it whole, and do its cases hold?

    A Python pack's code is run. Exit codes: 0 everything holds, 1 something
    does not, 2 there is no pack that can be read.
    """
    from inspect_core.engine.conformity import pack_checks
    from inspect_core.report.packs import checks_data, checks_text

    checks = pack_checks(folder, parents)
    _print(checks_text(checks) if form == "text" else checks_data(checks))
    raise SystemExit(1 if any(checked.problems for checked in checks) else 0)


@pack.command()
@click.argument("a")
@click.argument("b")
@click.option("--site", type=click.Path(path_type=Path), help="Also: which findings change on this site.")
@UNITS
@FORMAT
@CONFIG
def diff(a: str, b: str, site: Path | None, units: str, form: str, config: Path | None) -> None:
    """What differs between packs A and B.

    Each by its id, or by the folder of a YAML pack, with what it stands on.
    """
    from inspect_core.engine.pack_diff import differences, finding_changes
    from inspect_core.report.packs import diff_data, diff_text

    one, other = _named(a, config), _named(b, config)
    found = differences(_stack_of(*one), _stack_of(*other), "mm" if units == "mm" else "in")
    changes = None
    if site is not None:
        from inspect_core.site import load_site

        changes = finding_changes(load_site(site), one, other)[0]
    _print(diff_text(a, b, found, changes) if form == "text" else diff_data(a, b, found, changes))


@pack.command()
@click.argument("kind", required=False)
def fields(kind: str | None) -> None:
    """List conditions and kinds of things, or the fields of KIND.

    Most fields are the keys of a site file; the last few of a kind may be
    worked out from others.
    """
    from inspect_core.engine.things import KINDS
    from inspect_core.report.fields import fields_text

    if kind is not None and kind not in KINDS:
        from inspect_core.rules_api.conditions import no_such

        raise click.UsageError(f"{no_such('kind of thing', kind, list(KINDS))}; one of {', '.join(KINDS)}")
    _print(fields_text(kind))


@pack.command("schema")
def pack_schema() -> None:
    """Print the JSON Schema of YAML packs, for editors."""
    from inspect_core.engine.yaml_pack import pack_schema_text

    _print(pack_schema_text())


def _named(id_or_path: str, config: Path | None) -> tuple[LoadedPacks, str]:
    """Everything that is loaded, and the id of the pack that was named."""
    from inspect_core.engine.chosen import packs_for

    loaded = packs_for(Path("here"), (id_or_path,), config)
    name = (loaded.choice.command or (id_or_path,))[-1]
    if name not in {one.id for one in loaded.packs}:
        series = [one.id for one in loaded.packs if one.series == name]
        failed = [failure for failure in loaded.failures if name in failure.pack]
        if failed:
            raise click.UsageError(f"pack {name} can't be used: {failed[0].why}")
        known = series or [one.id for one in loaded.packs]
        what = f"edition{'s' if len(known) > 1 else ''} " if series else ""
        listed = f"there {'are' if len(known) > 1 else 'is'} {what}{', '.join(known)}" if known else "none is installed"
        raise click.UsageError(f"there is no pack {name!r}; {listed}")
    return loaded, name


def _stack_of(loaded: LoadedPacks, name: str) -> tuple[Any, ...]:
    from inspect_core.engine.pack_diff import packs_of

    try:
        return packs_of(loaded, name)
    except ValueError as error:
        raise click.UsageError(str(error)) from None
