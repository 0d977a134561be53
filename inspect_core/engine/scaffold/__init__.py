"""New packs: folders that pass `pack test` at once."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from shutil import rmtree
from typing import Literal

from inspect_core.engine.loading import ID_PATTERN

PackKind = Literal["yaml", "python"]


def names_of(name: str) -> dict[str, str]:
    """Folder, id, module and title for a pack's name. Raises ``ValueError`` for one that can't be an id."""
    pack_id = "-".join(name.strip().lower().replace("_", " ").replace("-", " ").split())
    if not ID_PATTERN.fullmatch(pack_id) or "/" in name or "\\" in name or len(pack_id) > 60:
        raise ValueError(
            f"{name!r} can't be a pack's name: letters and digits, words joined by hyphens, a letter first"
        )
    return {
        "FOLDER": name,
        "ID": pack_id,
        "MODULE": pack_id.replace("-", "_"),
        "TITLE": pack_id.replace("-", " ").capitalize(),
    }


def scaffold(kind: PackKind, name: str, here: Path) -> Path:
    """Write a new pack into the folder ``here / name`` and return that folder.

    Raises ``ValueError`` for a name that can't be used, ``FileExistsError`` where the folder is there already,
    ``OSError`` where it can't be written; the folder is then taken away again.
    """
    words = names_of(name)
    folder = here / name
    folder.mkdir()
    try:
        for path, text in _filled(files(__name__).joinpath(kind), (), words):
            file = folder.joinpath(*path)
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, "utf-8")
    except BaseException:
        rmtree(folder, ignore_errors=True)
        raise
    return folder


def _filled(
    source: Traversable, above: tuple[str, ...], words: dict[str, str]
) -> Iterator[tuple[tuple[str, ...], str]]:
    for item in sorted(source.iterdir(), key=lambda entry: entry.name):
        if item.name == "__pycache__":
            continue
        name = words["MODULE"] if item.name == "module" else item.name.removesuffix(".txt")
        if item.is_dir():
            yield from _filled(item, (*above, name), words)
            continue
        text = item.read_text("utf-8")
        for key, value in words.items():
            text = text.replace(f"@{key}@", value)
        yield (*above, name), text
