"""A condition that can't be told never decides by itself: both ways are tried, and the answer is what they agree on."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.choice import Choice
from inspect_core.engine.gates import verdicts
from inspect_core.quantities import Dimension, exactly, parse
from inspect_core.quantities.dates import day, within
from inspect_core.rules_api import (
    DOES_NOT_APPLY,
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Gate,
    LimitDef,
    Pack,
    Reference,
    Section,
    check,
    fact,
    named,
    rule,
    when,
)
from inspect_core.rules_api.conditions import holds

EACH = "/areas/0/joists/0/each"
SOUTH = "joist J1, south end on S1"
WHY = "because: a local reason, citation: Local Code 1"


def bearing(alder: Any, pack: str, length: Any, changes: dict[str, Any] | None = None, remove: Any = ()) -> Any:
    found = alder.run(pack, {f"{EACH}/bearing/S1": length, **(changes or {})}, remove)
    return next(f for f in found.findings("joist-bearing") if f.subject == SOUTH)


def limit(value: str, condition: str) -> str:
    return f"limits: {{bearing: {{values: {{wood: {value}}}, when: {{{condition}}}, {WHY}}}}}"


@pytest.mark.parametrize(
    ("length", "outcome"), [("1", FALLS_SHORT), ("2", NOT_MEASURED), ("3", MEETS), ("unknown", NOT_MEASURED)]
)
def test_unknown_conditions_are_tried_both_ways(alder: Any, length: str, outcome: str) -> None:
    """1 1/2 in without the condition, 2 1/2 in with it: only what lies between depends on it."""
    finding = bearing(alder, limit("2 1/2 in", "seismic: [D0, D1]"), length)
    assert finding.outcome == outcome
    if length == "2":
        assert finding.asks == ("place.seismic",)
        assert finding.message("in") == (
            "a local rule holds where place.seismic is D0 or D1, which is not known. If so: bearing 2 in, at least "
            "2 1/2 in needed: short by 1/2 in. If not: bearing 2 in, at least 1 1/2 in needed"
        )
    if outcome in (MEETS, FALLS_SHORT):
        assert finding.assumptions == (
            "a local rule holds where place.seismic is D0 or D1, which is not known: it comes to the same",
        )


def test_known_conditions_decide(alder: Any) -> None:
    pack = limit("2 1/2 in", "seismic: [D0, D1]")
    outcomes = [bearing(alder, pack, "2", {"/place/seismic": s}).outcome for s in ("D1", "B", "unknown")]
    assert outcomes == [FALLS_SHORT, MEETS, NOT_MEASURED]


def test_work_is_asked_of_each_subject(alder: Any) -> None:
    pack = limit("2 1/2 in", "work: [new, altered]")
    three = {
        "/areas/0/joists/0/at": [0, 20, 40],
        "/areas/0/joists/0/but": {"J2": {"work": "new"}, "J3": {"work": "unknown"}},
    }
    found = alder.run(pack, {**three, f"{EACH}/bearing/S1": 2}, ["/site/work"])
    outcomes = {f.subject: f.outcome for f in found.findings("joist-bearing") if "S1" in f.subject}
    assert list(outcomes.values()) == [NOT_MEASURED, FALLS_SHORT, NOT_MEASURED]
    existing = alder.run(pack, {**three, f"{EACH}/bearing/S1": 2, "/areas/0/joists/0/but/J3/work": "existing"})
    outcomes = {f.subject: f.outcome for f in existing.findings("joist-bearing") if "S1" in f.subject}
    assert list(outcomes.values()) == [MEETS, FALLS_SHORT, MEETS]


def test_areas_are_decided_one_by_one(alder: Any) -> None:
    pack = limit("2 1/2 in", "crawl_space: [unvented]")
    data = alder.run(pack).report.site.document.data
    other = {**data["areas"][0], "id": "other", "crawl_space": {"kind": "unvented"}}
    found = alder.run(pack, {"/areas/-": other, f"{EACH}/bearing/S1": 2, "/areas/1/joists/0/each/bearing/S1": 2})
    outcomes = {f.subject: f.outcome for f in found.findings("joist-bearing") if "S1" in f.subject}
    assert outcomes == {"joist J1, south end on S1 in floor": MEETS, "joist J1, south end on S1 in other": FALLS_SHORT}


def test_two_unknown_conditions(alder: Any) -> None:
    pack = f"""
    sections:
      - {{title: a, when: {{seismic: D1}}, limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}}}
      - {{title: b, when: {{flood_zone: true}}, limits: {{bearing: {{values: {{wood: 3 in}}, {WHY}}}}}}}
    """
    assert bearing(alder, pack, "1").outcome == FALLS_SHORT
    assert bearing(alder, pack, "3").outcome == MEETS
    between = bearing(alder, pack, "2.5")
    assert (between.outcome, between.asks) == (NOT_MEASURED, ("place.seismic", "place.flood_zone"))
    dry = bearing(alder, pack, "2.5", {"/place/flood_zone": False})
    assert dry.outcome == MEETS


def test_more_unknown_conditions_than_anybody_tries(alder: Any) -> None:
    conditions = ["seismic: D1", "flood_zone: true", "radon: true", "historic: true", "state: X", "city: Y"]
    sections = "".join(
        f"  - {{title: t, when: {{{c}}}, limits: {{bearing: {{values: {{wood: {n + 2} in}}, {WHY}}}}}}}\n"
        for n, c in enumerate(conditions)
    )
    finding = bearing(alder, f"sections:\n{sections}", "30")
    assert finding.outcome == NOT_MEASURED
    assert len(finding.asks) == 6


def test_a_rule_switched_off_under_an_unknown_condition(alder: Any) -> None:
    pack = f"rules: {{joist-bearing: {{off: true, when: {{historic: true}}, {WHY}}}}}"
    assert bearing(alder, pack, "3").outcome == MEETS  # it does not apply, or it meets: either way nothing to do
    short = bearing(alder, pack, "1")
    assert (short.outcome, short.asks) == (NOT_MEASURED, ("site.historic",))
    assert bearing(alder, pack, "1", {"/site/historic": True}).outcome == DOES_NOT_APPLY


@pytest.mark.parametrize(
    ("date", "outcome"),
    [("2025-12-31", MEETS), ("2026-01-01", FALLS_SHORT), ("2027-01-01", MEETS), ("2026", FALLS_SHORT)],
)
def test_a_section_in_its_dates(alder: Any, date: str, outcome: str) -> None:
    pack = f"sections: [{{title: t, effective: 2026-01-01, expires: 2026-12-31, limits: {{bearing: {{values: {{wood: 3 in}}, {WHY}}}}}}}]"
    assert bearing(alder, pack, "2", {"/place/permit_date": date}).outcome == outcome


def test_a_section_with_a_date_and_a_site_without(alder: Any) -> None:
    pack = f"sections: [{{title: t, effective: 2026-01-01, limits: {{bearing: {{values: {{wood: 3 in}}, {WHY}}}}}}}]"
    finding = bearing(alder, pack, "2", remove=["/place"])
    assert (finding.outcome, finding.asks) == (NOT_MEASURED, ("place.permit_date",))
    # The survey's date counts where there is no permit.
    assert bearing(alder, pack, "2", {"/site/date": "2025-05-05"}, ["/place"]).outcome == MEETS


def test_texts_of_unknown_sections_are_left_out_and_that_is_said(alder: Any) -> None:
    pack = "sections: [{title: t, when: {flood_zone: true}, references: {floor.notches: Flood Code 3}}]"
    unknown = alder.run(pack).report
    assert unknown.rules.references["floor.notches"].text.startswith("Notches in sawn joists")
    assert unknown.notes == ("alder has floor.notches where place.flood_zone is yes: not known, left out",)
    known = alder.run(pack, {"/place/flood_zone": True}).report
    assert (known.rules.references["floor.notches"].text, known.notes) == ("Flood Code 3", ())


# --- the grammar ---


@pytest.mark.parametrize(
    ("condition", "value", "verdict"),
    [
        ({"built": {"before": 1978}}, 1977, True),
        ({"built": {"before": 1978}}, 1978, False),
        ({"built": {"from": 1978}}, 1978, True),
        ({"built": {"before": 1978}}, None, None),
        ({"county": ["Alder"]}, " ALDER ", True),
        ({"county": {"none_of": ["Alder"]}}, "Birch", True),
        ({"county": {"present": True}}, None, None),
        ({"county": {"present": True}}, "Birch", True),
        ({"flood_zone": True}, False, False),
        ({"flood_zone": True}, None, None),
        ({"permit_date": {"from": "2026-01-01"}}, "2026-01", True),
        ({"permit_date": {"from": "2026-01-15"}}, "2026-01", None),
        ({"permit_date": {"before": "2026-01-15"}}, "2026-01-14", True),
        ({"permit_date": {"before": "2026-01-15"}}, "next week", None),
        ({"frost_depth": {"over": "30 in"}}, parse("30", Dimension.LENGTH, "in"), False),
        ({"frost_depth": {"at_least": "30 in"}}, parse("762 mm", Dimension.LENGTH, "in"), True),
        ({"frost_depth": {"at_least": "30 in"}}, parse("20 .. 40", Dimension.LENGTH, "in"), None),
        ({"frost_depth": {"at_least": "30 in"}}, parse("~40", Dimension.LENGTH, "in"), None),
    ],
)
def test_one_test(condition: dict[str, Any], value: Any, verdict: bool | None) -> None:
    ((test,),) = when(condition).any_of
    assert holds(test, value) is verdict


def test_words_for_people() -> None:
    condition = when([{"county": ["A", "B"], "work": "new"}, {"stories": {"over": 2}}])
    assert condition.words() == "place.county is A or B and work is new; or site.stories is over 2"
    assert condition.fields == ("place.county", "work", "site.stories")


def test_everything_wrong_in_a_condition_is_told() -> None:
    with pytest.raises(ValueError, match="there is no condition 'conty'; did you mean 'county'") as caught:
        when({"conty": "A", "seismic": {"over": "D0"}, "stories": "many"})
    assert "over can't be asked of place.seismic" in str(caught.value)
    assert "one_of can't be asked of site.stories" in str(caught.value)


@pytest.mark.parametrize("text", ["2026-13-01", "2026-02-30", "26-01-01", "2026-1-1-1", "", "soon", "２０２６-01-01"])
def test_what_is_no_date(text: str) -> None:
    assert day(text) is None


@given(st.dates(), st.dates(), st.dates())
def test_a_day_lies_within_or_not(found: Any, begins: Any, ends: Any) -> None:
    one = day(found.isoformat().zfill(10))
    if one is not None:
        assert within(one, begins.isoformat(), ends.isoformat()) is (begins <= found <= ends)


BUILT = st.sampled_from([None, 1900, 1977, 1978, 2000])
SEISMIC = st.sampled_from([None, "A", "D1", "E"])


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(BUILT, SEISMIC, st.sampled_from(["and", "or"]))
def test_forgetting_a_field_never_turns_a_verdict_over(
    site_of: Any, built: int | None, seismic: str | None, how: str
) -> None:
    """What is known with less knowledge stays so with more: None may become anything, True and False never change."""
    parts: list[dict[str, Any]] = [{"built": {"before": 1978}}, {"seismic": ["D1", "E"]}]
    gate = Gate(when(parts if how == "or" else {**parts[0], **parts[1]}))

    def verdict(year: int | None, category: str | None) -> bool | None:
        site = site_of({"/site/built": year or "unknown", "/place/seismic": category or "unknown"})
        (only,) = set(verdicts(gate, site, None))
        return only

    full = verdict(built, seismic)
    for year, category in ((None, seismic), (built, None), (None, None)):
        assert verdict(year, category) in (None, full)


def test_a_run_with_a_pack_that_changes_nothing_is_the_run_without(alder: Any, site_of: Any) -> None:
    without = inspect(site_of(), alder.installed).findings
    with_it = alder.run("").report.findings
    assert [(f.rule.id, f.subject, f.outcome) for f in with_it] == [(f.rule.id, f.subject, f.outcome) for f in without]


def test_a_rule_may_rest_on_limits_that_it_does_not_name(alder: Any) -> None:
    """Loads are worked out once for every rule about strength: an unknown condition on one reaches them all."""
    beam = {
        "/areas/0/joists/0/at": [0, 20, 40],
        f"{EACH}/species": "hem-fir", f"{EACH}/grade": "No.2", f"{EACH}/moisture": 15, f"{EACH}/condition": [],
        f"{EACH}/cuts": [], f"{EACH}/sisters": [], "/areas/0/layers": [], "/areas/0/fixtures": [], "/areas/0/partitions": [],
        "/areas/0/openings": [], "/areas/0/wet_areas": [], f"{EACH}/size": "2x4",
    }  # fmt: skip
    pack = (
        f"limits: {{live-load: {{values: {{bathroom: 400 psf}}, when: {{flood_zone: true}}, effect: tighter, {WHY}}}}}"
    )
    without = alder.run("", beam)
    short = {(f.rule.id, f.subject) for f in without.report.findings if f.outcome == MEETS}
    flooded = alder.run(pack, {**beam, "/place/flood_zone": True}).report.findings
    changed = {(f.rule.id, f.subject) for f in flooded if f.outcome == FALLS_SHORT} & short
    assert changed  # ten times the load is too much for something
    unknown = {(f.rule.id, f.subject): f.outcome for f in alder.run(pack, beam).report.findings}
    assert {key: unknown[key] for key in changed} == dict.fromkeys(changed, NOT_MEASURED)


def test_a_limit_that_a_rule_keeps_to_itself_is_found_out(site_of: Any) -> None:
    """The rule names no limit at all; the condition on the one it uses still counts, and only for this rule."""
    length = Dimension.LENGTH

    def secret(area: Any, limits: Any) -> Any:
        """Each support is wide enough."""
        for support in area.supports or ():
            yield check(named(support), measured=support.width, at_least=limits["hidden"])

    def open_one(area: Any, limits: Any) -> Any:
        """Each support is somewhere."""
        for support in area.supports or ():
            yield fact(named(support), support.at is not None, expected="a place")

    def made(function: Any, id: str) -> Any:
        return rule(id, hold_point="final", severity="correction", reference="x", quantity="width", remedy="Widen it.")(
            function
        )

    def limit_of(inches: float, by: str) -> LimitDef:
        return LimitDef("hidden", "Width", length, {"": exactly(inches, length)}, "a source", "computed", set_by=by)

    base = Pack(
        id="tiny", version="1", title="Tiny", api=1, rules=(made(secret, "secret"), made(open_one, "open-one")),
        limits={"hidden": limit_of(5, "tiny")}, references={"x": Reference("x", "Text.")},
    )  # fmt: skip
    gate = Gate(when({"flood_zone": True}))
    local = Pack(
        id="local", version="1", title="Local", api=1, stands_on=("tiny",),
        sections=(Section(gate=gate, limits={"hidden": limit_of(7, "local")}),),
    )  # fmt: skip
    loaded = LoadedPacks((base, local), (), Choice(("local",)))
    for flooded, outcomes in (
        (True, [FALLS_SHORT, MEETS]),
        (False, [MEETS, MEETS]),
        ("unknown", [NOT_MEASURED, MEETS]),
    ):
        report = inspect(site_of({"/place/flood_zone": flooded}), loaded)
        assert report.failures == ()
        assert [f.outcome for f in report.findings if f.rule.id == "secret"] == outcomes  # 5 1/2 in and 8 in
        others = [f for f in report.findings if f.rule.id == "open-one"]
        assert [(f.outcome, f.assumptions) for f in others] == [(MEETS, ()), (MEETS, ())]
