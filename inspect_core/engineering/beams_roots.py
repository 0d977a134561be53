"""Where a polynomial changes sign: exact places of largest moment, shear and deflection.

Up to the second degree in closed form. Above it a zero is enclosed between two turning points of the
polynomial, which are zeros of its derivative and found the same way; between them it is monotone, so nothing
can be missed as a search by sampling would, and Newton's method kept inside the enclosure runs down to the
last bits.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import copysign, sqrt

Polynomial = tuple[float, float, float, float, float, float]
"""Coefficients in ascending order up to the fifth degree: that of the deflection under a load that varies."""

_CLOSE = 1e-10
"""Share of the enclosure below which a step is the last: Newton's steps square their error, so the next is noise."""

_STEPS = 80
"""More than bisection alone would need to get from any enclosure to the last bit."""


def value(polynomial: Polynomial, at: float) -> float:
    """The polynomial at `at`."""
    c0, c1, c2, c3, c4, c5 = polynomial
    return c0 + at * (c1 + at * (c2 + at * (c3 + at * (c4 + at * c5))))


def derivative(polynomial: Polynomial) -> Polynomial:
    """The derivative."""
    _, c1, c2, c3, c4, c5 = polynomial
    return (c1, 2 * c2, 3 * c3, 4 * c4, 5 * c5, 0.0)


def zeros(polynomial: Polynomial, low: float, high: float) -> list[float]:
    """Where between `low` and `high`, ends left out, the polynomial changes sign, in ascending order.

    Zeros that it only touches are left out.
    """
    c0, c1, c2, c3, c4, c5 = polynomial
    if c3 or c4 or c5:
        slope = derivative(polynomial)
        return zeros_between(polynomial, slope, [low, *zeros(slope, low, high), high])
    if c2:
        return quadratic_zeros(c0, c1, c2, low, high)
    if c1 and low < -c0 / c1 < high:
        return [-c0 / c1]
    return []


def quadratic_zeros(c0: float, c1: float, c2: float, low: float, high: float) -> list[float]:
    """Where between `low` and `high` c0 + c1·x + c2·x² changes sign; `c2` is not zero."""
    inside = c1 * c1 - 4 * c2 * c0
    if not inside > 0:
        return []
    # Both terms have one sign, so that no digits cancel.
    sum_ = -0.5 * (c1 + copysign(sqrt(inside), c1))
    pair = (sum_ / c2, c0 / sum_)
    return [at for at in (pair if pair[0] < pair[1] else pair[::-1]) if low < at < high]


def zeros_between(polynomial: Polynomial, slope: Polynomial, knots: Sequence[float]) -> list[float]:
    """Zeros of a polynomial that is monotone between neighbouring `knots`; `slope` is its derivative."""
    found = []
    left = knots[0]
    at_left = value(polynomial, left)
    for right in knots[1:]:
        at_right = value(polynomial, right)
        if at_left < 0 < at_right or at_right < 0 < at_left:
            found.append(enclosed_zero(polynomial, slope, left, right, at_left, at_right))
        left, at_left = right, at_right
    return found


def enclosed_zero(
    polynomial: Polynomial, slope: Polynomial, left: float, right: float, at_left: float, at_right: float
) -> float:
    """The zero between `left` and `right`, where the polynomial has opposite signs."""
    c0, c1, c2, c3, c4, c5 = polynomial
    d0, d1, d2, d3, d4, _ = slope
    close = _CLOSE * (right - left)
    rising = at_left < 0
    at = left + (right - left) * at_left / (at_left - at_right)
    for _ in range(_STEPS):
        here = c0 + at * (c1 + at * (c2 + at * (c3 + at * (c4 + at * c5))))
        tilt = d0 + at * (d1 + at * (d2 + at * (d3 + at * d4)))
        if tilt and abs(here) <= close * abs(tilt):
            return min(max(at - here / tilt, left), right)
        if (here < 0) == rising:
            left = at
        else:
            right = at
        # Where Newton's step leaves the enclosure, or there is no slope to follow, halve the enclosure
        # instead.
        next_ = at - here / tilt if tilt else left
        at = next_ if left < next_ < right else 0.5 * (left + right)
    return at
