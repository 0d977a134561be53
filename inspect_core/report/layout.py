"""Lines of 80 terminal columns, whatever the names in a file hold."""

from __future__ import annotations

from inspect_core.site.problems import columns, visible

WIDTH = 80


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


def _fitting(text: str) -> int:
    """How many characters from the start fill a line at most."""
    taken = 0
    for count, character in enumerate(text):
        taken += columns(character)
        if taken > WIDTH:
            return count
    return len(text)
