"""Rule cases with a few things changed: what the case's rule says then, word for word.

They were chosen because some change of the code shows in them and in no case (see ``mutation``), so they hold what
rules say off the beaten track; what rules ought to say stands in the cases. UPDATE_GOLDEN=1 writes the answers again.
"""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from case_answers import VARIATIONS, answers_of, case_sites, only_rule, read_site, read_variations
from worked_steps import wrong_steps

from inspect_core.engine import LoadedPacks, Report, inspect
from inspect_core.report.working import steps_of
from inspect_core.site import Site


@pytest.mark.parametrize("file", sorted(VARIATIONS.glob("*.txt")), ids=lambda file: file.stem)
def test_variations(file: Path, packs: LoadedPacks) -> None:
    base = next(pack for pack in packs.packs if not pack.stands_on)

    def report(rule: str, site: Site) -> Report:
        found = inspect(site, only_rule(base, rule))
        assert found.failures == ()
        assert [wrong for each in found.findings for wrong in wrong_steps(steps_of(each.check.working))] == []
        return found

    sites, blocks = case_sites(file.stem), []
    for one in read_variations(file.read_text("utf-8")):
        before = sites[one.rule, one.case]
        after = report(one.rule, one.of(before))
        if one.forgets:
            assert gained(report(one.rule, read_site(before)), after) == [], one.head
        blocks.append(replace(one, answers=tuple(answers_of(after, one.rule))))
    text = "".join("\n".join([one.head, *one.answers]) + "\n" for one in blocks)
    if os.environ.get("UPDATE_GOLDEN"):
        file.write_text(text, "utf-8")
    assert text == file.read_text("utf-8")


def gained(before: Report, after: Report) -> list[str]:
    """Subjects that meet the rule since less is known: there must be none."""
    open_before = {f.subject for f in before.findings if f.outcome in ("falls-short", "not-measured")}
    return [f.subject for f in after.findings if f.outcome == "meets" and f.subject in open_before]
