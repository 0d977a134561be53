"""The contract of the exit codes: 0, 1, 2, 3, and 130 when interrupted; each once in a real process too."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.engine.choice import NOT_INSTALLED

Run = Callable[..., subprocess.CompletedProcess[bytes]]

SITE = """\
format: 1
units: in
site: {{name: Exit bench, invented: true}}
packs: [tiny-pack]
areas:
- id: a
  supports:
  - {{id: S1, at: 3, width: {width}}}
"""


def site(folder: Path, width: str = "5 1/2", **replaced: str) -> str:
    text = SITE.format(width=width)
    for old, new in replaced.items():
        assert f"{old}:" in text
        text = "\n".join(f"{old}: {new}" if line.startswith(f"{old}:") else line for line in text.split("\n"))
    (folder / "bench.site.yaml").write_text(text, "utf-8")
    return "bench.site.yaml"


@pytest.mark.parametrize(("width", "code"), [("4", 0), ("5 1/2", 0), ("3 15/16", 1), ("unknown", 1), ("~5", 1)])
def test_a_strangers_pack_decides_its_hold_point(run: Run, tiny: Path, tmp_path: Path, width: str, code: int) -> None:
    done = run("check", site(tmp_path, width), "--hold-point", "tiny-stage", "--format", "json", path=tiny)
    assert (done.returncode, done.stderr) == (code, b"")
    data = json.loads(done.stdout)
    assert data["hold_points"] == {"tiny-stage": {"released": code == 0, "open": code}}
    outcome = {"3 15/16": "falls-short", "unknown": "not-measured", "~5": "not-measured"}.get(width, "meets")
    assert sorted((f["rule"], f["subject"], f["outcome"]) for f in data["findings"]) == [
        ("tiny-advice", "support S1", "meets"),
        ("tiny-support", "support S1", outcome),
    ]
    assert ("tiny-pack", "3.2") in [(pack["id"], pack["version"]) for pack in data["packs"]]


def test_advice_counts_only_when_asked_for(run: Run, tiny: Path, tmp_path: Path) -> None:
    bench = site(tmp_path)
    (tmp_path / bench).write_text((tmp_path / bench).read_text().replace("at: 3", "at: unknown"))
    stage = ("--hold-point", "tiny-stage")
    assert run("check", bench, *stage, path=tiny).returncode == 0
    assert run("check", bench, *stage, "--severity", "advisory", path=tiny).returncode == 1


def test_in_a_real_process(process: Run, tiny: Path, tmp_path: Path) -> None:
    stage = ("--hold-point", "tiny-stage")
    codes = {
        "good": process("check", site(tmp_path), *stage, path=tiny).returncode,
        "short": process("check", site(tmp_path, "3"), *stage, path=tiny).returncode,
        "unusable": process("check", site(tmp_path, "-3"), *stage, path=tiny).returncode,
        "no such pack": process("check", site(tmp_path)).returncode,
    }
    assert codes == {"good": 0, "short": 1, "unusable": 2, "no such pack": 3}


# --- 2: the input can't be used ---

NO_FILE = {
    "missing": "there is no such file",
    "empty": "empty.site.yaml: there is nothing in this file",
    "binary": "this is not a text file",
    "enormous": "this file is too large: 50.0 MB",
    "folder": "this is a folder, not a file",
    "list": "list.site.yaml:1:1: the file should be a group of keys, not a list",
    "latin": "latin.site.yaml:3:17: this file is not UTF-8 text",
}


@pytest.mark.parametrize("name", NO_FILE)
def test_what_is_no_site_at_all(run: Run, tmp_path: Path, name: str) -> None:
    path = tmp_path / f"{name}.site.yaml"
    match name:
        case "empty":
            path.write_bytes(b"")
        case "binary":
            path.write_bytes(bytes(range(256)) * 20)
        case "enormous":
            with path.open("wb") as file:
                file.truncate(50_000_000)  # sparse: takes no room on the disk
        case "folder":
            path.mkdir()
        case "list":
            path.write_text("- format: 1\n- units: in\n")
        case "latin":
            path.write_bytes("format: 1\nunits: in\nsite: {name: café}\n".encode("latin-1"))
    done = run("check", path.name)
    complaint = done.stderr.decode()
    assert (done.returncode, done.stdout) == (2, b"")
    assert NO_FILE[name] in complaint
    assert complaint.endswith("1 problem; nothing was checked\n")


@pytest.mark.parametrize(
    ("replaced", "place"),
    [
        ({"units": "feet"}, "bench.site.yaml:2:8: 'feet' is not known as 'units'"),
        ({"units": "[in]"}, "bench.site.yaml:2:8: 'units' should be one word, not a list"),
        ({"format": "2"}, "bench.site.yaml:1:9: '2' is not known as 'format'"),
        ({"site": "just a name"}, "bench.site.yaml:3:7: 'site' should be a group of keys, not text"),
        ({"packs": "tiny-pack"}, "bench.site.yaml:4:8: 'packs' should be a list, not text"),
        ({"areas": "[]"}, "bench.site.yaml:5:8: 'areas' needs at least 1 entry"),
    ],
)
def test_wrong_values(run: Run, tmp_path: Path, replaced: dict[str, str], place: str) -> None:
    text = site(tmp_path, **replaced)
    if "areas" in replaced:
        (tmp_path / text).write_text((tmp_path / text).read_text().partition("- id")[0])
    done = run("check", text)
    assert (done.returncode, done.stdout) == (2, b"")
    assert place in " ".join(done.stderr.decode().split())


@pytest.mark.parametrize("width", ["-5 1/2", "1000 ft", "0.0001 .. 900 m", "5 stone", "1e400", '"5#"', "[5]", "2 .. 1"])
def test_sizes_that_cannot_be(run: Run, tmp_path: Path, width: str) -> None:
    done = run("check", site(tmp_path, width))
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.decode().startswith("bench.site.yaml:8:")
    assert done.stderr.decode().endswith("1 problem; nothing was checked\n")


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        ((), "Usage: "),
        (("chek",), "No such command 'chek'"),
        (("check",), "Missing argument 'SITE'"),
        (("check", "x", "y"), "unexpected extra argument (y)"),
        (("check", "x", "--format", "xml"), "'xml' is not one of"),
        (("check", "x", "--severity", "fatal"), "'fatal' is not one of stop-work, correction, advisory"),
        (("measure", "x", "--most", "0"), "0 is not in the range"),
        (("explain", "no-such-rule-at-all"), "no rule 'no-such-rule-at-all'"),
        (("start", "--units", "cm"), "'cm' is not one of"),
    ],
)
def test_wrong_use_of_the_command(run: Run, arguments: tuple[str, ...], complaint: str) -> None:
    done = run(*arguments)
    assert (done.returncode, done.stdout) == (2, b"")
    assert complaint in done.stderr.decode()


# --- 3: a pack or a rule failed ---


def test_a_pack_that_is_not_installed(run: Run, tmp_path: Path) -> None:
    done = run("check", site(tmp_path), "--format", "json")
    assert (done.returncode, done.stderr) == (3, b"")
    assert json.loads(done.stdout)["failures"] == [{"pack": "tiny-pack", "message": NOT_INSTALLED}]


BROKEN = """
from inspect_core.rules_api import *
{head}
@rule("tiny-rule", hold_point="final", severity=CORRECTION, reference="tiny.x", quantity="x", remedy="x")
def tiny_rule(area, limits):
    '''A requirement.'''
    {body}

@hookimpl
def inspect_pack():
    {hook}
    return Pack(id="broken-pack", version="1", title="", api=API_VERSION, rules=(tiny_rule,),
                references={{"tiny.x": Reference("tiny.x", "x")}})
"""


@pytest.mark.parametrize(
    ("parts", "message"),
    [
        ({"head": "import sys; sys.exit(0)"}, "could not be loaded: SystemExit: 0"),
        ({"hook": "exit(1)"}, "could not be loaded: SystemExit: 1"),
        ({"hook": "1 / 0"}, "could not be loaded: ZeroDivisionError: division by zero"),
        ({"body": "raise SystemExit(0)"}, "rule tiny-rule failed: SystemExit: 0 (line 7 of tiny_rule)"),
        ({"body": "return 3"}, "rule tiny-rule failed: TypeError: 'int' object is not iterable"),
    ],
)
def test_a_broken_pack(
    run: Run, installed: Callable[[str], Path], tmp_path: Path, parts: dict[str, str], message: str
) -> None:
    source = BROKEN.format(**{"head": "", "body": "return []", "hook": "pass", **parts})
    path = installed(source)
    (tmp_path / "x.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    done = run("check", "x.site.yaml", "--format", "json", path=path)
    assert (done.returncode, done.stderr) == (3, b"")
    (failure,) = json.loads(done.stdout)["failures"]
    assert failure["message"].startswith(message)
    for command in (("measure", "x.site.yaml"), ("explain",)):
        told = run(*command, path=path)
        if command == ("explain",) and "body" in parts:
            continue  # explaining runs no rule
        assert told.returncode == 3
        assert message in told.stderr.decode()


def test_a_pack_that_raises_what_nobody_catches(run: Run, installed: Callable[[str], Path], tmp_path: Path) -> None:
    body = "class Odd(BaseException): pass\n    raise Odd('odd')"
    path = installed(BROKEN.format(head="", body=body, hook="pass"))
    (tmp_path / "x.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    done = run("check", "x.site.yaml", path=path)
    assert (done.returncode, done.stdout) == (3, b"")
    assert "inspect-core itself failed; nothing above is a result. Please report this." in done.stderr.decode()


@pytest.mark.parametrize("command", ["draw", "sequence", "takeoff", "repair", "packet -o x.html"])
def test_every_command_tells_of_a_broken_pack(
    run: Run, installed: Callable[[str], Path], tmp_path: Path, command: str
) -> None:
    path = installed(BROKEN.format(head="", body="return []", hook="1 / 0"))
    (tmp_path / "x.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    name, *options = command.split()
    told = run(name, "x.site.yaml", *options, path=path)
    assert told.returncode == 3
    assert "could not be loaded: ZeroDivisionError" in told.stderr.decode()


def test_problems_that_are_left_out_are_counted(run: Run, tmp_path: Path) -> None:
    (tmp_path / "x.site.yaml").write_text("format: 1\nunits: in\n" + "".join(f"k{n}: 1\n" for n in range(250)))
    told = run("check", "x.site.yaml").stderr.decode().splitlines()
    assert told[-2:] == ["... and 52 more problems", "252 problems; nothing was checked"]


# --- the way out ---


def test_interrupted(tmp_path: Path, installed: Callable[[str], Path]) -> None:
    body = "import os, signal; os.kill(os.getpid(), signal.SIGINT); import time; time.sleep(30)"
    path = installed(BROKEN.format(head="", body=body, hook="pass"))
    (tmp_path / "x.site.yaml").write_text("format: 1\nunits: in\nsite: {name: x}\nareas: [{id: a}]\n")
    done = subprocess.run(
        [sys.executable, "-m", "inspect_core", "check", "x.site.yaml"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(path)},
        capture_output=True,
        timeout=60,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"\ninterrupted\n")


def test_nobody_reads_the_output(tmp_path: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "inspect_core", "schema"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()  # long before 177 kB are written
        complaint = process.stderr.read()
    assert (process.returncode, complaint) == (3, b"")
