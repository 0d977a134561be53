"""Joists under partitions that run with them, and doubled joists spread apart for pipes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from inspect_core.quantities import Dimension, Quantity, at_most, exactly, maximum
from inspect_core.rules_api import ADVISORY, CORRECTION, Check, Limits, check, does_not_apply, named, not_measured, rule
from inspect_core.site import Area
from inspect_core.site.geometry import SIDE_BY_SIDE
from inspect_core.site.model import Blocking, Joist, Partition
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._verdicts import Verdict, all_of, any_of


def _along(area: Area, judge: Callable[[Partition], Check]) -> Iterator[Check]:
    """``judge`` for each partition that runs with the joists."""
    yield from listed_parts(area, "partitions", "partitions")
    for wall in area.partitions or ():
        if wall.runs is None:
            yield not_measured(named(wall), because="not said which way it runs", asks=("partition.runs",))
        elif wall.runs != "along-joists":
            yield does_not_apply(named(wall), "it runs across the joists; see bearing-partition-offset")
        elif wall.joists_under is None:
            yield not_measured(named(wall), because="not said what is under it", asks=("partition.joists_under",))
        else:
            yield judge(wall)


@rule(
    "partition-joists",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.partitions",
    quantity="joists under the partition",
    limits=["partition-joists"],
    measures=["partition.joists_under", "partition.runs", "partition.bearing", "joist.sisters"],
    provisions=["joist-under-parallel-bearing", "nonbearing-parallel-double"],
    cautions=["temporary-shoring", "structural-design"],
    remedy="Put a second joist of the same size beside the first, bearing at both ends, and nail the two together.",
)
def partition_joists(area: Area, limits: Limits) -> Iterator[Check]:
    """A bearing partition that runs with the joists has two of them under it.

    The code asks that the joist is sized for the wall; doubling it is the usual way, and joist-bending works it out. A
    partition that carries nothing may stand on blocking, unless the place asks for two joists as well.
    """

    def judge(wall: Partition) -> Check:
        least = limits.between("partition-joists", None if wall.bearing is None else _key(wall), ("bearing", "other"))
        if least.value is not None and least.value.high <= 0:
            return does_not_apply(named(wall), "it carries nothing: blocking may carry it to the joists beside it")
        count = _count(area, wall)
        asks = ("partition.bearing",) if wall.bearing is None else ("joist.sisters",)
        return check(named(wall), measured=count, at_least=least, asks=asks)

    yield from _along(area, judge)


def _key(wall: Partition) -> str:
    return "bearing" if wall.bearing else "other"


def _count(area: Area, wall: Partition) -> Quantity | None:
    """Joists under a wall, each ply and full-length sister counted; a range where sisters are not described."""
    low = high = 0
    for name in wall.joists_under or ():
        joist = area.joist_by_id.get(name)
        if joist is None:  # listed as missing
            continue
        own = joist.section.plies
        low, high = low + own, high + own
        if joist.sisters is None:
            high += 1
        for sister in joist.sisters or ():
            low, high = low + (sister.full_length is True), high + (sister.full_length is not False)
    return Quantity(low, high, Dimension.COUNT)


@rule(
    "double-joist-blocks",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.partitions",
    quantity="distance between blocks of the pair",
    limits=["double-joist-blocks"],
    measures=["partition.joists_under", "area.blocking", "blocking.between", "blocking.along", "blocking.full_depth"],
    provisions=["double-joist-separated"],
    cautions=["crawl-space"],
    remedy="Nail full-depth 2x blocks between the two joists, 4 ft apart at most, clear of the pipe.",
)
def double_joist_blocks(area: Area, limits: Limits) -> Iterator[Check]:
    """Two joists under a partition that are spread apart for pipes have full-depth blocks every 4 ft between them.

    Without blocks the wall presses on one of them at a time.
    """

    def judge(wall: Partition) -> Check:
        pair = [joist for name in wall.joists_under or () if (joist := area.joist_by_id.get(name)) is not None]
        if len(pair) < 2:
            return does_not_apply(named(wall), "no pair of joists under it")
        apart = _apart(pair)
        if apart is False:
            return does_not_apply(named(wall), "the joists under it touch each other")
        if apart is None:
            return not_measured(named(wall), expected="known how far apart they are", asks=("joist.at", "joist.size"))
        return _blocks(area, wall, pair, limits)

    yield from _along(area, judge)


def _apart(pair: list[Joist]) -> Verdict:
    """Whether there is room between two of the joists."""
    placed = sorted(
        (joist for joist in pair if joist.place is not None), key=lambda j: j.place.middle if j.place else 0
    )
    if len(placed) < len(pair):
        return None
    verdicts: list[Verdict] = []
    for left, right in pairwise(placed):
        thick = left.section.thickness, right.section.thickness
        if thick[0] is None or thick[1] is None or left.place is None or right.place is None:
            return None
        gap = right.place - left.place - thick[0] * (left.section.plies / 2) - thick[1] * (right.section.plies / 2)
        touch = at_most(gap, exactly(SIDE_BY_SIDE, Dimension.LENGTH))
        verdicts.append(None if touch is None else not touch)
    return any_of(verdicts)


def _blocks(area: Area, wall: Partition, pair: list[Joist], limits: Limits) -> Check:
    about, expected = named(wall), "full-depth blocks tie the pair"
    names = {joist.id for joist in pair}
    spans = area.spans(pair[0])
    if not spans:
        return not_measured(about, expected=expected, asks=("joist.from", "joist.to", "support.at"))
    if area.blocking is None:
        return not_measured(about, expected=expected, asks=("area.blocking",))
    sure: list[Quantity] = []
    unsure = False
    for block in area.blocking:
        ties = _ties(block, names)
        if ties and block.along is not None:
            sure.append(block.along)
        elif ties is not False:
            unsure = True
    places = [spans[0].begins, *sorted(sure, key=lambda q: q.middle), spans[-1].ends]
    answer = check(
        about, measured=maximum(*(b - a for a, b in pairwise(places))), at_most=limits["double-joist-blocks"],
        asks=("blocking.along", "support.at"),
    )  # fmt: skip
    if unsure and answer.outcome != "meets":
        return not_measured(
            about, expected=expected, asks=("blocking.between", "blocking.full_depth", "blocking.along")
        )
    return answer


def _ties(block: Blocking, names: set[str]) -> Verdict:
    """Whether a block stands between the two joists over their whole depth."""
    if block.kind not in (None, "solid"):
        return False
    between: Verdict = None if block.between is None else set(block.between) <= names
    if block.between is None and block.row == "every-bay":
        between = True
    return all_of((between, None if block.kind is None else True, block.full_depth))
