"""Commands. Each imports what it needs when it runs, so that help and errors come at once."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

import inspect_core
from inspect_core.cli.choosing import pack_options, report_on, variance_options
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
    from inspect_core.engine import PackFailure

EXIT_CODES = """\b
Exit codes: 0 nothing open at or above the severity; 1 something falls short
or is not measured; 2 the input can't be used; 3 a pack or a rule failed."""


def _severity(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    """Checked here, since the words come with the rule interface, which help can do without."""
    from inspect_core.rules_api.vocabulary import SEVERITIES

    if value is not None and value not in SEVERITIES:
        raise click.BadParameter(f"{value!r} is not one of {', '.join(SEVERITIES)}", ctx, param)
    return value


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.version_option(inspect_core.__version__, prog_name="inspect-core")
def cli() -> None:
    """Check a wood floor before an inspector does, and before it is covered."""


@cli.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json", "markdown", "sarif", "junit"]),
    default="text",
    help="How to print it.",
)
@click.option("--hold-point", help="Only this stage, for instance under-floor.")
@click.option(
    "--severity",
    metavar="WORD",
    callback=_severity,
    help="Least severity that is listed and that counts: stop-work, correction or advisory.",
)
@click.option("--all", "everything", is_flag=True, help="Also list what meets and what does not apply (text).")
@click.option("--show-working", is_flag=True, help="Also show each calculation, and the load path from tile to soil.")
@variance_options
@pack_options
def check(
    site: Path,
    form: str,
    hold_point: str | None,
    severity: str | None,
    everything: bool,
    show_working: bool,
    variances: Path | None,
    today: str,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Check SITE, a *.site.yaml file: what holds, what falls short, what is not measured.

    Corrections and graver findings keep a hold point; so does what is not
    measured. Give --severity advisory to let advice count as well.

    Local packs: what --pack names takes the place of what the site file asks
    for (packs:), and that takes the place of what the firm's configuration
    says (inspect-core.yaml in the site's folder or above). What the
    configuration lays on_top always comes last.
    """
    from inspect_core.report import FORMATS, Selection
    from inspect_core.report.standard import unusable
    from inspect_core.report.text import render_text
    from inspect_core.site import InputError

    try:
        report = report_on(site, packs, config, variances, today)
    except InputError as error:
        if form in ("sarif", "junit"):  # a build server learns it from its own format too
            emit(unusable(form, site, error.problems))
        raise
    if hold_point is not None and hold_point not in report.rules.hold_points:
        raise click.UsageError(f"no hold point {hold_point!r}; one of {', '.join(report.rules.hold_points)}")
    selection = Selection(hold_point, severity, load_path=show_working)
    if form == "text":
        text = render_text(report, selection, everything=everything, colour=_colour(), show_working=show_working)
    else:
        text = FORMATS[form](report, selection)
    emit(text)
    raise SystemExit(report.exit_code(selection.threshold, hold_point))


check.epilog = EXIT_CODES


@cli.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
@click.option("--hold-point", help="Only what this stage waits for.")
@click.option("--most", type=click.IntRange(1), help="At most so many.")
@pack_options
def measure(
    site: Path, form: str, hold_point: str | None, most: int | None, packs: tuple[str, ...], config: Path | None
) -> None:
    """List what to measure next in SITE: first what settles most, with how and what tool."""
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.measure import to_measure
    from inspect_core.report.measure import measure_data, measure_text
    from inspect_core.site import load_site

    report = inspect(load_site(site), packs_for(site, packs, config))
    if hold_point is not None and hold_point not in report.rules.hold_points:
        raise click.UsageError(f"no hold point {hold_point!r}; one of {', '.join(report.rules.hold_points)}")
    wanted = [f for f in report.findings if hold_point in (None, f.rule.hold_point)]
    found = to_measure(report, wanted)[:most]
    emit(measure_text(report, found) if form == "text" else as_json(measure_data(found)))
    _tell_failures(report.failures)


@cli.command()
@click.argument("rule", required=False)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", help="How to print it.")
@click.option("--provisions", is_flag=True, help="List what codes and practice ask, and which rule or data covers it.")
@pack_options
def explain(rule: str | None, form: str, provisions: bool, packs: tuple[str, ...], config: Path | None) -> None:
    """Say what RULE checks, why, its limits and their owners, and how to measure. Without RULE: list all rules.

    Local packs count where --pack names them.
    """
    if provisions and rule is not None:
        raise click.UsageError("--provisions lists all; name a rule or ask for the provisions")
    from inspect_core.cli.choosing import rules_of
    from inspect_core.engine.chosen import packs_for
    from inspect_core.report.explain import rule_data, rule_list, rule_text

    loaded = packs_for(None, packs, config)
    rules = rules_of(loaded, rule)
    if provisions:
        from inspect_core.report.provisions import provisions_data, provisions_text

        emit(provisions_text(rules) if form == "text" else as_json(provisions_data(rules)))
    elif rule is None:
        listed = [rule_data(rules, one) for one in rules.rules]
        emit(rule_list(rules) if form == "text" else as_json(listed))
    else:
        found = rules.rule(rule)
        if found is None:
            raise click.UsageError(_no_such_rule(rule, [r.rule.id for r in rules.rules]))
        emit(rule_text(rules, found) if form == "text" else as_json(rule_data(rules, found)))
    _tell_failures(loaded.failures)


@cli.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="Unit of bare numbers.")
def start(file: Path | None, units: str) -> None:
    """Write a commented starter site description to FILE, or print it."""
    from inspect_core.site.starter import starter

    text = starter(units)
    if file is None:
        emit(text)
        return
    if os.path.lexists(file):
        raise click.UsageError(f"{file} is there already; name another file")
    write_whole(file, [text])
    click.echo(f"wrote {file}; fill it in, then: inspect-core check {file}")


@cli.command()
def schema() -> None:
    """Print the JSON Schema of site descriptions, for editors and other programs."""
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


def _tell_failures(failures: Sequence[PackFailure]) -> NoReturn:
    """Say which packs and rules failed, and exit by that."""
    from inspect_core.site.problems import visible

    for failure in failures:
        click.echo(visible(f"pack failed: {failure.pack}: {failure.why}"), err=True)
    raise SystemExit(3 if failures else 0)


def _colour() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _no_such_rule(name: str, known: list[str]) -> str:
    import difflib

    near = difflib.get_close_matches(name, known, 3)
    hint = f"did you mean {' or '.join(near)}?" if near else "inspect-core explain lists all"
    return f"no rule {name!r}; {hint}"


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run the command and exit: 2 for unusable input, 3 for our own errors, 130 when interrupted."""
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
        count = len(error.problems)
        click.echo(f"{count} problem{'s' if count != 1 else ''}; nothing was checked", err=True)
        return 2
    import traceback

    traceback.print_exception(error)
    click.echo("inspect-core itself failed; nothing above is a result. Please report this.", err=True)
    return 3
