"""Reading YAML packs: every mistake is told with its line and column, what was expected, and what was likely meant."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks
from inspect_core.engine.chosen import packs_for
from inspect_core.engine.hashes import content_hash, kind_of
from inspect_core.engine.yaml_pack import MOST_BYTES, pack_schema_text
from inspect_core.site import InputError
from inspect_core.site.convert import compile_schema

WHY = "because: a reason, citation: Local Code 1"
PROVISION = "topic: plumbing, says: Pipes are strapped, source: Local Code 1, status: read from text"
RULE = "says: So., hold_point: under-floor, severity: correction, remedy: Mend it., citation: L 1"


def test_the_schema_is_whole_and_within_the_subset() -> None:
    from jsonschema import Draft202012Validator

    schema = json.loads(pack_schema_text())
    Draft202012Validator.check_schema(schema)
    compile_schema(schema)

    def undescribed(part: Any, at: str) -> list[str]:
        found = []
        for name, one in part.get("properties", {}).items():
            if "description" not in one and "$ref" not in one:
                found.append(f"{at}/{name}")
            found += undescribed(one, f"{at}/{name}")
        return found

    assert undescribed(schema, "") == []
    assert [n for n, d in schema["$defs"].items() if "description" not in d or undescribed(d, n)] == []


def test_examples_of_the_schema_fit_it() -> None:
    from jsonschema import Draft202012Validator

    schema = json.loads(pack_schema_text())

    def wrong(part: Any) -> list[Any]:
        found = []
        if isinstance(part, dict):
            for example in part.get("examples", []) if isinstance(part.get("examples"), list) else []:
                whole = {**part, "$defs": schema["$defs"]}
                if not Draft202012Validator(whole).is_valid(example):
                    found.append(example)
            for one in part.values():
                found += wrong(one)
        return found

    assert wrong(schema) == []


MISTAKES = {
    'unknown key at the top': ('§limts: {}', "there is no key 'limts' at the top of the file; did you mean 'limits'?"),
    'unknown limit': (f'limits:\n  §baering: {{value: 3 in, {WHY}}}', "there is no limit 'baering'; did you mean 'bearing'?"),
    'unknown key of a table': (f'limits:\n  bearing: {{values: {{§wod: 3 in}}, {WHY}}}', "there is no key 'wod' in limit bearing; did you mean 'wood'?"),
    'one value for a table': (f'limits:\n  bearing: {{§value: 3 in, {WHY}}}', 'limit bearing is a table by surface: wood, steel, masonry, concrete'),
    'a table for one value': (f'limits:\n  hole-edge: {{§values: {{a: 3 in}}, {WHY}}}', 'limit hole-edge is one value'),
    'no unit': (f'limits:\n  hole-edge: {{§value: 3, {WHY}}}', "'3' can't be read as a length"),
    'another unit': (f'limits:\n  hole-edge: {{§value: 3 psf, {WHY}}}', "'3 psf' can't be read as a length"),
    'an estimate': (f'limits:\n  hole-edge: {{§value: ~3 in, {WHY}}}', "'~3 in' can't be read as a length"),
    'no reason': ('limits:\n  §hole-edge: {value: 3 in, citation: x}', "the key 'because' is missing in 'hole-edge'"),
    'no citation': ('limits:\n  §hole-edge: {value: 3 in, because: x}', "the key 'citation' is missing in 'hole-edge'"),
    'unknown rule': (f'rules:\n  §joist-baring: {{off: true, {WHY}}}', "there is no rule 'joist-baring'; did you mean 'joist-bearing'?"),
    'nothing changes': (f'rules:\n  §joist-bearing: {{{WHY}}}', 'nothing changes for rule joist-bearing'),
    'unknown severity': (f'rules:\n  joist-bearing: {{severity: §stopwork, {WHY}}}', "'stopwork' is not known as 'severity'; did you mean 'stop-work'?"),
    'unknown hold point': (f'rules:\n  joist-bearing: {{§hold_point: under-flor, {WHY}}}', "there is no hold point 'under-flor'; did you mean 'under-floor'?"),
    'unknown caution': (f'rules:\n  joist-bearing: {{cautions: [§crawl-spase], {WHY}}}', "there is no caution 'crawl-spase'; did you mean 'crawl-space'?"),
    'unknown reference': ('references:\n  §floor.joist-baring: x', "there is no reference 'floor.joist-baring'; did you mean 'floor.joist-bearing'?"),
    'unknown topic': (f'handovers:\n  - {{topics: [§notch-bor], to: x, {WHY}}}', "there is no topic 'notch-bor'; did you mean 'notch-bore'?"),
    'unknown condition': (f'limits:\n  hole-edge: {{value: 3 in, when: {{§biult: 1978}}, {WHY}}}', "there is no condition 'biult'; did you mean 'built'?"),
    'unknown word in a condition': (f'limits:\n  hole-edge: {{value: 3 in, when: {{§seismic: D5}}, {WHY}}}', "there is no place.seismic 'D5'"),
    'a comparison that makes no sense': (f'limits:\n  hole-edge: {{value: 3 in, when: {{county: {{§over: 3}}}}, {WHY}}}', "over can't be asked of place.county"),
    'a reference that depends on work': ('sections:\n  - {title: t, when: {work: new}, references: {§floor.notches: x}}', "a reference holds for a whole site, so it can't depend on an area or on the kind of work"),
    'no date': (f'limits:\n  hole-edge: {{value: 3 in, §effective: 1 May 2026, {WHY}}}', "'1 May 2026' is no date"),
    'unknown kind of thing': (f'new_rules:\n  one: {{§for_each: joists, check: {{field: moisture, at_most: 19 %}}, {RULE}}}', "there is no kind of thing 'joists'; did you mean 'joist'?"),
    'unknown field': (f'new_rules:\n  one: {{for_each: joist, check: {{§field: moistre, at_most: 19 %}}, {RULE}}}', "there is no field 'moistre' in joist; did you mean 'moisture'?"),
    'no comparison': (f'new_rules:\n  one: {{for_each: joist, §check: {{field: moisture}}, {RULE}}}', 'check needs one comparison'),
    'words for a quantity': (f'new_rules:\n  one: {{for_each: joist, check: {{field: moisture, §one_of: [dry]}}, {RULE}}}', "moisture can't be compared by one_of"),
    'a share of something else': (f'new_rules:\n  one: {{for_each: notch, check: {{field: depth, at_most: {{fraction: 1/6, §of: edge}}}}, {RULE}}}', 'edge is no length'),
    'a rule that is there': (f'new_rules:\n  §joist-bearing: {{for_each: joist, check: {{field: moisture, at_most: 19 %}}, {RULE}}}', 'a pack below has a rule joist-bearing already'),
    "a parameter that is not the place's": ('parameters:\n  §forst_depth: 3 ft', "there is no parameter 'forst_depth'; did you mean 'frost_depth'?"),
    'a hold point nowhere': ('hold_points:\n  - §{id: x, because: y}', 'hold point x needs one of before, after, into'),
    'the same limit twice': (f'limits:\n  hole-edge: {{value: 3 in, {WHY}}}\n  §hole-edge: {{value: 2 in, {WHY}}}', None),
    'the same limit under the same conditions': (f'sections:\n  - title: t\n    when: {{radon: true}}\n    limits: {{hole-edge: {{value: 3 in, {WHY}}}}}\n  - title: t\n    when: {{radon: true}}\n    limits: {{§hole-edge: {{value: 2 in, {WHY}}}}}', 'limit hole-edge is set twice under the same conditions'),
    'a provision that nobody lists': (f'limits:\n  hole-edge: {{value: 3 in, provisions: [§ground-cover-thik], {WHY}}}', "there is no provision 'ground-cover-thik'; did you mean 'ground-cover-thick'?"),
    'a rule with a provision that nobody lists': (f'new_rules:\n  one: {{for_each: joist, check: {{field: moisture, at_most: 19 %}}, provisions: [local, §starps], {RULE}}}\nprovisions: {{straps: {{{PROVISION}}}}}', "there is no provision 'starps'; did you mean 'straps'?"),
    'a provision of a pack below': (f'provisions:\n  §ground-cover-thick: {{{PROVISION}}}', 'wood-floor-base lists a provision ground-cover-thick already'),
    'a provision twice': (f'provisions:\n  straps: {{{PROVISION}}}\n  §straps: {{{PROVISION}}}', None),
    'a provision without a source': ('provisions:\n  §straps: {topic: a, says: b, status: computed}', "the key 'source' is missing in 'straps'"),
    'a provision of unknown status': ('provisions:\n  straps: {topic: a, says: b, source: c, status: §guessed}', None),
    'an anchor': ('limits: §&a {}', None),
    'a tag': ('limits: §!!python/object:os.system {}', None),
}  # fmt: skip
"""Bodies with a § where the mistake is told to be; the sentence, where it is the pack's own."""


@pytest.mark.parametrize(("marked", "message"), MISTAKES.values(), ids=MISTAKES)
def test_mistakes_have_a_place_and_a_hint(alder: Any, marked: str, message: str | None) -> None:
    folder = Path(alder.write(marked))
    before, _, _ = (folder / "pack.yaml").read_text("utf-8").partition("§")
    place = (before.count("\n") + 1, len(before) - before.rfind("\n"))
    found = alder.refused(marked.replace("§", ""))
    assert place in [one[:2] for one in found]
    if message is not None:
        assert found == [(*place, message)]


def test_everything_is_told_at_once(alder: Any) -> None:
    found = alder.refused(
        f"""
        limits:
          baering: {{value: 3 in, {WHY}}}
          hole-edge: {{value: 3, {WHY}}}
        rules:
          joist-baring: {{off: true, {WHY}}}
        """
    )
    lines = [line for line, _, _ in found]
    assert [n - lines[0] for n in lines] == [0, 1, 3]


HEADERS = {
    "no id": ({"id": None}, "the key 'id' is missing in 'pack'"),
    "version as a number": ({"version": 2026.1}, "'version' should be text, not the number 2026.1"),
    "an id that is no id": (
        {"id": "Alder County"},
        "pack id 'Alder County' should be lower-case words joined by hyphens",
    ),
    "an unknown level": ({"level": "village"}, "'village' is not known as 'level'"),
    "an unknown parent": (
        {"stands_on": ["wood-flor-base"]},
        "there is no pack 'wood-flor-base', neither installed nor named; did you mean 'wood-floor-base'?",
    ),
    "a date that is none": ({"effective": "spring"}, "'spring' is no date"),
    "an end before its start": (
        {"effective": "2026-01-01", "expires": "2025-01-01"},
        "the pack expires on 2025-01-01, before it is in force on 2026-01-01",
    ),
    "on itself": ({"stands_on": ["alder"]}, "packs stand on one another in a circle: alder on alder"),
}


@pytest.mark.parametrize(("header", "message"), HEADERS.values(), ids=HEADERS)
def test_headers_that_are_wrong(alder: Any, header: dict[str, Any], message: str) -> None:
    if header.get("id") == "Alder County":
        (alder.folder / "Alder County").mkdir()
    folder = alder.write("", **header) if "id" not in header else alder.write("")
    if "id" in header:
        text = (
            (Path(folder) / "pack.yaml")
            .read_text()
            .replace("  id: alder\n", "" if header["id"] is None else f"  id: {header['id']}\n")
        )
        (Path(folder) / "pack.yaml").write_text(text)
    with pytest.raises(InputError) as caught:
        alder.load(folder)
    assert [p.message for p in caught.value.problems] == [message]
    assert all(p.line > 0 for p in caught.value.problems)


def test_a_circle_of_packs(alder: Any) -> None:
    paths = [alder.write("", id=a, stands_on=[b]) for a, b in (("one", "two"), ("two", "three"), ("three", "one"))]
    with pytest.raises(InputError, match="in a circle: one on two on three on one"):
        alder.load(*paths)


def test_bare_numbers_take_the_units_that_the_pack_names(alder: Any) -> None:
    body = f"limits: {{hole-edge: {{value: 50, {WHY}}}}}"
    metric = alder.pack(body, units="mm").sections[0].limits["hole-edge"].values[""]
    imperial = alder.pack(body, units="in").sections[0].limits["hole-edge"].values[""]
    assert (round(metric.low, 4), imperial.low) == (1.9685, 50.0)


def test_a_new_key_of_a_table_is_asked_for(alder: Any) -> None:
    body = f"limits: {{bearing: {{values: {{adobe: 6 in}}, adds: true, {WHY}}}}}"
    assert alder.pack(body).sections[0].limits["bearing"].values["adobe"].low == 6


# --- what a pack file may be ---


def test_a_link_is_refused(alder: Any, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere.yaml"
    elsewhere.write_text((Path(alder.write("")) / "pack.yaml").read_text())
    folder = tmp_path / "linked"
    folder.mkdir()
    (folder / "pack.yaml").symlink_to(elsewhere)
    with pytest.raises(InputError, match="must not be a link"):
        alder.load(str(folder))


def test_linked_cases_are_refused(alder: Any, tmp_path: Path) -> None:
    from inspect_core.engine.conformity import pack_checks

    folder = Path(alder.write(""))
    secret = tmp_path / "secret.yaml"
    secret.write_text("format: 1\nsite: {}\ncases: []\n")
    (folder / "cases.yaml").symlink_to(secret)
    with pytest.raises(InputError, match=r"case\s+file\s+must\s+not\s+be\s+a\s+link"):
        pack_checks(folder)


def test_a_file_of_unreasonable_size_is_refused(alder: Any) -> None:
    folder = Path(alder.write(""))
    with (folder / "pack.yaml").open("a") as file:
        file.write("#" + "x" * MOST_BYTES)
    with pytest.raises(InputError, match="too large"):
        alder.load(str(folder))


@pytest.mark.parametrize("text", ["{limits: {0.__class__}}", "%(x)s {x!r} ${HOME}", "__import__('os').system('true')"])
def test_texts_of_a_pack_are_never_more_than_texts(alder: Any, text: str) -> None:
    body = f"""
    rules:
      ground-cover: {{severity: correction, remedy: {json.dumps(text)}, because: {json.dumps(text)}, citation: {json.dumps(text)}}}
    """
    found = alder.run(body).one("ground-cover")
    assert found.remedy == text


def test_the_hash_is_of_the_file_and_changes_with_it(alder: Any) -> None:
    folder = Path(alder.write(""))
    pack = alder.pack("")
    assert (kind_of(pack), content_hash(pack)) == (
        "yaml",
        hashlib.sha256((folder / "pack.yaml").read_bytes()).hexdigest(),
    )
    assert content_hash(alder.pack("parameters: {county: X}")) != content_hash(pack)


def test_the_hash_of_a_python_pack_counts_code_and_data_only(packs: LoadedPacks, tmp_path: Path) -> None:
    from inspect_core.engine.hashes import hash_of

    (base,) = [p for p in packs.packs if p.id == "wood-floor-base"]
    assert kind_of(base) == "python"
    assert len(content_hash(base) or "") == 64
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "a.py").write_text("x = 1\n")
    first = hash_of(str(tmp_path / "p"))
    (tmp_path / "p" / "notes.txt").write_text("no part of it")
    (tmp_path / "p" / "__pycache__").mkdir()
    (tmp_path / "p" / "__pycache__" / "a.py").write_text("compiled")
    hash_of.cache_clear()
    assert hash_of(str(tmp_path / "p")) == first
    (tmp_path / "p" / "d.yaml").write_text("limits: {}\n")
    hash_of.cache_clear()
    assert hash_of(str(tmp_path / "p")) != first


def test_two_packs_of_one_name(alder: Any, tmp_path: Path) -> None:
    one = alder.write("")
    other = tmp_path / "other"
    other.mkdir()
    (other / "pack.yaml").write_text((Path(one) / "pack.yaml").read_text() + "parameters: {county: X}\n")
    with pytest.raises(InputError, match="another pack called alder stands in"):
        alder.load(one, str(other))
    assert packs_for(None, (one, one), installed=alder.installed).choice.command == ("alder", "alder")
