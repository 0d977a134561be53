"""How the floor's layers are fastened: panels on the joists, underlayment on them, and boards.

What underlayment is fastened to, and where panel edges land, is with the build-up and the edges.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from math import ceil, floor

from inspect_core.engineering.fasteners import fasteners_per_sheet
from inspect_core.quantities import Dimension, Quantity, at_least, at_most, hull, minimum
from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    MEETS,
    Check,
    Limit,
    Limits,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Layer
from inspect_wood_floor._fastening import (
    SCREWS,
    Fastener,
    Rows,
    each,
    easiest,
    joist_spacings,
    nailed,
    notes_on,
    panels,
    read,
    rows_that,
    softened,
    subfloor_boards,
    subfloor_panels,
    underlayment_panels,
    widest_of,
)
from inspect_wood_floor._layering import above, tiled
from inspect_wood_floor._verdicts import Verdict, all_of, any_of, compared, negated

PANEL, UNDERLAYMENT = "subfloor-schedule", "underlayment-schedule"  # the first words of their limits' ids
PANEL_ROW = tuple(f"{PANEL}-{column}" for column in ("kinds", "up-to", "over", "floors"))  # what picks a row
PANEL_SIZES = (f"{PANEL}-length", f"{PANEL}-shank")
WIDE = ("subfloor-wide-supports", "subfloor-wide-field")
UNDERLAYMENT_ROW = tuple(f"{UNDERLAYMENT}-{column}" for column in ("kinds", "up-to", "over"))
NO_ROW = "no row of the schedule takes this fastener: see its kind, length and shank"
ROWS = ("nail-sub-half", "nail-sub-1932-1", "nail-sub-1118", "nail-combo-34", "nail-alt-0099", "staple-sub-1932")
UNDERLAYMENT_ROWS = ("underlayment-nail-quarter", "underlayment-nail-1132", "underlayment-thick-staple")


# --- the schedule -----------------------------------------------------------------------------------------------------


def _floor_kinds(area: Area, panel: Layer) -> tuple[str, ...]:
    """What the floor may be. A single floor is its own underlayment: no panel or boards lie over it."""
    kinds = {layer.kind for layer in above(area, panel)}
    if kinds & set(STRUCTURAL):
        return ("subfloor",)
    return ("subfloor", "single-floor") if None in kinds else ("single-floor",)


def _rows(limits: Limits, schedule: str, panel: Layer, fastener: Fastener, floor_kinds: tuple[str, ...] = ()) -> Rows:
    """Rows of ``schedule`` for a panel of this thickness, this kind of fastener and this kind of floor."""
    up_to, over, kinds, floors = (f"{schedule}-{column}" for column in ("up-to", "over", "kinds", "floors"))

    def verdicts(key: str) -> Iterator[Verdict]:
        yield None if fastener.kind is None else fastener.kind in limits[kinds, key].words
        yield compared(at_most, panel.thickness, limits[up_to, key])
        yield negated(compared(at_most, panel.thickness, limits[over, key]))
        if floor_kinds:
            suits = {kind in limits[floors, key].words for kind in floor_kinds}
            yield None if len(suits) > 1 else suits.pop()

    return rows_that(limits.keys(up_to), lambda key: all_of(verdicts(key)))


def _that_take(rows: Rows, limits: Limits, table: str, size: Quantity | None) -> Rows:
    """Of some rows those whose least length or shank (a column of the schedule) this one has; some ask for none."""

    def takes(key: str) -> Verdict:
        return compared(at_least, size, limits[table, key]) if limits.has(table, key) else True

    sure = rows_that(rows.sure, takes)
    maybe = rows_that(rows.maybe, takes)
    return Rows(sure.sure, (*sure.maybe, *maybe.all))


def _reached(limits: Limits, schedule: str, panel: Layer) -> Verdict:
    """Whether the schedule goes up to so thick a panel."""
    table = f"{schedule}-up-to"
    verdicts = [compared(at_most, panel.thickness, limits[table, key]) for key in limits.keys(table)]
    return any_of(verdicts)


def _listed(limits: Limits, schedule: str, kind: str) -> bool:
    """Whether any row takes this kind of fastener."""
    table = f"{schedule}-kinds"
    return any(kind in limits[table, key].words for key in limits.keys(table))


def _size_check(
    limits: Limits, schedule: str, panel: Layer, dimension: str, floor_kinds: tuple[str, ...] = ()
) -> Check:
    """Length or shank against the easiest row that takes the panel, the kind of fastener and its other dimension.

    So at least one of the two falls short when no row takes both. While thickness or kind leave the rows open, the
    hardest of all that may apply counts, whatever the other dimension is.
    """
    fastener, where = read(panel.fasteners), named(panel)
    if fastener.kind is not None and not _listed(limits, schedule, fastener.kind):
        return does_not_apply(where, f"the schedule's rows are not about {fastener.word}s")
    reached, is_shank, table = _reached(limits, schedule, panel), dimension == "shank", f"{schedule}-{dimension}"
    if reached is False:
        return not_measured(where, expected="an engineer sized its fastening: the schedule ends below it")
    candidates = _rows(limits, schedule, panel, fastener, floor_kinds)
    other = (f"{schedule}-length", fastener.length) if is_shank else (f"{schedule}-shank", fastener.shank)
    fitting = _that_take(candidates, limits, *other)
    candidates, fitting = (_only_in(limits, table, rows) for rows in (candidates, fitting))
    if candidates.all:
        size = fastener.shank if is_shank else fastener.length
        if fitting.all:
            limit = easiest(limits, table, fitting, most=False, or_any_of=candidates.all)
        else:  # the other dimension fails every row: what all of them ask does not grow less for that
            limit = easiest(limits, table, candidates, most=True)
        answer = check(
            where,
            measured=size if reached else None,
            at_least=limit,
            assuming=notes_on(panel, fastener),
            asks=(f"fasteners.{'diameter' if is_shank else 'length'}", "layer.thickness", "fasteners.kind"),
            severity=softened(panel),
        )
        open_kind = answer.outcome == MEETS and fastener.kind is None and not is_shank
        if open_kind and _some_kind_has_no_row(limits, schedule, panel, floor_kinds):
            listed = "they are of a kind that the schedule has for so thick a panel"
            return not_measured(where, expected=listed, asks=("fasteners.kind",))
        return answer
    if is_shank:
        return does_not_apply(where, "the schedule gives no shank for this fastener and panel")
    return fact(
        where,
        False,
        expected="a fastener that the schedule has for so thick a panel",
        found=f"{fastener.word}s",
        severity=softened(panel),
        assuming=notes_on(panel, fastener),
    )


def _some_kind_has_no_row(limits: Limits, schedule: str, panel: Layer, floor_kinds: tuple[str, ...]) -> bool:
    """Whether a kind of fastener that the schedule knows has no row for this panel, so that it would fall short."""
    table = f"{schedule}-kinds"
    kinds = {kind for key in limits.keys(table) for kind in limits[table, key].words}
    lengths = (
        _only_in(limits, f"{schedule}-length", _rows(limits, schedule, panel, Fastener(kind), floor_kinds))
        for kind in kinds
    )
    return not all(rows.all for rows in lengths)


def _only_in(limits: Limits, table: str, rows: Rows) -> Rows:
    """The rows that a column of the schedule has."""
    sure, maybe = (tuple(key for key in keys if limits.has(table, key)) for keys in (rows.sure, rows.maybe))
    return Rows(sure, maybe)


# --- panels on the joists ---------------------------------------------------------------------------------------------


@rule(
    "subfloor-fastener-kind",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="fastener",
    limits=["subfloor-fastener-kinds"],
    measures=["fasteners.kind"],
    provisions=["screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Drive nails of the schedule, or screws evaluated for floors, beside them; old ones that lie flush stay.",
)
def subfloor_fastener_kind(area: Area, limits: Limits) -> Iterator[Check]:
    """Subfloor panels are held by nails, staples or screws made for it, never by drywall screws.

    Drywall screws are hard and brittle: their heads snap off when the floor moves, and the panel squeaks and lifts.
    """
    yield from each(subfloor_panels(area), lambda panel: _kind_check(limits, panel, "subfloor-fastener-kinds"))


def _kind_check(limits: Limits, panel: Layer, table: str) -> Check:
    fastener = read(panel.fasteners)
    return check(
        named(panel),
        measured=fastener.kind,
        one_of=limits[table],
        assuming=notes_on(panel, fastener),
        severity=softened(panel),
    )


@rule(
    "subfloor-fastener-length",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="fastener length",
    limits=["subfloor-schedule-length", "subfloor-schedule-shank", *PANEL_ROW],
    measures=["fasteners.length", "layer.thickness", "fasteners.kind"],
    provisions=[*ROWS, "nail-size-box-common"],
    cautions=["hidden-services"],
    remedy="Drive more between the old ones, of the length that the schedule gives for a panel of this thickness.",
)
def subfloor_fastener_length(area: Area, limits: Limits) -> Iterator[Check]:
    """Nails and staples are long enough for the panel that they hold.

    What holds is the length in the joist, under the panel: a thicker panel needs a longer nail.
    """
    yield from each(
        subfloor_panels(area),
        lambda panel: _size_check(limits, PANEL, panel, "length", _floor_kinds(area, panel)),
    )


@rule(
    "subfloor-fastener-shank",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="nail shank",
    limits=["subfloor-schedule-shank", "subfloor-schedule-length", *PANEL_ROW],
    measures=["fasteners.diameter", "layer.thickness", "fasteners.kind"],
    provisions=[*ROWS, "nail-size-box-common"],
    cautions=["hidden-services"],
    remedy="Drive nails of the schedule between the old ones; box and common nails of one name differ in shank.",
)
def subfloor_fastener_shank(area: Area, limits: Limits) -> Iterator[Check]:
    """Nails are thick enough for the panel that they hold.

    A thin shank bends and lets the panel creep. 8d box and 8d common are not the same nail.
    """
    yield from each(
        subfloor_panels(area),
        lambda panel: _size_check(limits, PANEL, panel, "shank", _floor_kinds(area, panel)),
    )


def _allowed(area: Area, limits: Limits, panel: Layer, fastener: Fastener, where: str) -> Limit | None:
    """Widest spacing that the schedule allows, along "edges" or in the "field"; ``None`` when no row takes this
    fastener."""
    if fastener.kind in SCREWS:
        widest = limits[f"subfloor-screw-{where}"]
        return widest if where == "edges" else _on_wide_supports(area, limits, widest)
    rows = _rows(limits, PANEL, panel, fastener, _floor_kinds(area, panel))
    rows = _that_take(rows, limits, f"{PANEL}-length", fastener.length)
    rows = _that_take(rows, limits, f"{PANEL}-shank", fastener.shank)
    if not rows.all:
        return None
    widest = easiest(limits, f"{PANEL}-{where}", rows, most=True)
    return widest if where == "edges" else _on_wide_supports(area, limits, widest)


def _on_wide_supports(area: Area, limits: Limits, limit: Limit) -> Limit:
    """The closer spacing where joists lie wide apart; a range where how far apart is unknown."""
    close = limits["subfloor-wide-field"]
    verdicts = [compared(at_least, one, limits["subfloor-wide-supports"]) for one in joist_spacings(area)] or [None]
    wide = any_of(verdicts)
    if wide is False or limit.value is None or close.value is None:
        return limit
    tight = minimum(limit.value, close.value)
    if wide:
        return close.derived(tight, "joists lie wide apart")
    return limit.derived(hull(tight, limit.value), limit.basis or "depends on how far the joists lie apart")


def _spacing_check(area: Area, limits: Limits, panel: Layer, where: str) -> Check:
    fastener, written = read(panel.fasteners), panel.fasteners
    allowed = _allowed(area, limits, panel, fastener, where)
    if allowed is None and fastener.kind is None:
        because = "which row of the schedule takes it is not known"
        decide = ("fasteners.kind", "fasteners.length", "fasteners.diameter")
        return not_measured(named(panel), because=because, asks=decide)
    if allowed is None:
        return does_not_apply(named(panel), NO_ROW)
    at_edges = where == "edges"
    asks = (f"fasteners.{where}", "fasteners.kind", "fasteners.length", "fasteners.diameter", "layer.thickness")
    return check(
        named(panel),
        measured=None if written is None else written.edges if at_edges else written.field,
        at_most=allowed,
        assuming=notes_on(panel, fastener),
        asks=asks if at_edges else (*asks, "joist_group.at"),
        severity=softened(panel),
    )


@rule(
    "subfloor-fastener-edges",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="fastener spacing along panel edges",
    limits=["subfloor-schedule-edges", "subfloor-screw-edges", *PANEL_SIZES, *PANEL_ROW],
    measures=["fasteners.edges"],
    provisions=[*ROWS, "screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Drive more along the edges that lie on joists or blocking, between the ones that are there.",
)
def subfloor_fastener_edges(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners along supported panel edges stand close enough.

    Edges lift first. Thin nails, short nails and staples must stand closer than the usual 8d nail.
    """
    yield from each(subfloor_panels(area), lambda panel: _spacing_check(area, limits, panel, "edges"))


@rule(
    "subfloor-fastener-field",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="fastener spacing inside the panel",
    limits=["subfloor-schedule-field", "subfloor-screw-field", *WIDE, *PANEL_SIZES, *PANEL_ROW],
    measures=["fasteners.field", "joist_group.at"],
    provisions=[*ROWS, "nail-48in-supports", "floor-nail-max-field", "screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Snap a line over each joist and drive more between those that are there; pull the ones that missed.",
)
def subfloor_fastener_field(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners on the joists inside a panel stand close enough; closer still where joists lie 48 in apart or more.

    Between its edges the panel is held to each joist by these alone; too few, and it squeaks and lifts.
    """
    yield from each(subfloor_panels(area), lambda panel: _spacing_check(area, limits, panel, "field"))


@rule(
    "subfloor-fastener-count",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="fasteners in a full sheet",
    limits=[
        *("subfloor-schedule-edges", "subfloor-schedule-field", "subfloor-screw-edges", "subfloor-screw-field"),
        *("panel-edge-distance", "tape-tolerance"),
        *(*WIDE, *PANEL_SIZES, *PANEL_ROW),
    ],
    measures=["fasteners.per_sheet", "layer.sheet", "joist_group.at"],
    provisions=["perp-edge-no-block", "nail-sub-1932-1", "screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Go along each joist to find the rows that were missed, and drive what is lacking.",
)
def subfloor_fastener_count(area: Area, limits: Limits) -> Iterator[Check]:
    """A full sheet holds as many fasteners as its layout needs: a row on each joist, as close as the schedule asks.

    Counting a sheet shows missed joists that a spacing read in one row hides. Long edges between joists need none.
    """
    yield from each(subfloor_panels(area), lambda panel: _count_check(area, limits, panel))


def _count_check(area: Area, limits: Limits, panel: Layer) -> Check:
    fastener, written = read(panel.fasteners), panel.fasteners
    edges, field = (_allowed(area, limits, panel, fastener, where) for where in ("edges", "field"))
    if edges is None or field is None:
        return does_not_apply(named(panel), NO_ROW)
    needed = _in_a_sheet(area, limits, panel, edges.value, field.value)
    stated = _in_a_sheet(area, limits, panel, written.edges, written.field) if written is not None else None
    return check(
        named(panel),
        measured=written.per_sheet if written is not None else None,
        at_least=edges.derived(needed, "worked out from sheet, joists and schedule"),
        found=f"the spacing that is stated would make {_numbers(stated)}" if stated is not None else "",
        assuming=notes_on(panel, fastener),
        asks=("fasteners.per_sheet", "layer.sheet", "layer.thickness", "joist_group.at", "fasteners.kind"),
        severity=softened(panel),
    )


def _numbers(count: Quantity) -> str:
    return f"{count.low:g}" if count.low == count.high else f"{count.low:g} to {count.high:g}"


def _in_a_sheet(
    area: Area, limits: Limits, panel: Layer, edges: Quantity | None, field: Quantity | None
) -> Quantity | None:
    """Fasteners of a full sheet over these joists, for all that ranges allow; ``None`` where something is unknown."""
    distance, tape = limits["panel-edge-distance"].value, limits["tape-tolerance"].value
    spacings = joist_spacings(area)
    known = [one for one in spacings if one is not None]
    if panel.sheet is None or edges is None or field is None or distance is None or tape is None:
        return None
    if not known or len(known) < len(spacings) or area.unplaced:  # one of unknown place may be a row more
        return None
    closest, widest = min(one.low for one in known), max(one.high for one in known)
    counts: set[int] = set()
    for across, along in _turned(panel):
        if min(across, along) <= 2 * distance.low:
            return None
        for bay in _bay_widths(across, closest, widest, tape.high):
            for edge, inner in product({edges.low, edges.high}, {field.low, field.high}):
                counts.add(fasteners_per_sheet(across, along, bay, edge, inner, distance.low).total)
    guessed = any(one.estimate for one in (*panel.sheet, *known, edges, field))
    return Quantity(min(counts), max(counts), Dimension.COUNT, guessed)


def _turned(panel: Layer) -> set[tuple[float, float]]:
    """Sheet sizes as across and along the joists (in); both ways round where the way it is laid is unknown."""
    assert panel.sheet is not None
    short, long = sorted(panel.sheet, key=lambda side: side.middle)
    lengthwise = set(product({long.low, long.high}, {short.low, short.high}))
    turned = {(b, a) for a, b in lengthwise}
    if panel.strong_axis is None:
        return lengthwise | turned
    return lengthwise if panel.strong_axis == "across-joists" else turned


def _bay_widths(across: float, closest: float, widest: float, tape: float) -> Sequence[float]:
    """Joist spacings that one sheet may meet (in): those that divide it, to a tape's tolerance; else as measured."""
    whole = range(ceil(across / (widest + tape)), floor(across / (closest - tape)) + 1)
    return [across / bays for bays in whole] or [closest, widest]


@rule(
    "subfloor-fasteners-under-tile",
    hold_point="tile",
    severity=ADVISORY,
    reference="floor.fasteners-practice",
    quantity="widest fastener spacing",
    limits=["subfloor-under-tile"],
    measures=["fasteners.edges", "fasteners.field", "area.finish"],
    provisions=["common-practice", "screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Add screws on each joist until they stand this close both ways, before anything covers the panels.",
)
def subfloor_fasteners_under_tile(area: Area, limits: Limits) -> Iterator[Check]:
    """Under tile, subfloor panels are fastened every 8 in both ways.

    Common practice, not code: a panel that lifts by a hair cracks grout long before it squeaks.
    """
    yield from each(subfloor_panels(area), lambda panel: _under_tile(area, limits, panel))


def _under_tile(area: Area, limits: Limits, panel: Layer) -> Check:
    tile, written = tiled(area), panel.fasteners
    if tile is None:
        return not_measured(named(panel), expected="tile comes on this floor", asks=("area.finish",))
    if not tile:
        return does_not_apply(named(panel), "no tile comes over it")
    limit = limits["subfloor-under-tile"]
    return check(
        named(panel),
        measured=widest_of(written.edges, written.field, limit) if written is not None else None,
        at_most=limit,
        asks=("fasteners.edges", "fasteners.field"),
    )


@rule(
    "subfloor-screw-length",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.subfloor-screws",
    quantity="screw length",
    limits=["subfloor-screw-length"],
    measures=["fasteners.length", "fasteners.kind"],
    provisions=["screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Use No. 8 screws of this length or longer that are evaluated for subfloors.",
)
def subfloor_screw_length(area: Area, limits: Limits) -> Iterator[Check]:
    """Screws in a subfloor are No. 8 and 2 in long or longer.

    Common practice; the maker's evaluation says what really holds.
    """

    def answer(panel: Layer) -> Check:
        screwed = _screwed(panel)
        if screwed is not None:
            return screwed
        return check(named(panel), measured=read(panel.fasteners).length, at_least=limits["subfloor-screw-length"])

    yield from each(subfloor_panels(area), answer)


def _screwed(panel: Layer) -> Check | None:
    """The answer for a panel that no screws hold, or none that is known of."""
    fastener = read(panel.fasteners)
    if fastener.kind is None:
        return not_measured(named(panel), expected="screws hold it", asks=("fasteners.kind",))
    if fastener.kind not in SCREWS:
        return does_not_apply(named(panel), f"{fastener.word}s hold it")
    return None


@rule(
    "subfloor-screw-evaluated",
    hold_point="subfloor",
    severity=ADVISORY,
    reference="floor.subfloor-screws",
    quantity="evaluation of the screws",
    measures=["fasteners.standard", "fasteners.kind"],
    provisions=["screw-subfloor-practice"],
    cautions=["hidden-services"],
    remedy="Show the maker's evaluation for subfloors to the inspector, or fasten with nails of the schedule.",
)
def subfloor_screw_evaluated(area: Area, limits: Limits) -> Iterator[Check]:
    """Screws in a subfloor have an evaluation or standard for that use.

    The schedule lists nails and staples only; screws are taken as an alternate, on their maker's evaluation.
    """

    def answer(panel: Layer) -> Check:
        screwed = _screwed(panel)
        if screwed is not None:
            return screwed
        label = panel.fasteners.standard if panel.fasteners is not None else None
        return fact(
            named(panel),
            None if label is None else label.strip().lower() != "none",
            expected="the screws have an evaluation or standard for subfloors",
            found=f"standard on the box: {label}" if label is not None else "",
            asks=("fasteners.standard",),
        )

    yield from each(subfloor_panels(area), answer)


@rule(
    "panel-fastener-edge-distance",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.subfloor-fasteners",
    quantity="distance from the panel's edge",
    limits=["panel-edge-distance"],
    measures=["fasteners.edge_distance"],
    provisions=["underlayment-edge-distance"],
    cautions=["hidden-services"],
    remedy="Drive another beside each that broke out, further from the edge; slant it where the joist is narrow.",
)
def panel_fastener_edge_distance(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners keep back from the edge of a subfloor or underlayment panel.

    One that splits the edge holds nothing.
    """
    yield from each(
        panels(area),
        lambda panel: check(
            named(panel),
            measured=panel.fasteners.edge_distance if panel.fasteners is not None else None,
            at_least=limits["panel-edge-distance"],
            severity=softened(panel),
            assuming=notes_on(panel, Fastener()),
        ),
    )


# --- underlayment -----------------------------------------------------------------------------------------------------


@rule(
    "underlayment-fastener-kind",
    hold_point="tile",
    severity=ADVISORY,
    reference="floor.underlayment-fasteners",
    quantity="fastener",
    limits=["underlayment-kinds"],
    measures=["fasteners.kind"],
    provisions=["underlayment-nail-quarter", "underlayment-thick-staple"],
    cautions=["hidden-services"],
    remedy="Fasten again with ring or screw shank underlayment nails; plain nails work up and dent the finish.",
)
def underlayment_fastener_kind(area: Area, limits: Limits) -> Iterator[Check]:
    """Underlayment is held by ring or screw shank nails, staples or screws, not by plain nails or drywall screws.

    It is too thin to grip a smooth nail.
    """
    yield from each(underlayment_panels(area), lambda panel: _kind_check(limits, panel, "underlayment-kinds"))


@rule(
    "underlayment-fastener-length",
    hold_point="tile",
    severity=CORRECTION,
    reference="floor.underlayment-fasteners",
    quantity="fastener length",
    limits=["underlayment-schedule-length", "underlayment-schedule-shank", *UNDERLAYMENT_ROW],
    measures=["fasteners.length", "layer.thickness", "fasteners.kind"],
    provisions=["underlayment-nail-quarter", "underlayment-nail-thick", "underlayment-thick-staple"],
    cautions=["hidden-services"],
    remedy="Fasten again with the length that the schedule gives for underlayment of this thickness.",
)
def underlayment_fastener_length(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners of panel underlayment are long enough for its thickness.

    They must bite in the subfloor under it, and they miss the joists.
    """
    yield from each(underlayment_panels(area), lambda panel: _size_check(limits, UNDERLAYMENT, panel, "length"))


@rule(
    "underlayment-fastener-shank",
    hold_point="tile",
    severity=CORRECTION,
    reference="floor.underlayment-fasteners",
    quantity="nail shank",
    limits=["underlayment-schedule-shank", "underlayment-schedule-length", *UNDERLAYMENT_ROW],
    measures=["fasteners.diameter", "layer.thickness", "fasteners.kind"],
    provisions=["underlayment-nail-quarter"],
    cautions=["hidden-services"],
    remedy="Fasten again with underlayment nails of this shank or thicker.",
)
def underlayment_fastener_shank(area: Area, limits: Limits) -> Iterator[Check]:
    """Nails of thin plywood underlayment are thick enough.

    Only the row for thin panels gives a shank.
    """
    yield from each(underlayment_panels(area), lambda panel: _size_check(limits, UNDERLAYMENT, panel, "shank"))


def _underlayment_spacing(limits: Limits, panel: Layer, where: str) -> Check:
    fastener, written = read(panel.fasteners), panel.fasteners
    rows = _rows(limits, UNDERLAYMENT, panel, fastener)
    if not rows.all and fastener.kind is None:
        because = "which row of the schedule takes it is not known"
        return not_measured(named(panel), because=because, asks=("fasteners.kind", "layer.thickness"))
    if not rows.all:
        return does_not_apply(
            named(panel), "no row of the schedule takes this fastener at this thickness: see its kind"
        )
    return check(
        named(panel),
        measured=None if written is None else written.edges if where == "edges" else written.field,
        at_most=easiest(limits, f"{UNDERLAYMENT}-{where}", rows, most=True),
        assuming=notes_on(panel, fastener),
        asks=(f"fasteners.{where}", "layer.thickness", "fasteners.kind"),
        severity=softened(panel),
    )


@rule(
    "underlayment-fastener-edges",
    hold_point="tile",
    severity=CORRECTION,
    reference="floor.underlayment-fasteners",
    quantity="fastener spacing along underlayment edges",
    limits=["underlayment-schedule-edges", *UNDERLAYMENT_ROW],
    measures=["fasteners.edges", "layer.thickness", "fasteners.kind"],
    provisions=UNDERLAYMENT_ROWS,
    cautions=["hidden-services"],
    remedy="Drive more along all edges of each sheet, into the subfloor only.",
)
def underlayment_fastener_edges(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners stand close enough along the edges of underlayment.

    The thinner the sheet, the closer they stand.
    """
    yield from each(underlayment_panels(area), lambda panel: _underlayment_spacing(limits, panel, "edges"))


@rule(
    "underlayment-fastener-field",
    hold_point="tile",
    severity=CORRECTION,
    reference="floor.underlayment-fasteners",
    quantity="fastener spacing inside the underlayment",
    limits=["underlayment-schedule-field", *UNDERLAYMENT_ROW],
    measures=["fasteners.field", "layer.thickness", "fasteners.kind"],
    provisions=UNDERLAYMENT_ROWS,
    cautions=["hidden-services"],
    remedy="Mark a grid and drive more, into the subfloor only.",
)
def underlayment_fastener_field(area: Area, limits: Limits) -> Iterator[Check]:
    """Fasteners stand close enough inside the sheets of underlayment, each way.

    It must lie dead flat on the subfloor: every hollow is a drum and a crack in the tile.
    """
    yield from each(underlayment_panels(area), lambda panel: _underlayment_spacing(limits, panel, "field"))


# --- boards -----------------------------------------------------------------------------------------------------------


@rule(
    "board-subfloor-nails",
    hold_point="subfloor",
    severity=CORRECTION,
    reference="floor.board-nails",
    quantity="nails in each board at each joist",
    limits=["board-nails", "board-staples", "board-staple-length", "plank-nails", "plank-from"],
    measures=["fasteners.count", "fasteners.kind", "fasteners.length", "fasteners.diameter", "layer.thickness"],
    provisions=["nail-1x6-subfloor", "nail-2in-subfloor", "nail-size-box-common"],
    cautions=["hidden-services", "old-layers"],
    remedy="Nail or screw each loose board again at each joist before anything is laid over it; drill near the ends.",
)
def board_subfloor_nails(area: Area, limits: Limits) -> Iterator[Check]:
    """Subfloor boards and planks are nailed at each joist.

    Old board floors work loose; what lies over them moves with every board.
    """
    yield from each(subfloor_boards(area), lambda layer: _board_check(limits, layer))


def _board_check(limits: Limits, layer: Layer) -> Check:
    written, fastener, where = layer.fasteners, read(layer.fasteners), named(layer)
    count = written.count if written is not None else None
    plank = compared(at_least, layer.thickness, limits["plank-from"])
    notes = notes_on(layer, Fastener())
    if plank is None:
        asks = ("layer.thickness", "fasteners.count", "fasteners.name")
        return not_measured(where, expected="its nails are enough: boards and planks are nailed differently", asks=asks)
    if fastener.kind == "staple" and not plank:
        long_enough = compared(at_least, fastener.length, limits["board-staple-length"])
        measured, limit = (count, "board-staples") if long_enough else (fastener.length, "board-staple-length")
        return check(where, measured=measured, at_least=limits[limit], assuming=notes, severity=softened(layer))
    answer = nailed(
        limits,
        "plank-nails" if plank else "board-nails",
        where,
        written,
        count,
        field="fasteners.count",
        assuming=notes if plank else ("boards taken as 6 in wide or narrower", *notes),
    )
    return replace(answer, severity=softened(layer))
