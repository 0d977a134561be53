"""Which site files a run is about: folders, single files and patterns become one sorted list without duplicates.

Below a folder every ``*.site.yaml`` counts. Folders whose name begins with a dot are left out, and links to folders are
not followed, so that no loop and no way out of the tree is walked; name such a folder on its own to have it checked.
"""

from __future__ import annotations

import glob
import itertools
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

SUFFIX: Final = ".site.yaml"


class NothingFound(Exception):  # noqa: N818 - it names what happened
    """A path that was asked for gives no site file; the text says which and why."""


@dataclass(frozen=True, slots=True)
class SiteFile:
    """One file to check. ``file`` is its name in every output, relative to the root, with '/' on every system.

    ``earlier`` is where its line begins in the baseline, where it has one.
    """

    file: str
    path: str
    earlier: int | None = None


def find_sites(paths: Sequence[str], root: Path) -> list[SiteFile]:
    """The site files that ``paths`` name, in the order of their names.

    A file that can be reached by several names is taken once: by its own name rather than a link's, else by the first.
    A folder that can't be read is in the list too, so that the run tells it. Raises :class:`NothingFound` for a path
    that gives none.
    """
    found: dict[str, str] = {}
    for text in paths:
        here = list(_under(text))
        if not here:
            raise NothingFound(_why_none(text))
        found |= {relative(path, root): path for path in here}
    by_file: dict[str, str] = {}
    for name in sorted(found, key=lambda name: (os.path.islink(found[name]), name)):  # noqa: PTH114 - many, as text
        by_file.setdefault(os.path.realpath(found[name]), name)
    return [SiteFile(name, found[name]) for name in sorted(by_file.values())]


def relative(path: str | Path, root: Path) -> str:
    """A path as outputs name it: from the root, with '/'; what is no text in it is replaced."""
    absolute = os.path.normpath(Path.cwd() / path)
    try:
        text = os.path.relpath(absolute, Path.cwd() / root)
    except ValueError:  # another drive
        text = absolute
    return text.replace(os.sep, "/").encode("utf-8", "replace").decode("utf-8")


def _under(text: str) -> Iterator[str]:
    """The site files of one path as it was given."""
    if os.path.isdir(text):  # noqa: PTH112
        yield from _in_folder(text)
    elif os.path.lexists(text):
        yield text
    elif glob.has_magic(text):
        yield from _fitting(text)


def _fitting(pattern: str) -> Iterator[str]:
    """Site files that a pattern fits, or that lie in a folder that it fits. ``**`` stands for any folders.

    Walked as folders are, where the standard library's function would follow every loop of links.
    """
    steps = pattern.replace(os.sep, "/").split("/")
    plain = list(itertools.takewhile(lambda step: not glob.has_magic(step), steps))
    top = "/".join(plain) + "/" if plain else "."
    fits = re.compile("".join(map(_step, steps[len(plain) :]))).fullmatch
    for path in _in_folder(top):
        parts = Path(os.path.relpath(path, top)).parts
        if any(fits("/".join((*parts[:count], ""))) for count in range(1, len(parts) + 1)):
            yield path


def _step(step: str) -> str:
    """A step of a pattern as a regular expression, its slash included."""
    if step == "**":
        return "(?:[^/]+/)*"
    any_of = re.sub(r"\[[^]]+\]|.", lambda found: _SIGNS.get(found[0]) or _set_or_sign(found[0]), step)
    return f"{any_of}/"


_SIGNS: Final = {"*": "[^/]*", "?": "[^/]"}


def _set_or_sign(text: str) -> str:
    if len(text) == 1:
        return re.escape(text)
    inside = text[1:-1].replace("\\", r"\\")
    return f"[^{inside[1:]}]" if inside.startswith("!") else f"[{inside}]"


def _in_folder(folder: str) -> Iterator[str]:
    unread: list[str] = []
    for here, folders, names in os.walk(folder, onerror=lambda error: unread.append(str(error.filename))):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        yield from (os.path.join(here, name) for name in sorted(names) if name.endswith(SUFFIX))  # noqa: PTH118
    yield from unread


def _why_none(text: str) -> str:
    if os.path.isdir(text):  # noqa: PTH112
        return f"{text}: no *{SUFFIX} file in this folder or below it"
    if glob.has_magic(text):
        return f"{text}: no *{SUFFIX} file fits this pattern"
    return f"{text}: there is no such file or folder"


def shard_of(sites: Sequence[SiteFile], number: int, count: int) -> list[SiteFile]:
    """Every ``count``-th site of the sorted list, from the ``number``-th (the first is 1): shards of the same size."""
    return list(sites[number - 1 :: count])
