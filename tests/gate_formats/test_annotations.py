"""Workflow commands in a build server's log, read back by their grammar: ``::name key=value,key=value::message``.

Escapes as the toolkit of that build server documents them: in a message ``%25 %0D %0A``, in a property also ``%3A %2C``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from inspect_core.engine.portfolio.result import GateView, SiteResult
from inspect_core.report.gate.annotations import MOST, log_annotations

_COMMAND = re.compile(r"::(\w+)(?: ([^:]*))?::(.*)")
Command = tuple[str, dict[str, str], str]


def plain(text: str, *more: tuple[str, str]) -> str:
    for code, character in (*more, ("%0D", "\r"), ("%0A", "\n"), ("%25", "%")):
        text = text.replace(code, character)
    return text


def read(text: str) -> list[Command]:
    """The commands of a log in which every line must be one."""
    commands = []
    for line in text.removesuffix("\n").split("\n"):
        found = _COMMAND.fullmatch(line)
        assert found is not None, line
        pairs = [pair.partition("=") for pair in (found[2] or "").split(",")]
        properties = {key: plain(value, ("%3A", ":"), ("%2C", ",")) for key, _, value in pairs}
        commands.append((found[1], properties, plain(found[3])))
    return commands


def test_the_worst_first_and_the_number_of_the_others(results: tuple[SiteResult, ...], view: GateView) -> None:
    commands = read("".join(log_annotations(results, view)))
    assert [name for name, _, _ in commands] == ["error"] * MOST + ["warning"] * MOST + ["notice"] * 2
    assert commands[-2][2] == "Varied findings: 1."
    unusable = [at for _, at, _ in commands if at["title"] in ("site-unusable", "pack-failed")]
    assert commands[: len(unusable)] == [one for one in commands if one[1] in unusable]
    severities = [at["title"].rpartition("(")[2] for _, at, _ in commands[len(unusable) : MOST]]
    assert severities == ["stop-work)"] * len(severities) and severities
    blocking = other = unknown = 0
    for result in results:
        blocking += len(result.problems) + (result.file.startswith(("sites/packless", "sites/died")))
        for finding in result.document["findings"] if result.document is not None else ():
            if finding["outcome"] not in ("falls-short", "not-measured") or "varied" in finding:
                continue
            blocking += finding["blocks"]
            other += not finding["blocks"] and finding["outcome"] == "falls-short"
            unknown += not finding["blocks"] and finding["outcome"] == "not-measured"
    assert commands[-1][2] == (
        f"7 of 8 site files don't pass. Not shown here: {blocking + other - 2 * MOST} more findings, "
        f"{unknown} not measured that hold nothing asked for."
    )


def test_places(by_file: dict[str, SiteResult], view: GateView) -> None:
    result = by_file["found"]
    assert result.document is not None
    by_title = {
        (at["title"], at["line"], at["col"], text)
        for _, at, text in read("".join(log_annotations([result], view)))[:-1]
    }
    findings = {
        (
            f"{f['rule']} ({f['severity']})",
            str(f["location"]["line"]),
            str(f["location"]["column"]),
            f"{f['subject'].strip()}: {f['message']}",
        )
        for f in result.document["findings"]
    }
    assert by_title <= findings and len(by_title) > MOST


def test_a_variance_that_may_hurt_somebody_is_named(judge: Any, view: GateView) -> None:
    def vary(document: dict[str, Any]) -> None:
        grave = next(f for f in document["findings"] if f["outcome"] == "falls-short" and f["severity"] == "stop-work")
        grave["varied"] = {"by": "J. Moss", "reason": "shored", "paper": "letter 3", "until": "2027-01-31"}

    commands = read("".join(log_annotations([judge("lock-cottage-found", "a.site.yaml", vary)], view)))
    (told,) = [text for name, _, text in commands if name == "notice" and "a.site.yaml: Varied: " in text]
    assert told.endswith("(stop-work), granted by J. Moss until 2027-01-31 (letter 3): shored")


def test_stop_work_variances_beyond_the_most_are_counted(judge: Any, view: GateView) -> None:
    def vary(document: dict[str, Any]) -> None:
        for one in document["findings"][: MOST + 2]:
            one |= {"outcome": "falls-short", "severity": "stop-work"}
            one["varied"] = {"by": "J. Moss", "reason": "shored", "paper": "letter 3", "until": "2027-01-31"}

    commands = read("".join(log_annotations([judge("clear", "a.site.yaml", vary)], view)))
    told = [text for name, _, text in commands if name == "notice"]
    assert sum("a.site.yaml: Varied: " in text for text in told) == MOST
    assert told[-2] == "And 2 more stop-work findings that are varied."


def test_one_more_finding_is_one(judge: Any, view: GateView) -> None:
    def short(document: dict[str, Any]) -> None:
        for one in document["findings"][: MOST + 1]:
            one |= {"outcome": "falls-short", "severity": "correction"}

    *_, (_, _, last) = read("".join(log_annotations([judge("clear", "a.site.yaml", short)], view)))
    assert "Not shown here: 1 more finding, " in last


def test_nothing_held_says_so(by_file: dict[str, SiteResult], view: GateView) -> None:
    ((name, _, text),) = read("".join(log_annotations([by_file["clear"]], view)))
    assert name == "notice"
    assert text == (
        "0 of 1 site files don't pass. Not shown here: 0 more findings, 0 not measured that hold nothing asked for."
    )


def test_a_name_is_no_command(hostile: SiteResult, view: GateView) -> None:
    commands = read("".join(log_annotations([hostile], view)))
    assert {name for name, _, _ in commands} >= {"error", "notice"}
    assert len(commands) >= 8
    for name, at, text in commands:
        assert set(at) == ({"title"} if name == "notice" else {"file", "line", "col", "title"})
        assert "::" not in text and "##" not in text and "\n" not in text and "\x1b" not in text
    assert any("Loosened by local packs" in text for _, _, text in commands)


def test_few_are_kept_of_many(thousand: Callable[[int], Iterator[SiteResult]], view: GateView) -> None:
    text = "".join(log_annotations(thousand(40), view))
    assert len(text.splitlines()) == 2 * MOST + 1
    assert "30 of 40 site files don't pass." in text
