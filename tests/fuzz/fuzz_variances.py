"""Variances: any bytes are refused with problems that can be shown, or are entries that are held against a report."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

FLOOR = """\
format: 1
units: in
site: {name: Fuzz, invented: true, work: new}
areas:
  - id: hall
    use: hall
    joists_run: north-south
    supports: [{id: S1, line: sill, at: 0}, {id: B1, line: beam, at: 96}]
    joists: [{name: J, from: S1, to: B1, at: every 16 from 0 to 48, each: {size: 2x8, bearing: {S1: 1, B1: 3}}}]
"""


def target() -> Callable[[bytes], None]:
    """What is run on each input."""
    from inspect_core.engine import inspect, load_packs
    from inspect_core.engine.variances import (
        missing_sites,
        notice_data,
        notice_line,
        variances_from_document,
        with_variances,
    )
    from inspect_core.site import InputError, site_from_text
    from inspect_core.site.reader import read_text

    path = Path("floors/variances.yaml")
    report = inspect(site_from_text(FLOOR, "fuzz.site.yaml"), load_packs())
    open_before = {finding.subject for finding in report.findings if finding.outcome == "not-measured"}

    def one(data: bytes) -> None:
        try:
            granted = variances_from_document(read_text(data, "variances.yaml"), path)
        except InputError as error:
            assert error.problems
            assert all(line.isprintable() for line in str(error).split("\n"))
            return
        varied = with_variances(report, granted, Path("floors/a.site.yaml"), "2026-01-01")
        for finding in varied.findings:
            assert finding.varied is None or finding.outcome == "falls-short"
        assert {f.subject for f in varied.findings if f.outcome == "not-measured"} == open_before
        assert all(map(notice_line, map(notice_data, varied.variances or ())))
        missing_sites(granted)

    return one


def words() -> Iterator[str]:
    """What inputs are made of."""
    from fuzzing import words_of

    from inspect_core.engine.variances import schema_text

    yield from words_of(schema_text())
    yield from ("joist-bearing", "joist J1, south end on S1", "a.site.yaml", "2026-12-31")


if __name__ == "__main__":
    from fuzzing import fuzz

    fuzz(target, "variances", words)
