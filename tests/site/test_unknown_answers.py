"""`unknown` is an answer of its own: it does not fall back on the site's default, nor does it mean that there are none."""

from __future__ import annotations

from inspect_core.site import Area, site_from_text

SITE = """
format: 1
units: in
site: {name: Bench, work: existing, invented: true}
areas:
  - id: floor
    outline: 100 x 100
    supports: [{id: S1, at: 0, width: 5, work: unknown}, {id: S2, at: 90, width: 5}]
    joists: [%s]
    openings: [{id: O1, headers: [{id: H1, work: unknown}, {id: H2}]}]
"""
BOTH = "name: J, from: S1, to: S2"


def area(joists: str) -> Area:
    return site_from_text(SITE % joists).areas[0]


def test_work_that_is_said_to_be_unknown_is_not_the_default() -> None:
    found = area(f"{{{BOTH}, at: [0, 16], each: {{work: unknown}}, but: {{J2: {{work: new}}}}}}, {{name: K, at: [50]}}")
    assert [support.work for support in found.supports or ()] == [None, "existing"]
    assert [joist.work for joist in found.joists or ()] == [None, "new", "existing"]
    (opening,) = found.openings or ()
    assert [header.work for header in opening.headers or ()] == [None, "existing"]


def test_a_hanger_is_of_its_joists_work_until_it_says_its_own() -> None:
    each = "work: existing, hung: {S1: {by: hanger}}"
    but = "J2: {hung: {S1: {by: hanger, work: new}}}, J3: {hung: {S1: {by: hanger, work: unknown}}}, J4: {work: new}"
    found = area(f"{{{BOTH}, at: [0, 16, 32, 48], each: {{{each}}}, but: {{{but}}}}}").joists or ()
    hangers = [joist.hung["S1"] for joist in found]
    assert [hanger.work for hanger in hangers] == ["existing", "new", None, "new"]
    assert [hanger.as_member for hanger in hangers] == [True, False, False, True]


def test_joists_at_unknown_places_are_not_no_joists() -> None:
    assert area(f"{{{BOTH}, at: unknown, each: {{size: 2x8}}}}").joists is None
    assert area("").joists == ()
    assert area(f"{{{BOTH}, at: []}}").joists == ()
    assert len(area(f"{{{BOTH}, at: unknown}}, {{name: K, from: S1, to: S2, at: [4]}}").joists or ()) == 1
