"""The command ``inspect-core``: thin commands over the engine, and one place that decides the exit code."""

from inspect_core.cli.app import main

__all__ = ["main"]
