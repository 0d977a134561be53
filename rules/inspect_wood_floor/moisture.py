"""Damp in the wood: how near the ground it is, how wet it reads, the air it stands in, and what holds vapour back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from inspect_core.quantities import Dimension, Quantity, at_least, at_most, maximum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limit,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Air, CrawlSpace, Layer, Post, Support
from inspect_wood_floor._crawl import each_space
from inspect_wood_floor._layering import below, floor_layers, overlap, tiled
from inspect_wood_floor._vapour import comes_to
from inspect_wood_floor._verdicts import Verdict, all_of, any_of, compared, negated

LEAK = (
    "This wood holds free water: look for a leak, a missing flashing or ground water first, mend that, dry the wood, "
    "then probe it for rot before anything covers it. Where it has gone soft, a licensed engineer says what it carries."
)
SHEETS = ("felt", "membrane", "uncoupling", "slip-sheet", "vapor-retarder", "insulation", "resilient")


# --- wood near the ground ---------------------------------------------------------------------------------------------


def _ground_check(
    subject: Subject, measured: Quantity | None, limit: Limit, treated: Verdict, field: str, unsure: tuple[str, ...]
) -> Check:
    """Height over ground of wood that may be treated; ``unsure`` are the fields that would tell."""
    if treated:
        return does_not_apply(subject, "treated or durable wood, or none at all")
    if treated is None and compared(at_least, measured, limit) is False:
        expected = "it is treated or durable: it is nearer to the ground than untreated wood may be"
        return fact(subject, None, expected=expected, limit=limit, asks=unsure)
    return check(subject, measured=measured, at_least=limit, asks=(field,))


def _no_bare_ground(area: Area) -> str:
    """Why there is no bare ground under this floor; empty when there is, or may be."""
    space = area.crawl_space
    if space is None:
        return ""
    if space.kind in ("none", "basement"):
        return "no bare ground under this floor"
    covered = space.ground_cover is not None and space.ground_cover.kind == "concrete"
    return "concrete covers the ground" if covered else ""


def _all_treated(treated: Iterable[Verdict]) -> Verdict:
    """True when all are, False when one is not, else unknown."""
    each = list(treated)
    return all_of(each) if each else None


@rule(
    "joist-ground-clearance",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.ground-clearance",
    quantity="height over bare ground",
    limits=["clearance-joists"],
    measures=["crawl_space.joist_clearance", "joist.treated"],
    provisions=["clear-joists"],
    cautions=["crawl-space"],
    remedy="Dig the ground down, away from piers and footings, or replace the lowest joists with treated ones.",
)
def joist_ground_clearance(area: Area, limits: Limits) -> Iterator[Check]:
    """Untreated joists are high enough over bare ground.

    Lower, and they never dry; and nobody can get under them to see.
    """
    why = _no_bare_ground(area)

    def answer(space: CrawlSpace) -> Check:
        where = named(space, "joists")
        if why:
            return does_not_apply(where, why)
        treated = _all_treated(joist.treated for joist in area.joists or ())
        field = "crawl_space.joist_clearance"
        return _ground_check(
            where, space.joist_clearance, limits["clearance-joists"], treated, field, ("joist.treated",)
        )

    yield from each_space(area, answer)


@rule(
    "beam-ground-clearance",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.ground-clearance",
    quantity="height over bare ground",
    limits=["clearance-beams"],
    measures=["support.clearance", "crawl_space.beam_clearance", "support.treated"],
    provisions=["clear-girders"],
    cautions=["crawl-space", "temporary-shoring"],
    remedy=(
        "Dig the ground down, away from piers and footings, or replace the beam with a treated one on temporary "
        "shoring."
    ),
)
def beam_ground_clearance(area: Area, limits: Limits) -> Iterator[Check]:
    """Untreated beams are high enough over bare ground.

    Beams are the lowest wood in the house and the first to rot.
    """
    space = area.crawl_space
    least = space.beam_clearance if space is not None else None

    def answer(beam: Support) -> Check:
        treated = True if beam.kind == "steel" else beam.treated
        height = beam.clearance if beam.clearance is not None else least
        limit = limits["clearance-beams"]
        return _ground_check(named(beam), height, limit, treated, "support.clearance", ("support.treated",))

    yield from _supports(area, "beam", ("beam",), answer, _no_bare_ground(area))


def _supports(
    area: Area, what: str, lines: tuple[str, ...], answer: Callable[[Support], Check], why_not: str = ""
) -> Iterator[Check]:
    """One answer for each support line of these sorts, or the one that says why there is none."""
    everything = Named("supports", area.path)
    if why_not:
        yield does_not_apply(everything, why_not)
    elif area.supports is None:
        yield not_measured(everything, asks=("area.supports",), because="the supports are not listed")
    else:
        seen = [one for one in area.supports if one.line in lines or one.line is None]
        if not seen:
            yield does_not_apply(everything, f"no {what} among the supports")
        for one in seen:
            if one.line is None:
                yield not_measured(named(one), expected=f"it is a {what}", asks=("support.line",))
            else:
                yield answer(one)


@rule(
    "post-ground-clearance",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.ground-clearance",
    quantity="height of the post's foot over bare ground",
    limits=["clearance-posts"],
    measures=["post.base_over_ground", "post.treated", "post.material"],
    provisions=["clear-columns"],
    cautions=["crawl-space", "temporary-shoring"],
    remedy="Shore the beam, then set the post on a higher pier or use a treated post on a metal base.",
)
def post_ground_clearance(area: Area, limits: Limits) -> Iterator[Check]:
    """The feet of untreated wood posts are high enough over bare ground.

    End grain drinks: a post near soil rots from its foot up, out of sight.
    """
    everything = Named("posts", area.path)
    if area.posts is None:
        yield not_measured(everything, asks=("area.posts",), because="the posts are not listed")
    elif not area.posts:
        yield does_not_apply(everything, "no posts seen")
    elif why := _no_bare_ground(area):
        yield does_not_apply(everything, why)
    else:
        limit, field = limits["clearance-posts"], "post.base_over_ground"
        for post in area.posts:
            asks = ("post.treated", *(() if post.material else ("post.material",)))
            yield _ground_check(named(post), post.base_over_ground, limit, _post_safe(post), field, asks)


def _post_safe(post: Post) -> Verdict:
    """Treated, or not of wood."""
    if post.treated or post.material not in ("wood", None):
        return True
    return None if post.treated is None or post.material is None else False


@rule(
    "sill-above-grade",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="decay.ground-clearance",
    quantity="height over the ground outside",
    limits=["clearance-sills"],
    measures=["support.above_grade", "support.treated", "support.rests_on"],
    provisions=["sill-8in"],
    cautions=["temporary-shoring"],
    remedy=(
        "Take the ground outside down and slope it away, or replace the sill with a treated one, a length at a time, "
        "on shoring."
    ),
)
def sill_above_grade(area: Area, limits: Limits) -> Iterator[Check]:
    """Untreated sills on outside foundation walls are high enough over the ground outside.

    Rain splashes, snow lies and mulch piles up: that is where sills rot, from the outside.
    """

    def answer(sill: Support) -> Check:
        where = named(sill)
        if sill.rests_on in ("wood", "posts", "piers"):
            return does_not_apply(where, f"it rests on {sill.rests_on}, not on a foundation wall")
        field, limit = "support.above_grade", limits["clearance-sills"]
        return _ground_check(where, sill.above_grade, limit, sill.treated, field, ("support.treated",))

    yield from _supports(area, "sill or wall plate", ("sill", "wall-plate"), answer)


# --- how wet the wood reads -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of the frame's wood with its reading."""

    group: str
    field: str
    subject: Subject
    moisture: Quantity | None


def _pieces(area: Area) -> Iterator[_Piece]:
    for joist in area.joists or ():
        yield _Piece("joists", "joist.moisture", joist, joist.moisture)
    for support in area.supports or ():
        if support.kind != "steel" and support.line != "masonry-ledge":
            yield _Piece("sills and beams", "support.moisture", named(support), support.moisture)
    for post in area.posts or ():
        if post.material in ("wood", None):
            yield _Piece("posts", "post.moisture", named(post), post.moisture)
    for opening in area.openings or ():
        for header in opening.headers or ():
            yield _Piece("headers", "header.moisture", named(header), header.moisture)


def _readings(area: Area, answer: Callable[[_Piece], Check]) -> Iterator[Check]:
    """One answer for each piece that was read, and one for all of a kind that were not."""
    lists = {"joist.moisture": area.joists, "support.moisture": area.supports}
    unlisted = tuple(field for field, listed in lists.items() if listed is None)
    if unlisted:
        yield not_measured(
            Named("joists and beams", area.path),
            asks=unlisted,
            because="no moisture reading: push the pins into each joist and sill near its end",
        )
    unread: dict[str, list[_Piece]] = {}
    any_piece = False
    for piece in _pieces(area):
        any_piece = True
        if piece.moisture is None:
            unread.setdefault(piece.group, []).append(piece)
        else:
            yield answer(piece)
    for group, pieces in unread.items():
        names = ", ".join(piece.subject.name for piece in pieces[:8]) + (" and more" if len(pieces) > 8 else "")
        subject = Named(f"{group} without a reading", pieces[0].subject.path)
        yield not_measured(subject, asks=(pieces[0].field,), because=f"no moisture reading: {names}")
    if not any_piece and not unlisted:
        yield does_not_apply(Named("joists and beams", area.path), "no wood in the frame")


@rule(
    "wood-decay",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="moisture.wood",
    quantity="moisture content",
    limits=["wood-decay-safe", "wood-fungus"],
    measures=["joist.moisture", "support.moisture", "post.moisture", "header.moisture"],
    provisions=["mc-decay-safe", "mc-decay-start", "mc-decay-optimum", "mold-mc", "fsp"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy=(
        "Find out why it is damp (vents, bare ground, a fan that blows in), mend that, and read it again before it is "
        "covered."
    ),
)
def wood_decay(area: Area, limits: Limits) -> Iterator[Check]:
    """Joists, sills, beams and posts are dry enough not to decay.

    Fungi need wet wood: below about 20 percent they stop, from about 28 percent on they infect sound wood.
    """

    def answer(piece: _Piece) -> Check:
        wet = compared(at_most, piece.moisture, limits["wood-fungus"]) is False
        return check(
            piece.subject,
            measured=piece.moisture,
            at_most=limits["wood-decay-safe"],
            found="wet enough for fungi to infect sound wood" if wet else "",
            asks=(piece.field,),
            remedy=LEAK if wet else None,
        )

    yield from _readings(area, answer)


@rule(
    "wood-enclosed",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.framing",
    quantity="moisture content",
    limits=["wood-enclosed"],
    measures=["joist.moisture", "support.moisture", "post.moisture", "header.moisture"],
    provisions=["mc-19-calgreen", "mc-19-oregon", "mc-model-silent", "mc-dry-grade"],
    cautions=["mould-and-dust"],
    remedy="Let it dry with fans and open vents, and read it again, before panels cover it.",
)
def wood_enclosed(area: Area, limits: Limits) -> Iterator[Check]:
    """Framing is at 19 percent moisture or less when panels cover it.

    Law in two states; the model code is silent. Wet joists shrink under the new floor and nails stand proud.
    """

    def answer(piece: _Piece) -> Check:
        return check(piece.subject, measured=piece.moisture, at_most=limits["wood-enclosed"], asks=(piece.field,))

    yield from _readings(area, answer)


def _panels_before_tile(area: Area, answer: Callable[[Layer], Check]) -> Iterator[Check]:
    """One answer for each panel of a floor that is to be tiled."""
    tile, everything = tiled(area), floor_layers(area)
    panels = [layer for layer in area.layers or () if layer.kind == "panel"]
    if tile is False:
        yield does_not_apply(everything, "the floor is not tiled")
    elif area.layers is None:
        yield not_measured(everything, asks=("area.layers",), because="the layers of the floor are not listed")
    elif not panels:
        unknown = any(layer.kind is None for layer in area.layers)
        because = "not known what a layer is: it may be a panel"
        yield (
            not_measured(everything, asks=("layer.kind",), because=because)
            if unknown
            else does_not_apply(everything, "no panels among the layers")
        )
    elif tile is None:
        yield not_measured(everything, expected="the floor is to be tiled", asks=("area.finish",))
    else:
        yield from map(answer, panels)


@rule(
    "panel-moisture-before-tile",
    hold_point="tile",
    severity=ADVISORY,
    reference="moisture.tile",
    quantity="moisture content",
    limits=["panel-before-tile"],
    measures=["layer.moisture", "area.finish"],
    provisions=["mc-tile-subfloor-practice"],
    remedy="Heat and air the room as it will be lived in, and read the panels again before the first tile.",
)
def panel_moisture_before_tile(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels are about as dry as they will be in use before tile goes on.

    They shrink as they dry, and tile does not.
    """

    def answer(panel: Layer) -> Check:
        limit = limits["panel-before-tile"]
        return check(named(panel), measured=panel.moisture, at_most=limit, asks=("layer.moisture",))

    yield from _panels_before_tile(area, answer)


@rule(
    "panel-joist-moisture",
    hold_point="tile",
    severity=ADVISORY,
    reference="moisture.tile",
    quantity="difference in moisture content from the joists",
    limits=["panel-joist-difference"],
    measures=["layer.moisture", "joist.moisture", "area.finish"],
    provisions=["mc-tile-subfloor-practice"],
    cautions=["crawl-space"],
    remedy="Wait until panels and joists come together: dry the crawl space as well as the room.",
)
def panel_joist_moisture(area: Area, limits: Limits) -> Iterator[Check]:
    """Panels and joists are within a few percent of one another before tile goes on.

    A dry panel on a wet joist is pulled about when the joist dries.
    """
    readings = [joist.moisture for joist in area.joists or ()]
    known = [reading for reading in readings if reading is not None]
    limit = limits["panel-joist-difference"]

    def answer(panel: Layer) -> Check:
        apart = None
        if panel.moisture is not None and known:
            apart = maximum(*(abs(panel.moisture - reading) for reading in known))
            if len(known) < len(readings) and compared(at_most, apart, limit) is not False:
                apart = None  # a joist that was not read may be the wet one
        return check(named(panel), measured=apart, at_most=limit, asks=("layer.moisture", "joist.moisture"))

    yield from _panels_before_tile(area, answer)


@rule(
    "crawl-air-damp",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="moisture.wood",
    quantity="moisture content that wood comes to in this air",
    limits=["wood-decay-safe", "decay-temperature", "emc-fit"],
    measures=["air.temperature", "air.humidity", "crawl_space.air"],
    provisions=["emc-equation", "emc-coef-c", "emc-coef-f", "emc-accuracy", "emc-70f-30", "emc-70f-50", "emc-70f-65",
                "emc-70f-80", "emc-70f-90", "emc-30f-80", "emc-50f-70", "emc-90f-50", "emc-40f-85", "mc-decay-safe",
                "decay-temp"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy="Cover the ground, free the vents or fit a dehumidifier, and measure again in another season.",
)  # fmt: skip
def crawl_air_damp(area: Area, limits: Limits) -> Iterator[Check]:
    """The air under the floor would not bring wood to a moisture content at which it decays.

    Wood follows the air around it within weeks. One reading is one day: summer air under a cool floor is the worst.
    """

    def answer(space: CrawlSpace) -> Check:
        where, limit = named(space, "air"), limits["wood-decay-safe"]
        off = limits["emc-fit"].value
        assert off is not None
        notes = (f"by the Wood Handbook's equation, for air that stays so; such a fit may be {off.high:g} percent off",)
        warm = _decays_now(space.air, limits)
        found = "" if warm is None else "warm enough for decay now" if warm else "decay is slow at this temperature"
        return check(where, measured=comes_to(space.air), at_most=limit, found=found, assuming=notes)

    yield from each_space(area, answer)


def _decays_now(air: Air | None, limits: Limits) -> Verdict:
    """Whether fungi thrive at the temperature of the air; ``None`` when that is not known."""
    window = limits["decay-temperature"].value
    if air is None or air.temperature is None or window is None:
        return None
    if air.temperature.high < window.low or air.temperature.low > window.high:
        return False
    return True if window.low <= air.temperature.low and air.temperature.high <= window.high else None


# --- vapour retarders -------------------------------------------------------------------------------------------------


def holds_vapour(layer: Layer, limits: Limits) -> Verdict:
    """Whether a layer is a sheet of Class I or II, by class, permeance or material; panels and tile are none."""
    if layer.kind is not None and layer.kind not in SHEETS:
        return False
    tight = limits["retarder-permeance", "II"]
    verdict: Verdict = None
    if layer.retarder_class is not None:
        verdict = layer.retarder_class in ("I", "II")
    elif layer.permeance is not None:
        verdict = compared(at_most, layer.permeance, tight)
    elif is_film(layer, limits):
        verdict = True
    elif layer.kind == "felt":
        verdict = compared(at_most, limits["felt-permeance"].value, tight)
    return None if layer.kind is None and verdict else verdict


def is_film(layer: Layer, limits: Limits) -> bool:
    """Whether its material is one of the known Class I or II sheets."""
    material = (layer.material or "").lower()
    return any(word in material for key in ("I", "II") for word in limits["retarder-materials", key].words)


@rule(
    "one-vapour-retarder",
    scope="site",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.retarders",
    quantity="Class I and II layers in the floor",
    limits=["retarders-in-floor", "retarder-permeance", "retarder-materials", "felt-permeance"],
    measures=["layer.retarder_class", "layer.permeance", "layer.material", "crawl_space.insulation_retarder",
              "crawl_space.insulation_retarder_class"],
    provisions=["vapor-sandwich", "perm-class-1", "perm-class-2", "perm-class-3", "perm-felt15", "perm-kraft"],
    cautions=["mould-and-dust", "old-layers"],
    remedy="Keep one and take the other out, or choose a more open sheet, so that the floor can dry to one side.",
)  # fmt: skip
def one_vapour_retarder(site: Site, limits: Limits) -> Iterator[Check]:
    """The floor has at most one layer that holds vapour back; the cover on the ground does not count.

    Water that gets between two of them never gets out.
    """
    spaces = {area.id: area.crawl_space for area in site.areas}
    for area in site.areas:
        where = Named(f"floor layers of {area.id}", area.path)
        if area.layers is None:
            yield not_measured(where, asks=("area.layers",), because="the layers of the floor are not listed")
            continue
        space = area.crawl_space
        if space is not None and space.same_as is not None:
            space = spaces.get(space.same_as)
        low, high = _stacked(area.layers, limits)
        facing_low, facing_high = _facings(space)
        sheets = [layer for layer in area.layers if holds_vapour(layer, limits) is not False]
        yield check(
            where,
            measured=Quantity(low + facing_low, high + facing_high, Dimension.COUNT),
            at_most=limits["retarders-in-floor"],
            found=_listing(sheets, facing_high),
            path=sheets[-1].path if sheets else None,
            asks=_retarder_asks(sheets, facing_low, facing_high, limits),
        )


def _stacked(layers: Sequence[Layer], limits: Limits) -> tuple[int, int]:
    """Class I and II layers over one another where there are most: surely, and at most."""
    verdicts = [(layer.region, holds_vapour(layer, limits)) for layer in layers]
    low = high = 0
    for place in {None, *(region for region, _ in verdicts)}:
        here = [v for region, v in verdicts if region is None or (place is not None and overlap(region, place))]
        low = max(low, sum(verdict is True for verdict in here))
        high = max(high, sum(verdict is not False for verdict in here))
    return low, high


def _facings(space: CrawlSpace | None) -> tuple[int, int]:
    """Class I and II facings of the floor's insulation: surely, and at most."""
    if space is not None and (space.kind == "none" or space.insulation not in (None, "between-joists")):
        return 0, 0
    faces = None if space is None else space.insulation_retarder
    most = {"none": 0, "top": 1, "bottom": 1}.get(faces or "", 2)
    kind = None if space is None else space.insulation_retarder_class
    if kind in ("III", "open"):
        return 0, 0
    sure = space is not None and space.insulation is not None and faces is not None and kind is not None
    return (most if sure else 0), most


def _listing(sheets: Sequence[Layer], facings: int) -> str:
    words = [named(layer).name for layer in sheets]
    return "; ".join([*words, *(["facing of the insulation"] if facings else [])])


def _retarder_asks(sheets: Sequence[Layer], low: int, high: int, limits: Limits) -> tuple[str, ...]:
    asks: list[str] = []
    if any(holds_vapour(layer, limits) is None for layer in sheets):
        asks += ["layer.retarder_class", "layer.permeance"]
    if low != high:
        asks += ["crawl_space.insulation", "crawl_space.insulation_retarder", "crawl_space.insulation_retarder_class"]
    return tuple(asks)


@rule(
    "no-film-under-felt",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.retarders",
    quantity="film under felt",
    limits=["retarder-materials"],
    measures=["layer.kind", "layer.material", "layer.retarder_class"],
    provisions=["vapor-sandwich"],
    cautions=["old-layers"],
    remedy="Take the film out: felt alone slips and sheds enough. Keep the film for the ground in the crawl space.",
)
def no_film_under_felt(area: Area, limits: Limits) -> Iterator[Check]:
    """No polyethylene film lies under felt.

    Felt soaks up what comes through the joints above, and over a film it cannot dry downwards.
    """
    felts = [layer for layer in area.layers or () if layer.kind == "felt"]
    if area.layers is None:
        yield not_measured(floor_layers(area), asks=("area.layers",), because="the layers of the floor are not listed")
    elif not felts:
        yield does_not_apply(floor_layers(area), "no felt among the layers")
    for felt in felts:
        under = [_class_one(layer, limits) for layer in below(area, felt)]
        free = negated(any_of(under))
        found = "a film lies under it" if free is False else ""
        asks = ("layer.kind", "layer.material", "layer.retarder_class")
        yield fact(named(felt), free, expected="no film lies under it", found=found, asks=asks)


def _class_one(layer: Layer, limits: Limits) -> Verdict:
    if layer.retarder_class is not None:
        return layer.retarder_class == "I"
    if layer.permeance is not None:
        return compared(at_most, layer.permeance, limits["retarder-permeance", "I"])
    if is_film(layer, limits):
        return True
    return None if layer.kind in (None, "vapor-retarder", "membrane", "slip-sheet") else False


@rule(
    "between-panels",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.retarders",
    quantity="layer between the panels",
    limits=["retarder-permeance", "retarder-materials", "felt-permeance"],
    measures=["layer.retarder_class", "layer.permeance", "layer.material"],
    provisions=["common-practice", "vapor-sandwich", "perm-felt15"],
    cautions=["old-layers"],
    remedy="Lay the second panel right on the first, or on felt; waterproofing belongs on top, under the tile.",
)
def between_panels(area: Area, limits: Limits) -> Iterator[Check]:
    """Nothing that holds water lies between the two structural layers of a floor.

    A leak from above then stands there and rots both. Plain felt may lie there: it slips, and dries again.
    """
    if area.layers is None:
        yield not_measured(floor_layers(area), asks=("area.layers",), because="the layers of the floor are not listed")
        return
    second = [layer for layer in area.layers if layer.kind in STRUCTURAL and _lower(area, layer)]
    if not second:
        unknown = any(layer.kind is None for layer in area.layers)
        yield (
            not_measured(floor_layers(area), asks=("layer.kind",), because="not known what a layer is")
            if unknown
            else does_not_apply(floor_layers(area), "one structural layer")
        )
    for layer in second:
        lower = _lower(area, layer)
        between = [one for one in below(area, layer) if one.path > lower[-1].path]
        verdicts = [_dams(one, limits) for one in between]
        free = negated(any_of(verdicts))
        words = ", ".join(named(one).name for one in between)
        yield fact(
            named(layer),
            free,
            expected="nothing that holds water lies under it",
            found=f"under it: {words}" if words else "right on the layer below",
            asks=("layer.retarder_class", "layer.permeance", "layer.material"),
        )


def _dams(layer: Layer, limits: Limits) -> Verdict:
    """Whether it holds water between panels; plain felt is what goes there."""
    plain = layer.retarder_class is None and layer.permeance is None
    return False if layer.kind == "felt" and plain else holds_vapour(layer, limits)


def _lower(area: Area, layer: Layer) -> list[Layer]:
    """Structural layers under this one."""
    return [one for one in below(area, layer) if one.kind in STRUCTURAL]
