"""Laws of the rules about fasteners, glue and frame nails: what must hold whatever the numbers are."""

from __future__ import annotations

import copy

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import fasteners, frame_nails, glued_floor
from laws import Answering, Answers, Data, at, leaves, metric, never_better, only_asks, put

from inspect_core.rules_api import rules_in

RULES = [rule for module in (fasteners, glued_floor, frame_nails) for rule in rules_in(module)]


def none_gained(before: Answers, after: Answers) -> None:
    """All that meets now met before, or the rule was not about it."""
    had = ("meets", "does-not-apply")
    assert [key for key, outcome in after.items() if outcome == "meets" and before.get(key) not in had] == []


lengths = st.integers(1, 26).map(lambda n: n / 2)
NAMES = ["6d common", "8d box", "8d common", "10d box", "10d", "16d common", "20d common"]
KINDS = ["nail", "ring-shank-nail", "screw-shank-nail", "screw", "staple", "drywall-screw", "bolt"]


@st.composite
def fastened(draw: st.DrawFn) -> Data:
    size: Data = {"length": draw(st.sampled_from([1.25, 1.5, 2, 2.25, 2.375, 2.5, 3]))}
    size["diameter"] = draw(st.sampled_from([0.097, 0.099, 0.113, 0.128, 0.131, 0.148, 0.5]))
    kind = draw(st.sampled_from(KINDS))
    if kind in ("nail", "ring-shank-nail") and draw(st.booleans()):
        size = {"name": draw(st.sampled_from(NAMES))}
    return {
        "kind": kind,
        "edges": draw(lengths),
        "field": draw(lengths),
        "spacing": draw(lengths) * 4,
        "rows": draw(st.integers(1, 3)),
        "count": draw(st.integers(1, 5)),
        "per_sheet": draw(st.integers(30, 70)),
        "edge_distance": draw(st.integers(1, 8)) / 16,
        "coating": draw(st.sampled_from(["bright", "stainless"])),
        "standard": draw(st.sampled_from(["none", "report 1"])),
        **size,
    }


@st.composite
def layers(draw: st.DrawFn) -> list[Data]:
    found = []
    for number in range(draw(st.integers(1, 3))):
        found.append(
            {
                "id": f"L{number}",
                "kind": draw(st.sampled_from(["panel", "panel", "boards", "felt"])),
                "thickness": draw(st.sampled_from([0.25, 0.34375, 0.5, 0.59375, 0.625, 0.75, 0.875, 1.125, 1.5])),
                "sheet": "48 x 96",
                "strong_axis": draw(st.sampled_from(["across-joists", "along-joists"])),
                "work": draw(st.sampled_from(["existing", "new"])),
                "fasteners": draw(fastened()),
                "adhesive": {
                    "kind": draw(st.sampled_from(["construction", "none"])),
                    "where": draw(st.sampled_from(["each-joist", "full-bed", "spots"])),
                    "standard": draw(st.sampled_from(["ASTM D3498", "none"])),
                    "bead": draw(st.integers(1, 4)) / 8,
                    "double_at_joints": draw(st.booleans()),
                },
            }
        )
    return found


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """One room over a sill, a rim and a doubled girder, a block, joists 12 to 48 in apart, and one to three layers."""
    spacing = draw(st.sampled_from([12, 16, 19.2, 24, 48]))
    support = {"work": "new"}
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "invented": True},
        "areas": [
            {
                "id": "floor",
                "outline": "96 x 96",
                "joists_run": "north-south",
                "finish": draw(st.sampled_from(["ceramic-tile", "none"])),
                "supports": [
                    {"id": "S1", "line": "sill", "at": 0, "width": 5.5, "treated": draw(st.booleans()), **support},
                    {"id": "R1", "line": "rim", "at": 0, "width": 1.5, "treated": draw(st.booleans()), **support},
                    {
                        "id": "B1",
                        "line": "beam",
                        "at": 90,
                        "plies": 2,
                        "thickness": 1.5,
                        "depth": 9.25,
                        "treated": False,
                        **support,
                    },
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [n * spacing for n in range(int(96 / spacing) + 1)],
                        "each": {"thickness": 1.5, "depth": 7.25, "treated": False, "work": "new"},
                    }
                ],
                "blocking": [
                    {
                        "id": "K1",
                        "kind": "solid",
                        "purpose": draw(st.sampled_from(["panel-edge", "bridging"])),
                        **support,
                    }
                ],
                "layers": draw(layers()),
            }
        ],
    } | {"_held": [draw(fastened()) for _ in range(4)]}


def written(site: Data) -> Data:
    """The site with fasteners put into its supports and its block."""
    whole = copy.deepcopy(site)
    area = whole["areas"][0]
    for part, held in zip([*area["supports"], *area["blocking"]], whole.pop("_held"), strict=True):
        part["fasteners"] = held
    return whole


#: Names, and what is needed to read the file.
KEPT = ("format", "units", "site", "id", "from", "to", "at", "line")
#: Which way each measurement gets worse. A longer or thicker nail is better, a wider spacing worse.
WORSE = {"edges": 1, "field": 1, "spacing": 1, "length": -1, "diameter": -1, "rows": -1, "count": -1, "per_sheet": -1,
         "edge_distance": -1, "bead": -1}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999), by=st.sampled_from([0.02, 0.3, 0.6]))
def test_wider_shorter_thinner_or_fewer_is_never_better(answers: Answering, site: Data, pick: int, by: float) -> None:
    whole = written(site)
    before = answers(whole)
    paths = [path for path in leaves(whole, KEPT) if path[-1] in WORSE]
    path = paths[pick % len(paths)]
    value, way = at(whole, path), WORSE[path[-1]]
    worse = max(value - 1, 0) if isinstance(value, int) and path[-1] in COUNTS else value * (1 + way * by)
    never_better(before, answers(put(whole, path, worse)))


COUNTS = ("rows", "count", "per_sheet")


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    whole = written(site)
    before = answers(whole)
    paths = list(leaves(whole, KEPT))
    none_gained(before, answers(put(whole, paths[pick % len(paths)], "unknown")))


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    whole = written(site)
    plain = ("format", "plies", *COUNTS)
    assert answers(metric(whole, lambda key: key not in plain, ("sheet", "outline"))) == answers(whole)


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_the_order_of_supports_changes_nothing(answers: Answering, site: Data) -> None:
    whole = written(site)
    turned = copy.deepcopy(whole)
    turned["areas"][0]["supports"].reverse()
    assert answers(turned) == answers(whole)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
