"""The user's prices: a YAML or a CSV file of codes and what one unit costs.

A YAML file::

    format: 1
    currency: USD
    prices:
      lumber-2x8-hem-fir-no.2-12-ft: 14.50
      grout: 18

A CSV file has a head line with ``code`` and ``price``; other columns are left alone. Codes that the take-off does not
ask for do no harm: one file serves many jobs.
"""

from __future__ import annotations

import csv
import difflib
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path as FilePath
from typing import Any

from inspect_core.planning.takeoff.model import Cost, Item
from inspect_core.site.problems import InputError, Problem

MOST_BYTES = 5_000_000
MOST_PRICE = 1e9
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Prices:
    """Price of one unit by code, and the currency's name ("" where the file names none)."""

    file: str
    by_code: Mapping[str, float]
    currency: str = ""


def read_prices(path: FilePath) -> Prices:
    """Read a price file, CSV by its ending and YAML otherwise.

    Raises :class:`InputError` with line and column of everything wrong.
    """
    if path.suffix.lower() == ".csv":
        return _from_csv(path)
    return _from_yaml(path)


def costs(items: Sequence[Item], prices: Prices) -> tuple[Cost, ...]:
    """What each line costs."""
    found = []
    for item in items:
        each = prices.by_code.get(item.code)
        total = None if each is None else float((Decimal(str(each)) * item.buy).quantize(CENT, ROUND_HALF_UP))
        found.append(Cost(item, each, total))
    return tuple(found)


def total_of(priced: Sequence[Cost]) -> float:
    """The sum of all lines that have a price."""
    return float(sum((Decimal(str(c.total)) for c in priced if c.total is not None), Decimal(0)))


def near_codes(code: str, prices: Prices) -> str:
    """A code in the price file that may have been meant."""
    return next(iter(difflib.get_close_matches(code, list(prices.by_code), 1, 0.85)), "")


# --- YAML ------------------------------------------------------------------------------------------------------------


def _from_yaml(path: FilePath) -> Prices:
    from inspect_core.site.reader import Document, read_file

    document: Document = read_file(path)
    problems: list[Problem] = []

    def wrong(where: tuple[str | int, ...], code: str, message: str, expected: str, example: str = "") -> None:
        mark = document.where_value(where)
        problems.append(document.problem(mark, where, code, message, expected, example))

    data = document.data
    example = "format: 1\nprices:\n  grout: 18.50"
    if not isinstance(data, dict):
        wrong((), "prices", "a price file is a mapping", "format, currency and prices", example)
        raise InputError(problems)
    for key in data:
        if key not in ("format", "currency", "prices"):
            message = f"there is no key {key!r} in a price file"
            problems.append(document.problem(document.where((key,)), (key,), "no-such-key", message,
                                             "format, currency, prices"))  # fmt: skip
    if data.get("format") != 1 or isinstance(data.get("format"), bool):
        wrong(("format",), "format", "the number of the file format is missing or another", "format: 1")
    currency = data.get("currency", "")
    if not isinstance(currency, str) or len(currency) > 20:
        wrong(("currency",), "currency", "a currency is a short word", "for instance USD")
    table = data.get("prices")
    if not isinstance(table, dict):
        wrong(("prices",), "prices", "no prices are listed", "a code and a price in each line", example)
        raise InputError(problems)
    by_code: dict[str, float] = {}
    for code, value in table.items():
        price = _price(value)
        if price is None:
            wrong(("prices", code), "price", f"{_shown(value)} is no price", "a number of zero or more, without a sign "
                  "or the currency", "14.50")  # fmt: skip
        else:
            by_code[code] = price
    if problems:
        raise InputError(problems)
    return Prices(document.file, by_code, currency)


def _price(value: Any) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if math.isfinite(value) and 0 <= value <= MOST_PRICE else None


def _shown(value: Any) -> str:
    return "nothing" if value is None else repr(value)[:40]


# --- CSV -------------------------------------------------------------------------------------------------------------


def _from_csv(path: FilePath) -> Prices:
    name = str(path)
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        if len(raw) > MOST_BYTES:
            raise InputError([Problem(name, 0, 0, (), "too-large", f"more than {MOST_BYTES // 1_000_000} MB")])
        text = raw.decode("utf-8-sig")
    except OSError as error:
        raise InputError([Problem(name, 0, 0, (), "unreadable", f"can't be read: {error.strerror}")]) from None
    except UnicodeDecodeError:
        raise InputError([Problem(name, 0, 0, (), "not-text", "is not text in UTF-8")]) from None
    lines = text.split("\n")
    problems: list[Problem] = []

    def wrong(line: int, column: int, message: str, expected: str) -> None:
        source = lines[line - 1].rstrip("\r") if line <= len(lines) else ""
        problems.append(Problem(name, line, column, (), "prices", message, expected, source_line=source))

    rows = list(_rows(text, wrong))
    head = [cell.strip().lower() for cell in rows[0][1]] if rows else []
    if problems or "code" not in head or "price" not in head:
        if not problems:
            wrong(1, 1, "the first line names the columns", "code,price")
        raise InputError(problems)
    at_code, at_price = head.index("code"), head.index("price")
    by_code: dict[str, float] = {}
    for line, cells in rows[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) <= max(at_code, at_price):
            wrong(line, 1, "this line has too few columns", "a code and a price")
            continue
        code = cells[at_code].strip()
        column = _column(lines[line - 1] if line <= len(lines) else "", cells, at_price)
        price = _number(cells[at_price].strip())
        if price is None:
            wrong(
                line, column, f"{_shown(cells[at_price])} is no price", "a number of zero or more with a decimal point"
            )
        elif not code:
            wrong(line, 1, "the code is missing", "a code as the take-off shows it")
        elif code in by_code:
            wrong(line, 1, f"{code!r} is listed twice", "each code once")
        else:
            by_code[code] = price
    if problems:
        raise InputError(problems)
    return Prices(name, by_code)


def _rows(text: str, wrong: Any) -> Iterator[tuple[int, list[str]]]:
    """Rows and the line in which each begins."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    while True:
        line = reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            wrong(line, 1, f"this line can't be read: {error}", "cells with commas between, quotes closed")
            return
        yield line, row


def _column(line: str, cells: Sequence[str], number: int) -> int:
    """Where a cell begins in its line, as near as the text tells."""
    found = line.find(cells[number], sum(len(cell) + 1 for cell in cells[:number]))
    return (found if found >= 0 else sum(len(cell) + 1 for cell in cells[:number])) + 1


def _number(text: str) -> float | None:
    if not text or any(character not in "0123456789." for character in text) or text.count(".") > 1 or text == ".":
        return None
    return _price(float(text))
