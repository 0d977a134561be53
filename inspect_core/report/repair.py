"""Proven repairs, as text and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import inspect_core
from inspect_core.engine import Finding
from inspect_core.planning.repairs import Offer, Plan, Proposal, Unsettled
from inspect_core.planning.repairs.weights import weights
from inspect_core.report.layout import heading, wrapped
from inspect_core.report.view import pack_data, pack_words, pointer
from inspect_core.rules_api import Caution

MOST_PLANNED = 6
HOW_RANKED = (
    "Best first: what ends a stop-work, then the most settled for the effort. Effort is points for material, labour "
    "and how invasive the work is, from the packs; material and labour count at each place."
)
HOW_PROVEN = (
    "Each repair was applied to a copy of the site and every rule was run again: what it settles is settled, and "
    f"nothing else is worse (what stays short may grow by {weights().growth * 100:g} percent). "
    "Its sizes, fasteners and clearances are plans: measure again when it is built."
)
WHOSE_WORD = "A self-check, not a design: local code, the official and licensed practice come first."


def repair_data(proposal: Proposal, hold_point: str | None = None) -> dict[str, Any]:
    """Under the keys of the contract: ``repairs`` (best first), ``no_proven_repair``, ``plans``."""
    report = proposal.report
    return {
        "format": 1,
        "tool": {"name": "inspect-core", "version": inspect_core.__version__},
        "site": {"name": report.site.name, "file": report.site.file},
        "packs": [pack_data(pack) for pack in report.rules.packs],
        "proven": HOW_PROVEN,
        "ranking": HOW_RANKED,
        "repairs": [_offer_data(proposal, offer) for offer in shown(proposal, hold_point)],
        "plans": [_plan_data(plan) for plan in _plans(proposal, hold_point)],
        "no_proven_repair": [
            {
                **_named(one.finding),
                "why": one.why,
                "remedy": one.finding.remedy,
                "tried": [{"repair": name, "why": why} for name, why in one.tried],
            }
            for one in _unsettled(proposal, hold_point)
        ],
        "left_out": list(proposal.left_out),
        "failures": [{"pack": failure.pack, "message": failure.why} for failure in proposal.failures],
    }


def shown(proposal: Proposal, hold_point: str | None) -> list[Offer]:
    """The offers that settle something of a hold point; all without one. Their numbers stay the same."""
    if hold_point is None:
        return list(proposal.offers)
    return [o for o in proposal.offers if any(one.rule.hold_point == hold_point for one in o.settles)]


def _plans(proposal: Proposal, hold_point: str | None) -> list[Plan]:
    return [plan for plan in proposal.plans if hold_point in (None, plan.hold_point)]


def _unsettled(proposal: Proposal, hold_point: str | None) -> list[Unsettled]:
    return [one for one in proposal.unsettled if hold_point in (None, one.finding.rule.hold_point)]


def _named(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule.id,
        "subject": finding.subject,
        "severity": finding.severity,
        "hold_point": finding.rule.hold_point,
    }


def _offer_data(proposal: Proposal, offer: Offer) -> dict[str, Any]:
    material, labour, invasive = offer.effort
    return {
        "id": offer.id,
        "settles": [_named(one) for one in offer.settles],
        "actions": list(offer.actions),
        "kinds": [{"repair": kind.id, "pack": kind.set_by, "source": kind.source} for kind in offer.kinds],
        "planned": [{"path": pointer(path), "value": value} for path, value in offer.planned],
        "material": [kind.material for kind in offer.kinds],
        "labour": list(dict.fromkeys(kind.labour for kind in offer.kinds)),
        "effort": {"total": offer.total, "material": material, "labour": labour, "invasive": invasive},
        "settled_points": offer.points,
        "instead_of": list(offer.instead_of),
        "papers": [{"rule": one.rule.id, "subject": one.subject} for one in offer.papers],
        "engineer": [kind.engineer for kind in offer.kinds if kind.engineer],
        "cautions": [caution.text for caution in _cautions(proposal, offer)],
    }


def _plan_data(plan: Plan) -> dict[str, Any]:
    return {
        "hold_point": plan.hold_point,
        "repairs": list(plan.offers),
        "method": plan.method,
        "effort": plan.effort,
        "settles": plan.settles,
        "left": {"falls-short": plan.falls_short, "not-measured": plan.to_measure},
    }


def _cautions(proposal: Proposal, offer: Offer) -> list[Caution]:
    """What the repair's kinds and the rules that it settles say to mind."""
    keys = [key for kind in offer.kinds for key in kind.cautions]
    keys += [key for one in offer.settles for key in one.rule.cautions]
    known = proposal.report.rules.cautions
    return [known[key] for key in dict.fromkeys(keys) if key in known]


# --- text ---


def repair_text(proposal: Proposal, hold_point: str | None = None) -> str:
    """The repairs for people, in 80 columns."""
    return "\n".join(_lines(proposal, hold_point)) + "\n"


def _lines(proposal: Proposal, hold_point: str | None) -> Iterator[str]:
    report = proposal.report
    yield from wrapped(f"Repairs: {report.site.name}")
    yield from wrapped(report.site.file)
    packs = ", ".join(pack_words(pack) for pack in report.rules.packs) or "none"
    yield from wrapped(f"Rule packs: {packs}.", "", "  ")
    for note in proposal.left_out:
        yield from wrapped(f"Note: {note}.", "", "  ")
    for failure in proposal.failures:
        yield from wrapped(f"PACK FAILED: {failure.pack}: {failure.why}", "", "  ")
    offers = shown(proposal, hold_point)
    if offers:
        yield ""
        yield from wrapped(HOW_PROVEN)
        yield from wrapped(HOW_RANKED)
    said: set[str] = set()
    for offer in offers:
        yield ""
        yield from _offer(proposal, offer, said)
    if not offers:
        yield ""
        yield "No repair is proven here."
    plans = _plans(proposal, hold_point)
    if plans:
        yield ""
        yield from heading("The smallest set of work for each hold point")
        for plan in plans:
            yield from _plan(plan)
    left = _unsettled(proposal, hold_point)
    if left:
        yield ""
        yield from heading("No proven repair")
        for one in left:
            yield from _left(one)
    yield ""
    yield from wrapped(WHOSE_WORD)


def _offer(proposal: Proposal, offer: Offer, said: set[str]) -> Iterator[str]:
    first, *more = offer.actions
    yield from wrapped(f"{offer.id}. {first}", "", "   ")
    for action in more:
        yield from wrapped(f"And: {action}", "   ", "     ")
    names = [f"{one.rule.id} ({one.severity}), {one.subject}" for one in offer.settles]
    yield from wrapped(f"Settles {len(names)}: {'; '.join(names)}", "   ", "     ")
    material, labour, invasive = offer.effort
    takes = "; ".join(dict.fromkeys(f"{kind.material}, {kind.labour.replace('-', ' ')}" for kind in offer.kinds))
    points = f"{offer.total} (material {material}, labour {labour}, invasive {invasive})"
    yield from wrapped(f"Takes: {takes}. Effort {points}", "   ", "     ")
    yield from wrapped(f"Planned: {_planned(offer)}", "   ", "     ")
    if offer.papers:
        papers = dict.fromkeys(f"{one.rule.id}, {one.subject}" for one in offer.papers)
        yield from wrapped(f"Keep of it: {'; '.join(papers)}", "   ", "     ")
    if offer.instead_of:
        yield from wrapped(f"Settles some of the same: {', '.join(map(str, offer.instead_of))}", "   ", "     ")
    for kind in offer.kinds:
        if kind.engineer:
            yield from wrapped(f"Call a licensed engineer: {kind.engineer}", "   ", "     ")
    again = []
    for caution in _cautions(proposal, offer):
        if caution.key in said:
            again.append(caution.key)
        else:
            said.add(caution.key)
            yield from wrapped(f"Caution ({caution.key}): {caution.text}", "   ", "     ")
    if again:
        yield from wrapped(f"Cautions above: {', '.join(again)}", "   ", "     ")


def _planned(offer: Offer) -> str:
    parts = []
    for path, value in offer.planned:
        name = ".".join([str(step) for step in path if not isinstance(step, int)][-2:])
        parts.append(f"{name} {'taken out' if value is None else _value(value)}")
    left = len(parts) - MOST_PLANNED
    more = f"; and {left} more (--format json has all)" if left > 0 else ""
    return "; ".join(parts[:MOST_PLANNED]) + more


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "none" if value == [] else str(value)


def _plan(plan: Plan) -> Iterator[str]:
    numbers = ", ".join(map(str, plan.offers))
    how = "every combination weighed" if plan.method == "exact" else "the best next one taken each time"
    left = f"{plan.falls_short} fall{'s' if plan.falls_short == 1 else ''} short, {plan.to_measure} to measure"
    yield from wrapped(
        f"{plan.hold_point}: repairs {numbers}, effort {plan.effort} ({how}). Together they settle "
        f"{plan.settles}; still open then: {left}.",
        "",
        "  ",
    )


def _left(one: Unsettled) -> Iterator[str]:
    finding = one.finding
    yield from wrapped(f"{finding.rule.id} ({finding.severity}), {finding.subject}: {one.why}.", "", "  ")
    for name, why in one.tried:
        yield from wrapped(f"{name}: {why}", "  ", "    ")
    yield from wrapped(f"Remedy: {finding.remedy}", "  ", "    ")
