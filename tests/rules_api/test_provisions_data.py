"""A pack's list of provisions: how it is read, what is wrong with it, and who shows it."""

from __future__ import annotations

import importlib
import itertools
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine.coverage import counts, coverage
from inspect_core.engine.stack import stack
from inspect_core.engineering.tables import provisions
from inspect_core.quantities.dates import day
from inspect_core.report.provisions import provisions_data, provisions_markdown, provisions_text
from inspect_core.rules_api import ADVISORY, API_VERSION, Caution, Pack, Provision, load_data, rule
from inspect_core.rules_api.provisions import read_provisions
from inspect_core.site import InputError

_NUMBERS = itertools.count()
HEAD = "id,topic,says,source,status,editions,reason\n"
ROWS = "a,one,Says a,a book,computed,,\nb,one,Says b,a book,from memory,2021 adds c,\nc,two,Says c,a book,computed,,too far\n"


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., str]]:
    """Writes a package with these data files, and gives its name."""
    monkeypatch.syspath_prepend(str(tmp_path))
    made: list[str] = []

    def write(**texts: str) -> str:
        name = f"provisions_test_{next(_NUMBERS)}"
        made.append(name)
        folder = tmp_path / name / "data"
        folder.mkdir(parents=True)
        (folder.parent / "__init__.py").write_text("", "utf-8")
        for file, text in texts.items():
            (folder / file.replace("_", ".")).write_text(text, "utf-8")
        importlib.invalidate_caches()
        return name

    yield write
    for name in made:
        sys.modules.pop(name, None)


@rule(
    "look", hold_point="final", severity=ADVISORY, reference="x", quantity="look", remedy="Look.", provisions=["a", "b"]
)
def look(area: Any, limits: Any) -> Any:
    """Somebody looks."""
    return ()


LIMIT = """
limits:
  wide: {says: How wide, quantity: length, value: 1 in, source: a book, status: computed, provisions: [b]}
"""


def test_rows_are_read_in_order(package: Callable[..., str]) -> None:
    assert read_provisions(package(provisions_csv=HEAD + ROWS)) == (
        Provision("a", "one", "Says a", "a book", "computed"),
        Provision("b", "one", "Says b", "a book", "from memory", "2021 adds c"),
        Provision("c", "two", "Says c", "a book", "computed", "", "too far"),
    )


def test_a_pack_without_a_list_has_none(package: Callable[..., str]) -> None:
    name = package()
    assert read_provisions(name) == ()
    assert "provisions" not in load_data(name, "tiny")
    assert coverage(stack([Pack("tiny", "1", "Tiny", API_VERSION)])) == ()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("id,says\na,b\n", "its columns are"),
        (HEAD + "a,one,Says a,a book,computed,\n", "line 2: 7 columns"),
        (HEAD + "a,one,Says a,a book,computed,,,more\n", "line 2: 7 columns"),
        (HEAD + ROWS + "a,one,Again,a book,computed,,\n", "line 5: a is listed twice"),
        (HEAD + "a,one,,a book,computed,,\n", "line 2: id, topic"),
        (HEAD + "a,one,Says a,a book,guessed,,\n", "line 2: id, topic"),
    ],
)
def test_a_list_that_is_wrong(package: Callable[..., str], text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        read_provisions(package(provisions_csv=text))


def test_who_covers_what(package: Callable[..., str]) -> None:
    name = package(provisions_csv=HEAD + ROWS, limits_yaml=LIMIT)
    rules = stack([Pack("tiny", "1", "Tiny", API_VERSION, rules=(look,), **load_data(name, "tiny"))])
    found = coverage(rules)
    assert [(row.provision.id, row.rules, row.data, row.reason) for row in found] == [
        ("a", ("look",), (), ""),
        ("b", ("look",), ("limit wide",), ""),
        ("c", (), (), "too far"),
    ]
    assert counts(found) == [("one", 2, 2, 0, 0), ("two", 1, 0, 0, 1), ("all", 3, 2, 0, 1)]
    assert provisions_markdown(found).splitlines()[-1] == "| all | 3 | 2 | 0 | 1 |"
    contract = [{key: row[key] for key in ("provision", "rules", "data", "reason")} for row in provisions_data(rules)]
    assert contract[1:] == [
        {"provision": "b", "rules": ["look"], "data": "limit wide", "reason": ""},
        {"provision": "c", "rules": [], "data": "", "reason": "too far"},
    ]
    text = provisions_text(rules)
    assert "rule look; data limit wide" in text
    assert "neither: too far" in text


def test_data_files_of_engineering_and_units_name_the_rows_that_they_hold() -> None:
    found = provisions()
    assert "weights tub-steel" in found["tub-steel"]
    assert any(item.startswith("units permeance") for item in found["perm-unit"])


def test_a_caution_says_whether_it_is_about_measuring(package: Callable[..., str]) -> None:
    name = package(cautions_yaml="cautions:\n  a: Take care.\n  b: {text: Take   care., measuring: true}\n")
    assert load_data(name, "tiny")["cautions"] == {
        "a": Caution("a", "Take care."),
        "b": Caution("b", "Take care.", measuring=True),
    }
    with pytest.raises(InputError, match="unknown key colour"):
        load_data(package(cautions_yaml="cautions:\n  a: {text: Care., colour: red}\n"), "tiny")


@pytest.mark.parametrize(
    ("first", "later", "days"),
    [
        ("2026-01-01", "2026-06-30", (180, 180)),
        ("2026-02", "2026-03-10", (10, 37)),
        ("2026-02-10", "2026-02", (0, 18)),
        ("2026", "2025", (0, 0)),
    ],
)
def test_days_between_two_dates(first: str, later: str, days: tuple[int, int]) -> None:
    one, other = day(first), day(later)
    assert one is not None
    assert other is not None
    assert one.until(other) == days
