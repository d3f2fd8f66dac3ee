"""From the contours of a font file to areas.

A font paints what its contours wind round: a point is inked where the windings of all contours about it
do not cancel to zero. Contours of a variable font overlap, so that the even-odd rule would leave holes
where two strokes cross; the non-zero rule of TrueType and OpenType does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.ops import polygonize, unary_union

__all__ = ["Contour", "Point", "cubic", "quadratic", "winding_area"]

Point = tuple[float, float]
Contour = Sequence[Point]
"""A closed ring of straight lines; the last point need not repeat the first."""


def quadratic(p0: Point, p1: Point, p2: Point, tolerance: float) -> list[Point]:
    """Points after `p0` on a quadratic Bézier curve, chords no further than `tolerance` from it.

    With n chords of equal parameter the deviation is at most |p0 - 2 p1 + p2| / (4 n^2).
    """
    bend = math.hypot(p0[0] - 2 * p1[0] + p2[0], p0[1] - 2 * p1[1] + p2[1])
    count = max(1, math.ceil(math.sqrt(bend / (4 * tolerance))))
    points = []
    for i in range(1, count + 1):
        t = i / count
        a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
        points.append((a * p0[0] + b * p1[0] + c * p2[0], a * p0[1] + b * p1[1] + c * p2[1]))
    return points


def cubic(p0: Point, p1: Point, p2: Point, p3: Point, tolerance: float) -> list[Point]:
    """Points after `p0` on a cubic Bézier curve, chords no further than `tolerance` from it.

    The second derivative is at most 6 times the larger second difference of the control points, so that
    n chords deviate by at most 3/4 of that difference / n^2.
    """
    bends = [
        math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1]) for a, b, c in ((p0, p1, p2), (p1, p2, p3))
    ]
    count = max(1, math.ceil(math.sqrt(0.75 * max(bends) / tolerance)))
    points = []
    for i in range(1, count + 1):
        t = i / count
        s = 1 - t
        weights = (s**3, 3 * s * s * t, 3 * s * t * t, t**3)
        x = sum(w * p[0] for w, p in zip(weights, (p0, p1, p2, p3), strict=True))
        y = sum(w * p[1] for w, p in zip(weights, (p0, p1, p2, p3), strict=True))
        points.append((x, y))
    return points


def winding_area(contours: Sequence[Contour]) -> Polygon | MultiPolygon:
    """Area that the contours wind round (non-zero rule).

    Contours of fewer than three points are left out. The result is valid; empty for no contours.

    Examples
    --------
    Two overlapping squares that turn alike join; one that turns the other way cuts a hole.

    >>> square = [(0, 0), (4, 0), (4, 4), (0, 4)]
    >>> winding_area([square, [(2, 2), (6, 2), (6, 6), (2, 6)]]).area
    28.0
    >>> winding_area([square, [(1, 1), (1, 3), (3, 3), (3, 1)]]).area
    12.0
    """
    rings = [np.asarray([*c, c[0]], float) for c in contours if len(set(c)) > 2]
    if not rings:
        return Polygon()
    cells = polygonize(unary_union([LineString(ring) for ring in rings]))
    inked = [cell for cell in cells if _winding(rings, cell.representative_point().coords[0])]
    return unary_union(inked)


def _winding(rings: Sequence[NDArray[np.float64]], point: Point) -> int:
    """How often the rings turn round a point: upward less downward crossings right of it."""
    x, y = point
    total = 0
    for ring in rings:
        (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
        side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
        up = (y0 <= y) & (y1 > y) & (side > 0)
        down = (y0 > y) & (y1 <= y) & (side < 0)
        total += int(up.sum()) - int(down.sum())
    return total
