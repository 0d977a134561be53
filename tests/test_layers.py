"""Which part of the project may import which: the layers point one way, and the base pack has no private door."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
CORE = ROOT / "inspect_core"
BASE_PACK = ROOT / "rules" / "inspect_wood_floor"

# Each layer may import from those before it.
LAYERS = ("quantities", "site", "engineering", "structure", "rules_api", "engine", "planning", "report", "cli")
KNOWS_NO_SITE = "engineering"
OPEN_TO_PACKS = ("rules_api", "site", "quantities", "engineering", "structure")


@cache
def imports(file: Path, root: Path, package: str) -> tuple[tuple[int, str, tuple[str, ...]], ...]:
    """Line, module and names of every import in a file, wherever it stands; relative ones made absolute."""
    return tuple(_imports(file, root, package))


def _imports(file: Path, root: Path, package: str) -> Iterator[tuple[int, str, tuple[str, ...]]]:
    inside = (package, *file.relative_to(root).parent.parts)
    for node in ast.walk(ast.parse(file.read_text("utf-8"), str(file))):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name, ()) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            above = inside[: len(inside) - node.level + 1] if node.level else ()
            module = ".".join((*above, *filter(None, [node.module])))
            yield node.lineno, module, tuple(alias.name for alias in node.names)


def layer_of(module: str, names: tuple[str, ...]) -> str:
    """The layer that an import leads to; "" for the bare package, which holds the version."""
    steps = module.split(".")
    if len(steps) > 1:
        return steps[1]
    return next((name for name in names if name in LAYERS), "")


CORE_FILES = sorted(CORE.rglob("*.py"))
PACK_FILES = sorted(BASE_PACK.rglob("*.py"))


def test_every_folder_is_a_layer() -> None:
    folders = {file.relative_to(CORE).parts[0] for file in CORE_FILES if file.parent != CORE}
    assert folders == set(LAYERS)
    assert {file.name for file in CORE_FILES if file.parent == CORE} == {
        "__init__.py",
        "__main__.py",
    }


@pytest.mark.parametrize("layer", LAYERS)
def test_a_layer_imports_only_from_those_below(layer: str) -> None:
    allowed = {"", *LAYERS[: LAYERS.index(layer) + 1]}
    if layer == KNOWS_NO_SITE:
        allowed -= {"site"}
    wrong = [
        f"{file.relative_to(ROOT)}:{line}: {module}"
        for file in CORE_FILES
        if file.is_relative_to(CORE / layer)
        for line, module, names in imports(file, CORE, "inspect_core")
        if module.split(".")[0] == "inspect_core" and layer_of(module, names) not in allowed
    ]
    assert wrong == []


def test_the_package_itself_imports_nothing() -> None:
    assert imports(CORE / "__init__.py", CORE, "inspect_core") == ()
    assert imports(CORE / "__main__.py", CORE, "inspect_core") == ((3, "inspect_core.cli", ("main",)),)


def test_nobody_imports_the_base_pack() -> None:
    wrong = [
        f"{file.relative_to(ROOT)}:{line}: {module}"
        for file in CORE_FILES
        for line, module, _ in imports(file, CORE, "inspect_core")
        if module.split(".")[0] == "inspect_wood_floor"
    ]
    assert wrong == []


def test_the_base_pack_uses_public_doors_only() -> None:
    wrong = []
    for file in PACK_FILES:
        for line, module, names in imports(file, BASE_PACK, "inspect_wood_floor"):
            if module.split(".")[0] != "inspect_core":
                continue
            private = [part for part in (*module.split("."), *names) if part.startswith("_")]
            if layer_of(module, names) not in OPEN_TO_PACKS or private:
                wrong.append(f"{file.relative_to(ROOT)}:{line}: {module} {', '.join(names)}")
    assert wrong == []


def test_rules_import_the_rule_interface_as_a_whole() -> None:
    """`inspect_core.rules_api` is the promise to pack authors; the modules behind it may be moved."""
    wrong = [
        f"{file.relative_to(ROOT)}:{line}: {module}"
        for file in PACK_FILES
        for line, module, _ in imports(file, BASE_PACK, "inspect_wood_floor")
        if module.startswith("inspect_core.rules_api.")
    ]
    assert wrong == []


def test_nothing_private_crosses_a_layer() -> None:
    wrong = []
    for file in CORE_FILES:
        own = file.relative_to(CORE).parts[0]
        for line, module, names in imports(file, CORE, "inspect_core"):
            if module.split(".")[0] == "inspect_core" and layer_of(module, names) not in ("", own):
                private = [part for part in (*module.split("."), *names) if part.startswith("_")]
                wrong += [f"{file.relative_to(ROOT)}:{line}: {module} {name}" for name in private]
    assert wrong == []
