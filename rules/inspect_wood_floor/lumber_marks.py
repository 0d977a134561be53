"""What lumber and metal say of themselves: grade marks, true sizes of old joists, zinc of connectors."""

from __future__ import annotations

from collections.abc import Iterator

from inspect_core.rules_api import (
    ADVISORY,
    CORRECTION,
    Check,
    Limits,
    Named,
    Subject,
    check,
    does_not_apply,
    named,
    not_measured,
    rule,
)
from inspect_core.site import Area, Site
from inspect_core.site.model import Header, Joist, Member, Support
from inspect_wood_floor._members import by_word, sister_names, together
from inspect_wood_floor._verdicts import Verdict, any_of

SAWN = ("sawn", "plank", None)


@rule(
    "lumber-grade-mark",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.lumber-mark",
    quantity="what vouches for the grade",
    limits=["lumber-marks"],
    measures=["joist.mark", "support.mark", "header.mark", "post.mark", "sister.mark"],
    provisions=["lumber-grade-mark", "mill-lumber-ny"],
    cautions=["licensed-engineer"],
    binds=["new", "altered"],
    remedy="Use stamped lumber, or have a grading agency certify what is there. Until then reckon with the lowest "
    "grade.",
)
def lumber_grade_mark(area: Area, limits: Limits) -> Iterator[Check]:
    """New sawn lumber that carries load bears the grade mark of an accredited agency, or has its certificate.

    Two boards that look alike may differ by half in strength. What was there before may be certified by inspection.
    """
    if area.joists is None or area.supports is None:
        asks = tuple(f"area.{name}" for name in ("joists", "supports") if getattr(area, name) is None)
        yield not_measured(Named("lumber", area.path), asks=asks, because="the frame is not described")
    frame: list[Joist | Support | Header] = [*(area.joists or ()), *(area.supports or ())]
    frame += [header for opening in area.openings or () for header in opening.headers or ()]
    posts = [post for post in area.posts or () if post.material in ("wood", None)]
    lumber = [member for member in (*frame, *posts) if member.kind in SAWN]
    for group in by_word(one for one in frame if one.kind in SAWN and one.work == "existing"):
        yield does_not_apply(together(group, "grade mark"), "it was here before; its grade is judged where it counts")
    for member in lumber:
        if member.work != "existing":
            yield _marked(named(member, "grade mark"), member.mark, f"{_word(member)}.mark", limits)
    for joist in area.joists or ():
        for name, sister in zip(sister_names(joist), joist.sisters or (), strict=True):
            if sister.work != "existing":
                yield _marked(named(sister, name, within=joist), sister.mark, "sister.mark", limits)
    if area.joists == () and area.supports == () and not lumber:
        yield does_not_apply(Named("lumber", area.path), "no members are listed in this area")


def _word(member: Member) -> str:
    return type(member).__name__.casefold()


def _marked(subject: Subject, mark: str | None, field: str, limits: Limits) -> Check:
    return check(subject, measured=mark, one_of=limits["lumber-marks"], asks=(field,))


@rule(
    "true-size",
    hold_point="under-floor",
    severity=ADVISORY,
    reference="floor.lumber-size",
    quantity="measured size",
    limits=["dressed-sizes-from", "size-known"],
    measures=["joist.thickness", "joist.depth", "joist.sizes", "joist.size", "site.built"],
    provisions=["true-size"],
    cautions=["crawl-space"],
    remedy="Measure thickness and depth of each old joist away from rot, and write them down.",
    scope="site",
)
def true_size(site: Site, limits: Limits) -> Iterator[Check]:
    """Old joists are measured, each of them: a 2x8 was 2 by 8, then 1 5/8 by 7 1/2, and is 1 1/2 by 7 1/4 now.

    Half an inch of depth is a fifth of a joist's stiffness. Sizes by era are from memory; the tape decides.
    """
    several = len(site.areas) > 1
    for area in site.areas:
        where = f" in {area.id}" if several else ""
        if area.joists is None:
            about = Named(f"size of joists{where}", area.path)
            yield not_measured(about, asks=("area.joists",), because="no joists are described")
            continue
        old = [joist for joist in area.joists if joist.work != "new"]
        if not old:
            yield does_not_apply(Named(f"size of joists{where}", area.path), "no old joists are listed")
        groups: dict[Verdict, list[Joist]] = {}
        for joist in old:
            groups.setdefault(_measured(site, joist, limits), []).append(joist)
        for verdict, joists in groups.items():
            about = together(list(joists), f"size{where}")
            if verdict:
                yield check(about, measured="measured", one_of=limits["size-known"])
            else:
                age = ("site.built",) if site.built is None else ()
                because = "the true size is not known"
                if verdict is False:
                    because = "sold by a name that stands for another size in a house of that age"
                yield not_measured(about, asks=("joist.thickness", "joist.depth", "joist.sizes", *age), because=because)


def _measured(site: Site, joist: Joist, limits: Limits) -> Verdict:
    """Whether a joist's size is the true one; ``False`` where its name alone says it and the house is too old for "
    "it."""
    if joist.thickness is not None and joist.depth is not None:
        return True
    if joist.size is None or joist.sizes is None:
        return None
    if joist.sizes == "true-dimension":
        return True
    first = limits["dressed-sizes-from"].value
    return None if site.built is None or first is None else site.built >= first.high


# --- metal in treated wood --------------------------------------------------------------------------------------------


@rule(
    "connector-in-treated",
    hold_point="under-floor",
    severity=CORRECTION,
    reference="floor.fasteners-in-treated",
    quantity="protection of the connector",
    limits=["treated-wood-connectors"],
    measures=["hanger.coating", "support.connector_coating", "support.treated", "joist.treated"],
    provisions=["connector-in-treated"],
    cautions=["treated-dust", "crawl-space"],
    binds=["new", "altered"],
    remedy="Use the hangers and straps that the maker names for this treatment: at least G185 zinc, or stainless "
    "steel.",
)
def connector_in_treated(area: Area, limits: Limits) -> Iterator[Check]:
    """Hangers and straps on preservative-treated wood are the maker's type for it, or have at least G185 zinc.

    Copper in the wood eats thin zinc within years; the hanger looks whole until it lets go.
    """
    everything = Named("connectors", area.path)
    if area.supports is None or area.joists is None:
        asks = tuple(f"area.{name}" for name in ("supports", "joists") if getattr(area, name) is None)
        yield not_measured(everything, asks=asks, because="the frame is not described")
    answered = False
    for subject, treated, coating, field in _connectors(area):
        answered = True
        if treated is False:
            yield does_not_apply(subject, "untreated wood")
        elif treated is None and coating not in limits["treated-wood-connectors"].words:
            yield not_measured(subject, expected="it withstands treated wood", asks=("support.treated", field))
        else:
            yield check(subject, measured=coating, one_of=limits["treated-wood-connectors"], asks=(field,))
    if not answered and area.supports is not None and area.joists is not None:
        yield does_not_apply(everything, "no hangers and no straps are listed")


def _connectors(area: Area) -> Iterator[tuple[Subject, Verdict, str | None, str]]:
    for joist in area.joists or ():
        for at, hanger in joist.hung.items():
            if hanger.by not in ("hanger", "framing-anchor", None):
                continue
            carrier = area.carriers.get(at)
            treated = any_of((joist.treated, carrier.treated if carrier is not None else None))
            yield named(hanger, f"hanger at {at}", within=joist), treated, hanger.coating, "hanger.coating"
    for support in area.supports or ():
        if support.connectors in ("straps", "clips", "bolts"):
            field = "support.connector_coating"
            yield named(support, support.connectors), support.treated, support.connector_coating, field
