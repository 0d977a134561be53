"""The survey form for a phone, and the blank sheet for paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from inspect_core.quantities import Units


@click.command()
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The page to write.")
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", help="Unit of bare numbers in a new survey.")
@click.option("--blank-sheet", type=click.Path(path_type=Path), help="Also write a blank sheet to print, to this file.")
def form(output: Path, units: Units, blank_sheet: Path | None) -> None:
    """Write a page for taking the survey on a phone, under the floor.

    It loads nothing and sends nothing, keeps a draft in the browser, draws a
    plan, opens a site file to go on, and downloads one that check accepts.
    """
    from inspect_core.cli.output import deliver
    from inspect_core.report.form import form_html, sheet_html

    deliver(form_html(units), output)
    if blank_sheet is not None:
        deliver(sheet_html(units), blank_sheet)
