"""The work order as text, as Markdown with check boxes, and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from inspect_core.engine import Report
from inspect_core.planning.sequence import Stage, Step, says
from inspect_core.report.layout import SELF_CHECK, heading, wrapped
from inspect_core.report.markdown import plain

MOST_SUBJECTS = 8


def sequence_data(report: Report, stages: Sequence[Stage]) -> dict[str, Any]:
    """Under stable keys; cautions in full."""
    return {
        "format": 1,
        "site": {"name": report.site.name, "file": report.site.file},
        "stages": [
            {
                "hold_point": stage.hold_point,
                "released": stage.released,
                "open": stage.open,
                "steps": [
                    {
                        "number": step.number,
                        "action": step.action,
                        "kind": step.kind,
                        "what": step.what,
                        "subjects": list(step.subjects),
                        "settles": list(step.rules),
                        "after": list(step.after),
                        "cautions": _cautions(report, step),
                    }
                    for step in stage.steps
                ],
                "pictures": list(stage.pictures),
            }
            for stage in stages
        ],
    }


def sequence_text(report: Report, stages: Sequence[Stage]) -> str:
    """For a terminal or a sheet of paper, 80 columns."""
    return "\n".join(_text(report, stages)) + "\n"


def sequence_markdown(report: Report, stages: Sequence[Stage]) -> str:
    """The same with check boxes."""
    return "\n".join(_markdown(report, stages)) + "\n"


def _text(report: Report, stages: Sequence[Stage]) -> Iterator[str]:
    yield from wrapped(f"Work order: {report.site.name}")
    said: set[str] = set()
    for stage in stages:
        yield ""
        yield from heading(_title(stage))
        for kind, steps in groupby(stage.steps, key=lambda step: step.kind):
            yield says(kind)
            for step in steps:
                yield from wrapped(f"[ ] {step.number}. {step.what}{_after(step)}", "  ", "      ")
                if _tells_more(step):
                    yield from wrapped(f"For: {_subjects(step)}", "      ", "        ")
                yield from (line for text in _new(report, step, said) for line in wrapped(text, "      ", "        "))
        yield from _closing_text(stage)
    yield ""
    yield from wrapped(SELF_CHECK, "", "  ")


def _closing_text(stage: Stage) -> Iterator[str]:
    if stage.pictures:
        yield "Pictures to take before it is hidden"
        for picture in stage.pictures:
            yield from wrapped(f"[ ] {picture}", "  ", "      ")
        yield from wrapped(f"[ ] {_ask(stage)}", "", "    ")


def _markdown(report: Report, stages: Sequence[Stage]) -> Iterator[str]:
    yield f"# Work order: {plain(report.site.name)}"
    said: set[str] = set()
    for stage in stages:
        yield ""
        yield f"## {plain(_title(stage))}"
        for kind, steps in groupby(stage.steps, key=lambda step: step.kind):
            yield ""
            yield f"### {plain(says(kind))}"
            yield ""
            for step in steps:
                yield f"- [ ] **{step.number}** {plain(step.what + _after(step))}"
                if _tells_more(step):
                    yield f"  - For: {plain(_subjects(step))}"
                yield from (f"  - {plain(text)}" for text in _new(report, step, said))
        if stage.pictures:
            yield ""
            yield "### Before it is hidden"
            yield ""
            yield from (f"- [ ] Picture: {plain(picture)}" for picture in stage.pictures)
            yield f"- [ ] {plain(_ask(stage))}"
    yield ""
    yield plain(SELF_CHECK)


def _title(stage: Stage) -> str:
    if not stage.pictures and not stage.released and stage.steps and stage.steps[0].action == "make-safe":
        return stage.hold_point.capitalize()
    return f"Up to hold point {stage.hold_point}: {'nothing open' if stage.released else f'{stage.open} open'}"


def _ask(stage: Stage) -> str:
    return f"Have it looked at where your place asks for that; cover nothing before {stage.hold_point} is released."


def _after(step: Step) -> str:
    return f" (after {', '.join(_runs(step.after))})" if step.after else ""


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """``14, 15, 16, 20`` as ``14 to 16``, ``20``."""
    for _, group in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        yield str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}"


def _tells_more(step: Step) -> bool:
    return step.action != "build" and bool(step.subjects)


def _subjects(step: Step) -> str:
    more = len(step.subjects) - MOST_SUBJECTS
    return "; ".join(step.subjects[:MOST_SUBJECTS]) + (f"; and {more} more" if more > 0 else "")


def _new(report: Report, step: Step, said: set[str]) -> list[str]:
    """Cautions of a step that no step before it said in full; those said before by name."""
    known = report.rules.cautions
    fresh = [key for key in step.cautions if key in known and key not in said]
    again = [key for key in step.cautions if key in said]
    said.update(fresh)
    return [f"Caution ({key}): {known[key].text}" for key in fresh] + (
        [f"Cautions above: {', '.join(again)}"] if again else []
    )


def _cautions(report: Report, step: Step) -> list[str]:
    return [report.rules.cautions[key].text for key in step.cautions if key in report.rules.cautions]
