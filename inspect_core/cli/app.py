"""Commands. Each imports what it needs when it runs, so that help and errors come at once."""

from __future__ import annotations

import gc
import os
import shlex
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

import inspect_core
from inspect_core.cli.choosing import (
    as_options,
    known_hold_point,
    pack_options,
    report_on,
    rules_of,
    tell_failures,
    variance_options,
)
from inspect_core.cli.draw import draw
from inspect_core.cli.form import form
from inspect_core.cli.gate import gate
from inspect_core.cli.output import as_json, emit, write_whole
from inspect_core.cli.pack import pack
from inspect_core.cli.packet import packet
from inspect_core.cli.repair import repair
from inspect_core.cli.sequence import sequence
from inspect_core.cli.span import span
from inspect_core.cli.takeoff import takeoff

if TYPE_CHECKING:
    from inspect_core.quantities import Units

COLLECT_AFTER = 10_000  # new objects: most live to the end; to look for others after each 700 took a tenth of the time
EXIT_CODES = """\b
Exit codes: 0 nothing open at or above the severity; 1 something falls short
or is not measured; 2 the input can't be used; 3 a pack or a rule failed."""


def _severity(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    """Checked here, since the words come with the rule interface, which help can do without."""
    from inspect_core.rules_api.vocabulary import SEVERITIES

    if value is not None and value not in SEVERITIES:
        raise click.BadParameter(f"{value!r} is not one of {', '.join(SEVERITIES)}", ctx, param)
    return value


IN_SHORT = {
    "start": "Write a starter file for a floor of your own.",
    "measure": "What to measure next, how, and how to write it.",
    "check": "What holds, what falls short, what is not measured.",
    "explain": "What a rule checks and why, and its limits.",
    "repair": "Repairs of what falls short, each proven on a copy.",
    "takeoff": "What to buy for the work, and how to cut it.",
    "sequence": "The work in order, hold point by hold point.",
    "draw": "The floor as a plan to scale, findings marked.",
    "packet": "One page for the inspection, for paper or a phone.",
    "form": "The survey as a page for a phone under the floor.",
    "gate": "Check many floors, for a firm's CI.",
    "pack": "Local rules: what a place or a firm changes.",
    "span": "Clear span of a joist, as in printed tables.",
    "schema": "JSON Schema of site files, for editors.",
}
"""Each command in a few words, in the order of the work."""


class _InOrder(click.Group):
    """Lists its commands in the order of the work, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(IN_SHORT)


@click.group(cls=_InOrder, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(inspect_core.__version__, prog_name="inspect-core")
def cli() -> None:
    """Check a wood floor before an inspector does, and before it is covered.

    To begin: inspect-core start my-floor.site.yaml
    """


@cli.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "markdown", "sarif", "junit"]),
    default="text",
    help="How to print it.",
)
@click.option("--hold-point", metavar="NAME", help="Only this stage, for instance under-floor.")
@click.option(
    "--severity",
    metavar="WORD",
    callback=_severity,
    help="Least severity that is listed and counts: stop-work, correction or advisory.",
)
@click.option("--brief", is_flag=True, help="A line for each shortfall, no remedies (text).")
@click.option("--all", "everything", is_flag=True, help="Also list what meets and what does not apply (text).")
@click.option("--show-working", is_flag=True, help="Also show each calculation, and the load path from tile to soil.")
@variance_options
@pack_options
def check(
    site: Path,
    form: str,
    hold_point: str | None,
    severity: str | None,
    brief: bool,
    everything: bool,
    show_working: bool,
    variances: Path | None,
    today: str,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Check SITE, a *.site.yaml file: what holds, what falls short, what is not measured.

    Stop-work findings and corrections keep a hold point; so does what is not
    measured. With --severity advisory, advice counts as well.

    Local packs: --pack takes the place of packs: in the site file, and that
    of packs: in inspect-core.yaml (in the site's folder or above). What that
    file lays on_top always comes last.
    """
    from inspect_core.report import FORMATS, Selection
    from inspect_core.report.standard import unusable
    from inspect_core.report.text import render_brief, render_text
    from inspect_core.site import InputError

    if brief and (everything or show_working):
        raise click.UsageError("--brief leaves out what --all and --show-working add; give one of them")
    try:
        report = report_on(site, packs, config, variances, today)
    except InputError as error:
        if form in ("sarif", "junit"):  # a build server learns it from its own format too
            emit(unusable(form, site, error.problems))
        raise
    known_hold_point(report, hold_point)
    selection = Selection(hold_point, severity, load_path=show_working, packs_by=as_options(packs, config))
    if form == "text" and brief:
        text = render_brief(report, selection, colour=_colour())
    elif form == "text":
        text = render_text(report, selection, everything=everything, colour=_colour(), show_working=show_working)
    else:
        text = FORMATS[form](report, selection)
    emit(text)
    raise SystemExit(report.exit_code(selection.threshold, hold_point))


check.epilog = EXIT_CODES


@cli.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
@click.option("--hold-point", metavar="NAME", help="Only what this stage waits for.")
@click.option("--most", metavar="NUMBER", type=click.IntRange(1), help="At most so many entries.")
@pack_options
def measure(
    site: Path, form: str, hold_point: str | None, most: int | None, packs: tuple[str, ...], config: Path | None
) -> None:
    """List what to measure next in SITE, first what settles most: how, with what tool, how to write it."""
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.measure import to_measure
    from inspect_core.report.measure import measure_data, measure_text
    from inspect_core.site import load_site

    report = inspect(load_site(site), packs_for(site, packs, config))
    known_hold_point(report, hold_point)
    wanted = [f for f in report.findings if hold_point in (None, f.rule.hold_point)]
    found = to_measure(report, wanted)[:most]
    emit(measure_text(report, found) if form == "text" else as_json(measure_data(found)))
    tell_failures(report.failures)


@cli.command()
@click.argument("rule", required=False)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
@click.option("--provisions", is_flag=True, help="List what codes and practice ask, and which rule or data covers it.")
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="Units of the limits.")
@pack_options
def explain(
    rule: str | None, form: str, provisions: bool, units: Units, packs: tuple[str, ...], config: Path | None
) -> None:
    """Say what RULE checks and why, its limits and who set them, and how to measure. Without RULE: list all rules."""
    if provisions and rule is not None:
        raise click.UsageError("--provisions lists all; name a rule or ask for the provisions")
    from inspect_core.engine.chosen import packs_for
    from inspect_core.report.explain import rule_data, rule_list, rule_text

    loaded = packs_for(None, packs, config)
    rules = rules_of(loaded, rule)
    if provisions:
        from inspect_core.report.provisions import provisions_data, provisions_text

        emit(provisions_text(rules) if form == "text" else as_json(provisions_data(rules)))
    elif rule is None:
        listed = [rule_data(rules, one, units) for one in rules.rules]
        emit(rule_list(rules) if form == "text" else as_json(listed))
    else:
        found = rules.rule(rule)
        if found is None:
            raise click.UsageError(_no_such_rule(rule, [r.rule.id for r in rules.rules]))
        emit(rule_text(rules, found, units) if form == "text" else as_json(rule_data(rules, found, units)))
    tell_failures(loaded.failures)


@cli.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="Unit of bare numbers.")
def start(file: Path | None, units: str) -> None:
    """Write a starter site file with comments to FILE, or print it."""
    from inspect_core.site.starter import starter

    text = starter(units)
    if file is None:
        emit(text)
        return
    if os.path.lexists(file):
        raise click.UsageError(f"{file} is there already; name another file")
    write_whole(file, [text])
    click.echo(f"wrote {file}; fill it in, then: inspect-core check {shlex.quote(str(file))}")


@cli.command()
def schema() -> None:
    """Print the JSON Schema of site files, for editors and other programs."""
    from inspect_core.site import schema_text

    emit(schema_text())


cli.add_command(draw)
cli.add_command(packet)
cli.add_command(sequence)
cli.add_command(span)
cli.add_command(takeoff)
cli.add_command(form)
cli.add_command(gate)
cli.add_command(pack)
cli.add_command(repair)
for _name, _words in IN_SHORT.items():
    cli.commands[_name].short_help = _words


def _colour() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _no_such_rule(name: str, known: list[str]) -> str:
    import difflib

    near = difflib.get_close_matches(name, known, 3)
    hint = f"did you mean {' or '.join(near)}?" if near else "inspect-core explain lists all"
    return f"no rule {name!r}; {hint}"


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run the command and exit: 2 for unusable input, 3 for our own errors, 130 when interrupted."""
    gc.set_threshold(COLLECT_AFTER)
    try:
        cli.main(args=arguments, prog_name="inspect-core", standalone_mode=False)
        code = 0
    except SystemExit as stop:
        code = stop.code if isinstance(stop.code, int) else 3
    except click.exceptions.Exit as stop:
        code = stop.exit_code
    except click.ClickException as error:
        error.show()
        code = 2
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted", err=True)
        code = 130
    except BaseException as error:  # a pack may raise anything, and 1 would say that floors were checked
        code = _explain_failure(error)
    sys.exit(code)


def _explain_failure(error: BaseException) -> int:
    from inspect_core.site.problems import InputError

    if isinstance(error, InputError):
        click.echo(str(error), err=True)
        count = len(error.problems) + error.omitted
        click.echo(f"{count} problem{'s' if count != 1 else ''}; nothing was checked", err=True)
        return 2
    import traceback

    traceback.print_exception(error)
    click.echo("inspect-core itself failed; nothing above is a result. Please report this.", err=True)
    return 3
