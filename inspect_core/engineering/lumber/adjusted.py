"""Design values with their adjustment factors applied."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ..working import Step, Working, show, weakest
from .factors import (
    PROPERTIES,
    SYMBOLS,
    Factor,
    flat_use_factor,
    incising_factor,
    load_duration_factor,
    repetitive_factor,
    size_factor,
    temperature_factor,
    wet_service_factor,
)
from .values import DesignValues

_UNITS = "psi"


@dataclass(frozen=True, slots=True)
class Service:
    """The conditions a piece works in.

    `wet` is over 19 percent moisture in service; `spacing_in` is that of members alike and joined by the
    floor (None when it works alone), `members` their number; `flat` is loaded on the wide face. The load
    duration is that of the shortest load, ten years for a floor's live load.
    """

    load_duration: str = "ten-years"
    wet: bool = False
    temperature_f: float = 70.0
    incised: bool = False
    spacing_in: float | None = None
    members: int = 3
    flat: bool = False


@dataclass(frozen=True, slots=True)
class AdjustedValues:
    """Adjusted design values in psi, before the stability factors CL and CP and the bearing factor Cb.

    So `fb` is Fb* (with Cfu), `fc` is Fc*, and `fc_perp` is for bearing at an end. `factors` holds, for each
    property, the factors that count.
    """

    reference: DesignValues
    service: Service
    fb: float
    ft: float
    fv: float
    fc_perp: float
    fc: float
    e: float
    e_min: float
    factors: tuple[tuple[str, tuple[Factor, ...]], ...]

    def status_of(self, *properties: str) -> str:
        """Return the weakest status behind the named properties, or behind all of them when none is named."""
        wanted = properties or PROPERTIES
        used = [factor.status for name, found in self.factors if name in wanted for factor in found]
        return weakest([self.reference.status, *used])

    def working_of(self, prop: str) -> Working:
        """Return the steps from the reference value of one property to its adjusted value."""
        found = dict(self.factors)[prop]
        symbol = SYMBOLS[prop]
        reference = float(getattr(self.reference, prop))
        formula = " ".join([symbol, *(factor.symbol for factor in found)])
        numbers = " × ".join([show(reference), *(f"{factor.value:g}" for factor in found)]) if found else ""
        result = f"{symbol}*" if prop == "fc" else f"{symbol}'"
        ref = self.reference
        return (
            Step(
                symbol,
                "",
                f"{ref.species_name} {ref.grade}",
                reference,
                _UNITS,
                f"NDS Supplement Table {ref.table}",
            ),
            *(step for factor in found for step in factor.working),
            Step(result, formula, numbers, float(getattr(self, prop)), _UNITS, "NDS Table 4.3.1"),
        )


@lru_cache(maxsize=4096)
def adjusted(
    values: DesignValues, thickness_in: float, depth_in: float, service: Service | None = None
) -> AdjustedValues:
    """Return `values` adjusted for the size and the service conditions (NDS 4.3), in psi.

    Without `service`: dry, normal temperature, not incised, floor live load, working alone, on edge.
    Raises LumberError where a factor that would count is not in the data.
    """
    conditions = service or Service()
    results: dict[str, float] = {}
    factors: list[tuple[str, tuple[Factor, ...]]] = []
    for prop in PROPERTIES:
        reference = float(getattr(values, prop))
        size = size_factor(values, thickness_in, depth_in, prop)
        found = [
            load_duration_factor(conditions.load_duration, prop),
            wet_service_factor(values, conditions.wet, prop, reference * size.value),
            temperature_factor(conditions.temperature_f, conditions.wet, prop),
            size,
            incising_factor(values, conditions.incised, prop),
        ]
        if prop == "fb":
            found.append(flat_use_factor(values, thickness_in, depth_in, conditions.flat))
            if conditions.spacing_in is not None:
                found.append(repetitive_factor(values, conditions.spacing_in, conditions.members))
        value = reference
        for factor in found:
            value *= factor.value
        results[prop] = value
        factors.append((prop, tuple(factor for factor in found if factor.source)))
    return AdjustedValues(values, conditions, factors=tuple(factors), **results)
