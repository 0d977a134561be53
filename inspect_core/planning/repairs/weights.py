"""How repairs are weighed: numbers from ``weights.yaml``, and the defaults of planned work from ``planned.yaml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from inspect_core.site.reader import read_text


@dataclass(frozen=True, slots=True)
class Weights:
    """Points for labour and for what is settled; bounds of the search."""

    labour: Mapping[str, int]
    settles: Mapping[str, int]
    growth: float
    exact_up_to: int
    most_runs: int


@cache
def weights() -> Weights:
    """The weights as they ship."""
    data = _data("weights.yaml")
    share = float(str(data["growth"]).removesuffix("%")) / 100
    return Weights(data["labour"], data["settles"], share, data["exact_up_to"], data["most_runs"])


@cache
def planned() -> Mapping[str, Any]:
    """What planned work takes for granted where a repair says nothing else; do not change it."""
    found: Mapping[str, Any] = _data("planned.yaml")
    return found


def _data(name: str) -> dict[str, Any]:
    text = files("inspect_core.planning.repairs").joinpath(name).read_text("utf-8")
    data: dict[str, Any] = read_text(text, name).data
    return data
