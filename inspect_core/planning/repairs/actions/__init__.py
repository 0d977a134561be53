"""What a repair can do to a site description, by the word that a pack writes under ``does``.

An action is a generator ``(repair, spot)`` of steps: the ways to do it at that place, from the least effort on. It
raises :class:`CannotApply` where it is not for that place. It changes plain data and never judges: the rules do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final, TypeAlias

from inspect_core.planning.repairs.actions import crawl, edges, fields, headers, joists, supports
from inspect_core.planning.repairs.actions.common import Step
from inspect_core.planning.repairs.draft import CannotApply
from inspect_core.planning.repairs.spots import Spot
from inspect_core.rules_api.repairs import Repair


def _no_plan(repair: Repair, spot: Spot) -> Iterator[Step]:
    """What settles it is no planned work: a reading that has to be taken again, a design that somebody must make."""
    raise CannotApply(repair.says)
    yield  # an action is a generator


Action: TypeAlias = Callable[[Repair, Spot], Iterator[Step]]

ACTIONS: Final[Mapping[str, Action]] = {
    "set": fields.set_fields,
    "take-out-layer": fields.take_out_layer,
    "lay-layer": fields.lay_layer,
    "sister": joists.sister,
    "add-joist": joists.add_joist,
    "replace-joist": joists.replace_joist,
    "head-off": headers.head_off,
    "put-back-joists": joists.put_back_joists,
    "add-beam": supports.add_beam,
    "add-pier": supports.add_pier,
    "replace-pier": supports.replace_pier,
    "carry-edge": edges.carry_edge,
    "block-edges": edges.block_edges,
    "fit-blocking": edges.fit_blocking,
    "lower-drain": edges.lower_drain,
    "add-vents": crawl.add_vents,
    "nothing-planned": _no_plan,
}

__all__ = ["ACTIONS", "Action", "Step"]
