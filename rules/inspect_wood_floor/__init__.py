"""The base pack: what codes and common practice ask of a wood floor on piers and beams.

It enters the engine by the same door as a stranger's pack.
"""

from inspect_core.rules_api import API_VERSION, Pack, hookimpl, load_data, rules_in
from inspect_wood_floor import (
    backer,
    bearing,
    blocking,
    condensation,
    crawl_access,
    crawl_space,
    cuts,
    decay,
    documents,
    drain_joists,
    drain_traps,
    drains,
    electrical,
    existing,
    fasteners,
    fire,
    fixtures,
    footings,
    foundation,
    frame_nails,
    girders,
    glued_floor,
    hangers,
    hazards,
    inspections,
    laps,
    lead_asbestos,
    levels,
    lumber_marks,
    moisture,
    notch_bore,
    openings,
    panels,
    partitions,
    photos,
    piers,
    pipe_tests,
    pipework,
    posts,
    scope,
    shoring,
    shower_pan,
    sills,
    soundness,
    spacing,
    spans,
    subfloor_edges,
    termites,
    tile_buildup,
    tile_finish,
    tile_work,
    underlayment,
    ventilation,
    workmanship,
)

ID = "wood-floor-base"
TOPICS = {
    "spacing": (spacing, subfloor_edges),
    "bearing": (bearing, hangers, laps, sills),
    "notch_bore": (notch_bore, cuts, soundness),
    "fasteners": (fasteners, underlayment, glued_floor, frame_nails),
    "moisture": (crawl_space, crawl_access, moisture, condensation, shower_pan),
    "decay": (decay, termites),
    "ventilation": (ventilation,),
    "tile_buildup": (tile_buildup, backer, tile_finish, tile_work),
    "spans": (spans,),
    "panels": (panels,),
    "girders": (girders,),
    "openings": (openings,),
    "piers": (posts, piers, footings),
    "scope": (scope,),
    "documents": (documents, inspections, photos, workmanship),
    "blocking": (blocking, partitions),
    "lumber": (lumber_marks,),
    "foundation": (foundation,),
    "levels": (levels,),
    "shoring": (shoring,),
    "hazards": (lead_asbestos, hazards),
    "existing": (existing,),
    "drains": (drains, drain_joists, drain_traps, pipework, pipe_tests),
    "fixtures": (fixtures,),
    "electrical": (electrical,),
    "fire": (fire,),
}


@hookimpl
def inspect_pack() -> Pack:
    """The base pack."""
    return Pack(
        id=ID,
        version="0.1.0",
        title="Wood floors on piers and beams",
        api=API_VERSION,
        rules=tuple(
            rule for topic, modules in TOPICS.items() for module in modules for rule in rules_in(module, topic)
        ),
        edition="IRC 2021",
        **load_data("inspect_wood_floor", ID),
    )
