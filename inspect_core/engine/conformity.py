"""Is a pack whole, and does it do what its author says? The checks behind ``inspect-core pack test``, and for pytest::

    import pytest
    from inspect_core.engine.conformity import pack_checks

    @pytest.mark.parametrize("checked", pack_checks("path/of/the/pack"), ids=str)
    def test_pack(checked):
        assert checked.problems == ()

A pack is whole when its metadata is, when each limit has its unit and a citation, when each limit that it changes has
cases on both sides, when each of its rules has cases, when its cases hold, when each provision that it names is listed
and each that it lists is covered or says why not, and when no finding of the packs below it gets lost.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from importlib.metadata import EntryPoint
from pathlib import Path
from typing import Any

from inspect_core.engine.choice import Choice, arrange
from inspect_core.engine.chosen import packs_for
from inspect_core.engine.finding import FROM_MEMORY, Finding
from inspect_core.engine.loading import GROUP, LoadedPacks, load_packs, missing_names
from inspect_core.engine.pack_cases import CASES_FILE, CaseFile, PackCase, read_pack_cases
from inspect_core.engine.run import Report, inspect
from inspect_core.engine.stack import sections_of, stack
from inspect_core.engine.yaml_pack import LOCAL, PACK_FILE
from inspect_core.rules_api import ADVISORY, FALLS_SHORT, MEETS, NOT_MEASURED, LimitDef, Pack, Rule
from inspect_core.rules_api.limits import PLAIN
from inspect_core.rules_api.provisions import COMMON_PRACTICE
from inspect_core.site import InputError, Problem, site_from_text


@dataclass(frozen=True, slots=True)
class Checked:
    """One check of a pack: its name, and what is wrong (nothing: it holds)."""

    name: str
    problems: tuple[str, ...]

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class PackFolder:
    """A pack's folder, loaded: the pack itself, everything that it may stand on, and its cases."""

    folder: Path
    pack: Pack
    loaded: LoadedPacks
    cases: CaseFile | None


def pack_checks(folder: str | Path, parents: Sequence[str] = ()) -> tuple[Checked, ...]:
    """Every check of the pack in a folder. ``parents`` are paths of YAML packs that it stands on.

    Raises :class:`InputError` where the folder holds no pack that can be read.
    """
    return tuple(_checks(load_folder(Path(folder), parents)))


def load_folder(folder: Path, parents: Sequence[str] = ()) -> PackFolder:
    """The pack of a folder, YAML or Python. A Python pack's code is run: it is the user's own."""
    if folder.is_file() or (folder / PACK_FILE).exists() or (folder / PACK_FILE).is_symlink():
        loaded = packs_for(folder / PACK_FILE, (*parents, str(folder)))
        command = loaded.choice.command or ()
        pack = next(p for p in loaded.packs if p.id == command[-1])
        home = folder.parent if folder.is_file() else folder
        return PackFolder(home, pack, loaded, read_pack_cases(home))
    own = _python_pack(folder)
    installed = load_packs()
    others = tuple(p for p in installed.packs if p.id != own.id)
    merged = LoadedPacks(tuple(sorted((*others, own), key=lambda p: p.id)), installed.failures)
    loaded = packs_for(folder / "pyproject.toml", parents, installed=merged)
    return PackFolder(folder, own, loaded, read_pack_cases(folder))


def _python_pack(folder: Path) -> Pack:
    import tomllib

    project = folder / "pyproject.toml"
    expected = f"a folder with {PACK_FILE}, or with a pyproject.toml that has an entry point in {GROUP}"
    try:
        text = project.read_text("utf-8")
        points: Any = tomllib.loads(text)["project"]["entry-points"][GROUP]
        entries = [EntryPoint(str(name), str(value), GROUP) for name, value in points.items()]
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise _no_pack(folder, "there is no pack in this folder", expected) from None
    places = [str(place) for place in (folder / "src", folder) if place.is_dir()]
    sys.path[:0] = [place for place in places if place not in sys.path]
    loaded = load_packs(entries)
    if loaded.failures or len(loaded.packs) != 1:
        why = "; ".join(failure.why for failure in loaded.failures) or "it has more than one pack"
        raise _no_pack(folder, f"the pack can't be used: {why}", "")
    return loaded.packs[0]


def _no_pack(folder: Path, message: str, expected: str) -> InputError:
    return InputError([Problem(str(folder), 0, 0, (), "no-pack", message, expected)])


# --- the checks -----------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Seen:
    """What the cases showed."""

    outcomes: dict[str, set[str]] = field(default_factory=dict)  # by limit id, of findings that compare with it
    named: dict[str, set[str]] = field(default_factory=dict)  # by limit id, of cases that name it
    of_rule: dict[str, set[str]] = field(default_factory=dict)
    lost: list[str] = field(default_factory=list)
    base: dict[str, list[tuple[str, str]]] = field(default_factory=dict)  # findings without the pack, by site text


def _checks(found: PackFolder) -> Iterator[Checked]:
    pack = found.pack
    below = arrange(found.loaded.packs, pack.stands_on).packs
    below = tuple(p for p in below if p.id != pack.id)
    yield Checked("metadata is whole", tuple(_metadata(pack)))
    yield Checked("each limit has its unit and a citation", tuple(_limits(pack, below)))
    yield Checked("each change says why and where it is written", tuple(_changes(pack)))
    yield Checked("it fits the packs below", tuple(_fit(pack, found.loaded)))
    yield Checked("its provisions are whole", tuple(_provisions(pack, below)))
    cases = found.cases
    if cases is None or not cases.cases:
        yield Checked("it has cases", (f"there are no cases: write {CASES_FILE} beside the pack",))
        return
    seen = _Seen()
    for case in cases.cases:
        yield Checked(f"case: {case.name}", tuple(_case(case, found, below, seen)))
    yield Checked("each changed limit has cases on both sides", tuple(_both_sides(pack, below, cases, seen)))
    yield Checked("each rule of the pack has cases", tuple(_rules_with_cases(pack, seen)))
    yield Checked("no finding gets lost", tuple(dict.fromkeys(seen.lost)))


def _metadata(pack: Pack) -> Iterator[str]:
    for name in ("version", "title", "place", "level", "edition", "effective"):
        if not getattr(pack, name):
            yield f"it does not say its {name}"
    if not pack.stands_on and pack.level != "model":
        yield "it does not say what it stands on"


def _limits(pack: Pack, below: tuple[Pack, ...]) -> Iterator[str]:
    known = stack(below).limits.defs
    for section in sections_of(pack):
        for name, limit in section.limits.items():
            if limit.dimension is None and not all(isinstance(value, tuple) for value in limit.values.values()):
                yield f"limit {name}: it has no unit"
            if not limit.citation and (name in known or not limit.source):
                yield f"limit {name}: it has no citation"
            if name in known and not limit.changed_because:
                yield f"limit {name}: it does not say why it was changed"
            if limit.effect not in ("", "tighter", "looser", "other"):
                yield f"limit {name}: effect is tighter, looser or other, not {limit.effect!r}"


def _changes(pack: Pack) -> Iterator[str]:
    for section in pack.sections:
        for change in section.rule_changes:
            if not change.because:
                yield f"change of rule {change.rule}: it does not say why"
            if not change.citation:
                yield f"change of rule {change.rule}: it has no citation"
        for handover in section.handovers:
            if not (handover.because and handover.citation):
                yield f"handover of {', '.join(handover.names)}: it needs a reason and a citation"


def _fit(pack: Pack, loaded: LoadedPacks) -> Iterator[str]:
    arrangement = arrange(loaded.packs, (pack.id,))
    yield from (f"{fault.pack}: {fault.why}" for fault in arrangement.faults)
    yield from missing_names(arrangement.packs)


def _provisions(pack: Pack, below: tuple[Pack, ...]) -> Iterator[str]:
    """Its own list against what its rules and limits name: nothing named that nobody lists, each row covered or not and
    why, no more than advice on what is known from memory only."""
    try:
        own = {one.id: one for one in pack.provisions()}
        lower = {one.id: other.id for other in below for one in other.provisions()}
    except ValueError as error:
        yield f"a list of provisions can't be read: {error}"
        return
    yield from (f"provision {name}: {lower[name]} lists it already" for name in own if name in lower)
    sections = list(sections_of(pack))
    limits = {limit.id: limit for section in sections for limit in section.limits.values()}
    rules = [one for section in sections for one in section.rules]
    named = [(f"rule {one.id}", one.provisions) for one in rules]
    named += [(f"limit {one.id}", one.provisions) for section in sections for one in section.limits.values()]
    there = {*own, *lower, COMMON_PRACTICE, LOCAL}
    for what, names in named:
        yield from (f"{what}: no pack lists provision {name}" for name in names if name not in there)
    recalled = {one.id for one in own.values() if one.status == FROM_MEMORY}
    for one in rules:
        advice = one.severity == ADVISORY or any(
            name in limits and limits[name].status == FROM_MEMORY for name in one.limits
        )
        if one.provisions and recalled.issuperset(one.provisions) and not advice:
            yield f"rule {one.id}: what it checks is from memory only, so it or its limit has to say so"
    covered = {name for _, names in named for name in names}
    for row in own.values():
        if row.id in covered and row.reason:
            yield f"provision {row.id}: it gives a reason for not being covered, and it is"
        elif row.id not in covered and not row.reason:
            yield f"provision {row.id}: no rule and no limit names it, and it gives no reason"


def _case(case: PackCase, found: PackFolder, below: tuple[Pack, ...], seen: _Seen) -> Iterator[str]:
    try:
        site = site_from_text(case.text, f"the site of case {case.name!r}")
    except InputError as error:
        yield f"{case.where}: its site can't be read: {error.problems[0].message} ({_path(error.problems[0].path)})"
        return
    names = (found.pack.id,)
    try:
        report = inspect(site, replace(found.loaded, choice=Choice(names)))
    except InputError as error:
        yield f"{case.where}: {error.problems[0].message}"
        return
    yield from (f"{case.where}: {failure.pack}: {failure.why}" for failure in report.failures)
    yield from _said_wrongly(found.pack, report)
    about = [finding for finding in report.findings if finding.rule.id == case.rule]
    if report.rules.rule(case.rule) is None:
        yield f"{case.where}: there is no rule {case.rule}"
    yield from _unexpected(case, about)
    for finding in about:
        _note(finding, case, found.pack, seen)
    if case.text not in seen.base:
        choice = Choice(tuple(p.id for p in below if p.stands_on))
        base = inspect(site, replace(found.loaded, packs=below, choice=choice))
        seen.base[case.text] = [(finding.rule.id, finding.subject) for finding in base.findings]
    seen.lost += _lost(seen.base[case.text], report, case)


def _said_wrongly(pack: Pack, report: Report) -> Iterator[str]:
    """A limit that is said to be tighter, and a finding shows that it is looser."""
    for one in report.loosened:
        limit = report.rules.limits.defs.get(one.name.partition("/")[0]) if one.kind == "limit" else None
        if one.by == pack.id and limit is not None and limit.effect == "tighter":
            yield f"limit {one.name}: it is said to be tighter, and it is looser: {one.words('in')}"


def _path(path: Iterable[str | int]) -> str:
    return "/" + "/".join(map(str, path))


def _unexpected(case: PackCase, about: list[Finding]) -> Iterator[str]:
    given: dict[str, str] = {}
    for finding in about:
        if finding.subject in given:
            yield f"{case.where}: {case.rule} answers twice about {finding.subject}"
        given[finding.subject] = finding.outcome
    for subject in dict.fromkeys((*case.expect, *given)):
        want, have = case.expect.get(subject), given.get(subject)
        if want != have:
            said = next((f.message("in") for f in about if f.subject == subject), "")
            reason = f" ({said})" if said else ""
            yield f"{case.where}: {subject}: expected {want or 'no finding'}, found {have or 'no finding'}{reason}"


def _note(finding: Finding, case: PackCase, pack: Pack, seen: _Seen) -> None:
    seen.of_rule.setdefault(finding.rule.id, set()).add(finding.outcome)
    for limit in (finding.check.limit, finding.check.upper):
        if limit is not None and limit.set_by == pack.id:
            seen.outcomes.setdefault(limit.id, set()).add(finding.outcome)
    for name in case.limits:
        seen.named.setdefault(name, set()).add(finding.outcome)


def _lost(base: list[tuple[str, str]], report: Report, case: PackCase) -> Iterator[str]:
    have = {(f.rule.id, f.subject) for f in report.findings}
    for rule, subject in base:
        if (rule, subject) not in have:
            yield f"{case.where}: {rule} says nothing any more about {subject}"


def _both_sides(pack: Pack, below: tuple[Pack, ...], cases: CaseFile, seen: _Seen) -> Iterator[str]:
    known = stack(below).limits.defs
    own_rules = [one for section in sections_of(pack) for one in section.rules]
    done: set[str] = set()
    for section in sections_of(pack):
        for name, limit in section.limits.items():
            for key in limit.values:
                full = name if key == PLAIN else f"{name}/{key}"
                if full in done or full in cases.exempt or name in cases.exempt:
                    continue
                done.add(full)
                yield from _sides(full, limit, name in known, own_rules, seen)


def _sides(full: str, limit: LimitDef, is_changed: bool, own_rules: list[Rule], seen: _Seen) -> Iterator[str]:
    compared, named = seen.outcomes.get(full, set()), seen.named.get(full, set())
    shows_both = {MEETS, FALLS_SHORT} <= compared or (MEETS in named and named & {FALLS_SHORT, NOT_MEASURED})
    if not shows_both and not is_changed:  # its own rule's cases will do
        users = [one for one in own_rules if limit.id in one.limits]
        shows_both = any(
            MEETS in seen.of_rule.get(one.id, ()) and seen.of_rule[one.id] & {FALLS_SHORT, NOT_MEASURED}
            for one in users
        )
    if not shows_both:
        missing = [word for word in (MEETS, FALLS_SHORT) if word not in compared | named]
        yield f"limit {full}: no case in which it {' nor one in which it '.join(missing)}; or name it under `exempt`"
    elif is_changed and not compared and not limit.effect:
        yield f"limit {full}: no finding shows whether it is looser; say so: effect: tighter, looser or other"


def _rules_with_cases(pack: Pack, seen: _Seen) -> Iterator[str]:
    for section in sections_of(pack):
        for one in section.rules:
            outcomes = seen.of_rule.get(one.id, set())
            if MEETS not in outcomes:
                yield f"rule {one.id}: no case in which it meets"
            if not outcomes & {FALLS_SHORT, NOT_MEASURED}:
                yield f"rule {one.id}: no case in which it falls short or is not measured"
