"""The starter file that ``inspect-core start`` writes: it checks as it stands, and says what to fill in."""

from __future__ import annotations

from importlib.resources import files


def starter(units: str) -> str:
    """The commented starter site description; ``units`` is ``in`` or ``mm``."""
    return files("inspect_core.site").joinpath(f"starter-{units}.site.yaml").read_text("utf-8")
