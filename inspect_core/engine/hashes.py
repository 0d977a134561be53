"""The content hash of a pack: what ran is in every report, so that two runs can be told apart."""

from __future__ import annotations

import hashlib
from functools import lru_cache
from pathlib import Path

from inspect_core.rules_api import Pack

COUNTED = frozenset((".py", ".yaml", ".yml", ".json", ".csv", ".toml"))
"""Files that make a pack what it is: code and data."""


def content_hash(pack: Pack) -> str | None:
    """sha256 over the code and data of a pack, in hexadecimal; ``None`` for one that no file stands behind."""
    if pack.origin is None:
        return None
    return pack.origin.digest or (hash_of(pack.origin.root) if pack.origin.root else None)


def kind_of(pack: Pack) -> str:
    """python, yaml, or in-memory for a pack that a program made."""
    return pack.origin.kind if pack.origin is not None else "in-memory"


@lru_cache(maxsize=256)
def hash_of(root: str) -> str:
    """The hash of a package's folder, or of a module's one file: names and contents, in order of the names."""
    path = Path(root)
    found = [path] if path.is_file() else sorted(p for p in path.rglob("*") if p.suffix in COUNTED and p.is_file())
    total = hashlib.sha256()
    for file in found:
        if "__pycache__" in file.parts:
            continue
        name = file.name if path.is_file() else file.relative_to(path).as_posix()
        content = file.read_bytes()
        total.update(f"{len(name)} {name} {len(content)} ".encode())
        total.update(content)
    return total.hexdigest()
