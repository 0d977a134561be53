"""What the rules on the space under the floor share: whether there is one, and what lies on its ground."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from inspect_core.quantities import Quantity, at_least
from inspect_core.rules_api import MEETS, NOT_MEASURED, Check, Limits, Named, does_not_apply, named, not_measured
from inspect_core.site import Area
from inspect_core.site.model import CrawlSpace
from inspect_wood_floor._verdicts import Verdict, all_of, compared

UNVENTED = ("unvented", "conditioned")
FILMS = ("polyethylene", "reinforced-sheet")


def crawl_space(area: Area, *kinds: str, name: str = "", basement: bool = False) -> CrawlSpace | Check:
    """The space under an area, or the answer where the rule is not about it.

    ``kinds`` are those that the rule is about (all, when none is given); ``basement`` says that it is about basements
    too. ``name`` is what findings call it.
    """
    space = area.crawl_space
    if space is None:
        where = Named(name or "crawl space", area.path)
        return not_measured(where, asks=("area.crawl_space",), because="nothing is said of the space under the floor")
    where = Named(name, space.path) if name else named(space)
    if space.same_as is not None:
        return does_not_apply(where, f"same crawl space as {space.same_as}")
    if space.kind == "none":
        return does_not_apply(where, "no crawl space under this floor")
    if space.kind == "basement" and not basement:
        return does_not_apply(where, "a basement, not a crawl space")
    if kinds and space.kind is None:
        return not_measured(where, expected=f"it is {' or '.join(kinds)}", asks=("crawl_space.kind",))
    if kinds and space.kind not in kinds:
        return does_not_apply(where, f"a {space.kind} space; this is about {' and '.join(kinds)} ones")
    return space


def each_space(
    area: Area, answer: Callable[[CrawlSpace], Check], *kinds: str, basement: bool = False
) -> Iterator[Check]:
    """One answer about the space under an area, or the one that says why there is none."""
    space = crawl_space(area, *kinds, basement=basement)
    yield space if isinstance(space, Check) else answer(space)


def only_under_the_rooms(space: CrawlSpace, answer: Check) -> Check:
    """What suffices for the rooms over a space proves nothing while nobody measured how far the space goes."""
    if space.floor_area is not None or answer.outcome != MEETS:
        return answer
    found = "; ".join(filter(None, (answer.found, "enough for the rooms over it, and the space may reach beyond them")))
    return replace(answer, outcome=NOT_MEASURED, found=found, asks=("crawl_space.floor_area",))


def class_one_cover(space: CrawlSpace, limits: Limits) -> tuple[Verdict, tuple[str, ...]]:
    """Whether a Class I vapour retarder lies on all of the ground, and what that takes for granted."""
    cover = space.ground_cover
    if cover is None:
        return None, ()
    if cover.kind == "none":
        return False, ()
    notes: tuple[str, ...] = ()
    class_one: Verdict = None if cover.retarder_class is None else cover.retarder_class == "I"
    if class_one is None and cover.kind in limits["class-1-films"].words:
        class_one, notes = True, (f"{cover.kind} on the ground taken as a Class I retarder",)
    elif class_one is None and cover.kind in ("gravel", "concrete"):
        class_one = False
    return all_of((class_one, whole_cover(cover.coverage, limits))), notes


def whole_cover(coverage: Quantity | None, limits: Limits) -> Verdict:
    """Whether a ground cover hides all of the ground."""
    return compared(at_least, coverage, limits["ground-cover-whole"])
