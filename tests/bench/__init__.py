"""Measurements: how well, how fast."""
