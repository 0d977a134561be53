"""Reference design values of visually graded sawn lumber, by species, grade and size."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

from ._data import LumberError, source_text, table
from .sizes import nominal_of


@dataclass(frozen=True, slots=True)
class DesignValues:
    """One row of the design value tables: reference values, before any adjustment, in psi.

    `use` is `dimension` (2 to 4 in. thick) or a class of timbers 5 x 5 in. and larger: `beams-and-stringers`
    (more than 2 in. deeper than thick), `posts-and-timbers`, or `timbers` where one table serves both.
    `size_factors` names the group of size factors that goes with the row; `check` says what was done to
    confirm the row, if anything.
    """

    species: str
    species_name: str
    grade: str
    use: str
    table: str
    fb: float
    ft: float
    fv: float
    fc_perp: float
    fc: float
    e: float
    e_min: float
    specific_gravity: float
    size_factors: str
    source: str
    status: str
    check: str


class _Row(NamedTuple):
    names: frozenset[frozenset[str]]
    width_min: int
    width_max: float
    values: DesignValues

    def holds(self, use: str, width: int) -> bool:
        timber_class = "dimension" if use == "dimension" else "timbers"
        return self.values.use in (use, timber_class) and self.width_min <= width <= self.width_max


_WORDS = {
    "ss": "select structural",
    "dss": "dense select structural",
    "nss": "nondense select structural",
    "sel": "select",
    "struc": "structural",
    "struct": "structural",
    "str": "structural",
    "btr": "better",
    "const": "construction",
    "std": "standard",
    "stand": "standard",
    "util": "utility",
    "one": "1",
    "two": "2",
    "three": "3",
}
_NOISE = frozenset({"no", "nr", "num", "number", "grade", "and", "lumber"})


@lru_cache(maxsize=1024)
def _grade_words(text: str) -> frozenset[str]:
    """Return what a grade name says, however it is spelled: `#2`, `No. 2` and `2` are all {2}."""
    lowered = re.sub(r"non[\s-]*dense", "nondense", text.lower())
    words = re.findall(r"[a-z]+|\d+", lowered)
    return frozenset(" ".join(_WORDS.get(word, word) for word in words if word not in _NOISE).split())


def _squeeze(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


@cache
def species_names() -> dict[str, str]:
    """Return each species key of the data with its name, in the order of the data."""
    return {row["species"]: row["name"] for row in table("species")}


@cache
def _species_spellings() -> dict[str, str]:
    spellings: dict[str, str] = {}
    for row in table("species"):
        for text in (row["species"], row["name"], *row["also"].split("|")):
            spellings[_squeeze(text)] = row["species"]
    return spellings


def species_key(text: str) -> str:
    """Return the key of a species (`douglas-fir-larch`) written in any usual way (`DF-L`).

    Raises LumberError with the nearest keys when it is none of them.
    """
    found = _species_spellings().get(_squeeze(text))
    if found is None:
        raise _unknown("species", text, list(species_names()))
    return found


@cache
def _rows() -> dict[str, tuple[_Row, ...]]:
    names = species_names()
    rows: dict[str, list[_Row]] = {key: [] for key in names}
    for row in table("design_values"):
        also = row["also"].split("|") if row["also"] else []
        rows[row["species"]].append(
            _Row(
                names=frozenset(_grade_words(name) for name in (row["grade"], *also)),
                width_min=int(row["width_min"]),
                width_max=float(row["width_max"] or "inf"),
                values=DesignValues(
                    species=row["species"],
                    species_name=names[row["species"]],
                    grade=row["grade"],
                    use=row["use"],
                    table=row["table"],
                    fb=float(row["fb"]),
                    ft=float(row["ft"]),
                    fv=float(row["fv"]),
                    fc_perp=float(row["fc_perp"]),
                    fc=float(row["fc"]),
                    e=float(row["e"]),
                    e_min=float(row["e_min"]),
                    specific_gravity=float(row["specific_gravity"]),
                    size_factors=row["size_factors"],
                    source=source_text(row["source"]),
                    status=row["status"],
                    check=row["check"],
                ),
            )
        )
    return {key: tuple(found) for key, found in rows.items()}


def grades(species: str) -> tuple[str, ...]:
    """Return the grade names that the data has for a species, in the order of the data."""
    return tuple(dict.fromkeys(row.values.grade for row in _rows()[species_key(species)]))


def size_class(thickness_in: float, depth_in: float) -> tuple[str, int]:
    """Return the use class of a measured piece and its nominal width in inches.

    The smaller measure is the thickness, whichever way the piece lies. Raises LumberError for pieces under
    2 in. nominal, which are boards and have no design values here.
    """
    thick, wide = sorted((nominal_of(thickness_in), nominal_of(depth_in)))
    if thick < 2:
        raise LumberError(
            f"a piece {thickness_in:g} x {depth_in:g} in is under 2 in nominal thickness:"
            " boards have no design values here",
            kind="size",
            given=(thickness_in, depth_in),
        )
    if thick <= 4:
        return "dimension", wide
    return ("beams-and-stringers" if wide - thick > 2 else "posts-and-timbers"), wide


@lru_cache(maxsize=4096)
def design_values(species: str, grade: str, thickness_in: float, depth_in: float) -> DesignValues:
    """Return the reference design values of a piece that measures `thickness_in` by `depth_in` inches.

    Species and grade may be spelled as people do (`DF-L`, `#2`, `No. 2`, `SS`). The size picks the table:
    dimension lumber, beams and stringers, posts and timbers, and southern pine by width. Raises LumberError
    with the nearest names for an unknown species or grade, and with what there is for a size that the
    grade's values don't cover.
    """
    key = species_key(species)
    use, width = size_class(thickness_in, depth_in)
    wanted = _grade_words(grade)
    named = [row for row in _rows()[key] if wanted in row.names]
    if not named:
        raise _unknown("grade", grade, list(grades(key)), f" of {species_names()[key]}")
    for row in named:
        if row.holds(use, width):
            return row.values
    for swap in table("grade_substitutes"):
        if _grade_words(swap["grade"]) == wanted and width >= int(swap["width_min"]) and use == "dimension":
            return design_values(key, swap["use_grade"], thickness_in, depth_in)
    covered = [row.values.grade for row in _rows()[key] if row.holds(use, width)]
    instead = f"; for this size there are {', '.join(covered)}" if covered else ""
    raise LumberError(
        f"{species_names()[key]} {named[0].values.grade} has no design values here for a piece"
        f" {thickness_in:g} x {depth_in:g} in ({use}, {width} in wide){instead}",
        kind="size",
        given=(thickness_in, depth_in),
        near=covered,
    )


def _unknown(kind: str, given: str, known: list[str], of: str = "") -> LumberError:
    import difflib  # only a wrong name needs it

    plain = {_squeeze(name): name for name in known}
    near = [plain[match] for match in difflib.get_close_matches(_squeeze(given), plain, n=3, cutoff=0.5)]
    hint = f"did you mean {' or '.join(near)}?" if near else f"known are {', '.join(known)}"
    return LumberError(f"unknown {kind} {given!r}{of}: {hint}", kind=kind, given=given, near=near or known)
