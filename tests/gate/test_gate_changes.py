"""Only what changed in git: real repositories, renames, deletions, what a site stands on."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.engine.portfolio import changes
from inspect_core.engine.portfolio.changes import CannotTell, changed_since, touched
from inspect_core.engine.portfolio.find import SiteFile, find_sites

Run = Callable[..., subprocess.CompletedProcess[bytes]]
Git = Callable[..., None]

FILES = {
    "inspect-core.yaml": "format: 1\npack_folders: [packs/here]\nvariances: granted.yaml\n",
    "packs/here/pack.yaml": "",
    "packs/other/pack.yaml": "",
    "granted.yaml": "",
    "a.site.yaml": "a",
    "w/b.site.yaml": "b",
    "w/c.site.yaml": "c",
    "x/inspect-core.yaml": "format: 1\n",
    "x/d.site.yaml": "d",
}


@pytest.fixture
def git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Git:
    """Runs git in a repository at `tmp_path`, with nobody's configuration."""
    monkeypatch.chdir(tmp_path)
    for name in ("GIT_CONFIG_GLOBAL", "GIT_CONFIG_SYSTEM"):
        monkeypatch.setenv(name, "/dev/null")
    for role in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{role}_NAME", "Somebody")
        monkeypatch.setenv(f"GIT_{role}_EMAIL", "somebody@example.org")

    def run(*arguments: str) -> None:
        subprocess.run(["git", *arguments], cwd=tmp_path, check=True, capture_output=True)

    run("init", "-q")
    return run


@pytest.fixture
def repository(git: Git, tmp_path: Path) -> Path:
    """A repository with four sites under two configurations, all committed."""
    for name, text in FILES.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text, "utf-8")
    git("add", "-A")
    git("commit", "-qm", "first")
    return tmp_path


ALL = ["a.site.yaml", "w/b.site.yaml", "w/c.site.yaml", "x/d.site.yaml"]


def concerned(root: Path, **options: object) -> list[str]:
    sites = find_sites(["."], root)
    return [site.file for site in touched(sites, changed_since("HEAD", root), **options)]  # type: ignore[arg-type]


def test_nothing_changed(repository: Path) -> None:
    assert concerned(repository) == []


@pytest.mark.parametrize(
    ("changed", "sites"),
    [
        ("w/b.site.yaml", ["w/b.site.yaml"]),
        ("readme", []),
        ("packs/other/pack.yaml", []),
        ("w/new.site.yaml", ["w/new.site.yaml"]),  # git doesn't know it yet
        ("inspect-core.yaml", ALL),  # also those below x, which would stand on it if theirs went
        ("packs/here/pack.yaml", ALL[:3]),
        ("packs/here/more.yaml", ALL[:3]),
        ("granted.yaml", ALL[:3]),
        ("x/inspect-core.yaml", ["x/d.site.yaml"]),
        ("w/inspect-core.yaml", ["w/b.site.yaml", "w/c.site.yaml"]),
    ],
)
def test_a_change_concerns_the_sites_that_stand_on_it(repository: Path, changed: str, sites: list[str]) -> None:
    with (repository / changed).open("a", encoding="utf-8") as out:
        out.write("# changed\n")
    assert concerned(repository) == sites


def test_a_configuration_that_was_taken_away(repository: Path) -> None:
    (repository / "x/inspect-core.yaml").unlink()
    assert concerned(repository) == ["x/d.site.yaml"]


def test_what_is_staged_or_committed_since(repository: Path, git: Git) -> None:
    (repository / "a.site.yaml").write_text("other", "utf-8")
    git("add", "-A")
    assert concerned(repository) == ["a.site.yaml"]
    git("commit", "-qm", "second")
    assert concerned(repository) == []
    sites = find_sites(["."], repository)
    assert [site.file for site in touched(sites, changed_since("HEAD~1", repository))] == ["a.site.yaml"]


def test_a_file_with_a_new_name(repository: Path, git: Git) -> None:
    git("mv", "w/b.site.yaml", "w/ö b\tz.site.yaml")
    assert concerned(repository) == ["w/ö b\tz.site.yaml"]
    assert changed_since("HEAD", repository).has("w/b.site.yaml")


def test_a_link_changes_with_what_it_leads_to(repository: Path, git: Git) -> None:
    (repository / "texts").mkdir()
    (repository / "texts/t.yaml").write_text("t", "utf-8")
    (repository / "l.site.yaml").symlink_to("texts/t.yaml")
    git("add", "-A")
    git("commit", "-qm", "second")
    (repository / "texts/t.yaml").write_text("other", "utf-8")
    assert concerned(repository) == ["l.site.yaml"]


def test_a_site_of_which_git_cannot_tell_is_checked(repository: Path, git: Git, tmp_path: Path) -> None:
    (repository / ".gitignore").write_text("ignored.site.yaml\n", "utf-8")
    git("add", "-A")
    git("commit", "-qm", "second")
    (repository / "ignored.site.yaml").write_text("", "utf-8")
    assert concerned(repository) == ["ignored.site.yaml"]
    elsewhere = [SiteFile("o.site.yaml", str(tmp_path.parent / "o.site.yaml"))]
    assert touched(elsewhere, changed_since("HEAD", repository)) == elsewhere


def test_named_packs_configuration_and_variances_concern_all(repository: Path) -> None:
    (repository / "packs/other/pack.yaml").write_text("# changed\n", "utf-8")
    assert concerned(repository, packs=("packs/other",)) == ALL
    assert concerned(repository, variances=Path("packs/other/pack.yaml")) == ALL
    config = repository / "packs/other/firm.yaml"
    config.write_text("format: 1\n", "utf-8")
    assert concerned(repository, config=config) == ALL


def test_an_installed_pack_concerns_all(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Here: this program itself, as if it lay in the repository."""
    (repository / "tool/engine/portfolio").mkdir(parents=True)
    (repository / "tool/engine/x.py").write_text("", "utf-8")
    assert concerned(repository) == []
    monkeypatch.setattr(changes, "__file__", str(repository / "tool/engine/portfolio/changes.py"))
    assert concerned(repository) == ALL


def test_a_faulty_configuration_concerns_its_sites(repository: Path, git: Git) -> None:
    (repository / "x/inspect-core.yaml").write_text("format: 2\n", "utf-8")
    git("commit", "-qam", "second")
    (repository / "readme").write_text("", "utf-8")
    assert concerned(repository) == ["x/d.site.yaml"]  # nobody knows what it stands on


@pytest.mark.parametrize("revision", ["--output=x", "-", "", "nowhere", "HEAD:a.site.yaml", "HEAD;ls", "HEAD\n--all"])
def test_revisions_that_are_none(repository: Path, revision: str) -> None:
    before = sorted(repository.iterdir())
    with pytest.raises(CannotTell, match="revision"):
        changed_since(revision, repository)
    assert sorted(repository.iterdir()) == before


def test_no_repository_and_no_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    with pytest.raises(CannotTell, match="not in a git repository"):
        changed_since("HEAD", tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(CannotTell, match="git is not installed"):
        changed_since("HEAD", tmp_path)


def test_nothing_that_a_repository_configures_is_run(repository: Path, git: Git) -> None:
    trap = repository / "trap.sh"
    trap.write_text("#!/bin/sh\ntouch sprung\n", "utf-8")
    trap.chmod(0o755)
    for key in ("core.fsmonitor", "diff.external"):
        git("config", key, str(trap))
    (repository / "a.site.yaml").write_text("other", "utf-8")
    assert "a.site.yaml" in concerned(repository)
    assert not (repository / "sprung").exists()


def test_the_gate_checks_what_changed_and_exits_0_for_nothing(
    git: Git, gate: Run, sites: Callable[..., Path], tmp_path: Path
) -> None:
    assert shutil.which("git")
    sites(a={"name": "Good"}, b={"name": "Short"})
    git("add", "-A")
    git("commit", "-qm", "first")
    done = gate("floors", "--changed-since", "HEAD")
    assert (done.returncode, b"0 sites." in done.stdout) == (0, True)
    assert b"0 of 2 sites" in done.stderr
    sites(b={"name": "Short", "bearing": "1"})
    done = gate("floors", "--changed-since", "HEAD", "--format", "json-lines")
    assert done.returncode == 1
    assert done.stdout.startswith(b'{"file":"floors/b.site.yaml"')
    assert done.stdout.count(b"\n") == 1
