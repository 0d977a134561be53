"""What is published of floor panels and board subfloors: maximum joist spacing, stiffness and strength.

All of it holds for pieces at least 24 in wide with the strength axis (the long way, face grain) across the
joists and continuous over two spans or more; wall rips and patches fall outside it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from ..tables import Sourced, read_rows, require_positive
from ..working import weakest

Product = Literal["osb", "plywood"]
Direction = Literal["perpendicular", "diagonal"]

_DATA = Path(__file__).parent / "data"
_PLYWOODS = ("plywood-3-ply", "plywood-4-ply", "plywood-5-ply")


@dataclass(frozen=True, slots=True)
class SpanRating:
    """One row of the code's span table for panels (IRC Table R503.2.1.1(1)).

    ``joist_spacing_in`` is the greatest joist spacing for a floor, 0 where the rating is not for floors;
    ``floor_load_psf`` the total uniform load it is printed for there, at L/360. ``wider_spacing_in`` is
    allowed only when what ``wider_when`` says is there (footnotes h and i).
    """

    rating: str
    kind: Literal["sheathing", "single-floor"]
    thicknesses_in: tuple[float, ...]
    joist_spacing_in: float
    floor_load_psf: float | None
    wider_spacing_in: float | None
    wider_when: str
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class RatingBounds:
    """What a thickness alone tells when the stamp can't be read.

    The greatest joist spacing lies between ``spacing_lower_in`` (0: may not be a floor panel at all) and
    ``spacing_upper_in``. ``ratings`` are the span ratings made in that thickness; ``sanded_groups`` the
    species groups of sanded plywood that were reckoned with (the weakest group governs the lower end).
    """

    thickness_in: float
    ratings: tuple[str, ...]
    sanded_groups: tuple[int, ...]
    spacing_lower_in: float
    spacing_upper_in: float
    source: str
    status: str


@dataclass(frozen=True, slots=True)
class Capacity:
    """Stiffness and strength of one foot of panel width, along and across the strength axis.

    ``ei`` in lb·in²/ft, ``fbs`` (bending) in lb·in/ft, ``planar_shear`` (rolling shear, along only) in lb/ft,
    ``rigidity`` (G t through the thickness, for twisting) in lb/in. These are allowable values for ordinary
    duration of load and dry use. ``status`` is the weakest behind any of them, ``ei_status`` behind ``ei`` alone.
    """

    material: str
    rating: str
    thickness_in: float
    ei_along: float
    ei_across: float
    fbs_along: float
    fbs_across: float
    planar_shear_along: float
    rigidity: float
    source: str
    status: str
    ei_status: str


def _canonical(rating: str) -> str:
    text = rating.lower().replace(" ", "").replace(".", "")
    return text.replace("o/c", "oc")


def _number(text: str) -> float | None:
    return float(text) if text else None


@cache
def span_ratings() -> dict[str, SpanRating]:
    """Return every span rating of the code's table by its name (``24/16``, ``48/24``, ``16oc``, …)."""
    return {
        row["rating"]: SpanRating(
            rating=row["rating"],
            kind="sheathing" if row["kind"] == "sheathing" else "single-floor",
            thicknesses_in=tuple(float(part) for part in row["thicknesses_in"].split(";")),
            joist_spacing_in=float(row["joist_spacing_in"]),
            floor_load_psf=_number(row["floor_load_psf"]),
            wider_spacing_in=_number(row["wider_spacing_in"]),
            wider_when=row["wider_when"],
            source=row["source"],
            status=row["status"],
        )
        for row in read_rows(_DATA / "span_ratings.csv")
    }


def span_rating(rating: str) -> SpanRating:
    """Return one span rating; ``24 o.c.``, ``24oc`` and ``24 OC`` are the same. Raises ``LookupError``."""
    found = span_ratings().get(_canonical(rating))
    if found is None:
        raise LookupError(f"no span rating {rating!r}; known: {', '.join(span_ratings())}")
    return found


def _sanded_rows() -> tuple[dict[str, str], ...]:
    return read_rows(_DATA / "sanded_plywood.csv")


def sanded_plywood_spacing(thickness_in: float, species_group: int) -> Sourced | None:
    """Return the greatest joist spacing (in) for sanded plywood combination subfloor-underlayment.

    Table R503.2.1.1(2), by species group 1 to 4. A thickness between two printed ones takes the thinner;
    None where the panel is thinner than any printed for its group.
    """
    require_positive(thickness_in=thickness_in)
    if species_group not in (1, 2, 3, 4):
        raise ValueError(f"species group must be 1 to 4, not {species_group!r}")
    fitting = [
        row
        for row in _sanded_rows()
        if int(row["species_group"]) == species_group and float(row["thickness_in"]) <= thickness_in
    ]
    return _best_spacing(fitting)


def _best_spacing(rows: Iterable[dict[str, str]]) -> Sourced | None:
    best = max(rows, key=lambda row: float(row["joist_spacing_in"]), default=None)
    if best is None:
        return None
    return Sourced(float(best["joist_spacing_in"]), "in", best["source"], best["status"])


def board_spacing(
    thickness_in: float,
    direction: Direction,
    *,
    tongue_and_groove: bool = False,
    fb_psi: float | None = None,
    e_psi: float | None = None,
) -> Sourced | None:
    """Return the greatest joist spacing (in) for a lumber board subfloor (IRC Table R503.1).

    ``direction`` is that of the boards to the joists. A thickness between two printed ones takes the thinner;
    None where the boards are thinner than any printed. The wide spacings of thick tongue-and-groove plank are
    given only when its bending design value ``fb_psi`` and modulus ``e_psi`` are known to be enough.
    """
    require_positive(thickness_in=thickness_in)
    if direction not in ("perpendicular", "diagonal"):
        raise ValueError(f"direction must be 'perpendicular' or 'diagonal', not {direction!r}")
    return _best_spacing(
        row
        for row in read_rows(_DATA / "boards.csv")
        if row["direction"] == direction
        and float(row["thickness_in"]) <= thickness_in
        and (row["joint"] == "any" or (tongue_and_groove and _strong_enough(row, fb_psi, e_psi)))
    )


def _strong_enough(row: dict[str, str], fb_psi: float | None, e_psi: float | None) -> bool:
    if fb_psi is None or e_psi is None:
        return False
    return fb_psi >= float(row["fb_min_psi"]) and e_psi >= float(row["e_min_psi"])


def rating_for_thickness(
    thickness_in: float, product: Product | None = None, *, tolerance_in: float = 1 / 64
) -> RatingBounds:
    """Return what a measured thickness tells of a panel whose stamp can't be read.

    Bounds for a structural panel of that thickness; unless it is known to be OSB, sanded plywood of an
    unknown species group is reckoned with too. Nothing here tells whether the panel is structural at all
    (particleboard is not). Raises ``LookupError`` when no published panel has that thickness, within
    ``tolerance_in`` (half the step between the thicknesses that are sold).
    """
    require_positive(thickness_in=thickness_in)

    def near(text: float) -> bool:
        return abs(text - thickness_in) <= tolerance_in + 1e-9

    rated = [r for r in span_ratings().values() if any(near(t) for t in r.thicknesses_in)]
    sanded = [] if product == "osb" else [r for r in _sanded_rows() if near(float(r["thickness_in"]))]
    if not rated and not sanded:
        raise LookupError(f"no published floor panel is {thickness_in:g} in thick")
    spacings = [r.joist_spacing_in for r in rated] + [float(r["joist_spacing_in"]) for r in sanded]
    groups = tuple(sorted({int(r["species_group"]) for r in sanded}))
    # A group that the table leaves out at this thickness is not good for any floor.
    lower = 0.0 if sanded and len(groups) < 4 else min(spacings)
    sources = [r.source for r in rated] + [r["source"] for r in sanded]
    return RatingBounds(
        thickness_in=thickness_in,
        ratings=tuple(r.rating for r in rated),
        sanded_groups=groups,
        spacing_lower_in=lower,
        spacing_upper_in=max(spacings),
        source="; ".join(dict.fromkeys(sources)),
        status=weakest([r.status for r in rated] + [r["status"] for r in sanded]),
    )


@cache
def _capacities() -> dict[tuple[str, str], Capacity]:
    found: dict[tuple[str, str], dict[str, dict[str, str]]] = {}
    for row in read_rows(_DATA / "capacities.csv"):
        entry = found.setdefault((row["material"], row["rating"]), {})
        entry[f"{row['property']} {row['axis']}"] = row
    return {key: _capacity(*key, entry) for key, entry in found.items()}


def _capacity(material: str, rating: str, rows: dict[str, dict[str, str]]) -> Capacity:
    def value(name: str) -> float:
        return float(rows[name]["value"])

    return Capacity(
        material=material,
        rating=rating,
        thickness_in=min(span_rating(rating).thicknesses_in),
        ei_along=value("ei along"),
        ei_across=value("ei across"),
        fbs_along=value("fbs along"),
        fbs_across=value("fbs across"),
        planar_shear_along=value("planar_shear along"),
        rigidity=value("rigidity both"),
        source="; ".join(dict.fromkeys(row["source"] for row in rows.values())),
        status=weakest(row["status"] for row in rows.values()),
        ei_status=weakest(row["status"] for row in rows.values() if row["property"] == "ei"),
    )


def capacity(material: str, rating: str) -> Capacity:
    """Return the design capacities of ``osb`` or ``plywood-3-ply`` (4, 5) of one span rating.

    Raises ``LookupError`` where none is published (a sheathing rating of 60/32, say).
    """
    name = span_rating(rating).rating
    found = _capacities().get((material, name))
    if found is None:
        raise LookupError(f"no design capacities for {material!r} rated {name}")
    return found


def capacity_bounds(
    product: Product | None = None,
    *,
    rating: str | None = None,
    thickness_in: float | None = None,
    tolerance_in: float = 1 / 64,
) -> tuple[Capacity, Capacity]:
    """Return the least and the greatest capacities of a panel that is only partly known.

    Give the span rating, or the thickness alone; an unknown product covers OSB and plywood of 3 to 5 plies.
    Covers span-rated panels only. Raises ``LookupError`` where no capacities are published, ``ValueError``
    when neither or both are given.
    """
    if (rating is None) == (thickness_in is None):
        raise ValueError("give either the rating or the thickness")
    if rating is not None:
        ratings: tuple[str, ...] = (span_rating(rating).rating,)
    else:
        assert thickness_in is not None
        ratings = rating_for_thickness(thickness_in, "osb", tolerance_in=tolerance_in).ratings
    materials = {"osb": ("osb",), "plywood": _PLYWOODS, None: ("osb", *_PLYWOODS)}[product]
    known = _capacities()
    found = [known[m, r] for m in materials for r in ratings if (m, r) in known]
    if not found:
        raise LookupError(f"no design capacities for {product or 'any panel'} rated {' or '.join(ratings)}")
    return _extreme(found, least=True), _extreme(found, least=False)


def _extreme(found: list[Capacity], *, least: bool) -> Capacity:
    pick = min if least else max
    return Capacity(
        material=" or ".join(dict.fromkeys(c.material for c in found)),
        rating=" or ".join(dict.fromkeys(c.rating for c in found)),
        thickness_in=pick(c.thickness_in for c in found),
        ei_along=pick(c.ei_along for c in found),
        ei_across=pick(c.ei_across for c in found),
        fbs_along=pick(c.fbs_along for c in found),
        fbs_across=pick(c.fbs_across for c in found),
        planar_shear_along=pick(c.planar_shear_along for c in found),
        rigidity=pick(c.rigidity for c in found),
        source="; ".join(dict.fromkeys(part for c in found for part in c.source.split("; "))),
        status=weakest(c.status for c in found),
        ei_status=weakest(c.ei_status for c in found),
    )
