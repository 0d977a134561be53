"""Running the rules in force on a site. A rule that raises is a finding of its own; the others still run."""

from __future__ import annotations

import traceback
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import islice
from typing import TYPE_CHECKING

from inspect_core.engine import rule_time
from inspect_core.engine.choice import Arrangement, arrange_for
from inspect_core.engine.finding import RULE_FAILED, Finding
from inspect_core.engine.gates import settled, with_parameters
from inspect_core.engine.loading import LoadedPacks, PackFailure, missing_names
from inspect_core.engine.loosened import Loosened, loosened
from inspect_core.engine.stack import Layers, PackRule, RuleSet
from inspect_core.engine.variants import Decider
from inspect_core.quantities import Quantity
from inspect_core.rules_api import (
    DOES_NOT_APPLY,
    FALLS_SHORT,
    NOT_MEASURED,
    OUTCOMES,
    SEVERITIES,
    STOP_WORK,
    Check,
    Limit,
    Limits,
    Named,
    Outcome,
    Pack,
    does_not_apply,
)
from inspect_core.rules_api.vocabulary import at_or_above
from inspect_core.site import Area, InputError, Site

if TYPE_CHECKING:
    from inspect_core.engine.variances import VarianceNotice

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
    loosened: tuple[Loosened, ...] = ()
    notes: tuple[str, ...] = ()
    variances: tuple[VarianceNotice, ...] | None = None  # None: no variances file was given

    def summary(self) -> dict[Outcome, int]:
        """Number of findings by outcome."""
        counts = dict.fromkeys(OUTCOMES, 0)
        for finding in self.findings:
            counts[finding.outcome] += 1
        return counts

    def open_findings(self, threshold: str, hold_point: str | None = None) -> tuple[Finding, ...]:
        """Findings that keep a hold point: they fall short or are not measured, at or above a severity; not varied."""
        return tuple(
            f
            for f in self.findings
            if f.outcome in (FALLS_SHORT, NOT_MEASURED)
            and at_or_above(f.severity, threshold)
            and (hold_point is None or f.rule.hold_point == hold_point)
            and f.varied is None
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


def inspect(site: Site, loaded: LoadedPacks, before: Report | None = None) -> Report:
    """Run every rule of the packs that the site stands on.

    ``before`` is a report on an earlier state of the site: areas that are the very same records as there keep what was
    found in them, since a rule on an area sees nothing else. Raises :class:`InputError` where a pack file that the user
    named does not fit this site or the packs below it.
    """
    arrangement = arrange_for(site, loaded.packs, loaded.choice)
    failures = [*loaded.failures, *_misfits(arrangement)]
    chosen = arrangement.packs
    if not chosen:
        failures.append(PackFailure("base pack", "no rule pack is installed, so nothing was checked"))
    layers, missing = _laid(_SamePacks(chosen))
    failures += [PackFailure(text.partition(":")[0], text.partition(": ")[2]) for text in missing]
    site, filled = with_parameters(site, chosen)
    decider = Decider(layers, site)
    rules = decider.rule_set()
    alike = before is not None and before.rules is rules and not layers.gates and not filled.assumptions
    kept = _kept(site, before) if before is not None and alike else {}
    run = _Run(site, layers, decider, failures, dict(filled.assumptions), kept)
    with rule_time.watching() as watch:
        findings = [finding for pack_rule in rules.rules for finding in run.findings(pack_rule, rules, watch)]
    eased = loosened(findings, rules)
    failures += _overruled(eased, chosen)
    notes = (*arrangement.notes, *filled.notes, *run.left_out())
    return Report(site, rules, tuple(findings), tuple(failures), eased, notes)


def _kept(site: Site, before: Report) -> dict[tuple[str, str], list[Finding]]:
    """What was found in the areas that are still the same, by area and rule; "" stands for no rule."""
    if before.failures or len(site.areas) != len(before.site.areas):
        return {}
    same = {area.id for area, was in zip(site.areas, before.site.areas, strict=True) if area is was}
    kept: dict[tuple[str, str], list[Finding]] = {(name, ""): [] for name in same}
    for finding in before.findings:
        if finding.area in same and finding.rule.scope == "area":
            kept.setdefault((finding.area, finding.rule.id), []).append(finding)
    return kept


class _SamePacks:
    """The same packs, object for object: what is laid once serves every site of a portfolio."""

    def __init__(self, packs: tuple[Pack, ...]) -> None:
        self.packs = packs

    def __hash__(self) -> int:
        return hash(tuple(map(id, self.packs)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _SamePacks) and [*map(id, self.packs)] == [*map(id, other.packs)]


@lru_cache(maxsize=16)
def _laid(same: _SamePacks) -> tuple[Layers, tuple[str, ...]]:
    """The packs laid on one another, and what does not fit together in them."""
    return Layers(same.packs), tuple(missing_names(same.packs))


def _misfits(arrangement: Arrangement) -> list[PackFailure]:
    """What keeps packs from fitting together; where the user named the file, that is an error in their input."""
    problems = []
    by_id = {pack.id: pack for pack in arrangement.packs}
    for fault in arrangement.faults:
        origin = by_id[fault.pack].origin if fault.pack in by_id else None
        if origin is not None and origin.document is not None:
            document = origin.document
            problems.append(document.problem(document.where(fault.path), fault.path, "pack-misfit", fault.why))
    if problems:
        raise InputError(problems)
    return [PackFailure(fault.pack, fault.why) for fault in arrangement.faults]


def _overruled(eased: tuple[Loosened, ...], chosen: tuple[Pack, ...]) -> list[PackFailure]:
    """A firm may be stricter than a pack that nobody may amend, never looser."""
    firms = {pack.id for pack in chosen if pack.level == "firm"}
    closed = [p.id for p in chosen if p.amendable_by is not None and "firm" not in p.amendable_by]
    return [
        PackFailure(one.by, f"{closed[0]} can't be amended by a firm, and this is looser: {one.name}")
        for one in eased
        if closed and one.by in firms and one.kind != "changed"
    ]


@dataclass(frozen=True, slots=True)
class _Run:
    """One run over one site: what the rules need, and what comes up on the way."""

    site: Site
    layers: Layers
    decider: Decider
    failures: list[PackFailure]
    assumptions: dict[str, str]
    kept: dict[tuple[str, str], list[Finding]]

    def findings(self, pack_rule: PackRule, rules: RuleSet, watch: rule_time.Watch) -> list[Finding]:
        """Everything that one rule says, area by area."""
        found: list[Finding] = []
        targets: tuple[Area | None, ...] = (None,) if pack_rule.rule.scope == "site" else self.site.areas
        for area in targets:
            if area is not None and (area.id, "") in self.kept:
                found += self.kept.get((area.id, pack_rule.rule.id), ())
                continue
            try:
                with watch:
                    if self.layers.gates:
                        found += self.decider.findings(pack_rule.rule, area, partial(self._of, pack_rule, area))
                    else:
                        found += self._of(pack_rule, area, rules)
            except (Exception, SystemExit, rule_time.TookTooLong) as error:
                why = f"rule {pack_rule.rule.id} failed: {_where(error)}"
                self.failures.append(PackFailure(pack_rule.pack, why))
                found.append(_failed(pack_rule, self.site, area, error))
        return [self._assuming(finding) for finding in found] if self.assumptions else found

    def _of(self, pack_rule: PackRule, area: Area | None, rules: RuleSet) -> list[Finding]:
        in_force = rules.by_id[pack_rule.rule.id]
        if not in_force.off:
            return _run_rule(in_force, self.site, area, rules.limits)
        by = in_force.off_by if in_force.off_by != in_force.pack else ""  # a pack's own rule is no other's
        try:
            found = _run_rule(in_force, self.site, area, rules.limits)
        except (Exception, SystemExit):  # nobody asks what a rule says that is off
            found = [_finding(in_force, does_not_apply(Named("all", ()), in_force.off), area, self.site)]
        return [replace(one, outcome=DOES_NOT_APPLY, because=in_force.off, off_by=by) for one in found]

    def _assuming(self, finding: Finding) -> Finding:
        """Says so where an answer may rest on what a pack filled in of the place."""
        if finding.outcome == DOES_NOT_APPLY:
            return finding
        gates = [self.layers.gates[n] for n in self.layers.affected.get(finding.rule.id, ())]
        fields = {*finding.rule.measures, *(f for gate in gates if gate.when is not None for f in gate.when.fields)}
        notes = [text for name, text in self.assumptions.items() if name in fields]
        return replace(finding, because="; ".join(filter(None, (finding.because, *notes)))) if notes else finding

    def left_out(self) -> list[str]:
        """References, cautions and hold points of sections of which nobody knows whether they hold."""
        notes = []
        for pack, section, number in self.layers.sections:
            texts = [*section.references, *section.cautions, *(point.id for point in section.hold_points)]
            if number is not None and texts and settled(section.gate, self.site) is None:
                notes.append(f"{pack.id} has {', '.join(texts)} {section.gate.words()}: not known, left out")
        return notes


def _run_rule(pack_rule: PackRule, site: Site, area: Area | None, limits: Limits) -> list[Finding]:
    checks = list(islice(pack_rule.rule.function(site if area is None else area, limits), rule_time.MOST_CHECKS + 1))
    if len(checks) > rule_time.MOST_CHECKS:
        raise OverflowError(f"it gave more than {rule_time.MOST_CHECKS:,} answers")
    return [_finding(pack_rule, check, area, site) for check in checks]


def _finding(pack_rule: PackRule, check: Check, area: Area | None, site: Site) -> Finding:
    _must_be_sound(check)
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


_SOUND_SUBJECTS: set[type] = set()  # kinds of subject that were looked at once: names can be costly to make
_SENSES = frozenset(("at-least", "at-most", "between", "one-of", "is", ""))


def _must_be_sound(check: object) -> None:
    """Raises ``TypeError`` now for what would otherwise break the report of every other rule later."""
    if not isinstance(check, Check):
        raise TypeError(f"it yielded {type(check).__name__}, not a check")
    _must_be_a_subject(check.subject)
    if check.outcome not in OUTCOMES:
        raise TypeError(f"{check.outcome!r} is no outcome")
    if check.severity is not None and check.severity not in SEVERITIES:
        raise TypeError(f"{check.severity!r} is no severity")
    if check.sense not in _SENSES:
        raise TypeError(f"{check.sense!r} is no way to compare")
    if check.asks is not None and not isinstance(check.asks, tuple):
        raise TypeError("asks must be a tuple of fields")
    if check.remedy is not None and not isinstance(check.remedy, str):
        raise TypeError("remedy must be a text")
    for text in (check.found, check.expected, check.because, *check.assumptions, *(check.asks or ())):
        if not isinstance(text, str):
            raise TypeError(f"{type(text).__name__} stands where a text belongs")
    if check.path is not None and not isinstance(check.path, tuple):
        raise TypeError("path must be a tuple of keys and indices")
    if check.measured is not None and not isinstance(check.measured, (Quantity, str)):
        raise TypeError(f"{type(check.measured).__name__} was measured, not a quantity or a word")
    for limit in (check.limit, check.upper):
        if limit is not None and not (isinstance(limit, Limit) and _is_bound(limit)):
            raise TypeError(f"{limit!r} is no limit")


def _must_be_a_subject(subject: object) -> None:
    if type(subject) in _SOUND_SUBJECTS:
        return
    if not isinstance(getattr(subject, "name", None), str) or not isinstance(getattr(subject, "path", None), tuple):
        raise TypeError(f"{type(subject).__name__} has no name and path to be a subject")
    if type(subject) is not Named:  # what it holds is the rule's own
        _SOUND_SUBJECTS.add(type(subject))


def _is_bound(limit: Limit) -> bool:
    return isinstance(limit.words, tuple) and (limit.value is None or isinstance(limit.value, Quantity))


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
    return f"{type(error).__name__}: {_said(error)}{place}"


def _said(error: BaseException) -> str:
    """Its text, which is a pack's own code too."""
    try:
        return str(error)
    except Exception:
        return "(it has no text)"
