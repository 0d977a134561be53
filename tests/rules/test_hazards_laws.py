"""Laws of the rules about temporary support, digging, hazards and existing buildings: whatever the site says."""

from __future__ import annotations

import copy
from collections.abc import Callable

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import existing, hazards, lead_asbestos, shoring
from laws import OPEN, Answering, Data, gained, metric, only_asks, removable, without

from inspect_core.rules_api import rules_in

RULES = [rule for module in (shoring, lead_asbestos, hazards, existing) for rule in rules_in(module)]


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """A house of any age with shores, a new pier beside an old one, and hazards."""

    def word(*words: str) -> str:
        return draw(st.sampled_from(words))

    def yes() -> bool:
        return draw(st.booleans())

    papers = [
        {"id": "D1", "kind": "certificate", "state": word("on-site", "missing"), "covers": "lead-safe work, flood"},
        {
            "id": "D2",
            "kind": "notice",
            "state": word("on-site", "missing"),
            "covers": "lead pamphlet",
            "date": "2026-04-01",
        },
        {"id": "D3", "kind": word("engineer-letter", "test-record"), "state": "on-site", "covers": "asbestos"},
    ]
    return {
        "format": 1,
        "units": "in",
        "site": {
            "name": "Law bench",
            "work": "existing",
            "invented": True,
            "built": draw(st.integers(1970, 1990)),
            "stage": word("planned", "built"),
            "category": word("repair", "alteration"),
            "owner_occupied": yes(),
            "federally_assisted": yes(),
            "work_starts": word("2026-04-20", "2026-08-01", "2026-03-01"),
            "damage": word("none", "less-than-substantial", "substantial"),
            "cost_share": f"{draw(st.integers(1, 99))} %",
            "other_jobs": word("none", "counted-in", "counted-apart"),
            "nothing_made_worse": yes(),
            "wall_frame": word("balloon", "platform"),
            "balloon_bays_blocked": yes(),
        },
        "place": {"flood_zone": yes()},
        "hazards": {
            "lead_paint": word("none-found", "suspected"),
            "paint_disturbed": f"{draw(st.integers(0, 10))} sq ft",
            "paint_torn_out": yes(),
            "asbestos": word("none-found", "suspected", "present"),
            "old_floor_removal": word("left-in-place", "sanded"),
            "wiring": word("sound", "wet"),
            "gas_smell": yes(),
            "leaning_pier": yes(),
            "sewage": yes(),
            "pests": yes(),
            "confined_space": yes(),
            "competent_person": yes(),
            "oxygen": f"{draw(st.integers(18, 25))} %",
            "crawl_precautions": ["suit", "respirator", "power-off", "second-person"][: draw(st.integers(0, 4))],
            "dust_control": word("wet-saw", "dry-saw"),
        },
        "documents": papers[: draw(st.integers(0, 3))],
        "temporary_supports": [
            {
                "id": f"T{n}",
                "kind": word("jack-only", "jack-on-crib", "post-on-pad"),
                "from_cut": draw(st.integers(4, 40)),
                "pad_area": f"{draw(st.integers(1, 8))} sq ft",
                "lift_per_week": draw(st.integers(0, 16)) / 16,
                "cribbed": yes(),
                "capacity": "12000 lb",
                "firm_base": yes(),
                "supports": ["R1"] if yes() else [],
                "evidence": [],
            }
            for n in range(draw(st.integers(0, 2)))
        ],
        "areas": [
            {
                "id": "floor",
                "supports": [
                    {"id": "S1", "line": "sill", "at": -5},
                    {"id": "B1", "line": "beam", "at": 96, "width": 6},
                ],
                "joists": [
                    {
                        "name": "J",
                        "from": "S1",
                        "to": "B1",
                        "at": [0, 16],
                        "each": {"kind": "sawn", "sisters": [], "cuts": []},
                        "but": {"J2": {"work": word("new", "existing"), "kind": word("sawn", "i-joist")}},
                    }
                ],
                "layers": [
                    {
                        "id": "L1",
                        "kind": word("tile", "panel"),
                        "material": word("ceramic", "asbestos board"),
                        "work": "new",
                    }
                ],
                "posts": [],
                "piers": [
                    {"id": "R1", "under": "B1", "at": 0, "rests_on": "F1", "work": "existing"},
                    {"id": "R2", "under": "B1", "at": draw(st.integers(20, 80)), "rests_on": "F2", "work": "new"},
                ],
                "footings": [
                    {"id": "F1", "width": 20, "depth": draw(st.integers(8, 40)), "work": "existing"},
                    {"id": "F2", "width": 20, "depth": draw(st.integers(8, 60)), "work": "new"},
                ],
                "crawl_space": {"kind": word("vented", "basement", "none"), "foam": word("none", "covered", "exposed")},
            }
        ],
    }


WORSE: dict[str, Callable[[Data, int], object]] = {
    "deeper pit": lambda site, by: site["areas"][0]["footings"][1].update(
        depth=site["areas"][0]["footings"][1]["depth"] + by
    ),
    "more paint": lambda site, by: site["hazards"].update(paint_disturbed=f"{20 + by} sq ft"),
    "less air": lambda site, by: site["hazards"].update(oxygen=f"{max(18 - by, 0)} %"),
    "dearer work": lambda site, by: site["site"].update(cost_share=f"{99 + by} %"),
    "fewer precautions": lambda site, by: site["hazards"].update(crawl_precautions=[]),
    "fewer papers": lambda site, by: site.update(documents=[]),
    "an older house": lambda site, by: site["site"].update(built=1969 - by),
    "faster": lambda site, by: [one.update(lift_per_week=1 + by / 4) for one in site["temporary_supports"]],
    "farther": lambda site, by: [one.update(from_cut=one["from_cut"] + by) for one in site["temporary_supports"]],
    "a smaller pad": lambda site, by: [one.update(pad_area="0.5 sq ft") for one in site["temporary_supports"]],
}


@settings(max_examples=80, deadline=None)
@given(site=sites(), name=st.sampled_from(sorted(WORSE)), by=st.integers(1, 30))
def test_what_is_worse_is_never_better(answers: Answering, site: Data, name: str, by: int) -> None:
    changed = copy.deepcopy(site)
    WORSE[name](changed, by)
    assert gained(answers(site), answers(changed), ("falls-short",)) == []


KEPT = ("format", "units", "name", "id", "from", "to", "line", "under", "invented")


HELD = (("site",), ("areas",), ("areas", 0, "supports"), ("areas", 0, "joists"), ("areas", 0, "footings"))


@settings(max_examples=120, deadline=None)
@given(site=sites(), pick=st.integers(0, 10_000))
def test_leaving_something_out_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    paths = [
        path
        for path in sorted(removable(site, KEPT, lists=True, maps=True), key=str)
        if path not in HELD and path[-1] not in ("at", "kind", "work")
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
    turned["temporary_supports"].reverse()
    turned["documents"].reverse()
    for name in ("supports", "piers", "footings"):
        turned["areas"][0][name].reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
