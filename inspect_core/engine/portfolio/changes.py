"""What has changed since a revision, by git: the working tree against it, files that git does not know yet included.

Both names of a file that was renamed count, and so does a file that was deleted. A site that git ignores, or that lies
outside the repository, counts as changed, since nobody can tell; packs outside of it are not seen.
Git is asked with fixed arguments; nothing of the repository's configuration is run.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from inspect_core.engine.chosen import CONFIG_FILE, Config, find_config, settings_for
from inspect_core.engine.loading import LoadedPacks, load_packs
from inspect_core.engine.portfolio.find import SiteFile
from inspect_core.site import InputError

_SAFE: Final = ("-c", "core.fsmonitor=false", "-c", "core.hooksPath=", "-c", "core.quotePath=false")


class CannotTell(Exception):  # noqa: N818 - it names what happened
    """Git can't say what changed: no repository, no such revision, no git. The text says which."""


@dataclass(frozen=True, slots=True)
class Changes:
    """Absolute paths that changed, as they stand below the repository's real folder; and all that git looks at."""

    paths: frozenset[str]
    known: frozenset[str]

    def has(self, path: str | Path) -> bool:
        """Whether this file changed, or what a link of this name leads to."""
        return _place(path) in self.paths or os.path.realpath(path) in self.paths

    def can_tell(self, path: str | Path) -> bool:
        """Whether git would see a change: not of a file that it ignores, or outside the repository."""
        return _place(path) in self.known and os.path.realpath(path) in self.known

    def below(self, folder: str | Path) -> bool:
        """Whether anything in this folder changed, or this file, if it is one."""
        top = os.path.realpath(folder)
        return any(path == top or path.startswith(top + os.sep) for path in self.paths)


def changed_since(revision: str, root: Path) -> Changes:
    """What changed in the repository that ``root`` lies in. Raises :class:`CannotTell`."""
    if revision.startswith("-") or not revision:
        raise CannotTell(f"{revision!r} is no revision")
    top = _git(root, "rev-parse", "--show-toplevel", wrong=f"{root} is not in a git repository").rstrip("\n")
    wrong = f"git knows no revision {revision!r} (in a shallow clone, fetch it first)"
    commit = _git(root, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}", wrong=wrong)
    differing = ("diff", "--name-only", "--no-renames", "--no-ext-diff", "--no-textconv", "-z", commit.strip(), "--")
    untracked = ("ls-files", "--others", "--exclude-standard", "--full-name", "-z", "--")
    tracked = ("ls-files", "--full-name", "-z", "--")
    folder = Path(os.path.realpath(top))
    new = _paths(folder, _git(folder, *untracked))
    return Changes(
        _paths(folder, _git(folder, *differing)) | new,
        _paths(folder, _git(folder, *tracked)) | new,
    )


def _paths(folder: Path, names: str) -> frozenset[str]:
    return frozenset(str(folder / name) for name in names.split("\0") if name)


def _place(path: str | Path) -> str:
    """Where a file stands, when it may be a link itself."""
    return str(Path(path).parent.resolve() / Path(path).name)


def _git(folder: Path, *arguments: str, wrong: str = "") -> str:
    environment = {**os.environ, "LC_ALL": "C", "GIT_OPTIONAL_LOCKS": "0", "GIT_TERMINAL_PROMPT": "0"}
    try:
        done = subprocess.run(
            ["git", *_SAFE, "-C", str(folder), *arguments],
            capture_output=True,
            env=environment,
            stdin=subprocess.DEVNULL,
            check=False,
        )
    except FileNotFoundError:
        raise CannotTell("git is not installed, so it can't be told what changed") from None
    if done.returncode:
        said = os.fsdecode(done.stderr).strip().partition("\n")[0]
        raise CannotTell(": ".join(filter(None, (wrong or f"git {arguments[0]} failed", said))))
    return os.fsdecode(done.stdout)


def touched(
    sites: Sequence[SiteFile],
    changes: Changes,
    packs: Sequence[str] = (),
    config: Path | None = None,
    variances: Path | None = None,
) -> list[SiteFile]:
    """The sites that changed, or that stand on something that did.

    A change of the configuration, of a pack folder or of the variances file concerns all sites that use it; one of an
    installed pack or of this program concerns all. A site of which git can't tell is one of them. ``packs`` are those
    named on the command line.
    """
    if changes.paths and _all_touched(changes, load_packs(), packs, config, variances):
        return list(sites)
    folders: dict[Path, bool] = {}
    found = []
    for site in sites:
        folder = Path(site.path).resolve().parent
        if folder not in folders:
            folders[folder] = config is None and _under_touched(folder, changes)
        if folders[folder] or changes.has(site.path) or not changes.can_tell(site.path):
            found.append(site)
    return found


def _all_touched(
    changes: Changes, loaded: LoadedPacks, packs: Sequence[str], config: Path | None, variances: Path | None
) -> bool:
    roots = [pack.origin.root for pack in loaded.packs if pack.origin is not None and pack.origin.root]
    used: list[str | Path] = [Path(__file__).parents[2], *roots]
    used += [name for name in packs if Path(name).exists()]
    if config is not None:
        used += [config, *_used_by(settings_for(None, config))]
    if variances is not None:
        used.append(variances)
    return any(map(changes.below, used))


def _under_touched(folder: Path, changes: Changes) -> bool:
    """Whether the configuration of a folder changed, or what it names; also one that was taken away from above it."""
    if any(changes.has(above / CONFIG_FILE) for above in (folder, *folder.parents)):
        return True
    config = find_config(folder / "any")
    if config is None:
        return False
    try:
        settings = settings_for(None, config)
    except InputError:
        return True  # the check will tell what is wrong with it
    return any(map(changes.below, _used_by(settings)))


def _used_by(settings: Config) -> Iterable[Path]:
    yield from settings.folders
    if settings.variances is not None:
        yield settings.variances
