"""Whatever is offered, written into the file and checked as anybody would check it, settles what it says and harms nothing."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from inspect_core.engine import Finding, LoadedPacks, Report, inspect
from inspect_core.engine.cases import as_yaml
from inspect_core.planning.repairs import CannotApply, Offer, Proposal, apply_repairs, propose
from inspect_core.planning.repairs.proof import is_paper
from inspect_core.site import site_from_text

FLAWS: dict[str, tuple[str, Any]] = {
    "slipped": ("/areas/0/joists/0/but/J2/bearing/B1", "3/4"),
    "hanging": ("/areas/0/joists/0/but/J7/hung/B1", {"by": "nothing"}),
    "sawn away": ("/areas/0/joists/0/but/J4", {"missing": "sawn away"}),
    "bored": (
        "/areas/0/joists/0/but/J5",
        {"holes": [{"id": "H1", "from": "S1", "at": 33, "diameter": 3, "wood_above": "1 1/4", "serves": "old pipe"}]},
    ),
    "rotten": (
        "/areas/0/joists/0/but/J5",
        {"condition": [{"kind": "rot", "from": "S1", "at": 0, "length": 11, "depth_left": "5 1/2", "mended": True}]},
    ),
    "cut": (
        "/areas/0/joists/0/but/J5",
        {"cuts": [{"id": "C1", "from": "S1", "at": 38, "gap": 3, "repair": {"kind": "none"}}]},
    ),
    "open edge": ("/areas/0/edges/1", {"wall": "east", "landing": "none", "width": 0}),
    "thin panels": ("/areas/0/layers/0/thickness", "15/32"),
    "panels turned": ("/areas/0/layers/0/strong_axis", "along-joists"),
    "few screws": ("/areas/0/layers/0/fasteners/edges", 12),
    "film under tile": (
        "/areas/0/layers/2",
        {"id": "L3", "kind": "vapor-retarder", "material": "polyethylene", "thickness": "6 mil", "work": "new"},
    ),
    "bare ground": ("/areas/0/crawl_space/ground_cover", {"kind": "none"}),
    "few vents": ("/areas/0/crawl_space/vents", []),
    "dry-stacked": ("/areas/0/piers/1/material", "dry-stacked"),
    "joint in mid air": ("/areas/0/supports/1/splices", [30]),
    "flat drain": ("/areas/0/drains/0/slope", "1/8 per ft"),
    "bored for a drain": ("/areas/0/drains/0/through", "holes"),
    "low curb": ("/areas/0/wet_areas/0/curb", 1),
    "flange too low": ("/areas/0/fixtures/1/flange/height_over_finish", "-1"),
}


def flawed(whole: dict[str, Any], names: frozenset[str]) -> str:
    data = copy.deepcopy(whole)
    for name in sorted(names):
        path, value = FLAWS[name]
        *steps, last = path.strip("/").split("/")
        here: Any = data
        for step in steps:
            here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
        here[int(last) if isinstance(here, list) else last] = value
    return as_yaml(data)


def by_name(report: Report) -> dict[tuple[str, str, int], Finding]:
    found: dict[tuple[str, str, int], Finding] = {}
    for one in report.findings:
        number = sum(1 for rule, subject, _ in found if (rule, subject) == (one.rule.id, one.subject))
        found[(one.rule.id, one.subject, number)] = one
    return found


def holds(before: Report, after: Report, offer: Offer) -> None:
    """What the offer settles falls short no more; nothing else falls short or is open that was not before."""
    was, now = by_name(before), by_name(after)
    assert not after.failures
    for one in offer.settles:
        left = [f for (rule, subject, _), f in now.items() if (rule, subject) == (one.rule.id, one.subject)]
        assert all(f.outcome in ("meets", "does-not-apply") for f in left), (one.rule.id, one.subject)
    for key, finding in now.items():
        if key in was:
            if finding.outcome == "falls-short":
                assert was[key].outcome == "falls-short" or is_paper(finding), key
            if was[key].outcome == "meets":
                assert finding.outcome != "not-measured" or is_paper(finding), key
        elif finding.outcome == "falls-short":  # only what stood there under another name: a bay that was divided
            twins = [f for k, f in was.items() if k[0] == key[0] and k not in now and f.outcome == "falls-short"]
            assert twins or is_paper(finding), key


@settings(max_examples=4, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(names=st.frozensets(st.sampled_from(sorted(FLAWS)), min_size=1, max_size=3), pick=st.integers(0, 99))
def test_what_is_offered_checks_clean_when_it_is_written(
    names: frozenset[str], pick: int, whole: dict[str, Any], packs: LoadedPacks
) -> None:
    text = flawed(whole, names)
    proposal = propose(site_from_text(text), packs, plans=False)
    assert [offer.id for offer in proposal.offers] == list(range(1, len(proposal.offers) + 1))
    assert {id(f) for o in proposal.offers for f in o.settles} | {id(u.finding) for u in proposal.unsettled} == {
        id(f) for f in proposal.report.findings if f.outcome == "falls-short"
    }
    if not proposal.offers:
        return
    offer = proposal.offers[pick % len(proposal.offers)]
    changed, proof = apply_repairs(proposal, [offer.id], text)
    assert offer.found.settled == proof.settled
    holds(proposal.report, inspect(site_from_text(changed), packs), offer)


def test_a_stop_work_comes_first_and_the_rest_by_what_it_settles_for_the_effort(
    cottage: tuple[Proposal, str],
) -> None:
    offers = cottage[0].offers
    stops = [any(one.severity == "stop-work" for one in offer.settles) for offer in offers]
    assert stops == sorted(stops, reverse=True)
    assert stops[0]
    assert not stops[-1]
    worth = [offer.points / offer.total for offer, stop in zip(offers, stops, strict=True) if not stop]
    assert worth == sorted(worth, reverse=True)


def test_the_plan_of_each_hold_point_is_proven_in_one(cottage: tuple[Proposal, str], packs: LoadedPacks) -> None:
    proposal, text = cottage
    assert {plan.hold_point for plan in proposal.plans} >= {"under-floor", "subfloor"}
    plan = next(plan for plan in proposal.plans if plan.hold_point == "subfloor")
    changed, proof = apply_repairs(proposal, plan.offers, text)
    after = inspect(site_from_text(changed), packs)
    left = [f for f in after.open_findings("correction", "subfloor") if f.outcome == "falls-short"]
    assert len(left) == plan.falls_short
    assert len(proof.settled) >= plan.settles > 0


def test_what_no_repair_settles_is_told_with_its_remedy(cottage: tuple[Proposal, str]) -> None:
    untold = {one.finding.rule.id: one for one in cottage[0].unsettled}
    assert "liner-test" in untold
    assert "reading" in untold["liner-test"].why
    assert all(one.finding.remedy for one in cottage[0].unsettled)


def test_planned_values_are_told_one_by_one(cottage: tuple[Proposal, str]) -> None:
    offer = next(o for o in cottage[0].offers if o.kinds[0].id == "sister-full-length")
    told = {path[-1]: value for path, value in offer.planned}
    assert told["full_length"] is True
    assert told["spacing"] == 12
    assert told["note"] == "planned"


def test_two_that_are_in_one_another_s_way_are_refused(cottage: tuple[Proposal, str]) -> None:
    proposal, text = cottage
    sister = next(o for o in proposal.offers if o.kinds[0].id == "sister-full-length")
    replaced = next(o for o in proposal.offers if o.kinds[0].id == "replace-joist" and o.id in sister.instead_of)
    changed, _ = apply_repairs(proposal, [replaced.id], text)
    assert "note: planned" in changed
    taken = next(o for o in proposal.offers if o.kinds[0].id == "take-out-layer")
    with pytest.raises(CannotApply):
        apply_repairs(proposal, [taken.id, taken.id], text)
