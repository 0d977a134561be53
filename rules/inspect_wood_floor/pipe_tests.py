"""Tests of pipes before anything covers them, and what old pipe may stay."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Drain, PipeTest, WaterPipe
from inspect_wood_floor._drains import BINDS, PLASTIC, each_drain, each_water_pipe
from inspect_wood_floor._verdicts import all_of

TEST_CAUTIONS = ("air-test", "sewer-opening")


@rule(
    "plumbing-not-covered",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.tests",
    quantity="test and approval before it is covered",
    measures=["drain.tested", "drain.approved", "water_pipe.tested"],
    provisions=["no-cover-before-test"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Leave it open, test it, mend what leaks, and have it inspected before the panels go down.",
)
def plumbing_not_covered(area: Area, limits: Limits) -> Iterator[Check]:
    """New or altered plumbing is tested and approved before anything covers it or anybody uses it.

    A leak found now costs a fitting, found later it costs the floor.
    """

    def of_drain(drain: Drain) -> Iterator[Check]:
        known = (("drain.tested", drain.tested), ("drain.approved", drain.approved))
        holds = all_of(value for _, value in known)
        found = "not tested" if drain.tested is False else "not approved" if drain.approved is False else ""
        asks = tuple(field for field, value in known if value is None)
        expected = "it is tested and approved before anything covers it"
        yield fact(named(drain), holds, expected=expected, found=found if holds is False else "", asks=asks)

    def of_pipe(pipe: WaterPipe, subject: Named) -> Check:
        found = "not tested" if pipe.tested is False else ""
        expected = "it is tested before anything covers it"
        return fact(subject, pipe.tested, expected=expected, found=found, asks=("water_pipe.tested",))

    yield from each_drain(area, of_drain)
    yield from each_water_pipe(area, of_pipe, "water pipes")


def _each_drain_test(area: Area, kind: str, about: Callable[[Drain, PipeTest], Check]) -> Iterator[Check]:
    """One answer for each drain that was tested in this way."""

    def answer(drain: Drain) -> Iterator[Check]:
        test = drain.test
        if test is None or test.kind is None:
            yield not_measured(named(drain), asks=("pipe_test.kind",), because="not said how it is tested")
        elif test.kind != kind:
            yield does_not_apply(named(drain), f"tested with {test.kind}")
        else:
            yield about(drain, test)

    yield from each_drain(area, answer, "drains, tests")


@rule(
    "drain-test-head",
    hold_point="rough-plumbing",
    severity=ADVISORY,
    reference="drain.tests",
    quantity="head of water",
    limits=["drain-test-head"],
    measures=["pipe_test.head", "pipe_test.kind"],
    provisions=["dwv-test-head-old", "dwv-test-head-new"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Plug the outlet, fill to the height that your jurisdiction asks, and look at every joint.",
)
def drain_test_head(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain tested with water has enough of it standing over the highest fitting.

    Editions differ by a factor of two: what lies between them is for your jurisdiction to say.
    """

    def about(drain: Drain, test: PipeTest) -> Check:
        limit = limits["drain-test-head"]
        return check(named(drain), measured=test.head, at_least=limit, asks=("pipe_test.head",), path=test.path)

    yield from _each_drain_test(area, "water", about)


@rule(
    "drain-test-air",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.tests",
    quantity="air pressure",
    limits=["drain-test-air"],
    measures=["pipe_test.pressure", "pipe_test.kind", "drain.material"],
    provisions=["dwv-test-air"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Test metal pipe again at the pressure that the code asks; test plastic pipe with water.",
)
def drain_test_air(area: Area, limits: Limits) -> Iterator[Check]:
    """A drain tested with air stood under enough pressure."""

    def about(drain: Drain, test: PipeTest) -> Check:
        limit = limits["drain-test-air"]
        asks = ("pipe_test.pressure",)
        return check(named(drain), measured=test.pressure, at_least=limit, asks=asks, path=test.path)

    yield from _each_drain_test(area, "air", about)


@rule(
    "no-air-in-plastic",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.tests",
    quantity="air test of plastic pipe",
    measures=["pipe_test.kind", "drain.material", "water_pipe.material"],
    provisions=["dwv-test-air", "water-test"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Let the air out slowly with everybody away from the pipe, and test it with water.",
)
def no_air_in_plastic(area: Area, limits: Limits) -> Iterator[Check]:
    """Plastic pipe is tested with water, not with air.

    Air under pressure stores what water does not: plastic that breaks under it flies. Makers of PEX may allow it.
    """

    def judge(subject: Named, material: str | None, part: str) -> Check:
        if material is not None and material not in PLASTIC:
            return does_not_apply(subject, f"{material}: no plastic")
        expected = "plastic pipe is tested with water"
        plastic = None if material is None else False
        return fact(subject, plastic, expected=expected, found="tested with air", asks=(f"{part}.material",))

    def of_drain(drain: Drain, test: PipeTest) -> Check:
        return judge(named(drain), drain.material, "drain")

    def of_pipe(pipe: WaterPipe, subject: Named) -> Check:
        test = pipe.test
        if pipe.material is not None and pipe.material not in PLASTIC:
            return does_not_apply(subject, f"{pipe.material}: no plastic")
        if test is None or test.kind is None:
            return not_measured(subject, asks=("pipe_test.kind",), because="not said how it is tested")
        if test.kind != "air":
            return does_not_apply(subject, f"tested with {test.kind}")
        return judge(subject, pipe.material, "water_pipe")

    yield from _each_drain_test(area, "air", of_drain)
    yield from each_water_pipe(area, of_pipe, "water pipes")


@rule(
    "pipe-test-held",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.tests",
    quantity="time that the test held",
    limits=["pipe-test-held"],
    measures=["pipe_test.held"],
    provisions=["dwv-test-air", "dwv-test-head-old", "dwv-test-head-new", "water-test"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Fill it again, mark the level or the needle, and wait out the time.",
)
def pipe_test_held(area: Area, limits: Limits) -> Iterator[Check]:
    """A pipe's test holds long enough to tell a drip."""
    limit = limits["pipe-test-held"]

    def judged(subject: Named, test: PipeTest | None) -> Check:
        held = test.held if test is not None else None
        return check(subject, measured=held, at_least=limit, asks=("pipe_test.held",))

    def of_drain(drain: Drain) -> Iterator[Check]:
        yield judged(named(drain), drain.test)

    yield from each_drain(area, of_drain, "drains, tests")
    yield from each_water_pipe(area, lambda pipe, subject: judged(subject, pipe.test), "water pipes")


@rule(
    "water-pipe-test",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.tests",
    quantity="pressure of the test",
    limits=["water-test-air"],
    measures=["pipe_test.working_pressure", "pipe_test.pressure", "pipe_test.kind"],
    provisions=["water-test"],
    cautions=TEST_CAUTIONS,
    binds=BINDS,
    remedy="Test it with water at the pressure of the house or over; metal pipe may be tested with air.",
)
def water_pipe_test(area: Area, limits: Limits) -> Iterator[Check]:
    """A water pipe is tested with water at its working pressure, or with air at the pressure that the code asks."""
    limit = limits["water-test-air"]

    def of_pipe(pipe: WaterPipe, subject: Named) -> Check:
        test = pipe.test
        if test is None or test.kind is None:
            return not_measured(subject, asks=("pipe_test.kind",), because="not said how it is tested")
        if test.kind == "air":
            asks = ("pipe_test.pressure",)
            return check(subject, measured=test.pressure, at_least=limit, asks=asks, path=test.path)
        expected = "it was under its working pressure or more"
        found = "under less than its working pressure" if test.working_pressure is False else ""
        asks = ("pipe_test.working_pressure",)
        return fact(subject, test.working_pressure, expected=expected, found=found, asks=asks, path=test.path)

    yield from each_water_pipe(area, of_pipe, "water pipes")


# --- existing plumbing ------------------------------------------------------------------------------------------------


@rule(
    "existing-drain-sound",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.existing",
    quantity="state of the old pipe",
    measures=["drain.state"],
    provisions=["existing-plumbing"],
    cautions=["old-pipe", "crawl-space", "sewer-opening"],
    binds=["existing"],
    remedy="Replace the bad pipe now that the floor is open; what is replaced counts as new work.",
)
def existing_drain_sound(area: Area, limits: Limits) -> Iterator[Check]:
    """Old plumbing that stays is sound; it need not be as new work is.

    New work on top of it must not make it unsafe or overload it.
    """

    def answer(drain: Drain) -> Iterator[Check]:
        sound = None if drain.state is None else drain.state == "sound"
        found = f"it is {drain.state}" if sound is False else ""
        yield fact(named(drain), sound, expected="the old pipe is sound", found=found, asks=("drain.state",))

    yield from each_drain(area, answer, "drains, old pipe")


@rule(
    "old-metal-drain",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.existing",
    quantity="permit to replace it",
    limits=["old-drain-metals"],
    measures=["drain.material", "drain.state", "document.kind", "document.state"],
    provisions=["pipe-galv-replace"],
    cautions=["old-pipe", "sewer-opening"],
    binds=["existing"],
    remedy="Ask for a plumbing permit before it is cut out: replacing it is new work, tested and inspected as such.",
    scope="site",
)
def old_metal_drain(site: Site, limits: Limits) -> Iterator[Check]:
    """Lead drains, and galvanised ones that are corroded, are replaced under a permit.

    Lead is soft and poisons; galvanised pipe rusts shut from the inside. Cutting either out is no minor repair.
    """
    several = len(site.areas) > 1
    for area in site.areas:
        where = f" in {area.id}" if several else ""
        if area.drains is None:
            because = "not said which drains there are"
            yield not_measured(Named(f"drains{where}", area.path), asks=("area.drains",), because=because)
        elif not area.drains:
            yield does_not_apply(Named(f"drains{where}", area.path), "no drains here")
        for drain in area.drains or ():
            yield _old_metal(site, drain, Named(f"drain {drain.id}{where}", drain.path, drain.work), limits)


def _old_metal(site: Site, drain: Drain, subject: Named, limits: Limits) -> Check:
    if drain.material is None:
        return not_measured(subject, asks=("drain.material",), because="not said what it is made of")
    if drain.material not in limits["old-drain-metals"].words:
        return does_not_apply(subject, f"{drain.material} pipe")
    if drain.material == "galvanized":
        if drain.state is None:
            return not_measured(subject, asks=("drain.state",), because="not said whether it is corroded")
        if drain.state == "sound":
            return does_not_apply(subject, "galvanised and sound: it may stay")
    permits = [document.state for document in site.documents or () if document.kind == "permit"]
    holds = True if "on-site" in permits else None if site.documents is None or None in permits else False
    found = f"{drain.material}, no permit at hand" if holds is False else ""
    expected = "a permit for replacing it is at hand"
    return fact(subject, holds, expected=expected, found=found, asks=("document.kind", "document.state"))


@rule(
    "like-for-like-repair",
    hold_point="rough-plumbing",
    severity=CORRECTION,
    reference="drain.existing",
    quantity="minor repair",
    measures=["drain.like_for_like", "drain.state", "drain.approved"],
    provisions=["minor-repair-plumbing"],
    cautions=["sewer-opening"],
    binds=["altered"],
    remedy="Ask the official before you put back what was there; where it was a hazard it is done anew instead.",
)
def like_for_like_repair(area: Area, limits: Limits) -> Iterator[Check]:
    """A minor repair that keeps the old arrangement is no hazard, and is approved."""

    def answer(drain: Drain) -> Iterator[Check]:
        subject = named(drain)
        if drain.like_for_like is False:
            yield does_not_apply(subject, "not a like-for-like repair: it goes by the rules for new work")
            return
        sound = None if drain.state is None else drain.state == "sound"
        known = (
            ("drain.like_for_like", drain.like_for_like),
            ("drain.state", sound),
            ("drain.approved", drain.approved),
        )
        holds = all_of((sound, drain.approved)) if drain.like_for_like else None
        found = "" if holds is not False else f"it is {drain.state}" if sound is False else "not approved"
        yield fact(
            subject,
            holds,
            expected="the repair is sound and approved",
            found=found,
            asks=tuple(field for field, value in known if value is None),
        )

    yield from each_drain(area, answer, "drains, repairs")
