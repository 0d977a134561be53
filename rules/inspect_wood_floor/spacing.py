"""How far the floor has to reach: joist bays, what the subfloor may span, what its edges land on, holes to close."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from inspect_core.engineering.panels import rating_for_thickness, span_ratings
from inspect_core.quantities import Dimension, Quantity, at_least, at_most, exactly, hull, maximum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
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
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.geometry import Bay, Wall, double_shift
from inspect_core.site.model import Layer, Opening, Pair
from inspect_wood_floor._layering import (
    above,
    absent,
    base_layers,
    below,
    finish_class,
    floor_layers,
    material_of,
    of_kind,
    overlap,
    stamped_rating,
    tiled,
)
from inspect_wood_floor._verdicts import all_of, any_of

DIRECTIONS = ("perpendicular", "diagonal")
PANELS = ("plywood", "osb")
MAY_TOUCH = 4.5  # in, centre to centre: no fact, only near enough that two of the thickest joists in use may touch


# --- bays -----------------------------------------------------------------------------------------------------------


def _bays(area: Area) -> Iterator[Check]:
    """What keeps bays from being known."""
    layout = Named("joist layout", area.path)
    if area.joists is None:
        yield not_measured(layout, because="no joists listed: measure centre to centre", asks=("area.joists",))
        return
    if not area.joists:
        yield does_not_apply(layout, "no joists in this floor")
        return
    for joist in area.unplaced:
        known = "unknown" if joist.place is None else "not known well enough to tell its neighbours"
        yield not_measured(named(joist), because=f"its place is {known}, so are the bays beside it", asks=("joist.at",))
    if not area.walls:
        because = "the room's outline is unknown, so are the first and last bay"
        yield not_measured(Named("bays at the walls", area.path), because=because, asks=("area.outline",))
    if not area.bays and len(area.joists) > 1:
        because = "where the joists start and stop is unknown, so is which of them are neighbours"
        yield not_measured(layout, because=because, asks=("area.outline", "area.supports"))


def _bay_subject(bay: Bay) -> Bay | Named:
    if bay.opening is None:
        return bay
    return Named(f"{bay.name} at opening {bay.opening.id}", bay.path, bay.work)


def _bay_check(area: Area, bay: Bay, limit: Limit, asks: tuple[str, ...] | None = None) -> Check:
    """One bay against the most that it may measure; of one with a hole that stays open only what the hole leaves."""
    subject, opening = _bay_subject(bay), bay.opening
    taken_out = "; ".join(f"{joist.id} taken out: {joist.missing}" for joist in bay.missing)
    if opening is not None and _place_is_sure(opening):
        rest = bay.rest
        if opening.plan == "stays-open" and rest is not None and rest.high <= 0:
            return does_not_apply(subject, f"opening {opening.id} stays open, so no floor crosses it")
        if opening.plan == "stays-open" or (rest is not None and _too_wide(rest, limit)):
            beside = replace(bay, spacing=rest, opening=None)
            answer = _judged(area, beside, subject, limit, f"beside opening {opening.id}", asks)
            other = _unsaid_in(area, bay)
            if answer.outcome == FALLS_SHORT and other is not None:
                doubt = f"not said whether opening {other.id} beside opening {opening.id} stays open"
                return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("opening.plan",))
            return replace(answer, assumptions=(*answer.assumptions, EDGE_HELD)) if answer.outcome == MEETS else answer
    return _judged(area, bay, subject, limit, taken_out, asks)


EDGE_HELD = "the floor's edge at the opening lies on its trimmer or header, which is checked on its own"


def _too_wide(rest: Quantity, limit: Limit) -> bool:
    return limit.value is not None and at_most(rest, limit.value) is False


def _judged(
    area: Area, bay: Bay, subject: Bay | Named, limit: Limit, found: str, asks: tuple[str, ...] | None
) -> Check:
    """A bay against the most that it may measure, as far as it is known what stands or is open in it."""
    opening = bay.opening
    answer = check(subject, measured=bay.spacing, at_most=limit, found=found, asks=asks)
    if answer.outcome == MEETS and not _even_beside_a_double(area, bay, limit):
        doubt = "a joist of unknown place or size may double one of its joists, and widen it"
        return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("joist.at", "joist.size"))
    if answer.outcome != FALLS_SHORT:
        return answer
    if opening is not None and opening.plan is None:
        doubt = f"not said whether opening {opening.id} stays open"
        return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("opening.plan",))
    if opening is not None and opening.plan == "stays-open":
        doubt = f"not known well enough where opening {opening.id} is to tell whether it takes up this bay"
        return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("opening.across", "opening.along"))
    if area.unplaced:
        doubt = "a joist whose place is unknown may stand in this bay"
        return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("joist.at",))
    if opening is None and any(_may_be_here(hole, bay) for hole in area.openings or ()):
        doubt = "an opening whose place is not known well enough may take up this bay"
        return replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("opening.across", "opening.along"))
    return answer


def _even_beside_a_double(area: Area, bay: Bay, limit: Limit) -> bool:
    """Whether a bay is narrow enough even if joists of unknown place or size double those beside it.

    A doubled member counts from its middle.
    """
    shifts = [double_shift(joist) for joist in area.unplaced] + list(_close_by(area, bay))
    if not shifts:
        return True
    assert bay.spacing is not None and limit.value is not None  # the bay meets it
    wider = bay.spacing + exactly(sum(sorted(shifts)[-2:]), Dimension.LENGTH)
    return at_most(wider, limit.value) is True


def _close_by(area: Area, bay: Bay) -> Iterator[float]:
    """How far the middles of a bay's joists move, in inches, where one of unknown thickness may touch the next."""
    for joist in bay.joists:
        for beyond in area.bays_beside.get(joist.id, ()):
            if beyond is bay or beyond.at_wall or beyond.spacing is None or beyond.spacing.low > MAY_TOUCH:
                continue
            if any(one.section.thickness is None for one in beyond.joists):
                yield beyond.spacing.high / 2


def _unsaid_in(area: Area, bay: Bay) -> Opening | None:
    """Another opening in a bay than its own, of which nobody said whether it stays open."""
    others = (one for one in area.openings or () if one is not bay.opening and one.plan is None)
    return next((one for one in others if _may_overlap(one, bay)), None)


def _may_be_here(opening: Opening, bay: Bay) -> bool:
    """Whether an opening that may stay open may lie in a bay, its place being unknown, a range or a guess."""
    return opening.plan != "floored-over" and not _place_is_sure(opening) and _may_overlap(opening, bay)


def _may_overlap(opening: Opening, bay: Bay) -> bool:
    left, right = (side.across if isinstance(side, Wall) else side.place for side in (bay.left, bay.right))
    assert left is not None and right is not None  # bays lie between joists whose places are known
    tapes = ((opening.across, left.low, right.high), (opening.along, bay.begins, bay.ends))
    return not any(_surely_beside(pair, low, high) for pair, low, high in tapes)


def _surely_beside(pair: Pair | None, low: float, high: float) -> bool:
    """Whether an extent lies outside a stretch of its tape wherever its ends may be."""
    first, last = pair or (None, None)
    return first is not None and last is not None and (last.bounds.high <= low or first.bounds.low >= high)


def _place_is_sure(opening: Opening) -> bool:
    """Whether both of an opening's extents were measured to the tape's tolerance."""
    pairs = (opening.across, opening.along)
    return all(pair is not None and all(end is not None and end.exact for end in pair) for pair in pairs)


@rule(
    "joist-spacing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.joist-spacing",
    quantity="spacing",
    limits=["joist-spacing"],
    measures=["joist.at", "area.outline"],
    provisions=["common-practice"],
    cautions=["crawl-space"],
    remedy="Add a joist or a full-length sister in the wide bay, bearing at both ends like its neighbours; where "
    "something was taken out, frame the place anew. Adding joists loads the beams and piers below: ask a "
    "licensed engineer where more than one bay is wide.",
)
def joist_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """Neighbouring joists, and the outer joists and the walls, are no farther apart than this kind of floor wants.

    The wider the bay, the more the floor dips under a foot; tile and grout crack long before wood does.
    """
    limit = limits.between("joist-spacing", finish_class(area), ("tile", "other"))
    yield from _bays(area)
    for bay in area.bays:
        yield _bay_check(area, bay, limit)


@rule(
    "tile-panel-listing",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="spacing",
    limits=["tile-listing-spacing"],
    measures=["joist.at", "area.outline", "area.finish"],
    provisions=["joist-spacing-wide"],
    cautions=["crawl-space"],
    remedy="Put a joist in the wide bay before any panel goes down. No panel is listed under tile for this reach: "
    "keeping the bay needs a design by a licensed engineer.",
)
def tile_panel_listing(area: Area, limits: Limits) -> Iterator[Check]:
    """No bay under tile is wider than the widest for which panels under tile are listed.

    Beyond it no thickness in a table helps: the floor wants another joist, or an engineer.
    """
    tile = tiled(area)
    if tile is False:
        yield does_not_apply(floor_layers(area), "the floor is not tiled")
        return
    yield from _bays(area)
    limit = limits["tile-listing-spacing"]
    for bay in area.bays:
        answer = _bay_check(area, bay, limit)
        if tile is None and answer.outcome == FALLS_SHORT:
            answer = replace(answer, outcome=NOT_MEASURED, found="the finish is unknown", asks=("area.finish",))
        yield answer


# --- what the subfloor may span -------------------------------------------------------------------------------------


def panel_limit(area: Area, layer: Layer, limits: Limits) -> tuple[Limit, tuple[str, ...]]:
    """The widest bay that this panel may cross, and what to measure when that isn't sure.

    From its stamp; where that is unread, from its thickness: what panels of that thickness span at worst and at best.
    """
    if layer.rating is None:
        return _limit_by_thickness(layer, limits), ("layer.rating", "layer.thickness", "layer.material")
    rating = stamped_rating(layer.rating, limits.keys("panel-span"))
    if rating is None:
        return _unknown_span(limits, f"the stamp {layer.rating!r} is no span rating"), ("layer.rating",)
    limit = limits["panel-span", rating]
    asks: tuple[str, ...] = ()
    for table, stiffens in (("panel-span-wood-floor", _wood_floor_over), ("panel-span-concrete", _concrete_over)):
        if not limits.has(table, rating):
            continue
        helped = stiffens(area, layer, limits)
        wider = limits[table, rating]
        if helped:
            return wider, ()
        if helped is None and limit.value is not None and wider.value is not None:
            limit = limit.derived(hull(limit.value, wider.value), "depends on the layer over it")
            asks = ("layer.thickness", "layer.board_direction")
    return limit, asks


def _unknown_span(limits: Limits, basis: str) -> Limit:
    first = next(limits.keys("panel-span"))
    return replace(limits["panel-span", first], id="panel-span").derived(None, basis)


def _limit_by_thickness(layer: Layer, limits: Limits) -> Limit:
    thickness, material = layer.thickness, material_of(layer, limits)
    if thickness is None or thickness.estimate:
        return _unknown_span(limits, "stamp and thickness are unknown")
    if material is not None and material not in PANELS:
        return _unknown_span(limits, f"{layer.material} without a stamp is no structural panel")
    tolerance = limits["panel-thickness-tolerance"].value
    assert tolerance is not None
    zero = exactly(0.0, Dimension.LENGTH)
    reach = tolerance.high + (thickness.high - thickness.low) / 2
    try:
        bounds = rating_for_thickness(thickness.middle, "osb" if material == "osb" else None, tolerance_in=reach)
    except LookupError:
        thinnest = min(t for r in span_ratings().values() if r.joist_spacing_in for t in r.thicknesses_in)
        if thickness.high < thinnest:
            return _unknown_span(limits, "").derived(zero, "thinner than any floor panel")
        return _unknown_span(limits, "no panel is sold in this thickness: read the stamp")
    rated = [limits["panel-span", r].value or zero for r in bounds.ratings]
    sanded = [exactly(x, Dimension.LENGTH) for x in (bounds.spacing_lower_in, bounds.spacing_upper_in)]
    value = hull(*rated, *(sanded if bounds.sanded_groups else ()))
    if material is None:  # nothing says that it is a structural panel at all
        value = hull(value, zero)
    return _unknown_span(limits, "").derived(value, "stamp unread: what this thickness spans at worst and at best")


def _wood_floor_over(area: Area, layer: Layer, limits: Limits) -> bool | None:
    """Whether a wood floor thick enough runs across the joists over this panel."""
    enough = limits["stiffening-wood-floor"].value
    assert enough is not None
    answers = [
        all_of(
            (
                None if upper.thickness is None else at_least(upper.thickness, enough),
                None if upper.board_direction is None else upper.board_direction == "perpendicular",
            )
        )
        for upper in above(area, layer)
        if upper.kind == "wood-floor"
    ]
    return any_of(answers)


def _concrete_over(area: Area, layer: Layer, limits: Limits) -> bool | None:
    """Whether lightweight concrete thick enough lies over this panel."""
    enough = limits["stiffening-concrete"].value
    assert enough is not None
    answers = [
        None if upper.thickness is None else at_least(upper.thickness, enough)
        for upper in above(area, layer)
        if upper.kind in ("mortar-bed", "self-leveling") and material_of(upper, limits) == "lightweight-concrete"
    ]
    return any_of(answers)


def board_limit(layer: Layer, limits: Limits) -> Limit:
    """The widest bay that a board subfloor may cross, by its thickness and the way that the boards run."""
    ends = [
        _board_span(layer, thickness, direction, limits)
        for thickness in _ends(layer.thickness)
        for direction in ((layer.board_direction,) if layer.board_direction in DIRECTIONS else DIRECTIONS)
    ]
    limit = limits["board-span", "narrow"]
    return limit.derived(hull(*ends) if ends else None, "by thickness and direction of the boards")


def _ends(measured: Quantity | None) -> tuple[float, ...]:
    """Both ends of a measurement; none of what is unknown or only guessed."""
    return () if measured is None or measured.estimate else (measured.low, measured.high)


def _board_span(layer: Layer, thickness: float, direction: str, limits: Limits) -> Quantity:
    best = exactly(0.0, Dimension.LENGTH)
    for step in limits.keys("board-span"):
        key = f"{step}-{direction}"
        if not limits.has("board-thickness", key):
            continue
        needed, span = limits["board-thickness", key].value, limits["board-span", step].value
        assert needed is not None and span is not None
        if not at_least(exactly(thickness, Dimension.LENGTH), needed):
            continue
        if step == "plank":  # good to that reach only with tongue and groove and strong enough wood, which is not known
            if layer.joints in ("tongue-and-groove", None):
                best = hull(best, span)
        else:
            best = maximum(best, span)
    return best


def _span_checks(
    area: Area, kind: str, limit_of: Callable[[Layer], tuple[Limit, tuple[str, ...] | None]]
) -> Iterator[Check]:
    """Every bay against what the layer of this kind that lies on the joists there may cross."""
    base = base_layers(area)
    layers = [layer for layer in base if layer.kind == kind]
    yield from _bays(area)
    for layer in layers:
        limit, asks = limit_of(layer)
        for bay in area.bays:
            if not _lies_over(layer, bay):
                continue
            answer = _bay_check(area, bay, limit, asks or None)
            if answer.outcome != DOES_NOT_APPLY and any(lower.kind is None for lower in below(area, layer)):
                doubt = f"the kind of a layer under {named(layer).name} is unknown: it may be what lies on the joists"
                answer = replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("layer.kind",))
            if len(base) > 1:
                subject = Named(f"{answer.subject.name}, {named(layer).name}", bay.path, bay.work)
                answer = replace(answer, subject=subject)
            yield answer


def _lies_over(layer: Layer, bay: Bay) -> bool:
    if layer.region is None:
        return True
    sides = [side.across if isinstance(side, Wall) else side.place for side in (bay.left, bay.right)]
    along = (exactly(bay.begins, Dimension.LENGTH), exactly(bay.ends, Dimension.LENGTH))
    return overlap(layer.region, replace(layer.region, across=(sides[0], sides[1]), along=along))


def _no_base(area: Area, kind: str, word: str) -> Iterator[Check]:
    """The one answer where nothing of this kind lies on the joists."""
    if any(layer.kind == kind for layer in base_layers(area)):
        return
    if base_layers(area):
        other = base_layers(area)[0].kind
        yield does_not_apply(floor_layers(area), f"the subfloor is of {'boards' if other == 'boards' else 'panels'}")
        return
    yield from absent(area, word, kind)


@rule(
    "panel-span",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="spacing",
    limits=[
        "panel-span",
        "panel-span-wood-floor",
        "panel-span-concrete",
        "stiffening-wood-floor",
        "stiffening-concrete",
        "panel-thickness-tolerance",
        "layer-materials",
    ],
    measures=["layer.rating", "layer.thickness", "joist.at", "area.outline"],
    provisions=[
        "subfloor-rating-24-16",
        "subfloor-rating-32-16",
        "subfloor-rating-40-20",
        "subfloor-rating-48-24",
        "singlefloor-16",
        "singlefloor-20",
        "singlefloor-24",
        "singlefloor-32",
        "singlefloor-48",
        "sanded-combo",
        "uniform-load-panel",
    ],
    cautions=["crawl-space"],
    remedy="Add a joist or full-length blocking on framing so that the panel reaches no farther than its stamp says, "
    "or lay a panel with a higher span rating. A second layer on top does not raise the rating of the first.",
)
def panel_span(area: Area, limits: Limits) -> Iterator[Check]:
    """No bay is wider than the span rating of the panel that lies on the joists.

    The stamp is the panel's promise for strength and stiffness; without it only the thickness speaks, and panels of one
    thickness differ.
    """
    yield from _no_base(area, "panel", "panel")
    if any(layer.kind == "panel" for layer in base_layers(area)):
        yield from _span_checks(area, "panel", lambda layer: panel_limit(area, layer, limits))


@rule(
    "board-span",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.board-subfloor",
    quantity="spacing",
    limits=["board-span", "board-thickness"],
    measures=["layer.thickness", "layer.board_direction", "joist.at", "area.outline"],
    provisions=["lumber-sub-24", "lumber-sub-16", "lumber-sub-wide"],
    cautions=["crawl-space", "old-floor-layers"],
    remedy="Add a joist in the wide bay, or lay rated panels over or in place of the boards. Wide-span planks need "
    "their bending strength and stiffness from the maker or a licensed engineer.",
)
def board_span(area: Area, limits: Limits) -> Iterator[Check]:
    """No bay is wider than boards of this thickness may cross, laid square to the joists or on the diagonal.

    A diagonal board reaches farther from joist to joist, so it must be thicker for the same bay.
    """
    yield from _no_base(area, "boards", "board subfloor")
    if any(layer.kind == "boards" for layer in base_layers(area)):
        yield from _span_checks(area, "boards", lambda layer: (board_limit(layer, limits), None))


@rule(
    "strip-floor-span",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.board-subfloor",
    quantity="spacing",
    limits=["strip-floor-spacing", "strip-floor-thickness"],
    measures=["layer.thickness", "layer.joints", "joist.at", "area.outline"],
    provisions=["omit-subfloor-strip"],
    cautions=["crawl-space"],
    remedy="Put a joist in the wide bay, or take the strips up and lay a subfloor first.",
)
def strip_floor_span(area: Area, limits: Limits) -> Iterator[Check]:
    """Strip flooring lies straight on the joists only where it is thick, tongue and groove, and the bays are narrow.

    Old houses often have no subfloor at all: the finish floor is all that holds a foot.
    """
    yield from absent(area, "wood floor", "wood-floor")
    least = limits["strip-floor-thickness"].value
    for layer in of_kind(area, "wood-floor"):
        under = below(area, layer)
        if any(lower.kind in STRUCTURAL for lower in under):
            yield does_not_apply(named(layer), "a subfloor lies under it")
            continue
        thick = None if layer.thickness is None or least is None else at_least(layer.thickness, least)
        able = all_of((thick, None if layer.joints is None else layer.joints == "tongue-and-groove"))
        if any(lower.kind is None for lower in under):
            able = None
        expected = "it can do without a subfloor: thick, and tongue and groove"
        yield fact(named(layer), able, expected=expected, asks=("layer.thickness", "layer.joints", "layer.kind"))
        if able:
            yield from _bays(area)
            for bay in area.bays:
                if _lies_over(layer, bay):
                    yield _bay_check(area, bay, limits["strip-floor-spacing"])


@rule(
    "board-joints",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.board-subfloor",
    quantity="end joints",
    limits=["board-end-spans"],
    measures=["layer.ends_land_on", "layer.joints", "layer.spans_crossed"],
    provisions=["lumber-sub-joints"],
    remedy="Cut the board back to the middle of the nearest joist, or put blocking under the joint and nail both "
    "ends into it.",
)
def board_joints(area: Area, limits: Limits) -> Iterator[Check]:
    """End joints of subfloor boards fall on joists, unless the boards are end-matched and cross two joists at least.

    A joint between joists is a hinge: it squeaks, and tile over it cracks.
    """
    yield from absent(area, "board subfloor", "boards")
    for layer in of_kind(area, "boards"):
        lands, free = layer.ends_land_on, layer.ends_land_on == "nothing"
        holds: bool | None = None if lands is None else not free
        found = f"ends land on {lands}" if lands else ""
        if free and layer.joints in ("tongue-and-groove", None):
            # Only end-matched boards may join between joists, and each must cross enough of them.
            enough = limits["board-end-spans"].value
            crossed = layer.spans_crossed
            far = None if crossed is None or enough is None else at_least(crossed, enough)
            holds = False if far is False else None
            found = "ends land on nothing, and whether they are end-matched is not said"
        expected = "end joints lie on joists, or the boards are end-matched and long enough"
        yield fact(named(layer), holds, expected=expected, found=found)


@rule(
    "panel-stamp",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.panel-span",
    quantity="thickness",
    limits=["panel-usual-thickness", "panel-thickness-tolerance"],
    measures=["layer.rating", "layer.thickness"],
    provisions=[
        "subfloor-rating-24-16",
        "subfloor-rating-32-16",
        "subfloor-rating-40-20",
        "subfloor-rating-48-24",
        "singlefloor-16",
        "singlefloor-20",
        "singlefloor-24",
        "singlefloor-32",
        "singlefloor-48",
    ],
    remedy="Read the stamp again and measure at a cut edge: one of the two is wrong, or the stamp is that of another "
    "panel.",
)
def panel_stamp(area: Area, limits: Limits) -> Iterator[Check]:
    """A panel is as thick as panels with its stamp usually are.

    The stamp was copied from one sheet, the thickness read at another place; a thinner panel does not keep its promise.
    """
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        rating = stamped_rating(layer.rating, limits.keys("panel-usual-thickness")) if layer.rating else None
        if rating is None:
            because = "its stamp is unread" if layer.rating is None else f"the stamp {layer.rating!r} is no span rating"
            yield not_measured(named(layer), because=because, asks=("layer.rating",))
            continue
        usual, tolerance = limits["panel-usual-thickness", rating], limits["panel-thickness-tolerance"].value
        assert usual.value is not None and tolerance is not None
        limit = usual.derived(usual.value - tolerance, f"usual for {rating}, less what sheets vary")
        yield check(named(layer), measured=layer.thickness, at_least=limit, asks=("layer.thickness",))


# --- how panels are laid on the joists ------------------------------------------------------------------------------


@rule(
    "panel-strong-axis",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="strong axis",
    limits=["panel-axis"],
    measures=["layer.strong_axis"],
    provisions=["panel-strength-axis"],
    remedy="Turn the panels so that their long side (the arrows on the stamp) runs across the joists.",
)
def panel_strong_axis(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels lie with their strong axis across the joists.

    The face grain carries; laid along the joists the same panel is several times weaker and its span rating is void.
    """
    yield from absent(area, "panel", "panel")
    for layer in of_kind(area, "panel"):
        yield check(named(layer), measured=layer.strong_axis, one_of=limits["panel-axis"])


@rule(
    "panel-two-spans",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="bays crossed",
    limits=["panel-least-spans"],
    measures=["layer.spans_crossed"],
    provisions=["panel-two-span"],
    remedy="Replace the short piece with one that crosses two bays, or block all its edges and use a panel one "
    "rating higher.",
)
def panel_two_spans(area: Area, limits: Limits) -> Iterator[Check]:
    """Each subfloor panel crosses two bays or more.

    The span table counts on the panel being held down over a joist in its middle; a piece in one bay bends far more.
    """
    yield from _no_base(area, "panel", "panel")
    for layer in _base_panels(area):
        yield check(named(layer), measured=layer.spans_crossed, at_least=limits["panel-least-spans"])


def _base_panels(area: Area) -> Iterator[Layer]:
    return (layer for layer in base_layers(area) if layer.kind == "panel")


@rule(
    "panel-width",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="narrowest piece",
    limits=["panel-least-width"],
    measures=["layer.narrowest", "layer.joints", "layer.ends_land_on"],
    provisions=["panel-width-24"],
    remedy="Share the last rip between two rows so that both are wide enough, or put blocking under every edge of "
    "the narrow strip.",
)
def panel_width(area: Area, limits: Limits) -> Iterator[Check]:
    """No piece of subfloor panel is a narrow strip, unless blocking carries all its edges.

    The span rating holds for wide pieces only: a narrow strip takes a wheel or a heel alone, without help beside it.
    """
    yield from _no_base(area, "panel", "panel")
    for layer in _base_panels(area):
        answer = check(named(layer), measured=layer.narrowest, at_least=limits["panel-least-width"])
        if answer.outcome != MEETS and layer.joints == "blocked" and layer.ends_land_on in ("joists", "blocking"):
            answer = does_not_apply(named(layer), "blocking carries all edges, so narrow pieces are allowed")
        yield answer


@rule(
    "panel-edges",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="long edges",
    limits=[
        "panel-edge-joints",
        "edge-cover-thickness",
        "edge-cover-offset",
        "stiffening-wood-floor",
        "stiffening-concrete",
        "layer-materials",
    ],
    measures=["layer.joints"],
    provisions=["panel-edge-support"],
    remedy="Put blocking between the joists under the square edges, or lay an underlayment whose joints stand off "
    "from these.",
)
def panel_edges(area: Area, limits: Limits) -> Iterator[Check]:
    """Long panel edges between joists are tongue and groove or blocked, or an upper layer bridges them.

    Two square edges side by side move one at a time under a foot, and the grout over them cracks.
    """
    yield from _no_base(area, "panel", "panel")
    for layer in _base_panels(area):
        answer = check(named(layer), measured=layer.joints, one_of=limits["panel-edge-joints"])
        if answer.outcome == MEETS:
            yield answer
            continue
        bridges = (_cover_over, _wood_floor_over, _concrete_over)
        bridged = any_of(bridge(area, layer, limits) for bridge in bridges)
        if bridged:
            found = f"edges {layer.joints or 'not known'}, bridged by a layer above"
            answer = fact(named(layer), True, expected="edges are held or bridged", found=found)
        elif bridged is None and answer.outcome == FALLS_SHORT:
            asks = ("layer.edge_offset", "layer.thickness")
            answer = replace(answer, outcome=NOT_MEASURED, found="a layer above may bridge them", asks=asks)
        yield answer


def _cover_over(area: Area, layer: Layer, limits: Limits) -> bool | None:
    """Whether wood or cement underlayment over this panel is thick enough, with its joints off those below."""
    thick, off = limits["edge-cover-thickness"].value, limits["edge-cover-offset"].value
    assert thick is not None and off is not None
    answers = [
        all_of(
            (
                None if upper.thickness is None else at_least(upper.thickness, thick),
                None if upper.edge_offset is None else at_least(upper.edge_offset, off),
            )
        )
        for upper in above(area, layer)
        if upper.kind in ("panel", "backer")
    ]
    return any_of(answers)


@rule(
    "panel-ends",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.panel-span",
    quantity="short ends",
    limits=["panel-end-landings"],
    measures=["layer.ends_land_on"],
    provisions=["common-practice"],
    remedy="Cut the panel back to the middle of the nearest joist, or fit blocking under the joint and fasten both "
    "ends to it.",
)
def panel_ends(area: Area, limits: Limits) -> Iterator[Check]:
    """Short ends of subfloor panels meet on joists or blocking.

    An end that hangs in the air has no fastening and no bearing; it is a trap door once the joint opens.
    """
    yield from _no_base(area, "panel", "panel")
    for layer in _base_panels(area):
        yield check(named(layer), measured=layer.ends_land_on, one_of=limits["panel-end-landings"])


# --- holes to close -------------------------------------------------------------------------------------------------


@rule(
    "opening-reframed",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.opening",
    quantity="framing",
    limits=["opening-framings"],
    measures=["opening.framed", "opening.plan"],
    provisions=["hole-equipment"],
    cautions=["floor-hole", "temporary-shoring"],
    remedy="Put back a full-length joist, or frame the hole with headers and trimmers on hangers, before panels go "
    "over it. More than one cut joist, or anything heavy near it, is a case for a licensed engineer.",
)
def opening_reframed(area: Area, limits: Limits) -> Iterator[Check]:
    """A hole in the framing is framed anew before it is floored over.

    A panel across an old furnace or chimney hole looks like floor and is not: nothing is under it.
    """
    everywhere = Named("openings", area.path)
    if area.openings is None:
        yield not_measured(everywhere, because="not said whether the framing has holes", asks=("area.openings",))
    elif not area.openings:
        yield does_not_apply(everywhere, "no openings seen")
    for opening in area.openings or ():
        if opening.plan == "stays-open":
            yield does_not_apply(named(opening), "it stays open")
            continue
        answer = check(named(opening), measured=opening.framed, one_of=limits["opening-framings"])
        if answer.outcome == FALLS_SHORT and opening.plan is None:
            doubt = "not said whether it will be floored over"
            answer = replace(answer, outcome=NOT_MEASURED, found=doubt, asks=("opening.plan",))
        yield answer
