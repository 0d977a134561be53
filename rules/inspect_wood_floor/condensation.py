"""Where damp air leaves its water: on cold surfaces, inside the floor, between two tight layers; and what shrinks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from inspect_core.engineering.condensation import (
    METHOD,
    MOST_OPEN,
    Place,
    RangedAir,
    RangedLayer,
    Span,
    drying_rate,
    films,
    hard_case,
    humidities,
    in_parts,
    profile_steps,
    series_permeance,
    wettest,
)
from inspect_core.engineering.moisture import shrinkage_in, surface_temp_for_humidity
from inspect_core.engineering.working import Step, show
from inspect_core.quantities import Dimension, Quantity, at_most, maximum
from inspect_core.rules_api import (
    ADVISORY,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import CrawlSpace, Joist, Layer
from inspect_core.structure.shown import Steps
from inspect_wood_floor._crawl import each_space
from inspect_wood_floor._layering import above, below
from inspect_wood_floor._vapour import (
    air_of,
    comes_to,
    guessed,
    guessed_layers,
    layer_asks,
    paths,
    spaces_of,
    stacks,
    under_floor,
    vapour_layer,
    whole_stack,
)
from inspect_wood_floor._verdicts import compared

AIR = ("air.temperature", "air.humidity")
BREATHE = (
    "Let the cold side breathe: keep the layer that holds vapour back on the warm side only, and take film or facing "
    "away from the other. Old layers may hold asbestos, and damp ones mould: test before you tear."
)


@rule(
    "crawl-cold-surface",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="moisture.condensation",
    quantity="temperature of the coldest surface",
    limits=["surface-humidity"],
    measures=["crawl_space.coldest_surface", "crawl_space.air", "air.temperature", "air.humidity"],
    provisions=["dew-point-rule"],
    cautions=["crawl-space", "mould-and-dust"],
    remedy=(
        "Wrap cold pipes and ducts, cover the ground, and dry the air or close the vents in damp weather. Measure "
        "again in another season: summer air over cool ground is the worst."
    ),
)
def crawl_cold_surface(area: Area, limits: Limits) -> Iterator[Check]:
    """Wood, ducts and pipes under the floor are warmer than the dew point of the air there.

    What is colder is wet, as a glass of ice water is. Water from a cold pipe drips on wood all summer.
    """

    def answer(space: CrawlSpace) -> Check:
        limit = limits["surface-humidity"]
        dew = _dew_point(space, limit.value)
        asks = (*(("crawl_space.coldest_surface",) if space.coldest_surface is None else ()), *_air_asks(space))
        return check(
            named(space, "coldest surface"),
            measured=space.coldest_surface,
            at_least=limit.derived(dew, "the dew point of the air there"),
            asks=asks or ("crawl_space.coldest_surface",),
        )

    yield from each_space(area, answer, basement=True)


def _air_asks(space: CrawlSpace) -> tuple[str, ...]:
    if space.air is None:
        return AIR
    return tuple(
        field for field, value in zip(AIR, (space.air.temperature, space.air.humidity), strict=True) if value is None
    )


def _dew_point(space: CrawlSpace, surface_humidity: Quantity | None) -> Quantity | None:
    """Temperature of a surface at which the air comes to this humidity, over all that the readings allow."""
    air = air_of(space.air)
    if air is None or surface_humidity is None:
        return None
    low = surface_temp_for_humidity(air.temp_f.low, air.rh.low, surface_humidity.high / 100)
    high = surface_temp_for_humidity(air.temp_f.high, air.rh.high, surface_humidity.low / 100)
    return Quantity(low, max(low, high), Dimension.TEMPERATURE, guessed(space.air))


# --- through the floor ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Profile:
    """One stack of layers with its humidities, and the place that may be wettest."""

    first: RangedAir
    second: RangedAir
    parts: tuple[RangedLayer, ...]
    places: tuple[Place, ...]
    film: Span
    layers: tuple[Layer, ...]

    @property
    def worst(self) -> Place:
        return self.places[wettest(self.places)]

    @property
    def sure(self) -> float:
        """Humidity that some place reaches at least."""
        return max(place.humidity.low for place in self.places)

    def steps(self) -> tuple[Step, ...]:
        case = hard_case(self.first, self.second, self.parts, self.film, wettest(self.places))
        return profile_steps(case, self.places)


@rule(
    "floor-condensation",
    scope="site",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="moisture.condensation",
    quantity="humidity at the wettest place in the floor",
    limits=["humidity-inside", "layer-materials"],
    measures=["crawl_space.air", "crawl_space.indoor_air", "air.temperature", "air.humidity", "crawl_space.insulation",
              "crawl_space.insulation_material", "crawl_space.insulation_thickness", "crawl_space.insulation_retarder",
              "crawl_space.insulation_retarder_class", "area.layers", "layer.permeance", "layer.retarder_class",
              "layer.material", "layer.thickness"],
    provisions=["dew-point-rule", "vapor-sandwich", "perm-plywood"],
    cautions=["crawl-space", "mould-and-dust", "old-layers"],
    remedy=BREATHE,
)  # fmt: skip
def floor_condensation(site: Site, limits: Limits) -> Iterator[Check]:
    """Vapour that goes through the floor does not condense inside of it.

    Vapour goes from the damper air to the drier. Where a tight layer stops it on the cold side, it comes to saturation
    and leaves its water there, out of sight. By the steady state of ISO 13788, for the two airs as they were measured.
    """
    for area, space in spaces_of(site):
        where = Named(f"floor of {area.id}", area.path)
        yield _no_profile(where, area, space) or _condensation(where, area, space, limits)


def _no_profile(where: Named, area: Area, space: CrawlSpace | None) -> Check | None:
    """The answer where there is nothing to reckon with."""
    if space is None:
        because = "nothing is said of the space under the floor"
        return not_measured(where, asks=("area.crawl_space",), because=because)
    if space.kind == "none":
        return does_not_apply(where, "no crawl space under this floor")
    if area.layers is None:
        return not_measured(where, asks=("area.layers",), because="the layers of the floor are not listed")
    if not area.layers:
        return does_not_apply(where, "no layers on the joists")
    return None


def _condensation(where: Named, area: Area, space: CrawlSpace | None, limits: Limits) -> Check:
    assert space is not None
    expected = "the floor stays free of condensation"
    first, second, under = air_of(space.air), air_of(space.indoor_air), under_floor(space)
    missing = [*_air_asks(space), *(() if second else ("crawl_space.indoor_air",))]
    if under is None:
        missing.append("crawl_space.insulation")
    if first is None or second is None or under is None:
        return not_measured(where, expected=expected, asks=tuple(missing))
    if "crawl_space.insulation_material" in under.asks or "crawl_space.insulation_thickness" in under.asks:
        return not_measured(where, expected=expected, asks=under.asks)
    profiles = []
    for layers in stacks(area):
        parts = in_parts((*under.layers, *whole_stack(area, layers, limits)))
        profiles.append(_Profile(first, second, parts, humidities(first, second, parts, films()), films(), layers))
    worst = max(profiles, key=lambda profile: profile.worst.humidity.high)
    return check(
        where,
        measured=Quantity(
            100 * max(profile.sure for profile in profiles),
            100 * worst.worst.humidity.high,
            Dimension.HUMIDITY,
            guessed(space.air, space.indoor_air) or guessed_layers(area.layers or (), space, heat=True),
        ),
        at_most=limits["humidity-inside"],
        found=f"wettest place: {worst.worst.name}",
        assuming=(
            f"{METHOD}: steady state, airs as measured, no air leaks; permeance by material where no sheet is given",
        ),
        asks=(*under.asks, *layer_asks(worst.layers)) or AIR,
        path=next((path for name, path in paths(worst.layers).items() if name in worst.worst.name), None),
        working=Steps(worst.steps),
    )


@rule(
    "panels-can-dry",
    scope="site",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.condensation",
    quantity="permeance of the more open side",
    limits=["drying-permeance", "layer-materials"],
    measures=["layer.permeance", "layer.retarder_class", "layer.material", "crawl_space.insulation",
              "crawl_space.insulation_retarder", "crawl_space.insulation_retarder_class"],
    provisions=["vapor-sandwich", "perm-class-2"],
    cautions=["mould-and-dust", "old-layers"],
    remedy=(
        "Open one side: take the film or facing from under the joists, or choose a membrane that lets more through. "
        "Old layers may hold asbestos, and damp ones mould: test before you tear."
    ),
)  # fmt: skip
def panels_can_dry(site: Site, limits: Limits) -> Iterator[Check]:
    """A panel or board that gets wet can dry to one side at least.

    Every floor gets wet once. Between two tight layers water leaves neither up nor down, whether they are two films or
    several half-tight ones that add up. Wood itself is left out: it opens as it gets wet.
    """
    for area, space in spaces_of(site):
        where = Named(f"panels of {area.id}", area.path)
        if area.layers is None:
            yield not_measured(where, asks=("area.layers",), because="the layers of the floor are not listed")
            continue
        wood = [layer for layer in area.layers if layer.kind in STRUCTURAL]
        if not wood:
            unknown = any(layer.kind is None for layer in area.layers)
            yield (
                not_measured(where, asks=("layer.kind",), because="not known what a layer is")
                if unknown
                else does_not_apply(where, "no panels or boards among the layers")
            )
        for layer in wood:
            subject = Named(f"{named(layer).name} of {area.id}", layer.path, layer.work)
            yield _dries(subject, layer, area, space, limits)


def _dries(subject: Named, layer: Layer, area: Area, space: CrawlSpace | None, limits: Limits) -> Check:
    under = under_floor(space) if space is not None else None
    if space is not None and space.kind == "none":
        return does_not_apply(subject, "no crawl space under this floor")
    under_it, over_it = below(area, layer), above(area, layer)
    lower = [vapour_layer(one, limits) for one in under_it]
    upper = whole_stack(area, over_it, limits)
    down = _dry_side([*under.layers, *lower]) if under is not None else Span(0.0, _dry_side(lower).high)
    up = _dry_side(upper)
    low, sure = max(
        (down.low, not guessed_layers(under_it, space, heat=False)),
        (up.low, not guessed_layers(over_it, None, heat=False)),
    )
    way = "downwards" if down.high >= up.high else "upwards"
    found = f"open to the air {way}" if max(down.low, up.low) >= MOST_OPEN else f"it dries best {way}"
    asks = under.asks if under is not None else ("crawl_space.insulation",)
    return check(
        subject,
        measured=Quantity(low, max(down.high, up.high), Dimension.PERMEANCE, not sure),
        at_least=limits["drying-permeance"],
        found=found,
        asks=(*asks, *layer_asks([*under_it, *over_it])) or ("layer.permeance",),
        working=Steps(lambda: _drying_steps(down, up, space)),
    )


def _dry_side(layers: Sequence[RangedLayer]) -> Span:
    return series_permeance(layer for layer in layers if not layer.opens_when_wet)


def _drying_steps(down: Span, up: Span, space: CrawlSpace | None) -> tuple[Step, ...]:
    """Permeance to both sides, and what would leave wet wood where both airs are known."""
    clause = "layers in series, 1/M = sum of 1/M"
    steps = [
        Step("M", "downwards, at least", "", down.low, "perm", clause),
        Step("M", "upwards, at least", "", up.low, "perm", clause),
    ]
    airs = [air_of(air) for air in (space.air, space.indoor_air)] if space is not None else [None, None]
    first, second = airs
    if first is not None and second is not None:
        wet = (first.temp_f.low + second.temp_f.low) / 2  # the colder the wood, the less leaves it
        rates = drying_rate(wet, (down.low, first.pressure.high), (up.low, second.pressure.high))
        steps += [
            Step("g", f"M × (saturation at {show(wet)} °F - p), {way}", "", rate, "grain/(h·ft²)", METHOD)
            for way, rate, side in zip(("downwards", "upwards"), rates, (down, up), strict=True)
            if side.low < MOST_OPEN  # in the open the air's own stillness holds it back
        ]
    return tuple(steps)


# --- shrinkage --------------------------------------------------------------------------------------------------------


@rule(
    "joist-shrinkage",
    scope="site",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="moisture.framing",
    quantity="change of a joist's depth as it comes to the air",
    limits=["shrinkage-most", "shrinkage-coefficient", "wood-fungus"],
    measures=["joist.moisture", "joist.size", "crawl_space.air", "air.temperature", "air.humidity"],
    provisions=["shrinkage-change", "joist-shrink-example"],
    cautions=["crawl-space"],
    remedy=(
        "Let the joists come to the air that they will stand in before panels and tile go on; fans and a ground cover "
        "help. Replace a green joist beside dry ones, or wait for it; carry the floor before you take one out."
    ),
)
def joist_shrinkage(site: Site, limits: Limits) -> Iterator[Check]:
    """Joists will not shrink or swell much after they are covered.

    A green joist beside a dry one sinks away from the panel: screws stand proud, floors squeak, tile cracks over it.
    """
    for area, space in spaces_of(site):
        where = Named(f"joists of {area.id}", area.path)
        if space is not None and space.kind == "none":
            yield does_not_apply(where, "no crawl space under this floor")
            continue
        if area.joists is not None and not area.joists:
            yield does_not_apply(where, "no joists")
            continue
        limit = limits["shrinkage-most"]
        goal = comes_to(space.air) if space is not None else None
        moves, whole = _movements(area, goal, limits)
        most = maximum(*(move for _, move in moves)) if moves else None
        if not whole and compared(at_most, most, limit) is not False:
            most = None
        asks = ["joist.moisture", "joist.size"] if not whole else []
        asks += list(AIR) if goal is None else []
        yield check(
            where,
            measured=most,
            at_most=limit,
            assuming=("across the grain, rings upright to flat; straight from 6 to 14 percent, rougher over that",),
            asks=tuple(asks) or ("joist.moisture",),
            working=Steps(partial(_shrinkage_steps, moves, goal, limits)),
        )


def _movements(area: Area, goal: Quantity | None, limits: Limits) -> tuple[tuple[tuple[Joist, Quantity], ...], bool]:
    """Each joist with the change of its depth on its way to a moisture content, and whether every joist is in it."""
    wet = limits["wood-fungus"].value
    share = [limits["shrinkage-coefficient", key].value for key in ("radial", "tangential")]
    assert wet is not None and share[0] is not None and share[1] is not None
    moves, whole = [], bool(area.joists)
    for joist in area.joists or ():
        depth = joist.section.depth
        if goal is None or joist.moisture is None or depth is None:
            whole = False
            continue
        ends = [
            shrinkage_in(inches, start, end, rate, wet.low)
            for inches in (depth.low, depth.high)
            for start, end in ((joist.moisture.low, goal.high), (joist.moisture.high, goal.low))
            for rate in (share[0].low, share[1].high)
        ]
        estimate = goal.estimate or joist.moisture.estimate or depth.estimate
        moves.append((joist, abs(Quantity(min(ends), max(ends), Dimension.LENGTH, estimate))))
    return tuple(moves), whole


def _shrinkage_steps(
    moves: Sequence[tuple[Joist, Quantity]], goal: Quantity | None, limits: Limits
) -> tuple[Step, ...]:
    """The joist that moves most, by the direction of its rings, at the middle of what was measured."""
    if not moves or goal is None:
        return ()
    joist = max(moves, key=lambda move: move[1].high)[0]
    wet, depth = limits["wood-fungus"].value, joist.section.depth
    assert wet is not None and depth is not None and joist.moisture is not None
    steps = [Step("u2", "moisture content that the air brings wood to", "", goal.middle, "%", "Wood Handbook Eq. 4-5")]
    for rings in limits.keys("shrinkage-coefficient"):
        rate = limits["shrinkage-coefficient", rings].value
        assert rate is not None
        # Above fibre saturation wood moves no more.
        start, end = min(joist.moisture.middle, wet.low), min(goal.middle, wet.low)
        lost = shrinkage_in(depth.middle, start, end, rate.middle, wet.low)
        numbers = f"{show(depth.middle)} × {show(rate.middle)} × ({show(start)} - {show(end)})"
        formula = f"D × C × (u1 - u2), {joist.name}, {rings} rings"
        steps.append(Step("ΔD", formula, numbers, lost, "in", "Wood Handbook ch. 13"))
    return tuple(steps)
