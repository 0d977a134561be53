"""Lumber to buy: joists, sisters, beams, sills, headers, posts, blocking, cleats; cut from stock lengths."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from inspect_core.planning.layout import LayerLayout
from inspect_core.planning.layout.data import fact
from inspect_core.planning.takeoff.model import LumberBoard, LumberCuts, LumberPiece
from inspect_core.planning.takeoff.stock import cut
from inspect_core.planning.takeoff.supplies import BOUGHT, Basket, Used, length, slug, supplies
from inspect_core.quantities import Quantity, Size, Units, render
from inspect_core.site import Area, geometry
from inspect_core.site.geometry import Wall
from inspect_core.site.model import Blocking, Edge, Header, Joist, Member, Sister, Support

GROUP = "lumber"
BLOCK = "2x4"  # what blocks and cleats are made of where the file gives no size; said beside each such line
PAST_ROOM = 12.0  # in: a row of blocks over the support just outside the room stands in the room's own bays
METRIC_BLOCK = "45 x 95 mm"


@dataclass(frozen=True, slots=True)
class Wanted:
    """A piece to cut, and what wood it is of."""

    wood: Wood
    piece: LumberPiece


@dataclass(frozen=True, slots=True)
class Wood:
    """Size, species, grade, treatment: pieces alike in these come from the same boards."""

    size: str
    species: str
    grade: str
    treated: bool

    @property
    def name(self) -> str:
        species = self.species.replace("-", " ") if self.species else "species not said"
        words = [self.size, species, self.grade or "grade not said", "treated" if self.treated else ""]
        return ", ".join(word for word in words if word)

    @property
    def code(self) -> str:
        return slug("lumber", self.size, self.species, self.grade, "treated" if self.treated else "")


def pieces(basket: Basket, layouts: Sequence[LayerLayout]) -> list[Wanted]:
    """Every piece of new lumber in an area; what can't be counted goes into the basket."""
    area = basket.area
    found: list[Wanted] = []
    if area.joists is None:
        basket.unknown(GROUP, "joists", "no joists are listed", area.path, "area.joists")
    for joist in area.joists or ():
        found += _joist(basket, joist)
    for support in area.supports or ():
        found += _support(basket, support)
    for opening in area.openings or ():
        for header in opening.headers or ():
            found += _header(basket, header)
    for post in area.posts or ():
        if basket.bought(GROUP, f"post {post.id}", post.work, post.path, "post.work"):
            found += _member(basket, post, f"post {post.id}", post.height, "post.height")
    for block in area.blocking or ():
        found += _blocking(basket, block)
    found += _cleats(basket)
    found += _suggested(basket, layouts)
    return found


def boards(wanted: Sequence[Wanted], units: Units) -> tuple[LumberCuts, ...]:
    """The pieces of all areas cut from stock lengths, one plan for each wood."""
    groups: dict[Wood, list[LumberPiece]] = {}
    for one in wanted:
        groups.setdefault(one.wood, []).append(one.piece)
    stock = [item.value for key, item in supplies().items() if key.startswith(f"stock/{units}/")]
    plans = []
    for wood, members in sorted(groups.items(), key=lambda pair: pair[0].name):
        plan = cut([piece.length for piece in members], stock, fact("kerf"))
        made = tuple(LumberBoard(b.length, tuple(members[i] for i in b.pieces)) for b in plan.boards)
        plans.append((wood, LumberCuts(wood.name, made, plan.total, plan.bound, plan.exact)))
    return tuple(plan for _, plan in plans)


def longest_stock(units: Units) -> float:
    """The longest length that lumber is sold in (in)."""
    return max(item.value for key, item in supplies().items() if key.startswith(f"stock/{units}/"))


def buy(basket: Basket, wanted: Sequence[Wanted], units: Units) -> tuple[LumberCuts, ...]:
    """Lines for the boards of one area, and how they are cut; pieces of no length or longer than any stock are told."""
    longest = longest_stock(units)
    fitting = [one for one in wanted if 0 < one.piece.length <= longest]
    for one in wanted:
        shown = render(length(one.piece.length), units)
        if one.piece.length > longest:
            why = f"{shown} is longer than any stock length: order it, or splice it"
            basket.unknown(GROUP, one.piece.name, why, basket.area.path)
        elif one.piece.length <= 0:
            why = f"its length comes out as {shown}: look at the readings that it is worked out from"
            basket.unknown(GROUP, one.piece.name, why, basket.area.path)
    plans = boards(fitting, units)
    woods = {one.wood.name: one.wood for one in fitting}
    for plan in plans:
        for stock in sorted({board.stock for board in plan.boards}):
            cut_from = [board for board in plan.boards if board.stock == stock]
            used = Used()
            key = next(k for k, v in supplies().items() if k.startswith(f"stock/{units}/") and v.value == stock)
            used(key)
            text = f"{key.rpartition('/')[2]} {'ft' if units == 'in' else 'm'}"
            parts = [piece for board in cut_from for piece in board.pieces]
            basket.add(
                GROUP,
                slug(woods[plan.name].code, text),
                f"{plan.name}, {text}",
                "board",
                length(stock * len(cut_from)),
                stock,
                f"{len(parts)} piece{'s' if len(parts) > 1 else ''}, see the cut list",
                used,
                suggested=all(piece.suggested for piece in parts),
            )
    return plans


# --- wood ------------------------------------------------------------------------------------------------------------


def _size_name(size: Size | None, sizes: str | None, units: Units, thickness: Quantity | None, depth: Quantity | None,
               work: str | None) -> str:  # fmt: skip
    """The name by which the lumber is asked for, "" where nobody knows."""
    if size is not None and thickness is None and depth is None:
        if size.metric:
            return f"{render(size.thickness, 'mm').removesuffix(' mm')} x {render(size.depth, 'mm')}"
        name = f"{size.thickness.middle:g}x{size.depth.middle:g}"
        return f"{name} full size" if sizes == "true-dimension" else name
    thick = thickness if thickness is not None else size.thickness if size is not None else None
    deep = depth if depth is not None else size.depth if size is not None else None
    if thick is None or deep is None:
        return ""
    return f"{render(thick, units)} x {render(deep, units)}"


def _wood(member: Member | Sister, units: Units, treated: bool | None = None) -> Wood:
    name = _size_name(member.size, member.sizes, units, member.thickness, member.depth, member.work)
    return Wood(name, member.species or "", member.grade or "", bool(treated))


def _member(basket: Basket, member: Member, name: str, long: Quantity | None, asks: str) -> Iterator[Wanted]:
    """All plies of one member of known length."""
    wood = _wood(member, basket.units, member.treated)
    kind = asks.partition(".")[0]
    if not wood.size:
        basket.unknown(GROUP, name, "its size is not known", member.path, f"{kind}.size")
    elif long is None:
        basket.unknown(GROUP, name, "its length is not known", member.path, asks)
    else:
        for ply in range(member.section.plies):
            label = f"{name}, ply {ply + 1}" if member.section.plies > 1 else name
            yield Wanted(wood, LumberPiece(basket.area.id, label, long.high))


# --- members ---------------------------------------------------------------------------------------------------------


def _joist(basket: Basket, joist: Joist) -> Iterator[Wanted]:
    name = f"joist {joist.id}"
    new_sisters = [s for s in joist.sisters or () if s.work in BOUGHT]
    if joist.work is None:
        basket.unknown(GROUP, name, "it is not said whether it is new or there already", joist.path, "joist.work")
    elif joist.work == "new":
        yield from _member(basket, joist, name, joist_length(basket.area, joist), "joist.bearing")
    elif joist.work == "altered" and not new_sisters and not any(c.repair is not None for c in joist.cuts or ()):
        why = "it is altered, and nothing that is put in is listed: a sister, a repair, or the joist as new"
        basket.unknown(GROUP, name, why, joist.path, "joist.sisters")
    for sister in joist.sisters or ():
        label = f"sister {sister.id} of {joist.id}" if sister.id else f"sister of {joist.id}"
        if sister.work == "new" or (sister.work is None and joist.work in BOUGHT):
            yield from _sister(basket, joist, sister, label)
        elif sister.work is None:
            why = "it is not said whether it is new or there already"
            basket.unknown(GROUP, label, why, sister.path, "sister.work")
    for one in joist.cuts or ():
        repair = one.repair
        if repair is None or repair.kind not in ("scab", "sister", "plate") or joist.sisters:
            continue  # a sister that is listed by itself is not bought twice
        label = f"{repair.kind} over the cut in {joist.id}"
        if not basket.bought(GROUP, label, one.work or joist.work, one.path, "cut.work"):
            continue
        wood = Wood(_size_name(repair.size, repair.sizes, basket.units, None, None, "new"), "", "", False)
        parts = (repair.past_near, one.gap, repair.past_far)
        if repair.kind == "plate":
            basket.unknown(GROUP, label, "plates are bought by their drawing", one.path)
        elif not wood.size:
            basket.unknown(GROUP, label, "its size is not known", one.path, "cut_repair.size")
        elif repair.bears_at_ends and (whole := joist_length(basket.area, joist)) is not None:
            yield Wanted(wood, LumberPiece(basket.area.id, label, whole.high))
        elif None in parts:
            asks = ("cut_repair.past_near", "cut_repair.past_far", "cut.gap")
            basket.unknown(GROUP, label, "its length is not known", one.path, *asks)
        else:
            yield Wanted(wood, LumberPiece(basket.area.id, label, sum(q.high for q in parts if q is not None)))


def _sister(basket: Basket, joist: Joist, sister: Sister, label: str) -> Iterator[Wanted]:
    wood = _wood(sister, basket.units)
    if sister.full_length:
        long = joist_length(basket.area, joist, sister.bearing)
    elif sister.begins is not None and sister.ends is not None:
        long = abs(sister.ends - sister.begins)
    else:
        long = None
    if not wood.size:
        basket.unknown(GROUP, label, "its size is not known", sister.path, "sister.size")
    elif long is None:
        basket.unknown(GROUP, label, "its length is not known", sister.path, "sister.begins", "sister.ends")
    else:
        for n in range(2 if sister.side == "both" else 1):
            yield Wanted(wood, LumberPiece(basket.area.id, label if n == 0 else f"{label}, other side", long.high))


def joist_length(area: Area, joist: Joist, bearing: object = None) -> Quantity | None:
    """Length of wood from end to end: as measured, or from the supports' faces and the bearing on them."""
    own = bearing if isinstance(bearing, dict) and bearing else joist.bearing
    ends: list[Quantity | None] = []
    for which, placed, carrier_id in (("near", joist.begins, joist.from_), ("far", joist.ends, joist.to)):
        faces = None
        if placed is None and carrier_id is not None and (carrier := area.carriers.get(carrier_id)) is not None:
            faces = geometry.carrier_faces(carrier)
        if placed is not None or faces is None:
            ends.append(placed)
            continue
        on = own.get(carrier_id) if carrier_id is not None and carrier_id not in joist.hung else None
        if on is None and carrier_id not in joist.hung:
            ends.append(None)
        elif which == "near":
            ends.append(faces[1] - on if on is not None else faces[1])
        else:
            ends.append(faces[0] + on if on is not None else faces[0])
    return ends[1] - ends[0] if ends[0] is not None and ends[1] is not None else None


def _support(basket: Basket, support: Support) -> Iterator[Wanted]:
    name = f"{support.line or 'support'} {support.id}"
    if support.line == "wall" or not basket.bought(GROUP, name, support.work, support.path, "support.work"):
        return
    across = support.across
    if across is not None and across[0] is not None and across[1] is not None:
        long: Quantity | None = abs(across[1] - across[0])
    else:
        corners = basket.area.room_corners
        places = [q for q, _ in corners]
        long = max(places, key=lambda q: q.middle) - min(places, key=lambda q: q.middle) if places else None
    splices = [s for s in support.splices or () if s is not None]
    if long is not None and splices and support.section.plies == 1:
        start = across[0] if across is not None and across[0] is not None else long - long
        stops = [start, *sorted(splices, key=lambda q: q.middle), start + long]
        for n, (a, b) in enumerate(pairwise(stops), 1):
            yield from _member(basket, support, f"{name}, part {n}", b - a, "support.across")
        return
    yield from _member(basket, support, name, long, "support.across")


def _header(basket: Basket, header: Header) -> Iterator[Wanted]:
    name = f"header {header.id}"
    if basket.bought(GROUP, name, header.work, header.path, "header.work"):
        across = header.across
        long = abs(across[1] - across[0]) if across and across[0] is not None and across[1] is not None else None
        yield from _member(basket, header, name, long, "header.across")


# --- blocking --------------------------------------------------------------------------------------------------------


def block_lengths(area: Area, block: Blocking) -> list[tuple[str, float]] | None:
    """The blocks of one entry: bay and clear length of each; ``None`` where its place is not known."""
    if block.row == "every-bay":
        if block.along is None:
            return None
        at = block.along.middle
        bays = [b for b in area.bays if b.begins - PAST_ROOM <= at <= b.ends + PAST_ROOM and b.opening is None]
        bays = [bay for bay in bays if not isinstance(bay.left, Wall) and not isinstance(bay.right, Wall)]
    else:
        names = set(block.between or ())
        bays = [bay for bay in area.bays if len(names) == 2 and {j.id for j in bay.joists} == names][:1]
    found = []
    for bay in bays:
        if bay.spacing is None:
            return None
        found.append((bay.name, bay.spacing.high - sum(_half(joist) for joist in bay.joists)))
    return found or None


def _half(joist: Joist) -> float:
    section = joist.section
    thick = section.thickness.low if section.thickness is not None else fact("joist-thickness")
    return thick * section.plies / 2


def _blocking(basket: Basket, block: Blocking) -> Iterator[Wanted]:
    name = f"blocking {block.id}".strip()
    if not basket.bought(GROUP, name, block.work, block.path, "blocking.work"):
        return
    lengths = block_lengths(basket.area, block)
    size = _size_name(block.size, block.sizes, basket.units, None, None, "new")
    if lengths is None:
        basket.unknown(GROUP, name, "which bays it stands in is not known", block.path, "blocking.between",
                       "blocking.row", "blocking.along")  # fmt: skip
    elif block.kind == "cross-bridging":
        basket.unknown(GROUP, name, f"{len(lengths)} pairs of bridging: bought by joist depth and spacing", block.path)
    elif not size:
        basket.unknown(GROUP, name, "its size is not known", block.path, "blocking.size")
    else:
        for bay, long in lengths:
            wood = Wood(size, block.species or "", block.grade or "", False)
            yield Wanted(wood, LumberPiece(basket.area.id, f"{name}, {bay}", long))


def _cleats(basket: Basket) -> Iterator[Wanted]:
    """Cleats along walls; one whose size is not said is taken as the usual, and says so."""
    for edge in basket.area.edges or ():
        name = f"cleat along the {edge.wall} wall"
        if edge.landing != "cleat" or not basket.bought(GROUP, name, edge.work, edge.path, "edge.work"):
            continue
        part = edge.part
        wall = next((wall for wall in basket.area.walls if wall.name == edge.wall), None)
        if part is not None and part[0] is not None and part[1] is not None:
            yield _cleat(basket, edge, name, abs(part[1] - part[0]).high)
        elif wall is not None and wall.parallel is not None:
            yield _cleat(basket, edge, name, (wall.ends - wall.begins).high)
        else:
            basket.unknown(GROUP, name, "its length is not known", edge.path, "edge.part")


def _cleat(basket: Basket, edge: Edge, name: str, long: float) -> Wanted:
    size = _size_name(edge.size, "nominal", basket.units, None, None, edge.work)
    if not size:
        return _block(basket, f"{name} (size taken)", long, False)
    return Wanted(Wood(size, "", "", False), LumberPiece(basket.area.id, name, long))


def _suggested(basket: Basket, layouts: Sequence[LayerLayout]) -> Iterator[Wanted]:
    """Blocks under panel edges that have nothing under them: the layout asks for them, the file has none."""
    for layout in layouts:
        for edge in layout.unsupported:
            yield _block(basket, f"under {layout.layer}, {edge.where}", edge.length, True)


def _block(basket: Basket, name: str, long: float, suggested: bool) -> Wanted:
    size = BLOCK if basket.units == "in" else METRIC_BLOCK
    return Wanted(Wood(size, "", "", False), LumberPiece(basket.area.id, name, long, suggested))
