"""What a rule says of an area where its list is not written, or is written empty. Absent is unknown, never none."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import Check, Named, does_not_apply, not_measured
from inspect_core.site import Area


def nothing_listed(area: Area, field: str, about: str, *, because: str, none: str) -> Check | None:
    """The one answer for an area of whose list nothing is said (``because``), or that has ``none``; else ``None``."""
    listed = getattr(area, field)
    if listed is None:
        return not_measured(Named(about, area.path), asks=(f"area.{field}",), because=because)
    return None if listed else does_not_apply(Named(about, area.path), none)


def no_joists(area: Area, about: str) -> Check | None:
    """The one answer for an area whose joists nobody has described, or that has none."""
    none = "no joists are listed in this area"
    return nothing_listed(area, "joists", about, because="no joists are described", none=none)


def no_supports(area: Area, about: str) -> Check | None:
    """The one answer for an area whose supports nobody has described."""
    if area.supports is None:
        return not_measured(Named(about, area.path), asks=("area.supports",), because="no supports are described")
    return None


def listed_parts(area: Area, field: str, about: str, *, because: str = "", none: str = "") -> Iterator[Check]:
    """The one answer for an area that has none of these parts, or of which nothing is said, if so."""
    why = because or f"nothing is said of {about}"
    answer = nothing_listed(area, field, about, because=why, none=none or f"no {about} here")
    if answer is not None:
        yield answer
