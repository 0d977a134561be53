"""What stands on the blank field sheet, as plain values for its template."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inspect_core.quantities import Units
from inspect_core.report.form.describe import ROOT, Field, words

_MOST_COLUMNS = 9
_MOST_WORDS = 8  # choices that still fit beside a line


def sheet_sections(form: dict[str, Any], units: Units) -> list[dict[str, Any]]:
    """The sheet's sections: `{"title", "lines": […], "tables": […]}`, those of the file first, then those of a floor.

    A line is `{"label", "choices", "how"}`; a table is `{"title", "says", "columns", "rows", "notes"}`, and a note
    says what a column asks for.
    """
    sheet = _Sheet(form["parts"], units)
    return [sheet.section(part, section) for part in (ROOT, "area") for section in words()["sections"][part]]


class _Sheet:
    def __init__(self, parts: dict[str, Any], units: Units) -> None:
        self.parts = parts
        self.units = units

    def section(self, part: str, section: dict[str, Any]) -> dict[str, Any]:
        lines: list[dict[str, Any]] = []
        tables: list[dict[str, Any]] = []
        for key in section.get("sheet", section["fields"]):
            field = self._field(part, key)
            inner = field.get("part") or field.get("item", {}).get("part")
            if inner is None:
                lines.append(self._line(field))
            elif field["kind"] == "part":
                of = field["label"] if field["label"] != section["title"].lower() else ""
                lines += [self._line(one, of) for one in self._plain(inner)]
            else:
                tables.append(self._table(field["label"], inner, words()["rows"].get(key, 2)))
            for within in words()["sheet_tables"].get(key, ()):
                tables.append(self._within(*within.split(".")))
        return {"title": section["title"], "lines": lines, "tables": tables}

    def _within(self, part: str, key: str) -> dict[str, Any]:
        field = self._field(part, key)
        inner = field.get("part") or field["item"]["part"]
        title = field["label"] if key in ("each", "but") else f"{field['label']} ({self.parts[part]['one']})"
        rows = 1 if field["kind"] == "part" else words()["rows"].get(key, 2)
        table = self._table(title, inner, rows, field.get("first") or field.get("item", {}).get("first"))
        if field["kind"] == "map" or inner in ("hole", "notch", "cut", "condition", "sister"):
            table["columns"].insert(0, "which joist")
        return table

    def _field(self, part: str, key: str) -> Field:
        found: Field = next(field for field in self.parts[part]["fields"] if field["key"] == key)
        return found

    def _plain(self, part: str, first: list[int] | None = None) -> Iterator[Field]:
        """The fields of a part that are asked first and fit on a line or in a column."""
        described = self.parts[part]
        for place in first or [place for section in described["sections"] for place in section["first"]]:
            field = described["fields"][place]
            fits = field["kind"] not in ("part", "fixed") and "part" not in field.get("item", {})
            if fits and field["key"] not in words()["sheet_without"]:
                yield field

    def _table(self, title: str, part: str, rows: int, first: list[int] | None = None) -> dict[str, Any]:
        fields = list(self._plain(part, first))[:_MOST_COLUMNS]
        return {
            "title": title,
            "says": self.parts[part]["says"],
            "columns": [field["label"] for field in fields],
            "rows": rows,
            "notes": [(field["label"], self._note(field)) for field in fields if self._note(field)],
        }

    def _line(self, field: Field, of: str = "") -> dict[str, Any]:
        choices = _choices(field)
        return {
            "label": f"{of}: {field['label']}" if of else field["label"],
            "choices": choices if len(choices) <= _MOST_WORDS else [],
            "how": self._note(field, choices=len(choices) > _MOST_WORDS),
        }

    def _note(self, field: Field, *, choices: bool = True) -> str:
        found = _choices(field) if choices else []
        unit = field.get("unit", {}).get(self.units, "")
        parts = [" / ".join(found), f"in {unit}" if unit else "", field.get("how", "")]
        return ". ".join(part.rstrip(".") for part in parts if part)


def _choices(field: Field) -> list[str]:
    if field["kind"] == "yesno":
        return ["yes", "no", "don't know"]
    return ["don't know" if word == "unknown" else str(word).replace("-", " ") for word in field.get("words", ())]
