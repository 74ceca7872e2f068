"""Runs of tube in space: centre lines, turns, branches, in-line items."""
