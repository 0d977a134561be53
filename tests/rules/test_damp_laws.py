"""Laws of the rules on condensation, decay, termites, ventilation, access and tile work, whatever the numbers are."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import condensation, crawl_access, decay, termites, tile_work, ventilation

from inspect_core.engine import LoadedPacks
from inspect_core.engine.stack import stack
from inspect_core.rules_api import Limits, rules_in
from inspect_core.site import site_from_text

MODULES = (condensation, crawl_access, decay, termites, tile_work, ventilation)
RULES = [rule for module in MODULES for rule in rules_in(module)]
Answers = dict[tuple[str, str, str], str]
Answering = Callable[[dict[str, Any]], Answers]
Step = tuple[str | int, ...]


def outcomes(text: dict[str, Any], limits: Limits) -> Answers:
    """Outcome by rule, area and subject; no subject is answered twice by one rule, and each rule says something."""
    found: Answers = {}
    site = site_from_text(json.dumps(text))
    for rule in RULES:
        for target in (site,) if rule.scope == "site" else site.areas:
            before = len(found)
            for one in rule.function(target, limits):
                key = (rule.id, getattr(target, "id", ""), one.subject.name)
                assert key not in found
                found[key] = one.outcome
            assert len(found) > before, f"{rule.id} says nothing"
    return found


@pytest.fixture(scope="module")
def answers(packs: LoadedPacks) -> Answering:
    limits = stack(packs.packs).limits
    return lambda site: outcomes(site, limits)


def none_better(before: Answers, after: Answers) -> None:
    """Nothing that fell short meets now."""
    assert [key for key, outcome in after.items() if outcome == "meets" and before.get(key) == "falls-short"] == []


def none_gained(before: Answers, after: Answers) -> None:
    """All that meets now met before, or the rule was not about it (then under a shorter name)."""
    aside = {key[:2] for key, outcome in before.items() if outcome == "does-not-apply"}
    gained = [key for key, outcome in after.items() if outcome == "meets" and before.get(key) != "meets"]
    assert [
        key for key in gained if before.get(key, "does-not-apply") != "does-not-apply" or key[:2] not in aside
    ] == []


def some(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


yes_or_no = st.booleans()
inches = st.integers(0, 80).map(lambda n: n / 2)
small = st.integers(0, 12).map(lambda n: n / 64)


@st.composite
def spaces(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "kind": draw(some("vented", "vented", "unvented", "basement", "none")),
        "floor_area": f"{draw(st.integers(40, 400))} sq ft",
        "ground_cover": {"kind": draw(some("none", "polyethylene", "concrete")), "laps": draw(inches)},
        "air": {"temperature": f"{draw(st.integers(25, 90))} F", "humidity": draw(st.integers(30, 100))},
        "indoor_air": {"temperature": f"{draw(st.integers(60, 80))} F", "humidity": draw(st.integers(20, 80))},
        "coldest_surface": f"{draw(st.integers(30, 80))} F",
        "insulation": draw(some("none", "between-joists", "walls")),
        "insulation_material": draw(some("glass-wool", "foam-board")),
        "insulation_thickness": draw(some(2, 5.5, 9)),
        "insulation_retarder": draw(some("none", "top", "bottom", "both")),
        "insulation_retarder_class": draw(some("I", "II", "III", "open")),
        "insulation_held": draw(some("against-subfloor", "on-lower-sheathing", "hanging")),
        "rim_insulated": draw(yes_or_no),
        "wall_insulation_fastened": draw(yes_or_no),
        "wall_insulation_past_grade": draw(inches),
        "drying": draw(some("exhaust", "supply-air", "dehumidifier")),
        "drying_flow": f"{draw(st.integers(1, 12))} cfm",
        "access_through": draw(some("floor", "wall", "wall")),
        "access_below_grade": draw(yes_or_no),
        "areaway": f"{draw(st.integers(12, 30))} x {draw(st.integers(12, 36))}",
        "areaway_below_sill": draw(yes_or_no),
        "appliance": draw(yes_or_no),
        "appliance_passage_height": draw(inches),
        "appliance_passage_width": draw(inches),
        "appliance_passage_length": draw(st.integers(20, 400)),
        "service_space": f"{draw(st.integers(12, 36))} x {draw(st.integers(12, 36))}",
        "flood_openings": f"{draw(st.integers(0, 400))} sq in",
        "flood_openings_engineered": draw(yes_or_no),
        "termite_signs": draw(yes_or_no),
        "termite_protection": draw(some([], ["baits"], ["shield"], ["soil-treatment", "shield"])),
        "treated_soil": draw(some("undisturbed", "dug", "dug-and-treated-again")),
        "wall_foam": draw(yes_or_no),
        "foam_above_ground": draw(inches),
    }


@st.composite
def layers(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Panels, maybe a membrane and a board, maybe tile; nothing that contradicts its own material."""
    found: list[dict[str, Any]] = [
        {"id": f"P{n}", "kind": "panel", "material": draw(some("plywood", "osb")), "thickness": draw(some(0.5, 0.75)),
         "acclimated": draw(yes_or_no), "work": "new"}
        for n in range(draw(st.integers(0, 2)))
    ]  # fmt: skip
    if draw(yes_or_no):
        perms = draw(some(0.06, 0.5, 1, 3, 20))
        found.append({"id": "M", "kind": draw(some("membrane", "vapor-retarder")), "permeance": f"{perms} perm"})
    if draw(yes_or_no):
        nails = {"kind": draw(some("roofing-nail", "backer-screw")), "length": draw(some(1, 1.25, 1.5)),
                 "diameter": f"{draw(some(0.1, 0.121, 0.164))} in", "coating": draw(some("bright", "stainless"))}  # fmt: skip
        found.append({"id": "B", "kind": "backer", "material": draw(some("fibre-cement", "cement-board")),
                      "thickness": 0.25, "fasteners": nails, "work": "new"})  # fmt: skip
    if draw(yes_or_no):
        found.append({
            "id": "T", "kind": "tile", "thickness": 0.25, "lippage": draw(small), "warpage": draw(small),
            "size_variation": draw(small), "grout_joint": draw(small), "grout": draw(some("A118.7", "sand")),
            "dcof": draw(st.integers(20, 60)) / 100, "walked_after": f"{draw(st.integers(2, 60))} h",
        })  # fmt: skip
    return found


@st.composite
def wood(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "treated": draw(yes_or_no),
        "treated_label": draw(some("none", "AWPA U1 UC2", "AWPA U1 UC4A", "green")),
        "field_treated": draw(yes_or_no),
        "ground_contact": draw(yes_or_no),
        "heartwood": draw(st.integers(60, 100)) / 100,
        "species": draw(some("redwood", "southern-pine")),
        "work": draw(some("new", "existing")),
    }


@st.composite
def sites(draw: st.DrawFn) -> dict[str, Any]:
    """A bathroom over a sill, a beam and two posts, and a hall that may share its crawl space."""
    hall: dict[str, Any] = {"id": "hall", "use": "hall", "outline": "36 x 60", "layers": draw(layers())}
    hall["crawl_space"] = {"same_as": "bath"} if draw(yes_or_no) else draw(spaces())
    slab = {"on_slab": draw(yes_or_no), "moisture_barrier": draw(yes_or_no)}
    foot = {"moisture_barrier": draw(yes_or_no)}
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "invented": True},
        "place": {
            "termites": draw(some("slight", "heavy", "very-heavy")),
            "flood_zone": draw(yes_or_no),
            "radon": draw(yes_or_no),
        },
        "documents": draw(some([], [{"id": "r", "kind": "survey", "state": "on-site", "covers": "termites"}])),
        "areas": [
            {
                "id": "bath",
                "use": draw(some("bathroom", "bathroom", "kitchen")),
                "outline": "96 x 120",
                "joists_run": "north-south",
                "finish": draw(some("ceramic-tile", "none")),
                "supports": [
                    {"id": "S1", "line": "sill", "rests_on": draw(some("masonry", "concrete")), "at": 0, "width": 5.5,
                     "above_grade": draw(inches), "outside_surface": draw(some("ground", "slab", "indoors")),
                     "siding_above": draw(inches), **slab, **draw(wood())},
                    {"id": "B1", "line": "beam", "at": 114, "width": 5.5, "clearance": draw(inches), **draw(wood())},
                ],
                "joists": [
                    {"name": "J", "from": "S1", "to": "B1", "at": [8, 24],
                     "each": {"thickness": 1.5, "depth": 7.25, "moisture": draw(st.integers(6, 35))}},
                ],
                "posts": [
                    {"id": "P1", "under": "B1", "at": 48, "material": "wood", "base_over_ground": draw(inches), **foot,
                     **draw(wood())},
                    {"id": "P2", "under": "B1", "at": 60, "material": "wood", "base_over_slab": draw(inches), **foot,
                     **draw(wood())},
                ],
                "layers": draw(layers()),
                "wet_areas": draw(some([], [{"id": "W", "kind": "shower", "curb": 3, "curb_material": "brick"}])),
                "ventilation": {
                    "fan": draw(some("none", "intermittent", "continuous")),
                    "rate": f"{draw(st.integers(10, 90))} cfm",
                    "ends": draw(some("outdoors", "attic")),
                    "window": f"{draw(st.integers(1, 6))} sq ft",
                    "openable": f"{draw(st.integers(0, 3))} sq ft",
                },
                "crawl_space": draw(spaces()),
            },
            hall,
        ],
    }  # fmt: skip


#: Names, and what is needed to read the file or to call a thing by its name.
KEPT = ("format", "units", "site", "id", "name", "from", "to", "under", "at", "same_as", "line", "kind")


def leaves(value: Any, path: Step = ()) -> Iterator[Step]:
    """Paths of all that was measured or seen."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in KEPT or (key == "kind" and "layers" not in path):
                yield from leaves(item, (*path, key))
    elif isinstance(value, list) and path[-1] != "termite_protection":
        for number, item in enumerate(value):
            yield from leaves(item, (*path, number))
    else:
        yield path


def changed(site: dict[str, Any], path: Step, value: Any) -> dict[str, Any]:
    whole = copy.deepcopy(site)
    holder: Any = whole
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    return whole


def value_at(site: Any, path: Step) -> Any:
    for step in path:
        site = site[step]
    return site


def scaled(value: Any, factor: float) -> Any:
    """A number, or the number in front of a unit, times a factor."""
    if isinstance(value, int | float):
        return value * factor
    number, _, unit = value.partition(" ")
    return f"{float(number) * factor:.9f} {unit}"


#: Which way each measurement gets worse; a tile that is less warped may have less of a step.
WORSE = {"humidity": 1, "coldest_surface": -1, "permeance": -1, "heartwood": -1, "above_grade": -1, "clearance": -1,
         "base_over_ground": -1, "siding_above": -1, "foam_above_ground": -1, "wall_insulation_past_grade": -1,
         "drying_flow": -1, "floor_area": 1, "laps": -1, "appliance_passage_height": -1, "appliance_passage_width": -1,
         "appliance_passage_length": 1, "flood_openings": -1, "rate": -1, "window": -1, "openable": -1, "lippage": 1,
         "warpage": -1, "size_variation": 1, "dcof": -1, "walked_after": -1, "length": -1, "diameter": -1}  # fmt: skip
#: What gets worse either way: joists shrink or swell, and a tight layer is good on one side and bad on the other.
NOT_ABOUT = {"humidity": ("joist-shrinkage",), "permeance": ("floor-condensation",)}


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999), by=st.sampled_from([0.02, 0.3, 0.6]))
def test_damper_colder_lower_or_smaller_is_never_better(
    answers: Answering, site: dict[str, Any], pick: int, by: float
) -> None:
    paths = [path for path in leaves(site) if path[-1] in WORSE]
    path = paths[pick % len(paths)]
    worse = scaled(value_at(site, path), 1 + WORSE[str(path[-1])] * by)
    if path[-1] == "humidity":
        worse = min(worse, 100)
    aside = NOT_ABOUT.get(str(path[-1]), ())
    before = {key: outcome for key, outcome in answers(site).items() if key[0] not in aside}
    none_better(before, answers(changed(site, path, worse)))


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_knowing_less_never_gains_a_pass(answers: Answering, site: dict[str, Any], pick: int) -> None:
    before = answers(site)
    paths = list(leaves(site))
    path = paths[pick % len(paths)]
    # "unknown" stands where a word or a number could; a list is left out.
    after = changed(site, path, None if path[-1] == "termite_protection" else "unknown")
    none_gained(before, answers(after))


LENGTHS = {path for path, way in WORSE.items() if way} - {
    "humidity", "coldest_surface", "permeance", "heartwood", "drying_flow", "floor_area", "flood_openings", "rate",
    "window", "openable", "dcof", "walked_after", "diameter",
} | {"width", "at", "thickness", "depth", "insulation_thickness", "grout_joint", "base_over_slab", "curb"}  # fmt: skip


def in_millimetres(value: Any, key: str = "") -> Any:
    """The same site, its lengths written in millimetres."""
    if isinstance(value, dict):
        return {name: in_millimetres(item, name) for name, item in value.items()}
    if isinstance(value, list):
        return [in_millimetres(item, key) for item in value]
    if key in ("outline", "areaway", "service_space"):
        return " x ".join(f"{float(side) * 25.4:.9f}" for side in value.split(" x "))
    if key == "units":
        return "mm"
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return value * 25.4 if number and key in LENGTHS else value


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: dict[str, Any]) -> None:
    assert answers(in_millimetres(site)) == answers(site)


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_the_order_of_members_changes_nothing(answers: Answering, site: dict[str, Any]) -> None:
    turned = copy.deepcopy(site)
    for members in (turned["areas"][0]["supports"], turned["areas"][0]["posts"]):
        members.reverse()
    turned["areas"][0]["crawl_space"]["termite_protection"].reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    empty = {"format": 1, "units": "in", "site": {"name": "x"}, "areas": [{"id": "a"}]}
    assert set(answers(empty).values()) == {"not-measured"}
