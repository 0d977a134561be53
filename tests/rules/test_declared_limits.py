"""A rule declares every limit that it compares with: what `explain` shows of it is whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import LimitDef, Limits, Rule
from inspect_core.site import Site, load_site

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.site.yaml"))


class Asked(Mapping[str, LimitDef]):
    """Limits that note which of them were asked for."""

    def __init__(self, defs: Mapping[str, LimitDef]) -> None:
        self.defs = defs
        self.names: set[str] = set()

    def __getitem__(self, name: str) -> LimitDef:
        self.names.add(name)
        return self.defs[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.defs)

    def __len__(self) -> int:
        return len(self.defs)


def asked_by(rule: Rule, site: Site, defs: Mapping[str, LimitDef]) -> set[str]:
    """Limits that a rule looks at on one site, with nothing kept from an earlier look."""
    asked = Asked(defs)
    limits = Limits(asked)
    targets: list[Any] = [site] if rule.scope == "site" else list(site.areas)
    for target in targets:
        for _ in rule.function(target, limits):
            pass
    return asked.names


def test_rules_declare_what_they_ask_for(packs: LoadedPacks) -> None:
    rules = stack([pack for pack in packs.packs if pack.id == "wood-floor-base"])
    sites = [load_site(path) for path in SAMPLES]
    undeclared = {}
    for one in (pack_rule.rule for pack_rule in rules.rules):
        asked = set().union(*(asked_by(one, site, rules.limits.defs) for site in sites))
        if missing := asked - set(one.limits):
            undeclared[one.id] = sorted(missing)
    assert undeclared == {}


def test_declared_limits_are_there(packs: LoadedPacks) -> None:
    rules = stack([pack for pack in packs.packs if pack.id == "wood-floor-base"])
    missing = {r.rule.id: [n for n in r.rule.limits if n not in rules.limits.defs] for r in rules.rules}
    assert {rule: names for rule, names in missing.items() if names} == {}
