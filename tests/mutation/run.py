"""Would the tests notice? Changes one thing at a time in the code of the rules and the engineering, and runs the tests.

    python tests/mutation/run.py --list                          # modules, with how many changes each could take
    python tests/mutation/run.py --sample 150 --seed 1           # 150 changes drawn over all modules
    python tests/mutation/run.py rules.spans bearing --sample 40 # of two modules
    python tests/mutation/run.py --only rules.spans:88:3         # one of them again

A change (a mutant) is a comparison, a sum, a number, a truth value or a condition made otherwise. It is made in a copy of
the tree in a temporary folder, never here. The tests that are about that module run first, then the wider ones; the first
failure kills the mutant. What no test notices survives: it is printed with its line, and it is either a gap (write a test)
or a change that changes nothing (say so in ``survivors.csv`` beside this file; those listed there count as explained).
Not part of the gate: a mutant takes seconds to minutes. Exit code 1 where an unexplained one survives.
"""

from __future__ import annotations

import argparse
import ast
import csv
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCES = (ROOT / "inspect_core" / "engineering", ROOT / "rules" / "inspect_wood_floor")
SURVIVORS = Path(__file__).with_name("survivors.csv")
LONGEST = 600  # s for the tests of one mutant; one that loops for ever counts as killed

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SUMS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult,
}  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One change in one file. ``name`` is module:line:number among the changes of that line."""

    file: Path
    name: str
    what: str
    source: str


# --- making them ---


def name_of(file: Path) -> str:
    top = SOURCES[0].parent if file.is_relative_to(SOURCES[0]) else SOURCES[1].parent
    return ".".join(file.relative_to(top).with_suffix("").parts).replace(SOURCES[1].name, "rules", 1)


def modules(wanted: list[str]) -> list[Path]:
    files = [file for base in SOURCES for file in sorted(base.rglob("*.py"))]
    chosen = [file for file in files if not wanted or {name_of(file), file.stem} & set(wanted)]
    if wanted and not chosen:
        sys.exit(f"no module of that name; there are {', '.join(sorted(map(name_of, files)))}")
    return chosen


def quiet(tree: ast.Module) -> set[ast.AST]:
    """Nodes that are left alone: types, decorators (texts and names of rules), asserts, slices of `__all__`, texts."""
    found: set[ast.AST] = set()

    def mute(node: ast.AST | None) -> None:
        if node is not None:
            found.update(ast.walk(node))

    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            for decorator in node.decorator_list:
                mute(decorator)
        if isinstance(node, ast.FunctionDef):
            mute(node.returns)
        if isinstance(node, ast.arg | ast.AnnAssign):
            mute(node.annotation)
        if isinstance(node, ast.Assert | ast.JoinedStr | ast.Raise | ast.Import | ast.ImportFrom):
            mute(node)
        if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id[0].isupper():
            mute(node)  # types as values
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr):
            mute(node)
    return found


def changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """What may be made of a node, each with a word for it."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in COMPARISONS:
            other = COMPARISONS[type(op)]
            yield f"{type(op).__name__} to {other.__name__}", ast.Compare(node.left, [other()], node.comparators)
        case ast.BinOp(op=op) if type(op) in SUMS and not is_text(node):
            other_sum = SUMS[type(op)]
            yield f"{type(op).__name__} to {other_sum.__name__}", ast.BinOp(node.left, other_sum(), node.right)
        case ast.BoolOp(op=ast.And()):
            yield "and to or", ast.BoolOp(ast.Or(), node.values)
        case ast.BoolOp(op=ast.Or()):
            yield "or to and", ast.BoolOp(ast.And(), node.values)
        case ast.UnaryOp(op=ast.Not()):
            yield "not left out", node.operand
        case ast.UnaryOp(op=ast.USub()):
            yield "minus left out", node.operand
        case ast.Constant(value=bool()):
            yield f"{node.value} to {not node.value}", ast.Constant(not node.value)
        case ast.Constant(value=int() | float()):
            new = node.value + 1 if isinstance(node.value, int) else node.value * 1.25 + 0.25
            yield f"{node.value} to {new}", ast.Constant(new)
        case ast.IfExp():
            yield "the other way round", ast.IfExp(node.test, node.orelse, node.body)
        case ast.If() if not isinstance(node.test, ast.UnaryOp | ast.Compare | ast.BoolOp):
            yield "condition negated", ast.If(ast.UnaryOp(ast.Not(), node.test), node.body, node.orelse)
        case ast.Call(func=ast.Name(id="min" | "max" as which)):
            other_name = {"min": "max", "max": "min"}[which]
            yield f"{which} to {other_name}", ast.Call(ast.Name(other_name, ast.Load()), node.args, node.keywords)
        case ast.Call(func=ast.Name(id="all" | "any" as which)):
            other_name = {"all": "any", "any": "all"}[which]
            yield f"{which} to {other_name}", ast.Call(ast.Name(other_name, ast.Load()), node.args, node.keywords)
        case ast.keyword(arg="at_least" | "at_most" as which):
            yield (
                f"{which} the other way",
                ast.keyword({"at_least": "at_most", "at_most": "at_least"}[which], node.value),
            )
        case ast.Continue():
            yield "continue to break", ast.Break()
        case ast.Return(value=ast.expr()):
            yield "returns None", ast.Return(ast.Constant(None))


def is_text(node: ast.BinOp) -> bool:
    sides = (node.left, node.right)
    return any(
        isinstance(s, ast.JoinedStr) or (isinstance(s, ast.Constant) and isinstance(s.value, str)) for s in sides
    )


class Swap(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return ast.copy_location(self.new, node) if node is self.old else self.generic_visit(node)


def places(file: Path) -> list[tuple[str, int, int]]:
    """Every change that the file could take: its name, the number of its node, and which change of that node."""
    tree = ast.parse(file.read_text("utf-8"))
    muted, on_line, found = quiet(tree), dict[int, int](), []
    for i, node in enumerate(ast.walk(tree)):
        if node in muted:
            continue
        for k, _ in enumerate(changes(node)):
            line = getattr(node, "lineno", 0)
            on_line[line] = on_line.get(line, -1) + 1
            found.append((f"{name_of(file)}:{line}:{on_line[line]}", i, k))
    return found


def mutant(file: Path, place: tuple[str, int, int]) -> Mutant:
    name, i, k = place
    tree = ast.parse(file.read_text("utf-8"))
    old = next(node for j, node in enumerate(ast.walk(tree)) if j == i)
    what, new = list(changes(old))[k]
    line = file.read_text("utf-8").splitlines()[getattr(old, "lineno", 1) - 1].strip()
    source = ast.unparse(ast.fix_missing_locations(Swap(old, new).visit(tree)))
    return Mutant(file, name, f"{what} in: {line}", source)


# --- which tests ---


def imports_of(file: Path) -> set[str]:
    """Names of modules and things that a file imports, with the modules' last names."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


def dotted(file: Path) -> str:
    top = ROOT / "rules" if file.is_relative_to(ROOT / "rules") else ROOT
    parts = file.relative_to(top).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def users_of(file: Path) -> set[str]:
    """Rule modules that use a module, directly or through others; itself too. A package's module counts as the package."""
    names = {
        dotted(f): imports_of(f) for base in (*SOURCES, ROOT / "inspect_core" / "structure") for f in base.rglob("*.py")
    }
    found = {dotted(file)}
    while True:
        facades = {name.rpartition(".")[0] for name in found if name.rpartition(".")[0] in names}
        facades -= {"inspect_core.engineering", "inspect_wood_floor", "inspect_core.structure"}
        more = found | facades | {name for name, used in names.items() if used & found and name != "inspect_wood_floor"}
        if more == found:
            return {name.rpartition(".")[2] for name in found}
        found = more


def tests_of(file: Path) -> tuple[list[str], list[list[str]]]:
    """Case files that are about the module, and the calls of pytest that follow, the nearest first."""
    stems = users_of(file)
    cases = ROOT / "tests" / "rules" / "cases"
    near = [file.stem] if (cases / f"{file.stem}.yaml").exists() else []
    wide = [p.stem for p in sorted(cases.glob("*.yaml")) if p.stem in stems and p.stem not in near]
    word = re.compile(rf"\b(inspect_core\.engineering|inspect_wood_floor)[\w.]*\.?({'|'.join(near_names(file))})\b")
    tests = sorted((ROOT / "tests").rglob("test_*.py"))
    direct = [t for t in tests if word.search(t.read_text("utf-8")) or any(n in t.stem for n in near_names(file))]
    engineering = file.is_relative_to(SOURCES[0])
    laws = [
        t
        for t in tests
        if t.parent.name in (("structure", "engineering", "published") if engineering else ("rules", "published"))
    ]
    laws = [t for t in laws if t not in direct and t.name != "test_cases.py"]
    golden = [ROOT / "tests" / "test_sample_sites.py", ROOT / "tests" / "cli" / "test_span.py"]
    calls = [[str(t.relative_to(ROOT)) for t in group] for group in (direct, golden, laws)]
    return near + wide, [call for call in calls if call]


def near_names(file: Path) -> set[str]:
    """A module's name, and its package's where the package is the door to it."""
    names = {file.stem if file.stem != "__init__" else file.parent.name}
    if file.parent.name in ("lumber", "panels"):
        names.add(file.parent.name)
    return names | {name.split("_")[0] for name in names if name.startswith("beams_")}


CASES = """
import sys, warnings
warnings.simplefilter("error")
from pathlib import Path
from inspect_core.engine import load_packs
from inspect_core.engine.cases import read_cases, run_case
packs = load_packs()
assert not packs.failures, packs.failures
for stem in sys.argv[1:]:
    for case in read_cases(Path("tests/rules/cases", stem + ".yaml").read_text("utf-8")):
        found, report = run_case(case, packs)
        assert not report.failures and found == case.expect, (case.rule, case.name)
"""


# --- running them ---


def runs(command: list[str], copy: Path) -> bool:
    """Whether the tests pass on the copy."""
    env = {**os.environ, "PYTHONPATH": f"{copy}{os.pathsep}{copy / 'rules'}", "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(
            [sys.executable, *command], cwd=copy, env=env, capture_output=True, timeout=LONGEST, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def survives(change: Mutant, copy: Path, deep: bool, sound: dict[tuple[str, ...], bool]) -> bool:
    """Whether no test notices. ``deep``: the wider tests too, not only the nearest.

    ``sound`` remembers which calls pass on the unchanged code: one that doesn't can kill nothing.
    """
    there = copy / change.file.relative_to(ROOT)
    before = there.read_text("utf-8")
    cases, calls = tests_of(change.file)
    near, wide = cases[:1], cases[1:]
    try:
        steps = [["-c", CASES, *near]] if near else []
        steps += [
            ["-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *call] for call in (calls if deep else calls[:1])
        ]
        if wide and deep:
            steps.insert(2, ["-c", CASES, *wide])
        for step in steps:
            there.write_text(change.source, "utf-8")
            if not runs(step, copy):
                there.write_text(before, "utf-8")
                if tuple(step) not in sound:
                    sound[tuple(step)] = runs(step, copy)
                    if not sound[tuple(step)]:
                        print(f"fails on the unchanged code, so it kills nothing: {' '.join(step[-3:])}", flush=True)
                if sound[tuple(step)]:
                    return False
        return True
    finally:
        there.write_text(before, "utf-8")


def explained() -> dict[tuple[str, str], str]:
    """Survivors with a reason, by module and what was changed (a line number would not last)."""
    if not SURVIVORS.exists():
        return {}
    with SURVIVORS.open(encoding="utf-8", newline="") as rows:
        return {(row["module"], row["change"]): row["reason"] for row in csv.DictReader(rows)}


def main() -> int:
    words = argparse.ArgumentParser(description="Changes the code one thing at a time and runs the tests.")
    words.add_argument(
        "modules",
        nargs="*",
        help="names of modules (rules.spans, engineering.lumber.factors, or the last word); all without any",
    )
    words.add_argument("--sample", type=int, help="so many of them, drawn at random; all without")
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--only", help="one mutant by its name")
    words.add_argument("--near", action="store_true", help="only the nearest tests: quicker, more survive")
    words.add_argument("--list", action="store_true", help="say how many there are in each module")
    words.add_argument(
        "--part", default="1/1", help="k/n: every n-th of the sample, from the k-th, for several at once"
    )
    asked = words.parse_args()
    found = [(file, place) for file in modules(asked.modules) for place in places(file)]
    if asked.list:
        for file in modules(asked.modules):
            print(f"{sum(1 for f, _ in found if f == file):5} {name_of(file)}")
        return 0
    if asked.only:
        found = [(file, place) for file, place in found if place[0] == asked.only]
    if asked.sample is not None:
        found = random.Random(asked.seed).sample(found, min(asked.sample, len(found)))
    k, n = map(int, asked.part.split("/"))
    found = found[k - 1 :: n]
    reasons, alive, known = explained(), 0, 0
    sound: dict[tuple[str, ...], bool] = {}
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy"
        skip = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis")
        shutil.copytree(ROOT, copy, ignore=skip)
        for i, (file, place) in enumerate(found, 1):
            change, start = mutant(file, place), time.monotonic()
            lives = survives(change, copy, not asked.near, sound)
            reason = reasons.get((name_of(file), change.what), "") if lives else ""
            alive, known = alive + lives, known + bool(reason)
            word = f"survives ({reason})" if reason else "SURVIVES" if lives else "killed"
            print(f"{i}/{len(found)} {change.name} {word}, {time.monotonic() - start:.0f} s: {change.what}", flush=True)
    share = 100 * (len(found) - alive) / len(found) if found else 100
    print(
        f"{len(found)} mutants, {len(found) - alive} killed ({share:.0f} %), {known} survive with a reason, {alive - known} unexplained"
    )
    return 1 if alive > known else 0


if __name__ == "__main__":
    sys.exit(main())
