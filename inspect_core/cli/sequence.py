"""The work order."""

from __future__ import annotations

from pathlib import Path

import click

from inspect_core.cli.choosing import pack_options, tell_failures


@click.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option(
    "--format", "form", type=click.Choice(["text", "markdown", "json"]), default="text", help="How to print it."
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write it here instead of printing it.")
@pack_options
def sequence(site: Path, form: str, output: Path | None, packs: tuple[str, ...], config: Path | None) -> None:
    """Put the work on SITE in order: what to make safe, measure, mend and build up to each hold point,
    and what to photograph and have looked at before it is hidden.
    """
    from inspect_core.cli.output import as_json, deliver
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.sequence import work_order
    from inspect_core.report.sequence import sequence_data, sequence_markdown, sequence_text
    from inspect_core.site import load_site

    report = inspect(load_site(site), packs_for(site, packs, config))
    stages = work_order(report)
    if form == "json":
        text = as_json(sequence_data(report, stages))
    else:
        text = (sequence_text if form == "text" else sequence_markdown)(report, stages)
    deliver(text, output)
    tell_failures(report.failures)
