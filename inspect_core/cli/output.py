"""Getting text out: whole or not at all, to the terminal or to a file."""

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import click


def emit(text: str) -> None:
    """Prints whole text or nothing, as UTF-8 whatever the terminal's locale says."""
    try:
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8", "replace"))
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        # Whoever read the output has gone: say nothing more, but do not call it a success. Click would exit with 1.
        _give_up_stdout()
        raise SystemExit(3) from None
    except OSError as error:
        _give_up_stdout()
        raise click.UsageError(f"the output can't be written: {error.strerror or error}") from None


def _give_up_stdout() -> None:
    """What is left in its buffer goes nowhere, else the interpreter would try again at the end and exit by that."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def as_json(data: Any) -> str:
    """One JSON value for people and programs, ending in a line break."""
    import json

    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def deliver(text: str, output: Path | None) -> None:
    """Prints the text, or writes it to ``output`` and says so."""
    if output is None:
        emit(text)
    else:
        write_whole(output, [text])
        click.echo(f"wrote {output}", err=True)


def write_whole(path: Path, parts: Iterable[str]) -> None:
    """Writes the parts to a file, whole or not at all: see :func:`whole_file`."""
    with whole_file(path) as write:
        for part in parts:
            write(part)


@contextmanager
def whole_file(path: Path) -> Iterator[Callable[[str], None]]:
    """Gives a function that writes text. The file appears under its name when the block ends without an error; until
    then, and where anything fails, what was there stays as it was.

    A link stays a link: the file that it leads to is replaced. A device or a pipe takes what it gets. Raises
    ``click.UsageError`` where it can't be written; what else is raised in the block goes through.
    """
    from tempfile import mkstemp

    beside: Path | None = None
    with told(path):
        if path.exists() and not path.is_file():  # asked before a link is followed: /dev/stdout may lead to no name
            stream = path.open("wb")
        else:
            final = path.resolve()
            mode = _mode(final)
            handle, name = mkstemp(prefix=".inspect-core-", suffix=".part", dir=final.parent)
            beside, stream = Path(name), os.fdopen(handle, "wb")

    def write(text: str) -> None:
        with told(path):
            stream.write(text.encode("utf-8", "replace"))

    try:
        yield write
        with told(path):
            stream.close()
            if beside is not None:
                beside.chmod(mode)
                beside.replace(final)
    except BaseException:
        with suppress(OSError):
            stream.close()
        if beside is not None:
            with suppress(OSError):
                beside.unlink(missing_ok=True)
        raise


@contextmanager
def told(what: object) -> Iterator[None]:
    """Says that it can't be written, where the system says so."""
    try:
        yield
    except (OSError, RuntimeError) as error:  # RuntimeError: links that lead in a circle, in Python before 3.13
        said = error.strerror if isinstance(error, OSError) else None
        raise click.UsageError(f"{what} can't be written: {said or error}") from None


def _mode(final: Path) -> int:
    """The permissions that the file has, or those that a new one gets. Raises ``PermissionError`` for one that may not
    be written: to put another in its place would be allowed, and would go behind somebody's back."""
    if not final.exists():
        return 0o666 & ~_umask()
    if not os.access(final, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    return stat.S_IMODE(final.stat().st_mode)


def _umask() -> int:
    """The mask of new files; asking for it means setting it for a moment."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask
