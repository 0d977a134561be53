"""``inspect-core span``: how far a joist may span, one at a time or as a whole table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from inspect_core.engineering.spans import JoistSpan
    from inspect_core.quantities import Dimension, Units
    from inspect_core.report.span import Cell, Conditions, JoistSize

# What a table shows where nothing else is asked for: the rows and columns of the printed ones.
TABLE_SIZES = ("2x6", "2x8", "2x10", "2x12")
TABLE_SPACINGS = ("12", "16", "19.2", "24")
TABLE_SPECIES = ("douglas-fir-larch", "hem-fir", "southern-pine", "spruce-pine-fir")
TABLE_GRADES = ("Select Structural", "No.1", "No.2", "No.3")
ONE_SPACING = ("16",)
# A bare number is in inches or psf; one beyond these was most likely meant in a metric unit.
MOST_BARE_IN, LEAST_BARE_PSF = 96.0, 5.0


@click.command()
@click.option("--size", "sizes", multiple=True, help="Size as written: 2x8, 1 5/8 x 7 1/2, 45 x 195 mm.")
@click.option("--species", multiple=True, help="Species, for instance douglas-fir-larch or DF-L.")
@click.option("--grade", "grades", multiple=True, help="Grade, for instance No.2.")
@click.option("--spacing", "spacings", multiple=True, help="Joist spacing, centre to centre.  [default: 16]")
@click.option("--live", default="40", show_default=True, help="Live load, psf or with its unit.")
@click.option("--dead", default="10", show_default=True, help="Dead load, the joists' own weight with it.")
@click.option("--deflection", default="360", show_default=True, help="x of L/x, under live load.")
@click.option("--wet", is_flag=True, help="Wet in service: over 19 percent moisture.")
@click.option(
    "--sizes", "series", type=click.Choice(["nominal", "true-dimension"]), default="nominal", show_default=True,
    help="How inch sizes are meant.",
)  # fmt: skip
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", show_default=True, help="Units of the answer.")
@click.option("--table", is_flag=True, help="A whole table; options may be given several times.")
@click.option("--show-working", is_flag=True, help="Also show the calculation (text; JSON always has it).")
@click.option(
    "--format", "form", type=click.Choice(["text", "json", "csv"]), default="text", show_default=True,
    help="How to print it.",
)  # fmt: skip
@click.pass_context
def span(
    context: click.Context,
    sizes: tuple[str, ...],
    species: tuple[str, ...],
    grades: tuple[str, ...],
    spacings: tuple[str, ...],
    live: str,
    dead: str,
    deflection: str,
    wet: bool,
    series: str,
    units: Units,
    table: bool,
    show_working: bool,
    form: str,
) -> None:
    """Allowable clear span of a floor joist, to the nearest inch as in printed span tables.

    \b
    inspect-core span --size 2x8 --species hem-fir --grade No.2 --dead 20
    inspect-core span --table --species hem-fir --size 2x8 --size 2x10

    Bare numbers are inches and psf; metric ones have their unit (400 mm, 1.9 kPa).
    For simple spans of sound, graded lumber under uniform load. It says nothing
    about notches, holes, rot and bearing; local code and licensed practice first.
    """
    from inspect_core.cli.output import as_json, emit
    from inspect_core.report import span as report

    if table and show_working:
        raise click.UsageError("--show-working goes with one span, not with --table")
    loads = _conditions(context, live, dead, deflection, wet, units)
    if table:
        cells = _table(sizes, species, grades, spacings, series, loads)
        writers = {"text": report.table_text, "csv": report.span_csv}
        emit(as_json(report.table_data(cells, loads)) if form == "json" else writers[form](cells, loads))
        return
    size = _size(_one("--size", sizes), series)
    distance = _spacing(_one("--spacing", spacings or ONE_SPACING))
    wood, grade = _one("--species", species), _one("--grade", grades)
    found = _span(wood, grade, size, distance, loads)
    if form == "json":
        emit(as_json(report.span_data(found, size, loads)))
    elif form == "csv":
        values = found.values
        emit(report.span_csv([report.Cell(values.species, values.grade, size, distance, found)], loads))
    else:
        emit(report.span_text(found, size, loads, show_working=show_working))


def _one(option: str, given: Sequence[str]) -> str:
    """The one value of an option. Raises ``UsageError`` when there is none or there are several."""
    if not given:
        raise click.UsageError(f"missing {option}: one span needs --size, --species and --grade; or ask for --table")
    if len(given) > 1:
        raise click.UsageError(f"{option} is given {len(given)} times: one span takes one, --table takes several")
    return given[0]


# --- from texts to numbers ------------------------------------------------------------------------------------------


def _conditions(context: click.Context, live: str, dead: str, deflection: str, wet: bool, units: Units) -> Conditions:
    from inspect_core.report.span import Conditions

    taken = [
        f"{name} load {value} psf, which was not given"
        for name, value in (("live", live), ("dead", dead))
        if context.get_parameter_source(name) is click.core.ParameterSource.DEFAULT
    ]
    return Conditions(_load("--live", live), _load("--dead", dead), _over(deflection), wet, units, tuple(taken))


def _number(option: str, text: str, dimension: Dimension) -> float:
    """One measured number in inches or psf; no range, no guess, nothing unknown."""
    from inspect_core.quantities import QuantityError, parse

    try:
        found = parse(text, dimension, "in")
    except QuantityError as error:
        raise _wrong(option, str(error)) from None
    if found is None or not found.exact:
        raise _wrong(option, f"one number was expected, no range and no guess; found {text!r}")
    return found.value


def _spacing(text: str) -> float:
    from inspect_core.quantities import Dimension

    found = _number("--spacing", text, Dimension.LENGTH)
    if found > MOST_BARE_IN and _is_bare(text):
        raise _wrong("--spacing", f"{text} in is no joist spacing; write {text} mm if it is in millimetres")
    return found


def _load(option: str, text: str) -> float:
    from inspect_core.quantities import Dimension

    found = _number(option, text, Dimension.LOAD)
    if 0 < found < LEAST_BARE_PSF and _is_bare(text):
        raise _wrong(option, f"{text} psf is hardly a floor's load; write {text} kPa or {text} psf, whichever it is")
    return found


def _is_bare(text: str) -> bool:
    return not any(character.isalpha() or character in "'\"" for character in text)


def _over(text: str) -> float:
    """The x of L/x; ``L/360`` and ``360`` are the same."""
    number = text.strip().upper().removeprefix("L").lstrip().removeprefix("/").strip()
    try:
        found = float(number)
    except ValueError:
        found = 0.0
    if not 1 <= found <= 10_000:
        raise _wrong("--deflection", f"a number as 360 or L/360 was expected; found {text!r}")
    return found


def _size(text: str, series: str) -> JoistSize:
    """A size as text, and what it measures. A nominal size is looked up; what is no nominal size was measured."""
    from inspect_core.engineering.lumber import LumberError, actual_size
    from inspect_core.quantities import QuantityError, parse_size
    from inspect_core.report.span import JoistSize

    try:
        size = parse_size(text)
    except QuantityError as error:
        raise _wrong("--size", str(error)) from None
    if not (size.thickness.exact and size.depth.exact):
        raise _wrong("--size", f"one size was expected, no range and no guess; found {text!r}")
    if size.plies != 1:
        raise _wrong("--size", f"one joist has one ply here; found {text!r}. A beam of plies wants its own check")
    thickness, depth, name = size.thickness.value, size.depth.value, " ".join(text.split())
    if size.metric:
        return JoistSize(name, thickness, depth, "measured")
    if series == "true-dimension":
        return JoistSize(name, *actual_size(thickness, depth, "true"), series)
    try:
        return JoistSize(name, *actual_size(thickness, depth), series)
    except LumberError:
        if thickness.is_integer() and depth.is_integer():
            message = f"there is no nominal size {name}; say --sizes true-dimension if it measures that"
            raise _wrong("--size", message) from None
    return JoistSize(name, thickness, depth, "measured")


def _wrong(option: str, message: str) -> click.BadParameter:
    return click.BadParameter(message, param_hint=option)


# --- spans ----------------------------------------------------------------------------------------------------------


def _span(species: str, grade: str, size: JoistSize, spacing_in: float, conditions: Conditions) -> JoistSpan:
    """One span. Raises ``UsageError`` for wood that the data does not know, with the names that come near."""
    found = _span_or_none(species, grade, size, spacing_in, conditions, no_values_ok=False)
    assert found is not None
    return found


def _span_or_none(
    species: str, grade: str, size: JoistSize, spacing_in: float, conditions: Conditions, *, no_values_ok: bool
) -> JoistSpan | None:
    """One span; None where a known grade has no design values for the size, if that is an answer."""
    from inspect_core.engineering.lumber import LumberError, Service
    from inspect_core.engineering.spans import allowable_joist_span

    try:
        return allowable_joist_span(
            species, grade, size.thickness_in, size.depth_in, spacing_in, conditions.live_psf, conditions.dead_psf,
            deflection=conditions.deflection, service=Service(wet=conditions.wet),
        )  # fmt: skip
    except LumberError as error:
        if no_values_ok and error.kind == "size":
            return None
        raise click.UsageError(str(error)) from None


def _table(
    sizes: Sequence[str],
    species: Sequence[str],
    grades: Sequence[str],
    spacings: Sequence[str],
    series: str,
    conditions: Conditions,
) -> list[Cell]:
    """Every span of the table: a row for each species and grade, a column for each size and spacing."""
    from inspect_core.engineering.lumber import LumberError, species_key
    from inspect_core.report.span import Cell

    columns = [
        (_size(size, series), _spacing(spacing))
        for size in sizes or TABLE_SIZES
        for spacing in spacings or TABLE_SPACINGS
    ]
    cells: dict[tuple[object, ...], Cell] = {}
    for wood in species or TABLE_SPECIES:
        try:
            key = species_key(wood)
        except LumberError as error:
            raise click.UsageError(str(error)) from None
        for grade in grades or TABLE_GRADES:
            row = [
                (size, spacing, _span_or_none(key, grade, size, spacing, conditions, no_values_ok=True))
                for size, spacing in columns
            ]
            # The data's own name for a grade, unless wide sizes take the values of another.
            names = {found.values.grade for _, _, found in row if found is not None}
            name = names.pop() if len(names) == 1 else grade
            for size, spacing, found in row:
                cells[key, name, size, spacing] = Cell(key, name, size, spacing, found)
    return list(cells.values())
