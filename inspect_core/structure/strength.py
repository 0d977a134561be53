"""How strong a piece of wood is between the bounds of what is known of it: species, grade, moisture, size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

from inspect_core.engineering.lumber import AdjustedValues, LumberError, Service, adjusted, design_values
from inspect_core.engineering.working import Step, Working, show
from inspect_core.quantities import Quantity
from inspect_core.site.model import Member
from inspect_core.structure.basis import HARD, KIND, Basis, Ends

SAWN = (None, "sawn", "plank")
ACROSS = "fc_perp"
Property = str


@dataclass(frozen=True, slots=True)
class Wood:
    """Adjusted design values in psi as (kind, hard) ends.

    ``chosen`` holds the values behind each end, by property, for the working. ``decides`` names what is not known and
    would narrow the ends (``species``, ``grade``, ``moisture``, ``incised``). ``candidates`` are all that it may be.
    ``credit`` is below 1 where the tables have no values for the lowest grade that it may be: the next one stands in
    with that share.
    """

    fb: Ends
    fv: Ends
    fc_perp: Ends
    fc: Ends
    e: Ends
    gravity: Ends
    chosen: tuple[tuple[Property, tuple[AdjustedValues, AdjustedValues]], ...]
    candidates: tuple[AdjustedValues, ...]
    assumptions: tuple[str, ...]
    decides: tuple[str, ...]
    credit: float

    def working(self, prop: Property, end: int = HARD) -> Working:
        """The steps to one adjusted value."""
        steps = dict(self.chosen)[prop][end].working_of(prop)
        if end == KIND or self.credit >= 1 or prop == ACROSS:
            return steps
        full, value = steps[-1].result, float(getattr(self, prop)[HARD])
        numbers = f"{show(full)} × {self.credit:g}"
        return (*steps, Step(f"{steps[-1].symbol} credited", "no values for the grade", numbers, value, "psi", ""))

    def values(self, prop: Property, end: int = HARD) -> AdjustedValues:
        """The row behind one adjusted value."""
        return dict(self.chosen)[prop][end]


@dataclass(frozen=True, slots=True)
class NoValues:
    """Why a piece of wood has no design values here."""

    why: str


def wood_of(
    member: Member, thickness: Quantity, depth: Quantity, basis: Basis, spacing: tuple[float | None, ...], members: int
) -> Wood | NoValues:
    """Strength of a member. ``spacing`` lists the spacings that it may have among ``members`` alike, ``None`` alone."""
    return wood(
        member.species,
        member.grade,
        (thickness.low, thickness.high),
        (depth.low, depth.high),
        moisture_classes(member.moisture, basis),
        member.moisture is None,
        spacing,
        members,
        basis.species,
        basis.grades,
        basis.no_values_share,
        incised_classes(member),
    )


def incised_classes(member: Member) -> tuple[bool, ...]:
    """Whether it was slit for treatment: both where treated wood does not say, no where no treatment is spoken of."""
    if member.incised is not None:
        return (member.incised,)
    return (False, True) if member.treated else (False,)


def moisture_classes(moisture: Quantity | None, basis: Basis) -> tuple[bool, ...]:
    """Whether wood works wet: both where that is not known."""
    if moisture is None:
        return False, True
    return tuple(sorted({moisture.low > basis.wet_above, moisture.high > basis.wet_above}))


@lru_cache(maxsize=1024)  # a floor has about ten; one of unknown species and grade takes 50 kB
def wood(
    species: str | None,
    grade: str | None,
    thickness: tuple[float, float],
    depth: tuple[float, float],
    wet: tuple[bool, ...],
    moisture_unknown: bool,
    spacing: tuple[float | None, ...],
    members: int,
    unknown_species: tuple[str, ...],
    unknown_grades: tuple[str, ...],
    no_values_share: float = 1.0,
    incised: tuple[bool, ...] = (False,),
) -> Wood | NoValues:
    """Strength between all that species, grade, size, moisture and spacing may be; each value at its own worst.

    The strength of a joist goes up with its depth but for the size factor, which steps down: so the factor is taken at
    both ends of a range of sizes and the worse one counts.
    """
    all_species = (species,) if species is not None else unknown_species
    all_grades = (grade,) if grade is not None else unknown_grades
    sizes = dict.fromkeys([(thickness[0], depth[0]), (thickness[1], depth[1])])
    found: list[AdjustedValues] = []
    missing: list[str] = []
    for one_species, one_grade, (thick, deep) in product(all_species, all_grades, sizes):
        try:
            reference = design_values(one_species, one_grade, thick, deep)
            for is_wet, is_incised, apart in product(wet, incised, spacing):
                service = Service(wet=is_wet, incised=is_incised, spacing_in=apart, members=members)
                found.append(adjusted(reference, thick, deep, service))
        except LumberError as error:
            if error.kind == "species" or (error.kind == "grade" and species is not None and grade is not None):
                return NoValues(str(error))
            if error.kind == "grade" and grade is not None:
                continue  # a species that has no such grade isn't what this is
            missing.append(f"{one_species} {one_grade}")
    if not found:
        named = ", ".join(dict.fromkeys(missing)) or f"grade {grade}"
        return NoValues(f"no design values for {named} in this size")
    chosen = {prop: _ends(prop, found) for prop in ("fb", "fv", "fc_perp", "fc", "e")}
    values = {prop: (getattr(kind, prop), getattr(hard, prop)) for prop, (kind, hard) in chosen.items()}
    notes, decides = _taken(species, grade, all_species, all_grades, wet, moisture_unknown, incised)
    credit = no_values_share if missing else 1.0
    if missing:
        names = ", ".join(dict.fromkeys(missing))
        notes = (*notes, f"no design values in this size for {names}: {credit:g} of the lowest that there are taken")
    # Strength across the grain goes by the species, not by the grade.
    values = {prop: (kind, hard * (1.0 if prop == ACROSS else credit)) for prop, (kind, hard) in values.items()}
    gravities = [one.reference.specific_gravity for one in found]
    gravity = (max(gravities), min(gravities))
    return Wood(
        **values,
        gravity=gravity,
        chosen=tuple(chosen.items()),
        candidates=tuple(found),
        assumptions=notes,
        decides=decides,
        credit=credit,
    )


def _ends(prop: Property, found: Iterable[AdjustedValues]) -> tuple[AdjustedValues, AdjustedValues]:
    known = list(found)

    def value(one: AdjustedValues) -> float:
        return float(getattr(one, prop))

    return max(known, key=value), min(known, key=value)


def _taken(
    species: str | None,
    grade: str | None,
    all_species: tuple[str, ...],
    all_grades: tuple[str, ...],
    wet: tuple[bool, ...],
    moisture_unknown: bool,
    incised: tuple[bool, ...],
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    notes: list[str] = []
    decides: list[str] = []
    if species is None:
        notes.append(f"species not known: the weakest and the strongest of {', '.join(all_species)} tried")
        decides.append("species")
    if grade is None:
        notes.append(f"no grade stamp: {' and '.join(all_grades)} tried")
        decides.append("grade")
    if moisture_unknown:
        notes.append("moisture not read: dry and wet service tried")
    if len(wet) > 1:
        decides.append("moisture")
    if len(incised) > 1:
        notes.append("treated wood, not said whether it was incised: both tried")
        decides.append("incised")
    return tuple(notes), tuple(decides)


def ends_of(quantity: Quantity, *, more_helps: bool) -> Ends:
    """A measured quantity as (kind, hard) ends."""
    return (quantity.high, quantity.low) if more_helps else (quantity.low, quantity.high)


__all__ = [
    "HARD",
    "KIND",
    "SAWN",
    "NoValues",
    "Wood",
    "ends_of",
    "incised_classes",
    "moisture_classes",
    "wood",
    "wood_of",
]
