"""What a schema cannot see: names that nobody has, things listed twice, places outside the room, wrong sums."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from inspect_core.quantities import Quantity, is_unknown, render
from inspect_core.quantities.dates import day
from inspect_core.site import geometry
from inspect_core.site.area import Area, Site
from inspect_core.site.build import Report
from inspect_core.site.model import Condition, Cut, Hole, Joist, Notch, Pair, Part, Path, Sister

OUTSIDE = 12.0  # in: how far outside the room's outline a place may be before it is taken for a slip of the tape
MOST_LISTED = 12
ADD_UP = 0.25  # in: how far hole, wood above and wood below may miss the joist's depth


def check_references(site: Site, report: Report) -> None:
    """Tell ``report`` everything in the site that does not fit together."""
    _unique(((a.id, a.path) for a in site.areas), "area", report)
    _unique(((d.id, d.path) for d in site.documents or ()), "document", report)
    _unique(((e.id, e.path) for e in site.evidence or ()), "evidence", report)
    built = site.house.built
    if isinstance(built, str) and not is_unknown(built):
        report((*site.house.path, "built"), "no-year", f"'{built}' is no year", "a year, or unknown", "built: 1894")
    for path, text in _dates(site):
        if text is not None and not is_unknown(text) and day(text) is None:
            report(path, "no-date", f"'{text}' is no date", "year-month-day, or unknown", f"{path[-1]}: 2026-04-02")
    area_ids = [a.id for a in site.areas]
    for area in site.areas:
        _check_area(site, area, report)
        space = area.crawl_space
        if space is not None and space.same_as is not None:
            _known(space.same_as, area_ids, "area", (*space.path, "same_as"), report)


def _unique(named: Iterable[tuple[str, Path]], what: str, report: Report) -> None:
    seen: set[str] = set()
    for name, path in named:
        if name and name in seen:
            report(
                path,
                "twice",
                f"{what} {name} is listed twice",
                f"each {what} once, with a name of its own",
                f"id: {name}-2",
            )
        seen.add(name)


def _dates(site: Site) -> Iterator[tuple[Path, str | None]]:
    """Every date of the file, with its place."""
    house, place = site.house, site.place
    yield (*house.path, "date"), house.date
    yield (*house.path, "work_starts"), house.work_starts
    if place is not None:
        yield (*place.path, "permit_date"), place.permit_date
    yield from (((*paper.path, "date"), paper.date) for paper in site.documents or ())
    yield from (((*one.path, "date"), one.date) for one in site.evidence or ())
    for area in site.areas:
        space = area.crawl_space
        for air in (space.air, space.outdoor_air, space.indoor_air) if space is not None else ():
            if air is not None:
                yield (*air.path, "date"), air.date


def _known(name: str, names: Sequence[str], what: str, path: Path, report: Report) -> None:
    if name in names:
        return
    import difflib  # only for a name that is wrong

    near = difflib.get_close_matches(name, names, 1)
    hint = f"; did you mean {near[0]}?" if near else ""
    left = len(names) - MOST_LISTED
    more = f", … ({left} more)" if left > 0 else ""
    listed = f"one of: {', '.join(names[:MOST_LISTED])}{more}" if names else f"no {what} is listed in this file"
    report(
        path,
        "no-such-" + what.replace(" ", "-"),
        f"there is no {what} {name}{hint}",
        listed,
        _pasted(path[-1], name, names),
    )


def _pasted(key: str | int, wrong: str, names: Sequence[str]) -> str:
    """The first of the names as it may stand there: after its key, or by itself where it is a key or in a list."""
    if not names or isinstance(key, int) or key == wrong:
        return names[0] if names else ""
    return f"{key}: {names[0]}"


def _check_area(site: Site, area: Area, report: Report) -> None:
    lists = _lists(area)
    for what, parts in lists.items():
        _unique(((getattr(p, "id", ""), p.path) for p in parts), what, report)
    joists = (*(area.joists or ()), *area.missing_joists)
    _unique(((j.id, j.path) for j in joists), "joist", report)
    carriers = list(area.carriers)
    for joist in joists:
        _check_joist(area, joist, carriers, report)
    _same_place(area, report)
    for name, names, what, path in (*_named_joists(area, joists), *_named_parts(area)):
        _known(name, names, what, path, report)
    for pair, path in _pairs(area):
        _ordered(area, pair, path, report)
    evidence = [e.id for e in site.evidence or ()]
    for part in (*joists, *(p for parts in lists.values() for p in parts), *_within(area, joists)):
        for i, name in enumerate(getattr(part, "evidence", None) or ()):
            _known(name, evidence, "evidence", (*part.path, "evidence", i), report)
    _check_room(area, report)


def _lists(area: Area) -> dict[str, Sequence[Part]]:
    """What an area lists beside its joists, by what one of it is called."""
    return {
        "support": area.supports or (),
        "opening": area.openings or (),
        "blocking": area.blocking or (),
        "layer": area.layers or (),
        "threshold": area.thresholds or (),
        "fixture": area.fixtures or (),
        "drain": area.drains or (),
        "water pipe": area.water_pipes or (),
        "wet area": area.wet_areas or (),
        "partition": area.partitions or (),
        "post": area.posts or (),
        "pier": area.piers or (),
        "footing": area.footings or (),
        "header": [h for o in area.openings or () for h in o.headers or ()],
    }


_Named = tuple[str, Sequence[str], str, Path]
"""A name that the file uses, those that it may be, what it should be the name of, and its place."""


def _named_joists(area: Area, joists: Sequence[Joist]) -> Iterator[_Named]:
    ids = [j.id for j in joists]
    for key, parts in (
        ("trimmers", area.openings),
        ("between", area.blocking),
        ("joists_under", area.partitions),
    ):
        for part in parts or ():
            for i, name in enumerate(getattr(part, key) or ()):
                yield name, ids, "joist", (*part.path, key, i)


def _named_parts(area: Area) -> Iterator[_Named]:
    fixtures = [f.id for f in area.fixtures or ()]
    supports = [s.id for s in area.supports or ()]
    footings = [f.id for f in area.footings or ()]
    for drain in area.drains or ():
        for i, name in enumerate(drain.serves or ()):
            yield name, fixtures, "fixture", (*drain.path, "serves", i)
    for wet in area.wet_areas or ():
        if wet.fixture is not None:
            yield wet.fixture, fixtures, "fixture", (*wet.path, "fixture")
    for post in area.posts or ():
        if post.under is not None:
            yield post.under, supports, "support", (*post.path, "under")
        if post.rests_on is not None:
            below = [*(p.id for p in area.piers or ()), *footings]
            yield post.rests_on, below, "pier or footing", (*post.path, "rests_on")
    for pier in area.piers or ():
        if pier.under is not None:
            above = [*supports, *(p.id for p in area.posts or ())]
            yield pier.under, above, "support", (*pier.path, "under")
        if pier.rests_on is not None:
            yield pier.rests_on, footings, "footing", (*pier.path, "rests_on")
    walls = [w.name for w in area.walls]
    for edge in area.edges or ():
        if walls and edge.wall is not None:
            yield edge.wall, walls, "wall", (*edge.path, "wall")


def _pairs(area: Area) -> Iterator[tuple[Pair | None, Path]]:
    """Two readings of which the first is the smaller, with their place."""
    for opening in area.openings or ():
        yield opening.across, (*opening.path, "across")
        yield opening.along, (*opening.path, "along")
        for header in opening.headers or ():
            yield header.across, (*header.path, "across")
    for partition in area.partitions or ():
        yield partition.part, (*partition.path, "part")
    for support in area.supports or ():
        yield support.across, (*support.path, "across")


def _within(area: Area, joists: Iterable[Joist]) -> Iterator[Part]:
    """Parts of other parts that may name evidence too."""
    for joist in joists:
        yield from joist.sisters or ()
        yield from joist.hung.values()
        yield from joist.joints.values()
        for parts in (joist.holes, joist.notches, joist.condition):
            yield from parts or ()
        for cut in joist.cuts or ():
            yield cut
            if cut.repair is not None:
                yield cut.repair
    for wet in area.wet_areas or ():
        yield from (part for part in (wet.liner, wet.flood_test) if part is not None)
    yield from (fixture.flange for fixture in area.fixtures or () if fixture.flange is not None)
    space = area.crawl_space
    if space is not None:
        yield space
        if space.ground_cover is not None:
            yield space.ground_cover
    yield from area.edges or ()


def _check_joist(area: Area, joist: Joist, carriers: list[str], report: Report) -> None:
    def known(name: str, path: Path) -> None:
        _known(name, carriers, "support", path, report)

    for key, name in (("from", joist.from_), ("to", joist.to)):
        if name is not None and name != geometry.NOTHING:
            known(name, joist.key_path(key))
    for i, name in enumerate(joist.over or ()):
        known(name, (*joist.key_path("over"), i))
    for key, mapping in (
        ("bearing", joist.bearing),
        ("hung", joist.hung),
        ("joints", joist.joints),
        ("restraint", joist.restraint),
    ):
        for name in mapping:
            known(name, (*joist.key_path(key), name))
    if joist.from_ is not None and joist.from_ == joist.to and joist.from_ != geometry.NOTHING:
        report(
            joist.key_path("to"),
            "same-support",
            f"joist {joist.id} goes from {joist.to} to itself",
            "two different supports",
            "to: B1",
        )
    placed: list[Hole | Notch | Cut | Condition | Sister] = [
        *(joist.holes or ()),
        *(joist.notches or ()),
        *(joist.cuts or ()),
        *(joist.condition or ()),
        *(joist.sisters or ()),
    ]
    for part in placed:
        if part.from_ is not None:
            known(part.from_, (*part.path, "from"))
        if isinstance(part, Notch) and part.end_of is not None:
            known(part.end_of, (*part.path, "end_of"))
        if isinstance(part, Hole | Notch | Cut):
            _on_the_joist(area, joist, part, report)
    for hole in joist.holes or ():
        _adds_up(area, joist, hole, report)


def _on_the_joist(area: Area, joist: Joist, part: Hole | Notch | Cut, report: Report) -> None:
    if isinstance(part, Notch) and part.end_of is not None:
        return
    place = area.place_along(joist, part.from_, part.at)
    extent = geometry.extent_along(area, joist)
    carriers = [area.carriers.get(i) for i in geometry.carrier_ids(joist)]
    known = all(carrier is not None and geometry.carrier_faces(carrier) is not None for carrier in carriers)
    if place is None or extent is None or not carriers or not known:
        return
    if place.high < extent[0] - OUTSIDE or place.low > extent[1] + OUTSIDE:
        report(
            (*part.path, "at"),
            "off-the-joist",
            f"this lies at {render(place, area.units)} on the along tape, where joist {joist.id} does not reach",
            "a place on the joist; feet and inches mixed up?",
            "at: 2' 3\"" if area.units == "in" else "at: 700",
        )


def _adds_up(area: Area, joist: Joist, hole: Hole, report: Report) -> None:
    depth = joist.section.depth
    if None in (depth, hole.diameter, hole.wood_above, hole.wood_below):
        return
    assert depth and hole.diameter and hole.wood_above and hole.wood_below
    total = hole.diameter + hole.wood_above + hole.wood_below
    if total.low > depth.high + ADD_UP or total.high < depth.low - ADD_UP:
        report(
            hole.path,
            "does-not-add-up",
            f"hole and the wood above and below make {render(total, area.units)}, "
            f"the joist is {render(depth, area.units)} deep",
            "a hole and wood that add up to the joist's depth; leave out what you did not measure",
            "{diameter: 2, wood_above: 2 1/4}" if area.units == "in" else "{diameter: 50, wood_above: 60}",
        )


def _same_place(area: Area, report: Report) -> None:
    placed = sorted(
        (j for j in area.joists or () if j.place is not None), key=lambda j: j.place.middle if j.place else 0.0
    )
    for first, second in pairwise(placed):
        assert first.place is not None and second.place is not None
        a, b = geometry.extent_along(area, first), geometry.extent_along(area, second)
        overlap = a is None or b is None or min(a[1], b[1]) - max(a[0], b[0]) > OUTSIDE
        if overlap and second.place.middle - first.place.middle < geometry.SIDE_BY_SIDE / 2:
            report(
                second.path,
                "same-place",
                f"joists {first.id} and {second.id} lie at the same place, {render(second.place, area.units)}",
                "each joist once; a second piece beside a joist goes under its `sisters`",
                f"sisters: [{{size: {'2x8' if area.units == 'in' else '45 x 195 mm'}, full_length: true}}]",
            )


def _ordered(area: Area, pair: Pair | None, path: Path, report: Report) -> None:
    if pair and pair[0] is not None and pair[1] is not None and pair[0].low > pair[1].high:
        report(
            path,
            "reversed",
            "the second reading is smaller than the first",
            "from and to, the smaller first",
            "[40, 64]" if area.units == "in" else "[1000, 1600]",
        )


def _check_room(area: Area, report: Report) -> None:
    corners = [(a.middle, b.middle) for a, b in area.room_corners]
    if not corners:
        return
    if abs(geometry._signed_area(corners)) < 1.0:
        report(
            (*area.path, "corners"),
            "flat-room",
            "these corners enclose no floor",
            "corners in order round the room",
            "[[0, 0], [9 ft, 0], [9 ft, 7 ft], [0, 7 ft]]"
            if area.units == "in"
            else "[[0, 0], [2700, 0], [2700, 2100], [0, 2100]]",
        )
        return

    def near_room(across: Quantity | None, along: Quantity | None, what: str, path: Path) -> None:
        if across is None or along is None:
            return
        low_a, high_a = min(c[0] for c in corners), max(c[0] for c in corners)
        low_l, high_l = min(c[1] for c in corners), max(c[1] for c in corners)
        if not (
            low_a - OUTSIDE <= across.middle <= high_a + OUTSIDE and low_l - OUTSIDE <= along.middle <= high_l + OUTSIDE
        ):
            report(
                path,
                "outside-the-room",
                f"{what} lies outside the room",
                "a place as [across, along] on this area's tapes",
                "at: [30 in, 12 1/2 in]" if area.units == "in" else "at: [750, 300]",
            )

    for fixture in area.fixtures or ():
        if fixture.at is not None:
            near_room(*fixture.at, f"fixture {fixture.id}", (*fixture.path, "at"))
        if fixture.flange is not None and fixture.flange.at is not None:
            near_room(*fixture.flange.at, f"the flange of {fixture.id}", (*fixture.flange.path, "at"))
    for opening in area.openings or ():
        if opening.across is not None and opening.along is not None:
            near_room(opening.across[0], opening.along[0], f"opening {opening.id}", opening.path)
    low, high = min(c[0] for c in corners), max(c[0] for c in corners)
    for joist in (*(area.joists or ()), *area.missing_joists):
        if joist.place is not None and not low - OUTSIDE <= joist.place.middle <= high + OUTSIDE:
            report(
                joist.path,
                "outside-the-room",
                f"joist {joist.id} lies at {render(joist.place, area.units)}, outside the room",
                "joists under this area only; feet and inches mixed up?",
                f"at: {'every 16 from 0 to 112' if area.units == 'in' else 'every 400 from 0 to 2800'}",
            )
