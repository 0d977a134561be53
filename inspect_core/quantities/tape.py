"""Numbers as people write them: fractions of an inch, feet and inches, decimals without an exponent."""

from __future__ import annotations


def plain(number: float, digits: int) -> str:
    """The number without an exponent, decimals up to so many significant digits: `0.0067`, `40`, `1234567`."""
    if not number:
        return "0"  # without the sign of a negative zero
    text = f"{number:.{digits}g}"
    if "e" in text:
        text = f"{number:.{max(0, digits - 1 - int(text.partition('e')[2]))}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def inches(parts: int, per_inch: int) -> str:
    """So many parts of an inch as `15 7/8`, the fraction in lowest terms; parts may be negative."""
    sign, parts = ("-", -parts) if parts < 0 else ("", parts)
    whole, rest = divmod(parts, per_inch)
    if not rest:
        return f"{sign}{whole}"
    while rest % 2 == 0:
        rest, per_inch = rest // 2, per_inch // 2
    return f"{sign}{whole} {rest}/{per_inch}" if whole else f"{sign}{rest}/{per_inch}"


def feet_and_inches(parts: int, per_inch: int) -> str:
    """So many parts of an inch as `8 ft 2 1/2 in`, `8 ft`, or `15 7/8 in` below 3 ft."""
    if abs(parts) < 36 * per_inch:
        return f"{inches(parts, per_inch)} in"
    sign, parts = ("-", -parts) if parts < 0 else ("", parts)
    feet, rest = divmod(parts, 12 * per_inch)
    return f"{sign}{feet} ft {inches(rest, per_inch)} in" if rest else f"{sign}{feet} ft"
