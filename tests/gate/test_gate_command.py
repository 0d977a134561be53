"""The command: what it prints and how it exits; one bad site never hides the others; the same bytes however it ran."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from inspect_core.cli import gate_plan
from inspect_core.cli.gate_output import with_progress
from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.engine.portfolio.running import CannotStart
from inspect_core.site.problems import columns

Run = Callable[..., subprocess.CompletedProcess[bytes]]
Lines = Callable[[bytes], dict[str, Any]]

MIXED: dict[str, Any] = {
    "a": {"name": "Good", "bearing": "3"},
    "b": {"name": "Short", "bearing": "1"},
    "c": "format: 1\nunits: [",
    "d__e": {"name": "A rule raises here"},
}


def test_text_has_a_line_for_each_site_and_a_summary(gate: Run, sites: Callable[..., Path], tricky: Path) -> None:
    sites(a={"name": "Good"}, b={"name": "Short", "bearing": "1"})
    done = gate("floors", "--unmeasured", "allow", "--hold-point", "under-floor", "--fail-on", "correction")
    text = done.stdout.decode("utf-8")
    assert done.returncode == 1
    assert [line.split(":")[0] for line in text.splitlines()[:1]] == ["CLEAR  floors/a.site.yaml"]
    assert "HELD  floors/b.site.yaml: 1 open (1 falls short); " in text
    assert "2 sites: 1 clear, 1 held." in text
    assert "Hold point under-floor: 1 open in 1 site." in text
    assert "not measured" in text  # never quietly a pass
    assert max(map(columns, text.splitlines())) <= 80


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ((), 1),  # much of a small floor isn't measured
        (("--unmeasured", "allow"), 1),
        (("--unmeasured", "allow", "--hold-point", "tile"), 0),
        (("--unmeasured", "allow", "--hold-point", "tile", "--hold-point", "under-floor"), 1),
        (("--unmeasured", "allow", "--fail-on", "stop-work"), 0),
    ],
)
def test_exit_code_by_what_counts(gate: Run, sites: Callable[..., Path], options: tuple[str, ...], code: int) -> None:
    sites(b={"name": "Short", "bearing": "1"})
    assert gate("floors", *options).returncode == code


def test_json_lines_hold_the_document_of_a_check(gate: Run, sites: Callable[..., Path], lines: Lines) -> None:
    sites(b={"name": "Short", "bearing": "1"})
    (line,) = lines(gate("floors", "--format", "json-lines").stdout).values()
    single = json.loads(gate("floors/b.site.yaml", "--format", "json", command="check").stdout)
    ours = line["document"]
    assert line["exit_code"] == 1
    assert line["open"] == sum(one["blocks"] for one in ours["findings"]) > 0
    assert len({one["fingerprint"] for one in ours["findings"]}) == len(ours["findings"])
    for finding in ours["findings"]:
        del finding["blocks"], finding["fingerprint"]
    assert ours == single


def test_a_bad_site_hides_no_other(process: Run, sites: Callable[..., Path], lines: Lines, tricky: Path) -> None:
    sites(**MIXED, f={"name": "This one dies"}, g={"name": "Talks a lot"}, h={"name": "Last"})
    done = process("floors", "--format", "json-lines", "--pack", "tricky-pack", "--jobs", "2", path=tricky)
    found = lines(done.stdout)
    assert {name.removesuffix(".site.yaml"): one["exit_code"] for name, one in found.items()} == {
        "a": 1, "b": 1, "c": 2, "d/e": 3, "f": 3, "g": 1, "h": 1,
    }  # fmt: skip
    assert done.returncode == 3
    (problem,) = found["c.site.yaml"]["problems"]
    assert (problem["file"], problem["line"]) == ("floors/c.site.yaml", 2)
    assert problem["message"].startswith("floors/c.site.yaml:2:")
    assert "this name is tricky" in found["d/e.site.yaml"]["failures"][0]
    assert found["d/e.site.yaml"]["document"]["findings"]  # the other rules did run
    assert "killed by SIGKILL" in found["f.site.yaml"]["failures"][0]
    assert b"talks" not in done.stdout.replace(b"Talks", b"")


def test_the_worst_exit_code_wins(gate: Run, sites: Callable[..., Path]) -> None:
    sites(a={"name": "Good"}, c="format: 1\nunits: [")
    assert gate("floors").returncode == 2
    assert gate("floors/a.site.yaml", "--unmeasured", "allow").returncode == 0


def test_the_same_bytes_with_any_number_of_jobs_and_shards(
    gate: Run, sites: Callable[..., Path], tmp_path: Path
) -> None:
    sites(**MIXED, f={"name": "Five", "bearing": "2"})
    one = gate("floors", "--format", "json-lines", "-o", "one.jsonl")
    gate("floors", "--format", "json-lines", "-o", "two.jsonl", "--jobs", "2")
    whole = (tmp_path / "one.jsonl").read_bytes()
    assert whole == (tmp_path / "two.jsonl").read_bytes()
    shards = ["shard-1.jsonl", "shard-2.jsonl"]
    codes = [
        gate("floors", "--shard", f"{number}/2", "--format", "json-lines", "-o", f"shard-{number}.jsonl").returncode
        for number in (1, 2)
    ]
    merged = gate("--merge", *reversed(shards), "--format", "json-lines")
    assert merged.stdout == whole
    assert merged.returncode == one.returncode == max(codes) == 2
    assert gate("--merge", *shards).stdout == gate("floors").stdout


def test_several_formats_at_once(gate: Run, sites: Callable[..., Path], tmp_path: Path) -> None:
    sites(a={"name": "Good"}, b={"name": "Short"})
    done = gate("floors", "--also", "json-lines=all.jsonl", "--also", "text=all.txt")
    assert (tmp_path / "all.txt").read_bytes() == done.stdout == gate("floors").stdout
    assert (tmp_path / "all.jsonl").read_bytes() == gate("floors", "--format", "json-lines").stdout


def test_every_format_runs(gate: Run, sites: Callable[..., Path], tmp_path: Path) -> None:
    from inspect_core.report.gate import FORMATS

    sites(b=MIXED["b"], c=MIXED["c"])
    more = [name for name in FORMATS if name != "text"]
    done = gate("floors", *(word for name in more for word in ("--also", f"{name}={name}.out")))
    assert done.returncode == 2
    for name in more:
        assert gate("floors", "--format", name).stdout == (tmp_path / f"{name}.out").read_bytes() != b""


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("nowhere",), b"no such file or folder"),
        (("floors", "nowhere"), b"no such file or folder"),
        (("floors", "--format", "xml"), b"no format 'xml'"),
        (("floors", "--also", "text"), b"--also sarif=gate.sarif"),
        (("floors", "-o", "x", "--also", "text=x"), b"same file"),
        (("floors", "--shard", "0/3"), b"is no shard"),
        (("floors", "--shard", "4/3"), b"is no shard"),
        (("floors", "--jobs", "many"), b"nor auto"),
        (("floors", "--today", "tomorrow"), b"is no date"),
        (("floors", "--hold-point", "roof"), b"no hold point 'roof'"),
        (("floors", "--only-new"), b"needs a --baseline"),
        (("floors", "--baseline", "floors/a.site.yaml"), b"no line of inspect-core gate"),
        (("floors", "--baseline", "nowhere"), b"can't be read"),
        (("floors", "--merge"), b"can't be read"),
        (("floors", "--merge", "--shard", "1/2"), b"for the runs"),
        (("floors", "--changed-since", "HEAD"), b"not in a git repository"),
        (("floors", "--variances", "nowhere"), b"there is no such file"),
        (("floors", "--config", "nowhere"), b"there is no such file"),
        (("floors", "--pack", "./nowhere"), b"there is no such file"),
        (("floors", "-o", "nowhere/x"), b"can't be written"),
    ],
)
def test_what_cannot_be_used_is_told(
    gate: Run, sites: Callable[..., Path], arguments: tuple[str, ...], says: bytes
) -> None:
    sites(a={"name": "Good"})
    done = gate(*arguments)
    assert done.returncode == 2
    assert says in done.stderr.replace(b"\n", b" ")
    assert done.stdout == b""


def test_a_shard_without_sites_is_no_error(gate: Run, sites: Callable[..., Path]) -> None:
    sites(a={"name": "Good"})
    done = gate("floors", "--shard", "3/3")
    assert done.returncode == 0
    assert b"0 sites." in done.stdout


def test_a_faulty_configuration_is_told_by_each_site_below_it(
    gate: Run, sites: Callable[..., Path], lines: Lines
) -> None:
    folder = sites(a={"name": "Good"}, w__b={"name": "Other"}, w__c={"name": "Third"})
    (folder / "w/inspect-core.yaml").write_text("format: 1\npakcs: []\n", "utf-8")
    done = gate("floors", "--format", "json-lines")
    found = lines(done.stdout)
    assert [one["exit_code"] for one in found.values()] == [1, 2, 2]
    assert found["w/b.site.yaml"]["problems"][0]["file"] == "floors/w/inspect-core.yaml"
    text = gate("floors").stdout.decode("utf-8")
    assert text.count("expected:") == 1  # said in full once
    assert "as above" in text


def test_an_output_is_whole_or_what_it_was(
    gate: Run, sites: Callable[..., Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from inspect_core.report import gate as formats

    sites(a={"name": "Good"})
    (tmp_path / "out.txt").write_text("earlier", "utf-8")

    def broken(results: Any, view: Any) -> Any:
        yield "half"
        raise KeyboardInterrupt

    monkeypatch.setitem(formats.FORMATS, "text", broken)
    assert gate("floors", "-o", "out.txt").returncode == 130
    assert (tmp_path / "out.txt").read_text("utf-8") == "earlier"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["floors", "out.txt"]


def test_an_output_may_be_a_link_or_a_device(gate: Run, sites: Callable[..., Path], tmp_path: Path) -> None:
    sites(a={"name": "Good"})
    (tmp_path / "real.txt").write_text("earlier", "utf-8")
    (tmp_path / "link.txt").symlink_to("real.txt")
    assert gate("floors", "-o", "link.txt", "--also", "text=/dev/null").returncode == 1
    assert (tmp_path / "link.txt").is_symlink()
    assert "1 site" in (tmp_path / "real.txt").read_text("utf-8")
    assert not Path("/dev/null").is_file()


def test_names_in_the_output_start_from_the_root(gate: Run, sites: Callable[..., Path], lines: Lines) -> None:
    sites(w__a={"name": "Good"})
    done = gate("floors", "--root", "floors/w", "--format", "json-lines")
    (line,) = lines(done.stdout).values()
    assert line["file"] == line["document"]["site"]["file"] == "a.site.yaml"
    assert {one["location"]["file"] for one in line["document"]["findings"]} == {"a.site.yaml"}


class Terminal(io.StringIO):
    """What looks like a terminal and keeps what is written."""

    def isatty(self) -> bool:
        return True


def test_a_progress_bar_on_a_terminal_only(monkeypatch: pytest.MonkeyPatch) -> None:
    results = [SiteResult(f"{number}.site.yaml", None, (), (), 0, 0) for number in range(3)]
    assert list(with_progress(results, 3, to_stdout=False)) == results  # standard error is no terminal here
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    assert list(with_progress(results, 3, to_stdout=False)) == results
    assert "100%" in terminal.getvalue()


def test_processes_that_cannot_start_are_our_failure(
    gate: Run, sites: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    def none_starts(*_: object) -> Iterator[SiteResult]:
        raise CannotStart("a worker process ended before it began")
        yield

    sites(a={"name": "Good"})
    monkeypatch.setattr(gate_plan, "run", none_starts)
    done = gate("floors", "--jobs", "auto")
    assert (done.returncode, done.stderr) == (3, b"a worker process ended before it began\n")
