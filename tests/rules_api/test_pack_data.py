"""A pack's data files: what they hold, and every fault of them with file, line and column."""

from __future__ import annotations

import importlib
import itertools
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.rules_api import Caution, LimitDef, Reference, Repair, load_data
from inspect_core.site import InputError

_NUMBERS = itertools.count()


@pytest.fixture
def load(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., dict[str, Any]]]:
    """Loads data files, given by name and text, out of a package made for them."""
    monkeypatch.syspath_prepend(str(tmp_path))
    made: list[str] = []

    def run(**texts: str) -> dict[str, Any]:
        package = f"pack_data_test_{next(_NUMBERS)}"
        made.append(package)
        folder = tmp_path / package / "data"
        folder.mkdir(parents=True)
        (folder.parent / "__init__.py").write_text("", "utf-8")
        (folder / "notes.txt").write_text("not: [read", "utf-8")
        for name, text in texts.items():
            (folder / f"{name}.yaml").write_text(text, "utf-8")
        importlib.invalidate_caches()
        return load_data(package, "tiny")

    yield run
    for package in made:
        sys.modules.pop(package, None)


GOOD = """\
limits:
  plain:
    says: How long
    quantity: length
    value: 1 1/2 in
    source: a book
    status: read from text
  table:
    says: How long on what
    quantity: length
    by: surface
    values: {wood: 406.4 mm, masonry: 3 .. 4 in}
    source: a book
    status: computed
    provisions: [one, two]
    editions: 2021
    changed_because: the county says so
    citation: County Code 7
  words:
    says: Which
    words: [plywood, osb]
    source: custom
    status: common practice, no source
  table-of-words:
    says: Which for what
    quantity: words
    values: {tile: [mortar], wood: [nail, screw]}
    source: custom
    status: from memory
"""
TEXTS = """\
references:
  floor.x: >
    Text of two
    lines.
cautions:
  care: Take   care.
repairs:
  mend:
    says: Mend   {subject}.
    does: set
    with: {of: vent, set: {mesh: to-limit}}
    answers: [one, two]
    material: {words: mesh, effort: 2}
    labour: anyone
    invasive: 3
    source: custom
    status: from memory
"""


def test_good_data(load: Callable[..., dict[str, Any]]) -> None:
    assert load(a=GOOD, b=TEXTS) == {
        "limits": {
            "plain": LimitDef(
                "plain", "How long", Dimension.LENGTH, {"": exactly(1.5, Dimension.LENGTH)}, "a book", "read from text",
                set_by="tiny",
            ),
            "table": LimitDef(
                "table", "How long on what", Dimension.LENGTH,
                {"wood": exactly(16, Dimension.LENGTH), "masonry": Quantity(3, 4, Dimension.LENGTH)},
                "a book", "computed", by="surface", provisions=("one", "two"), editions="2021",
                changed_because="the county says so", citation="County Code 7", set_by="tiny",
            ),
            "words": LimitDef(
                "words", "Which", None, {"": ("plywood", "osb")}, "custom", "common practice, no source", set_by="tiny"
            ),
            "table-of-words": LimitDef(
                "table-of-words", "Which for what", None, {"tile": ("mortar",), "wood": ("nail", "screw")}, "custom",
                "from memory", set_by="tiny",
            ),
        },
        "references": {"floor.x": Reference("floor.x", "Text of two lines.", adopted=False)},
        "cautions": {"care": Caution("care", "Take care.")},
        "repairs": {
            "mend": Repair(
                "mend", "Mend {subject}.", "set", ("one", "two"), {"of": "vent", "set": {"mesh": "to-limit"}}, "mesh", 2,
                "anyone", 3, source="custom", status="from memory", set_by="tiny",
            ),
        },
    }  # fmt: skip


def test_no_files(load: Callable[..., dict[str, Any]]) -> None:
    assert load() == {"limits": {}, "references": {}, "cautions": {}, "repairs": {}}


FAULTY = """\
limits:
  no-texts: {quantity: length, value: 1 in, status: computed}
  empty-texts: {says: " ", source: "", quantity: length, value: 1 in, status: computed}
  strange: {says: s, source: t, status: computed, quantity: length, value: 1 in, colour: red}
  guessed: {says: s, source: t, status: guessed, quantity: length, value: 1 in}
  no-status: {says: s, source: t, quantity: length, value: 1 in}
  two-values: {says: s, source: t, status: computed, quantity: length, value: 1 in, words: [a]}
  no-value: {says: s, source: t, status: computed, quantity: length}
  no-quantity: {says: s, source: t, status: computed, value: 1 in}
  no-such: {says: s, source: t, status: computed, quantity: colour, value: 1 in}
  unreadable: {says: s, source: t, status: computed, quantity: length, value: 1 stone}
  unknown: {says: s, source: t, status: computed, quantity: length, value: unknown}
  empty: {says: s, source: t, status: computed, quantity: length, value: }
  in-table: {says: s, source: t, status: computed, quantity: length, values: {a: 1 in, b: x, c: unknown}}
  tabel: {says: s, source: t, status: computed, quantity: length, values: 1 in}
  one-word: {says: s, source: t, status: computed, words: plywood}
  numbers: {says: s, source: t, status: computed, words: [1, 2]}
  word-table: {says: s, source: t, status: computed, quantity: words, values: {a: nail, b: [screw]}}
  provided: {says: s, source: t, status: computed, quantity: length, value: 1 in, provisions: one}
  no-mapping: 3
references:
  floor.x: 3
  floor.y: ""
cautions: [care]
limit: {}
"""
TWICE = """\
limits:
  strange: {says: s, source: t, status: computed, quantity: length, value: 1 in}
references: {floor.x: Text.}
"""


FAULTY_REPAIRS = """\
repairs:
  empty: {}
  odd: {says: s, does: set, labour: anyone, source: s, status: computed, answers: [], cautions: care, colour: red,
    material: mesh, invasive: 6}
"""


def test_every_fault_of_a_repair_at_once_with_its_place(load: Callable[..., dict[str, Any]]) -> None:
    with pytest.raises(InputError) as caught:
        load(faulty=FAULTY_REPAIRS)
    assert {(p.line, p.message) for p in caught.value.problems} == {
        (2, "repair empty has no says"),
        (2, "repair empty has no does"),
        (2, "repair empty has no labour"),
        (2, "repair empty has no source"),
        (2, "repair empty has no known status"),
        (2, "repair empty: answers is a list of words"),
        (2, "repair empty says what material it takes"),
        (2, "repair empty: invasive is counted from 1 to 5"),
        (3, "unknown key colour"),
        (3, "repair odd: answers is a list of words"),
        (3, "repair odd: cautions is a list of words"),
        (4, "repair odd says what material it takes"),
        (4, "repair odd: invasive is counted from 1 to 5"),
    }


def test_every_fault_at_once_with_its_place(load: Callable[..., dict[str, Any]]) -> None:
    with pytest.raises(InputError) as caught:
        load(faulty=FAULTY, good=GOOD, twice=TWICE)
    found = [(p.file, p.line, p.column, p.message) for p in caught.value.problems]
    assert found == [
        ("faulty.yaml", 2, 3, "limit no-texts has no says"),
        ("faulty.yaml", 2, 3, "limit no-texts has no source"),
        ("faulty.yaml", 3, 3, "limit empty-texts has no says"),
        ("faulty.yaml", 3, 3, "limit empty-texts has no source"),
        ("faulty.yaml", 4, 82, "unknown key colour"),
        ("faulty.yaml", 5, 33, "limit guessed has no known status"),
        ("faulty.yaml", 6, 3, "limit no-status has no known status"),
        ("faulty.yaml", 7, 3, "limit two-values needs one of value, values, words"),
        ("faulty.yaml", 8, 3, "limit no-value needs one of value, values, words"),
        ("faulty.yaml", 9, 3, "limit no-quantity has no known quantity"),
        ("faulty.yaml", 10, 51, "limit no-such has no known quantity"),
        ("faulty.yaml", 11, 72, "'1 stone' can't be read as a length"),
        ("faulty.yaml", 12, 69, "a limit can't be unknown"),
        ("faulty.yaml", 13, 67, "'' can't be read as a length"),
        ("faulty.yaml", 14, 88, "'x' can't be read as a length"),
        ("faulty.yaml", 14, 94, "a limit can't be unknown"),
        ("faulty.yaml", 15, 67, "a mapping belongs here"),
        ("faulty.yaml", 16, 52, "a list of words belongs here"),
        ("faulty.yaml", 17, 51, "a list of words belongs here"),
        ("faulty.yaml", 18, 80, "a list of words belongs here"),
        ("faulty.yaml", 19, 83, "a list of words belongs here"),
        ("faulty.yaml", 20, 3, "a mapping belongs here"),
        ("faulty.yaml", 22, 3, "a text belongs here"),
        ("faulty.yaml", 23, 3, "a text belongs here"),
        ("faulty.yaml", 24, 1, "a mapping belongs here"),
        ("faulty.yaml", 25, 1, "unknown section limit"),
        ("twice.yaml", 2, 3, "strange stands in two files"),
    ]


@pytest.mark.parametrize("text", ["", "limits: [", "- 1\n", "limits:\n  a: {b: &x 1, c: *x}\n"])
def test_files_that_are_no_data_at_all(load: Callable[..., dict[str, Any]], text: str) -> None:
    with pytest.raises(InputError) as caught:
        load(bad=text)
    assert {p.file for p in caught.value.problems} == {"bad.yaml"}


def test_the_first_problem_reads_well(load: Callable[..., dict[str, Any]]) -> None:
    with pytest.raises(InputError) as caught:
        load(
            bad="limits:\n  a:\n    says: s\n    quantity: length\n    value: 1 stone\n"
            "    source: t\n    status: computed\n"
        )
    assert str(caught.value) == (
        "bad.yaml:5:5: '1 stone' can't be read as a length\n"
        "  expected: 'stone' is no unit of a length: use in, ft, yd, mil, mm, cm, m or um\n"
        "  example: 15 7/8\n"
        "  |     value: 1 stone\n"
        "  |     ^"
    )


@pytest.mark.parametrize(
    ("quantity", "value", "said"),
    [
        ("ratio", "19.5 %", True),
        ("ratio", "{dry: 80 %, wet: 95 %}", True),
        ("ratio", "{bare: 1/150, covered: 10 %}", False),
        ("ratio", "0.195", False),
        ("moisture", "19 %", False),
    ],
)
def test_a_ratio_that_is_written_in_percent_is_said_in_percent(
    load: Callable[..., dict[str, Any]], quantity: str, value: str, said: bool
) -> None:
    key = "values" if value.startswith("{") else "value"
    rest = "source: a book, status: read from text"
    text = f"limits:\n  one: {{says: How much, quantity: {quantity}, {key}: {value}, {rest}}}\n"
    assert load(data=text)["limits"]["one"].percent is said
