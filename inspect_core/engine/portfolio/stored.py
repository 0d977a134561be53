"""JSON lines that an earlier run or a shard has written: found by file name, read one at a time, never all at once."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from inspect_core.engine.portfolio.result import SiteResult, from_json

_HEAD: Final = '{"file":'  # as we write it


class UnusableLines(Exception):  # noqa: N818 - it names what happened
    """A file that should hold the gate's JSON lines can't be used; the text says where and why."""


def places(path: Path) -> Iterator[tuple[str, int]]:
    """The site file of each line, and where in ``path`` its line begins.

    Raises :class:`UnusableLines` for a file that can't be read or holds anything else.
    """
    try:
        with path.open("rb") as stream:
            at = 0
            for number, line in enumerate(stream, 1):
                if line.strip():
                    yield _file_of(line, f"{path}:{number}"), at
                at += len(line)
    except OSError as error:
        raise UnusableLines(f"{path} can't be read: {error.strerror}") from None


def _file_of(line: bytes, where: str) -> str:
    """The name alone; the rest of the line is read when it is wanted, though it must be whole."""
    try:
        text = line.decode("utf-8")
        whole = text.startswith(f'{_HEAD}"') and text.endswith("}\n")
        name = json.JSONDecoder().raw_decode(text, len(_HEAD))[0] if whole else json.loads(text)["file"]
        if isinstance(name, str):
            return name
    except (ValueError, KeyError, TypeError, RecursionError):
        pass
    raise UnusableLines(f"{where}: this is no line of inspect-core gate --format json-lines, or it is cut short")


def line_at(path: Path, at: int) -> SiteResult:
    """The result whose line begins there. Raises :class:`UnusableLines`."""
    try:
        with path.open("rb") as stream:
            stream.seek(at)
            return from_json(stream.readline().decode("utf-8"))
    except OSError as error:
        raise UnusableLines(f"{path} can't be read: {error.strerror}") from None
    except ValueError as error:
        raise UnusableLines(f"{path}: a line can't be used: {error}") from None
