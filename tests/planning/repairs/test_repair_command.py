"""`inspect-core repair`: the list, and the written site."""

from __future__ import annotations

import difflib
import io
import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from inspect_core.cli import main
from inspect_core.cli.repair import _progress
from inspect_core.engine import LoadedPacks
from inspect_core.engine.choice import Choice
from inspect_core.planning.repairs import Proposal, propose
from inspect_core.report.repair import repair_data, repair_text
from inspect_core.rules_api import API_VERSION, Pack
from inspect_core.site import site_from_text
from inspect_core.site.problems import columns

SMALL = """\
# a yard office; a comment on top
format: 1
units: in
site: {name: Yard office, work: existing, invented: true}
areas:
  - id: office    # the only one
    crawl_space:
      kind: vented
      vents:
        - {id: V1, wall: south, net_area: 40 sq in, from_corner: 24, mesh: 1/2, blocked: false}   # rusted through
        - {id: V2, wall: north, net_area: 40 sq in, from_corner: 24, mesh: 1/8, blocked: false}
      debris: true
"""


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "yard.site.yaml"
    path.write_text(SMALL, "utf-8")
    return path


@pytest.fixture
def run(capfdbinary: pytest.CaptureFixture[bytes]) -> Callable[..., tuple[int, str, str]]:
    def command(*arguments: Any) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as stop:
            main(["repair", *map(str, arguments)])
        out, err = capfdbinary.readouterr()
        assert isinstance(stop.value.code, int)
        return stop.value.code, out.decode("utf-8"), err.decode("utf-8")

    return command


Command = Callable[..., tuple[int, str, str]]


def test_json_has_the_keys_of_the_contract_best_first(run: Command, small: Path) -> None:
    code, out, err = run(small, "--format", "json")
    assert (code, err) == (0, "")
    data = json.loads(out)
    assert [one["id"] for one in data["repairs"]] == list(range(1, len(data["repairs"]) + 1))
    by_rule = {one["settles"][0]["rule"]: one for one in data["repairs"]}
    assert by_rule["crawl-debris"]["actions"] == ["Take scraps, forms and plants out of the space under the floor."]
    mesh = by_rule["crawl-vent-mesh"]
    assert {"rule": "crawl-vent-mesh", "subject": "vent V1"}.items() <= mesh["settles"][0].items()
    assert mesh["planned"] == [{"path": "/areas/0/crawl_space/vents/0/mesh", "value": "1/4"}]
    assert set(mesh["effort"]) == {"total", "material", "labour", "invasive"}
    assert all(one["cautions"] for one in data["no_proven_repair"] if "cautions" in one)
    assert run(small, "--format", "json")[1] == out  # same input, same bytes


def test_apply_changes_what_it_says_and_keeps_every_other_line(run: Command, small: Path, tmp_path: Path) -> None:
    data = json.loads(run(small, "--format", "json")[1])
    ids = [str(o["id"]) for o in data["repairs"] if o["settles"][0]["rule"] in ("crawl-vent-mesh", "crawl-debris")]
    out = tmp_path / "mended.site.yaml"
    code, said, told = run(small, "--apply", ids[0], "--apply", ids[1], "-o", out)
    assert (code, said) == (0, "")
    assert "2 settled" in told
    assert small.read_text("utf-8") == SMALL
    diff = difflib.unified_diff(SMALL.split("\n"), out.read_text("utf-8").split("\n"), n=0, lineterm="")
    assert [line for line in diff if line[:1] in "+-" and line[:3] not in ("+++", "---")] == [
        "-        - {id: V1, wall: south, net_area: 40 sq in, from_corner: 24, mesh: 1/2, blocked: false}   "
        "# rusted through",
        "+        - {id: V1, wall: south, net_area: 40 sq in, from_corner: 24, mesh: 1/4, blocked: false}   "
        "# rusted through",
        "-      debris: true",
        "+      debris: false",
    ]
    assert sorted(one.name for one in tmp_path.iterdir()) == ["mended.site.yaml", "yard.site.yaml"]


def test_nothing_is_written_over_the_site_unless_asked(run: Command, small: Path) -> None:
    code, _, err = run(small, "--apply", 1, "-o", small)
    assert code == 2
    assert "--in-place" in err
    assert small.read_text("utf-8") == SMALL
    assert run(small, "--apply", 1)[0] == 2
    assert run(small, "--apply", 1, "-o", small.parent / "x", "--in-place")[0] == 2
    assert run(small, "-o", small.parent / "x")[0] == 2
    assert run(small, "--in-place")[0] == 2
    code, _, _ = run(small, "--apply", 1, "--in-place")
    assert code == 0
    assert small.read_text("utf-8") != SMALL
    assert small.read_text("utf-8").startswith("# a yard office; a comment on top\n")


def test_what_is_not_there_is_refused(run: Command, small: Path) -> None:
    code, _, err = run(small, "--apply", 99, "--in-place")
    assert code == 2
    assert "there is no repair 99" in err
    assert small.read_text("utf-8") == SMALL
    assert run(small, "--hold-point", "attic")[0] == 2
    assert run(small.parent / "nowhere.site.yaml")[0] == 2


def test_a_hold_point_narrows_the_list_and_keeps_the_numbers(run: Command, small: Path) -> None:
    every = json.loads(run(small, "--format", "json")[1])["repairs"]
    under = json.loads(run(small, "--format", "json", "--hold-point", "under-floor")[1])["repairs"]
    tile = json.loads(run(small, "--format", "json", "--hold-point", "tile")[1])["repairs"]
    numbers = {one["id"]: one["settles"] for one in every}
    assert under
    assert all(numbers[one["id"]] == one["settles"] for one in under)
    assert tile == []


def test_a_pack_of_its_own_brings_repairs_by_the_same_door(run: Command, small: Path, tmp_path: Path) -> None:
    pack = tmp_path / "alder" / "pack.yaml"
    pack.parent.mkdir()
    head = (
        'format: 1\npack: {id: alder, version: "1", title: Alder, place: Alder, level: county, edition: x, '
        "stands_on: [wood-floor-base], invented: true}\n"
    )
    mend = (
        "repairs:\n  new-vent:\n    says: Put a new vent in the place of {subject}.\n    does: set\n"
        "    with: {of: vent, set: {mesh: 1/8, net_area: 50 sq in}}\n    answers: [crawl-vent-mesh]\n"
        "    material: {words: a vent, effort: 1}\n    labour: anyone\n    invasive: 1\n"
        "    source: Alder custom\n    status: common practice, no source\n"
    )
    pack.write_text(head + mend, "utf-8")
    code, out, _ = run(small, "--format", "json", "--pack", pack)
    assert code == 0
    new = next(o for o in json.loads(out)["repairs"] if o["kinds"][0]["repair"] == "new-vent")
    assert new["kinds"][0]["pack"] == "alder"
    assert new["actions"] == ["Put a new vent in the place of vent V1."]
    pack.write_text(head + mend.replace("does: set", "does: magic"), "utf-8")
    code, out, _ = run(small, "--format", "json", "--pack", pack)
    assert code == 3
    assert "nothing is called 'magic'" in json.loads(out)["failures"][0]["message"]
    pack.write_text(head + mend.replace("of: vent, ", ""), "utf-8")  # the action's own settings are wrong
    code, out, _ = run(small, "--format", "json", "--pack", pack)
    assert code == 3
    assert json.loads(out)["failures"][0]["pack"] == "alder"
    assert json.loads(out)["repairs"]
    pack.write_text(head + mend.replace("crawl-vent-mesh", "no-such-rule"), "utf-8")
    code, _, err = run(small, "--pack", pack)
    assert code == 2
    assert "no-such-rule" in err


def test_a_repair_for_a_rule_that_is_not_in_force_is_left_out_with_a_word(packs: LoadedPacks) -> None:
    """The rule is known, from an edition that the site does not stand on: no pack failed."""
    (base,) = (pack for pack in packs.packs if pack.id == "wood-floor-base")
    mend = next(one for one in base.repairs.values() if "crawl-vent-mesh" in one.answers)
    old = Pack("alder-2018", "1", "Alder, before", API_VERSION, (replace(base.rules[0], id="old-rule"),),
               stands_on=(base.id,))  # fmt: skip
    site = site_from_text(SMALL, "small")

    def offered(*answers: str) -> Proposal:
        repairs = {"mend": replace(mend, id="mend", answers=answers)}
        firm = Pack("firm", "1", "A firm", API_VERSION, stands_on=(base.id,), repairs=repairs)
        return propose(site, LoadedPacks((base, old, firm), (), Choice(on_top=("firm",))), plans=False)

    left = offered("old-rule")
    assert left.failures == ()
    word = "firm: repair mend is left out: it answers old-rule of alder-2018, which is not in force here"
    assert left.left_out == (word,)
    assert repair_data(left)["left_out"] == [word]
    assert "Note: firm: repair mend is left out" in repair_text(left)
    assert offered("old-rule", *mend.answers).left_out == ()
    assert [one.why for one in offered("no-such-rule").failures] == ["repair mend: no pack has rule no-such-rule"]


def test_text_fits_80_columns_and_says_how_to_read_it(packs: LoadedPacks, cottage: tuple[Proposal, str]) -> None:
    hostile = SMALL.replace("Yard office", "'Yard \\u2028 office " + "x" * 90 + "'").replace(
        "V1", "'V\U0001f6aa{subject}'"
    )
    for proposal in (cottage[0], propose(site_from_text(hostile, "f" * 200), packs)):
        text = repair_text(proposal)
        assert all(columns(line) <= 80 for line in text.split("\n"))
        assert "plans: measure again" in text
        assert "No proven repair" in text or not proposal.unsettled
        assert repair_text(proposal, "tile") != text
        json.dumps(repair_data(proposal, "tile"))


def test_a_terminal_sees_how_far_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with _progress() as told:
        assert told is not None
        told(1, 2)
        told(2, 2)
    assert "trying repairs" in screen.getvalue()
