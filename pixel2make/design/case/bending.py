"""A cover bent from one sheet in two lines: developed length, heating lines, test strip."""

from __future__ import annotations

import math

from pixel2make import trade
from pixel2make.design.case.model import Bend, Bent

__all__ = ["bend_allowance", "bent_cover", "heated_band", "k_from_strip"]


def bend_allowance(radius_mm: float, sheet_mm: float, k_factor: float, angle_deg: float = 90.0) -> float:
    """Length of the neutral line in a bend: the arc at the inside radius and K sheet thicknesses.

    >>> round(bend_allowance(6, 3, 0.5), 3)
    11.781
    """
    return math.radians(angle_deg) * (radius_mm + k_factor * sheet_mm)


def k_from_strip(
    length_mm: float, outside_mm: tuple[float, float], radius_mm: float, sheet_mm: float
) -> float:
    """Where the neutral line of a bent test strip lies, in sheet thicknesses from the inside.

    Parameters
    ----------
    length_mm : float
        Of the strip before it was bent to a right angle.
    outside_mm : (float, float)
        Both legs of the bent strip, measured outside to the corner where they would meet.

    >>> round(k_from_strip(200, (103.1, 103.12), 6, 3), 2)
    0.5
    """
    straight = sum(leg - radius_mm - sheet_mm for leg in outside_mm)
    return ((length_mm - straight) / (math.pi / 2) - radius_mm) / sheet_mm


def heated_band(radius_mm: float, sheet_mm: float) -> float:
    """Width of the sheet to heat: a few thicknesses, and never less than the outer arc."""
    thicknesses = trade.value("acrylic.heated_band").number
    return max(thicknesses * sheet_mm, math.pi / 2 * (radius_mm + sheet_mm))


def bent_cover(
    *,
    depth_mm: float,
    height_mm: float,
    width_mm: float,
    sheet_mm: float,
    radius_mm: float,
    allowance_mm: float | None = None,
) -> Bent:
    """A cover with a front, a top and a back in one.

    Parameters
    ----------
    depth_mm, height_mm : float
        Outside, between the legs' outer faces and from their ends to the top's outer face.
    width_mm : float
        Along the bend lines.
    sheet_mm, radius_mm : float
        Thickness and inside radius.
    allowance_mm : float, optional
        Length of an arc in the flat as the maker's test strip has shown it.
    """
    k = trade.value("acrylic.neutral_line").number
    allowance = bend_allowance(radius_mm, sheet_mm, k) if allowance_mm is None else allowance_mm
    if allowance_mm is not None:
        k = (allowance_mm / (math.pi / 2) - radius_mm) / sheet_mm
    corner = radius_mm + sheet_mm
    leg, top = height_mm - corner, depth_mm - 2 * corner
    band = heated_band(radius_mm, sheet_mm)
    first = Bend(leg, leg + allowance, band)
    second = Bend(leg + allowance + top, leg + 2 * allowance + top, band)
    return Bent(sheet_mm, radius_mm, allowance, k, leg, top, width_mm, (first, second))
