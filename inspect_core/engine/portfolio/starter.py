"""A repository to begin with: a starter site, the firm's settings, and the gate in a hook and in two build servers."""

from __future__ import annotations

from contextlib import suppress
from importlib.resources import files
from pathlib import Path

import inspect_core
from inspect_core.site.starter import starter

STARTER_FILES = {
    "README.md": "README.md",
    "inspect-core.yaml": "inspect-core.yaml",
    "variances.yaml": "variances.yaml",
    "requirements.txt": "requirements.txt",
    ".gitignore": "gitignore",
    ".pre-commit-config.yaml": "pre-commit-config.yaml",
    ".github/workflows/gate.yml": "github-gate.yml",
    ".gitlab-ci.yml": "gitlab-ci.yml",
}
"""Where each file goes, and its name here: without the dot, since some tools leave such files out of a package."""

SITE = "sites/my-floor.site.yaml"


def init_repository(folder: Path, units: str = "in") -> list[Path]:
    """Writes the starter into ``folder``, which may exist, and returns what was written.

    Nothing is written over and, where something is in the way, nothing is written at all: raises ``FileExistsError``
    with its name. ``OSError`` where the folder can't be written to; what was begun is then taken away again.
    """
    texts = {SITE: starter(units), **{target: _text(name) for target, name in STARTER_FILES.items()}}
    there = [name for name in texts if (folder / name).exists() or (folder / name).is_symlink()]
    if there:
        raise FileExistsError(f"{folder / there[0]} is there already; nothing was written")
    made: list[Path] = []
    try:
        for name, text in texts.items():
            path = folder / name
            for above in reversed([above for above in path.parents if not above.exists()]):
                above.mkdir()
                made.append(above)
            with path.open("x", encoding="utf-8", newline="\n") as out:
                made.append(path)
                out.write(text)
    except BaseException:
        for path in reversed(made):
            with suppress(OSError):
                path.rmdir() if path.is_dir() else path.unlink()
        raise
    return [folder / name for name in texts]


def _text(name: str) -> str:
    text = files("inspect_core.engine.portfolio").joinpath("starter_files", name).read_text("utf-8")
    return text.replace("@VERSION@", inspect_core.__version__)
