"""What a pack's conditions and templates can ask, read from the schema of site descriptions."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.engine.things import KINDS
from inspect_core.report.layout import wrapped
from inspect_core.rules_api.conditions import OPERATORS, PARTS, SHORT
from inspect_core.rules_api.fields import FieldKind, field_kind, fields_of
from inspect_core.rules_api.vocabulary import WORK


def fields_text(kind: str | None = None) -> str:
    """The fields of one kind of thing; without one, what conditions may ask and which kinds there are."""
    return "\n".join(_of_kind(kind) if kind is not None else _overview()) + "\n"


def _overview() -> Iterator[str]:
    yield "Conditions (when:)"
    for name, field in SHORT.items():
        found = FieldKind("words", words=WORK, says="Kind of work") if field == "work" else field_kind(field)
        if found is not None:
            yield from wrapped(f"{name}: {found.says} {_form(found)}", "  ", "      ")
    yield from wrapped(
        f"Also each field of {', '.join(PARTS)}, written with a point: crawl_space.drying.", "  ", "      "
    )
    yield ""
    yield from wrapped(
        f"Kinds of things (for_each:): {', '.join(KINDS)}. `pack fields KIND` lists their fields.", "", "  "
    )


def _of_kind(kind: str) -> Iterator[str]:
    for name in fields_of(kind):
        found = field_kind(f"{kind}.{name}")
        if found is not None:
            yield from wrapped(f"{name}: {found.says} {_form(found)}", "", "    ")


def _form(found: FieldKind) -> str:
    what = found.dimension.value if found.dimension is not None else ", ".join(found.words) or found.kind
    return f"[{what}; {', '.join(OPERATORS[found.kind])}]"
