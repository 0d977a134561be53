"""What `check`, `fact` and the others answer: at the limit, a hair past it, in ranges, with estimates and unknowns."""

from __future__ import annotations

import dataclasses

import pytest

from inspect_core.quantities import Dimension, Quantity, exactly, parse
from inspect_core.rules_api import Check, Limit, Named, check, does_not_apply, fact, not_measured

IT = Named("it", ("areas", 0))


def length(text: str) -> Quantity | None:
    return parse(text, Dimension.LENGTH, "in")


def limit(text: str = "unknown", *words: str) -> Limit:
    return Limit("some-limit", length(text), "tiny", "a source", "read from text", words=words)


# Limit 1 1/2 in. An estimate is good to 10 percent either way: common practice, no source (see `quantities.quantity.ESTIMATE_SPREAD`).
@pytest.mark.parametrize(
    ("measured", "at_least", "at_most"),
    [
        ("1 1/2", "meets", "meets"),  # at the limit
        ("1.5000000001", "meets", "meets"),  # less than binary rounding of any real number on a tape
        ("1.5001", "meets", "falls-short"),  # a hair past
        ("1.4999", "falls-short", "meets"),
        ("38.1 mm", "meets", "meets"),  # 1 1/2 in exactly
        ("38 mm", "falls-short", "meets"),
        ("0", "falls-short", "meets"),
        ("-3", "falls-short", "meets"),
        ("unknown", "not-measured", "not-measured"),
        ("1 1/2 .. 3", "meets", "not-measured"),
        ("1 .. 1 1/2", "not-measured", "meets"),
        ("1 .. 1.4999", "falls-short", "meets"),
        ("1.5001 .. 3", "meets", "falls-short"),
        ("1 .. 3", "not-measured", "not-measured"),
        # An estimate never proves that something holds, however far it lies on the right side.
        ("~100", "not-measured", "falls-short"),
        ("~0", "falls-short", "not-measured"),
        ("~1 1/2", "not-measured", "not-measured"),
        ("~1.37", "not-measured", "not-measured"),  # 10 percent more is 1.507
        ("~1.36", "falls-short", "not-measured"),  # 10 percent more is 1.496
        ("~1.66", "not-measured", "not-measured"),  # 10 percent less is 1.494
        ("~1.67", "not-measured", "falls-short"),  # 10 percent less is 1.503
        ("~1 .. 1.36", "falls-short", "not-measured"),
        ("~1 .. 1.37", "not-measured", "not-measured"),
    ],
)
def test_against_an_inch_and_a_half(measured: str, at_least: str, at_most: str) -> None:
    value = length(measured)
    one = limit("1 1/2")
    assert check(IT, measured=value, at_least=one) == Check(IT, at_least, value, "at-least", one)  # type: ignore[arg-type]
    assert check(IT, measured=value, at_most=one) == Check(IT, at_most, value, "at-most", one)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("measured", "bound", "at_least"),
    [
        ("2", "1 .. 2", "meets"),  # holds whatever the limit turns out to be
        ("1.9", "1 .. 2", "not-measured"),
        ("1", "1 .. 2", "not-measured"),
        ("0.99", "1 .. 2", "falls-short"),
        ("1 1/2 .. 3", "1 .. 2", "not-measured"),
        ("2 .. 3", "1 .. 2", "meets"),
        ("2", "unknown", "not-measured"),
        ("unknown", "unknown", "not-measured"),
        ("100", "~1", "not-measured"),  # nor does a guess at the limit prove anything
        ("0.89", "~1", "falls-short"),
        ("0.91", "~1", "not-measured"),
    ],
)
def test_against_limits_that_are_no_single_number(measured: str, bound: str, at_least: str) -> None:
    value, one = length(measured), limit(bound)
    assert check(IT, measured=value, at_least=one) == Check(IT, at_least, value, "at-least", one)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("measured", "outcome"),
    [
        ("1", "meets"), ("1 1/2", "meets"), ("2", "meets"), ("1 .. 2", "meets"),
        ("0.9999", "falls-short"), ("2.0001", "falls-short"), ("2.1 .. 3", "falls-short"),
        ("0.5 .. 1.5", "not-measured"), ("1.5 .. 2.5", "not-measured"), ("0 .. 9", "not-measured"),
        ("~1 1/2", "not-measured"), ("~3", "falls-short"), ("~0.5", "falls-short"), ("unknown", "not-measured"),
    ],
)  # fmt: skip
def test_between_two_limits(measured: str, outcome: str) -> None:
    value, low, high = length(measured), limit("1"), limit("2")
    assert check(IT, measured=value, at_least=low, at_most=high) == Check(
        IT,
        outcome,
        value,
        "between",
        low,
        high,  # type: ignore[arg-type]
    )


def test_between_with_an_unknown_side() -> None:
    low, high = limit("1"), limit("unknown")
    assert [check(IT, measured=length(m), at_least=low, at_most=high).outcome for m in ("0.5", "1.5")] == [
        "falls-short",  # too little is too little whatever the other side is
        "not-measured",
    ]


@pytest.mark.parametrize(
    ("word", "outcome"),
    [("plywood", "meets"), ("osb", "meets"), ("boards", "falls-short"), ("", "falls-short"), (None, "not-measured")],
)
def test_one_of_several_words(word: str | None, outcome: str) -> None:
    words = limit("unknown", "plywood", "osb")
    assert check(IT, measured=word, one_of=words) == Check(IT, outcome, word, "one-of", words)  # type: ignore[arg-type]


def test_everything_that_goes_along_with_a_check() -> None:
    one = limit("1 1/2")
    told = {
        "found": "seen from below",
        "asks": ("joist.bearing",),
        "remedy": "Hang it.",
        "severity": "stop-work",
        "path": ("areas", 0, "joists", 1),
        "working": object(),
    }
    answer = check(IT, measured=length("1"), at_least=one, assuming=iter(["a", "b"]), **told)  # type: ignore[arg-type]
    assert answer == Check(
        IT,
        "falls-short",
        length("1"),
        "at-least",
        one,
        assumptions=("a", "b"),
        **told,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(("holds", "outcome"), [(True, "meets"), (False, "falls-short"), (None, "not-measured")])
def test_a_fact(holds: bool | None, outcome: str) -> None:
    one = limit("1")
    assert fact(
        IT, holds, expected="a cap", found="none seen", limit=one, assuming=["dry"], asks=("vent.at",)
    ) == Check(
        IT,
        outcome,  # type: ignore[arg-type]
        None,
        "is",
        one,
        found="none seen",
        expected="a cap",
        assumptions=("dry",),
        asks=("vent.at",),
    )


def test_not_measured_and_does_not_apply() -> None:
    assert not_measured(IT, expected="a cap", asks=("vent.at",)) == Check(
        IT, "not-measured", sense="is", expected="a cap", asks=("vent.at",)
    )
    assert not_measured(IT, because="nobody looked") == Check(IT, "not-measured", because="nobody looked")
    assert does_not_apply(IT, "no vents here") == Check(IT, "does-not-apply", because="no vents here")


WRONG = {
    "nothing to compare with": ({"measured": length("1")}, "needs at_least, at_most or one_of"),
    "nothing at all": ({}, "needs at_least, at_most or one_of"),
    "words against a number": ({"measured": "1", "at_least": limit("1")}, "compare quantities"),
    "a number against words": ({"measured": length("1"), "one_of": limit("unknown", "a")}, "compares words"),
    "one_of a number": ({"measured": "a", "one_of": limit("1")}, "compares words"),
    "at least some words": ({"measured": length("1"), "at_least": limit("unknown", "a")}, "compare quantities"),
    "at most some words": ({"at_most": limit("unknown", "a")}, "compare quantities"),
    "both kinds": ({"at_least": limit("1"), "one_of": limit("unknown", "a")}, "stands alone"),
    "a weight against a length": (
        {"measured": exactly(3, Dimension.FORCE), "at_most": limit("1")},
        "a force and a length don't go together",
    ),
}


@pytest.mark.parametrize(("given", "complaint"), WRONG.values(), ids=WRONG)
def test_wrong_use_raises(given: dict[str, object], complaint: str) -> None:
    with pytest.raises(TypeError, match=complaint):
        check(IT, **given)  # type: ignore[arg-type]


def test_a_reason_is_needed() -> None:
    with pytest.raises(ValueError, match="needs a reason"):
        does_not_apply(IT, "")


# --- limits worked out from limits ---

SIXTH = Limit("notch", exactly(1 / 6, Dimension.RATIO), "tiny", "a source", "computed")


@pytest.mark.parametrize(
    ("depth", "low", "high"),
    [("7 1/4", 7.25 / 6, 7.25 / 6), ("7 1/4 .. 8", 7.25 / 6, 8 / 6)],
)
def test_a_fraction_of_what_was_measured(depth: str, low: float, high: float) -> None:
    found = SIXTH.of(length(depth), "1/6 of the depth")
    assert found.value is not None
    assert (found.value.low, found.value.high) == pytest.approx((low, high))
    assert dataclasses.replace(found, value=SIXTH.value) == dataclasses.replace(SIXTH, basis="1/6 of the depth")


def test_a_fraction_that_a_local_pack_has_set_says_so() -> None:
    # The rule's own words for it ("1/6 of the depth") hold for the value that the rule was written with.
    local = dataclasses.replace(SIXTH, was=(("base", exactly(1 / 4, Dimension.RATIO), ()),))
    assert local.of(length("6"), "1/4 of the depth") == dataclasses.replace(
        local, value=exactly(1.0, Dimension.LENGTH), basis="1/6 of it, by tiny"
    )


def test_a_fraction_of_an_unknown_is_unknown() -> None:
    assert SIXTH.of(None, "1/6 of the depth") == dataclasses.replace(SIXTH, value=None, basis="1/6 of the depth")
    nothing = dataclasses.replace(SIXTH, value=None)
    assert nothing.of(length("7 1/4")) == nothing
    assert check(IT, measured=length("0.001"), at_most=SIXTH.of(None)).outcome == "not-measured"


def test_a_fraction_of_a_guess_is_a_guess() -> None:
    guessed = SIXTH.of(length("~7 1/4"))
    assert guessed.value is not None
    assert guessed.value.estimate
    assert check(IT, measured=length("0.001"), at_most=guessed).outcome == "not-measured"
    assert check(IT, measured=length("2"), at_most=guessed).outcome == "falls-short"


def test_a_limit_worked_out_otherwise() -> None:
    assert SIXTH.derived(length("3"), "by the table") == dataclasses.replace(
        SIXTH, value=length("3"), basis="by the table"
    )
