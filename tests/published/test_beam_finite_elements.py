"""Random continuous beams against PyNiteFEA, a general finite-element library (three-dimensional frames and plates).

Its beam element is exact at its nodes for these loads, and it integrates the loads along each member, so the
two must agree to rounding everywhere, not only to the accuracy of a mesh. Each beam is built there from
nothing but the description: nodes at ends, supports, hinges and changes of stiffness; loads on members.

`BEAM_CASES=500 pytest tests/published/test_beam_finite_elements.py` tries more beams than the default run.
"""

from __future__ import annotations

import os
import random
from itertools import pairwise

import pytest
from Pynite import FEModel3D

from inspect_core.engineering.beams import (
    Beam,
    Couple,
    LineLoad,
    PointLoad,
    Segment,
    Solution,
    Support,
    solve,
)

CASES = int(os.environ.get("BEAM_CASES", "80"))
CASE = "Combo 1"
TOLERANCE = 1e-6  # of the peak


class Frame:
    """The same beam in the finite-element library, analysed. Its axes: Y up, moments about Z counter-clockwise."""

    def __init__(self, beam: Beam) -> None:
        model = FEModel3D()
        supports = {support.at: support for support in beam.supports}
        bounds = {segment.start for segment in beam.segments} | {segment.end for segment in beam.segments}
        self.nodes = sorted({*bounds, *supports, *beam.hinges})
        model.add_material("wood", 1.0, 1.0, 0.3, 0.0)
        for number, at in enumerate(self.nodes):
            name = f"N{number}"
            model.add_node(name, at, 0, 0)
            held = supports.get(at)
            turns = bool(held and held.fixed)
            model.def_support(name, number == 0, held is not None, True, True, True, turns)
            if held and held.settlement:
                model.def_node_disp(name, "DY", -held.settlement)
        for number, (start, end) in enumerate(pairwise(self.nodes)):
            ei = next(each.ei for each in beam.segments if each.start <= start and end <= each.end)
            model.add_section(f"S{number}", ei, ei, ei, ei)
            model.add_member(f"M{number}", f"N{number}", f"N{number + 1}", "wood", f"S{number}")
            if end in beam.hinges:
                model.def_releases(f"M{number}", Rzj=True)
        for point in beam.point_loads:
            self._put(model, point.at, "Fy", -point.force)
        for each in beam.couples:
            self._put(model, each.at, "Mz", -each.clockwise)
        for line in beam.line_loads:
            rise = (line.at_end - line.at_start) / (line.end - line.start)
            for number, (start, end) in enumerate(pairwise(self.nodes)):
                low, high = max(line.start, start), min(line.end, end)
                if low < high:
                    first, last = (line.at_start + rise * (at - line.start) for at in (low, high))
                    model.add_member_dist_load(f"M{number}", "Fy", -first, -last, low - start, high - start)
        model.analyze_linear(sparse=False)
        self.model = model
        self.reactions = [model.nodes[self._node(at)].RxnFY[CASE] for at in supports]
        self.fixing = [-model.nodes[self._node(at)].RxnMZ[CASE] for at in supports]

    def _node(self, at: float) -> str:
        return f"N{self.nodes.index(at)}"

    def _put(self, model: FEModel3D, at: float, kind: str, size: float) -> None:
        if at in self.nodes:
            model.add_node_load(self._node(at), {"Fy": "FY", "Mz": "MZ"}[kind], size)
            return
        number = sum(node < at for node in self.nodes) - 1
        model.add_member_pt_load(f"M{number}", kind, size, at - self.nodes[number])

    def read(self, at: float) -> tuple[float, float, float]:
        """Shear, moment and deflection a hair's breadth inside the member that holds `at`."""
        number = min(sum(node <= at for node in self.nodes), len(self.nodes) - 1) - 1
        member = self.model.members[f"M{number}"]
        x = at - self.nodes[number]
        return member.shear("Fy", x), -member.moment("Mz", x), -member.deflection("dy", x)

    def extremes(self) -> tuple[float, float, float, float]:
        """Greatest and least moment and shear of all members, by the library's own search."""
        members = list(self.model.members.values())
        return (
            max(-member.min_moment("Mz") for member in members),
            min(-member.max_moment("Mz") for member in members),
            max(member.max_shear("Fy") for member in members),
            min(member.min_shear("Fy") for member in members),
        )


def random_beam(seed: int) -> Beam:
    """Two to seven supports, overhangs, changes of stiffness, all kinds of load, settlement, hinges, fixed ends."""
    dice = random.Random(seed)
    gaps = [dice.uniform(30, 200) for _ in range(dice.randint(1, 6))]
    before = dice.choice([0.0, dice.uniform(5, 50)])
    after = dice.choice([0.0, dice.uniform(5, 50)])
    stands = [before]
    for gap in gaps:
        stands.append(stands[-1] + gap)
    length = stands[-1] + after
    supports = [Support(at, dice.choice([0.0, 0.0, dice.uniform(-0.2, 0.6)]), dice.random() < 0.12) for at in stands]
    # A span between two supports that can hold a moment may have a hinge; neighbours of such a span then have
    # none.
    hinges, skip = [], False
    for order, (left, right) in enumerate(pairwise(supports)):
        inner = order > 0 and order + 1 < len(gaps)
        if skip or not inner or dice.random() > 0.3:
            skip = False
            continue
        hinges.append(left.at + dice.uniform(0.05, 0.95) * (right.at - left.at))
        skip = True
    if len(stands) > 2 and not hinges and not supports[1].fixed and dice.random() < 0.2:
        hinges.append(stands[1])
    bounds = [0.0, length]
    for _ in range(dice.choice([0, 1, 2, 4])):
        cut = dice.uniform(1, length - 1)
        # A stiffness matrix loses digits where a member is very short, so none is: seven of them for a hundredth of
        # an inch. (test_beams.py checks such beams in exact fractions.)
        if all(abs(cut - other) > 2 for other in [*bounds, *stands, *hinges]):
            bounds.append(cut)
    bounds.sort()
    segments = tuple(Segment(a, b, 10 ** dice.uniform(6.7, 8.7)) for a, b in pairwise(bounds))
    points = [PointLoad(dice.uniform(0, length), dice.uniform(-300, 1500)) for _ in range(dice.randint(0, 5))]
    points += [PointLoad(dice.choice(stands), 700.0)] * dice.randint(0, 1)
    lines = []
    for _ in range(dice.randint(1, 4)):
        start, end = sorted((dice.uniform(0, length), dice.uniform(0, length)))
        rate = dice.uniform(-5, 40)
        lines.append(LineLoad(start, end, rate, dice.choice([rate, dice.uniform(0, 40)])))
    if dice.random() < 0.5:
        lines.append(LineLoad.uniform(0, length, dice.uniform(1, 30)))
    couples = [Couple(dice.uniform(0, length), dice.uniform(-5e3, 5e3)) for _ in range(dice.randint(0, 2))]
    return Beam(length, segments, tuple(supports), tuple(points), tuple(lines), tuple(couples), tuple(hinges))


def places(solution: Solution) -> list[float]:
    """Where to look: within each piece, so that no side of a jump is in question."""
    return [
        piece.start + share * (piece.end - piece.start)
        for piece in solution.pieces
        if piece.end - piece.start > 0.01
        for share in (0.001, 0.17, 0.5, 0.83, 0.999)
    ]


@pytest.mark.parametrize("seed", range(CASES))
def test_random_beam_agrees_with_finite_elements(seed: int) -> None:
    """Source: PyNiteFEA, run here."""
    beam = random_beam(seed)
    solution, frame = solve(beam), Frame(beam)
    extremes = solution.extremes
    peak_shear, peak_moment, peak_deflection = (
        abs(extremes.shear_largest.value),
        abs(extremes.moment_largest.value),
        abs(extremes.deflection_largest.value),
    )
    forces = max(map(abs, solution.reactions))
    assert solution.reactions == pytest.approx(frame.reactions, rel=0, abs=TOLERANCE * forces)
    assert solution.fixing_couples == pytest.approx(frame.fixing, rel=0, abs=TOLERANCE * peak_moment)

    for at in places(solution):
        shear, moment, deflection = frame.read(at)
        assert solution.deflection(at) == pytest.approx(deflection, rel=0, abs=TOLERANCE * peak_deflection)
        assert solution.moment(at) == pytest.approx(moment, rel=0, abs=TOLERANCE * peak_moment)
        assert solution.shear(at) == pytest.approx(shear, rel=0, abs=TOLERANCE * peak_shear)
        assert extremes.deflection_min.value - TOLERANCE * peak_deflection <= deflection
        assert deflection <= extremes.deflection_max.value + TOLERANCE * peak_deflection
    for at, value in (extremes.deflection_max, extremes.deflection_min):
        assert frame.read(at)[2] == pytest.approx(value, rel=0, abs=TOLERANCE * peak_deflection)

    greatest, least, most_shear, least_shear = frame.extremes()
    assert extremes.moment_max.value == pytest.approx(greatest, rel=0, abs=TOLERANCE * peak_moment)
    assert extremes.moment_min.value == pytest.approx(least, rel=0, abs=TOLERANCE * peak_moment)
    assert extremes.shear_max.value == pytest.approx(most_shear, rel=0, abs=TOLERANCE * peak_shear)
    assert extremes.shear_min.value == pytest.approx(least_shear, rel=0, abs=TOLERANCE * peak_shear)
