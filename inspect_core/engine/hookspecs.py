"""The whole plug-in API: one hook. Write packs against :mod:`inspect_core.rules_api`."""

from __future__ import annotations

import pluggy

from inspect_core.rules_api import Pack

hookspec = pluggy.HookspecMarker("inspect_core")


@hookspec
def inspect_pack() -> Pack:
    """Return the pack's rules, limits, references and cautions.

    Called once in each run, before any site is checked. Whatever it raises is reported with the pack's name;
    the other packs still run, and the exit code is 3.
    """
    raise NotImplementedError
