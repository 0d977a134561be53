"""Pipes: how they are hung, guarded, kept from frost, cleaned out, tested; and what old pipe may stay."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.engineering.drainage import turns
from inspect_core.quantities import Quantity, at_least, at_most
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
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
from inspect_core.site import Area, Site
from inspect_core.site.model import Drain, WaterPipe
from inspect_wood_floor._contents import SOFT_PIPE, Passage, each_passage, guarded
from inspect_wood_floor._drains import BINDS, corners, each_drain, each_water_pipe, nominal

HUNG = ("abs", "pvc", "cast-iron", "copper", "pex", "cpvc")
UNHEATED = ("vented", "unvented")


# --- hangers ----------------------------------------------------------------------------------------------------------


@rule(
    "pipe-supports",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.supports",
    quantity="distance between supports",
    limits=["hanger-spacing", "small-pipe", "long-iron-piece", "pipe-size-band"],
    measures=[
        "drain.supports_every",
        "drain.material",
        "drain.size",
        "drain.piece_length",
        "water_pipe.supports_every",
    ],
    provisions=[
        "hanger-abs",
        "hanger-pvc",
        "hanger-ci",
        "hanger-cu-small",
        "hanger-cu-big",
        "hanger-pex-small",
        "hanger-pex-big",
        "hanger-cpvc-small",
        "hanger-cpvc-big",
    ],
    cautions=["crawl-space"],
    binds=BINDS,
    remedy="Add straps or hangers made for the pipe, tight enough to hold the slope and loose enough to let it slide.",
)
def pipe_supports(area: Area, limits: Limits) -> Iterator[Check]:
    """Level pipe is held often enough for what it is made of.

    Pipe sags between far hangers, and water stands in the sag.
    """

    def of_drain(drain: Drain) -> Iterator[Check]:
        limit, asks = _spacing(drain.material, drain.size, drain.piece_length, limits, "drain")
        if limit is None:
            yield does_not_apply(named(drain), f"no spacing is listed here for {drain.material} pipe")
            return
        missing = ("drain.supports_every",) if drain.supports_every is None else ()
        yield check(named(drain), measured=drain.supports_every, at_most=limit, asks=(*missing, *asks))

    def of_pipe(pipe: WaterPipe, subject: Named) -> Check:
        limit, asks = _spacing(pipe.material, pipe.size, None, limits, "water_pipe")
        if limit is None:
            return does_not_apply(subject, f"no spacing is listed here for {pipe.material} pipe")
        missing = ("water_pipe.supports_every",) if pipe.supports_every is None else ()
        return check(subject, measured=pipe.supports_every, at_most=limit, asks=(*missing, *asks))

    yield from each_drain(area, of_drain)
    yield from each_water_pipe(area, of_pipe, "water pipes")


def _spacing(
    material: str | None, size: Quantity | None, piece: Quantity | None, limits: Limits, part: str
) -> tuple[Limit | None, tuple[str, ...]]:
    """The spacing for a pipe, a range where it may be several; ``None`` for a material without one."""
    table = tuple(limits.keys("hanger-spacing"))
    if material is None:
        return limits.between("hanger-spacing", None, table), (f"{part}.material",)
    if material not in HUNG:
        return None, ()
    if material == "cast-iron":
        least = limits["long-iron-piece"].value
        long = at_least(piece, least) if piece is not None and least is not None else None
        keys = ("cast-iron", "cast-iron-in-10-ft-pieces")
        asks = ("drain.piece_length",) if long is None else ()
        return limits.between("hanger-spacing", None if long is None else keys[1 if long else 0], keys), asks
    if material in table:
        return limits["hanger-spacing", material], ()
    most, named_size = limits["small-pipe", material].value, nominal(size, limits) if part == "drain" else size
    small = at_most(named_size, most) if named_size is not None and most is not None else None
    keys = (f"{material}-small", f"{material}-big")
    asks = (f"{part}.size",) if small is None else ()
    return limits.between("hanger-spacing", None if small is None else keys[0 if small else 1], keys), asks


@rule(
    "pipe-sway",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.supports",
    quantity="sway brace",
    limits=["sway-size", "sway-turn", "pipe-size-band"],
    measures=["drain.sway_braced", "drain.size", "drain.route"],
    provisions=["hanger-sway"],
    cautions=["crawl-space"],
    binds=BINDS,
    remedy="Brace the pipe sideways at the turn, to framing that holds, so that a rush of water can't swing it.",
)
def pipe_sway(area: Area, limits: Limits) -> Iterator[Check]:
    """A large drain is braced against sway where it turns sharply."""
    least, most = limits["sway-size"], limits["sway-turn"]
    assert least.value is not None and most.value is not None
    sharp = most.value.high

    def answer(drain: Drain) -> Iterator[Check]:
        subject, size, places = named(drain), nominal(drain.size, limits), corners(drain)
        large = at_least(size, least.value) if size is not None and least.value is not None else None
        route = None if places is None else [(across.middle, along.middle) for across, along in places]
        angle = None if route is None else max(turns(route), default=0.0)
        if large is False:
            yield does_not_apply(subject, "a small pipe")
        elif angle is not None and angle <= sharp + 1e-6:
            yield does_not_apply(subject, "it takes no sharp turn")
        else:
            known = (("drain.size", large), ("drain.route", angle), ("drain.sway_braced", drain.sway_braced))
            holds = drain.sway_braced
            if holds is False and (large is None or angle is None):
                holds = None
            yield fact(
                subject,
                holds,
                expected="it is braced against sway at its sharp turns",
                found="" if holds is not False else "not braced where it turns",
                asks=tuple(field for field, value in known if value is None),
            )

    yield from each_drain(area, answer)


# --- guarded from nails and frost -------------------------------------------------------------------------------------


@rule(
    "pipe-plate",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.plates",
    quantity="plate over the pipe",
    limits=["pipe-plate-distance"],
    measures=["hole.holds", "hole.wood_above", "hole.wood_below", "hole.shielded", "notch.shielded", "notch.holds"],
    provisions=["pipe-plate"],
    binds=BINDS,
    remedy="Screw a steel plate over the pipe before panels or gypsum hide it.",
)
def pipe_plate(area: Area, limits: Limits) -> Iterator[Check]:
    """Plastic or copper pipe near the edge of the wood is guarded by a steel plate.

    The screws of the floor above don't know where the pipe is.
    """

    def about(one: Passage) -> Check:
        holds, asks = guarded(one, limits, "pipe-plate-distance")
        return _of_contents(one, holds, asks, "the pipe is far from the edge, or a steel plate guards it", limits)

    yield from each_passage(area, about, "pipes in holes and notches", SOFT_PIPE)


def _of_contents(one: Passage, holds: bool | None, asks: tuple[str, ...], expected: str, limits: Limits) -> Check:
    """An answer about what runs there; where nobody said what does, nothing fails."""
    limit = limits["pipe-plate-distance"]
    if one.holds is None and not holds:
        field = "notch.holds" if one.is_notch else "hole.holds"
        return not_measured(one.subject, expected=expected, asks=(field, *asks))
    found = "near the edge without a plate" if holds is False else ""
    return fact(one.subject, holds, expected=expected, found=found, asks=asks, limit=limit, path=one.cut.path)


def _plated(one: Passage) -> Check | None:
    """Why a rule about plates is not about this hole; ``None`` where a plate is there, or may be."""
    if one.cut.shielded is False:
        return does_not_apply(one.subject, "no plate: see whether one is needed")
    if one.holds is None or one.cut.shielded is None:
        fields = [] if one.holds is not None else ["notch.holds" if one.is_notch else "hole.holds"]
        if one.cut.shielded is None:
            fields.append("notch.shielded" if one.is_notch else "hole.shielded")
        return not_measured(one.subject, asks=tuple(fields), because="not said whether a plate guards a pipe there")
    return None


def _each_plate(area: Area, field: str, limit: Limit, what: str) -> Iterator[Check]:
    """One measurement of every plate over a pipe."""

    def about(one: Passage) -> Check:
        asks = (f"{'notch' if one.is_notch else 'hole'}.{field}",)
        measured = getattr(one.cut, field)
        return _plated(one) or check(one.subject, measured=measured, at_least=limit, asks=asks, path=one.cut.path)

    yield from each_passage(area, about, what, SOFT_PIPE)


@rule(
    "pipe-plate-thickness",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.plates",
    quantity="thickness of the plate",
    limits=["pipe-plate-thickness"],
    measures=["hole.plate_thickness", "notch.plate_thickness", "hole.shielded"],
    provisions=["pipe-plate-thick"],
    binds=BINDS,
    remedy="Use plates made for this; tin from the scrap box lets a screw through.",
)
def pipe_plate_thickness(area: Area, limits: Limits) -> Iterator[Check]:
    """A plate over a pipe is thick enough to turn a screw."""
    yield from _each_plate(area, "plate_thickness", limits["pipe-plate-thickness"], "plates over pipes, thickness")


@rule(
    "pipe-plate-past",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.plates",
    quantity="plate past the pipe",
    limits=["pipe-plate-past"],
    measures=["hole.plate_past", "notch.plate_past", "hole.shielded"],
    provisions=["pipe-plate-thick"],
    binds=BINDS,
    remedy="Put a longer plate over it, or a second beside it.",
)
def pipe_plate_past(area: Area, limits: Limits) -> Iterator[Check]:
    """A plate covers a pipe and reaches past it on both sides."""
    yield from _each_plate(area, "plate_past", limits["pipe-plate-past"], "plates over pipes, length")


@rule(
    "pipe-frost",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.frost",
    quantity="guard against frost",
    measures=["drain.insulated", "water_pipe.insulated", "crawl_space.kind", "place.frost_depth"],
    provisions=["pipe-freeze"],
    cautions=["crawl-space"],
    remedy="Insulate the pipe, or trace it with a listed heating cable by its maker's rules, and keep the wind off it.",
    scope="site",
)
def pipe_frost(site: Site, limits: Limits) -> Iterator[Check]:
    """Where it freezes, pipes in an unheated space under the floor are insulated or heated.

    A trap that froze is a floor that has to come up again. A frost depth for the place says that it freezes there.
    """
    depth = site.place.frost_depth if site.place is not None else None
    freezes = None if depth is None else True if depth.low > 0 else False if depth.high <= 0 else None
    for area in site.areas:
        yield from _frost_in(area, freezes, f" in {area.id}" if len(site.areas) > 1 else "")


def _frost_in(area: Area, freezes: bool | None, where: str) -> Iterator[Check]:
    space = area.crawl_space
    cold = None if space is None or space.kind is None else space.kind in UNHEATED
    lists = ((area.drains, "drain", "drains"), (area.water_pipes, "water_pipe", "water pipes"))
    for pipes, part, what in lists:
        if pipes is None:
            asks, because = (f"area.{part}s",), f"not said which {what} there are"
            yield not_measured(Named(f"{what}{where}", area.path), asks=asks, because=because)
        for pipe in pipes or ():
            subject = Named(f"{what[:-1]} {pipe.id}{where}", pipe.path, pipe.work)
            if cold is False:
                yield does_not_apply(subject, "the space below is heated, or there is none")
            elif freezes is False:
                yield does_not_apply(subject, "it does not freeze there")
            elif pipe.insulated is False and (cold is None or freezes is None):
                known = (("crawl_space.kind", cold), ("place.frost_depth", freezes))
                missing = tuple(field for field, value in known if value is None)
                yield not_measured(subject, expected="it can't freeze", asks=missing)
            else:
                found = "not insulated in an unheated space" if pipe.insulated is False else ""
                expected = "it is insulated or heated against frost"
                yield fact(subject, pipe.insulated, expected=expected, found=found, asks=(f"{part}.insulated",))
    if area.drains == () and area.water_pipes == ():
        yield does_not_apply(Named(f"pipes{where}", area.path), "no pipes here")


# --- cleanouts --------------------------------------------------------------------------------------------------------


@rule(
    "cleanout-spacing",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.cleanouts",
    quantity="longest stretch without a cleanout",
    limits=["cleanout-spacing"],
    measures=["drain.cleanout_every"],
    provisions=["cleanout-spacing"],
    cautions=["sewer-opening"],
    binds=BINDS,
    remedy="Add a cleanout where it can be reached, before the floor covers the pipe.",
)
def cleanout_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """A level drain has cleanouts near enough for a rod to reach every part of it."""

    def answer(drain: Drain) -> Iterator[Check]:
        limit, asks = limits["cleanout-spacing"], ("drain.cleanout_every",)
        yield check(named(drain), measured=drain.cleanout_every, at_most=limit, asks=asks)

    yield from each_drain(area, answer, "drains, cleanouts")


@rule(
    "cleanout-front",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.cleanouts",
    quantity="clear room in front of the cleanout",
    limits=["cleanout-front"],
    measures=["drain.cleanout_front"],
    provisions=["cleanout-spacing"],
    cautions=["sewer-opening", "crawl-space"],
    binds=BINDS,
    remedy="Turn or move the cleanout so that somebody with a rod can get in front of it.",
)
def cleanout_front(area: Area, limits: Limits) -> Iterator[Check]:
    """There is room in front of a cleanout to use it."""

    def answer(drain: Drain) -> Iterator[Check]:
        limit, asks = limits["cleanout-front"], ("drain.cleanout_front",)
        yield check(named(drain), measured=drain.cleanout_front, at_least=limit, asks=asks)

    yield from each_drain(area, answer, "drains, cleanouts")
