"""The plan drawing: SVG, to scale, in lines that read in black and white."""

from inspect_core.report.plan.sheet import plan_svg

__all__ = ["plan_svg"]
