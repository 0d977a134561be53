"""Posts under beams: strength, size, what keeps them in place, and the beam tied to them."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.engineering.lumber import constant
from inspect_core.quantities import Dimension, Quantity
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Support
from inspect_core.structure import BASIS_LIMITS, HARD, KIND
from inspect_core.structure.below import Ground, PostStrength
from inspect_core.structure.shown import Steps
from inspect_wood_floor._listed import listed_parts, no_supports
from inspect_wood_floor._structure import ENGINEER, FROM_MEMORY, LARGE, LOADS, floor, resting_on


@rule(
    "post-capacity",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.posts",
    quantity="share of the post's strength in use",
    limits=["strength-ratio", *BASIS_LIMITS],
    measures=[
        "post.material",
        "post.size",
        "post.height",
        "post.species",
        "post.grade",
        "post.moisture",
        "post.condition",
        *LOADS,
    ],
    provisions=["span-table-other"],
    cautions=["temporary-shoring", "crawl-space", "structural-design"],
    remedy=f"Put in a thicker or shorter post, or one more beside it on its own footing. {ENGINEER}",
)
def post_capacity(area: Area, limits: Limits) -> Iterator[Check]:
    """Each wood post carries what comes down on it without buckling.

    A tall thin post buckles long before its wood crushes.
    """
    yield from listed_parts(area, "posts", "posts")
    ground = Ground(floor(area, limits))
    for post in area.posts or ():
        yield _post(ground.post(post), limits)


def _recalled(found: PostStrength) -> tuple[str, ...]:
    """Where the strength of a post at its kind end comes from, if that is from memory."""
    best = found.best
    if best is None or best.status != FROM_MEMORY:
        return ()
    row = best.values.reference
    if best.permitted or best.values.status_of("e_min") == FROM_MEMORY:
        return (f"the strength of {row.species_name} {row.grade} as a column (NDS Supplement Table {row.table})",)
    if found.arriving.total[KIND] > best.euler_lb * found.post.section.plies:
        return ()  # it would buckle whatever the method permits
    return (f"how slender a post may be ({constant('column_slenderness_max').clause})",)


def _post(found: PostStrength, limits: Limits) -> Check:
    about = named(found.post)
    if found.outside:
        return does_not_apply(about, f"{found.outside}; see structural-scope")
    if found.missing:
        return not_measured(about, expected="it carries its load", asks=found.missing)
    if found.no_values:
        return not_measured(about, asks=("post.species", "post.grade", "post.size"), because=found.no_values)
    assert found.use is not None
    if found.unseen and found.use[KIND] <= 1:
        return not_measured(about, asks=found.unseen, because=f"{found.use[KIND]:.0%} in use as far as is known")
    low, high = min(found.use[KIND], LARGE), min(found.use[HARD], 2 * LARGE)
    limit, said = resting_on(limits["strength-ratio"], _recalled(found) if low > 1 else ())
    return check(
        about,
        measured=Quantity(low, max(low, high), Dimension.RATIO, found.loose),
        at_most=limit,
        assuming=(*found.assumptions, *said),
        asks=found.decides or None,
        working=Steps(lambda: found.working),
    )


@rule(
    "post-size",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.posts",
    quantity="smaller side of the post",
    limits=["post-side"],
    measures=["post.size", "post.material"],
    provisions=["post-size"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Replace it by a 4x4 or thicker post. {ENGINEER}",
)
def post_size(area: Area, limits: Limits) -> Iterator[Check]:
    """A wood post under a beam is at least a 4x4, a steel one at least a 3 in pipe.

    Thinner posts split at their nails and are knocked aside.
    """
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        if post.material is None:
            yield not_measured(named(post), expected="it is thick enough", asks=("post.material",))
        elif post.material not in ("wood", "steel-pipe"):
            yield does_not_apply(named(post), f"it is of {post.material}")
        else:
            section = post.section
            wide = section.thickness * section.plies if section.thickness is not None else None
            sides = [q for q in (wide, section.depth) if q is not None]
            side = min(sides, key=lambda q: q.middle) if len(sides) == 2 else None
            yield check(named(post), measured=side, at_least=limits["post-side", post.material], asks=("post.size",),
                        assuming=section.assumptions)  # fmt: skip


@rule(
    "post-held",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.post-and-beam",
    quantity="what keeps the post in place",
    measures=["post.base_held", "post.top_held"],
    provisions=["post-bottom-restraint", "positive-connection-post-beam"],
    cautions=["crawl-space"],
    remedy="Fix the foot with a post base or a pocket, and the head with a post cap or straps against lifting.",
)
def post_held(area: Area, limits: Limits) -> Iterator[Check]:
    """A post can slide neither at its foot nor at its head, and the beam can't lift off it.

    A post that only stands there walks when the house shakes, or when someone leans a jack against it.
    """
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        for held, place, field in (
            (post.base_held, "foot", "post.base_held"),
            (post.top_held, "head", "post.top_held"),
        ):
            yield fact(named(post, place), held, expected=f"its {place} is held in place", asks=(field,))


@rule(
    "screw-jack-permanent",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.posts",
    quantity="screw jack",
    measures=["post.permanent", "post.material"],
    provisions=["adjustable-post-rating", "jack-limit-practice"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Put in a permanent post on a footing, or a jack listed as a column with both plates fixed. {ENGINEER}",
)
def screw_jack_permanent(area: Area, limits: Limits) -> Iterator[Check]:
    """A screw jack that stays is listed as a permanent column, with both plates fixed.

    A jack made for lifting may creep down, and slips at a knock.
    """
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        if post.material is None:
            yield not_measured(named(post), expected="it is no temporary jack", asks=("post.material",))
        elif post.material != "screw-jack":
            yield does_not_apply(named(post), f"it is of {post.material}")
        else:
            yield fact(named(post), post.permanent, expected="it is listed as permanent, with both plates fixed",
                       asks=("post.permanent",))  # fmt: skip


@rule(
    "post-shims",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.posts",
    quantity="shims on the post",
    limits=["shims"],
    measures=["post.shims"],
    provisions=["shim-material"],
    cautions=["temporary-shoring"],
    remedy="Carry the beam, take the softwood out, and shim with steel or hardwood wedges over the whole post.",
)
def post_shims(area: Area, limits: Limits) -> Iterator[Check]:
    """Shims between post and beam are of steel, hardwood pairs or composite, not a stack of softwood.

    Softwood crushes and dries, and the floor sinks by as much.
    """
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        if post.shims == "none":
            yield does_not_apply(named(post), "it has no shims")
        else:
            yield check(named(post), measured=post.shims, one_of=limits["shims"], asks=("post.shims",))


# --- beams tied to what carries them ----------------------------------------------------------------------------------


@rule(
    "positive-connection",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.post-and-beam",
    quantity="connection of the beam to its posts and piers",
    limits=["beam-connectors", *BASIS_LIMITS],
    measures=["support.connectors", "support.anchored", "pier.tied"],
    provisions=["positive-connection-post-beam", "pier-girder-anchor", "anchor-bolt"],
    cautions=["crawl-space"],
    remedy=(
        "Tie the beam to each post and pier with straps, clips or bolts that take uplift and sideways movement. How "
        "many, and how strong, is for a licensed engineer where wind or earthquakes are strong."
    ),
)
def positive_connection(area: Area, limits: Limits) -> Iterator[Check]:
    """A beam on posts or piers is tied to them against uplift and sideways movement.

    Gravity holds it until the wind lifts a corner or the ground moves.
    """
    found = floor(area, limits)
    if nothing := no_supports(area, "beams"):
        yield nothing
        return
    if not found.girders:
        yield does_not_apply(Named("beams", area.path), "no beam here stands on posts or piers")
    for support, spans in found.girders:
        if spans is None:
            yield not_measured(named(support), asks=("support.rests_on",),
                               because="not known whether it stands on posts or piers")  # fmt: skip
        else:
            yield _tied(area, support, limits)


def _tied(area: Area, support: Support, limits: Limits) -> Check:
    expected = "it is tied to every post and pier"
    ties = [pier.tied for pier in area.piers or () if pier.under == support.id]
    if False in ties:
        return fact(named(support), False, expected=expected, found="a pier under it is not tied to it")
    if support.connectors is None:
        all_tied = bool(ties) and all(ties) and not any(p.under == support.id for p in area.posts or ())
        return fact(named(support), True if all_tied and area.posts is not None else None, expected=expected,
                    asks=("support.connectors", "pier.tied"))  # fmt: skip
    return check(named(support), measured=support.connectors, one_of=limits["beam-connectors"])
