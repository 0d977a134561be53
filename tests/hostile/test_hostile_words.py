"""Names from a site file, and the file's own name, in every output that is not the check's own: work order, plan, list
of materials, repairs, the gate's text. Nothing that a terminal obeys, no line that a build server takes for a command, no
markup, and no cell that a spreadsheet computes."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from inspect_core.cli import main
from inspect_core.site.problems import columns, visible

HOSTILE = {
    "what is not seen": "meets \u202estrohs sllaf\u202c\u200f a\u200bb\u00adc\u2060d",
    "build server": "::error::nothing",
    "build server, others": "##[error]x ##vso[task.complete]y",
    "markup": "<script>alert(1)</script><img src=x onerror=alert(1)>&lt;b&gt; ]]></title></text></svg>",
    "markdown": "**b** _i_ `c` [l](https://e.example) ![i](j) ~~o~~ a | b | c",
    "templates and quotes": "{{ 7 * 7 }} {0} %s ${HOME} $(id) \"'`\\",
    "wide": "漢字かな交じり文" * 5 + "e\u0301" * 40,
}
FORMULAS = ('=HYPERLINK("https://e.example";"x")', "+1+1", "@SUM(1)", "-2+3")
TAME = "Plain name"
SITE = """\
format: 1
units: in
site: {{name: {0}, invented: true, work: new}}
evidence: [{{id: e1, file: x.jpg, shows: {0}}}]
areas:
  - id: hall
    name: {0}
    use: hall
    outline: 48 in x 96 in
    joists_run: north-south
    supports: [{{id: S1, line: sill, at: -5, width: 5, note: {0}}}, {{id: B1, line: beam, at: 96, width: 5, note: {0}}}]
    joists: [{{name: J, from: S1, to: B1, at: every 16 from 0 to 48, each: {{size: 2x8, note: {0}, bearing: {{S1: 1, B1: 3}}}}}}]
    layers: [{{kind: panel, material: plywood, thickness: 23/32, note: {0}}}]
    fixtures: [{{id: T1, kind: toilet, note: {0}}}]
  - {{id: {1}, name: {0}, use: hall, outline: 48 in x 48 in, joists_run: north-south, layers: [{{kind: panel, material: plywood, thickness: 23/32}}]}}
"""
COMMANDS = {
    "sequence": ("sequence",),
    "sequence.md": ("sequence", "--format", "markdown"),
    "sequence.json": ("sequence", "--format", "json"),
    "takeoff": ("takeoff",),
    "takeoff.csv": ("takeoff", "--format", "csv"),
    "draw": ("draw",),
    "gate": ("gate", "--jobs", "1"),
    "measure": ("measure",),
}


def outputs(folder: Path, name: str, file: str, capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    """What each command prints about a floor of such names."""
    site = folder / file
    site.write_text(
        SITE.format(json.dumps(name, ensure_ascii=False), json.dumps(name[:40], ensure_ascii=False)), "utf-8"
    )
    found = {}
    for key, (command, *options) in COMMANDS.items():
        with pytest.raises(SystemExit) as stop:
            main([command, str(site), *options])
        printed = capsys.readouterr()
        assert stop.value.code in (0, 1), printed.err
        found[key] = printed.out
        assert harmless(printed.err)
    return found


def harmless(text: str) -> bool:
    lines = text.split("\n")
    return not any(
        not line.isprintable() or line.lstrip().startswith("::") or "##[" in line or "##vso" in line for line in lines
    )


@pytest.fixture(params=HOSTILE.values(), ids=HOSTILE)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_no_output_obeys_a_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    found = outputs(Path(), name, "a\x1b[31m::error::x.site.yaml", capsys)
    for key in ("sequence", "takeoff", "gate", "measure"):
        assert harmless(found[key]), key
        assert [line for line in found[key].split("\n") if columns(line) > 80] == []
    assert "".join(visible(name).split()) in "".join(found["sequence"].split())
    assert harmless(found["sequence.md"])
    assert json.loads(found["sequence.json"])["site"]["name"] == name
    plan_is_sound(found["draw"], name)


@pytest.mark.parametrize("formula", FORMULAS)
def test_no_cell_is_a_formula(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], formula: str
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(globals(), "COMMANDS", {"takeoff.csv": COMMANDS["takeoff.csv"]})
    text = outputs(Path(), formula, "a.site.yaml", capsys)["takeoff.csv"]
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    assert len(cells) > 15
    assert any(formula in cell for cell in cells)
    assert [cell for cell in cells if cell[:1] in tuple("=+-@\t\r") and not is_number(cell)] == []


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def plan_is_sound(svg: str, name: str) -> None:
    root = ET.fromstring(svg.encode())
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert tags <= {"svg", "title", "desc", "style", "defs", "pattern", "g", "rect", "line", "path", "circle", "polygon",
                    "polyline", "ellipse", "text", "tspan", "use", "clipPath", "marker", "symbol"}, tags  # fmt: skip
    for element in root.iter():
        assert not any(key.startswith("on") or key.endswith("href") for key in element.attrib)
        assert all(text.isprintable() for text in (element.text or "").split("\n"))
    assert "".join(visible(name).split()) in "".join("".join(root.itertext()).split())


@pytest.mark.parametrize("key", ["markup", "markdown", "templates and quotes"])
def test_the_work_order_in_markdown_keeps_its_shape(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], key: str
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(globals(), "COMMANDS", {"sequence.md": COMMANDS["sequence.md"]})
    hostile, tame = (outputs(Path(), name, "a.site.yaml", capsys)["sequence.md"] for name in (HOSTILE[key], TAME))
    assert shape(hostile) == shape(tame)


def shape(markdown: str) -> list[tuple[str, str]]:
    """Kind and tag of everything but plain text."""
    reader = MarkdownIt("commonmark", {"linkify": False, "html": True}).enable(["table", "strikethrough"])
    return [(token.type, token.tag) for token in leaves(reader.parse(markdown)) if not token.type.startswith("text")]


def leaves(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield from leaves(token.children) if token.children is not None else [token]


def test_repairs_say_hostile_names_as_text(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    name = HOSTILE["build server"] + HOSTILE["what is not seen"] + HOSTILE["markup"][:50]
    file = "a\x1b[31m.site.yaml"
    Path(file).write_text(SITE.format(json.dumps(name, ensure_ascii=False), "b").rpartition("  - {id: b")[0], "utf-8")
    with pytest.raises(SystemExit) as stop:
        main(["repair", file])
    printed = capsys.readouterr()
    assert stop.value.code == 0, printed.err
    assert harmless(printed.out)
    assert harmless(printed.err)
