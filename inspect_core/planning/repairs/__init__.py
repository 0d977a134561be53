"""Proven repairs: for each shortfall the work that settles it, checked on a copy of the whole site.

``propose`` finds them, ranks them, and says which smallest set clears each hold point; ``apply_repairs`` writes chosen
ones into the site file. A repair is offered only where the changed site, checked by every rule, has the shortfall no
more and nothing that is worse than before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from inspect_core.engine import Finding, LoadedPacks, PackFailure, Report, inspect
from inspect_core.planning.repairs.cover import Choice, smallest
from inspect_core.planning.repairs.draft import CannotApply, Draft
from inspect_core.planning.repairs.proof import Key, Proof, Prover, is_paper, leaves
from inspect_core.planning.repairs.search import Found, Search, effort, in_force
from inspect_core.planning.repairs.weights import weights
from inspect_core.rules_api import CORRECTION, FALLS_SHORT, NOT_MEASURED, SEVERITIES, STOP_WORK
from inspect_core.rules_api.repairs import Repair
from inspect_core.rules_api.vocabulary import at_or_above
from inspect_core.site import Site
from inspect_core.site.edit import EditError, edited_text

__all__ = ["CannotApply", "EditError", "Offer", "Plan", "Proposal", "Unsettled", "apply_repairs", "propose"]


@dataclass(frozen=True, slots=True)
class Offer:
    """A proven repair. ``id`` is its rank, best first. ``settles`` are the shortfalls that it ends; ``planned`` each
    place in the file with the value that it takes as planned (``None``: taken out); ``papers`` what new work asks to be
    kept of it; ``instead_of`` other offers that settle some of the same."""

    id: int
    found: Found
    settles: tuple[Finding, ...]
    planned: tuple[tuple[tuple[str | int, ...], Any], ...]
    effort: tuple[int, int, int]
    points: int
    instead_of: tuple[int, ...] = ()

    @property
    def actions(self) -> tuple[str, ...]:
        """The work, a sentence each."""
        return tuple(dict.fromkeys(step.words for step in self.found.steps))

    @property
    def kinds(self) -> tuple[Repair, ...]:
        """The kinds of repair in it, each once."""
        return tuple({step.repair.id: step.repair for step in self.found.steps}.values())

    @property
    def papers(self) -> tuple[Finding, ...]:
        """Photos and documents that the new work asks for."""
        return self.found.papers

    @property
    def total(self) -> int:
        """Points of effort in all."""
        return sum(self.effort)


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A shortfall that no repair was proven to settle. ``tried`` are kinds of repair with the reason each."""

    finding: Finding
    why: str
    tried: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The smallest set of work for one hold point: ids of offers, proven together. ``falls_short`` and ``to_measure``
    count what keeps the hold point when that is done."""

    hold_point: str
    offers: tuple[int, ...]
    method: str
    effort: int
    settles: int
    falls_short: int
    to_measure: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """Everything that was found out about repairs of one site. ``left_out`` tells of repairs for rules not in force."""

    report: Report
    offers: tuple[Offer, ...]
    unsettled: tuple[Unsettled, ...]
    plans: tuple[Plan, ...]
    failures: tuple[PackFailure, ...]
    runs: int
    left_out: tuple[str, ...]
    prover: Prover = field(repr=False)


def propose(
    site: Site, loaded: LoadedPacks, progress: Callable[[int, int], None] | None = None, *, plans: bool = True
) -> Proposal:
    """Find, prove and rank the repairs of a site.

    ``progress`` is told how much is done, of how much. Raises ``InputError`` as ``inspect`` does.
    """
    report = inspect(site, loaded)
    repairs, faults, left_out = in_force(report, loaded.packs)
    prover = Prover(report, loaded)
    search = Search(report, prover, repairs.values())
    search.run(progress)
    offers = _ranked(site, search)
    failures = (*report.failures, *(PackFailure(pack, why) for pack, why in faults), *search.failures)
    made = tuple(_plans(report, prover, offers)) if plans else ()
    unsettled = tuple(_unsettled(search, repairs))
    return Proposal(report, offers, unsettled, made, failures, prover.runs, tuple(left_out), prover)


def _ranked(site: Site, search: Search) -> tuple[Offer, ...]:
    """Best first: what ends a stop-work before all else, then the most settled for the effort."""
    order = {key: n for n, key in enumerate(search.short)}
    made: list[Offer] = []
    for found in search.found:
        keys = sorted(found.settled, key=lambda key: (SEVERITIES.index(search.short[key].severity), order[key]))
        settles = tuple(search.short[key] for key in keys)
        after = found.apply(Draft.of(site))
        points = sum(weights().settles[one.severity] for one in settles)
        planned = tuple(leaves(site.document.data, after.data))
        made.append(Offer(0, found, settles, planned, effort(found.steps), points))

    def rank(offer: Offer) -> tuple[Any, ...]:
        stops = any(one.severity == STOP_WORK for one in offer.settles)
        first = min(order[key] for key in offer.found.settled)
        return (not stops, -offer.points / offer.total, offer.total, first, offer.kinds[0].id)

    ranked = sorted(made, key=rank)
    settled = [offer.found.settled for offer in ranked]
    return tuple(replace(offer, id=n + 1, instead_of=_others(n, settled)) for n, offer in enumerate(ranked))


def _others(number: int, keys: Sequence[frozenset[Key]]) -> tuple[int, ...]:
    return tuple(n + 1 for n, other in enumerate(keys) if n != number and other & keys[number])


def _unsettled(search: Search, repairs: dict[str, Repair]) -> Iterable[Unsettled]:
    done: set[Key] = set().union(*(found.settled for found in search.found))
    order = {severity: n for n, severity in enumerate(SEVERITIES)}
    left = [(key, one) for key, one in search.short.items() if key not in done]
    for key, finding in sorted(left, key=lambda item: order[item[1].severity]):
        tried = search.tried[key]
        said = [why for name, why in tried.items() if repairs[name].does == "nothing-planned"]
        if said:
            why = said[0]
        elif tried:
            why = "none of the repairs that were tried was proven"
        elif is_paper(finding):
            why = "this is a paper to get, not work to do"
        else:
            why = "no pack knows a repair for this"
        others = tuple((name, text) for name, text in tried.items() if repairs[name].does != "nothing-planned")
        yield Unsettled(finding, why, others)


# --- plans ---


def _plans(report: Report, prover: Prover, offers: Sequence[Offer]) -> Iterable[Plan]:
    for point in report.rules.hold_points:
        here = {
            key
            for key, one in prover.before.items()
            if one.outcome == FALLS_SHORT and one.rule.hold_point == point and at_or_above(one.severity, CORRECTION)
        }
        choices = [Choice(o.id, frozenset(o.found.settled & here), o.total) for o in offers if o.found.settled & here]
        if not choices:
            continue
        numbers, method = smallest(choices, weights().exact_up_to)
        chosen, proof = _together(report, prover, [offers[n - 1] for n in numbers])
        assert proof.report is not None
        open_ = proof.report.open_findings(CORRECTION, point)
        yield Plan(
            point,
            tuple(o.id for o in chosen),
            method,
            sum(o.total for o in chosen),
            len(proof.settled & here),
            sum(1 for one in open_ if one.outcome == FALLS_SHORT),
            sum(1 for one in open_ if one.outcome == NOT_MEASURED),
        )


def _together(report: Report, prover: Prover, chosen: Sequence[Offer]) -> tuple[list[Offer], Proof]:
    """As many of them as go together, proven in one; each by itself is proven already."""
    draft = applied(report.site, chosen)
    if draft is not None and (proof := prover.prove(draft)).clean:
        return list(chosen), proof
    taken: list[Offer] = []
    best = prover.prove(Draft.of(report.site))
    for offer in chosen:
        draft = applied(report.site, [*taken, offer])
        proof = prover.prove(draft) if draft is not None else best
        if draft is not None and proof.clean and proof.settled > best.settled:
            taken.append(offer)
            best = proof
    return taken, best


def applied(site: Site, offers: Iterable[Offer]) -> Draft | None:
    """All of them on one copy of the site, ``None`` where they are in one another's way."""
    draft = Draft.of(site)
    try:
        for offer in offers:
            draft = offer.found.apply(draft)
    except CannotApply:
        return None
    return draft


def apply_repairs(proposal: Proposal, ids: Sequence[int], text: str) -> tuple[str, Proof]:
    """The site file's text with these offers in it, and what the check of it gives.

    Raises :class:`CannotApply` where they do not go together, :class:`~inspect_core.site.edit.EditError` where the file
    is written so that it can't be changed in place.
    """
    site = proposal.report.site
    draft = Draft.of(site)
    for number in ids:
        draft = proposal.offers[number - 1].found.apply(draft)
    proof = proposal.prover.prove(draft)
    if proof.report is None:
        raise CannotApply(proof.refused)
    if proof.worse:
        first = proof.worse[0]
        raise CannotApply(f"together they make this worse: {first.rule.id}, {first.subject}")
    return edited_text(text, draft.data), proof
