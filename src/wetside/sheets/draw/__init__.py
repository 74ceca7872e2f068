"""Drawings: readings in, SVG text out. The same functions serve screen and paper."""
