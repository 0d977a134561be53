"""Which packs a site stands on, in which order, and whether they fit together and fit its date.

Order of precedence: ``--pack`` on the command line takes the place of what the site file asks for, which takes the
place of what the firm's configuration says; the configuration's ``on_top`` always comes last. The base pack is always
there, and what a pack stands on comes before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from inspect_core.engine.gates import date_of
from inspect_core.quantities.dates import Day, within
from inspect_core.rules_api import Pack
from inspect_core.rules_api.pack import LEVELS
from inspect_core.site import Site
from inspect_core.site.reader import Path

NOT_INSTALLED = "this pack is asked for and not found: install it, or name its folder (--pack FOLDER, or pack_folders)"
ONE_OF_A_KIND = ("state", "county", "city")  # a floor lies in one of each


@dataclass(frozen=True, slots=True)
class Choice:
    """What was asked for besides the site file: on the command line (``None``: nothing), and in the configuration."""

    command: tuple[str, ...] | None = None
    default: tuple[str, ...] = ()
    on_top: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a pack can't be used here, and where in its file that stands (for one written in YAML)."""

    pack: str
    why: str
    path: Path = ()


@dataclass(frozen=True, slots=True)
class Arrangement:
    """The packs in the order in which they lie on one another; what is wrong; what was taken for granted."""

    packs: tuple[Pack, ...]
    faults: tuple[Fault, ...] = ()
    notes: tuple[str, ...] = ()


def wanted_by(site: Site, choice: Choice) -> tuple[str, ...]:
    """Names of the packs that are asked for, in order."""
    if choice.command is not None:
        names = choice.command
    elif _says_packs(site):
        names = site.packs
    else:
        names = choice.default
    return tuple(dict.fromkeys((*names, *choice.on_top)))


def _says_packs(site: Site) -> bool:
    data = site.document.data
    return isinstance(data, dict) and data.get("packs") is not None


def arrange(packs: Iterable[Pack], names: Sequence[str], date: Day | None = None) -> Arrangement:
    """Lay the packs of these names on the base pack, each after what it stands on."""
    work = _Arranging({pack.id: pack for pack in packs}, date)
    work.order |= {pack.id: pack for pack in work.by_id.values() if not pack.stands_on}
    for name in names:
        found: Pack | None = work.named(name)
        if found is None:
            work.faults.append(Fault(name, work.no_such(name)))
        elif found.id not in work.order:
            work.add(found, ())
    order = tuple(work.order.values())
    given = [one.id for one in map(work.named, names) if one is not None]
    work.faults += [*_out_of_order(order, given), *_of_one_kind(order), *_vetoed(order), *work.out_of_time(order)]
    return Arrangement(order, tuple(dict.fromkeys(work.faults)), tuple(dict.fromkeys(work.notes)))


def arrange_for(site: Site, packs: Iterable[Pack], choice: Choice) -> Arrangement:
    """The packs of one site."""
    return arrange(packs, wanted_by(site, choice), date_of(site))


class _Arranging:
    def __init__(self, by_id: Mapping[str, Pack], date: Day | None) -> None:
        self.by_id = by_id
        self.date = date
        self.order: dict[str, Pack] = {}
        self.faults: list[Fault] = []
        self.notes: list[str] = []

    def named(self, name: str) -> Pack | None:
        """The pack of this id, or the one of this series that the date falls in."""
        if name in self.by_id:
            return self.by_id[name]
        series = sorted((p for p in self.by_id.values() if p.series == name), key=lambda p: (p.effective, p.id))
        if not series:
            return None
        if self.date is None:
            self.notes.append(f"no permit date: the newest of {name} is taken, {series[-1].id}")
            return series[-1]
        fitting = [p for p in series if within(self.date, p.effective, p.expires) is not False]
        if len(fitting) > 1:
            self.notes.append(
                f"{len(fitting)} packs of {name} hold on {self.date}; the newest is taken, {fitting[-1].id}"
            )
        return fitting[-1] if fitting else None

    def no_such(self, name: str) -> str:
        series = [p for p in self.by_id.values() if p.series == name]
        if series:
            spans = "; ".join(f"{p.id} {_span(p)}" for p in series)
            return f"no edition of it was in force on {self.date}, the date of the permit or survey: {spans}"
        import difflib

        near = difflib.get_close_matches(name, [*self.by_id], 1)
        return NOT_INSTALLED + (f"; did you mean {near[0]}?" if near else "")

    def add(self, pack: Pack, above: tuple[str, ...]) -> None:
        if pack.id in above:
            circle = " on ".join((*above[above.index(pack.id) :], pack.id))
            self.faults.append(
                Fault(above[-1], f"packs stand on one another in a circle: {circle}", ("pack", "stands_on"))
            )
            return
        for number, name in enumerate(pack.stands_on):
            parent = self.named(name)
            if parent is None:
                here: Path = ("pack", "stands_on", number)
                self.faults.append(Fault(pack.id, f"it stands on {name}, which is not installed and not named", here))
            elif parent.id not in self.order:
                self.add(parent, (*above, pack.id))
        self.order[pack.id] = pack

    def out_of_time(self, order: tuple[Pack, ...]) -> Iterator[Fault]:
        for pack in order:
            if not pack.effective and not pack.expires:
                continue
            if self.date is None:
                self.notes.append(
                    f"neither permit nor survey has a date (year-month-day): {pack.id}, {_span(pack)}, "
                    "is taken as in force"
                )
                continue
            verdict = within(self.date, pack.effective, pack.expires)
            if verdict is None:
                self.notes.append(f"{pack.id} is in force {_span(pack)}; taken as in force on {self.date}")
            elif not verdict:
                early = pack.effective and self.date.last < pack.effective
                state = "not in force yet" if early else "expired"
                why = f"it is in force {_span(pack)}: {state} on {self.date}, the date of the permit or survey"
                yield Fault(pack.id, why, ("pack", "effective" if early else "expires"))


def _span(pack: Pack) -> str:
    begins = f"from {pack.effective}" if pack.effective else ""
    return f"{begins} until {pack.expires}".strip() if pack.expires else begins


def _out_of_order(order: tuple[Pack, ...], given: Sequence[str]) -> Iterator[Fault]:
    places = {pack_id: n for n, pack_id in enumerate(given)}
    for pack in order:
        for parent in pack.stands_on:
            if places.get(parent, -1) > places.get(pack.id, len(given)):
                why = f"it stands on {parent}, which is named after it: name {parent} first"
                yield Fault(pack.id, why, ("pack", "stands_on"))
    widest: tuple[int, str] = (0, "")
    for pack in order:
        if pack.level not in LEVELS:
            continue
        level = LEVELS.index(pack.level)
        if level < widest[0]:
            yield Fault(pack.id, f"a pack of level {pack.level} can't stand after {widest[1]}", ("pack", "level"))
        widest = max(widest, (level, pack.id))


def _of_one_kind(order: tuple[Pack, ...]) -> Iterator[Fault]:
    """Two counties at once: a floor lies in one."""
    for n, pack in enumerate(order):
        for earlier in order[:n]:
            if pack.level == earlier.level and pack.level in ONE_OF_A_KIND and earlier.id not in _below(pack, order):
                why = (
                    f"{earlier.id} and {pack.id} are both packs of level {pack.level}, and neither stands on the other"
                )
                yield Fault(pack.id, why, ("pack", "level"))


def _below(pack: Pack, order: tuple[Pack, ...]) -> set[str]:
    by_id = {p.id: p for p in order}
    found: set[str] = set()
    waiting = [*pack.stands_on]
    while waiting:
        name = waiting.pop()
        if name not in found and name in by_id:
            found.add(name)
            waiting += by_id[name].stands_on
    return found


def _vetoed(order: tuple[Pack, ...]) -> Iterator[Fault]:
    """A pack says who may amend it. A firm's own rules may always be stricter (a run tells when they are not)."""
    for n, pack in enumerate(order):
        for earlier in order[:n]:
            allowed = earlier.amendable_by
            if allowed is None or pack.level in allowed:
                continue
            if pack.level != "firm":
                who = f"a {pack.level}" if pack.level else "a pack that does not say its level"
                only = f"only {' and '.join(allowed)} may" if allowed else "nobody may"
                yield Fault(pack.id, f"{earlier.id} can't be amended by {who}: {only}", ("pack", "level"))
            elif any(change.off for section in pack.sections for change in section.rule_changes):
                yield Fault(pack.id, f"{earlier.id} can't be amended by a firm, so a firm switches nothing off")
