"""The JSON report against its contract: each key, its type, and what stands for unknowns, ranges, words and units."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

import inspect_core
from inspect_core.engine import Report
from inspect_core.quantities import Dimension, Quantity, parse
from inspect_core.report import FORMATS, Selection
from inspect_core.rules_api import Check, Limit, Named, check, fact

TEXT_OR_NULL = (str, type(None))
NUMBER = (int, float)

# The contract of the report (design, section 6), key by key; what follows "ours" was added to it.
TOP = {"format": int, "tool": dict, "site": dict, "packs": list, "summary": dict, "hold_points": dict, "findings": list}
TOP_OURS = {"failures": list, "loosened": list, "notes": list}
PACK_OURS = {"kind": str, "hash": TEXT_OR_NULL}
FINDING = {
    "rule": str,
    "subject": str,
    "outcome": str,
    "severity": str,
    "measured": (dict, type(None)),
    "limit": (dict, type(None)),
    "hold_point": str,
    "message": str,
    "remedy": str,
    "assumptions": list,
    "reference": dict,
    "cautions": list,
    "location": dict,
}
FINDING_OURS = {"measure": list, "working": list}


def fits(data: dict[str, Any], *keys: dict[str, Any]) -> bool:
    """Exactly these keys, each with a value of its type (true and false are no numbers)."""
    wanted = {key: kinds for part in keys for key, kinds in part.items()}
    assert set(data) == set(wanted)
    wrong = {k: v for k, v in data.items() if not isinstance(v, wanted[k]) or (wanted[k] is int and v is True)}
    assert wrong == {}
    return True


def data_of(report: Report, selection: Selection | None = None) -> dict[str, Any]:
    text = FORMATS["json"](report, selection or Selection())
    assert text.endswith("}\n")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def test_keys_and_types(floor: Report, metric_floor: Report) -> None:
    for report in (floor, metric_floor):
        data = data_of(report)
        assert fits(data, TOP, TOP_OURS)
        assert fits(data["tool"], {"name": str, "version": str})
        assert fits(data["site"], {"name": str, "file": str})
        assert all(fits(pack, {"id": str, "version": str}, PACK_OURS) for pack in data["packs"])
        counts = dict.fromkeys(("meets", "falls-short", "not-measured", "does-not-apply", "varied"), int)
        assert fits(data["summary"], counts)
        assert all(fits(state, {"released": bool, "open": int}) for state in data["hold_points"].values())
        for finding in data["findings"]:
            assert fits(finding, FINDING, FINDING_OURS)
            assert fits(finding["reference"], {"key": str, "text": str, "adopted": bool})
            assert fits(finding["location"], {"file": str, "line": int, "column": int, "path": str})
            assert {type(text) for text in (*finding["assumptions"], *finding["cautions"], *finding["measure"])} <= {
                str
            }
            if finding["measured"] is not None:
                assert {"value", "unit"} <= set(finding["measured"])
            if finding["limit"] is not None:
                assert {"sense", "value", "unit", "set_by"} <= set(finding["limit"])


def test_everything_but_the_findings(floor: Report) -> None:
    data = data_of(floor)
    del data["findings"]
    assert data == {
        "format": 1,
        "tool": {"name": "inspect-core", "version": inspect_core.__version__},
        "site": {"name": "Toll house wash room", "file": "toll-house.site.yaml"},
        "packs": [
            {"id": "tiny-base", "version": "1.0", "kind": "in-memory", "hash": None},
            {"id": "tiny-county", "version": "2.1", "kind": "in-memory", "hash": None},
        ],
        "loosened": [
            {
                "kind": "limit",
                "name": "bearing",
                "set_by": "tiny-county",
                "value": "1 3/8 in",
                "was": "1 1/2 in",
                "was_by": "tiny-base",
                "because": "",
                "source": "Tiny County Code 7",
            }
        ],
        "notes": [],
        "summary": {"meets": 6, "falls-short": 6, "not-measured": 7, "does-not-apply": 1, "varied": 0},
        "hold_points": {
            "under-floor": {"released": False, "open": 7},
            "rough-plumbing": {"released": True, "open": 0},
            "subfloor": {"released": True, "open": 0},
            "wet-area": {"released": True, "open": 0},
            "tile": {"released": False, "open": 2},
            "final": {"released": True, "open": 0},
        },
        "failures": [],
    }


def finding_of(report: Report, subject: str) -> dict[str, Any]:
    (found,) = [f for f in data_of(report)["findings"] if f["subject"] == subject]
    assert isinstance(found, dict)
    return found


def test_a_finding_that_falls_short_whole(floor: Report) -> None:
    assert finding_of(floor, "joist J1, notch 2") == {
        "rule": "notch",
        "subject": "joist J1, notch 2",
        "outcome": "falls-short",
        "severity": "correction",
        "measured": {"value": 2.25, "unit": "in"},
        "limit": {
            "sense": "at-most",
            "value": 1.208333,
            "unit": "in",
            "set_by": "tiny-base",
            "id": "notch",
            "source": "invented for tests",
            "status": "common practice, no source",
        },
        "hold_point": "under-floor",
        "message": "notch depth 2 1/4 in, at most 1 3/16 in (1/6 of the depth) needed: over by 1 1/16 in",
        "remedy": "Mend it, as local code and licensed practice ask.",
        "assumptions": ["the size is as it was sold"],
        "measure": [],
        "reference": {"key": "floor.other", "text": "Other things. Verify with your jurisdiction.", "adopted": False},
        "cautions": ["Carry the floor before you free an end. A licensed engineer sets out more than one."],
        "working": [],
        "location": {"file": "toll-house.site.yaml", "line": 19, "column": 11, "path": "/areas/0/joists/0/but/J1"},
    }  # fmt: skip


def test_a_finding_that_is_not_measured_whole(metric_floor: Report) -> None:
    assert finding_of(metric_floor, "joist J2, north end on B1") == {
        "rule": "bearing",
        "subject": "joist J2, north end on B1",
        "outcome": "not-measured",
        "severity": "stop-work",
        "measured": {"value": None, "unit": "mm", "low": 25, "high": 50},
        "limit": {
            "sense": "at-least",
            "value": 34.925,
            "unit": "mm",
            "set_by": "tiny-county",
            "id": "bearing",
            "source": "Tiny County Code 7",
            "status": "common practice, no source",
            "was": [{"set_by": "tiny-base", "value": 38.1, "unit": "mm"}],
        },
        "hold_point": "under-floor",
        "message": "bearing 25 to 50 mm: not sure enough against at least 34.9 mm",
        "remedy": "",
        "assumptions": [],
        "measure": ["joist.bearing"],
        "reference": {"key": "floor.bearing", "text": "Tiny County Code 7", "adopted": True},
        "cautions": [
            "Carry the floor before you free an end. A licensed engineer sets out more than one.",
            "Test the air, switch the power off, have somebody at the hatch.",
        ],
        "working": [],
        "location": {"file": "toll-house.site.yaml", "line": 20, "column": 11, "path": "/areas/0/joists/0/but/J2"},
    }


def test_a_finding_that_does_not_apply_asks_for_nothing(floor: Report) -> None:
    found = finding_of(floor, "slab")
    asked = {key: found[key] for key in ("measured", "limit", "message", "remedy", "measure", "cautions")}
    assert asked == {
        "measured": None, "limit": None, "message": "there is no slab", "remedy": "", "measure": [], "cautions": [],
    }  # fmt: skip


# --- numbers, one by one ---

OWNER = {"set_by": "tiny-base", "id": "it", "source": "a source", "status": "computed"}


def quantity(text: str, dimension: Dimension = Dimension.LENGTH) -> Quantity | None:
    return parse(text, dimension, "in")


def limit(value: Quantity | None, words: tuple[str, ...] = (), was: Any = (), **given: Any) -> Limit:
    return Limit(**{"id": "it", "value": value, "set_by": "tiny-base", "source": "a source", "status": "computed",
                    "words": words, "was": was, **given})  # fmt: skip


IT = Named("it", ())


@pytest.mark.parametrize(
    ("made", "measured", "told"),
    [
        (check(IT, measured=quantity("1 1/2"), at_least=limit(quantity("2"))),
         {"value": 1.5, "unit": "in"}, {"sense": "at-least", "value": 2, "unit": "in", **OWNER}),
        (check(IT, measured=quantity("~16"), at_most=limit(quantity("16"))),
         {"value": 16, "unit": "in", "estimate": True}, {"sense": "at-most", "value": 16, "unit": "in", **OWNER}),
        (check(IT, measured=quantity("~1 .. 2"), at_most=limit(quantity("1 .. 3"))),
         {"value": None, "unit": "in", "low": 1, "high": 2, "estimate": True},
         {"sense": "at-most", "value": None, "unit": "in", "low": 1, "high": 3, **OWNER}),
        (check(IT, measured=None, at_most=limit(None)),
         None, {"sense": "at-most", "value": None, "unit": None, **OWNER}),
        (check(IT, measured="osb", one_of=limit(None, ("plywood", "osb"), (("old", None, ("plywood",)),))),
         {"value": "osb", "unit": None},
         {"sense": "one-of", "value": ["plywood", "osb"], "unit": None, **OWNER,
          "was": [{"set_by": "old", "value": ["plywood"]}]}),
        (check(IT, measured=quantity("1"), at_least=limit(quantity("1")),
               at_most=limit(quantity("2"), id="top", set_by="me")),
         {"value": 1, "unit": "in"},
         {"sense": "between", "value": None, "unit": "in", "low": 1, "high": 2, **OWNER,
          "upper": {**OWNER, "id": "top", "set_by": "me"}}),
        (check(IT, measured=quantity("1"), at_least=limit(quantity("1 .. 2")), at_most=limit(quantity("3 .. 4"))),
         {"value": 1, "unit": "in"},
         {"sense": "between", "value": None, "unit": "in", "low": 1, "high": 4, **OWNER, "upper": OWNER}),
        (check(IT, measured=quantity("1"), at_least=limit(None), at_most=limit(quantity("3"))),
         {"value": 1, "unit": "in"},
         {"sense": "between", "value": None, "unit": "in", "low": None, "high": 3, **OWNER, "upper": OWNER}),
        (check(IT, measured=quantity("1"),
               at_least=limit(quantity("2"), was=(("a", quantity("3"), ()), ("b", quantity("1 .. 2"), ())))),
         {"value": 1, "unit": "in"},
         {"sense": "at-least", "value": 2, "unit": "in", **OWNER, "was": [
             {"set_by": "a", "value": 3, "unit": "in"},
             {"set_by": "b", "value": None, "unit": "in", "low": 1, "high": 2}]}),
        (fact(IT, False, expected="x", limit=limit(quantity("2"))),
         None, {"sense": "is", "value": 2, "unit": "in", **OWNER}),
        (fact(IT, None, expected="x"), None, None),
    ],
)  # fmt: skip
def test_measurements_and_limits(
    report_of: Callable[..., Report], made: Check, measured: dict[str, Any] | None, told: dict[str, Any] | None
) -> None:
    (found,) = data_of(report_of(made))["findings"]
    assert (found["measured"], found["limit"]) == (measured, told)
    assert {type(v) for v in (measured or {}).values()} == {type(v) for v in (found["measured"] or {}).values()}


# 1 ft is 304.8 mm; 1 psf is 0.04788026 kPa, 1 lb is 4.448222 N (international foot and pound, standard gravity).
@pytest.mark.parametrize(
    ("text", "dimension", "inches", "metric"),
    [
        ("1 ft", "length", {"value": 12, "unit": "in"}, {"value": 304.8, "unit": "mm"}),
        ("1 sq in", "area", {"value": 1, "unit": "sq in"}, {"value": 645.16, "unit": "mm2"}),
        ("50 psf", "load", {"value": 50, "unit": "psf"}, {"value": 2.394013, "unit": "kPa"}),
        ("1000 lb", "force", {"value": 1000, "unit": "lb"}, {"value": 4.448222, "unit": "kN"}),
        ("68 F", "temperature", {"value": 68, "unit": "F"}, {"value": 20, "unit": "C"}),
        ("1/4 in per ft", "slope", {"value": 0.25, "unit": "in per ft"}, {"value": 2.083333, "unit": "%"}),
        ("1/150", "ratio", {"value": 0.00666666667, "unit": "ratio"}, {"value": 0.00666666667, "unit": "ratio"}),
        ("17 %", "moisture", {"value": 17, "unit": "%"}, {"value": 17, "unit": "%"}),
    ],
)  # fmt: skip
def test_units_are_those_of_the_file(
    report_of: Callable[..., Report], text: str, dimension: str, inches: dict[str, Any], metric: dict[str, Any]
) -> None:
    value = quantity(text, Dimension(dimension))
    checks = check(IT, measured=value, at_least=limit(value))
    for units, wanted in (("in", inches), ("mm", metric)):
        site = f"format: 1\nunits: {units}\nsite: {{name: x}}\nareas: [{{id: a}}]\n"
        (found,) = data_of(report_of(checks, text=site))["findings"]
        assert found["measured"] == wanted
        assert found["limit"] == {"sense": "at-least", **wanted, **OWNER}


# --- the rest ---


def test_one_hold_point_and_severity(floor: Report) -> None:
    data = data_of(floor, Selection("subfloor", "advisory"))
    assert data["hold_points"] == {"subfloor": {"released": False, "open": 3}}
    assert data["summary"] == {"meets": 1, "falls-short": 2, "not-measured": 1, "does-not-apply": 0, "varied": 0}
    assert [(f["subject"], f["outcome"]) for f in data["findings"]] == [
        ("gap 2", "falls-short"), ("gap 3", "falls-short"), ("gap 4", "not-measured"), ("gap 1", "meets"),
    ]  # fmt: skip


def test_failures_are_in_the_report(report_of: Callable[..., Report]) -> None:
    data = data_of(report_of("nonsense"))  # type: ignore[arg-type]
    (failure,) = data["failures"]
    assert fits(failure, {"pack": str, "message": str})
    assert failure["message"].startswith("rule given failed: TypeError: it yielded str, not a check")
    (found,) = data["findings"]
    assert fits(found, FINDING, FINDING_OURS)
    assert {
        key: found[key] for key in ("rule", "subject", "outcome", "severity", "measure", "hold_point", "cautions")
    } == {
        "rule": "rule-failed",
        "subject": "rule given of tiny-base",
        "outcome": "not-measured",
        "severity": "stop-work",
        "measure": [],
        "hold_point": "under-floor",
        "cautions": [],
    }


def test_a_reference_that_nobody_filled(report_of: Callable[..., Report]) -> None:
    (found,) = data_of(report_of(fact(IT, True, expected="x"), references={}))["findings"]
    assert found["reference"] == {"key": "floor.other", "text": "", "adopted": False}


def test_paths_are_json_pointers(report_of: Callable[..., Report]) -> None:
    # RFC 6901: ~ is written ~0 and / is written ~1.
    text = (
        "format: 1\nunits: in\nsite: {name: x}\nareas:\n- id: a\n  joists:\n"
        "  - {name: J, at: [0], also: {a/b~c: {at: 16, bearing: {}}}}\n"
    )
    path = ("areas", 0, "joists", 0, "also", "a/b~c")
    for deeper in ((), ("nothing", 3, "here")):  # what isn't in the file is located by what is around it
        (found,) = data_of(report_of(fact(Named("it", (*path, *deeper)), True, expected="x"), text=text))["findings"]
        assert found["location"] == {
            "file": "x.site.yaml",
            "line": 7,
            "column": 31,
            "path": "/areas/0/joists/0/also/a~1b~0c",
        }
