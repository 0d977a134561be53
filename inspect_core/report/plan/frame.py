"""The frame of an area as lines: room, supports, joists with what was done to them, openings, fixtures, drains."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from inspect_core.quantities import Quantity
from inspect_core.report.plan.canvas import Box, Canvas, Point, Projection
from inspect_core.site import Area
from inspect_core.site.geometry import LEAST_THICKNESS, carrier_faces, extent_along
from inspect_core.site.model import Blocking, Fixture, Header, Joist, Pair, Partition, Path, Post, Sister, Support

LABEL_GAP = 1.2  # mm
END_ROOM = 6.0  # in beyond the outermost place, so that edges and labels have room


@dataclass(frozen=True, slots=True)
class Drawn:
    """Where each thing stands on the paper, for marks: by its path in the file and by what findings call it."""

    by_path: dict[Path, Point]
    by_name: dict[str, Point]

    def put(self, place: Point, path: Path, *names: str) -> None:
        self.by_path.setdefault(path, place)
        for name in names:
            self.by_name.setdefault(name, place)


def reach_of(area: Area) -> tuple[Point, Point] | None:
    """Least and greatest reading of both tapes among all that has a place; ``None`` where nothing has."""
    across, along = [], []
    for one, other in area.room_corners:
        across.append(one.middle)
        along.append(other.middle)
    for support in area.supports or ():
        along += [face.middle for face in carrier_faces(support) or ()]
        across += _pair(support.across) or ()
    for joist in (*(area.joists or ()), *area.missing_joists):
        if joist.place is not None:
            across.append(joist.place.middle)
            along += extent_along(area, joist) or ()
    if not across or not along:
        return None
    return (min(across) - END_ROOM, min(along) - END_ROOM), (max(across) + END_ROOM, max(along) + END_ROOM)


def draw_frame(area: Area, paper: Canvas, view: Projection) -> Drawn:
    """Draws everything that has a place, from the soil up, and says where it is."""
    drawn = Drawn({}, {})
    _below(area, paper, view, drawn)
    _supports(area, paper, view, drawn)
    _openings(area, paper, view, drawn)
    _joists(area, paper, view, drawn)
    _blocking(area, paper, view, drawn)
    _room(area, paper, view, drawn)
    _fixtures(area, paper, view, drawn)
    _drains(area, paper, view, drawn)
    return drawn


def without_place(area: Area) -> list[str]:
    """Things that the file names without saying where they are."""
    found = [joist.name for joist in area.joists or () if joist.place is None]
    found += [f"{support.line or 'support'} {support.id}" for support in area.supports or () if support.at is None]
    found += [f"{fixture.kind} {fixture.id}" for fixture in area.fixtures or () if _pair(fixture.at) is None]
    found += [f"opening {one.id}" for one in area.openings or () if not (_pair(one.across) and _pair(one.along))]
    found += [f"drain {drain.id}" for drain in area.drains or () if not _route(drain.route)]
    return found


# --- under the joists -------------------------------------------------------------------------------------------------


def _below(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for pier in area.piers or ():
        place = _under(area, pier.under, pier.at, pier.along)
        if place is not None:
            half = _half(pier.width, 12.0), _half(pier.length or pier.width, 12.0)
            box = view.box((place[0] - half[0], place[0] + half[0]), (place[1] - half[1], place[1] + half[1]))
            group = paper.group("of-pier", f"pier {pier.id}")
            group.box(box, "pier")
            _cross(group, box, "thin")
            group.text((box[2] + LABEL_GAP, box[3]), pier.id, "word small")
            drawn.put(view.at(*place), pier.path, f"pier {pier.id}", f"footing {pier.rests_on or ''}")
    for post in area.posts or ():
        place = _under(area, post.under, post.at, None)
        if place is not None:
            half_post = _thickness(post) / 2
            box = view.box((place[0] - half_post, place[0] + half_post), (place[1] - half_post, place[1] + half_post))
            group = paper.group("of-post", f"post {post.id}")
            group.box(box, "post")
            group.text((box[2] + LABEL_GAP, box[3]), post.id, "word small")
            drawn.put(view.at(*place), post.path, f"post {post.id}")


def _under(area: Area, support_id: str | None, at: Quantity | None, along: Quantity | None) -> Point | None:
    """Where a pier or post stands: its place along the beam it is under, at the beam's middle."""
    support = next((s for s in area.supports or () if s.id == support_id), None)
    faces = carrier_faces(support) if support is not None else None
    middle = along.middle if along is not None else None
    if middle is None and faces is not None:
        middle = (faces[0].middle + faces[1].middle) / 2
    return (at.middle, middle) if at is not None and middle is not None else None


def _supports(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for support in area.supports or ():
        faces = carrier_faces(support)
        if faces is None and support.at is not None:
            faces = (support.at, support.at)
        if faces is None:
            continue
        across = _pair(support.across) or (view.least[0] + END_ROOM, view.greatest[0] - END_ROOM)
        box = view.box(across, (faces[0].middle, faces[1].middle))
        group = paper.group("of-support", f"{support.line or 'support'} {support.id}")
        group.box(box, "beam" if support.line == "beam" else "sill")
        for splice in support.splices or ():
            if splice is not None:
                start, end = (view.at(splice.middle, face.middle) for face in faces)
                group.line(start, end, "thick")
        _name_support(group, view, support, box)
        drawn.put(
            ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), support.path, f"{support.line or 'support'} {support.id}"
        )


def _name_support(paper: Canvas, view: Projection, support: Support, box: Box) -> None:
    text = f"{support.line or 'support'} {support.id}"
    if view.with_joists_up:
        paper.text((box[2] + LABEL_GAP, (box[1] + box[3]) / 2 + 0.9), text, "word small")
    else:
        paper.text(((box[0] + box[2]) / 2 + 0.9, box[1] - LABEL_GAP), text, "word small", upright=False)


# --- joists -----------------------------------------------------------------------------------------------------------


def _joists(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for joist in area.missing_joists:
        band = _band(area, joist)
        if band is not None:
            group = paper.group("of-joist", f"joist {joist.id}: missing")
            group.box(view.box(*band), "missing")
            _name_joist(group, view, joist, band)
            drawn.put(_middle(view, band), joist.path, f"joist {joist.id}")
    for joist in area.joists or ():
        band = _band(area, joist)
        if band is None:
            continue
        group = paper.group("of-joist", f"joist {joist.id}")
        group.box(view.box(*band), "joist")
        for sister in joist.sisters or ():
            _sister(area, group, view, joist, sister, band, drawn)
        _cuts(area, group, view, joist, band, drawn)
        _name_joist(group, view, joist, band)
        _enter_joist(area, view, joist, band, drawn)


Band = tuple[tuple[float, float], tuple[float, float]]  # across, along


def _band(area: Area, joist: Joist) -> Band | None:
    along = extent_along(area, joist)
    if joist.place is None or along is None:
        return None
    half = _thickness(joist) / 2
    return (joist.place.middle - half, joist.place.middle + half), along


def _enter_joist(area: Area, view: Projection, joist: Joist, band: Band, drawn: Drawn) -> None:
    drawn.put(_middle(view, band), joist.path, joist.name)
    across = sum(band[0]) / 2
    for end in area.joist_ends:
        if end.joist is not joist:
            continue
        if end.which == "over":
            faces = carrier_faces(end.support) if end.support is not None else None
            along = faces[0].middle if faces is not None else sum(band[1]) / 2
        else:
            along = band[1][0] if end.which == "near" else band[1][1]
        drawn.put(view.at(across, along), (), end.name)


def _name_joist(paper: Canvas, view: Projection, joist: Joist, band: Band) -> None:
    """Its name beyond the near end, read along the joist."""
    x, y = view.at(sum(band[0]) / 2, band[1][0])
    if view.with_joists_up:
        paper.text((x, y + 3.4), joist.id, "word mid")
    else:
        paper.text((x - LABEL_GAP, y + 0.9), joist.id, "word end")


def _sister(
    area: Area, paper: Canvas, view: Projection, joist: Joist, sister: Sister, band: Band, drawn: Drawn
) -> None:
    begins, ends = band[1]
    if sister.full_length is not True:
        edges = [area.place_along(joist, sister.from_, at) for at in (sister.begins, sister.ends)]
        places = sorted(edge.middle for edge in edges if edge is not None)
        if len(places) == 2:
            begins, ends = places
    thick = sister.thickness.middle if sister.thickness is not None else _thickness(joist)
    sides = {"near": (-1,), "far": (1,), "both": (-1, 1)}.get(sister.side or "far", (1,))
    for side in sides:
        face = band[0][0] if side < 0 else band[0][1]
        box = view.box((face, face + side * thick), (begins, ends))
        paper.box(box, "sister")
        drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), sister.path)


def _cuts(area: Area, paper: Canvas, view: Projection, joist: Joist, band: Band, drawn: Drawn) -> None:
    """Holes as rings, notches as wedges, cuts as gaps, rot as a shaded stretch."""
    across = sum(band[0]) / 2
    for hole in joist.holes or ():
        along = area.place_along(joist, hole.from_, hole.at)
        if along is not None:
            centre = view.at(across, along.middle)
            paper.circle(centre, max(0.9, view.size((hole.diameter.middle if hole.diameter else 1.0) / 2)), "hole")
            drawn.put(centre, hole.path)
    for notch in joist.notches or ():
        along = area.place_along(joist, notch.from_ or notch.end_of, notch.at)
        if along is not None:
            x, y = view.at(band[0][1], along.middle)
            paper.path([(x - 1.6, y - 1.1), (x + 0.4, y), (x - 1.6, y + 1.1)], "notch")
            drawn.put((x, y), notch.path)
    for cut in joist.cuts or ():
        along = area.place_along(joist, cut.from_, cut.at)
        if along is not None:
            gap = max(cut.gap.middle if cut.gap is not None else 0.5, 0.5)
            box = view.box((band[0][0] - 0.4, band[0][1] + 0.4), (along.middle, along.middle + gap))
            paper.box(box, "gap")
            paper.line((box[0] - 1, box[1] - 0.6), (box[2] + 1, box[3] + 0.6), "thick")
            drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), cut.path)
    for condition in joist.condition or ():
        along = area.place_along(joist, condition.from_, condition.at)
        if along is not None and condition.length is not None:
            direction = -1 if condition.from_ is not None and condition.from_ == joist.to else 1
            paper.box(view.box(band[0], (along.middle, along.middle + direction * condition.length.middle)), "rot")
            drawn.put(view.at(across, along.middle), condition.path)


def _blocking(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for block in area.blocking or ():
        for across in _bays_of(area, block):
            if block.along is None:
                continue
            box = view.box(across, (block.along.middle - 0.75, block.along.middle + 0.75))
            group = paper.group("of-block", f"blocking {block.id}")
            group.box(box, "block")
            if block.kind == "cross-bridging":
                _cross(group, box, "thin")
            drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), block.path, f"blocking {block.id}")


def _bays_of(area: Area, block: Blocking) -> Iterator[tuple[float, float]]:
    if block.row == "every-bay":
        pairs = list(pairwise(joist for joist in area.joists or () if joist.place is not None))
    else:
        found = [area.joist_by_id.get(name) for name in block.between or ()]
        pairs = [(found[0], found[1])] if len(found) == 2 and found[0] and found[1] else []
    for left, right in pairs:
        if left.place is not None and right.place is not None:
            low, high = sorted((left, right), key=lambda joist: joist.place.middle if joist.place else 0.0)
            assert low.place is not None and high.place is not None
            yield low.place.middle + _thickness(low) / 2, high.place.middle - _thickness(high) / 2


# --- room and what stands in it ---------------------------------------------------------------------------------------


def _openings(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for opening in area.openings or ():
        across, along = _pair(opening.across), _pair(opening.along)
        if across is None or along is None:
            continue
        box = view.box(across, along)
        group = paper.group("of-opening", f"opening {opening.id} ({opening.kind or 'kind unknown'})")
        group.box(box, "opening")
        _cross(group, box, "dash")
        group.text(((box[0] + box[2]) / 2, box[1] + 3.4), f"opening {opening.id}", "word mid small")
        drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), opening.path, f"opening {opening.id}")
        for header in opening.headers or ():
            _header(group, view, header, across, drawn)


def _header(paper: Canvas, view: Projection, header: Header, across: tuple[float, float], drawn: Drawn) -> None:
    faces = carrier_faces(header)
    if faces is None:
        return
    box = view.box(_pair(header.across) or across, (faces[0].middle, faces[1].middle))
    paper.box(box, "joist")
    drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), header.path, f"header {header.id}")


def _room(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    corners = [(across.middle, along.middle) for across, along in area.room_corners]
    if corners:
        paper.group("of-room", "inside of the walls").path([view.at(*corner) for corner in corners], "wall")
    for wall in area.walls:
        middle = [(wall.start[i].middle + wall.end[i].middle) / 2 for i in (0, 1)]
        drawn.put(view.at(middle[0], middle[1]), (), f"floor edge at {wall.name} wall")
    for partition in area.partitions or ():
        _partition(paper, view, partition, drawn)


def _partition(paper: Canvas, view: Projection, partition: Partition, drawn: Drawn) -> None:
    part, at = _pair(partition.part), partition.at
    if at is None or partition.runs is None:
        return
    with_joists = partition.runs == "along-joists"
    ends = part or ((view.least[1], view.greatest[1]) if with_joists else (view.least[0], view.greatest[0]))
    side = (at.middle - 1.75, at.middle + 1.75)
    box = view.box(side, ends) if with_joists else view.box(ends, side)
    group = paper.group("of-partition", f"partition {partition.id}")
    group.box(box, "partition")
    drawn.put(((box[0] + box[2]) / 2, (box[1] + box[3]) / 2), partition.path, f"partition {partition.id}")


def _fixtures(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for fixture in area.fixtures or ():
        place = _pair(fixture.at)
        if place is None:
            continue
        group = paper.group("of-fixture", f"{fixture.kind or 'fixture'} {fixture.id}")
        x, y = view.at(*place)
        name = f"{fixture.kind or 'fixture'} {fixture.id}"
        if fixture.extent is not None:
            half = fixture.extent[0].middle / 2, fixture.extent[1].middle / 2
            box = view.box((place[0] - half[0], place[0] + half[0]), (place[1] - half[1], place[1] + half[1]))
            group.box(box, "fixture")
            group.text(((box[0] + box[2]) / 2, box[3] - 1.4), name, "word mid small halo")
        else:
            group.text((x, y - 2), name, "word mid small halo")
        drawn.put((x, y), fixture.path, name)
        _flange(group, view, fixture, drawn)


def _flange(paper: Canvas, view: Projection, fixture: Fixture, drawn: Drawn) -> None:
    flange = fixture.flange
    place = _pair(flange.at) if flange is not None else None
    if flange is None or place is None:
        return
    centre = view.at(*place)
    across = flange.outside_diameter.middle if flange.outside_diameter is not None else 3.5
    paper.circle(centre, view.size(across / 2), "hole")
    drawn.put(centre, flange.path)


def _drains(area: Area, paper: Canvas, view: Projection, drawn: Drawn) -> None:
    for drain in area.drains or ():
        route = _route(drain.route)
        if len(route) < 2:
            continue
        group = paper.group("of-drain", f"drain {drain.id}")
        points = [view.at(*place) for place in route]
        group.path(points, "drain", closed=False)
        group.circle(points[-1], 1.3, "stack")
        group.text((points[0][0] + LABEL_GAP, points[0][1] - LABEL_GAP), drain.id, "word small halo")
        drawn.put(points[0], drain.path, f"drain {drain.id}")
        for crossing in area.crossings(drain):
            assert crossing.joist.place is not None
            place = view.at(crossing.joist.place.middle, crossing.along.middle)
            group.circle(place, 0.7, "crossing")
            drawn.put(place, (), f"drain {drain.id}, joist {crossing.joist.id}")


# --- small things -----------------------------------------------------------------------------------------------------


def _route(route: tuple[Pair, ...] | None) -> list[Point]:
    places = [_pair(pair) for pair in route or ()]
    return [place for place in places if place is not None] if None not in places else []


def _pair(pair: Pair | None) -> tuple[float, float] | None:
    if pair is None or pair[0] is None or pair[1] is None:
        return None
    return pair[0].middle, pair[1].middle


def _thickness(member: Joist | Post) -> float:
    section = member.section
    return (section.thickness.middle if section.thickness is not None else LEAST_THICKNESS) * section.plies


def _half(size: Quantity | None, otherwise: float) -> float:
    return (size.middle if size is not None else otherwise) / 2


def _middle(view: Projection, band: Band) -> Point:
    return view.at(sum(band[0]) / 2, sum(band[1]) / 2)


def _cross(paper: Canvas, box: Box, name: str) -> None:
    paper.line((box[0], box[1]), (box[2], box[3]), name)
    paper.line((box[0], box[3]), (box[2], box[1]), name)
