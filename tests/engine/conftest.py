"""Packs made on the spot: as modules that an entry point finds, and as plain objects."""

from __future__ import annotations

import importlib
import itertools
import sys
from collections.abc import Callable, Iterable, Iterator
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.quantities import Dimension, Quantity, exactly
from inspect_core.rules_api import API_VERSION, Caution, Check, LimitDef, Pack, Reference, Rule, Severity, rule
from inspect_core.site import Site, site_from_text

_NUMBERS = itertools.count()


@pytest.fixture
def entry(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., EntryPoint]]:
    """Writes a module and returns the entry point that leads to it, as an installed pack would have."""
    monkeypatch.syspath_prepend(str(tmp_path))
    made: list[str] = []

    def write(source: str, name: str = "tiny", attribute: str = "", data: dict[str, str] | None = None) -> EntryPoint:
        module = f"engine_test_pack_{next(_NUMBERS)}"
        made.append(module)
        folder = tmp_path / module
        (folder / "data").mkdir(parents=True)
        (folder / "__init__.py").write_text(source, "utf-8")
        for file, text in (data or {}).items():
            (folder / "data" / file).write_text(text, "utf-8")
        importlib.invalidate_caches()
        return EntryPoint(name=name, value=module + attribute, group="inspect_core.packs")

    yield write
    for module in made:
        sys.modules.pop(module, None)


def some_rule(
    function: Callable[..., Iterable[Check]], id: str = "some-rule", severity: Severity = "correction", **given: Any
) -> Rule:
    metadata: dict[str, Any] = {
        "hold_point": "under-floor",
        "reference": "floor.some",
        "quantity": "some length",
        "remedy": "Mend it.",
        **given,
    }
    return rule(id, severity=severity, **metadata)(function)


def some_pack(*rules: Rule, id: str = "tiny", **given: Any) -> Pack:
    """A pack with what :func:`some_rule` names; ``given`` replaces any part of it."""
    parts: dict[str, Any] = {
        "version": "1.0",
        "title": "A tiny pack",
        "api": API_VERSION,
        "limits": {"least": some_limit("least", exactly(1.5, Dimension.LENGTH), set_by=id)},
        "references": {"floor.some": Reference("floor.some", "Some text.")},
        "cautions": {"some-caution": Caution("some-caution", "Take care.")},
        **given,
    }
    return Pack(id=id, rules=rules, **parts)


def some_limit(
    id: str,
    *value: Quantity | tuple[str, ...],
    table: dict[str, Quantity | tuple[str, ...]] | None = None,
    **given: Any,
) -> LimitDef:
    values = table if table is not None else {"": value[0]}
    first = next(iter(values.values()))
    parts: dict[str, Any] = {
        "says": "Some limit",
        "source": "a source",
        "status": "read from text",
        "set_by": "tiny",
        "dimension": first.dimension if isinstance(first, Quantity) else None,
        **given,
    }
    return LimitDef(id=id, values=values, **parts)


@pytest.fixture
def make_rule() -> Callable[..., Rule]:
    return some_rule


@pytest.fixture
def make_pack() -> Callable[..., Pack]:
    return some_pack


@pytest.fixture
def make_limit() -> Callable[..., LimitDef]:
    return some_limit


@pytest.fixture
def loaded() -> Callable[..., LoadedPacks]:
    """Packs as if they had been found and were sound."""

    def of(*packs: Pack) -> LoadedPacks:
        return LoadedPacks(packs, ())

    return of


@pytest.fixture
def bench() -> Callable[..., Site]:
    """A site of so many areas (a, b, …), with further lines of the file at its top level."""

    def build(areas: int = 1, more: str = "") -> Site:
        lines = ["format: 1", "units: in", "site: {name: Engine bench, invented: true}", *more.splitlines(), "areas:"]
        lines += [f"  - {{id: {chr(97 + n)}, outline: 96 x 120}}" for n in range(areas)]
        return site_from_text("\n".join(lines) + "\n", "bench.site.yaml")

    return build
