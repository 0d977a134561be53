"""What to measure next: what settles most comes first, with the how and the tool of the schema."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, Report, field_schema, inspect
from inspect_core.planning.measure import GENERAL_HOW, GENERAL_TOOL, Measurement, how_to_write, to_measure
from inspect_core.report.measure import MOST_SUBJECTS, measure_data, measure_text
from inspect_core.rules_api import Check, Limits, Named, Pack, Reference, fact, not_measured, rule
from inspect_core.site import Area, Site, schema, site_from_text


def report(*answers: tuple[str, tuple[str, ...] | None, str], areas: int = 1, measures: tuple[str, ...] = ()) -> Report:
    """A report with one open finding for each (subject, fields asked for, hold point), in every area."""

    def made(stage: str) -> Any:
        def asks(area: Area, limits: Limits) -> Iterator[Check]:
            """Asks for what the test wants asked."""
            for subject, fields, where in answers:
                if where == stage:
                    yield not_measured(Named(subject, area.path), asks=fields)

        return rule(
            f"asks-{stage}",
            hold_point=stage,
            severity="correction",
            reference="x",
            quantity="x",
            remedy="x",
            measures=measures,
        )(asks)

    stages = dict.fromkeys(stage for _, _, stage in reversed(answers))
    pack = Pack(
        id="tiny", version="1", title="", api=1, rules=tuple(map(made, stages)), references={"x": Reference("x", "x")}
    )
    listed = ", ".join(f"{{id: {chr(97 + n)}}}" for n in range(areas))
    site = site_from_text(f"format: 1\nunits: in\nsite: {{name: x}}\nareas: [{listed}]\n", "x")
    found = inspect(site, LoadedPacks((pack,), ()))
    assert found.failures == ()
    return found


def told(field: str) -> dict[str, str]:
    part, name = field.split(".")
    described = schema()["$defs"][part]["properties"][name]
    return {"what": described["description"], **described["measure"]}


def test_one_field_for_several_findings() -> None:
    found = to_measure(
        report(
            ("J1", ("joist.bearing",), "under-floor"),
            ("J2", ("joist.bearing",), "tile"),
            ("J1", ("joist.bearing",), "tile"),
        )
    )
    assert found == (
        Measurement(
            field="joist.bearing",
            area="a",
            settles=3,
            helps=0,
            subjects=("J2", "J1"),  # each once, in the order of the findings
            hold_points=("under-floor", "tile"),  # in the order of the work
            rules=("asks-tile", "asks-under-floor"),
            write="bearing: {S1: 3 1/2, B1: 2}",
            **told("joist.bearing"),
        ),
    )


def test_order_by_what_it_settles_then_by_what_it_helps_then_by_name() -> None:
    found = to_measure(
        report(
            ("1", ("joist.depth", "joist.species"), "tile"),  # helped by either, settled by neither alone
            ("2", ("joist.depth", "joist.grade", "joist.species"), "tile"),
            ("3", ("joist.bearing",), "tile"),
            ("4", ("layer.gap",), "tile"),
            ("5", ("layer.gap",), "tile"),
            ("6", ("layer.thickness", "joist.bearing"), "tile"),
            ("7", ("support.width",), "tile"),
        )
    )
    assert [(m.field, m.settles, m.helps, m.subjects) for m in found] == [
        ("layer.gap", 2, 0, ("4", "5")),
        ("joist.bearing", 1, 1, ("3", "6")),
        ("support.width", 1, 0, ("7",)),
        ("joist.depth", 0, 2, ("1", "2")),
        ("joist.species", 0, 2, ("1", "2")),
        ("joist.grade", 0, 1, ("2",)),
        ("layer.thickness", 0, 1, ("6",)),
    ]


def test_areas_are_measured_apart() -> None:
    found = to_measure(report(("end", ("joist.bearing",), "tile"), areas=2))
    assert [(m.field, m.area, m.settles, m.subjects) for m in found] == [
        ("joist.bearing", "a", 1, ("end in a",)),
        ("joist.bearing", "b", 1, ("end in b",)),
    ]


def test_without_fields_of_its_own_a_finding_asks_for_those_of_its_rule() -> None:
    found = to_measure(report(("it", None, "tile"), ("other", (), "tile"), measures=("joist.depth", "joist.grade")))
    assert [(m.field, m.settles, m.helps, m.subjects) for m in found] == [
        ("joist.depth", 0, 1, ("it",)),
        ("joist.grade", 0, 1, ("it",)),
    ]


def test_only_what_is_not_measured_asks() -> None:
    def answers(area: Area, limits: Limits) -> Iterator[Check]:
        """Asks in vain."""
        yield fact(Named("a", ()), True, expected="x", asks=("joist.depth",))
        yield fact(Named("b", ()), False, expected="x", asks=("joist.depth",))

    asking = rule("r", hold_point="tile", severity="correction", reference="x", quantity="x", remedy="x")(answers)
    pack = Pack(id="tiny", version="1", title="", api=1, rules=(asking,), references={"x": Reference("x", "x")})
    site = site_from_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n", "x")
    assert to_measure(inspect(site, LoadedPacks((pack,), ()))) == ()


def test_a_field_without_instructions_gets_general_ones() -> None:
    (by_reference,) = to_measure(report(("it", ("crawl_space.air",), "tile"), measures=()))
    air = schema()["$defs"]["air"]
    assert (by_reference.what, by_reference.how, by_reference.tool) == (air["description"], GENERAL_HOW, GENERAL_TOOL)
    (unknown,) = to_measure(report(("it", ("roof.pitch",), "tile")))
    assert (unknown.what, unknown.how, unknown.tool) == ("roof.pitch", GENERAL_HOW, GENERAL_TOOL)


def test_a_part_of_the_findings() -> None:
    whole = report(("J1", ("joist.bearing",), "under-floor"), ("J2", ("joist.bearing",), "tile"))
    part = to_measure(whole, [f for f in whole.findings if f.rule.hold_point == "tile"])
    assert [(m.field, m.settles, m.subjects, m.hold_points) for m in part] == [("joist.bearing", 1, ("J2",), ("tile",))]


def test_as_data_and_as_text() -> None:
    names = [f"J{n}" for n in range(MOST_SUBJECTS + 3)]
    whole = report(
        *((name, ("joist.bearing",), "tile") for name in names), ("x", ("joist.bearing", "joist.at"), "tile"), areas=2
    )
    found = to_measure(whole)
    data = measure_data(found)
    bearing, at = told("joist.bearing"), told("joist.at")
    many = [f"{name} in a" for name in names]
    assert data["measure"][0] == {
        "field": "joist.bearing", "area": "a", **bearing, "settles": len(names), "helps": 1,
        "subjects": [*many, "x in a"], "hold_points": ["tile"],
    }  # fmt: skip
    assert [(m["field"], m["area"]) for m in data["measure"]] == [
        ("joist.bearing", "a"), ("joist.bearing", "b"), ("joist.at", "a"), ("joist.at", "b"),
    ]  # fmt: skip
    text = measure_text(whole, found)
    assert [line for line in text.split("\n") if len(line) > 80] == []
    entries = [" ".join(entry.split()) for entry in text.split("\n\n")]
    assert entries[0] == "What to measure next: x"
    assert entries[1] == (
        f"1. joist.bearing in a (settles {len(names)}, helps with 1 more) "
        f"What: {bearing['what']} How: {bearing['how']} "
        f"Tool: {bearing['tool']} Write: bearing: {{S1: 3 1/2, B1: 2}} For: {'; '.join(many[:MOST_SUBJECTS])}; and 4 more Holds: tile"
    )
    assert entries[3] == (
        f"3. joist.at in a (helps with 1) "
        f'What: {at["what"]} How: {at["how"]} Tool: {at["tool"]} Write: at: "40" For: x in a Holds: tile'
    )


@pytest.mark.parametrize(
    ("field", "written"),
    [
        ("pier.tied", "tied: true (or false, unknown)"),
        ("joist.grade", "grade: No.2"),
        ("support.splices", 'splices: ["56"]'),
        ("joist.holes", "holes: [] (none), or holes: [{from: S1, at: 2' 3\", diameter: 2 3/8, wood_above: 2 1/4}]"),
        ("roof.pitch", ""),
    ],
)
def test_how_a_field_is_written(field: str, written: str) -> None:
    assert how_to_write(field.split(".")[1], field_schema(field) or {}) == written


def test_examples_are_in_millimetres_in_a_metric_file() -> None:
    inches = report(("J1", ("joist.bearing",), "tile"), ("P1", ("joist.restraint",), "tile"))
    text = "format: 1\nunits: mm\nsite: {name: x}\nareas: [{id: a}]\n"
    metric = inspect(site_from_text(text, "x"), LoadedPacks(inches.rules.packs, ()))
    assert {m.field: m.write for m in to_measure(metric)} == {
        "joist.bearing": "bearing: {S1: 89, B1: 51}",
        "joist.restraint": "restraint: {S1: rim}",
    }


def test_a_field_without_instructions_has_no_lines_for_them() -> None:
    whole = report(("it", ("layer.weight",), "tile"))
    assert "layer.weight" in measure_text(whole, to_measure(whole))
    assert "How:" not in measure_text(whole, to_measure(whole))


def test_what_the_site_asks_of_its_one_floor_is_one_question() -> None:
    def asks(site: Site, limits: Limits) -> Iterator[Check]:
        """Asks for the piers too."""
        yield not_measured(Named("permit", ("site",)), asks=("area.piers",))

    whole = report(("J1", ("area.piers",), "tile"))
    of_site = rule(
        "of-site", hold_point="tile", severity="correction", reference="x", quantity="x", remedy="x", scope="site"
    )(asks)
    (pack,) = whole.rules.packs
    both = inspect(whole.site, LoadedPacks((replace(pack, rules=(*pack.rules, of_site)),), ()))
    assert [(m.area, m.settles, m.subjects) for m in to_measure(both)] == [("a", 2, ("J1", "permit"))]


def test_nothing_is_asked_for_where_a_rule_failed() -> None:
    def broken(area: Area, limits: Limits) -> Iterator[Check]:
        """Fails."""
        raise ValueError

    failing = rule("r", hold_point="tile", severity="correction", reference="x", quantity="x", remedy="x")(broken)
    pack = Pack(id="tiny", version="1", title="", api=1, rules=(failing,), references={"x": Reference("x", "x")})
    site = site_from_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n", "x")
    failed = inspect(site, LoadedPacks((pack,), ()))
    assert to_measure(failed) == ()
    assert measure_text(failed, ()) == "What to measure next: x\nNothing: a pack or rule failed.\n"
