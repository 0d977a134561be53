"""No false comfort: what a surveyor's file is told to meet, the true floor must meet too.

A true floor is drawn: every number exact, many of them near their limits. The engine on the exact floor says the truth.
Then somebody surveys it: the tape errs and is read to its marks, fields are left out, answered with `unknown`, with a
range that holds the truth, or with an estimate (`~`). Wherever the truth falls short, the survey must not say `meets`,
nor dismiss the question (`does-not-apply`); and where it says nothing of it (holes that nobody looked for have no finding
each), something must keep the same hold point.

What the tape may do: every length is read within the pack's tape tolerance of the truth. Where that alone turns an answer,
the same readings without any gap, range or estimate give it too: a floor, all known, no length of which differs by more
than the tolerance. Such an answer is no false comfort, it is counted; and where a length is compared with a limit, the truth
lies within ``READINGS`` tolerances of the limit.

What the engine takes for granted it says in the finding (design: both ends hold, `meets`, assumptions listed). A `meets` on
one of the assumptions in ``STATED`` is counted by itself; any other that turns out false is an error.

Each floor has a number, and its number makes the same floor again. A part runs always; all 20,000 by
``pytest -m simulation -n auto tests/simulation``. Numbers are printed at the end.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.cases import edited
from inspect_core.engine.finding import RULE_FAILED, Finding, shortfall
from inspect_core.engine.run import Report
from inspect_core.quantities import Dimension, Quantity, QuantityError, parse, parse_positions, written
from inspect_core.rules_api import DOES_NOT_APPLY, FALLS_SHORT, MEETS, NOT_MEASURED
from inspect_core.site import InputError, schema, site_from_text
from inspect_core.site.convert import resolve

FLOORS = 20_000
ALWAYS = 100  # of them, in every run of the tests
CHUNK = 50
TAPE_TOLERANCE = 1 / 16  # in; the base pack's, which the test compares
READINGS = 3  # lengths on the tape that a compared length is made of at most: two places and a width
ESTIMATE_ERROR = 0.09  # share of the truth by which a guess errs at most; the engine allows for 0.10
MARKS = {"in": 1 / 16, "mm": 1 / 25.4}  # in: what a tape is divided into

# What a floor that is not fully described may be taken for, and why that is no sound bound.
STATED = {
    "layers not described": "10 to 20 psf as in the span tables; a floor of mortar or stone weighs more",
    "new 2x": "new lumber is dressed; a mill may still saw it full",
    "the toilet is of the usual kind": "made for 12 in to the wall; some are made for 14",
    "fastened there as along the panel's other edges": "what lies under a wall may have got fewer fasteners",
}

ROOT = Path(__file__).parents[2]
WHOLE = ("lock-cottage-repaired", "kiln-house-tub", "lock-cottage-insulated")  # samples that know everything
LARGEST = 30_000  # bytes: a giant would take the time of a hundred others

Steps = tuple[str | int, ...]
Data = Any

# --- floors as somebody wrote them: what is drawn from ---


@cache
def samples() -> tuple[Data, ...]:
    return tuple(read(ROOT / "sample_sites" / f"{name}.site.yaml") for name in WHOLE)


@cache
def benches() -> tuple[Data, ...]:
    """The case files of the rules: between them they hold something for every rule."""
    return tuple(read(path) for path in sorted((ROOT / "tests" / "rules" / "cases").glob("*.yaml")))


def read(path: Path) -> Data:
    return yaml.load(path.read_text("utf-8"), yaml.CSafeLoader)


def skeleton(dice: random.Random) -> Data:
    """A copy of a whole sample floor, or the floor of one rule case."""
    if dice.random() < 0.2:
        return fresh(dice.choice(samples()))
    bench = dice.choice(benches())
    case = dice.choice(bench["cases"])
    return fresh(edited(bench["site"], case.get("set") or {}, case.get("remove") or ()))


def fresh(data: Data) -> Data:
    return json.loads(as_text(data))


def as_text(data: Data) -> str:
    return json.dumps(data, default=str)  # dates


# --- the schema beside the data ---


@dataclass(frozen=True)
class Place:
    """A value in the file, and what the schema says about it. ``loose``: the key may be left out."""

    path: Steps
    part: dict[str, Any]
    loose: bool


def places(value: Data, part: dict[str, Any], path: Steps = (), loose: bool = False) -> Iterator[Place]:
    """Every value that the schema describes, from the outside in."""
    root = schema()
    part = resolve(part, root)
    if path:
        yield Place(path, part, loose)
    if isinstance(value, dict):
        known, others = part.get("properties", {}), part.get("additionalProperties")
        for key, inner in value.items():
            about = known.get(key, others)
            if isinstance(about, dict):
                # An exception that is left out would say that the joist is like the others, which is a false statement.
                can_go = key in known and key not in part.get("required", ()) and "but" not in path
                yield from places(inner, about, (*path, key), can_go and key not in SAYS_SO_WHEN_ABSENT)
    elif isinstance(value, list) and isinstance(part.get("items"), dict):
        for i, inner in enumerate(value):
            yield from places(inner, part["items"], (*path, i))


# Names and frame of the file, and keys whose absence is a statement by the schema (a layer without region lies everywhere).
SAYS_SO_WHEN_ABSENT = {
    *("id", "name", "format", "units", "areas", "but", "also", "from", "to", "end_of", "over", "missing", "between"),
    *("region", "part", "across", "along", "origin", "packs", "serves", "under", "rests_on", "row", "ends", "work"),
}  # fmt: skip
# Lengths that are printed on the thing, or chosen by who measures: no tape is read.
PRINTED = {"size", "outside_diameter", "over", "short_over", "level_over", "frost_depth", "head", "mesh"}


def holder_of(data: Data, path: Steps) -> Data:
    for step in path[:-1]:
        data = data[step]
    return data


def known_quantity(value: Data, part: dict[str, Any], units: Any) -> Quantity | None:
    """The exact quantity that stands there; None for anything else."""
    try:
        dimension = Dimension(part["quantity"])
        found = parse(value, dimension, units)
    except (KeyError, ValueError, QuantityError):
        return None
    return found if found is not None and found.exact else None


# --- the true floor ---

SPECIES = ("douglas-fir-larch", "hem-fir", "southern-pine", "spruce-pine-fir")
GRADES = ("Select Structural", "No.1", "No.2", "No.3")


def true_floor(dice: random.Random) -> Data:
    """A floor, all known: a skeleton with every number moved a little, and some things quite different."""
    data = skeleton(dice)
    units = data.get("units", "in")
    for area in data.get("areas") or []:
        for group in area.get("joists") or []:
            if isinstance(group.get("at"), str) and group["at"].startswith("every"):
                group["at"] = [written(q, units) for q in parse_positions(group["at"], units)]
            if isinstance(group.get("each"), dict):
                wear(group, dice)
        say_once(area)
    if data.get("hazards"):
        if data["hazards"].get("confined_space") is False:
            data["hazards"].pop("oxygen", None)  # who judged that has judged the air
        data["site"].pop("built", None)  # its age tells by law whether lead or asbestos must be looked for
    odd = dice.choice((0.01, 0.04, 0.15))
    for place in list(places(data, schema())):
        holder, key = holder_of(data, place.path), place.path[-1]
        if not named_twice(data, holder, place.path):
            holder[key] = drawn(holder[key], place, units, 0.0 if is_bound(holder, place.path) else odd, dice)
    for area in data.get("areas") or []:
        for support in area.get("supports") or []:
            if support.get("line") == "masonry-ledge":
                support.pop("kind", None)  # drawn apart, it would be a ledge of masonry that is wood
    return data


def named_twice(data: Data, holder: Data, path: Steps) -> bool:
    """What something else in the file tells too: drawn apart, the two would contradict each other.

    A 16d common nail is a nail, a tiled floor ends in tile, a photo shows the test of a drain, and
    a label what the wood was treated with.
    """
    match path[-1]:
        case "kind":
            return "name" in holder or "layers" in path
        case "finish":
            finishes = ("tile", "resilient", "wood-floor")
            return any(layer.get("kind") in finishes for layer in holder.get("layers") or [])
        case "confined_space":
            return "oxygen" in holder
        case "treated":
            return "treated_label" in holder
        case "tested":
            return bool(data.get("evidence"))
    return False


def is_bound(holder: Data, path: Steps) -> bool:
    """Numbers that go with what the thing is: no panel weighs 100 psf, no stamp stands on a panel of another thickness."""
    return "layers" in path and (path[-1] == "weight" or (path[-1] == "thickness" and "rating" in holder))


def say_once(area: Data) -> None:
    """What a file may say in two ways is said in one: drawn apart, the two would contradict each other."""
    for drain in area.get("drains") or []:
        if "slope" in drain or "falls_evenly" in drain:
            drain.pop("end_below_joist_top", None)
    for layer in area.get("layers") or []:
        if "into" in (layer.get("fasteners") or {}):
            layer.pop("attached_to", None)
        if layer.get("kind") in ("panel", "boards", "backer", "tile"):
            layer.pop("weight", None)  # what it is and its thickness tell; some cases pile up stone
    for support in area.get("supports") or []:
        if support.get("kind") in ("sawn", "plank", "i-joist", "lvl", "glulam", "truss", "steel"):
            support.pop("surface", None)
    crawl = area.get("crawl_space") or {}
    if all(vent.get("wall") for vent in crawl.get("vents") or [{}]):
        crawl.pop("cross_ventilation", None)
    if any("connectors" in support for support in area.get("supports") or []):
        for pier in area.get("piers") or []:
            pier.pop("tied", None)
    if any("clearance" in support for support in area.get("supports") or []):
        (area.get("crawl_space") or {}).pop("beam_clearance", None)
    cover = (area.get("crawl_space") or {}).get("ground_cover") or {}
    if cover.get("kind") in ("polyethylene", "reinforced-sheet"):
        cover.pop("retarder_class", None)  # the film and its thickness tell


def drawn(value: Data, place: Place, units: Any, odd: float, dice: random.Random) -> Data:
    part, key, other = place.part, place.path[-1], dice.random() < odd
    quantity = known_quantity(value, part, units)
    if quantity is not None:
        return moved(quantity, part, units, other, dice) if key not in PRINTED else value
    if not other:
        return value
    if "enum" in part and value in part["enum"]:
        return dice.choice([word for word in part["enum"] if word != "unknown"])
    if key == "species" and value in SPECIES:
        return dice.choice(SPECIES)
    if key == "grade" and value in GRADES:
        return dice.choice(GRADES)
    if key == "size" and isinstance(value, str) and value in ("2x6", "2x8", "2x10", "2x12"):
        return dice.choice(("2x6", "2x8", "2x10", "2x12"))
    return value


def moved(quantity: Quantity, part: dict[str, Any], units: Any, other: bool, dice: random.Random) -> Data:
    """The same thing in another house: a few percent off, or ``other`` altogether."""
    if quantity.dimension is Dimension.COUNT:
        low = parse(part.get("quantity-minimum", "0"), Dimension.COUNT, units)
        assert low is not None
        return max(int(low.low), int(quantity.low) + dice.choice((-2, -1, 1, 2))) if other else int(quantity.low)
    factor = dice.uniform(0.3, 1.6) if other else 1 + dice.choice((0.0, 0.01, 0.04)) * dice.gauss(0, 1)
    by = quantity.low * (factor - 1)
    if quantity.dimension is Dimension.LENGTH and not other:
        by = max(-2.0, min(2.0, by))  # in: places on a tape keep their order
    return written(Quantity(quantity.low + by, quantity.low + by, quantity.dimension), units)


def wear(group: Data, dice: random.Random) -> None:
    """Holes, notches and rot in the joists of a group, in a third of the groups."""
    each, start = group["each"], group.get("from")
    if dice.random() > 0.3 or not isinstance(start, str):
        return
    place = lambda: {"from": start, "at": f"{dice.uniform(2, 90):.2f} in"}  # noqa: E731
    match dice.randrange(3):
        case 0:
            hole = {"diameter": f"{dice.uniform(0.5, 3.2):.2f} in", "wood_above": f"{dice.uniform(0.5, 4):.2f} in"}
            each["holes"] = [{"id": "H-drawn", **place(), **hole}]
        case 1:
            notch = {"edge": dice.choice(("top", "bottom")), "depth": f"{dice.uniform(0.3, 2):.2f} in"}
            each["notches"] = [{"id": "N-drawn", **place(), **notch, "length": f"{dice.uniform(0.5, 5):.2f} in"}]
        case _:
            left = f"{dice.uniform(3, 7):.2f} in"
            each["condition"] = [
                {"kind": "rot", **place(), "length": f"{dice.uniform(2, 20):.2f} in", "depth_left": left}
            ]


# --- the survey ---


def surveyed(truth: Data, dice: random.Random) -> tuple[Data, Data]:
    """What the tape says of every length, all known; and what somebody hands in."""
    readings, survey = fresh(truth), fresh(truth)
    units = truth.get("units", "in")
    careless = dice.choice((0.01, 0.05, 0.2))
    for place in list(places(truth, schema())):
        holder, key = holder_of(readings, place.path), place.path[-1]
        true = known_quantity(holder[key], place.part, units)
        read_off = on_tape(true, units, dice) if true is not None and key not in PRINTED else true
        if true is not None and read_off is not None and place.part.get("quantity") == "length":
            holder[key] = written(read_off, units)
        try:
            theirs = holder_of(survey, place.path)
        except (KeyError, TypeError):
            continue  # what is around it was left out
        if not isinstance(theirs, dict | list):
            continue  # or is unknown as a whole
        if key in PRINTED or read_off is not None:
            theirs[key] = holder[key]
        if dice.random() < careless:
            lose(theirs, place, true, read_off, units, dice)
    return readings, survey


def on_tape(true: Quantity, units: Any, dice: random.Random) -> Quantity:
    """A reading: the tape errs, normally, and is read to its marks; never past its tolerance. Gauges are exact."""
    if true.dimension is not Dimension.LENGTH or abs(true.low) < 0.25:
        return true
    while True:
        mark = MARKS[units]
        reading = round((true.low + dice.gauss(0, TAPE_TOLERANCE / 2)) / mark) * mark
        if abs(reading - true.low) <= TAPE_TOLERANCE:
            return Quantity(reading, reading, Dimension.LENGTH)


def lose(
    holder: Data, place: Place, true: Quantity | None, reading: Quantity | None, units: Any, dice: random.Random
) -> None:
    """Write less than was there: leave it out, `unknown`, a range that holds the truth, or an estimate."""
    key, part = place.path[-1], place.part
    ways: list[Callable[[], Any]] = []
    if true is not None and reading is not None and true.dimension is not Dimension.COUNT and true.low > 0:
        ways += [lambda: range_around(true, reading, units, dice), lambda: guess(true, units, dice)]
    if "quantity" in part or "unknown" in part.get("enum", ()) or key in ("species", "grade"):
        ways.append(lambda: "unknown")
    if ways and (not place.loose or dice.random() < 0.7):
        holder[key] = dice.choice(ways)()
    elif place.loose and (not isinstance(holder[key], list | dict) or dice.random() < 0.3):
        del holder[key]


def range_around(true: Quantity, reading: Quantity, units: Any, dice: random.Random) -> str:
    size = true.low * dice.choice((0.02, 0.1, 0.5))
    low = max(0.0, min(true.low, reading.low) - size * dice.random())
    return written(Quantity(low, max(true.low, reading.low) + size * dice.random(), true.dimension), units)


def guess(true: Quantity, units: Any, dice: random.Random) -> str:
    about = true.low * (1 + dice.uniform(-ESTIMATE_ERROR, ESTIMATE_ERROR))
    return written(Quantity(about, about, true.dimension, estimate=True), units)


# --- the two compared ---


@dataclass
class Tally:
    """What came out, over any number of floors."""

    counts: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    @property
    def floors(self) -> int:
        return self.counts["floors"]


def checked(data: Data, number: int, packs: LoadedPacks) -> Report | None:
    """The engine's report; None where the file is refused."""
    try:
        report = inspect(site_from_text(as_text(data), f"floor {number}"), packs)
    except InputError:
        return None
    failed = [f.check.because for f in report.findings if f.rule.id == RULE_FAILED]
    assert failed == [], f"floor {number}: {failed}"
    return report


def comfort(bad: Finding, report: Report) -> str:
    """How a report hides what is wrong: with `meets`, by dismissing it, by silence; "" where it doesn't."""
    same_rule = [f for f in report.findings if f.rule.id == bad.rule.id]
    outcomes = {f.outcome for f in same_rule if f.subject == bad.subject}
    if outcomes & {FALLS_SHORT, NOT_MEASURED}:
        return ""
    if outcomes:
        return MEETS if MEETS in outcomes else DOES_NOT_APPLY
    asked_otherwise = any(f.outcome in (FALLS_SHORT, NOT_MEASURED) for f in same_rule)
    return "" if asked_otherwise or report.open_findings(bad.severity, bad.rule.hold_point) else "silence"


def one_floor(number: int, packs: LoadedPacks, tally: Tally) -> None:
    """Draw, survey and compare the floor of that number."""
    dice = random.Random(number)
    truth = drawn_until_read(lambda: true_floor(dice), number, packs, tally)
    readings, survey = {}, {}

    def hand_in() -> Data:
        nonlocal readings, survey
        readings, survey = surveyed(truth[0], dice)
        return survey

    report = drawn_until_read(hand_in, number, packs, tally)[1]
    tally.counts["floors"] += 1
    tally.counts.update(f"survey {f.outcome}" for f in report.findings)
    tally.counts.update(f"truth {f.outcome}" for f in truth[1].findings)
    suspects = [(f, how) for f in truth[1].findings if f.outcome == FALLS_SHORT and (how := comfort(f, report))]
    if not suspects:
        return
    measured = checked(readings, number, packs)
    assert measured is not None, number
    for bad, how in suspects:
        if how == MEETS and all(stated(f) and not stated(bad) for f in report.findings if same_question(f, bad)):
            tally.counts["meets where the truth falls short, on an assumption that it states"] += 1
        elif within_the_tape(bad, measured):
            tally.counts[f"{how} where the truth falls short, within the tape's tolerance"] += 1
        else:
            tally.wrong.append(f"floor {number}: {bad.rule.id}, {bad.subject}: {how}; {bad.message(report.site.units)}")


def stated(finding: Finding) -> bool:
    return any(text.startswith(tuple(STATED)) for text in finding.assumptions)


def within_the_tape(bad: Finding, measured: Report) -> bool:
    """Whether the tape alone can turn the answer.

    A length lies within as many tolerances of its limit as it has readings. For what is computed, and where the limit
    itself follows from a reading (by thickness, by depth), the readings, all known, give the same answer.
    """
    missed, again = shortfall(bad.check), [f for f in measured.findings if same_question(f, bad)]
    if missed is not None and missed[1].dimension is Dimension.LENGTH:
        if missed[1].high <= READINGS * TAPE_TOLERANCE + 1e-6:
            return True
        if any(limits_of(f) == limits_of(bad) for f in again):
            return False
    return comfort(bad, measured) != ""


def same_question(one: Finding, other: Finding) -> bool:
    return (one.rule.id, one.subject) == (other.rule.id, other.subject)


def limits_of(finding: Finding) -> list[Quantity]:
    limits = (finding.check.limit, finding.check.upper)
    return [limit.value for limit in limits if limit is not None and limit.value is not None]


def drawn_until_read(draw: Callable[[], Data], number: int, packs: LoadedPacks, tally: Tally) -> tuple[Data, Report]:
    """Some drawn files describe no floor (a joist beyond its beam) and are refused: then another is drawn."""
    for _ in range(30):
        data = draw()
        report = checked(data, number, packs)
        if report is not None:
            return data, report
        tally.counts["refused and drawn again"] += 1
    raise AssertionError(f"floor {number}: nothing that can be read was drawn")


def simulate(first: int, last: int, packs: LoadedPacks) -> Tally:
    tally = Tally()
    for number in range(first, last):
        one_floor(number, packs, tally)
    return tally


def chunk(first: int, packs: LoadedPacks, record: Callable[[str, object], None]) -> None:
    tally = simulate(first, first + CHUNK, packs)
    record("simulation", dict(tally.counts))
    assert tally.wrong == []
    assert tally.floors == CHUNK
    assert tally.counts["truth falls-short"] > CHUNK  # the floors are bad enough to be worth it
    assert tally.counts["survey meets"] > CHUNK  # and the surveys are not all empty


def test_the_tape_is_the_packs(packs: LoadedPacks) -> None:
    report = checked(samples()[0], 0, packs)
    assert report is not None
    limit = report.rules.tape_tolerance
    assert limit is not None and limit.value is not None
    assert limit.value.high == TAPE_TOLERANCE


@pytest.mark.parametrize("first", range(0, ALWAYS, CHUNK))
def test_no_false_comfort(first: int, packs: LoadedPacks, record_property: Callable[[str, object], None]) -> None:
    chunk(first, packs, record_property)


@pytest.mark.simulation
@pytest.mark.parametrize("first", range(ALWAYS, FLOORS, CHUNK))
def test_no_false_comfort_on_all_floors(
    first: int, packs: LoadedPacks, record_property: Callable[[str, object], None]
) -> None:
    chunk(first, packs, record_property)
