"""Radiators and other emitters: output law, water, mass."""
