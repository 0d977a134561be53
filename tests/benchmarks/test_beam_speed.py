"""A beam solve against the general finite-element library that checks it: how many times faster, in one run.

Both start from a description in numbers and end with the same answers: reactions, and the greatest and least moment,
shear and deflection of the beam. (The library finds moments and shears exactly and deflections by sampling; ours are
all exact.) It is called as its documentation shows, `analyze_linear()`; without its check of stability and with dense
matrices, the ratios are about a fifth lower. Building the model is part of the task on both sides, as a rule that
checks a floor builds one beam after the other.
"""

from __future__ import annotations

import statistics
import timeit
from collections.abc import Callable
from itertools import pairwise

import pytest
from Pynite import FEModel3D

from inspect_core.engineering.beams import Beam, LineLoad, PointLoad, Segment, Support, solve

CASE = "Combo 1"


def girder(segments: int) -> Beam:
    """Five spans of 100 in, each with a point load and a uniform load, in `segments` lengths of differing stiffness.

    An invented girder; with more than one segment, some lengths are sistered and some are what rot has left.
    """
    cut = 500 / segments
    ei = (2.4e8, 4.1e8, 1.3e8)
    return Beam(
        500.0,
        tuple(Segment(cut * order, cut * (order + 1), ei[order % 3]) for order in range(segments)),
        tuple(Support(100.0 * order) for order in range(6)),
        tuple(PointLoad(100.0 * order + 30, 500.0 + order) for order in range(5)),
        tuple(LineLoad.uniform(100.0 * order, 100.0 * order + 100, 10.0 + order) for order in range(5)),
    )


def by_solver(beam: Beam) -> list[float]:
    solution = solve(beam)
    return [*solution.reactions, *(extreme.value for extreme in solution.extremes)]


def by_finite_elements(beam: Beam) -> list[float]:
    model = FEModel3D()
    stands = [support.at for support in beam.supports]
    nodes = sorted({*stands, *(each.start for each in beam.segments), beam.length})
    model.add_material("wood", 1.0, 1.0, 0.3, 0.0)
    for number, at in enumerate(nodes):
        model.add_node(f"N{number}", at, 0, 0)
        model.def_support(f"N{number}", number == 0, at in stands, True, True, True, False)
    for number, (start, end) in enumerate(pairwise(nodes)):
        ei = next(each.ei for each in beam.segments if each.start <= start and end <= each.end + 1e-9)
        model.add_section(f"S{number}", ei, ei, ei, ei)
        model.add_member(f"M{number}", f"N{number}", f"N{number + 1}", "wood", f"S{number}")
        for point in beam.point_loads:
            if start <= point.at < end:
                model.add_member_pt_load(f"M{number}", "Fy", -point.force, point.at - start)
        for line in beam.line_loads:
            low, high = max(line.start, start), min(line.end, end)
            if low < high:
                model.add_member_dist_load(f"M{number}", "Fy", -line.at_start, -line.at_end, low - start, high - start)
    model.analyze_linear()
    members = list(model.members.values())
    return [
        *(model.nodes[f"N{nodes.index(at)}"].RxnFY[CASE] for at in stands),
        max(-member.min_moment("Mz") for member in members),
        min(-member.max_moment("Mz") for member in members),
        max(member.max_shear("Fy") for member in members),
        min(member.min_shear("Fy") for member in members),
        max(-member.min_deflection("dy") for member in members),
        min(-member.max_deflection("dy") for member in members),
    ]


def seconds(task: Callable[[], object], rounds: int) -> float:
    return min(timeit.repeat(task, number=rounds, repeat=5)) / rounds


def ratio(beam: Beam) -> float:
    """How many times longer the library takes; the median of several, each from the quickest of a few turns."""
    ours, theirs = by_solver(beam), by_finite_elements(beam)  # also warms both up
    assert ours[:-2] == pytest.approx(theirs[:-2], rel=1e-6)
    assert ours[-2:] == pytest.approx(theirs[-2:], rel=1e-2)  # they sample the deflection
    return statistics.median(
        seconds(lambda: by_finite_elements(beam), 1) / seconds(lambda: by_solver(beam), 20) for _ in range(7)
    )


@pytest.mark.benchmark
def test_at_least_a_hundred_times_faster_than_finite_elements(capsys: pytest.CaptureFixture[str]) -> None:
    """For a girder as this project meets them, with sisters and rot; the plain one is shown for comparison."""
    mended, plain = ratio(girder(9)), ratio(girder(1))
    with capsys.disabled():
        print(f"\nbeam solve: {mended:.0f} times faster than finite elements (of one stiffness: {plain:.0f})")
    assert mended >= 100
