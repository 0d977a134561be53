"""JSON with indents, the same bytes as ``json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)``.

The standard library's writer runs in compiled code without indents only; with them this one takes half of its time,
which was half of all the time that a report as JSON took.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from functools import lru_cache
from json.encoder import encode_basestring
from typing import Any

_encoded: Callable[[str], str] = encode_basestring
_key = lru_cache(maxsize=1024)(lambda name: f"{_encoded(name)}: ")  # the same few keys in every finding


def indented(data: Any) -> str:
    """The text of plain data: mappings with texts as keys, lists, texts, numbers, true, false and null.

    Raises ``ValueError`` for a number that is not finite, ``TypeError`` for what JSON can't hold.
    """
    return _text(data, "\n")


def _text(value: Any, end: str) -> str:
    leaf = _LEAVES.get(type(value))
    return leaf(value) if leaf is not None else _nested(value, end)


def _nested(value: Any, end: str) -> str:
    """``end`` is the line break and indent before the closing bracket."""
    inner = end + " "
    between = "," + inner
    if isinstance(value, dict):
        if not value:
            return "{}"
        parts = []
        for name, one in value.items():
            leaf = _LEAVES.get(type(one))  # not by a call of `_text`: most values are leaves
            parts.append(_key(name) + (leaf(one) if leaf is not None else _nested(one, inner)))
        return f"{{{inner}{between.join(parts)}{end}}}"
    if isinstance(value, list | tuple):
        return f"[{inner}{between.join([_text(one, inner) for one in value])}{end}]" if value else "[]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _float(number: float) -> str:
    if not math.isfinite(number):
        raise ValueError(f"{number} is no number that JSON can hold")
    return float.__repr__(number)


_LEAVES: dict[type, Callable[[Any], str]] = {
    str: _encoded,
    int: int.__repr__,
    float: _float,
    bool: lambda value: "true" if value else "false",
    type(None): lambda value: "null",
}
