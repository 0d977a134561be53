"""What to buy for the new and altered work of a site, how to cut it, and what can't be counted yet."""

from inspect_core.planning.takeoff.collect import take_off
from inspect_core.planning.takeoff.model import (
    Cost,
    Item,
    LumberBoard,
    LumberCuts,
    LumberPiece,
    NotCounted,
    TakeOff,
)

__all__ = ["Cost", "Item", "LumberBoard", "LumberCuts", "LumberPiece", "NotCounted", "TakeOff", "take_off"]
