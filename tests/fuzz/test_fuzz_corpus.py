"""Every input of the fuzz corpus, through its harness once: what a crash taught stays mended. Finding new inputs is for
`python tests/fuzz/fuzz_....py` (see fuzzing.py)."""

from __future__ import annotations

import runpy
from pathlib import Path

import pytest

HERE = Path(__file__).parent
HARNESSES = {
    "site": "fuzz_loader.py",
    "quantity": "fuzz_quantities.py",
    "pack": "fuzz_packs.py",
    "variances": "fuzz_variances.py",
}


@pytest.mark.parametrize("corpus", HARNESSES)
def test_the_corpus_does_no_harm(corpus: str) -> None:
    one = runpy.run_path(str(HERE / HARNESSES[corpus]))["target"]()
    files = sorted((HERE / "corpus" / corpus).iterdir())
    assert files
    for file in files:
        one(file.read_bytes())


def test_every_corpus_has_a_harness() -> None:
    assert {folder.name for folder in (HERE / "corpus").iterdir()} == set(HARNESSES)
    assert {file.name for file in HERE.glob("fuzz_*.py")} == set(HARNESSES.values())
