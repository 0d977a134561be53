"""What each command prints, and to whom."""

from __future__ import annotations

import json
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import click
import pytest
from jsonschema import Draft202012Validator

import inspect_core
from inspect_core.cli.app import check
from inspect_core.report import FORMATS
from inspect_core.rules_api import SEVERITIES
from inspect_core.site import schema, schema_text
from inspect_core.site.starter import starter

Run = Callable[..., subprocess.CompletedProcess[bytes]]
STAGE = ("--hold-point", "tiny-stage")


@pytest.fixture
def bench(tmp_path: Path) -> str:
    """Three supports: one wide enough, one not, one not measured; one whose place is unknown."""
    (tmp_path / "bench.site.yaml").write_text(
        "format: 1\nunits: in\nsite: {name: Command bench, invented: true}\npacks: [tiny-pack]\n"
        "areas:\n- id: a\n  supports:\n"
        "  - {id: S1, at: 3, width: 5 1/2}\n  - {id: S2, width: 3}\n  - {id: S3, at: 90, width: unknown}\n"
    )
    return "bench.site.yaml"


def lines(done: subprocess.CompletedProcess[bytes]) -> list[str]:
    return done.stdout.decode().splitlines()


# --- check ---


def test_check_offers_each_format_that_there_is() -> None:
    (option,) = (one for one in check.params if one.name == "form")
    assert isinstance(option.type, click.Choice)
    assert sorted(option.type.choices) == sorted(["text", *FORMATS])


HEAD = ["Command bench", "bench.site.yaml"]
SHORT = [
    "FALLS SHORT  support S2  (correction, line 9)",
    "  width 3 in, at least 4 in needed: short by 1 in",
    "  Remedy: Widen it.",
    "  Reference: Tiny Code 1",
    "  Rule tiny-support; limit tiny-width set by tiny-pack (computed)",
]
OPEN = [
    "NOT MEASURED  tiny-support  (correction, 1 to settle)",
    "  support S3: width not measured; at least 4 in is needed",
]
ADVICE = [
    "NOT MEASURED  tiny-advice  (advisory, 1 to settle)",
    "  support S2: not known whether a place",
]
ALSO = [
    "meets  support S1",
    "  tiny-support: width 5 1/2 in, at least 4 in needed",
    "meets  support S1",
    "  tiny-advice: a place",
    "meets  support S3",
    "  tiny-advice: a place",
]
TAIL = [
    "What to measure next, and how:",
    "  inspect-core measure bench.site.yaml --hold-point tiny-stage --most 10",
    "What would mend it, tried on a copy:",
    "  inspect-core repair bench.site.yaml --hold-point tiny-stage",
    "A self-check, not an approval: local code, the official and licensed practice",
    "  come first.",
]


def heading(count: int) -> list[str]:
    text = f"Hold point tiny-stage: NOT to be released, {count} open"
    return ["", text, "-" * len(text)]


@pytest.mark.parametrize(
    ("options", "wanted"),
    [
        (
            (),
            [
                *heading(2),
                *SHORT,
                *OPEN,
                *ADVICE,
                "",
                "1 falls short, 2 not measured, 3 meet, 0 do not apply",
                *TAIL,
            ],
        ),
        (
            ("--all",),
            [
                *heading(2),
                *SHORT,
                *OPEN,
                *ADVICE,
                *ALSO,
                "",
                "1 falls short, 2 not measured, 3 meet, 0 do not apply",
                *TAIL,
            ],
        ),
        (
            ("--severity", "advisory"),
            [
                *heading(3),
                *SHORT,
                *OPEN,
                *ADVICE,
                "",
                "1 falls short, 2 not measured, 3 meet, 0 do not apply",
                *TAIL,
            ],
        ),
        (
            ("--severity", "correction"),
            [*heading(2), *SHORT, *OPEN, "", "1 falls short, 1 not measured, 1 meets, 0 do not apply", *TAIL],
        ),
        (
            ("--brief",),
            [
                *heading(2),
                "FALLS SHORT  support S2: width 3 in, at least 4 in needed: short by 1 in",
                "    (correction, tiny-support, line 9)",
                "NOT MEASURED  2 (1 correction, 1 advisory)",
                "",
                "Remedies, cautions and limits: the same command without --brief.",
                "1 falls short, 2 not measured, 3 meet, 0 do not apply",
                *TAIL,
            ],
        ),
        (("--severity", "stop-work"), ["", "0 fall short, 0 not measured, 0 meet, 0 do not apply", *TAIL[4:]]),
    ],
)
def test_check_prints_what_was_asked_for(
    run: Run, tiny: Path, bench: str, options: tuple[str, ...], wanted: list[str]
) -> None:
    done = run("check", bench, *STAGE, *options, path=tiny)
    assert done.stderr == b""
    printed = lines(done)
    assert printed[:2] == HEAD
    start = next(i for i, line in enumerate(printed) if not line)  # the packs of whoever is installed come before
    assert printed[start:] == wanted
    assert done.returncode == (0 if "stop-work" in options else 1)


def test_brief_goes_with_neither_all_nor_working(run: Run, tiny: Path, bench: str) -> None:
    for other in ("--all", "--show-working"):
        done = run("check", bench, "--brief", other, path=tiny)
        assert (done.returncode, done.stdout) == (2, b"")
        assert b"--brief leaves out what --all and --show-working add" in done.stderr


def test_check_of_an_unknown_hold_point(run: Run, tiny: Path, bench: str) -> None:
    for command in ("check", "measure"):
        done = run(command, bench, "--hold-point", "attic", path=tiny)
        assert (done.returncode, done.stdout) == (2, b"")
        told = "no hold point 'attic'; one of under-floor, rough-plumbing, subfloor, wet-area, tile, final, tiny-stage"
        assert done.stderr.decode().endswith(f"\nError: {told}\n")


@pytest.mark.parametrize("form", ["json", "markdown", "text"])
def test_formats_go_to_standard_output_as_utf8(run: Run, tiny: Path, bench: str, tmp_path: Path, form: str) -> None:
    path = tmp_path / bench
    path.write_text(path.read_text("utf-8").replace("Command bench", "Prüfstand 漢"), "utf-8")
    done = run("check", bench, *STAGE, "--format", form, path=tiny)
    assert "Prüfstand 漢" in done.stdout.decode("utf-8")
    assert done.stdout.endswith(b"\n")
    assert (done.returncode, done.stderr) == (1, b"")


@pytest.mark.parametrize(
    ("environment", "terminal", "painted"),
    [
        ({}, True, True),
        ({}, False, False),
        ({"NO_COLOR": "1"}, True, False),
        ({"NO_COLOR": "false"}, True, False),  # whatever it says, as no-color.org has it
        ({"NO_COLOR": ""}, True, True),  # empty is not set
        ({"TERM": "dumb"}, True, False),
    ],
)
def test_colour_only_on_a_terminal(
    run: Run,
    tiny: Path,
    bench: str,
    monkeypatch: pytest.MonkeyPatch,
    environment: dict[str, str],
    terminal: bool,
    painted: bool,
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: terminal)
    done = run("check", bench, *STAGE, path=tiny)
    assert (b"\x1b[31mFALLS SHORT\x1b[0m  support S2" in done.stdout) == painted
    assert (b"\x1b" in done.stdout) == painted


def test_the_commands_that_are_proposed_use_the_same_packs(run: Run, tmp_path: Path) -> None:
    assert run("pack", "new", "--kind", "yaml", "county").returncode == 0
    (tmp_path / "a floor.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    (tmp_path / "own.yaml").write_text("format: 1\n")
    options = ("--pack", "county", "--config", "own.yaml", "--hold-point", "under-floor")
    text = run("check", "a floor.site.yaml", *options).stdout.decode().replace("\\\n", "")
    command = next(line for line in text.splitlines() if line.startswith("  inspect-core measure"))
    words = shlex.split(command)
    assert sorted(words[3:-2]) == sorted(options) and words[-2:] == ["--most", "10"]
    done = run(*words[1:])
    assert done.returncode == 0 and b"What to measure next" in done.stdout


def test_a_file_whose_name_looks_like_an_option_is_proposed_by_its_path(run: Run, tmp_path: Path) -> None:
    (tmp_path / "-x.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    text = run("check", "./-x.site.yaml").stdout.decode()
    words = shlex.split(next(line for line in text.splitlines() if line.startswith("  inspect-core measure")))
    assert words[2] == "./-x.site.yaml"
    assert run(*words[1:]).returncode == 0


# --- measure ---


def test_measure(run: Run, tiny: Path, bench: str) -> None:
    done = run("measure", bench, *STAGE, path=tiny)
    assert (done.returncode, done.stderr) == (0, b"")
    found = json.loads(run("measure", bench, *STAGE, "--format", "json", path=tiny).stdout)
    assert list(found) == ["format", "measure"]
    at, width = (schema()["$defs"]["support"]["properties"][name] for name in ("at", "width"))
    common = {"area": "a", "settles": 1, "helps": 0, "hold_points": ["tiny-stage"]}
    wanted = [
        {"field": "support.at", "what": at["description"], **at["measure"], "subjects": ["support S2"], **common},
        {
            "field": "support.width",
            "what": width["description"],
            **width["measure"],
            "subjects": ["support S3"],
            **common,
        },
    ]
    assert found["measure"] == wanted
    assert {frozenset(one) for one in found["measure"]} == {
        frozenset(("field", "area", "what", "how", "tool", "settles", "helps", "subjects", "hold_points"))
    }
    assert lines(done)[:3] == ["What to measure next: Command bench", "", "1. support.at (settles 1)"]
    one = json.loads(run("measure", bench, *STAGE, "--most", "1", "--format", "json", path=tiny).stdout)
    assert one["measure"] == wanted[:1]
    assert lines(run("measure", bench, *STAGE, "--most", "1", path=tiny)) == lines(done)[: lines(done).index("", 2)]


def test_measure_when_nothing_is_left(run: Run, tiny: Path, bench: str, tmp_path: Path) -> None:
    text = (tmp_path / bench).read_text()
    (tmp_path / bench).write_text(text.replace("unknown", "5").replace("{id: S2,", "{id: S2, at: 9,"))
    done = run("measure", bench, *STAGE, path=tiny)
    assert (done.returncode, lines(done)) == (
        0,
        ["What to measure next: Command bench", "Nothing: every rule has what it needs."],
    )


# --- explain ---


def test_explain_a_strangers_rule(run: Run, tiny: Path) -> None:
    done = run("explain", "tiny-support", path=tiny)
    assert (done.returncode, done.stderr) == (0, b"")
    width = schema()["$defs"]["support"]["properties"]["width"]
    printed = " ".join(done.stdout.decode().split())
    assert printed == " ".join(
        (
            "tiny-support: Each support is wide enough.",
            "Pack tiny-pack, hold point tiny-stage, severity correction",
            "Binds existing, altered, new work",
            "Limit tiny-width: Least width",
            "4 in Set by tiny-pack. Source: invented (computed)",
            "Reference tiny.x: Tiny Code 1",
            "Remedy: Widen it.",
            f"Measure support.width: {width['description']}",
            f"How: {width['measure']['how']} Tool: {width['measure']['tool']}.",
        )
    )
    metric = " ".join(run("explain", "tiny-support", "--units", "mm", path=tiny).stdout.decode().split())
    assert metric == printed.replace("4 in Set by", "101.6 mm Set by")
    data = json.loads(run("explain", "tiny-support", "--format", "json", path=tiny).stdout)
    assert {key: data[key] for key in ("rule", "pack", "checks", "hold_point", "severity", "reference")} == {
        "rule": "tiny-support",
        "pack": "tiny-pack",
        "checks": "Each support is wide enough.",
        "hold_point": "tiny-stage",
        "severity": "correction",
        "reference": {"key": "tiny.x", "text": "Tiny Code 1", "adopted": True},
    }


@pytest.mark.parametrize(
    ("name", "hint"),
    [("tiny-advic", "did you mean tiny-advice?"), ("qqqq", "inspect-core explain lists all")],
)
def test_explain_an_unknown_rule(run: Run, tiny: Path, name: str, hint: str) -> None:
    done = run("explain", name, "--pack", "tiny-pack", path=tiny)
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().endswith(f"\nError: no rule '{name}'; {hint}\n")


def test_explain_lists_every_rule_once(run: Run, tiny: Path) -> None:
    listed = json.loads(run("explain", "--pack", "tiny-pack", "--format", "json", path=tiny).stdout)
    names = [one["rule"] for one in listed]
    assert len(names) == len(set(names))
    assert [name for name in names if name.startswith("tiny")] == ["tiny-support", "tiny-advice"]
    text = run("explain", "--pack", "tiny-pack", path=tiny).stdout.decode()
    assert [name for name in names if f"  {name}: " not in text] == []
    assert [line for line in text.split("\n") if len(line) > 80] == []


# --- start and schema ---


@pytest.mark.parametrize("units", ["in", "mm"])
def test_start_writes_a_file_that_checks(run: Run, tmp_path: Path, units: str) -> None:
    printed = run("start", "--units", units)
    assert (printed.returncode, printed.stdout.decode("utf-8")) == (0, starter(units))
    written = run("start", "floor.site.yaml", "--units", units)
    told = b"wrote floor.site.yaml; fill it in, then: inspect-core check floor.site.yaml\n"
    assert (written.returncode, written.stdout) == (0, told)
    assert (tmp_path / "floor.site.yaml").read_text("utf-8") == starter(units)
    done = run("check", "floor.site.yaml", "--format", "json")
    assert (done.returncode, done.stderr) == (1, b"")  # nothing is measured yet
    assert json.loads(done.stdout)["summary"]["not-measured"] > 0


def test_start_never_overwrites(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.site.yaml").write_text("precious")
    done = run("start", "mine.site.yaml")
    assert (done.returncode, done.stdout) == (2, b"")
    assert "mine.site.yaml is there already; name another file" in done.stderr.decode()
    assert (tmp_path / "mine.site.yaml").read_text() == "precious"


def test_start_where_nothing_can_be_written(run: Run) -> None:
    done = run("start", "no-such-folder/x.site.yaml")
    assert (done.returncode, done.stdout) == (2, b"")
    assert "no-such-folder/x.site.yaml can't be written: No such file or directory" in done.stderr.decode()


def test_schema(run: Run) -> None:
    done = run("schema")
    assert (done.returncode, done.stderr, done.stdout.decode("utf-8")) == (0, b"", schema_text())
    Draft202012Validator.check_schema(json.loads(done.stdout))


# --- the command itself ---


def test_help_names_every_severity_and_exit_code(run: Run) -> None:
    text = " ".join(run("check", "--help").stdout.decode().split())
    assert [severity for severity in SEVERITIES if severity not in text] == []
    assert (
        "Exit codes: 0 nothing open at or above the severity; 1 something falls short or is not measured; "
        "2 the input can't be used; 3 a pack or a rule failed." in text
    )


@pytest.mark.parametrize("command", ["check", "measure", "explain", "start", "schema", ""])
def test_help_fits_a_terminal(run: Run, command: str) -> None:
    done = run(*filter(None, (command, "--help")))
    assert done.returncode == 0
    assert [line for line in lines(done) if len(line) > 80] == []


def test_module_and_console_script_are_one(process: Run) -> None:
    script = Path(sys.executable).with_name("inspect-core")
    done = subprocess.run([script, "--version"], capture_output=True, timeout=60)
    told = f"inspect-core, version {inspect_core.__version__}\n".encode()
    assert (done.returncode, done.stdout) == (0, told)
    assert process("--version").stdout == told
