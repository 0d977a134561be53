"""The packs of a run: those installed, and YAML packs that the user named on the command line or in a configuration.

A configuration is a file `inspect-core.yaml` found in the site file's folder or in one above it, or named. It can name
folders of YAML packs (data, never code), the packs that sites stand on that say nothing, and packs always laid on top::

    format: 1
    pack_folders: [packs/alder_county]
    packs: [alder-county]
    on_top: [our-firm]
    variances: variances.yaml

A site file can only name packs by id, never by path.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Final

from inspect_core.engine.choice import Choice, arrange
from inspect_core.engine.loading import LoadedPacks, load_packs
from inspect_core.rules_api import Pack
from inspect_core.site import InputError, Problem

CONFIG_FILE: Final = "inspect-core.yaml"


@dataclass(frozen=True, slots=True)
class Config:
    """What a firm's configuration says. ``folders`` are absolute, and so is the ``variances`` file."""

    file: str = ""
    folders: tuple[Path, ...] = ()
    packs: tuple[str, ...] = ()
    on_top: tuple[str, ...] = ()
    variances: Path | None = None


NO_CONFIG: Final = Config()


def find_config(site: Path) -> Path | None:
    """The configuration nearest to a site file, going up from its folder."""
    folder = site.resolve().parent
    for here in (folder, *folder.parents):
        if (here / CONFIG_FILE).is_file():
            return here / CONFIG_FILE
    return None


def read_config(path: Path) -> Config:
    """Read a configuration. Raises :class:`InputError` with line and column of everything wrong."""
    from inspect_core.site.reader import read_file

    document = read_file(path)
    data, problems = _converter().convert(document, lambda _: "in")
    if problems:
        raise InputError(problems)
    home = path.resolve().parent
    return Config(
        str(path),
        tuple(home / folder for folder in data.get("pack_folders", ())),
        tuple(data.get("packs", ())),
        tuple(data.get("on_top", ())),
        home / data["variances"] if "variances" in data else None,
    )


def settings_for(site: Path | None, config: Path | None = None) -> Config:
    """The configuration that is named, or else the one nearest to a site file. Raises :class:`InputError`."""
    found = config if config is not None else find_config(site) if site is not None else None
    return read_config(found) if found is not None else NO_CONFIG


_NAMES: Final[dict[str, Any]] = {
    "type": "array",
    "items": {"type": "string", "description": "a pack id", "minLength": 1, "maxLength": 60},
    "maxItems": 50,
}
CONFIG_SCHEMA: Final[dict[str, Any]] = {
    "type": "object",
    "properties": {
        "format": {"const": 1, "description": "Number of this file format.", "examples": [1]},
        "pack_folders": {
            "type": "array",
            "description": "Folders of YAML packs, from this file's folder.",
            "items": {"type": "string", "description": "a folder", "minLength": 1, "maxLength": 500},
            "maxItems": 50,
            "examples": [["packs/alder_county"]],
        },
        "packs": {**_NAMES, "description": "Packs of sites that name none, in order.", "examples": [["alder-county"]]},
        "on_top": {**_NAMES, "description": "Packs that always come last.", "examples": [["our-firm"]]},
        "variances": {
            "type": "string",
            "description": "A file of variances that were granted, from this file's folder.",
            "minLength": 1,
            "maxLength": 500,
            "examples": ["variances.yaml"],
        },
    },
    "required": ["format"],
    "additionalProperties": False,
}


@cache
def _converter() -> Any:
    from inspect_core.site.convert import compile_schema

    return compile_schema(CONFIG_SCHEMA)


def packs_for(
    site: Path | None = None,
    named: Sequence[str] = (),
    config: Path | None = None,
    installed: LoadedPacks | None = None,
) -> LoadedPacks:
    """The packs for one site file, and what was asked for besides it.

    ``named`` are ids, or paths of YAML packs, as given on the command line; ``config`` a configuration's path (else
    one is looked for upwards from the site). Raises :class:`InputError` for a configuration or a pack file that can't
    be used; installed packs that can't are told in ``failures``.
    """
    installed = load_packs() if installed is None else installed
    settings = settings_for(site, config)
    ids = {pack.id for pack in installed.packs}
    paths = [name for name in named if is_path(name, ids)]
    if not settings.folders and not paths:
        given = tuple(named) if named else None
        return replace(installed, choice=Choice(given, settings.packs, settings.on_top))
    built = with_yaml(installed.packs, [*settings.folders, *map(Path, paths)])
    by_path = {path: pack.id for path, pack in zip([*map(str, settings.folders), *paths], built, strict=True)}
    packs = {pack.id: pack for pack in (*installed.packs, *built)}
    command = tuple(by_path.get(name, name) for name in named) if named else None
    choice = Choice(command, settings.packs, settings.on_top)
    return LoadedPacks(tuple(packs[name] for name in sorted(packs)), installed.failures, choice)


def is_path(name: str, ids: Iterable[str]) -> bool:
    """Whether a name given by the user is a pack file or folder: it isn't a known id and looks like one."""
    return name not in ids and (
        "/" in name or os.sep in name or name.endswith((".yaml", ".yml")) or Path(name).exists()
    )


def with_yaml(installed: Sequence[Pack], paths: Sequence[Path]) -> list[Pack]:
    """YAML packs built on the installed ones and on one another, in the order of the paths."""
    from inspect_core.engine.yaml_pack import PackFile, build_pack, read_pack

    files: list[PackFile] = [read_pack(path) for path in paths]
    by_id: dict[str, PackFile] = {}
    ready = {pack.id: pack for pack in installed}
    problems: list[Problem] = []
    for file in files:
        other = by_id.get(file.id)
        if file.id in ready or (other is not None and other.digest != file.digest):
            where = "is installed" if file.id in ready else f"stands in {other.folder if other else ''}"
            mark = file.document.where_value(("pack", "id"))
            message = f"another pack called {file.id} {where}"
            problems.append(file.document.problem(mark, ("pack", "id"), "pack-twice", message, "another id"))
        by_id.setdefault(file.id, file)
    if problems:
        raise InputError(problems)

    def built(file: PackFile, above: tuple[str, ...]) -> Pack:
        if file.id in ready:
            return ready[file.id]
        names = {f.id: f for f in by_id.values()} | {
            f.data["pack"]["series"]: f for f in by_id.values() if "series" in f.data["pack"]
        }
        for number, name in enumerate(file.stands_on):
            here = ("pack", "stands_on", number)
            parent = by_id.get(name) or (names.get(name) if name not in ready else None)
            if parent is not None and parent.id in (*above, file.id):
                circle = " on ".join((*above, file.id, parent.id))
                raise _misfit(file, here, f"packs stand on one another in a circle: {circle}")
            if parent is not None:
                built(parent, (*above, file.id))
            elif name not in ready and not any(pack.series == name for pack in ready.values()):
                from inspect_core.rules_api.conditions import no_such

                message = no_such("pack", name, [*ready, *by_id], ", neither installed nor named")
                raise _misfit(file, here, message, "a pack that is there")
        ready[file.id] = build_pack(file, arrange(ready.values(), file.stands_on).packs, ready.values())
        return ready[file.id]

    return [built(file, ()) for file in files]


def _misfit(file: Any, path: tuple[str | int, ...], message: str, expected: str = "") -> InputError:
    document = file.document
    return InputError([document.problem(document.where(path), path, "stands-on", message, expected)])
