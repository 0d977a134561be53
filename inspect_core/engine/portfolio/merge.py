"""The outputs of several shards as if they had been one run: in the order of the file names, each site once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from inspect_core.engine.portfolio.baseline import compared
from inspect_core.engine.portfolio.judge import Asked, judged
from inspect_core.engine.portfolio.result import SiteResult
from inspect_core.engine.portfolio.stored import line_at, places

Place = tuple[Path, int]


class Merge:
    """What several files of JSON lines hold. Raises :class:`~.stored.UnusableLines` when made, before any output.

    ``doubled`` are the sites that stand in more than one place, with those files.
    """

    def __init__(self, paths: Sequence[Path]) -> None:
        self._places: dict[str, list[Place]] = {}
        for path in paths:
            for file, at in places(path):
                self._places.setdefault(file, []).append((path, at))
        self.files = sorted(self._places)
        self.doubled = {
            file: [str(path) for path, _ in self._places[file]] for file in self.files if len(self._places[file]) > 1
        }

    def results(self, asked: Asked, baseline: Path | None, earlier: Mapping[str, int]) -> Iterator[SiteResult]:
        """Each site's result, judged by what is asked now; ``earlier`` says where its line begins in a baseline."""
        for file in self.files:
            different: list[SiteResult] = []
            for path, at in self._places[file]:
                result = line_at(path, at)
                if result not in different:
                    different.append(result)
            result = max(different, key=lambda one: one.exit_code)
            if result.document is not None:
                document = dict(result.document)
                if baseline is not None:
                    compared(document, baseline, earlier.get(file))
                result = judged(file, document, result.failures, asked)
            yield _in_dispute(result, self.doubled[file]) if len(different) > 1 else result


def _in_dispute(result: SiteResult, where: Sequence[str]) -> SiteResult:
    """Two shards say different things of one site: that is told, and never the better one believed."""
    text = f"{result.file}: different results for this file in {' and '.join(dict.fromkeys(where))}; run it once"
    problem = {"file": result.file, "line": 0, "column": 0, "message": text}
    return replace(result, problems=(*result.problems, problem), exit_code=max(result.exit_code, 2))
