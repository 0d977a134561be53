"""Looking for repairs: each candidate is applied to a copy of the site, and kept only where the check proves it."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from inspect_core.engine import Finding, PackFailure, Report
from inspect_core.engine.stack import brought_by
from inspect_core.planning.repairs.actions import ACTIONS, Step
from inspect_core.planning.repairs.draft import CannotApply, Draft
from inspect_core.planning.repairs.proof import Key, Proof, Prover, reloaded
from inspect_core.planning.repairs.spots import spot_of
from inspect_core.planning.repairs.weights import weights
from inspect_core.rules_api import FALLS_SHORT, NOT_MEASURED, Pack
from inspect_core.rules_api.repairs import Repair
from inspect_core.site import InputError, Site

MOST_FOLLOWED = 3
"""So many things at most that a repair makes worse are mended along with it, each in so many ways at most."""
MOST_STAGES = 2
"""Work that is needed because of work that is needed because of a repair ends here."""

Stages = tuple[tuple[Step, ...], ...]
"""Work in order; after each stage the site is laid out anew for the next."""


@dataclass(frozen=True, slots=True)
class Found:
    """A repair that was proven: what is done, in stages, and which shortfalls are none any more."""

    stages: Stages
    settled: frozenset[Key]
    papers: tuple[Finding, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        """All the work, in order."""
        return tuple(step for stage in self.stages for step in stage)

    def apply(self, draft: Draft) -> Draft:
        """The draft with this repair in it. Raises :class:`CannotApply` where another repair is in its way."""
        return done(draft, self.stages)


def done(draft: Draft, stages: Stages) -> Draft:
    """The draft after all the stages."""
    for number, stage in enumerate(stages):
        if number:  # what was added is there for the next stage to find
            try:
                draft = Draft(reloaded(draft), draft.data)
            except InputError as error:
                raise CannotApply(f"the site file would not load: {error.problems[0].message}") from None
        for step in stage:
            step.apply(draft)
    return draft


@dataclass(slots=True)
class _Target:
    """One place that a repair may be done at: the shortfalls there that it answers, and ways to do it for each."""

    keys: list[Key] = field(default_factory=list)
    ladders: list[list[Step]] = field(default_factory=list)


class Search:
    """All proven repairs of one site. ``tried`` says for each shortfall what was tried in vain, and why."""

    def __init__(self, report: Report, prover: Prover, repairs: Iterable[Repair]) -> None:
        self.report = report
        self.prover = prover
        self.answers: dict[str, list[Repair]] = {}
        for repair in repairs:
            for name in repair.answers:
                self.answers.setdefault(name, []).append(repair)
        self.short = {key: one for key, one in prover.before.items() if one.outcome == FALLS_SHORT}
        self.tried: dict[Key, dict[str, str]] = {key: {} for key in self.short}
        self.found: list[Found] = []
        self.failures: list[PackFailure] = []
        self._hopeless = False  # the last try opened a question that no other size of the same work would close
        self._seen: set[str] = set()
        self._screened: dict[tuple[str, frozenset[Key]], frozenset[Key]] = {}

    def run(self, progress: Callable[[int, int], None] | None = None) -> None:
        """Try everything. ``progress`` is told how many kinds of repair at how many places are done, of how many."""
        jobs = [(repair, group) for repair, groups in self._jobs() for group in groups]
        for number, (repair, group) in enumerate(jobs):
            self._group(repair, group)
            if progress is not None:
                progress(number + 1, len(jobs))

    def _jobs(self) -> Iterator[tuple[Repair, list[list[_Target]]]]:
        targets: dict[str, dict[tuple[Any, ...], _Target]] = {}
        kinds: dict[str, Repair] = {}
        for key, finding in self.short.items():
            for repair in self.answers.get(finding.rule.id, ()):
                ladder = self._ladder(repair, finding, key)
                if ladder:
                    kinds[repair.id] = repair
                    target = targets.setdefault(repair.id, {}).setdefault(ladder[0].target, _Target())
                    target.keys.append(key)
                    target.ladders.append(ladder)
        for name, repair in kinds.items():
            alike: dict[tuple[Any, ...], list[_Target]] = {}
            for place, target in targets[name].items():
                rules = frozenset(key[0] for key in target.keys)
                alike.setdefault((place[:2], rules, len(target.ladders[0])), []).append(target)
            yield repair, list(alike.values())

    def _ladder(self, repair: Repair, finding: Finding, key: Key) -> list[Step]:
        """The ways to do a repair for one finding, from the least effort on."""
        try:
            return list(ACTIONS[repair.does](repair, spot_of(self.report.site, finding)))
        except CannotApply as why:
            self.tried[key][repair.id] = str(why)
        except Exception as error:  # a pack's settings may be anything; the others still run, and the exit code says so
            self.tried[key][repair.id] = self._broken(repair, error)
        return []

    def _broken(self, repair: Repair, error: Exception) -> str:
        failure = PackFailure(repair.set_by, f"repair {repair.id} failed: {type(error).__name__}: {error}")
        if failure not in self.failures:
            self.failures.append(failure)
        return "it failed"

    # --- trying ---

    def _group(self, repair: Repair, group: list[_Target]) -> None:
        if len(group) > 1 and self._alike(repair, group):
            return
        alone = [one for target in group for one in self._one(repair, target)]
        if len(alone) > 1 and all(len(one.stages) == 1 for one in alone):
            steps = tuple(step for one in alone for step in one.stages[0])
            whole = self._proven(repair, (steps,), frozenset().union(*(one.settled for one in alone)))
            if whole is not None:
                self._keep(whole)
                return
        for one in alone:
            self._keep(one)

    def _alike(self, repair: Repair, group: list[_Target]) -> bool:
        """The same at every place, done in one go."""
        keys = frozenset(key for target in group for key in target.keys)
        for way in range(len(group[0].ladders[0])):
            whole = self._proven(repair, (tuple(t.ladders[0][way] for t in group),), keys)
            if whole is not None:
                self._keep(whole)
                return True
            if self._hopeless:
                break
        return False

    def _one(self, repair: Repair, target: _Target) -> list[Found]:
        """One place: a way that settles all that it should there, else ways that settle part of it."""
        keys = frozenset(target.keys)
        ways = [(step,) for ladder in target.ladders for step in ladder]
        for step in ways:
            whole = self._proven(repair, (step,), keys)
            if whole is not None:
                return [whole]
            if self._hopeless:
                return []
        parts: list[Found] = []
        left = keys
        for step in ways:
            if left and (part := self._proven(repair, (step,), left, whole=False)) is not None:
                parts.append(part)
                left -= part.settled
        return parts

    def _proven(self, repair: Repair, stages: Stages, keys: frozenset[Key], *, whole: bool = True) -> Found | None:
        """The work, proven by a full check to settle these shortfalls (or some of them) and to make nothing worse."""
        self._hopeless = False
        try:
            draft = done(Draft.of(self.report.site), stages)
        except CannotApply as why:
            self._failed(repair, keys, str(why))
            return None
        except Exception as error:
            self._failed(repair, keys, self._broken(repair, error))
            return None
        if self.prover.runs >= weights().most_runs:
            self._failed(repair, keys, "not tried: the site has too many shortfalls for one run")
            return None
        settled = self._screen(draft, keys)
        if not settled or (whole and settled != keys):
            self._failed(repair, keys - settled, "it does not settle this, as far as is measured")
            return None
        proof = self.prover.prove(draft)
        wanted = keys if whole else settled & proof.settled
        if proof.clean and wanted and wanted <= proof.settled:
            return Found(stages, proof.settled, proof.papers)
        if proof.report is not None and wanted <= proof.settled:
            followed = self._followed(draft, stages, proof, wanted)
            if followed is not None:
                return followed
        self._hopeless = any(one.outcome == NOT_MEASURED for one in proof.worse)
        self._failed(repair, keys, _why(proof))
        return None

    def _screen(self, draft: Draft, keys: frozenset[Key]) -> frozenset[Key]:
        memo = (json.dumps(draft.data, sort_keys=True), keys)
        if memo not in self._screened:
            self._screened[memo] = self.prover.screen(draft, keys)
        return self._screened[memo]

    def _followed(self, draft: Draft, stages: Stages, proof: Proof, keys: frozenset[Key]) -> Found | None:
        """The repair with another one for each thing that it makes worse, where that comes out clean."""
        if len(stages) > MOST_STAGES or not 0 < len(proof.worse) <= MOST_FOLLOWED:
            return None
        site = self.prover.site(draft)
        ways = [self._after(site, finding) for finding in proof.worse]
        for n in range(min(MOST_FOLLOWED, *map(len, ways)) if all(ways) else 0):
            more = {row[n].target: row[n] for row in ways}
            stage = tuple(more.values())
            try:
                further = done(Draft(site, copy.deepcopy(draft.data)), (stage,))
            except CannotApply:
                continue
            except Exception as error:
                self._broken(stage[0].repair, error)
                continue
            again = self.prover.prove(further)
            if again.report is None or not keys <= again.settled:
                continue
            if again.clean:
                return Found((*stages, stage), again.settled, again.papers)
            found = self._followed(further, (*stages, stage), again, keys)
            if found is not None:
                return found
        return None

    def _after(self, site: Site, finding: Finding) -> list[Step]:
        """What may be done about a finding in a site that a repair has changed, the least effort first."""
        found: list[Step] = []
        for repair in self.answers.get(finding.rule.id, ()):
            try:
                found += ACTIONS[repair.does](repair, spot_of(site, finding))
            except CannotApply:
                continue
            except Exception as error:
                self._broken(repair, error)
        return sorted(found, key=lambda step: sum(effort((step,))))

    def _keep(self, found: Found) -> None:
        made = json.dumps(found.apply(Draft.of(self.report.site)).data, sort_keys=True)
        if made not in self._seen:
            self._seen.add(made)
            self.found.append(found)

    def _failed(self, repair: Repair, keys: Iterable[Key], why: str) -> None:
        for key in keys:
            self.tried[key].setdefault(repair.id, why)


def _why(proof: Proof) -> str:
    if proof.refused:
        return proof.refused
    if proof.worse:
        first = next((one for one in proof.worse if one.outcome == FALLS_SHORT), proof.worse[0])
        more = f" and {len(proof.worse) - 1} more" if len(proof.worse) > 1 else ""
        if first.outcome == FALLS_SHORT:
            return f"it would make this worse: {first.rule.id}, {first.subject}{more}"
        return f"measure {' and '.join(first.asks) or 'this'} first, for {first.rule.id}, {first.subject}{more}"
    return "it does not settle this, as far as is measured"


class InForce(NamedTuple):
    """Repairs of the packs in force by id, later packs win; what is wrong with them, by pack; and what is left out."""

    repairs: dict[str, Repair]
    faults: list[tuple[str, str]]
    left_out: list[str]


def in_force(report: Report, installed: Iterable[Pack] = ()) -> InForce:
    """The repairs that there are for a site. A rule of an installed pack that is not in force here, by its edition or
    because the site does not name it, is no fault of the repair that answers it; a rule that nobody has is."""
    found: dict[str, Repair] = {}
    faults: list[tuple[str, str]] = []
    left_out: list[str] = []
    elsewhere = brought_by(installed)
    for pack in report.rules.packs:
        for name, repair in pack.repairs.items():
            if repair.does not in ACTIONS:
                known = ", ".join(sorted(ACTIONS))
                faults.append((pack.id, f"repair {name}: nothing is called {repair.does!r}; one of {known}"))
                continue
            if repair.labour not in weights().labour:
                known = ", ".join(weights().labour)
                faults.append((pack.id, f"repair {name}: unknown labour {repair.labour!r}; one of {known}"))
                continue
            faults += [
                (pack.id, f"repair {name}: no pack has caution {one}")
                for one in repair.cautions
                if one not in report.rules.cautions
            ]
            gone = [one for one in repair.answers if one not in report.rules.by_id]
            faults += [(pack.id, f"repair {name}: no pack has rule {one}") for one in gone if one not in elsewhere]
            if gone == list(repair.answers) and all(one in elsewhere for one in gone):
                whose = " and ".join(f"{one} of {elsewhere[one]}" for one in gone)
                left_out.append(f"{pack.id}: repair {name} is left out: it answers {whose}, which is not in force here")
                continue
            found[name] = repair
    return InForce(found, faults, left_out)


def effort(steps: Sequence[Step]) -> tuple[int, int, int]:
    """Points for material, labour and how invasive the work is; material and labour count at each place."""
    kinds: Mapping[str, Repair] = {step.repair.id: step.repair for step in steps}
    material = sum(step.repair.material_effort for step in steps)
    labour = sum(weights().labour[step.repair.labour] for step in steps)
    return material, labour, sum(repair.invasive for repair in kinds.values())
