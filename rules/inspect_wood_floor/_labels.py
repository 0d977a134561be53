"""Standards as labels name them: ``ANSI A118.11``, ``ASTM C1325-18``, ``astm d 4068``. No rules, no limits."""

from __future__ import annotations

import re
from collections.abc import Iterable

# The year of an edition after the number of a standard: "-18", "-2019", "-17e1", "(2018)".
_EDITION = re.compile(r"(?<=[\d)])\s?(?:[-–:]\s?(?:19|20)?\d\d(?:[a-z]\d?)?(?![\d.])|\(\s?(?:19|20)\d\d[^)]*\))")


def names_one(label: str, standards: Iterable[str]) -> bool:
    """Whether a label names one of the standards, however it is spaced and whatever edition it adds."""
    text = _plain(label)
    return any(_stands_in(_plain(one), text) for one in standards)


def _plain(text: str) -> str:
    before, text = "", text.lower()
    while before != text:  # "-03(2018)" is two
        before, text = text, _EDITION.sub(" ", text)
    return "".join(c for c in text if c.isalnum() or c == ".")


def _stands_in(word: str, label: str) -> bool:
    """``a118.1`` isn't in ``a118.15``."""
    start = label.find(word)
    while start >= 0:
        end = start + len(word)
        if end == len(label) or not label[end].isdigit():
            return True
        start = label.find(word, end)
    return False
