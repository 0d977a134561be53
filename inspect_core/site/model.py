"""The site description as typed, frozen records: one class for each thing the file can say.

Field names are the file's keys (``from`` is spelt ``from_``). Lengths and other quantities are
:class:`~inspect_core.quantities.Quantity` in the internal units. ``None`` means unknown, whether the file says
``unknown``, leaves the value empty or leaves the key out; an empty tuple means somebody looked and found none.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeAlias

from inspect_core.quantities import Quantity, Size
from inspect_core.site.sections import Section, resolve_section

Path: TypeAlias = tuple[str | int, ...]
Pair: TypeAlias = tuple[Quantity | None, Quantity | None]
Extent: TypeAlias = tuple[Quantity, Quantity]


# Records are compared by identity: a site is read once, and making equality for each class costs start-up time.


# How a field is built from the converted file (read by build.py).
def _one(part: str) -> Any:
    return field(default=None, metadata={"shape": "one", "part": part})


def _many(part: str) -> Any:
    return field(default=None, metadata={"shape": "many", "part": part})


def _mapping(part: str) -> Any:
    return field(default_factory=dict, metadata={"shape": "mapping", "part": part})


def _plain() -> Any:
    return field(default_factory=dict, metadata={"shape": "plain"})


def _row() -> Any:
    return field(default=None, metadata={"shape": "row"})


def _pair() -> Any:
    return field(default=None, metadata={"shape": "row"})


def _pairs() -> Any:
    return field(default=None, metadata={"shape": "pairs"})


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Part:
    """Anything the file describes; ``path`` says where in the file."""

    path: Path = ()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Member(Part):
    """A piece of the frame."""

    size: Size | None = None
    sizes: str | None = None
    thickness: Quantity | None = None
    depth: Quantity | None = None
    plies: Quantity | None = None
    kind: str | None = None
    species: str | None = None
    grade: str | None = None
    work: str | None = None
    treated: bool | None = None
    mark: str | None = None
    incised: bool | None = None
    moisture: Quantity | None = None
    condition: tuple[Condition, ...] | None = _many("Condition")
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None

    @property
    def section(self) -> Section:
        """Thickness of one ply, depth and number of plies, with what had to be assumed."""
        return _section_of(self)


@lru_cache(maxsize=4096)  # every rule about a member asks for it; members are told apart by identity, which is quick
def _section_of(member: Member) -> Section:
    return resolve_section(member.size, member.sizes, member.thickness, member.depth, member.plies, member.work)


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Adhesive(Part):
    """Adhesive under a layer."""

    kind: str | None = None
    where: str | None = None
    standard: str | None = None
    bead: Quantity | None = None
    double_at_joints: bool | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Air(Part):
    """Air as measured."""

    temperature: Quantity | None = None
    humidity: Quantity | None = None
    date: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class AreaRecord(Part):
    """One floor area with its own joist direction."""

    id: str = ""
    name: str | None = None
    use: str | None = None
    outline: Extent | None = None
    corners: tuple[Pair, ...] | None = _pairs()
    joists_run: str | None = None
    origin: Pair | None = _pair()
    tapes: Tapes | None = _one("Tapes")
    stories: Quantity | None = None
    finish: str | None = None
    supports: tuple[Support, ...] | None = _many("Support")
    joist_groups: tuple[JoistGroup, ...] | None = field(
        default=None, metadata={"shape": "many", "part": "JoistGroup", "key": "joists"}
    )
    openings: tuple[Opening, ...] | None = _many("Opening")
    blocking: tuple[Blocking, ...] | None = _many("Blocking")
    edges: tuple[Edge, ...] | None = _many("Edge")
    layers: tuple[Layer, ...] | None = _many("Layer")
    thresholds: tuple[Threshold, ...] | None = _many("Threshold")
    fixtures: tuple[Fixture, ...] | None = _many("Fixture")
    drains: tuple[Drain, ...] | None = _many("Drain")
    water_pipes: tuple[WaterPipe, ...] | None = _many("WaterPipe")
    wet_areas: tuple[WetArea, ...] | None = _many("WetArea")
    partitions: tuple[Partition, ...] | None = _many("Partition")
    posts: tuple[Post, ...] | None = _many("Post")
    piers: tuple[Pier, ...] | None = _many("Pier")
    footings: tuple[Footing, ...] | None = _many("Footing")
    soil: Soil | None = _one("Soil")
    crawl_space: CrawlSpace | None = _one("CrawlSpace")
    electrical: Electrical | None = _one("Electrical")
    fire: Fire | None = _one("Fire")
    ventilation: Ventilation | None = _one("Ventilation")
    flatness: Flatness | None = _one("Flatness")
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Blocking(Part):
    """Solid blocks, bridging or a cleat between or on joists."""

    id: str = ""
    kind: str | None = None
    between: tuple[str, ...] | None = _row()
    row: str | None = None
    along: Quantity | None = None
    size: Size | None = None
    sizes: str | None = None
    full_depth: bool | None = None
    species: str | None = None
    grade: str | None = None
    purpose: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Clearances(Part):
    """Clear room around a fixture."""

    left: Quantity | None = None
    right: Quantity | None = None
    front: Quantity | None = None
    back: Quantity | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Condition(Part):
    """One thing wrong with a member, and where."""

    kind: str | None = None
    from_: str | None = None
    at: Quantity | None = None
    length: Quantity | None = None
    depth_left: Quantity | None = None
    width_left: Quantity | None = None
    amount: Quantity | None = None
    probe: Quantity | None = None
    cause: str | None = None
    mended: bool | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class CrawlSpace(Part):
    """The space under the floor."""

    kind: str | None = None
    same_as: str | None = None
    floor_area: Quantity | None = None
    joist_clearance: Quantity | None = None
    beam_clearance: Quantity | None = None
    ground_cover: GroundCover | None = _one("GroundCover")
    vents: tuple[Vent, ...] | None = _many("Vent")
    cross_ventilation: bool | None = None
    drying: str | None = None
    air: Air | None = _one("Air")
    outdoor_air: Air | None = _one("Air")
    indoor_air: Air | None = _one("Air")
    standing_water: bool | None = None
    leaks: bool | None = None
    debris: bool | None = None
    access: Extent | None = None
    access_through: str | None = None
    insulation: str | None = None
    foam: str | None = None
    insulation_retarder: str | None = None
    insulation_retarder_class: str | None = None
    appliance: bool | None = None
    exhaust_ends_here: bool | None = None
    outside_ground_higher: bool | None = None
    ground_fall: Quantity | None = None
    water_led_away: bool | None = None
    walls_dampproofed: bool | None = None
    side_bracing: str | None = None
    termite_signs: bool | None = None
    coldest_surface: Quantity | None = None
    insulation_material: str | None = None
    insulation_thickness: Quantity | None = None
    insulation_held: str | None = None
    rim_insulated: bool | None = None
    wall_insulation_fastened: bool | None = None
    wall_insulation_past_grade: Quantity | None = None
    drying_flow: Quantity | None = None
    access_below_grade: bool | None = None
    areaway: Extent | None = None
    areaway_below_sill: bool | None = None
    appliance_passage_height: Quantity | None = None
    appliance_passage_width: Quantity | None = None
    appliance_passage_length: Quantity | None = None
    service_space: Extent | None = None
    flood_openings: Quantity | None = None
    flood_openings_engineered: bool | None = None
    termite_protection: tuple[str, ...] | None = _row()
    treated_soil: str | None = None
    wall_foam: bool | None = None
    foam_above_ground: Quantity | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Cut(Part):
    """A place where the joist was cut through."""

    id: str = ""
    from_: str | None = None
    at: Quantity | None = None
    gap: Quantity | None = None
    cause: str | None = None
    repair: CutRepair | None = _one("CutRepair")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class CutRepair(Part):
    """How a cut joist is mended now."""

    kind: str | None = None
    size: Size | None = None
    sizes: str | None = None
    past_near: Quantity | None = None
    past_far: Quantity | None = None
    header: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    bears_at_ends: bool | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Document(Part):
    """One paper."""

    id: str = ""
    kind: str | None = None
    state: str | None = None
    covers: str | None = None
    date: str | None = None
    signed_by: str | None = None
    file: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Drain(Part):
    """A drain, from fixture to stack."""

    id: str = ""
    serves: tuple[str, ...] | None = _row()
    size: Quantity | None = None
    outside_diameter: Quantity | None = None
    material: str | None = None
    route: tuple[Pair, ...] | None = _pairs()
    start_below_joist_top: Quantity | None = None
    end_below_joist_top: Quantity | None = None
    slope: Quantity | None = None
    falls_evenly: bool | None = None
    through: str | None = None
    trap: Trap | None = _one("Trap")
    vented: bool | None = None
    vent_level_over_rim: Quantity | None = None
    wet_vent_units: Quantity | None = None
    supports_every: Quantity | None = None
    piece_length: Quantity | None = None
    sway_braced: bool | None = None
    cleanout_every: Quantity | None = None
    cleanout_front: Quantity | None = None
    state: str | None = None
    like_for_like: bool | None = None
    tested: bool | None = None
    test: PipeTest | None = _one("PipeTest")
    approved: bool | None = None
    insulated: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Edge(Part):
    """What the subfloor's edge lands on along one wall, or part of it."""

    wall: str | None = None
    part: Pair | None = _pair()
    landing: str | None = None
    width: Quantity | None = None
    size: Size | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Electrical(Part):
    """Wiring in and under the floor."""

    cables_on_joists: str | None = None
    floor_heat: str | None = None
    crawl_receptacles: str | None = None
    crawl_lights: str | None = None
    bath_circuit: Quantity | None = None
    bath_gfci: bool | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Evidence(Part):
    """One piece of evidence."""

    id: str = ""
    file: str | None = None
    shows: str | None = None
    of: tuple[str, ...] | None = _row()
    hold_point: str | None = None
    date: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fasteners(Part):
    """Nails, screws, staples or bolts."""

    kind: str | None = None
    name: str | None = None
    diameter: Quantity | None = None
    length: Quantity | None = None
    edges: Quantity | None = None
    field: Quantity | None = None
    spacing: Quantity | None = None
    rows: Quantity | None = None
    count: Quantity | None = None
    per_sheet: Quantity | None = None
    edge_distance: Quantity | None = None
    into: str | None = None
    coating: str | None = None
    standard: str | None = None
    filled: bool | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fire(Part):
    """What keeps fire from running through the floor."""

    underside: str | None = None
    underside_thickness: Quantity | None = None
    unprotected_area: Quantity | None = None
    sprinklered: bool | None = None
    storage_below: bool | None = None
    wall_bays: str | None = None
    block_every: Quantity | None = None
    block_material: str | None = None
    pipe_gaps_closed: bool | None = None
    tub_opening_closed: bool | None = None
    ceiling_below: str | None = None
    concealed_area: Quantity | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fixture(Part):
    """Something that stands on the floor."""

    id: str = ""
    kind: str | None = None
    at: Pair | None = _pair()
    extent: Extent | None = None
    weight: Quantity | None = None
    contents: Quantity | None = None
    people: Quantity | None = None
    flange: Flange | None = _one("Flange")
    clearances: Clearances | None = _one("Clearances")
    supported: str | None = None
    inside: Extent | None = None
    entry: Quantity | None = None
    heads: Quantity | None = None
    rough_in: Quantity | None = None
    sealed: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Flange(Part):
    """Toilet flange."""

    at: Pair | None = _pair()
    height_over_finish: Quantity | None = None
    height_over_joists: Quantity | None = None
    outside_diameter: Quantity | None = None
    fixed_to: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Flatness(Part):
    """How flat the surface is."""

    over: Quantity | None = None
    deviation: Quantity | None = None
    short_over: Quantity | None = None
    short_deviation: Quantity | None = None
    hump: Quantity | None = None
    level_over: Quantity | None = None
    level_difference: Quantity | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FloodTest(Part):
    """Flood test."""

    depth: Quantity | None = None
    held: Quantity | None = None
    result: str | None = None
    evidence: tuple[str, ...] | None = _row()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Footing(Part):
    """A footing."""

    id: str = ""
    shape: str | None = None
    width: Quantity | None = None
    length: Quantity | None = None
    thickness: Quantity | None = None
    depth: Quantity | None = None
    material: str | None = None
    condition: tuple[Condition, ...] | None = _many("Condition")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class GroundCover(Part):
    """What lies on the ground."""

    kind: str | None = None
    thickness: Quantity | None = None
    retarder_class: str | None = None
    laps: Quantity | None = None
    wall_upturn: Quantity | None = None
    coverage: Quantity | None = None
    sealed: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Hanger(Part):
    """What carries a joist end that does not sit on top."""

    by: str | None = None
    model: str | None = None
    rated_load: Quantity | None = None
    seat: Quantity | None = None
    coating: str | None = None
    strip_size: Size | None = None
    work: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None
    as_member: bool = False  # its work was not said: it is that of what hangs in it


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Hazards(Part):
    """Things that can hurt someone."""

    lead_paint: str | None = None
    paint_disturbed: Quantity | None = None
    paint_torn_out: bool | None = None
    asbestos: str | None = None
    old_floor_removal: str | None = None
    wiring: str | None = None
    gas_smell: bool | None = None
    leaning_pier: bool | None = None
    sewage: bool | None = None
    confined_space: bool | None = None
    competent_person: bool | None = None
    oxygen: Quantity | None = None
    pests: bool | None = None
    crawl_precautions: tuple[str, ...] | None = _row()
    dust_control: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Header(Member):
    """A header that carries cut or tail joists."""

    id: str = ""
    along: Quantity | None = None
    across: Pair | None = _pair()
    holes: tuple[Hole, ...] | None = _many("Hole")
    notches: tuple[Notch, ...] | None = _many("Notch")
    hung: Hanger | None = _one("Hanger")


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Hole(Part):
    """A bored hole."""

    id: str = ""
    from_: str | None = None
    at: Quantity | None = None
    diameter: Quantity | None = None
    wood_above: Quantity | None = None
    wood_below: Quantity | None = None
    serves: str | None = None
    holds: str | None = None
    shielded: bool | None = None
    plate_thickness: Quantity | None = None
    plate_past: Quantity | None = None
    designed: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class House(Part):
    """The house and the job."""

    name: str | None = None
    built: int | str | None = None
    work: str | None = None
    category: str | None = None
    stage: str | None = None
    historic: bool | None = None
    owner_occupied: bool | None = None
    federally_assisted: bool | None = None
    damage: str | None = None
    cost_share: Quantity | None = None
    other_jobs: str | None = None
    nothing_made_worse: bool | None = None
    wall_frame: str | None = None
    balloon_bays_blocked: bool | None = None
    stories: Quantity | None = None
    date: str | None = None
    work_starts: str | None = None
    invented: bool | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Joint(Part):
    """How two lengths of joist meet over a support."""

    kind: str | None = None
    with_: str | None = None
    length: Quantity | None = None
    splice_material: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Joist(Member):
    """One joist, or what every joist of a group has in common."""

    from_: str | None = None
    to: str | None = None
    over: tuple[str, ...] | None = _row()
    at: Quantity | None = None
    at_far_end: Quantity | None = None
    begins: Quantity | None = None
    ends: Quantity | None = None
    bearing: Mapping[str, Quantity | None] = _plain()
    hung: Mapping[str, Hanger] = _mapping("Hanger")
    joints: Mapping[str, Joint] = _mapping("Joint")
    restraint: Mapping[str, str] = _plain()
    holes: tuple[Hole, ...] | None = _many("Hole")
    notches: tuple[Notch, ...] | None = _many("Notch")
    cuts: tuple[Cut, ...] | None = _many("Cut")
    sisters: tuple[Sister, ...] | None = _many("Sister")
    missing: str | None = None
    # Not in the file: its name in the pattern, the places of its centre line, and where its group is described.
    id: str = ""
    place: Quantity | None = None
    place_far: Quantity | None = None
    group_path: Path = ()
    own_keys: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        return f"joist {self.id}"

    def key_path(self, key: str) -> Path:
        """Where the file says ``key`` for this joist: in its own entry, or in what its group shares."""
        return joist_key_path(self.path, self.group_path, self.own_keys, key)


def joist_key_path(own: Path, group: Path, own_keys: frozenset[str], key: str) -> Path:
    """Path of one key of a joist; see :meth:`Joist.key_path`."""
    if key in own_keys:
        return (*own, key)
    return (*group, key) if key in GROUP_KEYS else (*group, "each", key)


GROUP_KEYS = frozenset(("from", "to", "over"))  # what a group says of its joists beside `each`


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class JoistGroup(Part):
    """Joists that share a pattern."""

    name: str | None = None
    from_: str | None = None
    to: str | None = None
    over: tuple[str, ...] | None = _row()
    at: tuple[Quantity, ...] | None = None
    measured_to: str | None = None
    each: Joist | None = _one("Joist")
    but: Mapping[str, Joist] = _mapping("Joist")
    also: Mapping[str, Joist] = _mapping("Joist")
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Layer(Part):
    """One sheet of the floor above the joists; list them from the joists up."""

    id: str = ""
    kind: str | None = None
    material: str | None = None
    thickness: Quantity | None = None
    rating: str | None = None
    bond: str | None = None
    strong_axis: str | None = None
    sheet: Extent | None = None
    joints: str | None = None
    ends_land_on: str | None = None
    gap: Quantity | None = None
    wall_gap: Quantity | None = None
    spans_crossed: Quantity | None = None
    narrowest: Quantity | None = None
    end_stagger: Quantity | None = None
    edge_offset: Quantity | None = None
    end_offset: Quantity | None = None
    board_direction: str | None = None
    grade: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    adhesive: Adhesive | None = _one("Adhesive")
    attached_to: str | None = None
    gaps_over_joists: str | None = None
    standard: str | None = None
    permeance: Quantity | None = None
    retarder_class: str | None = None
    waterproof: bool | None = None
    laps: Quantity | None = None
    trowel: str | None = None
    coverage: Quantity | None = None
    bedded: bool | None = None
    tile_size: Extent | None = None
    movement_joints: Quantity | None = None
    perimeter_joint: Quantity | None = None
    weight: Quantity | None = None
    moisture: Quantity | None = None
    region: Region | None = _one("Region")
    work: str | None = None
    acclimated: bool | None = None
    lippage: Quantity | None = None
    warpage: Quantity | None = None
    size_variation: Quantity | None = None
    grout_joint: Quantity | None = None
    grout: str | None = None
    dcof: Quantity | None = None
    walked_after: Quantity | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Liner(Part):
    """Shower liner or bonded membrane."""

    kind: str | None = None
    standard: str | None = None
    thickness: Quantity | None = None
    layers: Quantity | None = None
    slope: Quantity | None = None
    upturn: Quantity | None = None
    lowest_fastener: Quantity | None = None
    evidence: tuple[str, ...] | None = _row()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Notch(Part):
    """A cut out of the top or bottom edge."""

    id: str = ""
    from_: str | None = None
    end_of: str | None = None
    at: Quantity | None = None
    edge: str | None = None
    depth: Quantity | None = None
    length: Quantity | None = None
    serves: str | None = None
    holds: str | None = None
    shielded: bool | None = None
    plate_thickness: Quantity | None = None
    plate_past: Quantity | None = None
    designed: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Opening(Part):
    """A hole in the framing: a hatch, a flue, a stair, or what something removed has left."""

    id: str = ""
    kind: str | None = None
    across: Pair | None = _pair()
    along: Pair | None = _pair()
    plan: str | None = None
    framed: str | None = None
    headers: tuple[Header, ...] | None = _many("Header")
    trimmers: tuple[str, ...] | None = _row()
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Partition(Part):
    """A wall that stands on this floor."""

    id: str = ""
    runs: str | None = None
    at: Quantity | None = None
    part: Pair | None = _pair()
    height: Quantity | None = None
    weight: Quantity | None = None
    bearing: bool | None = None
    joists_under: tuple[str, ...] | None = _row()
    carries: Quantity | None = None
    floors_above: Quantity | None = None
    carries_roof: bool | None = None
    work: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Pier(Part):
    """A pier."""

    id: str = ""
    under: str | None = None
    at: Quantity | None = None
    along: Quantity | None = None
    material: str | None = None
    width: Quantity | None = None
    length: Quantity | None = None
    height: Quantity | None = None
    cap: Quantity | None = None
    rests_on: str | None = None
    tied: bool | None = None
    termite_shield: bool | None = None
    condition: tuple[Condition, ...] | None = _many("Condition")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PipeTest(Part):
    """How a pipe was tested."""

    kind: str | None = None
    head: Quantity | None = None
    pressure: Quantity | None = None
    working_pressure: bool | None = None
    held: Quantity | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Place(Part):
    """Where it is, and what the place sets."""

    country: str | None = None
    state: str | None = None
    county: str | None = None
    city: str | None = None
    climate_zone: str | None = None
    seismic: str | None = None
    flood_zone: bool | None = None
    termites: str | None = None
    frost_depth: Quantity | None = None
    radon: bool | None = None
    permit_date: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Post(Member):
    """A post under a beam."""

    id: str = ""
    under: str | None = None
    at: Quantity | None = None
    rests_on: str | None = None
    material: str | None = None
    coating: str | None = None
    height: Quantity | None = None
    base_over_ground: Quantity | None = None
    base_over_slab: Quantity | None = None
    top_held: bool | None = None
    base_held: bool | None = None
    permanent: bool | None = None
    shims: str | None = None
    treated_label: str | None = None
    field_treated: bool | None = None
    ground_contact: bool | None = None
    heartwood: Quantity | None = None
    moisture_barrier: bool | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Region(Part):
    """A rectangle on the two tapes."""

    across: Pair | None = _pair()
    along: Pair | None = _pair()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Sister(Part):
    """A second piece fastened along a joist."""

    id: str = ""
    size: Size | None = None
    sizes: str | None = None
    thickness: Quantity | None = None
    depth: Quantity | None = None
    species: str | None = None
    grade: str | None = None
    mark: str | None = None
    full_length: bool | None = None
    from_: str | None = None
    begins: Quantity | None = None
    ends: Quantity | None = None
    side: str | None = None
    bearing: Mapping[str, Quantity | None] = _plain()
    holes: tuple[Hole, ...] | None = _many("Hole")
    notches: tuple[Notch, ...] | None = _many("Notch")
    fasteners: Fasteners | None = _one("Fasteners")
    glued: bool | None = None
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Soil(Part):
    """The ground under the piers."""

    kind: str | None = None
    bearing: Quantity | None = None
    report: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Support(Member):
    """A line across the joists on which they bear."""

    id: str = ""
    line: str | None = None
    at: Quantity | None = None
    width: Quantity | None = None
    across: Pair | None = _pair()
    surface: str | None = None
    rests_on: str | None = None
    joists_sit: str | None = None
    sill_thickness: Quantity | None = None
    sill_bearing_area: Quantity | None = None
    splices: tuple[Quantity | None, ...] | None = _row()
    pocket_gap: Quantity | None = None
    clearance: Quantity | None = None
    above_grade: Quantity | None = None
    anchored: bool | None = None
    holes: tuple[Hole, ...] | None = _many("Hole")
    notches: tuple[Notch, ...] | None = _many("Notch")
    connectors: str | None = None
    connector_coating: str | None = None
    fasteners: Fasteners | None = _one("Fasteners")
    treated_label: str | None = None
    field_treated: bool | None = None
    ground_contact: bool | None = None
    heartwood: Quantity | None = None
    on_slab: bool | None = None
    moisture_barrier: bool | None = None
    outside_surface: str | None = None
    siding_above: Quantity | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Tapes(Part):
    """Where the tapes are hooked, in words."""

    across: str | None = None
    along: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class TemporarySupport(Part):
    """Shoring or jacks while work goes on."""

    id: str = ""
    kind: str | None = None
    from_cut: Quantity | None = None
    pad_area: Quantity | None = None
    lift_rate: str | None = None
    lift_per_week: Quantity | None = None
    cribbed: bool | None = None
    capacity: Quantity | None = None
    firm_base: bool | None = None
    supports: tuple[str, ...] | None = _row()
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Threshold(Part):
    """Where this floor meets the next one."""

    id: str = ""
    to: str | None = None
    at: Pair | None = _pair()
    next_floor_height: Quantity | None = None
    transition: str | None = None
    accessible: bool | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Trap(Part):
    """Trap of a drain."""

    kind: str | None = None
    size: Quantity | None = None
    arm: Quantity | None = None
    seal: Quantity | None = None
    drop: Quantity | None = None
    reachable: bool | None = None
    slip_joints: bool | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Vent(Part):
    """An opening that airs the crawl space."""

    id: str = ""
    wall: str | None = None
    net_area: Quantity | None = None
    from_corner: Quantity | None = None
    mesh: Quantity | None = None
    blocked: bool | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Ventilation(Part):
    """How damp air leaves the room."""

    fan: str | None = None
    rate: Quantity | None = None
    ends: str | None = None
    window: Quantity | None = None
    openable: Quantity | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class WaterPipe(Part):
    """A water supply pipe."""

    id: str = ""
    material: str | None = None
    size: Quantity | None = None
    supports_every: Quantity | None = None
    insulated: bool | None = None
    tested: bool | None = None
    test: PipeTest | None = _one("PipeTest")
    work: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class WetArea(Part):
    """A place that gets wet: a shower, a tub surround, a wet room."""

    id: str = ""
    kind: str | None = None
    fixture: str | None = None
    region: Region | None = _one("Region")
    liner: Liner | None = _one("Liner")
    curb: Quantity | None = None
    floor_slope: Quantity | None = None
    clamping_drain: bool | None = None
    flood_test: FloodTest | None = _one("FloodTest")
    wall_height: Quantity | None = None
    work: str | None = None
    curb_material: str | None = None
    evidence: tuple[str, ...] | None = _row()
    note: str | None = None
