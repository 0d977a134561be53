"""Cuts as Steinmark (invented) wants them: notches in the top edge near the supports, holes well apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import inf

from inspect_core.quantities import Quantity, maximum, minimum
from inspect_core.rules_api import (
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
from inspect_core.site.model import Hole, Joist, Notch

REMEDY = (
    "Do not fill the cut and call it mended: run a full-length sister, or have a licensed engineer pass it. "
    "Carry the floor before you cut or free anything."
)
CAUTIONS = ("temporary-shoring", "licensed-engineer")


@rule(
    "steinmark-notch-reach",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="steinmark.notches",
    quantity="reach of the notch from the support",
    limits=["steinmark-notch-reach"],
    measures=["joist.notches", "notch.at", "notch.length", "joist.size", "support.at"],
    provisions=["common-practice"],
    cautions=CAUTIONS,
    remedy=REMEDY,
)
def notch_reach(area: Area, limits: Limits) -> Iterator[Check]:
    """A notch ends within half of the joist's depth from the support.

    Near a support a joist hardly bends; what it needs there is shear strength.
    """
    for joist, notch, subject in _notches(area):
        if isinstance(subject, Check):
            yield subject
        elif notch is not None:
            most = limits["steinmark-notch-reach"].of(joist.section.depth, "1/2 of the depth")
            yield check(
                subject,
                measured=_reach(area, joist, notch),
                at_most=most,
                assuming=joist.section.assumptions,
                asks=("notch.at", "notch.length"),
                path=notch.path,
            )


@rule(
    "steinmark-notch-edge",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="steinmark.notches",
    quantity="edge",
    measures=["joist.notches", "notch.edge"],
    provisions=["common-practice"],
    cautions=CAUTIONS,
    remedy=REMEDY,
)
def notch_edge(area: Area, limits: Limits) -> Iterator[Check]:
    """Notches are cut in the top edge only.

    A cut in the bottom edge splits along the grain from its corner.
    """
    for _, notch, subject in _notches(area):
        if isinstance(subject, Check):
            yield subject
        elif notch is not None:
            top = None if notch.edge is None else notch.edge == "top"
            yield fact(
                subject,
                top,
                expected="the notch is in the top edge",
                found="" if notch.edge is None else f"in the {notch.edge} edge",
                asks=("notch.edge",),
                path=notch.path,
            )


@rule(
    "steinmark-hole-distance",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="steinmark.holes",
    quantity="distance of centres, in diameters of the larger hole",
    limits=["steinmark-hole-distance"],
    measures=["joist.holes", "hole.at", "hole.diameter"],
    provisions=["common-practice"],
    cautions=CAUTIONS,
    remedy=REMEDY,
)
def hole_distance(area: Area, limits: Limits) -> Iterator[Check]:
    """Centres of holes lie at least two diameters of the larger hole apart.

    Holes in a row cut the same fibres.
    """
    if area.joists is None:
        yield not_measured(Named("joists", area.path), because="the joists are not listed", asks=("joist.holes",))
    for joist in area.joists or ():
        if joist.holes is None:
            yield not_measured(named(joist), because="not said whether there are holes", asks=("joist.holes",))
        elif len(joist.holes) < 2:
            yield does_not_apply(named(joist), "fewer than two holes")
        else:
            for (first, hole), (second, other) in pairwise(_in_order(area, joist, joist.holes)):
                larger = _larger(hole, other)
                yield check(
                    named(hole, f"holes {min(first, second)} and {max(first, second)}", within=joist),
                    measured=_apart(area, joist, hole, other),
                    at_least=limits["steinmark-hole-distance"].of(larger, "2 diameters"),
                    asks=("hole.at", "hole.diameter"),
                    path=other.path,
                )


def _notches(area: Area) -> Iterator[tuple[Joist, Notch | None, Named | Check]]:
    """Each notch with its name; or what to say of a joist without any that is known."""
    for joist in area.joists or ():
        if joist.notches is None:
            yield joist, None, not_measured(named(joist), because="not said whether there are notches")
        elif not joist.notches:
            yield joist, None, does_not_apply(named(joist), "no notches")
        for number, notch in enumerate(joist.notches or (), 1):
            yield joist, notch, named(notch, f"notch {notch.id or number}", within=joist)
    if not area.joists:
        word = "no joists" if area.joists is not None else "the joists are not listed"
        subject = Named("joists", area.path)
        answer = does_not_apply(subject, word) if area.joists is not None else not_measured(subject, because=word)
        yield Joist(path=area.path), None, answer


def _reach(area: Area, joist: Joist, notch: Notch) -> Quantity | None:
    """How far the far side of a notch is from the nearer support, in inches."""
    if notch.length is None:
        return None
    if notch.end_of is not None:
        return notch.length if notch.at is None else notch.at + notch.length
    place = area.place_along(joist, notch.from_, notch.at)
    span = area.span_at(joist, place)
    if place is None or span is None:
        return None
    backwards = notch.from_ is not None and notch.from_ == joist.to  # measured against the tape, it lies against it
    first, last = (place - notch.length, place) if backwards else (place, place + notch.length)
    return minimum(last - span.begins, span.ends - first)


def _in_order(area: Area, joist: Joist, holes: tuple[Hole, ...]) -> list[tuple[int, Hole]]:
    """Holes by their place along the joist, with their numbers in the file; those of unknown place come last."""

    def place(entry: tuple[int, Hole]) -> float:
        at = area.place_along(joist, entry[1].from_, entry[1].at)
        return inf if at is None else at.middle

    return sorted(enumerate(holes, 1), key=place)


def _larger(hole: Hole, other: Hole) -> Quantity | None:
    if hole.diameter is None or other.diameter is None:
        return None
    return maximum(hole.diameter, other.diameter)


def _apart(area: Area, joist: Joist, hole: Hole, other: Hole) -> Quantity | None:
    here, there = (area.place_along(joist, one.from_, one.at) for one in (hole, other))
    return None if here is None or there is None else abs(there - here)
