"""Packs laid one on the other: the later wins key by key, and each value keeps its owner and its history."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inspect_core.engine import PackRule, select, stack
from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.rules_api import Caution, Limit, LimitDef, Pack, Reference, Rule

MakePack = Callable[..., Pack]
MakeLimit = Callable[..., LimitDef]


def inches(value: float) -> Quantity:
    return exactly(value, Dimension.LENGTH)


def nothing(area: Any, limits: Any) -> list[Any]:
    """A requirement."""
    return []


@pytest.fixture
def three(make_pack: MakePack, make_limit: MakeLimit) -> list[Pack]:
    """A base and two local packs, each with its own value for one limit."""
    return [
        make_pack(id=name, limits={"least": make_limit("least", inches(value), set_by=name, source=f"{name} source")})
        for name, value in (("base", 1.5), ("county", 2.0), ("town", 3.0))
    ]


def test_a_limit_that_one_pack_sets(three: list[Pack]) -> None:
    assert stack(three[:1]).limits["least"] == Limit("least", inches(1.5), "base", "base source", "read from text")


def test_the_latest_limit_wins_and_remembers(three: list[Pack]) -> None:
    assert stack(three).limits["least"] == Limit(
        "least",
        inches(3.0),
        "town",
        "town source",
        "read from text",
        was=(("base", inches(1.5), ()), ("county", inches(2.0), ())),
    )
    assert stack(three[::-1]).limits["least"] == Limit(
        "least",
        inches(1.5),
        "base",
        "base source",
        "read from text",
        was=(("town", inches(3.0), ()), ("county", inches(2.0), ())),
    )


def test_a_table_is_overridden_key_by_key(make_pack: MakePack, make_limit: MakeLimit) -> None:
    tables = {
        "base": {"wood": inches(1.5), "masonry": inches(3.0)},
        "county": {"masonry": inches(4.0), "adobe": inches(6.0)},
        "town": {"wood": inches(2.0)},
    }
    packs = [
        make_pack(
            id=name,
            limits={
                "bearing": make_limit(
                    "bearing",
                    table=table,
                    set_by=name,
                    source=f"{name} source",
                    status="from memory" if name == "town" else "computed",
                    citation="County Code 7" if name == "county" else "",
                )
            },
        )
        for name, table in tables.items()
    ]
    limits = stack(packs).limits
    assert list(limits.keys("bearing")) == ["wood", "masonry", "adobe"]
    # Who set a value owns it: the town's pack left masonry and adobe as the county's had them.
    assert {key: limits["bearing", key] for key in limits.keys("bearing")} == {
        "wood": Limit(
            "bearing/wood", inches(2.0), "town", "town source", "from memory", was=(("base", inches(1.5), ()),)
        ),
        "masonry": Limit(
            "bearing/masonry", inches(4.0), "county", "County Code 7", "computed", was=(("base", inches(3.0), ()),)
        ),
        "adobe": Limit("bearing/adobe", inches(6.0), "county", "County Code 7", "computed"),
    }
    assert limits["bearing", "masonry"] is limits["bearing", "masonry"]


def test_words_are_overridden_too(make_pack: MakePack, make_limit: MakeLimit) -> None:
    base = make_pack(id="base", limits={"kinds": make_limit("kinds", ("a", "b"), set_by="base")})
    town = make_pack(id="town", limits={"kinds": make_limit("kinds", ("b",), set_by="town")})
    assert stack([base, town]).limits["kinds"] == Limit(
        "kinds", None, "town", "a source", "read from text", words=("b",), was=(("base", None, ("a", "b")),)
    )


def test_a_limit_or_key_that_nobody_set_is_an_error(three: list[Pack]) -> None:
    limits = stack(three).limits
    with pytest.raises(KeyError, match="most"):
        limits["most"]
    with pytest.raises(KeyError, match="wood"):
        limits["least", "wood"]
    assert (limits.has("least", ""), limits.has("least", "wood")) == (True, False)


def test_between_is_one_value_or_the_range_of_those_it_may_be(make_pack: MakePack, make_limit: MakeLimit) -> None:
    table = {"wood": inches(1.5), "steel": inches(2.0), "masonry": inches(3.0)}
    limits = stack([make_pack(limits={"b": make_limit("b", table=table)})]).limits
    assert limits.between("b", "steel", ("wood", "steel")) == limits["b", "steel"]
    assert limits.between("b", None, ("wood", "steel")) == Limit(
        "b/wood",
        Quantity(1.5, 2.0, Dimension.LENGTH),
        "tiny",
        "a source",
        "read from text",
        basis="depends on which of wood, steel",
    )


def test_references_cautions_rules_and_hold_points(make_pack: MakePack, make_rule: Callable[..., Rule]) -> None:
    old, same, new, late = (
        make_rule(nothing, id=id, severity=severity)
        for id, severity in (
            ("shared", "advisory"),
            ("same", "advisory"),
            ("shared", "stop-work"),
            ("late", "advisory"),
        )
    )
    base = make_pack(
        old,
        same,
        id="base",
        references={"a": Reference("a", "base a"), "b": Reference("b", "base b")},
        cautions={"c": Caution("c", "base c"), "d": Caution("d", "base d")},
    )
    town = make_pack(
        new,
        late,
        id="town",
        references={"a": Reference("a", "Town Code 1", adopted=True)},
        cautions={"c": Caution("c", "town c")},
        hold_points=("insulation", "tile"),
    )
    found = stack([base, town])
    assert found.packs == (base, town)
    # A rule of the same id takes the place of the earlier one, where that stood.
    assert found.rules == (PackRule(new, "town"), PackRule(same, "base"), PackRule(late, "town"))
    assert found.rule("late") == PackRule(late, "town")
    assert found.rule("none") is None
    assert found.references == {"a": Reference("a", "Town Code 1", adopted=True), "b": Reference("b", "base b")}
    assert found.cautions == {"c": Caution("c", "town c"), "d": Caution("d", "base d")}
    assert found.hold_points == (
        "under-floor", "rough-plumbing", "subfloor", "wet-area", "tile", "final", "insulation",
    )  # fmt: skip


def test_tape_tolerance_is_a_limit_like_any_other(make_pack: MakePack, make_limit: MakeLimit) -> None:
    sixteenth = make_limit("tape-tolerance", inches(1 / 16))
    assert stack([make_pack(limits={})]).tape_tolerance is None
    with_tape = stack([make_pack(limits={"tape-tolerance": sixteenth})])
    assert with_tape.tape_tolerance == Limit("tape-tolerance", inches(1 / 16), "tiny", "a source", "read from text")


def test_nothing_to_stack() -> None:
    found = stack([])
    assert (found.packs, found.rules, found.references, found.cautions) == ((), (), {}, {})


def test_selecting_the_packs_of_a_site(make_pack: MakePack) -> None:
    base, county, town = (
        make_pack(id="base"),
        make_pack(id="county", stands_on=("base",)),
        make_pack(id="a-town", stands_on=("base",)),
    )
    installed = (town, base, county)
    assert select(installed, ()) == ((base,), ())
    assert select(installed, ["county", "a-town"]) == ((base, county, town), ())
    assert select(installed, ["a-town", "base", "county", "a-town"]) == ((base, town, county), ())
    assert select(installed, ["x", "county", "y"]) == ((base, county), ("x", "y"))
    assert select((), ["county"]) == ((), ("county",))
