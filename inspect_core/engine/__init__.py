"""Loading packs, laying them one on the other, running their rules."""

from inspect_core.engine.finding import Finding
from inspect_core.engine.loading import LoadedPacks, PackFailure, field_schema, load_packs
from inspect_core.engine.run import EXIT_FINDINGS, EXIT_INPUT, EXIT_OK, EXIT_PACK, HoldPointState, Report, inspect
from inspect_core.engine.stack import PackRule, RuleSet, select, stack

__all__ = [
    "EXIT_FINDINGS",
    "EXIT_INPUT",
    "EXIT_OK",
    "EXIT_PACK",
    "Finding",
    "HoldPointState",
    "LoadedPacks",
    "PackFailure",
    "PackRule",
    "Report",
    "RuleSet",
    "field_schema",
    "inspect",
    "load_packs",
    "select",
    "stack",
]
