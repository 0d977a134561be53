"""A pack file changed at random is read or refused with places; nothing else ever comes out of it."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_core.engine import inspect
from inspect_core.site import InputError

EXAMPLE = yaml.safe_load((Path(__file__).parents[2] / "rules" / "alder_county" / "pack.yaml").read_text("utf-8"))
VALUES: list[Any] = [
    None, True, 0, -1, 1.5, "", "x", "3 in", "~3 in", "unknown", "2026-01-01", "on", [], ["x"], [[]], {}, {"x": 1},
    {"at_least": "3 in"}, {"limit": "bearing/wood"}, {"fraction": "1/6", "of": "depth"}, "joist", "depth", "1/0", "９", "\u202e",
]  # fmt: skip


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in plain data."""
    found = [path] if path else []
    for step in data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ():
        found += places(data[step], (*path, step))
    return found


PLACES = places(EXAMPLE)


@st.composite
def packs_with_slips(draw: Any) -> dict[str, Any]:
    data = copy.deepcopy(EXAMPLE)
    for _ in range(draw(st.integers(1, 3))):
        *above, last = draw(st.sampled_from(PLACES))
        holder = data
        try:
            for step in above:
                holder = holder[step]
            what = draw(st.sampled_from(["drop", "value", "key"]))
            if what == "drop":
                del holder[last]
            elif what == "value" or isinstance(holder, list):
                holder[last] = copy.deepcopy(draw(st.sampled_from(VALUES)))
            else:
                holder[str(draw(st.sampled_from([*map(str, VALUES)])))] = holder.pop(last)
        except (KeyError, IndexError, TypeError):
            continue  # an earlier slip took the place away
    return data


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(packs_with_slips())
def test_slips_are_refused_with_places_or_do_no_harm(alder: Any, site_of: Any, data: dict[str, Any]) -> None:
    folder = alder.folder / "slips"
    folder.mkdir(exist_ok=True)
    (folder / "pack.yaml").write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), "utf-8")
    try:
        report = inspect(site_of(), alder.load(str(folder)))
    except InputError as error:
        assert all(problem.line > 0 or problem.code for problem in error.problems)
        assert str(error)
    else:
        assert report.failures == ()
