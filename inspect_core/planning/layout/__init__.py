"""Where each sheet of the floor goes, and which sheet it is cut from.

:func:`lay_out` gives the layers of one area as frozen records in plan coordinates, for drawings and for the take-off.
"""

from inspect_core.planning.layout.lay import lay_out
from inspect_core.planning.layout.model import (
    AreaLayout,
    ByArea,
    CutOut,
    Joint,
    LayerLayout,
    NotLaid,
    Offcut,
    Piece,
    Unsupported,
)

__all__ = [
    "AreaLayout",
    "ByArea",
    "CutOut",
    "Joint",
    "LayerLayout",
    "NotLaid",
    "Offcut",
    "Piece",
    "Unsupported",
    "lay_out",
]
