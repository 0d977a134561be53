"""The one error that reading a quantity raises."""

from __future__ import annotations

_LONGEST_SHOWN = 60


class QuantityError(ValueError):
    """A text that isn't the quantity that was asked for.

    expected: what was expected, in a few words; example: a text that is valid there;
    found: the text as it was written, cut when it is too long to show, empty when nothing was written.
    """

    def __init__(self, expected: str, example: str, found: object) -> None:
        self.expected = expected
        self.example = example
        self.found = _shown(found)
        super().__init__(f"{expected}; found {self.found!r}, write for example: {example}")

    def __reduce__(self) -> tuple[type[QuantityError], tuple[str, str, str]]:
        # An error made in a worker process has to reach its parent whole.
        return type(self), (self.expected, self.example, self.found)


def _shown(found: object) -> str:
    if found is None:
        return ""
    if isinstance(found, int) and found.bit_length() > 1000:  # Python refuses to print the largest ones
        return "a number with hundreds of digits"
    text = str(found)
    return text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"
