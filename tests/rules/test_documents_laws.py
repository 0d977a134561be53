"""Laws of the rules about papers, inspections and photos: what must hold whatever is listed."""

from __future__ import annotations

import copy
import datetime

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import documents, inspections, photos, workmanship
from laws import Answering, Data, forgotten, nothing_gained, only_asks, put, without

from inspect_core.rules_api import rules_in

RULES = [one for module in (documents, inspections, photos, workmanship) for one in rules_in(module)]


work = st.sampled_from(["existing", "altered", "new"])
dates = st.dates(min_value=datetime.date(2025, 1, 1), max_value=datetime.date(2026, 12, 31))
COVERS = ["footing", "rough plumbing", "framing", "final", "under-floor", "pier PR1", "liner", "cement board", "roof"]
KINDS = ["permit", "approved-plans", "engineer-letter", "maker-instructions", "test-record", "license", "inspection"]


@st.composite
def papers(draw: st.DrawFn, number: int) -> Data:
    return {
        "id": f"P{number}",
        "kind": draw(st.sampled_from(KINDS)),
        "state": draw(st.sampled_from(["on-site", "applied", "missing", "not-needed"])),
        "covers": draw(st.sampled_from(COVERS)),
        "date": draw(dates).isoformat(),
    }


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """One area with a thing of each kind, some papers and some photos."""
    joist = {
        "size": "2x8",
        "work": draw(work),
        "hung": draw(st.sampled_from([{}, {"B1": {"by": "hanger"}}])),
        "sisters": draw(st.sampled_from([[], [{"id": "J1a", "work": "new"}]])),
        "cuts": draw(st.sampled_from([[], [{"id": "C1", "repair": {"kind": "sister"}}]])),
    }
    named = ["J1", "PR1", "D1", "W1", "L2", "F1", "ready-for-inspector"]
    return {
        "format": 1,
        "units": "in",
        "site": {
            "name": "Law bench",
            "stage": draw(st.sampled_from(["found", "planned", "built"])),
            "date": draw(dates).isoformat(),
            "invented": True,
        },
        "place": {"state": draw(st.sampled_from(["Oregon", "Ohio"]))},
        "documents": [draw(papers(n)) for n in range(draw(st.integers(0, 6)))],
        "evidence": [
            {
                "id": f"E{n}",
                "shows": draw(st.sampled_from(["gauge", "pipe"])),
                "of": draw(st.lists(st.sampled_from(named), max_size=4, unique=True)),
                "date": draw(dates).isoformat(),
            }
            for n in range(draw(st.integers(0, 3)))
        ],
        "temporary_supports": draw(st.sampled_from([[], [{"id": "T1", "kind": "jack-on-crib"}]])),
        "areas": [
            {
                "id": "floor",
                "supports": [
                    {"id": "S1", "line": "sill", "work": "existing"},
                    {"id": "B1", "line": "beam", "work": draw(work)},
                ],
                "joists": [{"name": "J", "from": "S1", "to": "B1", "at": [0], "each": joist}],
                "openings": [],
                "blocking": draw(st.sampled_from([[], [{"id": "K1", "work": "new"}]])),
                "posts": [],
                "piers": [{"id": "PR1", "under": "B1", "work": draw(work)}],
                "footings": [],
                "layers": [
                    {"id": "L1", "kind": "panel", "work": draw(work)},
                    {"id": "L2", "kind": draw(st.sampled_from(["backer", "membrane", "felt"])), "work": draw(work)},
                ],
                "drains": draw(
                    st.sampled_from([[], [{"id": "D1", "work": "new"}], [{"id": "D1", "work": "existing"}]])
                ),
                "wet_areas": draw(st.sampled_from([[], [{"id": "W1", "kind": "shower", "work": "new"}]])),
            }
        ],
    }


KEPT = {
    "supports",
    "id",
    "name",
    "format",
    "units",
    "areas",
    "site",
    "from",
    "to",
    "at",
    "each",
    "under",
    "by",
    "invented",
}


@settings(max_examples=40, deadline=None)
@given(site=sites(), data=st.data())
def test_what_nobody_wrote_down_never_makes_it_meet(answers: Answering, site: Data, data: st.DataObject) -> None:
    path = data.draw(st.sampled_from(list(forgotten(site, KEPT))))
    less = put(site, path, "unknown") if path[-1] == "kind" else without(site, path)
    nothing_gained(answers(site), answers(less))


@settings(max_examples=25, deadline=None)
@given(site=sites(), data=st.data())
def test_order_of_papers_and_photos_changes_nothing(answers: Answering, site: Data, data: st.DataObject) -> None:
    other = copy.deepcopy(site)
    other["documents"] = data.draw(st.permutations(site["documents"]))
    other["evidence"] = data.draw(st.permutations(site["evidence"]))
    assert answers(other) == answers(site)


@settings(max_examples=25, deadline=None)
@given(site=sites(), kind=st.sampled_from(KINDS), covers=st.sampled_from(COVERS))
def test_a_paper_more_never_makes_it_worse(answers: Answering, site: Data, kind: str, covers: str) -> None:
    """But for the order of inspections, where one paper can show that another came too early."""
    more = copy.deepcopy(site)
    more["documents"].append({"id": "P99", "kind": kind, "state": "on-site", "covers": covers, "date": "2026-12-31"})
    before, after = answers(site), answers(more)
    worse = [key for key, outcome in after.items() if outcome == "falls-short" and before.get(key) == "meets"]
    assert [key for key in worse if key[0] not in ("inspection-order", "permit-alive")] == []


@settings(max_examples=25, deadline=None)
@given(
    issued=dates,
    days=st.integers(0, 400),
    more=st.integers(1, 200),
    stage=st.sampled_from(["found", "planned", "built"]),
)
def test_a_longer_rest_never_revives_a_permit(
    answers: Answering, issued: datetime.date, days: int, more: int, stage: str
) -> None:
    def on(day: int) -> str:
        return answers(
            {
                "format": 1,
                "units": "in",
                "site": {
                    "name": "Law bench",
                    "stage": stage,
                    "date": (issued + datetime.timedelta(days=day)).isoformat(),
                },
                "documents": [{"id": "P1", "kind": "permit", "state": "on-site", "date": issued.isoformat()}],
                "evidence": [],
                "areas": [{"id": "floor"}],
            }
        )["permit-alive", "", "life of the permit"]

    assert not (on(days) != "meets" and on(days + more) == "meets")
    assert (on(days) == "meets") == (days <= 180)


def test_a_site_that_says_nothing_asks_and_never_passes(answers: Answering) -> None:
    only_asks(answers, RULES)
