"""Kerf: a cut takes away material along its line, so the line lies half a kerf outside the part."""

from __future__ import annotations

import math

from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

from pixel2make.design.outlines import polygons_only
from pixel2make.errors import DesignError

__all__ = ["compensated"]

_MITRE_LIMIT = 5.0
"""Ratio of a corner's reach to half the kerf: right angles keep their corner (1.41), needles are cut off."""


def compensated(outline: Polygon | MultiPolygon, kerf_mm: float) -> Polygon | MultiPolygon:
    """The line for the middle of the cut, so that what falls out measures as drawn.

    Outer edges move outwards by half the kerf, the edges of holes inwards.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
        Of the finished part.
    kerf_mm : float
        Width of the cut, 0 or more.

    Returns
    -------
    Polygon or MultiPolygon
        In the part's own place: its bounding box begins half a kerf before the part's.

    Raises
    ------
    DesignError
        Where a hole is no wider than the cut.

    Examples
    --------
    A part of 40 mm cut with 0.2 mm is drawn 40.2 mm, its hole of 40 mm is drawn 39.8 mm:

    >>> from shapely.geometry import box
    >>> ring = compensated(box(-10, -10, 50, 50).difference(box(0, 0, 40, 40)), 0.2)
    >>> [round(v, 3) for v in (*ring.bounds, *ring.interiors[0].bounds)]
    [-10.1, -10.1, 50.1, 50.1, 0.1, 0.1, 39.9, 39.9]
    """
    if not (math.isfinite(kerf_mm) and kerf_mm >= 0):
        raise DesignError(f"a kerf is 0 mm or more, got {kerf_mm:g} mm")
    if kerf_mm == 0:
        return outline
    grown = outline.buffer(kerf_mm / 2, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    before, after = _holes(outline), _holes(grown)
    if after < before:
        raise DesignError(
            f"{before - after} of {before} holes are no wider than a cut of {kerf_mm:g} mm; "
            "drill them, or choose a finer cut"
        )
    made = polygons_only(grown)
    return outline if made is None else made


def at_zero(outline: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    """The outline with its bounding box at (0, 0)."""
    x, y, _, _ = outline.bounds
    return affinity.translate(outline, -x, -y)


def _holes(shape: Polygon | MultiPolygon) -> int:
    parts = getattr(shape, "geoms", [shape])
    return sum(len(part.interiors) for part in parts)
