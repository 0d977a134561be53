"""Lines of 80 terminal columns, whatever the names in a file hold."""

from __future__ import annotations

import shlex

from inspect_core.site.problems import columns, visible

WIDTH = 80
SELF_CHECK = "A self-check, not an approval: local code, the official and licensed practice come first."


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """``text`` made harmless and broken at spaces; a word wider than a line is cut.

    ``first`` and ``rest`` are the indents of the first line and of the others. No text, no line.
    """
    lines: list[str] = []
    line, fresh = first, True
    for word in visible(text).split(" "):
        longer = line + word if fresh else f"{line} {word}"
        if not fresh and columns(longer) > WIDTH:
            lines.append(line.rstrip())
            longer = rest + word
        while columns(longer) > WIDTH:
            cut = _fitting(longer)
            lines.append(longer[:cut])
            longer = rest + longer[cut:]
        line, fresh = longer, False
    return [*lines, line.rstrip()] if line.strip() else lines


def counted(count: int, word: str) -> str:
    """``1 sheet``, ``2 sheets``."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def heading(text: str) -> list[str]:
    """Text and a line under it, as long as its longest line."""
    lines = wrapped(text)
    return [*lines, "-" * max(map(columns, lines), default=0)]


def command_lines(*words: str) -> list[str]:
    """A command to paste into a shell, indented. A line that goes on ends in a backslash, even within a long word."""
    room = WIDTH - len(" \\")
    lines: list[str] = []
    line = " "
    for word in words:
        first, *more = _quoted(word, room - 4)
        if more or columns(f"{line} {first}") > room:
            lines.append(f"{line} \\")
            line = "   "
        line = f"{line} {first}"
        for piece in more:  # from the left edge on: the shell puts it to what came before
            lines.append(f"{line}\\")
            line = piece
    return [*lines, line]


def _quoted(word: str, room: int) -> list[str]:
    """A word as a shell reads it, in pieces of at most ``room`` columns, each in quotes of its own."""
    pieces, piece = [], ""
    for character in word:
        if piece and columns(visible(shlex.quote(piece + character))) > room:
            pieces.append(piece)
            piece = ""
        piece += character
    return [visible(shlex.quote(one)) for one in (*pieces, piece)]


def _fitting(text: str) -> int:
    """How many characters from the start fill a line at most."""
    taken = 0
    for count, character in enumerate(text):
        taken += columns(character)
        if taken > WIDTH:
            return count
    return len(text)
