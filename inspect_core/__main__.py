"""``python -m inspect_core`` is the command ``inspect-core``."""

from inspect_core.cli import main

main()
