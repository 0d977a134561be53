"""The take-off as text in 80 columns: what to buy, how to cut it, where each sheet goes, what can't be counted yet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from inspect_core.planning.layout import LayerLayout, Piece, Unsupported
from inspect_core.planning.takeoff import Cost, Item, TakeOff
from inspect_core.planning.takeoff.prices import Prices, costs, near_codes, total_of
from inspect_core.quantities import Dimension, Units, exactly, render
from inspect_core.report.layout import counted, wrapped
from inspect_core.rules_api import Caution
from inspect_core.site import Site

SHOWN_WHERE = 12  # places of one kind that are listed before the rest is summed up
COUNTED = ("board", "sheet", "box", "bag", "roll", "tube")
CAUTIONS = {
    "lumber": ("old-floor-layers",),
    "panels": ("floor-hole", "hidden-services"),
    "backer board": ("tile-dust",),
    "tile": ("tile-dust",),
    "mortar": ("tile-dust",),
    "adhesive": ("adhesive-fumes",),
    "ground cover": ("crawl-space",),
    "masonry": ("temporary-shoring", "tile-dust"),
    "concrete": ("temporary-shoring",),
}


@dataclass(frozen=True, slots=True)
class Priced:
    """A take-off, its site, and the prices if there are any."""

    site: Site
    found: TakeOff
    prices: Prices | None
    cautions: dict[str, Caution]

    @property
    def costs(self) -> tuple[Cost, ...]:
        if self.prices is None:
            return tuple(Cost(item, None, None) for item in self.found.items)
        return costs(self.found.items, self.prices)

    @property
    def total(self) -> float | None:
        return None if self.prices is None else total_of(self.costs)

    @property
    def missing(self) -> tuple[Item, ...]:
        """Lines without a price."""
        return tuple(cost.item for cost in self.costs if cost.total is None)

    @property
    def complete(self) -> bool:
        """Everything is counted and has its price."""
        return self.prices is not None and not self.missing and not self.found.not_counted

    @property
    def care(self) -> tuple[Caution, ...]:
        """Cautions that go with the work, as the packs in force word them."""
        groups = [item.group for item in self.found.items]
        keys = dict.fromkeys(key for group in groups for key in CAUTIONS.get(group, ()))
        if any("treated" in item.name.split(", ") for item in self.found.items if item.group == "lumber"):
            keys["treated-dust"] = None
        return tuple(self.cautions[key] for key in keys if key in self.cautions)


def inches(value: float, units: Units) -> str:
    """A length for the tape."""
    return render(exactly(value, Dimension.LENGTH), units, hair=False)


def takeoff_text(priced: Priced) -> str:
    """Everything, in 80 columns."""
    return "\n".join(_lines(priced)) + "\n"


def _lines(priced: Priced) -> Iterator[str]:
    found, units = priced.found, priced.site.units
    yield from wrapped(f"Take-off: {priced.site.name}")
    yield from wrapped("What the new and altered work needs. A list to check on the floor before anything is cut.")
    if not found.items and not found.not_counted:
        yield ""
        yield "Nothing to buy: no new or altered work is listed."
    several = len(found.areas) > 1
    for area in found.areas:
        here = [cost for cost in priced.costs if cost.item.area == area]
        if here:
            yield ""
            yield from wrapped(f"To buy{f' for {area}' if several else ''}")
            yield from _to_buy(here, priced.prices)
    if priced.prices is not None:
        yield ""
        yield from _sum(priced, priced.prices)
    if found.not_counted:
        yield ""
        yield "Can't be counted yet"
        for one in found.not_counted:
            where = f" in {one.area}" if several else ""
            asks = f" (write {', '.join(one.asks)})" if one.asks else ""
            yield from wrapped(f"- {one.group}: {one.name}{where}: {one.why}{asks}", "  ", "    ")
    if found.lumber:
        yield ""
        yield from cut_list(found, units)
    for layout in found.layouts:
        yield ""
        yield from _layout(layout, units)
    care = [caution.text for caution in priced.care]
    if care:
        yield ""
        yield "Take care"
        for text in care:
            yield from wrapped(f"- {' '.join(text.split())}", "  ", "    ")
    for note in found.notes:
        yield ""
        yield from wrapped(f"Note: {note}.")


def _to_buy(here: Sequence[Cost], prices: Prices | None) -> Iterator[str]:
    for group, lines in groupby(here, key=lambda cost: cost.item.group):
        yield from wrapped(group, "  ")
        for cost in lines:
            item = cost.item
            more = " (the layout needs it, the file does not list it)" if item.suggested else ""
            yield from wrapped(f"{item.buy} {units_word(item)}: {item.name}{more}", "    ", "      ")
            yield from wrapped(item.how, "      ", "      ")
            if prices is not None and cost.total is not None:
                yield from wrapped(f"{item.buy} at {cost.each:.2f} = {cost.total:.2f}", "      ", "      ")


def units_word(item: Item) -> str:
    """The unit, in the plural where it has one: `2 boxes of 100`, `3 lb`."""
    word, of, rest = item.unit.partition(" of ")
    if item.buy != 1 and word in COUNTED:
        word += "es" if word.endswith("x") else "s"
    return word + of + rest


def _sum(priced: Priced, prices: Prices) -> Iterator[str]:
    total = f"Total {priced.total:.2f}{' ' + prices.currency if prices.currency else ''}"
    if priced.complete:
        yield from wrapped(total)
        return
    left = []
    if priced.missing:
        left.append(f"{counted(len(priced.missing), 'line')} without a price")
    if priced.found.not_counted:
        left.append(f"{counted(len(priced.found.not_counted), 'thing')} not counted yet")
    yield from wrapped(f"{total}, incomplete: {' and '.join(left)}")
    for item in priced.missing:
        near = near_codes(item.code, prices)
        hint = f" (the price file has {near})" if near else ""
        yield from wrapped(f"- no price for {item.code}{hint}", "  ", "    ")


# --- cutting ---------------------------------------------------------------------------------------------------------


def cut_list(found: TakeOff, units: Units) -> Iterator[str]:
    """Which pieces to cut from which stock length, board by board."""
    yield "Cutting the lumber"
    for plan in found.lumber:
        total, bound = inches(plan.total, units), inches(plan.bound, units)
        proof = "the least there is" if plan.exact else f"the best found; nothing does with less than {bound}"
        yield from wrapped(f"{plan.name}: {total} bought, {proof}", "  ", "    ")
        for board in plan.boards:
            parts = []
            for (name, long), same in groupby(board.pieces, key=lambda piece: (_where(piece.name), piece.length)):
                alike = len(list(same))
                parts.append(f"{f'{alike} x ' if alike > 1 else ''}{inches(long, units)} ({name})")
            yield from wrapped(f"{inches(board.stock, units)}: {', '.join(parts)}", "    ", "      ")


def _where(name: str) -> str:
    """What a piece is for, without the bay, so that blocks alike are listed once."""
    return name.partition(", bay ")[0]


# --- panels ----------------------------------------------------------------------------------------------------------


def _layout(layout: LayerLayout, units: Units) -> Iterator[str]:
    kind = "Backer board" if layout.kind == "backer" else "Panels"
    yield from wrapped(f"{kind} {layout.layer}{f' on {layout.lies_on}' if layout.lies_on else ''}")
    sheet = f"{inches(layout.sheet[1], units)} by {inches(layout.sheet[0], units)}"
    cover = "" if layout.cover == layout.sheet[1] else f", covering {inches(layout.cover, units)} in width"
    yield from wrapped(f"{counted(layout.sheets, 'sheet')} of {sheet}{cover}; {_bound(layout)}", "  ", "  ")
    turned = "; long sides along the tape along the joists" if layout.turned else "; long sides across the joists"
    if layout.lies_on != "joists" and not layout.turned:
        turned = "; long sides along the tape across the joists"
    yield from wrapped(
        f"{counted(layout.cuts, 'cut')}, {round(100 * layout.waste)} % waste, narrowest piece "
        f"{inches(layout.narrowest, units)}; gaps {inches(layout.gap, units)}, at walls "
        f"{inches(layout.wall_gap, units)}{turned}",
        "  ",
        "  ",
    )
    for piece in layout.pieces:
        yield from _piece(piece, units)
    yield from _joints(layout, units)
    if layout.unsupported:
        yield from wrapped("Nothing known under these edges; put blocking or a cleat there:", "  ", "  ")
        for place, same in groupby(layout.unsupported, key=lambda edge: _edge_place(edge, units)):
            named = [f"{edge.where.rpartition(', ')[2]} {inches(edge.length, units)}" for edge in same]
            yield from wrapped(f"{place}: {', '.join(named)}", "    ", "      ")
    if layout.offcuts:
        left = [f"{inches(o.width, units)} by {inches(o.length, units)} of sheet {o.sheet}" for o in layout.offcuts]
        yield from wrapped(f"Left over: {_listed(left)}", "  ", "    ")
    for note in layout.notes:
        yield from wrapped(f"Note: {note}.", "  ", "    ")


def _edge_place(edge: Unsupported, units: Units) -> str:
    """Which edge it is, and its place on the tape square to it."""
    level = abs(edge.start[1] - edge.end[1]) < abs(edge.start[0] - edge.end[0])
    at = f"{inches(edge.start[1], units)} along" if level else f"{inches(edge.start[0], units)} across"
    if edge.kind == "wall":
        return f"{edge.where.partition(', ')[0]}, {at}"
    return f"long joint at {at}" if edge.kind == "edge" else f"end joint at {at}"


def _bound(layout: LayerLayout) -> str:
    more = layout.sheets - layout.bound
    if not more:
        return "the floor's area alone asks for as many"
    text = f"the floor's area alone asks for {layout.bound}"
    if layout.proven:
        return f"{text}; none of the {layout.tried} layouts tried does with fewer than {layout.sheets}, however cut"
    return f"{text}; {layout.sheets} is the best of {layout.tried} layouts tried"


def _piece(piece: Piece, units: Units) -> Iterator[str]:
    size = "whole sheet" if piece.whole else f"{inches(piece.width, units)} by {inches(piece.length, units)}"
    shape = "" if piece.square else ", cut to the room's shape"
    flags = f", {', '.join(piece.flags)}" if piece.flags else ""
    yield from wrapped(f"{piece.number}. row {piece.row}, sheet {piece.sheet}: {size}{shape}{flags}", "    ", "       ")
    across, along = (f"{inches(a, units)} to {inches(b, units)}" for a, b in (piece.across, piece.along))
    yield from wrapped(f"across {across}; along {along}", "       ", "       ")
    for cut_out in piece.cut_outs:
        place = f"at {inches(cut_out.centre[0], units)} across, {inches(cut_out.centre[1], units)} along"
        if cut_out.size is not None:
            size = f"{inches(cut_out.size[0], units)} by {inches(cut_out.size[1], units)}"
        elif cut_out.diameter is not None:
            size = f"{inches(cut_out.diameter, units)} round"
        else:
            size = "size of the pipe not known"
        yield from wrapped(f"cut out {cut_out.kind} {cut_out.name} {place}: {size}", "       ", "       ")


def _joints(layout: LayerLayout, units: Units) -> Iterator[str]:
    ends = [joint for joint in layout.joints if joint.kind == "end"]
    if not ends:
        return
    axis = 1 if layout.turned else 0
    places = [f"{inches(j.start[axis], units)}{f' on {j.lands_on}' if j.lands_on else ''}" for j in ends]
    yield from wrapped(f"End joints: {_listed(places)}", "  ", "    ")


def _listed(texts: Iterable[str]) -> str:
    """Texts one after another; those that come several times once, with their number."""
    counted: dict[str, int] = {}
    for text in texts:
        counted[text] = counted.get(text, 0) + 1
    named = [f"{n} x {text}" if n > 1 else text for text, n in counted.items()]
    shown = named[:SHOWN_WHERE]
    left = len(named) - len(shown)
    return ", ".join(shown) + (f", and {left} more" if left else "")
