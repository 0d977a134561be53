"""In which order to do things, and what to have seen before it is hidden."""

from inspect_core.planning.sequence.steps import Stage, Step, says, work_order

__all__ = ["Stage", "Step", "says", "work_order"]
