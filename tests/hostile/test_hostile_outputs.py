"""Where outputs go: a disk that is full, files that may not be written, links, devices, a run that is interrupted.
What was there before stays whole, nothing is left beside it, and the exit code does not say that floors were checked."""

from __future__ import annotations

import os
import resource
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click
import pytest

from inspect_core.cli import main
from inspect_core.cli.output import whole_file, write_whole

SITE = """\
format: 1
units: in
site: {name: Hall, invented: true, work: new}
areas:
  - id: hall
    use: hall
    outline: 48 in x 96 in
    joists_run: north-south
    supports: [{id: S1, line: sill, at: -5, width: 5}, {id: B1, line: beam, at: 96, width: 5}]
    joists: [{name: J, from: S1, to: B1, at: every 16 from 0 to 48, each: {size: 2x8, bearing: {S1: 1, B1: 3}}}]
"""
COMMANDS = {
    "draw": ("draw", "a.site.yaml", "-o", "out"),
    "packet": ("packet", "a.site.yaml", "-o", "out"),
    "sequence": ("sequence", "a.site.yaml", "-o", "out"),
    "takeoff": ("takeoff", "a.site.yaml", "-o", "out"),
    "gate": ("gate", "a.site.yaml", "--jobs", "1", "--format", "json-lines", "-o", "out"),
    "gate, also": ("gate", "a.site.yaml", "--jobs", "1", "-o", "text", "--also", "sarif=out"),
}


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a site file, where the command is started."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.site.yaml").write_text(SITE, "utf-8")
    return tmp_path


@contextmanager
def small_disk(size: int) -> Iterator[None]:
    """No file may grow beyond so many bytes: the system refuses to write more, as it does on a full disk.

    No bytecode is written meanwhile: Python would keep a module's cache cut off, and later imports of it would fail.
    """
    before, cached = resource.getrlimit(resource.RLIMIT_FSIZE), sys.dont_write_bytecode
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    sys.dont_write_bytecode = True
    try:
        yield
    finally:
        sys.dont_write_bytecode = cached
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def exit_code(*arguments: str) -> int:
    with pytest.raises(SystemExit) as stop:
        main(list(arguments))
    assert isinstance(stop.value.code, int)
    return stop.value.code


# --- a full disk ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("arguments", COMMANDS.values(), ids=COMMANDS)
@pytest.mark.parametrize("before", [None, "what was there"])
def test_a_full_disk_leaves_what_was_there(
    here: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], before: str | None
) -> None:
    out = here / "out"
    if before is not None:
        out.write_text(before, "utf-8")
    names = sorted(file.name for file in here.iterdir())
    with small_disk(200):
        assert exit_code(*arguments) == 2
    assert "can't be written: File too large" in capsys.readouterr().err
    assert sorted(file.name for file in here.iterdir()) == names
    assert before is None or out.read_text("utf-8") == before


def test_start_writes_its_file_whole_or_not_at_all(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with small_disk(200):
        assert exit_code("start", "new.site.yaml") == 2
    assert not (here / "new.site.yaml").exists()
    assert exit_code("start", "new.site.yaml") == 0
    assert exit_code("start", "new.site.yaml") == 2
    (here / "dangling.site.yaml").symlink_to("nowhere")
    assert exit_code("start", "dangling.site.yaml") == 2
    assert not (here / "nowhere").exists()
    capsys.readouterr()


@pytest.mark.parametrize(
    "arguments",
    [("pack", "new", "--kind", "yaml", "new"), ("pack", "new", "--kind", "python", "new"), ("gate", "--init", "new")],
)
def test_a_folder_is_written_whole_or_not_at_all(
    here: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    with small_disk(200):
        assert exit_code(*arguments) == 2
    assert "new can't be written: File too large" in capsys.readouterr().err
    assert [file.name for file in here.iterdir()] == ["a.site.yaml"]
    assert exit_code(*arguments) == 0


def test_a_repository_begun_in_a_folder_that_exists_leaves_what_was_there(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (here / ".github").write_text("a file where a folder has to be", "utf-8")
    (here / "sites").mkdir()
    before = sorted(here.rglob("*"))
    assert exit_code("gate", "--init", ".") == 2
    assert "can't be written: Not a directory" in capsys.readouterr().err
    assert sorted(here.rglob("*")) == before


def test_standard_output_on_a_full_disk(here: Path, process: Callable[..., subprocess.CompletedProcess[bytes]]) -> None:
    with open("/dev/full", "wb") as full:  # noqa: PTH123
        done = process("check", "a.site.yaml", stdout=full)
    assert done.returncode == 2
    assert b"No space left on device" in done.stderr
    assert b"Traceback" not in done.stderr
    assert b"Exception ignored" not in done.stderr


def test_a_writer_that_fails_half_way(tmp_path: Path) -> None:
    def parts() -> Iterator[str]:
        yield "half"
        raise KeyboardInterrupt

    out = tmp_path / "out"
    out.write_text("before", "utf-8")
    with pytest.raises(KeyboardInterrupt):
        write_whole(out, parts())
    assert [(file.name, file.read_text("utf-8")) for file in tmp_path.iterdir()] == [("out", "before")]


# --- what may not be written ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name",
    ["nowhere/out", "a.site.yaml/out", ".", "/proc/out", "x" * 300, "loop", "folder"],
    ids=lambda name: name[:12],
)
def test_it_says_where_it_can_not_write(here: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    (here / "loop").symlink_to("loop")
    (here / "folder").mkdir()
    names = sorted(file.name for file in here.iterdir())
    assert exit_code("draw", "a.site.yaml", "-o", name) == 2
    printed = capsys.readouterr()
    assert "can't be written" in printed.err
    assert "Traceback" not in printed.err
    assert sorted(file.name for file in here.iterdir()) == names


def test_a_file_that_is_protected_is_not_replaced_behind_its_owners_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    out.write_text("before", "utf-8")
    out.chmod(0o400)
    monkeypatch.setattr(os, "access", lambda path, mode: bool(Path(path).stat().st_mode & stat.S_IWUSR))  # root may all
    with pytest.raises(click.UsageError, match="Permission denied"):
        write_whole(out, ["after"])
    out.chmod(0o640)
    write_whole(out, ["after"])
    assert (out.read_text("utf-8"), stat.S_IMODE(out.stat().st_mode)) == ("after", 0o640)


def test_a_new_file_has_the_rights_that_its_user_gives(tmp_path: Path) -> None:
    mask = os.umask(0o027)
    try:
        write_whole(tmp_path / "out", ["x"])
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == 0o640


# --- links, devices, pipes --------------------------------------------------------------------------------------------


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real/out")
    for text in ("first", "second"):
        write_whole(tmp_path / "link", [text])
        assert (tmp_path / "link").is_symlink()
        assert (tmp_path / "real" / "out").read_text("utf-8") == text
    assert [file.name for file in (tmp_path / "real").iterdir()] == ["out"]


def test_nothing_is_written_where_somebody_laid_a_link_for_the_temporary_file(tmp_path: Path) -> None:
    with whole_file(tmp_path / "out") as write:
        write("x")
        (temporary,) = tmp_path.iterdir()
        assert stat.S_IMODE(temporary.stat().st_mode) == 0o600
        first = temporary.name
    with whole_file(tmp_path / "out") as write:
        write("x")
        assert first not in [file.name for file in tmp_path.iterdir()]  # its name can't be guessed


@pytest.mark.parametrize("arguments", [COMMANDS["draw"], COMMANDS["gate"]], ids=["draw", "gate"])
def test_what_is_no_file_is_written_to_and_never_replaced(
    here: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]
) -> None:
    """A pipe with a name stands for every device: a root that replaced /dev/null would break its machine."""
    os.mkfifo(here / "out")
    found: list[bytes] = []
    reader = threading.Thread(target=lambda: found.append((here / "out").read_bytes()), daemon=True)
    reader.start()
    assert exit_code(*arguments) in (0, 1)
    reader.join(30)
    assert stat.S_ISFIFO((here / "out").stat().st_mode)
    assert found[0].rstrip().endswith((b"</svg>", b"}"))
    capsys.readouterr()


def test_a_pipe_gets_what_is_written(here: Path, process: Callable[..., subprocess.CompletedProcess[bytes]]) -> None:
    done = process("draw", "a.site.yaml", "-o", "/dev/stdout")
    assert done.returncode == 0
    assert done.stdout.startswith(b"<svg")
    assert done.stdout.rstrip().endswith(b"</svg>")


# --- a gate that is stopped -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_a_gate_that_is_killed_leaves_earlier_outputs_whole(here: Path, how: signal.Signals) -> None:
    (here / "floors").mkdir()
    for number in range(400):
        (here / "floors" / f"{number}.site.yaml").write_text(SITE, "utf-8")
    (here / "all.jsonl").write_text("earlier", "utf-8")
    running = subprocess.Popen(
        [sys.executable, "-m", "inspect_core", "gate", "floors", "--jobs", "1", "--also", "json-lines=all.jsonl"],
        cwd=here,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert running.stdout is not None
    assert running.stdout.readline().startswith(b"HELD  floors/0.site.yaml")
    running.send_signal(how)
    running.communicate(timeout=60)
    assert running.returncode == -how
    assert (here / "all.jsonl").read_text("utf-8") == "earlier"
    left = [file for file in here.iterdir() if file.name not in ("a.site.yaml", "floors", "all.jsonl")]
    assert all(file.name.startswith(".inspect-core-") for file in left)  # nobody can tidy up after a kill
    assert len(left) <= 1
