"""Each kind of amendment that a real place has made can be said in a pack, and changes a finding.

The numbers are those of the places as the project's survey of state codes has them (read in public copies, some
recalled); what is tested is that the format can say them. The text of no code stands here.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine import inspect
from inspect_core.engine.choice import Choice
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED
from inspect_core.site import InputError

SPACE = "/areas/0/crawl_space"
COVER = f"{SPACE}/ground_cover"
VENT = f"{SPACE}/vents/0/net_area"
EACH = "/areas/0/joists/0/each"
WHY = "because: a local reason, citation: Local Code 1"


def test_1_a_looser_and_a_tighter_number_in_one_section_with_an_exception(alder: Any) -> None:
    """Washington: a cover always, none over a concrete slab; half the vents; rules switched off."""
    pack = f"""
    limits:
      vent-share: {{values: {{bare: 1/300}}, {WHY}}}
    rules:
      crawl-vent-corners: {{off: true, {WHY}}}
    new_rules:
      cover: {{says: A 6 mil cover lies on the ground., for_each: ground_cover, where: {{kind: {{none_of: [concrete]}}}},
              check: {{field: thickness, at_least: 6 mil}}, hold_point: under-floor, severity: correction,
              remedy: Lay one., citation: Local Code 1}}
    """
    bare = alder.run(pack)
    assert bare.of("crawl-vent-area") == {"crawl space under floor": MEETS}  # 1 sq ft for 300, the model code asks 2
    assert bare.of("cover") == {"ground cover": NOT_MEASURED}
    assert set(bare.of("crawl-vent-corners").values()) == {DOES_NOT_APPLY}
    assert (bare.eased["vent-share/bare"], bare.eased["crawl-vent-corners"]) == ("limit", "rule-off")
    thin = alder.run(pack, {COVER: {"kind": "polyethylene", "thickness": "4 mil"}})
    assert thin.of("cover") == {"ground cover": FALLS_SHORT}
    assert alder.run(pack, {COVER: {"kind": "concrete", "thickness": "2 in"}}).of("cover") == {
        "ground cover": DOES_NOT_APPLY
    }


def test_2_a_rule_with_dates_of_its_own_and_two_editions_by_permit_date(alder: Any, site_of: Any) -> None:
    """Washington: the cover rule fell out and came back within a day; an adoption date slipped twice."""
    section = f"""
    sections:
      - {{title: cover, effective: 2013-11-20, expires: 2023-06-30, rules: {{ground-cover: {{severity: correction, {WHY}}}}}}}
    """
    dates = {"2013-11-19": "advisory", "2013-11-20": "correction", "2023-06-30": "correction", "2023-07-01": "advisory"}
    for date, severity in dates.items():
        assert alder.run(section, {"/place/permit_date": date}).one("ground-cover").severity == severity
    old = f"limits: {{vent-share: {{values: {{bare: 1/150}}, {WHY}}}}}"
    new = f"limits: {{vent-share: {{values: {{bare: 1/300}}, {WHY}}}}}"
    paths = [
        alder.write(old, id="wa-2018", series="wa", effective="2021-02-01", expires="2024-03-14"),
        alder.write(new, id="wa-2021", series="wa", effective="2024-03-15"),
    ]
    loaded = alder.load(*paths)
    for date, outcome, id in (("2024-03-14", FALLS_SHORT, "wa-2018"), ("2024-03-15", MEETS, "wa-2021")):
        changes = {"/place/permit_date": date, "/packs": ["wa"]}
        report = inspect(site_of(changes), replace(loaded, choice=Choice()))
        assert report.failures == ()
        assert [p.id for p in report.rules.packs] == ["wood-floor-base", id]
        assert {f.outcome for f in report.findings if f.rule.id == "crawl-vent-area"} == {outcome}


def test_3_a_topic_handed_to_another_code_with_another_reference(alder: Any) -> None:
    """Washington: plumbing is not adopted; the state plumbing code rules it."""
    pack = """
    handovers:
      - {references: [shower.liner], to: State Plumbing Code, citation: "408", because: another code family}
    """
    wet = {"/areas/0/wet_areas": [{"id": "W1", "kind": "shower", "liner": {"kind": "pvc-sheet", "upturn": 1}}]}
    without = alder.run("", wet).one("liner-upturn")
    assert without.outcome == FALLS_SHORT
    found = alder.run(pack, wet)
    assert found.one("liner-upturn").outcome == DOES_NOT_APPLY
    reference = found.report.rules.references["shower.liner"]
    assert reference.adopted
    assert reference.text.startswith("State Plumbing Code, 408. ")
    assert "Not adopted here: Shower liners; model code" in reference.text


def test_4_a_limit_by_county_and_radon_and_a_rule_for_new_work_only(alder: Any) -> None:
    """Oregon: 1/150 in named counties with radon work, else 1/1500; unvented spaces barred there when new."""
    named = "county: [Baker, Clackamas]"
    pack = f"""
    sections:
      - title: radon counties
        when: {{{named}, radon: true}}
        limits: {{vent-share: {{values: {{bare: 1/150}}, {WHY}}}}}
      - title: elsewhere
        when: [{{county: {{none_of: [Baker, Clackamas]}}}}, {{radon: false}}]
        limits: {{vent-share: {{values: {{bare: 1/1500}}, {WHY}}}}}
    new_rules:
      no-unvented: {{says: No unvented crawl space in new houses., when: {{{named}, category: [new-construction]}},
                    for_each: crawl_space, check: {{field: kind, none_of: [unvented]}}, hold_point: under-floor,
                    severity: correction, remedy: Vent it., citation: Local Code 2}}
    """

    def place(**given: Any) -> dict[str, Any]:
        return {"/place": {"permit_date": "2026-06-01", **given}}

    assert alder.run(pack, place(county="Baker", radon=True)).of("crawl-vent-area") == {
        "crawl space under floor": FALLS_SHORT
    }
    assert alder.run(pack, place(county="Lane", radon=True)).one("crawl-vent-area").outcome == MEETS
    assert alder.run(pack, place(county="Baker", radon=False)).one("crawl-vent-area").outcome == MEETS
    unknown = alder.run(pack, place(county="Baker")).one("crawl-vent-area")
    assert (unknown.outcome, unknown.asks) == (NOT_MEASURED, ("place.radon",))
    unvented = {f"{SPACE}/kind": "unvented", "/site/category": "new-construction"}
    assert alder.run(pack, {**place(county="Baker"), **unvented}).one("no-unvented").outcome == FALLS_SHORT
    assert alder.run(pack, {**place(county="Lane"), **unvented}).one("no-unvented").outcome == DOES_NOT_APPLY
    repair = {**unvented, "/site/category": "repair"}
    assert alder.run(pack, {**place(county="Baker"), **repair}).one("no-unvented").outcome == DOES_NOT_APPLY


def test_5_a_document_a_hold_point_a_table_of_its_own_and_a_deadline(alder: Any) -> None:
    """Oregon: notice that framing is dry; under-floor inspection before the subfloor; own girder table; shoring."""
    pack = """
    hold_points:
      - {id: framing, before: subfloor, because: an inspection before the subfloor goes on}
    documents:
      dry-notice: {says: The official is told that framing is dry., kinds: [notice], covers: moisture, signed_by: contractor,
                   hold_point: framing, severity: correction, citation: Local Code 3}
      shoring-permit: {says: Emergency shoring has a permit., kinds: [permit], covers: shoring, within: 5 business days,
                       hold_point: under-floor, severity: correction, citation: Local Code 4}
    new_rules:
      girder-table: {says: Girders span no more than the table., for_each: joist, quantity: clear span,
                     check: {field: clear_span, at_most: {by: size, values: {2x6: 7 ft, 2x8: 9 ft}}},
                     hold_point: framing, severity: correction, remedy: Add a post., citation: Local Code 5}
      post-tie: {says: Posts are tied; a nailed gusset will do., for_each: support,
                 check: {field: connectors, present: true}, hold_point: framing, severity: advisory,
                 remedy: Nail a gusset., citation: Local Code 6}
    """
    found = alder.run(pack)
    assert found.report.rules.hold_points[1:4] == ("rough-plumbing", "framing", "subfloor")
    assert found.one("dry-notice").outcome == NOT_MEASURED
    assert "5 business days" in found.one("shoring-permit").message("in")
    assert found.one("girder-table").outcome == MEETS  # 8 ft with 2x8, 9 ft by the table
    assert found.one("girder-table").rule.hold_point == "framing"
    smaller = alder.run(pack, {f"{EACH}/size": "2x6"}).one("girder-table")
    assert (smaller.outcome, smaller.check.limit.id) == (FALLS_SHORT, "girder-table/2x6")
    unlisted = alder.run(pack, {f"{EACH}/size": "2x12"}).one("girder-table")
    assert (unlisted.outcome, unlisted.message("in")) == (NOT_MEASURED, "the table has no row for size 2x12")
    unknown = alder.run(pack, {f"{EACH}/size": "unknown"}).one("girder-table")
    assert unknown.outcome == NOT_MEASURED
    paper = {"id": "D1", "kind": "notice", "covers": "moisture of framing", "state": "on-site", "signed_by": "builder"}
    assert alder.run(pack, {"/documents": [paper]}).one("dry-notice").outcome == MEETS
    assert alder.run(pack, {"/documents": [{**paper, "state": "missing"}]}).one("dry-notice").outcome == FALLS_SHORT


def test_6_how_and_how_often_to_measure(alder: Any) -> None:
    """California: not over 19 percent, named meter, 2 to 4 ft from the stamped end, three readings at least."""
    pack = """
    readings:
      framing: {says: Framing is dry when it is covered., of: joist.moisture, count: 3, meter: contact meter,
                place: 2 to 4 ft from the stamped end, at_most: 19 %, hold_point: subfloor, severity: correction,
                citation: Local Code 7}
    """
    three = {"/areas/0/joists/0/at": [0, 20, 40], f"{EACH}/moisture": 18}
    dry = alder.run(pack, three)
    assert dry.of("framing") == {"readings of joist moisture": MEETS, **{f"joist J{n}": MEETS for n in (1, 2, 3)}}
    two = alder.run(pack, {**three, "/areas/0/joists/0/but": {"J3": {"moisture": "unknown"}}}).findings("framing")
    assert [f.outcome for f in two] == [NOT_MEASURED, MEETS, MEETS]
    assert two[0].message("in") == "2 of 3 readings (contact meter; 2 to 4 ft from the stamped end)"
    wet = alder.run(pack, {**three, "/areas/0/joists/0/but": {"J3": {"moisture": 20}}}).of("framing")
    assert wet["joist J3"] == FALLS_SHORT


def test_7_tighter_by_stories_and_span_a_range_and_a_banned_option(alder: Any) -> None:
    """North Carolina: pier caps by stories, L/480 over 20 ft, 3 to 4 in of gap, no mineral wool."""
    pack = f"""
    new_rules:
      cap-one: {{says: Pier caps of 4 in., when: {{stories: {{at_most: 1}}}}, for_each: pier, check: {{field: cap, at_least: 4 in}},
                hold_point: under-floor, severity: correction, remedy: Cast a cap., citation: Local Code 8}}
      cap-two: {{says: Pier caps of 8 in., when: {{stories: {{over: 1}}}}, for_each: pier, check: {{field: cap, at_least: 8 in}},
                hold_point: under-floor, severity: correction, remedy: Cast a cap., citation: Local Code 8}}
      gap: {{says: A gap of 3 to 4 in to look for termites., for_each: ground_cover, quantity: gap,
            check: {{field: wall_upturn, between: [3 in, 4 in]}}, hold_point: under-floor, severity: correction,
            remedy: Cut it back., citation: Local Code 9}}
      no-wool: {{says: No mineral wool in holes., for_each: layer, where: {{kind: insulation}},
                check: {{field: material, none_of: [mineral wool]}}, hold_point: under-floor, severity: correction,
                remedy: Take it out., citation: Local Code 10}}
    limits:
      live-deflection: {{values: {{ceramic-tile: 1/480}}, when: {{longest_span: {{over: 20 ft}}}}, effect: tighter, {WHY}}}
    """
    pier = {"/areas/0/piers": [{"id": "P1", "cap": 6}]}
    one, two = (alder.run(pack, {**pier, "/site/stories": n}) for n in (1, 2))
    assert (one.one("cap-one").outcome, one.one("cap-two").outcome) == (MEETS, DOES_NOT_APPLY)
    assert (two.one("cap-one").outcome, two.one("cap-two").outcome) == (DOES_NOT_APPLY, FALLS_SHORT)
    for gap, outcome in (("2.99", FALLS_SHORT), ("3", MEETS), ("4", MEETS), ("4.01", FALLS_SHORT)):
        cover = {COVER: {"kind": "polyethylene", "wall_upturn": gap}}
        assert alder.run(pack, cover).one("gap").outcome == outcome
    wool = {"/areas/0/layers": [{"id": "L1", "kind": "insulation", "material": "Mineral wool"}]}
    assert alder.run(pack, wool).one("no-wool").outcome == FALLS_SHORT
    # A joist whose deflection lies between 1/480 and 1/360 of the span: short spans are not asked for more.
    long = {"/areas/0/supports/1/at": 241, "/areas/0/outline": "40 x 241", **STIFF}
    limits = {f.check.limit.set_by for f in alder.run(pack, long).findings("joist-live-deflection")}
    assert limits == {"alder"}
    short = {**long, "/areas/0/supports/1/at": 240, "/areas/0/outline": "40 x 240"}
    assert {f.check.limit.set_by for f in alder.run(pack, short).findings("joist-live-deflection")} == {
        "wood-floor-base"
    }


STIFF = {
    f"{EACH}/size": "6x14",
    f"{EACH}/species": "hem-fir",
    f"{EACH}/grade": "No.2",
    f"{EACH}/moisture": 15,
    f"{EACH}/condition": [],
    f"{EACH}/cuts": [],
    f"{EACH}/sisters": [],
    "/areas/0/wet_areas": [],
    "/areas/0/layers": [],
    "/areas/0/fixtures": [],
    "/areas/0/partitions": [],
    "/areas/0/openings": [],
}


def test_8_looser_and_tighter_in_one_rule_a_material_standard_and_who_may_amend(alder: Any, site_of: Any) -> None:
    """South Carolina: 8 in piers, four times as high as thick; a named film; cities write no code of their own."""
    pack = """
    new_rules:
      brick-width: {says: Piers are 8 in wide., for_each: pier, check: {field: width, at_least: 8 in},
                   hold_point: under-floor, severity: correction, remedy: Build one., citation: State Code 1}
      brick-height: {says: Piers are no higher than four times their width., for_each: pier,
                    check: {field: height, at_most: {times: 4, of: width}}, hold_point: under-floor, severity: correction,
                    remedy: Build it wider., citation: State Code 1}
      film: {says: The retarder meets the standard., for_each: layer, where: {kind: vapor-retarder},
             check: {field: standard, one_of: [ASTM E1745 Class A]}, hold_point: under-floor, severity: correction,
             remedy: Lay another film., citation: State Code 2}
    """
    state = {"id": "south", "level": "state", "amendable_by": []}
    pier = {"/areas/0/piers": [{"id": "P1", "width": 8, "height": 33}]}
    found = alder.run(pack, pier, **state)
    assert (found.one("brick-width").outcome, found.one("brick-height").outcome) == (MEETS, FALLS_SHORT)
    assert found.one("brick-height").message("in").startswith("height 33 in, at most 32 in (4 times the width)")
    layer = {"/areas/0/layers": [{"id": "L1", "kind": "vapor-retarder", "standard": "astm e1745 class a"}]}
    assert alder.run(pack, layer, **state).one("film").outcome == MEETS
    town = alder.write("", id="town", level="city", stands_on=["south"])
    with pytest.raises(InputError) as caught:
        inspect(site_of(), alder.load(alder.write(pack, **state), town))
    (problem,) = caught.value.problems
    assert problem.message == "south can't be amended by a city: nobody may"
    assert problem.file.endswith("pack.yaml")
    assert "level: city" in problem.source_line


def test_9_prescriptive_rules_disabled_and_a_paper_before_release(alder: Any) -> None:
    """Florida: notches and spans go to the design standard; termite certificate or contract before final."""
    pack = f"""
    handovers:
      - {{topics: [{alder.topic("notch-depth")}], to: the wood design standard or wind design, {WHY}}}
    documents:
      termites: {{says: The soil is treated and a certificate or contract is there., kinds: [certificate, other],
                 covers: termite, hold_point: final, severity: correction, citation: State Code 3}}
    inspections:
      retreat: {{says: Soil that was dug up for a pier is treated again., evidence: the treatment record,
                when: {{termites: [moderate, heavy, very-heavy]}}, hold_point: under-floor, severity: correction,
                citation: State Code 3}}
    parameters: {{termites: very-heavy}}
    limits:
      clearance-sills: {{value: 6 in, {WHY}}}
    """
    notched = {f"{EACH}/notches": [{"id": "N1", "from": "S1", "at": 40, "depth": 3, "length": 4, "edge": "bottom"}]}
    assert alder.run("", notched).one("notch-depth").outcome == FALLS_SHORT
    found = alder.run(pack, notched)
    assert found.one("notch-depth").outcome == DOES_NOT_APPLY
    assert "wood design standard" in found.report.rules.references["floor.notches"].text
    assert (found.one("termites").outcome, found.one("termites").rule.hold_point) == (NOT_MEASURED, "final")
    contract = {"id": "D1", "kind": "other", "covers": "termite contract", "state": "on-site"}
    assert alder.run(pack, {"/documents": [contract]}).one("termites").outcome == MEETS
    assert found.one("retreat").outcome == NOT_MEASURED
    photo = {"/evidence": [{"id": "E1", "shows": "retreat of the soil"}]}
    assert alder.run(pack, photo).one("retreat").outcome == MEETS
    assert found.one("retreat").assumptions == ("place.termites very-heavy by alder, since the file does not say",)


def test_10_a_topic_replaced_a_rule_deleted_and_a_date_on_a_section(alder: Any) -> None:
    """Georgia: chapters deleted, a rule deleted, and the text carries its own date at the section."""
    pack = f"""
    handovers:
      - {{topics: [{alder.topic("ground-cover")}], to: State Energy Code, effective: 2026-01-01, {WHY}}}
    rules:
      joist-spacing: {{off: true, effective: 2020-01-01, {WHY}}}
    """
    now, before = alder.run(pack), alder.run(pack, {"/place/permit_date": "2025-12-31"})
    assert now.one("ground-cover").outcome == DOES_NOT_APPLY
    assert before.one("ground-cover").outcome == FALLS_SHORT
    assert set(now.of("joist-spacing").values()) == set(before.of("joist-spacing").values()) == {DOES_NOT_APPLY}
    assert "State Energy Code" in now.report.rules.references["crawl.ground-cover"].text
    assert "State Energy Code" not in before.report.rules.references["crawl.ground-cover"].text


def test_11_an_option_list_replaced_with_a_condition_on_humidity(alder: Any) -> None:
    """Arkansas: exhaust and supply only, switched on above 60 percent relative humidity."""
    pack = f"""
    limits:
      unvented-drying: {{words: [exhaust, supply-air], {WHY}}}
    new_rules:
      fan: {{says: Over 60 percent the fan runs., when: {{air.humidity: {{over: 60 %}}}}, for_each: crawl_space,
            check: {{field: drying, one_of: [exhaust, supply-air]}}, hold_point: final, severity: correction,
            remedy: Let it run., citation: State Code 4}}
    """
    unvented = {f"{SPACE}/kind": "unvented", f"{SPACE}/drying": "dehumidifier"}
    assert alder.run("", unvented).one("unvented-drying").outcome == MEETS
    assert alder.run(pack, unvented).one("unvented-drying").outcome == FALLS_SHORT
    damp = {**unvented, f"{SPACE}/air": {"humidity": 61, "temperature": 70}}
    assert alder.run(pack, damp).one("fan").outcome == FALLS_SHORT
    dry = {**unvented, f"{SPACE}/air": {"humidity": 60, "temperature": 70}}
    assert alder.run(pack, dry).one("fan").outcome == DOES_NOT_APPLY
    assert alder.run(pack, unvented).one("fan").outcome == NOT_MEASURED


def test_12_a_trigger_by_ratio_and_a_cut_defined_anew(alder: Any) -> None:
    """Wisconsin: bridging from 4 to 1 on; a hole in the outer 2 in is a notch; houses built since 1980 only."""
    pack = """
    sections:
      - title: dwellings of 1980 and later
        when: {built: {from: 1980}}
        new_rules:
          slender: {says: Joists deeper than four times their thickness have bridging., for_each: joist,
                    check: {field: true_depth, per: true_thickness, at_most: 4}, quantity: depth to thickness,
                    hold_point: under-floor, severity: correction, remedy: Block them every 8 ft., citation: State Code 5}
          hole-as-notch: {says: A hole in the outer 2 in is as small as a notch may be., for_each: hole,
                          where: {wood_above: {under: 2 in}}, hold_point: rough-plumbing, severity: correction,
                          check: {field: diameter, at_most: {fraction: 1/6, of: joist_depth}},
                          remedy: Sister the joist., citation: State Code 6}
    """
    new = {"/site/built": 1990}
    assert alder.run(pack, new).one("slender").outcome == FALLS_SHORT  # 7 1/4 to 1 1/2 is 4.8
    assert alder.run(pack, {**new, f"{EACH}/size": "3x8"}).one("slender").outcome == MEETS
    assert alder.run(pack).one("slender").outcome == DOES_NOT_APPLY  # built 1950
    assert alder.run(pack, remove=["/site/built"]).one("slender").asks == ("site.built",)
    for above, diameter, outcome in (("1", "2", FALLS_SHORT), ("1", "1", MEETS), ("2", "2", DOES_NOT_APPLY)):
        hole = {f"{EACH}/holes": [{"id": "H1", "from": "S1", "at": 30, "diameter": diameter, "wood_above": above}]}
        assert alder.run(pack, {**new, **hole}).of("hole-as-notch")["joist J1, hole H1"] == outcome


def test_13_an_option_replaced_by_equipment_that_must_be_there(alder: Any) -> None:
    """Indiana: an outlet and a pad for a dehumidifier, or a concrete floor over the retarder."""
    pack = f"""
    limits:
      unvented-drying: {{words: [dehumidifier, supply-air], {WHY}}}
    inspections:
      outlet: {{says: An outlet and a pad of 16 x 16 in by the sump., evidence: photo of outlet and pad,
               when: {{crawl_space.drying: dehumidifier}}, hold_point: final, severity: correction, citation: State Code 7}}
    """
    dried = {f"{SPACE}/kind": "unvented", f"{SPACE}/drying": "dehumidifier"}
    assert alder.run(pack, dried).one("outlet").outcome == NOT_MEASURED
    evidence = {"/evidence": [{"id": "E1", "shows": "outlet, pad"}]}
    assert alder.run(pack, {**dried, **evidence}).one("outlet").outcome == MEETS
    aired = {**dried, f"{SPACE}/drying": "supply-air"}
    assert alder.run(pack, aired).one("outlet").outcome == DOES_NOT_APPLY
    assert alder.run(pack, {**dried, f"{SPACE}/drying": "exhaust"}).one("unvented-drying").outcome == FALLS_SHORT


def test_14_a_rule_for_one_kind_of_crawl_space(alder: Any) -> None:
    """Minnesota: radon control in new houses whose crawl space is inside; vented ones and additions are out."""
    pack = """
    documents:
      radon: {says: A record of the radon system., kinds: [test-record], covers: radon,
              when: {crawl_space: [conditioned, unvented], category: [new-construction]}, hold_point: final,
              severity: correction, citation: State Code 8}
    """
    new = {"/site/category": "new-construction"}
    assert alder.run(pack, {**new, f"{SPACE}/kind": "conditioned"}).one("radon").outcome == NOT_MEASURED
    assert alder.run(pack, new).one("radon").outcome == DOES_NOT_APPLY
    addition = {"/site/category": "addition", f"{SPACE}/kind": "conditioned"}
    assert alder.run(pack, addition).one("radon").outcome == DOES_NOT_APPLY


def test_15_a_limit_tighter_at_one_pipe_size(alder: Any) -> None:
    """Massachusetts: a quarter inch per foot up to and with 3 in pipe, an eighth above."""
    pack = """
    new_rules:
      slope-small: {says: Drains up to 3 in fall 1/4 in per ft., for_each: drain, where: {size: {at_most: 3 in}},
                    check: {field: slope, at_least: 1/4 in per ft}, hold_point: rough-plumbing, severity: correction,
                    remedy: Hang it anew., citation: State Code 9}
      slope-large: {says: Larger drains fall 1/8 in per ft., for_each: drain, where: {size: {over: 3 in}},
                    check: {field: slope, at_least: 1/8 in per ft}, hold_point: rough-plumbing, severity: correction,
                    remedy: Hang it anew., citation: State Code 9}
    """
    for size, small, large in (("3", FALLS_SHORT, DOES_NOT_APPLY), ("4", DOES_NOT_APPLY, MEETS)):
        drain = {"/areas/0/drains": [{"id": "D1", "size": size, "slope": "1/8 in per ft"}]}
        found = alder.run(pack, drain)
        assert (found.one("slope-small").outcome, found.one("slope-large").outcome) == (small, large)


def test_16_rules_chosen_by_the_category_of_the_work(alder: Any) -> None:
    """New Jersey: model rules are off for existing parts in a repair; in a reconstruction they are not."""
    pack = f"""
    rules:
      joist-bearing: {{off: true, when: {{category: [repair], work: [existing]}}, {WHY}}}
    """
    short = {f"{EACH}/bearing/S1": 1}
    south = "joist J1, south end on S1"
    repair, rebuild = (
        alder.run(pack, {**short, "/site/category": category}).of("joist-bearing")[south]
        for category in ("repair", "reconstruction")
    )
    assert (repair, rebuild) == (DOES_NOT_APPLY, FALLS_SHORT)
    new = alder.run(pack, {**short, "/site/category": "repair", f"{EACH}/work": "new"})
    assert new.of("joist-bearing")[south] == FALLS_SHORT
    unknown = next(f for f in alder.run(pack, short).findings("joist-bearing") if f.subject == south)
    assert (unknown.outcome, unknown.asks) == (NOT_MEASURED, ("site.category",))


def test_17_a_looser_limit_for_what_is_there_and_duties_on_uncovering(alder: Any) -> None:
    """Existing-building path: as it was, but unsound wood is mended; over 5 percent more load wants a letter."""
    pack = f"""
    limits:
      bearing: {{values: {{wood: 1 in}}, when: {{work: existing}}, {WHY}}}
    inspections:
      uncovered: {{says: Members found unsound on opening are mended., evidence: photo of each opened bay, count: 2,
                  hold_point: under-floor, severity: correction, citation: Existing Code 302.4}}
    documents:
      more-load: {{says: A letter where dead or live load grows by more than 5 percent., kinds: [engineer-letter],
                  covers: load, when: {{category: [alteration, reconstruction]}}, hold_point: under-floor,
                  severity: correction, citation: Existing Code 503.3}}
    """
    south = "joist J1, south end on S1"
    inch = {f"{EACH}/bearing/S1": 1}
    assert alder.run(pack, inch).of("joist-bearing")[south] == MEETS
    assert alder.run(pack, {**inch, f"{EACH}/work": "new"}).of("joist-bearing")[south] == FALLS_SHORT
    unknown = alder.run(pack, inch, remove=["/site/work"]).findings("joist-bearing")
    finding = next(f for f in unknown if f.subject == south)
    assert (finding.outcome, finding.asks) == (NOT_MEASURED, ("joist.work",))
    alteration = alder.run(pack, {"/site/category": "alteration"})
    assert alteration.one("more-load").outcome == NOT_MEASURED
    assert alder.run(pack, {"/site/category": "repair"}).one("more-load").outcome == DOES_NOT_APPLY
    assert alteration.one("uncovered").outcome == NOT_MEASURED


def test_18_a_rule_added_by_seismic_category(alder: Any) -> None:
    """Retrofit areas: posts on isolated pads along the perimeter are a named weakness; blocks and rim are tied."""
    pack = """
    new_rules:
      isolated-pads: {says: Piers that stand alone are tied to the frame., when: {seismic: [D0, D1, D2]}, for_each: pier,
                      check: {field: tied, is: true}, hold_point: under-floor, severity: correction,
                      remedy: Have a licensed engineer design the retrofit., citation: Retrofit Code A3}
    """
    pier = {"/areas/0/piers": [{"id": "P1", "tied": False}]}
    for seismic, outcome in (("D1", FALLS_SHORT), ("C", DOES_NOT_APPLY), ("unknown", NOT_MEASURED)):
        found = alder.run(pack, {**pier, "/place/seismic": seismic})
        assert found.one("isolated-pads").outcome == outcome
    tied = {"/areas/0/piers": [{"id": "P1", "tied": True}], "/place/seismic": "unknown"}
    assert alder.run(pack, tied).one("isolated-pads").outcome == MEETS  # whichever it is


def test_19_a_table_instead_of_a_calculation_and_an_option_list(alder: Any) -> None:
    """Small towns: fixed sizes (2x8 to 13 ft), 4 in of bearing in masonry, vents 1/200, a list of covers."""
    pack = f"""
    limits:
      bearing: {{values: {{masonry: 4 in}}, {WHY}}}
      vent-share: {{values: {{bare: 1/200}}, {WHY}}}
    rules:
      joist-bending: {{off: true, {WHY}}}
    new_rules:
      sizes: {{says: Joists span no more than the town's table., for_each: joist,
              check: {{field: clear_span, at_most: {{by: size, values: {{2x6: 10 ft, 2x8: 13 ft}}}}}},
              hold_point: under-floor, severity: correction, remedy: Add a beam., citation: Town Code 150}}
      covers: {{says: The ground is covered with one of these., for_each: ground_cover,
               check: {{field: kind, one_of: [polyethylene, concrete, gravel]}}, hold_point: under-floor,
               severity: correction, remedy: Cover it., citation: Town Code 150}}
    """
    found = alder.run(pack, {f"{EACH}/bearing/S2": "3 7/8"})
    assert found.of("joist-bearing")["joist J1, north end on S2"] == FALLS_SHORT
    assert found.one("crawl-vent-area").outcome == FALLS_SHORT  # 1 sq ft, 1 1/2 is asked
    assert found.one("sizes").outcome == MEETS
    assert found.one("covers").outcome == FALLS_SHORT
    assert set(found.of("joist-bending").values()) == {DOES_NOT_APPLY}
    assert alder.run(pack, {VENT: "1.5 sq ft"}).one("crawl-vent-area").outcome == MEETS


def test_20_one_number_a_definition_and_what_the_place_sets(alder: Any) -> None:
    """City edits: a bathroom is never a sleeping area; plates under 1 1/2 in; frost 42 in, termites moderate."""
    pack = f"""
    limits:
      live-load: {{values: {{bedroom: 40 psf}}, effect: tighter, {WHY}}}
    parameters: {{frost_depth: 42 in, termites: moderate}}
    new_rules:
      frost: {{says: Footings reach below the frost., for_each: footing, check: {{field: depth, at_least: 42 in}},
              hold_point: under-floor, severity: correction, remedy: Dig deeper., citation: City Code 1}}
    """
    footing = {"/areas/0/footings": [{"id": "F1", "depth": 40}]}
    found = alder.run(pack, footing)
    assert found.one("frost").outcome == FALLS_SHORT
    place = found.report.site.place
    assert (place.frost_depth.low, place.termites) == (42, "moderate")
    assert found.report.notes == (
        "alder fills in what the file does not say of the place: frost_depth 3 ft 6 in, termites moderate",
    )
    told = alder.run(pack, {**footing, "/place/frost_depth": 30}).report
    assert told.site.place.frost_depth.low == 30  # the file counts
    assert "the file says place.frost_depth 30 in, alder says 3 ft 6 in; the file's counts" in told.notes
    assert found.report.rules.limits["live-load", "bedroom"].set_by == "alder"


def test_21_license_and_permit_exemptions_and_a_paper_instead_of_a_stamp(alder: Any) -> None:
    """Texas: owners need a permit but no license; Peosta: historic repairs; New York: a mill letter for a stamp."""
    pack = f"""
    documents:
      permit: {{says: A plumbing permit is there., kinds: [permit], hold_point: rough-plumbing, severity: correction,
               citation: City Code 2}}
      license: {{says: The plumber has a license., kinds: [license], when: {{owner_occupied: false}},
                hold_point: rough-plumbing, severity: correction, citation: City Code 3}}
      mill-letter: {{says: Lumber without a stamp has a letter of the mill., kinds: [certificate, engineer-letter],
                    covers: lumber, hold_point: under-floor, severity: correction, citation: City Code 4}}
    rules:
      joist-bearing: {{off: true, when: {{historic: true, work: [existing, altered]}}, {WHY}}}
    """
    owner = alder.run(pack, {"/site/owner_occupied": True})
    assert (owner.one("permit").outcome, owner.one("license").outcome) == (NOT_MEASURED, DOES_NOT_APPLY)
    hired = alder.run(pack, {"/site/owner_occupied": False, "/documents": []})
    assert (hired.one("permit").outcome, hired.one("license").outcome) == (FALLS_SHORT, FALLS_SHORT)
    letter = {"id": "D1", "kind": "certificate", "covers": "lumber of the mill", "state": "on-site"}
    assert alder.run(pack, {"/documents": [letter]}).one("mill-letter").outcome == MEETS
    historic = alder.run(pack, {"/site/historic": True, f"{EACH}/bearing/S1": 1})
    assert set(historic.of("joist-bearing").values()) == {DOES_NOT_APPLY}
