"""Allowable spans and span tables, as text, as data and as rows for a spreadsheet."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from inspect_core.engineering.lumber import species_names
from inspect_core.engineering.spans import JoistSpan
from inspect_core.engineering.working import weakest
from inspect_core.quantities import Dimension, Units, exactly, number_in, render, unit_for
from inspect_core.report.layout import heading, wrapped
from inspect_core.report.working import working_data, working_lines

TABLE_WIDTH = 98
FROM_MEMORY = "from memory"
MARK_STRENGTH, MARK_MEMORY = "b", "*"
NO_VALUES = "-"

METHOD = (
    "Wood design method (NDS) behind the printed joist tables of the model code: bending under live and dead load, "
    "deflection under live load alone, the shorter of the two"
)
ROUNDING = (
    "Rounded to the nearest inch, halves up, as the printed tables are: up to 1/2 in more than the formulas give. "
    "Millimetres are converted from that inch and rounded down"
)
HOLDS_FOR = "Holds for simple spans of sound, straight, graded lumber under uniform load, clear between the supports"
SAYS_NOTHING = (
    "Says nothing about notches, holes, splits, rot, insects, bearing, walls and heavy things on the floor, nor about "
    "what carries the joists"
)
FIRST = (
    "Local code and licensed practice come first: the adopted table or a licensed engineer decides, above all where "
    "wood is old, cut, wet or not graded"
)
CSV_COLUMNS = (
    "species",
    "grade",
    "size",
    "thickness_in",
    "depth_in",
    "spacing_in",
    "live_psf",
    "dead_psf",
    "deflection",
    "wet",
    "span_in",
    "governs",
    "unrounded_in",
    "bending_span_in",
    "deflection_span_in",
    "status",
)
NOTES = (METHOD, ROUNDING, HOLDS_FOR, SAYS_NOTHING, FIRST)


@dataclass(frozen=True, slots=True)
class JoistSize:
    """A size as it was asked for, and what it measures in inches. ``series`` is nominal, true-dimension or measured."""

    name: str
    thickness_in: float
    depth_in: float
    series: str


@dataclass(frozen=True, slots=True)
class Conditions:
    """What every span of one answer shares: loads in psf, x of L/x, what had to be taken for granted."""

    live_psf: float
    dead_psf: float
    deflection: float
    wet: bool
    units: Units
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cell:
    """One span of a table; ``span`` is None where the grade has no design values for the size."""

    species: str
    grade: str
    size: JoistSize
    spacing_in: float
    span: JoistSpan | None


# --- one span -------------------------------------------------------------------------------------------------------


def span_data(found: JoistSpan, size: JoistSize, conditions: Conditions) -> dict[str, Any]:
    """One span under stable keys; lengths in inches, and the span in millimetres too."""
    return {
        "format": 1,
        "span_in": float(found.span_in),
        "span_mm": _whole_mm(found.span_in),
        "governs": found.governs,
        "unrounded_in": found.unrounded_in,
        "bending_span_in": found.bending_span_in,
        "deflection_span_in": _finite(found.deflection_span_in),
        "not_in_the_tables": {
            "shear_span_in": _finite(found.shear_at_d_span_in),
            "bearing_span_in": _finite(found.bearing_span_in),
            "bearing_length_in": found.bearing_length_in,
            "bearing_needed_in": found.bearing_needed_in,
        },
        "inputs": {
            "size": size.name,
            "sizes": size.series,
            "thickness_in": size.thickness_in,
            "depth_in": size.depth_in,
            "species": found.values.species,
            "grade": found.values.grade,
            "spacing_in": found.spacing_in,
            **_loads(conditions),
        },
        "assumptions": list(_assumptions((size,), conditions)),
        "basis": _basis((found,)),
        "notes": list(NOTES),
        "working": working_data(found.working),
    }


def span_text(found: JoistSpan, size: JoistSize, conditions: Conditions, *, show_working: bool = False) -> str:
    """One span for people, in 80 columns."""
    return "\n".join(_span_lines(found, size, conditions, show_working)) + "\n"


def _span_lines(found: JoistSpan, size: JoistSize, conditions: Conditions, show_working: bool) -> Iterator[str]:
    units = conditions.units
    yield from heading(f"Allowable clear span: {_shown(found.span_in, units)}")
    values = found.values
    spaced = f"every {_spacing(found.spacing_in, units)}"
    yield from wrapped(f"{_size_words(size, units)}, {values.species_name} {values.grade}, {spaced}", "", "  ")
    yield from wrapped(_load_words(conditions), "", "  ")
    yield ""
    for name, span in (("bending", found.bending_span_in), ("deflection", found.deflection_span_in)):
        governs = "  governs" if name == found.governs else ""
        yield f"By {name + ':':<12}{_unrounded(span, units)}{governs}"
    yield ""
    yield "Not in the printed tables, for information:"
    yield f"By {'shear:':<12}{_unrounded(found.shear_at_d_span_in, units)}"
    bearing = f"Bearing that each end needs at this span: {_unrounded(found.bearing_needed_in, units)}"
    yield from wrapped(f"{bearing}, and never less than the model code's {_bearing(found, units)}", "", "  ")
    if found.shear_at_d_span_in < found.unrounded_in:
        yield from wrapped("Shear allows less than the span above: ask a licensed engineer.", "", "  ")
    if show_working:
        yield ""
        yield "Working, in inches and pounds:"
        yield from working_lines(found.working, "  ")
    yield ""
    yield from _closing(_assumptions((size,), conditions), (found,))


def span_csv(cells: Sequence[Cell], conditions: Conditions) -> str:
    """A row for each span, with everything it rests on; empty where there are no design values."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for cell in cells:
        size, span = cell.size, cell.span
        asked = (cell.species, cell.grade, size.name, f"{size.thickness_in:g}", f"{size.depth_in:g}")
        loads = (f"{x:g}" for x in (cell.spacing_in, conditions.live_psf, conditions.dead_psf, conditions.deflection))
        answer: tuple[object, ...] = ("", "", "", "", "", "")
        if span is not None:
            deflection = _finite(span.deflection_span_in)
            answer = (
                span.span_in,
                span.governs,
                f"{span.unrounded_in:.3f}",
                f"{span.bending_span_in:.3f}",
                "" if deflection is None else f"{deflection:.3f}",
                span.status,
            )
        writer.writerow((*asked, *loads, "yes" if conditions.wet else "no", *answer))
    return out.getvalue()


# --- a table --------------------------------------------------------------------------------------------------------


def table_data(cells: Sequence[Cell], conditions: Conditions) -> dict[str, Any]:
    """A whole table under stable keys: one object a cell, ``span_in`` null where there are no design values."""
    found = [cell.span for cell in cells if cell.span is not None]
    return {
        "format": 1,
        "inputs": _loads(conditions),
        "cells": [
            {
                "species": cell.species,
                "grade": cell.grade,
                "size": cell.size.name,
                "thickness_in": cell.size.thickness_in,
                "depth_in": cell.size.depth_in,
                "spacing_in": cell.spacing_in,
                "span_in": None if cell.span is None else float(cell.span.span_in),
                "span_mm": None if cell.span is None else _whole_mm(cell.span.span_in),
                "governs": None if cell.span is None else cell.span.governs,
                "unrounded_in": None if cell.span is None else cell.span.unrounded_in,
                "status": None if cell.span is None else cell.span.status,
            }
            for cell in cells
        ],
        "assumptions": list(_assumptions([cell.size for cell in cells], conditions)),
        "basis": _basis(found),
        "notes": list(NOTES),
    }


def table_text(cells: Sequence[Cell], conditions: Conditions) -> str:
    """A whole table for people: grids under one another, each as wide as a page allows."""
    return "\n".join(_table_lines(cells, conditions)) + "\n"


def _table_lines(cells: Sequence[Cell], conditions: Conditions) -> Iterator[str]:
    yield from heading("Allowable clear spans of floor joists")
    yield from wrapped(_load_words(conditions), "", "  ")
    shown = {(c.species, c.grade, c.size, c.spacing_in): _cell_text(c, conditions.units) for c in cells}
    rows = list(dict.fromkeys((c.species, c.grade) for c in cells))
    columns = list(dict.fromkeys((c.size, c.spacing_in) for c in cells))
    heads = {column: _spacing(column[1], conditions.units).partition(" ")[0] + "  " for column in columns}
    width = max(len(text) for text in (*shown.values(), *heads.values())) + 1
    names = species_names()
    every = f"joists every, {conditions.units}"
    label = max(len(every), *(len(f"  {grade}") for _, grade in rows)) + 2
    for part in _parts(columns, max(1, (TABLE_WIDTH - label) // width)):
        yield ""
        yield _sizes_over(part, label, width)
        yield (f"{every:<{label}}" + "".join(f"{heads[column]:>{width}}" for column in part)).rstrip()
        last = ""
        for species, grade in rows:
            if species != last:
                yield names[species]
                last = species
            texts = (shown[species, grade, size, spacing] for size, spacing in part)
            yield (f"{'  ' + grade:<{label}}" + "".join(f"{text:>{width}}" for text in texts)).rstrip()
    yield ""
    marks = (
        (MARK_STRENGTH, "bending governs, elsewhere deflection"),
        (MARK_MEMORY, "design values or factors from memory: confirm them before you rely on it"),
        (NO_VALUES, "no design values for this size"),
    )
    for mark, meaning in marks:
        if any(mark in text for text in shown.values()):
            yield from wrapped(f"{mark} {meaning}", "", "  ")
    if conditions.units == "mm":
        yield "Spans in millimetres."
    found = [cell.span for cell in cells if cell.span is not None]
    yield from _closing(_assumptions([cell.size for cell in cells], conditions), found)


def _sizes_over(part: Sequence[tuple[JoistSize, float]], label: int, width: int) -> str:
    """The line with each size over its spacings, drawn to the end of the last one."""
    line = " " * label
    for size in dict.fromkeys(size for size, _ in part):
        room = width * sum(1 for other, _ in part if other == size) - 4
        line += "  " + f"{size.name} ".ljust(room, "-") + "  "
    return line.rstrip()


def _parts(columns: list[tuple[JoistSize, float]], most: int) -> Iterator[list[tuple[JoistSize, float]]]:
    """Columns in parts that fit a page; the spacings of one size stay together where they can."""
    part: list[tuple[JoistSize, float]] = []
    for size in dict.fromkeys(size for size, _ in columns):
        group = [column for column in columns if column[0] == size]
        if part and len(part) + len(group) > most:
            yield part
            part = []
        while len(group) > most:
            yield group[:most]
            group = group[most:]
        part = [*part, *group]
    if part:
        yield part


def _cell_text(cell: Cell, units: Units) -> str:
    if cell.span is None:
        return f"{NO_VALUES}  "
    span = cell.span
    feet, inches = divmod(span.span_in, 12)
    text = f"{feet}'{inches:>2}\"" if units == "in" else f"{_whole_mm(span.span_in):.0f}"
    marks = (MARK_STRENGTH if span.governs == "bending" else " ") + (MARK_MEMORY if span.status == FROM_MEMORY else " ")
    return text + marks


# --- words ----------------------------------------------------------------------------------------------------------


def _closing(assumptions: Sequence[str], found: Sequence[JoistSpan]) -> Iterator[str]:
    for note in assumptions:
        yield from wrapped(f"Taken for granted: {note}.", "", "  ")
    for source, status in _sources(found):
        yield from wrapped(f"Design values: {source} ({status}).", "", "  ")
    for note in NOTES:
        yield from wrapped(f"{note}.", "", "  ")


def _assumptions(sizes: Sequence[JoistSize], conditions: Conditions) -> tuple[str, ...]:
    notes: list[str] = []
    if nominal := list(dict.fromkeys(size for size in sizes if size.series == "nominal")):
        measures = "; ".join(f"{s.name} is {_by(s, conditions.units)}" for s in nominal)
        notes.append(f"today's dressed lumber, an old piece measures otherwise: {measures}")
    if measured := list(dict.fromkeys(size.name for size in sizes if size.series == "measured")):
        notes.append(f"{', '.join(measured)} as written is what was measured, not the name of a size")
    service = "wet in service, over 19 percent moisture" if conditions.wet else "dry in service, 19 percent or less"
    notes.append(f"{service}; three joists or more, joined by the floor")
    notes += conditions.assumptions
    return tuple(notes)


def _basis(found: Sequence[JoistSpan]) -> dict[str, Any]:
    sources = _sources(found)
    return {
        "method": METHOD,
        "rounding": ROUNDING,
        "design_values": [source for source, _ in sources],
        "status": weakest(span.status for span in found),
    }


def _sources(found: Sequence[JoistSpan]) -> list[tuple[str, str]]:
    """Each source of design values with the weakest status of what rests on it."""
    statuses: dict[str, list[str]] = {}
    for span in found:
        statuses.setdefault(span.values.source, []).append(span.status)
    return [(source, weakest(known)) for source, known in statuses.items()]


def _loads(conditions: Conditions) -> dict[str, Any]:
    return {
        "live_psf": conditions.live_psf,
        "dead_psf": conditions.dead_psf,
        "deflection": conditions.deflection,
        "wet": conditions.wet,
    }


def _load_words(conditions: Conditions) -> str:
    live, dead = (_load(psf, conditions.units) for psf in (conditions.live_psf, conditions.dead_psf))
    return f"Live load {live}, dead load {dead}; deflection under live load at most L/{conditions.deflection:g}"


def _size_words(size: JoistSize, units: Units) -> str:
    return _by(size, units) if size.series == "measured" else f"{size.name} ({size.series}: {_by(size, units)})"


def _by(size: JoistSize, units: Units) -> str:
    return f"{_length(size.thickness_in, units)} by {_length(size.depth_in, units)}"


def _load(psf: float, units: Units) -> str:
    return f"{number_in(psf, Dimension.LOAD, units):.4g} {unit_for(Dimension.LOAD, units)[0]}"


def _bearing(found: JoistSpan, units: Units) -> str:
    return _length(found.bearing_length_in, units)


def _length(inches: float, units: Units) -> str:
    if units == "mm":
        return f"{round(number_in(inches, Dimension.LENGTH, 'mm'), 1):g} mm"
    return render(exactly(inches, Dimension.LENGTH), units)


def _spacing(inches: float, units: Units) -> str:
    """A spacing has decimals where a tape has no mark: 19.2 in."""
    return f"{inches:g} in" if units == "in" else _length(inches, units)


def _shown(span_in: int, units: Units) -> str:
    return _length(span_in, "in") if units == "in" else f"{_whole_mm(span_in):.0f} mm ({_length(span_in, 'in')})"


def _unrounded(span_in: float, units: Units) -> str:
    if not math.isfinite(span_in):
        return "no limit from it"
    if units == "mm":
        return f"{number_in(span_in, Dimension.LENGTH, 'mm'):.1f} mm"
    return f"{span_in:.2f} in"


def _whole_mm(span_in: int) -> float:
    """Rounded down, so that a conversion never lengthens a span."""
    return float(math.floor(number_in(span_in, Dimension.LENGTH, "mm")))


def _finite(number: float) -> float | None:
    return number if math.isfinite(number) else None
