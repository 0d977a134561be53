"""Two thousand damaged site descriptions: each is refused with words, or checked; none may crash, and no rule may fail.

Every file is damaged by its own seeded generator, so a number in a failure's text makes the same file again:
``damaged(2024)``. The way is that of `inspect-core check`, in one process; the last test goes through the command.
"""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from inspect_core.cli import main
from inspect_core.engine import LoadedPacks, inspect
from inspect_core.engine.choice import NOT_INSTALLED
from inspect_core.engine.finding import RULE_FAILED
from inspect_core.planning.measure import to_measure
from inspect_core.report import FORMATS, Selection
from inspect_core.report.measure import measure_text
from inspect_core.report.text import render_text
from inspect_core.site import InputError, load_site, schema
from inspect_core.site.convert import resolve
from inspect_core.site.problems import columns
from inspect_core.site.reader import read_text
from inspect_core.site.starter import starter

FILES = 1_000
CHUNK = 200
SAMPLES = Path(__file__).parents[2] / "sample_sites"
LARGEST_SAMPLE = 30_000  # bytes: a giant would take the time of a hundred others

Steps = tuple[str | int, ...]

NASTY: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 1e300, -1e300, 1e-300, 10**29, 0.1, "", " ", "unknown", "none", "~", "~16", "~0",
    "0", "-0",
    "1/0", "0/1", "1/64", "-3 1/2", "15 7/8", "8' 2-1/2\"", "400 mm", "2.4 m", "1000 ft", "0 .. 0", "1 .. 2", "2 .. 1",
    "-1 .. 1", "~1 .. 2", "1 .. unknown", "every 16 from 0 to 96", "every 0 from 0 to 96", "every -1 from 0 to 96",
    "every 1/64 from 0 to 96", "every 16 from 96 to 0", "every 16 from 5 to 5", "2x8", "0x0", "(2) 2x10", "99 2x4",
    "2x", "x8",
    "45 x 195 mm", "8' x 6'", "0 x 0", "nan", ".inf", "1e999", "1,5", "½", "１６", "#2", "yes", "no", "on", "1:30",
    "2024-02-30", "S1", "J1", "B1", "J99", "north", "existing", "new", "wood", "\x1b[31m", "\u202e", "::error::x",
    "<b>", "a" * 5000, "😀", "\x00", "%s%n{0}", "${HOME}", "!!python/object:os.system", "&a", "*a", "<<",
    [], {}, [[]], [None], [0, 0], ["unknown", "unknown"], [[0, 0], [1, 1]], {"S1": 1}, {"from": "S1"}, {"": ""},
    {"a": {}},
)  # fmt: skip


@cache
def bases() -> tuple[str, ...]:
    """The texts that are damaged: both starters, and every sample site there is."""
    samples = sorted(SAMPLES.glob("*.site.yaml"))
    texts = [starter("in"), starter("mm"), *(sample.read_text("utf-8") for sample in samples)]
    return tuple(text for text in texts if len(text) <= LARGEST_SAMPLE)


# --- damage to the text ---


def flip(text: str, dice: random.Random) -> bytes:
    """Some bytes become other bytes."""
    data = bytearray(text.encode())
    for _ in range(dice.choice((1, 1, 2, 5, 50))):
        data[dice.randrange(len(data))] = dice.choice((dice.randrange(256), *b"\n \t:{}[]#'\"-0179~"))
    return bytes(data)


def lines_changed(text: str, dice: random.Random) -> bytes:
    """A few lines go, come twice, move, or are indented otherwise."""
    lines = text.split("\n")
    for _ in range(dice.choice((1, 1, 2, 8))):
        at, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        match dice.randrange(5):
            case 0 if len(lines) > 1:
                del lines[at]
            case 1:
                lines.insert(at, lines[at])
            case 2:
                lines[at], lines[other] = lines[other], lines[at]
            case 3:
                lines[at] = dice.choice((" ", "  ", "\t", "- ")) + lines[at]
            case _:
                lines[at] = lines[at][dice.randrange(3) :]
    return "\n".join(lines).encode()


def cut_off(text: str, dice: random.Random) -> bytes:
    """The file ends early, or its beginning is missing."""
    data = text.encode()
    at = dice.randrange(len(data))
    return data[:at] if dice.random() < 0.8 else data[at:]


def numbers_swapped(text: str, dice: random.Random) -> bytes:
    """Digits become other digits: most such files stay well-formed, and describe an odd floor."""
    characters = list(text)
    digits = [i for i, c in enumerate(characters) if c.isdigit()]
    for i in dice.sample(digits, min(len(digits), dice.choice((1, 2, 4, 12)))):
        characters[i] = dice.choice("0123456789")
    return "".join(characters).encode()


# --- damage to the data ---


def walk(value: Any, path: Steps = ()) -> Iterator[tuple[Steps, Any]]:
    yield path, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, inner in items:
        yield from walk(inner, (*path, step))


def at_path(data: Any, path: Steps) -> Any:
    for step in path:
        data = data[step]
    return data


def described(path: Steps) -> dict[str, Any]:
    """What the schema says about a place; empty where it says nothing."""
    root = schema()
    here = resolve(root, root)
    for step in path:
        part = (
            here.get("items")
            if isinstance(step, int)
            else here.get("properties", {}).get(step, here.get("additionalProperties"))
        )
        if not isinstance(part, dict):
            return {}
        here = resolve(part, root)
    return here


@cache
def examples_by_key() -> dict[str, tuple[Any, ...]]:
    """Every example of the schema, by the name of its key: values that belong somewhere, if not where they are put."""
    found: dict[str, list[Any]] = {}
    for definition in (schema(), *schema()["$defs"].values()):
        for key, part in definition.get("properties", {}).items():
            found.setdefault(key, []).extend(copy.deepcopy(part.get("examples", [])))
            found[key].extend(part.get("enum", ()))
    return {key: tuple(values) for key, values in found.items() if values}


def value_for(path: Steps, dice: random.Random) -> Any:
    """Something nasty, or something that another floor may well have there."""
    examples = examples_by_key()
    own = examples.get(str(path[-1])) if path else None
    if own and dice.random() < 0.6:
        return dice.choice(own)
    return dice.choice(NASTY) if dice.random() < 0.8 else dice.choice(examples[dice.choice(sorted(examples))])


@cache
def as_json(text: str) -> str:
    return json.dumps(read_text(text, "base").data)


def data_changed(text: str, dice: random.Random) -> bytes:
    """Values replaced, keys renamed, added, removed, things nested and exchanged; written as JSON (so as YAML)."""
    data = json.loads(as_json(text))
    for _ in range(dice.choice((1, 1, 1, 1, 1, 2, 3, 12))):
        places = list(walk(data))
        path, value = dice.choice(places)
        if not path:
            continue
        holder, last = at_path(data, path[:-1]), path[-1]
        match dice.randrange(8):
            case 0 | 1:
                holder[last] = value_for(path, dice)
            case 2 if isinstance(value, dict):  # a key that the schema knows there, with one of its examples
                known = described(path).get("properties", {})
                if known:
                    key = dice.choice(sorted(known))
                    value[key] = value_for((*path, key), dice)
            case 2 if isinstance(value, list) and value:
                value.append(json.loads(json.dumps(dice.choice(value))))
            case 3:
                del holder[last]
            case 4 if isinstance(holder, dict):
                new = dice.choice((f"{last}s", "x", "from", "id", "", dice.choice(sorted(examples_by_key()))))
                holder[new] = holder.pop(last)
            case 5:
                holder[last] = dice.choice(([value], {"a": value}, [[value, value]], {str(last): value}))
            case 6:
                other, _ = dice.choice(places)
                if other and other[: len(path)] != path and path[: len(other)] != other:
                    there = at_path(data, other[:-1])
                    holder[last], there[other[-1]] = there[other[-1]], holder[last]
            case _:
                holder[last] = json.loads(json.dumps(dice.choice(places)[1]))
    return json.dumps(data, ensure_ascii=False).encode("utf-8", "surrogatepass")


DAMAGE: tuple[Callable[[str, random.Random], bytes], ...] = (
    flip,
    lines_changed,
    cut_off,
    numbers_swapped,
    numbers_swapped,
    *[data_changed] * 5,
)


def damaged(number: int) -> bytes:
    """The file of that number; large texts, which take longest, come seldom."""
    dice = random.Random(number)
    (base,) = dice.choices(bases(), [1 / len(text) for text in bases()])
    return dice.choice(DAMAGE)(base, dice)


# --- what may happen ---

PRINTED = ("text", "measure", "markdown", "json", "", "", "", "")  # in turn: printing costs as much as checking


def harmless(text: str) -> bool:
    """Nothing that a terminal obeys, and no line that a build server takes for a command."""
    return all(line.isprintable() and not line.lstrip().startswith("::") for line in text.split("\n"))


def checked(path: Path, packs: LoadedPacks, form: str) -> int:
    """What `check` would exit with; what the command would print in that format is written and looked at."""
    try:
        site = load_site(path)
    except InputError as error:
        assert error.problems
        assert harmless(str(error))
        return 2
    report = inspect(site, packs)
    broken = [f.check.because for f in report.findings if f.rule.id == RULE_FAILED]
    assert broken == []
    assert [f for f in report.failures if f.why != NOT_INSTALLED] == []
    match form:
        case "text":
            text = render_text(report, Selection(), everything=True)
            assert harmless(text)
            assert max(columns(line) for line in text.split("\n")) <= 80
        case "measure":
            assert harmless(measure_text(report, to_measure(report)))
        case "markdown":
            assert harmless(FORMATS["markdown"](report, Selection()))
        case "json":
            json.loads(FORMATS["json"](report, Selection()))
    return report.exit_code(Selection().threshold)


@pytest.mark.parametrize("first", range(0, FILES, CHUNK))
def test_no_damage_makes_it_crash(first: int, packs: LoadedPacks, tmp_path: Path) -> None:
    path = tmp_path / "damaged.site.yaml"
    wrong: dict[int, str] = {}
    codes = set()
    for number in range(first, first + CHUNK):
        path.write_bytes(damaged(number))
        try:
            codes.add(checked(path, packs, PRINTED[number % len(PRINTED)]))
        except Exception as error:
            wrong[number] = f"{type(error).__name__}: {error}"
    assert wrong == {}
    assert codes >= {1, 2}  # some are refused and some are checked: the damage is neither too great nor too small


def test_the_command_exits_alike(packs: LoadedPacks, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    for number in range(20):
        path = tmp_path / f"damaged-{number}.site.yaml"
        path.write_bytes(damaged(number))
        with pytest.raises(SystemExit) as stop:
            main(["check", str(path)])
        assert (number, stop.value.code) == (number, checked(path, packs, "text"))
        printed, complaints = capfdbinary.readouterr()
        assert bool(printed) == (stop.value.code != 2)
        assert b"Traceback" not in complaints
