"""The load path: every link once, the weakest named, unknown links told from sound ones."""

from __future__ import annotations

from typing import Any

from inspect_core.structure import load_path


def complete(area: dict[str, Any]) -> None:
    area["supports"][1] = {
        "id": "S2", "line": "beam", "rests_on": "posts", "at": 144, "size": "(2) 2x10", "sizes": "nominal",
        "species": "douglas-fir-larch", "grade": "No.2", "moisture": 15, "splices": [], "holes": [], "notches": [],
        "condition": [],
    }  # fmt: skip
    post = {"under": "S2", "material": "wood", "size": "4x4", "sizes": "nominal", "species": "douglas-fir-larch",
            "grade": "No.2", "moisture": 15, "height": 24, "condition": []}  # fmt: skip
    area["posts"] = [{**post, "id": "Q0", "at": 0, "rests_on": "F0"}, {**post, "id": "Q1", "at": 64, "rests_on": "F1"}]
    area["piers"] = []
    area["footings"] = [
        {"id": f"F{n}", "shape": "square", "width": 20, "thickness": 8, "material": "concrete"} for n in (0, 1)
    ]
    area["soil"] = {"kind": "sand"}


def places(steps: Any) -> list[str]:
    return [step.place for step in steps]


def test_every_link_from_the_layers_to_the_soil(bench: Any, limits: Any) -> None:
    steps = load_path(bench(complete), limits)
    assert places(steps) == [
        "people and furniture",
        "layers",
        "joist",
        "joist",
        "joist",
        "beam",
        "beam",
        "beam",
        "post",
        "post",
        "soil",
        "soil",
    ]
    assert sum(step.weakest for step in steps) == 1
    weakest = next(step for step in steps if step.weakest)
    assert weakest.use[1] == max(step.use[1] for step in steps if step.use is not None)


def test_the_weakest_link_is_the_one_that_was_made_weak(bench: Any, limits: Any) -> None:
    def slender(area: dict[str, Any]) -> None:
        complete(area)
        area["posts"][1].update(height=60, condition=[{"kind": "rot", "depth_left": 1.25}])

    def small(area: dict[str, Any]) -> None:
        complete(area)
        area["footings"][0].update(width=6)

    def cut(area: dict[str, Any]) -> None:
        complete(area)
        area["joists"][0]["but"] = {"J2": {"cuts": [{"from": "S1", "at": 40, "gap": 2, "repair": {"kind": "none"}}]}}

    for change, member in ((slender, "Q1"), (small, "under footing F0"), (cut, "J2, bending")):
        steps = load_path(bench(change), limits)
        assert [step.member for step in steps if step.weakest] == [member]


def test_what_nobody_described_is_an_open_link(bench: Any, limits: Any) -> None:
    steps = load_path(bench(lambda area: area.pop("joists")), limits)
    joists = [step for step in steps if step.place == "joists"]
    assert [step.why for step in joists] == ["no joists are described"]


def test_a_guess_keeps_a_link_from_being_known(bench: Any, limits: Any) -> None:
    def guessed(area: dict[str, Any]) -> None:
        complete(area)
        area["layers"][0]["weight"] = "~10 psf"
        area["soil"] = {"kind": "sand", "bearing": "~2000 psf"}

    whole, loose = (load_path(bench(change), limits) for change in (complete, guessed))
    assert {step.why for step in whole if step.use is not None} == {""}
    assert {step.why for step in loose if step.use is not None} == {"how far off the guesses in it are"}
