"""What is not worked out here and needs a licensed engineer or the maker's tables."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import CORRECTION, Check, Limits, Named, does_not_apply, fact, not_measured, rule
from inspect_core.site import Area, Site
from inspect_core.site.model import Member, Path
from inspect_wood_floor._papers import paper

LETTER = ("engineer-letter",)
VOUCHING = (*LETTER, "maker-instructions")
MAKERS = ("i-joist", "lvl", "glulam", "truss")
NO_BEARING = ("fill", "expansive-clay", "organic")


@rule(
    "structural-scope",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.scope",
    quantity="design by a licensed engineer or the maker",
    limits=["calculated-seismic"],
    measures=["place.seismic", "document.kind", "document.state"],
    provisions=[
        "engineer-letter",
        "lateral-intermediate-seismic",
        "seismic-continuous",
        "seismic-posts-weakness",
        "pier-braced-wall",
        "truss-alteration-ban",
    ],
    cautions=["structural-design"],
    remedy=(
        "Have a licensed engineer look at it and keep the letter with the site's documents (for I-joists, laminated "
        "beams and trusses the maker's tables may do). What this engine works out does not cover it."
    ),
    scope="site",
)
def structural_scope(site: Site, limits: Limits) -> Iterator[Check]:
    """What single-member calculation does not cover has an engineer's letter or the maker's tables.

    Not covered: earthquake and wind, I-joists, laminated beams, trusses and steel, bearing walls of unknown load, and
    soil without a presumed bearing.
    """
    found = [(about, makers) for area in site.areas for about, makers in _in_area(area, len(site.areas) > 1)]
    for about, makers in found:
        yield fact(
            about,
            paper(site, VOUCHING if makers else LETTER, ""),
            expected="an engineer's letter covers it" + (", or the maker's tables" if makers else ""),
            asks=("document.kind", "document.state"),
        )
    seismic = site.place.seismic if site.place is not None else None
    about = Named("earthquakes", site.place.path if site.place is not None else ())
    if seismic is None:
        yield not_measured(about, expected="earthquakes are no great load here", asks=("place.seismic",))
    elif seismic in limits["calculated-seismic"].words:
        yield does_not_apply(about, f"seismic design category {seismic}: the code's ordinary rules serve")
    else:
        yield fact(
            about,
            paper(site, LETTER, ""),
            expected="an engineer's letter covers it",
            found=f"seismic design category {seismic}",
            asks=("document.kind", "document.state"),
        )


def _in_area(area: Area, several: bool) -> Iterator[tuple[Named, bool]]:
    """What lies outside the calculation, and whether a maker's tables may answer for it."""
    where = f" in {area.id}" if several else ""

    def named(what: str, path: Path) -> Named:
        return Named(f"{what}{where}", path)

    members: list[tuple[str, Member]] = [("joist", joist) for joist in area.joists or ()]
    members += [("beam", support) for support in area.supports or ()]
    members += [("header", header) for opening in area.openings or () for header in opening.headers or ()]
    members += [("post", post) for post in area.posts or ()]
    seen: set[str] = set()
    for word, member in members:
        if member.kind in (*MAKERS, "steel") and f"{word} {member.kind}" not in seen:
            seen.add(f"{word} {member.kind}")
            yield named(f"{word}s of kind {member.kind}", member.path), member.kind in MAKERS
    for post in area.posts or ():
        if post.material in ("steel-pipe", "screw-jack", "masonry"):
            yield named(f"post {post.id} of {post.material}", post.path), post.material != "masonry"
    for partition in area.partitions or ():
        if partition.bearing and partition.carries is None:
            yield named(f"bearing partition {partition.id} of unknown load", partition.path), False
    if area.soil is not None and area.soil.kind in NO_BEARING and area.soil.bearing is None:
        yield named(f"{area.soil.kind} soil", area.soil.path), False
