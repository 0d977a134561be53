"""Cases of rules as data: what one case sets is its own."""

from __future__ import annotations

import pytest

from inspect_core.engine.cases import edited, read_cases

FILE = """\
site: {areas: [{id: a, layers: []}]}
cases:
  - {rule: r, kind: meets, name: first, set: {/areas/0/layers: &both [{kind: panel}], /areas/0/layers/0/kind: tile}, expect: {}}
  - {rule: r, kind: meets, name: second, set: {/areas/0/layers: *both}, expect: {}}
"""


def test_cases_that_share_a_value_do_not_change_one_another() -> None:
    first, second = read_cases(FILE)
    assert "kind: tile" in first.text
    assert "kind: panel" in second.text


def test_what_is_set_is_a_copy() -> None:
    layer = {"kind": "panel"}
    site = edited({"layers": []}, {"/layers/-": layer, "/layers/0/kind": "tile"}, ())
    assert site == {"layers": [{"kind": "tile"}]}
    assert layer == {"kind": "panel"}


def test_a_path_that_is_not_there_is_told_with_the_case() -> None:
    with pytest.raises(ValueError, match=r"rule: name: there is no /areas/3/id"):
        edited({"areas": []}, {"/areas/3/id": "a"}, (), "rule: name")
