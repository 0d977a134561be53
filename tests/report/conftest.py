"""A small report that is always the same: one tiny pack, one local pack on top, one invented floor in either unit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.quantities import Dimension, Quantity, parse
from inspect_core.rules_api import (
    Caution,
    Check,
    LimitDef,
    Limits,
    Named,
    Pack,
    Reference,
    Rule,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site, site_from_text

INCHES = """\
format: 1
units: in
site: {name: Toll house wash room, invented: true}
packs: [tiny-county]
areas:
  - id: wash-room
    outline: 96 x 120
    joists_run: north-south
    supports:
      - {id: S1, line: sill, at: -5 1/2, width: 5 1/2}
      - {id: B1, line: beam, at: 120, width: 5 1/2}
    joists:
      - name: J
        from: S1
        to: B1
        at: [0, 16]
        each: {size: 2x8, sizes: nominal}
        but:
          J1: {bearing: {S1: 1 3/8, B1: 1 7/16}}
          J2: {bearing: {B1: 1 .. 2}}
"""
MILLIMETRES = """\
format: 1
units: mm
site: {name: Toll house wash room, invented: true}
packs: [tiny-county]
areas:
  - id: wash-room
    outline: 2440 x 3050
    joists_run: north-south
    supports:
      - {id: S1, line: sill, at: -140, width: 140}
      - {id: B1, line: beam, at: 3050, width: 140}
    joists:
      - name: J
        from: S1
        to: B1
        at: [0, 400]
        each: {size: 45 x 195 mm}
        but:
          J1: {bearing: {S1: 35, B1: 36.5}}
          J2: {bearing: {B1: 25 .. 50}}
"""


def amount(text: str, dimension: Dimension = Dimension.LENGTH) -> Quantity | None:
    return parse(text, dimension, "in")


def bearing(area: Area, limits: Limits) -> Iterator[Check]:
    """Each joist end bears far enough.

    Too little wood crushes.
    """
    for end in area.joist_ends:
        yield check(end, measured=end.bearing, at_least=limits["bearing"])


def notch(area: Area, limits: Limits) -> Iterator[Check]:
    """No notch takes more than a sixth of the depth."""
    joist = (area.joists or ())[0]
    depth = joist.section.depth
    most = limits["notch"].of(depth, "1/6 of the depth")
    yield check(named(joist, "notch 1"), measured=amount("1 1/8"), at_most=most, found="sawn square")
    yield check(
        named(joist, "notch 2"), measured=amount("2 1/4"), at_most=most, assuming=["the size is as it was sold"]
    )
    yield check(named(joist, "notch 3"), measured=amount("~1"), at_most=most, asks=("notch.depth", "joist.depth"))


def gap(area: Area, limits: Limits) -> Iterator[Check]:
    """The gap between panels is neither too narrow nor too wide."""
    for number, size in enumerate(("1/8", "0", "3/8", "unknown"), 1):
        yield check(
            Named(f"gap {number}", area.path),
            measured=amount(size),
            at_least=limits["gap-least"],
            at_most=limits["gap-most"],
        )


def material(area: Area, limits: Limits) -> Iterator[Check]:
    """The backer is of a kind that the mortar holds on."""
    for number, kind in enumerate(("cement-board", "gypsum", None), 1):
        yield check(Named(f"backer {number}", area.path), measured=kind, one_of=limits["backer"])


def cover(area: Area, limits: Limits) -> Iterator[Check]:
    """A cover lies on the ground."""
    yield fact(Named("ground", area.path), True, expected="a cover", found="sheet on all of it")
    yield fact(
        Named("ground by the hatch", area.path), False, expected="a cover", severity="stop-work", remedy="Lay a sheet."
    )
    yield fact(Named("ground by the wall", area.path), None, expected="a cover lies there")
    yield not_measured(Named("vents", area.path), because="not said whether there are any")
    yield does_not_apply(Named("slab", area.path), "there is no slab")


def load(site: Site, limits: Limits) -> Iterator[Check]:
    """The floor carries its load."""
    yield check(Named("load", ()), measured=amount("55 psf", Dimension.LOAD), at_most=limits["load"])


def made(function: Callable[..., Iterable[Check]], **given: Any) -> Rule:
    metadata: dict[str, Any] = {
        "hold_point": "under-floor",
        "severity": "correction",
        "reference": "floor.other",
        "quantity": function.__name__,
        "remedy": "Mend it, as local code and licensed practice ask.",
        **given,
    }
    return rule(function.__name__, **metadata)(function)


def limit(
    id: str, says: str, *values: Quantity | tuple[str, ...] | None, set_by: str = "tiny-base", **given: Any
) -> tuple[str, LimitDef]:
    value = values[0]
    assert value is not None
    parts: dict[str, Any] = {"source": "invented for tests", "status": "common practice, no source", **given}
    dimension = value.dimension if isinstance(value, Quantity) else None
    return id, LimitDef(id, says, dimension, {"": value}, set_by=set_by, **parts)


BASE = Pack(
    id="tiny-base",
    version="1.0",
    title="A tiny base pack",
    api=1,
    rules=(
        made(
            bearing,
            severity="stop-work",
            reference="floor.bearing",
            limits=["bearing"],
            measures=["joist.bearing"],
            cautions=["shoring", "crawl-space"],
            provisions=["tiny-1"],
        ),
        made(notch, limits=["notch"], measures=["notch.depth"], cautions=["shoring"], quantity="notch depth"),
        made(gap, hold_point="subfloor", severity="advisory", limits=["gap-least", "gap-most"], measures=["layer.gap"]),
        made(material, hold_point="tile", limits=["backer"], measures=["layer.material"], quantity="backer"),
        made(cover, measures=["crawl_space.ground_cover"], cautions=["crawl-space"]),
        made(load, hold_point="final", scope="site", limits=["load"], measures=["layer.weight"]),
    ),
    limits=dict(
        [
            limit("bearing", "Least bearing", amount("1 1/2 in"), status="read from text"),
            limit("notch", "Deepest notch", amount("1/6", Dimension.RATIO)),
            limit("gap-least", "Least gap", amount("1/16 in")),
            limit("gap-most", "Widest gap", amount("1/4 in")),
            limit("backer", "What may be under tile", ("cement-board", "fibre-cement")),
            limit("load", "Most load", amount("50 psf", Dimension.LOAD), status="from memory"),
            limit("tape-tolerance", "How far a tape may be off", amount("1/16 in")),
        ]
    ),
    references={
        "floor.bearing": Reference("floor.bearing", "Bearing. Verify with your jurisdiction."),
        "floor.other": Reference("floor.other", "Other things. Verify with your jurisdiction."),
    },
    cautions={
        "shoring": Caution(
            "shoring", "Carry the floor before you free an end. A licensed engineer sets out more than one."
        ),
        "crawl-space": Caution("crawl-space", "Test the air, switch the power off, have somebody at the hatch."),
    },
)
COUNTY = Pack(
    id="tiny-county",
    version="2.1",
    title="A tiny county",
    api=1,
    limits=dict(
        [limit("bearing", "Least bearing", amount("1 3/8 in"), set_by="tiny-county", citation="Tiny County Code 7")]
    ),
    references={"floor.bearing": Reference("floor.bearing", "Tiny County Code 7", adopted=True)},
    stands_on=("tiny-base",),
)


@pytest.fixture(scope="session")
def floor() -> Report:
    """The floor in inches."""
    return inspect(site_from_text(INCHES, "toll-house.site.yaml"), LoadedPacks((BASE, COUNTY), ()))


@pytest.fixture(scope="session")
def metric_floor() -> Report:
    """Much the same floor, written in millimetres."""
    return inspect(site_from_text(MILLIMETRES, "toll-house.site.yaml"), LoadedPacks((BASE, COUNTY), ()))


@pytest.fixture
def report_of() -> Callable[..., Report]:
    """A report on one small floor with rules that yield the given checks."""

    def run(*checks: Check, text: str = INCHES, file: str = "x.site.yaml", **pack_parts: Any) -> Report:
        def given(area: Area, limits: Limits) -> Iterator[Check]:
            """What the test gave."""
            yield from checks

        parts: dict[str, Any] = {"limits": BASE.limits, "references": BASE.references, "cautions": BASE.cautions}
        rules = pack_parts.pop("rules", (made(given, cautions=["shoring"]),))
        pack = Pack(id="tiny-base", title="", api=1, rules=rules, **{"version": "1.0", **parts, **pack_parts})
        return inspect(site_from_text(text.replace("packs: [tiny-county]\n", ""), file), LoadedPacks((pack,), ()))

    return run


@pytest.fixture
def make_rule() -> Callable[..., Rule]:
    return made
