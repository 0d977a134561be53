"""Getting text out: whole or not at all, to the terminal or to a file."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Iterable
from contextlib import suppress
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
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(3) from None


def as_json(data: Any) -> str:
    """One JSON value for people and programs, ending in a line break."""
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def deliver(text: str, output: Path | None) -> None:
    """Prints the text, or writes it to ``output`` and says so."""
    if output is None:
        emit(text)
    else:
        write_whole(output, [text])
        click.echo(f"wrote {output}", err=True)


def write_whole(path: Path, parts: Iterable[str]) -> None:
    """Writes a file beside ``path`` and puts it in its place when it is whole: what was there stays until then.

    Raises ``click.UsageError`` where it can't be written; whatever ``parts`` raises goes through.
    """
    temporary: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        temporary = Path(name)
        with open(handle, "w", encoding="utf-8", newline="\n", errors="replace") as out:  # noqa: PTH123
            out.writelines(parts)
        temporary.chmod(0o666 & ~_umask())
        temporary.replace(path)
        temporary = None
    except OSError as error:
        raise click.UsageError(f"{path} can't be written: {error.strerror or error}") from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()


def _umask() -> int:
    """The mask of new files; asking for it means setting it for a moment."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask
