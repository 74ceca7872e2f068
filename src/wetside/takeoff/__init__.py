"""Counted materials."""
