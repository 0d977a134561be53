"""Which files a gate checks: folders, files, patterns; links, duplicates, what gives none."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_core.engine.portfolio.find import NothingFound, SiteFile, find_sites, relative, shard_of


@pytest.fixture
def tree(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Path]:
    """Empty files of these names below `tmp_path`, which becomes the folder one is in."""

    def make(*names: str) -> Path:
        for name in names:
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text("", "utf-8")
        monkeypatch.chdir(tmp_path)
        return tmp_path

    return make


def found(*paths: str, root: str = ".") -> list[str]:
    return [site.file for site in find_sites(paths, Path(root))]


def test_a_folder_gives_every_site_file_below_it_in_order(tree: Callable[..., Path]) -> None:
    tree("w/b.site.yaml", "w/a/z.site.yaml", "w/a.site.yaml", "w/readme.yaml", "w/a/site.yaml")
    assert found("w") == ["w/a.site.yaml", "w/a/z.site.yaml", "w/b.site.yaml"]


def test_folders_that_begin_with_a_dot_are_left_out_unless_named(tree: Callable[..., Path]) -> None:
    tree("a.site.yaml", ".git/b.site.yaml")
    assert found(".") == ["a.site.yaml"]
    assert found(".git") == [".git/b.site.yaml"]


def test_a_single_file_may_have_any_name(tree: Callable[..., Path]) -> None:
    tree("floor.yml")
    assert found("floor.yml") == ["floor.yml"]


@pytest.mark.parametrize(
    ("pattern", "files"),
    [
        ("w/*.site.yaml", ["w/a.site.yaml", "w/b.site.yaml"]),
        ("w/**/*.site.yaml", ["w/a.site.yaml", "w/b.site.yaml", "w/x/a.site.yaml", "w/x/y/c.site.yaml"]),
        ("**/a*", ["w/a.site.yaml", "w/x/a.site.yaml"]),
        ("w/[xz]", ["w/x/a.site.yaml", "w/x/y/c.site.yaml"]),  # a folder that fits gives what is in it
        ("w/[!a].site.yaml", ["w/b.site.yaml"]),
        ("?/x/?", ["w/x/y/c.site.yaml"]),
        ("w/x/**", ["w/x/a.site.yaml", "w/x/y/c.site.yaml"]),
    ],
)
def test_patterns(tree: Callable[..., Path], pattern: str, files: list[str]) -> None:
    tree("w/a.site.yaml", "w/b.site.yaml", "w/x/a.site.yaml", "w/x/y/c.site.yaml", "w/x/a.yaml")
    assert found(pattern) == files


def test_a_file_whose_name_looks_like_a_pattern_is_that_file(tree: Callable[..., Path]) -> None:
    tree("w/[a].site.yaml", "w/a.site.yaml")
    assert found("w/[a].site.yaml") == ["w/[a].site.yaml"]


@pytest.mark.parametrize(
    ("path", "says"),
    [("empty", "no *.site.yaml file in this folder"), ("*.nothing", "fits this pattern"), ("gone", "no such file")],
)
def test_a_path_that_gives_none_is_told(tree: Callable[..., Path], path: str, says: str) -> None:
    tree("a.site.yaml", "empty/readme")
    with pytest.raises(NothingFound, match=path.replace("*", r"\*")) as told:
        found("a.site.yaml", path)
    assert says in str(told.value)


def test_a_file_that_is_named_twice_counts_once(tree: Callable[..., Path]) -> None:
    tree("w/a.site.yaml", "w/b.site.yaml")
    assert found("w", "w/a.site.yaml", "w/../w/b.site.yaml", "w/*.site.yaml") == ["w/a.site.yaml", "w/b.site.yaml"]


def test_links(tree: Callable[..., Path]) -> None:
    """A link to a file is that file, by its own name; a link to a folder is not followed, so that no loop is walked."""
    root = tree("w/m.site.yaml", "other/o.site.yaml")
    (root / "w/a.site.yaml").symlink_to(root / "w/m.site.yaml")
    (root / "w/linked.site.yaml").symlink_to(root / "other/o.site.yaml")
    (root / "w/loop").symlink_to(root / "w")
    (root / "w/gone.site.yaml").symlink_to(root / "nowhere")
    assert found("w", "w/**") == ["w/gone.site.yaml", "w/linked.site.yaml", "w/m.site.yaml"]
    assert found("w", "other") == ["other/o.site.yaml", "w/gone.site.yaml", "w/m.site.yaml"]
    assert found("w/loop") == ["w/loop/gone.site.yaml", "w/loop/linked.site.yaml", "w/loop/m.site.yaml"]


def test_a_folder_that_cannot_be_read_is_not_passed_over(
    tree: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    root = tree("w/a.site.yaml", "w/x/b.site.yaml")
    scan = os.scandir

    def denied(path: str) -> object:
        if path == f"w{os.sep}x":
            raise PermissionError(13, "Permission denied", path)
        return scan(path)

    monkeypatch.setattr(os, "scandir", denied)
    assert found("w") == ["w/a.site.yaml", "w/x"]
    assert (root / "w/x").is_dir()  # the run tells that it is no file


def test_names_start_from_the_root(tree: Callable[..., Path]) -> None:
    root = tree("w/a.site.yaml")
    assert found("w", root="w") == ["a.site.yaml"]
    assert found(str(root / "w"), root=str(root)) == ["w/a.site.yaml"]
    (root / "elsewhere").mkdir()
    assert found("w", root="elsewhere") == ["../w/a.site.yaml"]
    assert relative(os.fsdecode(b"w/\xff.site.yaml"), root) == "w/?.site.yaml"


def test_shards_share_the_sites_out() -> None:
    sites = [SiteFile(f"{n:02}", f"{n:02}") for n in range(11)]
    shards = [shard_of(sites, number, 4) for number in range(1, 5)]
    assert sorted((site for shard in shards for site in shard), key=lambda site: site.file) == sites
    assert [len(shard) for shard in shards] == [3, 3, 3, 2]
    assert shard_of(sites, 12, 20) == []
