"""Counted materials, cuts laid onto stock, spares, consumables and the buy list."""

from wetside.takeoff.stock import CutPlan, Stick, plan_cuts

__all__ = ["CutPlan", "Stick", "plan_cuts"]
