"""Running rules: a rule that fails is a finding of its own, and never takes another one with it."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from inspect_core.engine import HoldPointState, LoadedPacks, PackFailure, Report, inspect
from inspect_core.engine.choice import NOT_INSTALLED
from inspect_core.quantities import Dimension, exactly
from inspect_core.rules_api import Check, Limits, Named, Pack, Rule, check, does_not_apply, fact, not_measured
from inspect_core.site import Area, Site

Bench = Callable[..., Site]
MakeRule = Callable[..., Rule]
MakePack = Callable[..., Pack]
Loaded = Callable[..., LoadedPacks]


def inches(value: float) -> Any:
    return exactly(value, Dimension.LENGTH)


def told(report: Report) -> list[tuple[str, str, str, str]]:
    """Rule, subject, outcome and severity of every finding, in order."""
    return [(f.rule.id, f.subject, f.outcome, f.severity) for f in report.findings]


def holds(area: Area, limits: Limits) -> Iterator[Check]:
    """Something holds."""
    yield fact(Named("thing", area.path), True, expected="so")


def open_end(area: Area, limits: Limits) -> Iterator[Check]:
    """Something isn't known."""
    yield not_measured(Named("thing", area.path), expected="so")


def short(area: Area, limits: Limits) -> Iterator[Check]:
    """Something is too short."""
    yield check(Named("thing", area.path), measured=inches(1), at_least=limits["least"])


# --- a rule that fails ---


def raises(area: Any, limits: Limits) -> Iterator[Check]:
    """Fails after its first answer, which then counts for nothing."""
    yield fact(Named("thing", ()), True, expected="so")
    raise ValueError("no such thing")


def fails_in_b(area: Area, limits: Limits) -> Iterator[Check]:
    """Fails in one of several areas."""
    if area.id == "b":
        raise LookupError("not here")
    yield fact(Named("thing", area.path), True, expected="so")


def returns_nothing(area: Any, limits: Limits) -> Any:
    """Returns nothing at all."""


def yields(*values: Any) -> Callable[..., Any]:
    def function(area: Any, limits: Limits) -> Iterator[Any]:
        """Yields what it should not."""
        yield from values

    return function


def exits(area: Any, limits: Limits) -> Iterator[Check]:
    """Wants to leave the program."""
    raise SystemExit(0)


def asks_for_more(area: Any, limits: Limits) -> Iterator[Check]:
    """Wants a limit that nobody set."""
    yield check(Named("thing", ()), at_least=limits["nobody-set-it"])


def goes_round(area: Any, limits: Limits) -> Any:
    """Never ends by itself."""
    return goes_round(area, limits)


class NoSubject:
    path = ()


def line_of(function: Callable[..., Any], offset: int) -> str:
    return f"(line {function.__code__.co_firstlineno + offset} of {function.__name__})"


FAILING = {
    "raises": (raises, f"ValueError: no such thing {line_of(raises, 3)}"),
    "exits": (exits, f"SystemExit: 0 {line_of(exits, 2)}"),
    "returns nothing": (returns_nothing, "TypeError: 'NoneType' object is not iterable (line {run} of _run_rule)"),
    "yields text": (yields("ok"), "TypeError: it yielded str, not a check (line {sound} of _must_be_sound)"),
    "yields nothing": (yields(None), "TypeError: it yielded NoneType, not a check (line {sound} of _must_be_sound)"),
    "a subject that is none": (
        yields(fact(NoSubject(), True, expected="so")),  # type: ignore[arg-type]
        "TypeError: NoSubject has no name and path to be a subject (line {sound} of _must_be_a_subject)",
    ),
    "an outcome that is none": (
        yields(Check(Named("x", ()), "passes")),  # type: ignore[arg-type]
        "TypeError: 'passes' is no outcome (line {sound} of _must_be_sound)",
    ),
    "a severity that is none": (
        yields(fact(Named("x", ()), True, expected="so", severity="fatal")),  # type: ignore[arg-type]
        "TypeError: 'fatal' is no severity (line {sound} of _must_be_sound)",
    ),
    "one field to ask for, forgotten to be a tuple": (
        yields(not_measured(Named("x", ()), asks="joist.bearing")),  # type: ignore[arg-type]
        "TypeError: asks must be a tuple of fields (line {sound} of _must_be_sound)",
    ),
}


def without_our_lines(text: str) -> str:
    """Where in the engine it was noticed may move; where in the pack it was raised is what the author needs."""
    return re.sub(r"\(line \d+ of (_run_rule|_must_be_sound|_must_be_a_subject)\)", r"(line {} of \1)", text)


@pytest.mark.parametrize(("function", "why"), FAILING.values(), ids=FAILING)
def test_a_failing_rule_is_a_finding_of_its_own(
    function: Any, why: str, bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    failing = make_rule(function, id="failing", severity="advisory", hold_point="tile", cautions=["some-caution"])
    pack = make_pack(make_rule(holds, id="first"), failing, make_rule(holds, id="last"))
    report = inspect(bench(), loaded(pack))
    assert told(report) == [
        ("first", "thing", "meets", "correction"),
        ("rule-failed", "rule failing of tiny", "not-measured", "stop-work"),
        ("last", "thing", "meets", "correction"),
    ]
    why = why.replace("{run}", "{}").replace("{sound}", "{}")
    assert [PackFailure(f.pack, without_our_lines(f.why)) for f in report.failures] == [
        PackFailure("tiny", f"rule failing failed: {why}")
    ]
    finding = report.findings[1]
    assert without_our_lines(finding.message("in")) == f"the rule failed, so nothing is known: {why}"
    assert (finding.rule.hold_point, finding.asks, finding.rule.cautions, finding.path) == ("tile", (), (), ())
    assert report.exit_code("stop-work") == 3
    # Nothing may be covered when nobody knows what a rule would have said.
    assert {point: state.released for point, state in report.hold_points("correction").items()} == dict.fromkeys(
        ("under-floor", "rough-plumbing", "subfloor", "wet-area", "tile", "final"), False
    )


def test_a_rule_that_goes_round_in_circles(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    report = inspect(bench(), loaded(make_pack(make_rule(goes_round, id="round"), make_rule(holds, id="last"))))
    assert told(report) == [
        ("rule-failed", "rule round of tiny", "not-measured", "stop-work"),
        ("last", "thing", "meets", "correction"),
    ]
    assert report.exit_code("stop-work") == 3


def test_the_other_areas_are_still_checked(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    report = inspect(bench(3), loaded(make_pack(make_rule(fails_in_b, id="half"))))
    assert told(report) == [
        ("half", "thing in a", "meets", "correction"),
        ("rule-failed", "rule half of tiny in b", "not-measured", "stop-work"),
        ("half", "thing in c", "meets", "correction"),
    ]
    why = f"rule half failed: LookupError: not here {line_of(fails_in_b, 3)}"
    assert report.failures == (PackFailure("tiny", why),)


def test_a_rule_of_the_whole_site_that_fails(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    report = inspect(bench(2), loaded(make_pack(make_rule(raises, id="whole", scope="site"))))
    assert told(report) == [("rule-failed", "rule whole of tiny", "not-measured", "stop-work")]


def test_an_interrupt_is_no_failure_of_the_rule(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    def interrupted(area: Any, limits: Limits) -> Iterator[Check]:
        """Somebody pressed Ctrl-C meanwhile."""
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        inspect(bench(), loaded(make_pack(make_rule(interrupted))))


def test_a_missing_limit_is_told_before_and_when_the_rule_asks_for_it(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    report = inspect(bench(), loaded(make_pack(make_rule(asks_for_more, id="more", limits=["nobody-set-it"]))))
    assert [f.why.partition(" (line")[0] for f in report.failures] == [
        "rule more: no pack sets limit nobody-set-it",
        "rule more failed: KeyError: 'nobody-set-it'",
    ]
    assert told(report) == [("rule-failed", "rule more of tiny", "not-measured", "stop-work")]


# --- what work a rule binds ---

WORKS = ("existing", "altered", "new", None)


class WithoutWork:
    """A subject of which nobody can ask what work it is."""

    name = "plain"
    path = ()


def each_kind_of_work(area: Area, limits: Limits) -> Iterator[Check]:
    """Says the same of everything."""
    for work in WORKS:
        yield fact(Named(str(work), area.path, work), False, expected="so")
    yield fact(WithoutWork(), False, expected="so")
    yield does_not_apply(Named("not at all", area.path, "existing"), "it is somewhere else")


@pytest.fixture
def bound(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> Callable[..., list[tuple[str, str, str, tuple[str, ...]]]]:
    def run(binds: tuple[str, ...]) -> list[tuple[str, str, str, tuple[str, ...]]]:
        report = inspect(bench(), loaded(make_pack(make_rule(each_kind_of_work, binds=binds))))
        assert report.failures == ()
        return [(f.subject, f.outcome, f.message("in"), f.assumptions) for f in report.findings]

    return run


ELSEWHERE = ("not at all", "does-not-apply", "it is somewhere else", ())


def test_a_rule_that_binds_new_and_altered_work(bound: Any) -> None:
    taken = ("not said whether this is existing work; taken as bound by this rule (altered, new)",)
    assert bound(("altered", "new")) == [
        ("existing", "does-not-apply", "existing work; this binds altered and new work", ()),
        ("altered", "falls-short", "not so; needed: so", ()),
        ("new", "falls-short", "not so; needed: so", ()),
        ("None", "falls-short", "not so; needed: so", taken),
        ("plain", "falls-short", "not so; needed: so", taken),
        ELSEWHERE,
    ]


def test_a_rule_that_binds_new_work_only(bound: Any) -> None:
    assert [answer[1] for answer in bound(("new",))] == [
        "does-not-apply", "does-not-apply", "falls-short", "falls-short", "falls-short", "does-not-apply",
    ]  # fmt: skip


def test_a_rule_that_binds_all_work(bound: Any) -> None:
    assert bound(("existing", "altered", "new")) == [
        *((str(work), "falls-short", "not so; needed: so", ()) for work in WORKS),
        ("plain", "falls-short", "not so; needed: so", ()),
        ELSEWHERE,
    ]


# --- packs ---


def test_a_pack_that_is_not_installed(bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded) -> None:
    report = inspect(bench(more="packs: [county, tiny]"), loaded(make_pack(make_rule(holds))))
    assert told(report) == [("some-rule", "thing", "meets", "correction")]
    assert report.failures == (PackFailure("county", NOT_INSTALLED),)
    assert report.exit_code("correction") == 3


def test_no_pack_at_all_is_no_pass(bench: Bench, loaded: Loaded) -> None:
    report = inspect(bench(), loaded())
    assert told(report) == []
    assert report.failures == (PackFailure("base pack", "no rule pack is installed, so nothing was checked"),)
    assert report.exit_code("stop-work") == 3
    assert set(report.hold_points("stop-work").values()) == {HoldPointState(False, 0)}


def test_failures_of_loading_are_failures_of_the_run(bench: Bench, make_rule: MakeRule, make_pack: MakePack) -> None:
    broken = PackFailure("broken", "could not be loaded")
    report = inspect(bench(), LoadedPacks((make_pack(make_rule(holds)),), (broken,)))
    assert told(report) == [("some-rule", "thing", "meets", "correction")]
    assert (report.failures, report.exit_code("correction")) == ((broken,), 3)


def test_a_local_pack_runs_only_where_the_site_asks_for_it(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded, make_limit: Any
) -> None:
    base = make_pack(make_rule(short, id="short"), id="base")
    local = make_pack(
        make_rule(holds, id="local-rule"),
        id="local",
        stands_on=("base",),
        limits={"least": make_limit("least", inches(0.5), set_by="local")},
    )
    without = inspect(bench(), loaded(base, local))
    assert told(without) == [("short", "thing", "falls-short", "correction")]
    with_it = inspect(bench(more="packs: [local]"), loaded(base, local))
    assert told(with_it) == [
        ("short", "thing", "meets", "correction"),
        ("local-rule", "thing", "meets", "correction"),
    ]
    limit = with_it.findings[0].check.limit
    assert limit is not None
    assert (limit.set_by, limit.was) == ("local", (("base", inches(1.5), ()),))
    assert [f.pack for f in with_it.findings] == ["base", "local"]


# --- hold points and exit codes ---


@pytest.fixture
def mixed(bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded) -> Report:
    rules = [
        make_rule(short, id="short", severity="correction", hold_point="under-floor"),
        make_rule(open_end, id="open", severity="advisory", hold_point="under-floor"),
        make_rule(open_end, id="open-tile", severity="stop-work", hold_point="tile"),
        make_rule(short, id="advice", severity="advisory", hold_point="final"),
        make_rule(holds, id="holds", severity="stop-work", hold_point="subfloor"),
        make_rule(open_end, id="own", severity="correction", hold_point="own-stage"),
    ]
    return inspect(bench(2), loaded(make_pack(*rules, hold_points=("own-stage",))))


@pytest.mark.parametrize(
    ("threshold", "counts"),
    [
        ("stop-work", (0, 0, 0, 0, 2, 0, 0)),
        ("correction", (2, 0, 0, 0, 2, 0, 2)),
        ("advisory", (4, 0, 0, 0, 2, 2, 2)),
    ],
)
def test_states_of_the_hold_points(mixed: Report, threshold: str, counts: tuple[int, ...]) -> None:
    stages = ("under-floor", "rough-plumbing", "subfloor", "wet-area", "tile", "final", "own-stage")
    wanted = {stage: HoldPointState(count == 0, count) for stage, count in zip(stages, counts, strict=True)}
    states = mixed.hold_points(threshold)
    assert states == wanted
    assert list(states) == list(wanted)
    for stage, count in zip(stages, counts, strict=True):
        assert len(mixed.open_findings(threshold, stage)) == count
        assert mixed.exit_code(threshold, stage) == (1 if count else 0)
    assert mixed.exit_code(threshold) == 1


def test_the_summary_counts_outcomes(mixed: Report) -> None:
    assert mixed.summary() == {"meets": 2, "falls-short": 4, "not-measured": 6, "does-not-apply": 0}


def test_nothing_open_is_zero(bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded) -> None:
    advice = make_rule(short, id="advice", severity="advisory")
    report = inspect(bench(), loaded(make_pack(make_rule(holds, severity="stop-work"), advice)))
    assert [report.exit_code(t) for t in ("stop-work", "correction", "advisory")] == [0, 0, 1]


# --- subjects and order ---


def test_subjects_name_the_area_only_where_there_are_several(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    def whole(site: Site, limits: Limits) -> Iterator[Check]:
        """One answer for the site."""
        yield fact(Named("papers", ()), True, expected="so")

    packs = loaded(make_pack(make_rule(holds, id="each"), make_rule(whole, id="whole", scope="site")))
    assert [(f.subject, f.area) for f in inspect(bench(1), packs).findings] == [("thing", "a"), ("papers", "")]
    assert [(f.subject, f.area) for f in inspect(bench(2), packs).findings] == [
        ("thing in a", "a"),
        ("thing in b", "b"),
        ("papers", ""),
    ]


def test_order_is_that_of_packs_rules_and_file_in_every_run(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded
) -> None:
    base = make_pack(make_rule(open_end, id="z-rule"), make_rule(holds, id="a-rule"), id="m-base")
    local = make_pack(make_rule(short, id="local-rule"), id="a-local", stands_on=("m-base",))
    runs = [inspect(bench(2, "packs: [a-local]"), loaded(*packs)) for packs in ((base, local), (local, base)) * 3]
    assert [told(run) for run in runs] == [
        [
            ("z-rule", "thing in a", "not-measured", "correction"),
            ("z-rule", "thing in b", "not-measured", "correction"),
            ("a-rule", "thing in a", "meets", "correction"),
            ("a-rule", "thing in b", "meets", "correction"),
            ("local-rule", "thing in a", "falls-short", "correction"),
            ("local-rule", "thing in b", "falls-short", "correction"),
        ]
    ] * 6


def test_a_limit_from_memory_makes_it_advice(
    bench: Bench, make_rule: MakeRule, make_pack: MakePack, loaded: Loaded, make_limit: Any
) -> None:
    pack = make_pack(
        make_rule(short, severity="stop-work"),
        limits={"least": make_limit("least", inches(1.5), status="from memory")},
    )
    report = inspect(bench(), loaded(pack))
    assert told(report) == [("some-rule", "thing", "falls-short", "advisory")]
    assert report.findings[0].assumptions == ("the limit is from memory and not confirmed, so this is advice only",)
    assert report.exit_code("correction") == 0
