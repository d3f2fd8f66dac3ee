"""Stresses of small metalwork in MPa, from newtons and millimetres: bending, shear, bearing, tension.

Textbook formulas; the table entry `metal.beams` has their source.
"""

from __future__ import annotations

import math

__all__ = [
    "bearing_mpa",
    "fixed_ends_nmm",
    "flat_bending_mpa",
    "round_bending_mpa",
    "round_shear_mpa",
    "spring_strain",
    "tear_out_mpa",
    "tension_mpa",
]


def flat_bending_mpa(moment_nmm: float, width_mm: float, thickness_mm: float) -> float:
    """Of a flat section bent across its thickness: 6 M / (b t^2)."""
    return 6 * moment_nmm / (width_mm * thickness_mm**2)


def round_bending_mpa(moment_nmm: float, diameter_mm: float) -> float:
    """Of a round section: 32 M / (pi d^3)."""
    return 32 * moment_nmm / (math.pi * diameter_mm**3)


def fixed_ends_nmm(load_n: float, span_mm: float) -> float:
    """Greatest moment of a bar held fast at both ends, the load spread over it: F l / 12."""
    return load_n * span_mm / 12


def round_shear_mpa(load_n: float, diameter_mm: float, planes: int = 1) -> float:
    """Mean shear of a round section, cut in that many planes: 4 F / (n pi d^2)."""
    return 4 * load_n / (planes * math.pi * diameter_mm**2)


def bearing_mpa(load_n: float, diameter_mm: float, thickness_mm: float) -> float:
    """Of a pin against its hole, on the projected area: F / (d t)."""
    return load_n / (diameter_mm * thickness_mm)


def tear_out_mpa(load_n: float, edge_mm: float, thickness_mm: float) -> float:
    """Shear of what lies before a hole, in two planes from the hole to the edge: F / (2 a t)."""
    return load_n / (2 * edge_mm * thickness_mm)


def tension_mpa(load_n: float, width_mm: float, thickness_mm: float) -> float:
    """Of a flat section, its holes taken off the width: F / (b t)."""
    return load_n / (width_mm * thickness_mm)


def spring_strain(thickness_mm: float, way_mm: float, length_mm: float) -> float:
    """Greatest strain of a flat spring held at one end, bent aside at the other: 1.5 t y / l^2."""
    return 1.5 * thickness_mm * way_mm / length_mm**2
