"""What may be made otherwise in the code: a comparison, a sum, a number, a truth value, a condition, one at a time."""

from __future__ import annotations

import ast
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

ROOT = Path(__file__).parents[2]
SOURCES = (ROOT / "inspect_core" / "engineering", ROOT / "rules" / "inspect_wood_floor")

COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SUMS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Div, ast.Mod: ast.Mult,
}  # fmt: skip


@dataclass(frozen=True)
class Place:
    """Where a change may be made. ``name`` is module:line:number among the changes of that line, and ``what`` says it
    in words that outlast a line number: the function, the change, the line, and which of them if it has several alike.
    ``node`` and ``which`` find it again; ``lines`` are those of its statement; ``at_import`` where no function has to
    be called to run it."""

    file: Path
    name: str
    what: str
    node: int
    which: int
    lines: tuple[int, int]
    at_import: bool


@dataclass(frozen=True)
class Mutant:
    """A file with one change, compiled."""

    place: Place
    code: CodeType


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
    """Nodes that are left alone: types, decorators (texts and names of rules), assertions, texts put together."""
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
        if isinstance(node, ast.keyword) and node.arg == "strict":
            mute(node)  # of zip: an assertion that the lists are as long as one another
        if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id[0].isupper():
            mute(node)  # types as values
        if isinstance(node, ast.Call) and {"at_least", "at_most"} <= {word.arg for word in node.keywords}:
            found.update(word for word in node.keywords if word.arg in ("at_least", "at_most"))  # both can't be one
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
        case ast.Return(value=ast.expr() as value) if not (isinstance(value, ast.Constant) and value.value is None):
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


def places(file: Path) -> list[Place]:
    """Every change that the file could take."""
    text = file.read_text("utf-8")
    tree, written = ast.parse(text), text.splitlines()
    muted, where = quiet(tree), dict(statements(tree, (1, 1), True))
    within, on_line, alike, found = dict(functions(tree)), Counter[int](), Counter[str](), []
    for i, node in enumerate(ast.walk(tree)):
        if node in muted:
            continue
        for k, (word, _) in enumerate(changes(node)):
            line = getattr(node, "lineno", where[node][0][0])
            what = f"{within[node] or 'module'}: {word} in: {written[line - 1].strip()}"
            alike[what] += 1
            which = f" ({alike[what]})" if alike[what] > 1 else ""
            found.append(Place(file, f"{name_of(file)}:{line}:{on_line[line]}", what + which, i, k, *where[node]))
            on_line[line] += 1
    return found


def functions(node: ast.AST, name: str = "") -> Iterator[tuple[ast.AST, str]]:
    """For each node the function or class that it is in."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        name = f"{name}.{node.name}".lstrip(".")
    yield node, name
    for child in ast.iter_child_nodes(node):
        yield from functions(child, name)


def statements(
    node: ast.AST, lines: tuple[int, int], at_import: bool
) -> Iterator[tuple[ast.AST, tuple[tuple[int, int], bool]]]:
    """For each node the lines of its statement (of a long one its head), and whether it runs at import."""
    body = getattr(node, "body", None)
    if isinstance(node, ast.stmt | ast.match_case):
        first = node.pattern.lineno if isinstance(node, ast.match_case) else node.lineno
        last = body[0].lineno - 1 if isinstance(body, list) else getattr(node, "end_lineno", None) or first
        lines = (first, max(first, last))
    yield node, (lines, at_import)
    for child in ast.iter_child_nodes(node):
        called = isinstance(node, ast.Lambda | ast.FunctionDef) and (
            child is body or (isinstance(body, list) and child in body)
        )
        yield from statements(child, lines, at_import and not called)


def mutant(place: Place) -> Mutant:
    """The file with this change."""
    text = place.file.read_text("utf-8")
    tree = ast.parse(text)
    old = next(node for j, node in enumerate(ast.walk(tree)) if j == place.node)
    _, new = list(changes(old))[place.which]
    code = compile(ast.fix_missing_locations(Swap(old, new).visit(tree)), str(place.file), "exec", dont_inherit=True)
    return Mutant(place, code)
