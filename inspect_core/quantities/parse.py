"""Reads quantities as people write them. Written by hand, one pass, no backtracking: linear in the text.

Every function raises `QuantityError` with what was expected, an example that is valid there, and the text.
Nothing is guessed: where two readings are likely, the text is refused and both are offered.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple, NoReturn

from inspect_core.quantities.dimensions import (
    FACTS,
    UNIT_NAMED,
    UNITS_BY_KEY,
    Dimension,
    Unit,
    Units,
    unit_key,
)
from inspect_core.quantities.errors import QuantityError
from inspect_core.quantities.quantity import EPS, Quantity
from inspect_core.quantities.tape import plain

LONGEST_TEXT = 60
LONGEST_POSITIONS_TEXT = 120
MOST_POSITIONS = 20_000
MOST_PLIES = 20
FINEST_FRACTION = 64  # of an inch: `15 7/88` is a slip of the finger, and far from `15 7/8`
LARGEST = 1e9  # in the internal unit: beyond any building, and far from where floats lose a sixteenth
# A size without a unit is in inches. Larger than this it can only be millimetres whose unit was left out.
_THICKEST_BARE = 16.0
_DEEPEST_BARE = 60.0

_UNKNOWN = frozenset({"unknown", "?", "not measured", "not-measured"})
_ESTIMATES = ("~", "≈", "about ", "approximately ", "approx. ", "approx ", "roughly ")
_DIGITS = frozenset("0123456789")
# The commonest texts by far, `16` and `15 7/8`; no part can match what the next one does.
_SIMPLE = re.compile(r"([0-9]{1,7})(?: ([0-9]{1,3})/([0-9]{1,3}))?")

_FRACTIONS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
_PLAIN = str.maketrans(
    {
        **{sign: f" {text}" for sign, text in _FRACTIONS.items()},
        "⁄": "/", "∕": "/", "²": "2", "³": "3", "×": "x", "✕": "x", "…": "..", "µ": "u", "μ": "u",
        "″": '"', "”": '"', "“": '"', "‟": '"', "′": "'", "’": "'", "‘": "'", "‛": "'",
        "−": "-", "–": "-", "‐": "-", "‑": "-", "—": "-",
        "·": " ", "⋅": " ", "°": " ", "º": " ", "℉": " F", "℃": " C",
    }
)  # fmt: skip

# A large unit may be followed by a smaller one: 8' 2", 1 h 30 min.
_COMPOUND = {Dimension.LENGTH: ("ft", "in"), Dimension.DURATION: ("h", "min")}
_QUOTIENTS = frozenset({Dimension.SLOPE, Dimension.RATIO})


@dataclass(frozen=True, slots=True)
class Size:
    """A lumber size as written: `(2) 2x10` is plies 2, thickness 2, depth 10 (lengths, so in inches).

    Whether 2x10 is nominal or true is decided elsewhere; `metric` says that it was written in a metric unit.
    """

    plies: int
    thickness: Quantity
    depth: Quantity
    metric: bool


class _Number(NamedTuple):
    value: float
    end: int  # index of the first character after it
    whole: bool  # written with digits alone


class _Reading(NamedTuple):
    number: float
    unit: Unit | None  # None: no unit was written
    compound: bool = False


class _Reader:
    """Reads one text; knows the dimension and the file's units, and the whole text for error messages.

    `example` stands for the whole text: a size or an extent gives its own, a lone length isn't valid there.
    """

    __slots__ = ("dimension", "example", "example_of_range", "text", "units")

    def __init__(self, text: object, dimension: Dimension, units: Units, example: str = "") -> None:
        self.text = text
        self.dimension = dimension
        self.units: Units = units
        self.example = example or FACTS[dimension].example[units]
        self.example_of_range = example or FACTS[dimension].range_example[units]

    def fail(self, expected: str, example: str = "") -> NoReturn:
        raise QuantityError(expected, example or self.example, self.text)

    @property
    def article(self) -> str:
        return FACTS[self.dimension].article

    def cleaned(self, longest: int = LONGEST_TEXT) -> str:
        """The text in plain characters, blanks collapsed; fails on what no quantity holds."""
        text = self.text
        if not isinstance(text, str):
            self.fail(self.article + ("; nothing is written here" if text is None else ""))
        if len(text) > longest:
            self.fail(f"{self.article} in at most {longest} characters")
        if not text.isascii():
            plain_text = text.translate(_PLAIN)
            powers = (i for i, c in enumerate(text) if c in "²³")  # of a unit, never of a number
            if any(c.isnumeric() and not c.isascii() for c in plain_text) or not all(
                text[i - 1 : i].isalpha() for i in powers
            ):
                self.fail("numbers are written with the digits 0 to 9")
            text = plain_text
        s = " ".join(text.split())
        if not s:
            self.fail(f"{self.article}; nothing is written here")
        return s

    def number(self, s: str, i: int) -> _Number:
        """The number at s[i:], without a sign: `16`, `.75`, `16.`, `7/8`, `15 7/8`, `15-7/8`."""
        start = i
        i = _digits_end(s, i)
        if s[i : i + 1] == ".":
            end = _digits_end(s, i + 1)
            if end - start > 1:
                if _fraction_start(s, end) or (s[end : end + 1] == "/" and s[end + 1 : end + 2] in _DIGITS):
                    self.fail("a number is a decimal or has a fraction, not both")
                return _Number(float(s[start:end]), end, False)
        if i == start:
            self.fail(f"{self.article} starts with a number")
        whole = int(s[start:i])
        if s[i : i + 1] == "/" and s[i + 1 : i + 2] in _DIGITS:
            end = _digits_end(s, i + 1)
            return _Number(self.fraction(whole, int(s[i + 1 : end])), end, False)
        j = _fraction_start(s, i)
        if not j:
            return _Number(float(whole), i, True)
        middle = _digits_end(s, j)
        end = _digits_end(s, middle + 1)
        over, under = int(s[j:middle]), int(s[middle + 1 : end])
        part = self.fraction(over, under)
        if over >= under:
            self.fail("a fraction after a whole number is less than one")
        return _Number(whole + part, end, False)

    def fraction(self, over: int, under: int) -> float:
        if not under:
            self.fail("the lower number of a fraction is not zero")
        if under > FINEST_FRACTION and self.dimension is Dimension.LENGTH:
            self.fail(f"a fraction on a tape has at most {FINEST_FRACTION} as its lower number")
        return over / under

    def unit(self, text: str) -> Unit | None:
        """The unit of that text in this dimension; fails when it is a unit of another dimension."""
        key = unit_key(text)
        unit = UNITS_BY_KEY[self.dimension].get(key)
        if unit is None and key:
            for other, table in UNITS_BY_KEY.items():
                if key in table:
                    this = "a percentage" if key == "%" else FACTS[other].article
                    self.fail(f"{self.article}; this is {this}")
        return unit

    def reading(self, s: str) -> _Reading:
        """A number with its unit, `8' 2 1/2"` or `1/4 in per ft`; a sign in front is allowed."""
        if s.startswith(("-", "+")):
            found = self.unsigned(s[1:].lstrip())
            return found._replace(number=-found.number) if s[0] == "-" else found
        return self.unsigned(s)

    def unsigned(self, s: str) -> _Reading:
        first = self.number(s, 0)
        tail = s[first.end :].strip()
        if not tail:
            return _Reading(first.value, None)
        self.check_after_number(s[: first.end], tail)
        unit = self.unit(tail)
        if unit is not None:
            return _Reading(first.value, unit)
        if self.dimension in _QUOTIENTS:
            return self.quotient(first, tail)
        cut = next((k for k, c in enumerate(tail) if c in _DIGITS), len(tail))
        if cut < len(tail) and self.dimension in _COMPOUND:
            return self.compound(first, tail, cut)
        return self.no_such_unit(tail)

    def check_after_number(self, number: str, tail: str) -> None:
        """Fails on what people write after a number and that can't start a unit."""
        c, following = tail[0], tail[1:].lstrip("+- ")[:1]
        if c == "," and tail[1:2] in _DIGITS:
            digits = _digits_end(tail, 1) - 1
            meant = number + ("" if digits == 3 else ".") + tail[1:]
            self.fail("a number has a decimal point and no commas", meant if self.can_read(meant) else "")
        if c in _DIGITS or (c == "-" and following in _DIGITS):
            self.fail("two numbers need a unit between them, a range two dots", self.example_of_range)
        if c == ".":
            self.fail("a number has one decimal point")
        if c in "eE" and following in _DIGITS:
            self.fail("a number is written out, without an exponent")

    def can_read(self, s: str) -> bool:
        try:
            self.inward(self.reading(s))
        except QuantityError:
            return False
        return True

    def no_such_unit(self, tail: str) -> NoReturn:
        if self.dimension is Dimension.COUNT:
            self.fail("a count is a whole number without a unit")
        names = [unit.name for unit in dict.fromkeys(UNITS_BY_KEY[self.dimension].values())]
        known = f"{', '.join(names[:-1])} or {names[-1]}" if len(names) > 1 else names[0]
        self.fail(f"{tail!r} is no unit of {self.article}: use {known}")

    def compound(self, first: _Number, tail: str, cut: int) -> _Reading:
        """`8' 2 1/2"`: a whole number of the large unit, then less than one of it in the small unit."""
        large_name, small_name = _COMPOUND[self.dimension]
        large, small = UNIT_NAMED[self.dimension, large_name], UNIT_NAMED[self.dimension, small_name]
        if tail[cut - 1] == ".":
            cut -= 1
            if tail[:cut][-1:].isalpha():  # `8 ft.5 in`: the point may end the unit or start the number
                self.no_such_unit(tail)
        head = tail[:cut].rstrip(" -,.").removesuffix(" and")
        unit = self.unit(head)
        if unit is None:
            self.no_such_unit(tail)
        if unit is not large:
            self.fail(f"only {large_name} and {small_name} are written together, otherwise one unit")
        if not first.whole:
            self.fail(f"a whole number of {large_name} before {small_name}")
        second = self.number(tail, cut)
        rest = tail[second.end :].strip()
        if rest and self.unit(rest) is not small:
            self.fail(f"after {large_name} nothing but {small_name}")
        per = large.times / small.times
        if second.value >= per:
            self.too_many(first.value * per + second.value, per, large_name, small_name)
        return _Reading(first.value * per + second.value, small, compound=True)

    def too_many(self, total: float, per: float, large: str, small: str) -> NoReturn:
        """The text may mean the sum, or a slip of the pen: it isn't guessed, the sum is the example."""
        above, below = divmod(total, per)
        example = f"{above:.0f} {large}" + (f" {plain(below, 8)} {small}" if below else "")
        example = example if self.can_read(example) else ""
        if self.dimension is Dimension.LENGTH:
            self.fail("the inches after feet are over 11: they stay below 12", example)
        self.fail(f"after {large} the {small} stay below {per:.0f}", example)

    def quotient(self, first: _Number, tail: str) -> _Reading:
        """`1:48`, `1 in 48`, `1/4 in per ft`, `1 in per 4 ft`, `1 sq ft / 150 sq ft`, as a plain ratio."""
        above, sign, below = _split_quotient(tail)
        if not sign:
            self.no_such_unit(tail)
        has_number = below[:1] in _DIGITS or (below[:1] == "." and below[1:2] in _DIGITS)
        under = self.number(below, 0) if has_number else _Number(1.0, 0, True)
        rest = below[under.end :].strip()
        over_unit, under_unit = self.side_unit(above, tail), self.side_unit(rest, tail)
        if not under.value:
            self.fail("the second number of a quotient is not zero")
        slope = self.dimension is Dimension.SLOPE
        plain_ratio = UNIT_NAMED[self.dimension, "ratio"]
        if over_unit is None and under_unit is None:
            if slope and sign == "/":
                self.fail(f"{self.article} needs its unit, or a colon between rise and run")
            if slope and first.value > under.value:
                self.fail("a slope has the rise first and the run second")
            return _Reading(first.value / under.value, plain_ratio)
        if over_unit is None or under_unit is None or over_unit.dimension is not under_unit.dimension:
            self.fail("both sides of a quotient have a unit of one kind, or neither has")
        return _Reading(over_unit.inward(first.value) / under_unit.inward(under.value), plain_ratio)

    def side_unit(self, text: str, tail: str) -> Unit | None:
        if not text:
            return None
        key = unit_key(text)
        unit = UNITS_BY_KEY[Dimension.LENGTH].get(key)
        if unit is None and self.dimension is Dimension.RATIO:
            unit = UNITS_BY_KEY[Dimension.AREA].get(key)
        if unit is None:
            self.no_such_unit(tail)
        return unit

    def inward(self, reading: _Reading) -> float:
        """The reading in the internal unit; a bare number takes the file's unit."""
        unit = reading.unit or FACTS[self.dimension].bare[self.units]
        if unit is None:
            if reading.number:
                self.fail(f"{self.article} needs its unit")
            return 0.0
        value = unit.inward(reading.number)
        if not abs(value) <= LARGEST:
            self.fail(f"{self.article} of a size found in buildings")
        if self.dimension is Dimension.COUNT and value != int(value):
            self.fail("a count is a whole number without a unit")
        return value

    def spoken(self, s: str) -> tuple[_Reading, ...]:
        """One reading, or the two ends of a range; a bare end has taken the other's unit."""
        low, dots, high = _split_range(s)
        if not dots:
            return (self.reading(s),)
        if dots == "...":
            self.fail("a range is written with two dots", self.example_of_range)
        if not low or not high:
            self.fail("a range has two ends", self.example_of_range)
        return self.shared(self.reading(low), self.reading(high))

    def shared(self, first: _Reading, second: _Reading) -> tuple[_Reading, _Reading]:
        """Both readings with a unit, when one was bare: `8 .. 9 ft`, `2850 x 2390 mm`.

        `8' .. 9` and `8 .. 9' 2"` may mean feet or inches, `0.5 .. 1 %` a half or half a percent: refused.
        """
        bare, other = (first, second) if first.unit is None else (second, first)
        zero = not bare.number and self.dimension is not Dimension.TEMPERATURE
        if bare.unit is not None or other.unit is None or zero:
            return first, second
        large = _COMPOUND.get(self.dimension, ("",))[0]
        percent_of_ratio = self.dimension is Dimension.RATIO and other.unit.name == "%"
        if other.compound or percent_of_ratio or (bare is second and other.unit.name == large):
            self.fail("each of the two numbers needs its unit here", self.example_of_range)
        filled = bare._replace(unit=other.unit)
        return (filled, second) if bare is first else (first, filled)

    def quantity(self, readings: tuple[_Reading, ...], estimate: bool) -> Quantity:
        """One reading, or the two ends of a range, as a quantity."""
        low, high = self.inward(readings[0]), self.inward(readings[-1])
        if low > high:
            self.fail("a range runs from the smaller to the larger number", self.example_of_range)
        return Quantity(low, high, self.dimension, estimate)


def _digits_end(s: str, i: int) -> int:
    n = len(s)
    while i < n and s[i] in _DIGITS:
        i += 1
    return i


def _fraction_start(s: str, i: int) -> int:
    """Index of the upper number of a fraction that follows a whole number (` 7/8`, `-7/8`), else 0."""
    j = i + 1 if s[i : i + 1] == "-" else i
    while s[j : j + 1] == " ":
        j += 1
    k = _digits_end(s, j)
    return j if i < j < k and s[k : k + 1] == "/" and s[k + 1 : k + 2] in _DIGITS else 0


def _split_quotient(tail: str) -> tuple[str, str, str]:
    """`in per 4 ft` -> ("in", ":", "4 ft"); `:48` and `in 48` -> ("", ":", "48"); no sign: ("", "", "")."""
    lower = f" {tail.lower()} "
    if lower.startswith(" in ") and lower[4] in _DIGITS:
        return "", ":", lower[4:].strip()
    for sign in (":", "/", " per "):
        above, found, below = lower.partition(sign)
        if found:
            return above.strip(), "/" if sign == "/" else ":", below.strip()
    return "", "", ""


def _split_range(s: str) -> tuple[str, str, str]:
    """The two ends and the dots between; three dots only before a blank, else they might start `.5`."""
    low, dots, high = s.partition("..")
    if dots:
        if high.startswith("."):
            dots, high = (dots, high[1:]) if high.startswith(". ") else ("...", high)
        return low.strip(), dots, high.strip()
    at = s.lower().find(" to ")
    return (s[:at], "..", s[at + 4 :]) if at >= 0 else (s, "", "")


def _without_estimate(s: str) -> tuple[str, bool]:
    lower = s.lower()
    mark = next((mark for mark in _ESTIMATES if lower.startswith(mark)), "")
    return s[len(mark) :].lstrip(), bool(mark)


def is_unknown(text: object) -> bool:
    """Whether the text says that nothing was measured: `unknown`, `?`, `not measured`."""
    return isinstance(text, str) and len(text) <= LONGEST_TEXT and " ".join(text.split()).lower() in _UNKNOWN


def parse(text: str | int | float, dimension: Dimension, units: Units) -> Quantity | None:
    """The quantity that the text says, in the internal unit; None for `unknown`.

    A bare number takes the file's `units` where that can only mean one thing; an area, a slope, a duration
    and a metric weight need their unit (but 0 is 0). Raises QuantityError.
    """
    if isinstance(text, str):
        # The length is checked before the text can become a key in the cache.
        return _parse_text(text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT + 1], dimension, units)
    if isinstance(text, bool) or not isinstance(text, (int, float)):
        _Reader(text, dimension, units).cleaned()
    unit = FACTS[dimension].bare[units]
    # An int may be too large for a float: compared before it is converted.
    if unit is not None and -LARGEST <= text <= LARGEST and dimension is not Dimension.COUNT:
        value = unit.inward(text)
        if -LARGEST <= value <= LARGEST:
            return Quantity(value, value, dimension)
    reader = _Reader(text, dimension, units)
    if not -LARGEST <= text <= LARGEST:
        reader.fail(f"{reader.article} of a size found in buildings")
    return reader.quantity((_Reading(float(text), None),), False)


@lru_cache(maxsize=4096)
def _parse_text(text: str, dimension: Dimension, units: Units) -> Quantity | None:
    simple = _SIMPLE.fullmatch(text)
    unit = FACTS[dimension].bare[units]
    if simple is not None and unit is not None and dimension is not Dimension.COUNT:
        whole, over, under = simple.groups()
        if over is None or int(over) < int(under) <= FINEST_FRACTION:
            value = unit.inward(float(whole) if over is None else int(whole) + int(over) / int(under))
            if value <= LARGEST:
                return Quantity(value, value, dimension)
    reader = _Reader(text, dimension, units)
    s = reader.cleaned()
    if s.lower() in _UNKNOWN:
        return None
    s, estimate = _without_estimate(s)
    return reader.quantity(reader.spoken(s), estimate)


def _two_lengths(s: str, reader: _Reader) -> tuple[Quantity, Quantity, set[str]]:
    """`a x b` as two lengths above zero, and the systems of the units that were written."""
    s, whole = _without_estimate(s)
    sides = [_without_estimate(part.strip()) for part in s.lower().replace(" by ", " x ").split("x")]
    if len(sides) != 2 or not all(text for text, _ in sides):
        reader.fail("two numbers with an x between them")
    first, second = (reader.spoken(text) for text, _ in sides)
    one, two = reader.shared(first[-1], second[-1])
    # Both ends of a range are bare, or both have a unit.
    first = tuple(end._replace(unit=end.unit or one.unit) for end in first)
    second = tuple(end._replace(unit=end.unit or two.unit) for end in second)
    guesses = [whole or guess for _, guess in sides]
    quantities = [reader.quantity(ends, guess) for ends, guess in zip((first, second), guesses, strict=True)]
    if min(q.low for q in quantities) <= 0:
        reader.fail("two lengths above zero")
    systems = {end.unit.system for end in (*first, *second) if end.unit is not None}
    return quantities[0], quantities[1], systems


def parse_extent(text: str, units: Units) -> tuple[Quantity, Quantity] | None:
    """`9' 4" x 7' 10"`, `2850 x 2390 mm`, `24 x 48`: two lengths above zero; None for `unknown`."""
    example = "9' 4\" x 7' 10\"" if units == "in" else "2850 x 2390 mm"
    reader = _Reader(text, Dimension.LENGTH, units, example)
    s = reader.cleaned()
    if s.lower() in _UNKNOWN:
        return None
    first, second, _ = _two_lengths(s, reader)
    return first, second


def parse_size(text: str) -> Size:
    """A lumber size: `2x8`, `1 5/8 x 7 1/2`, `45 x 195 mm`, `(2) 2x10`, `3-2x10`.

    `unknown` is not a size: ask `is_unknown` before.
    """
    reader = _Reader(text, Dimension.LENGTH, "in", "2x8")
    plies, s = _plies(reader.cleaned(), reader)
    thickness, depth, systems = _two_lengths(s, reader)
    if len(systems) > 1:
        reader.fail("a lumber size is in inches or in millimetres, not in both")
    if not systems and (thickness.high > _THICKEST_BARE or depth.high > _DEEPEST_BARE):
        reader.fail("a lumber size in millimetres has its unit", "45 x 195 mm")
    return Size(plies, thickness, depth, systems == {"mm"})


def _plies(s: str, reader: _Reader) -> tuple[int, str]:
    """The number of plies in front of a size (`(2) 2x10`, `3-2x10`, `2-ply 2x10`), and the rest."""
    if s.startswith("("):
        count, close, rest = s[1:].partition(")")
        count = count.strip()
        if not close or not count or _digits_end(count, 0) != len(count):
            reader.fail("in brackets before a size stands the number of plies", "(2) 2x10")
    else:
        end = _digits_end(s, 0)
        count, rest = s[:end], s[end:].lstrip()
        ply = rest.lstrip("- ").lower().startswith("ply ")
        if not count or not (ply or rest.startswith("-")) or _fraction_start(s, end):
            return 1, s
        rest = rest.lstrip("- ")[4 if ply else 0 :]
    if not 1 <= int(count) <= MOST_PLIES:
        reader.fail(f"1 to {MOST_PLIES} plies", "(2) 2x10")
    return int(count), rest.strip()


def parse_positions(text: str, units: Units) -> tuple[Quantity, ...]:
    """`every 16 from 0 to 112`, `every 400 mm from 0 to 2800 mm`, `every 16 from 3/4 for 8` (8 positions).

    With `to`, the last position is the last step that isn't past the end. At most 20,000 positions.
    """
    example = "every 16 from 0 to 112" if units == "in" else "every 400 from 0 to 2800"
    reader = _Reader(text, Dimension.LENGTH, units, example)
    s, estimate = _without_estimate(reader.cleaned(LONGEST_POSITIONS_TEXT).lower())
    step_text, from_word, span = s.removeprefix("every ").partition(" from ")
    by_count = " for " in span
    start_text, last_word, last_text = span.partition(" for " if by_count else " to ")
    if not s.startswith("every ") or not from_word or not last_word:
        reader.fail("a step, a start, and an end or a number of positions")
    step_text, step_estimate = _without_estimate(step_text)
    lengths = [step_text, start_text] if by_count else [step_text, start_text, last_text]
    readings = [reader.reading(part.strip()) for part in lengths]
    _one_system(readings, reader)
    step, start, *last = [reader.inward(reading) for reading in readings]
    if step <= 0:
        reader.fail("a step above zero")
    if by_count:
        count = _position_count(last_text.strip(), reader)
    elif last[0] < start:
        reader.fail("the first position lies before the last")
    else:
        # Counted with a little slack, so that 112 / 16 and 2800 mm / 400 mm both reach the end.
        count = math.floor(min((last[0] - start) / step, MOST_POSITIONS) + EPS) + 1
    if count > MOST_POSITIONS:
        reader.fail(f"at most {MOST_POSITIONS} positions")
    guess = estimate or step_estimate
    return tuple(Quantity(at, at, Dimension.LENGTH, guess) for at in (start + k * step for k in range(count)))


def _position_count(text: str, reader: _Reader) -> int:
    if not text or _digits_end(text, 0) != len(text) or int(text) < 1:
        by_count = reader.example.partition(" to ")[0] + " for 8"
        reader.fail("after `for` stands the number of positions", by_count)
    return int(text)


def _one_system(readings: Iterable[_Reading], reader: _Reader) -> None:
    """Refuses a bare number beside a unit of the other system: it isn't clear which of the two it follows."""
    measured = [reading.unit for reading in readings if reading.number]
    if None in measured and any(unit is not None and unit.system != reader.units for unit in measured):
        reader.fail("each number needs its unit, or none has one")
