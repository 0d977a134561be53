"""Packs in YAML: any bytes are refused with problems that can be shown, or are a pack under which a floor is checked
without a rule that fails."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

FLOOR = """\
format: 1
units: in
site: {name: Fuzz, invented: true, work: new}
areas:
  - {id: hall, use: hall, joists_run: north-south, outline: 48 in x 96 in, crawl_space: {joist_clearance: 30, vents: []}}
"""


def target() -> Callable[[bytes], None]:
    """What is run on each input."""
    from inspect_core.engine import LoadedPacks, inspect, load_packs
    from inspect_core.engine.choice import Choice
    from inspect_core.engine.yaml_pack import build_pack, pack_from_document
    from inspect_core.site import InputError, site_from_text
    from inspect_core.site.reader import read_text

    base = [pack for pack in load_packs().packs if pack.id == "wood-floor-base"]
    assert base
    floor = site_from_text(FLOOR, "fuzz.site.yaml")

    def one(data: bytes) -> None:
        try:
            document = read_text(data, "pack.yaml")
            pack = build_pack(pack_from_document(document, Path("fuzz")), base)
            if zlib.crc32(data) % 8:  # a check takes longer than all before it
                return
            report = inspect(floor, LoadedPacks((*base, pack), (), Choice((pack.id,))))
        except InputError as error:
            assert error.problems
            assert all(line.isprintable() for line in str(error).split("\n"))
        else:
            assert [
                failure for failure in report.failures if "rule " in failure.why and " failed: " in failure.why
            ] == []

    return one


def words() -> Iterator[str]:
    """What inputs are made of."""
    from fuzzing import words_of

    from inspect_core.engine.yaml_pack import pack_schema_text

    return words_of(pack_schema_text())


if __name__ == "__main__":
    from fuzzing import fuzz

    fuzz(target, "pack", words)
