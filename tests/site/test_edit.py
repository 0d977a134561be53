"""Changing a site file's text: it says what was asked for, and everything else stays as it was written."""

from __future__ import annotations

import copy
import difflib
import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_core.site.edit import edited_text
from inspect_core.site.reader import read_text

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))
VALUES: list[Any] = [
    "3 1/2",
    "7' 10\"",
    5,
    1.25,
    True,
    None,
    "true",
    "no",
    "a: b",
    "x # y",
    "#2",
    "",
    " pad ",
    "1:30",
    "010",
    "unknown",
    [],
    {},
    ["3/4", {"id": "N1", "of": [1, 2]}],
    {"size": "2x8", "bearing": {"S1": "3 1/2", "B1": 2}, "note": "x " * 40},
]


def mutated(data: Any, rng: random.Random) -> Any:
    """The data with one to four values set, taken out or put in, anywhere."""
    new = copy.deepcopy(data)
    for _ in range(rng.randint(1, 4)):
        places = [(holder, key) for holder, key in walked(new)]
        if not places:
            return new
        holder, key = rng.choice(places)
        value = copy.deepcopy(rng.choice(VALUES))
        way = rng.randrange(4)
        if way == 0:
            holder[key] = value
        elif way == 1:
            del holder[key]
        elif isinstance(holder, dict):
            holder[f"new{rng.randrange(9)}"] = value
        else:
            holder.insert(rng.randint(0, len(holder)), value)
    return new


def walked(data: Any) -> list[tuple[Any, Any]]:
    found: list[tuple[Any, Any]] = []
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        found.append((data, key))
        found += walked(value)
    return found


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_samples_come_back_byte_for_byte_when_nothing_changes(path: Path) -> None:
    text = path.read_text("utf-8")
    assert edited_text(text, read_text(text, "x").data) == text


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SAMPLES), st.integers(0, 10**6), st.booleans())
def test_any_change_is_written_and_nothing_else_changes(path: Path, seed: int, as_block: bool) -> None:
    text = path.read_text("utf-8")
    if as_block:  # the same data with a line for each value
        text = yaml.safe_dump(read_text(text, "x").data, sort_keys=False, width=200)
    old = read_text(text, "x").data
    new = mutated(old, random.Random(seed))
    if not isinstance(new, dict) or not new:
        return
    changed = edited_text(text, new)
    assert read_text(changed, "x").data == new
    if old.keys() <= new.keys() and all(old[key] == new[key] for key in old if key != "areas"):
        head = text[: text.index("\nareas:")]  # comments, name and papers are as they were
        assert changed.startswith(head)


SMALL = """\
# a comment on top
units: in   # bare numbers
site: {name: Hut,   built: 1900}   # two blanks stay

areas:
  - id: a          # the only one
    supports:
      - {id: S1, at: 0, width: 5 1/2}   # the near sill
      - {id: B1, at: 7' 10",
         width: 6}
    # a comment between
    joists:
      - name: J
        at: every 16 from 0 to 96
        but:
          J2: {bearing: {B1: 3/4}}   # slipped
"""


def lines(new: Any, text: str = SMALL) -> list[str]:
    """The lines taken out and put in, as a diff has them."""
    changed = edited_text(text, new)
    diff = difflib.unified_diff(text.split("\n"), changed.split("\n"), n=0, lineterm="")
    return [line for line in diff if line[:1] in "+-" and line[:3] not in ("+++", "---")]


def test_one_value_changes_one_line_and_keeps_its_comment() -> None:
    data = read_text(SMALL, "x").data
    data["areas"][0]["joists"][0]["but"]["J2"]["bearing"]["B1"] = "2 1/4"
    assert lines(data) == [
        "-          J2: {bearing: {B1: 3/4}}   # slipped",
        "+          J2: {bearing: {B1: 2 1/4}}   # slipped",
    ]


def test_a_new_entry_is_a_new_line() -> None:
    data = read_text(SMALL, "x").data
    data["areas"][0]["joists"][0]["but"]["J3"] = {"sisters": [{"id": "J3a", "size": "2x8"}]}
    data["areas"][0]["supports"].append({"id": "B2", "at": 40})
    assert lines(data) == [
        "+      - {id: B2, at: 40}",
        "+          J3: {sisters: [{id: J3a, size: 2x8}]}",
    ]


def test_a_new_key_in_brackets_goes_in_before_they_close() -> None:
    data = read_text(SMALL, "x").data
    data["areas"][0]["supports"][0]["treated"] = True
    assert lines(data) == [
        "-      - {id: S1, at: 0, width: 5 1/2}   # the near sill",
        "+      - {id: S1, at: 0, width: 5 1/2, treated: true}   # the near sill",
    ]


def test_what_is_taken_out_takes_its_line_along() -> None:
    data = read_text(SMALL, "x").data
    del data["areas"][0]["supports"][0]
    assert lines(data) == ["-      - {id: S1, at: 0, width: 5 1/2}   # the near sill"]


def test_line_ends_and_byte_order_mark_stay() -> None:
    text = "\ufeff" + SMALL.replace("\n", "\r\n")
    data = read_text(SMALL, "x").data
    data["units"] = "mm"
    changed = edited_text(text, data)
    assert changed == text.replace("units: in ", "units: mm ")


def test_texts_that_yaml_would_take_for_something_else_are_quoted() -> None:
    for value in ("#2", "no", "1:30", "010", "a: b", "x # y", "", "true", " x", "2026-01-01", "'", "{", "1_000"):
        changed = edited_text("a: 1\n", {"a": value, "b": {"c": value}})
        assert read_text(changed, "x").data == {"a": value, "b": {"c": value}}, value
