"""Packs that raise, hang, never end, lie about what they are, or answer nonsense. Each is a finding of its own (`rule
failed`) or a pack that could not be loaded; the base pack's rules run all the same, every report can still be written,
and the exit code is 3."""

from __future__ import annotations

import json
import math
import os
import signal
import threading
import time
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, Report, inspect, load_packs, rule_time
from inspect_core.engine.choice import Choice
from inspect_core.engine.finding import RULE_FAILED
from inspect_core.planning.measure import to_measure
from inspect_core.planning.sequence import work_order
from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.report import FORMATS, Selection
from inspect_core.report.measure import measure_text
from inspect_core.report.plan import plan_svg
from inspect_core.report.sequence import sequence_text
from inspect_core.report.text import render_text
from inspect_core.rules_api import API_VERSION, Check, Limit, Named, Pack, Reference, check, fact, rule
from inspect_core.site import site_from_text

HALL = site_from_text(
    "format: 1\nunits: in\nsite: {name: Hall, work: new}\nareas: [{id: hall, outline: 48 x 96}]\n", "hall"
)
SUBJECT = Named("floor", ("areas", 0))
GOOD = fact(SUBJECT, True, expected="a floor")
INCH = exactly(1.0, Dimension.LENGTH)


def pack_of(function: Callable[..., Any]) -> Pack:
    function.__doc__ = "Strange."
    made = rule(
        "strange-rule",
        hold_point="under-floor",
        severity="correction",
        reference="strange.x",
        quantity="x",
        remedy="Mend it.",
    )(function)
    return Pack(
        id="strange-pack", version="1", title="Strange", api=API_VERSION, rules=(made,),
        references={"strange.x": Reference("strange.x", "Strange Code 1")}, stands_on=("wood-floor-base",),
    )  # fmt: skip


def report_with(packs: LoadedPacks, function: Callable[..., Any]) -> Report:
    every = (*packs.packs, pack_of(function))
    return inspect(HALL, replace(packs, packs=every, choice=Choice(("strange-pack",))))


def written(report: Report) -> None:
    assert json.loads(FORMATS["json"](report, Selection()))
    assert render_text(report, Selection(), everything=True)


def all_written(report: Report) -> None:
    for write in FORMATS.values():
        assert write(report, Selection())
    ET.fromstring(FORMATS["junit"](report, Selection()).encode())
    ET.fromstring(plan_svg(report, Selection()).encode())
    assert render_text(report, Selection(), everything=True, show_working=True)
    assert measure_text(report, to_measure(report))
    assert sequence_text(report, work_order(report))


_ALONE: list[tuple[str, str, str]] = []


def alone(packs: LoadedPacks) -> list[tuple[str, str, str]]:
    """What the base pack says by itself; worked out once."""
    if not _ALONE:
        report = inspect(HALL, replace(packs, choice=Choice(("wood-floor-base",))))
        _ALONE.extend((one.rule.id, one.subject, one.outcome) for one in report.findings)
    return _ALONE


def failed_alone(report: Report, packs: LoadedPacks) -> str:
    """The text of the one failure; everything that the base pack says is as it would be without the strange one."""
    ((pack, why),) = [(failure.pack, failure.why) for failure in report.failures]
    assert pack == "strange-pack"
    assert report.exit_code("correction") == 3
    (failed,) = [one for one in report.findings if one.rule.id == RULE_FAILED]
    assert (failed.outcome, failed.severity) == ("not-measured", "stop-work")
    assert not any(state.released for state in report.hold_points("stop-work").values())
    others = [(one.rule.id, one.subject, one.outcome) for one in report.findings if one.pack != "strange-pack"]
    assert others == alone(packs)
    written(report)
    return why


# --- raising and nonsense ---------------------------------------------------------------------------------------------


class Odd:
    """A subject whose every part is strange."""

    @property
    def name(self) -> Any:
        raise KeyError("no name")

    path = ("areas", 0)


class UnprintableErrorError(Exception):
    def __str__(self) -> str:
        raise RuntimeError("not even this")


def raising(error: BaseException) -> Callable[..., Any]:
    def function(area: Any, limits: Any) -> Iterator[Any]:
        yield GOOD
        raise error

    return function


def giving(answer: Any) -> Callable[..., Any]:
    return lambda area, limits: [GOOD, answer]


def deep(area: Any, limits: Any) -> Iterator[Any]:
    yield from deep(area, limits)


def one_of(words: Any) -> Check:
    return check(SUBJECT, measured="x", one_of=Limit("x", None, "x", "x", "computed", words=words))


def not_a_number(area: Any, limits: Any) -> Iterator[Check]:
    yield replace(GOOD, measured=Quantity(math.nan, math.nan, Dimension.LENGTH))


STRANGE: dict[str, Callable[..., Any]] = {
    "raises": raising(ValueError("no")),
    "exits": raising(SystemExit(0)),
    "recurses": deep,
    "runs out of memory": raising(MemoryError()),
    "raises what can't be said": raising(UnprintableErrorError()),
    "gives nothing to go through": lambda area, limits: 5,
    "takes other arguments": lambda area: [],
    "yields text": giving("fine"),
    "yields a class": giving(Check),
    "subject without a name": giving(replace(GOOD, subject=object())),
    "subject whose name raises": giving(replace(GOOD, subject=Odd())),
    "subject named by a number": giving(replace(GOOD, subject=Named(5, ("areas", 0)))),  # type: ignore[arg-type]
    "subject at no path": giving(replace(GOOD, subject=Named("x", "areas"))),  # type: ignore[arg-type]
    "outcome": giving(replace(GOOD, outcome="fine")),
    "severity": giving(replace(GOOD, severity="grave")),
    "found": giving(replace(GOOD, found=5)),
    "expected": giving(replace(GOOD, expected=None)),
    "because": giving(replace(GOOD, because=b"bytes")),
    "assumptions": giving(replace(GOOD, assumptions=(5,))),
    "no assumptions": giving(replace(GOOD, assumptions=None)),
    "asks": giving(replace(GOOD, asks="joist.bearing")),
    "asks numbers": giving(replace(GOOD, asks=(5,))),
    "remedy": giving(replace(GOOD, outcome="falls-short", remedy=[])),
    "path": giving(replace(GOOD, path="areas")),
    "sense": giving(replace(GOOD, sense="about")),
    "measured": giving(replace(GOOD, measured=5.0)),
    "not a number": not_a_number,
    "limit": giving(replace(GOOD, sense="at-least", measured=INCH, limit="1 in")),
    "limit of another kind": giving(replace(GOOD, sense="at-least", measured=INCH, limit=Limit("x", "1", "x", "x", "computed"))),  # type: ignore[arg-type]
    "words that are none": lambda area, limits: [one_of(5)],
}  # fmt: skip


@pytest.mark.parametrize("function", STRANGE.values(), ids=STRANGE)
def test_it_is_a_finding_of_its_own(packs: LoadedPacks, function: Callable[..., Any]) -> None:
    assert "strange-rule failed" in failed_alone(report_with(packs, function), packs)


def test_every_report_can_still_be_written(packs: LoadedPacks) -> None:
    all_written(report_with(packs, raising(UnprintableErrorError())))


def test_a_path_that_leads_nowhere_is_shown_at_the_nearest_place(packs: LoadedPacks) -> None:
    report = report_with(packs, giving(replace(GOOD, path=("areas", 99, None, {}))))
    written(report)


def test_answers_without_an_end(packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rule_time, "MOST_CHECKS", 1_000)

    def endless(area: Any, limits: Any) -> Iterator[Check]:
        while True:
            yield GOOD

    assert "more than 1,000 answers" in failed_alone(report_with(packs, endless), packs)


# --- hanging ----------------------------------------------------------------------------------------------------------


def turning(area: Any, limits: Any) -> Iterator[Check]:
    while True:
        pass
    yield GOOD


def swallowing(area: Any, limits: Any) -> Iterator[Check]:
    for _ in range(2):
        try:
            time.sleep(20)
        except BaseException:  # what a careless author writes
            continue
    time.sleep(20)
    yield GOOD


def sleeping(area: Any, limits: Any) -> Iterator[Check]:
    time.sleep(20)
    yield GOOD


def searching(area: Any, limits: Any) -> Iterator[Check]:
    import re

    re.match(r"(a+)+$", "a" * 60 + "b")
    yield GOOD


@pytest.mark.parametrize("function", [turning, sleeping, swallowing, searching])
def test_a_rule_that_hangs_is_stopped(
    packs: LoadedPacks, monkeypatch: pytest.MonkeyPatch, function: Callable[..., Any]
) -> None:
    monkeypatch.setattr(rule_time, "MOST_SECONDS", 0.2)
    monkeypatch.setattr(rule_time, "AGAIN", 0.05)
    began = time.monotonic()
    why = failed_alone(report_with(packs, function), packs)
    assert "did not end within 0.2 s and was stopped" in why
    assert time.monotonic() - began < 15  # of the 20 that it would have slept
    assert signal.getsignal(signal.SIGALRM) == signal.SIG_DFL
    assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)


def test_a_pack_that_hangs_while_it_is_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rule_time, "MOST_SECONDS", 0.2)

    class Slow:
        name, value, dist = "slow", "slow", None

        def load(self) -> Any:
            time.sleep(20)

    loaded = load_packs([Slow()])
    ((failure),) = loaded.failures
    assert "did not end within" in failure.why


def test_nobody_elses_alarm_is_touched(packs: LoadedPacks) -> None:
    def ours(number: int, frame: object) -> None:
        raise AssertionError

    before = signal.signal(signal.SIGALRM, ours)
    try:
        assert report_with(packs, giving(GOOD)).failures == ()
        assert signal.getsignal(signal.SIGALRM) is ours
    finally:
        signal.signal(signal.SIGALRM, before)
    found: list[Report] = []
    elsewhere = threading.Thread(target=lambda: found.append(report_with(packs, giving(GOOD))))
    elsewhere.start()
    elsewhere.join()
    assert found[0].failures == ()


# --- a process of its own ---------------------------------------------------------------------------------------------

PACK = """
import os, time
from inspect_core.engine import rule_time
from inspect_core.rules_api import *

rule_time.MOST_SECONDS = 0.5

@rule("odd-name", hold_point="under-floor", severity=CORRECTION, reference="odd.x", quantity="name", remedy="Another.",
      scope="site")
def odd_name(site, limits):
    '''Each site has a harmless name.'''
    if "hangs" in site.name:
        time.sleep(40)
    if "closes" in site.name:
        os.close(1)
    yield fact(Named("name", ("site", "name")), True, expected="a harmless name")

@hookimpl
def inspect_pack():
    return Pack(id="odd-pack", version="1", title="Odd", api=API_VERSION, rules=(odd_name,),
                references={"odd.x": Reference("odd.x", "Odd Code 1")}, stands_on=("wood-floor-base",))
"""


def test_a_gate_with_workers_tells_what_hung_and_checks_the_others(
    installed: Callable[[str], Any], process: Callable[..., Any], tmp_path: Any
) -> None:
    for name in ("a plain", "b hangs", "c plain", "d closes"):
        text = f"format: 1\nunits: in\nsite: {{name: {name}}}\nareas: [{{id: a}}]\n"
        (tmp_path / f"{name[0]}.site.yaml").write_text(text, "utf-8")
    options = ("--jobs", "2", "--pack", "odd-pack", "--format", "json-lines")
    done = process("gate", ".", *options, PYTHONPATH=os.pathsep.join([str(installed(PACK))]))
    lines = {one["file"]: one for one in map(json.loads, done.stdout.splitlines())}
    assert {file: one["exit_code"] for file, one in lines.items()} == {
        "a.site.yaml": 1, "b.site.yaml": 3, "c.site.yaml": 1, "d.site.yaml": 1,
    }  # fmt: skip
    assert "did not end within 0.5 s" in lines["b.site.yaml"]["failures"][0]
    assert done.returncode == 3
