"""Whether a repair does what it says: the changed site is loaded and checked again, and the two answers compared."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from inspect_core.engine import Finding, LoadedPacks, Report, inspect
from inspect_core.engine.finding import shortfall
from inspect_core.planning.repairs.draft import Draft
from inspect_core.planning.repairs.weights import weights
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, NOT_MEASURED, SEVERITIES
from inspect_core.site import InputError, Site, site_from_document
from inspect_core.site.edit import matched
from inspect_core.site.reader import Document

Key = tuple[str, str, str, int]


def keyed(findings: Iterable[Finding]) -> dict[Key, Finding]:
    """Findings by rule, area and subject; the number tells those apart that agree in all three."""
    seen: Counter[tuple[str, str, str]] = Counter()
    found: dict[Key, Finding] = {}
    for finding in findings:
        name = (finding.rule.id, finding.area, finding.check.subject.name)
        found[(*name, seen[name])] = finding
        seen[name] += 1
    return found


@dataclass(frozen=True, slots=True)
class Proof:
    """What checking the changed site gave. ``settled`` are the keys of shortfalls that are none any more; ``worse``
    the findings that are worse than before; ``papers`` what new work asks to be kept of it, which no plan can hold;
    ``refused`` says why the changed site can't even be checked."""

    report: Report | None
    settled: frozenset[Key] = frozenset()
    worse: tuple[Finding, ...] = ()
    papers: tuple[Finding, ...] = ()
    refused: str = ""

    @property
    def clean(self) -> bool:
        """Nothing got worse."""
        return self.report is not None and not self.worse


class Prover:
    """Checks changed copies of one site against what was found in it. Counts the full runs."""

    def __init__(self, report: Report, loaded: LoadedPacks) -> None:
        self.report = report
        self.loaded = loaded
        self.before = keyed(report.findings)
        self.runs = 0
        self._proofs: dict[str, Proof] = {}
        self._few: dict[frozenset[str], LoadedPacks] = {}
        self._last: tuple[str, Site] | None = None

    def prove(self, draft: Draft) -> Proof:
        """The whole site checked again, by every rule."""
        name = json.dumps(draft.data, sort_keys=True)
        if name not in self._proofs:
            self.runs += 1
            self._proofs[name] = self._proof(draft, self.loaded, self.before)
        return self._proofs[name]

    def screen(self, draft: Draft, keys: Iterable[Key]) -> frozenset[Key]:
        """Which of these shortfalls look settled when their own rules alone are asked: cheap, and no proof."""
        wanted = frozenset(keys)
        rules = frozenset(key[0] for key in wanted)
        if rules not in self._few:
            packs = tuple(
                replace(pack, rules=tuple(r for r in pack.rules if r.id in rules)) for pack in self.loaded.packs
            )
            self._few[rules] = replace(self.loaded, packs=packs)
        before = {key: one for key, one in self.before.items() if key[0] in rules}
        proof = self._proof(draft, self._few[rules], before)
        return wanted & proof.settled if proof.report is not None else frozenset()

    def site(self, draft: Draft) -> Site:
        """The changed site as :func:`reloaded` gives it, with what was worked out about it when the same draft was
        screened. Not for a draft that is changed afterwards: the site holds its data. Raises :class:`InputError`.
        """
        name = json.dumps(draft.data, sort_keys=True)
        if self._last is None or self._last[0] != name:
            self._last = name, _with_unchanged(reloaded(draft), self.report.site)
        return self._last[1]

    def _proof(self, draft: Draft, loaded: LoadedPacks, before: Mapping[Key, Finding]) -> Proof:
        try:
            report = inspect(self.site(draft), loaded, self.report)
        except InputError as error:
            return Proof(None, refused=f"the site file would not load: {error.problems[0].message}")
        return compared(before, keyed(report.findings), report)


def reloaded(draft: Draft) -> Site:
    """The changed data by the path of a file: converted, built, and looked at whether it fits together.

    Raises :class:`InputError`. Places are those of the file as it was.
    """
    old = draft.site.document
    return site_from_document(Document(old.file, draft.data, old.text, old.root))


def _with_unchanged(site: Site, old: Site) -> Site:
    """The changed site with the very records of the old one for each area that the change left as it was."""
    now, was = site.document.data, old.document.data
    around = [{**data, "areas": len(data["areas"])} for data in (now, was)]
    if around[0] != around[1]:  # what the site says at its head reaches into the areas
        return site
    pairs = zip(site.areas, old.areas, now["areas"], was["areas"], strict=True)
    return replace(site, areas=tuple(before if same(new, first) else after for after, before, new, first in pairs))


def same(one: Any, other: Any) -> bool:
    """Equal to the last detail: ``true`` is not 1, and the order of keys is an order of things."""
    return bool(one == other) and json.dumps(one) == json.dumps(other)


def compared(before: Mapping[Key, Finding], after: Mapping[Key, Finding], report: Report) -> Proof:
    """What is settled and what is worse.

    A finding whose subject went (a bay that was divided) is compared with the new ones of its rule in its area. What
    new work asks counts as worse, unless its rule asked the same there before.
    """
    gone: dict[tuple[str, str], list[Finding]] = {}
    come: dict[tuple[str, str], list[Finding]] = {}
    for key, finding in before.items():
        if key not in after:
            gone.setdefault(key[:2], []).append(finding)
    asked: dict[tuple[str, str], set[str]] = {}
    for key, finding in before.items():
        asked.setdefault(key[:2], set()).update(finding.asks)
    worse: list[Finding] = []
    papers: list[Finding] = []
    for key, finding in after.items():
        if key not in before:
            come.setdefault(key[:2], []).append(finding)
        if finding.outcome in (FALLS_SHORT, NOT_MEASURED):
            earlier = [before[key]] if key in before else gone.get(key[:2], [])
            if any(_no_worse(one, finding) for one in earlier):
                continue
            if is_paper(finding):
                papers.append(finding)
            elif not _asked(finding, earlier, asked.get(key[:2], set())):
                worse.append(finding)
    settled = frozenset(
        key
        for key, finding in before.items()
        if finding.outcome == FALLS_SHORT and _is_settled(after.get(key), come.get(key[:2], []))
    )
    return Proof(report, settled, tuple(worse), tuple(papers))


def is_paper(finding: Finding) -> bool:
    """Whether a rule asks for nothing but photos, documents and what they cover: they are made as the work goes on."""
    kept = [field.split(".") for field in finding.rule.measures]
    own = [part in ("document", "evidence") or name == "evidence" for part, name in kept]
    return any(own) and all(is_own or part in ("site", "place") for is_own, (part, _) in zip(own, kept, strict=True))


def _asked(now: Finding, earlier: list[Finding], asked: set[str]) -> bool:
    """Whether something that was no question before only asks what its rule had to know there anyway."""
    fresh = all(one.outcome == DOES_NOT_APPLY for one in earlier)
    return fresh and now.outcome == NOT_MEASURED and bool(now.asks) and asked.issuperset(now.asks)


def _is_settled(now: Finding | None, come: list[Finding]) -> bool:
    answers = [now] if now is not None else come
    return all(one.outcome not in (FALLS_SHORT, NOT_MEASURED) for one in answers)


def _no_worse(earlier: Finding, now: Finding) -> bool:
    if earlier.outcome not in (FALLS_SHORT, NOT_MEASURED):
        return False
    if SEVERITIES.index(now.severity) < SEVERITIES.index(earlier.severity):
        return False
    if now.outcome == NOT_MEASURED:
        return True
    if earlier.outcome == NOT_MEASURED:
        return False
    missed, misses = shortfall(earlier.check), shortfall(now.check)
    if missed is None or misses is None or missed[0] != misses[0]:
        return True
    return misses[1].high <= missed[1].high * (1 + weights().growth)


def leaves(old: Any, new: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Where two trees of plain data differ, and what stands there in the new one (``None``: taken away)."""
    if old == new and isinstance(old, bool) == isinstance(new, bool):
        return
    if isinstance(new, dict):
        known = old if isinstance(old, dict) else {}
        for key, value in new.items():
            yield from leaves(known.get(key), value, (*path, key))
        yield from (((*path, key), None) for key in known if key not in new)
    elif isinstance(new, list) and any(isinstance(item, dict) for item in new):
        items = old if isinstance(old, list) else []
        pairs = {j: i for i, j in matched(items, new)}
        for n, item in enumerate(new):
            yield from leaves(items[pairs[n]] if n in pairs else None, item, (*path, n))
    else:
        yield path, new
