"""Boiler fit, vessel, relief, separation, hot water."""
