"""Loading packs: every way in which one can be broken is told with its name, and the others still load."""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable
from importlib.metadata import EntryPoint
from itertools import permutations
from typing import Any

import pytest

from inspect_core.engine import LoadedPacks, PackFailure, field_schema, load_packs
from inspect_core.engine.loading import field_exists, missing_names, pack_faults
from inspect_core.rules_api import Check, LimitDef, Named, Pack, Rule, not_measured
from inspect_core.rules_api.vocabulary import STATUSES
from inspect_core.site import schema

Entry = Callable[..., EntryPoint]

GOOD = """
from inspect_core.rules_api import API_VERSION, Pack, hookimpl
PACK = Pack(id="{id}", version="1.0", title="Good", api=API_VERSION)
@hookimpl
def inspect_pack():
    return PACK
"""
HEAD = "from inspect_core.rules_api import *\n@hookimpl\ndef inspect_pack():\n    "


def good(id: str = "good") -> str:
    return GOOD.replace("{id}", id)


def pack_of(entry: EntryPoint) -> Pack:
    pack = importlib.import_module(entry.value).PACK
    assert isinstance(pack, Pack)
    return pack


def test_a_good_pack(entry: Entry) -> None:
    one = entry(good())
    assert load_packs([one]) == LoadedPacks((pack_of(one),), ())


def test_no_packs() -> None:
    assert load_packs([]) == LoadedPacks((), ())


def test_packs_are_ordered_by_id_however_they_were_found(entry: Entry) -> None:
    found = [entry(good(id), name) for id, name in (("m-pack", "zz"), ("a-pack", "mm"), ("z-pack", "aa"))]
    wanted = LoadedPacks((pack_of(found[1]), pack_of(found[0]), pack_of(found[2])), ())
    assert [load_packs(order) for order in permutations(found)] == [wanted] * 6


TYPE_ERROR = "could not be loaded: TypeError: "
NO_PACK = TYPE_ERROR + "its inspect_pack must return one inspect_core.rules_api.Pack"
BROKEN = {
    "import error": ("import no_such", "could not be loaded: ModuleNotFoundError: No module named 'no_such'"),
    "error while importing": ("1 / 0", "could not be loaded: ZeroDivisionError: division by zero"),
    "error of several lines": ("raise ValueError('one\\n  two')", "could not be loaded: ValueError: one two"),
    "exit while importing": ("import sys; sys.exit(0)", "could not be loaded: SystemExit: 0"),
    "exit in the hook": (HEAD + "raise SystemExit(5)", "could not be loaded: SystemExit: 5"),
    "error in the hook": (HEAD + "raise RuntimeError('oh')", "could not be loaded: RuntimeError: oh"),
    "nothing in it": ("", TYPE_ERROR + "it has no inspect_pack marked with inspect_core.rules_api.hookimpl"),
    "no marker": (
        "def inspect_pack(): pass",
        TYPE_ERROR + "it has no inspect_pack marked with inspect_core.rules_api.hookimpl",
    ),
    "marker of another project": (
        "import pluggy\n@pluggy.HookimplMarker('other')\ndef inspect_pack(): pass",
        TYPE_ERROR + "it has no inspect_pack marked with inspect_core.rules_api.hookimpl",
    ),
    "returns nothing": (HEAD + "return None", NO_PACK),
    "returns text": (HEAD + "return 'pack'", NO_PACK),
    "returns a list": (HEAD + "return []", NO_PACK),
    "not even the right arguments": (
        HEAD + "return Pack(name='x')",
        TYPE_ERROR + "Pack.__init__() got an unexpected keyword argument 'name'",
    ),
    "an id that is no text": (
        HEAD + "return Pack(id=7, version='1', title='', api=1)",
        TYPE_ERROR + "expected string or bytes-like object, got 'int'",
    ),
    "rules that are none": (
        HEAD + "return Pack(id='x', version='1', title='', api=1, rules=('rule',))",
        "could not be loaded: AttributeError: 'str' object has no attribute 'id'",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("source", "why"), BROKEN.values(), ids=BROKEN)
def test_a_broken_pack_is_told_and_the_others_load(entry: Entry, source: str, why: str) -> None:
    first, broken, last = entry(good("a-pack"), "a"), entry(source, "b"), entry(good("z-pack"), "z")
    assert load_packs([last, broken, first]) == LoadedPacks(
        (pack_of(first), pack_of(last)), (PackFailure(f"?: b = {broken.value}", why),)
    )


@pytest.mark.parametrize(
    ("source", "complaint"),
    [
        (HEAD.replace("inspect_pack", "inspect_pak") + "pass", "unknown hook 'inspect_pak' in plugin .*"),
        (HEAD.replace("k()", "k(site)") + "pass", r"Plugin '.*' for hook 'inspect_pack' .*\{'site'\}.*"),
    ],
    ids=["misspelt", "with an argument"],
)  # fmt: skip
def test_a_hook_that_is_none_of_ours(entry: Entry, source: str, complaint: str) -> None:
    found = load_packs([entry(source)])
    assert (found.packs, len(found.failures)) == ((), 1)
    assert re.fullmatch("could not be loaded: PluginValidationError: " + complaint, found.failures[0].why)


def test_an_entry_point_to_nothing(entry: Entry) -> None:
    one = entry(good(), attribute=":nothing")
    module = one.value.partition(":")[0]
    why = f"could not be loaded: AttributeError: module '{module}' has no attribute 'nothing'"
    assert load_packs([one]) == LoadedPacks((), (PackFailure(f"?: tiny = {one.value}", why),))


def test_an_interrupt_while_loading_is_no_fault_of_the_pack(entry: Entry) -> None:
    with pytest.raises(KeyboardInterrupt):
        load_packs([entry("raise KeyboardInterrupt")])


def test_two_packs_of_one_name(entry: Entry) -> None:
    first, second = entry(good("same"), "a"), entry(good("same"), "b")
    failure = PackFailure(f"?: b = {second.value}", "another installed pack is called same too")
    assert load_packs([second, first]) == LoadedPacks((pack_of(first),), (failure,))


@pytest.mark.parametrize(
    ("api", "needs"),
    [(2, "a newer inspect-core"), (99, "a newer inspect-core"), (0, "to be brought up to date")],
)
def test_a_pack_for_another_api(entry: Entry, api: int, needs: str) -> None:
    # Nothing else is said of it: what it holds can't be judged by our rules.
    broken = entry(HEAD + f"return Pack(id='Other One', version='', title='', api={api})")
    why = f"it was written for pack API {api}, this is 1: it needs {needs}"
    assert load_packs([broken]) == LoadedPacks((), (PackFailure(f"Other One (?: tiny = {broken.value})", why),))


def test_faults_of_data_files_are_told_with_their_places(entry: Entry) -> None:
    data = {
        "a.yaml": "limits:\n  x: {says: s, source: t, status: guessed, quantity: length, value: 1 in}\n",
        "b.yaml": "limits: {}\nlimit: {}\n",
    }
    broken = entry(HEAD + "return Pack(id='x', version='1', title='', api=1, **load_data(__name__, 'x'))", data=data)
    why = "could not be loaded: a.yaml:2:27: limit x has no known status; b.yaml:2:1: unknown section limit"
    assert load_packs([broken]) == LoadedPacks((), (PackFailure(f"?: tiny = {broken.value}", why),))


def documented(area: Any, limits: Any) -> list[Check]:
    """A requirement."""
    return [not_measured(Named("x", ()))]


def undocumented(area: Any, limits: Any) -> list[Check]:
    return []


def test_every_fault_of_the_metadata_at_once(
    make_rule: Callable[..., Rule], make_pack: Callable[..., Pack], make_limit: Callable[..., LimitDef], entry: Entry
) -> None:
    pack = make_pack(
        make_rule(documented, id="good-rule", measures=["joist.bearing", "site.built"], hold_point="own-stage"),
        make_rule(undocumented, id="Bad_Rule", severity="fatal", hold_point="basement", scope="house", remedy=""),
        make_rule(documented, id="good-rule", binds=["new", "old"], measures=["joist.colour", "joist", "roof.pitch"]),
        id="Tiny Pack",
        version="",
        hold_points=("own-stage",),
        limits={
            "a": make_limit("a", ("x",), source=""),
            "b": make_limit("b", ("x",), status="from memroy"),
            "c": 3,
        },
        references={"floor.some": "just a text"},
        cautions={"some-caution": None},
    )
    stages = "under-floor, rough-plumbing, subfloor, wet-area, tile, final, own-stage"
    assert pack_faults(pack) == [
        "pack id 'Tiny Pack' should be lower-case words joined by hyphens",
        "it has no version",
        "rule Bad_Rule: the id should be lower-case words joined by hyphens",
        "rule Bad_Rule: its function needs a docstring whose first line is the requirement",
        "rule Bad_Rule: unknown severity 'fatal'; one of stop-work, correction, advisory",
        f"rule Bad_Rule: unknown hold point 'basement'; one of {stages}",
        "rule Bad_Rule: unknown scope 'house'; area or site",
        "rule Bad_Rule: it has no remedy",
        "rule good-rule: unknown kind of work 'old'; one of existing, altered, new",
        "rule good-rule: there is no field 'joist.colour' in the site description to measure",
        "rule good-rule: there is no field 'joist' in the site description to measure",
        "rule good-rule: there is no field 'roof.pitch' in the site description to measure",
        "rule good-rule: the id is used twice",
        "c: this should be a LimitDef",
        "floor.some: this should be a Reference",
        "some-caution: this should be a Caution",
        "limit a: has no source",
        f"limit b: unknown status 'from memroy'; one of {', '.join(STATUSES)}",
    ]


def test_faults_keep_the_pack_out_and_name_it(entry: Entry) -> None:
    fine = entry(good(), "a")
    faulty = entry(HEAD + "return Pack(id='Faulty', version='', title='', api=1)", "b")
    why = "pack id 'Faulty' should be lower-case words joined by hyphens; it has no version"
    assert load_packs([faulty, fine]) == LoadedPacks(
        (pack_of(fine),), (PackFailure(f"Faulty (?: b = {faulty.value})", why),)
    )


def test_a_sound_pack_has_no_faults(make_rule: Callable[..., Rule], make_pack: Callable[..., Pack]) -> None:
    pack = make_pack(make_rule(documented, limits=["least"], cautions=["some-caution"]))
    assert pack_faults(pack) == []
    assert missing_names([pack]) == []


def test_names_that_no_pack_of_the_stack_has(
    make_rule: Callable[..., Rule], make_pack: Callable[..., Pack], make_limit: Callable[..., LimitDef]
) -> None:
    needy = make_rule(
        documented,
        id="needy",
        limits=["least", "most"],
        reference="floor.none",
        cautions=["some-caution", "no-caution"],
    )
    own = make_rule(documented, id="own", limits=["most"])
    tiny = make_pack(needy)
    local = make_pack(own, id="local", limits={"most": make_limit("most", ("x",))}, references={}, cautions={})
    assert missing_names([tiny]) == [
        "tiny: rule needy: no pack sets limit most",
        "tiny: rule needy: no pack fills reference floor.none",
        "tiny: rule needy: no pack has caution no-caution",
    ]
    assert missing_names([tiny, local]) == [  # what one pack lacks another may bring
        "tiny: rule needy: no pack fills reference floor.none",
        "tiny: rule needy: no pack has caution no-caution",
    ]
    assert missing_names([local]) == ["local: rule own: no pack fills reference floor.some"]


def test_limits_that_change_their_kind(make_pack: Callable[..., Pack], make_limit: Callable[..., LimitDef]) -> None:
    from inspect_core.quantities import Dimension, exactly

    inch, ratio = exactly(1.0, Dimension.LENGTH), exactly(0.1, Dimension.RATIO)
    base = make_pack(
        limits={
            "plain": make_limit("plain", inch),
            "table": make_limit("table", table={"wood": inch, "steel": inch}, by="surface"),
            "words": make_limit("words", ("a", "b")),
        }
    )
    local = make_pack(
        id="local",
        limits={
            "plain": make_limit("plain", ratio),
            "table": make_limit("table", inch),
            "words": make_limit("words", table={"x": ("a",)}),
        },
    )
    assert missing_names([base, base]) == []
    assert missing_names([base, local]) == [
        "local: limit plain: it is not the quantity that it was (one length)",
        "local: limit table: it was a table of length by surface",
        "local: limit words: it was one words",
    ]


def test_fields_are_those_of_the_schema() -> None:
    definitions = schema()["$defs"]
    assert field_schema("joist.bearing") == definitions["joist"]["properties"]["bearing"]
    assert field_schema("site.built") == definitions["house"]["properties"]["built"]
    assert [field_exists(name) for name in ("joist.bearing", "joist.x", "x.bearing", "joist", "", ".")] == [
        True, False, False, False, False, False,
    ]  # fmt: skip
