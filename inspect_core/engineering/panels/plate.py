"""How far a floor of one or more panel layers bends between joists, and how much of its strength is used.

Uniform load: the three strip formulas of the panel design specification (w in psf on a strip 1 ft wide).

Point load: an orthotropic plate, endless along the joists, carried by the joists as by knife edges, loaded
at one point at mid-span. The single-span answer is closed (see `_single_span_in`); with stiffness equal
both ways it is Timoshenko's 0.01695 P a² / D. Continuity over the next joist lowers it by
`continuity_factor`. Torsional stiffness is that of the sheet alone, G t³/6; the Poisson part is left out,
which makes the answer a little large. The model is plain plate theory (derived here, no printed floor table
to check it against): a real load has a footprint and joists give way, so it speaks of the panel only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from ..tables import read_rows, require_not_negative, require_positive
from ..working import Step, Working, show, weakest
from .ratings import Capacity

Axis = Literal["across-joists", "along-joists"]
Edge = Literal["interior", "free"]
Spans = Literal[1, 2, 3]

_DATA = Path(__file__).parent / "data"

_SPEC = "panel design specification, uniform load formulas"
_PLATE = "orthotropic plate strip on knife-edge joists"

#: w l⁴ / (k EI), w = k FbS / l², w = k Fs(Ib/Q) / l: k by number of equal spans, w in psf, l in in,
#: EI, FbS and Fs(Ib/Q) a foot of width. They are 5/384, 1/185, 1/145 w l⁴/EI; w l²/8, /8, /10; 0.5, 0.625, 0.6 w l.
_DEFLECTION = {1: 921.6, 2: 2220.0, 3: 1743.0}
_BENDING = {1: 96.0, 2: 96.0, 3: 120.0}
_SHEAR = {1: 24.0, 2: 19.2, 3: 20.0}

#: Sum of 1/m³ over odd m.
_ODD_CUBES = 1.0517997902646451


@dataclass(frozen=True, slots=True)
class Layer:
    """One sheet of panel and the way its strength axis (face grain, the long way) runs."""

    panel: Capacity
    strength_axis: Axis = "across-joists"


@dataclass(frozen=True, slots=True)
class FloorPlate:
    """One or more layers acting together between joists.

    Per foot of width: ``ei_across_joists`` and ``ei_along_joists`` in lb·in²/ft, ``bending`` in lb·in/ft,
    ``planar_shear`` in lb/ft, None where it isn't published (a layer laid the weak way).
    ``twist`` is the torsional stiffness of the sheet, in lb·in²/in.
    """

    layers: tuple[Layer, ...]
    composite: float
    ei_across_joists: float
    ei_along_joists: float
    twist: float
    bending: float
    planar_shear: float | None
    thickness_in: float
    status: str


@dataclass(frozen=True, slots=True)
class UniformCheck:
    """A floor plate under a uniform load: deflection in inches and the parts of its strength in use (1 is all).

    ``deflection_ratio`` is the x of L/x with L the joist spacing, as the span tables reckon.
    ``shear_use`` is None where the planar shear isn't published.
    """

    plate: FloorPlate
    joist_spacing_in: float
    framing_width_in: float
    load_psf: float
    spans: Spans
    deflection_in: float
    deflection_ratio: float
    bending_use: float
    shear_use: float | None

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        plate, w, n = self.plate, show(self.load_psf), self.spans
        span = _deflection_span_in(self.joist_spacing_in, self.framing_width_in)
        clear = self.joist_spacing_in - self.framing_width_in
        steps = [
            Step("EI", "sum of the layers", "", plate.ei_across_joists, "lb·in²/ft", _SPEC),
            Step("Δ", f"w l⁴ / ({_DEFLECTION[n]:g} EI)",
                 f"{w} × {show(span)}⁴ / ({_DEFLECTION[n]:g} × {show(plate.ei_across_joists)})",
                 self.deflection_in, "in", f"{_SPEC}, {n} span(s)"),
            Step("L/Δ", "L / Δ", f"{show(self.joist_spacing_in)} / {show(self.deflection_in)}",
                 self.deflection_ratio, "", "L is the joist spacing"),
            Step("bending", f"w L² / ({_BENDING[n]:g} FbS)",
                 f"{w} × {show(self.joist_spacing_in)}² / ({_BENDING[n]:g} × {show(plate.bending)})",
                 self.bending_use, "", f"{_SPEC}, {n} span(s)"),
        ]  # fmt: skip
        if self.shear_use is not None and plate.planar_shear is not None:
            steps.append(
                Step("shear", f"w l / ({_SHEAR[n]:g} Fs(Ib/Q))",
                     f"{w} × {show(clear)} / ({_SHEAR[n]:g} × {show(plate.planar_shear)})",
                     self.shear_use, "", f"{_SPEC}, {n} span(s), clear span")
            )  # fmt: skip
        return tuple(steps)


@dataclass(frozen=True, slots=True)
class PointCheck:
    """A floor plate under a load at one point midway between joists: deflection in inches.

    ``deflection_ratio`` is the x of L/x with L the clear distance between joists, as the tile trade
    measures it. ``effective_width_in`` is the width of a simple strip that would bend as much.
    """

    plate: FloorPlate
    joist_spacing_in: float
    framing_width_in: float
    load_lb: float
    spans: Spans
    edge: Edge
    deflection_in: float
    deflection_ratio: float
    effective_width_in: float

    @property
    def working(self) -> Working:
        """The calculation, a step a line."""
        dx, dy = self.plate.ei_across_joists / 12, self.plate.ei_along_joists / 12
        h, g = self.plate.twist, math.sqrt(dx * dy)
        span = _deflection_span_in(self.joist_spacing_in, self.framing_width_in)
        single = _single_span_in(self.load_lb, span, dx, dy, h)
        steps = [
            Step("Dx", "EI across joists / 12", f"{show(self.plate.ei_across_joists)} / 12", dx, "lb·in²/in",
                 _PLATE),
            Step("Dy", "EI along joists / 12", f"{show(self.plate.ei_along_joists)} / 12", dy, "lb·in²/in",
                 _PLATE),
            Step("H", "G t³/6, summed over the layers", "", h, "lb·in²/in", _PLATE),
            Step("Δ1", "1.0518 P a² / (π³ √(2 Dx (H + √(Dx Dy))))",
                 f"1.0518 × {show(self.load_lb)} × {show(span)}² / (31.01 × √(2 × {show(dx)} × "
                 f"({show(h)} + {show(g)})))", single, "in", f"{_PLATE}, one span"),
        ]  # fmt: skip
        if self.edge == "free":
            factor = _free_edge_factor(h, g)
            steps.append(
                Step("Δ", "Δ1 × 4 (H + √(Dx Dy)) / (2 H + √(Dx Dy))", f"{show(single)} × {show(factor)}",
                     self.deflection_in, "in", f"{_PLATE}, at an unsupported edge")
            )  # fmt: skip
        elif self.spans > 1:
            steps.append(
                Step("Δ", "Δ1 × continuity", f"{show(single)} × {show(self.deflection_in / single)}",
                     self.deflection_in, "in", f"{_PLATE}, {self.spans} spans")
            )  # fmt: skip
        clear = self.joist_spacing_in - self.framing_width_in
        steps.append(Step("L/Δ", "L / Δ", f"{show(clear)} / {show(self.deflection_in)}", self.deflection_ratio,
                          "", "L is the clear distance between joists"))  # fmt: skip
        return tuple(steps)


def build_up(layers: Sequence[Layer], *, composite: float = 0.0) -> FloorPlate:
    """Return the plate that ``layers`` (from the joists up) make together.

    Layers that are only nailed or screwed slide on each other: their stiffnesses add (``composite`` 0). A
    bond over the whole face makes one thick sheet (``composite`` 1). For what lies between, the caller
    states the fraction; it is a judgement, and the result is then ``common practice, no source`` at best.
    For the bonded part each layer is taken as uniform through its thickness (EA = 12 EI/t²). Strength never
    counts the bond: each layer takes moment and shear as it takes curvature, and the first to reach its
    limit governs.
    """
    if not layers:
        raise ValueError("a floor plate needs at least one layer")
    if not 0 <= composite <= 1:
        raise ValueError(f"composite must lie from 0 to 1, not {composite!r}")
    along = [_turned(layer) for layer in layers]
    thicknesses = [layer.panel.thickness_in for layer in layers]
    ei_x, ei_y = [a[0] for a in along], [a[1] for a in along]
    twists = [layer.panel.rigidity * layer.panel.thickness_in**2 / 6 for layer in layers]
    total_x = sum(ei_x)
    shears = [a[3] for a in along]
    statuses = [layer.panel.status for layer in layers]
    if composite:
        statuses.append("common practice, no source")
    return FloorPlate(
        layers=tuple(layers),
        composite=composite,
        ei_across_joists=_together(ei_x, thicknesses, composite),
        ei_along_joists=_together(ei_y, thicknesses, composite),
        twist=_together(twists, thicknesses, composite),
        bending=min(a[2] * total_x / a[0] for a in along),
        planar_shear=None
        if None in shears
        else min(s * total_x / e for s, e in zip(shears, ei_x, strict=True) if s is not None),
        thickness_in=sum(thicknesses),
        status=weakest(statuses),
    )


def _turned(layer: Layer) -> tuple[float, float, float, float | None]:
    """EI across joists, EI along joists, bending strength and planar shear across joists of one layer."""
    panel = layer.panel
    if layer.strength_axis == "across-joists":
        return panel.ei_along, panel.ei_across, panel.fbs_along, panel.planar_shear_along
    if layer.strength_axis == "along-joists":
        return panel.ei_across, panel.ei_along, panel.fbs_across, None
    raise ValueError(f"strength axis must be 'across-joists' or 'along-joists', not {layer.strength_axis!r}")


def _together(stiffness: Sequence[float], thicknesses: Sequence[float], composite: float) -> float:
    """Sum of the layers' bending stiffnesses plus the stated fraction of what full bond would add."""
    loose = sum(stiffness)
    if not composite:
        return loose
    axial = [12 * s / t**2 for s, t in zip(stiffness, thicknesses, strict=True)]
    middles, top = [], 0.0
    for t in thicknesses:
        middles.append(top + t / 2)
        top += t
    centre = sum(a * m for a, m in zip(axial, middles, strict=True)) / sum(axial)
    return loose + composite * sum(a * (m - centre) ** 2 for a, m in zip(axial, middles, strict=True))


@cache
def _allowances() -> tuple[tuple[float, float], tuple[float, float]]:
    thin, thick = (
        (float(row["framing_in"]), float(row["allowance_in"])) for row in read_rows(_DATA / "span_allowance.csv")
    )
    return thin, thick


def _deflection_span_in(joist_spacing_in: float, framing_width_in: float) -> float:
    """The clear span, and the part of the bearings over which a panel still bends: more on wide framing."""
    (thin, least), (thick, most) = _allowances()
    share = (min(max(framing_width_in, thin), thick) - thin) / (thick - thin)
    return joist_spacing_in - framing_width_in + least + (most - least) * share


def _require_spans(joist_spacing_in: float, framing_width_in: float, spans: int) -> None:
    require_positive(joist_spacing_in=joist_spacing_in)
    require_not_negative(framing_width_in=framing_width_in)
    if framing_width_in >= joist_spacing_in:
        raise ValueError("framing must be narrower than the joist spacing")
    if spans not in (1, 2, 3):
        raise ValueError(f"spans must be 1, 2 or 3 (three or more), not {spans!r}")


def check_uniform(
    plate: FloorPlate,
    joist_spacing_in: float,
    load_psf: float,
    *,
    spans: Spans = 3,
    framing_width_in: float = 1.5,
) -> UniformCheck:
    """Return deflection, bending and planar shear of ``plate`` under ``load_psf``.

    ``spans`` is how many joist spaces a sheet crosses without a joint (3 stands for three or more).
    """
    _require_spans(joist_spacing_in, framing_width_in, spans)
    require_positive(load_psf=load_psf)
    span = _deflection_span_in(joist_spacing_in, framing_width_in)
    deflection = load_psf * span**4 / (_DEFLECTION[spans] * plate.ei_across_joists)
    shear = None
    if plate.planar_shear is not None:
        shear = load_psf * (joist_spacing_in - framing_width_in) / (_SHEAR[spans] * plate.planar_shear)
    return UniformCheck(
        plate=plate,
        joist_spacing_in=joist_spacing_in,
        framing_width_in=framing_width_in,
        load_psf=load_psf,
        spans=spans,
        deflection_in=deflection,
        deflection_ratio=joist_spacing_in / deflection,
        bending_use=load_psf * joist_spacing_in**2 / (_BENDING[spans] * plate.bending),
        shear_use=shear,
    )


def check_point(
    plate: FloorPlate,
    joist_spacing_in: float,
    load_lb: float,
    *,
    spans: Spans = 2,
    edge: Edge = "interior",
    framing_width_in: float = 1.5,
) -> PointCheck:
    """Return the deflection under ``load_lb`` at the worst point, midway between two joists.

    ``spans``: 1 for a sheet that crosses one space only, 2 for a load in an end space of a longer sheet, 3
    for a load in the middle of three spaces. ``edge`` ``free`` is a load on a panel edge between joists
    that has neither tongue and groove nor blocking; continuity isn't counted there.
    """
    _require_spans(joist_spacing_in, framing_width_in, spans)
    require_positive(load_lb=load_lb)
    if edge not in ("interior", "free"):
        raise ValueError(f"edge must be 'interior' or 'free', not {edge!r}")
    span = _deflection_span_in(joist_spacing_in, framing_width_in)
    dx, dy, h = plate.ei_across_joists / 12, plate.ei_along_joists / 12, plate.twist
    deflection = _single_span_in(load_lb, span, dx, dy, h)
    g = math.sqrt(dx * dy)
    deflection *= _free_edge_factor(h, g) if edge == "free" else continuity_factor(spans, h / g)
    return PointCheck(
        plate=plate,
        joist_spacing_in=joist_spacing_in,
        framing_width_in=framing_width_in,
        load_lb=load_lb,
        spans=spans,
        edge=edge,
        deflection_in=deflection,
        deflection_ratio=(joist_spacing_in - framing_width_in) / deflection,
        effective_width_in=load_lb * span**3 / (48 * dx * deflection),
    )


def _single_span_in(load_lb: float, span_in: float, dx: float, dy: float, h: float) -> float:
    """Deflection under a point load at mid-span of an endless plate on two knife edges.

    Levy's method: for each wave sin(mπx/a) the Fourier integral along the joists is closed, and what is
    left is the sum of 1/m³ over odd m.
    """
    return _ODD_CUBES * load_lb * span_in**2 / (math.pi**3 * math.sqrt(2 * dx * (h + math.sqrt(dx * dy))))


def _free_edge_factor(h: float, g: float) -> float:
    """How many times more the plate bends when the load stands on a free edge (8/3 for equal stiffness)."""
    return 4 * (h + g) / (2 * h + g)


_MODES = 60
_STEPS = 60
_WAVE_LIMIT = 24.0


@cache
def _continuity(spans: int, shape: float) -> float:
    """See `continuity_factor`. Length of one span is 1, Dx = Dy = 1 by scaling, H = shape."""
    whole = lost = 0.0
    for step in range(_STEPS + 1):
        k = _WAVE_LIMIT * step / _STEPS
        simpson = 1 if step in (0, _STEPS) else 2 + 2 * (step % 2)
        middle = turn = near = far = 0.0
        for m in range(1, _MODES + 1):
            alpha = m * math.pi
            flexibility = 2 / (alpha**4 + 2 * shape * (k * alpha) ** 2 + k**4)
            sine = math.sin(alpha / 2)
            middle += flexibility * sine * sine
            turn += flexibility * alpha * sine
            near += flexibility * alpha * alpha
            far -= flexibility * alpha * alpha * (-1) ** m
        near += 2 / (math.pi**2 * (_MODES + 0.5))  # the modes left out, each close to 2/α²
        # A unit couple over each support: the spans on both sides turn until their ends agree.
        couple = turn / (2 * near) if spans == 2 else turn / (2 * near + far)
        whole += simpson * middle
        lost += simpson * couple * turn * (1 if spans == 2 else 2)
    return 1 - lost / whole


def continuity_factor(spans: int, shape: float) -> float:
    """Return how much of the single-span point-load deflection is left when the plate runs on over joists.

    ``spans`` 2: the loaded space has one neighbour; 3: one on each side; 1 gives 1. ``shape`` is H/√(Dx Dy),
    0 for a sheet without torsional stiffness, 1 for an isotropic plate. Each wave along the joists is a beam
    (with tension and springs) continuous over its supports; the waves are summed by Simpson's rule.
    Good to about 1 in 200; beams have 0.719 and 0.55.
    """
    require_not_negative(shape=shape)
    if spans not in (1, 2, 3):
        raise ValueError(f"spans must be 1, 2 or 3, not {spans!r}")
    return 1.0 if spans == 1 else _continuity(spans, round(shape, 2))
