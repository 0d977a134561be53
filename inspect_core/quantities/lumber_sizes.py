"""Dressed sizes of lumber: what a nominal size measures."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

TIMBER_FROM = 5.0  # nominal inches in both directions: from here up both faces lose the same (posts, beams)


@cache
def _table() -> dict[float, tuple[float, float]]:
    text = files("inspect_core.quantities").joinpath("lumber_sizes.csv").read_text("utf-8")
    rows = [line.split(",") for line in text.splitlines() if line and not line.startswith("#")]
    return {float(nominal): (float(thick), float(wide)) for nominal, thick, wide in rows[1:]}


def dressed(thickness: float, depth: float) -> tuple[float, float] | None:
    """Dressed thickness and depth in inches of a nominal size in inches; ``None`` where the standard has no such size.

    Boards and dimension lumber lose more of their width than timbers (5x5 and larger) do.
    Source: DOC PS 20, see ``lumber_sizes.csv``.

    >>> dressed(2, 8)
    (1.5, 7.25)
    >>> dressed(6, 8)
    (5.5, 7.5)
    """
    table = _table()
    if thickness not in table or depth not in table:
        return None
    timber = min(thickness, depth) >= TIMBER_FROM
    return table[thickness][0], table[depth][0 if timber else 1]
