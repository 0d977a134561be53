"""Take-off and repairs as tables of the packet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from inspect_core.planning.repairs import Proposal
from inspect_core.report.packet.content import Table
from inspect_core.report.repair import HOW_PROVEN, HOW_RANKED, repair_data
from inspect_core.report.takeoff import Priced, cut_list, units_word
from inspect_core.site.problems import visible


def takeoff_tables(priced: Priced) -> Iterator[Table]:
    """What to buy, what can't be counted yet, and how to cut the lumber; nothing where nothing is new."""
    found = priced.found
    if not found.items and not found.not_counted:
        return
    rows = [(item.group, f"{item.buy} {units_word(item)}", item.name, item.how) for item in found.items]
    notes = [f"Can't be counted yet: {one.group}: {one.name}: {one.why}" for one in found.not_counted]
    care = [f"Care: {' '.join(caution.text.split())}" for caution in priced.care]
    yield _table("Take-off", ("what", "buy", "of", "for"), rows, [*notes, *care])
    if found.lumber:
        lines = [line.strip() for line in cut_list(found, priced.site.units)][1:]
        yield _table("Cutting the lumber", (), [], lines)


def repair_table(proposal: Proposal) -> Table:
    """Proven repairs, best first, and what has none."""
    data = repair_data(proposal)
    first: dict[str, int] = {}  # caution: the repair that says it in full
    rows = [
        (
            str(one["id"]),
            "; ".join(one["actions"]),
            "; ".join(f"{settled['subject']}: {settled['rule']}" for settled in one["settles"]),
            " ".join([*one["engineer"], *_cautions(one, first)]),
        )
        for one in data["repairs"]
    ]
    left = [f"No proven repair: {one['subject']}: {one['rule']}. {one['remedy']}" for one in data["no_proven_repair"]]
    return _table("Repairs offered", ("no.", "do", "settles", "care"), rows, [HOW_PROVEN, HOW_RANKED, *left])


def _cautions(repair: Mapping[str, Any], first: dict[str, int]) -> Iterator[str]:
    """Each caution in full beside the first repair that has it, and a pointer there beside the others."""
    above = {first[text] for text in repair["cautions"] if text in first}
    for text in repair["cautions"]:
        if text not in first:
            first[text] = repair["id"]
            yield text
    if above:
        yield f"Read the cautions of repair{'s' if len(above) > 1 else ''} {', '.join(map(str, sorted(above)))} too."


def _table(heading: str, columns: tuple[str, ...], rows: Sequence[tuple[str, ...]], notes: Sequence[str]) -> Table:
    cells = tuple(tuple(visible(cell) for cell in row) for row in rows)
    return Table(heading, columns, cells, tuple(visible(note) for note in notes))
