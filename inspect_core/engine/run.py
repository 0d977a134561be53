"""Running the rules in force on a site. A rule that raises is a finding of its own; the others still run."""

from __future__ import annotations

import traceback
from dataclasses import dataclass, replace

from inspect_core.engine.finding import RULE_FAILED, Finding
from inspect_core.engine.loading import LoadedPacks, PackFailure, missing_names
from inspect_core.engine.stack import PackRule, RuleSet, select, stack
from inspect_core.rules_api import (
    DOES_NOT_APPLY,
    FALLS_SHORT,
    NOT_MEASURED,
    OUTCOMES,
    STOP_WORK,
    Check,
    Limits,
    Named,
    Outcome,
)
from inspect_core.rules_api.vocabulary import at_or_above
from inspect_core.site import Area, Site

EXIT_OK, EXIT_FINDINGS, EXIT_INPUT, EXIT_PACK = 0, 1, 2, 3


@dataclass(frozen=True, slots=True)
class HoldPointState:
    """Whether a hold point may be released, and how many open findings keep it."""

    released: bool
    open: int


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that a run found about one site."""

    site: Site
    rules: RuleSet
    findings: tuple[Finding, ...]
    failures: tuple[PackFailure, ...]

    def summary(self) -> dict[Outcome, int]:
        """Number of findings by outcome."""
        counts = dict.fromkeys(OUTCOMES, 0)
        for finding in self.findings:
            counts[finding.outcome] += 1
        return counts

    def open_findings(self, threshold: str, hold_point: str | None = None) -> tuple[Finding, ...]:
        """Findings that keep a hold point: they fall short or are not measured, at or above a severity."""
        return tuple(
            f
            for f in self.findings
            if f.outcome in (FALLS_SHORT, NOT_MEASURED)
            and at_or_above(f.severity, threshold)
            and (hold_point is None or f.rule.hold_point == hold_point)
        )

    def hold_points(self, threshold: str) -> dict[str, HoldPointState]:
        """State of every hold point, in order. What is open below an earlier layer is not counted again."""
        open_at = dict.fromkeys(self.rules.hold_points, 0)
        for finding in self.open_findings(threshold):
            open_at[finding.rule.hold_point] += 1
        failed = bool(self.failures)
        return {point: HoldPointState(count == 0 and not failed, count) for point, count in open_at.items()}

    def exit_code(self, threshold: str, hold_point: str | None = None) -> int:
        """0 nothing open at or above the threshold, 1 open findings, 3 a pack or rule failed."""
        if self.failures:
            return EXIT_PACK
        return EXIT_FINDINGS if self.open_findings(threshold, hold_point) else EXIT_OK


def inspect(site: Site, loaded: LoadedPacks) -> Report:
    """Run every rule of the packs that the site stands on."""
    chosen, unknown = select(loaded.packs, site.packs)
    failures = [*loaded.failures]
    failures += [PackFailure(name, "the site asks for this pack, and it is not installed") for name in unknown]
    if not chosen:
        failures.append(PackFailure("base pack", "no rule pack is installed, so nothing was checked"))
    failures += [PackFailure(text.partition(":")[0], text.partition(": ")[2]) for text in missing_names(chosen)]
    rules = stack(chosen)
    findings: list[Finding] = []
    for pack_rule in rules.rules:
        targets: tuple[Area | None, ...] = (None,) if pack_rule.rule.scope == "site" else site.areas
        for area in targets:
            try:
                findings += _run_rule(pack_rule, site, area, rules.limits)
            except (Exception, SystemExit) as error:
                failures.append(PackFailure(pack_rule.pack, f"rule {pack_rule.rule.id} failed: {_where(error)}"))
                findings.append(_failed(pack_rule, site, area, error))
    return Report(site, rules, tuple(findings), tuple(failures))


def _run_rule(pack_rule: PackRule, site: Site, area: Area | None, limits: Limits) -> list[Finding]:
    checks = list(pack_rule.rule.function(site if area is None else area, limits))
    return [_finding(pack_rule, check, area, site) for check in checks]


def _finding(pack_rule: PackRule, check: Check, area: Area | None, site: Site) -> Finding:
    if not isinstance(check, Check):
        raise TypeError(f"it yielded {type(check).__name__}, not a check")
    one = pack_rule.rule
    outcome, because = check.outcome, ""
    if len(one.binds) < 3 and outcome != DOES_NOT_APPLY:
        work = getattr(check.subject, "work", None)
        if work is None:
            because = f"not said whether this is existing work; taken as bound by this rule ({', '.join(one.binds)})"
        elif work not in one.binds:
            outcome, because = DOES_NOT_APPLY, f"{work} work; this binds {' and '.join(one.binds)} work"
    area_id = area.id if area is not None else ""
    return Finding(one, pack_rule.pack, check, outcome, area_id, len(site.areas) > 1, because)


def _failed(pack_rule: PackRule, site: Site, area: Area | None, error: BaseException) -> Finding:
    one = replace(
        pack_rule.rule,
        id=RULE_FAILED,
        severity=STOP_WORK,
        remedy="Tell the pack's author; until it is mended, check this by hand.",
        cautions=(),
    )
    subject = Named(f"rule {pack_rule.rule.id} of {pack_rule.pack}", ())
    check = Check(subject, NOT_MEASURED, because=f"the rule failed, so nothing is known: {_where(error)}", asks=())
    return Finding(one, pack_rule.pack, check, NOT_MEASURED, area.id if area else "", len(site.areas) > 1)


def _where(error: BaseException) -> str:
    """The error, and the line of the pack where it was raised."""
    frames = traceback.extract_tb(error.__traceback__)
    place = f" (line {frames[-1].lineno} of {frames[-1].name})" if frames else ""
    return f"{type(error).__name__}: {error}{place}"
