"""Wood that damp reaches: treated wood and its cuts, wood in the ground or on a slab, siding near the ground."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.quantities import Quantity, at_least
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import Post, Support
from inspect_wood_floor._verdicts import Verdict, compared
from inspect_wood_floor._wood import Wood, durable, each_treated, each_wood, field_of, label_of, names

ON_SHORING = (
    "Carry the load on temporary shoring before you take a piece out; where more than one joist hangs on it, have a "
    "licensed engineer or contractor set it out."
)


# --- treated wood -----------------------------------------------------------------------------------------------------


@rule(
    "treated-mark",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.treated",
    quantity="mark of treated wood",
    limits=["durable-species"],
    measures=["support.treated_label", "post.treated_label", "support.treated", "post.treated"],
    provisions=["treated-mark"],
    cautions=["treated-dust"],
    binds=["new", "altered"],
    remedy=(
        "Keep the end tag, or its photo, with the papers. Wood whose treatment nobody can show counts as untreated: "
        f"put in marked wood. {ON_SHORING}"
    ),
)
def treated_mark(area: Area, limits: Limits) -> Iterator[Check]:
    """Treated wood carries the mark of an approved agency.

    Colour proves nothing: stain is green too, and the treatment for a deck rail is not that for a post in the ground.
    """

    def answer(one: Wood) -> Check:
        label = label_of(one)
        if label == "" and durable(one, limits):
            return does_not_apply(named(one), f"{one.species}: a naturally durable species, see durable-heartwood")
        found = "" if label is None else label or "no mark"
        held = None if label is None else bool(label)
        return fact(
            named(one), held, expected="it carries a quality mark", found=found, asks=(field_of(one, "treated_label"),)
        )

    yield from each_treated(area, answer)


@rule(
    "treated-standard",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.treated",
    quantity="standard on the mark",
    limits=["treated-standards", "use-categories"],
    measures=["support.treated_label", "post.treated_label", "support.treated", "post.treated"],
    provisions=["treated-standard"],
    cautions=["treated-dust"],
    binds=["new", "altered"],
    remedy=f"Use wood whose tag names the standard and a use category that fits its place. {ON_SHORING}",
)
def treated_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """The mark of treated wood names the standard of use categories, AWPA U1.

    The category says where the wood may stand: indoors and dry, outdoors, or in the ground.
    """

    def answer(one: Wood) -> Check:
        label = label_of(one)
        if label == "":
            return does_not_apply(named(one), "it carries no mark, see treated-mark")
        limit = limits["treated-standards"]
        words = (*limit.words, *limits["use-categories"].words)
        return fact(
            named(one),
            None if label is None else names(label, words),
            expected=f"the mark names {' or '.join(limit.words)} or its use category",
            found="" if label is None else f"mark: {label}",
            limit=limit,
            asks=(field_of(one, "treated_label"),),
        )

    yield from each_treated(area, answer)


@rule(
    "treated-cuts",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.treated",
    quantity="cuts and holes",
    measures=["support.field_treated", "post.field_treated", "support.treated", "post.treated"],
    provisions=["treated-field-cut"],
    cautions=["treated-dust", "crawl-space"],
    binds=["new", "altered"],
    remedy=(
        "Brush a field preservative (AWPA M4, such as copper naphthenate) on every cut end and bored hole, with "
        "gloves, glasses and air, before it is closed in."
    ),
)
def treated_cuts(area: Area, limits: Limits) -> Iterator[Check]:
    """Cuts and holes made in treated wood are brushed with a field preservative.

    The treatment goes in less than an inch deep. A fresh cut is untreated wood, and it is always at the end that gets
    wet.
    """

    def answer(one: Wood) -> Check:
        found = "cuts left raw" if one.field_treated is False else ""
        expected = "its cuts and holes are brushed with field preservative"
        return fact(
            named(one), one.field_treated, expected=expected, found=found, asks=(field_of(one, "field_treated"),)
        )

    yield from each_treated(area, answer)


@rule(
    "durable-heartwood",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="decay.treated",
    quantity="heartwood on the worst face",
    limits=["durable-heartwood", "durable-species"],
    measures=["support.heartwood", "post.heartwood", "support.species", "post.species", "support.treated_label",
              "post.treated_label"],
    provisions=["durable-species"],
    cautions=["temporary-shoring"],
    binds=["new", "altered"],
    remedy=f"Sapwood of a durable tree rots like any other: turn or replace the piece. {ON_SHORING}",
)  # fmt: skip
def durable_heartwood(area: Area, limits: Limits) -> Iterator[Check]:
    """Wood that stands in for treated wood is heartwood of a durable species.

    Redwood, cedar, black locust and black walnut last by what is in their heartwood; their pale sapwood has none of it.
    """

    def answer(one: Wood) -> Check:
        label, lasting = label_of(one), durable(one, limits)
        if label:
            return does_not_apply(named(one), "treated, by its mark")
        if lasting is False:
            return does_not_apply(named(one), f"{one.species}: no naturally durable species")
        if lasting is None or label is None:
            asks = [field_of(one, "species")] if lasting is None else []
            asks += [field_of(one, "treated_label")] if label is None else []
            return not_measured(named(one), expected="it is treated or durable", asks=tuple(asks))
        return check(
            named(one),
            measured=one.heartwood,
            at_least=limits["durable-heartwood"],
            asks=(field_of(one, "heartwood"),),
        )

    yield from each_treated(area, answer)


# --- in the ground, near it, on a slab --------------------------------------------------------------------------------


def _height(one: Wood) -> Quantity | None:
    """Height over the ground, inside or outside, as the file has it."""
    if isinstance(one, Post):
        return one.base_over_ground
    return one.above_grade if one.line in ("sill", "wall-plate") else one.clearance


def _in_ground(one: Wood) -> Verdict:
    """Whether it stands in the ground; a height over it says no."""
    if one.ground_contact is not None:
        return one.ground_contact
    height = _height(one)
    return False if height is not None and height.low > 0 else None


@rule(
    "ground-contact-wood",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.treated",
    quantity="treatment of wood in the ground",
    limits=["ground-contact-words"],
    measures=["support.ground_contact", "post.ground_contact", "support.treated_label", "post.treated_label",
              "post.base_over_ground", "support.above_grade", "support.clearance"],
    provisions=["ground-contact-treated"],
    cautions=["temporary-shoring", "treated-dust"],
    remedy=(
        "Replace it with wood that is marked for ground contact, or set it on concrete above the ground. "
        f"{ON_SHORING}"
    ),
)  # fmt: skip
def ground_contact_wood(area: Area, limits: Limits) -> Iterator[Check]:
    """Wood that stands in the ground, or in concrete in the ground, is treated for ground contact.

    Soil is always damp and full of fungi: other wood rots off at the surface within years.
    """

    def answer(one: Wood) -> Check:
        expected = "it is marked for ground contact, or stands clear of the ground"
        inside, label, limit = _in_ground(one), label_of(one), limits["ground-contact-words"]
        marked = False if one.treated is False else None if label is None else names(label, limit.words)
        if inside is None:
            asks = (field_of(one, "ground_contact"),)
            return not_measured(named(one), expected=expected, asks=asks)
        found = "untreated" if one.treated is False else f"mark: {label or 'none'}" if label is not None else ""
        asks = (field_of(one, "treated_label"),)
        return fact(named(one), marked, expected=expected, found=found, limit=limit, asks=asks)

    yield from each_wood(area, _in_ground, "all of it stands clear of the ground", answer)


@rule(
    "near-ground-wood",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="decay.treated",
    quantity="treatment of wood near the ground",
    limits=["near-ground-words", "clearance-beams", "clearance-posts", "clearance-sills"],
    measures=["support.treated_label", "post.treated_label", "post.base_over_ground", "support.above_grade",
              "support.clearance", "support.treated", "post.treated"],
    provisions=["ground-contact-uc4a"],
    cautions=["temporary-shoring", "treated-dust"],
    binds=["new", "altered"],
    remedy=f"Use wood marked UC4A (ground contact) there: it cannot dry, and nobody will see it rot. {ON_SHORING}",
)  # fmt: skip
def near_ground_wood(area: Area, limits: Limits) -> Iterator[Check]:
    """Treated wood that is nearer to the ground than untreated wood may be is marked for ground contact.

    Splash, soil and leaves reach it, and it is hard to replace: the mark for above ground is not meant for that.
    """

    def answer(one: Wood) -> Check:
        key = "posts" if isinstance(one, Post) else "sills" if one.line in ("sill", "wall-plate") else "beams"
        high = compared(at_least, _height(one), limits[f"clearance-{key}"])
        label, limit = label_of(one), limits["near-ground-words"]
        if high:
            return does_not_apply(named(one), "high enough over the ground for untreated wood")
        if label == "" and durable(one, limits):
            return does_not_apply(named(one), "a naturally durable species, see durable-heartwood")
        marked = None if label is None else names(label, limit.words)
        asks = [field_of(one, "treated_label")] if label is None else []
        if high is None and not marked:
            marked, height = None, {"posts": "base_over_ground", "sills": "above_grade", "beams": "clearance"}[key]
            asks.append(field_of(one, height))
        return fact(
            named(one),
            marked,
            expected="it is marked for ground contact, or higher over the ground",
            found="" if label is None else f"mark: {label or 'none'}",
            limit=limit,
            asks=tuple(asks),
        )

    yield from each_treated(area, answer)


@rule(
    "sleepers-on-slab",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.slabs",
    quantity="wood on a slab",
    measures=["support.on_slab", "support.treated", "support.moisture_barrier", "support.rests_on"],
    provisions=["sleepers-on-slab"],
    cautions=["treated-dust"],
    remedy="Lift it and lay an impervious sheet under it, or put treated wood in its place.",
)
def sleepers_on_slab(area: Area, limits: Limits) -> Iterator[Check]:
    """Sleepers and plates on a slab on the ground are treated, or an impervious sheet lies under them.

    Concrete passes the ground's damp on for ever.
    """

    def answer(one: Wood) -> Check:
        assert isinstance(one, Support)
        expected = "it is treated or durable, or an impervious sheet lies under it"
        if one.on_slab is None:
            return not_measured(named(one), expected="it lies on a slab", asks=("support.on_slab",))
        kept = True if one.treated or one.moisture_barrier else None
        if one.treated is False and one.moisture_barrier is False:
            kept = False
        asks = [field_of(one, "treated")] if one.treated is None else []
        asks += ["support.moisture_barrier"] if one.moisture_barrier is None else []
        found = "untreated, and nothing between it and the slab" if kept is False else ""
        return fact(named(one), kept, expected=expected, found=found, asks=tuple(asks) or ("support.treated",))

    def lies(one: Wood) -> Verdict:
        assert isinstance(one, Support)
        on_wall = one.rests_on in ("masonry", "piers", "posts", "wood", "wall")
        return False if one.on_slab is None and on_wall else one.on_slab

    yield from each_wood(area, lies, "none of them lies on a slab", answer, ("supports",))


@rule(
    "post-slab-barrier",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.slabs",
    quantity="barrier under a post",
    measures=["post.moisture_barrier", "post.base_over_slab", "post.treated", "crawl_space.kind"],
    provisions=["column-on-slab-pedestal"],
    cautions=["temporary-shoring"],
    remedy=f"Put an impervious sheet between the post's foot and its pedestal. {ON_SHORING}",
)
def post_slab_barrier(area: Area, limits: Limits) -> Iterator[Check]:
    """An impervious barrier lies under an untreated wood post that stands on a slab.

    A pedestal alone still drinks: end grain draws water up like a wick. (Its height is another rule's.)
    """
    basement = area.crawl_space is not None and area.crawl_space.kind == "basement"

    def stands(one: Wood) -> Verdict:
        assert isinstance(one, Post)
        if basement or one.base_over_slab is not None:
            return True
        return False if one.base_over_ground is not None else None

    def answer(one: Wood) -> Check:
        if one.treated:
            return does_not_apply(named(one), "treated or durable wood")
        if not stands(one):
            unknown = ("post.base_over_slab", "post.base_over_ground")
            return not_measured(named(one), expected="it stands on a slab", asks=unknown)
        found = "nothing lies under its foot" if one.moisture_barrier is False else ""
        held, asks = one.moisture_barrier, ["post.moisture_barrier"]
        if held is False and one.treated is None:
            held, asks = None, ["post.treated"]
        return fact(named(one), held, expected="an impervious sheet lies under its foot", found=found, asks=(*asks,))

    yield from each_wood(area, stands, "no wood post stands on a slab", answer, ("posts",))


# --- outside ----------------------------------------------------------------------------------------------------------


@rule(
    "siding-above-ground",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.ground-clearance",
    quantity="height of siding and framing over what lies outside",
    limits=["siding-clearance"],
    measures=["support.siding_above", "support.outside_surface", "support.line"],
    provisions=["siding-6in"],
    remedy=(
        "Take soil, mulch or paving down and slope it away, or cut the siding back and flash it. What is rotten behind "
        "comes out first; carry what stands on it on shoring, as a licensed engineer sets it out."
    ),
)
def siding_above_ground(area: Area, limits: Limits) -> Iterator[Check]:
    """Wood siding, sheathing and wall framing end high enough over the ground outside, or over a slab there.

    Siding that touches soil draws water up behind it, right into the sill that the joists stand on.
    """

    def outside(one: Wood) -> bool:
        assert isinstance(one, Support)
        inside = one.rests_on in ("piers", "posts") and one.outside_surface is None
        return one.line in ("sill", "wall-plate", "rim", None) and one.outside_surface != "indoors" and not inside

    def answer(one: Wood) -> Check:
        assert isinstance(one, Support)
        asks = [] if one.outside_surface else ["support.outside_surface"]
        asks += [] if one.line else ["support.line"]
        asks += [] if one.siding_above is not None else ["support.siding_above"]
        measured = None if one.line is None else one.siding_above
        return check(
            named(one),
            measured=measured,
            at_least=limits.between("siding-clearance", one.outside_surface, ("ground", "slab")),
            asks=tuple(asks) or ("support.siding_above",),
        )

    yield from each_wood(area, outside, "no outside wall stands on them", answer, ("supports",))
