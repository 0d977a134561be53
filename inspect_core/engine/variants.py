"""Running one rule where a pack's date or condition decides: once where that is known, both ways where it is not.

A condition that can't be told never decides by itself: the rule runs as if it held and as if it did not. Where both
agree, that is the answer; where they don't, nothing is known, and the finding asks for what decides.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from inspect_core.engine.finding import Finding
from inspect_core.engine.gates import Verdicts, asks_work, unknown_fields, verdicts
from inspect_core.engine.loading import field_exists
from inspect_core.engine.stack import Layers, RuleSet
from inspect_core.rules_api import DOES_NOT_APPLY, MEETS, NOT_MEASURED, Check, Gate, Outcome, Rule
from inspect_core.rules_api.vocabulary import WORK
from inspect_core.site import Area, Site

MOST_OPEN = 5
"""With more conditions than that which can't be told, nobody tries all ways: the answer is not known."""

Run = Callable[[RuleSet], list[Finding]]
Combination = tuple[bool, ...]


class Decider:
    """Which gates of a stack are open for one site: worked out once for each area."""

    def __init__(self, layers: Layers, site: Site) -> None:
        self.layers = layers
        self.site = site
        self._known: dict[str | None, tuple[Verdicts, ...]] = {}

    def of(self, area: Area | None) -> tuple[Verdicts, ...]:
        """The verdict on each gate, by its number."""
        key = area.id if area is not None else None
        if key not in self._known:
            self._known[key] = tuple(verdicts(gate, self.site, area) for gate in self.layers.gates)
        return self._known[key]

    def rule_set(self, area: Area | None = None) -> RuleSet:
        """What is in force for the site, or for an area, as far as that is decided."""
        return self.layers.rule_set(self._open(self.of(area)))

    @staticmethod
    def _open(found: tuple[Verdicts, ...]) -> frozenset[int]:
        return frozenset(n for n, verdict in enumerate(found) if set(verdict) == {True})

    def findings(self, one: Rule, area: Area | None, run: Run) -> list[Finding]:
        """The findings of a rule that some gate touches. ``run`` gives them for one rule set."""
        found = self.of(area)
        active = self._open(found)
        open_gates = [n for n, verdict in enumerate(found) if set(verdict) not in ({True}, {False})]
        known = self.layers.affected.get(one.id, ())
        others = [n for n in open_gates if n in self.layers.of_limits and n not in known]
        if others:  # a rule may rest on more limits than it names, through what several rules work out together
            without, with_them = run(self.layers.rule_set(active)), run(self.layers.rule_set(active | {*others}))
            if _said(without) != _said(with_them):
                known = self.layers.affected[one.id] = tuple(sorted({*known, *others}))
            elif not known:
                return without
        undecided = [n for n in open_gates if n in known]
        if not undecided:
            return run(self.layers.rule_set(active))
        vectors = [found[n] for n in undecided]
        ways = _ways(vectors)
        tried = {
            way: _keyed(run(self.layers.rule_set(active | {n for n, on in zip(undecided, way, strict=True) if on})))
            for way in dict.fromkeys(way for of_work in ways.values() for way in of_work)
        }
        gates = [self.layers.gates[n] for n in undecided]
        merger = _Merger(one, gates, self.site, area, sure=len(undecided) <= MOST_OPEN)
        keys = dict.fromkeys(key for answers in tried.values() for key in answers)
        return [merger.merged([(way, tried[way][key]) for way in self._of(key, ways, tried)]) for key in keys]

    @staticmethod
    def _of(
        key: tuple[str, int],
        ways: dict[str, list[Combination]],
        tried: dict[Combination, dict[tuple[str, int], Finding]],
    ) -> Iterator[Combination]:
        """The ways that are possible for one subject, by its kind of work, and in which it has an answer."""
        some = next(answers[key] for answers in tried.values() if key in answers)
        work = getattr(some.check.subject, "work", None)
        possible = ways[work] if work in ways else list(tried)
        answered = [way for way in possible if key in tried[way]]
        yield from answered or [way for way in tried if key in tried[way]]


def _ways(vectors: list[Verdicts]) -> dict[str, list[Combination]]:
    """For each kind of work the combinations of open and shut that are possible."""
    if len(vectors) > MOST_OPEN:
        return {work: [(False,) * len(vectors), (True,) * len(vectors)] for work in WORK}
    return {
        work: list(product(*(((False, True) if vector[n] is None else (vector[n] is True,)) for vector in vectors)))
        for n, work in enumerate(WORK)
    }


def _said(findings: list[Finding]) -> list[tuple[object, ...]]:
    """What findings say, without who said it how."""
    return [
        (
            f.check.subject.name,
            f.outcome,
            f.check.measured,
            f.check.limit,
            f.check.upper,
            f.check.found,
            f.check.because,
        )
        for f in findings
    ]


def _keyed(findings: list[Finding]) -> dict[tuple[str, int], Finding]:
    """Findings by subject; a second one about the same subject is counted on."""
    found: dict[tuple[str, int], Finding] = {}
    seen: dict[str, int] = {}
    for finding in findings:
        name = finding.check.subject.name
        number = seen[name] = seen.get(name, -1) + 1
        found[name, number] = finding
    return found


@dataclass(frozen=True, slots=True)
class _Merger:
    """Makes one finding of what a rule says in each way that is possible."""

    rule: Rule
    gates: list[Gate]
    site: Site
    area: Area | None
    sure: bool

    def merged(self, tried: list[tuple[Combination, Finding]]) -> Finding:
        """One finding from those that are possible."""
        outcomes: set[Outcome] = {finding.outcome for _, finding in tried}
        if len(tried) == 1 and self.sure:
            return tried[0][1]
        if self.sure and (len(outcomes) == 1 or outcomes == {MEETS, DOES_NOT_APPLY}):
            best = next((f for _, f in tried if f.outcome == MEETS), tried[0][1])
            return best if best.outcome == DOES_NOT_APPLY else _noted(best, self._same_either_way(tried))
        return self._open(tried)

    def _same_either_way(self, tried: list[tuple[Combination, Finding]]) -> str:
        differing = self._differing(tried)
        words = "; ".join(gate.words() for gate in differing)
        return f"a local rule holds {words}, which is not known: it comes to the same"

    def _differing(self, tried: list[tuple[Combination, Finding]]) -> list[Gate]:
        return [gate for n, gate in enumerate(self.gates) if len({way[n] for way, _ in tried}) > 1]

    def _open(self, tried: list[tuple[Combination, Finding]]) -> Finding:
        first = tried[0][1]
        differing = self._differing(tried)
        asks = [field for gate in differing for field in unknown_fields(gate, self.site, self.area)]
        if any(asks_work(gate) for gate in differing) and getattr(first.check.subject, "work", None) is None:
            asks.append(self._work_field())
        for _, finding in tried:
            asks += finding.asks
        check = Check(
            first.check.subject,
            NOT_MEASURED,
            first.check.measured,
            because=self._because(tried, differing),
            assumptions=first.check.assumptions,
            asks=tuple(dict.fromkeys(asks)),
            severity=first.check.severity,
            path=first.check.path,
        )
        return replace(first, check=check, outcome=NOT_MEASURED, because="")

    def _because(self, tried: list[tuple[Combination, Finding]], differing: list[Gate]) -> str:
        words = "; ".join(gate.words() for gate in differing)
        if len(differing) > 1:
            return f"it depends on local rules that hold {words}, which is not known"
        number = self.gates.index(differing[0]) if differing else 0
        said = {way[number]: finding.message(self.site.units) for way, finding in tried}
        return f"a local rule holds {words}, which is not known. If so: {said.get(True)}. If not: {said.get(False)}"

    def _work_field(self) -> str:
        part = self.rule.measures[0].partition(".")[0] if self.rule.measures else "site"
        return f"{part}.work" if field_exists(f"{part}.work") else "site.work"


def _noted(finding: Finding, note: str) -> Finding:
    return replace(finding, because=f"{finding.because}; {note}" if finding.because else note)
