"""The base pack: what codes and common practice ask of a wood floor on piers and beams.

It enters the engine by the same door as a stranger's pack.
"""

from inspect_core.rules_api import API_VERSION, Pack, hookimpl, load_data, rules_in
from inspect_wood_floor import (
    backer,
    bearing,
    crawl_space,
    cuts,
    fasteners,
    footings,
    frame_nails,
    girders,
    glued_floor,
    hangers,
    laps,
    moisture,
    notch_bore,
    openings,
    panels,
    piers,
    posts,
    scope,
    shower_pan,
    sills,
    soundness,
    spacing,
    spans,
    subfloor_edges,
    tile_buildup,
    tile_finish,
    underlayment,
)

ID = "wood-floor-base"
TOPICS = {
    "spacing": (spacing, subfloor_edges),
    "bearing": (bearing, hangers, laps, sills),
    "notch_bore": (notch_bore, cuts, soundness),
    "fasteners": (fasteners, underlayment, glued_floor, frame_nails),
    "moisture": (crawl_space, moisture, shower_pan),
    "tile_buildup": (tile_buildup, backer, tile_finish),
    "spans": (spans,),
    "panels": (panels,),
    "girders": (girders,),
    "openings": (openings,),
    "piers": (posts, piers, footings),
    "scope": (scope,),
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
