"""Laws of the rules about drains, pipes, fixtures, wiring and fire: what must hold whatever the numbers are."""

from __future__ import annotations

import copy
import re
from itertools import pairwise
from math import dist

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from inspect_wood_floor import (
    drain_joists,
    drain_traps,
    drains,
    electrical,
    fire,
    fixtures,
    pipe_tests,
    pipework,
)
from laws import (
    Answering,
    Checking,
    Data,
    Path,
    at,
    metric,
    never_better,
    nothing_gained,
    only_asks,
    put,
    removable,
    without,
)

from inspect_core.engineering.drainage import pipe_size
from inspect_core.quantities import Dimension, parse
from inspect_core.rules_api import rules_in

MODULES = (drains, drain_joists, drain_traps, pipework, pipe_tests, fixtures, electrical, fire)
RULES = [rule for module in MODULES for rule in rules_in(module)]

eighths = st.integers(0, 64).map(lambda n: n / 8)
sure = st.booleans()


@st.composite
def sites(draw: st.DrawFn) -> Data:
    """Five joists, a drain across them, one along them, a water pipe, fixtures, wires and fire blocks."""
    joists = {
        "name": "J",
        "from": "S1",
        "to": "S2",
        "at": [16, 32, 48, 64, 80],
        "each": {
            "thickness": 1.5,
            "depth": draw(st.sampled_from([5.5, 7.25, 9.25, 11.25])),
            "kind": draw(st.sampled_from(["sawn", "sawn", "sawn", "i-joist"])),
            "holes": [
                {
                    "id": "H1",
                    "from": "S1",
                    "at": draw(st.integers(4, 90)),
                    "diameter": draw(st.sampled_from([0.75, 1.5, 2.5])),
                    "wood_above": draw(st.sampled_from([0.5, 1, 1.25, 2.25])),
                    "holds": draw(st.sampled_from(["cable", "plastic-or-copper-pipe", "duct"])),
                    "shielded": draw(sure),
                    "plate_thickness": draw(st.sampled_from([0.03, 0.0575, 0.0625])),
                    "plate_past": draw(st.sampled_from([1, 2, 3])),
                }
            ],
            "notches": [
                {
                    "id": "N1",
                    "from": "S1",
                    "at": draw(st.integers(4, 90)),
                    "depth": 0.5,
                    "length": 1,
                    "edge": "top",
                    "holds": draw(st.sampled_from(["cable", "plastic-or-copper-pipe", "nothing"])),
                    "shielded": draw(sure),
                    "plate_thickness": draw(st.sampled_from([0.03, 0.0625])),
                    "plate_past": draw(st.sampled_from([1, 2])),
                }
            ],
        },
    }
    start = draw(st.integers(2, 90))
    along = draw(st.integers(6, 90))
    # Its size and its outside diameter, its slope and its two ends say the same: what is left out follows from the rest.
    size = draw(st.sampled_from([1.5, 2, 3, 4]))
    material = draw(st.sampled_from(["pvc", "abs", "cast-iron", "copper", "galvanized"]))
    pipe_of_it = pipe_size(material, size)
    assert pipe_of_it is not None
    route = [(start, along), (draw(st.integers(2, 94)), along), (94, draw(st.integers(6, 90)))]
    slope, depth = draw(st.sampled_from([0, 0.125, 0.25, 0.5])), draw(eighths)
    first = {
        "id": "D1",
        "serves": ["F1"],
        "size": size,
        "outside_diameter": pipe_of_it.outside_in,
        "material": material,
        "route": [list(corner) for corner in route],
        "slope": f"{slope} in per ft",
        "falls_evenly": draw(sure),
        "through": draw(st.sampled_from(["holes", "holes", "under-joists", "between-joists"])),
        "start_below_joist_top": depth,
        "end_below_joist_top": depth + slope / 12 * sum(dist(*leg) for leg in pairwise(route)),
        "trap": {
            "kind": draw(st.sampled_from(["p", "s", "integral"])),
            "size": draw(st.sampled_from([1.25, 1.5, 2, 3])),
            "arm": draw(st.integers(1, 130)),
            "seal": draw(eighths),
            "drop": draw(st.integers(2, 30)),
            "slip_joints": draw(sure),
            "reachable": draw(sure),
        },
        "vented": draw(sure),
        "vent_level_over_rim": draw(st.integers(0, 12)),
        "wet_vent_units": draw(st.integers(0, 8)),
        "supports_every": draw(st.integers(20, 130)),
        "piece_length": draw(st.sampled_from([60, 120])),
        "sway_braced": draw(sure),
        "cleanout_every": draw(st.integers(100, 1300)),
        "cleanout_front": draw(st.integers(6, 30)),
        "state": draw(st.sampled_from(["sound", "corroded"])),
        "like_for_like": draw(sure),
        "tested": draw(sure),
        "approved": draw(sure),
        "insulated": draw(sure),
        "test": {
            "kind": draw(st.sampled_from(["water", "air"])),
            "head": draw(st.integers(20, 140)),
            "pressure": f"{draw(st.integers(2, 8))} psi",
            "held": f"{draw(st.integers(5, 20))} min",
        },
        "work": draw(st.sampled_from(["new", "altered", "existing"])),
    }
    second = {"id": "D2", "serves": ["F2"], "size": 3, "route": [[24, 80], [24, 10]], "through": "between-joists"}
    pipe = {
        "id": "CW",
        "material": draw(st.sampled_from(["copper", "pex", "cpvc"])),
        "size": draw(st.sampled_from([0.5, 1, 1.25, 1.5])),
        "supports_every": draw(st.integers(20, 130)),
        "insulated": draw(sure),
        "tested": draw(sure),
        "test": {
            "kind": draw(st.sampled_from(["water", "air"])),
            "pressure": f"{draw(st.integers(30, 60))} psi",
            "working_pressure": draw(sure),
            "held": f"{draw(st.integers(5, 20))} min",
        },
    }
    stand = {
        "id": "F1",
        "kind": draw(st.sampled_from(["shower", "tub", "lavatory", "floor-drain"])),
        "at": [draw(st.integers(10, 90)), 40],
        "inside": f"{draw(st.integers(22, 40))} in x {draw(st.integers(22, 60))} in",
        "entry": draw(st.integers(18, 26)),
        "supported": draw(st.sampled_from(["full-bed", "rim-only", "feet-on-floor"])),
        "heads": draw(st.integers(1, 3)),
        "sealed": draw(sure),
        "clearances": {"front": draw(st.integers(15, 30))},
    }
    toilet = {
        "id": "F2",
        "kind": "toilet",
        "at": [draw(st.integers(10, 90)), 60],
        "rough_in": draw(st.sampled_from([10, 12, 14])),
        "sealed": draw(sure),
        "flange": {
            "at": [draw(st.integers(10, 90)), 70],
            "outside_diameter": draw(st.sampled_from([3.5, 4.5])),
            "fixed_to": draw(st.sampled_from(["structure", "tile-only"])),
        },
        "clearances": {side: draw(st.integers(9, 24)) for side in ("left", "right", "front", "back")},
    }
    area = {
        "id": "floor",
        "use": draw(st.sampled_from(["bathroom", "kitchen"])),
        "outline": "96 in x 96 in",
        "supports": [
            {"id": "S1", "line": "sill", "at": -5.5, "width": 5.5, "holes": [], "notches": []},
            {"id": "S2", "line": "sill", "at": 96, "width": 5.5, "holes": [], "notches": []},
            {
                "id": "B1",
                "line": "beam",
                "at": draw(st.integers(20, 80)),
                "thickness": 5.5,
                "depth": draw(st.sampled_from([3.5, 7.5])),
                "kind": "sawn",
                "joists_sit": draw(st.sampled_from(["on-top", "on-top", "flush"])),
                "holes": [],
                "notches": [],
            },
        ],
        "joists": [joists],
        "fixtures": [stand, toilet],
        "drains": [first, second],
        "water_pipes": [pipe],
        "wet_areas": [{"id": "W", "liner": {"kind": "hot-mop", "layers": draw(st.integers(1, 4))}}],
        "crawl_space": {
            "kind": draw(st.sampled_from(["vented", "basement", "conditioned"])),
            "appliance": draw(sure),
        },
        "electrical": {
            "cables_on_joists": draw(st.sampled_from(["no-cables", "heavy-only", "small"])),
            "floor_heat": draw(st.sampled_from(["no-heat", "gfci", "without-gfci"])),
            "crawl_receptacles": draw(st.sampled_from(["gfci", "without-gfci"])),
            "crawl_lights": draw(st.sampled_from(["no-lights", "without-gfci"])),
            "bath_circuit": draw(st.integers(15, 25)),
            "bath_gfci": draw(sure),
        },
        "fire": {
            "underside": draw(st.sampled_from(["open", "gypsum", "wood-panel"])),
            "underside_thickness": draw(st.sampled_from([0.375, 0.5, 0.625])),
            "unprotected_area": f"{draw(st.integers(50, 120))} sq ft",
            "sprinklered": draw(sure),
            "storage_below": draw(sure),
            "wall_bays": draw(st.sampled_from(["blocked", "open"])),
            "block_every": draw(st.integers(60, 150)),
            "block_material": draw(st.sampled_from(["lumber-2x", "other"])),
            "pipe_gaps_closed": draw(sure),
            "tub_opening_closed": draw(sure),
            "ceiling_below": draw(st.sampled_from(["no-ceiling", "dropped"])),
            "concealed_area": f"{draw(st.integers(500, 1500))} sq ft",
        },
    }
    return {
        "format": 1,
        "units": "in",
        "site": {"name": "Law bench", "work": "new", "invented": True},
        "place": {"frost_depth": draw(st.sampled_from([0, 30]))},
        "hazards": {"wiring": draw(st.sampled_from(["sound", "wet"]))},
        "documents": [{"id": "p", "kind": "permit", "state": draw(st.sampled_from(["on-site", "missing"]))}],
        "areas": [area],
    }


AREA = ("areas", 0)
MORE_IS_WORSE = [
    (*AREA, "drains", 0, "outside_diameter"),
    (*AREA, "drains", 0, "supports_every"),
    (*AREA, "drains", 0, "cleanout_every"),
    (*AREA, "drains", 0, "wet_vent_units"),
    (*AREA, "drains", 0, "trap", "drop"),
    (*AREA, "water_pipes", 0, "supports_every"),
    (*AREA, "fixtures", 0, "heads"),
    (*AREA, "fixtures", 1, "flange", "outside_diameter"),
    (*AREA, "fixtures", 1, "rough_in"),
    (*AREA, "fire", "block_every"),
]
LESS_IS_WORSE = [
    (*AREA, "joists", 0, "each", "depth"),
    (*AREA, "joists", 0, "each", "holes", 0, "plate_thickness"),
    (*AREA, "joists", 0, "each", "notches", 0, "plate_past"),
    (*AREA, "drains", 0, "end_below_joist_top"),
    (*AREA, "drains", 0, "vent_level_over_rim"),
    (*AREA, "drains", 0, "cleanout_front"),
    (*AREA, "drains", 0, "test", "head"),
    (*AREA, "fixtures", 0, "entry"),
    (*AREA, "fixtures", 1, "clearances", "left"),
    (*AREA, "fixtures", 1, "clearances", "front"),
    (*AREA, "fixtures", 1, "clearances", "back"),
    (*AREA, "fire", "underside_thickness"),
    (*AREA, "electrical", "bath_circuit"),
    (*AREA, "wet_areas", 0, "liner", "layers"),
]
WHOLE = ("wet_vent_units", "heads", "bath_circuit", "layers")  # counts


def is_length(key: str) -> bool:
    return key not in (*WHOLE, "format", "stories")


@settings(max_examples=40, deadline=None)
@given(site=sites(), worse=st.sampled_from([*((p, 1) for p in MORE_IS_WORSE), *((p, -1) for p in LESS_IS_WORSE)]))
def test_wider_longer_lower_or_smaller_is_never_better(answers: Answering, site: Data, worse: tuple[Path, int]) -> None:
    path, sign = worse
    value = at(site, path)
    changed = value * (1.5 if sign > 0 else 0.5)
    if path[-1] == "depth":  # shallow joists leave more room under them, and less for holes
        site["areas"][0]["drains"][0]["through"] = "holes"
        site["areas"][0]["drains"][1]["start_below_joist_top"] = 1
    if path[-1] in WHOLE:
        changed = value + sign
    never_better(answers(site), answers(put(site, path, changed)))


@settings(max_examples=25, deadline=None)
@given(site=sites(), flatter=st.sampled_from([0, 0.0625, 0.1]))
def test_a_flatter_drain_is_never_better_in_its_slope(answers: Answering, site: Data, flatter: float) -> None:
    rules = ("drain-slope", "drain-falls-evenly")
    before = {key: one for key, one in answers(site).items() if key[0] in rules}
    changed = put(site, (*AREA, "drains", 0, "slope"), f"{flatter} in per ft")
    assume(float(site["areas"][0]["drains"][0]["slope"].split()[0]) >= flatter)
    never_better(before, answers(changed))


# --- what a finding tells does work -----------------------------------------------------------------------------------

START = re.compile(r"when its top starts (.+?)(?: to (.+?))? below their tops \(now")
MOVE = re.compile(r"it passes when it starts (.+?) (nearer to the stack|farther back)")
PLACE = re.compile(r"\(at (.+?) on the tape across\)")
UNDER = re.compile(r"Under the joists it passes when its top starts (.+?) below their tops or lower")


def inches(text: str) -> float:
    found = parse(text, Dimension.LENGTH, "in")
    assert found is not None
    return found.middle


@settings(max_examples=25, deadline=None)
@given(
    site=sites(),
    depth=st.sampled_from([7.25, 9.25]),
    start=st.integers(8, 40).map(lambda n: n / 8),
    units=st.sampled_from(["in", "mm"]),
    place=st.integers(2, 70),
)
def test_what_a_finding_says_would_pass_does_pass(
    checks: Checking, site: Data, depth: float, start: float, units: str, place: int
) -> None:
    """The start, the move and the way below that are named for a drain that doesn't pass: each is tried."""
    drain = site["areas"][0]["drains"][0]
    drain |= {"work": "new", "through": "holes", "slope": "0.25 in per ft", "start_below_joist_top": start}
    drain |= {"outside_diameter": 1.9, "route": [[place, 50], [94, 50]]}
    site["areas"][0]["joists"][0]["each"] |= {"kind": "sawn", "depth": depth}
    whole = metric(site, is_length) if units == "mm" else site
    found = [one for (rule, *_), one in checks(whole).items() if rule == "drain-hole-height"]
    short = [one for one in found if one.outcome == "falls-short"]
    assume(short)
    text = short[0].remedy or ""
    assert short[0].found
    starts, move, under = START.search(text), MOVE.search(text), UNDER.search(text)
    assert under is not None
    tried = [({"start_below_joist_top": inches(under[1]), "through": "under-joists"}, "drain-under-joists")]
    if starts is not None:
        tried += [({"start_below_joist_top": inches(end)}, "drain-hole-height") for end in starts.groups() if end]
    if move is not None:
        shift = inches(move[1]) * (1 if move[2] == "nearer to the stack" else -1)
        tried.append(({"route": [[place + shift, 50], [94, 50]]}, "drain-hole-height"))
        named = PLACE.search(text)
        assert named is not None and abs(inches(named[1]) - place - shift) < 1 / 8
    for change, rule in tried:
        changed = copy.deepcopy(site)
        changed["areas"][0]["drains"][0] |= change
        again = [one.outcome for (name, *_), one in checks(changed).items() if name == rule]
        assert again and set(again) <= {"meets", "does-not-apply"}, (change, text)


@settings(max_examples=20, deadline=None)
@given(site=sites(), across=st.integers(8, 90), units=st.sampled_from(["in", "mm"]))
def test_the_clear_place_that_a_finding_names_is_clear(checks: Checking, site: Data, across: int, units: str) -> None:
    site["areas"][0]["fixtures"][1]["flange"]["at"] = [across, 70]
    key = ("flange-beside-joists", "floor", "toilet F2, flange")
    found = checks(metric(site, is_length) if units == "mm" else site)[key]
    assume(found.outcome == "falls-short")
    moves = re.findall(
        r"(\S[^,]*?) towards the (higher|lower) readings", found.found.replace("clear of the joists ", "")
    )
    assert moves
    for text, word in moves:
        shift = inches(text.removeprefix("or ")) * (1 if word == "higher" else -1)
        moved = put(site, (*AREA, "fixtures", 1, "flange", "at"), [across + shift, 70])
        assert checks(moved)[key].outcome == "meets"


# --- leaving out, units, order, nothing ------------------------------------------------------------------------------

KEPT = ("format", "units", "site", "id", "name", "from", "to", "line")


@settings(max_examples=50, deadline=None)
@given(site=sites(), pick=st.integers(0, 10_000))
def test_leaving_a_measurement_out_never_gains_a_pass(answers: Answering, site: Data, pick: int) -> None:
    # A fixture and a document must say what they are.
    paths = [
        path
        for path in sorted(removable(site, KEPT), key=str)
        if path[-1] != "kind" or not {"fixtures", "documents"} & set(path)
    ]
    path = paths[pick % len(paths)]
    nothing_gained(answers(site), answers(without(site, path)))


@settings(max_examples=30, deadline=None)
@given(site=sites())
def test_millimetres_and_inches_agree(answers: Answering, site: Data) -> None:
    assert answers(metric(site, is_length)) == answers(site)


@settings(max_examples=20, deadline=None)
@given(site=sites())
def test_the_order_of_things_changes_nothing(answers: Answering, site: Data) -> None:
    turned = copy.deepcopy(site)
    for name in ("supports", "fixtures", "drains", "wet_areas"):
        turned["areas"][0][name].reverse()
    assert answers(turned) == answers(site)


def test_a_site_that_says_nothing_meets_nothing(answers: Answering) -> None:
    only_asks(answers, RULES)
