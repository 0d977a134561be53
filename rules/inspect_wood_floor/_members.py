"""What rules about joist ends, notches and holes ask of a joist: its sisters and places. No rules, no limits."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from inspect_core.quantities import Dimension, Quantity, at_least, exactly, hull, maximum
from inspect_core.rules_api import Limit, Limits, Named
from inspect_core.site import Area
from inspect_core.site.geometry import JoistEnd, carrier_faces, width_of
from inspect_core.site.model import Condition, Header, Joist, Post, Sister, Support
from inspect_core.site.sections import Section, resolve_section
from inspect_wood_floor._verdicts import all_of, any_of

SURFACES = ("wood", "steel", "masonry", "concrete")
WOOD_KINDS = ("sawn", "plank", "i-joist", "lvl", "glulam", "truss")
ENGINEERED = ("i-joist", "lvl", "glulam", "truss", "steel")
LISTED = 3  # so many members of a group are named, the rest are counted

MASONRY = ("masonry", "concrete")
ON_TOP = ("sill", "wall-plate", "masonry-ledge")  # lines that joists can only sit on
HANGERS = ("hanger", "framing-anchor")
STRIPS = ("ledger-strip", "ribbon", "let-in")

ZERO = exactly(0.0, Dimension.LENGTH)


# --- groups of members ------------------------------------------------------------------------------------------------


def listed(ids: Iterable[str], word: str = "joist") -> str:
    """Names of a group in their natural order: ``joists J1, J2, J3 and 6 more``."""
    ordered = sorted(ids, key=_natural)
    if len(ordered) == 1:
        return f"{word} {ordered[0]}"
    shown = ", ".join(ordered[:LISTED])
    more = len(ordered) - LISTED
    return f"{word}s {shown}" + (f" and {more} more" if more > 0 else "")


@lru_cache(maxsize=16384)
def _natural(name: str) -> tuple[tuple[int, str], ...]:
    parts = re.split(r"(\d+)", name)
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in parts)


def together(members: Sequence[Joist | Support | Header], detail: str) -> Named:
    """One subject for several members about which there is one thing to say."""
    first = members[0]
    word = "joist" if isinstance(first, Joist) else "header" if isinstance(first, Header) else first.line or "support"
    kinds = {member.work for member in members}
    work = next(iter(kinds)) if len(kinds) == 1 else None
    return Named(f"{listed((m.id for m in members), word)}, {detail}", first.path, work)


def by_word(members: Iterable[Joist | Support | Header]) -> list[list[Joist | Support | Header]]:
    """Members of one word together, so that each group can be named: joists, beams, sills, headers."""
    groups: dict[str, list[Joist | Support | Header]] = {}
    for member in members:
        word = (member.line or "support") if isinstance(member, Support) else type(member).__name__
        groups.setdefault(word, []).append(member)
    return list(groups.values())


def numbered(word: str, ids: Iterable[str]) -> list[str]:
    """``hole H1``, ``hole 2``: a name for each entry of a list, each once."""
    names: list[str] = []
    for number, name in enumerate(ids, start=1):
        label = f"{word} {name or number}"
        names.append(label if label not in names else f"{label} (entry {number})")
    return names


# --- what carries an end ----------------------------------------------------------------------------------------------


def surface_of(carrier: Support | Header | None) -> str | None:
    """What a joist touches where it bears: as said, or as the carrier's own material tells."""
    if carrier is None:
        return None
    if isinstance(carrier, Support):
        if carrier.surface is not None:
            return carrier.surface
        if carrier.line == "masonry-ledge":
            return "masonry"
    if carrier.kind in WOOD_KINDS:
        return "wood"
    return "steel" if carrier.kind == "steel" else None


def bearing_limit(limits: Limits, carrier: Support | Header | None) -> Limit:
    """Least bearing on a carrier; a range where its surface is not known."""
    surface = surface_of(carrier)
    # A header is wood or steel, never masonry.
    candidates = SURFACES[:2] if surface is None and isinstance(carrier, Header) else SURFACES
    return limits.between("bearing", surface, candidates)


def on_masonry(support: Support) -> bool | None:
    """Whether a line rests on masonry; ``None`` when nobody said what carries it."""
    return None if support.rests_on is None else support.rests_on in (*MASONRY, "piers")


def carrier_asks(end: JoistEnd) -> tuple[str, ...]:
    """The field that says what an end rests on."""
    return ("joist.to",) if end.which == "far" else ("joist.from",)


def hangs(end: JoistEnd) -> bool:
    """Whether an end hangs instead of sitting on top; where only nails hold it, a bearing that was measured counts."""
    return end.hung is not None and (end.hung.by in (*HANGERS, *STRIPS) or not _sits(end))


def _sits(end: JoistEnd) -> bool:
    return end.bearing is not None and not end.derived and end.bearing.high > 0


def faces_of(carrier: Support | Header | None) -> tuple[Quantity, Quantity] | None:
    """Near and far face on the along tape; ``None`` when either is unknown."""
    if carrier is None or width_of(carrier) is None:
        return None
    return carrier_faces(carrier)


# --- sisters ----------------------------------------------------------------------------------------------------------


def sister_section(sister: Sister) -> Section:
    """Section of one sister."""
    return resolve_section(sister.size, sister.sizes, sister.thickness, sister.depth, None, sister.work)


def sister_names(joist: Joist) -> list[str]:
    """A name for each sister of a joist."""
    return numbered("sister", (s.id for s in joist.sisters or ()))


def sister_extent(area: Area, joist: Joist, sister: Sister) -> tuple[Quantity, Quantity] | None:
    """Where a sister starts and stops on the along tape; ``None`` unless both are known."""
    places = [place_on(area, joist, sister.from_, at) for at in (sister.begins, sister.ends)]
    if places[0] is None or places[1] is None:
        return None
    first, second = sorted((places[0], places[1]), key=lambda q: q.middle)
    return first, second


def sister_bearing(area: Area, end: JoistEnd, sister: Sister) -> Quantity | None:
    """How far a sister bears at a joist's end: as measured, or from where it starts and stops.

    Where it is said to bear on a support that it does not reach it may bear or not.
    """
    support_id = sister_support(area, end, sister)
    if support_id is None:
        return None
    stated = sister.bearing.get(support_id)
    faces = faces_of(area.carriers.get(support_id))
    extent = sister_extent(area, end.joist, sister)
    if faces is None or extent is None or end.which == "over":
        return stated
    raw = faces[1] - extent[0] if end.which == "near" else extent[1] - faces[0]
    if stated is not None:
        short = raw.bounds.high < 0 < stated.low and not sister.full_length
        return Quantity(0.0, stated.high, Dimension.LENGTH, stated.estimate) if short else stated
    width = faces[1] - faces[0]
    low, high = (min(max(x, 0.0), w) for x, w in ((raw.low, width.low), (raw.high, width.high)))
    return Quantity(low, high, Dimension.LENGTH, raw.estimate or width.estimate)


def sister_support(area: Area, end: JoistEnd, sister: Sister) -> str | None:
    """The support that a sister reaches at this end: the joist's own, or one beyond an end that rests on nothing."""
    if not end.on_nothing:
        return end.support_id
    own = {end.joist.from_, end.joist.to, *(end.joist.over or ())}
    beyond = [(faces[0].middle, name) for name in sister.bearing if name not in own and (faces := _place(area, name))]
    known = [faces[0].middle for name in own if name is not None and (faces := _place(area, name))]
    if not known:
        return None
    if end.which == "near":
        return max((b for b in beyond if b[0] < min(known)), default=(0.0, None))[1]
    return min((b for b in beyond if b[0] > max(known)), default=(0.0, None))[1]


def _place(area: Area, name: str) -> tuple[Quantity, Quantity] | None:
    carrier = area.carriers.get(name)
    return carrier_faces(carrier) if carrier is not None else None


def end_bearing(area: Area, end: JoistEnd, limit: Limit) -> tuple[Quantity | None, tuple[str, ...]]:
    """Bearing of a joist's end or of the sister that does its work there, with what was taken for granted.

    A sister counts once somebody has said how it is fastened and how far it bears; until then it may count or not.
    """
    own, notes = own_bearing(end)
    if limit.value is not None and own is not None and at_least(own, limit.value):
        return own, notes
    known: list[Quantity] = [own] if own is not None else []
    all_known = own is not None
    for name, sister in zip(sister_names(end.joist), end.joist.sisters or (), strict=True):
        bearing = sister_bearing(area, end, sister)
        if bearing is None:
            all_known = False
            continue
        if sister.fasteners is None:
            bearing = Quantity(0.0, bearing.high, bearing.dimension, bearing.estimate)
        else:
            notes = (*notes, f"{name} bears in the joist's place, fastened along it")
        known.append(bearing)
    if not known:
        return None, notes
    best = maximum(*known)
    if not all_known and not (limit.value is not None and at_least(best, limit.value)):
        return None, notes  # what nobody measured may bear further
    return best, notes


def own_bearing(end: JoistEnd) -> tuple[Quantity | None, tuple[str, ...]]:
    """A joist's own bearing; over a support that it passes unbroken, the width of that support."""
    if end.bearing is not None:
        return end.bearing, ("worked out from where the wood starts and stops",) if end.derived else ()
    if end.which == "over" and end.support is not None:
        width = width_of(end.support)
        return width, ("it passes over the whole width of the support",) if width is not None else ()
    return None, ()


def ends_by_joist(area: Area) -> dict[str, list[JoistEnd]]:
    """Near and far end of each joist, by its id."""
    found: dict[str, list[JoistEnd]] = {}
    for end in area.joist_ends:
        if end.which != "over":
            found.setdefault(end.joist.id, []).append(end)
    return found


def full_sister(area: Area, ends: Sequence[JoistEnd], limits: Limits) -> tuple[str, bool | None] | None:
    """The sister that could do the work of a joist with these ends, and whether it surely can; ``None``: there is none.

    It runs the whole length, is as deep as the joist, is fastened, and bears far enough at both ends.
    """
    joist = ends[0].joist
    best: tuple[str, bool | None] | None = None
    for name, sister in zip(sister_names(joist), joist.sisters or (), strict=True):
        fastened = True if sister.fasteners is not None else None
        bears = (_sister_bears(area, end, sister, limits) for end in ends)
        sure = all_of((sister.full_length, _as_deep(joist, sister), fastened, *bears))
        if sure:
            return name, True
        if sure is None and best is None:
            best = (name, None)
    return best


def _as_deep(joist: Joist, sister: Sister) -> bool | None:
    depth, other = joist.section.depth, sister_section(sister).depth
    return at_least(other, depth) if depth is not None and other is not None else None


def _sister_bears(area: Area, end: JoistEnd, sister: Sister, limits: Limits) -> bool | None:
    name, bearing = sister_support(area, end, sister), sister_bearing(area, end, sister)
    least = bearing_limit(limits, area.carriers.get(name) if name is not None else None).value
    return at_least(bearing, least) if bearing is not None and least is not None else None


# --- places -----------------------------------------------------------------------------------------------------------


Stretch = tuple[Quantity | None, Quantity | None]  # where something begins and ends on the along tape
Faces = tuple[Quantity, Quantity]  # near and far face on the along tape
TOUCH = 1e-6  # in: things nearer than this only touch


def place_on(area: Area, joist: Joist, from_: str | None, at: Quantity | None) -> Quantity | None:
    """A place on the along tape; ``None`` also where it is measured from a face that nobody knows the place of.

    A guess errs by its share of the distance that was guessed, whatever tape it then lies on.
    """
    return area.place_along(joist, from_, at.bounds if at is not None else None)


def stretch(area: Area, joist: Joist, from_: str | None, at: Quantity | None, length: Quantity | None) -> Stretch:
    """What a notch or cut takes up on the along tape: its near side lies ``at`` from the support, the rest beyond."""
    first = place_on(area, joist, from_, at)
    if first is None:
        return None, None
    if from_ is not None and from_ == joist.to:
        return (first - length if length is not None else None), first
    return first, (first + length if length is not None else None)


def in_middle(faces: Faces | None, part: Stretch, share: Quantity) -> bool | None:
    """Whether a stretch reaches into the middle of a span: what is left when ``share`` is cut off at either end."""
    if faces is None:
        return None
    begins, ends = faces
    clear = ends - begins
    off = Quantity(clear.low * share.low, clear.high * share.high, Dimension.LENGTH, clear.estimate)
    return overlaps(part, (begins + off, ends - off))


def reaches_middle(faces: Sequence[Faces], part: Stretch, share: Quantity) -> bool | None:
    """Whether a stretch reaches into the middle of any of the spans that may hold it; ``None``: none is known."""
    if not faces:
        return None
    return any_of(in_middle(one, part, share) for one in faces)


def span_faces(area: Area, joist: Joist, part: Stretch) -> tuple[Faces, ...]:
    """Faces of the supports on either side of a part of a joist, for each span that may hold some of it."""
    return tuple((span.begins, span.ends) for span in area.spans_at(joist, part))


def overlaps(part: Stretch, whole: tuple[Quantity, Quantity]) -> bool | None:
    """Whether a stretch shares more than a point with another; ``None`` when that isn't decided.

    From an estimate it may follow that they meet, never that they miss one another.
    """
    guessed = any(q is not None and q.estimate for q in (*part, *whole))
    first, last = (q.bounds if q is not None else None for q in part)
    low, high = (q.bounds for q in whole)
    if first is not None and first.low >= high.high - TOUCH:
        return None if guessed else False
    if last is not None and last.high <= low.low + TOUCH:
        return None if guessed else False
    begun = first is not None and first.high < high.low - TOUCH
    reaches = last is not None and last.low > low.high + TOUCH
    if begun and reaches:
        return True
    # Of one known side: what begins inside, or stops inside, has some length there.
    begins_inside = first is not None and first.low >= low.high - TOUCH and first.high < high.low - TOUCH
    stops_inside = last is not None and last.low > low.high + TOUCH and last.high <= high.low + TOUCH
    return True if begins_inside or stops_inside else None


# --- damage -----------------------------------------------------------------------------------------------------------

DAMAGE = ("rot", "insects", "crushed", "burnt", "split", "cracked")
HARMLESS = ("sound", "checked")
SHAPE = ("sagging", "twisted", "leaning", "out-of-plumb")


def damage_at_end(area: Area, end: JoistEnd) -> bool | None:
    """Whether a joist's end is damaged where it bears; ``None`` when nobody looked or the place is not known."""
    if end.joist.condition is None:
        return None
    faces = faces_of(end.support)
    found: list[bool | None] = [False]
    for condition in end.joist.condition:
        if condition.kind in HARMLESS or condition.kind in SHAPE:
            continue
        where = None
        if faces is not None and condition.at is not None:
            where = overlaps(condition_stretch(area, end.joist, condition), faces)
        found.append(where if condition.kind is not None or where is False else None)
    return any_of(found)


def condition_stretch(area: Area, joist: Joist, condition: Condition) -> Stretch:
    """Where damage begins and ends on the along tape. What begins at a support's face takes in the end itself."""
    first, last = stretch(area, joist, condition.from_, condition.at, condition.length)
    faces = faces_of(area.carriers.get(condition.from_)) if condition.from_ is not None else None
    if faces is None or condition.at is None or condition.at.high > TOUCH:
        return first, last
    # Measured from the face: decay that starts there has not stopped at the face of the support.
    return (first, faces[1]) if condition.from_ == joist.to else (faces[0], last)


# --- what beams stand on ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Stand:
    """A post or pier under a beam: its centre and width along the beam, and what the beam touches."""

    at: Quantity | None
    width: Quantity | None
    surface: str | None


def stands_under(area: Area) -> dict[str, list[Stand]]:
    """Posts and piers under each beam, by the beam's id."""
    found: dict[str, list[Stand]] = {}
    for post in area.posts or ():
        if post.under is not None:
            found.setdefault(post.under, []).append(
                Stand(post.at, _post_width(post), _POST_TOPS.get(post.material or ""))
            )
    for pier in area.piers or ():
        if pier.under is not None:
            surface = {None: None, "wood": "wood", "concrete": "concrete"}.get(pier.material, "masonry")
            found.setdefault(pier.under, []).append(Stand(pier.at, pier.width, surface))
    return found


_POST_TOPS = {"wood": "wood", "steel-pipe": "steel", "screw-jack": "steel", "masonry": "masonry"}


def _post_width(post: Post) -> Quantity | None:
    """Either side may run along the beam: nobody says which."""
    section = post.section
    if section.thickness is None or section.depth is None:
        return None
    return hull(section.thickness * section.plies, section.depth)
