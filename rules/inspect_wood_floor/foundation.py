"""Ground and walls round the floor, feet of posts, rust, and what holds the floor down and sideways."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.quantities import at_least
from inspect_core.rules_api import (
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area
from inspect_core.site.model import CrawlSpace, Post
from inspect_wood_floor._crawl import class_one_cover, each_space
from inspect_wood_floor._listed import listed_parts
from inspect_wood_floor._structure import ENGINEER
from inspect_wood_floor._verdicts import Verdict, all_of, compared

STEEL = ("steel-pipe", "screw-jack")


@rule(
    "ground-falls-away",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.grade",
    quantity="fall of the first 10 ft of ground outside",
    limits=["ground-fall"],
    measures=["crawl_space.ground_fall", "crawl_space.water_led_away"],
    provisions=["grade-fall"],
    cautions=["crawl-space"],
    remedy="Regrade so that the ground falls 6 in within 10 ft, or lead the water off in a swale or a drain; keep "
    "soil and mulch away from wood while you do it.",
)
def ground_falls_away(area: Area, limits: Limits) -> Iterator[Check]:
    """The ground outside falls 6 in within 10 ft of the foundation, or a swale or a drain leads water off.

    Water that runs to the house stands under the floor, and the wood above it drinks.
    """

    def answer(space: CrawlSpace) -> Check:
        found = check(
            named(space), measured=space.ground_fall, at_least=limits["ground-fall"], asks=("crawl_space.ground_fall",)
        )
        if found.outcome == "meets":
            return found
        if space.water_led_away:
            return fact(named(space), True, expected="water is led off", found="a swale or a drain leads it off")
        if space.water_led_away is None:
            asks = ("crawl_space.ground_fall", "crawl_space.water_led_away")
            return not_measured(named(space), expected="ground that falls away, or a swale or drain", asks=asks)
        return found

    yield from each_space(area, answer, basement=True)


@rule(
    "walls-dampproofed",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.dampproofing",
    quantity="dampproofing of walls that hold back earth",
    measures=["crawl_space.walls_dampproofed", "crawl_space.outside_ground_higher"],
    provisions=["dampproof-foundation"],
    cautions=["crawl-space"],
    remedy="Dig along the wall in short lengths, coat it and backfill with a drain. A trench beside a footing can "
    "bring the wall and the bank down: no deeper than the footing, never alone in it, and a licensed engineer or "
    "contractor sets it out.",
)
def walls_dampproofed(area: Area, limits: Limits) -> Iterator[Check]:
    """Foundation walls that hold back earth beside a space below the ground are dampproofed.

    Damp walks through bare block and stone into sills and joist ends.
    """

    def answer(space: CrawlSpace) -> Check:
        if space.outside_ground_higher is False and space.kind != "basement":
            return does_not_apply(named(space), "the ground inside is as high as outside: the walls hold back no earth")
        known = space.walls_dampproofed
        asks = ("crawl_space.walls_dampproofed",)
        if known is not True and space.outside_ground_higher is None and space.kind != "basement":
            because = "nobody has said whether the ground outside is higher, or whether the walls are dampproofed"
            return not_measured(named(space), because=because, asks=("crawl_space.outside_ground_higher", *asks))
        return fact(named(space), known, expected="the walls are dampproofed", asks=asks)

    yield from each_space(area, answer, basement=True)


# --- feet of posts ----------------------------------------------------------------------------------------------------


def _wood_posts(area: Area, judge: Callable[[Post], Check]) -> Iterator[Check]:
    """``judge`` for each post of wood that is not known to resist decay."""
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        if post.material not in ("wood", None):
            yield does_not_apply(named(post), f"it is of {post.material}")
        elif post.treated:
            yield fact(named(post), True, expected="it resists decay", found="treated or durable wood")
        elif post.material is None:
            yield not_measured(named(post), because="not said what it is made of", asks=("post.material",))
        else:
            answer = judge(post)
            if answer.outcome == "falls-short" and post.treated is None:
                answer = not_measured(named(post), expected="it is treated", asks=("post.treated",))
            yield answer


@rule(
    "post-foot-crawl",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.post-decay",
    quantity="foot of the post over the ground",
    limits=["post-foot-crawl", "class-1-films", "ground-cover-whole"],
    measures=["post.base_over_ground", "post.treated", "post.material", "ground_cover.kind", "ground_cover.coverage"],
    provisions=["post-decay-2018"],
    cautions=["temporary-shoring", "crawl-space"],
    remedy=f"Set it on a pier or a metal base more than 8 in over covered ground, or put in a treated post. {ENGINEER}",
)
def post_foot_crawl(area: Area, limits: Limits) -> Iterator[Check]:
    """A wood post in a crawl space is treated or durable wood, or stands 8 in over ground that is covered.

    A post's end grain drinks like a straw; the rot begins where nobody looks.
    """

    def judge(post: Post) -> Check:
        space = area.crawl_space
        if space is not None and space.kind in ("basement", "none"):
            return does_not_apply(named(post), "there is no crawl space; see post-foot-slab")
        if post.base_over_slab is not None:
            return does_not_apply(named(post), "it stands on a slab; see post-foot-slab")
        least = limits["post-foot-crawl"]
        covered = None if space is None else class_one_cover(space, limits)[0]
        high = compared(at_least, post.base_over_ground, least)
        if covered is False and high is not False:
            return fact(named(post), False, expected="the ground under it is covered", found="the ground is bare")
        if covered is None and high is not False:
            asks = ("crawl_space.ground_cover", *(("post.base_over_ground",) if high is None else ()))
            return not_measured(named(post), expected="high over covered ground", asks=asks)
        return check(named(post), measured=post.base_over_ground, at_least=least, asks=("post.base_over_ground",))

    yield from _wood_posts(area, judge)


@rule(
    "post-foot-slab",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.post-decay",
    quantity="pedestal over the slab",
    limits=["post-foot-slab"],
    measures=["post.base_over_slab", "post.treated", "post.material", "crawl_space.kind"],
    provisions=["post-decay-basement"],
    cautions=["temporary-shoring"],
    remedy=f"Set it on a pedestal or a metal base 1 in or more over the concrete. {ENGINEER}",
)
def post_foot_slab(area: Area, limits: Limits) -> Iterator[Check]:
    """A wood post on a slab is treated or durable wood, or stands on a pedestal 1 in above the concrete.

    Concrete passes ground water on, and a washed floor wets the foot besides.
    """

    def judge(post: Post) -> Check:
        space = area.crawl_space
        slab = space is not None and space.kind == "basement"
        if post.base_over_slab is None and not slab:
            if space is None or space.kind is None:
                asks = ("post.base_over_slab", "crawl_space.kind")
                return not_measured(named(post), expected="known whether it stands on a slab", asks=asks)
            return does_not_apply(named(post), "it stands in a crawl space; see post-foot-crawl")
        least = limits["post-foot-slab"]
        return check(named(post), measured=post.base_over_slab, at_least=least, asks=("post.base_over_slab",))

    yield from _wood_posts(area, judge)


@rule(
    "steel-post-coated",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.steel-posts",
    quantity="protection against rust",
    limits=["steel-post-coatings"],
    measures=["post.coating", "post.material"],
    provisions=["steel-column-paint"],
    cautions=["crawl-space", "temporary-shoring"],
    remedy="Clean it with a wire brush, wearing mask and glasses, and paint it with a rust-inhibiting paint; an old "
    "coat may hold lead. One that has rusted thin is replaced, with the beam carried and a licensed engineer asked.",
)
def steel_post_coated(area: Area, limits: Limits) -> Iterator[Check]:
    """A steel post is painted inside and out with rust-inhibiting paint, or of steel that does not rust.

    Thin steel in damp air rusts through from its foot.
    """
    yield from listed_parts(area, "posts", "posts")
    for post in area.posts or ():
        if post.material is None:
            yield not_measured(named(post), because="not said what it is made of", asks=("post.material",))
        elif post.material not in STEEL:
            yield does_not_apply(named(post), f"it is of {post.material}")
        else:
            allowed = limits["steel-post-coatings"]
            yield check(named(post), measured=post.coating, one_of=allowed, asks=("post.coating",))


# --- held down and sideways -------------------------------------------------------------------------------------------


@rule(
    "floor-held-down",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.restraint",
    quantity="ties from beams and sills to the ground",
    limits=["beam-connectors"],
    measures=[
        "support.anchored",
        "support.connectors",
        "pier.tied",
        "post.top_held",
        "post.base_held",
        "area.posts",
        "area.piers",
    ],
    provisions=["positive-connection-post-beam", "pier-girder-anchor", "post-bottom-restraint", "anchor-bolt"],
    cautions=["crawl-space", "structural-design"],
    remedy="Bolt or strap every sill and beam to what carries it, and every post at head and foot. Where wind or "
    "earthquakes are strong a licensed engineer sizes the ties.",
)
def floor_held_down(area: Area, limits: Limits) -> Iterator[Check]:
    """Checklist: the whole way from the floor to the ground is tied against lifting, with no link left out.

    Wind lifts and earthquakes throw a house off loose piers; one missing strap is enough.
    """
    about = Named("floor, against lifting", area.path)
    links, asks = _links(area, limits)
    if not links:
        yield not_measured(about, expected="every link is tied", asks=asks or ("area.supports",))
        return
    held = all_of(verdict for _, verdict in links)
    if asks and held:
        held = None
    loose = [name for name, verdict in links if verdict is False]
    more = f" and {len(loose) - 3} more" if len(loose) > 3 else ""
    found = f"not tied: {', '.join(loose[:3])}{more}" if loose else ""
    yield fact(about, held, expected="every link is tied", found=found, asks=asks or None)


def _links(area: Area, limits: Limits) -> tuple[list[tuple[str, Verdict]], tuple[str, ...]]:
    """Each link and whether it is tied; and the fields that nobody has filled in."""
    ties = limits["beam-connectors"].words
    links: list[tuple[str, Verdict]] = []
    asks = [f"area.{name}" for name in ("supports", "posts", "piers") if getattr(area, name) is None]
    for support in area.supports or ():
        if support.line == "beam":
            piers = [pier.tied for pier in area.piers or () if pier.under == support.id]
            tied: Verdict = None if support.connectors is None else support.connectors in ties
            posts = [post for post in area.posts or () if post.under == support.id]
            if piers and not posts:
                tied = all_of(piers)  # what ties it is said of each pier
            links.append((f"beam {support.id}", tied))
            asks += [("pier.tied" if piers and not posts else "support.connectors")] if tied is None else []
        elif support.line in ("sill", "wall-plate", None) and support.rests_on not in ("wall", "wood"):
            links.append((f"{support.line or 'support'} {support.id}", support.anchored))
            asks += ["support.anchored"] if support.anchored is None else []
    for pier in area.piers or ():
        links.append((f"pier {pier.id}", pier.tied))
        asks += ["pier.tied"] if pier.tied is None else []
    for post in area.posts or ():
        links += [(f"post {post.id}", post.top_held), (f"post {post.id}", post.base_held)]
        asks += [f"post.{n}" for n in ("top_held", "base_held") if getattr(post, n) is None]
    return links, tuple(dict.fromkeys(asks))


@rule(
    "floor-held-sideways",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="foundation.restraint",
    quantity="what keeps the floor from moving sideways",
    limits=["side-bracing"],
    measures=["crawl_space.side_bracing"],
    provisions=["positive-connection-post-beam", "pier-braced-wall", "seismic-posts-weakness"],
    cautions=["crawl-space", "structural-design"],
    remedy="Ask a licensed engineer: loose piers and posts hold a floor up, not still. Do not take out a brace or a "
    "skirt wall before that.",
)
def floor_held_sideways(area: Area, limits: Limits) -> Iterator[Check]:
    """Checklist: something keeps the floor from moving sideways on its piers and posts.

    A pier carries weight and tips at a push. A foundation wall all round or designed bracing takes wind and earthquake.
    """

    def answer(space: CrawlSpace) -> Check:
        about = named(space, "against moving sideways")
        return check(
            about, measured=space.side_bracing, one_of=limits["side-bracing"], asks=("crawl_space.side_bracing",)
        )

    yield from each_space(area, answer)
