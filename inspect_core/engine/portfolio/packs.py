"""Configurations, packs and rules that the sites of a run may stand on, each looked at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from inspect_core.engine.chosen import Config, find_config, packs_for, read_config
from inspect_core.engine.finding import RULE_FAILED
from inspect_core.engine.loading import LoadedPacks, load_packs
from inspect_core.engine.portfolio.find import SiteFile
from inspect_core.engine.stack import sections_of
from inspect_core.rules_api import HOLD_POINTS, STOP_WORK, Pack, Rule
from inspect_core.site import InputError


def configurations(sites: Sequence[SiteFile], config: Path | None = None) -> list[Path]:
    """The configuration that is named, or else those found above the sites."""
    if config is not None:
        return [config]
    folders = {Path(site.path).resolve().parent for site in sites}
    return sorted({found for folder in folders if (found := find_config(folder / "any")) is not None})


def settings(configs: Sequence[Path]) -> Iterator[Config]:
    """What they say; one that can't be used is told by the check of each site below it."""
    for path in configs:
        try:
            yield read_config(path)
        except InputError:
            continue


def packs_of(configs: Sequence[Path], named: Sequence[str] = ()) -> dict[str, Pack]:
    """All packs by id: installed, named on the command line, in the folders of the configurations."""
    installed: LoadedPacks = load_packs()
    found = {pack.id: pack for pack in installed.packs}
    for path in (None, *configs):
        try:
            found |= {pack.id: pack for pack in packs_for(None, named, path, installed).packs}
        except InputError:
            continue
    return found


def rules_of(packs: dict[str, Pack]) -> dict[str, dict[str, str]]:
    """Rule id -> summary, help, severity, hold_point, as its own pack states them; sorted by id."""
    parts = [part for pack in packs.values() for part in sections_of(pack)]
    cautions = {key: caution.text for part in parts for key, caution in part.cautions.items()}
    told = {one.id: rule_entry(one, cautions) for part in parts for one in part.rules}
    told[RULE_FAILED] = {
        "summary": "Each rule runs to its end.",
        "help": "Tell the pack's author; until it is mended, check this by hand.",
        "severity": STOP_WORK,
        "hold_point": "",
    }
    return dict(sorted(told.items()))


def rule_entry(rule: Rule, cautions: Mapping[str, str]) -> dict[str, str]:
    """One rule in words; the cautions that go with its remedy stand beside it."""
    remedy = f"Remedy: {rule.remedy}" if rule.remedy else ""
    care = (f"Caution: {cautions[key]}" for key in rule.cautions if key in cautions)
    return {
        "summary": rule.summary,
        "help": "\n".join(filter(None, (rule.why, remedy, *care))),
        "severity": rule.severity,
        "hold_point": rule.hold_point,
    }


def hold_points_of(packs: dict[str, Pack]) -> tuple[str, ...]:
    """Every hold point there can be."""
    more = [
        name
        for pack in packs.values()
        for name in (*pack.hold_points, *(point.id for part in sections_of(pack) for point in part.hold_points))
    ]
    return tuple(dict.fromkeys((*HOLD_POINTS, *more)))
