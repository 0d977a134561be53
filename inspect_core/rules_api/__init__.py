"""All that a pack author imports: rules, checks, limits, packs. Everything else of the engine is private."""

import pluggy

from inspect_core.quantities.dates import Day, day
from inspect_core.rules_api.changes import ALWAYS, Gate, Handover, HoldPoint, RuleChange, Section
from inspect_core.rules_api.check import Check, Named, Subject, check, does_not_apply, fact, not_measured
from inspect_core.rules_api.conditions import When, when
from inspect_core.rules_api.limits import Limit, LimitDef, Limits
from inspect_core.rules_api.pack import API_VERSION, Caution, Pack, Reference, load_data
from inspect_core.rules_api.provisions import Provision
from inspect_core.rules_api.repairs import Repair
from inspect_core.rules_api.rule import Rule, rule, rules_in
from inspect_core.rules_api.subjects import named
from inspect_core.rules_api.vocabulary import (
    ADVISORY,
    CORRECTION,
    DOES_NOT_APPLY,
    FALLS_SHORT,
    HOLD_POINTS,
    MEETS,
    NOT_MEASURED,
    OUTCOMES,
    SEVERITIES,
    STATUSES,
    STOP_WORK,
    Outcome,
    Severity,
)

hookimpl = pluggy.HookimplMarker("inspect_core")
"""Marks a pack's ``inspect_pack`` function."""

__all__ = [
    "ADVISORY",
    "ALWAYS",
    "API_VERSION",
    "CORRECTION",
    "DOES_NOT_APPLY",
    "FALLS_SHORT",
    "HOLD_POINTS",
    "MEETS",
    "NOT_MEASURED",
    "OUTCOMES",
    "SEVERITIES",
    "STATUSES",
    "STOP_WORK",
    "Caution",
    "Check",
    "Day",
    "Gate",
    "Handover",
    "HoldPoint",
    "Limit",
    "LimitDef",
    "Limits",
    "Named",
    "Outcome",
    "Pack",
    "Provision",
    "Reference",
    "Repair",
    "Rule",
    "RuleChange",
    "Section",
    "Severity",
    "Subject",
    "When",
    "check",
    "day",
    "does_not_apply",
    "fact",
    "hookimpl",
    "load_data",
    "named",
    "not_measured",
    "rule",
    "rules_in",
    "when",
]
