"""Packs for people and programs: which there are, what one changes, whether it is whole, how two differ."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from inspect_core.engine import LoadedPacks, RuleSet
from inspect_core.engine.conformity import Checked
from inspect_core.engine.hashes import content_hash, kind_of
from inspect_core.engine.loosened import shown
from inspect_core.engine.pack_diff import Difference, FindingChange
from inspect_core.engine.stack import sections_of
from inspect_core.quantities import Units
from inspect_core.report.layout import wrapped
from inspect_core.rules_api import Pack, Section

NONE = "(nothing)"


def pack_record(pack: Pack) -> dict[str, Any]:
    """Who speaks in a pack, for where and when, and what stands behind it."""
    return {
        "id": pack.id,
        "version": pack.version,
        "title": pack.title,
        "kind": kind_of(pack),
        "hash": content_hash(pack),
        "where": pack.origin.where if pack.origin is not None else "",
        "place": pack.place,
        "level": pack.level,
        "edition": pack.edition,
        "effective": pack.effective,
        "expires": pack.expires,
        "series": pack.series,
        "stands_on": list(pack.stands_on),
        "amendable_by": None if pack.amendable_by is None else list(pack.amendable_by),
        "invented": pack.invented,
        "api": pack.api,
    }


def list_data(loaded: LoadedPacks) -> dict[str, Any]:
    """Every pack that is installed or named, and those that can't be used."""
    return {
        "format": 1,
        "packs": [pack_record(pack) for pack in loaded.packs],
        "failures": [{"pack": failure.pack, "message": failure.why} for failure in loaded.failures],
    }


def list_text(loaded: LoadedPacks) -> str:
    """The same for people."""
    lines: list[str] = []
    for pack in loaded.packs:
        invented = " (invented)" if pack.invented else ""
        lines += wrapped(f"{pack.id} {pack.version}: {pack.title}{invented}", "", "  ")
        lines += wrapped(_identity(pack), "  ", "    ")
        code = "; it is code that you installed" if kind_of(pack) == "python" else "; data only"
        where = pack.origin.where if pack.origin is not None else ""
        lines += wrapped(f"{kind_of(pack)}: {where}{code}", "  ", "    ")
    for failure in loaded.failures:
        lines += wrapped(f"PACK FAILED: {failure.pack}: {failure.why}", "", "  ")
    return "\n".join(lines or ["no packs are installed"]) + "\n"


def _identity(pack: Pack) -> str:
    parts = [
        pack.place,
        pack.level,
        pack.edition,
        f"from {pack.effective}" if pack.effective else "",
        f"until {pack.expires}" if pack.expires else "",
        f"stands on {', '.join(pack.stands_on)}" if pack.stands_on else "",
        f"series {pack.series}" if pack.series else "",
        "" if pack.amendable_by is None else f"may be amended by {' and '.join(pack.amendable_by) or 'nobody'}",
    ]
    return ", ".join(part for part in parts if part) or "no place, no date"


# --- one pack -------------------------------------------------------------------------------------------------------


def show_data(pack: Pack, rules: RuleSet, units: Units) -> dict[str, Any]:
    """A pack, and each of its limits with the chain of what it was."""
    return {
        "format": 1,
        "pack": pack_record(pack),
        "limits": [limit for section in sections_of(pack) for limit in _limits(pack, section, rules, units)],
        "sections": [_section_record(section, units) for section in sections_of(pack)],
    }


def _limits(pack: Pack, section: Section, rules: RuleSet, units: Units) -> Iterator[dict[str, Any]]:
    """Each limit that a section sets. The chain is that of the plain stack, without other conditions."""
    for name, limit in section.limits.items():
        for key, value in limit.values.items():
            yield {
                "id": f"{name}/{key}" if key else name,
                "says": limit.says,
                "value": shown(value, units, limit.percent),
                "where": section.gate.words(),
                "because": limit.changed_because,
                "source": limit.citation or limit.source,
                "status": limit.status,
                "set_by": pack.id,
                "was": list(_chain(name, key, pack, rules, units)),
            }


def _chain(name: str, key: str, pack: Pack, rules: RuleSet, units: Units) -> Iterator[dict[str, str]]:
    """What the limit was before this pack, the latest first."""
    definition = rules.limits.defs.get(name)
    for step in reversed((*definition.was, definition) if definition is not None else ()):
        if step.set_by != pack.id and key in step.values and key not in step.inherited:
            yield {"set_by": step.set_by, "value": shown(step.values[key], units, step.percent)}


def _section_record(section: Section, units: Units) -> dict[str, Any]:
    changes = [
        {
            "rule": change.rule,
            "off": change.off,
            "severity": change.severity,
            "hold_point": change.hold_point,
            "binds": None if change.binds is None else list(change.binds),
            "because": change.because,
            "source": change.citation,
        }
        for change in section.rule_changes
    ]
    return {
        "title": section.title,
        "where": section.gate.words(),
        "parameters": {name.partition(".")[2]: shown(value, units) for name, value in section.parameters.items()},
        "rules": [one.id for one in section.rules],
        "rule_changes": changes,
        "handovers": [
            {"of": list(h.names), "to": h.to, "off": h.off, "because": h.because, "source": h.citation}
            for h in section.handovers
        ],
        "hold_points": [
            {"id": p.id, "before": p.before, "after": p.after, "into": p.into, "because": p.because}
            for p in section.hold_points
        ],
        "references": {key: reference.text for key, reference in section.references.items()},
        "cautions": {key: caution.text for key, caution in section.cautions.items()},
    }


def show_text(pack: Pack, rules: RuleSet, units: Units, limits: bool) -> str:
    """A pack for people; ``limits`` also lists each of its limits, and what it was."""
    data = show_data(pack, rules, units)
    lines = wrapped(f"{pack.id} {pack.version}: {pack.title}{' (invented)' if pack.invented else ''}", "", "  ")
    lines += wrapped(_identity(pack), "", "  ")
    digest = content_hash(pack)
    lines += wrapped(f"{kind_of(pack)}{f', sha256 {digest}' if digest else ''}", "", "  ")
    lines += wrapped(pack.note, "", "  ")
    for section in data["sections"]:
        lines += list(_section_lines(section))
    lines += _limit_lines(data["limits"]) if limits else _limit_count(data["limits"])
    return "\n".join(lines) + "\n"


def _section_lines(section: dict[str, Any]) -> Iterator[str]:
    found = list(_section_parts(section))
    if not found:
        return
    head = " ".join(text for text in (section["title"], f"({section['where']})" if section["where"] else "") if text)
    yield ""
    yield from wrapped(head or "Always", "", "  ")
    for text in found:
        yield from wrapped(text, "  ", "    ")


def _section_parts(section: dict[str, Any]) -> Iterator[str]:
    for name, value in section["parameters"].items():
        yield f"Parameter {name}: {value}"
    if section["rules"]:
        yield f"{len(section['rules'])} rule{'s' if len(section['rules']) > 1 else ''}: {', '.join(section['rules'])}"
    for change in section["rule_changes"]:
        what = ["off"] if change["off"] else []
        what += [f"{key} {change[key]}" for key in ("severity", "hold_point") if change[key]]
        what += [f"binds {' and '.join(change['binds'])} work"] if change["binds"] else []
        yield f"Rule {change['rule']}: {', '.join(what) or 'changed'}; {change['because']} ({change['source']})"
    for handover in section["handovers"]:
        then = "do not apply" if handover["off"] else "are advice"
        yield f"Handed over to {handover['to']}: {', '.join(handover['of'])}; these {then}"
    for point in section["hold_points"]:
        place = next(f"{key} {point[key]}" for key in ("before", "after", "into") if point[key])
        yield f"Hold point {point['id']} {place}: {point['because']}"
    if section["references"]:
        yield f"{len(section['references'])} reference{'s' if len(section['references']) > 1 else ''} filled"


def _limit_count(limits: list[dict[str, Any]]) -> list[str]:
    return ["", f"{len(limits)} limit{'s' if len(limits) != 1 else ''}; --limits lists them"]


def _limit_lines(limits: list[dict[str, Any]]) -> list[str]:
    lines = ["", "Limits"]
    for limit in limits:
        where = f" {limit['where']}" if limit["where"] else ""
        lines += wrapped(f"{limit['id']}: {limit['value']}{where}", "  ", "    ")
        chain = ", ".join(f"{was['value']} by {was['set_by']}" for was in limit["was"])
        lines += wrapped(f"was {chain}" if chain else limit["says"], "    ", "      ")
        why = f"{limit['because']}; " if limit["because"] else ""
        lines += wrapped(f"{why}{limit['source']} ({limit['status']})", "    ", "      ")
    return lines


# --- tests and differences ------------------------------------------------------------------------------------------


def checks_text(checks: Sequence[Checked]) -> str:
    """The checks of a pack, one line each, problems under them."""
    lines: list[str] = []
    for checked in checks:
        lines += wrapped(f"{'FAILS' if checked.problems else 'holds'}  {checked.name}", "", "       ")
        for problem in checked.problems:
            lines += wrapped(problem, "       - ", "         ")
    failed = sum(1 for checked in checks if checked.problems)
    held = len(checks) - failed
    lines += ["", f"{held} hold{'s' if held == 1 else ''}, {failed} fail{'s' if failed == 1 else ''}"]
    return "\n".join(lines) + "\n"


def checks_data(checks: Sequence[Checked]) -> dict[str, Any]:
    """The same for programs."""
    return {"format": 1, "checks": [{"name": c.name, "problems": list(c.problems)} for c in checks]}


def diff_text(a: str, b: str, found: Sequence[Difference], changes: Iterable[FindingChange] | None) -> str:
    """What differs between two packs, by kind; and the findings that change on a site."""
    lines = wrapped(f"From {a} to {b}", "", "  ")
    if not found:
        lines.append("Nothing differs.")
    kind = ""
    for one in found:
        if one.kind != kind:
            kind = one.kind
            lines += ["", f"{kind.capitalize()}s" if not kind.endswith("y") else kind.capitalize()]
        where = f" {one.where}" if one.where else ""
        lines += wrapped(f"{one.name}{where}: {one.a or NONE} -> {one.b or NONE}", "  ", "    ")
    if changes is not None:
        listed = list(changes)
        lines += ["", f"Findings that change: {len(listed)}"]
        for change in listed:
            lines += wrapped(f"{change.rule}: {change.subject}", "  ", "    ")
            lines += wrapped(f"{change.a or NONE}: {change.message_a}" if change.a else NONE, "    ", "      ")
            lines += wrapped(f"-> {change.b}: {change.message_b}" if change.b else f"-> {NONE}", "    ", "      ")
    return "\n".join(lines) + "\n"


def diff_data(a: str, b: str, found: Sequence[Difference], changes: Iterable[FindingChange] | None) -> dict[str, Any]:
    """The same for programs."""
    data: dict[str, Any] = {
        "format": 1,
        "a": a,
        "b": b,
        "differences": [
            {"kind": d.kind, "name": d.name, "where": d.where, "a": d.a or None, "b": d.b or None} for d in found
        ],
    }
    if changes is not None:
        data["findings"] = [
            {
                "rule": c.rule,
                "subject": c.subject,
                "a": c.a,
                "b": c.b,
                "message_a": c.message_a,
                "message_b": c.message_b,
            }
            for c in changes
        ]
    return data
