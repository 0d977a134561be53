"""What is wrong with a file a person wrote: kept as data, turned into text only when somebody reads it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

MOST_PROBLEMS = 200
"""An InputError carries at most this many problems; `InputError.omitted` counts the rest."""

_WIDTH = 80
_INDENT = "  "


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in an input file.

    `line` and `column` are 1-based and count code points; both are 0 when the problem is the file as a whole
    (it is missing, too large, not text). `path` leads from the root of the data to the value meant.
    `code` is a stable word for programs; the texts are for people and may change.
    """

    file: str
    line: int
    column: int
    path: tuple[str | int, ...]
    code: str
    message: str
    expected: str = ""
    example: str = ""
    source_line: str = ""

    def render(self) -> str:
        """A few lines of plain text, with a caret below the place; no control character but the line ends."""
        place = f"{self.line}:{self.column}: " if self.line else " "
        lines = _wrapped(f"{visible(self.file)}:{place}{visible(self.message)}", "", _INDENT)
        if self.expected:
            lines += _wrapped(visible(self.expected), f"{_INDENT}expected: ", _INDENT * 2)
        if self.example:
            first, *more = self.example.split("\n")
            lines.append(f"{_INDENT}example: {visible(first)}")
            lines += [f"{_INDENT}         {visible(line)}" for line in more]
        if self.line and self.source_line.strip():
            lines += _pointed(self.source_line, self.column)
        return "\n".join(lines)


class InputError(Exception):
    """The input can't be used. `problems` holds what was found, in the order of the file.

    At most `MOST_PROBLEMS` are kept; `omitted` says how many more there were.
    """

    def __init__(self, problems: Iterable[Problem], omitted: int = 0) -> None:
        ordered = sorted(problems, key=position)
        self.problems: tuple[Problem, ...] = tuple(ordered[:MOST_PROBLEMS])
        self.omitted: int = omitted + max(0, len(ordered) - MOST_PROBLEMS)
        super().__init__(self.problems, self.omitted)

    def __str__(self) -> str:
        texts = [problem.render() for problem in self.problems]
        if self.omitted:
            texts.append(f"... and {self.omitted} more problem{'s' if self.omitted > 1 else ''}")
        return "\n".join(texts)


def position(problem: Problem) -> tuple[str, int, int, tuple[str, ...], str, str]:
    """Sort key: by file, then place; the rest makes the order the same in every run."""
    path = tuple(str(step) for step in problem.path)
    return problem.file, problem.line, problem.column, path, problem.code, problem.message


def visible(text: str) -> str:
    """`text` with each control, direction-changing or otherwise invisible character written out.

    What comes back is safe to print on a terminal: `\\x1b` becomes `␛`, U+202E becomes `<U+202E>`. Nor is it a
    command to a build server that reads along (`::error::` and `##[error]` become `: :error: :` and `# #[error]`).
    """
    if not text.isprintable():
        text = "".join(map(_visible_character, text))
    return _DOUBLED.sub(lambda found: found[0] + " ", text) if "::" in text or "##" in text else text


_DOUBLED = re.compile(r":(?=:)|#(?=#)")


def _visible_character(character: str) -> str:
    if character.isprintable():
        return character
    code = ord(character)
    if code < 0x20:
        return chr(0x2400 + code)  # the control pictures, one column each
    if code == 0x7F:
        return "\u2421"
    if unicodedata.category(character) == "Zs":
        return " "  # wide and no-break spaces are harmless
    return f"<U+{code:04X}>"


def columns(text: str) -> int:
    """How many terminal columns the (already visible) text takes."""
    if text.isascii():
        return len(text)
    return sum(map(_columns, text))


@lru_cache(maxsize=1024)
def _columns(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def _wrapped(text: str, first: str, rest: str) -> list[str]:
    if len(first) + len(text) <= _WIDTH:
        return [first + text]
    import textwrap  # only for long texts, which most are not

    return textwrap.wrap(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_long_words=False,
        break_on_hyphens=False,
        drop_whitespace=True,
    )


def _pointed(line: str, column: int) -> list[str]:
    """The source line, cut to a window around the column, and a caret under it."""
    room = _WIDTH - len(_INDENT) - len("| ") - 2 * len("…")
    start = 0 if len(line) <= room else min(max(0, column - 1 - room // 2), max(0, len(line) - room))
    before = visible(line[start : max(start, column - 1)])
    after = visible(line[max(start, column - 1) : start + room])
    head = "…" if start else ""
    tail = "…" if start + room < len(line) else ""
    return [
        f"{_INDENT}| {head}{before}{after.rstrip()}{tail}",
        f"{_INDENT}| {' ' * (len(head) + columns(before))}^",
    ]
