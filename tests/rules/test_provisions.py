"""Coverage as data: each provision has a rule, a data item or a reason; and rules name what there is."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from inspect_core.engine import LoadedPacks, RuleSet
from inspect_core.engine.coverage import Covered, coverage
from inspect_core.engine.stack import stack
from inspect_core.engineering.tables import provisions
from inspect_core.report.provisions import provisions_markdown
from inspect_core.rules_api import ADVISORY, Provision
from inspect_core.rules_api.provisions import COMMON_PRACTICE

README = Path(__file__).parents[2] / "README.md"
BEGIN, END = "<!-- provisions -->\n", "<!-- /provisions -->\n"
BASE = "wood-floor-base"
ENOUGH = 0.80


@pytest.fixture(scope="module")
def base(packs: LoadedPacks) -> RuleSet:
    return stack([pack for pack in packs.packs if pack.id == BASE])


@pytest.fixture(scope="module")
def rows(base: RuleSet) -> tuple[Covered, ...]:
    return coverage(base)


@pytest.fixture(scope="module")
def listed(rows: tuple[Covered, ...]) -> dict[str, Provision]:
    return {row.provision.id: row.provision for row in rows}


def test_each_row_has_a_rule_or_data_or_a_reason(rows: tuple[Covered, ...]) -> None:
    assert [row.provision.id for row in rows if not (row.rules or row.data or row.reason)] == []


def test_a_reason_is_given_only_where_nothing_covers_the_row(rows: tuple[Covered, ...]) -> None:
    assert [row.provision.id for row in rows if row.provision.reason and (row.rules or row.data)] == []


def test_enough_is_covered_by_a_rule_or_data(rows: tuple[Covered, ...]) -> None:
    assert sum(1 for row in rows if row.rules or row.data) >= ENOUGH * len(rows)


def test_each_rule_names_provisions_that_there_are(base: RuleSet, listed: dict[str, Provision]) -> None:
    nameless = [one.rule.id for one in base.rules if not one.rule.provisions]
    unknown = {
        one.rule.id: missing
        for one in base.rules
        if (missing := [name for name in one.rule.provisions if name not in listed and name != COMMON_PRACTICE])
    }
    assert nameless == []
    assert unknown == {}


def test_each_data_item_names_provisions_that_there_are(base: RuleSet, listed: dict[str, Provision]) -> None:
    there = {*listed, COMMON_PRACTICE}
    unknown = {limit.id: [n for n in limit.provisions if n not in there] for limit in base.limits.defs.values()}
    assert {name: missing for name, missing in unknown.items() if missing} == {}
    assert [name for name in provisions() if name not in listed] == []


def test_what_is_from_memory_never_blocks(base: RuleSet, rows: tuple[Covered, ...]) -> None:
    """What rests on rows from memory alone is advice: the rule itself, or by the status of the limit it compares with.

    A rule or limit that also stands on a row that somebody has read may be more. A finding whose limit is from memory
    is made advice by the engine, so the limit must own up to it.
    """
    recalled = {row.provision.id for row in rows if row.provision.status == "from memory"}
    alone = {
        limit.id for limit in base.limits.defs.values() if limit.provisions and recalled.issuperset(limit.provisions)
    }
    proud = [name for name in alone if base.limits.defs[name].status not in ("from memory", "computed")]
    loud = [
        one.rule.id
        for one in base.rules
        if recalled.issuperset(one.rule.provisions)
        and one.rule.severity != ADVISORY
        and not alone & set(one.rule.limits)
    ]
    assert sorted(proud) == []
    assert loud == []


def test_where_editions_differ_the_limit_says_how(base: RuleSet, rows: tuple[Covered, ...]) -> None:
    silent = [
        f"{limit.id}: {row.provision.id}: {row.provision.editions}"
        for row in rows
        if row.provision.editions
        for limit in base.limits.defs.values()
        if row.provision.id in limit.provisions and not limit.editions
    ]
    assert silent == []


def test_the_readme_shows_the_coverage_of_today(rows: tuple[Covered, ...]) -> None:
    """UPDATE_GOLDEN=1 writes the table again."""
    text = README.read_text("utf-8")
    before, _, rest = text.partition(BEGIN)
    shown, _, after = rest.partition(END)
    table = provisions_markdown(rows)
    if os.environ.get("UPDATE_GOLDEN") and shown != table:
        README.write_text(f"{before}{BEGIN}{table}{END}{after}", "utf-8")
        shown = table
    assert shown == table


def test_a_citation_of_a_section_that_moved_names_its_edition(base: RuleSet) -> None:
    """IRC 2024 gave R317, R318 and others to other subjects: a number without its edition leads to the wrong page."""
    moved = base.limits.defs["renumbered-2024"].values
    before = {words[0] for words in moved.values() if isinstance(words, tuple)}
    texts = [reference.text for reference in base.references.values()]
    citing = [text for text in texts if any(number in text for number in before)]
    assert len(citing) >= 5
    assert [text for text in citing if not re.search(r"\b20\d\d\b", text)] == []
