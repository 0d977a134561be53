"""Our writer of indented JSON gives the standard library's bytes, and refuses what that one refuses."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_core.report.json_text import indented


def standard(data: Any) -> str:
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@given(plain)
def test_the_same_bytes_as_the_standard_library(data: Any) -> None:
    assert indented(data) == standard(data)


class Word(str):
    __slots__ = ()


@pytest.mark.parametrize(
    "data",
    [
        (),
        (1, "a"),
        {"a": ()},
        [Word("b"), {Word("c"): Word("d")}],
        {"é": "\u2028\ud800\x00"},
        10**30,
        -0.0,
        1e300,
        True,
    ],
)
def test_kinds_of_values(data: Any) -> None:
    assert indented(data) == standard(data)


@pytest.mark.parametrize("data", [float("nan"), [float("inf")], {"a": {"b": -float("inf")}}])
def test_numbers_that_json_cannot_hold(data: Any) -> None:
    with pytest.raises(ValueError, match="JSON"):
        indented(data)


def test_things_that_json_cannot_hold() -> None:
    with pytest.raises(TypeError):
        indented({"a": [object()]})
