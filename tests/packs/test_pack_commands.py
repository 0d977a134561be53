"""`inspect-core pack …`: from a new folder to a proven pack, as somebody who never wrote one would go about it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import venv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from inspect_core.cli import main
from inspect_core.engine import LoadedPacks, conformity
from inspect_core.engine.conformity import pack_checks
from inspect_core.rules_api import API_VERSION, Pack, Provision
from inspect_core.site import schema

ROOT = Path(__file__).parents[2]
WHY = "because: a reason, citation: Local Code 1"
PROVISION = "topic: plumbing, says: Pipes are strapped, source: Local Code 1, status: read from text"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Exit code, output and errors of a command in the test's folder."""
    monkeypatch.chdir(tmp_path)

    def command(*arguments: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as stop:
            main([*arguments])
        captured = capsys.readouterr()
        assert isinstance(stop.value.code, int)
        return stop.value.code, captured.out, captured.err

    return command


@pytest.fixture
def floor(tmp_path: Path, site_of: Any) -> Path:
    file = tmp_path / "floor.site.yaml"
    file.write_text(
        yaml.safe_dump(site_of({"/areas/0/joists/0/each/bearing/S2": "3 1/2"}).document.data, sort_keys=False)
    )
    return file


# --- a newcomer's walk-through (README, "Write your county's pack") ---


def test_a_newcomers_walk_through(run: Run, floor: Path, tmp_path: Path) -> None:
    # A folder to start from, which passes at once.
    code, out, _ = run("pack", "new", "--kind", "yaml", "bramble_county")
    assert (code, out) == (0, "wrote bramble_county; change it, then: inspect-core pack test bramble_county\n")
    code, out, _ = run("pack", "test", "bramble_county")
    assert code == 0
    assert out.endswith(" hold, 0 fail\n")

    # The floor has 3 1/2 in on masonry: enough for the model code, too little for the pack as it comes.
    code, out, _ = run("check", "floor.site.yaml", "--pack", "bramble_county", "--format", "json")
    assert code == 1
    assert bearing_of(out) == ("falls-short", 4.0, "bramble-county")

    # One number changed: its cases say so, until they are changed too.
    pack = tmp_path / "bramble_county" / "pack.yaml"
    pack.write_text(pack.read_text().replace("{masonry: 4 in}", "{masonry: 3 1/2 in}"))
    code, out, _ = run("pack", "test", "bramble_county")
    assert code == 1
    assert "enough for the model code, too little here" in out
    cases = tmp_path / "bramble_county" / "cases.yaml"
    cases.write_text(cases.read_text().replace("bearing/B1: 3 7/8", "bearing/B1: 3 3/8"))
    code, out, _ = run("pack", "test", "bramble_county")
    assert code == 0
    code, out, _ = run("check", "floor.site.yaml", "--pack", "bramble_county", "--format", "json")
    assert bearing_of(out) == ("meets", 3.5, "bramble-county")

    # What it changes, and from what.
    code, out, _ = run("pack", "show", "bramble_county", "--limits")
    assert code == 0
    assert "  bearing/masonry: 3 1/2 in\n    was 3 in by wood-floor-base\n" in out

    # Given to colleagues: a configuration above the site files names it, and sites get it by themselves.
    (tmp_path / "inspect-core.yaml").write_text("format: 1\npack_folders: [bramble_county]\npacks: [bramble-county]\n")
    code, out, _ = run("check", "floor.site.yaml", "--format", "json")
    assert bearing_of(out) == ("meets", 3.5, "bramble-county")
    code, out, _ = run("pack", "list")
    assert code == 0
    assert "bramble-county 0.1: Bramble county (invented)" in out


def bearing_of(out: str) -> tuple[str, float, str]:
    findings = json.loads(out)["findings"]
    (found,) = [f for f in findings if f["rule"] == "joist-bearing" and "S2" in f["subject"]]
    return found["outcome"], found["limit"]["value"], found["limit"]["set_by"]


# --- new ---


@pytest.mark.parametrize("kind", ["yaml", "python"])
def test_a_fresh_pack_passes_from_elsewhere_too(
    run: Run, kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = f"fresh-{kind}-pack"
    assert run("pack", "new", "--kind", kind, name)[0] == 0
    away = tmp_path / "away"
    away.mkdir()
    monkeypatch.chdir(away)
    monkeypatch.setattr(sys, "path", [*sys.path])
    checks = pack_checks(tmp_path / name)
    assert [checked for checked in checks if checked.problems] == []
    assert len(checks) > 10


NAMES = {
    "../up": "can't be a pack's name",
    "9 lives": "can't be a pack's name",
    "": "can't be a pack's name",
    "ok/no": "can't be",
}


@pytest.mark.parametrize("name", NAMES)
def test_names_that_are_no_pack_names(run: Run, name: str) -> None:
    code, _, error = run("pack", "new", "--kind", "yaml", name)
    assert code == 2
    assert NAMES[name] in error


def test_a_folder_that_is_there_already_is_left_alone(run: Run, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    code, _, error = run("pack", "new", "--kind", "yaml", "mine")
    assert (code, [*(tmp_path / "mine").iterdir()]) == (2, [])
    assert "is there already" in error


# --- test ---

BROKEN = {
    "no cases": ("", None, "there are no cases: write cases.yaml beside the pack"),
    "one side only": (
        f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}",
        [{"name": "x", "rule": "joist-bearing", "expect": {"S1": "meets", "S2": "meets"}}],
        "limit bearing/wood: no case in which it falls-short; or name it under `exempt`",
    ),
    "a limit that nothing shows": (
        f"limits: {{large-hole: {{value: 1/8, {WHY}}}}}",
        [{"name": "x", "rule": "hole-clear-of-bearing", "expect": {}}],
        "limit large-hole: no case in which it meets nor one in which it falls-short",
    ),
    "an expectation that is not met": (
        "",
        [{"name": "x", "rule": "joist-bearing", "expect": {"S1": "falls-short", "S2": "meets"}}],
        "south end on S1: expected falls-short, found meets",
    ),
    "a finding that nobody expected": (
        "",
        [{"name": "x", "rule": "joist-bearing", "expect": {"S1": "meets"}}],
        "north end on S2: expected no finding, found meets",
    ),
    "a rule that is not there": (
        "",
        [{"name": "x", "rule": "no-such-rule", "expect": {}}],
        "there is no rule no-such-rule",
    ),
    "tighter, it says": (
        f"limits: {{bearing: {{values: {{wood: 1 in}}, effect: tighter, {WHY}}}}}",
        [{"name": "x", "rule": "joist-bearing", "expect": {"S1": "meets", "S2": "meets"}}],
        "limit bearing/wood: it is said to be tighter, and it is looser",
    ),
    "no cases of its rule": (
        "documents: {paper: {says: A paper., kinds: [permit], hold_point: final, severity: correction, citation: L 1}}",
        [{"name": "x", "rule": "joist-bearing", "expect": {"S1": "meets", "S2": "meets"}}],
        "rule paper: no case in which it meets",
    ),
    "no date": ("", [], "it does not say its effective"),
    "a provision that nothing covers": (
        f"provisions: {{straps: {{{PROVISION}}}}}",
        [],
        "provision straps: no rule and no limit names it, and it gives no reason",
    ),
    "a reason for what is covered": (
        f"provisions: {{straps: {{reason: too far, {PROVISION}}}}}\n"
        f"limits: {{bearing: {{values: {{wood: 2 in}}, provisions: [straps], {WHY}}}}}",
        [],
        "provision straps: it gives a reason for not being covered, and it is",
    ),
    "a correction on what is from memory": (
        f"provisions: {{straps: {{{PROVISION.replace('read from text', 'from memory')}}}}}\n"
        "documents: {paper: {says: A paper., kinds: [permit], hold_point: final, severity: correction,"
        " citation: L 1, provisions: [straps]}}",
        [],
        "rule paper: what it checks is from memory only",
    ),
}
SUBJECTS = {"S1": "joist J1, south end on S1", "S2": "joist J1, north end on S2"}


@pytest.mark.parametrize(("body", "cases", "problem"), BROKEN.values(), ids=BROKEN)
def test_what_is_wrong_with_a_pack_is_told(
    alder: Any, site_of: Any, run: Run, body: str, cases: list[Any] | None, problem: str
) -> None:
    folder = alder.write(body)
    if cases is not None:
        named = [{**c, "expect": {SUBJECTS[k]: v for k, v in c["expect"].items()}} for c in cases]
        data = {"format": 1, "site": site_of().document.data, "cases": named}
        (Path(folder) / "cases.yaml").write_text(yaml.safe_dump(data, sort_keys=False))
    code, out, _ = run("pack", "test", folder, "--format", "json")
    assert code == 1
    problems = [text for checked in json.loads(out)["checks"] for text in checked["problems"]]
    assert any(problem in text for text in problems), problems


def test_a_case_file_that_is_wrong_has_a_place(alder: Any, run: Run) -> None:
    folder = alder.write("")
    (Path(folder) / "cases.yaml").write_text("format: 1\nsite: {}\ncases:\n  - {nam: x, rule: y, expect: {z: meet}}\n")
    code, _, error = run("pack", "test", folder)
    assert code == 2
    told = " ".join(error.split())
    assert "cases.yaml:4:6: there is no key 'nam' in entry 1 of 'cases'; did you mean 'name'?" in told
    assert "'meet' is not known as 'z'; did you mean 'meets'?" in told


def test_a_folder_without_a_pack(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    code, _, error = run("pack", "test", "empty")
    assert code == 2
    assert "there is no pack in this folder" in error


def test_a_pack_on_a_pack_is_tested_with_it(alder: Any, run: Run) -> None:
    state = alder.write(f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}", id="state", level="state")
    county = alder.write("", id="county", stands_on=["state"])
    assert run("pack", "test", county)[0] == 2
    code, out, _ = run("pack", "test", county, "--pack", state)
    assert code == 1
    assert "holds  it fits the packs below" in out


@pytest.mark.parametrize("name", ["alder_county", "steinmark"])
def test_the_example_packs_pass_their_own_test(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "path", [*sys.path])
    checks = pack_checks(ROOT / "rules" / name)
    assert {str(checked): checked.problems for checked in checks if checked.problems} == {}


# --- list, show, fields, schema ---


def test_show_in_json_has_the_chain_of_every_limit(alder: Any, run: Run) -> None:
    state = alder.write(f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}", id="state", level="state")
    county = alder.write(f"limits: {{bearing: {{values: {{wood: 3 in}}, {WHY}}}}}", id="county", stands_on=["state"])
    config = alder.folder / "inspect-core.yaml"
    config.write_text(f"format: 1\npack_folders: [{Path(state).name}, {Path(county).name}]\n")
    code, out, _ = run("pack", "show", "county", "--format", "json")
    assert code == 0
    data = json.loads(out)
    assert data["pack"]["stands_on"] == ["state"]
    (limit,) = data["limits"]
    assert limit["was"] == [{"set_by": "state", "value": "2 in"}, {"set_by": "wood-floor-base", "value": "1 1/2 in"}]
    assert {k: limit[k] for k in ("id", "value", "because", "source", "set_by")} == {
        "id": "bearing/wood", "value": "3 in", "because": "a reason", "source": "Local Code 1", "set_by": "county",
    }  # fmt: skip


def test_show_of_a_pack_that_is_not_there(run: Run) -> None:
    code, _, error = run("pack", "show", "nowhere")
    assert code == 2
    assert "there is no pack 'nowhere'; there is wood-floor-base" in " ".join(error.split())


@pytest.mark.parametrize("kind", ["layer", "water_pipe", "electrical", "fire"])
def test_fields_lists_every_field_of_the_schema(run: Run, kind: str) -> None:
    code, out, _ = run("pack", "fields", kind)
    assert code == 0
    for name in schema()["$defs"][kind]["properties"]:
        assert name == "note" or f"{name}: " in out
    assert kind in run("pack", "fields")[1]
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "did you mean 'layer'?" in run("pack", "fields", "layr")[2]
    assert "county: County." in run("pack", "fields")[1]


def test_the_schema_is_printed(run: Run) -> None:
    code, out, _ = run("pack", "schema")
    assert code == 0
    assert json.loads(out)["title"] == "Rule pack"


def test_a_check_and_a_measure_with_a_pack_say_the_same(alder: Any, run: Run, floor: Path) -> None:
    folder = alder.write(f"limits: {{bearing: {{values: {{masonry: 4 in}}, when: {{seismic: D1}}, {WHY}}}}}")
    code, out, _ = run("measure", "floor.site.yaml", "--pack", folder, "--format", "json")
    assert code == 0
    assert "place.seismic" in [m["field"] for m in json.loads(out)["measure"]]


def test_explain_knows_the_rules_of_a_named_pack(alder: Any, run: Run) -> None:
    folder = alder.write(
        "documents: {paper: {says: A paper must be there., kinds: [permit], hold_point: final, severity: correction, "
        "citation: Local Code 9}}"
    )
    code, out, _ = run("explain", "paper", "--pack", folder)
    assert code == 0
    assert "paper: A paper must be there." in out
    assert "Reference alder.paper: Local Code 9\n" in out


def test_explain_lists_the_provisions_of_a_yaml_pack_like_those_below(alder: Any, run: Run) -> None:
    folder = alder.write(
        f"""
        provisions:
          straps: {{{PROVISION}, editions: 2019 asked 6 ft}}
          colours: {{topic: paint, says: Pipes are   green, source: Local Code 2, status: computed, reason: no field}}
        new_rules:
          pipe-straps: {{says: So., for_each: water_pipe, check: {{field: supports_every, at_most: 4 ft}},
            hold_point: rough-plumbing, severity: correction, remedy: Strap it., citation: Local Code 1, provisions: [straps]}}
        limits: {{bearing: {{values: {{wood: 2 in}}, provisions: [straps], {WHY}}}}}
        """
    )
    before = json.loads(run("explain", "--provisions", "--format", "json")[1])
    code, out, error = run("explain", "--provisions", "--pack", folder, "--format", "json")
    assert code == 0, error
    rows = json.loads(out)
    assert [row["provision"] for row in rows] == [*(row["provision"] for row in before), "straps", "colours"]
    assert rows[-2:] == [
        {"provision": "straps", "rules": ["pipe-straps"], "data": "limit bearing", "reason": "", "topic": "plumbing",
         "says": "Pipes are strapped", "source": "Local Code 1", "status": "read from text",
         "editions": "2019 asked 6 ft"},
        {"provision": "colours", "rules": [], "data": "", "reason": "no field", "topic": "paint",
         "says": "Pipes are green", "source": "Local Code 2", "status": "computed", "editions": ""},
    ]  # fmt: skip
    text = run("explain", "--provisions", "--pack", folder)[1]
    assert "paint\n  colours: Pipes are green\n      neither: no field\n" in text
    assert "  straps: Pipes are strapped\n      rule pipe-straps; data limit bearing\n" in text


def test_provisions_that_a_python_pack_names_or_lists_wrongly(packs: LoadedPacks) -> None:
    """`pack test` looks at a Python pack's list by the same eyes."""
    below = tuple(one for one in packs.packs if one.id == "wood-floor-base")
    (known, *_) = below[0].provisions()
    rows = (known, Provision("straps", "plumbing", "Pipes are strapped", "Local Code 1", "computed"))
    limit = replace(next(iter(below[0].limits.values())), id="own", provisions=("strap",))
    pack = Pack("own", "1", "Own", API_VERSION, limits={"own": limit}, provisions=lambda: rows)
    assert list(conformity._provisions(pack, below)) == [
        f"provision {known.id}: wood-floor-base lists it already",
        "limit own: no pack lists provision strap",
        f"provision {known.id}: no rule and no limit names it, and it gives no reason",
        "provision straps: no rule and no limit names it, and it gives no reason",
    ]

    def broken() -> tuple[Provision, ...]:
        raise ValueError("provisions.csv, line 2: 7 columns belong here")

    unread = "a list of provisions can't be read: provisions.csv, line 2: 7 columns belong here"
    assert list(conformity._provisions(replace(pack, provisions=broken), below)) == [unread]


# --- diff ---


def test_what_differs_between_two_packs_and_on_a_site(alder: Any, run: Run, floor: Path) -> None:
    alder.write(f"limits: {{bearing: {{values: {{masonry: 3 1/2 in}}, {WHY}}}}}", id="here")
    alder.write(
        f"""
        limits: {{bearing: {{values: {{masonry: 4 in}}, {WHY}}}}}
        rules: {{ground-cover: {{severity: correction, when: {{radon: true}}, {WHY}}}}}
        """,
        id="there",
    )
    code, out, _ = run("pack", "diff", "./here", "./there", "--site", "floor.site.yaml", "--format", "json")
    assert code == 0
    data = json.loads(out)
    assert [(d["kind"], d["name"], d["where"], d["a"], d["b"]) for d in data["differences"]] == [
        ("limit", "bearing/masonry", "", "3 1/2 in", "4 in"),
        ("rule", "ground-cover", "where place.radon is yes", None, "severity correction"),
    ]
    assert [(f["rule"], f["subject"], f["a"], f["b"]) for f in data["findings"]] == [
        ("joist-bearing", "joist J1, north end on S2", "meets", "falls-short")
    ]
    code, out, _ = run("pack", "diff", "./here", "./there")
    assert "  bearing/masonry: 3 1/2 in -> 4 in\n" in out
    assert run("pack", "diff", "./here", "./here")[1] == "From ./here to ./here\nNothing differs.\n"


def test_an_edition_that_changes(alder: Any, run: Run, tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.mkdir()
    text = (Path(alder.write(f"limits: {{bearing: {{values: {{wood: 2 in}}, {WHY}}}}}")) / "pack.yaml").read_text()
    (old / "pack.yaml").write_text(text.replace("2 in", "1 in"))
    code, out, _ = run("pack", "diff", "./old", "./alder")
    assert code == 0
    assert "  bearing/wood: 1 in -> 2 in\n" in out


# --- reports ---


def test_packs_with_their_hashes_and_what_is_looser_stand_in_every_report(alder: Any, run: Run, floor: Path) -> None:
    folder = alder.write(f"limits: {{bearing: {{values: {{wood: 1 in}}, {WHY}}}}}")
    told = {
        form: run("check", "floor.site.yaml", "--pack", folder, "--format", form)[1]
        for form in ("text", "json", "markdown")
    }
    data = json.loads(told["json"])
    packs = {pack["id"]: pack for pack in data["packs"]}
    assert {pack["kind"] for pack in data["packs"]} == {"python", "yaml"}
    assert all(len(pack["hash"]) == 64 for pack in data["packs"])
    assert data["loosened"][0]["name"] == "bearing/wood"
    assert f"alder 1 (yaml, {packs['alder']['hash'][:12]})" in " ".join(told["text"].split())
    assert "Loosened: bearing/wood 1 in by alder, was 1 1/2 in by wood-floor-base: a reason" in " ".join(
        told["text"].split()
    )
    assert "Loosened\\: bearing/wood 1 in by alder, was 1 1/2 in by wood\\-floor\\-base\\: a reason" in told["markdown"]
    assert packs["alder"]["hash"][:12] in told["markdown"]
    assert run("check", "floor.site.yaml", "--pack", folder, "--format", "json")[1] == told["json"]


def test_a_bad_pack_file_is_the_users_input(alder: Any, run: Run, floor: Path) -> None:
    folder = alder.write("limts: {}")
    code, out, error = run("check", "floor.site.yaml", "--pack", folder)
    assert (code, out) == (2, "")
    assert "there is no key 'limts' at the top of the file; did you mean 'limits'?" in " ".join(error.split())


# --- installed packs ---


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., subprocess.CompletedProcess[str]]:
    """A virtual environment of its own with what inspect-core needs, and a way to run things in it."""
    home = tmp_path_factory.mktemp("fresh")
    venv.create(home / "env", with_pip=False, symlinks=True)
    python = home / "env" / "bin" / "python"
    (folder,) = (home / "env" / "lib").glob("python*/site-packages")
    ours = [path for path in sys.path if path.endswith("site-packages")]
    # The packages that the tests run with, read as site-packages, so that editable ones are found as well.
    lines = "".join(f"import site; site.addsitedir({path!r})\n" for path in ours)
    (folder / "what_inspect_core_needs.pth").write_text(lines)

    def command(*arguments: str, cwd: Path = home) -> subprocess.CompletedProcess[str]:
        clean = {k: v for k, v in os.environ.items() if not k.startswith(("PYTHON", "PIP", "COV"))}
        return subprocess.run(
            [str(python), *arguments], cwd=cwd, env=clean, capture_output=True, text=True, timeout=120
        )

    return command


def test_a_pack_built_as_a_wheel_is_found_and_run_in_a_fresh_environment(
    fresh: Callable[..., subprocess.CompletedProcess[str]], tmp_path: Path, site_of: Any
) -> None:
    import shutil

    source = tmp_path / "steinmark"
    shutil.copytree(ROOT / "rules" / "steinmark", source, ignore=shutil.ignore_patterns("__pycache__"))
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check"]
    built = subprocess.run(
        [*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(tmp_path), str(source)],
        capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("*.whl")
    before = fresh("-m", "inspect_core", "pack", "list", "--format", "json")
    assert [pack["id"] for pack in json.loads(before.stdout)["packs"]] == ["wood-floor-base"]
    where = fresh("-c", "import sys; print(sys.executable)").stdout.strip()
    done = subprocess.run(
        [*pip, "--python", where, "install", "--no-deps", "--no-index", str(wheel)],
        capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    listed = json.loads(fresh("-m", "inspect_core", "pack", "list", "--format", "json").stdout)
    assert [(p["id"], p["kind"]) for p in listed["packs"]] == [("steinmark", "python"), ("wood-floor-base", "python")]
    floor = tmp_path / "floor.site.yaml"
    data = site_of(
        {"/packs": ["steinmark"], "/areas/0/joists/0/each/bearing": {"S1": "44 mm", "S2": "90 mm"}}
    ).document.data
    floor.write_text(yaml.safe_dump(data, sort_keys=False))
    checked = fresh("-m", "inspect_core", "check", str(floor), "--format", "json")
    assert checked.returncode == 1, checked.stderr
    report = json.loads(checked.stdout)
    outcomes = {
        f["subject"]: (f["outcome"], f["limit"]["set_by"]) for f in report["findings"] if f["rule"] == "joist-bearing"
    }
    assert outcomes == {
        "joist J1, south end on S1": ("falls-short", "steinmark"),
        "joist J1, north end on S2": ("meets", "steinmark"),
    }
    assert {f["rule"] for f in report["findings"]} >= {"steinmark-notch-reach", "steinmark-hole-distance"}
    (ours,) = [p for p in report["packs"] if p["id"] == "steinmark"]
    assert (ours["kind"], len(ours["hash"])) == ("python", 64)


@pytest.mark.parametrize(
    ("api", "why"),
    [
        (0, "it was written for pack API 0, this is 1: it needs to be brought up to date"),
        (2, "it was written for pack API 2, this is 1: it needs a newer inspect-core"),
    ],
)
def test_a_pack_for_another_api_is_refused_with_a_clear_message(
    run: Run, floor: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, api: int, why: str
) -> None:
    """End to end: an installed distribution, found by its entry point, while the other packs still run."""
    home = tmp_path / "installed"
    info = home / f"antique_{api}-1.0.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: antique-{api}\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(f"[inspect_core.packs]\nantique = antique_pack_{api}\n")
    (home / f"antique_pack_{api}.py").write_text(
        "from inspect_core.rules_api import Pack, hookimpl\n"
        f"@hookimpl\ndef inspect_pack():\n    return Pack(id='antique', version='1', title='Old', api={api})\n"
    )
    monkeypatch.syspath_prepend(str(home))
    code, out, _ = run("check", "floor.site.yaml", "--format", "json")
    assert code == 3
    data = json.loads(out)
    assert [f["message"] for f in data["failures"]] == [why]
    assert data["failures"][0]["pack"].startswith("antique (")
    assert data["findings"]  # the base pack ran
    code, _, error = run("pack", "list")
    assert code == 3
    assert why in " ".join(error.split())
    code, _, error = run("pack", "show", "antique")
    assert code == 2
    assert why in " ".join(error.split())
