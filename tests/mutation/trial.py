"""One mutant against the tests, in its own process: the changed module and all that import it are imported anew."""

from __future__ import annotations

import ast
import functools
import gc
import importlib.util
import os
import resource
import sys
from collections.abc import Callable, Iterator, Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType

from changes import ROOT, Mutant
from reach import Reach, base_packs, case_fails, case_runs, run_pytest

GRACE = 20.0  # s of processor time besides three times what the tests take; a mutant that loops for ever is killed
MEMORY = 4 << 30  # bytes, for one that gathers for ever


# --- the changed module in place of its own ---


class _Loader(SourceFileLoader):
    def __init__(self, name: str, path: str, code: CodeType) -> None:
        super().__init__(name, path)
        self.code = code

    def get_code(self, fullname: str) -> CodeType:
        return self.code


class _Finder(MetaPathFinder):
    def __init__(self, name: str, mutant: Mutant) -> None:
        self.name, self.mutant = name, mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != self.name:
            return None
        file = str(self.mutant.place.file)
        folders = [str(Path(file).parent)] if file.endswith("__init__.py") else None
        loader = _Loader(fullname, file, self.mutant.code)
        return importlib.util.spec_from_file_location(fullname, file, loader=loader, submodule_search_locations=folders)


def module_of(file: Path) -> str:
    """Name by which a file is imported."""
    top = ROOT / "rules" if file.is_relative_to(ROOT / "rules") else ROOT
    parts = file.relative_to(top).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(file: Path) -> Iterator[str]:
    """Modules that a file imports, and names that may be modules."""
    package = module_of(file) if file.name == "__init__.py" else module_of(file).rpartition(".")[0]
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            base = importlib.util.resolve_name("." * node.level + (node.module or ""), package)
            yield from (base, *(f"{base}.{alias.name}" for alias in node.names))
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


@functools.cache
def import_graph() -> dict[str, set[str]]:
    """Every module of the project with what it imports."""
    folders = (ROOT / "inspect_core", ROOT / "rules" / "inspect_wood_floor")
    return {module_of(file): set(imports_of(file)) for folder in folders for file in folder.rglob("*.py")}


@functools.cache
def dependents(name: str) -> frozenset[str]:
    """A module and all that import it, directly or through others."""
    found = {name}
    while more := {one for one, used in import_graph().items() if used & found} - found:
        found |= more
    return frozenset(found)


def import_anew(mutant: Mutant) -> None:
    """Forget the module and its dependents, so that the next import takes the changed one."""
    name = module_of(mutant.place.file)
    for one in dependents(name) & sys.modules.keys():
        package, _, last = one.rpartition(".")
        if hasattr(sys.modules.get(package), last):
            delattr(sys.modules[package], last)
        del sys.modules[one]
    sys.meta_path.insert(0, _Finder(name, mutant))


# --- running ---


def trial(mutant: Mutant, reach: Reach) -> str:
    """What noticed the change; "" where it survives."""
    file, lines = str(mutant.place.file.relative_to(ROOT)), mutant.place.lines
    units = reach.units(file, None if mutant.place.at_import else lines)
    import_anew(mutant)
    try:
        packs = base_packs()
        for unit in units:
            if unit.startswith("case:") and case_fails(case_runs()[unit], packs):
                return unit
    except Exception as error:
        return f"{type(error).__name__}"
    tests = [unit for unit in units if not unit.startswith("case:")]
    if not tests:
        return ""
    code = run_pytest(tests)
    if code == 4:  # parameters that are computed by what is changed: their names are others now
        code = run_pytest(sorted({unit.partition("::")[0] for unit in tests}))
    return "" if code == 0 else "a test"


def in_child(work: Callable[[], str], seconds: float | None = None) -> tuple[int, int]:
    """Fork a child that writes what ``work`` answers into a pipe; its process and the pipe's end to read."""
    reading, writing = os.pipe()
    process = os.fork()
    if process:
        os.close(writing)
        return process, reading
    os.close(reading)
    try:
        if seconds is not None:
            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            silence = os.open(os.devnull, os.O_WRONLY)
            os.dup2(silence, 1)
            os.dup2(silence, 2)
        gc.disable()
        answer = work()
        with os.fdopen(writing, "w", encoding="utf-8") as pipe:
            pipe.write(answer)
        os._exit(0)
    except BaseException as error:
        print(error, file=sys.__stderr__, flush=True)
        os._exit(3)


def result_of(process: int, reading: int) -> tuple[str | None, float]:
    """What a child answered (``None`` where it was stopped or fell over), and its CPU seconds."""
    with os.fdopen(reading, encoding="utf-8") as pipe:
        answer = pipe.read()
    _, status, usage = os.wait4(process, 0)
    return (answer if status == 0 else None), usage.ru_utime + usage.ru_stime
