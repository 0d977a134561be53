"""Laws of the rules on condensation, decay, termites, ventilation, access and tile work, whatever the numbers are."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from inspect_wood_floor import condensation, crawl_access, decay, termites, tile_work, ventilation
from laws import Answering, Data, Path, at, leaves, metric, never_better, nothing_new, only_asks, put, scaled

from inspect_core.rules_api import rules_in

MODULES = (condensation, crawl_access, decay, termites, tile_work, ventilation)
RULES = [rule for module in MODULES for rule in rules_in(module)]


def some(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


yes_or_no = st.booleans()
inches = st.integers(0, 80).map(lambda n: n / 2)
small = st.integers(0, 12).map(lambda n: n / 64)


@st.composite
def spaces(draw: st.DrawFn) -> Data:
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
def layers(draw: st.DrawFn) -> list[Data]:
    """Panels, maybe a membrane and a board, maybe tile; nothing that contradicts its own material."""
    found: list[Data] = [
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
def wood(draw: st.DrawFn) -> Data:
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
def sites(draw: st.DrawFn) -> Data:
    """A bathroom over a sill, a beam and two posts, and a hall that may share its crawl space."""
    hall: Data = {"id": "hall", "use": "hall", "outline": "36 x 60", "layers": draw(layers())}
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
KEPT = ("format", "units", "site", "id", "name", "from", "to", "under", "at", "same_as", "line")


def measured(site: Data) -> list[Path]:
    """Paths of all that was measured or seen: a layer is called by its kind."""
    found = leaves(site, KEPT, whole=("termite_protection",))
    return [path for path in found if path[-1] != "kind" or "layers" not in path]


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
def test_damper_colder_lower_or_smaller_is_never_better(answers: Answering, site: Data, pick: int, by: float) -> None:
    paths = [path for path in measured(site) if path[-1] in WORSE]
    path = paths[pick % len(paths)]
    worse = scaled(at(site, path), 1 + WORSE[str(path[-1])] * by)
    if path[-1] == "humidity":
        worse = min(worse, 100)
    aside = NOT_ABOUT.get(str(path[-1]), ())
    before = {key: outcome for key, outcome in answers(site).items() if key[0] not in aside}
    never_better(before, answers(put(site, path, worse)))


@settings(max_examples=60, deadline=None)
@given(site=sites(), pick=st.integers(0, 9999))
def test_knowing_less_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    before = answers(site)
    paths = measured(site)
    path = paths[pick % len(paths)]
    # "unknown" stands where a word or a number could; a list is left out.
    after = put(site, path, None if path[-1] == "termite_protection" else "unknown")
    nothing_new(before, answers(after))


LENGTHS = {path for path, way in WORSE.items() if way} - {
    "humidity", "coldest_surface", "permeance", "heartwood", "drying_flow", "floor_area", "flood_openings", "rate",
    "window", "openable", "dcof", "walked_after", "diameter",
} | {"width", "at", "thickness", "depth", "insulation_thickness", "grout_joint", "base_over_slab", "curb"}  # fmt: skip


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    assert answers(metric(site, LENGTHS.__contains__, ("outline", "areaway", "service_space"))) == answers(site)


@settings(max_examples=15, deadline=None)
@given(site=sites())
def test_the_order_of_members_changes_nothing(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    for members in (turned["areas"][0]["supports"], turned["areas"][0]["posts"]):
        members.reverse()
    turned["areas"][0]["crawl_space"]["termite_protection"].reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
