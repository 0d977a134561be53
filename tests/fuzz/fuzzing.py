"""What the fuzz harnesses share: they are started by hand or by the gate, and explore by what code an input reaches.

``python tests/fuzz/fuzz_loader.py -runs=1000000`` (or ``-max_total_time=15``; every option of libFuzzer). The corpus in
``tests/fuzz/corpus`` is read and never written; what is found on the way goes to a temporary folder, a crash to the
folder that ``FUZZ_CRASHES`` names (here by default).
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

CORPUS = Path(__file__).parent / "corpus"
LONGEST = 4_096  # bytes of an input; the corpus stays well below


def fuzz(target: Callable[[], Callable[[bytes], None]], corpus: str, words: Callable[[], Iterable[str]]) -> None:
    """Run what ``target()`` gives on ever new inputs, with ``words()`` mixed in.

    Only code that is imported in here is watched: the harness must not import any of ours before.
    """
    import atheris

    with atheris.instrument_imports(include=["inspect_core"]):
        one = target()
        mixed_in = sorted(set(words()))
    with tempfile.TemporaryDirectory() as folder:
        found = Path(folder) / "found"
        found.mkdir()
        dictionary = Path(folder) / "words"
        dictionary.write_text("".join(f'"{_escaped(word)}"\n' for word in mixed_in), "utf-8")
        crashes = os.environ.get("FUZZ_CRASHES", ".")
        options = [f"-dict={dictionary}", f"-max_len={LONGEST}", f"-artifact_prefix={crashes}/", "-timeout=60"]
        atheris.Setup([sys.argv[0], *options, *sys.argv[1:], str(found), str(CORPUS / corpus)], one)
        atheris.Fuzz()


def _escaped(word: str) -> str:
    return "".join(c if c.isascii() and c.isprintable() and c not in '"\\' else _bytes(c) for c in word)


def _bytes(character: str) -> str:
    return "".join(f"\\x{byte:02x}" for byte in character.encode("utf-8"))


def words_of(schema: str | dict[str, Any]) -> Iterator[str]:
    """Keys and words of a schema: what an input must hold to get anywhere."""
    data = json.loads(schema) if isinstance(schema, str) else schema
    waiting: list[Any] = [data]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            yield from (f"{name}: " for name in one.get("properties", ()))
            yield from (word for word in one.get("enum", ()) if isinstance(word, str))
            waiting += one.values()
        elif isinstance(one, list):
            waiting += one
