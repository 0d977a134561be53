"""What floors are made of and what stands on them weighs, as ranges where sources give ranges.

A range has a low and a high end; checks take the high end for load on a member, the low end where weight
helps.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from .tables import read_rows, require_not_negative, require_positive
from .working import weakest

_DATA = Path(__file__).parent / "weights.csv"
_CLOSE_IN = 1 / 64


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight with its unit (``psf``, ``lb``, ``pcf``, …), source, status and what was said beside it."""

    low: float
    high: float
    unit: str
    source: str
    status: str
    note: str = ""

    def times(self, factor: float, unit: str) -> Weight:
        """Return this weight times ``factor``, in ``unit``."""
        return Weight(self.low * factor, self.high * factor, unit, self.source, self.status, self.note)

    def plus(self, other: Weight) -> Weight:
        """Return the sum; both must be in the same unit."""
        if self.unit != other.unit:
            raise ValueError(f"can't add {other.unit} to {self.unit}")
        return Weight(
            self.low + other.low,
            self.high + other.high,
            self.unit,
            "; ".join(dict.fromkeys((self.source, other.source))),
            weakest((self.status, other.status)),
            "; ".join(dict.fromkeys(note for note in (self.note, other.note) if note)),
        )


@cache
def _rows(kind: str) -> dict[str, tuple[tuple[float | None, Weight], ...]]:
    found: dict[str, tuple[tuple[float | None, Weight], ...]] = {}
    for row in read_rows(_DATA):
        if row["kind"] == kind:
            weight = Weight(
                float(row["low"]),
                float(row["high"]),
                row["unit"],
                row["source"],
                row["status"],
                row["note"],
            )
            thickness = float(row["thickness_in"]) if row["thickness_in"] else None
            found[row["key"]] = (*found.get(row["key"], ()), (thickness, weight))
    return found


def materials() -> tuple[str, ...]:
    """Return the layer materials that have a weight by area."""
    return tuple(dict.fromkeys((*_rows("area"), *_rows("per-inch"))))


def fixtures() -> tuple[str, ...]:
    """Return the fixtures (and ``person``) that have a weight."""
    return tuple(_rows("fixture"))


def _unknown(what: str, key: str, known: tuple[str, ...]) -> LookupError:
    return LookupError(f"no weight for {what} {key!r}; known: {', '.join(known)}")


def weight_psf(material: str, thickness_in: float | None = None) -> Weight:
    """Return the weight of a layer in psf.

    A printed thickness (within 1/64 in) is taken as printed; otherwise weight goes by the inch where the
    data has that. A material sold in one weight needs no thickness. Raises ``LookupError`` when the
    material is unknown, or when its thickness is needed and not given or not covered.
    """
    if material not in materials():
        raise _unknown("material", material, materials())
    rows = _rows("area").get(material, ())
    for printed, weight in rows:
        if printed is None:
            return weight
        if thickness_in is not None and abs(printed - thickness_in) <= _CLOSE_IN:
            return weight
    if thickness_in is None:
        raise LookupError(f"the weight of {material} needs its thickness")
    require_positive(thickness_in=thickness_in)
    by_inch = _rows("per-inch").get(material)
    if by_inch is None:
        printed_in = ", ".join(f"{printed:g}" for printed, _ in rows if printed is not None)
        raise LookupError(f"{material} is known at {printed_in} in only, not {thickness_in:g} in")
    return by_inch[0][1].times(thickness_in, "psf")


def density_pcf(material: str) -> Weight:
    """Return the weight of a cubic foot of ``softwood``, ``water`` or ``concrete``. Raises ``LookupError``."""
    found = _rows("density").get(material)
    if found is None:
        raise _unknown("a cubic foot of", material, tuple(_rows("density")))
    return found[0][1]


def fixture_weight_lb(fixture: str) -> Weight:
    """Return the weight of an empty fixture, or of a ``person``, in pounds. Raises ``LookupError``."""
    found = _rows("fixture").get(fixture)
    if found is None:
        raise _unknown("fixture", fixture, fixtures())
    return found[0][1]


def water_lb(gallons: float) -> Weight:
    """Return the weight of water, in pounds."""
    require_not_negative(gallons=gallons)
    return _rows("per-gallon")["water"][0][1].times(gallons, "lb")


def contents_gal(fixture: str) -> Weight:
    """Return the water that a fixture usually holds, in gallons. Raises ``LookupError`` where that is not known."""
    found = _rows("contents").get(fixture)
    if found is None:
        raise _unknown("what is in", fixture, tuple(_rows("contents")))
    return found[0][1]
