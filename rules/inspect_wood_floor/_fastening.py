"""What the rules on fasteners share: what a fastener is, which rows of a schedule take it, and what they allow then."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from inspect_core.engineering.fasteners import nails
from inspect_core.quantities import Dimension, Quantity, at_least, at_most, exactly, hull, maximum, minimum
from inspect_core.rules_api import (
    ADVISORY,
    Check,
    Limit,
    Limits,
    Severity,
    Subject,
    check,
    does_not_apply,
    fact,
    named,
    not_measured,
)
from inspect_core.site import Area
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Fasteners, Layer
from inspect_wood_floor._layering import below, floor_layers
from inspect_wood_floor._verdicts import Verdict, all_of, compared, negated

NAILS = ("nail", "ring-shank-nail", "screw-shank-nail")
SCREWS = ("screw", "structural-screw")
OLD_WORK = "existing work: the schedule binds new and altered work, so this is advice"


# --- what a fastener is -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Fastener:
    """Kind, length and shank (in) as measured, or as the trade name of the size says."""

    kind: str | None = None
    length: Quantity | None = None
    shank: Quantity | None = None
    assumptions: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """Its kind in plain words."""
        return (self.kind or "fastener").replace("-", " ")


SIZES = ("common", "box", "sinker")
_PENNY = re.compile(r"\b(\d{1,2})\s*-?\s*(?:d|penny)\b", re.IGNORECASE)


@lru_cache(maxsize=256)
def trade_size(name: str, unsaid: tuple[str, ...] = SIZES) -> tuple[Quantity, Quantity] | None:
    """Length and shank (in) of ``8d common``; a range over ``unsaid`` where the name does not say which nail it is."""
    match = _PENNY.search(name)
    if match is None:
        return None
    kinds = named_sizes(name) or unsaid
    sizes = [one for one in nails() if one.penny == int(match[1]) and one.kind in kinds]
    if not sizes:
        return None
    lengths = [exactly(one.length_in, Dimension.LENGTH) for one in sizes]
    shanks = [exactly(one.diameter_in, Dimension.LENGTH) for one in sizes]
    return hull(*lengths), hull(*shanks)


def named_sizes(name: str) -> tuple[str, ...]:
    """Which nails of one penny size a trade name speaks of; none, when it leaves that open."""
    return tuple(kind for kind in SIZES if kind in name.lower())


def read(written: Fasteners | None) -> Fastener:
    """The fastener that the file describes."""
    if written is None:
        return Fastener()
    size = trade_size(written.name) if written.name else None
    if written.name is None or size is None or written.kind not in (None, *NAILS):
        return Fastener(written.kind, written.length, written.diameter)
    said = bool(named_sizes(written.name))
    length = written.length if written.length is not None else size[0]
    shank = written.diameter
    if shank is None and (said or written.kind == "nail"):
        shank = size[1]  # ring and screw shank nails of one penny size differ in shank by maker
    used = length is not written.length or shank is not written.diameter
    notes = (f"{written.name} taken at its trade size",) if used else ()
    return Fastener(written.kind or ("nail" if said else None), length, shank, notes)


# --- rows of a schedule -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of a schedule that surely apply, and those that may."""

    sure: tuple[str, ...] = ()
    maybe: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        return (*self.sure, *self.maybe)


def rows_that(keys: Iterable[str], verdict: Callable[[str], Verdict]) -> Rows:
    """Keys by what ``verdict`` says of them."""
    sure: list[str] = []
    maybe: list[str] = []
    for key in keys:
        answer = verdict(key)
        if answer is not False:
            (sure if answer else maybe).append(key)
    return Rows(tuple(sure), tuple(maybe))


def easiest(limits: Limits, table: str, rows: Rows, *, most: bool, or_any_of: tuple[str, ...] = ()) -> Limit:
    """What the schedule allows: the easiest of the rows that surely apply. With none sure, a range from the easiest
    that may to the hardest of ``or_any_of`` (of the same rows, when not given).

    ``most`` for a limit that must not be passed (the widest spacing wins), else one to be reached (the least wins).
    """
    easy, hard = (maximum, minimum) if most else (minimum, maximum)

    def values(keys: Iterable[str]) -> list[Quantity]:
        return [value for key in keys if (value := limits[table, key].value) is not None]

    every = easy(*values(rows.all))
    certain = easy(*values(rows.sure)) if rows.sure else hard(*values(or_any_of or rows.all))
    owner = next((key for key in (*rows.all, *or_any_of) if limits[table, key].value == certain), rows.all[0])
    basis = "" if certain == every else f"depends on which row: {', '.join(or_any_of or rows.all)}"
    return limits[table, owner].derived(hull(certain, every), basis)


@lru_cache(maxsize=64)
def _nail_of_row(key: str) -> tuple[Quantity, Quantity]:
    """Length and shank that a row's key names: ``8d-common``, or ``3x0.131`` in inches."""
    size = trade_size(key)
    if size is None:
        length, shank = (exactly(float(part), Dimension.LENGTH) for part in key.split("x"))
        size = (length, shank)
    return size


def _takes(key: str, fastener: Fastener) -> Verdict:
    """Whether a nail is at least as long and as thick as the row's."""
    length, shank = _nail_of_row(key)
    return all_of(
        (
            None if fastener.length is None else at_least(fastener.length, length),
            None if fastener.shank is None else at_least(fastener.shank, shank),
        )
    )


def nailed(
    limits: Limits,
    table: str,
    subject: Subject,
    written: Fasteners | None,
    measured: Quantity | None,
    *,
    field: str,
    most: bool = False,
    assuming: tuple[str, ...] = (),
    severity: Severity | None = None,
) -> Check:
    """A number of nails (with ``most``, their spacing) against the easiest row whose nail is no bigger than this one.

    ``field`` is where the file says it. Screws, bolts and staples are beyond a nail table: not measured.
    """
    fastener = read(written)
    notes = (*assuming, *fastener.assumptions)
    asks = (field, "fasteners.name", "fasteners.kind", "fasteners.length", "fasteners.diameter")
    if fastener.kind is None:
        return not_measured(subject, expected="it is nailed as the schedule says", asks=asks)
    if fastener.kind in (*SCREWS, "bolt", "staple"):
        carried = f"the {fastener.word}s do what the schedule's nails would: its maker or a licensed engineer says so"
        return not_measured(subject, expected=carried, asks=("fasteners.standard",))
    rows = rows_that(limits.keys(table), lambda key: _takes(key, fastener)) if fastener.kind in NAILS else Rows()
    if not rows.all:
        small = "s smaller than that" if fastener.kind in NAILS else "s"
        return fact(
            subject,
            False,
            expected=f"nails at least as long and thick as one of {', '.join(limits.keys(table))}",
            found=fastener.word + small,
            assuming=notes,
            severity=severity,
        )
    limit = easiest(limits, table, rows, most=most)
    if not rows.sure:
        # A nail of unknown size may be smaller than any of the table: enough of them prove nothing, too few do.
        limit = easiest(limits, table, Rows(rows.all), most=most)
        short = compared(at_most if most else at_least, measured, limit) is False
        measured = measured if short else None
    return check(
        subject,
        measured=measured,
        at_least=None if most else limit,
        at_most=limit if most else None,
        assuming=notes,
        asks=asks,
        severity=severity,
    )


# --- spacings ---------------------------------------------------------------------------------------------------------


def joist_spacings(area: Area) -> Sequence[Quantity | None]:
    """Centre to centre of neighbouring joists, openings left out."""
    return [bay.spacing for bay in area.bays if not bay.at_wall and bay.opening is None]


def widest_of(one: Quantity | None, other: Quantity | None, limit: Limit) -> Quantity | None:
    """The wider of two spacings. With one unknown it is unknown, unless the other is too wide already."""
    known = [spacing for spacing in (one, other) if spacing is not None]
    if len(known) == 2 or any(compared(at_most, spacing, limit) is False for spacing in known):
        return maximum(*known)
    return None


# --- which layers a rule is about -------------------------------------------------------------------------------------

Found = tuple[tuple[Layer, ...], Check | None]


def each(found: Found, answer: Callable[[Layer], Check]) -> Iterator[Check]:
    """One answer for each layer found, and the one that says why there is none or may be more."""
    layers, rest = found
    yield from map(answer, layers)
    if rest is not None:
        yield rest


def layers_that(area: Area, what: str, wanted: Callable[[Layer], Verdict]) -> Found:
    """The layers that a rule is about; where there are none, or it can't be told, the answer that says why."""
    if area.layers is None:
        because = "the layers of the floor are not listed"
        return (), not_measured(floor_layers(area), asks=("area.layers",), because=because)
    verdicts = [(layer, wanted(layer)) for layer in area.layers]
    found = tuple(layer for layer, verdict in verdicts if verdict)
    unsure = next((layer for layer, verdict in verdicts if verdict is None), None)
    if unsure is not None:
        unknown = next((layer for layer in area.layers if layer.kind is None), unsure)
        because = f"{unknown.id or 'a layer'} of unknown kind decides whether it is {what}"
        return found, not_measured(named(unsure), asks=("layer.kind",), because=because)
    return found, None if found else does_not_apply(floor_layers(area), f"no {what} among the layers")


def _is(layer: Layer, kind: str) -> Verdict:
    return None if layer.kind is None else layer.kind == kind


def _on_joists(area: Area, layer: Layer) -> Verdict:
    """Whether nothing that carries is under it, or it is a patch that says so. A layer of unknown kind may carry."""
    if layer.region is not None and layer.attached_to == "joists":
        return True
    kinds = {lower.kind for lower in below(area, layer)}
    return False if kinds & set(STRUCTURAL) else None if None in kinds else True


def subfloor_panels(area: Area) -> Found:
    """Panels on the joists."""
    return layers_that(area, "panel subfloor", lambda one: all_of((_is(one, "panel"), _on_joists(area, one))))


def underlayment_panels(area: Area) -> Found:
    """Panels on other panels or on boards."""
    return layers_that(
        area, "panel underlayment", lambda one: all_of((_is(one, "panel"), negated(_on_joists(area, one))))
    )


def subfloor_boards(area: Area) -> Found:
    """Boards on the joists."""
    return layers_that(area, "board subfloor", lambda one: all_of((_is(one, "boards"), _on_joists(area, one))))


def panels(area: Area) -> Found:
    """All panels."""
    return layers_that(area, "panels", lambda one: _is(one, "panel"))


def softened(layer: Layer) -> Severity | None:
    """Advice only for what was there before; the schedule binds what is laid or changed now."""
    return ADVISORY if layer.work == "existing" else None


def notes_on(layer: Layer, fastener: Fastener) -> tuple[str, ...]:
    """What had to be taken for granted."""
    return (*fastener.assumptions, OLD_WORK) if layer.work == "existing" else fastener.assumptions
