"""The survey form and the blank sheet without a browser: everything of the schema is there, nothing is loaded."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from inspect_core.cli.app import cli
from inspect_core.report.form import describe, form_html, sheet_html
from inspect_core.report.form.describe import words
from inspect_core.report.form.pages import _data
from inspect_core.site import schema

LEFT_OUT = {("", "format"): "the page writes it: there is one format"}
LOADING = {"src", "href", "srcset", "data", "poster", "action", "formaction", "xlink:href"}
KINDS = {
    *("fixed", "text", "length", "extent", "size", "number", "choice", "yesno", "places"),
    *("pair", "list", "map", "part"),
}


class Page(HTMLParser):
    """Texts and attributes of a page, as a browser would see them."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.attributes: list[tuple[str, str, str]] = []
        self.words: list[str] = []
        self.code: list[tuple[str, str]] = []  # what is inside style and script elements, by tag
        self._inside = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        self._inside = "data" if dict(attrs).get("type") == "application/json" else tag

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside in ("style", "script", "data"):
            self.code.append((self._inside, data))
        else:
            self.words.append(data)


def properties() -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every property of the schema: the definition it belongs to ("" is the file), its key, what it says."""
    for name, definition in {"": schema(), **schema()["$defs"]}.items():
        for key, value in definition["properties"].items():
            yield name, key, value


def test_every_property_of_the_schema_can_be_filled_in() -> None:
    parts = describe()["parts"]
    shown = {
        (name, part["fields"][place]["key"])
        for name, part in parts.items()
        for section in part["sections"]
        for place in (*section["first"], *section["more"])
    }
    reachable, waiting = {""}, [""]
    while waiting:
        for field in parts[waiting.pop()]["fields"]:
            inner = field.get("part") or field.get("item", {}).get("part")
            if inner is not None and inner not in reachable:
                reachable.add(inner)
                waiting.append(inner)
    assert reachable == set(parts)
    assert {(name, key) for name, key, _ in properties()} - shown == set(LEFT_OUT)


def test_every_field_says_what_the_schema_says() -> None:
    fields = {(name, field["key"]): field for name, part in describe()["parts"].items() for field in part["fields"]}
    for name, key, definition in properties():
        field = fields[name, key]
        measure = definition.get("measure", {})
        assert (field.get("how"), field.get("tool")) == (measure.get("how"), measure.get("tool"))
        if key not in words()["says"] and f"{name}.{key}" not in words()["says"]:
            assert field["says"] == definition.get("description", field["says"])
        assert field["says"]
        assert field["kind"] in KINDS
        if "enum" in definition and True not in definition["enum"]:
            assert field["words"] == definition["enum"]


def test_examples_are_in_the_units_of_the_survey() -> None:
    fields = {(name, field["key"]): field for name, part in describe()["parts"].items() for field in part["fields"]}
    assert fields["support", "width"]["example"] == {"in": "5 1/2", "mm": "140"}
    assert fields["joist_group", "at"]["example"] == {
        "in": "every 16 from 0 to 112",
        "mm": "every 406 from 0 to 2845",
    }
    assert fields["support", "id"]["example"] == {"in": "S1", "mm": "S1"}


def test_sections_show_no_field_twice() -> None:
    for part in describe()["parts"].values():
        places = [place for section in part["sections"] for place in (*section["first"], *section["more"])]
        assert len(places) == len(set(places))


@pytest.mark.parametrize("table", ["labels", "says", "pairs", "refers", "first", "first_within", "prefix", "made_up"])
def test_the_words_file_names_only_what_the_schema_has(table: str) -> None:
    known = {name for name, _, _ in properties()} | {key for _, key, _ in properties()}
    known |= {f"{name}.{key}" for name, key, _ in properties()}
    assert set(words()[table]) - known == set()


@pytest.mark.parametrize("text", [form_html(), form_html("mm"), sheet_html(), sheet_html("mm")])
def test_a_page_loads_nothing_and_its_policy_lets_in_just_what_is_there(text: str) -> None:
    page = Page(text)
    for tag, name, value in page.attributes:
        assert name not in LOADING or value.startswith("#"), (tag, name, value)
        assert not name.startswith("on")
        assert name != "style"
    assert "@import" not in text
    assert not re.search(r"url\(", text)
    (policy,) = [value for tag, name, value in page.attributes if tag == "meta" and "default-src" in value]
    assert policy.startswith("default-src 'none'; ")
    for tag in ("style", "script"):
        (allowed,) = re.findall(rf"{tag}-src ([^;]+)", policy)
        there = ["".join(code) for kind, *code in page.code if kind == tag]
        hashes = [f"'sha256-{base64.b64encode(hashlib.sha256(one.encode()).digest()).decode()}'" for one in there]
        assert allowed == (" ".join(hashes) or "'none'")


def test_data_cannot_end_its_element() -> None:
    data = {"says": "</script><script>alert(1)</script><!--"}
    assert "<" not in _data(data)
    assert json.loads(_data(data)) == data


def test_the_script_makes_no_markup_of_data() -> None:
    ((_, script),) = [code for code in Page(form_html()).code if code[0] == "script"]
    for word in ("innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval(", "new Function", "fetch("):
        assert word not in script


def test_the_blank_sheet_has_each_area_of_the_survey() -> None:
    shown = " ".join(Page(sheet_html()).words)
    sections = words()["sections"]
    for section in (*sections[""], *sections["area"]):
        assert section["title"] in shown or section.get("sheet") == []
    parts = describe()["parts"]
    fields = [field for name in ("", "area") for field in parts[name]["fields"]]
    lists = [field for field in fields if field["kind"] == "list" and "part" in field["item"]]
    assert {"supports", "joists", "layers", "drains"} <= {field["key"] for field in lists}
    for field in lists:
        if field["key"] != "areas":
            assert field["label"] in shown
            assert parts[field["item"]["part"]]["says"] in shown
    for part in ("hole", "notch", "cut", "condition", "vent"):
        assert parts[part]["says"] in shown


def test_the_command_writes_both_pages_the_same_each_time(tmp_path: Path) -> None:
    for name in ("first", "second"):
        page, sheet = tmp_path / f"{name}.html", tmp_path / f"{name}-sheet.html"
        done = CliRunner().invoke(cli, ["form", "-o", str(page), "--blank-sheet", str(sheet), "--units", "mm"])
        assert done.exit_code == 0, done.output
        assert done.stderr == f"wrote {page}\nwrote {sheet}\n"
        assert page.read_text("utf-8") == form_html("mm")
        assert sheet.read_text("utf-8") == sheet_html("mm")
    assert form_html("mm") != form_html("in")


def test_the_command_asks_for_a_file() -> None:
    assert CliRunner().invoke(cli, ["form"]).exit_code == 2
