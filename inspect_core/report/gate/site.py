"""One site of a gate: read, checked, held against variances and an earlier run, judged. What a worker does."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Literal

from inspect_core.engine import LoadedPacks, Report, inspect, load_packs
from inspect_core.engine.chosen import find_config, packs_for, settings_for
from inspect_core.engine.finding import Finding
from inspect_core.engine.portfolio.baseline import compared
from inspect_core.engine.portfolio.find import SiteFile, relative
from inspect_core.engine.portfolio.judge import Asked, is_open, judged, with_fingerprints
from inspect_core.engine.portfolio.result import SiteResult, WrittenResult, to_json
from inspect_core.engine.variances import Variances, notice_data, read_variances, with_variances
from inspect_core.report.view import Selection, as_data
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED
from inspect_core.site import InputError
from inspect_core.site.load import site_from_document
from inspect_core.site.reader import read_file

Detail = Literal["whole", "open", "names", "line"]


@dataclass(frozen=True, slots=True)
class Order:
    """What is the same for every site of a run; it goes to each worker once.

    ``detail`` says how much of a document is wanted, since its sentences cost as much as the check: ``whole``;
    ``open``, without what meets or does not apply; ``names``, the open findings without a text; ``line``, the same with
    the whole as a line of JSON beside it. Counts are always whole.
    """

    root: Path
    asked: Asked
    today: str
    detail: Detail = "whole"
    packs: tuple[str, ...] = ()
    config: Path | None = None
    variances: Path | None = None
    baseline: Path | None = None


class SiteCheck:
    """What a worker does with each file: ``SiteCheck(order)(file)`` is its result.

    Packs, configurations and variances are read once and kept. Never raises for what is wrong with a file.
    """

    def __init__(self, order: Order) -> None:
        self.order = order
        self._installed: LoadedPacks | None = None
        self._configs: dict[Path, Path | None] = {}
        self._settled: dict[Path | None, tuple[LoadedPacks, Variances | None] | InputError] = {}

    def __call__(self, file: SiteFile) -> SiteResult:
        order, path = self.order, Path(file.path)
        try:
            loaded, granted = self._settled_for(path)
            document = read_file(path)
            document.file = file.file
            report = inspect(site_from_document(document), loaded)
        except InputError as error:
            return _unusable(error, file.file, order.root)
        if granted is not None:
            report = with_variances(report, granted, path, order.today)
        failures = tuple(f"{failure.pack}: {failure.why}" for failure in report.failures)
        data = _brief(report) if order.detail == "names" else _document(report, order.detail == "open")
        for notice in data.get("variances", ()):
            notice["file"] = relative(notice["file"], order.root)
        with_fingerprints(file.file, data)
        if order.baseline is not None:
            compared(data, order.baseline, file.earlier)
        result = judged(file.file, data, failures, order.asked)
        return _written(result, data) if order.detail == "line" else result

    def _settled_for(self, site: Path) -> tuple[LoadedPacks, Variances | None]:
        """Packs and variances of a site; an error in them is raised again for each site that stands on them."""
        config = self.order.config if self.order.config is not None else self._config_of(site.resolve().parent)
        if config not in self._settled:
            try:
                self._settled[config] = self._read(config)
            except InputError as error:
                self._settled[config] = error
        settled = self._settled[config]
        if isinstance(settled, InputError):
            raise InputError(settled.problems, settled.omitted)
        return settled

    def _config_of(self, folder: Path) -> Path | None:
        if folder not in self._configs:
            self._configs[folder] = find_config(folder / "any")
        return self._configs[folder]

    def _read(self, config: Path | None) -> tuple[LoadedPacks, Variances | None]:
        if self._installed is None:
            self._installed = load_packs()
        named = self.order.variances if self.order.variances is not None else settings_for(None, config).variances
        granted = read_variances(named) if named is not None else None
        return packs_for(None, self.order.packs, config, self._installed), granted


def _unusable(error: InputError, file: str, root: Path) -> SiteResult:
    problems = []
    for problem in error.problems:
        named = problem.file if problem.file == file else relative(problem.file, root)
        shown = replace(problem, file=named)
        problems.append({"file": named, "line": shown.line, "column": shown.column, "message": shown.render()})
    if error.omitted:
        more = f"... and {error.omitted} more problem{'s' if error.omitted > 1 else ''}"
        problems.append({"file": file, "line": 0, "column": 0, "message": more})
    return SiteResult(file, None, tuple(problems), (), 2, 0)


_NAMES = ("rule", "subject", "outcome", "severity", "hold_point", "blocks", "varied", "baseline", "fingerprint")


def _written(result: SiteResult, document: dict[str, Any]) -> WrittenResult:
    named = [{key: one[key] for key in _NAMES if key in one} for one in document["findings"] if is_open(one)]
    short = {**document, "findings": named}
    return WrittenResult(
        result.file, short, result.problems, result.failures, result.exit_code, result.open, line=to_json(result)
    )


def _document(report: Report, only_open: bool) -> dict[str, Any]:
    if not only_open:
        return as_data(report, Selection())
    return as_data(replace(report, findings=_open(report)), Selection()) | {"summary": _summary(report)}


def _open(report: Report) -> tuple[Finding, ...]:
    return tuple(finding for finding in report.findings if finding.outcome in (FALLS_SHORT, NOT_MEASURED))


def _summary(report: Report) -> dict[str, int]:
    varied = sum(1 for finding in report.findings if finding.varied is not None)
    return {**{str(outcome): count for outcome, count in report.summary().items()}, "varied": varied}


def _brief(report: Report) -> dict[str, Any]:
    """As much of a document as a count needs, in the same shape."""
    return {
        "format": 1,
        "site": {"name": report.site.name, "file": report.site.file},
        "summary": _summary(report),
        "hold_points": dict.fromkeys(report.rules.hold_points),
        "findings": [_named(finding) for finding in _open(report)],
        "failures": [{"pack": failure.pack, "message": failure.why} for failure in report.failures],
        **({"variances": [notice_data(one) for one in report.variances]} if report.variances is not None else {}),
    }


def _named(finding: Finding) -> dict[str, Any]:
    data: dict[str, Any] = {
        "rule": finding.rule.id,
        "subject": finding.subject,
        "outcome": finding.outcome,
        "severity": finding.severity,
        "hold_point": finding.rule.hold_point,
    }
    if finding.varied is not None:
        data["varied"] = asdict(finding.varied)
    return data
