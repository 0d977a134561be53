"""The base pack: what codes and common practice ask of a wood floor on piers and beams. It has no private door into the engine."""

from inspect_core.rules_api import API_VERSION, Pack, hookimpl, load_data, rules_in
from inspect_wood_floor import bearing

ID = "wood-floor-base"
MODULES = (bearing,)


@hookimpl
def inspect_pack() -> Pack:
    """The base pack."""
    return Pack(
        id=ID,
        version="0.1.0",
        title="Wood floors on piers and beams",
        api=API_VERSION,
        rules=tuple(rule for module in MODULES for rule in rules_in(module)),
        edition="IRC 2021",
        **load_data("inspect_wood_floor", ID),
    )
