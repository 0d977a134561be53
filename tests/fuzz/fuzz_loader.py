"""The site loader: any bytes are read as a site, or refused with problems that can be shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator


def target() -> Callable[[bytes], None]:
    """What is run on each input."""
    from inspect_core.site import InputError, site_from_text

    def one(data: bytes) -> None:
        try:
            site_from_text(data, "fuzz.site.yaml")
        except InputError as error:
            assert error.problems
            assert all(line.isprintable() for line in str(error).split("\n"))

    return one


def words() -> Iterator[str]:
    """What inputs are made of."""
    from fuzzing import words_of

    from inspect_core.site.load import schema_text

    return words_of(schema_text())


if __name__ == "__main__":
    from fuzzing import fuzz

    fuzz(target, "site", words)
