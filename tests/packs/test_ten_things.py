"""The ten things that the pack format must be able to say, one test each (list by the project's survey of state codes)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine import inspect
from inspect_core.engine.choice import Choice
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED

SPACE = "/areas/0/crawl_space"
EACH = "/areas/0/joists/0/each"
SOUTH = "joist J1, south end on S1"
WHY = "because: a local reason, citation: Local Code 1"


def test_1_sense_of_each_change_with_the_base_value_beside_it(alder: Any) -> None:
    """Tighter, looser, both in one table, an option list replaced, a rule off, a citation only."""
    pack = f"""
    limits:
      bearing: {{values: {{wood: 1 1/4 in, masonry: 4 in}}, {WHY}}}
      unvented-drying: {{words: [dehumidifier, heat-pump], {WHY}}}
    rules:
      crawl-debris: {{off: true, {WHY}}}
    references:
      floor.notches: Local Code 7
    """
    unvented = {
        f"{SPACE}/kind": "unvented",
        f"{SPACE}/drying": "dehumidifier",
        f"{EACH}/bearing": {"S1": 1.25, "S2": 4},
    }
    found = alder.run(pack, unvented)
    eased = {one.name: one for one in found.report.loosened}
    assert set(eased) == {"bearing/wood", "unvented-drying", "crawl-debris"}
    assert eased["bearing/wood"].words("in") == (
        "bearing/wood 1 1/4 in by alder, was 1 1/2 in by wood-floor-base: a local reason; Local Code 1"
    )
    limit = found.report.rules.limits["bearing", "masonry"]
    assert [(owner, value.low) for owner, value, _ in limit.was] == [("wood-floor-base", 3.0)]
    assert found.report.rules.references["floor.notches"].text == "Local Code 7"
    assert found.report.rules.references["floor.notches"].adopted


@pytest.mark.parametrize(
    ("condition", "place", "site", "area"),
    [
        ("category: [repair]", {}, {"category": "repair"}, {}),
        ("built: {before: 1978}", {}, {"built": 1977}, {}),
        ("permit_date: {from: 2026-01-01}", {"permit_date": "2026-01-01"}, {}, {}),
        ("state: Ohio", {"state": "ohio"}, {}, {}),
        ("county: [Adams, Brown]", {"county": "Brown"}, {}, {}),
        ("city: Norton", {"city": "Norton"}, {}, {}),
        ("flood_zone: true", {"flood_zone": True}, {}, {}),
        ("seismic: [C, D0]", {"seismic": "D0"}, {}, {}),
        ("climate_zone: 4A", {"climate_zone": "4A"}, {}, {}),
        ("termites: [heavy]", {"termites": "heavy"}, {}, {}),
        ("radon: true", {"radon": True}, {}, {}),
        ("frost_depth: {over: 30 in}", {"frost_depth": "31 in"}, {}, {}),
        ("stories: {at_least: 2}", {}, {"stories": 2}, {}),
        ("owner_occupied: true", {}, {"owner_occupied": True}, {}),
        ("historic: true", {}, {"historic": True}, {}),
        ("crawl_space: [vented]", {}, {}, {}),
        ("use: [bathroom]", {}, {}, {}),
        ("longest_span: {at_most: 8 ft}", {}, {}, {}),
        ("work: [existing]", {}, {"work": "existing"}, {}),
        ("hazards.lead_paint: [present]", {}, {}, {"/hazards/lead_paint": "present"}),
    ],
)
def test_2_what_a_change_applies_to(alder: Any, condition: str, place: Any, site: Any, area: Any) -> None:
    """Each condition holds for a site that has it, and not for one that has it not."""
    pack = f"limits: {{bearing: {{values: {{wood: 4 in}}, when: {{{condition}}}, {WHY}}}}}"
    changes = {**{f"/place/{k}": v for k, v in place.items()}, **{f"/site/{k}": v for k, v in site.items()}, **area}
    assert alder.run(pack, changes).of("joist-bearing")[SOUTH] == FALLS_SHORT
    other: dict[str, Any] = {
        "category": {"/site/category": "alteration"},
        "built": {"/site/built": 1978},
        "permit_date": {"/place/permit_date": "2025-12-31"},
        "state": {"/place/state": "Iowa"},
        "county": {"/place/county": "Clark"},
        "city": {"/place/city": "Dunn"},
        "flood_zone": {"/place/flood_zone": False},
        "seismic": {"/place/seismic": "B"},
        "climate_zone": {"/place/climate_zone": "5A"},
        "termites": {"/place/termites": "slight"},
        "radon": {"/place/radon": False},
        "frost_depth": {"/place/frost_depth": "30 in"},
        "stories": {"/site/stories": 1},
        "owner_occupied": {"/site/owner_occupied": False},
        "historic": {"/site/historic": False},
        "crawl_space": {f"{SPACE}/kind": "unvented"},
        "use": {"/areas/0/use": "hall"},
        "longest_span": {"/areas/0/supports/1/at": 97, "/areas/0/outline": "40 x 97"},
        "work": {f"{EACH}/work": "new"},
        "hazards": {"/hazards/lead_paint": "none-found"},
    }
    name = condition.partition(":")[0].partition(".")[0]
    assert alder.run(pack, {**changes, **other[name]}).of("joist-bearing")[SOUTH] == MEETS


def test_3_start_end_and_the_edition_in_force_on_the_permit_date(alder: Any, site_of: Any) -> None:
    """A pack has dates; a series picks its edition; a section may start later than its pack."""
    section = f"""
    sections:
      - {{title: later, effective: 2026-07-01, limits: {{bearing: {{values: {{wood: 4 in}}, {WHY}}}}}}}
    """
    paths = [
        alder.write(section, id="new", series="ours", effective="2026-01-01"),
        alder.write("", id="old", series="ours", effective="2021-01-01", expires="2025-12-31"),
    ]
    loaded = replace(alder.load(*paths), choice=Choice())
    for date, id, outcome in (
        ("2025-12-31", "old", MEETS),
        ("2026-06-30", "new", MEETS),
        ("2026-07-01", "new", FALLS_SHORT),
    ):
        report = inspect(site_of({"/packs": ["ours"], "/place/permit_date": date}), loaded)
        assert (report.rules.packs[-1].id, report.failures) == (id, ())
        assert {f.outcome for f in report.findings if f.subject == SOUTH and f.rule.id == "joist-bearing"} == {outcome}
    before = inspect(site_of({"/packs": ["ours"], "/place/permit_date": "2020-01-01"}), loaded)
    (failure,) = before.failures
    assert failure.why.startswith("no edition of it was in force on 2020-01-01, the date of the permit or survey: ")


def test_4_handover_marks_the_base_citation_as_not_adopted(alder: Any) -> None:
    """Off, or going on as advice."""
    topic = alder.topic("notch-depth")
    notch = {f"{EACH}/notches": [{"id": "N1", "from": "S1", "at": 40, "depth": 3, "length": 4, "edge": "bottom"}]}
    for then, outcome, severity in (("off", DOES_NOT_APPLY, "correction"), ("advice", FALLS_SHORT, "advisory")):
        pack = f"handovers: [{{topics: [{topic}], to: Another Code, then: {then}, {WHY}}}]"
        found = alder.run(pack, notch)
        assert (found.one("notch-depth").outcome, found.one("notch-depth").severity) == (outcome, severity)
        text = found.report.rules.references["floor.notches"].text
        assert text.startswith("Another Code, Local Code 1. a local reason. Not adopted here: Notches in sawn joists")


def test_5_what_the_place_sets_is_data_and_an_assumption(alder: Any) -> None:
    """Frost, termites, seismic, flood: filled in where the file is silent; a condition may rest on it."""
    pack = f"""
    parameters: {{frost_depth: 1100 mm, termites: heavy, seismic: D1, flood_zone: true, county: Alder}}
    limits: {{bearing: {{values: {{wood: 4 in}}, when: {{seismic: D1}}, {WHY}}}}}
    """
    report = alder.run(pack).report
    place = report.site.place
    assert (round(place.frost_depth.low, 3), place.seismic, place.flood_zone) == (43.307, "D1", True)
    finding = next(f for f in report.findings if f.subject == SOUTH and f.rule.id == "joist-bearing")
    assert finding.outcome == FALLS_SHORT
    assert "place.seismic D1 by alder, since the file does not say" in finding.assumptions
    assert alder.run(pack, {"/place/seismic": "A"}).of("joist-bearing")[SOUTH] == MEETS


def test_6_documents_and_readings(alder: Any) -> None:
    """Who signs, before which hold point; meter, number and place of readings."""
    pack = """
    documents:
      treated: {says: A certificate of treatment., kinds: [certificate], covers: termite, signed_by: the operator,
                hold_point: final, severity: correction, citation: Local Code 2}
    readings:
      air: {says: The air of the crawl space is dry., of: air.humidity, count: 1, meter: hygrometer, place: mid-height,
            at_most: 70 %, hold_point: final, severity: advisory, citation: Local Code 3}
    """
    paper = {"id": "D1", "kind": "certificate", "covers": "termite", "state": "on-site"}
    unsigned = alder.run(pack, {"/documents": [paper]}).one("treated")
    assert (unsigned.outcome, unsigned.asks) == (NOT_MEASURED, ("document.signed_by",))
    assert "signed by the operator" in unsigned.message("in")
    signed = alder.run(pack, {"/documents": [{**paper, "signed_by": "B. Vole"}]}).one("treated")
    assert (signed.outcome, signed.rule.hold_point) == (MEETS, "final")
    damp = alder.run(pack, {f"{SPACE}/air": {"humidity": 71}})
    assert damp.of("air") == {"readings of air humidity": MEETS, "air": FALLS_SHORT}
    none = alder.run(pack).one("air")
    assert (none.outcome, none.message("in")) == (NOT_MEASURED, "0 of 1 readings (hygrometer; mid-height)")


def test_7_hold_points_added_moved_and_removed(alder: Any) -> None:
    """What waited for a hold point that is removed waits for the one it went into."""
    pack = f"""
    hold_points:
      - {{id: shower-liner-test, before: tile, because: the inspector wants to see the water}}
      - {{id: under-floor, before: subfloor, because: the inspection comes just before the subfloor}}
      - {{id: wet-area, into: tile, because: one visit for both}}
    rules:
      liner-test: {{hold_point: shower-liner-test, {WHY}}}
      joist-bearing: {{hold_point: rough-plumbing, {WHY}}}
    """
    report = alder.run(pack).report
    assert report.rules.hold_points == (
        "rough-plumbing",
        "under-floor",
        "subfloor",
        "shower-liner-test",
        "tile",
        "final",
    )
    points = {r.rule.id: r.rule.hold_point for r in report.rules.rules}
    assert (points["liner-test"], points["liner-slope"], points["joist-bearing"]) == (
        "shower-liner-test", "tile", "rough-plumbing",
    )  # fmt: skip
    assert set(report.hold_points("correction")) == set(report.rules.hold_points)


@pytest.mark.parametrize(
    ("check", "thing", "meets", "short"),
    [
        ("for_each: joist, check: {field: true_depth, per: true_thickness, at_most: 5}", f"{EACH}/size", "2x8", "2x10"),
        ("for_each: ground_cover, check: {field: laps, between: [6 in, 12 in]}", f"{SPACE}/ground_cover/laps", 12, 13),
        (
            "for_each: pier, check: {field: height, at_most: {times: 4, of: width, plus: 2 in}}",
            "/areas/0/piers",
            [{"id": "P1", "width": 8, "height": 34}],
            [{"id": "P1", "width": 8, "height": 35}],
        ),
        (
            "for_each: joist_end, check: {field: bearing, at_least: {limit: bearing/masonry}}",
            f"{EACH}/bearing",
            {"S1": 3, "S2": 3},
            {"S1": 2.9, "S2": 2.9},
        ),
        (
            "for_each: vent, check: {field: net_area, at_least: 0.05 m2}",
            f"{SPACE}/vents/0/net_area",
            "78 sq in",
            "77 sq in",
        ),
    ],
)
def test_8_forms_of_limits(alder: Any, check: str, thing: str, meets: Any, short: Any) -> None:
    """A ratio of two fields, a range, a multiple with an addition, a limit by its name, either system of units."""
    pack = f"""
    new_rules:
      formed: {{says: It is so., {check}, hold_point: under-floor, severity: correction, remedy: Mend it., citation: L 1}}
    """
    assert set(alder.run(pack, {thing: meets}).of("formed").values()) == {MEETS}
    assert set(alder.run(pack, {thing: short}).of("formed").values()) == {FALLS_SHORT}


def test_8_unless_engineering_shows(alder: Any) -> None:
    """At least this, unless a design allows it: the letter takes the place of the number."""
    pack = """
    new_rules:
      apart: {says: Holes stay small unless a design allows them., for_each: hole, where: {designed: false},
              check: {field: diameter, at_most: 1 in}, hold_point: rough-plumbing, severity: correction,
              remedy: Ask a licensed engineer., citation: Local Code 4}
    """
    hole = {"id": "H1", "from": "S1", "at": 30, "diameter": 2}
    for designed, outcome in ((True, DOES_NOT_APPLY), (False, FALLS_SHORT), ("unknown", NOT_MEASURED)):
        found = alder.run(pack, {f"{EACH}/holes": [{**hole, "designed": designed}]})
        assert found.of("apart")["joist J1, hole H1"] == outcome


def test_9_who_may_amend_in_which_order(alder: Any, site_of: Any) -> None:
    """State, then county, then firm; a state may bar others; a firm may be stricter but not looser."""
    state = alder.write("", id="state", level="state", amendable_by=["county"])
    county = alder.write(f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}", id="county", stands_on=["state"])
    firm = {"id": "firm", "level": "firm", "stands_on": ["county"]}
    strict = alder.load(state, county, alder.write(f"limits: {{bearing: {{values: {{wood: 3 in}}, {WHY}}}}}", **firm))
    report = inspect(site_of(), strict)
    assert report.failures == ()
    limit = report.rules.limits["bearing", "wood"]
    assert (limit.set_by, [owner for owner, _, _ in limit.was]) == ("firm", ["wood-floor-base", "county"])
    loose = alder.load(state, county, alder.write(f"limits: {{bearing: {{values: {{wood: 1 in}}, {WHY}}}}}", **firm))
    (failure,) = inspect(site_of(), loose).failures
    assert (failure.pack, failure.why) == ("firm", "state can't be amended by a firm, and this is looser: bearing/wood")
    assert inspect(site_of(), loose).exit_code("correction") == 3


def test_10_without_a_pack_the_base_number_is_said_not_to_be_adopted(alder: Any, site_of: Any) -> None:
    """An unknown place gets the base pack's number, and is told that nobody adopted it."""
    report = inspect(site_of(), alder.installed)
    reference = report.rules.references["floor.joist-bearing"]
    assert not reference.adopted
    assert "Verify with your jurisdiction" in reference.text
