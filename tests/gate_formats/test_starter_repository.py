"""`gate --init`: what is written works as it stands. The steps of both build servers are run in a fresh git repository."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

import inspect_core
from inspect_core.cli import main
from inspect_core.cli.gate import gate
from inspect_core.engine.portfolio.starter import SITE, STARTER_FILES, init_repository

ROOT = Path(__file__).parents[2]
INSTALL = "pip install --requirement requirements.txt"


def environment(**more: str) -> dict[str, str]:
    """Ours, with the commands of this Python first and no git settings but its own."""
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    kept = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    person = {f"GIT_{who}_{what}": "x@example.invalid" for who in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL")}
    return {**kept, "PATH": path, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", **person, **more}


def run(command: str, folder: Path, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["bash", "-eo", "pipefail", "-c", command],
        cwd=folder,
        env=environment(**more),
        capture_output=True,
        text=True,
        timeout=120,
    )


@pytest.fixture(scope="module")
def repository(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh git repository with the starter committed."""
    folder = tmp_path_factory.mktemp("firm") / "floors"
    done = run(
        f"inspect-core gate --init '{folder}' && cd '{folder}' && git init -q && git add -A && git commit -qm start",
        ROOT,
    )
    assert done.returncode == 0, done.stderr
    return folder


def read(path: Path) -> Any:
    return yaml.safe_load(path.read_text("utf-8"))


def test_what_is_written(tmp_path: Path) -> None:
    written = init_repository(tmp_path / "new")
    assert {path.relative_to(tmp_path / "new").as_posix() for path in written} == {SITE, *STARTER_FILES}
    *said, pinned = (tmp_path / "new" / "requirements.txt").read_text("utf-8").splitlines()
    assert pinned == f"inspect-core=={inspect_core.__version__}"
    assert said and all(line.startswith("# ") and "@VERSION@" not in line for line in said)
    assert all("@" + "VERSION@" not in path.read_text("utf-8") for path in written)


@pytest.mark.parametrize("there", [SITE, ".gitlab-ci.yml", "README.md"])
def test_nothing_is_written_over(tmp_path: Path, there: str) -> None:
    (tmp_path / there).parent.mkdir(exist_ok=True)
    (tmp_path / there).write_text("mine", "utf-8")
    with pytest.raises(FileExistsError, match=f"{there} is there already; nothing was written"):
        init_repository(tmp_path)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == [tmp_path / there]
    assert (tmp_path / there).read_text("utf-8") == "mine"


def test_the_command_says_what_is_in_the_way(repository: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["gate", "--init", str(repository)])
    assert stopped.value.code == 2
    assert f"{SITE} is there already; nothing was written" in " ".join(capsys.readouterr().err.split())


def test_a_link_that_leads_nowhere_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "README.md").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileExistsError, match="nothing was written"):
        init_repository(tmp_path)


def test_everything_is_committed_and_nothing_that_a_run_writes(repository: Path) -> None:
    tracked = run("git ls-files", repository).stdout.split()
    assert set(tracked) == {SITE, *STARTER_FILES}
    run("touch gate.sarif gate.md gate.html gate-junit.xml gate-codequality.json", repository)
    assert run("git status --porcelain", repository).stdout == ""


def test_steps_of_one_build_server(repository: Path, tmp_path: Path) -> None:
    workflow = read(repository / ".github/workflows/gate.yml")
    (job,) = workflow["jobs"].values()
    install, gate, table = [step["run"] for step in job["steps"] if "run" in step]
    assert install == INSTALL  # is done: this Python has it
    done = run(gate, repository)
    assert done.returncode == 1, done.stderr  # what nobody has measured is never a pass
    assert done.stdout.startswith("::error file=sites/my-floor.site.yaml,line=")
    summary = tmp_path / "summary.md"
    assert run(table, repository, GITHUB_STEP_SUMMARY=str(summary)).returncode == 0
    assert summary.read_text("utf-8").startswith("## Gate: 0 of 1 sites clear\n")
    files = {
        value for step in job["steps"] for key, value in step.get("with", {}).items() if key in ("path", "sarif_file")
    }
    assert files == {"gate.html", "gate.sarif"}
    assert all((repository / name).stat().st_size > 1000 for name in files)
    after = [step for step in job["steps"] if step.get("if") == "always()"]
    assert len(after) == 3  # reports are kept though the gate holds
    assert workflow["on"] == ["push", "pull_request"]


def test_steps_of_the_other(repository: Path) -> None:
    job = read(repository / ".gitlab-ci.yml")["gate"]
    install, gate = job["script"]
    assert install == INSTALL
    done = run(gate, repository)
    assert done.returncode == 1, done.stderr
    assert "HELD  sites/my-floor.site.yaml" in done.stdout
    kept = [*job["artifacts"]["paths"], *job["artifacts"]["reports"].values()]
    assert (
        set(kept) == {"gate.html", "gate-junit.xml", "gate-codequality.json"} and job["artifacts"]["when"] == "always"
    )
    assert all((repository / name).stat().st_size > 1000 for name in kept)


def test_the_hook_stops_what_cannot_be_used(repository: Path, tmp_path: Path) -> None:
    """By pre-commit itself, without the network: the hook is the installed command."""
    home = {"PRE_COMMIT_HOME": str(tmp_path / "home")}
    passed = run("pre-commit run --all-files", repository, **home)
    assert passed.returncode == 0 and "Passed" in passed.stdout, passed.stdout + passed.stderr
    try:
        (repository / "sites/bad.site.yaml").write_text("format: 1\nunits: furlongs\n", "utf-8")
        stopped = run("git add sites && pre-commit run", repository, **home)
        assert stopped.returncode == 1 and "sites/bad.site.yaml" in stopped.stdout and "furlongs" in stopped.stdout
    finally:
        run("git rm -qf sites/bad.site.yaml", repository)


def test_our_own_hook_for_other_repositories(repository: Path) -> None:
    manifest = ROOT / ".pre-commit-hooks.yaml"
    done = run(f"pre-commit validate-manifest '{manifest}'", ROOT)
    assert done.returncode == 0, done.stdout + done.stderr
    (hook,) = read(manifest)
    (local,) = read(repository / ".pre-commit-config.yaml")["repos"][0]["hooks"]
    same = ("id", "name", "entry", "files", "require_serial")
    assert [hook[key] for key in same] == [local[key] for key in same]  # the local one was run above
    assert re.search(hook["files"], "sites/my-floor.site.yaml") and not re.search(hook["files"], "inspect-core.yaml")


def test_the_readme_names_files_and_options_that_exist(repository: Path) -> None:
    text = (repository / "README.md").read_text("utf-8")
    options = set(re.findall(r"--[a-z-]+", text)) - {"--requirement"}
    known = CliRunner().invoke(gate, ["--help"]).output
    assert options and all(f"{option} " in known or f"{option}\n" in known for option in options)
    hook = read(repository / ".pre-commit-config.yaml")["repos"][0]["hooks"][0]
    assert f"SKIP={hook['id']} " in text
