"""Files made to hurt: bombs, depths, sizes, numbers, links and things that are no file. Every YAML file that the
program reads is refused with words, at once, and nothing else is opened on its account."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from inspect_core.cli import main
from inspect_core.engine.chosen import packs_for, read_config
from inspect_core.engine.pack_cases import read_pack_cases
from inspect_core.engine.variances import missing_sites, read_variances
from inspect_core.engine.yaml_pack import read_pack
from inspect_core.planning.takeoff.prices import read_prices
from inspect_core.site import InputError, load_site

READERS: dict[str, tuple[str, Callable[[Path], Any]]] = {
    "site": ("a.site.yaml", load_site),
    "pack": ("pack.yaml", read_pack),
    "configuration": ("inspect-core.yaml", read_config),
    "variances": ("variances.yaml", read_variances),
    "prices": ("prices.yaml", read_prices),
    "cases of a pack": ("cases.yaml", lambda path: read_pack_cases(path.parent)),
}
LEVELS = "\n".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 10))
BOMBS = {
    "alias bomb": f"a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n{LEVELS}\n",
    "alias of itself": "a: &a [*a]\n",
    "merge keys": "a: &a {b: 1}\nc: {<<: *a}\n",
    "tag of code": "a: !!python/object/apply:os.system [touch owned]\n",
    "lists in lists": "[" * 50_000,
    "mappings in mappings": "{a: " * 50_000,
    "keys in keys": "? " * 50_000 + "a",
    "dashes in dashes": "- " * 50_000 + "a",
    "brackets shut": "]" * 50_000,
    "quote without an end": 'a: "' + "x" * 400_000,
    "long key": "x" * 400_000 + ": 1",
    "long number": "format: 1" + "0" * 400_000,
    "number beyond floats": "format: 1e999",
    "exponent of an exponent": "format: 1e999999999999999999",
    "not a number": "format: .nan",
    "many documents": "---\n" * 50_000,
    "many anchors": "".join(f"k{n}: &k{n} 1\n" for n in range(20_000)),
    "many duplicates": "a: 1\n" * 50_000,
    "comment alone": "#" * 400_000,
    "directives": "%TAG ! tag:e.example,2000:\n" * 20_000,
    "control characters": "a: \x1b[31m\x07\x00\n" * 5_000,
    "other encoding": "a: 1\n".encode("utf-16"),
    "no encoding": b"a: \xff\xfe\xfd\n" * 5_000,
    "nothing": "",
}  # fmt: skip


@pytest.mark.parametrize("bomb", BOMBS.values(), ids=BOMBS)
@pytest.mark.parametrize(("name", "read"), READERS.values(), ids=READERS)
def test_each_reader_refuses_it_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, read: Callable[[Path], Any], bomb: str | bytes
) -> None:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / name
    path.write_bytes(bomb if isinstance(bomb, bytes) else bomb.encode())
    with pytest.raises(InputError) as refused:
        read(path)
    said = str(refused.value)
    assert refused.value.problems
    assert len(said) < 200_000
    assert all(line.isprintable() for line in said.split("\n"))
    assert [one.name for one in tmp_path.iterdir()] == [name]


def test_so_many_values_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.site.yaml"
    path.write_text("a: [" + "1," * 200_000 + "1]", "utf-8")
    with pytest.raises(InputError, match="200,000"):
        load_site(path)


@pytest.mark.parametrize(("name", "read"), READERS.values(), ids=READERS)
def test_what_is_no_file_is_neither_waited_for_nor_read_without_an_end(
    tmp_path: Path, name: str, read: Callable[[Path], Any]
) -> None:
    for number, make in enumerate(
        [
            lambda path: os.mkfifo(path),
            lambda path: path.symlink_to("/dev/zero"),
            lambda path: path.symlink_to(path),
            lambda path: path.symlink_to(path.with_name("nowhere")),
            lambda path: path.mkdir(),
        ]
    ):
        folder = tmp_path / str(number)
        folder.mkdir()
        make(folder / name)
        with pytest.raises(InputError):
            read(folder / name)


# --- numbers that are too large to be measured ------------------------------------------------------------------------

NUMBERS = (
    "9" * 25, "9" * 31, "-" + "9" * 29, "1e300", "-1e300", "1e-320", "'9999999999999'", "'1/99999999'", "'1e9 ft'", "'0/0'",
    "'99999999999999999999999999999999999999999999999999999999 ft'", "every 1/64 from 0 to 999999999", "every 1e-9 from 0 for 5",
    "every 1 from 0 for 99999999999", "1 .. 99999999999999999", "１６", "(99999999) 2x4", "99999999999x99999999999",
)  # fmt: skip
PLACES = (
    "joists: [{{name: J, from: S1, to: B1, at: {0}, each: {{size: 2x8}}}}]",
    "joists: [{{name: J, from: S1, to: B1, at: 0, each: {{size: {0}}}}}]",
    "joists: [{{name: J, from: S1, to: B1, at: 0, each: {{size: 2x8, bearing: {{S1: {0}}}}}}}]",
    "outline: {0} x {0}",
    "carries: {{live: {0}}}",
    "crawl_space: {{joist_clearance: {0}, floor_area: {0}}}",
)
SITE = "format: 1\nunits: in\nsite: {{name: Numbers}}\nareas:\n  - id: a\n    supports: [{{id: S1, line: sill, at: 0}}, {{id: B1, line: beam, at: 96}}]\n    {}\n"


@pytest.mark.parametrize("place", PLACES)
def test_no_number_is_too_large_for_a_clear_answer(tmp_path: Path, packs: Any, place: str) -> None:
    from inspect_core.engine import inspect
    from inspect_core.report import FORMATS, Selection

    path = tmp_path / "a.site.yaml"
    for number in NUMBERS:
        path.write_text(SITE.format(place.format(number)), "utf-8")
        try:
            site = load_site(path)
        except InputError as error:
            assert all(line.isprintable() for line in str(error).split("\n"))
            continue
        report = inspect(site, packs)
        assert report.failures == ()
        assert json.loads(FORMATS["json"](report, Selection()))


# --- names that are paths ---------------------------------------------------------------------------------------------

ELSEWHERE = (
    "../secret",
    "/etc/passwd",
    "..\\..\\secret",
    "file:///etc/passwd",
    "https://e.example/pack",
    "~/pack",
    "$HOME",
    "`id`",
)


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_site_asks_for_packs_by_name_and_never_opens_a_path(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], opened: Callable[[], list[str]], name: str
) -> None:
    path = tmp_path / "sites" / "a.site.yaml"
    path.parent.mkdir()
    path.write_text(f"format: 1\nunits: in\nsite: {{name: A, packs: ['{name}']}}\nareas: [{{id: a}}]\n", "utf-8")
    with pytest.raises(SystemExit) as stop:
        main(["check", str(path), "--format", "json"])
    assert stop.value.code in (2, 3)
    assert [file for file in opened() if "secret" in file or "passwd" in file or "e.example" in file] == []
    capsys.readouterr()


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_pack_stands_on_names_and_never_opens_a_path(
    tmp_path: Path, opened: Callable[[], list[str]], name: str
) -> None:
    folder = tmp_path / "pack"
    folder.mkdir()
    head = f"{{id: a-pack, version: '1', title: A, place: A, level: city, edition: E, stands_on: ['{name}'], invented: true}}"
    (folder / "pack.yaml").write_text(f"format: 1\npack: {head}\n", "utf-8")
    with pytest.raises(InputError):
        packs_for(None, (str(folder),))
    assert [file for file in opened() if "secret" in file or "passwd" in file or "e.example" in file] == []


def test_variances_only_compare_the_paths_they_name(tmp_path: Path, opened: Callable[[], list[str]]) -> None:
    entry = "reason: r, granted_by: g, paper: p, until: 2099-12-31, rule: joist-bearing, subject: s"
    lines = "".join(f"  - {{site: '{name}', {entry}}}\n" for name in (*ELSEWHERE, "x/" * 240, "con", "."))
    path = tmp_path / "variances.yaml"
    path.write_text(f"format: 1\nvariances:\n{lines}", "utf-8")
    missing_sites(read_variances(path))
    assert [file for file in opened() if str(tmp_path) not in file and ("secret" in file or "passwd" in file)] == []


# --- links ------------------------------------------------------------------------------------------------------------


def test_a_pack_file_that_is_a_link_is_refused(tmp_path: Path, opened: Callable[[], list[str]]) -> None:
    folder = tmp_path / "pack"
    folder.mkdir()
    (tmp_path / "secret.yaml").write_text("password: 1\n", "utf-8")
    (folder / "pack.yaml").symlink_to(tmp_path / "secret.yaml")
    before = len(opened())
    with pytest.raises(InputError, match="must not be a link"):
        read_pack(folder)
    assert not any("secret" in file for file in opened()[before:])


def test_a_linked_folder_of_packs_is_what_its_user_chose(tmp_path: Path) -> None:
    here = Path(__file__).parents[2] / "rules" / "alder_county"
    (tmp_path / "linked").symlink_to(here)
    assert read_pack(tmp_path / "linked").id == "alder-county"


def test_a_site_file_that_is_a_link_is_read_and_named_as_given(tmp_path: Path, packs: Any) -> None:
    (tmp_path / "real.site.yaml").write_text("format: 1\nunits: in\nsite: {name: A}\nareas: [{id: a}]\n", "utf-8")
    (tmp_path / "link.site.yaml").symlink_to("real.site.yaml")
    assert load_site(tmp_path / "link.site.yaml").file.endswith("link.site.yaml")


# --- lines that an earlier gate is said to have written ---------------------------------------------------------------

LINES = {
    "deep": '{"file":"a.site.yaml","document":' + "[" * 100_000 + "]" * 100_000 + "}",
    "deep name": '{"file":' + "[" * 100_000 + "]" * 100_000 + "}",
    "long number": '{"file":"a.site.yaml","exit_code":' + "9" * 10_000 + "}",
    "no document": '{"file":"a.site.yaml"}',
    "odd document": '{"file":"a.site.yaml","exit_code":0,"open":0,"problems":[],"failures":[],"document":{"findings":5}}',
    "odd findings": '{"file":"a.site.yaml","exit_code":0,"open":0,"problems":[],"failures":[],"document":{"findings":[{"outcome":[]}]}}',
    "odd parts": '{"file":"a.site.yaml","exit_code":"x","open":{},"problems":5,"failures":null,"document":null}',
    "list": "[]",
    "not a number": '{"file":"a.site.yaml","exit_code":NaN,"open":0,"problems":[],"failures":[],"document":null}',
}


@pytest.mark.parametrize("line", LINES.values(), ids=LINES)
def test_lines_of_an_earlier_gate_are_refused_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], line: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("a.site.yaml").write_text("format: 1\nunits: in\nsite: {name: A}\nareas: [{id: a}]\n", "utf-8")
    Path("lines.jsonl").write_text(line + "\n", "utf-8")
    for arguments in (["--merge", "lines.jsonl"], ["a.site.yaml", "--baseline", "lines.jsonl", "--jobs", "1"]):
        with pytest.raises(SystemExit) as stop:
            main(["gate", *arguments, "-o", "out"])
        printed = capsys.readouterr()
        assert stop.value.code in (2, 3)
        assert "Traceback" not in printed.err
        assert stop.value.code == 3 or not Path("out").exists()
