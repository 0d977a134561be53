"""Where the gate's formats go: standard output piece by piece, files whole or not at all."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING

import click

from inspect_core.cli.output import emit, told, whole_file

if TYPE_CHECKING:
    from inspect_core.engine.portfolio.result import SiteResult


class Sink:
    """Standard output, or a file that is being written."""

    def __init__(self, path: Path | None, put: Callable[[str], None]) -> None:
        self.path = path
        self.put = put

    def write(self, pieces: Iterable[str]) -> None:
        """Write a format's pieces as they come."""
        for piece in pieces:
            self.put(piece)


@contextmanager
def sink(path: Path | None) -> Iterator[Sink]:
    """Somewhere to write. A file appears under its name when everything is written; if that fails, nothing changes."""
    if path is None:
        yield Sink(None, emit)
        return
    with whole_file(path) as put:
        yield Sink(path, put)


class Spool:
    """Results kept on disk while they pass, so that further formats can read them one by one."""

    def __init__(self, stream: IO[bytes]) -> None:
        self.stream = stream

    def filled(self, results: Iterable[SiteResult]) -> Iterator[SiteResult]:
        """The same results, each written down on its way."""
        from inspect_core.engine.portfolio.result import to_json

        for result in results:
            with told("the temporary file"):
                self.stream.write(to_json(result).encode("utf-8", "surrogatepass") + b"\n")
            yield result

    def results(self) -> Iterator[SiteResult]:
        """Everything that was written down."""
        from inspect_core.engine.portfolio.result import from_json

        with told("the temporary file"):
            self.stream.seek(0)
        for line in self.stream:
            yield from_json(line.decode("utf-8", "surrogatepass"))


@contextmanager
def spool() -> Iterator[Spool]:
    """A spool that is gone afterwards."""
    with tempfile.TemporaryFile() as stream:
        yield Spool(stream)


def with_progress(results: Iterable[SiteResult], count: int, to_stdout: bool) -> Iterator[SiteResult]:
    """A progress bar on a terminal, unless the lines of the sites show there how far it is."""
    if not sys.stderr.isatty() or (to_stdout and sys.stdout.isatty()):
        yield from results
        return
    with click.progressbar(results, length=count, label="sites", file=sys.stderr, width=30) as bar:
        yield from bar
