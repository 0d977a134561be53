"""What the rules on papers and photos share: what is being altered, which papers are listed, what is covered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from inspect_core.rules_api import ADVISORY, Check, Limits, Named, Severity, does_not_apply, fact, named, not_measured
from inspect_core.site import Area, Site
from inspect_core.site.buildup import STRUCTURAL
from inspect_core.site.model import Document, Evidence, Joist, Part

CHANGED = ("altered", "new")
FRAME_LISTS = ("joists", "supports", "posts", "piers", "footings", "openings", "blocking")
PIPE_LISTS = ("drains", "wet_areas")


@dataclass(frozen=True, slots=True)
class Job:
    """What the file says of the work: parts that are ``changed``, lists nobody filled in, parts of unknown work."""

    changed: tuple[tuple[Area, Part], ...]
    unlisted: tuple[str, ...]
    unsaid: tuple[Part, ...]

    @property
    def touched(self) -> bool | None:
        """Whether any of it is altered or new; ``None`` where that is not known."""
        return True if self.changed else None if self.unlisted or self.unsaid else False

    @property
    def asks(self) -> tuple[str, ...]:
        """What would tell."""
        return (*(f"area.{name}" for name in self.unlisted), *(("site.work",) if self.unsaid else ()))


def frame(site: Site) -> Job:
    """Joists with their sisters, supports, posts, piers, footings, openings, blocking, and the structural layer."""
    return _job(site, (*FRAME_LISTS, "layers"))


def pipes(site: Site) -> Job:
    """Drains and wet areas."""
    return _job(site, PIPE_LISTS)


def footings_and_piers(site: Site) -> Job:
    """What is set in a trench."""
    return _job(site, ("piers", "footings"))


def everything(site: Site) -> Job:
    """Structure and plumbing: what is more than finish."""
    return _job(site, (*FRAME_LISTS, "layers", *PIPE_LISTS))


def _job(site: Site, lists: Iterable[str]) -> Job:
    changed: list[tuple[Area, Part]] = []
    unsaid: list[Part] = []
    unlisted: dict[str, None] = {}
    for area in site.areas:
        for name in lists:
            parts = getattr(area, name)
            if parts is None:
                unlisted[name] = None
            for part in _of(name, parts or ()):
                work = None if _nameless(name, part) else getattr(part, "work", None)
                if work in CHANGED:
                    changed.append((area, part))
                elif work is None:
                    unsaid.append(part)
    return Job(tuple(changed), tuple(unlisted), tuple(unsaid))


def _of(name: str, parts: Iterable[Part]) -> Iterator[Part]:
    for part in parts:
        if name == "layers" and getattr(part, "kind", None) not in (None, *STRUCTURAL):
            continue  # finish
        if name == "layers" and getattr(part, "attached_to", None) == "layer-below":
            continue  # a panel that only levels
        yield part
        if isinstance(part, Joist):
            yield from part.sisters or ()
            yield from (hanger for hanger in part.hung.values() if not hanger.as_member)


def _nameless(name: str, part: Part) -> bool:
    """A layer that nobody has named, which may be structure; old work is old whatever it is."""
    return name == "layers" and getattr(part, "kind", None) is None and getattr(part, "work", None) in CHANGED


def about(site: Site, area: Area, part: Part, detail: str = "", within: Part | None = None) -> Named:
    """A part as a subject of a rule that looks at the whole site: with its area where there are several."""
    subject = named(part, detail, within)
    return replace(subject, name=f"{subject.name} in {area.id}") if len(site.areas) > 1 else subject


def listed(parts: Iterable[tuple[Area, Part]], most: int = 3) -> str:
    """Names of the first few parts: ``joist J4, drain D1 and 2 more``."""
    names = list(dict.fromkeys(named(part).name for _, part in parts))
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def covered(site: Site) -> bool | None:
    """Whether the subfloor lies on the frame already: the file describes what is built. ``None``: nobody has said."""
    stage = site.house.stage
    if stage is None:
        return None
    if stage != "built":
        return False
    layers = [area.layers for area in site.areas]
    if any(found is None for found in layers):
        return None
    return any(layer.kind in STRUCTURAL for found in layers for layer in found or ())


# --- papers ---------------------------------------------------------------------------------------------------------


def papers(site: Site, *kinds: str) -> tuple[Document, ...]:
    """Papers of these kinds, and those of which nobody has said the kind."""
    return tuple(paper for paper in site.documents or () if paper.kind is None or paper.kind in kinds)


def speaks_of(text: str | None, words: Iterable[str]) -> bool | None:
    """Whether a paper's or a photo's words name one of these; ``None`` where it says nothing."""
    if text is None:
        return None
    low = text.casefold().replace("-", " ")
    return any(word.casefold().replace("-", " ") in low for word in words)


def names_id(text: str | None, part_id: str) -> bool | None:
    """Whether a text names an id as a word of its own; ``None`` where it says nothing."""
    if text is None:
        return None
    plain = "".join(c if c.isalnum() or c in "-_." else " " for c in text.casefold())
    return part_id.casefold() in plain.split()


def paper(
    subject: Named,
    found: Iterable[tuple[Document, bool | None]],
    *,
    expected: str,
    none_listed: bool | None,
    severity: Severity | None = None,
    waivable: bool = True,
) -> Check:
    """The answer of the best of some papers, each with whether it is about the subject (``None``: not known).

    On site, it meets. A paper that is said not to be needed ends the matter where that is the official's to say
    (``waivable``). ``none_listed`` is what it means that no paper is there: ``False`` falls short, ``None`` not known.
    """
    on_it = [(one, says) for one, says in found if says is not False]
    best = next((one for one, says in on_it if says and one.kind is not None and one.state == "on-site"), None)
    if best is not None:
        return fact(replace(subject, path=best.path), True, expected=expected, found=_paper_words(best))
    waived = next((one for one, says in on_it if says and one.kind is not None and one.state == "not-needed"), None)
    if waived is not None and waivable:
        return does_not_apply(subject, f"paper {waived.id} says that the official asks for none")
    if waived is not None:
        words = f"paper {waived.id} is said not to be needed"
        return fact(subject, None, expected=expected, found=words, asks=("document.state",), severity=severity)
    unsure = [(one, says) for one, says in on_it if one.kind is None or says is None or one.state is None]
    if unsure:
        one, says = unsure[0]
        given = (("document.kind", one.kind), ("document.covers", says), ("document.state", one.state))
        asks = tuple(field for field, value in given if value is None)
        words = f"paper {one.id} is listed"
        return fact(replace(subject, path=one.path), None, expected=expected, found=words, asks=asks, severity=severity)
    words = "; ".join(f"paper {one.id} is {one.state}" for one, _ in on_it) or "no such paper is listed"
    asks = ("document.kind", "document.state")
    return fact(subject, none_listed, expected=expected, found=words, asks=asks, severity=severity)


def _paper_words(one: Document) -> str:
    dated = f" of {one.date}" if one.date else ""
    signed = f", signed by {one.signed_by}" if one.signed_by else ""
    return f"paper {one.id}{dated}{signed}"


def unlisted_papers(subject: Named, expected: str) -> Check:
    """Nobody has said which papers there are."""
    return fact(subject, None, expected=expected, asks=("document.kind", "document.state"))


# --- evidence -------------------------------------------------------------------------------------------------------


def evidence_of(site: Site, *parts: Part | None) -> tuple[Evidence, ...]:
    """Photos and papers kept of any of these parts: named by the part, or naming it."""
    ids = {getattr(part, "id", "") for part in parts if part is not None} - {""}
    named_by = {name for part in parts for name in getattr(part, "evidence", None) or ()}
    return tuple(one for one in site.evidence or () if one.id in named_by or ids & set(one.of or ()))


def words_of(limits: Limits, limit: str, key: str = "") -> tuple[str, ...]:
    """The words of a limit that lists some."""
    return limits[limit, key].words if key else limits[limit].words


def nothing_changed(subject: Named, job: Job, site: Site, what: str) -> Check:
    """The answer where no altered or new part of the kind is listed: not known, still to come, or nothing to see.

    What is still to come is advice: a floor as found has no work that could be held up.
    """
    if job.touched is None:
        return not_measured(subject, because=f"not known whether the work touches {what}", asks=job.asks)
    if site.house.stage in ("planned", "built"):
        return does_not_apply(subject, f"the work touches no {what}")
    because = f"the work touches no {what} yet: describe what is planned, or say which stage this is"
    return replace(not_measured(subject, because=because, asks=("site.stage",)), severity=ADVISORY)
