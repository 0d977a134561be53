"""Laws of the rules about blocking, bridging, partitions, marks, ground, posts and level: whatever the numbers are."""

from __future__ import annotations

import copy

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import blocking, foundation, levels, lumber_marks, partitions
from laws import OPEN, Answering, Data, Path, at, gained, metric, only_asks, removable, without

from inspect_core.rules_api import rules_in

RULES = [
    rule for module in (blocking, partitions, lumber_marks, foundation, levels) for rule in rules_in(module)
]  # fmt: skip


lengths = st.integers(0, 36).map(lambda n: n / 4)


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """Three deep joists, rows of blocks, a wall over a pair, a post, and the ground outside."""
    rows = [
        {
            "id": f"K{n}",
            "kind": draw(st.sampled_from(["solid", "cross-bridging", "strip", "cleat"])),
            "row": draw(st.sampled_from(["every-bay", "one-bay"])),
            "between": ["J1", "J2"],
            "along": draw(st.integers(4, 180)),
            "size": draw(st.sampled_from(["2x14", "1x12"])),
            "sizes": "nominal",
            "full_depth": draw(st.booleans()),
            "purpose": draw(st.sampled_from(["bridging", "end-restraint", "fixture", "panel-edge"])),
            "grade": draw(st.sampled_from(["Utility", "Economy"])),
            "work": "new",
        }
        for n in range(draw(st.integers(0, 3)))
    ]
    each = {
        "thickness": 1.5,
        "depth": draw(st.sampled_from([9.25, 12, 13.25])),
        "kind": "sawn",
        "sizes": "true-dimension",
        "restraint": {
            "S1": draw(st.sampled_from(["rim", "blocking", "none"])),
            "B1": draw(st.sampled_from(["wall", "none"])),
        },
        "sisters": draw(st.sampled_from([[], [{"id": "s", "full_length": True}]])),
        "mark": draw(st.sampled_from(["grade-stamp", "none"])),
        "work": draw(st.sampled_from(["existing", "new"])),
        "treated": draw(st.booleans()),
    }
    post = {
        "id": "P1",
        "under": "B1",
        "at": 0,
        "material": draw(st.sampled_from(["wood", "steel-pipe"])),
        "treated": draw(st.booleans()),
        "base_over_ground": draw(lengths),
        "coating": draw(st.sampled_from(["painted", "bare"])),
        "top_held": draw(st.booleans()),
        "base_held": draw(st.booleans()),
    }
    if draw(st.booleans()):
        post["base_over_slab"] = draw(lengths)
    beam = {
        "id": "B1",
        "line": "beam",
        "at": 180,
        "width": 6,
        "depth": 14,
        "connectors": draw(st.sampled_from(["straps", "toenails"])),
        "connector_coating": draw(st.sampled_from(["G185", "G90"])),
        "treated": draw(st.booleans()),
    }
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "existing", "built": 1931, "invented": True},
        "areas": [
            {
                "id": "floor",
                "outline": "36 in x 180 in",
                "joists_run": "north-south",
                "supports": [
                    {"id": "S1", "line": "sill", "rests_on": "masonry", "at": -5.5, "width": 5.5, "anchored": True},
                    beam,
                ],
                "joists": [{"name": "J", "from": "S1", "to": "B1", "at": [0, 16, 22], "each": each}],
                "blocking": rows,
                "partitions": [
                    {
                        "id": "W1",
                        "runs": "along-joists",
                        "at": 19,
                        "bearing": draw(st.booleans()),
                        "joists_under": draw(st.sampled_from([["J2", "J3"], ["J2"], []])),
                    }
                ],
                "layers": [
                    {
                        "id": "L1",
                        "kind": "panel",
                        "joints": draw(st.sampled_from(["blocked", "square"])),
                        "gaps_over_joists": draw(st.sampled_from(["none", "open"])),
                    }
                ],
                "fixtures": [
                    {"id": "WC", "kind": "toilet", "at": [8, draw(st.integers(10, 170))], "extent": "20 in x 28 in"}
                ],
                "openings": [],
                "posts": [post],
                "piers": [{"id": "R1", "under": "B1", "tied": draw(st.booleans())}],
                "crawl_space": {
                    "kind": draw(st.sampled_from(["vented", "basement"])),
                    "ground_fall": draw(lengths),
                    "water_led_away": draw(st.booleans()),
                    "outside_ground_higher": draw(st.booleans()),
                    "walls_dampproofed": draw(st.booleans()),
                    "side_bracing": draw(st.sampled_from(["continuous-foundation", "none"])),
                    "ground_cover": {"kind": draw(st.sampled_from(["polyethylene", "none"])), "coverage": "100 %"},
                },
                "flatness": {"hump": draw(lengths), "level_over": 120, "level_difference": draw(lengths)},
            }
        ],
    }


AREA = ("areas", 0)
WORSE: list[tuple[Path, float]] = [
    (("posts", 0, "base_over_ground"), -1),
    (("crawl_space", "ground_fall"), -1),
    (("flatness", "hump"), 1),
    (("flatness", "level_difference"), 1),
    (("joists", 0, "each", "depth"), 1),
]


@settings(max_examples=60, deadline=None)
@given(site=sites(), worse=st.sampled_from(WORSE), by=st.integers(1, 20).map(lambda n: n / 8))
def test_lower_steeper_deeper_or_rougher_is_never_better(
    answers: Answering, site: Data, worse: tuple[Path, float], by: float
) -> None:
    (path, sign), changed = worse, copy.deepcopy(site)
    holder = at(changed, (*AREA, *path[:-1]))
    value = holder[path[-1]] + sign * by
    holder[path[-1]] = value if "ground_fall" in path else max(value, 0)
    assert gained(answers(site), answers(changed), ("falls-short",)) == []


@settings(max_examples=40, deadline=None)
@given(site=sites(), more=st.integers(1, 80))
def test_a_longer_span_wants_no_less_bridging(answers: Answering, site: Data, more: int) -> None:
    changed = copy.deepcopy(site)
    changed["areas"][0]["supports"][1]["at"] += more
    assert gained(answers(site), answers(changed), ("falls-short",)) == []


@settings(max_examples=40, deadline=None)
@given(site=sites(), pick=st.integers(0, 2))
def test_a_block_taken_out_braces_nothing_more(answers: Answering, site: Data, pick: int) -> None:
    changed = copy.deepcopy(site)
    blocks = changed["areas"][0]["blocking"]
    if blocks:
        del blocks[pick % len(blocks)]
    found = gained(answers(site), answers(changed), ("falls-short",))
    assert [key for key in found if key[0] != "blocking-row-whole"] == []


KEPT = ("format", "units", "name", "id", "at", "from", "to", "line", "under", "kind", "between", "joists_under")


@settings(max_examples=80, deadline=None)
@given(site=sites(), pick=st.integers(0, 10_000))
def test_leaving_something_out_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    paths = [
        p
        for p in sorted(removable(site, KEPT, lists=True), key=str)
        if p not in (("areas",), (*AREA, "supports"), (*AREA, "joists"))
    ]
    path = paths[pick % len(paths)]
    assert gained(answers(site), answers(without(site, path)), OPEN) == []


@settings(max_examples=30, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    assert answers(metric(site, lambda key: key not in ("format", "built"))) == answers(site)


@settings(max_examples=30, deadline=None)
@given(site=sites())
def test_the_order_of_things_changes_nothing(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    for name in ("supports", "blocking"):
        turned["areas"][0][name].reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
