"""The inspection packet."""

from __future__ import annotations

from pathlib import Path

import click

from inspect_core.cli.choosing import pack_options, report_on, tell_failures, variance_options


@click.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="The page to write.")
@click.option("--repairs", is_flag=True, help="Also list proven repairs of what falls short; takes longer.")
@variance_options
@pack_options
def packet(
    site: Path,
    output: Path,
    repairs: bool,
    variances: Path | None,
    today: str,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Write what an inspection of SITE needs as one page for paper or a phone.

    Plan, checklist by hold point with boxes and signature lines, photos, working
    of calculations, load path, work order, take-off, limits and cautions. It
    loads nothing from anywhere. Photos are looked for beside the site file.
    """
    from inspect_core.cli.output import deliver
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.layout import lay_out
    from inspect_core.planning.takeoff import take_off
    from inspect_core.report.packet import packet_html, read_photos, with_missing_photos
    from inspect_core.report.packet.tables import repair_table, takeoff_tables
    from inspect_core.report.takeoff import Priced

    report = report_on(site, packs, config, variances, today)
    limits, caring = report.rules.limits, report.rules.cautions
    tables = list(takeoff_tables(Priced(report.site, take_off(report.site, limits), None, caring)))
    if repairs:
        from inspect_core.planning.repairs import propose

        tables.append(repair_table(propose(report.site, packs_for(site, packs, config), None)))
    layouts = [lay_out(area, limits, report.site.units) for area in report.site.areas]
    photos = read_photos(report.site, site.parent)
    deliver(packet_html(with_missing_photos(report, photos), photos, tables, layouts), output)
    tell_failures(report.failures)
