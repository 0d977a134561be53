"""The plan drawing."""

from __future__ import annotations

from pathlib import Path

import click

from inspect_core.cli.choosing import known_area, known_hold_point, pack_options, tell_failures


@click.command()
@click.argument("site", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write it here instead of printing it.")
@click.option("--area", "areas", multiple=True, metavar="ID", help="Only this area; may be given several times.")
@click.option("--hold-point", metavar="NAME", help="Mark only what this stage waits for.")
@pack_options
def draw(
    site: Path,
    output: Path | None,
    areas: tuple[str, ...],
    hold_point: str | None,
    packs: tuple[str, ...],
    config: Path | None,
) -> None:
    """Draw SITE as a plan in SVG, to scale, with dimensions and with the findings marked.

    A sheet for the frame of each area, then one for each layer of panels.
    It prints to scale: sizes are in millimetres. Every browser opens it.
    """
    from inspect_core.cli.output import deliver
    from inspect_core.engine import inspect
    from inspect_core.engine.chosen import packs_for
    from inspect_core.planning.layout import lay_out
    from inspect_core.report import Selection
    from inspect_core.report.plan import plan_svg
    from inspect_core.site import load_site

    report = inspect(load_site(site), packs_for(site, packs, config))
    for name in areas:
        known_area(report.site, name)
    known_hold_point(report, hold_point)
    by_id = {area.id: area for area in report.site.areas}
    chosen = [by_id[name] for name in dict.fromkeys(areas or by_id)]
    layouts = [lay_out(area, report.rules.limits, report.site.units) for area in chosen]
    deliver(plan_svg(report, Selection(hold_point), chosen, layouts), output)
    tell_failures(report.failures)
