"""Rules from templates obey the same laws as every other rule: unknown is never a pass, and nothing is ever silent."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.things import KINDS, is_of_site
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED
from inspect_core.rules_api.fields import field_kind, fields_of
from inspect_core.site import site_from_text

EACH = "/areas/0/joists/0/each"
RULE = "says: So., hold_point: under-floor, severity: correction, remedy: Mend it., citation: Local Code 1"
SHARE = f"""
new_rules:
  share: {{for_each: hole, where: {{designed: false}}, check: {{field: diameter, at_most: {{fraction: 1/4, of: joist_depth, plus: 1/4 in}}}}, {RULE}}}
"""
RANK = {FALLS_SHORT: 0, NOT_MEASURED: 1, MEETS: 2, DOES_NOT_APPLY: 3}


@cache
def smallest() -> Any:
    return site_from_text(
        "format: 1\nunits: in\nsite: {name: Small, invented: true}\nareas: [{id: a}]\n", "smallest.site.yaml"
    )


def kinds_and_fields() -> list[tuple[str, str, str]]:
    """One field of each form for each kind of thing."""
    found = {}
    for kind in KINDS:
        for name in fields_of(kind):
            form = field_kind(f"{kind}.{name}")
            if form is not None and form.kind in ("quantity", "words", "boolean", "text", "list", "part"):
                found.setdefault((kind, form.kind), name)
    return [(kind, name, form) for (kind, form), name in found.items()]


CHECKS = {
    "quantity": "present: true", "words": "present: true", "boolean": "is: true", "text": "present: true",
    "list": "present: true", "part": "present: true",
}  # fmt: skip


def test_every_kind_of_thing_answers_about_the_smallest_site(alder: Any) -> None:
    """Whatever a template goes through: the smallest site yields a finding that asks, and nothing that meets."""
    rules = "\n".join(
        f"  r{n}: {{for_each: {kind}, check: {{field: {name}, {CHECKS[form]}}}, {RULE}}}"
        for n, (kind, name, form) in enumerate(kinds_and_fields())
    )
    loaded: LoadedPacks = alder.load(alder.write(f"new_rules:\n{rules}"))
    report = inspect(smallest(), loaded)
    assert report.failures == ()
    for n, (kind, _, _) in enumerate(kinds_and_fields()):
        found = [f for f in report.findings if f.rule.id == f"r{n}"]
        assert found, kind
        # The house has a name and the area an id in every site; nothing else is described.
        assert {f.outcome for f in found} == {NOT_MEASURED} or kind in ("area", "site"), kind
        assert all(f.asks for f in found if f.outcome == NOT_MEASURED)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if not is_of_site(kind)])
def test_a_full_site_is_gone_through_without_a_failure(alder: Any, kind: str) -> None:
    from pathlib import Path

    from inspect_core.site import load_site

    fields = [(name, field_kind(f"{kind}.{name}")) for name in fields_of(kind)]
    rules = "\n".join(
        f"  r{n}: {{for_each: {kind}, check: {{field: {name}, {CHECKS[form.kind]}}}, {RULE}}}"
        for n, (name, form) in enumerate(fields)
        if form is not None and form.kind in CHECKS
    )
    loaded = alder.load(alder.write(f"new_rules:\n{rules}"))
    for file in sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))[:2]:
        assert inspect(load_site(file), loaded).failures == ()


def hole(alder: Any, loaded: LoadedPacks, **given: Any) -> str:
    data = {"id": "H1", "from": "S1", "at": 30, "diameter": 1, "designed": False, **given}
    return alder.run(loaded, {f"{EACH}/holes": [data], f"{EACH}/size": "2x8"}).of("share")["joist J1, hole H1"]


SIZES = st.floats(0.25, 6).map(lambda inches: round(inches, 3))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(SIZES, SIZES)
def test_laws(alder: Any, one: float, other: float) -> None:
    loaded = alder.load(alder.write(SHARE))
    small, large = sorted((one, other))
    smaller, larger, between = (hole(alder, loaded, diameter=d) for d in (small, large, f"{small} .. {large}"))
    assert RANK[larger] <= RANK[smaller]  # a bigger hole never turns into a pass
    assert hole(alder, loaded, diameter=f"{one * 25.4:.6f} mm") == hole(alder, loaded, diameter=one)
    assert between == (smaller if smaller == larger else NOT_MEASURED)
    assert hole(alder, loaded, diameter="unknown") == NOT_MEASURED
    assert hole(alder, loaded, diameter=one, designed="unknown") in (MEETS, NOT_MEASURED)


@pytest.mark.parametrize(
    ("size", "outcome"), [("2 1/16", MEETS), ("2 1/8", FALLS_SHORT), ("2.0625", MEETS), ("2.063", FALLS_SHORT)]
)
def test_at_the_limit_and_a_hair_past(alder: Any, size: str, outcome: str) -> None:
    """A quarter of 7 1/4 in and a quarter inch more: 2 1/16 in."""
    assert hole(alder, alder.load(alder.write(SHARE)), diameter=size) == outcome


def test_what_a_template_asks_for_when_it_is_not_known(alder: Any) -> None:
    loaded = alder.load(alder.write(SHARE))
    found = alder.run(loaded, {f"{EACH}/holes": [{"id": "H1", "from": "S1", "at": 30, "designed": False}]})
    (finding,) = [f for f in found.findings("share") if f.subject == "joist J1, hole H1"]
    assert finding.asks == ("hole.diameter",)
    found = alder.run(loaded, {f"{EACH}/holes": [{"id": "H1", "diameter": 1, "designed": False}]}, [f"{EACH}/size"])
    (finding,) = [f for f in found.findings("share") if f.subject == "joist J1, hole H1"]
    assert finding.asks == ("joist.size",)


PIPES = f"""
new_rules:
  straps: {{for_each: water_pipe, where: {{material: [copper, pex]}}, check: {{field: supports_every, at_most: 4 ft}}, {RULE}}}
  lights: {{for_each: electrical, check: {{field: crawl_lights, one_of: [no-lights, gfci]}}, {RULE}}}
  circuit: {{for_each: electrical, check: {{field: bath_circuit, at_least: 20}}, {RULE}}}
  underside: {{for_each: fire, where: {{underside: [open]}}, check: {{field: unprotected_area, at_most: 80 sq ft}}, {RULE}}}
  gaps: {{for_each: fire, check: {{field: pipe_gaps_closed, is: true}}, {RULE}}}
"""


def test_water_pipes_wiring_and_fire_protection(alder: Any) -> None:
    """Lists and single parts of an area: each thing answers for itself, and what nobody said is asked for."""
    loaded = alder.load(alder.write(PIPES))
    pipes = [
        {"id": "CW1", "material": "copper", "supports_every": "4 ft"},
        {"id": "CW2", "material": "pex", "supports_every": "49 in"},
        {"id": "CW3", "material": "cpvc", "supports_every": "6 ft"},
        {"id": "CW4", "supports_every": "6 ft"},
    ]
    found = alder.run(
        loaded,
        {
            "/areas/0/water_pipes": pipes,
            "/areas/0/electrical": {"crawl_lights": "without-gfci", "bath_circuit": 20},
            "/areas/0/fire": {"underside": "open", "unprotected_area": "81 sq ft", "pipe_gaps_closed": True},
        },
    )
    assert found.of("straps") == {
        "water pipe CW1": MEETS,
        "water pipe CW2": FALLS_SHORT,
        "water pipe CW3": DOES_NOT_APPLY,
        "water pipe CW4": NOT_MEASURED,  # nobody said what it is made of
    }
    wanted = {"lights": FALLS_SHORT, "circuit": MEETS, "underside": FALLS_SHORT, "gaps": MEETS}
    subjects = {"lights": "wiring", "circuit": "wiring", "underside": "fire protection", "gaps": "fire protection"}
    assert {rule: found.of(rule) for rule in wanted} == {rule: {subjects[rule]: wanted[rule]} for rule in wanted}
    assert found.one("gaps").check.subject.path == ("areas", 0, "fire")
    silent = alder.run(loaded)
    assert silent.of("straps") == {"water pipes": NOT_MEASURED}
    assert silent.one("straps").asks == ("water_pipe.supports_every",)
    assert silent.one("lights").asks == ("electrical.crawl_lights",)
    assert "nothing is said about the wiring" in silent.one("lights").message("in")
    assert "nothing is said about the fire protection" in silent.one("gaps").message("in")
    assert alder.run(loaded, {"/areas/0/water_pipes": []}).of("straps") == {"water pipes": DOES_NOT_APPLY}


def test_a_limit_that_nobody_read_makes_advice_only(alder: Any) -> None:
    loaded = alder.load(alder.write(SHARE.replace("citation: Local Code 1", "citation: recalled, status: from memory")))
    found = alder.run(loaded, {f"{EACH}/holes": [{"id": "H1", "from": "S1", "diameter": 3, "designed": False}]})
    (finding,) = [f for f in found.findings("share") if f.subject == "joist J1, hole H1"]
    assert (finding.outcome, finding.severity) == (FALLS_SHORT, "advisory")


def test_a_later_pack_may_change_the_number_of_a_template(alder: Any, site_of: Any) -> None:
    state = alder.write(SHARE, id="state", level="state")
    county = alder.write(
        "limits: {share: {value: 1/2, because: a reason, citation: County Code 2}}", id="county", stands_on=["state"]
    )
    report = inspect(
        site_of({f"{EACH}/holes": [{"id": "H1", "from": "S1", "diameter": 3, "designed": False}]}),
        alder.load(state, county),
    )
    (finding,) = [f for f in report.findings if f.rule.id == "share" and "H1" in f.subject]
    assert (finding.outcome, finding.check.limit.set_by, finding.check.limit.was[0][0]) == (MEETS, "county", "state")
    assert [one.name for one in report.loosened] == ["share"]
