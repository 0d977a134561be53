"""A measured quantity: an interval in the internal unit of its dimension, and the arithmetic of intervals.

A range stands for "somewhere between, both ends sound"; an estimate stands for a guess, which is neither a
measurement nor a bound. Comparing gives True, False or None (not decided); an estimate never proves a pass.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from inspect_core.quantities.dimensions import UNIT_NAMED, Dimension

EPS = 1e-6  # relative slack of every comparison: far finer than a tape, far coarser than binary rounding
ESTIMATE_SPREAD = 0.10  # share by which an estimate may err either way; common practice, no source
_NEAR_ZERO = 1e-3  # below this size the slack stays what it is here, or nothing could equal zero


def slack(a: float, b: float) -> float:
    """How far two internal values may lie apart and still count as equal."""
    return EPS * max(abs(a), abs(b), _NEAR_ZERO)


@dataclass(frozen=True, slots=True)
class Quantity:
    """An interval [low, high] in the internal unit of `dimension`; low == high when exactly measured.

    Raises ValueError when low > high or a bound is not finite. Operators on two quantities need one
    dimension (TypeError otherwise); see `times` and `ratio` for products and quotients of two.
    """

    low: float
    high: float
    dimension: Dimension
    estimate: bool = False

    def __post_init__(self) -> None:
        if not -math.inf < self.low <= self.high < math.inf:
            raise ValueError(f"not an interval: {self.low} .. {self.high}")

    @property
    def exact(self) -> bool:
        """Measured, to the tape's tolerance: one number, and no estimate."""
        return self.low == self.high and not self.estimate

    @property
    def is_range(self) -> bool:
        """The two ends differ."""
        return self.low != self.high

    @property
    def value(self) -> float:
        """The one number; ValueError on a range."""
        if self.low != self.high:
            raise ValueError(f"a range has no single value: {self.low} .. {self.high}")
        return self.low

    @property
    def middle(self) -> float:
        """The middle of the interval."""
        return self.low + (self.high - self.low) / 2

    def __add__(self, other: Quantity) -> Quantity:
        if not isinstance(other, Quantity):
            return NotImplemented
        one_dimension(self, other)
        return Quantity(self.low + other.low, self.high + other.high, self.dimension,
                        self.estimate or other.estimate)  # fmt: skip

    def __sub__(self, other: Quantity) -> Quantity:
        if not isinstance(other, Quantity):
            return NotImplemented
        return self + -other

    def __neg__(self) -> Quantity:
        return Quantity(-self.high, -self.low, self.dimension, self.estimate)

    def __abs__(self) -> Quantity:
        if self.low >= 0:
            return self
        if self.high <= 0:
            return -self
        return Quantity(0.0, max(-self.low, self.high), self.dimension, self.estimate)

    def __mul__(self, number: float) -> Quantity:
        if not isinstance(number, (int, float)):
            return NotImplemented
        ends = (self.low * number, self.high * number)
        return Quantity(min(ends), max(ends), self.dimension, self.estimate)

    __rmul__ = __mul__

    def __truediv__(self, number: float) -> Quantity:
        if not isinstance(number, (int, float)):
            return NotImplemented
        ends = (self.low / number, self.high / number)
        return Quantity(min(ends), max(ends), self.dimension, self.estimate)

    @property
    def bounds(self) -> Quantity:
        """Where the true value lies: an estimate moved outward by ``ESTIMATE_SPREAD``, anything else as it is."""
        return self.widened(ESTIMATE_SPREAD, 0.0) if self.estimate else self

    def widened(self, fraction: float, least: float) -> Quantity:
        """Each bound moved outward by `fraction` of its size, and by `least` (internal unit) at least."""
        if not (fraction >= 0 and least >= 0):
            raise ValueError("a quantity can only be widened by zero or more")
        return Quantity(self.low - max(abs(self.low) * fraction, least),
                        self.high + max(abs(self.high) * fraction, least),
                        self.dimension, self.estimate)  # fmt: skip


def exactly(value: float, dimension: Dimension) -> Quantity:
    """One number, in the dimension's internal unit, as measured."""
    return Quantity(value, value, dimension)


def one_dimension(*quantities: Quantity) -> Dimension:
    """The dimension that all share. Raises TypeError when they don't, ValueError when there are none."""
    if not quantities:
        raise ValueError("at least one quantity is needed")
    first = quantities[0].dimension
    for other in quantities:
        if other.dimension is not first:
            raise TypeError(f"a {first.value} and a {other.dimension.value} don't go together")
    return first


def _products() -> dict[frozenset[Dimension], tuple[Dimension, float]]:
    """The dimension of a product, and the factor from the product of the two internal units."""
    d = Dimension
    ft = 1 / UNIT_NAMED[d.LENGTH, "ft"].times  # an inch in feet
    sq_ft = 1 / UNIT_NAMED[d.AREA, "sq ft"].times
    cu_ft = UNIT_NAMED[d.VOLUME, "cu ft"]
    gal = 1 / UNIT_NAMED[d.VOLUME, "cu in"].over  # a cubic inch in gallons
    return {
        frozenset({d.LENGTH}): (d.AREA, 1.0),
        frozenset({d.LENGTH, d.AREA}): (d.VOLUME, gal),
        frozenset({d.LENGTH, d.LOAD}): (d.LINE_LOAD, ft),
        frozenset({d.LENGTH, d.LINE_LOAD}): (d.FORCE, ft),
        frozenset({d.AREA, d.LOAD}): (d.FORCE, sq_ft),
        frozenset({d.AREA, d.STRESS}): (d.FORCE, 1.0),
        frozenset({d.LENGTH, d.DENSITY}): (d.LOAD, ft),
        frozenset({d.VOLUME, d.DENSITY}): (d.FORCE, cu_ft.over / cu_ft.times),
        frozenset({d.LENGTH, d.SLOPE}): (d.LENGTH, 1.0),
    }


_PRODUCTS = _products()


def times(a: Quantity, b: Quantity) -> Quantity:
    """The product of two quantities: length x length is an area, load x length a line load, and so on.

    A ratio or a count times anything keeps the other's dimension. TypeError when the product has no meaning
    here.
    """
    for plain, other in ((a, b), (b, a)):
        if plain.dimension in (Dimension.RATIO, Dimension.COUNT):
            dimension, factor = other.dimension, 1.0
            break
    else:
        found = _PRODUCTS.get(frozenset({a.dimension, b.dimension}))
        if found is None:
            raise TypeError(f"a {a.dimension.value} times a {b.dimension.value} has no meaning here")
        dimension, factor = found
    ends = [x * y * factor for x in (a.low, a.high) for y in (b.low, b.high)]
    return Quantity(min(ends), max(ends), dimension, a.estimate or b.estimate)


def ratio(a: Quantity, b: Quantity) -> Quantity:
    """a / b for two quantities of one dimension. ZeroDivisionError when b may be zero."""
    one_dimension(a, b)
    if b.low <= 0 <= b.high:
        raise ZeroDivisionError("the quantity to divide by may be zero")
    ends = [x / y for x in (a.low, a.high) for y in (b.low, b.high)]
    return Quantity(min(ends), max(ends), Dimension.RATIO, a.estimate or b.estimate)


def minimum(*quantities: Quantity) -> Quantity:
    """The smallest of them, as an interval: it holds the true least whatever each one's true value is."""
    dimension = one_dimension(*quantities)
    return Quantity(min(q.low for q in quantities), min(q.high for q in quantities), dimension,
                    any(q.estimate for q in quantities))  # fmt: skip


def maximum(*quantities: Quantity) -> Quantity:
    """The largest of them, as an interval."""
    dimension = one_dimension(*quantities)
    return Quantity(max(q.low for q in quantities), max(q.high for q in quantities), dimension,
                    any(q.estimate for q in quantities))  # fmt: skip


def hull(*quantities: Quantity) -> Quantity:
    """The least interval that holds all of them."""
    dimension = one_dimension(*quantities)
    return Quantity(min(q.low for q in quantities), max(q.high for q in quantities), dimension,
                    any(q.estimate for q in quantities))  # fmt: skip


def at_most(a: Quantity, b: Quantity) -> bool | None:
    """Whether a <= b: True when surely, False when surely not, None when undecided.

    Values within `slack` count as equal. An estimate on either side can't give True, and gives False only where it
    would still be False after erring by ``ESTIMATE_SPREAD``.
    """
    if a.dimension is not b.dimension:
        one_dimension(a, b)  # raises
    if a.estimate or b.estimate:
        a, b = a.bounds, b.bounds
    if a.high <= b.low + slack(a.high, b.low):
        return None if a.estimate or b.estimate else True
    return False if a.low > b.high + slack(a.low, b.high) else None


def at_least(a: Quantity, b: Quantity) -> bool | None:
    """Whether a >= b; see `at_most`."""
    return at_most(b, a)


def same(a: Quantity, b: Quantity) -> bool:
    """Both bounds equal within `slack`, one dimension, and both or neither an estimate."""
    return (
        a.dimension is b.dimension
        and a.estimate == b.estimate
        and abs(a.low - b.low) <= slack(a.low, b.low)
        and abs(a.high - b.high) <= slack(a.high, b.high)
    )
