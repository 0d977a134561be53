"""Simple rules from closed templates: what a pack without code can add. Each becomes an ordinary rule.

The evaluator only ever dispatches on known words over fields of the schema and quantities: a pack is never run.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from inspect_core.engine.things import Thing, asks, assumptions, things, value
from inspect_core.quantities import Dimension, Quantity, Size, exactly, parse_size, ratio
from inspect_core.rules_api import (
    FALLS_SHORT,
    MEETS,
    NOT_MEASURED,
    Check,
    Limit,
    Limits,
    Named,
    check,
    does_not_apply,
    fact,
    not_measured,
)
from inspect_core.rules_api.conditions import FieldTest, holds
from inspect_core.rules_api.limits import PLAIN
from inspect_core.site import Area, Site
from inspect_core.site.model import Document


@dataclass(frozen=True, slots=True)
class Bound:
    """One bound: a limit by id and key; times field ``of``; plus another limit; or the table row of field ``by``."""

    limit: str
    key: str = PLAIN
    of: str = ""
    plus: str = ""
    by: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class Compare:
    """For each ``kind`` where the tests hold: compare ``field`` (over ``per``, for a ratio) with the bounds."""

    kind: str
    tests: tuple[FieldTest, ...]
    field: str
    per: str = ""
    sense: Literal["bounds", "one_of", "none_of", "is", "present"] = "bounds"
    least: Bound | None = None
    most: Bound | None = None
    wanted: bool = True
    expected: str = ""

    def __call__(self, where: Area | Site, limits: Limits) -> Iterator[Check]:
        """The rule."""
        for thing in things(self.kind, where):
            if thing.part is None:
                yield _nothing(thing, asks(self.kind, self.field))
                continue
            verdict, deciding = self._is_meant(thing)
            if verdict is False:
                yield does_not_apply(thing.subject, f"only where {deciding[0].words()}")
                continue
            answer = self._answer(thing, limits)
            if verdict is None:
                answer = self._uncertain(thing, answer, deciding)
            yield answer

    def _is_meant(self, thing: Thing) -> tuple[bool | None, list[FieldTest]]:
        verdicts = [(holds(test, value(self.kind, _name(test), thing)), test) for test in self.tests]
        for wanted in (False, None):
            found = [test for verdict, test in verdicts if verdict is wanted]
            if found:
                return wanted, found
        return True, []

    def _uncertain(self, thing: Thing, answer: Check, deciding: list[FieldTest]) -> Check:
        words = " and ".join(test.words() for test in deciding)
        if answer.outcome == MEETS:
            return replace(answer, assumptions=(*answer.assumptions, f"not known whether {words}; it holds either way"))
        fields = [name for test in deciding for name in asks(self.kind, _name(test))]
        wanted = (*fields, *(answer.asks or ())) if answer.outcome == NOT_MEASURED else fields
        return not_measured(thing.subject, because=f"not known whether {words}", asks=tuple(dict.fromkeys(wanted)))

    def _answer(self, thing: Thing, limits: Limits) -> Check:
        if self.sense != "bounds":
            return self._about_words(thing, limits)
        measured, assuming = self._measured(thing)
        bounds: list[Limit | None] = []
        for bound in (self.least, self.most):
            found = _resolved(bound, self.kind, thing, limits) if bound is not None else None
            if isinstance(found, str):
                return not_measured(thing.subject, because=found, asks=asks(self.kind, bound.by if bound else ""))
            bounds.append(found)
        return check(
            thing.subject,
            measured=measured,
            at_least=bounds[0],
            at_most=bounds[1],
            assuming=assuming,
            asks=self._wanted(thing),
        )

    def _wanted(self, thing: Thing) -> tuple[str, ...]:
        """The fields that are not known; all of them where each is known but not well enough."""
        names = [self.field, self.per, *(name for b in (self.least, self.most) if b for name in (b.of, b.by))]
        used = [name for name in dict.fromkeys(names) if name]
        unknown = [name for name in used if value(self.kind, name, thing) is None] or used
        return tuple(dict.fromkeys(field for name in unknown for field in asks(self.kind, name)))

    def _measured(self, thing: Thing) -> tuple[Quantity | None, tuple[str, ...]]:
        found = value(self.kind, self.field, thing)
        assuming = assumptions(self.kind, self.field, thing)
        if not self.per:
            return found, assuming
        whole = value(self.kind, self.per, thing)
        assuming = tuple(dict.fromkeys((*assuming, *assumptions(self.kind, self.per, thing))))
        if found is None or whole is None or whole.low <= 0 <= whole.high:
            return None, assuming
        return ratio(found, whole), assuming

    def _about_words(self, thing: Thing, limits: Limits) -> Check:
        found = value(self.kind, self.field, thing)
        wanted = asks(self.kind, self.field)
        if self.sense == "is":
            verdict = None if found is None else found is self.wanted
            shown = "" if found is None else f"{self.field}: {'yes' if found else 'no'}"
            return fact(thing.subject, verdict, expected=self.expected, found=shown, asks=wanted)
        if self.sense == "present":
            there = None if found is None else found not in ((), {}, "")
            return fact(
                thing.subject, there, expected=self.expected, found="" if found is None else "seen", asks=wanted
            )
        assert self.least is not None
        limit = limits[self.least.limit, self.least.key]
        word = None if found is None else _as_in(limit.words, str(found))
        if self.sense == "one_of":
            return check(thing.subject, measured=word, one_of=limit, asks=wanted)
        verdict = None if word is None else word not in limit.words
        expected = f"{self.field.replace('_', ' ')} is none of {', '.join(limit.words)}"
        return fact(thing.subject, verdict, expected=expected, found=word or "", limit=limit, asks=wanted)


def _name(test: FieldTest) -> str:
    return test.field.partition(".")[2]


def _nothing(thing: Thing, wanted: tuple[str, ...]) -> Check:
    if thing.absent:
        return does_not_apply(thing.subject, thing.absent)
    return not_measured(thing.subject, because=thing.unknown, asks=wanted)


def _as_in(words: tuple[str, ...], found: str) -> str:
    """The limit's own spelling of a word that differs in capitals or blanks only."""
    plain = " ".join(found.casefold().split())
    return next((word for word in words if " ".join(word.casefold().split()) == plain), found)


def _resolved(bound: Bound, kind: str, thing: Thing, limits: Limits) -> Limit | str:
    """The limit in force for one thing, or why there is none."""
    if bound.by:
        return _row(bound, kind, thing, limits)
    limit = limits[bound.limit, bound.key]
    if bound.of:
        limit = limit.of(value(kind, bound.of, thing), bound.words)
    if bound.plus and limit.value is not None:
        more = limits[bound.plus].value
        limit = limit.derived(limit.value + more if more is not None else None, bound.words)
    return limit


def _row(bound: Bound, kind: str, thing: Thing, limits: Limits) -> Limit | str:
    found = value(kind, bound.by, thing)
    keys = tuple(limits.keys(bound.limit))
    if found is None:
        return limits.between(bound.limit, None, keys)
    key = next((key for key in keys if _is_key(key, found)), None)
    if key is None:
        shown = f"{found.thickness.low:g}x{found.depth.low:g}" if isinstance(found, Size) else found
        return f"the table has no row for {bound.by.replace('_', ' ')} {shown}"
    return limits[bound.limit, key]


def _is_key(key: str, found: Any) -> bool:
    if isinstance(found, Size):
        return parse_size(key) == found  # keys were read as sizes when the pack was
    if isinstance(found, Quantity):
        return found.exact and f"{found.value:g}" == key
    return str(found).casefold() == key.casefold()


# --- papers, things to look at, readings ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper of one of these kinds must be there."""

    name: str
    kinds: tuple[str, ...]
    expected: str
    covers: str = ""
    signed: bool = False

    def __call__(self, site: Site, limits: Limits) -> Iterator[Check]:
        """The rule."""
        subject = Named(self.name, ("documents",) if site.documents is not None else ())
        if site.documents is None:
            yield not_measured(subject, expected=self.expected, asks=("document.kind",))
            return
        answers = [self._about(subject, paper) for paper in site.documents]
        given = [answer for answer in answers if answer is not None]
        order = (MEETS, NOT_MEASURED, FALLS_SHORT)
        best = min(given, key=lambda answer: order.index(answer.outcome), default=None)
        yield best or fact(subject, False, expected=self.expected, found="no such paper is listed")

    def _about(self, subject: Named, paper: Document) -> Check | None:
        if paper.kind is not None and paper.kind not in self.kinds:
            return None
        if self.covers and paper.covers is not None and self.covers.casefold() not in paper.covers.casefold():
            return None
        found = f"paper {paper.id}" if paper.id else f"a {paper.kind or 'paper'}"
        subject = replace(subject, path=paper.path)
        unknown = [
            name
            for name, missing in (
                ("document.kind", paper.kind is None),
                ("document.covers", bool(self.covers) and paper.covers is None),
                ("document.state", paper.state is None),
                ("document.signed_by", self.signed and paper.signed_by is None),
            )
            if missing
        ]
        if paper.state in ("missing", "applied") and len(unknown) == (1 if "document.signed_by" in unknown else 0):
            return fact(subject, False, expected=self.expected, found=f"{found} is {paper.state}")
        if paper.state == "not-needed":
            because = f"{found} is said not to be needed, and this pack asks for it: ask the official"
            return not_measured(subject, because=because, asks=("document.state",))
        if unknown:
            return fact(subject, None, expected=self.expected, found=found, asks=tuple(unknown))
        signed = f", signed by {paper.signed_by}" if paper.signed_by else ""
        return fact(subject, True, expected=self.expected, found=f"{found}{signed}")


@dataclass(frozen=True, slots=True)
class Item:
    """Something to look at, settled by pieces of evidence that name it."""

    id: str
    count: int
    expected: str

    def __call__(self, site: Site, limits: Limits) -> Iterator[Check]:
        """The rule."""
        subject = Named(f"item {self.id}", ())
        pieces = [e for e in site.evidence or () if e.shows is not None and self.id in _words_of(e.shows)]
        if len(pieces) >= self.count:
            listed = ", ".join(piece.id or piece.file or "evidence" for piece in pieces)
            noted = "by the evidence that the file lists; nobody but who took it has seen more"
            yield fact(
                replace(subject, path=pieces[0].path), True, expected=self.expected, found=listed, assuming=[noted]
            )
            return
        have = f"{len(pieces)} of {self.count}: " if pieces else ""
        because = f"{have}look, and list evidence whose `shows` says {self.id}: {self.expected}"
        yield not_measured(subject, because=because, asks=("evidence.shows",))


def _words_of(text: str) -> list[str]:
    return text.replace(",", " ").replace(";", " ").replace(":", " ").casefold().split()


@dataclass(frozen=True, slots=True)
class Readings:
    """At least so many readings of a field in an area, each within the bounds."""

    kind: str
    field: str
    count: str  # id of the limit
    how: str
    least: Bound | None = None
    most: Bound | None = None

    def __call__(self, area: Area, limits: Limits) -> Iterator[Check]:
        """The rule."""
        found = list(things(self.kind, area))
        read = [thing for thing in found if thing.part is not None and value(self.kind, self.field, thing) is not None]
        name = f"readings of {self.kind} {self.field}".replace("_", " ")
        subject = Named(name, area.path)
        wanted = limits[self.count]
        number = exactly(float(len(read)), Dimension.COUNT)
        asked = asks(self.kind, self.field)
        if all(thing.absent for thing in found):
            yield does_not_apply(subject, found[0].absent)
            return
        answer = check(subject, measured=number, at_least=wanted, found=self.how, asks=asked)
        if answer.outcome != MEETS:
            least = f"{wanted.value.low:g}" if wanted.value is not None else "more"
            answer = not_measured(subject, because=f"{len(read)} of {least} readings ({self.how})", asks=asked)
        yield answer
        compare = Compare(self.kind, (), self.field, least=self.least, most=self.most)
        if self.least is not None or self.most is not None:
            yield from (compare._answer(thing, limits) for thing in read)


Template = Compare | Paper | Item | Readings


def measures(template: Template) -> tuple[str, ...]:
    """Fields of the site description that decide a template's rule."""
    if isinstance(template, Paper):
        return ("document.kind", "document.state")
    if isinstance(template, Item):
        return ("evidence.shows",)
    names: Iterable[str] = (template.field,)
    if isinstance(template, Compare):
        bounds = [b for b in (template.least, template.most) if b is not None]
        names = (*names, template.per, *(_name(t) for t in template.tests), *(n for b in bounds for n in (b.of, b.by)))
    return tuple(dict.fromkeys(field for name in names if name for field in asks(template.kind, name)))
