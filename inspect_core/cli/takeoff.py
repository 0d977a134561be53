"""What to buy for the new and altered work of a site."""

from __future__ import annotations

from pathlib import Path

import click

from inspect_core.cli.choosing import known_area, pack_options, tell_failures


@click.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("--format", "form", type=click.Choice(["text", "csv", "json"]), default="text", help="How to print it.")
@click.option("--area", metavar="ID", help="Only this floor area.")
@click.option("--prices", type=click.Path(path_type=Path), help="Your prices, a YAML or CSV file of codes and prices.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write it here instead of printing it.")
@pack_options
def takeoff(
    site: Path,
    form: str,
    area: str | None,
    prices: Path | None,
    output: Path | None,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """List what the new and altered work in SITE needs, and how to cut it.

    Lumber cut from stock lengths, panels laid out sheet by sheet with their
    joints on the joists, fasteners, adhesive, mortar, tile and the rest. What
    can't be counted yet is listed with what would tell. --prices adds what it
    costs; the codes to put prices to stand in --format csv and json.
    """
    from inspect_core.cli.output import as_json, deliver
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.takeoff import take_off
    from inspect_core.planning.takeoff.prices import read_prices
    from inspect_core.report.takeoff import Priced, takeoff_text
    from inspect_core.report.takeoff_data import takeoff_csv, takeoff_data
    from inspect_core.site import load_site

    report = inspect(load_site(site), packs_for(site, packs, config))
    known_area(report.site, area)
    found = take_off(report.site, report.rules.limits, area)
    priced = Priced(report.site, found, read_prices(prices) if prices is not None else None, report.rules.cautions)
    if form == "json":
        text = as_json(takeoff_data(priced))
    else:
        text = takeoff_csv(priced) if form == "csv" else takeoff_text(priced)
    deliver(text, output)
    tell_failures(report.failures)
