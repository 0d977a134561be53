"""Which packs a site stands on: order of precedence, parents, conflicts, dates; each told clearly, with its exit code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.choice import NOT_INSTALLED, Choice, arrange, wanted_by
from inspect_core.engine.chosen import CONFIG_FILE, find_config, packs_for, read_config
from inspect_core.quantities.dates import day
from inspect_core.rules_api import API_VERSION, Gate, LimitDef, Pack, RuleChange, Section, when
from inspect_core.site import InputError

WHY = "because: a reason, citation: Local Code 1"


def pack(id: str, *below: str, **given: Any) -> Pack:
    return Pack(id=id, version="1", title=id, api=API_VERSION, stands_on=below, **given)


BASE = pack("base")


def told(packs: list[Pack], names: list[str], date: str | None = None) -> tuple[list[str], list[tuple[str, str]]]:
    found = arrange(packs, names, day(date) if date else None)
    return [p.id for p in found.packs], [(fault.pack, fault.why) for fault in found.faults]


def test_what_a_pack_stands_on_comes_before_it() -> None:
    packs = [pack("firm", "county"), pack("county", "state"), pack("state", "base"), BASE]
    assert told(packs, ["firm"]) == (["base", "state", "county", "firm"], [])
    assert told(packs, ["state", "county"]) == (["base", "state", "county"], [])
    assert told(packs, []) == (["base"], [])


def test_later_wins_in_the_order_given() -> None:
    packs = [BASE, pack("one", "base"), pack("two", "base")]
    assert told(packs, ["one", "two"])[0] == ["base", "one", "two"]
    assert told(packs, ["two", "one"])[0] == ["base", "two", "one"]


NAMES = {
    "not installed": (["nowhere"], "nowhere", NOT_INSTALLED),
    "nearly right": (["coutny"], "coutny", f"{NOT_INSTALLED}; did you mean county?"),
    "parent missing": (["orphan"], "orphan", "it stands on gone, which is not installed and not named"),
    "named before its parent": (["county", "state"], "county", "it stands on state, which is named after it: name state first"),
    "two counties": (
        ["county", "other-county"],
        "other-county",
        "county and other-county are both packs of level county, and neither stands on the other",
    ),
    "a state after a county": (["other-county", "late"], "late", "a pack of level state can't stand after other-county"),
    "in a circle": (["round"], "about", "packs stand on one another in a circle: round on about on round"),
    "too early": (["new"], "new", "it is in force from 2026-01-01: not in force yet on 2025-05-05, the date of the permit or survey"),
    "too late": (["old"], "old", "it is in force until 2020-12-31: expired on 2025-05-05, the date of the permit or survey"),
    "barred": (["closed", "town"], "town", "closed can't be amended by a city: only county may"),
    "barred without a level": (["closed", "plain"], "plain", "closed can't be amended by a pack that does not say its level: only county may"),
}  # fmt: skip


@pytest.mark.parametrize(("names", "culprit", "why"), NAMES.values(), ids=NAMES)
def test_what_does_not_fit(names: list[str], culprit: str, why: str) -> None:
    packs = [
        BASE,
        pack("state", "base", level="state"),
        pack("county", "state", level="county"),
        pack("other-county", "base", level="county"),
        pack("late", "base", level="state"),
        pack("orphan", "gone"),
        pack("round", "about"),
        pack("about", "round"),
        pack("new", "base", effective="2026-01-01"),
        pack("old", "base", expires="2020-12-31"),
        pack("closed", "base", level="state", amendable_by=("county",)),
        pack("town", "base", level="city"),
        pack("plain", "base"),
    ]
    assert told(packs, names, "2025-05-05")[1] == [(culprit, why)]


def test_without_a_date_a_dated_pack_is_taken_as_in_force_and_that_is_said() -> None:
    found = arrange([BASE, pack("new", "base", effective="2026-01-01")], ["new"])
    assert (found.faults, found.notes) == (
        (),
        ("neither permit nor survey has a date (year-month-day): new, from 2026-01-01, is taken as in force",),
    )


def test_a_date_that_only_says_the_year() -> None:
    found = arrange([BASE, pack("new", "base", effective="2026-07-01")], ["new"], day("2026"))
    assert (found.faults, found.notes) == (
        (),
        ("new is in force from 2026-07-01; taken as in force on 2026-01-01 .. 2026-12-31",),
    )


def test_a_series_without_a_date_takes_the_newest() -> None:
    packs = [
        BASE,
        pack("a-old", "base", series="a", effective="2021-01-01"),
        pack("a-new", "base", series="a", effective="2026-01-01"),
    ]
    found = arrange(packs, ["a"])
    assert [p.id for p in found.packs] == ["base", "a-new"]
    assert found.notes[0] == "no permit date: the newest of a is taken, a-new"


# --- order of precedence ---


@pytest.mark.parametrize(
    ("command", "site", "default", "on_top", "wanted"),
    [
        (None, None, ("c",), (), ("c",)),
        (None, ["s"], ("c",), (), ("s",)),
        (None, [], ("c",), (), ()),
        (("x",), ["s"], ("c",), (), ("x",)),
        (("x",), ["s"], ("c",), ("t",), ("x", "t")),
        (None, ["s", "t"], ("c",), ("t",), ("s", "t")),
    ],
)
def test_command_line_over_site_over_configuration(
    site_of: Callable[..., Any], command: Any, site: Any, default: Any, on_top: Any, wanted: Any
) -> None:
    asked = site_of({} if site is None else {"/packs": site})
    assert wanted_by(asked, Choice(command, default, on_top)) == wanted


def test_the_nearest_configuration_counts(alder: Any, tmp_path: Path, site_of: Callable[..., Any]) -> None:
    folder = alder.write(f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}")
    job = tmp_path / "jobs" / "one"
    job.mkdir(parents=True)
    (tmp_path / CONFIG_FILE).write_text(f"format: 1\npack_folders: [{Path(folder).name}]\npacks: [alder]\n")
    assert find_config(job / "x.site.yaml") == tmp_path / CONFIG_FILE
    loaded = packs_for(job / "x.site.yaml", installed=alder.installed)
    assert [p.id for p in inspect(site_of(), loaded).rules.packs] == ["wood-floor-base", "alder"]
    assert [p.id for p in inspect(site_of({"/packs": []}), loaded).rules.packs] == ["wood-floor-base"]
    (job / CONFIG_FILE).write_text("format: 1\n")
    assert packs_for(job / "x.site.yaml", installed=alder.installed).choice == Choice()
    named = packs_for(job / "x.site.yaml", config=tmp_path / CONFIG_FILE, installed=alder.installed)
    assert named.choice == Choice(None, ("alder",), ())


CONFIGS = {
    "format: 1\npack: [x]\n": (2, 1, "there is no key 'pack' at the top of the file; did you mean 'packs'?"),
    "packs: [x]\n": (1, 1, "the key 'format' is missing at the top of the file"),
    "format: 1\npacks: x\n": (2, 8, "'packs' should be a list, not text ('x')"),
}


@pytest.mark.parametrize("text", CONFIGS)
def test_a_configuration_that_is_wrong(tmp_path: Path, text: str) -> None:
    (tmp_path / CONFIG_FILE).write_text(text)
    with pytest.raises(InputError) as caught:
        read_config(tmp_path / CONFIG_FILE)
    assert [(p.line, p.column, p.message) for p in caught.value.problems] == [CONFIGS[text]]


def test_a_site_file_can_not_name_a_path(alder: Any, site_of: Callable[..., Any]) -> None:
    folder = alder.write("")
    report = inspect(site_of({"/packs": [folder[-60:]]}), alder.installed)
    assert [f.why.partition(";")[0] for f in report.failures] == [NOT_INSTALLED]


def test_a_file_named_by_the_user_that_does_not_fit_is_their_input(alder: Any, site_of: Callable[..., Any]) -> None:
    loaded = alder.load(alder.write("", effective="2027-01-01"))
    with pytest.raises(InputError) as caught:
        inspect(site_of(), loaded)
    (problem,) = caught.value.problems
    assert problem.source_line.strip() == "effective: '2027-01-01'"
    assert "not in force yet on 2026-06-01" in problem.message


def test_an_installed_pack_that_does_not_fit_is_a_failure(packs: LoadedPacks, site_of: Callable[..., Any]) -> None:
    late = pack("late", "wood-floor-base", effective="2027-01-01")
    report = inspect(site_of({"/packs": ["late"]}), LoadedPacks((*packs.packs, late), ()))
    assert [f.pack for f in report.failures] == ["late"]
    assert report.exit_code("correction") == 3


# --- packs in Python have the same powers ---


def test_a_python_pack_changes_what_a_yaml_pack_can(packs: LoadedPacks, site_of: Callable[..., Any]) -> None:
    (base,) = packs.packs
    bearing = base.limits["bearing"]
    local = LimitDef(
        "bearing", bearing.says, bearing.dimension, {"wood": bearing.values["masonry"]}, "Code 1", "computed",
        changed_because="a reason", citation="Code 1", set_by="ours", by=bearing.by,
    )  # fmt: skip
    ours = pack(
        "ours",
        "wood-floor-base",
        sections=(
            Section(gate=Gate(when({"work": "new"})), limits={"bearing": local}),
            Section(rule_changes=(RuleChange("ground-cover", because="a reason", severity="stop-work"),)),
        ),
    )
    loaded = LoadedPacks((base, ours), (), Choice(("ours",)))
    each = "/areas/0/joists/0/each"
    outcomes = {}
    for work in ("new", "existing"):
        report = inspect(site_of({f"{each}/bearing/S1": 2, f"{each}/work": work}), loaded)
        assert report.failures == ()
        outcomes[work] = {f.subject: f.outcome for f in report.findings if f.rule.id == "joist-bearing"}
        assert {f.severity for f in report.findings if f.rule.id == "ground-cover"} == {"stop-work"}
    assert outcomes["new"]["joist J1, south end on S1"] == "falls-short"
    assert outcomes["existing"]["joist J1, south end on S1"] == "meets"


FAULTS = {
    "a rule that is not there": (
        Section(rule_changes=(RuleChange("no-such", because="x", off=True),)),
        "change of rule no-such: no pack below has this rule",
    ),
    "a hold point that is not there": (
        Section(rule_changes=(RuleChange("ground-cover", because="x", hold_point="attic"),)),
        "change of rule ground-cover: there is no hold point attic",
    ),
    "a caution that is not there": (
        Section(rule_changes=(RuleChange("ground-cover", because="x", cautions=("no-such",)),)),
        "change of rule ground-cover: no pack has caution no-such",
    ),
}


@pytest.mark.parametrize(("section", "why"), FAULTS.values(), ids=FAULTS)
def test_targets_that_no_pack_below_has(
    packs: LoadedPacks, site_of: Callable[..., Any], section: Section, why: str
) -> None:
    ours = pack("ours", "wood-floor-base", sections=(section,))
    loaded = replace(packs, packs=(*packs.packs, ours), choice=Choice(("ours",)))
    report = inspect(site_of(), loaded)
    assert [(f.pack, f.why) for f in report.failures] == [("ours", why)]
    assert report.exit_code("correction") == 3
