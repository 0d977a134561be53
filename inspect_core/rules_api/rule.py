"""A rule: one requirement as a small function, with its metadata beside it."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, Literal

from inspect_core.rules_api.check import Check
from inspect_core.rules_api.vocabulary import WORK, Severity

Scope = Literal["area", "site"]


@dataclass(frozen=True, slots=True)
class Rule:
    """One requirement and everything that `explain` says of it.

    ``measures`` are fields of the schema (``joist.bearing``) that decide it; ``limits`` the ids it compares with;
    ``provisions`` the requirements of codes and practice that it checks; ``quantity`` what is compared, in words
    ("bearing"); ``binds`` the kinds of work that it is about.
    """

    id: str
    function: Callable[..., Iterable[Check]]
    scope: Scope
    hold_point: str
    severity: Severity
    reference: str
    summary: str
    why: str
    quantity: str
    remedy: str
    topic: str
    cautions: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    provisions: tuple[str, ...] = ()
    binds: tuple[str, ...] = WORK


def rule(
    id: str,
    *,
    hold_point: str,
    severity: Severity,
    reference: str,
    quantity: str,
    remedy: str,
    limits: Iterable[str] = (),
    measures: Iterable[str] = (),
    provisions: Iterable[str] = (),
    cautions: Iterable[str] = (),
    binds: Iterable[str] = WORK,
    scope: Scope = "area",
) -> Callable[[Callable[..., Iterable[Check]]], Rule]:
    """Turn a generator of checks into a :class:`Rule`.

    The function takes ``(area, limits)``, or ``(site, limits)`` with ``scope="site"``. The first line of its docstring
    is the requirement in plain words, the rest says why. Metadata is checked when its pack loads, not here.
    """

    def made(function: Callable[..., Iterable[Check]]) -> Rule:
        text = inspect.getdoc(function) or ""
        summary, _, why = text.partition("\n")
        return Rule(
            id=id,
            function=function,
            scope=scope,
            hold_point=hold_point,
            severity=severity,
            reference=reference,
            summary=summary.strip(),
            why=" ".join(why.split()),
            quantity=quantity,
            remedy=remedy,
            topic=function.__module__.rpartition(".")[2],
            cautions=tuple(cautions),
            limits=tuple(limits),
            measures=tuple(measures),
            provisions=tuple(provisions),
            binds=tuple(binds),
        )

    return made


def rules_in(module: Any, topic: str | None = None) -> tuple[Rule, ...]:
    """The rules of a module, in the order in which they are written; ``topic`` gathers modules under one name."""
    found = (value for value in vars(module).values() if isinstance(value, Rule))
    return tuple(found if topic is None else (replace(one, topic=topic) for one in found))
