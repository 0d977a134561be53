"""Rule cases as data: a small site, edits to it, and the whole list of findings that one rule must give.

A case file is YAML::

    site: {…}                     # a whole site description: what every case starts from
    cases:
      - rule: joist-bearing
        kind: at-limit            # meets, falls-short, at-limit, past-limit, not-measured, does-not-apply
        name: exactly on the limit
        set: {/areas/0/joists/0/each/bearing/S1: 1 1/2}     # path: new value; a last step of - adds to a list
        remove: [/areas/0/joists/0/each/bearing/B1]
        expect: {"joist J1, south end on S1": meets}         # every finding of this rule, subject: outcome
    exempt: {some-rule: {does-not-apply: why no such case can exist}}

The same runner serves the base pack's tests and any other pack's.
"""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from inspect_core.engine.loading import LoadedPacks
from inspect_core.engine.run import Report, inspect
from inspect_core.site import site_from_text

KINDS = ("meets", "falls-short", "at-limit", "past-limit", "not-measured", "does-not-apply")


@dataclass(frozen=True, slots=True)
class Case:
    """One case of one rule; ``site`` is the whole site description."""

    rule: str
    kind: str
    name: str
    site: Any
    expect: dict[str, str]

    @property
    def text(self) -> str:
        """The site description as YAML; written only where the case is run."""
        return as_yaml(self.site)


def as_yaml(site: Any) -> str:
    """A site description as text."""
    return yaml.dump(site, Dumper=_DUMPER, sort_keys=False, allow_unicode=True)


# libyaml's, where there is one, are ten times as quick as those in Python.
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


def read_cases(text: str) -> Iterator[Case]:
    """Cases of one file. Raises ``ValueError`` with the case's name where the file is wrong."""
    data = yaml.load(text, Loader=_LOADER)
    for item in data["cases"]:
        label = f"{item.get('rule')}: {item.get('name')}"
        if item.get("kind") not in KINDS:
            raise ValueError(f"{label}: kind is one of {', '.join(KINDS)}")
        site = edited(data["site"], item.get("set") or {}, item.get("remove") or (), label)
        yield Case(item["rule"], item["kind"], item["name"], site, item["expect"])


def read_exemptions(text: str) -> dict[str, dict[str, str]]:
    """For each rule the kinds of case that it can't have, each with the reason."""
    exempt: dict[str, dict[str, str]] = yaml.load(text, Loader=_LOADER).get("exempt") or {}
    return exempt


def edited(site: Any, changes: dict[str, Any], removals: Iterable[str], label: str = "") -> Any:
    """A copy of ``site`` with values set and removed by path (``/areas/0/layers/1/thickness``).

    It shares nothing with the site or with ``changes``, so that one case can't change another.
    """
    site = copy.deepcopy(site)
    for path in removals:
        holder, last = _holder(site, path, label)
        del holder[last]
    for path, value in changes.items():
        holder, last = _holder(site, path, label)
        if last == "-":
            holder.append(copy.deepcopy(value))
        else:
            holder[last] = copy.deepcopy(value)
    return site


def _holder(site: Any, path: str, label: str) -> tuple[Any, Any]:
    steps = path.strip("/").split("/")
    here = site
    for step in steps[:-1]:
        try:
            here = here[int(step)] if isinstance(here, list) else here.setdefault(step, {})
        except (IndexError, ValueError, AttributeError):
            raise ValueError(f"{label}: there is no {path} in the site") from None
    last: Any = steps[-1]
    return here, int(last) if isinstance(here, list) and last != "-" else last


def run_case(case: Case, packs: LoadedPacks) -> tuple[dict[str, str], Report]:
    """What the case's rule says: subject and outcome of each of its findings, and the whole report.

    Two findings of one rule about one subject would hide one another: that raises ``ValueError``.
    """
    report = inspect(site_from_text(case.text, case.name), packs)
    found: dict[str, str] = {}
    for finding in report.findings:
        if finding.rule.id == case.rule:
            if finding.subject in found:
                raise ValueError(f"{case.rule} answers twice about {finding.subject}")
            found[finding.subject] = finding.outcome
    return found, report
