"""Floor panels glued to the joists: the adhesive, and the nails that go with it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import at_most
from inspect_core.rules_api import ADVISORY, Check, Limits, check, does_not_apply, fact, named, not_measured, rule
from inspect_core.site import Area
from inspect_core.site.model import Adhesive, Layer
from inspect_wood_floor._fastening import (
    NAILS,
    each,
    easiest,
    joist_spacings,
    read,
    rows_that,
    subfloor_panels,
    widest_of,
)
from inspect_wood_floor._labels import names_one
from inspect_wood_floor._verdicts import all_of, compared


@rule(
    "subfloor-adhesive",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="adhesive",
    measures=["layer.adhesive", "adhesive.kind", "adhesive.where"],
    provisions=["common-practice", "adhesive-fix-before-set"],
    cautions=["adhesive-fumes"],
    binds=["new", "altered"],
    remedy="When panels are laid: a bead on each joist, the panel down at once, nails in before the bead skins.",
)
def subfloor_adhesive(area: Area, limits: Limits) -> Iterator[Check]:
    """Subfloor panels are glued to each joist as well as fastened.

    Not a duty of the model code. Glue stops squeaks and stiffens the floor, if still wet when the panel comes down.
    """

    def answer(panel: Layer) -> Check:
        glue = panel.adhesive
        if glue is None:
            return fact(named(panel), None, expected="adhesive is spread on each joist")
        holds = all_of((_is_glued(glue), None if glue.where is None else glue.where in ("each-joist", "full-bed")))
        kind, where = glue.kind or "kind unknown", (glue.where or "place unknown").replace("-", " ")
        found = "no adhesive" if glue.kind == "none" else f"adhesive: {kind}, {where}"
        return fact(named(panel), holds, expected="adhesive is spread on each joist", found=found)

    yield from each(subfloor_panels(area), answer)


def _is_glued(glue: Adhesive | None) -> bool | None:
    return None if glue is None or glue.kind is None else glue.kind != "none"


def _glued(area: Area, answer: Callable[[Layer, Adhesive], Check], beads: bool = False) -> Iterator[Check]:
    """One answer for each glued panel; ``beads`` where it is about beads and not about a full bed."""

    def about(panel: Layer) -> Check:
        glue, glued = panel.adhesive, _is_glued(panel.adhesive)
        if glue is None or glued is None:
            return not_measured(named(panel), expected="it is glued to the joists", asks=("adhesive.kind",))
        if not glued:
            return does_not_apply(named(panel), "no adhesive")
        if beads and glue.where == "full-bed":
            return does_not_apply(named(panel), "spread in a full bed, not in beads")
        return answer(panel, glue)

    yield from each(subfloor_panels(area), about)


@rule(
    "subfloor-adhesive-standard",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="standard of the adhesive",
    limits=["floor-adhesive-standards"],
    measures=["adhesive.standard", "adhesive.kind"],
    provisions=["floor-adhesive-standard"],
    cautions=["adhesive-fumes"],
    remedy="Use an adhesive whose label names one of these; where this one is down, count on the fasteners alone.",
)
def subfloor_adhesive_standard(area: Area, limits: Limits) -> Iterator[Check]:
    """Floor adhesive is made to a standard for field-glued floors.

    Other construction adhesives go brittle, or let go on wet or frozen wood.
    """
    standards = limits["floor-adhesive-standards"]

    def answer(panel: Layer, glue: Adhesive) -> Check:
        return fact(
            named(panel),
            None if glue.standard is None else names_one(glue.standard, standards.words),
            expected=f"the adhesive is made to {' or '.join(standards.words)}",
            found=f"label: {glue.standard}" if glue.standard is not None else "",
            limit=standards,
            asks=("adhesive.standard",),
        )

    yield from _glued(area, answer)


@rule(
    "subfloor-adhesive-bead",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="bead of adhesive",
    limits=["adhesive-bead"],
    measures=["adhesive.bead", "adhesive.kind"],
    provisions=["adhesive-bead"],
    cautions=["adhesive-fumes"],
    remedy="Cut the nozzle for a thicker bead on the panels still to come.",
)
def subfloor_adhesive_bead(area: Area, limits: Limits) -> Iterator[Check]:
    """The bead of adhesive on each joist is thick enough.

    A thin one is pressed away before it touches the panel all along.
    """

    def answer(panel: Layer, glue: Adhesive) -> Check:
        return check(named(panel), measured=glue.bead, at_least=limits["adhesive-bead"], asks=("adhesive.bead",))

    yield from _glued(area, answer, beads=True)


@rule(
    "subfloor-adhesive-joints",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="beads where panels meet",
    measures=["adhesive.double_at_joints", "adhesive.kind"],
    provisions=["adhesive-bead"],
    cautions=["adhesive-fumes"],
    remedy="Lay two beads on each joist where panel ends meet, so that both ends are glued.",
)
def subfloor_adhesive_joints(area: Area, limits: Limits) -> Iterator[Check]:
    """Where panel ends meet on a joist there are two beads of adhesive.

    One bead glues one panel; the other end is left loose.
    """

    def answer(panel: Layer, glue: Adhesive) -> Check:
        found = "one bead there" if glue.double_at_joints is False else ""
        asks = ("adhesive.double_at_joints",)
        return fact(
            named(panel), glue.double_at_joints, expected="two beads lie where panel ends meet", found=found, asks=asks
        )

    yield from _glued(area, answer, beads=True)


@rule(
    "glued-floor-nail",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="length of the nails in a glued floor",
    limits=["glued-nail-length", "glued-nail-up-to"],
    measures=["fasteners.length", "fasteners.kind", "layer.thickness", "adhesive.kind"],
    provisions=["glued-floor-nail"],
    cautions=["hidden-services", "adhesive-fumes"],
    remedy="Nail glued panels with ring or screw shank nails: 6d for the thinner panels, 8d for the thicker.",
)
def glued_floor_nail(area: Area, limits: Limits) -> Iterator[Check]:
    """Glued panels are nailed with 6d ring or screw shank nails, thick ones with 8d.

    The nail presses the panel down until the glue has set, and must not back out afterwards.
    """

    def answer(panel: Layer, glue: Adhesive) -> Check:
        fastener = read(panel.fasteners)
        if fastener.kind == "nail":
            return fact(named(panel), False, expected="its nails have a ring or screw shank", found="plain shank nails")
        if fastener.kind is not None and fastener.kind not in NAILS:
            return does_not_apply(named(panel), f"{fastener.word}s hold it, not nails")
        table = "glued-nail-up-to"
        rows = rows_that(limits.keys(table), lambda key: compared(at_most, panel.thickness, limits[table, key]))
        if not rows.all:
            return does_not_apply(named(panel), "thicker than the guide's nails go: the schedule governs")
        return check(
            named(panel),
            measured=fastener.length if fastener.kind is not None and panel.thickness is not None else None,
            at_least=easiest(limits, "glued-nail-length", rows, most=False),
            assuming=fastener.assumptions,
            asks=("fasteners.length", "fasteners.kind", "layer.thickness"),
        )

    yield from _glued(area, answer)


@rule(
    "glued-floor-spacing",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.adhesive",
    quantity="widest nail spacing of the glued floor",
    limits=["glued-floor-spacing", "glued-floor-supports"],
    measures=["fasteners.edges", "fasteners.field", "adhesive.kind", "joist_group.at"],
    provisions=["glued-floor-spacing"],
    cautions=["hidden-services"],
    remedy="Add nails until they stand this close, edges and field; the code's own schedule may ask for more.",
)
def glued_floor_spacing(area: Area, limits: Limits) -> Iterator[Check]:
    """A glued floor is nailed every 12 in or closer, edges and field.

    The panel makers' figure for glue and nails together. Where the code's own schedule governs, its 6 and 12 in hold.
    """
    limit = limits["glued-floor-spacing"]

    def answer(panel: Layer, glue: Adhesive) -> Check:
        written = panel.fasteners
        reach = [compared(at_most, one, limits["glued-floor-supports"]) for one in joist_spacings(area)] or [None]
        if False in reach and not area.unplaced:
            return does_not_apply(named(panel), "joists further apart than the guide goes: the schedule governs")
        known = written is not None and all(reach)
        return check(
            named(panel),
            measured=widest_of(written.edges, written.field, limit) if written is not None and known else None,
            at_most=limit,
            asks=("fasteners.edges", "fasteners.field", "joist_group.at"),
        )

    yield from _glued(area, answer)
