"""What a rule checks and why, from the metadata beside it: for `explain` and for the generated rule pages."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inspect_core.engine import PackRule, RuleSet, field_schema
from inspect_core.engine.loosened import shown as shown_limit
from inspect_core.quantities import Units
from inspect_core.report.layout import wrapped
from inspect_core.rules_api import LimitDef


def rule_data(rules: RuleSet, pack_rule: PackRule, units: Units = "in") -> dict[str, Any]:
    """Everything about one rule, as plain data; its limits in ``units``."""
    one = pack_rule.rule
    reference = rules.references.get(one.reference)
    return {
        "rule": one.id,
        "pack": pack_rule.pack,
        "checks": one.summary,
        "why": one.why,
        "topic": one.topic,
        "hold_point": one.hold_point,
        "severity": one.severity,
        "binds": list(one.binds),
        "limits": [limit_data(rules.limits.defs[name], units) for name in one.limits if name in rules.limits.defs],
        "reference": {
            "key": one.reference,
            "text": reference.text if reference else "",
            "adopted": reference.adopted if reference else False,
        },
        "remedy": one.remedy,
        "cautions": [rules.cautions[key].text for key in one.cautions if key in rules.cautions],
        "measure": [_measure_data(field) for field in one.measures],
        "provisions": list(one.provisions),
    }


def limit_data(limit: LimitDef, units: Units) -> dict[str, Any]:
    """A limit with its values, owner, source, and what it was before."""
    return {
        "id": limit.id,
        "says": limit.says,
        "values": {key or "value": shown_limit(value, units, limit.percent) for key, value in limit.values.items()},
        "by": limit.by,
        "set_by": limit.set_by,
        "was": [
            {
                "set_by": old.set_by,
                "values": {k or "value": shown_limit(v, units, old.percent) for k, v in old.values.items()},
            }
            for old in limit.was
        ],
        "source": limit.citation or limit.source,
        "status": limit.status,
        "editions": limit.editions,
    }


def _measure_data(field: str) -> dict[str, str]:
    schema = field_schema(field) or {}
    measure = schema.get("measure", {})
    return {
        "field": field,
        "what": str(schema.get("description", "")),
        "how": str(measure.get("how", "")),
        "tool": str(measure.get("tool", "")),
    }


def rule_list(rules: RuleSet) -> str:
    """All rules, one line each, by topic."""
    lines: list[str] = []
    for topic in dict.fromkeys(r.rule.topic for r in rules.rules):
        lines += ["", topic.replace("_", " ")] if lines else [topic.replace("_", " ")]
        for pack_rule in rules.rules:
            if pack_rule.rule.topic == topic:
                one = pack_rule.rule
                lines += wrapped(f"{one.id}: {one.summary}", "  ", "      ")
    return "\n".join(lines) + "\n"


def rule_text(rules: RuleSet, pack_rule: PackRule, units: Units = "in") -> str:
    """One rule for a person, in 80 columns."""
    return "\n".join(_rule_lines(rule_data(rules, pack_rule, units))) + "\n"


def _rule_lines(data: dict[str, Any]) -> Iterator[str]:
    yield from wrapped(f"{data['rule']}: {data['checks']}", "", "  ")
    if data["why"]:
        yield from wrapped(f"Why: {data['why']}", "", "  ")
    yield f"Pack {data['pack']}, hold point {data['hold_point']}, severity {data['severity']}"
    yield f"Binds {', '.join(data['binds'])} work"
    for limit in data["limits"]:
        yield ""
        yield from wrapped(f"Limit {limit['id']}: {limit['says']}", "", "  ")
        for key, value in limit["values"].items():
            yield from wrapped(value if key == "value" else f"{key}: {value}", "  ", "    ")
        yield from wrapped(f"Set by {limit['set_by']}. Source: {limit['source']} ({limit['status']})", "  ", "    ")
        for old in limit["was"]:
            values = ", ".join(v if k == "value" else f"{k}: {v}" for k, v in old["values"].items())
            yield from wrapped(f"Was {values} (set by {old['set_by']})", "  ", "    ")
        if limit["editions"]:
            yield from wrapped(f"Editions: {limit['editions']}", "  ", "    ")
    yield ""
    adopted = "" if data["reference"]["adopted"] else " [not adopted here]"
    yield from wrapped(f"Reference {data['reference']['key']}: {data['reference']['text']}{adopted}", "", "  ")
    yield from wrapped(f"Remedy: {data['remedy']}", "", "  ")
    for text in data["cautions"]:
        yield from wrapped(f"Caution: {text}", "", "  ")
    for measure in data["measure"]:
        how = f" How: {measure['how']} Tool: {measure['tool']}." if measure["how"] else ""
        yield from wrapped(f"Measure {measure['field']}: {measure['what']}{how}", "", "  ")
    if data["provisions"]:
        yield from wrapped(f"Provisions: {', '.join(data['provisions'])}", "", "  ")
